"""What stands on the shelf: the library as it exports itself, and over it what a collection's text declares. Exact
throughout: every figure is a fraction, as written. Shares no code with the compiler.
"""
import re
import sys
from fractions import Fraction
from functools import lru_cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "stdlib"))
from reader import rows_of, text  # noqa: E402

SHARE = {"%": Fraction(1, 100), "ppm": Fraction(1, 10**6), "ppb": Fraction(1, 10**9)}
UNITS = {"ml": ("ml", 1), "l": ("ml", 1000), "cl": ("ml", 10), "g": ("g", 1), "kg": ("g", 1000), "mg": ("g", Fraction(1, 1000))}
# In the order in which one needs the other.
KINDS = ("workshop", "substance", "group", "category", "rules", "ingredient", "oil", "lot", "base", "format", "limit", "allergen", "bench", "blend",
         "variation", "product", "line")


def of_json(figure):
    """A number of a document, exactly as it is written there."""
    return None if figure is None else Fraction(figure)


class Thing:
    """An oil or an ingredient, as declared: what differs from what it is like."""

    def __init__(self, kind, like=None):
        self.kind, self.like = kind, like
        self.role = self.density = self.drops = self.diluted = None
        self.blocks = []   # (replaces all, [(substance, typical, highest) or (substance, None, None)])


class Gram:
    """What one gram of it is. `counts`: grams of which material; `matters`: the same, apart for the oil and for what it is
    dissolved in; `typical` and `high`: grams of which substance."""

    def __init__(self, matters, typical, high, unknown, unknown_of_oil, told, dissolved):
        self.matters, self.typical, self.high = matters, typical, high
        self.counts = {}
        for matter in matters:
            for name, grams in matter.items():
                self.counts[name] = self.counts.get(name, 0) + grams
        self.unknown, self.unknown_of_oil, self.told, self.dissolved = unknown, unknown_of_oil, told, dissolved


