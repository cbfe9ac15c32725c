"""What holds for every published table, whatever it is a table of."""

from __future__ import annotations

import pytest

from generator.quantities.formulas.evaluation import Unknown
from generator.quantities.units import UNITS
from tests.published.lookup import TABLES, based, look_up, printed, read, table

NAMES = sorted(path.stem for path in TABLES.glob("*.yml"))
RANGES = {
    "air_pressure_by_altitude": ("m", -500, 5000, "kPa"),
    "boiling_of_water": ("kPa", 50, 560, "degC"),
    "freezing_point_of_glycol": ("%", 0, 57.8, "degC"),
    "freezing_point_of_propylene": ("%", 0, 60, "degC"),
    "glycol_by_freezing_point": ("degC", -48.3, 0, "%"),
    "propylene_by_freezing_point": ("degC", -51.1, 0, "%"),
    "vapour_pressure_of_ethylene_glycol": ("degC", 0, 160, "kPa"),
    "vapour_pressure_of_propylene_glycol": ("degC", 0, 160, "kPa"),
    "vapour_pressure_of_water": ("degC", 0, 130, "kPa"),
}
"""From where to where each reaches, on purpose; moving an end is a decision."""


def test_the_tables_are_these_and_reach_this_far():
    reach = {}
    for name in NAMES:
        xs = [x for x, _ in printed(name)]
        reach[name] = (table(name)["x"]["unit"], min(xs), max(xs), table(name)["y"]["unit"])
    assert reach == RANGES


@pytest.mark.parametrize("name", NAMES)
def test_a_table_says_where_it_is_from_and_how_it_was_got(name):
    assert table(name)["table"] == name
    assert table(name)["source"] and table(name)["edition"]
    assert table(name)["got"].startswith(("read on a public page", "computed with "))
    assert {table(name)[axis]["unit"] for axis in ("x", "y")} <= set(UNITS)


@pytest.mark.parametrize("name", NAMES)
def test_a_row_reads_as_it_is_printed(name):
    for x, y in printed(name):
        assert read(name, x) == pytest.approx(y, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_read_beyond_the_ends(name):
    xs = [x for x, _ in printed(name)]
    beyond = (xs[-1] - xs[0]) / 1000
    outside = Unknown(because=("outside",))
    assert [look_up(name, xs[0] - beyond), look_up(name, xs[-1] + beyond)] == [outside, outside]


@pytest.mark.parametrize("name", NAMES)
def test_more_always_gives_more_or_always_less(name):
    ys = [y for _, y in based(name)]
    assert ys == sorted(ys) or ys == sorted(ys, reverse=True)
    assert len(set(ys)) == len(ys)


@pytest.mark.parametrize(
    ("there", "back"),
    [
        ("glycol_by_freezing_point", "freezing_point_of_glycol"),
        ("propylene_by_freezing_point", "freezing_point_of_propylene"),
    ],
)
def test_there_and_back_is_where_it_began(there, back):
    assert printed(back) == [(y, x) for x, y in printed(there)]
    coldest = int(printed(there)[-1][0])
    for temperature in range(coldest, 1):
        assert read(back, read(there, temperature)) == pytest.approx(temperature, abs=1e-6)
