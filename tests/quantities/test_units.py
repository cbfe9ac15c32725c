"""Units: every factor against pint's own and against printed ones, the traps of pint, and what a person reads."""

from __future__ import annotations

import math
import subprocess
import sys

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.quantities.units import (
    KINDS,
    SPELLINGS,
    UNITS,
    from_base,
    kind_of,
    named,
    shown,
    spelled_unit,
    table_json,
    to_base,
    truth,
)

REGISTRY = pint.UnitRegistry()
# The same units in pint's words, as somebody else would write them.
IN_PINT = {
    "N.m": "newton * meter", "lbf.ft": "force_pound * foot", "lbf.in": "force_pound * inch",
    "kgf.m": "force_kilogram * meter", "kgf.cm": "force_kilogram * centimeter",
    "s": "second", "min": "minute", "h": "hour", "day": "day", "week": "week",
    "mm": "millimeter", "cm": "centimeter", "m": "meter", "in": "inch", "ft": "foot", "km": "kilometer", "mi": "mile",
    "K": "kelvin", "kPa": "kilopascal", "Pa": "pascal", "bar": "bar", "mbar": "millibar", "hPa": "hectopascal",
    "psi": "force_pound / inch ** 2",
    "inHg": "inch_Hg", "mmHg": "millimeter_Hg", "kgf/cm2": "force_kilogram / centimeter ** 2",
    "L": "liter", "mL": "milliliter", "qt": "US_liquid_quart", "gal": "US_liquid_gallon", "Hz": "1 / second",
    "%": "percent", "g": "gram", "kg": "kilogram", "g/(m.mm)": "gram / meter / millimeter", "kg/m": "kilogram / meter",
    "g/m": "gram / meter", "N": "newton", "V": "volt", "A": "ampere", "ohm": "ohm",
    "mV": "millivolt", "kV": "kilovolt", "mA": "milliampere", "mohm": "milliohm", "kohm": "kiloohm", "Mohm": "megaohm",
    "W": "watt", "kW": "kilowatt", "L/min": "liter / minute", "L/h": "liter / hour", "mL/min": "milliliter / minute",
    "m3/h": "meter ** 3 / hour", "g/L": "gram / liter", "mg/L": "milligram / liter", "kg/L": "kilogram / liter",
}  # fmt: skip
BY_HAND = {"deg", "rpm", "month", "year", "date", "", "teeth", "turns", "pieces", "degC", "degF"}
# NIST SP 811, appendix B.8.
PRINTED = [
    ("lbf.ft", 1.355818, 1e-6),
    ("lbf.in", 0.1129848, 1e-6),
    ("kgf.m", 9.80665, 0),
    ("kgf.cm", 0.0980665, 0),
    ("inHg", 3386.389, 1e-6),
    ("mmHg", 133.3224, 1e-6),
    ("psi", 6894.757, 1e-7),
    ("kgf/cm2", 98066.5, 0),
    ("bar", 100000.0, 0),
    ("gal", 3.785412e-3, 1e-6),
    ("qt", 9.463529e-4, 1e-7),
    ("mi", 1609.344, 0),
    ("ft", 0.3048, 0),
    ("in", 0.0254, 0),
]


def bare(unit: str) -> str:
    return unit.removesuffix("(g)").removesuffix("(vac)")


@pytest.mark.parametrize("unit", [unit for unit in UNITS if unit not in BY_HAND])
def test_a_factor_is_that_of_pints_default_registry(unit: str):
    theirs = REGISTRY.Quantity(1.0, IN_PINT[bare(unit)]).to_base_units().magnitude
    assert UNITS[unit].scale == pytest.approx(theirs, rel=1e-14) and UNITS[unit].offset == 0


@pytest.mark.parametrize(("unit", "factor", "rounding"), PRINTED)
def test_a_factor_is_the_printed_one(unit: str, factor: float, rounding: float):
    assert UNITS[unit].scale == pytest.approx(factor, rel=rounding, abs=0)


