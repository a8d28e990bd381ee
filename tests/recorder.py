#!/usr/bin/env python3
"""The recorder: killed at every step of its writing it loses nothing; two of them never share a file; whatever is typed, the
file compiles; and a terminal session goes from no file to a checked blend.

    recorder.py [--lines 400] [--seed 3]

Killing is strace's: it ends the program with SIGKILL as it enters its Nth write, fsync, rename, open or close. A full disk is
the system's limit on the size of a file (setrlimit), a terminal is Python's pty.
"""
import argparse
import os
import pty
import random
import re
import resource
import select
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

sys.dont_write_bytecode = True
sys.path[:0] = [str(Path(__file__).resolve().parent)]
import program  # noqa: E402

ROWS = ["1 petitgrain_bigarade, 1 ho_wood soft", "1 vetiver too much", "mark heavy", "5 petitgrain_bigarade, 2 ho_wood", "after 24 h drier"]
WRITTEN = [f'{"add        1 drop petitgrain_bigarade, 1 drop ho_wood":<64}"soft"', f'{"add        1 drop vetiver":<64}"too much"',
           "mark       heavy", "add        5 drops petitgrain_bigarade, 2 drops ho_wood", f'{"after      24 h":<64}"drier"']
SYSCALLS = ("write", "fsync", "fdatasync", "rename", "renameat", "renameat2", "openat", "close", "unlink")


def session(folder, lines, *more, **how):
    (folder / "typed").write_text("\n".join(lines) + "\n")
    with open(folder / "typed", "rb") as typed:
        return program.run("bench", "trial", "--title", "Trial", "--on", "2026-05-02", *more, cwd=folder, stdin=typed, **how)


def answers(out):
    """How many of the rows were answered before the end: each answer is complete once the next prompt stands there."""
    return max(len(re.findall(rb"^trial> ", out, re.M)) - 1, 0)


def whole(tally, folder, held, what):
    file = folder / "trial.scruple"
    left = [p.name for p in folder.iterdir() if p.name not in ("trial.scruple", "typed", ".trial.scruple.recording")]
    if not file.exists():
        tally.check(held == 0, f"{what}: {held} rows were answered and there is no file")
        return 0
    text = file.read_text()
    done = program.run("check", "--alone", "trial.scruple", "--diagnostics", "json", "--on", "2026-05-02", cwd=folder)
    errors = [d for d in done.diagnostics() if d["severity"] == "error"] if done.code in (0, 1) else ["?"]
    rows = sum(1 for row in WRITTEN if row in text)
    good = not errors and rows >= held and text.endswith("}\n") and all(row in text for row in WRITTEN[:rows])
    tally.check(good, f"{what}: {held} rows were answered, {rows} are on disk", f"{errors}\n{text}")
    # What a killed writer leaves beside the file is never a recipe.
    tally.check(not any(name.endswith(".scruple") for name in left), f"{what}: {left} is left")
    return rows


def killed(tally):
    ends = 0
    for call in SYSCALLS:
        for nth in range(1, 400):
            with tempfile.TemporaryDirectory() as name:
                folder = Path(name)
                (folder / ".git").mkdir()
                (folder / "typed").write_text("\n".join([*ROWS, "quit"]) + "\n")
                with open(folder / "typed", "rb") as typed:
                    done = subprocess.run(["strace", "-f", "-qq", "-o", "/dev/null", "-e", f"trace={call}", "-e", f"inject={call}:signal=KILL:when={nth}",
                                           program.BINARY, "bench", "trial", "--title", "Trial", "--on", "2026-05-02"],
                                          cwd=folder, stdin=typed, capture_output=True, check=False, timeout=60)
                (folder / ".git").rmdir()
                if done.returncode == 0:
                    break
                ends += 1
                whole(tally, folder, answers(done.stdout), f"killed at {call} {nth}")
                # Its lock went with it.
                if nth % 7 == 1:
                    again = session(folder, ["quit"])
                    tally.check(again.code == 0, f"killed at {call} {nth}: the next one may record", again.err.decode())
    tally.check(ends > 30, f"the recorder was killed {ends} times")


def small_files(most):
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)  # so that the write fails, as on a full disk
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))


