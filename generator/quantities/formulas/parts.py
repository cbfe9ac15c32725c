"""A checked part of a formula: its tree, what it measures, and how a person reads it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum
from typing import Any

from generator.place import Place
from generator.quantities.units import Kind

Piece = str | tuple[str, ...]


class Tight(IntEnum):
    """How tightly the words of a part hold together. A looser part goes in brackets inside a tighter one."""

    IF = 0
    PHRASE = 1
    OR = 2
    AND = 3
    NOT = 4
    COMPARE = 5
    NEG = 6
    SUM = 7
    PRODUCT = 8
    POWER = 9
    ATOM = 10


@dataclass(frozen=True)
class FormulaPart:
    """One part. `text` and `place` say what was written and where, for messages; `size` and `depth` measure the
    tree."""

    tree: Any
    kind: Kind
    words: tuple[Piece, ...]
    tight: Tight
    text: str
    place: Place
    size: int = 1
    depth: int = 1
    constant: bool = False
    """True if made of plain numbers and quantities alone."""

    def inside(self, tight: Tight) -> tuple[Piece, ...]:
        """Return the words as they are inside other words."""
        return self.words if self.tight >= tight else ("(", *self.words, ")")


@dataclass(frozen=True)
class Says:
    """The words of a new part and how tightly they hold."""

    words: tuple[Piece, ...]
    tight: Tight


def merged(words: Iterable[Piece]) -> list[Any]:
    """Return the pieces as a worksheet has them: neighbouring texts joined, the others as lists."""
    out: list[Any] = []
    for piece in words:
        if isinstance(piece, str) and out and isinstance(out[-1], str):
            out[-1] += piece
        else:
            out.append(piece if isinstance(piece, str) else list(piece))
    return out
