#!/usr/bin/env python3
"""What every oil, limit and rule set of the library must state, or say that it is not known. Reads `scruple library
--to json` and nothing else; shares no code with the compiler and none with roundtrip.py.

A gap is counted, never passed over: each is listed under `unknown` or `gaps`, the counts below may only fall, and
`--doubts` must list the same. The rules here are common practice, no source; the form of a CAS number and its check
digit follow the CAS Registry.

    coverage.py [--binary PATH]
"""
import argparse
import json
import os
import pathlib
import re
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]

# What is not known of how many oils. Fewer is better; more is a loss that somebody must answer for.
MOST_UNKNOWN = {"botanical": 0, "family": 0, "part": 0, "process": 0, "inci": 0, "cas": 32, "density": 0, "flash": 69,
                "note": 0, "odour": 0, "impact": 0, "keeps": 0, "contains": 69}
# Limits that say nothing of some category although their rule set goes by category: a gap has to be said, `unstated`.
MOST_GAPS = 0
# Limits whose source has a figure that is not known here.
MOST_UNSTATED = 26  # sixteen of them restricted by an index whose tables were not read
# Formats without a usual load: a product in one must state its own.
WITHOUT_LOAD = {"aroma_stone"}
# Fields of an oil as the language spells them, and as the document does.
IN_LANGUAGE = {"botanical": "botanical", "family": "family", "part": "part", "process": "process", "inci": "inci",
               "cas": "cas", "density": "density", "flash": "flash_c", "note": "note", "odour": "odour",
               "impact": "impact", "keeps": "keeps_months"}
STANDINGS = {"law", "standard", "handbook", "supplier", "paper", "practice", "recalled", "vague", "derived", "estimate",
             "disputed"}

passed = 0
failures = []


def check(good, what):
    global passed
    if good:
        passed += 1
    else:
        failures.append(what)
    return good


def sourced(row):
    return row["standing"] in STANDINGS and bool(row["source"])


def cas_good(cas):
    if not re.fullmatch(r"[1-9][0-9]{1,6}-[0-9]{2}-[0-9]", cas):
        return False
    digits = cas.replace("-", "")
    return sum(int(d) * i for i, d in enumerate(reversed(digits[:-1]), 1)) % 10 == int(digits[-1])


def in_order(r):
    figures = [r["low"], r["typical"], r["high"]]
    figures = [f for f in figures if f is not None]
    return figures == sorted(figures) and figures[0] >= 0


def check_composition(x, substances):
    name, composition = x["id"], x["composition"]
    if not composition:
        return
    for row in composition["rows"]:
        where = f"{name}: {row['substance']}"
        check(row["substance"] in substances, f"{where} is declared")
        check(sourced(row), f"{where} has a source")
        check(in_order(row) and row["high"] <= 100, f"{where} goes from low to high")
    for row in composition["group_sums"]:
        check(row["substance"] in substances, f"{name}: {row['substance']} is declared")
    check(composition["rows"] != [], f"{name}: a composition has rows")
    known, unknown = composition["typical_known_percent"], composition["typical_unknown_percent"]
    check(abs(known + unknown - 100) < 1e-6, f"{name}: known and unknown come to the whole")
    # Nothing that is stated may be counted as unknown: no single row is larger than what is known.
    largest = max(r["typical"] if r["typical"] is not None else r["high"] for r in composition["rows"])
    own = [r for r in composition["rows"] if substances.get(r["substance"], {}).get("members") != []]
    if own:
        check(known + 1e-6 >= min(largest, max(r["typical"] if r["typical"] is not None else r["high"] for r in own)),
              f"{name}: what is known is not less than its largest row")


