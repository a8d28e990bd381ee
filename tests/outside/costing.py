#!/usr/bin/env python3
"""What things cost, worked out a second time from the recipe's own prices: the examples, generated collections, and
published sums.

    costing.py [--collections 60] [--seed 7]

Outside references:
  - GNU units, for what ounces and fluid ounces are in grams and millilitres;
  - iso-codes, Debian's copy of ISO 4217, for the currencies that are accepted;
  - a cost sum on a published flash-card page (1000 ml of glycerin of density 1.25 at 5.43 a pound);
  - a worksheet on the costs of handwork (Louisiana Voices, unit VII): a part-used pack costs by what is used.
Masses come from the program's own formula, which other tests hold against figures from outside; densities from its export of
the library. That the newest list counts, and of one day the dearest by the gram: a rule of the language reference.
"""
import argparse
import json
import math
import random
import re
import subprocess
import sys
import tempfile
from fractions import Fraction
from pathlib import Path

sys.dont_write_bytecode = True
sys.path[:0] = [str(Path(__file__).resolve().parent.parent)]
import program  # noqa: E402

OILS = ("lavender", "ho_wood", "petitgrain_bigarade", "patchouli", "cedarwood_atlas", "orange_sweet")
BASES = ("jojoba", "sunflower_high_oleic", "sweet_almond")
# The spelling of a unit here, and in GNU units with the unit that it is asked in.
UNITS = {"g": ("g", "g"), "kg": ("kg", "g"), "oz_wt": ("oz", "g"), "lb": ("lb", "g"), "ml": ("ml", "ml"), "l": ("liter", "ml"),
         "us_floz": ("usfluidounce", "ml"), "imp_floz": ("brfluidounce", "ml")}


def factor(unit, cache={}):
    if unit not in cache:
        asked, base = UNITS[unit]
        told = subprocess.run(["units", "--terse", "--digits", "17", asked, base], capture_output=True, text=True, check=True)
        cache[unit] = (float(told.stdout), base)
    return cache[unit]


def near(a, b, rel=1e-9):
    return a is not None and b is not None and math.isclose(a, b, rel_tol=rel, abs_tol=1e-12)


class Prices:
    """Price rows as data: (day, name, pack, unit, money, currency)."""

    def __init__(self, rows, rates, currency, densities, on):
        self.rows, self.rates, self.currency, self.densities, self.on = rows, rates, currency, densities, on

    def exchange(self, money, currency):
        if currency == self.currency:
            return money
        best = None
        for day, one, value, other in self.rates:
            if {one, other} == {currency, self.currency} and (not self.on or day <= self.on) and (best is None or day > best[0]):
                best = (day, value if one == currency else 1 / value)
        return None if best is None else money * best[1]

    def of(self, name):
        """Money for a gram or a piece, or None."""
        best = None
        for day, what, pack, unit, money, currency in self.rows:
            if what != name or (self.on and day > self.on):
                continue
            own = self.exchange(float(money), currency)
            size = float(pack)
            if unit != "each":
                by, base = factor(unit)
                density = self.densities.get(name)
                size = size * by * ((density or 0) if base == "ml" else 1)
            each = own / size if own is not None and size else None
            if best is None or day > best[0]:
                best = (day, each)
            elif day == best[0] and each is not None and (best[1] is None or each > best[1]):
                best = (day, each)
        return best and best[1]


def price_text(rows):
    out = []
    for day, name, pack, unit, money, currency in rows:
        out.append(f'prices "Harbour supplier" on {day} {{\n    {pack} {unit} {name} for {money} {currency}\n}}\n')
    return "".join(out)


