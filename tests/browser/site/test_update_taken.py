"""A new version in a person's hand: offered with its news, refused while something is half done, taken by a tap."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from generator.canonical import canonical, digest
from generator.site.bundle import Pack, holding, worker_files
from tests.browser.bays import PHONE, files_of
from tests.browser.drive import Drive
from tests.browser.server import Server
from tests.browser.touch import tap
from tests.support.sample_sheet import Sheet, caution, sample_sheet

pytestmark = pytest.mark.browser

SPARKS = caution("warning", "Sparks.", "They set light to vapour.", "Earth off first.")


def short_sheet() -> Sheet:
    """Return two steps and the completion. The second step has bolts to be pulled one by one."""
    sheet = sample_sheet()
    sheet["steps"] = [step for step in sheet["steps"] if step["path"] in ("windows", "tensioner", "done")]
    for step in sheet["steps"]:
        step["after"], step["if_failed"] = [], None
    return sheet


def newer_sheet() -> Sheet:
    sheet = copy.deepcopy(short_sheet())
    sheet["revision"] += 1
    sheet["steps"][0] |= {"cautions": [SPARKS], "duty": "e" * 64}
    return sheet


def site(sheet: Sheet) -> dict[str, bytes]:
    """Return a site of one worksheet, with the worker that saves it on the phone."""
    files = {path: body for path, body in files_of(sheet).items() if not path.startswith("templates/")}
    template = files.pop("sw.js").decode()
    own = tuple(path for path in files if path.startswith("w/"))
    mark, steps = digest(canonical(sheet)), len(sheet["steps"])
    pack = Pack(sheet["title"], own, "worksheet", sheet["engine"]["title"], sheet["revision"], steps, mark)
    made = worker_files(template, holding(files, {sheet["worksheet"]: pack}), "demo")
    return {**files, **{path: text.encode() for path, text in made.items()}}


@pytest.fixture(scope="module")
def sites() -> list[dict[str, bytes]]:
    return [site(short_sheet()), site(newer_sheet())]


@pytest.fixture
def server(sites: list[dict[str, bytes]]) -> Iterator[Server]:
    with Server({"/": sites[0]}) as running:
        yield running


@pytest.fixture
def phone(chromium: Browser) -> Iterator[Any]:
    context = chromium.new_context(viewport=PHONE, has_touch=True)
    yield context
    context.close()


def tab(phone: Any, server: Server) -> Drive:
    page = phone.new_page()
    page.set_default_timeout(15000)
    return Drive(page, server.url("/"))


def offered(drive: Drive, server: Server, files: dict[str, bytes]) -> None:
    """Publish the newer site, and wait until it is on this phone beside the old one."""
    server.put("/", files)
    drive.page.evaluate("navigator.serviceWorker.getRegistration().then(found => found.update())")
    expect(drive.page.locator("[data-news]")).to_have_count(1, timeout=20_000)


def press_update(drive: Drive) -> None:
    drive.press(drive.page.locator("[data-action=update]"))


def refused(drive: Drive, *texts: str) -> None:
    alert = drive.page.locator(".update").get_by_role("alert")
    for text in texts:
        expect(alert).to_contain_text(text)


def test_a_new_version_is_told_and_taken_only_while_nothing_is_half_done_on_any_page(
    phone: Any, server: Server, sites: list[dict[str, bytes]]
) -> None:
    at_work, looking = tab(phone, server), tab(phone, server)
    at_work.start("belt-service-four", job="J-7", vehicle="Blue van", odometer="84210")
    at_work.offline_ready()
    looking.open("jobs/")
    offered(looking, server, sites[1])
    news = " ".join(looking.page.locator("[data-news]").inner_text().split())
    assert "revision 4 instead of 3" in news
    assert "Steps: 1 asks something else. Cautions: 1 new." in news

    at_work.close("windows")
    bolts = at_work.look("tensioner").locator("[data-check=tighten]")
    tap(bolts.first)
    at_work.idle()
    press_update(looking)
    refused(looking, "Not taken: a check-off is only partly done", "(job J-7, step 2: Fit the tensioner")

    at_work.close("tensioner")
    label = at_work.page.locator("[data-field=label]").first
    at_work.reveal(label)
    label.fill("left bracket")
    press_update(looking)
    refused(looking, "Not taken: something is typed or marked and not saved (job J-7). Finish that first")
    press_update(at_work)  # from the menu of the job
    refused(at_work, "Not taken: something is typed or marked and not saved (job J-7). Finish that first")

    label.fill("")
    at_work.page.evaluate("globalThis.isSamePage = true")
    looking.page.evaluate("globalThis.isSamePage = true")
    press_update(looking)
    looking.page.wait_for_function("() => !globalThis.isSamePage")
    looking.offline_ready()
    expect(at_work.page.get_by_text("A newer version was taken in another page.").first).to_be_attached()
    assert at_work.page.evaluate("globalThis.isSamePage")
    assert at_work.state("tensioner") == "done"


def test_a_job_takes_a_new_version_from_its_menu_and_goes_on_where_it_was(
    phone: Any, server: Server, sites: list[dict[str, bytes]]
) -> None:
    drive = tab(phone, server)
    job = drive.start("belt-service-four", job="J-8", vehicle="Blue van", odometer="84210")
    drive.close("windows")
    drive.offline_ready()
    offered(drive, server, sites[1])
    drive.page.evaluate("globalThis.isSamePage = true")
    press_update(drive)
    drive.page.wait_for_function("() => !globalThis.isSamePage")
    drive.ready()
    assert drive.page.locator(f'[data-job="{job}"]').count() == 1
    assert drive.state("windows") == "done"
    expect(drive.page.get_by_text("revision 4 is here, the job runs on revision 3")).to_be_visible()
