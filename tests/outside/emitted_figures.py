"""Sheets, JSON and CSV of one collection beside each other, read by what has nothing to do with this project:
Python's csv, json, decimal and fractions for the figures, hashlib for fingerprints, unicodedata (UAX 11) for widths.
"""
import csv
import hashlib
import io
import json
import math
import os
import re
import sys
import tempfile
import unicodedata
from decimal import Decimal
from fractions import Fraction

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.dirname(HERE))
import difficult
import program


def width(text):
    """Columns on a terminal: UAX 11 wide and full-width characters take two, combining marks none."""
    columns = 0
    for character in text:
        if unicodedata.category(character) in ("Mn", "Me", "Cf"):
            continue
        columns += 2 if unicodedata.east_asian_width(character) in "WF" else 1
    return columns


def section(sheet, heading):
    found = re.search(rf"^{heading}\n(.*?)(?=^\S|\Z)", sheet, re.M | re.S)
    return found.group(1) if found else ""


def check_sheet(tally, name, sheet, product):
    for line in sheet.splitlines():
        tally.check(width(line) <= 80, f"{name}: a line of {width(line)} columns", line)
        tally.check(not any(unicodedata.category(c) == "Cc" for c in line), f"{name}: a control character", repr(line))
    tally.check(sheet.rstrip().endswith("It approves nothing."), f"{name} ends with its closing line")
    if product is None:
        return
    weigh = section(sheet, "WEIGH")
    if not product["complete"]:
        tally.check("not known" in weigh and "Total" not in weigh, f"{name}: amounts that are not known", weigh)
        return
    # The figures of a line: per cent, grams, ml, and drops for blend lines. Names end in figures too, so a row is
    # told by its columns: its figures stand where those of the total stand.
    rows = weigh.split("\n  ---")[0].splitlines()
    total = re.search(r"^  Total +([\d.]+) +([\d.]+) +([\d.?]+)$", weigh, re.M)
    if not tally.check(total, f"{name} has a total", weigh):
        return
    ends = [total.end(i) - total.start(0) for i in (1, 2, 3)]
    sums = [Decimal(0)] * 3
    lines = 0
    for row in rows:
        row = "".join(c + "\0" * (width(c) - 1) if width(c) else "" for c in row)  # a place for every column
        figures = [(row[:ends[0]].split() or [""])[-1], row[ends[0]:ends[1]].strip(), row[ends[1]:ends[2]].strip()]
        if all(re.fullmatch(r"[\d.]+|\?", f) for f in figures):
            lines += 1
            for i, figure in enumerate(figures):
                sums[i] += Decimal(figure) if figure != "?" else 0
    tally.check(lines == len(product["lines"]), f"{name}: {lines} rows for {len(product['lines'])} lines", weigh)
    for i in range(3):
        if total.group(i + 1) != "?":
            tally.check(sums[i] == Decimal(total.group(i + 1)), f"{name}: column {i} comes to {sums[i]}", weigh)
    tally.check(Decimal(total.group(1)) == 100, f"{name}: the whole is 100 %", total.group(0))
    tally.check(Decimal(total.group(2)) == Decimal(str(product["batch"]["weigh_g"])), f"{name}: grams as in the JSON")
    ceiling = product["safety"]["ceiling"]
    said = " ".join(section(sheet, "SAFETY").split())
    if ceiling["state"] == "bound":
        printed = re.search(r"Safe ceiling at most ([\d.]+) %", said)
        tally.check(printed and Decimal(printed.group(1)) == Decimal(str(ceiling["value_percent"])),
                    f"{name}: the ceiling as in the JSON", said[:400])
    else:
        tally.check("Safe ceiling at most" not in said, f"{name}: no ceiling where none binds", said[:400])
    shown = {"passes": "Passes the limits that this library knows. That is no approval.", "fails": "DO NOT MAKE THIS",
             "warns": "TAKE CARE", "unknown": "NOT KNOWN"}
    for verdict, words in shown.items():
        tally.check((words in said) == (verdict == product["safety"]["verdict"]), f"{name}: the verdict in words",
                    said[:300])


