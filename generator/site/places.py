"""Where a site may go: never onto, around or into its own sources, a home folder or a mount. And what the system says
when it refuses to write, in words a person can act on."""

from __future__ import annotations

import contextlib
import errno
import os
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from generator.site import disk
from generator.terminal import report

SCRATCH = ".handturn-build-"
"""How the name of a folder begins in which a build is at work."""

_FULL = ("the disk is full.", "Make room on it and do the same again.")
_LOCKED = ("the system does not allow you this here.", "Get the right to read and write here, or name another folder.")
_IN_THE_WAY = ("something that is no folder is in the way.", "Move it away, or name another folder.")
_ODD_NAME = ("the system takes no folder of this name.", "Name another folder.")
_WHY = {
    errno.ENOSPC: _FULL,
    errno.EDQUOT: _FULL,
    errno.EROFS: ("this disk can be read and not written.", "Name a folder on another disk."),
    errno.EACCES: _LOCKED,
    errno.EPERM: _LOCKED,
    errno.ENOTDIR: _IN_THE_WAY,
    errno.EEXIST: _IN_THE_WAY,
    errno.ENAMETOOLONG: _ODD_NAME,
    errno.EINVAL: _ODD_NAME,
    errno.EILSEQ: _ODD_NAME,
}
_OF_THE_DISK = {errno.ENOSPC, errno.EDQUOT, errno.EROFS}


class PlaceRefused(Exception):
    """A folder that must not be written to: which one, what is wrong with it, what to do. Its text is two lines."""

    def __init__(self, place: Path, said: str, write: str) -> None:
        self.said = said
        super().__init__(report.refusal(str(place), said, write))


@dataclass(frozen=True)
class Sources:
    """What a site is made from. The site may be inside `root`, but must not contain `root` or one of the `folders`,
    and must not be inside one of the `folders` either."""

    root: Path
    folders: tuple[Path, ...]


def sources_of(root: Path, *folders: str) -> Sources:
    """Return the sources of a project: these folders, and the files that are served as they are."""
    return Sources(root, (*(root / folder for folder in folders), disk.OVERRIDES))


def place_of(site: Path, sources: Sources) -> Path:
    """Return the folder with every link in its path followed. Raises Refused where no site may go."""
    real = _followed(site)
    for each in (sources.root, *sources.folders):
        if _is_within(each, real):
            raise PlaceRefused(site, f"this folder is or holds {_real(each)}, which the site is made from.", _ANOTHER)
    for each in sources.folders:
        if _is_within(real, each):
            raise PlaceRefused(site, f"this folder lies inside {_real(each)}, which the site is made from.", _ANOTHER)
    if any(_is_within(home, real) for home in _homes()):
        raise PlaceRefused(site, "this is a home folder, or holds one.", _ANOTHER)
    if os.path.lexists(real) and not real.is_dir():
        raise PlaceRefused(site, "this is no folder.", _ANOTHER)
    mount = next((each for each in mounts() if each.is_relative_to(real)), real if real.is_mount() else None)
    if mount is not None:
        raise PlaceRefused(site, f"another disk is mounted at {mount}, and a site changes places by its name.", _INSIDE)
    return real


_ANOTHER = "Name another folder: one that is empty, is not there yet, or that a build made."
_INSIDE = "Name a folder inside of the mounted one, with no mount in it."


def _followed(site: Path) -> Path:
    if "\0" in str(site):
        raise PlaceRefused(site, *_ODD_NAME)
    absolute = Path(os.path.abspath(site))  # noqa: PTH100 - `absolute()` leaves `..` in
    for each in (absolute, *absolute.parents, site, *site.parents):
        if each.is_symlink() and not each.exists():
            raise PlaceRefused(
                site, f"{each} is a link that leads nowhere.", "Remove the link, or name another folder."
            )
    return _real(site)


def _real(path: Path) -> Path:
    return Path(os.path.realpath(path))


def _is_within(inner: Path, outer: Path) -> bool:
    """True if `inner` is `outer` or inside it, under any name. Folders are compared by what the system knows them
    by, because one disk takes `Site` and `site` for the same and another gives one folder two names."""
    return any(each == outer or _is_same(each, outer) for each in (_real(inner), *_real(inner).parents))


def _is_same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except OSError:
        return False


def _homes() -> Iterator[Path]:
    with contextlib.suppress(RuntimeError):
        yield Path.home()


def mounts() -> list[Path]:
    """Return every place where another disk or folder is mounted, as far as the system tells (Linux)."""
    try:
        lines = Path("/proc/self/mountinfo").read_text(errors="surrogateescape").splitlines()
    except OSError:
        return []
    found = (line.split(" ")[4] for line in lines if line.count(" ") > 4)
    return [Path(re.sub(r"\\(\d{3})", lambda match: chr(int(match[1], 8)), each)) for each in found]


def in_words(error: OSError, place: Path) -> PlaceRefused:
    """Say what the system refused, in words a person can act on."""
    at = Path(os.fsdecode(error.filename)) if isinstance(error.filename, str | bytes) else place
    if error.errno in _OF_THE_DISK or any(part.startswith(SCRATCH) for part in at.parts):
        at = place
    said, write = _WHY.get(error.errno or 0, (f"the system says: {error.strerror or error}.", "Name another folder."))
    return PlaceRefused(at, said, write)


@contextlib.contextmanager
def plainly(place: Path) -> Iterator[None]:
    """Turn what the system refuses inside the block into Refused."""
    try:
        yield
    except OSError as error:
        raise in_words(error, place) from error
