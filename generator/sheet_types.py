"""What plain data of a worksheet holds, for the type checker: made from the nouns of generator/worksheet.py.

Never edit this file: write it anew with `python -m tools.tables`.
"""

from __future__ import annotations

from typing import Any, Literal, NotRequired, TypedDict

from generator.worksheet import CheckKind

RichJson = list["str | StyledJson | ShownJson"]
CheckJson = TypedDict(
    "CheckJson",
    {
        "kind": "CheckKind",
        "hold_down": "NotRequired[bool]",
        "value": "NotRequired[str]",
        "fastener": 'NotRequired[Literal["critical", "ordinary", "clip"]]',
        "list": "NotRequired[str | None]",
        "item": "NotRequired[str | None]",
        "parts": "NotRequired[list[PullJson]]",
        "asks_new": "NotRequired[bool]",
        "reading": "NotRequired[str]",
        "against": "NotRequired[str | None]",
        "outcomes": "NotRequired[list[OutcomeJson]]",
        "seconds": "NotRequired[int | None]",
        "every": "NotRequired[int | None]",
        "every_value": "NotRequired[str | None]",
        "say": "NotRequired[str | None]",
        "watch": "NotRequired[WatchJson | None]",
        "count": "NotRequired[int | None]",
        "label": "NotRequired[str]",
        "of": "NotRequired[list[str]]",
        "self_check_after": "NotRequired[int]",
        "permit": "NotRequired[str]",
        "alone": "NotRequired[bool]",
        "qualified": "NotRequired[bool]",
    },
)


class EngineJson(TypedDict):
    id: NotRequired[str]
    title: NotRequired[str]
    revision: NotRequired[int]
    facts: NotRequired[dict[str, Any]]
    invented: NotRequired[bool]


class PersonJson(TypedDict):
    initials: str
    name: NotRequired[str]
    role: str


class ShopJson(TypedDict):
    id: NotRequired[str]
    title: NotRequired[str]
    odometer: NotRequired[str]
    time_zone: NotRequired[str]
    units: NotRequired[dict[str, str]]
    people: list[PersonJson]


class ShownJson(TypedDict):
    v: str


class StyledJson(TypedDict):
    t: Literal["em", "strong", "code"]
    c: RichJson


class CautionJson(TypedDict):
    level: str
    hazard: NotRequired[str]
    harm: NotRequired[str]
    avoid: NotRequired[str]


class StageJson(TypedDict):
    id: NotRequired[str]
    title: NotRequired[str]
    order: Literal["any", "kept", "absolute"]
    why: NotRequired[RichJson | None]
    cautions: NotRequired[list[CautionJson]]


class PullJson(TypedDict):
    id: str
    label: NotRequired[str]
    target: NotRequired[str | None]
    kind: NotRequired[Literal["torque", "angle"] | None]


class OutcomeJson(TypedDict):
    name: str
    label: NotRequired[str]
    fails: bool


class WatchJson(TypedDict):
    start: str
    end: str


class OpenedJson(TypedDict):
    what: str
    count: int


class ClosedJson(TypedDict):
    what: str
    count: int | None


GateJson = TypedDict(
    "GateJson",
    {
        "for": "NotRequired[str]",
        "kinds": "list[str]",
        "lists": "list[str]",
        "ready": "bool",
        "also": "NotRequired[list[str]]",
    },
)


class AskJson(TypedDict):
    step: str
    outcomes: list[str]


class IfFailedJson(TypedDict):
    when: NotRequired[str]
    outcomes: NotRequired[list[str]]
    back_to: NotRequired[str | None]
    disturbs: NotRequired[list[str]]
    say: NotRequired[str | None]


class PictureJson(TypedDict):
    file: str
    alt: str


