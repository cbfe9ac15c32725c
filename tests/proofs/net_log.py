"""What a browser asks of the network over a whole driven job, by the browser's own log, and what reaches the server.

    python -m tests.proofs.net_log

The log names more than a page can see: lookups ahead of need, connections without a request, sockets. What a page asks
for is told apart from what the browser asks by itself. The latter is switched off as far as flags allow. Two of its
services that no flag stops are pointed at a closed port of this machine.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Page, Playwright, sync_playwright

from tests.browser.drive import Drive
from tests.browser.engines import Chromium, chromium_version
from tests.browser.screens.test_whole_job import PHONE, PREFIX, good_outcomes
from tests.browser.server import Request, Server
from tests.browser.touch import tap
from tests.sites.test_build import mkdocs, project
from tests.support import demo, good_day

NOWHERE = "127.0.0.1:9"
"""Nothing listens there: where the browser's own requests go that no flag switches off."""
QUIET = [
    "--disable-extensions",
    "--disable-default-apps",
    "--disable-component-extensions-with-background-pages",
    "--disable-domain-reliability",
    "--disable-features=NetworkTimeServiceQuerying,OptimizationHints,MediaRouter,AutofillServerCommunication",
    f"--gaia-url=http://{NOWHERE}",
    f"--component-updater=url-source=http://{NOWHERE}/",
]

# --- the log --------------------------------------------------------------------------------------------------------

HOST_IN = {
    "URL_REQUEST_START_JOB": ("request", "url"),
    "HOST_RESOLVER_MANAGER_REQUEST": ("lookup", "host"),
    "HOST_RESOLVER_MANAGER_JOB": ("lookup", "host"),
    "DNS_TRANSACTION": ("lookup", "hostname"),
    "SOCKET_POOL_CONNECT_JOB_CREATED": ("connection", "group_id"),
    "TCP_CONNECT_ATTEMPT": ("socket", "address"),
    "UDP_CONNECT": ("socket", "address"),
}
"""Kind of event -> (what it is, where it says the host)."""
WAYS = ("request", "lookup", "connection", "socket")


@dataclass
class Named:
    """A host that the log names, with its port if the log says one."""

    host: str
    own: bool = True
    """The browser named it on its own account, no page did."""
    ways: Counter[str] = field(default_factory=Counter)
    """How often it was named in a request, a lookup, a connection, a socket."""

    @property
    def name(self) -> str:
        return self.host.rpartition(":")[0] or self.host


@dataclass(frozen=True)
class Event:
    kind: str
    source: int
    params: Mapping[str, Any]


def events_of(text: str) -> list[Event]:
    told = json.loads(text)
    kinds = {number: name for name, number in told["constants"]["logEventTypes"].items()}
    return [Event(kinds[one["type"]], one["source"]["id"], one.get("params") or {}) for one in told["events"]]


def hosts_named(events: list[Event]) -> dict[str, Named]:
    """Return {host: Named} of a log: not the name server that is asked, but everything it is asked for."""
    uninteresting = _silent_sockets(events) | _sockets_of_connections(events)
    hosts: dict[str, Named] = {}
    for event in events:
        way, key = HOST_IN.get(event.kind, ("", ""))
        if key not in event.params or (way == "socket" and event.source in uninteresting):
            continue
        host = host_of(event.params[key])
        if not host:
            continue
        named = hosts.setdefault(host, Named(host))
        named.ways[way] += 1
        named.own &= way != "request" or _is_own(event)
    return _blamed(hosts)


def host_of(told: str) -> str:
    """Return the host of an address, with its port if there is one; "" for what never leaves the phone, such as
    `blob:`.

    The log has `http://belt.example:81/a <of whom>`, `belt.example` and, of a lookup, `_81._https.belt.example`.
    """
    address = told.split()[0]
    if urlsplit(address).scheme in ("blob", "data"):
        return ""
    host = urlsplit(address).netloc if "://" in address else address
    return host.rpartition("._https.")[2]


def _is_own(event: Event) -> bool:
    """True for a request with no page behind it. An address that is typed in opens a frame."""
    return event.params.get("initiator") == "not an origin" and event.params.get("request_type") == "other"


def _silent_sockets(events: list[Event]) -> set[int]:
    """Return sockets that ask a name server, and UDP sockets that are opened to learn the route and send nothing."""
    servers = {
        server for one in events if one.kind == "DNS_CONFIG_CHANGED" for server in one.params.get("nameservers", [])
    }
    senders = {one.source for one in events if one.kind == "UDP_BYTES_SENT"}
    udp = [one for one in events if one.kind == "UDP_CONNECT"]
    return {one.source for one in udp if one.source not in senders or one.params.get("address") in servers}


