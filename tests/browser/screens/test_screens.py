"""What the technician sees, in a real browser: cautions first, one step large, nothing shown as saved before it is.

Each test works on a worksheet with only the steps it is about, cut out of the sample.
"""

from __future__ import annotations

import copy
import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from tests.browser import bays
from tests.browser.bays import ELSEWHERE, JOB, PHONE, SET_WHO, Bay, Sheet, files_of, other_phone
from tests.browser.drive import CLOSED, SOURCE, Drive, fill
from tests.browser.server import Server
from tests.browser.touch import AHEAD, Finger, tap
from tests.support import demo
from tests.support.sample_sheet import caution, sample_sheet, step, tick

shop, phone, bay = bays.shop, bays.phone, bays.bay


def cut(*paths: str, **changes: Any) -> Sheet:
    """Return the sample with these steps only, and the completion. `changes` replace keys of the worksheet."""
    sheet = sample_sheet()
    sheet["steps"] = [step for step in sheet["steps"] if step["path"] in {*paths, "done"}]
    here = {step["path"] for step in sheet["steps"]}
    for one in sheet["steps"]:
        one["after"] = [path for path in one["after"] if path in here]
        if one["if_failed"]:
            failed = one["if_failed"]
            failed["disturbs"] = [path for path in failed["disturbs"] if path in here]
            failed["back_to"] = failed["back_to"] if failed["back_to"] in here else None
    return {**sheet, **changes}


# --- starting ---------------------------------------------------------------------------------------------------------


def test_a_job_starts_with_its_number_vehicle_odometer_person_and_role(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "battery-off"), who="l.m.", role="apprentice")
    [start] = bay.entries()
    assert start["kind"] == "start" and start["who"] == "LM"
    local = start["value"].pop("local")  # tests/browser/screens/test_shop_days.py
    assert sorted(local) == ["day", "time_zone"]
    assert start["value"] == {
        "number": "J-1042",
        "vehicle": "Blue van, AB-12",
        "odometer": {"number": "84210", "unit": "km"},
        "role": "apprentice",
        "procedure": "belt-service",
    }
    assert drive.at() == "windows"


@pytest.mark.parametrize("layout", ["", "inline-four"])
def test_the_first_screen_says_what_the_paper_says_of_the_sheet(bay: Bay, layout: str) -> None:
    """Whose word counts, whether the values are invented, and how old it is, before the first box."""
    sheet = demo.sheet(layout) if layout else cut("windows")
    bay.serve(sheet)
    bay.drive.open(f"w/{sheet['worksheet']}/")
    said = bay.page.locator("[data-standing=start]")
    paper = bay.page.locator("[data-standing=top] p").all_text_contents()
    assert said.locator("p").all_text_contents() == paper
    assert [text for text in paper if "nvented" in text] == (
        ["Invented values, for a demonstration. Use none of them on a car."] if layout else []
    )
    assert said.bounding_box()["y"] < bay.page.locator("[data-field=job]").bounding_box()["y"]


def test_a_start_without_its_odometer_says_what_is_missing_and_keeps_what_was_typed(bay: Bay) -> None:
    bay.serve(cut("windows"))
    bay.drive.open("w/belt-service-four/")
    for name, text in {**JOB, "who": "KS", "odometer": ""}.items():
        fill(bay.page.locator(f"[data-field={name}]"), text)
    tap(bay.page.locator("[data-action=start]"))
    expect(bay.page.get_by_role("alert").first).to_have_text("Fill in “Odometer” first.")
    for name, text in {"odometer": "84210", "who": "--"}.items():
        fill(bay.page.locator(f"[data-field={name}]"), text)
    tap(bay.page.locator("[data-action=start]"))
    expect(bay.page.get_by_role("alert").first).to_have_text("Fill in “Who is working (initials)” first.")
    assert bay.page.locator("[data-field=vehicle]").input_value() == "Blue van, AB-12"


def test_what_the_lead_wrote_fills_the_start_form(bay: Bay) -> None:
    bay.serve(cut("windows"))
    bay.drive.open(
        "w/belt-service-four/#new?job=Q-7&vehicle=Old%20%26%20blue&odometer=91000&unit=mi&agreed=Belt%20only"
    )
    assert bay.page.locator("[data-field=vehicle]").input_value() == "Old & blue"
    assert bay.page.locator("[data-field=unit]").input_value() == "mi"
    assert bay.page.get_by_text("Belt only").is_visible()


def test_two_vehicles_on_one_worksheet_are_two_jobs_in_the_list(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "battery-off"))
    first = bay.job
    drive.close("windows")
    second = drive.start("belt-service-four", **{**JOB, "job": "J-1043", "vehicle": "Grey saloon"})
    assert second != first and drive.state("windows") == "open"
    drive.open("jobs/")
    links = bay.page.locator("[data-job-link]")
    assert [link.get_attribute("data-job-link") for link in links.all()] == [second, first]
    tap(links.nth(1))
    bay.page.locator(f'[data-job="{first}"]').wait_for()
    assert drive.state("windows") == "done"


# --- one step ---------------------------------------------------------------------------------------------------------


def test_cautions_stand_before_the_text_and_the_check_off_below_both(bay: Bay) -> None:
    drive = bay.begin(cut("drain", "lock", "two-turns"))
    for path in ("drain", "lock", "two-turns"):
        made = drive.look(path)
        caution_box = made.locator("[data-caution]").last.bounding_box()
        text, control = made.locator(".do").bounding_box(), made.locator("[data-check]:visible").last.bounding_box()
        assert caution_box and text and control
        assert caution_box["y"] + caution_box["height"] <= text["y"] < control["y"]


