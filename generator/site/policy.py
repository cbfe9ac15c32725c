"""What a page may load and run. The page says so itself, because a static host sends none of our headers.

Our own pages have no inline script and get the strict policy. The theme's pages get theirs after they are built, from
the inline scripts that the theme put there. Text in, text out.

Browsers ignore frame-ancestors, sandbox and report-uri in a meta element, so they are left out. A host that can send
headers may add them.
"""

from __future__ import annotations

import base64
import hashlib
import re
from collections.abc import Collection, Iterable, Mapping
from html import unescape
from html.parser import HTMLParser

WORKER_POLICY = "handturn-worker"
"""The one Trusted Types policy of our pages; phone/base/trusted.js makes it."""

_NOTHING = ("default-src 'none'",)
_OWN = ("style-src 'self'", "connect-src 'self'", "worker-src 'self'", "manifest-src 'self'", "font-src 'self'")
_CLOSED = ("object-src 'none'", "base-uri 'none'", "form-action 'none'", "frame-src 'none'")

STRICT = "; ".join(
    (
        *_NOTHING,
        "script-src 'self'",
        *_OWN,
        "img-src 'self' data: blob:",
        *_CLOSED,
        "require-trusted-types-for 'script'",
        f"trusted-types {WORKER_POLICY}",
    )
)

# Types that a browser runs as JavaScript. Any other type is data (https://mimesniff.spec.whatwg.org).
_RUN = re.compile(
    r"(module|importmap|speculationrules|(text|application)/(x-)?(java|ecma)script|text/(jscript|livescript)"
    r"|text/javascript1\.[0-5])?",
    re.IGNORECASE,
)
PAGES = (".html", ".htm")
_DOCTYPE = re.compile(r"\s*<!doctype[^>]*>", re.IGNORECASE)
_META = re.compile(r"<meta(?=[\t\n\f\r /])", re.IGNORECASE)
_ATTRIBUTE = re.compile(  # as https://html.spec.whatwg.org/multipage/parsing.html reads one inside of a tag
    r"""[\t\n\f\r /]*(?P<name>=?[^\t\n\f\r />=]+)
    ([\t\n\f\r ]*=[\t\n\f\r ]*("(?P<double>[^"]*)"|'(?P<single>[^']*)'|(?P<bare>[^\t\n\f\r >]*)))?""",
    re.VERBOSE,
)
_CHARSET = re.compile(r"\s*<meta charset=[\"']?utf-8[\"']?\s*/?>", re.IGNORECASE)


def theme_policy(hashes: Iterable[str] = ()) -> str:
    """Return the policy of a page of the theme. It lacks Trusted Types, which would stop the theme's search.

    >>> theme_policy(["sha256-abc="])[:57]
    "default-src 'none'; script-src 'self' 'sha256-abc='; styl"
    """
    scripts = " ".join(["script-src 'self'", *(f"'{each}'" for each in hashes)])
    return "; ".join((*_NOTHING, scripts, *_OWN, "img-src 'self' data:", *_CLOSED))


def for_theme(site: Mapping[str, bytes], foreign: Collection[str] = ()) -> dict[str, bytes]:
    """Return every HTML page among the files of the theme's builder, with its policy."""
    pages = {path: body.decode(errors="surrogateescape") for path, body in site.items() if path.endswith(PAGES)}
    return {path: with_policy(page, foreign).encode(errors="surrogateescape") for path, page in pages.items()}


def with_policy(html: str, foreign: Collection[str] = ()) -> str:
    """Return a page of the theme with its policy in front of everything in its head that loads or runs.

    The theme's inline scripts pass by their SHA-256. `foreign` are inline scripts from a page's own text (see
    `inline_scripts`): they get no hash and do not run. Line ends become those that a browser hashes.
    """
    text = _as_browsers_read(html)
    hashes = sorted({_hash(script) for script in inline_scripts(text) if script not in foreign})
    meta = f'<meta http-equiv="Content-Security-Policy" content="{theme_policy(hashes)}">'
    at = _place(text)
    return text[:at] + meta + text[at:]


def refreshes(html: str) -> list[int]:
    """Return where each `<meta http-equiv="refresh">` begins. It leaves for another address, and no policy can stop it.

    Each `<meta` is read alone, so that no comment, quote or broken tag before it can hide it.

    >>> refreshes('<p><META content="0;url=//a" http-equiv=Refresh>'), refreshes("&lt;meta http-equiv=refresh>")
    ([3], [])
    """
    return [at.start() for at in _META.finditer(html) if _equiv(html, at.end()) == "refresh"]


def _equiv(html: str, at: int) -> str:
    """Return the http-equiv of the tag whose attributes start here. If an attribute is there twice, the first
    counts."""
    while found := _ATTRIBUTE.match(html, at):
        if found["name"].lower() == "http-equiv":
            return unescape(found["double"] or found["single"] or found["bare"] or "").strip().lower()
        at = found.end()
    return ""


def inline_scripts(html: str) -> list[str]:
    """Return the text of every script in the page that a browser would run as it is, in order."""
    return _read(_as_browsers_read(html)).scripts


def _hash(script: str) -> str:
    digest = hashlib.sha256(script.encode(errors="surrogateescape")).digest()
    return f"sha256-{base64.b64encode(digest).decode()}"


def _as_browsers_read(html: str) -> str:
    """Turn every line end into a line feed, as a browser does before it parses or hashes anything."""
    return html.replace("\r\n", "\n").replace("\r", "\n")


def _place(text: str) -> int:
    """Return where the policy goes: at the start of the head, after a charset; after the doctype if anything
    precedes it."""
    found = _read(text).head
    doctype = _DOCTYPE.match(text)
    at = (doctype.end() if doctype else 0) if found is None else found
    charset = _CHARSET.match(text, at)
    return charset.end() if charset else at


def _read(text: str) -> _Reader:
    reader = _Reader(text)
    reader.feed(text)
    reader.close()
    return reader


class _Reader(HTMLParser):
    """Find the inline scripts, and the end of the head's start tag if only <html> stands before it."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=False)
        self.scripts: list[str] = []
        self.head: int | None = None
        self._lines = [0, *(at.end() for at in re.finditer("\n", text))]
        self._before = True
        self._inside: list[str] | None = None

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "head" and self._before:
            line, column = self.getpos()
            self.head = self._lines[line - 1] + column + len(self.get_starttag_text() or "")
        self._before &= tag == "html"
        if tag == "script":
            given = dict(attrs)
            runs = "src" not in given and _RUN.fullmatch((given.get("type") or "").strip())
            self._inside = [] if runs else None

    def handle_data(self, data: str) -> None:
        self._before &= not data.strip()
        if self._inside is not None:
            self._inside.append(data)

    def handle_endtag(self, tag: str) -> None:
        self._before = False
        if tag == "script" and self._inside is not None:
            self.scripts.append("".join(self._inside))
            self._inside = None
