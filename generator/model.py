"""The nouns of a source file, frozen.

Every YAML scalar arrives as text. A field that wants a number, a time or a yes takes that text and types it. Nothing is
guessed before a field asks for it. Ids are kebab-case (`fit-pump`); values and items are snake_case (`pump_bolts`).
"""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Any, Literal, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainValidator, StringConstraints, model_validator
from pydantic_core import PydanticCustomError

from generator.quantities.quantity import Quantity, written
from generator.sheet_types import SourceJson
from generator.table_names import OdometerUnit
from generator.worksheet import CheckKind, Fastener

STEP_TEXT_LIMIT = 320
FORMULA_LIMIT = 600
CAUTION_TEXT_LIMIT = 160
TITLE_LIMIT = 80


# Patterns of names. The message for a wrong name depends on which pattern it broke.
ID = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$"
OLD_ID = r"^[a-z][a-z0-9]*(-[a-z0-9]+)*(/[a-z][a-z0-9]*(-[a-z0-9]+)*)*$"  # of a step here or in a part: pump/pump-on
NAME = r"^[a-z][a-z0-9]*(_[a-z0-9]+)*$"
WORD = r"^[a-z0-9]+(-[a-z0-9]+)*$"
INITIALS = r"^[A-Z]{2,4}$"
JOB_NUMBER = r"^[A-Za-z0-9][A-Za-z0-9-]{0,23}$"


class Noun(BaseModel):
    model_config = ConfigDict(frozen=True, strict=True, extra="forbid", populate_by_name=True)


def _yes_no(text: Any) -> Any:
    if isinstance(text, bool):
        return text
    if text in ("yes", "no"):
        return text == "yes"
    raise PydanticCustomError("yes_no", "expects yes or no")


def _whole(text: Any) -> Any:
    if isinstance(text, int):
        return text
    if isinstance(text, str) and re.fullmatch(r"0|[1-9][0-9]{0,5}", text):
        return int(text)
    raise PydanticCustomError("whole", "expects a whole number, for example 6")


def _date(text: Any) -> Any:
    if isinstance(text, datetime.date):
        return text
    try:
        return datetime.date.fromisoformat(text)
    except (TypeError, ValueError):
        raise PydanticCustomError("date", "expects a date as year-month-day, for example 2026-10-02") from None


def _number(text: Any) -> Any:
    if isinstance(text, str) and re.fullmatch(r"-?(?:0|[1-9][0-9]{0,8})(?:\.[0-9]{1,9})?", text):
        return text
    raise PydanticCustomError("number", "expects a number, for example 0.5")


def _count(text: Any) -> Any:
    if isinstance(text, str) and re.fullmatch(r"[1-9][0-9]{0,5}|from [a-z][a-z0-9_]*", text):
        return text
    raise PydanticCustomError("count", "expects a whole number, or from and the name of a value")


def _plain(text: Any) -> Quantity:
    """Return a number without a unit."""
    return text if isinstance(text, Quantity) else Quantity(_number(text), "")


def _quantity(text: Any) -> Quantity:
    found = written(text) if isinstance(text, str) else text
    if isinstance(found, Quantity):
        return found
    raise PydanticCustomError("quantity", "expects a number, a space and a unit, for example 10 N.m")


@dataclass(frozen=True)
class Measures:
    """Marks a quantity, or the name of a unit, with what it measures. That decides which units it may have. `usual` are
    those that such a figure is nearly always in, the first of them first; none where a shop may use any."""

    what: str
    usual: tuple[str, ...] = ()


@dataclass(frozen=True)
class CanBe:
    """Marks a number or a quantity with what it can be: a row of `possible_ranges.FIELD_RANGES`. The values of an
    engine sheet have none: what they can be hangs on what the procedures ask for."""

    field: str


@dataclass(frozen=True)
class TakesPlain:
    """Marks a text field with a pattern of words or figures that YAML would read as a yes or a number. Here they may
    stand unquoted and mean themselves."""

    words: str