def test_the_worst_caution_of_step_and_stage_stands_first_also_on_a_worksheet_in_another_order(bay: Bay) -> None:
    sheet = cut("drain", "lock")
    levels = ["notice", "warning", "danger", "warning"]
    told = [caution(level, f"{level} {at}.", "Harm.", "Keep away.") for at, level in enumerate(levels)]
    stage = {
        **sheet["stages"][sheet["steps"][0]["stage"]],
        "cautions": [caution("caution", "stage.", "Harm.", "Away.")],
    }
    sheet["stages"][sheet["steps"][0]["stage"]] = stage
    sheet["steps"][0] = {**sheet["steps"][0], "cautions": told}
    made = bay.begin(sheet).look("drain")
    shown = [box.get_attribute("data-caution") for box in made.locator("[data-caution]").all()]
    assert shown == ["danger", "warning", "warning", "caution", "notice"]
    assert ["1." in box.inner_text() for box in made.locator("[data-caution=warning]").all()] == [True, False]


def test_the_check_off_of_a_long_caution_is_reached_only_past_the_caution(bay: Bay) -> None:
    sheet = cut("windows", "battery-off")
    long = caution("warning", "A hazard. " * 15, "A harm. " * 15, "Keep away from it. " * 8)
    sheet["steps"][1] = {**sheet["steps"][1], "cautions": [long] * 3}
    drive = bay.begin(sheet)
    drive.close("windows")
    assert drive.at() == "battery-off"
    made = drive.step("battery-off")
    first, control = made.locator("[data-caution]").first, made.locator("[data-check]")
    expect(first).to_be_in_viewport()
    expect(control).not_to_be_in_viewport()


def test_the_main_control_lies_at_the_bottom_and_is_big_enough_for_a_thumb(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "battery-off"))
    control = drive.step("windows").locator("[data-check]")
    box = control.bounding_box()
    assert box and box["height"] >= 96 and box["width"] >= 300
    assert box["y"] > PHONE["height"] / 2
    rows = [row.bounding_box() for row in bay.page.locator("[data-step]:not([open]) > summary:visible").all()]
    assert rows and all(row and row["height"] >= 64 for row in rows)


def test_nothing_is_wider_than_the_phone(bay: Bay) -> None:
    sheet = cut(*[one["path"] for one in sample_sheet()["steps"]])
    drive = bay.begin(sheet)
    for path, state in drive.states().items():
        if state != "hidden":
            drive.look(path)
            assert bay.page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"], path


def test_a_value_is_large_and_stands_with_the_place_it_was_read(bay: Bay) -> None:
    sheet = cut("drain", "tensioner")
    sheet["values"]["tensioner_bolts"]["source"] = {**sheet["values"]["drain_time"]["source"], "checked_by": None}
    sheet["stages"] = [{**stage, "order": "any"} for stage in sheet["stages"]]
    drive = bay.begin(sheet)
    box = drive.step("drain").locator("[data-value=drain_time]")
    assert "20 min" in box.inner_text()
    read = "Workshop manual WM-22, 2nd edition, section 4, page 118"
    expect(box.locator("[data-source]")).to_have_text(f"{read} (KS, checked RT)")
    drive.look("tensioner")
    once = drive.step("tensioner").locator("[data-value=tensioner_bolts] [data-source]")
    expect(once).to_have_text(f"{read} (KS) · not read a second time")
    size = box.locator("> .figure").evaluate("one => parseFloat(getComputedStyle(one).fontSize)")
    small = box.locator("[data-source]").evaluate("one => parseFloat(getComputedStyle(one).fontSize)")
    assert size > 2 * small


def test_a_trade_word_is_explained_on_a_tap(bay: Bay) -> None:
    drive = bay.begin(cut("lock"))
    word = drive.step("lock").get_by_text("locking tool", exact=True)
    meaning = drive.step("lock").get_by_text("It is never a counter-hold")
    assert not meaning.is_visible()
    tap(word)
    assert meaning.is_visible()


def test_text_of_a_source_is_text_and_never_markup(bay: Bay) -> None:
    sheet = cut("windows")
    nasty = "<img src=x onerror=globalThis.harmed=1><script>globalThis.harmed=1</script>"
    sheet["steps"][0] |= {
        "do": [nasty, {"t": "em", "c": [nasty]}],
        "cautions": [caution("notice", nasty, nasty, nasty)],
    }
    sheet["stages"][0]["title"] = nasty
    drive = bay.begin(sheet, vehicle=nasty)
    drive.close("windows")
    assert bay.page.evaluate("globalThis.harmed") is None
    assert bay.page.get_by_text("<img src=x").count() > 0


# --- kept, and shown as kept ------------------------------------------------------------------------------------------


def test_a_tick_is_shown_only_once_it_is_kept(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "battery-off"))
    bay.page.evaluate(
        """() => {
          const put = IDBObjectStore.prototype.put;
          globalThis.release = null;
          IDBObjectStore.prototype.put = function (...all) {
            const request = put.apply(this, all);
            const complete = this.transaction;
            if (!globalThis.release) globalThis.release = hold(complete, this);
            return request;
          };
          // Keeps the transaction alive by asking again and again, so that it cannot complete yet.
          const hold = (transaction, store) => {
            let go = false;
            const ask = () => { if (!go) store.get('nothing').onsuccess = ask; };
            try { ask(); } catch { }
            return () => { go = true; };
          };
        }"""
    )
    made = drive.step("windows")
    tap(made.locator("[data-check]"))
    expect(made.locator("[data-check]")).to_have_attribute("aria-busy", "true")
    assert drive.kept("windows") == [] and drive.state("windows") == "open"
    bay.page.evaluate("globalThis.release()")
    expect(made).to_have_attribute("data-state", "done")
    assert len(drive.kept("windows")) == 1


