"""Every way a phone's storage is known to fail, on the real pages: what is shown as saved must be there afterwards.

    python -m tests.proofs.storage_harness --trials 3 --rows full quota

A trial: start Chromium on a profile of its own, read what the page promises, start a job, tick, bring about the
condition, tick on, read what the screen says, kill or quit, start again, read the job back. In every row that a page
can detect, nothing that was shown as saved may be lost, and the screen must say in words where ticks are not saved.
What a page cannot detect (a private window, a browser that clears when it closes) loses the job. There the promise must
have said so before the first tick, and the job must have been offered as a file.

If files are damaged, that is done after a clean quit, because local storage reaches the disk up to a minute late.
"""

from __future__ import annotations

import argparse
import contextlib
import json
import os
import platform
import random
import re
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Playwright, sync_playwright
from playwright.sync_api import Error as PlaywrightError

from tests.browser.drive import Drive
from tests.browser.engines import Chromium, EngineFailure, chromium_version, living, wait_for
from tests.browser.server import Server, headers
from tests.proofs.disks.loop_disk import LoopDisk, loop_disk, why_not
from tests.support import demo

PATIENCE = 8000
"""Milliseconds for one thing on the page; the phone itself waits 2 s for its store."""
STOP = "agree/whole-set"
BEFORE_THE_STOP = 9
"""Steps of the worksheet that come before this stop."""

SAID = """() => [...document.querySelectorAll('p[data-promise], [role=alert], [role=status], .notice-card')]
  .filter(one => one.checkVisibility() && !one.closest('.result'))
  .map(one => one.innerText.replace(/\\s+/g, ' ').trim()).filter(Boolean)"""
PROMISED = """() => [...document.querySelectorAll('[data-promise]')]
  .filter(one => one.checkVisibility()).map(one => one.dataset.promise)"""
PAINTED = """() => [...document.querySelectorAll('[data-job] [data-kept]')].map(one => one.dataset.kept)"""
NOT_KEPT = """() => [...document.querySelectorAll('[data-job] [data-step][data-state=done]')]
  .filter(step => !step.querySelector('[data-kept]')).map(step => step.dataset.step)"""
HELD = """async job => {
  const { shop, root } = document.documentElement.dataset;
  const { openKeep } = await import('/phone/keep/keep.js');
  const scope = `${shop} ${new URL(root || './', location.href).pathname}`;
  const keep = await openKeep({ scope, now: () => Date.now() });
  const held = await keep.journal(job);
  keep.close();
  return held.map(entry => entry.id);
}"""
FILL_LOCAL = """() => {
  let size = 1 << 22, text = '';
  while (size >= 1) {
    try { localStorage.setItem('other', text + 'x'.repeat(size)); text += 'x'.repeat(size); } catch { size >>= 1; }
  }
}"""
# Every storage interface exists and throws at the first touch. No browser does that; it is the worst one could do.
THROWING = """
  const never = () => { throw new DOMException('not here', 'SecurityError'); };
  for (const name of ['indexedDB', 'localStorage', 'sessionStorage', 'caches', 'BroadcastChannel', 'cookieStore']) {
    Object.defineProperty(globalThis, name, { get: never, configurable: true });
  }
  for (const name of ['storage', 'serviceWorker', 'locks']) {
    Object.defineProperty(Navigator.prototype, name, { get: never, configurable: true });
  }
"""
# The interfaces exist, but their methods throw.
REFUSING = """
  const never = () => { throw new DOMException('not here', 'UnknownError'); };
  for (const name of ['open', 'deleteDatabase', 'databases']) IDBFactory.prototype[name] = never;
  for (const name of ['getItem', 'setItem', 'removeItem', 'key', 'clear']) Storage.prototype[name] = never;
  for (const name of ['persist', 'persisted', 'estimate']) StorageManager.prototype[name] = never;
"""


# --- a phone --------------------------------------------------------------------------------------------------------


@dataclass
class Seen:
    """What a trial showed."""

    promised: list[str] = field(default_factory=list)
    """Keys of what stood in the open above the button, before the job was started."""
    painted: set[str] = field(default_factory=set)
    """Ids of the ticks that were painted as kept at any time."""
    not_kept: set[str] = field(default_factory=set)
    """Steps that were drawn as done and not kept."""
    refused: int = 0
    """Ticks that came to nothing."""
    offered: bool = False
    """Whether the job was offered as a file."""
    stop: str = "not reached"
    """What the first stop did: kept, withheld, closed by a saved file; passed, which is a fault."""
    held: set[str] = field(default_factory=set)
    """Ids of the ticks found after the last start."""
    words: list[str] = field(default_factory=list)
    """What the screen said about saving, in the order it came."""

    fault: str = ""
    """What kept the trial from going on, in the driver's words."""

    @property
    def lost(self) -> int:
        return len(self.painted - self.held)