def test_a_factor_that_is_a_short_decimal_is_that_double_and_no_neighbour():
    assert [UNITS[unit].scale for unit in ("L", "mL", "mm", "ft", "mi", "%", "g/m")] == [
        0.001, 1e-6, 0.001, 0.3048, 1609.344, 0.01, 0.001,
    ]  # fmt: skip


def test_pint_reads_some_spellings_as_something_else_which_is_why_they_are_not_used():
    assert REGISTRY.Quantity(1, "Nm").dimensionality != REGISTRY.Quantity(1, "N*m").dimensionality
    assert REGISTRY.Quantity(1, "rpm").to("Hz").magnitude == pytest.approx(2 * math.pi / 60)
    assert to_base(60, "rpm") == pytest.approx(1, rel=1e-15), "a turn is a cycle here"


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"), [(32, 0), (212, 100), (-40, -40), (257, 125), (0, -160 / 9), (-459.67, -273.15)]
)
def test_temperatures_have_their_own_zero(fahrenheit: float, celsius: float):
    assert to_base(fahrenheit, "degF") == pytest.approx(to_base(celsius, "degC"), abs=1e-10)
    assert from_base(to_base(celsius, "degC"), "degF") == pytest.approx(fahrenheit, abs=1e-10)


def test_a_difference_of_temperatures_has_no_zero_of_its_own():
    assert to_base(5, "K") == 5


@pytest.mark.parametrize("marked", ["kPa(g)", "bar(g)", "psi(g)", "kgf/cm2(g)", "kPa(vac)", "inHg(vac)", "bar(vac)"])
def test_gauges_are_marked_in_the_plain_unit(marked: str):
    assert to_base(7, marked) == to_base(7, bare(marked))


def test_ages_count_in_months_angles_in_degrees_and_dates_in_days():
    assert [to_base(1, unit) for unit in ("month", "year", "deg", "date", "%")] == [1, 12, 1, 1, 0.01]


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.sampled_from(list(UNITS)), st.floats(-1e6, 1e6))
def test_there_and_back_gives_the_number_that_was_typed(unit: str, number: float):
    there = to_base(number, unit)
    assert from_base(there, unit) == pytest.approx(number, rel=1e-12, abs=1e-9)
    if UNITS[unit].kind != "date":
        assert float(shown(there, unit, 0.001)) == pytest.approx(number, abs=0.00051)


def test_every_kind_that_an_engine_sheet_or_a_reading_has_is_there():
    kinds = "torque angle time age length distance temperature warmth pressure gauge vacuum volume frequency share mass"
    kinds += " belt-mass line-mass force number voltage current resistance power flow concentration date"
    assert list(KINDS) == kinds.split()


def test_every_unit_is_of_one_kind():
    listed = [unit for units in KINDS.values() for unit in units]
    assert len(listed) == len(set(listed)) and set(listed) == set(UNITS) and len(UNITS) == len(listed)
    assert all(UNITS[unit].kind == kind for kind, units in KINDS.items() for unit in units)
    assert all(len({kind_of(unit) for unit in units}) == 1 for units in KINDS.values())


def test_what_goes_together_is_of_one_kind_and_nothing_else_is():
    alike = {frozenset(("length", "distance")), frozenset(("number", "share"))}
    for one in KINDS:
        for other in KINDS:
            same = kind_of(KINDS[one][0]) == kind_of(KINDS[other][0])
            assert same == (one == other or frozenset((one, other)) in alike), (one, other)


def test_a_kind_has_the_name_that_people_have_for_it():
    names = {kind: named(kind_of(units[0])) for kind, units in KINDS.items()}
    assert {kind: name for kind, name in names.items() if kind != name} == {"distance": "length", "share": "number"}
    assert named(truth()) == "truth"


def test_a_product_is_the_kind_that_it_measures():
    length, mass, time = (kind_of(unit).dims for unit in ("m", "kg", "s"))
    assert mass * length / time**2 == kind_of("N").dims
    assert kind_of("g/(m.mm)").dims * length * length**2 / time**2 == kind_of("N").dims
    assert kind_of("m").dims * kind_of("m").dims ** 2 == kind_of("L").dims
    assert kind_of("L").dims / kind_of("L").dims == kind_of("").dims != kind_of("deg").dims


