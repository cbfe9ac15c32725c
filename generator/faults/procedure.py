"""Every way a procedure can contradict itself, in the order in which it is checked."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault, UndeclaredName


@dataclass(frozen=True)
class SameStepTwice(Fault):
    """A step's id is its name for ever, in every record: two steps of one procedure cannot share it."""

    id: str
    first: int

    said = 'step "{id}" is written twice; the first is on line {first}.'
    write = "Give the newer one another id."


@dataclass(frozen=True)
class RetiredStep(Fault):
    """A retired id belongs to a step that old records still name, or to the steps of an include. Used again it would
    give their ticks to others."""

    thing: str
    id: str
    line: int

    said = '{thing} "{id}" has an id that line {line} lists as retired.'
    write = "Give it a new id. If a step moved here under a new id, put its old one under was."


@dataclass(frozen=True)
class UnknownValue(UndeclaredName):
    """A step uses a value that its procedure does not declare under `values`."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} uses value {name:quoted}, which this procedure does not declare."
    otherwise = "declare {name:quoted} under values"


@dataclass(frozen=True)
class NotComparable(Fault):
    """`at_most` and `at_least` set one value against another of the same kind."""

    name: str
    key: str
    kind: str
    other: str
    other_kind: str

    @property
    def said(self) -> str:
        if self.other == self.name:
            return f'value "{self.name}" has itself after "{self.key}".'
        return f'value "{self.name}" is a {self.kind}, and "{self.other}" after "{self.key}" is a {self.other_kind}.'

    write = "Name another value of the same kind, one that is a number, or leave {key} out."


@dataclass(frozen=True)
class NoRangeOfItsKind(Fault):
    """`from` and `to` say what a value can be: two figures of its kind, the lower one first."""

    name: str
    key: str
    text: str
    because: str
    units: tuple[str, ...]

    said = 'value "{name}" has {text} after "{key}", but {because}.'

    @property
    def write(self) -> str:
        return (
            f"Write a figure in {' or '.join(self.units)}, or leave {self.key} out." if self.units else "Leave it out."
        )


@dataclass(frozen=True)
class BraceLeftOpen(Fault):
    """A brace in a text begins a value's name and is closed right after it."""

    thing: str
    key: str

    said = '{thing} has a brace in "{key}" that is not around a name.'
    write = "Write a value's name in one pair of braces, {{pump_bolts}}, or leave the brace out."


@dataclass(frozen=True)
class ValueOutOfPlace(Fault):
    """Values with their sources are shown in `do` and `why`. In a caution, a label or an outcome the braces would be
    printed as they stand."""

    thing: str
    key: str
    name: str

    said = '{thing} has {{{name}}} in "{key}", where no value is shown.'
    write = "Say it in words here, and put the value in the step's do or why."


@dataclass(frozen=True)
class UnusedValue(Fault):
    """A declared value that nothing shows, checks or counts by. The shop would look it up for nothing."""

    name: str

    said = 'value "{name}" is declared, but no step uses it.'
    write = "Use it in a step, in the text as {{{name}}} or in the check-off, or delete it here."


@dataclass(frozen=True)
class UnknownReading(UndeclaredName):
    """A step measures a reading that its procedure does not declare under `readings`."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} measures {name:quoted}, which this procedure does not declare as a reading."
    otherwise = "declare {name:quoted} under readings"


@dataclass(frozen=True)
class WrongValueKind(Fault):
    """A check-off wants a value of a certain kind: tighten a torque or an angle, wait a time, turn a count."""

    thing: str
    check: str
    name: str
    kind: str
    wanted: tuple[str, ...]

    said = '{thing} has "{check}: {name}", but {name} is declared as {kind}, not {wanted:or}.'
    write = "Name a value of kind {wanted:or}, or declare {name} with kind: {wanted[0]}"


@dataclass(frozen=True)
class UnknownTool(UndeclaredName):
    """A step uses a tool that its procedure does not list under `needs`, so nobody would lay it out."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} uses tool {name:quoted}, which is not listed under needs."
    otherwise = "list {name:quoted} under needs, tools"


