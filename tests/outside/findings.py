#!/usr/bin/env python3
"""The JSON and the SARIF of findings, held to what is published about both.

  JSON    grammar/diagnostics.schema.json, checked by python3-jsonschema (JSON Schema 2020-12)
  SARIF   the OASIS schema of SARIF 2.1.0 as the npm package @microsoft/sarif-multitool-linux ships it, checked by
          python3-jsonschema and by ajv; and that package's own validator
  places  counted again here in UTF-16 code units, as the Language Server Protocol 3.17 and SARIF 3.18.2 say

The npm packages go, by name, into a cache outside of the source tree ($XDG_CACHE_HOME/scruple or ~/.cache/scruple).

usage: findings.py [BINARY]
"""
import json
import os
import pathlib
import shutil
import subprocess
import sys
import tempfile
import warnings

import jsonschema

ROOT = pathlib.Path(__file__).resolve().parents[2]
BINARY = pathlib.Path(sys.argv[1] if len(sys.argv) > 1 else ROOT / "build/scruple").resolve()
CACHE = pathlib.Path(os.environ.get("XDG_CACHE_HOME") or pathlib.Path.home() / ".cache") / "scruple/outside"
PACKAGES = ["@microsoft/sarif-multitool-linux", "ajv", "ajv-formats"]

# The validator warns that the log names no home page of the tool. Scruple has none, and none is made up.
ALLOWED = {"SARIF2005"}

passed = failed = 0


def check(good, what):
    global passed, failed
    if good:
        passed += 1
    else:
        failed += 1
        print(f"FAIL {what}")


def install():
    modules = CACHE / "node_modules"
    if not all((modules / p).is_dir() for p in PACKAGES):
        CACHE.mkdir(parents=True, exist_ok=True)
        (CACHE / "package.json").write_text('{"private": true}\n')
        subprocess.run(["npm", "install", "--no-audit", "--no-fund", *PACKAGES], cwd=CACHE, check=True,
                       stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, stdin=subprocess.DEVNULL)
    tool = modules / PACKAGES[0] / "Sarif.Multitool"
    tool.chmod(tool.stat().st_mode | 0o100)
    return modules, tool


def findings(folder, form, *paths):
    done = subprocess.run([str(BINARY), "check", *(paths or ["."]), "--diagnostics", form], cwd=folder, text=True,
                          stdout=subprocess.PIPE, check=False)
    if done.returncode not in (0, 1, 3):
        raise RuntimeError(f"status {done.returncode}")
    return json.loads(done.stdout)


def lines_of(text):
    return text.split("\n")


def offset(text, line, character):
    """Index into a Python string of a zero-based place in UTF-16 code units."""
    start = sum(len(x) + 1 for x in lines_of(text)[:line])
    units = lines_of(text)[line].encode("utf-16-le")[: 2 * character]
    return start + len(units.decode("utf-16-le"))


def cut(text, span):
    begin = offset(text, span["start"]["line"], span["start"]["character"])
    return begin, offset(text, span["end"]["line"], span["end"]["character"])


def from_sarif(region):
    return {"start": {"line": region["startLine"] - 1, "character": region["startColumn"] - 1},
            "end": {"line": region["endLine"] - 1, "character": region["endColumn"] - 1}}


def edited(text, edits):
    for span, new in sorted(edits, key=lambda e: (e[0]["start"]["line"], e[0]["start"]["character"]), reverse=True):
        begin, end = cut(text, span)
        text = text[:begin] + new + text[end:]
    return text


def results_of(log):
    return [r for run in log["runs"] for r in run["results"]]


def notifications_of(log):
    return [n for run in log["runs"] for i in run["invocations"] for n in i.get("toolExecutionNotifications", [])]


def main():
    modules, tool = install()
    sarif_schema = json.loads((modules / PACKAGES[0] / "sarif-2.1.0.json").read_text())
    sarif = jsonschema.validators.validator_for(sarif_schema)(sarif_schema)
    own_schema = json.loads((ROOT / "grammar/diagnostics.schema.json").read_text())
    jsonschema.Draft202012Validator.check_schema(own_schema)
    own = jsonschema.Draft202012Validator(own_schema)

    examples = sorted((ROOT / "tests/diagnostics").glob("*.scruple"))
    with tempfile.TemporaryDirectory() as scratch:
        scratch = pathlib.Path(scratch)
        logs = scratch / "logs"
        logs.mkdir()
        for example in examples:
            one(example, scratch, logs, own, sarif)
        special(scratch, logs, own, sarif)
        changes(scratch, logs, sarif)
        multitool(tool, logs)
        ajv(modules, logs)
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or not passed else 0


