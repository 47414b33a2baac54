#!/usr/bin/env python3
"""Makes a book of docs/ with mdBook, links included.

As mdBook's preprocessor (docs/book.toml names it): a Markdown page that a chapter links and docs/SUMMARY.md does not
list, such as the page of a rule beside its code, becomes a chapter below the chapter that links it. Links that leave
docs/ lead to `repository/` in the book.

`book.py files BOOK` then copies the other files that such links lead to, such as schemas and examples.
"""

import json
import os
import re
import shutil
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
OUTSIDE = "repository/"
FENCED = re.compile(r"(^```.*?^```$)", re.MULTILINE | re.DOTALL)
# A line of a rule's messages, each of which stays a line of its own.
MESSAGE = re.compile(r"^(> .*)$", re.MULTILINE)
LINK = re.compile(r"\[([^\]]*)\]\(([^)\s#]+)(#[^)\s]*)?\)")


def chapters(items):
    """The chapters of a list and all below them, in the order of the book."""
    for item in items:
        if chapter := item.get("Chapter") if isinstance(item, dict) else None:
            yield chapter
            yield from chapters(chapter["sub_items"])


def source(chapter):
    """The file of a chapter, from the root of the repository."""
    return os.path.normpath("docs/" + (chapter["source_path"] or ""))


def place(file):
    """Where a file of the repository is in the book."""
    return file.removeprefix("docs/") if file.startswith("docs/") else OUTSIDE + file


def target(file, link):
    """The file of the repository that a link of another file leads to, or nothing for an address."""
    if "://" in link or link.startswith("mailto:"):
        return None
    found = os.path.normpath(os.path.join(os.path.dirname(file), link))
    return found if (ROOT / found).exists() else None


def outside_code(text, change):
    return "".join(part if part.startswith("```") else change(part) for part in FENCED.split(text))


def linked_pages(file, text):
    """The Markdown files that a page links, in its order."""
    links = (match[2] for part in FENCED.split(text) if not part.startswith("```") for match in LINK.finditer(part))
    found = (target(file, link) for link in links)
    return dict.fromkeys(page for page in found if page and page.endswith(".md"))


def new_chapter(file, parent):
    text = (ROOT / file).read_text(encoding="utf-8")
    content = MESSAGE.sub(r"\1  ", text)
    name = content.removeprefix("# ").split("\n", 1)[0]
    number = parent["number"] and parent["number"] + [len(parent["sub_items"]) + 1]
    return {"name": name, "content": content, "number": number, "sub_items": [], "path": place(file),
            "source_path": os.path.relpath(file, "docs"), "parent_names": parent["parent_names"] + [parent["name"]]}


def add_linked(items, lists):
    """Puts pages that are linked and not listed below the chapter that lists or first links them."""
    known = {source(chapter) for chapter in chapters(items)}
    waiting = sorted(chapters(items), key=lambda chapter: chapter["source_path"] not in lists)
    while waiting:
        chapter = waiting.pop(0)
        for file in linked_pages(source(chapter), chapter["content"]):
            if file not in known:
                known.add(file)
                page = new_chapter(file, chapter)
                chapter["sub_items"].append({"Chapter": page})
                waiting.append(page)


def lead_into_book(chapter, paths):
    """Rewrites the links of a chapter to where their targets are in the book. A folder has no page: its link becomes text."""
    file, folder = source(chapter), os.path.dirname(chapter["path"])

    def rewritten(match):
        text, link, anchor = match.groups()
        found = target(file, link)
        if found is None:
            return match[0]
        if (ROOT / found).is_dir():
            return text
        return f"[{text}]({os.path.relpath(paths.get(found) or place(found), folder or '.')}{anchor or ''})"

    chapter["content"] = outside_code(chapter["content"], lambda text: LINK.sub(rewritten, text))


def preprocess():
    context, book = json.load(sys.stdin)
    add_linked(book["items"], context["config"]["preprocessor"]["linked"]["lists"])
    for chapter in chapters(book["items"]):
        if not source(chapter).startswith("docs/"):
            chapter["path"] = place(source(chapter))
    paths = {source(chapter): chapter["path"] for chapter in chapters(book["items"])}
    for chapter in chapters(book["items"]):
        lead_into_book(chapter, paths)
    json.dump(book, sys.stdout)


def copy_files(book):
    for page in book.rglob("*.html"):
        for link in re.findall(r'href="([^"#:]+)', page.read_text(encoding="utf-8")):
            found = os.path.relpath(page.parent.joinpath(link), book)
            file = ROOT / found.removeprefix(OUTSIDE)
            if found.startswith(OUTSIDE) and file.is_file() and not (book / found).exists():
                (book / found).parent.mkdir(parents=True, exist_ok=True)
                shutil.copyfile(file, book / found)


if sys.argv[1:2] == ["files"]:
    copy_files(Path(sys.argv[2]).resolve())
elif sys.argv[1:2] == ["supports"]:
    sys.exit(0 if sys.argv[2:] == ["html"] else 1)
else:
    preprocess()