class Shelf:
    def __init__(self, library):
        self.things, self.bases, self.blends, self.products, self.formats = {}, {}, {}, {}, {}
        self.benches = {}    # by name: (what it starts from, the rows in order)
        self.groups = {g["id"]: g["members"] for g in library["groups"]}
        self.substances = {s["id"] for s in library["substances"]}
        self.within = {c["id"]: {c["id"], *c["within"]} for c in library["categories"]}
        self.rule_sets = {r["id"]: {k: r[k] for k in ("markets", "continues", "in_force", "placed_until")} for r in library["rule_sets"]}
        self.limits, self.allergens, self.lets, self.library = [], [], {}, False
        self.units = dict(UNITS)
        self.cites = {}
        self.workshop = {"market": "", "rules": [], "drops": Fraction(20)}
        self.lots = {}       # by number: (the material, what it is of the lot)
        self.moved = set()   # names of the library that the collection takes for its own
        for kind, key in (("oil", "oils"), ("ingredient", "ingredients")):
            for entry in library[key]:
                self.things[entry["id"]] = self._exported(kind, entry)
        for entry in library["limits"]:
            for row in entry["rows"]:
                self.limits.append({"subject": entry["subject"], "substance": entry["subject_kind"] in ("substance", "group"),
                                    "rules": entry["rules"], "kind": row["kind"], "effect": row["effect"],
                                    "limit": None if row["percent"] is None else Fraction(row["percent"]) / 100,
                                    "categories": row["categories"], "standing": row["standing"], "own": False,
                                    "replaces": entry["replaces_phototoxic_sum"]})
        for entry in library["allergens"]:
            self.allergens.append({"label": entry["label"], "rules": entry["rules"], "substances": entry["substances"],
                                   "oils": entry["materials"], "leave_on": of_json(entry["leave_on_percent"]),
                                   "rinse_off": of_json(entry["rinse_off_percent"]), "own": False})
        for entry in library["formats"]:
            load = entry["load"]
            self.formats[entry["id"]] = {
                "contact": entry["contact"], "category": entry["category"], "base": entry["usual_base"], "sold_by": entry["sold_by"],
                "neat": bool(load and load["neat"]),
                "load": of_json(load["typical_percent"]) / 100 if load and load["typical_percent"] is not None else None,
                "basis": (load["basis"], load["of"]) if load else ("w/w", "total")}
        for entry in library["bases"]:
            self.bases[entry["id"]] = [
                (phase["name"] or "", [{"what": row["material"], "of": row["of"],
                                        "share": None if row["rest"] else Fraction(row["percent"]) / 100} for row in phase["rows"]])
                for phase in entry["phases"]]

    @staticmethod
    def _exported(kind, entry):
        thing = Thing(kind)
        thing.role = entry.get("role")
        thing.drops = of_json(entry["drops_per_ml"])
        density = entry["density"]
        if density:   # a two-point range has no typical value: weighing takes the middle
            low, typical, high = (of_json(density[k]) for k in ("low", "typical", "high"))
            thing.density = typical if typical is not None else (low + high) / 2
        if entry["composition"]:
            thing.blocks.append((True, [(r["substance"], of_json(r["high"] if r["typical"] is None else r["typical"]) / 100,
                                         of_json(r["high"]) / 100) for r in entry["composition"]["rows"]]))
        return thing

    # The text of a collection --------------------------------------------------------------------------------------------

    def read(self, folder, alias="", library=False):
        self.library = library
        rows = [row for path in sorted(Path(folder).rglob("*.scruple")) for row in rows_of(path, Path(folder))]
        for row in rows:   # what others refer to comes first
            if row[0] == "let":
                self.lets[row[1]] = row.items[0][3:]
            elif row[0] == "unit" and row.items[0][4:5] and row[4] in self.units:
                atoms = row.items[0]
                unit, factor = self.units[atoms[4]]
                names = [atoms[1]] + (atoms[6:] if "also" in atoms else [])
                self.units.update({name: (unit, Fraction(atoms[3]) * factor) for name in names})
            elif row[0] == "use":
                self.read(Path(folder, text(row[1])), row[3] + ".")
            elif row[0] == "cite":
                self.cites[row[1]] = (self.words(row, "standing") or [None])[0]
            elif row[0] in ("oil", "ingredient") and not alias and row[1] in self.things:
                self.things[row[1] + "'"] = self.things.pop(row[1])
                self.moved.add(row[1])
        for kind in KINDS:
            for row in rows:
                if row[0] == kind:
                    getattr(self, "_" + kind)(row, alias)
        return self

    def named(self, table, name, alias=""):
        return alias + name if alias + name in table else name

    def library_name(self, name):
        return name + "'" if name in self.moved else name

    @staticmethod
    def fields(row, word):
        return [inner for inner in row.block or [] if inner[0] == word]

    def words(self, row, word):
        return [atom for inner in self.fields(row, word) for item in inner.items for atom in item][1:]

    def like(self, row):
        head = row.items[0]
        return head[head.index("like") + 1] if "like" in head else None

    def amount(self, atoms):
        """(lowest.. as fractions, unit, atoms after it); a named quantity stands for its own."""
        if atoms[0] in self.lets:
            atoms = self.lets[atoms[0]] + atoms[1:]
        points = [Fraction(p) for p in atoms[0].split("..")]
        unit, factor = atoms[1], Fraction(1)
        if unit in self.units:
            unit, factor = self.units[unit]
        elif unit in SHARE:
            unit, factor = "%", SHARE[unit]
        return [p * factor for p in points], unit, atoms[2:]

    def _workshop(self, row, alias):
        if alias:
            return
        self.workshop["market"] = (self.words(row, "market") or [""])[0]
        self.workshop["rules"] = self.words(row, "rules")
        for inner in self.fields(row, "dropper"):
            self.workshop["drops"] = Fraction(inner[1])

    def _material(self, row, alias, name=None, thing=None):
        like = self.like(row)
        if like is not None:
            like = like + "'" if like == row[1] else self.named(self.things, like, alias)
        thing = thing or Thing(row[0], like)
        for inner in row.block or []:
            if inner[0] == "density":
                points = [Fraction(p) for p in inner[1].split("..")]
                thing.density = points[1] if len(points) == 3 else sum(points) / len(points)
            elif inner[0] == "role":
                thing.role = inner[1]
            elif inner[0] == "dropper":
                thing.drops = Fraction(inner[1])
            elif inner[0] == "diluted":
                thing.diluted = (self.amount(inner.items[0][1:])[0][0], self.named(self.things, inner.items[0][-1], alias))
            elif inner[0] == "contains":
                thing.blocks.append((inner[1] == "only", [self._part(part.items[0]) for part in inner.block or []]))
        self.things[name or alias + row[1]] = thing

    _oil = _ingredient = _material

    def _lot(self, row, alias):
        """A bottle: its material, with what its certificate says in the place of what is usual."""
        of = self.named(self.things, row.items[0][3], alias)
        self._material(row, alias, f"{of}@{text(row[1])}", Thing(self.things[of].kind, of))
        self.lots[text(row[1])] = (of, f"{of}@{text(row[1])}")

    def _part(self, atoms):
        if atoms[0] == "none":
            return atoms[1], None, None
        points, _, after = self.amount(atoms[2:] if atoms[:2] == ["up", "to"] else atoms)
        return after[0], points[1] if len(points) == 3 else points[-1], points[-1]

    def _substance(self, row, alias):
        self.substances.add(row[1])

    def _group(self, row, alias):
        self.groups[row[1]] = self.words(row, "members")

    def _category(self, row, alias):
        self.within[row[1]] = {row[1]}.union(*(self.within[c] for c in self.words(row, "within")))

    def _rules(self, row, alias):
        one = lambda word: (self.words(row, word) or [None])[0]  # noqa: E731
        self.rule_sets[row[1]] = {"markets": self.words(row, "markets"), "continues": one("continues"), "in_force": one("in_force"),
                                  "placed_until": one("placed_until")}

    def _limit(self, row, alias):
        subject, rules = row[1], row[3]
        substance = subject in self.substances or subject in self.groups
        effect = (self.words(row, "effect") or ["unstated"])[0]
        general = (self.words(row, "source") or [None if self.library else "practice"])[0]
        for inner in row.block:
            first = inner.items[0]
            if first[0] in ("effect", "source", "remark", "replaces", "oils"):
                continue
            made = {"replaces": bool(self.fields(row, "replaces")), "subject": subject, "substance": substance, "rules": rules, "kind": first[0], "limit": None, "effect": effect,
                    "categories": [], "standing": general, "own": not self.library}
            if first[0] == "peroxide":
                made["kind"] = "purity"
            elif first[0] not in ("none", "unlimited", "unstated"):
                points, _, _ = self.amount(first)
                made.update(kind="ceiling", limit=points[0])
            for item in [first[first.index("in") + 1:], *inner.items[1:]]:
                made["categories"].append(item[0])
                if "by" in item:
                    made["standing"] = self.cites[item[item.index("by") + 1]]
                if "effect" in item:
                    made["effect"] = item[item.index("effect") + 1]
            if made["kind"] == "ceiling" and made["effect"] == "purity":
                made["kind"] = "purity"   # a rule on the lot
            self.limits.append(made)

    def _allergen(self, row, alias):
        one = lambda word: next((self.amount(r.items[0][1:])[0][0] * 100 for r in self.fields(row, word)), None)  # noqa: E731
        substances, oils = self.words(row, "substances"), self.words(row, "oils")
        if not substances and not oils:
            (substances if row[1] in self.substances or row[1] in self.groups else oils).append(row[1])
        self.allergens.append({"label": text(self.fields(row, "label")[0][1]), "rules": row[3], "substances": substances, "oils": oils,
                               "leave_on": one("leave_on"), "rinse_off": one("rinse_off"), "own": not self.library})

    def _format(self, row, alias):
        like = self.like(row)
        made = dict(self.formats[like]) if like else {"base": None, "sold_by": None, "neat": False, "load": None, "basis": ("w/w", "total")}
        for inner in row.block or []:
            if inner[0] in ("contact", "category", "sold_by"):
                made[inner[0]] = inner[1]
            elif inner[0] == "usual_base":
                made["base"] = inner[1]
            elif inner[0] == "load" and inner[1] == "neat":
                made["neat"] = True
            elif inner[0] == "load":
                points, _, after = self.amount(inner.items[0][1:])
                made["load"] = points[1] if len(points) == 3 else sum(points) / len(points)
                made["basis"] = self._basis(after, made["basis"])[0]
        self.formats[row[1]] = made

    @staticmethod
    def _basis(atoms, usual):
        """What a percentage is of, as written after it, and what comes then."""
        if atoms[:1] == ["of"]:
            return ("w/w", atoms[1]), atoms[2:]
        if atoms[1:2] == ["/"]:
            return ("/".join((atoms[0], atoms[2])), "total"), atoms[3:]
        return usual, atoms

    def _base(self, row, alias):
        like = self.like(row)
        made = [(name, [dict(r) for r in rows]) for name, rows in self.bases[self.named(self.bases, like, alias)]] if like else []

        def phase(name):
            for there, rows in made:
                if there == name:
                    return rows
            made.append((name, []))
            return made[-1][1]

        def put(rows, item):
            new = self._base_row(item, alias)
            for old in rows if like else []:
                if old["what"] == new["what"]:
                    old.update(new)
                    return
            rows.append(new)

        for inner in row.block:
            if inner[0] == "phase":
                rows = phase(inner[1])
                for r in inner.block:
                    for item in r.items if r[0] not in ("blend", "remark") else []:
                        put(rows, item)
            elif inner[0] not in ("steps", "source", "remark", "blend"):
                for item in inner.items:
                    put(phase(""), item)
        self.bases[alias + row[1]] = made

    def _base_row(self, atoms, alias):
        share, of = None, "base"
        if atoms[0] == "rest":
            after = atoms[1:]
        else:
            points, _, after = self.amount(atoms)
            share = points[0]
            if after[0] == "of":
                of, after = after[1], after[2:]
        known = {**self.things, **self.bases}
        return {"what": self.named(known, after[0], alias), "of": of, "share": share}

    def _bench(self, row, alias):
        head = row.items[0]
        start = None
        if "from" in head:
            at = head.index("from")
            start = (alias + head[at + 1], head[at + 3], head[at + 5:] if "taking" in head else None)
        self.benches[alias + row[1]] = (start, [(inner[0], [list(i) for i in inner.items]) for inner in row.block])

    def beakers(self, name, upto=None):
        """(unit, [amounts by oil or accord after the start and after each row that adds]), up to a mark."""
        alias = name.rpartition(".")[0]
        alias = alias + "." if alias else ""
        start, rows = self.benches[name]
        unit, there, told = None, {}, []
        if start:
            unit, before = self.beakers(*start[:2])
            share = self.taken(before[-1], unit, start[2]) if start[2] else 1
            there = {what: amount * share for what, amount in before[-1].items()}
            told.append(dict(there))
        for act, items in rows:
            if act == "mark" and items[0][1] == upto:
                break
            if act != "add":
                continue
            for at, item in enumerate(items):
                unit, amount, what = self._blend_row(item[1:] if at == 0 else item, alias)
                there[what] = there.get(what, 0) + amount
            told.append(dict(there))
        return unit, told

    def taken(self, there, unit, atoms):
        """The share of a beaker that `taking` names; in another measure only of oils, and only from drops to millilitres."""
        if len(atoms) == 1 or not re.match("[a-z%]", atoms[1]):
            return Fraction(atoms[0])
        points, of, _ = self.amount(atoms)
        of = {"parts": "part", "drops": "drop"}.get(of, of)
        if of == "%":
            return points[0]
        if of == unit:
            return points[0] / sum(there.values())
        assert (unit, of) == ("drop", "ml"), f"{unit} to {of} is not reckoned here"
        return points[0] / sum(drops / self.drops(what) for what, drops in there.items())

    def _blend(self, row, alias):
        if row.items[0][2:3] == ["from"] or row.items[0][3:4] == ["from"]:
            at = row.items[0].index("from")
            self.blends[alias + row[1]] = {"of": None, "percent": False, "bench": (alias + row.items[0][at + 1], row.items[0][at + 3])}
            return
        by, rows = None, []
        for inner in row.block:
            if inner[0] == "by":
                by = inner[1]
            elif inner[0] not in ("intent", "remark", "source"):
                for item in inner.items:
                    rows.append(self._blend_row(item, alias))
        unit = next(u for u, _, _ in rows if u != "rest")
        measure = {"part": by or "volume", "drop": "drops", "%": by, "ml": "volume", "g": "weight"}[unit]
        rest = 1 - sum(a for u, a, _ in rows if u != "rest")
        self.blends[alias + row[1]] = {"measure": measure, "percent": unit == "%", "of": None,
                                       "rows": [(rest if u == "rest" else a, name) for u, a, name in rows]}

    def _blend_row(self, atoms, alias):
        """(unit, amount, name)"""
        if atoms[0] == "rest":
            return "rest", None, alias + atoms[1]
        points, unit, after = self.amount(atoms)
        return {"parts": "part", "drops": "drop"}.get(unit, unit), points[0], alias + after[0]

    def _variation(self, row, alias):
        actions = []
        for inner in row.block:
            atoms = inner.items[0]
            if atoms[0] == "remove":
                actions.append((atoms[1], None, None))
            elif atoms[0] in ("set", "add"):
                _, amount, name = self._blend_row(atoms[1:], "")
                actions.append((name, amount, name))
            elif atoms[0] == "replace":
                new = atoms[3:]
                amount, name = self._blend_row(new, "")[1:] if len(new) > 1 else ("same", new[0])
                actions.append((atoms[1], amount, name))
        self.blends[alias + row[1]] = {"of": alias + row[3] if row[2] == "of" else alias + row.items[0][row.items[0].index("of") + 1],
                                       "actions": actions}

    def blend(self, name):
        """(measure, {material: amount} in order of first appearance, whether in per cent)"""
        declared = self.blends[name]
        alias = name.rpartition(".")[0]
        alias = alias + "." if alias else ""
        if declared["of"]:
            measure, amounts, percent = self.blend(declared["of"])
            made = {}
            actions = {there: (amount, new) for there, amount, new in declared["actions"]}
            for there, old in amounts.items():
                amount, new = actions.pop(there, (old, there))
                if amount is not None:   # in the other's place, where it is replaced
                    made[new] = old if amount == "same" else amount
            made.update({new: amount for amount, new in actions.values()})
            return measure, made, percent
        if "bench" in declared:
            unit, told = self.beakers(*declared["bench"])
            declared = {**declared, "measure": {"part": "volume", "drop": "drops", "ml": "volume", "g": "weight"}[unit],
                        "rows": [(amount, what) for what, amount in told[-1].items()]}
        amounts = {}
        for amount, name in declared["rows"]:
            name = self.named({**self.things, **self.blends}, name[len(alias):], alias)
            if name in self.blends and name not in self.things:
                _, inner, _ = self.blend(name)
                whole = sum(inner.values())
                for oil, part in inner.items():
                    amounts[oil] = amounts.get(oil, 0) + amount * part / whole
            else:
                amounts[name] = amounts.get(name, 0) + amount
        return declared["measure"], amounts, declared["percent"]

    def _product(self, row, alias):
        if alias:
            return
        self.products[row[1]] = self._made(
            self.fields(row, "blend")[0].items[0][1:], self.fields(row, "format")[0].items[0][1:],
            [[i[1:] if at == 0 else i for at, i in enumerate(f.items)] for f in self.fields(row, "in")][:1],
            [text(n) for n in self.words(row, "lots")])

    def _line(self, row, alias):
        head = row.items[0]
        blend = head[head.index("of") + 1]
        for inner in row.block:
            if not inner[0].isdigit():
                continue
            items = [list(i) for i in inner.items]
            name = None
            if "as" in items[-1]:
                at = items[-1].index("as")
                name = items[-1][at + 1]
                del items[-1][at:]
            first = items[0]
            at = first.index("in") if "in" in first else len(first)
            base = [[first[at + 1:], *items[1:]]] if at < len(first) else []
            begin = next((i for i, a in enumerate(first) if a in ("at", "using", "up", "between")), at)
            made = self._made([blend, *first[begin:at]], first[1:begin], base, [text(n) for n in self.words(inner, "lots")])
            size = "".join(self.lets.get(first[3], first[3:5])).replace(".", "_")
            self.products[name or f"{row[1]}_{first[1]}_{first[3] if first[3] in self.lets else size}"] = made

    def _made(self, blend, form, base, lots=()):
        content, unit, _ = self.amount(form[2:])
        usual = self.formats[form[0]]
        load, atoms = None, blend[1:]
        if not atoms:
            load = {"kind": "neat"} if usual["neat"] else {"kind": "percent", "value": usual["load"], "basis": usual["basis"]}
        elif atoms[:2] == ["at", "neat"]:
            load = {"kind": "neat"}
        elif atoms[0] == "at":
            points, _, after = self.amount(atoms[1:])
            load = {"kind": "percent", "value": points[0], "basis": self._basis(after, usual["basis"])[0]}
        elif atoms[0] == "using":
            points, u, _ = self.amount(atoms[1:])
            load = {"kind": u, "value": points[0]}
        elif atoms[0] == "up":
            load = {"kind": "drops", "least": None, "most": int(atoms[2])}
        else:
            load = {"kind": "drops", "least": int(atoms[1]), "most": int(atoms[3])}
        rows = None
        if base:
            items = base[0]
            if len(items) == 1 and len(items[0]) == 1:
                rows = [{"what": items[0][0], "of": "base", "share": None}]
            else:
                rows = [self._base_row(item, "") for item in items]
        elif usual["base"] and load["kind"] != "neat":   # neat is nothing but the blend
            rows = [{"what": usual["base"], "of": "base", "share": None}]
        return {"blend": blend[0], "format": form[0], "content": content[0], "unit": unit, "load": load, "rows": rows,
                "lots": dict(self.lots[n] for n in lots)}

    # What one gram of a material is --------------------------------------------------------------------------------------

    def leaves(self, group):
        out = []
        for member in self.groups[group]:
            out += self.leaves(member) if member in self.groups else [member]
        return out

    def neat_rows(self, name):
        thing = self.things[name]
        rows = dict(self.neat_rows(thing.like)) if thing.like else {}
        for only, parts in thing.blocks:
            if only:
                rows = {}
            for substance, typical, high in parts:
                if high is None:
                    del rows[substance]
                else:
                    rows[substance] = (typical, high)
        return rows

    def dilution(self, name):
        """(share, carrier), and None where it is no dilution."""
        thing = self.things[name]
        return thing.diluted or (self.dilution(thing.like) if thing.like else None)

    def field(self, name, word):
        thing = self.things[name]
        value = getattr(thing, word)
        return self.field(thing.like, word) if value is None and thing.like else value

    def neat_density(self, name):
        """Of the oil before it is dissolved."""
        thing = self.things[name]
        if thing.density is not None and not self.dilution(name):
            return thing.density
        return self.neat_density(thing.like) if thing.like else None

    def density(self, name):
        thing, dilution = self.things[name], self.dilution(name)
        if not dilution or thing.density is not None:
            return thing.density if thing.density is not None or not thing.like else self.density(thing.like)
        if thing.like and not thing.diluted:
            return self.density(thing.like)   # the same dilution
        share, carrier = dilution
        oil, other = self.neat_density(name), self.density(carrier)
        if share == 1:
            return oil
        return None if oil is None or other is None else 1 / (share / oil + (1 - share) / other)

    def drops(self, name):
        return self.field(name, "drops") or self.workshop["drops"]

    @lru_cache(maxsize=None)
    def gram(self, name):
        rows = self.neat_rows(name)
        typical = {s: t for s, (t, _) in rows.items()}
        high = {s: h for s, (_, h) in rows.items()}
        for group in self.groups:   # the larger of a group's own row and the sum of its members
            members = [m for m in self.leaves(group) if m in rows]
            if members:
                typical[group] = max(typical.get(group, 0), sum(rows[m][0] for m in members))
                high[group] = max(high.get(group, 0), min(Fraction(1), sum(rows[m][1] for m in members)))
        # A total beside its parts counts once; a group without parts is a rule's budget and no constituent.
        constituents = [s for s in rows if s not in self.groups
                        or (self.groups[s] and not any(m in rows or m in self.groups and typical.get(m) is not None for m in self.groups[s]))]
        unknown = max(Fraction(0), 1 - sum(rows[s][0] for s in constituents))
        share, carrier = self.dilution(name) or (Fraction(1), None)
        carried = {}
        counts = {name: Fraction(1)}
        above = self.things[name].like
        while above:
            strength = self.dilution(above)
            counts[above] = counts.get(above, 0) + (share / strength[0] if strength else share)
            above = self.things[above].like
        if carrier:
            inside = self.gram(carrier)
            for whole, part in ((typical, inside.typical), (high, inside.high)):
                for s in {**whole, **part}:
                    whole[s] = whole.get(s, 0) * share + part.get(s, 0) * (1 - share)
            carried = {other: grams * (1 - share) for other, grams in inside.counts.items()}
        return Gram([counts, carried], typical, high, unknown * share, unknown, bool(constituents), share < 1)
