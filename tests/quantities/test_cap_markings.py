"""A pressure cap is marked in round figures of its maker's unit: the same cap is the same, the next size is not."""

from __future__ import annotations

import re
from itertools import product

import pytest

from generator.quantities.units import to_base
from tests.published.worked import work

# Each line is one cap as its makers mark it, in rising order; 1.3 kgf/cm2 lies between two. common practice, no source
SIZES = [
    ("50kPa(g)", "0.5bar(g)", "7psi(g)", "0.5kgf/cm2(g)"),
    ("90kPa(g)", "0.9bar(g)", "13psi(g)", "0.9kgf/cm2(g)", "88kPa(g)"),
    ("100kPa(g)", "1bar(g)", "14.5psi(g)", "1kgf/cm2(g)"),
    ("110kPa(g)", "1.1bar(g)", "16psi(g)", "1.1kgf/cm2(g)", "108kPa(g)"),
    ("120kPa(g)", "1.2bar(g)", "17.4psi(g)", "1.2kgf/cm2(g)"),
    ("130kPa(g)", "1.3bar(g)", "19psi(g)"),
    ("140kPa(g)", "1.4bar(g)", "20psi(g)", "1.4kgf/cm2(g)"),
    ("200kPa(g)", "2bar(g)", "29psi(g)"),
]
MARKS = [(size, mark) for size, marks in enumerate(SIZES) for mark in marks]
GRID = [(cap, sheet) for cap, sheet in product(MARKS, MARKS)]
PROCEDURES = ("pressure-test", "pressure-test-full")


def expected(cap: int, sheet: int) -> str:
    if cap == sheet:
        return "As the cap says"
    return "Weaker cap than the sheet's" if cap < sheet else "Stronger cap than the sheet's"


def base(mark: str) -> float:
    figure, unit = re.fullmatch(r"([0-9.]+)(.+)", mark).groups()
    return to_base(float(figure), unit)


@pytest.mark.parametrize("procedure", PROCEDURES)
def test_a_cap_is_judged_by_what_its_marking_means(procedure: str):
    for (cap, says), (sheet, rating) in GRID:
        typed = {"cap_says": says, "cap_rating": rating, "test_pressure": rating, "pressure_start": "20kPa(g)"}
        assert work(procedure, **typed)["pump_to"].verdict == expected(cap, sheet), (says, rating)


@pytest.mark.parametrize("procedure", PROCEDURES)
@pytest.mark.parametrize(("cap", "pumped", "above"), [
    ("1.1bar", "110kPa", False), ("110kPa", "1.1bar", False), ("13psi", "90kPa", False), ("16psi", "110kPa", False),
    ("16psi", "1.1bar", False), ("20psi", "138kPa", False), ("110kPa", "112kPa", True), ("13psi", "14psi", True),
])  # fmt: skip
def test_the_figure_to_pump_up_to_is_not_above_the_cap(procedure: str, cap: str, pumped: str, above: bool):
    worked = work(procedure, cap_says=cap, cap_rating=cap, test_pressure=cap, pressure_start=pumped)
    assert (worked["test_at"].verdict == "Above the cap") is above
