"""Every way a source can be wrong, one class each: what is wrong, and what to write instead.

A fault holds its place and the facts; the two sentences are made here and nowhere else. The docstring of each class is
its page in the manual. Read the classes from top to bottom: they stand in the order in which a source is looked at.
"""

from __future__ import annotations

import difflib
import functools
import itertools
import re
from abc import ABC, abstractmethod
from collections.abc import Iterable
from dataclasses import dataclass

from generator.place import Place

# How many names a message lists before it says "and others".
LISTED = 12
LONGEST = 60  # letters of a listed name
QUOTED = 40


@dataclass(frozen=True)
class Fault(ABC):
    """One mistake in one place. `said` says what is wrong, `write` what to write instead; each is one line."""

    place: Place

    @property
    @abstractmethod
    def said(self) -> str: ...

    @property
    @abstractmethod
    def write(self) -> str: ...


def in_order(faults: Iterable[Fault]) -> list[Fault]:
    """Faults by file, line and column; of two in one place the one found first stays first. Each is there once."""
    by_place = sorted(faults, key=_position)
    out: list[Fault] = []
    for _, there in itertools.groupby(by_place, key=_position):
        once = list(there)
        out.extend(once if len(once) == 1 else {(type(fault), fault.said): fault for fault in once}.values())
    return out


def _position(fault: Fault) -> tuple[str, int, int]:
    return fault.place.file, fault.place.line, fault.place.column


def excerpt(text: str, limit: int = QUOTED) -> str:
    """A text as a message shows it: one line, in double quotes, cut where it is long."""
    line = " ".join(text.split())
    return f'"{line}"' if len(line) <= limit else f'"{line[: limit - 3].rstrip()}..."'


def in_quotes(text: str) -> str:
    """A text as a source may write it, on one line: in double quotes, or in single ones if it has double."""
    line = " ".join(text.split())
    return "'" + line.replace("'", "''") + "'" if '"' in line or "\\" in line else f'"{line}"'


def counted(number: int, thing: str) -> str:
    """A number with its thing, of which there may be one: `1 worksheet`, `2 worksheets`."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def listing(names: Iterable[str]) -> str:
    """Names in a row, as many and as much of each as a person reads: `a, b, c`."""
    known = [name if len(name) <= LONGEST else f"{name[: LONGEST - 3]}..." for name in names]
    return ", ".join(known[:LISTED]) + (", and others" if len(known) > LISTED else "")


@functools.lru_cache(maxsize=1024)
def nearest(name: str, known: tuple[str, ...]) -> str | None:
    """The known name that looks most like this one, or None. Only the first 1000 are looked at."""
    folded = {other.lower().replace("_", "-"): other for other in reversed(known[:1000])}
    found = difflib.get_close_matches(name[:80].lower().replace("_", "-"), folded, n=1, cutoff=0.6)
    return folded[found[0]] if found else None


def did_you_mean(name: str, known: tuple[str, ...]) -> str:
    """`Did you mean "x"? ` with its space, or nothing."""
    near = nearest(name, known)
    return f'Did you mean "{near}"? ' if near else ""


def one_of(name: str, known: tuple[str, ...], otherwise: str) -> str:
    """What to write for a name nobody knows: the nearest, else all when they are few, else the advice alone."""
    near = nearest(name, known)
    if near:
        return f'Did you mean "{near}"? If not, {otherwise}.'
    if known:
        return f"Write one of: {listing(known)} - or {otherwise}."
    return f"{otherwise[:1].upper()}{otherwise[1:]}."


# --- Reading: the file as text -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class LinkNotFollowed(Fault):
    """A link in a folder of sources may lead anywhere on this machine, so none is followed."""

    @property
    def said(self) -> str:
        return "this is a link to another place, and links are not followed."

    @property
    def write(self) -> str:
        return "Put a copy of the file or folder here instead of the link."


@dataclass(frozen=True)
class SendsAway(Fault):
    """A page of the guide with `<meta http-equiv="refresh">` takes the reader to another address without a tap. Neither
    this site's policy nor its offline copy goes along, and no policy that a page can state stops the browser."""

    @property
    def said(self) -> str:
        return 'this page leaves for another address by itself (`<meta http-equiv="refresh">`).'

    @property
    def write(self) -> str:
        return "Take the line out and write a link to tap: [where it is now](https://example.org/)."


@dataclass(frozen=True)
class OddFileName(Fault):
    """A file name that cannot be seen, or that is two names on another machine, cannot be told to anybody."""

    letter: str

    @property
    def said(self) -> str:
        if self.letter == "\\":
            return "the name of this file has a backslash, which parts folders on some machines."
        return f"the name of this file has a letter that cannot be seen or is no text (U+{ord(self.letter):04X})."

    @property
    def write(self) -> str:
        return "Rename the file: letters, figures, - and _, and .yml at its end."


@dataclass(frozen=True)
class AllTooLarge(Fault):
    """All sources together have a limit, so that a folder that is no shop's cannot hold up the build."""

    what: str
    limit: int

    @property
    def said(self) -> str:
        return (
            f"with this file the sources come to more than {self.limit} {self.what}, which is more than any shop has."
        )

    @property
    def write(self) -> str:
        return "Look for a folder that was copied in by mistake; name the folders with --procedures and --shop."


@dataclass(frozen=True)
class FileTooLarge(Fault):
    """A source file has a limit, so that one slip of an editor cannot hold up the build. No more of it is read. Split a
    long procedure in two and join the parts with `include`."""

    limit: int

    @property
    def said(self) -> str:
        return f"this file has more than {self.limit} bytes, the most that a source file may have."

    @property
    def write(self) -> str:
        return "Split it into several procedures and join them with include."


@dataclass(frozen=True)
class NotUtf8(Fault):
    """The file was saved in another character set, so that letters such as é or ° would come out wrong."""

    byte: int

    @property
    def said(self) -> str:
        return f"the byte 0x{self.byte:02X} here is not UTF-8 text."

    @property
    def write(self) -> str:
        return "Save the file as UTF-8; an editor offers it under the save dialogue's encoding."


