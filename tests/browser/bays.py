"""A phone in front of a site that serves one worksheet, for tests of the screens.

shop, phone, bay = bays.shop, bays.phone, bays.bay      # fixtures of a test module

drive = bay.begin(sheet)
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page

from generator import render
from generator.canonical import canonical, digest
from tests.browser.drive import Drive
from tests.browser.server import Server, headers

OVERRIDES = Path(__file__).parent.parent.parent / "site_overrides"
PHONE = {"width": 360, "height": 740}
Sheet = dict[str, Any]


def as_now(sheet: Sheet) -> Sheet:
    """Return a worksheet with the keys that the generator writes today. The phone may be given an older one."""
    steps = [{"shows": [], "holds": [], **one} for one in sheet["steps"]]
    for one in steps:
        if one["check"]["kind"] == "wait":
            one["check"] = {"watch": None, **one["check"]}
    return {"results": [], "tables": {}, "givens": {}, "units": {}, **sheet, "steps": steps}


def files_of(sheet: Sheet, root: str = "") -> dict[str, bytes]:
    """Return a site of one worksheet without a worker, so the pages come from the server."""
    code = {p.relative_to(OVERRIDES).as_posix(): p.read_bytes() for p in OVERRIDES.rglob("*") if p.is_file()}
    templates = {path.removeprefix("templates/"): text.decode() for path, text in code.items() if "templates/" in path}
    site = render.Site.of("demo", "Quayside Garage", templates)
    now = as_now(sheet)
    pages = {
        "index.html": render.start_page(site, [now]),
        "jobs/index.html": render.jobs_page(site, [now]),
        f"w/{sheet['worksheet']}/index.html": render.worksheet_page(now, digest(canonical(sheet)), site),
        f"w/{sheet['worksheet']}/sheet.json": canonical(sheet),
    }
    return {**code, **{name: text.encode() for name, text in pages.items()}}


class Bay:
    """A phone in front of a site that serves one worksheet."""

    def __init__(self, server: Server, context: BrowserContext) -> None:
        self.server, self.context = server, context
        self.errors: list[str] = []
        self.requests: list[str] = []
        self.drive = self.tab()

    def tab(self) -> Drive:
        page = self.context.new_page()
        page.set_default_timeout(8000)
        page.on("pageerror", lambda error: self.errors.append(str(error)))
        page.on("request", lambda request: self.requests.append(request.url))
        return Drive(page, self.server.url("/"))

    @property
    def page(self) -> Page:
        return self.drive.page

    def serve(self, sheet: Sheet) -> None:
        self.server.put("/", files_of(sheet))
        self.drive.sheet = None

    def begin(self, sheet: Sheet, **fields: str) -> Drive:
        self.serve(sheet)
        self.job = self.drive.start(sheet["worksheet"], **{**JOB, **fields})
        return self.drive

    def entries(self) -> list[dict[str, Any]]:
        """Return the journal as this phone holds it."""
        return list(self.page.evaluate(JOURNAL, self.job))


JOB = {"job": "J-1042", "vehicle": "Blue van, AB-12", "odometer": "84210"}
JOURNAL = """async job => {
  const { openKeep } = await import('/phone/keep/keep.js');
  const keep = await openKeep({ scope: 'demo /', now: () => Date.now() });
  const found = await keep.journal(job);
  keep.close();
  return found;
}"""
SET_WHO = """async who => {
  const { openKeep } = await import('/phone/keep/keep.js');
  const keep = await openKeep({ scope: 'demo /', now: () => Date.now() });
  await keep.setSetting('who', who);
  keep.close();
}"""
# What another phone did meanwhile, without having seen this one. It is written to the store, then the page is told.
ELSEWHERE = """async entries => {
  const { openKeep } = await import('/phone/keep/keep.js');
  const keep = await openKeep({ scope: 'demo /', now: () => Date.now() });
  const done = await keep.union(entries);
  keep.close();
  return done;
}"""


@pytest.fixture(scope="module")
def shop() -> Iterator[Server]:
    """One address for all tests of a module, so that the browser reads the phone's code once."""
    with Server() as server:
        server.fault("/phone/*", headers(Cache_Control="max-age=3600"))
        yield server


@pytest.fixture(scope="module")
def phone(chromium: Any) -> Iterator[BrowserContext]:
    context = chromium.new_context(viewport=PHONE, has_touch=True)
    yield context
    context.close()


# The offline copy stays from test to test. What says that something was ticked here is removed.
FORGET_TICKED = """async () => {
  const names = globalThis.caches ? await caches.keys() : [];
  await Promise.all(names.filter((name) => name.endsWith(' sheets')).map((name) => caches.delete(name)));
}"""


@pytest.fixture
def bay(shop: Server, phone: BrowserContext) -> Iterator[Bay]:
    """A phone that has stored nothing of this site yet."""
    bay = Bay(shop, phone)
    yield bay
    for page in phone.pages[1:]:
        page.close()
    origin = shop.url("").rstrip("/")
    if bay.page.url.startswith(origin):
        bay.page.evaluate(FORGET_TICKED)
    bay.page.goto("about:blank")
    session = phone.new_cdp_session(bay.page)
    wanted = {"origin": origin, "storageTypes": "indexeddb,local_storage,file_systems"}
    session.send("Storage.clearDataForOrigin", wanted)
    bay.page.close()
    assert not bay.errors, bay.errors


def other_phone(entry: dict[str, Any], **changes: Any) -> dict[str, Any]:
    """Return an entry like this one, from another phone that had not seen it."""
    number = len(str(changes))
    return {
        **entry,
        "id": f"{number:024x}",
        "device": "d" * 24,
        "writer": "w" * 24,
        "prev": "",
        "who": "LM",
        **changes,
    }
