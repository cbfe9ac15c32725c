"""The nouns of a source file, frozen; the JSON Schema that editors read comes from them.

YAML scalars arrive as text. A field that wants a number, a time or a yes takes text and types it here; nothing is
guessed before a field asks. Ids are kebab-case (`fit-pump`); values and items are snake_case (`pump_bolts`).
"""

from __future__ import annotations

import datetime
import re
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints, model_validator

STEP_TEXT_LIMIT = 320
CAUTION_TEXT_LIMIT = 160
TITLE_LIMIT = 80


class Noun(BaseModel):
    model_config = ConfigDict(frozen=True, strict=True, extra="forbid", populate_by_name=True)


def _yes_no(text: Any) -> Any:
    if isinstance(text, bool):
        return text
    if text in ("yes", "no"):
        return text == "yes"
    raise ValueError("expects yes or no")


def _whole(text: Any) -> Any:
    if isinstance(text, int):
        return text
    if isinstance(text, str) and re.fullmatch(r"0|[1-9][0-9]{0,5}", text):
        return int(text)
    raise ValueError("expects a whole number, for example 6")


def _date(text: Any) -> Any:
    if isinstance(text, datetime.date):
        return text
    try:
        return datetime.date.fromisoformat(text)
    except (TypeError, ValueError):
        raise ValueError("expects a date as year-month-day, for example 2026-10-02") from None


QUANTITY = re.compile(r"^-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)? \S.*$")


def _quantity(text: Any) -> Any:
    if isinstance(text, str) and QUANTITY.match(text):
        return text
    raise ValueError("expects a number, a space and a unit, for example 10 N.m")


YesNo = Annotated[bool, BeforeValidator(_yes_no)]
Whole = Annotated[int, BeforeValidator(_whole)]
Date = Annotated[datetime.date, BeforeValidator(_date)]
Quantity = Annotated[str, BeforeValidator(_quantity)]
Id = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$", max_length=48)]
Name = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$", max_length=48)]
Path = Annotated[str, StringConstraints(pattern=r"^[a-z][a-z0-9-]*(/[a-z][a-z0-9-]*)*$", max_length=160)]
Title = Annotated[str, StringConstraints(min_length=1, max_length=TITLE_LIMIT)]
Text = Annotated[str, StringConstraints(min_length=1, max_length=STEP_TEXT_LIMIT)]
Short = Annotated[str, StringConstraints(min_length=1, max_length=CAUTION_TEXT_LIMIT)]

ItemKind = Literal[
    "bolt", "connector", "hose", "vacuum-line", "earth", "battery", "pin", "locking-tool", "rag", "plug", "turning-bar",
    "support", "stand", "wheel", "undertray", "bleed-screw", "cap", "cover", "relearn", "proof", "fluid", "tool",
]  # fmt: skip
ListName = Literal["covers", "bay", "road"]
Fastener = Literal["critical", "ordinary", "clip"]
Order = Literal["any", "kept", "absolute"]
Level = Literal["danger", "warning", "caution", "notice"]
Leave = Literal["own", "lead", "never"]
GateName = Literal["strip-down", "hand-turn", "starter", "road"]
ValueKind = Literal[
    "torque", "angle", "time", "count", "orientation", "direction", "sealer", "coolant", "temperature", "length",
    "pressure", "volume", "order", "frequency", "text",
]  # fmt: skip


class Caution(Noun):
    """A hazard, the harm it does, how to avoid it. Levels are those of ANSI Z535.6."""

    level: Level
    hazard: Short
    harm: Short
    avoid: Short


class OpenItem(Noun):
    """A countable thing that a step leaves loose, off, in or owed."""

    what: Name
    kind: ItemKind
    count: str = "1"  # a whole number, or `from <value>`
    label: Short | None = None
    list: ListName | None = None


class CloseItem(Noun):
    what: Name
    count: Whole | None = None  # without it: all that is still open of it


class Tick(Noun):
    tick: Literal["press-and-hold", "tap"]


class Tighten(Noun):
    tighten: Name


class Measure(Noun):
    measure: Name
    against: Name | None = None


class Inspect(Noun):
    inspect: dict[Id, Short]


class Wait(Noun):
    wait: Name
    every: Name | None = None
    say: Short | None = None


class Turn(Noun):
    turn: Name


class Photo(Noun):
    photo: Short


class Sign(Noun):
    """A second look: by another person, or by oneself after a break, recorded as a self-check."""

    sign: Literal["another"]
    of: list[str] = Field(min_length=1)
    self_check_after: Quantity = "10 min"


CheckOff = Literal["tick"] | Tick | Tighten | Measure | Inspect | Wait | Turn | Photo | Sign


class When(Noun):
    """Settled at build by engine facts; on the phone by what a step found."""

    engine: dict[Name, str | list[str]] = {}
    found: dict[str, str] = {}

    @model_validator(mode="after")
    def _says_something(self) -> When:
        if not self.engine and not self.found:
            raise ValueError("expects engine: or found:")
        return self


class IfFailed(Noun):
    when: Text
    outcomes: list[Id] = []  # of an inspect: which answers are failures
    back_to: str | None = None
    disturbs: list[str] = []
    say: Text | None = None


