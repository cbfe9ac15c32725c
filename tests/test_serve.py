"""`mkdocs serve` and `make demo`: the preview rebuilds and keeps nothing on the phone; the demo answers."""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tests import demo
from tests.test_build import QUIET, project


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def get(port: int, path: str) -> tuple[int, str]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=5)
    try:
        connection.request("GET", path)
        answer = connection.getresponse()
        return answer.status, answer.read().decode()
    finally:
        connection.close()


def wait_for(what, seconds: float = 60) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        try:
            if what():
                return True
        except OSError:
            pass
        time.sleep(0.2)
    return False


@contextmanager
def running(command: list[str], folder: Path) -> Iterator[subprocess.Popen[bytes]]:
    process = subprocess.Popen(
        command, cwd=folder, env=QUIET, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, start_new_session=True
    )
    try:
        yield process
    finally:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()


def test_the_preview_rebuilds_when_a_procedure_changes_and_its_worker_removes_itself(tmp_path):
    folder, port = project(tmp_path), free_port()
    command = [sys.executable, "-m", "mkdocs", "serve", "--dev-addr", f"127.0.0.1:{port}"]
    with running(command, folder):
        page = "/w/timing-belt-service--ostrel-i4-16/"
        assert wait_for(lambda: get(port, page)[0] == 200)
        assert '"removed": "preview"' in get(port, "/sw.js")[1]
        source = folder / "procedures/make-safe.yml"
        source.write_text(source.read_text().replace("Look for orange cables", "Search for orange cables"))
        assert wait_for(lambda: "Search for orange cables" in get(port, page)[1])
        source.write_text(source.read_text().replace("stage: First stop", "stagee: First stop"))
        time.sleep(2)
        assert "Search for orange cables" in get(port, page)[1], "a fault must leave the last good preview"


def test_the_demo_prints_its_address_and_answers(tmp_path):
    port = free_port()
    words = [sys.executable, "-m", "generator.cli", "demo", "--port", str(port), "--site", str(tmp_path / "site")]
    with running(words, demo.ROOT) as process:
        line = process.stdout.readline().decode()
        assert f"http://localhost:{port}/" in line
        status, text = get(port, "/")
        assert status == 200 and "Timing-belt service" in text
        assert '"removed"' not in get(port, "/sw.js")[1]


def test_preview_and_demo_have_ports_of_their_own():
    preview = re.search(r"dev_addr: 127\.0\.0\.1:(\d+)", (demo.ROOT / "mkdocs.yml").read_text())[1]
    demo_port = re.search(r"^PORT \?= (\d+)", (demo.ROOT / "Makefile").read_text(), re.M)[1]
    assert preview != demo_port
