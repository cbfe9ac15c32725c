"""A first run that is not right: the cause first, then the timing with the pulley on, the long way only if it is out.

Common practice, no source: nobody tries the starter twice, and a new crank bolt stays tight while the crank is turned.
"""

from __future__ import annotations

import pytest

from tests.sources.test_library import fail_and_go_back
from tests.sources.test_trade_rules import LAYOUTS, with_facts
from tests.support import demo
from tests.support.demo import path_of, step_at
from tests.support.walker import Walker, gone_to

NEW_PULL = ("pulley-on", "crank-bolt", "crank-second-look", "lower-cover-on", "bar-off")
"""What puts pulley, lower cover and a new crank bolt on again after somebody turned on the old one."""


def not_right(layout: str) -> Walker:
    """The job of an engine whose first run was not right."""
    walker = gone_to(demo.sheet(layout), "first/first-run")
    walker.answer("first/first-run", "", {"outcome": "not-right"})
    return walker


def at_the_belt(layout: str, landmark: str) -> Walker:
    """The same, when the belt may be the cause, up to this step of the second look."""
    walker = not_right(layout)
    walker.answer(walker.state["next"], "", {"outcome": "belt"})
    return walker.go_on(path_of(walker.sheet, landmark))


@pytest.mark.parametrize("crank", ["keyed", "keyless"])
@pytest.mark.parametrize("layout", LAYOUTS)
def test_whoever_is_sent_back_to_the_old_crank_bolt_puts_pulley_and_new_bolt_on_again(layout, crank):
    """Every way back from behind the final pull: the new bolt comes out, so all that goes with it is asked again."""
    sheet = with_facts(layout, crank_drive=crank)
    paths = [step["path"] for step in sheet["steps"]]
    behind = sheet["steps"][paths.index(path_of(sheet, "crank-second-look")) + 1 :]
    old_bolt, pulley_off = path_of(sheet, "bar-on"), path_of(sheet, "pulley-off")
    wanted = {path_of(sheet, landmark) for landmark in NEW_PULL} | {pulley_off}
    lacking = {
        step["path"]: sorted(wanted - set(step["if_failed"]["disturbs"]))
        for step in behind
        if step["path"].startswith("first/") and step["if_failed"] and old_bolt in step["if_failed"]["disturbs"]
    }
    assert len(lacking) >= 4 and {path: lack for path, lack in lacking.items() if lack} == {}


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_crank_is_turned_on_its_tight_new_bolt_and_nothing_is_open_afterwards(layout):
    walker = at_the_belt(layout, "marks-tight")
    items = walker.state["items"]
    assert items["crank_bolt"]["open"] == items["crank_pulley"]["open"] == items["lower_cover_bolts"]["open"] == 0
    assert (
        items["turning_bar"]["open"] == 1
        and items["battery"]["open"] == items["battery"]["count"]
        and items["upper_cover_bolts"]["open"]
    )
    if "support-out-again" in {step["landmark"] for step in walker.sheet["steps"]}:
        assert items["engine_support"]["open"] == 1 and items["mount_bolts"]["open"] and items["earths"]["open"]
    old_bolt = walker.state["steps"][path_of(walker.sheet, "bar-on")]["answers"]
    walker.go_on(path_of(walker.sheet, "starter-free-again"))
    assert walker.state["steps"][path_of(walker.sheet, "bar-on")]["answers"] == old_bolt
    assert {name for name, item in walker.state["items"].items() if item["open"]} >= {"battery"}
    walker.go_on()
    assert walker.state["complete"] and walker.state["open"] == 0


@pytest.mark.parametrize(
    ("layout", "landmark", "bad"),
    [
        ("vee-six", "cover-off-again", {"outcome": "damaged"}),
        ("inline-three", "marks-tight", {"outcome": "out"}),
        ("inline-four", "marks-tight", {"outcome": "out"}),
        ("flat-four", "turned-tight", {"outcome": "failed", "note": "dead solid"}),
    ],
)
def test_a_belt_that_is_out_stops_the_job_and_leads_back_to_pulley_bolt_and_belt(layout, landmark, bad):
    walker = at_the_belt(layout, landmark)
    path = path_of(walker.sheet, landmark)
    walker.answer(path, walker.state["steps"][path]["of"][0], bad)
    assert [later for later in walker.state["order"] if walker.legal(later)["check"]] == []
    fail_and_go_back_from(walker, path)
    items = walker.state["items"]
    assert walker.state["next"] == path_of(walker.sheet, "accessory-off")
    assert items["upper_cover_bolts"]["open"] and items["battery"]["open"]
    if "mount_bolts" in items:
        assert items["mount_bolts"]["open"] and items["engine_support"]["open"] and items["earths"]["open"]
    if "fan_bolts" in items:
        assert items["fan_bolts"]["open"]
    walker.go_on(path_of(walker.sheet, "bar-on"))
    items = walker.state["items"]
    assert items["crank_bolt"]["open"] and items["crank_pulley"]["open"] and items["lower_cover_bolts"]["open"]
    walker.go_on()
    assert walker.state["complete"] and walker.state["open"] == 0


