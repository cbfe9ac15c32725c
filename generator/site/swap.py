"""A finished site takes the place of the old one. Nothing that a build did not make is ever removed.

Beside the site stands a scratch folder, `.handturn-build-*`:

    build.json   {"v": 1, "site": name of the site's folder}
    new/         the site as it is being made
    old/         the last one, while they change places

The old site is renamed to `old`, `new` to the site: between the two renames there is no site, and nowhere else. Whoever
builds keeps a lock on the scratch folder. One without a lock was left by a build that died, and the next command sees
from what is in it how far that build came (`put_back`).
"""

from __future__ import annotations

import contextlib
import json
import os
import re
import shutil
import stat
import tempfile
from collections.abc import Iterator, Mapping
from importlib import import_module
from pathlib import Path
from typing import Any

from generator.faults import listing
from generator.site import disk, manifest
from generator.site.bundle import INDEX, MANIFEST
from generator.site.earlier import Earlier
from generator.site.manifest import WORKER, Manifest
from generator.site.places import SCRATCH, PlaceRefused, Sources, in_words, mounts, place_of, plainly
from generator.worksheet import Worksheet, reads

try:
    fcntl: Any = import_module("fcntl")
except ImportError:  # a system without these locks: what a killed build left stays there
    fcntl = None

_OWNER, _NEW, _OLD = "build.json", "new", "old"
_BY_HAND = "Move it out of this folder, then do the same again."


class Fresh:
    """A site in the making. `notes`: what a person should know of what an earlier build left."""

    def __init__(self, site: Path, sources: Sources) -> None:
        """Put back what a killed build left of the last good site. Raises Refused where no site may go."""
        with plainly(site):
            self.named, self.site = site, place_of(site, sources)
            self.notes = put_back(self.site)
            known(self.site)
        self._scratch: _Scratch | None = None

    def earlier(self, shop: str) -> Earlier:
        """Return the worksheets of the last build, which this one is compared with."""
        return earlier(self.site, shop, str(self.named))

    def open(self, shop: str) -> Path:
        """Return the empty folder that the site of this shop is written to. Raises Refused if another shop's site is
        there."""
        with plainly(self.named):
            known(self.site, shop)
            self.site.parent.mkdir(parents=True, exist_ok=True)
            self.shop, self._scratch = shop, _Scratch(self.site)
        return self._scratch.new

    def make(self, files: Mapping[str, bytes], shop: str) -> None:
        """Do all steps for a site that is given as files by path."""
        try:
            disk.write_files(files, self.open(shop))
            self.take_place()
        except OSError as error:
            raise in_words(error, self.named) from error
        finally:
            self.close()

    def take_place(self) -> None:
        """Make what was written the site, together with what people put into the old one. Raises Refused, with the
        old site in place, if something that no build made has the name of a new file."""
        assert self._scratch
        scratch, new = self._scratch.path, self._scratch.new
        with plainly(self.named):
            made = manifest.of(self.shop, disk.read_site(new))
            disk.write_files({MANIFEST: made.text()}, new)
            with _alone(self.site.parent):
                for path in _to_carry(self.site, known(self.site, self.shop), new):
                    _carry(path, self.site, new)
                _exchange(self.site, scratch)
        self.close()

    def close(self) -> None:
        """Drop what was not finished, or what is left of the old site."""
        if self._scratch is None:
            return
        scratch, self._scratch = self._scratch, None
        try:
            with _alone(self.site.parent):
                self.notes += _settle(scratch.path, self.site)
        except OSError:  # the site stands; the next build tries again
            self.notes.append(f"{scratch.path} could not be removed.")
        finally:
            scratch.release()


def put_back(site: Path) -> list[str]:
    """Undo or finish what a killed build left of this site. Anything unclear is left and noted."""
    site, notes = Path(os.path.realpath(site)), list[str]()
    if fcntl is not None and site.parent.is_dir():
        with plainly(site), _alone(site.parent):
            for scratch in sorted(site.parent.glob(f"{SCRATCH}*")):
                notes += _put_back(scratch, site)
    return notes


