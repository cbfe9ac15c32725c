"""Tables against CoolProp 8.0.0: where straight lines between the rows leave the library's curves, and by how much."""

from __future__ import annotations

import itertools
import math

import pytest
from CoolProp.CoolProp import PropsSI

from tests.published.lookup import between_rows, printed, read
from tests.published.worked import boils as boils_by_formula
from tests.published.worked import vapour as vapour_by_formula

ZERO = 273.15
TRIPLE_POINT = 0.01
AIR = 101.325
GLYCOL, PROPYLENE, WATER = 1113.2, 1036.4, 998.2
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


def propylene_vapour(temperature: float) -> float:
    """Return kPa at degC, after the library's own equation of state."""
    return PropsSI("P", "T", temperature + ZERO, "Q", 0, "HEOS::PropyleneGlycol") / 1000


def mix_vapour(temperature: float, volume: float = 50, kind: str = "ethylene") -> float:
    """Return kPa over a mix, % by volume, after Raoult: each gives its vapour by its share of the molecules."""
    density, mass, pure = {
        "ethylene": (GLYCOL, 62.068, glycol_vapour),
        "propylene": (PROPYLENE, 76.094, propylene_vapour),
    }[kind]
    glycol, water = volume * density / mass, (100 - volume) * WATER / 18.015
    return (water * water_vapour(temperature) + glycol * pure(temperature)) / (glycol + water)


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
    assert boils_by_formula(50, AIR + above) == pytest.approx(mix, abs=0.15)


def test_a_rule_of_thumb_for_caps_promises_too_much():
    """A dealer's page has 3 degF for each psi: 257 degF for water, 268 for half mix, at 15 psi, not 249.7 and 265.5."""
    cap = AIR + 15 * 6.894757
    assert read("boiling_of_water", cap) * 1.8 + 32 == pytest.approx(249.7, abs=0.2)
    assert boils_by_formula(50, cap) * 1.8 + 32 == pytest.approx(265.5, abs=0.3)


def test_between_its_rows_a_boiling_point_reads_low_and_hardly():
    table = "boiling_of_water"
    found = [read(table, pressure) - boils(water_vapour, pressure) for pressure in between_rows(table)]
    assert min(found) > -0.08 and max(found) <= 0.005


@pytest.mark.parametrize(
    ("table", "vapour", "high"),
    [
        ("vapour_pressure_of_water", water_vapour, 0.010),
        ("vapour_pressure_of_ethylene_glycol", glycol_vapour, 0.043),
        ("vapour_pressure_of_propylene_glycol", propylene_vapour, 0.062),
    ],
)
def test_between_its_rows_a_vapour_pressure_reads_high_and_hardly(table, vapour, high):
    """High means that less vacuum is called safe. The glycols are furthest where they are cold."""
    inside = [max(at, TRIPLE_POINT) for at in between_rows(table)]
    found = [read(table, temperature) / vapour(temperature) - 1 for temperature in inside]
    assert max(found) < high and min(found) > -0.0005


# CoolProp 8.0.0 and Raoult's law: degC, kPa over water, kPa over half mix.
@pytest.mark.parametrize(
    ("temperature", "water", "mix"), [(20, 2.34, 1.77), (60, 19.95, 15.1), (80, 47.41, 36.0), (90, 70.18, 53.3)]
)
def test_vapour_pressure_of_hot_coolant_is_what_the_library_gives(temperature, water, mix):
    assert read("vapour_pressure_of_water", temperature) == pytest.approx(water, rel=0.005)
    assert vapour_by_formula(50, temperature) == pytest.approx(mix, rel=0.005)


def test_every_boiling_point_in_a_row_is_the_librarys_to_its_last_figure():
    wrong = [x for x, y in printed("boiling_of_water") if abs(y - boils(water_vapour, x)) > 0.005 + 2e-5]
    assert wrong == []


