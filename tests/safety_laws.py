#!/usr/bin/env python3
"""Laws of judging, on the whole program: what lies exactly at a limit passes and one part in a million more does not, for
every kind of rule in every category and scope; and what no change of a recipe or of the rules may do to a finding.

    python3 tests/safety_laws.py [--seed 5] [--only WORD]

The rules are the project's own (DEVELOPERS.md, grammar/language.md); the figures are made up, except where the library is
asked. Published cases stand in tests/outside/safety_cases.csv.
"""
import argparse
import json
import os
import random
import re
import shutil
import sys
import tempfile
from decimal import Decimal

sys.dont_write_bytecode = True
sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import program  # noqa: E402
from reckoning import sample  # noqa: E402

RANK = ("passes", "unknown", "warns", "fails")
ALMOST = 1 - 1e-9


class Room:
    """A folder for one collection after the other."""

    def __init__(self, tally, folder, library):
        self.tally, self.folder, self.library, self.made = tally, folder, library, 0

    def build(self, text, *more):
        """{product: entry} of the formula document."""
        self.made += 1
        path = os.path.join(self.folder, str(self.made))
        os.mkdir(path)
        with open(os.path.join(path, "collection.scruple"), "w", encoding="utf-8") as file:
            file.write(text)
        done = program.run("build", path, "--to", "json", "--diagnostics", "json", *more)
        if not self.tally.check(done.code in (0, 1) and bool(done.out), f"builds: {done.ending()}", done.err[:800].decode()):
            return {}
        shutil.rmtree(path)
        return {p["id"]: p for p in json.loads(done.out, parse_float=Decimal, parse_int=Decimal)["products"]}


def workshop(rules="", market=""):
    return 'workshop "Laws" {\n' + (f"    market     {market}\n" if market else "") + (f"    rules      {rules}\n" if rules else "") + "}\n"


def oil(name, *parts, like="", more=()):
    rows = [f"oil {name}{' like ' + like if like else ''} {{", *more]
    rows += [] if like else ["    density    0.9 g/ml at 20 C"]
    rows += ["    contains {", *(f"        {p}" for p in parts), "    }"] if parts else []
    return "\n".join(rows + ["}", ""])


def product(name, oils, form, base="jojoba"):
    """Finished percentages of oils, by weight: [(name, text of the percentage)]."""
    total = sum(Decimal(amount) for _, amount in oils)
    return "\n".join([f"blend b_{name} {{", "    by         weight", *(f"    {amount} parts {o}" for o, amount in oils), "}",
                      f"product {name} {{", f"    blend      b_{name} at {total} % of total", f"    format     {form} of 100 g",
                      f"    in         {base}", "    make       50", "}", ""])


def limit(subject, figure, categories, effect="sensitisation", source=""):
    words = figure if figure in ("none", "unstated", "unlimited") else figure + " %"
    return "\n".join([f"limit {subject} under house {{", f"    effect     {effect}", *([f"    source     {source}"] if source else []),
                      f"    {words} in {categories}", "}", ""])


def formats(library):
    """A format of one's own in every category, so that none is left out."""
    return {c["id"]: f"format f_{c['id']} {{\n    contact    leave_on\n    category   {c['id']}\n    load       1..2..3 % of total\n    sold_by    mass\n}}\n"
            for c in library["categories"]}


# At the limit, and a part in a million over it ------------------------------------------------------------------------------

PURE = {"own_a": "100 % linalool", "own_b": "60 % geraniol\n        40 % linalyl_acetate", "own_c": "100 % coumarin", "own_d": "100 % menthol",
        "own_e": "100 % menthol", "own_f": "100 % camphor", "own_g": "50..80..100 % borneol", "own_h": "100 % estragole", "own_i": "100 % safrole",
        "own_j": "100 % eugenol", "own_k": "100 % cineole_1_8", "own_m": "0..0..1 % citral\n        98 % myrcene"}


