"""What a vacuum gauge may show before coolant boils, against a US Army manual and CoolProp 8.0.0."""

from __future__ import annotations

import pytest

from generator.quantities.units import from_base, to_base
from tests.published.worked import vapour

SEA_LEVEL = 101.325
# US Army TM 5-3805-292-23, read on a public page: whole degC, inHg of vacuum that boils water at sea level.
ARMY = [(38, 28), (32, 28.5), (27, 28.8), (21, 29.2)]
# CoolProp 8.0.0 and Raoult's law: degC, greatest vacuum in inHg over water, over half mix, at sea level.
HOT = [(20, 29.2, 29.4), (60, 24.0, 25.5), (80, 15.9, 19.3), (90, 9.2, 14.2)]


def greatest(mix: float, temperature: float) -> float:
    """Return the inHg below the outside air at which a mix, % by volume, begins to boil."""
    return from_base(to_base(SEA_LEVEL - vapour(mix, temperature), "kPa"), "inHg(vac)")


@pytest.mark.parametrize(("temperature", "vacuum"), ARMY)
def test_water_boils_at_the_vacuum_the_army_printed(temperature, vacuum):
    assert greatest(0, temperature) == pytest.approx(vacuum, abs=0.1)


@pytest.mark.parametrize(("temperature", "water", "mix"), HOT)
def test_hot_coolant_allows_less_vacuum(temperature, water, mix):
    assert greatest(0, temperature) == pytest.approx(water, abs=0.06)
    assert greatest(50, temperature) == pytest.approx(mix, abs=0.06)
