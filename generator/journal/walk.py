"""Walk the steps in the order of work: what each must wait for, what is open at its place, which gates ask again.

The same table as site_overrides/phone/journal/walk.js.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import Any

from generator.canonical import by_name, in_order
from generator.journal.answers import said
from generator.journal.bolts import corrected, is_on
from generator.journal.entries import NO_SHEET, Entry, after
from generator.journal.figures import own_results
from generator.journal.opened.claims import Opened, whole_count
from generator.journal.opened.ledger import BackSaid, Lot, Lots
from generator.journal.opened.left import At, Older, covers, root_of
from generator.journal.ready import contradicted
from generator.journal.step import Judged, judge_step, once
from generator.journal.view import View, Why
from generator.sheet_types import GateJson, StepJson
from generator.table_names import StateName
from generator.tables import CLOSED, RULE_OF_SECTION

Placing = tuple[StateName, list[Why]]


@dataclass
class Walk:
    stage: int = 0
    hold: str | None = None  # the first hold that is not passed
    before: str | None = None  # the first step of an earlier stage that is not closed
    before_bound: str | None = None  # the same, only of stages whose order nobody may leave
    inside: str | None = None  # the first step of this stage that is not closed
    last: Entry | None = None  # the newest answer so far
    last_step: str = ""
    found: dict[str, set[str]] = field(default_factory=dict)  # step -> what it found
    stranded: set[str] = field(default_factory=set)  # items opened by steps that are no longer needed
    ledger: Lots = field(default_factory=Lots)
    departs: dict[str, set[str]] = field(default_factory=dict)  # step -> the rules that somebody departed from at it
    older: Older | None = None  # what older worksheets add; None: the job has had one only
    words: Mapping[str, BackSaid] = field(default_factory=dict)  # item -> how many are back, and the entry that says so
    back: dict[str, Entry] = field(default_factory=dict)  # item -> the entry that closed some of it here


def walk_step(view: View, walk: Walk, step: StepJson) -> None:
    assert view.sheet is not None
    _enter_stage(view, walk, step)
    bound = walk.before_bound or (walk.inside if view.sheet["stages"][step["stage"]]["order"] == "absolute" else None)
    departs = _departs(view, step, bound)
    walk.departs[step["path"]] = departs
    judged = judge_step(view, step, departs)
    needed = all(walk.found.get(ask["step"], set()) & set(ask["outcomes"]) for ask in step["when"])
    state, whys = _placed(view, walk, step, judged, needed, bool(bound) or "order" not in departs)
    view.steps[step["path"]] = {**judged.seen, "state": state, "why": whys}
    view.pulls[step["path"]] = judged.pulls()
    _leave_step(view, walk, step, judged, needed)
    walk_older(view, walk, step["path"])


def walk_older(view: View, walk: Walk, anchor: str) -> None:
    """Open and close what only older worksheets say was opened and closed after this step."""
    if walk.older is None:
        return
    for opened in walk.older.opened.get(anchor, ()):
        here = sum(lot.opened for lot in walk.ledger.of(opened.what) if lot.path == opened.path)
        if opened.count > here:
            walk.stranded.add(opened.what)
            _open_lot(walk, opened, opened.count - here, is_older=True)
    for closed in walk.older.closed.get(anchor, ()):
        walk.ledger.close_wherever(closed.what, closed.count, partial(covers, closed.at))


def _open_lot(walk: Walk, of: Opened, count: int, is_older: bool) -> None:
    _note_back(walk, of.what, walk.ledger.open_lot(of.what, count, of.path, is_older, of.answers, of))


def _note_back(walk: Walk, what: str, back: int) -> None:
    if back:
        walk.back[what] = walk.words[what][1]


def _enter_stage(view: View, walk: Walk, step: StepJson) -> None:
    assert view.sheet is not None
    if step["stage"] == walk.stage:
        return
    if view.sheet["stages"][walk.stage]["order"] == "absolute":
        walk.before_bound = walk.before_bound or walk.inside
    walk.before = walk.before or walk.inside
    walk.stage, walk.inside = step["stage"], None


def _departs(view: View, step: StepJson, bound: str | None) -> set[str]:
    """Return the rules that somebody departed from at this step: order, tool:<id>, part:<id>, value:<name>."""
    paths = view.paths(step["path"])
    entries = [entry for path in paths for entry in view.gathered.found("step", path)]
    left: set[str] = set()
    for part in dict.fromkeys(entry["part"] for entry in entries if entry["kind"] == "depart"):
        told = view.in_step(paths, f"depart:{part}")
        sound = [
            a.entry
            for a in told.answers
            if _may_depart(view, step, part, bound) and said(a.entry["value"].get("reason"))
        ]
        view.set_aside(answer.entry for answer in told.answers if answer.entry not in sound)
        view.departures.update(id(entry) for entry in sound)
        if sound and not told.disputed:
            left.add(part)
    return left


def _may_depart(view: View, step: StepJson, part: str, bound: str | None) -> bool:
    rule, _, name = part.partition(":")
    gate = step.get("gate")
    if gate and gate["ready"]:
        needs = by_name((view.sheet or NO_SHEET)["needs"])
        return any(of == rule and name in needs.get(section, {}) for section, of in RULE_OF_SECTION.items())
    if step["hold"] or gate:
        return False
    if rule == "value":
        return view.classes.get(name, "critical") != "critical"
    return (part == "order" and not bound) or rule in RULE_OF_SECTION.values()


def _placed(view: View, walk: Walk, step: StepJson, judged: Judged, needed: bool, binds: bool) -> Placing:
    """Return the state of a step at its place in the work, and the reasons."""
    blocks = _blocks(view, walk, step, binds)
    if judged.state is None and not needed:
        stranded = any(closed["what"] in walk.stranded for closed in step["closes"])
        return ("open", [{"code": "not-needed"}]) if judged.marks or stranded else ("hidden", [])
    if judged.state is None:
        lacking: list[Why] = [{"code": "value", "name": name} for name in judged.unmet]
        return "blocked" if blocks else "open", [
            *blocks,
            *lacking,
            *judged.barred,
            *_held(view, step, judged),
            *_doubts(judged),
        ]
    gate = step.get("gate")
    if judged.state == "done" and gate:
        denied = contradicted(view, walk.departs[step["path"]]) if gate["ready"] else []
        late = _answered_after(walk, judged) or _back_after(view, walk, step, gate, judged)
        again = [*denied, *_unclosed_before(walk), *_open_before(view, walk, gate, judged), *late]
        return ("recheck", again) if again else ("done", [])
    if judged.state == "waiting":
        return judged.state, [*_held(view, step, judged), *_doubts(judged)]
    if judged.state in CLOSED:
        return judged.state, []
    return judged.state, [*judged.whys, *blocks, *_held(view, step, judged), *_doubts(judged)]


def _doubts(judged: Judged) -> list[Why]:
    """Return figures that are not good. A good answer must say why it is good despite them."""
    return [{"code": "doubt", "name": name} for name in judged.doubted]


def _held(view: View, step: StepJson, judged: Judged) -> list[Why]:
    """Return the results that hold a step. One that depends on the step's own answer counts once that is given."""
    given = any(mark.part == judged.seen["of"][-1] for mark in judged.marks)
    own = set() if given or not judged.held else own_results(view.sheet or NO_SHEET, step)
    return [{"code": "result", "name": name} for name in judged.held if name not in own]


