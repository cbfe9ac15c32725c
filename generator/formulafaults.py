"""Every way a formula can be wrong, one class each: the third part of the catalogue that `faults.py` begins.

The place of each is the very character. As there, a fault holds facts and makes its two sentences itself.
Classes stand in the order in which a formula is looked at.
"""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults import QUOTED, Fault, excerpt, listing, nearest, one_of


def part(text: str) -> str:
    """A part of a formula as a message shows it: in quotes that it has not itself."""
    line = " ".join(text.split())
    line = line if len(line) <= QUOTED else f"{line[: QUOTED - 3].rstrip()}..."
    if '"' not in line:
        return f'"{line}"'
    return line if line[0] == line[-1] == '"' and line.count('"') == 2 else f"'{line}'"


# --- The text of a formula --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class FormulaTooLong(Fault):
    """A formula is read by people on a phone, so it has limits: 600 characters, 40 levels of one thing inside another,
    500 parts. A longer one is split: a part that is a result of its own is named in the other, and shows its figure."""

    what: str
    limit: int

    @property
    def said(self) -> str:
        return f"this formula has more than {self.limit} {self.what}."

    @property
    def write(self) -> str:
        return "Work out a part of it as a result of its own, and write that result's name here."


@dataclass(frozen=True)
class FormulaSyntax(Fault):
    """The formula stops making sense at this character: a name, number or sign is missing, or there is one too many."""

    found: str
    expected: str
    advice: str

    @property
    def said(self) -> str:
        return f"the formula cannot be read at {self.found}: {self.expected}."

    @property
    def write(self) -> str:
        return self.advice


@dataclass(frozen=True)
class FormulaWord(Fault):
    """A formula is arithmetic, no program: it has names, numbers, quantities in quotes, signs and a few functions."""

    word: str
    advice: str

    @property
    def said(self) -> str:
        return f"{self.word} is not part of a formula."

    @property
    def write(self) -> str:
        return self.advice


@dataclass(frozen=True)
class UnknownFunction(Fault):
    """Only the functions of the formula language may be called."""

    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{excerpt(self.name)} is no function of a formula."

    @property
    def write(self) -> str:
        near = nearest(self.name, self.known)
        return f'Did you mean "{near}"?' if near else f"Functions are: {', '.join(self.known)}."


@dataclass(frozen=True)
class WrongArguments(Fault):
    """A function has its own number of things in its brackets, each in its place."""

    name: str
    found: str
    usage: str

    @property
    def said(self) -> str:
        return f"{self.name} has {self.found} here."

    @property
    def write(self) -> str:
        return f"Write  {self.usage}"


@dataclass(frozen=True)
class NumberTooLarge(Fault):
    """A number beyond what the phone can reckon with: most often a key was held down."""

    number: str

    @property
    def said(self) -> str:
        return f"the number {excerpt(self.number, 20)} is too large to reckon with."

    @property
    def write(self) -> str:
        return "Write a smaller number, or the same with a larger unit."


@dataclass(frozen=True)
class QuantityUnclear(Fault):
    """In quotes stands a quantity: a number, a space, a unit; or a date as 2026-11-25."""

    text: str
    advice: str

    @property
    def said(self) -> str:
        return f"{excerpt(self.text)} is no number with a unit."

    @property
    def write(self) -> str:
        return self.advice


@dataclass(frozen=True)
class UnknownUnitInFormula(Fault):
    """The unit of a quantity in quotes. Units are spelled one way each, the same as in an engine sheet."""

    unit: str
    near: str | None
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{excerpt(self.unit)} is no unit that a formula knows."

    @property
    def write(self) -> str:
        return f'Did you mean "{self.near}"?' if self.near else f"Write one of: {listing(self.known)}."


# --- Names ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class UnknownName(Fault):
    """A name in a formula is a value, a reading, a result, or one of those that are always there (`today`)."""

    name: str
    known: tuple[str, ...]
    is_unit: bool = False

    @property
    def said(self) -> str:
        return f"the formula uses {excerpt(self.name)}, which is no value, reading or result here."

    @property
    def write(self) -> str:
        if self.is_unit:
            return f'A unit stands in quotes with its number, for example  "5 {self.name}"'
        return one_of(self.name, self.known, "declare it under values, readings or results")


@dataclass(frozen=True)
class NameIsNoNumber(Fault):
    """Some names stand for words, tables or functions: there is no figure that a formula could use."""

    name: str
    why: str

    @property
    def said(self) -> str:
        return f"{excerpt(self.name)} is no number: it is {self.why}."

    @property
    def write(self) -> str:
        return "Name a value with a number and a unit, a reading or a result."


@dataclass(frozen=True)
class FunctionAlone(Fault):
    """A function's name without brackets: it says what to do, but not with what."""

    name: str
    usage: str

    @property
    def said(self) -> str:
        return f'"{self.name}" is a function, and nothing stands in brackets after it.'

    @property
    def write(self) -> str:
        return f"Write  {self.usage}"


@dataclass(frozen=True)
class UnknownTable(Fault):
    """`interp` reads from a published table in procedures/tables/."""

    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{excerpt(self.name)} is no table."

    @property
    def write(self) -> str:
        return one_of(self.name, self.known, f"write procedures/tables/{self.name}.yml")


@dataclass(frozen=True)
class NoTolerance(Fault):
    """`tolerance` gives what an engine sheet allows a value to be off; only measured values of an engine have that."""

    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{excerpt(self.name)} has no tolerance in an engine sheet."

    @property
    def write(self) -> str:
        near = nearest(self.name, self.known)
        if near:
            return f"Did you mean tolerance({near})?"
        return f"Write one of: {listing(self.known)}." if self.known else 'Write the quantity itself, such as  "0.5 mm"'


