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
    """How tightly the words of a part hold together; a looser one is put in brackets inside a tighter."""

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
class Part:
    """`text` and `place` are what was written and where, for messages; `size` and `depth` count the tree's parts."""

    tree: Any
    kind: Kind
    words: tuple[Piece, ...]
    tight: Tight
    text: str
    place: Place
    size: int = 1
    depth: int = 1
    constant: bool = False
    """Made of plain numbers and quantities alone."""

    def inside(self, tight: Tight) -> tuple[Piece, ...]:
        """The words as they stand within others."""
        return self.words if self.tight >= tight else ("(", *self.words, ")")


@dataclass(frozen=True)
class Says:
    """The words of a new part and how tightly they hold."""

    words: tuple[Piece, ...]
    tight: Tight


def merged(words: Iterable[Piece]) -> list[Any]:
    """Pieces as a worksheet carries them: texts in a row made one, the others as lists."""
    out: list[Any] = []
    for piece in words:
        if isinstance(piece, str) and out and isinstance(out[-1], str):
            out[-1] += piece
        else:
            out.append(piece if isinstance(piece, str) else list(piece))
    return out
