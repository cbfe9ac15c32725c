"""Fill the phone's disk while a job is ticked. Count where the site still opens offline, and what is lost.

    python -m tests.proofs.full_harness --runs 24 --before 4

A run: a phone that is ready offline and has an open job; the disk full to the last block; ticks; an end; free room
again. The network is gone before the disk fills, or only at the end. What was shown as saved must be there. Where the
site does not open offline it must open online, and the page must have said so above the start button. The same is tried
with the version of the golden set, and with a reserve: four mebibytes that are freed when the first tick is not saved,
as a page could do with a file of its own.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import platform
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import Playwright, sync_playwright

from tests.browser.engines import EngineFailure, chromium_version, living, wait_for
from tests.browser.server import Files, Server
from tests.golden import store
from tests.proofs.disks.loop_disk import MEBIBYTE, LoopDisk, loop_disk, memory_disk, why_not
from tests.proofs.storage_harness import Phone
from tests.support import demo

BEFORE = "2026-11"
RESERVE = 4 * MEBIBYTE
MAY_DROP = "full"
"""The key of the paragraph above the start button that says what a full phone may cost."""


@dataclass(frozen=True)
class Way:
    """What a person does with the browser while the disk is full."""

    end: str
    """"killed", "closed" as a person closes it, or "ended" as a system ends it (SIGTERM)."""
    starts_again: bool = False
    """Whether it was killed and started again before, with the disk still full."""
    network: bool = False
    """Whether there is a network until the browser ends; else it is gone before the disk fills."""
    reserve: bool = False

    @property
    def title(self) -> str:
        before = "a network, " * self.network + "killed, started again, " * self.starts_again
        return f"{before}{self.end}{', a reserve' * self.reserve}"


ENDS = ("killed", "closed", "ended")
WAYS = tuple(Way(end, again, network) for network in (False, True) for again in (False, True) for end in ENDS)
RESERVED = tuple(Way(end, starts_again=True, network=True, reserve=True) for end in ("closed", "ended"))
DISKS = (("ext4", loop_disk), ("memory", memory_disk))


@dataclass(frozen=True)
class Run:
    way: Way
    painted: int
    lost: int
    while_full: bool | None
    """Whether the job opened with no network while the disk was full; None where nobody tried."""
    offline: bool
    """Whether it opened with no network once there was room."""
    online: bool
    said: bool
    """Whether the page said above the start button that a browser may drop the copy of the site."""


def prepared(playwright: Playwright, server: Server, profile: Path) -> Phone:
    """Make a phone that is ready offline, with an open job and two ticks, and close it as a person does."""
    phone = Phone(playwright, server, profile, {})
    try:
        phone.launch()
        phone.drive.open("")
        phone.page.wait_for_selector("html[data-offline=ready]", state="attached", timeout=60000)
        phone.begin()
        tick_slowly(phone, 2)
        if len(phone.seen.painted) != 2:
            raise AssertionError("a sound phone does not keep two ticks")
        phone.quit()
    finally:
        phone.kill()
    return phone


def tick_slowly(phone: Phone, times: int) -> None:
    """Tick slowly, because the version of the golden set ignores a press that follows at once."""
    for _ in range(times):
        phone.page.wait_for_timeout(800)
        phone.tick(1)


def opens(phone: Phone) -> bool:
    """True if the job's page opens and shows the job."""
    try:
        phone.page.goto(phone.address)
        phone.page.wait_for_selector("[data-job]")
    except PlaywrightError:
        return False
    return True


@contextlib.contextmanager
def cut_off(server: Server) -> Iterator[None]:
    server.stop()
    try:
        yield
    finally:
        server.start()


def live_full(way: Way, phone: Phone, disk: LoopDisk) -> bool | None:
    """Fill the disk, end the browser, free room again. Return whether the job opened while the disk was full."""
    reserve = disk.mount / "reserve"
    if way.reserve:
        reserve.write_bytes(bytes(RESERVE))
    disk.sync()
    with contextlib.ExitStack() as full:
        if way.reserve:  # nobody else takes what the reserve frees: that is its best case
            disk.fill()
            full.callback(disk.free)
        else:
            full.enter_context(disk.full())
        tick_slowly(phone, 4)
        reserve.unlink(missing_ok=True)
        return _end(way, phone)


def _end(way: Way, phone: Phone) -> bool | None:
    opened = None
    if way.starts_again:
        phone.kill()
        phone.launch()
        opened = opens(phone)
    if way.end == "ended":
        assert phone.chromium
        phone.chromium.process.terminate()
        with contextlib.suppress(EngineFailure):
            wait_for(lambda: not living(phone.chromium.process.pid), "Chromium to end", seconds=15)
    phone.quit() if way.end == "closed" else phone.kill()
    return opened


