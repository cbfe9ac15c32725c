"""A part that a job has once for each corner, cylinder or circuit, from one include."""

from __future__ import annotations

import sys
from typing import Any

import pytest

from generator.history.about import ShopSite
from generator.history.exports import Exported, read_exports
from generator.history.text import history
from generator.journal.record import write_record
from generator.site.build import Findings, check_texts
from generator.terminal import report
from tests.support.harness import with_trade
from tests.support.walker import Walker

FACTS = "trade: Brakes\nfacts:\n  brakes: {discs: At each corner., none: None.}\n"
READ = 'document: "Brake book BB-2", where: "page 4", read: 2026-02-11, by: KS, checked_by: RT'
SHEET = f"""\
engine: cart
title: Cart (invented)
revision: 1
facts: {{brakes: discs}}
parts: {{pads: 77/001}}
values:
  caliper_bolts: {{torque: 21 N.m, count: 2, fastener: ordinary, reuse: no, source: {{{READ}}}}}
"""
CORNER = """\
procedure: corner
title: One corner
revision: 1
needs:
  tools: {bottle: Bleed bottle}
  parts: {pads: {label: Brake pads, count: 2}}
values:
  caliper_bolts: {kind: torque, label: Caliper bolts, fastener: ordinary}
  left_in: {kind: volume, label: Left in the line, critical: no}
readings:
  out: {label: Bled out, unit: mL}
  spilt: {label: Spilt, unit: mL}
results:
  through: {formula: out + spilt, unit: mL, label: Went through, fills: left_in}
stages:
  - stage: Bleed
    steps:
      - id: screw-open
        do: Open the bleed screw.
        check: tick
        landmark: open
        opens:
          - {what: bleed_screw, kind: part, label: Bleed screw}
          - {what: caliper_bolts, kind: bolt, count: from caliper_bolts, list: bay}
      - {id: out, do: Measure what came out., check: {measure: out}, in_hand: [bottle], takes: [pads]}
      - {id: spilt, do: Measure what was spilt., check: {measure: spilt}}
      - id: screw-shut
        do: "Shut the screw after {through}, {left_in}."
        check: {inspect: {dry: Dry, wet: Wet}}
        if_failed: {when: it weeps, outcomes: [wet], back_to: open, disturbs: [out], say: Open it again.}
        closes: [bleed_screw]
      - {id: caliper, do: Tighten the caliper., check: {tighten: caliper_bolts}, closes: [caliper_bolts]}
      - {id: wipe, do: Wipe it., check: tick, when: {found: {screw-shut: wet}}}
"""
JOB = """\
procedure: bleed
title: Bleed the brakes
revision: 1
stands_alone: yes
fits: {brakes: discs}
readings:
  out_rear_left: {label: Bled out, unit: mL}
  out_rear_right: {label: Bled out, unit: mL}
results:
  all_out: {formula: out_rear_left + out_rear_right, unit: mL, label: Bled out in all}
stages:
  - stage: Begin
    steps: [{id: ready, do: Have all at hand., check: tick, gate: strip-down}]
  - {include: corner, EACH}
  - stage: End
    steps:
      - {id: look, do: "All: {all_out}.", check: {tick: press-and-hold}, gate: starter, after: [rear-left/screw-shut]}
      - {id: last, do: Hand it over., check: tick, completion: yes}
"""
TWO = "each: {rear-left: rear left, rear-right: rear right}"


def judged(each: str = TWO, corner: str = CORNER, **more: str) -> Findings:
    texts = {
        "shop/facts.yml": FACTS,
        "procedures/corner.yml": corner,
        "procedures/bleed.yml": JOB.replace("EACH", each),
        "shop/engines/cart.yml": SHEET if "bleed" not in more else SHEET.split("values:")[0] + "values: {}\n",
        **{f"procedures/{name}.yml": text for name, text in more.items()},
    }
    return check_texts({path: text.encode() for path, text in with_trade(texts).items()})


def told(found: Findings) -> list[str]:
    return [f"{type(fault).__name__} {fault.place}" for fault in found.faults]


def sheet_of(each: str = TWO, corner: str = CORNER) -> Any:
    found = judged(each, corner)
    assert not found.faults, report.text(list(found.faults), {})
    return found.sheets[0]


def test_a_count_in_the_engine_sheet_is_of_the_whole_job_and_one_in_the_procedure_of_each_corner(monkeypatch) -> None:
    assert sheet_of()["needs"]["parts"]["pads"]["count"] == 2 * 2
    counted = SHEET.replace("pads: 77/001", "pads: {number: 77/001, count: 5}")
    monkeypatch.setattr(sys.modules[__name__], "SHEET", counted)
    assert sheet_of()["needs"]["parts"]["pads"]["count"] == 5


def test_each_corner_has_its_own_readings_results_items_and_landmarks_and_one_torque() -> None:
    sheet = sheet_of()
    paths = [step["path"] for step in sheet["steps"]]
    assert paths[1:3] == ["rear-left/screw-open", "rear-left/out"] and "rear-right/caliper" in paths
    assert sorted(sheet["readings"]) == ["out_rear_left", "out_rear_right", "spilt_rear_left", "spilt_rear_right"]
    assert sorted(one["name"] for one in sheet["results"]) == ["all_out", "through_rear_left", "through_rear_right"]
    assert sorted(sheet["items"]) == [
        "bleed_screw_rear_left", "bleed_screw_rear_right", "caliper_bolts_rear_left", "caliper_bolts_rear_right"
    ]  # fmt: skip
    assert sorted(sheet["values"]) == ["caliper_bolts", "left_in_rear_left", "left_in_rear_right"]
    steps = {step["path"]: step for step in sheet["steps"]}
    assert steps["rear-right/screw-open"]["landmark"] == "open-rear-right"
    assert steps["rear-right/screw-shut"]["if_failed"]["back_to"] == "rear-right/screw-open"
    assert steps["rear-right/caliper"]["check"]["value"] == "caliper_bolts"


