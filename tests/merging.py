#!/usr/bin/env python3
"""Merges of recipes as git makes them with the driver: `git merge`, `rebase` and `cherry-pick` in repositories of their own, and,
where edits are far apart, line for line what git-merge-file(1) makes of them.

  outside   git(1), git-merge-file(1), gitattributes(5) as installed
"""
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import program
import stillroom_repository as stillroom

DUSK = """blend dusk "Dusk" {
    intent     calming

    6 parts    lavender
    4 parts    orange_sweet   # sweet
    2 parts    bergamot_expressed
}

variation dusk_soft "Dusk, soft" of dusk {
    set        2 parts orange_sweet
}

product dusk_roll "Dusk roll" {
    blend      dusk at 2 %
    format     roll_on of 10 ml
    in         jojoba
    make       12
    steps      "weigh", "mix", "fill"
}
"""


class Merging:
    def __init__(self, folder, environment):
        self.r = stillroom.Repository(folder)
        self.env = environment
        self.r.put("collection.scruple", 'workshop "Dusk Yard" {\n    market     eu\n}\n')
        self.r.put("dusk.scruple", DUSK)
        done = subprocess.run(["scruple", "git", "setup"], cwd=folder, env=environment, capture_output=True)
        if done.returncode:
            raise RuntimeError(done.stderr.decode())
        self.r.commit("base")

    def git(self, *arguments):
        env = dict(self.env, **self.r.dated())
        done = subprocess.run(["git", *arguments], cwd=self.r.folder, env=env, stdin=subprocess.DEVNULL, capture_output=True)
        return done.returncode, done.stdout.decode(errors="replace") + done.stderr.decode(errors="replace")

    def sides(self, ours, theirs):
        for branch, change in (("left", ours), ("right", theirs)):
            self.r.git("checkout", "-q", "-f", "-B", branch, "main")
            change(self.r)
            self.r.commit(branch)
        self.r.git("checkout", "-q", "left")

    def merge(self, ours, theirs, how=("merge", "--no-edit", "right")):
        """Status, what was said, the recipe."""
        self.sides(ours, theirs)
        code, said = self.git(*how)
        text = self.r.read("dusk.scruple") if os.path.exists(self.r.path("dusk.scruple")) else ""
        for way in ("merge", "rebase", "cherry-pick"):
            self.git(way, "--abort")
        self.r.git("reset", "-q", "--hard")
        return code, said, text


def instead(*pairs):
    def change(r):
        text = r.read("dusk.scruple")
        for was, now in pairs:
            if was not in text:
                raise RuntimeError(f"no {was!r}")
            text = text.replace(was, now, 1)
        r.put("dusk.scruple", text)
    return change


def joined(*pairs):
    text = DUSK
    for was, now in pairs:
        text = text.replace(was, now, 1)
    return text


LAVENDER = ("6 parts    lavender", "7 parts    lavender")
LAVENDER_8 = ("6 parts    lavender", "8 parts    lavender")
ORANGE = ("4 parts    orange_sweet ", "5 parts    orange_sweet ")
ORANGE_3 = ("4 parts    orange_sweet ", "3 parts    orange_sweet ")
LOAD = ("dusk at 2 %", "dusk at 2.3 %")
SCALED = (("6 parts ", "9 parts "), ("4 parts    orange_sweet ", "6 parts    orange_sweet "), ("2 parts    bergamot", "3 parts    bergamot"))


