"""By how much a torque wrench may be off, against ISO 6789 as wrench makers quote it; the standard was not seen."""

from __future__ import annotations

import pytest

from generator.quantities.fasteners.wrench import WrenchScale, accuracy, pick, tolerance_of

# Type and class, greatest torque in N.m: share of the reading.
SHARES = [
    ("II A", 340, 0.04),  # a click wrench's manual, read: 4 % where the greatest is above 10 N.m,
    ("II A", 10, 0.06),  # 6 % where it is 10 N.m
    ("II A", 10.5, 0.04),  # the same
    ("II A", 5, 0.06),  # the same
    ("I A", 340, 0.06),  # from memory: a bar that bends
    ("I D", 8, 0.06),  # from memory: a screwdriver with a dial
    ("II D", 340, 0.06),  # from memory: screwdrivers and bars that are set
    ("II G", 340, 0.06),  # the same
    ("II B", 340, 0.04),  # from memory: set to one torque for good
    ("I B", 340, 0.04),  # from memory: a dial
    ("I C", 340, 0.04),  # from memory: a display
]


@pytest.mark.parametrize(("iso", "greatest", "share"), SHARES)
def test_a_wrench_may_be_off_by_the_share_of_its_class(iso, greatest, share):
    assert accuracy(iso, greatest) == share


def test_the_greatest_torque_counts_whatever_its_unit():
    """88 lbf.in are 9.94 N.m, 89 lbf.in 10.06 N.m; worked out."""
    small, larger = (WrenchScale("small", 10, high, 1, "lbf.in") for high in (88, 89))
    assert tolerance_of(small, 5) == pytest.approx(0.3)
    assert tolerance_of(larger, 5) == pytest.approx(0.2)


def test_where_the_maker_states_no_tolerance_the_class_decides():
    """25 N.m on a click wrench of 5 to 50 N.m: 4 % are 1 N.m. In steps of 2 N.m, 24 and 26 are just inside."""
    click = WrenchScale("click", 4, 50, 2)
    assert [(one.number, one.tolerance, one.inside) for one in pick(25, None, [click])] == [(26, 1.0, True)]
    assert [one.inside for one in pick(25, 0.9, [click])] == [False]
