#!/usr/bin/env python3
"""Published worked cases of limits, sums and labels, each with its source beside it in safety_cases.csv, as recipes.

The percentages of a case are by weight of the finished product, so that it is a blend by weight at what they come to.
`rules` are the workshop's; empty: all that hold in the EU.
"""
import csv
import json
import math
import sys
import tempfile
from fractions import Fraction
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.dont_write_bytecode = True
sys.path[:0] = [str(HERE.parent)]
import program  # noqa: E402

# Oils with the contents that the cases assume.
OWN = {
    "own_lemongrass": "80 % citral", "own_litsea": "75 % citral", "own_isomers": "40 % geranial\n30 % neral", "own_rose": "3 % methyl_eugenol",
    "own_wintergreen": "100 % methyl_salicylate", "own_treemoss": "100 % moss_extracts", "own_safroles": "60 % safrole\n25 % isosafrole\n15 % dihydrosafrole",
    "own_bergapten": "1 % bergapten", "own_ninety_citral": "90 % citral", "own_clove": "97 % eugenol", "own_rose_handbook": "3.3 % methyl_eugenol",
    "own_geranium": "30 % geraniol",
}


def recipe(case, by_volume):
    rows = [part.rsplit(" ", 1) for part in case["oils"].split(" + ")]
    total = sum(Fraction(amount) for _, amount in rows)
    text = [f'workshop "Cases" {{\n    market     eu\n{"    rules      " + case["rules"] if case["rules"] else ""}\n}}\n']
    for name in dict(rows):
        if name in OWN:
            parts = "\n".join("        " + row for row in OWN[name].split("\n"))
            text.append(f"oil {name} {{\n    density    0.9 g/ml at 20 C\n    contains {{\n{parts}\n    }}\n}}\n")
    text.append("blend b {\n    by         weight\n" + "".join(f"    {amount} parts {name}\n" for name, amount in rows) + "}\n")
    text.append(f"product p {{\n    blend      b at {float(total):.10g} % of total\n    format     {case['format']} of 100 {'ml' if by_volume else 'g'}\n"
                "    in         jojoba\n    make       50\n}\n")
    return "\n".join(text)


def main():
    program.need_binary()
    tally = program.Tally()
    library = json.loads(program.run("library", "--to", "json").out)
    volume = {f["id"]: f["sold_by"] != "mass" for f in library["formats"]}
    with open(HERE / "safety_cases.csv", encoding="utf-8", newline="") as file:
        cases = list(csv.DictReader(file, strict=True))
    tally.check(len(cases) >= 40, "there are cases", len(cases))
    with tempfile.TemporaryDirectory() as folder:
        for case in cases:
            name = case["id"]
            tally.check(bool(case["source"]), f"{name}: its source")
            room = Path(folder, name)
            room.mkdir()
            (room / "collection.scruple").write_text(recipe(case, volume[case["format"]]), encoding="utf-8")
            done = program.run("build", str(room), "--to", "json", "--diagnostics", "json")
            product = json.loads(done.out)["products"][0] if done.out else {"complete": False}
            if not tally.check(product["complete"], f"{name}: can be made", done.err.decode()[:300] + recipe(case, True)):
                continue
            held(tally, case, product)
    return tally.close()


def held(tally, case, product):
    name, what, subject = case["id"], case["what"], case["subject"]
    safety = product["safety"]
    found = [c for c in safety["checks"] if c["subject"] == subject and not c["soft"]]
    if what == "absent":
        tally.check(not found, f"{name}: no such rule", found)
        return
    if what in ("named", "not_named"):
        names = {a["name"] for a in product["label"]["allergens"] if a["later"] is None}
        tally.check((subject in names) == (what == "named"), f"{name}: {subject} on the label", sorted(names))
        return
    if what in ("ceiling", "bound_by"):
        bound = safety["ceiling"]
        expected = Fraction(case["expected"])
        tally.check(bound["state"] == "bound" and Fraction(str(bound["value_percent"])) == expected, f"{name}: the most that passes", bound)
        tally.check(subject in (bound["bound_by"] or ""), f"{name}: what binds", bound)
        return
    if not tally.check(len(found) == 1, f"{name}: one rule on {subject}", [c["rule"] for c in safety["checks"]]):
        return
    check = found[0]
    tally.check(check["verdict"] == case["verdict"], f"{name}: its verdict", check)
    if check["verdict"] == "fails":
        tally.check(safety["verdict"] == "fails", f"{name}: the product fails with it", safety["verdict"])
    key = {"used": "used_percent", "level": "actual_percent", "limit": "limit_percent"}.get(what)
    if key:
        tally.check(math.isclose(check[key], float(case["expected"]), rel_tol=1e-9), f"{name}: {what}", f"{check[key]}, not {case['expected']}")


if __name__ == "__main__":
    sys.exit(main())
