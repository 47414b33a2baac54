#!/usr/bin/env python3
"""Checks that every link of a folder of HTML pages leads to a file of the folder, and to an anchor of that file.

Addresses on the network are not asked. Usage: check_links.py FOLDER
"""

import sys
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit


class Page(HTMLParser):
    """The links and the anchors of a page."""

    def __init__(self, text):
        super().__init__()
        self.links, self.anchors = [], set()
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        for name, value in attributes:
            if name in ("href", "src") and tag != "base":
                self.links.append((self.getpos()[0], value or ""))
            if name == "id" or (tag == "a" and name == "name"):
                self.anchors.add(value)


def fault(file, link, pages):
    """What is wrong with a link of a page, or nothing."""
    parts = urlsplit(link)
    if parts.scheme or parts.netloc:
        return None
    path = (file.parent / unquote(parts.path)).resolve() if parts.path else file
    if path.is_dir():
        path = path / "index.html"
    if not path.is_file():
        return "leads to no file"
    if parts.fragment and path in pages and unquote(parts.fragment) not in pages[path].anchors:
        return "leads to no anchor"
    return None


def main(folder):
    files = [file for file in sorted(folder.rglob("*.html")) if file.name != "404.html"]
    pages = {file: Page(file.read_text(encoding="utf-8")) for file in files}
    followed, faults = 0, []
    for file, page in pages.items():
        for line, link in page.links:
            followed += 1
            if said := fault(file, link, pages):
                faults.append(f"{file.relative_to(folder)}:{line}: {link} {said}")
    print("\n".join(faults) or f"{followed} links of {len(pages)} pages lead somewhere")
    return 1 if faults or followed == 0 else 0


sys.exit(main(Path(sys.argv[1]).resolve()))
