"""Every way that readings, results and tables can be wrong, beyond the formula's own text (`formula.py`)."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault, Unknown
from generator.faults.wording import did_you_mean, listing

# --- One procedure ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class NameTwice(Fault):
    """Values, readings, results and tables of a procedure share their names, so that a formula means one thing."""

    name: str
    what: str
    first: str
    first_line: int

    said = '{what} "{name}" has the name of the {first} on line {first_line}.'
    write = "Give one of them another name, for example {name}_measured for what is measured."


@dataclass(frozen=True)
class NameTaken(Fault):
    """A name that every formula has already: of a function, of what the shop or the job gives, yes or no."""

    name: str
    what: str
    means: str

    said = '{what} "{name}" has a name that every formula knows: {means}.'
    write = "Give it another name, for example {name}_here."


@dataclass(frozen=True)
class ReadingLimitsTurned(Fault):
    """A reading goes from its least to its greatest sensible figure."""

    name: str
    low: str
    high: str

    said = 'reading "{name}" goes from {low} to {high}, which is no range.'
    write = "Write from: {high} and to: {low}, or leave one of them out."


@dataclass(frozen=True)
class ResultCircle(Fault):
    """A result that is worked out from itself, directly or through others."""

    name: str
    chain: tuple[str, ...]

    said = 'result "{name}" needs itself: {chain:chain}.'
    write = "Work one of them out from readings and values alone."


@dataclass(frozen=True)
class ResultUnitWrong(Fault):
    """What a formula gives is not measured in the unit that its result is shown in."""

    name: str
    unit: str
    gives: str
    units: tuple[str, ...]

    @property
    def said(self) -> str:
        return f'result "{self.name}" is shown in {self.unit or "no unit"}, but its formula gives {self.gives}.'

    @property
    def write(self) -> str:
        return f"Write one of: {', '.join(self.units)}." if self.units else "Leave the unit out."


@dataclass(frozen=True)
class ResultWithoutUnit(Fault):
    """A formula gives something that no unit here measures; most often a factor is missing or one too many."""

    name: str
    gives: str

    said = 'result "{name}" comes out as {gives}, for which there is no unit here.'
    write = "Look for a factor that is missing or stands twice, or divide by what it shall be a share of."


@dataclass(frozen=True)
class NearestOfSomethingElse(Fault):
    """What a result is shown to the nearest of is a step in the unit it is shown in."""

    name: str
    step: str
    unit: str

    @property
    def said(self) -> str:
        return f'result "{self.name}" is shown to the nearest {self.step}, and in {self.unit or "no unit"}.'

    @property
    def write(self) -> str:
        return (
            f"Write a step above zero in the same unit: to_nearest: 0.1 {self.unit}."
            if self.unit
            else ("Leave to_nearest out; use round() in the formula.")
        )


@dataclass(frozen=True)
class UnknownResult(Unknown):
    """A step shows, or a procedure borrows, a result that nobody declares."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} names {name:quoted}, which is no result there."
    otherwise = "declare {name:quoted} under results"


@dataclass(frozen=True)
class ResultNotUsed(Fault):
    """A result that no step shows, no other result uses, no value is filled by and no calculator has."""

    name: str

    said = 'result "{name}" is worked out and never shown.'
    write = "Name it in a step, shows: [{name}], or take it out."


@dataclass(frozen=True)
class HoldNotShown(Fault):
    """A result holds the work at the step that shows it; one that is never shown holds nothing."""

    name: str

    said = 'result "{name}" is to hold the work, and no step shows it.'
    write = "Write shows: [{name}] in the step that shall wait for it, or take hold out."


@dataclass(frozen=True)
class AfterTheRest(Fault):
    """Of a result's limits the first that is true speaks; nothing after one without `when` is ever reached."""

    name: str
    verdict: str

    said = 'result "{name}" has the limit {verdict:quoted} after one that stands for all the rest.'
    write = "Move the limit without when to the end, or say when it is so."


@dataclass(frozen=True)
class LimitNoQuestion(Fault):
    """A limit is true or not: it compares."""

    name: str
    text: str
    gives: str

    said = 'result "{name}" has the limit {text:quoted}, neither true nor false but {gives}.'
    write = "Compare it with something: when: {name} > ..."


@dataclass(frozen=True)
class FillsAnother(Fault):
    """A result fills a value of its own kind."""

    name: str
    value: str
    kind: str
    gives: str

    said = 'result "{name}" gives {gives} and is to fill value "{value}", which is {kind}.'
    write = "Fill a value of the same kind, or take fills out."


