"""What answers opened, path by path: the most that any worksheet says on which they count.

The same table as site_overrides/phone/journal/opened/claims.js. docs/format.md, "What older worksheets opened", states
the rule. Nothing here depends on the worksheet in use, so an adoption alone changes nothing of it.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field

from generator.canonical import in_order
from generator.journal.entries import Entry, after, homes_of, is_known, kind_in, texts_of
from generator.journal.view import View, read_count
from generator.sheet_types import StepJson, WorksheetJson

LEFT_OUT = ("skip", "not-fitted", "refuse")


@dataclass(frozen=True)
class Used:
    """A worksheet that entries of the job were made on."""

    digest: str
    sheet: WorksheetJson
    place: dict[str, int]  # path of a step, or one that it had before -> its place among the steps
    homes: dict[str, list[str]]
    adoptions: list[Entry]  # every time somebody took it, also if that was taken back
    is_first: bool  # a job was started on it, so that it may be in use though nobody adopted it

    def step(self, path: str) -> StepJson | None:
        return self.sheet["steps"][self.place[path]] if path in self.place else None

    def joined(self, path: str) -> frozenset[str]:
        """Return all paths that the step of a path has on this worksheet."""
        return frozenset(self.homes[self.sheet["steps"][self.place[path]]["path"]])


@dataclass
class Opened:
    """A lot: what the answers at one path opened of one thing, and no other path has."""

    what: str
    path: str
    count: int
    used: Used  # the worksheet that says the most
    last: Entry  # since when it is all open: the newest of its answers, and of the adoptions by which they count
    joins: frozenset[str]  # the paths that are one step with its own on every worksheet that says it opened this
    answers: list[Entry]


@dataclass
class _Claim:
    """All that worksheets say was opened at one path."""

    count: int
    used: Used
    last: Entry
    joins: frozenset[str]  # the paths that are one step with this one on every worksheet that says something

    def add(self, count: int, used: Used, last: Entry, joins: frozenset[str]) -> None:
        if count > self.count:
            self.count, self.used = count, used
        self.last = last if after(last, self.last) else self.last
        self.joins &= joins


Claims = dict[str, dict[str, _Claim]]  # thing -> path -> what was opened there


@dataclass(frozen=True)
class Takes:
    """Who took which worksheet, and who took that back."""

    used: Mapping[str, Used]
    undone: set[str]  # adoptions that somebody took back, whether that stands or not
    newest_undoing: Entry | None

    def counted_since(self, entry: Entry, used: Used) -> Entry | None:
        """Return since when an answer counts on a worksheet, None if it never did.

        It counts on its own, and on any that may have been in use with the answer in view: all but those that its
        author knew to be replaced.
        """
        if entry["sheet"] == used.digest:
            return entry
        if self._is_replaced(entry, used):
            return None
        since = [entry, *used.adoptions, *([self.newest_undoing] if self.newest_undoing else [])]
        newest = since[0]
        for one in since[1:]:
            newest = one if after(one, newest) else newest
        return newest

    def are_one(self, path: str, others: set[str]) -> bool:
        """True if a path is the same step as one of others, on every worksheet that has it."""
        return path in others or all(used.joined(path) & others for used in self.used.values() if path in used.place)

    def _is_replaced(self, entry: Entry, used: Used) -> bool:
        """True if whoever answered knew adoptions of the answer's own worksheet that replaced every one of this one."""
        own = self.used.get(entry["sheet"])
        if own is None:  # it is not at hand: any other may be in use in its place
            return False
        before = [one for one in own.adoptions if after(entry, one)]
        kept = [one for one in before if one["id"] not in self.undone]
        in_view = [[one] for one in kept if one["writer"] == entry["writer"]]  # of each group at least one was in view
        if before and kept == before and not own.is_first:
            in_view.append(before)
        olds = used.adoptions
        return bool(in_view) and all(any(all(_replaces(one, old) for one in ones) for ones in in_view) for old in olds)


def _replaces(adoption: Entry, old: Entry) -> bool:
    return old["id"] in adoption["seen"] and after(adoption, old)


def takes_of(view: View) -> Takes:
    """Return the worksheets at hand that entries were made on, and who took them."""
    entries = view.gathered.entries
    adopts = [e for e in entries if e["kind"] == "adopt" and is_known(e) and e["value"].get("sheet") == e["sheet"]]
    started = {entry["sheet"] for entry in entries if entry["kind"] == "start"}
    undoing = [(entry, taker) for entry in adopts for taker in view.gathered.found("take-back", entry["id"])]
    newest: Entry | None = None
    for _, taker in undoing:
        newest = taker if newest is None or after(taker, newest) else newest
    used: dict[str, Used] = {}
    for entry in entries:
        digest = entry["sheet"]
        if digest not in used and digest in view.sheets and is_known(entry):
            sheet = view.sheets[digest]
            homes = homes_of(sheet)
            places = {step["path"]: at for at, step in enumerate(sheet["steps"])}
            place = {path: places[now] for now, paths in homes.items() for path in paths}
            own = [one for one in adopts if one["sheet"] == digest]
            used[digest] = Used(digest, sheet, place, homes, own, digest in started)
    return Takes(used, {entry["id"] for entry, _ in undoing}, newest)


