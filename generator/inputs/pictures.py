"""Pictures looked at as bytes: is each what its name says, small enough, and nothing but drawn?

SVG is read with the standard library's expat, which is told to stop at the first document type: no entity is ever
unfolded. What may be in a drawing is listed; all else is a fault.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from io import BytesIO
from pathlib import PurePosixPath
from xml.parsers import expat

import imagesize

from generator.faults import Fault
from generator.faults import picture as faults
from generator.place import Place

PICTURE_LIMIT = 2_000_000  # bytes
PICTURES_LIMIT = 50_000_000  # bytes of all
PIXELS_LIMIT = 8_000  # on either side
PARTS_LIMIT = 20_000  # elements of a drawing
DEPTH_LIMIT = 100
REPEATS_LIMIT = 20_000  # elements after every <use> is copied out
_NAME = re.compile(r"(?:[a-z0-9][a-z0-9_-]*/)*[a-z0-9][a-z0-9_-]*\.[a-z]+")
_SVG, _XLINK, _XML = (
    "http://www.w3.org/2000/svg",
    "http://www.w3.org/1999/xlink",
    "http://www.w3.org/XML/1998/namespace",
)
_ELEMENTS = frozenset((
    "svg", "g", "defs", "symbol", "use", "title", "desc", "metadata", "switch", "view", "path", "rect", "circle",
    "ellipse", "line", "polyline", "polygon", "text", "tspan", "textPath", "linearGradient", "radialGradient", "stop",
    "clipPath", "mask", "pattern", "marker", "style", "filter", "feBlend", "feColorMatrix", "feComponentTransfer",
    "feComposite", "feConvolveMatrix", "feDiffuseLighting", "feDisplacementMap", "feDistantLight", "feDropShadow",
    "feFlood", "feFuncA", "feFuncB", "feFuncG", "feFuncR", "feGaussianBlur", "feMerge", "feMergeNode", "feMorphology",
    "feOffset", "fePointLight", "feSpecularLighting", "feSpotLight", "feTile", "feTurbulence",
))  # fmt: skip
# What drawing programs write for themselves. Browsers ignore it.
_NOTES = (
    "http://www.inkscape.org/namespaces/inkscape", "http://sodipodi.sourceforge.net/DTD/sodipodi-0.dtd",
    "http://www.w3.org/1999/02/22-rdf-syntax-ns#", "http://creativecommons.org/ns#", "http://web.resource.org/cc/",
    "http://purl.org/dc/elements/1.1/",
)  # fmt: skip
_OUTSIDE = re.compile(r"url\s*+\(\s*+[\"']?+\s*+(?!#)([^)\"']*)", re.IGNORECASE)
_STYLE = re.compile(
    r"@[\w-]*|\\|(?:-webkit-)?image(?:-set)?\s*\(|cross-fade\s*\(|\bsrc\s*\(|expression\s*\(|<", re.IGNORECASE
)
_RULES = ("fill", "stroke", "stroke-width", "font-size")


def check_pictures(pictures: Mapping[str, bytes], folder: str = "procedures/pictures") -> list[Fault]:
    """Return the faults of all pictures, which are given by its path inside the folder. Never raises, whatever the
    bytes."""
    found: list[Fault] = []
    total = 0
    for name in sorted(pictures):
        place, before = Place(f"{folder}/{name}"), total
        total += len(pictures[name])
        found += _check(name, pictures[name], place)
        if before <= PICTURES_LIMIT < total:
            found.append(faults.PicturesTooLarge(place, PICTURES_LIMIT))
    return found


def _check(name: str, data: bytes, place: Place) -> Iterator[Fault]:
    if not _NAME.fullmatch(name):
        yield faults.PictureName(place, name)
    if len(data) > PICTURE_LIMIT:
        yield faults.PictureTooLarge(place, PICTURE_LIMIT)
        return
    ending = PurePosixPath(name).suffix.lower()
    kind = next((kind for kind, is_so in _KINDS.items() if is_so(data)), None)
    if kind != {".jpeg": ".jpg"}.get(ending, ending):
        yield faults.PictureNotSo(place, ending, kind)
    elif kind == ".svg":
        yield from _Drawing(data, place.file).faults()
    else:
        size = _size(data)
        if size is None:
            yield faults.PictureWithoutSize(place)
        elif max(size) > PIXELS_LIMIT:
            yield faults.PictureTooWide(place, *size, PIXELS_LIMIT)


# --- First bytes ------------------------------------------------------------------------------------------------------


def _is_svg(data: bytes) -> bool:
    return re.match(rb"(?:\xef\xbb\xbf)?\s*<", data) is not None and b"svg" in data


_KINDS: Mapping[str, Callable[[bytes], bool]] = {
    ".png": lambda data: data.startswith(b"\x89PNG\r\n\x1a\n") and data[12:16] == b"IHDR",
    ".jpg": lambda data: data.startswith(b"\xff\xd8\xff"),
    ".webp": lambda data: data[:4] == b"RIFF" and data[8:12] == b"WEBP",
    ".svg": _is_svg,
}


def _size(data: bytes) -> tuple[int, int] | None:
    """Return width and height in pixels as a browser lays them out, or None if the bytes do not say."""
    try:
        width, height = imagesize.get(BytesIO(data), exif_rotation=False)
    except Exception:  # the bytes come from anywhere: if the library fails on them, there is no size
        return None
    return (width, height) if width > 0 and height > 0 else None


# --- Drawings ---------------------------------------------------------------------------------------------------------


class _Enough(Exception):
    """Stops the reading: what follows cannot be trusted, or is too much."""


class _Drawing:
    """Walks one SVG from its first element to its last."""

    def __init__(self, data: bytes, file: str) -> None:
        self.data, self.file = data, file
        self.found: list[Fault] = []
        self.parts = 0
        self.open: list[tuple[str, str | None]] = []  # names of the open elements, with their ids
        self.holds: dict[str, list[str]] = {}  # id -> ids that are used inside it
        self.used: list[str] = []
        self.style: list[str] = []  # the text of the open <style>
        self.parser = expat.ParserCreate("utf-8", " ")
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._text
        self.parser.XmlDeclHandler = self._declared
        self.parser.StartDoctypeDeclHandler = lambda *_: self._declares("a document type (DOCTYPE)")
        self.parser.EntityDeclHandler = lambda *_: self._declares("an entity of its own")
        self.parser.ProcessingInstructionHandler = lambda target, _: self._declares(f"an instruction <?{target}?>")

    def faults(self) -> list[Fault]:
        try:
            text = self.data.decode("utf-8")
            self.parser.Parse(text.removeprefix("\ufeff").encode(), True)
        except UnicodeDecodeError as error:
            before = self.data[: error.start].decode("utf-8")
            place = Place(self.file, before.count("\n") + 1, len(before) - before.rfind("\n"))
            self.found.append(faults.SvgUnreadable(place, "it is not in UTF-8"))
        except expat.ExpatError as error:
            place = Place(self.file, error.lineno, error.offset + 1)
            self.found.append(faults.SvgUnreadable(place, "it breaks off or is written wrong"))
        except _Enough:
            pass
        else:
            self._unfolds()
        return self.found

    @property
    def _place(self) -> Place:
        return Place(self.file, self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1)

    def _declared(self, version: str, encoding: str | None, standalone: int) -> None:
        if encoding and encoding.lower() not in ("utf-8", "utf8"):
            self.found.append(faults.SvgUnreadable(self._place, f'it says that it is in "{encoding[:20]}"'))
            raise _Enough

    def _declares(self, what: str) -> None:
        self.found.append(faults.SvgDeclares(self._place, what))
        raise _Enough

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        space, _, local = name.rpartition(" ")
        self._count()
        if not self.open and (space, local) != (_SVG, "svg"):
            self.found.append(faults.SvgUnreadable(self._place, f'its outermost part is not <svg xmlns="{_SVG}">'))
            raise _Enough
        self.open.append((local if space == _SVG else "", attributes.get("id")))
        if not (space == _SVG and local in _ELEMENTS) and space not in _NOTES:
            self.found.append(faults.SvgElement(self._place, local))
            return
        for key, value in attributes.items():
            self._attribute(local, key.rpartition(" ")[0], key.rpartition(" ")[2], value)
        target = attributes.get("href", attributes.get(f"{_XLINK} href", ""))
        if local == "use" and target.startswith("#"):
            self._uses(target[1:])

    def _count(self) -> None:
        self.parts += 1
        for what, count, limit in (("parts", self.parts, PARTS_LIMIT), ("levels", len(self.open), DEPTH_LIMIT)):
            if count > limit:
                self.found.append(faults.SvgTooMuch(self._place, what, limit))
                raise _Enough

    def _attribute(self, element: str, space: str, name: str, value: str) -> None:
        if space in _NOTES:
            return
        if name.lower().startswith("on"):
            self.found.append(faults.SvgHandler(self._place, element, name))
        elif name.lower() in ("href", "src", "data", "action") or (space, name) == (_XML, "base"):
            if not value.strip().startswith("#"):
                self.found.append(faults.SvgReference(self._place, element, name, value))
        elif name == "style":
            self._style(value, element)
        else:
            self._reaches_out(value, element, name)

    def _reaches_out(self, value: str, element: str, name: str) -> None:
        outside = _OUTSIDE.search(value)
        if outside:
            self.found.append(faults.SvgReference(self._place, element, name, outside[1]))
        elif "\\" in value and "(" in value:
            self.found.append(faults.SvgStyle(self._place, "\\", _RULES))

    def _text(self, text: str) -> None:
        if self.open and self.open[-1][0] == "style":
            self.style.append(text)

    def _style(self, text: str, element: str) -> None:
        plain = re.sub(r"/\*.*?(?:\*/|$)", "", text, flags=re.DOTALL)
        odd = _STYLE.search(text)
        if odd:
            self.found.append(faults.SvgStyle(self._place, odd[0], _RULES))
        outside = _OUTSIDE.search(plain) or _OUTSIDE.search(text)
        if outside and not odd:
            self.found.append(faults.SvgReference(self._place, element, "url", outside[1]))

    def _end(self, name: str) -> None:
        local, _ = self.open.pop()
        if local == "style":
            self._style("".join(self.style), local)  # joined, because a comment may cut a word in two
            self.style = []

    def _uses(self, target: str) -> None:
        self.used.append(target)
        for _, id_ in self.open:
            if id_ is not None:
                self.holds.setdefault(id_, []).append(target)

    def _unfolds(self) -> None:
        """Count what a browser would have to draw: a part may be used inside a part that is used again."""
        left, waiting = REPEATS_LIMIT, list(self.used)
        while waiting:
            left -= 1
            if left < len(waiting):
                self.found.append(
                    faults.SvgTooMuch(Place(self.file), "parts once all that is repeated is drawn", REPEATS_LIMIT)
                )
                return
            waiting.extend(self.holds.get(waiting.pop(), ()))
