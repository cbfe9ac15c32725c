"""The front of a belt job, each question by itself: use and leak, codes, brake, cap, wheel, batteries, old coolant.

Common practice, no source. Every walk takes an answer that the worksheet could not take, or took for another one.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from generator.site.build import check_texts
from generator.site.disk import read_pictures
from tests.sources.composed.test_how_it_came_in import places
from tests.sources.test_trade_rules import LAYOUTS, open_before
from tests.support import demo
from tests.support.walker import Walker, gone_to


def said(step: dict[str, Any]) -> str:
    """Return all that a step says, its failure and its cautions as well."""
    return " ".join(map(str, (step["do"], step["why"], step["if_failed"], step["cautions"])))


def answered(layout: str, path: str, outcome: str) -> Walker:
    walker = gone_to(demo.sheet(layout), path)
    walker.answer(path, "", {"outcome": outcome, "note": "as it is"})
    return walker


# --- Deciding ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("use", "kilometres"), [("ordinary", 100_000), ("severe", 60_000)])
@pytest.mark.parametrize("leak", ["dry", "leaking"])
def test_a_taxi_that_leaks_is_due_and_keeps_the_interval_of_a_taxi(use, kilometres, leak):
    walker = answered("inline-four", "agree/use", use)
    walker.answer("agree/belt-wet", "", {"outcome": leak})
    results = walker.state["results"]
    assert results["interval_distance"]["base"] == kilometres * 1000
    assert (results["belt_due"]["verdict"] == "Due, oil or coolant gets on it") == (leak == "leaking")


def test_a_leak_that_nobody_mentioned_asks_for_the_leak_again_and_not_for_the_use():
    plan = Walker(demo.sheet("inline-four")).steps["safe/leak-look"]["if_failed"]
    assert plan["back_to"] == "agree/belt-wet" and "agree/use" not in plan["disturbs"]


def test_a_belt_may_lie_on_a_shelf_before_it_is_fitted():
    step = Walker(demo.sheet("inline-four")).steps["safe/date-code"]
    labels = {outcome["name"]: outcome["label"] for outcome in step["check"]["outcomes"]}
    assert "two years" in str(labels["fits"]) and "two years" in str(labels["older"])


# --- Make safe --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("layout", LAYOUTS)
def test_service_mode_is_never_offered_as_a_brake(layout):
    step = Walker(demo.sheet(layout)).steps["safe/parked"]
    assert "service mode" not in str(step["do"]).lower()
    assert [one["level"] for one in step["cautions"] if "ervice mode" in str(one)] == ["warning"]
    assert "leave the battery on" not in said(step)
    assert "all four" in said(step), "on a lift no wheel stays down"


@pytest.mark.parametrize("came_in", ["drove", "towed", "rough"])
def test_the_codes_of_every_car_are_read_before_its_battery_is_off(came_in):
    walker = answered("inline-four", "intake/came-in", came_in)
    walker.go_on("safe/codes")
    assert walker.state["next"] == "safe/codes"
    at = places(demo.sheet("inline-four"))
    assert at["safe/codes"] < at["battery-off"]


def test_every_battery_siren_and_sensor_is_counted_off():
    counted = {layout: demo.sheet(layout)["items"]["battery"]["count"] for layout in LAYOUTS}
    assert counted == {"inline-three": 1, "inline-four": 2, "flat-four": 1, "vee-six": 3}
    terminals = demo.sheet("vee-six")["values"]["battery_terminals"]
    assert terminals["count"] == 4, "two batteries have four terminals"
    walker = gone_to(demo.sheet("vee-six"), "safe/battery-off")
    walker.close("safe/battery-off")
    assert walker.state["items"]["battery"]["open"] == 3


# --- Cap, lift, strip -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_hard_hose_keeps_the_cap_on_however_cool_it_is(layout):
    walker = answered(layout, "cap-off/hose-soft", "hard")
    assert walker.state["steps"]["cap-off/cold"]["state"] == "done"
    assert not walker.legal("cap-off/cap-off")["check"]
    walker.answer("cap-off/hose-soft", "", {"outcome": "soft"})
    assert walker.legal("cap-off/cap-off")["check"]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_wheel_bolts_are_loosened_on_the_floor_and_counted_from_then_on(layout):
    sheet = demo.sheet(layout)
    where = places(sheet)
    if sheet["engine"]["facts"]["wheel_off"] == "none":
        assert "wheel-bolts-loose" not in where
        return
    assert "wheel_bolts" in open_before(sheet, where["lifted"])
    assert "wheel" not in open_before(sheet, where["lifted"])


@pytest.mark.parametrize("layout", ["inline-three", "inline-four", "vee-six"])
def test_where_the_mount_hides_the_cover_the_belt_is_looked_at_before_the_crank_bolt(layout):
    walker = answered(layout, "strip/peeked-at", "bad")
    assert [path for path in walker.state["order"] if walker.legal(path)["check"]] == []
    at = places(demo.sheet(layout))
    assert at["peeked-at"] < at["crank-cracked"] < at["belt-whole"]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_counter_hold_is_off_before_anybody_turns_the_crank(layout):
    step = Walker(demo.sheet(layout)).steps["strip/crack-crank-bolt"]
    good = next(outcome["label"] for outcome in step["check"]["outcomes"] if outcome["name"] == "cracked")
    assert "counter-hold off" in str(good) and "Take the counter-hold off" in str(step["do"])


# --- Coolant ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "rinsed", "states"),
    [
        ("ethylene", False, ["hidden", "hidden"]),
        ("flushed", True, ["done", "hidden"]),
        ("propylene-flushed", True, ["hidden", "done"]),
    ],
)
def test_old_coolant_is_rinsed_out_once_with_the_thermostat_out_and_what_stays_is_water_then(kind, rinsed, states):
    walker = answered("inline-four", "drain/coolant-kind", kind)
    walker.go_on("coolant/coolant-mix")
    told = [walker.state["steps"][f"thermostat/{name}/rinsed"]["state"] for name in ("rinse", "rinse-propylene")]
    assert told == states
    assert (walker.state["results"]["mix_left"]["base"] == 0) == rinsed


def test_cloudy_rinse_water_is_a_failure():
    walker = answered("inline-four", "drain/coolant-kind", "flushed")
    walker.go_on("thermostat/rinse/rinsed")
    walker.answer("thermostat/rinse/rinsed", "", {"outcome": "cloudy", "note": "still brown"})
    assert walker.state["steps"]["thermostat/rinse/rinsed"]["state"] == "failed"


def test_dirty_coolant_with_its_extra_work_agreed_is_not_called_clean():
    walker = answered("inline-four", "drain/plug-out", "agreed")
    assert walker.state["steps"]["drain/plug-out"]["state"] == "done"


# --- Parts ------------------------------------------------------------------------------------------------------------


def test_parts_are_counted_as_the_engine_sheet_says_and_what_no_step_takes_is_not_laid_out():
    parts = {layout: demo.sheet(layout)["needs"]["parts"] for layout in LAYOUTS}
    several = {name: part["count"] for name, part in parts["vee-six"].items() if part["count"] > 1}
    assert several == {"tensioner": 2, "idlers": 3, "accessory_belt": 2, "cam_seals": 4, "block_rings": 2}
    assert {layout for layout, listed in parts.items() if "block_rings" in listed} == {"flat-four", "vee-six"}
    assert [part["number"] for name, part in parts["vee-six"].items() if "belt" in name] == [
        "30/018", "30/019", "30/051 front, 30/052 rear"
    ]  # fmt: skip
    words = re.compile(r"\b(two|three|four)\b")
    assert [part for listed in parts.values() for part in listed.values() if words.search(part["number"] or "")] == []


@pytest.mark.parametrize(
    ("written", "fault"),
    [
        ('{number: "23/013", count: 3}', None),
        ('{number: "23/013", count: 0}', "count"),
        ('{number: "23/013", count: three}', "count"),
        ('{number: "23/013"}', "count"),
        ("{count: 3}", "number"),
    ],
)
def test_a_part_of_an_engine_is_a_number_or_a_number_with_a_count(written, fault):
    texts = demo.texts()
    path = "demo_jobs/engines/brackwold-f4-23.yml"
    before = b'idlers: {number: "23/013", count: 3}'
    assert texts[path].count(before) == 1
    texts = {**texts, path: texts[path].replace(before, f"idlers: {written}".encode())}
    found = [fault.said for fault in check_texts(texts, read_pictures(demo.ROOT, "procedures")).faults]
    assert len(found) == (1 if fault else 0) and all(fault in one for one in found)
