"""The nouns of a worksheet (sheet.json), version 1, frozen: every field that docs/format.md documents.

The build checks that what it writes has every field. A worksheet from elsewhere is read more leniently: a field that
was added later (`later()`) may be missing, and an unknown field is ignored. The JSON Schemas come from these nouns, and
so do the shapes by which the phone reads (`reading`, `generator/tables.py`).

Every noun of a worksheet begins with `Sheet`: a `Step` of a source (`generator/model.py`) becomes a `SheetStep`.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Any, ClassVar, Literal, TypeVar

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

from generator.canonical import Json

READING: Json = {"reading": True}  # the validation context for a worksheet from elsewhere


def later(alias: str | None = None) -> Any:
    """Declare a field that older worksheets may lack. The build always writes it."""
    return Field(default=None, alias=alias, json_schema_extra={"later": True})


class SheetNoun(BaseModel):
    is_whole: ClassVar[bool] = True  # the build must write every field
    may_lack: ClassVar[frozenset[str]] = frozenset()  # but these, which it writes only where they say something

    model_config = ConfigDict(frozen=True, strict=True, extra="forbid", populate_by_name=False)

    @model_validator(mode="before")
    @classmethod
    def _whole_or_read(cls, data: Any, info: ValidationInfo) -> Any:
        if not isinstance(data, dict):
            return data
        names = _names(cls)
        if info.context is READING:
            return {name: of for name, of in data.items() if name in names or name in _elsewhere(cls)}
        if cls.is_whole and (lacking := names - cls.may_lack - set(data)):
            raise ValueError(f"lacks {', '.join(sorted(lacking))}")
        return data


def _elsewhere(noun: type[SheetNoun]) -> set[str]:
    """Return the fields that only check-offs of other kinds have. One of them here means the sheet is wrong."""
    if not issubclass(noun, SheetCheckOff):
        return set()
    return {name for other in SheetCheckOff.__subclasses__() for name in _names(other)} - _names(noun)


def _names(noun: type[SheetNoun]) -> set[str]:
    return {field.alias or name for name, field in noun.model_fields.items()}


# --- plain kinds ------------------------------------------------------------------------------------------------------


def _text(value: Any) -> str:
    """Accept any text, even with half a surrogate pair, which pydantic's own text refuses."""
    if not isinstance(value, str):
        raise ValueError("expects text")
    return value


def _not_nothing(value: Any) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not -1e300 < value < 1e300 or value == 0:
        raise ValueError("expects a number that is not 0")
    return value


