"""What a step asks, as a text that is worked out from the worksheet itself.

Anybody may have made a worksheet, and may have copied the digests of another one. So two steps ask the same only if
both their digests and their contents are the same. The same table as site_overrides/phone/journal/duty.js.
"""

from __future__ import annotations

from typing import Any

from generator.canonical import Json, by_name, canonical
from generator.sheet_types import ResultJson, StepJson, ValueJson, WorksheetJson
from generator.tables import DUTY, WORDING


def duty_text(sheet: WorksheetJson, step: StepJson) -> str:
    """Return what makes a person do a step again when it changes: check-off without wrenches, values, cautions,
    sums. Who may sign is judged by the worksheet in use, so a signature by the right person stays good."""
    check = {key: of for key, of in by_name(step["check"]).items() if key != "qualified"}
    if isinstance(check.get("parts"), list):
        check["parts"] = [{key: of for key, of in part.items() if key != "settings"} for part in check["parts"]]
    plain = {key: step.get(key) for key in DUTY}
    values = {name: _bare(sheet["values"].get(name)) for name in step["values"]}
    results = _arithmetic(sheet, step.get("shows") or [])
    return canonical({**plain, "check": check, "values": values, "results": results})


def _bare(value: ValueJson | None) -> Json | None:
    """Return a value without its limits: a new limit does not change the value."""
    return value and {key: of for key, of in value.items() if key != "limits"}


def wording_text(step: StepJson) -> str:
    return canonical([" ".join(_plain(step.get(key)).split()) for key in WORDING])


def _arithmetic(sheet: WorksheetJson, shows: list[str]) -> list[Json]:
    """Return how the results that a step shows are worked out, with all results they need or name in their texts."""
    results = {result["name"]: result for result in sheet.get("results") or []}
    wanted = list(dict.fromkeys(name for name in shows if name in results))
    for name in wanted:
        result = results[name]
        said = [text for limit in result["limits"] for text in _named([limit.get("say"), limit.get("do")])]
        others = dict.fromkeys([*result["inputs"], *said])
        wanted += [other for other in others if other in results and other not in wanted]
    return [_worked(result) for name, result in results.items() if name in wanted]


def _worked(result: ResultJson) -> Json:
    limits = [[limit["when"], limit["bad"]] for limit in result["limits"]]
    return {"name": result["name"], "tree": result["tree"], "limits": limits, "hold": result["hold"]}


def _named(tree: Any) -> list[str]:
    """Return the names in a tree of text."""
    if isinstance(tree, list):
        return [name for node in tree for name in _named(node)]
    if not isinstance(tree, dict):
        return []
    return [tree["v"]] if isinstance(tree.get("v"), str) else _named(tree.get("c"))


def _plain(tree: Any) -> str:
    if isinstance(tree, list):
        return "".join(_plain(node) for node in tree)
    if isinstance(tree, dict):
        return "{" + tree["v"] + "}" if isinstance(tree.get("v"), str) else _plain(tree.get("c"))
    return tree if isinstance(tree, str) else ""
