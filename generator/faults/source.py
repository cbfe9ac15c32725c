"""Every way the text of a file can be wrong, before anything in it is understood. In the order a file is read."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault
from generator.faults.wording import excerpt, in_quotes

# --- Reading: the file as text -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class LinkNotFollowed(Fault):
    """A link in a folder of sources may lead anywhere on this machine, so none is followed."""

    said = "this is a link to another place, and links are not followed."
    write = "Put a copy of the file or folder here instead of the link."


@dataclass(frozen=True)
class SendsAway(Fault):
    """A page of the guide with `<meta http-equiv="refresh">` takes the reader to another address without a tap. Neither
    this site's policy nor its offline copy goes along, and no policy that a page can state stops the browser."""

    said = 'this page leaves for another address by itself (`<meta http-equiv="refresh">`).'
    write = "Take the line out and write a link to tap: [where it is now](https://example.org/)."


@dataclass(frozen=True)
class OddFileName(Fault):
    """A file name that cannot be seen, or that is two names on another machine, cannot be told to anybody."""

    letter: str

    @property
    def said(self) -> str:
        if self.letter == "\\":
            return "the name of this file has a backslash, which parts folders on some machines."
        return f"the name of this file has a letter that cannot be seen or is no text (U+{ord(self.letter):04X})."

    write = "Rename the file: letters, figures, - and _, and .yml at its end."


@dataclass(frozen=True)
class AllTooLarge(Fault):
    """All sources together have a limit, so that a folder that is no shop's cannot hold up the build."""

    what: str
    limit: int

    said = "with this file the sources come to more than {limit} {what}, which is more than any shop has."
    write = "Look for a folder that was copied in by mistake; name the folders with --procedures and --shop."


@dataclass(frozen=True)
class FileTooLarge(Fault):
    """A source file has a limit, so that one slip of an editor cannot hold up the build. No more of it is read. Split a
    long procedure in two and join the parts with `include`."""

    limit: int

    said = "this file has more than {limit} bytes, the most that a source file may have."
    write = "Split it into several procedures and join them with include."


@dataclass(frozen=True)
class NotUtf8(Fault):
    """The file was saved in another character set, so that letters such as é or ° would come out wrong."""

    byte: int

    said = "the byte 0x{byte:02X} here is not UTF-8 text."
    write = "Save the file as UTF-8; an editor offers it under the save dialogue's encoding."


@dataclass(frozen=True)
class ControlCharacter(Fault):
    """An invisible character that is no text: it came with a paste, or the file is not a text file at all. Characters
    that turn the direction of reading count too, since what they show is not what the phone gets."""

    code: int

    said = "an invisible control character (U+{code:04X}) stands here."
    write = "Delete it; if it cannot be seen, delete the whole line and type it again."


@dataclass(frozen=True)
class EmptyFile(Fault):
    """Nothing is written in the file, or comments only."""

    kinds: tuple[str, ...]

    said = "nothing is written in this file."
    write = "Begin it with one of: {kinds:listed} - or delete the file."


# --- Reading: what YAML itself cannot take ---------------------------------------------------------------------------


@dataclass(frozen=True)
class TabIndent(Fault):
    """YAML counts spaces at the start of a line and refuses tabs there, because a tab has no fixed width."""

    said = "this line is indented with a tab."
    write = "Use spaces, two for each level."


@dataclass(frozen=True)
class ColonInText(Fault):
    """A colon followed by a space ends a key. Inside a text it has to be in quotes."""

    text: str

    said = "a colon and a space stand inside the text {text:quoted}."

    @property
    def write(self) -> str:
        return f"Put the whole text in quotes:  {in_quotes(self.text)}"


@dataclass(frozen=True)
class UnclosedQuote(Fault):
    """A text that begins with a quote goes on to the next quote of that kind. The place is where it begins."""

    quote: str

    said = "the quote {quote} opened here is never closed."
    write = "Write {quote} at the end of this text."


@dataclass(frozen=True)
class UnclosedBracket(Fault):
    """A bracket or brace holds a list or keys until it is closed. The place is where it was opened."""

    bracket: str
    line: int
    rest: str  # of that line, from where it could not be read any further

    @property
    def said(self) -> str:
        kind = "bracket" if self.bracket == "[" else "brace"
        where = f"before {excerpt(self.rest)}" if self.rest.strip() else f"by line {self.line}"
        return f"the {kind} {self.bracket} opened here is not closed {where}."

    @property
    def write(self) -> str:
        closing = "]" if self.bracket == "[" else "}"
        return (
            f"Write {closing} after the last entry, a comma between two, and quotes around a text with : or brackets."
        )


@dataclass(frozen=True)
class StrayBracket(Fault):
    """A closing bracket, or a comma, with nothing open before it."""

    character: str

    @property
    def said(self) -> str:
        why = "with nothing before it" if self.character == "," else "and no bracket is open"
        return f'"{self.character}" stands here, {why}.'

    write = "Delete it, or put the text in quotes if it belongs to the text."


