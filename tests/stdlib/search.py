#!/usr/bin/env python3
"""`scruple library WORDS` against the library's own document, which coverage.py and roundtrip.py hold to what it must be:
who is found by a mood, a note, a synonym or a constituent, in which order, and that every record has a card that fits a
page of 80 columns.

    search.py [--binary PATH]
"""
import argparse
import concurrent.futures
import json
import os
import pathlib
import random
import re
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
CLOSING = "A card approves nothing. The supplier's own documents come first."
SHELVES = ("oils", "ingredients", "substances", "groups", "formats", "bases", "rules", "categories", "limits", "cautions",
           "guides", "audiences", "units", "sources")


class Checks:
    def __init__(self, binary):
        self.binary = str(binary)
        self.passed = 0
        self.failures = []

    def check(self, good, what, detail=""):
        if good:
            self.passed += 1
        else:
            self.failures.append(f"{what}\n{detail}".rstrip())
        return good

    def run(self, *words):
        done = subprocess.run([self.binary, "library", *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE, check=False,
                              timeout=60, env={"PATH": os.environ["PATH"], "LC_ALL": "C"})
        return done.returncode, done.stdout.decode("utf-8"), done.stderr.decode("utf-8")

    def found(self, *words):
        """{kind: [names in order]} of a list; a lone hit is listed too."""
        code, out, _ = self.run(*words)
        shelves, shelf = {}, None
        for line in out.splitlines() if code == 0 else []:
            head = re.fullmatch(r"([a-z]+) \((\d+)\)", line)
            if head and head.group(1) in SHELVES:
                shelf = shelves.setdefault(head.group(1), [])
            elif shelf is not None and re.match(r"  \S", line):
                shelf.append(line.split()[0])
        return shelves


def typical(row):
    return row["typical"] if row["typical"] is not None else row["high"]


def check_cards(c, library, pool):
    kinds = {"oils": "an aromatic oil", "ingredients": "an ingredient", "groups": "a group", "formats": "a product format",
             "bases": "a base", "rule_sets": "a rule set", "substances": "a substance", "guides": "a guide"}
    wanted = [(k, x) for k in kinds for x in library[k]]
    for (kind, x), (code, out, err) in zip(wanted, pool.map(lambda w: c.run(w[1]["id"]), wanted)):
        name = x["id"]
        if not c.check(code == 0 and not err, f"{name}: a card", err):
            continue
        c.check(x["title"] in " ".join(out.split()) and kinds[kind] in out, f"{name}: says what it is", out[:400])
        c.check(max(map(len, out.splitlines())) <= 80, f"{name}: no line over 80 columns")
        c.check(out.rstrip().endswith(CLOSING), f"{name}: ends with its closing line")
        if kind == "oils":
            says = " ".join(out.split())
            c.check(("Not known here: " in says) == bool(x["unknown"]) or x["composition"] is not None,
                    f"{name}: says what is not known")
            c.check(x["composition"] is not None or "nobody can say what limits it meets" in says,
                    f"{name}: an unknown composition is called unknown", says[:500])
            c.check("safe" not in says.replace("Unknown is not safe", "").replace("Safety", "").lower().split(),
                    f"{name}: calls nothing safe")


def check_facets(c, library):
    oils = library["oils"]
    for mood in sorted({m for o in oils for m in o["moods"]}):
        got = set(c.found("oils", mood).get("oils", []))
        c.check(got == {o["id"] for o in oils if mood in o["moods"]}, f"oils {mood}", got)
    notes = {"top": ("top", "top_middle"), "middle": ("top_middle", "middle"), "base": ("base",)}
    for word, values in notes.items():
        got = set(c.found("oils", word).get("oils", []))
        c.check(got >= {o["id"] for o in oils if o["note"] in values}, f"oils {word}", got)
    for odour in sorted({o["odour"] for o in oils if o["odour"]}):
        got = set(c.found("oils", odour).get("oils", []))
        c.check(got >= {o["id"] for o in oils if o["odour"] == odour}, f"oils {odour}", got)
    for word, tiers in (("cheap", (1, 2)), ("moderate", (3,)), ("dear", (4, 5))):
        got = set(c.found("oils", word).get("oils", []))
        c.check(got == {o["id"] for o in oils if o["cost_tier"] in tiers}, f"oils {word}", got)
    kinds = {"oils": "oils", "ingredients": "ingredients", "substances": "substances", "groups": "groups",
             "formats": "formats", "rules": "rule_sets", "units": "units", "sources": "sources", "cautions": "cautions",
             "guides": "guides", "audiences": "audiences"}
    for word, key in kinds.items():
        got = c.found(word).get(word, [])
        c.check(sorted(got) == sorted(x["id"] for x in library[key]), f"{word}: all of them", len(got))
    got = set(c.found("oils", "cites").get("oils", []))
    c.check(got == {o["id"] for o in oils if o["cites_appendix"] or "cites" in (o["conservation"] or "").lower()}, "oils cites", got)
    # Cautions go by their oils and by their people too.
    for x in library["cautions"]:
        for audience in x["audience"][:1]:
            title = next(a["title"] for a in library["audiences"] if a["id"] == audience)
            got = c.found("cautions", *title.split()).get("cautions", [])
            c.check(x["id"] in got, f"cautions {title}: finds {x['id']}", got)
    for kind in ("oils", "ingredients", "substances", "audiences"):
        for x in library[kind]:
            for also in x["also"]:
                code, out, _ = c.run(also)
                c.check(code == 0 and x["id"] in out, f"{also}: finds {x['id']}", out[:300])
    for x in oils[::9] + library["ingredients"][::9] + library["substances"][::9]:
        if x["cas"]:
            got = [n for names in c.found(x["cas"]).values() for n in names]
            c.check(x["id"] in got, f"{x['cas']}: finds {x['id']}", got)


def check_together(c, library):
    """Several words: exactly those that each word finds."""
    words = ["calming", "base", "citrus", "top", "cheap", "leaf", "floral", "dear", "absolute", "uplifting", "lamiaceae"]
    alone = {w: {(k, n) for k, names in c.found(w).items() for n in names if k != "limits"} for w in words}
    draw = random.Random(7)
    for _ in range(25):
        some = draw.sample(words, draw.choice((2, 2, 3)))
        both = {(k, n) for k, names in c.found(*some).items() for n in names}
        c.check(both == set.intersection(*(alone[w] for w in some)), f"{' '.join(some)}: all must hit", both)


def check_contains(c, library, pool):
    goods = library["oils"] + library["ingredients"]
    holders = {}
    for x in goods:
        for row in (x["composition"]["rows"] + x["composition"]["group_sums"]) if x["composition"] else []:
            holders.setdefault(row["substance"], []).append((-typical(row), x["id"]))
    names = sorted(holders)
    for name, (code, out, _) in zip(names, pool.map(lambda n: c.run("what", "contains", n), names)):
        rows = [line.split()[0] for line in out.splitlines()[3:] if re.match(r"  [a-z][a-z0-9_]* .*%", line)]
        c.check(code == 0 and rows == [x for _, x in sorted(holders[name])], f"contains {name}", out[:600])


def check_limits(c, library, pool):
    limits = {}
    for x in library["limits"]:
        limits.setdefault(x["subject"], []).append(x)
    subjects = sorted(limits)
    for name, (code, out, _) in zip(subjects, pool.map(lambda n: c.run("limit", n), subjects)):
        says = " ".join(out.split())
        c.check(code == 0 and all(f"({x['rules']})" in says for x in limits[name]), f"limit {name}: every rule set", out[:500])
        c.check(all(r["figure"] in says for x in limits[name] for r in x["rows"]), f"limit {name}: every figure", out[:500])


def bounds(card):
    """{title of a category: (at most, if strong)} from the table of a card."""
    lines = card.split("WHAT BINDS IT")[1].splitlines()
    head = next((i for i, line in enumerate(lines) if line.rstrip().endswith("because of")), None)
    out, cells, figures = {}, "", None
    if head is None:
        return out
    end, strong = lines[head].index("at most") + 7, lines[head].index("if strong") + 9

    def close():
        for title in cells.split(";") if figures else ():
            out[re.sub(r" \[\w+\]$", "", " ".join(title.split()))] = figures

    for line in [*lines[head + 1:], ""]:
        starts = len(line) >= strong and line[end - 1] != " " and line[strong - 1] != " " and line.startswith("    ")
        if starts or not line.startswith("    "):
            close()
            cells, figures = "", None
        if not line.strip():
            break
        if starts:
            most = re.search(r"(?:[\d.]+ %|none|-)$", line[:end])
            figures = (most.group(0), line[end:strong].strip())
            cells = line[:most.start()]
        elif figures:
            cells += " " + line[:end - 9]
    return out


def check_bounds(c, library, pool):
    """The most that a card allows against the ceiling of a product that holds nothing but that oil and a plain carrier."""
    titles = {x["id"]: x["title"] for x in library["categories"]}
    formats = {f["id"]: f for f in library["formats"] if f["id"] in ("body_oil", "roll_on", "bath_oil")}
    carrier = "squalane"
    wanted = [o for o in library["oils"] if o["composition"] and o["density"]][::7]

    def built(oil):
        text = f"blend one {{ 1 part {oil['id']} }}\n"
        for name in formats:
            text += f"product {name}_one {{\n blend one at 0.001 % of total\n format {name} of 50 ml\n in {carrier}\n}}\n"
        with tempfile.TemporaryDirectory() as folder:
            path = pathlib.Path(folder) / "one.scruple"
            path.write_text(text)
            done = subprocess.run([c.binary, "build", "--alone", str(path), "--to", "json"], stdout=subprocess.PIPE,
                                  stderr=subprocess.DEVNULL, check=False, timeout=60)
        return json.loads(done.stdout)

    compared = 0
    for oil, document, (_, card, _) in zip(wanted, pool.map(built, wanted), pool.map(lambda o: c.run(o["id"]), wanted)):
        table = bounds(card)
        for product in document["products"]:
            name = product["id"].removesuffix("_one")
            at_most = table.get(titles[formats[name]["category"]], ("-", "-"))[0]
            ceiling = product["safety"]["ceiling"]
            where = f"{oil['id']} in {name}: the card says {at_most}, the product {ceiling}"
            if ceiling["state"] != "bound" or ceiling["ww_percent"] is None:
                c.check(at_most in ("-", "none"), where)
                continue
            if ceiling["ww_percent"] == 0:
                c.check(at_most == "none", where)
                continue
            if ceiling["bound_by"] and ceiling["bound_by"].startswith("undiluted") or ceiling["ww_percent"] >= 100:
                c.check(at_most == "-", where)
                continue
            compared += 1
            said = float(at_most.rstrip(" %")) if at_most not in ("-", "none") else None
            # Rounded down to three digits.
            c.check(said is not None and said <= ceiling["ww_percent"] * (1 + 1e-8) and said > ceiling["ww_percent"] * 0.989, where)
    c.check(compared >= 20, f"only {compared} ceilings were compared")
    print(f"{compared} ceilings of single oils are those of the cards")


def check_nothing(c):
    for words, near in ((["calmng"], "calming"), (["citrs", "top"], "citrus"), (["contains", "linlool"], "linalool")):
        code, out, err = c.run(*words)
        c.check(code == 2 and not out and f"did you mean `{near}`?" in err, f"{words}: offers {near}", err)
    code, _, err = c.run("qqqqqqqq")
    c.check(code == 2 and "kinds" in err and "moods" not in err and "calming" in err, "says what can be searched for", err)


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--binary", default=os.environ.get("SCRUPLE") or ROOT / "build/scruple")
    c = Checks(parser.parse_args().binary)
    library = json.loads(c.run("--to", "json")[1])
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        check_cards(c, library, pool)
        check_contains(c, library, pool)
        check_limits(c, library, pool)
        check_bounds(c, library, pool)
    check_facets(c, library)
    check_together(c, library)
    check_nothing(c)
    for failure in c.failures[:40]:
        print(f"FAILED: {failure}")
    print(f"{c.passed} passed, {len(c.failures)} failed")
    return 1 if c.failures or not c.passed else 0


if __name__ == "__main__":
    sys.exit(main())
