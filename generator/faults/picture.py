"""Every way a picture can be wrong.

A picture is drawn by a browser, and its own address can be opened like a page: whatever it could run there would run
with the rights of the site. So a picture is drawn and nothing else.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault

PLAIN = 'Save the drawing as "plain SVG", or as a PNG.'


@dataclass(frozen=True)
class PictureName(Fault):
    """The name of a picture becomes part of its address on every phone."""

    name: str

    said = "this picture is named {name:quoted}, but its name may have only a-z, 0-9, - and _, and one ending."
    write = "Rename the file, for example to  marks-on-the-cam.svg, and write that name in the step."


@dataclass(frozen=True)
class PictureTooLarge(Fault):
    """Every phone keeps every picture of a worksheet."""

    limit: int

    said = "this picture is larger than {limit} bytes, the most that a phone is asked to store."
    write = "Make it smaller: 1200 pixels wide is enough for a phone. Save a photo as JPEG or WebP."


@dataclass(frozen=True)
class PicturesTooLarge(Fault):
    """All pictures together have a limit too."""

    limit: int

    said = "with this picture, all pictures together are larger than {limit} bytes."
    write = "Delete pictures that no step shows, and make the large ones smaller."


@dataclass(frozen=True)
class PictureTooWide(Fault):
    """A small file can unpack to more pixels than a phone can hold."""

    width: int
    height: int
    limit: int

    said = "this picture is {width} by {height} pixels; the most is {limit} on either side."
    write = "Make it smaller: 1200 pixels wide is enough for a phone."


@dataclass(frozen=True)
class PictureWithoutSize(Fault):
    """A picture whose size can't be read is damaged, and nobody knows how large it is when unpacked."""

    said = "the size of this picture can't be read; the file is cut short or damaged."
    write = "Save it again in a picture program and copy the new file here."


@dataclass(frozen=True)
class PictureNotSo(Fault):
    """The first bytes of a picture say what it is. Under another ending one browser draws it and the next does not, or
    it is not a picture at all."""

    ending: str
    looks_like: str | None

    @property
    def said(self) -> str:
        is_what = f"a {self.looks_like} picture" if self.looks_like else "not a kind of picture that phones show"
        return f'this file is named "{self.ending}", but it is {is_what}.'

    @property
    def write(self) -> str:
        if self.looks_like:
            return f"Rename it to end in {self.looks_like}, and write that name in the step."
        return "Save the picture again as .svg, .png, .jpg or .webp."


@dataclass(frozen=True)
class SvgUnreadable(Fault):
    """A drawing that is cut short or not in UTF-8 looks different in each browser, or is not drawn at all."""

    why: str

    said = "this drawing cannot be read: {why}."
    write = "Save the drawing again as SVG in UTF-8."


@dataclass(frozen=True)
class SvgTooMuch(Fault):
    """A drawing of very many parts, or of parts that repeat each other, can freeze a phone."""

    what: str
    limit: int

    said = "this drawing has more than {limit} {what}."
    write = "Make the drawing simpler, or save it as a PNG."


@dataclass(frozen=True)
class SvgDeclares(Fault):
    """A drawing may not bring a document type, entities of its own or instructions for a program: they can read
    files, or grow without end."""

    what: str

    said = "this drawing has {what}, which no drawing needs."
    write = f"Delete that line. {PLAIN}"


@dataclass(frozen=True)
class SvgElement(Fault):
    """A drawing has shapes, text and how they are filled. Scripts, pages inside it and moving parts are not drawn."""

    name: str

    said = "this drawing has a part <{name}>, which can do more than be drawn."
    write = f"Delete the part. {PLAIN}"


@dataclass(frozen=True)
class SvgHandler(Fault):
    """A name that starts with `on` runs code when something happens."""

    element: str
    name: str

    said = '<{element}> of this drawing has "{name}", which runs code.'
    write = "Delete {name} and its value. " + PLAIN


@dataclass(frozen=True)
class SvgReference(Fault):
    """A drawing needs nothing from outside: it works under a bonnet without a network."""

    element: str
    name: str
    target: str

    said = '<{element}> of this drawing has {target:quoted} after "{name}", which is outside the drawing.'
    write = "Draw it in this file and refer to it with #, for example  #bolt, or save the whole drawing as a PNG."


@dataclass(frozen=True)
class SvgStyle(Fault):
    """A style may fill and colour a drawing. It may not load anything."""

    found: str
    allowed: tuple[str, ...]

    said = "the style of this drawing has {found:quoted}, which can load something from outside."
    write = "Delete it. A style may set {allowed:listed} and the like, and url(#...) for a part of this drawing."
