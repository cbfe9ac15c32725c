"""The ways back on which a belt comes off again: something holds the cams, the crank is turned from where it stands.

Common practice, no source: what a master technician asks before a belt comes off an engine that was proved already, and
before crank or cams are turned with no belt on.
"""

from __future__ import annotations

import functools
from typing import Any

import pytest

from tests.sources.test_library import fail_and_go_back
from tests.sources.test_trade_rules import LAYOUTS, with_facts
from tests.support import demo
from tests.support.demo import path_of, step_at
from tests.support.walker import Walker, gone_to

Sheet = dict[str, Any]


def tension_reads(sheet: Sheet) -> list[str]:
    """Return the steps that read the tension of a proved belt: stick-out, pointer, tone."""
    marks = ("tension-read", "tension-read-left", "span-read")
    return [step["path"] for step in sheet["steps"] if step["landmark"] in marks]


def next_steps(walker: Walker, until: str, answers: dict[str, str] | None = None) -> list[str]:
    """Walk on to a step and return what was done on the way. Answers that are not given are those of a good day."""
    done: list[str] = []
    while (path := walker.state["next"]) != until:
        if path in (answers or {}):
            walker.answer(path, "", {"outcome": (answers or {})[path]})
        else:
            walker.close(path)
        done.append(path)
    return done


@functools.cache
def _gone_back(layout: str, failed: str) -> Walker:
    walker = gone_to(demo.sheet(layout), failed)
    fail_and_go_back(walker, failed)
    return walker


def gone_back(layout: str, failed: str) -> Walker:
    return _gone_back(layout, failed).copy()


READS = [(layout, path) for layout in LAYOUTS for path in tension_reads(demo.sheet(layout))]


@pytest.mark.parametrize(("layout", "read"), READS)
def test_the_tension_comes_off_a_proved_engine_only_with_the_locking_tools_in(layout: str, read: str) -> None:
    """The timing is proved and only the tension is wrong: with the pistons up, free cams bend valves."""
    sheet = demo.sheet(layout)
    walker = gone_back(layout, read)
    assert walker.state["next"] == path_of(sheet, "at-marks")
    done = next_steps(walker, path_of(sheet, "engine-cold"))
    off = done.index(path_of(sheet, "tension-off"))
    if sheet["engine"]["facts"]["locks"] == "used":
        assert done.index(path_of(sheet, "locks-in")) < off
        tools = walker.state["items"]["locking_tools"]
        assert tools["open"] == tools["count"]
    if sheet["engine"]["facts"]["crank_tool"] == "stop-pin":
        assert done.index(path_of(sheet, "crank-on-its-stop")) < off
    if sheet["engine"]["facts"]["tensioner"] == "hydraulic":
        assert off < done.index(path_of(sheet, "belt-off")) < done.index(path_of(sheet, "tensioner-off"))


@pytest.mark.parametrize(("layout", "read"), READS)
def test_what_goes_in_on_the_way_back_is_counted_out_before_the_turns_and_the_job_ends(layout: str, read: str) -> None:
    walker = gone_back(layout, read)
    walker.go_on(path_of(demo.sheet(layout), "may-turn-again"))
    held = [name for name, item in walker.state["items"].items() if item["kind"] in ("pin", "locking-tool")]
    assert held and {name: walker.state["items"][name]["open"] for name in held} == dict.fromkeys(held, 0)
    walker.go_on()
    assert walker.state["complete"] and walker.state["open"] == 0


@pytest.mark.parametrize("layout", ["inline-four", "flat-four", "vee-six"])
def test_a_tensioner_that_comes_pinned_is_pinned_out_in_the_press_again(layout: str) -> None:
    """The rod of a second new tensioner is loaded. No way back begins behind the press."""
    sheet = demo.sheet(layout)
    press = {path_of(sheet, "press-touching"), path_of(sheet, "rod-out")}
    reads = [path for path in tension_reads(sheet) if path != "prove-left/stick-out"]
    for stop in ("two-turns", "timing-proved"):
        assert press <= set(step_at(sheet, stop)["if_failed"]["disturbs"])
    for path in reads:
        assert press <= set(gone_back(layout, path).steps[path]["if_failed"]["disturbs"])


