"""The demo on a phone: what one changed figure costs, and that a job keeps its worksheet on the phone."""

import functools

import pytest

from generator.site import build, disk
from tests.browser.drive import Drive
from tests.browser.server import Server
from tests.browser.touch import tap
from tests.support import demo

pytestmark = pytest.mark.browser

ENGINE = "demo_jobs/engines/skellimer-t3-11.yml"
SHEET = "timing-belt-service--skellimer-t3-11"
OTHER = "timing-belt-service--brackwold-i4-16"
GUIDE = {"guide/index.html": b"<!doctype html><title>Guide</title>", "search/search_index.json": b'{"read": 1}'}
REREAD = {"search/search_index.json": b'{"read": 2}'}
ASK = """async () => {
  const found = await navigator.serviceWorker.getRegistration();
  await found.update();
  while (found.installing) await new Promise(resolve => setTimeout(resolve, 20));
  return Boolean(found.waiting);
}"""


overrides = functools.cache(disk.read_overrides)
"""The phone's code as it was when the first site was built."""


@functools.cache
def built(engine: bytes) -> build.Built:
    made = build.build({**demo.texts(), ENGINE: engine}, disk.read_pictures(demo.ROOT, "procedures"), overrides())
    assert not made.checked.faults
    return made


def site(guide: dict[str, bytes], engine: bytes | None = None) -> dict[str, bytes]:
    made = built(engine or demo.texts()[ENGINE])
    return {**made.files, **guide, **build.add_worker(made, {**made.files, **guide}, overrides()["sw.js"])}


def another_figure() -> bytes:
    """Return the engine sheet with one torque changed."""
    before = demo.texts()[ENGINE]
    after = before.replace(b"torque: 26 N.m", b"torque: 27 N.m", 1)
    assert after != before
    return after


@pytest.fixture
def server():
    with Server({"/shop-a/": site(GUIDE)}) as running:
        yield running


@pytest.fixture
def drive(context, server):
    return Drive(context.new_page(), server.url("/shop-a/"))


def ready(drive: Drive) -> None:
    """Wait until the hundred and more files of the demo are there."""
    drive.page.wait_for_selector("html[data-offline=ready]", state="attached", timeout=60_000)


def switch(drive: Drive, name: str, on: bool) -> None:
    tap(drive.page.locator(f"[data-action=pin][data-part='{name}']"))
    drive.page.wait_for_selector(f"[data-part='{name}'][aria-checked={'true' if on else 'false'}]:not([aria-busy])")
    ready(drive)


def cost(drive: Drive, server: Server, files: dict[str, bytes]) -> list[str]:
    """Return every request of an update to these files, below the site's root."""
    server.put("/shop-a/", files)
    server.forget()
    assert drive.page.evaluate(ASK) is True
    return sorted(path.removeprefix("/shop-a/") for path in server.asked())


def test_one_changed_figure_costs_the_list_the_index_and_that_worksheet_and_of_the_guide_only_what_is_kept(
    server, drive
):
    drive.open("jobs/")
    ready(drive)
    changed_guide = {**GUIDE, **REREAD}
    assert cost(drive, server, site(changed_guide)) == ["packs.json", "search/search_index.json", "sw.js"]
    switch(drive, "guide", on=False)
    asked = cost(drive, server, site(GUIDE, another_figure()))
    print(*asked, sep="\n")
    folder = f"w/{SHEET}/"
    assert asked == ["packs.json", "sw.js", folder, f"{folder}sheet.json", f"{folder}torque/"]


def test_a_worksheet_that_was_left_is_kept_from_the_moment_a_job_needs_it(server, drive):
    drive.open("jobs/")
    ready(drive)
    for name in (OTHER, SHEET, "guide"):
        switch(drive, name, on=False)
    job = drive.start(SHEET, job="J-1", vehicle="Blue van", odometer="84210")
    drive.open("jobs/")
    ready(drive)
    needed = drive.page.locator(f"[data-action=pin][data-part='{SHEET}']")
    assert (needed.get_attribute("aria-checked"), needed.get_attribute("aria-disabled")) == ("true", "true")
    assert "a job on this phone needs it" in needed.inner_text()
    tap(needed, forced=True)
    assert needed.get_attribute("aria-checked") == "true"
    server.stop()
    drive.page.goto(f"{drive.site}w/{SHEET}/#{job}")
    drive.page.locator("[data-job]").wait_for()
    drive.page.goto(f"{drive.site}w/{OTHER}/")
    links = drive.page.locator("#kept a")
    links.first.wait_for()
    assert [OTHER in (link.get_attribute("href") or "") for link in links.all()] == [False] * 3


def test_no_page_of_the_shell_says_what_changes_with_a_worksheet():
    made = built(demo.texts()[ENGINE]).files
    for sheet in demo.checked().sheets:
        for path in ("index.html", "jobs/index.html", "offline/index.html", "calculators/index.html"):
            assert f"{len(sheet['steps'])} steps" not in made[path].decode()


def test_the_cards_say_revision_and_steps_all_the_same_once_the_phone_knows(drive):
    drive.open()
    ready(drive)
    card = drive.page.locator(f"a.card[data-worksheet='{SHEET}']")
    steps = next(len(sheet["steps"]) for sheet in demo.checked().sheets if sheet["worksheet"] == SHEET)
    assert f"{steps} steps" in card.inner_text()
