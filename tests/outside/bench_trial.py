"""The running table of long trials against SQLite (the library behind python3's sqlite3): a log is put into a table, and window
functions add it up as a spreadsheet would. Amounts are compared exactly (SQLite counts whole thousandths), shares and odour to
1e-9. Marks are compared with the same ratio written out, and splits with what is left.

    50 rows in drops, in millilitres, in grams and in parts, several oils a row; fixed seeds
    25 drops doubled are 50; a ratio of 14 parts under 60 drops is made 4 times       common practice, no source
    raising all but the leader lowers the leader                                      common practice, no source
"""
import csv
import io
import json
import os
import random
import sqlite3
import sys
import tempfile
from fractions import Fraction

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.dirname(HERE))
import program

OILS = ["petitgrain_bigarade", "ho_wood", "vetiver", "frankincense_carterii", "lavender", "cypress", "orange_sweet", "patchouli",
        "cedarwood_atlas", "ginger", "clove_bud", "lemon_distilled"]
ROWS = 50

QUERY = """
WITH steps AS (SELECT DISTINCT step FROM log),
     oils AS (SELECT oil, MIN(step * 1000 + place) AS first FROM log GROUP BY oil),
     amounts AS (
         SELECT steps.step, oils.oil, oils.first,
                (SELECT COALESCE(SUM(amount), 0) FROM log WHERE log.oil = oils.oil AND log.step <= steps.step) AS so_far,
                (SELECT COALESCE(SUM(amount), 0) FROM log WHERE log.oil = oils.oil AND log.step = steps.step) AS added
         FROM steps CROSS JOIN oils),
     there AS (SELECT amounts.*, impact FROM amounts JOIN impacts USING (oil) WHERE so_far > 0)
SELECT step, oil, so_far, added,
       SUM(so_far) OVER (PARTITION BY step) AS total,
       100.0 * so_far / SUM(so_far) OVER (PARTITION BY step) AS share,
       100.0 * so_far * impact / SUM(so_far * impact) OVER (PARTITION BY step) AS odour,
       RANK() OVER (PARTITION BY step ORDER BY so_far * impact DESC) AS place
FROM there ORDER BY step, first
"""


def built(text, *arguments):
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "trial.scruple")
        with open(path, "w", encoding="utf-8") as file:
            file.write(text)
        done = program.run("build", path, "--alone", "--diagnostics", "json", *arguments)
        if done.code != 0:
            sys.exit(f"a trial did not build: {done.ending()}\n{done.err.decode()}\n{text}")
        return done.out.decode("utf-8")


def document(text):
    return json.loads(built(text, "--to", "json"))


def impacts_of_library():
    oils = json.loads(program.run("library", "--to", "json").out)["oils"]
    return {oil["id"]: oil["impact"] for oil in oils}


def amount_text(thousandths):
    whole, rest = divmod(thousandths, 1000)
    return f"{whole}.{rest:03}".rstrip("0").rstrip(".")


def make_log(chance, unit):
    """Rows of (oil, thousandths); drops are whole."""
    rows = []
    for _ in range(ROWS):
        count = chance.choice((1, 1, 1, 2, 3))
        fine = 1000 if unit == "drops" else chance.choice((1000, 250, 50, 1))
        rows.append([(oil, fine * chance.randint(1, 9)) for oil in chance.sample(OILS, count)])
    return rows


def written(name, unit, rows, marks):
    lines = [f"bench {name} {{", "    on         2026-02-01"]
    for number, row in enumerate(rows, 1):
        lines.append("    add        " + ", ".join(f"{amount_text(a)} {unit} {oil}" for oil, a in row) + f' "row {number}"')
        if number in marks:
            lines.append(f"    mark       m{number}")
    return "\n".join([*lines, "}", ""])


def reckoned(rows, impacts):
    base = sqlite3.connect(":memory:")
    base.execute("CREATE TABLE log (step INTEGER, place INTEGER, oil TEXT, amount INTEGER)")
    base.execute("CREATE TABLE impacts (oil TEXT PRIMARY KEY, impact INTEGER)")
    base.executemany("INSERT INTO impacts VALUES (?, ?)", impacts.items())
    for step, row in enumerate(rows, 1):
        base.executemany("INSERT INTO log VALUES (?, ?, ?, ?)", [(step, place, oil, a) for place, (oil, a) in enumerate(row)])
    steps = {}
    for step, oil, so_far, added, total, share, odour, place in base.execute(QUERY):
        steps.setdefault(step, []).append((oil, so_far, added, total, share, odour, place))
    return steps