def kinds(category):
    """(name, limits, oils at the limit, oils over it, verdict over it, rule's subject)"""
    derived = 'derived "worked out, invented"'
    return [
        ("substance", limit("linalool", "0.3", category), [("own_a", "0.3")], [("own_a", "0.3000003")], "fails", "linalool"),
        ("group", "group own_sum { members geraniol, linalyl_acetate }\n" + limit("own_sum", "0.3", category), [("own_b", "0.3")],
         [("own_b", "0.3000003")], "fails", "own_sum"),
        ("oil", limit("own_c", "0.7", category), [("own_c", "0.7")], [("own_c", "0.7000007")], "fails", "own_c"),
        ("phototoxic", limit("own_d", "0.4", category, "phototoxic") + limit("own_e", "2", category, "phototoxic"), [("own_d", "0.1"), ("own_e", "1.5")],
         [("own_d", "0.1"), ("own_e", "1.500002")], "fails", "phototoxic_sum"),
        ("derived", limit("camphor", "0.3", category, source=derived), [("own_f", "0.3")], [("own_f", "0.3000003")], "warns", "camphor"),
        ("derived sum", limit("own_h", "0.5", category, "phototoxic", derived), [("own_h", "0.5")], [("own_h", "0.5000005")], "warns", "phototoxic_sum"),
        ("top of the range", limit("borneol", "0.5", category), [("own_g", "0.5")], [("own_g", "0.5000005")], "warns", "borneol"),
        ("prohibited substance", limit("safrole", "none", category, "prohibited"), None, [("own_i", "0.000001")], "fails", "safrole"),
        ("prohibited oil", limit("own_j", "none", category, "prohibited"), None, [("own_j", "0.000001")], "fails", "own_j"),
        ("prohibited, derived", limit("own_k", "none", category, "prohibited", derived), None, [("own_k", "0.000001")], "warns", "own_k"),
        ("prohibited at the top", limit("citral", "none", category, "prohibited"), None, [("own_m", "0.000001")], "warns", "citral"),
    ]


def edges(tally, given, room):
    made = formats(room.library)
    within = {c["id"]: {c["id"], *c["within"]} for c in room.library["categories"]}
    head = workshop("house") + "rules house { markets eu }\n" + "".join(made.values()) + "".join(oil(n, p) for n, p in PURE.items())
    seen = {}
    for scope in within:
        inside = [c for c in within if scope in within[c]]
        outside = [c for c in within if scope not in within[c]]
        rules = kinds(scope)
        text, wanted = [head, *(r[1] for r in rules)], {}
        for category in inside + outside:
            # Every kind in one category; elsewhere a substance is enough.
            for number, (kind, _, at, over, verdict, subject) in enumerate(rules if category in (inside[0], inside[-1]) else rules[:1]):
                for word, oils in (("at", at), ("over", over)):
                    if oils:
                        name = f"p_{category}_{number}_{word}"
                        text.append(product(name, oils, f"f_{category}"))
                        wanted[name] = (category, kind, word, verdict, subject)
        products = room.build("".join(text))
        tally.check(set(products) == set(wanted), f"{scope}: all are built")
        for name in products.keys() & wanted.keys():
            category, kind, word, verdict, subject = wanted[name]
            safety = products[name]["safety"]
            found = [c for c in safety["checks"] if c["subject"] == subject]
            what = f"{kind} in {scope}, product in {category}, {word} the limit"
            if category in outside:
                tally.check(not found and safety["verdict"] == "passes", f"{what}: does not apply", safety["verdict"])
                continue
            seen[kind, word] = seen.get((kind, word), 0) + 1
            if not tally.check(len(found) == 1 and found[0]["category"] == scope, f"{what}: applies once", found):
                continue
            expected = "passes" if word == "at" else verdict
            tally.check(found[0]["verdict"] == expected and safety["verdict"] == expected, f"{what}: {expected}", f"{found[0]}\n{safety['verdict']}")
            if word == "over" and "prohibited" not in kind:
                used = found[0]["used_at_maximum_percent"]
                tally.check(used is not None and abs(float(used) - 100.0001) < 1e-7, f"{what}: used 100.0001 %", used)
    tally.check(all(seen.get((k[0], w), 0) >= 20 for k in kinds("skin") for w in (("over",) if k[2] is None else ("at", "over"))), "every kind was met", seen)


