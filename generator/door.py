"""What comes in from the disk: how much of it, under which names, and what is left outside."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from generator import faults
from generator.faults import Fault
from generator.place import Place
from generator.read import SIZE_LIMIT

FILES_LIMIT = 3_000
ALL_LIMIT = 20_000_000  # bytes of all sources
UNREAD = SIZE_LIMIT + 1  # so much of a file is read at most: enough to see that it is too large


class Files(dict[str, bytes]):
    """Files by path. `refused`: what stood in the folder and was not read."""

    def __init__(self, files: Mapping[str, bytes] | None = None, refused: tuple[Fault, ...] = ()) -> None:
        super().__init__(files or {})
        self.refused = refused


def refused(files: object) -> tuple[Fault, ...]:
    """What was left outside; nothing for files that come from elsewhere."""
    return files.refused if isinstance(files, Files) else ()


def odd_letter(path: str) -> str | None:
    """The first letter of a path that cannot be seen, or would be a folder on another machine; halves of letters stand
    for bytes of a name that is not in UTF-8."""
    return next((letter for letter in path if not letter.isprintable() or letter == "\\"), None)


def too_many(texts: Mapping[str, bytes | str]) -> Iterator[Fault]:
    """One fault, at the file with which all of them are too much."""
    size = 0
    for number, path in enumerate(sorted(texts), 1):
        size += len(texts[path])
        for what, count, limit in (("files", number, FILES_LIMIT), ("bytes", size, ALL_LIMIT)):
            if count > limit:
                yield faults.AllTooLarge(Place(path), what, limit)
                return
