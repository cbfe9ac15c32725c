"""Other work than belts, from the start form to the last tick, on a phone held in one hand: a site of its own, its own
words, and nothing of a car where there is none."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner
from playwright.sync_api import Page, expect

from generator.cli import main
from generator.site import disk
from tests.browser.bays import PHONE
from tests.browser.drive import Drive
from tests.browser.server import Server
from tests.browser.touch import tap
from tests.other_work import projects as other_work

HEAD = "[data-open-items]"


@pytest.fixture(scope="module")
def shop():
    with Server({f"/{name}/": other_work.built(name) for name in other_work.NAMES}) as server:
        yield server


@pytest.fixture
def phone(chromium, shop):
    context = chromium.new_context(viewport=PHONE, has_touch=True)
    page = context.new_page()
    page.set_default_timeout(20_000)
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
    return " ".join(done.output.split())


# What a text about a power supply never says.
CAR = re.compile(r"\b(?:engines?|cars?|vehicles?|odometer|mileage|bonnet|VIN|tech|apprentice|starter)\b", re.IGNORECASE)


def has_no_car(text: str) -> None:
    found = [text[max(0, one.start() - 60) : one.end() + 60] for one in CAR.finditer(text)]
    assert found == []


def words_on(page: Page) -> str:
    """Return all texts of a page, in folds and attributes too."""
    return str(page.evaluate(WORDS))


WORDS = """() => [document.title, document.body.textContent, ...[...document.querySelectorAll('*')].flatMap(
  (one) => ['aria-label', 'title', 'placeholder', 'alt'].map((name) => one.getAttribute(name) ?? ''))].join(' ')"""


# Every page of the site, and what it shows once it is drawn.
PAGES = {
    "": "Change the batteries",
    "jobs/": "Change the batteries",
    "calculators/": "Load, bus and charge",
    "offline/": "phone",
    "w/SHEET/torque/": "Terminal bolts of the string",
    "w/SHEET/": "Rack and place",
}


def test_batteries(phone: Page, shop: Server, tmp_path: Path) -> None:
    sheet = other_work.sheet("supply")["worksheet"]
    drive = Drive(phone, shop.url("/supply/"))
    for page, shown in PAGES.items():
        phone.goto(shop.url(f"/supply/{page}".replace("SHEET", sheet)))
        expect(phone.locator("body")).to_contain_text(shown)
        has_no_car(words_on(phone))
    assert asked(phone) == ["job", "vehicle", "serial", "who", "role"]
    assert "Serial number (may be empty)" in words_on(phone) and "Rack and place (may" not in words_on(phone)
    drive.start(sheet, who="FA", job="B-7", vehicle="Rack 3, cellar", serial="S-0007")
    has_no_car(words_on(phone))
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
    drive.values = {
        "charge_limit": {"number": "3", "document": "Supply book SB-3, a friend's copy", "where": "page 12"}
    }
    drive.run(None, "string-a/link-out", **figures)
    expect(phone.locator(HEAD)).to_contain_text("1 on bypass")
    expect(phone.locator(HEAD)).to_contain_text("2 hung")
    has_no_car(words_on(phone))
    drive.run(None, "tags-off", **figures)
    is_held_by(drive, "power-on", "Lockout tags")
    drive.run(None, "bypass-off", **figures)
    is_held_by(drive, "labels", "Load on bypass")
    drive.run(None, **figures)
    assert drive.is_complete and drive.open_count() == 0
    has_no_car(words_on(phone))
    record = told(phone, "supply", tmp_path)
    has_no_car(record)
    assert "VALUES READ AT THE RACK" in record and "a friend's copy" in record
    assert 'started job "B-7" on "Rack 3, cellar"; as fitter' in record and 'Serial number "S-0007"' in record


def test_clutch(phone: Page, shop: Server, tmp_path: Path) -> None:
    Drive(phone, shop.url("/clutch/")).open("w/" + other_work.sheet("clutch")["worksheet"] + "/")
    assert asked(phone) == ["job", "vehicle", "odometer", "unit", "who", "role"]
    assert CAR.search(words_on(phone)), "the search that finds no car in a power supply finds one where it is"
    drive = begin(phone, shop, "clutch", who="DL", job="C-3", vehicle="Blue hatchback", odometer="80400")
    figures = typed(oil_out="1.8", wobble="0.06", oil_in="1.9", pedal="52")
    drive.run(None, "flywheel-on", **figures)
    expect(phone.locator(HEAD)).to_contain_text("2 unplugged")
    drive.run(None, "tools-out", **figures)
    is_held_by(drive, "gearbox-on", "Alignment tool in the plate", "Flywheel lock")
    drive.run(None, "oil-in", **figures)
    is_held_by(drive, "pedal", "Gearbox oil")
    drive.run(None, **figures)
    assert drive.is_complete and drive.open_count() == 0
    record = told(phone, "clutch", tmp_path)
    assert "as mechanic" in record and "80400 km" in record


CORNERS = ("rear_left", "rear_right", "front_left", "front_right")


def test_brakes(phone: Page, shop: Server, tmp_path: Path) -> None:
    drive = begin(phone, shop, "brakes", who="VO", job="D-5", vehicle="Grey estate", odometer="60100")
    figures = typed(count_cans="2", **{f"{corner}_bled": "0.25" for corner in CORNERS})
    figures["pedal_held"] = {"start": "90", "end": "89"}
    drive.run(None, "count-cans", **figures)
    drive.close("count-cans", number="1")
    assert drive.state("count-cans") != "done", "1 L is not enough: 0.37 L and four times 0.19 L"
    drive.run(None, "front-right/screw-shut", **figures)
    expect(phone.locator(HEAD)).to_contain_text("1 open")
    expect(drive.step("front-right/screw-shut")).to_contain_text("Front right: Shut the screw")
    is_held_by(drive, "pedal-held", "Bleed screw")
    drive.run(None, "cap-on", **figures)
    assert drive.look("cap-on").locator("[data-result=fluid_out]").inner_text().split()[4] == "1.00L"
    drive.run(None, **figures)
    assert drive.is_complete and drive.open_count() == 0
    assert "as mechanic" in told(phone, "brakes", tmp_path)
