"""What the phone gives the fold while something is not saved: a stop waits for its answer, nothing else does."""

from __future__ import annotations

from typing import Any

from tests.support.node import Phone
from tests.support.sample_sheet import sample_sheet

FOLD = """async ([sheet, made, unkept, saved]) => {
  const { gather } = await import('/phone/journal/journal.js');
  const { judgeKept } = await import('/phone/job/unkept.js');
  const all = gather(made);
  const found = judgeKept({ all, sheets: { s: sheet }, unkept: new Set(unkept), saved: new Set(saved) });
  return [found.state.steps['battery-off'].state, found.withheld.map(({ id }) => id), found.gathered === all];
}"""


def stopping() -> dict[str, Any]:
    """Return the sample with two steps, the second a stop, and the completion."""
    sheet = sample_sheet()
    sheet["steps"] = [step for step in sheet["steps"] if step["path"] in {"windows", "battery-off", "done"}]
    here = {step["path"] for step in sheet["steps"]}
    for one in sheet["steps"]:
        one["after"] = [path for path in one["after"] if path in here]
        one["if_failed"] = None
        one["hold"] = one["hold"] or one["path"] == "battery-off"
    return sheet


def entry(number: int, kind: str, seen: tuple[int, ...] = (), **more: Any) -> dict[str, Any]:
    """Return the entry with this number. `seen` are numbers too."""
    plain = {"job": "j", "device": "d", "writer": "w", "prev": "", "at": "2026-10-02T08:00:00.000Z", "who": "KS"}
    about = {"sheet": "s", "step": "battery-off", "part": "", "kind": kind, "value": {}, **more}
    seen_ids = [f"{one:024x}" for one in seen]
    return {"v": 1, "id": f"{number:024x}", "lamport": number, **plain, **about, "seen": seen_ids}


def fold(phone: Phone, made: list[dict[str, Any]], unkept_: list[int], saved: tuple[int, ...] = ()) -> tuple[Any, ...]:
    given = [stopping(), made, [f"{one:024x}" for one in unkept_], [f"{one:024x}" for one in saved]]
    state, withheld, is_all = phone.evaluate(FOLD, given)
    return state, [int(one, 16) for one in withheld], is_all


def test_a_fold_with_nothing_to_wait_for_is_given_the_journal_itself(phone: Phone) -> None:
    start = entry(1, "start", step="", value={"number": "J", "procedure": "p"})
    windows = entry(2, "check", step="windows")
    ticked = entry(3, "check")
    assert fold(phone, [start, windows, ticked], []) == ("done", [], True)
    assert fold(phone, [start, windows, ticked], [2]) == ("done", [], True), "a step before the stop counts"
    assert fold(phone, [start, windows, ticked], [2, 3]) == ("open", [3], False)
    assert fold(phone, [start, windows, ticked], [2, 3], saved=(2, 3)) == ("done", [], True)


def test_what_gives_a_stop_its_answer_back_waits_too_and_what_opens_it_does_not(phone: Phone) -> None:
    start = entry(1, "start", step="", value={"number": "J", "procedure": "p"})
    windows, ticked = entry(2, "check", step="windows"), entry(3, "check")
    gone = entry(4, "take-back", (3,), value={"reason": ""})
    restored = entry(5, "take-back", (4,), step="", value={"reason": ""})
    assert fold(phone, [start, windows, ticked, gone], [4]) == ("open", [], True)
    assert fold(phone, [start, windows, ticked, gone, restored], [5]) == ("open", [5], False)
    assert fold(phone, [start, windows, ticked, gone, restored], []) == ("done", [], True)
