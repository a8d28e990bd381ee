#!/usr/bin/env python3
"""The layers of the compiler, as DEVELOPERS.md states them, and headers that stand alone.

  - Includes go one way, from cli/ down to base/.
  - Three libraries are named in one place only: PEGTL in syntax/, CLI11 in cli/, and JSON in no header.
  - A header can be included alone: its own .cpp does so in its first include; where it has none, it is compiled here.
"""
import concurrent.futures
import os
import re
import subprocess
import sys

ROOT = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
COMPILER = os.path.join(ROOT, "compiler")
INCLUDE = re.compile(r'^\s*#\s*include\s+([<"])([^>"]+)[>"]', re.M)

passed = failed = 0


def check(good, what):
    global passed, failed
    if good:
        passed += 1
    else:
        failed += 1
        print(f"FAILED: {what}")


def layers():
    """From the line of DEVELOPERS.md that states them."""
    with open(os.path.join(ROOT, "DEVELOPERS.md"), encoding="utf-8") as file:
        line = re.search(r"Includes go one way: `([^`]+)`", file.read())
    return [name.strip() for name in line.group(1).split("←")] if line else []


def files():
    for folder, _, names in sorted(os.walk(COMPILER)):
        for name in sorted(names):
            if name.endswith((".cpp", ".h")):
                yield os.path.relpath(os.path.join(folder, name), COMPILER).replace(os.sep, "/")


def includes(path):
    with open(os.path.join(COMPILER, path), encoding="utf-8") as file:
        return INCLUDE.findall(file.read())


def compiles_alone(header):
    done = subprocess.run(["g++", "-std=c++20", "-fsyntax-only", "-I", COMPILER, "-x", "c++", "-"], text=True,
                          input=f'#include "{header}"\n', capture_output=True, check=False)
    return header, done.returncode == 0, done.stderr


def main():
    order = layers()
    check(len(order) > 5, "DEVELOPERS.md states the order of the layers")
    everything = list(files())
    check(sorted({p.split("/")[0] for p in everything}) == sorted(order), "each folder of compiler/ has a layer")
    alone = []
    for path in everything:
        layer = path.split("/")[0]
        named = includes(path)
        for kind, name in named:
            if kind == '"':
                there = name.split("/")[0]
                check(there in order and order.index(there) <= order.index(layer), f"{path} includes {name}: upward")
            if name.startswith("tao/"):
                check(layer == "syntax", f"{path} names PEGTL")
            if name.startswith("CLI/"):
                check(layer == "cli", f"{path} names CLI11")
            if name.startswith("coin/"):
                check(path == "advice/program.cpp", f"{path} names Clp")
            if name.startswith("nlohmann/"):
                check(path.endswith(".cpp"), f"{path} is a header and names JSON")
        if path.endswith(".h"):
            body = path[:-2] + ".cpp"
            if body in everything:
                check(includes(body)[:1] == [('"', path)], f"{body} includes its own header first")
            else:
                alone.append(path)
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        for header, good, said in pool.map(compiles_alone, alone):
            check(good, f"{header} can be included alone\n{said}")
    print(f"{passed} passed, {failed} failed")
    sys.exit(1 if failed or not passed else 0)


if __name__ == "__main__":
    main()