def names(tally, given, room):
    """Thresholds of labels, by contact: exactly at it is not over."""
    text = [workshop("house"), "rules house { markets eu }\n", oil("own_a", "100 % linalool"), oil("own_b", "50 % geraniol", "50 % nerol"), oil("own_c", "100 % menthol"),
            oil("own_g", "10..20..100 % borneol")]
    rows = {"One": "    substances linalool", "Sum": "    substances geraniol, nerol", "Whole": "    oils       own_c", "Top": "    substances borneol"}
    for label, row in rows.items():
        text.append(f'allergen {label.lower()} under house {{\n    label      "{label}"\n{row}\n    leave_on   0.001 %\n    rinse_off  0.01 %\n}}\n')
    oils = {"One": "own_a", "Sum": "own_b", "Whole": "own_c", "Top": "own_g"}
    wanted = {}
    for form, contact, at in (("solid_perfume", "leave_on", "0.001"), ("salt_scrub", "rinse_off", "0.01")):
        for label, name in oils.items():
            for word, amount in (("at", at), ("over", at + "000001" if contact == "leave_on" else at + "00001")):
                wanted[f"p_{contact}_{label.lower()}_{word}"] = (label, word)
                text.append(product(f"p_{contact}_{label.lower()}_{word}", [(name, amount)], form))
    products = room.build("".join(text))
    tally.check(set(products) == set(wanted), "names: all are built", sorted(set(wanted) - set(products)))
    for name, entry in products.items():
        label, word = wanted[name]
        named = {a["name"] for a in entry["label"]["allergens"]}
        under = {a["name"] for a in entry["label"]["under_threshold"]}
        tally.check((label in named) == (word == "over") and (label in under) == (word == "at"), f"{name}: named only over its threshold", f"{named} {under}")


# What may be added -----------------------------------------------------------------------------------------------------------

SKIN = ("solid_perfume", "body_butter", "salt_scrub", "lip_balm", "deodorant_cream", "bath_salts", "sachet")


def library_oils(room, chance, count):
    known = [o["id"] for o in room.library["oils"] if o["density"] and o["composition"]]
    popular = [o for o in sample.KNOWN if o in known]
    return list(dict.fromkeys(chance.sample(known, max(1, count - 2)) + chance.sample(popular, 2)))[:count]


def by_rule(safety):
    return {(c["kind"], c["subject"], c["rules"], c["category"], c["soft"]): c for c in safety["checks"]}


def settled(before, after):
    """Whether `before` was open only for how much of an oil its own lower figures leave uncovered, and less is open now: the
    library's figure has taken the place of a lower one of the maker's. Nothing was found to be better, more is known."""
    share = lambda safety: max((float(u["unknown_percent"]) for u in safety["unknown"]), default=0.0)  # noqa: E731
    return before["verdict"] == "unknown" and share(after) < share(before) and not before["unstated"]


def no_lower(tally, what, before, after):
    """Every finding of `before` is there, and no less, in `after`."""
    if not settled(before, after):
        tally.check(RANK.index(after["verdict"]) >= RANK.index(before["verdict"]), f"{what}: the verdict", f"{before['verdict']}, then {after['verdict']}")
    there = by_rule(after)
    for key, check in by_rule(before).items():
        other = there.get(key)
        if not tally.check(other is not None, f"{what}: {check['rule']} still applies"):
            continue
        tally.check(RANK.index(other["verdict"]) >= RANK.index(check["verdict"]), f"{what}: {check['rule']}: its verdict", f"{check}\n{other}")
        for field in ("actual_percent", "actual_at_maximum_percent", "used_percent", "used_at_maximum_percent"):
            if check[field] is not None:
                tally.check(float(other[field]) >= float(check[field]) * ALMOST, f"{what}: {check['rule']}: {field}", f"{check[field]}, then {other[field]}")


def adding(tally, given, room):
    """With every other oil's finished share kept, one more oil lowers nothing."""
    chance = random.Random(f"{given.seed} adding")
    text, pairs = [workshop(market="eu")], []
    for number in range(250):
        oils = [(o, f"{chance.choice((0.003, 0.05, 0.4, 1.5)) * chance.randint(1, 9):.4f}") for o in library_oils(room, chance, chance.randint(2, 6))]
        form = chance.choice(SKIN)
        text.append(product(f"p{number}_before", oils[:-1], form))
        text.append(product(f"p{number}_after", oils, form))
        pairs.append((number, oils, form))
    products = room.build("".join(text))
    worse = 0
    for number, oils, form in pairs:
        before, after = products[f"p{number}_before"]["safety"], products[f"p{number}_after"]["safety"]
        no_lower(tally, f"{oils[:-1]} and then {oils[-1]} in {form}", before, after)
        worse += before["verdict"] != after["verdict"]
    tally.check(worse >= 20, "some additions change the verdict", worse)
    # Of the load that is not so: nine mild parts lift it tenfold.
    alone, thinned = (room.build(workshop(market="eu") + product("p", oils, "body_butter"))["p"]["safety"]["ceiling"]
                      for oils in ([("bergamot_expressed", "0.1")], [("bergamot_expressed", "0.1"), ("amyris", "0.9")]))
    tally.check(str(alone["value_percent"]) == "0.400" and str(thinned["value_percent"]) == "4.00" and alone["bound_by"] == thinned["bound_by"] == "phototoxic_sum",
                "one part of bergamot may come to 0.4 %, with nine of a mild oil to 4 %", f"{alone}\n{thinned}")


