"""Ways back to the tensioner's bleed and into the cooling system: what is loaded, hot or open there is a step again.

A sentence in a way back is read once, by a person who has just been told that the job failed. What can hurt there, and
what must be counted, is therefore a step of its own that is asked again. Common practice, no source.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.sources.test_library import LONG_WAY, fail_and_go_back
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
    behind = {
        key: found for key, found in entered.items() if not {f"{key[1]}/{BLEED[0]}", f"{key[1]}/{BLEED[1]}"} <= found
    }
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


def done_again(layout: str, path: str) -> tuple[list[str], Walker]:
    """Let a step fail, go back and do what is asked again. Return these steps in the order they were done."""
    walker, done = failed(layout, path), []
    while (at := walker.state["next"]) is not None and at != path:
        walker.close(at)
        done.append(at)
    walker.close(path)
    return done, walker.go_on()


def in_order(done: list[str], *wanted: str) -> list[str]:
    """Return which of these steps were not done, or not in this order."""
    rest = iter(done)
    return [path for path in wanted if path not in rest]


COLD_THEN_CAP = ("cap-off/cold", "cap-off/cap-off")
VACUUM = ("refill/vacuum-limit", "refill/vacuum-up", "refill/vacuum-on", "refill/fill")
SLOWLY = ("refill-slow/funnel-on", "refill-slow/screws-open", "refill-slow/fill", "refill-slow/screws-shut")
BEFORE_THE_KEY = ("start/cap-on", "start/dipstick", "start/starter-free", "first/all-clear")


@pytest.mark.parametrize(
    ("layout", "fill", "path"),
    [
        ("inline-four", VACUUM, "heat/heater-hot"),
        ("flat-four", SLOWLY, "heat/hottest"),
        ("vee-six", VACUUM, "heat/hottest"),
    ],
)
def test_after_a_hot_run_the_cap_comes_off_cold_and_the_engine_is_filled_as_at_first(layout, fill, path):
    done, walker = done_again(layout, path)
    assert in_order(done, *COLD_THEN_CAP, *fill, *BEFORE_THE_KEY) == []
    assert walker.state["complete"] and walker.state["open"] == 0


def test_a_cap_that_came_off_after_a_hot_run_is_counted_until_it_is_on():
    walker = failed("inline-four", "heat/heater-hot").go_on("coolant/spilled")
    assert is_open(walker, "coolant_cap") == [1]
    assert not walker.legal("start/starter-free")["check"]


DRAIN = ("safe/battery-off", "safe/battery-wait", *COLD_THEN_CAP, "drain/plug-out", "drain/drained", "drain/freeze-now")
FLAT_STRIP = (
    "strip/fan-out", "strip/look/belt-look", "strip/crack-crank-bolt", "position/may-turn",
    "position/to-position", "position/as-found", "position/pulley-off", "lines/belt-lines", "belt-off/tension-off",
    "belt-off/belt-off", "pump/pump-off",
)  # fmt: skip
FLAT_CLOSE = (
    "bleed/press-touching",
    "close/pulley-on",
    "close/crank-bolt",
    "close/crank-bolt-second-look",
    "close/fan-in",
)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_leak_when_hot_is_opened_without_power_cold_and_drained_and_tested_before_it_is_filled(layout):
    done, walker = done_again(layout, "heat/dry-hot")
    tested = [] if layout == "flat-four" else ["test/pressure-up", "test/pressure-on", "test/pressure-held"]
    filled = "refill/fill" if layout in ("inline-four", "vee-six") else "refill-slow/fill"
    after = ["test-full/pressure-held"] if layout == "flat-four" else []
    assert (
        in_order(done, *DRAIN, "drain/drain-plug-in", "thermostat/hoses-on", *tested, "coolant/spilled", filled) == []
    )
    assert in_order(done, filled, *after, *BEFORE_THE_KEY[:3], "start/battery-on", "first/all-clear") == []
    assert walker.state["complete"] and walker.state["open"] == 0


def test_a_second_drain_opens_the_plug_and_the_coolant_again():
    walker = failed("inline-four", "heat/dry-hot").go_on("drain/plug-out")
    assert is_open(walker, "drain_plug", "coolant", "coolant_cap") == [0, 0, 1]
    assert all(is_open(walker, "battery")), "the battery is off before the plug comes out"
    walker.close("drain/plug-out")
    assert is_open(walker, "drain_plug", "coolant") == [1, 1]
    assert not walker.legal("start/starter-free")["check"]
    walker.go_on("coolant/spilled")
    assert walker.state["readings"]["filled"] is None, "the litres of the first fill no longer count"


@pytest.mark.parametrize("path", ["test-full/pump-dry", "heat/behind-dry"])
def test_a_leak_behind_the_covers_takes_the_engine_apart_in_steps_and_no_step_is_a_sentence(path):
    done, walker = done_again("flat-four", path)
    assert in_order(done, "drain/plug-out", "drain/drained", *FLAT_STRIP, *FLAT_CLOSE, "refill-slow/fill") == []
    assert path == "test-full/pump-dry" or in_order(done, *DRAIN[:4], *FLAT_STRIP, "first/first-run") == []
    assert walker.state["complete"] and walker.state["open"] == 0


def test_behind_two_belts_both_come_off_the_right_one_first():
    done, walker = done_again("vee-six", "heat/behind-both-dry")
    right, left = (
        [f"off-{bank}/tension-off-pinned", f"off-{bank}/belt-off", f"off-{bank}/pinned-tensioner-off"]
        for bank in ("right", "left")
    )
    assert (
        in_order(done, "support/support-in", "support/mount-off", "locks/locks-in", *right, *left, "pump/pump-off")
        == []
    )
    assert in_order(done, "bleed-left/press-touching", "bleed-right/press-touching", "prove-left/stick-out") == []
    assert in_order(done, "prove-right/stick-out", "close/mount-on", "close/support-out", "close/servo-line-on") == []
    assert walker.state["complete"] and walker.state["open"] == 0


@pytest.mark.parametrize(("layout", "fill"), [("inline-four", VACUUM), ("flat-four", SLOWLY)])
def test_a_low_level_is_chocked_tested_and_filled_before_the_engine_runs_hot_again(layout, fill):
    done, walker = done_again(layout, "cold-again/level-again")
    test = ["test/pressure-held"] if layout == "inline-four" else []
    assert in_order(done, "safe/parked", *COLD_THEN_CAP, *test, *fill, *BEFORE_THE_KEY, "heat/heater-hot") == []
    assert in_order(done, "heat/dry-hot", "road/tool-count", "road/road-free", "cold-again/cold-again") == []
    assert walker.state["complete"] and walker.state["open"] == 0


def test_each_way_back_that_is_too_long_for_the_job_in_which_all_fail_is_walked_here():
    """The job of test_library, in which everything fails once, leaves these out."""
    long = {path: again for path, again in ways_back(demo.sheet("flat-four")).items() if len(again) > LONG_WAY}
    after_the_first_run = {
        path for path in long if path.startswith("first/not-right/look/")
    }  # test_after_the_first_run
    assert set(long) <= {"test-full/pump-dry", "heat/behind-dry", "heat/dry-hot"} | after_the_first_run
    assert {"test-full/pump-dry", "heat/behind-dry"} <= set(long)
