"""Tables against CoolProp 8.0.0: where straight lines between the rows leave the library's curves, and by how much."""

from __future__ import annotations

import math

import pytest
from CoolProp.CoolProp import PropsSI

from tests.published.lookup import between_rows, printed, read

ZERO = 273.15
TRIPLE_POINT = 0.01
AIR = 101.325
GLYCOL, WATER = 1113.2, 998.2
"""Densities at 20 degC in kg/m3, from memory."""
LOWEST, HIGHEST = 10, 60
"""CoolProp's ASHRAE fluids, % by volume."""


def freezes(fluid: str, share: float) -> float:
    """Return degC. The share is in %: by volume for AEG and APG, by mass for MEG."""
    return PropsSI("T_freeze", "T", 300, "P", 101325, f"INCOMP::{fluid}[{share / 100}]") - ZERO


def water_vapour(temperature: float) -> float:
    """Return kPa at degC. Below the triple point, where the library ends: over water that is not yet ice."""
    if temperature < TRIPLE_POINT:
        return supercooled(temperature)
    return PropsSI("P", "T", temperature + ZERO, "Q", 0, "HEOS::Water") / 1000


def glycol_vapour(temperature: float) -> float:
    """kPa at degC, after Antoine; constants from memory."""
    return 100 * 10 ** (4.97012 - 1914.951 / (temperature + ZERO - 84.996))


def supercooled(temperature: float) -> float:
    """kPa over water that is not yet ice, after Buck 1981; from memory."""
    return 0.61121 * math.exp((18.678 - temperature / 234.5) * temperature / (257.14 + temperature))


def water_share() -> float:
    """Return the mol of water in a mol of equal volumes of glycol and water."""
    glycol, water = GLYCOL / 62.068, WATER / 18.015
    return water / (glycol + water)


def mix_vapour(temperature: float) -> float:
    """Return kPa over half ethylene glycol, half water by volume, after Raoult."""
    return water_share() * water_vapour(temperature) + (1 - water_share()) * glycol_vapour(temperature)


def boils(vapour, pressure: float) -> float:
    """Return the degC at which the vapour pressure reaches this, kPa."""
    low, high = 0.01, 200.0
    while high - low > 1e-5:
        middle = (low + high) / 2
        low, high = (middle, high) if vapour(middle) < pressure else (low, middle)
    return low


# --- freezing -------------------------------------------------------------------------------------------------------


def gaps(table: str, fluid: str) -> dict[float, float]:
    """Return % by volume -> K by which the table is warmer than the library."""
    shares = [share for share in between_rows(table) if LOWEST <= share <= HIGHEST]
    return {share: read(table, share) - freezes(fluid, share) for share in shares}


def test_ethylene_glycol_stays_within_three_tenths_of_the_librarys_curve():
    """AEG is fitted to the same handbook. Up to 57.6 %, where the handbook's last row leaves the fit."""
    found = gaps("freezing_point_of_glycol", "AEG")
    assert max(abs(gap) for share, gap in found.items() if share < 57.6) < 0.3


def test_ethylene_glycols_last_row_is_warmer_than_the_curve_so_on_the_safe_side():
    assert gaps("freezing_point_of_glycol", "AEG")[57.8] == pytest.approx(0.33, abs=0.01)


def test_propylene_glycol_stays_within_an_eighth_of_a_degree_of_the_librarys_curve():
    assert max(abs(gap) for gap in gaps("freezing_point_of_propylene", "APG").values()) < 0.125


@pytest.mark.parametrize(
    ("table", "fluid"), [("glycol_by_freezing_point", "AEG"), ("propylene_by_freezing_point", "APG")]
)
def test_a_measured_freezing_point_gives_the_share_within_half_a_percent(table, fluid):
    """Half a percent by volume is a tenth of what a hydrometer or an inhibitor can be off."""
    for share in range(LOWEST, 58):
        assert read(table, freezes(fluid, share)) == pytest.approx(share, abs=0.5)


# CoolProp 8.0.0: fluid, share in % as that fluid counts it, freezing point in degC.
@pytest.mark.parametrize(
    ("fluid", "share", "temperature"),
    [
        ("AEG", 50, -37.11),
        ("AEG", 40, -24.80),
        ("AEG", 33, -18.12),
        ("APG", 50, -33.66),
        ("MEG", 50, -35.99),
        ("MEG", 40, -23.81),
        ("MEG", 30, -14.58),
        ("MEG", 52.4, -39.4),
    ],
)
def test_the_library_says_what_it_said_when_the_tables_were_made(fluid, share, temperature):
    assert freezes(fluid, share) == pytest.approx(temperature, abs=0.06)


# ASHRAE Handbook Fundamentals 2001, as copied among CoolProp's sources: % by mass, % by volume.
MASS_OF = [(30, 27.7), (40, 37.5), (50, 47.6), (52.4, 50)]


@pytest.mark.parametrize(("mass", "volume"), MASS_OF)
def test_the_mass_curve_promises_more_cold_than_the_handbook_even_when_it_is_asked_right(mass, volume):
    """MEG counts by mass. Asked by mass it is too cold, the unsafe side, and more so for a stronger mix."""
    too_cold = read("freezing_point_of_glycol", volume) - freezes("MEG", mass)
    expected = {30: 0.5, 40: 1.5, 50: 2.2, 52.4: 2.4}[mass]
    assert too_cold == pytest.approx(expected, abs=0.1)


