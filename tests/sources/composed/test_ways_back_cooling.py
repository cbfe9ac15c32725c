"""Ways back to the tensioner's bleed and into the cooling system: what is loaded, hot or open there is a step again.

A sentence in a way back is read once, by a person who has just been told that the job failed. What can hurt there, and
what must be counted, is therefore a step of its own that is asked again. Common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.sources.test_library import fail_and_go_back
from tests.sources.test_trade_rules import LAYOUTS
from tests.support import demo
from tests.support.walker import Walker, gone_to

BLEED = ("press-touching", "rod-out", "stand", "press", "how-it-pressed", "pin")
BLED = ("inline-four", "flat-four", "vee-six")


def ways_back(sheet: dict[str, Any]) -> dict[str, list[str]]:
    """Return {step that fails: every step that is then to be done again}, where it goes back further than itself."""
    plans = {step["path"]: step["if_failed"] for step in sheet["steps"] if step["if_failed"]}
    return {path: [plan["back_to"], *plan["disturbs"]] for path, plan in plans.items() if plan["back_to"]}


def failed(layout: str, path: str) -> Walker:
    """A good day up to this step, which then fails and goes back as its worksheet says."""
    walker = gone_to(demo.sheet(layout), path)
    fail_and_go_back(walker, path)
    return walker


def is_open(walker: Walker, *names: str) -> list[int]:
    return [walker.state["items"][name]["open"] for name in names]


@pytest.mark.parametrize("layout", BLED)
def test_no_way_back_enters_the_bleed_behind_its_press(layout):
    sheet = demo.sheet(layout)
    uses = {step["path"].rpartition("/")[0] for step in sheet["steps"] if step["path"].endswith("/press-touching")}
    assert len(uses) == (2 if layout == "vee-six" else 1)
    entered = {
        (path, use): {f"{use}/{name}" for name in BLEED} & set(again)
        for path, again in ways_back(sheet).items()
        for use in uses
        if {f"{use}/{name}" for name in BLEED} & set(again)
    }
    assert len({path for path, _ in entered}) >= 5
    behind = {key: found for key, found in entered.items() if not {f"{key[1]}/{BLEED[0]}", f"{key[1]}/{BLEED[1]}"} <= found}
    assert behind == {}


@pytest.mark.parametrize(
    ("layout", "path", "bleed", "pin"),
    [
        ("flat-four", "prove/stick-out", "bleed", "shipping_pin"),
        ("inline-four", "turn/two-turns", "bleed", "shipping_pin"),
        ("vee-six", "prove-left/stick-out", "bleed-left", "shipping_pin_left"),
        ("vee-six", "prove-right/marks-proved", "bleed-right", "shipping_pin_right"),
        ("flat-four", "bleed/how-it-pressed", "bleed", "shipping_pin"),
    ],
)
def test_the_shipping_pin_of_a_second_tensioner_is_counted_and_pulled_under_the_press(layout, path, bleed, pin):
    walker = failed(layout, path).go_on(f"{bleed}/press-touching")
    assert walker.state["next"] == f"{bleed}/press-touching" and is_open(walker, pin) == [0]
    walker.close(f"{bleed}/press-touching")
    assert is_open(walker, pin) == [1] and walker.state["next"] == f"{bleed}/rod-out"
    assert not walker.legal(f"{bleed}/stand")["check"], "it does not stand before its rod is out"
    walker.close(f"{bleed}/rod-out")
    assert is_open(walker, pin) == [0] and walker.state["steps"][f"{bleed}/stand"]["state"] != "done"


def test_a_rod_that_was_pressed_wrong_stands_its_full_time_again():
    walker = failed("flat-four", "bleed/press")
    assert walker.state["next"] == "bleed/press-touching"
    assert walker.state["steps"]["bleed/stand"]["state"] != "done" and not walker.legal("bleed/press")["check"]