def fail_and_go_back_from(walker: Walker, path: str) -> None:
    """As the phone offers it after an answer that stops the job."""
    plan, order = walker.steps[path]["if_failed"], walker.state["order"]
    later = [one for one in order[order.index(plan["back_to"]) :] if walker.state["steps"][one]["answers"]]
    disturbs = [one for one in later if one in {*plan["disturbs"], path}]
    seen = [answer["id"] for one in disturbs for answer in walker.state["steps"][one]["answers"]]
    rest = [one for one in later if one not in disturbs]
    given = {"to": plan["back_to"], "disturbs": disturbs, "rest": rest, "reason": plan["when"]}
    walker.tap("back", step=path, value=given, seen=seen)
    walker.tap("not-disturbed", value={}, seen=[walker.entries[-1]["id"]])


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_connector_that_was_left_off_takes_no_cover_off(layout):
    walker = not_right(layout)
    walker.go_on()
    looked = [path for path in walker.state["order"] if path.startswith("first/not-right/look/")]
    assert looked and {walker.state["steps"][path]["state"] for path in looked} == {"hidden"}
    assert walker.state["complete"] and walker.state["open"] == 0


@pytest.mark.parametrize("layout", LAYOUTS)
def test_nobody_starts_again_before_the_cause_is_found_and_another_person_has_seen_it(layout):
    walker = not_right(layout).go_on("first/not-right/cause-found")
    walker.answer("first/not-right/cause-found", "", {"outcome": "not-found"})
    again = "first/not-right/first-run-again"
    assert not walker.legal(again)["check"] and not walker.legal("first/not-right/starter-free-again")["check"]
    walker.answer("first/not-right/cause-found", "")
    assert not walker.legal("first/not-right/starter-free-again")["check"]
    walker.close("first/not-right/cause-second-look")
    assert walker.legal("first/not-right/starter-free-again")["check"] and not walker.legal(again)["check"]


def test_a_third_try_is_not_offered_and_the_cause_is_asked_anew():
    walker = not_right("flat-four").go_on("first/not-right/first-run-again")
    fail_and_go_back(walker, "first/not-right/first-run-again")
    assert walker.state["next"] == "first/not-right/can-be-the-belt"
    assert not walker.legal("first/not-right/cause-found")["check"]
    walker.go_on()
    assert walker.state["complete"] and walker.state["open"] == 0


def test_the_old_bolt_that_turned_the_crank_back_leads_to_two_more_turns_and_the_proof():
    """It comes out while the covers are off, so that the marks can be looked at once more."""
    for layout in ("inline-four", "vee-six"):
        sheet = demo.sheet(layout)
        at = {step["landmark"]: at for at, step in enumerate(sheet["steps"]) if step["landmark"]}
        step = step_at(sheet, "old-bolt-out")
        assert at["bar-off"] < at["old-bolt-out"] < at["lower-cover-on"] < at["pulley-on"] < at["crank-bolt"]
        assert "crank_hold" in step["says"] and step["leave"] == "lead"
        banks = ["-left", ""] if layout == "vee-six" else [""]
        wanted = {path_of(sheet, f"{name}{bank}") for name in ("timing-proved", "tension-read") for bank in banks}
        wanted |= {path_of(sheet, name) for name in ("bar-on", "two-turns", "at-mark", "bar-off")}
        assert wanted <= set(step["if_failed"]["disturbs"])


def test_the_counter_hold_is_counted_and_the_starter_waits_for_it():
    walker = gone_to(demo.sheet("inline-four"), path_of(demo.sheet("inline-four"), "crank-bolt"))
    assert walker.state["items"]["counterhold"]["open"] == 1
    assert "tool" in step_at(walker.sheet, "starter-free")["gate"]["kinds"]
    walker.go_on(path_of(walker.sheet, "accessory-belt-on"))
    assert walker.state["items"]["counterhold"]["open"] == 0


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_belt_noise_on_the_road_lifts_the_car_again_before_anybody_is_at_the_belt(layout):
    walker = gone_to(demo.sheet(layout), "road/road-test")
    walker.answer("road/road-test", "", {"outcome": "engine"})
    walker.go_on("road/engine-on-the-road")
    walker.answer("road/engine-on-the-road", "", {"outcome": "belt"})
    fail_and_go_back_from(walker, "road/engine-on-the-road")
    items = walker.state["items"]
    assert items["stands"]["open"] and items["chocks"]["open"] and items["undertray"]["open"]
    assert walker.state["next"] == "first/first-run"
    walker.answer("first/first-run", "", {"outcome": "not-right"})
    walker.answer(walker.state["next"], "", {"outcome": "belt"})
    stands = path_of(walker.sheet, "car-stands-again")
    walker.answer(stands, "", {"outcome": "not-yet"})
    assert [path for path in walker.state["order"] if walker.legal(path)["check"]] == [stands]
    walker.go_on()
    assert walker.state["complete"] and walker.state["open"] == 0


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_stands_come_out_before_the_car_comes_down(layout):
    do = "".join(step_at(demo.sheet(layout), "down")["do"])
    assert do.index("Raise it off the stands") < do.index("take them out") < do.index("lower it")