def run(way: Way, made: Phone, disk: LoopDisk) -> Run:
    """Do one run on a copy of the phone that prepared() made, on an empty disk of its own."""
    phone = Phone(made.playwright, made.server, disk.mount / "new", {})
    phone.profile = disk.mount / "profile"
    phone.job, phone.address, phone.seen.promised = made.job, made.address, made.seen.promised
    shutil.copytree(made.profile, phone.profile, symlinks=True, ignore=shutil.ignore_patterns("Singleton*"))
    try:
        phone.launch()
        with cut_off(phone.server):
            if not opens(phone):
                raise AssertionError("the phone does not open without a network before anything was done to it")
            phone.look()
            if not way.network:
                while_full = live_full(way, phone, disk)
        if way.network:
            while_full = live_full(way, phone, disk)
        with cut_off(phone.server):
            phone.launch()
            offline = opens(phone)
            phone.quit()
        phone.launch()
        online = opens(phone)
        seen = phone.read_back() if online else phone.seen
    finally:
        phone.kill()
    return Run(way, len(seen.painted), seen.lost, while_full, offline, online, MAY_DROP in seen.promised)


def runs(ways: Sequence[Way], times: int, files: Files, playwright: Playwright) -> Iterator[tuple[str, Run]]:
    """Yield so many runs, each way on each kind of disk in turn, with the disk's name."""
    turns = [(way, *disk) for disk in DISKS for way in ways]
    with Server({"/": files}) as server, tempfile.TemporaryDirectory(prefix="handturn-full-") as folder:
        made = prepared(playwright, server, Path(folder) / "profile")
        for number in range(times):
            way, called, disk_of = turns[number % len(turns)]
            with disk_of() as disk:
                yield called, run(way, made, disk)


# --- the table --------------------------------------------------------------------------------------------------------


Told = tuple[str, Run]
"""The kind of disk, and the run."""


def rows(title: str, done: Sequence[Told]) -> Iterator[str]:
    yield f"{title}:"
    for called, way in dict.fromkeys((called, one.way) for called, one in done):
        of = [one for disk, one in done if (disk, one.way) == (called, way)]
        tried = [one.while_full for one in of if one.while_full is not None]
        full = f"{sum(tried)} of {len(tried)}" if tried else "not tried"
        room, network = (f"{sum(had)} of {len(of)}" for had in ([r.offline for r in of], [r.online for r in of]))
        counts = f"{sum(one.painted for one in of):>10}{sum(one.lost for one in of):>8}"
        yield f"  {called + ': ' + way.title:58}{len(of):>6}{full:>14}{room:>14}{network:>14}{counts}"


def failures(done: Sequence[Told]) -> Iterator[str]:
    """Yield the promises that were broken in these runs. Runs without a tick have proved none."""
    if not done:
        yield "there was no run"
    for called, one in done:
        about = f"{called}: {one.way.title}"
        if not one.painted:
            yield f"{about}: no tick was painted, so none could be lost"
        if one.lost:
            yield f"{about}: {one.lost} painted as kept and lost"
        if not one.online:
            yield f"{about}: it did not open with a network either"
        if not one.offline and not one.said:
            yield f"{about}: it did not open without a network, and nobody had been told"


def main() -> int:
    parser = argparse.ArgumentParser(description="Fill the disk while a job is ticked, and see what opens afterwards.")
    parser.add_argument("--runs", type=int, default=24, help="of this version: each way on each kind of disk in turn")
    parser.add_argument("--reserve", type=int, default=0, help="of this version with a reserve")
    parser.add_argument("--before", type=int, default=4, help="of the golden set's version")
    options = parser.parse_args()
    if why_not():
        print(f"Not possible on this machine: {why_not()}.")
        return 1
    begun = time.monotonic()
    today, before = demo.built().files, store.unpacked(BEFORE, "site.tar.xz")
    plans: list[tuple[str, Sequence[Way], int, Files]] = [
        ("This version", WAYS, options.runs, today),
        (f"With {RESERVE // MEBIBYTE} MiB set free when a tick is not kept", RESERVED, options.reserve, today),
        (f"The version of {BEFORE}", WAYS, options.before, before),
    ]
    sets: dict[str, list[Told]] = {}
    with sync_playwright() as playwright:
        for title, ways, times, files in plans:
            for told in runs(ways, times, files, playwright) if times else ():
                sets.setdefault(title, []).append(told)
                print(f"{time.monotonic() - begun:6.0f} s  {title}: {told}", file=sys.stderr, flush=True)
    print(f"{date.today()}  {platform.system()} {platform.release()}, {os.cpu_count()} cores; {chromium_version()}")
    print("The disk is full while a job is ticked; how the browser ends; does the job open?\n")
    print(f"{'':60}{'runs':>6}{'while full':>14}{'with room':>14}{'network':>14}{'painted':>10}{'lost':>8}")
    for title, done in sets.items():
        print("\n".join(rows(title, done)))
    print(f"{time.monotonic() - begun:.0f} s in all")
    failed = list(dict.fromkeys(failures(sets.get("This version", []))))
    for line in failed:
        print(f"FAILED: {line}.")
    return bool(failed)


if __name__ == "__main__":
    sys.exit(main())
