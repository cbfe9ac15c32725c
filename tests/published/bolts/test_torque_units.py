"""Units of torque against NIST SP 811, pint 0.25.3 and fluids 1.3.1."""

from __future__ import annotations

import pint
import pytest
from fluids import constants

from generator.quantities.quantity import Quantity
from generator.quantities.spellings import torque_of, torque_unit
from generator.quantities.units import KINDS, UNITS, from_base, to_base

REGISTRY = pint.UnitRegistry()
# Our unit, to pint, by fluids' constants, N.m as printed.
PRINTED = [
    ("N.m", "N*m", 1, 1),
    ("lbf.ft", "lbf*ft", constants.lbf * constants.foot, 1.355818),  # SP 811, from memory
    ("lbf.in", "lbf*inch", constants.lbf * constants.inch, 0.112985),  # a public table of SI factors, read
    ("kgf.m", "kgf*m", constants.kgf, 9.80665),  # exact; pint
    ("kgf.cm", "kgf*cm", constants.kgf / 100, 0.0980665),  # exact; pint
]
# Worked out with pint 0.25.3.
CONVERTED = [
    (25, "lbf.ft", 33.895, "N.m"),
    (2.5, "kgf.m", 24.517, "N.m"),
    (2.5, "kgf.m", 18.08, "lbf.ft"),
    (25, "kgf.cm", 2.4517, "N.m"),
    (75, "N.m", 55.32, "lbf.ft"),
    (75, "N.m", 663.8, "lbf.in"),
]


def test_every_unit_of_torque_is_here():
    assert tuple(row[0] for row in PRINTED) == KINDS["torque"]


@pytest.mark.parametrize(("unit", "to_pint", "by_constants", "printed"), PRINTED)
def test_a_unit_of_torque_is_as_big_as_printed(unit, to_pint, by_constants, printed):
    assert UNITS[unit].scale == pytest.approx(printed, rel=2e-6)
    assert UNITS[unit].scale == pytest.approx(by_constants, rel=1e-12)
    assert UNITS[unit].scale == pytest.approx(REGISTRY.Quantity(1, to_pint).to("N*m").magnitude, rel=1e-14)


@pytest.mark.parametrize(("number", "unit", "gives", "other"), CONVERTED)
def test_a_worked_conversion_comes_out(number, unit, gives, other):
    digits = 10 ** -len(str(gives).partition(".")[2]) / 2
    assert from_base(to_base(number, unit), other) == pytest.approx(gives, abs=digits * 1.001)


@pytest.mark.parametrize(
    ("text", "ours"),
    [("Nm", "N.m"), ("ftlb", "lbf.ft"), ("ft*lb", "lbf.ft"), ("kgm", "kgf.m"), ("kgfm", "kgf.m"), ("inch_pound", None)],
)
def test_what_pint_misreads_is_a_torque_here_or_nothing(text, ours):
    """Nm is yarn to pint 0.25.3, ftlb a weight, ft*lb a length times a mass; the others it does not know. Tried."""
    try:
        meant = REGISTRY.Quantity(1, text).check("[force] * [length]")
    except pint.UndefinedUnitError:
        meant = False
    assert not meant
    assert torque_unit(text) == ours
    assert torque_of(f"5 {text}") == (ours and Quantity("5", ours))