@dataclass(frozen=True)
class NoSuchInspection(Fault):
    """`found` asks what an inspection found. It names the step, by its id or landmark, in quotes."""

    step: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{excerpt(self.step)} is no step with an inspection here."

    @property
    def write(self) -> str:
        return one_of(self.step, self.known, "give that step a check-off with outcomes")


@dataclass(frozen=True)
class OutcomeNeverFound(Fault):
    """`found` names an answer that the step's inspection does not offer, so it could never be yes."""

    step: str
    outcome: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"step {excerpt(self.step)} has no outcome {excerpt(self.outcome)}."

    @property
    def write(self) -> str:
        return one_of(self.outcome, self.known, "add it to the inspection")


# --- What is reckoned with what ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class UnitMismatch(Fault):
    """Litres and minutes cannot be added or compared, and a function takes what it is for. Nothing is converted by
    guessing; what the other side measures says what is expected."""

    thing: str
    found: str
    expected: str
    because: str
    advice: str

    @property
    def said(self) -> str:
        return f"{part(self.thing)} is {self.found}, but {self.expected} is expected: {self.because}."

    @property
    def write(self) -> str:
        return self.advice


@dataclass(frozen=True)
class TruthForNumber(Fault):
    """A yes or no cannot be reckoned with or compared."""

    thing: str
    where: str

    @property
    def said(self) -> str:
        return f"{part(self.thing)} is a yes or no, but {self.where} takes numbers."

    @property
    def write(self) -> str:
        return "Use it after if, and, or, not; a number for it is  1 if .. else 0"


@dataclass(frozen=True)
class NumberForTruth(Fault):
    """`and`, `or`, `not` and `if` look at a yes or no. A number is neither: 0 is a number like any other."""

    thing: str
    found: str
    where: str
    example: str

    @property
    def said(self) -> str:
        return f"{part(self.thing)} is {self.found}, but {self.where} takes a yes or no."

    @property
    def write(self) -> str:
        return f"Write a comparison, for example  {self.example}"


@dataclass(frozen=True)
class TemperatureSum(Fault):
    """20 degC is not twice 10 degC, and two temperatures have no sum. What can be reckoned with is their difference: a
    temperature less another gives K, and K may be added to a temperature or taken from it."""

    thing: str
    sign: str

    @property
    def said(self) -> str:
        return f"{part(self.thing)} is a temperature, which {self.sign} cannot be done with."

    @property
    def write(self) -> str:
        return 'Write a difference in K, for example  hot - cold  or  hot - "5 K"; factors go with differences only.'


@dataclass(frozen=True)
class GaugeMix(Fault):
    """A gauge shows a pressure above the air outside, a vacuum gauge one below it, other pressures count from nothing.
    They meet only where the pressure of the air outside is said: `absolute`, `gauge`, `vacuum`."""

    thing: str
    found: str
    other: str
    other_found: str
    sign: str

    @property
    def said(self) -> str:
        if self.other == self.thing:
            return f"{part(self.thing)} is {self.found}, which {self.sign} cannot be done with."
        return (
            f"{part(self.thing)} is {self.found} and {part(self.other)} is {self.other_found}, "
            f"which {self.sign} does not take together."
        )

    @property
    def write(self) -> str:
        return (
            "Let both count alike: absolute(p, air), gauge(p, air), vacuum(p, air), where air is the pressure outside."
        )


@dataclass(frozen=True)
class DateSum(Fault):
    """Dates have a calendar. The time between two is asked for with `between`, a later date with `add`."""

    thing: str
    sign: str

    @property
    def said(self) -> str:
        return f"{part(self.thing)} is a date, which {self.sign} cannot be done with."

    @property
    def write(self) -> str:
        return 'Write  between(first, second)  for the time, or  add(date, "12 month")  for another date.'


@dataclass(frozen=True)
class AgeMix(Fault):
    """Months differ in length, so an age in months or years is no time in days. With a date, `add` knows how long."""

    thing: str
    found: str
    sign: str

    @property
    def said(self) -> str:
        return (
            f"{part(self.thing)} is {self.found}, which {self.sign} cannot be done with: months have no fixed length."
        )

    @property
    def write(self) -> str:
        return "Write  add(date, age)  and compare dates, for example  add(last_change, age) < today"


@dataclass(frozen=True)
class ExponentNotConstant(Fault):
    """The unit of a power depends on its exponent, so that is a number one can read here: 2, -1, 1/3."""

    thing: str

    @property
    def said(self) -> str:
        return f"the exponent {part(self.thing)} is no plain number."

    @property
    def write(self) -> str:
        return "Write a number such as 2 or (1/3) after **, or use exp and log."


@dataclass(frozen=True)
class StepUnclear(Fault):
    """`round`, `floor` and `ceil` take a step as a quantity in quotes: a bare 1 could mean a step or a digit."""

    name: str
    thing: str
    example: str

    @property
    def said(self) -> str:
        return f"{self.name} takes its step as a quantity above nothing in quotes, and {part(self.thing)} is none."

    @property
    def write(self) -> str:
        return f"Write for example  {self.name}(x, {self.example})"


@dataclass(frozen=True)
class OutsideTable(Fault):
    """A table is read between its ends and never beyond them."""

    thing: str
    table: str
    low: str
    high: str

    @property
    def said(self) -> str:
        return f'{part(self.thing)} goes outside table "{self.table}", which has {self.low} to {self.high}.'

    @property
    def write(self) -> str:
        return "Keep it inside, for a reading with its from and to, or take a table that goes further."
