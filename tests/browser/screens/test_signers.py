"""A second look that asks for somebody qualified: who may give it, and what the phone says to anybody else."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Locator, expect

from generator.tables import EARLIER_TRADE
from tests.browser import bays
from tests.browser.bays import ELSEWHERE, Bay, Sheet, other_phone
from tests.browser.drive import Drive, fill
from tests.browser.touch import tap
from tests.support.sample_sheet import sample_sheet

shop, phone, bay = bays.shop, bays.phone, bays.bay

LOOK = "second-look"
ROLES: tuple[tuple[str, str, dict[str, Any]], ...] = (
    ("tech", "technician", {"qualified": True}),
    ("apprentice", "apprentice", {}),
    ("lead", "shop lead", {"leads": True}),
)
NAMES = {"KS": "Kim Sandberg", "JM": "Jo Marl", "LM": "Lou Marten", "BN": "Bo Nielt", "RT": "Robin Thal"}
ALL = {"KS": "tech", "JM": "tech", "LM": "apprentice", "RT": "lead"}


def sheet_of(**people: str) -> Sheet:
    """Return the proof of the timing and its second look, in a shop of these people."""
    sheet = sample_sheet()
    steps = {step["path"]: step for step in sheet["steps"]}
    steps["marks"] |= {"after": [], "if_failed": None, "closes": []}
    steps[LOOK]["check"]["qualified"] = True
    sheet["steps"] = [steps["marks"], steps[LOOK], steps["done"]]
    roles = [{"name": name, "label": label, "leads": False, **more} for name, label, more in ROLES]
    sheet["trade"] = {**EARLIER_TRADE, "roles": roles}
    sheet["shop"]["people"] = [{"initials": who, "name": NAMES[who], "role": role} for who, role in people.items()]
    return sheet


def proved(bay: Bay, **people: str) -> tuple[Drive, Locator]:
    """Begin a job and let KS prove the timing. Return the step of the second look too."""
    drive = bay.begin(sheet_of(**people))
    drive.close("marks", outcome="aligned")
    return drive, drive.look(LOOK)


def offered(step: Locator) -> list[str]:
    told: list[str] = step.locator("[data-field=who] option").evaluate_all("all => all.map(one => one.textContent)")
    return told


def refused(drive: Drive, step: Locator, who: str, typed: str = "") -> str:
    """Sign as somebody, and return what the phone says."""
    drive.choose(step.locator("[data-field=who]"), who)
    if typed:
        fill(step.locator("[data-field=initials]"), typed)
    tap(step.locator("[data-check=sign]"))
    said = step.get_by_role("alert").last
    expect(said).to_be_visible()
    return said.text_content() or ""


def test_an_apprentice_is_refused_and_told_whom_to_ask_and_then_a_tech_signs(bay: Bay) -> None:
    drive, step = proved(bay, **ALL)
    expect(step).to_contain_text("Second look by: technician or shop lead")
    assert offered(step) == [
        "–", "JM, Jo Marl (technician)", "LM, Lou Marten (apprentice)", "RT, Robin Thal (shop lead)", "Somebody else",
    ]  # fmt: skip
    assert refused(drive, step, "LM") == "LM may not sign here. Ask JM or RT."
    assert refused(drive, step, "?", "zz") == "ZZ is not on the shop’s list. Ask JM or RT."
    assert refused(drive, step, "?", "k.s.") == "KS did it. Ask JM or RT."
    assert refused(drive, step, "?", "l.m.") == "LM may not sign here. Ask JM or RT."
    assert len(bay.entries()) == 2, "nothing of this was saved"
    drive.close(LOOK, who="JM")
    assert bay.entries()[-1]["who"] == "JM" and drive.kept(LOOK)


def test_the_step_is_left_out_with_the_lead_alone(bay: Bay) -> None:
    drive, step = proved(bay, **ALL)
    expect(step).to_contain_text("Ask JM or RT. Nobody here? Leave this step out below, with the shop lead.")
    tap(step.locator("details.more > summary"))
    expect(step.get_by_text("Leave this step out (only with the shop lead)")).to_be_visible()
    assert not step.locator("[data-action=not-fitted]").is_visible()
    drive.act("skip", LOOK, reason="nobody here", **{"with": "LM"})
    assert len(bay.entries()) == 2
    drive.act("skip", LOOK, reason="nobody here", **{"with": "RT"})
    assert bay.entries()[-1]["kind"] == "skip"


def test_a_look_that_an_apprentice_gave_on_another_phone_does_not_count(bay: Bay) -> None:
    drive, _ = proved(bay, **ALL)
    given = other_phone(bay.entries()[0], kind="check", step=LOOK, part="", value={"self": False}, seen=[], lamport=9)
    bay.tab().page.goto(drive.site)
    bay.page.evaluate(ELSEWHERE, [{**given, "who": "LM"}])
    drive.reopen()
    drive.look(LOOK)
    assert drive.reasons(LOOK) == ["The signature of LM does not count here. Somebody else must sign."]
    assert drive.kept(LOOK) == []
    drive.close(LOOK, who="RT")
    assert drive.reasons(LOOK) == []


def test_the_only_tech_among_apprentices_waits_for_the_break(bay: Bay) -> None:
    drive, step = proved(bay, KS="tech", LM="apprentice", BN="apprentice")
    expect(step).to_contain_text("Nobody else on the shop’s list may sign here. KS may, after a break.")
    expect(step).to_contain_text("KS alone: self-check from")
    assert refused(drive, step, "LM") == "LM may not sign here. KS may, after a break."
    assert not any("self-check" in said for said in offered(step))


def test_where_nobody_is_qualified_the_phone_says_whom_to_ask(bay: Bay) -> None:
    drive, step = proved(bay, KS="apprentice", LM="apprentice")
    nobody = "Nobody on the shop’s list may sign here. Ask whoever keeps the list, then take the new worksheet."
    expect(step).to_contain_text(nobody)
    assert refused(drive, step, "LM") == f"LM may not sign here. {nobody}"
    assert "self-check" not in (step.text_content() or "")
