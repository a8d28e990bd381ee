#!/usr/bin/env python3
"""Laws of the whole program's results, on the example collections and on generated ones.

    python3 tests/laws.py [--seed 3] [--products 400] [--only WORD]

The ceiling that is printed passes when it is pasted back as a load, and one unit more in its last digit fails; scaling
keeps ratios; what is to be weighed adds up; what is asked for does not change what is found; an edit of one row is a
change of one line, and concerns only what names it; order, place, clock, time zone and language change no byte.
"""
import argparse
import json
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from decimal import Decimal

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import generate  # noqa: E402
import program  # noqa: E402
from mutations import tokens_of  # noqa: E402

EXAMPLES = os.path.join(program.ROOT, "examples")


# The collections --------------------------------------------------------------------------------------------------------

def copy_examples(folder):
    for name in ("stillroom", "shared_shelf"):
        shutil.copytree(os.path.join(EXAMPLES, name), os.path.join(folder, name))
    os.makedirs(os.path.join(folder, ".git"))
    return os.path.join(folder, "stillroom")


def recipes_below(folder):
    for at, folders, names in os.walk(folder):
        folders.sort()
        for name in sorted(names):
            if name.endswith(".scruple"):
                yield os.path.join(at, name)


def read(path):
    with open(path, encoding="utf-8", newline="") as file:
        return file.read()


def write(path, text):
    os.makedirs(os.path.dirname(path), exist_ok=True)
    with open(path, "w", encoding="utf-8", newline="") as file:
        file.write(text)


def build(path, *more, form="json", **options):
    done = program.run("build", path, "--to", form, *more, **options)
    return done, (json.loads(done.out, parse_float=Decimal, parse_int=Decimal) if form == "json" and done.out else None)


LOAD = re.compile(r"\b(at neat\b|at (?:[0-9][0-9.]*(?:/[0-9]+)? ?%|[a-z_]+)(?: v/v| w/w| of [a-z]+)*|"
                  r"using [0-9.]+ [a-z_]+|up to [0-9]+ drops?|between [0-9]+ and [0-9]+ drops?)(?=\s|$|\{)")


def product_rows(text):
    """(name of the product or line, offset and end of the row where its load stands, name of the blend) of a file."""
    out = []
    tokens = tokens_of(text)
    for at, token in enumerate(tokens):
        first_of_line = at == 0 or tokens[at - 1].line != token.line
        if first_of_line and token.text == "product" and token.begin and text[token.begin - 1] == "\n" or (token.text == "product" and token.begin == 0):
            name = tokens[at + 1].text
            for later in range(at + 2, len(tokens)):
                if tokens[later].text == "blend" and tokens[later].line != tokens[later - 1].line:
                    begin = tokens[later].begin
                    out.append((name, begin, text.find("\n", begin), tokens[later + 1].text))
                    break
    return out


def with_load(row, load):
    """The row with another load."""
    code, mark, comment = row.partition("#")
    changed, count = LOAD.subn(load, code, count=1)
    if count == 0:
        changed = f"{code.rstrip()} {load} "
    return (changed.rstrip() if not mark else changed) + mark + comment


def load_words(ceiling, text):
    of = ceiling["of"]
    if ceiling["basis"] == "v/v":
        return f"at {text} % v/v"
    return f"at {text} % of {of}"


def next_up(text):
    places = len(text.partition(".")[2])
    return f"{Decimal(text) + Decimal(1).scaleb(-places):.{places}f}"


# Ceilings ---------------------------------------------------------------------------------------------------------------

RESTRICTED_BASES = """ingredient spiked "Spiked carrier" {
    density    0.91 g/ml at 20 C
    contains {
        0.11 %     eugenol
        0.02 %     citral
        0.3 %      linalool
    }
}

base holds_clove "Holds clove" {
    0.3 %      clove_bud
    rest       jojoba
}

base holds_peel "Holds peel" {
    phase oil "Oil" {
        0.7 %      lemon_expressed
        0.05 %     bergamot_expressed
        rest       squalane
    }
    phase scent "Scent" {
        blend
    }
}

base holds_of_total "Holds clove, of the whole" {
    0.2 % of total clove_bud
    rest       jojoba
}

base over_by_itself "Holds too much" {
    9 %        clove_bud
    rest       jojoba
}
"""

# Format, size, and how loads may be said there.
SHAPES = [
    ("body_oil", "100 ml", ("total", "v/v", "base")), ("massage_oil", "250 ml", ("total", "v/v")), ("roll_on", "10 ml", ("total", "v/v", "drops")),
    ("pipette_oil", "15 ml", ("drops", "total")), ("body_lotion", "200 ml", ("total", "base")), ("sugar_scrub", "200 g", ("total", "base")),
    ("room_spray", "100 ml", ("total",)), ("candle_soy", "180 g", ("wax", "total")), ("wax_melt", "60 g", ("wax",)),
    ("reed_diffuser", "100 ml", ("total", "v/v")), ("soap_melt_pour", "80 g", ("base", "total")), ("shampoo", "250 ml", ("base", "total")),
    ("lip_balm", "5 g", ("total",)), ("bath_oil", "100 ml", ("total",)), ("hair_oil", "50 ml", ("total", "v/v", "using")), ("face_serum_oil", "30 ml", ("total", "using")),
]
OIL_BASES = [None, None, "jojoba", "62 % jojoba, 38 % squalane", "holds_clove", "holds_peel", "holds_of_total", "spiked", "over_by_itself",
             "70 % jojoba, 29.5 % squalane, 0.5 % lemon_expressed"]


