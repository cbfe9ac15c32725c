"""An answer draws the job once: each row of the list is written once, whatever the answer and wherever it is from."""

from __future__ import annotations

from collections.abc import Callable

from tests.browser import bays
from tests.browser.bays import ELSEWHERE, JOB, Bay, Sheet, other_phone
from tests.browser.drive import Drive, fill
from tests.browser.screens.test_screens import cut

shop, phone, bay = bays.shop, bays.phone, bays.bay

# Every draw of the job asks each row for its state. The clock, whose ticks draw too, is stopped.
COUNT = """(() => {
  const read = Element.prototype.getAttribute;
  const every = setInterval;
  globalThis.rows = {};
  Element.prototype.getAttribute = function (name) {
    const { step } = this.dataset ?? {};
    if (name === 'data-state' && step) rows[step] = (rows[step] ?? 0) + 1;
    return read.call(this, name);
  };
  globalThis.setInterval = (run, ms) => (ms === 1000 ? 0 : every(run, ms));
})()"""
STILL_MS = 120
"""Whatever an answer has set going has drawn by then."""


def draws(drive: Drive) -> int:
    """Return how often the most often drawn row was drawn since the page was loaded."""
    return max([*drive.page.evaluate("rows").values(), 0])


def drawn_by(drive: Drive, do: Callable[[], object]) -> int:
    """Return how many draws something causes."""
    before = draws(drive)
    do()
    drive.idle()
    drive.page.wait_for_timeout(STILL_MS)
    return draws(drive) - before


def sheet_of_each_kind() -> Sheet:
    """Return a sheet with a tick, a missing value, a bolt, a reading and a check that can fail, in any order."""
    sheet = cut("windows", "battery-off", "idler", "lock", "marks", "refill")
    sheet["steps"].sort(key=lambda one: one["path"] != "refill")  # nothing after a stop can be done before it
    for one in sheet["steps"]:
        one.update(stage=0, after=[])
    sheet["stages"] = [{**sheet["stages"][0], "order": "any"}]
    return sheet


def test_each_answer_draws_the_job_once(bay: Bay) -> None:
    bay.page.add_init_script(COUNT)
    bay.serve(sheet_of_each_kind())
    drive = bay.drive
    drive.open("w/belt-service-four/")
    for name, text in {"who": "KS", **JOB}.items():
        fill(drive.page.locator(f"[data-field={name}]"), text)

    def start() -> None:
        drive.press(drive.page.locator("[data-action=start]"))
        drive.page.locator("[data-job]").wait_for()

    found = {"start": drawn_by(drive, start)}
    bay.job = drive.page.locator("[data-job]").get_attribute("data-job") or ""

    def press(kind: str, path: str, control: str, **fields: str) -> None:
        """Do one press. Whatever it needs is made ready first."""
        step = drive.look(path)
        one = drive.reveal(step.locator(control).first)
        for name, text in fields.items():
            fill(one.locator("xpath=..").locator(f"[data-field={name}]"), text)
        found[kind] = drawn_by(drive, lambda: drive.press(one))

    press("tick", "windows", "[data-check=tick]")
    press("departure", "battery-off", "[data-action=depart]", part="tool:spanner_10", reason="lost", instead="3/8")
    press("tick once more", "battery-off", "[data-check=tick]")
    drive.look("idler")
    drive.fill_missing("idler")
    press("torque", "idler", "[data-check=tighten]")
    press("reading", "refill", "[data-check=measure]", number="6")
    drive.close("lock")
    press("failure", "marks", "[data-outcome=off]")
    press("go-back", "marks", "[data-action=back]")
    press("take-back", "windows", "[data-action=take-back]")

    other = bay.tab()
    other.open("jobs/")
    bay.page.bring_to_front()
    told = other_phone(bay.entries()[1], step="windows", id="e" * 24, seen=[])
    drive.look("windows")
    found["another tab"] = drawn_by(drive, lambda: other.page.evaluate(ELSEWHERE, [told]))
    assert drive.state("windows") == "disputed"
    print(f"\ndraws an answer: {found}")
    assert found == dict.fromkeys(found, 1)
