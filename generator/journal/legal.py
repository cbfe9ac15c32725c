"""What may be done at a step now. The fold counts entries by the same rules.

The same table as site_overrides/phone/journal/legal.js.
"""

from __future__ import annotations

from typing import Any

from generator.journal.answers import asks_qualified, rules_of
from generator.journal.entries import extra_step
from generator.journal.figures import own_results
from generator.sheet_types import StepJson, WorksheetJson
from generator.tables import BLOCKING, CLOSED


def legal(state: dict[str, Any], sheet: WorksheetJson, path: str) -> dict[str, Any]:
    """For each kind of entry, tell whether it may be written at this step now.

    `check` with the `parts` that wait for it, `correct` (parts whose answer may be given again), `skip`: own, lead or
    False; `read`: the values that are missing; `take-back`, `settle`, `back`, `finish`, `not-fitted`, `refuse`,
    `depart` (from the order), `elapsed`, `confirm` (the new wording), `not-disturbed`. `take-back` is "lead" where a
    failed answer stops the job: it can only be taken back as a mistake, with a reason and a lead.
    """
    step, seen = _step(state, sheet, path), state["steps"][path]
    codes = {why["code"] for why in seen["why"]}
    blocked, now = bool(codes & BLOCKING), seen["state"]
    ready = now in ("open", "recheck", "failed", "waiting") and not blocked
    stopped = now == "failed" and step.get("stop") is True
    goes_back = now == "failed" and bool((step.get("if_failed") or {}).get("back_to"))
    leave = step["leave"] if ready and now != "failed" and not step["completion"] else "never"
    by_qualified = asks_qualified(step["check"])
    held = _is_held(sheet, step, seen)
    parts = _parts(step, seen, held)
    check = ready and not goes_back and not stopped and not _missing(seen) and bool(parts) and not step["completion"]
    return {
        "check": check,
        "parts": parts if check else [],
        "correct": [part for part in seen["of"] if any(a["part"] == part for a in seen["answers"])],
        "read": _missing(seen),
        "skip": False if leave == "never" else leave,
        "not-fitted": leave != "never" and not by_qualified,
        "refuse": step["may_refuse"] and not by_qualified and now in ("open", "recheck", "waiting", "blocked"),
        "finish": step["completion"] and ready and not held,
        "settle": now == "disputed",
        "back": goes_back,
        "depart": "order" in codes and not (step["hold"] or step.get("gate")) and not _is_bound(state, sheet, step),
        "elapsed": now == "waiting",
        "take-back": "lead" if stopped else bool(seen["answers"]),
        "confirm": seen["reworded"],
        "not-disturbed": "disturbed" in codes,
    }


def _step(state: dict[str, Any], sheet: WorksheetJson, path: str) -> StepJson:
    if path in state["extras"]:
        return extra_step(path, state["extras"][path]["kind"] == "took-off")
    found: StepJson = next(step for step in sheet["steps"] if step["path"] == path)
    return found


def _missing(seen: dict[str, Any]) -> list[str]:
    return [why["name"] for why in seen["why"] if why["code"] == "value"]


def _is_held(sheet: WorksheetJson, step: StepJson, seen: dict[str, Any]) -> bool:
    """True if the step is held by a result that does not depend on what the step itself takes or finds."""
    held = {why["name"] for why in seen["why"] if why["code"] == "result"}
    return bool(held) and not held <= own_results(sheet, step)


def _parts(step: StepJson, seen: dict[str, Any], held: bool) -> list[str]:
    """Return the parts that may be answered now: one at a time for a wait or turns, in any order otherwise."""
    left = [part for part in seen["of"] if part not in seen["done"]] or seen["of"]
    left = [part for part in left if not held or part != seen["of"][-1]]
    return left[:1] if rules_of(step["check"]["kind"]).in_turn else left


def _is_bound(state: dict[str, Any], sheet: WorksheetJson, step: StepJson) -> bool:
    """True if an earlier step is not done, in a stage whose order nobody may leave."""
    for before in sheet["steps"]:
        if before["path"] == step["path"]:
            return False
        now = state["steps"][before["path"]]["state"]
        if now not in CLOSED and now != "waiting" and sheet["stages"][before["stage"]]["order"] == "absolute":
            return True
    return False