@dataclass(frozen=True)
class ControlCharacter(Fault):
    """An invisible character that is no text: it came with a paste, or the file is not a text file at all. Characters
    that turn the direction of reading count too, since what they show is not what the phone gets."""

    code: int

    @property
    def said(self) -> str:
        return f"an invisible control character (U+{self.code:04X}) stands here."

    @property
    def write(self) -> str:
        return "Delete it; if it cannot be seen, delete the whole line and type it again."


@dataclass(frozen=True)
class EmptyFile(Fault):
    """Nothing is written in the file, or comments only."""

    kinds: tuple[str, ...]

    @property
    def said(self) -> str:
        return "nothing is written in this file."

    @property
    def write(self) -> str:
        return f"Begin it with one of: {listing(self.kinds)} - or delete the file."


# --- Reading: what YAML itself cannot take ---------------------------------------------------------------------------


@dataclass(frozen=True)
class TabIndent(Fault):
    """YAML counts spaces at the start of a line and refuses tabs there, because a tab has no fixed width."""

    @property
    def said(self) -> str:
        return "this line is indented with a tab."

    @property
    def write(self) -> str:
        return "Use spaces, two for each level."


@dataclass(frozen=True)
class ColonInText(Fault):
    """A colon followed by a space ends a key. Inside a text it has to be in quotes."""

    text: str

    @property
    def said(self) -> str:
        return f"a colon and a space stand inside the text {excerpt(self.text)}."

    @property
    def write(self) -> str:
        return f"Put the whole text in quotes:  {in_quotes(self.text)}"


@dataclass(frozen=True)
class UnclosedQuote(Fault):
    """A text that begins with a quote goes on to the next quote of that kind. The place is where it begins."""

    quote: str

    @property
    def said(self) -> str:
        return f"the quote {self.quote} opened here is never closed."

    @property
    def write(self) -> str:
        return f"Write {self.quote} at the end of this text."


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

    @property
    def write(self) -> str:
        return "Delete it, or put the text in quotes if it belongs to the text."


@dataclass(frozen=True)
class TextAfterQuote(Fault):
    """The quote ends the text; what follows on the line belongs to nothing. Often an apostrophe in single quotes."""

    rest: str

    @property
    def said(self) -> str:
        return f"the quoted text ends before {excerpt(self.rest)}."

    @property
    def write(self) -> str:
        return "Put the whole text in the other kind of quote, or leave the quotes out."


@dataclass(frozen=True)
class TextAfterBracket(Fault):
    """A text that begins with a brace or bracket is taken for keys or a list. A value at the start of a text needs
    quotes around the whole text."""

    rest: str

    @property
    def said(self) -> str:
        return f"text follows the closing bracket: {excerpt(self.rest)}."

    @property
    def write(self) -> str:
        return 'Put a text that begins with { or [ in quotes:  do: "{pump_bolts} first, then the rest"'


@dataclass(frozen=True)
class BadIndent(Fault):
    """Keys of one thing begin in one column, and so do the dashes of one list."""

    @property
    def said(self) -> str:
        return "this line does not begin in the same column as the lines it belongs to."

    @property
    def write(self) -> str:
        return "Put keys under keys and dashes under dashes, each level two spaces further in."


@dataclass(frozen=True)
class DashAfterKey(Fault):
    """A list written with dashes begins on the line below its key."""

    @property
    def said(self) -> str:
        return "a list with a dash begins on the same line as its key."

    @property
    def write(self) -> str:
        return "Begin it on the next line, or write it in brackets:  key: [first, second]"


@dataclass(frozen=True)
class LineWithoutColon(Fault):
    """Among keys every line is `key: text`; this one has no colon, or no space after it."""

    text: str

    @property
    def said(self) -> str:
        return f"the line {excerpt(self.text)} has no key with a colon and a space."

    @property
    def write(self) -> str:
        return "Write  key: text  - or indent the line further if it goes on with the text above."


@dataclass(frozen=True)
class StrangeStart(Fault):
    """A few characters mean something to YAML at the start of a text, so a text cannot begin with them unquoted."""

    character: str
    text: str

    @property
    def said(self) -> str:
        return f"a text cannot begin with {self.character} unless it is in quotes."

    @property
    def write(self) -> str:
        return f"Put the text in quotes:  {in_quotes(self.text)}"


@dataclass(frozen=True)
class BadEscape(Fault):
    """Inside double quotes a backslash begins a special character; this one is none."""

    @property
    def said(self) -> str:
        return "this backslash inside double quotes stands for nothing."

    @property
    def write(self) -> str:
        return "Use single quotes around the text, or write the backslash twice."


@dataclass(frozen=True)
class CannotBeRead(Fault):
    """The reader of YAML lost its way and the reason is none of the usual ones."""

    @property
    def said(self) -> str:
        return "from here on the file cannot be read."

    @property
    def write(self) -> str:
        return "Look at this line and the one above: a quote, bracket, colon or indentation is not as the rest has it."


@dataclass(frozen=True)
class SeveralDocuments(Fault):
    """One file holds one procedure, engine sheet, shop or job."""

    @property
    def said(self) -> str:
        return "a second document begins here."

    @property
    def write(self) -> str:
        return "Keep one thing in one file: delete the line of dashes or dots, or move what follows to its own file."


@dataclass(frozen=True)
class NestedTooDeep(Fault):
    """Lists and keys inside one another have a limit; no source needs so many."""

    limit: int

    @property
    def said(self) -> str:
        return f"lists and keys stand more than {self.limit} deep inside one another here."

    @property
    def write(self) -> str:
        return "Look for a bracket that is opened again and again; move long parts to a procedure of their own."


