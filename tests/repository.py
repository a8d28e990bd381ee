#!/usr/bin/env python3
"""Versions out of git, held against git itself: what `scruple history` and `scruple diff` say of commits is what they say of
the same commits checked out by git; whatever state a repository is in; and git's own commands through the drivers.

  goldens   what people see, in a scripted repository of thirty commits: tests/repository.txt, written anew by --renew
  outside   git(1), git-diff(1), gitattributes(5) as installed; python3-jsonschema for the published schemas
"""
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile

import jsonschema

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
import program
import stillroom_repository as stillroom

EXPECTED = os.path.join(program.ROOT, "tests", "repository.txt")

SHOWN = [
    "scruple history harbour_lamp",
    "scruple history evening_lamp --max 4",
    "scruple history harbour_lamp_roll_on v1..v2",
    "scruple history quay_lamp_roll_on v1..v2",
    "scruple history lamp_candle",
    "scruple history lamp_soap",
    "scruple history harbour_lamp --to json --max 2",
    "scruple history harbour_lamp --at v1",
    "scruple history harbour_lamp --diff v1..HEAD",
    "scruple history --fingerprint 8ac5",
    "scruple history --fingerprint 8ac5 --to json",
    "scruple history --fingerprint 00000",
    "scruple history --fingerprint lamp",
    "scruple history",
    "scruple history harbor_lamp",
    "scruple history harbour_lamp --at HEAD --diff v1..v2",
    "scruple history harbour_lamp nowhere",
    "scruple diff v1 v2",
    "scruple diff v2~2 v2~1",
    "scruple diff v2~1..v2 --to markdown",
    "scruple diff bergamot...main --only soft_lamp",
    "scruple diff v1:blends/lamp.scruple HEAD:harbour/lamp.scruple",
    "scruple diff HEAD~1 --exit-code",
    "scruple diff nowhere",
    "scruple diff HEAD HEAD:nothing.scruple",
    "git log --format=%s -p -2 -- harbour/lamp.scruple",
    "git show --format=%s HEAD~1",
    "git diff HEAD~3 HEAD -- harbour",
    "git diff --no-ext-diff HEAD~3 HEAD -- harbour",
    "git diff --no-ext-diff --no-textconv HEAD~3 HEAD -- harbour",
]


def scruple(folder, *arguments, extra=None, **options):
    return program.run(*arguments, cwd=folder, env=stillroom.environment(extra), **options)


def data(folder, *arguments, extra=None):
    done = scruple(folder, *arguments, "--to", "json", extra=extra)
    try:
        return json.loads(done.out)
    except ValueError:
        return {"failed": done.err.decode(errors="replace"), "status": done.code}


def without_sides(document):
    return {k: v for k, v in document.items() if k not in ("old", "new")}


def shown(folder):
    """What a person sees, command by command."""
    link = os.path.join(folder, "bin")
    os.makedirs(link)
    os.symlink(program.BINARY, os.path.join(link, "scruple"))
    repository = os.path.join(folder, "stillroom")
    r = stillroom.build(repository)
    path = {"PATH": link + ":" + os.environ["PATH"]}
    out = "# Commands in a scripted repository, and what they print. Written by tests/repository.py --renew.\n"
    setup = subprocess.run(["scruple", "git", "setup"], cwd=repository, env=stillroom.environment(path), capture_output=True)
    out += "$ scruple git setup\n" + setup.stdout.decode().replace(repository, "STILLROOM")
    r.git("add", "-A")
    r.git("commit", "-q", "-m", "Recipes are compared by what they mean", extra=r.dated())
    for command in SHOWN:
        done = subprocess.run(command.split(" "), cwd=repository, env=stillroom.environment(path), capture_output=True, stdin=subprocess.DEVNULL)
        text = done.stdout.decode(errors="replace")
        if text and not text.endswith("\n"):
            text += "\n"
        out += f"\n$ {command}\n{text}"
        if done.stderr:
            out += "[err]\n" + done.stderr.decode(errors="replace")
        if done.returncode:
            out += f"[exit {done.returncode}]\n"
    return out, r


