"""The disk: source files in, files of a site out.

What comes in is measured before it is read, and no link is followed; what goes out stays inside its folder.
"""

from __future__ import annotations

import os
import stat
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path, PurePosixPath, PureWindowsPath

from generator import door, pictures
from generator.door import Files
from generator.faults import CannotBeRead, Fault, LinkNotFollowed
from generator.place import Place

PICTURE_TYPES = {".svg", ".png", ".jpg", ".jpeg", ".webp"}
SOURCE_TYPES = {".yml", ".yaml"}
DEEPEST = 20  # folders inside one another
OVERRIDES = Path(__file__).parent / "site_overrides"
if not OVERRIDES.is_dir():  # a checkout; the wheel carries the folder inside the package
    OVERRIDES = Path(__file__).parent.parent / "site_overrides"
# A link that takes the place of a file between looking and opening is not followed, and a pipe does not hold us up.
_PLAINLY = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)


def read_sources(root: Path, folders: tuple[str, ...]) -> Files:
    """Every YAML file below the folders, by its path as the author would type it from `root`; of one that is too large
    so much that this can be seen, and none after all together are too much."""
    return _read(root, folders, SOURCE_TYPES, lambda path: _typed(path, root), door.UNREAD, door.ALL_LIMIT)


def read_pictures(root: Path, folder: str) -> Files:
    """Pictures below `<folder>/pictures`, by their path inside it; as `read_sources` of those that are too large."""
    inside = root / folder / "pictures"
    most, limit = pictures.PICTURE_LIMIT + 1, pictures.PICTURES_LIMIT
    return _read(root, (f"{folder}/pictures",), PICTURE_TYPES, lambda path: _typed(path, inside), most, limit)


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


def _read(
    root: Path, folders: tuple[str, ...], types: set[str], named: Callable[[Path], str], most: int, limit: int
) -> Files:
    files, refused, total = Files(), list[Fault](), 0
    for path in (path for folder in folders for path in _from(root, folder, types)):
        if total > limit or len(files) > door.FILES_LIMIT:
            break
        data = _start_of(path, most)
        if isinstance(data, bytes):
            files[named(path)] = data
            total += len(data)
        else:
            refused.append(data(Place(_typed(path, root))))
    files.refused = tuple(refused)
    return files


def _from(root: Path, folder: str, types: set[str]) -> Iterator[Path]:
    """What is below the folder; or the link alone that the folder is, or one above it inside the root."""
    top = root / folder
    within = (path for path in (top, *top.parents) if path != root and path.is_relative_to(root))
    link = next((path for path in within if path.is_symlink()), None)
    if link is not None:
        yield link
    elif top.is_dir():
        yield from _below(top, types, DEEPEST)


def _below(folder: Path, types: set[str], deep: int) -> Iterator[Path]:
    """Files of these types and links, in order. Into a folder that is a link nobody goes."""
    with os.scandir(folder) as entries:
        here = sorted(entries, key=lambda entry: entry.name)
    for entry in here:
        path = folder / entry.name
        if entry.is_symlink():
            if path.suffix in types or entry.is_dir():
                yield path
        elif entry.is_dir() and deep:
            yield from _below(path, types, deep - 1)
        elif entry.is_file() and path.suffix in types:
            yield path


def _start_of(path: Path, most: int) -> bytes | type[LinkNotFollowed] | type[CannotBeRead]:
    """The file up to so many bytes, or why not: it is a link, or has become one since it was listed; it is locked."""
    if path.is_symlink():
        return LinkNotFollowed
    try:
        opened = os.open(path, _PLAINLY)
    except OSError:
        return CannotBeRead
    with os.fdopen(opened, "rb") as file:
        return file.read(most) if stat.S_ISREG(os.fstat(opened).st_mode) else CannotBeRead


def _typed(path: Path, root: Path) -> str:
    return path.relative_to(root).as_posix() if path.is_relative_to(root) else path.as_posix()