@dataclass(frozen=True)
class TooManyTexts(Fault):
    """A file has a limit of keys and texts as well as of bytes, so that a short line written again and again cannot
    hold up the build."""

    limit: int

    @property
    def said(self) -> str:
        return f"this file has more than {self.limit} keys, texts and lists; the next one stands here."

    @property
    def write(self) -> str:
        return "Look for a line that is written again and again; split a long file into several."


@dataclass(frozen=True)
class AnchorUsed(Fault):
    """`&name` marks a part of a file to be repeated elsewhere. Sources do without, so that what a step says stands in
    the step."""

    name: str

    @property
    def said(self) -> str:
        return f'"&{self.name}" marks a part of the file for repeating, which is not used here.'

    @property
    def write(self) -> str:
        return "Delete it and write the part out where it is needed; put a text that begins with & in quotes."


@dataclass(frozen=True)
class AliasUsed(Fault):
    """`*name` repeats a part of the file from elsewhere. Sources do without, so that what a step says stands in the
    step. In a text it is often meant as emphasis."""

    name: str

    @property
    def said(self) -> str:
        return f'"*{self.name}" repeats another part of the file, which is not used here.'

    @property
    def write(self) -> str:
        return "Write the part out; put a text that begins with * in quotes."


@dataclass(frozen=True)
class TagUsed(Fault):
    """`!name` tells YAML what kind of thing follows. Here the field decides that."""

    name: str

    @property
    def said(self) -> str:
        return f'"{self.name}" says what kind of thing follows, which is not used here.'

    @property
    def write(self) -> str:
        return "Delete it; put a text that begins with ! in quotes."


@dataclass(frozen=True)
class MergeKeyUsed(Fault):
    """`<<` copies the keys of another part. Sources do without, so that what a step says stands in the step."""

    @property
    def said(self) -> str:
        return '"<<" copies the keys of another part, which is not used here.'

    @property
    def write(self) -> str:
        return "Write the keys out."


@dataclass(frozen=True)
class KeyNotText(Fault):
    """A list or group of keys stands where a key should be. Two braces around a value's name do this."""

    @property
    def said(self) -> str:
        return "a list or a group of keys stands where a key should be."

    @property
    def write(self) -> str:
        return "Write  key: text  - and put a text that begins with { or [ in quotes, with one brace around a name."


@dataclass(frozen=True)
class RepeatedKey(Fault):
    """One key twice in one thing: one of the two would silently win. The place is the second."""

    key: str
    first: int

    @property
    def said(self) -> str:
        return f"{excerpt(self.key)} is written twice here; the first is on line {self.first}."

    @property
    def write(self) -> str:
        return "Keep one of the two, or rename one."


# --- Checking: the shape of a thing ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class UnknownKindOfFile(Fault):
    """The first key of a file says what it is."""

    key: str
    kinds: tuple[str, ...]
    elsewhere: str | None  # the kind whose key stands further down

    @property
    def said(self) -> str:
        begins = excerpt(self.key) if self.key else "no key"
        return f"the file begins with {begins}, which does not say what kind of file it is."

    @property
    def write(self) -> str:
        if self.elsewhere:
            return f'Move the line "{self.elsewhere}:" to the top.'
        return f"{did_you_mean(self.key, self.kinds)}A file begins with one of: {listing(self.kinds)}."


@dataclass(frozen=True)
class UnknownKey(Fault):
    """A key the thing does not have, most often a slip of the finger. It would otherwise be dropped in silence."""

    thing: str
    key: str
    allowed: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} has an unknown key {excerpt(self.key)}."

    @property
    def write(self) -> str:
        return f"{did_you_mean(self.key, self.allowed)}It may have: {', '.join(self.allowed)}."


@dataclass(frozen=True)
class CommaEndsText(Fault):
    """Inside braces a comma ends the text and begins the next key. A text with a comma is in quotes there."""

    thing: str
    key: str
    text: str
    rest: str

    @property
    def said(self) -> str:
        return f'{self.thing} has a text after "{self.key}" that ends at a comma, before {excerpt(self.rest)}.'

    @property
    def write(self) -> str:
        return f'Inside braces a text with a comma goes in quotes:  {self.key}: "{self.text}, {self.rest}"'


@dataclass(frozen=True)
class MissingKey(Fault):
    """Something that must be said is not said. The place is the start of the thing that lacks it."""

    thing: str
    keys: tuple[str, ...]
    examples: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} has no {' and no '.join(map(excerpt, self.keys))}."

    @property
    def write(self) -> str:
        lines = "  and  ".join(f"{key}: {example}" for key, example in zip(self.keys, self.examples, strict=True))
        return f"Add, for example:  {lines}"


@dataclass(frozen=True)
class CautionIncomplete(Fault):
    """A caution that only says "careful" protects nobody: it names the hazard, the harm it does, and how to avoid it.
    All three are needed, and the level."""

    thing: str
    lacks: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} does not say {' and '.join(_CAUTION_LACKS[key] for key in self.lacks)}."

    @property
    def write(self) -> str:
        return "Add:  " + "  and  ".join(_CAUTION_EXAMPLES[key] for key in self.lacks)


_CAUTION_LACKS = {
    "level": "how grave it is",
    "hazard": "what the hazard is",
    "harm": "what harm it does",
    "avoid": "how to avoid it",
}
_CAUTION_EXAMPLES = {
    "level": "level: danger, warning, caution or notice",
    "hazard": "hazard: The spring is under load.",
    "harm": "harm: It can crush a finger.",
    "avoid": "avoid: Keep your hands clear of it.",
}


@dataclass(frozen=True)
class NothingWritten(Fault):
    """A key with nothing after it, or with empty quotes. What is not meant is left out with its key."""

    thing: str
    key: str

    @property
    def said(self) -> str:
        return f'{self.thing} has nothing after "{self.key}".'

    @property
    def write(self) -> str:
        return "Write it, or delete the line."


@dataclass(frozen=True)
class EmptyList(Fault):
    """A list that needs an entry has none."""

    thing: str
    key: str

    @property
    def said(self) -> str:
        return f'{self.thing} has an empty list "{self.key}".'

    @property
    def write(self) -> str:
        return "Write at least one entry."


