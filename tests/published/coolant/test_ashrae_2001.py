"""Freezing points against ASHRAE's Handbook of 2001: pure glycols in water, no inhibitors."""

from __future__ import annotations

import pytest

from tests.published.lookup import printed, read
from tests.published.worked import boils as boils_by_formula

# ASHRAE Handbook Fundamentals 2001, as copied among CoolProp's sources: % by mass, % by volume, freezing point in degC.
ETHYLENE = [
    (10, 8.9, -3.2),
    (20, 18.1, -7.8),
    (30, 27.7, -14.1),
    (35, 32.6, -17.9),
    (40, 37.5, -22.3),
    (50, 47.6, -33.8),
    (52, 49.6, -36.4),
    (53, 50.6, -37.9),
    (60, 57.8, -48.3),
]
# The same handbook and copy: % by volume, freezing point in degC.
PROPYLENE = [(20.4, -7.6), (30.4, -13.4), (40.6, -22.1), (49.9, -33.5), (60.0, -51.1)]
# Between the handbook's rows, worked out by hand in a straight line: % by volume, freezing point in degC.
BETWEEN = [(50, -37.0), (40, -24.8), (33, -18.2), (25, -12.1)]
# Boiling points at about one atmosphere, the same handbook, from memory: % by mass, degC.
BOILING = [
    (8.9, 101.1),
    (18.1, 102.2),
    (27.7, 104.4),
    (32.6, 105.0),
    (37.5, 105.6),
    (47.6, 107.2),
    (49.6, 107.2),
    (50.6, 107.8),
    (57.8, 110.0),
]


@pytest.mark.parametrize(("mass", "volume", "freezes"), ETHYLENE)
def test_the_ethylene_table_is_the_handbooks(mass, volume, freezes):
    assert (volume, freezes) in printed("freezing_point_of_glycol")
    assert read("glycol_by_freezing_point", freezes) == pytest.approx(volume)


@pytest.mark.parametrize(("volume", "freezes"), PROPYLENE)
def test_the_propylene_table_is_the_handbooks(volume, freezes):
    assert (volume, freezes) in printed("freezing_point_of_propylene")
    assert read("propylene_by_freezing_point", freezes) == pytest.approx(volume)


@pytest.mark.parametrize(("volume", "freezes"), BETWEEN)
def test_between_rows_it_reads_in_a_straight_line(volume, freezes):
    assert read("freezing_point_of_glycol", volume) == pytest.approx(freezes, abs=0.06)
    assert read("glycol_by_freezing_point", freezes) == pytest.approx(volume, abs=0.06)


@pytest.mark.parametrize("table", ["glycol_by_freezing_point", "propylene_by_freezing_point"])
def test_water_freezes_at_nought(table):
    assert read(table, 0) == 0


def test_a_share_by_mass_looked_up_as_if_by_volume_promises_what_is_not_there():
    """50 % by mass freezes at -33.8 degC (handbook); as 50 % by volume the table says three degrees colder."""
    promised = {mass: read("freezing_point_of_glycol", mass) - freezes for mass, _, freezes in ETHYLENE[:-1]}
    assert promised[50] == pytest.approx(-3.2, abs=0.1)
    assert all(gap < -0.4 for gap in promised.values())


def test_the_ideal_law_agrees_where_the_mix_is_thin_and_not_where_it_is_strong():
    """1.86 K for each mol in a kilogram of water, 62.068 g/mol (textbooks). Below 10 % CoolProp has no curve."""

    def ideal(mass: float) -> float:
        return -1.86 * mass / (100 - mass) * 1000 / 62.068

    assert read("freezing_point_of_glycol", 4.4) == pytest.approx(ideal(5), abs=0.2)
    assert read("freezing_point_of_glycol", 8.9) == pytest.approx(ideal(10), abs=0.2)
    assert ideal(52.4) == pytest.approx(-33.0, abs=0.1)
    assert read("freezing_point_of_glycol", 50) < ideal(52.4) - 3


@pytest.mark.parametrize(("volume", "boils"), BOILING)
def test_a_mix_boils_as_the_handbooks_column_says(volume, boils):
    """At 101.325 kPa; the handbook's column, from memory, and Raoult's law were found 1.2 K apart at most."""
    assert boils_by_formula(volume, 101.325) == pytest.approx(boils, abs=1.5)


def test_half_mix_meets_what_a_coolant_standard_asks_of_it():
    """ASTM D3306, from memory: at 50 % by volume ethylene glycol -36.4 degC or colder, propylene -31.0; the ethylene
    mix boils at 108 degC or above. That is a coolant with its inhibitors: pure glycol is a little below."""
    assert read("freezing_point_of_glycol", 50) <= -36.4
    assert read("freezing_point_of_propylene", 50) <= -31.0
    assert boils_by_formula(50, 101.325) == pytest.approx(108, abs=0.5)
