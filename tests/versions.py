#!/usr/bin/env python3
"""Laws of `scruple diff` over the whole program. What a blend is made of is read here from the formula documents by
itself, in exact fractions (Python's `fractions`), and shares nothing with the compiler:

  - a version against itself is empty, and so is a version against its own saved document;
  - the comparison mirrored is the comparison of the mirrored;
  - the changes that are listed, applied to the old version's oils, lines and limits, give the new version's;
  - other layout, comments, files, order of declarations, of rows and of fields, and another scale of a ratio say nothing;
  - an order that is meaning (steps, phases) shows;
  - what the comparison leaves out before it works anything out is nothing that differs;
  - of very many products a terminal lists the gravest and counts the rest.
"""
import json
import os
import random
import re
import shutil
import sys
import tempfile
from fractions import Fraction

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import program

OILS = ["bergamot_expressed", "cedarwood_texas", "lavender", "orange_sweet", "patchouli", "ylang_ylang_complete",
        "petitgrain_paraguay", "amyris", "frankincense_carterii", "vetiver"]
FORMATS = [("roll_on", "10 ml", 1.5), ("body_oil", "100 ml", 0.8), ("massage_oil", "250 ml", 0.6), ("room_spray", "100 ml", 1.2)]


class Shelf:
    """A collection before it is text."""

    def __init__(self, chance, blends=4):
        self.blends = {}
        self.variations = {}
        self.products = {}
        for i in range(blends):
            oils = chance.sample(OILS, chance.randint(2, 5))
            self.blends[f"b{i}"] = {oil: Fraction(chance.randint(2, 24), chance.choice([1, 1, 2])) for oil in oils}
            form, size, load = chance.choice(FORMATS)
            self.products[f"p{i}"] = {"blend": f"b{i}", "format": form, "size": size, "load": load, "make": chance.randint(12, 60),
                                      "steps": ["weigh the oils", "mix", f"let stand {i + 1} days"]}
        self.variations["v0"] = ("b0", next(iter(self.blends["b0"])), Fraction(29))

    def copy(self):
        made = Shelf.__new__(Shelf)
        made.blends = {k: dict(v) for k, v in self.blends.items()}
        made.variations = dict(self.variations)
        made.products = {k: dict(v) for k, v in self.products.items()}
        return made

    def changed(self, chance):
        made = self.copy()
        for _ in range(chance.randint(1, 4)):
            name = chance.choice(sorted(made.blends))
            oils = made.blends[name]
            kept = made.variations["v0"][1] if name == "b0" else None
            way = chance.choice(["amount", "in", "out", "load", "make", "steps", "drop product", "scale"])
            product = made.products.get("p" + name[1:])
            if way == "amount":
                oils[chance.choice(sorted(oils))] = Fraction(chance.randint(1, 28))
            elif way == "in":
                fresh = [o for o in OILS if o not in oils]
                if fresh:
                    oils[chance.choice(fresh)] = Fraction(chance.randint(1, 9))
            elif way == "out" and len(oils) > 2:
                del oils[chance.choice(sorted(o for o in oils if o != kept))]
            elif way == "scale":
                made.blends[name] = {o: a * 2 for o, a in oils.items()}
                made.blends[name][chance.choice(sorted(oils))] += 1
            elif product and way == "load":
                product["load"] = round(product["load"] * chance.uniform(0.5, 1.8), 2)
            elif product and way == "make":
                product["make"] += chance.randint(1, 9)
            elif product and way == "steps":
                product["steps"] = product["steps"][::-1]
            elif product and way == "drop product":
                del made.products["p" + name[1:]]
        return made

    def texts(self, chance=None):
        """Files of the collection. With `chance` everything that says nothing is otherwise."""
        def order(rows):
            rows = list(rows)
            if chance:
                chance.shuffle(rows)
            return rows

        def row(text):
            if not chance:
                return "    " + text
            return " " * chance.randint(0, 9) + text.replace(" ", " " * chance.randint(1, 4)) + chance.choice(["", "", "  # so"])

        declarations = []
        for name, oils in self.blends.items():
            times = chance.choice([1, 2, 3]) if chance and name != "b0" else 1
            rows = [row(f"{a * times} parts {oil}") for oil, a in order(oils.items())]
            declarations.append(f"blend {name} {{\n" + "\n".join(rows) + "\n}\n")
        for name, (of, oil, amount) in self.variations.items():
            declarations.append(f"variation {name} of {of} {{\n{row(f'set {amount} parts {oil}')}\n}}\n")
        for name, p in self.products.items():
            steps = ", ".join(f'"{s}"' for s in p["steps"])
            rows = [row(f"blend {p['blend']} at {p['load']} %"), row(f"format {p['format']} of {p['size']}"),
                    row(f"make {p['make']}"), f"    steps {steps}"]
            declarations.append(f"product {name} {{\n" + "\n".join(order(rows)) + "\n}\n")
        declarations = order(declarations)
        files = {"collection.scruple": 'workshop "Test Bench" {\n    market eu\n}\n\n' + declarations[0]}
        files["one.scruple" if not chance else "below/other.scruple"] = "\n\n".join(declarations[1:])
        return files


