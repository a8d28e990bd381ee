#!/usr/bin/env python3
"""One-token slips: seeded mutants of the example files, each checked by the program within its collection.

A token is deleted, doubled, swapped with its neighbour in the row, or misspelt by one letter. Of the mutants that are
no longer programs, at least 95 in 100 must give exactly one finding, none more than two; a place of a finding must stand
on the mutated token or its row; and applying its safe edit must give a collection that checks as clean as before.
Mutants that are programs still are not counted, but their meaning must have changed: the formula document or the sheets
differ, or the slip stands inside a text.

    python3 tests/mutations.py [--count 500] [--seed 11] [--show] [--keep-going N]
"""
import argparse
import collections
import json
import os
import random
import re
import shutil
import sys
import tempfile

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import program  # noqa: E402

TOKEN = re.compile(r"""
    (?P<space>[ \t\r\n]+)
  | (?P<comment>\#[^\n]*)
  | (?P<string>"(?:\\.|[^"\\\n])*")
  | (?P<number>[0-9]+(?:\.[0-9]+)?(?:/[0-9]+)?)
  | (?P<word>[A-Za-z_][A-Za-z0-9_]*(?:\.[a-z][a-z0-9_]*)?(?:/[a-z]+)?)
  | (?P<range>\.\.)
  | (?P<mark>.)
""", re.X)

SOURCES = ("examples/stillroom", "examples/shared_shelf", "examples/priced")


class Token:
    def __init__(self, kind, begin, end, text, line):
        self.kind = kind
        self.begin = begin
        self.end = end
        self.text = text
        self.line = line


def tokens_of(text):
    found = []
    for match in TOKEN.finditer(text):
        kind = match.lastgroup
        if kind not in ("space", "comment"):
            found.append(Token(kind, match.start(), match.end(), match.group(), text.count("\n", 0, match.start())))
    return found


def rows_of(tokens):
    """For each token the index of its row: a row goes on after a comma and past its block's opening brace's line."""
    row = 0
    out = []
    for at, token in enumerate(tokens):
        if at and token.line != tokens[at - 1].line and tokens[at - 1].text != ",":
            row += 1
        out.append(row)
    return out


def closing_headers(tokens):
    """For each token the header line of the block that it opens or closes, or None."""
    stack = []
    out = [None] * len(tokens)
    for at, token in enumerate(tokens):
        if token.text == "{":
            stack.append(token.line)
            out[at] = token.line
        elif token.text == "}":
            out[at] = stack.pop() if stack else None
    return out


def misspell(chance, text):
    letters = [i for i, c in enumerate(text) if c.isalpha()]
    at = chance.choice(letters)
    other = chance.choice("abcdefghijklmnopqrstuvwxyz".replace(text[at].lower(), ""))
    kind = chance.randrange(4)
    if kind == 0:
        return text[:at] + other + text[at + 1:]                 # another letter
    if kind == 1:
        return text[:at] + text[at + 1:]                         # one missing
    if kind == 2:
        return text[:at] + other + text[at:]                     # one too many
    if at + 1 < len(text) and text[at + 1].isalpha() and text[at + 1] != text[at]:
        return text[:at] + text[at + 1] + text[at] + text[at + 2:]  # two the wrong way round
    return text[:at] + text[at] + text[at:]                      # doubled


def join(*pieces):
    """With a space where two words or figures would grow together: a swap leaves the tokens what they are."""
    out = ""
    for piece in pieces:
        if out and piece and re.match(r"[\w.]", out[-1]) and re.match(r"\w", piece[0]):
            out += " "
        out += piece
    return out


class Mutant:
    def __init__(self, path, kind, text, lines, what, in_text, row_text, token, names_something):
        self.path = path
        self.kind = kind
        self.text = text
        self.lines = lines      # the lines of the mutated row, and of its block's header for a brace
        self.what = what
        self.in_text = in_text  # inside a string: a slip that the language cannot see
        self.row_text = row_text
        self.token = token
        self.names_something = names_something


