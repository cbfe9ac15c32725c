"""What would reveal a failure: each row is tied to an answer, reading, count or gate of the step that catches it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from generator.check import Checked
from generator.check.check_offs import named_by
from generator.check.result_formulas import readings_of
from generator.compile.compose import Placed
from generator.compile.gates import GateRule, rule_of
from generator.compile.items import closing_name
from generator.compile.rules import ResolvedJob
from generator.faults import Fault
from generator.faults import failure as faults
from generator.model import FailureMode, FailureModes, Inspect, Sign, Way
from generator.place import Place
from generator.richtext import names_in
from generator.worksheet import Tree

TICKS = ("tick", "press-and-hold", "permit")
"""Check-offs that look the same whether the work is good or bad."""
SEEN_AT = {
    "answer": ("inspect",),
    "reading": ("measure", "wait"),
    "value": ("tighten", "wait", "turn"),
    "photo": ("photo",),
    "signature": ("sign", "permit"),
    "prevented_by": ("tighten", "measure", "inspect", "wait", "turn", "photo", "sign"),
    "because": TICKS,
    "count": ("tick", "press-and-hold", "tighten", "measure", "inspect", "wait", "turn", "photo"),
    "waits_for": ("tick", "press-and-hold", "permit", "tighten", "measure", "inspect", "wait", "turn", "photo", "sign"),
}
"""The check-offs at which each way can be seen."""
SHARED = 3  # rows that may give one reason
PREPARATION = "preparation"


# --- Each row by itself ----------------------------------------------------------------------------------------------


def check_rows(modes: Checked[FailureModes]) -> Iterator[Fault]:
    """Yield what is wrong with `revealed_by` whatever the steps are."""
    rows = list(enumerate(modes.noun.failure_modes))
    for index, row in rows:
        yield from _agrees(index, row, modes)
    yield from _own_reasons(rows, modes)


def _agrees(index: int, row: FailureMode, modes: Checked[FailureModes]) -> Iterator[Fault]:
    yield from _prevents(index, row, modes)
    wrong = [at for at, way in enumerate(row.ways) if not set(SEEN_AT[way.key]) & set(row.caught_by)]
    for at in wrong:
        way, place = row.ways[at].key, place_of(index, at, row, modes)
        if way == "because":
            yield faults.ReasonNotNeeded(place, row.row, faults.EXAMPLES[row.caught_by[0]])
        else:
            yield faults.RevealDisagrees(place, row.row, way, tuple(row.caught_by), SEEN_AT[way])
    seen = {kind for way in row.ways for kind in SEEN_AT[way.key]}
    for at, kind in enumerate(row.caught_by):
        if kind not in seen and not wrong:
            fault = faults.TickWithoutReason if kind in TICKS else faults.CatchRevealsNothing
            yield fault(modes.place("failure_modes", index, "caught_by", at), row.row, kind)


def _prevents(index: int, row: FailureMode, modes: Checked[FailureModes]) -> Iterator[Fault]:
    """Yield ways that leave it to a caution or to the order of the steps, where the row asks for neither."""
    asked = {"caution": bool(row.caution), "order": bool(row.after or row.before)}
    for at, way in enumerate(row.ways):
        if way.prevented_by and not asked[way.prevented_by]:
            yield faults.NothingPrevents(place_of(index, at, row, modes), row.row, way.prevented_by)


def _own_reasons(rows: list[tuple[int, FailureMode]], modes: Checked[FailureModes]) -> Iterator[Fault]:
    same: dict[str, list[tuple[str, Place]]] = defaultdict(list)
    for index, row in rows:
        for at, way in enumerate(row.ways):
            if way.because:
                words = "".join(letter if letter.isalnum() else " " for letter in way.because.lower())
                same[" ".join(words.split())].append((row.row, place_of(index, at, row, modes)))
    for given in same.values():
        names = tuple(row for row, _ in given)
        for name, place in given[SHARED:]:
            yield faults.ReasonUsedTooOften(place, name, names, SHARED)


def place_of(index: int, at: int, row: FailureMode, modes: Checked[FailureModes]) -> Place:
    """Return where one way of a row is written."""
    which = (at,) if isinstance(row.revealed_by, list) else ()
    return modes.place("failure_modes", index, "revealed_by", *which, row.ways[at].key)


# --- Each row at the steps that catch it ------------------------------------------------------------------------------


@dataclass(frozen=True)
class Claim:
    """A step that says it catches a row, with the kinds of its check-off: a permit that is also a second look has
    two."""

    placed: Placed
    kinds: frozenset[str]
    job: ResolvedJob
    row: FailureMode

    @property
    def path(self) -> str:
        return self.placed.path

    def is_called(self, name: str, inner: str) -> bool:
        """True if a row means a value or a reading of this step by this name, as it is inside or in the whole job."""
        return name in (inner, self.placed.scope.name(inner))


def check_spare_ways(
    claims: Iterable[Claim], catching: Iterable[tuple[Placed, str]], modes: Checked[FailureModes]
) -> Iterator[Fault]:
    """Yield ways that none of all claims of a library needs. `catching` is every step that catches a row, with the
    row's name. One that no worksheet has may need a way too, if it has what the way names."""
    needed: dict[str, set[int]] = defaultdict(set)
    seen: set[tuple[tuple[str, str], str]] = set()
    for claim in claims:
        needed[claim.row.row] |= fitting_ways(claim)
        seen.add((step_of(claim.placed), claim.row.row))
    unseen: dict[str, list[Placed]] = defaultdict(list)
    for placed, row in catching:
        if (step_of(placed), row) not in seen:
            unseen[row].append(placed)
    for index, mode in enumerate(modes.noun.failure_modes):
        for at in range(len(mode.ways)) if mode.row in needed or unseen[mode.row] else ():
            way = mode.ways[at]
            if at not in needed[mode.row] and not any(_may_have(placed, way) for placed in unseen[mode.row]):
                yield _spare(mode, way, place_of(index, at, mode, modes))


