"""A small reader of Scruple text for the checks of the standard library: rows, items, atoms and blocks, nothing else."""
import re

ATOM = re.compile(
    r'"(?:[^"\\]|\\["\\])*"'                                    # string
    r"|\d{4}-\d{2}(?:-\d{2})?(?![\d.])"                         # date
    r"|-?\d+(?:\.\d+)?(?:\.\.-?\d+(?:\.\d+)?){0,2}(?:/\d+)?"    # number, range, fraction
    r"|[A-Za-z_\u00b0][A-Za-z0-9_\u00b0]*(?:\.[a-z]\w*)?"       # word, or the name of an import's
    r"|[%/={},]"
)


class Row:
    """`items` are lists of atoms; `block` is a list of rows or None."""

    def __init__(self, items, block, where):
        self.items, self.block, self.where = items, block, where

    def __getitem__(self, index):
        return self.items[0][index] if index < len(self.items[0]) else ""

    def __bool__(self):
        return bool(self.items[0])

    def words(self):
        return [atom for item in self.items for atom in item]


class Broken(Exception):
    """What is wrong, and where."""


NOTHING = Row([[]], [], "")


def scan(path, root):
    """Atoms of each line with its place; comments are dropped."""
    tokens = []
    for number, line in enumerate(path.read_text(encoding="utf-8").split("\n"), 1):
        where = f"{path.relative_to(root)}:{number}"
        at = 0
        while at < len(line):
            if line[at] in " ":
                at += 1
                continue
            if line[at] == "#":
                break
            match = ATOM.match(line, at)
            if not match:
                raise Broken(f"{where}: cannot read `{line[at:at + 20]}`")
            tokens.append((match.group(), where))
            at = match.end()
        tokens.append(("\n", where))
    return tokens


def rows_of(path, root):
    """The rows of a file, with their blocks; raises Broken where the text is not well formed."""
    tokens = scan(path, root)
    at = 0

    def read(depth):
        nonlocal at
        rows, items, item, where = [], [], [], ""

        def end(block=None):
            nonlocal items, item
            if item or items:
                if not item:
                    raise Broken(f"{where}: a comma with nothing after it")
                rows.append(Row(items + [item], block, where))
            elif block is not None:
                raise Broken(f"{where}: a block without a head")
            items, item = [], []

        while at < len(tokens):
            token, place = tokens[at]
            at += 1
            if token == "\n":
                if item:
                    end()           # after a comma `item` is empty and the row goes on
                elif items and at < len(tokens) and tokens[at][0] == "\n":
                    raise Broken(f"{place}: a row ends in a comma")
            elif token == ",":
                if not item:
                    raise Broken(f"{place}: a comma without anything before it")
                items, item = items + [item], []
            elif token == "{":
                if not item:
                    raise Broken(f"{place}: a block without a head")
                head, head_items, head_where = item, items, where
                one_line = at < len(tokens) and tokens[at][0] != "\n"
                inner = read(depth + 1)
                if one_line and len(inner) > 1:
                    raise Broken(f"{place}: a one-line block holds one row")
                rows.append(Row(head_items + [head], inner, head_where))
                items, item = [], []
            elif token == "}":
                if depth == 0:
                    raise Broken(f"{place}: a brace too many")
                end()
                return rows
            else:
                if not item and not items:
                    where = place
                item = item + [token]
        if depth:
            raise Broken(f"{path.name}: a brace is missing at the end")
        end()
        return rows

    return read(0)


def text(atom):
    return atom[1:-1].replace('\\"', '"').replace("\\\\", "\\")
