"""Sudden death: nothing that was painted is missing afterwards, and the harness would notice if it were."""

import random
import subprocess
from pathlib import Path

import pytest

from tests.browser.engines import Chromium, wait_for
from tests.browser.kill_harness import EARLY, KEPT, LOCAL, Life, Result, judged, run, serials, start_chromium

pytestmark = pytest.mark.browser

LIVES = 16
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


# --- what reaches the disk ------------------------------------------------------------------------------------------


def syncs_during(pids: list[int], work, log: Path) -> int:
    """How many times the processes made the disk write down an IndexedDB file while work() ran."""
    attach = [f"--attach={pid}" for pid in pids]
    told = log.with_suffix(".err")
    with told.open("w") as stderr:
        tracer = subprocess.Popen(["strace", "-f", "-y", "-e", "trace=fdatasync", "-o", log, *attach], stderr=stderr)
        try:
            wait_for(lambda: all(f"Process {pid} attached" in told.read_text() for pid in pids), "strace")
            work()
        finally:
            tracer.terminate()
            tracer.wait()
    return sum("fdatasync(" in line and "IndexedDB" in line for line in log.read_text().splitlines())


@pytest.fixture
def opened(playwright, pages, profile):
    """(browser, page holding a keep) in a Chromium whose processes are ours to look into."""
    with Chromium(profile, pages.url("/pages/keep.html")) as browser:
        remote = playwright.chromium.connect_over_cdp(browser.endpoint)
        page = remote.contexts[0].pages[0]
        page.wait_for_selector("html[data-ready]", state="attached")
        yield browser, page
        remote.close()


OPEN = {
    "strict": "async () => { const keep = await open(); globalThis.append = keep.append; }",
    "relaxed": "async () => { globalThis.append = await openRelaxed(); }",
}


@pytest.mark.parametrize("durability", OPEN)
def test_every_kept_tick_is_on_the_disk_and_a_relaxed_one_is_not(opened, durability, tmp_path):
    browser, page = opened
    page.evaluate(OPEN[durability])
    page.evaluate("() => append(entry())")

    def tick():
        kept = page.evaluate(
            """async (ticks) => {
                let kept = 0;
                for (let i = 0; i < ticks; i += 1) kept += (await append(entry())).kept;
                return kept;
            }""",
            TICKS,
        )
        assert kept == TICKS

    syncs = syncs_during(browser.pids, tick, tmp_path / "strace.log")
    assert syncs >= TICKS if durability == "strict" else syncs == 0
