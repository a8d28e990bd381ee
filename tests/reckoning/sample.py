"""Collections to judge twice, from a seed: the same seed gives the same bytes. Every contact kind and basis of loads, own
oils of each sort, dilutions, accords, variations, bases, own rules, lists and categories, markets and dates. The figures
mean nothing.
"""
import random

EACH = 100
MARKETS = ("eu", "uk", "us", "ch", "")
DATES = ("", "2026-05-02", "2020-01-01", "2026-07-31", "2026-08-01", "2031-01-31")
# Oils that rules know best; the others come too.
KNOWN = ("clove_bud", "lemon_expressed", "bergamot_expressed", "bergamot_fcf", "lime_expressed", "lemongrass", "cinnamon_bark", "angelica_root",
         "ylang_ylang_complete", "basil_ct_estragole", "melissa", "tea_tree", "geranium", "lavender", "grapefruit", "orange_sweet", "rose_otto",
         "nutmeg", "oakmoss_absolute", "treemoss_absolute", "litsea_cubeba", "peppermint", "wormwood", "rue", "lemon_verbena_absolute")
CARRIERS = ("jojoba", "squalane", "sweet_almond", "ethanol_96", "dipropylene_glycol", "benzyl_alcohol", "benzyl_benzoate")

# What a run must have met, or it shows nothing.
MUST_MEET = {
    "complete": 850, "contact leave_on": 200, "contact rinse_off": 100, "contact none": 100,
    "load percent": 300, "load ml": 20, "load g": 20, "load drops": 40, "load neat": 10, "whole drops": 20, "nearest drops": 10,
    "basis w/w total": 300, "basis w/w base": 40, "basis w/w wax": 10, "basis w/w fats": 10, "basis v/v total": 40, "basis w/v total": 20,
    "verdict passes": 5, "verdict unknown": 20, "verdict warns": 30, "verdict fails": 100,
    "check substance": 1000, "check substance soft": 100, "check material": 500, "check material soft": 20, "check banned": 20, "check banned soft": 5,
    "check phototoxic_sum": 100, "check phototoxic_sum soft": 5, "check undiluted_on_skin": 5, "check passes": 1000, "check warns": 100, "check fails": 100,
    "ceiling bound": 300, "ceiling none_applies": 5, "ceiling over_without_blend": 20, "ceiling not_known": 20, "careful bound": 300,
    "ceiling of 2 decimals": 30, "ceiling of 3 decimals": 30, "ceiling of 4 decimals": 20, "ceiling of 5 decimals": 10, "ceiling of 6 decimals": 10,
    "ceiling of 0 decimals": 5, "unstated": 5, "label listed": 150, "label other_law": 50, "label no_list": 5, "names": 500, "later names": 20, "impossible": 5,
}