def check_oils(library, substances):
    counts = dict.fromkeys(MOST_UNKNOWN, 0)
    for oil in library["oils"]:
        name, unknown = oil["id"], oil["unknown"]
        check(len(unknown) == len(set(unknown)) and set(unknown) <= set(MOST_UNKNOWN), f"{name}: what is unknown, once each")
        for field, key in IN_LANGUAGE.items():
            check((oil[key] is None) == (field in unknown), f"{name}: {field} is there, or said to be unknown")
        # A mark without constituents, as a whole extract has, is no known composition.
        composition = oil["composition"]
        constituents = composition and any(substances.get(r["substance"], {}).get("members") != [] for r in composition["rows"])
        check(bool(constituents) == ("contains" not in unknown), f"{name}: its composition is there, or said to be unknown")
        for field in unknown:
            counts[field] += 1
        if oil["density"]:
            check(sourced(oil["density"]), f"{name}: its density has a source")
            check(in_order(oil["density"]) and 0.5 < oil["density"]["low"] and oil["density"]["high"] < 2,
                  f"{name}: its density is that of an oil")
        if oil["note"]:
            check(oil["note_cite"] is not None, f"{name}: its note has a source")
        check(oil["sources"] != [], f"{name}: it has a source")
        check(all(s["standing"] in STANDINGS and s["source"] for s in oil["sources"]), f"{name}: its sources say what they are")
        # Nobody has to weigh with an oil that is not described: only what takes a reading of it may be missing.
        check(set(unknown) <= {"cas", "flash", "contains"}, f"{name}: half described, without {unknown}")
        check_composition(oil, substances)
    for field, most in MOST_UNKNOWN.items():
        check(counts[field] <= most, f"{counts[field]} oils lack `{field}`, and {most} did before")
        if counts[field] < most:
            print(f"better: {counts[field]} oils lack `{field}`, lower MOST_UNKNOWN to it")
    print("not known, of so many oils: " + ", ".join(f"{f} {n}" for f, n in counts.items()))
    limited = {x["subject"] for x in library["limits"]}
    for oil in library["oils"]:
        if "contains" in oil["unknown"]:
            check(oil["id"] in limited, f"{oil['id']}: an oil of unknown composition is here for the limits on it")


def check_names(library, substances):
    for kind in ("oils", "ingredients", "substances", "groups", "categories", "rule_sets", "formats", "bases", "units",
                 "cautions", "audiences", "guides", "sources"):
        ids = [x["id"] for x in library[kind]]
        check(ids and len(ids) == len(set(ids)), f"{kind}: there are some, each once")
        if kind not in ("cautions", "audiences", "guides"):  # those stand in the order of the library
            check(ids == sorted(ids), f"{kind}: sorted")
    for x in library["oils"] + library["ingredients"] + list(substances.values()):
        if x["cas"] is not None:
            check(cas_good(x["cas"]), f"{x['id']}: CAS {x['cas']}")
    for group in library["groups"]:
        for member in group["members"]:
            check(member in substances, f"{group['id']}: {member} is declared")
            if "groups" in substances.get(member, {}):
                check(group["id"] in substances[member]["groups"], f"{member}: knows that it counts in {group['id']}")
    materials = {x["id"] for x in library["oils"] + library["ingredients"]}
    bases = {x["id"] for x in library["bases"]}
    for base in library["bases"]:
        for row in (r for phase in base["phases"] for r in phase["rows"]):
            check(row["material"] in materials | bases, f"{base['id']}: {row['material']} is declared")
    categories = {x["id"] for x in library["categories"]}
    for format_ in library["formats"]:
        check(format_["category"] in categories, f"{format_['id']}: its category is declared")
        check(format_["usual_base"] is None or format_["usual_base"] in bases, f"{format_['id']}: its base is declared")
        check((format_["load"] is None) == (format_["id"] in WITHOUT_LOAD), f"{format_['id']}: has a usual load")
    for ingredient in library["ingredients"]:
        check(ingredient["role"] is not None, f"{ingredient['id']}: has a role")
        check(ingredient["sources"] != [], f"{ingredient['id']}: has a source")
        check((ingredient["density"] is None) == ("density" in ingredient["unknown"] or ingredient["state"] == "part"),
              f"{ingredient['id']}: has a density, or says that it is unknown")
        if ingredient["density"]:
            check(sourced(ingredient["density"]), f"{ingredient['id']}: its density has a source")
        check_composition(ingredient, substances)