def test_what_was_not_kept_says_so_and_the_next_tap_keeps_the_same_entry(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "battery-off"))
    bay.page.evaluate(
        """() => {
          const put = IDBObjectStore.prototype.put;
          globalThis.mend = () => { IDBObjectStore.prototype.put = put; };
          IDBObjectStore.prototype.put = function (...all) {
            const request = put.apply(this, all);
            this.transaction.abort();
            return request;
          };
        }"""
    )
    made = drive.step("windows")
    tap(made.locator("[data-check]"))
    expect(made).to_have_attribute("data-state", "done")
    assert drive.kept("windows") == []
    card = drive.step("battery-off").locator("[data-unkept-count]")
    expect(card).to_contain_text("Not saved: 1 tick or reading")
    expect(card).to_contain_text("What was saved before is safe")
    bay.page.evaluate("globalThis.mend()")
    tap(drive.look("windows").locator("[data-check]"))
    expect(made.locator("[data-kept]").first).to_be_attached()
    checks = [entry for entry in bay.entries() if entry["kind"] == "check"]
    assert [entry["id"] for entry in checks] == drive.kept("windows")


def test_a_kept_tick_is_still_there_after_the_page_is_opened_anew(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "battery-off"))
    drive.close("windows")
    kept = drive.kept("windows")
    drive.reopen()
    assert drive.state("windows") == "done" and drive.kept("windows") == kept and drive.at() == "battery-off"


def test_a_press_and_hold_keeps_nothing_when_it_is_let_go_early(bay: Bay) -> None:
    drive = bay.begin(cut("lock"))
    control = drive.step("lock").locator("[data-check]")
    for seconds in (0.15, 0.3, 0):
        with Finger(bay.page).on(control):
            bay.page.wait_for_timeout(seconds * 1000)
    bay.page.wait_for_timeout(700)
    assert drive.kept("lock") == []
    drive.close("lock")
    assert drive.state("lock") == "done"


def test_a_press_and_hold_works_from_the_keyboard(bay: Bay) -> None:
    drive = bay.begin(cut("lock"))
    control = drive.step("lock").locator("[data-check]")
    control.focus()
    bay.page.wait_for_timeout(AHEAD * 1000)  # a keyboard has no clock of its own
    bay.page.keyboard.press("Enter")
    assert drive.kept("lock") == []
    drive.answered("lock", lambda: bay.page.keyboard.down(" "))
    bay.page.keyboard.up(" ")
    assert drive.state("lock") == "done"


def test_two_quick_taps_of_one_finger_close_one_step_only(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "battery-off"))
    box = drive.step("windows").locator("[data-check]").bounding_box()
    assert box
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    finger = Finger(bay.page, ahead=0)
    bay.page.wait_for_timeout(AHEAD * 1000)
    finger.down(x, y)
    finger.up()
    expect(drive.step("windows")).to_have_attribute("data-state", "done")
    finger.down(x, y)
    finger.up()
    drive.idle()
    assert drive.state("battery-off") == "open"


def test_half_typed_text_survives_what_another_tab_does(bay: Bay) -> None:
    drive = bay.begin(cut("refill", "seal"))
    box = drive.look("refill").locator("[data-field=number]")
    box.fill("7,")
    other = bay.tab()
    other.open(f"w/belt-service-four/#{bay.job}")
    other.page.locator("[data-job]").wait_for()
    other.close("seal", outcome="dry")
    expect(drive.step("seal")).to_have_attribute("data-state", "done")
    assert box.input_value() == "7,"


# --- each check-off ---------------------------------------------------------------------------------------------------


def test_bolts_are_kept_one_by_one_and_pull_by_pull(bay: Bay) -> None:
    drive = bay.begin(cut("tensioner"))
    made = drive.step("tensioner")
    big = made.locator("[data-check=tighten][aria-current]")
    seen = []
    for kept in range(4):
        seen.append((big.get_attribute("data-part"), big.inner_text().split("\n")[-1]))
        tap(big)
        expect(made.locator("[data-part][data-kept]")).to_have_count(kept + 1)
    assert seen == [("1.1", "12 N.m"), ("1.2", "12 N.m"), ("2.1", "90 deg"), ("2.2", "90 deg")]
    assert drive.state("tensioner") == "done"
    values = [entry["value"] for entry in bay.entries() if entry["kind"] == "check"]
    assert values == [{"set": "12 N.m"}, {"set": "12 N.m"}, {"set": "90 deg"}, {"set": "90 deg"}]


def test_a_bolt_out_of_turn_is_first_made_the_large_one(bay: Bay) -> None:
    drive = bay.begin(cut("tensioner"))
    second = drive.step("tensioner").locator('[data-part="1.2"]')
    tap(second)
    expect(second).to_have_attribute("aria-current", "step")
    assert drive.kept("tensioner") == []
    tap(second)
    expect(second).to_have_attribute("data-kept", bay_id := bay.entries()[-1]["id"])
    assert bay_id


def test_a_critical_check_off_does_not_close_before_its_value_and_source(bay: Bay) -> None:
    drive = bay.begin(cut("idler", "thermostat"))
    made = drive.step("idler")
    expect(made.locator("[data-check]")).to_have_attribute("aria-disabled", "true")
    assert "“Idler bolt” is missing" in drive.reasons("idler")[0]
    made.locator("[data-field=number]").fill("45")
    tap(made.locator("[data-action=read]").first)
    expect(made.get_by_role("alert").filter(has_text="Source document")).to_be_visible()
    assert made.locator("[data-missing]").count() == 1
    drive.fill_missing("idler")
    expect(made.locator("[data-value=idler_bolt] [data-source]")).to_have_text(
        f"{SOURCE['document']}, {SOURCE['where']}"
    )
    drive.close("idler")
    assert drive.state("idler") == "done"
    assert [entry["value"] for entry in bay.entries()][-1] == {"set": "10 N.m"}


