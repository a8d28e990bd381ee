#!/usr/bin/python3
"""Holds the standard library to the research tables in figures/, figure by figure and standing by standing.

Reads Scruple text by itself (reader.py, library.py) and shares no code with the compiler. What is published and what is recalled
is said by the tables (`source`, `confidence`); CAS check digits follow the rule of the CAS Registry (digits from the
right times 1, 2, 3 ..., modulo 10). Prints each failure, then `N passed, M failed`; exits 1 if any failed.

    roundtrip.py [LIBRARY_FOLDER]
"""
import sys

sys.dont_write_bytecode = True
import library  # noqa: E402
import names  # noqa: E402
import oils  # noqa: E402, F401
import goods  # noqa: E402, F401
import limits  # noqa: E402, F401
import allergens  # noqa: E402, F401
import people  # noqa: E402, F401

print(f"no CAS number, left out on purpose ({len(names.blank_cas)}): " + ", ".join(sorted(names.blank_cas)))
for failure in library.failures:
    print(f"failed: {failure}")
print(f"{library.passed} passed, {len(library.failures)} failed")
sys.exit(1 if library.failures else 0)
