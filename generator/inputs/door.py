"""What may come in from the disk: how much, under which names, and what stays outside."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from generator.faults import Fault
from generator.faults.source import AllTooLarge
from generator.inputs.read import SIZE_LIMIT
from generator.model import KINDS
from generator.place import Place

FILES_LIMIT = 3_000
ALL_LIMIT = 20_000_000  # bytes of all sources
UNREAD = SIZE_LIMIT + 1  # no more of a file is read, which is enough to see that it is too large


# Each round of the loop takes one line end, so that no text takes long.
_FIRST_KEY = re.compile(
    rb"(?:\xef\xbb\xbf)?(?:[ \t]*+(?:#[^\r\n]*+|---[^\r\n]*+|%YAML[^\r\n]*+)?+[\r\n])*+(['\"]?)("
    + "|".join(KINDS).encode()
    + rb")\1[ \t]*:"
)


class Files(dict[str, bytes]):
    """Files by path. `refused` are faults of what was in the folders and not read. `missing` are folders that could
    not be looked into; they make every other fault doubtful. `folders` are the ones that were read, the procedures
    first, then the shop."""

    def __init__(
        self,
        files: Mapping[str, bytes] | None = None,
        refused: tuple[Fault, ...] = (),
        missing: tuple[Fault, ...] = (),
        folders: tuple[str, ...] = (),
    ) -> None:
        super().__init__(files or {})
        self.refused, self.missing, self.folders = refused, missing, folders


def files_of(texts: object) -> Files:
    """Return these files with what was left outside. Nothing was left outside for files that come from elsewhere."""
    return texts if isinstance(texts, Files) else Files()


def begins_as(text: bytes | str) -> str | None:
    """The kind of source that a text begins as, by its first key; None if that is no source's.

    >>> begins_as("# ours\\n---\\njob: '1'\\nprocedure: pump\\n"), begins_as("A note on the procedure: none")
    ('job', None)
    """
    found = _FIRST_KEY.match(text if isinstance(text, bytes) else text.encode(errors="replace"))
    return found[2].decode() if found else None


def odd_letter(path: str) -> str | None:
    """Return the first character of a path that is invisible, or that separates folders on another computer. Half a
    character means that a byte of the name is not UTF-8."""
    return next((letter for letter in path if not letter.isprintable() or letter == "\\"), None)


def too_many(texts: Mapping[str, bytes | str]) -> Iterator[Fault]:
    """Yield one fault, at the file that makes all of them together too much."""
    size = 0
    for number, path in enumerate(sorted(texts), 1):
        size += len(texts[path])
        for what, count, limit in (("files", number, FILES_LIMIT), ("bytes", size, ALL_LIMIT)):
            if count > limit:
                yield AllTooLarge(Place(path), what, limit)
                return
