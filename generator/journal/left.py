"""What older steps opened and the worksheet in use no longer has. It stays open until a step closes it, or a person
says what became of it.

The same table as site_overrides/phone/journal/left.js. A job that never changed its worksheet has nothing of this.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from generator.journal.answers import is_failure, is_whole, parts_of, said
from generator.journal.entries import NO_SHEET, Entry, after, answered_in
from generator.journal.view import View, read_count
from generator.sheet_types import ClosedJson, OpenedJson, StepJson, WorksheetJson


@dataclass(frozen=True)
class Moved:
    """One thing that a step of an older worksheet opened or closed, and that its present step does not."""

    what: str
    opens: bool
    count: int | None  # None: all that is still open
    answers: list[Entry]  # the answers that opened or closed it


def left_behind(view: View) -> dict[str, list[Moved]]:
    """Return {the last earlier step that is still there, or "": [Moved]}. Adds the items of these to those in view."""
    found: dict[tuple[str, str, bool], tuple[str, Moved]] = {}
    for digest, paths in _answered_elsewhere(view).items():
        for anchor, step, opens, closes in _lost(view, view.sheets[digest], paths):
            for opened in opens:
                answers = _answers(view, step, lambda then, what=opened["what"]: _names(then["opens"], what))
                if answers:
                    _declare(view, view.sheets[digest], opened["what"])
                    key = (step["path"], opened["what"], True)
                    found[key] = anchor, Moved(opened["what"], True, opened["count"], answers)
            for closed in closes:
                answers = _answers(view, step, lambda then, what=closed["what"]: _names(then["closes"], what))
                if _is_whole_step(step, answers):
                    key = (step["path"], closed["what"], False)
                    found[key] = anchor, Moved(closed["what"], False, closed["count"], answers)
    by_anchor: dict[str, list[Moved]] = {}
    for anchor, moved in found.values():
        by_anchor.setdefault(anchor, []).append(moved)
    return by_anchor


def _answered_elsewhere(view: View) -> dict[str, set[str]]:
    """Return {digest of another worksheet at hand: the steps that were answered on it}."""
    paths: dict[str, set[str]] = {}
    for entry in view.gathered.entries:
        if entry["kind"] == "check" and entry["sheet"] != view.digest and entry["sheet"] in view.sheets:
            paths.setdefault(entry["sheet"], set()).add(entry["step"])
    return paths if view.sheet else {}


def _lost(view: View, sheet: WorksheetJson, paths: set[str]) -> list[tuple[str, StepJson, list[Any], list[Any]]]:
    """Return the answered steps of an older worksheet that opened or closed what their present steps do not."""
    now = {path: step for step in (view.sheet or NO_SHEET)["steps"] for path in view.homes[step["path"]]}
    lost, anchor = [], ""
    for step in sheet["steps"]:
        present = now.get(step["path"])
        anchor = present["path"] if present else anchor
        if step["path"] in paths:
            opens = [one for one in step["opens"] if not (present and _names(present["opens"], one["what"]))]
            closes = [one for one in step["closes"] if not (present and _names(present["closes"], one["what"]))]
            if opens or closes:
                lost.append((anchor, step, opens, closes))
    return lost


def _names(moved: Sequence[OpenedJson | ClosedJson], what: str) -> bool:
    return any(one["what"] == what for one in moved)


def _answers(view: View, step: StepJson, did: Any) -> list[Entry]:
    """Return the answers of a step that stand or were corrected, given on a worksheet where `did` is true of it."""
    home = next((now for now, paths in view.homes.items() if step["path"] in paths), step["path"])
    parts = dict.fromkeys([*parts_of(step["check"], {}), ""])
    entries = [e for part in parts for e in answered_in(view.gathered, view.undone, view.paths(home), part)]
    return [e for e in entries if e["kind"] == "check" and (then := view.step_as_answered(e)) is not None and did(then)]


def _is_whole_step(step: StepJson, answers: list[Entry]) -> bool:
    """True if every part was answered, and no last answer is a failure."""
    last: dict[str, Entry] = {}
    for entry in answers:
        if entry["part"] not in last or after(entry, last[entry["part"]]):
            last[entry["part"]] = entry
    failed = any(is_failure(step["check"], entry["value"]) for entry in last.values())
    return not failed and all(part in last for part in parts_of(step["check"], {}))


def _declare(view: View, sheet: WorksheetJson, what: str) -> None:
    if what not in view.items:
        view.items[what] = {**sheet["items"][what], "open": 0}
        read_count(view, what)


def put_back(view: View, what: str) -> tuple[int, Entry] | None:
    """Return how many of a thing are back (of two answers the smaller), and the last entry that says so."""
    heads = [answer.entry for answer in view.in_job(f"put-back:{what}").answers]
    sound = [e for e in heads if is_whole(e["value"].get("count"), 1) and said(e["value"].get("reason"))]
    view.set_aside(entry for entry in heads if entry not in sound)
    if not sound:
        return None
    return min(int(entry["value"]["count"]) for entry in sound), sound[-1]
