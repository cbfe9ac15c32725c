"""What is open, lot by lot: a lot is what one step opened of one thing. Kept while the steps are walked in their order.

The same table as site_overrides/phone/journal/opened/ledger.js.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from generator.journal.entries import Entry, after
from generator.journal.opened.claims import Opened

LotKey = tuple[str, str, bool]  # the step that opened it, the thing, and whether only an older worksheet opens it there


@dataclass
class Lot:
    what: str
    path: str  # the path that it was opened under
    is_older: bool  # the worksheet in use does not open it there, or not so many
    answers: list[Entry]  # the answers that opened it
    opened: int  # how many, before anybody closed or put back any
    open: int
    rest: int  # how many are still open once every step that can still close them has
    of: Opened | None  # in a job that had several worksheets: what they say

    @property
    def key(self) -> LotKey:
        return (self.path, self.what, self.is_older)


@dataclass
class Closing:
    what: str
    left: int | None  # how many more it closes, None: all
    counts: Callable[[Lot], bool]

    def close(self, lot: Lot) -> None:
        if lot.what == self.what and self.counts(lot):
            closed = lot.open if self.left is None else min(lot.open, self.left)
            lot.open -= closed
            lot.rest = min(lot.rest, lot.open)
            self.left = None if self.left is None else self.left - closed


@dataclass
class Lots:
    lots: list[Lot] = field(default_factory=list)
    allowed: Mapping[LotKey, int] = field(default_factory=dict)  # how many of a lot somebody says are back
    closings: list[Closing] = field(default_factory=list)  # those that stood before what they closed elsewhere

    def open_lot(
        self, what: str, count: int, path: str, is_older: bool, answers: list[Entry], of: Opened | None = None
    ) -> int:
        """Add a lot. Return how many of it somebody says are back."""
        lot = Lot(what, path, is_older, answers, count, count, count, of)
        back = min(count, self.allowed.get(lot.key, 0))
        lot.open = lot.rest = count - back
        self.lots.append(lot)
        for closing in self.closings:
            closing.close(lot)
        return back

    def close(self, what: str, count: int | None, counts: Callable[[Lot], bool]) -> Closing:
        """Close so many of a thing, all if None, of the lots for which `counts` is true."""
        closing = Closing(what, count, counts)
        for lot in self.lots:
            closing.close(lot)
        return closing

    def close_wherever(self, what: str, count: int | None, counts: Callable[[Lot], bool]) -> None:
        """The same, also of lots that the worksheet in use has only later."""
        self.closings.append(self.close(what, count, counts))

    def could_close(self, what: str, count: int | None) -> None:
        """Note that a step which is not done yet would close so many."""
        left = count
        for lot in self.of(what):
            closed = lot.rest if left is None else min(lot.rest, left)
            lot.rest -= closed
            left = None if left is None else left - closed

    def is_asked(self, lot: Lot) -> bool:
        """True if somebody can say what became of a lot: no step closes it all, or only older worksheets opened it."""
        return lot.is_older or lot.rest > 0 or lot.key in self.allowed

    def of(self, what: str) -> list[Lot]:
        return [lot for lot in self.lots if lot.what == what]

    def open_of(self) -> dict[str, int]:
        """Return {thing: how many are open here}, of each thing that was opened."""
        counts: dict[str, int] = {}
        for lot in self.lots:
            counts[lot.what] = counts.get(lot.what, 0) + lot.open
        return counts


BackSaid = tuple[int, Entry]  # how many of a thing are back, and the entry that says so


def allowances(lots: list[Lot], words: Mapping[str, BackSaid]) -> dict[LotKey, int]:
    """Share out what people say is back: first to what no step closes, then to what only older worksheets opened."""
    shares: dict[LotKey, int] = {}
    for what, (count, entry) in words.items():
        told = [lot for lot in lots if lot.what == what and is_told(lot, entry)]
        for lot in told:
            shares[lot.key] = shares.get(lot.key, 0) + min(lot.rest, count)
            count -= min(lot.rest, count)
        for lot in told:
            more = min(lot.opened - shares[lot.key], count) if lot.is_older else 0
            shares[lot.key] += more
            count -= more
    return {key: share for key, share in shares.items() if share > 0}


def is_told(lot: Lot, word: Entry) -> bool:
    """True if a word that a thing is back speaks of this lot: it came after its answers, and knew of them.

    Older versions do not say what they knew of (`opened`). Of them only the order counts.
    """
    knew = word["value"].get("opened")
    known = not isinstance(knew, list) or all(entry["id"] in knew for entry in lot.answers)
    return known and all(after(word, entry) for entry in lot.answers)
