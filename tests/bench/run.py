#!/usr/bin/env python3
"""The benchmarks. Prints one JSON document; every ratio is of times taken in one run, turn by turn. Nothing fails by
time: `must` and `aim` stand beside each ratio, for people to look at.

    cmake -S . -B build -G Ninja -DSCRUPLE_BENCH=ON && cmake --build build && python3 tests/bench/run.py [--quick]
"""
import argparse
import json
import multiprocessing
import os
import platform
import random
import re
import shutil
import statistics
import subprocess
import sys
import tempfile
import time

sys.path.insert(0, os.path.dirname(os.path.dirname(os.path.abspath(__file__))))
import generate  # noqa: E402
import program  # noqa: E402

TEN_LINES = """blend quay_lamp "Quay Lamp" {
    6 parts    cedarwood_texas
    4 parts    orange_sweet
    3 parts    ylang_ylang_complete
}
product quay_lamp_oil "Quay Lamp body oil" {
    blend      quay_lamp at 0.8 %
    format     body_oil of 100 ml
    in         jojoba
}
"""


class Sample:
    def __init__(self):
        self.ms = []
        self.cpu_ms = []
        self.rss = 0
        self.code = 0


def once(command, sample, nowhere, typed=None):
    actions = [(os.POSIX_SPAWN_DUP2, nowhere, fd) for fd in (0, 1, 2)]
    if typed:
        actions[0] = (os.POSIX_SPAWN_OPEN, 0, typed, os.O_RDONLY, 0)
    started = time.perf_counter()
    pid = os.posix_spawn(command[0], command, os.environ, file_actions=actions)
    _, status, usage = os.wait4(pid, 0)
    sample.ms.append((time.perf_counter() - started) * 1e3)
    sample.cpu_ms.append((usage.ru_utime + usage.ru_stime) * 1e3)
    sample.rss = max(sample.rss, usage.ru_maxrss * 1024)
    sample.code = os.waitstatus_to_exitcode(status)


def side_by_side(commands, runs, typed=None):
    """Times the commands in turn, so that what else the machine does falls on all of them. One unmeasured round first.
    `typed` names the files that commands read as their standard input."""
    typed = typed or {}
    samples = {name: Sample() for name in commands}
    nowhere = os.open(os.devnull, os.O_RDWR)
    try:
        for name, command in commands.items():
            once(command, Sample(), nowhere, typed.get(name))
        for _ in range(runs):
            for name, command in commands.items():
                once(command, samples[name], nowhere, typed.get(name))
    finally:
        os.close(nowhere)
    return samples


def ms(sample):
    return round(statistics.median(sample.ms), 3)


def described(sample):
    return {"median_ms": ms(sample), "fastest_ms": round(min(sample.ms), 3),
            "cpu_ms": round(statistics.median(sample.cpu_ms), 3), "runs": len(sample.ms),
            "peak_mb": round(sample.rss / 1e6, 1), "exit_status": sample.code}


def ratio(a, b, must=None, aim=None):
    """Of the medians; of the fastest runs and of processor time too, which a busy machine touches less."""
    cpu = statistics.median(a.cpu_ms) / max(statistics.median(b.cpu_ms), 1e-3)
    out = {"ratio": round(ms(a) / ms(b), 3), "ratio_of_fastest": round(min(a.ms) / min(b.ms), 3), "ratio_of_cpu": round(cpu, 3)}
    if must is not None:
        out["must"] = must
    if aim is not None:
        out["aim"] = aim
    return out


def findings_of(path):
    result = program.run("check", path, "--diagnostics", "json", timeout=600)
    counts = {}
    for d in result.diagnostics():
        counts[d["code"]] = counts.get(d["code"], 0) + 1
    return counts


def apart(function, *arguments):
    """Calls it in a process of its own: what a child's peak memory is counted from is what its parent holds."""
    with multiprocessing.get_context("spawn").Pool(1) as pool:
        return pool.apply(function, arguments)


def write_beside_json(folder, size, oils, into):
    """The collection, and the same as pretty JSON, as minified JSON, and as JSON of the blends alone."""
    source = generate.write(folder, size, oils=oils, files=1, json_path=os.path.join(into, "recipes.json"))
    with open(os.path.join(into, "recipes.json"), encoding="utf-8") as file:
        recipes = json.load(file)
    with open(os.path.join(into, "minified.json"), "w", encoding="utf-8") as file:
        json.dump(recipes, file, separators=(",", ":"))
    for recipe in recipes:
        del recipe["products"]
    with open(os.path.join(into, "blends.json"), "w", encoding="utf-8") as file:
        json.dump(recipes, file, indent=2)
    return source


