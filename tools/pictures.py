"""Take the guide's pictures from the demo, at the size of a phone: docs/pictures/*.png."""

from __future__ import annotations

import sys
from pathlib import Path

from playwright.sync_api import Page, Playwright, sync_playwright

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests.browser.drive import Drive
from tests.browser.engines import launch_chromium
from tests.browser.screens.test_whole_job import good_outcomes
from tests.browser.server import Server
from tests.browser.site import test_update_taken
from tests.browser.store import test_not_kept
from tests.support import demo, good_day

PICTURES = demo.ROOT / "docs/pictures"
PHONE = {"width": 360, "height": 740}


def take(page: Page, name: str) -> None:
    page.wait_for_timeout(400)
    page.screenshot(path=PICTURES / f"{name}.png")
    print(f"docs/pictures/{name}.png")


def first(sheet: dict, kind: str, **more: object) -> str:
    """Return the first step with a check-off of this kind that every job has."""
    for step in sheet["steps"]:
        if step["when"] or step["check"]["kind"] != kind:
            continue
        if all(step["check"].get(key) == value for key, value in more.items()):
            return str(step["path"])
    raise LookupError(kind)


def main() -> None:
    PICTURES.mkdir(exist_ok=True)
    sheet = demo.sheet("inline-four")
    gates = {step["gate"]["for"]: step["path"] for step in sheet["steps"] if step["gate"]}
    stop = next(step["path"] for step in sheet["steps"] if step["hold"] and step["cautions"])
    with Server({"/": dict(demo.built().files)}) as server, sync_playwright() as playwright:
        browser = launch_chromium(playwright)
        page = browser.new_context(viewport=PHONE).new_page()
        drive = Drive(page, server.url("/"))
        # Little came out, and it was thin, so the mix cannot be reached.
        typed = good_day.as_typed(sheet)
        for path, how in typed.items():
            how |= {"number": "1.4"} if path.endswith("_drained") else {"number": "-4"} if "freeze_now" in path else {}
        found = good_outcomes(sheet)

        def on(path: str) -> None:
            drive.run(found, path, **typed)

        drive.open(f"w/{sheet['worksheet']}/")
        take(page, "start")
        page.locator("[data-promise]").first.scroll_into_view_if_needed()
        page.locator("[data-action=start]").scroll_into_view_if_needed()
        take(page, "promise")
        drive.start(sheet["worksheet"], job="Q-1041", vehicle="Blue hatchback", odometer="118350")
        on(stop)
        take(page, "stop")
        pressed = next(step["path"] for step in sheet["steps"] if step["check"].get("every"))
        on(pressed)
        drive.press(page.locator(f'[data-step="{pressed}"] [data-check=wait][data-part=start]'))
        page.locator(f'[data-step="{pressed}"] [data-check=wait][data-part=start][data-kept]').wait_for()
        take(page, "pace")
        on(first(sheet, "tighten", fastener="critical"))
        take(page, "tighten")
        on(gates["hand-turn"])
        take(page, "worksheet")
        drive.look(gates["starter"])
        take(page, "not-yet")
        drive.look(drive.next())
        mixed = next(step["path"] for step in sheet["steps"] if "concentrate" in step["holds"])
        on(mixed)
        drive.look(mixed).locator("[data-result]").first.scroll_into_view_if_needed()
        take(page, "mix")
        browser.close()
        not_kept(playwright, sheet, server)
        new_version(playwright)


def not_kept(playwright: Playwright, sheet: dict, server: Server) -> None:
    """A disk that fails under the first tick."""
    browser = launch_chromium(playwright)
    context = browser.new_context(viewport=PHONE)
    context.add_init_script(test_not_kept.STORE)
    page = context.new_page()
    drive = Drive(page, server.url("/"))
    drive.start(sheet["worksheet"], job="Q-1042", vehicle="Grey estate", odometer="91200")
    page.evaluate("storeDoes('io')")
    drive.look(drive.next()).locator("[data-check],[data-outcome]").first.click()
    take(page, "not-kept")
    browser.close()


def new_version(playwright: Playwright) -> None:
    old, new = (
        test_update_taken.site(test_update_taken.short_sheet()),
        test_update_taken.site(test_update_taken.newer_sheet()),
    )
    browser = launch_chromium(playwright)
    page = browser.new_context(viewport=PHONE).new_page()
    with Server({"/": old}) as server:
        drive = Drive(page, server.url("/"))
        page.goto(server.url("/jobs/"))
        page.wait_for_selector("html[data-offline=ready]", state="attached")
        test_update_taken.offered(drive, server, new)
        take(page, "new-version")
    browser.close()


if __name__ == "__main__":
    main()