YesNo = Annotated[bool, BeforeValidator(_yes_no)]
Whole = Annotated[int, BeforeValidator(_whole)]
Pieces = Annotated[Whole, CanBe("pieces")]
Revision = Annotated[Whole, CanBe("revision")]
Times = Annotated[Whole, CanBe("times")]
Date = Annotated[datetime.date, BeforeValidator(_date)]
Number = Annotated[str, BeforeValidator(_number)]
Count = Annotated[str, BeforeValidator(_count)]
Plain = Annotated[Quantity, PlainValidator(_plain)]
Written = Annotated[Quantity, PlainValidator(_quantity)]
Torque = Annotated[Written, Measures("torque", ("N.m", "lbf.ft"))]
Angle = Annotated[Written, Measures("angle", ("deg",))]
Time = Annotated[Written, Measures("time")]
BreakTime = Annotated[Written, Measures("time", ("min",))]  # between two looks of one person
Length = Annotated[Written, Measures("length", ("mm", "in"))]
Altitude = Annotated[Written, Measures("length", ("m", "ft")), CanBe("altitude")]
Temperature = Annotated[Written, Measures("temperature", ("degC", "degF"))]
Pressure = Annotated[Written, Measures("pressure")]
Volume = Annotated[Written, Measures("volume", ("L",))]
Frequency = Annotated[Written, Measures("frequency")]
Distance = Annotated[Written, Measures("distance")]
Age = Annotated[Written, Measures("age")]
Share = Annotated[Written, Measures("share")]
BeltMass = Annotated[Written, Measures("belt-mass")]
LineMass = Annotated[Written, Measures("line-mass")]
Force = Annotated[Written, Measures("force")]
Mass = Annotated[Written, Measures("mass")]
Voltage = Annotated[Written, Measures("voltage")]
Current = Annotated[Written, Measures("current")]
Resistance = Annotated[Written, Measures("resistance")]
Power = Annotated[Written, Measures("power")]
Flow = Annotated[Written, Measures("flow")]
Concentration = Annotated[Written, Measures("concentration")]
Tolerance = Annotated[Written, Measures("tolerance")]
UnitName = Annotated[str, StringConstraints(min_length=1, max_length=16), Measures("reading")]
Shown = Annotated[Written, Measures("reading")]
Id = Annotated[str, StringConstraints(pattern=ID, max_length=48)]
Name = Annotated[str, StringConstraints(pattern=NAME, max_length=48)]
OldId = Annotated[str, StringConstraints(pattern=OLD_ID, max_length=160)]
Outcome = Annotated[Id, TakesPlain("yes|no")]
Title = Annotated[str, StringConstraints(min_length=1, max_length=TITLE_LIMIT)]
Text = Annotated[str, StringConstraints(min_length=1, max_length=STEP_TEXT_LIMIT)]
# No limit of length here: the formula's own fault reports that. TakesPlain allows a bare number or yes.
Formula = Annotated[str, StringConstraints(min_length=1), TakesPlain(r"yes|no|-?\d+(\.\d+)?")]
Short = Annotated[str, StringConstraints(min_length=1, max_length=CAUTION_TEXT_LIMIT)]

Fact = Annotated[
    str, StringConstraints(min_length=1, max_length=CAUTION_TEXT_LIMIT), TakesPlain("yes|no|0|[1-9][0-9]*")
]

# A word that a facts file may declare for a fact.
FactWord = Annotated[str, StringConstraints(pattern=WORD, max_length=48), TakesPlain("yes|no|0|[1-9][0-9]*")]

# Words that a trade file declares: a kind of open item, a bolt list, a gate, a role. `check/trade.py` knows them all.
TradeWord = Annotated[str, StringConstraints(pattern=ID, max_length=48)]
# How a thing stands while it is open.
Stands = Annotated[str, StringConstraints(min_length=1, max_length=24), TakesPlain("on|off|in|out|yes|no")]
Order = Literal["any", "kept", "absolute"]
Level = Literal["danger", "warning", "caution", "notice"]
LEVELS: tuple[Level, ...] = get_args(Level)  # the worst first
Leave = Literal["own", "lead", "never"]
ValueKind = Literal[
    "torque", "angle", "time", "count", "orientation", "direction", "sealer", "coolant", "temperature", "length",
    "pressure", "gauge", "vacuum", "volume", "order", "frequency", "distance", "age", "share", "number", "belt-mass",
    "line-mass", "force", "mass", "voltage", "current", "resistance", "power", "flow", "concentration", "text",
]  # fmt: skip


