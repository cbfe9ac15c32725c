"""Every way that readings, results and tables can be wrong, beyond the formula's own text (`formulafaults.py`)."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults import Fault, did_you_mean, excerpt, listing, one_of

# --- One procedure ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class NameTwice(Fault):
    """Values, readings, results and tables of a procedure share their names, so that a formula means one thing."""

    name: str
    what: str
    first: str
    first_line: int

    @property
    def said(self) -> str:
        return f'{self.what} "{self.name}" has the name of the {self.first} on line {self.first_line}.'

    @property
    def write(self) -> str:
        return f"Give one of them another name, for example {self.name}_measured for what is measured."


@dataclass(frozen=True)
class NameTaken(Fault):
    """A name that every formula has already: of a function, of what the shop or the job gives, yes or no."""

    name: str
    what: str
    means: str

    @property
    def said(self) -> str:
        return f'{self.what} "{self.name}" has a name that every formula knows: {self.means}.'

    @property
    def write(self) -> str:
        return f"Give it another name, for example {self.name}_here."


@dataclass(frozen=True)
class ReadingLimitsTurned(Fault):
    """A reading goes from its least to its greatest sensible figure."""

    name: str
    low: str
    high: str

    @property
    def said(self) -> str:
        return f'reading "{self.name}" goes from {self.low} to {self.high}, which is no range.'

    @property
    def write(self) -> str:
        return f"Write from: {self.high} and to: {self.low}, or leave one of them out."


@dataclass(frozen=True)
class ResultCircle(Fault):
    """A result that is worked out from itself, directly or through others."""

    name: str
    chain: tuple[str, ...]

    @property
    def said(self) -> str:
        return f'result "{self.name}" needs itself: {" > ".join(self.chain)}.'

    @property
    def write(self) -> str:
        return "Work one of them out from readings and values alone."


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

    @property
    def said(self) -> str:
        return f'result "{self.name}" comes out as {self.gives}, for which there is no unit here.'

    @property
    def write(self) -> str:
        return "Look for a factor that is missing or stands twice, or divide by what it shall be a share of."


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
class UnknownResult(Fault):
    """A step shows, or a procedure borrows, a result that nobody declares."""

    thing: str
    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} names {excerpt(self.name)}, which is no result there."

    @property
    def write(self) -> str:
        return one_of(self.name, self.known, f"declare {excerpt(self.name)} under results")


@dataclass(frozen=True)
class ResultNotUsed(Fault):
    """A result that no step shows, no other result uses, no value is filled by and no calculator has."""

    name: str

    @property
    def said(self) -> str:
        return f'result "{self.name}" is worked out and never shown.'

    @property
    def write(self) -> str:
        return f"Name it in a step, shows: [{self.name}], or take it out."


@dataclass(frozen=True)
class HoldNotShown(Fault):
    """A result holds the work at the step that shows it; one that is never shown holds nothing."""

    name: str

    @property
    def said(self) -> str:
        return f'result "{self.name}" is to hold the work, and no step shows it.'

    @property
    def write(self) -> str:
        return f"Write shows: [{self.name}] in the step that shall wait for it, or take hold out."


@dataclass(frozen=True)
class AfterTheRest(Fault):
    """Of a result's limits the first that is true speaks; nothing after one without `when` is ever reached."""

    name: str
    verdict: str

    @property
    def said(self) -> str:
        return f'result "{self.name}" has the limit {excerpt(self.verdict)} after one that stands for all the rest.'

    @property
    def write(self) -> str:
        return "Move the limit without when to the end, or say when it is so."


@dataclass(frozen=True)
class LimitNoQuestion(Fault):
    """A limit is true or not: it compares."""

    name: str
    text: str
    gives: str

    @property
    def said(self) -> str:
        return f'result "{self.name}" has the limit {excerpt(self.text)}, neither true nor false but {self.gives}.'

    @property
    def write(self) -> str:
        return f"Compare it with something: when: {self.name} > ..."


@dataclass(frozen=True)
class FillsAnother(Fault):
    """A result fills a value of its own kind."""

    name: str
    value: str
    kind: str
    gives: str

    @property
    def said(self) -> str:
        return f'result "{self.name}" gives {self.gives} and is to fill value "{self.value}", which is {self.kind}.'

    @property
    def write(self) -> str:
        return "Fill a value of the same kind, or take fills out."


@dataclass(frozen=True)
class WatchOfTwoKinds(Fault):
    """What is watched over a wait is read twice from one gauge."""

    thing: str
    start: str
    end: str

    @property
    def said(self) -> str:
        return (
            f"{self.thing} watches {excerpt(self.start)}, then {excerpt(self.end)}, which is measured in other units."
        )

    @property
    def write(self) -> str:
        return "Give both readings units of one kind, and two names."