class Phone:
    """A Chromium on a profile that outlives it, in front of the demo's site, with one job."""

    def __init__(self, playwright: Playwright, server: Server, profile: Path, prefer: dict[str, Any]) -> None:
        self.playwright, self.server, self.profile = playwright, server, profile
        self.seen = Seen()
        self.job = ""
        self.script = ""
        self.private = False
        self.chromium: Chromium | None = None
        (profile / "Default").mkdir(parents=True)
        (profile / "Default/Preferences").write_text(json.dumps({"profile": prefer}))

    def launch(self) -> None:
        self.chromium = Chromium(self.profile)
        self.browser: Browser = self.playwright.chromium.connect_over_cdp(self.chromium.endpoint)
        self.window()

    def window(self) -> None:
        """Open a window of the browser. A private one shares nothing with any other."""
        context = self.browser.new_context() if self.private else self.browser.contexts[0]
        if self.script:
            context.add_init_script(self.script)
        self.page = context.new_page()
        self.browser.new_browser_cdp_session().send("Browser.setDownloadBehavior", {"behavior": "deny"})
        self.page.set_default_timeout(PATIENCE)
        self.drive = Drive(self.page, self.server.url("/"))

    def kill(self) -> None:
        if self.chromium:
            self.chromium.kill()

    def quit(self) -> None:
        """Close the browser as a person does. It still writes whatever it has to write."""
        assert self.chromium
        with contextlib.suppress(PlaywrightError):
            self.browser.new_browser_cdp_session().send("Browser.close")
        with contextlib.suppress(EngineFailure):
            wait_for(lambda: not living(self.chromium.process.pid), "Chromium to close", seconds=15)
        self.kill()

    def begin(self) -> None:
        worksheet = demo.sheet("inline-four")["worksheet"]
        self.drive.open(f"w/{worksheet}/")
        with contextlib.suppress(PlaywrightError):  # no worker here, or none that succeeds
            self.page.wait_for_selector("html[data-offline]", state="attached", timeout=2000)
        self.seen.promised = self.page.evaluate(PROMISED)
        self.listen()
        self.job = self.drive.start(worksheet, job="J-1042", vehicle="Blue van, AB-12", odometer="84210")
        self.address = self.page.url
        self.look()

    def tick(self, times: int) -> None:
        """Tick on as the screen leads, at most up to the stop. Count a tick that has no effect."""
        for _ in range(times):
            path = self.drive.next()
            if len(self.done()) >= BEFORE_THE_STOP:
                return
            try:
                self.drive.close(path)
            except (PlaywrightError, AssertionError):
                self.seen.refused += 1
                times = 0
            self.look()
            if not times:
                return

    def try_the_stop(self) -> None:
        """Answer the stop. If the answer is not saved, the stop waits for the job in a file, so save that too."""
        if self.drive.next() != STOP:
            return
        step = self.drive.look(STOP)
        self.drive.press(step.locator("[data-check=inspect][data-outcome]:not(.fails)").first)
        self.look()
        if self.drive.state(STOP) == "done":
            self.seen.stop = "kept" if self.drive.kept(STOP) else "passed"
            return
        self.seen.stop = "withheld"
        have = self.page.locator("[data-action=confirm][data-part=saved-file]").first
        for control in (have.locator("xpath=..").locator("[data-action=export]"), have):
            self.drive.press(control)
            self.drive.idle()
        if self.drive.state(STOP) == "done":
            self.seen.stop = "closed by a file"

    def done(self) -> list[str]:
        return [path for path, state in self.drive.states().items() if state == "done"]

    def look(self) -> None:
        with contextlib.suppress(PlaywrightError):
            self.drive.idle()
        self.seen.painted |= set(self.page.evaluate(PAINTED))
        self.seen.not_kept |= set(self.page.evaluate(NOT_KEPT))
        self.seen.offered |= self.page.locator("[data-job] [data-action=export]").count() > 0
        self.listen()

    def listen(self) -> None:
        self.seen.words += [said for said in self.page.evaluate(SAID) if said not in self.seen.words]

    def read_back(self) -> Seen:
        """Return the job as it is now, on the screen and in the journal."""
        self.page.goto(self.address)
        self.drive.ready()
        self.listen()
        self.seen.held = set(self.page.evaluate(PAINTED)) | set(self.page.evaluate(HELD, self.job))
        return self.seen


