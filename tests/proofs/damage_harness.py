"""Damage a store while the browser is closed, tick on, end the browser, count the shown ticks that are gone.

    python -m tests.proofs.damage_harness --trials 200 --openings 1000 --kills 100

A trial: eight ticks, a clean end; one kind of damage; open, three ticks, a kill or a clean end; the same again; open
and read back. Nothing that was shown as saved may be gone. Only if every store was damaged may earlier ticks be gone,
and then the phone must report it when it opens. The control is the last version that saved ticks in two stores only; it
must lose some.

Sound stores are opened again and again, also after a kill in the middle of ticking, and must never be called damaged.
After about one kill in eighty Chromium cannot read its own database and makes a new, empty one. So a witness, a page
without any code of ours, reads the store before the phone does. An alarm is false if the witness found every shown
tick, and a store in which the witness missed some must be reported. The last lines show what the third store costs.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import platform
import random
import shutil
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from statistics import median

from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import Page, Playwright, sync_playwright

from tests.browser.engines import Chromium, EngineFailure, chromium_version, living, wait_for
from tests.browser.server import Server
from tests.golden import store
from tests.proofs.kill_harness import pages_server

BEFORE = "2026-11"
"""The golden set whose site kept ticks in two stores alone."""
OPEN = """async () => {
  globalThis.keep = await open();
  return [(await keep.journal('J-1')).map(({ id }) => id), keep.trouble.map(({ what }) => what)];
}"""
TICK = """async id => (await keep.append(entry({ id }))).kept"""
TICK_ON = """id => {
  globalThis.shown = [];
  const on = async n => {
    if ((await keep.append(entry({ id: `${id}-${n}` }))).kept) shown.push(`${id}-${n}`);
    on(n + 1);
  };
  on(0);
}"""
TIMED = """async ticks => {
  const took = [];
  for (let n = 0; n < ticks; n += 1) {
    const begun = performance.now();
    if ((await keep.append(entry({ id: `w-${n}` }))).kept) took.push(performance.now() - begun);
    await new Promise(done => setTimeout(done, 20));
  }
  return took;
}"""
WITNESS = """async () => {
  const found = (await indexedDB.databases()).filter(({ name }) => name.startsWith('handturn:'));
  const shelf = (name) => new Promise((resolve, reject) => {
    const request = indexedDB.open(name);
    request.onerror = () => reject(request.error);
    request.onsuccess = () => {
      const db = request.result;
      const asked = db.transaction('entries').objectStore('entries').getAllKeys();
      asked.onerror = () => reject(asked.error);
      asked.onsuccess = () => { db.close(); resolve(asked.result.map(([, id]) => id)); };
    };
  });
  return (await Promise.all(found.map(({ name }) => shelf(name)))).flat();
}"""
"""What the main store holds, asked of the browser alone. A database that is gone is not opened: that would make it."""
LOSS = {"all-lost", "entries-missing"}
"""What the keep says of ticks that are in no store any more."""
SUSPECT = {
    "all-lost",
    "store-behind",
    "store-empty-mirror-not",
    "store-refuses",
    "store-stopped",
    "store-set-aside",
    "log-lost",
    "log-damaged",
    "log-stopped",
    "entries-missing",
    "mirror-unreadable",
}
"""What the keep says of a store that is not as it was left."""


# --- damage: what is done to files while the browser is closed -------------------------------------------------------

MAIN = "IndexedDB/*.leveldb/*.log"
SECOND = "Local Storage/leveldb/*.log"
NAMES = "File System/*/t/Paths/*.log"
LOG = "File System/*/t/00/*"
Harm = Callable[[bytes, random.Random], bytes]


def tail_cut(content: bytes, chance: random.Random) -> bytes:
    return content[: -chance.randint(1, min(300, len(content)))]


def cut_at_page(content: bytes, chance: random.Random) -> bytes:
    return content[: (len(content) - 1) // 4096 * 4096 or len(content) // 2]


def half(content: bytes, chance: random.Random) -> bytes:
    return content[: len(content) // 2]


def zero_tail(content: bytes, chance: random.Random) -> bytes:
    size = chance.randint(1, min(300, len(content)))
    return content[:-size] + bytes(size)


def random_middle(content: bytes, chance: random.Random) -> bytes:
    at = len(content) // 2
    return content[:at] + chance.randbytes(min(64, len(content) - at)) + content[at + 64 :]


def all_random(content: bytes, chance: random.Random) -> bytes:
    return chance.randbytes(len(content))


def emptied(content: bytes, chance: random.Random) -> bytes:
    return b""


@dataclass(frozen=True)
class Damage:
    title: str
    harms: tuple[tuple[str, Harm], ...]
    every: bool = False
    """Whether this damages every store that holds ticks."""
    is_control: bool = False


ALL = (MAIN, SECOND, NAMES, LOG)
KINDS = [
    Damage("main store: tail cut", ((MAIN, tail_cut),)),
    Damage("main store: cut at a page", ((MAIN, cut_at_page),)),
    Damage("main store: cut to half", ((MAIN, half),)),
    Damage("main store: tail zeroed", ((MAIN, zero_tail),)),
    Damage("main store: random in the middle", ((MAIN, random_middle),)),
    Damage("main store: all random", ((MAIN, all_random),)),
    Damage("log: tail cut", ((LOG, tail_cut),)),
    Damage("log: random in the middle", ((LOG, random_middle),)),
    Damage("log: emptied", ((LOG, emptied),)),
    Damage("log: its name's store cut", ((NAMES, tail_cut),)),
    Damage("second store: cut to half", ((SECOND, half),)),
    Damage("main store and log: tails cut", ((MAIN, tail_cut), (LOG, tail_cut))),
    Damage("all stores: all random", tuple((store, all_random) for store in ALL), every=True),
]
CONTROL = Damage("control: the version before; tail cut", ((MAIN, tail_cut),), is_control=True)


def harm(profile: Path, damage: Damage, chance: random.Random) -> None:
    """Damage the store. Raises AssertionError if there was nothing to damage."""
    for pattern, how in damage.harms:
        files = [file for file in (profile / "Default").glob(pattern) if file.is_file() and file.stat().st_size]
        assert files, f"no files in {pattern}"
        for file in files:
            file.write_bytes(how(file.read_bytes(), chance))


# --- a phone ----------------------------------------------------------------------------------------------------------


@dataclass
class Phone:
    playwright: Playwright
    server: Server
    profile: Path
    painted: set[str] = field(default_factory=set)

    def start(self) -> tuple[set[str], list[str]]:
        """Open the browser and the keep. Return what it holds and what it says of its stores."""
        self.launch()
        return opened(self.page, self.server)

    def launch(self) -> None:
        self.chromium = Chromium(self.profile)
        self.browser = self.playwright.chromium.connect_over_cdp(self.chromium.endpoint)
        self.page = self.browser.contexts[0].new_page()

    def witnessed(self) -> set[str]:
        """Return what the main store holds before any code of the phone has run.

        Chromium refuses a database that it cannot read once, and makes it anew on the second try. So there are two
        tries.
        """
        self.page.goto(self.server.url("/no-page-of-the-phone"))
        with contextlib.suppress(PlaywrightError):
            return set(self.page.evaluate(WITNESS))
        return set(self.page.evaluate(WITNESS))

    def tick(self, ids: list[str]) -> None:
        self.painted |= {each for each in ids if self.page.evaluate(TICK, each)}

    def end(self, clean: bool) -> None:
        if clean:
            with contextlib.suppress(PlaywrightError):
                self.browser.new_browser_cdp_session().send("Browser.close")
            with contextlib.suppress(EngineFailure):
                wait_for(lambda: not living(self.chromium.process.pid), "Chromium to close", seconds=15)
        self.chromium.kill()


def opened(page: Page, server: Server) -> tuple[set[str], list[str]]:
    page.goto(server.url("/pages/keep.html"))
    page.wait_for_selector("html[data-ready]", state="attached")
    held, trouble = page.evaluate(OPEN)
    return set(held), trouble


@dataclass(frozen=True)
class Outcome:
    painted: int
    after: int
    """How many of them were painted after the damage."""
    lost: int
    """Painted as saved, then gone, and the page did not say so."""
    told: int
    """Made before the damage, and told at the first opening after it. What is ticked after that is never excused."""
    said: frozenset[str]


def seed(playwright: Playwright, server: Server, profile: Path) -> frozenset[str]:
    """Make a phone with eight ticks and end it cleanly. Return which of them were shown."""
    phone = Phone(playwright, server, profile)
    try:
        phone.start()
        phone.tick([f"a{n}" for n in range(8)])
    finally:
        phone.end(clean=True)
    return frozenset(phone.painted)


def trial(damage: Damage, playwright: Playwright, server: Server, chance: random.Random, made: Path) -> Outcome:
    """Do one trial on a copy of the phone that seed() made in the folder `made`."""
    with tempfile.TemporaryDirectory(prefix="handturn-damage-") as folder:
        profile = Path(folder) / "profile"
        shutil.copytree(made, profile, symlinks=True, ignore=shutil.ignore_patterns("Singleton*"))
        phone = Phone(playwright, server, profile, {f"a{n}" for n in range(8)})
        said: set[str] = set()
        told: set[str] = set()
        try:
            harm(phone.profile, damage, chance)
            for turn in "bc":
                held, trouble = phone.start()
                said |= set(trouble)
                if turn == "b" and set(trouble) & LOSS:
                    told = phone.painted - held
                phone.tick([f"{turn}{n}" for n in range(3)])
                phone.end(clean=chance.random() < 0.4)
            held, trouble = phone.start()
            said |= set(trouble)
        finally:
            phone.end(clean=False)
    gone = phone.painted - held
    return Outcome(
        len(phone.painted), len(phone.painted) - 8, len(gone - told), len(gone & told), frozenset(said & SUSPECT)
    )


def trials(damage: Damage, times: int, playwright: Playwright, server: Server, chance: random.Random) -> list[Outcome]:
    with tempfile.TemporaryDirectory(prefix="handturn-damage-") as folder:
        made = Path(folder) / "profile"
        if times and len(seed(playwright, server, made)) != 8:
            raise AssertionError("a sound phone does not keep its ticks")
        return [trial(damage, playwright, server, chance, made) for _ in range(times)]


MOVED = {"base/digest.js": "digest.js", "keep/keep.js": "keep.js"}
"""Where the page of these trials finds the modules, and where that version had them."""


def version_before() -> dict[str, bytes]:
    """Return the phone's modules of the last version that saved ticks in two stores only."""
    site = store.unpacked(BEFORE, "site.tar.xz")
    old = {path.removeprefix("phone/"): body for path, body in site.items() if path.startswith("phone/")}
    return {**old, **{now: f"export * from '/phone/{then}';\n".encode() for now, then in MOVED.items()}}