SheetText = Annotated[str, PlainValidator(_text), WithJsonSchema({"type": "string"})]
SheetCount = Annotated[int, Field(ge=0, le=999_999)]  # six digits, as in a source
Seconds = Annotated[int, Field(ge=0, le=10**15)]
Pause = Annotated[int, Field(ge=1, le=100_000)]  # seconds
SheetNumber = Annotated[float, Field(gt=-1e300, lt=1e300)]
Scale = Annotated[
    float,
    PlainValidator(_not_nothing),
    WithJsonSchema({"type": "number", "exclusiveMinimum": -1e300, "exclusiveMaximum": 1e300, "not": {"const": 0}}),
]
SheetMark = Annotated[float, Field(gt=0, lt=1e300)]  # one step of a wrench's scale
SheetShare = Annotated[float, Field(ge=0, le=1)]
Path = Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]*(?:/[a-z][a-z0-9-]*)*$")]
SheetName = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]*$")]
SheetId = Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]*$")]
Digest = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Day = Annotated[str, Field(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$")]
File = Annotated[str, Field(pattern=r"^[A-Za-z0-9_-][A-Za-z0-9_.-]*(?:/[A-Za-z0-9_-][A-Za-z0-9_.-]*)*$")]
Tree = Any  # its operators and its size are checked by `journal/shapes/shape_figures`
Fastener = Literal["critical", "ordinary", "clip"]
STRICTNESS: dict[Fastener, int] = {"clip": 0, "ordinary": 1, "critical": 2}


# --- text -------------------------------------------------------------------------------------------------------------


class SheetStyled(SheetNoun):
    t: Literal["em", "strong", "code"]
    c: SheetRich


class SheetShown(SheetNoun):
    v: SheetText  # the name of a value, a reading, a result or a given


SheetRich = list[SheetText | SheetStyled | SheetShown]
SheetStyled.model_rebuild()


class SheetCaution(SheetNoun):
    level: SheetText
    hazard: SheetText = later()
    harm: SheetText = later()
    avoid: SheetText = later()


class SheetStage(SheetNoun):
    id: SheetText = later()
    title: SheetText = later()
    order: Literal["any", "kept", "absolute"]
    why: SheetRich | None = later()
    cautions: list[SheetCaution] = later()


# --- check-offs -------------------------------------------------------------------------------------------------------


# Every kind there is: one union, of which each place that decides by the kind must know all.
CheckKind = Literal["tick", "tighten", "measure", "inspect", "wait", "turn", "photo", "sign"]


class SheetCheckOff(SheetNoun):
    """What the fold asks of a check-off of one kind must not stand at another in any other form."""


class SheetTick(SheetCheckOff):
    kind: Literal["tick"]
    hold_down: bool = later()


class SheetPull(SheetNoun):
    id: SheetText
    label: SheetText = later()
    target: SheetText | None = later()
    kind: Literal["torque", "angle"] | None = later()


class SheetTighten(SheetCheckOff):
    kind: Literal["tighten"]
    value: SheetName
    fastener: Fastener
    list_: SheetText | None = later("list")
    item: SheetName | None = later()
    parts: list[SheetPull]
    asks_new: bool = later()


class SheetMeasure(SheetCheckOff):
    kind: Literal["measure"]
    reading: SheetName = later()
    against: SheetName | None = later()


class SheetOutcome(SheetNoun):
    name: SheetText
    label: SheetText = later()
    fails: bool


class SheetInspect(SheetCheckOff):
    kind: Literal["inspect"]
    outcomes: list[SheetOutcome]


class SheetWatch(SheetNoun):
    start: SheetName
    end: SheetName


class SheetWait(SheetCheckOff):
    kind: Literal["wait"]
    value: SheetName
    seconds: Seconds | None
    every: Seconds | None = later()
    every_value: SheetName | None = later()
    say: SheetText | None = later()
    watch: SheetWatch | None = later()


class SheetTurn(SheetCheckOff):
    kind: Literal["turn"]
    value: SheetName
    count: SheetCount | None


class SheetPhoto(SheetCheckOff):
    kind: Literal["photo"]
    label: SheetText = later()


class SheetSign(SheetCheckOff):
    """`permit` and `alone` are there only for a permit, so the signatures of older sheets keep their duty. `qualified`
    is there only where it asks, and is no part of the duty."""

    may_lack = frozenset({"permit", "alone", "qualified"})

    kind: Literal["sign"]
    of: list[SheetText]
    self_check_after: Seconds
    permit: SheetText = later()  # what allows the work that follows to begin
    alone: bool = later()  # true if one person may give a permit to himself after the break
    qualified: bool = later()  # true if only a person whose role leads or is qualified may sign


Check = Annotated[
    SheetTick | SheetTighten | SheetMeasure | SheetInspect | SheetWait | SheetTurn | SheetPhoto | SheetSign,
    Field(discriminator="kind"),
]


# --- steps ------------------------------------------------------------------------------------------------------------


class SheetOpened(SheetNoun):
    what: SheetName
    count: SheetCount


class SheetClosed(SheetNoun):
    what: SheetName
    count: SheetCount | None


class SheetGate(SheetNoun):
    """`also` is there only for a step with several gates: the names of the others. It waits for what all wait for."""

    may_lack = frozenset({"also"})

    for_: SheetText = later("for")
    kinds: list[SheetText]
    lists: list[SheetText]
    ready: bool
    also: list[SheetText] = later()


class SheetAsk(SheetNoun):
    step: SheetText
    outcomes: list[SheetText]


class SheetIfFailed(SheetNoun):
    when: SheetText = later()
    outcomes: list[SheetText] = later()
    back_to: SheetText | None = later()
    disturbs: list[SheetText] = later()
    say: SheetText | None = later()


class SheetPicture(SheetNoun):
    file: File
    alt: SheetText


class SheetStep(SheetNoun):
    """`which` is there only for a step of an include with a label: `rear left`. `says` only where the step shows values
    on lines of their own."""

    may_lack = frozenset({"which", "says"})

    path: Path
    stage: SheetCount
    do: SheetRich = later()
    why: SheetRich | None = later()
    words: dict[SheetText, SheetText] = later()
    cautions: list[SheetCaution] = later()
    check: Check
    opens: list[SheetOpened]
    closes: list[SheetClosed]
    hold: bool
    gate: SheetGate | None = later()
    when: list[SheetAsk]
    after: list[SheetText]
    if_failed: SheetIfFailed | None = later()
    stop: bool = later()
    leave: Literal["own", "lead", "never"]
    may_refuse: bool
    landmark: SheetText | None = later()
    catches: list[SheetText] = later()
    uses: list[SheetText] = later()
    takes: list[SheetText] = later()
    shows: list[SheetName] = later()
    holds: list[SheetName] = later()
    doubts: list[SheetName] = later()
    values: list[SheetName]
    decides: bool = later()
    picture: SheetPicture | None = later()
    was: list[Path]
    completion: bool
    which: SheetText = later()
    says: list[SheetName] = later()
    duty: Digest
    wording: Digest


# --- values -----------------------------------------------------------------------------------------------------------


class SheetQuantity(SheetNoun):
    number: SheetNumber
    unit: SheetText


class SheetSource(SheetNoun):
    """Where a value was read. `checked` is there only if the source has that day, so sheets from before it keep their
    digest."""

    may_lack = frozenset({"checked"})

    document: SheetText = later()
    where: SheetText = later()
    read: SheetText | None = later()
    by: SheetText | None = later()
    checked_by: SheetText | None = later()
    checked: SheetText | None = later()


class SheetLimits(SheetNoun):
    """What a figure can be, in base units; `above`: the low end itself can't be. `of` is there only if an end is what
    the engine sheet gives for another value: the labels of these values."""

    may_lack = frozenset({"of"})

    low: SheetNumber
    high: SheetNumber
    above: bool
    whole: bool
    of: list[SheetText] = later()


class SheetBand(SheetNoun):
    low: SheetNumber
    high: SheetNumber
    by: SheetText | None = later()


class SheetSpan(SheetNoun):
    low: SheetNumber
    high: SheetNumber


MOST_POINTS = 500  # points of a bolt map
Point = Annotated[list[SheetShare], Field(min_length=2, max_length=2)]


class SheetValue(SheetNoun):
    """`of_the_day` is there only where it is true: no sheet can know this value."""

    may_lack = frozenset({"of_the_day"})

    label: SheetText = later()
    kind: SheetText = later()
    class_: Fastener = Field(alias="class")
    text: SheetText | None
    missing: SheetText | None = later()
    source: SheetSource | None
    count: SheetCount | None = later()
    reuse: SheetText | None = later()
    passes: list[SheetText] = later()
    order: list[SheetCount] = later()
    tolerance: SheetText | None = later()
    thread: SheetText | None = later()
    number: SheetQuantity | None = later()
    units: list[SheetText] = later()
    margin: SheetQuantity | None = later()
    asks_margin: bool = later()
    limits: SheetLimits | None = later()
    condition: SheetText | None = later()
    into: SheetText | None = later()
    grade: SheetText | None = later()
    engaged: SheetText | None = later()
    head: SheetText | None = later()
    grip: SheetText | None = later()
    band: SheetBand | None = later()
    turn: SheetSpan | None = later()
    unjudged: list[SheetText] = later()
    doubt: SheetText | None = later()
    points: Annotated[list[Point], Field(max_length=MOST_POINTS)] = later()
    of_the_day: Literal[True] = later()


class SheetReading(SheetNoun):
    """`divisions` is there only where the smallest division of the gauge is known: by unit, in that unit."""

    may_lack = frozenset({"divisions"})

    label: SheetText
    kind: SheetText
    unit: SheetText
    units: list[SheetText] = later()
    from_: SheetNumber | None = later("from")
    to: SheetNumber | None = later()
    divisions: dict[SheetText, SheetMark] = later()


class SheetLimit(SheetNoun):
    when: Tree
    verdict: SheetText
    bad: bool
    say: SheetRich | None
    do: SheetRich | None


class SheetPartOf(SheetNoun):
    whole: SheetText
    parts: list[SheetText]


class SheetResult(SheetNoun):
    """`safe`, `set_on`, `part_of` and `against` are there only where they say something."""

    may_lack = frozenset({"safe", "set_on", "part_of", "against"})

    name: SheetName
    label: SheetText
    kind: SheetText
    unit: SheetText
    units: list[SheetText] = later()
    step: SheetMark | None
    why: SheetText | None
    tree: Tree
    words: list[SheetText | list[SheetText]] = later()
    inputs: list[SheetText]
    tables: list[SheetText] = later()
    limits: list[SheetLimit]
    hold: bool
    fills: SheetName | None
    safe: Literal["down", "up"] = later()
    set_on: SheetName = later()
    part_of: SheetPartOf = later()
    against: list[Tree] = later()


class SheetColumn(SheetNoun):
    label: SheetText
    unit: SheetText


class SheetTable(SheetNoun):
    title: SheetText
    source: SheetText
    edition: SheetText | None = later()
    got: SheetText | None = later()
    x: SheetColumn
    y: SheetColumn
    rows: list[list[SheetNumber]]


class SheetGiven(SheetNoun):
    label: SheetText
    kind: SheetText
    unit: SheetText
    number: SheetNumber | None = later()


class SheetUnit(SheetNoun):
    """base = (number + offset) * scale"""

    kind: SheetText
    scale: Scale
    offset: SheetNumber


# --- the shop, the preparation ----------------------------------------------------------------------------------------


class SheetItem(SheetNoun):
    kind: SheetText
    label: SheetText = later()
    list_: SheetText | None = Field(alias="list")
    count: SheetCount


class SheetKind(SheetNoun):
    """A kind of open item: how it stands until it is closed, and how that is said of one thing."""

    name: SheetId
    label: SheetText
    stands: SheetText
    said: SheetText | None
    closed_by: SheetText | None


class SheetList(SheetNoun):
    name: SheetId
    title: SheetText
    before: SheetText


class SheetGateTitle(SheetNoun):
    name: SheetId
    title: SheetText


class SheetRole(SheetNoun):
    """`qualified` is there only if a trade file says it. A role that leads is qualified without it."""

    may_lack = frozenset({"qualified"})

    name: SheetId
    label: SheetText
    leads: bool
    qualified: bool = later()


class SheetStartBox(SheetNoun):
    """A box of the form that starts a job. `what` is what the job is done on."""

    name: SheetName
    label: SheetText
    optional: bool


class SheetTrade(SheetNoun):
    """The words of the trade that this worksheet needs, in the order of their files."""

    noun: SheetText  # what is worked on, as a sheet begins
    sheet: SheetText
    whole: SheetText
    start: list[SheetStartBox]
    kinds: list[SheetKind]
    lists: list[SheetList]
    gates: list[SheetGateTitle]
    roles: list[SheetRole]


class SheetPart(SheetNoun):
    label: SheetText
    number: SheetText | None = later()
    count: SheetCount = later()
    one_time: bool = later()


class SheetTool(SheetNoun):
    label: SheetText


class SheetOneTime(SheetNoun):
    label: SheetText
    count: SheetCount = later()


class SheetNoWrench(SheetNoun):
    value: SheetName
    label: SheetText
    text: SheetText | None
    why: SheetText  # `range` or `near`


class SheetNeeds(SheetNoun):
    parts: dict[SheetName, SheetPart] = later()
    tools: dict[SheetName, SheetTool] = later()
    consumables: dict[SheetName, SheetTool] = later()
    one_time: dict[SheetName, SheetOneTime] = later()
    values: list[SheetName] = later()
    no_wrench: list[SheetNoWrench] = later()


class SheetWrench(SheetNoun):
    """Low, high and step in `unit`, the lever in mm."""

    label: SheetText
    low: SheetNumber
    high: SheetNumber
    step: SheetMark
    unit: SheetText
    iso: SheetText
    accuracy: SheetShare
    lever: SheetMark | None = later()
    due: Day | None = later()


class SheetAdapter(SheetNoun):
    label: SheetText
    length: SheetNumber
    angle: SheetNumber | None = later()


class SheetTorque(SheetNoun):
    setting: Tree
    rounding: Tree
    offered: Tree
    inside: Tree


class SheetPerson(SheetNoun):
    initials: SheetText
    name: SheetText = later()
    role: SheetText


class ShopSaid(SheetNoun):
    """`time_zone` is there only if the shop's file has it."""

    may_lack = frozenset({"time_zone"})

    id: SheetText = later()
    title: SheetText = later()
    odometer: SheetText = later()
    time_zone: SheetText = later()
    units: dict[SheetText, SheetText] = later()
    people: list[SheetPerson]


class EngineSaid(SheetNoun):
    """`invented` is there only if the sheet says that its values are made up."""

    may_lack = frozenset({"invented"})

    id: SheetText = later()
    title: SheetText = later()
    revision: SheetCount = later()
    facts: dict[SheetText, Any] = later()
    invented: bool = later()


class Budget(SheetNoun):
    taps: SheetCount
    holds: SheetCount
    photos: SheetCount


class Worksheet(SheetNoun):
    v: Annotated[int, Field(ge=1, le=1)]
    worksheet: SheetText = later()
    procedure: SheetText = later()
    title: SheetText = later()
    revision: SheetCount = later()
    engine: EngineSaid = later()
    shop: ShopSaid
    stages: list[SheetStage]
    steps: list[SheetStep]
    values: dict[SheetName, SheetValue]
    readings: dict[SheetName, SheetReading] = later()
    results: list[SheetResult] = later()
    tables: dict[SheetName, SheetTable] = later()
    givens: dict[SheetName, SheetGiven] = later()
    units: dict[SheetText, SheetUnit] = later()
    items: dict[SheetName, SheetItem]
    trade: SheetTrade = later()
    needs: SheetNeeds
    budget: Budget = later()
    wrenches: dict[SheetId, SheetWrench] = later()
    adapters: dict[SheetId, SheetAdapter] = later()
    torque: SheetTorque = later()
    second_reader: Pause = later()


# --- writing, reading, schemas ----------------------------------------------------------------------------------------


Data = TypeVar("Data")


def checked(sheet: Data) -> Data:
    """Return a worksheet of our own. Raises ValidationError if it is none."""
    Worksheet.model_validate(sheet)
    return sheet


def reads(noun: type[SheetNoun], value: Any) -> bool:
    """True if a worksheet from elsewhere, or a part of one, can be read as this noun."""
    try:
        noun.model_validate(value, context=READING)
    except (ValidationError, RecursionError):
        return False
    return True


def schema(noun: type[SheetNoun]) -> Json:
    """Return the JSON Schema (2020-12) of what the build writes: every field, and no other."""
    made = noun.model_json_schema()
    may_lack = {one.__name__: one.may_lack for one in _below(SheetNoun)}
    for node in _nodes(made):
        if "properties" in node and noun.is_whole:
            node["required"] = sorted(set(node["properties"]) - may_lack.get(node["title"], frozenset()))
        for of in node.get("properties", {}).values():
            of.pop("later", None)
            of.pop("default", None)
        if "patternProperties" in node:
            node["additionalProperties"] = False
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **made}


def _below(noun: type[SheetNoun]) -> Iterator[type[SheetNoun]]:
    for one in noun.__subclasses__():
        yield one
        yield from _below(one)


def reading(noun: type[SheetNoun]) -> Json:
    """Return the JSON Schema of what can be read: later fields may be missing, unknown fields are ignored."""
    made = noun.model_json_schema()
    for node in _nodes(made):
        if node.get("additionalProperties") is False:
            del node["additionalProperties"]
        if "properties" in node:
            node["required"] = sorted(name for name, of in node["properties"].items() if not of.get("later"))
        if "patternProperties" in node:
            node["additionalProperties"] = False
    for kind in SheetCheckOff.__subclasses__():
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


_FOR_PEOPLE = {"title", "description", "default", "later", "discriminator"}


def _bare(tree: Any, names: bool = False) -> Any:
    """Drop what only people and editors read. `names`: the keys of this tree are names, not words of the schema."""
    if isinstance(tree, list):
        return [_bare(of) for of in tree]
    if not isinstance(tree, dict):
        return tree
    kept = {key: of for key, of in tree.items() if names or key not in _FOR_PEOPLE}
    return {
        key: _bare(of, not names and key in ("properties", "$defs", "patternProperties")) for key, of in kept.items()
    }