def check_goldens(tally, folder, renew):
    got, r = shown(folder)
    if renew:
        with open(EXPECTED, "w", encoding="utf-8") as file:
            file.write(got)
    with open(EXPECTED, encoding="utf-8") as file:
        expected = file.read()
    parts = re.split(r"(?m)^(?=\$ )", got)
    wanted = {part.split("\n")[0]: part for part in re.split(r"(?m)^(?=\$ )", expected)}
    for part in parts:
        head = part.split("\n")[0]
        tally.check(wanted.get(head) == part, f"as it was: {head}", part[:3000])
    tally.check(len(parts) == len(wanted), "as many commands as were written down")
    return r


def check_against_checkouts(tally, r, folder):
    """Every commit is checked out by git, and worked out by `build` and by `diff` of folders."""
    ids = r.git("rev-list", "--topo-order", "--reverse", "HEAD").stdout.decode().split()
    tally.check(len(ids) == 31, f"there are thirty commits and that of the attributes: {len(ids)}")
    at = os.path.join(folder, "checkouts")
    os.makedirs(at)
    for id in ids:
        r.git("worktree", "add", "-q", "--detach", os.path.join(at, id), id)
        os.remove(os.path.join(at, id, ".git"))
        if not os.path.exists(os.path.join(at, id, "collection.scruple")):
            raise RuntimeError("no marker")
    r.git("worktree", "prune")

    def built(id):
        done = scruple(at, "build", id, "--to", "json")
        return json.loads(done.out)

    prints = {}
    for id in ids:
        prints[id] = {b["id"]: b["fingerprint"] for b in built(id)["blends"] if b["complete"]}
    parents = {id: r.git("rev-parse", id + "^@").stdout.decode().split() for id in ids}
    for name, names in (("harbour_lamp", ("harbour_lamp", "quay_lamp")), ("evening_lamp", ("evening_lamp",)), ("soft_lamp", ("soft_lamp",))):
        told = data(r.folder, "history", name)
        listed = {v["commit"]: v for v in told["versions"]}
        tally.check(set(listed) <= set(ids), f"{name}: the commits are the repository's own")
        for id in ids:
            own = next((prints[id][n] for n in names if n in prints[id]), None)
            if id in listed:
                v = listed[id]
                tally.check(v["fingerprint"] == own, f"{name}: as checked out at {v['message']}", f"{v['fingerprint']} {own}")
            else:
                # Not listed: the ratio is that of one of the parents.
                before = [next((prints[p][n] for n in names if n in prints[p]), None) for p in parents[id]]
                tally.check(own in before or (own is None and not before), f"{name}: nothing happened in {id[:9]}", f"{own} {before}")
        first = min(ids.index(id) for id in listed)
        tally.check(listed[ids[first]]["event"] == "added", f"{name}: the first of its versions is new")
    # Every fingerprint that any checkout has is found in the commit that had it first.
    seen = {}
    for id in ids:
        for name, fingerprint in prints[id].items():
            seen.setdefault((name, fingerprint), id)
    for (name, fingerprint), id in seen.items():
        found = data(r.folder, "history", "--fingerprint", fingerprint)
        tally.check(any(f["blend"] == name and f["since"] == id for f in found.get("found", [])), f"the fingerprint {fingerprint} of {name} is found",
                    json.dumps(found)[:500])
    for a, b in [(ids[i], ids[i + 1]) for i in range(0, len(ids) - 1)] + [(ids[0], ids[-1]), (ids[10], ids[20])]:
        told = data(r.folder, "diff", a, b)
        wanted = data(at, "diff", a, b)
        tally.check("failed" not in told and without_sides(told) == without_sides(wanted), f"{a[:9]} against {b[:9]} is as checked out",
                    json.dumps(told)[:700] + "\n" + json.dumps(wanted)[:700])
        tally.check(told.get("old", {}).get("commit") == a and told.get("new", {}).get("commit") == b, f"{a[:9]}: the sides name their commits")
    return at, ids


