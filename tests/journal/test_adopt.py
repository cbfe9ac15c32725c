"""Random walks over generated revisions: what was opened stays open. The proof is `tests/journal/adopt_harness.py`."""

from __future__ import annotations

from random import Random

import pytest

from tests.journal import adopt_harness
from tests.journal.adoptions import Event, Look, lowered, walk
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
