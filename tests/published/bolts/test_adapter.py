"""The setting with an adapter on, against manuals that work it through. Angle: 0 straight on, 90 square."""

from __future__ import annotations

import datetime
import functools
import itertools
from typing import Any

import pytest

from generator.compile.calculators import group_of
from generator.quantities.fasteners.wrench import adapted, received, setting
from generator.quantities.formulas.evaluation import Unknown
from generator.quantities.quantity import Quantity
from generator.quantities.units import from_base, to_base
from generator.terminal import trial
from tests.support import demo

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


# --- the calculators page ---------------------------------------------------------------------------------------------


@functools.cache
def group():
    """What the library's procedure gives the calculators page, as `handturn try` works it out."""
    library = demo.library()
    return group_of(library, library.procedures["torque-adapter"])


def tried(lever: float, adapter: float, angle: float, torque: float) -> dict[str, Any]:
    """Work it out for lengths in mm; the torque is both wanted and set. Return {result: (value, verdict)}."""
    typed = {"wrench_lever": f"{lever}mm", "adapter_length": f"{adapter}mm", "adapter_angle": f"{angle}deg",
             "torque_wanted": f"{torque}N.m", "wrench_set": f"{torque}N.m"}  # fmt: skip
    worked = trial.answers(group(), typed, datetime.date(2026, 11, 29), sure=True)
    return {one.name: (one.value, one.verdict) for one in worked}


REACHES = itertools.product((200, 300, 450), (0, 40, 100, 150, 151, 225, 301), (0, 45, 90, 120, 180))


def test_the_calculators_page_gives_what_the_command_gives_and_refuses_what_it_refuses():
    names = {"wrench_setting": setting, "bolt_gets": received}
    for (lever, adapter, angle), (name, works) in itertools.product(REACHES, names.items()):
        told = tried(lever, adapter, angle, 25)
        found = works(25, lever / 1000, adapter / 1000, angle)
        value = told[name][0]
        if isinstance(found, Unknown):
            assert (value, told["adapter_reach"][1]) == (None, "Not possible")
        else:
            assert value == pytest.approx(found, rel=1e-9) and told["adapter_reach"][1] == "Possible"


def test_the_helicopters_setting_comes_out_on_the_calculators_page():
    """135 lbf.in with 10 in and 1.5 in: 117.39; a US Army manual's 60 lbf.in on 12 in with 2 in: 70. Read in public."""
    told = tried(254, 38.1, 0, 10)
    assert told["wrench_setting"][0] / 10 == pytest.approx(117.39 / 135, abs=0.0001)
    assert tried(304.8, 50.8, 0, 6)["bolt_gets"][0] == pytest.approx(7)