@pytest.mark.parametrize("layout", ["inline-four", "inline-three"])
def test_after_a_hard_stop_somewhere_the_crank_is_not_sent_the_way_of_the_sheet(layout: str) -> None:
    """That way is true from the timing position alone. From elsewhere somebody qualified writes the way down first."""
    sheet = demo.sheet(layout)
    walker = gone_to(sheet, "cams/cams-on-lines")
    answers = {"cams/cams-on-lines": "moved", "cams/lead-looks": "hit", "cams/crank-where": "elsewhere"}
    next_steps(walker, "cams/by-lead/way-written", answers)
    assert {walker.state["steps"][f"cams/to-safe/{name}"]["state"] for name in ("may-turn-crank", "crank-to-safe")} == {
        "hidden"
    }
    assert walker.steps["cams/by-lead/way-written"]["check"]["qualified"]
    assert not walker.legal("cams/by-lead/may-turn-written")["check"]
    done = next_steps(walker, walker_next_belt(walker))
    assert done.index("cams/by-lead/turned-written") < done.index("cams/leak-down") < done.index("cams/back/crank-back")
    assert "safe_crank_way" not in walker.steps["cams/back/crank-back"]["says"]
    walker.go_on()
    assert walker.state["complete"] and walker.state["open"] == 0


@pytest.mark.parametrize("layout", LAYOUTS)
def test_no_air_goes_into_a_cylinder_before_the_crank_is_held_and_its_plugs_are_counted(layout: str) -> None:
    walker = gone_to(demo.sheet(layout), "cams/cams-on-lines")
    next_steps(walker, "cams/plugs-out", {"cams/cams-on-lines": "moved", "cams/lead-looks": "hit"})
    walker.close("cams/plugs-out")
    plugs = walker.state["items"]["cylinder_plugs"]
    assert plugs["open"] == plugs["count"] >= 3 and plugs["list"] == "bay"
    assert not walker.legal("cams/leak-down")["check"]
    walker.answer("cams/crank-held", "", {"outcome": "moves"})
    assert not walker.legal("cams/leak-down")["check"]
    next_steps(walker, "cams/leak-down")
    assert walker.state["items"]["crank_hold"]["open"] == 1
    assert "warning" in {caution["level"] for caution in walker.steps["cams/crank-held"]["cautions"]}
    next_steps(walker, "cams/cams-set")
    assert {walker.state["items"][name]["open"] for name in ("cylinder_plugs", "plug_holes", "crank_hold")} == {0}


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("locks", ["used", "none"])
def test_a_cam_without_a_key_is_proved_by_a_line_of_its_own(layout: str, locks: str) -> None:
    """Marks are on the sprockets. A line from cam to head is painted before a bolt is loose, and looked at last."""
    facts = {"cam_drive": "keyless", "locks": locks}
    if locks == "none":
        facts |= {"proof_by": "marks", "crank_tool": "none", "release_steps": "tension-alone"}
    sheet = with_facts(layout, **facts)
    order = [step["path"] for step in sheet["steps"]]
    drawn = order.index(path_of(sheet, "cam-line"))
    looked = [at for at, step in enumerate(sheet["steps"]) if (step["landmark"] or "").startswith("cams-proved")]
    assert len(looked) == (2 if layout == "vee-six" else 1)
    assert drawn < order.index(path_of(sheet, "tension-off")) < order.index(path_of(sheet, "two-turns")) < looked[0]
    for at in looked:
        step = sheet["steps"][at]
        assert step["says"] == ["cam_lines"] and step["hold"] and step["stop"] and not step["when"]
    again = [step for step in sheet["steps"] if (step["landmark"] or "").startswith("cam-line-met")]
    assert len(again) == len(looked) and all(step["hold"] for step in again)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_bar_goes_on_a_crank_with_what_the_sheet_names_to_carry_it(layout: str) -> None:
    """Bolt and pulley are off: where the crank is turned with no belt on, what carries the bar is fitted and tried."""
    sheet = with_facts(layout, cam_safe_at="elsewhere")
    belt_off = [s for s in sheet["steps"] if s["path"].split("/")[0].startswith(("cams", "cam-seals"))]
    fitted = [step for step in belt_off if any(opened["what"] == "turning_bar" for opened in step["opens"])]
    assert len(fitted) >= 5
    for step in fitted:
        assert step["says"] == ["crank_turner"]
        assert [one["name"] for one in step["check"]["outcomes"] if one["fails"]] == ["slips"]
        turned = sheet["steps"][sheet["steps"].index(step) + 1]
        assert turned["check"]["kind"] == "inspect" and turned["stop"] and not turned["opens"]


