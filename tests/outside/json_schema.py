"""The documents (formula, library, doubts, advice) against their published schemas, by two validators that have nothing to do
with this project: python3-jsonschema (Debian) and ajv (npm), both for JSON Schema 2020-12. A stricter copy of the schema, in which no
object may hold a key that it does not describe, shows that every key written is described. Spoilt documents must fail.
"""
import copy
import json
import os
import sys
import tempfile

import jsonschema

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.dirname(HERE))
import difficult
import node_packages
import program


def schema_path(name):
    return os.path.join(program.ROOT, "grammar", name + ".schema.json")


def strict(schema):
    """The same schema with every described object closed."""
    if isinstance(schema, list):
        return [strict(s) for s in schema]
    if not isinstance(schema, dict):
        return schema
    made = {key: strict(value) for key, value in schema.items()}
    if "properties" in schema and "$ref" not in schema:
        made["additionalProperties"] = False
    return made


def spoilt(document):
    """(what is wrong, document) for documents that no validator may let pass."""
    def changed(what, change):
        copied = copy.deepcopy(document)
        change(copied)
        return what, copied

    yield changed("no schema", lambda d: d.pop("schema"))
    yield changed("another schema", lambda d: d.update(schema="scruple.formula/2"))
    yield changed("a verdict of its own", lambda d: d["products"][0]["safety"].update(verdict="safe"))
    yield changed("a mass as text", lambda d: d["products"][0]["lines"][0].update(mass_g="1.5"))
    yield changed("a negative mass", lambda d: d["products"][0]["lines"][0].update(mass_g=-1))
    yield changed("parts as a number", lambda d: d["blends"][0]["parts"][0].update(parts=6))
    yield changed("a line without its role", lambda d: d["products"][0]["lines"][0].pop("role"))
    yield changed("a short fingerprint", lambda d: d["blends"][0].update(fingerprint="abc"))
    yield changed("half a unit", lambda d: d["products"][0].update(units=1.5))
    yield changed("an unknown standing", lambda d: next(
        c for p in d["products"] for c in p["safety"]["checks"]).update(standing="certain"))
    yield changed("a range without its end", lambda d: d["diagnostics"].append(
        {"code": "x", "severity": "error", "message": "", "file": "a", "range": {"start": {"line": 0, "character": 0}},
         "label": "", "related": [], "notes": [], "fixes": []}))


def spoilt_library(document):
    def changed(what, change):
        copied = copy.deepcopy(document)
        change(copied)
        return what, copied

    def known(d):
        return next(o for o in d["oils"] if o["composition"] and o["density"])

    yield changed("a library of another version", lambda d: d.update(schema="scruple.library/2"))
    yield changed("no limits", lambda d: d.pop("limits"))
    yield changed("an oil without its composition", lambda d: d["oils"][0].pop("composition"))
    yield changed("an oil that does not say what is unknown", lambda d: d["oils"][0].pop("unknown"))
    yield changed("a share over the whole", lambda d: known(d)["composition"]["rows"][0].update(high=101))
    yield changed("a share as text", lambda d: known(d)["composition"]["rows"][0].update(high="12"))
    yield changed("an unknown standing", lambda d: known(d)["density"].update(standing="certain"))
    yield changed("a limit without categories", lambda d: d["limits"][0]["rows"][0].update(categories=[]))
    yield changed("a limit without its source", lambda d: d["limits"][0]["rows"][0].pop("source"))
    yield changed("a CAS number of another form", lambda d: known(d).update(cas="78706"))
    yield changed("half a point of strength", lambda d: known(d).update(impact=4.5))


def spoilt_doubts(document):
    def changed(what, change):
        copied = copy.deepcopy(document)
        change(copied)
        return what, copied

    yield changed("a doubt of no kind", lambda d: d["doubts"][0].update(kind="other"))
    yield changed("a doubt without standing", lambda d: d["doubts"][0].pop("standing"))
    yield changed("a negative count", lambda d: d["counts"].update(limit=-1))


def spoilt_advice(document):
    def changed(what, change):
        copied = copy.deepcopy(document)
        change(copied)
        return what, copied

    yield changed("a verdict of approval", lambda d: d["products"][0]["in_parts"].update(verdict="safe"))
    yield changed("a suggestion that fails", lambda d: d["products"][0]["in_parts"].update(verdict="fails"))
    yield changed("a part of a part", lambda d: d["products"][0]["in_parts"]["lines"][0].update(parts=0.5))
    yield changed("a share over the whole", lambda d: d["products"][0]["lines"][0].update(share_ww=1.5))
    yield changed("no word on what is not known", lambda d: d["products"][0].pop("not_known"))
    yield changed("no variation", lambda d: d["products"][0]["in_parts"].pop("variation"))