class Wanted:
    """A generated product; its load can be put anew."""

    def __init__(self, name, blend, form, size, base, load):
        self.name, self.blend, self.form, self.size, self.base, self.load = name, blend, form, size, base, load

    def text(self, load=None):
        rows = [f'product {self.name} "{self.name}" {{', f"    blend      {self.blend} {load or self.load}", f"    format     {self.form} of {self.size}"]
        if self.base:
            rows.append(f"    in         {self.base}")
        return "\n".join(rows + ["    make       100", "}", "", ""])


def generated(seed, count):
    chance = random.Random(seed)
    oils = generate.library_oils()
    with open(os.path.join(program.ROOT, "stdlib", "oils", "restricted.scruple"), encoding="utf-8") as file:
        restricted = re.findall(r"^oil ([a-z][a-z0-9_]*) ", file.read(), re.M)
    # Those that rules know best, more often than the others
    known = ["clove_bud", "lemon_expressed", "bergamot_expressed", "lime_expressed", "lemongrass", "cinnamon_bark", "ylang_ylang_complete", "basil_ct_estragole",
             "melissa", "tea_tree", "geranium", "lavender", "grapefruit", "orange_sweet"]
    known = [oil for oil in known if oil in oils]
    blends, wanted = [], []
    for number in range(count):
        some = set(chance.sample(oils, chance.randint(1, 3))) | set(chance.sample(known, chance.randint(1, 4)))
        if chance.random() < 0.05 and restricted:
            some.add(chance.choice(restricted))
        by = chance.choice(("parts", "parts", "drops", "weight"))
        rows = [f'blend b{number} "b{number}" {{'] + (["    by         weight"] if by == "weight" else [])
        for oil in sorted(some, key=lambda o: chance.random()):
            rows.append(f"    {chance.randint(1, 40)} {'drops' if by == 'drops' else 'parts'} {oil}")
        blends.append("\n".join(rows + ["}", "", ""]))
        form, size, ways = chance.choice(SHAPES)
        base = chance.choice(OIL_BASES) if form in ("body_oil", "massage_oil", "roll_on", "pipette_oil", "hair_oil", "face_serum_oil") else None
        way = chance.choice(ways)
        load = {"total": f"at {chance.choice(('0.05', '0.3', '1', '4'))} %", "v/v": f"at {chance.choice(('0.1', '1', '3'))} % v/v",
                "base": f"at {chance.choice(('0.2', '1', '2'))} % of base", "wax": f"at {chance.choice(('2', '5', '8'))} % of wax",
                "using": f"using {chance.choice(('0.1', '0.4', '1'))} ml", "drops": f"up to {chance.randint(90, 200)} drops"}[way]
        wanted.append(Wanted(f"p{number}", f"b{number}", form, size, base, load))
    return "".join(blends), wanted


def by_id(document):
    return {p["id"]: p for p in document["products"]}


HARD = {"over_limit", "phototoxic_sum", "prohibited", "undiluted_on_skin", "over_without_blend"}
SOFT = {"over_at_maximum", "over_derived"}


def printed(path, products, tally):
    """What the sheets print as ceilings: {(product, kind): text}. Checked against the formula document on the way."""
    text = program.run("build", path, "--to", "sheet", timeout=120).out.decode("utf-8")
    # The sheets follow each other; each opens with title and name on one line.
    starts = {}
    for name in products:
        found = re.search(rf"^\S.* {name}$", text, re.M)
        if tally.check(found is not None, f"{name} has a sheet"):
            starts[name] = found.start()
    order = sorted(starts.values()) + [len(text)]
    out = {}
    for name, begin in starts.items():
        sheet = text[begin:order[order.index(begin) + 1]]
        for kind, words in (("ceiling", "Safe ceiling"), ("careful", "Careful ceiling")):
            ceiling = products[name]["safety"][kind]
            found = re.search(rf"^  {words} +at most ([0-9.]+) %", sheet, re.M)
            if ceiling["state"] != "bound":
                tally.check(found is None, f"{name}: no {kind} is printed where none is known", found and found.group())
                if ceiling["state"] == "over_without_blend" and kind == "ceiling":
                    tally.check("Safe ceiling     none" in sheet, f"{name}: the sheet says that there is none", re.findall(r"Safe ceiling.*", sheet))
                continue
            if tally.check(found is not None, f"{name}: the sheet prints its {kind}", sheet[:200]):
                out[name, kind] = found.group(1)
                tally.check(Decimal(found.group(1)) == ceiling["value_percent"], f"{name}: sheet and document agree on the {kind}",
                            f"{found.group(1)} {ceiling['value_percent']}")
    return out


def by_rules(safety):
    """The verdict but for what is only too strong for those whom the product is for: that has a ceiling of its own, the usual
    dilution."""
    usual = safety["usual_dilution"]
    beside = safety["verdict"] == "warns" and usual and usual["over"] and not any(c["verdict"] == "warns" for c in safety["checks"])
    return "passes" if beside else safety["verdict"]