def compare(tally, what, beakers, steps):
    tally.check(len(beakers) == len(steps) == ROWS, f"{what}: a beaker for each of {ROWS} rows", f"{len(beakers)}, {len(steps)}")
    for (step, lines), got in zip(sorted(steps.items()), beakers):
        where = f"{what}, row {step}"
        tally.check([l["material"] for l in got["lines"]] == [l[0] for l in lines], f"{where}: the oils in order")
        tally.check(Fraction(got["total"]) == Fraction(lines[0][3], 1000), f"{where}: in all", got["total"])
        for line, (oil, so_far, added, _, share, odour, _) in zip(got["lines"], lines):
            tally.check(Fraction(line["amount"]) == Fraction(so_far, 1000), f"{where}: {oil} so far", line["amount"])
            tally.check(Fraction(line["added"]) == Fraction(added, 1000), f"{where}: {oil} added", line["added"])
            tally.check(abs(line["share_percent"] - share) < 1e-7, f"{where}: share of {oil}", f"{line['share_percent']} {share}")
            tally.check(abs(line["odour_percent"] - odour) < 1e-7, f"{where}: odour of {oil}", f"{line['odour_percent']} {odour}")
        ratio = [Fraction(n, sum(got["whole_ratio"])) for n in got["whole_ratio"]]
        tally.check(ratio == [Fraction(l[1], l[3]) for l in lines], f"{where}: the ratio", got["whole_ratio"])
        first = [l[0] for l in lines if l[6] == 1]
        leads = got["leads"] and got["leads"]["material"]
        tally.check(leads == (first[0] if len(first) == 1 else None), f"{where}: who leads", f"{leads} {first}")


def long_trials(tally, impacts):
    for seed, unit in enumerate(("drops", "ml", "g", "parts")):
        chance = random.Random(seed)
        rows = make_log(chance, unit)
        marks = sorted(chance.sample(range(1, ROWS + 1), 5))
        text = written("long", unit, rows, marks)
        for number in marks:   # from the mark, and the same written out in another order
            text += f"blend from_{number} from long at m{number} {{ remark \"-\" }}\n"
            sums = {}
            for row in rows[:number]:
                for oil, a in row:
                    sums[oil] = sums.get(oil, 0) + a
            shuffled = list(sums.items())
            chance.shuffle(shuffled)
            text += f"blend out_{number} {{\n" + "".join(f"    {amount_text(a)} {unit} {oil}\n" for oil, a in shuffled) + "}\n"
        told = document(text)
        bench = told["benches"][0]
        steps = reckoned(rows, impacts)
        compare(tally, unit, [row["beaker"] for row in bench["rows"] if row["beaker"]], steps)
        prints = {blend["id"]: blend["fingerprint"] for blend in told["blends"]}
        for number in marks:
            tally.check(prints[f"from_{number}"] == prints[f"out_{number}"], f"{unit}: the blend from row {number} is the ratio")
        marked = {mark["mark"]: mark["fingerprint"] for mark in bench["marks"]}
        tally.check(marked == {f"m{n}": prints[f"out_{n}"] for n in marks}, f"{unit}: the marks' fingerprints", marked)
        table = [row for row in csv.DictReader(io.StringIO(built(text, "--to", "csv"), newline="")) if row["act"] == "add"]
        wanted = [(l[0], Fraction(l[1], 1000)) for _, lines in sorted(steps.items()) for l in lines]
        tally.check([(row["material"], Fraction(row["parts"])) for row in table] == wanted, f"{unit}: the CSV says the same")


