"""Kill a browser around the paint of a tick, life after life, and count what was painted and is missing afterwards.

    python -m tests.proofs.kill_harness --lives 300 --webkit 100

A life: start the browser on the profile of the life before, read back what it saved, tick on, SIGKILL the whole process
tree at a random moment from 50 ms before to 100 ms after the paint of one tick. `kept` is the phone's own way and must
lose nothing. The other two show that the harness would notice: `local` writes to local storage only, `early` paints 50
ms before its write starts. SIGKILL does not lose what the browser has handed to the system. Whether a saved tick is on
the disk by then is counted by strace in the second table, and tried by `tests.proofs.power_cut`.
"""

from __future__ import annotations

import argparse
import itertools
import os
import platform
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from statistics import median
from typing import Protocol
from urllib.parse import parse_qs

from playwright.sync_api import sync_playwright

from tests.browser.engines import Chromium, WebKit, chromium_version, screen, wait_for
from tests.browser.server import Files, Request, Server
from tests.proofs.disks.disk_syncs import OPEN, Syncs, syncs_in_chromium, syncs_in_webkit

ROOT = Path(__file__).parents[2]
AROUND = (-0.050, 0.100)
"""The window around a paint in which a life ends, in seconds."""


@dataclass(frozen=True)
class Way:
    """How the page ticks, how fast (seconds from tick to tick), and when after the paint it is killed."""

    name: str
    title: str
    pace: float = 0.040
    window: tuple[float, float] = AROUND


KEPT = Way("kept", "kept, then painted")
LOCAL = Way("local", "control: local storage alone")
EARLY = Way("early", "control: painted 50 ms before its write", pace=0.150, window=(0.005, 0.045))


class Engine(Protocol):
    def kill(self) -> float: ...


Start = Callable[[Path, str], Engine]


@dataclass(frozen=True)
class Life:
    painted: frozenset[int]
    """Serials of the ticks that this life showed."""
    offset: float
    """Seconds from the aimed-at paint to the kill; negative: before it."""
    refused: tuple[str, ...]
    """Why ticks were reported as not kept."""
    lost: frozenset[int] = frozenset()
    """What this or an earlier life showed and the next one did not find in the store (`local`: in local storage)."""
    unpainted: int = 0
    """Ticks the next life found that were never shown: the kill fell between write and paint."""

    @property
    def in_window(self) -> bool:
        """True if the machine let the kill happen when it was meant to."""
        return AROUND[0] <= self.offset <= AROUND[1]


@dataclass
class Result:
    way: Way
    lives: list[Life] = field(default_factory=list)
    engine: str = "Chromium"

    @property
    def title(self) -> str:
        return f"{self.engine}: {self.way.title}"

    @property
    def painted(self) -> int:
        return sum(len(life.painted) for life in self.lives)

    @property
    def in_window(self) -> int:
        return sum(life.in_window for life in self.lives)

    @property
    def lost(self) -> int:
        return sum(len(life.lost) for life in self.lives)

    @property
    def lives_with_a_loss(self) -> int:
        return sum(bool(life.lost) for life in self.lives)

    @property
    def refused(self) -> list[str]:
        return [why for life in self.lives for why in life.refused]


def pages_server(phone: Files | None = None) -> Server:
    """Return a server of the phone's own modules, or those of another version, and the test pages, on one origin."""
    overrides = ROOT / "site_overrides"
    folders = {
        "/phone/": overrides / "phone" if phone is None else phone,
        "/vendor/": overrides / "vendor",
        "/pages/": ROOT / "tests/browser/pages",
    }
    return Server({**folders, "/told/": dict.fromkeys(("read", "painted", "dropped", "failed"), b"heard")})


def start_chromium(profile: Path, url: str) -> Engine:
    return Chromium(profile, url)


def start_webkit_on(display: str) -> Start:
    def start(profile: Path, url: str) -> Engine:
        window = WebKit(profile, display)
        window.load(url)
        return window

    return start


# --- what the page told ---------------------------------------------------------------------------------------------


def told(server: Server, what: str) -> list[Request]:
    failures = [request.query for request in server.requests if request.path == "/told/failed"]
    assert not failures, f"The page failed: {parse_qs(failures[0])}"
    return [request for request in server.requests if request.path == f"/told/{what}"]