def check_json(tally, name, text):
    tokens = []

    def number(token):
        tokens.append(token)
        return float(token)

    document = json.loads(text, parse_float=number)
    for token in tokens:
        digits = token.replace("-", "").replace(".", "").strip("0")
        tally.check("e" not in token.lower() and len(digits) <= 10, f"{name}: a number in plain notation", token)
    for blend in document["blends"]:
        if blend["fingerprint"] is None:
            tally.check(blend["parts"] == [], f"{name}: {blend['id']} has no fingerprint and no parts")
            continue
        parts = {p["material"]: Fraction(p["parts"]) for p in blend["parts"]}
        shared = math.lcm(*(f.denominator for f in parts.values()))
        whole = {m: int(f * shared) for m, f in parts.items()}
        divisor = math.gcd(*whole.values())
        normalised = f"scruple.blend/1\n{blend['measure']}\n"
        normalised += "".join(f"{m} {whole[m] // divisor}\n" for m in sorted(whole))
        tally.check(hashlib.sha256(normalised.encode()).hexdigest()[:16] == blend["fingerprint"],
                    f"{name}: the fingerprint of {blend['id']}", normalised)
        if blend["complete"]:
            for share in ("share_vv_percent", "share_ww_percent"):
                values = [p[share] for p in blend["parts"]]
                if None not in values:
                    tally.check(abs(sum(values) - 100) < 1e-6, f"{name}: shares of {blend['id']} come to 100")
    for product in document["products"]:
        if not product["complete"]:
            continue
        what = f"{name}: {product['id']}"
        tally.check(abs(sum(l["percent_ww"] for l in product["lines"]) - 100) < 1e-6, f"{what} comes to 100 %")
        tally.check(math.isclose(sum(l["mass_g"] for l in product["lines"]), product["batch"]["mass_g"], rel_tol=1e-8),
                    f"{what}: the lines come to the batch")
        weigh = sum(Decimal(str(l["weigh_g"])) for l in product["lines"])
        tally.check(weigh == Decimal(str(product["batch"]["weigh_g"])), f"{what}: rounded lines come to {weigh}")
        unit = product["fill"]["mass_g"] * product["units"] * (1 + product["batch"]["extra_percent"] / 100)
        tally.check(math.isclose(unit, product["batch"]["mass_g"], rel_tol=1e-8), f"{what}: units make the batch")
        load = sum(l["percent_ww"] for l in product["lines"] if l["role"] == "blend")
        tally.check(math.isclose(load, product["load"]["ww_percent"], rel_tol=1e-8), f"{what}: the load is the blend's")
        plan = product["drop_plan"]
        if plan:
            tally.check(sum(plan["drops"]) == plan["total"], f"{what}: the drops come to their total")
            parts = {b["id"]: b for b in document["blends"]}[product["blend"]]
            if parts["measure"] == "drops" and plan["multiple"]:
                exact = [Fraction(p["parts"]) for p in parts["parts"]]
                tally.check(len({Fraction(d) / e for d, e in zip(plan["drops"], exact)}) == 1,
                            f"{what}: a whole multiple keeps the ratio")
    return document


def check_csv(tally, name, text, document):
    tally.check("\r\n" in text and "\n" not in text.replace("\r\n", ""), f"{name}: lines end with CRLF")
    rows = list(csv.DictReader(io.StringIO(text, newline=""), strict=True))
    wanted = []
    for bench in document["benches"]:
        beakers = [(None, bench["from"]["beaker"])] if bench["from"] else []
        beakers += [(row, row["beaker"]) for row in bench["rows"]]
        for row, beaker in beakers:
            if beaker:
                wanted += [("bench", bench["id"], bench["name"], line["material"], line["name"], line["amount"],
                            None, None, None, None, None, None) for line in beaker["lines"]]
                continue
            told = [(e["name"], None) for e in row["entries"]] or [("", None)]
            wanted += [("bench", bench["id"], bench["name"], material, title, "", None, None, None, None, None, None)
                       for material, title in told]
    for blend in document["blends"]:
        for part in blend["parts"]:
            wanted.append(("blend", blend["id"], blend["name"], part["material"], part["name"], part["parts"],
                           part["share_vv_percent"], part["share_ww_percent"], None, None, None, None))
    for product in document["products"]:
        for line in product["lines"]:
            wanted.append(("product", product["id"], product["name"], line["material"], line["name"], "", None,
                           line["percent_ww"], line["mass_g"], line["weigh_g"], line["volume_ml"], line["drops"]))
    tally.check(len(rows) == len(wanted), f"{name}: {len(rows)} rows for {len(wanted)} lines")
    for row, want in zip(rows, wanted):
        texts = tuple(row[k] for k in ("kind", "id", "name", "material", "title", "parts"))
        if want[4] is None:  # the document does not say the title
            texts = texts[:4] + (None,) + texts[5:]
        tally.check(texts == want[:6], f"{name}: a row's texts", f"{texts}\n{want[:6]}")
        for key, value in zip(("percent_vv", "percent_ww", "mass_g", "weigh_g", "volume_ml", "drops"), want[6:]):
            same = row[key] == "" if value is None else row[key] != "" and float(row[key]) == value
            tally.check(same, f"{name}: {key} of {row['id']} {row['material']}", f"{row[key]!r}, {value!r}")
    return rows


def main():
    program.need_binary()
    tally = program.Tally()
    with tempfile.TemporaryDirectory() as folder:
        hard = os.path.join(folder, "hard")
        os.makedirs(hard)
        difficult.write(hard)
        for name, path in (("stillroom", os.path.join(program.ROOT, "examples", "stillroom")), ("hard", hard)):
            def built(*arguments):
                return program.run("build", path, "--diagnostics", "json", *arguments).out.decode("utf-8")

            document = check_json(tally, name, built("--to", "json"))
            rows = check_csv(tally, name, built("--to", "csv"), document)
            tally.check(len(rows) > 20, f"{name}: there is something to compare")
            for bench in document["benches"]:
                check_sheet(tally, f"{name}: {bench['id']}", built("--only", bench["id"]), None)
            for blend in document["blends"]:
                check_sheet(tally, f"{name}: {blend['id']}", built("--only", blend["id"]), None)
            for product in document["products"]:
                check_sheet(tally, f"{name}: {product['id']}", built("--only", product["id"]), product)
            for form in ("sheet", "markdown", "json", "csv"):
                tally.check(built("--to", form) == built("--to", form), f"{name}: {form} twice is the same")
    return tally.close()


if __name__ == "__main__":
    sys.exit(main())
