"""A repository of an invented stillroom, thirty commits long: renamed and moved recipes, a variation of a variation, a rule
set that changes, a commit that does not compile, a merge. The same bytes everywhere: names and dates are given."""
import os
import re
import subprocess

WORKSHOP = """workshop "Quay Stillroom" {
    market     eu
    currency   EUR
    weighs_to  0.01 g up to 2 kg
}
"""

LAMP = """blend quay_lamp "Quay Lamp" {
    6 parts    petitgrain_bigarade
    4 parts    orange_sweet
    3 parts    patchouli
}
"""

SKIN = """product quay_lamp_oil "Quay Lamp body oil" {
    blend      quay_lamp at 0.8 %
    format     body_oil of 100 ml
    in         jojoba
    make       12
}
"""

ROLL_ON = """product quay_lamp_roll_on "Quay Lamp roll-on" {
    blend      quay_lamp at 2 %
    format     roll_on of 10 ml
    in         jojoba
    make       24
}
"""


def environment(extra=None):
    """Git as it is without anybody's settings."""
    made = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")}
    made.update(GIT_CONFIG_GLOBAL="/dev/null", GIT_CONFIG_SYSTEM="/dev/null", GIT_CONFIG_NOSYSTEM="1", LC_ALL="C.UTF-8", TZ="UTC",
                GIT_AUTHOR_NAME="Wren", GIT_AUTHOR_EMAIL="wren@stillroom.invalid", GIT_COMMITTER_NAME="Wren",
                GIT_COMMITTER_EMAIL="wren@stillroom.invalid", GIT_PAGER="cat", GIT_EDITOR="true", GIT_TERMINAL_PROMPT="0")
    made.update(extra or {})
    return made


class Repository:
    def __init__(self, folder, bare=False):
        self.folder = folder
        self.day = 0
        os.makedirs(folder, exist_ok=True)
        self.git("init", "-q", "-b", "main", *(["--bare"] if bare else []))

    def git(self, *arguments, check=True, extra=None):
        done = subprocess.run(["git", *arguments], cwd=self.folder, env=environment(extra), stdin=subprocess.DEVNULL, capture_output=True)
        if check and done.returncode != 0:
            raise RuntimeError(f"git {' '.join(arguments)}: {done.stderr.decode(errors='replace')}")
        return done

    def path(self, name):
        return os.path.join(self.folder, name)

    def read(self, name):
        with open(self.path(name), encoding="utf-8") as file:
            return file.read()

    def put(self, name, text):
        os.makedirs(os.path.dirname(self.path(name)), exist_ok=True)
        with open(self.path(name), "w", encoding="utf-8") as file:
            file.write(text)

    def edit(self, name, was, now):
        text = self.read(name)
        if not re.search(was, text):
            raise RuntimeError(f"{name} has no {was}")
        self.put(name, re.sub(was, now, text))

    def dated(self):
        self.day += 1
        when = f"2026-{1 + self.day // 28:02d}-{1 + self.day % 28:02d}T10:00:00+0000"
        return {"GIT_AUTHOR_DATE": when, "GIT_COMMITTER_DATE": when}

    def commit(self, message):
        self.git("add", "-A")
        self.git("commit", "-q", "-m", message, extra=self.dated())

    def merge(self, branch, message):
        self.git("merge", "-q", "--no-ff", "-m", message, branch, extra=self.dated())


