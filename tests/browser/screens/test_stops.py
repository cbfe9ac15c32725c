"""What nobody can easily pass: a stop, a figure that is not good, an open thing whose step was withdrawn, a wrong
start, a second job with the same number, a job whose worksheet is gone."""

from __future__ import annotations

import copy
import re
from typing import Any

from playwright.sync_api import expect

from generator.tables import EARLIER_TRADE
from tests.browser import bays
from tests.browser.bays import JOB, Bay, Sheet
from tests.browser.drive import Drive, fill
from tests.browser.screens.test_told import in_view
from tests.browser.touch import Finger, tap
from tests.support.figures import figures, limit, name, reading, result
from tests.support.sample_sheet import digest, sample_sheet, step, tick

shop, phone, bay = bays.shop, bays.phone, bays.bay

LOST = result("lost", name("fell"), "kPa(g)", limit([">", name("fell"), 2000], "it fell"), step=1)
FELL = step("fell", 0, ["Read how far it fell."], {"kind": "measure", "reading": "fell", "against": None})
HELD_OUTCOMES = [
    {"name": "dry", "label": "It held, all dry", "fails": False},
    {"name": "wet", "label": "It fell", "fails": True},
]
HELD = step(
    "held",
    0,
    ["Did it hold?"],
    {"kind": "inspect", "outcomes": HELD_OUTCOMES},
    shows=["lost"],
    doubts=["lost"],
    hold=True,
    leave="never",
)


def of(*steps: dict[str, Any], **changes: Any) -> Sheet:
    """Return a worksheet of these steps and the completion, all in the first stage. `changes` replace its keys."""
    sheet = sample_sheet()
    done = {**sheet["steps"][-1], "stage": 0}
    made = {**sheet, "stages": [{**sheet["stages"][0], "order": "any"}], "steps": [*copy.deepcopy(steps), done]}
    return {**made, **changes}


def first_stop() -> dict[str, Any]:
    return {**sample_sheet()["steps"][0], "stop": True}


def found(drive: Drive, path: str, outcome: str) -> None:
    """Answer an inspection."""
    control = drive.look(path).locator(f"[data-outcome={outcome}]")
    drive.answered(path, lambda: drive.press(control))


def live(drive: Drive, path: str) -> list[str]:
    """Return what can be tapped in a step."""
    buttons = drive.step(path).locator(".sheet button:visible:not([aria-disabled=true])")
    return [" ".join(text.split()) for text in buttons.all_inner_texts()]


def test_a_stop_ends_the_job_and_no_other_answer_is_offered(bay: Bay) -> None:
    drive = bay.begin(of(first_stop(), step("wipe", 0, ["Wipe it."], tick())))
    found(drive, "first-stop", "high")
    panel = drive.step("first-stop").locator("[data-stop]")
    expect(panel).to_contain_text("Stop: High voltage or 48 V")
    expect(panel).to_contain_text("It can kill.")
    assert drive.step("first-stop").locator("[data-outcome=none]:visible").count() == 0
    assert live(drive, "first-stop")[0] == "End the job here"
    reason = panel.locator("[data-field=reason]").first
    assert reason.input_value() == "Found: High voltage or 48 V"
    tap(panel.locator("[data-action=decline]"))
    expect(bay.page.get_by_text("The shop declined this job")).to_be_visible()
    drive.look("first-stop")
    assert live(drive, "first-stop") == []
    drive.look("wipe")
    assert live(drive, "wipe") == []
    assert bay.entries()[-1]["value"]["reason"] == "Found: High voltage or 48 V"


def test_a_mistake_at_a_stop_takes_a_hold_a_reason_and_a_lead(bay: Bay) -> None:
    drive = bay.begin(of(first_stop(), step("wipe", 0, ["Wipe it."], tick())))
    found(drive, "first-stop", "high")
    strike = drive.step("first-stop").locator("[data-stop] [data-action=mistake]")
    drive.reveal(strike)
    box = strike.locator("xpath=ancestor::*[contains(@class, 'inside')][1]")
    tap(strike)
    assert drive.state("first-stop") == "failed"
    fill(box.locator("[data-field=reason]"), "misread the label")
    fill(box.locator("[data-field=with]"), "KS")
    with Finger(bay.page).on(strike):
        expect(box.get_by_role("alert")).to_contain_text("RT")
    fill(box.locator("[data-field=with]"), "r.t.")
    drive.hold("first-stop", strike)
    assert drive.state("first-stop") == "open"
    in_view(drive, '[data-step="first-stop"]', "Taken back. Saved.")
    assert bay.entries()[-1]["value"] == {"reason": "misread the label", "with": "RT"}
    found(drive, "first-stop", "none")
    assert drive.state("first-stop") == "done"