def test_the_label_stands_wherever_a_thing_of_the_corner_is_named() -> None:
    sheet = sheet_of()
    assert [stage["title"] for stage in sheet["stages"]] == ["Begin", "Bleed, rear left", "Bleed, rear right", "End"]
    assert {step["path"].split("/")[0]: step.get("which") for step in sheet["steps"]} == {
        "rear-left": "rear left", "rear-right": "rear right", "look": None, "last": None, "ready": None
    }  # fmt: skip
    assert sheet["readings"]["spilt_rear_right"]["label"] == "Spilt, rear right"
    assert sheet["items"]["bleed_screw_rear_left"]["label"] == "Bleed screw, rear left"
    assert sheet["values"]["left_in_rear_left"]["label"] == "Left in the line, rear left"
    assert sheet["values"]["caliper_bolts"]["label"] == "Caliper bolts"


def test_the_record_names_the_corner() -> None:
    sheet = sheet_of()
    walker = Walker(sheet, figures={name: (40, "mL") for name in sheet["readings"]})
    walker.prepare()
    walker.close("ready")
    walker.close("rear-left/screw-open")
    written = write_record(walker.entries, walker.sheets)
    read = read_exports([("job.txt", written.encode())])
    assert isinstance(read, Exported)
    told = " ".join(history(read, ShopSite("site", is_there=False)).split())
    assert "Rear left: Open the bleed screw." in told and "Bleed screw, rear left" in told


def test_tools_are_there_once_and_parts_and_one_time_bolts_for_each() -> None:
    needs = sheet_of()["needs"]
    assert needs["tools"] == {"bottle": {"label": "Bleed bottle"}}
    assert needs["parts"]["pads"] == {"label": "Brake pads", "number": "77/001", "count": 4, "one_time": False}
    assert needs["one_time"]["caliper_bolts"]["count"] == 4


def test_the_job_is_done_corner_by_corner_and_the_volume_is_added_up() -> None:
    walker = Walker(sheet_of(), figures={name: (40, "mL") for name in sheet_of()["readings"]})
    walker.go_on()
    assert walker.state["complete"]
    assert walker.state["results"]["all_out"]["base"] == pytest.approx(80e-6)


def test_the_same_corners_may_be_there_twice_under_two_names() -> None:
    rounds = f"{{include: wheel-off, as: strip, {TWO}}}\n  - {{include: wheel-on, as: refit, {TWO}}}"
    twice = JOB.replace("{include: corner, EACH}", rounds)
    off = "procedure: wheel-off\ntitle: Wheel off\nrevision: 1\nleaves_open: [wheel]\n"
    off += "stages:\n  - stage: Strip\n    steps:\n"
    off += "      - {id: wheel, do: Take the wheel off., check: tick, opens: [{what: wheel, kind: part}]}\n"
    on = "procedure: wheel-on\ntitle: Wheel on\nrevision: 1\ntakes_over: [wheel]\n"
    on += "stages:\n  - stage: Refit\n    steps:\n"
    on += "      - {id: refit, do: Put the wheel on., check: tick, closes: [wheel]}\n"
    whole = twice.split("readings:")[0] + "stages:" + twice.split("stages:")[1]
    whole = whole.replace(': "All: {all_out}."', ": Look.").replace(", after: [rear-left/screw-shut]", "")
    found = judged(**{"bleed": whole, "wheel-off": off, "wheel-on": on})
    assert told(found) == [], report.text(list(found.faults), {})
    assert [step["path"] for step in found.sheets[0]["steps"]][1:5] == [
        "strip-rear-left/wheel", "strip-rear-right/wheel", "refit-rear-left/refit", "refit-rear-right/refit"
    ]  # fmt: skip
    assert sorted(found.sheets[0]["items"]) == ["wheel_rear_left", "wheel_rear_right"]


def test_a_shared_name_is_one_thing_in_all_corners_and_a_value_may_be_another_one() -> None:
    shared = CORNER.replace("closes: [bleed_screw]", "closes: [bleed_screw, lamp]").replace(
        "- {what: bleed_screw,", "- {what: lamp, kind: part}\n          - {what: bleed_screw,"
    )
    corner = shared.replace("tighten: caliper_bolts", "tighten: bolts").replace("from caliper_bolts", "from bolts")
    corner = corner.replace("  caliper_bolts: {kind", "  bolts: {kind")
    sheet = sheet_of(f"{TWO}, shared: [lamp], known_as: {{bolts: caliper_bolts}}", corner)
    assert "lamp" in sheet["items"] and "lamp_rear_left" not in sheet["items"]
    assert sheet["steps"][-4]["check"]["value"] == "caliper_bolts"
    assert sheet["values"]["caliper_bolts"]["label"] == "Caliper bolts", "it belongs to no single corner"
