"""How many there are: what a step opens or tightens has a number, and it is the same number everywhere.

The number comes from the sheet (`count: from pump_bolts`, `tighten: pump_bolts`) or is written at the step.
"""

from __future__ import annotations

from collections.abc import Iterator

from generator.check.trade_words import DeclaredTrade
from generator.compile.compose import Composed, Placed
from generator.compile.items import FROM, Ledger, closing_name
from generator.compile.job_values import JobValues
from generator.compile.refs import References
from generator.faults import Fault
from generator.faults import job as faults
from generator.model import CloseItem, OpenItem, Tighten


def check_counts(composed: Composed, refs: References, values: JobValues, ledger: Ledger) -> Iterator[Fault]:
    """Yield faults of values that count something and have no count, and of bolts that are counted two ways."""
    for placed in refs.steps:
        for name, does in _counted_by(placed, ledger, composed.trade):
            value = values.given.get(name)
            if value is not None and value.count is None:
                yield faults.NotCounted(composed.engine.key_place("values", name), name, placed.path, does)
        yield from _two_numbers(composed.trade, placed, values, ledger)


def uncounted(refs: References, values: JobValues, ledger: Ledger, trade: DeclaredTrade) -> list[str]:
    """Return the values that count something and that the sheet does not list. A phone shows 1 of each."""
    names = (name for placed in refs.steps for name, _ in _counted_by(placed, ledger, trade))
    return [name for name in dict.fromkeys(names) if name not in values.given]


def _counted_by(placed: Placed, ledger: Ledger, trade: DeclaredTrade) -> Iterator[tuple[str, str]]:
    """Yield the values that say how many a step opens or tightens, each with what the step does. Bolts that were
    counted where they were opened need no second number. A count of batteries says nothing of their terminals."""
    for item in placed.step.opens:
        if item.count.startswith(FROM):
            yield placed.scope.name(item.count.removeprefix(FROM).strip()), "opens"
    if isinstance(placed.step.check, Tighten) and not any(
        _is_counted(what, ledger, trade) for what, _ in _closed(placed)
    ):
        yield placed.scope.name(placed.step.check.tighten), "tightens"


def _closed(placed: Placed) -> Iterator[tuple[str, bool]]:
    """Yield what a step closes, as named in the job, and whether it closes all of it."""
    for closing in placed.step.closes:
        yield placed.scope.thing(closing_name(closing)), not (isinstance(closing, CloseItem) and closing.count)


def _is_counted(what: str, ledger: Ledger, trade: DeclaredTrade) -> bool:
    """True if bolts were counted where they were opened, or this was opened in a part of the job that is not here."""
    item = ledger.items.get(what)
    return item is None or (_says_count(item) and trade.closed_by(item.kind, "tighten"))


def _says_count(item: OpenItem) -> bool:
    return "count" in item.model_fields_set


def _two_numbers(trade: DeclaredTrade, placed: Placed, values: JobValues, ledger: Ledger) -> Iterator[Fault]:
    """A step that tightens all bolts of an item tightens as many as were opened."""
    if not isinstance(placed.step.check, Tighten):
        return
    inner = placed.step.check.tighten
    count = values.count(placed.scope.name(inner))
    for what, all_of_it in _closed(placed):
        opening = next((each.event for each in ledger.openings if each.event.what == what and each.event.at >= 0), None)
        if opening is None or not all_of_it or count is None:
            continue
        if not trade.closed_by(ledger.items[what].kind, "tighten"):
            continue
        if ledger.counts[what] != count:
            yield faults.CountedTwoWays(
                opening.place, opening.path, what, ledger.counts[what], placed.path, inner, count
            )