class Gate(Noun):
    for_: GateName = Field(alias="for")
    kinds: list[ItemKind] = []
    lists: list[ListName] = []


class Picture(Noun):
    file: str
    alt: Short


class Step(Noun):
    id: Id
    do: Text
    why: Text | None = None
    words: dict[str, Short] = {}  # trade words explained on tap
    cautions: list[Caution] = []
    check: CheckOff
    opens: list[OpenItem] = []
    closes: list[Name | CloseItem] = []
    hold: YesNo = False
    gate: GateName | Gate | None = None
    when: When | None = None
    after: list[str] = []
    if_failed: IfFailed | None = None
    landmark: Id | None = None
    catches: list[Id] = []
    uses: list[Name] = []  # tools
    takes: list[Name] = []  # parts and consumables
    leave: Leave | None = None
    may_refuse: YesNo = False
    picture: Picture | None = None
    was: str | None = None
    completion: YesNo = False


class Stage(Noun):
    stage: Title
    order: Order = "kept"
    why: Text | None = None
    cautions: list[Caution] = []
    steps: list[Step] = Field(min_length=1)


class Include(Noun):
    include: Id
    as_: Id = Field(alias="as")
    with_: dict[Name, Name] = Field(default={}, alias="with")
    when: When | None = None


class ValueNeed(Noun):
    kind: ValueKind
    label: Short
    fastener: Fastener | None = None  # the least class; the engine sheet may raise it
    critical: YesNo = True  # of values that are no torque


class Reading(Noun):
    label: Short
    unit: Short
    from_: str | None = Field(default=None, alias="from")
    to: str | None = None


class Part(Noun):
    label: Short
    one_time: YesNo = False
    count: Whole = 1


class Needs(Noun):
    tools: dict[Name, Short] = {}
    parts: dict[Name, Short | Part] = {}
    consumables: dict[Name, Short] = {}


class Procedure(Noun):
    procedure: Id
    title: Title
    revision: Whole
    why: Text | None = None
    stands_alone: YesNo = False
    fits: dict[Name, str | list[str]] = {}
    needs: Needs = Needs()
    values: dict[Name, ValueNeed] = {}
    readings: dict[Name, Reading] = {}
    takes_over: list[Name] = []
    leaves_open: list[Name] = []
    retired: list[Id] = []
    stages: list[Stage | Include] = Field(min_length=1)


class Source(Noun):
    document: Short
    where: Short
    read: Date
    by: Short
    checked_by: Short | None = None


class Bolt(Noun):
    thread: Short
    class_: Short | None = Field(default=None, alias="class")
    into: Short | None = None


class EngineValue(Noun):
    """One value of an engine sheet: exactly one of the value fields, or `missing` with the reason."""

    torque: Quantity | None = None
    then: list[Quantity] = []  # angle stages after the torque, for example 90 deg
    angle: Quantity | None = None
    time: Quantity | None = None
    text: Text | None = None
    length: Quantity | None = None
    temperature: Quantity | None = None
    pressure: Quantity | None = None
    volume: Quantity | None = None
    frequency: Quantity | None = None
    missing: Text | None = None
    count: Whole | None = None
    fastener: Fastener | None = None
    tolerance: str | None = None
    bolt: Bolt | None = None
    order: list[Whole] = []
    passes: list[Quantity] = []
    reuse: Literal["yes", "no", "ask"] | None = None
    source: Source | None = None


class Engine(Noun):
    engine: Id
    title: Title
    revision: Whole
    facts: dict[Name, str]
    values: dict[Name, EngineValue]
    parts: dict[Name, Short] = {}  # part numbers as the shop orders them


class Person(Noun):
    initials: Annotated[str, StringConstraints(pattern=r"^[A-Z]{2,4}$")]
    name: Short
    role: Literal["tech", "apprentice", "lead"]


class Shop(Noun):
    shop: Id
    title: Title
    people: list[Person] = Field(min_length=1)
    altitude: Quantity | None = None
    odometer: Literal["km", "mi"] = "km"
    facts: dict[Name, str] = {}


class Job(Noun):
    """A job the lead wrote beforehand: what the start form on the phone is filled with."""

    job: Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9-]{0,23}$")]
    procedure: Id
    engine: Id
    vehicle: Short
    odometer: Quantity | None = None
    agreed: Text | None = None


class FailureMode(Noun):
    """One way the job fails, and how strong the check that catches it must be."""

    row: Id
    failure: Text
    where: list[Id] = Field(min_length=1)  # composed procedures that must catch it
    caught_by: list[Literal["tick", "tighten", "measure", "inspect", "wait", "turn", "photo", "sign"]] = Field(
        min_length=1
    )
    hold: YesNo = False
    gate: GateName | None = None
    after: Id | None = None  # a landmark that must lie before the catching step
    before: Id | None = None  # a landmark that must lie after it
    times: Whole = 1
    engine: dict[Name, str | list[str]] = {}
    source: Short = "common practice, no source"


class FailureModes(Noun):
    failure_modes: list[FailureMode] = Field(min_length=1)