def check_merges(tally, m):
    def clean(what, ours, theirs, wanted, how=("merge", "--no-edit", "right")):
        code, said, text = m.merge(ours, theirs, how)
        tally.check(code == 0 and text == wanted, f"{what}: merged", f"{code}\n{said}\n{text}")
        return said

    def stopped(what, ours, theirs, *signs, marks=True):
        code, said, text = m.merge(ours, theirs)
        good = code == 1 and all(sign in said + text for sign in signs) and ("<<<<<<<" in text) == marks
        tally.check(good, f"{what}: somebody must look", f"{code}\n{said}\n{text}")
        other = m.merge(theirs, ours)
        tally.check(other[0] == code, f"{what}: the other way about as well", other[1])
        return said, text

    clean("two oils", instead(LAVENDER), instead(("2 parts    bergamot", "1 part     bergamot")), joined(LAVENDER, ("2 parts    bergamot", "1 part     bergamot")))
    clean("neighbouring rows, where lines alone would conflict", instead(LAVENDER), instead(ORANGE), joined(LAVENDER, ORANGE))
    clean("the same edit twice", instead(LAVENDER), instead(LAVENDER), joined(LAVENDER))
    clean("layout against an oil", instead(("    6 parts    lavender\n    4 parts    orange_sweet   # sweet", "    6   parts lavender\n    4  parts   orange_sweet   # sweet")),
          instead(("2 parts    bergamot", "1 part     bergamot")),
          joined(("    6 parts    lavender\n    4 parts    orange_sweet   # sweet", "    6   parts lavender\n    4  parts   orange_sweet   # sweet"), ("2 parts    bergamot", "1 part     bergamot")))
    clean("an oil against a comment on it", instead(("# sweet", "# sweet, of spring")), instead(ORANGE), joined(("# sweet", "# sweet, of spring"), ORANGE))
    clean("an oil against the product", instead(LAVENDER), instead(("make       12", "make       24")), joined(LAVENDER, ("make       12", "make       24")))
    code, said, text = m.merge(instead(("    2 parts    bergamot", "    1 part     vetiver\n    2 parts    bergamot")), instead(("    2 parts    bergamot", "    1 part     amyris\n    2 parts    bergamot")))
    tally.check(code == 0 and "vetiver" in text and "amyris" in text and text.count("bergamot") == 1, "two oils more at one place", said + text)
    other = m.merge(instead(("    2 parts    bergamot", "    1 part     amyris\n    2 parts    bergamot")), instead(("    2 parts    bergamot", "    1 part     vetiver\n    2 parts    bergamot")))
    tally.check(other[2] == text, "two oils more, the same text whichever side is ours", other[2])

    said, text = stopped("one oil twice", instead(LAVENDER), instead(LAVENDER_8), "7 parts    lavender", "8 parts    lavender", "blend dusk, lavender")
    tally.check(text.count("<<<<<<<") == 1 and text.replace("\n", " ").count("orange_sweet   # sweet") == 1, "a conflict shows its row alone", text)
    stopped("taken out against changed", instead(("    4 parts    orange_sweet   # sweet\n", "")), instead(ORANGE), "took it out")
    stopped("added twice", instead(("    2 parts    bergamot", "    1 part     vetiver\n    2 parts    bergamot")), instead(("    2 parts    bergamot", "    3 parts    vetiver\n    2 parts    bergamot")), "both sides added it")
    stopped("the ratio scaled against one oil", instead(*SCALED), instead(ORANGE), "a ratio that nobody meant")
    stopped("the ratio scaled against an oil more", instead(*SCALED), instead(("    2 parts    bergamot", "    1 part     vetiver\n    2 parts    bergamot")), "a ratio that nobody meant")
    stopped("the ratio scaled against an oil less", instead(*SCALED), instead(("    2 parts    bergamot_expressed\n", "")), "a ratio that nobody meant")
    stopped("drops for parts against one oil", instead(("6 parts ", "6 drops "), ("4 parts    orange_sweet ", "4 drops    orange_sweet "), ("2 parts    bergamot", "2 drops    bergamot")), instead(ORANGE), "a ratio that nobody meant")
    stopped("steps are an order", instead(('"weigh", "mix", "fill"', '"weigh", "warm", "mix", "fill"')), instead(('"weigh", "mix", "fill"', '"weigh", "mix", "rest", "fill"')))
    said, text = stopped("a variation against the scale of its blend", instead(*SCALED), instead(("set        2 parts", "set        3 parts")), "neither side has seen what follows", marks=False)
    said, text = stopped("safe apart and unsafe together", instead(LOAD), instead(ORANGE_3), "worse than on either side", "FAILS", marks=False)
    tally.check(text == joined(LOAD, ORANGE_3), "what is unsafe together is merged all the same, and shown", text)
    stopped("each compiles and both together do not", instead(("set        2 parts orange_sweet", "set        2 parts lavender")),
            instead(("    6 parts    lavender\n", "    6 parts    amyris\n")), "does not compile", marks=False)
    code, said, text = m.merge(instead(("6 parts    lavender", "6 parts {   lavender")), instead(("make       12", "make       24")))
    tally.check("merged line by line" in said and "make       24" in text and "6 parts {" in text, "mistakes on one side: as git does it", f"{code} {said} {text}")

    clean("rebase", instead(LAVENDER), instead(ORANGE), joined(LAVENDER, ORANGE), ("rebase", "right"))
    clean("cherry-pick", instead(LAVENDER), instead(ORANGE), joined(LAVENDER, ORANGE), ("cherry-pick", "right"))

    def moved(r):
        r.git("mv", "dusk.scruple", "evening.scruple")
    m.sides(moved, instead(ORANGE))
    code, said = m.git("merge", "--no-edit", "right")
    tally.check(code == 0 and m.r.read("evening.scruple") == joined(ORANGE), "a recipe that moved on one side", said)
    m.r.git("reset", "-q", "--hard", "main")
    m.sides(lambda r: (moved(r), r.edit("evening.scruple", "6 parts", "7 parts")), instead(ORANGE))
    code, said = m.git("merge", "--no-edit", "right")
    tally.check(code == 0 and m.r.read("evening.scruple") == joined(LAVENDER, ORANGE), "a recipe that moved and changed", said)
    m.r.git("reset", "-q", "--hard", "main")
    m.sides(lambda r: r.put("dusk.scruple", joined(LAVENDER).replace("\n", "\r\n")), instead(ORANGE))
    code, said = m.git("merge", "--no-edit", "right")
    with open(m.r.path("dusk.scruple"), "rb") as file:
        tally.check(code == 0 and file.read() == joined(LAVENDER, ORANGE).replace("\n", "\r\n").encode(), "CR LF on one side", said)
    m.r.git("reset", "-q", "--hard", "main")
    # Both branches merged each other: git merges the bases first.
    m.sides(instead(LAVENDER), instead(ORANGE))
    m.r.git("branch", "-f", "one", "left")
    m.r.git("branch", "-f", "two", "right")
    for here, there, change in (("one", "right", ("make       12", "make       13")), ("two", "left", ("dusk at 2 %", "dusk at 1.9 %"))):
        m.r.git("checkout", "-q", here)
        code, said = m.git("merge", "--no-edit", there)
        tally.check(code == 0, "criss-cross, the first merges", said)
        m.r.put("dusk.scruple", m.r.read("dusk.scruple").replace(*change))
        m.r.commit(here)
    code, said = m.git("merge", "--no-edit", "one")
    tally.check(code == 0 and m.r.read("dusk.scruple") == joined(LAVENDER, ORANGE, ("make       12", "make       13"), ("dusk at 2 %", "dusk at 1.9 %")), "criss-cross", said)
    m.r.git("checkout", "-q", "-f", "main")
    # What cannot be looked at is not taken for safe.
    m.sides(instead(LAVENDER), instead(ORANGE))
    m.r.put("huge.scruple", "# " + "x" * (17 << 20) + "\n")
    code, said = m.git("merge", "--no-edit", "right")
    tally.check(code == 1 and "NOT KNOWN" in said and m.r.read("dusk.scruple") == joined(LAVENDER, ORANGE), "what follows cannot be looked at", said[:600])
    os.remove(m.r.path("huge.scruple"))
    m.git("merge", "--abort")
    m.r.git("checkout", "-q", "-f", "main")
    m.r.git("config", "merge.conflictStyle", "diff3")
    code, said, text = m.merge(instead(LAVENDER), instead(LAVENDER_8))
    tally.check(code == 1 and "||||||| base\n    6 parts    lavender\n=======" in text, "the base between, where that is asked for", text)
    m.r.git("config", "--unset", "merge.conflictStyle")
    m.r.git("checkout", "-q", "-f", "main")
    with open(m.r.path("dusk.scruple"), "wb") as file:
        file.write(bytes(range(256)))
    m.r.commit("bytes")
    m.r.git("branch", "-f", "bytes")
    m.r.git("reset", "-q", "--hard", "HEAD~1")
    instead(LAVENDER)(m.r)
    m.r.commit("an oil")
    code, said = m.git("merge", "--no-edit", "bytes")
    tally.check(code == 1 and "CONFLICT" in said, "bytes that are no recipe on one side", said)
    m.git("merge", "--abort")