def mutate(chance, path, text, tokens, rows, headers):
    """A mutant, or None where the drawn kind does not fit the drawn token."""
    at = chance.randrange(len(tokens))
    token = tokens[at]
    kind = chance.choice(("delete", "double", "swap", "misspell"))
    lines = {t.line for t, r in zip(tokens, rows) if r == rows[at]}
    if token.text in "{}" and headers[at] is not None:
        lines.add(headers[at])
    lines = set(range(min(lines), max(lines) + 1)) if token.text not in "{}" else lines
    in_text = token.kind == "string"
    if kind == "delete":
        out = text[:token.begin] + text[token.end:]
        what = token.text
        in_text = False
    elif kind == "double":
        glue = " " if token.kind in ("word", "number", "string", "range") else ""
        out = text[:token.end] + glue + token.text + text[token.end:]
        what = token.text
        in_text = False
    elif kind == "swap":
        near = [n for n in (at + 1, at - 1) if 0 <= n < len(tokens) and rows[n] == rows[at]]
        if not near:
            return None
        first, second = sorted((at, near[0]))
        a, b = tokens[first], tokens[second]
        if a.text == b.text:
            return None
        out = join(text[:a.begin], b.text, text[a.end:b.begin], a.text, text[b.end:])
        what = f"{a.text} <-> {b.text}"
        in_text = False
    else:
        if not any(c.isalpha() for c in token.text):
            return None
        changed = misspell(chance, token.text)
        out = text[:token.begin] + changed + text[token.end:]
        what = f"{token.text} -> {changed}"
    before = tokens[at - 1].text if at and rows[at - 1] == rows[at] else ""
    names_something = before in ("also", "as") or (before != "" and token.begin - text.rfind("\n", 0, token.begin) - 1 == len(before) + 1)
    begin = text.rfind("\n", 0, token.begin) + 1
    row_text = out[begin:(out.find("\n", begin) + 1 or len(out) + 1) - 1]
    return Mutant(path, kind, out, lines, what, in_text, row_text, token, names_something)


def may_not_show(mutant):
    """Slips that leave a program whose outputs may well be the same: figures that only matter elsewhere, a title taken
    away, a word that says what goes without saying, another name for what nothing uses."""
    if mutant.kind == "delete":
        return mutant.token.kind in ("number", "range", "string") or mutant.token.text in ("blend", "sealed")
    if mutant.kind == "double":
        return False
    if mutant.what in ("parts -> part", "part -> parts", "drops -> drop", "drop -> drops"):
        return True
    return mutant.token.kind in ("number", "range") or (mutant.kind == "misspell" and mutant.names_something)


class Bench:
    """A copy of the example collections, in which one file at a time is mutated."""

    def __init__(self, folder):
        self.folder = folder
        self.files = {}
        for source in SOURCES:
            for at, folders, names in os.walk(os.path.join(program.ROOT, source)):
                folders.sort()
                for name in sorted(names):
                    if name.endswith(".scruple"):
                        full = os.path.join(at, name)
                        path = os.path.relpath(full, os.path.join(program.ROOT, "examples"))
                        with open(full, encoding="utf-8", newline="") as file:
                            self.files[path] = file.read()
        os.makedirs(os.path.join(folder, ".git"))  # the fence that imports must stay inside
        for path, text in self.files.items():
            self.put(path, text)

    def put(self, path, text):
        full = os.path.join(self.folder, path)
        os.makedirs(os.path.dirname(full), exist_ok=True)
        with open(full, "w", encoding="utf-8", newline="") as file:
            file.write(text)

    def top(self, path):
        return path.split("/", 1)[0]

    def check(self, path):
        return program.run("check", os.path.join(self.folder, self.top(path)), "--diagnostics", "json")

    def meaning(self):
        """All outputs that a maker sees."""
        out = []
        for top, form in ((t, f) for t in ("stillroom", "shared_shelf") for f in ("json", "sheet")):
            done = program.run("build", os.path.join(self.folder, top), "--to", form)
            text = done.out.decode("utf-8", "replace")
            if form == "json":
                document = json.loads(text) if text else {}
                document.pop("diagnostics", None)
                text = json.dumps(document, sort_keys=True)
            out.append(text)
        return out


