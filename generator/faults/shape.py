"""Every way the keys, lists and texts of a source can have the wrong form, wherever they stand."""

from __future__ import annotations

import datetime
import re
from dataclasses import dataclass

from generator.faults.base import Fault
from generator.faults.wording import did_you_mean, excerpt, listing


@dataclass(frozen=True)
class UnknownKindOfFile(Fault):
    """The first key of a file says what it is."""

    key: str
    kinds: tuple[str, ...]
    elsewhere: str | None  # the kind whose key stands further down

    @property
    def said(self) -> str:
        begins = excerpt(self.key) if self.key else "no key"
        return f"the file starts with {begins}, which does not say what kind of file it is."

    @property
    def write(self) -> str:
        if self.elsewhere:
            return f'Move the line "{self.elsewhere}:" to the top.'
        return f"{did_you_mean(self.key, self.kinds)}A file starts with one of: {listing(self.kinds)}."


@dataclass(frozen=True)
class UnknownKey(Fault):
    """A key the thing does not have, most often a typing slip. Without this fault it would be dropped in silence."""

    thing: str
    key: str
    allowed: tuple[str, ...]

    said = "{thing} has an unknown key {key:quoted}."

    @property
    def write(self) -> str:
        return f"{did_you_mean(self.key, self.allowed)}It may have: {', '.join(self.allowed)}."


@dataclass(frozen=True)
class KeyOutOfPlace(Fault):
    """A key that belongs to a part of the thing, and stands beside that part or instead of it."""

    thing: str
    key: str
    below: str  # the part that has such a key
    text: str | None  # what the key says, if it is short

    said = "{thing} has the key {key:quoted}, which belongs below {below:quoted}."

    @property
    def write(self) -> str:
        said = "..." if self.text is None else self.text
        return (
            f"Move the line below  {self.below}:  two spaces further in, or write  {self.below}: {{{self.key}: {said}}}"
        )


@dataclass(frozen=True)
class RenamedKey(Fault):
    """A key that had another name in the first version. The line is written out, so that an old folder is changed by
    copying; two names for one thing would stay in the files for ever."""

    thing: str
    key: str
    new: str
    line: str | None  # the whole line with the new key; None where it is too long to repeat

    said = '{thing} has the key "{key}", which is "{new}" now.'

    @property
    def write(self) -> str:
        return f'Write "{self.new}" instead of "{self.key}".' if self.line is None else f"Write  {self.line}"


@dataclass(frozen=True)
class CommaEndsText(Fault):
    """Inside braces a comma ends the text and starts the next key. A text with a comma goes in quotes there."""

    thing: str
    key: str
    text: str
    rest: str

    said = '{thing} has a text after "{key}" that stops at the comma before {rest:quoted}.'
    write = 'Inside braces, put a text with a comma in quotes:  {key}: "{text}, {rest}"'


@dataclass(frozen=True)
class MissingKey(Fault):
    """A key that must be there is missing. The place is the start of the thing that lacks it."""

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
    """A caution that only says "careful" protects nobody. It needs the level, the hazard, the harm it does and how to
    avoid it."""

    thing: str
    lacks: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} does not say {' and '.join(_CAUTION_LACKS[key] for key in self.lacks)}."

    @property
    def write(self) -> str:
        return "Add:  " + "  and  ".join(_CAUTION_EXAMPLES[key] for key in self.lacks)