def check_ceilings(tally, where, products, on_sheets, put):
    """`on_sheets` is what the sheets print; `put(loads)` builds the collection with other loads, by product, and gives its formula document."""
    told = {"bound": 0, "over_without_blend": 0, "none_applies": 0, "not_known": 0}
    for kind in ("ceiling", "careful"):
        texts = {name: text for (name, which), text in on_sheets.items() if which == kind}
        at = put({name: load_words(products[name]["safety"][kind], text) for name, text in texts.items() if Decimal(text) > 0})
        above = put({name: load_words(products[name]["safety"][kind], next_up(text)) for name, text in texts.items()})
        for name, text in texts.items():
            safety = products[name]["safety"]
            what = f"{where}: {name}: the {kind} {load_words(safety[kind], text)}"
            fine, bad = ({"passes", "unknown", "warns"}, {"fails"}) if kind == "ceiling" else ({"passes", "unknown"}, {"warns", "fails"})
            if Decimal(text) > 0:
                if tally.check(name in at and at[name]["complete"], f"{what} can be pasted"):
                    tally.check(by_rules(at[name]["safety"]) in fine, f"{what} passes", reason(at[name]))
                    same = at[name]["safety"][kind]
                    tally.check(same["state"] == "bound" and same["value_percent"] == Decimal(text), f"{what} stays the same when it is used", same)
            if tally.check(name in above and above[name]["complete"], f"{what}, and one more, can be pasted"):
                tally.check(above[name]["safety"]["verdict"] in bad, f"{what}: {next_up(text)} does not", reason(above[name]))
                failing = {c["rule"] for c in above[name]["safety"]["checks"] if c["verdict"] in bad}
                if kind == "ceiling":
                    tally.check(safety[kind]["bound_by"] in failing, f"{what}: the rule that is named is the one that breaks", f"{safety[kind]['bound_by']}\n{failing}")
    # Where the base is over by itself no load is low enough, and where nothing applies a high one passes.
    low = put({name: load_words(p["safety"]["ceiling"], "0.000001") for name, p in products.items() if p["safety"]["ceiling"]["state"] == "over_without_blend"})
    high = put({name: load_words(p["safety"]["ceiling"], "30") for name, p in products.items() if p["safety"]["ceiling"]["state"] == "none_applies"})
    for name, product in products.items():
        state = product["safety"]["ceiling"]["state"]
        told[state] += 1
        if state == "over_without_blend":
            tally.check(product["safety"]["ceiling"]["value_percent"] is None, f"{where}: {name}: no ceiling is printed")
            tally.check(low[name]["safety"]["verdict"] == "fails", f"{where}: {name}: over without blend, so a trace of it fails too", reason(low[name]))
        elif state == "none_applies":
            tally.check(high[name]["safety"]["verdict"] != "fails", f"{where}: {name}: nothing applies, so 30 % does not fail", reason(high[name]))
    print(f"  {where}: {len(products)} products, ceilings: {told}")
    return told


def reason(product):
    rows = [f"verdict {product['safety']['verdict']}, load {product['load']['text']}, ww {product['load']['ww_percent']}",
            f"ceiling {product['safety']['ceiling']}", f"careful {product['safety']['careful']}"]
    for check in product["safety"]["checks"][:3]:
        rows.append(f"{check['rule']}: {check['actual_percent']} of {check['limit_percent']}, used {check['used_percent']} "
                    f"({check['used_at_maximum_percent']} at most): {check['verdict']}")
    return "\n".join(rows)


