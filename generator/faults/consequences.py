"""Faults that only follow from another fault: they would send a person to a line where nothing is wrong."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import singledispatch

from generator.faults.base import Fault
from generator.faults.engine import UnusedEngineValue
from generator.faults.failure import AnswerChangesNothing, ReadingNotThere, ValueNotThere
from generator.faults.job import (
    ClosedFirst,
    GateNeverPasses,
    LeavesOpenUnsaid,
    NeverClosed,
    NotCaught,
    TakesOverNothing,
)
from generator.faults.names import UnknownFailureMode
from generator.faults.procedure import OutcomeNotOffered, UnknownReading, UnknownValue, UnusedValue
from generator.faults.result import HoldNotShown, ReadingNeverTaken, UnknownResult
from generator.faults.wording import nearest

CAUSES = (
    UnknownValue, UnknownResult, UnknownReading, OutcomeNotOffered, UnknownFailureMode, NeverClosed, TakesOverNothing,
)  # fmt: skip
Follows = Callable[[Fault], bool]


MOST = 20
"""Causes that are looked at. In a file with more, a consequence too many does not matter."""


def causes(found: Iterable[Fault]) -> list[Fault]:
    """Return the faults without those that are mended by mending another one of them, in the order given."""
    found = list(found)
    known = [fault for fault in found if isinstance(fault, CAUSES)][:MOST]
    return [fault for fault in found if not any(map(follows_from(fault), known))]


def _meant(fault: Fault, wrong: str, right: str, cause: Fault) -> bool:
    """True if a name that the cause does not know is this name, misspelt in the same file."""
    return fault.place.file == cause.place.file and nearest(wrong, (right,)) == right


def _meant_at(step: str, wrong: str, right: str, thing: str) -> bool:
    """True if a name that a step does not know is this name, misspelt at the same step. `step` has its path in the
    job, the thing that the cause names has not."""
    return thing == f'step "{step.rpartition("/")[2]}"' and nearest(wrong, (right,)) == right


@singledispatch
def follows_from(fault: Fault) -> Follows:
    """Return what is true of a cause of this fault."""
    return lambda cause: False


@follows_from.register
def _(fault: UnusedValue) -> Follows:
    return lambda cause: isinstance(cause, UnknownValue) and _meant(fault, cause.name, fault.name, cause)


@follows_from.register
def _(fault: UnusedEngineValue) -> Follows:
    return lambda cause: isinstance(cause, UnknownValue) and cause.name == fault.name


@follows_from.register
def _(fault: HoldNotShown) -> Follows:
    return lambda cause: isinstance(cause, UnknownResult) and _meant(fault, cause.name, fault.name, cause)


@follows_from.register
def _(fault: ReadingNeverTaken) -> Follows:
    return lambda cause: isinstance(cause, UnknownReading) and nearest(cause.name, (fault.reading,)) is not None


@follows_from.register
def _(fault: NotCaught) -> Follows:
    return lambda cause: isinstance(cause, UnknownFailureMode) and nearest(cause.name, (fault.row,)) is not None


@follows_from.register
def _(fault: GateNeverPasses) -> Follows:
    return lambda cause: fault.closer is None and isinstance(cause, NeverClosed) and cause.item == fault.item


@follows_from.register
def _(fault: LeavesOpenUnsaid) -> Follows:
    return lambda cause: isinstance(cause, NeverClosed) and cause.place == fault.place


@follows_from.register
def _(fault: ClosedFirst) -> Follows:
    return lambda cause: isinstance(cause, TakesOverNothing) and _meant(fault, cause.item, fault.item, cause)


@follows_from.register
def _(fault: ValueNotThere) -> Follows:
    return lambda cause: isinstance(cause, UnknownValue) and _meant_at(fault.step, cause.name, fault.name, cause.thing)


@follows_from.register
def _(fault: ReadingNotThere) -> Follows:
    return lambda cause: (
        isinstance(cause, UnknownReading) and _meant_at(fault.step, cause.name, fault.name, cause.thing)
    )


@follows_from.register
def _(fault: AnswerChangesNothing) -> Follows:
    return lambda cause: (
        isinstance(cause, OutcomeNotOffered) and _meant_at(fault.step, cause.name, fault.answer, cause.thing)
    )
