"""The boiling margin's formula against steam from CoolProp 8.0.0 and half mix after Raoult's law."""

from __future__ import annotations

import pytest

from tests.published.worked import TODAY, work

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
    worked = work("heat-test", TODAY, True, cap_says=f"{cap}bar", shop_altitude=f"{metres}m", **typed)
    return worked["boils_at"].value


@pytest.mark.parametrize(("cap", "water", "mix"), CAPS)
def test_under_a_cap_it_boils_where_the_library_says(cap, water, mix):
    assert boils(cap, "0%") == pytest.approx(water, abs=0.15)
    assert boils(cap, "50%") == pytest.approx(mix, abs=0.15)


def test_a_cap_adds_to_the_air_outside_so_it_holds_less_high_up():
    """84.560 kPa at 1500 m (fluids 1.3.1) and 110 from the cap: water boils at 119.3 degC (CoolProp 8.0.0), not 122."""
    assert boils(1.1, "0%", 1500) == pytest.approx(119.3, abs=0.15)


@pytest.mark.parametrize(("kind", "mix", "expected"), [("ethylene", "40%", 128.1), ("propylene", "50%", 128.8)])
def test_every_mix_has_a_figure_of_its_own(kind, mix, expected):
    """Raoult's law over CoolProp 8.0.0: under 110 kPa at sea level water boils at 122.0 degC and half mix at 130.8."""
    assert boils(1.1, mix, kind=kind) == pytest.approx(expected, abs=0.15)


@pytest.mark.parametrize("kind", ["ethylene", "propylene"])
@pytest.mark.parametrize("metres", [-500, 5000])
@pytest.mark.parametrize("cap", [0.2, 2.5])
@pytest.mark.parametrize("mix", ["0%", "60%", "100%"])
def test_the_tables_reach_as_far_as_the_caps_and_altitudes_that_may_be_typed(kind, metres, cap, mix):
    """The cap's own range is 20 to 250 kPa; the air's table goes from -500 to 5000 m."""
    assert boils(cap, mix, metres, kind) > 90
