"""Nodes -> nouns, and every rule of one source and of the names between sources.

`check(node, noun)` looks at one file, `check_all(texts)` at all of a shop. Rules that need the order of work in a
composed job belong to the compiler.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from generator.check.checked import Checked, Library, N
from generator.check.library import shelve
from generator.check.nouns import Found, build
from generator.faults import Fault
from generator.inputs.read import MapNode, Node

__all__ = ["Checked", "Library", "check", "check_all"]


def check(node: Node, noun: type[N]) -> tuple[Checked[N] | None, list[Fault]]:
    """Return one file's node as a noun, or None with the faults of its shape. Names are not looked at; `check_all`
    does that."""
    found = Found()
    made = build(node, noun, found).value
    if not isinstance(made, noun) or not isinstance(node, MapNode):
        return None, found.faults
    return Checked(made, node, node.place.file), found.faults


def check_all(texts: Mapping[str, str | bytes], day: datetime.date | None = None) -> tuple[Library, list[Fault]]:
    """Check all sources of a shop, path -> text. Faults come sorted. Everything that is whole is in the library. `day`
    is the last day on which a value can have been read; without it, the last that has begun anywhere on earth."""
    return shelve(texts, day)
