"""Random walks over generated revisions: what was opened stays open. The proof is `tests/journal/adopt_harness.py`."""

from __future__ import annotations

from random import Random

import pytest

from generator.journal.entries import gather
from generator.journal.fold import judge
from tests.journal import adopt_harness
from tests.journal.adoptions import THINGS, Event, Look, Sheets, lowered, walk
from tests.support.journals import DAY, TICK, Entry, by_digest, digest_of, sheet_of, step
from tests.support.journals import Phone as Writer
from tests.support.node import Phone

WALKS = 25


def test_no_walk_over_revisions_loses_what_was_opened_and_both_folds_agree(phone: Phone) -> None:
    tally = adopt_harness.run(7, WALKS, phone)
    assert tally.lost.total() == 0, tally.first
    assert tally.differs == []
    assert tally.control.total() > WALKS / 2, "a phone that knows only the worksheet in use loses too little"
    assert tally.asked > WALKS, "walks on which nobody is asked what became of a thing prove nothing"


@pytest.mark.parametrize("seed", range(3))
def test_the_walks_see_a_count_that_falls_by_itself(seed: int) -> None:
    event = next(one for one in walk(Random(seed), 60) if one.what == "adopt" and one.before.opened)
    items = {name: {**item, "open": 0} for name, item in event.after.state["items"].items()}
    emptied = Look(event.after.gathered, event.after.sheets, {**event.after.state, "items": items})
    assert lowered(Event("adopt", event.before, emptied))


def _look(entries: list[Entry], sheets: Sheets) -> Look:
    gathered = gather(entries)
    return Look(gathered, sheets, judge(gathered, sheets))


def _guessed(own_opens: int, others: int) -> tuple[list[Entry], Sheets, Sheets]:
    """A tick on a worksheet that is not at hand, and so many bolts open of another step: (entries, first, both)."""
    done = step("done", 0, TICK, completion=True, leave="never")

    def sheet(count: int, revision: int) -> Sheets:
        opens = [{"what": "bolts", "count": count}] if count else []
        cover = step("cover-off", 0, TICK, opens=opens)
        more = step("more-off", 0, TICK, opens=[{"what": "bolts", "count": 2}])
        return by_digest(sheet_of(["any"], [cover, more, done], items=THINGS, revision=revision))

    first, own = sheet(6, 1), sheet(own_opens, 2)
    phone = Writer(Random(1), "phone-1", next(iter(first.values())))
    phone.write("start", DAY, value={"number": "R-7", "vehicle": "blue van"})
    for _ in range(others):
        phone.write("check", DAY, step="more-off", seen=phone.sees("more-off", ""))
    phone.sheet = next(iter(own.values()))
    phone.write("adopt", DAY, value={"sheet": digest_of(phone.sheet)}, seen=phone.sees("", "sheet"))
    phone.write("check", DAY, step="cover-off", seen=phone.sees("cover-off", ""))
    return phone.view.entries, first, {**first, **own}


@pytest.mark.parametrize("own", [0, 2, 6])
def test_a_worksheet_that_comes_says_what_its_own_tick_opened_and_nothing_else_may_fall(own: int) -> None:
    entries, first, both = _guessed(own, others=1)
    before, after = _look(entries, first), _look(entries, both)
    assert before.opened == {"bolts": 8}
    assert after.opened == {"bolts": own + 2}
    assert lowered(Event("fetch", before, after)) == []
    items = {"bolts": {**after.state["items"]["bolts"], "open": own + 1}}  # one of the other step is lost beside it
    lost = Look(after.gathered, after.sheets, {**after.state, "items": items})
    assert lowered(Event("fetch", before, lost)) == [("bolts", 8, own + 1)]


def test_the_same_fall_is_a_loss_when_the_worksheet_was_at_hand_or_the_tick_is_not_its_own() -> None:
    entries, first, both = _guessed(0, others=1)
    before, after = _look(entries, first), _look(entries, both)
    assert lowered(Event("fetch", Look(before.gathered, both, before.state), after)) == [("bolts", 8, 2)]
    moved = [{**entry, "sheet": next(iter(first))} if entry["step"] == "cover-off" else entry for entry in entries]
    told = Look(gather(moved), first, before.state)
    assert lowered(Event("fetch", told, Look(told.gathered, both, after.state))) == [("bolts", 8, 2)]
