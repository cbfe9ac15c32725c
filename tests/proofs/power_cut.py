"""Cut the power of the disk under a browser soon after the paint of a tick, and count what was painted and is gone.

    python -m tests.proofs.power_cut --trials 20 --webkit 20

A trial: the browser's profile is on a small disk of its own, and the phone's own page saves a tick every two seconds.
After the first tick everything is written to the disk. 0 to 6 s after the next one the file system is shut down without
flushing its log, so that nothing reaches the disk any more. The browser is killed, the disk is mounted again with what
it and its journal hold, the browser is started anew, and the store is read back. Then it ticks on, is killed, started
and read back again, because a torn store takes ticks and forgets them.

`kept` must lose nothing. The controls must be seen to lose: `relaxed` is the phone's own way except for the durability,
`local` writes to local storage only. SIGKILL cannot tell these apart, because it leaves the system's own memory. WebKit
syncs relaxed writes too, and local storage within a second. So there the control is local storage, cut at once.

It takes root and a loop device. On a machine without them it says so in one line, and claims nothing.
"""

from __future__ import annotations

import argparse
import os
import platform
import random
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from statistics import median

from tests.browser.engines import chromium_version, screen, wait_for
from tests.browser.server import Server
from tests.proofs.disks.loop_disk import loop_disk, why_not
from tests.proofs.kill_harness import (
    KEPT,
    LOCAL,
    Start,
    Way,
    pages_server,
    painted,
    read_back,
    start_chromium,
    start_webkit_on,
    told,
)

RELAXED = Way("relaxed", "control: relaxed durability")
PACE = 2.0
LONGEST = 6.0
"""Seconds from the paint to the cut at most. Left to itself, the system writes down what is 30 s old."""
AT_ONCE = 0.1


@dataclass(frozen=True)
class Cut:
    after: float
    """Seconds from the paint of the first tick that was not written down beforehand to the cut."""
    painted: int
    """Ticks shown since all was written down."""
    lost: int
    """How many of all ticks shown the store does not hold afterwards."""


@dataclass(frozen=True)
class Row:
    engine: str
    way: Way
    cuts: list[Cut]

    @property
    def title(self) -> str:
        return f"{self.engine}: {self.way.title}"

    @property
    def lost(self) -> int:
        return sum(cut.lost for cut in self.cuts)

    @property
    def is_control(self) -> bool:
        return self.way is not KEPT


def trial(way: Way, start: Start, wait: float) -> Cut:
    """Do one power cut, so many seconds after the paint of the first tick that was not yet on the disk."""
    with loop_disk() as disk, pages_server() as server:
        profile = disk.mount / "profile"
        profile.mkdir()
        engine = start(profile, _page(server, way, serial=1))
        try:
            read_back(server)
            wait_for(lambda: 1 in painted(server), "the first tick")
            disk.sync()
            aimed = max(painted(server)) + 1
            wait_for(lambda: aimed in painted(server), f"tick {aimed}", step=0.001)
            time.sleep(wait)
            disk.shut_down()
            at = time.monotonic()
        finally:
            engine.kill()
        shown = painted(server)
        disk.replay()
        stored, ticked_on = _opened_again(way, start, profile, server, serial=1001)
        later, _ = _opened_again(way, start, profile, server, serial=2001)
    lost = (set(shown) - stored) | ((set(shown) | ticked_on) - later)
    return Cut(at - shown[aimed], len(shown) - aimed + 1, len(lost))


def _page(server: Server, way: Way, serial: int) -> str:
    return server.url(f"/pages/kill.html?way={way.name}&serial={serial}&pace={PACE * 1000:g}")


def _opened_again(way: Way, start: Start, profile: Path, server: Server, serial: int) -> tuple[set[int], set[int]]:
    """Return the serials in the store when the browser is started anew, and those it paints before it is killed."""
    server.forget()
    engine = start(profile, _page(server, way, serial))
    try:
        stored = read_back(server)
        wait_for(lambda: told(server, "painted") or told(server, "dropped"), "a tick after the cut")
        return stored, set(painted(server))
    finally:
        engine.kill()