def key(finding):
    line = finding["range"]["start"]["line"] if finding["range"] else None
    return finding["code"], finding["severity"], finding["file"], line


def new_ones(findings, baseline):
    """Findings that the unmutated collection does not have; messages may carry other figures."""
    left = collections.Counter(key(f) for f in baseline)
    out = []
    for finding in findings:
        if left[key(finding)] > 0:
            left[key(finding)] -= 1
        else:
            out.append(finding)
    return out


def touches(finding, file, lines):
    places = [finding, *finding["related"]]
    for place in places:
        if place["file"] is None or place["range"] is None:
            continue
        if place["file"] == file or place["file"].endswith("/" + file):
            span = range(place["range"]["start"]["line"], place["range"]["end"]["line"] + 1)
            if any(line in lines for line in span):
                return True
    return False


def utf16_offset(text, position):
    lines = text.split("\n")
    units = lines[position["line"]].encode("utf-16-le")[:position["character"] * 2]
    return sum(len(line) + 1 for line in lines[:position["line"]]) + len(units.decode("utf-16-le"))


def apply_safe(findings, path, text, shown):
    """The text after the first safe fix of each finding, or None if none has one."""
    edits = []
    for finding in findings:
        for fix in finding["fixes"]:
            if fix["safe"]:
                if any(not same_file(e["file"], shown) for e in fix["edits"]):
                    return None  # mends another file
                edits += fix["edits"]
                break
    if not edits:
        return None
    spans = sorted({(utf16_offset(text, e["range"]["start"]), utf16_offset(text, e["range"]["end"]), e["text"])
                    for e in edits}, reverse=True)
    for begin, end, put in spans:
        text = text[:begin] + put + text[end:]
    return text


def same_file(reported, shown):
    return reported == shown or (reported or "").endswith("/" + shown)


def describe(mutant, findings):
    lines = [f"{mutant.kind} in {mutant.path}:{min(mutant.lines) + 1}: {mutant.what}", f"    {mutant.row_text.strip()}"]
    for f in findings:
        place = f"{f['file']}:{f['range']['start']['line'] + 1}" if f["range"] else "no place"
        lines.append(f"    {f['severity']}[{f['code']}] {place}: {f['message']}")
    return "\n".join(lines)