# --- sound stores -----------------------------------------------------------------------------------------------------


def clean_openings(times: int, playwright: Playwright, server: Server) -> tuple[list[str], int]:
    """Return what was said of sound stores, and how often the browser itself was started anew after a clean end.

    Every tenth time it is started anew; otherwise only the page is opened anew. Every fourth opening ticks.
    """
    said: list[str] = []
    starts = 0
    with tempfile.TemporaryDirectory(prefix="handturn-damage-") as folder:
        phone = Phone(playwright, server, Path(folder))
        try:
            for turn in range(times):
                if turn % 10 == 0:
                    if turn:
                        phone.end(clean=True)
                    _, trouble = phone.start()
                    starts += 1
                else:
                    _, trouble = opened(phone.page, server)
                said += [what for what in trouble if what in SUSPECT]
                if turn % 4 == 0:  # a long journal would be the slow part
                    phone.tick([f"t{turn}"])
        finally:
            if times:
                phone.end(clean=False)
    return said, starts


@dataclass
class Killed:
    """What a row of kills found."""

    false: list[str] = field(default_factory=list)
    """What was said of stores in which the witness had found every painted tick."""
    dropped: int = 0
    """Times that the browser had dropped its store: the witness missed a painted tick."""
    untold: int = 0
    """Of these, the times that the phone said nothing."""
    lost: set[str] = field(default_factory=set)

    def reopened(self, shown: set[str], witnessed: set[str], held: set[str], trouble: list[str]) -> None:
        alarms = [what for what in trouble if what in SUSPECT]
        self.lost |= shown - held
        if shown <= witnessed:
            self.false += alarms
        else:
            self.dropped += 1
            self.untold += not alarms


