"""Splits a job over several phones that write on apart, brings everything together again in every way, and counts.

    python -m tests.merge_harness --splits 10000

One to five phones work at one job. Each has seen another part of it; their clocks are years off or run backwards; now
and then a phone is set back to an older copy of itself and writes on from there, mostly as a new writer. What they
send arrives late, twice, in any order and grouping, from hand to hand or as the text of a record. In the end every
phone has been brought everything ever written, each by a way of its own, in Python and once more in a browser. Then
all must show the same job, to the byte, and hold every entry once. The control merges by wall clock, the last to
write a slot wins: it must be seen to show another job.
"""

from __future__ import annotations

import argparse
import functools
import json
import os
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from random import Random
from typing import Any

from playwright.sync_api import Page, sync_playwright

from generator.canonical import canonical, digest
from generator.fold import fold, judge
from generator.journal.entries import SLOTS, Entry, Gathered, add, gather, union
from generator.journal.shape import is_sheet
from generator.record import Record, read_record, write_record
from tests import demo
from tests.browser.engines import chromium_version, launch_chromium
from tests.browser.kill_harness import pages_server
from tests.browser.server import Server
from tests.journals import DAY, Phone, Sheet, Shop, by_digest, prepare, random_sheet, revised
from tests.sample_sheet import sample_sheet
from tests.walker import Walker

Sheets = dict[str, Sheet]

WAYS = ("union", "union", "union", "one by one", "one by one", "record")
"""How a batch is taken in; a record is the real text, written and read again."""
YEAR = 365 * 86400
CLOCKS = (0, 0, 2, -7200, 3 * YEAR, -11 * YEAR, -56 * YEAR, 30 * YEAR)
"""Seconds that a phone's clock is off; with an empty battery it begins in 1970."""


# --- what is worked at ----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Job:
    """A worksheet, another revision of it, and what a good day writes, in order; none: whatever comes to mind."""

    name: str
    sheet: Sheet
    other: Sheet
    day: tuple[Entry, ...] = ()


LAYOUTS = ("inline-four", "vee-six", "flat-four")


@functools.cache
def compiled(layout: str) -> Job:
    """The library's own worksheet for an engine, walked from start to end."""
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
    """A phone whose clock may go wrong in any way, and that can be set back to an older copy of itself."""

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
        """From an older copy. What was written since lies in a file that turns up in the end."""
        if self.copies:
            self.view, self.writer, self.prev = self.rng.choice(self.copies)
            self.set_back += 1
            if self.rng.random() < 0.8:  # else it does not notice and writes on under its old name
                self.reload()


class Crew(Shop):
    """Some phones at one job: what they do is a good day's work with mischief in between."""

    def __init__(self, rng: Random, job: Job) -> None:
        super().__init__(rng, job.sheet, job.other)
        self.job = job
        self.ever: dict[str, Entry] = {}
        self.phones: list[Device] = [  # type: ignore[assignment]
            Device(rng, f"phone-{number}", job.sheet, self.ever) for number in range(rng.randint(1, 5))
        ]

    def work(self, phone: Phone, each: dict[str, Any]) -> None:
        """A step answered once more, as on a good day where it is known what that is."""
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
        """The work of the job, one thing after another."""
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
        """Something that was answered is answered once more, otherwise, by whoever; they may not have seen it."""
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
        """One phone gets from another what it held up to some moment, or only some of it."""
        giver, taker = self.rng.choice(self.phones), self.rng.choice(self.phones)
        held = giver.view.entries
        sent = held[: self.rng.randint(0, len(held))] if self.rng.random() < 0.7 else held
        if self.rng.random() < 0.1:
            sent = [entry for entry in sent if self.rng.random() < 0.5]
        taker.view = take_in(taker.view, sent, self.rng.choice(WAYS[:-1]), {})


