"""What a worksheet from a record must look like before it is folded over: a stranger's file may say anything.

The same table as site_overrides/phone/journal/shape.js. A list of one shape is a list of such; a tuple, one of its
texts; a dict with "*", names and what they stand for, with "-" ids, with "**" any texts; a dict, at least these fields,
of which one with "?" may be left out or null; a text, one of PLAIN.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from generator.journal.figures import takes
from generator.journal.shape_bolts import BOLT, NO_WRENCH, PULL, TOOLS, are_sound
from generator.journal.shape_figures import are_bounded

Shape = Any

GREATEST = 1e300


def _is_count(value: Any) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= 100_000


def is_finite(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and -GREATEST < value < GREATEST


def _matches(pattern: str) -> Callable[[Any], bool]:
    return lambda value: isinstance(value, str) and re.fullmatch(pattern, value) is not None


PLAIN: dict[str, Callable[[Any], bool]] = {
    "anything": lambda value: True,
    "text": lambda value: isinstance(value, str),
    "yes or no": lambda value: isinstance(value, bool),
    "count": _is_count,
    "pause": lambda value: _is_count(value) and value > 0,
    "path": _matches(r"[a-z][a-z0-9-]*(?:/[a-z][a-z0-9-]*)*"),
    "name": _matches(r"[a-z][a-z0-9_]*"),
    "digest": _matches(r"[0-9a-f]{64}"),
    "number": is_finite,
    "scale": lambda value: is_finite(value) and value != 0,
    "step": lambda value: is_finite(value) and value > 0,
    "share": lambda value: is_finite(value) and 0 <= value <= 1,
    "id": _matches(r"[a-z][a-z0-9-]*"),
    "file": _matches(r"[A-Za-z0-9_-][A-Za-z0-9_.-]*(?:/[A-Za-z0-9_-][A-Za-z0-9_.-]*)*"),
    "day": _matches(r"[0-9]{4}-[0-9]{2}-[0-9]{2}"),
}

CLASS = ("critical", "ordinary", "clip")
QUANTITY = {"number": "number", "unit": "text"}
VALUE: Shape = {"text": "text or null", "source": "anything", "class": CLASS, "number?": QUANTITY, "margin?": QUANTITY}
VALUE |= BOLT
CHECKS: dict[str, Shape] = {
    "tick": {},
    "tighten": {"value": "name", "fastener": CLASS, "parts": [PULL], "asks_new?": "yes or no"},
    "measure": {"reading?": "name"},
    "inspect": {"outcomes": [{"name": "text", "fails": "yes or no"}]},
    "wait": {"value": "name", "seconds": "count or null", "watch?": {"start": "name", "end": "name"}},
    "turn": {"value": "name", "count": "count or null"},
    "photo": {},
    "sign": {"of": ["text"], "self_check_after": "count"},
}
# What the fold asks of a check-off of any kind; it may be there only in this shape.
ANY_CHECK: dict[str, Shape] = {"outcomes": CHECKS["inspect"]["outcomes"], "of": CHECKS["sign"]["of"]}
STEP: Shape = {
    "path": "path",
    "stage": "count",
    "check": {"kind": tuple(CHECKS)},
    "opens": [{"what": "name", "count": "count"}],
    "closes": [{"what": "name", "count": "count or null"}],
    "hold": "yes or no",
    "when": [{"step": "text", "outcomes": ["text"]}],
    "after": ["text"],
    "leave": ("own", "lead", "never"),
    "may_refuse": "yes or no",
    "values": ["name"],
    "shows?": ["name"],
    "holds?": ["name"],
    "doubts?": ["name"],
    "stop?": "yes or no",
    "picture?": {"file": "file", "alt": "text"},
    "was": ["path"],
    "completion": "yes or no",
    "duty": "digest",
    "wording": "digest",
}
GATE: Shape = {"kinds": ["text"], "lists": ["text"], "ready": "yes or no"}
SHEET: Shape = {
    "stages": [{"order": ("any", "kept", "absolute")}],
    "steps": [STEP],
    "values": {"*": VALUE},
    "items": {"*": {"kind": "text", "list": "text or null", "count": "count"}},
    "needs": {"*": "anything"},
    "shop": {"people": [{"initials": "text", "role": "text"}]},
    "second_reader?": "pause",
}
NEW = ("units", "results", "tables", "givens")
COLUMN = {"label": "text", "unit": "text"}
LIMIT: Shape = {"when": "anything", "verdict": "text", "bad": "yes or no", "say": "anything", "do": "anything"}
RESULT: Shape = {
    "name": "name",
    "label": "text",
    "kind": "text",
    "unit": "text",
    "step": "step or null",
    "why": "text or null",
    "tree": "anything",
    "inputs": ["text"],
    "limits": [LIMIT],
    "hold": "yes or no",
    "fills": "name or null",
}
FIGURES: Shape = {
    "units": {"**": {"kind": "text", "scale": "scale", "offset": "number"}},
    "readings": {"*": {"label": "text", "kind": "text", "unit": "text", "from?": "number", "to?": "number"}},
    "results": [RESULT],
    "tables": {"*": {"title": "text", "source": "text", "x": COLUMN, "y": COLUMN, "rows": [["number"]]}},
    "givens": {"*": {"label": "text", "kind": "text", "unit": "text", "number?": "number"}},
    "values": {"*": {"kind": "text", "label": "text"}},
}


def fits(value: Any, shape: Shape) -> bool:
    if isinstance(shape, str):
        plain = shape.removesuffix(" or null")
        return (shape != plain and value is None) or PLAIN[plain](value)
    if isinstance(shape, tuple):
        return isinstance(value, str) and value in shape
    if isinstance(shape, list):
        return isinstance(value, list) and all(fits(item, shape[0]) for item in value)
    if not isinstance(value, dict):
        return False
    if "**" in shape:
        return all(fits(item, shape["**"]) for item in value.values())
    for sign, kind in (("*", "name"), ("-", "id")):
        if sign in shape:
            return all(PLAIN[kind](name) and fits(item, shape[sign]) for name, item in value.items())
    return all(_has(value, key, of) for key, of in shape.items())


def _has(value: dict[str, Any], key: str, of: Shape) -> bool:
    name = key.removesuffix("?")
    if value.get(name) is None and name != key:
        return True
    return name in value and fits(value[name], of)


def is_sheet(sheet: Any) -> bool:
    """Can it be folded over? What it means is the compiler's business."""
    if not fits(sheet, SHEET) or sheet.get("v") != 1:
        return False
    whole = all(_holds_together(step, sheet) for step in sheet["steps"]) and _is_once(sheet["steps"])
    return whole and (not any(key in sheet for key in NEW) or _has_figures(sheet)) and _has_tools(sheet)