def kills(times: int, playwright: Playwright, server: Server, chance: random.Random) -> Killed:
    """Open a phone again and again, each time after a kill in the middle of ticking."""
    found = Killed()
    shown: set[str] = set()
    with tempfile.TemporaryDirectory(prefix="handturn-damage-") as folder:
        for turn in range(times + 1 if times else 0):
            phone = Phone(playwright, server, Path(folder))
            try:
                phone.launch()
                witnessed = phone.witnessed()
                found.reopened(shown, witnessed, *opened(phone.page, server))
                phone.page.evaluate(TICK_ON, f"k{turn}")
                time.sleep(chance.uniform(0.0, 0.15))
                shown |= set(phone.page.evaluate("shown"))
            finally:
                phone.end(clean=False)
    return found


# --- what it costs ----------------------------------------------------------------------------------------------------


def waits(playwright: Playwright, server: Server, ticks: int) -> list[float]:
    """Return the milliseconds from the call to `kept`, tick after tick, with the page's processor at a quarter
    speed."""
    with tempfile.TemporaryDirectory(prefix="handturn-damage-") as folder:
        phone = Phone(playwright, server, Path(folder))
        try:
            phone.start()
            phone.page.context.new_cdp_session(phone.page).send("Emulation.setCPUThrottlingRate", {"rate": 4})
            return [float(one) for one in phone.page.evaluate(TIMED, ticks)]
        finally:
            phone.end(clean=False)