def write(folder, files):
    shutil.rmtree(folder, ignore_errors=True)
    for name, text in files.items():
        path = os.path.join(folder, name)
        os.makedirs(os.path.dirname(path), exist_ok=True)
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)


def diff(old, new, *options):
    done = program.run("diff", old, new, "--to", "json", *options)
    return json.loads(done.out) if done.code in (0, 10, 11) else {"failed": done.err.decode()}


def document(folder):
    return json.loads(program.run("build", folder, "--to", "json").out)


def ratio(blend):
    parts = {p["material"]: Fraction(p["parts"]) for p in blend["parts"]}
    whole = sum(parts.values())
    return {oil: a / whole for oil, a in parts.items()}


def near(a, b):
    if isinstance(a, float) and isinstance(b, (int, float)) or isinstance(b, float) and isinstance(a, (int, float)):
        return abs(a - b) <= 1e-8 * max(abs(a), abs(b))
    return a == b


def mirrored(change):
    how = {"added": "removed", "removed": "added", "changed": "changed"}[change["how"]]
    way = {"in": "out", "out": "in", "up": "down", "down": "up"}.get(change.get("direction"), change.get("direction"))
    return {"what": change["what"], "rank": change["rank"], "how": how, "subject": change["subject"], "direction": way,
            "old": change["new"], "new": change["old"], "old_parts": change.get("new_parts"), "new_parts": change.get("old_parts")}


def bare(change):
    return {key: change.get(key) for key in ("what", "rank", "how", "subject", "direction", "old", "new", "old_parts", "new_parts")}


def as_set(changes):
    return sorted(json.dumps(c, sort_keys=True) for c in changes)


def check_mirror(tally, a, b, what):
    back = {(kind, u["old_id"]): u for kind in ("blends", "products") for u in b[kind]}
    tally.check(sum(len(a[k]) for k in ("blends", "products")) == len(back), f"{what}: mirrored, as many differ")
    for kind in ("blends", "products"):
        for u in a[kind]:
            other = back.get((kind, u["id"]))
            good = other is not None and as_set(bare(c) for c in u["changes"]) == as_set(mirrored(c) for c in other["changes"])
            tally.check(good, f"{what}: {u['id']} mirrored", json.dumps(u)[:600] + "\n" + json.dumps(other)[:600])


def apply_parts(old, unit):
    """The old blend's ratio with the listed oils' changes worked in."""
    parts = {p["material"]: Fraction(p["parts"]) for p in old["parts"]}
    listed = [c for c in unit["changes"] if c["what"] == "part"]
    # Both sides' numbers stand in one scale; what is not listed stayed as a share of the whole.
    scale = next((Fraction(c["old_parts"]) / parts[c["subject"]] for c in listed if c["old_parts"]), Fraction(1))
    made = {oil: a * scale for oil, a in parts.items()}
    for c in listed:
        if c["how"] == "removed":
            del made[c["subject"]]
        else:
            made[c["subject"]] = Fraction(c["new_parts"])
    whole = sum(made.values())
    return {oil: a / whole for oil, a in made.items()}


