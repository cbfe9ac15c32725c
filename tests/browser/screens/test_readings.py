"""Readings, results and clocks on the phone: typed as the gauge shows them, worked out, never guessed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import partial
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Locator, expect

from generator.quantities.units import table_json
from tests.browser import bays, touch
from tests.browser.bays import ELSEWHERE, JOB, PHONE, Bay, other_phone
from tests.browser.drive import SOURCE, Drive, fill
from tests.browser.sample_sheet import readings_sheet
from tests.browser.server import Server
from tests.browser.touch import tap
from tests.support import demo

shop, phone, bay = bays.shop, bays.phone, bays.bay

# Count what would be heard and felt.
EARS = """
globalThis.heard = 0;
const tone = AudioContext.prototype.createOscillator;
AudioContext.prototype.createOscillator = function () { globalThis.heard += 1; return tone.call(this); };
globalThis.felt = 0;
navigator.vibrate = pattern => { if (Array.isArray(pattern)) globalThis.felt += 1; return true; };
"""


@pytest.fixture
def timed(shop: Server, chromium: Any) -> Iterator[Bay]:
    """A phone whose clock the test moves."""
    context: BrowserContext = chromium.new_context(viewport=PHONE, has_touch=True)
    context.clock.install(time="2026-11-25T09:00:00Z")
    touch.clocked.add(context)
    context.add_init_script(EARS)
    bay = Bay(shop, context)
    yield bay
    assert not bay.errors, bay.errors
    context.close()


def box(drive: Drive, path: str, field: str = "number", action: str = "") -> Locator:
    """Return a box or a button of the reading that a step takes."""
    wanted = f"[data-action={action}]" if action else f"[data-field={field}]"
    return drive.step(path).locator(f"[data-check=measure] >> xpath=.. >> {wanted}")


def keep(drive: Drive, path: str) -> None:
    tap(drive.step(path).locator("[data-check=measure]"))


def result(drive: Drive, path: str, name: str) -> Locator:
    return drive.step(path).locator(f"[data-result={name}]")


def values(bay: Bay, step: str) -> list[dict[str, Any]]:
    return [entry["value"] for entry in bay.entries() if entry["kind"] == "check" and entry["step"] == step]


# --- what the sheet says ----------------------------------------------------------------------------------------------


def test_what_the_sheet_says_stands_above_the_figure_that_is_worked_out_from_it(bay: Bay) -> None:
    """What only a result needs is left to its working. Named as what the sheet says, it shows all the same."""
    sheet = demo.sheet("inline-four")
    step = next(one for one in sheet["steps"] if one["path"] == "coolant/coolant-mix")
    needed = {name for one in sheet["results"] if one["name"] in step["shows"] for name in one["inputs"]}
    assert step["says"] == ["mix_wanted"] and {"mix_wanted", "coolant_capacity"} <= needed & {*step["values"]}
    drive = bay.begin(sheet)
    drive.look(step["path"])
    shown = drive.step(step["path"])
    said, worked = shown.locator("[data-value=mix_wanted]"), shown.locator("[data-result=concentrate]")
    expect(said).to_be_visible()
    expect(said).to_contain_text(sheet["values"]["mix_wanted"]["text"])
    expect(shown.locator("[data-value=coolant_capacity]")).to_be_hidden()
    assert (said.bounding_box() or {})["y"] < (worked.bounding_box() or {})["y"]


# --- typing a reading -------------------------------------------------------------------------------------------------


def test_a_switch_of_unit_keeps_what_was_typed_and_the_reading_keeps_its_unit(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("drain", shop_units={"volume": "qt"}))
    drive.look("drain")
    assert box(drive, "drain", "unit").input_value() == "qt"
    box(drive, "drain").fill("5,50")
    box(drive, "drain", "unit").select_option("L")
    assert box(drive, "drain").input_value() == "5,50"
    drive.answered("drain", lambda: keep(drive, "drain"))
    assert values(bay, "drain") == [{"number": 5.5, "unit": "L"}]
    expect(result(drive, "drain", "left_inside")).to_contain_text("qt")


def test_a_slip_of_ten_is_asked_about_and_put_right(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("drain"))
    box(drive, "drain").fill("55")
    keep(drive, "drain")
    asked = box(drive, "drain", action="confirm")
    expect(asked).to_have_text("Save 55 L anyway")
    expect(drive.step("drain").get_by_text("Did you mean 5.5 L or 55 mL?")).to_be_visible()
    assert values(bay, "drain") == [] and box(drive, "drain").input_value() == "55"
    tap(drive.step("drain").get_by_role("button", name="5.5 L", exact=True))
    expect(asked).not_to_be_visible()
    assert box(drive, "drain").input_value() == "5.5"
    drive.answered("drain", lambda: keep(drive, "drain"))
    assert values(bay, "drain") == [{"number": 5.5, "unit": "L"}] and drive.state("drain") == "done"


def test_who_is_sure_keeps_a_reading_that_nobody_expected(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("cold", "seal"))
    box(drive, "cold").fill("-30")
    keep(drive, "cold")
    drive.answered("cold", lambda: tap(box(drive, "cold", action="confirm")))
    assert values(bay, "cold") == [{"number": -30, "sure": True, "unit": "degC"}]
    assert "-30 °C (asked, and sure)" in drive.look("cold").inner_text()


def test_a_missing_minus_is_offered_and_has_a_key_of_its_own(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("freeze"))
    box(drive, "freeze").fill("18")
    keep(drive, "freeze")
    expect(drive.step("freeze").get_by_text("Did you mean -18 °C or 18 °F?")).to_be_visible()
    tap(drive.step("freeze").get_by_role("button", name="+/−"))
    assert box(drive, "freeze").input_value() == "-18"
    expect(box(drive, "freeze", action="confirm")).not_to_be_visible()
    drive.answered("freeze", lambda: keep(drive, "freeze"))
    assert values(bay, "freeze") == [{"number": -18, "unit": "degC"}]


def test_a_date_is_a_day_and_its_age_is_worked_out(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("belt", "due"))
    drive.close("belt", date="2018-05-14")
    assert values(bay, "belt") == [{"number": 17665, "unit": "date"}]
    assert "14 May 2018" in drive.look("belt").inner_text()
    drive.look("due")
    expect(result(drive, "due", "belt_age")).to_contain_text(re.compile(r"\d{4}\s*days"))


def test_a_reading_that_stands_can_be_corrected(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("drain", "mix"))
    drive.close("drain", number="5")
    tap(drive.look("drain").get_by_role("button", name="Correct this reading"))
    box(drive, "drain").fill("6")
    drive.answered("drain", lambda: keep(drive, "drain"))
    expect(drive.step("drain").locator("[data-check=measure]")).to_contain_text("Saved: 6 L")
    assert drive.state("drain") == "done" and [value["number"] for value in values(bay, "drain")] == [5, 6]


# --- what is worked out -----------------------------------------------------------------------------------------------


def test_an_impossible_mix_keeps_the_step_open_until_the_reading_is_right(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("freeze", "drain", "mix"))
    drive.close("freeze", number="-18")
    drive.close("drain", number="9")
    assert drive.state("drain") == "open" and result(drive, "drain", "left_inside").get_attribute("data-bad") == ""
    drive.close("drain", number="1")
    assert drive.state("drain") == "done" and drive.at() == "drain", "what is left inside is to be seen first"
    tap(drive.step("drain").get_by_role("button", name="Go on: step 3"))
    mix = result(drive, "mix", "concentrate")
    expect(mix).to_have_attribute("data-verdict", "not possible")
    expect(mix).to_contain_text("1.6 L does not fit: only 1 L came out.")
    expect(drive.step("mix").locator("[data-check]")).to_have_attribute("aria-disabled", "true")
    tap(mix.get_by_role("button", name="Coolant drained: 1 L. Go to step 2"))
    tap(drive.look("drain").get_by_role("button", name="Correct this reading"))
    drive.answered("drain", lambda: drive.read(drive.step("drain").locator("[data-check=measure]"), {"number": "3,5"}))
    drive.look("mix")
    expect(mix).to_have_attribute("data-verdict", "good")
    drive.close("mix")
    assert drive.state("mix") == "done"


def test_more_vacuum_than_the_air_gives_here_is_refused_with_the_reason(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("pull"))
    target = result(drive, "pull", "vacuum_target")
    expect(target).to_have_attribute("data-verdict", "not possible here")
    reason = "At 1500 m no gauge shows more than 84.6 kPa vacuum; the manual asks for 25 inHg vacuum."
    expect(target).to_contain_text(reason)
    assert drive.codes("pull") == {"result"}
    assert drive.reasons("pull") == ["“Vacuum to pull” is not good: not possible here."]
    assert "84.7" not in drive.step("pull").locator(".do").inner_text()
    expect(drive.step("pull").locator("[data-check]")).to_have_attribute("aria-disabled", "true")


def test_what_is_not_known_yet_says_what_it_needs_and_leads_there(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("freeze", "drain", "mix"))
    drive.look("mix")
    mix = result(drive, "mix", "concentrate")
    expect(mix).to_contain_text("Not known yet")
    expect(mix).to_contain_text("Needs “Coolant drained”.")
    assert mix.get_attribute("data-verdict") is None
    assert "“Concentrate to fill first” is not known." in drive.reasons("mix")
    tap(mix.get_by_role("button", name="Go to step 2").first)
    assert drive.at() == "drain"


def test_the_working_says_the_formula_and_where_every_figure_is_from(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("freeze", "drain", "mix"))
    drive.close("freeze", number="-18")
    drive.close("drain", number="3,5")
    drive.look("mix")
    mix = result(drive, "mix", "concentrate")
    expect(mix.locator(".figure").first).to_have_text("2.5L")
    drive.press(mix.get_by_text("How this is worked out").first)
    formula = "Concentrate to fill first = Cooling system, all of it × Antifreeze wanted − Coolant left inside"
    expect(mix).to_contain_text(formula)
    expect(mix).to_contain_text("8 LWorkshop manual WM-22, 2nd edition, section 4, page 118 (KS, checked RT)")
    inner = mix.locator("li").filter(has_text="Antifreeze in what was drained")
    tap(inner.locator("summary"))
    expect(inner).to_contain_text("Antifreeze by freezing point: Tables for trials TT-1, 3rd edition")
    expect(inner).to_contain_text(re.compile(r"-18 °Cread by KS \d\d:\d\d, step 1"))


def test_a_missing_value_is_asked_for_with_its_unit_and_then_worked_with(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("test", shop_units={"gauge": "bar(g)"}))
    pressure = result(drive, "test", "test_pressure")
    expect(pressure).to_contain_text("Needs “Rating of the cap”, below.")
    asked = drive.step("test").locator("[data-value=cap_rating]")
    assert asked.locator("[data-field=unit]").input_value() == "bar(g)"
    for name, text in {"number": "1,4", **SOURCE}.items():
        fill(asked.locator(f"[data-field={name}]"), text)
    tap(asked.locator("[data-action=read]"))
    expect(pressure.locator(".figure").first).to_have_text("1.4bar gauge")
    assert bay.entries()[-1]["value"] == {"number": 1.4, "source": SOURCE, "unit": "bar(g)"}
    drive.close("test")
    assert drive.state("test") == "done"


def test_a_missing_value_whose_tolerance_counts_is_asked_for_both(bay: Bay) -> None:
    """Otherwise a stop that compares with a tolerance could never be passed."""
    sheet = readings_sheet("cold")
    sheet["values"]["cold_limit"] |= {"text": None, "missing": "not in the book", "source": None, "number": None}
    sheet["values"]["cold_limit"]["asks_margin"] = True
    sheet["units"] |= table_json(["warmth"])
    (over,) = [one for one in sheet["results"] if one["name"] in sheet["steps"][0]["holds"]]
    over["tree"] = [">", ["name", "engine_now"], ["+", ["name", "cold_limit"], ["name", "cold_limit.tolerance"]]]
    over |= {"kind": "truth", "unit": "", "units": [], "inputs": ["cold_limit", "cold_limit.tolerance", "engine_now"]}
    over["limits"] = [{"when": ["name", over["name"]], "verdict": "Too warm", "bad": True, "say": None, "do": None}]
    drive = bay.begin(sheet)
    step = drive.look("cold")
    fields = {"number": "40", "unit": "degC", "margin": "5", **SOURCE}
    for name, text in fields.items():
        fill(step.locator(f"[data-value=cold_limit] [data-field={name}]"), text)
    drive.press(step.locator("[data-value=cold_limit] [data-action=read]"))
    read = next(entry["value"] for entry in bay.entries() if entry["kind"] == "read")
    assert (read["number"], read["margin"]) == (40, {"number": 5, "unit": "K"})
    drive.close("cold", number="44", unit="degC")
    expect(drive.step("cold")).to_have_attribute("data-state", "done")


def test_two_answers_to_a_reading_leave_the_result_unknown_and_it_says_so(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("freeze", "drain", "mix"))
    drive.close("freeze", number="-18")
    drive.close("drain", number="3")
    mine = bay.entries()[-1]
    bay.page.evaluate(ELSEWHERE, [other_phone(mine, value={"number": 4, "unit": "L"})])
    drive.reopen()
    drive.look("mix")
    mix = result(drive, "mix", "concentrate")
    expect(mix).to_contain_text("Needs “Coolant drained”: there are two answers.")
    tap(mix.get_by_role("button", name="Go to step 2").first)
    choices = drive.step("drain").locator("[data-action=settle]")
    tap(choices.filter(has_text="4 L"))
    drive.idle()
    drive.look("mix")
    expect(mix).to_have_attribute("data-verdict", "good")


# --- clocks -----------------------------------------------------------------------------------------------------------


def test_moves_are_counted_from_the_journal_after_the_page_was_closed(timed: Bay) -> None:
    drive = timed.begin(readings_sheet("press", "seal"))
    start = drive.step("press").locator("[data-part=start]")
    drive.answered("press", lambda: tap(start))
    assert drive.at() == "press", "a time with moves to make is not left"
    move = drive.step("press").locator(".pace")
    expect(move).to_contain_text("Move1of 10")
    timed.context.clock.run_for(31_000)
    expect(move).to_contain_text("Move2of 10")
    assert timed.page.evaluate("globalThis.heard > 0 && globalThis.felt === 1")

    timed.page.close()
    timed.drive = drive = timed.tab()
    timed.context.clock.fast_forward(100_000)
    drive.open(f"w/mix-and-refill/#{timed.job}")
    drive.look("press")
    move = drive.step("press").locator(".pace")
    expect(move).to_contain_text("Move5of 10")
    timed.context.clock.run_for(20_000)
    expect(move).to_contain_text("Move6of 10")
    assert timed.page.evaluate("globalThis.heard") == 0
    sound = move.get_by_role("button")
    expect(sound).to_have_text("Tap for sound")
    tap(sound)
    timed.context.clock.run_for(1000)
    expect(sound).to_have_text("Sound is on: mute")

    timed.context.clock.fast_forward(160_000)
    expect(drive.step("press").get_by_role("timer")).to_have_text("The time is up.")
    drive.answered("press", lambda: tap(drive.step("press").locator("[data-part=end]")))
    assert drive.state("press") == "done"


def test_a_clock_set_ahead_while_a_time_runs_is_asked_about_after_the_page_was_loaded_anew_too(timed: Bay) -> None:
    drive = timed.begin(readings_sheet("press"))
    step = drive.look("press")
    drive.answered("press", lambda: drive.press(step.locator("[data-check=wait][data-part=start]")))
    timed.context.clock.run_for(3000)
    timed.context.clock.set_system_time("2026-11-25T11:00:00Z")
    timed.context.clock.run_for(3000)
    end = step.locator("[data-check=wait][data-part=end]")
    expect(end).to_have_attribute("aria-disabled", "true")
    drive.reopen()
    timed.context.clock.run_for(3000)
    drive.look("press")
    expect(end).to_have_attribute("aria-disabled", "true")
    drive.act("elapsed", "press", minutes="6", why="the clock on the wall")
    expect(end).not_to_have_attribute("aria-disabled", "true")


def test_a_vacuum_that_is_lost_while_it_is_watched_keeps_the_step_open(timed: Bay) -> None:
    drive = timed.begin(readings_sheet("hold", "seal"))
    made = drive.step("hold")
    for part, number in (("start", "80"), ("end", "70")):
        drive.look("hold")
        made.locator(f"[data-part={part}] [data-field=number]").fill(number)
        control = made.locator(f"[data-check=wait][data-part={part}]")
        drive.answered("hold", partial(tap, control))
        timed.context.clock.fast_forward(301_000)
    assert drive.state("hold") == "waiting"
    lost = result(drive, "hold", "vacuum_lost")
    expect(lost).to_have_attribute("data-verdict", "it leaks")
    expect(made.get_by_text("Read so far: 70 kPa vacuum")).to_be_visible()
    tap(made.get_by_role("button", name="Start again with a new reading"))
    made.locator("[data-part=start] [data-field=number]").fill("82")
    drive.answered("hold", lambda: tap(made.locator("[data-check=wait][data-part=start]")))
    drive.look("hold")
    timed.context.clock.fast_forward(301_000)
    made.locator("[data-part=end] [data-field=number]").fill("81")
    drive.answered("hold", lambda: tap(made.locator("[data-check=wait][data-part=end]")))
    assert drive.state("hold") == "done"
    expect(lost).to_contain_text("1.0")


def test_what_changed_while_it_was_watched_is_shown_where_no_result_says_it(timed: Bay) -> None:
    sheet = readings_sheet("hold", "seal")
    sheet["steps"][0] |= {"shows": [], "holds": []}
    drive = timed.begin(sheet)
    drive.close("hold", start="80", end="78,5", minutes="6")
    expect(drive.look("hold").get_by_text("-1.5 kPa", exact=True)).to_be_visible()
    expect(drive.step("hold").get_by_text("from 80 kPa vacuum to 78.5 kPa vacuum")).to_be_visible()


def test_what_cools_is_read_again_until_it_is_cold(bay: Bay) -> None:
    drive = bay.begin(readings_sheet("cold", "seal"))
    for number in ("85", "61"):
        drive.close("cold", number=number)
        assert drive.state("cold") == "open" and drive.at() == "cold"
    expect(result(drive, "cold", "engine_cold")).to_contain_text("Too hot")
    expect(drive.step("cold").get_by_text(re.compile(r"Read so far: 85 °C \(.*\), 61 °C \(.*\)\."))).to_be_visible()
    expect(result(drive, "cold", "engine_cold")).to_be_in_viewport()
    drive.close("cold", number="38")
    assert drive.state("cold") == "done"


# --- the start of the job, and the screen itself ----------------------------------------------------------------------


def test_an_odd_vin_is_warned_about_and_kept(bay: Bay) -> None:
    bay.serve(readings_sheet("seal"))
    bay.drive.open("w/mix-and-refill/")
    for name, text in {**JOB, "who": "KS", "vin": "1m8gdm9axkp042789"}.items():
        fill(bay.page.locator(f"[data-field={name}]"), text)
    expect(bay.page.get_by_text("The check digit (ninth place) is X and should be 1")).to_be_visible()
    tap(bay.page.locator("[data-action=start]"))
    bay.page.locator("[data-job]").wait_for()
    bay.job = bay.page.locator("[data-job]").get_attribute("data-job") or ""
    assert bay.entries()[0]["value"]["vin"] == "1M8GDM9AXKP042789"


def test_a_step_of_readings_and_results_fits_the_phone(bay: Bay) -> None:
    drive = bay.begin(readings_sheet())
    drive.close("freeze", number="-18")
    for path in drive.states():
        made = drive.look(path)
        assert bay.page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"], path
        small = made.locator("button:visible, select:visible, input:visible").evaluate_all(
            "all => all.filter(one => one.getBoundingClientRect().height < 48).map(one => one.outerHTML)"
        )
        assert small == [], path
    for path in ("drain", "cold", "hold", "belt"):
        typed = drive.look(path).locator("[data-field=number]:visible, [data-field=date]:visible").first
        expect(typed).to_be_in_viewport(ratio=1)


def test_a_figure_of_the_day_is_read_here_and_not_in_a_book(bay: Bay) -> None:
    sheet = readings_sheet("test")
    drive = bay.begin(sheet)
    drive.look("test")
    missing = drive.step("test").locator("[data-value=cap_rating]")
    expect(missing).to_contain_text("Read it from the maker’s information.")
    today = {"of_the_day": True, "missing": "nobody has read it today"}
    values = {**sheet["values"], "cap_rating": {**sheet["values"]["cap_rating"], **today}}
    drive = bay.begin({**sheet, "values": values}, job="day")
    drive.look("test")
    expect(missing).to_contain_text("Missing: nobody has read it today. Read it here.")
    expect(missing).not_to_contain_text("maker")
    expect(missing).to_contain_text("What you read it on")
    expect(missing).not_to_contain_text("Not published")
    drive.values["cap_rating"] = {"number": "110", "unit": "kPa(g)"}
    drive.fill_missing("test")
    expect(result(drive, "test", "test_pressure")).to_contain_text("1.1")