def check_states(tally, r, folder, ids):
    """The same answers whatever state the repository is in."""
    reference = data(r.folder, "diff", "v1", "v2")
    history = data(r.folder, "history", "harbour_lamp")

    def same(where, what, extra=None):
        tally.check(without_sides(data(where, "diff", "v1", "v2", extra=extra)) == without_sides(reference), f"{what}: the same comparison")
        tally.check(data(where, "history", "harbour_lamp", extra=extra) == history, f"{what}: the same history")

    bare = os.path.join(folder, "bare.git")
    r.git("clone", "-q", "--bare", r.folder, bare)
    same(bare, "bare")
    done = scruple(bare, "diff")
    tally.check(done.code == 2 and b"bare" in done.err, "bare: there is no working tree to compare with", done.err.decode())
    same(folder, "GIT_DIR", {"GIT_DIR": bare})
    other = os.path.join(folder, "other")
    r.git("worktree", "add", "-q", "--detach", other, "HEAD")
    same(other, "another worktree")
    tally.check(data(os.path.join(r.folder, "harbour"), "history", "harbour_lamp") == history, "from a folder inside: the same history")
    shallow = os.path.join(folder, "shallow")
    subprocess.run(["git", "clone", "-q", "--depth", "3", "file://" + r.folder, shallow], check=True, env=stillroom.environment())
    told = data(shallow, "history", "harbour_lamp")
    tally.check(told.get("shallow") is True and 0 < len(told["versions"]) <= 3, "shallow: what is there, and that more is not", json.dumps(told)[:300])
    done = scruple(shallow, "diff", "HEAD~20", "HEAD")
    tally.check(done.code == 3 and b"shallow" in done.err, "shallow: says why a commit is missing", done.err.decode())
    sparse = os.path.join(folder, "sparse")
    r.git("clone", "-q", "--no-checkout", r.folder, sparse)
    subprocess.run(["git", "sparse-checkout", "set", "--no-cone", "/collection.scruple"], cwd=sparse, check=True, env=stillroom.environment(), capture_output=True)
    subprocess.run(["git", "checkout", "-q", "main"], cwd=sparse, check=True, env=stillroom.environment(), capture_output=True)
    subprocess.run(["git", "tag", "-f", "v1", ids[ids.index(history["versions"][-1]["commit"])]], cwd=sparse, check=False, env=stillroom.environment(), capture_output=True)
    tally.check(not os.path.exists(os.path.join(sparse, "harbour")), "sparse: the recipes are not in the working tree")
    tally.check(data(sparse, "history", "harbour_lamp") == history, "sparse: the same history")

    # The index, and the working tree.
    work = os.path.join(folder, "work")
    r.git("clone", "-q", r.folder, work)
    w = stillroom.Repository.__new__(stillroom.Repository)
    w.folder, w.day = work, 90
    tally.check(data(work, "diff")["differs"] is False, "nothing was done yet")
    w.edit("harbour/lamp.scruple", "8 parts", "7 parts")
    plain = data(work, "diff")
    tally.check(plain["differs"] and plain["old"]["kind"] == "revision" and plain["new"]["kind"] == "working_tree", "the last commit against the working tree")
    tally.check(data(work, "diff", "--staged")["differs"] is False, "nothing is staged")
    w.git("add", "-A")
    staged = data(work, "diff", "--staged")
    tally.check(without_sides(staged) == without_sides(plain) and staged["new"]["kind"] == "index", "what is staged is what was edited")
    w.edit("harbour/lamp.scruple", "7 parts", "8 parts")
    tally.check(data(work, "diff")["differs"] is False and without_sides(data(work, "diff", "--staged")) == without_sides(plain),
                "the working tree is as it was, what is staged is not")
    tally.check(data(work, "diff", "harbour/lamp.scruple")["differs"] is False, "one recipe against its last commit")
    tally.check(without_sides(data(work, "diff", "--staged", "harbour/lamp.scruple"))["differs"], "one recipe as it is staged")
    w.git("reset", "-q", "--hard")
    # A saved document against a revision, and one inside of a revision.
    saved = scruple(work, "build", "--to", "json").out
    with open(os.path.join(work, "formulas.json"), "wb") as file:
        file.write(saved)
    tally.check(data(work, "diff", "formulas.json")["differs"] is False, "a saved document against the recipes that it is of")
    tally.check(data(work, "diff", "HEAD~2", "formulas.json")["new"]["kind"] == "document", "a revision against a saved document")
    w.commit("Formulas beside the recipes")
    tally.check(data(work, "diff", "HEAD:formulas.json")["differs"] is False, "a document of a revision")
    # In the middle of a merge there is no one text of a recipe.
    w.git("checkout", "-q", "-b", "left")
    w.edit("harbour/lamp.scruple", "8 parts", "5 parts")
    w.commit("Left")
    w.git("checkout", "-q", "main")
    w.edit("harbour/lamp.scruple", "8 parts", "3 parts")
    w.commit("Right")
    merged = w.git("merge", "-q", "left", check=False)
    tally.check(merged.returncode != 0, "git stops at the conflict")
    done = scruple(work, "diff", "--staged")
    tally.check(done.code == 3 and b"middle of a merge" in done.err, "the index in the middle of a merge", done.err.decode())
    tally.check(data(work, "diff", "HEAD~1", "HEAD")["differs"], "revisions are compared all the same")
    tally.check(data(work, "diff").get("differs"), "a working tree with marks of a conflict is compared as far as it can be read")
    w.git("merge", "--abort")

    # What else history may hold: bytes that are no text, a link, a folder where a recipe was, a submodule, a huge file.
    w.put("harbour/broken.scruple", "blend broken {\n")
    with open(os.path.join(work, "harbour", "bytes.scruple"), "wb") as file:
        file.write(bytes(range(256)) * 8)
    os.symlink("lamp.scruple", os.path.join(work, "harbour", "link.scruple"))
    os.symlink("/etc/hostname", os.path.join(work, "out.scruple"))
    w.commit("Things that are no recipes")
    w.git("-c", "protocol.file.allow=always", "submodule", "--quiet", "add", r.folder, "shared")
    w.git("commit", "-q", "-m", "A repository inside", extra=w.dated())
    w.put("huge.scruple", "# " + "x" * (17 << 20) + "\n")
    w.commit("Too large")
    told = data(work, "history", "harbour_lamp")
    tally.check(any(v["message"] == "Right" for v in told["versions"]) and "failed" not in told, "history reads past what is no recipe", json.dumps(told)[:300])
    done = scruple(work, "diff", "HEAD~3", "HEAD")
    tally.check(done.code in (0, 3) and b"shared" in done.err, "a submodule is said to be left alone", f"{done.code} {done.err.decode()[:300]}")
    shutil.rmtree(os.path.join(work, "shared"))

    # Nothing to look into.
    empty = os.path.join(folder, "empty")
    os.makedirs(empty)
    subprocess.run(["git", "init", "-q", empty], check=True, env=stillroom.environment())
    done = scruple(empty, "history", "lamp")
    tally.check(done.code == 3 and done.err, "a repository without a commit", done.err.decode())
    with open(os.path.join(empty, "collection.scruple"), "w", encoding="utf-8") as file:
        file.write(stillroom.LAMP)
    fresh = data(empty, "diff")
    tally.check(fresh.get("differs") and fresh["blends"][0]["state"] == "added", "before the first commit everything is new", json.dumps(fresh)[:300])
    nowhere = os.path.join(folder, "nowhere")
    os.makedirs(nowhere)
    for command in (["history", "lamp"], ["diff"], ["git", "setup"]):
        done = scruple(nowhere, *command)
        tally.check(done.code == 3 and b"no git repository" in done.err, f"{' '.join(command)} outside of a repository", done.err.decode())
    without = os.path.join(folder, "without")
    os.makedirs(without)
    done = scruple(r.folder, "history", "harbour_lamp", extra={"PATH": without})
    tally.check(done.code == 3 and b"git's program is not to be found" in done.err, "without git", done.err.decode())
    for odd in ("--output=x", "-x", "HEAD^{tree}", "\n", "a b", "HEAD~999", "@{yesterday}", ":/", "..", "...", "a..b...c", ":x", "HEAD:", "HEAD:../x"):
        done = scruple(r.folder, "diff", "--", odd)
        tally.check(done.code in (0, 1, 2, 3), f"the revision {odd!r} is taken or refused", f"{done.code} {done.err.decode()[:200]}")
        tally.check(not os.path.exists(os.path.join(r.folder, "x")), f"the revision {odd!r} writes nothing")


