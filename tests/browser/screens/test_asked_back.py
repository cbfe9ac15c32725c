"""A number that can mean two is asked back beside its box, with a button for each; what cannot be is refused in words.
Nothing typed is lost meanwhile."""

from __future__ import annotations

from playwright.sync_api import Locator, expect

from tests.browser import bays
from tests.browser.bays import JOB, Bay
from tests.browser.drive import Drive, fill
from tests.browser.sample_sheet import readings_sheet
from tests.browser.touch import tap

shop, phone, bay = bays.shop, bays.phone, bays.bay

THUMB = 48  # px, as the other tests of what is tapped have it


def both(asked: Locator, *names: str) -> list[Locator]:
    """Return the buttons of a question, each as large as a thumb needs and inside the screen."""
    buttons = asked.get_by_role("button")
    expect(buttons).to_have_text(list(names))
    for at in range(len(names)):
        box = buttons.nth(at).bounding_box()
        assert box and min(box["width"], box["height"]) >= THUMB
        assert box["x"] >= 0 and box["x"] + box["width"] <= bays.PHONE["width"]
    return buttons.all()


def wide() -> dict[str, object]:
    """Return a worksheet whose reading may be 1.5 L as well as 1500 L."""
    sheet = readings_sheet("drain")
    sheet["readings"]["drained"]["to"] = 5000
    return sheet


def reading_of(drive: Drive) -> tuple[Locator, Locator, Locator]:
    """Return the box of the reading, its question and its button."""
    check = drive.step("drain").locator("[data-check=measure]")
    box, asked = (check.locator(f"xpath=.. >> {wanted}") for wanted in ("[data-field=number]", "[data-which]"))
    return box, asked, check


def test_a_reading_with_two_meanings_is_asked_back_and_one_tap_says_which(bay: Bay):
    drive = bay.begin(wide())
    box, asked, check = reading_of(drive)
    box.fill("1,234")
    tap(check)
    expect(asked).to_contain_text("1,234: which number?")
    assert box.input_value() == "1,234" and len(bay.entries()) == 1
    tap(both(asked, "1.234 L", "1234 L")[1])
    expect(asked).not_to_be_visible()
    assert box.input_value() == "1234"
    box.fill("1.234")
    tap(check)
    tap(both(asked, "1.234 L", "1234 L")[0])
    assert box.input_value() == "1.2340"  # not asked about again
    drive.answered("drain", lambda: tap(check))
    assert bay.entries()[-1]["value"] == {"number": 1.234, "unit": "L"}


def test_of_two_meanings_the_only_one_that_is_expected_is_taken_without_a_question(bay: Bay):
    drive = bay.begin(readings_sheet("drain"))
    box, _, check = reading_of(drive)
    box.fill("1.500")
    drive.answered("drain", lambda: tap(check))
    assert bay.entries()[-1]["value"] == {"number": 1.5, "unit": "L"}


def test_where_the_procedure_states_no_end_what_cannot_be_is_asked_about(bay: Bay):
    sheet = readings_sheet("drain")
    sheet["readings"]["drained"] |= {"from": None, "to": 25}
    drive = bay.begin(sheet)
    box, _, check = reading_of(drive)
    box.fill("-5")
    tap(check)
    sure = check.locator("xpath=.. >> [data-action=confirm]")
    expect(sure).to_have_text("Save -5 L anyway")
    expect(sure.locator("xpath=..")).to_contain_text("Expected")
    assert len(bay.entries()) == 1


def test_an_odometer_with_two_meanings_is_asked_back_before_the_job_starts(bay: Bay):
    sheet = readings_sheet("drain")
    bay.serve(sheet)
    bay.drive.open(f"w/{sheet['worksheet']}/")
    page, start = bay.page, bay.page.locator("[data-action=start]")
    for name, text in {**JOB, "who": "KS", "odometer": "118.350"}.items():
        fill(page.locator(f"[data-field={name}]"), text)
    tap(start)
    asked = page.locator("[data-which]").first
    expect(asked).to_contain_text("118.350: which number?")
    assert page.locator("[data-field=odometer]").input_value() == "118.350"
    assert page.locator("[data-field=vehicle]").input_value() == JOB["vehicle"]
    tap(both(asked, "118.35 km", "118350 km")[1])
    assert page.locator("[data-field=odometer]").input_value() == "118350"
    tap(start)
    bay.job = page.locator("[data-job]").get_attribute("data-job") or ""
    assert bay.entries()[0]["value"]["odometer"] == {"number": "118350", "unit": "km"}


def test_an_odometer_that_cannot_be_is_refused_in_words_and_nothing_is_lost(bay: Bay):
    sheet = readings_sheet("drain")
    bay.serve(sheet)
    bay.drive.open(f"w/{sheet['worksheet']}/")
    for name, text in {**JOB, "who": "KS"}.items():
        fill(bay.page.locator(f"[data-field={name}]"), text)
    for typed in ("-5", "2000001"):
        fill(bay.page.locator("[data-field=odometer]"), typed)
        tap(bay.page.locator("[data-action=start]"))
        said = f"{typed} km cannot be right. It can be from 0 to 2000000 km."
        expect(bay.page.get_by_role("alert").first).to_have_text(said)
        assert bay.page.locator("[data-field=odometer]").input_value() == typed


def test_a_corrected_odometer_is_asked_back_too(bay: Bay):
    drive = bay.begin(readings_sheet("drain"))
    tap(drive.page.locator(".top details.drop > summary").first)
    control = drive.reveal(bay.page.locator("[data-action=correct]"))
    box = control.locator("xpath=ancestor::*[contains(@class, 'inside')][1]")
    for name, text in {"field": "odometer", "to": "82,410", "reason": "digits turned round"}.items():
        fill(box.locator(f"[data-field={name}]"), text)
    tap(control)
    tap(both(box.locator("[data-which]"), "82.41 km", "82410 km")[1])
    assert box.locator("[data-field=reason]").input_value() == "digits turned round"
    tap(control)
    expect(bay.page.get_by_text("82410 km").first).to_be_attached()
    assert bay.entries()[-1]["value"]["odometer"] == {"number": "82410", "unit": "km"}
