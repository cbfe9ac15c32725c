"""`mkdocs serve` and `make demo`: the preview rebuilds and saves nothing on the phone; the demo answers."""

from __future__ import annotations

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from generator.site import demo_server
from generator.site.disk import write_files
from tests.sites.test_build import QUIET, project
from tests.support import demo


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def get(port: int, path: str) -> tuple[int, str]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=40)
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
        page = "/w/timing-belt-service--brackwold-i4-16/"
        assert wait_for(lambda: get(port, page)[0] == 200)
        assert '"removed": "preview"' in get(port, "/sw.js")[1]
        source = folder / "procedures/intake.yml"
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


@pytest.fixture
def served(tmp_path):
    """Serve a site as the demo does: its port and its folder."""
    site = tmp_path / "site"
    write_files({"index.html": b"start", "w/a/index.html": b"a", "phone/start.js": b"go()", "empty/x": b""}, site)
    write_files({"secret.txt": b"mine", "index.html": b"mine"}, tmp_path / "home")
    (site / "out.txt").symlink_to(tmp_path / "home/secret.txt")
    (site / "home").symlink_to(tmp_path / "home")
    (site / "w/b").mkdir()
    (site / "w/b/index.html").symlink_to(tmp_path / "home/index.html")
    (site / "in.txt").symlink_to("index.html")
    (site / "loop").symlink_to("loop")
    with demo_server.serving(site, 0) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server.server_address[1]
        server.shutdown()


def test_the_demo_server_gives_the_files_of_the_site_and_pages_by_their_folder(served):
    found = {path: get(served, path) for path in ("/", "/index.html", "/w/a/", "/phone/start.js", "/in.txt?x=1")}
    assert {path: status for path, (status, _) in found.items()} == dict.fromkeys(found, 200)
    assert found["/w/a/"][1] == "a"
    assert get(served, "/w/a")[0] == 301


NOTHING = (
    "/w/ /empty/ /phone /phone/ /out.txt /home/ /home/secret.txt /w/b/ /loop /%00 /a%00.js /%ff /index.html/ "
    "/../home/secret.txt /%2e%2e/home/secret.txt /..%2fhome/secret.txt /" + "x" * 5000
).split()


@pytest.mark.parametrize("path", NOTHING, ids=lambda path: path[:30])
def test_the_demo_server_lists_nothing_and_leaves_the_site_by_no_link(served, path, capfd):
    status, text = get(served, path)
    assert status in (404, 301) and "mine" not in text and "Directory listing" not in text
    if status == 301:
        assert get(served, f"{path}/")[0] == 404
    assert "Traceback" not in capfd.readouterr().err


def test_preview_and_demo_have_ports_of_their_own():
    preview = re.search(r"dev_addr: 127\.0\.0\.1:(\d+)", (demo.ROOT / "mkdocs.yml").read_text())[1]
    demo_port = re.search(r"^PORT \?= (\d+)", (demo.ROOT / "Makefile").read_text(), re.M)[1]
    assert preview != demo_port