def painted(server: Server) -> dict[int, float]:
    """Return {serial of each tick shown: when the server heard of it}."""
    return {int(parse_qs(request.query)["serial"][0]): request.at for request in told(server, "painted")}


def read_back(server: Server) -> set[int]:
    """Return the serials in the store alone, once the page has told them. Both copies together must hold them all."""
    wait_for(lambda: told(server, "read"), "the page to read back what it kept")
    about = parse_qs(told(server, "read")[0].query, keep_blank_values=True)
    stored, held = serials(about["stored"][0]), serials(about["held"][0])
    assert stored <= held, f"In the store and not in the journal: {sorted(stored - held)}"
    return stored


def serials(ranges: str) -> set[int]:
    """Return '1-3,7-7' as {1, 2, 3, 7}."""
    runs = (run.split("-") for run in ranges.split(",") if run)
    return {serial for first, last in runs for serial in range(int(first), int(last) + 1)}


# --- lives ----------------------------------------------------------------------------------------------------------


def run(way: Way, lives: int, start: Start, profile: Path, chance: random.Random) -> Result:
    """Live and die on one profile until `lives` kills came when they were meant to, then read what is left."""
    result = Result(way)
    last: Life | None = None
    with pages_server() as server:
        for first in itertools.count(step=1000):
            server.forget()
            page = f"/pages/kill.html?way={way.name}&serial={first}&pace={way.pace * 1000:g}"
            engine = start(profile, server.url(page))
            try:
                stored = read_back(server)
                if last:
                    result.lives.append(judged(last, stored, result))
                    if way is KEPT and result.lives[-1].lost:
                        trouble = parse_qs(told(server, "read")[0].query).get("trouble")
                        lost = len(result.lives[-1].lost)
                        print(f"Life {len(result.lives)}: {lost} lost; the next one says {trouble}.")
                if result.in_window >= lives or len(result.lives) >= 3 * lives:
                    return result
                last = lived(engine, server, first, way, chance)
            finally:
                engine.kill()
    return result


def lived(engine: Engine, server: Server, first: int, way: Way, chance: random.Random) -> Life:
    """Kill around the paint of a random tick."""
    aimed = first + chance.randint(6, 14)
    ahead = int(-AROUND[0] / way.pace) + 1  # so many ticks earlier there is still time to aim
    wait_for(lambda: aimed - ahead in painted(server), f"tick {aimed - ahead}", step=0.002)
    # If the page keeps its pace, one late tick does not shift the aim.
    expected = median(at + (aimed - serial) * way.pace for serial, at in painted(server).items())
    time.sleep(max(0.0, expected + chance.uniform(*way.window) - time.monotonic()))
    killed = engine.kill()
    time.sleep(0.02)  # the server's threads may still handle what the dead page sent
    shown = painted(server)
    refused = tuple(parse_qs(request.query)["why"][0] for request in told(server, "dropped"))
    return Life(frozenset(shown), killed - shown.get(aimed, expected), refused)


def judged(life: Life, stored: set[int], result: Result) -> Life:
    """Return the life with its losses. A tick of an earlier life that is missing only now is this life's loss too."""
    shown = life.painted.union(*(earlier.painted for earlier in result.lives))
    shown = shown.difference(*(earlier.lost for earlier in result.lives))
    unpainted = {serial for serial in stored - shown if serial >= min(life.painted)}
    return replace(life, lost=frozenset(shown - stored), unpainted=len(unpainted))


# --- the table ------------------------------------------------------------------------------------------------------


def table(results: list[Result], syncs: list[Syncs], seconds: float, seed: int) -> Iterator[str]:
    yield f"{date.today()}  {platform.system()} {platform.release()}, {os.cpu_count()} cores; {seconds:.0f} s in all"
    yield f"{chromium_version()}; the system's WebKit"
    yield f"Whole tree killed by SIGKILL around the paint of a tick; seed {seed}"
    yield ""
    heads = [("lives", ""), ("in the", "window"), ("painted", "ticks"), ("lost", ""), ("lives with", "a loss")]
    heads += [("unpainted", "but kept")]
    for line, spread in enumerate(["ms, paint to kill", "least / median / most"]):
        yield " " * 51 + "".join(f"{head[line]:>12}" for head in heads) + f"   {spread}"
    for result in results:
        offsets = [life.offset * 1000 for life in result.lives]
        unpainted = sum(life.unpainted for life in result.lives)
        numbers = [len(result.lives), result.in_window, result.painted, result.lost, result.lives_with_a_loss]
        row = "".join(f"{number:>12}" for number in [*numbers, unpainted])
        yield f"{result.title:51}{row}   {min(offsets):.0f} / {median(offsets):.0f} / {max(offsets):.0f}"
    yield "In the window: killed from 50 ms before to 100 ms after the paint it was aimed at; the others count as well."
    yield ""
    yield f"{'written down by the disk, counted by strace':51}{'kept ticks':>12}{'fdatasync':>12}{'a tick':>12}"
    for counted in syncs:
        title = f"{counted.engine}: {'the phone’s way' if counted.durability == 'strict' else 'control: relaxed'}"
        yield f"{title:51}{counted.kept:>12}{counted.synced:>12}{counted.synced / counted.kept:>12.1f}"
    yield ""


