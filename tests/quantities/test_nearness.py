"""One rule of nearness: at the very limit desk and phone judge as exact arithmetic does.

The rule: two figures count as equal if they differ by no more than a billionth of the larger one. The same arithmetic
in fractions, written a second time, is in `tests/proofs/exact.py`.
"""

from __future__ import annotations

import operator
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.quantities.formulas.evaluation import Env, evaluate
from tests.proofs import exact
from tests.proofs.edges_harness import Case, Limits, cases, told_back
from tests.support import demo
from tests.support.node import node

WITHIN = ["<=", ["abs", ["-", ["name", "read"], ["name", "wanted"]]], ["name", "off"]]


def grid() -> list[tuple[str, str, str]]:
    """Every reading within a millimetre of twelve wanted figures with tolerances, as texts: a gauge shows tenths."""
    wanted = [f"{tenths / 10:.1f}" for tenths in range(44, 92, 4)]
    return [
        (f"{float(one) + tenths / 10:.1f}", one, f"{off / 10:.1f}")
        for one in wanted
        for off in range(2, 16)
        for tenths in range(-10, 11)
    ]


def test_a_reading_at_its_tolerance_is_within_it() -> None:
    figures = grid()
    assert len(figures) > 3000
    names = [dict(zip(("read", "wanted", "off"), map(float, row), strict=True)) for row in figures]
    metres = [{name: number * 0.001 for name, number in row.items()} for row in names]
    right = [abs(Fraction(read) - Fraction(wanted)) <= Fraction(off) for read, wanted, off in figures]
    for bases in (names, metres):
        assert [evaluate(WITHIN, Env(row)) for row in bases] == right
        phone = node(
            "const { evaluate } = await import(`${site}/phone/quantities/formula.js`);"
            "return given.rows.map((names) => evaluate(given.tree, { names }));",
            {"tree": WITHIN, "rows": bases},
        )
        assert phone == right
    plain = [abs(row["read"] - row["wanted"]) <= row["off"] for row in metres]
    assert sum(a != b for a, b in zip(plain, right, strict=True)) > 50, "doubles compared as they are would do"


@pytest.mark.parametrize(
    ("engine", "case", "limit", "met"),
    [
        ("brackwold-f4-23", Case("stick_out_measured", "8.4", "mm"), ("stick_out_off", 0), False),
        ("brackwold-f4-23", Case("stick_out_measured", "10", "mm"), ("stick_out_off", 0), False),
        ("brackwold-f4-23", Case("stick_out_measured", "8.3", "mm"), ("stick_out_off", 0), True),
        ("brackwold-f4-23", Case("stick_out_measured", "10.1", "mm"), ("stick_out_off", 0), True),
        ("brackwold-f4-23", Case("stick_out_measured", "0.84", "cm"), ("stick_out_off", 0), False),
        ("brackwold-f4-23", Case("mix_in_car", "48", "%"), ("mix_off", 0), False),
        ("brackwold-f4-23", Case("mix_in_car", "47", "%"), ("mix_off", 0), True),
        ("brackwold-f4-23", Case("mix_in_car", "55", "%"), ("mix_off", 1), False),
        ("brackwold-f4-23", Case("mix_in_car", "56", "%"), ("mix_off", 1), True),
    ],
)
def test_the_limits_of_the_library_hold_at_the_limit(
    engine: str, case: Case, limit: tuple[str, int], met: bool
) -> None:
    sheet = next(one for one in demo.checked().sheets if one["engine"]["id"] == engine)
    limits = Limits(sheet, case.reading)
    assert limits.judged(case)[limit] is limits.on_the_phone([case])[0][limit] is met
    assert limits.exactly(case)[limit] is met


def test_every_fiftieth_figure_of_one_worksheet_is_judged_as_fractions_judge_it() -> None:
    sheet: Any = demo.sheet("flat-four")
    for reading in ("stick_out_measured", "engine_temperature", "mix_in_car", "cap_says"):
        several = [case for case in cases(sheet, 5) if case.reading == reading]
        limits = Limits(sheet, reading)
        phones = limits.on_the_phone(several)
        for case, phone in zip(several, phones, strict=True):
            right = limits.exactly(case)
            assert right and limits.judged(case).items() >= right.items() and phone.items() >= right.items(), case


def test_what_is_told_to_be_set_on_a_gauge_is_good_when_it_is_typed_back() -> None:
    for layout in ("flat-four", "vee-six", "inline-three"):
        count, wrong = told_back(demo.sheet(layout), 25)
        assert wrong == [] and count.figures > 100 and count.beyond > 50


SIGNS = {"<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge, "==": operator.eq}
tenths = st.integers(-4000, 4000).map(lambda n: (n / 10, Fraction(n, 10)))


@given(tenths, tenths, tenths, st.sampled_from(sorted(SIGNS)))
def test_decimal_figures_are_compared_as_fractions_are(a: Any, b: Any, c: Any, sign: str) -> None:
    tree = [sign, ["-", a[0], b[0]], c[0]]
    assert evaluate(tree, Env()) is SIGNS[sign](a[1] - b[1], c[1])


@given(tenths, st.integers(1, 40))
def test_steps_are_counted_as_fractions_count_them(a: Any, n: int) -> None:
    for way in ("floor", "ceil", "round"):
        tree = [way, a[0], n / 10]
        right = exact.evaluate([way, a[0], n / 10], exact.Ground({}, {}, {}))
        assert evaluate(tree, Env()) == pytest.approx(float(right), abs=1e-9)


@given(st.floats(-1e9, 1e9), st.floats(-1e9, 1e9))
def test_two_figures_are_below_equal_or_above_and_never_two_of_these(a: float, b: float) -> None:
    met = [evaluate([sign, a, b], Env()) for sign in ("<", "==", ">")]
    assert met.count(True) == 1
    assert evaluate(["<=", a, b], Env()) is (met[0] or met[1]) and evaluate([">=", a, b], Env()) is (met[2] or met[1])