def table_categories(library):
    """Categories with a code that lie in no other with a code."""
    coded = {x["id"] for x in library["categories"] if x["code"]}
    return {x["id"]: set(x["within"]) | {x["id"]} for x in library["categories"]
            if x["id"] in coded and not coded & set(x["within"])}


def check_fallbacks(library, table, by_category):
    """Where a table is known in part, its gaps are said, and the strictest figure known of it warns in their place."""
    estimates = {x["subject"]: x for x in library["limits"] if x["rules"] == "estimates"}
    fallen = 0
    for limit in library["limits"]:
        if limit["rules"] not in by_category:
            continue
        known = [r["percent"] for r in limit["rows"] if r["kind"] == "ceiling" and r["percent"]]
        open_ = {c for r in limit["rows"] if r["kind"] == "unstated" for c in r["categories"] if c in table}
        for category in sorted(open_) if known else []:
            fallen += 1
            instead = [r["percent"] for r in estimates.get(limit["subject"], {"rows": []})["rows"]
                       if r["kind"] == "ceiling" and category in r["categories"]]
            check(instead and min(instead) <= min(known) + 1e-12,
                  f"{limit['subject']} under {limit['rules']}: nothing stands for its unknown figure in {category}")
    check(fallen > 0, "a table that is known in part is there to check")


def check_limits(library, substances):
    materials = {x["id"]: "oil" for x in library["oils"]} | {x["id"]: "ingredient" for x in library["ingredients"]}
    categories = {x["id"] for x in library["categories"]}
    rules = {x["id"]: x for x in library["rule_sets"]}
    table = table_categories(library)
    check(len(table) >= 18, "the tables' categories are there")
    unstated = 0
    missing = {}
    full = set()
    for limit in library["limits"]:
        where = f"{limit['subject']} under {limit['rules']}"
        kind = limit["subject_kind"]
        check(materials.get(limit["subject"]) == kind if kind in ("oil", "ingredient") else limit["subject"] in substances,
              f"{where}: its subject is declared")
        check(limit["rules"] in rules, f"{where}: its rule set is declared")
        named, reached = set(), set()
        for row in limit["rows"]:
            check(sourced(row), f"{where}: {row['figure']} has a source")
            check(set(row["categories"]) <= categories, f"{where}: its categories are declared")
            # Oils take a rule on the lot in per cent too: IFRA's specification of moss extracts.
            check((row["percent"] is not None) == (row["kind"] == "ceiling" or (row["kind"] == "purity" and "%" in row["figure"])),
                  f"{where}: {row['kind']} and {row['percent']}")
            unstated += row["kind"] == "unstated"
            if row["kind"] == "purity":
                continue
            named |= set(row["categories"]) & set(table)
            reached |= {c for c, within in table.items() if within & set(row["categories"])}
        if reached and reached != set(table):
            missing[limit["subject"], limit["rules"]] = set(table) - reached
        if len(named) > 1 and reached == set(table):
            full.add(limit["rules"])
        if not reached and any(r["kind"] != "purity" for r in limit["rows"]):
            missing[limit["subject"], limit["rules"]] = set(table)
    check_fallbacks(library, table, full)
    check(unstated <= MOST_UNSTATED, f"{unstated} limits without their figure, and {MOST_UNSTATED} were before")
    check({r for r, x in rules.items() if x["by_category"]} == full, "which rule sets go by category")
    check({"ifra_49", "ifra_51"} <= full, "the editions of the tables go by category")
    gaps = {(g["subject"], g["rules"]): set(g["categories"]) for g in library["gaps"]}
    check(gaps == {k: v for k, v in missing.items() if k[1] in full}, "each category that a limit leaves out is listed as a gap")
    check(len(gaps) <= MOST_GAPS, f"{len(gaps)} limits leave categories out, and {MOST_GAPS} did before")
    print(f"limits that leave out categories: {len(gaps)}; without their figure: {unstated}")
    return gaps, unstated


READ = {"law", "standard", "handbook", "supplier", "paper", "practice"}
REMEMBERED = re.compile(r"memor|recall|remember", re.IGNORECASE)
BESIDE = "; remembered beside it, not used: "


