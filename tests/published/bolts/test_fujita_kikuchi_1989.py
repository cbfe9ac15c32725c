"""Vapour pressure of the half mix against measured mixes: Fujita and Kikuchi, Trans. JSRAE 6 (1989) 183, its abstract.

Measured from -10 to 60 degC and 20 to 50 % by mass, so half mix (52.7 %) lies a little beyond. The abstract prints a
plus before the fraction; only a minus makes water boil at 100 degC, which is looked at first.
"""

from __future__ import annotations

import pytest

from tests.published.lookup import read
from tests.published.worked import vapour

HALF = 52.7  # % by mass


def measured(temperature: float, mass: float) -> float:
    """kPa."""
    return 101.325 * 10 ** (5.351 - 6.4e-4 * mass - (1817 + 0.008 * mass * (mass + 10)) / (temperature + 240))


def test_with_a_minus_the_correlation_is_waters_at_no_glycol():
    for temperature in (0, 20, 40, 60, 100):
        assert measured(temperature, 0) == pytest.approx(read("vapour_pressure_of_water", temperature), rel=0.02)


@pytest.mark.parametrize("temperature", [0, 10, 20, 30, 40, 50, 60])
def test_the_law_lies_on_the_measured_pressure_or_above_it(temperature):
    """Above means that less vacuum is called safe: at most 7 %, where there is hardly any vapour anyway."""
    above = vapour(50, temperature) / measured(temperature, HALF) - 1
    assert 0 < above < 0.08 if temperature < 20 else -0.005 < above < 0.05