@dataclass(frozen=True)
class WrongShape(Fault):
    """A text stands where a list is wanted, a list where a text is wanted, and so on."""

    thing: str
    key: str
    found: str
    wanted: str

    @property
    def said(self) -> str:
        return f'{self.thing} has {self.found} after "{self.key}", where {self.wanted} is expected.'

    @property
    def write(self) -> str:
        if self.found == KEYS and self.wanted == LIST:
            return f'Begin the first line below "{self.key}:" with a dash and a space.'
        return _SHAPES[self.wanted].format(key=self.key)


TEXT, LIST, KEYS = "a text", "a list", "a group of keys"
_SHAPES = {
    TEXT: "Write one text:  {key}: text  - in quotes if it begins with {{ or [.",
    LIST: "Write it in brackets, or one entry a line with dashes:  {key}: [first, second]",
    KEYS: 'Write a key and a text for each, below "{key}:" or in braces:  {key}: {{key: text}}',
}


@dataclass(frozen=True)
class BraceStartsText(Fault):
    """A text that is only `{name}`, without quotes, is read as a group of keys."""

    thing: str
    key: str
    name: str

    @property
    def said(self) -> str:
        return f'{self.thing} has a text after "{self.key}" that begins with a brace and is not in quotes.'

    @property
    def write(self) -> str:
        return f'Write:  {self.key}: "{{{self.name}}}"'


@dataclass(frozen=True)
class GuessedText(Fault):
    """YAML takes some words and figures for something else: `no` for false, `010` for eight, `1:30` for ninety. Where
    a text is wanted they go in quotes, so that every program reads the same."""

    thing: str
    key: str
    text: str
    guess: str

    @property
    def said(self) -> str:
        return f'{self.thing} has {self.text} after "{self.key}", which YAML takes for {self.guess}, not for a text.'

    @property
    def write(self) -> str:
        return f'Write it in quotes:  "{self.text}"'


@dataclass(frozen=True)
class GuessedKey(Fault):
    """YAML takes some words and figures for something else, as keys too: `on` for true, `010` for eight."""

    thing: str
    key: str
    guess: str

    @property
    def said(self) -> str:
        return f"{self.thing} has the name {self.key}, which YAML takes for {self.guess}, not for a name."

    @property
    def write(self) -> str:
        return f'Choose a longer name, or write it in quotes:  "{self.key}"'


@dataclass(frozen=True)
class TextTooLong(Fault):
    """A text longer than a phone shows at once is not read under the bonnet. One step, one action."""

    thing: str
    key: str
    length: int
    limit: int

    @property
    def said(self) -> str:
        return f'{self.thing} has "{self.key}" with {self.length} characters; a phone shows {self.limit} at once.'

    @property
    def write(self) -> str:
        return _SHORTER.get(self.key, "Shorten it.")


_SHORTER = {"do": "Shorten it, or split the step: one step, one action. The reason goes in why."}


@dataclass(frozen=True)
class NameTooLong(Fault):
    """A name is typed and read in lists and addresses; it has a limit."""

    thing: str
    key: str
    length: int
    limit: int

    @property
    def said(self) -> str:
        return f'{self.thing} has "{self.key}" with {self.length} characters; a name has at most {self.limit}.'

    @property
    def write(self) -> str:
        return "Choose a shorter name; what it means goes in the label or title."


@dataclass(frozen=True)
class BadId(Fault):
    """Ids of procedures, stages of a job and steps: lower-case letters, figures and hyphens, a letter first."""

    thing: str
    key: str
    text: str

    @property
    def said(self) -> str:
        return f'{self.thing} has "{self.key}" written {excerpt(self.text)}; an id has a-z, 0-9 and -.'

    @property
    def write(self) -> str:
        return f"Write for example:  {spelled(self.text, '-') or 'fit-pump'}"


@dataclass(frozen=True)
class BadName(Fault):
    """Names of values, items, tools, parts and facts: lower-case letters, figures and underscores, a letter first."""

    thing: str
    key: str
    text: str

    @property
    def said(self) -> str:
        return f'{self.thing} has "{self.key}" written {excerpt(self.text)}; a name has a-z, 0-9 and _.'

    @property
    def write(self) -> str:
        return f"Write for example:  {spelled(self.text, '_') or 'pump_bolts'}"


def spelled(text: str, joint: str) -> str:
    """A name as it may be written: `Fit Pump` -> `fit-pump`. Empty when nothing is left of it."""
    words = re.findall(r"[a-z0-9]+", text.lower())
    return joint.join(words)[:48].strip(joint) if words and words[0][0].isalpha() else ""


@dataclass(frozen=True)
class BadInitials(Fault):
    """People are known on the phone by two to four capital letters."""

    text: str

    @property
    def said(self) -> str:
        return f"the initials {excerpt(self.text)} are not two to four capital letters."

    @property
    def write(self) -> str:
        letters = "".join(c for c in self.text.upper() if "A" <= c <= "Z")[:4]
        return f"Write for example:  initials: {letters if len(letters) > 1 else 'KS'}"


@dataclass(frozen=True)
class BadJobNumber(Fault):
    """A job number is what the shop writes on its card: letters, figures and hyphens, at most 24."""

    text: str

    @property
    def said(self) -> str:
        return f"the job number {excerpt(self.text)} is not letters, figures and hyphens, at most 24 of them."

    @property
    def write(self) -> str:
        return 'Write for example:  job: "2041"'


@dataclass(frozen=True)
class NotOneOf(Fault):
    """The field takes one of a few words."""

    thing: str
    key: str
    text: str
    allowed: tuple[str, ...]

    @property
    def said(self) -> str:
        return f'{self.thing} has {excerpt(self.text)} after "{self.key}", which is none of its words.'

    @property
    def write(self) -> str:
        return f"{did_you_mean(self.text, self.allowed)}Write one of: {', '.join(self.allowed)}."


