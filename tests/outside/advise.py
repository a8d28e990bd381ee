#!/usr/bin/env python3
"""The advice on ratios against GLPK's solver (`glpsol`), and against the compiler itself.

For examples and for blends that are generated with a fixed seed:
  - the ratio without steps is as near as the optimum that glpsol finds for the same limits, to a millionth of it; and where
    none is found, glpsol finds none either;
  - the largest load that any ratio takes is the optimum of its own linear program;
  - the variation that is printed compiles, and the product made with it breaks nothing and warns of nothing;
  - a product at its careful ceiling has nothing to mend, and a load a little above has.
The shares by weight are worked out here from the parts and the densities of the library's export, and so are the distances.
"""
import json
import os
import random
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), ".."))
from program import ROOT, need_binary, run  # noqa: E402

passed = failed = 0
RELATIVE = 1e-6
OVER = {"over_limit", "over_at_maximum", "over_derived", "over_guide", "phototoxic_sum", "harm_sum", "not_for_audience",
        "advised_against", "prohibited", "neat_on_skin"}


def check(good, what):
    global passed, failed
    if good:
        passed += 1
    else:
        failed += 1
        print(f"FAILED: {what}")


def term(value, name):
    return f"{'+' if value >= 0 else '-'} {abs(value)!r} {name}"


def solve(lines, folder):
    """The optimum of a program in CPLEX LP form, or None where there is none."""
    path, out = os.path.join(folder, "program.lp"), os.path.join(folder, "answer")
    with open(path, "w", encoding="utf-8") as file:
        file.write("\n".join(lines) + "\n")
    done = subprocess.run(["glpsol", "--lp", path, "--exact", "-w", out], capture_output=True, text=True, check=False)
    with open(out, encoding="utf-8") as file:
        for line in file:
            words = line.split()
            if words and words[0] == "s":  # s bas ROWS COLUMNS PRIMAL DUAL OBJECTIVE
                return float(words[6]) if words[4] == "f" else None
    raise AssertionError(done.stdout)


def nearest_by_glpk(now, program, folder):
    """min sum(u) with u >= |s - now|, over all s that keep every row: another form than the compiler's."""
    count = len(now)
    lines = ["Minimize", " far: " + " ".join(f"+ u{i}" for i in range(count)), "Subject To"]
    for i, share in enumerate(now):
        lines.append(f" over{i}: + u{i} - s{i} >= {-share!r}")
        lines.append(f" under{i}: + u{i} + s{i} >= {share!r}")
    lines.append(" whole: " + " ".join(f"+ s{i}" for i in range(count)) + " = 1")
    scale = sum(t * s for t, s in zip(program["thin"], now))
    for r, row in enumerate(program["rows"]):
        terms = [term((use - thin) / scale, f"s{i}") for i, (use, thin) in enumerate(zip(row["use"], program["thin"]))]
        lines.append(f" row{r}: " + " ".join(terms) + " <= 0")
    lines.append("Bounds")
    for i, banned in enumerate(program["banned"]):
        lines.append(f" 0 <= s{i} <= {0 if banned else 1}")
    lines.append("End")
    return None if program["base_banned"] else solve(lines, folder)


def advice(folder, name, *more):
    done = run("advise", name, folder, "--to", "json", *more)
    check(done.code == 0, f"advise {name} {' '.join(more)}: {done.ending()}\n{done.err.decode()}")
    return json.loads(done.out) if done.code == 0 else None


def check_product(found, folder, label):
    program = found["program"]
    if program is None:
        return "no program"
    now = [line["share_ww"] for line in found["lines"]]
    check(abs(sum(now) - 1) < 1e-9, f"{label}: shares come to 1")
    drops = " drops" in found["load"]
    if found["state"] == "nothing_to_mend":
        if not drops:
            by_glpk = nearest_by_glpk(now, program, folder)
            check(by_glpk is not None and by_glpk < RELATIVE, f"{label}: glpsol would change {by_glpk} where nothing is to be mended")
        return "nothing"
    by_glpk = nearest_by_glpk(now, program, folder)
    if found["nearest"] is None:
        check(by_glpk is None, f"{label}: glpsol finds a ratio at {by_glpk}, and the compiler none")
        return "impossible"
    far = found["nearest"]["distance"]
    check(by_glpk is not None and abs(far - by_glpk) <= RELATIVE * by_glpk, f"{label}: {far} here, {by_glpk} by glpsol")
    shares = [line["share_ww"] for line in found["nearest"]["shares_ww"]]
    check(abs(sum(abs(a - b) for a, b in zip(now, shares)) - far) < 1e-9, f"{label}: the distance is that of the shares")
    for row in program["rows"]:
        use = sum(u * s for u, s in zip(row["use"], shares)) / sum(t * s for t, s in zip(program["thin"], shares))
        check(use <= 1 + 1e-8, f"{label}: {row['of']} is used {use} times")
    return "found"


def check_most(found, parts, folder, label):
    """The largest load, where the base holds nothing that counts: then a limit reads sum(use_i * thin^-1 …) * load <= 1."""
    program, count = found["program"], len(found["lines"])
    if len(set(program["thin"])) != 1 or parts is None:
        return
    lines = ["Maximize", " load: " + " ".join(f"+ t{i}" for i in range(count)), "Subject To", " all: " +
             " ".join(f"+ t{i}" for i in range(count)) + " <= 1"]
    for r, row in enumerate(program["rows"]):
        lines.append(f" row{r}: " + " ".join(term(u, f"t{i}") for i, u in enumerate(row["use"])) + " <= 1")
    lines.append("Bounds")
    for i, banned in enumerate(program["banned"]):
        lines.append(f" 0 <= t{i} <= {0 if banned else 1}")
    lines.append("End")
    most = solve(lines, folder)
    check(most is not None and abs(most - parts) <= RELATIVE * most, f"{label}: the most is {parts} here, {most} by glpsol")


