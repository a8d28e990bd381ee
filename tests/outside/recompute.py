#!/usr/bin/env python3
"""Works out a second time what the compiler says about safety, from the published formulas, and holds the compiler to it:
every share, level, limit, sum, verdict, ceiling, unknown part, and every allergen for the label.

    recompute.py [--products 1000] [--seed 11]

Of the compiler's work it reads the library as `library --to json` has it and, to compare, `build --to json`; recipes it
reads for itself. All of it in exact fractions (tests/reckoning), and no code of the compiler's. The library's export is
held to the text of the library first. Figures of the documents carry ten significant digits and agree to 1e-9; ceilings,
which are printed rounded down, agree to the last digit.
"""
import argparse
import json
import math
import os
import sys
import tempfile
from collections import Counter
from fractions import Fraction
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.dont_write_bytecode = True
sys.path[:0] = [str(HERE.parent)]
import program  # noqa: E402
from reckoning import sample  # noqa: E402
from reckoning.labels import Lists  # noqa: E402
from reckoning.product import Impossible, Product, RuleBook, Undiluted, close  # noqa: E402
from reckoning.shelf import Shelf  # noqa: E402

ROOT = Path(program.ROOT)
OWN_RULES = ("house", "strict")   # of the generated collections
DATES = ("", "2020-01-01", "2026-05-02", "2026-07-31", "2026-08-01", "2031-01-31")


def read_json(text):
    """Numbers stay as they are written."""
    return json.loads(text, parse_float=str, parse_int=str)


def plain(name):
    """A material's name as the documents have it: without the alias of an import, the mark of the library's own, and its lot."""
    return name.partition("@")[0].rpartition(".")[2].rstrip("'")


def same(got, own, scale=100):
    """Whether a figure of the document is this one, as ten significant digits can say it."""
    return got is not None and math.isclose(float(got), float(own * scale), rel_tol=1e-9, abs_tol=1e-14)


