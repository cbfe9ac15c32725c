"""Formulas worked out in Python: the table of cases, the laws of what is not known, the calendar."""

from __future__ import annotations

import json
import math
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.quantities import dates
from generator.quantities.formulas import evaluation, operators
from generator.quantities.formulas.evaluation import Env, Unknown, evaluate
from generator.quantities.formulas.operators import DAY
from generator.quantities.units import from_base, shown, to_base
from tests.support.expressions import (
    NAMES,
    TABLE,
    Case,
    apart,
    continuous_cases,
    exact_cases,
    exact_trees,
    here,
    plain,
    scrap_cases,
)

LAW = settings(max_examples=100, deadline=None, derandomize=True)


def tabled(case: Case) -> Any:
    return plain(here({"tables": TABLE["tables"], **case}))


@pytest.mark.parametrize("case", TABLE["evaluate"], ids=lambda case: case["says"])
def test_every_case_of_the_table_gives_what_it_says(case: Case):
    value = tabled(case)
    if "near" in case:
        assert isinstance(value, float) and apart(value, case["near"]) < 1e-14
    else:
        assert value == case["gives"] and isinstance(value, bool) == isinstance(case["gives"], bool)
    assert not isinstance(value, float) or math.copysign(1, value) == 1 or value < 0


def test_the_table_has_every_operator_and_every_reason():
    trees = [case["tree"] for case in TABLE["evaluate"]]
    known = {tree[0] for tree in trees if isinstance(tree, list) and tree and isinstance(tree[0], str)}
    assert set(operators.OPERATORS) | set(evaluation._FORMS) <= known
    reasons = {code for case in TABLE["evaluate"] for code in _reasons(case)}
    assert reasons == set(operators.BECAUSE)


def _reasons(case: Case) -> list[str]:
    gives = case.get("gives")
    return gives["because"] if isinstance(gives, dict) else []


def test_no_case_of_the_table_is_told_twice():
    told = [json.dumps({**case, "says": ""}, sort_keys=True) for case in TABLE["evaluate"]]
    assert len(told) == len(set(told)) > 350


@pytest.mark.parametrize("case", TABLE["shown"], ids=lambda case: f"{case['base']} {case['unit']} {case['step']}")
def test_every_figure_of_the_table_is_shown_as_it_says(case: Case):
    assert shown(case["base"], case["unit"], case["step"]) == case["gives"]


@pytest.mark.parametrize("case", TABLE["base"], ids=lambda case: f"{case['number']} {case['unit']}")
def test_every_number_of_the_table_goes_to_base_and_back(case: Case):
    assert to_base(case["number"], case["unit"]) == case["base"]
    assert from_base(case["base"], case["unit"]) == pytest.approx(case["number"], rel=1e-12, abs=1e-9)


# -- what is not known -------------------------------------------------------------------------------------------------


def named_in(tree: Any) -> set[str]:
    if not isinstance(tree, list):
        return set()
    here = {tree[1]} if tree[0] == "name" else {f"step:{tree[1]}"} if tree[0] == "found" else set()
    return here.union(*map(named_in, tree))


@LAW
@given(exact_trees)
def test_a_formula_without_readings_needs_only_what_it_names(tree: Any):
    value = evaluate(tree, Env(tables=TABLE["tables"]))
    if isinstance(value, Unknown):
        assert set(value.needs) <= named_in(tree) and (value.needs or value.because)
    else:
        assert isinstance(value, float) and math.isfinite(value)


@LAW
@given(exact_cases, st.integers(-100, 100).map(float))
def test_what_is_known_does_not_change_when_more_is_known(case: Case, number: float):
    """A known result stays the same whatever the missing readings turn out to be."""
    value = here(case)
    if not isinstance(value, Unknown):
        missing = {name: number for name in NAMES if case["names"].get(name) is None}
        assert here({**case, "names": {**case["names"], **missing}}) == value


@LAW
@given(exact_cases | continuous_cases | scrap_cases)
def test_a_result_is_a_finite_number_a_truth_or_says_why_not(case: Case):
    value = here(case)
    if isinstance(value, Unknown):
        assert list(value.needs) == sorted(set(value.needs)) and list(value.because) == sorted(set(value.because))
        assert value.needs or value.because
    else:
        assert isinstance(value, bool) or (type(value) is float and math.isfinite(value))


@pytest.mark.parametrize("deep", [99, 100, 101, 100_000])
def test_a_tree_without_end_is_broken_and_a_deep_one_is_walked(deep: int):
    tree: Any = 1
    for _ in range(deep):
        tree = ["neg", tree]
    assert evaluate(tree, Env()) == ((-1.0) ** deep if deep <= 100 else operators.BROKEN)


def test_more_parts_than_a_formula_can_have_are_broken():
    assert evaluate(["max", *range(500)], Env()) == 499
    assert evaluate(["max", *range(501)], Env()) == operators.BROKEN


def test_a_name_that_is_text_or_without_end_is_no_number():
    names: dict[str, Any] = {"word": "5.5", "endless": math.inf, "long": 10**400}
    assert evaluate(["name", "word"], Env(names)) == operators.BROKEN
    assert evaluate(["name", "endless"], Env(names)) == evaluate(["name", "long"], Env(names)) == operators.LARGE


# -- the calendar ------------------------------------------------------------------------------------------------------

all_days = st.dates().map(dates.to_days)


@LAW
@given(all_days, st.integers(-400, 400))
def test_months_later_is_the_same_day_of_the_month_or_its_last(days: int, months: int):
    value = evaluate(["add-months", days, months], Env())
    start = dates.to_date(days)
    assert start
    if value == operators.LARGE:
        assert start.year < 35 or start.year > 9965
        return
    assert isinstance(value, float)
    end = dates.to_date(int(value))
    assert end and (end.year - start.year) * 12 + end.month - start.month == months
    assert end.day == start.day or (end.day < start.day and (end + timedelta(1)).day == 1)


@LAW
@given(st.integers(-700_000, 2_900_000), st.integers(-10_000, 10_000))
def test_days_added_lie_between(days: int, more: int):
    later = evaluate(["add-days", days, more * DAY], Env())
    assert later == days + more
    assert evaluate(["between", days, later], Env()) == more * DAY


def test_the_calendar_runs_from_year_1_to_year_9999():
    assert dates.to_date(dates.FIRST) == date.min and dates.to_date(dates.LAST) == date.max
    assert dates.to_date(dates.FIRST - 1) is None and dates.to_date(dates.LAST + 1) is None
    assert dates.to_days(date(1970, 1, 1)) == 0