@dataclass(frozen=True)
class NotYesNo(Fault):
    """The field takes yes or no, in lower case."""

    thing: str
    key: str
    text: str

    @property
    def said(self) -> str:
        return f'{self.thing} has {excerpt(self.text)} after "{self.key}", where yes or no is expected.'

    @property
    def write(self) -> str:
        yes = {"true": "yes", "on": "yes", "y": "yes", "yes": "yes", "false": "no", "off": "no", "n": "no", "no": "no"}
        return f"Write:  {self.key}: {yes.get(self.text.lower(), 'yes')}"


@dataclass(frozen=True)
class NotAWholeNumber(Fault):
    """The field takes a whole number in plain figures. `06` is refused because YAML counts it in eights."""

    thing: str
    key: str
    text: str

    @property
    def said(self) -> str:
        return f'{self.thing} has {excerpt(self.text)} after "{self.key}", where a whole number is expected.'

    @property
    def write(self) -> str:
        figures = re.fullmatch(r"[0+]*([0-9]{1,6})(\.0*)?", self.text)
        return f"Write:  {self.key}: {figures[1] if figures else '6'}"


@dataclass(frozen=True)
class NotANumber(Fault):
    """The field takes a number in plain figures, with a point for decimals and no unit."""

    thing: str
    key: str
    text: str

    @property
    def said(self) -> str:
        return f'{self.thing} has {excerpt(self.text)} after "{self.key}", where a number is expected.'

    @property
    def write(self) -> str:
        number = re.match(r"-?[0-9]{1,9}(\.[0-9]{1,9})?", self.text)
        return f"Write a number with a point for decimals and no unit:  {self.key}: {number[0] if number else '0.5'}"


@dataclass(frozen=True)
class NotACount(Fault):
    """How many of a thing are opened: a whole number, or `from` and the value whose count it is."""

    thing: str
    text: str

    @property
    def said(self) -> str:
        return f'{self.thing} has the count {excerpt(self.text)}, where a number or "from" and a value is expected.'

    @property
    def write(self) -> str:
        return "Write for example:  count: 6  or  count: from pump_bolts"


@dataclass(frozen=True)
class NotADate(Fault):
    """A date is written year-month-day, so that it means the same everywhere."""

    thing: str
    key: str
    text: str

    @property
    def said(self) -> str:
        return f'{self.thing} has {excerpt(self.text)} after "{self.key}", where a date is expected.'

    @property
    def write(self) -> str:
        return f"Write year-month-day:  {self.key}: 2026-10-02"


@dataclass(frozen=True)
class NumberWithoutUnit(Fault):
    """A number alone is a guess: 10 N.m and 10 lbf.ft are not the same bolt."""

    thing: str
    key: str
    text: str
    units: tuple[str, ...]

    @property
    def said(self) -> str:
        return f'{self.thing} has {self.text} after "{self.key}" without a unit.'

    @property
    def write(self) -> str:
        return f"Write the unit after a space:  {self.text} {self.units[0]}  (one of: {listing(self.units)})"


@dataclass(frozen=True)
class NotAQuantity(Fault):
    """A quantity is a number with a point for decimals, a space, and a unit."""

    thing: str
    key: str
    text: str
    units: tuple[str, ...]

    @property
    def said(self) -> str:
        return f'{self.thing} has {excerpt(self.text)} after "{self.key}", which is no number, space and unit.'

    @property
    def write(self) -> str:
        quantity = _as_quantity(self.text, self.units)
        if quantity:
            return f"Write for example:  {self.key}: {quantity}"
        return f"Write one number with a point for decimals, a space, and one of: {listing(self.units)}."


def _as_quantity(text: str, units: tuple[str, ...]) -> str | None:
    """The quantity that was surely meant: `10N.m` and `10,5 N.m`. A range or `1,200` could mean anything."""
    match = re.fullmatch(r"(-?[0-9]{1,6})(?:[.,]([0-9]{1,2}))?\s*([^\s\d]{1,16})", text)
    if not match:
        return None
    whole, decimals, unit = match.groups()
    near = unit if unit in units else nearest(unit, units)
    return f"{whole}{'.' + decimals if decimals else ''} {near}" if near else None


@dataclass(frozen=True)
class TwoStagesInOne(Fault):
    """A torque followed by an angle is two stages: the phone closes them one after the other."""

    thing: str
    key: str
    first: str
    then: str

    @property
    def said(self) -> str:
        return f'{self.thing} has two stages after "{self.key}": {self.first}, then {self.then}.'

    @property
    def write(self) -> str:
        return f"Write two lines:  {self.key}: {self.first}  and  then: [{self.then}]"


@dataclass(frozen=True)
class UnknownUnit(Fault):
    """Units are spelled one way, so that nothing has to be guessed: N.m, lbf.ft, degC."""

    thing: str
    key: str
    unit: str
    units: tuple[str, ...]
    meant: str | None  # what this common spelling stands for

    @property
    def said(self) -> str:
        return f'{self.thing} has the unit {excerpt(self.unit)} after "{self.key}", which is not known.'

    @property
    def write(self) -> str:
        return f"{did_you_mean(self.meant or self.unit, self.units)}Write one of: {', '.join(self.units)}."


@dataclass(frozen=True)
class WrongUnit(Fault):
    """A unit that is known, but measures something else."""

    thing: str
    key: str
    unit: str
    measures: str
    units: tuple[str, ...]

    @property
    def said(self) -> str:
        return f'{self.thing} has the unit {self.unit} after "{self.key}", which is no unit of {self.measures}.'

    @property
    def write(self) -> str:
        return f"Write one of: {', '.join(self.units)}."


@dataclass(frozen=True)
class UnknownCheckOff(Fault):
    """What closes a step is one of eight check-offs."""

    thing: str
    text: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} is closed by {excerpt(self.text)}, which is no check-off."

    @property
    def write(self) -> str:
        return f"{did_you_mean(self.text, self.known)}Write one of: {', '.join(self.known)}."


