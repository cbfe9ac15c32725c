"""What can be seen of a noun whose source may be faulty: a part that is broken or missing is None, and mypy knows it.

A noun of the model is always whole. Rules that must also speak of a faulty source look at one of these instead. What
was not written has the model's default; a broken member of a list or of a group leaves None in its place.
`tests/rules/test_partial.py` compares every field with the model's.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal, TypeVar

from generator.model import (
    Adapter,
    BoltList,
    Borrowed,
    Caution,
    Document,
    Engine,
    EngineValue,
    FailureMode,
    FailureModes,
    Include,
    Job,
    KindOfGate,
    KindOfItem,
    Needs,
    Noun,
    Order,
    OrderedPart,
    Part,
    Person,
    Picture,
    Procedure,
    Question,
    Reading,
    Result,
    Role,
    Shop,
    Stage,
    Step,
    Table,
    Trade,
    ValueNeed,
    WorksOn,
    Wrench,
)
from generator.quantities.quantity import Quantity

NamedTexts = dict[str, str | None]
FactChoices = dict[str, str | list[str | None] | None]
"""The words a source accepts of each fact: one, or any of a list."""


@dataclass(frozen=True)
class PartialStage:
    stage: str | None
    order: Order | None
    why: str | None
    questions: list[Question | None] | None
    cautions: list[Caution | None] | None
    steps: list[Step | None] | None


@dataclass(frozen=True)
class PartialNeeds:
    tools: NamedTexts | None
    parts: dict[str, str | Part | None] | None
    consumables: NamedTexts | None


@dataclass(frozen=True)
class PartialProcedure:
    procedure: str | None
    title: str | None
    revision: int | None
    why: str | None
    stands_alone: bool | None
    fits: FactChoices | None
    needs: PartialNeeds | None
    values: dict[str, ValueNeed | None] | None
    readings: dict[str, Reading | None] | None
    results: dict[str, str | Result | Borrowed | None] | None
    adds_up: dict[str, list[str | None] | None] | None
    calculator: str | None
    takes_over: list[str | None] | None
    leaves_open: list[str | None] | None
    retired: list[str | None] | None
    stages: list[PartialStage | Include | None] | None


@dataclass(frozen=True)
class PartialEngine:
    engine: str | None
    title: str | None
    revision: int | None
    invented: bool | None
    documents: dict[str, Document | None] | None
    facts: NamedTexts | None
    values: dict[str, EngineValue | None] | None
    parts: dict[str, str | OrderedPart | None] | None


@dataclass(frozen=True)
class PartialShop:
    shop: str | None
    title: str | None
    people: list[Person | None] | None
    altitude: Quantity | None
    coldest: Quantity | None
    odometer: Literal["km", "mi"] | None
    time_zone: str | None
    wrenches: list[Wrench | None] | None
    adapters: list[Adapter | None] | None
    units: NamedTexts | None
    facts: NamedTexts | None
    second_reader: Quantity | None


@dataclass(frozen=True)
class PartialFailureModes:
    failure_modes: list[FailureMode | None] | None


@dataclass(frozen=True)
class PartialTrade:
    trade: str | None
    works_on: dict[str, WorksOn | None] | None
    roles: dict[str, str | Role | None] | None
    kinds: dict[str, KindOfItem | None] | None
    lists: dict[str, BoltList | None] | None
    gates: dict[str, KindOfGate | None] | None
    facts: dict[str, NamedTexts | None] | None
    divisions: NamedTexts | None
    drawings: dict[str, Picture | None] | None


PARTIALS: dict[type[Noun], type] = {
    Procedure: PartialProcedure,
    Stage: PartialStage,
    Needs: PartialNeeds,
    Engine: PartialEngine,
    Shop: PartialShop,
    FailureModes: PartialFailureModes,
    Trade: PartialTrade,
}
"""The nouns that hold others. The whole parts inside are checked even if the holder is faulty. Any other noun is whole
or None."""

Seen = (
    PartialProcedure | PartialEngine | PartialShop | PartialFailureModes | PartialTrade | Job | Table | None
)  # fmt: skip
"""What can be seen of one source file. A job or a table is whole or None."""

AnyProcedure = Procedure | PartialProcedure
M = TypeVar("M")


def held(members: Iterable[M | None] | None) -> Iterator[tuple[int, M]]:
    """Yield the whole members of a list, each with its position."""
    for at, member in enumerate(members or ()):
        if member is not None:
            yield at, member
