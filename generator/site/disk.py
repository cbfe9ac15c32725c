"""The disk: source files in, files of a site out.

What comes in is measured before it is read, and no link is followed; what goes out stays inside its folder.
"""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath, PureWindowsPath

from generator.faults import Fault
from generator.faults.folder import (
    CannotBeOpened,
    FoldersTooDeep,
    NoFolder,
    NothingToRead,
    NotReadForName,
)
from generator.faults.source import LinkNotFollowed
from generator.inputs import door, pictures
from generator.inputs.door import Files
from generator.place import Place

PICTURE_TYPES = {".svg", ".png", ".jpg", ".jpeg", ".webp"}
SOURCE_TYPES = {".yml", ".yaml"}
DEEPEST = 20  # folders inside one another
BEGINNING = 4096  # bytes of a file in which its first key stands
LOOKED_AT = 200  # files or folders beside the missing one
# `pump.yml.txt`, `Pump.YML`; and what an editor leaves beside `pump.yml`: `.pump.yml.swp`, `pump.yml~`, `#pump.yml#`.
_LIKE_OURS = re.compile(r"[.#]*(?P<stem>.*?)\.ya?ml", re.IGNORECASE)
_EDITORS = re.compile(r"[.#]*(?P<of>.+?\.ya?ml)(?:~|#|\.~\d+~|\.(?:[\w-]*sw[a-z]|bak|orig|old|rej|tmp|save))+")
OVERRIDES = Path(__file__).parents[1] / "site_overrides"
if not OVERRIDES.is_dir():  # a checkout; the wheel carries the folder inside the package
    OVERRIDES = Path(__file__).parents[2] / "site_overrides"
# A link that takes the place of a file between looking and opening is not followed, and a pipe does not hold us up.
_PLAINLY = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


def read_sources(root: Path, folders: tuple[str, ...]) -> Files:
    """Every YAML file below the folders (the procedures' first, then the shop's), by its path as the author would type
    it from `root`; of one that is too large so much that this can be seen, and none after all together are too much.
    What looks like a source and was not read is in the result, as is a folder that is not there or holds nothing."""
    walk = _Walk(root, SOURCE_TYPES)
    options = ["procedures", *["shop" for _ in folders[1:]]]
    paths = (path for folder, option in zip(folders, options, strict=True) for path in walk.sources(folder, option))
    files = _read(walk, paths, lambda path: _typed(path, root), door.UNREAD, door.ALL_LIMIT)
    files.folders = folders
    return files


def read_pictures(root: Path, folder: str) -> Files:
    """Pictures below `<folder>/pictures`, by their path inside it; as `read_sources` of those that are too large. None
    where there is no such folder."""
    inside = root / folder / "pictures"
    most, limit = pictures.PICTURE_LIMIT + 1, pictures.PICTURES_LIMIT
    walk = _Walk(root, PICTURE_TYPES)
    return _read(walk, walk.pictures(f"{folder}/pictures"), lambda path: _typed(path, inside), most, limit)


def read_overrides(folder: Path = OVERRIDES) -> dict[str, bytes]:
    """What is served as it stands, and the templates, by posix path inside site_overrides/."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }


def write_files(files: Mapping[str, bytes], folder: Path) -> None:
    """Write each file inside the folder. Raises ValueError for a path that leads out of it: that is a bug of ours."""
    for path, content in files.items():
        target = folder / inside(path)
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)


def inside(path: str) -> PurePosixPath:
    """The path, if it stays in the folder it is joined to.

    >>> inside("w/pump/index.html"), inside("../index.html")
    Traceback (most recent call last):
    ValueError: '../index.html' leads out of the site
    """
    pure = PurePosixPath(path)
    elsewhere = pure.is_absolute() or ".." in pure.parts or PureWindowsPath(path).drive != ""
    if not path or elsewhere or "\\" in path or not path.isprintable():
        raise ValueError(f"{path!r} leads out of the site")
    return pure


def read_site(site: Path) -> dict[str, bytes]:
    """Every file below the folder by its path in it; none if there is no such folder."""
    return {path.relative_to(site).as_posix(): path.read_bytes() for path in sorted(site.rglob("*")) if path.is_file()}


def read_file(path: Path, most: int) -> bytes | str:
    """At most so many bytes of a file that a person named; or in words what stands there instead."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            return "this is a folder" if path.is_dir() else "this is a pipe or a device"
        with path.open("rb") as file:
            return file.read(most)
    except FileNotFoundError:
        return "there is no such file"
    except PermissionError:
        return "the system does not allow you to read this file"
    except (OSError, ValueError) as error:
        return f"this file cannot be read ({getattr(error, 'strerror', None) or error})"