def test_what_fails_on_the_left_bank_takes_the_right_belt_off_first_and_not_the_other_way_round() -> None:
    """The left belt runs on the crank's rear sprocket, behind the right one."""
    sheet = demo.sheet("vee-six")
    walker = gone_back("vee-six", "prove-left/stick-out")
    done = next_steps(walker, "cold/engine-cold")
    assert (
        done.index("off-right/belt-off") < done.index("off-left/tension-off-pinned") < done.index("off-left/belt-off")
    )
    left = [
        step["path"] for step in sheet["steps"] if step["path"].split("/")[0] in ("off-left", "on-left", "bleed-left")
    ]
    for failed in ("timing-proved", "tension-read"):
        assert not set(left) & set(step_at(sheet, failed)["if_failed"]["disturbs"])


@pytest.mark.parametrize("layout", ["inline-four", "inline-three", "vee-six"])
def test_no_cam_is_turned_with_a_tool_in_and_every_tool_is_counted_in_again(layout: str) -> None:
    walker = gone_to(demo.sheet(layout), "cams/cams-on-lines")
    next_steps(walker, "cams/cam-tools-away", {"cams/cams-on-lines": "moved", "cams/lead-looks": "soft"})
    walker.answer("cams/cam-tools-away", "", {"outcome": "jammed"})
    assert not walker.legal("cams/cams-set")["check"]
    walker.answer("cams/cam-tools-away", "", {"outcome": "on-tray"})
    next_steps(walker, "cams/cams-set")
    out = ("cam_tools_out", "crank_tool_out")
    assert [walker.state["items"][name]["open"] for name in out] == [1, 1]
    done = next_steps(walker, walker_next_belt(walker))
    assert "cams/cam-tools-in" in done
    assert [walker.state["items"][name]["open"] for name in out] == [0, 0]


def walker_next_belt(walker: Walker) -> str:
    """Return the first step after the cams: on this engine a tensioner is bled before the belt goes on."""
    order = walker.state["order"]
    last = max(at for at, path in enumerate(order) if path.startswith("cams/"))
    return str(order[last + 1])


def test_a_pin_that_is_only_a_stop_is_asked_for_what_it_does() -> None:
    """It always slides in. Asked is whether the crank rests against it."""
    paths = {step["path"] for step in demo.sheet("inline-three")["steps"]}
    assert {"cams/crank-on-stop", "cam-seals/crank-on-stop"} <= paths
    assert not {"cams/crank-tool-in", "cam-seals/crank-tool-back"} & paths


@pytest.mark.parametrize("layout", LAYOUTS)
def test_nobody_alone_says_that_a_cam_touched_nothing(layout: str) -> None:
    walker = gone_to(demo.sheet(layout), "cams/cams-on-lines")
    next_steps(walker, "cams/lead-signs", {"cams/cams-on-lines": "moved", "cams/lead-looks": "soft"})
    check = walker.steps["cams/lead-signs"]["check"]
    assert check["of"] == ["cams/lead-looks"] and check["qualified"]
    assert not walker.legal("cams/crank-where")["check"]


