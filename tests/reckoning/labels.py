"""Which allergens a label names, worked out from the lists: which list holds on a date, how much of each name the product
holds at the top of every range, and whether that is over the name's threshold. Shares no code with the compiler.
"""
from fractions import Fraction

from reckoning.product import ENOUGH


class Lists:
    def __init__(self, shelf, rules, date):
        self.shelf, self.rules, self.date = shelf, rules, date
        self.own = {a["rules"] for a in shelf.allergens}
        self.now, self.later, self.soon = set(), set(), []
        self.any = False
        for name in shelf.rule_sets:
            self.decide(name, False)
        self.later -= self.now

    def parts(self, name):
        older = self.shelf.rule_sets[name]["continues"]
        return {name} | (self.parts(older) if older else set())

    def decide(self, name, still):
        """`still`: in force because what follows it does not bind yet."""
        row = self.shelf.rule_sets[name]
        if not self.parts(name) & self.own or not (still or self.rules.holds(name)):
            return
        day = self.date + "-31" if self.date and len(self.date) == 7 else self.date
        whole = lambda d: d + "-31" if len(d) == 7 else d  # noqa: E731  a month means its last day
        if day and row["in_force"] and day < whole(row["in_force"]):
            pass
        elif day and row["placed_until"] and day <= whole(row["placed_until"]):
            self.later |= self.parts(name)
            self.soon.append(name)
        else:
            self.now |= self.parts(name)
            self.any = True
            return
        if row["continues"]:
            self.decide(row["continues"], True)

    def oil_names(self, entry):
        return entry["oils"] if entry["own"] else [self.shelf.library_name(o) for o in entry["oils"]]

    def level(self, entries, product):
        """(typical, at the top) of what entries of one label cover together."""
        substances = {s for e in entries for s in e["substances"]}
        oils = {o for e in entries for o in self.oil_names(e)}
        covered = {m for g in substances if g in self.shelf.groups for m in self.shelf.leaves(g)}
        total = [Fraction(0), Fraction(0)]
        for gram, share in product.grams(product.held):
            whole = min(Fraction(1), max([grams for name, grams in gram.counts.items() if name in oils], default=Fraction(0)))
            for i, rows in enumerate((gram.typical, gram.high)):
                inside = min(Fraction(1), sum((rows.get(s, 0) for s in substances - covered), Fraction(0)))
                total[i] += share * max(inside, whole)
        return total

    def over(self, product, sets):
        """{label: (typical, top, threshold in per cent, named)} by the entries of these rule sets."""
        contact = product.format["contact"]
        by_label = {}
        for entry in self.shelf.allergens:
            if entry["rules"] in sets:
                by_label.setdefault(entry["label"], []).append(entry)
        found = {}
        for label, entries in by_label.items():
            figures = [e[contact] for e in entries if e[contact] is not None]
            typical, top = self.level(entries, product)
            if figures and top > 0:
                least = min(figures)
                found[label] = (typical, top, least, top * 100 > least * ENOUGH)
        return found

    def names(self, product):
        """None where nothing is listed, else (named now, named later, figures now, figures by any list)."""
        if product.format["contact"] == "none" or not self.any:
            return None
        now = self.over(product, self.now)
        named = {n for n, figures in now.items() if figures[3]}
        every, after = {n: [figures] for n, figures in now.items()}, set()
        for one in self.soon:   # each with what holds already
            for label, figures in self.over(product, self.now | self.parts(one)).items():
                every.setdefault(label, []).append(figures)
                if figures[3] and label not in named:
                    after.add(label)
        return named, after, now, every
