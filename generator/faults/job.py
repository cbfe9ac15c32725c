"""Every way a composed job can be wrong: a procedure with its includes, for one engine."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault, UndeclaredName
from generator.faults.wording import counted, did_you_mean, listing, one_of

ROWS_NAMED = 3
"""How many failure modes a sentence names."""

# --- A composed job: includes, references, conditions ------------------------------------------------------------


@dataclass(frozen=True)
class UnknownInclude(UndeclaredName):
    """An include names a procedure that no file in procedures/ has."""

    name: str
    known: tuple[str, ...]

    said = 'procedure "{name}" is included here, but does not exist.'
    otherwise = "write procedures/{name}.yml"


@dataclass(frozen=True)
class IncludeLoop(Fault):
    """A procedure includes itself, directly or through others."""

    name: str
    trail: tuple[str, ...]

    said = 'procedure "{name}" includes itself: {trail:chain}.'
    write = "Delete one of these includes. To do work twice, include it twice in the procedure above."


@dataclass(frozen=True)
class IncludesTooMuch(Fault):
    """A job has a limit of steps and of includes inside one another. A few files that include each other many times
    over come to more than anybody can work through, and more than a build can hold."""

    name: str
    what: str
    limit: int

    @property
    def said(self) -> str:
        if self.what == "steps":
            return f'procedure "{self.name}" has more than {self.limit} steps with everything it includes.'
        return f'procedure "{self.name}" has includes nested more than {self.limit} deep.'

    write = "Include a procedure only where its work is done, and split a longer job into several."


@dataclass(frozen=True)
class AliasTwice(Fault):
    """Two includes of one procedure have the same `as`."""

    alias: str
    first_line: int

    said = 'alias "{alias}" is already used on line {first_line}.'
    write = "Give this include a name of its own, for example  as: {alias}-2"


@dataclass(frozen=True)
class EachWithout(Fault):
    """`shared` says what the uses of `each` have in common."""

    name: str

    said = 'the include of "{name}" says what is shared, but it is there only once.'
    write = "Delete  shared:  or write  each:  with a name and a label for each."


@dataclass(frozen=True)
class EachOfFew(Fault):
    """One use is an ordinary include, and none would leave the work out."""

    name: str
    count: int

    @property
    def said(self) -> str:
        return f'"each" of the include of "{self.name}" names {"only one use" if self.count else "nothing"}.'

    write = 'Write, for example:  each: {{left: "left side", right: "right side"}}  For one use write  as:  and  label:'


@dataclass(frozen=True)
class EachLabelTwice(Fault):
    """Two uses with one label look the same on the phone, and the wrong corner is ticked."""

    label: str
    first: str
    second: str

    said = 'the uses "{first}" and "{second}" have the same label {label:quoted}.'
    write = "Give each its own label."


@dataclass(frozen=True)
class EachHasLabels(Fault):
    """Each use under `each` has its own label."""

    name: str

    said = 'the include of "{name}" has a label beside those of "each".'
    write = "Delete  label:  The labels under  each:  are shown with every step."


@dataclass(frozen=True)
class EachRenames(Fault):
    """A reading, a result, an item or a landmark with one name in all uses would be one thing, opened twice."""

    name: str
    use: str

    said = '"{name}" is named after each use by itself, so it cannot be renamed for all of them.'

    @property
    def write(self) -> str:
        after = f"{self.name}_{self.use.replace('-', '_')}"
        return f"Delete it here. Outside it is called {after} and so on. Or write  shared: [{self.name}]"


@dataclass(frozen=True)
class UnknownShared(UndeclaredName):
    """Only readings, results, items, landmarks and values that a result fills belong to one use. All else is shared."""

    name: str
    of: str
    known: tuple[str, ...]

    said = '"{name}" is written under shared, but each use of "{of}" has no such name of its own.'
    otherwise = "delete it: values, tools and parts are shared anyway"


@dataclass(frozen=True)
class UnknownInnerName(UndeclaredName):
    """`known_as` gives a name of the included procedure another one outside. A name that it has not would be renamed
    to nothing, and the one that was meant keeps its own."""

    name: str
    of: str
    known: tuple[str, ...]

    said = 'known_as renames "{name}", but procedure "{of}" has nothing of that name.'
    otherwise = "delete it"


@dataclass(frozen=True)
class DoesNotFit(Fault):
    """A procedure is included for an engine it is not made for."""

    name: str
    engine: str
    fact: str
    has: str | None
    wanted: tuple[str, ...]

    @property
    def said(self) -> str:
        here = f"has {self.fact} {self.has}" if self.has else f"does not say its {self.fact}"
        return f'procedure "{self.name}" fits {self.fact} {" or ".join(self.wanted)}, but sheet "{self.engine}" {here}.'

    write = "Add to this include:  when: {{engine: {{{fact}: {wanted[0]}}}}}"


@dataclass(frozen=True)
class UnsaidFact(Fault):
    """Conditions ask facts that the sheet does not state. None is ever assumed; all are told at once."""

    engine: str
    asked: tuple[tuple[str, tuple[str, ...]], ...]  # each fact with the words it may have

    @property
    def said(self) -> str:
        names = ", ".join(name for name, _ in self.asked)
        why = "but a procedure asks for it" if len(self.asked) == 1 else "but procedures ask for them"
        return f'sheet "{self.engine}" does not say {names}, {why}.'

    @property
    def write(self) -> str:
        lines = (f"{name}: {' or '.join(words) or '(a word of a facts file)'}" for name, words in self.asked)
        return f"Add under facts:  {';  '.join(lines)}"


@dataclass(frozen=True)
class UnknownStep(UndeclaredName):
    """`back_to`, `disturbs`, `after`, `of` or `found` names a step that is not in the job."""

    step: str
    name: str
    known: tuple[str, ...]

    said = 'step "{step}" names step "{name}", which is not in the job.'
    otherwise = "give the step you mean that id or landmark"


@dataclass(frozen=True)
class LandmarkTwice(Fault):
    """Two steps of a job carry the same landmark."""

    landmark: str
    first: str

    said = 'landmark "{landmark}" is already on step "{first}".'

    @property
    def write(self) -> str:
        snake = self.landmark.replace("-", "_")
        mapped = f"known_as: {{{snake}: {snake}_left}}"
        return f"Rename it. If the procedure is included twice, rename it at the include:  {mapped}"


@dataclass(frozen=True)
class BackToLater(Fault):
    """A failed check sends back to a step that comes after it."""

    step: str
    name: str

    said = 'step "{step}" goes back to "{name}", which comes later.'
    write = "Name an earlier step."


@dataclass(frozen=True)
class BackToLeftOut(Fault):
    """A failed check sends back to a step that this engine has not."""

    step: str
    name: str

    said = 'step "{step}" goes back to "{name}", which a condition on a fact leaves out.'
    write = "Name a step that is there whenever this one is, or put both under the same condition."


@dataclass(frozen=True)
class NamesALaterStep(Fault):
    """`after`, `disturbs` or `of` names a step that comes after this one."""

    step: str
    name: str

    said = 'step "{step}" names step "{name}", which comes later.'
    write = "Name an earlier step, or move one of the two."


@dataclass(frozen=True)
class NotAFinding(Fault):
    """A `found:` condition names a step that does not inspect anything."""

    step: str
    name: str

    said = 'step "{step}" depends on what "{name}" found, but that step is not an inspection.'
    write = "Name a step with  check: {{inspect: {{...}}}}"


@dataclass(frozen=True)
class UnknownOutcome(UndeclaredName):
    """A `found:` condition names an outcome that the inspection does not have."""

    step: str
    name: str
    known: tuple[str, ...]

    said = 'step "{step}" has no outcome "{name}".'
    otherwise = "add it to the inspection"


@dataclass(frozen=True)
class FoundLater(Fault):
    """A step depends on a finding that is made after it."""

    step: str
    name: str

    said = 'step "{step}" depends on what "{name}" finds, which comes later.'
    write = "Move the inspection before this step."


@dataclass(frozen=True)
class MissingPicture(Fault):
    """A step shows a picture whose file is not there."""

    step: str
    file: str

    said = 'step "{step}" shows picture "{file}", which does not exist.'
    write = "Put the file in procedures/pictures/, or delete the picture from the step."


# --- Values in a composed job ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class ValueKindClash(Fault):
    """Two procedures of one job use one name for two kinds of value."""

    name: str
    kind: str
    first: str

    said = 'value "{name}" is of kind {kind} here and of kind {first} in another procedure of the job.'
    write = "Rename one of them, or map it where it is included:  known_as: {{inner_name: outer_name}}"


@dataclass(frozen=True)
class ReuseUnsaid(Fault):
    """A fastener that the job loosens does not say whether it may be used again."""

    name: str

    said = 'fastener "{name}" is loosened, but the sheet does not say whether it may be reused.'
    write = "Add  reuse: yes, no or ask  as the maker's information says."


@dataclass(frozen=True)
class NotCounted(Fault):
    """A step takes the number of bolts or hoses from the sheet, which does not say it. The phone would show 1,
    and of six bolts only one would have to go back."""

    name: str
    step: str
    does: str

    said = 'value "{name}" has no count, and step "{step}" {does} as many as it says.'
    write = "Count them and write how many there are, for example  count: 6"


@dataclass(frozen=True)
class CountedTwoWays(Fault):
    """As many bolts are loosened as are tightened."""

    step: str
    item: str
    opened: int
    tightening: str
    value: str
    count: int

    said = 'step "{step}" opens {opened} of "{item}", but step "{tightening}" tightens {count} by the sheet.'
    write = "Write  count: from {value}  where they are opened, or correct the count on the sheet."


@dataclass(frozen=True)
class CountedAsOne(Fault):
    """A value that counts something is not on the sheet at all. The phone asks for the value, not for how many
    there are."""

    engine: str
    names: tuple[str, ...]

    heading = "Shown as 1 on the phone, because the sheet does not list them"

    said = 'sheet "{engine}" does not list {names:listed}.'
    write = "List each with how many there are, for example  pump_bolts: {{missing: not found yet, count: 6}}"


@dataclass(frozen=True)
class TurnsUnderTwo(Fault):
    """The crank is turned by hand at least twice before the timing counts as proved: one turn of the crank is half a
    turn of the cam. A sheet may ask for more, never for fewer. Common practice, no source."""

    name: str
    count: int

    said = 'value "{name}" asks for only {count} turn by hand.'
    write = "Write  count: 2  or more, as the maker's information says."


@dataclass(frozen=True)
class RangesDoNotMeet(Fault):
    """Two procedures of a job expect one value, each within a range of its own. If the ranges do not meet, no figure
    is right for both, and a phone would refuse every one."""

    name: str
    low: str
    high: str

    said = 'value "{name}" is at least {low} for one procedure of this job, and at most {high} for another.'
    write = "Make the two ranges meet, or give one of the two values another name."


@dataclass(frozen=True)
class OverItsBound(Fault):
    """A procedure says that one value is at most another, and the engine sheet gives it more: a radiator is not pumped
    up over the rating of its cap."""

    name: str
    text: str
    other: str
    other_text: str

    said = 'value "{name}" is {text}, but it may be at most "{other}", which is {other_text}.'
    write = "Look up both again. If the document says so, write  missing: the document gives more than {other}"


@dataclass(frozen=True)
class ValueOfAnotherKind(Fault):
    """A wait needs a time, a turn a count, a tightening a torque or an angle. Two procedures of the shop use one name
    for two kinds of value, and the sheet gives the other one. A wait for something that is not a time is
    never over."""

    step: str
    check: str
    name: str
    found: str
    wanted: tuple[str, ...]

    said = 'step "{step}" has "{check}: {name}", but the sheet says {found:quoted}, which is not a {wanted:or}.'
    write = "Give {name} as a {wanted:or}. If another procedure means something else by {name}, rename it there."


# --- Opened and closed -------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class ItemKindClash(Fault):
    """One item is declared as two kinds, or in two bolt lists."""

    item: str
    now: str
    was: str

    said = 'item "{item}" is {now} here and {was} where it was first opened.'
    write = "Use the same kind and list everywhere, or give it another name."


@dataclass(frozen=True)
class ItemCountClash(Fault):
    """One item is opened by two steps that count it differently. A worksheet has one number for each item."""

    item: str
    now: int
    first: int

    said = 'item "{item}" has a count of {now} here and of {first} where it was first opened.'
    write = "Use the same count everywhere, or give it another name."


@dataclass(frozen=True)
class OpenedTwice(Fault):
    """An item is opened while it is open already."""

    step: str
    item: str
    first: str

    said = 'step "{step}" opens "{item}", but step "{first}" opened it and no step closed it since.'
    write = "Close it in between, or give the second one a name of its own."


@dataclass(frozen=True)
class ClosedFirst(Fault):
    """A step closes what is not open there."""

    step: str
    item: str
    known: tuple[str, ...]

    said = 'step "{step}" closes "{item}", which is not open there.'

    @property
    def write(self) -> str:
        if self.item in self.known:
            return f"Open it in an earlier step, or write  takes_over: [{self.item}]  at the top of the procedure."
        return one_of(self.item, self.known, "open it in an earlier step")


@dataclass(frozen=True)
class ConditionsDiffer(Fault):
    """A closing stands under a condition that the opening does not have."""

    step: str
    item: str
    opener: str

    said = 'step "{step}" closes "{item}" under a condition that step "{opener}" does not have.'
    write = "Put both in one group, under the same  when:"


@dataclass(frozen=True)
class ClosedOnlySometimes(Fault):
    """An item is closed for some outcomes of a finding and not for the others."""

    step: str
    item: str

    said = 'step "{step}" opens "{item}", but it is closed for some findings only.'
    write = "Close it for every outcome of that inspection, or put both in one group."


@dataclass(frozen=True)
class NotAllClosed(Fault):
    """Fewer are closed than were opened."""

    step: str
    item: str
    left: int

    said = 'step "{step}" opens "{item}" and leaves {left} open at the end.'
    write = "Close them all:  closes: [{item}]"


@dataclass(frozen=True)
class NeverClosed(Fault):
    """A composed job can end with something loose, off, in or owed."""

    step: str
    item: str

    said = 'step "{step}" opens "{item}", but no later step closes it.'
    write = "Add to the step that closes it:  closes: [{item}]"


@dataclass(frozen=True)
class LeavesOpenUnsaid(Fault):
    """A procedure leaves something open and its header does not say so."""

    procedure: str
    item: str

    said = 'procedure "{procedure}" leaves "{item}" open, but does not say so.'
    write = "Close it, or add at the top of the procedure:  leaves_open: [{item}]"


@dataclass(frozen=True)
class LeavesOpenNothing(Fault):
    """A header says `leaves_open` of something that is not left open."""

    procedure: str
    item: str

    said = 'procedure "{procedure}" says it leaves "{item}" open, but it does not.'
    write = "Delete it from  leaves_open:, or open it in a step."


@dataclass(frozen=True)
class TakesOverNothing(Fault):
    """A header says `takes_over` of something the procedure never closes."""

    procedure: str
    item: str
    closed: tuple[str, ...]

    said = 'procedure "{procedure}" says it takes over "{item}", but never closes it.'

    @property
    def write(self) -> str:
        meant = did_you_mean(self.item, self.closed)
        return f"{meant}{'If not, delete' if meant else 'Delete'} it from  takes_over:, or close it in a step."


@dataclass(frozen=True)
class NothingToTakeOver(Fault):
    """An included procedure takes over something that is not open where it is included."""

    include: str
    item: str
    name: str

    @property
    def said(self) -> str:
        called = "" if self.item == self.name else f' (here "{self.name}")'
        return f'procedure "{self.include}" takes over "{self.item}"{called}, which is not open here.'

    write = "Include it after the step that opens it, or map the name:  known_as: {{inner_name: outer_name}}"


@dataclass(frozen=True)
class BoltNotTightened(Fault):
    """A loosened bolt is closed by something that is no tightening."""

    step: str
    item: str

    said = 'step "{step}" closes bolt "{item}" without tightening it.'
    write = "Write  check: {{tighten: {item}}}"


@dataclass(frozen=True)
class TwoBoltsOneValue(Fault):
    """One tightening closes two kinds of bolt."""

    step: str
    first: str
    item: str

    said = 'step "{step}" closes "{first}" and "{item}" with one tightening.'
    write = "Give each its own step, because each has its own value."


@dataclass(frozen=True)
class BoltOnNoList(Fault):
    """A gate goes through bolts by their lists. It does not wait for one that is on none."""

    step: str
    item: str
    gate: str
    lists: tuple[str, ...]

    said = 'step "{step}" opens bolt "{item}" on no list, and the {gate} gate waits for bolts by their lists.'
    write = "Write there the list that it is gone through with:  list: {lists:or}"


@dataclass(frozen=True)
class ListOfOthers(Fault):
    """A bolt list is gone through with a wrench. What is not closed by a tightening is waited for by its kind."""

    step: str
    item: str
    kind: str
    list: str
    bolts: tuple[str, ...]

    said = 'step "{step}" puts "{item}" on bolt list "{list}", but a {kind} is not tightened.'
    write = "Delete  list: {list}  A gate waits for it by its kind. On lists are: {bolts:listed}."


@dataclass(frozen=True)
class KindIsTightened(Fault):
    """Steps tighten things of a kind that the trade file does not call tightened. Then a tick would close them too,
    and no list would be asked for them."""

    kind: str
    step: str
    item: str

    said = 'kind "{kind}" is not closed by a tightening, but step "{step}" tightens "{item}", which is on a bolt list.'
    write = "Write at this kind  closed_by: tighten  or take its things off the lists."


@dataclass(frozen=True)
class ListOfNoGate(Fault):
    """Bolts on a list that no gate of the job goes by. Told beside the worksheets, since they are closed all the
    same."""

    list: str

    heading = "On a list that no gate goes by"

    said = 'no gate waits for bolt list "{list}".'
    write = "Write it in the trade file at the gate before which it is gone through:  lists: [{list}]"


@dataclass(frozen=True)
class ItemLabelClash(Fault):
    """One item has one name on the phone. The label of a second step that opens it would stand nowhere."""

    item: str
    now: str
    first: str

    said = 'item "{item}" is called {now:quoted} here and {first:quoted} where it was first opened.'
    write = "Use the same label, leave this one out, or give the item a name of its own."


# --- Gates, holds and proofs -------------------------------------------------------------------------------------


@dataclass(frozen=True)
class GateTwice(Fault):
    """Two gates of one step are two different gates."""

    step: str
    gate: str

    said = 'step "{step}" has the gate "{gate}" twice.'
    write = "Write it once, with all kinds and lists it adds."


@dataclass(frozen=True)
class GateKindUnused(UndeclaredName):
    """A gate names a kind of thing that nothing in the job opens."""

    step: str
    name: str
    known: tuple[str, ...]

    said = 'step "{step}" is a gate for kind "{name}", which nothing opens.'
    otherwise = "delete it from the gate"


@dataclass(frozen=True)
class GateListUnused(Fault):
    """A gate names a bolt list that has no bolts."""

    step: str
    list: str

    said = 'step "{step}" is a gate for bolt list "{list}", which has no bolts.'
    write = "Put the bolts on it where they are opened:  list: {list}"


@dataclass(frozen=True)
class GateNeverPasses(Fault):
    """Something a gate asks for is closed only after the gate."""

    step: str
    gate: str
    item: str
    closer: str | None
    part: bool = False  # seen in a part of a job, and closed in another part of it if at all

    @property
    def said(self) -> str:
        never = "closed after this part of the job, if at all" if self.part else "never closed"
        end = f'closed only by step "{self.closer}" after it' if self.closer else never
        return f'{self.gate} gate "{self.step}" can never pass: "{self.item}" is open there and {end}.'

    write = "Close it before the gate, or move the gate."


@dataclass(frozen=True)
class GateWaitsForNothing(Fault):
    """A gate that names no kind, no list and no preparation would pass whatever is open."""

    step: str
    gate: str

    said = 'step "{step}" is a {gate} gate, which waits for nothing.'
    write = "Write at gate {gate} in the trade file what it waits for:  kinds:  or  lists:  or  preparation: yes"


@dataclass(frozen=True)
class GateMissing(Fault):
    """A job does something that needs a gate before it and has none."""

    gate: str
    why: str
    before: str | None

    @property
    def said(self) -> str:
        where = f' before step "{self.before}"' if self.before else ""
        return f"this job has no {self.gate} gate{where}, although {self.why}."

    write = "Add a step with  gate: {gate}"


@dataclass(frozen=True)
class NobodyLeads(Fault):
    """Nobody of the shop has a role that leads. Told beside the worksheets."""

    roles: tuple[str, ...]

    heading = "Nobody leads"

    said = (
        "nobody here has the role {roles:or}: a step that needs the lead is never left out, and anybody undoes a stop."
    )
    write = "Give one of the people that role, or write  leads: yes  at a role that somebody has."


@dataclass(frozen=True)
class Misfit:
    """A fact that keeps a procedure from engines: the words it is made for, and of each word here (None where it is not
    said) the sheets that have it."""

    procedure: str
    fact: str
    wanted: tuple[str, ...]
    here: tuple[tuple[str | None, tuple[str, ...]], ...]

    def __str__(self) -> str:
        asked = f"is for {self.fact}: {' or '.join(self.wanted) or 'nothing'}"
        if len(self.here) == 1:
            ((word, engines),) = self.here
            who = engines[0] if len(engines) == 1 else "every sheet here"
            return f"{asked}, but {who} says {word or 'nothing about it'}"
        here = ", ".join(f"{word or 'not said'} ({listing(engines)})" for word, engines in self.here)
        return f"{asked}, but here it is {here}"


@dataclass(frozen=True)
class NoWorksheetForJob(Fault):
    """A job that was written beforehand names a procedure and an engine that make no worksheet together."""

    job: str
    procedure: str
    engine: str
    because: tuple[Misfit, ...]

    @property
    def said(self) -> str:
        why = [str(misfit) for misfit in self.because] or ["is only a part of a job"]
        return f'job "{self.job}" has no worksheet, because procedure "{self.procedure}" {"; it ".join(why)}.'

    @property
    def write(self) -> str:
        if self.because:
            return "Name a procedure whose  fits:  agrees with the facts of the sheet, or correct one of them."
        return "Name a procedure with  stands_alone: yes"


@dataclass(frozen=True)
class FitsNoEngine(Fault):
    """A procedure whose `fits:` agrees with no sheet of the shop. No step of it was checked with an engine, and
    no worksheet came of it. Told beside the worksheets; a fault where there is no worksheet at all."""

    name: str
    alone: bool
    because: tuple[Misfit, ...]

    @property
    def said(self) -> str:
        thing = "procedure" if self.alone else "part"
        return f'{thing} "{self.name}" fits no sheet here, because it {"; it ".join(map(str, self.because))}.'

    write = "Correct  fits:  or the facts of the sheet. If the shop has no such thing, leave it as it is."


@dataclass(frozen=True)
class NotIncluded(Fault):
    """A procedure that is only a part of a job, and no job has it. Told beside the worksheets; a fault where there is
    no worksheet at all."""

    name: str

    said = 'procedure "{name}" gives no worksheet, because it is only a part of a job and no job includes it.'
    write = "Write  stands_alone: yes  if it is a whole job, or  include: {name}  in one."


@dataclass(frozen=True)
class LeftOutOfEveryJob(Fault):
    """A part that jobs include, and every sheet here leaves it out by a fact. Told beside the worksheets; a fault
    where there is no worksheet at all."""

    name: str
    jobs: tuple[str, ...]

    @property
    def said(self) -> str:
        return (
            f'procedure "{self.name}" is in no worksheet, because every sheet here leaves it out of '
            f"{listing(self.jobs)}."
        )

    write = "Correct  when:  of its include or the facts of the sheet. If nothing here has it, leave it."


@dataclass(frozen=True)
class NoJobFits(Fault):
    """A sheet that no job fits, so that no phone shows it. Told beside the worksheets."""

    engine: str
    because: tuple[Misfit, ...]

    @property
    def said(self) -> str:
        why = "; ".join(f"{misfit.procedure} {misfit}" for misfit in self.because) or "no procedure here is a whole job"
        return f'sheet "{self.engine}" gives no worksheet, because {why}.'

    write = "Correct the facts of the sheet, or write a job that fits it."


@dataclass(frozen=True)
class AskedOfNoWorksheet(Fault):
    """Failure modes whose jobs or engines give no worksheet here: nothing was looked at for what catches them. Told
    beside the worksheets."""

    rows: tuple[str, ...]

    @property
    def said(self) -> str:
        many, more = counted(len(self.rows), "failure mode"), len(self.rows) - ROWS_NAMED
        rows = f"{', '.join(self.rows[:ROWS_NAMED])}{f', and {more} more' if more > 0 else ''}"
        return f"{many} could not be checked on any worksheet, because the job or the sheet is not here: {rows}."

    write = "Correct  where:  or  engine:  of these. If the shop has no such thing, leave them as they are."


@dataclass(frozen=True)
class NoFailureModes(Fault):
    """A library without a list of failure modes: nothing says what a job must catch. Told beside the worksheets."""

    said = "no failure modes are listed, so no job was checked for steps that catch them."
    write = "Write {place.file}/failure_modes.yml, starting with  failure_modes:"


@dataclass(frozen=True)
class WasStillThere(Fault):
    """`was` gives a step the entries of an id that is gone. An id that a step still has keeps its entries."""

    step: str
    old: str

    @property
    def said(self) -> str:
        if self.old == self.step:
            return f'step "{self.step}" says that it was "{self.old}", which is its own id.'
        return f'step "{self.step}" says that it was "{self.old}", but another step of this job still has that id.'

    write = "Write the id that this step had before, or leave was out."


@dataclass(frozen=True)
class WasTwice(Fault):
    """The entries of an old id go to one step. The second that claims them would get none."""

    step: str
    old: str
    first: str

    said = 'step "{step}" says that it was "{old}", but step "{first}" says so already.'
    write = "Leave was out of one of the two. Whoever did the old step does that one again."


@dataclass(frozen=True)
class StopDoesNotHold(Fault):
    """A failure that stops the job stands at a step that lets the work after it go on."""

    step: str

    said = 'a failure of step "{step}" stops the job, but later steps can still be done.'
    write = "Write  hold: yes  in the step, or delete  stop: yes."


@dataclass(frozen=True)
class ProofTooWeak(Fault):
    """The timing is proved by something weaker than an inspection that holds and can fail."""

    step: str
    item: str

    said = 'step "{step}" is too weak a proof of "{item}".'
    write = "Write  hold: yes,  check: {{inspect: {{...}}}}  and  if_failed: {{...}}  with a step to go back to."


@dataclass(frozen=True)
class ProofTooEarly(Fault):
    """Something is closed without the check-off that its kind asks for in between: turns by hand, a wait under load."""

    step: str
    item: str
    check: str

    said = 'step "{step}" closes "{item}", but no "{check}" stands between the step that opens it and this one.'
    write = "Add a step with  check: {{{check}: ...}}  in between. The trade's file asks for it:  after: {check}."


@dataclass(frozen=True)
class WaitForNothing(Fault):
    """A wait that no step waits for."""

    step: str

    said = 'step "{step}" is a wait, but no step waits for it.'

    @property
    def write(self) -> str:
        return f"Write  after: [{self.step.rsplit('/', 1)[-1]}]  in the step that must not start before it is over."


@dataclass(frozen=True)
class SignsASignature(Fault):
    """A second look is of another second look."""

    step: str
    other: str

    said = 'step "{step}" is a second look at "{other}", which is itself a second look.'
    write = "Name under  of:  the steps whose work is checked."


@dataclass(frozen=True)
class RefusesALook(Fault):
    """A customer refuses work. Whether somebody looks at it a second time is not theirs to say."""

    step: str

    said = 'step "{step}" is a second look by somebody qualified, which no customer can refuse.'
    write = "Delete  may_refuse: yes."


@dataclass(frozen=True)
class NobodySigns(Fault):
    """A job would stand still at a signature that nobody of the shop may give."""

    step: str
    roles: tuple[str, ...]
    here: tuple[str, ...]

    said = 'step "{step}" must be signed by somebody qualified, and nobody here is.'
    write = (
        "Give one of the people the role {roles:or}, or write  qualified: yes  in the trade file at a role that "
        "somebody has: {here:listed}."
    )


@dataclass(frozen=True)
class CompletionMissing(Fault):
    """A procedure that stands alone has no completion item."""

    procedure: str

    said = 'procedure "{procedure}" stands alone, but has no completion item.'
    write = "Write  completion: yes  in its last step."


@dataclass(frozen=True)
class CompletionNotLast(Fault):
    """A step comes after the completion item."""

    step: str
    last: str

    said = 'step "{step}" completes the job, but step "{last}" comes after it.'
    write = "Make the completion item the last step."


@dataclass(frozen=True)
class LeaveTooEasy(Fault):
    """A hold, a gate or a deciding finding says it may be left out."""

    step: str
    leave: str

    said = 'step "{step}" says  leave: {leave},  but nobody may leave out a hold, gate or finding.'
    write = "Delete  leave:  from the step."


# --- Failure modes -----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class UnknownLandmark(UndeclaredName):
    """A failure row is placed by a landmark that the job does not have."""

    row: str
    name: str
    known: tuple[str, ...]

    said = 'failure "{row}" is placed by landmark "{name}", which the job does not have.'
    otherwise = "put that landmark on a step"


@dataclass(frozen=True)
class NotCaught(Fault):
    """A failure that a job must catch is caught by no step, or by fewer than it takes."""

    row: str
    failure: str
    job: str
    engine: str

    said = '"{failure}" is not caught in {job} for {engine}: no step says it catches this, or too few do.'
    write = "Write  catches: [{row}]  in a step that is strong enough, in the right place."


NOT_HELD = "is not a hold point"
"""Why a step does not catch a failure that work must not go past."""
NOT_STOPPED = "does not stop the job when it fails"
"""Why a step does not catch a failure after which the work must not go on."""


@dataclass(frozen=True)
class CatchTooWeak(Fault):
    """A step says that it catches a failure, and is too weak for it or in the wrong place. Then nothing catches it."""

    step: str
    row: str
    failure: str
    why: str

    said = 'step "{step}" should catch "{failure}", but it {why}.'

    @property
    def write(self) -> str:
        if self.why == NOT_HELD:
            return f"Write  hold: yes  in this step. failure_modes.yml asks for it in row {self.row}."
        if self.why == NOT_STOPPED:
            return f"Write  stop: yes  below its if_failed. failure_modes.yml asks for it in row {self.row}."
        return f"Change the step as row {self.row} of failure_modes.yml asks, or let a stronger step catch it."
