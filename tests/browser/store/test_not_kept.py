"""What the store did not confirm, on the screen: shown as not saved, counts for the order, but can't pass a stop.

The store is made to fail under a real page. Everything is done by taps.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, expect

from tests.browser import bays
from tests.browser.bays import Bay, Sheet
from tests.browser.drive import Drive
from tests.browser.server import Server
from tests.browser.touch import tap
from tests.support.sample_sheet import sample_sheet

shop, phone, bay = bays.shop, bays.phone, bays.bay

# What becomes of every put from now on: let through, aborted, or failed by the disk. A reload of the tab keeps it.
STORE = """
globalThis.storeDoes = (what) => { globalThis.name = what; };
const put = IDBObjectStore.prototype.put;
IDBObjectStore.prototype.put = function (...all) {
  const tx = this.transaction;
  if (globalThis.name === 'io') {
    Object.defineProperty(tx, 'error', { get: () => new DOMException('Internal error.', 'UnknownError') });
  }
  if (globalThis.name) Promise.resolve().then(() => tx.abort()).catch(() => {});
  return put.apply(this, all);
};
"""


def cut(*paths: str, stops: tuple[str, ...] = (), **changes: Any) -> Sheet:
    """Return the sample with these steps only, and the completion. `stops` are holds."""
    sheet = sample_sheet()
    sheet["steps"] = [step for step in sheet["steps"] if step["path"] in {*paths, "done"}]
    here = {step["path"] for step in sheet["steps"]}
    for one in sheet["steps"]:
        one["after"] = [path for path in one["after"] if path in here]
        one["if_failed"] = None
        one["hold"] = one["hold"] or one["path"] in stops
    return {**sheet, **changes}


def begin(bay: Bay, sheet: Sheet, store: str, **fields: str) -> Drive:
    """Begin a job whose store fails from the start."""
    bay.page.add_init_script(STORE)
    drive = bay.begin(sheet, **fields)
    bay.page.evaluate("what => storeDoes(what)", store)
    return drive


def unkept(drive: Drive, path: str) -> list[str]:
    return [
        one
        for one in drive.step(path).locator("[data-unkept]").evaluate_all("all => all.map(one => one.dataset.unkept)")
    ]


def tap_check(drive: Drive, path: str, control: str = "[data-check]") -> Locator:
    """Tap a step's check-off, whatever happens then."""
    made = drive.look(path).locator(control).first
    drive.reveal(made)
    tap(made)
    drive.idle()
    return made


def test_a_tick_that_was_not_kept_is_drawn_so_and_the_job_goes_on(bay: Bay) -> None:
    drive = begin(bay, cut("windows", "battery-off", "drain"), "abort")
    tap_check(drive, "windows")
    assert drive.state("windows") == "done" and drive.at() == "battery-off"
    assert drive.kept("windows") == [] and len(unkept(drive, "windows")) == 1
    expect(drive.step("windows").locator(".says")).to_have_text("not saved")
    card = bay.page.locator("[data-unkept-count]")
    expect(card).to_have_attribute("data-unkept-count", "1")
    expect(card).to_contain_text("What was saved before is safe")
    expect(drive.look("windows").locator("[data-check]")).to_contain_text("Not saved: Done")


def test_a_stop_closes_only_when_a_saved_file_holds_all_and_somebody_has_it(bay: Bay, tmp_path: Path) -> None:
    drive = begin(bay, cut("windows", "battery-off", "drain", stops=("battery-off",)), "abort")
    tap_check(drive, "windows")
    tap_check(drive, "battery-off")
    card = drive.step("battery-off").locator("[data-unkept-count]")
    expect(drive.step("battery-off").locator("[data-check]")).to_contain_text("Not saved: Done")
    assert drive.state("battery-off") == "open" and drive.at() == "battery-off"
    assert drive.state("drain") == "blocked"
    have = card.locator("[data-action=confirm][data-part=saved-file]")
    tap(have)
    expect(card.get_by_role("alert").filter(has_text="Send the job first")).to_be_visible()
    with bay.page.expect_download() as download:
        tap(card.locator("[data-action=export]"))
    download.value.save_as(tmp_path / "job.txt")
    assert drive.state("battery-off") == "open"
    tap(have)
    expect(drive.step("battery-off")).to_have_attribute("data-state", "done")
    assert drive.at() == "drain" and drive.kept("battery-off") == []
    written = (tmp_path / "job.txt").read_text()
    assert all(one in written for path in ("windows", "battery-off") for one in unkept(drive, path))
    drive.reopen()
    assert drive.state("battery-off") == "done", "what the file holds is not asked for again"
    assert drive.kept("battery-off") == [] and unkept(drive, "battery-off")