def check_files(tally, folder):
    """The driver by itself: what it writes, and what it leaves alone."""
    def run(base, ours, theirs, *options):
        paths = []
        for name, text in (("base", base), ("ours", ours), ("theirs", theirs)):
            paths.append(os.path.join(folder, name))
            with open(paths[-1], "w", encoding="utf-8") as file:
                file.write(text)
        done = program.run("git", "merge", *options, *paths, cwd=folder, env=stillroom.environment())
        with open(paths[1], encoding="utf-8") as file:
            return done, file.read()

    done, text = run(DUSK, joined(LAVENDER), joined(LAVENDER_8), "--marker-size=12", "--ours-label=mine", "--theirs-label=yours")
    tally.check(done.code == 1 and "<<<<<<<<<<<< mine\n" in text and ">>>>>>>>>>>> yours\n" in text and "============\n" in text, "marks of the size and with the labels asked for", text)
    done = program.run("git", "merge", os.path.join(folder, "base"), os.path.join(folder, "ours"), os.path.join(folder, "nowhere"), cwd=folder)
    tally.check(done.code == 129, "a side that is not there: git is to leave it alone", f"{done.code} {done.err.decode()}")
    locked = os.path.join(folder, "locked")
    os.makedirs(locked, exist_ok=True)
    for name, text in (("base", DUSK), ("ours", joined(LAVENDER)), ("theirs", joined(ORANGE))):
        with open(os.path.join(locked, name), "w", encoding="utf-8") as file:
            file.write(text)
    done = program.run("git", "merge", *(os.path.join(locked, n) for n in ("base", "ours", "theirs")), cwd=locked, file_bytes=10)
    with open(os.path.join(locked, "ours"), encoding="utf-8") as file:
        tally.check(done.code == 129 and file.read() == joined(LAVENDER) and sorted(os.listdir(locked)) == ["base", "ours", "theirs"],
                    "no room: our side stands as it was, and nothing beside it", f"{done.code} {done.err.decode()}")

    # Far apart, git's own merge of lines is the measure.
    chance = random.Random(5)
    for number in range(80):
        blends = [[(chance.randint(1, 40), f"oil_{b}_{i}") for i in range(7)] for b in range(6)]

        def text_of(changes):
            out = []
            for b, rows in enumerate(blends):
                out.append(f"blend b{b} {{\n" + "".join(f"    {changes.get((b, i), parts)} parts    {oil}\n" for i, (parts, oil) in enumerate(rows)) + "}\n")
            return "\n".join(out)

        places = chance.sample(range(6), 4)
        ours = {(places[0], chance.randrange(7)): 50, (places[1], chance.randrange(7)): 51}
        theirs = {(places[2], chance.randrange(7)): 52, (places[3], chance.randrange(7)): 53}
        done, text = run(text_of({}), text_of(ours), text_of(theirs))
        paths = [os.path.join(folder, n) for n in ("gours", "gbase", "gtheirs")]
        for path, body in zip(paths, (text_of(ours), text_of({}), text_of(theirs))):
            with open(path, "w", encoding="utf-8") as file:
                file.write(body)
        lines = subprocess.run(["git", "merge-file", "-p", *paths], capture_output=True, env=stillroom.environment())
        tally.check(done.code == 0 and lines.returncode == 0 and lines.stdout.decode() == text, f"far apart, as git merges lines: {number}", text)

    # Large files: one after another, not each against each.
    rows = [f"blend b{i} {{\n    {i % 30 + 1} parts    lavender\n    2 parts    vetiver\n}}\n" for i in range(10000)]
    ours, theirs = list(rows), list(rows)
    ours[3] = ours[3].replace("2 parts", "5 parts")
    theirs[9990] = theirs[9990].replace("2 parts", "5 parts")
    both = list(ours)
    both[9990] = theirs[9990]
    done, text = run("\n".join(rows), "\n".join(ours), "\n".join(theirs))
    tally.check(done.code == 0 and text == "\n".join(both), f"10,000 blends in one file, in {done.seconds:.1f} s", done.err.decode()[:300])


def main():
    program.need_binary()
    tally = program.Tally()
    with tempfile.TemporaryDirectory() as folder:
        folder = os.path.realpath(folder)
        link = os.path.join(folder, "bin")
        os.makedirs(link)
        os.symlink(program.BINARY, os.path.join(link, "scruple"))
        env = stillroom.environment({"PATH": link + ":" + os.environ["PATH"]})
        check_merges(tally, Merging(os.path.join(folder, "yard"), env))
        os.makedirs(os.path.join(folder, "files"))
        check_files(tally, os.path.join(folder, "files"))
    return tally.close()


if __name__ == "__main__":
    sys.exit(main())
