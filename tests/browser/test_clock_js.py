"""Waits as the phone sees them after a reload, a sleep, a set clock, on another phone: paced, and watched."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.server import Server

pytestmark = pytest.mark.browser

START = 1_790_928_000_000  # 2026-10-02T08:00:00.000Z
STARTED = {"part": "start", "kind": "check", "device": "a", "at": "2026-10-02T08:00:00.000Z", "value": {}}

# What the phone knows of a wait comes from the journal and the clock alone: nothing is kept between two looks.
LOOK = """async ([seen, check, every, look]) => {
  const { waitOf } = await import('/phone/clock.js');
  const { paceOf } = await import('/phone/sound.js');
  const running = waitOf(seen, check, {}, look);
  return { running, pace: running && paceOf(running, every, look.now) };
}"""


@pytest.fixture(scope="module")
def lab(chromium: Browser, pages: Server) -> Iterator[Page]:
    page = chromium.new_page()
    page.goto(pages.url("/phone/clock.js"))
    yield page
    page.close()


def look(lab: Page, seconds: float, *starts: dict[str, Any], every: float = 60, **more: Any) -> Any:
    """A wait of 300 s with a move each `every` seconds, so many seconds after 08:00."""
    check = {"kind": "wait", "value": "press", "seconds": 300, **more.pop("check", {})}
    seen = {"answers": list(starts) or [STARTED], "elapsed": more.pop("elapsed", None)}
    return lab.evaluate(LOOK, [seen, check, every, {"device": "a", "now": START + seconds * 1000, **more}])


def pace(lab: Page, seconds: float, **more: Any) -> Any:
    told = look(lab, seconds, **more)["pace"]
    return told and {**told, "next": told["next"] and (told["next"] - START) / 1000, "since": told["since"] / 1000}


def test_a_paced_wait_counts_its_moves_from_the_start(lab: Page):
    assert pace(lab, 0) == {"due": 1, "of": 5, "next": 60, "since": 0}
    assert pace(lab, 59.9) == {"due": 1, "of": 5, "next": 60, "since": 59.9}
    assert pace(lab, 60) == {"due": 2, "of": 5, "next": 120, "since": 0}
    assert pace(lab, 250) == {"due": 5, "of": 5, "next": None, "since": 10}


def test_a_phone_that_slept_goes_on_at_the_move_that_is_due_now(lab: Page):
    """Moves slept through are counted, and none of them is due again."""
    assert pace(lab, 61)["due"] == 2
    assert pace(lab, 185) == {"due": 4, "of": 5, "next": 240, "since": 5}
    assert look(lab, 9000)["running"]["over"] and pace(lab, 9000)["due"] == 5


def test_a_pace_that_is_no_whole_part_of_the_wait_has_its_last_move_before_the_end(lab: Page):
    assert pace(lab, 280, every=70) == {"due": 5, "of": 5, "next": None, "since": 0}
    assert pace(lab, 10, every=400) == {"due": 1, "of": 1, "next": None, "since": 10}
    assert pace(lab, 10, every=0) is None


@pytest.mark.parametrize(
    ("why", "seen"),
    [
        ("another-phone", {"device": "b"}),
        ("clock", {"seconds": -3600}),
        ("clock", {"jumped": True}),
        ("unknown", {"check": {"seconds": None}}),
    ],
)
def test_where_the_clock_says_nothing_no_move_is_told_and_a_person_says_how_long(
    lab: Page, why: str, seen: dict[str, Any]
):
    about = {"seconds": 100, **seen}
    told = look(lab, **about)
    assert told["running"]["ask"] == why and not told["running"]["over"] and told["pace"] is None
    said = look(lab, **about, elapsed=300)["running"]
    assert said["over"] is (why != "unknown")


def test_a_watched_wait_runs_from_the_start_that_has_its_reading(lab: Page):
    watch = {"check": {"watch": {"start": "before", "end": "after"}}}
    assert look(lab, 100, STARTED, **watch)["running"] is None
    read = {**STARTED, "value": {"number": 80, "unit": "kPa(vac)"}}
    assert look(lab, 100, read, **watch)["running"]["left"] == 200


def test_a_wait_begun_again_runs_from_its_new_start(lab: Page):
    again = {**STARTED, "at": "2026-10-02T08:02:00.000Z"}
    assert look(lab, 300, again)["running"]["left"] == 120