def check_product(check, told, prices, work, workshop, containers):
    what, cost = told["id"], told["cost"]
    units = told["units"]
    batch, complete = 0.0, True
    lines = {}
    for line in told["lines"]:
        key = (line["material"], line["role"])
        lines[key] = lines.get(key, 0.0) + line["mass_g"]
    got = {(l["id"], l["role"]): l for l in cost["lines"]}
    check(set(got) == set(lines) | {(c, "packaging") for c in containers}, f"{what}: every line is costed once")
    for key, amount in [*lines.items(), *(((c, "packaging"), float(units)) for c in containers)]:
        each = prices.of(key[0])
        line = got[key]
        if each is None:
            complete = False
            check(line["cost"] is None and line["price"]["missing"] is not None, f"{what}: {key[0]} has no cost, and says why")
            continue
        check(near(line["cost"], amount * each), f"{what}: {key[0]} costs {line['cost']}, not {amount * each}")
        check(near(line["price"]["per_unit"], each), f"{what}: the price of {key[0]}")
        batch += amount * each
    hours = None
    if work:
        hours = float(Fraction(work[0], 60) + Fraction(work[1], 60) * units)
    if hours is not None and workshop["labour"] is not None:
        batch += hours * workshop["labour"]
        check(near(cost["batch"]["labour"], hours * workshop["labour"]), f"{what}: labour")
    elif hours is not None or workshop["labour"] is not None:
        complete = False
        check(cost["batch"]["labour"] is None, f"{what}: labour is not known")
    if workshop["overhead"] is not None:
        batch *= 1 + workshop["overhead"] / 100
    check(near(cost["batch"]["total"], batch), f"{what}: the batch costs {cost['batch']['total']}, not {batch}")
    check(near(cost["each"]["cost"], batch / units), f"{what}: one of them")
    check(cost["complete"] == complete, f"{what}: complete is {complete}")
    wholesale = batch / units * workshop["wholesale"] if complete and workshop["wholesale"] else None
    retail = (wholesale if wholesale is not None else batch / units) * workshop["retail"] if complete and workshop["retail"] else None
    for name, own in (("wholesale", wholesale), ("retail", retail)):
        check(cost["each"][name] is None if own is None else near(cost["each"][name], own), f"{what}: {name}")
    # The parts of the batch add up to it.
    parts = [cost["batch"][k] for k in ("blend", "base", "packaging", "labour", "overhead") if cost["batch"][k] is not None]
    check(near(sum(parts), cost["batch"]["total"]), f"{what}: the parts add up")


def check_blend(check, told, prices):
    cost = told["cost"]
    each = [prices.of(part["material"]) for part in told["parts"]]
    if any(e is None for e in each):
        check(cost["per_g"] is None, f"{told['id']}: its cost is not known")
        known = sum(e * part["share_ww_percent"] / 100 for e, part in zip(each, told["parts"]) if e is not None)
        check(near(cost["at_least_per_g"] or 0, known), f"{told['id']}: a gram costs at least {known}")
        return
    gram = sum(e * part["share_ww_percent"] / 100 for e, part in zip(each, told["parts"]))
    check(near(cost["per_g"], gram), f"{told['id']}: a gram costs {cost['per_g']}, not {gram}")
    for line, e, part in zip(cost["lines"], each, told["parts"]):
        check(near(line["cost_percent"], e * part["share_ww_percent"] / gram), f"{told['id']}: share of {line['id']}")
        # Through the density and the workshop's dropper of 20 drops/ml.
        check(near(line["per_drop"], e * prices.densities[line["id"]] / 20), f"{told['id']}: a drop of {line['id']}")


def build(folder, *more):
    done = program.run("build", str(folder), "--to", "json", *more)
    return json.loads(done.out), done