def check_standings(library):
    """A source of a read standing is what was read. What is remembered of another text may stand after it in one set
    form, which says that the figure is not that one; anywhere else memory makes the standing `recalled`."""
    seen = 0

    def walk(value, where):
        nonlocal seen
        if isinstance(value, dict):
            where = value.get("id") or value.get("subject") or where
            if value.get("standing") in READ and "source" in value:
                seen += 1
                read, _, beside = (value["source"] or "").partition(BESIDE)
                check(len(read) >= 10 and not REMEMBERED.search(read) and not REMEMBERED.search(beside),
                      f"{where}: `{value['standing']}` for what memory says: {value['source']}")
            for inner in value.values():
                walk(inner, where)
        elif isinstance(value, list):
            for inner in value:
                walk(inner, where)

    walk(library, "")
    check(seen > 1000, f"only {seen} sources of a read standing")


def check_doubts(library, doubts, gaps, unstated):
    """The list to work off holds what the library says of itself."""
    memory = {"recalled", "vague", "derived", "estimate", "disputed"}

    def doubtful(row):
        return row["standing"] in memory or "from memory" in (row["source"] or "")

    listed = {}
    for d in doubts["doubts"]:
        listed.setdefault(d["kind"], []).append(d)
    check(doubts["counts"] == {k: len(listed.get(k, [])) for k in doubts["counts"]}, "the counts are those of the rows")
    check(len(listed["unknown_limit"]) == unstated, "every limit without its figure is listed")
    check({(d["subject"], d["about"]): set(d["figure"].split(", ")) for d in listed.get("uncovered", [])} == gaps, "every gap is listed")
    rows = sum(1 for limit in library["limits"] for r in limit["rows"] if r["kind"] != "unstated" and doubtful(r))
    check(len(listed["limit"]) == rows, f"every limit from memory is listed: {len(listed['limit'])} of {rows}")
    goods = library["oils"] + library["ingredients"]
    dense = [x["id"] for x in goods if x["density"] and doubtful(x["density"])]
    check(sorted(d["subject"] for d in listed["density"]) == sorted(dense), "every density from memory is listed")
    limited = {x["subject"] for x in library["limits"]}
    groups = {s["id"]: set(s["groups"]) | {s["id"]} for s in library["substances"]} | {g["id"]: {g["id"]} for g in library["groups"]}
    shares = sorted((x["id"], r["substance"]) for x in goods if x["composition"] for r in x["composition"]["rows"]
                    if groups.get(r["substance"], set()) & limited and doubtful(r))
    check(sorted((d["subject"], d["about"]) for d in listed["composition"]) == shares,
          "every share from memory of what has limits is listed")
    unknown = sorted((x["id"], f) for x in goods for f in x["unknown"])
    check(sorted((d["subject"], d["about"]) for d in listed["missing"]) == unknown, "everything unknown is listed")
    kinds = [d["kind"] for d in doubts["doubts"]]
    check(kinds[:1] == ["limit"] and [k for i, k in enumerate(kinds) if i == 0 or kinds[i - 1] != k] ==
          [k for k in doubts["counts"] if listed.get(k)], "limits first, each kind together")