def test_a_good_answer_over_a_bad_figure_asks_why_and_says_so(bay: Bay) -> None:
    sheet = of(FELL, HELD, **figures({"fell": reading("kPa(g)", "Fell by")}, [LOST]))
    drive = bay.begin(sheet)
    drive.close("fell", number="50")
    drive.look("held")
    assert any("it fell" in why for why in drive.reasons("held"))
    tap(drive.step("held").locator("[data-outcome=dry]"))
    keep = drive.step("held").locator("[data-action=despite]")
    expect(keep).to_contain_text("It held, all dry")
    tap(keep)
    assert drive.state("held") == "open" and bay.entries()[-1]["step"] == "fell"
    fill(drive.step("held").locator("[data-field=despite]"), "the gauge was off its hook")
    drive.answered("held", lambda: tap(keep))
    assert drive.state("held") == "done"
    in_view(drive, '[data-step="done"]', "")
    told = {"results": ["lost"], "reason": "the gauge was off its hook"}
    assert bay.entries()[-1]["value"] == {"outcome": "dry", "despite": told}
    menu(drive)
    expect(bay.page.get_by_text("although Lost 50").first).to_be_attached()


def menu(drive: Drive) -> None:
    tap(drive.page.locator(".top details.drop > summary").first)


def test_a_wrong_odometer_is_corrected_with_who_and_why(bay: Bay) -> None:
    drive = bay.begin(of(step("wipe", 0, ["Wipe it."], tick())))
    menu(drive)
    control = drive.reveal(bay.page.locator("[data-action=correct]"))
    box = control.locator("xpath=ancestor::*[contains(@class, 'inside')][1]")
    fill(box.locator("[data-field=field]"), "odometer")
    fill(box.locator("[data-field=to]"), "82410")
    fill(box.locator("[data-field=reason]"), "digits turned round")
    tap(control)
    expect(bay.page.get_by_text("82410 km").first).to_be_attached()
    entry = bay.entries()[-1]
    assert (entry["kind"], entry["part"], entry["who"]) == ("correct", "odometer", "KS")
    assert entry["value"] == {"odometer": {"number": "82410", "unit": "km"}, "reason": "digits turned round"}
    expect(bay.page.get_by_text("Odometer: 82410 km, first written 84210 km").first).to_be_attached()


def test_a_box_that_may_be_empty_is_emptied_again_and_no_other(bay: Bay) -> None:
    boxes = [("what", "Vehicle", False), ("odometer", "Odometer", False), ("bay", "Bay", False), ("tag", "Tag", True)]
    start = [{"name": name, "label": label, "optional": optional} for name, label, optional in boxes]
    trade = {**sample_sheet().get("trade", EARLIER_TRADE), "start": start}
    drive = bay.begin(of(step("wipe", 0, ["Wipe it."], tick()), trade=trade), bay="3", tag="loud")
    menu(drive)
    control = drive.reveal(bay.page.locator("[data-action=correct]"))
    box = control.locator("xpath=ancestor::*[contains(@class, 'inside')][1]")
    before = len(bay.entries())
    for field in ("bay", "vehicle"):
        fill(box.locator("[data-field=field]"), field)
        fill(box.locator("[data-field=to]"), "")
        fill(box.locator("[data-field=reason]"), "other card")
        tap(control)
        expect(box.get_by_text("Fill in").first).to_be_visible()
    assert len(bay.entries()) == before
    fill(box.locator("[data-field=field]"), "tag")
    tap(control)
    expect(bay.page.get_by_text("Bay 3, first written Bay 3, Tag loud").first).to_be_attached()
    entry = bay.entries()[-1]
    assert (entry["kind"], entry["part"]) == ("correct", "more")
    assert entry["value"] == {"more": {"bay": "3"}, "reason": "other card"}


