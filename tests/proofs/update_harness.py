"""Update a phone again and again with one thing going wrong, cut the network, and hash what the phone still has.

    python -m tests.proofs.update_harness --updates 200

A trial: version n of a small site is on the phone. Version n+1 is put on the server, and one request of the update is
spoiled. Then the network is gone, in some trials while the update is still arriving, and the page is closed, the
browser killed, the new version tapped, or nothing. Every file that a page then gets must be that of version n, or every
file that of n+1. On some phones a person chose what is saved, and exactly that must be there. Then the server is well
again, the phone visits once, and must have the whole n+1. The control is the worker that people copy from tutorials
(one cache, no hashes). It must be seen to end mixed, or the harness finds nothing.
"""

from __future__ import annotations

import argparse
import contextlib
import hashlib
import json
import os
import platform
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from urllib.parse import quote

from playwright.sync_api import Browser, BrowserContext, Page, Playwright, sync_playwright
from playwright.sync_api import Error as PlaywrightError

from generator.site.bundle import worth_keeping
from tests.browser import server as faults
from tests.browser.engines import Chromium, EngineFailure, chromium_version, wait_for
from tests.browser.server import Answer, Fault, Planted, Server
from tests.browser.toy_site import files_of, with_worker

Site = dict[str, bytes]

CONTROL = """
const FILES = %s;
self.addEventListener('install', event => {
  self.skipWaiting();
  event.waitUntil(caches.open('site').then(cache => cache.addAll(FILES)));
});
self.addEventListener('activate', event => event.waitUntil(self.clients.claim()));
self.addEventListener('fetch', event => event.respondWith(
  caches.match(event.request).then(found => found ?? fetch(event.request))));
// %s
"""
CONTROL_APP = b"navigator.serviceWorker.register('/sw.js', { updateViaCache: 'none' });"

READY = """() => document.documentElement.dataset.offline === 'ready' && navigator.serviceWorker.controller !== null"""
CONTROL_READY = "() => navigator.serviceWorker.controller?.state === 'activated'"

# What came of asking for an update, as a browser does by itself now and then. It does not wait for a hanging server.
ASK = """navigator.serviceWorker.getRegistration().then(found => Promise.race([
  found.update().then(() => 'asked', () => 'refused'),
  new Promise(resolve => setTimeout(resolve, %d, 'no answer')),
]))"""
IMPATIENT, PATIENT = 1500, 20000
INSTALLING = "navigator.serviceWorker.getRegistration().then(found => Boolean(found?.installing))"
HASHES = """addresses => Promise.all(addresses.map(async address => {
  try {
    const answer = await fetch(address, { cache: 'no-store' }); // what the browser itself still had is no copy
    if (!answer.ok) return null;
    const hash = new Uint8Array(await crypto.subtle.digest('SHA-256', await answer.arrayBuffer()));
    return Array.from(hash, byte => byte.toString(16).padStart(2, '0')).join('');
  } catch {
    return null;
  }
}))"""


# --- what may go wrong ----------------------------------------------------------------------------------------------

Spoil = Callable[[random.Random, bytes], Fault]
"""Makes the fault; the bytes are what the version before had at the spoiled address."""


def _wrong_bytes(chance: random.Random, old: bytes) -> Fault:
    """Turn one bit anywhere, or send another file.

    Not another script in place of the worker: browsers let in whatever runs, and then ask nothing of the old one. Such
    a phone opens nothing offline until its next good visit; test_worker.py tests that.
    """
    other = b"version = 'somebody else' by another host"
    at, bit = chance.random(), 1 << chance.randrange(8)

    def turned(answer: Answer) -> Answer:
        body = bytearray(answer.body or b"\0")
        body[int(at * len(body))] ^= bit
        return Answer(answer.status, bytes(body), answer.headers)

    def another(answer: Answer) -> Answer:
        return Answer(answer.status, other, answer.headers)

    return turned if chance.random() < 0.7 else another


FAULTS: dict[str, Spoil] = {
    "cut": lambda chance, old: faults.cut(after=chance.choice([0, 5, 40])),
    "slow": lambda chance, old: faults.delay(chance.choice([0.2, 0.6, 60])),
    "404": lambda chance, old: faults.status(404),
    "500": lambda chance, old: faults.status(500),
    "wrong bytes": _wrong_bytes,
    "portal page": lambda chance, old: faults.portal(),
    "aged cache": lambda chance, old: faults.aged(old),
    "redirect": lambda chance, old: faults.redirect(chance.choice(["/404.html", "/x/", "http://localhost:9/"])),
    "no answer": lambda chance, old: faults.no_answer(),
}
OF_WHOLE_NETWORKS = {"cut", "slow", "500", "portal page", "redirect", "no answer"}
"""Faults of the whole network: they hit every request from some moment on."""
ENDS = ["nothing", "tap", "tap", "shut", "shut", "kill"]
"""What happens to the page once the network is gone."""


