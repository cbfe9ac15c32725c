"""Every way the text of a file can be wrong, before anything in it is understood. In the order a file is read."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault
from generator.faults.wording import excerpt, in_quotes

# --- Reading: the file as text -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class LinkNotFollowed(Fault):
    """A link in a folder of sources may lead anywhere on this machine, so none is followed."""

    said = "this is a link, and links are not followed."
    write = "Put a copy of the file or folder here instead of the link."


@dataclass(frozen=True)
class SendsAway(Fault):
    """A page of the guide with `<meta http-equiv="refresh">` takes the reader to another address without a tap. Neither
    this site's policy nor its offline copy goes along, and no policy that a page can state stops the browser."""

    said = 'this page sends the reader to another address without a tap (`<meta http-equiv="refresh">`).'
    write = "Delete that line. Write a link to tap instead: [where it is now](https://example.org/)."


@dataclass(frozen=True)
class OddFileName(Fault):
    """A file name that is invisible, or that means two names on another computer, cannot be passed on."""

    letter: str

    @property
    def said(self) -> str:
        if self.letter == "\\":
            return "the name of this file has a backslash, which separates folders on some computers."
        return f"the name of this file has a character that is invisible or not text (U+{ord(self.letter):04X})."

    write = "Rename the file with letters, digits, - and _, and .yml at the end."


@dataclass(frozen=True)
class AllTooLarge(Fault):
    """All sources together have a limit, so that a wrong folder cannot hold up the build."""

    what: str
    limit: int

    said = "with this file the sources have more than {limit} {what}, more than any shop needs."
    write = "Look for a folder that was copied in by mistake, or name the right folders with --procedures and --shop."


@dataclass(frozen=True)
class FileTooLarge(Fault):
    """A source file has a limit, so that one slip of an editor cannot hold up the build. No more of it is read. Split a
    long procedure in two and join the parts with `include`."""

    limit: int

    said = "this file is larger than {limit} bytes, the most a source file may have."
    write = "Split it into several procedures and join them with include."


@dataclass(frozen=True)
class NotUtf8(Fault):
    """The file was saved in another character set, so that letters such as é or ° would come out wrong."""

    byte: int

    said = "the byte 0x{byte:02X} here is not UTF-8 text."
    write = "Save the file as UTF-8: most editors offer the encoding under Save As."


@dataclass(frozen=True)
class ControlCharacter(Fault):
    """An invisible character that is not text: it came with a paste, or the file is not a text file at all. Characters
    that turn the reading direction count too, because what they show is not what the phone gets."""

    code: int

    said = "there is an invisible control character here (U+{code:04X})."
    write = "Delete it. If you can't see it, delete the whole line and type it again."


@dataclass(frozen=True)
class EmptyFile(Fault):
    """The file is empty, or has only comments."""

    kinds: tuple[str, ...]

    said = "there is nothing to read in this file."
    write = "Start it with one of: {kinds:listed} - or delete the file."


# --- Reading: what YAML itself cannot take ---------------------------------------------------------------------------


@dataclass(frozen=True)
class TabIndent(Fault):
    """YAML counts spaces at the start of a line and refuses tabs there, because a tab has no fixed width."""

    said = "this line is indented with a tab."
    write = "Indent with spaces, two for each level."


@dataclass(frozen=True)
class ColonInText(Fault):
    """A colon followed by a space ends a key. A text with one in it goes in quotes."""

    text: str

    said = "the text {text:quoted} has a colon and a space in it."

    @property
    def write(self) -> str:
        return f"Put the whole text in quotes:  {in_quotes(self.text)}"


@dataclass(frozen=True)
class UnclosedQuote(Fault):
    """A text that starts with a quote goes on to the next quote of that kind. The place is where it starts."""

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
            f"Write {closing} after the last entry and a comma between entries. "
            "Put a text with : or brackets in quotes."
        )


@dataclass(frozen=True)
class StrayBracket(Fault):
    """A closing bracket, or a comma, with nothing open before it."""

    character: str

    @property
    def said(self) -> str:
        why = "with nothing before it" if self.character == "," else "but no bracket is open"
        return f'there is a "{self.character}" here, {why}.'

    write = "Delete it. If it belongs to a text, put the text in quotes."


@dataclass(frozen=True)
class TextAfterQuote(Fault):
    """The quote ends the text, and the rest of the line belongs to nothing. Often an apostrophe in single quotes."""

    rest: str

    said = "the quoted text ends before {rest:quoted}."
    write = "Put the whole text in the other kind of quotes, or leave the quotes out."


@dataclass(frozen=True)
class TextAfterBracket(Fault):
    """A text that starts with a brace or bracket is read as keys or a list. If a value comes first, put the whole text
    in quotes."""

    rest: str

    said = "there is text after the closing bracket: {rest:quoted}."
    write = 'Put a text that starts with {{ or [ in quotes:  do: "{{pump_bolts}} first, then the rest"'


@dataclass(frozen=True)
class BadIndent(Fault):
    """The keys of one thing start in the same column, and so do the dashes of one list."""

    said = "this line does not start in the same column as the lines it belongs with."
    write = "Line up keys under keys and dashes under dashes. Indent each level by two more spaces."


@dataclass(frozen=True)
class DashAfterKey(Fault):
    """A list written with dashes starts on the line below its key."""

    said = "a list with dashes starts on the same line as its key."
    write = "Start it on the next line, or write it in brackets:  key: [first, second]"