def test_what_was_taken_off_besides_waits_in_its_list(bay: Bay) -> None:
    sheet = of(*(one for one in sample_sheet()["steps"] if one["path"] in ("windows", "battery-off")))
    drive = bay.begin(sheet)
    menu(drive)
    control = drive.reveal(bay.page.locator("[data-action=took-off]"))
    box = control.locator("xpath=ancestor::*[contains(@class, 'inside')][1]")
    assert box.locator("[data-field=list]").input_value() in ("covers", "bay", "road")
    fill(box.locator("[data-field=label]"), "Bracket")
    fill(box.locator("[data-field=list]"), "road")
    tap(control)
    expect(bay.page.locator("[data-open-items]")).to_have_attribute("data-open-items", "1")
    assert bay.entries()[-1]["value"] == {"label": "Bracket", "kind": "bolt", "count": 1, "list": "road"}
    assert drive.at() == "windows"
    drive.close("windows")
    assert drive.at() == "battery-off"


def test_a_second_job_of_one_number_asks_and_opens_the_first(bay: Bay) -> None:
    drive = bay.begin(of(step("wipe", 0, ["Wipe it."], tick())))
    first = bay.job
    drive.open("w/belt-service-four/")
    for field, text in {**JOB, "job": " j-10 42", "who": "LM"}.items():
        fill(bay.page.locator(f"[data-field={field}]"), text)
    tap(bay.page.locator("[data-action=start]"))
    asked = bay.page.locator("[data-same-number]")
    expect(asked).to_contain_text("There is already a job J-1042 on this phone, started")
    expect(asked).to_contain_text("by KS")
    expect(asked.locator("[data-job-link]")).to_have_attribute("data-job-link", first)
    assert bay.page.locator("[data-action=start]:visible").count() == 0
    tap(asked.locator("[data-action=start-second]"))
    bay.page.locator("[data-job]").wait_for()
    assert bay.page.locator("[data-job]").get_attribute("data-job") != first


def test_a_number_corrected_to_that_of_another_job_asks(bay: Bay) -> None:
    sheet = of(step("wipe", 0, ["Wipe it."], tick()))
    bay.begin(sheet)
    drive = bay.begin(sheet, job="J-2000", who="LM")
    menu(drive)
    control = drive.reveal(bay.page.locator("[data-action=correct]"))
    box = control.locator("xpath=ancestor::*[contains(@class, 'inside')][1]")
    for number, asks in (("J-1042", True), ("J-3000", False), (" j-10 42", True), (" j-10 42", False)):
        fill(box.locator("[data-field=field]"), "number")
        fill(box.locator("[data-field=to]"), number)
        fill(box.locator("[data-field=reason]"), "wrong card")
        before = len(bay.entries())
        tap(control)
        if asks:
            told = box.get_by_text("There is already a job J-1042 on this phone, started")
            expect(told).to_contain_text("by KS. If this job is to have that number too, press again.")
            assert len(bay.entries()) == before
        else:
            expect(bay.page.get_by_text(f"Job number: {number.strip()}, first written J-2000").first).to_be_attached()
            control = drive.reveal(control)


def test_what_a_withdrawn_step_had_opened_is_told_before_and_asked_about_after(bay: Bay) -> None:
    before = of(
        step("screw-open", 0, ["Open the screw."], tick(), opens=[{"what": "screw", "count": 1}]),
        step("screw-shut", 0, ["Shut the screw."], tick(), closes=[{"what": "screw", "count": None}]),
        step("wipe", 0, ["Wipe it."], tick()),
        items={"screw": {"kind": "bleed-screw", "label": "Bleed screw", "list": "road", "count": 1}},
    )
    drive = bay.begin(before)
    drive.close("screw-open")
    bay.serve(of(step("wipe", 0, ["Wipe it."], tick()), items={}, revision=9))
    bay.page.reload()
    drive.ready()
    adopt = bay.page.locator("[data-action=adopt]")
    expect(
        bay.page.get_by_text("No step of the new revision closes 1 × Bleed screw (loose). It stays open")
    ).to_be_visible()
    tap(adopt)
    expect(bay.page.locator("[data-open-items]")).to_have_attribute("data-open-items", "1")
    in_view(drive, '[data-step="wipe"]', "New worksheet taken. Saved.")
    back = bay.page.locator("[data-action=put-back]:visible")
    expect(back).to_have_attribute("data-part", "screw")
    box = back.locator("xpath=ancestor::*[contains(@class, 'inside')][1]")
    assert box.locator("[data-field=count]").input_value() == "1"
    fill(box.locator("[data-field=reason]"), "shut by hand, dry")
    tap(back)
    expect(bay.page.locator("[data-open-items]")).to_have_attribute("data-open-items", "0")
    in_view(drive, '[data-step="wipe"]', "Bleed screw: 1 put back. Saved.")
    opened = next(entry["id"] for entry in bay.entries() if entry["step"] == "screw-open")
    assert bay.entries()[-1]["value"] == {"count": 1, "reason": "shut by hand, dry", "opened": [opened]}


