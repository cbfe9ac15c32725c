"""The rule torque = K times pull times diameter against Shigley's Mechanical Engineering Design, 9th edition.

A page of its chapter 8 was read in public for the data; an inch thread has the same profile as a metric one.
"""

from __future__ import annotations

import pytest

from generator.quantities.fasteners.preload import (
    Thread,
    lever_of,
    nut_factor,
    proof_load,
    strength_of,
    stress_area,
    thread_of,
)
from generator.quantities.units import from_base, to_base

INCH = 25.4
POUND = to_base(1, "lbf.in") / 0.0254
# 3/4 in - 16 UNF and its collar, 1.25 times as wide.
THREE_QUARTERS = Thread(0.75 * INCH, INCH / 16)
COLLAR = 1.25 * THREE_QUARTERS.d
PULL = 25_000 * POUND


def in_pound_inches(newton_millimetres: float) -> float:
    return from_base(newton_millimetres / 1000, "lbf.in")


def test_the_rule_with_a_fifth_gives_3750():
    """Example 8-3, K 0.2: data read, product worked out."""
    assert in_pound_inches(0.2 * PULL * THREE_QUARTERS.d) == pytest.approx(3750)


def test_thread_and_collar_friction_of_015_give_3551():
    """Example 8-3 with the full equation: from memory, and worked out with pitch diameter 0.7094 in. K is 0.1894."""
    assert in_pound_inches(PULL * lever_of(THREE_QUARTERS, 0.15, COLLAR)) == pytest.approx(3551, rel=0.002)
    assert nut_factor(THREE_QUARTERS, 0.15, COLLAR) == pytest.approx(0.1894, abs=0.0005)


def test_the_preload_stress_of_the_example():
    """25 kip over 0.373 square inches: 67.02 kpsi, read. Inch tables take off 0.9743 pitches, ISO 0.9382."""
    area = stress_area(THREE_QUARTERS) / INCH**2
    assert 25 / area == pytest.approx(67.02, rel=0.007)
    assert area * ((0.75 - 0.9743 / 16) / (0.75 - 0.938194 / 16)) ** 2 == pytest.approx(0.373, abs=0.0005)


@pytest.mark.parametrize(("factor", "torque"), [(0.20, 30.9), (0.15, 23.2)])
def test_three_eighths_dry_and_oiled(factor, torque):
    """3/8 in - 16 of grade 5, 4940 lbf: 30 and 23 lbf.ft on a public page, which rounds 30.9 down; worked out."""
    assert from_base(factor * 4940 * POUND * 0.375 * 0.0254, "lbf.ft") == pytest.approx(torque, abs=0.05)


@pytest.mark.parametrize(("thread", "plain", "slope"), [("M8", 0.025, 1.166), ("M10", 0.024, 1.164)])
def test_the_factor_of_a_metric_bolt_rises_in_a_line_with_friction(thread, plain, slope):
    """Worked out from the formula of VDI 2230: so the usual K of 0.2 is a friction of 0.15."""
    thread = thread_of(thread)
    assert nut_factor(thread, 0) == pytest.approx(plain, abs=0.0005)
    assert nut_factor(thread, 1) - nut_factor(thread, 0) == pytest.approx(slope, abs=0.0005)
    assert nut_factor(thread, 0.15) == pytest.approx(0.2, abs=0.0015)


def test_three_quarters_of_proof_on_a_common_bolt():
    """M8 8.8, 75 % of proof with 36.6 mm2, K 0.2: 15.92 kN and 25.47 N.m, worked out."""
    thread = thread_of("M8")
    pull = 0.75 * proof_load(thread, strength_of("8.8", thread))
    assert pull == pytest.approx(15.92, abs=0.005)
    assert 0.2 * pull * thread.d == pytest.approx(25.47, abs=0.01)
