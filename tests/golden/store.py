"""Where golden sets are and how they are read. Nothing here writes into an existing set."""

from __future__ import annotations

import functools
import hashlib
import io
import json
import os
import subprocess
import tarfile
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import playwright

GOLDEN = Path(__file__).parent
ORIGIN = "127.0.0.1:8741"
"""Where every golden phone finds its site. No port is taken for it: the browser is told where that really is."""
Files = dict[str, bytes]


def sets() -> list[str]:
    """Return the names of the golden sets, oldest first."""
    return sorted(folder.name for folder in GOLDEN.iterdir() if (folder / "manifest.json").is_file())


def packed(files: Mapping[str, bytes]) -> bytes:
    """Return a tar.xz of these files, in order, without anybody's name or clock."""
    out = io.BytesIO()
    with tarfile.open(fileobj=out, mode="w:xz", preset=9) as archive:
        for path, body in sorted(files.items()):
            about = tarfile.TarInfo(path)
            about.size = len(body)
            archive.addfile(about, io.BytesIO(body))
    return out.getvalue()


@functools.cache
def unpacked(name: str, archive: str) -> Files:
    """Return the files of one archive of a set, {path: bytes}."""
    with tarfile.open(GOLDEN / name / archive, "r:xz") as opened:
        members = [member for member in opened.getmembers() if member.isfile()]
        return {member.name: opened.extractfile(member).read() for member in members}  # type: ignore[union-attr]


@functools.cache
def manifest(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((GOLDEN / name / "manifest.json").read_text(encoding="utf-8"))
    return found


def of(name: str, folder: str) -> dict[str, str]:
    """Return {job: text} of the records, states or sheets of a set."""
    jobs = {Path(path): body.decode() for path, body in unpacked(name, "jobs.tar.xz").items()}
    return {path.stem: text for path, text in jobs.items() if path.parts[0] == folder}


def put_profile(name: str, archive: str, folder: Path) -> None:
    """Put a golden phone's storage where a browser can be started on it."""
    for path, body in unpacked(name, archive).items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(body)


def node() -> str:
    """Return the JavaScript engine that comes with the test packages. No browser is needed to fold."""
    return str(Path(playwright.__file__).parent / "driver" / "node")


def by_phone(records: Mapping[str, str]) -> dict[str, dict[str, Any]]:
    """Return what the phone's own code makes of records: {job: {state, record, sheets}} or {job: {refused}}.

    `state` is canonical text, `record` what it would export again, `sheets` the digests of the worksheets in it.
    """
    with tempfile.TemporaryDirectory() as folder:
        given = Path(folder) / "records.json"
        given.write_text(json.dumps(dict(records)), encoding="utf-8")
        ran = subprocess.run(
            [node(), str(GOLDEN / "phone.mjs"), str(given)],
            capture_output=True,
            text=True,
            encoding="utf-8",
            env={**os.environ, "NODE_NO_WARNINGS": "1"},
        )
    assert ran.returncode == 0, ran.stderr
    found: dict[str, dict[str, Any]] = json.loads(ran.stdout)
    return found


def sums(name: str) -> dict[str, str]:
    """Return {file: SHA-256} of a set, without its manifest."""
    files = (file for file in (GOLDEN / name).iterdir() if file.name != "manifest.json")
    return {file.name: hashlib.sha256(file.read_bytes()).hexdigest() for file in sorted(files)}