def cost(called: str, times: list[float]) -> str:
    """Return one line: the median and the 95th percentile."""
    late = sorted(times)[max(0, -(-95 * len(times) // 100) - 1)]
    return f"  {called:24}{median(times):8.1f}{late:8.1f}"


# --- the table --------------------------------------------------------------------------------------------------------

Row = tuple[Damage, list[Outcome]]


def table(rows: list[Row]) -> Iterator[str]:
    yield f"{date.today()}  {platform.system()} {platform.release()}, {os.cpu_count()} cores; {chromium_version()}"
    yield "A store is damaged; then open, tick, end, open, tick, end, open"
    yield ""
    heads = ["trials", "painted", "after damage", "lost", "trials: a loss", "told before"]
    yield f"{'':40}{''.join(f'{head:>16}' for head in heads)}"
    for damage, outcomes in rows:
        numbers = [
            len(outcomes),
            sum(one.painted for one in outcomes),
            sum(one.after for one in outcomes),
            sum(one.lost for one in outcomes),
            sum(bool(one.lost) for one in outcomes),
            sum(one.told for one in outcomes),
        ]
        yield f"{damage.title:40}{''.join(f'{number:>16}' for number in numbers)}"
    yield ""


def failures(rows: list[Row]) -> Iterator[str]:
    for damage, outcomes in rows:
        lost = sum(one.lost for one in outcomes)
        if damage.is_control:
            if not lost:
                yield f"no loss seen by {damage.title}; the trial does not bite"
            continue
        if lost:
            yield f"{damage.title}: {lost} painted ticks lost"
        if not damage.every and any(one.told for one in outcomes):
            yield f"{damage.title}: ticks are gone, and a store was left sound"


def main() -> int:
    parser = argparse.ArgumentParser(description="Damage a store, tick on, end, open, and count what is lost.")
    parser.add_argument("--trials", type=int, default=208, help="spread over all kinds of damage")
    parser.add_argument("--controls", type=int, default=8)
    parser.add_argument("--openings", type=int, default=1000, help="of sound stores")
    parser.add_argument("--kills", type=int, default=100, help="openings of sound stores after a kill")
    parser.add_argument("--ticks", type=int, default=200, help="whose time is taken, with the log and without")
    parser.add_argument("--kinds", default="", help="a word in the titles of the kinds that are wanted")
    parser.add_argument("--seed", type=int, default=int(time.time()))
    options = parser.parse_args()
    chance = random.Random(options.seed)
    begun = time.monotonic()
    kinds = [kind for kind in KINDS if options.kinds in kind.title]
    each = -(-options.trials // len(kinds)) if kinds else 0
    with sync_playwright() as playwright, pages_server() as server, pages_server(version_before()) as before:
        rows = [(kind, trials(kind, each, playwright, server, chance)) for kind in kinds if each]
        if options.controls:
            rows.append((CONTROL, trials(CONTROL, options.controls, playwright, before, chance)))
        print("\n".join(table(rows)), flush=True)
        said, starts = clean_openings(options.openings, playwright, server)
        killed = kills(options.kills, playwright, server, chance)
        timed = [("with the log", server), ("the version before", before)] if options.ticks else []
        costs = [cost(called, waits(playwright, where, options.ticks)) for called, where in timed]
    print(f"Sound stores called damaged: {len(said)} of {options.openings} openings {_few(said)}")
    print(f"  {starts} of them by a browser started anew, the others by a page opened anew")
    print(f"  after a kill: {len(killed.false)} of {options.kills} {_few(killed.false)}")
    print(
        f"After {options.kills} kills the browser had dropped its store {killed.dropped} times, {killed.untold} untold"
    )
    print(f"  painted ticks lost: {len(killed.lost)}")
    if costs:
        print(f"Milliseconds from a tick to kept, processor at a quarter, {options.ticks} ticks: median, 95 of 100")
        print("\n".join(costs))
    print(f"seed {options.seed}; {time.monotonic() - begun:.0f} s in all")
    failed = [*failures(rows)]
    if said or killed.false:
        failed.append("a sound store was called damaged")
    if killed.untold or killed.lost:
        failed.append("a store that the browser had dropped was not told, or painted ticks were lost")
    for line in failed:
        print(f"FAILED: {line}.")
    return bool(failed)


def _few(said: list[str]) -> str:
    return ", ".join(sorted(set(said)))


if __name__ == "__main__":
    sys.exit(main())
