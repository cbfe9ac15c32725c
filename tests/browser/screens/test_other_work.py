"""Other work than belts, from the start form to the last tick, on a phone held in one hand: a site of its own, its own
words, and nothing of a car where there is none."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from playwright.sync_api import Page, expect

from generator.cli import main
from generator.site import disk
from tests.browser.bays import PHONE
from tests.browser.drive import Drive
from tests.browser.server import Server
from tests.browser.touch import tap
from tests.support import other_work

HEAD = "[data-open-items]"


@pytest.fixture(scope="module")
def shop():
    with Server({f"/{name}/": other_work.built(name) for name in other_work.NAMES}) as server:
        yield server


@pytest.fixture
def phone(chromium, shop):
    context = chromium.new_context(viewport=PHONE, has_touch=True)
    page = context.new_page()
    page.set_default_timeout(8000)
    yield page
    context.close()


def begin(page: Page, shop: Server, name: str, **fields: str) -> Drive:
    drive = Drive(page, shop.url(f"/{name}/"))
    drive.start(other_work.sheet(name)["worksheet"], **fields)
    return drive


def typed(**figures: str) -> dict[str, dict[str, str]]:
    """Return what the gauges show, by the step that reads them."""
    return {path: {"number": number} for path, number in figures.items()}


def asked(page: Page) -> list[str]:
    form = page.locator("[data-action=start]").locator("xpath=..")
    expect(form.locator("[data-field=who]")).to_be_visible()
    boxes = form.locator("[data-field]")
    return [str(name) for name in boxes.evaluate_all("all => all.map(one => one.dataset.field)")]


def is_held_by(drive: Drive, gate: str, *items: str) -> None:
    """The gate does not go, and the screen names what is open."""
    drive.look(gate)
    assert "open" in drive.codes(gate) or "list" in drive.codes(gate)
    said = " ".join(drive.reasons(gate))
    assert all(item in said for item in items), said
    drive.look(drive.next())


def told(page: Page, name: str, folder: Path) -> str:
    """Export the job on the phone, and return what the desk tells of it."""
    control = page.locator("[data-action=export]").first
    Drive(page, "").reveal(control)
    with page.expect_download() as saved:
        tap(control)
    saved.value.save_as(folder / "job.txt")
    disk.write_files(other_work.built(name), folder / "site")
    done = CliRunner().invoke(main, ["record", "--site", str(folder / "site"), str(folder / "job.txt")])
    assert done.exit_code == 0, done.output
    return done.output


def test_batteries(phone: Page, shop: Server, tmp_path: Path) -> None:
    Drive(phone, shop.url("/supply/")).open("w/" + other_work.sheet("supply")["worksheet"] + "/")
    assert asked(phone) == ["job", "vehicle", "serial", "who", "role"]
    drive = begin(phone, shop, "supply", who="FA", job="B-7", vehicle="Rack 3, cellar", serial="S-0007")
    figures = typed(
        bypass_rating="90",
        load_now="31",
        bus_dead="2",
        string_a_rest="88",
        string_a_fresh="91",
        string_b_rest="88",
        string_b_fresh="91",
        float="97",
        charge="1.5",
    )
    figures["on_batteries"] = {"start": "90", "end": "82"}
    drive.run(None, "string-a/link-out", **figures)
    expect(phone.locator(HEAD)).to_contain_text("1 on bypass")
    expect(phone.locator(HEAD)).to_contain_text("2 hung")
    drive.run(None, "tags-off", **figures)
    is_held_by(drive, "power-on", "Lockout tags")
    drive.run(None, "bypass-off", **figures)
    is_held_by(drive, "labels", "Load on bypass")
    drive.run(None, **figures)
    assert drive.is_complete and drive.open_count() == 0
    record = told(phone, "supply", tmp_path)
    print(record)