def one(example, scratch, logs, own, sarif):
    """One file's findings in both forms, against the schemas, the text, and each other."""
    folder = scratch / example.stem
    folder.mkdir()
    shutil.copy(example, folder / example.name)
    document = findings(folder, "json", "--alone", example.name)
    log = findings(folder, "sarif", "--alone", example.name)
    (logs / (example.stem + ".sarif")).write_text(json.dumps(log, ensure_ascii=False))
    validate(example.name, document, log, own, sarif, scratch)
    try:
        text = example.read_bytes().decode()
    except UnicodeDecodeError:
        return  # the one that is about this
    by_fingerprint = {}
    for result in results_of(log):
        by_fingerprint.setdefault(result["ruleId"] + result["message"]["text"].split("\n")[0], []).append(result)
        for place in result["locations"] + result.get("relatedLocations", []):
            physical = place["physicalLocation"]
            snippet = physical["region"].get("snippet", {}).get("text")
            if snippet is None or physical["artifactLocation"]["uri"] != example.name:
                continue
            begin, end = cut(text, from_sarif(physical["region"]))
            check(text[begin:end] == snippet, f"{example.name}: a region is not where its snippet is: {snippet!r}")
    for found in document["diagnostics"]:
        results = by_fingerprint.get(found["code"] + found["message"], [])
        ours = [r for r in results
                if from_sarif(r["locations"][0]["physicalLocation"]["region"]) == found["range"]]
        check(bool(ours), f"{example.name}: no SARIF result at the place of {found['code']}")
        if not ours:
            continue
        fixes = ours[0].get("fixes", [])
        check(len(fixes) == len(found["fixes"]), f"{example.name}: not as many fixes in both forms")
        for there, here in zip(fixes, found["fixes"]):
            replacements = [(from_sarif(r["deletedRegion"]), r.get("insertedContent", {}).get("text", ""))
                            for change in there["artifactChanges"] for r in change["replacements"]]
            check(edited(text, replacements) == edited(text, [(e["range"], e["text"]) for e in here["edits"]]),
                  f"{example.name}: the two forms of a fix give different texts")


def validate(name, document, log, own, sarif, scratch):
    errors = [f"JSON: {e.message} at {list(e.absolute_path)}" for e in own.iter_errors(document)]
    errors += [f"SARIF: {e.message} at {list(e.absolute_path)}" for e in sarif.iter_errors(log)]
    check(not errors, f"{name}: " + "; ".join(errors))
    check(len(document["diagnostics"]) == len(results_of(log)) + len(notifications_of(log)),
          f"{name}: not as many findings in both forms")
    check(str(scratch) not in json.dumps([document, log]), f"{name}: a path of the machine is in the output")
    for run in log["runs"]:
        check(run["columnKind"] == "utf16CodeUnits", f"{name}: columnKind")
        levels = [r["level"] for r in run["results"]]
        check(levels == sorted(levels, key=["error", "warning", "note"].index), f"{name}: the gravest do not come first")
        for result in run["results"]:
            rule = run["tool"]["driver"]["rules"][result["ruleIndex"]]
            check(rule["id"] == result["ruleId"], f"{name}: ruleIndex of {result['ruleId']}")
            check(len(rule["help"]["text"]) > 25, f"{name}: {rule['id']} has no help")
        prints = [r["partialFingerprints"]["primaryLocationLineHash"] for r in run["results"]]
        check(len(set(prints)) == len(prints), f"{name}: two results of a run have one fingerprint")


def fingerprints(log):
    return sorted((r["ruleId"], r["partialFingerprints"]["primaryLocationLineHash"]) for r in results_of(log))


