"""The setting with an adapter on, against manuals that work it through. Angle: 0 straight on, 90 square."""

from __future__ import annotations

import pytest

from generator.quantities.quantity import Quantity
from generator.quantities.units import from_base, to_base
from generator.quantities.wrench import adapted, setting

# Wanted, unit, lever, adapter, unit, degrees: setting.
CASES = [
    (70, "lbf.in", 12, 2, "in", 0, 60, 0.005),  # a US Army manual, TM 9-254 page 91, read: set 60, the bolt gets 70
    (135, "lbf.in", 10, 1.5, "in", 0, 117.39, 0.005),  # a helicopter's maintenance manual, R66 20.4, read: 117
    (130, "N.m", 500, 150, "mm", 0, 100, 0.005),  # a tool seller's page, read: 500 made 650, 100 becomes 130
    (50, "N.m", 400, 50, "mm", 45, 45.94, 0.005),  # worked out
    (50, "N.m", 400, 50, "mm", 90, 50.00, 1e-9),  # the rule: TM 9-254, length is lever + adapter cos a; read
    (50, "N.m", 400, 50, "mm", 0, 44.44, 0.005),  # worked out
    (80, "N.m", 450, 75, "mm", 30, 69.91, 0.005),  # worked out
]


@pytest.mark.parametrize(("wanted", "unit", "lever", "adapter", "length", "angle", "expected", "within"), CASES)
def test_a_worked_setting_comes_out(wanted, unit, lever, adapter, length, angle, expected, within):
    found = setting(to_base(wanted, unit), to_base(lever, length), to_base(adapter, length), angle)
    assert from_base(found, unit) == pytest.approx(expected, abs=within)


def test_the_desk_says_what_the_helicopters_manual_says():
    """It prints 117 for 135 lbf.in with 10 in and 1.5 in."""
    said = adapted(Quantity("135", "lbf.in"), to_base(10, "in"), to_base(1.5, "in"), 0).says
    assert said == "Set 117.4 lbf.in and the bolt gets 135 lbf.in."


@pytest.mark.parametrize(("angle", "off"), [(85, 0.022), (95, -0.022)])
def test_five_degrees_from_square_are_two_percent(angle, off):
    """Adapter a quarter of the lever; worked out. What the bolt gets for the setting that was meant for square."""
    assert 50 / setting(50, 0.4, 0.1, angle) - 1 == pytest.approx(off, abs=0.0005)


def test_square_needs_no_correction_and_straight_on_the_most():
    """One public page has it the other way round. It is wrong."""
    settings = [setting(50, 0.4, 0.05, angle) for angle in (0, 30, 60, 90)]
    assert settings == sorted(settings)
    assert settings[-1] == pytest.approx(50, rel=1e-12)