class Caution(Noun):
    """A hazard, the harm it does, how to avoid it. Levels are those of ANSI Z535.6."""

    level: Level
    hazard: Short
    harm: Short
    avoid: Short


def worst_first(cautions: Iterable[Caution]) -> list[Caution]:
    """Return cautions as they are printed: danger, warning, caution, notice; within a level as the file has them."""
    return sorted(cautions, key=lambda caution: LEVELS.index(caution.level))


class OpenItem(Noun):
    """Something countable that a step leaves loose, off, in or owed."""

    what: Name
    kind: TradeWord
    count: Count = "1"  # a whole number, or `from <value>`
    label: Short | None = None
    list: TradeWord | None = None


class CloseItem(Noun):
    what: Name
    count: Pieces | None = None  # if left out: all that is still open of it


class Tick(Noun):
    tick: Literal["press-and-hold", "tap"]


class Tighten(Noun):
    tighten: Name


class Measure(Noun):
    measure: Name
    against: Name | None = None


class Inspect(Noun):
    inspect: dict[Outcome, Short]


class Watch(Noun):
    """What a gauge shows when a wait begins and when it ends: two readings."""

    start: Name
    end: Name


class Wait(Noun):
    wait: Name
    every: Name | None = None
    watch: Watch | None = None
    say: Short | None = None


class Turn(Noun):
    turn: Name


class Photo(Noun):
    photo: Short


class Sign(Noun):
    """A second look by another person, or by the same person after a break, which is recorded as a self-check. With
    `permit` another person allows the work that follows to begin, and oneself only where a break is stated. With
    `qualified` only a person signs whose role is qualified or leads."""

    sign: Literal["another"]
    of: list[str] = Field(default=[], min_length=1)
    permit: Short | None = None
    qualified: YesNo = False
    self_check_after: Annotated[BreakTime, CanBe("break")] | None = None

    @model_validator(mode="after")
    def _looks_at_something(self) -> Sign:
        if not self.of and self.permit is None:
            raise PydanticCustomError("sign", "expects of: or permit:")
        return self


CheckOff = Literal["tick"] | Tick | Tighten | Measure | Inspect | Wait | Turn | Photo | Sign


class When(Noun):
    """A condition: `engine` is settled by the build, `found` on the phone, by what an inspection found."""

    engine: dict[Name, Fact | list[Fact]] = {}
    found: dict[str, Outcome] = {}

    @model_validator(mode="after")
    def _says_something(self) -> When:
        if not self.engine and not self.found:
            raise PydanticCustomError("condition", "expects engine: or found:")
        return self


class IfFailed(Noun):
    when: Text
    outcomes: list[Outcome] = []  # of an inspect: which answers are failures
    back_to: str | None = None
    disturbs: list[str] = []
    say: Text | None = None
    stop: YesNo = False  # the job ends, goes back, or a lead calls the answer a mistake


class Gate(Noun):
    for_: TradeWord = Field(alias="for")
    kinds: list[TradeWord] = []
    lists: list[TradeWord] = []


def gates_of(gate: str | Gate | list[str | Gate] | None) -> list[tuple[tuple[int, ...], Gate]]:
    """Return the gates of a step, each with its place in the list where there is one. All must be passable."""
    if gate is None:
        return []
    many: list[tuple[tuple[int, ...], str | Gate]] = (
        [((at,), one) for at, one in enumerate(gate)] if isinstance(gate, list) else [((), gate)]
    )
    return [(at, Gate.model_validate({"for": one}) if isinstance(one, str) else one) for at, one in many]


class Picture(Noun):
    file: str
    alt: Short


