#!/usr/bin/env python3
"""Checks the columns of every character against the C library's wcwidth (glibc).

usage: widths.py PROBE        where PROBE is the built num_probe
"""
import ctypes
import locale
import subprocess
import sys
import unicodedata

# Where the C library means something else; the reason of each.
EXPLAINED = {
    "no printed character there (-1), no column here": lambda c, there, ours: there == -1 and ours == 0,
    "unassigned or private in Unicode 14": lambda c, there, ours: unicodedata.category(chr(c)) in ("Cn", "Co"),
    "wide there by its own choice; ambiguous in Unicode 14 (UAX #11)": lambda c, there, ours: 0x3248 <= c <= 0x324F,
    "hexagrams, wide there; neutral in Unicode 14 (UAX #11)": lambda c, there, ours: 0x4DC0 <= c <= 0x4DFF,
}


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    locale.setlocale(locale.LC_ALL, "C.UTF-8")
    libc = ctypes.CDLL(None)
    libc.wcwidth.argtypes = [ctypes.c_wchar]
    spans = [(1, 0xD7FF), (0xE000, 0x10FFFF)]
    asked = "".join(f"width {a:x} {b:x}\n" for a, b in spans)
    answers = subprocess.run([sys.argv[1]], input=asked, text=True, capture_output=True, check=True).stdout.split()
    checked, explained, wrong, seen = 0, dict.fromkeys(EXPLAINED, 0), [], [0, 0, 0]
    for (first, last), digits in zip(spans, answers):
        assert len(digits) == last - first + 1
        for c, digit in zip(range(first, last + 1), digits):
            there, ours = libc.wcwidth(chr(c)), int(digit)
            checked += 1
            if there == ours:
                seen[ours] += 1
                continue
            for why, applies in EXPLAINED.items():
                if applies(c, there, ours):
                    explained[why] += 1
                    break
            else:
                wrong.append(f"U+{c:04X} {unicodedata.name(chr(c), '?')}: {there} there, {ours} here")
    for line in wrong[:40]:
        print(line)
    for why, count in explained.items():
        print(f"{count} differ: {why}")
    print(f"{checked} characters; of no, one and two columns agree {seen[0]}, {seen[1]}, {seen[2]}; {len(wrong)} wrong")
    sys.exit(1 if wrong or min(seen) < 500 else 0)


if __name__ == "__main__":
    main()