def test_the_source_document_is_typed_once_a_job(bay: Bay) -> None:
    drive = bay.begin(cut("idler", "thermostat"))
    drive.close("idler")
    drive.look("thermostat")
    box = drive.step("thermostat").locator("[data-missing]")
    assert box.locator("[data-field=document]").input_value() == SOURCE["document"]
    assert box.locator("[data-field=where]").input_value() == ""


@pytest.mark.parametrize(
    ("paths", "code", "first", "later"),
    [
        (("drain", "hoses-off"), "after", "First finish step 1", True),
        (("lock", "lock-out", "two-turns"), "open", "Still 1 × Crank locking tool (in). First do step 2", True),
        (("first-stop", "windows"), "hold", "First stop and check at step 1", True),
        (("windows", "strip-down", "lock"), "order", "First do step 1", True),
        (("cover-off", "cover-on", "start-gate"), "list", "Bolt list “", True),
        (("idler",), "value", "“Idler bolt” is missing. Fill it in below", True),
        (("strip-down",), "ready", "is not confirmed. Confirm it below.", False),
    ],
)
def test_a_step_that_does_not_go_says_first_what_to_do_and_then_what_is_for_later(
    bay: Bay, paths: tuple[str, ...], code: str, first: str, later: bool
) -> None:
    drive = bay.begin(cut(*paths))
    if code in ("open", "list"):
        drive.close(paths[0])
    path = "strip-down" if code == "order" else paths[-1]
    made = drive.look(path)
    card = made.locator(".not-yet")
    expect(made).to_have_attribute("data-state", "open" if code == "value" else "blocked")
    expect(card.locator("h3")).to_have_text("Not yet")
    line = card.locator(f"[data-gate-reason={code}] p")
    expect(line.first).to_contain_text(first)
    seen, text, head = (
        one.bounding_box() for one in (card.locator("h3"), made.locator(".do"), bay.page.locator(".top"))
    )
    assert seen and text and head
    assert head["y"] + head["height"] <= seen["y"] and seen["y"] + seen["height"] <= PHONE["height"] / 2
    assert card.evaluate("one => one === one.parentElement.firstElementChild") and seen["y"] < text["y"]
    assert made.locator(".later").is_visible() == later
    size = made.locator(".do").evaluate("one => getComputedStyle(one).borderTopStyle")
    assert size == ("dashed" if later else "none")


def test_a_step_that_goes_says_nothing_of_not_yet(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "battery-off"))
    assert not drive.step("windows").locator(".not-yet").is_visible()
    assert not drive.step("windows").locator(".later").is_visible()


def test_a_wait_is_a_deadline_and_blocks_only_what_depends_on_it(bay: Bay) -> None:
    drive = bay.begin(cut("drain", "cover-off", "hoses-off"))
    made = drive.step("drain")
    drive.answered("drain", lambda: tap(made.locator("[data-part=start]")))
    assert drive.state("drain") == "waiting" and drive.at() == "cover-off"
    drive.look("hoses-off")
    assert drive.state("hoses-off") == "blocked" and "step 1" in drive.reasons("hoses-off")[0]
    drive.look("drain")
    expect(made.get_by_role("timer")).to_contain_text("Not before")
    expect(made.locator("[data-part=end]")).to_have_attribute("aria-disabled", "true")
    drive.act("elapsed", "drain", minutes="20", why="the clock on the wall")
    drive.answered("drain", lambda: tap(made.locator("[data-part=end]")))
    assert drive.state("drain") == "done" and drive.state("hoses-off") == "open"


def test_a_wait_started_on_another_phone_asks_a_person(bay: Bay) -> None:
    drive = bay.begin(cut("drain", "cover-off"))
    start = bay.entries()[0]
    elsewhere = other_phone(start, kind="check", step="drain", part="start", value={}, seen=[], lamport=2)
    bay.tab().page.goto(drive.site)
    bay.page.evaluate(ELSEWHERE, [elsewhere])
    drive.reopen()
    drive.look("drain")
    expect(drive.step("drain").get_by_role("timer")).to_contain_text("started on another phone")
    assert drive.step("drain").locator("[data-field=why]").is_visible()


def test_a_second_look_is_signed_by_another_person(bay: Bay) -> None:
    drive = bay.begin(cut("marks", "second-look"))
    drive.close("marks", outcome="aligned")
    who = drive.step("second-look").locator("[data-field=who]")
    offered = who.locator("option").evaluate_all("all => all.map(one => one.value)")
    assert offered == ["", "LM", "RT", "?"]
    tap(drive.step("second-look").locator("[data-check]"))
    expect(drive.step("second-look").get_by_role("alert").last).to_have_text("Choose who signs.")
    fill(who, "?")
    typed = drive.step("second-look").locator("[data-field=initials]")
    for same in ("k.s.", "\uff4b\uff53", "K S"):
        fill(typed, same)
        tap(drive.step("second-look").locator("[data-check]"))
        expect(drive.step("second-look").get_by_role("alert").last).to_contain_text("KS")
    assert len(bay.entries()) == 2
    fill(typed, "r.t.")
    tap(drive.step("second-look").locator("[data-check]"))
    drive.idle()
    entry = bay.entries()[-1]
    assert entry["who"] == "RT" and entry["value"] == {"self": False}


PERMIT = "Bypass on, strings open, tested dead, tag 3 hung"


