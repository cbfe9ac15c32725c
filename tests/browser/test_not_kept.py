"""What the store did not confirm, on the screen: drawn as not kept, counted for order, and no stop closed by it.

The store is made to fail under a real page; everything is done by taps.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, expect

from tests.browser import bays
from tests.browser.bays import Bay, Sheet
from tests.browser.drive import Drive
from tests.sample_sheet import sample_sheet

shop, phone, bay = bays.shop, bays.phone, bays.bay

# What becomes of every put from now on: let through, broken off, or failed by the disk. It outlives a reload in the tab.
STORE = """
globalThis.storeDoes = (what) => { globalThis.name = what; };
const put = IDBObjectStore.prototype.put;
IDBObjectStore.prototype.put = function (...all) {
  const request = put.apply(this, all);
  if (globalThis.name === 'abort') this.transaction.abort();
  if (globalThis.name === 'io') {
    const error = new DOMException('Internal error.', 'UnknownError');
    Object.defineProperty(this.transaction, 'error', { get: () => error });
    this.transaction.abort();
  }
  return request;
};
"""


def cut(*paths: str, stops: tuple[str, ...] = (), **changes: Any) -> Sheet:
    """The sample with these steps only, and the completion; `stops` are holds."""
    sheet = sample_sheet()
    sheet["steps"] = [step for step in sheet["steps"] if step["path"] in {*paths, "done"}]
    here = {step["path"] for step in sheet["steps"]}
    for one in sheet["steps"]:
        one["after"] = [path for path in one["after"] if path in here]
        one["if_failed"] = None
        one["hold"] = one["hold"] or one["path"] in stops
    return {**sheet, **changes}


def begin(bay: Bay, sheet: Sheet, store: str) -> Drive:
    """A job whose store fails from its start on."""
    bay.page.add_init_script(STORE)
    drive = bay.begin(sheet)
    bay.page.evaluate("what => storeDoes(what)", store)
    return drive


def unkept(drive: Drive, path: str) -> list[str]:
    return [
        one
        for one in drive.step(path).locator("[data-unkept]").evaluate_all("all => all.map(one => one.dataset.unkept)")
    ]


def tap(drive: Drive, path: str, control: str = "[data-check]") -> Locator:
    """Tap a step's check-off, whatever comes of it."""
    made = drive.look(path).locator(control).first
    drive.reveal(made)
    made.click()
    drive.idle()
    return made


def test_a_tick_that_was_not_kept_is_drawn_so_and_the_job_goes_on(bay: Bay) -> None:
    drive = begin(bay, cut("windows", "battery-off", "drain"), "abort")
    tap(drive, "windows")
    assert drive.state("windows") == "done" and drive.at() == "battery-off"
    assert drive.kept("windows") == [] and len(unkept(drive, "windows")) == 1
    expect(drive.step("windows").locator(".says")).to_have_text("not kept")
    card = bay.page.locator("[data-unkept-count]")
    expect(card).to_have_attribute("data-unkept-count", "1")
    expect(card).to_contain_text("What was kept before is safe")
    expect(drive.look("windows").locator("[data-check]")).to_contain_text("Not kept: Done")