def build(folder):
    """The thirty commits; the repository with its working tree."""
    r = Repository(folder)
    r.put("collection.scruple", WORKSHOP)
    r.put("blends/lamp.scruple", LAMP)
    r.put("products/skin.scruple", SKIN)
    r.commit("The lamp, and an oil of it")
    r.edit("blends/lamp.scruple", "^", "# smelt at noon, twice\n")
    r.commit("A note to self")
    r.put("blends/lamp.scruple", '# smelt at noon, twice\nblend quay_lamp "Quay Lamp" {\n  3 parts patchouli\n'
          "  6 parts petitgrain_bigarade\n  4 parts orange_sweet\n}\n")
    r.commit("Other order, other layout")
    r.edit("blends/lamp.scruple", "4 parts orange_sweet", "5 parts orange_sweet")
    r.commit("More orange")
    r.put("products/pocket.scruple", ROLL_ON)
    r.commit("A roll-on")
    r.put("blends/soft.scruple", 'variation soft_lamp "Soft Lamp" of quay_lamp {\n    set        1 part patchouli\n}\n')
    r.commit("A softer lamp")
    r.put("blends/evening.scruple", 'variation evening_lamp "Evening Lamp" of soft_lamp {\n    add        2 parts lavender\n}\n')
    r.commit("The softer lamp with lavender, for the evening")
    r.put("blends/lamp.scruple", LAMP.replace("6 parts", "12 parts").replace("4 parts ", "10 parts").replace("3 parts", "6 parts"))
    r.edit("blends/soft.scruple", "1 part ", "2 parts ")
    r.edit("blends/evening.scruple", "2 parts", "4 parts")
    r.commit("The same ratios, counted twice as fine")
    r.edit("blends/lamp.scruple", "12 parts", "11 parts")
    r.commit("A little less petitgrain")
    r.put("prices.scruple", 'prices "Harbour supplier" on 2026-01-09 {\n    100 g      petitgrain_bigarade for 9 EUR\n'
          "    100 g      orange_sweet for 8 EUR\n    30 g       patchouli for 21 EUR\n    500 ml     jojoba for 16.90 EUR\n}\n")
    r.commit("Prices of the winter")
    r.edit("prices.scruple", "orange_sweet for 8 EUR", "orange_sweet for 13 EUR")
    r.edit("prices.scruple", "2026-01-09", "2026-01-11")
    r.commit("Orange is dearer")
    r.git("tag", "v1")
    r.git("checkout", "-q", "-b", "bergamot")
    r.edit("blends/lamp.scruple", r"\n}", "\n    2 parts    bergamot_expressed\n}")
    r.commit("Try bergamot")
    r.edit("blends/lamp.scruple", "2 parts    bergamot", "4 parts    bergamot")
    r.commit("More bergamot")
    r.git("checkout", "-q", "main")
    r.git("mv", "products/pocket.scruple", "pocket.scruple")
    r.commit("The roll-on lies elsewhere")
    r.put("rooms.scruple", 'product lamp_spray "Lamp room spray" {\n    blend      soft_lamp at 1.2 %\n    format     room_spray of 100 ml\n    make       10\n}\n')
    r.commit("A room spray of the softer lamp")
    r.merge("bergamot", "Bergamot comes in")
    r.put("rules.scruple", 'rules stillroom "Rules of this stillroom" {\n    markets    eu\n    source     practice "agreed at the bench"\n}\n\n'
          'limit bergamot_expressed under stillroom {\n    effect     sensitisation\n    0.4 %      in skin\n'
          '    source     practice "agreed at the bench"\n}\n')
    r.commit("Our own rule on bergamot")
    r.edit("rules.scruple", "0.4 %", "0.2 %")
    r.commit("Our rule on bergamot, stricter")
    r.edit("pocket.scruple", "at 2 %", "at 1 %")
    r.commit("A weaker roll-on")
    r.edit("blends/lamp.scruple", "10 parts", "10 prats")
    r.commit("A slip of the hand")
    r.edit("blends/lamp.scruple", "10 prats", "9 parts")
    r.commit("Mended, and less orange")
    r.git("tag", "v2")
    for name in ("blends/lamp.scruple", "blends/soft.scruple", "products/skin.scruple", "pocket.scruple"):
        r.edit(name, "quay_lamp", "harbour_lamp")
        r.put(name, r.read(name).replace("Quay Lamp", "Harbour Lamp"))
    r.commit("It is called Harbour Lamp from now on")
    r.git("mv", "blends", "harbour")
    r.commit("The harbour has a folder")
    r.edit("harbour/lamp.scruple", "^", "## Warm wood and a bright edge.\n")
    r.commit("Words for the sheet")
    r.put("soap.scruple", 'product lamp_soap "Lamp soap" {\n    blend      harbour_lamp at 2 % of total\n    format     soap_melt_pour of 100 g\n'
          "    in         soap_melt_pour_base\n    make       10\n}\n")
    r.commit("A soap")
    r.put("rooms.scruple", 'line lamp_rooms "Lamp rooms" of soft_lamp {\n    10  room_spray of 100 ml     at 1.2 %      as lamp_spray\n'
          "    12  candle_soy of 180 g      at 5 % of wax as lamp_candle\n}\n")
    r.commit("Spray and candle are one line")
    r.git("rm", "-q", "soap.scruple")
    r.commit("No soap after all")
    r.edit("harbour/lamp.scruple", "11 parts", "8 parts")
    r.commit("Much less petitgrain")
    r.edit("pocket.scruple", "at 1 %", "at 1.5 %")
    r.commit("The roll-on, stronger again")
    r.edit("collection.scruple", "up to 2 kg", "up to 5 kg")
    r.commit("A larger scale")
    return r