def main():
    parser = argparse.ArgumentParser(description="Checks one-token slips of the example files.")
    parser.add_argument("--count", type=int, default=500, help="mutants that are no programs any more")
    parser.add_argument("--seed", type=int, default=11)
    parser.add_argument("--show", action="store_true", help="every mutant that is not one finding")
    given = parser.parse_args()
    program.need_binary()
    tally = program.Tally(most_shown=200 if given.show else 40)
    folder = tempfile.mkdtemp(prefix="scruple-mutants-")
    try:
        work(given, tally, folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    sys.exit(tally.close())


def work(given, tally, folder):
    chance = random.Random(given.seed)
    bench = Bench(folder)
    prepared = {}
    for path, text in bench.files.items():
        tokens = tokens_of(text)
        if tokens:
            prepared[path] = (tokens, rows_of(tokens), closing_headers(tokens))
    weights = [len(prepared[path][0]) for path in prepared]
    baseline = {top: bench.check(top + "/x").diagnostics() for top in {bench.top(p) for p in bench.files}}
    meaning = bench.meaning()
    for top, findings in baseline.items():
        tally.check(not any(f["severity"] == "error" for f in findings), f"{top} has no errors before it is mutated",
                    "\n".join(f"{f['code']}: {f['message']}" for f in findings if f["severity"] == "error"))

    counts = collections.Counter()      # (kind of slip, how many findings)
    by_code = collections.Counter()
    valid = collections.Counter()
    seen = set()
    counted = 0
    tries = 0
    unseen, several, elsewhere, unmended = [], [], [], []
    applied = 0
    while counted < given.count and tries < given.count * 20:
        tries += 1
        path = chance.choices(list(prepared), weights)[0]
        mutant = mutate(chance, path, bench.files[path], *prepared[path])
        if mutant is None or mutant.text == bench.files[path] or (path, mutant.text) in seen:
            continue
        seen.add((path, mutant.text))
        bench.put(path, mutant.text)
        try:
            top = bench.top(path)
            done = bench.check(path)
            what = describe(mutant, [])
            if not tally.check(done.code in (0, 1), f"{what}\n    ends in status 0 or 1", done.ending()):
                continue
            findings = new_ones(done.diagnostics(), baseline[top])
            what = describe(mutant, findings)
            if not any(f["severity"] == "error" for f in findings):
                if findings:
                    valid["a program still, with a new warning"] += 1
                elif mutant.in_text:
                    valid["inside a text"] += 1
                elif bench.meaning() != meaning:
                    valid["a program still, with another meaning"] += 1
                elif may_not_show(mutant):
                    valid["a program still, and no output shows the difference"] += 1
                    unseen.append(what)
                else:
                    valid["a program still, and nothing differs"] += 1
                    tally.check(False, f"a slip outside of texts is not swallowed: {what}")
                continue
            counted += 1
            counts[mutant.kind, min(len(findings), 3)] += 1
            for f in findings:
                by_code[f["code"]] += 1
            shown = path.split("/", 1)[1]
            if len(findings) > 1:
                several.append((len(findings), what))
            tally.check(len(findings) <= 2, f"at most two findings: {what}")
            if not tally.check(any(touches(f, shown, mutant.lines) for f in findings),
                               f"a place on the mutated row (lines {sorted(n + 1 for n in mutant.lines)}): {what}"):
                elsewhere.append(what)
            mended = apply_safe(findings, path, mutant.text, shown)
            if mended is not None:
                applied += 1
                bench.put(path, mended)
                after = bench.check(path)
                left = [f for f in new_ones(after.diagnostics(), baseline[top]) if f["severity"] == "error"]
                if not tally.check(not left, f"clean after its safe edit: {what}",
                                   "after the edit:\n" + describe(mutant, left).split("\n", 2)[-1]):
                    unmended.append(what)
        finally:
            bench.put(path, bench.files[path])

    single = sum(n for (kind, many), n in counts.items() if many == 1)
    tally.check(counted == given.count, f"{given.count} mutants that are no programs any more were found", f"only {counted}")
    tally.check(counted and single / counted >= 0.95, f"exactly one finding in 95 of 100, seen {100 * single / max(counted, 1):.1f} %")

    print(f"\n{counted} mutants that are no programs any more (of {tries} drawn):")
    print(f"  {'':10} {'one':>6} {'two':>6} {'more':>6}")
    for kind in ("delete", "double", "swap", "misspell"):
        print(f"  {kind:10} {counts[kind, 1]:6} {counts[kind, 2]:6} {counts[kind, 3]:6}")
    print(f"  exactly one finding: {100 * single / max(counted, 1):.1f} %; safe edits applied: {applied}, of which {len(unmended)} left errors; "
          f"no place on the row: {len(elsewhere)}")
    print("\nMutants that are programs still:")
    for what, n in valid.most_common():
        print(f"  {n:5}  {what}")
    print("\nFindings by code:")
    for code, n in by_code.most_common():
        print(f"  {n:5}  {code}")
    for title, list_ in (("More than one finding", [w for _, w in sorted(several, key=lambda p: -p[0])]),
                         ("No output shows it", unseen)):
        if list_:
            print(f"\n{title}:")
            for what in list_ if given.show else list_[:30]:
                print("  " + what.replace("\n", "\n  "))
    print()


if __name__ == "__main__":
    main()
