"""The vacuum refill's formulas against the standard atmosphere, vapour pressures and Boyle's law."""

from __future__ import annotations

import pytest

from generator.quantities.units import from_base, to_base
from tests.published.worked import work

# fluids 1.3.1 and ambiance 1.3.1 alike: m above the sea, greatest reading of a vacuum gauge in inHg.
GREATEST = [(0, 29.92), (300, 28.87), (500, 28.19), (1000, 26.54), (1500, 24.97), (2000, 23.48), (3000, 20.71)]
# The same share of it as 25 inHg is at sea level, worked out with fluids 1.3.1: m, inHg.
SCALED = [(1000, 22.2), (1500, 20.9), (2000, 19.6)]
# CoolProp 8.0.0 and Raoult's law: degC, vacuum in inHg at which water, half mix boils at sea level.
HOT = [(20, 29.2, 29.4), (60, 24.0, 25.5), (80, 15.9, 19.3), (90, 9.2, 14.2)]


def inhg(answer) -> float:
    return from_base(to_base(answer.value, answer.unit), "inHg(vac)")


def refill(metres: float, /, **typed: str):
    """A cold engine with half mix inside and in the can, unless the test types something else."""
    usual = {
        "coolant_temperature": "20degC",
        "freeze_now": "-37.5degC",
        "mix_in_can": "51%",
        "coolant_kind": "ethylene",
    }
    return work("refill-vacuum", shop_altitude=f"{metres}m", **{**usual, **typed})


@pytest.mark.parametrize(("metres", "most"), GREATEST)
def test_no_gauge_shows_more_than_the_air_outside(metres, most):
    assert inhg(refill(metres)["vacuum_greatest"]) == pytest.approx(most, abs=0.011)


def test_twenty_five_inches_are_possible_low_down_boil_the_coolant_higher_up_and_cannot_be_shown_at_1500_m():
    """fluids 1.3.1: the air pushes with 26.54, 25.12 and 24.97 inHg. Half mix at 20 degC boils half an inch before."""
    low, higher, top = (refill(at, fill_vacuum="25inHg")["vacuum_wanted"] for at in (1000, 1450, 1500))
    assert [low.bad, higher.bad, top.bad] == [False, True, True]
    assert higher.verdict != top.verdict


@pytest.mark.parametrize(("metres", "share"), SCALED)
def test_the_target_falls_with_the_air(metres, share):
    low, high = (inhg(refill(at)["vacuum_target"]) for at in (0, metres))
    assert 25 * high / low == pytest.approx(share, abs=0.05)


@pytest.mark.parametrize(("temperature", "water", "mix"), HOT)
def test_hot_coolant_boils_at_less_vacuum(temperature, water, mix):
    hot = f"{temperature}degC"
    flushed = refill(0, coolant_temperature=hot, coolant_kind="flushed")
    assert inhg(flushed["vacuum_boils"]) == pytest.approx(water, abs=0.06)
    assert inhg(refill(0, coolant_temperature=hot)["vacuum_boils"]) == pytest.approx(mix, abs=0.06)


@pytest.mark.parametrize(("temperature", "water", "mix"), HOT)
def test_the_target_never_makes_the_coolant_boil(temperature, water, mix):
    worked = refill(0, coolant_temperature=f"{temperature}degC")
    assert inhg(worked["vacuum_target"]) < mix


def test_twenty_four_inches_leave_a_fifth_of_the_air():
    """Boyle's law, no vapour: 8 L at sea level pulled to 24 inHg leave 19.8 %, 1.58 L once the pressure is back."""
    worked = refill(0, drained="8L", vacuum_end="24inHg")
    assert worked["air_left"].value == pytest.approx(1.58, abs=0.005)