def generated(check, rng, folder, densities):
    currency = rng.choice(("EUR", "GBP", "USD"))
    other = rng.choice([c for c in ("EUR", "GBP", "USD", "CHF") if c != currency])
    days = sorted(rng.sample([f"202{y}-{m:02}-15" for y in (4, 5, 6) for m in range(1, 12)], 3))
    on = rng.choice(("", days[1]))
    rows = []
    for name in OILS + BASES:
        for _ in range(rng.choice((0, 1, 1, 1, 2, 3))):
            rows.append((rng.choice(days), name, rng.choice((5, 10, 30, Fraction(5, 2), 100)), rng.choice(list(UNITS)),
                         Fraction(rng.randint(50, 40000), 100), rng.choice((currency, currency, other))))
    for name in ("jar", "label"):
        if rng.random() < 0.8:
            rows.append((rng.choice(days), name, rng.randint(1, 100), "each", Fraction(rng.randint(1, 9000), 100), rng.choice((currency, other))))
    rows = [(d, n, format(float(p), "g"), u, f"{float(m):.2f}", c) for d, n, p, u, m, c in rows]
    rates = [(rng.choice(days), *(pair := rng.sample((currency, other), 2))[:1], Fraction(rng.randint(50, 200), 100), pair[1])
             for _ in range(rng.choice((0, 1, 2)))]
    rates = {r[0]: r for r in rates}.values()  # of one day one
    workshop = {"labour": rng.choice((None, rng.randint(10, 40))), "overhead": rng.choice((None, rng.randint(1, 60))),
                "wholesale": rng.choice((None, 2, 2.5)), "retail": rng.choice((None, 2, 2.2))}
    text = f'workshop "Tern Yard Stillroom" {{\n    currency {currency}\n    dropper 20 drops/ml\n'
    if workshop["labour"]:
        text += f"    labour {workshop['labour']} {currency}/h\n"
    if workshop["overhead"]:
        text += f"    overhead {workshop['overhead']} %\n"
    for name in ("wholesale", "retail"):
        if workshop[name]:
            text += f"    {name} {workshop[name]}\n"
    text += "}\n" + "".join(f"rate 1 {a} = {float(v):g} {b} on {d}\n" for d, a, v, b in rates)
    text += 'container jar "Jar" { }\ncontainer label "Label" { }\n' + price_text(rows)
    works = {}
    packed = {}
    for i in range(4):
        oils = rng.sample(OILS, rng.randint(1, 4))
        text += f"blend b{i} {{\n" + "".join(f"    {rng.randint(1, 9)} parts {oil}\n" for oil in oils) + "}\n"
        works[f"p{i}"] = rng.choice((None, (rng.randint(5, 90), 0), (0, rng.randint(1, 9)), (rng.randint(5, 90), rng.randint(1, 9))))
        packed[f"p{i}"] = rng.choice(([], ["jar"], ["jar", "label"]))
        text += (f"product p{i} {{\n    blend b{i} at {rng.choice(('0.5', '1', '0.25'))} %\n    format body_oil of {rng.choice((50, 100))} ml\n"
                 f"    in {rng.choice(BASES)}\n    make {rng.randint(1, 40)}\n")
        if packed[f"p{i}"]:
            text += "    container jar\n"
        if len(packed[f"p{i}"]) > 1:
            text += "    packaging label\n"
        if works[f"p{i}"]:
            batch, each = works[f"p{i}"]
            text += "    work " + ", ".join(([f"{batch} min"] if batch else []) + ([f"{each} min/each"] if each else [])) + "\n"
        text += "}\n"
    file = folder / "priced.scruple"
    file.write_text(text)
    told, done = build(file, "--alone", *(("--on", on) if on else ()))
    if not check(told["products"] and done.code in (0, 1), f"it builds: {done.err[:300]}"):
        return
    prices = Prices(rows, list(rates), currency, densities, on)
    for product in told["products"]:
        if not check(product["complete"], f"{product['id']} is worked out"):
            continue
        if product["cost"] is None:
            check(not rows, "a cost is left out only where there are no prices")
            continue
        check(product["cost"]["currency"] == currency, "in the workshop's currency")
        check_product(check, product, prices, works[product["id"]], workshop, packed[product["id"]])
    for blend in told["blends"]:
        if rows:
            check_blend(check, blend, prices)


def example(check, densities):
    """The priced example, its files read by another reader than the program's."""
    here = Path(program.ROOT) / "examples" / "priced"
    text = "\n".join(re.sub(r"#.*", "", file.read_text()) for file in sorted(here.glob("*.scruple")))
    rows = []
    for day, body in re.findall(r'prices "[^"]*" on (\S+) \{(.*?)\n\}', text, re.S):
        for pack, unit, name, money, currency in re.findall(r"^\s+([\d.]+) (\w+)\s+(\w+)\s+for ([\d.]+) ([A-Z]{3})", body, re.M):
            rows.append((day, name, pack, unit, money, currency))
    rates = [(day, one, Fraction(value), other)
             for one, value, other, day in re.findall(r"rate 1 ([A-Z]{3}) = ([\d.]+) ([A-Z]{3}) on (\S+)", text)]
    said = {word: re.search(rf"^\s+{word}\s+([\d.]+)", text, re.M) for word in ("labour", "overhead", "wholesale", "retail")}
    workshop = {word: float(found.group(1)) for word, found in said.items()}
    works, packed = {}, {}
    for name, body in re.findall(r"^product (\w+)[^{]*\{(.*?)\n\}", text, re.S | re.M):
        batch, each = re.search(r"work\s+(\d+) min(?!/)", body), re.search(r"(\d+) min/each", body)
        works[name] = (int(batch.group(1)) if batch else 0, int(each.group(1)) if each else 0)
        packed[name] = re.findall(r"^\s+(?:container|packaging)\s+(\w+)", body, re.M)
    check(len(rows) == 13 and len(rates) == 1 and len(works) == 3, "the example's prices, rate and products are read")
    told, _ = build(here)
    prices = Prices(rows, rates, "EUR", densities, "")
    for product in told["products"]:
        check_product(check, product, prices, works[product["id"]], workshop, packed[product["id"]])
    for blend in told["blends"]:
        check_blend(check, blend, prices)
    # Its blend is counted in parts, its patchouli bought by the ounce: what the drop's price went through is told.
    told, _ = build(here, "--on", "2026-05-01")
    taken = " ".join(a["what"] for a in told["blends"][0]["assumptions"])
    check("patchouli weighs" in taken, "the density that an ounce's price went through is taken as given")
    scratch = text.replace("    dropper    20 drops/ml\n", "")
    with tempfile.TemporaryDirectory() as name:
        file = Path(name) / "undropped.scruple"
        file.write_text(scratch)
        told, _ = build(file, "--alone")
    taken = " ".join(a["what"] for a in told["blends"][0]["assumptions"])
    check("a dropper gives 20 drops/ml" in taken, "and so is a dropper that nobody stated")


