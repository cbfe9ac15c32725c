"""Degrees of a tooth, and when belt lines meet again, against figures worked out by hand.

Crank to cam is 2 to 1 (any text on belt drives): of z teeth on the crank sprocket, one is 360/z degrees of crank and
180/z of cam. Belt, crank and cam marks all meet again after lcm(B, 2z)/z turns of the crank, B the belt's teeth.
"""

from __future__ import annotations

import pytest

from generator.quantities.units import from_base, to_base
from tests.published.worked import work

# Teeth of the crank sprocket: degrees of crank, of cam for one tooth.
A_TOOTH = [(24, 15, 7.5), (29, 12.414, 6.207), (25, 14.4, 7.2)]
# Teeth of the belt, of the crank sprocket: turns of the crank until all marks meet again.
MEET = [(173, 29, 346), (174, 29, 6), (252, 26, 126), (171, 28, 342), (118, 25, 118)]


def degrees(answer) -> float:
    return from_base(to_base(answer.value, answer.unit), "deg")


@pytest.mark.parametrize(("teeth", "crank", "cam"), A_TOOTH)
def test_a_tooth_is_so_many_degrees(teeth, crank, cam):
    worked = work("prove-timing", crank_teeth=str(teeth))
    assert degrees(worked["crank_a_tooth"]) == pytest.approx(crank, abs=0.0005)
    assert degrees(worked["cam_a_tooth"]) == pytest.approx(cam, abs=0.0005)


@pytest.mark.parametrize("out", [1, 2, 3])
@pytest.mark.parametrize(("teeth", "crank", "cam"), A_TOOTH)
def test_marks_out_by_some_teeth_are_out_by_as_many_times_that(teeth, crank, cam, out):
    worked = work("prove-timing", crank_teeth=str(teeth), teeth_out=str(out))
    assert degrees(worked["crank_out"]) == pytest.approx(out * crank, abs=0.002)
    assert degrees(worked["cam_out"]) == pytest.approx(out * cam, abs=0.002)
    assert worked["crank_out"].bad


def test_no_tooth_out_is_in_time():
    worked = work("prove-timing", crank_teeth="24", teeth_out="0")
    assert (worked["crank_out"].value, worked["crank_out"].bad) == (0, False)


@pytest.mark.parametrize(("belt", "crank", "turns"), MEET)
def test_belt_lines_meet_the_marks_again_after_so_many_turns(belt, crank, turns):
    assert work("prove-timing", belt_teeth=str(belt), crank_teeth=str(crank))["turns_to_meet"].value == turns


@pytest.mark.parametrize(("belt", "crank", "turns"), MEET)
def test_turning_a_belt_tooth_by_tooth_gives_the_same(belt, crank, turns):
    """No formula: the crank turns until belt and cam have come round whole."""
    turned = next(n for n in range(1, 1000) if n * crank % belt == 0 and n % 2 == 0)
    assert turned == turns


def test_after_two_turns_belt_lines_need_not_meet():
    """So two check turns prove sprocket marks, never belt lines."""
    assert all(turns > 2 for _, _, turns in MEET)
