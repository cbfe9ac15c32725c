"""Every way that readings, results and tables can be wrong, beyond the formula's own text (`formula.py`)."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault, UndeclaredName
from generator.faults.wording import did_you_mean, listing

# --- One procedure ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class NameTwice(Fault):
    """Values, readings, results and tables of a procedure share their names, so that a name in a formula is clear."""

    name: str
    what: str
    first: str
    first_line: int

    said = '{what} "{name}" has the same name as the {first} on line {first_line}.'
    write = "Rename one of them, for example to {name}_measured for what is measured."


@dataclass(frozen=True)
class NameTaken(Fault):
    """A name that every formula already knows: a function, something that the shop or the job gives, yes or no."""

    name: str
    what: str
    means: str

    said = '{what} "{name}" has a name that every formula already knows: {means}.'
    write = "Rename it, for example to {name}_here."


@dataclass(frozen=True)
class ReadingLimitsTurned(Fault):
    """A reading goes from its least to its greatest sensible figure."""

    name: str
    low: str
    high: str

    said = 'reading "{name}" goes from {low} to {high}, which is not a range.'
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
    """The unit of a result does not measure what its formula gives."""

    name: str
    unit: str
    gives: str
    units: tuple[str, ...]

    @property
    def said(self) -> str:
        return f'result "{self.name}" is shown in {self.unit or "no unit"}, but its formula gives {self.gives}.'

    @property
    def write(self) -> str:
        return f"Write one of: {', '.join(self.units)}." if self.units else "Delete the unit."


@dataclass(frozen=True)
class ResultWithoutUnit(Fault):
    """A formula gives something that no unit here measures. Usually a factor is missing, or there is one too many."""

    name: str
    gives: str

    said = 'result "{name}" comes out as {gives}, for which there is no unit here.'
    write = "Look for a factor that is missing or doubled. For a share, divide by the whole."


@dataclass(frozen=True)
class NearestOfSomethingElse(Fault):
    """`to_nearest` is a step in the unit the result is shown in."""

    name: str
    step: str
    unit: str

    @property
    def said(self) -> str:
        return f'result "{self.name}" is shown to the nearest {self.step}, but in {self.unit or "no unit"}.'

    @property
    def write(self) -> str:
        return (
            f"Write a step above zero in the same unit: to_nearest: 0.1 {self.unit}."
            if self.unit
            else ("Delete to_nearest and use round() in the formula.")
        )


@dataclass(frozen=True)
class SafeOfNoFigure(Fault):
    """A yes or no and a date are shown as they are. Only a figure is rounded."""

    name: str
    safe: str
    gives: str

    said = 'result "{name}" says safe: {safe}, but it is {gives}, which is not rounded.'
    write = "Delete safe."


@dataclass(frozen=True)
class SafeSideTurned(Fault):
    """Rounded away from the side on which its limits call it bad, a figure looks better than it is. What a person sets
    on a gauge is the other way round: it never lies beyond its own limit."""

    name: str
    safe: str
    right: str
    set_on: str | None

    @property
    def said(self) -> str:
        worse = "higher" if (self.right == "up") == (self.set_on is None) else "lower"
        if self.set_on is None:
            return f'result "{self.name}" is shown rounded {self.safe}, but by its limits a {worse} figure is worse.'
        what = "ceiling" if worse == "higher" else "floor"
        because = f'its limits call a {worse} "{self.set_on}" bad: it is a {what}'
        return f'result "{self.name}" is told rounded {self.safe}, but {because}.'

    write = "Write  safe: {right}  - or look again at which side of the limit is bad."


@dataclass(frozen=True)
class GaugeOfAnotherKind(Fault):
    """What is set on a gauge is of the same kind as what is read on it."""

    name: str
    gives: str
    reading: str
    unit: str

    said = 'result "{name}" is {gives}, but it is set on the gauge of "{reading}", which is in {unit}.'
    write = "Name the reading that checks it afterwards, or delete set_on."


@dataclass(frozen=True)
class UnknownGauge(UndeclaredName):
    """`set_on` names the reading whose gauge shows the figure once it is set."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} is set on {name:quoted}, which this procedure does not declare as a reading."
    otherwise = "declare {name:quoted} under readings"


@dataclass(frozen=True)
class NearestAndGauge(Fault):
    """What is set on a gauge is told to half a division of that gauge. A second step would be another figure."""

    name: str
    step: str
    reading: str

    said = 'result "{name}" is told to the nearest {step}, but also as the gauge of "{reading}" can be read.'
    write = "Delete to_nearest. The division of the gauge says how exactly it is told."