def test_a_file_from_before_the_answer_opens_no_stop(bay: Bay) -> None:
    drive = begin(bay, cut("windows", "battery-off", "drain", stops=("battery-off",)), "abort")
    tap_check(drive, "windows")
    menu = bay.page.locator("[data-job] [data-action=export]").first
    drive.reveal(menu)
    with bay.page.expect_download():
        tap(menu)
    bay.page.keyboard.press("Escape")
    tap_check(drive, "battery-off")
    tap(bay.page.locator("[data-part=saved-file]"))
    assert drive.state("battery-off") == "open" and drive.state("drain") == "blocked"


def test_what_fails_at_a_stop_counts_at_once(bay: Bay) -> None:
    sheet = cut("first-stop", "windows")
    drive = begin(bay, sheet, "abort")
    fails = next(one["name"] for one in sheet["steps"][0]["check"]["outcomes"] if one["fails"])
    tap_check(drive, "first-stop", f"[data-outcome={fails}]")
    assert drive.state("first-stop") == "failed" and drive.kept("first-stop") == []


def test_the_last_part_of_a_stop_is_held_back_and_shown_as_not_kept(bay: Bay) -> None:
    drive = begin(bay, cut("two-turns"), "abort")
    drive.fill_missing("two-turns")
    for _ in range(2):
        tap_check(drive, "two-turns", "[data-check=turn][aria-current]")
    assert drive.state("two-turns") == "open" and len(unkept(drive, "two-turns")) == 2
    bay.page.evaluate("storeDoes('')")
    tap_check(drive, "two-turns", "[data-check=turn][aria-current]")
    expect(drive.step("two-turns")).to_have_attribute("data-state", "done")
    expect(drive.step("two-turns").locator("[data-unkept]")).to_have_count(0)
    assert len([one for one in bay.entries() if one["kind"] == "check"]) == 2


def test_when_the_store_takes_it_later_the_marks_become_kept_by_themselves(bay: Bay) -> None:
    drive = begin(bay, cut("windows", "battery-off", "drain", stops=("battery-off",)), "abort")
    tap_check(drive, "windows")
    tap_check(drive, "battery-off")
    assert drive.state("battery-off") == "open"
    bay.page.evaluate("storeDoes('')")
    expect(drive.step("battery-off")).to_have_attribute("data-state", "done", timeout=12_000)
    assert len(drive.kept("windows")) == len(drive.kept("battery-off")) == 1
    expect(bay.page.locator("[data-unkept-count]")).to_be_hidden()


def test_what_was_not_kept_is_taken_back_and_answered_again(bay: Bay) -> None:
    drive = begin(bay, cut("windows", "battery-off", "drain", stops=("battery-off",)), "abort")
    for path, state in (("windows", "done"), ("battery-off", "open")):
        tap_check(drive, path)
        first = unkept(drive, path)
        drive.act("take-back", path)
        assert drive.state(path) == "open" and unkept(drive, path) == []
        tap_check(drive, path)
        assert drive.state(path) == state and unkept(drive, path) != first
    bay.page.evaluate("storeDoes('')")
    tap_check(drive, "battery-off")
    assert drive.states() == {"windows": "done", "battery-off": "done", "drain": "open", "done": "blocked"}
    kinds = [one["kind"] for one in bay.entries()]
    assert kinds.count("check") == 4 and kinds.count("take-back") == 2


def test_after_an_error_of_the_disk_nothing_is_written_to_the_store_over_reloads_and_the_mirror_brings_it_back(
    bay: Bay,
) -> None:
    drive = begin(bay, cut("windows", "battery-off", "drain"), "io")
    tap_check(drive, "windows")
    expect(bay.page.locator("[data-job]")).to_contain_text("stopped saving after a fault")
    bay.page.evaluate("storeDoes('')")
    tap_check(drive, "battery-off")
    drive.reopen()
    assert (drive.state("windows"), drive.state("battery-off"), drive.at()) == ("done", "done", "drain")
    assert drive.kept("windows") == drive.kept("battery-off") == []
    assert len(unkept(drive, "windows")) == len(unkept(drive, "battery-off")) == 1
    drive.look("battery-off")
    expect(drive.step("battery-off").locator("[data-check]")).to_contain_text("Not saved: Done")
    bay.page.goto(bay.server.url("/jobs/"))
    expect(bay.page.locator("[data-job-link]")).to_contain_text("2 not saved")