def check_people(library, doubts):
    """What is said of people rests on something, and speaks of what the library has."""
    oils = {x["id"] for x in library["oils"]}
    substances = {x["id"] for x in library["substances"] + library["groups"]}
    audiences = {x["id"]: x for x in library["audiences"]}
    categories, formats = ({x["id"] for x in library[k]} for k in ("categories", "formats"))
    rules = {x["id"] for x in library["rule_sets"]}
    check(sum(x["assumed"] for x in audiences.values()) == 1, "one audience is assumed where nobody is named")
    for x in audiences.values():
        check(x["sources"] != [] and set(x["members"]) <= set(audiences), f"{x['id']}: has a source, and members that are there")
        check((x["title"][0].islower() or x["title"].split()[0].isupper()) and not x["title"].endswith("."), f"{x['id']}: its title stands inside a sentence")
    ruled_out = 0
    for x in library["cautions"]:
        name, special = x["id"], x["rank"] is not None
        check(x["sources"] != [] and all(s["standing"] in STANDINGS and s["source"] for s in x["sources"]), f"{name}: has a source")
        check(set(x["oils"]) <= oils and set(x["substances"]) <= substances, f"{name}: speaks of oils that are there")
        check(set(x["audience"]) <= set(audiences), f"{name}: is for people who are there")
        check(special == bool(x["oils"] or x["substances"] or x["audience"]), f"{name}: a rank, and whom or what it is about")
        check(bool(x["substances"]) == (x["from_percent"] is not None), f"{name}: substances with the share that counts")
        check(x["text"].endswith(".") and x["text"][0].isupper(), f"{name}: is a sentence")
        check(x["rules"] is None or x["rules"] in rules, f"{name}: its rule set is there")
        law = any(s["standing"] in ("law", "standard") for s in x["sources"])
        check(not (special and law) or x["rules"] is not None, f"{name}: law says where it holds")
        if x["advice"] == "avoid":
            ruled_out += 1
            check(x["audience"] != [], f"{name}: rules out, but for whom?")
            check(not any(audiences[a]["assumed"] for a in x["audience"]), f"{name}: not for those who are assumed")
    guided = set()
    for x in library["guides"]:
        name = x["id"]
        check(set(x["oils"]) <= oils and set(x["audience"]) <= set(audiences), f"{name}: speaks of what is there")
        check(set(x["categories"]) <= categories and set(x["formats"]) <= formats, f"{name}: for purposes that are there")
        check(bool(x["audience"] or x["categories"] or x["formats"]), f"{name}: is for somebody or something")
        for row in x["rows"]:
            check(sourced(row), f"{name}: {row['most_percent']} % has a source")
            check(row["low_percent"] <= row["typical_percent"] <= row["most_percent"], f"{name}: from low to high")
        if not x["oils"]:
            guided |= {m for a in x["audience"] for m in audiences[a]["members"]}
    ages = {m for a in ("adults", "infants", "children") for m in audiences[a]["members"]}
    check(ages <= guided, f"every age has a usual dilution: {sorted(ages - guided)} have none")
    print(f"people: {len(audiences)} audiences, {sum(x['rank'] is not None for x in library['cautions'])} cautions about oils or "
          f"people, {ruled_out} of them rule out; {len(library['guides'])} guides; no usual dilution for "
          + ", ".join(sorted({m for x in audiences.values() for m in x['members']} - guided)))
    for x in library["oils"]:
        check((x["cites_appendix"] is None) == (x["cites_source"] is None), f"{x['id']}: its CITES appendix has a source")
        said = re.search(r"CITES Appendix (I+)", x["conservation"] or "")
        check(not said or said.group(1).lower() == x["cites_appendix"], f"{x['id']}: the words and the appendix say the same")
    memory = {"recalled", "vague", "derived", "estimate", "disputed"}
    rows = sum(1 for x in library["guides"] for r in x["rows"] if r["standing"] in memory or "from memory" in r["source"])
    check(rows == doubts["counts"]["guide"], f"every recalled figure of a guide is listed: {rows}")
    said = sum(1 for x in library["cautions"] for s in x["sources"] if s["standing"] in memory or "from memory" in s["source"])
    check(said == doubts["counts"]["caution"], f"every recalled caution is listed: {said}")


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--binary", default=os.environ.get("SCRUPLE") or ROOT / "build/scruple")
    binary = parser.parse_args().binary

    def read(*words):
        return json.loads(subprocess.run([str(binary), "library", *words, "--to", "json"], check=True, timeout=60,
                                         stdout=subprocess.PIPE).stdout)

    library = read()
    check(library["schema"] == "scruple.library/1", "the library's schema")
    substances = {x["id"]: x for x in library["substances"] + library["groups"]}
    check_names(library, substances)
    check_oils(library, substances)
    gaps, unstated = check_limits(library, substances)
    check_standings(library)
    doubts = read("--doubts")
    check_doubts(library, doubts, gaps, unstated)
    check_people(library, doubts)
    for failure in failures:
        print(f"FAILED: {failure}")
    print(f"{passed} passed, {len(failures)} failed")
    return 1 if failures or not passed else 0


if __name__ == "__main__":
    sys.exit(main())