def special(scratch, logs, own, sarif):
    """Moved lines, odd file names, several collections, many findings, findings without a place."""
    folder = scratch / "moved"
    folder.mkdir()
    (folder / ".git").mkdir()
    recipe = folder / "ferry boat: é.scruple"
    text = (ROOT / "tests/outputs/findings_in_each_form/ferry.scruple").read_text()
    recipe.write_text(text)
    before = findings(folder, "sarif")
    recipe.write_text("# one\n# two\n\n" + text.replace("    1 part     vetivr", "        1   part     vetivr"))
    after = findings(folder, "sarif")
    check(before != after, "moved lines show")
    check(fingerprints(before) == fingerprints(after), "fingerprints survive moved lines and other blanks")
    recipe.write_text(text.replace("vetivr", "vetivor"))
    check(fingerprints(before) != fingerprints(findings(folder, "sarif")), "another line has another fingerprint")
    uris = {p["physicalLocation"]["artifactLocation"]["uri"] for r in results_of(before) for p in r["locations"]}
    check(uris == {"ferry%20boat%3A%20%C3%A9.scruple"}, f"URIs are encoded as RFC 3986 says: {uris}")
    validate("odd name", findings(folder, "json"), before, own, sarif, scratch)
    (logs / "odd_name.sarif").write_text(json.dumps(before))

    folder = scratch / "many"
    folder.mkdir()
    for i in range(110):
        (folder / f"f{i}.scruple").write_text("".join(f"let a_{i}_{j} = +{j} g\n" for j in range(1, 49)))
    log = findings(folder, "sarif")
    check(len(results_of(log)) == 5000, "at most 5000 results, as services take them")
    told = notifications_of(log)
    check(len(told) == 1 and told[0]["message"]["text"].startswith("280 "), "what is left out is counted")
    check(not list(sarif.iter_errors(log)), "many findings validate")

    document = findings(folder, "json", "nowhere")
    log = findings(folder, "sarif", "nowhere")
    validate("without a place", document, log, own, sarif, scratch)
    check(document["diagnostics"][0]["file"] is None, "a finding without a place has no file")
    check(not results_of(log) and notifications_of(log)[0]["descriptor"]["id"] == "cannot_read",
          "a finding without a place is about the run")
    check(log["runs"][0]["invocations"][0]["executionSuccessful"] is False, "a file that can't be read is a run that failed")
    (logs / "without_place.sarif").write_text(json.dumps(log))

    for name in ("one", "two"):
        (folder / name).mkdir()
        (folder / name / "collection.scruple").write_text("let a = +1 g\n")
    log = findings(folder, "sarif", "one", "two")
    validate("two collections", findings(folder, "json", "one", "two"), log, own, sarif, scratch)
    (logs / "two_collections.sarif").write_text(json.dumps(log))
    check(findings(folder, "sarif", "one", "two") == log, "the same again")


