#!/usr/bin/env python3
"""Input that means harm: every run must end by itself, in bounded time and memory, with an exit status of its own and
findings that a program can read; nothing is ever half-written.

    python3 tests/hostile.py [--seed 5] [--only WORD] [--list]

Bounds are generous, since the machine may be busy: they catch growth with the square of the input, not slowness.
"""
import argparse
import json
import os
import random
import shutil
import socket
import stat
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import generate  # noqa: E402
import program  # noqa: E402

MIB = 1 << 20
GIB = 1 << 30
CLEAN, ERRORS, WRONG_USE, IO_FAILED, DIFFERS = 0, 1, 2, 3, 10

GOOD = b"""blend quay "Quay" {
    3 parts    cedarwood_texas
    2 parts    orange_sweet
}

product quay_oil "Quay oil" {
    blend      quay at 0.6 %
    format     body_oil of 100 ml
    in         jojoba
    make       4
}
"""

# Sizes and depths that the program promises to stop at (compiler/base/limits.h).
FILE_BYTES = 16 * MIB
RUN_BYTES = 256 * MIB
NESTING = 200
IMPORT_DEPTH = 64
FILES = 20000
VARIATION_DEPTH = 32
FORMULA_LINES = 10000
RUN_LINES = 5000000
NAME_BYTES = 255
STRING_BYTES = 64 << 10
ERRORS_PER_FILE = 50
PRINTED = 100
DIGITS = 40


class Case:
    """A fresh folder with a copy of nothing, and the checks that all cases share."""

    def __init__(self, tally, name, folder):
        self.tally = tally
        self.name = name
        self.folder = folder

    def path(self, name=""):
        return os.path.join(self.folder, name)

    def put(self, name, data):
        full = self.path(name)
        os.makedirs(os.path.dirname(full), exist_ok=True)
        with open(full, "wb") as file:
            file.write(data if isinstance(data, bytes) else data.encode("utf-8"))
        return full

    def run(self, *arguments, expect, timeout=20, memory=2 * GIB, rss=None, label=None, **more):
        """Runs and checks the ending; `expect` is the exit statuses that are right."""
        done = program.run(*arguments, timeout=timeout, memory=memory, cwd=more.pop("cwd", self.folder), **more)
        what = f"{self.name}: {label + ': ' if label else ''}{' '.join(str(a) for a in arguments)[:90]}"
        expect = expect if isinstance(expect, tuple) else (expect,)
        good = self.tally.check(done.code in expect, f"{what}: {done.ending()}, and {' or '.join(map(str, expect))} is right",
                                done.err[:600].decode("utf-8", "replace") + done.out[:600].decode("utf-8", "replace"))
        if rss and good:
            self.tally.check(done.rss <= rss, f"{what}: {done.rss / 1e6:.0f} MB, and {rss / 1e6:.0f} MB is enough")
        for stream in (done.out, done.err):
            try:
                stream.decode("utf-8")
            except UnicodeDecodeError as error:
                self.tally.check(False, f"{what}: what it prints is UTF-8", str(error))
        if done.seconds > 2:
            print(f"  slow: {done.seconds:.1f} s, {done.rss / 1e6:.0f} MB: {what}")
        return done

    def check(self, *arguments, codes=(), without=(), expect=(CLEAN, ERRORS), **more):
        """`check --diagnostics json`: the codes that must be there, and those that must not."""
        done = self.run("check", *(arguments or ("c",)), "--diagnostics", "json", expect=expect, **more)
        if done.code is None or done.code < 0 or done.code in (WRONG_USE, 70):
            return []
        try:
            found = done.diagnostics()
        except (ValueError, KeyError) as error:
            self.tally.check(False, f"{self.name}: the findings are JSON", f"{error}\n{done.out[:400]!r}")
            return []
        names = [d["code"] for d in found]
        for code in codes:
            self.tally.check(code in names, f"{self.name}: `{code}` is found", "\n".join(
                f"{d['code']}: {d['message'][:160]}" for d in found[:12]) or "nothing was found")
        for code in without:
            self.tally.check(code not in names, f"{self.name}: `{code}` is not found",
                             "\n".join(f"{d['code']}: {d['message'][:160]}" for d in found if d["code"] == code)[:600])
        has_errors = any(d["severity"] == "error" for d in found)
        self.tally.check(has_errors == (done.code != CLEAN), f"{self.name}: exit status {done.code} goes with its findings")
        return found


CASES = []


def case(function):
    CASES.append(function)
    return function


# Bytes ----------------------------------------------------------------------------------------------------------------

@case
def random_bytes(c):
    chance = random.Random(c.seed)
    words = ("blend product { } , .. % parts 3 0.5 2/3 \" # ## \n oil base in at of 10 ml lavender rest by weight phase "
             "use let = unit like none \\ \t \r\n ½ ° – \u200b \u0430").split(" ")
    good = GOOD.decode()
    for number in range(150):
        kind = number % 5
        if kind == 0:
            data = bytes(chance.randrange(256) for _ in range(chance.randrange(1, 4000)))
        elif kind == 1:
            data = " ".join(chance.choice(words) for _ in range(chance.randrange(1, 1500))).encode()
        elif kind == 2:
            data = bytearray(good * 3, "utf-8")
            for _ in range(chance.randrange(1, 12)):
                data[chance.randrange(len(data))] = chance.randrange(256)
            data = bytes(data)
        elif kind == 3:
            pieces = [good[i:i + chance.randrange(1, 40)] for i in range(0, len(good), 20)]
            chance.shuffle(pieces)
            data = "".join(pieces).encode()
        else:
            data = bytes(chance.choice(b"{}\",.#%\n 0a\xc3\x28\x00") for _ in range(chance.randrange(1, 3000)))
        c.put("c/x.scruple", data)
        form = ("json", "text", "sarif")[number % 3]
        done = c.run("check", "c", "--diagnostics", form, expect=(CLEAN, ERRORS), timeout=10, rss=200e6)
        if form != "text" and done.code in (CLEAN, ERRORS):
            try:
                json.loads(done.out)
                c.tally.check(True, "")
            except ValueError as error:
                c.tally.check(False, f"random bytes {number}: {form} is JSON", str(error))
        c.run("build", "c", "--to", ("sheet", "json", "csv", "markdown")[number % 4], expect=(CLEAN, ERRORS), timeout=10)


@case
def invalid_utf8(c):
    for number, bad in enumerate((b"\xff", b"\xc0\xaf", b"\xed\xa0\x80", b"\xf4\x90\x80\x80", b"\xe2\x82", b"\x80")):
        c.put("c/x.scruple", b"# caf" + bad + b"\n" + GOOD)
        found = c.check(codes=["invalid_utf8"], expect=ERRORS)
        c.tally.check(any(d["code"] == "invalid_utf8" and d["range"] and d["range"]["start"]["line"] == 0 for d in found),
                      f"invalid bytes {number} are located")
    c.put("c/x.scruple", GOOD.decode().encode("utf-16"))
    c.check(expect=ERRORS)


