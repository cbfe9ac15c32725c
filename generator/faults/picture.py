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

    said = "a picture is named {name:quoted}; the name of a picture has a-z, 0-9, - and _, and one ending."
    write = "Rename the file, for example  marks-on-the-cam.svg, and name it so in the step."


@dataclass(frozen=True)
class PictureTooLarge(Fault):
    """Every phone keeps every picture of a worksheet."""

    limit: int

    said = "this picture has more than {limit} bytes; that is the most that a phone is asked to keep."
    write = "Make it smaller: 1200 pixels wide is enough for a phone, a photo as JPEG or WebP."


@dataclass(frozen=True)
class PicturesTooLarge(Fault):
    """All pictures together have a limit too."""

    limit: int

    said = "with this picture all of them come to more than {limit} bytes."
    write = "Take out pictures that no step shows, and make the large ones smaller."


@dataclass(frozen=True)
class PictureTooWide(Fault):
    """A small file may unfold into more dots than a phone can hold."""

    width: int
    height: int
    limit: int

    said = "this picture is {width} by {height} pixels; the most is {limit} on either side."
    write = "Make it smaller: 1200 pixels wide is enough for a phone."


@dataclass(frozen=True)
class PictureWithoutSize(Fault):
    """A picture whose size can't be read is damaged, and nobody can tell how large it unfolds."""

    said = "the size of this picture can't be read; the file is cut short or damaged."
    write = "Save it again in a picture program and copy the new file here."


@dataclass(frozen=True)
class PictureNotSo(Fault):
    """The first bytes of a picture say what it is. One that is called by another name would be drawn by one browser
    and not by the next, or is no picture at all."""

    ending: str
    looks_like: str | None

    @property
    def said(self) -> str:
        is_what = f"a picture of kind {self.looks_like}" if self.looks_like else "no picture that is known here"
        return f'this file is named "{self.ending}", but it is {is_what}.'

    @property
    def write(self) -> str:
        if self.looks_like:
            return f"Rename it to end in {self.looks_like}, and name it so in the step."
        return "Save the picture anew as .svg, .png, .jpg or .webp."


@dataclass(frozen=True)
class SvgUnreadable(Fault):
    """A drawing that breaks off or is not in UTF-8 is drawn differently from browser to browser, or not at all."""

    why: str

    said = "this drawing cannot be read here: {why}."
    write = "Save the drawing anew as SVG in UTF-8."


@dataclass(frozen=True)
class SvgTooMuch(Fault):
    """A drawing of very many parts, or of parts that repeat each other, can hold up a phone."""

    what: str
    limit: int

    said = "this drawing has more than {limit} {what}."
    write = "Make the drawing simpler, or save it as a PNG."


@dataclass(frozen=True)
class SvgDeclares(Fault):
    """A drawing may not bring a document type, entities of its own or instructions for a program: they can read
    files, or unfold without end."""

    what: str

    said = "this drawing has {what}, which no drawing needs."
    write = f"Delete that line. {PLAIN}"


@dataclass(frozen=True)
class SvgElement(Fault):
    """A drawing has shapes, text and how they are filled. Scripts, pages inside it and moving parts are not drawn."""

    name: str

    said = "this drawing has a part <{name}>, which may do more than be drawn."
    write = f"Delete the part. {PLAIN}"


@dataclass(frozen=True)
class SvgHandler(Fault):
    """What begins with `on` says what is to be run when something happens."""

    element: str
    name: str

    said = '<{element}> of this drawing has "{name}", which runs something.'
    write = "Delete {name} with what stands after it. " + PLAIN


@dataclass(frozen=True)
class SvgReference(Fault):
    """A drawing stands alone: it works under a bonnet without a network, and asks nobody for anything."""

    element: str
    name: str
    target: str

    said = '<{element}> of this drawing has {target:quoted} after "{name}", which is outside of it.'
    write = "Draw it here and name it with #, for example  #bolt, or save the whole as a PNG."


@dataclass(frozen=True)
class SvgStyle(Fault):
    """The rules of a drawing's look may fill and colour; they may not bring in anything."""

    found: str
    allowed: tuple[str, ...]

    said = "the style of this drawing has {found:quoted}, which may bring in something from outside."
    write = "Delete it. A style here says {allowed:listed} and the like; url(#...) names a part of it."