def known(site: Path, shop: str | None = None) -> Manifest | None:
    """Return what a build made in this folder, or None for an empty or missing one. Raises Refused for any other
    folder, and for the site of another shop."""
    if not site.is_dir() or not any(site.iterdir()):
        return None
    found = _manifest(site)
    if found is None and os.path.lexists(site / MANIFEST):
        raise PlaceRefused(site, f"{MANIFEST}, the list of what a build made here, is damaged.", _EMPTY)
    if found is None:
        names = listing(sorted(each.name for each in site.iterdir()))
        raise PlaceRefused(site, f"no build made this folder, and it is not empty ({names}).", _EMPTY)
    if shop is not None and found.shop not in (None, shop):
        raise PlaceRefused(
            site, f'this is the site of the shop "{found.shop}", and the sources are of "{shop}".', _SHOP
        )
    return found


_EMPTY = "Name a folder that is empty or not there yet. If this is an old site, move it away first."
_SHOP = "Name another folder. If the shop has a new id, move the old site away first."


def earlier(site: Path, shop: str, named: str) -> Earlier:
    """Read the worksheets of the site that the last build of this shop made in a folder, `named` as a person types it.
    What no build made, or what was changed since, is not used, and the result says so."""
    try:
        with plainly(site):
            found = known(site, shop)
            if found is None:
                return Earlier(named, unread=((named, "there is no built site here yet"),))
            read = [_sheet(site, found, path) for path in sorted(found.files) if _SHEET.fullmatch(path)]
    except PlaceRefused as refused:
        return Earlier(named, unread=((named, refused.said.rstrip(".")),))
    sheets = {sheet["worksheet"]: sheet for _, sheet in read if not isinstance(sheet, str)}
    unread = tuple((f"{named}/{path}", sheet) for path, sheet in read if isinstance(sheet, str))
    return Earlier(named, sheets, unread if read else ((named, "the site here has no worksheets"),))


_SHEET = re.compile(r"w/[^/]+/sheet\.json")


def _sheet(site: Path, made: Manifest, path: str) -> tuple[str, dict[str, Any] | str]:
    content = _content(site / path)
    if content is None or not made.is_made(path, content):
        return path, "this worksheet was changed or taken away since it was built"
    with contextlib.suppress(ValueError, RecursionError):
        sheet = json.loads(content)
        if reads(Worksheet, sheet):
            return path, sheet
    return path, "this worksheet was built by another version, and cannot be read"


def _is_known(site: Path) -> bool:
    try:
        return known(site) is not None
    except PlaceRefused:
        return False


def withdraw(site: Path, worker: bytes) -> None:
    """Replace the site's worker with this one. Raises Refused if no build made the site, or somebody changed its
    `sw.js`."""
    with plainly(site), _alone(Path(os.path.realpath(site)).parent):
        found = known(site)
        if found is None or not _is_made(site, found, WORKER):
            raise PlaceRefused(site / WORKER, "no build made this file, or it was changed since.", _BY_HAND)
        changed = manifest.of(found.shop or "", {WORKER: worker})
        listed = Manifest(found.shop, {**found.files, **changed.files})
        for name, content in ((MANIFEST, listed.text()), (WORKER, worker)):
            _replace(site / name, content)


# --- Whose is what ----------------------------------------------------------------------------------------------------


def _manifest(site: Path) -> Manifest | None:
    if os.path.lexists(site / MANIFEST):
        return manifest.read(_content(site / MANIFEST) or b"")
    if _content(site / WORKER) is None:
        return None
    return manifest.of_earlier(_paths(site), lambda path: _content(site / path))


def _paths(folder: Path) -> Iterator[str]:
    """All that is in the folder: files, links, and with a slash behind it each folder that has nothing in it. The files
    by which a site is known come last. No link is followed."""
    last, folders = [], [""]
    while folders:
        inside = folders.pop()
        with os.scandir(folder / inside) as entries:
            here = sorted(entries, key=lambda entry: entry.name)
        if inside and not here:
            yield f"{inside}/"
        for entry in here:
            path = f"{inside}/{entry.name}" if inside else entry.name
            if entry.is_dir(follow_symlinks=False):
                folders.append(path)
            elif path in (MANIFEST, WORKER, INDEX):
                last.append(path)
            else:
                yield path
    yield from last


