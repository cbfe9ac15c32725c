"""A small real disk: an ext4 file system in a file, mounted through a loop device. It can be filled to the last block,
or cut from its power. It needs root. `why_not()` says what else is missing on this machine.

    with loop_disk() as disk:
        browser = Chromium(disk.mount / "profile", url)
        disk.sync(); disk.fill(); disk.free()          # a full disk, and room again
        disk.shut_down(); browser.kill(); disk.replay()   # a battery pulled, and the phone started again
"""

from __future__ import annotations

import contextlib
import errno
import fcntl
import functools
import os
import shutil
import struct
import subprocess
import tempfile
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

MEBIBYTE = 1 << 20
FS_IOC_SHUTDOWN = 0x8004587D
NOLOGFLUSH = 2
"""Nothing more reaches the disk, the file system's own journal included."""


@functools.cache
def why_not() -> str:
    """Say what this machine lacks for a disk of its own, "" if nothing. It is tried once, for real."""
    if os.geteuid() != 0:
        return "mounting a disk takes root"
    lacking = [name for name in ("mkfs.ext4", "mount", "umount") if not shutil.which(name)]
    if lacking:
        return f"no {' and no '.join(lacking)} here"
    try:
        with loop_disk(8 * MEBIBYTE) as disk:
            disk.shut_down()
            disk.replay()
    except (OSError, subprocess.CalledProcessError) as error:
        told = getattr(error, "stderr", "") or str(error)
        return f"this machine mounts no disk of its own: {told.strip()}"
    return ""


def possible() -> bool:
    return not why_not()


def shut_down(mount: Path) -> None:
    """Pull the battery: what is not yet on the disk at `mount` never gets there. OSError if the system refuses."""
    folder = os.open(mount, os.O_RDONLY)
    try:
        fcntl.ioctl(folder, FS_IOC_SHUTDOWN, struct.pack("I", NOLOGFLUSH))
    finally:
        os.close(folder)


@dataclass(frozen=True)
class LoopDisk:
    image: Path
    mount: Path
    memory: int = 0
    """Bytes of a disk that lies in memory, with no image; 0 for one that has an image."""

    def attach(self) -> None:
        if self.memory:
            _run("mount", "-t", "tmpfs", "-o", f"size={self.memory}", "tmpfs", str(self.mount))
            return
        _run("mount", "-t", "ext4", "-o", "loop", str(self.image), str(self.mount))

    def detach(self) -> None:
        """Unmount. Wait for a process that is still ending. After 10 s, unmount as soon as the disk is free."""
        for _ in range(100):
            if not os.path.ismount(self.mount):
                return
            if subprocess.run(["umount", str(self.mount)], capture_output=True).returncode == 0:
                return
            time.sleep(0.1)
        _run("umount", "--lazy", str(self.mount))

    def sync(self) -> None:
        """Write everything that is held back, for this disk only."""
        _run("sync", "--file-system", str(self.mount))

    def shut_down(self) -> None:
        shut_down(self.mount)

    def replay(self) -> None:
        """Start again after a power cut: unmount, and mount with what the disk and its journal hold."""
        self.detach()
        self.attach()

    def fill(self) -> int:
        """Take every free block. Returns how many bytes are left."""
        with (self.mount / "filler").open("ab") as filler:
            size = filler.tell()
            step = 64 * MEBIBYTE
            while step >= 4096:
                try:
                    os.posix_fallocate(filler.fileno(), size, step)
                    size += step
                except OSError as error:
                    if error.errno != errno.ENOSPC:
                        raise
                    step //= 2
        now = os.statvfs(self.mount)
        return now.f_bavail * now.f_frsize

    @contextlib.contextmanager
    def full(self) -> Iterator[None]:
        """Keep the disk full to the last block. What others free meanwhile is taken too."""
        self.fill()
        over = threading.Event()

        def go_on() -> None:
            while not over.wait(0.02):
                self.fill()

        filling = threading.Thread(target=go_on, daemon=True)
        filling.start()
        try:
            yield
        finally:
            over.set()
            filling.join()
            self.free()

    def free(self) -> None:
        """Free the filled blocks."""
        (self.mount / "filler").unlink()


@contextlib.contextmanager
def loop_disk(size: int = 160 * MEBIBYTE) -> Iterator[LoopDisk]:
    """A mounted disk of so many bytes. It is removed at the end in any case. Its processes must have ended by then."""
    with tempfile.TemporaryDirectory(prefix="handturn-disk-") as folder:
        disk = LoopDisk(Path(folder) / "image", Path(folder) / "mount")
        disk.mount.mkdir()
        with disk.image.open("wb") as image:
            image.truncate(size)
        _run("mkfs.ext4", "-q", "-F", "-m", "0", str(disk.image))
        try:
            disk.attach()
            yield disk
        finally:
            disk.detach()


@contextlib.contextmanager
def memory_disk(size: int = 160 * MEBIBYTE) -> Iterator[LoopDisk]:
    """A disk in memory. It refuses memory-mapped writes as well as plain ones. It has no power to cut."""
    with tempfile.TemporaryDirectory(prefix="handturn-disk-") as folder:
        disk = LoopDisk(Path(folder) / "none", Path(folder), memory=size)
        try:
            disk.attach()
            yield disk
        finally:
            disk.detach()


def _run(*command: str) -> None:
    """Run a command. Raises CalledProcessError with what the command said if it fails."""
    subprocess.run(command, check=True, capture_output=True, text=True)