def check_drivers(tally, r, folder):
    """git's own commands, as a maker runs them."""
    link = os.path.join(folder, "bin")
    path = {"PATH": link + ":" + os.environ["PATH"]}
    clone = os.path.join(folder, "clone")
    r.git("clone", "-q", r.folder, clone)

    def git(*arguments, check=True):
        done = subprocess.run(["git", *arguments], cwd=clone, env=stillroom.environment(path), stdin=subprocess.DEVNULL, capture_output=True)
        if check and done.returncode:
            raise RuntimeError(done.stderr.decode())
        return done.stdout.decode(errors="replace")

    c = stillroom.Repository.__new__(stillroom.Repository)
    c.folder, c.day = clone, 120
    before = git("log", "-p", "-1", "--format=%h", "--", "harbour/lamp.scruple")
    done = scruple(clone, "git", "setup", extra=path)
    tally.check(done.code == 0, "set up", done.err.decode())
    tally.check(git("status", "--porcelain") == "", "the attributes file has the line already, and is left alone")
    once = git("config", "--local", "--list")
    scruple(clone, "git", "setup", extra=path)
    tally.check(git("config", "--local", "--list") == once, "set up twice is set up once")
    after = git("log", "-p", "-1", "--format=%h", "--", "harbour/lamp.scruple")
    tally.check("-    8 parts" not in after and before != "", "log -p compares plain lines", after)
    # Layout, comments and order are silent; an oil is one line.
    c.put("harbour/lamp.scruple", re.sub(r"    (\d+) parts +(\w+)\n", r"  \1   parts  \2  # so\n", c.read("harbour/lamp.scruple")))
    tally.check(git("diff", "--no-ext-diff") == "" or "@@" not in git("diff", "--no-ext-diff"), "layout and comments are silent in plain lines", git("diff", "--no-ext-diff"))
    tally.check("Nothing differs in meaning" in git("diff"), "layout and comments are silent", git("diff"))
    git("checkout", "-q", ".")
    c.edit("harbour/lamp.scruple", "9 parts", "11 parts")
    lines = git("diff", "--no-ext-diff").split("\n")
    tally.check([x for x in lines if re.match(r"[+-] ", x)] == ["-    9 parts orange_sweet", "+    11 parts orange_sweet"],
                "one oil is one line out and one in", "\n".join(lines))
    said = git("diff")
    tally.check("orange sweet" in said and "9 -> 11" in said and said.startswith("recipe harbour/lamp.scruple"), "git diff speaks recipe", said)
    # What follows for products in other files is said, too.
    c.edit("harbour/lamp.scruple", "4 parts    bergamot_expressed", "8 parts    bergamot_expressed")
    tally.check("harbour_lamp_roll_on" in git("diff") or "roll-on" in git("diff"), "what follows in other recipes is said", git("diff")[:600])
    git("checkout", "-q", ".")
    # A hunk is headed by its declaration.
    c.put("long.scruple", "blend long_lamp {\n" + "".join(f"    {i + 1} parts    {oil}\n" for i, oil in enumerate(
        ["amyris", "lavender", "orange_sweet", "patchouli", "frankincense_carterii", "petitgrain_bigarade", "cedarwood_texas", "geranium", "vetiver"])) + "}\n")
    c.commit("A long blend")
    c.edit("long.scruple", "9 parts", "10 parts")
    for how in (["--no-textconv"], []):
        text = git("diff", "--no-ext-diff", *how)
        tally.check(re.search(r"(?m)^@@ .* @@ blend long_lamp$", text) is not None, f"a hunk names the blend {how}", text)
    git("checkout", "-q", ".")
    # New, gone, moved, broken, no text: git diff comes to its end.
    c.put("fresh.scruple", "blend fresh {\n    1 part     lavender\n}\n")
    git("add", "-N", "fresh.scruple")
    tally.check("fresh" in git("diff"), "a new recipe", git("diff"))
    os.remove(c.path("long.scruple"))
    tally.check(", gone" in git("diff"), "a recipe that is gone", git("diff")[:300])
    git("reset", "-q", "--hard")
    git("mv", "long.scruple", "moved.scruple")
    tally.check("moved.scruple" in git("diff", "--cached", "-M"), "a recipe that moved", git("diff", "--cached", "-M"))
    git("reset", "-q", "--hard")
    c.edit("harbour/lamp.scruple", "9 parts", "9 prats")
    text = git("diff")
    tally.check("prats" in text and "The lines that differ" in text, "a recipe that does not compile is shown line by line", text)
    with open(c.path("harbour/lamp.scruple"), "wb") as file:
        file.write(b"\xff\xfe\x00\x01blend" * 50 + b"\x1b[31m")
    done = subprocess.run(["git", "diff"], cwd=clone, env=stillroom.environment(path), capture_output=True)
    tally.check(done.returncode == 0 and b"\x1b" not in done.stdout, "bytes that are no recipe", done.stderr.decode())
    done = subprocess.run(["git", "diff", "--no-ext-diff"], cwd=clone, env=stillroom.environment(path), capture_output=True)
    tally.check(done.returncode == 0, "bytes that are no recipe, as plain lines", done.stderr.decode())
    git("reset", "-q", "--hard")
    for name in ("a space.scruple", "quo'te.scruple", "-dash.scruple", "ümlaut.scruple"):
        c.put(name, "blend odd {\n    1 part     lavender\n}\n")
        git("add", "-A")
        text = git("diff", "--cached")
        tally.check("odd" in text, f"a recipe called {name}", text)
        git("reset", "-q", "--hard")
    scruple(clone, "git", "setup", "--remove", extra=path)
    tally.check("scruple" not in git("config", "--local", "--list"), "taken away again")
    tally.check(scruple(clone, "git", "setup", "--remove", extra=path).code == 0, "taken away twice")
    own = os.path.join(folder, "own")
    os.makedirs(own)
    subprocess.run(["git", "init", "-q", own], check=True, env=stillroom.environment())
    with open(os.path.join(own, ".gitattributes"), "w", encoding="utf-8") as file:
        file.write("*.png binary")
    scruple(own, "git", "setup", extra=path)
    with open(os.path.join(own, ".gitattributes"), encoding="utf-8") as file:
        tally.check(file.read() == "*.png binary\n*.scruple diff=scruple merge=scruple\n", "the maker's own attributes are kept")
    fresh = os.path.join(folder, "fresh")
    os.makedirs(fresh)
    with open(os.path.join(fresh, ".gitattributes"), "w", encoding="utf-8") as file:
        file.write("*.png binary\n")
    done = scruple(folder, "new", "fresh", extra=path)
    with open(os.path.join(fresh, ".gitattributes"), encoding="utf-8") as file:
        tally.check(done.code == 0 and file.read() == "*.png binary\n*.scruple diff=scruple merge=scruple\n", "a fresh collection keeps attributes that are there")
    done = scruple(folder, "new", "fresher", extra=path)
    with open(os.path.join(folder, "fresher", ".gitattributes"), encoding="utf-8") as file:
        tally.check(done.code == 0 and "*.scruple diff=scruple merge=scruple\n" in file.read(), "a fresh collection has the attributes")


