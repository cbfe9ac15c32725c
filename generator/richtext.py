"""Step text with inline Markdown -> a small tree that the page and the phone both draw as text.

`markdown-it-py` reads the Markdown, `nh3` throws out whatever is not on the list, so that no source can bring markup of
its own. The tree is a list of: text, `{"t": "em"|"strong"|"code", "c": tree}` and `{"v": "value_name"}`.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import nh3
from bs4 import BeautifulSoup
from bs4.element import NavigableString, Tag
from markdown_it import MarkdownIt

PLACEHOLDER = re.compile(r"\{([a-z][a-z0-9]*(?:_[a-z0-9]+)*)\}")
ALLOWED = {"em", "strong", "code"}

Rich = list[Any]

_markdown = MarkdownIt("commonmark", {"html": False}).disable(["link", "image", "autolink"])


def rich(text: str, rename: Callable[[str], str] = str) -> Rich:
    """The tree of one text. `rename` maps a value's name to the name it has in the composed job.

    >>> rich("Press *slowly*, {stance}.")
    ['Press ', {'t': 'em', 'c': ['slowly']}, ', ', {'v': 'stance'}, '.']
    """
    clean = nh3.clean(_markdown.renderInline(text), tags=ALLOWED, attributes={})
    return _children(BeautifulSoup(clean, "html.parser"), rename)


def plain(tree: Rich) -> str:
    """The text of a tree without its dress; values stay as `{name}`."""
    parts = []
    for node in tree:
        if isinstance(node, str):
            parts.append(node)
        elif "v" in node:
            parts.append("{" + node["v"] + "}")
        else:
            parts.append(plain(node["c"]))
    return "".join(parts)


def names_in(text: str) -> list[str]:
    """The values that a text names, in order."""
    return PLACEHOLDER.findall(text)


def _children(tag: Tag, rename: Callable[[str], str]) -> Rich:
    tree: Rich = []
    for child in tag.children:
        if isinstance(child, NavigableString):
            tree.extend(_split(str(child), rename))
        elif isinstance(child, Tag):
            tree.append({"t": child.name, "c": _children(child, rename)})
    return tree


def _split(text: str, rename: Callable[[str], str]) -> Rich:
    """Text cut at its placeholders; every second piece of the split is a name."""
    pieces = PLACEHOLDER.split(text)
    return [{"v": rename(piece)} if i % 2 else piece for i, piece in enumerate(pieces) if piece]
