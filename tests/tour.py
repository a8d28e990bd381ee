#!/usr/bin/env python3
"""Walks the tour of README.md: writes the files that it shows, types the commands, and compares what the screen says to
the byte.

    tests/tour.py [--renew]      --renew writes what the screen says now into README.md

A fence ```scruple NAME is a file of the tour, written to NAME; a later fence of the same name replaces it. A fence
```console holds commands, each on a line after `$ `, and their output; output and errors share the screen, and a command
that fails ends its output with a line `[exit status N]`.
"""
import difflib
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from fences import ROOT, SCRUPLE, fences

README = ROOT / "README.md"
renew = sys.argv[1:] == ["--renew"]
if sys.argv[1:] and not renew:
    sys.exit("tour.py takes --renew and nothing else")
if not SCRUPLE.exists():
    sys.exit(f"{SCRUPLE} is not built")


def typed(command, folder):
    environment = {
        "PATH": f"{SCRUPLE.parent}:{os.environ.get('PATH', '/usr/bin:/bin')}",
        "HOME": str(folder), "LC_ALL": "C.UTF-8", "TZ": "UTC", "COLUMNS": "80",
    }
    done = subprocess.run(["bash", "-c", command], cwd=folder, env=environment, stdin=subprocess.DEVNULL,
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT, timeout=60)
    screen = done.stdout.decode("utf-8")
    if screen and not screen.endswith("\n"):
        screen += "\n"
    if done.returncode:
        screen += f"[exit status {done.returncode}]\n"
    return screen


lines = README.read_text(encoding="utf-8").split("\n")
passed, failed = 0, 0
replacements = []   # (first, last, new lines), in order
with tempfile.TemporaryDirectory(prefix="scruple-tour-") as temporary:
    folder = Path(temporary) / "tour"   # a name that stays the same, since findings may print it
    folder.mkdir()
    for fence in fences(lines):
        if fence.kind == "scruple" and len(fence.info) == 2:
            file = folder / fence.info[1]
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(fence.text, encoding="utf-8")
        if fence.kind != "console":
            continue
        new = []
        for line in fence.text.splitlines():
            if line.startswith("$ "):
                new.append(line)
                new += typed(line[2:], folder).splitlines()
        if not new:
            failed += 1
            print(f"README.md:{fence.first}: a console without a command")
            continue
        old = lines[fence.first:fence.last]
        if old == new:
            passed += 1
        elif renew:
            passed += 1
            replacements.append((fence.first, fence.last, new))
        else:
            failed += 1
            print(f"README.md:{fence.first + 1}: the screen says something else")
            print("\n".join(difflib.unified_diff(old, new, "README.md", "screen", lineterm="")))
for first, last, new in reversed(replacements):
    lines[first:last] = new
if replacements:
    README.write_text("\n".join(lines), encoding="utf-8")
    print(f"{len(replacements)} consoles renewed")
if passed + failed == 0:
    failed = 1
    print("README.md shows no console")
print(f"{passed} passed, {failed} failed")
sys.exit(failed != 0)
