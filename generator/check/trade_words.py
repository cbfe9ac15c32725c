"""The declared words of the trade, all together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Generic, TypeVar

from generator.model import BoltList, KindOfGate, KindOfItem, Picture, Role, WorksOn
from generator.place import Place

W = TypeVar("W")


@dataclass(frozen=True)
class Word(Generic[W]):
    """One declared word: what it means, and where a file says so."""

    means: W
    place: Place

    @property
    def file(self) -> str:
        return self.place.file


@dataclass(frozen=True)
class DeclaredTrade:
    """All declared words by section, in the order of the files. `own` are the files that declare what they work on."""

    works_on: dict[str, Word[WorksOn]] = field(default_factory=dict)
    roles: dict[str, Word[Role]] = field(default_factory=dict)
    kinds: dict[str, Word[KindOfItem]] = field(default_factory=dict)
    lists: dict[str, Word[BoltList]] = field(default_factory=dict)
    gates: dict[str, Word[KindOfGate]] = field(default_factory=dict)
    divisions: dict[str, Word[str]] = field(default_factory=dict)  # unit -> the smallest division of a gauge in it
    drawings: dict[str, Word[Picture]] = field(default_factory=dict)  # explained word -> the drawing that shows it
    own: frozenset[str] = frozenset()

    def kinds_before(self, gate: str, opened: Iterable[str] = ()) -> tuple[str, ...]:
        """Return the kinds that a gate waits for. `all_kinds_but` means those of its own file, and of files that only
        add words. Another trade's kinds do not concern it, but those that the job itself opens (`opened`) do."""
        word = self.gates[gate]
        if word.means.all_kinds_but is None:
            return tuple(word.means.kinds)
        near = [*(name for name, kind in self.kinds.items() if self.near(kind.file, word.file)), *sorted(opened)]
        return tuple(
            dict.fromkeys([*word.means.kinds, *(name for name in near if name not in word.means.all_kinds_but)])
        )

    def near(self, file: str, of: str) -> bool:
        """True if the words of a file belong to those of another one: it is the same, or one that only adds words."""
        return file == of or file not in self.own

    def closed_by(self, kind: str, check: str) -> bool:
        """True if things of this kind are closed by that check-off alone."""
        word = self.kinds.get(kind)
        return word is not None and word.means.closed_by == check