def changes(scratch, logs, sarif):
    """What differs between two versions as a log: each place is a row that changed, as git-diff(1) counts them."""
    review = ROOT / "tests/outputs/diff_review"
    folder = scratch / "changes"
    shutil.copytree(review / "old", folder / "old")
    shutil.copytree(review / "new", folder / "new")
    wide = folder / "wide"
    shutil.copytree(ROOT / "examples/stillroom", wide / "old")
    shutil.copytree(ROOT / "examples/shared_shelf", wide / "shared_shelf")
    shutil.copytree(wide / "old", wide / "new")
    for name, was, now in (("blends/shore.scruple", "1 part     vetiver", "2 parts    vetiver"), ("products/skin.scruple", " at ", " at 1"),
                           ("products/rooms.scruple", " at ", " at 1")):
        path = wide / "new" / name
        if path.exists():
            path.write_text(path.read_text().replace(was, now, 1))
    for name, where in (("review", folder), ("stillroom", wide)):
        done = subprocess.run([str(BINARY), "diff", "old", "new", "--to", "sarif"], cwd=where, text=True, stdout=subprocess.PIPE, check=False)
        check(done.returncode == 0, f"changes, {name}: status {done.returncode}")
        log = json.loads(done.stdout)
        errors = [f"{e.message} at {list(e.absolute_path)}" for e in sarif.iter_errors(log)]
        check(not errors, f"changes, {name}: " + "; ".join(errors[:3]))
        check(bool(results_of(log)), f"changes, {name}: there are results")
        (logs / f"changes_{name}.sarif").write_text(json.dumps(log))
        told = subprocess.run(["git", "diff", "--no-index", "-U0", "--no-ext-diff", "old", "new"], cwd=where, text=True, stdout=subprocess.PIPE, check=False).stdout
        changed, file = set(), None
        for line in told.split("\n"):
            if line.startswith("+++ "):
                file = line[len("+++ b/new/"):]
            if line.startswith("@@ "):
                start, _, count = line.split("+")[1].split(" ")[0].partition(",")
                changed |= {(file, int(start) + i) for i in range(int(count or 1))}
        for result in results_of(log):
            physical = result["locations"][0]["physicalLocation"]
            place = physical["artifactLocation"]["uri"], physical["region"]["startLine"]
            check(place in changed, f"changes, {name}: {place} is no line that changed: {result['message']['text'][:80]}")
            check(physical["region"]["snippet"]["text"] in (where / "new" / place[0]).read_text(), f"changes, {name}: the snippet")
            rule = log["runs"][0]["tool"]["driver"]["rules"][result["ruleIndex"]]
            check(rule["id"] == result["ruleId"], f"changes, {name}: ruleIndex")
        levels = [r["level"] for r in results_of(log)]
        check(levels == sorted(levels, key=["error", "warning", "note"].index), f"changes, {name}: the gravest come first")
    done = subprocess.run([str(BINARY), "diff", "new", "old", "--to", "sarif"], cwd=folder, text=True, stdout=subprocess.PIPE, check=False)
    check(all(r["level"] == "note" or "label" in r["ruleId"] for r in results_of(json.loads(done.stdout))), "what gets better is no warning")


def multitool(tool, logs):
    """The validator's own rules: no error, no warning but the ones that are allowed, on every log."""
    report = logs.parent / "report.sarif"
    done = subprocess.run([str(tool), "validate", *map(str, sorted(logs.glob("*.sarif"))), "--output", str(report),
                           "--log", "ForceOverwrite", "--level", "Error;Warning", "--kind", "Fail",
                           "--rule-kind", "Sarif;Ghas"],
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False,
                          env={**os.environ, "DOTNET_SYSTEM_GLOBALIZATION_INVARIANT": "1"})
    check(report.is_file(), "the validator ran: " + done.stdout[-500:])
    if not report.is_file():
        return
    said = {}
    for run in json.loads(report.read_text())["runs"]:
        for result in run.get("results", []):
            if result.get("level", "warning") in ("error", "warning"):
                said.setdefault(result["ruleId"], []).append(result)
    check(f"{len(list(logs.glob('*.sarif')))} files scanned" in done.stdout, "the validator saw every log: " + done.stdout[-300:])
    check("SARIF2005" in said, "the validator reports what it is known to report")
    for rule, results in said.items():
        check(rule in ALLOWED, f"{rule}, {len(results)} times: " + json.dumps(results[0]["message"]))


AJV = """
const Ajv = require('ajv/dist/2020').default, formats = require('ajv-formats').default, fs = require('fs');
const ajv = new Ajv({strict: false, allErrors: true});
formats(ajv);
const validate = ajv.compile(JSON.parse(fs.readFileSync(process.argv[2])));
let bad = 0;
for (const file of process.argv.slice(3)) {
    if (!validate(JSON.parse(fs.readFileSync(file)))) { bad += 1; console.log(file, JSON.stringify(validate.errors[0])); }
}
if (validate({version: '2.1.0'})) { bad += 1; console.log('a log without runs passes'); }
process.exit(bad ? 1 : 0);
"""


def ajv(modules, logs):
    """A second reader of the schema, which checks the formats (URIs) too."""
    schema = modules / PACKAGES[0] / "sarif-2.1.0.json"
    script = modules.parent / "check.cjs"
    script.write_text(AJV)
    done = subprocess.run(["node", str(script), str(schema), *map(str, sorted(logs.glob("*.sarif")))],
                          stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False)
    check(done.returncode == 0, "ajv: " + done.stdout[:1000])


if __name__ == "__main__":
    warnings.simplefilter("ignore")
    sys.exit(main())
