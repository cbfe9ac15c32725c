"""Who can give a permit: a signature that stands before the work and allows it to begin.

Whoever has the job cannot give it to himself, and whoever gave it does none of the work it allows: an answer to a later
step takes it back. The same table as site_overrides/phone/journal/permit.js.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from generator.journal.answers import parts_of
from generator.journal.entries import Entry, answered_in
from generator.journal.view import View
from generator.quantities.dates import phone_ms
from generator.quantities.people import person
from generator.sheet_types import CheckJson, StepJson


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
