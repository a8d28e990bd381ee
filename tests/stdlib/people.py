"""Cautions, usual dilutions and CITES appendices against their tables: no row is dropped without a word, and none stands
beside them. Sources are those that the tables name; the CITES list is the one valid from 25 September 2012."""
import re
from fractions import Fraction

from library import D, check, field, names_in, points, table, value
from names import cites
from reader import text

# Source words of an audience, in the library's. Where a text names an age of its own, the age decides.
AUDIENCES = {"pregnancy": "pregnancy", "breastfeeding": "breastfeeding", "damaged_skin": "damaged_skin",
             "infants_under_2": "infants", "children_under_6": "children_under_6", "children_under_10": "children_under_10",
             "epilepsy": "epilepsy", "dogs": "dogs", "cats": "cats", "anticoagulants": "anticoagulants", "oxidised": "",
             "oral": "", "asthma": "asthma", "G6PD": "g6pd_deficiency", "medicines": "medicines",
             "salicylate_sensitivity": "salicylate_sensitivity", "heart": "heart_rhythm"}
AGES = {"between two and six": "children_2_6", "between six and fifteen": "children_6_15",
        "twelve": "children_under_15", "of any age": "children_under_15"}
# Oils of the table that are no oils of the library, so nothing can be said of them here; `all_oils` names none.
NO_OIL = set("""eucalyptus_smithii eucalyptus_polybractea saro camphor_white parsley_seed parsley_leaf black_seed blue_cypress
    buchu calamint araucaria zedoary genipi lanyana feverfew hibawood""".split())
# Cautions that rest on more than one row of the table, or on a rule that goes by what an oil holds.
BESIDE = {"methyl_salicylate_law", "cineole_rich_under_10", "menthol_rich_under_6"}

cautions = {name: row for name, row in D["caution"].items()
            if field(row, "audience") or field(row, "oils") or field(row, "substances") or field(row, "rank")}


def key(row):
    return (text(row[2]), " ".join(names_in(field(row, "audience"))), text(field(row, "source")[2]))


by_key = {}
for name, row in cautions.items():
    check(key(row) not in by_key, f"{row.where}: `{name}` says what `{by_key.get(key(row), [''])[0]}` says")
    by_key[key(row)] = (name, row)

# Said by one that every sheet carries.
USUAL = {("all_oils", "oral"): "not_for_ingestion"}

rows = table("cautions.csv")
check(len(rows) == 363, f"cautions.csv: 363 rows expected, {len(rows)} there")
left_out = set()
said = {}
for row in rows:
    where = f"cautions.csv: {row['oil']} for {row['audience']}"
    if (row["oil"], row["audience"]) in USUAL:
        check(USUAL[row["oil"], row["audience"]] in D["caution"], f"{where}: no usual caution says it")
        continue
    if not row["oils"] and row["oil"] != "all_oils":
        left_out.add(row["oil"])
        continue
    audience = next((a for words, a in AGES.items() if words in row["text"]), AUDIENCES[row["audience"]])
    found = by_key.get((row["text"], audience, row["source"]))
    check(found is not None, f"{where}: not in the library")
    if not found:
        continue
    name, caution = found
    said.setdefault(name, set()).update(row["oils"].split())
    listed = set(names_in(field(caution, "oils")))
    check(set(row["oils"].split()) <= listed, f"{where}: `{name}` leaves out {set(row['oils'].split()) - listed}")
    standing = field(caution, "source")[1]
    if row["confidence"] == "memory":
        check(standing in ("recalled", "practice"), f"{where}: recalled, but `{name}` is {standing}")
    else:
        check(standing in ("recalled", "practice", "supplier", "paper", "disputed", "handbook"), f"{where}: `{name}` is {standing}")
    # A handbook is one that others quote, and nothing of it from memory; as with its limits.
    check((standing == "handbook") == (row["source"].startswith("Tisserand & Young") and "from memory" not in row["source"]),
          f"{where}: is it the handbook?")
    # A paper is one whose abstract was read, or a table that was.
    check((standing == "paper") == bool(re.search(r", abstract$|peer-reviewed", row["source"])), f"{where}: is it a paper?")
check(left_out == NO_OIL, f"oils of the table that the library lacks: {sorted(left_out ^ NO_OIL)} differ")
check(set(cautions) - set(said) == BESIDE, f"cautions beside the table: {sorted((set(cautions) - set(said)) ^ BESIDE)}")
for name, oils in said.items():
    listed = set(names_in(field(cautions[name], "oils")))
    check(listed == oils, f"`{name}`: oils that the table does not give it: {sorted(listed - oils)}")