def _sockets_of_connections(events: list[Event]) -> set[int]:
    """Return sockets of a connection that the log names anyway, so that their address says nothing new."""
    named = {one.source for one in events if one.kind == "SOCKET_POOL_CONNECT_JOB_CREATED"}
    alive = (one for one in events if one.kind == "SOCKET_ALIVE")
    return {one.source for one in alive if one.params.get("source_dependency", {}).get("id") in named}


def _blamed(hosts: dict[str, Named]) -> dict[str, Named]:
    """Blame a page for each host without a request, unless the browser alone has requested that name."""
    requested = [named for named in hosts.values() if named.ways["request"]]
    by_page = {named.name for named in requested if not named.own}
    by_browser = {named.name for named in requested if named.own}
    for named in hosts.values():
        if not named.ways["request"]:
            named.own = named.name in by_browser - by_page
    return hosts


# --- a browser that keeps a log -------------------------------------------------------------------------------------


@contextlib.contextmanager
def logged_page(playwright: Playwright, folder: Path) -> Iterator[Page]:
    """A page of a Chromium of its own. Afterwards the log is complete in `folder`/net.json."""
    profile = folder / "profile"
    profile.mkdir(parents=True, exist_ok=True)
    with Chromium(profile, "about:blank", *QUIET, f"--log-net-log={folder / 'net.json'}") as chromium:
        browser = playwright.chromium.connect_over_cdp(chromium.endpoint)
        page = browser.contexts[0].pages[0]
        page.set_viewport_size(PHONE)
        yield page
        browser.new_browser_cdp_session().send("Browser.close")
        chromium.process.wait(30)


def named_in(folder: Path) -> dict[str, Named]:
    return hosts_named(events_of((folder / "net.json").read_text(encoding="utf-8")))


# --- the job that is driven -----------------------------------------------------------------------------------------


