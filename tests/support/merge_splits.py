"""One job split over several phones that write apart: what each holds, and how everything is merged.

One to five phones work at one job. Each has seen a different part of it. Their clocks are years off or run backwards.
Now and then a phone is set back to an older copy of itself and writes on from there, mostly as a new writer. What they
send arrives late, twice, in any order and grouping, from phone to phone or as the text of a record.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random
from typing import Any

from generator.canonical import canonical
from generator.journal.entries import SLOTS, Entry, Gathered, add, gather, union
from generator.journal.record import Record, read_record, write_record
from generator.journal.shapes.sound import is_sheet
from tests.support import demo
from tests.support.journals import DAY, Phone, Sheet, Shop, by_digest, prepare, random_sheet, revised
from tests.support.sample_sheet import sample_sheet
from tests.support.walker import Walker

Sheets = dict[str, Sheet]

WAYS = ("union", "union", "union", "one by one", "one by one", "record")
"""How a batch is taken in; a record is the real text, written and read again."""
YEAR = 365 * 86400
CLOCKS = (0, 0, 2, -7200, 3 * YEAR, -11 * YEAR, -56 * YEAR, 30 * YEAR)
"""Seconds that a phone's clock is off; with an empty battery it begins in 1970."""


# --- what is worked at ----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Job:
    """A worksheet, another revision of it, and what a good day writes, in order. Without a good day: random entries."""

    name: str
    sheet: Sheet
    other: Sheet
    day: tuple[Entry, ...] = ()


LAYOUTS = ("inline-four", "vee-six", "flat-four")


@functools.cache
def compiled(layout: str) -> Job:
    """Return the library's own worksheet for an engine, worked through from start to end."""
    return _walked("compiled worksheet", demo.sheet(layout))


@functools.cache
def small() -> Job:
    return _walked("small worksheet", sample_sheet())


def _walked(name: str, sheet: Sheet) -> Job:
    return Job(name, sheet, _another(sheet), tuple(Walker(sheet).go_on().entries))


def _another(sheet: Sheet) -> Sheet:
    tries = (revised(Random(seed), sheet) for seed in range(50))
    return next(other for other in tries if is_sheet(other))


def made_up(rng: Random) -> Job:
    sheet = random_sheet(rng)
    return Job("random worksheet", sheet, revised(rng, sheet))


def job_for(rng: Random) -> Job:
    of = rng.random()
    if of < 0.7:
        return made_up(rng)
    return small() if of < 0.9 else compiled(rng.choice(LAYOUTS))


# --- phones that write apart ----------------------------------------------------------------------------------------


class Device(Phone):
    """A phone whose clock may be wrong in any way, and which can be set back to an older copy of itself."""

    def __init__(self, rng: Random, name: str, sheet: Sheet, ever: dict[str, Entry]) -> None:
        self.off, self.pace = rng.choice(CLOCKS), rng.choice([1, 1, 1, -1, 0, 400])
        self.ever = ever
        self.copies: list[tuple[Gathered, str, str]] = []
        self.set_back = 0
        super().__init__(rng, name, sheet)

    def write(self, kind: str, now: datetime, **fields: Any) -> Entry:
        self.offset = timedelta(seconds=self.off) + (now - DAY) * (self.pace - 1)
        entry = super().write(kind, now, **fields)
        self.ever[canonical(entry)] = entry
        return entry

    def meet(self, entries: list[Entry]) -> None:
        self.ever.update({canonical(entry): entry for entry in entries})
        super().meet(entries)

    def back_up(self) -> None:
        self.copies.append((self.view, self.writer, self.prev))

    def restore(self) -> None:
        """Go back to an older copy. What was written since lies in a file that turns up in the end."""
        if self.copies:
            self.view, self.writer, self.prev = self.rng.choice(self.copies)
            self.set_back += 1
            if self.rng.random() < 0.8:  # else it does not notice, and writes on under its old name
                self.reload()


