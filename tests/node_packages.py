"""Node packages that outside checks compare with, installed by name into a cache outside the checkout."""
import os
import subprocess


def folder(*packages):
    """The folder whose node_modules hold the packages; each is a name with its major version, as in `ajv@8`."""
    cache = os.environ.get("XDG_CACHE_HOME") or os.path.join(os.path.expanduser("~"), ".cache")
    home = os.path.join(cache, "scruple-tests", "_".join(sorted(p.replace("/", "-").replace("@", "-") for p in packages)))
    missing = [p for p in packages
               if not os.path.isdir(os.path.join(home, "node_modules", *p.rsplit("@", 1)[0].split("/")))]
    if missing:
        os.makedirs(home, exist_ok=True)
        subprocess.run(["npm", "install", "--prefix", home, "--no-audit", "--no-fund", "--silent", *packages],
                       check=True, stdin=subprocess.DEVNULL)
    return home


def run(script, home, *arguments, text=None):
    """Runs a script of node with `home` as its folder of packages; gives back what it prints."""
    env = dict(os.environ, NODE_PATH=os.path.join(home, "node_modules"))
    return subprocess.run(["node", script, *arguments], check=True, env=env, input=text, capture_output=True,
                          encoding="utf-8").stdout