_CAUTION_LACKS = {
    "level": "how serious it is",
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
    """A key with nothing after it, or with empty quotes. A key that is not needed is left out."""

    thing: str
    key: str

    said = '{thing} has nothing after "{key}".'
    write = "Fill it in, or delete the line."


@dataclass(frozen=True)
class EmptyList(Fault):
    """A list that needs an entry has none."""

    thing: str
    key: str

    said = '{thing} has an empty list "{key}".'
    write = "Write at least one entry."


@dataclass(frozen=True)
class ValueAlone(Fault):
    """A value says what it is, a torque, a time, words, and where it was read. A figure alone does not."""

    thing: str
    name: str
    text: str
    field: str
    meant: str

    said = "{thing} is {text:quoted} alone, and does not say what that is and where it was read."

    @property
    def write(self) -> str:
        return f'Write  {self.name}: {{{self.field}: {self.meant}, at: "page 118"}}'


@dataclass(frozen=True)
class WrongShape(Fault):
    """A text where a list is wanted, a list where a text is wanted, and so on."""

    thing: str
    key: str
    found: str
    wanted: str

    said = '{thing} has {found} after "{key}", but {wanted} goes there.'

    @property
    def write(self) -> str:
        if self.found == KEYS and self.wanted == LIST:
            return f'Start the first line below "{self.key}:" with a dash and a space.'
        return _SHAPES[self.wanted].format(key=self.key)


TEXT, LIST, KEYS = "a text", "a list", "a group of keys"
_SHAPES = {
    TEXT: "Write one text:  {key}: text  - in quotes if it starts with {{ or [.",
    LIST: "Write it in brackets, or one entry a line with dashes:  {key}: [first, second]",
    KEYS: 'Write a key and a text for each, below "{key}:" or in braces:  {key}: {{key: text}}',
}


@dataclass(frozen=True)
class BraceStartsText(Fault):
    """A text that is only `{name}`, without quotes, is read as a group of keys."""

    thing: str
    key: str
    name: str

    said = '{thing} has a text after "{key}" that starts with a brace and is not in quotes.'
    write = 'Write:  {key}: "{{{name}}}"'


@dataclass(frozen=True)
class GuessedText(Fault):
    """YAML reads some words and numbers as something else: `no` as false, `010` as eight, `1:30` as ninety. Where a
    text is wanted they go in quotes, so that every program reads the same."""

    thing: str
    key: str
    text: str
    guess: str

    said = '{thing} has {text} after "{key}", which YAML reads as {guess}, not as a text.'
    write = 'Put it in quotes:  "{text}"'


@dataclass(frozen=True)
class GuessedKey(Fault):
    """YAML reads some words and numbers as something else, as keys too: `on` as true, `010` as eight."""

    thing: str
    key: str
    guess: str

    said = "{thing} has the name {key}, which YAML reads as {guess}, not as a name."
    write = 'Choose a longer name, or put it in quotes:  "{key}"'


@dataclass(frozen=True)
class TextTooLong(Fault):
    """Nobody under a bonnet reads a text longer than a phone shows at once. One step, one action."""

    thing: str
    key: str
    length: int
    limit: int

    said = '{thing} has "{key}" with {length} characters; a phone shows {limit} at once.'

    @property
    def write(self) -> str:
        return _SHORTER.get(self.key, "Shorten it.")


_SHORTER = {"do": "Shorten it, or split the step: one step, one action. Put the reason in why."}


@dataclass(frozen=True)
class NameTooLong(Fault):
    """A name is typed and read in lists and addresses; it has a limit."""

    thing: str
    key: str
    length: int
    limit: int

    said = '{thing} has "{key}" with {length} characters; a name has at most {limit}.'
    write = "Choose a shorter name. Put what it means in the label or title."


@dataclass(frozen=True)
class BadId(Fault):
    """Ids of procedures, stages of a job and steps: lower-case letters, digits and hyphens, a letter first."""

    thing: str
    key: str
    text: str

    said = '{thing} has {text:quoted} after "{key}", but an id has only a-z, 0-9 and -, a letter first.'

    @property
    def write(self) -> str:
        several = [spelled(one, "-") for one in re.split(r",| and | & ", self.text)]
        if self.key == "gate" and len(several) > 1 and all(several):
            return f"Write several in brackets:  {self.key}: [{', '.join(several)}]"
        return f"Write, for example:  {spelled(self.text, '-') or 'fit-pump'}"


@dataclass(frozen=True)
class BadName(Fault):
    """Names of values, items, tools, parts and facts: lower-case letters, digits and underscores, a letter first."""

    thing: str
    key: str
    text: str

    said = '{thing} has {text:quoted} after "{key}", but a name has only a-z, 0-9 and _, a letter first.'

    @property
    def write(self) -> str:
        if self.text[:1].isdigit():
            return "Write the name of a value. Its figure goes on the sheet, under that name."
        return f"Write, for example:  {spelled(self.text, '_') or 'pump_bolts'}"


def spelled(text: str, joint: str) -> str:
    """Return a name in its allowed spelling: `Fit Pump` -> `fit-pump`. Empty when nothing is left of it."""
    words = re.findall(r"[a-z0-9]+", text.lower())
    return joint.join(words)[:48].strip(joint) if words and words[0][0].isalpha() else ""


@dataclass(frozen=True)
class BadInitials(Fault):
    """People are known on the phone by two to four capital letters."""

    text: str

    said = "the initials {text:quoted} are not two to four capital letters."

    @property
    def write(self) -> str:
        letters = "".join(c for c in self.text.upper() if "A" <= c <= "Z")[:4]
        return f"Write, for example:  initials: {letters if len(letters) > 1 else 'KS'}"


@dataclass(frozen=True)
class BadJobNumber(Fault):
    """A job number is what the shop writes on its card: letters, digits and hyphens, at most 24."""

    text: str

    said = "the job number {text:quoted} is not just letters, digits and hyphens, 24 at most."

    @property
    def write(self) -> str:
        plain = "-".join(re.findall("[A-Za-z0-9]+", self.text))
        return (
            f'Write, for example:  job: "{plain}"' if 0 < len(plain) <= 24 else "Write one of these alone, and short."
        )


@dataclass(frozen=True)
class NotOneOf(Fault):
    """The field takes one of a few words."""

    thing: str
    key: str
    text: str
    allowed: tuple[str, ...]

    said = '{thing} has {text:quoted} after "{key}", which is not one of the words it takes.'

    @property
    def write(self) -> str:
        return f"{did_you_mean(self.text, self.allowed)}Write one of: {', '.join(self.allowed)}."


@dataclass(frozen=True)
class NotYesNo(Fault):
    """The field takes yes or no, in lower case."""

    thing: str
    key: str
    text: str

    said = '{thing} has {text:quoted} after "{key}", but yes or no goes there.'

    @property
    def write(self) -> str:
        yes = {"true": "yes", "on": "yes", "y": "yes", "yes": "yes", "false": "no", "off": "no", "n": "no", "no": "no"}
        meant = yes.get(self.text.lower())
        return f"Write:  {self.key}: {meant}" if meant else f"Write  {self.key}: yes  or  {self.key}: no"


# A figure that could be a letter, or a letter that could be a figure: nobody can say which number was meant.
_LOOKS_LIKE = re.compile(r"[lIOo][0-9]|[0-9][lIOoSB]")
_WHOLE_IN = re.compile(r"[A-Za-z .:#+]*?0*([0-9]{1,6})(?:\.0*)?[A-Za-z ]*")
_NUMBER_IN = re.compile(r"(-?)0*([0-9]{0,9})(?:(?:\.|,(?=[0-9]{1,2}\b))([0-9]{1,9}))? ?[^\d\s.,+-]*")
_YEAR_FIRST = re.compile(r"([0-9]{4})[-./ ]([0-9]{1,2})[-./ ]([0-9]{1,2})")
_YEAR_LAST = re.compile(r"([0-9]{1,2})[-./ ]([0-9]{1,2})[-./ ]([0-9]{4})")


def whole_in(text: str) -> str | None:
    """Return the one whole number that is meant by a text, in plain digits; None if there is none, or a doubt.

    >>> whole_in("v3"), whole_in("06"), whole_in("6 bolts"), whole_in("twenty-one"), whole_in("3 or 4"), whole_in("l0")
    ('3', '6', '6', None, None, None)
    """
    found = None if _LOOKS_LIKE.search(text) else _WHOLE_IN.fullmatch(text.strip())
    return found[1] if found else None


def _day_in(text: str) -> str | None:
    """Return the day that is meant, as year-month-day; None where day and month could be swapped, or there is no such
    day."""
    first, last = _YEAR_FIRST.fullmatch(text.strip()), _YEAR_LAST.fullmatch(text.strip())
    if first:
        days = [(first[1], first[2], first[3])]
        if not _is_day(*map(int, days[0])):
            days = [(first[1], first[3], first[2])]
    else:
        days = [(last[3], last[2], last[1]), (last[3], last[1], last[2])] if last else []
    known = {day for day in days if _is_day(*map(int, day))}
    return "-".join(part.zfill(2) for part in known.pop()) if len(known) == 1 else None


def _is_day(year: int, month: int, day: int) -> bool:
    try:
        datetime.date(year, month, day)
    except ValueError:
        return False
    return True


@dataclass(frozen=True)
class NotAWholeNumber(Fault):
    """The field takes a whole number in plain digits. `06` is refused because YAML counts it in eights."""

    thing: str
    key: str
    text: str

    said = '{thing} has {text:quoted} after "{key}", but a whole number goes there.'

    @property
    def write(self) -> str:
        figures = whole_in(self.text)
        return (
            f"Write:  {self.key}: {figures}" if figures else "Write the number in digits, with nothing else beside it."
        )


@dataclass(frozen=True)
class NotANumber(Fault):
    """The field takes a number in plain digits, with a point for decimals and no unit."""

    thing: str
    key: str
    text: str

    said = '{thing} has {text:quoted} after "{key}", but a number goes there.'

    @property
    def write(self) -> str:
        number = _NUMBER_IN.fullmatch(self.text.strip())
        if not number or not re.search("[0-9]", self.text):
            return "Write one number in digits, with a point for decimals and without a unit."
        plain = f"{int(number[2] or 0)}{'.' + number[3] if number[3] else ''}"
        return f"Write a number without a unit, with a point for decimals:  {self.key}: {number[1]}{plain}"


@dataclass(frozen=True)
class NotACount(Fault):
    """How many of a thing are opened: a whole number, or `from` and the value whose count it is."""

    thing: str
    text: str

    said = '{thing} has {text:quoted} after "count", which is neither a number nor "from" and a value.'

    @property
    def write(self) -> str:
        figures = whole_in(self.text)
        if figures and figures != "0":
            return f"Write:  count: {figures}"
        return "Write how many there are in digits, or  from  and the name of the value that says it."


@dataclass(frozen=True)
class NotADate(Fault):
    """A date is written year-month-day, so that it means the same everywhere."""

    thing: str
    key: str
    text: str

    said = '{thing} has {text:quoted} after "{key}", but a date goes there.'

    @property
    def write(self) -> str:
        day = _day_in(self.text)
        return f"Write it as year-month-day:  {self.key}: {day or 'YYYY-MM-DD'}"


@dataclass(frozen=True)
class NumberWithoutUnit(Fault):
    """A number alone is a guess: 10 N.m and 10 lbf.ft are not the same bolt."""

    thing: str
    key: str
    text: str
    units: tuple[str, ...]
    likely: bool  # the first unit is the one that stands beside it, or elsewhere in such a place

    said = '{thing} has {text} after "{key}" without a unit.'

    @property
    def write(self) -> str:
        first, *others = self.units
        if not self.likely:
            return f"Add a space and the unit that is meant, one of: {listing(self.units)}."
        more = f"  (or one of: {listing(others)})" if others else ""
        return f"Add a space and the unit that is meant:  {self.text} {first}{more}"


@dataclass(frozen=True)
class NotAQuantity(Fault):
    """A quantity is a number with a point for decimals, a space, and a unit."""

    thing: str
    key: str
    text: str
    units: tuple[str, ...]
    meant: tuple[str, ...]

    @property
    def said(self) -> str:
        has_comma = re.search(r"[0-9],[0-9]", self.text)
        why = "has a comma in its number" if has_comma else "is not a number, a space and a unit"
        return f'{self.thing} has {excerpt(self.text)} after "{self.key}", which {why}.'

    @property
    def write(self) -> str:
        if len(self.meant) > 1:
            both = (f"{self.key}: {one}" for one in reversed(self.meant))
            return f"Write what is meant:  {'  or  '.join(both)}"
        if self.meant:
            return f"Write, for example:  {self.key}: {self.meant[0]}"
        return f"Write one number with a point for decimals, a space, and one of: {listing(self.units)}."


@dataclass(frozen=True)
class DoubtfulThousands(Fault):
    """`100.000 km` is a hundred thousand to some and a hundred to others."""

    thing: str
    key: str
    text: str
    meant: tuple[str, ...]

    said = '{thing} has {text} after "{key}", which may mean thousands or thousandths.'

    @property
    def write(self) -> str:
        both = "  or  ".join(f"{self.key}: {one}" for one in reversed(self.meant))
        return f"Write it without a thousands mark:  {both}"


@dataclass(frozen=True)
class CannotBe(Fault):
    """A figure that can't be right in any shop: an altitude of 60 km, a wrench of no length, a revision 0."""

    thing: str
    key: str
    text: str
    why: str
    can_be: str

    said = '{thing} has {text} after "{key}", which can\'t be right. {why}.'
    write = "Write a figure that can be: {can_be}."


@dataclass(frozen=True)
class TwoStagesInOne(Fault):
    """A torque followed by an angle is two stages: the phone closes them one after the other."""

    thing: str
    key: str
    first: str
    then: str

    said = '{thing} has two stages after "{key}": {first}, then {then}.'
    write = "Write two lines:  {key}: {first}  and  then: [{then}]"


@dataclass(frozen=True)
class UnknownUnit(Fault):
    """Each unit has one spelling, so that nothing has to be guessed: N.m, lbf.ft, degC."""

    thing: str
    key: str
    unit: str
    units: tuple[str, ...]
    meant: str | None  # what this common spelling stands for

    said = '{thing} has the unit {unit:quoted} after "{key}", which is not a known unit.'

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

    said = '{thing} has the unit {unit} after "{key}", which does not measure {measures}.'
    write = "Write one of: {units:all}."


@dataclass(frozen=True)
class UnknownCheckOff(Fault):
    """A step is closed by one of the check-offs that there are."""

    thing: str
    text: str
    known: tuple[str, ...]

    said = '{thing} has {text:quoted} after "check", which is not a check-off.'

    @property
    def write(self) -> str:
        return f"{did_you_mean(self.text, self.known)}Write one of: {', '.join(self.known)}."


@dataclass(frozen=True)
class CheckOffAlone(Fault):
    """Only a tick needs no more words. The others say what is tightened, measured, inspected, waited for or signed."""

    thing: str
    kind: str

    said = '{thing} has the check-off "{kind}", but does not say of what.'

    @property
    def write(self) -> str:
        return f"Write, for example:  check: {{{self.kind}: {CHECK_OFF_EXAMPLES[self.kind]}}}"


CHECK_OFF_EXAMPLES = {
    "tick": "press-and-hold",
    "tighten": "pump_bolts",
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

    said = '{thing} has two check-offs, "{first}" and "{second}".'
    write = "Move the second into a step of its own."


@dataclass(frozen=True)
class NamelessInclude(Fault):
    """The steps of an include are told from those of others by the name of this use."""

    thing: str

    said = "{thing} has no name for this use of the procedure."
    write = 'Write  as: left  or, to do it once for each,  each: {{left: "left side", right: "right side"}}'


@dataclass(frozen=True)
class SignsNothing(Fault):
    """A signature is a second look at steps, or a permit for what follows. Of neither, it would say nothing."""

    thing: str

    said = "{thing} has a signature, but does not say of what."
    write = 'Write  of: [marks-set]  for a second look at steps, or  permit: "Dead, tag on"  before the work.'


@dataclass(frozen=True)
class ConditionSaysNothing(Fault):
    """A `when` depends on a fact of the engine, on what a step found, or on both."""

    thing: str

    said = "{thing} does not say what it depends on."
    write = "Write, for example:  when: {{engine: {{drive: belt}}}}  or  when: {{found: {{judge-pump: weeping}}}}"


@dataclass(frozen=True)
class NotOneWay(Fault):
    """Each entry after `revealed_by` is one thing that can be looked for at the step that catches the failure."""

    thing: str

    said = "{thing} must name one thing that would reveal it, and names none or several."
    write = (
        "Keep one of: answer, reading, count, value, photo, signature, waits_for, prevented_by, because. "
        "For several, write a list."
    )
