"""One step by itself: what its answers make of it, wherever it stands in the work.

The same table as site_overrides/phone/journal/step.js.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from generator.canonical import canonical
from generator.journal.answers import (
    Ask,
    Verdict,
    is_elapsed,
    is_failure,
    parts_of,
    said,
    unmet_values,
    verdict,
    wait_seconds,
)
from generator.journal.bolts import asking_new, is_new
from generator.journal.entries import NO_SHEET, Answer, Entry, Standing, after, answered_in
from generator.journal.figures import counts, held_by
from generator.journal.limits import is_pull
from generator.journal.stops import (
    Barred,
    barred,
    doubted,
    is_despite,
    is_permit,
    may_sign,
    not_by,
    permits,
    stopped_by,
)
from generator.journal.view import View, Why
from generator.sheet_types import StepJson
from generator.table_names import StateName
from generator.tables import CLOSED


@dataclass
class Mark:
    part: str
    answer: Answer
    verdict: Verdict
    stale: list[Why]


def _best(marks: list[Mark]) -> Mark | None:
    closing = [mark for mark in marks if mark.verdict in CLOSED]
    return next((mark for mark in closing if not mark.stale), closing[0] if closing else None)


@dataclass
class Judged:
    state: StateName | None  # None if it counts as unanswered
    whys: list[Why]
    marks: list[Mark]
    unmet: list[str]
    held: list[str]  # results that stop it from being closed
    doubted: list[str]  # results that are not good: a good answer must say why
    barred: list[Why]  # who signed and cannot sign this
    seen: dict[str, Any]  # goes into the state of the step unchanged

    def touched(self) -> bool:
        return any(mark.answer.kind == "check" for mark in self.marks)

    def pulls(self) -> list[tuple[str, Entry]]:
        """Return the answers that closed their part, with the part."""
        done = [mark for mark in self.marks if mark.verdict == "done" and mark.answer.kind == "check"]
        return [(mark.part, mark.answer.entry) for mark in done]

    def answered_last(self) -> Entry | None:
        """Return the part that was answered last, where each part counts by the first who answered it."""
        first: dict[str, Entry] = {}
        for mark in self.marks:
            first.setdefault(mark.part, mark.answer.entry)
        last: Entry | None = None
        for entry in first.values():
            last = entry if last is None or after(entry, last) else last
        return last


def judge_step(view: View, step: StepJson, departs: set[str]) -> Judged:
    paths, check = view.paths(step["path"]), step["check"]
    of = parts_of(check, view.values)
    slots = {part: view.in_step(paths, f"part:{part}") for part in dict.fromkeys([*of, ""])}
    doubts = doubted(view, step)
    looked_at = _looked_at(view, check.get("of", []))
    bars = barred(view, step, looked_at) if is_permit(check) else None
    ask = _ask(view, step, departs, slots, of, doubts, looked_at, bars)
    marks = [_mark(view, ask, part, answer) for part, slot in slots.items() for answer in slot.answers]
    if doubts:
        view.departures.update(id(mark.answer.entry) for mark in marks if mark.verdict == "done" and _last(of, mark))
    stopping = stopped_by(view, step)
    marks += [_stop_mark(entry) for entry in stopping if all(mark.answer.entry is not entry for mark in marks)]
    by_part = {part: [mark for mark in marks if mark.part == part] for part in slots}
    best = {part: _best(of_part) for part, of_part in by_part.items()}
    disputed = not stopping and any(slot.disputed for slot in slots.values())
    state, whys = _state_of_marks(step, of, marks, best, disputed)
    done = [part for part in of if (mark := best[part]) and mark.verdict == "done" and not mark.stale and not stopping]
    seen = {
        "answers": [_shown(mark) for mark in marks],
        "done": done,
        "of": of,
        "elapsed": _said_elapsed(ask),
        "failures": len(_failures(view, step, paths)),
        "reworded": _reworded(view, step, paths, marks),
        "was": any(mark.answer.entry["step"] != step["path"] for mark in marks),
        "extra": step["path"].startswith("extra/"),
        **asking_new(view, step, slots, of),
        **({"not_by": not_by(bars)} if bars else {}),
    }
    return Judged(state, whys, marks, ask.unmet, ask.held, doubts, _barred(ask, marks), seen)


def _barred(ask: Ask, marks: list[Mark]) -> list[Why]:
    """Return a reason for each signature that counts for nothing because of who gave it: somebody whom it does not ask
    for, or, of a permit, whoever has the job or works under it."""
    void = [mark.answer.entry for mark in marks if mark.answer.kind == "check" and mark.verdict is None]
    signer: list[Why] = [{"code": "signer", "name": entry["who"]} for entry in void if not ask.may_sign(entry)]
    permit: list[Why] = [{"code": "permit", "name": entry["who"]} for entry in void if ask.may_sign(entry)]
    return once([*signer, *(permit if is_permit(ask.step["check"]) else [])])


def _stop_mark(entry: Entry) -> Mark:
    return Mark(entry["part"], Answer(entry, "check"), "failed", [])


def _last(of: list[str], mark: Mark) -> bool:
    return mark.part == of[-1] and mark.answer.kind == "check"


def _ask(
    view: View,
    step: StepJson,
    departs: set[str],
    slots: dict[str, Standing],
    of: list[str],
    doubts: list[str],
    looked_at: list[Entry],
    bars: Barred | None,
) -> Ask:
    check = step["check"]
    words = view.in_step(view.paths(step["path"]), "elapsed")
    view.set_aside(answer.entry for answer in words.answers if not is_elapsed(answer.entry))
    return Ask(
        step=step,
        of=of,
        leads=view.leads,
        unmet=unmet_values(step, view.classes, view.values, departs),
        held=held_by(view.results, step),
        counts=lambda name, value: counts(view.sheet or NO_SHEET, name, value),
        is_pull=lambda value: is_pull(view.sheet or NO_SHEET, check, value),
        seconds=wait_seconds(check, view.values) if check["kind"] == "wait" else None,
        looked_at=looked_at,
        starts=[answer.entry for answer in slots["start"].answers] if "start" in slots else [],
        elapsed=[] if words.disputed else [answer.entry for answer in words.answers],
        later=after,
        despite=lambda entry: is_despite(view, doubts, entry),
        is_new=lambda part, entry: is_new(view, step, slots, part, entry),
        permits=lambda entry: bars is not None and permits(check, bars, entry),
        may_sign=lambda entry: may_sign(view, check, bars.has if bars else looked_at, entry),
    )


def _looked_at(view: View, of: list[str]) -> list[Entry]:
    steps = {step["path"]: step for step in view.sheet["steps"]} if view.sheet and of else {}
    return [
        entry
        for path in of
        if path in steps
        for part in parts_of(steps[path]["check"], view.values)
        for entry in answered_in(view.gathered, view.undone, view.paths(path), part)
    ]


def _mark(view: View, ask: Ask, part: str, answer: Answer) -> Mark:
    given = verdict(ask, answer, part)
    if answer.kind == "check" and part not in ask.of and given != "failed":
        given = None
    if given is None:
        view.set_aside([answer.entry])
    return Mark(part, answer, given, _stale(view, ask, answer.entry))


def _stale(view: View, ask: Ask, entry: Entry) -> list[Why]:
    """Return why an answer that stands must be given again."""
    step, whys = ask.step, list[Why]()
    if not step["path"].startswith("extra/") and view.asked_otherwise(entry, step)[0]:
        whys.append({"code": "duty"})
    whys += [_disturbed(view, back) for back in view.backs_on(view.paths(step["path"]), entry)]
    read = [name for name in step["values"] if name in view.read_by and after(view.read_by[name], entry)]
    whys += [{"code": "again", "name": name} for name in read]
    whys += [{"code": "again", "step": home(view, seen["step"])} for seen in ask.looked_at if after(seen, entry)]
    return once(whys)


def _disturbed(view: View, back: Entry) -> Why:
    return {"code": "disturbed", "step": home(view, back["step"])}


def home(view: View, path: str) -> str:
    return next((now for now, paths in view.homes.items() if path in paths), path)


def once(whys: list[Why]) -> list[Why]:
    return list({canonical(why): why for why in whys}.values())


def _state_of_marks(
    step: StepJson, of: list[str], marks: list[Mark], best: dict[str, Mark | None], disputed: bool
) -> tuple[StateName | None, list[Why]]:
    left = best[""] if best[""] and best[""].answer.kind != "check" else None
    own = [mark for part in of if (mark := best[part])] if not left or of != [""] else []
    whole = not left or of != [""]
    complete = whole and len(own) == len(of) and all(mark.verdict == "done" for mark in own)
    whys = once([why for mark in ([left] if left else own) for why in mark.stale])
    failed = any(mark.verdict == "failed" for mark in marks)
    if disputed or (left and complete and not (failed and step.get("stop") is True)):
        return "disputed", []
    if failed:
        return "failed", whys
    if whys:
        return "recheck", whys
    if left:
        return left.verdict, []
    if complete:
        return "done", []
    return ("waiting" if step["check"]["kind"] == "wait" and best["start"] else None), []


def _said_elapsed(ask: Ask) -> float | None:
    """Return the longest time that somebody said has passed since the wait was started."""
    words = [word for word in ask.elapsed if is_elapsed(word) and any(after(word, start) for start in ask.starts)]
    return max((word["value"]["seconds"] for word in words), default=None)


def _shown(mark: Mark) -> dict[str, Any]:
    entry = mark.answer.entry
    picked = {key: entry[key] for key in ("id", "value", "who", "at", "device")}
    return {**picked, "part": mark.part, "kind": mark.answer.kind}


def _failures(view: View, step: StepJson, paths: list[str]) -> list[Entry]:
    entries = [entry for path in paths for entry in view.gathered.found("step", path)]
    checks = [entry for entry in entries if entry["kind"] == "check" and view.alive(entry)]
    return [entry for entry in checks if is_failure(step["check"], entry["value"])]


def _reworded(view: View, step: StepJson, paths: list[str], marks: list[Mark]) -> bool:
    if not step["wording"]:
        return False
    told = view.in_step(paths, "wording")
    view.set_aside(answer.entry for answer in told.answers if not said(answer.entry["value"].get("same")))
    same = not told.disputed and any(a.entry["value"].get("same") == step["wording"] for a in told.answers)
    return not same and any(view.asked_otherwise(mark.answer.entry, step)[1] for mark in marks)