class Crew(Shop):
    """Some phones at one job. They do a good day's work, with wrong entries in between."""

    def __init__(self, rng: Random, job: Job) -> None:
        super().__init__(rng, job.sheet, job.other)
        self.job = job
        self.ever: dict[str, Entry] = {}
        self.phones: list[Device] = [  # type: ignore[assignment]
            Device(rng, f"phone-{number}", job.sheet, self.ever) for number in range(rng.randint(1, 5))
        ]

    def work(self, phone: Phone, each: dict[str, Any]) -> None:
        """Answer a step once more: as on a good day, if that is known."""
        said = [entry for entry in self.job.day if entry["step"] == each["path"]]
        for entry in said:
            self.repeat(phone, entry)
        if not self.job.day:
            super().work(phone, each)

    def repeat(self, phone: Phone, entry: Entry) -> None:
        self.now += timedelta(seconds=self.rng.choice([5, 40, 3000]))
        kind, step, part = entry["kind"], entry["step"], entry["part"]
        slot = SLOTS[kind]
        seen = phone.sees(*_named(slot(entry))) if slot else entry["seen"]
        phone.write(kind, self.now, step=step, part=part, value=entry["value"], seen=seen)

    def turns(self) -> Iterator[Callable[[Device], None]]:
        """Yield the work of the job, one thing after another."""
        rng = self.rng
        if self.job.day:
            for entry in self.job.day[: rng.randint(8, len(self.job.day))]:
                yield functools.partial(self.repeat, entry=entry)
            return
        yield lambda phone: self.one_turn()
        if rng.random() < 0.6:
            yield prepare
        for each in self.job.sheet["steps"]:
            yield functools.partial(self.work, each=each)

    def run(self) -> None:
        chances = [(0.15, Crew.one_turn), (0.15, Crew.differ), (0.3, Crew.back_up), (0.12, Crew.restore)]
        for turn in self.turns():
            turn(self.rng.choice(self.phones))
            for chance, do in [*chances, (0.35, Crew.sync)]:
                if self.rng.random() < chance:
                    do(self)

    def differ(self) -> None:
        """Answer something again, differently. The phone may not have seen the first answer."""
        phone, written = self.rng.choice(self.phones), list(self.ever.values())
        checks = [entry for entry in written if entry["kind"] in ("check", "read")]
        if checks:
            said = self.rng.choice(checks)
            failed = {"outcome": "failed", "note": "slipped"}
            self.repeat(phone, said if self.rng.random() < 0.4 else {**said, "value": failed})

    def back_up(self) -> None:
        self.rng.choice(self.phones).back_up()

    def restore(self) -> None:
        self.rng.choice(self.phones).restore()

    def sync(self) -> None:
        """One phone gets from another what that one held at some moment, or only some of it."""
        giver, taker = self.rng.choice(self.phones), self.rng.choice(self.phones)
        held = giver.view.entries
        sent = held[: self.rng.randint(0, len(held))] if self.rng.random() < 0.7 else held
        if self.rng.random() < 0.1:
            sent = [entry for entry in sent if self.rng.random() < 0.5]
        taker.view = take_in(taker.view, sent, self.rng.choice(WAYS[:-1]), {})


def _named(slot: tuple[str, str]) -> tuple[str, str]:
    """Return a slot as `slot_ids` asks for it: a part by its own name."""
    step, name = slot
    return step, name.removeprefix("part:")


# --- how it comes together ------------------------------------------------------------------------------------------


def take_in(held: Gathered, batch: list[Entry], way: str, sheets: Sheets) -> Gathered:
    if way == "one by one":
        return functools.reduce(add, batch, held)
    if way == "record" and batch:
        record = read_record(write_record(batch, sheets))
        assert isinstance(record, Record), record
        batch = record.entries
    return gather(union(held.entries, batch))


@dataclass(frozen=True)
class Route:
    """How one phone got everything: what it held, then batch after batch. Numbers are places in the split's entries."""

    held: list[int]
    batches: list[tuple[str, list[int]]]


@dataclass(frozen=True)
class Split:
    number: int
    job: Job
    sheets: Sheets
    entries: list[Entry]
    """Everything ever written, each once, in no order."""
    routes: list[Route]
    writers: int
    set_back: int


def split_of(seed: int, number: int, job: Job | None = None) -> Split:
    """Return the split of this number, of any job or of this one. The same seed gives the same split."""
    rng = Random(seed * 1_000_003 + number)
    job = job or job_for(rng)
    crew = Crew(rng, job)
    crew.run()
    entries = list(crew.ever.values())
    rng.shuffle(entries)
    place = {canonical(entry): number for number, entry in enumerate(entries)}
    views = ([place[canonical(entry)] for entry in phone.view.entries] for phone in crew.phones)
    routes = [_route(rng, held, len(entries)) for held in views]
    writers = len({entry["writer"] for entry in entries})
    set_back = sum(phone.set_back for phone in crew.phones)
    return Split(number, job, by_digest(job.sheet, job.other), entries, routes, writers, set_back)


def _route(rng: Random, held: list[int], count: int) -> Route:
    """Return all entries in batches, some entries in several. None is left out."""
    coming = [*range(count), *(rng.randrange(count) for _ in range(count // 4))]
    rng.shuffle(coming)
    batches = []
    while coming:
        size = rng.choice([1, 3, 10, len(coming)])
        batches.append((rng.choice(WAYS), coming[:size]))
        coming = coming[size:]
    rng.shuffle(held)
    return Route(held, batches)