for name, row in cautions.items():
    rank = value(row, "rank")
    check(rank in ("1", "2", "3", "4", "5"), f"{row.where}: `{name}` has no rank")
    for oil in names_in(field(row, "oils")):
        check(oil in D["oil"], f"{row.where}: `{oil}` is no oil")
    for audience in names_in(field(row, "audience")):
        check(audience in D["audience"], f"{row.where}: `{audience}` is no audience")
        # A check reads cautions only where others than those are named.
        check(not field(D["audience"].get(audience, row), "assumed"), f"{row.where}: a caution for whoever is assumed anyway")
    if value(row, "advice"):
        check(value(row, "advice") == "avoid" and field(row, "audience"), f"{row.where}: `{name}` rules out, but for whom?")

# ---------------------------------------------------------------- usual dilutions


def figures(row):
    """(lowest, typical, highest) of each row of a guide, none as zero."""
    out = []
    for inner in row.block:
        if inner[0] == "none":
            out.append((Fraction(0),) * 3)
        elif re.match(r"\d", inner[0]):
            p = points(inner[0])
            out.append((p[0], p[len(p) // 2] if len(p) == 3 else p[-1], p[-1]))
    return out


guides = D["guide"]
used = set()
taken = {}  # guide -> rows that the tables account for
for row in table("guides.csv"):
    if not row["max_percent"]:
        check(row["purpose"] == "bath_drops_per_tub", f"guides.csv: {row['purpose']} has no figure")
        continue
    for name in row["guide"].split():
        where = f"guides.csv: {row['purpose']} in `{name}`"
        check(name in guides, f"{where}: no such guide")
        used.add(name)
        given = [Fraction(row[c]) if row[c] else None for c in ("low_percent", "typical_percent", "max_percent")]
        fits = [i for i, f in enumerate(figures(guides[name])) if f[2] == given[2] and given[0] in (None, f[0]) and
                (given[1] in (None, f[1]) or f[1] == f[2])]
        # A row a figure; two purposes may share one where they say the same from low to high.
        free = [i for i in fits if i not in taken.setdefault(name, set())]
        check(bool(free or (fits and given[0] is not None)), f"{where}: {given} is not among its figures")
        taken[name].update(free[:1])
for name, row in guides.items():
    check(len(taken.get(name, ())) == len(figures(row)), f"{row.where}: `{name}` has figures that the tables do not")
check(used == set(guides), f"guides beside the tables: {sorted(set(guides) - used)}")
for name, row in guides.items():
    for inner in row.block:
        if inner[0] == "none" or re.match(r"\d", inner[0]):
            by = [item[i + 1] for item in inner.items for i, atom in enumerate(item[:-1]) if atom == "by"]
            check(len(by) == 1 and by[0] in cites, f"{inner.where}: a figure without its source")
            check(cites.get(by[0] if by else "") in ("recalled", "supplier", "practice", "handbook"), f"{inner.where}: a guide is no law")
    check(bool(field(row, "audience") or field(row, "categories") or field(row, "formats")),
          f"{row.where}: `{name}` is for nobody and no purpose")
# Babies under three months: not at all, in both tables.
check(min(f[2] for f in figures(guides["infants_under_3_months"])) == 0, "under three months: none at all")

check(sum(bool(field(row, "assumed")) for row in D["audience"].values()) == 1, "one audience is assumed")
for name, row in D["audience"].items():
    check(bool(field(row, "source")), f"{row.where}: audience `{name}` has no source")

# ---------------------------------------------------------------- CITES

# As the list valid from 25 September 2012 has them: species, or genus or family for all of it.
LISTED = {"Aniba rosaeodora": "ii", "Nardostachys": "ii", "Aquilaria": "ii", "Bulnesia sarmientoi": "ii",
          "Saussurea costus": "i", "Orchidaceae": "ii"}
for name, row in D["oil"].items():
    plant = text(value(row, "botanical")) if value(row, "botanical") else ""
    family = text(value(row, "family")) if value(row, "family") else ""
    wanted = next((a for p, a in LISTED.items() if p in plant or p == family), "")
    check(value(row, "cites_appendix") == wanted, f"{row.where}: `{name}`, {plant}: appendix `{wanted}` expected")
    note = text(value(row, "conservation")) if value(row, "conservation") else ""
    said_in_words = re.search(r"CITES Appendix (I+)", note)
    check(not said_in_words or said_in_words.group(1).lower() == wanted, f"{row.where}: `{name}`: the note and the word differ")