def keyed(product):
    """Facts of a product that are checked: lines, limits, allergens, verdict, load."""
    out = {}
    for line in product["lines"]:
        out["line", ":".join([line["role"], line["phase"] or "", line["material"]])] = {
            "percent_ww": line["percent_ww"], "mass_g": line["mass_g"]}
    for c in product["safety"]["checks"]:
        out["check", c["rule"]] = {k: c[k] for k in ("used_percent", "limit_percent", "verdict")}
    for a in product["label"]["allergens"] or []:
        out["allergen", a["name"]] = {"share_percent": a["share_percent"]}
    out["verdict", None] = {"verdict": product["safety"]["verdict"]}
    out["ceiling", None] = {k: product["safety"]["ceiling"][k] for k in ("state", "value_percent", "bound_by")}
    out["load", None] = {"ww_percent": product["load"]["ww_percent"]}
    out["units", None] = {"units": product["units"]}
    return out


def check_applied(tally, old, new, found, what):
    for kind in ("blends", "products"):
        before = {u["id"]: u for u in old[kind]}
        after = {u["id"]: u for u in new[kind]}
        listed = {u["id"]: u for u in found[kind]}
        for name in sorted(set(before) | set(after)):
            unit = listed.get(name)
            if name not in before or name not in after:
                state = "removed" if name in before else "added"
                tally.check(unit is not None and unit["state"] == state, f"{what}: {name} is {state}")
                continue
            if kind == "blends":
                made = apply_parts(before[name], unit) if unit else ratio(before[name])
                tally.check(made == ratio(after[name]), f"{what}: the changes of {name} give the new ratio", f"{made}\n{ratio(after[name])}")
                continue
            made = keyed(before[name])
            for c in unit["changes"] if unit else []:
                key = (c["what"], c["subject"])
                if c["how"] == "removed":
                    made.pop(key, None)
                elif key in made or c["how"] == "added" and c["what"] in ("line", "check", "allergen"):
                    fields = made.get(key) or keyed(after[name]).get(key, {})
                    made[key] = {k: c["new"][k] for k in fields}
            wanted = keyed(after[name])
            good = made.keys() == wanted.keys() and all(near(made[k][f], wanted[k][f]) for k in wanted for f in wanted[k])
            tally.check(good, f"{what}: the changes of {name} give the new product",
                        "\n".join(f"{k}: {made.get(k)} {wanted.get(k)}" for k in {**made, **wanted} if made.get(k) != wanted.get(k)))


def edited(folder, chance, only=""):
    """Changes one row somewhere in a collection, or in the file `only`: a number, a name, or whether it is there. Gives what
    was done."""
    texts = {}
    for where, _, names in os.walk(folder):
        for name in names:
            if name.endswith(".scruple") and name.endswith(only):
                with open(os.path.join(where, name), encoding="utf-8") as file:
                    texts[os.path.join(where, name)] = file.read().split("\n")
    path, at = chance.choice([(path, i) for path in sorted(texts) for i, line in enumerate(texts[path])
                              if line.strip() and not line.strip().startswith("#")])
    lines = texts[path]
    was = lines[at]
    numbers = list(re.finditer(r"(?<![\w.-])[0-9]+(\.[0-9]+)?(?![\w.-])", was))
    words = list(re.finditer(r"\b[a-z][a-z0-9_]{3,}\b", was))
    way = chance.choice(["number"] * 4 + ["word", "out", "twice"])
    if way == "number" and numbers:
        hit = chance.choice(numbers)
        lines[at] = was[:hit.start()] + str(chance.choice([1, 2, 3, 7, 12, 30])) + was[hit.end():]
    elif way == "word" and words:
        hit = chance.choice(words)
        lines[at] = was[:hit.start()] + chance.choice(OILS) + was[hit.end():]
    elif way == "twice":
        lines.insert(at, was)
    else:
        del lines[at]
    with open(path, "w", encoding="utf-8") as file:
        file.write("\n".join(lines))
    return f"{os.path.relpath(path, folder)}:{at + 1} `{was.strip()}` -> `{lines[at].strip() if at < len(lines) else ''}`"