@dataclass(frozen=True)
class DivisionCannotBe(Fault):
    """The smallest division of a gauge is above zero, of the kind that it shows, and less than what it is read over."""

    thing: str
    division: str
    because: str
    example: str

    said = "{thing} has division: {division}, but {because}."
    write = "Write what lies between two marks of the gauge, for example  {example}"


@dataclass(frozen=True)
class UnknownInWhole(UndeclaredName):
    """`adds_up` names a whole and its parts: values, readings and results of this procedure."""

    name: str
    known: tuple[str, ...]

    said = "adds_up names {name:quoted}, which is not a value, a reading or a result of this procedure."
    otherwise = "declare {name:quoted} here"


@dataclass(frozen=True)
class PartOfAnotherKind(Fault):
    """Parts of one whole are of its kind: litres of litres."""

    whole: str
    gives: str
    part: str
    kind: str

    said = 'adds_up has "{part}" as a part of "{whole}", but one is {kind} and the other {gives}.'
    write = "Name parts of the same kind as their whole."


@dataclass(frozen=True)
class PartsDoNotMakeIt(Fault):
    """A whole is made of two parts at least, none of them the whole itself, and one at least is a result: only what is
    worked out is rounded."""

    whole: str
    parts: tuple[str, ...]

    said = 'adds_up makes "{whole}" of {parts:listed}, which is not two other figures with a result among them.'
    write = "Write  {whole}: [first_part, second_part]  or delete the line."


@dataclass(frozen=True)
class PartOfTwo(Fault):
    """A result takes the rest of one whole. Beside two it could not add up in both."""

    name: str
    whole: str
    first: str

    said = 'adds_up has "{name}" as a part of "{whole}" and of "{first}".'
    write = "Keep the whole that it is shown beside."


@dataclass(frozen=True)
class UnknownResult(UndeclaredName):
    """A step shows, or a procedure borrows, a result that is declared nowhere."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} names {name:quoted}, which is not a result there."
    otherwise = "declare {name:quoted} under results"


@dataclass(frozen=True)
class ResultNotUsed(Fault):
    """No step shows the result, no other result uses it, it fills no value and it is in no calculator."""

    name: str

    said = 'result "{name}" is worked out, but never shown.'
    write = "Show it in a step, shows: [{name}], or delete it."


@dataclass(frozen=True)
class NeverBad(Fault):
    """A result that holds the work until it is good, and calls nothing bad. Any figure lets the work go on."""

    name: str

    said = 'result "{name}" holds the work, but none of its limits is bad.'
    write = "Write  bad: yes  at the limit where the work must not go on, or delete  hold: yes"


@dataclass(frozen=True)
class RowOutOfLine(Fault):
    """One figure that breaks a run: a point that was lost, two digits that were swapped. Told beside the worksheets,
    because such a table may be right."""

    table: str
    x: str
    y: str

    heading = "Rows to look at again"

    said = 'table "{table}" goes one way in all rows but at {x}, where it has {y}.'
    write = "Compare the row with its source. If it is right, there is nothing to write."


@dataclass(frozen=True)
class HoldNotShown(Fault):
    """A result holds the work at the step that shows it; one that is never shown holds nothing."""

    name: str

    said = 'result "{name}" should hold the work, but no step shows it.'
    write = "Write shows: [{name}] in the step that must wait for it, or delete hold."


@dataclass(frozen=True)
class AfterTheRest(Fault):
    """The first limit that is true gives the verdict, so nothing after one without `when` is ever reached."""

    name: str
    verdict: str

    said = 'result "{name}" has the limit {verdict:quoted} after one that covers all the rest.'
    write = "Move the limit without when to the end, or give it a when."


@dataclass(frozen=True)
class LimitNoQuestion(Fault):
    """A limit is a comparison: true or false."""

    name: str
    text: str
    gives: str

    said = 'result "{name}" has the limit {text:quoted}, which is not true or false but {gives}.'
    write = "Write a comparison, for example  when: {name} > ..."


@dataclass(frozen=True)
class FillsAnother(Fault):
    """A result fills a value of its own kind."""

    name: str
    value: str
    kind: str
    gives: str

    said = 'result "{name}" gives {gives}, but fills value "{value}", which is {kind}.'
    write = "Fill a value of the same kind, or delete fills."


@dataclass(frozen=True)
class WatchOfTwoKinds(Fault):
    """A gauge that is watched over a wait is read twice, in the same kind of unit."""

    thing: str
    start: str
    end: str

    said = "{thing} watches {start:quoted}, then {end:quoted}, which has a different kind of unit."
    write = "Give the two readings the same kind of unit and different names."


@dataclass(frozen=True)
class UnknownNameInText(Fault):
    """The words of a limit may name values, readings and results in braces, and no others."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} says {{{name}}}, which is not a value, reading or result of this procedure."

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
    """Between two rows the table is a straight line, so x only goes up or only down."""

    table: str
    x: str
    before: str

    said = 'table "{table}" has x {x} after {before}, which is out of order.'
    write = "Sort the rows by x, and write each x once."