def stricter(tally, given, room):
    """Tighter figures, more rule sets or bans in place of figures pass nothing that failed."""
    chance = random.Random(f"{given.seed} stricter")
    names_ = sorted({r["substance"] for o in room.library["oils"] for r in (o["composition"] or {"rows": []})["rows"]})
    changed = 0
    for number in range(6):
        subjects = chance.sample(names_, 12) + chance.sample([o for o in sample.KNOWN if o in {x["id"] for x in room.library["oils"]}], 6)
        scopes = ("skin", "everything", "leave_on", "rinse_off", "sunlit_skin")
        rows = [(s, f"{10 ** chance.uniform(-3, 0.7):.5f}", chance.choice(scopes), chance.choice(("sensitisation", "phototoxic")),
                 chance.choice(("", 'derived "invented"', 'law "invented"'))) for s in subjects]
        lax = "".join(limit(*r) for r in rows)
        strict = "".join(limit(s, "none" if chance.random() < 0.15 else str(Decimal(f) * Decimal(chance.choice(("0.999999", "0.7", "0.1", "1")))), c, e, o)
                         for s, f, c, e, o in rows)
        made = []
        for p in range(40):
            oils = [(o, f"{chance.choice((0.01, 0.2, 1)) * chance.randint(1, 9):.4f}") for o in library_oils(room, chance, chance.randint(1, 5))]
            made.append(product(f"p{p}", oils, chance.choice(SKIN)))
        products = "".join(made)
        less, more, both = (room.build(workshop(rules) + "rules house { markets eu }\n" + limits + products)
                            for rules, limits in (("house", lax), ("house", strict), ("house, ifra_49, handbook_2014", lax)))
        for name in less:
            for what, other in (("tighter figures", more), ("more rule sets", both)):
                a, b = RANK.index(less[name]["safety"]["verdict"]), RANK.index(other[name]["safety"]["verdict"])
                tally.check(b >= a, f"{number}: {name}: {what} pass what failed", f"{RANK[a]}, then {RANK[b]}")
                changed += b > a
    tally.check(changed >= 40, "some verdicts change", changed)


def maximum(tally, given, room):
    """The top of every range lowers nothing, and is what judging finds once it is the typical figure."""
    chance = random.Random(f"{given.seed} maximum")
    by_name = {o["id"]: o for o in room.library["oils"]}
    text, top = [workshop(market="eu")], [workshop(market="eu")]
    oils_used, made = set(), []
    # Some oils' tops come to more than the whole, which no composition may state: half of the products are without them.
    stateable = [n for n, o in by_name.items() if o["density"] and o["composition"] and sum(r["high"] for r in o["composition"]["rows"]) <= 100]
    for number in range(120):
        some = library_oils(room, chance, chance.randint(1, 4)) if number % 2 else chance.sample(stateable, chance.randint(1, 3))
        oils = [(o, f"{chance.choice((0.01, 0.2, 1)) * chance.randint(1, 9):.4f}") for o in some]
        form = chance.choice(SKIN)
        oils_used.update(o for o, _ in oils)
        text.append(product(f"p{number}", oils, form))
        made.append((number, oils, form))
    for name in sorted(oils_used):
        rows = [(r["substance"], r["high"]) for r in by_name[name]["composition"]["rows"]]
        if name in stateable:
            top.append(oil("t_" + name, *(f"{h} % {s}" for s, h in rows), like=name))
        else:
            oils_used.discard(name)
    kept = [m for m in made if all(o in oils_used for o, _ in m[1])]
    top += [product(f"p{n}", [("t_" + o, a) for o, a in oils], form) for n, oils, form in kept]
    products, tops = room.build("".join(text)), room.build("".join(top))
    for name, entry in products.items():
        for check in entry["safety"]["checks"]:
            tally.check(check["actual_at_maximum_percent"] >= check["actual_percent"], f"{name}: {check['rule']}: the top is no less")
        ceiling, careful = entry["safety"]["ceiling"], entry["safety"]["careful"]
        if ceiling["state"] == careful["state"] == "bound":
            tally.check(careful["value_percent"] <= ceiling["value_percent"], f"{name}: the careful ceiling is no higher")
    for name, entry in tops.items():
        plain = by_rule(products[name]["safety"])
        for key, check in by_rule(entry["safety"]).items():
            if check["kind"] == "substance" and key in plain:
                tally.check(abs(float(check["actual_percent"]) - float(plain[key]["actual_at_maximum_percent"])) <= 1e-9 * float(check["actual_percent"]) + 1e-14,
                            f"{name}: {check['rule']}: the top as typical", f"{check['actual_percent']}, not {plain[key]['actual_at_maximum_percent']}")
    tally.check(len(tops) >= 60, "there are oils to state at the top of their ranges", len(tops))


