"""Waits as the phone sees them after a reload, a sleep, a set clock, on another phone; what it knows of its clock."""

from __future__ import annotations

import json
from typing import Any

import pytest

from tests.support.node import Phone

START = 1_790_928_000_000  # 2026-10-02T08:00:00.000Z
AT = "2026-10-02T08:00:00.000Z"
STARTED = {"part": "start", "kind": "check", "device": "a", "at": AT, "value": {}}

# What the phone knows of a wait comes from the journal and the clock alone. Nothing is stored between two looks.
LOOK = """async ([seen, check, every, look]) => {
  const { waitOf } = await import('/phone/job/clock.js');
  const { paceOf } = await import('/phone/job/sound.js');
  const running = waitOf(seen, check, {}, look);
  return { running, pace: running && paceOf(running, every, look.now) };
}"""


def look(phone: Phone, seconds: float, *starts: dict[str, Any], every: float = 60, **more: Any) -> Any:
    """Return a wait of 300 s with a move each `every` seconds, so many seconds after 08:00."""
    check = {"kind": "wait", "value": "press", "seconds": 300, **more.pop("check", {})}
    seen = {"answers": list(starts) or [STARTED], "elapsed": more.pop("elapsed", None)}
    return phone.evaluate(LOOK, [seen, check, every, {"device": "a", "now": START + seconds * 1000, **more}])


def pace(phone: Phone, seconds: float, **more: Any) -> Any:
    told = look(phone, seconds, **more)["pace"]
    return told and {**told, "next": told["next"] and (told["next"] - START) / 1000, "since": told["since"] / 1000}


def test_a_paced_wait_counts_its_moves_from_the_start(phone: Phone):
    assert pace(phone, 0) == {"due": 1, "of": 5, "next": 60, "since": 0}
    assert pace(phone, 59.9) == {"due": 1, "of": 5, "next": 60, "since": 59.9}
    assert pace(phone, 60) == {"due": 2, "of": 5, "next": 120, "since": 0}
    assert pace(phone, 250) == {"due": 5, "of": 5, "next": None, "since": 10}


def test_a_phone_that_slept_goes_on_at_the_move_that_is_due_now(phone: Phone):
    """Moves that were slept through are counted, and none of them is due again."""
    assert pace(phone, 61)["due"] == 2
    assert pace(phone, 185) == {"due": 4, "of": 5, "next": 240, "since": 5}
    assert look(phone, 9000)["running"]["over"] and pace(phone, 9000)["due"] == 5


def test_a_pace_that_is_no_whole_part_of_the_wait_has_its_last_move_before_the_end(phone: Phone):
    assert pace(phone, 280, every=70) == {"due": 5, "of": 5, "next": None, "since": 0}
    assert pace(phone, 10, every=400) == {"due": 1, "of": 1, "next": None, "since": 10}
    assert pace(phone, 10, every=0) is None


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
    phone: Phone, why: str, seen: dict[str, Any]
):
    about = {"seconds": 100, **seen}
    told = look(phone, **about)
    assert told["running"]["ask"] == why and not told["running"]["over"] and told["pace"] is None
    said = look(phone, **about, elapsed=300)["running"]
    assert said["over"] is (why != "unknown")


def test_a_watched_wait_runs_from_the_start_that_has_its_reading(phone: Phone):
    watch = {"check": {"watch": {"start": "before", "end": "after"}}}
    assert look(phone, 100, STARTED, **watch)["running"] is None
    read = {**STARTED, "value": {"number": 80, "unit": "kPa(vac)"}}
    assert look(phone, 100, read, **watch)["running"]["left"] == 200


def test_a_wait_begun_again_runs_from_its_new_start(phone: Phone):
    again = {**STARTED, "at": "2026-10-02T08:02:00.000Z"}
    assert look(phone, 300, again)["running"]["left"] == 120


# -- waits without moves, and the clock itself ------------------------------------------------------------------------


def wait(phone: Phone, now: float, *, device: str = "a", elapsed: float | None = None, **more: Any) -> Any:
    """Return what a phone's clock says of a wait of 600 s that phone a started at 08:00, so many seconds later."""
    check = {"kind": "wait", "value": "drain", "seconds": 600, **more.pop("check", {})}
    started = {"part": "start", "kind": "check", "device": "a", "at": more.pop("at", AT)}
    seen = {"answers": more.pop("answers", [started]), "elapsed": elapsed}
    return phone.evaluate(
        """async ([seen, check, values, look]) => (
          (await import('/phone/job/clock.js')).waitOf(seen, check, values, look)
        )""",
        [seen, check, more.pop("values", {}), {"device": device, "now": START + now * 1000, **more}],
    )


def test_a_wait_counts_down_to_a_deadline(phone: Phone):
    assert wait(phone, 200) == {
        "seconds": 600,
        "startedAt": START,
        "until": START + 600_000,
        "left": 400,
        "over": False,
        "ask": None,
    }
    assert wait(phone, 600)["over"] and wait(phone, 9000)["left"] == 0
    assert wait(phone, 200, answers=[]) is None


@pytest.mark.parametrize(
    ("why", "look"),
    [
        ("another-phone", {"device": "b"}),
        ("clock", {"now": -3600}),
        ("clock", {"jumped": True}),
        ("another-phone", {"at": "half past four"}),
        ("unknown", {"check": {"seconds": None}}),
        ("unknown", {"check": {"seconds": None}, "values": {"drain": {"text": "a while"}}}),
    ],
)
def test_where_the_clock_says_nothing_a_person_is_asked(phone: Phone, why: str, look: dict[str, Any]):
    told = wait(phone, **{"now": 200, **look})
    assert told["ask"] == why and told["left"] is None and not told["over"]
    if why != "unknown":
        assert wait(phone, **{"now": 200, "elapsed": 700, **look})["over"]
    assert not wait(phone, **{"now": 200, "elapsed": 500, **look})["over"]


def test_a_wait_takes_its_time_from_the_value_read_on_the_phone(phone: Phone):
    told = wait(phone, 60, check={"seconds": None}, values={"drain": {"text": "1.5 min"}})
    assert (told["seconds"], told["left"]) == (90, 30)


def clock(phone: Phone, call: str) -> Any:
    return phone.evaluate(f"async () => (await import('/phone/job/clock.js')).{call}")


def test_a_clock_that_was_set_is_seen_and_one_that_drifts_is_not(phone: Phone):
    looks = [(1000, 1000), (1900, 1000), (-3_600_000, 1000), (3_600_000, 1000)]
    told = [
        clock(phone, f"clockSet({{ wall: 0, steady: 0 }}, {{ wall: {wall}, steady: {steady} }})")
        for wall, steady in looks
    ]
    assert told == [None, None, "back", "ahead"]


def test_a_phones_clock_that_ran_backwards_shows_in_its_entries(phone: Phone):
    entries = [{"device": "a", "at": AT}, {"device": "b", "at": "1999-01-01T00:00:00.000Z"}]
    told = [
        clock(phone, f"ranBack({json.dumps(entries)}, {{ device: '{device}', now: {START + late} }})")
        for device, late in (("a", 5000), ("a", -60_000), ("b", -60_000))
    ]
    assert told == [False, True, False]


def test_a_self_check_says_how_long_it_still_must_wait(phone: Phone):
    answers = json.dumps([{"at": AT}, {"at": "2026-10-02T08:05:00.000Z"}])
    assert clock(phone, f"selfCheckLeft({answers}, 600, {START + 600_000})") == 300
    assert clock(phone, f"selfCheckLeft({answers}, 600, {START + 900_000})") == 0
