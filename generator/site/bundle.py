"""What a phone holds of the built site: the list, the index of its packs, and the worker text that carries the list.

Bytes in, text out. All of it is computed from what was made and never kept by hand, so the bytes of `sw.js` change
exactly when the site does. A pack is what a person may choose to keep: one worksheet, or the guide.
"""

import hashlib
import json
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass

from generator.canonical import canonical

INDEX = "packs.json"
MANIFEST = "handturn-site.json"
"""The list of what the build made, for the next build. See manifest.py."""
GUIDE = "guide"

# Read by the host or by crawlers, not by a page. Some hosts do not even serve them, and one listed file
# that does not arrive would keep the whole copy from being made.
_NOT_FOR_PAGES = re.compile(
    r"""(^|/)\.                      # .nojekyll, .well-known/...
    | ^(sw\.js|404\.html|robots\.txt|CNAME|_headers|_redirects|handturn-site\.json)$
    | ^sitemap\.xml(\.gz)?$          # carries the date of the build
    | \.(map|gz|br)$
    """,
    re.VERBOSE,
)
_SEARCH_HELP = re.compile(r"(^|/)lunr/")
_SEARCH_LANGUAGE = re.compile(r"/lunr\.(?P<language>[a-z]{2})\.min\.js$")


@dataclass(frozen=True)
class Pack:
    """Files that a phone stores or skips together. `paths` are posix paths; the rest is what a phone says of the
    pack before it is there."""

    title: str
    paths: tuple[str, ...]
    kind: str = "worksheet"
    engine: str | None = None
    revision: int | None = None
    steps: int | None = None
    sheet: str | None = None
    """The digest of a worksheet's sheet.json."""


@dataclass(frozen=True)
class Holding:
    """The list: every path with the SHA-256 (64 hex digits) of its bytes."""

    shell: Mapping[str, str]
    """What every phone stores."""
    index: str
    """The text of packs.json: every pack with its files."""

    @property
    def version(self) -> str:
        """Return twenty hex digits that change whenever the list changes, whatever order it was made in."""
        return digest(canonical({"shell": dict(self.shell), "index": self.index_digest}).encode())[:20]

    @property
    def index_digest(self) -> str:
        return digest(self.index.encode())


def digest(content: bytes) -> str:
    """SHA-256 in hex.

    >>> digest(b"two turns")[:12]
    'e071e3155773'
    """
    return hashlib.sha256(content).hexdigest()


def worth_keeping(path: str, search_languages: Collection[str] = ("en",)) -> bool:
    """Whether a page can ask for this file with no network; `search_languages` as MkDocs' search has them.

    >>> worth_keeping("jobs/index.html"), worth_keeping("sitemap.xml.gz"), worth_keeping("main.css.map")
    (True, False, False)
    """
    if _NOT_FOR_PAGES.search(path):
        return False
    return not _SEARCH_HELP.search(path) or _search_needs(path, set(search_languages))


def holding(
    files: Mapping[str, bytes],
    packs: Mapping[str, Pack] | None = None,
    search_languages: Collection[str] = ("en",),
) -> Holding:
    """Return the list for a built site: `files` by posix path relative to its root, `packs` by name. A path in a
    pack is not in the shell; a picture of two worksheets is in both packs. Raises KeyError for a path in a pack that
    was not built, and ValueError for a path that is not relative and posix: both would be bugs of ours."""
    worth = [path for path in sorted(files) if worth_keeping(_checked(path), search_languages) and path != INDEX]
    kept = {path: digest(files[path]) for path in worth}
    named = {name: _indexed(pack, kept) for name, pack in (packs or {}).items()}
    elsewhere = {path for pack in (packs or {}).values() for path in pack.paths}
    shell = {path: sha for path, sha in kept.items() if path not in elsewhere}
    return Holding(shell, canonical({"v": 1, "packs": named}))


def worker_files(template: str, held: Holding, scope_id: str) -> dict[str, str]:
    """Return `packs.json` and `sw.js`, with the list in front of the hand-written worker (`template`), in the order
    in which to write them. A list that names an index which is not there yet does no harm, but costs a visit."""
    index = {"path": INDEX, "sha256": held.index_digest}
    listed = {"shop": scope_id, "version": held.version, "shell": dict(held.shell), "index": index}
    return {INDEX: held.index, "sw.js": _with_list(template, listed)}


def removing_worker(template: str, why: str = "preview") -> str:
    """Return a `sw.js` that removes itself and the copies of this site that phones hold, but nothing that a job
    needs. `why` is `preview`, which must never be stale, or `withdrawn`, when a site is given up."""
    return _with_list(template, {"shop": "", "version": "", "shell": {}, "index": None, "removed": why})


def _indexed(pack: Pack, kept: Mapping[str, str]) -> dict[str, object]:
    facts = {"kind": pack.kind, "title": pack.title, "engine": pack.engine, "revision": pack.revision}
    files = {path: kept[path] for path in sorted(pack.paths)}
    return {**facts, "steps": pack.steps, "sheet": pack.sheet, "files": files}


def _search_needs(path: str, languages: set[str]) -> bool:
    """True if the search needs this file. English is built in; any other language loads its own file and the ones
    all of them share."""
    named = _SEARCH_LANGUAGE.search(path)
    return named["language"] in languages if named else bool(languages - {"en"})


def _checked(path: str) -> str:
    parts = path.split("/")
    if "\\" in path or any(part in ("", ".", "..") for part in parts):
        raise ValueError(f"{path!r} is not a relative posix path of a file")
    return path


def _with_list(template: str, site: Mapping[str, object]) -> str:
    """One file a line, so that two builds can be compared by eye. The worker checks its own text against `code`."""
    code = f"() => {{\n{template}}}"
    listed = {**site, "code": digest(code.encode())}
    return f"const SITE = {json.dumps(listed, indent=1, sort_keys=True)};\nconst WORK = {code};\nWORK();\n"