def served_sheets(site: Path) -> list[bytes] | None:
    """The worksheets that a built site serves; None where no site was built."""
    if not (site / "packs.json").is_file():
        return None
    return [path.read_bytes() for path in sorted(site.glob("w/*/sheet.json")) if path.is_file()]


def _read(walk: _Walk, paths: Iterator[Path], named: Callable[[Path], str], most: int, limit: int) -> Files:
    files, total = Files(), 0
    for path in paths:
        if total > limit or len(files) > door.FILES_LIMIT:
            break
        data = _start_of(path, most)
        if isinstance(data, bytes):
            files[named(path)] = data
            total += len(data)
        else:
            walk.refuse(data, path)
    files.refused, files.missing = tuple(walk.refused), tuple(walk.missing)
    return files


FaultAt = Callable[[Place], Fault]


@dataclass
class _Walk:
    """On the way through folders: what is to be read is given out, what is not read and looks as if it should be is
    noted. Into a folder that is a link nobody goes."""

    root: Path
    types: set[str]
    refused: list[Fault] = field(default_factory=list)
    missing: list[Fault] = field(default_factory=list)

    def refuse(self, why: FaultAt, path: Path) -> None:
        self.refused.append(why(Place(_typed(path, self.root))))

    def miss(self, why: FaultAt, path: Path) -> None:
        self.missing.append(why(Place(_typed(path, self.root))))

    def sources(self, folder: str, option: str) -> Iterator[Path]:
        top, told, met = self.root / folder, self._told(), 0
        if not self._is_link(top):
            if not _is_folder(top):
                self.miss(self._absent(top, option), top)
            for path in self._below(top, DEEPEST):
                met += 1
                yield path
        if not met and self._told() == told:
            self.miss(lambda place: NothingToRead(place, option), top)

    def pictures(self, folder: str) -> Iterator[Path]:
        top = self.root / folder
        if not self._is_link(top) and os.path.lexists(top):
            yield from self._below(top, DEEPEST)

    def _told(self) -> int:
        return len(self.refused) + len(self.missing)

    def _is_link(self, top: Path) -> bool:
        """Whether the folder, or one above it inside the root, is a link: then nothing of it is read."""
        within = (path for path in (top, *top.parents) if path != self.root and path.is_relative_to(self.root))
        link = next((path for path in within if os.path.islink(path)), None)  # noqa: PTH114 - as in `_start_of`
        if link is not None:
            self.miss(LinkNotFollowed, link)
        return link is not None

    def _absent(self, top: Path, option: str) -> FaultAt:
        kind = "shop" if option == "shop" else "procedure"
        here = self.root.resolve().name if _kind_of(self.root / "shop.yml") == "shop" else ""
        return lambda place: NoFolder(place, option, os.path.lexists(top), tuple(_holding(self.root, kind)), here)

    def _below(self, folder: Path, deep: int) -> Iterator[Path]:
        """Files of these types and links, in order."""
        try:
            with os.scandir(folder) as entries:
                here = sorted(entries, key=lambda entry: entry.name)
        except (NotADirectoryError, FileNotFoundError):
            return  # told already, or gone meanwhile
        except OSError as error:
            why = _in_words(error)
            self.miss(lambda place: CannotBeOpened(place, "folder", why), folder)
            return
        names = {entry.name for entry in here}
        for entry in here:
            path = folder / entry.name
            if entry.is_symlink():
                if _is_lock(path):
                    continue
                if path.suffix in self.types or self._is_like_ours(path) or _leads_to_folder(entry):
                    yield path
            elif entry.is_dir(follow_symlinks=False):
                if deep:
                    yield from self._below(path, deep - 1)
                else:
                    self.miss(lambda place: FoldersTooDeep(place, DEEPEST), path)
            elif path.suffix in self.types:
                yield path
            elif self.types is SOURCE_TYPES and _is_source(path, names):
                self.refuse(_not_read(path, names), path)

    def _is_like_ours(self, path: Path) -> bool:
        return self.types is SOURCE_TYPES and _LIKE_OURS.match(path.name) is not None


