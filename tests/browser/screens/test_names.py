"""What an import may bring into a job: hostile names, a list contradicted, a stranger's worksheet, a faulty page."""

from __future__ import annotations

import copy
import json
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from generator.canonical import canonical, digest
from generator.journal.entries import Entry
from generator.journal.record import Record, read_record, write_record
from tests.browser import bays
from tests.browser.bays import Bay, files_of, other_phone
from tests.browser.drive import Drive
from tests.browser.touch import tap
from tests.proofs import import_names
from tests.support.sample_sheet import sample_sheet

shop, phone, bay = bays.shop, bays.phone, bays.bay


def cut(*paths: str) -> dict[str, Any]:
    sheet = sample_sheet()
    sheet["steps"] = [step for step in sheet["steps"] if step["path"] in {*paths, "done"} or step["completion"]]
    return sheet


def bring_in(page: Page, text: str) -> None:
    given = {"name": "job.txt", "mimeType": "text/plain", "buffer": text.encode()}
    page.locator("[data-field=file]").set_input_files(given)  # type: ignore[arg-type]
    tap(page.locator("[data-action=import]"))


def exported(bay: Bay, tmp_path: Path, scope: str = "") -> tuple[str, Record]:
    """Return the name of the exported file and the record in it."""
    control = bay.page.locator(f"{scope} [data-action=export]".strip()).first
    bay.drive.reveal(control)
    with bay.page.expect_download() as saved:
        tap(control)
    file = tmp_path / "job.txt"
    saved.value.save_as(file)
    read = read_record(file.read_text())
    assert isinstance(read, Record)
    return saved.value.suggested_filename, read


def open_record(bay: Bay, entries: list[Entry], sheet: dict[str, Any]) -> None:
    bay.drive.open("jobs/")
    bring_in(bay.page, write_record(entries, {digest(canonical(sheet)): sheet}))
    # The link of a job that was already on the phone must not be tapped before the file is in.
    expect(
        bay.page.locator("section", has=bay.page.locator("[data-action=import]")).get_by_role("status")
    ).not_to_be_empty()
    tap(bay.page.locator("[data-job-link]").first)
    bay.page.locator("[data-job]").wait_for()
    bay.job = bay.page.locator("[data-job]").get_attribute("data-job") or ""


@pytest.mark.parametrize("name", ["toString", "__proto__"])
def test_an_entry_of_a_step_with_an_inherited_name_keeps_no_job_from_opening(
    bay: Bay, tmp_path: Path, name: str
) -> None:
    sheet = cut("windows")
    drive = bay.begin(sheet)
    drive.close("windows")
    bad = [other_phone(one, step=name, part=name) for one in bay.entries() if one["kind"] == "check"]
    open_record(bay, [*bay.entries(), *bad], sheet)
    drive.reopen()
    assert drive.state("windows") == "done" and drive.kept("windows")
    assert len(exported(bay, tmp_path)[1].entries) == 3


# --- a page that meets a fault ----------------------------------------------------------------------------------------


def at_other_code(bay: Bay, name: str, files: dict[str, bytes]) -> None:
    """Open the same phone at another address, which has another store and other code."""
    bay.server.put(f"/{name}/", files)
    bay.drive = Drive(bay.page, bay.server.url(f"/{name}/"))


def faulty(sheet: dict[str, Any], note: str) -> dict[str, bytes]:
    """Return the site with a fault planted: the code that draws an answer throws if the note is this one."""
    files = files_of(sheet)
    words = files["phone/words/words.js"].decode()
    start = "export const answer = ("
    assert words.count(start) == 1
    planted = words.replace(start, "const sayAnswer = (", 1)
    planted += (
        "\nexport const answer = (...about) => {\n"
        f"  if (about[0]?.value?.note === {json.dumps(note)}) throw new Error('planted');\n"
        "  return sayAnswer(...about);\n};\n"
    )
    return {**files, "phone/words/words.js": planted.encode()}


def with_note(bay: Bay, note: str) -> Entry:
    [tick] = [one for one in bay.entries() if one["kind"] == "check"]
    return other_phone(tick, value={"note": note}, step="battery-off")


def test_a_page_that_cannot_draw_an_entry_goes_on_without_it_and_says_which(bay: Bay, tmp_path: Path) -> None:
    sheet = cut("windows", "battery-off")
    drive = bay.begin(sheet)
    drive.close("windows")
    entries = [*bay.entries(), with_note(bay, "planted note")]
    at_other_code(bay, "faulty-words", faulty(sheet, "planted note"))
    open_record(bay, entries, sheet)
    drive = bay.drive
    card = bay.page.locator("[data-left-out]")
    expect(card).to_have_attribute("data-left-out", "1")
    expect(card).to_contain_text("“check”")
    expect(card).to_contain_text("LM")
    assert drive.state("windows") == "done" and drive.kept("windows")
    assert [one["id"] for one in exported(bay, tmp_path, "[data-left-out]")[1].entries] == [
        one["id"] for one in entries
    ]
    tap(bay.page.get_by_role("button", name="Kim Sandberg"))
    drive.close("battery-off")
    assert drive.state("battery-off") == "done"
    assert any("planted" in error for error in bay.errors)
    bay.errors.clear()