class StepJson(TypedDict):
    path: str
    stage: int
    do: NotRequired[RichJson]
    why: NotRequired[RichJson | None]
    words: NotRequired[dict[str, str]]
    cautions: NotRequired[list[CautionJson]]
    check: CheckJson
    opens: list[OpenedJson]
    closes: list[ClosedJson]
    hold: bool
    gate: NotRequired[GateJson | None]
    when: list[AskJson]
    after: list[str]
    if_failed: NotRequired[IfFailedJson | None]
    stop: NotRequired[bool]
    leave: Literal["own", "lead", "never"]
    may_refuse: bool
    landmark: NotRequired[str | None]
    catches: NotRequired[list[str]]
    uses: NotRequired[list[str]]
    takes: NotRequired[list[str]]
    shows: NotRequired[list[str]]
    holds: NotRequired[list[str]]
    doubts: NotRequired[list[str]]
    values: list[str]
    decides: NotRequired[bool]
    picture: NotRequired[PictureJson | None]
    was: list[str]
    completion: bool
    which: NotRequired[str]
    says: NotRequired[list[str]]
    duty: str
    wording: str


class SourceJson(TypedDict):
    document: NotRequired[str]
    where: NotRequired[str]
    read: NotRequired[str | None]
    by: NotRequired[str | None]
    checked_by: NotRequired[str | None]
    checked: NotRequired[str | None]


class QuantityJson(TypedDict):
    number: float
    unit: str


class LimitsJson(TypedDict):
    low: float
    high: float
    above: bool
    whole: bool
    of: NotRequired[list[str]]


class BandJson(TypedDict):
    low: float
    high: float
    by: NotRequired[str | None]


class SpanJson(TypedDict):
    low: float
    high: float


ValueJson = TypedDict(
    "ValueJson",
    {
        "label": "NotRequired[str]",
        "kind": "NotRequired[str]",
        "class": 'Literal["critical", "ordinary", "clip"]',
        "text": "str | None",
        "missing": "NotRequired[str | None]",
        "source": "SourceJson | None",
        "count": "NotRequired[int | None]",
        "reuse": "NotRequired[str | None]",
        "passes": "NotRequired[list[str]]",
        "order": "NotRequired[list[int]]",
        "tolerance": "NotRequired[str | None]",
        "thread": "NotRequired[str | None]",
        "number": "NotRequired[QuantityJson | None]",
        "units": "NotRequired[list[str]]",
        "margin": "NotRequired[QuantityJson | None]",
        "asks_margin": "NotRequired[bool]",
        "limits": "NotRequired[LimitsJson | None]",
        "condition": "NotRequired[str | None]",
        "into": "NotRequired[str | None]",
        "grade": "NotRequired[str | None]",
        "engaged": "NotRequired[str | None]",
        "head": "NotRequired[str | None]",
        "grip": "NotRequired[str | None]",
        "band": "NotRequired[BandJson | None]",
        "turn": "NotRequired[SpanJson | None]",
        "unjudged": "NotRequired[list[str]]",
        "doubt": "NotRequired[str | None]",
        "points": "NotRequired[list[list[float]]]",
        "of_the_day": "NotRequired[Literal[True]]",
    },
)
ReadingJson = TypedDict(
    "ReadingJson",
    {
        "label": "str",
        "kind": "str",
        "unit": "str",
        "units": "NotRequired[list[str]]",
        "from": "NotRequired[float | None]",
        "to": "NotRequired[float | None]",
        "divisions": "NotRequired[dict[str, float]]",
    },
)


class LimitJson(TypedDict):
    when: Any
    verdict: str
    bad: bool
    say: RichJson | None
    do: RichJson | None


class PartOfJson(TypedDict):
    whole: str
    parts: list[str]


class ResultJson(TypedDict):
    name: str
    label: str
    kind: str
    unit: str
    units: NotRequired[list[str]]
    step: float | None
    why: str | None
    tree: Any
    words: NotRequired[list[str | list[str]]]
    inputs: list[str]
    tables: NotRequired[list[str]]
    limits: list[LimitJson]
    hold: bool
    fills: str | None
    safe: NotRequired[Literal["down", "up"]]
    set_on: NotRequired[str]
    part_of: NotRequired[PartOfJson]
    against: NotRequired[list[Any]]


