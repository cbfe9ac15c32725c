"""Every way a formula can be wrong. The place of each fault is the very character."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault, UndeclaredName
from generator.faults.wording import excerpt, listing, nearest, one_of, part

# --- The text of a formula --------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class FormulaTooLong(Fault):
    """People read a formula on a phone, so it has limits: 600 characters, 40 levels of nesting, 500 parts. To split a
    longer one, make a part of it a result of its own, which then shows its figure too."""

    what: str
    limit: int

    said = "this formula has more than {limit} {what}."
    write = "Make a part of it a result of its own, and write that result's name here."


@dataclass(frozen=True)
class FormulaSyntax(Fault):
    """The formula stops making sense at this character: a name, number or sign is missing, or there is one too many."""

    found: str
    expected: str
    advice: str

    said = "the formula cannot be read at {found}: {expected}."

    write = "{advice}"


@dataclass(frozen=True)
class FormulaWord(Fault):
    """A formula is arithmetic, not a program: names, numbers, quantities in quotes, signs and a few functions."""

    word: str
    advice: str

    said = "{word} is not part of a formula."

    write = "{advice}"


@dataclass(frozen=True)
class UnknownFunction(Fault):
    """Only the functions of the formula language may be called."""

    name: str
    known: tuple[str, ...]

    said = "{name:quoted} is not a function that formulas know."

    @property
    def write(self) -> str:
        near = nearest(self.name, self.known)
        return f'Did you mean "{near}"?' if near else f"Write one of: {', '.join(self.known)}."


@dataclass(frozen=True)
class WrongArguments(Fault):
    """Each function takes certain things in its brackets, in a fixed order."""

    name: str
    found: str
    usage: str

    said = "{name} has {found} here."
    write = "Write  {usage}"


@dataclass(frozen=True)
class NumberTooLarge(Fault):
    """A number beyond what the phone can calculate with. Usually a key was held down."""

    number: str

    @property
    def said(self) -> str:
        return f"the number {excerpt(self.number, 20)} is too large to calculate with."

    write = "Write a smaller number, or use a larger unit."


@dataclass(frozen=True)
class QuantityUnclear(Fault):
    """Quotes hold a quantity, which is a number, a space and a unit, or a date such as 2026-11-25."""

    text: str
    advice: str

    said = "{text:quoted} is not a number with a unit."

    write = "{advice}"


@dataclass(frozen=True)
class UnknownUnitInFormula(Fault):
    """The unit of a quantity in quotes. Each unit has one spelling, the same as in a sheet."""

    unit: str
    near: str | None
    known: tuple[str, ...]

    said = "{unit:quoted} is not a unit that formulas know."

    @property
    def write(self) -> str:
        return f'Did you mean "{self.near}"?' if self.near else f"Write one of: {listing(self.known)}."


# --- Names ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class UnknownName(Fault):
    """A name in a formula is a value, a reading, a result, or a name that is always there, such as `today`."""

    name: str
    known: tuple[str, ...]
    is_unit: bool = False

    said = "the formula uses {name:quoted}, which is not a value, reading or result here."

    @property
    def write(self) -> str:
        if self.is_unit:
            return f'Put a unit in quotes with its number, for example  "5 {self.name}"'
        return one_of(self.name, self.known, "declare it under values, readings or results")


@dataclass(frozen=True)
class NameIsNoNumber(Fault):
    """Some names mean words, tables or functions, and have no figure that a formula could use."""

    name: str
    why: str

    said = "{name:quoted} is not a number: it is {why}."
    write = "Name a value with a number and a unit, a reading or a result."


@dataclass(frozen=True)
class FunctionAlone(Fault):
    """The name of a function without brackets says what to do, but not with what."""

    name: str
    usage: str

    said = '"{name}" is a function, but there are no brackets after it.'
    write = "Write  {usage}"


@dataclass(frozen=True)
class UnknownTable(UndeclaredName):
    """`interp` reads from a published table in procedures/tables/."""

    name: str
    known: tuple[str, ...]

    said = "there is no table {name:quoted}."
    otherwise = "write procedures/tables/{name}.yml"


@dataclass(frozen=True)
class NoTolerance(Fault):
    """`tolerance` gives how far off a value may be. Only measured values in a sheet have one."""

    name: str
    known: tuple[str, ...]

    said = "{name:quoted} has no tolerance in a sheet."

    @property
    def write(self) -> str:
        near = nearest(self.name, self.known)
        if near:
            return f"Did you mean tolerance({near})?"
        return f"Write one of: {listing(self.known)}." if self.known else 'Write the quantity itself, such as  "0.5 mm"'


@dataclass(frozen=True)
class NoNeedle(Fault):
    """`needle` gives half the smallest division of a reading's gauge. Only what a person reads has a gauge."""

    name: str
    known: tuple[str, ...]

    said = "{name:quoted} is not a reading, so no gauge shows it."

    @property
    def write(self) -> str:
        near = nearest(self.name, self.known)
        if near:
            return f"Did you mean needle({near})?"
        return f"Write one of: {listing(self.known)}." if self.known else 'Write the quantity itself, such as  "1 kPa"'