def test_a_page_that_cannot_draw_the_job_at_all_hands_its_file_over(bay: Bay, tmp_path: Path) -> None:
    sheet = cut("windows", "battery-off")
    drive = bay.begin(sheet)
    drive.close("windows")
    entries = bay.entries()
    files = files_of(sheet)
    screen = files["phone/screen/job/open_items.js"].decode()
    inside, _, last = screen.rpartition("const update = (")
    broken = f"{inside}const update = () => {{ throw new Error('planted'); }};\n  const was = ({last}"
    assert inside and last
    at_other_code(bay, "faulty-screen", {**files, "phone/screen/job/open_items.js": broken.encode()})
    bay.drive.open("jobs/")
    bring_in(bay.page, write_record(entries, {digest(canonical(sheet)): sheet}))
    tap(bay.page.locator("[data-job-link]"))
    expect(bay.page.locator("[data-broken]")).to_be_visible()
    assert [one["id"] for one in exported(bay, tmp_path, "[data-broken]")[1].entries] == [one["id"] for one in entries]
    bay.errors.clear()


# --- what another phone says ------------------------------------------------------------------------------------------


def test_a_missing_part_that_another_phone_reports_opens_the_gate_again_loudly(bay: Bay) -> None:
    sheet = sample_sheet()
    [gate] = [one["path"] for one in sheet["steps"] if one["gate"] and one["gate"]["ready"]]
    drive = bay.begin(sheet)
    drive.run(stop_at=gate)
    drive.close(gate)
    assert drive.state(gate) == "done"
    [(section, item), *_] = [(name, of) for name in ("one_time", "parts") for of in sheet["needs"][name]]
    [told] = [one for one in bay.entries() if one["kind"] == "confirm" and one["part"] == section]
    bay.page.evaluate(bays.ELSEWHERE, [other_phone(told, value={"except": [item]})])
    expect(drive.step(gate)).to_have_attribute("data-state", "recheck")
    label = sheet["needs"][section][item]["label"]
    card = bay.page.get_by_role("alert").filter(has_text=label)
    expect(card).to_be_visible()
    expect(card).to_contain_text("LM")
    expect(card).to_contain_text("confirm the list again")


def test_invisible_signs_in_initials_are_named_and_stay_in_the_journal(bay: Bay, tmp_path: Path) -> None:
    sheet = cut("windows")
    drive = bay.begin(sheet)
    drive.close("windows")
    bad = [other_phone(one, who="L\u202eM\u200b") for one in bay.entries() if one["kind"] == "check"]
    open_record(bay, [*bay.entries(), *bad], sheet)
    text = bay.page.locator("[data-job]").evaluate("one => one.textContent")
    assert "L[U+202E]M[U+200B]" in text and "\u202e" not in text and "\u200b" not in text
    assert "L\u202eM\u200b" in [one["who"] for one in exported(bay, tmp_path)[1].entries]


# --- whose worksheet it is --------------------------------------------------------------------------------------------


def test_a_job_of_this_site_is_no_strangers_also_after_the_sheet_has_changed(bay: Bay, tmp_path: Path) -> None:
    sheet = cut("windows")
    drive = bay.begin(sheet)
    expect(bay.page.locator("[data-origin]")).to_have_count(0)
    bay.server.put("/", files_of({**copy.deepcopy(sheet), "revision": 4}))
    drive.reopen()
    expect(bay.page.locator("[data-origin]")).to_have_count(0)
    assert "worksheet" not in exported(bay, tmp_path)[0]
    drive.open("jobs/")
    expect(bay.page.locator("[data-job-link]")).to_be_visible()
    expect(bay.page.locator("[data-origin]")).to_have_count(0)


@pytest.mark.parametrize(
    ("change", "origin"), [({"revision": 9}, "unmet"), ({"shop": {"id": "elsewhere"}}, "stranger")]
)
def test_a_worksheet_that_this_phone_never_met_on_the_site_is_named(
    bay: Bay, tmp_path: Path, change: dict[str, Any], origin: str
) -> None:
    sheet = cut("windows")
    drive = bay.begin(sheet)
    drive.close("windows")
    forged = {**sheet, **change}
    forged["shop"] = {**sheet["shop"], **change.get("shop", {})}
    mark = digest(canonical(forged))
    theirs = [{**one, "job": "e" * 24, "sheet": mark, "device": "d" * 24} for one in bay.entries()]
    drive.open("jobs/")
    bring_in(bay.page, write_record(theirs, {mark: forged}))
    card = bay.page.locator(f"[data-origin={origin}]")
    expect(card).to_have_count(1)
    tap(card.locator("a"))
    expect(bay.page.locator(f"[data-job] [data-origin={origin}]")).to_be_visible()
    name, read = exported(bay, tmp_path)
    assert ("stranger" if origin == "stranger" else "not-met") in name and len(read.entries) == 2


def test_a_forged_worksheet_with_the_digests_of_the_real_one_closes_nothing_after_the_real_one_is_taken(
    bay: Bay,
) -> None:
    """The forged worksheet asks for a tenth of the torque and states the duty of the real one."""
    sheet = cut("windows")
    drive = bay.begin(sheet)
    drive.close("windows")
    forged = copy.deepcopy(sheet)
    forged["steps"][0]["cautions"] = [{"level": "notice", "hazard": "None.", "harm": "None.", "avoid": "Go on."}]
    mark = digest(canonical(forged))
    assert forged["steps"][0]["duty"] == sheet["steps"][0]["duty"]
    theirs = [{**one, "job": "e" * 24, "sheet": mark, "device": "d" * 24} for one in bay.entries()]
    drive.open("jobs/")
    bring_in(bay.page, write_record(theirs, {mark: forged}))
    tap(bay.page.locator("[data-origin] a"))
    expect(drive.step("windows")).to_have_attribute("data-state", "done")
    drive.act("adopt")
    expect(drive.step("windows")).to_have_attribute("data-state", "recheck")


assert len(import_names.HOSTILE) >= 200