def step_of(placed: Placed) -> tuple[str, str]:
    """Return a step in its own procedure, whatever job it is in."""
    return placed.scope.procedure.noun.procedure, placed.step.id


def _may_have(placed: Placed, way: Way) -> bool:
    """True if a step names what a way names, as far as the step alone can tell."""
    step, scope, named = placed.step, placed.scope, named_by(placed.step.check)
    figures = [*(name for _, name in named.values), *(name for _, name in named.readings)]
    things = [*(item.what for item in step.opens), *map(closing_name, step.closes)]
    answers = step.check.inspect if isinstance(step.check, Inspect) else ()
    has = {*answers, *figures, *map(scope.name, figures), *things, *map(scope.thing, things)}
    return named.kind in SEEN_AT[way.key] and (set(way.names) <= has or way.key in ("signature", "waits_for"))


def _spare(row: FailureMode, way: Way, place: Place) -> Fault:
    if way.because:
        return faults.ReasonNotNeeded(place, row.row, "")
    return faults.RevealedNowhere(place, row.row, way.key, way.names)


Wrong = Callable[[Place], Fault]
"""Why a way is not there, once it is known where the row says it."""


def check_claims(index: int, row: FailureMode, claims: list[Claim], modes: Checked[FailureModes]) -> Iterator[Fault]:
    """Yield steps that say they catch a row, and have nothing that would reveal it."""
    for claim in claims:
        if not fitting_ways(claim) and (fault := _not_revealed(index, claim, claims, modes)):
            yield fault


def fitting_ways(claim: Claim) -> set[int]:
    """Return which ways of its row a step has. A reason counts only where no other way does."""
    fits = {at for at, way in enumerate(claim.row.ways) if _suits(way, claim) and wrong_with(way, claim) is None}
    stronger = {at for at in fits if claim.row.ways[at].key != "because"}
    return stronger or fits


def _suits(way: Way, claim: Claim) -> bool:
    return bool(claim.kinds & set(SEEN_AT[way.key]))


def _not_revealed(index: int, claim: Claim, claims: list[Claim], modes: Checked[FailureModes]) -> Fault | None:
    """Return the fault of the way that was meant for this step: one that no other step has, if there is such. None if
    the row has no way for such a step at all, which is told of the row."""
    row, elsewhere = claim.row, {at for other in claims for at in fitting_ways(other)}
    meant = [at for at, way in enumerate(row.ways) if _suits(way, claim)]
    for at in sorted(meant, key=lambda at: (at in elsewhere, row.ways[at].key == "waits_for", at)):
        wrong = wrong_with(row.ways[at], claim)
        if wrong is not None:
            return wrong(place_of(index, at, row, modes))
    return None


def wrong_with(way: Way, claim: Claim) -> Wrong | None:
    """Return why a step does not reveal its row in this way, or None if it does."""
    return next((wrong for name in way.names if (wrong := _LOOKS[way.key](name, claim))), None)


def _answer(name: str, claim: Claim) -> Wrong | None:
    check, path, row = claim.placed.step.check, claim.path, claim.row.row
    answers = tuple(check.inspect) if isinstance(check, Inspect) else ()
    if name not in answers:
        return lambda place: faults.NoSuchAnswer(place, path, row, name, answers)
    if _changes_something(name, claim):
        return None
    step = claim.placed
    written = step.scope.procedure.key_place(*step.loc, "check", "inspect", name)
    return lambda place: faults.AnswerChangesNothing(written, path, row, name)


def _changes_something(answer: str, claim: Claim) -> bool:
    """True if an answer is a failure, or if a step or a result that is shown asks for it."""
    failed, job = claim.placed.step.if_failed, claim.job
    if failed and answer in failed.outcomes:
        return True
    if any((claim.path, answer) in resolved.when for resolved in job.refs.of.values()):
        return True
    results = (job.workings.results[name] for name in _shown(job))
    return any(_asks(tree, claim.path, answer) for one in results for tree in (one.tree, *one.limits))