CONTROLLED = ["wrong bytes", "portal page", "aged cache"]


@dataclass(frozen=True)
class Plan:
    """One trial, drawn before it begins."""

    number: int
    fault: str
    where: str
    """A path of the site, or "from 4": every request from the fourth of the update on."""
    end: str
    cut_after: float | None
    """Seconds from the fault until the network ends; None: the network ends once the update has finished."""
    heal_by_tap: bool
    pinned: tuple[str, ...] | None = None
    """The packs that a person chose for this phone; None: all."""


@dataclass(frozen=True)
class Trial:
    plan: Plan
    struck: bool
    offline: str
    """`old`, `new` or `mixed`, as two pages found it with no network."""
    healed: bool
    detail: str = ""
    """The files that were neither, for whoever looks for the cause."""


@dataclass
class Result:
    title: str
    trials: list[Trial] = field(default_factory=list)

    def of(self, fault: str) -> list[Trial]:
        return [trial for trial in self.trials if trial.plan.fault == fault]

    @property
    def broken(self) -> list[Trial]:
        return [trial for trial in self.trials if trial.offline == "mixed" or not trial.healed]


def plans(count: int, chance: random.Random) -> Iterator[Plan]:
    """Yield all faults in turn. The files that others depend on are broken more often."""
    names = list(FAULTS)
    for number in range(count):
        fault = names[number % len(names)]
        pinned = ("belt",) if chance.random() < 0.25 else None
        paths = ["sw.js", *hashes(with_worker(files_of("any")), pinned)]
        where = chance.choice(["sw.js", "packs.json"] if chance.random() < 0.2 else paths)
        if fault in OF_WHOLE_NETWORKS and chance.random() < 0.3:
            where = f"from {chance.randint(1, len(paths) // 2)}"
        cut = chance.uniform(0, 0.3) if chance.random() < 0.3 else None
        yield Plan(number, fault, where, chance.choice(ENDS), cut, chance.random() < 0.5, pinned)


# --- the phone ------------------------------------------------------------------------------------------------------


class Phone:
    """A Chromium with a profile that survives its end. One page of the site is open at a time."""

    def __init__(self, playwright: Playwright, profile: Path) -> None:
        self._playwright, self._profile = playwright, profile
        self._chromium: Chromium | None = None
        self._browser: Browser | None = None
        self._page: Page | None = None

    def __enter__(self) -> Phone:
        return self

    def __exit__(self, *_: object) -> None:
        self.kill()

    def forget(self, origin: str) -> None:
        """Forget a site: a trial may get the port of an earlier one, whose site the phone still has."""
        session = self.page.context.new_cdp_session(self.page)
        session.send("Storage.clearDataForOrigin", {"origin": origin, "storageTypes": "all"})
        session.detach()

    @property
    def page(self) -> Page:
        if not self._page:
            self._page = self._window().new_page()
        return self._page

    def shut(self) -> None:
        if self._page:
            self._page.close()
        self._page = None

    def kill(self) -> None:
        if self._chromium:
            self._chromium.kill()
        self._chromium = self._browser = self._page = None

    def _window(self) -> BrowserContext:
        if not self._browser:
            self._chromium = Chromium(self._profile)
            self._browser = self._playwright.chromium.connect_over_cdp(self._chromium.endpoint)
        return self._browser.contexts[0]


def address(path: str) -> str:
    """Return the address of a path. A page is asked for at its folder's address."""
    return "/" + quote(path.removesuffix("index.html"))


def hashes(files: Mapping[str, bytes], pinned: tuple[str, ...] | None = None) -> dict[str, str]:
    """Return the hash of what is saved, by path. Of the packs only those named in `pinned`, if any."""
    packs = json.loads(files["packs.json"])["packs"] if pinned else {}
    left = {path for name, pack in packs.items() if name not in (pinned or ()) for path in pack["files"]}
    kept = [path for path in files if worth_keeping(path) and path not in left]
    return {path: hashlib.sha256(files[path]).hexdigest() for path in kept}