@dataclass(frozen=True)
class WatchOfTwoKinds(Fault):
    """What is watched over a wait is read twice from one gauge."""

    thing: str
    start: str
    end: str

    said = "{thing} watches {start:quoted}, then {end:quoted}, which is measured in other units."
    write = "Give both readings units of one kind, and two names."


@dataclass(frozen=True)
class UnknownNameInText(Fault):
    """What a limit says names a value, reading or result in braces."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} says {{{name}}}, which is no value, reading or result of this procedure."

    @property
    def write(self) -> str:
        return f"{did_you_mean(self.name, self.known)}It may say: {listing(self.known)}."


# --- Tables and the shop ------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class RowNotTwo(Fault):
    """A row of a table is a pair: x, y."""

    table: str
    count: int

    @property
    def said(self) -> str:
        return f'table "{self.table}" has a row of {self.count} {"number" if self.count == 1 else "numbers"}.'

    write = "Write each row as two numbers: [x, y]."


@dataclass(frozen=True)
class RowsOutOfOrder(Fault):
    """Between two rows a straight line is drawn, so x must go one way, and no x stands twice."""

    table: str
    x: str
    before: str

    said = 'table "{table}" has x {x} after {before}, against the order of the rows before.'
    write = "Write the rows in the order of x, each x once."


@dataclass(frozen=True)
class ShopMeasures(Fault):
    """The shop says for what is measured which unit its phones show first."""

    what: str
    known: tuple[str, ...]

    said = "the shop has a unit for {what:quoted}, which nothing here measures."

    @property
    def write(self) -> str:
        return f"{did_you_mean(self.what, self.known)}It may be one of: {', '.join(self.known)}."


# --- A composed job ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class ReadingClash(Fault):
    """Two procedures of one job take readings of one name in units of two kinds."""

    name: str
    unit: str
    first: str

    said = 'reading "{name}" is in {unit} here and in {first} in another procedure of the job.'
    write = "Rename one of them, with {{{name}: another_name}} at its include or here."


@dataclass(frozen=True)
class ResultClash(Fault):
    """Two procedures of one job work out results of one name by different formulas."""

    name: str
    job: str

    said = 'result "{name}" is worked out in two ways in job "{job}".'
    write = "Rename one of them, or borrow it: {{of: the-other-procedure}}."


@dataclass(frozen=True)
class OneNameForTwo(Fault):
    """In a job a name is a value, a reading or a result, whichever procedure it comes from."""

    name: str
    what: str
    other: str

    said = '{what} "{name}" meets a {other} of the same name in this job.'
    write = "Give one of them another name, here or with: at the include."


@dataclass(frozen=True)
class BorrowedFromOutside(Fault):
    """A borrowed result comes from a procedure of the same job."""

    name: str
    procedure: str
    job: str

    said = 'result "{name}" is borrowed from "{procedure}", which is no part of job "{job}".'
    write = "Include {procedure} in the job, or work the result out here."


@dataclass(frozen=True)
class ReadingTooLate(Fault):
    """A step shows a result before a reading that it needs is taken."""

    step: str
    result: str
    reading: str
    taken_at: str

    said = 'step "{step}" shows result "{result}" before reading "{reading}" is taken in step "{taken_at}".'
    write = 'Show it in step "{taken_at}" or later, or measure earlier.'


@dataclass(frozen=True)
class ReadingNeverTaken(Fault):
    """A step shows a result that needs a reading which no step of the job takes."""

    step: str
    result: str
    reading: str

    said = 'step "{step}" shows result "{result}", and nobody takes its reading "{reading}".'
    write = "Add a step before it with check: {{measure: {reading}}}."


@dataclass(frozen=True)
class HoldNeverKnown(Fault):
    """A step holds for a result whose reading or finding some cars never come to: it would be shut for good."""

    step: str
    result: str
    needs: str

    said = (
        'step "{step}" holds for result "{result}", and step "{needs}" that it needs is only done when something '
        "else was found."
    )
    write = 'Put both under the same condition, or ask found() of what "{needs}" hangs on first.'


@dataclass(frozen=True)
class ToleranceNotGiven(Fault):
    """A result asks how far off a value may be, and the engine sheet gives the value alone."""

    value: str
    result: str

    said = 'value "{value}" has no tolerance, and result "{result}" asks how far off it may be.'
    write = "Write what the book allows, for example  tolerance: 10 %  - or make the value missing, with the reason."


@dataclass(frozen=True)
class FindingTooLate(Fault):
    """A step shows a result before the inspection that it asks about."""

    step: str
    result: str
    finding: str

    said = 'step "{step}" shows result "{result}" before step "{finding}" is inspected.'
    write = 'Show it in step "{finding}" or later.'
