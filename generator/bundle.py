"""What a phone holds of the built site: the list, and the worker text that carries it.

Bytes in, text out. The list is computed from what was made and never kept by hand, so the bytes of
`sw.js` change exactly when the site does.
"""

import hashlib
import json
import re
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field

# Read by the host or by crawlers, not by a page. Some hosts do not even serve them, and one listed file
# that does not arrive would keep the whole copy from being made.
_NOT_FOR_PAGES = re.compile(
    r"""(^|/)\.                      # .nojekyll, .well-known/...
    | ^(sw\.js|404\.html|robots\.txt|CNAME|_headers|_redirects)$
    | ^sitemap\.xml(\.gz)?$          # carries the date of the build
    | \.(map|gz|br)$
    """,
    re.VERBOSE,
)
_SEARCH_HELP = re.compile(r"(^|/)lunr/")
_SEARCH_LANGUAGE = re.compile(r"/lunr\.(?P<language>[a-z]{2})\.min\.js$")


@dataclass(frozen=True)
class Holding:
    """The list: every path with the SHA-256 (64 hex digits) of its bytes, in two groups."""

    shell: Mapping[str, str]
    """What every phone holds."""
    packs: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """What belongs to one worksheet, by worksheet."""

    @property
    def version(self) -> str:
        """Twenty hex digits that stand for the whole list, whatever order it was made in."""
        return digest(_canonical({"shell": self.shell, "packs": self.packs}))[:20]


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
    packs: Mapping[str, Iterable[str]] | None = None,
    search_languages: Collection[str] = ("en",),
) -> Holding:
    """The list for a built site: `files` by posix path relative to the site's root, `packs` as worksheet -> paths.

    A path in a pack is not in the shell; a picture of two worksheets is in both packs. A pack's path that was
    not built raises KeyError, a path that is not relative and posix raises ValueError: both are our own slips.
    """
    kept = {path: digest(files[path]) for path in sorted(files) if worth_keeping(_checked(path), search_languages)}
    packed = {name: {path: kept[path] for path in sorted(paths)} for name, paths in sorted((packs or {}).items())}
    elsewhere = {path for group in packed.values() for path in group}
    return Holding({path: sha for path, sha in kept.items() if path not in elsewhere}, packed)


def worker(
    template: str,
    files: Mapping[str, bytes],
    *,
    scope_id: str,
    packs: Mapping[str, Iterable[str]] | None = None,
    search_languages: Collection[str] = ("en",),
) -> str:
    """The text of `sw.js`: the list in front of the hand-written worker (`template`). Raises as `holding` does."""
    held = holding(files, packs, search_languages)
    return _with_list(template, {"shop": scope_id, "version": held.version, **_groups(held)})


def removing_worker(template: str) -> str:
    """A `sw.js` that takes itself and this site's kept copies away, for a preview that must never be stale."""
    return _with_list(template, {"shop": "", "version": "", **_groups(Holding({})), "removed": True})


def _search_needs(path: str, languages: set[str]) -> bool:
    """English is built in; any other language loads its own file and the ones all of them share."""
    named = _SEARCH_LANGUAGE.search(path)
    return named["language"] in languages if named else bool(languages - {"en"})


def _checked(path: str) -> str:
    parts = path.split("/")
    if "\\" in path or any(part in ("", ".", "..") for part in parts):
        raise ValueError(f"{path!r} is not a relative posix path of a file")
    return path


def _groups(held: Holding) -> dict[str, object]:
    return {"shell": dict(held.shell), "packs": {name: dict(group) for name, group in held.packs.items()}}


def _canonical(value: object) -> bytes:
    return json.dumps(value, sort_keys=True, separators=(",", ":")).encode()


def _with_list(template: str, site: Mapping[str, object]) -> str:
    """One file a line, so that two builds can be compared by eye."""
    return f"const SITE = {json.dumps(site, indent=1, sort_keys=True)};\n{template}"
