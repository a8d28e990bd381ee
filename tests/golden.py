#!/usr/bin/env python3
"""Holds what people see to the byte.

  tests/diagnostics/NAME.scruple   one mistake a file, named after its code (or CODE_something); NAME.txt beside it
                                   is what `scruple check --alone NAME.scruple` says
  examples/wrong/NAME.scruple      the same for the examples that are wrong on purpose, whatever they are named after;
                                   within their collection the findings are the same
  tests/outputs/NAME/case          steps, a line each (see below); expected.txt beside it is the transcript

Steps of a case, run in a fresh folder that holds a copy of the case's other files:
  $ scruple ARGUMENTS      runs the compiler; what it writes and its exit status go into the transcript;
                           `< FILE` at the end gives it that file to read
  show FILE                puts a file's text into the transcript
  list FOLDER              puts the names below a folder into the transcript
  link NAME TARGET         makes a symbolic link
  pipe NAME                makes a named pipe
  folder NAME              makes a folder
  example NAME             puts a copy of examples/NAME here
  fill NAME BYTES          makes a file of so many bytes of comment
  repeat NAME COUNT TEXT   makes a file of TEXT, a line a time, `@` standing for the line's number
  # ...                    a comment

A golden file that no case uses fails, and so does a code that no golden shows: a case under outputs/ counts for the
codes that it shows and for the one it is named after. --renew rewrites what is expected.
--clock runs every case under two faked clocks, two time zones and two locales (needs faketime).
"""

import argparse
import concurrent.futures
import difflib
import os
import pathlib
import re
import shlex
import shutil
import subprocess
import sys
import tempfile

TESTS = pathlib.Path(__file__).resolve().parent
ROOT = TESTS.parent
SECONDS = 60

# Codes that take limits no file in a repository should reach; the unit tests lower the limits for them.
IN_UNIT_TESTS = "tests/unit/diag_limits.cpp"

# No kind has blocks two hundred deep, so such a file shows that as well.
MAY_SHOW_TOO = {"nested_too_deep": {"unknown_field"}, "too_many_errors": {"plus_sign"},
                "waiver_expired": {"over_limit"}}

CLOCKS = [
    {"TZ": "Pacific/Auckland", "LC_ALL": "C", "clock": "2021-02-03 23:59:58"},
    {"TZ": "America/St_Johns", "LC_ALL": "de_DE.UTF-8", "clock": "2037-12-31 00:00:01"},
]


def environment(clock):
    kept = {"PATH": os.environ.get("PATH", ""), "HOME": "/nonexistent", "LC_ALL": "C", "TZ": "UTC"}
    if clock:
        kept.update({k: v for k, v in clock.items() if k != "clock"})
    return kept


def run(binary, words, folder, clock):
    typed = b""
    if words[-2:-1] == ["<"]:
        typed = (folder / words[-1]).read_bytes()
        words = words[:-2]
    command = [str(binary), *words]
    if clock:
        command = ["faketime", "-f", "@" + clock["clock"], *command]
    done = subprocess.run(command, cwd=folder, env=environment(clock), input=typed,
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=SECONDS, check=False)
    text = "$ scruple " + shlex.join(words) + "\n"
    for name, stream in (("out", done.stdout), ("err", done.stderr)):
        if stream:
            said = stream.decode("utf-8", "backslashreplace")
            text += f"[{name}]\n" + said + ("" if said.endswith("\n") else "\n[no line end]\n")
    return text + f"[exit {done.returncode}]\n"


