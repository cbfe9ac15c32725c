"""A fault that only follows from another one is not told beside it; without its cause it is."""

from __future__ import annotations

import pytest

from generator.faults import Fault
from generator.faults.consequences import CAUSES, MOST, causes, follows_from
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
from generator.place import Place

HERE, LATER, ELSEWHERE = Place("a.yml", 1), Place("a.yml", 9), Place("b.yml", 1)
NEVER = NeverClosed(HERE, "strip", "hoses")
NOT_SO = OutcomeNotOffered(HERE, 'step "joint"', "not-s", ("right", "not-so"))
SLIP = UnknownValue(HERE, 'step "cure"', "cure_tme", ())
PAIRS: tuple[tuple[Fault, Fault], ...] = (
    (UnusedValue(LATER, "cure_time"), SLIP),
    (UnusedEngineValue(ELSEWHERE, "cure_tme", ()), SLIP),
    (HoldNotShown(LATER, "hose_over"), UnknownResult(HERE, "step", "hose_ovr", ())),
    (ReadingNeverTaken(ELSEWHERE, "step", "left", "drained"), UnknownReading(HERE, "step", "draind", ())),
    (NotCaught(ELSEWHERE, "pin-left-in", "A pin.", "job", "four"), UnknownFailureMode(HERE, "step", "pin-lft-in", ())),
    (GateNeverPasses(ELSEWHERE, "free", "starter", "hoses", None), NEVER),
    (LeavesOpenUnsaid(HERE, "strip", "hoses"), NEVER),
    (ClosedFirst(LATER, "on", "belt", ()), TakesOverNothing(HERE, "belt-on", "belts", ("belt",))),
    (ValueNotThere(ELSEWHERE, "pump/cure", "not-cured", "cure_time", ("cure_tme",)), SLIP),
    (
        ReadingNotThere(ELSEWHERE, "left/teeth", "a-tooth-out", "teeth", ("teth",)),
        UnknownReading(HERE, 'step "teeth"', "teth", ()),
    ),
    (AnswerChangesNothing(HERE, "pump/joint", "pasted", "not-so"), NOT_SO),
)
UNRELATED: tuple[tuple[Fault, Fault], ...] = (
    (UnusedValue(LATER, "pump_way"), SLIP),
    (UnusedValue(ELSEWHERE, "cure_time"), SLIP),
    (UnusedEngineValue(ELSEWHERE, "cure_time", ()), SLIP),
    (ValueNotThere(ELSEWHERE, "pump/wait", "not-cured", "cure_time", ()), SLIP),
    (ValueNotThere(ELSEWHERE, "pump/cure", "not-cured", "pump_bolts", ("cure_tme",)), SLIP),
    (AnswerChangesNothing(HERE, "pump/face", "pasted", "not-so"), NOT_SO),
    (AnswerChangesNothing(HERE, "pump/joint", "pasted", "damaged"), NOT_SO),
    (GateNeverPasses(ELSEWHERE, "free", "starter", "hoses", "on"), NEVER),
    (GateNeverPasses(ELSEWHERE, "free", "starter", "lines", None), NEVER),
    (LeavesOpenUnsaid(LATER, "strip", "hoses"), NEVER),
    (ClosedFirst(ELSEWHERE, "on", "belt", ()), TakesOverNothing(HERE, "belt-on", "belts", ("belt",))),
)


@pytest.mark.parametrize(("fault", "cause"), PAIRS, ids=lambda one: type(one).__name__)
def test_what_follows_is_not_told_beside_its_cause(fault: Fault, cause: Fault) -> None:
    assert causes([fault, cause]) == [cause]
    assert causes([fault]) == [fault]


@pytest.mark.parametrize(("fault", "other"), UNRELATED, ids=lambda one: type(one).__name__)
def test_what_does_not_follow_is_told(fault: Fault, other: Fault) -> None:
    assert causes([fault, other]) == [fault, other]


def test_every_rule_and_every_cause_is_among_the_pairs() -> None:
    assert {type(fault) for fault, _ in PAIRS} == set(follows_from.registry) - {object}
    assert {type(cause) for _, cause in PAIRS} == set(CAUSES)


def test_no_more_causes_are_looked_at_than_a_person_would_read() -> None:
    many = [UnknownValue(HERE, "step", f"other{number}", ()) for number in range(MOST)]
    late = UnusedValue(LATER, "cure_time")
    assert causes([late, *many, SLIP]) == [late, *many, SLIP]
