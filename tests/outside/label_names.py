#!/usr/bin/env python3
"""Works out the names for labels a second time, and holds the compiler's to it: every name, share and unknown rest.

Reads the text of the library and of the collections by itself (tests/stdlib/reader.py), and of the compiler's work only the
lines of each formula, `build --to json`. Shares no code with the compiler.
"""
import json
import math
import os
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.dont_write_bytecode = True
sys.path[:0] = [str(HERE.parent), str(HERE.parent / "stdlib")]
import program  # noqa: E402
from reader import rows_of, text  # noqa: E402

ROOT = Path(program.ROOT)
UNITS = {"%": 1e-2, "ppm": 1e-6, "ppb": 1e-9}
DATES = ("", "2020-01-01", "2026-05-02", "2026-07-31", "2026-08-01", "2031-01-31")


class World:
    """What the files of the library, and of a collection over them, declare."""

    def __init__(self, folders):
        self.rows = {kind: {} for kind in ("oil", "ingredient", "lot", "substance", "group", "format", "rules", "workshop")}
        self.entries = []
        self.made = {}
        for folder in folders:
            for path in sorted(Path(folder).rglob("*.scruple")):
                for row in rows_of(path, Path(folder)):
                    if row[0] in self.rows:
                        name = "workshop" if row[0] == "workshop" else row[1]
                        before = self.rows[row[0]].get(name)
                        self.rows[row[0]][name] = row
                        if before is not None:   # `oil lavender like lavender`: the library's under a name of its own
                            self.rows[row[0]][name + "'"] = before
                    elif row[0] == "allergen":
                        self.entries.append(row)
        self.groups = {name: words(row, "members") for name, row in self.rows["group"].items()}

    def material(self, name):
        if name not in self.made:
            self.made[name] = self.make(name)
        return self.made[name]

    def make(self, name):
        kind = "oil" if name in self.rows["oil"] else "ingredient"
        row = self.rows[kind][name]
        rows, counts, dilution = {}, {name: 1.0}, None
        head = row.items[0]
        if "like" in head:
            like = head[head.index("like") + 1]
            like = like + "'" if like == name else like
            other = self.material(like)
            rows = dict(other["neat"])
            dilution = other["dilution"]
            counts.update(other["neat_counts"])
        only, stated = self.stated(row)
        rows = {} if only else rows
        for substance, figure in stated.items():
            if figure is None:
                del rows[substance]
            else:
                rows[substance] = figure
        for field in [f for f in row.block or [] if f[0] == "diluted"]:
            dilution = (float(field[1]) / 100, field[4])
        neat, neat_counts = dict(rows), dict(counts)
        constituents = any(self.groups.get(s) != [] for s in rows)
        rows, known = self.dissolved(self.summed(rows), self.known(rows), dilution)
        if dilution:
            counts = {n: 1.0 if n == name else c * dilution[0] for n, c in counts.items()}
        return {"kind": kind, "rows": rows, "counts": counts, "known": known, "constituents": constituents, "neat": neat,
                "neat_counts": neat_counts, "dilution": dilution}

    def lot(self, number):
        """A bottle: what its certificate states, and for the rest its oil."""
        row = self.rows["lot"][number]
        of = self.material(row.items[0][3])
        only, stated = self.stated(row)
        stated = {s: figure or (0.0, 0.0) for s, figure in stated.items()}
        rows = {} if only else dict(of["neat"])
        for group in [g for g in rows if g in self.groups]:
            members = self.flat(group)
            if members and all(m in stated for m in members):
                del rows[group]
        for group in [g for g in stated if g in self.groups]:
            for member in [m for m in self.flat(group) if m in rows]:
                rows[member] = tuple(min(figure, stated[group][1]) for figure in rows[member])
        rows.update(stated)
        known_rows = self.summed(rows)
        for group in [g for g in stated if g in self.groups]:
            found = [stated[m] for m in self.flat(group) if m in stated]
            known_rows[group] = tuple(max(stated[group][i], sum(f[i] for f in found)) for i in (0, 1))
        known = self.known(rows, known_rows)
        rows, known = self.dissolved(known_rows, known, of["dilution"])
        return {**of, "rows": rows, "known": known, "constituents": any(self.groups.get(s) != [] for s in rows)}

    @staticmethod
    def stated(row):
        """(whether only this is known, what `contains` says by substance: typical and highest, None for `none`)."""
        only, out = False, {}
        for block in [b for b in row.block or [] if b[0] == "contains"]:
            only = only or block[1] == "only"
            for part in block.block:
                atoms = part.items[0]
                if atoms[0] == "none":
                    out[atoms[1]] = None
                    continue
                up_to = atoms[:2] == ["up", "to"]
                atoms = atoms[2:] if up_to else atoms
                points = [float(p) * UNITS[atoms[1]] for p in atoms[0].split("..")]
                # Lowest and highest, with a typical one between them or none.
                out[atoms[2]] = (points[1] if len(points) == 3 else points[-1], points[-1])
        return only, out

    def known(self, rows, known_rows=None):
        known = 0.0
        for substance, (typical, _) in (known_rows or self.summed(rows)).items():
            members = self.groups.get(substance)
            if members is not None and (not members or any(m in rows for m in members)):
                continue
            known += typical
        return min(known, 1.0)

    def dissolved(self, rows, known, dilution):
        if not dilution:
            return rows, known
        share, carrier = dilution
        inside = self.material(carrier)["rows"]
        rows = {s: (rows.get(s, (0, 0))[0] * share + inside.get(s, (0, 0))[0] * (1 - share),
                    rows.get(s, (0, 0))[1] * share + inside.get(s, (0, 0))[1] * (1 - share)) for s in {**rows, **inside}}
        return rows, known * share + 1 - share

    def summed(self, rows):
        """With each group's row: the larger of its own and the sum of its members."""
        out = dict(rows)
        for group, members in self.groups.items():
            inner = [rows[m] for m in self.flat(group) if m in rows]
            if inner:
                own = rows.get(group, (0, 0))
                out[group] = (max(own[0], sum(i[0] for i in inner)), max(own[1], min(1.0, sum(i[1] for i in inner))))
        return out

    def flat(self, group):
        out = []
        for member in self.groups[group]:
            out += self.flat(member) if member in self.groups else [member]
        return out

    def contact(self, name):
        row = self.rows["format"][name]
        for field in row.block or []:
            if field[0] == "contact":
                return field[1]
        head = row.items[0]
        return self.contact(head[head.index("like") + 1])

    def lists(self, date):
        """(lists that hold, lists that hold later), each with what it continues."""
        workshop = self.rows["workshop"].get("workshop")
        market = (words(workshop, "market") or [""])[0] if workshop else ""
        chosen = words(workshop, "rules") if workshop else []
        own = {row[3] for row in self.entries}
        day = date + "-31" if len(date) == 7 else date
        held, later = set(), set()

        def parts(name):
            return {name}.union(*(parts(n) for n in words(self.rows["rules"][name], "continues")))

        def decide(name, forced=False):
            row = self.rows["rules"][name]
            markets = words(row, "markets")
            good = name in chosen if chosen else not market or not markets or market in markets
            if not parts(name) & own or not (good or forced):
                return
            old = words(row, "continues")
            start, until = (words(row, "in_force") or [""])[0], (words(row, "placed_until") or [""])[0]
            if day and start and day < start:
                [decide(n, True) for n in old]
            elif day and until and day <= until:
                later.add(name)
                [decide(n, True) for n in old]
            else:
                held.update(parts(name))

        for name in self.rows["rules"]:
            decide(name)
        return held, set().union(*(parts(n) for n in later)) - held

    def names(self, product, date):
        """None where nothing is listed, else (named now, named later, all shares, unknown)."""
        contact = self.contact(product["format"])
        held, later = self.lists(date)
        if contact == "none" or not held:
            return None
        lines = [(self.lot('"' + l["lot"] + '"') if l["lot"] else self.material(l["material"]), l["percent_ww"])
                 for l in product["lines"]]

        def level(rows, label):
            substances, oils = set(), set()
            for row in rows:
                if text(field(row, "label")[1]) != label:
                    continue
                listed = words(row, "substances"), words(row, "oils")
                substances.update(listed[0])
                oils.update(listed[1])
                if listed == ([], []):
                    known = row[1] in self.rows["substance"] or row[1] in self.rows["group"]
                    (substances if known else oils).add(row[1])
            covered = {m for g in substances if g in self.groups for m in self.flat(g)}
            total = 0.0
            for material, percent in lines:
                inside = min(1.0, sum(r[1] for s, r in material["rows"].items() if s in substances - covered))
                whole = max([c for n, c in material["counts"].items() if n.rstrip("'") in oils] or [0.0])
                total += percent * max(inside, whole)
            return total

        def over(rows):
            found = {}
            for label in {text(field(r, "label")[1]) for r in rows}:
                figures = [float(field(r, contact)[1]) for r in rows
                           if text(field(r, "label")[1]) == label and field(r, contact)]
                share = level(rows, label)
                if figures and share > 0:
                    found[label] = (share, share > min(figures) * (1 + 1e-9))
            return found

        now = over([r for r in self.entries if r[3] in held])
        every = over([r for r in self.entries if r[3] in held | later])
        named = {n for n, (_, is_over) in now.items() if is_over}
        after = {n for n, (_, is_over) in every.items() if is_over} - named
        unknown = sum(p * (1 - m["known"]) for m, p in lines if m["kind"] == "oil")
        return named, after, {n: s for n, (s, _) in every.items()}, unknown