class Diagnostic:
    """tests/diagnostics/NAME.scruple"""

    def __init__(self, recipe):
        self.name = "diagnostics/" + recipe.stem
        self.recipe = recipe
        self.expected = recipe.with_suffix(".txt")

    def transcript(self, binary, clock):
        with tempfile.TemporaryDirectory() as folder:
            place = pathlib.Path(folder) / "recipes"
            place.mkdir()
            shutil.copy(self.recipe, place / self.recipe.name)
            # What has an end is judged for one day, whatever today is.
            day = ["--on", "2026-05-02"] if re.search(rb"(?m)\b(until|opened|best_before)\s+[0-9]|^prices ", self.recipe.read_bytes()) else []
            return run(binary, ["check", "--alone", self.recipe.name, *day], place, clock)

    def objections(self, text, codes):
        code = named_after(self.recipe.stem, codes)
        if not code:
            return ["the file's name starts with no code"]
        shown = shown_codes(text)
        if code not in shown:
            return [f"shows no {code}"]
        others = set(shown) - {code} - MAY_SHOW_TOO.get(code, set())
        return [f"shows {other} too: one mistake a file" for other in sorted(others)]


class Example(Diagnostic):
    """examples/wrong/NAME.scruple"""

    def __init__(self, recipe):
        super().__init__(recipe)
        self.name = "examples/wrong/" + recipe.stem
        self.beside = ""

    def transcript(self, binary, clock):
        # Its neighbours, which belong to the same collection, change nothing of what is said.
        self.beside = run(binary, ["check", self.recipe.name], self.recipe.parent, clock)
        return super().transcript(binary, clock)

    def objections(self, text, codes):
        del codes
        said = [] if text.endswith("[exit 1]\n") else ["is wrong on purpose, and the compiler takes it"]
        if self.beside.partition("[err]\n")[2] != text.partition("[err]\n")[2]:
            said.append("says something else within its collection\n" + compare(text, self.beside, self.name))
        return said