class Step(Noun):
    id: Id
    do: Text
    why: Text | None = None
    words: dict[str, Short] = {}  # trade words that a tap explains
    cautions: list[Caution] = []
    sheet_says: list[Name] = []  # values that stand under the text, each on a line of its own
    check: CheckOff
    opens: list[OpenItem] = []
    closes: list[Name | CloseItem] = []
    hold: YesNo = False
    gate: TradeWord | Gate | list[TradeWord | Gate] | None = None
    shows: list[Name] = []  # results
    when: When | None = None
    after: list[str] = []
    if_failed: IfFailed | None = None
    landmark: Id | None = None
    catches: list[Id] = []
    in_hand: list[Name] = []  # tools
    takes: list[Name] = []  # parts and consumables
    leave: Leave | None = None
    may_refuse: YesNo = False
    picture: Picture | None = None
    was: OldId | None = None
    completion: YesNo = False


class Question(Noun):
    """What somebody who learns the job asks himself before a stage. Nobody keeps a score."""

    ask: Short
    answer: Short


class Stage(Noun):
    stage: Title
    order: Order = "kept"
    why: Text | None = None
    questions: list[Question] = []  # for the guide; the worksheet has none
    cautions: list[Caution] = []
    steps: list[Step] = Field(min_length=1)


class Include(Noun):
    include: Id
    as_: Id | None = Field(default=None, alias="as")
    each: dict[Id, Short] | None = None  # once for each: what a use is called -> what the phone calls it
    shared: list[Name] = []  # with `each`: names inside that all uses have in common
    label: Short | None = None  # tells two uses apart on the phone: left bank, right bank
    known_as: dict[Name, Name] = {}  # a name inside -> its name in this use
    when: When | None = None

    @model_validator(mode="after")
    def _has_a_name(self) -> Include:
        if self.as_ is None and self.each is None:
            raise PydanticCustomError("include", "expects as: or each:")
        return self


# Keys that once had another name, by noun: the old one, the new one. A file with an old key is told its new line.
RENAMED: dict[type[Noun], dict[str, str]] = {Step: {"uses": "in_hand"}, Include: {"with": "known_as"}}


class ValueNeed(Noun):
    kind: ValueKind
    label: Short
    fastener: Fastener | None = None  # at least this class; the engine sheet may ask for a stricter one
    critical: YesNo = True  # for values other than torques
    at_most: Name | None = None  # another value that this one may not be more than
    at_least: Name | None = None
    from_: Shown | None = Field(default=None, alias="from")  # what the value can be on any engine of this kind
    to: Shown | None = None
    of_the_day: YesNo = False  # read in the shop on the day of the job, so no sheet can know it


class Reading(Noun):
    label: Short
    unit: UnitName
    from_: Number | None = Field(default=None, alias="from")
    to: Number | None = None
    division: Shown | None = None  # the smallest of the gauge; without it, what the library's table says of the unit


class Limit(Noun):
    """What is said of a result. The first limit whose `when` is true counts; one without `when` covers the rest."""

    when: Formula | None = None
    verdict: Short
    bad: YesNo = False
    say: Text | None = None
    do: Text | None = None


class Result(Noun):
    """A figure that a formula works out from readings and values. It is shown with its working."""

    formula: Formula
    label: Short | None = None
    unit: UnitName | None = None
    to_nearest: Shown | None = None  # rounds only what is shown; other formulas use the exact figure
    safe: Literal["down", "up"] | None = None  # which way it is rounded when shown: a ceiling down, a floor up
    set_on: Name | None = None  # the reading whose gauge shows it when it is done; it is told as that gauge can be read
    why: Text | None = None
    limits: list[Limit] = []
    hold: YesNo = False
    fills: Name | None = None


class Borrowed(Noun):
    """A result of another procedure in the same job, shown here too."""

    of: Id


class Part(Noun):
    label: Short
    one_time: YesNo = False
    count: Pieces = 1


class Needs(Noun):
    tools: dict[Name, Short] = {}
    parts: dict[Name, Short | Part] = {}
    consumables: dict[Name, Short] = {}