@dataclass(frozen=True)
class ShopMeasures(Fault):
    """The shop says which unit its phones show first, for each thing that is measured."""

    what: str
    known: tuple[str, ...]

    said = "the shop has a unit for {what:quoted}, which nothing here measures."

    @property
    def write(self) -> str:
        return f"{did_you_mean(self.what, self.known)}Write one of: {', '.join(self.known)}."


# --- A composed job ---------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class ReadingClash(Fault):
    """Two procedures of a job take readings of the same name in different kinds of unit."""

    name: str
    unit: str
    first: str

    said = 'reading "{name}" is in {unit} here and in {first} in another procedure of the job.'
    write = "Rename one of them here, or where it is included:  known_as: {{{name}: another_name}}"


@dataclass(frozen=True)
class DivisionClash(Fault):
    """Two procedures of a job take one reading, each with another smallest division of its gauge. Only one counts."""

    name: str
    division: str
    first: str

    said = 'reading "{name}" has division: {division} here and {first} in another procedure of the job.'
    write = "Write the same division in both, or rename one of the two readings."


@dataclass(frozen=True)
class ResultClash(Fault):
    """Two procedures of a job work out results of the same name with different formulas."""

    name: str
    job: str

    said = 'result "{name}" is worked out in two ways in job "{job}".'
    write = "Rename one of them, or borrow it: {{of: the-other-procedure}}."


@dataclass(frozen=True)
class OneNameForTwo(Fault):
    """In a job a name is a value, a reading or a result, and the same thing in every procedure."""

    name: str
    what: str
    other: str

    said = '{what} "{name}" has the same name as a {other} in this job.'
    write = "Rename one of them here, or where it is included, under  known_as:"


@dataclass(frozen=True)
class BorrowedFromOutside(Fault):
    """A borrowed result comes from a procedure of the same job."""

    name: str
    procedure: str
    job: str

    said = 'result "{name}" is borrowed from "{procedure}", which is not part of job "{job}".'
    write = "Include {procedure} in the job, or work the result out here."


@dataclass(frozen=True)
class ReadingTooLate(Fault):
    """A step shows a result before a reading that it needs is taken."""

    step: str
    result: str
    reading: str
    taken_at: str

    said = 'step "{step}" shows result "{result}" before reading "{reading}" is taken in step "{taken_at}".'
    write = 'Show it in step "{taken_at}" or later, or take the reading earlier.'


@dataclass(frozen=True)
class ReadingNeverTaken(Fault):
    """A step shows a result that needs a reading which no step of the job takes."""

    step: str
    result: str
    reading: str

    said = 'step "{step}" shows result "{result}", but no step takes its reading "{reading}".'
    write = "Add a step before it with check: {{measure: {reading}}}."


@dataclass(frozen=True)
class HoldNeverKnown(Fault):
    """A step holds for a result whose reading or finding is never made in some worksheets: the step would stay shut."""

    step: str
    result: str
    needs: str

    said = 'step "{step}" holds for result "{result}", but that needs step "{needs}", which is not in every worksheet.'
    write = 'Put both steps under the same condition, or first ask found() about what step "{needs}" depends on.'


@dataclass(frozen=True)
class ToleranceNotGiven(Fault):
    """A result uses the tolerance of a value, and the sheet gives the value alone."""

    value: str
    result: str

    said = 'value "{value}" has no tolerance, but result "{result}" needs one.'
    write = (
        "Write the tolerance the book gives, for example  tolerance: 10 %  - or make the value missing, with the "
        "reason."
    )


@dataclass(frozen=True)
class FindingTooLate(Fault):
    """A step shows a result before the inspection that it asks about."""

    step: str
    result: str
    finding: str

    said = 'step "{step}" shows result "{result}" before the inspection in step "{finding}".'
    write = 'Show it in step "{finding}" or later.'
