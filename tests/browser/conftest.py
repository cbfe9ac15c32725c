"""Fixtures for tests in a real browser. An engine lives as long as one test module, a phone as long as one test."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, sync_playwright

from tests.browser.engines import WebKit, launch_chromium, screen
from tests.browser.server import Server
from tests.proofs.kill_harness import pages_server

INSECURE_HOST = "shop.lan"
"""A name for this machine that a browser does not take for safe, as in a shop without https."""


@pytest.fixture(scope="module")
def playwright() -> Iterator[Playwright]:
    with sync_playwright() as running:
        yield running


@pytest.fixture(scope="module")
def chromium(playwright: Playwright) -> Iterator[Browser]:
    browser = launch_chromium(playwright, f"--host-resolver-rules=MAP {INSECURE_HOST} 127.0.0.1")
    yield browser
    browser.close()


@pytest.fixture
def context(chromium: Browser) -> Iterator[BrowserContext]:
    """A fresh phone, with storage that nothing else has touched."""
    context = chromium.new_context()
    yield context
    context.close()


@pytest.fixture(scope="session")
def pages() -> Iterator[Server]:
    """The phone's modules at /phone/ and the test pages at /pages/."""
    with pages_server() as server:
        yield server


@pytest.fixture
def visit(context: BrowserContext, pages: Server) -> Callable[..., Page]:
    """Open the page that holds a keep, each time in a new tab of the same phone."""

    def visit(host: str = "127.0.0.1", page: str = "/pages/keep.html") -> Page:
        tab = context.new_page()
        tab.goto(pages.url(page, host=host))
        tab.wait_for_selector("html[data-ready]", state="attached")
        return tab

    return visit


@pytest.fixture
def tab(visit: Callable[..., Page]) -> Page:
    return visit()


@pytest.fixture(scope="session")
def display() -> Iterator[str]:
    with screen() as name:
        yield name


@pytest.fixture
def webkit(display: str) -> Iterator[Callable[[Path], WebKit]]:
    """Start a WebKit window on a profile folder. Whatever is still alive at the end is killed."""
    windows: list[WebKit] = []

    def start(profile: Path) -> WebKit:
        windows.append(WebKit(profile, display))
        return windows[-1]

    yield start
    for window in windows:
        window.kill()
