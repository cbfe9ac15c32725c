"""A short share of the damage harness: a torn main store loses nothing that was shown as saved."""

import random

import pytest

from tests.proofs.damage_harness import (
    CONTROL,
    KINDS,
    Damage,
    Killed,
    Outcome,
    Phone,
    failures,
    opened,
    pages_server,
    trials,
    version_before,
)

pytestmark = pytest.mark.browser


def test_ticks_painted_after_a_torn_store_are_there_two_openings_later(playwright, pages):
    [outcome] = trials(KINDS[0], 1, playwright, pages, random.Random(1))
    assert (outcome.painted, outcome.after, outcome.lost, outcome.told) == (14, 6, 0, 0)


def test_the_version_before_ticks_and_ends_in_the_same_trials(playwright):
    """What it lost is counted by the proof alone; a control that cannot open a page counts nothing."""
    with pages_server(version_before()) as before:
        [outcome] = trials(CONTROL, 1, playwright, before, random.Random(1))
    assert (outcome.painted, outcome.after) == (14, 6)


def test_a_loss_is_told_from_a_sound_run_and_a_control_that_loses_nothing_is_a_failure():
    sound, loss, told = (Outcome(14, 6, *counts, frozenset()) for counts in [(0, 0), (3, 0), (0, 3)])
    every = Damage("all", (), every=True)
    assert list(failures([(KINDS[0], [sound]), (CONTROL, [sound, loss]), (every, [told])])) == []
    assert len(list(failures([(KINDS[0], [loss]), (CONTROL, [sound]), (KINDS[1], [told]), (every, [loss])]))) == 4


@pytest.mark.parametrize(
    ("witnessed", "held", "trouble", "counts"),
    [
        ("ab", "ab", ["disk-full"], (0, 0, 0, 0)),
        ("ab", "ab", ["store-behind"], (1, 0, 0, 0)),
        ("", "ab", ["store-empty-mirror-not"], (0, 1, 0, 0)),
        ("a", "ab", ["disk-full"], (0, 1, 1, 0)),
        ("", "a", ["all-lost"], (0, 1, 0, 1)),
        ("ab", "a", [], (0, 0, 0, 1)),
    ],
)
def test_an_alarm_after_a_kill_is_false_only_where_the_witness_found_every_painted_tick(
    witnessed, held, trouble, counts
):
    found = Killed()
    found.reopened({"a", "b"}, set(witnessed), set(held), trouble)
    assert (len(found.false), found.dropped, found.untold, len(found.lost)) == counts


def test_the_witness_reads_the_store_without_the_phone_and_makes_none(playwright, pages, tmp_path):
    phone = Phone(playwright, pages, tmp_path)
    try:
        phone.launch()
        assert phone.witnessed() == set()
        assert phone.page.evaluate("async () => (await indexedDB.databases()).length") == 0
        assert opened(phone.page, pages) == (set(), [])
        phone.tick(["a", "b"])
        assert phone.witnessed() == {"a", "b"}
    finally:
        phone.end(clean=False)
