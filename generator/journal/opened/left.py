"""What steps of older worksheets opened and closed, and the worksheet in use no longer says. It stays open until a step
closes it, or a person says what became of it.

The same table as site_overrides/phone/journal/opened/left.js. A job that never changed its worksheet has nothing of
this.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from generator.canonical import canonical, in_order
from generator.journal.answers import is_whole, said
from generator.journal.entries import Entry, Gathered, after, gather, homes_of, is_known, kind_in
from generator.journal.opened.ledger import Lot
from generator.journal.step import home
from generator.journal.view import View, read_count
from generator.sheet_types import StepJson, WorksheetJson

LEFT_OUT = ("skip", "not-fitted", "refuse")
ANSWERS = (*LEFT_OUT, "check", "finish", "settle")


@dataclass(frozen=True)
class Used:
    """A worksheet that entries of the job were made on."""

    digest: str
    sheet: WorksheetJson
    place: dict[str, int]  # path of a step, or one that it had before -> its place among the steps
    homes: dict[str, list[str]]
    adopted: Entry | None  # its newest adoption, or the newest take-back of one

    def step(self, path: str) -> StepJson | None:
        return self.sheet["steps"][self.place[path]] if path in self.place else None


@dataclass(frozen=True)
class Opened:
    """All that was opened of one thing at one step."""

    what: str
    path: str  # its present path, else the last one
    paths: frozenset[str]
    count: int
    is_gone: bool  # the worksheet in use does not have the step
    answers: list[Entry]


@dataclass(frozen=True)
class Closed:
    """What a step of older worksheets closed, and its present step does not."""

    what: str
    count: int | None  # None: all that was open at its place
    at: list[tuple[Used, int]]  # where it was when it was answered


@dataclass
class Older:
    """What older worksheets add to the one in use."""

    used: dict[str, Used] = field(default_factory=dict)
    opened: dict[str, list[Opened]] = field(default_factory=dict)  # by the step after which it is open, "": before all
    closed: dict[str, list[Closed]] = field(default_factory=dict)
    checks: dict[str, list[Entry]] = field(default_factory=dict)  # path -> its check-offs that nobody took back


def older_of(view: View, judged: Callable[[str], View]) -> Older | None:
    """Return what older worksheets add, None if the job has had one only. Adds their things to those in view.

    `judged`: the job judged by another of its worksheets, without what still others add.
    """
    used = _used(view)
    if view.sheet is None or not set(used) - {view.digest}:
        return None
    older = Older(used, checks=_checks(view))
    roots = _roots(older)
    _find_opened(view, older, roots)
    _find_closed(view, older, roots, judged)
    return older


def _used(view: View) -> dict[str, Used]:
    used: dict[str, Used] = {}
    adopts = [e for e in view.gathered.entries if e["kind"] == "adopt" and e["value"].get("sheet") == e["sheet"]]
    adopted = {entry["sheet"]: entry for entry in adopts}
    given_up = [taker for entry in adopts for taker in view.gathered.found("take-back", entry["id"])]
    again = next((e for e in reversed(view.gathered.entries) if any(e is taker for taker in given_up)), None)
    for entry in view.gathered.entries:
        digest = entry["sheet"]
        if digest not in used and digest in view.sheets and is_known(entry):
            homes = homes_of(view.sheets[digest])
            places = {step["path"]: at for at, step in enumerate(view.sheets[digest]["steps"])}
            place = {path: places[now] for now, paths in homes.items() for path in paths}
            newest = adopted.get(digest)
            if again and (newest is None or after(again, newest)):  # any sheet may have come back in use by that
                newest = again
            used[digest] = Used(digest, view.sheets[digest], place, homes, newest)
    return used


def _checks(view: View) -> dict[str, list[Entry]]:
    """Return the check-offs at each path that nobody took back or went back on, also those corrected later."""
    known = [entry for entry in view.gathered.entries if is_known(entry) and view.alive(entry)]
    backs = _named_by(entry for entry in known if entry["kind"] == "back")
    checks: dict[str, list[Entry]] = {}
    for entry in known:
        is_answer = entry["kind"] == "check" or (
            entry["kind"] == "settle" and entry["step"] and _chose(view, entry) == "check"
        )
        if is_answer and not any(after(back, entry) for back in backs.get(entry["id"], ())):
            checks.setdefault(entry["step"], []).append(entry)
    return checks


def _named_by(entries: Iterable[Entry]) -> dict[str, list[Entry]]:
    named: dict[str, list[Entry]] = {}
    for entry in entries:
        for id_ in entry["seen"]:
            named.setdefault(id_, []).append(entry)
    return named


def _roots(older: Older) -> dict[str, str]:
    """Return {path: the path under which the same step was answered as well}.

    A step that moved and was answered there too is one step. That a worksheet says so is not enough: of two steps that
    a worksheet takes for one, each may have opened something.
    """
    checks = older.checks
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
        used = [older.used[entry["sheet"]] for entry in checks[path] if entry["sheet"] in older.used]
        for old in [old for one in used for old in one.homes.get(path, ()) if old in checks]:
            if old not in roots and _root(roots, path) != old:  # answered on two phones that did not see each other
                roots[old] = path
    return roots


def _root(roots: Mapping[str, str], path: str) -> str:
    while path in roots:
        path = roots[path]
    return path


# --- what was opened --------------------------------------------------------------------------------------------------


@dataclass
class _Tally:
    """What was opened at one path: how many, and where this is said."""

    count: int = 0
    used: Used | None = None


def _find_opened(view: View, older: Older, roots: dict[str, str]) -> None:
    tallies = _tallies(view, older)
    under: dict[str, list[str]] = {}
    for old, new in roots.items():
        under.setdefault(new, []).append(old)
    groups: dict[tuple[str, str], list[str]] = {}
    for path in in_order({path for path, _ in tallies}):
        root = _root(roots, path)
        for what in in_order({what for one, what in tallies if one == path}):
            tops = groups.setdefault((home(view, root), what), [])
            if root not in tops:
                tops.append(root)
    for (now, what), tops in groups.items():
        _add_opened(view, older, tallies, under, now, what, tops)


def _tallies(view: View, older: Older) -> dict[tuple[str, str], _Tally]:
    """Return what was opened by the answers at each path: the most that a worksheet says on which they counted."""
    leaves = _named_by(_leaves(view))
    tallies: dict[tuple[str, str], _Tally] = {}
    for path, entries in older.checks.items():
        for entry in entries:
            for used in older.used.values():
                step = used.step(path)
                if step is None or not _counted_on(entry, used):
                    continue
                for opened in step["opens"]:
                    what = opened["what"]
                    if any(_leaves_out(view, leave, entry, what) for leave in leaves.get(entry["id"], ())):
                        continue
                    _declare(view, used, what)
                    count = whole_count(view, used, what, opened["count"])
                    tally = tallies.setdefault((path, what), _Tally())
                    if tally.used is None or count > tally.count:
                        tally.count, tally.used = count, used
    return tallies


def _counted_on(entry: Entry, used: Used) -> bool:
    """True if an answer was made on this worksheet, or stood when somebody took it."""
    return entry["sheet"] == used.digest or (used.adopted is not None and after(used.adopted, entry))


def _chose(view: View, entry: Entry) -> str:
    """Return the kind of an answer, of a settlement that of the answer it chose."""
    return kind_in([one for id_ in entry["seen"] for one in view.gathered.found("id", id_)], entry)


def _leaves(view: View) -> list[Entry]:
    """Return the entries that leave a step out, and the settlements that chose one of these."""
    answers = [entry for entry in view.gathered.entries if entry["kind"] in (*LEFT_OUT, "settle") and entry["step"]]
    standing = [entry for entry in answers if is_known(entry) and view.alive(entry)]
    return [entry for entry in standing if _chose(view, entry) in LEFT_OUT]


def _leaves_out(view: View, leave: Entry, entry: Entry, what: str) -> bool:
    """True if somebody left out the very step that an answer had opened a thing with: so it was not opened.

    A step that asks something else by then was left out for itself. What it had opened before is open.
    """
    then, now = view.step_as_answered(entry), view.step_as_answered(leave)
    if then is None or now is None or not after(leave, entry):
        return False
    opens = any(opened["what"] == what for opened in now["opens"])
    return opens and view.asks(entry["sheet"], then)[0] == view.asks(leave["sheet"], now)[0]


def whole_count(view: View, used: Used, what: str, count: int) -> int:
    """Return the corrected count in place of `count` if `count` is the whole thing on that worksheet."""
    return view.counts[what] if what in view.counts and count == used.sheet["items"][what]["count"] else count


def _declare(view: View, used: Used, what: str) -> None:
    item = used.sheet["items"][what]
    if what not in view.items:
        view.items[what] = {**item, "open": 0}
        read_count(view, what)
    kinds = view.was_kinds.setdefault(what, [])
    if all((one["kind"], one["list"]) != (item["kind"], item["list"]) for one in kinds):
        kinds.append(item)


def _add_opened(
    view: View,
    older: Older,
    tallies: dict[tuple[str, str], _Tally],
    under: dict[str, list[str]],
    now: str,
    what: str,
    tops: list[str],
) -> None:
    """Add what was opened of a thing at one step of the worksheet in use, or at one that it does not have."""

    def count_at(path: str) -> int:
        own = tallies.get((path, what), _Tally()).count
        return max(own, sum(count_at(old) for old in under.get(path, ())))

    def all_under(path: str) -> list[str]:
        return [path, *(one for old in under.get(path, ()) for one in all_under(old))]

    paths = [one for path in tops for one in all_under(path)]
    answers = [entry for path in paths if (path, what) in tallies for entry in older.checks[path]]
    is_gone = now not in view.homes
    anchor = now if not is_gone else _anchor(view, tallies, paths, what)
    count = sum(count_at(path) for path in tops)
    opened = Opened(what, now, frozenset([*paths, *view.homes.get(now, ())]), count, is_gone, answers)
    older.opened.setdefault(anchor, []).append(opened)


def _anchor(view: View, tallies: dict[tuple[str, str], _Tally], paths: list[str], what: str) -> str:
    """Return the last step before these that is still there, by the first worksheet that says how many they opened."""
    path, used = next((p, tally.used) for p in paths if (tally := tallies.get((p, what))) and tally.used)
    return anchor_before(view, used, used.place[path])


def anchor_before(view: View, used: Used, place: int) -> str:
    for step in reversed(used.sheet["steps"][: place + 1]):
        now = home(view, step["path"])
        if now in view.homes:
            return now
    return ""


# --- what was closed --------------------------------------------------------------------------------------------------


def _find_closed(view: View, older: Older, roots: dict[str, str], judged: Callable[[str], View]) -> None:
    """Find what was closed by steps that the worksheet in use no longer has, or that no longer close it.

    Each step counts once, as the worksheet has it on which it was answered last.
    """
    present = {step["path"]: step for step in view.sheet["steps"]} if view.sheet else {}
    found: dict[tuple[str, str], tuple[str, Closed]] = {}
    for used in older.used.values():
        for place, step in enumerate(used.sheet["steps"]) if used.digest != view.digest else ():
            root = _root(roots, step["path"])
            now = present.get(home(view, root))
            closes = [c for c in step["closes"] if not (now and any(own["what"] == c["what"] for own in now["closes"]))]
            answers = [entry for entry in older.checks.get(step["path"], ()) if entry["sheet"] == used.digest]
            if not closes or not answers or not _was_done(judged(used.digest), step["path"]):
                continue
            for closed in closes:
                if closed["what"] in view.items:
                    count = (
                        None if closed["count"] is None else whole_count(view, used, closed["what"], closed["count"])
                    )
                    before = found.pop((root, closed["what"]), None)
                    at = [*(before[1].at if before else ()), (used, place)]
                    anchor = anchor_before(view, used, place)
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


def _was_done(then: View, path: str) -> bool:
    """True if a step was done by its own worksheet, whatever a later one asks in its place."""
    seen = then.steps[path]
    asks_only = seen["state"] == "recheck" and all(why["code"] == "duty" for why in seen["why"])
    return seen["state"] == "done" or asks_only


def covers(at: Iterable[tuple[Used, int]], lot: Lot) -> bool:
    """True if a closing could mean this lot: on a worksheet on which it was answered, a step before it opened it."""
    for used, place in at:
        for step in used.sheet["steps"][:place]:
            if any(opened["what"] == lot.what for opened in step["opens"]) and lot.paths & set(
                used.homes[step["path"]]
            ):
                return True
    return False


def put_back(view: View, what: str) -> tuple[int, Entry] | None:
    """Return how many of a thing are back (of two answers the smaller), and the last entry that says so."""
    heads = [answer.entry for answer in view.in_job(f"put-back:{what}").answers]
    sound = [e for e in heads if is_whole(e["value"].get("count"), 1) and said(e["value"].get("reason"))]
    view.set_aside(entry for entry in heads if entry not in sound)
    if not sound:
        return None
    return min(int(entry["value"]["count"]) for entry in sound), sound[-1]