def _is_lock(link: Path) -> bool:
    """Whether an editor holds a file open: Emacs keeps a link `.#NAME` to nothing beside it, with the user's name in
    it. There is nothing behind it to read."""
    return link.name.startswith(".#") and not os.path.lexists(link.parent / os.readlink(link))  # noqa: PTH115


def _leads_to_folder(link: os.DirEntry[str]) -> bool:
    try:
        return link.is_dir()
    except PermissionError:
        return True
    except OSError:
        return False


def _is_folder(path: Path) -> bool:
    """Whether something there is a folder, or may be one that the system does not let us look at."""
    try:
        return stat.S_ISDIR(path.stat().st_mode)
    except PermissionError:
        return True
    except (OSError, ValueError):
        return False


def _is_source(path: Path, names: set[str]) -> bool:
    """A file that is not read: whether it is named like a source or begins as one, and is no editor's copy of a source
    that is here."""
    editors = _EDITORS.fullmatch(path.name)
    if editors and editors["of"] in names:
        return False
    if _LIKE_OURS.match(path.name):
        return True
    return path.suffix.lower() not in PICTURE_TYPES and _kind_of(path) is not None


def _not_read(path: Path, names: set[str]) -> FaultAt:
    like = _LIKE_OURS.match(path.name)
    name = f"{(like['stem'] if like else path.stem) or 'its-name'}.yml"
    return lambda place: NotReadForName(place, name, name in names)


def _holding(root: Path, kind: str) -> Iterator[str]:
    """Folders in the root in which a source of this kind stands."""
    for folder in _some(root):
        if folder.is_dir() and not folder.name.startswith(".") and not folder.is_symlink():
            sources = (path for path in _some(folder) if path.suffix in SOURCE_TYPES)
            if any(_kind_of(path) == kind for path in sources):
                yield folder.name


def _some(folder: Path) -> list[Path]:
    try:
        return sorted(folder.iterdir())[:LOOKED_AT]
    except OSError:
        return []


def _kind_of(path: Path) -> str | None:
    begins = _start_of(path, BEGINNING)
    return door.begins_as(begins) if isinstance(begins, bytes) else None


def _start_of(path: Path, most: int) -> bytes | FaultAt:
    """The file up to so many bytes, or why not: it is a link, or has become one since it was listed; it is locked."""
    if os.path.islink(path):  # noqa: PTH114 - `is_symlink` raises where it may not look
        return LinkNotFollowed
    try:
        opened = os.open(path, _PLAINLY)
    except OSError as error:
        why = _in_words(error)
        return lambda place: CannotBeOpened(place, "file", why)
    with os.fdopen(opened, "rb") as file:
        if stat.S_ISREG(os.fstat(opened).st_mode):
            return file.read(most)
    return lambda place: CannotBeOpened(place, "file", "it is a pipe or a device")


def _in_words(error: OSError) -> str:
    if isinstance(error, PermissionError):
        return "the system does not allow it"
    return f'the system says "{error.strerror or error}"'


def _typed(path: Path, root: Path) -> str:
    return path.relative_to(root).as_posix() if path.is_relative_to(root) else path.as_posix()
