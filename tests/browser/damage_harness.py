"""Damages a store while the browser is closed, ticks on, ends the browser, and counts what was painted and is gone.

    python -m tests.browser.damage_harness --trials 200 --openings 1000 --kills 100

A trial: eight ticks, a clean end; one kind of damage; open, three ticks, a kill or a clean end; the same again; open
and read back. Nothing that was painted as kept may be gone. Where every store was damaged a tick may be refused as not
kept, or what is gone named before the next tick; that is counted apart. `control` is the phone without its log
and must lose. Sound stores are opened again and again, also after a kill in the middle of ticking, and must never be
called damaged.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import platform
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import Page, Playwright, sync_playwright

from tests.browser.engines import Chromium, EngineFailure, chromium_version, living, wait_for
from tests.browser.kill_harness import pages_server
from tests.browser.server import Server

OPEN = """async given => {
  globalThis.keep = await open(given);
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
SUSPECT = {
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
    """Whether every store is damaged."""
    lacks: tuple[str, ...] = ()
    """What the phone goes without: `storage` is where its log lies."""


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
CONTROL = Damage("control: no log; main store: tail cut", ((MAIN, tail_cut),), lacks=("storage",))


def harm(profile: Path, damage: Damage, chance: random.Random) -> None:
    """AssertionError when there was nothing to damage."""
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
    lacks: tuple[str, ...] = ()
    painted: set[str] = field(default_factory=set)
    told: set[str] = field(default_factory=set)
    """Ids that the phone said were missing, or refused, before the next tick."""

    def start(self) -> tuple[set[str], list[str]]:
        """Opens the browser and the keep; what it holds and what it says of its stores."""
        self.chromium = Chromium(self.profile)
        self.browser = self.playwright.chromium.connect_over_cdp(self.chromium.endpoint)
        self.page = self.browser.contexts[0].new_page()
        return opened(self.page, self.server, self.lacks)

    def tick(self, ids: list[str]) -> None:
        self.painted |= {each for each in ids if self.page.evaluate(TICK, each)}

    def end(self, clean: bool) -> None:
        if clean:
            with contextlib.suppress(PlaywrightError):
                self.browser.new_browser_cdp_session().send("Browser.close")
            with contextlib.suppress(EngineFailure):
                wait_for(lambda: not living(self.chromium.process.pid), "Chromium to close", seconds=15)
        self.chromium.kill()


def opened(page: Page, server: Server, lacks: tuple[str, ...] = ()) -> tuple[set[str], list[str]]:
    page.goto(server.url("/pages/keep.html"))
    page.wait_for_selector("html[data-ready]", state="attached")
    held, trouble = page.evaluate(OPEN, dict.fromkeys(lacks))
    return set(held), trouble


@dataclass(frozen=True)
class Outcome:
    painted: int
    lost: int
    """Painted as kept, gone, and nobody said so before the next tick."""
    told: int
    """Gone, and said before the next tick."""
    said: frozenset[str]


def trial(damage: Damage, playwright: Playwright, server: Server, chance: random.Random) -> Outcome:
    with tempfile.TemporaryDirectory(prefix="handturn-damage-") as folder:
        phone = Phone(playwright, server, Path(folder), damage.lacks)
        said: set[str] = set()
        told: set[str] = set()
        try:
            phone.start()
            phone.tick([f"a{n}" for n in range(8)])
            phone.end(clean=True)
            harm(phone.profile, damage, chance)
            for turn in "bc":
                held, trouble = phone.start()
                said |= set(trouble)
                if set(trouble) & SUSPECT:
                    told |= phone.painted - held
                phone.tick([f"{turn}{n}" for n in range(3)])
                phone.end(clean=chance.random() < 0.4)
            held, trouble = phone.start()
            said |= set(trouble)
        finally:
            phone.end(clean=False)
    gone = phone.painted - held
    return Outcome(len(phone.painted), len(gone - told), len(gone & told), frozenset(said & SUSPECT))


# --- sound stores -----------------------------------------------------------------------------------------------------


def clean_openings(times: int, playwright: Playwright, server: Server) -> list[str]:
    """What was said of sound stores: a page is opened, ticks and is left, `times` over in one browser."""
    said: list[str] = []
    with tempfile.TemporaryDirectory(prefix="handturn-damage-") as folder:
        phone = Phone(playwright, server, Path(folder))
        try:
            phone.start()
            for turn in range(times):
                _, trouble = opened(phone.page, server)
                said += [what for what in trouble if what in SUSPECT]
                if turn % 4 == 0:  # a long journal would be the slow part
                    phone.tick([f"t{turn}"])
        finally:
            phone.end(clean=False)
    return said


def kills(times: int, playwright: Playwright, server: Server, chance: random.Random) -> tuple[list[str], int]:
    """What was said of sound stores after a kill in the middle of ticking, and how many painted ticks were lost."""
    said: list[str] = []
    shown: set[str] = set()
    with tempfile.TemporaryDirectory(prefix="handturn-damage-") as folder:
        phone = Phone(playwright, server, Path(folder))
        try:
            for turn in range(times + 1):
                held, trouble = phone.start()
                lost = len(shown - held)
                said += [what for what in trouble if what in SUSPECT]
                phone.page.evaluate(TICK_ON, f"k{turn}")
                time.sleep(chance.uniform(0.0, 0.15))
                shown |= set(phone.page.evaluate("shown"))
                phone.end(clean=False)
        finally:
            phone.end(clean=False)
    return said, lost


# --- the table --------------------------------------------------------------------------------------------------------

Row = tuple[Damage, list[Outcome]]


def table(rows: list[Row], seconds: float, seed: int) -> Iterator[str]:
    yield f"{date.today()}  {platform.system()} {platform.release()}, {os.cpu_count()} cores; {seconds:.0f} s in all"
    yield f"{chromium_version()}; seed {seed}"
    yield "A store is damaged; then tick, end, open, tick, end, open"
    yield ""
    heads = ["trials", "painted", "lost", "trials: a loss", "told before"]
    yield f"{'':42}{''.join(f'{head:>16}' for head in heads)}"
    for damage, outcomes in rows:
        numbers = [
            len(outcomes),
            sum(one.painted for one in outcomes),
            sum(one.lost for one in outcomes),
            sum(bool(one.lost) for one in outcomes),
            sum(one.told for one in outcomes),
        ]
        yield f"{damage.title:42}{''.join(f'{number:>16}' for number in numbers)}"
    yield ""


def failures(rows: list[Row]) -> Iterator[str]:
    for damage, outcomes in rows:
        lost = sum(one.lost for one in outcomes)
        if damage.lacks:
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
    parser.add_argument("--seed", type=int, default=int(time.time()))
    options = parser.parse_args()
    chance = random.Random(options.seed)
    begun = time.monotonic()
    each = -(-options.trials // len(KINDS))
    wanted: list[tuple[Damage, int]] = [*((kind, each) for kind in KINDS if each), (CONTROL, options.controls)]
    with sync_playwright() as playwright, pages_server() as server:
        rows = [(kind, [trial(kind, playwright, server, chance) for _ in range(times)]) for kind, times in wanted]
        said = clean_openings(options.openings, playwright, server)
        after_kill, lost = kills(options.kills, playwright, server, chance)
    print("\n".join(table(rows, time.monotonic() - begun, options.seed)))
    print(f"Sound stores called damaged: {len(said)} of {options.openings} openings {_few(said)}")
    print(f"  after a kill: {len(after_kill)} of {options.kills} {_few(after_kill)}; painted ticks lost: {lost}")
    failed = [*failures(rows)]
    if said or after_kill or lost:
        failed.append("a sound store was called damaged, or lost a painted tick")
    for line in failed:
        print(f"FAILED: {line}.")
    return bool(failed)


def _few(said: list[Any]) -> str:
    return ", ".join(sorted(set(said)))


if __name__ == "__main__":
    sys.exit(main())