def test_work_waits_for_a_permit_that_whoever_has_the_job_cannot_give(bay: Bay) -> None:
    sheet = cut("second-look", "seal")
    allowed = sheet["steps"][0]
    allowed |= {"hold": True, "leave": "never", "do": ["Have the work allowed."]}
    allowed["check"] |= {"of": [], "permit": PERMIT, "alone": False}
    drive = bay.begin(sheet)
    drive.look("seal")
    assert drive.reasons("seal")[0].startswith("First stop and check at step 1: Have the work allowed.")
    step = drive.look("second-look")
    expect(step).to_contain_text(PERMIT)
    who = step.locator("[data-field=who]")
    offered = who.locator("option").evaluate_all("all => all.map(one => one.value)")
    assert offered == ["", "LM", "RT", "?"], "nobody waits for a break here"
    tap(step.locator("[data-check]"))
    expect(step.get_by_role("alert").last).to_have_text("Choose who gives the permit.")
    drive.choose(who, "?")
    fill(step.locator("[data-field=initials]"), "ks")
    tap(step.locator("[data-check]"))
    expect(step.get_by_role("alert").last).to_have_text(
        "KS has the job or works under this permit. Another person must give it."
    )
    drive.close("second-look", who="RT")
    entry = bay.entries()[-1]
    assert entry["who"] == "RT" and entry["value"] == {"self": False, "permit": PERMIT}
    drive.look("seal")
    assert drive.reasons("seal") == []
    tap(bay.page.get_by_role("button", name="Robin Thal", exact=True))
    drive.answered("seal", lambda: drive.press(drive.step("seal").locator("[data-outcome=dry]")))
    drive.look("second-look")
    gave = "RT gave this permit, and has the job or works under it. Somebody else must give it."
    assert drive.reasons("second-look") == [gave] and drive.kept("second-look") == []


def test_a_step_at_one_of_several_corners_says_which_wherever_it_is_named(bay: Bay) -> None:
    sheet = cut("first-stop", "windows")
    for made, which in zip(sheet["steps"], ("rear left", "<b>rear right</b>"), strict=False):
        made["which"] = which
    drive = bay.begin(sheet)
    drive.look("windows")
    text = drive.step("windows").locator(".do")
    expect(text).to_have_text(re.compile(r"^<b>rear right</b>: "))
    [reason] = drive.reasons("windows")
    assert reason.startswith("First stop and check at step 1: Rear left: Look for orange cables")
    expect(drive.step("first-stop").locator("summary").first).to_contain_text("Rear left: Look")


def test_a_step_with_two_gates_names_both(bay: Bay) -> None:
    sheet = cut("start-gate")
    sheet["steps"][0]["gate"]["also"] = ["road"]
    drive = bay.begin(sheet)
    stop = drive.look("start-gate").locator(".stop")
    expect(stop).to_have_text("Stop and check: before the starter turns the engine · before the car goes on the road")


def test_a_photo_says_where_it_is_kept(bay: Bay) -> None:
    drive = bay.begin(cut("as-found"))
    tap(drive.step("as-found").locator("[data-check]"))
    assert drive.kept("as-found") == []
    drive.close("as-found", kept_at="shop camera, card 2")
    assert bay.entries()[-1]["value"] == {"kept_at": "shop camera, card 2"}


def test_a_reading_may_have_a_comma_and_must_be_a_number(bay: Bay) -> None:
    drive = bay.begin(cut("refill"))
    made = drive.step("refill")
    made.locator("[data-field=number]").fill("about seven")
    tap(made.locator("[data-check]"))
    expect(made.get_by_role("alert").filter(has_text="must be a number")).to_be_visible()
    drive.close("refill", number="7,5")
    assert bay.entries()[-1]["value"] == {"number": 7.5, "unit": "L"}


# --- the order of work ------------------------------------------------------------------------------------------------


def test_what_blocks_a_step_is_said_in_words_and_leads_there(bay: Bay) -> None:
    drive = bay.begin(cut("first-stop", "windows"))
    drive.look("windows")
    [reason] = drive.reasons("windows")
    assert reason.startswith("First stop and check at step 1: Look for orange cables")
    tap(drive.step("windows").get_by_role("button", name="Go to step 1"))
    assert drive.at() == "first-stop"


def test_what_is_still_loose_off_or_in_is_counted_and_listed_in_words(bay: Bay) -> None:
    drive = bay.begin(cut("cover-off", "lock", "lock-out", "cover-on"))
    assert drive.open_count() == 0
    drive.close("cover-off")
    drive.close("lock")
    assert drive.open_count() == 7
    line = bay.page.locator("[data-open-items]")
    assert "6\u00a0loose · 1\u00a0in" in line.inner_text()
    tap(line.locator("summary"))
    listed = [" ".join(item.split()) for item in line.locator("li").all_inner_texts()]
    assert listed[:2] == ["6 Lower cover bolts loose", "1 Crank locking tool in"]
    assert listed[2:] == ["6 × Lower cover bolts loose value 9 N.m"]
    assert "Under the covers (before close-up)" in line.inner_text()


def test_a_gate_says_what_is_still_in(bay: Bay) -> None:
    drive = bay.begin(cut("lock", "two-turns"))
    drive.close("lock")
    drive.look("two-turns")
    assert any("Still 1 × Crank locking tool (in)." in why for why in drive.reasons("two-turns"))
    expect(drive.step("two-turns").locator("[aria-current]")).to_have_attribute("aria-disabled", "true")


def test_the_preparation_is_confirmed_by_exception_before_the_strip_down(bay: Bay) -> None:
    drive = bay.begin(cut("strip-down", "thermostat", "idler"))
    made = drive.step("strip-down")
    expect(made.locator("[data-check]")).to_have_attribute("aria-disabled", "true")
    tap(made.locator('[data-field="except:seal"]'))
    drive.prepare("strip-down")
    confirmed = {entry["part"]: entry["value"] for entry in bay.entries() if entry["kind"] == "confirm"}
    assert confirmed["parts"] == {"except": ["seal"]} and confirmed["tools"] == {"except": []}
    assert confirmed["values"] == {"except": ["idler_bolt", "jiggle_pin"]}
    assert any("Not here: Crank seal" in reason for reason in drive.reasons("strip-down"))
    expect(made.locator("[data-check]")).to_have_attribute("aria-disabled", "true")
    drive.act("depart", "strip-down", part="part:seal", reason="comes tomorrow", instead="the old one is looked at")
    drive.close("strip-down")
    assert drive.state("strip-down") == "done"