class ColumnJson(TypedDict):
    label: str
    unit: str


class TableJson(TypedDict):
    title: str
    source: str
    edition: NotRequired[str | None]
    got: NotRequired[str | None]
    x: ColumnJson
    y: ColumnJson
    rows: list[list[float]]


class GivenJson(TypedDict):
    label: str
    kind: str
    unit: str
    number: NotRequired[float | None]


class UnitJson(TypedDict):
    kind: str
    scale: float
    offset: float


ItemJson = TypedDict(
    "ItemJson",
    {
        "kind": "str",
        "label": "NotRequired[str]",
        "list": "str | None",
        "count": "int",
    },
)


class StartBoxJson(TypedDict):
    name: str
    label: str
    optional: bool


class KindJson(TypedDict):
    name: str
    label: str
    stands: str
    said: str | None
    closed_by: str | None


class ListJson(TypedDict):
    name: str
    title: str
    before: str


class GateTitleJson(TypedDict):
    name: str
    title: str


class RoleJson(TypedDict):
    name: str
    label: str
    leads: bool
    qualified: NotRequired[bool]


class TradeJson(TypedDict):
    noun: str
    sheet: str
    whole: str
    start: list[StartBoxJson]
    kinds: list[KindJson]
    lists: list[ListJson]
    gates: list[GateTitleJson]
    roles: list[RoleJson]


class PartJson(TypedDict):
    label: str
    number: NotRequired[str | None]
    count: NotRequired[int]
    one_time: NotRequired[bool]


class ToolJson(TypedDict):
    label: str


class OneTimeJson(TypedDict):
    label: str
    count: NotRequired[int]


class NoWrenchJson(TypedDict):
    value: str
    label: str
    text: str | None
    why: str


class NeedsJson(TypedDict):
    parts: NotRequired[dict[str, PartJson]]
    tools: NotRequired[dict[str, ToolJson]]
    consumables: NotRequired[dict[str, ToolJson]]
    one_time: NotRequired[dict[str, OneTimeJson]]
    values: NotRequired[list[str]]
    no_wrench: NotRequired[list[NoWrenchJson]]


class BudgetJson(TypedDict):
    taps: int
    holds: int
    photos: int


class WrenchJson(TypedDict):
    label: str
    low: float
    high: float
    step: float
    unit: str
    iso: str
    accuracy: float
    lever: NotRequired[float | None]
    due: NotRequired[str | None]


class AdapterJson(TypedDict):
    label: str
    length: float
    angle: NotRequired[float | None]


class TorqueJson(TypedDict):
    setting: Any
    rounding: Any
    offered: Any
    inside: Any


class WorksheetJson(TypedDict):
    v: int
    worksheet: NotRequired[str]
    procedure: NotRequired[str]
    title: NotRequired[str]
    revision: NotRequired[int]
    engine: NotRequired[EngineJson]
    shop: ShopJson
    stages: list[StageJson]
    steps: list[StepJson]
    values: dict[str, ValueJson]
    readings: NotRequired[dict[str, ReadingJson]]
    results: NotRequired[list[ResultJson]]
    tables: NotRequired[dict[str, TableJson]]
    givens: NotRequired[dict[str, GivenJson]]
    units: NotRequired[dict[str, UnitJson]]
    items: dict[str, ItemJson]
    trade: NotRequired[TradeJson]
    needs: NeedsJson
    budget: NotRequired[BudgetJson]
    wrenches: NotRequired[dict[str, WrenchJson]]
    adapters: NotRequired[dict[str, AdapterJson]]
    torque: NotRequired[TorqueJson]
    second_reader: NotRequired[int]