def _blocks(view: View, walk: Walk, step: StepJson, binds: bool) -> list[Why]:
    assert view.sheet is not None
    whys: list[Why] = [{"code": "hold", "step": walk.hold}] if walk.hold else []
    everything = step["hold"] or step.get("gate") or view.sheet["stages"][step["stage"]]["order"] != "any"
    first = walk.before or (walk.inside if everything else None)
    if first and first != walk.hold and binds:
        whys.append({"code": "order", "step": first})
    waits_for = [*step["after"], *step["check"].get("of", [])]
    whys += [{"code": "after", "step": path} for path in waits_for if not_closed(view, path)]
    return once(whys)


def not_closed(view: View, path: str) -> bool:
    return path in view.steps and view.steps[path]["state"] not in CLOSED


def _unclosed_before(walk: Walk) -> list[Why]:
    first = walk.before or walk.inside
    return [{"code": "order", "step": first}] if first else []


def _answered_after(walk: Walk, judged: Judged) -> list[Why]:
    """Return a reason if any part of a gate was answered before the last answer ahead of it."""
    last = walk.last
    late = last and any(
        not any(after(mark.answer.entry, last) for mark in judged.marks if mark.part == part)
        for part in judged.seen["of"]
    )
    return [{"code": "again", "step": walk.last_step}] if late else []


def _back_after(view: View, walk: Walk, step: StepJson, gate: GateJson, judged: Judged) -> list[Why]:
    """Return a reason if a gate was answered before somebody said that a thing it asks about is back."""
    asked = [entry for name, entry in walk.back.items() if open_whys(view, gate, [name])]
    late = any(after(entry, mark.answer.entry) for entry in asked for mark in judged.marks)
    return [{"code": "again", "step": step["path"]}] if late else []