@dataclass(frozen=True)
class NoDivision(Fault):
    """The phone offers every unit of a reading's kind, so the smallest division must be known in each."""

    name: str
    units: tuple[str, ...]

    said = "nobody says the smallest division of the gauge of {name:quoted} in {units:listed}."

    @property
    def write(self) -> str:
        unit = self.units[0]
        return f"Write  division: 1 {unit}  in the reading, or  divisions: {{{unit}: 1}}  in a trade file."


@dataclass(frozen=True)
class NoSuchInspection(UndeclaredName):
    """`found` asks what an inspection found. It names the step, by its id or landmark, in quotes."""

    name: str
    known: tuple[str, ...]

    said = "there is no step {name:quoted} with an inspection here."
    otherwise = "give that step a check-off with outcomes"


@dataclass(frozen=True)
class OutcomeNeverFound(UndeclaredName):
    """`found` names an answer that the step's inspection does not offer, so it could never be yes."""

    step: str
    name: str
    known: tuple[str, ...]

    said = "step {step:quoted} has no outcome {name:quoted}."
    otherwise = "add it to the inspection"


# --- What can be calculated with what ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class UnitMismatch(Fault):
    """Litres and minutes cannot be added or compared, and a function takes what it is for. Nothing is converted by
    guessing; what the other side measures says what is expected."""

    thing: str
    found: str
    expected: str
    because: str
    advice: str

    said = "{thing:part} is {found}, but {expected} is expected: {because}."

    write = "{advice}"


@dataclass(frozen=True)
class TruthForNumber(Fault):
    """A yes or no cannot be calculated with or compared."""

    thing: str
    where: str

    said = "{thing:part} is a yes or no, but {where} takes numbers."
    write = "Use it after if, and, or, not. To make it a number, write  1 if .. else 0"


@dataclass(frozen=True)
class NumberForTruth(Fault):
    """`and`, `or`, `not` and `if` look at a yes or no. A number is neither: 0 is a number like any other."""

    thing: str
    found: str
    where: str
    example: str

    said = "{thing:part} is {found}, but {where} takes a yes or no."
    write = "Write a comparison, for example  {example}"


@dataclass(frozen=True)
class TemperatureSum(Fault):
    """20 degC is not twice 10 degC, and two temperatures have no sum. What can be reckoned with is their difference: a
    temperature less another gives K, and K may be added to a temperature or taken from it."""

    thing: str
    sign: str

    said = "{thing:part} is a temperature, and temperatures cannot be used with {sign} here."
    write = 'Write a difference in K, for example  hot - cold  or  hot - "5 K". Multiply and divide only differences.'


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
            return f"{part(self.thing)} is {self.found}, which cannot be used with {self.sign} here."
        return (
            f"{part(self.thing)} is {self.found}, {part(self.other)} is {self.other_found}, "
            f"and {self.sign} cannot mix them."
        )

    write = "Convert both: absolute(p, air), gauge(p, air) or vacuum(p, air), where air is the outside pressure."


@dataclass(frozen=True)
class DateSum(Fault):
    """Dates have a calendar. The time between two is asked for with `between`, a later date with `add`."""

    thing: str
    sign: str

    said = "{thing:part} is a date, and dates cannot be used with {sign}."
    write = 'Write  between(first, second)  for the time between, or  add(date, "12 month")  for another date.'


@dataclass(frozen=True)
class AgeMix(Fault):
    """Months differ in length, so an age in months or years is no time in days. With a date, `add` knows how long."""

    thing: str
    found: str
    sign: str

    said = "{thing:part} is {found}, which cannot be used with {sign} here: months have no fixed length."
    write = "Write  add(date, age)  and compare dates, for example  add(last_change, age) < today"


@dataclass(frozen=True)
class ExponentNotConstant(Fault):
    """The unit of a power depends on its exponent, so that is a number one can read here: 2, -1, 1/3."""

    thing: str

    said = "the exponent {thing:part} is not a plain number."
    write = "Write a number such as 2 or (1/3) after **, or use exp and log."


@dataclass(frozen=True)
class StepUnclear(Fault):
    """`round`, `floor` and `ceil` take a step as a quantity in quotes: a bare 1 could mean a step or a digit."""

    name: str
    thing: str
    example: str

    said = "{name} takes a step above zero as a quantity in quotes, and {thing:part} is not one."
    write = "Write, for example  {name}(x, {example})"


@dataclass(frozen=True)
class OutsideTable(Fault):
    """A table is read between its ends and never beyond them."""

    thing: str
    table: str
    low: str
    high: str

    said = '{thing:part} goes outside table "{table}", which goes from {low} to {high}.'
    write = "Limit the reading with  from:  and  to:, or use a table that goes further."
