"""Units against pint 0.25.3's default registry and NIST SP 811."""

from __future__ import annotations

import pint
import pytest

from generator.quantities.units import UNITS, from_base, to_base

# Our unit, what it is to pint, pint's base.
AS_PINT_SAYS = [
    ("N.m", "N*m", "N*m"),
    ("lbf.ft", "lbf*ft", "N*m"),
    ("lbf.in", "lbf*inch", "N*m"),
    ("kgf.m", "kgf*m", "N*m"),
    ("kPa", "kilopascal", "Pa"),
    ("Pa", "pascal", "Pa"),
    ("bar", "bar", "Pa"),
    ("mbar", "millibar", "Pa"),
    ("hPa", "hectopascal", "Pa"),
    ("psi", "psi", "Pa"),
    ("inHg", "inHg", "Pa"),
    ("mmHg", "mmHg", "Pa"),
    ("kgf/cm2", "kgf/cm**2", "Pa"),
    ("bar(g)", "bar", "Pa"),
    ("psi(g)", "psi", "Pa"),
    ("inHg(vac)", "inHg", "Pa"),
    ("mm", "mm", "m"),
    ("in", "inch", "m"),
    ("ft", "foot", "m"),
    ("km", "km", "m"),
    ("mi", "mile", "m"),
    ("min", "minute", "s"),
    ("h", "hour", "s"),
    ("day", "day", "s"),
    ("week", "week", "s"),
    ("L", "liter", "m**3"),
    ("mL", "milliliter", "m**3"),
    ("qt", "quart", "m**3"),
    ("gal", "gallon", "m**3"),
    ("g/(m.mm)", "g/m/mm", "kg/m**2"),
    ("g/m", "g/m", "kg/m"),
    ("rpm", "1/minute", "Hz"),
    ("mV", "millivolt", "V"),
    ("mA", "milliampere", "A"),
    ("kohm", "kiloohm", "ohm"),
    ("kW", "kilowatt", "W"),
    ("L/min", "liter/minute", "m**3/s"),
    ("m3/h", "m**3/hour", "m**3/s"),
    ("mg/L", "mg/liter", "kg/m**3"),
    ("%", "percent", ""),
]
# NIST SP 811, from memory, and pint 0.25.3 alike: unit, in N.m, Pa.
EXACT = [
    ("lbf.ft", 1.355_817_948),
    ("lbf.in", 0.112_984_829),
    ("kgf.m", 9.80665),
    ("inHg", 3386.389),
    ("mmHg", 133.322),
    ("psi", 6894.757),
    ("kgf/cm2", 98066.5),
    ("bar", 100000),
]
# Worked out with pint 0.25.3.
CONVERTED = [
    (25, "lbf.ft", 33.895, "N.m"),
    (2.5, "kgf.m", 24.517, "N.m"),
    (2.5, "kgf.m", 18.08, "lbf.ft"),
    (75, "N.m", 55.32, "lbf.ft"),
    (75, "N.m", 663.8, "lbf.in"),
    (139.3, "kPa", 20.2, "psi"),  # a maker's text prints 119.9 beside it
    (1.4, "kgf/cm2", 137.3, "kPa"),
    (125, "degC", 257, "degF"),  # another prints 262
    (-40, "degC", -40, "degF"),
]


@pytest.fixture(scope="module")
def registry():
    return pint.UnitRegistry()


@pytest.mark.parametrize(("unit", "theirs", "base"), AS_PINT_SAYS)
def test_a_unit_is_as_big_as_pint_says(registry, unit, theirs, base):
    assert to_base(1, unit) == pytest.approx(registry.Quantity(1, theirs).to(base).magnitude, rel=1e-12)


@pytest.mark.parametrize("temperature", [-40.0, -18.0, 0.0, 37.5, 121.0])
@pytest.mark.parametrize(("unit", "theirs"), [("degC", "degC"), ("degF", "degF")])
def test_a_temperature_is_as_warm_as_pint_says(registry, unit, theirs, temperature):
    assert to_base(temperature, unit) == pytest.approx(registry.Quantity(temperature, theirs).to("kelvin").magnitude)


@pytest.mark.parametrize(("unit", "size"), EXACT)
def test_a_unit_is_as_big_as_the_standards_guide_prints(unit, size):
    assert to_base(1, unit) == pytest.approx(size, rel=5e-7 if unit != "mmHg" else 5e-6)


@pytest.mark.parametrize(("number", "unit", "gives", "other"), CONVERTED)
def test_worked_conversions_come_out(number, unit, gives, other):
    digits = 10 ** -len(str(gives).partition(".")[2]) / 2
    assert from_base(to_base(number, unit), other) == pytest.approx(gives, abs=digits * 1.001)


def test_names_that_pint_reads_as_something_else_are_not_ours():
    """Nm is a number of yarn to pint, ftlb a weight, ft*lb a length of mass."""
    assert {"Nm", "ftlb", "ft*lb", "inch_pound", "kgfm", "kgm"} & set(UNITS) == set()


def test_an_inch_of_mercury_is_the_one_at_freezing_point():
    """The other one, of mercury at 60 degF, is 3376.85 Pa; a gauge with it is off by 0.3 %."""
    assert to_base(1, "inHg") != pytest.approx(3376.85, abs=5)