# --- conditions: what is done to a phone between its ticks ------------------------------------------------------------

Live = Callable[[Phone, random.Random], Seen]


def sound(phone: Phone, _: random.Random) -> Seen:
    phone.launch()
    phone.begin()
    phone.tick(BEFORE_THE_STOP)
    phone.try_the_stop()
    phone.kill()
    phone.launch()
    return phone.read_back()


def private(phone: Phone, _: random.Random) -> Seen:
    phone.private = True
    phone.launch()
    phone.begin()
    phone.tick(4)
    phone.page.context.close()
    phone.window()
    return phone.read_back()


def cleared(phone: Phone, _: random.Random) -> Seen:
    phone.launch()
    phone.begin()
    phone.tick(4)
    phone.quit()
    phone.launch()
    return phone.read_back()


def scripted(script: str) -> Live:
    """Remove the page's storage interfaces before its first line runs."""

    def live(phone: Phone, chance: random.Random) -> Seen:
        phone.script = script
        return sound(phone, chance)

    return live


def opaque(phone: Phone, chance: random.Random) -> Seen:
    """Put the page in a sandbox without an origin of its own, like a frame in a strange app."""
    phone.server.fault("*", headers(Content_Security_Policy="sandbox allow-scripts", Access_Control_Allow_Origin="*"))
    return sound(phone, chance)


def quota(phone: Phone, _: random.Random) -> Seen:
    """The browser grants the site 1000 bytes."""
    phone.launch()
    session = phone.page.context.new_cdp_session(phone.page)
    origin = phone.server.url("").rstrip("/")
    session.send("Storage.overrideQuotaForOrigin", {"origin": origin, "quotaSize": 1000})
    phone.begin()
    phone.tick(BEFORE_THE_STOP)
    phone.try_the_stop()
    phone.kill()
    phone.launch()
    return phone.read_back()


def local_full(phone: Phone, chance: random.Random) -> Seen:
    """Another page of the same address has filled local storage to its last character."""
    phone.launch()
    phone.page.goto(phone.server.url("/nothing-here"))
    phone.page.evaluate(FILL_LOCAL)
    phone.begin()
    phone.tick(BEFORE_THE_STOP)
    phone.try_the_stop()
    phone.kill()
    phone.launch()
    return phone.read_back()


def full_then_killed(phone: Phone, disk: LoopDisk, _: random.Random) -> Seen:
    phone.launch()
    phone.begin()
    phone.tick(2)
    disk.sync()
    with disk.full():
        phone.tick(BEFORE_THE_STOP)
        phone.try_the_stop()
        phone.kill()
    phone.launch()
    return phone.read_back()


def full_then_freed(phone: Phone, disk: LoopDisk, chance: random.Random) -> Seen:
    """Free room in the same session and tick on. A store that is written to then loses everything that was in it."""
    phone.launch()
    phone.begin()
    phone.tick(2)
    disk.sync()
    with disk.full():
        phone.tick(3)
    phone.tick(1)
    phone.page.reload()
    phone.drive.ready()
    phone.tick(1)
    phone.quit() if chance.random() < 0.5 else phone.kill()
    phone.launch()
    return phone.read_back()


def full_at_the_start(phone: Phone, disk: LoopDisk, _: random.Random) -> Seen:
    phone.launch()
    phone.drive.open("jobs/")
    disk.sync()
    with disk.full():
        phone.begin()
        phone.tick(BEFORE_THE_STOP)
        phone.try_the_stop()
        phone.kill()
    phone.launch()
    return phone.read_back()


def on_a_disk(live: Callable[[Phone, LoopDisk, random.Random], Seen]) -> Live:
    """Put the profile on a small disk of its own."""

    def on_disk(phone: Phone, chance: random.Random) -> Seen:
        with loop_disk() as disk:
            here = disk.mount / "profile"
            shutil.copytree(phone.profile, here)
            phone.profile = here
            try:
                return live(phone, disk, chance)
            finally:
                phone.kill()

    return on_disk


MAIN, SECOND = "IndexedDB/*/", "Local Storage/leveldb/"


