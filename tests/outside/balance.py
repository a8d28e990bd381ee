#!/usr/bin/env python3
"""The balance of blends, worked out a second time in exact fractions: shares by parts and by odour, who sticks out, which
oil to raise (every number of drops of every oil is tried, from one up), who may mask whom, and what carries an intent.

    balance.py [--blends 300] [--seed 5]

Marks of sticking out, and the whole multiple of a ratio: common practice, no source.
"""
import argparse
import json
import math
import random
import sys
import tempfile
from fractions import Fraction
from pathlib import Path

sys.dont_write_bytecode = True
sys.path[:0] = [str(Path(__file__).resolve().parent.parent)]
import program  # noqa: E402

OPPOSITES = [tuple(line.split()) for line in (Path(program.ROOT) / "stdlib/moods/opposites.txt").read_text().splitlines()
             if line and not line.startswith("#")]


def odour(parts, impact):
    total = sum(p * i for p, i in zip(parts, impact))
    return [Fraction(p * i, total) for p, i in zip(parts, impact)]


def sticking(parts, impact):
    count = sum(parts)
    return [(o > Fraction(1, 2), o > 3 * Fraction(p, count)) for o, p in zip(odour(parts, impact), parts)]


def fewest(parts, impact, leader, most):
    """The fewest drops of one oil after which the leader is within both marks and nobody new is over; None up to `most`."""
    before = sticking(parts, impact)
    for drops in range(1, most + 1):
        for oil in range(len(parts)):
            if oil == leader:
                continue
            after = sticking([p + drops * (i == oil) for i, p in enumerate(parts)], impact)
            if not any(after[leader]) and all(any(b) or not any(a) for a, b in zip(after, before)):
                return drops, oil
    return None


def near(got, own):
    return math.isclose(got, float(own * 100), rel_tol=1e-9, abs_tol=1e-9)


def one(check, told, oils, names, parts, moods):
    what = f"{told['id']}: {dict(zip(names, parts))}"
    impact = [oils[n]["impact"] for n in names]
    balance = told["balance"]
    check(balance["impacts_known"], f"{what}: impacts are known")
    own, out = odour(parts, impact), sticking(parts, impact)
    for row, o, p, s in zip(balance["oils"], own, parts, out):
        check(near(row["odour_percent"], o) and near(row["parts_percent"], Fraction(p, sum(parts))), f"{what}: shares of {row['material']}")
        check((row["over_half"], row["over_three_times_its_share"]) == s, f"{what}: whether {row['material']} sticks out")
    for key, shares in (("by_parts", [Fraction(p, sum(parts)) for p in parts]), ("by_odour", own)):
        for note in ("top", "middle", "base"):
            sum_ = sum((s * {note: 1, "top_middle": Fraction(note != "base", 2)}.get(oils[n]["note"], 0)
                        for n, s in zip(names, shares)), Fraction(0))
            check(near(balance[key][f"{note}_percent"], sum_), f"{what}: {note} {key}")
    over = [i for i, s in enumerate(out) if any(s)]
    if not over:
        check(balance["raise"] is None, f"{what}: nobody is over, so nothing is raised")
    else:
        leader = max(over, key=lambda i: (own[i], -i))
        told_raise = balance["raise"]
        limit = told_raise["drops"] if told_raise else 400
        best = fewest(parts, impact, leader, limit)
        check((told_raise is None) == (best is None), f"{what}: whether one oil does it", f"{told_raise} {best}")
        if told_raise and best:
            check(told_raise["drops"] == best[0] and told_raise["leader"] == names[leader] and told_raise["beaker_drops"] == sum(parts),
                  f"{what}: the fewest drops", f"{told_raise} {best}")
            at = names.index(told_raise["material"])
            after = odour([p + told_raise["drops"] * (i == at) for i, p in enumerate(parts)], impact)
            check(near(told_raise["leader_odour_percent_after"], after[leader]), f"{what}: the leader's odour afterwards")
            check(not any(sticking([p + told_raise["drops"] * (i == at) for i, p in enumerate(parts)], impact)[leader]), f"{what}: it works")
        # All the others raised: the leader's odour only falls.
        raised = odour([p if i == leader else 2 * p for i, p in enumerate(parts)], impact)
        check(raised[leader] < own[leader], f"{what}: raising all but the leader lowers it")
    masks = {(names[a], names[b]) for a in range(len(names)) for b in range(len(names))
             if oils[names[a]]["odour"] and oils[names[a]]["odour"] == oils[names[b]]["odour"]
             and oils[names[a]]["note"] == oils[names[b]]["note"] and own[a] >= 4 * own[b]}
    check({(m["strong"], m["weak"]) for m in balance["masks"]} == masks, f"{what}: who may mask whom")
    for read in told["intent_read"]:
        mood = read["mood"]
        against = {b if a == mood else a for a, b in OPPOSITES if mood in (a, b)}
        carried = [n for n in names if mood in moods[n]]
        check(read["carried_by"] == carried, f"{what}: who carries {mood}")
        check(read["against"] == [n for n in names if n not in carried and against & set(moods[n])], f"{what}: who is against {mood}")


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--blends", type=int, default=300)
    parser.add_argument("--seed", type=int, default=5)
    options = parser.parse_args()
    program.need_binary()
    tally = program.Tally()
    library = json.loads(program.run("library", "--to", "json").out)
    oils = {o["id"]: o for o in library["oils"] if o.get("impact") and o.get("density")}
    moods = {n: o["moods"] for n, o in oils.items()}
    rng = random.Random(options.seed)
    words = sorted({m for list_ in moods.values() for m in list_})
    text, blends = "", {}
    for i in range(options.blends):
        names = rng.sample(sorted(oils), rng.randint(2, 5))
        parts = [rng.randint(1, 12) for _ in names]
        g = math.gcd(*parts)
        parts = [p // g for p in parts]
        blends[f"b{i}"] = (names, parts)
        rows = "".join(f"    {p} {'part' if p == 1 else 'parts'} {n}\n" for n, p in zip(names, parts))
        text += f"blend b{i} {{\n    intent {', '.join(rng.sample(words, 2))}\n{rows}}}\n"
    # 14 parts in up to 60 drops: four times. Common practice, no source.
    text += ("blend bench {\n    6 parts petitgrain_bigarade\n    3 parts ho_wood\n    2 parts frankincense_carterii\n"
             "    2 parts vetiver\n    1 part patchouli\n}\n"
             "product bench_roller {\n    blend bench up to 60 drops\n    format roll_on of 10 ml\n    in jojoba\n    make 1\n}\n")
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "a.scruple").write_text(text)
        done = program.run("build", folder, "--to", "json")
        document = json.loads(done.out)
    for told in document["blends"]:
        if told["id"] in blends:
            one(tally.check, told, oils, *blends[told["id"]], moods)
    tally.check(len(document["blends"]) == options.blends + 1, "every blend was compared")
    plan = document["products"][0]["drop_plan"]
    tally.check(plan and plan["multiple"] == 4 and plan["total"] == 56, "14 parts under 60 drops are taken four times", plan)
    sys.exit(tally.close())


main()