# Everything that holds for all and yet not for all figures of it. The figures are invented.
HOUSE = """rules house "House rules" {
    markets    eu, uk, us
    dated      2026-01-10
}
rules house_list "House list of allergens" {
    markets    eu
    dated      2026-01-10
}
limit lavender under house {
    0.6 %          in skin
    0.2 %          in rinse_off
}
limit linalool under house {
    effect     sensitisation
    0.3 %          in body_leave_on, face_leave_on, rinse_off
}
limit bergamot_expressed under house {
    effect     phototoxic
    0.3 %          in sunlit_skin
}
harm house_harm "what the house adds up" {
    substances linalool, limonene, geraniol
}
caution house_adults "The house asks adults to look." {
    applies    leave_on, rinse_off
    audience   adults
    oils       lavender, bergamot_expressed
    advice     avoid
    rank       2
}
guide house_guide "the house's adults" {
    audience   adults
    1.5 %
    1 %            "in summer"
}
allergen linalool under house_list {
    label      "Linalool"
    leave_on   0.002 %
    rinse_off  0.02 %
}
prices "House prices" on 2026-04-01 {
    10 ml      lavender            for 8.20 EUR
    30 ml      bergamot_expressed  for 8.60 USD
    500 ml     jojoba              for 16.90 EUR
    500 g      sunflower_high_oleic for 6 EUR
}
rate 1 USD = 0.92 EUR on 2026-04-01
blend house "House" {
    3 drops    lavender
    2 drops    bergamot_expressed
    1 drop     lemongrass
}
product house_oil "House oil" {
    blend      house at 1.4 %
    format     body_oil of 100 ml
    in         60 % sunflower_high_oleic, 40 % jojoba
    audience   adults
    make       6
    accept     over_limit lavender under house to 2 % because "the house's own figure" until 2029-06
}
product house_wash "House wash" {
    blend      house at 1 %
    format     shower_gel of 200 ml
    in         jojoba
}
"""


def same_as_whole(tally, at, name, done):
    """`was.json` is the document of `was`; `is` was edited."""
    with open(at("is.json"), "wb") as file:
        file.write(program.run("build", at("is"), "--to", "json").out)
    whole = diff(at("was.json"), at("is.json"))
    part = diff(at("was"), at("is"))
    parts = ("differs", "collection", "rows", "benches", "blends", "products")
    tally.check([whole.get(k) for k in parts] == [part.get(k) for k in parts], f"{name}, {done}: all that differs is found",
                "\n".join(f"{k}: {json.dumps(whole.get(k))[:1500]}\n{json.dumps(part.get(k))[:1500]}" for k in (*parts, "failed")
                          if whole.get(k) != part.get(k)))
    return bool(part.get("differs"))


def check_house(tally, at):
    """What a rule, a caution or a price cannot touch is not read: every row of such declarations, changed in every way."""
    write(at("was"), {})
    shutil.copytree(os.path.join(program.ROOT, "examples", "priced"), at("was"), dirs_exist_ok=True)
    with open(os.path.join(at("was"), "house.scruple"), "w", encoding="utf-8") as file:
        file.write(HOUSE)
    found = program.run("check", at("was"))
    said = [d["message"] for d in json.loads(program.run("check", at("was"), "--diagnostics", "json").out)["diagnostics"]
            if d["severity"] == "error" and d["code"] not in ("over_limit", "phototoxic_sum", "waiver_unused", "prohibited")]
    tally.check(found.code in (0, 1) and not said, "the house's rules are understood", "; ".join(said))
    with open(at("was.json"), "wb") as file:
        file.write(program.run("build", at("was"), "--to", "json").out)
    differ = 0
    for seed in range(90):
        shutil.rmtree(at("is"), ignore_errors=True)
        shutil.copytree(at("was"), at("is"))
        done = edited(at("is"), random.Random(f"house {seed}"), "house.scruple")
        differ += same_as_whole(tally, at, "house", done)
    tally.check(differ > 30, f"{differ} of 90 edits differ in something")


