"""The nouns of a worksheet (sheet.json), version 1, frozen: every field that docs/format.md documents.

The build holds what it wrote against them, whole. A worksheet that comes in from elsewhere is read more mildly: a field
that came later (`later()`) may be missing, and a field that nobody knows yet is left alone. The JSON Schema comes from
here, and with it the shapes by which the phone reads (`reading`, `generator/tables.py`).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, ClassVar, Literal

from pydantic import (
    BaseModel,
    ConfigDict,
    Field,
    PlainValidator,
    ValidationError,
    ValidationInfo,
    WithJsonSchema,
    model_validator,
)

Json = dict[str, Any]

READING: Json = {"reading": True}  # the context in which somebody else's worksheet is read


def later(alias: str | None = None) -> Any:
    """A field that may be missing where it was written before there was such a field; the build writes it always."""
    return Field(default=None, alias=alias, json_schema_extra={"later": True})


class Noun(BaseModel):
    is_whole: ClassVar[bool] = True  # what the build writes has every field

    model_config = ConfigDict(frozen=True, strict=True, extra="forbid", populate_by_name=False)

    @model_validator(mode="before")
    @classmethod
    def _whole_or_read(cls, data: Any, info: ValidationInfo) -> Any:
        if not isinstance(data, dict):
            return data
        names = _names(cls)
        if info.context is READING:
            return {name: of for name, of in data.items() if name in names or name in _elsewhere(cls)}
        if cls.is_whole and names - set(data):
            raise ValueError(f"lacks {', '.join(sorted(names - set(data)))}")
        return data


def _elsewhere(noun: type[Noun]) -> set[str]:
    """The fields that check-offs of other kinds have and this one has not: nobody writes them here."""
    if not issubclass(noun, CheckOff):
        return set()
    return {name for other in CheckOff.__subclasses__() for name in _names(other)} - _names(noun)


def _names(noun: type[Noun]) -> set[str]:
    return {field.alias or name for name, field in noun.model_fields.items()}


# --- plain kinds ------------------------------------------------------------------------------------------------------


def _text(value: Any) -> str:
    """Any text, also one with half a character in it, which pydantic's own text may not have."""
    if not isinstance(value, str):
        raise ValueError("expects text")
    return value