def diluting(tally, given, room):
    """An oil dissolved at 100 % is the oil; at a tenth, ten times as much of it is, and the carrier with it."""
    chance = random.Random(f"{given.seed} diluting")
    text = [workshop(market="eu")]
    oils = library_oils(room, chance, 80)
    for number, name in enumerate(oils):
        amount = Decimal(f"{chance.choice((0.01, 0.2, 0.8)) * chance.randint(1, 9):.3f}")
        form = chance.choice(SKIN)
        text += [f"oil whole{number} like {name} {{\n    diluted    100 % in jojoba\n}}\n", f"oil tenth{number} like {name} {{\n    diluted    10 % in squalane\n}}\n",
                 product(f"p{number}_oil", [(name, str(amount))], form), product(f"p{number}_whole", [(f"whole{number}", str(amount))], form),
                 product(f"p{number}_tenth", [(f"tenth{number}", str(amount * 10))], form, "squalane")]
    products = room.build("".join(text))
    for number, name in enumerate(oils):
        plain = products[f"p{number}_oil"]
        for word in ("whole", "tenth"):
            other = products[f"p{number}_{word}"]
            what = f"{name}, {word}"
            a, b = by_rule(plain["safety"]), by_rule(other["safety"])
            tally.check(a.keys() == b.keys(), f"{what}: the same rules", a.keys() ^ b.keys())
            for key in a.keys() & b.keys():
                tally.check(all(a[key][f] is None and b[key][f] is None or abs(float(a[key][f]) - float(b[key][f])) <= 2e-9 * float(a[key][f])
                                for f in ("used_percent", "used_at_maximum_percent", "actual_percent")) and a[key]["verdict"] == b[key]["verdict"],
                            f"{what}: {a[key]['rule']}", f"{a[key]}\n{b[key]}")
            tally.check(plain["safety"]["verdict"] == other["safety"]["verdict"], f"{what}: the verdict", other["safety"]["verdict"])
            if word == "whole":
                same = ("state", "value_percent", "bound_by", "runner_up")
                tally.check([plain["safety"]["ceiling"][f] for f in same] == [other["safety"]["ceiling"][f] for f in same], f"{what}: the ceiling")
            named = [{(n["name"], n["later"]) for n in p["label"]["allergens"] or []} for p in (plain, other)]
            tally.check(named[0] == named[1], f"{what}: the names", named[0] ^ named[1])


