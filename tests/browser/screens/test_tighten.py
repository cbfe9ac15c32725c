"""Tightening on the phone: the setting for the wrench in the hand, bolt by bolt, through a reload, on three lists."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Locator, expect

from generator.compile.tightening import bolt_facts
from generator.model import EngineValue
from tests.browser import bays
from tests.browser.bays import Bay
from tests.browser.drive import SOURCE, Drive, fill
from tests.browser.torque_sheet import torque_sheet
from tests.browser.touch import tap, tick
from tests.support.sample_sheet import sample_sheet

shop, phone, bay = bays.shop, bays.phone, bays.bay


def large(drive: Drive, path: str) -> Locator:
    """Return the bolt that is pulled next."""
    return drive.step(path).locator("[data-check=tighten][aria-current]")


def small(drive: Drive, path: str, part: str) -> Locator:
    return drive.step(path).locator(f'[data-check=tighten][data-part="{part}"]')


def pull(drive: Drive, path: str, times: int = 1) -> list[str]:
    """Pull bolts one after another, as the screen leads. Return their parts."""
    pulled = []
    for _ in range(times):
        part = large(drive, path).get_attribute("data-part") or ""
        drive.press(large(drive, path))
        expect(small(drive, path, part)).to_have_attribute("data-kept", re.compile("."))
        pulled.append(part)
    return pulled


def pulls(bay: Bay, path: str) -> list[dict[str, Any]]:
    return [entry["value"] for entry in bay.entries() if entry["kind"] == "check" and entry["step"] == path]


# --- value and wrench -------------------------------------------------------------------------------------------------


def test_a_missing_torque_is_filled_with_its_source_and_then_set_on_a_wrench(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("idler-bolt"))
    step = drive.look("idler-bolt")
    for name, text in {"number": "10", "unit": "N.m", **SOURCE}.items():
        fill(step.locator(f"[data-value=idler_bolt] [data-field={name}]"), text)
    drive.press(step.locator("[data-value=idler_bolt] [data-action=read]"))
    expect(step.locator("[data-value=idler_bolt]")).not_to_have_attribute("data-missing", "")
    expect(large(drive, "idler-bolt")).to_contain_text("10.0 N.m")
    pull(drive, "idler-bolt")
    assert pulls(bay, "idler-bolt") == [{"set": "10.0 N.m", "wrench": "small"}]
    expect(drive.step("idler-bolt")).to_have_attribute("data-state", "done")


def test_a_typed_value_outside_the_band_is_asked_about_with_the_slip_and_never_changed(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("idler-bolt"))
    step = drive.look("idler-bolt")
    for name, text in {"number": "72", "unit": "N.m", **SOURCE}.items():
        fill(step.locator(f"[data-value=idler_bolt] [data-field={name}]"), text)
    drive.press(step.locator("[data-value=idler_bolt] [data-action=read]"))
    value = step.locator("[data-value=idler_bolt]")
    asked = value.locator("[data-asked] .sure")
    expect(asked).to_contain_text("Sure? 72 N.m")
    assert not [e for e in bay.entries() if e["kind"] == "read"]
    tap(asked.get_by_text("72 lbf.in", exact=True))
    expect(asked).to_be_hidden()
    assert value.locator("[data-field=unit]").input_value() == "lbf.in"
    fill(value.locator("[data-field=unit]"), "N.m")
    drive.press(value.locator("[data-action=read]"))
    drive.press(asked.locator("[data-action=confirm]"))
    expect(value).to_contain_text("asked, and sure")
    expect(value).to_contain_text("3.1")
    expect(value).to_contain_text(re.compile("72 (lbf.in|in-lb|lbf·in).*8.1"))
    read = [e["value"] for e in bay.entries() if e["kind"] == "read"]
    assert [(one["number"], one["unit"], one["sure"]) for one in read] == [(72, "N.m", True)]


def typed_for(bay: Bay, bolt: dict[str, Any], **boxes: str) -> Any:
    """Type a torque for a bolt of an engine sheet, as the build says it. Return its value on the screen."""
    sheet = torque_sheet("idler-bolt")
    facts = bolt_facts(EngineValue.model_validate({"torque": "10 N.m", "bolt": bolt}))
    sheet["values"]["idler_bolt"] |= {**facts, "thread": bolt["thread"], "doubt": None}
    drive = bay.begin(sheet)
    value = drive.look("idler-bolt").locator("[data-value=idler_bolt]")
    for name, text in {**boxes, **SOURCE}.items():
        fill(value.locator(f"[data-field={name}]"), text)
    drive.press(value.locator("[data-action=read]"))
    return value


def test_a_torque_that_the_thread_in_a_casting_does_not_hold_is_asked_about(bay: Bay) -> None:
    bolt = {"thread": "M6x1.0", "class": "8.8", "into": "aluminium", "engaged": "6 mm"}
    value = typed_for(bay, bolt, number="12", unit="N.m")
    asked = value.locator("[data-asked] .sure")
    expect(asked).to_contain_text("12 N.m is more than the thread in aluminium holds: 2.0 to 8.5 N.m.")
    assert not [e for e in bay.entries() if e["kind"] == "read"]


def test_what_nobody_can_judge_is_said_where_a_torque_is_asked_about(bay: Bay) -> None:
    bolt = {"thread": "1/4-20 UNC", "class": "5", "into": "cast iron", "head": "hexagon"}
    value = typed_for(bay, bolt, number="110", unit="N.m")
    asked = value.locator("[data-asked] .sure")
    expect(asked).to_contain_text("110 N.m is more than a bolt 1/4-20 UNC of grade 5 takes: 3.5 to 13.5 N.m.")
    expect(asked).to_contain_text("It is not judged: the engaged length of thread is not known.")
    expect(value).to_contain_text("1/4-20 UNC, grade 5 · hexagon head · into cast iron")


def test_an_angle_that_is_too_small_for_its_bolt_is_asked_about(bay: Bay) -> None:
    bolt = {"thread": "M10x1.25", "class": "10.9", "grip": "100 mm"}
    value = typed_for(bay, bolt, number="30", unit="N.m", then="9 deg")
    asked = value.locator("[data-asked] .sure")
    expect(asked).to_contain_text("9° is less than a bolt M10x1.25 of class 10.9 is turned: 12 to 819°.")


def test_an_angle_without_a_grip_is_said_not_to_be_judged(bay: Bay) -> None:
    value = typed_for(bay, {"thread": "M10x1.25", "class": "10.9"}, number="30", unit="N.m", then="90 deg")
    expect(value).to_contain_text("angle not judged: grip not known")


def test_a_doubt_from_the_sheet_stands_with_the_value(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("odd-bolt"))
    expect(drive.look("odd-bolt")).to_contain_text("Look at the source again.")


def test_another_wrench_shows_its_own_setting_in_its_own_unit(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("mount-bolt"))
    step = drive.look("mount-bolt")
    expect(large(drive, "mount-bolt")).to_contain_text("50 N.m")
    box = step.locator("[data-field=wrench]")
    drive.reveal(box)
    offered = box.locator("option").evaluate_all("all => all.map(one => one.value)")
    assert offered == ["middle", "inch", "old"], "the small one does not reach"
    box.select_option("inch")
    expect(large(drive, "mount-bolt")).to_contain_text("37")
    pull(drive, "mount-bolt")
    (value,) = pulls(bay, "mount-bolt")
    assert value["wrench"] == "inch" and value["set"].startswith("37 ")


def test_a_calibration_that_is_overdue_is_said(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("hub-nut"))
    expect(drive.look("hub-nut")).to_contain_text(re.compile("calibration", re.I))
    expect(large(drive, "hub-nut")).to_contain_text("150 N.m")


def test_a_wrench_without_a_calibration_date_is_said(bay: Bay) -> None:
    sheet = torque_sheet("mount-bolt")
    rack = {name: {**one, "due": None} if name == "middle" else one for name, one in sheet["wrenches"].items()}
    drive = bay.begin({**sheet, "wrenches": rack})
    step = drive.look("mount-bolt")
    expect(step).to_contain_text("Click wrench 20 to 100: the shop’s file gives no calibration date.")
    drive.reveal(step.locator("[data-field=wrench]"))
    said = step.locator("[data-field=wrench] option").all_inner_texts()
    assert [text for text in said if "no calibration date" in text] == ["Click wrench 20 to 100 (no calibration date)"]


def test_where_no_wrench_reaches_it_is_said_and_the_value_stands_itself(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("crank-bolt"))
    step = drive.look("crank-bolt")
    expect(step).to_contain_text(re.compile("no torque wrench", re.I))
    expect(large(drive, "crank-bolt")).to_contain_text("320 N.m")


def test_what_no_wrench_of_the_shop_can_set_is_said_before_the_strip_down(bay: Bay) -> None:
    base = sample_sheet()
    told = [{"value": "crank_bolt", "label": "Crank bolt", "text": "320 N.m", "why": "range"}]
    steps = [one for one in base["steps"] if one["path"] in ("strip-down", "done")]
    drive = bay.begin({**base, "steps": steps, "needs": {**base["needs"], "no_wrench": told}})
    expect(drive.look("strip-down")).to_contain_text("320 N.m")
    expect(drive.step("strip-down")).to_contain_text("Crank bolt")


@pytest.mark.parametrize(
    ("angle", "shown", "set_"), [("45", "45.94", "46 N.m"), ("90", "50", "50 N.m"), ("0", "44.44", "44 N.m")]
)
def test_an_adapter_makes_another_setting_and_square_on_the_same(bay: Bay, angle: str, shown: str, set_: str) -> None:
    drive = bay.begin(torque_sheet("mount-bolt"))
    step = drive.look("mount-bolt")
    for name, text in {"adapter-length": "50", "adapter-angle": angle, "lever": "400"}.items():
        box = step.locator(f"[data-field={name}]")
        drive.reveal(box)
        fill(box, text)
    expect(step).to_contain_text(shown)
    expect(large(drive, "mount-bolt")).to_contain_text(set_)
    pull(drive, "mount-bolt")
    (value,) = pulls(bay, "mount-bolt")
    assert value["set"] == set_ and value["adapter"] == {"length": 50, "angle": int(angle), "lever": 400}


# --- bolt by bolt -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "count"), [("pump-bolts", 6), ("head-bolts", 10)])
def test_a_pattern_goes_in_its_order_through_two_passes_and_an_angle_over_a_reload(
    bay: Bay, name: str, count: int
) -> None:
    sheet = torque_sheet(name)
    wanted = [part["id"] for part in sheet["steps"][0]["check"]["parts"]]
    assert len(wanted) == 3 * count
    drive = bay.begin(sheet)
    drive.look(name)
    half = count + count // 2
    assert pull(drive, name, half) == wanted[:half]
    drive.reopen()
    drive.look(name)
    expect(large(drive, name)).to_have_attribute("data-part", wanted[half])
    assert pull(drive, name, 2 * count - half) == wanted[half : 2 * count]
    assert pull(drive, name, count) == wanted[2 * count :]
    expect(drive.step(name)).to_have_attribute("data-state", "done")
    assert {value["set"] for value in pulls(bay, name)} >= {"90 deg"}


def test_a_bolt_out_of_its_order_is_warned_about_and_can_be_pulled(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("pump-bolts"))
    step = drive.look("pump-bolts")
    warned = step.locator("[role=alert]:visible")
    assert warned.count() == 0
    drive.press(small(drive, "pump-bolts", "1.3"))
    expect(warned.first).to_contain_text("1")
    pull(drive, "pump-bolts")
    expect(large(drive, "pump-bolts")).to_have_attribute("data-part", "1.1")
    assert warned.count() == 0


def test_one_time_bolts_ask_for_new_ones_before_the_first_pull_counts(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("tensioner-bolts"))
    step = drive.look("tensioner-bolts")
    drive.press(large(drive, "tensioner-bolts"))
    assert pulls(bay, "tensioner-bolts") == []
    tick(step.locator("[data-field=new]"))
    pull(drive, "tensioner-bolts", 4)
    assert [value.get("new") for value in pulls(bay, "tensioner-bolts")][:2] == [True, True]
    expect(drive.step("tensioner-bolts")).to_have_attribute("data-state", "done")


def test_a_lost_mark_takes_that_bolts_pulls_back_and_asks_for_another_new_one(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("tensioner-bolts"))
    drive.look("tensioner-bolts")
    tick(drive.step("tensioner-bolts").locator("[data-field=new]"))
    pull(drive, "tensioner-bolts", 2)
    drive.reopen()
    step = drive.look("tensioner-bolts")
    lost = step.locator("[data-action=confirm] ~ [data-action=take-back]").first
    drive.press(lost)
    expect(large(drive, "tensioner-bolts")).to_have_attribute("data-part", "1.1")
    assert [entry["kind"] for entry in bay.entries()].count("take-back") == 1
    expect(step.locator("[data-field=new]")).to_be_visible()


def test_a_mark_that_is_there_is_gone_on_from(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("pump-bolts"))
    drive.look("pump-bolts")
    pull(drive, "pump-bolts", 12)
    drive.reopen()
    step = drive.look("pump-bolts")
    drive.press(step.locator("[data-action=confirm]:has(~ [data-action=take-back])"))
    assert pull(drive, "pump-bolts") == ["3.1"]


# --- three lists ------------------------------------------------------------------------------------------------------


def test_each_list_holds_its_gate_until_its_last_bolt(bay: Bay) -> None:
    """The lists of covers and bay hold the starter, that of the wheels and underside the road."""
    steps = ("cover-bolts", "bracket-bolts", "wheel-bolts")
    drive = bay.begin(torque_sheet(*(f"{name}-off" for name in steps), *steps, "start-gate", "road-gate"))
    for name in steps:
        drive.close(f"{name}-off")
    for name, gate in (("cover-bolts", "start-gate"), ("bracket-bolts", "start-gate"), ("wheel-bolts", "road-gate")):
        drive.look(gate)
        assert "list" in drive.codes(gate), f"{name} is not tight"
        drive.close(name)
    drive.look("start-gate")
    assert "list" not in drive.codes("start-gate")
    drive.close("start-gate")
    drive.look("road-gate")
    assert "list" not in drive.codes("road-gate")


def test_a_list_shows_what_is_open_first_and_of_the_rest_value_wrench_who_and_when(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("cover-bolts-off", "pump-bolts-off", "cover-bolts", "pump-bolts", "start-gate"))
    drive.close("cover-bolts-off")
    drive.close("pump-bolts-off")
    drive.close("cover-bolts")
    drive.look("start-gate")
    rows = drive.page.locator("[data-stands]")
    rows.first.evaluate(
        "one => { for (let at = one.closest('details'); at; at = at.parentElement.closest('details')) at.open = true; }"
    )
    told = [" ".join(text.split()) for text in rows.all_inner_texts() if text.strip()]
    assert told[0].startswith("6 × Pump bolts") or "Pump bolts" in told[0]
    tight = next(text for text in told if "Lower cover bolts" in text)
    assert "9.0 N.m" in tight and "KS" in tight and "Click wrench 5 to 25" in tight


def test_every_tightening_fits_the_phone(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("head-bolts", "tensioner-bolts", "mount-bolt"))
    for path in ("head-bolts", "tensioner-bolts", "mount-bolt"):
        drive.look(path)
        assert drive.page.evaluate("document.documentElement.scrollWidth") <= 360
        assert large(drive, path).evaluate("one => one.getBoundingClientRect().height") >= 64


def test_the_jobs_menu_leads_to_the_torque_sheet_and_an_older_worksheet_has_none(bay: Bay) -> None:
    drive = bay.begin(torque_sheet("mount-bolt"))
    link = drive.page.locator("a[href$='/torque/']")
    drive.reveal(link)
    assert link.evaluate("one => one.href").endswith("/w/bolts/torque/") and link.is_visible()
    drive = bay.begin(
        {key: value for key, value in torque_sheet("mount-bolt").items() if key not in ("wrenches", "torque")},
        job="J-1043",
    )
    assert drive.page.locator("a[href$='/torque/']:not([hidden])").count() == 0