class Comparison:
    def __init__(self, tally):
        self.tally = tally
        self.met = Counter()

    def collection(self, library, folder, date="", where=""):
        """Builds a collection and compares every product of it."""
        done = program.run("build", str(folder), "--to", "json", "--diagnostics", "json", *(["--on", date] if date else []))
        if not self.tally.check(done.code in (0, 1) and done.out, f"{where}: builds", f"{done.ending()} {done.err[:1000]}"):
            return
        document = read_json(done.out.decode("utf-8"))
        shelf = Shelf(library).read(folder)
        rules = RuleBook(shelf)
        lists = Lists(shelf, rules, date)
        self.tally.check({p["id"] for p in document["products"]} == set(shelf.products), f"{where}: the same products",
                         {p["id"] for p in document["products"]} ^ set(shelf.products))
        for bench in document["benches"]:
            self.bench(shelf, bench, where)
        for blend in document["blends"]:
            self.blend(shelf, blend, where)
        for told in document["products"]:
            self.product(shelf, rules, lists, told, f"{where}: {told['id']}{' on ' + date if date else ''}")

    def bench(self, shelf, told, where):
        """What is in the beaker after each row, of oils alone."""
        if not told["complete"]:
            return
        unit, beakers = shelf.beakers(told["id"])
        said = [told["from"]["beaker"]] if told["from"] else []
        said += [row["beaker"] for row in told["rows"] if row["beaker"]]
        if not self.tally.check(len(said) == len(beakers), f"{where}: {told['id']} has a beaker for each row that adds"):
            return
        for number, (got, there) in enumerate(zip(said, beakers)):
            if any(name in shelf.blends for name in there):
                continue
            lines = {line["material"]: Fraction(line["amount"]) for line in got["lines"]}
            self.tally.check(lines == {plain(m): a for m, a in there.items()}, f"{where}: {told['id']}, beaker {number}", f"{lines}\n{there}")

    def blend(self, shelf, told, where):
        measure, amounts, percent = shelf.blend(told["id"])
        got = {p["material"]: Fraction(p["parts"]) for p in told["parts"]}
        self.tally.check(got == {plain(m): a * (100 if percent else 1) for m, a in amounts.items()}, f"{where}: {told['id']} holds what it says", f"{got}\n{amounts}")
        self.tally.check(told["measure"] == {"weight": "mass"}.get(measure, measure), f"{where}: {told['id']} counts as it says")

    def product(self, shelf, rules, lists, told, what):
        check = self.tally.check
        declared = shelf.products[told["id"]]
        plan = told["drop_plan"] and [int(n) for n in told["drop_plan"]["drops"]]
        try:
            product = Product(shelf, declared, plan)
        except Impossible as why:
            self.met["impossible"] += 1
            check(not told["complete"] and told["safety"]["verdict"] == "unknown" and not told["safety"]["checks"],
                  f"{what}: worked out, although there is {why}", told["safety"]["verdict"])
            check(told["label"]["state"] == "not_known", f"{what}: names, although there is {why}")
            return
        if not check(told["complete"], f"{what}: can be worked out"):
            return
        self.met["complete"] += 1
        self.met["load " + declared["load"]["kind"]] += 1
        self.met["basis " + " ".join(product.basis)] += 1
        self.met["contact " + product.format["contact"]] += 1
        self.amounts(product, told, what)
        checks = product.checks(rules)
        self.checks(product, checks, told["safety"], what)
        verdict = product.verdict(checks, rules)
        check(told["safety"]["verdict"] == verdict, f"{what}: the verdict", f"{told['safety']['verdict']}, not {verdict}")
        self.met["verdict " + verdict] += 1
        for kind in ("ceiling", "careful"):
            self.ceiling(product, checks, rules, told["safety"], kind, f"{what}: {kind}")
        self.unknown(product, rules, told["safety"], what)
        self.label(product, lists, told["label"], what)

    # Shares --------------------------------------------------------------------------------------------------------------

    def amounts(self, product, told, what):
        check = self.tally.check
        check(same(told["load"]["ww_percent"], product.w), f"{what}: the load by weight", f"{told['load']['ww_percent']}, not {float(product.w * 100)!r}")
        reading = product.reading(product.w, ("v/v", "total"))
        if reading is None or reading[1] == 0:
            check(told["load"]["vv_percent"] is None, f"{what}: a load by volume without densities")
        else:
            check(same(told["load"]["vv_percent"], reading[0] / reading[1]), f"{what}: the load by volume",
                  f"{told['load']['vv_percent']}, not {float(reading[0] / reading[1] * 100)!r}")
        got = {"blend": {}, "base": {}}
        for line in told["lines"]:
            into = got[line["role"]]
            into[line["material"]] = into.get(line["material"], 0.0) + float(line["percent_ww"])
        own = {"blend": {plain(m): s * product.w for m, s in product.shares.items()},
               "base": {plain(m): s for m, s in product.base_at(product.w).items()}}
        for role, lines in own.items():
            check(set(got[role]) == set(lines) and all(same(got[role][m], s) or s <= Fraction(1, 10**12) for m, s in lines.items() if m in got[role]),
                  f"{what}: the lines of the {role}", f"{got[role]}\n{({m: float(s) * 100 for m, s in lines.items()})}")
        if product.drops:
            check([int(n) for n in told["drop_plan"]["drops"]] == list(product.drops.values()) and int(told["drop_plan"]["multiple"]) == product.multiple,
                  f"{what}: the drops", f"{told['drop_plan']} {product.drops}")
            self.met["nearest drops" if product.multiple == 0 else "whole drops"] += 1

    # Rules ---------------------------------------------------------------------------------------------------------------

    @staticmethod
    def rule_names(check):
        """What a rule may be called: of equal rows that bind, any."""
        if not check.rows or "rules" not in check.rows[0]:
            return {check.subject[1]}
        return {f"{r['rules']}:{r['subject']}:{r['caught']}" for r in check.rows}

    def checks(self, product, checks, safety, what):
        check = self.tally.check
        told = {}
        for row in safety["checks"]:
            kind = {"oil": "material", "prohibited": None}.get(row["kind"], row["kind"])
            # A bottle of one's own under the library's name has limits of its own beside the library's.
            key = ("banned" if kind is None else kind, row["subject"], row["soft"], row["rules"] in OWN_RULES)
            check(key not in told, f"{what}: a rule twice", key)
            told[key] = row
        own = {}
        for c in checks:
            kind, name = c.subject
            kind = "substance" if kind == "left out" else kind
            own["banned" if c.banned else kind, plain(name), c.soft, bool(c.rows) and c.rows[0].get("rules") in OWN_RULES] = c
        check(set(told) == set(own), f"{what}: the rules that apply", f"only the compiler: {sorted(set(told) - set(own))}\n"
              f"only here: {sorted(set(own) - set(told))}")
        for key in told.keys() & own.keys():
            row, c = told[key], own[key]
            self.met["check " + key[0] + (" soft" if c.soft else "")] += 1
            self.met["check " + c.verdict] += 1
            name = f"{what}: {row['rule']}"
            check(row["rule"] in self.rule_names(c), f"{name}: which row binds", self.rule_names(c))
            check(same(row["limit_percent"], c.limit), f"{name}: the limit", f"{row['limit_percent']}, not {float(c.limit * 100)!r}")
            check(same(row["actual_percent"], c.actual) and same(row["actual_at_maximum_percent"], c.actual_high), f"{name}: the level",
                  f"{row['actual_percent']} and {row['actual_at_maximum_percent']}, not {float(c.actual * 100)!r} and {float(c.actual_high * 100)!r}")
            if c.banned:
                check(row["used_percent"] is None and row["used_at_maximum_percent"] is None, f"{name}: a share of nothing", row["used_percent"])
            else:
                check(same(row["used_percent"], c.used) and same(row["used_at_maximum_percent"], c.used_high), f"{name}: used",
                      f"{row['used_percent']} and {row['used_at_maximum_percent']}, not {float(c.used * 100)!r} and {float(c.used_high * 100)!r}")
            check(row["verdict"] == c.verdict, f"{name}: the verdict", f"{row['verdict']}, not {c.verdict}")
            if c.rows and "standing" in c.rows[0]:
                fitting = [r for r in c.rows if row["rule"] == f"{r['rules']}:{r['subject']}:{r['caught']}"]
                check(row["standing"] in {r["standing"] for r in fitting}, f"{name}: its standing", row["standing"])
            if c.parts is not None:
                parts = {p["material"]: p for p in row["parts"]}
                wanted = {plain(m): figures for m, figures in c.parts.items()}
                check(set(parts) == set(wanted) and all(same(parts[m]["actual_percent"], s) and same(parts[m]["limit_percent"], limit)
                                                        for m, (s, limit) in wanted.items() if m in parts),
                      f"{name}: its parts", f"{row['parts']}\n{c.parts}")

    # Ceilings ------------------------------------------------------------------------------------------------------------

    def ceiling(self, product, checks, rules, safety, kind, what):
        check = self.tally.check
        told = safety[kind]
        own = product.ceiling(checks, kind == "careful", rules)
        self.met[f"{kind} {own.state}"] += 1
        if not check(told["state"] == own.state, f"{what}: its state", f"{told['state']}, not {own.state}\n{told}"):
            return
        check((told["basis"], told["of"]) == product.basis, f"{what}: what it is of", told)
        names = {n for c in own.binding for n in self.rule_names(c)}
        check(told["bound_by"] in names if names else told["bound_by"] is None, f"{what}: the rule that binds", f"{told['bound_by']}, not {names}")
        names = {n for c in own.runners for n in self.rule_names(c)}
        check(told["runner_up"] in names if names else told["runner_up"] is None, f"{what}: the rule that comes next", f"{told['runner_up']}, not {names}")
        if own.state != "bound":
            check(told["value_percent"] is None and told["ww_percent"] is None, f"{what}: a figure where there is none", told)
            return
        # Three significant digits, two to six decimals, down.
        percent = own.reading * 100
        decimals = next((d for d, size in ((2, 1), (3, Fraction(1, 10)), (4, Fraction(1, 100)), (5, Fraction(1, 1000))) if percent >= size), 6)
        down = Fraction(math.floor(percent * 10**decimals), 10**decimals)
        text = f"{float(down):.{decimals}f}" if down else "0"
        self.met[f"ceiling of {decimals if down else 0} decimals"] += 1
        check(told["value_percent"] == text, f"{what}: rounded down from {float(percent)!r}", f"{told['value_percent']}, not {text}")
        ww = Fraction(told["ww_percent"])
        exact = own.ww * 100
        check(ww <= exact * (1 + Fraction(1, 10**14)) and exact - ww <= exact * Fraction(1, 10**9), f"{what}: by weight, rounded down",
              f"{told['ww_percent']}, not {float(exact)!r}")
        if kind == "ceiling":
            check(safety["max_load_ww_percent"] == told["ww_percent"] and safety["bound_by"] == told["bound_by"], f"{what}: told twice alike")

    # What is not known, and what to name -------------------------------------------------------------------------------------

    def unknown(self, product, rules, safety, what):
        got = {}
        for row in safety["unknown"]:
            got.setdefault(row["material"], []).append(row)
        own = {plain(m): (s, u, product.shares.get(m)) for m, s, u, _ in product.unknown()}
        self.tally.check(set(got) == set(own), f"{what}: the oils of which something is not known", f"{set(got)} {set(own)}")
        for material, rows in got.items():
            if material not in own:
                continue
            self.tally.check(all(same(r["unknown_percent"], own[material][1]) for r in rows), f"{what}: how much of {material} is not known",
                             f"{rows[0]['unknown_percent']}, not {float(own[material][1] * 100)!r}")
            shares = {float(r["share_of_blend_percent"]) for r in rows} - {0.0}
            wanted = own[material][2]
            self.tally.check(len(shares) == (wanted is not None) and all(same(s, wanted) for s in shares), f"{what}: the share of {material}", rows)
        unstated = {(r["subject"], r["rules"]) for r in safety["unstated"]}
        wanted = {(plain(s), r) for s, r in product.unstated(rules)}
        self.met["unstated"] += bool(wanted)
        self.tally.check(unstated == wanted, f"{what}: limits without their figure", unstated ^ wanted)

    def label(self, product, lists, label, what):
        check = self.tally.check
        names = lists.names(product)
        if names is None:
            wanted = "other_law" if product.format["contact"] == "none" else "no_list"
            self.met["label " + wanted] += 1
            check(label["state"] == wanted and label["allergens"] is None, f"{what}: lists names", label["state"])
            return
        self.met["label listed"] += 1
        if not check(label["state"] == "listed", f"{what}: lists nothing", label["state"]):
            return
        named, after, now, every = names
        got = {a["name"]: a for a in label["allergens"]}
        check(len(got) == len(label["allergens"]), f"{what}: a name stands twice")
        told = {n for n, a in got.items() if a["later"] is None}
        check(told == named, f"{what}: the names", sorted(told ^ named))
        check(set(got) - told == after, f"{what}: the later names", sorted((set(got) - told) ^ after))
        self.met["names"] += len(named)
        self.met["later names"] += len(after)
        everything = {**{a["name"]: a for a in label["under_threshold"]}, **got}
        check(set(everything) == set(every), f"{what}: what is there", sorted(set(everything) ^ set(every)))
        for name in everything.keys() & every.keys():
            row = everything[name]
            either = [now[name]] if name in named else [f for f in every[name] if f[3] or name not in after]
            check(any(same(row["share_percent"], top) and same(row["typical_share_percent"], typical) and same(row["threshold_percent"], least, 1)
                      for typical, top, least, _ in either), f"{what}: {name}",
                  f"{row['share_percent']} of {row['threshold_percent']}, not {[(float(f[1] * 100), float(f[2])) for f in either]}")
        oils = [(m, s) for m, s in product.held.items() if product.shelf.things[m].kind == "oil"]
        unknown = sum((s * product.shelf.gram(m).unknown for m, s in oils), Fraction(0))
        check(math.isclose(float(label["unknown_percent"]), float(unknown * 100), rel_tol=1e-9, abs_tol=1e-10), f"{what}: what is unknown",
              f"{label['unknown_percent']}, not {float(unknown * 100)!r}")
        check(set(label["unknown"]) == {plain(m) for m, s in oils if s > 0 and not product.shelf.gram(m).told}, f"{what}: of what nothing is known", label["unknown"])