def check_long(tally, at):
    """Of very many products a terminal lists the gravest, and counts the rest; a machine gets all."""
    blends = "".join(f"blend b{i:03d} {{\n    3 parts    lavender\n    1 part     cedarwood_texas\n}}\n"
                     f"product p{i:03d} {{\n    blend      b{i:03d} at 1 %\n    format     body_oil of 100 ml\n}}\n" for i in range(130))
    write(at("was"), {"a.scruple": blends})
    write(at("is"), {"a.scruple": blends.replace("3 parts", "2 parts")})
    write(at("worse"), {"a.scruple": blends.replace("1 part     cedarwood_texas", "1 part     lemon_verbena")})
    text = program.run("diff", at("was"), at("is")).out.decode()
    tally.check("130 blends and 130 products differ" in text, "all are counted", text[:800])
    tally.check(text.count("  blend b") == 40 and "and 90 more blends and products" in text and "And more than is listed here." in text,
                "forty are listed, and the rest is counted", text[-1500:])
    tally.check(len(diff(at("was"), at("is"))["blends"]) == 130, "a machine gets all")
    tally.check("of them worse" not in text, "nothing that is left out got worse, and nothing says so")
    worse = program.run("diff", at("was"), at("worse")).out.decode()
    tally.check("and 90 more blends and products (90 of them worse)" in worse, "what got worse is counted where it is not listed", worse[-3000:])
    page = program.run("diff", at("was"), at("is"), "--to", "html").out.decode()
    tally.check("b129" in page and "more blends" not in page, "a page lists all")
    comment = program.run("diff", at("was"), at("is"), "--to", "markdown").out.decode()
    tally.check(len(comment) < 65536 and "100 more blends and products" in comment, "a comment lists a few of each, and counts the rest", comment[-1500:])


def check_long_and_small(tally, at):
    """What differs in small things only is counted by a terminal and by a comment."""
    rules = ("workshop \"Quay\" {{\n    market     eu\n}}\nrules house \"House rules\" {{\n    dated      2026-01-01\n}}\n"
             "limit lavender under house {{\n    5 %        in skin\n}}\nlimit linalool under house {{\n    {} %       in skin\n}}\n")
    blends = "".join(f"blend b{i:03d} {{\n    3 parts    lavender\n    1 part     cedarwood_texas\n}}\n"
                     f"product p{i:03d} {{\n    blend      b{i:03d} at 1 %\n    format     body_oil of 100 ml\n}}\n" for i in range(60))
    write(at("was"), {"a.scruple": rules.format(10) + blends})
    write(at("is"), {"a.scruple": rules.format(11) + blends})
    text = " ".join(program.run("diff", at("was"), at("is")).out.decode().split())
    tally.check("0 blends and 60 products differ, 60 of them in small things only;" in text, "a terminal counts what is small", text)
    comment = program.run("diff", at("was"), at("is"), "--to", "markdown").out.decode()
    tally.check("60 blends and products differ in small things only, not listed here." in comment, "a comment counts what is small", comment)


def check_reach(tally, at):
    """What is left out before it is worked out differs in nothing: documents of the whole of both sides, made by `build`,
    give the same changes as the recipes."""
    examples = os.path.join(program.ROOT, "examples")
    for name in sorted(os.listdir(examples)):
        source = os.path.join(examples, name)
        if name in ("wrong", "review") or not os.path.isdir(source):
            continue
        write(at("was"), {})
        shutil.copytree(source, at("was"), dirs_exist_ok=True)
        with open(at("was.json"), "wb") as file:
            file.write(program.run("build", at("was"), "--to", "json").out)
        for seed in range(16):
            shutil.rmtree(at("is"), ignore_errors=True)
            shutil.copytree(at("was"), at("is"))
            done = edited(at("is"), random.Random(f"{name} {seed}"))
            same_as_whole(tally, at, f"examples/{name}", done)


