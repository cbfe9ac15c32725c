"""The battery is pulled: what was shown as saved is there afterwards, and a weaker way of saving loses some."""

import subprocess
import sys

import pytest

from tests.proofs.disks.loop_disk import possible, why_not
from tests.proofs.kill_harness import KEPT, LOCAL, start_chromium
from tests.proofs.power_cut import RELAXED, Cut, Row, failures, table, trial

pytestmark = pytest.mark.browser


def test_what_was_painted_outlives_a_power_cut_right_after_the_paint_and_a_relaxed_tick_does_not():
    """If this machine has no disk that can be cut, the command says so and claims nothing."""
    if possible():
        kept, relaxed = trial(KEPT, start_chromium, 0), trial(RELAXED, start_chromium, 0)
        assert (kept.painted, kept.lost) == (1, 0) and relaxed.lost > 0
        return
    command = [sys.executable, "-m", "tests.proofs.power_cut", "--trials", "1"]
    told = subprocess.run(command, capture_output=True, text=True)
    assert told.returncode == 0 and "not possible" in told.stdout and why_not() in told.stdout


def test_a_lost_tick_and_a_control_that_loses_nothing_are_failures():
    good, bad = Cut(0.5, 1, 0), Cut(0.5, 1, 1)
    assert list(failures([Row("Chromium", KEPT, [good]), Row("Chromium", RELAXED, [bad])])) == []
    rows = [Row("Chromium", KEPT, [good, bad]), Row("WebKit", LOCAL, [good])]
    told = list(failures(rows))
    assert len(told) == 2 and "1 painted" in told[0] and "does not bite" in told[1]
    assert "0.50 / 0.50 / 0.50" in "\n".join(table(rows, 1.0, 1))