def _not_nothing(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not -1e300 < value < 1e300 or value == 0:
        raise ValueError("expects a number that is not 0")
    return value


Text = Annotated[str, PlainValidator(_text), WithJsonSchema({"type": "string"})]
Count = Annotated[int, Field(ge=0, le=999_999)]  # six digits, as in a source
Seconds = Annotated[int, Field(ge=0, le=10**15)]
Pause = Annotated[int, Field(ge=1, le=100_000)]  # seconds
Number = Annotated[float, Field(gt=-1e300, lt=1e300)]
Scale = Annotated[
    float,
    PlainValidator(_not_nothing),
    WithJsonSchema({"type": "number", "exclusiveMinimum": -1e300, "exclusiveMaximum": 1e300, "not": {"const": 0}}),
]
Mark = Annotated[float, Field(gt=0, lt=1e300)]  # from one mark of a scale to the next
Share = Annotated[float, Field(ge=0, le=1)]
Path = Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]*(?:/[a-z][a-z0-9-]*)*$")]
Name = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$")]
Id = Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]*$")]
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Day = Annotated[str, Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")]
File = Annotated[str, Field(pattern=r"^[A-Za-z0-9_-][A-Za-z0-9_.-]*(?:/[A-Za-z0-9_-][A-Za-z0-9_.-]*)*$")]
Tree = Any  # its operators and its size are looked at by `journal/shape_figures`
Fastener = Literal["critical", "ordinary", "clip"]


# --- text -------------------------------------------------------------------------------------------------------------


class Styled(Noun):
    t: Literal["em", "strong", "code"]
    c: Rich


class Shown(Noun):
    v: Text  # a value, else a reading, a result, a given


Rich = list[Text | Styled | Shown]
Styled.model_rebuild()


class Caution(Noun):
    level: Text
    hazard: Text = later()
    harm: Text = later()
    avoid: Text = later()


class Stage(Noun):
    id: Text = later()
    title: Text = later()
    order: Literal["any", "kept", "absolute"]
    why: Rich | None = later()
    cautions: list[Caution] = later()


# --- check-offs -------------------------------------------------------------------------------------------------------


class CheckOff(Noun):
    """What the fold asks of a check-off of one kind must not stand at another in any other form."""


class Tick(CheckOff):
    kind: Literal["tick"]
    hold_down: bool = later()


class Setting(Noun):
    wrench: Id
    number: Number
    text: Text
    inside: bool


class Pull(Noun):
    id: Text
    label: Text = later()
    target: Text | None = later()
    kind: Literal["torque", "angle"] | None = later()
    settings: list[Setting] = later()


class Tighten(CheckOff):
    kind: Literal["tighten"]
    value: Name
    fastener: Fastener
    list_: Text | None = later("list")
    item: Name | None = later()
    parts: list[Pull]
    asks_new: bool = later()


class Measure(CheckOff):
    kind: Literal["measure"]
    reading: Name = later()
    against: Name | None = later()


class Outcome(Noun):
    name: Text
    label: Text = later()
    fails: bool


class Inspect(CheckOff):
    kind: Literal["inspect"]
    outcomes: list[Outcome]


class Watch(Noun):
    start: Name
    end: Name


class Wait(CheckOff):
    kind: Literal["wait"]
    value: Name
    seconds: Seconds | None
    every: Seconds | None = later()
    every_value: Name | None = later()
    say: Text | None = later()
    watch: Watch | None = later()


class Turn(CheckOff):
    kind: Literal["turn"]
    value: Name
    count: Count | None


class Photo(CheckOff):
    kind: Literal["photo"]
    label: Text = later()


class Sign(CheckOff):
    kind: Literal["sign"]
    of: list[Text]
    self_check_after: Seconds


Check = Annotated[
    Tick | Tighten | Measure | Inspect | Wait | Turn | Photo | Sign,
    Field(discriminator="kind"),
]


# --- steps ------------------------------------------------------------------------------------------------------------


class Opened(Noun):
    what: Name
    count: Count


class Closed(Noun):
    what: Name
    count: Count | None


class Gate(Noun):
    for_: Text = later("for")
    kinds: list[Text]
    lists: list[Text]
    ready: bool


class Ask(Noun):
    step: Text
    outcomes: list[Text]


class IfFailed(Noun):
    when: Text = later()
    outcomes: list[Text] = later()
    back_to: Text | None = later()
    disturbs: list[Text] = later()
    say: Text | None = later()


class Picture(Noun):
    file: File
    alt: Text


class Step(Noun):
    path: Path
    stage: Count
    do: Rich = later()
    why: Rich | None = later()
    words: dict[Text, Text] = later()
    cautions: list[Caution] = later()
    check: Check
    opens: list[Opened]
    closes: list[Closed]
    hold: bool
    gate: Gate | None = later()
    when: list[Ask]
    after: list[Text]
    if_failed: IfFailed | None = later()
    stop: bool = later()
    leave: Literal["own", "lead", "never"]
    may_refuse: bool
    landmark: Text | None = later()
    catches: list[Text] = later()
    uses: list[Text] = later()
    takes: list[Text] = later()
    shows: list[Name] = later()
    holds: list[Name] = later()
    doubts: list[Name] = later()
    values: list[Name]
    decides: bool = later()
    picture: Picture | None = later()
    was: list[Path]
    completion: bool
    duty: Digest
    wording: Digest


# --- values -----------------------------------------------------------------------------------------------------------


class Quantity(Noun):
    number: Number
    unit: Text


class Source(Noun):
    document: Text = later()
    where: Text = later()
    read: Text | None = later()
    by: Text | None = later()
    checked_by: Text | None = later()


class Limits(Noun):
    """What a figure can be, in base units; `above`: the low end itself can't be."""

    low: Number
    high: Number
    above: bool
    whole: bool


class Band(Noun):
    low: Number
    high: Number


MOST_POINTS = 500  # of a map
Point = Annotated[list[Share], Field(min_length=2, max_length=2)]


class Value(Noun):
    label: Text = later()
    kind: Text = later()
    class_: Fastener = Field(alias="class")
    text: Text | None
    missing: Text | None = later()
    source: Source | None
    count: Count | None = later()
    reuse: Text | None = later()
    passes: list[Text] = later()
    order: list[Count] = later()
    tolerance: Text | None = later()
    thread: Text | None = later()
    number: Quantity | None = later()
    units: list[Text] = later()
    margin: Quantity | None = later()
    asks_margin: bool = later()
    limits: Limits | None = later()
    condition: Text | None = later()
    into: Text | None = later()
    grade: Text | None = later()
    engaged: Text | None = later()
    band: Band | None = later()
    doubt: Text | None = later()
    points: Annotated[list[Point], Field(max_length=MOST_POINTS)] = later()


class Reading(Noun):
    label: Text
    kind: Text
    unit: Text
    units: list[Text] = later()
    from_: Number | None = later("from")
    to: Number | None = later()


class Limit(Noun):
    when: Tree
    verdict: Text
    bad: bool
    say: Rich | None
    do: Rich | None


class Result(Noun):
    name: Name
    label: Text
    kind: Text
    unit: Text
    units: list[Text] = later()
    step: Mark | None
    why: Text | None
    tree: Tree
    words: list[Text | list[Text]] = later()
    inputs: list[Text]
    tables: list[Text] = later()
    limits: list[Limit]
    hold: bool
    fills: Name | None


class Column(Noun):
    label: Text
    unit: Text


class Table(Noun):
    title: Text
    source: Text
    edition: Text | None = later()
    got: Text | None = later()
    x: Column
    y: Column
    rows: list[list[Number]]


class Given(Noun):
    label: Text
    kind: Text
    unit: Text
    number: Number | None = later()


class Unit(Noun):
    """base = (number + offset) * scale"""

    kind: Text
    scale: Scale
    offset: Number


# --- the shop, the preparation ----------------------------------------------------------------------------------------


class Item(Noun):
    kind: Text
    label: Text = later()
    list_: Text | None = Field(alias="list")
    count: Count


class Part(Noun):
    label: Text
    number: Text | None = later()
    count: Count = later()
    one_time: bool = later()


class Tool(Noun):
    label: Text


class OneTime(Noun):
    label: Text
    count: Count = later()


class NoWrench(Noun):
    value: Name
    label: Text
    text: Text | None
    why: Text  # range or near


class Needs(Noun):
    parts: dict[Name, Part] = later()
    tools: dict[Name, Tool] = later()
    consumables: dict[Name, Tool] = later()
    one_time: dict[Name, OneTime] = later()
    values: list[Name] = later()
    no_wrench: list[NoWrench] = later()


class Wrench(Noun):
    """Low, high and step in `unit`, the lever in mm."""

    label: Text
    low: Number
    high: Number
    step: Mark
    unit: Text
    iso: Text
    accuracy: Share
    lever: Mark | None = later()
    due: Day | None = later()


class Adapter(Noun):
    label: Text
    length: Number
    angle: Number | None = later()


class Torque(Noun):
    setting: Tree
    rounding: Tree
    offered: Tree
    inside: Tree


class Person(Noun):
    initials: Text
    name: Text = later()
    role: Text


class ShopSaid(Noun):
    id: Text = later()
    title: Text = later()
    odometer: Text = later()
    units: dict[Text, Text] = later()
    people: list[Person]


class EngineSaid(Noun):
    id: Text = later()
    title: Text = later()
    revision: Count = later()
    facts: dict[Text, Any] = later()


class Budget(Noun):
    taps: Count
    holds: Count
    photos: Count


class Worksheet(Noun):
    v: Annotated[int, Field(ge=1, le=1)]
    worksheet: Text = later()
    procedure: Text = later()
    title: Text = later()
    revision: Count = later()
    engine: EngineSaid = later()
    shop: ShopSaid
    stages: list[Stage]
    steps: list[Step]
    values: dict[Name, Value]
    readings: dict[Name, Reading] = later()
    results: list[Result] = later()
    tables: dict[Name, Table] = later()
    givens: dict[Name, Given] = later()
    units: dict[Text, Unit] = later()
    items: dict[Name, Item]
    needs: Needs
    budget: Budget = later()
    wrenches: dict[Id, Wrench] = later()
    adapters: dict[Id, Adapter] = later()
    torque: Torque = later()
    second_reader: Pause = later()


# --- writing, reading, schemas ----------------------------------------------------------------------------------------


def checked(sheet: Json) -> Json:
    """A worksheet of our own, as it is. Raises ValidationError where it is none."""
    Worksheet.model_validate(sheet)
    return sheet


def reads(noun: type[Noun], value: Any) -> bool:
    """Can somebody else's be read as this noun?"""
    try:
        noun.model_validate(value, context=READING)
    except (ValidationError, RecursionError):
        return False
    return True


def schema(noun: type[Noun]) -> Json:
    """JSON Schema (2020-12) of what the build writes: every field, and no other."""
    made = noun.model_json_schema()
    for node in _nodes(made):
        if "properties" in node and noun.is_whole:
            node["required"] = sorted(node["properties"])
        for of in node.get("properties", {}).values():
            of.pop("later", None)
            of.pop("default", None)
        if "patternProperties" in node:
            node["additionalProperties"] = False
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **made}


