"""What steps of older worksheets opened and closed, and the worksheet in use no longer says. It stays open until a step
closes it, or a person says what became of it.

The same table as site_overrides/phone/journal/opened/left.js. A job that never changed its worksheet has nothing of
this.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from functools import partial

from generator.canonical import canonical, in_order
from generator.journal.answers import is_whole, said
from generator.journal.entries import Entry, Gathered, after, gather
from generator.journal.opened.claims import (
    LEFT_OUT,
    Opened,
    Used,
    anchor_before,
    checks_of,
    opened_of,
    takes_of,
    whole_count,
)
from generator.journal.opened.ledger import Lot
from generator.journal.step import home
from generator.journal.view import View

ANSWERS = (*LEFT_OUT, "check", "finish", "settle")


@dataclass(frozen=True)
class At:
    """Where a closing was answered: on which worksheet, at which place there, and the last answer."""

    used: Used
    place: int
    last: Entry
    is_done: Callable[[], bool]  # asked last: it takes a walk over that worksheet


@dataclass(frozen=True)
class Closed:
    """What a step of older worksheets closed, and its present step does not."""

    what: str
    count: int | None  # None: all that was open at its place
    at: list[At]


@dataclass
class Older:
    """What older worksheets add to the one in use."""

    used: Mapping[str, Used]
    checks: Mapping[str, list[Entry]]  # path -> its check-offs that nobody took back
    roots: Mapping[str, str] = field(default_factory=dict)
    opened: dict[str, list[Opened]] = field(
        default_factory=dict
    )  # by the step at or after which it is open, "": before all
    closed: dict[str, list[Closed]] = field(default_factory=dict)
    answered: dict[str, list[At]] = field(default_factory=dict)  # root -> where a closing was answered


def older_of(view: View, judged: Callable[[str], View]) -> Older | None:
    """Return what older worksheets add, None if the job has had one only. Adds their things to those in view.

    `judged`: the job judged by another of its worksheets, without what still others add.
    """
    takes = takes_of(view)
    if view.sheet is None or not set(takes.used) - {view.digest}:
        return None
    checks = checks_of(view, takes)
    older = Older(takes.used, checks, _roots(takes.used, checks))
    for opened in opened_of(view, takes, checks):
        now = home(view, opened.path)
        anchor = now if now in view.homes else home(view, anchor_before(opened.used, opened.path, _places(view)))
        older.opened.setdefault(anchor, []).append(opened)
    _find_closed(view, older, judged)
    return older


def _places(view: View) -> set[str]:
    return {path for paths in view.homes.values() for path in paths}


def _roots(used: Mapping[str, Used], checks: Mapping[str, list[Entry]]) -> dict[str, str]:
    """Return {path: the path under which the same step was answered as well}.

    A step that moved and was answered there too is one step.
    """
    path_of = {entry["id"]: path for path, entries in checks.items() for entry in entries}
    roots: dict[str, str] = {}
    for path in in_order(checks):
        last = checks[path][-1]
        for old in [path_of[id_] for entry in checks[path] for id_ in entry["seen"] if id_ in path_of]:
            if old == path or not after(last, checks[old][-1]):
                continue
            if old not in roots or after(last, checks[roots[old]][-1]):
                roots[old] = path
    for path in in_order(checks):
        sheets = [used[entry["sheet"]] for entry in checks[path] if entry["sheet"] in used]
        for old in [old for one in sheets for old in one.homes.get(path, ()) if old in checks]:
            if old not in roots and root_of(roots, path) != old:  # answered on two phones that did not see each other
                roots[old] = path
    return roots


def root_of(roots: Mapping[str, str], path: str) -> str:
    while path in roots:
        path = roots[path]
    return path


# --- what was closed --------------------------------------------------------------------------------------------------


def _find_closed(view: View, older: Older, judged: Callable[[str], View]) -> None:
    """Find what was closed on older worksheets. Each step counts once, as the worksheet has it on which it was answered
    last."""
    present: dict[str, set[str]] = {}  # root -> what its present steps close
    for step in view.sheet["steps"] if view.sheet else []:
        for path in view.homes[step["path"]]:
            present.setdefault(root_of(older.roots, path), set()).update(c["what"] for c in step["closes"])
    found: dict[tuple[str, str], tuple[str, Closed]] = {}
    for used in older.used.values():
        for place, step in enumerate(used.sheet["steps"]) if used.digest != view.digest else ():
            answers = [entry for entry in older.checks.get(step["path"], ()) if entry["sheet"] == used.digest]
            if not step["closes"] or not answers:
                continue
            root = root_of(older.roots, step["path"])
            here = At(used, place, answers[-1], partial(_was_done, judged, used.digest, step["path"]))
            older.answered.setdefault(root, []).append(here)
            for closed in step["closes"]:
                if closed["what"] in view.items and closed["what"] not in present.get(root, ()) and here.is_done():
                    count = (
                        None if closed["count"] is None else whole_count(view, used, closed["what"], closed["count"])
                    )
                    before = found.pop((root, closed["what"]), None)
                    at = [*(before[1].at if before else ()), here]
                    if before and not all(after(here.last, one.last) for one in before[1].at):
                        found[(root, closed["what"])] = before[0], Closed(closed["what"], before[1].count, at)
                        continue
                    anchor = home(view, anchor_before(used, step["path"], _places(view)))
                    found[(root, closed["what"])] = anchor, Closed(closed["what"], count, at)
    for anchor, found_there in found.values():
        older.closed.setdefault(anchor, []).append(found_there)


def without_others(view: View, digest: str) -> Gathered:
    """Return the entries without the answers to steps that closed other things on the worksheet they were made on."""
    sheet = view.sheets[digest]
    closes = {path: s["closes"] for s in sheet["steps"] for path in [s["path"], *s["was"]]}

    def is_other(entry: Entry) -> bool:
        if entry["sheet"] == digest or entry["kind"] not in ANSWERS or entry["step"] not in closes:
            return False
        then = view.step_as_answered(entry)
        return then is None or canonical(then["closes"]) != canonical(closes[entry["step"]])

    return gather(entry for entry in view.gathered.entries if not is_other(entry))


def _was_done(judged: Callable[[str], View], digest: str, path: str) -> bool:
    """True if a step was done by its own worksheet, whatever a later one asks in its place."""
    seen = judged(digest).steps[path]
    asks_only = seen["state"] == "recheck" and all(why["code"] == "duty" for why in seen["why"])
    return seen["state"] == "done" or asks_only


def covers(at: Iterable[At], lot: Lot) -> bool:
    """True if a closing could mean this lot, on one of the worksheets on which it was answered."""
    return lot.open > 0 and any(_covers(one, lot) and one.is_done() for one in at)


def _covers(at: At, lot: Lot) -> bool:
    """A step before it opened it there; or it had been open there before, from another worksheet."""
    paths = lot.of.joins if lot.of else {lot.path}
    there = [(at.used.place[path], step) for path in in_order(paths) if (step := at.used.step(path))]
    opened = [place for place, step in there if any(one["what"] == lot.what for one in step["opens"])]
    if opened:
        return min(opened) <= at.place
    if lot.of is None or not after(at.last, lot.of.last):
        return False
    if lot.path in at.used.place:
        return at.used.place[lot.path] < at.place
    anchor = anchor_before(lot.of.used, lot.path, at.used.place)
    return anchor == "" or at.used.place[anchor] < at.place


def put_back(view: View, what: str) -> tuple[int, Entry] | None:
    """Return how many of a thing are back (of two answers the smaller), and the last entry that says so."""
    heads = [answer.entry for answer in view.in_job(f"put-back:{what}").answers]
    sound = [e for e in heads if is_whole(e["value"].get("count"), 1) and said(e["value"].get("reason"))]
    view.set_aside(entry for entry in heads if entry not in sound)
    if not sound:
        return None
    return min(int(entry["value"]["count"]) for entry in sound), sound[-1]