def test_volts_amps_and_what_flows_multiply_to_the_kinds_they_are():
    """SI Brochure, 9th edition, table 4: W = V.A, ohm = V/A. A flow is a volume a time, a concentration a mass in a
    volume. pint says the same of each."""
    volt, amp, ohm, watt = (kind_of(unit).dims for unit in ("mV", "mA", "kohm", "kW"))
    assert (volt * amp, volt / amp, amp * ohm) == (watt, ohm, volt)
    assert kind_of("N.m").dims / kind_of("s").dims == watt
    assert kind_of("qt").dims / kind_of("h").dims == kind_of("m3/h").dims
    assert kind_of("L/min").dims * kind_of("min").dims == kind_of("mL").dims
    assert kind_of("g").dims / kind_of("gal").dims == kind_of("mg/L").dims
    for unit, theirs in IN_PINT.items():
        if UNITS[unit].kind in ("voltage", "current", "resistance", "power", "flow", "concentration"):
            assert dict(kind_of(unit).dims) == dict(REGISTRY.get_dimensionality(theirs)), unit


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("Ohm", "ohm"), ("Ohms", "ohm"), ("\u03a9", "ohm"), ("\u2126", "ohm"), ("k\u03a9", "kohm"), ("kOhm", "kohm"),
        ("m\u03a9", "mohm"), ("M\u2126", "Mohm"), ("MOhm", "Mohm"), ("mOhm", "mohm"), ("MOHM", None), ("MV", None),
        ("Volts", "V"), ("amps", "A"), ("Watt", "W"), ("l/min", "L/min"), ("LPM", "L/min"), ("m\u00b3/h", "m3/h"),
        ("G/L", "g/L"), ("g/cm\u00b3", "kg/L"), ("mA", "mA"), ("MW", None), ("Nm", "N.m"), ("\u00b0C", "degC"),
    ],
)  # fmt: skip
def test_a_spelling_means_one_unit_and_a_small_m_is_never_taken_for_a_large_one(text: str, unit: str | None):
    assert spelled_unit(text) == unit


@pytest.mark.parametrize(
    ("base", "unit", "step", "text"),
    [
        (0.0055, "L", 0.1, "5.5"),
        (255.15, "degC", 1, "-18"),
        (273.149, "degC", 1, "0"),
        (20952, "date", None, "2027-05-14"),
        (True, "", None, "yes"),
        (False, "", None, "no"),
        (84659.716008525, "inHg(vac)", None, "25"),
        (0.0000125, "L", None, "0.0125"),
        (1e9, "Pa", None, "1000000000"),
        (to_base(2.5, "L"), "L", 1, "3"),
        (to_base(-2.5, "L"), "L", 1, "-3"),
        (0.005, "L", 0.1, "5.0"),
        (17, "", 5, "15"),
        (1e308, "", 5e-324, "1" + "0" * 308 + "." + "0" * 324),
    ],
)
def test_a_figure_is_shown_to_its_step_or_with_four_digits(base: float, unit: str, step: float | None, text: str):
    assert shown(base, unit, step) == text


def test_a_day_beyond_the_calendar_is_shown_as_its_number():
    assert shown(1e9, "date") == "1000000000"


def test_a_worksheet_carries_all_units_of_a_kind():
    assert table_json(["vacuum", "vacuum"]) == {
        unit: {"kind": "vacuum", "scale": UNITS[unit].scale, "offset": 0.0} for unit in KINDS["vacuum"]
    }
    assert list(table_json(["truth", "temperature"])) == ["degC", "degF"]


def test_every_spelling_that_is_understood_means_a_unit():
    assert set(SPELLINGS.values()) <= set(UNITS)
    assert not {spelling for spelling in SPELLINGS if spelling in UNITS and SPELLINGS[spelling] != spelling}


def test_who_reckons_nothing_does_not_wait_for_pint():
    look = "import generator.quantities.formulas.compiler, sys; print('pint' in sys.modules)"
    told = subprocess.run([sys.executable, "-c", look], capture_output=True, text=True, check=True, timeout=60)
    assert told.stdout.strip() == "False"