def drive_job(page: Page, server: Server, sheet: dict[str, Any], stop_at: str = "") -> str:
    """Drive a job from the first visit until it is finished, exported and read in again. The second half is offline.

    Returns the text of the record.
    """
    drive = Drive(page, server.url(PREFIX))
    outcomes, typed = good_outcomes(sheet), good_day.as_typed(sheet)
    half = sheet["steps"][len(sheet["steps"]) // 2 if not stop_at else 2]["path"]
    drive.open("")
    drive.offline_ready()
    drive.open("calculators/")
    job = drive.start(sheet["worksheet"], job="N-1", vehicle="Blue hatchback", odometer="118350")
    drive.run(outcomes, half, **typed)
    page.evaluate("navigator.serviceWorker.getRegistration().then((site) => site.update()).then(() => true)")
    server.stop()
    drive.run(outcomes, stop_at, **typed)
    file = save(drive)
    page.goto(server.url(f"{PREFIX}w/{sheet['worksheet']}/torque/"))
    server.start()
    read_in(drive, file, job)
    page.evaluate("navigator.serviceWorker.getRegistration().then((site) => site.update()).then(() => true)")
    drive.open(f"w/{sheet['worksheet']}/#{job}")
    page.locator(f'[data-job="{job}"]').wait_for()
    assert stop_at or drive.is_complete
    return file.read_text(encoding="utf-8")


def save(drive: Drive) -> Path:
    control = drive.page.locator("[data-action=export]").first
    drive.reveal(control)
    with drive.page.expect_download() as saved:
        tap(control)
    return Path(saved.value.path())


def read_in(drive: Drive, file: Path, job: str) -> None:
    drive.open("jobs/")
    drive.page.locator("[data-field=file]").first.set_input_files(file)
    tap(drive.page.locator("[data-action=import]").first)
    drive.page.locator(f'a[href*="{job}"]').first.wait_for()


UPDATE = """async () => {
  const site = await navigator.serviceWorker.getRegistration();
  await site.update();
  const end = Date.now() + 60000;
  while (!site.waiting && Date.now() < end) await new Promise((resolve) => setTimeout(resolve, 50));
  return Boolean(site.waiting);
}"""


def fetch_new_version(page: Page, server: Server, shop: Path) -> None:
    """Add one sentence to the guide, so that the phone fetches the new site beside the old one."""
    with (shop / "docs/guide/index.md").open("a", encoding="utf-8") as guide:
        guide.write("\nThe shop is closed on Sunday.\n")
    build(shop)
    page.goto(server.url(PREFIX))
    assert page.evaluate(UPDATE), "the new version did not arrive"


def build(shop: Path) -> None:
    made = mkdocs(shop)
    assert made.returncode == 0, made.stderr


def look_at_every_page(page: Page, server: Server, files: Iterable[str]) -> int:
    """Look at every page of the site once, and at the guide's search. Returns how many pages."""
    paths = sorted(path.removesuffix("index.html") for path in files if path.endswith("index.html"))
    for path in paths:
        page.goto(server.url(PREFIX + path), wait_until="load")
    page.set_viewport_size({"width": 1200, "height": 800})  # on a narrow screen the search is behind a control
    page.goto(server.url(f"{PREFIX}guide/"))
    search = page.locator("input[name=query]")
    if search.count():
        search.first.fill("belt")
        page.locator(".md-search-result__item").first.wait_for(state="attached")
    return len(paths)


# --- what reached the server ----------------------------------------------------------------------------------------


def not_plain(requests: Iterable[Request], files: Mapping[str, bytes] | Path) -> list[str]:
    """Return requests that say more than which file of the site is wanted: method and address of each."""
    return [f"{one.method} {one.path}?{one.query}" for one in requests if not _is_plain(one, files)]


def _is_plain(request: Request, files: Mapping[str, bytes] | Path) -> bool:
    headers = {name.lower() for name in request.headers}
    says_more = request.query or headers & {"cookie", "content-length", "transfer-encoding", "authorization"}
    return request.method == "GET" and not says_more and _is_listed(request.path, files)


def _is_listed(path: str, files: Mapping[str, bytes] | Path) -> bool:
    below = path.removeprefix(PREFIX)
    names = (below, f"{below}index.html" if below.endswith("/") or not below else f"{below}/index.html")
    if isinstance(files, Path):
        return path.startswith(PREFIX) and any((files / name).is_file() for name in names)
    return path.startswith(PREFIX) and any(name in files for name in names)


# --- the table ------------------------------------------------------------------------------------------------------


def table(hosts: Mapping[str, Named]) -> Iterator[str]:
    yield f"{'host':40}{'named by':>14}" + "".join(f"{way + 's':>14}" for way in WAYS)
    for named in sorted(hosts.values(), key=lambda named: (named.own, named.host)):
        by = "the browser" if named.own else "a page"
        yield f"{named.host:40}{by:>14}" + "".join(f"{named.ways[way]:>14}" for way in WAYS)


@dataclass(frozen=True)
class Driven:
    """What one whole job left behind: in the browser's log and at the server."""

    site: str
    hosts: dict[str, Named]
    requests: int
    odd: list[str]
    """Requests that said more than which file is wanted."""
    pages: int

    def failures(self) -> Iterator[str]:
        others = [named.host for named in self.hosts.values() if not named.own and named.host != self.site]
        if others:
            yield f"a page named {', '.join(others)}."
        if self.odd:
            yield f"{len(self.odd)} requests said more than which file is wanted: {self.odd[:5]}"


def drive_all(folder: Path, sheet: dict[str, Any]) -> Driven:
    """Drive the demo's whole site: a job from start to end, a new version, every page."""
    (folder / "shop").mkdir()
    shop = project(folder / "shop")
    build(shop)
    site = shop / "site"
    with sync_playwright() as playwright, Server({PREFIX: site}, csp="") as server:
        with logged_page(playwright, folder) as page:
            drive_job(page, server, sheet)
            fetch_new_version(page, server, shop)
            pages = look_at_every_page(page, server, [p.relative_to(site).as_posix() for p in site.rglob("*")])
        asked = server.requests
    return Driven(urlsplit(server.url()).netloc, named_in(folder), len(asked), not_plain(asked, site), pages)


def main() -> int:
    argparse.ArgumentParser(description="Drive a whole job and tell every host the browser's log names.").parse_args()
    sheet = demo.sheet("inline-four")
    begun = time.monotonic()
    with tempfile.TemporaryDirectory(prefix="handturn-net-") as folder:
        driven = drive_all(Path(folder), sheet)
    print(f"{date.today()}  {chromium_version()}; {time.monotonic() - begun:.0f} s")
    print(f"A job of {len(sheet['steps'])} steps from start to end, half of it with no network; export and import;")
    print(f"a new version of the site; {driven.pages} pages looked at, the guide searched")
    print()
    print("\n".join(table(driven.hosts)))
    print()
    print(
        f"{driven.requests} requests reached the server, {len(driven.odd)} of them more than GET of a file of the site"
    )
    failed = list(driven.failures())
    for line in failed:
        print(f"FAILED: {line}")
    return bool(failed)


if __name__ == "__main__":
    sys.exit(main())
