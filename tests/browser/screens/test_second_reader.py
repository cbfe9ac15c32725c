"""A critical value read on the phone: typed once, then typed again blind by another person, or after the break."""

from __future__ import annotations

import re
from typing import Any

from playwright.sync_api import Locator, expect

from tests.browser import bays
from tests.browser.bays import Bay
from tests.browser.drive import SOURCE, Drive, fill
from tests.browser.torque_sheet import torque_sheet

shop, phone, bay = bays.shop, bays.phone, bays.bay

PATH, VALUE = "idler-bolt", "idler_bolt"
FIRST = {"number": "8.5", "unit": "N.m", **SOURCE}


def begin(bay: Bay, pause: int = 600, **fields: Any) -> tuple[Drive, Locator]:
    """Begin a job whose critical bolt lacks a value that needs a second reader. Return the box of the value too."""
    sheet = {**torque_sheet(PATH), "second_reader": pause}
    sheet["items"][VALUE] = {"kind": "bolt", "label": "Idler bolt", "list": "covers", "count": 1}
    sheet["steps"][0]["closes"] = [{"what": VALUE, "count": None}]
    drive = bay.begin(sheet, **fields)
    return drive, drive.look(PATH).locator(f"[data-value={VALUE}]")


def read_first(drive: Drive, box: Locator, **given: str) -> Locator:
    """Read the value a first time. Return the form of the second reading."""
    for name, text in {**FIRST, **given}.items():
        fill(box.locator(f"[data-field={name}]").first, text)
    drive.press(box.locator("[data-action=read]"))
    second = box.locator("[data-second]")
    expect(second).to_be_visible()
    return second


def read_second(drive: Drive, second: Locator, who: str, number: str = "8.5") -> None:
    fill(second.locator("[data-field=number]"), number)
    drive.choose(second.locator("[data-field=who]"), who)
    drive.press(second.locator("[data-action=read]"))
    drive.idle()


def reads(bay: Bay) -> list[dict[str, Any]]:
    return [entry for entry in bay.entries() if entry["kind"] in ("read", "settle")]


def test_a_second_person_types_it_blind_and_only_then_the_wrench_has_a_setting(bay: Bay) -> None:
    drive, box = begin(bay)
    second = read_first(drive, box)
    step = drive.step(PATH)
    said = drive.page.locator("[data-job]")
    typed = drive.page.locator("input").evaluate_all("all => all.map(one => one.value)")
    assert "8.5" not in (said.text_content() or "") and "8.5" not in typed
    expect(box).to_have_attribute("data-missing", "")
    expect(second).to_have_attribute("data-second", "KS")
    expect(second).to_contain_text("section 4, page 118")
    assert second.locator("[data-field=number]").input_value() == ""
    expect(step.locator("[data-check=tighten][aria-current]")).to_have_attribute("aria-disabled", "true")
    assert "KS" not in second.locator("[data-field=who] option").evaluate_all("all => all.map(one => one.value)")
    fill(second.locator("[data-field=number]"), "8.50")
    drive.press(second.locator("[data-action=read]"))
    expect(second).to_contain_text("Choose who reads it a second time.")
    drive.choose(second.locator("[data-field=who]"), "?")
    fill(second.locator("[data-field=initials]"), "k.s.")
    drive.press(second.locator("[data-action=read]"))
    expect(second).to_contain_text("Another person must read it now.")
    assert len(reads(bay)) == 1
    fill(second.locator("[data-field=initials]"), "zz")
    drive.press(second.locator("[data-action=read]"))
    expect(box).not_to_have_attribute("data-missing", "")
    expect(second).to_have_count(0)
    expect(box.locator("[data-source]")).to_contain_text("read by KS, second reader ZZ")
    expect(step.locator("[data-check=tighten][aria-current]")).to_contain_text("8.5 N.m")
    drive.reveal(drive.page.locator("[data-open-items]"))
    listed = drive.page.locator(".top .bolt-line .bolt-value:not([hidden])")
    expect(listed).to_have_text(["value 8.5 N.m · read by KS, second reader ZZ"])
    first, again = reads(bay)
    assert again["value"] == {**first["value"], "second": {"self": False}}
    assert (again["who"], again["seen"]) == ("ZZ", [first["id"]])


def test_what_differs_is_two_answers_and_what_was_settled_is_read_again(bay: Bay) -> None:
    drive, box = begin(bay)
    second = read_first(drive, box)
    read_second(drive, second, "RT", "9.5")
    first, other = reads(bay)
    assert "second" not in other["value"] and first["id"] not in other["seen"] and other["who"] == "RT"
    expect(box.locator("[data-action=settle]")).to_have_count(2)
    drive.press(box.locator("[data-action=settle]").last)
    second = box.locator("[data-second]")
    expect(second).to_be_visible()
    expect(box).to_have_attribute("data-missing", "")
    read_second(drive, second, "RT", "9.5")
    expect(box).not_to_have_attribute("data-missing", "")
    assert [entry["kind"] for entry in reads(bay)] == ["read", "read", "settle", "read"]


def test_alone_it_says_from_when_and_counts_by_itself(bay: Bay) -> None:
    drive, box = begin(bay, pause=3)
    second = read_first(drive, box)
    mine = second.locator("[data-field=who] option[value='self:KS']")
    expect(second).to_contain_text(re.compile(r"KS alone: self-check from \d\d:\d\d"))
    expect(mine).to_have_count(0)
    expect(mine).to_have_count(1)
    read_second(drive, second, "self:KS")
    expect(box).not_to_have_attribute("data-missing", "")
    expect(box.locator("[data-source]")).to_contain_text("read twice by KS, self-check after a break")
    assert reads(bay)[-1]["value"]["second"] == {"self": True}
