"""Which bad figures an answer must not pass over: those its step shows, and those that no later step looks at."""

from __future__ import annotations

from typing import assert_never

from generator.sheet_types import ResultJson, StepJson
from generator.worksheet import CheckKind


def _is_just_a_figure(kind: CheckKind) -> bool:
    """True for a check-off that only takes a figure. All others say that something is all right."""
    match kind:
        case "measure" | "wait":
            return True
        case "tick" | "tighten" | "inspect" | "turn" | "photo" | "sign":
            return False
        case _ as never:
            assert_never(never)


def with_doubts(steps: list[StepJson], results: list[ResultJson]) -> list[StepJson]:
    """Return the steps, each with `doubts`: results that, while bad, let a good answer count only with a reason.

    A result that holds its step is not a doubt there, because it holds whatever is answered. A second look has the
    doubts of the steps it looks at. If only a reading's own step shows a result, the doubt goes to the next step that
    is done whenever the reading is taken.
    """
    can_be_bad = {result["name"] for result in results if any(limit["bad"] for limit in result["limits"])}
    doubts: dict[str, list[str]] = {step["path"]: [] for step in steps}
    for at, step in enumerate(steps):
        shown = [name for name in step["shows"] if name in can_be_bad and name not in step["holds"]]
        if not _is_just_a_figure(step["check"]["kind"]):
            of = [name for path in step["check"].get("of", ()) for name in doubts.get(path, ())]
            doubts[step["path"]] += [*shown, *of]
            continue
        unlooked = [name for name in shown if not any(_looks_at(later, name) for later in steps[at + 1 :])]
        after = next((later for later in steps[at + 1 :] if _is_done_with(later, step)), None)
        if after and unlooked:
            doubts[after["path"]] += unlooked
    return [{**step, "doubts": list(dict.fromkeys(doubts[step["path"]]))} for step in steps]


def _looks_at(step: StepJson, name: str) -> bool:
    return not _is_just_a_figure(step["check"]["kind"]) and (name in step["shows"] or name in step["holds"])


def _is_done_with(step: StepJson, reading: StepJson) -> bool:
    """True if this answer is given in every job in which the reading is taken."""
    return not _is_just_a_figure(step["check"]["kind"]) and all(ask in reading["when"] for ask in step["when"])