@pytest.mark.parametrize(
    ("table", "vapour"),
    [
        ("vapour_pressure_of_water", water_vapour),
        ("vapour_pressure_of_ethylene_glycol", glycol_vapour),
        ("vapour_pressure_of_propylene_glycol", propylene_vapour),
    ],
)
def test_every_vapour_pressure_in_a_row_is_the_librarys_to_four_figures(table, vapour):
    assert {x: float(f"{vapour(x):.4g}") for x, _ in printed(table)} == dict(printed(table))


KINDS = ["ethylene", "propylene"]
STRONGEST = {"ethylene": 57.8, "propylene": 60}
"""Where the tables of what was drained end, % by volume."""
SHARES = [0, 10, 25, 33, 40, 49.9, 50, 60]


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("volume", SHARES)
def test_any_mix_boils_where_the_law_and_the_librarys_fluids_say_and_never_above(kind, volume):
    """Water from HEOS::Water and propylene glycol from HEOS::PropyleneGlycol; the library has no ethylene glycol to
    boil and no mix of either. 0.005 K is the last figure of water's rows."""
    for above in (20, 90, 140, 250):
        expected = boils(lambda at: mix_vapour(at, volume, kind), AIR + above)
        assert -0.12 < boils_by_formula(volume, AIR + above, kind) - expected <= 0.01


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("volume", SHARES)
def test_any_mix_gives_the_vapour_that_the_law_says_and_never_less(kind, volume):
    for temperature in (0.01, 21, 58, 93):
        thinner = min(volume, STRONGEST[kind])
        expected = mix_vapour(temperature, thinner, kind)
        assert -0.0005 < vapour_by_formula(volume, temperature, kind) / expected - 1 < 0.01


@pytest.mark.parametrize("kind", KINDS)
def test_a_percent_more_never_moves_the_boiling_point_by_half_a_degree(kind):
    found = [boils_by_formula(volume, AIR + 110, kind) for volume in range(61)]
    steps = [more - less for less, more in itertools.pairwise(found)]
    assert min(steps) > 0 and max(steps) < 0.45


@pytest.mark.parametrize("kind", KINDS)
def test_a_mix_beyond_sixty_percent_counts_as_sixty(kind):
    assert boils_by_formula(95, AIR + 110, kind) == boils_by_formula(60, AIR + 110, kind)
    assert boils_by_formula(59, AIR + 110, kind) < boils_by_formula(60, AIR + 110, kind)
    assert vapour_by_formula(95, 80, kind) == vapour_by_formula(60, 80, kind)


def test_the_thinner_of_what_stayed_inside_and_what_goes_in_boils_first():
    assert vapour_by_formula(95, 80, "flushed") == vapour_by_formula(0, 80)


def test_propylene_glycol_weighs_what_memory_says():
    assert PropsSI("D", "T", 293.15, "P", 101325, "HEOS::PropyleneGlycol") == pytest.approx(PROPYLENE, rel=0.002)
    assert PropsSI("M", "HEOS::PropyleneGlycol") * 1000 == pytest.approx(76.094, abs=0.005)


def test_boiling_and_vapour_pressure_are_one_curve_read_two_ways():
    for temperature in (95, 110, 125):
        there = read("vapour_pressure_of_water", temperature)
        assert read("boiling_of_water", there) == pytest.approx(temperature, abs=0.3)


def test_below_nought_the_formula_for_water_that_is_not_yet_ice_joins_the_librarys():
    """Buck's formula, from memory, gives the row of 0 degC; CoolProp ends at the triple point."""
    for temperature in (0.01, 5, 10, 20):
        assert supercooled(temperature) == pytest.approx(water_vapour(temperature), rel=0.001)
    assert printed("vapour_pressure_of_water")[0] == (0, pytest.approx(supercooled(0), abs=5e-5))


def test_equal_volumes_are_52_7_percent_by_mass():
    """The library's water weighs what memory says."""
    share = GLYCOL / (GLYCOL + WATER)
    assert share == pytest.approx(0.527, abs=0.0005)
    assert PropsSI("D", "T", 293.15, "P", 101325, "HEOS::Water") == pytest.approx(WATER, abs=0.05)
