"""One product worked out and judged from the published formulas, in exact fractions. Everything is a plain function of the
blend's share `w` of the finished weight: what is affine is found by asking at 0 and at 1. Shares no code with the compiler.

Where the formulas are from: shares by volume and weight, loads and soap as in the trade's arithmetic; sum of fractions of the
phototoxic oils as IFRA's text quoted on raw-material sheets; limits by weight of the finished product, and substances
summed over all that brings them, as Regulation (EC) 1223/2009 and the IFRA Standards have them.
"""
from fractions import Fraction

SAME = Fraction(1, 10**9)      # a relative difference under this counts as equal: the project's convention
ENOUGH = 1 + SAME
UNDILUTED = 1 - SAME
MUCH_UNKNOWN = Fraction(1, 4)  # of an oil on skin: the project's convention
SOFT = ("derived", "estimate")
FATS = ("wax", "butter", "fixed_oil")
RANK = ("passes", "unknown", "warns", "fails")


class Impossible(Exception):
    """Why there are no amounts."""


class Product:
    def __init__(self, shelf, declared, whole_drops=None):
        self.shelf, self.declared = shelf, declared
        self.format = shelf.formats[declared["format"]]
        self.measure, amounts, _ = shelf.blend(declared["blend"])
        self.lots = declared["lots"]   # {material: it, of the lot that is named}
        self.amounts = {self.lots.get(m, m): a for m, a in amounts.items()}
        self.own_shares, self.own_density = self.mix(self.amounts, self.measure)
        self.shares, self.blend_density = self.own_shares, self.own_density
        load = declared["load"]
        self.base = declared["rows"]
        if (self.base is None) != (load["kind"] == "neat"):
            raise Impossible("nothing to put the blend in, or something beside what is neat")
        self.of_total = self.shares_of_total(self.base) if self.base else Fraction(0)
        self.drops = None
        if load["kind"] == "drops":
            self.count_drops(load, whole_drops)
        self.w = self.solve(load)
        self.hold()
        self.basis = load["basis"] if load["kind"] == "percent" else self.format["basis"]

    # Shares --------------------------------------------------------------------------------------------------------------

    def mix(self, amounts, measure):
        """({oil: share by weight}, grams to the millilitre or None) of so much of each oil."""
        shelf = self.shelf
        density = {m: shelf.density(m) for m in amounts}
        known = all(density.values())
        if measure == "weight":
            mass = dict(amounts)
        elif len(amounts) == 1 and not known:
            return {m: Fraction(1) for m in amounts}, None
        elif not known:
            raise Impossible("no density")
        else:
            mass = {m: a / (shelf.drops(m) if measure == "drops" else 1) * density[m] for m, a in amounts.items()}
        whole = sum(mass.values())
        volume = sum(g / density[m] for m, g in mass.items()) if known else None
        return {m: g / whole for m, g in mass.items()}, whole / volume if known else None

    def volume_shares(self):
        """By volume, of the blend as declared; None without densities."""
        if self.own_density is None:
            return {m: Fraction(1) for m in self.amounts} if len(self.amounts) == 1 else None
        return {m: s * self.own_density / self.shelf.density(m) for m, s in self.own_shares.items()}

    def lay(self, rows, whole):
        """[(material, share of the finished product)] of base rows that together fill `whole` of it."""
        out, rest, taker = [], whole, None
        for row in rows:
            if row["share"] is None:
                taker = row
                continue
            share = row["share"] * (1 if row["of"] == "total" else whole)
            rest -= share
            out.append((row, share))
        if taker:
            out.append((taker, rest))
        lines = []
        for row, share in out:
            if row["what"] in self.shelf.bases:
                inner = [r for _, phase in self.shelf.bases[row["what"]] for r in phase]
                lines += self.lay(inner, share)
            else:
                lines.append((self.lots.get(row["what"], row["what"]), share))
        return lines

    def shares_of_total(self, rows):
        """What the rows of the finished total come to, in bases inside bases too."""
        found = Fraction(0)
        for row in rows:
            if row["of"] == "total" and row["share"] is not None:
                found += row["share"]
            if row["what"] in self.shelf.bases:
                found += self.shares_of_total([r for _, phase in self.shelf.bases[row["what"]] for r in phase])
        return found

    def base_at(self, w):
        held = {}
        for material, share in self.lay(self.base, 1 - w) if self.base else []:
            held[material] = held.get(material, 0) + share
        return held

    def held_at(self, w, shares=None):
        """{material: share of the finished product} at a load, blend and base together."""
        held = self.base_at(w)
        for material, share in (shares or self.shares).items():
            held[material] = held.get(material, 0) + share * w
        return held

    # Loads ---------------------------------------------------------------------------------------------------------------

    def count_drops(self, load, whole_drops):
        if self.own_density is None:
            raise Impossible("drops without densities")
        ratio = {m: a * (1 if self.measure == "drops" else self.shelf.drops(m)) / (self.shelf.density(m) if self.measure == "weight" else 1)
                 for m, a in self.amounts.items()}
        shrink = min(ratio.values())
        ratio = {m: r / shrink for m, r in ratio.items()}
        denominator = 1
        for r in ratio.values():
            denominator *= (r * denominator).denominator
        whole = {m: int(r * denominator) for m, r in ratio.items()}
        common = whole_divisor(whole.values())
        whole = {m: n // common for m, n in whole.items()}
        total = sum(whole.values())
        times = load["most"] // total
        if times and times * total >= (load["least"] or 0):
            self.drops = {m: n * times for m, n in whole.items()}
            self.multiple = times
        else:   # the nearest ratio is no matter of safety: it is taken as told, and judged
            if whole_drops is None:
                raise Impossible("no whole drops")
            self.drops = dict(zip(self.amounts, whole_drops))
            self.multiple = 0
            self.shares, self.blend_density = self.mix(self.drops, "drops")
        self.drops_ml = sum(n / self.shelf.drops(m) for m, n in self.drops.items())

    def reading(self, w, basis):
        """(grams or millilitres of blend, of what it is a share of) in a gram of the product; None without densities."""
        kind, of = basis
        base = self.base_at(w)
        if kind != "w/w":
            if self.own_density is None or not all(self.shelf.density(m) for m in base):
                return None
            blend = w / self.blend_density
            if of != "total":
                blend_in, base = 0, base
            else:
                blend_in = blend
            volume = blend_in + sum(s / self.shelf.density(m) for m, s in base.items())
            return (blend if kind == "v/v" else w), volume
        if of == "total":
            return w, Fraction(1)
        if of in ("fats", "wax"):
            return w, sum(s for m, s in base.items() if self.shelf.field(m, "role") in FATS)
        return w, sum(base.values(), Fraction(0))

    def to_ww(self, value, basis):
        """The load that reads as `value` of the basis: numerator and denominator are affine in w."""
        if self.reading(Fraction(0), basis) is None:
            raise Impossible("no density")
        (_, low), (top, high) = self.reading(Fraction(0), basis), self.reading(Fraction(1), basis)
        rest = top - value * (high - low)
        if rest <= 0:
            raise Impossible("more than the whole")
        w = value * low / rest
        if basis[1] in ("fats", "wax") and w == 0:
            raise Impossible("nothing that counts as wax or fat")
        return w

    def solve(self, load):
        content, unit = self.declared["content"], self.declared["unit"]
        if load["kind"] == "neat":
            return Fraction(1)
        if load["kind"] == "percent":
            if load["value"] is None:
                raise Impossible("no load")
            return self.to_ww(load["value"], load["basis"])
        if load["kind"] == "g":
            return load["value"] / content if unit == "g" else self.to_ww(load["value"] / content, ("w/v", "total"))
        volume = self.drops_ml if load["kind"] == "drops" else load["value"]
        if unit == "ml":
            return self.to_ww(volume / content, ("v/v", "total"))
        if self.own_density is None:
            raise Impossible("no density")
        return volume * self.blend_density / content

    def hold(self):
        if self.w > 1 or self.w + self.of_total > 1:
            raise Impossible("more than the whole")
        self.held = self.held_at(self.w)
        if any(s < 0 for s in self.held.values()):
            raise Impossible("nothing is left")
        if self.declared["unit"] == "ml" and not all(self.shelf.density(m) for m, s in self.held.items() if s):
            raise Impossible("no density")

    # Levels --------------------------------------------------------------------------------------------------------------

    def grams(self, held):
        return [(self.shelf.gram(m), share) for m, share in held.items()]

    def levels(self, w, shares=None, book=None):
        """What a gram of the product holds at a load: {("substance" or "material", name): (typical, at the top of all ranges)}. Under
        "left out" stands what of a substance the phototoxic sum says nothing of."""
        typical, high = {}, {}
        for gram, share in self.grams(self.held_at(w, shares)):
            for kind, inside, out in (("substance", gram.typical, typical), ("substance", gram.high, high),
                                      ("material", gram.counts, typical), ("material", gram.counts, high)):
                for name, part in inside.items():
                    out[kind, name] = out.get((kind, name), 0) + share * part
                    if kind == "substance" and book and book.light(gram.matters, True) is None:
                        out["left out", name] = out.get(("left out", name), 0) + share * part
        return {k: (typical.get(k, Fraction(0)), v) for k, v in high.items()}

    # Verdicts ------------------------------------------------------------------------------------------------------------

    @property
    def on_skin(self):
        return self.format["contact"] != "none"

    @property
    def undilutable(self):
        """On skin, and not all of it dissolved already."""
        return self.on_skin and not all(self.shelf.gram(m).dissolved for m in self.amounts)

    def checks(self, rules):
        """Every rule that applies, as a list of findings. `rules` is a RuleBook."""
        book = rules.of(self.format["category"])
        own = self.shares is not self.own_shares
        at = [self.levels(Fraction(0), None, book), self.levels(Fraction(1), None, book)]
        ceilings_at = [self.levels(Fraction(0), self.own_shares, book), self.levels(Fraction(1), self.own_shares, book)] if own else at
        found = []
        nothing = (Fraction(0), Fraction(0))
        for subject in at[0].keys() | at[1].keys():
            for soft in (False, True):
                rows = book.tightest(subject, soft)
                if not rows:
                    continue
                low, high = (side.get(subject, nothing) for side in at)
                if not (low[1] or high[1]):
                    continue
                first, second = (side.get(subject, nothing) for side in ceilings_at)
                found.append(Check(self.w, subject, rows, soft, (low, high), (first, second)))
        for soft in (False, True):
            sum_of = self.light(book, soft)
            if sum_of:
                found.append(sum_of)
        if self.undilutable and self.w >= UNDILUTED:
            found.append(Undiluted(self.w))
        return found

    def light(self, book, soft):
        """The sum over oils that burn skin in sun, each as a share of its own limit; None where none is there."""
        limits, parts, tighter = {}, {}, False
        for material in self.held_at(Fraction(1)).keys() | self.held:
            firm = book.light(self.shelf.gram(material).matters, False)
            any_ = book.light(self.shelf.gram(material).matters, True)
            if soft and any_ is not None and (firm is None or any_ < firm):
                tighter = True
            limit = any_ if soft else firm
            if limit is not None:
                limits[material] = limit
        if not limits or (soft and not tighter):
            return None

        def use(held):
            return sum((held.get(m, 0) / limit for m, limit in limits.items()), Fraction(0))

        low, high = use(self.held_at(Fraction(0))), use(self.held_at(Fraction(1)))
        own = use(self.held_at(Fraction(1), self.own_shares))
        check = Check(self.w, ("phototoxic_sum", "phototoxic_sum"), [{"limit": Fraction(1)}], soft, ((low, low), (high, high)),
                      ((low, low), (own, own)))
        check.parts = {m: (self.held.get(m, Fraction(0)), limit) for m, limit in limits.items()}
        return check

    def unknown(self):
        """[(material, share of the finished product, unknown part, whether it leaves the verdict open)] of its oils."""
        out = []
        for material, share in self.held.items():
            if self.shelf.things[material].kind != "oil":
                continue
            gram = self.shelf.gram(material)
            if gram.unknown > SAME:
                out.append((material, share, gram.unknown,
                            not gram.told or (self.on_skin and gram.unknown_of_oil > MUCH_UNKNOWN + SAME)))
        return out

    def unstated(self, rules):
        book = rules.of(self.format["category"])
        return {(subject[1], row["rules"]) for material in self.held_at(Fraction(1)).keys() | self.held
                for subject, row in book.unstated
                if (subject[0] == "material" and self.shelf.gram(material).counts.get(subject[1]))
                or (subject[0] == "substance" and self.shelf.gram(material).high.get(subject[1]))}

    def all_known(self, rules):
        return self.format["category"] is not None and not self.unstated(rules) and not any(u[3] for u in self.unknown())

    def verdict(self, checks, rules):
        worst = max([c.verdict for c in checks], key=RANK.index, default="passes")
        return "unknown" if worst == "passes" and not self.all_known(rules) else worst

    # Ceilings ------------------------------------------------------------------------------------------------------------

    def most(self):
        """Where the base gives out, and what is still diluted."""
        most = Fraction(1)
        low, high = (dict_sum(self.lay(self.base, 1 - w)) if self.base else {} for w in (Fraction(0), Fraction(1)))
        for material, share in low.items():
            if high[material] < share:
                most = min(most, share / (share - high[material]))
        return min(most, UNDILUTED) if self.undilutable else most

    def ceiling(self, checks, careful, rules):
        bounds = []
        for check in checks:
            if isinstance(check, Undiluted) or (check.soft and not careful):
                continue
            bound = check.bound(careful, self.w)
            if bound is not None:
                bounds.append((bound, check))
        bounds.sort(key=lambda b: b[0])
        most = self.most()
        made = Ceiling()
        least = bounds[0][0] if bounds else None
        if len(bounds) > 1 and bounds[1][0] < most:
            made.runner_up = bounds[1][0]
            made.runners = [c for b, c in bounds if close(b, bounds[1][0])]
        if least is not None and least < 0:
            made.state, made.binding = "over_without_blend", [c for b, c in bounds if b < 0]
            return made
        reading = self.read_own(least) if least is not None and least < most else None
        if least is None or least >= most or (reading is not None and reading >= 1):
            made.state = "none_applies" if self.all_known(rules) else "not_known"
            made.runners = []
            return made
        if reading is None:
            made.state, made.runners = "not_known", []
            return made
        made.binding = [c for b, c in bounds if close(b, least)]
        # What a base brings too much of may need more blend, to thin it, than another rule lets in: then no load passes.
        if any(c.floor(careful) > least for c in checks if careful or not c.soft):
            made.state = "over_without_blend"
            return made
        made.state, made.ww, made.reading = "bound", least, reading
        return made

    def read_own(self, w):
        """A load in the product's own basis, in the blend's own ratio; None where it can't be said."""
        kept = self.shares, self.blend_density
        self.shares, self.blend_density = self.own_shares, self.own_density
        try:
            reading = self.reading(w, self.basis)
        finally:
            self.shares, self.blend_density = kept
        return None if reading is None or reading[1] <= 0 else reading[0] / reading[1]


class Check:
    """One rule on one product: `used` is the share of the limit, as two points of a straight line over the load."""

    def __init__(self, w, subject, rows, soft, at, ceiling_at):
        self.subject, self.rows, self.soft = subject, rows, soft
        self.limit = rows[0]["limit"]
        self.banned = self.limit == 0
        (low, high) = at
        self.actual, self.actual_high = (low[i] + (high[i] - low[i]) * w for i in (0, 1))
        self.ceiling_at = ceiling_at
        self.parts = None
        if self.banned:
            self.used = self.used_high = None
            self.verdict = ("warns" if soft else "fails") if self.actual > 0 else "warns" if self.actual_high > 0 else "passes"
        else:
            self.used, self.used_high = self.actual / self.limit, self.actual_high / self.limit
            self.verdict = "passes"
            if self.used > ENOUGH:
                self.verdict = "warns" if soft else "fails"
            elif self.used_high > ENOUGH:
                self.verdict = "warns"

    def bound(self, careful, w):
        """The largest load that it passes: None where there is none, negative where no load is low enough."""
        low, high = (side[1 if careful else 0] for side in self.ceiling_at)
        if self.banned:
            return Fraction(-1) if low > 0 else Fraction(0) if high > 0 else None
        low, high = low / self.limit, high / self.limit
        if low > ENOUGH:   # a base that is over by itself; more blend can thin it out
            return None if high < low and low + (high - low) * w <= ENOUGH else Fraction(-1)
        return (ENOUGH - low) / (high - low) if high > low else None


    def floor(self, careful):
        """The least load that it passes: more than nothing where only the blend thins a base that is over by itself."""
        low, high = (side[1 if careful else 0] for side in self.ceiling_at)
        if self.banned or low <= ENOUGH * self.limit or high >= low:
            return Fraction(0)
        return (low - ENOUGH * self.limit) / (low - high)


class Undiluted:
    subject, rows, soft, verdict, banned, parts, limit = ("undiluted_on_skin", "undiluted_on_skin"), [], False, "fails", False, None, Fraction(1)

    def __init__(self, w):
        self.actual = self.actual_high = self.used = self.used_high = w

    def floor(self, careful):
        return Fraction(0)


class Ceiling:
    def __init__(self):
        self.state, self.ww, self.reading, self.runner_up = None, None, None, None
        self.binding, self.runners = [], []


def close(a, b):
    return abs(a - b) <= SAME * max(abs(a), abs(b))


def dict_sum(pairs):
    out = {}
    for name, share in pairs:
        out[name] = out.get(name, 0) + share
    return out


def whole_divisor(numbers):
    from math import gcd
    out = 0
    for n in numbers:
        out = gcd(out, n)
    return out


class RuleBook:
    """The limits that hold for a workshop, by the category of a product."""

    def __init__(self, shelf):
        self.shelf, self.books = shelf, {}

    def holds(self, rules):
        workshop = self.shelf.workshop
        if workshop["rules"]:
            return rules in workshop["rules"]
        markets = self.shelf.rule_sets[rules]["markets"]
        return not workshop["market"] or not markets or workshop["market"] in markets

    def of(self, category):
        if category not in self.books:
            self.books[category] = Book(self, category)
        return self.books[category]


class Book:
    def __init__(self, rules, category):
        scopes = rules.shelf.within[category] if category else set()
        self.rows, self.lights, self.unstated = {}, {}, []
        for row in rules.shelf.limits:
            caught = [c for c in row["categories"] if c in scopes]
            if not caught or not rules.holds(row["rules"]):
                continue
            if row["kind"] in ("unlimited", "purity") or row["effect"] in ("purity", "label"):
                continue
            name = row["subject"] if row["substance"] or row["own"] else rules.shelf.library_name(row["subject"])
            subject = ("substance" if row["substance"] else "material", name)
            row = {**row, "caught": category if category in caught else caught[0]}
            if row["kind"] == "unstated":
                self.unstated.append((subject, row))
                continue
            row["limit"] = Fraction(0) if row["kind"] == "none" else row["limit"]
            if row["replaces"]:
                # In the sum's place only where lots are measured; else on what the sum leaves out.
                subject = ("left out", name)
            if row["limit"] and row["effect"] == "phototoxic" and not row["substance"]:
                self.lights.setdefault(name, []).append(row)
            else:
                self.rows.setdefault(subject, []).append(row)

    def tightest(self, subject, soft):
        """The rows that bind: the tightest of what is published, or of what was worked out where that is tighter still."""
        rows = self.rows.get(subject, [])
        if subject[0] == "left out":   # nothing is said of a part that another limit does not say of all
            whole = min((r["limit"] for r in self.rows.get(("substance", subject[1]), []) if r["standing"] not in SOFT), default=None)
            rows = [r for r in rows if whole is None or r["limit"] < whole]
        firm = [r for r in rows if r["standing"] not in SOFT]
        least = min((r["limit"] for r in firm), default=None)
        if not soft:
            return [r for r in firm if r["limit"] == least]
        rows = [r for r in rows if r["standing"] in SOFT and (least is None or r["limit"] < least)]
        least = min((r["limit"] for r in rows), default=None)
        return [r for r in rows if r["limit"] == least]

    def light(self, matters, soft):
        """How much of a material skin in the sun may take: the shares of what it is made of, each over the tightest limit of
        what that counts as, add up to one."""
        used = Fraction(0)
        for counts in matters:
            used += max((grams / row["limit"] for name, grams in counts.items() for row in self.lights.get(name, [])
                         if soft or row["standing"] not in SOFT), default=Fraction(0))
        return 1 / used if used else None
