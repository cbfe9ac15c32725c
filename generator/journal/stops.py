"""Answers that nobody can easily pass: a failed one at a stop, a good one despite a figure that is not good, a permit,
a second look by somebody qualified.

Whoever has the job cannot give a permit to himself, and whoever gave it does none of the work it allows: an answer to a
later step takes it back. The same table as site_overrides/phone/journal/stops.js. All depend on fields of a step that
older worksheets do not have, so old records read as before.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from generator.journal.answers import asks_qualified, is_failure, parts_of, said
from generator.journal.entries import NO_SHEET, Entry, after, answered_in, texts_of
from generator.journal.figures import below
from generator.journal.view import View, qualified_of
from generator.quantities.dates import phone_ms
from generator.quantities.people import is_one_of, person
from generator.sheet_types import CheckJson, StepJson


def stopped_by(view: View, step: StepJson) -> list[Entry]:
    """Return the failed answers that stop this step. Each stands until a lead calls it a mistake, or the work goes back
    to where the step says. A later answer does not undo one, and neither does a take-back without reason and lead."""
    if step.get("stop") is not True:
        return []
    entries = [entry for path in view.paths(step["path"]) for entry in view.gathered.found("step", path)]
    return [entry for entry in entries if _stops(view, step, entry)]


def _stops(view: View, step: StepJson, entry: Entry) -> bool:
    then = view.step_as_answered(entry) if entry["kind"] == "check" else None
    if then is None or then.get("stop") is not True or not is_failure(step["check"], entry["value"]):
        return False
    takers = view.gathered.found("take-back", entry["id"])
    if any(view.alive(taker) and after(taker, entry) and _is_mistake(view, taker) for taker in takers):
        return False
    return not any(_goes_back(view, step, back, entry) for back in view.gathered.found("back", entry["step"]))


def _is_mistake(view: View, taker: Entry) -> bool:
    """True if the take-back has a reason and the initials of a lead; of anybody, in a shop that names no lead."""
    lead = taker["value"].get("with")
    is_agreed = is_one_of(view.leads, lead) if view.leads else person(lead) != ""
    return said(taker["value"].get("reason")) and is_agreed


def _goes_back(view: View, step: StepJson, back: Entry, entry: Entry) -> bool:
    rule = step.get("if_failed")
    back_to = rule.get("back_to") if isinstance(rule, dict) else None
    to, paths = back["value"].get("to"), view.paths(step["path"])
    meant = bool(back_to) and isinstance(to, str) and to not in paths and back["step"] in paths
    return meant and view.alive(back) and entry["id"] in back["seen"] and after(back, entry)


def doubted(view: View, step: StepJson) -> list[str]:
    """Return figures that are known and not good, among those the step shows or that no earlier step looked at."""
    worth = {name: view.results.get(name) for name in step.get("doubts") or ()}
    return [name for name, result in worth.items() if result and result["known"] and result["bad"]]


def is_despite(view: View, names: list[str], entry: Entry) -> bool:
    """True if an answer says why it is good despite these figures. It cannot speak of a figure that was read later."""
    if not names:
        return True
    told = entry["value"].get("despite")
    if not isinstance(told, dict) or not said(told.get("reason")):
        return False
    meant = texts_of(told.get("results"))
    return all(name in meant and not _is_newer(view, name, entry) for name in names)


def _is_newer(view: View, name: str, entry: Entry) -> bool:
    sheet = view.sheet or NO_SHEET
    result = next(result for result in sheet["results"] if result["name"] == name)
    known = {**view.read_by, **view.taken_by}
    return any(after(known[below_], entry) for below_ in below(sheet, result) if below_ in known)


# --- Permits: signatures that stand before the work and allow it to begin ---------------------------------------------


@dataclass(frozen=True)
class Barred:
    """The entries whose writers cannot give the permit. `has`: who has the job, or answered what the permit looks at.
    `did`: who did a part of the work that it allows."""

    has: list[Entry]
    did: list[Entry]


def is_permit(check: CheckJson) -> bool:
    return check["kind"] == "sign" and "permit" in check


def barred(view: View, step: StepJson, looked_at: list[Entry]) -> Barred:
    return Barred([*_holders(view), *looked_at], _workers(view, step["path"]))


def not_by(barred: Barred) -> list[dict[str, Any]]:
    """Return who cannot give it, each once by each of the two reasons."""
    found: dict[tuple[str, bool], dict[str, Any]] = {}
    for entries, work in ((barred.has, False), (barred.did, True)):
        for entry in entries:
            found[person(entry["who"]), work] = {"who": entry["who"], "at": entry["at"], "work": work}
    return list(found.values())


def permits(check: CheckJson, barred: Barred, entry: Entry) -> bool:
    """True if another person gives the permit, or the same one after the break where the procedure allows it."""
    me = person(entry["who"])
    if not me or not barred.has:
        return False
    if all(person(other["who"]) != me for other in [*barred.has, *barred.did]):
        return True
    given = phone_ms(entry["at"])
    if not check.get("alone") or not entry["value"]["self"] or given is None:
        return False
    times = [phone_ms(other["at"]) for other in barred.has]
    return all(at is not None and given - at >= check["self_check_after"] * 1000 for at in times)


def _holders(view: View) -> list[Entry]:
    """Return the entries by which somebody has the job: the last who passed it on or took it over, else the start."""
    passed = view.in_job("pass").answers
    if passed:
        return [passed[-1].entry]
    return [answer.entry for answer in view.in_job("job").answers]


def _workers(view: View, path: str) -> list[Entry]:
    steps = view.sheet["steps"] if view.sheet else []
    at = next((number for number, step in enumerate(steps) if step["path"] == path), len(steps))
    return [
        entry
        for step in steps[at + 1 :]
        if step["check"]["kind"] != "sign" and not step["completion"]
        for part in parts_of(step["check"], view.values)
        for entry in answered_in(view.gathered, view.undone, view.paths(step["path"]), part)
        if entry["kind"] == "check"
    ]


# --- Signatures that ask for somebody qualified -----------------------------------------------------------------------


def may_sign(view: View, check: CheckJson, did: list[Entry], entry: Entry) -> bool:
    """True if the signature asks for nobody special, or whoever signs is qualified. Who did the work (`did`) signs only
    where the worksheet in use lists nobody else who is qualified."""
    if not asks_qualified(check):
        return True
    if not _is_qualified(view, entry):
        return False
    doers = {person(one["who"]) for one in did}
    others = {person(who) for who in qualified_of(view.sheet or NO_SHEET)} - doers - {""}
    return person(entry["who"]) not in doers or not others


def _is_qualified(view: View, entry: Entry) -> bool:
    """True if the worksheet in use says so; of a person it does not list, the worksheet that the entry was made on."""
    sheet = view.sheet or NO_SHEET
    listed = is_one_of((one["initials"] for one in sheet["shop"]["people"]), entry["who"])
    return is_one_of(qualified_of(sheet if listed else view.sheets.get(entry["sheet"], sheet)), entry["who"])