def published(check, folder, densities):
    # Flash cards: 1000 ml of glycerin of density 1.25 at 5.43 a pound. The page rounds the pounds first (14.93); exactly
    # 1250 / 453.59237 * 5.43 = 14.963876.
    text = """workshop "Tern Yard Stillroom" {
    currency USD
}
ingredient still_glycerin "Glycerin" {
    density 1.25 g/ml
}
prices "Harbour supplier" on 2026-04-01 {
    1 lb still_glycerin for 5.43 USD
    8 g lavender for 4 USD
}
blend one { 1 part lavender }
"""
    ask = text + """product bath {
    blend one at 50 %
    format body_oil of 2000 ml
    in still_glycerin
    make 1
    extra 0 %
}
"""
    file = folder / "published.scruple"
    file.write_text(ask)
    told, _ = build(file, "--alone")
    line = {l["id"]: l for l in told["products"][0]["cost"]["lines"]}
    glycerin = line["still_glycerin"]
    check(near(glycerin["cost"] / glycerin["amount"] * 1250, 1250 / 453.59237 * 5.43, 1e-8), "glycerin by the pound")
    check(abs(glycerin["cost"] / glycerin["amount"] * 1250 - 14.93) < 0.04, "and near what the page prints")
    # The worksheet: half of a pack of 4.00 is 2.00.
    check(near(line["lavender"]["cost"] / line["lavender"]["amount"] * 4, 2.0), "half of a pack is half of its price")


def currencies(check, folder):
    codes = [c["alpha_3"] for c in json.loads(Path("/usr/share/iso-codes/json/iso_4217.json").read_text())["4217"]]
    check(len(codes) > 150, "the list of currencies is there")
    rng = random.Random(3)
    for code in rng.sample([c for c in codes if not c.startswith(("X", "U"))], 25):
        (folder / "currency.scruple").write_text(
            f'workshop "W" {{\n    currency {code}\n}}\nprices "P" on 2026-01-01 {{\n    10 ml lavender for 5 {code}\n}}\nblend b {{ 1 part lavender }}\n')
        told, done = build(folder / "currency.scruple", "--alone")
        check(told["blends"][0]["cost"]["currency"] == code, f"{code} is a currency")
    # Never mixed: without a rate a foreign price is unknown, whatever its figure.
    (folder / "currency.scruple").write_text(
        'workshop "W" {\n    currency EUR\n}\nprices "P" on 2026-01-01 {\n    10 ml lavender for 5 USD\n}\nblend b { 1 part lavender }\n')
    told, _ = build(folder / "currency.scruple", "--alone")
    cost = told["blends"][0]["cost"]
    check(cost["per_g"] is None and cost["lines"][0]["price"]["missing"] == "no_rate", "a foreign price without a rate is not known")


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--collections", type=int, default=60)
    parser.add_argument("--seed", type=int, default=7)
    given = parser.parse_args()
    program.need_binary()
    counts = [0, 0]

    def check(good, what):
        counts[0 if good else 1] += 1
        if not good and counts[1] <= 20:
            print("FAILED:", what)
        return good

    library = json.loads(program.run("library", "--to", "json").out)
    densities = {m["id"]: m["density"]["typical"] for m in library["oils"] + library["ingredients"] if m.get("density")}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        published(check, folder, densities)
        example(check, densities)
        currencies(check, folder)
        rng = random.Random(given.seed)
        for _ in range(given.collections):
            generated(check, rng, folder, densities)
    print(f"{counts[0]} passed, {counts[1]} failed")
    sys.exit(1 if counts[1] else 0)


if __name__ == "__main__":
    main()