def damaged(folder: str, harm: Callable[[Path, random.Random], None]) -> Live:
    """Damage one store's files while the browser is closed."""

    def live(phone: Phone, chance: random.Random) -> Seen:
        phone.launch()
        phone.begin()
        phone.tick(BEFORE_THE_STOP)
        phone.quit()
        files = sorted(file for file in (phone.profile / "Default").glob(f"{folder}*") if file.is_file())
        assert files, f"no files in {folder}"
        for file in files:
            harm(file, chance)
        phone.launch()
        return phone.read_back()

    return live


def _is_data(file: Path) -> bool:
    return file.suffix in {".log", ".ldb"} and file.stat().st_size > 0


def bytes_mid_file(file: Path, chance: random.Random) -> None:
    if _is_data(file):
        text = bytearray(file.read_bytes())
        middle = len(text) // 2
        text[middle : middle + 64] = chance.randbytes(len(text[middle : middle + 64]))
        file.write_bytes(text)


def cut_to_half(file: Path, _: random.Random) -> None:
    if _is_data(file):
        os.truncate(file, file.stat().st_size // 2)


def all_random(file: Path, chance: random.Random) -> None:
    if _is_data(file):
        file.write_bytes(chance.randbytes(file.stat().st_size))


def manifest_gone(file: Path, _: random.Random) -> None:
    if file.name.startswith(("MANIFEST", "CURRENT")):
        file.unlink()


# --- rows -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Row:
    name: str
    title: str
    live: Live
    promise: tuple[str, ...] = ("kept-twice", "kept-once")
    """What the page may promise before the first tick."""
    keeps: bool = True
    """Whether ticks may be painted as kept under it to the end; else some must be drawn or said as not kept."""
    detected: bool = True
    """Whether a page can see the condition, or the harm it does, at all."""
    says: str = ""
    """What the screen must say somewhere if the harm is certain."""
    prefer: tuple[tuple[str, int], ...] = ()
    disk: bool = False

    @property
    def lacking(self) -> str:
        return why_not() if self.disk else ""


NOTHING = ("nothing", "second-only")
ANY = ("kept-twice", "kept-once", *NOTHING)  # what the page tries first is small, and may fit where the job does not
ROWS = [
    Row("sound", "nothing wrong; killed", sound),
    Row("full", "disk full; killed", on_a_disk(full_then_killed), keeps=False, disk=True),
    Row("freed", "disk full, room again, ticked on", on_a_disk(full_then_freed), keeps=False, disk=True),
    Row("full-start", "disk full before the start", on_a_disk(full_at_the_start), ANY, keeps=False, disk=True),
    Row("quota", "1000 bytes granted", quota, NOTHING, keeps=False),
    Row("local-full", "local storage full", local_full),
    Row("blocked", "site data blocked", sound, NOTHING, keeps=False, prefer=(("cookies", 2),)),
    Row("opaque", "sandbox without an origin", opaque, NOTHING, keeps=False),
    Row("throwing", "every interface throws", scripted(THROWING), NOTHING, keeps=False),
    Row("refusing", "every method throws", scripted(REFUSING), NOTHING, keeps=False),
    Row("main-bytes", "main store: 64 bytes random", damaged(MAIN, bytes_mid_file)),
    Row("main-cut", "main store: cut to half", damaged(MAIN, cut_to_half)),
    Row("main-random", "main store: all random", damaged(MAIN, all_random), says="lost its main copy"),
    Row("main-manifest", "main store: manifest gone", damaged(MAIN, manifest_gone)),
    Row("second-bytes", "second store: 64 bytes random", damaged(SECOND, bytes_mid_file)),
    Row("second-random", "second store: all random", damaged(SECOND, all_random), says="second copy was empty"),
    Row("second-manifest", "second store: manifest gone", damaged(SECOND, manifest_gone)),
    Row("private", "private window (not seen)", private, detected=False),
    Row("cleared", "cleared on closing (not seen)", cleared, detected=False, prefer=(("cookies", 4),)),
]


def trial(row: Row, playwright: Playwright, chance: random.Random) -> Seen:
    prefer = {"default_content_setting_values": dict(row.prefer)}
    with Server({"/": demo.built().files}) as server, tempfile.TemporaryDirectory(prefix="handturn-store-") as folder:
        phone = Phone(playwright, server, Path(folder) / "profile", prefer)
        try:
            row.live(phone, chance)
        except (PlaywrightError, EngineFailure) as error:
            phone.seen.fault = str(error).splitlines()[0]
            with contextlib.suppress(PlaywrightError):
                phone.listen()
        finally:
            phone.kill()
        return phone.seen


def broken(row: Row, seen: Seen) -> Iterator[str]:
    """Yield the promises that were broken in this trial."""
    if seen.fault:
        yield f"it did not go on: {seen.fault}"
    if not set(seen.promised) & set(row.promise):
        yield f"promised {seen.promised[:1] or 'nothing'} before the first tick, not one of {', '.join(row.promise)}"
    if not seen.offered:
        yield "the job was not offered as a file"
    if row.detected and seen.lost:
        yield f"{seen.lost} painted as kept and lost"
    if not row.detected and not seen.lost:
        yield "nothing was lost: the harness does not bite"
    if not row.detected and "unseen" not in seen.promised:
        yield "what cannot be seen was not worded before the first tick"
    if not row.keeps and not (seen.not_kept or seen.refused):
        yield "every tick was painted as kept"
    if not row.keeps and not any("ot saved" in said for said in seen.words):
        yield "not a word that ticks are not kept"
    if row.says and not any(row.says in said for said in seen.words):
        yield f"not a word that it is “{row.says}”"
    if seen.stop in ("passed", "withheld"):
        yield f"the stop was {seen.stop}: an answer that is not kept closes it with the job in a file, and not before"
    if row.keeps and not seen.painted:
        yield "nothing was painted as kept"


# --- the table --------------------------------------------------------------------------------------------------------


def about_keeping(seen: Seen, longest: int = 100) -> list[str]:
    """Return what the screen said beside the promise, shortened."""
    plain = ("A tick shown", "A private", "Ready", "Getting ready", "Not ready", "Not saved for work", "Use another")
    told = [re.sub(r"^\d+ ", "", said) for said in seen.words if not said.startswith(plain)]
    return [said if len(said) <= longest else f"{said[: longest - 1]}…" for said in told]


def table(results: list[tuple[Row, list[Seen]]], seconds: float, seed: int) -> Iterator[str]:
    yield f"{date.today()}  {platform.system()} {platform.release()}, {os.cpu_count()} cores; {seconds:.0f} s in all"
    yield f"{chromium_version()}; seed {seed}"
    yield "What a phone shows as kept, and what of it is there afterwards"
    yield ""
    heads = ["trials", "painted as kept", "lost", "drawn not kept", "refused"]
    yield f"{'':36}{''.join(f'{head:>17}' for head in heads)}"
    for row, trials in results:
        numbers = [len(trials)] + [
            sum(how(seen) for seen in trials)
            for how in (lambda s: len(s.painted), lambda s: s.lost, lambda s: len(s.not_kept), lambda s: s.refused)
        ]
        yield f"{row.title:36}{''.join(f'{number:>17}' for number in numbers)}"
    yield ""
    for row, trials in results:
        stops = ", ".join(dict.fromkeys(seen.stop for seen in trials))
        yield f"{row.title}: promised {trials[0].promised[0] if trials[0].promised else 'nothing'}; the stop: {stops}"
        for said in dict.fromkeys(said for seen in trials for said in about_keeping(seen)):
            yield f"    {said}"
    yield ""


def main() -> int:
    parser = argparse.ArgumentParser(description="Bring about every storage fault and count what was painted and lost.")
    parser.add_argument("--rows", nargs="*", default=[row.name for row in ROWS], choices=[row.name for row in ROWS])
    parser.add_argument("--trials", type=int, default=3, help="of each row")
    parser.add_argument("--seed", type=int, default=int(time.time()))
    options = parser.parse_args()
    chance = random.Random(options.seed)
    begun = time.monotonic()
    results: list[tuple[Row, list[Seen]]] = []
    failed: list[str] = []
    with sync_playwright() as playwright:
        for row in (row for row in ROWS if row.name in options.rows):
            if row.lacking:
                print(f"Not possible on this machine: {row.title}, for {row.lacking}.")
                continue
            print(f"{time.monotonic() - begun:6.0f} s  {row.title}", file=sys.stderr, flush=True)
            seen = [trial(row, playwright, chance) for _ in range(options.trials)]
            results.append((row, seen))
            failed += [f"{row.title}: {said}." for one in seen for said in broken(row, one)]
    print("\n".join(table(results, time.monotonic() - begun, options.seed)))
    for line in dict.fromkeys(failed):
        print(f"FAILED: {line}")
    return bool(failed)


if __name__ == "__main__":
    sys.exit(main())
