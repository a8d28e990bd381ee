#!/usr/bin/env python3
"""Writes collections of any size, from a seed: the same seed gives the same bytes on every machine.

    python3 tests/generate.py DIR --blends 10000 [--lines 5] [--products 1] [--files 1] [--seed 42] [--json FILE]

Materials are drawn from the library's own oils. --json writes the same recipes as JSON, pretty as people keep it.
"""
import argparse
import json
import os
import random
import re
import subprocess
import tempfile

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))

# Formats whose usual base the library brings, with a size, and a load that is usual there and lets many oils pass.
FORMATS = [
    ("body_oil", "100 ml", "0.6 %"),
    ("massage_oil", "250 ml", "0.6 %"),
    ("body_lotion", "200 ml", "0.3 %"),
    ("sugar_scrub", "200 g", "0.6 %"),
    ("room_spray", "100 ml", "1.2 %"),
    ("candle_soy", "180 g", "5 % of wax"),
]


def library_oils(root=ROOT):
    """Names of the library's oils in order; not those that the trade calls restricted."""
    names = []
    folder = os.path.join(root, "stdlib", "oils")
    for name in sorted(os.listdir(folder)):
        if not name.endswith(".scruple") or name == "restricted.scruple":
            continue
        with open(os.path.join(folder, name), encoding="utf-8") as file:
            names += re.findall(r"^oil ([a-z][a-z0-9_]*) ", file.read(), re.M)
    return sorted(names)


def quiet_oils(binary, root=ROOT):
    """Those oils that may stand alone in every one of FORMATS without any finding: asked of the program itself. Blends
    of them make a collection as most collections are, with nothing to report."""
    oils = library_oils(root)
    rows = []
    for number, oil in enumerate(oils):
        rows.append(f'blend b{number} "B" {{\n    1 part     {oil}\n}}\n')
        for form, size, load in FORMATS:
            rows.append(f'product p{number}_{form} "P" {{\n    blend      b{number} at {load}\n'
                        f"    format     {form} of {size}\n    make       24\n}}\n")
    with tempfile.TemporaryDirectory() as folder:
        with open(os.path.join(folder, "collection.scruple"), "w", encoding="utf-8") as file:
            file.write("\n".join(rows))
        done = subprocess.run([binary, "check", folder, "--diagnostics", "json"], capture_output=True)
    lines = "\n".join(rows).split("\n")
    loud = set()
    for finding in json.loads(done.stdout)["diagnostics"]:
        place = finding["range"] and finding["range"]["start"]["line"]
        while place and not re.match(r"(blend|product) [bp]([0-9]+)", lines[place]):
            place -= 1
        if place is not None:
            loud.add(int(re.match(r"(?:blend|product) [bp]([0-9]+)", lines[place]).group(1)))
    return [oil for number, oil in enumerate(oils) if number not in loud]


class Recipe:
    """A blend and its products, before they are text."""

    def __init__(self, name, title, lines, products):
        self.name = name
        self.title = title
        self.lines = lines        # (amount as text, oil)
        self.products = products  # (name, title, load, format, size, units)

    def scruple(self):
        rows = [f'blend {self.name} "{self.title}" {{']
        for amount, oil in self.lines:
            rows.append(f"    {amount + ' parts':<10} {oil}")
        rows.append("}\n")
        for name, title, load, form, size, units in self.products:
            rows.append(f'product {name} "{title}" {{')
            rows.append(f"    blend      {self.name} at {load}")
            rows.append(f"    format     {form} of {size}")
            rows.append(f"    make       {units}")
            rows.append("}\n")
        return "\n".join(rows) + "\n"

    def data(self):
        return {
            "id": self.name,
            "name": self.title,
            "lines": [{"item": oil, "amount": float(amount), "unit": "parts"} for amount, oil in self.lines],
            "products": [
                {"id": name, "name": title, "load": load, "format": form, "size": size, "units": units}
                for name, title, load, form, size, units in self.products
            ],
        }


def recipes(blends, lines=5, products=1, seed=42, oils=None, formats=None):
    """Half of the blends in whole parts, half in parts with decimals: both are how makers write."""
    chance = random.Random(seed)
    oils = oils or library_oils()
    formats = formats or FORMATS
    for number in range(1, blends + 1):
        fine = chance.random() < 0.5
        rows = []
        for oil in chance.sample(oils, lines):
            hundredths = chance.randint(100, 4000)
            rows.append((f"{hundredths / 100:.2f}".rstrip("0").rstrip(".") if fine else str(hundredths // 100 + 1), oil))
        made = []
        for count in range(1, products + 1):
            form, size, load = formats[chance.randrange(len(formats))]
            made.append((f"p{number:06d}_{count}", f"Product {number}, number {count}", load, form, size,
                         chance.randint(24, 48)))
        yield Recipe(f"b{number:06d}", f"Blend number {number}", rows, made)


def write(folder, blends, lines=5, products=1, files=1, seed=42, json_path=None, oils=None, formats=None, workshop=True):
    """Writes a collection; returns the bytes of its source."""
    os.makedirs(folder, exist_ok=True)
    total = 0

    def put(name, text):
        data = text.encode("utf-8")
        with open(os.path.join(folder, name), "wb") as file:
            file.write(data)
        return len(data)

    head = "# A generated collection.\n"
    if workshop:
        head += ('\nworkshop "Generated Stillroom" {\n    market     eu\n    weighs_to  0.01 g up to 20 kg\n'
                 "    dropper    20 drops/ml\n}\n")
    total += put("collection.scruple", head)
    made = list(recipes(blends, lines, products, seed, oils, formats))
    for number in range(files):
        part = made[len(made) * number // files:len(made) * (number + 1) // files]
        total += put(f"part_{number:05d}.scruple", "".join(r.scruple() for r in part))
    if json_path:
        with open(json_path, "w", encoding="utf-8") as file:
            json.dump([r.data() for r in made], file, indent=2, ensure_ascii=False)
    return total


def main():
    parser = argparse.ArgumentParser(description="Writes a generated collection.")
    parser.add_argument("folder")
    parser.add_argument("--blends", type=int, required=True)
    parser.add_argument("--lines", type=int, default=5)
    parser.add_argument("--products", type=int, default=1, help="of each blend")
    parser.add_argument("--files", type=int, default=1)
    parser.add_argument("--seed", type=int, default=42)
    parser.add_argument("--quiet-by", metavar="BINARY", help="only oils that this program has nothing to say about")
    parser.add_argument("--json", help="the same recipes as JSON, into this file")
    given = parser.parse_args()
    size = write(given.folder, given.blends, given.lines, given.products, given.files, given.seed, given.json,
                 oils=quiet_oils(given.quiet_by) if given.quiet_by else None)
    print(f"{size} bytes in {given.files + 1} files")


if __name__ == "__main__":
    main()