def checks_of(view: View, takes: Takes) -> dict[str, list[Entry]]:
    """Return the check-offs at each path that nobody took back or went back on, also those corrected later."""
    known = [entry for entry in view.gathered.entries if is_known(entry) and view.alive(entry)]
    backs = named_by(entry for entry in known if entry["kind"] == "back")
    checks: dict[str, list[Entry]] = {}
    for entry in known:
        is_answer = entry["kind"] == "check" or (
            entry["kind"] == "settle" and entry["step"] and _chose(view, entry) == "check"
        )
        if is_answer and not any(_reopens(takes, back, entry) for back in backs.get(entry["id"], ())):
            checks.setdefault(entry["step"], []).append(entry)
    return checks


def _reopens(takes: Takes, back: Entry, entry: Entry) -> bool:
    steps = {back["step"], *texts_of(back["value"].get("disturbs"))}
    return after(back, entry) and takes.are_one(entry["step"], steps)


def named_by(entries: Iterable[Entry]) -> dict[str, list[Entry]]:
    named: dict[str, list[Entry]] = {}
    for entry in entries:
        for id_ in entry["seen"]:
            named.setdefault(id_, []).append(entry)
    return named


def _chose(view: View, entry: Entry) -> str:
    """Return the kind of an answer, of a settlement that of the answer it chose."""
    return kind_in([one for id_ in entry["seen"] for one in view.gathered.found("id", id_)], entry)


def _leaves(view: View) -> list[Entry]:
    """Return the entries that leave a step out, and the settlements that chose one of these."""
    answers = [entry for entry in view.gathered.entries if entry["kind"] in (*LEFT_OUT, "settle") and entry["step"]]
    standing = [entry for entry in answers if is_known(entry) and view.alive(entry)]
    return [entry for entry in standing if _chose(view, entry) in LEFT_OUT]


def _leaves_out(view: View, takes: Takes, leave: Entry, entry: Entry, what: str) -> bool:
    """True if somebody left out the very step that an answer had opened a thing with: so it was not opened.

    A step that asks something else by then was left out for itself. What it had opened before is open.
    """
    then, now = view.step_as_answered(entry), view.step_as_answered(leave)
    if then is None or now is None or not after(leave, entry) or not takes.are_one(entry["step"], {leave["step"]}):
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


def opened_of(view: View, takes: Takes, checks: Mapping[str, list[Entry]]) -> list[Opened]:
    """Return every lot of the job."""
    claims = _claims(view, takes, checks)
    lots: list[Opened] = []
    for what in in_order(claims):
        for path, claim, count in _shared_out(claims[what]):
            lots.append(Opened(what, path, count, claim.used, claim.last, claim.joins, checks[path]))
    return lots


def _claims(view: View, takes: Takes, checks: Mapping[str, list[Entry]]) -> Claims:
    leaves = named_by(_leaves(view))
    claims: Claims = {}
    for path, entries in checks.items():
        for entry in entries:
            for used in takes.used.values():
                step = used.step(path)
                since = takes.counted_since(entry, used) if step and step["opens"] else None
                if step is None or since is None:
                    continue
                for opened in step["opens"]:
                    what = opened["what"]
                    if any(_leaves_out(view, takes, leave, entry, what) for leave in leaves.get(entry["id"], ())):
                        continue
                    _declare(view, used, what)
                    count = whole_count(view, used, what, opened["count"])
                    at = claims.setdefault(what, {})
                    joins = used.joined(path)
                    at.setdefault(path, _Claim(count, used, since, joins)).add(count, used, since, joins)
    return claims


@dataclass
class _Node:
    path: str
    claim: _Claim
    under: list[_Node] = field(default_factory=list)


def _shared_out(claims: dict[str, _Claim]) -> Iterable[tuple[str, _Claim, int]]:
    """Yield (path, what is said of it, how many of it are its own).

    A path that is one step with others on every worksheet that says something of it adds only what is more than what
    these opened. So a step that moved opened its things once, and two steps that a worksheet takes for one opened
    what each had.
    """
    parents: dict[str, str] = {}
    for path in in_order(claims):
        over = [one for one in claims if one != path and path in claims[one].joins]
        for one in sorted(in_order(over), key=lambda one: len(claims[one].joins)):
            if _top(parents, one) != path:
                parents[path] = one
                break
    for path in sorted(parents, key=lambda path: _depth(parents, path)):
        over_last = claims[parents[path]].last  # opened again under its later path
        claims[path].last = over_last if after(over_last, claims[path].last) else claims[path].last
    whole: dict[str, int] = {}
    for path in sorted(in_order(claims), key=lambda path: -_depth(parents, path)):
        under = sum(whole[one] for one in claims if parents.get(one) == path)
        whole[path] = max(claims[path].count, under)
        yield path, claims[path], whole[path] - under


def _top(parents: Mapping[str, str], path: str) -> str:
    while path in parents:
        path = parents[path]
    return path


def _depth(parents: Mapping[str, str], path: str) -> int:
    depth = 0
    while path in parents:
        path, depth = parents[path], depth + 1
    return depth


def anchor_before(used: Used, path: str, there: Container[str]) -> str:
    """Return the last step at a path or before it, as one worksheet has it, that another has as well; "" if none is."""
    for step in reversed(used.sheet["steps"][: used.place[path] + 1]):
        if step["path"] in there:
            return step["path"]
    return ""
