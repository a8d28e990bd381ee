#!/usr/bin/env python3
"""Compiles every example of the language reference, grammar/language.md, and holds it to the layout.

A fence ```scruple is a whole recipe file and must check without an error or a warning on 2026-05-02; with codes behind it, as in
```scruple wrong not_closed, it must give exactly these findings. A fence ```scruple use NAME is another collection,
written to the folder NAME beside the next example. Those that can be read at all are as `scruple format` writes them.
"""
import json
import subprocess
import sys
import tempfile
from pathlib import Path

from fences import ROOT, SCRUPLE, fences

PAGE = ROOT / "grammar" / "language.md"
if not SCRUPLE.exists():
    sys.exit(f"{SCRUPLE} is not built")

passed, failed = 0, 0
shelves = {}


def hold_to_layout(page, fence):
    """A text with mistakes of the syntax has no layout that is known, and says so by its status."""
    global passed, failed
    done = subprocess.run([SCRUPLE, "format", "-"], input=fence.text.encode("utf-8"), capture_output=True, timeout=60)
    if done.returncode == 1:
        return
    if done.returncode == 0 and done.stdout.decode("utf-8") == fence.text:
        passed += 1
        return
    failed += 1
    print(f"{page.name}:{fence.first + 1}: not as `scruple format` writes it:\n{done.stdout.decode('utf-8')}")


for page in (PAGE, ROOT / "README.md"):
    for fence in fences(page.read_text(encoding="utf-8").split("\n")):
        if fence.kind == "scruple":
            hold_to_layout(page, fence)

for fence in fences(PAGE.read_text(encoding="utf-8").split("\n")):
    if fence.kind != "scruple":
        continue
    if fence.info[1:2] == ["use"]:
        shelves[fence.info[2]] = fence.text
        continue
    wanted = sorted(fence.info[2:]) if fence.info[1:2] == ["wrong"] else []
    if fence.info[1:2] not in ([], ["wrong"]):
        failed += 1
        print(f"language.md:{fence.first}: a fence of no known sort")
        continue
    with tempfile.TemporaryDirectory(prefix="scruple-reference-") as temporary:
        root = Path(temporary)
        here = root / "example"
        here.mkdir()
        (here / "collection.scruple").write_text("", encoding="utf-8")
        (here / "example.scruple").write_text(fence.text, encoding="utf-8")
        for name, text in shelves.items():
            (root / name).mkdir()
            (root / name / "collection.scruple").write_text(text, encoding="utf-8")
        done = subprocess.run([SCRUPLE, "check", str(here), "--diagnostics", "json", "--on", "2026-05-02"], stdin=subprocess.DEVNULL,
                              stdout=subprocess.PIPE, stderr=subprocess.PIPE, timeout=60)
    try:
        found = json.loads(done.stdout.decode("utf-8"))["diagnostics"]
        codes = sorted(f["code"] for f in found)
    except (ValueError, KeyError, UnicodeDecodeError) as error:
        failed += 1
        print(f"language.md:{fence.first + 1}: no findings could be read: {error}; {done.stderr[:200]!r}")
        continue
    if codes == wanted:
        passed += 1
    else:
        failed += 1
        print(f"language.md:{fence.first + 1}: gives {codes or 'nothing'}, and should give {wanted or 'nothing'}")
        for f in found:
            place = f.get("range", {}).get("start", {})
            print(f"    {f['code']} at line {place.get('line', 0) + 1}: {f['message']}")
    if shelves and any(f"../{name}" in fence.text for name in shelves):
        shelves = {}
if passed + failed == 0:
    failed = 1
    print("language.md shows no example")
print(f"{passed} passed, {failed} failed")
sys.exit(failed != 0)