@dataclass(frozen=True)
class Versions:
    """The two sites of one trial, and how a page can tell that it has one of them whole."""

    old: Site
    new: Site
    pinned: tuple[str, ...] | None = None

    def wanted(self) -> dict[str, dict[str, str]]:
        """Return the hashes of what a phone must have, by version. What was not chosen for it must not be there."""
        return {name: hashes(files, self.pinned) for name, files in (("old", self.old), ("new", self.new))}

    def judge(self, page: Page, server: Server, path: str = "") -> tuple[str, str]:
        """Open a page and hash every file as that page gets it: `old`, `new` or `mixed`, and what does not fit."""
        answer = page.goto(server.url("/" + path), wait_until="domcontentloaded")
        shown = hashlib.sha256(answer.body()).hexdigest() if answer else None
        wanted = self.wanted()
        paths = sorted({*hashes(self.old), *hashes(self.new)})
        found = dict(zip(paths, page.evaluate(HASHES, [address(path) for path in paths]), strict=True))
        found["(the page itself)"] = shown
        for name, right in wanted.items():
            if found == {**dict.fromkeys(paths), **right, "(the page itself)": right[f"{path}index.html"]}:
                return name, ""
        return "mixed", ", ".join(f"{path} {self._whose(path, sha)}" for path, sha in found.items())

    def _whose(self, path: str, sha: str | None) -> str:
        if sha is None:
            return "gone"
        return next((name for name, right in self.wanted().items() if sha in right.values()), "neither")


def ours(number: int, pinned: tuple[str, ...] | None = None) -> Versions:
    old, new = (with_worker(_with_own_file(f"{number}.{half}")) for half in ("old", "new"))
    return Versions(old, new, pinned)


def control(number: int) -> Versions:
    return Versions(*(_with_control(_with_own_file(f"{number}.{half}")) for half in ("old", "new")))


def _with_own_file(version: str) -> Site:
    """Give a version a file that the other one lacks, so that leftovers and early arrivals are seen too."""
    return {**files_of(version), f"only-{version}.txt": version.encode()}


def _with_control(files: Site) -> Site:
    files = {**files, "app.js": CONTROL_APP + b" // " + files["w/belt/sheet.json"]}
    listed = [address(path) for path in sorted(files) if worth_keeping(path)]
    return {**files, "sw.js": (CONTROL % (listed, files["app.js"].decode())).encode()}


# --- a trial --------------------------------------------------------------------------------------------------------


def attempted(phone: Phone, plan: Plan, versions: Versions, ready: str = READY) -> Trial:
    """Report a trial that does not reach its end as failed, and use a new browser for the next one."""
    try:
        return attempt(phone, plan, versions, ready)
    except (EngineFailure, PlaywrightError) as error:
        phone.kill()
        return Trial(plan, False, "mixed", False, f"did not get to its end: {str(error).splitlines()[0]}")


def attempt(phone: Phone, plan: Plan, versions: Versions, ready: str = READY) -> Trial:
    with Server({"/": versions.old}) as server:
        phone.forget(server.url(""))
        _install(phone, server, plan, ready)
        planted = _plant(server, plan, versions)
        server.put("/", versions.new)
        _begin(phone.page, plan)
        with contextlib.suppress(EngineFailure):  # a file that is the same in both versions is not requested again
            wait_for(lambda: planted.hits, "the fault", seconds=4)
        if plan.cut_after is None:
            _come_to_rest(phone.page, IMPATIENT)
        else:
            phone.page.wait_for_timeout(plan.cut_after * 1000)
        server.stop()
        offline, detail = _end(phone, server, plan, versions)
        struck = planted.hits > 0
        server.heal()
        server.start()
        healed, more = _heal(phone, server, plan, versions, ready)
        phone.shut()
    return Trial(plan, struck, offline, healed, detail or more)


def _install(phone: Phone, server: Server, plan: Plan, ready: str) -> None:
    if plan.fault == "aged cache":
        server.fault("*", faults.headers(Cache_Control="max-age=86400"))
    phone.page.goto(server.url("/"))
    phone.page.wait_for_function(ready)
    if plan.pinned:
        phone.page.evaluate("names => choose(names)", plan.pinned)
        phone.page.wait_for_function(ready)
    server.heal()


def _plant(server: Server, plan: Plan, versions: Versions) -> Planted:
    if plan.where.startswith("from "):
        return server.fault("*", FAULTS[plan.fault](random.Random(plan.number), b""), from_nth=int(plan.where[5:]))
    old = versions.old.get(plan.where, b"an older page")
    path = f"/{plan.where.removesuffix('index.html')}"
    return server.fault(path, FAULTS[plan.fault](random.Random(plan.number), old))


def _begin(page: Page, plan: Plan) -> None:
    """Begin the update by a visit, which makes the browser look for one, or from a page that stayed open and asks."""
    if plan.number % 2:
        page.reload(wait_until="commit")
    page.evaluate(f"void {ASK % IMPATIENT}")


def _come_to_rest(page: Page, patience: int) -> None:
    """Wait until nothing more arrives, or nothing has happened for `patience` ms."""
    page.evaluate(ASK % patience)
    until = time.monotonic() + patience / 1000
    while page.evaluate(INSTALLING) and time.monotonic() < until:
        page.wait_for_timeout(10)