@dataclass(frozen=True)
class UnknownNameInText(Fault):
    """What a limit says names a value, reading or result in braces."""

    thing: str
    name: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"{self.thing} says {{{self.name}}}, which is no value, reading or result of this procedure."

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

    @property
    def write(self) -> str:
        return "Write each row as two numbers: [x, y]."


@dataclass(frozen=True)
class RowsOutOfOrder(Fault):
    """Between two rows a straight line is drawn, so x must go one way, and no x stands twice."""

    table: str
    x: str
    before: str

    @property
    def said(self) -> str:
        return f'table "{self.table}" has x {self.x} after {self.before}, against the order of the rows before.'

    @property
    def write(self) -> str:
        return "Write the rows in the order of x, each x once."


@dataclass(frozen=True)
class ShopMeasures(Fault):
    """The shop says for what is measured which unit its phones show first."""

    what: str
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        return f"the shop has a unit for {excerpt(self.what)}, which nothing here measures."

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

    @property
    def said(self) -> str:
        return f'reading "{self.name}" is in {self.unit} here and in {self.first} in another procedure of the job.'

    @property
    def write(self) -> str:
        return f"Rename one of them, with {{{self.name}: another_name}} at its include or here."


@dataclass(frozen=True)
class ResultClash(Fault):
    """Two procedures of one job work out results of one name by different formulas."""

    name: str
    job: str

    @property
    def said(self) -> str:
        return f'result "{self.name}" is worked out in two ways in job "{self.job}".'

    @property
    def write(self) -> str:
        return "Rename one of them, or borrow it: {of: the-other-procedure}."


@dataclass(frozen=True)
class OneNameForTwo(Fault):
    """In a job a name is a value, a reading or a result, whichever procedure it comes from."""

    name: str
    what: str
    other: str

    @property
    def said(self) -> str:
        return f'{self.what} "{self.name}" meets a {self.other} of the same name in this job.'

    @property
    def write(self) -> str:
        return "Give one of them another name, here or with: at the include."


@dataclass(frozen=True)
class BorrowedFromOutside(Fault):
    """A borrowed result comes from a procedure of the same job."""

    name: str
    procedure: str
    job: str

    @property
    def said(self) -> str:
        return f'result "{self.name}" is borrowed from "{self.procedure}", which is no part of job "{self.job}".'

    @property
    def write(self) -> str:
        return f"Include {self.procedure} in the job, or work the result out here."


@dataclass(frozen=True)
class ReadingTooLate(Fault):
    """A step shows a result before a reading that it needs is taken."""

    step: str
    result: str
    reading: str
    taken_at: str

    @property
    def said(self) -> str:
        return (
            f'step "{self.step}" shows result "{self.result}" before reading "{self.reading}" is taken '
            f'in step "{self.taken_at}".'
        )

    @property
    def write(self) -> str:
        return f'Show it in step "{self.taken_at}" or later, or measure earlier.'


@dataclass(frozen=True)
class ReadingNeverTaken(Fault):
    """A step shows a result that needs a reading which no step of the job takes."""

    step: str
    result: str
    reading: str

    @property
    def said(self) -> str:
        return f'step "{self.step}" shows result "{self.result}", and nobody takes its reading "{self.reading}".'

    @property
    def write(self) -> str:
        return f"Add a step before it with check: {{measure: {self.reading}}}."


@dataclass(frozen=True)
class HoldNeverKnown(Fault):
    """A step holds for a result whose reading or finding some cars never come to: it would be shut for good."""

    step: str
    result: str
    needs: str

    @property
    def said(self) -> str:
        return (
            f'step "{self.step}" holds for result "{self.result}", and step "{self.needs}" that it needs is only done '
            "when something else was found."
        )

    @property
    def write(self) -> str:
        return f'Put both under the same condition, or ask found() of what "{self.needs}" hangs on first.'


@dataclass(frozen=True)
class ToleranceNotGiven(Fault):
    """A result asks how far off a value may be, and the engine sheet gives the value alone."""

    value: str
    result: str

    @property
    def said(self) -> str:
        return f'value "{self.value}" has no tolerance, and result "{self.result}" asks how far off it may be.'

    @property
    def write(self) -> str:
        return "Write what the book allows, for example  tolerance: 10 %  - or make the value missing, with the reason."


@dataclass(frozen=True)
class FindingTooLate(Fault):
    """A step shows a result before the inspection that it asks about."""

    step: str
    result: str
    finding: str

    @property
    def said(self) -> str:
        return f'step "{self.step}" shows result "{self.result}" before step "{self.finding}" is inspected.'

    @property
    def write(self) -> str:
        return f'Show it in step "{self.finding}" or later.'


ALL: tuple[type[Fault], ...] = tuple(kind for kind in Fault.__subclasses__() if kind.__module__ == __name__)