@dataclass(frozen=True)
class CheckOffAlone(Fault):
    """Only a tick stands alone. The others say what is tightened, measured, inspected, waited for or signed."""

    thing: str
    kind: str

    @property
    def said(self) -> str:
        return f'{self.thing} is closed by "{self.kind}", which does not say of what.'

    @property
    def write(self) -> str:
        return f"Write for example:  check: {{{self.kind}: {_CHECK_OFF_EXAMPLES.get(self.kind, 'pump_bolts')}}}"


_CHECK_OFF_EXAMPLES = {
    "measure": "drained",
    "inspect": "{dry: Dry, wet: Wet}",
    "wait": "press_time",
    "turn": "proof_turns",
    "photo": "Marks as found",
    "sign": "another, of: [marks-set]",
}


@dataclass(frozen=True)
class TwoCheckOffs(Fault):
    """One step, one check-off: two proofs in one tap prove one of them at most."""

    thing: str
    first: str
    second: str

    @property
    def said(self) -> str:
        return f'{self.thing} has two check-offs, "{self.first}" and "{self.second}".'

    @property
    def write(self) -> str:
        return "Give the second a step of its own."


@dataclass(frozen=True)
class ConditionSaysNothing(Fault):
    """A `when` depends on a fact of the engine, on what a step found, or on both."""

    thing: str

    @property
    def said(self) -> str:
        return f"{self.thing} does not say what it depends on."

    @property
    def write(self) -> str:
        return "Write for example:  when: {engine: {drive: belt}}  or  when: {found: {judge-pump: weeping}}"


# --- Checking: names and files that must agree ----------------------------------------------------------------------


@dataclass(frozen=True)
class FileNameNotId(Fault):
    """A procedure or engine sheet is found by its file name, so the name is its id."""

    kind: str
    id: str
    stem: str

    @property
    def said(self) -> str:
        return f'{self.kind} "{self.id}" is in a file named "{self.stem}".'

    @property
    def write(self) -> str:
        return f'Rename the file to "{self.id}.yml", or write  {self.kind_key}: {self.stem}'

    @property
    def kind_key(self) -> str:
        return self.kind.split()[0]


@dataclass(frozen=True)
class SameIdTwice(Fault):
    """Two files with one id: nobody could say which of them is meant."""

    kind: str
    id: str
    first: str

    @property
    def said(self) -> str:
        return f'{self.kind} "{self.id}" is already in {self.first}.'

    @property
    def write(self) -> str:
        return "Give one of the two another id, or delete one."


@dataclass(frozen=True)
class OneOnly(Fault):
    """A shop has one shop file, and its procedures one list of failure modes."""

    kind: str
    first: str

    @property
    def said(self) -> str:
        return f"this is a second {self.kind} file; the first is {self.first}."

    @property
    def write(self) -> str:
        return "Keep one of the two."


@dataclass(frozen=True)
class UnknownProcedure(Fault):
    """A job or a failure mode names a procedure that no file holds."""

    thing: str
    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} names procedure {excerpt(self.name)}, which does not exist."

    @property
    def write(self) -> str:
        return one_of(self.name, self.known, f"write procedures/{self.name}.yml")


@dataclass(frozen=True)
class UnknownEngine(Fault):
    """A job names an engine sheet that no file holds."""

    thing: str
    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} names engine sheet {excerpt(self.name)}, which does not exist."

    @property
    def write(self) -> str:
        return one_of(self.name, self.known, f"write engines/{self.name}.yml")


@dataclass(frozen=True)
class SameInitialsTwice(Fault):
    """Entries name a person by initials; two people with the same ones could not be told apart."""

    initials: str
    first: int

    @property
    def said(self) -> str:
        return f'the initials "{self.initials}" are used twice; the first is on line {self.first}.'

    @property
    def write(self) -> str:
        return "Add a letter to one of them."


@dataclass(frozen=True)
class SameRowTwice(Fault):
    """Two failure modes with one name."""

    row: str
    first: int

    @property
    def said(self) -> str:
        return f'failure mode "{self.row}" is written twice; the first is on line {self.first}.'

    @property
    def write(self) -> str:
        return "Give one of the two another name, or make one row of both."


# --- Checking: what a procedure says ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class SameStepTwice(Fault):
    """A step's id is its name for ever, in every record: two steps of one procedure cannot share it."""

    id: str
    first: int

    @property
    def said(self) -> str:
        return f'step "{self.id}" is written twice; the first is on line {self.first}.'

    @property
    def write(self) -> str:
        return "Give the newer of the two another id."


@dataclass(frozen=True)
class RetiredStep(Fault):
    """A retired id belongs to a step that old records still name. Used again it would give that step's ticks to this
    one."""

    id: str
    line: int

    @property
    def said(self) -> str:
        return f'step "{self.id}" uses an id that was retired on line {self.line}.'

    @property
    def write(self) -> str:
        return "Give it a new id. A step that moved here from elsewhere says so with was."


@dataclass(frozen=True)
class UnknownValue(Fault):
    """A step uses a value that its procedure does not declare under `values`."""

    thing: str
    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} uses value {excerpt(self.name)}, which this procedure does not declare."

    @property
    def write(self) -> str:
        return one_of(self.name, self.known, f"declare {excerpt(self.name)} under values")


@dataclass(frozen=True)
class BraceLeftOpen(Fault):
    """A brace in a text begins a value's name and is closed right after it."""

    thing: str
    key: str

    @property
    def said(self) -> str:
        return f'{self.thing} has a brace in "{self.key}" that does not enclose a name.'

    @property
    def write(self) -> str:
        return "Write a value's name in one pair of braces, {pump_bolts}, or leave the brace out."