def _end(phone: Phone, server: Server, plan: Plan, versions: Versions) -> tuple[str, str]:
    """With no network: two pages, each must find one version whole."""
    if plan.end == "tap":
        phone.page.evaluate("globalThis.takeUpdate?.().then(() => true)")
    elif plan.end == "shut":
        phone.shut()
    elif plan.end == "kill":
        phone.kill()
    try:
        first, second = (versions.judge(phone.page, server, path) for path in ("", "x/"))
    except PlaywrightError as error:  # this looks for a site that does not open at all
        return "mixed", f"does not open: {str(error).splitlines()[0]}"
    return next((found for found in (first, second) if found[0] == "mixed"), second)


def _heal(phone: Phone, server: Server, plan: Plan, versions: Versions, ready: str) -> tuple[bool, str]:
    """One good visit, then a tap or a closed page. Then, with no network again, everything must be new."""
    page = phone.page
    page.goto(server.url("/"))
    page.wait_for_function(f"() => ({ready})() || globalThis.states?.at(-1)?.state === 'update-waiting'")
    _come_to_rest(page, PATIENT)
    if plan.heal_by_tap and ready is READY:
        page.evaluate("takeUpdate()")
    server.stop()
    found, detail = "old", ""

    def is_new() -> bool:
        nonlocal found, detail
        if not plan.heal_by_tap:
            phone.shut()  # the browser lets the new version in a moment after its last page is closed
            time.sleep(0.05)
        found, detail = versions.judge(phone.page, server)
        return found == "new"

    try:
        wait_for(is_new, "the new version", seconds=10, step=0.1)
    except (EngineFailure, PlaywrightError) as error:
        return False, f"after the good visit: {found} {detail} {str(error).splitlines()[0]}"
    return True, ""


def run(playwright: Playwright, updates: int, controls: int, chance: random.Random) -> Iterator[Result]:
    drawn = plans(updates, chance)
    with tempfile.TemporaryDirectory(prefix="handturn-update-") as folder, Phone(playwright, Path(folder)) as phone:
        trials = [attempted(phone, plan, ours(plan.number, plan.pinned)) for plan in drawn]
        yield Result("the phone's own worker", trials)
        naive = [Plan(number, CONTROLLED[number % 3], "style.css", "shut", None, False) for number in range(controls)]
        trials = [attempted(phone, plan, control(plan.number), CONTROL_READY) for plan in naive]
        yield Result("control: one cache, no hashes", trials)


# --- the table ------------------------------------------------------------------------------------------------------


def table(results: list[Result], seconds: float, seed: int) -> Iterator[str]:
    yield f"{date.today()}  {platform.system()} {platform.release()}, {os.cpu_count()} cores; {seconds:.0f} s in all"
    yield f"{chromium_version()}; seed {seed}"
    yield "Updates with one thing going wrong; with no network afterwards every file is compared by SHA-256"
    heads = ["trials", "struck", "wholly old", "wholly new", "mixed", "healed"]
    for result in results:
        yield ""
        yield f"{result.title:32}" + "".join(f"{head:>12}" for head in heads)
        rows = [(fault, result.of(fault)) for fault in FAULTS]
        for fault, trials in [*((fault, trials) for fault, trials in rows if trials), ("all", result.trials)]:
            ends = [sum(trial.offline == end for trial in trials) for end in ("old", "new", "mixed")]
            numbers = [len(trials), sum(trial.struck for trial in trials), *ends, sum(trial.healed for trial in trials)]
            yield f"{fault:32}" + "".join(f"{number:>12}" for number in numbers)
    yield ""


def failures(results: list[Result]) -> Iterator[str]:
    """Yield what failed. A control that comes through unharmed is a failure as well."""
    tried, naive = results
    for trial in tried.broken:
        yield f"{trial.plan}: {trial.offline}, {'healed' if trial.healed else 'not healed'}; {trial.detail}"
    for fault in FAULTS:
        trials = tried.of(fault)
        if 2 * sum(trial.struck for trial in trials) < len(trials):
            yield f"{fault}: struck in fewer than half of its trials; that shows little."
    if naive.trials and not naive.broken:
        yield f"{naive.title}: came through whole; the harness does not bite."


def main() -> int:
    parser = argparse.ArgumentParser(
        description="Spoil updates of a phone and look whether it keeps one version whole."
    )
    parser.add_argument("--updates", type=int, default=200)
    parser.add_argument("--controls", type=int, default=6)
    parser.add_argument("--seed", type=int, default=int(time.time()))
    options = parser.parse_args()
    begun = time.monotonic()
    with sync_playwright() as playwright:
        results = [*run(playwright, options.updates, options.controls, random.Random(options.seed))]
    print("\n".join(table(results, time.monotonic() - begun, options.seed)))
    failed = [*failures(results)]
    for line in failed:
        print(f"FAILED: {line}")
    return bool(failed)


if __name__ == "__main__":
    sys.exit(main())
