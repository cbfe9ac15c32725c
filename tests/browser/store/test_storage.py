"""Some ways in which a phone's store fails, on real pages. The others: `python -m tests.proofs.storage_harness`."""

import random
from dataclasses import replace

import pytest

from tests.proofs.storage_harness import ROWS, Seen, broken, trial

pytestmark = pytest.mark.browser

ROW = {row.name: row for row in ROWS}


@pytest.mark.parametrize("name", ["throwing", "main-random", "private"])
def test_what_is_shown_as_kept_is_there_afterwards_and_what_is_not_is_said(playwright, name):
    seen = trial(ROW[name], playwright, random.Random(5))
    assert list(broken(ROW[name], seen)) == [], seen.words


GOOD = Seen(promised=["kept-twice", "unseen"], painted={"a", "b"}, held={"a", "b"}, offered=True)


@pytest.mark.parametrize(
    ("name", "change", "said"),
    [
        ("sound", {"held": {"a"}}, "1 painted as kept and lost"),
        ("sound", {"painted": set()}, "nothing was painted as kept"),
        ("sound", {"promised": ["nothing"]}, "promised ['nothing'] before the first tick"),
        ("sound", {"offered": False}, "the job was not offered as a file"),
        ("full", {}, "every tick was painted as kept"),
        ("full", {"not_kept": {"x"}}, "not a word that ticks are not kept"),
        ("main-random", {}, "not a word that it is “lost its main copy”"),
        ("full", {"stop": "passed"}, "the stop was passed"),
        ("private", {"promised": ["kept-twice"]}, "what cannot be seen was not worded"),
        ("private", {}, "nothing was lost: the harness does not bite"),
        ("sound", {"fault": "it hung"}, "it did not go on: it hung"),
    ],
)
def test_a_broken_promise_is_noticed(name, change, said):
    assert [line for line in broken(ROW[name], replace(GOOD, **change)) if line.startswith(said)]


def test_a_good_trial_breaks_nothing_and_what_a_page_cannot_see_may_be_lost():
    assert list(broken(ROW["sound"], GOOD)) == []
    assert list(broken(ROW["private"], replace(GOOD, held=set()))) == []