@dataclass(frozen=True)
class LineWithoutColon(Fault):
    """Among keys every line is `key: text`; this one has no colon, or no space after it."""

    text: str

    said = "the line {text:quoted} has no key with a colon and a space."
    write = "Write  key: text  - or indent the line more if it continues the text above."


@dataclass(frozen=True)
class StrangeStart(Fault):
    """A few characters mean something to YAML at the start of a text, so such a text goes in quotes."""

    character: str
    text: str

    said = "a text cannot start with {character} unless it is in quotes."

    @property
    def write(self) -> str:
        return f"Put the text in quotes:  {in_quotes(self.text)}"


@dataclass(frozen=True)
class BadEscape(Fault):
    """Inside double quotes a backslash starts a special character, and this is not one."""

    said = "this backslash inside double quotes means nothing."
    write = "Put the text in single quotes, or write the backslash twice."


@dataclass(frozen=True)
class CannotBeRead(Fault):
    """YAML cannot be read any further, and the reason is none of the usual ones."""

    said = "the file cannot be read from here on."
    write = "Look at this line and the one above for a missing quote, bracket or colon, or a wrong indent."


@dataclass(frozen=True)
class SeveralDocuments(Fault):
    """One file holds one procedure, sheet, shop or job."""

    said = "a second document starts here."
    write = "Keep one thing to a file: delete the line of dashes or dots, or move what follows into its own file."


@dataclass(frozen=True)
class NestedTooDeep(Fault):
    """Lists and keys can only be nested so deep; no source needs more."""

    limit: int

    said = "lists and keys are nested more than {limit} deep here."
    write = "Look for a bracket that is opened again and again. Move long parts into a procedure of their own."


@dataclass(frozen=True)
class TooManyTexts(Fault):
    """A file has a limit of keys and texts as well as of bytes, so that a short line repeated many times cannot hold up
    the build."""

    limit: int

    said = "this file has more than {limit} keys, texts and lists; the first one too many is here."
    write = "Look for a line that is repeated again and again. Split a long file into several."


@dataclass(frozen=True)
class AnchorUsed(Fault):
    """`&name` marks a part of a file to be repeated elsewhere. Sources do without, so that what a step says stands in
    the step."""

    name: str

    said = '"&{name}" marks a part of the file to repeat, and sources never repeat a part.'
    write = "Delete it and write the part out where it is needed. Put a text that starts with & in quotes."


@dataclass(frozen=True)
class AliasUsed(Fault):
    """`*name` repeats a part of the file from elsewhere. Sources do without, so that what a step says stands in the
    step. In a text it is often meant as emphasis."""

    name: str

    said = '"*{name}" repeats another part of the file, and sources never repeat a part.'
    write = "Write the part out. Put a text that starts with * in quotes."


@dataclass(frozen=True)
class TagUsed(Fault):
    """`!name` tells YAML what kind of thing follows. Here the field decides that."""

    name: str

    said = '"{name}" tells YAML what kind of thing follows, and sources never do.'
    write = "Delete it. Put a text that starts with ! in quotes."


@dataclass(frozen=True)
class MergeKeyUsed(Fault):
    """`<<` copies the keys of another part. Sources do without, so that what a step says stands in the step."""

    said = '"<<" copies the keys of another part, and sources never copy keys.'
    write = "Write the keys out."


@dataclass(frozen=True)
class KeyNotText(Fault):
    """There is a list or group of keys where a key should be. Double braces around a value's name do this."""

    said = "there is a list or a group of keys where a key should be."
    write = "Write  key: text  - and put a text that starts with {{ or [ in quotes, with single braces around a name."


@dataclass(frozen=True)
class RepeatedKey(Fault):
    """The same key twice in one thing: one of the two would silently win. The place is the second."""

    key: str
    first: int
    begins: bool = False  # each entry of this list begins with the key

    said = "{key:quoted} is written twice here; the first is on line {first}."

    @property
    def write(self) -> str:
        if self.begins:
            return f"If a new entry begins here, it needs a dash:  - {self.key}: ...  If not, keep one of the two."
        return "Keep one of the two, or rename one."


@dataclass(frozen=True)
class CutByComment(Fault):
    """A number sign after a space begins a comment, so the rest of a text would be lost without a word."""

    text: str
    rest: str

    said = "the text ends before {rest:quoted}, because a number sign after a space begins a comment."

    @property
    def write(self) -> str:
        whole = in_quotes(f"{self.text} {self.rest}")
        return f"Put the whole text in quotes:  {whole}  If it is a comment, write a space after the number sign."


@dataclass(frozen=True)
class CurlyQuotes(Fault):
    """Quotes that a word processor bends are letters to YAML, and would stand on the phone."""

    text: str

    said = "the text {text:quoted} stands in curly quotes, which would be printed with it."

    @property
    def write(self) -> str:
        return f"Write straight quotes:  {in_quotes(self.text[1:-1])}"


@dataclass(frozen=True)
class MergeMarks(Fault):
    """Two versions of the file were joined, and where both had changed, both still stand there."""

    mark: str

    said = "{mark:quoted} is a mark of two versions of this file that were joined."
    write = "Keep one of the two versions between the marks, and delete all three lines of marks."