def field(row, word):
    for inner in row.block or []:
        if inner[0] == word:
            return inner
    return []


def words(row, word):
    found = field(row, word)
    return [a for a in found.words()[1:]] if found else []


OWN = """workshop "Test" { market MARKET }
cite tank "a certificate, invented" { standing supplier }
oil lavender like lavender { impact 4 }
oil hill like lavandin_grosso {
    contains {
        30..33..36 %  linalool by tank
        up to 0.3 %   coumarin by tank
        none camphor
    }
}
oil rose_tenth like rose_otto { diluted 10 % in jojoba }
oil rose_half like rose_tenth { diluted 50 % in jojoba }
oil bare { density 0.9 g/ml at 20 C }
oil peeled like lemongrass {
    contains only { 500..700..900 ppm citral }
}
lot "H-1" of hill {
    contains {
        31.5 %        linalool
        none coumarin
    }
}
lot "R-1" of rose_tenth {
    contains { up to 1 % methyl_eugenol }
}
lot "P-1" of peeled {
    contains {
        300 ppm       geranial
        200..260 ppm  neral
    }
}
lot "C-1" of clove_bud {
    contains only {
        81.2 %        eugenol
        11 %          eugenyl_acetate
    }
}
lot "L-1" of lavender {
    contains { 30.5..31..33 % linalool }
}
rules house { markets eu }
allergen p_cymene under house {
    label      "Cymene"
    leave_on   0.0001 %
}
allergen own_linalool under house {
    label      "Linalool"
    substances linalool, cis_linalool_oxide
    leave_on   0.0005 %
    rinse_off  0.005 %
}
blend b { 3 parts lavender, 2 parts hill, 1 part rose_tenth, 1 part rose_half, 2 parts bare, 1 part peeled, 1 part clove_bud }
"""
OWN = OWN.replace("blend b { 3 parts lavender, 2 parts hill, 1 part rose_tenth, 1 part rose_half, 2 parts bare, 1 part peeled, 1 part clove_bud }",
                  "blend b {\n    3 parts lavender\n    2 parts hill\n    1 part rose_tenth\n    1 part rose_half\n    2 parts bare\n"
                  "    1 part peeled\n    1 part clove_bud\n}")
