"""Step text with inline Markdown -> a small tree that the page and the phone both draw as text.

`markdown-it-py` reads the Markdown. Raw HTML, links and images are switched off, and of its tokens only text and three
kinds of emphasis are taken: no source can bring markup of its own. The tree is a list of: text,
`{"t": "em"|"strong"|"code", "c": tree}` and `{"v": "value_name"}`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any

from markdown_it import MarkdownIt
from markdown_it.token import Token

PLACEHOLDER = re.compile(r"\{([a-z][a-z0-9]*(?:_[a-z0-9]+)*)\}")

Rich = list[Any]

_markdown = MarkdownIt("commonmark", {"html": False}).disable(["link", "image", "autolink"])


def rich(text: str, rename: Callable[[str], str] = str) -> Rich:
    """The tree of one text. `rename` maps a value's name to the name it has in the composed job.

    >>> rich("Press *slowly*, {stance}.")
    ['Press ', {'t': 'em', 'c': ['slowly']}, ', ', {'v': 'stance'}, '.']
    """
    return _tree(iter(_markdown.parseInline(text)[0].children or ()), rename)


def plain(tree: Rich) -> str:
    """Return the text of a tree without its emphasis. Values stay as `{name}`."""
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
    """Return the values that a text names, in order."""
    return PLACEHOLDER.findall(text)


def _tree(tokens: Iterable[Token], rename: Callable[[str], str]) -> Rich:
    """Return the tree up to the end of the emphasis the tokens are in. One text may come as several tokens."""
    tree: Rich = []
    text = ""
    for token in tokens:
        if token.type in _TEXT:
            text += _TEXT[token.type] or token.content
            continue
        tree += _split(text, rename)
        text = ""
        if token.nesting < 0:
            return tree
        inside = _split(token.content, rename) if token.type == "code_inline" else _tree(tokens, rename)
        tree.append({"t": token.tag, "c": inside})
    return tree + _split(text, rename)


_TEXT = {"text": "", "softbreak": "\n", "hardbreak": "\n"}
"""Tokens that are text, and their text where it is not their content."""


def _split(text: str, rename: Callable[[str], str]) -> Rich:
    """Cut a text at its placeholders. Every second piece is a name."""
    pieces = PLACEHOLDER.split(text)
    return [{"v": rename(piece)} if i % 2 else piece for i, piece in enumerate(pieces) if piece]


def which_of(which: object) -> str:
    """Return what stands before a step's text: `Rear left: ` for `rear left`, and nothing for a step without it."""
    return f"{which[:1].upper()}{which[1:]}: " if isinstance(which, str) and which else ""
