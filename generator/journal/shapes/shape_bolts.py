"""What a worksheet from elsewhere may say of wrenches: sound arithmetic, and scales in units of torque.

The same rules as site_overrides/phone/journal/shape/bolts.js.
"""

from __future__ import annotations

from typing import Any

from generator.journal.shapes.shape_figures import are_small
from generator.worksheet import SheetTorque

TREES = tuple(SheetTorque.model_fields)


def are_sound(sheet: dict[str, Any]) -> bool:
    """True if its settings can be worked out. The rest of its shape must be sound already."""
    trees = [sheet["torque"][name] for name in TREES] if "torque" in sheet else []
    return are_small(trees) and _measure_torque(sheet)


def _measure_torque(sheet: dict[str, Any]) -> bool:
    """True if each wrench has a unit of torque. One in a unit that this worksheet does not know is never offered."""
    units = sheet.get("units", {})
    marked = [units.get(wrench["unit"]) for wrench in sheet.get("wrenches", {}).values()]
    return all(unit["kind"] == "torque" for unit in marked if unit)