@case
def nul_bytes(c):
    c.put("c/x.scruple", b"blend a\x00b {\n    1 part     lavender\n}\n")
    c.check(codes=["nul_byte"], expect=ERRORS)
    c.put("c/x.scruple", b"\x00" * 100000)
    c.check(codes=["nul_byte"], expect=ERRORS, timeout=10)


@case
def other_line_ends(c):
    for data in (GOOD.replace(b"\n", b"\r\n"), b"\xef\xbb\xbf" + GOOD):
        c.put("c/x.scruple", data)
        c.check(expect=CLEAN)
    for data in (GOOD.replace(b"\n", b"\r"), b"", b"\xef\xbb\xbf", b"\n", b"#", b"##", b"{", b"}", b'"', b"\\", b",", b"..", b"%"):
        c.put("c/x.scruple", data)
        c.check()


@case
def deep_braces(c):
    c.put("c/x.scruple", b"blend a {" * 100000)
    c.check(codes=["nested_too_deep"], expect=ERRORS, timeout=20, rss=400e6)
    c.put("c/x.scruple", b"{" * 100000)
    c.check(expect=ERRORS, rss=400e6)
    c.put("c/x.scruple", b"a {\n" * 100000 + b"}\n" * 100000)
    c.check(codes=["nested_too_deep"], expect=ERRORS, rss=400e6)
    c.put("c/x.scruple", b"}" * 1000000)
    c.check(expect=ERRORS, rss=400e6)


@case
def long_lines(c):
    c.put("c/x.scruple", b"a" * (50 * 1000 * 1000))
    c.check(codes=["file_too_large"], expect=IO_FAILED, rss=200e6)
    for number, unit in enumerate((b"a", b"1", b"a ", b"1 ", b",", b'"', b"..", b"{ ", b"} ", b"%", b"\xc2\xbd", b"3 parts x ", b"# ", b"1,", b"\\", b".")):
        count = (FILE_BYTES - 100) // len(unit)
        c.put("c/x.scruple", b"blend a {\n    " + unit * count)
        if number % 2:
            c.check(expect=(CLEAN, ERRORS), timeout=60, memory=4 * GIB, rss=60 * FILE_BYTES, label=repr(unit))
            continue
        done = c.run("check", "c", expect=(CLEAN, ERRORS), timeout=60, memory=4 * GIB, rss=60 * FILE_BYTES, label=repr(unit))
        c.tally.check(len(done.err) < 200000, f"long line of {unit!r}: findings on the screen stay short", f"{len(done.err)} bytes")
    # Rows beside the brace of a block whose head is wrong, all on one line
    c.put("c/x.scruple", b"base a of { " + b" b c;" * 1_500_000 + b"}\n")
    c.check(expect=ERRORS, timeout=60, memory=4 * GIB, rss=60 * FILE_BYTES, label="rows on the line of a brace")