@dataclass(frozen=True)
class UnknownPart(UndeclaredName):
    """A step takes a part or consumable that its procedure does not list under `needs`, so nobody would order it."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} takes {name:quoted}, which is not listed under needs."
    otherwise = "list {name:quoted} under needs, parts or consumables"


@dataclass(frozen=True)
class OneOutcome(Fault):
    """An inspection with one possible answer is a tick. It finds something only if it can also find the other."""

    thing: str
    count: int

    @property
    def said(self) -> str:
        outcomes = "one outcome" if self.count else "no outcome"
        return f"{self.thing} has an inspection with {outcomes}; it needs two or more."

    write = "Write, for example:  check: {{inspect: {{dry: Dry, weeping: Weeping or wet}}}}"


@dataclass(frozen=True)
class OutcomeNotOffered(UndeclaredName):
    """`if_failed` names an answer that the step's own inspection does not offer."""

    thing: str
    name: str
    known: tuple[str, ...]

    said = "{thing} fails on outcome {name:quoted}, which its inspection does not offer."
    otherwise = "add it to the inspection"


@dataclass(frozen=True)
class OutcomesWithoutInspection(Fault):
    """`outcomes` under `if_failed` says which answers of an inspection are failures; other check-offs have none."""

    thing: str

    said = "{thing} lists failing outcomes, but its check-off is not an inspection."
    write = "Delete outcomes, or write an inspection:  check: {{inspect: {{...}}}}"


@dataclass(frozen=True)
class EveryOutcomeFails(Fault):
    """If every answer is a failure the step can never be closed."""

    thing: str

    said = "{thing} fails whatever the inspection finds."
    write = "Take the good answers out of outcomes, or add a good answer to the inspection."


@dataclass(frozen=True)
class NothingFails(Fault):
    """An inspection whose `if_failed` names none of its answers: whatever is found counts as good, and what was written
    for a failure is never shown."""

    thing: str
    offered: tuple[str, ...]

    said = "{thing} says what is done when it fails, but not which of its answers are failures."
    write = "Write below if_failed those that are:  outcomes: [...]  (its answers: {offered:listed})"


@dataclass(frozen=True)
class FailureSaysNothing(Fault):
    """Somebody whose check fails stands there with it. The step tells what to do, where to go back to, or that the job
    stops."""

    thing: str

    said = "{thing} has if_failed, but does not say what is done then."
    write = "Write below it  say: ...  with the words for the phone, or  back_to:  with a step, or  stop: yes"


@dataclass(frozen=True)
class NeverTaken(Fault):
    """A part that no step takes: the phone never asks whether the new one was fitted. Told beside the worksheets,
    because a list may have a spare one."""

    procedure: str
    name: str

    heading = "Listed under parts, and taken by no step"

    said = 'procedure "{procedure}" lists part "{name}", but none of its steps takes it.'
    write = "Write in the step that fits it  takes: [{name}]  or leave it, if it is only laid out."


@dataclass(frozen=True)
class WordNotThere(Fault):
    """A word that a step explains and does not have. Nobody looks for it there, and the one that was meant stays
    unexplained. Told beside the worksheets where a value that the step shows may have it on another sheet."""

    thing: str
    word: str

    heading = "Explained, and in no sheet's words"

    said = "{thing} explains {word:quoted}, which none of its texts has."
    write = "Write the word as the step has it, or delete it under words."


@dataclass(frozen=True)
class SecondCompletion(Fault):
    """One completion item ends the job; it is the last thing that anybody checks."""

    thing: str
    first: str
    line: int

    said = '{thing} is a second completion item; the first is step "{first}" on line {line}.'
    write = "Delete completion from one of the two."