def no_room(tally):
    for limit in range(0, 700, 23):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            # Its own words go into a pipe, which has no such limit.
            done = subprocess.run([program.BINARY, "bench", "trial", "--title", "Trial", "--on", "2026-05-02"], cwd=folder, capture_output=True,
                                  input="\n".join([*ROWS, "quit"]).encode() + b"\n", preexec_fn=lambda: small_files(limit), check=False, timeout=60)
            out = done.stdout
            file = folder / "trial.scruple"
            text = file.read_text() if file.exists() else ""
            told = [row for row in WRITTEN if row in text]
            tally.check(done.returncode in (0, 1, 3), f"no room after {limit} bytes: ending {done.returncode}")
            tally.check(not text or text.endswith("}\n"), f"no room after {limit} bytes: the file is whole", text)
            refused = out.count(b"NOT recorded")
            tally.check((refused > 0) == (done.returncode == 3), f"no room after {limit} bytes: it says so", out.decode())
            tally.check(not text or len(told) + out.lower().count(b"not recorded") == len(WRITTEN), f"no room after {limit} bytes: {len(told)} rows are there and {refused} were refused", out.decode())


def two_at_once(tally):
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        command = [program.BINARY, "bench", "trial", "--title", "Trial", "--on", "2026-05-02"]
        first = subprocess.Popen(command, cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        first.stdin.write(b"1 vetiver\n")
        first.stdin.flush()
        until = time.monotonic() + 30
        while not ((folder / "trial.scruple").exists() and "vetiver" in (folder / "trial.scruple").read_text()):
            if time.monotonic() > until:
                break
            time.sleep(0.01)
        before = (folder / "trial.scruple").read_text()
        second = subprocess.run(command, cwd=folder, input=b"1 ho_wood\n", capture_output=True, check=False)
        tally.check(second.returncode == 3 and b"another `scruple bench` records into" in second.stderr, "the second is refused, and told why", second.stderr.decode())
        tally.check((folder / "trial.scruple").read_text() == before, "and changes nothing")
        first.stdin.write(b"1 ho_wood\nquit\n")
        first.stdin.close()
        first.wait(30)
        third = session(folder, ["1 lavender", "quit"])
        text = (folder / "trial.scruple").read_text()
        tally.check(third.code == 0 and "1 drop lavender" in text and "1 drop ho_wood" in text, "once the first has ended, another may", text)
        tally.check([p.name for p in folder.iterdir() if p.name.startswith(".")] == [], "no lock is left behind")


def others_write(tally):
    """Another program's changes between two rows are kept."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        command = [program.BINARY, "bench", "trial", "--title", "Trial", "--on", "2026-05-02"]
        child = subprocess.Popen(command, cwd=folder, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        child.stdin.write(b"1 vetiver\n")
        child.stdin.flush()
        file = folder / "trial.scruple"
        until = time.monotonic() + 30
        while not (file.exists() and "vetiver" in file.read_text()) and time.monotonic() < until:
            time.sleep(0.01)
        file.write_text("# kept\n" + file.read_text() + "\nblend other {\n    1 part lavender\n}\n")
        os.chmod(file, 0o640)
        out, _ = child.communicate(b"1 ho_wood\nquit\n", timeout=30)
        text = file.read_text()
        tally.check("# kept" in text and "blend other" in text and "1 drop ho_wood" in text, "what others wrote is kept", text)
        tally.check(b"changed by somebody else" in out, "and said")
        tally.check(file.stat().st_mode & 0o777 == 0o640, "and the file's mode")
        os.chmod(file, 0o444)
        os.chmod(folder, 0o777)
        (folder / "typed").write_text("1 lavender\nquit\n")
        # Another user may not enter the checkout.
        binary = shutil.copy(program.BINARY, folder / "scruple")
        with open(folder / "typed", "rb") as typed:
            done = program.run("bench", "trial", "--on", "2026-05-02", cwd=folder, stdin=typed, user=65534 if os.geteuid() == 0 else None,
                               binary=str(binary))
        tally.check(done.code == 3 and file.read_text() == text, f"a file that may not be written is left alone: {done.ending()}", done.out + done.err)


def anything_typed(tally, count, rng):
    bits = ["2", "1", "0.5", "1/3", "2,5", "-1", "1e3", "drops", "ml", "parts", "g", "petitgrain", "vetiver", "ho wood", "lavender", "rose", "oil", "a", ",", ",,", '"', '"soft"',
            "too sweet", "strip", "mark", "right", "after", "24 h", "3 days", "what if", "undo", "blend", "night ferry", "check", "show", "help", "add", "{", "}", "#", "\\", "\x07",
            "\xff", "é", "\t", "\u202e", "9" * 50, "x" * 300, "bench", "at", "from", "..", "=", "%"]
    for part in range(4):
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            lines = [" ".join(rng.choice(bits) for _ in range(rng.randint(1, 6))) for _ in range(count // 4)]
            lines[::3] = [f"{rng.randint(1, 9)} {rng.choice(('vetiver', 'ho wood', 'lavender'))} {rng.choice(bits)}" for _ in lines[::3]]
            (folder / "typed").write_bytes(b"".join(line.encode("latin-1", "replace") + b"\n" for line in lines))
            with open(folder / "typed", "rb") as typed:
                done = program.run("bench", "trial", "--title", "Trial", "--on", "2026-05-02", cwd=folder, stdin=typed, timeout=120)
            tally.check(done.code in (0, 1), f"anything typed, {part}: {done.ending()}", done.err.decode(errors="replace"))
            text = (folder / "trial.scruple").read_bytes()
            found = program.run("check", "--alone", "trial.scruple", "--diagnostics", "json", cwd=folder)
            errors = [d for d in found.diagnostics() if d["severity"] == "error"]
            tally.check(not errors, f"anything typed, {part}: the file has no errors", errors[:3])
            tally.check(text.count(b"    add ") >= 3, f"anything typed, {part}: some of it was recorded")


def terminal(tally):
    """From no file to a marked, checked blend, on a terminal, in at most 25 lines; every prompt answers `help`."""
    typed = ["help", "Ferry, spring", "help", "2 petitgr\t", "1", "ho wood 1 too sweet", "what if 1 vetiver", "1 vetiver", "undo", "frankincense 1", "help", "1",
             "mark right", "blend night_ferry \"Night Ferry\"", "check", "quit"]
    with tempfile.TemporaryDirectory() as name:
        pid, master = pty.fork()
        if pid == 0:
            os.chdir(name)
            os.environ.update(TERM="xterm", LC_ALL="C.UTF-8", COLUMNS="80", LINES="24")
            os.execv(program.BINARY, ["scruple", "bench", "ferry_trials", "--on", "2026-05-02"])
        seen = b""

        def until_prompt(seconds=20):
            nonlocal seen
            mark = len(seen)
            end = time.monotonic() + seconds
            while time.monotonic() < end:
                ready, _, _ = select.select([master], [], [], 0.05)
                if ready:
                    try:
                        more = os.read(master, 65536)
                    except OSError:
                        return False
                    if not more:
                        return False
                    seen += more
                elif re.search(rb"> [^\n]*$", seen[mark:]):
                    return True
            return False

        until_prompt()
        entered = 0
        for line in typed:
            entered += 1
            os.write(master, line.encode() + b"\n")
            if not until_prompt() and line != "quit":
                break
        try:
            _, status = os.waitpid(pid, 0) if line == "quit" else (os.kill(pid, signal.SIGKILL), os.waitpid(pid, 0)[1])
        finally:
            os.close(master)
        text = (Path(name) / "ferry_trials.scruple").read_text() if (Path(name) / "ferry_trials.scruple").exists() else ""
        shown = seen.decode(errors="replace")
        tally.check(entered <= 25 and status == 0, f"{entered} lines, ending {status}", shown)
        tally.check("blend night_ferry \"Night Ferry\" from ferry_trials at right" in text, "the blend is in the file", text + shown)
        tally.check("1 blend" in shown and "nothing to report" in shown, "and it was checked", shown)
        tally.check(shown.count("leaves it out") == 1 and "Enter the number before" in shown and "strike the last row" in shown, "each prompt answers help", shown)
        tally.check(max((len(re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", l)) for l in shown.replace("\r", "").split("\n")), default=0) <= 80, "lines fit a terminal")


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--lines", type=int, default=400)
    parser.add_argument("--seed", type=int, default=3)
    given = parser.parse_args()
    program.need_binary()
    tally = program.Tally()
    two_at_once(tally)
    others_write(tally)
    terminal(tally)
    no_room(tally)
    anything_typed(tally, given.lines, random.Random(given.seed))
    killed(tally)
    sys.exit(tally.close())


if __name__ == "__main__":
    main()