def _has_tools(sheet: dict[str, Any]) -> bool:
    """Wrenches, adapters and their arithmetic, each where the worksheet has it."""
    fit = all(fits(sheet[key], TOOLS[key]) for key in TOOLS if key in sheet)
    return fit and fits(sheet["needs"].get("no_wrench", []), NO_WRENCH) and are_sound(sheet)


def _has_figures(sheet: dict[str, Any]) -> bool:
    """Readings, results and all that their arithmetic needs; a worksheet has all of it or, an old one, none."""
    if not fits(sheet, FIGURES):
        return False
    results = {result["name"] for result in sheet["results"]}
    held = {name for step in sheet["steps"] for name in step.get("holds") or ()}
    taken = {name for step in sheet["steps"] for name, _ in takes(step["check"])}
    once = len(results) == len(sheet["results"])
    return once and held <= results and taken <= set(sheet["readings"]) and are_bounded(sheet)


def _holds_together(step: dict[str, Any], sheet: dict[str, Any]) -> bool:
    moved = [*step["opens"], *step["closes"]]
    return (
        fits(step["check"], CHECKS[step["check"]["kind"]])
        and all(fits(step["check"][key], of) for key, of in ANY_CHECK.items() if key in step["check"])
        and (step.get("gate") is None or fits(step["gate"], GATE))
        and step["stage"] < len(sheet["stages"])
        and all(item["what"] in sheet["items"] for item in moved)
        and all(name in sheet["values"] for name in [*step["values"], *_own_value(step["check"])])
    )


def _own_value(check: dict[str, Any]) -> list[str]:
    return [check["value"]] if isinstance(check.get("value"), str) else []


def _is_once(steps: list[dict[str, Any]]) -> bool:
    return len({step["path"] for step in steps}) == len(steps)