def test_a_failed_check_goes_back_and_asks_about_what_it_may_have_disturbed(bay: Bay) -> None:
    drive = bay.begin(cut("lock", "tensioner", "lock-out", "two-turns", "marks"))
    drive.run(stop_at="marks")
    drive.fail("marks", outcome="off", reason="one tooth")
    assert drive.at() == "lock" and drive.state("marks") == "blocked"
    assert drive.state("tensioner") == "recheck" and drive.state("lock-out") == "blocked"
    back = bay.entries()[-1]["value"]
    assert back == {
        "to": "lock",
        "disturbs": ["lock", "lock-out", "two-turns"],
        "rest": ["tensioner"],
        "reason": "one tooth",
    }
    drive.close("lock")
    assert drive.at() == "tensioner" and "disturbed" in drive.codes("tensioner")
    drive.act("not-disturbed", "tensioner")
    assert drive.state("tensioner") == "done" and bay.entries()[-1]["who"] == "KS"
    drive.run({"marks": "aligned"})
    assert drive.is_complete


def test_an_answer_is_taken_back_from_the_bottom_of_the_screen(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "battery-off"))
    drive.close("windows")
    control = bay.page.locator(".foot [data-action=take-back]")
    drive.press(control)
    expect(drive.step("windows")).to_have_attribute("data-state", "open")
    assert drive.at() == "windows" and drive.kept("windows") == []


def test_a_finding_brings_its_step_and_takes_it_away_again(bay: Bay) -> None:
    drive = bay.begin(cut("seal", "seal-new"))
    assert drive.state("seal-new") == "hidden" and not drive.step("seal-new").is_visible()
    drive.close("seal", outcome="wet")
    assert drive.at() == "seal-new"
    drive.act("take-back", "seal")
    assert drive.state("seal-new") == "hidden"


def test_a_job_ends_by_its_completion_item(bay: Bay) -> None:
    drive = bay.begin(cut("windows"))
    assert not drive.is_complete
    drive.run()
    assert drive.is_complete and bay.entries()[-1]["kind"] == "finish"
    drive.reopen()
    assert drive.is_complete


# --- something else ---------------------------------------------------------------------------------------------------


def test_a_step_only_the_lead_may_leave_out_needs_the_lead(bay: Bay) -> None:
    drive = bay.begin(cut("tensioner", "belt-on"))
    drive.act("skip", "tensioner", reason="does not fit", **{"with": "LM"})
    assert drive.state("tensioner") == "open" and len(bay.entries()) == 1
    expect(drive.step("tensioner").get_by_role("alert").filter(has_text="only with the shop lead")).to_be_visible()
    drive.act("skip", "tensioner", reason="does not fit", **{"with": "R.T."})
    assert drive.state("tensioner") == "skipped"
    tap(bay.page.locator(".top .drop summary").first)
    tap(bay.page.get_by_text("Left out or done another way", exact=True))
    expect(bay.page.locator(".panel").get_by_text("left out: does not fit").first).to_be_visible()


@pytest.mark.parametrize(
    ("action", "path", "fields", "state"),
    [
        ("not-fitted", "seal", {"reason": "sealed from the works"}, "not-fitted"),
        ("refuse", "seal", {"how": "by phone", "told_by": "KS", "price": "40"}, "refused"),
        ("skip", "windows", {"reason": "no windows"}, "skipped"),
    ],
)
def test_a_step_is_left_with_its_reason_and_the_reason_is_shown(
    bay: Bay, action: str, path: str, fields: dict[str, str], state: str
) -> None:
    drive = bay.begin(cut("windows", "seal"))
    if path == "seal":
        drive.close("windows")
    drive.act(action, path, **fields)
    assert drive.state(path) == state
    assert len(drive.kept(path)) == 1
    drive.act("take-back", path)
    assert drive.state(path) == "open"


def test_the_order_inside_a_stage_may_be_left_with_a_reason_and_is_shown(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "battery-off"))
    assert drive.state("battery-off") == "blocked"
    drive.act("depart", "battery-off", part="order", reason="window jammed", instead="battery first")
    assert drive.state("battery-off") == "open"
    drive.close("battery-off")
    assert drive.state("battery-off") == "done"


def test_what_a_helper_took_off_too_is_counted_until_it_is_back_on(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "start-gate"))
    drive.close("windows")
    drive.act("took-off", label="Heat shield bolt", kind="bolt", count="2")
    assert drive.open_count() == 2
    [extra] = [path for path in drive.states() if path.startswith("extra/")]
    drive.act("count", item=extra, count="3")
    assert drive.open_count() == 3
    drive.look("start-gate")
    assert any("Heat shield bolt" in reason for reason in drive.reasons("start-gate"))
    drive.close(extra)
    assert drive.open_count() == 0 and drive.state(extra) == "done"


def test_extra_work_is_added_with_whoever_agreed_to_it(bay: Bay) -> None:
    drive = bay.begin(cut("windows"))
    drive.act("extra", label="Thread insert, cover bolt", approved_by="the owner", how="by phone", price="30")
    [extra] = [path for path in drive.states() if path.startswith("extra/")]
    assert "Thread insert" in drive.look(extra).inner_text()
    drive.look("windows")
    drive.run()
    assert drive.state(extra) == "done" and drive.is_complete


def test_the_shop_can_decline_a_job(bay: Bay) -> None:
    drive = bay.begin(cut("windows"))
    drive.act("decline", reason="old tensioner to be kept")
    expect(bay.page.get_by_text("The shop declined this job: old tensioner to be kept").first).to_be_visible()


