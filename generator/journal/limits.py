"""What can't have been read or set: figures outside their limits, sources that name no place.

The values of an older worksheet have no limits; what was read on it still counts. The same table as
site_overrides/phone/journal/limits.js.
"""

from __future__ import annotations

import math
from typing import Any

from generator.canonical import Json
from generator.journal.answers import is_number, said
from generator.journal.figures import figure_base
from generator.quantities.possible_ranges import is_within
from generator.quantities.quantity import read, stages
from generator.quantities.sources import says_where
from generator.sheet_types import CheckJson, UnitJson, ValueJson, WorksheetJson


def is_credible(units: dict[str, UnitJson], given: ValueJson, value: Json) -> bool:
    """True if the value is possible and its source names a place. `given` is the worksheet's value."""
    if "limits" not in given:
        return True
    if value.get("not_published") is not True and not says_where(value.get("source")):
        return False
    number, unit = value.get("number"), value.get("unit")
    if is_number(number) and given["limits"] is not None:
        base = figure_base(units, number, unit if isinstance(unit, str) else "", given["kind"])
        if base is None or not is_within(base, given["limits"]):
            return False
    return all(_can_be(units, given, number, unit) for number, unit in _figures(value.get("text")))


def is_pull(sheet: WorksheetJson, check: CheckJson, value: Json) -> bool:
    """True if a bolt can be set to this. A critical bolt needs the setting; an impossible one never counts."""
    told = value.get("set")
    if check["fastener"] == "critical" and not said(told):
        return False
    given = sheet["values"].get(check["value"])
    return (
        given is None
        or "limits" not in given
        or all(_can_be(sheet.get("units", {}), given, *one) for one in _figures(told))
    )


def _figures(text: Any) -> list[tuple[float, str]]:
    """Return the figures of `12 N.m then 90 deg`, or none if the text is words."""
    found = [read(stage) for stage in stages(text)] if isinstance(text, str) else []
    return [(one.figure, one.unit) for one in found if one]


def _can_be(units: dict[str, UnitJson], given: ValueJson, number: float, unit: str) -> bool:
    """True if a figure is within the limits. One of another kind, like the angle after a torque, must only be above 0,
    and only if the limits begin above their low end."""
    limit = given["limits"]
    if limit is None:
        return True
    base = figure_base(units, number, unit, given["kind"])
    if base is not None:
        return is_within(base, limit)
    return math.isfinite(number) and (number > 0 or not limit["above"])
