"""What is opened must be closed: the ledger of things loose, off or in, across includes and conditions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from generator.compile.compose import Composed, Placed
from generator.compile.job_values import JobValues
from generator.compile.refs import Conditions, References
from generator.faults import Fault
from generator.faults import job as faults
from generator.model import CloseItem, OpenItem
from generator.place import Place

FROM = "from "


@dataclass(frozen=True)
class Event:
    """One opening or closing, at the position `at` of the job."""

    at: int
    what: str
    opens: bool
    count: int | None  # None: closes all that is left
    when: Conditions
    place: Place
    path: str


@dataclass
class Opening:
    event: Event
    left: int
    partly: list[Conditions] = field(default_factory=list)
    closed_at: int | None = None


@dataclass
class Ledger:
    """The openings of a job, and where each was closed. `items` has kind, list, label and count of each name."""

    openings: list[Opening] = field(default_factory=list)
    items: dict[str, OpenItem] = field(default_factory=dict)
    counts: dict[str, int] = field(default_factory=dict)
    labels: dict[str, str] = field(default_factory=dict)
    none: set[str] = field(default_factory=set)  # what the sheet says this engine does not have
    one_by_one: set[str] = field(default_factory=set)  # closed by counts: of what is left there may be none
    faults: list[Fault] = field(default_factory=list)

    def open_at(self, at: int) -> list[Opening]:
        """Return what is open when the step at this position is reached."""
        return [o for o in self.openings if o.event.at < at and (o.closed_at is None or o.closed_at >= at)]

    def not_closed(self) -> list[Opening]:
        return [opening for opening in self.openings if opening.closed_at is None]


def keep_ledger(composed: Composed, refs: References, values: JobValues, handed_over: Iterable[str] = ()) -> Ledger:
    """Walk the job once. What is `handed_over` is open at the start, for a procedure that is looked at by itself."""
    ledger = Ledger()
    for name in handed_over:
        start = Event(-1, name, True, None, frozenset(), composed.procedure.place("takes_over"), "")
        ledger.openings.append(Opening(start, 1))
    for at, placed in enumerate(refs.steps):
        for event in _events(at, placed, refs, values, ledger):
            if event.opens:
                _open(event, ledger)
            else:
                _close(event, ledger, composed, refs)
    return ledger


def count_of(item: OpenItem, placed: Placed, values: JobValues) -> int:
    """Return how many. `count: from pump_bolts` asks the sheet; 1 if it does not list the value, which is reported."""
    if item.count.startswith(FROM):
        said = values.count(placed.scope.name(item.count.removeprefix(FROM).strip()))
        return 1 if said is None else said
    return int(item.count) if item.count.isdigit() else 1


def closing_name(closing: str | CloseItem) -> str:
    return closing.what if isinstance(closing, CloseItem) else closing


def _events(at: int, placed: Placed, refs: References, values: JobValues, ledger: Ledger) -> Iterator[Event]:
    """Yield the events of the steps. A step closes before it opens: the old bolt out, the new one in."""
    when = refs.of[placed.path].when
    for index, closing in enumerate(placed.step.closes):
        named = closing if isinstance(closing, CloseItem) else CloseItem(what=closing)
        what = placed.scope.thing(named.what)
        yield Event(at, what, False, named.count, when, placed.place("closes", index), placed.path)
    for index, item in enumerate(placed.step.opens):
        what, place = placed.scope.thing(item.what), placed.place("opens", index)
        _declare(what, item, placed, values, ledger, place)
        yield Event(at, what, True, count_of(item, placed, values), when, place, placed.path)


def _declare(what: str, item: OpenItem, placed: Placed, values: JobValues, ledger: Ledger, place: Place) -> None:
    first = ledger.items.setdefault(what, item)
    count = count_of(item, placed, values)
    if ledger.counts.setdefault(what, count) != count:
        ledger.faults.append(faults.ItemCountClash(place, what, count, ledger.counts[what]))
    label = placed.scope.label_of_thing(item.what, item.label or item.what.replace("_", " "))
    called = ledger.labels.setdefault(what, label)
    if item.label and called != label:
        ledger.faults.append(faults.ItemLabelClash(place, what, label, called))
    if first.kind != item.kind or first.list != item.list:
        was = " in list ".join(filter(None, (first.kind, first.list)))
        now = " in list ".join(filter(None, (item.kind, item.list)))
        ledger.faults.append(faults.ItemKindClash(place, what, now, was))


def _open(event: Event, ledger: Ledger) -> None:
    for opening in ledger.openings:
        still = opening.closed_at is None and opening.event.what == event.what
        if still and _can_both_be(opening.event.when, event.when):
            ledger.faults.append(faults.OpenedTwice(event.place, event.path, event.what, opening.event.path))
            return
    if event.count == 0:
        ledger.none.add(event.what)
        return
    ledger.openings.append(Opening(event, event.count or 1))


def _close(event: Event, ledger: Ledger, composed: Composed, refs: References) -> None:
    same = [o for o in ledger.openings if o.event.what == event.what and o.closed_at is None]
    if not same and event.what in ledger.none | ledger.one_by_one:
        return
    if not same:
        ledger.faults.append(_not_open(event, ledger, composed))
        return
    if event.count is not None:
        ledger.one_by_one.add(event.what)
    used = [_apply(event, opening, refs) for opening in same]
    if not any(used):
        ledger.faults.append(faults.ConditionsDiffer(event.place, event.path, event.what, same[0].event.path))


def _apply(event: Event, opening: Opening, refs: References) -> bool:
    """Apply a closing to an opening, and close it if the conditions cover it. True if the closing belongs to it."""
    if event.when <= opening.event.when:
        opening.left -= opening.left if event.count is None else event.count
        if opening.left <= 0:
            opening.closed_at = event.at
        return True
    extra = event.when - opening.event.when
    if len(extra) != 1:
        return False
    opening.partly.append(event.when)
    finding = next(iter(extra))[0]
    covered = {outcome for when in opening.partly for path, outcome in when - opening.event.when if path == finding}
    if covered >= set(refs.outcomes.get(finding, ())):
        opening.closed_at = event.at
    return True


def _can_both_be(one: Conditions, other: Conditions) -> bool:
    """True unless the two conditions ask for different outcomes of the same finding."""
    asked = dict(one)
    return all(asked.get(path, outcome) == outcome for path, outcome in other)


def ends_open(ledger: Ledger) -> Iterator[Fault]:
    """Yield a fault for everything that can be open at the end of a composed job."""
    for opening in ledger.not_closed():
        event = opening.event
        if opening.partly:
            yield faults.ClosedOnlySometimes(event.place, event.path, event.what)
        elif opening.left < (event.count or 1):
            yield faults.NotAllClosed(event.place, event.path, event.what, opening.left)
        else:
            yield faults.NeverClosed(event.place, event.path, event.what)


def _not_open(event: Event, ledger: Ledger, composed: Composed) -> Fault:
    """Return the fault of a closing with nothing to close. It is the fault of the include if the procedure says that
    it takes the thing over."""
    for included in reversed(composed.includes):  # the outermost first, because its author put the two together
        over = {included.inner.thing(inner): inner for inner in included.inner.procedure.noun.takes_over}
        if event.path.startswith(included.inner.prefix) and event.what in over:
            place = included.outer.place(*included.loc, "include")
            return faults.NothingToTakeOver(place, included.include.include, over[event.what], event.what)
    known = {opening.event.what for opening in ledger.openings} | set(ledger.items)
    return faults.ClosedFirst(event.place, event.path, event.what, tuple(sorted(known)))
