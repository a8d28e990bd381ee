#!/usr/bin/env python3
"""Checks the factors of stdlib/units.scruple against GNU units (Debian package `units`).

usage: units.py PROBE        where PROBE is the built num_probe, which reads the numbers
"""
import pathlib
import re
import subprocess
import sys
from fractions import Fraction

# Our name to GNU's, and the GNU unit of our base. Every declared unit is here or below; one that is not is a failure.
GNU = {
    "mg": ("mg", "g"), "kg": ("kg", "g"), "oz_wt": ("oz", "g"), "lb": ("lb", "g"), "dram_wt": ("dram", "g"),
    "grain": ("grain", "g"), "oz_troy": ("ozt", "g"),
    "ul": ("microliter", "ml"), "cl": ("cl", "ml"), "l": ("liter", "ml"), "us_minim": ("minim", "ml"),
    "us_fldr": ("fldr", "ml"), "us_tsp": ("ustsp", "ml"), "us_tbsp": ("ustbsp", "ml"), "us_floz": ("usfloz", "ml"),
    "us_cup": ("uscup", "ml"), "us_pt": ("uspint", "ml"), "us_qt": ("usquart", "ml"), "us_gal": ("usgallon", "ml"),
    "imp_fldr": ("brdram", "ml"), "imp_floz": ("brfloz", "ml"), "imp_pt": ("brpint", "ml"),
    "imp_gal": ("brgallon", "ml"),
    "metric_tsp": ("brteaspoon", "ml"), "metric_tbsp": ("brtablespoon", "ml"), "metric_cup": ("metriccup", "ml"),
    "au_tbsp": ("australiatablespoon", "ml"), "label_tsp": ("legaltablespoon/3", "ml"),
    "label_tbsp": ("legaltablespoon", "ml"), "label_floz": ("legalcup/8", "ml"), "label_cup": ("legalcup", "ml"),
    "drop_std": ("drop", "ml"), "ppm": ("ppm", "percent"), "ppb": ("ppb", "percent"), "min": ("minute", "hour"),
    "day": ("day", "hour"), "week": ("week", "hour"), "cm": ("cm", "mm"), "inch": ("inch", "mm"),
    "mmol": ("mmol", "mol"),
}
# A convention without a counterpart in GNU units; a calendar year there is 365.2422 days.
OURS = {"drop_30", "year"}


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    path = pathlib.Path(__file__).resolve().parents[2] / "stdlib" / "units.scruple"
    rows = re.findall(r"^unit (\w+) = (\S+) (\S+)", path.read_text(encoding="utf-8"), re.M)
    declared = {name for name, _, _ in rows}
    questions = "".join(f"parse {number}\n" for _, number, _ in rows)
    numbers = subprocess.run([sys.argv[1]], input=questions, text=True, capture_output=True, check=True).stdout.split()
    factors = {}
    wrong = [f"{name} is not in units.scruple any more" for name in (set(GNU) | OURS) - declared]
    for (name, written, base), number in zip(rows, numbers):
        if number in ("error", "overflow"):
            wrong.append(f"{name}: {written} reads as {number}")
            continue
        factors[name] = Fraction(number) * factors.get(base, 1)
        if name in OURS:
            continue
        if name not in GNU:
            wrong.append(f"{name} has no counterpart here: say with what it is compared")
            continue
        there, unit = GNU[name]
        answer = subprocess.run(["units", "-t", "-o", "%.17g", there, unit], text=True, capture_output=True)
        if answer.returncode:
            wrong.append(f"{name}: units does not know {there}: {answer.stdout.strip()}")
        elif abs(factors[name] / Fraction(answer.stdout.strip()) - 1) > Fraction(1, 10**14):
            wrong.append(f"{name}: {float(factors[name])!r} {unit} here, {answer.stdout.strip()} there")
    for line in wrong:
        print(line)
    print(f"{len(rows)} units, {len(rows) - len(OURS)} compared, {len(wrong)} wrong")
    sys.exit(1 if wrong or len(rows) < 30 else 0)


if __name__ == "__main__":
    main()