def ceilings(tally, given, folder):
    # Generated, on every basis
    blends, wanted = generated(given.seed, given.products)
    path = os.path.join(folder, "made")
    write(os.path.join(path, "collection.scruple"), RESTRICTED_BASES + "\n" + blends)

    def put(loads=None):
        write(os.path.join(path, "products.scruple"), "".join(w.text((loads or {}).get(w.name)) for w in wanted))
        done, document = build(path, timeout=120)
        if not tally.check(done.code in (0, 1) and document is not None, f"generated products build: {done.ending()}", done.err[:500].decode()):
            return {}
        return by_id(document)

    products = put()
    told = check_ceilings(tally, "generated", products, printed(path, products, tally), put)
    tally.check(told["bound"] >= given.products // 4 and told["over_without_blend"] > 0, "the generated products hold enough ceilings", told)
    done = program.run("check", path, "--diagnostics", "json")
    codes = {d["code"] for d in done.diagnostics()}
    tally.check("over_without_blend" in codes or told["over_without_blend"] == 0, "a base that is over by itself is said so", sorted(codes))
    bases = {(p["safety"]["ceiling"]["basis"], p["safety"]["ceiling"]["of"]) for p in products.values() if p["safety"]["ceiling"]["state"] == "bound"}
    tally.check({("w/w", "total"), ("v/v", "total"), ("w/w", "base")} <= bases, "ceilings on every basis were met", bases)

    # The examples, each product by editing its own row
    room = copy_examples(os.path.join(folder, "examples"))
    originals = {p: read(p) for p in recipes_below(room)}

    def edit(loads):
        for file, text in originals.items():
            out, last = "", 0
            rows = product_rows(text) + line_rows(text)
            for name, begin, end, _ in sorted(rows, key=lambda r: r[1]):
                if name not in loads:
                    continue
                out += text[last:begin] + with_load(text[begin:end], loads[name])
                last = end
            write(file, out + text[last:])
        done, document = build(room)
        for file, text in originals.items():
            write(file, text)
        if not tally.check(done.code in (0, 1) and document is not None, f"the examples build: {done.ending()}", done.err[:500].decode()):
            return {}
        return by_id(document)

    _, document = build(room)
    products = by_id(document)
    rows = {row[0] for text in originals.values() for row in product_rows(text) + line_rows(text)}
    tally.check(set(products) <= rows, "the row of every example product was found", sorted(set(products) - rows))
    check_ceilings(tally, "examples", products, printed(room, products, tally), edit)


def line_rows(text):
    """Products of lines: (name, begin, end, blend) of each row; the name is what `as` says, or LINE_FORMAT_SIZE."""
    out = []
    for match in re.finditer(r"^line ([a-z0-9_]+)[^\n]* of ([a-z0-9_.]+) *\{\n(.*?)^\}", text, re.M | re.S):
        line, blend, block = match.groups()
        offset = match.start(3)
        for row in re.finditer(r"^    [0-9]+ +([a-z0-9_]+) of ([a-z0-9_.]+(?: [a-z]+)?)[^\n]*", block, re.M):
            form, size = row.groups()
            size = size if re.match(r"[0-9]", size) else size.split(" ")[0]
            own = re.search(r" as ([a-z0-9_]+)", row.group())
            out.append((own.group(1) if own else f"{line}_{form}_{size.replace(' ', '').replace('.', '_')}",
                        offset + row.start(), offset + row.end(), blend))
    return out


# Amounts ----------------------------------------------------------------------------------------------------------------

def amounts(tally, given, folder):
    room = copy_examples(os.path.join(folder, "examples"))
    made = os.path.join(folder, "made")
    blends, wanted = generated(given.seed + 1, given.products)
    write(os.path.join(made, "collection.scruple"), 'workshop "W" {\n    weighs_to  0.01 g up to 200 g, 1 g up to 60 kg\n}\n' + RESTRICTED_BASES + blends)
    write(os.path.join(made, "products.scruple"), "".join(w.text() for w in wanted))
    for path in (room, made):
        documents = {}
        for make in (None, 1, 7, 24, 1000):
            _, document = build(path, *(["--make", str(make)] if make else []))
            documents[make] = document
            for product in document["products"]:
                if product["complete"]:
                    add_up(tally, product, make, scales_of(path))
        one = by_id(documents[1])
        for make in (7, 24, 1000):
            for name, product in by_id(documents[make]).items():
                if not product["complete"]:
                    continue
                what = f"{name} made {make} times"
                tally.check(product["units"] == make, f"{what}: so many units", product["units"])
                pairs = list(zip(product["lines"], one[name]["lines"]))
                tally.check(len(product["lines"]) == len(one[name]["lines"]) and all(a["material"] == b["material"] and close(a["percent_ww"], b["percent_ww"]) for a, b in pairs),
                            f"{what}: the same lines with the same shares")
                tally.check(all(close(a["mass_g"], b["mass_g"] * make) for a, b in pairs), f"{what}: each line is {make} times the one of a single unit")
                tally.check(product["load"] == one[name]["load"], f"{what}: the same load", f"{product['load']}\n{one[name]['load']}")
        for blend in documents[None]["blends"]:
            if blend["complete"]:
                tally.check(close(sum(p["share_ww_percent"] for p in blend["parts"]), 100), f"{blend['id']}: shares by weight add up to 100")
                shares = [p["share_vv_percent"] for p in blend["parts"]]
                unknown = shares.count(None)  # all or none: without one density no share by volume is known
                tally.check(unknown == len(shares) or (unknown == 0 and close(sum(shares), 100)), f"{blend['id']}: shares by volume add up to 100", shares)
                exact(tally, blend)


def exact(tally, blend):
    """The whole ratio is the parts' ratio, exactly."""
    from fractions import Fraction
    parts = [Fraction(p["parts"].rstrip("% ")) if re.fullmatch(r"[0-9./]+( ?%)?", p["parts"]) else None for p in blend["parts"]]
    if blend["whole_ratio"] and None not in parts and parts and all("." not in str(p) for p in parts):
        ratio = [Fraction(int(n)) for n in blend["whole_ratio"]]
        tally.check(all(a * ratio[0] == b * parts[0] for a, b in zip(parts, ratio)), f"{blend['id']}: whole numbers keep the ratio", f"{parts}\n{ratio}")


def close(a, b, relative=Decimal("1e-8")):
    return abs(a - b) <= relative * max(abs(a), abs(b))


def scales_of(folder):
    """(division, capacity) of each scale that the workshop names, in grams, finest first."""
    grams = {"mg": Decimal("0.001"), "g": Decimal(1), "kg": Decimal(1000)}
    for path in recipes_below(folder):
        row = re.search(r"^    weighs_to +(.*)$", read(path), re.M)
        if row:
            found = re.findall(r"([0-9.]+) (m?g|kg) up to ([0-9.]+) (m?g|kg)", row.group(1))
            return sorted((Decimal(a) * grams[u], Decimal(b) * grams[v]) for a, u, b, v in found)
    return [(Decimal("0.01"), None)]


def add_up(tally, product, make, scales):
    what = f"{product['id']}{f' made {make} times' if make else ''}"
    lines, batch = product["lines"], product["batch"]
    tally.check(close(sum(line["percent_ww"] for line in lines), 100), f"{what}: the lines are 100 %", sum(line["percent_ww"] for line in lines))
    tally.check(close(sum(line["mass_g"] for line in lines), batch["mass_g"]), f"{what}: the lines are the batch")
    blend = sum(line["percent_ww"] for line in lines if line["role"] == "blend")
    tally.check(close(blend, product["load"]["ww_percent"]), f"{what}: the blend's lines are the load", f"{blend} {product['load']['ww_percent']}")
    division = batch["scale_division_g"]
    if batch["weigh_g"] is not None:
        weighed = [line["weigh_g"] for line in lines]
        tally.check(sum(weighed) == batch["weigh_g"], f"{what}: what is weighed adds up to the gram", f"{weighed}\n{sum(weighed)} is not {batch['weigh_g']}")
        # Each line stands on the finest scale that takes it, else on the largest.
        own = [next((d for d, most in scales if most is None or line["mass_g"] <= most), scales[-1][0]) for line in lines]
        tally.check(division == min(own), f"{what}: the division that is told is the finest of those used", f"{division} {own}")
        tally.check(all(line["weigh_g"] % d == 0 for line, d in zip(lines, own)), f"{what}: what is weighed can be read off the scale", f"{weighed} {own}")
        tally.check(all(abs(line["weigh_g"] - line["mass_g"]) <= d * (1 + Decimal("1e-6")) for line, d in zip(lines, own)),
                    f"{what}: no line is off by more than a division", [(line["material"], line["weigh_g"], line["mass_g"]) for line in lines])
        tally.check(abs(batch["weigh_g"] - batch["mass_g"]) <= sum(set(own)) / 2 * (1 + Decimal("1e-6")), f"{what}: the total is rounded to the nearest",
                    f"{batch['weigh_g']} {batch['mass_g']} {own}")
    if product["drop_plan"]:
        plan = product["drop_plan"]
        tally.check(sum(plan["drops"]) == plan["total"], f"{what}: drops add up", plan)
        tally.check(plan["multiple"] == 0 or plan["worst_error_percent"] == 0, f"{what}: a whole multiple has no error", plan)


# Views ------------------------------------------------------------------------------------------------------------------

SLIPS = [
    ("blends/shore.scruple", "    4 parts    shed_lavender", "    4 parts    shed_lavander"),
    ("blends/house.scruple", "    6 parts    orange_sweet", "    6 grams    orange_sweet"),
    ("products/skin.scruple", "at 1.2 %", "at 1,2 %"),
    ("products/rooms.scruple", "    make       20\n", "    make       20\n    mak        3\n"),
    ("bases.scruple", "    0.5 %          tocopherol_mixed", "    0.5 %          tocopherol_mixd"),
    ("line.scruple", "salt_scrub of 200 g", "salt_scrubb of 200 g"),
]


def views(tally, given, folder):
    """Root, folder or single file, from wherever: the same findings."""
    for slips in (False, True):
        room = copy_examples(os.path.join(folder, f"slips_{slips}"))
        for file, old, new in SLIPS if slips else []:
            text = read(os.path.join(room, file))
            tally.check(old in text, f"{file} holds what is mistaken there", old)
            write(os.path.join(room, file), text.replace(old, new, 1))
        whole = program.run("check", room, "--diagnostics", "json").diagnostics()
        tally.check(not slips or len({d["file"] for d in whole}) >= 5, "mistakes in several files", sorted({str(d["file"]) for d in whole}))
        files = sorted(os.path.relpath(p, room) for p in recipes_below(room))
        folders = sorted({os.path.dirname(f) for f in files} - {""})
        asked = [(f, [f]) for f in files] + [(f, [g for g in files if g.startswith(f + "/")]) for f in folders]
        asked += [((files[0], files[-1]), [files[0], files[-1]]), ((".",), files)]
        for path, shown in asked:
            paths = [path] if isinstance(path, str) else list(path)
            expected = [d for d in whole if d["file"] in shown]
            for here, words in ((None, [os.path.join(room, p) for p in paths]), (room, paths), (os.path.join(room, "blends"), [os.path.join("..", p) for p in paths])):
                got = program.run("check", *words, "--diagnostics", "json", cwd=here).diagnostics()
                tally.check(got == expected, f"{' '.join(paths)} seen from {'outside' if here is None else os.path.relpath(here, room)}: the same findings",
                            f"{len(expected)} expected, {len(got)} found\n" + difference(expected, got))
        here = program.run("check", "--diagnostics", "json", cwd=room).diagnostics()
        tally.check(here == whole, "no path at all is the folder that one stands in")
        _, one = build(os.path.join(room, "blends"))
        _, all_ = build(room)
        of_folder = {b["id"]: b for b in all_["blends"]}
        tally.check(bool(one["blends"]) and all(of_folder[b["id"]] == b for b in one["blends"]), "a folder's blends are built as the whole builds them")


def difference(a, b):
    short = lambda d: f"{d['code']} {d['file']} {d['range'] and d['range']['start']} {d['message'][:80]}"
    return "\n".join(["missing: " + short(d) for d in a if d not in b] + ["more: " + short(d) for d in b if d not in a])


# Order ------------------------------------------------------------------------------------------------------------------

def declarations(text):
    """Top-level declarations of a file, each with the doc lines right above it; loose comments are dropped."""
    out, depth, start = [], 0, None
    doc = []
    for line in text.split("\n"):
        if depth == 0 and start is None:
            if line.startswith("##"):
                doc.append(line)
                continue
            if not line.strip() or line.startswith("#"):
                doc = []
                continue
            start = doc + [line]
            doc = []
        else:
            start.append(line)
        for token in tokens_of(line):
            depth += (token.text == "{") - (token.text == "}")
        if depth == 0:
            out.append("\n".join(start) + "\n")
            start = None
    return out


def order(tally, given, folder):
    chance = random.Random(given.seed)
    room = copy_examples(os.path.join(folder, "examples"))
    originals = {p: read(p) for p in recipes_below(room)}
    pieces = [d for text in originals.values() for d in declarations(text)]
    outputs = outputs_of(room, os.path.join(folder, "out"))
    tally.check(len(pieces) > 40, "there is something to shuffle", len(pieces))
    for number in range(6):
        uses = [d for d in pieces if d.startswith("use ")]
        rest = [d for d in pieces if not d.startswith("use ")]
        chance.shuffle(rest)
        for path in originals:
            os.remove(path)
        count = [1, 2, 5, len(rest)][number % 4]
        files = [[] for _ in range(count)]
        for at, piece in enumerate(rest):
            files[at % count].append(piece)
        write(os.path.join(room, "collection.scruple"), "\n".join(uses + files[0]))
        extra = []
        for at, part in enumerate(files[1:]):
            path = os.path.join(room, chance.choice("abcxyz") + "/" * (at % 2) + f"{at}.scruple")
            extra.append(path)
            write(path, "\n".join(part))
        again = outputs_of(room, os.path.join(folder, f"out{number}"))
        for form in outputs:
            tally.check(again[form] == outputs[form], f"declarations in another order in {count} files: the same {form}", first_difference(outputs[form], again[form]))
        for path in extra:
            os.remove(path)
        for path, text in originals.items():
            write(path, text)
    # Rows of a blend in another order are the same blend.
    _, before = build(room)
    for path in originals:
        text = originals[path]
        for match in re.finditer(r"^(?:blend) [^\n]*\{\n(.*?)^\}", text, re.M | re.S):
            rows = match.group(1).split("\n")[:-1]
            chance.shuffle(rows)
            text = text.replace(match.group(1), "\n".join(rows) + "\n", 1)
        write(path, text)
    _, after = build(room)
    prints = lambda document: {b["id"]: b["fingerprint"] for b in document["blends"]}
    tally.check(prints(before) == prints(after), "rows of a blend in another order: the same fingerprint", difference_of(prints(before), prints(after)))
    verdicts = lambda document: {p["id"]: (p["safety"]["verdict"], p["safety"]["ceiling"]["value_percent"]) for p in document["products"]}
    tally.check(verdicts(before) == verdicts(after), "rows of a blend in another order: the same verdicts and ceilings")


def difference_of(a, b):
    return "\n".join(f"{k}: {a.get(k)} {b.get(k)}" for k in sorted(set(a) | set(b)) if a.get(k) != b.get(k))


def outputs_of(room, out):
    """All that is built, as bytes; findings apart, which name places."""
    result = {}
    for form in ("sheet", "markdown", "csv", "json"):
        done = program.run("build", room, "--to", form)
        text = done.out.decode("utf-8")
        if form == "json":
            document = json.loads(text)
            del document["diagnostics"]
            for part in ("blends", "products", "rules"):
                document[part].sort(key=lambda entry: entry["id"])
            result["entries of the json"] = json.dumps(document, indent=1)
            text = re.sub(r'\n  "diagnostics": \[.*\Z', "", text, flags=re.S)
        result[form] = text
    for form in ("sheet", "markdown"):
        program.run("build", room, "--to", form, "--out", out)
    result["files of blends and products"] = "\n".join(f"{name}:\n{read(os.path.join(out, name))}" for name in sorted(os.listdir(out)))
    return result


def first_difference(a, b):
    for number, (x, y) in enumerate(zip(a.split("\n"), b.split("\n"))):
        if x != y:
            return f"line {number + 1}:\n- {x[:160]}\n+ {y[:160]}"
    return f"{len(a)} and {len(b)} characters"


# Surroundings -----------------------------------------------------------------------------------------------------------

def surroundings(tally, given, folder):
    room = copy_examples(os.path.join(folder, "here"))
    elsewhere = os.path.join(folder, "some where é else")
    os.makedirs(elsewhere)
    far = copy_examples(elsewhere)
    for file, old, new in SLIPS[2:4]:
        for place in (room, far):
            text = read(os.path.join(place, file))
            write(os.path.join(place, file), text.replace(old, new, 1))
    commands = [("check", "R", "--diagnostics", form) for form in ("text", "json", "sarif")]
    commands += [("build", "R", "--to", form) for form in ("sheet", "markdown", "csv", "json")]
    commands += [("library", "lavender"), ("explain", "over_limit"), ("--version",), ("build", "R", "--to", "sheet", "--on", "2026-05-02")]
    plain = {k: v for k, v in os.environ.items() if not k.startswith(("LC_", "LANG", "TZ"))}

    def take(place, **options):
        return [(done.code, done.out, done.err) for done in (program.run(*[place if w == "R" else w for w in c], **options) for c in commands)]

    reference = take(room, env={**plain, "LC_ALL": "C", "TZ": "UTC"})
    faketime = shutil.which("faketime")
    tally.check(faketime is not None, "faketime is installed (Debian package faketime)")
    settings = {
        "a second time": dict(env={**plain, "LC_ALL": "C", "TZ": "UTC"}),
        "time zone Pacific/Auckland": dict(env={**plain, "TZ": "Pacific/Auckland"}),
        "time zone America/St_Johns": dict(env={**plain, "TZ": "America/St_Johns"}),
        "language de_DE": dict(env={**plain, "LC_ALL": "de_DE.UTF-8", "LANG": "de_DE.UTF-8"}),
        "language tr_TR": dict(env={**plain, "LC_ALL": "tr_TR.UTF-8"}),
        "no environment": dict(env={}),
        "a wide terminal": dict(env={**plain, "COLUMNS": "200", "LINES": "9"}),
        "NO_COLOR": dict(env={**plain, "NO_COLOR": "1", "TERM": "dumb"}),
        "another folder": dict(place=far),
    }
    if faketime:
        settings["clock at 2001-01-01"] = dict(prefix=(faketime, "-f", "2001-01-01 00:00:01"), env=plain)
        settings["clock at 2039-12-31"] = dict(prefix=(faketime, "-f", "2039-12-31 23:59:58"), env={**plain, "TZ": "Asia/Tokyo"})
    if shutil.which("taskset"):
        settings["one processor"] = dict(prefix=("taskset", "-c", str(min(os.sched_getaffinity(0)))), env=plain)
    for name, options in settings.items():
        got = take(options.pop("place", room), **options)
        for command, a, b in zip(commands, reference, got):
            tally.check(a == b, f"{' '.join(command)}: the same bytes with {name}", f"exit {a[0]} and {b[0]}\n" + first_difference((a[1] + a[2]).decode(), (b[1] + b[2]).decode()))
    # Many products, so that several threads really run
    generate.write(os.path.join(folder, "many"), 1500, files=7)
    words = [("check", os.path.join(folder, "many"), "--diagnostics", "json"), ("build", os.path.join(folder, "many"), "--to", "json")]
    for command in words:
        first = program.run(*command, timeout=120)
        if shutil.which("taskset"):
            single = program.run(*command, timeout=120, prefix=("taskset", "-c", str(min(os.sched_getaffinity(0)))))
            tally.check((single.code, single.out, single.err) == (first.code, first.out, first.err), f"{command[0]} of many: one processor, the same bytes")
        again = program.run(*command, timeout=120)
        tally.check((again.code, again.out, again.err) == (first.code, first.out, first.err), f"{command[0]} of many: again, the same bytes")


# One row, one line ----------------------------------------------------------------------------------------------------

class Declaration:
    """A top-level declaration: its name, its lines (first and last, from 0), and the words that it holds."""

    def __init__(self, tokens):
        self.name = tokens[1].text if len(tokens) > 1 and tokens[1].kind == "word" else tokens[0].text
        self.first = tokens[0].line
        self.last = tokens[-1].line
        self.words = {part for t in tokens if t.kind == "word" for part in t.text.split(".")}
        self.rows = rows_within(tokens)
        if tokens[0].text == "use":
            self.name = tokens[-1].text
        # A lot is called by the text on its bottle, and a product's row `lots` says it.
        if tokens[0].text == "lot":
            self.name = tokens[1].text
        self.words |= {t.text for t in tokens if t.text.startswith('"')}


def rows_within(tokens):
    """The rows of a declaration's blocks, each the tokens of its head: a row ends with its line, unless a comma does."""
    rows, row, depth = [], [], 0
    for at, token in enumerate(tokens):
        new_line = at > 0 and token.line != tokens[at - 1].line and tokens[at - 1].text != ","
        if row and (new_line or token.text in "{}"):
            rows.append((depth, row))
            row = []
        if token.text in "{}":
            depth += 1 if token.text == "{" else -1
        else:
            row.append(token)
    if row:
        rows.append((depth, row))
    return [row for depth, row in rows if depth > 0]


def declared(text):
    out, depth, part = [], 0, []
    tokens = tokens_of(text)
    for at, token in enumerate(tokens):
        if part and depth == 0 and token.line != tokens[at - 1].line:
            out.append(Declaration(part))
            part = []
        depth += (token.text == "{") - (token.text == "}")
        part.append(token)
    return out + ([Declaration(part)] if part else [])


def concerned(name, all_declarations):
    """The names of what may change when the declaration of a name does: it, and all that says its name."""
    out, grown = {name}, True
    while grown:
        more = {d.name for d in all_declarations if d.name not in out and d.words & out}
        out |= more
        grown = bool(more)
    return out


def numstat(folder, before, after):
    """Lines in and lines out, as git counts them."""
    old, new = os.path.join(folder, "old"), os.path.join(folder, "new")
    write(old, before)
    write(new, after)
    done = subprocess.run(["git", "diff", "--no-index", "--numstat", old, new], stdout=subprocess.PIPE, check=False)
    added, removed = (done.stdout.decode().split() + ["0", "0"])[:2]
    return int(added), int(removed)


def one_row_edits(chance, text, declaration):
    """(what, text after it, how many lines it may put in and take out) for one row of a declaration."""
    lines = text.split("\n")
    row = chance.choice(declaration.rows)
    first, last = row[0].line, row[-1].line
    figures = [t for t in row if t.kind == "number"]
    if figures:
        figure = chance.choice(figures)
        digit = figure.text[-1]
        changed = text[:figure.end - 1] + ("4" if digit != "4" else "6") + text[figure.end:]
        yield f"another figure in line {first + 1}", changed, (1, 1)
    opens = any(t.text == "{" for t in tokens_of(lines[last]))
    if first == last and not opens:
        yield f"line {first + 1} taken out", "\n".join(lines[:first] + lines[first + 1:]), (0, 1)
    if declaration.last > declaration.first:
        yield (f"a row before line {declaration.last + 1}",
               "\n".join(lines[:declaration.last] + ['    remark     "one row more"'] + lines[declaration.last:]), (1, 0))


def one_row(tally, given, folder):
    """An edit of one row is one line for whoever reads the change, and means nothing for what does not say its name."""
    chance = random.Random(given.seed)
    rooms = [os.path.join(folder, "room", name) for name in ("stillroom", "shared_shelf", "first", "wrong")]
    copy_examples(os.path.join(folder, "room"))
    for room in rooms[2:]:
        shutil.copytree(os.path.join(EXAMPLES, os.path.basename(room)), room)
    edits = 0
    for room in rooms:
        texts = {p: read(p) for p in recipes_below(room)}
        everything = [d for path in texts for d in declared(texts[path])]
        wrong = os.path.basename(room) == "wrong"
        _, before = build(room)
        for path, text in texts.items():
            shown = os.path.relpath(path, os.path.join(folder, "room"))
            declarations_here = declared(text)
            # A line holds one row: what opens a block on it ends it.
            for number, line in enumerate(text.split("\n")):
                words = [t.text for t in tokens_of(line)]
                tally.check("{" not in words[:-1] and ("}" not in words or words == ["}"]), f"{shown}:{number + 1} holds one row", line)
            for d in declarations_here:
                for row in d.rows:
                    if row[0].line != row[-1].line:
                        tally.check(all(t.kind == "string" or t.text == "," for t in row[1:]), f"{shown}:{row[0].line + 1}: only texts go on over several lines")
                if not d.rows or wrong:
                    continue
                for what, after, (most_in, most_out) in one_row_edits(chance, text, d):
                    edits += 1
                    name = f"{shown}: {what}"
                    put_in, taken_out = numstat(os.path.join(folder, "diff"), text, after)
                    tally.check(put_in <= most_in and taken_out <= most_out, f"{name}: a change of one line", f"{put_in} in, {taken_out} out")
                    write(path, after)
                    done, document = build(room)
                    write(path, text)
                    if not tally.check(done.code in (0, 1) and document is not None, f"{name}: builds", done.ending()):
                        continue
                    touched = concerned(d.name, everything)
                    if d.name == "workshop":
                        continue  # everything is made at that bench
                    for part in ("blends", "products"):
                        keep = lambda entries: {e["id"]: e for e in entries if not {e["id"], e.get("line")} & touched}
                        tally.check(keep(document[part]) == keep(before[part]), f"{name}: the other {part} are as before",
                                    difference_of(keep(before[part]), keep(document[part]))[:2000])
                    told = lambda entries: sorted((f["code"], f["file"] or "", f["message"]) for f in entries)
                    new = [f for f in told(document["diagnostics"]) if f not in told(before["diagnostics"])]
                    strangers = [f for f in document["diagnostics"] if (f["code"], f["file"] or "", f["message"]) in new and not places(f, room, path, after, touched)]
                    tally.check(not strangers, f"{name}: all that is found concerns it", "\n".join(f"{f['code']} {f['file']}: {f['message']}" for f in strangers))
    tally.check(edits > 100, "there are rows to edit", edits)


def places(finding, room, edited, text, touched):
    """Whether a finding stands in a declaration that the edit concerns."""
    if not finding["file"] or not finding["range"]:
        return False
    path = os.path.join(room, finding["file"])
    line = finding["range"]["start"]["line"]
    found = declared(text if os.path.samefile(path, edited) else read(path)) if os.path.exists(path) else []
    return any(d.first <= line <= d.last and d.name in touched for d in found)


LAWS = [ceilings, amounts, views, order, one_row, surroundings]


def main():
    parser = argparse.ArgumentParser(description="Checks laws of the whole program's results.")
    parser.add_argument("--seed", type=int, default=3)
    parser.add_argument("--products", type=int, default=400, help="how many are generated")
    parser.add_argument("--only", help="laws whose name holds this")
    given = parser.parse_args()
    program.need_binary()
    tally = program.Tally(most_shown=60)
    top = tempfile.mkdtemp(prefix="scruple-laws-")
    try:
        for law in LAWS:
            if given.only and given.only not in law.__name__:
                continue
            folder = os.path.join(top, law.__name__)
            os.mkdir(folder)
            before = tally.passed, tally.failed
            law(tally, given, folder)
            print(f"{law.__name__}: {tally.passed - before[0]} passed, {tally.failed - before[1]} not")
            sys.stdout.flush()
    finally:
        shutil.rmtree(top, ignore_errors=True)
    sys.exit(tally.close())


if __name__ == "__main__":
    main()
