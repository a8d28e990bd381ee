"""Names, cites, sources, fields, CAS numbers, units and categories: what must hold all over the library."""
import re
from collections import Counter
from fractions import Fraction

from library import (CODES, D, allergens, check, cited, cites, field, files, limits, names_in, scopes, spaces, table, text,
                     value)

STANDINGS = {"law", "standard", "handbook", "supplier", "paper", "practice", "recalled", "vague", "derived",
             "estimate", "disputed"}

used = set()


def walk(row):
    yield row
    for inner in row.block or []:
        yield from walk(inner)


for name, standing in cites.items():
    check(standing in STANDINGS, f"cite {name}: `{standing}` is no standing")
    words = text(D["cite"][name][2])
    check(len(words) > 10, f"cite {name}: says too little")
doubles = Counter((text(row[2]), cites[name]) for name, row in D["cite"].items())
check(all(n == 1 for n in doubles.values()), f"cites that say the same: {[k for k, n in doubles.items() if n > 1]}")

everything = [row for kind in D for row in D[kind].values()] + list(limits.values()) + list(allergens.values())
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
    "group": "cas members source remark", "caution": "applies audience oils substances from advice rank rules source", "rules": "markets dated publisher continues in_force placed_until sold_until source remark",
    "harm": "substances source remark",
    "allergen": "label substances oils cas leave_on rinse_off source remark",
    "oil": "botanical family part process inci cas density flash note odour impact tenacity keeps phototoxic moods "
           "cost_tier price conservation cites_appendix also contains source remark",
    "ingredient": "role inci cas density state bulk melts flash keeps saponification iodine also contains source remark",
    "format": "contact category load sold_by sizes fill extra keeps usual_base example mixing steps source remark",
    "base": "phase source remark"}
OFTEN = {"source", "remark", "phase"}
for kind, words in FIELDS.items():
    for name, row in (allergens if kind == "allergen" else D[kind]).items():
        seen = Counter(inner[0] for inner in row.block or [])
        check(set(seen) <= set(words.split()), f"{row.where}: {kind} `{name}` has {set(seen) - set(words.split())}")
        check(all(n == 1 for word, n in seen.items() if word not in OFTEN), f"{row.where}: `{name}` says a field twice")
for name, row in D["format"].items():
    check(name == "candle" or set("contact category sold_by fill extra keeps example mixing steps source".split()) <=
          {inner[0] for inner in row.block}, f"{row.where}: format `{name}` lacks a field")

USUAL = """never_neat not_for_ingestion if_swallowed keep_from_children keep_from_pets eyes oil_first_removal patch_test
    stop_on_reaction no_broken_skin sun bath diffusion pregnancy_general medicines babies oxidation flammable surfaces
    no_medical_claim gloves_bench fresh_batch_records"""
usual = {name for name, row in D["caution"].items() if not field(row, "rank")}
check(usual == set(USUAL.split()), "the usual cautions are not all there, or more than these")

# Who published a rule set, and when: what others published says both, and what has no day of its own says so here. The
# annexes are a text in force that changes, the handbook and the opinions are several texts or known by their year.
UNDATED = {"ifra_52_policy", "ifra_undated", "handbook_2014", "eu_annex_ii", "eu_annex_iii", "uk_annex_iii", "eu_sccs",
           "eu_2003_15", "qra2_derived", "estimates", "supplier_advice"}
OURS = {"qra2_derived", "estimates", "supplier_advice"}
for name, row in D["rules"].items():
    check(bool(field(row, "publisher")) != (name in OURS), f"{row.where}: publisher of `{name}`")
    dated = field(row, "dated") or field(row, "in_force") or field(row, "continues")
    check(bool(dated) != (name in UNDATED), f"{row.where}: date of `{name}`")

# Where the rule sets hold.
EVERYWHERE = {"handbook_2014", "ifra_52_policy", "qra2_derived", "estimates", "supplier_advice"}
MARKETS = {"eu_annex_ii": "ch eu uk", "eu_annex_iii": "ch eu uk", "uk_annex_iii": "uk", "ch_ocos": "ch",
           "eu_sccs": "eu", "eu_2003_15": "ch eu", "eu_2023_1545": "ch eu", "uk_2003_15": "uk", "eu_sccnfp": "eu", "cir": "us"}
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

# Numbers of substances that were read in a list, with the text they say they were read in. The rest are from memory.
READ_IN = {"ifra_list": ("standard", "IFRA's transparency list"), "ifra_index": ("standard", "index of the IFRA Standards"),
           "annex_iii": ("law", "Regulation (EC) 1223/2009, Annex III"), "swiss_eight": ("paper", "Swiss rule on furocoumarins")}
MOST_CAS_FROM_MEMORY = 130
read_cas = {row["substance"]: row for row in table("cas_numbers.csv")}
check(len(read_cas) == len(table("cas_numbers.csv")) == 180, "cas_numbers.csv: 180 substances expected, each once")
recalled_cas = []
for kind in ("substance", "group"):
    for name, row in D[kind].items():
        read, stated = read_cas.pop(name, None), field(row, "source")
        if read:
            standing, words = READ_IN[read["read_in"]]
            check(text(value(row, "cas")) == read["cas"] and read["printed"], f"{name}: read as {read['cas']} in {read['read_in']}")
            check(any(r[0] == "source" and r[1] == standing and words in text(r[2]) for r in row.block), f"{name}: its number was read in {words}")
        else:
            check(not stated, f"{name}: a source of its number, and no row of cas_numbers.csv")
            recalled_cas += [name] if field(row, "cas") else []
for name in read_cas:
    check(False, f"cas_numbers.csv: `{name}` is no substance of the library")
check(len(recalled_cas) <= MOST_CAS_FROM_MEMORY,
      f"{len(recalled_cas)} CAS numbers of substances rest on memory, and {MOST_CAS_FROM_MEMORY} did before")

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