def test_the_mass_curve_asked_by_volume_takes_what_was_drained_for_stronger_than_it_is():
    """Two mistakes that nearly cancel: at 50 % the answer is 1.1 K too warm and looks right. Read backwards, from a
    measured freezing point, it gives more glycol than there is. So too little goes in, the unsafe side."""
    for volume in (20, 30, 40, 50):
        measured = freezes("AEG", volume)
        believed = next(tenth / 10 for tenth in range(600) if freezes("MEG", tenth / 10) <= measured)
        assert believed > volume + 0.5
        assert read("glycol_by_freezing_point", measured) == pytest.approx(volume, abs=0.5)
    assert freezes("MEG", 50) - freezes("AEG", 50) == pytest.approx(1.1, abs=0.05)


# --- boiling and vapour pressure ------------------------------------------------------------------------------------

# Steam from CoolProp 8.0.0 (HEOS::Water), the mix from it by Raoult's law: kPa above 101.325, water, half mix in degC.
UNDER_THE_CAP = [(0, 99.97, 107.8), (90, 118.8, 127.5), (100, 120.4, 129.2), (110, 122.0, 130.8), (140, 126.3, 135.3)]


@pytest.mark.parametrize(("above", "water", "mix"), UNDER_THE_CAP)
def test_boiling_under_a_cap_is_what_the_library_gives(above, water, mix):
    assert read("boiling_of_water", AIR + above) == pytest.approx(water, abs=0.15)
    assert read("boiling_of_half_mix", AIR + above) == pytest.approx(mix, abs=0.15)


def test_a_rule_of_thumb_for_caps_promises_too_much():
    """A dealer's page has 3 degF for each psi: 257 degF for water, 268 for half mix, at 15 psi, not 249.7 and 265.5."""
    cap = AIR + 15 * 6.894757
    assert read("boiling_of_water", cap) * 1.8 + 32 == pytest.approx(249.7, abs=0.2)
    assert read("boiling_of_half_mix", cap) * 1.8 + 32 == pytest.approx(265.5, abs=0.3)


@pytest.mark.parametrize(
    ("table", "vapour", "low", "rounding"),
    [("boiling_of_water", water_vapour, 0.08, 0.005), ("boiling_of_half_mix", mix_vapour, 0.11, 0.05)],
)
def test_between_its_rows_a_boiling_point_reads_low_and_hardly(table, vapour, low, rounding):
    found = [read(table, pressure) - boils(vapour, pressure) for pressure in between_rows(table)]
    assert -low < min(found) and max(found) <= rounding


@pytest.mark.parametrize(
    ("table", "vapour", "high"),
    [("vapour_pressure_of_water", water_vapour, 0.010), ("vapour_pressure_of_half_mix", mix_vapour, 0.013)],
)
def test_between_its_rows_a_vapour_pressure_reads_high_and_hardly(table, vapour, high):
    """High means that less vacuum is called safe."""
    found = [read(table, temperature) / vapour(temperature) - 1 for temperature in between_rows(table)]
    assert max(found) < high and min(found) > -0.0005


# CoolProp 8.0.0 and Raoult's law: degC, kPa over water, kPa over half mix.
@pytest.mark.parametrize(
    ("temperature", "water", "mix"), [(20, 2.34, 1.77), (60, 19.95, 15.1), (80, 47.41, 36.0), (90, 70.18, 53.3)]
)
def test_vapour_pressure_of_hot_coolant_is_what_the_library_gives(temperature, water, mix):
    assert read("vapour_pressure_of_water", temperature) == pytest.approx(water, rel=0.005)
    assert read("vapour_pressure_of_half_mix", temperature) == pytest.approx(mix, rel=0.005)


@pytest.mark.parametrize(
    ("table", "vapour", "half_a_figure"),
    [("boiling_of_water", water_vapour, 0.005), ("boiling_of_half_mix", mix_vapour, 0.05)],
)
def test_every_boiling_point_in_a_row_is_the_librarys_to_its_last_figure(table, vapour, half_a_figure):
    wrong = [x for x, y in printed(table) if abs(y - boils(vapour, x)) > half_a_figure + 2e-5]
    assert wrong == []


@pytest.mark.parametrize(
    ("table", "vapour"), [("vapour_pressure_of_water", water_vapour), ("vapour_pressure_of_half_mix", mix_vapour)]
)
def test_every_vapour_pressure_in_a_row_is_the_librarys_to_four_figures(table, vapour):
    assert {x: float(f"{vapour(x):.4g}") for x, _ in printed(table)} == dict(printed(table))


def test_boiling_and_vapour_pressure_are_one_curve_read_two_ways():
    for vapour, boiling in (
        ("vapour_pressure_of_water", "boiling_of_water"),
        ("vapour_pressure_of_half_mix", "boiling_of_half_mix"),
    ):
        for temperature in (95, 110, 125):
            assert read(boiling, read(vapour, temperature)) == pytest.approx(temperature, abs=0.3)


def test_below_nought_the_formula_for_water_that_is_not_yet_ice_joins_the_librarys():
    """Buck's formula, from memory, carries the half mix to -20 degC; CoolProp ends at the triple point."""
    for temperature in (0.01, 5, 10, 20):
        assert supercooled(temperature) == pytest.approx(water_vapour(temperature), rel=0.001)
    assert printed("vapour_pressure_of_water")[0] == (0, pytest.approx(supercooled(0), abs=5e-5))


def test_equal_volumes_are_52_7_percent_by_mass():
    """What the boiling table says of its mix; the library's water weighs what memory says."""
    share = GLYCOL / (GLYCOL + WATER)
    assert share == pytest.approx(0.527, abs=0.0005)
    assert PropsSI("D", "T", 293.15, "P", 101325, "HEOS::Water") == pytest.approx(WATER, abs=0.05)