@dataclass(frozen=True)
class ValueOutOfPlace(Fault):
    """Values with their sources are shown in `do` and `why`. In a caution, a label or an outcome the braces would be
    printed as they stand."""

    thing: str
    key: str
    name: str

    @property
    def said(self) -> str:
        return f'{self.thing} has {{{self.name}}} in "{self.key}", where no value is shown.'

    @property
    def write(self) -> str:
        return "Say it in words here, and put the value in the step's do or why."


@dataclass(frozen=True)
class UnusedValue(Fault):
    """A declared value that nothing shows, checks or counts by. The shop would look it up for nothing."""

    name: str

    @property
    def said(self) -> str:
        return f'value "{self.name}" is declared and no step uses it.'

    @property
    def write(self) -> str:
        return f"Use it in a step, in the text as {{{self.name}}} or in the check-off, or delete it here."


@dataclass(frozen=True)
class UnknownReading(Fault):
    """A step measures a reading that its procedure does not declare under `readings`."""

    thing: str
    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} measures {excerpt(self.name)}, which is no reading of this procedure."

    @property
    def write(self) -> str:
        return one_of(self.name, self.known, f"declare {excerpt(self.name)} under readings")


@dataclass(frozen=True)
class WrongValueKind(Fault):
    """A check-off wants a value of a certain kind: tighten a torque or an angle, wait a time, turn a count."""

    thing: str
    check: str
    name: str
    kind: str
    wanted: tuple[str, ...]

    @property
    def said(self) -> str:
        wanted = " or ".join(self.wanted)
        return (
            f'{self.thing} has "{self.check}: {self.name}", but {self.name} is declared as {self.kind}, not {wanted}.'
        )

    @property
    def write(self) -> str:
        return f"Name a value of kind {' or '.join(self.wanted)}, or declare {self.name} with kind: {self.wanted[0]}"


@dataclass(frozen=True)
class UnknownTool(Fault):
    """A step uses a tool that its procedure does not list under `needs`, so nobody would lay it out."""

    thing: str
    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} uses tool {excerpt(self.name)}, which is not listed under needs."

    @property
    def write(self) -> str:
        return one_of(self.name, self.known, f"list {excerpt(self.name)} under needs, tools")


@dataclass(frozen=True)
class UnknownPart(Fault):
    """A step takes a part or consumable that its procedure does not list under `needs`, so nobody would order it."""

    thing: str
    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} takes {excerpt(self.name)}, which is not listed under needs."

    @property
    def write(self) -> str:
        return one_of(self.name, self.known, f"list {excerpt(self.name)} under needs, parts or consumables")


@dataclass(frozen=True)
class OneOutcome(Fault):
    """An inspection with one possible answer is a tick. It finds something only if it can also find the other."""

    thing: str
    count: int

    @property
    def said(self) -> str:
        return (
            f"{self.thing} inspects with {'one outcome' if self.count else 'no outcome'}; a finding needs two or more."
        )

    @property
    def write(self) -> str:
        return "Write for example:  check: {inspect: {dry: Dry, weeping: Weeping or wet}}"


@dataclass(frozen=True)
class OutcomeNotOffered(Fault):
    """`if_failed` names an answer that the step's own inspection does not offer."""

    thing: str
    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} fails on outcome {excerpt(self.name)}, which its inspection does not offer."

    @property
    def write(self) -> str:
        return one_of(self.name, self.known, "add it to the inspection")


@dataclass(frozen=True)
class OutcomesWithoutInspection(Fault):
    """`outcomes` under `if_failed` says which answers of an inspection are failures; other check-offs have none."""

    thing: str

    @property
    def said(self) -> str:
        return f"{self.thing} names failing outcomes, but it is not closed by an inspection."

    @property
    def write(self) -> str:
        return "Delete outcomes, or make the check-off an inspect."


@dataclass(frozen=True)
class EveryOutcomeFails(Fault):
    """If every answer is a failure the step can never be closed."""

    thing: str

    @property
    def said(self) -> str:
        return f"{self.thing} fails whatever the inspection finds."

    @property
    def write(self) -> str:
        return "Leave out of outcomes the answers that are good, or add one that is."


@dataclass(frozen=True)
class SecondCompletion(Fault):
    """One completion item ends the job; it is the last thing that anybody checks."""

    thing: str
    first: str
    line: int

    @property
    def said(self) -> str:
        return f'{self.thing} is a second completion item; the first is step "{self.first}" on line {self.line}.'

    @property
    def write(self) -> str:
        return "Delete completion from one of the two."


@dataclass(frozen=True)
class UnknownFailureMode(Fault):
    """`catches` names a row that is not in failure_modes.yml."""

    thing: str
    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} catches {excerpt(self.name)}, which is no row of the failure modes."

    @property
    def write(self) -> str:
        return one_of(self.name, self.known, "add a row to procedures/failure_modes.yml")


# --- Checking: what an engine sheet says -----------------------------------------------------------------------------


@dataclass(frozen=True)
class UnusedEngineValue(Fault):
    """An engine sheet gives a value that no procedure asks for: most often the name is spelled differently there."""

    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f'value "{self.name}" is asked for by no procedure.'

    @property
    def write(self) -> str:
        near = nearest(self.name, self.known)
        return f'Did you mean "{near}"? If not, delete it.' if near else "Delete it, or declare it in a procedure."


@dataclass(frozen=True)
class NoValue(Fault):
    """A value that says nothing is not the same as a value that is missing: the phone asks for a missing one."""

    name: str
    wanted: tuple[str, ...]

    @property
    def said(self) -> str:
        return f'value "{self.name}" has neither {" nor ".join((*self.wanted, "missing"))}.'

    @property
    def write(self) -> str:
        return f"Write {self.wanted[0]} with its source, or:  missing: not in the manual the shop has"


@dataclass(frozen=True)
class TwoValues(Fault):
    """One name, one value: a second one would be shown or dropped by chance."""

    name: str
    first: str
    second: str

    @property
    def said(self) -> str:
        return f'value "{self.name}" has both {self.first} and {self.second}.'

    @property
    def write(self) -> str:
        if "missing" in (self.first, self.second):
            return "Keep the value with its source, or keep missing with the reason."
        return "Keep one of the two; give the other a name of its own."


