"""Markdown pages as markdown-it (npm; CommonMark with pipe tables) reads them: every table is whole, no text of a recipe
turned into mark-up, and the page says the same as the sheet, character for character.
"""
import collections
import json
import os
import re
import sys
import tempfile

HERE = os.path.dirname(os.path.abspath(__file__))
sys.path.insert(0, os.path.dirname(HERE))
import difficult
import node_packages
import program

KNOWN = {"inline", "text", "text_special", "softbreak", "heading_open", "heading_close", "paragraph_open", "paragraph_close",
         "strong_open", "strong_close", "bullet_list_open", "bullet_list_close", "ordered_list_open",
         "ordered_list_close", "list_item_open", "list_item_close", "table_open", "table_close", "thead_open",
         "thead_close", "tbody_open", "tbody_close", "tr_open", "tr_close", "td_open", "td_close", "th_open", "th_close"}


def letters(text):
    """What is said, without layout: lists, rules and the brackets about a page's name stand in one form only."""
    return collections.Counter(c for c in text.lower() if not c.isspace() and c not in "-=()")


def sheet_text(sheet):
    kept = []
    for line in sheet.splitlines():
        if re.fullmatch(r" *[-=]{4,}", line):
            continue
        kept.append(re.sub(r"^ *\d+\. ", "", line))
    return "\n".join(kept)


def main():
    program.need_binary()
    tally = program.Tally()
    home = node_packages.folder("markdown-it@14")
    with tempfile.TemporaryDirectory() as folder:
        hard = os.path.join(folder, "hard")
        os.makedirs(hard)
        difficult.write(hard)
        pages = []
        for path in (os.path.join(program.ROOT, "examples", "stillroom"), hard):
            def built(*arguments):
                return program.run("build", path, "--diagnostics", "json", *arguments).out.decode("utf-8")

            document = json.loads(built("--to", "json"))
            for thing in document["blends"] + document["products"]:
                page = os.path.join(folder, f"{len(pages)}.md")
                with open(page, "w", encoding="utf-8") as out:
                    out.write(built("--only", thing["id"], "--to", "markdown"))
                pages.append((thing, page, built("--only", thing["id"])))
        answers = json.loads(node_packages.run(os.path.join(HERE, "markdown_page.cjs"), home,
                                               *(page for _, page, _ in pages)))
        tally.check(len(answers) == len(pages) and len(pages) > 20, "there are pages")
        for (thing, page, sheet), answer in zip(pages, answers):
            name = thing["id"]
            tally.check(set(answer["tags"]) <= KNOWN, f"{name}: nothing but what a page is made of",
                        sorted(set(answer["tags"]) - KNOWN))
            below_title = sheet.split("\n" + "=" * 80 + "\n", 1)[1]
            headings = 1 + len(re.findall(r"^\S", below_title, re.M))
            tally.check(answer["tags"].get("heading_open", 0) == headings, f"{name}: a heading for each of the sheet's")
            for rows in answer["tables"]:
                tally.check(len(rows) > 1 and len(set(rows)) == 1, f"{name}: a whole table", rows)
            if thing.get("complete", True) and thing.get("fingerprint", True):
                tally.check(len(answer["tables"]) > 0, f"{name}: it has tables")
            said, wanted = letters(answer["text"]), letters(sheet_text(sheet))
            tally.check(said == wanted, f"{name}: the page says what the sheet says",
                        f"only on the page: {said - wanted}\nonly on the sheet: {wanted - said}")
    return tally.close()


if __name__ == "__main__":
    sys.exit(main())
