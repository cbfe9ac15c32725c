"""A short share of the damage harness: a torn main store loses nothing that was painted as kept."""

import random

import pytest

from tests.browser.damage_harness import CONTROL, KINDS, Damage, Outcome, failures, trials

pytestmark = pytest.mark.browser


def test_ticks_painted_after_a_torn_store_are_there_two_openings_later(playwright, pages):
    [outcome] = trials(KINDS[0], 1, playwright, pages, random.Random(1))
    assert (outcome.painted, outcome.after, outcome.lost, outcome.told) == (14, 6, 0, 0)


def test_a_loss_is_told_from_a_sound_run_and_a_control_that_loses_nothing_is_a_failure():
    sound, loss, told = (Outcome(14, 6, *counts, frozenset()) for counts in [(0, 0), (3, 0), (0, 3)])
    every = Damage("all", (), every=True)
    assert list(failures([(KINDS[0], [sound]), (CONTROL, [sound, loss]), (every, [told])])) == []
    assert len(list(failures([(KINDS[0], [loss]), (CONTROL, [sound]), (KINDS[1], [told]), (every, [loss])]))) == 4
