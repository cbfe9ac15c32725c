"""Phones at the golden address: a browser with a profile on disk, driven by touch."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Page, Playwright, expect

from tests.browser.drive import Drive
from tests.browser.engines import Chromium
from tests.browser.server import Server
from tests.golden.store import ORIGIN

SITE = f"http://{ORIGIN}/"
PHONE = {"width": 360, "height": 740, "deviceScaleFactor": 2, "mobile": True}


@contextmanager
def phone(playwright: Playwright, server: Server, profile: Path) -> Iterator[tuple[Chromium, Page]]:
    """A Chromium on this profile that sees `server` at the golden address. All its processes are killed at the end."""
    with Chromium(profile, "about:blank", f"--host-resolver-rules=MAP {ORIGIN} 127.0.0.1:{server.port}") as chromium:
        browser = playwright.chromium.connect_over_cdp(chromium.endpoint)
        page = browser.contexts[0].pages[0]
        page.set_default_timeout(15_000)
        session = page.context.new_cdp_session(page)
        session.send("Emulation.setDeviceMetricsOverride", PHONE)
        session.send("Emulation.setTouchEmulationEnabled", {"enabled": True, "maxTouchPoints": 2})
        yield chromium, page


def exported(page: Page) -> str:
    """Return the job as the page itself saves it."""
    drive = Drive(page, "")
    control = drive.reveal(page.locator("details.drop [data-action=export]").first)
    with page.expect_download() as saved:
        drive.press(control)
    return Path(saved.value.path()).read_text(encoding="utf-8")


def take_update(drive: Drive, server: Server, files: dict[str, bytes]) -> None:
    """Publish the newer site. The phone asks, is told what is new, and the person takes it with a tap."""
    server.put("/", files)
    drive.page.evaluate("navigator.serviceWorker.getRegistration().then(found => found.update())")
    expect(drive.page.locator("[data-news]").first).to_be_attached(timeout=20_000)
    drive.page.evaluate("globalThis.isSamePage = true")
    drive.press(drive.page.locator("[data-action=update]").first)
    drive.page.wait_for_function("() => !globalThis.isSamePage")
    drive.ready()