CORNERS = ("front left", "front right", "rear left", "rear right")


def four_corners(cap: bool, rear: str, **more: Any) -> Sheet:
    """Return a sheet with the same part at each corner, and a cap that one revision no longer has."""
    sheet, made = sample_sheet(), list[dict[str, Any]]()
    values = dict(sheet["values"])
    moved = {"opens": [{"what": "cap", "count": 2}]}, {"closes": [{"what": "cap", "count": None}]}
    caps = [
        step("cap-off", 0, ["Take the caps off."], tick(), **moved[0]),
        step("cap-on", 0, ["Fit."], tick(), **moved[1]),
    ]
    for number, corner in enumerate(CORNERS):
        at = corner.replace(" ", "_")
        text = rear if "rear" in corner else "25 N.m"
        values[f"bolts_{at}"] = {**values["cover_bolts"], "label": f"Caliper bolts, {corner}", "text": text}
        one = step(f"{at}/tighten", number, ["Tighten the bolts."], tick())
        made.append({**one, "values": [f"bolts_{at}"], "duty": digest([one["duty"], text])})
        made.append({**step(f"{at}/turn", number, ["Turn the hub."], tick(), **more), "values": []})
    stages = [
        {**sheet["stages"][0], "id": c.replace(" ", "-"), "title": f"Brake, {c}", "order": "any"} for c in CORNERS
    ]
    items = {"cap": {"kind": "bleed-screw", "label": "Dust caps", "list": "road", "count": 2}}
    steps = [*(caps if cap else []), *made]
    return {**of(*steps, items=items if cap else {}, values=values, stages=stages), "revision": 3 if cap else 4}


def test_the_news_names_what_stays_open_and_each_figure_with_its_corner(bay: Bay) -> None:
    drive = bay.begin(four_corners(cap=True, rear="25 N.m"))
    drive.close("cap-off")
    bay.serve(four_corners(cap=False, rear="30 N.m", hold=True))
    bay.page.reload()
    drive.ready()
    page = bay.page
    expect(page.get_by_text("No step of the new revision closes 2 × Dust caps (loose). They stay open")).to_be_visible()
    tap(page.get_by_text("What changed", exact=True).first)
    lines = page.locator(".changes li").all_inner_texts()
    assert [line for line in lines if "N.m" in line] == [
        "Tighten the bolts: Caliper bolts, rear left 25 N.m, now 30 N.m",
        "Tighten the bolts: Caliper bolts, rear right 25 N.m, now 30 N.m",
    ]
    turns = [line for line in lines if "Turn the hub" in line]
    assert turns == [f"Brake, {c}: Turn the hub: now the work stops here until it is done" for c in CORNERS]
    assert not any("asks something else" in line for line in lines)
    tap(page.locator("[data-action=adopt]"))
    back = page.locator("[data-action=put-back]:visible")
    expect(back).to_have_attribute("data-part", "cap")  # the revision is taken
    page.reload()
    drive.ready()
    expect(page.locator("[data-open-items]")).to_have_attribute("data-open-items", "2")
    box = back.locator("xpath=ancestor::*[contains(@class, 'inside')][1]")
    fill(box.locator("[data-field=reason]"), "both are on, I looked")
    tap(back)
    expect(page.locator("[data-open-items]")).to_have_attribute("data-open-items", "0")


def test_a_job_whose_worksheet_is_gone_opens_from_the_start_page(bay: Bay) -> None:
    drive = bay.begin(of(step("wipe", 0, ["Wipe it."], tick())))
    other = {**sample_sheet(), "worksheet": "another-one"}
    bay.serve(other)
    drive.open()
    link = bay.page.locator(f'[data-job-link="{bay.job}"]')
    assert re.search(r"/jobs/#", str(link.get_attribute("href")))
    tap(link)
    bay.page.locator("[data-job]").wait_for()
    assert drive.at() == "wipe"