def test_marks_that_were_off_when_the_car_came_have_a_true_way_on() -> None:
    """Tested tight, and somebody qualified says so. Nobody has to write that all marks agreed."""
    walker = gone_to(demo.sheet("flat-four"), "position/as-found")
    walker.answer("position/as-found", "", {"outcome": "cleared"})
    assert walker.state["next"] == "position/as-found-cleared"
    assert walker.steps["position/as-found-cleared"]["check"]["qualified"]
    walker.go_on("position/pulley-off")
    assert walker.state["steps"]["position/as-found"]["state"] == "done"


def test_a_belt_that_is_out_comes_off_with_somebody_beside_and_no_tool_asked() -> None:
    """After a hard stop no locking tool goes in. The way on is not a lie: a second person holds the cams."""
    sheet = demo.sheet("inline-four")
    walker = gone_back("inline-four", "turn/two-turns")
    done = next_steps(walker, "cold/engine-cold", {"position/at-marks": "wrong"})
    assert done[:2] == ["position/at-marks", "position/lead-beside"] and "locks/locks-in" not in done
    assert done.index("position/lead-beside") < done.index(path_of(sheet, "tension-off"))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_way_back_disturbs_the_balance_belt_and_the_holder_of_the_injection_pump(layout: str) -> None:
    sheet = with_facts(layout, balance_belt="fitted", injection_pump="on-belt")
    balance = {path_of(sheet, name) for name in ("balance-off", "balance-set", "balance-tight")}
    for path in [*tension_reads(sheet), path_of(sheet, "timing-proved"), path_of(sheet, "two-turns")]:
        disturbed = set(next(step for step in sheet["steps"] if step["path"] == path)["if_failed"]["disturbs"])
        assert balance <= disturbed, path
    for path in tension_reads(sheet):
        disturbed = set(next(step for step in sheet["steps"] if step["path"] == path)["if_failed"]["disturbs"])
        assert {path_of(sheet, "injection-held"), path_of(sheet, "injection-free")} <= disturbed, path
    order = [step["path"] for step in sheet["steps"]]
    assert order.index(path_of(sheet, "two-turns")) < order.index(path_of(sheet, "balance-true"))


def test_no_key_is_asked_for_where_there_is_none() -> None:
    """A crank without a key: its bolt stays clamped for the turns, its sprocket goes on without a key."""
    sheet = with_facts("inline-three", crank_drive="keyless")
    said = {step["path"]: "".join(map(str, step["do"])) for step in sheet["steps"]}
    assert "Leave the crank bolt clamped" in said["turn/bar-on-keyless"] and "turn/bar-on" not in said
    for path in ("crank-seal/crank-sprocket-on-keyless", "cam-seals/sprockets-off", "cam-seals/sprockets-on-keyless"):
        assert " key" not in said[path], path


def test_a_floating_sprocket_gets_its_torque_once() -> None:
    """A single-use bolt with an angle stage is not spent on a sprocket that is loosened again for the belt."""
    sheet = with_facts("inline-four", cam_sprockets="floating")
    pulled = [step["path"] for step in sheet["steps"] if step["check"].get("item") == "cam_bolts"]
    assert pulled == ["release/sprockets-tight"]


@pytest.mark.parametrize(
    ("layout", "fitted", "bled"),
    [("inline-four", "belt-on", "bleed"), ("vee-six", "on-left", "bleed-left"), ("vee-six", "on-right", "bleed-right")],
)
def test_another_new_tensioner_is_bled_like_the_first(layout: str, fitted: str, bled: str) -> None:
    """One that was tensioned before may not go on: the next one comes pinned and loaded, and starts in the press."""
    path = f"{fitted}/tensioner-known-bled"
    walker = gone_to(demo.sheet(layout), path)
    fail_and_go_back(walker, path)
    assert walker.state["next"] == f"{bled}/press-touching"
    done = next_steps(walker, path)
    assert [step for step in done if step.startswith(f"{bled}/")] == [
        f"{bled}/{name}" for name in ("press-touching", "rod-out", "stand", "press", "how-it-pressed", "pin")
    ]
