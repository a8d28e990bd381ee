#!/usr/bin/python3
"""Holds the standard library to the research tables in figures/, figure by figure and standing by standing.

Reads Scruple text by itself (reader.py) and shares no code with the compiler. What is published and what is recalled
is said by the tables (`source`, `confidence`); CAS check digits follow the rule of the CAS Registry (digits from the
right times 1, 2, 3 ..., modulo 10). Prints each failure, then `N passed, M failed`; exits 1 if any failed.

    roundtrip.py [LIBRARY_FOLDER]
"""
import csv
import re
import sys
from collections import Counter, defaultdict
from fractions import Fraction
from pathlib import Path

sys.dont_write_bytecode = True
from reader import NOTHING, Broken, rows_of, text  # noqa: E402

HERE = Path(__file__).resolve().parent
LIBRARY = Path(sys.argv[1]) if len(sys.argv) > 1 else HERE.parent.parent / "stdlib"

passed = 0
failures = []


def check(ok, what):
    global passed
    if ok:
        passed += 1
    else:
        failures.append(what)


def table(name):
    with open(HERE / "figures" / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


NAME = re.compile(r"[a-z][a-z0-9_]*$")
KINDS = {"unit", "cite", "category", "substance", "group", "oil", "ingredient", "format", "base", "rules", "limit",
         "caution"}
STANDINGS = {"law", "standard", "handbook", "supplier", "paper", "practice", "recalled", "vague", "derived",
             "estimate", "disputed"}
SPACE = {"oil": "material", "ingredient": "material", "base": "material", "substance": "substance",
         "group": "substance"}

declarations = defaultdict(dict)   # kind -> name -> Row
limits = {}                        # (subject, rules) -> Row
spaces = {}                        # (space, name) -> place
files = sorted(LIBRARY.rglob("*.scruple"))
check(len(files) > 20, f"{LIBRARY}: only {len(files)} library files")
for file in files:
    raw = file.read_text(encoding="utf-8")
    check(raw.endswith("\n") and "\t" not in raw and "\r" not in raw and " \n" not in raw,
          f"{file.name}: tabs, blanks at line ends or no newline at the end")
    try:
        rows = rows_of(file, LIBRARY)
    except Broken as broken:
        check(False, str(broken))
        continue
    check(bool(rows), f"{file.name}: nothing in it")
    for row in rows:
        kind, name = row[0], row[1]
        check(kind in KINDS, f"{row.where}: `{kind}` is no kind of declaration")
        check(kind == "unit" or bool(NAME.match(name)), f"{row.where}: `{name}` is no name")
        if kind == "limit":
            key = (name, row[3])
            check(row[2] == "under", f"{row.where}: a limit without `under`")
            check(key not in limits, f"{row.where}: a second limit {key}")
            limits[key] = row
            continue
        key = (SPACE.get(kind, kind), name)
        check(key not in spaces, f"{row.where}: `{name}` is declared twice, first at {spaces.get(key)}")
        spaces[key] = row.where
        declarations[kind][name] = row
        if kind not in ("unit",):
            check(row[2].startswith('"') and len(row[2]) > 2, f"{row.where}: `{name}` has no title")

D = declarations


def field(row, word):
    """The row of a field; without one NOTHING, which is false and gives empty atoms."""
    found = [r for r in row.block or [] if r[0] == word]
    return found[0] if found else NOTHING


def value(row, word, index=1):
    return field(row, word)[index]


def num(atom):
    return Fraction(atom) if atom not in ("", None) else None


def points(atom):
    return [Fraction(p) for p in atom.split("..")] if atom else []


def same(a, b):
    """Two figures, as exact decimals; an empty one equals only an empty one."""
    return (a in ("", None)) == (b in ("", None)) and (a in ("", None) or Fraction(a) == Fraction(b))


def names_in(row):
    return row.words()[1:]


# ---------------------------------------------------------------- names, cites, sources

cites = {name: value(row, "standing") for name, row in D["cite"].items()}
used = set()


def walk(row):
    yield row
    for inner in row.block or []:
        yield from walk(inner)


def cited(row):
    """The cite after `by`, if any."""
    for item in row.items:
        for i, atom in enumerate(item[:-1]):
            if atom == "by":
                return item[i + 1]
    return None


for name, standing in cites.items():
    check(standing in STANDINGS, f"cite {name}: `{standing}` is no standing")
    words = text(D["cite"][name][2])
    check(len(words) > 10, f"cite {name}: says too little")
doubles = Counter((text(row[2]), cites[name]) for name, row in D["cite"].items())
check(all(n == 1 for n in doubles.values()), f"cites that say the same: {[k for k, n in doubles.items() if n > 1]}")

everything = [row for kind in D for row in D[kind].values()] + list(limits.values())
for declaration in everything:
    for row in walk(declaration):
        name = cited(row)
        if name and declaration[0] != "cite":
            used.add(name)
            check(name in cites, f"{row.where}: cites `{name}`, which is not declared")
        if row[0] == "source":
            check(row[1] in STANDINGS and len(row[2]) > 4, f"{row.where}: a source without standing or text")
check(not set(cites) - used, f"cites that nothing uses: {sorted(set(cites) - used)}")
for kind in ("oil", "ingredient", "format", "base", "category", "rules", "caution"):
    for name, row in D[kind].items():
        check(bool(field(row, "source")), f"{row.where}: {kind} `{name}` has no source")

for word in ("oz", "floz", "cup", "tsp", "tbsp", "pint", "gallon", "quart"):
    check(("unit", word) not in spaces, f"`{word}` must stay no unit: it does not say whose it is")

FIELDS = {
    "cite": "standing", "category": "code within source remark", "substance": "cas also source remark",
    "group": "cas members remark", "caution": "source", "rules": "markets dated source remark",
    "oil": "botanical family part process inci cas density flash note odour impact tenacity keeps phototoxic moods "
           "cost_tier price conservation also contains source remark",
    "ingredient": "role inci cas density state bulk melts flash keeps saponification iodine also contains source remark",
    "format": "contact category load sold_by sizes fill extra keeps usual_base example mixing steps source remark",
    "base": "phase source remark"}
OFTEN = {"source", "remark", "phase"}
for kind, words in FIELDS.items():
    for name, row in D[kind].items():
        seen = Counter(inner[0] for inner in row.block or [])
        check(set(seen) <= set(words.split()), f"{row.where}: {kind} `{name}` has {set(seen) - set(words.split())}")
        check(all(n == 1 for word, n in seen.items() if word not in OFTEN), f"{row.where}: `{name}` says a field twice")
for name, row in D["format"].items():
    check(name == "candle" or set("contact category sold_by fill extra keeps example mixing steps source".split()) <=
          {inner[0] for inner in row.block}, f"{row.where}: format `{name}` lacks a field")

USUAL = """never_neat not_for_ingestion if_swallowed keep_from_children keep_from_pets eyes oil_first_removal patch_test
    stop_on_reaction no_broken_skin sun bath diffusion pregnancy_general medicines babies oxidation flammable surfaces
    no_medical_claim gloves_bench fresh_batch_records"""
check(set(D["caution"]) == set(USUAL.split()), "the usual cautions are not all there, or more than these")

# Where the rule sets hold.
EVERYWHERE = {"handbook_2014", "ifra_52_policy", "qra2_derived", "estimates", "supplier_advice"}
MARKETS = {"eu_annex_ii": "ch eu uk", "eu_annex_iii": "ch eu uk", "uk_annex_iii": "uk", "ch_ocos": "ch",
           "eu_sccs": "eu", "eu_sccnfp": "eu", "cir": "us"}
for name, row in D["rules"].items():
    wanted = [] if name in EVERYWHERE else MARKETS.get(name, "ch eu uk us").split()
    check(names_in(field(row, "markets")) == wanted, f"{row.where}: markets of `{name}`")

PLACES = re.compile(r"https?:|www\.|\w\.(com|net|org|shop|fi|blog)\b|/work|second-hand copy|\[[STW]\d")
for file in files:
    found = PLACES.search(file.read_text(encoding="utf-8"))
    check(not found, f"{file.name}: a web address or working note: {found.group() if found else ''}")

# ---------------------------------------------------------------- CAS numbers

blank_cas = []


def cas_ok(cas):
    shape = re.fullmatch(r"(\d{2,7})-(\d{2})-(\d)", cas)
    if not shape:
        return False
    digits = (shape.group(1) + shape.group(2))[::-1]
    return sum((i + 1) * int(d) for i, d in enumerate(digits)) % 10 == int(shape.group(3))


for kind in ("substance", "group", "oil", "ingredient"):
    for name, row in D[kind].items():
        cas = text(value(row, "cas")) if value(row, "cas") else ""
        if cas:
            check(cas_ok(cas), f"{row.where}: CAS number {cas} of `{name}` fails its check digit")
        elif kind != "group" and (kind != "oil" or field(row, "density")):
            blank_cas.append(name)

# ---------------------------------------------------------------- units

UNIT_NAMES = {"oz_av": "oz_wt", "lb_av": "lb", "dr_av": "dram_wt", "gr": "grain", "oz_t": "oz_troy", "uL": "ul",
              "mL": "ml", "cL": "cl", "L": "l", "us_fl_oz": "us_floz", "us_fl_dr": "us_fldr", "us_pint": "us_pt",
              "us_quart": "us_qt", "label_fl_oz": "label_floz", "imp_fl_oz": "imp_floz", "imp_pint": "imp_pt",
              "imp_fl_dr": "imp_fldr", "piece": "each"}
BASES = {"g": "mass", "ml": "volume", "mm": "length", "each": "count", "drop": "drop", "part": "part",
         "month": "calendar", "h": "clock", "C": "temperature", "mol": "mol", "mPas": "viscosity", "kPa": "pressure"}


def in_base(name, seen=()):
    """(factor, base unit) of a unit."""
    row = D["unit"].get(name)
    if row is None or name in seen:
        return None
    if row[2] == "of":
        return Fraction(1), name
    if row[4] == "%":
        return Fraction(row[3]) / 100, "%"
    inner = in_base(row[4], seen + (name,))
    return (Fraction(row[3]) * inner[0], inner[1]) if inner else None


rows = table("units.csv")
check(len(rows) == 37, "units.csv: 37 rows expected")
for row in rows:
    name = UNIT_NAMES.get(row["id"], row["id"])
    got = in_base(name)
    wanted = {"mL": "ml", "1": "each"}.get(row["unit"], row["unit"])
    check(got is not None, f"unit `{name}` is missing")
    if got:
        exact = Fraction(row["value"])
        check(got[1] == wanted, f"unit `{name}` is in {got[1]}, not {wanted}")
        check(got[0] == exact if row["exact"] == "yes" else abs(got[0] / exact - 1) < Fraction(1, 10**8),
              f"unit `{name}` is {got[0]}, the table says {row['value']}")
for name, dimension in BASES.items():
    row = D["unit"].get(name)
    check(row is not None and row[2] == "of" and row[3] == dimension, f"base unit `{name}` of {dimension} is missing")
for name, (factor, base) in {"ppm": (Fraction(1, 10**6), "%"), "ppb": (Fraction(1, 10**9), "%"),
                             "year": (Fraction(12), "month"), "day": (Fraction(24), "h"), "week": (Fraction(168), "h"),
                             "min": (Fraction(1, 60), "h"), "cm": (Fraction(10), "mm"),
                             "mmol": (Fraction(1, 1000), "mol")}.items():
    check(in_base(name) == (factor, base), f"unit `{name}` is {in_base(name)}")
for spelling in ("mL", "L", "drops", "parts", "months", "years", "hour", "hours", "days", "\u00b0C"):
    check(any(spelling in row.words() for row in D["unit"].values()), f"spelling `{spelling}` is not accepted")

# ---------------------------------------------------------------- categories

CODES = {"1": "lips", "2": "axillae", "3": "face_fingertip", "4": "fine_fragrance", "5A": "body_leave_on",
         "5B": "face_leave_on", "5C": "hand_leave_on", "5D": "baby_leave_on", "6": "oral", "7A": "hair_rinse_off",
         "7B": "hair_leave_on", "8": "intimate", "9": "body_rinse_off", "10A": "household_hand",
         "10B": "household_spray", "11A": "pads_no_sun", "11B": "pads_sun", "12": "no_skin"}


def scopes(category, seen=()):
    row = D["category"].get(category)
    check(row is not None, f"category `{category}` is not declared")
    check(category not in seen, f"category `{category}` is within itself")
    out = {category}
    if row is not None and category not in seen:
        for outer in names_in(field(row, "within")):
            out |= scopes(outer, seen + (category,))
    return out


for code, name in CODES.items():
    check(name in D["category"] and text(value(D["category"][name], "code") or '""') == code,
          f"category `{name}` should carry code {code}")
LEAVE_ON = {"1", "2", "3", "4", "5A", "5B", "5C", "5D", "7B", "8"}
RINSE_OFF = {"6", "7A", "9"}
# Scope of the phototoxic standards, from memory of the IFRA Standards, 49th amendment.
SUN = {"1", "2", "3", "4", "5A", "5B", "5C", "5D", "7B", "8", "10B", "11B"}
for code, name in CODES.items():
    inside = scopes(name)
    check(("leave_on" in inside) == (code in LEAVE_ON), f"{name}: leave_on")
    check(("rinse_off" in inside) == (code in RINSE_OFF), f"{name}: rinse_off")
    check(("sunlit_skin" in inside) == (code in SUN), f"{name}: sunlit_skin")
    check(("cosmetics" in inside) == (code in LEAVE_ON | RINSE_OFF), f"{name}: cosmetics")
    check(("skin" in inside) == (code != "12"), f"{name}: skin")
    check("everything" in inside, f"{name}: everything")
    check(("fragrance_ingredient" in inside) == ("cosmetics" in inside), f"{name}: fragrance_ingredient")
    check(("other_leave_on" in inside) == (code in LEAVE_ON - {"4"}), f"{name}: other_leave_on")
    check(("cosmetics_not_oral" in inside) == (code in (LEAVE_ON | RINSE_OFF) - {"6"}), f"{name}: cosmetics_not_oral")
for name, row in D["category"].items():
    inside = scopes(name)
    numbered = [code for code, outer in CODES.items() if outer in inside]
    code = text(value(row, "code")) if value(row, "code") else ""
    check(numbered in ([], [code]), f"{row.where}: category `{name}` carries code {code}, its place {numbered}")
    check(name == "everything" or bool(field(D["category"][name], "within")) or
          name in ("raw_material", "not_in_force"), f"category `{name}` is in no scope")

# ---------------------------------------------------------------- substances, oils, compositions

RENAMED = {"1_8_cineole": "cineole_1_8", "1_4_cineole": "cineole_1_4", "6_methyl_5_hepten_2_one": "methyl_heptenone",
           "10_epi_gamma_eudesmol": "epi_gamma_eudesmol",
           "2_2_6_trimethylcyclohexanone": "trimethylcyclohexanone", "2_methylbutyl_angelate": "methylbutyl_angelate",
           "3_methylpentyl_angelate": "methylpentyl_angelate", "3_octanone": "octanone_3",
           "3_phenylpropanol": "phenylpropanol_3"}
groups = {name: names_in(field(row, "members")) for name, row in D["group"].items()}
for name, members in groups.items():
    for member in members:
        check(member in D["substance"], f"group `{name}`: `{member}` is no substance")

READ = {"ISO range": "standard", "national standard": "standard", "pharmacopoeia": "standard",
        "regulation": "standard", "IFRA": "standard", "handbook": "handbook", "paper": "paper",
        "data sheet": "supplier"}

oils = table("oils.csv")
check(len(oils) == 165, "oils.csv: 165 rows expected")
known = {row["id"] for row in oils}
restricted = set(D["oil"]) - known
check(not known - set(D["oil"]), f"oils that are missing: {sorted(known - set(D['oil']))}")
for row in oils:
    oil = D["oil"].get(row["id"])
    if oil is None:
        continue
    at = f"{oil.where}: {row['id']}"
    density = field(oil, "density")
    check(density and points(density[1]) == [num(row[k]) for k in ("density_min", "density_typical", "density_max")],
          f"{at}: density {density and density[1]}")
    check(density and density.items[0][2:8] == ["g", "/", "ml", "at", "20", "C"], f"{at}: unit of the density")
    standing = cites.get(cited(density) or "")
    check(standing in (("recalled", "vague") if row["density_confidence"] == "memory" else
                       ("standard", "handbook", "supplier")), f"{at}: standing of the density is {standing}")
    for word, key, unit in (("flash", "flash_c", "C"), ("tenacity", "tenacity_h", "h"),
                            ("keeps", "keeps_months", "months"), ("impact", "impact", ""),
                            ("cost_tier", "cost_tier", ""), ("price", "price_eur_per_10_ml", "EUR")):
        check(same(value(oil, word), row[key]), f"{at}: {word} {value(oil, word)}, the table says {row[key]}")
        check(not unit or not row[key] or value(oil, word, 2) == unit, f"{at}: unit of {word}")
    check(field(oil, "price").words()[-1:] == ['"invented"'], f"{at}: price not marked invented")
    listed = {inner[1] for inner in oil.block if inner[0] == "source"}
    check({"recalled", "practice"} <= listed, f"{at}: sources of botany and of the bench's figures")
    for word in ("note", "odour", "phototoxic", "process"):
        check(value(oil, word) == row[word], f"{at}: {word} {value(oil, word)}, the table says {row[word]}")
    check(names_in(field(oil, "moods")) == row["moods"].split(";"), f"{at}: moods")
    for word in ("botanical", "family", "part", "inci", "cas"):
        check((text(value(oil, word)) if value(oil, word) else "") == row[word], f"{at}: {word}")

composition = table("composition.csv")
check(len(composition) == 2115, "composition.csv: 2115 rows expected")
wanted = {}
for row in composition:
    wanted[(row["oil"], RENAMED.get(row["substance"], row["substance"]))] = row
check(len(wanted) == 2115, "composition.csv: a pair stands twice")
# Beside the table: an oil that is itself what a rule limits as a whole.
BESIDE = {("oakmoss_absolute", "moss_extracts"), ("treemoss_absolute", "moss_extracts")}
found = set()
for name, oil in D["oil"].items():
    contains = field(oil, "contains")
    lowest = Fraction(0)
    here = []
    for row in contains.block or []:
        substance = row[2]
        here.append(substance)
        pair = (name, substance)
        check(substance in D["substance"] or substance in groups, f"{row.where}: `{substance}` is not declared")
        check(row[1] == "%", f"{row.where}: not in per cent")
        ranged = points(row[0])
        check(ranged == sorted(ranged) and 0 <= ranged[0] and ranged[-1] <= 100, f"{row.where}: range out of order")
        check(pair not in found, f"{row.where}: `{substance}` twice")
        if substance not in groups:
            lowest += ranged[0]
        if pair in BESIDE:
            check(ranged == [100], f"{row.where}: a whole extract is 100 %")
            continue
        found.add(pair)
        figure = wanted.get(pair)
        check(figure is not None, f"{row.where}: `{substance}` in `{name}` is not in the table")
        if figure is None:
            continue
        check(ranged == [num(figure[k]) for k in ("min", "typical", "max")],
              f"{row.where}: {row[0]}, the table says {figure['min']}, {figure['typical']}, {figure['max']}")
        basis = figure["basis"].split(" (")[0]
        standing = "recalled" if figure["confidence"] == "memory" else READ[basis]
        check(cites.get(cited(row) or "") == standing, f"{row.where}: standing {cites.get(cited(row) or '')}, not {standing}")
        cas = D["substance"].get(substance) and value(D["substance"][substance], "cas")
        check(not figure["cas"] or substance in groups or (cas and text(cas) == figure["cas"]),
              f"{row.where}: CAS number of `{substance}`")
        check("do not add" not in figure["basis"] or "total" in row.items[0][-1], f"{row.where}: not marked as a total")
    check(lowest <= 100, f"{oil.where}: the lowest figures of `{name}` add up to {float(lowest)} %")
    for group in set(here) & set(groups):
        for part in set(here) & set(groups[group]):
            check(group == "citral", f"{oil.where}: `{group}` and its part `{part}` in one composition")
check(found == set(wanted), f"compositions that are missing: {sorted(set(wanted) - found)[:5]}")
for name in restricted:
    oil = D["oil"][name]
    check(all((name, row[2]) in BESIDE for row in field(oil, "contains").block or []),
          f"{oil.where}: a restricted material has no known composition")
    check(any(subject == name for subject, _ in limits), f"{oil.where}: `{name}` is restricted by nothing")

# ---------------------------------------------------------------- ingredients

STATES = {"liquid_20c": ("liquid", "20"), "fat_20c_approx": ("soft_fat", "20"), "solid_20c": ("solid_wax", "20"),
          "true_solid": ("crystal", "20"), "liquid_50c": ("melted_50", "50"), "liquid_60c": ("melted_60", "60"),
          "not_applicable": ("part", None)}
ingredients = table("ingredients.csv")
check(len(ingredients) == 160, "ingredients.csv: 160 rows expected")
check({row["id"] for row in ingredients} == set(D["ingredient"]), "ingredients differ from the table")


def ends(row, *keys):
    """What a range should read: the different figures of the row, in order."""
    out = []
    for key in keys:
        if row[key] != "" and (not out or num(row[key]) != out[-1] or len(keys) == 3):
            out.append(num(row[key]))
    return out if len(set(out)) > 1 else out[:1]


for row in ingredients:
    good = D["ingredient"].get(row["id"])
    if good is None:
        continue
    at = f"{good.where}: {row['id']}"
    state, warm = STATES[row["density_basis"]]
    check(value(good, "state") == state and value(good, "role") == row["kind"], f"{at}: state or role")
    check((text(value(good, "inci")) if value(good, "inci") else "") == row["inci"], f"{at}: inci")
    check((text(value(good, "cas")) if value(good, "cas") else "") == row["cas"], f"{at}: cas")
    check(points(value(good, "density")) == ends(row, "density_min", "density", "density_max"), f"{at}: density")
    density = field(good, "density")
    check(not density or density.items[0][2:8] == ["g", "/", "ml", "at", warm, "C"], f"{at}: unit of the density")
    check(points(value(good, "melts")) == ends(row, "melts_min", "melts_max"), f"{at}: melting range")
    check(points(value(good, "saponification")) ==
          ends(row, "saponification_min", "saponification_typical", "saponification_max"), f"{at}: saponification")
    check(points(value(good, "iodine")) == ends(row, "iodine_min", "iodine_max"), f"{at}: iodine value")
    for word, key in (("bulk", "bulk"), ("flash", "flash_c"), ("keeps", "keeps_months")):
        check(same(value(good, word), row[key]), f"{at}: {word}")
    for word, unit in (("bulk", ["g", "/", "ml"]), ("melts", ["C"]), ("flash", ["C"]), ("keeps", ["months"]),
                       ("saponification", ["mg", "/", "g"]), ("iodine", [])):
        check(field(good, word).words()[2:] == unit or not field(good, word), f"{at}: unit of {word}")
    for word in ("density", "melts", "saponification", "iodine"):
        ranged = points(value(good, word))
        check(ranged == sorted(ranged), f"{at}: {word} out of order")
    standing = {"high": "standard", "medium": "recalled", "low": "vague"}[row["confidence"]]
    if row["source"] == "common practice":
        standing = "practice"
    check(value(good, "source") == standing, f"{at}: standing {value(good, 'source')}, not {standing}")
    for inner in field(good, "contains").block or []:
        check(inner[2] == row["id"] and inner[0] == "100", f"{at}: only a pure substance has a composition")

# ---------------------------------------------------------------- formats and bases

FORMAT_NAMES = {"rollon_oil_5ml": "roll_on", "rollon_oil_10ml": "roll_on", "pipette_oil_15ml": "pipette_oil",
                "pipette_oil_30ml": "pipette_oil", "edc": "eau_de_cologne", "edt": "eau_de_toilette",
                "edp": "eau_de_parfum", "bath_oil_emulsified": "bath_oil", "soap_cold_process": "soap_bar",
                "lotion": "body_lotion", "cream_face": "face_cream", "facial_oil_cleanser": "cleansing_oil",
                "hand_sanitiser_gel": "hand_gel", "bath_milk_powder": "bath_milk"}
LOAD_OF = {"w/w of total": "total", "w/w of base": "base", "w/w of oils": "fats", "w/w of wax": "wax"}
ADDED_FORMATS = {"candle"}
formats = table("formats.csv")
check(len(formats) == 49, "formats.csv: 49 rows expected")
check({FORMAT_NAMES.get(r["id"], r["id"]) for r in formats} | ADDED_FORMATS == set(D["format"]),
      "formats differ from the table")
for row in formats:
    name = FORMAT_NAMES.get(row["id"], row["id"])
    kind = D["format"].get(name)
    if kind is None:
        continue
    at = f"{kind.where}: {name}"
    check(value(kind, "contact") == row["contact"], f"{at}: contact")
    listed = {inner[1] for inner in kind.block if inner[0] == "source"}
    check("practice" in listed and ("recalled" in listed or row["category"] == "not_ifra"),
          f"{at}: sources of the trade's habits and of the category")
    category = value(kind, "category")
    wanted_category = "inhalation" if row["category"] == "not_ifra" else CODES[row["category"]]
    check(wanted_category in scopes(category), f"{at}: category {category} is not in {wanted_category}")
    load = field(kind, "load")
    if row["load_basis"] in LOAD_OF:
        check(load and points(load[1]) == [num(row[k]) for k in ("load_min", "load_typical", "load_max")] and
              load.items[0][2:] == ["%", "of", LOAD_OF[row["load_basis"]]], f"{at}: load")
    elif row["load_basis"].startswith("neat"):
        check(load and load.items[0][1:] == ["neat"], f"{at}: load should be neat")
    else:
        check(not load and row["load_max"] == "0", f"{at}: this format has no load")
    sizes = {f"{a} {b}" for a, b in re.findall(r"(?<!-)\b(\d+(?:\.\d+)?) (ml|g)\b", row["sizes"].split(" (")[0])}
    got = {" ".join(item[-2:]) for item in field(kind, "sizes").items if item}
    check(sizes <= got, f"{at}: sizes {sorted(sizes - got)} are missing")
    check(bool(got) == bool(value(kind, "sizes")), f"{at}: sizes")
    units = {size.split()[1] for size in got}
    check(value(kind, "sold_by") == ("mass" if "g" in units else "volume"), f"{at}: sold_by")
    for word, key, unit in (("fill", "fill_percent", "%"), ("extra", "extra_percent", "%"),
                            ("keeps", "keeps_months", "months")):
        check(same(value(kind, word), row[key]) and value(kind, word, 2) == unit, f"{at}: {word}")
    steps = [re.sub(r"^\d+ ", "", s) for s in row["steps"].split("; ")]
    check([text(s) for s in field(kind, "steps").words()[1:]] == steps, f"{at}: steps")
    base = value(kind, "usual_base")
    check(not base or base in D["base"], f"{at}: usual base `{base}` is not declared")

base_rows = defaultdict(list)
for row in table("base_rows.csv"):
    base_rows[row["format"]].append(row)
check(len(base_rows) == 31, "base_rows.csv: 31 bases expected")
bases_seen = set()
for name, rows in base_rows.items():
    kind = FORMAT_NAMES.get(name, name)
    total = sum(num(r["percent_of_total"]) for r in rows)
    check(total == 100, f"base_rows.csv: {name} adds up to {total}")
    solid = {r["ingredient"]: num(r["percent_of_total"]) for r in rows if r["ingredient"] != "fragrance"}
    if not solid:
        check(field(D["format"][kind], "load")[1] == "neat", f"format `{kind}` has no base and is not neat")
        continue
    base = D["base"].get(value(D["format"][kind], "usual_base"))
    check(base is not None, f"format `{kind}` has no usual base")
    if base is None:
        continue
    bases_seen.add(base[1])
    got, rest, blends = {}, [], 0
    for phase in base.block:
        if phase[0] != "phase":
            continue
        for row in phase.block:
            if row.words() == ["blend"]:
                blends += 1
            elif row[0] == "rest":
                rest.append(row[1])
            elif not re.fullmatch(r"[\d.]+", row[0]):
                check(False, f"{row.where}: no amount")
            else:
                check(row.items[0][1:4] == ["%", "of", "total"], f"{row.where}: not of total")
                got[row[4]] = num(row[0])
    check(blends == 1 and len(rest) == 1, f"{base.where}: one `blend` and one `rest`")
    if len(rest) == 1:
        blend = sum(num(r["percent_of_total"]) for r in rows if r["ingredient"] == "fragrance")
        got[rest[0]] = 100 - blend - sum(got.values())
        check(rest[0] in solid and solid[rest[0]] == max(solid.values()), f"{base.where}: `rest` is not the largest")
    check(got == solid, f"{base.where}: {name} differs from the table")
    for ingredient in got:
        check(ingredient in D["ingredient"], f"{base.where}: `{ingredient}` is no ingredient")
check(bases_seen == set(D["base"]), f"bases without a table: {sorted(set(D['base']) - bases_seen)}")

# ---------------------------------------------------------------- limits

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
    return "standard" if authority.startswith("IFRA") else "handbook"


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
        if row[0] in ("effect", "remark", "source"):
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
    for entry in out:
        check(entry[3] in EFFECTS, f"{entry[4].where}: `{entry[3]}` is no effect")
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
    amount = [Fraction(a) if re.fullmatch(r"[\d.]+", a) else a for a in row["amount"].split()]
    wants(row["subject"], row["rules"], amount, [row["scope"]], row["standing"], "added")
for (subject, rules), entries in parsed.items():
    for amount, places, standing, effect, row in entries:
        for place in places:
            check((subject, rules, id(row), place) in touched, f"{row.where}: {subject} in {place} is in no table")
check({rules for _, rules in limits} == set(D["rules"]), "rule sets without limits, or the other way round")
soft = {rules for rules in ("qra2_derived", "estimates")}
for (subject, rules), entries in parsed.items():
    for entry in entries:
        check((entry[2] in ("derived", "estimate")) == (rules in soft), f"{entry[4].where}: {rules} and {entry[2]}")

# ---------------------------------------------------------------- the end

print(f"no CAS number, left out on purpose ({len(blank_cas)}): " + ", ".join(sorted(blank_cas)))
for failure in failures:
    print(f"failed: {failure}")
print(f"{passed} passed, {len(failures)} failed")
sys.exit(1 if failures else 0)
