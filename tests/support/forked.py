"""Run a command in a child of this process: quick to start, and it can be killed at any step on the disk."""

from __future__ import annotations

import contextlib
import functools
import io
import os
import signal
import sys
import tempfile
import traceback
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

os.environ["NO_MKDOCS_2_WARNING"] = "1"  # the theme reads it while it is imported

import mkdocs.__main__
import mkdocs.commands.build
import mkdocs.config

from generator import cli, plugin  # noqa: F401 - imported once here, not in each child
from tests.support.shop_folder import project

Step = Callable[[int, str, tuple[Any, ...]], bool]
"""Number, name and arguments of a step on the disk (an audit event): whether the child is killed before it."""

STEPS = {"os.mkdir", "os.rename", "os.link", "os.symlink", "os.remove", "os.rmdir", "os.chmod", "os.truncate"}
_WRITES = os.O_WRONLY | os.O_RDWR | os.O_CREAT


@dataclass(frozen=True)
class Ended:
    """How a command ended: its exit code (-9 if it was killed), its output, and how many steps on the disk it took."""

    code: int
    said: str
    steps: int = 0


def run(
    words: Sequence[str],
    folder: Path,
    *,
    home: Path | None = None,
    user: int | None = None,
    kill: Step | None = None,
    program: str = "handturn",
) -> Ended:
    """Run `handturn WORDS` or `mkdocs WORDS` in a folder. `user`: run as this user, if the tests run as root."""
    _warm(program)
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as count:
        child = os.fork()
        if child == 0:
            _child(words, folder, home, user, kill, program, out.fileno(), count.fileno())
        _, status = os.waitpid(child, 0)
        out.seek(0)
        count.seek(0)
        said = out.read().decode(errors="replace")
        return Ended(os.waitstatus_to_exitcode(status), said, int(count.read() or b"0"))


@functools.cache
def _warm(program: str) -> None:
    """Load what a first build reads and compiles, so that every child has it, whatever that child may read."""
    with tempfile.TemporaryDirectory() as folder:
        project(Path(folder))
        if program == "mkdocs":
            mkdocs.commands.build.build(mkdocs.config.load_config(f"{folder}/mkdocs.yml"))
            return
        with contextlib.chdir(folder), contextlib.redirect_stdout(io.StringIO()):
            code = _main(["build", "--shop", "shop", "--out", "site"], program)
    assert code == 0, "a sound project is built"


def _child(
    words: Sequence[str],
    folder: Path,
    home: Path | None,
    user: int | None,
    kill: Step | None,
    program: str,
    out: int,
    count: int,
) -> None:
    code = 99
    try:
        os.dup2(out, 1)
        os.dup2(out, 2)
        sys.stdout, sys.stderr = os.fdopen(1, "w", closefd=False), os.fdopen(2, "w", closefd=False)
        os.chdir(folder)
        if home:
            os.environ["HOME"] = str(home)
        if user is not None:
            os.setgroups([])
            os.setgid(user)
            os.setuid(user)
        taken = _watch(kill)
        code = _main(words, program)
        os.pwrite(count, str(taken[0]).encode(), 0)
    except BaseException:
        traceback.print_exc()
    finally:
        sys.stdout.flush()
        sys.stderr.flush()
        os._exit(code)


def _main(words: Sequence[str], program: str) -> int:
    command = mkdocs.__main__.cli if program == "mkdocs" else cli.main
    try:
        command(list(words), prog_name=program)
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 1
    return 0


def _watch(kill: Step | None) -> list[int]:
    taken = [0]

    def step(event: str, args: tuple[Any, ...]) -> None:
        if event in STEPS or (event == "open" and isinstance(args[2], int) and args[2] & _WRITES):
            if "__pycache__" in str(args[0]):
                return
            taken[0] += 1
            if kill and kill(taken[0], event, args):
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(step)
    return taken