class Output:
    """tests/outputs/NAME/case"""

    def __init__(self, case):
        self.name = "outputs/" + case.parent.name
        self.case = case
        self.expected = case.parent / "expected.txt"

    def transcript(self, binary, clock):
        with tempfile.TemporaryDirectory() as folder:
            place = pathlib.Path(folder) / "recipes"
            shutil.copytree(self.case.parent, place, symlinks=True,
                            ignore=shutil.ignore_patterns("case", "expected.txt"))
            (place / ".git").mkdir(exist_ok=True)  # makes the folder the collection's root
            return "".join(self.step(line, place, binary, clock) for line in self.case.read_text().splitlines())

    def step(self, line, place, binary, clock):
        if not line.strip() or line.startswith("#"):
            return ""
        words = shlex.split(line)
        if words[:2] == ["$", "scruple"]:
            return run(binary, words[2:], place, clock)
        match words:
            case ["show", name]:
                path = place / name
                if not path.is_file():
                    return f"[file {name}: missing]\n"
                text = path.read_bytes().decode("utf-8", "backslashreplace")
                return f"[file {name}]\n" + text + ("" if text.endswith("\n") else "\n[no line end]\n")
            case ["list", name]:
                below = sorted(p.relative_to(place).as_posix() for p in (place / name).rglob("*") if p.is_file())
                return f"[files below {name}]\n" + "".join(f"{p}\n" for p in below)
            case ["link", name, target]:
                (place / name).symlink_to(target)
            case ["pipe", name]:
                os.mkfifo(place / name)
            case ["example", name]:
                shutil.copytree(ROOT / "examples" / name, place / name)
            case ["folder", name]:
                (place / name).mkdir(parents=True)
            case ["fill", name, size]:
                (place / name).write_text(("#" * 99 + "\n") * (int(size) // 100) + "#" * (int(size) % 100))
            case ["repeat", name, count, text]:
                lines = (text.replace("@", str(i)) for i in range(1, int(count) + 1))
                (place / name).write_text("\n".join(lines) + "\n")
            case _:
                raise ValueError(f"no such step: {line}")
        return ""

    def objections(self, text, codes):
        del codes
        return [] if "[exit " in text else ["runs nothing"]


def named_after(name, codes):
    """The code that a file's name starts with, or nothing."""
    while name and name not in codes:
        name = name.rpartition("_")[0]
    return name


def shown_codes(text):
    """Codes that a transcript shows, from the place lines of findings, in their order."""
    seen = re.findall(r"^  (?:at .* )?\(([a-z0-9_]+)\)$", text, re.M)
    return list(dict.fromkeys(seen))


def all_codes():
    table = (ROOT / "compiler/diag/codes.def").read_text()
    return re.findall(r"^SCRUPLE_CODE\(([a-z0-9_]+),", table, re.M)


def compare(expected, got, name):
    return "".join(difflib.unified_diff(expected.splitlines(True), got.splitlines(True),
                                        name + " expected", name + " got", n=2))


def check(case, options, codes):
    """What is wrong with one case, as texts."""
    try:
        got = case.transcript(options.binary, None)
        said = case.objections(got, codes)
        if options.renew:
            case.expected.write_bytes(got.encode())
        elif not case.expected.is_file():
            said.append("nothing is expected yet: --renew writes it")
        elif (expected := case.expected.read_bytes().decode()) != got:
            said.append(compare(expected, got, case.name))
        if options.clock:
            for clock in CLOCKS:
                again = case.transcript(options.binary, clock)
                if again != got:
                    said.append("depends on clock, zone or locale\n" + compare(got, again, case.name))
        return got, said
    except subprocess.TimeoutExpired:
        return "", [f"takes more than {SECONDS} seconds"]
    except (OSError, ValueError) as error:
        return "", [str(error)]


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--binary", type=pathlib.Path, default=ROOT / "build/scruple")
    parser.add_argument("--renew", action="store_true", help="write what is said now as what is expected")
    parser.add_argument("--clock", action="store_true", help="also under two clocks, time zones and locales")
    parser.add_argument("-j", "--jobs", type=int, default=os.cpu_count() or 1)
    parser.add_argument("only", nargs="*", help="names of cases, such as diagnostics/not_closed; all if none")
    options = parser.parse_args()
    options.binary = options.binary.resolve()
    if not options.binary.is_file():
        sys.exit(f"golden: there is no {options.binary}: build it first, or say where with --binary")
    if options.clock and not shutil.which("faketime"):
        sys.exit("golden: --clock needs faketime")

    cases = [Diagnostic(p) for p in sorted((TESTS / "diagnostics").glob("*.scruple"))]
    cases += [Example(p) for p in sorted((ROOT / "examples/wrong").glob("*.scruple")) if p.stem != "collection"]
    cases += [Output(p) for p in sorted((TESTS / "outputs").glob("*/case"))]
    if options.only:
        cases = [c for c in cases if c.name in options.only]
    codes = all_codes()
    passed = failed = 0
    shown = set()

    def fail(name, said):
        nonlocal failed
        failed += 1
        print(f"FAIL {name}: {said.rstrip()}")

    with concurrent.futures.ThreadPoolExecutor(options.jobs) as pool:
        for case, (got, said) in zip(cases, pool.map(lambda c: check(c, options, codes), cases)):
            shown.update(shown_codes(got))
            if isinstance(case, Output):
                shown.add(named_after(case.case.parent.name, codes))
            if said:
                fail(case.name, "\n".join(said))
            else:
                passed += 1

    if not options.only:
        used = {c.expected for c in cases}
        on_disk = [*(TESTS / "diagnostics").glob("*.txt"), *(ROOT / "examples/wrong").glob("*.txt"),
                   *(TESTS / "outputs").glob("*/expected.txt")]
        for stray in sorted(set(on_disk) - used):
            fail(stray.relative_to(ROOT), "no case uses this")
        unit = ROOT / IN_UNIT_TESTS
        in_unit = set(re.findall(r"Code::([a-z0-9_]+)", unit.read_text())) if unit.is_file() else set()
        for code in codes:
            if code in shown or code in in_unit:
                passed += 1
            else:
                fail(code, f"no golden shows this code, and {IN_UNIT_TESTS} does not name it")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main())
