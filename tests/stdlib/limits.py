"""Limits against their tables: every figure, scope, standing and effect, and none beside the tables."""
import re
from fractions import Fraction

from library import CODES, D, allergens, check, cited, cites, field, groups, limits, table, value

RULES = {"IFRA-49": "ifra_49", "IFRA-50": "ifra_50", "IFRA-51": "ifra_51", "IFRA-52-policy": "ifra_52_policy",
         "IFRA": "ifra_undated", "handbook": "handbook_2014", "EU-AnnexII": "eu_annex_ii",
         "EU-AnnexIII": "eu_annex_iii", "UK-AnnexIII": "uk_annex_iii", "EU-SCCS": "eu_sccs",
         "IFRA via EU-SCCS": "eu_sccs", "EU-SCCNFP": "eu_sccnfp", "CH-OCos": "ch_ocos", "CIR": "cir",
         "QRA2-derived": "qra2_derived", "estimate": "estimates", "project_choice": "estimates"}
LAW = {"EU-AnnexII", "EU-AnnexIII", "UK-AnnexIII", "CH-OCos"}
OPINION = {"EU-SCCS", "EU-SCCNFP", "CIR", "IFRA via EU-SCCS"}
SUBSTANCES = {"cinnamal": "cinnamaldehyde", "cinnamic_alcohol": "cinnamyl_alcohol",
              "furocoumarins_total": "furocoumarins", "oakmoss_extract_total": "moss_extracts",
              "treemoss_extract_total": "moss_extracts", "pinene": "pinenes", "pinocamphone": "pinocamphones",
              "thujone": "thujones"}
OILS = {
    "basil_estragole": "basil_ct_estragole", "basil_linalool": "basil_ct_linalool",
    "benzoin": "benzoin_siam_resinoid benzoin_sumatra_resinoid", "black_pepper": "pepper_black",
    "citronella": "citronella_java", "eucalyptus_globulus": "eucalyptus_globulus eucalyptus_radiata",
    "fir_needle": "fir_siberian fir_silver fir_balsam",
    "frankincense": "frankincense_carterii frankincense_sacra frankincense_serrata frankincense_papyrifera",
    "geranium": "geranium geranium_bourbon", "grapefruit_expressed": "grapefruit grapefruit_pink",
    "hyssop_pinocamphone": "hyssop", "jasmine_absolute": "jasmine_grandiflorum_absolute",
    "lavandin": "lavandin_grosso lavandin_abrial", "mandarin": "mandarin_red mandarin_green",
    "mandarin_leaf": "petitgrain_mandarin", "opopanax": "opoponax", "orange_bitter_expressed": "orange_bitter",
    "petitgrain": "petitgrain_bigarade petitgrain_paraguay", "pinaceae_103": "fir_silver_cone",
    "pinaceae_105": "fir_silver", "pinaceae_108": "pine_dwarf", "pinaceae_109": "pine_dwarf",
    "pinaceae_111": "pine_black", "pinaceae_112": "pine_longleaf", "pinaceae_113": "pine_maritime",
    "pinaceae_114": "pine_siberian_dwarf", "pinaceae_115": "pine_scots pine_dwarf", "pinaceae_116": "pine_cembra",
    "pinaceae_117": "pine_cembra_acetylated", "ravensara_leaf": "ravensara",
    "rose_absolute": "rose_absolute rose_centifolia_absolute", "rosemary_camphor": "rosemary_ct_camphor",
    "rosemary_cineole": "rosemary_ct_cineole", "rosemary_verbenone": "rosemary_ct_verbenone",
    "sandalwood_east_indian": "sandalwood_album", "styrax": "styrax_oil", "thyme_linalool": "thyme_ct_linalool",
    "thyme_thymol": "thyme_ct_thymol", "tolu_balsam": "tolu_balsam_resinoid",
    "vanilla_absolute": "vanilla_absolute vanilla_co2", "vetiver": "vetiver vetiver_java",
    "ylang_ylang": "ylang_ylang_extra ylang_ylang_iii ylang_ylang_complete"}