def test_anything_said_for_the_whole_job_can_be_taken_back(bay: Bay) -> None:
    drive = bay.begin(cut("cover-off"))
    drive.close("cover-off")
    drive.act("count", item="cover_bolts", count="7")
    assert drive.open_count() == 7
    drive.act("decline", reason="wrong car")
    card = bay.page.get_by_text("The shop declined this job: wrong car", exact=True)
    expect(card).to_be_visible()
    for name in ("Take back: The shop declined", "Take back: Lower cover bolts: 7"):
        control = bay.page.locator("[data-action=take-back]").filter(has_text=name)
        tap(bay.page.locator(".top .drop summary").first)
        drive.reveal(bay.page.get_by_text("Take back something that was said").locator("xpath=following-sibling::div"))
        tap(control)
        expect(bay.page.locator(".top .drop[open]")).to_have_count(0)
    expect(card).not_to_be_visible()
    assert drive.open_count() == 6


def test_two_readings_of_one_value_are_shown_until_one_is_chosen(bay: Bay) -> None:
    drive = bay.begin(cut("idler"))
    drive.fill_missing("idler")
    mine = bay.entries()[-1]
    other = {**mine["value"], "number": 52}
    bay.page.evaluate(ELSEWHERE, [other_phone(mine, value=other, seen=[])])
    drive.reopen()
    assert drive.state("idler") == "open"
    choices = drive.step("idler").locator("[data-value=idler_bolt] [data-action=settle]")
    assert sorted(text.split(" (")[0] for text in choices.all_inner_texts()) == ["10 N.m", "52 N.m"]
    tap(choices.filter(has_text="52 N.m"))
    expect(drive.step("idler").locator("[data-missing]")).to_have_count(0)
    assert "52 N.m" in drive.step("idler").locator("[data-part]").inner_text()


def test_a_job_is_passed_on_and_taken_over(bay: Bay) -> None:
    drive = bay.begin(cut("windows"))
    drive.act("pass-on", to="LM")
    expect(bay.page.get_by_text("Passed on to LM by KS")).to_be_visible()
    tap(bay.page.get_by_role("button", name="Lou Marten", exact=True))
    tap(bay.page.locator("[data-action=receive]"))
    drive.idle()
    assert [(entry["kind"], entry["who"]) for entry in bay.entries()[-2:]] == [("pass-on", "KS"), ("receive", "LM")]


def test_one_tap_changes_who_is_working(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "battery-off"))
    tap(bay.page.get_by_role("button", name="Robin Thal", exact=True))
    drive.close("windows")
    assert bay.entries()[-1]["who"] == "RT"
    assert "RT" in drive.step("windows").locator("summary").first.inner_text()
    form = bay.page.locator(".form", has=bay.page.locator("[data-field=who]")).first
    drive.reveal(form.locator("[data-field=who]"))
    take = form.get_by_role("button", name="Work as these initials")
    fill(form.locator("[data-field=who]"), "-")
    tap(take)
    expect(form.get_by_role("alert")).to_have_text("Fill in “Initials” first.")
    fill(form.locator("[data-field=who]"), " l.m. ")
    tap(take)
    expect(form.get_by_role("alert")).to_be_hidden()
    tap(form.locator("xpath=ancestor::details[last()]/summary"))
    drive.close("battery-off")
    assert bay.entries()[-1]["who"] == "LM"


# --- two phones, two revisions ----------------------------------------------------------------------------------------


def test_two_answers_are_shown_side_by_side_until_one_is_chosen(bay: Bay) -> None:
    drive = bay.begin(cut("seal", "windows"))
    drive.close("windows")
    drive.close("seal", outcome="dry")
    mine = bay.entries()[-1]
    bay.page.evaluate(ELSEWHERE, [other_phone(mine, value={"outcome": "wet"})])
    drive.reopen()
    assert drive.state("seal") == "disputed" and drive.at() == "seal"
    choices = drive.step("seal").locator("[data-action=settle]")
    said = sorted(" ".join(text.split()) for text in choices.all_inner_texts())
    assert [text.split()[0] for text in said] == ["Dry", "Wet"] and "LM" in said[1]
    tap(choices.filter(has_text="Dry"))
    expect(drive.step("seal")).to_have_attribute("data-state", "done")
    assert bay.entries()[-1]["kind"] == "settle"


def test_a_new_revision_says_what_changed_and_is_taken_only_when_asked(bay: Bay) -> None:
    sheet = cut("windows", "battery-off", "seal")
    drive = bay.begin(sheet)
    drive.close("windows")
    drive.close("battery-off")
    newer = copy.deepcopy(sheet)
    newer["revision"] = 4
    newer["steps"][0] |= step("windows", 0, ["Open both windows and the boot."], tick())
    newer["steps"][1] |= {"cautions": [caution("caution", "Sparks.", "Burns.", "Earth off first.")], "duty": "f" * 64}
    bay.serve(newer)
    drive.reopen()
    card = bay.page.get_by_text("revision 4 is here, the job runs on revision 3")
    expect(card).to_be_visible()
    assert drive.state("battery-off") == "done"
    drive.press(bay.page.get_by_text("What changed"))
    assert bay.page.get_by_text("Open both windows and the boot: reworded").is_visible()
    assert bay.page.get_by_text("1 step already done will ask to be looked at again.").is_visible()
    tap(bay.page.locator("[data-action=adopt]"))
    expect(drive.step("battery-off")).to_have_attribute("data-state", "recheck")
    drive.close("battery-off")
    drive.look("windows")
    assert "Open the driver's window" in drive.step("windows").inner_text()
    tap(drive.step("windows").locator("[data-action=confirm]"))
    drive.idle()
    assert not drive.step("windows").locator("[data-action=confirm]").is_visible()
    assert set(drive.states().values()) - CLOSED == {"open", "blocked"}