class Procedure(Noun):
    procedure: Id
    title: Title
    revision: Revision
    why: Text | None = None
    stands_alone: YesNo = False
    fits: dict[Name, Fact | list[Fact]] = {}  # the engine facts it is made for, each with the words that fit
    needs: Needs = Needs()
    values: dict[Name, ValueNeed] = {}
    readings: dict[Name, Reading] = {}
    results: dict[Name, Formula | Result | Borrowed] = {}
    adds_up: dict[Name, list[Name]] = {}  # a whole, and the parts that are shown beside it
    calculator: Title | None = None
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
    checked: Date | None = None  # the day of the second reading

    def on_sheet(self) -> SourceJson:
        """Return the source as a worksheet holds it. Without `checked` it is what it was before there was such a
        key, so the digest of an older sheet stays as it is."""
        said: SourceJson = {
            "document": self.document,
            "where": self.where,
            "read": self.read.isoformat(),
            "by": self.by,
            "checked_by": self.checked_by,
        }
        return {**said, "checked": self.checked.isoformat()} if self.checked else said


class Document(Noun):
    """A document that an engine sheet names once, and who read the sheet's values in it."""

    document: Short
    read: Date
    by: Short
    checked_by: Short | None = None
    checked: Date | None = None


class Page(Noun):
    """A place in one of the sheet's documents. What it says of the reading counts instead of what the document says."""

    where: Short
    read: Date | None = None
    by: Short | None = None
    checked_by: Short | None = None
    checked: Date | None = None


class Bolt(Noun):
    thread: Short
    class_: Short | None = Field(default=None, alias="class")
    into: Short | None = None
    engaged: Length | None = None  # length of thread that holds
    head: Literal["hexagon", "flange"] | None = None
    grip: Length | None = None  # what is clamped between head and thread


class Friction(Noun):
    """The range of friction of a joint, where the maker states it."""

    from_: Number = Field(alias="from")
    to: Number


# The fields of a value that hold a number and its unit.
QUANTITIES = (
    "torque", "angle", "time", "length", "temperature", "pressure", "volume", "frequency", "distance", "age", "share",
    "number", "belt_mass", "line_mass", "force", "mass", "voltage", "current", "resistance", "power", "flow",
    "concentration",
)  # fmt: skip


class EngineValue(Noun):
    """One value of an engine sheet: exactly one of the value fields, or `missing` with the reason."""

    torque: Torque | None = None
    then: list[Angle] = []  # angle stages after the torque, for example 90 deg
    angle: Angle | None = None
    time: Time | None = None
    text: Text | None = None
    length: Length | None = None
    temperature: Temperature | None = None
    pressure: Pressure | None = None
    volume: Volume | None = None
    frequency: Frequency | None = None
    distance: Distance | None = None
    age: Age | None = None
    share: Share | None = None
    number: Plain | None = None
    belt_mass: BeltMass | None = None
    line_mass: LineMass | None = None
    force: Force | None = None
    mass: Mass | None = None
    voltage: Voltage | None = None
    current: Current | None = None
    resistance: Resistance | None = None
    power: Power | None = None
    flow: Flow | None = None
    concentration: Concentration | None = None
    missing: Text | None = None
    count: Whole | None = None
    fastener: Fastener | None = None
    tolerance: Tolerance | None = None
    bolt: Bolt | None = None
    order: list[Whole] = []
    passes: list[Torque] = []
    condition: Literal["dry", "oiled", "coated", "sealed"] | None = None
    friction: Friction | None = None
    pattern: Literal["line", "circle", "grid"] | None = None
    positions: list[list[Number]] = []  # [x, y] of each bolt in any unit, y upwards
    reuse: Literal["yes", "no", "ask"] | None = None
    source: Source | None = None
    at: Short | dict[Name, Short | Page] | None = None  # instead of source: the place, in one of the sheet's documents

    @property
    def quantity(self) -> Quantity | None:
        """The value, if it is a number; a plain one has no unit."""
        return next((said for name in QUANTITIES if (said := getattr(self, name)) is not None), None)

    @property
    def shown(self) -> str | None:
        """What a person reads: `20 N.m then 90 deg`, the words, or the count."""
        if self.quantity is not None:
            return " then ".join(map(str, [self.quantity, *self.then]))
        return self.text or (None if self.count is None else str(self.count))


class OrderedPart(Noun):
    """A part as the shop orders it for one engine: its number, and how many of it the job takes."""

    number: Short
    count: Pieces