class Maker:
    def __init__(self, chance, library):
        self.chance, self.library = chance, library
        self.oils = [o["id"] for o in library["oils"] if o["density"]]
        full = {o["id"] for o in library["oils"] if o["composition"] and float(o["composition"]["typical_known_percent"]) > 90}
        self.roomy = [o for o in KNOWN if o in {x["id"] for x in library["oils"] if x["composition"]} - full]
        self.known = [o for o in KNOWN if o in self.oils]
        self.weightless = [o["id"] for o in library["oils"] if not o["density"] and o["composition"]] + ["wormwood", "treemoss_absolute"]
        self.substances = sorted({r["substance"] for o in library["oils"] for r in (o["composition"] or {"rows": []})["rows"]})
        self.restricted = sorted({entry["subject"] for entry in library["limits"] if entry["subject_kind"] in ("substance", "group")})
        self.rules = [r["id"] for r in library["rule_sets"]]
        self.text = []

    def say(self, *rows):
        self.text.append("\n".join(rows) + "\n")

    def figure(self, low, high):
        """A decimal as a maker writes it, small ones as often as large."""
        value = low * (high / low) ** self.chance.random()
        return f"{value:.{self.chance.choice((2, 3))}g}" if value >= 0.001 else f"{value:.6f}"

    def plain(self, value, places=4):
        return f"{value:.{places}f}".rstrip("0").rstrip(".")

    def composition(self, count, whole=80.0):
        rows = []
        for substance in self.chance.sample(self.substances, count):
            typical = self.chance.uniform(0.0005, whole / count)
            low, high = typical * self.chance.uniform(0.3, 1), min(99.9, typical * self.chance.uniform(1, 1.3))
            form = self.chance.random()
            if form < 0.6:
                rows.append(f"        {self.plain(low)}..{self.plain(typical + 0.0001)}..{self.plain(high + 0.0002)} % {substance}")
            elif form < 0.8:
                rows.append(f"        {self.plain(low)}..{self.plain(high + 0.0002)} % {substance}")
            elif form < 0.9:
                rows.append(f"        {self.plain(typical * 10000 + 1, 1)} ppm {substance}")
            else:
                rows.append(f"        up to {self.plain(high + 0.0001)} % {substance}")
        return rows

    def materials(self):
        chance = self.chance
        self.own = []
        like = [chance.choice(self.known), *chance.sample(self.roomy, 3)]
        self.say('cite tank "a certificate, invented" { standing supplier }', 'cite worked "worked out, invented" { standing derived }',
                 'cite guess "a guess, invented" { standing estimate }', 'cite act "an act, invented" { standing law }')
        # The library's name taken for an own bottle
        self.say(f"oil {like[0]} like {like[0]} {{", f"    density    0.8{chance.randint(10, 99)}..0.9{chance.randint(10, 99)} g/ml at 20 C", "}")
        self.say(f"oil own_cut like {like[1]} {{", "    contains {", *self.composition(chance.randint(2, 5), 5), "    }", "}")
        self.say(f"oil own_only like {like[2]} {{", f"    dropper    {chance.randint(15, 45)} drops/ml", "    contains only {",
                 *self.composition(chance.randint(1, 8)), "    }", "}")
        self.say("oil own_again like own_only {", "    contains {", *self.composition(1, 3), "    }", "}")
        self.say("oil own_bare {", "    density    0.91 g/ml at 20 C", "}")
        self.say(f"oil own_whole {{\n    density    0.93 g/ml at 20 C\n    contains {{\n        100 %      {chance.choice(self.restricted)}\n    }}\n}}")
        carrier = chance.choice(CARRIERS)
        self.say(f"oil own_tenth like {like[3]} {{\n    diluted    {chance.choice((10, 12.5, 25, 50))} % in {carrier}\n}}")
        self.say(f"oil own_weaker like own_tenth {{\n    diluted    {chance.choice((1, 5, 7.5, 100))} % in {chance.choice(CARRIERS)}\n}}")
        self.say(f"oil own_weakest like own_weaker {{\n    diluted    {chance.choice((0.5, 2))} % in spiked\n}}")
        self.say("oil own_twin like own_tenth {\n    impact     3\n}")
        self.say(f"oil own_thin like own_again {{\n    density    0.9{chance.randint(10, 60)} g/ml at 20 C\n    diluted    {chance.choice((3, 20))} % in spiked\n}}")
        self.say("ingredient spiked {", "    role       fixed_oil", f"    density    0.9{chance.randint(10, 40)} g/ml at 20 C", "    contains {",
                 *self.composition(4, chance.choice((0.05, 0.5, 6))), "    }", "}")
        self.say("ingredient heavy {\n    role       wax\n}")   # no density
        self.own += [like[0], "own_cut", "own_only", "own_again", "own_bare", "own_whole", "own_tenth", "own_weaker", "own_weakest", "own_twin", "own_thin"]

    def bases(self):
        chance = self.chance
        self.say("base plain {\n    rest       jojoba\n    30 %       squalane\n}")
        self.say("base laced {", "    phase warm {", f"        {self.figure(0.05, 9)} %  {chance.choice(self.known)}", "        rest       plain", "    }", "    phase cool {",
                 f"        {self.figure(0.01, 1)} % of total {chance.choice(self.own)}", "        blend", "    }", "    phase last {",
                 f"        {self.figure(0.1, 5)} % of total beeswax_yellow", "        12 %       spiked", "    }", "}")
        self.say("base waxen {\n    rest       soy_wax_container\n    20 %       laced\n    10 %       shea\n    3 %        ethanol_96\n}")
        self.say(f"base strong {{\n    {self.figure(0.5, 20)} %  {chance.choice(self.known)}\n    rest       spiked\n}}")
        self.say("base none_weighed {\n    40 %       heavy\n    60 %       jojoba\n}")

    def rules_of_the_house(self):
        chance = self.chance
        categories = ["everything", "skin", "leave_on", "rinse_off", "sunlit_skin", "cosmetics", "oil_perfume", "body_leave_on", "body_rinse_off",
                      "household_spray", "no_skin", "own_kind", "other_leave_on"]
        self.say("category own_kind {\n    within     leave_on, sunlit_skin\n}")
        self.say("format own_form {\n    contact    leave_on\n    category   own_kind\n    load       0.2..0.5..2 % of base\n    sold_by    volume\n}")
        self.say("format own_mist like room_spray {\n    contact    none\n}")
        self.say("rules house {\n    markets    eu, ch\n}", "rules strict {\n    markets    eu, uk, us\n}")
        self.say(f"group own_sum {{\n    members    {', '.join(chance.sample([s for s in self.substances if s not in GROUPS], 4))}\n}}")
        subjects = (chance.sample(self.substances, 8) + chance.sample(self.known, 4) + [o for o in self.own if chance.random() < 0.6]
                    + ["own_sum", "spiked", "jojoba", chance.choice(CARRIERS[1:])])
        for rules in ("house", "strict"):
            for subject in dict.fromkeys(subjects):
                if chance.random() < 0.4:
                    continue
                material = subject in self.own or subject in self.known or subject in ("spiked", *CARRIERS)
                rows = [f"limit {subject} under {rules} {{",
                        f"    effect     {chance.choice(('phototoxic', 'sensitisation', 'irritation') if material else ('sensitisation', 'systemic'))}"]
                if chance.random() < 0.3:
                    rows.append(f"    source     {chance.choice(('derived', 'estimate', 'handbook', 'law'))} \"invented\"")
                for category in chance.sample(categories, chance.randint(1, 3)):
                    figure = chance.random()
                    words = (f"{self.figure(0.000004, 0.002)} %" if figure < 0.12 else f"{self.figure(0.002, 6)} %" if figure < 0.86 else "unlimited" if figure < 0.9 else "unstated" if figure < 0.92 else "none")
                    by = f" by {chance.choice(('tank', 'worked', 'guess', 'act'))}" if chance.random() < 0.5 else ""
                    more = f", {chance.choice(categories)}" if chance.random() < 0.3 else ""
                    if more and more[2:] == category:
                        more = ""
                    rows.append(f"    {words}  in {category}{more}{by}")
                self.say(*rows, "}")
        self.say("rules names {\n    markets    us, eu\n    continues  eu_2003_15\n    in_force   2026-01-15\n    placed_until 2026-07-31\n}")
        for number in range(4):
            substances = chance.sample(self.substances, chance.randint(1, 3))
            self.say(f"allergen own_{number} under names {{", f'    label      "{chance.choice(("Linalool", "Citral", "Own Name", "Other Name"))}"',
                     f"    substances {', '.join(substances)}", *([f"    oils       {chance.choice(self.own[1:])}, {chance.choice(self.known)}"] if number % 2 else []),
                     f"    leave_on   {self.figure(0.0001, 0.1)} %", *([f"    rinse_off  {self.figure(0.001, 1)} %"] if number != 2 else []), "}")

    def edges(self):
        """A part in a million under a limit, at it, and over it."""
        self.say('substance own_pure {\n    cas        "64-17-5"\n}', "oil own_edge {\n    density    0.9 g/ml at 20 C\n    contains {\n        100 %      own_pure\n    }\n}",
                 "blend edge {\n    1 part     own_edge\n}")
        for rules in ("house", "strict"):
            self.say(f"limit own_pure under {rules} {{\n    0.5 %      in skin\n    0.2 %      in no_skin by worked\n}}")
        for number, (form, load) in enumerate((f, l) for f in ("solid_perfume", "wax_melt") for l in ("0.4999995", "0.5", "0.5000005", "0.1999998", "0.2", "0.2000002")):
            self.say(f"product e{number} {{\n    blend      edge at {load} % of total\n    format     {form} of 60 g\n    in         squalane\n}}")

    def blends(self):
        chance = self.chance
        self.ready = []
        for number in range(32):
            oils = list(dict.fromkeys(chance.sample(self.oils, chance.randint(1, 3)) + chance.sample(self.known, chance.randint(1, 4))
                                      + ([chance.choice(self.own)] if chance.random() < 0.6 else [])))
            if number in (3, 14, 25):
                oils.append(chance.choice(self.weightless))
            if number in (5, 17):
                oils = ["own_tenth", "own_thin"]   # all of it dissolved already
            if number in (6, 18):
                oils = [chance.choice(self.known)]
            chance.shuffle(oils)
            way = ("parts", "weight", "drops", "percent", "ml", "g")[number % 6] if len(oils) > 1 else "parts"
            rows = []
            if way == "weight":
                rows.append("    by         weight")
            if way == "percent":
                rows.append(f"    by         {chance.choice(('weight', 'volume'))}")
                for oil in oils[1:]:
                    rows.append(f"    {chance.randint(2, 90) / len(oils):.2f} % {oil}")
                rows.append(f"    rest       {oils[0]}")
            else:
                unit = {"parts": "parts", "weight": "parts", "drops": "drops"}.get(way, way)
                for oil in oils:
                    amount = chance.choice((str(chance.randint(1, 40)), f"{chance.randint(1, 400) / 10:.1f}", f"{chance.randint(1, 9)}/{chance.randint(2, 7)}"))
                    rows.append(f"    {str(chance.randint(1, 12)) if way == 'drops' else amount} {unit} {oil}")
            if way == "parts" and number > 12:
                rows.append(f"    {chance.randint(1, 5)} parts accord")
            self.say(f"blend b{number} {{", *rows, "}")
            self.ready.append((f"b{number}", way, oils, len(rows)))
        self.say("blend accord {\n    5 parts    amyris\n    3 parts    guaiacwood\n    2 parts    clove_bud\n}")
        for number, (name, way, oils, _) in enumerate(self.ready[:20]):
            if way != "parts" or len(oils) < 3:
                continue
            self.say(f"variation v{number} of {name} {{", f"    replace    {oils[0]} with 3 parts copaiba", f"    set        7/2 parts {oils[1]}", "    add        1 part vetiver",
                     f"    remove     {oils[2]}", "}")
            if not {"copaiba", "vetiver"} & set(oils):
                self.ready.append((f"v{number}", way, oils, 3))
            else:
                self.text.pop()

    def product(self, number):
        chance = self.chance
        blend, way, oils, rows = chance.choice(self.ready)
        formats = [f for f in self.library["formats"]] + [{"id": "own_form", "sold_by": "volume", "usual_base": None, "load": {"of": "base"}},
                                                          {"id": "own_mist", "sold_by": "volume", "usual_base": "x", "load": {"of": "total"}}]
        form = chance.choice(formats)
        volume = form["sold_by"] != "mass"
        size = f"{chance.choice((5, 10, 50, 100, 250))} {'ml' if volume else 'g'}"
        waxy = (form["load"] or {}).get("of") in ("wax", "fats")
        base = None
        if not form["usual_base"] or chance.random() < 0.5:
            lists = ["jojoba", "plain", "laced", "strong", "spiked", "70 % squalane, 30 % jojoba", "laced",
                     f"60 % plain, {self.figure(0.01, 3)} % {chance.choice(self.known)}, rest jojoba", f"{self.figure(0.1, 2)} % of total {chance.choice(self.own)}, rest sweet_almond"]
            base = chance.choice(lists + (["waxen", "soy_wax_container"] * 5 if waxy else []) + (["none_weighed"] if not volume and chance.random() < 0.5 else []))
        amount = self.figure(0.02, 8)
        content = int(size.split()[0])
        loads = [f"at {amount} %"] * 4 + [f"at {amount} % of total", f"at {amount} % of base", f"at {amount} % of base", f"at {amount} % v/v", f"at {amount} % v/v",
                                          f"at {amount} % w/v", f"using {self.figure(content / 1000, content / 20)} ml", f"using {self.figure(content / 1000, content / 20)} g",
                                          f"up to {chance.choice((60, 400, 3000))} drops", f"between {chance.randint(20, 40)} and {chance.randint(41, 90)} drops", "", ""]
        if base in ("jojoba", "waxen", "laced", "strong", "spiked", "plain"):
            loads += [f"at {amount} % of fats", f"at {amount} % of wax"]
        load = chance.choice(loads)
        if number % 33 == 0:
            load, base = "at neat", None
        elif number % 41 == 0:
            load = f"at {chance.randint(60, 99)} %"
        self.say(f"product p{number} {{", f"    blend      {blend} {load}".rstrip(), f"    format     {form['id']} of {size}",
                 *([f"    in         {base}"] if base else []), "}")


GROUPS = set()


def collections(seed, count, library):
    """(text, date) of collections that come to so many products."""
    GROUPS.update(g["id"] for g in library["groups"])
    for number in range((count + EACH - 1) // EACH):
        chance = random.Random(f"{seed} {number}")
        maker = Maker(chance, library)
        market = MARKETS[number % len(MARKETS)]
        rows = [f'workshop "Sample" {{', f"    dropper    {chance.choice((18, 20, 22.5, 30))} drops/ml"]
        rows[1:1] = [f"    market     {market}"] if market else []
        if number % 3 == 1:
            chosen = chance.sample(maker.rules, chance.randint(1, 7)) + chance.sample(["house", "strict", "names"], chance.randint(0, 3))
            rows.append(f"    rules      {', '.join(dict.fromkeys(chosen))}")
        maker.say(*rows, "}")
        maker.materials()
        maker.rules_of_the_house()
        maker.bases()
        maker.edges()
        maker.blends()
        for product in range(min(EACH, count - number * EACH)):
            maker.product(product)
        yield "\n".join(maker.text), DATES[number % len(DATES)]