KINDS = {
    "as-found": "[data-check=photo]",
    "marks": "[data-check=inspect]",
    "refill": "[data-check=measure]",
    "cover-on": "[data-check=tighten]",
    "thermostat": "[data-check=tick]",
}


@pytest.mark.parametrize("path", KINDS)
def test_no_check_off_of_any_kind_is_drawn_as_kept_before_it_is(bay: Bay, path: str) -> None:
    sheet = cut(path)
    sheet["steps"][0]["hold"] = False
    drive = begin(bay, sheet, "abort")
    drive.fill_missing(path)
    step = drive.look(path)
    for name, text in {"kept_at": "the shop's camera", "number": "5"}.items():
        box = step.locator(f"[data-check] >> xpath=.. >> [data-field={name}]")
        if box.count():
            box.first.fill(text)
    tap_check(drive, path, KINDS[path])
    sure = step.locator("[data-action=confirm]:visible:not([data-part])")
    if sure.count():
        tap(sure.first)
        drive.idle()
    assert drive.state(path) == "done" and drive.kept(path) == [] and unkept(drive, path)
    drive.look(path)
    expect(step.locator("[data-check][data-unkept]")).to_contain_text("Not saved:")
    bay.page.evaluate("storeDoes('')")
    tap(step.locator("[data-check][data-unkept]"))
    expect(step.locator("[data-check][data-kept]")).to_contain_text("Saved:")


def test_what_is_said_beside_a_step_is_shown_as_not_kept_too(bay: Bay) -> None:
    drive = begin(bay, cut("strip-down", "thermostat", "windows"), "abort")
    part = drive.look("strip-down").locator("[data-action=confirm][data-part=tools]")
    drive.press(part)
    expect(part).to_contain_text("Not saved:")
    sheet = cut("tensioner", "windows")
    drive = begin(bay, sheet, "abort", job="J-1043")
    drive.fill_missing("tensioner")
    drive.act("skip", "windows", reason="no windows", instead="nothing")
    assert drive.state("windows") == "skipped" and drive.kept("windows") == []
    expect(drive.look("windows").locator(".reason[data-unkept]")).to_contain_text("not saved")


# --- two tabs, and coming back ----------------------------------------------------------------------------------------


def test_the_other_tab_follows_within_a_second_and_shows_what_is_not_kept_as_such(bay: Bay) -> None:
    drive = begin(bay, cut("windows", "battery-off", "drain"), "")
    other = bay.tab()
    other.page.goto(bay.page.url)
    other.ready()
    tap_check(drive, "windows")
    expect(other.step("windows")).to_have_attribute("data-state", "done", timeout=1000)
    assert other.kept("windows") == drive.kept("windows")
    bay.page.evaluate("storeDoes('abort')")
    tap_check(drive, "battery-off")
    expect(other.step("battery-off")).to_have_attribute("data-state", "done", timeout=1000)
    assert len(unkept(other, "battery-off")) == 1 and other.kept("battery-off") == []


def test_two_tabs_of_one_phone_are_two_writers_and_neither_loses_a_tick(bay: Bay) -> None:
    drive = begin(bay, cut("windows", "battery-off", "drain"), "")
    other = bay.tab()
    other.page.goto(bay.page.url)
    other.ready()
    tap_check(drive, "windows")
    expect(other.step("windows")).to_have_attribute("data-state", "done")
    tap_check(other, "battery-off")
    expect(drive.step("battery-off")).to_have_attribute("data-state", "done")
    checks = [one for one in bay.entries() if one["kind"] == "check"]
    assert len({one["writer"] for one in checks}) == 2 and len({one["device"] for one in checks}) == 1


# A page in the back/forward cache hears no other page.
DEAF = """
const heard = Object.getOwnPropertyDescriptor(BroadcastChannel.prototype, 'onmessage');
Object.defineProperty(BroadcastChannel.prototype, 'onmessage', {
  ...heard, set(hear) { heard.set.call(this, (event) => { if (!globalThis.isAway) hear(event); }); },
});
"""


def test_a_page_that_the_browser_had_put_away_shows_what_was_done_meanwhile(bay: Bay) -> None:
    drive = begin(bay, cut("windows", "battery-off", "drain"), "")
    other = bay.tab()
    other.page.add_init_script(DEAF)
    other.page.goto(bay.page.url)
    other.ready()
    other.page.evaluate("() => { globalThis.isAway = true; }")
    tap_check(drive, "windows")
    tap_check(drive, "battery-off")
    assert other.state("windows") == "open"
    other.page.evaluate("() => dispatchEvent(new PageTransitionEvent('pageshow', { persisted: true }))")
    expect(other.step("battery-off")).to_have_attribute("data-state", "done")
    assert other.kept("windows") == drive.kept("windows")


