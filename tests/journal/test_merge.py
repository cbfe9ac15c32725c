"""One job on several phones that wrote apart: brought together in any way it is the same job, and nothing is lost."""

from __future__ import annotations

import functools
from random import Random
from typing import Any

from generator.journal.entries import Gathered, gather
from tests.proofs.merge_harness import Report, Tally, control_differs, judged, report, shares, table
from tests.support.merge_splits import Split, compiled, made_up, small, split_of, take_in


@functools.cache
def splits() -> list[Split]:
    """Return a share of the ten thousand splits of `make proof`, some of each kind of worksheet."""
    of_any = [split_of(4, number, made_up(Random(number))) for number in range(40)]
    of_small = [split_of(3, number, small()) for number in range(20)]
    return [*of_any, *of_small, *(split_of(5, number, compiled("flat-four")) for number in range(4))]


def _whole(found: Report) -> Tally:
    return functools.reduce(Tally.__add__, found.values())


def test_every_phone_shows_the_same_job_and_holds_every_entry_once():
    found = report(splits())
    tally = _whole(found)
    assert (tally.python, tally.lost, tally.doubled, tally.wrong) == (0, 0, 0, [])
    assert len(found) == 3 and tally.writers > tally.phones > 2 * tally.splits and tally.set_back > 20


def test_phones_wrote_apart_and_with_wrong_clocks():
    """What the splits consist of. Without this, the test above could pass easily."""
    all_ = splits()
    assert {len(split.routes) for split in all_} == {1, 2, 3, 4, 5}
    years = {entry["at"][:4] for split in all_ for entry in split.entries}
    assert {"1970", "2015", "2026", "2056"} <= years
    assert any(_runs_backwards(split) for split in all_)
    held = [len(route.held) / len(split.entries) for split in all_ for route in split.routes]
    assert sum(part < 0.5 for part in held) > len(held) / 6 and sum(0.5 < part < 1 for part in held) > len(held) / 6
    ways = {way for split in all_ for route in split.routes for way, _ in route.batches}
    assert ways == {"union", "one by one", "record"}


def _runs_backwards(split: Split) -> bool:
    by_writer: dict[str, list[tuple[int, str]]] = {}
    for entry in split.entries:
        by_writer.setdefault(entry["writer"], []).append((entry["lamport"], entry["at"]))
    times = [[at for _, at in sorted(wrote)] for wrote in by_writer.values()]
    return any(len(at) > 5 and at == sorted(at, reverse=True) for at in times)


def test_a_merge_by_wall_clock_is_seen_to_show_another_job():
    assert sum(control_differs(split) for split in splits()) > len(splits()) / 4


def _forgetful(held: Gathered, batch: list[Any], way: str, sheets: Any) -> Gathered:
    return take_in(held, batch[:-1], way, sheets)


def _doubling(held: Gathered, batch: list[Any], way: str, sheets: Any) -> Gathered:
    whole = take_in(held, batch, way, sheets)
    return Gathered([*whole.entries, *batch], whole.index)


def _as_it_came(held: Gathered, batch: list[Any], way: str, sheets: Any) -> Gathered:
    """A wrong merge: nothing is lost, but what came first stays first."""
    new = [entry for entry in gather(batch).entries if entry not in held.entries]
    return Gathered([*held.entries, *new], gather([*held.entries, *new]).index)


def test_a_merge_that_forgets_doubles_or_minds_the_order_would_be_seen():
    some = [split for split in splits() if len(split.routes) > 2][:3]
    for split in some:
        assert judged(split, None, _forgetful).lost
        assert judged(split, None, _doubling).doubled
        odd = judged(split, None, _as_it_came)
        assert odd.python and not odd.lost and odd.wrong == [split.number]


def test_the_shares_of_the_workers_are_all_splits_and_the_table_adds_them_up():
    numbers = [number for _, share in shares(1, 11, 2) for number in share]
    assert sorted(numbers) == list(range(11))
    one = Tally(1, 2, 3, 0, 40, True, 0, 5, 0, 1, [7])
    lines = list(table({"random worksheet": one, "small worksheet": one}, 1, 9.0))
    last = next(line for line in lines if line.startswith("all "))
    assert last.split() == ["all", "2", "4", "6", "0", "80", "2", "0", "10", "0", "2"]
