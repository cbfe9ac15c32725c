"""Every engine of the demo and a fifth one, driven by touch on a phone's screen from the start of its job to the end.

    python -m tests.browser.screens.engines_harness [LAYOUT ...]

Prints a line for each: steps closed, how many things are open at the end, how long it took. Ends with 1 where a job is
not complete, where something is open, or where Python's fold of the exported record differs from the screen.
"""

from __future__ import annotations

import sys
import time
from typing import Any

from playwright.sync_api import Browser, sync_playwright

from generator.journal.fold import fold
from tests.browser.drive import Drive
from tests.browser.engines import launch_chromium
from tests.browser.screens.test_whole_job import PHONE, PREFIX, exported, good_outcomes
from tests.browser.server import Server
from tests.other_work import fifth
from tests.support import demo, good_day

LAYOUTS = ("inline-four", "vee-six", "flat-four", "inline-three", fifth.LAYOUT)


def wrong_with(drive: Drive, sheet: dict[str, Any], closed: list[str]) -> list[str]:
    """Return what is not as it should be at the end of a good day."""
    asked = {step["path"] for step in sheet["steps"] if not step["when"]}
    state = fold(*exported(drive.page))
    shown = {path: seen["state"] for path, seen in state["steps"].items()}
    checks = {
        "the job is not complete": drive.is_complete and state["complete"],
        "something is open": drive.open_count() == 0,
        "a step was not asked": asked <= {*closed},
        "a step is neither done nor left to another engine": {*drive.states().values()}
        <= {"done", "hidden", "not-fitted"},
        "the record says otherwise than the screen": shown == drive.states(),
    }
    return [said for said, holds in checks.items() if not holds]


def driven(browser: Browser, site: str, layout: str) -> bool:
    """Drive one engine's job to its end and print how it went."""
    sheet, began = fifth.sheet() if layout == fifth.LAYOUT else demo.sheet(layout), time.monotonic()
    context = browser.new_context(viewport=PHONE, has_touch=True, service_workers="block")
    drive = Drive(context.new_page(), site)
    drive.start(sheet["worksheet"], job="Q-5", vehicle="Red saloon", odometer="118350")
    closed = drive.run(good_outcomes(sheet), **good_day.as_typed(sheet))
    wrong = wrong_with(drive, sheet, closed)
    took = time.monotonic() - began
    said = f"{layout:13} {len(closed):4} steps closed by touch, {drive.open_count()} open, {took:5.0f} s"
    print(said, *wrong, sep="  ", flush=True)
    context.close()
    return not wrong


def main() -> int:
    layouts = sys.argv[1:] or LAYOUTS
    with Server({PREFIX: dict(fifth.built().files)}) as server, sync_playwright() as playwright:
        browser = launch_chromium(playwright)
        good = [driven(browser, server.url(PREFIX), layout) for layout in layouts]
    return 0 if all(good) else 1


if __name__ == "__main__":
    raise SystemExit(main())