def splits(tally, impacts):
    """Two beakers of one: what goes into each comes to the whole, and later rows add up from there."""
    chance = random.Random(7)
    for case in range(12):
        rows = make_log(chance, "drops")[:6]
        share = Fraction(chance.randint(1, 8), 9)
        text = written("whole", "drops", rows, [6])
        for name, part in (("left", share), ("right", 1 - share)):
            text += f"bench {name} from whole at m6 taking {part.numerator}/{part.denominator} {{ add 2 drops ginger }}\n"
        benches = {b["id"]: b for b in document(text)["benches"]}
        whole = {l["material"]: Fraction(l["amount"]) for l in benches["whole"]["rows"][-2]["beaker"]["lines"]}
        halves = [{l["material"]: Fraction(l["amount"]) for l in benches[n]["from"]["beaker"]["lines"]} for n in ("left", "right")]
        tally.check({m: halves[0][m] + halves[1][m] for m in whole} == whole, f"split {case}: nothing is lost", f"{halves} {whole}")
        after = {l["material"]: Fraction(l["amount"]) for l in benches["left"]["rows"][0]["beaker"]["lines"]}
        halves[0]["ginger"] = halves[0].get("ginger", 0) + 2
        tally.check(after == halves[0], f"split {case}: what is added comes on top", f"{after} {halves[0]}")


def practice(tally, impacts):
    """Common practice, no source."""
    text = ("bench once {\n    add 10 drops lavender, 8 drops ho_wood, 7 drops cypress\n    mark m\n    add 10 drops lavender, 8 drops ho_wood, "
            "7 drops cypress\n    mark twice\n}\nblend b from once at m { remark \"-\" }\nproduct p {\n    blend b up to 50 drops\n"
            "    format roll_on of 10 ml\n    in jojoba\n}\n")
    text14 = ("bench seven {\n    add 7 drops lavender, 4 drops ho_wood, 3 drops cypress\n    mark m\n}\nblend b from seven at m { remark \"-\" }\n"
              "product p {\n    blend b up to 60 drops\n    format roll_on of 10 ml\n    in jojoba\n}\n")

    def plan(recipe):
        with tempfile.TemporaryDirectory() as folder:
            path = os.path.join(folder, "p.scruple")
            with open(path, "w", encoding="utf-8") as file:
                file.write(recipe)
            told = json.loads(program.run("build", path, "--alone", "--to", "json", "--diagnostics", "json").out)
            return told["products"][0]["drop_plan"], told["benches"][0]
    doubled, bench = plan(text)
    tally.check((doubled["total"], doubled["multiple"]) == (50, 2), "25 drops doubled are 50", doubled)
    tally.check([row["beaker"]["total"] for row in bench["rows"] if row["beaker"]] == ["25", "50"], "and so they are in the beaker")
    tally.check(bench["marks"][0]["fingerprint"] == bench["marks"][1]["fingerprint"], "twice as much is the same ratio")
    times_four, _ = plan(text14)
    tally.check((times_four["total"], times_four["multiple"]) == (56, 4), "14 parts under 60 drops are made 4 times", times_four)

    chance = random.Random(11)
    for case in range(20):
        oils = chance.sample(OILS, chance.randint(3, 6))
        start = {oil: chance.randint(1, 6) for oil in oils}
        odour = {oil: n * impacts[oil] for oil, n in start.items()}
        leader = max(odour, key=odour.get)
        raised = {oil: chance.randint(1, 5) for oil in oils if oil != leader}
        text = ("bench raise {\n    add " + ", ".join(f"{n} drops {o}" for o, n in start.items()) + "\n    add "
                + ", ".join(f"{n} drops {o}" for o, n in raised.items()) + "\n}\n")
        before, after = [row["beaker"] for row in document(text)["benches"][0]["rows"]]

        def of(beaker, key):
            return next(l[key] for l in beaker["lines"] if l["material"] == leader)
        tally.check(of(after, "share_percent") < of(before, "share_percent"), f"raise {case}: the leader's share falls")
        tally.check(of(after, "odour_percent") < of(before, "odour_percent"), f"raise {case}: and its odour")
        tally.check(of(after, "share_percent_before") == of(before, "share_percent"), f"raise {case}: the share before is said")
        wanted = 100 * odour[leader] / (sum(odour.values()) + sum(n * impacts[o] for o, n in raised.items()))
        tally.check(abs(of(after, "odour_percent") - wanted) < 1e-7, f"raise {case}: as computed", wanted)


def main():
    program.need_binary()
    tally = program.Tally()
    impacts = impacts_of_library()
    impacts = {oil: impacts[oil] for oil in OILS}
    if not tally.check(all(impacts.values()), "every oil of the trial has an impact", impacts):
        return tally.close()
    long_trials(tally, impacts)
    splits(tally, impacts)
    practice(tally, impacts)
    return tally.close()


if __name__ == "__main__":
    sys.exit(main())
