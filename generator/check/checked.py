"""A source while it is checked, a checked source with the nodes it was read from, and the library of all of them."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from pathlib import PurePosixPath
from typing import Generic, TypeGuard, TypeVar, cast

from generator.check.compiled_results import Results
from generator.check.partial import Seen
from generator.check.trade_words import DeclaredTrade
from generator.faults import Fault
from generator.inputs.read import ListNode, MapNode, Node, ScalarNode
from generator.model import Engine, FailureModes, Job, Noun, Procedure, Shop, Table
from generator.place import Place

N = TypeVar("N", bound=Noun)
Loc = tuple[str | int, ...]


class FileNodes:
    """A source file with the nodes it was read from: where each part of it was written."""

    node: MapNode
    file: str

    def place(self, *loc: str | int) -> Place:
        """Return where a part was written: `place("stages", 0, "steps", 2, "check")`. Keys are named as in the
        source or as in the model (`as`, `as_`). A part that was not written has the place of the thing it would
        belong to."""
        place, node = self.node.place, cast(Node, self.node)
        for part in loc:
            found = _below(node, part)
            if found is None:
                return place
            node, place = found, found.place
        return place

    def node_at(self, *loc: str | int) -> Node | None:
        """Return the node of a part, or None if it is not written."""
        node: Node | None = self.node
        for part in loc:
            node = _below(node, part) if node is not None else None
        return node

    def key_place(self, *loc: str | int) -> Place:
        """Return where the key of a part was written; for a member of a list, the member itself."""
        node = self.node_at(*loc[:-1])
        if loc and isinstance(node, MapNode):
            key = node.key(_written(loc[-1]))
            if key is not None:
                return key.place
        return self.place(*loc)


@dataclass
class Checked(FileNodes, Generic[N]):
    """One source file as a noun. `noun` is whole: every part has its type and is within its limits."""

    noun: N
    node: MapNode
    file: str


S = TypeVar("S", bound=Seen)


@dataclass
class SourceFile(FileNodes, Generic[S]):
    """One source file while it is checked, whole or faulty. `seen` is what the rules may look at; `noun` is there as
    long as the file is whole."""

    file: str
    seen: S
    kind: str = ""
    word: str = ""  # its first key as written; a sheet begins with the word for what it describes
    node: MapNode = field(default_factory=lambda: MapNode([], Place("")))
    noun: Noun | None = None
    faults: list[Fault] = field(default_factory=list)
    units: Counter[tuple[str, str]] = field(default_factory=Counter)  # (a key, a unit after it): how often
    unsure: list[Fault] = field(default_factory=list)  # those of its faults that other files may know better

    @property
    def whole(self) -> bool:
        return self.noun is not None

    @property
    def stem(self) -> str:
        return PurePosixPath(self.file).stem

    @property
    def id(self) -> str:
        node = self.node.get(self.kind)
        return node.text if isinstance(node, ScalarNode) else ""

    @property
    def id_place(self) -> Place:
        return self.place(self.kind)

    def checked(self, kind: type[N]) -> Checked[N] | None:
        """Return the file as a whole noun of this kind, or None."""
        return Checked(self.noun, self.node, self.file) if isinstance(self.noun, kind) else None


def is_seen_as(source: SourceFile[Seen], kind: type[S]) -> TypeGuard[SourceFile[S]]:
    return isinstance(source.seen, kind)


def _below(node: Node, part: str | int) -> Node | None:
    if isinstance(node, ListNode):
        return node.items[part] if isinstance(part, int) and part < len(node.items) else None
    if isinstance(node, ScalarNode):
        return None
    return node.get(_written(part))


def _written(part: str | int) -> str:
    return str(part).rstrip("_")


@dataclass(frozen=True)
class Declared:
    """A fact with its words, each with a sentence, and where it was declared."""

    words: dict[str, str]
    place: Place


@dataclass(frozen=True)
class Library:
    """All sources of a shop by id. `broken` holds the ids, and the file names without their ending, of sources that
    exist but have faults: naming one of them is no mistake. `folders` are the ones that were read, the procedures
    first, then the shop; empty for sources that were handed in."""

    procedures: dict[str, Checked[Procedure]] = field(default_factory=dict)
    engines: dict[str, Checked[Engine]] = field(default_factory=dict)
    jobs: dict[str, Checked[Job]] = field(default_factory=dict)
    shop: Checked[Shop] | None = None
    failure_modes: Checked[FailureModes] | None = None
    tables: dict[str, Checked[Table]] = field(default_factory=dict)
    facts: dict[str, Declared] = field(default_factory=dict)
    trade: DeclaredTrade = field(default_factory=DeclaredTrade)
    sheet_words: dict[str, str] = field(default_factory=dict)  # sheet -> the word that it begins with
    results: dict[str, Results] = field(default_factory=dict)  # of the whole procedures
    kinds: dict[str, tuple[str, ...]] = field(default_factory=dict)  # value -> the kinds that procedures ask for it as
    broken: frozenset[str] = frozenset()
    files: tuple[str, ...] = ()
    folders: tuple[str, ...] = ()
