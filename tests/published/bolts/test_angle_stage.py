"""What an angle adds: the springs of Shigley's Mechanical Engineering Design, 9th edition, chapter 8.

Worked examples read in public: page 443, and two problems of its solutions. Inches, pounds and psi are turned into mm,
kN and kN/mm2 here.
"""

from __future__ import annotations

import math

import pytest

from generator.quantities.fasteners.preload import strength_of, stress_area, thread_of, yield_load
from generator.quantities.fasteners.stretch import (
    ALUMINIUM,
    STEEL,
    added_pull,
    bolt_spring,
    joint_spring,
    parts_spring,
    sane_turn,
)

POUND = 0.0044482216  # kN
MLBF_IN = 1e6 * POUND / 25.4  # kN/mm of a million pounds an inch
MPSI = 1e6 * POUND / 25.4**2  # kN/mm2
EIGHT = thread_of("5/8-11")


def test_the_spring_of_a_bolt_comes_out():
    """5/8-11, 0.75 in shank and 0.75 in thread, 30 Mpsi: 5.21 Mlbf/in."""
    assert bolt_spring(EIGHT, 0.75 * 25.4, 0.75 * 25.4, 30 * MPSI) / MLBF_IN == pytest.approx(5.21, abs=0.01)


def test_the_spring_of_the_parts_comes_out():
    """The same, a grip of 1.5 in of cast iron with 14 Mpsi: 8.95 Mlbf/in, and by another formula 8.81."""
    found = parts_spring(EIGHT.d, 1.5 * 25.4, 14 * MPSI) / MLBF_IN
    assert found == pytest.approx(8.95, abs=0.01)
    assert 14 * 0.625 * 0.77871 * math.exp(0.61616 * 0.625 / 1.5) == pytest.approx(found, rel=0.02)


@pytest.mark.parametrize(("shank", "threaded", "spring"), [(15, 30, 466.8), (10, 16, 744)])
def test_two_metric_bolts_of_its_solutions_come_out(shank: float, threaded: float, spring: float):
    """M12, 207 GPa: 466.8 and 744 MN/m. It rounds the areas to 113 and 84.3 mm2."""
    first = (threaded, shank) if spring == 466.8 else (shank, threaded)
    assert bolt_spring(thread_of("M12"), *first, 207) == pytest.approx(spring, rel=0.003)


def test_parts_are_as_stiff_as_a_cone_cut_into_slices():
    """Equation 8-22 against the integral that it comes from: two cones of 30 degrees, faces 1.5 d, a hole of d."""
    d, grip, slices = 10.0, 60.0, 20_000
    step, soft = grip / 2 / slices, 0.0
    for at in range(slices):
        wide = 1.5 * d + 2 * (at + 0.5) * step * math.tan(math.radians(30))
        soft += step / (ALUMINIUM * math.pi / 4 * (wide**2 - d**2))
    assert parts_spring(d, grip, ALUMINIUM) == pytest.approx(1 / (2 * soft), rel=0.001)


def test_a_joint_is_softer_than_either_and_two_ends_hold_what_is_in_between():
    thread, grip = thread_of("M10x1.25"), 60.0
    soft, stiff = joint_spring(thread, "10.9", grip)
    some = bolt_spring(thread, 35, 25, STEEL), parts_spring(thread.d, grip, ALUMINIUM)
    between = 1 / (1 / some[0] + 1 / some[1])
    assert soft < between < stiff < bolt_spring(thread, grip, 0, STEEL)
    assert stress_area(thread) * STEEL / grip > soft


def test_an_angle_adds_by_pitch_and_turn():
    thread = thread_of("M10x1.25")
    quarter, half = (added_pull(thread, "10.9", 60, degrees) for degrees in (90, 180))
    assert half == pytest.approx([2 * end for end in quarter])
    assert quarter == pytest.approx([1.25 / 4 * spring for spring in joint_spring(thread, "10.9", 60)])
    assert all(a < b for a, b in zip(added_pull(thread, "10.9", 90, 90), quarter, strict=True)), "long bolts are softer"


@pytest.mark.parametrize("cls", ["8.8", "10.9", "12.9"])
@pytest.mark.parametrize(("thread", "grip"), [("M8", 30), ("M10x1.25", 60), ("M10", 110), ("M12x1.5", 120), ("M6", 20)])
def test_usual_stages_are_sane_and_ten_times_as_much_or_a_tenth_is_not(cls: str, thread: str, grip: float):
    """60 and 90 degrees after a snug torque. common practice, no source. Of a tenth, 6 and 9 degrees, only long bolts'
    are told: of a short one a few degrees are much."""
    bolt = thread_of(thread)
    low, high = sane_turn(bolt, cls, strength_of(cls, bolt), grip)
    assert low <= 60 and high >= 90
    assert high < 1800 and (low > 6 or grip <= 60)
    assert added_pull(bolt, cls, grip, low)[1] >= 0.1 * yield_load(bolt, strength_of(cls, bolt)) * (1 - 1e-9)


def test_no_growth_no_sane_angle():
    bolt = thread_of("M8")
    assert sane_turn(bolt, "A2-70", strength_of("A2-70", bolt), 40) is None