def library_as_text(tally, library):
    """The export says what the library's own text says: every figure that is reckoned with here."""
    text = Shelf({key: [] for key in library}).read(ROOT / "stdlib", library=True)
    export = Shelf(library)
    tally.check(set(text.things) == set(export.things), "the export has every material of the library", set(text.things) ^ set(export.things))
    for name in text.things.keys() & export.things.keys():
        a, b = text.gram(name), export.gram(name)
        tally.check(a.typical == b.typical and a.high == b.high and a.unknown == b.unknown, f"{name}: the export holds its composition",
                    {s for s in a.high.keys() | b.high.keys() if a.high.get(s) != b.high.get(s) or a.typical.get(s) != b.typical.get(s)})
        tally.check(text.density(name) == export.density(name) and text.drops(name) == export.drops(name)
                    and text.field(name, "role") == export.field(name, "role"), f"{name}: the export holds its figures")
    key = lambda r: (r["subject"], r["substance"], r["rules"], r["kind"], r["effect"], r["limit"], tuple(r["categories"]), r["standing"])  # noqa: E731
    a, b = Counter(map(key, text.limits)), Counter(map(key, export.limits))
    tally.check(a == b, "the export has every limit", f"{list((a - b).items())[:5]}\n{list((b - a).items())[:5]}")
    tally.check(text.within == export.within, "the export has every category", {n for n in text.within if text.within[n] != export.within.get(n)})
    tally.check(text.groups == export.groups and text.substances == export.substances, "the export has every substance")
    tally.check(text.rule_sets == export.rule_sets, "the export has every rule set", [(n, text.rule_sets.get(n), export.rule_sets[n]) for n in export.rule_sets
                                                                                    if text.rule_sets.get(n) != export.rule_sets[n]][:3])
    tally.check(text.formats == export.formats, "the export has every format", [(n, text.formats.get(n), export.formats[n]) for n in export.formats
                                                                               if text.formats.get(n) != export.formats[n]][:3])
    tally.check(text.bases == export.bases, "the export has every base", [(n, text.bases.get(n), export.bases[n]) for n in export.bases
                                                                         if text.bases.get(n) != export.bases[n]][:2])
    entry = lambda a: (a["label"], a["rules"], frozenset(a["substances"]), frozenset(a["oils"]), a["leave_on"], a["rinse_off"])  # noqa: E731
    tally.check(Counter(map(entry, text.allergens)) == Counter(map(entry, export.allergens)), "the export has every allergen",
                list((Counter(map(entry, text.allergens)) - Counter(map(entry, export.allergens))).items())[:3])