# How the tables' scopes read in categories, where the authority does not matter.
SCOPES = {
    "leave_on": "leave_on", "leave-on": "leave_on", "rinse_off": "rinse_off", "rinse-off": "rinse_off",
    "leave_on_sun_exposed": "sunlit_skin", "dermal_all": "skin", "raw material": "raw_material",
    "as fragrance ingredient": "fragrance_ingredient", "all cosmetics": "cosmetics",
    "all except oral products": "cosmetics_not_oral", "cosmetic products other than oral": "cosmetics_not_oral",
    "fine fragrance": "fine_fragrance", "eau de toilette": "eau_de_toilette", "fragrance cream": "fragrance_cream",
    "other leave-on and oral hygiene": "other_leave_on oral", "oral care": "oral",
    "dental and oral hygiene products": "oral", "deodorant spray": "deodorant_spray",
    "hydroalcoholic fragrance, spray and non-spray": "hydroalcoholic_fragrance",
    "hydroalcoholic fragrance": "hydroalcoholic_fragrance", "face cream": "face_leave_on",
    "hand cream": "hand_leave_on", "body lotion": "body_leave_on", "hair styling": "hair_leave_on",
    "rinse-off skin and hair products except body": "rinse_off_not_body",
    "rinse-off body products": "body_rinse_off",
    "leave-on skin and hair products, non-spray, except body lotion":
        "lips deodorant_not_spray face_fingertip face_leave_on hand_leave_on baby_leave_on hair_leave_on intimate "
        "oil_perfume",
    "leave-on hair products, spray": "hair_leave_on",
    "leave-on body products, spray and non-spray": "body_leave_on",
    "face make-up and make-up remover": "face_fingertip", "sun protection and bronzing products": "sun_products",
    "leave_on (second threshold)": "not_in_force", "not stated (fine-fragrance discussion)": "fine_fragrance"}
# Single rows whose notes narrow the scope: (subject, authority, scope).
NARROWED = {
    ("methyl_eugenol", "EU-AnnexIII", "leave_on"): "other_leave_on",
    ("methyl_salicylate", "EU-AnnexIII", "leave_on"): "other_leave_on oil_perfume",
    ("methyl_salicylate", "EU-AnnexIII", "rinse_off"): "hair_rinse_off body_rinse_off",
    ("methyl_salicylate", "EU-AnnexIII", "2"): "deodorant_spray",
    ("methyl_salicylate", "EU-AnnexIII", "9"): "hand_wash",
    ("methyl_salicylate", "EU-AnnexIII", "4"): "hydroalcoholic_fragrance",
    ("furocoumarins_total", "EU-AnnexII", "all"): "sun_products",
    ("alpha_terthienyl", "EU-AnnexIII", "all"): "raw_material",
    ("atranol", "IFRA-51", "all"): "raw_material", ("chloroatranol", "IFRA-51", "all"): "raw_material"}
SWISS_IN = "lips face_fingertip body_leave_on face_leave_on hand_leave_on baby_leave_on"
SWISS_OUT = "fine_fragrance axillae hair_leave_on rinse_off oral"


def scope_of(row, purity):
    subject, authority, scope = row["subject"], row["authority"], row["scope"]
    narrowed = NARROWED.get((subject, authority, scope))
    if narrowed:
        return narrowed.split()
    if purity:
        return ["raw_material"]
    if authority == "CH-OCos":
        return (SWISS_IN if row["max_percent"] else SWISS_OUT).split()
    scope = scope.removeprefix("ifra_category:")
    if scope in CODES:
        return [CODES[scope]]
    if scope == "all":
        if authority == "EU-AnnexIII" and "oral" in row["notes"]:
            return ["cosmetics_not_oral"]
        if authority in ("EU-AnnexII", "EU-AnnexIII"):
            return ["cosmetics"]
        return ["skin"] if authority == "handbook" and "max_percent" in row and "kind" not in row else ["everything"]
    return SCOPES[scope].split()


def standing_of(row):
    authority, confidence = row["authority"], row["confidence"]
    if authority in ("estimate", "project_choice"):
        return "estimate"
    if "forum" in row["source"]:
        return "disputed"    # a post in a forum, against the handbook's figure
    if confidence != "seen":
        return {"memory": "recalled"}.get(confidence, confidence)
    if authority in LAW:
        return "law"
    if authority in OPINION:
        return "paper"
    # A figure of IFRA's that was read in the handbook has the handbook's standing.
    return "standard" if authority.startswith("IFRA") and "Tisserand" not in row["source"] else "handbook"


