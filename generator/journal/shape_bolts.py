"""What a stranger's worksheet may say of bolts and wrenches. The forms are those of shape.py.

The same table as site_overrides/phone/journal/shape_bolts.js.
"""

from __future__ import annotations

from typing import Any

from generator.journal.shape_figures import are_small

Shape = Any

BAND: Shape = {"low": "number", "high": "number"}
# What a value says of its bolts, a tighten of its pulls; older worksheets say none of it.
LIMIT: Shape = {"low": "number", "high": "number", "above": "yes or no", "whole": "yes or no"}
BOLT: Shape = {
    "limits?": LIMIT,
    "reuse?": "text",
    "condition?": "text",
    "into?": "text",
    "grade?": "text",
    "engaged?": "text",
    "doubt?": "text",
    "band?": BAND,
    "points?": [["share"]],
}
SETTING: Shape = {"wrench": "id", "number": "number", "text": "text", "inside": "yes or no"}
PULL: Shape = {"id": "text", "kind?": ("torque", "angle"), "settings?": [SETTING]}
WRENCH: Shape = {
    "label": "text",
    "low": "number",
    "high": "number",
    "step": "step",
    "unit": "text",
    "iso": "text",
    "accuracy": "share",
    "lever?": "step",
    "due?": "day",
}
ADAPTER: Shape = {"label": "text", "length": "number", "angle?": "number"}
TREES = ("setting", "rounding", "offered", "inside")
TOOLS: Shape = {"wrenches": {"-": WRENCH}, "adapters": {"-": ADAPTER}, "torque": dict.fromkeys(TREES, "anything")}
NO_WRENCH: Shape = [{"value": "name", "label": "text", "text": "text or null", "why": "text"}]
MOST_POINTS = 500


def are_sound(sheet: dict[str, Any]) -> bool:
    """Can its map be drawn and its settings be worked out? The rest of its shape is sound."""
    maps = [value["points"] for value in sheet["values"].values() if value.get("points") is not None]
    trees = [sheet["torque"][name] for name in TREES] if "torque" in sheet else []
    return all(_is_map(points) for points in maps) and are_small(trees) and _are_at_hand(sheet)


def _is_map(points: list[list[float]]) -> bool:
    return len(points) <= MOST_POINTS and all(len(point) == 2 for point in points)


def _are_at_hand(sheet: dict[str, Any]) -> bool:
    """Each wrench that a setting names is one of the shop's, and its unit one of torque."""
    pulls = [part for step in sheet["steps"] if step["check"]["kind"] == "tighten" for part in step["check"]["parts"]]
    named = {setting["wrench"] for pull in pulls for setting in pull.get("settings") or ()}
    wrenches, units = sheet.get("wrenches", {}), sheet.get("units", {})
    return all(name in wrenches and units.get(wrenches[name]["unit"], {}).get("kind") == "torque" for name in named)