def certificates(tally, given, room):
    """What a certificate leaves out is no better for it: it falls back to the oil that it is like, or is told as unknown."""
    chance = random.Random(f"{given.seed} certificates")
    by_name = {o["id"]: o for o in room.library["oils"]}
    text, pairs = [workshop(market="eu")], []
    for number in range(130):
        name = library_oils(room, chance, 3)[-1]
        rows = [r for r in by_name[name]["composition"]["rows"] if r["typical"] is not None and r["high"] > 0]
        if len(rows) < 2:
            continue
        # A lot that holds less of everything than the library says at most
        stated = [f"{max(Decimal(str(r['typical'])) * Decimal(chance.choice(('0', '0.5', '1'))), Decimal('0.0001')):f} % {r['substance']}" for r in rows]
        gone = chance.randrange(len(stated))
        fewer = stated[:gone] + stated[gone + 1:]
        text += [oil(f"all{number}", *stated, like=name), oil(f"less{number}", *fewer, like=name)]
        only = ["    contains only {", *("        " + s for s in stated), "    }"]
        text += ["\n".join([f"oil only{number} like {name} {{", *only, "}", ""]), "\n".join([f"oil short{number} like {name} {{", *only[:gone + 1], *only[gone + 2:], "}", ""])]
        amount, form = f"{chance.choice((0.01, 0.2, 0.8)) * chance.randint(1, 9):.3f}", chance.choice(SKIN)
        for word in ("all", "less", "only", "short"):
            text.append(product(f"p{number}_{word}", [(f"{word}{number}", amount)], form))
        share = lambda row: Decimal(row.split()[0])  # noqa: E731
        pairs.append((number, name, sum(map(share, stated)), share(stated[gone]), stated[gone].split()[-1]))
    products = room.build("".join(text))
    groups = {g["id"] for g in room.library["groups"]}
    compared = 0
    for number, name, total, share, substance in pairs:
        no_lower(tally, f"{name} without its row on {substance}", products[f"p{number}_all"]["safety"], products[f"p{number}_less"]["safety"])
        unknown = [{u["material"]: float(u["unknown_percent"]) for u in products[f"p{number}_{w}"]["safety"]["unknown"]} for w in ("only", "short")]
        if any(r["substance"] in groups for r in by_name[name]["composition"]["rows"]):
            continue   # a total beside its parts counts once
        compared += 1
        for word, told, covered in (("only", unknown[0], total), ("short", unknown[1], total - share)):
            left = float(max(Decimal(0), 100 - covered))
            tally.check(abs(told.get(f"{word}{number}", 0.0) - left) < 1e-7, f"{name}: what `contains only` leaves uncovered is shown", f"{told}, not {left}")
    tally.check(compared >= 40, "there are certificates to compare", compared)


def pasting(tally, given, room):
    """Ceilings of own oils, dilutions, own rules and bases, written back as loads."""
    for number, (text, date) in enumerate(sample.collections(given.seed, 3 * sample.EACH, room.library)):
        products = room.build(text)
        for kind, fine in (("ceiling", ("passes", "unknown", "warns")), ("careful", ("passes", "unknown"))):
            told = {n: p["safety"][kind] for n, p in products.items() if p["safety"][kind]["state"] == "bound" and p["load"]["kind"] != "neat"}
            for over in (False, True):
                loads = {}
                for name, ceiling in told.items():
                    value = ceiling["value_percent"]
                    step = Decimal(1).scaleb(value.as_tuple().exponent if value else -6)
                    value = value + step if over else value
                    if value > 0:
                        loads[name] = f"at {value:f} % " + (ceiling["basis"] if ceiling["basis"] != "w/w" else f"of {ceiling['of']}")
                after = room.build(re.sub(r"^(product ([pe][0-9]+) \{\n    blend      [a-z0-9_]+).*$", lambda m: f"{m[1]} {loads[m[2]]}" if m[2] in loads else m[0],
                                          text, flags=re.M))
                for name in loads:
                    what = f"{number}: {name}: {kind} {loads[name]}"
                    if not tally.check(after[name]["complete"], f"{what}: can be made"):
                        continue
                    verdict = after[name]["safety"]["verdict"]
                    tally.check((verdict in fine) != over, f"{what}: {'fails' if over else 'passes'}", f"{verdict}\n{after[name]['safety'][kind]}\n{products[name]['safety'][kind]}")


LAWS = [edges, names, adding, stricter, maximum, diluting, certificates, pasting]


def main():
    parser = argparse.ArgumentParser(description="Checks laws of judging.")
    parser.add_argument("--seed", type=int, default=5)
    parser.add_argument("--only", help="laws whose name holds this")
    given = parser.parse_args()
    program.need_binary()
    tally = program.Tally(most_shown=40)
    library = json.loads(program.run("library", "--to", "json").out, parse_float=str, parse_int=str)
    for part in library["oils"]:
        for row in (part["composition"] or {"rows": []})["rows"]:
            row.update({k: None if row[k] is None else Decimal(row[k]) for k in ("low", "typical", "high")})
    with tempfile.TemporaryDirectory() as top:
        for law in LAWS:
            if given.only and given.only not in law.__name__:
                continue
            folder = os.path.join(top, law.__name__)
            os.mkdir(folder)
            before = tally.passed, tally.failed
            law(tally, given, Room(tally, folder, library))
            print(f"{law.__name__}: {tally.passed - before[0]} passed, {tally.failed - before[1]} not")
            sys.stdout.flush()
    sys.exit(tally.close())


if __name__ == "__main__":
    main()