class Engine(Noun):
    engine: Id
    title: Title
    revision: Revision
    invented: YesNo = False  # made up, to try the program with: paper and phone say so
    documents: dict[Name, Document] = {}
    facts: dict[Name, Fact]
    values: dict[Name, EngineValue]
    parts: dict[Name, Short | OrderedPart] = {}  # a number alone: as many as the procedure says


class Person(Noun):
    initials: Annotated[str, StringConstraints(pattern=INITIALS)]
    name: Short
    role: TradeWord
    left: YesNo = False  # works here no longer; what they read stays theirs


class Wrench(Noun):
    """A torque wrench of the shop; the unit of its range is the one that is marked on it."""

    wrench: Id
    label: Short
    from_: Annotated[Torque, CanBe("mark")] = Field(alias="from")
    to: Annotated[Torque, CanBe("mark")]
    step: Annotated[Torque, CanBe("mark-step")]
    class_: Literal["I A", "I B", "I C", "I D", "I E", "II A", "II B", "II C", "II D", "II E", "II F", "II G"] = Field(
        alias="class"
    )
    lever: Annotated[Length, CanBe("lever")] | None = None
    due: Date | None = None  # when its calibration runs out


class Adapter(Noun):
    """What moves the bolt away from the line of the drive: a crowfoot, an offset ring."""

    adapter: Id
    label: Short
    length: Annotated[Length, CanBe("adapter")]
    angle: Annotated[Angle, CanBe("adapter-angle")] | None = None


class Shop(Noun):
    shop: Id
    title: Title
    people: list[Person] = Field(min_length=1)
    altitude: Altitude | None = None
    coldest: Annotated[Temperature, CanBe("coldest")] | None = None
    odometer: OdometerUnit = "km"
    time_zone: Short | None = None  # IANA name of the place whose clocks the shop goes by
    wrenches: list[Wrench] = []
    adapters: list[Adapter] = []
    units: dict[str, UnitName] = {}  # unit that the phones show first, by what is measured
    facts: dict[Name, Fact] = {}
    second_reader: BreakTime = Quantity("10", "min")  # pause before a person alone reads a critical value again


class Job(Noun):
    """A job that the lead wrote in advance. It fills in the start form on the phone."""

    job: Annotated[str, StringConstraints(pattern=JOB_NUMBER)]
    procedure: Id
    engine: Id
    vehicle: Short
    odometer: Annotated[Distance, CanBe("odometer")] | None = None
    agreed: Text | None = None


class Column(Noun):
    label: Short
    unit: UnitName


class Table(Noun):
    """A published table of two columns. Between its rows it is read in a straight line, and never beyond them."""

    table: Name
    title: Title
    source: Text
    edition: Short
    got: Text
    x: Column
    y: Column
    rows: list[list[Number]] = Field(min_length=2)


class StartBox(Noun):
    """One box of the form that starts a job."""

    label: Short
    optional: YesNo = False


class WorksOn(Noun):
    """What a sheet describes, under the word that a sheet begins with: its name, and the whole that it is part of."""

    sheet: Short
    whole: Short
    start: dict[Name, Short | StartBox] = {}


class Role(Noun):
    label: Short
    leads: YesNo = False  # may allow what others may not leave out alone
    qualified: YesNo | None = None  # may sign where somebody qualified is asked for; a role that leads always may


class KindOfItem(Noun):
    """What can be opened: its name, how it stands until it is closed, and which check-off alone closes it."""

    label: Short
    stands: Stands
    said: Short | None = None  # where one thing is spoken of; without it: how it stands
    closed_by: Literal["tighten", "inspect"] | None = None
    after: CheckKind | None = None  # a check-off that comes between opening and closing


class BoltList(Noun):
    title: Short
    before: Short


class KindOfGate(Noun):
    """Where work stops to check: what it waits for, and which jobs must have it."""

    title: Short
    kinds: list[TradeWord] = []
    all_kinds_but: list[TradeWord] | None = None
    lists: list[TradeWord] = []
    fixed: YesNo = False  # a step may add kinds to these, and take none away
    preparation: YesNo = False  # waits until parts, tools and values are confirmed
    before_opening: list[TradeWord] = []  # a job that opens one of these kinds has this gate before it
    before_check: list[CheckKind] = []  # a job with such a check-off has this gate before it
    after_opening: list[TradeWord] = []  # a job that opens one of these kinds has this gate