@case
def many_rows(c):
    """A great many rows or declarations, each wrong: nothing may grow with the square."""
    shapes = {
        "unknown names": (b"blend a {\n", b"    1 part     zz%07d\n", b"}\n"),
        "doubled names": (b"", b"let same = 1 g # %07d\n", b""),
        "names near each other": (b"", b"let nearly_%07d = 1 g\n", b"blend a {\n    1 part     nearly_000000x\n}\n"),
        "doubled rows": (b"blend a {\n", b"    1 part     lavender # %07d\n", b"}\n"),
        "unknown fields": (b"oil a {\n", b"    densty%07d 1 g/ml\n", b"}\n"),
        "unknown kinds": (b"", b"blnd b%07d {\n}\n", b""),
        "blends without rows": (b"", b"blend b%07d {\n}\n", b""),
        "unknown units": (b"blend a {\n", b"    1 prt%07d lavender\n", b"}\n"),
        "doc lines": (b"", b"## nothing %07d\n", b""),
        "rows of a bench": (b"bench a {\n", b"    add        1 drop lavender # %07d\n", b"}\n"),
        "wrong rows of a bench": (b"bench a {\n", b"    add        zz%07d\n", b"}\n"),
        "blends from one mark": (b"bench a {\n" + b"    add        1 drop lavender, 2 drops geranium\n" * 900 + b"    mark       m\n}\n",
                                 b"blend b%07d from a at m {\n    remark     \"x\"\n}\n", b""),
        "marks that are not there": (b"bench a {\n    add        1 drop lavender\n    mark       m\n}\n",
                                     b"blend b%07d from a at n {\n    remark     \"x\"\n}\n", b""),
        "one long list": (b"blend a {\n    intent  calming,\n", b"        x%07d,\n", b"        y\n}\n"),
    }
    for name, (head, row, tail) in shapes.items():
        times = []
        for size in (MIB // 4, 2 * MIB):
            count = size // (len(row) + 4)
            c.put("c/x.scruple", head + b"".join(row % i for i in range(count)) + tail)
            done = c.run("check", "c", "--diagnostics", "json", expect=(CLEAN, ERRORS), timeout=30, memory=4 * GIB,
                         label=name)
            times.append(done.seconds)
        c.tally.check(times[1] <= 8 * 3 * max(times[0], 0.05), f"{name}: eight times as much takes {times[1]:.1f} s after {times[0]:.1f} s")


@case
def long_rows_laid_out(c):
    """Rows that take as long to lay out as a file may be: nothing may grow with the square here either."""
    shapes = {
        "a list of names": ("blend a {\n intent x", ", a%d", "\n}\n"),
        "a list of amounts": ("blend a {\n in 1 % x", ", 1 %% a%d", "\n}\n"),
        "a list with comments": ("bench a {\n add 1 drop x", ", # \u00e9 %d\n 1 drop y \"\u00e9\"", "\n}\n"),
        "columns in one row": ('prices "P" on 2026-01-01 {\n x "\u00e9"', " for b%d", "\n}\n"),
        "clauses": ("line a of b {\n 1 x of 1 ml", " at a in b as c%d", "\n}\n"),
        "rows": ("blend a {\n", " 1 part a%d # \u00e9\n", "}\n"),
        "blocks on a line": ("", 'cite c%d "x" {standing  practice}\n', ""),
        "remarks": ("bench a {\n", " mark  a%d \"\u00e9\"\n", "}\n"),
        "broken declarations": ("", "blend a%d {\n 1,5 parts  x\n}\n", ""),
    }
    for name, (head, piece, tail) in shapes.items():
        body = "".join(piece % i for i in range(2 * MIB // len(piece)))
        c.put("c/x.scruple", head + body + tail)
        for more in (["--diff"], ["--diff", "--lines", "2:3", "--lines", "40:5000"]):
            c.run("format", *more, "c/x.scruple", expect=(CLEAN, ERRORS, DIFFERS), timeout=10, rss=40 * 2 * MIB, label=name)


@case
def distinct_unknown_names(c):
    """Each unknown name looks for its nearest among all that are there."""
    times = []
    for count in (2000, 16000):
        rows = [f"oil own_{i:06d} {{\n    density    0.9 g/ml\n}}\nblend b_{i:06d} {{\n    1 part     won_{i:06d}\n}}\n"
                for i in range(count)]
        for number in range(count // 40):  # few errors a file, so that none is cut short
            c.put(f"c/x{number}.scruple", "".join(rows[number * 40:number * 40 + 40]))
        done = c.run("check", "c", "--diagnostics", "json", expect=ERRORS, timeout=120, memory=8 * GIB)
        times.append(done.seconds)
        shutil.rmtree(c.path("c"))
    c.tally.check(times[1] <= 8 * 4 * max(times[0], 0.05), f"unknown names: eight times as many take {times[1]:.1f} s after {times[0]:.1f} s")


# Recursion ------------------------------------------------------------------------------------------------------------

@case
def long_chains(c):
    """What refers to what refers to what: no stack may run out."""
    count = 20000
    chains = {
        "oils like oils": ("oil o0 {\n    density    0.9 g/ml\n}\n", "oil o%d like o%d {\n    flash      50 C\n}\n"),
        "ingredients": ("ingredient o0 {\n    density    0.9 g/ml\n}\n", "ingredient o%d like o%d {\n    keeps      9 months\n}\n"),
        "formats": ("format o0 like body_oil {\n    keeps      9 months\n}\n", "format o%d like o%d {\n    keeps      9 months\n}\n"),
        "bases like bases": ("base o0 {\n    100 %      jojoba\n}\n", "base o%d like o%d {\n    remark     \"x\"\n}\n"),
        "blends in blends": ("blend o0 {\n    1 part     lavender\n}\n", "blend o%d {\n    1 part     o%d\n    1 part     lavender\n}\n"),
        "bases in bases": ("base o0 {\n    100 %      jojoba\n}\n", "base o%d {\n    100 %      o%d\n}\n"),
        "units of units": ("unit u0 = 1 g\n", "unit u%d = 1 u%d\n"),
        "growing units": ("unit u0 = 2 g\n", "unit u%d = 2 u%d\n"),
        "lets of lets": ("let o0 = 1 g\n", "let o%d = o%d\n"),
        "groups": ("group o0 {\n    members    linalool\n}\n", "group o%d {\n    members    o%d\n}\n"),
        "categories": ("category o0 {\n    within     skin\n}\n", "category o%d {\n    within     o%d\n}\n"),
        "variations": ("blend o0 {\n    1 part     lavender\n}\n", "variation o%d of o%d {\n    add        1 part geranium\n}\n"),
        "benches": ("bench o0 {\n    add        1 drop lavender\n    mark       m\n}\n",
                    "bench o%d from o%d at m {\n    add        1 drop geranium\n    mark       m\n}\n"),
        "benches of thirds": ("bench o0 {\n    add        1 drop lavender\n    mark       m\n}\n",
                              "bench o%d from o%d at m taking 1/3 {\n    mark       m\n}\n"),
        "substances": ("substance o0 {\n    cas        \"78-70-6\"\n}\n", "substance o%d like o%d {\n}\n"),
    }
    for name, (head, row) in chains.items():
        for upward in (True, False):
            rows = [row.replace("%d", str(i), 1).replace("%d", str(i - 1)) for i in range(1, count)]
            if not upward:
                rows.reverse()
            c.put("c/x.scruple", head + "".join(rows))
            c.run("check", "c", "--diagnostics", "json", expect=(CLEAN, ERRORS), timeout=10, memory=4 * GIB,
                  label=f"{name}, {'upward' if upward else 'downward'}")


@case
def circles(c):
    circles = {
        "blend a {\n    1 part     b\n}\nblend b {\n    1 part     a\n}\n": "variation_cycle",
        "blend a {\n    1 part     a\n}\n": "variation_cycle",
        "variation a of b {\n    add        1 part lavender\n}\nvariation b of a {\n    add        1 part geranium\n}\n": "variation_cycle",
        "variation a of a {\n    add        1 part lavender\n}\n": "variation_cycle",
        "base a {\n    100 %      b\n}\nbase b {\n    100 %      a\n}\n": "base_cycle",
        "base a {\n    100 %      a\n}\n": "base_cycle",
        "oil a like b {\n    flash      50 C\n}\noil b like a {\n    flash      50 C\n}\n": "like_cycle",
        "oil a like a {\n    flash      50 C\n}\n": "like_cycle",
        "format a like a {\n    keeps      9 months\n}\n": "like_cycle",
        "base a like b {\n    remark     \"x\"\n}\nbase b like a {\n    remark     \"x\"\n}\n": "like_cycle",
        "unit a = 1 b\nunit b = 1 a\n": None,
        "unit a = 1 a\n": None,
        "let a = b\nlet b = a\n": None,
        "group a {\n    members    b\n}\ngroup b {\n    members    a\n}\n": None,
        "category a {\n    within     b\n}\ncategory b {\n    within     a\n}\n": None,
        "blend a {\n    1 part     b\n}\nvariation b of a {\n    add        1 part lavender\n}\n": "variation_cycle",
        "bench a from b at m {\n    mark       m\n}\nbench b from a at m {\n    mark       m\n}\n": "bench_cycle",
        "bench a from a at m {\n    mark       m\n}\n": "bench_cycle",
        "bench a {\n    add        1 drop b\n    mark       m\n}\nblend b from a at m {\n    remark     \"x\"\n}\n": None,
        "bench a {\n    strip      b\n    add        1 drop lavender\n    mark       m\n}\nblend b from a at m {\n    remark     \"x\"\n}\n":
            "bench_cycle",
        "oil a {\n    diluted    10 % in b\n}\noil b {\n    diluted    10 % in a\n}\n": None,
    }
    for text, code in circles.items():
        c.put("c/x.scruple", text)
        c.check(codes=[code] if code else [], expect=ERRORS if code else (CLEAN, ERRORS))


@case
def blow_up(c):
    """A few lines that would be a great many, or figures that no machine holds."""
    rows = ['blend b0 {\n    1 part     lavender\n    2 parts    geranium\n}\n']
    rows += [f"blend b{i} {{\n    3 parts    b{i - 1}\n    7 parts    b{max(i - 2, 0)}\n    2 parts    orange_sweet\n}}\n" for i in range(1, 300)]
    c.put("c/x.scruple", "".join(r for i, r in enumerate(rows) if i != 1) + "blend b1 {\n    1 part     b0\n}\n")
    c.check(timeout=20, rss=300e6)
    rows = ["blend b0 {\n" + "".join(f"    {i + 2} parts    {oil}\n" for i, oil in enumerate(generate.library_oils()[:100])) + "}\n"]
    rows += [f"blend b{i} {{\n    101 parts  b{i - 1}\n    103 parts  lavender\n}}\n" for i in range(1, 200)]
    c.put("c/x.scruple", "".join(rows))
    c.check(timeout=20, rss=300e6)
    big = "9" * DIGITS
    for row in (f"{big} parts    lavender", f"{big} drops    lavender", f"1/{big} parts    lavender", f"{big}/7 parts    lavender",
                f"0.{big[:39]} parts lavender"):
        c.put("c/x.scruple", "blend a {\n    " + row + f"\n    {'7' * 39} parts geranium\n    1/{'3' * 39} parts vetiver\n}}\n"
              "product p {\n    blend      a at 1 %\n    format     body_oil of 100 ml\n    in         jojoba\n}\n")
        c.check()
        c.run("build", "c", "--to", "json", expect=(CLEAN, ERRORS))


@case
def strange_figures(c):
    """Every figure of a product at its extremes: an answer or a finding, never a fault or a figure that is none."""
    load = ["at 0 %", "at 100 %", "at 99.999999999999 %", "at 0.0000000000000000000000000000000000001 %", "at neat", "at 101 %",
            "at -1 %", "using 0 ml", "using 99999999999999999 ml", "using 100 ml", "up to 1 drop", "up to 100000 drops",
            "between 1 and 100000 drops", "between 0 and 0 drops", "between 9 and 3 drops", "up to 99999999999999999999 drops",
            "at 1 ppb", "at 1/3 %", "at 5 % v/v", "at 100 % v/v", "at 50 % of base", "at 100 % of base", "at 900 % of base",
            "at 5 % of wax", "at 5 % of fats"]
    size = ["10 ml", "0 ml", "0.00000000000000000000000000000001 ml", "99999999999999999999999999999999999999 ml", "-3 ml", "1 kg",
            "1/3 ml", "1 drop"]
    make = ["1", "0", "-5", "1000000", "99999999999999999999999999", "2.5", "1/3"]
    scale = ["0.01 g up to 10 kg", "0.0000000000000000000001 g up to 1 g", "0 g up to 1 g", "5 kg up to 1 g", "1 kg up to 2 kg"]
    dropper = ["20 drops/ml", "0 drops/ml", "0.0000001 drops/ml", "99999999999999999 drops/ml"]
    density = ["0.9 g/ml", "0 g/ml", "-1 g/ml", "0.00000000000000000001 g/ml", "99999999999999 g/ml", "5..1 g/ml"]
    base = {"load": load[0], "size": size[0], "make": make[0], "scale": scale[0], "dropper": dropper[0], "density": density[0]}
    base["load"] = "at 1 %"
    for name, values in (("load", load), ("size", size), ("make", make), ("scale", scale), ("dropper", dropper), ("density", density)):
        for value in values:
            f = dict(base)
            f[name] = value
            c.put("c/x.scruple", f"""workshop "W" {{
    weighs_to  {f['scale']}
    dropper    {f['dropper']}
}}
oil own {{
    density    {f['density']}
}}
blend a {{
    3 drops    own
    7 drops    lavender
    11 drops   vetiver
}}
product p {{
    blend      a {f['load']}
    format     body_oil of {f['size']}
    in         60 % jojoba, rest squalane
    make       {f['make']}
}}
""")
            for form in ("json", "sheet"):
                done = c.run("build", "c", "--to", form, expect=(CLEAN, ERRORS), timeout=10, rss=200e6)
                text = done.out.decode("utf-8", "replace").lower()
                words = set(text.replace('"', " ").replace(",", " ").replace(":", " ").split())
                c.tally.check(not words & {"nan", "inf", "-nan", "-inf", "infinity"}, f"{name} {value}: no figure that is none in {form}",
                              "\n".join(line for line in text.split("\n") if "nan" in line.split() or "inf" in line.split())[:400])
                if form == "json" and done.out:
                    try:
                        json.loads(done.out, parse_constant=lambda x: (_ for _ in ()).throw(ValueError(x)))
                        c.tally.check(True, "")
                    except ValueError as error:
                        c.tally.check(False, f"{name} {value}: the document is JSON", str(error))


# Files ----------------------------------------------------------------------------------------------------------------

@case
def not_files(c):
    c.put("c/good.scruple", GOOD)
    os.mkfifo(c.path("c/pipe.scruple"))
    c.check(codes=["cannot_read"], expect=IO_FAILED, timeout=5)
    c.check("c/pipe.scruple", codes=["cannot_read"], expect=IO_FAILED, timeout=5)
    os.remove(c.path("c/pipe.scruple"))
    with socket.socket(socket.AF_UNIX) as plug:
        plug.bind(c.path("c/plug.scruple"))
        c.check(codes=["cannot_read"], expect=IO_FAILED, timeout=5)
        os.remove(c.path("c/plug.scruple"))
    os.mkdir(c.path("c/folder.scruple"))
    c.check(expect=CLEAN)
    for device in ("/dev/zero", "/dev/null", "/dev/full", "/dev/stdin", "/dev/tty"):
        c.check(device, expect=(IO_FAILED, ERRORS), timeout=5)
        c.check("--alone", device, expect=(IO_FAILED, ERRORS), timeout=5)
    for name in ("/proc/self/mem", "/proc/self/maps", "/proc/kmsg", "/sys/kernel/notes"):
        if os.path.exists(name):
            c.check(name, expect=(IO_FAILED, ERRORS), timeout=5, rss=200e6)
            c.check("--alone", name, expect=(IO_FAILED, ERRORS, CLEAN), timeout=5, rss=200e6)
    for name in ("nowhere", "c/nowhere.scruple", "", "c/good.scruple/x", "a" * 5000, "x\ny", "--", "c/../../../../../../etc"):
        c.run("check", name, expect=(IO_FAILED, ERRORS, WRONG_USE, CLEAN), timeout=10)


@case
def unreadable(c):
    c.put("c/good.scruple", GOOD)
    hidden = c.put("c/hidden.scruple", GOOD.replace(b"quay", b"key"))
    os.chmod(hidden, 0)
    nobody = 65534 if os.geteuid() == 0 else None
    c.check(codes=["cannot_read"], expect=IO_FAILED, user=nobody, binary=c.binary)
    found = c.check("c/good.scruple", expect=IO_FAILED, user=nobody, binary=c.binary)
    c.tally.check(any(d["code"] == "cannot_read" for d in found), "what cannot be read is said whatever is selected")
    os.chmod(hidden, 0o644)
    os.makedirs(c.path("c/locked"))
    c.put("c/locked/x.scruple", GOOD.replace(b"quay", b"lock"))
    os.chmod(c.path("c/locked"), 0)
    c.check(codes=["cannot_read"], expect=IO_FAILED, user=nobody, binary=c.binary)
    os.chmod(c.path("c/locked"), 0o755)


@case
def folder_loops(c):
    c.put("c/good.scruple", GOOD)
    os.makedirs(c.path("c/deep/er"))
    os.symlink("../..", c.path("c/deep/er/up"))
    c.check(codes=["folder_loop"], expect=ERRORS, timeout=5)
    os.remove(c.path("c/deep/er/up"))
    os.symlink("self", c.path("c/self"))
    os.symlink("self.scruple", c.path("c/self.scruple"))
    c.check(timeout=5, expect=(CLEAN, ERRORS, IO_FAILED))
    os.remove(c.path("c/self"))
    os.remove(c.path("c/self.scruple"))
    os.makedirs(c.path("c/a"))
    os.makedirs(c.path("c/b"))
    os.symlink("../b", c.path("c/a/b"))
    os.symlink("../a", c.path("c/b/a"))
    c.check(timeout=5)
    os.symlink("/", c.path("c/all"))
    c.check(codes=["outside_root"], expect=ERRORS, timeout=5)
    os.remove(c.path("c/all"))
    os.symlink("/dev/zero", c.path("c/zero.scruple"))
    c.check(expect=(ERRORS, IO_FAILED), timeout=5, rss=200e6)
    os.remove(c.path("c/zero.scruple"))
    os.symlink("/etc/passwd", c.path("c/secret.scruple"))
    found = c.check(codes=["outside_root"], expect=ERRORS, timeout=5)
    c.tally.check("root:" not in json.dumps(found), "nothing of a file outside is shown")
    os.remove(c.path("c/secret.scruple"))
    os.symlink("nowhere.scruple", c.path("c/dangling.scruple"))
    c.check(timeout=5, expect=(CLEAN, ERRORS, IO_FAILED))


@case
def deep_folders(c):
    at = c.path("c")
    os.makedirs(at)
    here = os.getcwd()
    os.chdir(at)
    for _ in range(2060):  # deeper than a path may be long
        os.mkdir("d")
        os.chdir("d")
    with open("x.scruple", "wb") as file:
        file.write(GOOD)
    os.chdir(here)
    c.check(expect=(CLEAN, ERRORS, IO_FAILED), timeout=30)
    subprocess.run(["rm", "-rf", at], check=True)


@case
def imports(c):
    use = 'use "%s" as other\n'
    os.makedirs(c.path("repo/.git"))
    c.put("repo/c/collection.scruple", use % "../shelf")
    c.put("repo/shelf/collection.scruple", GOOD)
    c.check("repo/c", expect=CLEAN)
    c.put("outside/collection.scruple", b"blend secret {\n    1 part     lavender\n}\n")
    for where, codes in (("../../outside", ["outside_root"]), ("/etc", ["outside_root"]), ("../nowhere", ["import_not_found"]),
                         ("../shelf/collection.scruple", ["import_not_found"]), ("../../../../../../../..", ["outside_root"]),
                         ("..\\\\shelf", ["outside_root"]), (".", ["import_cycle"]), ("", ["outside_root"])):
        c.put("repo/c/collection.scruple", use % where)
        c.check("repo/c", codes=codes, expect=ERRORS)
    os.symlink("../outside", c.path("repo/link"))
    c.put("repo/c/collection.scruple", use % "../link")
    found = c.check("repo/c", codes=["outside_root"], expect=ERRORS)
    c.tally.check("secret" not in json.dumps(found), "nothing of a folder outside is shown")
    os.symlink("../../outside/collection.scruple", c.path("repo/shelf/linked.scruple"))
    c.put("repo/c/collection.scruple", use % "../shelf")
    c.check("repo/c", codes=["outside_root"], expect=ERRORS)
    os.remove(c.path("repo/shelf/linked.scruple"))
    c.put("repo/shelf/collection.scruple", use % "../c")
    c.check("repo/c", codes=["import_cycle"], expect=ERRORS)
    c.put("repo/shelf/collection.scruple", use % "../shelf")
    c.check("repo/c", codes=["import_cycle"], expect=ERRORS)
    os.mkfifo(c.path("repo/pipe"))
    c.put("repo/c/collection.scruple", use % "../pipe")
    c.check("repo/c", codes=["import_not_found"], expect=ERRORS, timeout=5)


@case
def strange_names(c):
    for number, name in enumerate((b"caf\xe9.scruple", b"new\nline.scruple", b"-dash.scruple", b"\x1b[31mred.scruple", b" .scruple",
                                   b'q"uote.scruple', "\u202eerif.scruple".encode(), b"a" * 240 + b".scruple", b".scruple")):
        folder = c.path(f"c{number}")
        os.makedirs(folder)
        with open(os.fsencode(folder) + b"/" + name, "wb") as file:
            file.write(b"blend a {\n    1 part     nothing_such\n}\n")
        c.check(f"c{number}")
        done = c.run("check", f"c{number}", expect=(CLEAN, ERRORS))
        c.tally.check(b"\x1b" not in done.err + done.out, f"file name {name!r}: no control characters reach the terminal")
        c.run("check", f"c{number}", "--diagnostics", "sarif", expect=(CLEAN, ERRORS))
    c.put("c/x.scruple", b"blend a {\n    1 part     \x1b]0;title\x07 nothing\x1b[2J\n}\n")
    done = c.run("check", "c", expect=ERRORS)
    c.tally.check(b"\x1b" not in done.err + done.out and b"\x07" not in done.err, "no control characters of a recipe reach the terminal")


# Limits: at N it passes, at N + 1 it has its own code -----------------------------------------------------------------------

@case
def limit_file_bytes(c):
    line = b"# " + b"x" * 97 + b"\n"
    data = GOOD + line * (FILE_BYTES // len(line))
    c.put("c/x.scruple", data[:FILE_BYTES])
    c.check(without=["file_too_large"], expect=CLEAN, timeout=60, rss=25 * FILE_BYTES)
    c.put("c/x.scruple", data[:FILE_BYTES] + b"\n")
    c.check(codes=["file_too_large"], expect=IO_FAILED)


@case
def limit_run_bytes(c):
    line = b"# " + b"x" * 997 + b"\n"
    block = (line * (FILE_BYTES // len(line) + 1))[:FILE_BYTES]
    for number in range(RUN_BYTES // FILE_BYTES):
        c.put(f"c/x{number:02d}.scruple", block)
    c.check(without=["run_too_large"], expect=(CLEAN, ERRORS), timeout=120, memory=8 * GIB, rss=4 * RUN_BYTES)
    c.put("c/z.scruple", b"\n")
    c.check(codes=["run_too_large"], expect=IO_FAILED, timeout=120, memory=8 * GIB)
    shutil.rmtree(c.path("c"))


@case
def limit_nesting(c):
    for depth, codes, without in ((NESTING, [], ["nested_too_deep"]), (NESTING + 1, ["nested_too_deep"], [])):
        c.put("c/x.scruple", b"blend a {\n" + b"x {\n" * (depth - 1) + b"}\n" * depth)
        c.check(codes=codes, without=without, expect=ERRORS)


@case
def limit_import_depth(c):
    os.makedirs(c.path(".git"))
    for number in range(IMPORT_DEPTH + 2):
        c.put(f"c{number}/collection.scruple", f'use "../c{number + 1}" as next\n')
    for last, codes, without in ((IMPORT_DEPTH, [], ["import_too_deep"]), (IMPORT_DEPTH + 1, ["import_too_deep"], [])):
        c.put(f"c{last}/collection.scruple", GOOD)
        c.check("c0", codes=codes, without=without, expect=ERRORS if codes else CLEAN)
        c.put(f"c{last}/collection.scruple", f'use "../c{last + 1}" as next\n')


@case
def limit_files(c):
    os.makedirs(c.path("c"))
    for number in range(FILES):
        with open(c.path(f"c/x{number:05d}.scruple"), "wb") as file:
            file.write(b"#\n")
    c.check(without=["too_many_files"], expect=(CLEAN, ERRORS), timeout=60)
    c.put("c/y.scruple", b"#\n")
    c.check(codes=["too_many_files"], expect=IO_FAILED, timeout=60)


@case
def limit_variation_depth(c):
    for depth, codes in ((VARIATION_DEPTH, []), (VARIATION_DEPTH + 1, ["variation_too_deep"])):
        rows = ["blend v0 {\n    1 part     lavender\n}\n"]
        rows += [f"variation v{i} of v{i - 1} {{\n    set        {i + 1} parts lavender\n}}\n" for i in range(1, depth + 1)]
        c.put("c/x.scruple", "".join(rows))
        c.check(codes=codes, without=[] if codes else ["variation_too_deep"], expect=ERRORS if codes else (CLEAN, ERRORS))


def many_oils(count):
    return "".join(f"oil o{i} {{\n    density    0.9 g/ml\n}}\n" for i in range(count))


@case
def limit_formula_lines(c):
    for count, codes in ((FORMULA_LINES, []), (FORMULA_LINES + 1, ["formula_too_long"])):
        c.put("c/x.scruple", many_oils(count) + "blend a {\n" + "".join(f"    1 part     o{i}\n" for i in range(count)) + "}\n")
        c.check(codes=codes, without=[] if codes else ["formula_too_long"], expect=ERRORS if codes else CLEAN, timeout=60, memory=4 * GIB)
    # The same through blends in blends.
    half = FORMULA_LINES // 2
    for extra, codes in ((0, []), (1, ["formula_too_long"])):
        text = many_oils(FORMULA_LINES + extra)
        text += "blend a {\n" + "".join(f"    1 part     o{i}\n" for i in range(half)) + "}\n"
        text += "blend b {\n" + "".join(f"    1 part     o{i}\n" for i in range(half, FORMULA_LINES + extra)) + "}\n"
        text += "blend c {\n    1 part     a\n    1 part     b\n}\n"
        c.put("c/x.scruple", text)
        c.check(codes=codes, without=[] if codes else ["formula_too_long"], expect=ERRORS if codes else CLEAN, timeout=60, memory=4 * GIB)


@case
def limit_run_lines(c):
    for blends, codes in ((RUN_LINES // FORMULA_LINES, []), (RUN_LINES // FORMULA_LINES + 1, ["run_too_long"])):
        text = many_oils(FORMULA_LINES) + "blend a0 {\n" + "".join(f"    1 part     o{i}\n" for i in range(FORMULA_LINES)) + "}\n"
        text += "".join(f"blend a{i} {{\n    1 part     a0\n}}\n" for i in range(1, blends))
        c.put("c/x.scruple", text)
        c.check(codes=codes, without=[] if codes else ["run_too_long"], expect=ERRORS if codes else CLEAN, timeout=40, memory=12 * GIB)


@case
def limit_names_and_strings(c):
    for count, codes in ((NAME_BYTES, []), (NAME_BYTES + 1, ["name_too_long"])):
        c.put("c/x.scruple", f"blend {'a' * count} {{\n    1 part     lavender\n}}\n")
        c.check(codes=codes, without=[] if codes else ["name_too_long"], expect=ERRORS if codes else CLEAN)
    for count, codes in ((STRING_BYTES, []), (STRING_BYTES + 1, ["string_too_long"])):
        c.put("c/x.scruple", f"blend a \"{'a' * count}\" {{\n    1 part     lavender\n}}\n")
        c.check(codes=codes, without=[] if codes else ["string_too_long"], expect=ERRORS if codes else CLEAN)
        c.run("build", "c", expect=ERRORS if codes else CLEAN)
    for count, codes in ((DIGITS, []), (DIGITS + 1, ["number_too_long"])):
        c.put("c/x.scruple", f"blend a {{\n    0.{'3' * (count - 1)} parts lavender\n}}\n")
        c.check(codes=codes, without=[] if codes else ["number_too_long"], expect=(CLEAN, ERRORS))


@case
def limit_errors_listed(c):
    row = "let x%d = 1,5 g\n"
    for count, codes in ((ERRORS_PER_FILE, []), (ERRORS_PER_FILE + 1, ["too_many_errors"])):
        c.put("c/x.scruple", "".join(row % i for i in range(count)))
        c.check(codes=codes, without=[] if codes else ["too_many_errors"], expect=ERRORS)
    c.put("c/x.scruple", "".join(row % i for i in range(50)))
    c.put("c/y.scruple", "".join(row % (100 + i) for i in range(50)))
    done = c.run("check", "c", expect=ERRORS)
    c.tally.check(b"not shown" not in done.err and done.err.count(b"error") >= PRINTED, f"{PRINTED} findings are all printed", done.err[-300:])
    c.put("c/z.scruple", row % 999)
    done = c.run("check", "c", expect=ERRORS)
    c.tally.check(b"1 more not shown" in done.err, f"of {PRINTED + 1} findings one is counted", done.err[-300:])
    done = c.run("check", "c", "--diagnostics", "json", expect=ERRORS)
    c.tally.check(len(done.diagnostics()) == PRINTED + 1, "as JSON they are all there")


# Writing --------------------------------------------------------------------------------------------------------------

def tree_of(folder):
    out = {}
    for at, _, names in os.walk(folder):
        for name in names:
            full = os.path.join(at, name)
            if stat.S_ISREG(os.lstat(full).st_mode):
                with open(full, "rb") as file:
                    out[os.path.relpath(full, folder)] = file.read()
    return out


@case
def full_disk(c):
    c.put("c/x.scruple", GOOD)
    for form in ("sheet", "json", "csv", "markdown"):
        c.run("build", "c", "--to", form, "--out", f"out_{form}", expect=CLEAN)
        before = tree_of(c.path(f"out_{form}"))
        c.put("c/x.scruple", GOOD.replace(b"make       4", b"make       9"))
        done = c.run("build", "c", "--to", form, "--out", f"out_{form}", expect=IO_FAILED, file_bytes=64)
        c.tally.check(done.err.strip() != b"", f"full disk, {form}: it says so")
        c.tally.check(tree_of(c.path(f"out_{form}")) == before, f"full disk, {form}: the old files stand, and nothing is left beside them",
                      "\n".join(sorted(tree_of(c.path(f"out_{form}")))))
        c.put("c/x.scruple", GOOD)
        with open("/dev/full", "wb") as full:
            done = c.run("build", "c", "--to", form, expect=IO_FAILED, out=full)
    for arguments in (("check", "c"), ("check", "c", "--diagnostics", "json"), ("explain", "over_limit"), ("library", "lavender"),
                      ("--help",), ("--version",), ("library",), ("explain",), ("check", "c", "--diagnostics", "sarif")):
        with open("/dev/full", "wb") as full:
            c.run(*arguments, expect=IO_FAILED, out=full)
    c.run("build", "c", "--out", "/dev/full", expect=IO_FAILED)
    c.run("build", "c", "--out", "/dev/null/x", expect=IO_FAILED)
    c.run("build", "c", "--out", "c/x.scruple", expect=IO_FAILED)
    c.run("new", "/dev/full", expect=IO_FAILED)
    real_small_disk(c)


def real_small_disk(c):
    """A file system of 64 KiB, where one can be mounted."""
    small = c.path("small")
    os.makedirs(small)
    if os.geteuid() != 0 or subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "none", small], capture_output=True).returncode != 0:
        print("  note: no small disk could be mounted; a bound on the size of files stood in for it")
        return
    try:
        generate.write(c.path("many"), 400)
        done = c.run("build", "many", "--to", "sheet", "--out", "small", expect=(IO_FAILED, ERRORS))
        left = tree_of(small)
        c.tally.check(not any(n.endswith(".tmp") for n in left), "small disk: no draft is left", "\n".join(n for n in left if n.endswith(".tmp")))
        c.tally.check(all(len(d) > 200 for d in left.values()), "small disk: no half of a file")
        c.tally.check(done.code != IO_FAILED or b"space" in done.err, "small disk: it says that there is no space", done.err[-300:])
    finally:
        subprocess.run(["umount", small], check=False)


@case
def over_recipes(c):
    """An output never overwrites a recipe, whatever name or link it goes by."""
    c.put("c/x.scruple", GOOD)
    before = tree_of(c.path("c"))
    os.makedirs(c.path("out"))
    for name in ("quay.txt", "quay_oil.txt", "c.json", "c.csv", "quay.md", "quay_oil.md"):
        os.symlink("../c/x.scruple", c.path(f"out/{name}"))
    for form in ("sheet", "json", "csv", "markdown"):
        c.run("build", "c", "--to", form, "--out", "out", expect=(IO_FAILED, ERRORS))
        c.tally.check(tree_of(c.path("c")) == before, f"{form}: the recipe stands through a link")
    shutil.rmtree(c.path("out"))
    os.makedirs(c.path("out"))
    for name in ("quay.txt", "c.json"):
        os.link(c.path("c/x.scruple"), c.path(f"out/{name}"))
    for form in ("sheet", "json"):
        c.run("build", "c", "--to", form, "--out", "out", expect=(CLEAN, IO_FAILED, ERRORS))
        c.tally.check(tree_of(c.path("c")) == before, f"{form}: the recipe stands through a hard link")
    c.run("build", "c", "--out", "c", expect=CLEAN)
    after = tree_of(c.path("c"))
    c.tally.check(after["x.scruple"] == before["x.scruple"], "outputs beside the recipe leave it alone")
    # A path through a file, and a folder in the place of an output
    os.makedirs(c.path("out2/quay.txt"))
    c.run("build", "c", "--out", "out2", expect=IO_FAILED)
    c.tally.check(os.path.isdir(c.path("out2/quay.txt")), "a folder in the way stands")


@case
def errors_write_nothing(c):
    c.put("c/x.scruple", GOOD)
    c.run("build", "c", "--out", "out", expect=CLEAN)
    before = tree_of(c.path("out"))
    c.put("c/x.scruple", GOOD.replace(b"orange_sweet", b"orange_sweat"))
    for form in ("sheet", "json", "csv", "markdown"):
        c.run("build", "c", "--to", form, "--out", "out", expect=ERRORS)
    c.tally.check(tree_of(c.path("out")) == before, "with errors nothing is written")


@case
def killed(c):
    """SIGKILL at random points of a build over older outputs: each file is the old one or the new one, whole."""
    chance = random.Random(c.seed)
    oils = generate.quiet_oils(program.BINARY)
    generate.write(c.path("a"), 12, oils=oils, seed=1)
    generate.write(c.path("b"), 12, oils=oils, seed=2)
    for name in ("a", "b"):
        c.run("build", name, "--out", f"whole_{name}", expect=CLEAN)
    old, new = tree_of(c.path("whole_a")), tree_of(c.path("whole_b"))
    c.tally.check(len(old) == 24 and old != new, "there is something to write", f"{len(old)} files")
    out = c.path("out")
    shutil.copytree(c.path("whole_a"), out)
    started = time.monotonic()
    c.run("build", "b", "--out", "out", expect=CLEAN)
    takes = time.monotonic() - started
    partial, reached, drafts = [], 0, 0
    rounds = c.kills
    for number in range(rounds):
        source = "b" if number % 2 else "a"
        child = subprocess.Popen([program.BINARY, "build", source, "--out", "out"], cwd=c.folder,
                                 stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(chance.random() * takes * 1.1)
        child.kill()
        child.wait()
        mixed = set()
        for name, data in tree_of(out).items():
            if name.endswith(".tmp"):
                drafts += 1
                os.remove(os.path.join(out, name))
            elif data == old.get(name):
                mixed.add("old")
            elif data == new.get(name):
                mixed.add("new")
            else:
                partial.append(f"round {number}: {name}, {len(data)} bytes")
        reached += len(mixed) == 2
    c.tally.check(not partial, f"after {rounds} kills no file is in pieces", "\n".join(partial))
    c.tally.check(reached >= rounds // 10, f"enough kills fell amid the writing ({reached} of {rounds})")
    print(f"  killed {rounds} times, {reached} amid the writing; {drafts} drafts (.tmp) were left behind")


# Use ------------------------------------------------------------------------------------------------------------------

@case
def wrong_use(c):
    c.put("c/x.scruple", GOOD)
    for arguments in (("nonsense",), ("--nonsense",), ("build", "c", "--to", "xml"), ("build", "c", "--make", "0"), ("build", "c", "--make", "-1"),
                      ("build", "c", "--make", "1000001"), ("build", "c", "--make", "x"), ("build", "c", "--make", "1.5"), ("build", "c", "--only", "nothing"),
                      ("build", "c", "--on", "yesterday"), ("check", "c", "--on", "2026-02-30"), ("check", "c", "--on", "99999-01-01"),
                      ("check", "c", "--diagnostics", "xml"), ("check", "c", "--color", "red"), ("new",), ("build", "c", "--make"), ("explain", "a", "b")):
        c.run(*arguments, expect=WRONG_USE)
    c.run("build", "c", "--make", "1000000", expect=(CLEAN, ERRORS))
    c.run("build", "c", "--only", "", expect=(WRONG_USE, CLEAN))
    c.run("build", "c", "--out", "", expect=(CLEAN, WRONG_USE, IO_FAILED))
    c.run("explain", "a" * 100000, expect=(WRONG_USE, ERRORS))
    c.run("library", "a" * 100000, expect=(CLEAN, WRONG_USE, ERRORS))
    for command in ("library", "explain"):
        done = c.run(command, "\xff\udcfe\x1b[31m", expect=(CLEAN, WRONG_USE, ERRORS))
        c.tally.check(b"\x1b" not in done.out + done.err, f"`{command}` sends no control characters back")
    done = c.run("check", "\x1b[31m\udcfe", expect=IO_FAILED)
    c.tally.check(b"\x1b" not in done.out + done.err, "a path sends no control characters back")
    done = c.run("build", "c", "--only", "\x1b[31m\udcfe", expect=WRONG_USE)
    c.tally.check(b"\x1b" not in done.out + done.err, "a name sends no control characters back")
    c.run("check", *["c"] * 5000, expect=CLEAN)
    c.run("check", *[f"nowhere{i}" for i in range(5000)], expect=IO_FAILED)
    c.run("new", "c", expect=(IO_FAILED, ERRORS, WRONG_USE))
    c.tally.check(open(c.path("c/x.scruple"), "rb").read() == GOOD, "`new` over a collection leaves it alone")


@case
def strange_questions(c):
    """Questions to `advise` that are long, hostile or senseless, and blends that no ratio can be looked for in."""
    c.put("c/x.scruple", GOOD + b"""
blend huge {
    999999999999 parts lavender
    1/999 part clove_bud
}
product huge_oil {
    blend huge at 2 %
    format body_oil of 50 ml
    in jojoba
}
blend advice_probe_wanted { 1 part lavender }
blend alone { 1 part lavender }
""")
    for arguments in (("",), ("a" * 100000,), ("\x1b[31m\udcfe",), ("huge_oil", "--load", "9" * 5000), ("huge_oil", "--load", "2 % } product x {"),
                      ("huge_oil", "--load", "\x1b[31m"), ("huge_oil", "--load", "1/0 %"), ("huge_oil", "--load", "-1"),
                      ("huge_oil", "--load", ""), ("huge_oil", "--load", "2 % of nothing"), ("huge_oil", "--load", "using 1000 l"),
                      ("huge", "--format", "../x"), ("huge", "--format", "body_oil", "--load", "between 9 and 3 drops"), ("huge_oil", "--to", "xml")):
        done = c.run("advise", *arguments[:1], "c", *arguments[1:], expect=WRONG_USE if arguments[-1] else (CLEAN, WRONG_USE))
        c.tally.check(b"\x1b" not in done.out + done.err, "a question sends no control characters back")
    for name in ("huge_oil", "huge", "advice_probe_wanted", "alone"):
        c.run("advise", name, "c", expect=CLEAN)
        c.run("advise", name, "c", "--to", "json", expect=CLEAN)
    before = open(c.path("c/x.scruple"), "rb").read()
    c.tally.check(os.listdir(c.path("c")) == ["x.scruple"] and before.startswith(GOOD), "advice writes nothing")
    for count in (300, 5000):
        rows = "".join(f"    {1 + i % 7} part{'s' if i % 7 else ''} o{i}\n" for i in range(count))
        c.put("d/x.scruple", many_oils(count) + "blend a {\n    3 parts clove_bud\n" + rows +
              "}\nproduct b {\n    blend a at 40 %\n    format body_oil of 50 ml\n    in jojoba\n}\n")
        c.run("advise", "b", "d", expect=CLEAN, timeout=60)


@case
def closed_output(c):
    """Nobody listens any more: an ending, never a wait."""
    generate.write(c.path("c"), 300)
    for arguments in (("build", "c"), ("check", "c"), ("library",), ("explain",)):
        read, write = os.pipe()
        child = subprocess.Popen([program.BINARY, *arguments], cwd=c.folder, stdout=write, stderr=subprocess.DEVNULL, stdin=subprocess.DEVNULL)
        os.close(write)
        os.read(read, 10)
        os.close(read)
        try:
            status = child.wait(20)
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()
            status = None
        c.tally.check(status in (0, 1, 3, -13), f"closed pipe, {arguments[0]}: ends", f"status {status}")
    done = subprocess.run(["sh", "-c", f'"{program.BINARY}" check c >&- 2>&- <&-'], cwd=c.folder, timeout=20)
    c.tally.check(done.returncode in (0, 1, 3), "no streams at all", f"status {done.returncode}")


@case
def little_memory(c):
    """Too little memory is a fault that is named, or none: never a signal, never half a file."""
    generate.write(c.path("c"), 2000)
    for megabytes in (600, 200, 120, 80, 60, 40, 30, 20, 15):
        done = program.run("build", "c", "--to", "json", "--out", "out", cwd=c.folder, memory=megabytes * MIB, timeout=30)
        c.tally.check(done.code in (CLEAN, ERRORS, IO_FAILED, 70, 127) or (done.code == -11 and megabytes < 20),
                      f"with {megabytes} MB of address space: {done.ending()}", done.err[-300:].decode("utf-8", "replace"))
        left = [n for n in tree_of(c.path("out")) if n.endswith(".tmp")] if os.path.isdir(c.path("out")) else []
        c.tally.check(not left, f"with {megabytes} MB: no draft is left")


def main():
    parser = argparse.ArgumentParser(description="Feeds the program what means harm.")
    parser.add_argument("--seed", type=int, default=5)
    parser.add_argument("--kills", type=int, default=100, help="how often a build is killed amid its writing")
    parser.add_argument("--only", help="cases whose name holds this")
    parser.add_argument("--list", action="store_true")
    given = parser.parse_args()
    if given.list:
        print("\n".join(f.__name__ for f in CASES))
        return
    program.need_binary()
    tally = program.Tally(most_shown=100)
    top = tempfile.mkdtemp(prefix="scruple-hostile-")
    os.chmod(top, 0o755)
    binary = os.path.join(top, "scruple")
    shutil.copy(program.BINARY, binary)
    os.chmod(binary, 0o755)
    try:
        for function in CASES:
            if given.only and given.only not in function.__name__:
                continue
            folder = os.path.join(top, function.__name__)
            os.mkdir(folder)
            c = Case(tally, function.__name__, folder)
            c.seed = given.seed
            c.kills = given.kills
            c.binary = binary
            started = time.monotonic()
            function(c)
            print(f"{function.__name__}: {time.monotonic() - started:.1f} s")
            sys.stdout.flush()
            shutil.rmtree(folder, ignore_errors=True)
    finally:
        shutil.rmtree(top, ignore_errors=True)
    sys.exit(tally.close())


if __name__ == "__main__":
    main()