def validate(tally, name, documents, bad, folder):
    """`documents` must pass by both validators, also where no object may hold more than is described; `bad` must not."""
    with open(schema_path(name), encoding="utf-8") as file:
        schema = json.load(file)
    jsonschema.Draft202012Validator.check_schema(schema)
    tally.check(schema["$id"] == f"urn:scruple:{name}:1", f"the schema of {name} has its published name")
    closed = strict(schema)
    for which, used in (("published", schema), ("strict", closed)):
        validator = jsonschema.Draft202012Validator(used)
        for title, document in documents.items():
            errors = [f"{list(e.absolute_path)}: {e.message[:200]}" for e in validator.iter_errors(document)]
            tally.check(not errors, f"python3-jsonschema, {which} schema, {title}", "\n".join(errors[:5]))
    validator = jsonschema.Draft202012Validator(schema)
    for what, document in bad:
        tally.check(not validator.is_valid(document), f"python3-jsonschema lets pass: {what}")

    paths = []
    for i, (_, document) in enumerate(list(documents.items()) + bad):
        path = os.path.join(folder, f"{name}_{i}.json")
        with open(path, "w", encoding="utf-8") as file:
            json.dump(document, file)
        paths.append(path)
    closed_path = os.path.join(folder, name + "_strict.schema.json")
    with open(closed_path, "w", encoding="utf-8") as file:
        json.dump(closed, file)
    home = node_packages.folder("ajv@8")
    for which, path in (("published", schema_path(name)), ("strict", closed_path)):
        answers = json.loads(node_packages.run(os.path.join(HERE, "json_schema.cjs"), home, path, *paths))
        tally.check(len(answers) == len(paths), "ajv answers for every document")
        for (title, _), answer in zip(documents.items(), answers):
            tally.check(answer["valid"], f"ajv, {which} schema, {title}", json.dumps(answer["errors"])[:400])
        for (what, _), answer in zip(bad, answers[len(documents):]):
            tally.check(not answer["valid"], f"ajv, {which} schema, lets pass: {what}")


def main():
    program.need_binary()
    tally = program.Tally()
    with tempfile.TemporaryDirectory() as folder:
        hard = os.path.join(folder, "hard")
        os.makedirs(hard)
        difficult.write(hard)
        documents = {}
        for name, path in (("stillroom", os.path.join(program.ROOT, "examples", "stillroom")),
                           ("priced", os.path.join(program.ROOT, "examples", "priced")),
                           ("shared_shelf", os.path.join(program.ROOT, "examples", "shared_shelf")),
                           ("hard", hard)):
            out = program.run("build", path, "--to", "json", "--diagnostics", "json").out.decode("utf-8")
            documents[name] = json.loads(out)
        for name in sorted(os.listdir(os.path.join(program.ROOT, "examples", "wrong"))):
            if not name.endswith(".scruple"):
                continue
            path = os.path.join(program.ROOT, "examples", "wrong", name)
            out = program.run("build", "--alone", path, "--to", "json", "--diagnostics", "json").out.decode("utf-8")
            documents["wrong/" + name] = json.loads(out)
        tally.check(documents["hard"]["diagnostics"] != [], "the difficult collection has findings")
        tally.check(any(not p["complete"] for p in documents["hard"]["products"]), "and a product without amounts")
        tally.check(any(p["drop_plan"] for p in documents["hard"]["products"]), "and one with a drop plan")
        tally.check(any(c["kind"] == "phototoxic_sum" for p in documents["hard"]["products"]
                        for c in p["safety"]["checks"]), "and one with a phototoxic sum")

        validate(tally, "formula", documents, list(spoilt(documents["stillroom"])), folder)
        library = json.loads(program.run("library", "--to", "json").out)
        validate(tally, "library", {"library": library}, list(spoilt_library(library)), folder)
        doubts = json.loads(program.run("library", "--doubts", "--to", "json").out)
        validate(tally, "doubts", {"doubts": doubts}, list(spoilt_doubts(doubts)), folder)
        advice = {}
        asked = os.path.join(program.ROOT, "tests", "outputs", "advice")
        for name, more in (("jetty", []), ("jetty_oil", ["--typical"]), ("jetty_oil", ["--load", "9"]), ("jetty_neat", []),
                           ("jetty_for_little_ones", []), ("capstan_oil", []), ("long_pier", ["--format", "body_oil"])):
            title = " ".join([name, *more])
            advice[title] = json.loads(program.run("advise", name, asked, "--to", "json", *more).out)
        tally.check({p["state"] for d in advice.values() for p in d["products"]} >=
                    {"nothing_to_mend", "found", "impossible", "undiluted"}, "advice in every state but one")
        validate(tally, "advice", advice, list(spoilt_advice(advice["jetty_oil --load 9"])), folder)
    return tally.close()


if __name__ == "__main__":
    sys.exit(main())