def reading(noun: type[Noun]) -> Json:
    """JSON Schema of what can be read: what came later may be missing, what nobody knows yet is left alone."""
    made = noun.model_json_schema()
    for node in _nodes(made):
        if node.get("additionalProperties") is False:
            del node["additionalProperties"]
        if "properties" in node:
            node["required"] = sorted(name for name, of in node["properties"].items() if not of.get("later"))
        if "patternProperties" in node:
            node["additionalProperties"] = False
    for kind in CheckOff.__subclasses__():
        if kind.__name__ in made.get("$defs", {}):
            made["$defs"][kind.__name__]["properties"] |= dict.fromkeys(sorted(_elsewhere(kind)), False)
    bare = _bare(made)
    assert isinstance(bare, dict)
    return bare


def _nodes(tree: Any) -> Iterator[Json]:
    if isinstance(tree, dict):
        yield tree
    for child in tree.values() if isinstance(tree, dict) else tree if isinstance(tree, list) else ():
        yield from _nodes(child)


_NAMED = {"properties", "patternProperties", "$defs"}  # words of the schema that hold names
_FOR_PEOPLE = {"title", "description", "default", "later", "discriminator"}


def _bare(tree: Any, names: bool = False) -> Any:
    """Without what only people and editors read; `names`: its keys are names, not words of the schema."""
    if isinstance(tree, list):
        return [_bare(of) for of in tree]
    if not isinstance(tree, dict):
        return tree
    kept = {key: of for key, of in tree.items() if names or key not in _FOR_PEOPLE}
    return {
        key: _bare(of, not names and key in ("properties", "$defs", "patternProperties")) for key, of in kept.items()
    }