class Trade(Noun):
    """The words of a trade. What a fact can be, each word with a sentence."""

    trade: Title
    works_on: dict[TradeWord, WorksOn] = {}
    roles: dict[TradeWord, Short | Role] = {}
    kinds: dict[TradeWord, KindOfItem] = {}
    lists: dict[TradeWord, BoltList] = {}
    gates: dict[TradeWord, KindOfGate] = {}
    facts: dict[Name, dict[FactWord, Short]] = {}
    divisions: dict[UnitName, Number] = {}  # the smallest division of a gauge in this unit
    drawings: dict[str, Picture] = {}  # trade words that steps explain, each with the drawing that shows it


class Way(Noun):
    """What would reveal a failure at the step that catches it: exactly one of these. A list means all of them."""

    answer: Outcome | list[Outcome] = []  # of the inspection: it fails, or something asks for it
    reading: Name | None = None  # that is taken, and that something judges
    count: Name | None = None  # an item that is opened or closed, of which there is more than one
    value: Name | None = None  # that is tightened, waited or turned
    photo: YesNo = False
    signature: str | list[str] = []  # the steps that another person looks at
    waits_for: str | list[str] = []  # kinds, lists or items that the gate waits for, or the preparation
    prevented_by: Literal["caution", "order"] | None = (
        None  # nothing reveals it: what the row asks keeps it from happening
    )
    because: Short | None = None  # why no check is possible that is stronger than a tick

    @property
    def written(self) -> dict[str, tuple[str, ...]]:
        """Return the names after each key that is written. A photo, a reason and what prevents it
        name nothing."""
        named: dict[str, str | list[str] | None] = {
            "answer": self.answer,
            "reading": self.reading,
            "count": self.count,
            "value": self.value,
            "signature": self.signature,
            "waits_for": self.waits_for,
        }
        found = {key: (names,) if isinstance(names, str) else tuple(names) for key, names in named.items() if names}
        alone = {"photo": self.photo, "prevented_by": self.prevented_by, "because": self.because}
        return {**found, **{key: () for key, is_there in alone.items() if is_there}}

    @property
    def key(self) -> str:
        return next(iter(self.written))

    @property
    def names(self) -> tuple[str, ...]:
        return self.written[self.key]

    @model_validator(mode="after")
    def _is_one(self) -> Way:
        if len(self.written) != 1:
            raise PydanticCustomError("one_way", "expects exactly one way")
        return self


class FailureMode(Noun):
    """One way the job can fail, what would reveal it, and how strong the check that catches it must be."""

    row: Id
    failure: Text
    where: list[Id] = Field(min_length=1)  # composed procedures that must catch it
    caught_by: list[Literal[CheckKind, "press-and-hold", "permit"]] = Field(min_length=1)
    revealed_by: Way | list[Way]  # a list where the steps that catch it reveal it in different ways
    hold: YesNo = False
    stop: YesNo = False  # a failed answer there stops the job
    caution: Level | None = None  # the least that must stand at the step or its stage: danger, warning, ...
    gate: TradeWord | None = None
    after: Id | list[Id] = []  # landmarks that must lie before the catching step, as its include renames them
    before: Id | list[Id] = []  # landmarks that must lie after it
    times: Times | dict[Id, Times] = 1  # how often a job catches it; one number for all, or by procedure
    engine: dict[Name, Fact | list[Fact]] = {}
    source: Short = "common practice, no source"

    @property
    def ways(self) -> list[Way]:
        return self.revealed_by if isinstance(self.revealed_by, list) else [self.revealed_by]


class FailureModes(Noun):
    failure_modes: list[FailureMode] = Field(min_length=1)


KINDS: dict[str, type[Noun]] = {
    "procedure": Procedure,
    "engine": Engine,
    "shop": Shop,
    "job": Job,
    "failure_modes": FailureModes,
    "trade": Trade,
    "table": Table,
}
"""The kinds of source by their first key."""
