"""Split jobs over several phones, bring everything together again in every way, and count what differs.

    python -m tests.proofs.merge_harness --splits 10000

`tests/support/merge_splits.py` says what a split is. In the end every phone has got everything ever written, each by a
way of its own, in Python and again in a browser. Then all must show the same job, to the byte, and hold every entry
once. The control merges by wall clock, and the last to write a slot wins. It must be seen to show another job.
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
from datetime import date
from typing import Any

from playwright.sync_api import Page, sync_playwright

from generator.canonical import canonical, digest
from generator.journal.entries import SLOTS, Entry, Gathered, gather, union
from generator.journal.fold import fold, judge
from generator.journal.record import write_record
from tests.browser.engines import chromium_version, launch_chromium
from tests.proofs.kill_harness import pages_server
from tests.support.merge_splits import Route, Sheets, Split, split_of, take_in
from tests.support.node import Phone

# --- where each phone gets to ---------------------------------------------------------------------------------------


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
    """Return where each phone ends, by Python."""
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
    """The control: the entry of each slot whose phone shows the latest time."""
    newest: dict[Any, Entry] = {}
    for entry in entries:
        slot = SLOTS.get(entry["kind"])
        key = slot(entry) if slot else entry["id"]
        if key not in newest or entry["at"] >= newest[key]["at"]:
            newest[key] = entry
    return list(newest.values())


def control_differs(split: Split) -> bool:
    """True if a merge by wall clock shows some step or value differently."""
    ours, theirs = (fold(entries, split.sheets) for entries in (split.entries, by_wall_clock(union(split.entries))))
    return _shown(ours) != _shown(theirs)


def _shown(state: dict[str, Any]) -> Any:
    return {path: seen["state"] for path, seen in state["steps"].items()}, state["values"]


# --- the same on the phone ------------------------------------------------------------------------------------------

# Take every phone of every split along its route. Return the digests of the state, the entries and the records written.
MERGE = """async (text) => {
  const J = await import('/phone/journal/journal.js');
  const { exportText, readRecord } = await import('/phone/job/carry.js');
  const { digest } = await import('/phone/base/digest.js');
  const { sheets, splits } = JSON.parse(text);
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


def phone_ends(phone: Page | Phone, splits: list[Split]) -> list[list[list[str]]]:
    """Return where each phone of each split ends, by its own code, on a page or in Node. A worksheet is sent once."""
    known = set(phone.evaluate("() => Object.keys(globalThis.sheets ?? {})"))
    sheets = {mark: sheet for split in splits for mark, sheet in split.sheets.items() if mark not in known}
    sent = [
        {
            "entries": split.entries,
            "named": list(split.sheets),
            "routes": [{"held": route.held, "batches": route.batches} for route in split.routes],
        }
        for split in splits
    ]
    found: list[list[list[str]]] = phone.evaluate(MERGE, json.dumps({"sheets": sheets, "splits": sent}))
    return found


def as_python(split: Split, reference: End | None = None) -> list[list[str]]:
    """Return what a page says that does the same as Python."""
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
    """Run these splits in Python and in a browser of their own."""
    total: Report = {}
    with pages_server() as server, sync_playwright() as playwright:
        browser = launch_chromium(playwright)
        for first in range(0, len(numbers), batch):
            page = browser.new_page()  # a new page each time, so that no page holds the sheets of thousands
            page.goto(server.url("/phone/journal/journal.js"))
            splits = [split_of(seed, number) for number in numbers[first : first + batch]]
            total = added(total, report(splits, phone_ends(page, splits)))
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
