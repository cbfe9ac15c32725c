"""Count with strace how often an engine syncs its store to the disk while it saves ticks.

What is saved strictly is on the disk, not only on its way there: at least one fdatasync for each tick. The control
saves the same ticks with relaxed durability. In Chromium it must be seen to sync none.
"""

from __future__ import annotations

import subprocess
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import Playwright

from tests.browser.engines import Chromium, WebKit, living, wait_for
from tests.browser.server import Server

PAGE = "/pages/keep.html"
READY = """async () => {
    while (!('ready' in document.documentElement.dataset)) await new Promise((resolve) => setTimeout(resolve, 5));
}"""
# One tick first, because a store that is being set up syncs more.
OPEN = {
    "strict": "async () => { globalThis.append = (await open()).append; await append(entry()); }",
    "relaxed": "async () => { globalThis.append = await openRelaxed(); await append(entry()); }",
}
TICK = """async () => {
    let kept = 0;
    for (let i = 0; i < %d; i += 1) kept += (await append(entry())).kept;
    return kept;
}"""


@dataclass(frozen=True)
class Syncs:
    engine: str
    durability: str
    kept: int
    """Ticks that the store said it had."""
    synced: int
    """How many times the disk had to write down a file of the store meanwhile."""


def syncs_in_chromium(playwright: Playwright, server: Server, durability: str, ticks: int, folder: Path) -> Syncs:
    with Chromium(folder / "profile", server.url(PAGE)) as browser:
        remote = playwright.chromium.connect_over_cdp(browser.endpoint)
        page = remote.contexts[0].pages[0]
        page.evaluate(READY)
        page.evaluate(OPEN[durability])
        kept, synced = _counted(browser.pids, lambda: page.evaluate(TICK % ticks), folder / "strace.log")
        remote.close()
    return Syncs("Chromium", durability, kept, synced)


def syncs_in_webkit(display: str, server: Server, durability: str, ticks: int, folder: Path) -> Syncs:
    with WebKit(folder / "profile", display) as window:
        window.load(server.url(PAGE))
        window.evaluate(READY)
        window.evaluate(OPEN[durability])
        pids = living(window.process.pid)
        kept, synced = _counted(pids, lambda: window.evaluate(TICK % ticks), folder / "strace.log")
    return Syncs("WebKit", durability, kept, synced)


def _counted(pids: list[int], work: Callable[[], int], log: Path) -> tuple[int, int]:
    """Return what `work` returns, and how often these processes synced a file of an IndexedDB while it ran."""
    attach = [f"--attach={pid}" for pid in pids]
    told = log.with_suffix(".err")
    with told.open("w") as stderr:
        command = ["strace", "-f", "-y", "-e", "trace=fdatasync,fsync", "-o", log, *attach]
        tracer = subprocess.Popen(command, stderr=stderr)
        try:
            wait_for(lambda: all(f"Process {pid} attached" in told.read_text() for pid in pids), "strace")
            given = work()
        finally:
            tracer.terminate()
            tracer.wait()
    return given, sum("sync(" in line and "/indexeddb" in line.lower() for line in log.read_text().splitlines())