@dataclass(frozen=True)
class TextAfterQuote(Fault):
    """The quote ends the text; what follows on the line belongs to nothing. Often an apostrophe in single quotes."""

    rest: str

    said = "the quoted text ends before {rest:quoted}."
    write = "Put the whole text in the other kind of quote, or leave the quotes out."


@dataclass(frozen=True)
class TextAfterBracket(Fault):
    """A text that begins with a brace or bracket is taken for keys or a list. A value at the start of a text needs
    quotes around the whole text."""

    rest: str

    said = "text follows the closing bracket: {rest:quoted}."
    write = 'Put a text that begins with {{ or [ in quotes:  do: "{{pump_bolts}} first, then the rest"'


@dataclass(frozen=True)
class BadIndent(Fault):
    """Keys of one thing begin in one column, and so do the dashes of one list."""

    said = "this line does not begin in the same column as the lines it belongs to."
    write = "Put keys under keys and dashes under dashes, each level two spaces further in."


@dataclass(frozen=True)
class DashAfterKey(Fault):
    """A list written with dashes begins on the line below its key."""

    said = "a list with a dash begins on the same line as its key."
    write = "Begin it on the next line, or write it in brackets:  key: [first, second]"


@dataclass(frozen=True)
class LineWithoutColon(Fault):
    """Among keys every line is `key: text`; this one has no colon, or no space after it."""

    text: str

    said = "the line {text:quoted} has no key with a colon and a space."
    write = "Write  key: text  - or indent the line further if it goes on with the text above."


@dataclass(frozen=True)
class StrangeStart(Fault):
    """A few characters mean something to YAML at the start of a text, so a text cannot begin with them unquoted."""

    character: str
    text: str

    said = "a text cannot begin with {character} unless it is in quotes."

    @property
    def write(self) -> str:
        return f"Put the text in quotes:  {in_quotes(self.text)}"


@dataclass(frozen=True)
class BadEscape(Fault):
    """Inside double quotes a backslash begins a special character; this one is none."""

    said = "this backslash inside double quotes stands for nothing."
    write = "Use single quotes around the text, or write the backslash twice."


@dataclass(frozen=True)
class CannotBeRead(Fault):
    """The reader of YAML lost its way and the reason is none of the usual ones."""

    said = "from here on the file cannot be read."
    write = "Look at this line and the one above: a quote, bracket, colon or indentation is not as the rest has it."


@dataclass(frozen=True)
class SeveralDocuments(Fault):
    """One file holds one procedure, engine sheet, shop or job."""

    said = "a second document begins here."
    write = "Keep one thing in one file: delete the line of dashes or dots, or move what follows to its own file."


@dataclass(frozen=True)
class NestedTooDeep(Fault):
    """Lists and keys inside one another have a limit; no source needs so many."""

    limit: int

    said = "lists and keys stand more than {limit} deep inside one another here."
    write = "Look for a bracket that is opened again and again; move long parts to a procedure of their own."


@dataclass(frozen=True)
class TooManyTexts(Fault):
    """A file has a limit of keys and texts as well as of bytes, so that a short line written again and again cannot
    hold up the build."""

    limit: int

    said = "this file has more than {limit} keys, texts and lists; the next one stands here."
    write = "Look for a line that is written again and again; split a long file into several."


@dataclass(frozen=True)
class AnchorUsed(Fault):
    """`&name` marks a part of a file to be repeated elsewhere. Sources do without, so that what a step says stands in
    the step."""

    name: str

    said = '"&{name}" marks a part of the file for repeating, which is not used here.'
    write = "Delete it and write the part out where it is needed; put a text that begins with & in quotes."


@dataclass(frozen=True)
class AliasUsed(Fault):
    """`*name` repeats a part of the file from elsewhere. Sources do without, so that what a step says stands in the
    step. In a text it is often meant as emphasis."""

    name: str

    said = '"*{name}" repeats another part of the file, which is not used here.'
    write = "Write the part out; put a text that begins with * in quotes."


@dataclass(frozen=True)
class TagUsed(Fault):
    """`!name` tells YAML what kind of thing follows. Here the field decides that."""

    name: str

    said = '"{name}" says what kind of thing follows, which is not used here.'
    write = "Delete it; put a text that begins with ! in quotes."


@dataclass(frozen=True)
class MergeKeyUsed(Fault):
    """`<<` copies the keys of another part. Sources do without, so that what a step says stands in the step."""

    said = '"<<" copies the keys of another part, which is not used here.'
    write = "Write the keys out."


@dataclass(frozen=True)
class KeyNotText(Fault):
    """A list or group of keys stands where a key should be. Two braces around a value's name do this."""

    said = "a list or a group of keys stands where a key should be."
    write = "Write  key: text  - and put a text that begins with {{ or [ in quotes, with one brace around a name."


@dataclass(frozen=True)
class RepeatedKey(Fault):
    """One key twice in one thing: one of the two would silently win. The place is the second."""

    key: str
    first: int

    said = "{key:quoted} is written twice here; the first is on line {first}."
    write = "Keep one of the two, or rename one."