def slip(path, into):
    """The same recipes in a hurry: no columns, two blanks to a level."""
    with open(path, encoding="utf-8") as file, open(into, "w", encoding="utf-8") as out:
        for line in file:
            words = " ".join(line.split())
            out.write(("  " if line.startswith(" ") else "") + words + "\n")


def edit_one(folder):
    """One amount otherwise, in the middle of the collection."""
    path = os.path.join(folder, sorted(os.listdir(folder))[-1])
    with open(path) as file:
        text = file.read()
    at = text.index("parts", len(text) // 2)
    start = text.rindex("\n", 0, at)
    with open(path, "w") as file:
        file.write(text[:start] + "\n    7 " + text[at:])


def edit_every(folder, nth):
    """The first amount of every nth blend otherwise."""
    path = os.path.join(folder, sorted(os.listdir(folder))[-1])
    with open(path) as file:
        blends = file.read().split("\nblend ")
    for i in range(1, len(blends), nth):
        blends[i] = re.sub(r"(?m)^(    )[\d.]+( parts)", r"\g<1>41\2", blends[i], count=1)
    with open(path, "w") as file:
        file.write("\nblend ".join(blends))


def hold_for_all(folder, dropper=20, limit=1, price=9):
    """Facts of which one edit may touch every product: a dropper, a limit of the house, a price."""
    with open(os.path.join(folder, "collection.scruple"), "w") as file:
        file.write(f"""workshop "Generated Stillroom" {{
    market     eu
    currency   EUR
    dropper    {dropper} drops/ml
}}
rules house "House rules" {{
    dated      2026-01-01
}}
limit linalool under house {{
    {limit} %        in skin
}}
prices "House prices" on 2026-04-01 {{
    1 kg       jojoba for {price} EUR
    100 ml     grapefruit for 7 EUR
}}
""")


def repository(folder, commits, oils):
    """A repository whose every commit changes one amount of one blend; the eighth blend's in every fifth commit."""
    chance = random.Random(3)
    files = {f"b{i:03d}.scruple": r.scruple() for i, r in enumerate(generate.recipes(200, 5, 1, 1, oils))}

    def commit(message, changed, when):
        out = f"commit refs/heads/main\ncommitter Wren <wren@stillroom.invalid> {when} +0000\ndata {len(message)}\n{message}\n"
        for name, text in changed:
            out += f"M 100644 inline {name}\ndata {len(text.encode())}\n{text}\n"
        return out + "\n"

    stream = commit("first", [("collection.scruple", 'workshop "Generated Stillroom" {\n    market     eu\n}\n'), *files.items()], 1700000000)
    for i in range(1, commits):
        name = chance.choice(sorted(files)) if i % 5 else "b007.scruple"
        hits = list(re.finditer(r"([0-9.]+) parts", files[name]))
        hit = chance.choice(hits)
        files[name] = files[name][:hit.start()] + f"{chance.randint(1, 40)} parts" + files[name][hit.end():]
        stream += commit(f"change {i}", [(name, files[name])], 1700000000 + i * 3600)
    quiet = {"GIT_CONFIG_GLOBAL": "/dev/null", "GIT_CONFIG_SYSTEM": "/dev/null", "PATH": os.environ["PATH"]}
    subprocess.run(["git", "init", "-q", "-b", "main", folder], check=True, env=quiet)
    subprocess.run(["git", "-C", folder, "fast-import", "--quiet"], input=stream.encode(), check=True, env=quiet)
    subprocess.run(["git", "-C", folder, "checkout", "-q", "main"], check=True, env=quiet)


def main():
    parser = argparse.ArgumentParser(description="Runs the benchmarks and prints JSON.")
    parser.add_argument("--quick", action="store_true", help="a tenth of the sizes, few runs: to see that it works")
    parser.add_argument("--programs", default=os.path.dirname(program.BINARY), help="folder of the bench programs")
    given = parser.parse_args()
    program.need_binary()
    tool = program.BINARY
    bench = {name: os.path.join(given.programs, name) for name in ("bench_json", "bench_scan", "bench_core")}
    for path in bench.values():
        if not os.access(path, os.X_OK):
            sys.exit(f"{path} is not there: configure with -DSCRUPLE_BENCH=ON and build")
    size = 1000 if given.quick else 10000
    few = 3 if given.quick else 9
    report = {"machine": {"system": platform.platform(), "cores": os.cpu_count(), "load": os.getloadavg()[0]},
              "program": subprocess.run([tool, "--version"], capture_output=True, text=True).stdout.strip(),
              "blends": size}
    folder = tempfile.mkdtemp(prefix="scruple-bench-")
    try:
        measure(report, folder, tool, bench, size, few, given.quick)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    json.dump(report, sys.stdout, indent=2)
    print()


def measure(report, folder, tool, bench, size, few, quick):
    def at(name):
        return os.path.join(folder, name)

    # Cold start
    os.makedirs(at("small"))
    small = at("small/quay.scruple")
    with open(small, "w") as file:
        file.write(TEN_LINES)
    true = shutil.which("true") or "/bin/true"
    samples = side_by_side({"true": [true], "check": [tool, "check", small], "version": [tool, "--version"]},
                           20 if quick else 200)
    report["cold_start"] = {"what": "`check` of a ten-line file beside `true`", **ratio(samples["check"], samples["true"], 8, 4),
                            **{name: described(s) for name, s in samples.items()}}

    oils = generate.quiet_oils(tool)
    report["oils"] = len(oils)

    # One collection: one file, a thousand files, the same as JSON
    one, many = at("one"), at("many")
    source = apart(write_beside_json, one, size, oils, folder)
    apart(generate.write, many, size, 5, 1, size // 10, 42, None, oils)
    big = at("one/part_00000.scruple")

    core = json.loads(subprocess.run([bench["bench_core"], big, small], capture_output=True, text=True, check=True).stdout)
    report["parse_alone"] = {"what": "the parser in one process, beside a bare scan for line ends of the same bytes",
                             "aim_mb_per_s": 200, **core}

    samples = side_by_side({
        "check": [tool, "check", one],
        "check_1000_files": [tool, "check", many],
        "json": [bench["bench_json"], at("recipes.json")],
        "json_minified": [bench["bench_json"], at("minified.json")],
        "json_blends_only": [bench["bench_json"], at("blends.json")],
        "scan": [bench["bench_scan"], big],
    }, few)
    check = samples["check"]
    report["check"] = {
        "what": f"{size} blends of 5 lines and {size} products: read, checked, judged; beside the same data read as JSON and summed",
        **ratio(check, samples["json"], 1.0, 0.3),
        "beside_minified_json": ratio(check, samples["json_minified"]),
        "beside_json_of_blends_only": ratio(check, samples["json_blends_only"]),
        "beside_scan": ratio(check, samples["scan"]),
        "source_bytes": source,
        "json_bytes": os.path.getsize(at("recipes.json")),
        "mb_per_s": round(source / 1e6 / ms(check) * 1e3, 1),
        "findings": findings_of(one),
        **{name: described(s) for name, s in samples.items()},
    }
    report["many_files"] = {"what": f"the same in {size // 10} files", **ratio(samples["check_1000_files"], check, 1.8, 1.3)}
    report["memory"] = {"what": "peak memory of `check` over the bytes of its source; never less than this script itself holds",
                        "ratio": round(check.rss / source, 2), "must": 25, "aim": 12}

    # Layout
    slip(big, at("hurried.scruple"))
    with open(at("hurried.scruple")) as hurried, open(at("laid_out.scruple"), "w") as laid_out:
        subprocess.run([tool, "format", "-"], stdin=hurried, stdout=laid_out, check=True)
    samples = side_by_side({
        "format": [tool, "format", "-"],
        "format_laid_out": [tool, "format", "--check", at("laid_out.scruple")],
        "json": [bench["bench_json"], "--pretty", at("recipes.json")],
        "json_minified": [bench["bench_json"], "--pretty", at("minified.json")],
    }, few, typed={"format": at("hurried.scruple")})
    report["format"] = {
        "what": "the same recipes with other blanks, laid out, read again and written; beside the same data read as JSON and written pretty",
        **ratio(samples["format"], samples["json"], 2.0, 1.0),
        "beside_minified_json": ratio(samples["format"], samples["json_minified"]),
        "nothing_to_change": ratio(samples["format_laid_out"], samples["json"]),
        "source_bytes": os.path.getsize(at("hurried.scruple")),
        **{name: described(s) for name, s in samples.items()},
    }

    # Versions
    before, after = os.path.dirname(big), at("other")
    shutil.copytree(before, after)
    edit_one(after)
    samples = side_by_side({"check": [tool, "check", before], "diff": [tool, "diff", before, after]}, few)
    report["diff"] = {"what": f"two versions of {size} blends and products, one row apart, beside a check of one of them",
                      **ratio(samples["diff"], samples["check"], 3.0, 2.5),
                      **{name: described(s) for name, s in samples.items()}}
    def beside_check(name, what, old, new):
        samples = side_by_side({"check": [tool, "check", new], "diff": [tool, "diff", old, new]}, few)
        report[name] = {"what": f"the same collection, {what}, beside a check of it", **ratio(samples["diff"], samples["check"], 3.0),
                        **{which: described(s) for which, s in samples.items()}}

    for name, what, nth in (("diff_hundredth", "1 % of the blends changed", 100), ("diff_tenth", "10 % of the blends changed", 10),
                            ("diff_all", "every blend changed", 1)):
        shutil.copytree(before, at(name))
        edit_every(at(name), nth)
        beside_check(name, what, before, at(name))
    apart(generate.write, at("diff_other"), size, 5, 1, 1, 77, None, oils)
    beside_check("diff_other", "nothing in common but names", before, at("diff_other"))
    samples = side_by_side({"check": [tool, "check", before], "diff": [tool, "diff", before, at("diff_all"), "--to", "json"]}, few)
    report["diff_all_json"] = {"what": "every blend changed, and everything that differs written as JSON", **ratio(samples["diff"], samples["check"]),
                               **{which: described(s) for which, s in samples.items()}}
    shutil.copytree(before, at("held"))
    hold_for_all(at("held"))
    for name, what, change in (("diff_price", "a price changed", {"price": 10}), ("diff_limit", "a limit changed", {"limit": 2}),
                               ("diff_dropper", "the workshop's dropper changed", {"dropper": 25})):
        shutil.copytree(before, at(name))
        hold_for_all(at(name), **change)
        beside_check(name, what, at("held"), at(name))
    commits = 200 if quick else 1000
    past = at("past")
    apart(repository, past, commits, oils)
    samples = side_by_side({
        "one_in_five": [tool, "history", "b000008", "--in", past],
        "rarely": [tool, "history", "b000100", "--in", past],
        "fingerprint": [tool, "history", "--fingerprint", "0000", "--in", past],
    }, 3)
    report["history"] = {"what": f"{commits} commits of 200 blends with a product each, an amount changed in every one; of a blend that a fifth of "
                                 "them changed, of one that few did, and of every fingerprint there was",
                         **{name: described(s) for name, s in samples.items()}}

    # Growth
    sizes = [100, 1000, 10000] if quick else [1000, 10000, 100000]
    commands = {}
    for count in sizes:
        apart(generate.write, at(f"grow_{count}"), count, 5, 1, 1 if count < 50000 else 8, 42, None, oils)
        commands[str(count)] = [tool, "check", at(f"grow_{count}")]
    samples = side_by_side(commands, 3 if quick else 5)
    least, middle, most = (samples[str(count)] for count in sizes)
    report["growth"] = {"what": "check of ten and a hundred times as many blends, with a product each",
                        "tenfold": ratio(middle, least, 11, 10.3), "hundredfold": ratio(most, least, 121, 105),
                        **{str(count): described(samples[str(count)]) for count in sizes}}

    # Build
    five = at("five")
    source = apart(generate.write, five, size, 5, 5, 4, 42, None, oils)
    out = at("out")
    samples = side_by_side({
        "check": [tool, "check", five],
        "build_json": [tool, "build", five, "--to", "json", "--out", out],
    }, 3)
    written = sum(os.path.getsize(os.path.join(out, name)) for name in os.listdir(out)) if os.path.isdir(out) else 0
    build = samples["build_json"]
    report["build_json"] = {"what": f"`build --to json` of {size} blends and {5 * size} products, into a file",
                            "source_bytes": source, "written_bytes": written,
                            "written_mb_per_s": round(written / 1e6 / ms(build) * 1e3, 1),
                            "beside_check": ratio(build, samples["check"]),
                            "memory_over_source": round(build.rss / source, 2),
                            **{name: described(s) for name, s in samples.items()}}


if __name__ == "__main__":
    main()