def failures(results: list[Result], syncs: list[Syncs], wanted: dict[str, int]) -> Iterator[str]:
    """Yield what failed. `wanted`: kills in the window, by engine. A control that loses nothing is a failure too."""
    for result in results:
        if result.way is not KEPT:
            if not result.lost:
                yield f"no loss seen by {result.title}; the harness does not bite."
            continue
        if result.in_window < wanted[result.engine]:
            yield f"{result.engine}: only {result.in_window} kills came where they were aimed: the machine is too busy."
        if result.lost or result.refused:
            yield f"{result.engine}: {result.lost} painted ticks lost, {len(result.refused)} refused."
    for counted in syncs:
        if counted.durability == "strict" and counted.synced < counted.kept:
            yield f"{counted.engine}: {counted.kept} ticks kept, the disk wrote down {counted.synced} times."
        if counted.engine == "Chromium" and counted.durability == "relaxed" and counted.synced:
            yield "Chromium syncs relaxed ticks too; the count does not tell the two apart."


def killed(engine: str, start: Start, ways: list[tuple[Way, int]], chance: random.Random) -> Iterator[Result]:
    """Run each way on a profile of its own. A way with no lives is left out."""
    for way, lives in ways:
        if lives:
            with tempfile.TemporaryDirectory(prefix="handturn-kill-") as profile:
                result = run(way, lives, start, Path(profile), chance)
                result.engine = engine
                yield result


def counted_syncs(display: str, ticks: int, webkit: bool) -> Iterator[Syncs]:
    with pages_server() as server, sync_playwright() as playwright:
        for durability in OPEN:
            with tempfile.TemporaryDirectory(prefix="handturn-sync-") as folder:
                yield syncs_in_chromium(playwright, server, durability, ticks, Path(folder))
        for durability in OPEN if webkit else ():
            with tempfile.TemporaryDirectory(prefix="handturn-sync-") as folder:
                yield syncs_in_webkit(display, server, durability, ticks, Path(folder))


def main() -> int:
    parser = argparse.ArgumentParser(description="Kill a browser around the paint of a tick and count what is lost.")
    parser.add_argument("--lives", type=int, default=300, help="kills of Chromium, the phone's own way, in the window")
    parser.add_argument("--webkit", type=int, default=100, help="the same of WebKit; 0 leaves it out")
    parser.add_argument("--controls", type=int, default=10, help="lives of each control")
    parser.add_argument("--ticks", type=int, default=50, help="kept while the disk's syncs are counted")
    parser.add_argument("--seed", type=int, default=int(time.time()))
    options = parser.parse_args()
    chance = random.Random(options.seed)
    begun = time.monotonic()
    of_chromium = [(KEPT, options.lives), (LOCAL, options.controls), (EARLY, options.controls)]
    of_webkit = [(KEPT, options.webkit), (EARLY, options.controls if options.webkit else 0)]
    with screen() as display:
        results = [*killed("Chromium", start_chromium, of_chromium, chance)]
        results += killed("WebKit", start_webkit_on(display), of_webkit, chance)
        syncs = [*counted_syncs(display, options.ticks, webkit=bool(options.webkit))]
    print("\n".join(table(results, syncs, time.monotonic() - begun, options.seed)))
    failed = [*failures(results, syncs, {"Chromium": options.lives, "WebKit": options.webkit})]
    for line in failed:
        print(f"FAILED: {line}")
    return bool(failed)


if __name__ == "__main__":
    sys.exit(main())
