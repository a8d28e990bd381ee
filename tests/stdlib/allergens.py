"""Lists of allergens against their table: every name, number, threshold, list and date, none beside the table, and no
entry that covers nothing of the library without a word."""
import re
from fractions import Fraction

from library import D, allergens, check, field, groups, names_in, table, value
from names import cas_ok
from reader import text

LISTS = {"EU-26 original": "eu_2003_15", "2023/1545 addition": "eu_2023_1545"}
PROHIBITED = {"Hydroxyisohexyl 3-Cyclohexene Carboxaldehyde", "Butylphenyl Methylpropional"}   # annex II by now: no label
# Oils whose number stands at an entry that does not cover them: the entry is on another part of the plant, or another process.
OTHERWISE = {("Cinnamomum Zeylanicum Bark Oil", "cinnamon_leaf"), ("Lippia Citriodora Absolute", "lemon_verbena")}

rows = table("allergens.csv")
check(len(rows) == 83, "allergens.csv: 83 rows expected")
check(sum(r["list"] == "EU-26 original" for r in rows) == 24, "the list of 2003 has 24 live entries")
by_label = {}
for (name, rules), declaration in allergens.items():
    label = text(value(declaration, "label")) if value(declaration, "label") else ""
    check(label != "", f"{declaration.where}: `{name}` has no label")
    check(label not in by_label, f"{declaration.where}: `{label}` twice")
    by_label[label] = (name, rules, declaration)


def subjects(name, declaration):
    """(substances, oils) that the entry stands for: those it lists, else its own name."""
    listed = names_in(field(declaration, "substances")), names_in(field(declaration, "oils"))
    if listed != ([], []):
        return listed
    return ([name], []) if name in D["substance"] or name in groups else ([], [name])


def cas_of(kind, name):
    row = D[kind].get(name)
    return text(value(row, "cas")) if row is not None and value(row, "cas") else ""


for row in rows:
    label = row["label"]
    if label in PROHIBITED:
        check(row["leave_on_percent"] == row["rinse_off_percent"] == "", f"`{label}` is prohibited and has a threshold")
        check(label not in by_label, f"`{label}` is prohibited: it is refused, not named")
        continue
    check(label in by_label, f"allergens: `{label}` is missing")
    if label not in by_label:
        continue
    name, rules, declaration = by_label.pop(label)
    where = declaration.where
    check(rules == LISTS[row["list"]], f"{where}: under {rules}")
    for contact in ("leave_on", "rinse_off"):
        got = field(declaration, contact)
        check(got[2] == "%" and Fraction(got[1]) == Fraction(row[f"{contact}_percent"]), f"{where}: {contact} of `{label}`")
    numbers = [text(a) for a in names_in(field(declaration, "cas"))]
    check(numbers == row["cas"].split("; "), f"{where}: CAS numbers of `{label}`: {numbers}")
    check(all(cas_ok(n) for n in numbers), f"{where}: a CAS number of `{label}` fails its check digit")
    source = field(declaration, "source")
    check(source[1] == {"seen": "law", "memory": "recalled"}[row["confidence"]], f"{where}: standing {source[1]}")
    entry = re.search(r"entry (\d+)\b", source[2])
    check(entry and entry.group(1) == row["annex_iii_entry"], f"{where}: the source names another entry than {row['annex_iii_entry']}")

    substances, oils = subjects(name, declaration)
    check(bool(substances) != bool(oils), f"{where}: `{label}` covers nothing, or both substances and oils")
    check(bool(oils) == (row["applies_to"] == "whole natural extract"), f"{where}: `{label}` is {row['applies_to']}")
    for substance in substances:
        check(substance in D["substance"] or substance in groups, f"{where}: `{substance}` is no substance")
        inner = groups.get(substance, []) + [substance]
        known = [cas_of("substance", s) for s in inner] + [cas_of("group", substance)]
        check(any(n in numbers for n in known), f"{where}: `{substance}` has none of the numbers of `{label}`")
    for oil in oils:
        check(oil in D["oil"], f"{where}: `{oil}` is no oil")
    # No oil or substance of the library that has one of the entry's numbers is left out.
    for oil in D["oil"]:
        if cas_of("oil", oil) in numbers and oils:
            check(oil in oils or (label, oil) in OTHERWISE, f"{where}: `{oil}` has a number of `{label}` and is not in it")
    covered = set(substances).union(*(groups.get(s, []) for s in substances)) if substances else set()
    for substance in D["substance"]:
        if cas_of("substance", substance) in numbers and substances:
            check(substance in covered, f"{where}: `{substance}` has a number of `{label}` and is not in it")
check(not by_label, f"allergens that are in no table: {sorted(by_label)}")

new = D["rules"]["eu_2023_1545"]
for word, wanted in (("continues", "eu_2003_15"), ("in_force", "2023-08-16"), ("placed_until", "2026-07-31"),
                     ("sold_until", "2028-07-31")):
    # Regulation (EU) 2023/1545, articles 1 and 2, as the research table gives the dates.
    check(value(new, word) == wanted, f"{new.where}: {word}")
check(value(D["rules"]["uk_2003_15"], "continues") == "eu_2003_15", "Great Britain keeps the list of 2003")
check(value(D["rules"]["uk_2003_15"], "source") == "recalled", "that Great Britain keeps it is recalled")
check(not any("us" in names_in(field(row, "markets")) for name, row in D["rules"].items()
              if name in {rules for _, rules in allergens} or field(row, "continues")), "no list for the US is known")