def main():
    parser = argparse.ArgumentParser(description="Works out safety a second time.")
    parser.add_argument("--products", type=int, default=1000, help="how many are generated")
    parser.add_argument("--seed", type=int, default=11)   # another may meet a rare case too seldom
    given = parser.parse_args()
    program.need_binary()
    tally = program.Tally(most_shown=40)
    library = read_json(program.run("library", "--to", "json").out.decode("utf-8"))
    library_as_text(tally, library)
    both = Comparison(tally)
    for name in ("first", "stillroom", "shared_shelf"):
        for date in DATES:
            both.collection(library, ROOT / "examples" / name, date, name)
    examples = both.met["complete"]
    with tempfile.TemporaryDirectory() as folder:
        for number, (text, date) in enumerate(sample.collections(given.seed, given.products, library)):
            room = Path(folder, str(number))
            room.mkdir()
            (room / "collection.scruple").write_text(text, encoding="utf-8")
            both.collection(library, room, date, f"generated {number}")
    tally.check(examples >= 100, "the examples have products", examples)
    if (given.products, given.seed) == (1000, 11):
        for what, least in sample.MUST_MEET.items():
            tally.check(both.met[what] >= least, f"met too seldom: {what}", both.met[what])
    for what in sorted(both.met):
        print(f"  {what}: {both.met[what]}")
    return tally.close()


if __name__ == "__main__":
    sys.exit(main())