BENCH = """bench trial "Trial" {
    on         2026-03-02
    add        2 drops lavender, 1 drop patchouli "morning"
    add        1 drop orange_sweet
    mark       bright
    add        1 drop lavender
}
"""


def check_benches(tally, at):
    """Of a log the order is meaning."""
    def put(name, text):
        write(at(name), {"collection.scruple": text})

    put("was", BENCH)
    put("is", "# so\n" + BENCH.replace("    add        1 drop lavender", "  add  1   drop lavender   # and so"))
    tally.check(diff(at("was"), at("is"))["differs"] is False, "layout and comments of a bench are silent")
    rows = BENCH.split("\n")
    put("is", "\n".join([*rows[:2], rows[3], rows[2], *rows[4:]]))
    told = diff(at("was"), at("is"))
    tally.check([u["id"] for u in told["benches"]] == ["trial"] and [c["what"] for c in told["benches"][0]["changes"]] == ["log"],
                "turned rows of a bench show", json.dumps(told)[:400])
    put("is", BENCH.replace("}\n", "    add        1 drop vetiver\n}\n"))
    told = diff(at("was"), at("is"))
    tally.check("row 5: 1 drop vetiver" in told["benches"][0]["changes"][0]["text"], "a row more of a bench is said", json.dumps(told["benches"]))
    back = diff(at("is"), at("was"))
    tally.check(told["benches"][0]["changes"][0]["new"] == back["benches"][0]["changes"][0]["old"], "benches mirrored")
    put("is", BENCH.replace("trial", "noon"))
    told = diff(at("was"), at("is"))
    tally.check([(u["old_id"], u["id"]) for u in told["benches"]] == [("trial", "noon")], "a bench under another name is found by its rows")


def check_rows_of_rules(tally, at):
    """The same recipe under another limit: which row did it."""
    def put(name, limit):
        write(at(name), {"collection.scruple": 'workshop "w" {\n    market     eu\n}\nrules house "House" {\n    markets    eu\n    source     practice "agreed"\n}\n'
                         f'limit lavender under house {{\n    effect     sensitisation\n    {limit} %      in skin\n    source     practice "agreed"\n}}\n'
                         "blend one {\n    3 parts    lavender\n    1 part     patchouli\n}\nproduct oil_one {\n    blend      one at 1 %\n"
                         "    format     body_oil of 100 ml\n    in         jojoba\n}\n"})

    put("was", "2")
    put("is", "0.5")
    told = diff(at("was"), at("is"))
    tally.check([r["rule"] for r in told["rows"]] == ["house:lavender:skin"] and told["rows"][0]["products"] == ["oil_one"], "the row that changed is named",
                json.dumps(told["rows"]))
    tally.check(told["products"][0]["recipe_same"] and told["products"][0]["worse"], "the recipe is the same, and it got worse")
    for name in ("was", "is"):
        with open(at(name + ".json"), "w", encoding="utf-8") as file:
            json.dump(document(at(name)), file)
    tally.check(diff(at("was.json"), at("is.json"))["rows"] == told["rows"], "saved documents say the same of the row")


