"""The list that a build leaves in its site: each file that it made, with its hash.

By it the next build tells what it may replace from what a person put there. Bytes in, text out; no disk. A phone never
asks for the list. A site of a version that left none is known by its `sw.js` and the index of its packs.
"""

from __future__ import annotations

import contextlib
import gzip
import json
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, TypeGuard

from generator.site.bundle import GUIDE, INDEX, MANIFEST, digest

WORKER = "sw.js"
_WORKER_TEXT = re.compile(r"const SITE = (?P<site>\{.*?\});\nconst WORK = (?P<code>.*);\nWORK\(\);\n", re.DOTALL)
_HASH = re.compile("[0-9a-f]{64}")
# Files that the theme's builder writes, but the list of an earlier version did not name.
_LEFT_OFF = re.compile(r"assets/(.*\.map|.*/lunr/.*)")
_POLICY = b"content=\"default-src 'none'; script-src 'self'"
_SITEMAP, _ZIPPED, _NOT_FOUND = "sitemap.xml", "sitemap.xml.gz", "404.html"

Reader = Callable[[str], bytes | None]
"""Reads a file of a site by its path; None if there is no plain file there."""


@dataclass(frozen=True)
class Manifest:
    """What one build made: the id of its shop (None if no longer known), and the SHA-256 in hex of each file by
    path."""

    shop: str | None
    files: Mapping[str, str]

    def is_made(self, path: str, content: bytes) -> bool:
        """True if a build made this file and nobody has changed it since."""
        if path == MANIFEST:
            return read(content) is not None
        return self.files.get(path) == digest(content) or (path == WORKER and _list_of(content) is not None)

    def text(self) -> bytes:
        """One file a line, so that two builds can be compared by eye."""
        listed = {"v": 1, "made_by": "handturn", "shop": self.shop, "files": dict(self.files)}
        return (json.dumps(listed, indent=1, sort_keys=True, ensure_ascii=False) + "\n").encode()


def of(shop: str, files: Mapping[str, bytes]) -> Manifest:
    """Return the list for a site that was just made."""
    return Manifest(shop, {path: digest(content) for path, content in files.items() if path != MANIFEST})


def read(text: bytes) -> Manifest | None:
    """Read a list from its text. None if the text is something else, cut short or damaged."""
    told = _json(text)
    if not isinstance(told, dict) or told.get("v") != 1 or told.get("made_by") != "handturn":
        return None
    shop, files = told.get("shop"), told.get("files")
    return Manifest(shop, files) if _is_list(files) and isinstance(shop, str | None) else None


def of_earlier(paths: Iterable[str], read: Reader) -> Manifest | None:
    """Rebuild the list of a site that an earlier version made from its worker and its index. None if its `sw.js` is
    not ours. A file that neither names counts as made only if the file itself shows it."""
    worker = read(WORKER)
    listed = None if worker is None else _list_of(worker)
    if worker is None or listed is None:
        return None
    files = {**_hashes(listed.get("shell")), WORKER: digest(worker)}
    index = read(INDEX) or b""
    packs = _packs(index)
    if digest(index) == _sha(listed.get("index")) or (listed.get("removed") and packs):
        files[INDEX] = digest(index)
        for pack in packs.values():
            files |= _hashes(pack.get("files") if isinstance(pack, dict) else None)
    if GUIDE in packs:
        files |= _left_off(paths, read)
    return Manifest(listed["shop"] or None, files)


def _left_off(paths: Iterable[str], read: Reader) -> dict[str, str]:
    """Return the files that the lists left out, with their SHA-256. 404.html is the theme's if it has our policy. A
    sitemap that equals its packed copy was not edited."""
    names = [path for path in paths if _LEFT_OFF.fullmatch(path)]
    if _POLICY in (read(_NOT_FOUND) or b""):
        names.append(_NOT_FOUND)
    zipped = read(_ZIPPED)
    with contextlib.suppress(OSError, EOFError, ValueError):
        if zipped and gzip.decompress(zipped) == read(_SITEMAP):
            names += [_SITEMAP, _ZIPPED]
    found = {path: read(path) for path in names}
    return {path: digest(content) for path, content in found.items() if content is not None}


def _list_of(worker: bytes) -> dict[str, Any] | None:
    """Read the list in a `sw.js` of ours. It carries the hash of its code, so no other worker passes for one."""
    found = _WORKER_TEXT.fullmatch(worker.decode(errors="replace"))
    told = _json(found["site"].encode()) if found else None
    if not found or not isinstance(told, dict) or not isinstance(told.get("shop"), str):
        return None
    return told if told.get("code") == digest(found["code"].encode()) else None


def _packs(index: bytes) -> dict[str, Any]:
    told = _json(index)
    packs = told.get("packs") if isinstance(told, dict) else None
    return packs if isinstance(packs, dict) else {}


def _sha(index: object) -> object:
    return index.get("sha256") if isinstance(index, dict) else None


def _hashes(files: object) -> dict[str, str]:
    return dict(files) if _is_list(files) else {}


def _is_list(files: object) -> TypeGuard[dict[str, str]]:
    """True for a {path: SHA-256 in hex}."""
    return isinstance(files, dict) and all(isinstance(sha, str) and _HASH.fullmatch(sha) for sha in files.values())


def _json(text: bytes) -> Any:
    with contextlib.suppress(ValueError, RecursionError):
        return json.loads(text)
    return None
