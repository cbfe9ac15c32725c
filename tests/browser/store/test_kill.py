"""Sudden death: nothing that was shown is missing afterwards, and the harness would notice if it were."""

import random

import pytest

from tests.proofs.disks.disk_syncs import OPEN, Syncs, syncs_in_chromium
from tests.proofs.kill_harness import (
    EARLY,
    KEPT,
    LOCAL,
    Life,
    Result,
    failures,
    judged,
    run,
    serials,
    start_chromium,
    table,
)

pytestmark = pytest.mark.browser

LIVES = 10
CONTROL_LIVES = 3
TICKS = 20


@pytest.fixture
def profile(tmp_path):
    return tmp_path / "profile"


def test_no_painted_tick_is_lost_when_the_browser_is_killed_around_the_paint(profile):
    result = run(KEPT, LIVES, start_chromium, profile, random.Random())
    assert result.in_window >= LIVES
    assert result.painted >= 5 * LIVES
    assert result.refused == []
    assert not any(life.lost for life in result.lives)


@pytest.mark.parametrize("way", [LOCAL, EARLY], ids=lambda way: way.name)
def test_the_harness_sees_the_losses_of_a_way_that_does_not_keep(profile, way):
    result = run(way, CONTROL_LIVES, start_chromium, profile, random.Random())
    assert result.lost > 0


def test_a_tick_that_goes_missing_lives_later_is_counted_once():
    alive = Life(painted=frozenset({1, 2}), offset=0, refused=())
    first = judged(alive, {1, 2}, Result(KEPT))
    second = judged(Life(frozenset({1001}), 0, ()), {2, 1001}, Result(KEPT, [first]))
    third = judged(Life(frozenset({2001}), 0, ()), {2, 1001, 2001, 2002}, Result(KEPT, [first, second]))
    assert [sorted(life.lost) for life in (first, second, third)] == [[], [1], []]
    assert third.unpainted == 1
    assert serials("1-3,7-7") == {1, 2, 3, 7}


def test_the_harness_fails_for_a_loss_for_a_blunt_control_and_for_a_tick_that_is_not_on_the_disk():
    good, lossy = Life(frozenset({1}), 0, ()), Life(frozenset({1}), 0, (), lost=frozenset({1}))
    sound = [Result(KEPT, [good]), Result(LOCAL, [lossy]), Result(KEPT, [good], "WebKit")]
    syncs = [Syncs("Chromium", "strict", 5, 5), Syncs("Chromium", "relaxed", 5, 0), Syncs("WebKit", "relaxed", 5, 6)]
    wanted = {"Chromium": 1, "WebKit": 1}
    assert list(failures(sound, syncs, wanted)) == []
    broken = [Result(KEPT, [lossy]), Result(LOCAL, [good]), Result(KEPT, [], "WebKit")]
    told = list(failures(broken, [Syncs("WebKit", "strict", 5, 4), Syncs("Chromium", "relaxed", 5, 1)], wanted))
    assert len(told) == 5 and [line.split()[0] for line in told[1:3]] == ["no", "WebKit:"]
    assert "control: relaxed" in "\n".join(table(sound, syncs, 1.0, 1))


# --- what reaches the disk ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("durability", OPEN)
def test_every_kept_tick_is_on_the_disk_and_a_relaxed_one_is_not(playwright, pages, durability, tmp_path):
    counted = syncs_in_chromium(playwright, pages, durability, TICKS, tmp_path)
    assert counted.kept == TICKS
    assert counted.synced >= TICKS if durability == "strict" else counted.synced == 0
