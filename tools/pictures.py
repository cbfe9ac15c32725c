"""Takes the pictures of the guide from the demo, at the size of a phone: docs/pictures/*.png."""

from __future__ import annotations

import sys
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests import demo, good_day
from tests.browser.drive import Drive
from tests.browser.engines import launch_chromium
from tests.browser.server import Server
from tests.browser.test_whole_job import good_outcomes

PICTURES = demo.ROOT / "docs/pictures"
PHONE = {"width": 360, "height": 740}


def take(page: Page, name: str) -> None:
    page.wait_for_timeout(400)
    page.screenshot(path=PICTURES / f"{name}.png")
    print(f"docs/pictures/{name}.png")


def first(sheet: dict, kind: str, **more: object) -> str:
    """The first step that every job has with a check-off of this kind."""
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
    stop = next(step["path"] for step in sheet["steps"] if step["hold"])
    with Server({"/": dict(demo.built().files)}) as server, sync_playwright() as playwright:
        browser = launch_chromium(playwright)
        page = browser.new_context(viewport=PHONE).new_page()
        drive = Drive(page, server.url("/"))
        # Little came out, and it was thin: the mix cannot be reached.
        typed = good_day.as_typed(sheet)
        for path, how in typed.items():
            how |= {"number": "2.1"} if path.endswith("_drained") else {"number": "-4"} if "freeze_now" in path else {}
        found = good_outcomes(sheet)

        def on(path: str) -> None:
            drive.run(found, path, **typed)

        drive.open(f"w/{sheet['worksheet']}/")
        take(page, "start")
        drive.start(sheet["worksheet"], job="Q-1041", vehicle="Blue hatchback", odometer="118350")
        on(stop)
        take(page, "stop")
        pressed = next(step["path"] for step in sheet["steps"] if step["check"].get("every"))
        on(pressed)
        page.locator(f'[data-step="{pressed}"] [data-check=wait][data-part=start]').click()
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


if __name__ == "__main__":
    main()