def _content(path: Path) -> bytes | None:
    try:
        return path.read_bytes() if stat.S_ISREG(path.lstat().st_mode) else None
    except (FileNotFoundError, NotADirectoryError):
        return None


def _is_made(site: Path, made: Manifest | None, path: str) -> bool:
    if made is None or (path not in made.files and path not in (MANIFEST, WORKER)):
        return False
    content = _content(site / path)
    return content is not None and made.is_made(path, content)


def _is_there(path: str, old: Path, new: Path) -> bool:
    """True if the new site has the same file under this name, so that nothing is lost with the old one."""
    if path.endswith("/"):
        return (new / path).is_dir()
    if not os.path.lexists(new / path):
        return False
    if (old / path).is_symlink():
        return (new / path).is_symlink() and (old / path).readlink() == (new / path).readlink()
    if (new / path).is_symlink() or not (new / path).exists():
        return False
    if os.path.samestat((old / path).lstat(), (new / path).lstat()):
        return True
    content = _content(new / path)
    return content is not None and (old / path).lstat().st_size == len(content) and content == _content(old / path)


def _to_carry(site: Path, made: Manifest | None, new: Path) -> list[str]:
    """Return what people put into the old site. Raises Refused if they changed a file that a build made, or used the
    name of a new one."""
    carried, changed, taken = [], [], []
    for path in _paths(site) if site.is_dir() else ():
        if _is_made(site, made, path) or _is_there(path, site, new):
            continue
        if made is not None and path in made.files:
            changed.append(path)
        elif _has_room(path, new):
            carried.append(path)
        else:
            taken.append(path)
    if changed:
        raise PlaceRefused(site, f"changed by hand since it was built: {listing(changed)}.", _BY_HAND)
    if taken:
        raise PlaceRefused(site, f"put there by hand, and the new site needs the name: {listing(taken)}.", _BY_HAND)
    return carried


def _has_room(path: str, new: Path) -> bool:
    """True if the new site has nothing of this name, and no file where this one needs a folder."""
    parents = [new / each for each in Path(path).parents]
    return not os.path.lexists(new / path) and not any(os.path.lexists(up) and not up.is_dir() for up in parents)


def _carry(path: str, old: Path, new: Path) -> None:
    """Give the file a second name in the new site, or copy it where the disk has no second names. The old site loses
    nothing."""
    _folders_for(path, old, new)
    if path.endswith("/"):
        (new / path).mkdir()
        shutil.copystat(old / path, new / path)
        return
    try:
        os.link(old / path, new / path, follow_symlinks=False)
    except OSError:
        shutil.copy2(old / path, new / path, follow_symlinks=False)


def _folders_for(path: str, old: Path, new: Path) -> None:
    for up in reversed(Path(path).parents[:-1]):
        if not (new / up).is_dir():
            (new / up).mkdir()
            shutil.copystat(old / up, new / up)


# --- Changing places --------------------------------------------------------------------------------------------------


class _Scratch:
    def __init__(self, site: Path) -> None:
        with _alone(site.parent):
            self.path = Path(tempfile.mkdtemp(prefix=SCRATCH, dir=site.parent))
            (self.path / _OWNER).write_text(json.dumps({"v": 1, "site": site.name}))
            self._lock = _lock(self.path / _OWNER)
        self.new = self.path / _NEW
        self.new.mkdir()

    def release(self) -> None:
        if self._lock is not None:
            os.close(self._lock)


def _exchange(site: Path, scratch: Path) -> None:
    new, old = scratch / _NEW, scratch / _OLD
    if not site.exists():
        new.rename(site)
        return
    shutil.copymode(site, new)
    site.rename(old)
    try:
        new.rename(site)
    except BaseException:
        old.rename(site)
        raise


def _put_back(scratch: Path, site: Path) -> list[str]:
    """Settle one scratch folder if it is ours and no build is at work in it."""
    about = scratch.lstat()
    if not stat.S_ISDIR(about.st_mode) or about.st_uid != os.geteuid():
        return []
    if _is_bare(scratch):
        (scratch / _OWNER).unlink(missing_ok=True)
        scratch.rmdir()
        return []
    if _owner(scratch) != site.name:
        return []
    lock = _lock(scratch / _OWNER)
    if lock is None:
        return []
    try:
        return _settle(scratch, site)
    finally:
        os.close(lock)