def check_variation(text, recipe, product, folder, label):
    """Pasted below the recipe, with the product turned to it."""
    name = text.split()[1]
    lines = recipe.split("\n")
    start = next(i for i, line in enumerate(lines) if line.startswith(f"product {product} "))
    at = next(i for i in range(start, len(lines)) if lines[i].split()[:1] == ["blend"])
    words = lines[at].split()
    words[1] = name
    lines[at] = " ".join(words)
    made = os.path.join(folder, "made")
    os.makedirs(made, exist_ok=True)
    path = os.path.join(made, "pasted.scruple")
    with open(path, "w", encoding="utf-8") as file:
        file.write("\n".join(lines) + "\n" + text)
    done = run("build", "--alone", path, "--only", product, "--to", "json")
    codes = {d["code"] for d in json.loads(done.out)["diagnostics"]} if done.out else set()
    check(done.code == 0 and not codes & OVER, f"{label}: what is printed gives {done.ending()}, {sorted(codes)}\n{text}")
    if done.code == 0:
        verdict = json.loads(done.out)["products"][0]["safety"]["verdict"]
        check(verdict in ("passes", "unknown"), f"{label}: made of what is printed, the verdict is {verdict}")


OILS = ["lavender", "lemongrass", "clove_bud", "bergamot_expressed", "orange_sweet", "petitgrain_bigarade", "vetiver", "geranium",
        "ylang_ylang_extra", "cypress", "frankincense_carterii", "patchouli", "lemon_expressed", "ho_wood", "cinnamon_bark"]
LOADS = [("body_oil", "50 ml", "at {} %"), ("body_oil", "50 ml", "at {} % v/v"), ("roll_on", "10 ml", "at {} % w/v"),
         ("roll_on", "10 ml", "at {} % of base"), ("massage_oil", "100 ml", "using {} ml"), ("salt_scrub", "200 g", "using {} g"),
         ("roll_on", "10 ml", "up to 4{} drops")]


def generated(dice, number):
    count = dice.randint(2, 6) if number % 8 else 8
    oils = dice.sample(OILS, count)
    measure = dice.choice(["part", "drop", "weight", "percent"])
    rows = []
    if measure == "percent":
        cut = sorted(dice.sample(range(1, 100), count - 1))
        amounts = [b - a for a, b in zip([0] + cut, cut + [100])]
        rows = ["    by weight"] + [f"    {a} %  {o}" for a, o in zip(amounts, oils)]
    else:
        unit = "g" if measure == "weight" else measure
        rows = [f"    {dice.randint(1, 9)} {unit if unit == 'g' else unit + 's'}  {o}" for o in oils]
    form, size, load = LOADS[number % len(LOADS)]
    figure = dice.randint(1, 9)
    return "\n".join([f"blend mix_{number} {{", *rows, "}", f"product made_{number} {{", f"    blend mix_{number} {load.format(figure)}",
                      f"    format {form} of {size}", "    in jojoba", "}", ""])


def main():
    need_binary()
    dice = random.Random(20260502)
    seen = {}
    with tempfile.TemporaryDirectory() as folder:
        for number in range(42):
            recipe = generated(dice, number)
            path = os.path.join(folder, f"case_{number}.scruple")
            with open(path, "w", encoding="utf-8") as file:
                file.write(recipe)
            answer = json.loads(run("advise", f"made_{number}", path, "--alone", "--to", "json").out)
            found = answer["products"][0]
            label = f"case {number} ({found['load']})"
            state = check_product(found, folder, label)
            seen[state] = seen.get(state, 0) + 1
            if found["most_of_any_ratio_ww"] is not None:
                check_most(found, found["most_of_any_ratio_ww"], folder, label)
            for key in ("in_parts", "in_parts_all_kept"):
                if found[key]:
                    check_variation(found[key]["variation"], recipe, f"made_{number}", folder, f"{label}, {key}")
            ceiling = found["careful"]
            if ceiling["percent"] and number % 7 == 0 and ceiling["basis"] == "w/w" and ceiling["of"] == "total":
                at = run("advise", f"made_{number}", path, "--alone", "--to", "json", "--load", f"{ceiling['percent']}")
                check(json.loads(at.out)["products"][0]["state"] == "nothing_to_mend", f"{label}: nothing is to be mended at the ceiling")
                over = run("advise", f"made_{number}", path, "--alone", "--to", "json", "--load", f"{ceiling['percent'] * 1.02:.6f}")
                check(json.loads(over.out)["products"][0]["state"] != "nothing_to_mend", f"{label}: above it something is")
        for state in ("found", "impossible", "nothing"):
            check(seen.get(state, 0) > 0, f"no generated case is `{state}`: {seen}")
        examples = os.path.join(ROOT, "examples", "stillroom")
        for name, more in (("low_tide_line", ()), ("low_tide", ("--format", "body_oil", "--load", "6")),
                           ("salt_road", ("--format", "roll_on", "--load", "20 % v/v"))):
            answer = advice(examples, name, *more)
            for found in answer["products"] if answer else []:
                check_product(found, folder, f"{name}, {found['product']}")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