def check_review(tally, r, folder):
    """The examples of examples/review, as a maker and a service run them."""
    link = os.path.join(folder, "bin")
    env = stillroom.environment({"PATH": link + ":" + os.environ["PATH"]})
    clone = os.path.join(folder, "review")
    r.git("clone", "-q", r.folder, clone)
    c = stillroom.Repository.__new__(stillroom.Repository)
    c.folder, c.day = clone, 150
    examples = os.path.join(program.ROOT, "examples", "review")
    shutil.copy(os.path.join(examples, "pre-commit"), os.path.join(clone, ".git", "hooks", "pre-commit"))

    def commit(message):
        c.git("add", "-A")
        return subprocess.run(["git", "commit", "-q", "-m", message], cwd=clone, env=env, stdin=subprocess.DEVNULL, capture_output=True)

    c.git("checkout", "-q", "-b", "proposal")
    c.edit("harbour/lamp.scruple", "6 parts", "7 parts")
    done = commit("More patchouli")
    tally.check(done.returncode == 0, "the hook lets through what hurts no more", done.stderr.decode())
    c.edit("harbour/lamp.scruple", "4 parts    bergamot", "9 parts    bergamot")
    done = commit("Much bergamot")
    tally.check(done.returncode != 0 and b"could hurt more" in done.stderr, "the hook stops what could hurt more", done.stderr.decode())
    c.edit("harbour/lamp.scruple", "9 parts    bergamot", "9 prats    bergamot")
    done = commit("A slip")
    tally.check(done.returncode != 0, "the hook stops what does not compile", done.stderr.decode())
    c.git("reset", "-q", "--hard")
    c.put("readme.txt", "words\n")
    done = commit("Words")
    tally.check(done.returncode == 0, "the hook minds recipes alone", done.stderr.decode())
    c.edit("harbour/lamp.scruple", "4 parts    bergamot", "9 parts    bergamot")
    c.git("commit", "-q", "-a", "--no-verify", "-m", "Much bergamot", extra=c.dated())
    out = os.path.join(folder, "out of review")
    done = subprocess.run([os.path.join(examples, "on_change"), "origin/main", out], cwd=clone, env=env, capture_output=True)
    tally.check(done.returncode == 11, "a change that could hurt more fails", f"{done.returncode} {done.stderr.decode()}")
    with open(os.path.join(out, "comment.md"), encoding="utf-8") as file:
        comment = file.read()
    tally.check("Do not take over unread" in comment and "4 -&gt; 9" in comment or "4 -> 9" in comment, "the comment says what to look at", comment[:600])
    with open(os.path.join(out, "changes.sarif"), encoding="utf-8") as file:
        log = json.load(file)
    told = c.git("diff", "-U0", "origin/main...").stdout.decode()
    starts = {int(m.group(1)) + i for m in re.finditer(r"(?m)^@@ -\S+ \+(\d+)(?:,(\d+))?", told) for i in range(int(m.group(2) or 1))}
    places = {r["locations"][0]["physicalLocation"]["region"]["startLine"] for run in log["runs"] for r in run["results"]}
    tally.check(places and places <= starts, "the log points at lines that git calls changed", f"{places} {starts}")
    c.git("reset", "-q", "--hard", "HEAD~1")
    done = subprocess.run([os.path.join(examples, "on_change"), "origin/main", out], cwd=clone, env=env, capture_output=True)
    tally.check(done.returncode == 0, "a change that hurts no more passes", f"{done.returncode} {done.stderr.decode()}")
    done = subprocess.run([os.path.join(examples, "on_change"), "nowhere", out], cwd=clone, env=env, capture_output=True)
    tally.check(done.returncode not in (0, 11), "a target that is not there is no verdict", f"{done.returncode}")


