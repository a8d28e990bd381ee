"""The formula document against its published schema, by two validators that have nothing to do with this project:
python3-jsonschema (Debian) and ajv (npm), both for JSON Schema 2020-12. A stricter copy of the schema, in which no
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

SCHEMA = os.path.join(program.ROOT, "grammar", "formula.schema.json")


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


def main():
    program.need_binary()
    tally = program.Tally()
    with open(SCHEMA, encoding="utf-8") as file:
        schema = json.load(file)
    jsonschema.Draft202012Validator.check_schema(schema)
    tally.check(schema["$id"] == "urn:scruple:formula:1", "the schema has its published name")
    closed = strict(schema)

    with tempfile.TemporaryDirectory() as folder:
        hard = os.path.join(folder, "hard")
        os.makedirs(hard)
        difficult.write(hard)
        documents = {}
        for name, path in (("stillroom", os.path.join(program.ROOT, "examples", "stillroom")),
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

        bad = list(spoilt(documents["stillroom"]))
        for which, used in (("published", schema), ("strict", closed)):
            validator = jsonschema.Draft202012Validator(used)
            for name, document in documents.items():
                errors = [f"{list(e.absolute_path)}: {e.message[:200]}" for e in validator.iter_errors(document)]
                tally.check(not errors, f"python3-jsonschema, {which} schema, {name}", "\n".join(errors[:5]))
        validator = jsonschema.Draft202012Validator(schema)
        for what, document in bad:
            tally.check(not validator.is_valid(document), f"python3-jsonschema lets pass: {what}")

        paths = []
        for i, (name, document) in enumerate(list(documents.items()) + bad):
            path = os.path.join(folder, f"{i}.json")
            with open(path, "w", encoding="utf-8") as file:
                json.dump(document, file)
            paths.append(path)
        closed_path = os.path.join(folder, "strict.schema.json")
        with open(closed_path, "w", encoding="utf-8") as file:
            json.dump(closed, file)
        home = node_packages.folder("ajv@8")
        for which, path in (("published", SCHEMA), ("strict", closed_path)):
            answers = json.loads(node_packages.run(os.path.join(HERE, "json_schema.cjs"), home, path, *paths))
            tally.check(len(answers) == len(paths), "ajv answers for every document")
            for (name, _), answer in zip(documents.items(), answers):
                tally.check(answer["valid"], f"ajv, {which} schema, {name}", json.dumps(answer["errors"])[:400])
            for (what, _), answer in zip(bad, answers[len(documents):]):
                tally.check(not answer["valid"], f"ajv, {which} schema, lets pass: {what}")
    return tally.close()


if __name__ == "__main__":
    sys.exit(main())
