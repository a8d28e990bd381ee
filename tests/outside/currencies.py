#!/usr/bin/env python3
"""Checks the currencies against ISO 4217 as the Debian package `iso-codes` carries it.

usage: currencies.py PROBE        where PROBE is the built num_probe
"""
import itertools
import json
import string
import subprocess
import sys

FILE = "/usr/share/iso-codes/json/iso_4217.json"
# Funds, units of account, metals, and codes for tests and no currency: in the list, but nothing is priced in them.
NO_MONEY = set("BOV CHE CHW CLF COU MXV USN UYI UYW XAG XAU XBA XBB XBC XBD XDR XPD XPT XSU XTS XUA XXX".split())
# Changes of the standard since the package was made, from memory of its amendments.
GONE = set("ANG CUC HRK SLL ZWL".split())
NEW = set("XCG ZWG".split())


def main():
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    with open(FILE, encoding="utf-8") as file:
        listed = {entry["alpha_3"] for entry in json.load(file)["4217"]}
    want = listed - NO_MONEY - GONE | NEW
    codes = ["".join(letters) for letters in itertools.product(string.ascii_uppercase, repeat=3)]
    asked = "".join(f"currency {code}\n" for code in codes)
    answers = subprocess.run([sys.argv[1]], input=asked, text=True, capture_output=True, check=True).stdout.split()
    have = {code for code, answer in zip(codes, answers) if answer == "yes"}
    print(f"{len(have)} currencies; missing {sorted(want - have)}, too many {sorted(have - want)}")
    sys.exit(0 if have == want and len(answers) == len(codes) else 1)


if __name__ == "__main__":
    main()