def check_hostile(tally, at):
    """A saved document may hold anything."""
    write(at("was"), {})
    shutil.copytree(os.path.join(program.ROOT, "examples", "priced"), at("was"), dirs_exist_ok=True)
    whole = document(at("was"))
    chance = random.Random(8)
    odd = [None, True, -1, 1e308, "", "\x1b[31m<b>|", [], {}, [[]], {"id": 3}, "9" * 400, "\ud800"]

    def spoil(value, depth=0):
        if isinstance(value, dict) and value and (depth < 2 or chance.random() < 0.8):
            key = chance.choice(sorted(value))
            return {**value, key: spoil(value[key], depth + 1)}
        if isinstance(value, list) and value and chance.random() < 0.8:
            i = chance.randrange(len(value))
            return [*value[:i], spoil(value[i], depth + 1), *value[i + 1:]]
        return chance.choice(odd)

    for number in range(120):
        with open(at("odd.json"), "w", encoding="utf-8") as file:
            json.dump(spoil(whole), file)
        for to in ("json", "terminal", "markdown", "html")[number % 4:][:1]:
            done = program.run("diff", at("odd.json"), at("was"), "--to", to)
            good = done.code in (0, 2) and b"\x1b" not in done.out + done.err
            tally.check(good, f"spoilt document {number} to {to}: {done.ending()}", done.err.decode(errors="replace")[:300])
    for name, data in (("empty", b""), ("torn", json.dumps(whole).encode()[:4000]), ("deep", b"[" * 100000), ("bytes", bytes(range(256))),
                       ("other", b'{"schema": "scruple.changes/1"}'), ("number", b"7")):
        with open(at("odd.json"), "wb") as file:
            file.write(data)
        done = program.run("diff", at("odd.json"), at("was"))
        tally.check(done.code == 2 and done.err, f"a document that is none, {name}: {done.ending()}", done.err.decode(errors="replace")[:300])


def main():
    program.need_binary()
    tally = program.Tally()
    with tempfile.TemporaryDirectory() as folder:
        def at(name):
            return os.path.join(folder, name)

        for seed in range(24):
            chance = random.Random(seed)
            shelf = Shelf(chance)
            write(at("a"), shelf.texts())
            write(at("other"), shelf.texts(chance))
            write(at("b"), shelf.changed(chance).texts(chance))
            what = f"seed {seed}"
            same = diff(at("a"), at("a"), "--exit-code")
            tally.check(same.get("differs") is False and not same["blends"] and not same["products"], f"{what}: a version against itself")
            said = diff(at("a"), at("other"))
            tally.check(said.get("differs") is False, f"{what}: what says nothing is silent",
                        json.dumps([(u["id"], [c["text"] for c in u["changes"]]) for k in ("blends", "products") for u in said.get(k, [])])[:900])
            found = diff(at("a"), at("b"))
            back = diff(at("b"), at("a"))
            if not tally.check("failed" not in found and "failed" not in back, f"{what}: it compares", str(found)[:400]):
                continue
            check_mirror(tally, found, back, what)
            old, new = document(at("a")), document(at("b"))
            check_applied(tally, old, new, found, what)
            if seed % 6 == 0:
                for name, data in (("a.json", old), ("b.json", new)):
                    with open(at(name), "w", encoding="utf-8") as file:
                        json.dump(data, file, indent=seed)
                for left, right in (("a.json", "b"), ("a", "b.json"), ("a.json", "b.json")):
                    saved = diff(at(left), at(right))
                    tally.check([saved[k] for k in ("blends", "products")] == [found[k] for k in ("blends", "products")],
                                f"{what}: {left} against {right} is the same as the recipes")
            turned = shelf.copy()
            turned.products["p1"]["steps"] = turned.products["p1"]["steps"][::-1]
            write(at("turned"), turned.texts())
            steps = diff(at("a"), at("turned"))
            tally.check([c["what"] for u in steps["products"] for c in u["changes"]] == ["steps"] and not steps["blends"],
                        f"{what}: turned steps show, and nothing else")
            renamed = shelf.copy()
            renamed.blends = {("anew" if k == "b2" else k): v for k, v in renamed.blends.items()}
            renamed.products["p2"]["blend"] = "anew"
            write(at("renamed"), renamed.texts())
            moved = diff(at("a"), at("renamed"))
            again = [u for u in moved["blends"] if u["renamed"]]
            tally.check(len(again) == 1 and again[0]["old_id"] == "b2" and again[0]["id"] == "anew" and not moved["products"],
                        f"{what}: a renamed blend is found by its content", json.dumps(moved)[:600])
        check_reach(tally, at)
        check_house(tally, at)
        check_long(tally, at)
        check_long_and_small(tally, at)
        check_benches(tally, at)
        check_rows_of_rules(tally, at)
        check_hostile(tally, at)
    return tally.close()


if __name__ == "__main__":
    sys.exit(main())
