"""A job outlives the pages it was begun with: worksheets and entries of any age open, and nothing of them is lost."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import expect

from generator.canonical import canonical, digest
from generator.journal.record import Record, read_record, write_record
from tests.browser import bays
from tests.browser.bays import ELSEWHERE, Bay, Sheet, other_phone
from tests.browser.drive import Drive
from tests.browser.touch import tap
from tests.support.sample_sheet import sample_sheet

pytestmark = pytest.mark.browser

shop, phone, bay = bays.shop, bays.phone, bays.bay

LATER = {
    "sheet": ["results", "tables", "givens", "units", "wrenches", "adapters", "torque"],
    "step": ["shows", "holds"],
    "check": ["watch", "asks_new"],
    "part": ["settings", "kind"],
    "value": [
        "number",
        "margin",
        "units",
        "asks_margin",
        "condition",
        "into",
        "grade",
        "engaged",
        "head",
        "grip",
        "band",
        "turn",
        "unjudged",
        "doubt",
        "points",
    ],
}
"""What the first worksheets did not have."""


def without(thing: dict[str, Any], name: str) -> dict[str, Any]:
    return {key: value for key, value in thing.items() if key not in LATER[name]}


def as_first(sheet: Sheet) -> Sheet:
    """Return the worksheet as the first generator wrote it."""
    made = without(copy.deepcopy(sheet), "sheet")
    made["shop"].pop("units")
    made["steps"] = [without(step, "step") for step in made["steps"]]
    for step in made["steps"]:
        step["check"] = without(step["check"], "check")
        if "parts" in step["check"]:
            step["check"]["parts"] = [without(part, "part") for part in step["check"]["parts"]]
    made["values"] = {name: without(value, "value") for name, value in made["values"].items()}
    made["readings"] = {name: {**reading, "units": None} for name, reading in made["readings"].items()}
    for reading in made["readings"].values():
        del reading["units"]
    return made


NAMED = [
    "values",
    "items",
    "readings",
    "tables",
    "givens",
    "units",
    "words",
    "parts",
    "tools",
    "consumables",
    "one_time",
]
"""Groups whose keys are names: another one would be a thing of its own, without what such a thing must have."""


def as_next_sheet(thing: Any, key: str = "") -> Any:
    """Return the worksheet with one unknown field more in every group of fields."""
    if isinstance(thing, list):
        return [as_next_sheet(one) for one in thing]
    if not isinstance(thing, dict):
        return thing
    made = {name: as_next_sheet(value, name) for name, value in thing.items()}
    return made if key in NAMED or ("v" in thing and len(thing) == 1) else made | {"from_next_year": ["and", 1, None]}


def exported(bay: Bay, folder: Path) -> str:
    control = bay.page.locator("details.drop [data-action=export]")
    bay.drive.reveal(control)
    with bay.page.expect_download() as saved:
        tap(control)
    file = folder / saved.value.suggested_filename
    saved.value.save_as(file)
    return file.read_text()


def brought_in(bay: Bay, text: str, folder: Path) -> Drive:
    file = folder / "brought.txt"
    file.write_text(text)
    bay.drive.open("jobs/")
    bay.page.locator("[data-field=file]").set_input_files(file)
    tap(bay.page.locator("[data-action=import]"))
    tap(bay.page.locator("[data-job-link]"))
    bay.page.locator("[data-job]").wait_for()
    return bay.drive


def look_everywhere(drive: Drive) -> None:
    for path, state in drive.states().items():
        if state != "hidden":
            drive.look(path)
            expect(drive.step(path)).to_be_visible()


def unknown(entry: dict[str, Any]) -> list[dict[str, Any]]:
    """Return entries that a phone of a later version might have written here."""
    return [
        other_phone(entry, kind="torque-log", part="1.1", value={"curve": [[0, 1], [2, 3.5]]}, step=entry["step"]),
        other_phone(entry, v=2, kind="check", value={"seen_by": "camera"}),
        other_phone(entry, kind="weather", step="", value={}, from_next_year={"deep": [None, "ö", 1]}),
    ]


def test_a_job_on_a_worksheet_of_the_first_shape_goes_on_and_goes_to_a_file_whole(bay: Bay, tmp_path: Path) -> None:
    sheet = as_first(sample_sheet())
    drive = bay.begin(sheet)
    closed = drive.run(stop_at="marks")
    bay.page.evaluate(ELSEWHERE, unknown(bay.entries()[-1]))
    drive.reopen()
    assert {drive.state(path) for path in closed} <= {"done", "waiting"}
    look_everywhere(drive)
    expect(bay.page.get_by_text("cannot be shown here")).to_have_count(1)
    entries = bay.entries()
    assert {entry["kind"] for entry in entries} >= {"start", "check", "torque-log", "weather"}
    assert exported(bay, tmp_path) == write_record(entries, {digest(canonical(sheet)): sheet})


def test_a_job_from_pages_of_the_years_to_come_opens_is_worked_on_and_leaves_nothing_out(
    bay: Bay, tmp_path: Path
) -> None:
    sheet = as_next_sheet(sample_sheet())
    drive = bay.begin(sample_sheet())
    drive.close("first-stop", outcome="none")
    mark = digest(canonical(sheet))
    begun = [{**entry, "sheet": mark, "from_next_year": True} for entry in bay.entries()]
    brought = write_record([*begun, *unknown(begun[-1])], {mark: sheet})
    bay.drive.act("wipe", job="J-1042")
    bay.page.locator("[data-action=start]").wait_for()

    drive = brought_in(bay, brought, tmp_path)
    assert drive.state("first-stop") == "done"
    look_everywhere(drive)
    assert exported(bay, tmp_path) == brought
    drive.reopen()
    drive.close("windows")
    record = read_record(exported(bay, tmp_path))
    assert isinstance(record, Record)
    assert record.sheets == {mark: sheet}
    assert len(record.entries) == len(begun) + 3 + 1