def amount_of(row):
    """What the library should say, as the words before `in`."""
    figure, notes = row["max_percent"], row["notes"]
    harm = row.get("effect", row.get("kind", ""))
    if figure == "" and harm == "none":
        return ["unlimited"], False
    if figure == "":
        peroxide = re.search(r"below (\d+) mmol", notes)
        if "peroxide" in notes and peroxide:
            return ["peroxide", peroxide.group(1), "mmol", "/", "l"], True
        ppm = re.search(r"below (\d+) ppm", notes)
        if ppm:
            return [Fraction(ppm.group(1)) / 10000, "%"], True
        share = re.search(r"content of .* at most ([\d.]+) %", notes)
        if share:
            return [Fraction(share.group(1)), "%"], True
        return ["unlimited" if row["authority"] == "CH-OCos" else "unstated"], False
    if Fraction(figure) == 0:
        return ["none"], False
    if Fraction(figure) == 100:
        return ["unlimited"], False
    return [Fraction(figure), "%"], False


EFFECTS = {"sensitisation", "phototoxic", "systemic", "irritation", "prohibited", "purity", "label", "none"}
EFFECT_WORDS = {"sensitising": "sensitisation", "irritant": "irritation", "phototoxicity": "phototoxic"}

parsed = {}       # (subject, rules) -> list of (amount, scopes, standing, effect, row)
for key, declaration in limits.items():
    subject, rules = key
    check(rules in D["rules"], f"{declaration.where}: rule set `{rules}` is not declared")
    check(subject in D["substance"] or subject in groups or subject in D["oil"],
          f"{declaration.where}: `{subject}` is no substance, group or oil")
    top = value(declaration, "effect")
    out = []
    for row in declaration.block:
        if row[0] in ("effect", "oils", "remark", "replaces", "source"):
            continue
        head = row.items[0]
        check("in" in head, f"{row.where}: a limit row without `in`")
        if "in" not in head:
            continue
        at = head.index("in")
        amount = [Fraction(a) if re.fullmatch(r"[\d.]+", a) and head[0] != "peroxide" else a for a in head[:at]]
        places, effect = [], top
        for item in [head[at + 1:]] + row.items[1:]:
            places.append(item[0])
            if "effect" in item:
                effect = item[item.index("effect") + 1]
        for place in places:
            check(place in D["category"], f"{row.where}: category `{place}` is not declared")
        by = cited(row)
        check(by is not None or bool(field(declaration, "source")), f"{row.where}: a limit without a source")
        out.append((amount, set(places), cites.get(by or ""), effect, row))
    for oil in field(declaration, "oils").words()[1:] if field(declaration, "oils") else []:
        check(oil in D["oil"], f"{declaration.where}: `{oil}` is no oil")
    for entry in out:
        # Of a limit whose figure was not read, the harm may not have been read either.
        check(entry[3] in EFFECTS or (not entry[3] and entry[0] == ["unstated"]), f"{entry[4].where}: `{entry[3]}` is no effect")
    check(bool(out), f"{declaration.where}: a limit without rows")
    parsed[key] = out

touched = set()


def wants(subject, rules, amount, places, standing, what, effect=None):
    """A row of the table stands in the library, for every place that it names."""
    for place in places:
        hits = [entry for entry in parsed.get((subject, rules), [])
                if entry[0] == amount and place in entry[1] and entry[2] == standing and effect in (None, entry[3])]
        shown = " ".join(str(float(a) if isinstance(a, Fraction) else a) for a in amount)
        check(bool(hits), f"limits: {subject} under {rules}: {shown} in {place}, {standing} ({what}) is missing")
        for entry in hits:
            touched.add((subject, rules, id(entry[4]), place))


substance_limits, oil_limits = table("substance_limits.csv"), table("oil_limits.csv")
check(len(substance_limits) == 532, "substance_limits.csv: 532 rows expected")
check(len(oil_limits) == 269, "oil_limits.csv: 269 rows expected")


def effect_of(row, amount):
    harm = row.get("effect") or row["kind"]
    if amount[0] == "none" and row["authority"] != "project_choice":
        return "prohibited"
    word = re.split(r"[ (/]", harm)[0]
    return EFFECT_WORDS.get(word, word)


