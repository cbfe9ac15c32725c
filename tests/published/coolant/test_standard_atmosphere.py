"""Air pressure by altitude against two libraries and printed tables of the standard atmosphere."""

from __future__ import annotations

import ambiance
import fluids
import pytest

from generator.quantities.units import from_base, to_base
from tests.published.lookup import between_rows, printed, read

TABLE = "air_pressure_by_altitude"

# fluids 1.3.1 and ambiance 1.3.1 alike: m above the sea, kPa, inHg, mmHg, degC at which water boils there.
STANDARD = [
    (0, 101.325, 29.92, 760.0, 99.97),
    (300, 97.773, 28.87, 733.4, None),
    (500, 95.461, 28.19, 716.0, 98.31),
    (1000, 89.876, 26.54, 674.1, 96.65),
    (1500, 84.560, 24.97, 634.3, 94.98),
    (2000, 79.501, 23.48, 596.3, 93.32),
    (3000, 70.121, 20.71, 526.0, 89.98),
]
# Rogers and Mayhew's property tables and an engineering reference, read on public pages: m, kPa.
PRINTED = [(500, 95.46), (1000, 89.88), (1500, 84.56), (2000, 79.50), (3000, 70.12)]


def air(metres: float, unit: str) -> float:
    return from_base(to_base(read(TABLE, metres), "kPa"), unit)


@pytest.mark.parametrize(("metres", "kpa", "inhg", "mmhg", "boils"), STANDARD)
def test_the_standard_day_at_an_altitude(metres, kpa, inhg, mmhg, boils):
    assert air(metres, "kPa") == pytest.approx(kpa, rel=0.001)
    assert air(metres, "inHg") == pytest.approx(inhg, abs=0.01)
    assert air(metres, "mmHg") == pytest.approx(mmhg, abs=0.1)
    if boils is not None:
        assert read("boiling_of_water", read(TABLE, metres)) == pytest.approx(boils, abs=0.05)


@pytest.mark.parametrize(("metres", "kpa"), PRINTED)
def test_printed_tables_agree(metres, kpa):
    assert read(TABLE, metres) == pytest.approx(kpa, abs=0.006)


def test_two_libraries_agree_over_the_whole_table_within_a_tenth_of_a_percent():
    for metres in between_rows(TABLE):
        assert read(TABLE, metres) == pytest.approx(fluids.ATMOSPHERE_1976(metres).P / 1000, rel=0.00015)
        assert read(TABLE, metres) == pytest.approx(ambiance.Atmosphere(metres).pressure[0] / 1000, rel=0.00015)


def test_every_row_is_the_librarys_to_its_last_figure():
    assert printed(TABLE) == [
        (metres, round(fluids.ATMOSPHERE_1976(metres).P / 1000, 3)) for metres, _ in printed(TABLE)
    ]


def test_between_rows_it_reads_high_by_an_eightieth_of_a_percent_at_most():
    found = [read(TABLE, metres) * 1000 / fluids.ATMOSPHERE_1976(metres).P - 1 for metres in between_rows(TABLE)]
    assert max(found) < 0.000125 and min(found) > -0.00001


def test_metres_on_the_map_and_metres_of_the_standard_hardly_differ():
    """ICAO's table counts geopotential metres: 70.109 kPa at 3000 m, one part in six thousand from ours."""
    assert read(TABLE, 3000) == pytest.approx(70.109, rel=0.0002)


def test_an_inch_of_mercury_is_lost_with_each_thousand_feet_near_the_ground():
    """US Army TM 5-3805-292-23, read on a public page, gives the rule; over 5000 ft it is 1.005."""
    feet = to_base(5000, "ft")
    assert (air(0, "inHg") - air(feet, "inHg")) / 5 == pytest.approx(1.005, abs=0.002)


def test_twenty_five_inches_of_mercury_cannot_be_shown_at_1500_m():
    assert air(1500, "inHg") < 25 < air(1450, "inHg")


def test_a_printed_thousand_feet_in_kilograms_is_a_misprint():
    """A design handbook, read on a public page, has 0.956 kg/cm2 at 305 m; its digits changed about, it is 0.996."""
    assert air(305, "kgf/cm2") == pytest.approx(0.996, abs=0.001)