def _open_before(view: View, walk: Walk, gate: GateJson, judged: Judged) -> list[Why]:
    passed = {mark.answer.entry["id"] for mark in judged.marks}
    unseen = [path for path, entry in view.took_off.items() if not passed & set(entry["seen"])]
    names = [name for name, count in walk.ledger.open_of().items() if count > 0]
    return open_whys(view, gate, [*names, *(p for p in unseen if view.items[p]["open"])])


def _as_known(view: View, name: str) -> list[dict[str, Any]]:
    """Return a thing as the worksheet in use has it, and as those had it that opened it."""
    return [view.items[name], *view.was_kinds.get(name, ())]


def open_whys(view: View, gate: GateJson, names: list[str]) -> list[Why]:
    """Return what of these keeps a gate shut. A thing also is of the kind and on the list as it was opened."""
    of_kind = in_order(name for name in names if any(one["kind"] in gate["kinds"] for one in _as_known(view, name)))
    whys: list[Why] = [{"code": "open", "items": of_kind}] if of_kind else []
    for list_ in gate["lists"]:
        on = in_order(
            name
            for name in names
            if is_on(view, name, list_) or any(one["list"] == list_ for one in _as_known(view, name))
        )
        whys += [{"code": "list", "list": list_, "items": on}] if on else []
    return whys


def _leave_step(view: View, walk: Walk, step: StepJson, judged: Judged, needed: bool) -> None:
    path, state = step["path"], view.steps[step["path"]]["state"]
    outcomes = {mark.answer.entry["value"].get("outcome") for mark in judged.marks if mark.answer.kind == "check"}
    walk.found[path] = {outcome for outcome in outcomes if isinstance(outcome, str)}
    if state not in CLOSED and state != "waiting":
        walk.inside = walk.inside or path
    if (step["hold"] or step.get("gate")) and state not in CLOSED:
        walk.hold = walk.hold or path
    last = judged.answered_last()
    if last and (walk.last is None or after(last, walk.last)):
        walk.last, walk.last_step = last, path
    if judged.touched():
        for opened in step["opens"]:
            _open(view, walk, step, opened["what"], corrected(view, opened["what"], opened["count"]))
            if not needed:
                walk.stranded.add(opened["what"])
    for closed in step["closes"]:
        name = closed["what"]
        count = None if closed["count"] is None else corrected(view, name, closed["count"])
        if state == "done":
            _close(view, walk, step, judged, name, count)
        elif state != "hidden":
            walk.ledger.could_close(name, count)


def _open(view: View, walk: Walk, step: StepJson, what: str, count: int) -> None:
    """Open so many of a thing: lot by lot, as its paths opened them, and what none of them has at the step itself."""
    lots = [of for of in walk.older.opened.get(step["path"], ()) if of.what == what] if walk.older else []
    own = [of for of in lots if of.path in view.paths(step["path"])]
    left = count
    shares: list[int] = []
    for of in own:
        shares.append(min(of.count, left))
        left -= shares[-1]
    if not own:
        paths = view.paths(step["path"])
        answers = [entry for path in paths for entry in walk.older.checks.get(path, ())] if walk.older else []
        _note_back(walk, what, walk.ledger.open_lot(what, left, step["path"], False, answers))
    else:
        shares[0] += left  # of an answer that stands at a stop though it was taken back
    for of, share in zip(own, shares, strict=True):
        if share:
            _open_lot(walk, of, share, is_older=False)


def _close(view: View, walk: Walk, step: StepJson, judged: Judged, what: str, count: int | None) -> None:
    """Close so many of a thing. What was answered on older worksheets only closes what it could mean there."""
    if walk.older is None:
        walk.ledger.close(what, count, _any_lot)
        return
    here = _answered_at(walk.older, judged)
    if count is not None and all(one.used.digest != view.digest for one in here):
        counts = [whole_count(view, one.used, what, n) for one in here for n in _closes(one, what) if n is not None]
        count = min([count, *counts])
    roots = dict.fromkeys(root_of(walk.older.roots, path) for path in view.paths(step["path"]))
    elsewhere = [one for root in roots for one in walk.older.answered.get(root, ())]
    at = [one for one in [*here, *elsewhere] if _closes(one, what)]
    walk.ledger.close_wherever(what, count, partial(covers, at))


def _any_lot(lot: Lot) -> bool:
    return True


def _answered_at(older: Older, judged: Judged) -> list[At]:
    """Return where a step was answered that is done by the worksheet in use."""
    entries = [mark.answer.entry for mark in judged.marks]
    return [
        At(used, used.place[entry["step"]], entry, lambda: True)
        for entry in entries
        if (used := older.used.get(entry["sheet"])) and entry["step"] in used.place
    ]


def _closes(at: At, what: str) -> list[int | None]:
    return [closed["count"] for closed in at.used.sheet["steps"][at.place]["closes"] if closed["what"] == what]