# --- the table ------------------------------------------------------------------------------------------------------

Plan = list[tuple[str, Start, Way, int, float]]
"""Engine, how it is started, the way it ticks, trials, seconds to the cut at most."""


def plan(display: str, trials: int, webkit: int, controls: int) -> Plan:
    of_webkit = start_webkit_on(display)
    return [
        ("Chromium", start_chromium, KEPT, trials, LONGEST),
        ("Chromium", start_chromium, RELAXED, controls, LONGEST),
        ("Chromium", start_chromium, LOCAL, controls, LONGEST),
        ("WebKit", of_webkit, KEPT, webkit, LONGEST),
        ("WebKit", of_webkit, LOCAL, controls if webkit else 0, AT_ONCE),
    ]


def run(plan: Plan, chance: random.Random) -> Iterator[Row]:
    """Yield rows. The first cut of each comes right after the paint, the others evenly spread."""
    for engine, start, way, trials, longest in plan:
        waits = [chance.uniform(0, longest) if number else 0.0 for number in range(trials)]
        if waits:
            yield Row(engine, way, [trial(way, start, wait) for wait in waits])


def table(rows: list[Row], seconds: float, seed: int) -> Iterator[str]:
    yield f"{date.today()}  {platform.system()} {platform.release()}, {os.cpu_count()} cores; {seconds:.0f} s in all"
    yield f"{chromium_version()}; the system's WebKit"
    yield f"Power cut: an ext4 on a loop device, shut down without flushing its log; seed {seed}"
    yield ""
    heads = [("power", "cuts"), ("painted", "since sync"), ("ticks", "lost"), ("cuts with", "a loss")]
    for line, spread in enumerate(["s, paint to cut", "least / median / most"]):
        yield " " * 46 + "".join(f"{head[line]:>12}" for head in heads) + f"   {spread}"
    for row in rows:
        after = [cut.after for cut in row.cuts]
        with_loss = sum(bool(cut.lost) for cut in row.cuts)
        numbers = [len(row.cuts), sum(cut.painted for cut in row.cuts), row.lost, with_loss]
        spread = f"{min(after):.2f} / {median(after):.2f} / {max(after):.2f}"
        yield f"{row.title:46}" + "".join(f"{number:>12}" for number in numbers) + f"   {spread}"
    yield ""


def failures(rows: list[Row]) -> Iterator[str]:
    for row in rows:
        if row.lost and not row.is_control:
            yield f"{row.title}: {row.lost} painted ticks lost."
        if row.is_control and not row.lost:
            yield f"no loss seen by {row.title}; the trial does not bite."


def main() -> int:
    parser = argparse.ArgumentParser(description="Cut the power under a browser and count what is lost.")
    parser.add_argument("--trials", type=int, default=20, help="power cuts of Chromium, the phone's own way")
    parser.add_argument("--webkit", type=int, default=20, help="the same of WebKit; 0 leaves it out")
    parser.add_argument("--controls", type=int, default=5, help="power cuts of each control")
    parser.add_argument("--seed", type=int, default=int(time.time()))
    options = parser.parse_args()
    if why_not():
        print(f"Power cut: not possible on this machine, {why_not()}. Nothing was tried, nothing is claimed.")
        return 0
    begun = time.monotonic()
    with screen() as display:
        wanted = plan(display, options.trials, options.webkit, options.controls)
        rows = list(run(wanted, random.Random(options.seed)))
    print("\n".join(table(rows, time.monotonic() - begun, options.seed)))
    failed = list(failures(rows))
    for line in failed:
        print(f"FAILED: {line}")
    return bool(failed)


if __name__ == "__main__":
    sys.exit(main())
