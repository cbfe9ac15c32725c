"""The tables that the desk and the phone share: slots, states, lists, sections, refusals.

Python reads them here. The phone reads `site_overrides/phone/journal/tables.js`, which `python -m tools.tables` writes
from SHARED. A set has no order, a tuple has an order that counts, a dict is a table by name.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, TypeVar

from generator.entry import VALUE_FIELDS as VALUE_FIELDS
from generator.sheet_types import RoleJson, TradeJson, WorksheetJson
from generator.table_names import (
    ActionableState,
    BlockingCode,
    ClosedState,
    DutyField,
    EntryKind,
    GaugeKind,
    OdometerUnit,
    RecordLimit,
    RefusalCode,
    ReturnKind,
    RuledSection,
    SectionName,
    SourceField,
    StartField,
    TimeUnit,
    WordingField,
)

T = TypeVar("T")

# --- entries ----------------------------------------------------------------------------------------------------------

# The slot of each kind of entry: its name in the job or, if the entry has a step, on that step. `<part>` stands for the
# entry's own part, `<id>` for its id. A kind without a name has no slot of its own.
SLOT_NAMES: Final[Mapping[EntryKind, Mapping[str, str]]] = {
    "start": {"job": "job"},
    "correct": {"job": "job:<part>"},
    "adopt": {"job": "sheet"},
    "confirm": {"job": "confirm:<part>", "step": "wording"},
    "read": {"job": "value:<part>"},
    "check": {"step": "part:<part>"},
    "finish": {"step": "part:"},
    "settle": {"job": "value:<part>", "step": "part:<part>"},
    "skip": {"step": "part:"},
    "not-fitted": {"step": "part:"},
    "refuse": {"step": "part:"},
    "depart": {"step": "depart:<part>"},
    "back": {},  # it takes every slot of the steps it reopens
    "not-disturbed": {},
    "took-off": {"job": "itself:<id>"},
    "extra": {"job": "itself:<id>"},
    "count": {"job": "count:<part>"},
    "put-back": {"job": "put-back:<part>"},
    "elapsed": {"step": "elapsed"},
    "take-back": {},  # it takes the slots of all the entries it names
    "decline": {"job": "decline"},
    "pass-on": {"job": "pass"},
    "receive": {"job": "pass"},
}
# Kinds of entry that empty a slot again.
RETURNS: Final[frozenset[ReturnKind]] = frozenset({"take-back", "back"})
# The fields of a start that can be corrected, and what the new value must be (`journal/start`).
CORRECTABLE_FIELDS: Final[Mapping[StartField, str]] = {
    "number": "said",
    "vehicle": "said",
    "odometer": "odometer",
    "vin": "text",
    "more": "texts",
}
ODOMETER_UNITS: Final[tuple[OdometerUnit, ...]] = ("km", "mi")

# --- steps ------------------------------------------------------------------------------------------------------------

# The states of a step that somebody can work on now, the worst first, and the states that close a step.
ACTIONABLE: Final[tuple[ActionableState, ...]] = ("disputed", "failed", "recheck", "open")
CLOSED: Final[frozenset[ClosedState]] = frozenset({"done", "skipped", "refused", "not-fitted", "hidden"})
# The reasons that stop an answer from being given now.
BLOCKING: Final[frozenset[BlockingCode]] = frozenset({"hold", "order", "after", "open", "list", "ready"})
# Fields of a step that make a person do it again when they change, besides check-off, values and arithmetic. Then the
# fields that are only its text.
DUTY: Final[tuple[DutyField, ...]] = ("takes", "cautions", "opens", "closes", "hold", "gate", "picture")
WORDING: Final[tuple[WordingField, ...]] = ("do", "why")

# --- bolts, preparation, values ---------------------------------------------------------------------------------------

# The words of the trade for worksheets of before November 2026, which carry none.
_EARLIER = Path(__file__).with_name("journal") / "shapes" / "earlier_trade.json"
EARLIER_TRADE: Final[TradeJson] = json.loads(_EARLIER.read_text("utf-8"))
SECTIONS: Final[tuple[SectionName, ...]] = ("parts", "tools", "consumables", "one_time", "values")
# The rule that lets work go on without a thing of a section.
RULE_OF_SECTION: Final[Mapping[RuledSection, str]] = {"parts": "part", "tools": "tool", "consumables": "part"}
# How many letters or digits a source must show: "page 5" or a plain "5" is a place.
LEAST_SAID: Final[Mapping[SourceField, int]] = {"document": 2, "where": 1}
# A dial shows only kPa. The kind of value tells whether that is above or below the outside air.
GAUGES: Final[Mapping[GaugeKind, str]] = {"gauge": "(g)", "vacuum": "(vac)"}
SECONDS: Final[Mapping[TimeUnit, int]] = {"s": 1, "min": 60, "h": 3600, "day": 86_400, "week": 604_800}
WORKED_OUT: Final = "Worked out from readings"

# --- records ----------------------------------------------------------------------------------------------------------

# A long job has one or two thousand lines.
MOST: Final[Mapping[RecordLimit, int]] = {"bytes": 16 * 1024 * 1024, "lines": 10_000, "nested": 64}
REFUSALS: Final[Mapping[RefusalCode, str]] = {
    "too-large": "This file is larger than 16 MB. No job is.",
    "too-many": "This file has more than 10,000 lines. No job has.",
    "no-record": 'This file is not a record of a job: it does not begin with "handturn record".',
    "version": "This record is of a version that this tool does not read. Open it with a newer one.",
    "cut-short": "The end of this record is missing. Ask for the file again.",
    "damaged": "This record was changed or damaged after it was written. Ask for the file again.",
    "after-end": "There is something after the end of this record. Ask for the file again.",
    "no-line": "Line {line} of this record is neither a worksheet nor an entry.",
    "nested": "Line {line} of this record is nested too deep.",
    "not-canonical": "Line {line} of this record is not written the way a phone writes.",
    "sheet": "The worksheet in line {line} of this record was changed or damaged.",
    "entry": "Line {line} of this record lacks something that every entry has.",
    "jobs": "This record holds more than one job.",
    "other-job": "This record is of another job.",
    "empty": "This record holds no entries.",
}


def trade_of(sheet: WorksheetJson | None) -> TradeJson:
    """Return the words of the trade that a worksheet carries; for an older one, those of before it carried any."""
    return (sheet.get("trade") if sheet else None) or EARLIER_TRADE


def qualified_roles(trade: TradeJson) -> list[RoleJson]:
    """Return the roles of those who may give a second look that asks for somebody qualified. A lead always may."""
    return [role for role in trade["roles"] if role["leads"] or role.get("qualified")]


def row(table: Mapping[Any, T], name: object) -> T | None:
    """What one of these tables holds under a name from outside; None where it lists no such name."""
    return table.get(name)


SHARED: Final[Mapping[str, object]] = {
    "SLOT_NAMES": SLOT_NAMES,
    "RETURNS": RETURNS,
    "CORRECTABLE_FIELDS": CORRECTABLE_FIELDS,
    "VALUE_FIELDS": VALUE_FIELDS,
    "ODOMETER_UNITS": ODOMETER_UNITS,
    "ACTIONABLE": ACTIONABLE,
    "CLOSED": CLOSED,
    "BLOCKING": BLOCKING,
    "DUTY": DUTY,
    "WORDING": WORDING,
    "SECTIONS": SECTIONS,
    "RULE_OF_SECTION": RULE_OF_SECTION,
    "LEAST_SAID": LEAST_SAID,
    "GAUGES": GAUGES,
    "SECONDS": SECONDS,
    "WORKED_OUT": WORKED_OUT,
    "MOST": MOST,
    "REFUSALS": REFUSALS,
}
