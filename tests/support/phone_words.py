"""The rule for what the phone says: every sentence is in words/, where it can be read beside the others.

`sentences(files)` parses scripts with tree-sitter. It returns each text of two or more words, part by part of a
template, that is in another file. A `${...}` between words counts as one word. It ignores:

- the value of an attribute of `_NOT_READ` or of a `look` (the class of a button), or what a function `classOf` returns
- what `closest`, `matches`, `querySelector`, `querySelectorAll` or `matchMedia` look for
- a list of names that `.split(' ')` takes apart
- what an error says (`new Error`, `new TypeError`, `new DOMException`), because no screen shows it
- a name of something stored or sent that begins with `handturn`
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from tree_sitter import Node

from tests.support.phone_names import nodes_of, parsed, text_of

_SEEKERS = {"closest", "matches", "querySelector", "querySelectorAll", "matchMedia"}
_ERRORS = {"Error", "TypeError", "DOMException"}
_NOT_READ = {"class", "d", "look"}
HOLE = "\x00"
_WORD = re.compile(r"[^\W\d_]+")


@dataclass(frozen=True)
class Said:
    """A text that reads like a sentence, and where it is."""

    file: str
    line: int
    text: str


def sentences(files: Mapping[str, str]) -> list[Said]:
    """Return every text of two or more words outside words/, in order. `files`: texts by path below one folder."""
    return [
        Said(name, node.start_point[0] + 1, text)
        for name, source in files.items()
        if not re.search(r"(^|/)words/\w+\.js$", name)
        for node in nodes_of(parsed(source))
        if (text := _literal(node)) is not None and _is_sentence(text) and not _is_for_the_machine(node, text)
    ]


def texts(source: str) -> list[str]:
    """Return every text of a script with a word in it, in order. A template's `${...}` is `HOLE`."""
    literals = (_literal(node) for node in nodes_of(parsed(source)))
    return [text for text in literals if text is not None and _WORD.search(text)]


def shown(text: str) -> str:
    """Return a text as a list of exceptions states it: `{}` where a value is put in."""
    return text.replace(HOLE, "{}")


def _literal(node: Node) -> str | None:
    if node.type == "string":
        return text_of(node)[1:-1]
    if node.type != "template_string":
        return None
    holes = [child for child in node.named_children if child.type == "template_substitution"]
    whole, start = text_of(node).encode(), node.start_byte
    for hole in reversed(holes):
        whole = whole[: hole.start_byte - start] + HOLE.encode() + whole[hole.end_byte - start :]
    return whole.decode()[1:-1]


def _is_sentence(text: str) -> bool:
    pieces = [piece for piece in re.split(r"\s+", text) if HOLE in piece or _WORD.search(piece)]
    return len(pieces) > 1 and bool(_WORD.search(text.replace(HOLE, " ")))


def _is_for_the_machine(node: Node, text: str) -> bool:
    return text.startswith("handturn") or any(_excuses(one, child) for one, child in _above(node))


def _above(node: Node) -> Iterator[tuple[Node, Node]]:
    """Yield each node around this one with the child that leads to it, while the text itself is what is given."""
    child = node
    while (one := child.parent) is not None and not one.type.endswith(("statement", "_declaration", "program")):
        yield one, child
        if one.type == "arrow_function" and one.parent is not None:
            yield one.parent, one
        if one.type in ("arrow_function", "arguments", "pair"):
            if one.type == "arguments" and one.parent is not None:
                yield one.parent, one
            return
        child = one


def _excuses(one: Node, child: Node) -> bool:
    if one.type == "pair":
        return text_of(one.child_by_field_name("key")) in _NOT_READ and child == one.child_by_field_name("value")
    if one.type == "variable_declarator":
        return text_of(one.child_by_field_name("name")) == "classOf" and child.type == "arrow_function"
    if one.type == "new_expression":
        return text_of(one.child_by_field_name("constructor")) in _ERRORS
    if one.type == "member_expression":
        return text_of(one.child_by_field_name("property")) == "split" and child == one.child_by_field_name("object")
    return one.type == "call_expression" and _takes_no_sentence(one, child)


def _takes_no_sentence(call: Node, child: Node) -> bool:
    arguments = call.child_by_field_name("arguments")
    if arguments is None or child != arguments:
        return False
    called = text_of(call.child_by_field_name("function")).rsplit(".", 1)[-1]
    first = [text_of(one).strip("'") for one in arguments.named_children[:-1]]
    return called in _SEEKERS or (called in ("set", "setAttribute") and first[-1:] != [] and first[-1] in _NOT_READ)