def test_a_job_goes_to_a_file_and_comes_back_as_a_union(bay: Bay, tmp_path: Path, chromium: Any) -> None:
    drive = bay.begin(cut("windows", "battery-off"))
    drive.close("windows")
    control = bay.page.locator("[data-action=export]")
    drive.reveal(control)
    with bay.page.expect_download() as saved:
        tap(control)
    file = tmp_path / saved.value.suggested_filename
    saved.value.save_as(file)
    assert file.suffix == ".txt"
    fresh = chromium.new_context(viewport=PHONE)
    page = fresh.new_page()
    there = Drive(page, drive.site)
    there.open("jobs/")
    page.locator("[data-field=file]").set_input_files(file)
    tap(page.locator("[data-action=import]"))
    expect(page.get_by_text("2 ticks and readings added")).to_be_visible()
    tap(page.locator("[data-job-link]"))
    page.locator("[data-job]").wait_for()
    assert there.state("windows") == "done"
    fresh.close()


def test_a_damaged_file_is_refused_with_the_reason(bay: Bay, tmp_path: Path) -> None:
    bay.serve(cut("windows"))
    bay.drive.open("jobs/")
    file = tmp_path / "job.txt"
    file.write_text("handturn record 1\nentry {}\n")
    bay.page.locator("[data-field=file]").set_input_files(file)
    tap(bay.page.locator("[data-action=import]"))
    expect(bay.page.get_by_role("alert").filter(has_text="Nothing was taken from this file")).to_be_visible()


def test_a_job_is_taken_off_the_phone_only_by_its_number(bay: Bay) -> None:
    drive = bay.begin(cut("windows"))
    drive.act("wipe", job="J-9")
    assert len(bay.entries()) == 1
    drive.act("wipe", job="J-1042")
    bay.page.locator("[data-action=start]").wait_for()
    assert bay.entries() == []


# --- coming back ------------------------------------------------------------------------------------------------------


def test_coming_back_in_a_delicate_stage_shows_where_you_were(bay: Bay) -> None:
    drive = bay.begin(cut("cover-off", "lock", "lock-out"))
    drive.close("cover-off")
    drive.reopen()
    assert not bay.page.get_by_role("heading", name="Where you were").is_visible()
    drive.close("lock")
    drive.reopen()
    card = bay.page.locator(".where")
    expect(card).to_contain_text("Last saved: step 2: Push the locking tool")
    expect(card).to_contain_text("Still open: 6 × Lower cover bolts (loose) and 1 × Crank locking tool (in).")
    expect(card).to_contain_text("Look at the witness mark")
    tap(bay.page.get_by_role("button", name="I have looked"))
    expect(card).not_to_be_visible()


# --- the page itself --------------------------------------------------------------------------------------------------


def test_nothing_is_asked_of_another_host_and_the_policy_is_never_broken(bay: Bay) -> None:
    broken: list[str] = []
    bay.page.on("console", lambda line: broken.append(line.text) if "Content Security Policy" in line.text else None)
    drive = bay.begin(cut("lock", "drain"))
    drive.run(stop_at="lock")
    drive.open("jobs/")
    assert broken == []
    assert {url.split("/")[2] for url in bay.requests if not url.startswith("blob:")} == {
        f"127.0.0.1:{bay.server.port}"
    }


def test_without_scripts_the_worksheet_is_read_with_its_cautions_and_boxes(chromium: Any) -> None:
    context = chromium.new_context(viewport=PHONE, java_script_enabled=False)
    page = context.new_page()
    with Server({"/": files_of(sample_sheet())}) as server:
        page.goto(server.url("/w/belt-service-four/"))
        assert page.locator("[data-step]").count() == len(sample_sheet()["steps"])
        assert page.locator("[data-step=tensioner] .box").count() == 4
        assert "This browser runs no scripts" in page.locator("noscript").inner_text()
        assert page.locator("input, button").count() == 0
    context.close()


def test_a_job_brought_to_a_new_phone_asks_who_is_working_before_the_first_tick(bay: Bay) -> None:
    drive = bay.begin(cut("windows"))
    bay.page.evaluate(SET_WHO, "")
    drive.reopen()
    tap(drive.step("windows").locator("[data-check]"))
    expect(drive.step("windows").get_by_role("alert").filter(has_text="who is working")).to_be_visible()
    tap(bay.page.get_by_role("button", name="Lou Marten", exact=True))
    drive.close("windows")
    assert bay.entries()[-1]["who"] == "LM"


def test_the_worksheet_is_printed_from_a_job_s_page_too(bay: Bay) -> None:
    drive = bay.begin(cut("windows"))
    assert not bay.page.locator("#paper").is_visible()
    bay.page.evaluate("dispatchEvent(new Event('beforeprint'))")
    bay.page.emulate_media(media="print")
    assert bay.page.locator("#paper").is_visible() and not bay.page.locator("#screen").is_visible()
    bay.page.emulate_media(media="screen")
    bay.page.evaluate("dispatchEvent(new Event('afterprint'))")
    assert drive.state("windows") == "open" and bay.page.locator("#paper").count() == 0


def test_a_job_of_a_worksheet_that_the_site_no_longer_has_opens_from_the_list(bay: Bay) -> None:
    drive = bay.begin(cut("windows", "battery-off"))
    drive.close("windows")
    bay.serve({**cut("windows"), "worksheet": "another-one"})
    drive.open("jobs/")
    tap(bay.page.locator("[data-job-link]"))
    bay.page.locator(f'[data-job="{bay.job}"]').wait_for()
    assert drive.state("windows") == "done" and drive.at() == "battery-off"
