"""The front of a belt job: nobody is hurt before the battery is off, and nothing turns before the belt is looked at.

Common practice, no source: what a workshop asks and looks at before the first bolt, and in which order.
"""

from __future__ import annotations

from typing import Any

import pytest

from tests.sources.test_trade_rules import LAYOUTS, open_before, with_facts
from tests.support import demo
from tests.support.walker import Walker, gone_to

ENGINE_RUNS = ("safe/timing-code", "safe/offset-before")
"""What is asked of a car that drove in alone: whether it may idle, and a reading while it idles."""


def places(sheet: dict[str, Any]) -> dict[str, int]:
    """Return {path or landmark: where in the order of work}."""
    steps = sheet["steps"]
    return {step["path"]: at for at, step in enumerate(steps)} | {
        step["landmark"]: at for at, step in enumerate(steps) if step["landmark"]
    }


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_first_stop_is_the_very_first_step_and_hands_go_into_the_bay_after_the_battery(layout):
    sheet = demo.sheet(layout)
    at = places(sheet)
    assert at["intake/first-stop"] == at["electric-clear"] == 0
    hands_in = ["safe/engine-code", "safe/date-code", "safe/leak-look", "undertray-off", "connectors-off", "belt-whole"]
    assert [path for path in hands_in if at[path] < at["battery-quiet"]] == []
    assert at["codes-before"] < at["key-away"] < at["battery-off"] < at["right-sheet"] < at["strip-down-free"]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_customer_says_yes_before_anything_is_opened(layout):
    sheet = demo.sheet(layout)
    at = places(sheet)
    assert sheet["steps"][at["customer-yes"]]["hold"]
    assert at["right-car"] < at["whole-set"] < at["customer-yes"] < at["parked"]
    assert open_before(sheet, at["customer-yes"]) == set()


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_car_goes_up_and_its_tray_comes_off_before_the_coolant_is_drained(layout):
    at = places(demo.sheet(layout))
    assert at["strip-down-free"] < at["lifted"] < at["undertray-off"] < at["drain/plug-out"] < at["connectors-off"]


@pytest.mark.parametrize(("came_in", "asked"), [("drove", {"done"}), ("towed", {"hidden"}), ("rough", {"hidden"})])
@pytest.mark.parametrize("layout", ["inline-three", "vee-six"])
def test_only_a_car_that_drove_in_is_read_while_it_runs(layout, came_in, asked):
    sheet = demo.sheet(layout)
    walker = gone_to(sheet, "intake/came-in")
    walker.answer("intake/came-in", "", {"outcome": came_in})
    walker.go_on()
    after = [step["path"] for step in sheet["steps"] if step["path"].startswith("heat/offset/offset-after")]
    assert len(after) == 1
    assert {walker.state["steps"][path]["state"] for path in (*ENGINE_RUNS, *after)} == asked
    assert walker.state["complete"] and walker.state["open"] == 0
    assert walker.state["steps"]["safe/codes"]["state"] == "done", "the codes of every car are read while it has power"


def test_a_timing_code_leads_back_to_how_the_car_came_in_and_nobody_idles_it():
    sheet = demo.sheet("vee-six")
    walker = gone_to(sheet, "safe/timing-code")
    walker.answer("safe/timing-code", "", {"outcome": "stored", "note": "crank and cam do not agree"})
    assert not walker.legal("safe/offset-before")["check"]
    plan = walker.steps["safe/timing-code"]["if_failed"]
    assert plan["back_to"] == "intake/came-in"
    order = walker.state["order"]
    undone = [plan["back_to"], "safe/timing-code"]
    between = order[order.index(plan["back_to"]) + 1 : order.index("safe/timing-code")]
    rest = [path for path in between if walker.state["steps"][path]["answers"]]
    seen = [answer["id"] for path in undone for answer in walker.state["steps"][path]["answers"]]
    given = {"to": plan["back_to"], "disturbs": undone, "rest": rest, "reason": plan["when"]}
    walker.tap("back", step="safe/timing-code", value=given, seen=seen)
    walker.tap("not-disturbed", value={}, seen=[walker.entries[-1]["id"]])
    walker.answer("intake/came-in", "", {"outcome": "rough"})
    walker.go_on("safe/key-away")
    assert {walker.state["steps"][path]["state"] for path in ENGINE_RUNS} == {"hidden"}


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("cover", ["comes-first", "behind-mount"])
def test_the_belt_is_looked_at_before_anything_turns_and_before_the_bolt_where_the_cover_allows_it(layout, cover):
    sheet = with_facts(layout, upper_cover=cover)
    at = places(sheet)
    assert at["upper-cover-off"] < at["belt-whole"] < at["may-turn"] < at["at-position"]
    assert sheet["steps"][at["belt-whole"]]["stop"]
    assert (at["belt-whole"] < at["crank-cracked"]) == (cover == "comes-first")
    if "supported" in at and cover == "behind-mount":
        assert at["supported"] < at["upper-cover-off"]


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("phasers", ["fitted", "none"])
def test_marks_are_photographed_then_phasers_parked_then_the_marks_judged(layout, phasers):
    sheet = with_facts(layout, phasers=phasers)
    at = places(sheet)
    parked = [at["phasers-parked"]] if phasers == "fitted" else []
    order = [at["at-position"], at["as-found-photo"], *parked, at["as-found"], at["pulley-off"]]
    assert order == sorted(order)
    levels = [caution["level"] for path in parked for caution in sheet["steps"][path]["cautions"]]
    assert levels == ["notice"] * len(parked)


def test_a_second_battery_shows_where_something_still_has_current_and_a_second_belt_is_counted():
    walker = gone_to(demo.sheet("vee-six"), "safe/battery-off")
    walker.answer("safe/battery-off", "", {"outcome": "alive"})
    assert walker.state["steps"]["safe/battery-off"]["state"] == "failed"
    assert not walker.legal("safe/engine-code")["check"]
    assert demo.sheet("vee-six")["items"]["accessory_belt"]["count"] == 2
    assert demo.sheet("flat-four")["items"]["accessory_belt"]["count"] == 1


def test_the_wrong_car_ends_the_job():
    walker = Walker(demo.sheet("flat-four"))
    walker.go_on("intake/right-car")
    walker.answer("intake/right-car", "", {"outcome": "differ"})
    assert [path for path in walker.state["order"] if walker.legal(path)["check"]] == []


@pytest.mark.parametrize("layout", LAYOUTS)
def test_no_holder_rests_on_a_driveshaft_or_a_brake_pipe(layout):
    said = demo.sheet(layout)["values"]["crank_counterhold"]["text"]
    assert not any(word in said for word in ("driveshaft", "brake")) and "end down on" in said
