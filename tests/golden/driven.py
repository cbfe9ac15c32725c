"""Jobs of the golden set that are driven through the pages, and a phone's own storage with two of them open.

All phones here are real browsers with a profile on disk, at one address that is the same on every machine.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, Playwright, expect

from tests.browser.drive import Drive, fill
from tests.browser.engines import Chromium
from tests.browser.server import Server
from tests.golden.phones import SITE, exported, phone, take_update
from tests.support import good_day

Sheet = dict[str, Any]


class Shop:
    """A site at the golden address, its phones, and the worksheets by the layout of the engine."""

    def __init__(self, playwright: Playwright, server: Server, sheets: dict[str, Sheet], folder: Path) -> None:
        self.playwright, self.server, self.sheets, self.folder = playwright, server, sheets, folder

    @contextmanager
    def phone(self, name: str) -> Iterator[Drive]:
        with phone(self.playwright, self.server, self.folder / name) as (_, page):
            page.set_default_timeout(60_000)
            drive = Drive(page, SITE)
            drive.open("")
            drive.offline_ready()
            yield drive

    def begin(self, drive: Drive, layout: str, **fields: str) -> str:
        drive.sheet = None
        given = {"vehicle": "Invented car", "odometer": "118350", **fields}
        return drive.start(self.sheets[layout]["worksheet"], **given)

    def go_on(self, drive: Drive, layout: str, stop_at: str = "", **outcomes: str) -> None:
        sheet = self.sheets[layout]
        good = {
            step["path"]: next(one["name"] for one in step["check"]["outcomes"] if not one["fails"])
            for step in sheet["steps"]
            if step["check"]["kind"] == "inspect"
        }
        assert not stop_at or stop_at in {step["path"] for step in sheet["steps"]}, stop_at
        drive.run({**good, **outcomes}, stop_at, **good_day.as_typed(sheet))

    def open(self, drive: Drive, layout: str, job: str) -> None:
        drive.open(f"w/{self.sheets[layout]['worksheet']}/#{job}")
        drive.page.locator(f'[data-job="{job}"]').wait_for()


def bring_in(drive: Drive, file: Path, job: str) -> None:
    drive.open("jobs/")
    drive.page.locator("[data-field=file]").first.set_input_files(file)
    drive.press(drive.page.locator("[data-action=import]").first)
    drive.page.locator(f'a[href*="{job}"]').first.wait_for()


def whole_job(shop: Shop, newer: dict[str, bytes]) -> str:
    """Drive the inline four from start to end: an adapter, values read, a newer revision adopted, a failed proof."""
    with shop.phone("whole") as drive:
        shop.begin(drive, "inline-four", job="G-101", who="KS")
        shop.go_on(drive, "inline-four", "safe/codes")
        drive.act("skip", "safe/codes", reason="the reader is lent out")
        shop.go_on(drive, "inline-four", "lift/lift")
        take_update(drive, shop.server, newer)
        drive.press(drive.page.locator("[data-action=adopt]"))
        drive.idle()
        drive.sheet = None
        assert "recheck" in drive.states().values()
        drive.look(drive.next())
        shop.go_on(drive, "inline-four", "belt-on/idlers")
        step = drive.look("belt-on/idlers")
        for name, text in {"adapter-length": "40", "adapter-angle": "0", "lever": "380"}.items():
            box = step.locator(f"[data-field={name}]").first
            drive.reveal(box)
            fill(box, text)
        shop.go_on(drive, "inline-four", "prove/tools-proved")
        drive.fail("prove/tools-proved", outcome="not-in", reason="one pin a hair off")
        drive.look(drive.next())
        shop.go_on(drive, "inline-four")
        assert drive.is_complete
        return exported(drive.page)


def two_phones(shop: Shop) -> str:
    """Drive the flat four on two phones that did not see each other. Unite and settle it on the second."""
    file = shop.folder / "one.txt"
    with shop.phone("one") as drive:
        job = shop.begin(drive, "flat-four", job="G-102", who="KS")
        shop.go_on(drive, "flat-four", "drain/plug-out")
        file.write_text(exported(drive.page), encoding="utf-8")
        drive.reopen()
        shop.go_on(drive, "flat-four", "drain/drain-plug-in")
        ahead = exported(drive.page)
    with shop.phone("two") as drive:
        bring_in(drive, file, job)
        shop.open(drive, "flat-four", job)
        drive.press(drive.page.get_by_role("group").get_by_role("button", name="Jo Marl").first)
        drive.look(drive.next())
        shop.go_on(drive, "flat-four", "drain/drained")
        drive.close("drain/drained", number="2.9", unit="L")
        file.write_text(ahead, encoding="utf-8")
        bring_in(drive, file, job)
        shop.open(drive, "flat-four", job)
        expect(drive.step("drain/drained")).to_have_attribute("data-state", "disputed")
        drive.press(drive.look("drain/drained").locator("[data-action=settle]").first)
        drive.idle()
        assert drive.state("drain/drained") != "disputed"
        drive.act("pass-on", to="JM")
        return exported(drive.page)


def odd_ways(shop: Shop) -> str:
    """Drive the inline three, with everything that a page offers besides a check-off."""
    with shop.phone("odd") as drive:
        shop.begin(drive, "inline-three", job="G-103", who="JM")
        shop.go_on(drive, "inline-three", "agree/pump-agreed")
        drive.act("refuse", "agree/pump-agreed", how="told at the car", told_by="JM", price="140")
        drive.look(drive.next())
        shop.go_on(drive, "inline-three", "lift/wheel")
        drive.act("took-off", label="Heat shield bolt", kind="bolt", count="2")
        drive.act("extra", label="New bulb", approved_by="owner", how="telephone", price="12")
        drive.act("not-fitted", "lift/wheel", reason="is off already")
        drive.look(drive.next())
        shop.go_on(drive, "inline-three", "strip/part-connectors")
        drive.act("depart", "strip/crack-crank-bolt", part="tool:counterhold", reason="lent out", instead="a bar")
        drive.look(drive.next())
        shop.go_on(drive, "inline-three", "belt-on/belt-on")
        return exported(drive.page)


def declined(shop: Shop) -> str:
    """Begin the vee six. The shop declines it."""
    with shop.phone("declined") as drive:
        shop.begin(drive, "vee-six", job="G-104", who="KS")
        shop.go_on(drive, "vee-six", "safe/codes")
        drive.act("decline", reason="the head is cracked")
        return exported(drive.page)


OPEN = {"inline-four": ("G-105", "belt-on/belt-on"), "vee-six": ("G-106", "judge/crank-seal")}
"""The two open jobs of the golden phone: number, and the step that is next."""


def two_open(shop: Shop, name: str = "open") -> dict[str, str]:
    """Make a phone with two half-done jobs and close it as a person does. Returns what the jobs export."""
    records = {}
    with phone(shop.playwright, shop.server, shop.folder / name) as (chromium, page):
        page.set_default_timeout(60_000)
        drive = Drive(page, SITE)
        drive.open("")
        drive.offline_ready()
        for layout, (number, stop_at) in OPEN.items():
            shop.begin(drive, layout, job=number, who="KS")
            shop.go_on(drive, layout, stop_at)
            records[layout] = exported(drive.page)
        shut(chromium, page)
    return records


def shut(chromium: Chromium, page: Page) -> None:
    """Close it cleanly, so that the browser writes everything."""
    session = page.context.new_cdp_session(page)
    session.send("Browser.close")
    chromium.process.wait(30)