for number, (form, load) in enumerate([("body_oil", "0.02 %"), ("body_oil", "1 %"), ("shower_gel", "0.2 %"),
                                       ("soap_bar", "1 %"), ("reed_diffuser", "10 %"), ("lip_balm", "0.001 %")]):
    size = "100 g" if form in ("soap_bar", "lip_balm") else "100 ml"
    OWN += f"product p{number} {{\n    blend b at {load} w/w\n    format {form} of {size}\n}}\n"
    OWN += (f"product q{number} {{\n    blend b at {load} w/w\n    format {form} of {size}\n"
            f"    lots \"H-1\", \"R-1\", \"P-1\", \"C-1\", \"L-1\"\n}}\n")


def compare(tally, folder, extra=()):
    world = World([ROOT / "stdlib", *extra, folder])
    listed = 0
    for date in DATES:
        done = program.run("build", str(folder), "--to", "json", "--diagnostics", "json", *(["--on", date] if date else []))
        document = json.loads(done.out.decode("utf-8"))
        tally.check(bool(document["products"]), f"{folder}: there are products")
        for product in document["products"]:
            what = f"{product['id']} on {date or 'no date'}"
            label = product["label"]
            if not product["complete"]:
                tally.check(label["state"] == "not_known", f"{what}: an incomplete formula has names")
                continue
            wanted = world.names(product, date)
            if wanted is None:
                tally.check(label["state"] in ("other_law", "no_list") and label["allergens"] is None, f"{what}: lists names")
                continue
            named, after, shares, unknown = wanted
            if not tally.check(label["state"] == "listed", f"{what}: lists nothing", label["state"]):
                continue
            listed += 1
            got = {a["name"]: a for a in label["allergens"]}
            tally.check(len(got) == len(label["allergens"]), f"{what}: a name stands twice")
            tally.check({n for n, a in got.items() if a["later"] is None} == named, f"{what}: the names",
                        sorted({n for n, a in got.items() if a["later"] is None} ^ named))
            tally.check({n for n, a in got.items() if a["later"]} == after, f"{what}: the later names")
            everything = {**{a["name"]: a for a in label["under_threshold"]}, **got}
            tally.check(set(everything) == set(shares), f"{what}: what is there", sorted(set(everything) ^ set(shares)))
            for name, share in shares.items():
                if name in everything:
                    tally.check(math.isclose(everything[name]["share_percent"], share, rel_tol=1e-9),
                                f"{what}: {name}", f"{everything[name]['share_percent']!r}, not {share!r}")
            tally.check(math.isclose(label["unknown_percent"], unknown, rel_tol=1e-9, abs_tol=1e-10), f"{what}: what is unknown",
                        f"{label['unknown_percent']!r}, not {unknown!r}")
    return listed


def main():
    program.need_binary()
    tally = program.Tally()
    listed = 0
    for name in ("first", "stillroom"):
        shelf = (ROOT / "examples" / "shared_shelf",) if name == "stillroom" else ()
        listed += compare(tally, ROOT / "examples" / name, shelf)
    for market in ("eu", "uk", "us", "ch"):
        with tempfile.TemporaryDirectory() as folder:
            Path(folder, "collection.scruple").write_text(OWN.replace("MARKET", market), encoding="utf-8")
            listed += compare(tally, Path(folder))
    tally.check(listed > 60, f"only {listed} products with names")
    return tally.close()


if __name__ == "__main__":
    sys.exit(main())
