"""What a new entry writes in `seen`: the ids it answers. It replaces what was in view and nothing else.

The same as site_overrides/phone/journal/seen.js.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from generator.journal.entries import Gathered, homes_of, is_return, members, of_job, of_step
from generator.sheet_types import WorksheetJson


def _paths_of(sheet: WorksheetJson | None, step: str) -> list[str]:
    return homes_of(sheet).get(step, [step])


def slot_ids(gathered: Gathered, step: str, part: str, sheet: WorksheetJson | None = None) -> list[str]:
    """Return the ids that a new answer writes in `seen`: its whole slot in view, and the go-backs that ask about its
    step.

    `part` is a part of the check-off, `depart:<part>`, `elapsed` or `wording`; with step "" it is `job`, `sheet`,
    `confirm:<part>`, `value:<name>`, `count:<item>`, `decline` or `pass`. `sheet` tells which steps have moved.
    """
    if not step:
        return [entry["id"] for entry in of_job(gathered, part)]
    name = part if re.fullmatch(r"depart:.*|elapsed|wording", part, re.DOTALL) else f"part:{part}"
    paths = _paths_of(sheet, step)
    asked = [entry for path in paths for entry in gathered.found("rest", path)]
    return list(dict.fromkeys(entry["id"] for entry in [*of_step(gathered, paths, name), *asked]))


def step_ids(gathered: Gathered, steps: Iterable[str], sheet: WorksheetJson | None = None) -> list[str]:
    """Return the ids that a go-back writes in `seen`: everything in view in every slot of these steps."""
    paths = [path for step in steps for path in _paths_of(sheet, step)]
    own = [entry for path in paths for key in ("step", "back") for entry in gathered.found(key, path)]
    return [entry["id"] for entry in members(gathered, own)]


def answer_ids(gathered: Gathered, step: str, part: str, sheet: WorksheetJson | None = None) -> list[str]:
    """Return the ids that a take-back of a step's answers writes in `seen`. Only answers, so no go-back is undone."""
    in_view = set(slot_ids(gathered, step, part, sheet))
    return [entry["id"] for entry in gathered.entries if entry["id"] in in_view and not is_return(entry)]


def next_lamport(gathered: Gathered) -> int:
    """Return 1 + the greatest lamport in view."""
    return int(gathered.entries[-1]["lamport"]) + 1 if gathered.entries else 1