def _is_bare(scratch: Path) -> bool:
    """True if a build died just after its start or just before its end: the folder has nothing, or one empty file."""
    inside = list(scratch.iterdir())
    return not inside or (inside == [scratch / _OWNER] and _content(inside[0]) == b"")


def _settle(scratch: Path, site: Path) -> list[str]:
    """Undo a swap that was not finished, or finish one that was, and remove the scratch folder."""
    new, old = (scratch / _NEW).is_dir(), (scratch / _OLD).is_dir()
    if new and old and not os.path.lexists(site):
        (scratch / _OLD).rename(site)
    elif old and (new or not _is_known(site)):
        return [f"{scratch / _OLD} is the site as it was before a build that was stopped. Look at it, then delete it."]
    return _tidy(scratch, site)


def _owner(scratch: Path) -> str | None:
    """Return whose a scratch folder is, or None if it is not clearly ours."""
    if not {each.name for each in scratch.iterdir()} <= {_OWNER, _NEW, _OLD}:
        return None
    with contextlib.suppress(ValueError, TypeError):
        told = json.loads(_content(scratch / _OWNER) or b"")
        if isinstance(told, dict) and told.get("v") == 1:
            return str(told.get("site"))
    return None


def _tidy(scratch: Path, site: Path) -> list[str]:
    """Remove a scratch folder, but not what no build made. What stays is noted."""
    if any(each.is_relative_to(scratch) for each in mounts()):
        return [f"another disk is mounted in {scratch}; unmount it, then build again."]
    left = _remove_made(scratch / _OLD, site) if (scratch / _OLD).is_dir() else []
    if left:
        return [f"{scratch / _OLD} holds what no build made: {listing(left)}. Move it to where it belongs."]
    if (scratch / _NEW).is_dir():
        shutil.rmtree(scratch / _NEW)
    (scratch / _OWNER).unlink()
    scratch.rmdir()
    return []


def _remove_made(old: Path, site: Path) -> list[str]:
    """Remove from the old site what a build made and what the new one has as well. What came into it while the new one
    was being made goes there; what finds no room there is left, and named."""
    made, left = _manifest(old), list[str]()
    for path in list(_paths(old)):
        if path in (MANIFEST, WORKER, INDEX) and left:
            continue
        if path.endswith("/"):
            continue
        if _is_made(old, made, path) or _is_there(path, old, site):
            (old / path).unlink()
        elif _has_room(path, site):
            _folders_for(path, old, site)
            (old / path).rename(site / path)
        else:
            left.append(path)
    for folder in sorted((each for each, _, _ in os.walk(old)), key=len, reverse=True):
        with contextlib.suppress(OSError):  # one that is not empty
            Path(folder).rmdir()
    return left


def _replace(path: Path, content: bytes) -> None:
    """Write the whole file beside the old one, then rename it."""
    handle, fresh = tempfile.mkstemp(dir=path.parent, prefix=".handturn-")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        if path.exists():
            shutil.copymode(path, fresh)
        else:
            Path(fresh).chmod(0o666 & ~_umask())
        Path(fresh).replace(path)
    except BaseException:
        Path(fresh).unlink(missing_ok=True)
        raise


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


# --- One at a time ----------------------------------------------------------------------------------------------------


def _lock(file: Path) -> int | None:
    """An open lock on a file; None when another process has it, or where there are no such locks. It ends with the
    process, however that ends."""
    if fcntl is None:
        return None
    handle = os.open(file, os.O_RDWR)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(handle)
        return None
    return handle


@contextlib.contextmanager
def _alone(parent: Path) -> Iterator[None]:
    """Keep other builds from changing a site in this folder meanwhile."""
    handle = os.open(parent, os.O_RDONLY) if fcntl is not None else None
    try:
        if handle is not None:
            with contextlib.suppress(OSError):  # a disk without locks
                fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        if handle is not None:
            os.close(handle)