def _named(slot: tuple[str, str]) -> tuple[str, str]:
    """A slot as `slot_ids` asks for it: a part is named by itself."""
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
    """The split of this number, of any job or this one; the same for the same seed."""
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
    """All entries in batches, some of them in several; none is left out."""
    coming = [*range(count), *(rng.randrange(count) for _ in range(count // 4))]
    rng.shuffle(coming)
    batches = []
    while coming:
        size = rng.choice([1, 3, 10, len(coming)])
        batches.append((rng.choice(WAYS), coming[:size]))
        coming = coming[size:]
    rng.shuffle(held)
    return Route(held, batches)


@dataclass(frozen=True)
class End:
    """What one phone shows and holds in the end."""

    state: str
    """SHA-256 of the canonical state."""
    entries: str
    """SHA-256 of the canonical list of entries, in order."""
    lost: int
    doubled: int


Merge = Callable[[Gathered, list[Entry], str, Sheets], Gathered]


def ends(split: Split, merge: Merge = take_in) -> list[End]:
    """Where each phone gets to, by Python."""
    return [_end(split, _walk(split, route, merge)) for route in split.routes]


def _walk(split: Split, route: Route, merge: Merge) -> Gathered:
    held = gather([split.entries[number] for number in route.held])
    for way, batch in route.batches:
        held = merge(held, [split.entries[number] for number in batch], way, split.sheets)
    return held


def _end(split: Split, held: Gathered) -> End:
    counted = Counter(canonical(entry) for entry in held.entries)
    lost = sum(canonical(entry) not in counted for entry in split.entries)
    state = digest(canonical(judge(held, split.sheets)))
    return End(state, digest(canonical(held.entries)), lost, counted.total() - len(counted))


def by_wall_clock(entries: Iterable[Entry]) -> list[Entry]:
    """The control: of each slot the entry whose phone says the latest time."""
    newest: dict[Any, Entry] = {}
    for entry in entries:
        slot = SLOTS.get(entry["kind"])
        key = slot(entry) if slot else entry["id"]
        if key not in newest or entry["at"] >= newest[key]["at"]:
            newest[key] = entry
    return list(newest.values())


def control_differs(split: Split) -> bool:
    """Would a merge by wall clock show some step or value otherwise?"""
    ours, theirs = (fold(entries, split.sheets) for entries in (split.entries, by_wall_clock(union(split.entries))))
    return _shown(ours) != _shown(theirs)


def _shown(state: dict[str, Any]) -> Any:
    return {path: seen["state"] for path, seen in state["steps"].items()}, state["values"]


# --- the same in a browser ------------------------------------------------------------------------------------------

# Takes every phone of every split along its route: the digests of the state, of the entries and of the records written.
MERGE = """async () => {
  const J = await import('/phone/journal.js');
  const { exportText, readRecord } = await import('/phone/carry.js');
  const { digest } = await import('/phone/digest.js');
  const { sheets, splits } = await (await fetch('/lab/splits.json')).json();
  globalThis.sheets = Object.assign(globalThis.sheets ?? {}, sheets);

  const takeIn = async (held, batch, way, at, records) => {
    if (way === 'one by one') return batch.reduce(J.add, held);
    if (way !== 'record') return J.gather(J.union(held.entries, batch));
    const text = await exportText(batch, at);
    records.push(await digest(text));
    const { entries } = await readRecord(text);
    return J.gather(J.union(held.entries, entries));
  };

  const walk = async (entries, at, route) => {
    const records = [];
    let held = J.gather(route.held.map((number) => entries[number]));
    for (const [way, batch] of route.batches) {
      held = await takeIn(held, batch.map((number) => entries[number]), way, at, records);
    }
    const said = [J.canonical(J.judge(held, at)), J.canonical(held.entries), records.join(' ')];
    return Promise.all(said.map(digest));
  };

  const ends = [];
  for (const { entries, named, routes } of splits) {
    const at = Object.fromEntries(named.map((mark) => [mark, globalThis.sheets[mark]]));
    const found = [];
    for (const route of routes) found.push(await walk(entries, at, route));
    ends.push(found);
  }
  return ends;
}"""


def browser_ends(page: Page, server: Server, splits: list[Split]) -> list[list[list[str]]]:
    """Where each phone of each split gets to, by the phone's own code on this page; a worksheet is sent once."""
    known = set(page.evaluate("Object.keys(globalThis.sheets ?? {})"))
    sheets = {mark: sheet for split in splits for mark, sheet in split.sheets.items() if mark not in known}
    sent = [
        {
            "entries": split.entries,
            "named": list(split.sheets),
            "routes": [{"held": route.held, "batches": route.batches} for route in split.routes],
        }
        for split in splits
    ]
    server.put("/lab/", {"splits.json": json.dumps({"sheets": sheets, "splits": sent}).encode()})
    found: list[list[list[str]]] = page.evaluate(MERGE)
    return found


def as_python(split: Split, reference: End | None = None) -> list[list[str]]:
    """What a page that does as Python does says."""
    reference = reference or _end(split, gather(split.entries))
    return [[reference.state, reference.entries, digest(_records(split, route))] for route in split.routes]


def _records(split: Split, route: Route) -> str:
    sent = [[split.entries[number] for number in batch] for way, batch in route.batches if way == "record"]
    return " ".join(digest(write_record(batch, split.sheets)) for batch in sent)


# --- counting -------------------------------------------------------------------------------------------------------


@dataclass
class Tally:
    """What was counted over some splits of one kind."""

    splits: int = 0
    phones: int = 0
    writers: int = 0
    set_back: int = 0
    entries: int = 0
    python: int = 0
    browser: int = 0
    lost: int = 0
    doubled: int = 0
    control: int = 0
    wrong: list[int] = field(default_factory=list)
    """Numbers of splits that broke a promise."""

    def __add__(self, other: Tally) -> Tally:
        return Tally(**{name: value + getattr(other, name) for name, value in vars(self).items()})


Report = dict[str, Tally]


def judged(split: Split, page_says: list[list[str]] | None, merge: Merge = take_in) -> Tally:
    reference = _end(split, gather(split.entries))
    found = ends(split, merge)
    python = any((end.state, end.entries) != (reference.state, reference.entries) for end in found)
    browser = page_says is not None and page_says != as_python(split, reference)
    lost, doubled = sum(end.lost for end in found), sum(end.doubled for end in found)
    wrong = [split.number] if python or browser or lost or doubled else []
    counted = (1, len(split.routes), split.writers, split.set_back, len(split.entries))
    return Tally(*counted, python, browser, lost, doubled, control_differs(split), wrong)


def report(splits: list[Split], page_says: list[list[list[str]]] | None = None) -> Report:
    found: Report = {}
    for split, says in zip(splits, page_says or [None] * len(splits), strict=True):
        found[split.job.name] = found.get(split.job.name, Tally()) + judged(split, says)
    return found


def added(one: Report, other: Report) -> Report:
    return {name: one.get(name, Tally()) + other.get(name, Tally()) for name in {**one, **other}}


def run(seed: int, numbers: range, batch: int = 25) -> Report:
    """These splits in Python and in a browser of their own."""
    total: Report = {}
    with pages_server() as server, sync_playwright() as playwright:
        browser = launch_chromium(playwright)
        for first in range(0, len(numbers), batch):
            page = browser.new_page()  # a new one each time, so that no page holds the sheets of thousands
            page.goto(server.url("/phone/journal.js"))
            splits = [split_of(seed, number) for number in numbers[first : first + batch]]
            total = added(total, report(splits, browser_ends(page, server, splits)))
            page.close()
        browser.close()
    return total


def table(found: Report, seed: int, seconds: float) -> Iterator[str]:
    yield f"{date.today()}  {chromium_version()}"
    yield f"One job split over 1 to 5 phones and brought together again, each its own way; {seconds:.0f} s; seed {seed}"
    yield ""
    heads = [("splits", ""), ("phones", ""), ("writers", ""), ("set", "back"), ("entries", "")]
    heads += [("Python", "differs"), ("browser", "differs"), ("lost", ""), ("doubled", ""), ("control", "differs")]
    for line in (0, 1):
        yield " " * 20 + "".join(f"{head[line]:>10}" for head in heads)
    whole = functools.reduce(Tally.__add__, found.values())
    for name, tally in [*sorted(found.items()), ("all", whole)]:
        numbers = [value for value in vars(tally).values() if not isinstance(value, list)]
        yield f"{name:20}" + "".join(f"{number:>10}" for number in numbers)
    yield ""
    yield "Set back: a phone went on from an older copy of itself. Control: by wall clock, the last to write wins."


def shares(seed: int, splits: int, workers: int) -> list[tuple[int, range]]:
    return [(seed, range(worker, splits, workers)) for worker in range(workers)]


def main() -> int:
    parser = argparse.ArgumentParser(description="Split jobs over several phones and bring them together again.")
    parser.add_argument("--splits", type=int, default=10_000)
    parser.add_argument("--seed", type=int, default=int(time.time()))
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    options = parser.parse_args()
    begun = time.monotonic()
    with ProcessPoolExecutor(options.workers) as pool:
        parts = pool.map(run, *zip(*shares(options.seed, options.splits, options.workers), strict=True))
        found = functools.reduce(added, parts)
    print("\n".join(table(found, options.seed, time.monotonic() - begun)))
    wrong = [number for tally in found.values() for number in tally.wrong]
    blunt = [name for name, tally in found.items() if not tally.control]
    if wrong:
        print(f"FAILED: {len(wrong)} splits, the first of them {sorted(wrong)[:5]} of seed {options.seed}.")
    if blunt:
        print(
            f"FAILED: a merge by wall clock is not seen to differ on a {', '.join(blunt)}; the harness does not bite."
        )
    return bool(wrong or blunt)


if __name__ == "__main__":
    sys.exit(main())
