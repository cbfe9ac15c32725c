"""What a stranger's worksheet may say of wrenches: sound arithmetic, and none but the shop's own.

The same rules as site_overrides/phone/journal/shape/bolts.js.
"""

from __future__ import annotations

from typing import Any

from generator.journal.shapes.shape_figures import are_small
from generator.worksheet import SheetTorque

TREES = tuple(SheetTorque.model_fields)


def are_sound(sheet: dict[str, Any]) -> bool:
    """Can its settings be worked out? The rest of its shape is sound."""
    trees = [sheet["torque"][name] for name in TREES] if "torque" in sheet else []
    return are_small(trees) and _are_at_hand(sheet)


def _are_at_hand(sheet: dict[str, Any]) -> bool:
    """Each wrench that a setting names is one of the shop's, and its unit one of torque."""
    pulls = [part for step in sheet["steps"] if step["check"]["kind"] == "tighten" for part in step["check"]["parts"]]
    named = {setting["wrench"] for pull in pulls for setting in pull.get("settings", ())}
    wrenches, units = sheet.get("wrenches", {}), sheet.get("units", {})
    return all(name in wrenches and units.get(wrenches[name]["unit"], {}).get("kind") == "torque" for name in named)