def _shown(job: ResolvedJob) -> list[str]:
    """Return the results that some step shows, and all that these need."""
    return job.workings.below(name for names in job.workings.shows.values() for name in names)


def _asks(tree: Tree | None, path: str, answer: str) -> bool:
    if not isinstance(tree, list | tuple):
        return False
    return list(tree) == ["found", path, answer] or any(_asks(part, path, answer) for part in tree[1:])


def _reading(name: str, claim: Claim) -> Wrong | None:
    taken, path, row = readings_of(claim.placed.step), claim.path, claim.row.row
    inner = next((one for one in taken if claim.is_called(name, one)), None)
    if inner is None:
        return lambda place: faults.ReadingNotThere(place, path, row, name, tuple(taken))
    if _is_judged(claim.placed.scope.name(inner), claim):
        return None
    return lambda place: faults.ReadingNotJudged(place, path, row, inner)


def _is_judged(name: str, claim: Claim) -> bool:
    """True if a reading has a range, or goes into a result that is shown, or is told in another step."""
    workings = claim.job.workings
    reading = workings.readings[name].reading
    if reading.from_ is not None or reading.to is not None:
        return True
    used = {*_shown(claim.job), *(one.name for one in workings.results.values() if one.worked.result.fills)}
    if any(name in workings.results[result].inputs for result in used):
        return True
    others = (placed for placed in claim.job.steps if placed.path != claim.path)
    return any(name in map(one.scope.name, names_in(f"{one.step.do} {one.step.why or ''}")) for one in others)


def _count(name: str, claim: Claim) -> Wrong | None:
    step, scope, path, row = claim.placed.step, claim.placed.scope, claim.path, claim.row.row
    there = tuple(dict.fromkeys([*(item.what for item in step.opens), *map(closing_name, step.closes)]))
    inner = next((what for what in there if name in (what, scope.thing(what))), None)
    if inner is None:
        return lambda place: faults.CountNotThere(place, path, row, name, there)
    openings = [(one.scope.thing(item.what), item.count) for one in claim.job.composed.steps for item in one.step.opens]
    if any(what == scope.thing(inner) and count != "1" for what, count in openings):
        return None
    return lambda place: faults.NothingToCount(place, path, row, inner)


def _value(name: str, claim: Claim) -> Wrong | None:
    used = tuple(value for key, value in named_by(claim.placed.step.check).values if key != "against")
    if any(claim.is_called(name, value) for value in used):
        return None
    return lambda place: faults.ValueNotThere(place, claim.path, claim.row.row, name, used)


def _signature(name: str, claim: Claim) -> Wrong | None:
    check = claim.placed.step.check
    written = tuple(check.of) if isinstance(check, Sign) else ()
    by_path = {placed.path: placed.step for placed in claim.job.steps}
    looked_at = [by_path[path] for path in claim.job.refs.of[claim.path].sign_of]
    if name in written or any(name in (step.id, step.landmark) for step in looked_at):
        return None
    return lambda place: faults.SignatureNotThere(place, claim.path, claim.row.row, name, written)


def _waits_for(name: str, claim: Claim) -> Wrong | None:
    rule = _rule(claim)
    if rule and _waits(rule, name, claim):
        return None
    known = (*rule.kinds, *rule.lists, *([PREPARATION] if rule.ready else [])) if rule else ()
    return lambda place: faults.GateDoesNotWait(place, claim.path, claim.row.row, name, known)


def _rule(claim: Claim) -> GateRule | None:
    """Return what a step waits for. The last step of a job waits for all that is open."""
    if not claim.placed.step.completion:
        return rule_of(claim.placed, claim.job.composed)
    lists = {item.list for item in claim.job.ledger.items.values() if item.list}
    return GateRule((), tuple(sorted(claim.job.composed.opened_kinds)), tuple(sorted(lists)), False)


def _waits(rule: GateRule, name: str, claim: Claim) -> bool:
    """True if a gate waits for a kind, a list or an item, or for the preparation."""
    if name == PREPARATION:
        return rule.ready
    items = claim.job.ledger.items
    item = items.get(name) or items.get(claim.placed.scope.thing(name))
    if item is not None:
        return item.kind in rule.kinds or item.list in rule.lists
    # A kind that nothing of this job opens can't be left: `all_kinds_but` has only those that are opened.
    unopened = name in claim.job.composed.trade.kinds and name not in claim.job.composed.opened_kinds
    return unopened or name in rule.kinds or name in rule.lists


_LOOKS: dict[str, Callable[[str, Claim], Wrong | None]] = {
    "answer": _answer,
    "reading": _reading,
    "count": _count,
    "value": _value,
    "signature": _signature,
    "waits_for": _waits_for,
}
