"""What a worksheet from a record must look like before a job is folded over it: it may come from anybody.

The form of each field is checked by the nouns (`generator/worksheet.py`), and here what must fit together. The same
rules as site_overrides/phone/journal/shape/shape.js.
"""

from __future__ import annotations

from typing import Any

from generator.journal.figures import takes
from generator.journal.shapes.shape_bolts import are_sound
from generator.journal.shapes.shape_figures import are_bounded
from generator.worksheet import Worksheet, reads

NEW = ("units", "results", "tables", "givens")
FIGURES = (*NEW, "readings")


def is_sheet(sheet: Any) -> bool:
    """True if a job can be folded over it. What it means is the compiler's business."""
    if not reads(Worksheet, sheet):
        return False
    whole = all(_holds_together(step, sheet) for step in sheet["steps"]) and _is_once(sheet["steps"])
    return whole and (not any(key in sheet for key in NEW) or _has_figures(sheet)) and are_sound(sheet)


def _has_figures(sheet: dict[str, Any]) -> bool:
    """True if it has readings, results and all that their arithmetic needs. An old worksheet may have none of these."""
    named = all("kind" in value and "label" in value for value in sheet["values"].values())
    if not named or not all(key in sheet for key in FIGURES):
        return False
    results = {result["name"] for result in sheet["results"]}
    held = {name for step in sheet["steps"] for name in step.get("holds", ())}
    taken = {name for step in sheet["steps"] for name, _ in takes(step["check"])}
    once = len(results) == len(sheet["results"])
    return once and held <= results and taken <= set(sheet["readings"]) and are_bounded(sheet)


def _holds_together(step: dict[str, Any], sheet: dict[str, Any]) -> bool:
    moved = [*step["opens"], *step["closes"]]
    return (
        step["stage"] < len(sheet["stages"])
        and all(item["what"] in sheet["items"] for item in moved)
        and all(name in sheet["values"] for name in [*step["values"], *_own_value(step["check"])])
    )


def _own_value(check: dict[str, Any]) -> list[str]:
    return [check["value"]] if isinstance(check.get("value"), str) else []


def _is_once(steps: list[dict[str, Any]]) -> bool:
    return len({step["path"] for step in steps}) == len(steps)
