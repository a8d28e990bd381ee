"""Fenced blocks of a Markdown file, for the checks that run what the pages show."""
import os
import re
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
SCRUPLE = Path(os.environ.get("SCRUPLE", ROOT / "build" / "scruple"))   # the program under test

OPEN = re.compile(r"^(`{3,})([^`]*)$")


class Fence:
    """`info` is what stands after the backticks, as words; `text` what stands inside; `first` and `last` are the
    indices of the first line inside and of the closing line."""

    def __init__(self, info, lines, first, last):
        self.info, self.first, self.last = info.split(), first, last
        self.text = "".join(line + "\n" for line in lines)

    @property
    def kind(self):
        return self.info[0] if self.info else ""


def fences(lines):
    """Raises ValueError where a fence is not closed."""
    found, at = [], 0
    while at < len(lines):
        match = OPEN.match(lines[at])
        if not match:
            at += 1
            continue
        first = at + 1
        end = first
        while end < len(lines) and lines[end].rstrip() != match.group(1):
            end += 1
        if end == len(lines):
            raise ValueError(f"line {at + 1}: a fence that is not closed")
        found.append(Fence(match.group(2), lines[first:end], first, end))
        at = end + 1
    return found
