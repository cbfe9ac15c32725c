"""The two browser engines as the tests start them, and how they are killed: at once, with all their processes."""

from __future__ import annotations

import contextlib
import json
import os
import queue
import re
import signal
import subprocess
import tempfile
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Playwright

CHROMIUM = "/usr/bin/chromium"
SHELL = "/usr/bin/chromium-headless-shell"
"""The same Chromium without its windows, menus and profiles: a page opens in half the time."""
FLAGS = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-breakpad",
]
LAUNCHER = Path(__file__).with_name("webkit_launcher.py")
SYSTEM_PYTHON = "/usr/bin/python3"
PATIENCE = 30.0
"""Seconds until an engine that gives no sign of life is a failure; a busy machine is slow to start one."""


class EngineFailure(Exception):
    """An engine did not start, did not answer, or answered with an error."""


def launch_chromium(playwright: Playwright, *flags: str) -> Browser:
    """Start a Chromium for pages that need not outlive it. Its contexts share nothing."""
    found = SHELL if Path(SHELL).exists() else CHROMIUM
    return playwright.chromium.launch(executable_path=found, args=[*FLAGS[1:], *flags])


def chromium_version() -> str:
    return subprocess.run([CHROMIUM, "--version"], capture_output=True, text=True, check=True).stdout.strip()


# --- process trees --------------------------------------------------------------------------------------------------


def living(group: int) -> list[int]:
    """Return the process ids of a process group, without zombies."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with contextlib.suppress(OSError):  # it ended since the listing
            state, _parent, its_group = stat.read_text().rpartition(")")[2].split()[:3]
            if int(its_group) == group and state not in "ZX":
                found.append(int(stat.parent.name))
    return found


def kill_tree(process: subprocess.Popen[Any]) -> float:
    """SIGKILL a process that leads its own session, with all its children, and wait until the last is gone.

    Returns when the signal was sent, in seconds on the monotonic clock.
    """
    with contextlib.suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    at = time.monotonic()
    process.wait()
    wait_for(lambda: not living(process.pid), "the killed tree to be gone")
    return at


def wait_for(true: Any, what: str, seconds: float = PATIENCE, step: float = 0.005) -> None:
    """Wait until `true()` is true. Raises EngineFailure if it is not in time."""
    until = time.monotonic() + seconds
    while not true():
        if time.monotonic() > until:
            raise EngineFailure(f"Waited {seconds:g} s for {what}.")
        time.sleep(step)


class Chromium:
    """A Chromium of its own with a profile that outlives it. `kill()` ends the whole process tree at once.

    It also writes its address into the profile. A full disk cannot take that file, so its printed output is read
    instead.
    """

    def __init__(self, profile: Path, url: str = "about:blank", *flags: str) -> None:
        self._printed = tempfile.NamedTemporaryFile(prefix="handturn-chromium-")  # noqa: SIM115 - open while it lives
        command = [CHROMIUM, *FLAGS, *flags, "--remote-debugging-port=0", f"--user-data-dir={profile}", url]
        self.process = subprocess.Popen(
            command, stdout=subprocess.DEVNULL, stderr=self._printed, start_new_session=True
        )

    def __enter__(self) -> Chromium:
        return self

    def __exit__(self, *_: object) -> None:
        self.kill()

    @property
    def endpoint(self) -> str:
        """Return the address for `playwright.chromium.connect_over_cdp`."""
        wait_for(self._port, "Chromium to start")
        return f"http://127.0.0.1:{self._port()}"

    def _port(self) -> str:
        """Return the port, "" until it listens. Read by name: the open file shares its position with the browser."""
        found = re.search(
            r"listening on ws://127\.0\.0\.1:(\d+)/", Path(self._printed.name).read_text(errors="replace")
        )
        return found[1] if found else ""

    @property
    def pids(self) -> list[int]:
        return living(self.process.pid)

    def kill(self) -> float:
        return kill_tree(self.process)


# --- WebKit ---------------------------------------------------------------------------------------------------------


@contextlib.contextmanager
def screen() -> Iterator[str]:
    """Start a screen that nobody sees (Xvfb). Yields its name, such as ":99"."""
    read, write = os.pipe()
    process = subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", "800x1000x24", "-nolisten", "tcp"],
        pass_fds=[write],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    os.close(write)
    try:
        with os.fdopen(read) as numbers:
            number = numbers.readline().strip()
        if not number:
            raise EngineFailure("Xvfb did not start.")
        yield f":{number}"
    finally:
        kill_tree(process)


class WebKit:
    """A WebKit window with storage under `profile` that outlives it."""

    def __init__(self, profile: Path, display: str) -> None:
        self.process = subprocess.Popen(
            [SYSTEM_PYTHON, str(LAUNCHER), str(profile / "data"), str(profile / "cache")],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            start_new_session=True,
            env={**os.environ, "DISPLAY": display, "WEBKIT_DISABLE_COMPOSITING_MODE": "1", "NO_AT_BRIDGE": "1"},
        )
        self._answers: queue.Queue[str | None] = queue.Queue()
        threading.Thread(target=self._listen, daemon=True).start()
        self._answer("start")

    def __enter__(self) -> WebKit:
        return self

    def __exit__(self, *_: object) -> None:
        self.kill()

    def load(self, url: str) -> str:
        """Open a page and return the address it ended on."""
        return str(self._do("load", url=url))

    def evaluate(self, js: str) -> Any:
        """Return the value of an expression, or of a function called without arguments. Promises are waited for."""
        return self._do("evaluate", js=js)

    def screenshot(self, path: Path) -> None:
        self._do("screenshot", path=str(path))

    def watch(self) -> None:
        """From now on, note what pages request, what they say in dialogs and which policies they breach."""
        self._do("watch")

    def noted(self, *whats: str) -> list[dict[str, str]]:
        """Return what was noted since the last call: {what: request|dialog|breach, text}. By default all but
        requests."""
        wanted = whats or ("dialog", "breach")
        return [one for one in self._do("noted") if one["what"] in wanted]

    def quit(self) -> None:
        """Close it as a person would. It still writes whatever it has to write."""
        self._do("quit")
        self.process.wait(PATIENCE)
        wait_for(lambda: not living(self.process.pid), "WebKit to close")

    def kill(self) -> float:
        return kill_tree(self.process)

    def _listen(self) -> None:
        assert self.process.stdout
        for line in self.process.stdout:
            self._answers.put(line)
        self._answers.put(None)

    def _do(self, what: str, **more: str) -> Any:
        assert self.process.stdin
        try:
            print(json.dumps({"do": what, **more}), file=self.process.stdin, flush=True)
        except BrokenPipeError:
            raise EngineFailure(f"WebKit is gone; it was to {what}.") from None
        return self._answer(what)

    def _answer(self, what: str) -> Any:
        try:
            line = self._answers.get(timeout=PATIENCE)
        except queue.Empty:
            raise EngineFailure(f"WebKit did not answer {what} in {PATIENCE:g} s.") from None
        if line is None:
            raise EngineFailure(f"WebKit ended instead of answering {what}.")
        answer = json.loads(line)
        if "error" in answer:
            raise EngineFailure(answer["error"])
        return answer["ok"]