for row in substance_limits:
    amount, purity = amount_of(row)
    subject, authority = row["subject"], row["authority"]
    name = SUBSTANCES.get(subject, subject)
    if subject == "furocoumarins_total" and authority in ("CH-OCos", "IFRA-52-policy"):
        name = "furocoumarins_eight"
    if subject == "safrole" and authority == "IFRA-49":
        name = "safroles"
    check(name in D["substance"] or name in groups, f"limits: `{name}` is no substance or group")
    wants(name, RULES[authority], amount, scope_of(row, purity), standing_of(row), authority,
          "purity" if purity else effect_of(row, amount))
for row in oil_limits:
    amount, purity = amount_of(row)
    rules = RULES[row["authority"]]
    names = OILS.get(row["subject"], row["subject"]).split()
    if row["subject"] == "fir_needle" and rules == "eu_annex_iii":
        names = ["fir_balsam"]   # the entry is on Abies balsamea
    for name in names:
        check(name in D["oil"], f"limits: `{name}` is no oil")
        if row["confidence"] == "disputed":
            # No figure stands firm: the readings on both sides do, each marked as disputed.
            rivals = [e for e in parsed.get((name, rules), []) if e[2] == "disputed"]
            check(len(rivals) >= 2 and row["max_percent"] == "", f"limits: {name}: both sides of a dispute")
            continue
        wants(name, rules, amount, scope_of(row, purity), standing_of(row), row["authority"],
              "purity" if purity else effect_of(row, amount))
for row in table("added_limits.csv"):
    words = row["amount"].split()
    amount = [Fraction(a) if re.fullmatch(r"[\d.]+", a) and words[0] != "peroxide" else a for a in words]
    wants(row["subject"], row["rules"], amount, [row["scope"]], row["standing"], "added")
for (subject, rules), entries in parsed.items():
    for amount, places, standing, effect, row in entries:
        for place in places:
            check((subject, rules, id(row), place) in touched, f"{row.where}: {subject} in {place} is in no table")
listing = {rules for _, rules in allergens} | {n for n, row in D["rules"].items() if field(row, "continues")}
check({rules for _, rules in limits} == set(D["rules"]) - listing, "rule sets without limits, or the other way round")
soft = {rules for rules in ("qra2_derived", "estimates")}
for (subject, rules), entries in parsed.items():
    for entry in entries:
        check((entry[2] in ("derived", "estimate")) == (rules in soft), f"{entry[4].where}: {rules} and {entry[2]}")

# ---------------------------------------------------------------- what IFRA's index lists

# The index says that there is a standard and of what type, not its figures: P prohibition, R restriction, S
# specification. What it prohibits outright, the library refuses; what it restricts has a limit of some rule set, or is
# counted here. Fewer is better.
MOST_WITHOUT_A_LIMIT = 0
# Prohibited as such; what oils hold of them by nature is another matter, and no figure for that was read.
BY_NATURE = {"massoia_lactone", "methyl_coumarin_6"}
index, bare = table("ifra_index.csv"), []
check(len(index) == 90, "ifra_index.csv: 90 rows expected")
for row in index:
    subject, kinds = row["subject"], set(row["type"].split("-"))
    check(kinds <= {"P", "R", "S"} and row["printed"] and row["amendment"], f"ifra_index.csv: {subject}: its type")
    check(subject in D["substance"] or subject in groups or subject in D["oil"], f"ifra_index.csv: `{subject}` is nothing here")
    held = {rules: entries for (name, rules), entries in parsed.items() if name == subject}
    kin = {subject} | {g for g, members in groups.items() if subject in members}
    if subject in groups:
        kin |= set(groups[subject])
    figures = [e for (name, _), entries in parsed.items() if name in kin for e in entries if e[3] not in ("purity", "none")]
    if "P" in kinds and "R" not in kinds and subject not in BY_NATURE:
        check(any(e[0] == ["none"] for rules, entries in held.items() if rules.startswith("ifra_") for e in entries),
              f"{subject}: IFRA prohibits it, and the library does not")
    elif kinds != {"S"} and not figures:
        bare.append(subject)
check(len(bare) <= MOST_WITHOUT_A_LIMIT, f"{len(bare)} subjects of IFRA standards have no limit here, and {MOST_WITHOUT_A_LIMIT} had none before")
print(f"subjects of IFRA standards without any limit here ({len(bare)}): " + ", ".join(sorted(bare)))