@dataclass(frozen=True)
class WrongFieldForKind(Fault):
    """A procedure asks for a value of one kind, and the engine sheet gives one of another."""

    name: str
    found: str
    kind: str
    wanted: tuple[str, ...]

    @property
    def said(self) -> str:
        return f'value "{self.name}" has {self.found}, but the procedures ask for its {self.kind}.'

    @property
    def write(self) -> str:
        return f"Write {' or '.join(self.wanted)} instead of {self.found}."


@dataclass(frozen=True)
class TorqueWithoutSource(Fault):
    """A torque is only as good as the page it was read from. Without a source it is a guess that nobody can check."""

    name: str

    @property
    def said(self) -> str:
        return f'torque "{self.name}" does not say where it was read.'

    @property
    def write(self) -> str:
        return _SOURCE


@dataclass(frozen=True)
class ValueWithoutSource(Fault):
    """Waiting times, counts, directions, fluids: like a torque, each says where it was read."""

    name: str

    @property
    def said(self) -> str:
        return f'value "{self.name}" does not say where it was read.'

    @property
    def write(self) -> str:
        return _SOURCE


_SOURCE = "Add:  source: {document: Workshop manual, where: page 118, read: 2026-10-02, by: KS}"


@dataclass(frozen=True)
class CountMissing(Fault):
    """Passes, an order, and clips are worked through one by one, so the phone has to know how many there are."""

    name: str
    why: str

    @property
    def said(self) -> str:
        return f'value "{self.name}" has {self.why}, but no count.'

    @property
    def write(self) -> str:
        return "Add how many there are, for example:  count: 6"


@dataclass(frozen=True)
class OrderNotComplete(Fault):
    """The order of tightening names every bolt from 1 to the count once."""

    name: str
    count: int
    missing: tuple[int, ...]
    wrong: tuple[int, ...]

    @property
    def said(self) -> str:
        parts = []
        if self.missing:
            parts.append(f"leaves out {listing(map(str, self.missing))}")
        if self.wrong:
            parts.append(f"has {listing(map(str, self.wrong))} too often or out of range")
        return f'the order of value "{self.name}" {" and ".join(parts)}.'

    @property
    def write(self) -> str:
        return f"Name each of 1 to {self.count} once."


@dataclass(frozen=True)
class PassesEndElsewhere(Fault):
    """The last pass is the torque itself. If they differ, one of the two is a slip, and nobody knows which."""

    name: str
    last: str
    torque: str

    @property
    def said(self) -> str:
        return f'the passes of value "{self.name}" end at {self.last}, but its torque is {self.torque}.'

    @property
    def write(self) -> str:
        return "Look it up again: the last pass is the torque, written the same way."


@dataclass(frozen=True)
class OnlyWithTorque(Fault):
    """Passes and angle stages belong to a torque; angle stages alone are written as `angle`."""

    name: str
    key: str

    @property
    def said(self) -> str:
        return f'value "{self.name}" has {self.key}, but no torque.'

    @property
    def write(self) -> str:
        return f"Add the torque, or delete {self.key}."


# Every fault of a single source, in reading order. Faults of composed jobs are in jobfaults.py.
ALL: tuple[type[Fault], ...] = tuple(Fault.__subclasses__())


@dataclass(frozen=True)
class ImpossibleFigure(Fault):
    """A figure that can't be, whatever the engine: a torque of nothing, a vacuum deeper than the air is heavy. It is a
    slip, and the phone would ask somebody to work by it."""

    thing: str
    key: str
    text: str
    why: str
    can_be: str

    @property
    def said(self) -> str:
        return f'{self.thing} has {self.text} after "{self.key}", which can\'t be. {self.why}.'

    @property
    def write(self) -> str:
        return f"Write what the source says, {self.can_be}, or:  missing: the figure in the manual can't be right"


@dataclass(frozen=True)
class BreakOutOfRange(Fault):
    """Whoever is alone reads a critical value twice, with a break between. With no break there is one look, and after a
    day nobody can go on."""

    text: str

    @property
    def said(self) -> str:
        return f'the shop has {self.text} after "second_reader", which is no break between two readings.'

    @property
    def write(self) -> str:
        return (
            "Write how long a person alone waits before reading a critical value again, 1 min to 24 h:  "
            "second_reader: 10 min"
        )


@dataclass(frozen=True)
class ToleranceTooWide(Fault):
    """A tolerance as wide as its value, or none at all, says nothing of it."""

    name: str
    tolerance: str
    value: str

    @property
    def said(self) -> str:
        return f'value "{self.name}" is {self.value} with a tolerance of {self.tolerance}.'

    @property
    def write(self) -> str:
        return (
            "Write the tolerance of the source to one side, more than nothing and less than the value, or leave it out."
        )


@dataclass(frozen=True)
class DoubtfulThousands(Fault):
    """`100.000 km` is a hundred thousand to some and a hundred to others."""

    name: str
    key: str
    text: str

    @property
    def said(self) -> str:
        return f'value "{self.name}" has {self.text} after "{self.key}", which may mean thousands or thousandths.'

    @property
    def write(self) -> str:
        number, _, unit = self.text.partition(" ")
        whole, _, part = number.partition(".")
        return (
            f"Write without marks between thousands:  {self.key}: {whole}{part} {unit}  or  {self.key}: {whole} {unit}"
        )


@dataclass(frozen=True)
class SourceSaysNothing(Fault):
    """A dot, a dash or signs that nobody sees are no place where a value can be read again."""

    name: str
    key: str
    text: str

    @property
    def said(self) -> str:
        return f'the source of value "{self.name}" has nothing to read after "{self.key}".'

    @property
    def write(self) -> str:
        return "Write a document and a place that another person finds, for example  where: page 118"
