"""The standard library as the checks see it: its declarations, and what is shared to read them. Counts the checks."""
import csv
import re
import sys
from collections import defaultdict
from fractions import Fraction
from pathlib import Path

from reader import NOTHING, Broken, rows_of, text

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
         "caution", "allergen", "harm", "audience", "guide"}
SPACE = {"oil": "material", "ingredient": "material", "base": "material", "substance": "substance",
         "group": "substance"}

declarations = defaultdict(dict)   # kind -> name -> Row
limits = {}                        # (subject, rules) -> Row
allergens = {}                     # (name, rules) -> Row
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
        if kind in ("limit", "allergen"):
            key = (name, row[3])
            held = limits if kind == "limit" else allergens
            check(row[2] == "under", f"{row.where}: a {kind} without `under`")
            check(key not in held, f"{row.where}: a second {kind} {key}")
            held[key] = row
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


def cited(row):
    """The cite after `by`, if any."""
    for item in row.items:
        for i, atom in enumerate(item[:-1]):
            if atom == "by":
                return item[i + 1]
    return None


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


cites = {name: value(row, "standing") for name, row in D["cite"].items()}
groups = {name: names_in(field(row, "members")) for name, row in D["group"].items()}
