"""Each safe side of the library is what its figure is used for, and turned round it is noticed."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.quantities.safe_sides_harness import OTHER, SIDES, Side, beyond, declared, faults_when, has_fault
from tests.support.node import Phone


@pytest.fixture(scope="module")
def phone() -> Iterator[Phone]:
    one = Phone()
    yield one
    one.close()


def test_every_side_that_is_declared_is_judged_by_hand_and_no_other() -> None:
    assert {(one.procedure, one.result) for one in declared()} == set(SIDES)
    assert len(SIDES) > 25


@pytest.mark.parametrize("one", declared(), ids=lambda one: f"{one.procedure}-{one.result}")
def test_a_side_that_is_turned_round_is_noticed(phone: Phone, one: Side) -> None:
    assert faults_when(one, one.safe) == []
    assert list(beyond(one, one.safe, phone)) == []
    assert list(beyond(one, OTHER[one.safe], phone))


def test_check_notices_each_that_a_limit_of_its_procedure_judges() -> None:
    seen = {(one.procedure, one.result) for one in declared() if has_fault(one, OTHER[one.safe])}
    assert len(seen) > 15 and {
        ("pressure-test", "test_at"), ("pressure-test-full", "test_at"), ("cold-re-check", "protects_now"),
        ("coolant-choice", "protects_to"), ("heat-test", "boils_at"), ("refill-vacuum", "vacuum_boils"),
        ("cap-off", "hose_over"), ("heat-test", "air_at_cap"),
    } <= seen  # fmt: skip