def check_schemas(tally, r):
    for schema, document in (("history", data(r.folder, "history", "harbour_lamp")), ("history", data(r.folder, "history", "lamp_soap")),
                             ("history", data(r.folder, "history", "lamp_rooms")), ("sightings", data(r.folder, "history", "--fingerprint", "8ac5")),
                             ("sightings", data(r.folder, "history", "--fingerprint", "0000")), ("changes", data(r.folder, "diff", "v1", "v2")),
                             ("changes", data(r.folder, "diff")), ("changes", data(r.folder, "diff", "--staged"))):
        with open(os.path.join(program.ROOT, "grammar", f"{schema}.schema.json"), encoding="utf-8") as file:
            validator = jsonschema.Draft202012Validator(json.load(file))
        wrong = [e.message for e in validator.iter_errors(document)]
        tally.check(not wrong, f"{schema}.schema.json", "\n".join(wrong[:5]))
        for key in document:
            broken = {k: v for k, v in document.items() if k != key}
            tally.check(not validator.is_valid(broken), f"{schema}.schema.json wants {key}")


def main():
    program.need_binary()
    tally = program.Tally()
    with tempfile.TemporaryDirectory() as folder:
        folder = os.path.realpath(folder)
        r = check_goldens(tally, folder, "--renew" in sys.argv[1:])
        at, ids = check_against_checkouts(tally, r, folder)
        check_schemas(tally, r)
        check_states(tally, r, folder, ids)
        check_drivers(tally, r, folder)
        check_review(tally, r, folder)
    return tally.close()


if __name__ == "__main__":
    sys.exit(main())
