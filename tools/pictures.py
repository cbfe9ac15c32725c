"""Takes the pictures of the guide from the demo, at the size of a phone: docs/pictures/*.png."""

from __future__ import annotations

import sys
from pathlib import Path

from playwright.sync_api import Page, sync_playwright

sys.path.insert(0, str(Path(__file__).parent.parent))

from tests import demo
from tests.browser.drive import Drive
from tests.browser.engines import launch_chromium
from tests.browser.server import Server

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
        drive.open(f"w/{sheet['worksheet']}/")
        take(page, "start")
        drive.start(sheet["worksheet"], job="Q-1041", vehicle="Blue hatchback", odometer="84210")
        drive.run(stop_at=stop)
        take(page, "stop")
        drive.run(stop_at=first(sheet, "tighten", fastener="critical"))
        take(page, "tighten")
        drive.run(stop_at=gates["hand-turn"])
        take(page, "worksheet")
        drive.look(gates["starter"])
        take(page, "not-yet")
        browser.close()


if __name__ == "__main__":
    main()
