"""The boiling margin's formula against steam from CoolProp 8.0.0 and half mix after Raoult's law."""

from __future__ import annotations

import pytest

from tests.published.worked import work

# bar above the air outside at sea level: degC at which water boils, half ethylene glycol boils.
CAPS = [(0.9, 118.8, 127.5), (1.0, 120.4, 129.2), (1.1, 122.0, 130.8), (1.4, 126.3, 135.3)]


def boils(cap: float, mix: str, metres: float = 0, kind: str = "ethylene") -> float:
    """Return degC. What stayed inside is half mix, and all of 8 L is refilled at this mix."""
    typed = {
        "freeze_now": "-37degC",
        "drained": "8L",
        "coolant_capacity": "8L",
        "mix_in_can": mix,
        "coolant_kind": kind,
    }
    worked = work("heat-test", cap_says=f"{cap}bar", shop_altitude=f"{metres}m", **typed)
    return worked["boils_at"].value


@pytest.mark.parametrize(("cap", "water", "mix"), CAPS)
def test_under_a_cap_it_boils_where_the_library_says(cap, water, mix):
    assert boils(cap, "0%") == pytest.approx(water, abs=0.15)
    assert boils(cap, "50%") == pytest.approx(mix, abs=0.15)


def test_a_cap_adds_to_the_air_outside_so_it_holds_less_high_up():
    """84.560 kPa at 1500 m (fluids 1.3.1) and 110 from the cap: water boils at 119.3 degC (CoolProp 8.0.0), not 122."""
    assert boils(1.1, "0%", 1500) == pytest.approx(119.3, abs=0.15)


def test_a_mix_without_a_table_counts_as_water():
    """Thinner than half, or propylene glycol: they boil above water, so water's figure is on the safe side."""
    assert boils(1.1, "40%") == boils(1.1, "50%", kind="propylene") == boils(1.1, "0%")