# --- with nothing to keep anything in ---------------------------------------------------------------------------------

NOTHING = """
const throwing = { get: () => { throw new DOMException('denied', 'SecurityError'); }, configurable: true };
for (const name of ['indexedDB', 'localStorage', 'sessionStorage', 'caches', 'BroadcastChannel']) {
  Object.defineProperty(globalThis, name, throwing);
}
for (const name of ['storage', 'serviceWorker']) Object.defineProperty(Navigator.prototype, name, throwing);
Object.defineProperty(Crypto.prototype, 'subtle', throwing);
"""
MISSING = """
for (const name of ['indexedDB', 'localStorage', 'sessionStorage', 'caches', 'BroadcastChannel']) {
  Object.defineProperty(globalThis, name, { value: undefined });
}
for (const name of ['storage', 'serviceWorker', 'wakeLock', 'vibrate']) {
  Object.defineProperty(Navigator.prototype, name, { value: undefined });
}
Object.defineProperty(Crypto.prototype, 'subtle', { value: undefined });
"""


@pytest.mark.parametrize("nothing", [NOTHING, MISSING], ids=["throwing", "missing"])
def test_with_every_storage_interface_gone_a_job_starts_is_ticked_and_goes_to_a_file(
    chromium: Any, shop: Server, tmp_path: Path, nothing: str
) -> None:
    context = chromium.new_context(viewport=bays.PHONE, has_touch=True)
    context.add_init_script(nothing)
    bay = Bay(shop, context)
    sheet = cut("windows", "battery-off", "drain", stops=("battery-off",))
    bay.serve(sheet)
    for page in ("", "jobs/"):
        bay.drive.open(page)
        expect(bay.page.locator("#device")).to_contain_text("saves nothing for this site")
    drive = bay.begin(sheet)
    expect(bay.page.locator("[data-job]")).to_contain_text("saves nothing for this site")
    tap_check(drive, "windows")
    assert drive.state("windows") == "done" and drive.kept("windows") == []
    expect(bay.page.locator("[data-unkept-count]")).to_contain_text("Closing the page loses it")
    tap_check(drive, "battery-off")
    card = bay.page.locator("[data-unkept-count]")
    with bay.page.expect_download() as download:
        tap(card.locator("[data-action=export]"))
    download.value.save_as(tmp_path / "job.txt")
    tap(card.locator("[data-part=saved-file]"))
    expect(drive.step("battery-off")).to_have_attribute("data-state", "done")
    assert (tmp_path / "job.txt").read_text().count("\nentry ") == 3
    assert bay.errors == []
    context.close()


# --- full -------------------------------------------------------------------------------------------------------------


def test_a_full_phone_says_so_on_the_screen_and_takes_it_up_once_there_is_room(chromium: Any, shop: Server) -> None:
    context = chromium.new_context(viewport=bays.PHONE, has_touch=True)
    bay = Bay(shop, context)
    session = context.new_cdp_session(bay.page)
    origin = shop.url("").rstrip("/")
    session.send("Storage.overrideQuotaForOrigin", {"origin": origin, "quotaSize": 1})
    drive = bay.begin(cut("windows", "battery-off", "drain"))
    expect(bay.page.locator("[data-job]")).to_contain_text("This phone is full")
    tap_check(drive, "windows")
    assert drive.state("windows") == "done" and drive.kept("windows") == []
    expect(bay.page.locator("[data-unkept-count]")).to_have_attribute("data-unkept-count", "2")
    session.send("Storage.overrideQuotaForOrigin", {"origin": origin})
    expect(drive.step("windows").locator("[data-kept]").first).to_be_attached(timeout=30_000)
    expect(bay.page.get_by_text("This phone is full")).to_have_count(0)
    assert [one["kind"] for one in bay.entries()] == ["start", "check"]
    context.close()


def test_a_full_second_store_is_said_and_the_tick_is_kept(bay: Bay) -> None:
    bay.serve(cut("windows", "battery-off"))
    bay.drive.open("jobs/")
    bay.page.evaluate(
        """() => {
          let size = 5 * 1024 * 1024;
          for (let text = 'x'.repeat(size); size >= 1; size = Math.floor(size / 2)) {
            try { localStorage.setItem(`filler ${size}`, text.slice(0, size)); } catch { /* that was too much */ }
          }
        }"""
    )
    drive = bay.begin(cut("windows", "battery-off"))
    tap_check(drive, "windows")
    assert drive.state("windows") == "done" and len(drive.kept("windows")) == 1
