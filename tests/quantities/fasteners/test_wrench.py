"""The setting on the wrench: adapters, marks inside the tolerance, and the trees that the phone works out."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from generator.quantities.fasteners.wrench import (
    NO_ADAPTER,
    NO_ANGLE,
    NO_LEVER,
    NO_SETTING,
    TOO_LONG,
    WrenchScale,
    adapted,
    already_set,
    pick,
    received,
    setting,
    tolerance_of,
)
from generator.quantities.formulas.evaluation import Env, Unknown, evaluate
from generator.quantities.quantity import Quantity
from generator.quantities.trees import EXPECTED, SETTING, SLIPS, TORQUE
from generator.quantities.units import KINDS, to_base

TREES = [tree for of in (SETTING, TORQUE, SLIPS, *EXPECTED.values()) for tree in of.values()]
TORQUES, LEVERS = st.floats(0.5, 500), st.floats(0.05, 2)
often = settings(max_examples=200, deadline=None, derandomize=True)


@st.composite
def wrenches(draw: Any) -> WrenchScale:
    """Return any wrench whose range has marks. Its ends need not be marks themselves."""
    unit = draw(st.sampled_from(KINDS["torque"]))
    step = draw(st.sampled_from([0.05, 0.1, 0.2, 0.25, 0.5, 1, 2, 2.5, 5, 10]))
    low = draw(st.integers(1, 200)) * draw(st.sampled_from([step, step / 2, 0.1]))
    high = low + step * draw(st.integers(1, 300))
    return WrenchScale("any", low, high, step, unit, draw(st.sampled_from(["II A", "II D", "I B"])))


def marks_near(wrench: WrenchScale, number: float) -> list[float]:
    """Return marks of the wrench around a number of its unit, found without the code under test."""
    at = math.floor(number / wrench.step)
    marks = [(at + more) * wrench.step for more in range(-2, 4)]
    return [mark for mark in marks if wrench.low * (1 - 1e-9) <= mark <= wrench.high * (1 + 1e-9)]


@often
@given(TORQUES, LEVERS, LEVERS)
def test_an_adapter_square_to_the_handle_changes_nothing(target: float, lever: float, adapter: float):
    lever, adapter = max(lever, adapter), min(lever, adapter)
    assert setting(target, lever, adapter, 90) == pytest.approx(target, rel=1e-12)
    assert setting(target, lever, adapter, -90) == pytest.approx(target, rel=1e-12)


@often
@given(TORQUES, LEVERS, LEVERS, st.floats(-170, 170))
def test_the_bolt_gets_the_setting_times_the_longer_lever(target: float, lever: float, adapter: float, angle: float):
    reach = lever + adapter * math.cos(math.radians(angle))
    found = setting(target, lever, adapter, angle)
    assume(abs(reach - lever / 2) > 1e-6 and abs(adapter - lever) > 1e-6)
    if reach < lever / 2 or adapter > lever:
        assert isinstance(found, Unknown) and isinstance(received(target, lever, adapter, angle), Unknown)
    else:
        assert found * reach / lever == pytest.approx(target, rel=1e-9)
        assert received(found, lever, adapter, angle) == pytest.approx(target, rel=1e-12)


@often
@given(TORQUES, LEVERS, st.floats(0, 0.499), st.floats(0, 180), st.floats(0, 180))
def test_the_further_round_the_adapter_the_more_is_set(
    target: float, lever: float, part: float, one: float, other: float
):
    near, far = (setting(target, lever, part * lever, angle) for angle in sorted((one, other)))
    assert near <= far * (1 + 1e-12)
    assert setting(target, lever, part * lever, -one) == setting(target, lever, part * lever, one)


def test_an_adapter_folded_right_back_shortens_the_lever():
    assert setting(24, 0.3, 0.06, 180) == pytest.approx(24 * 0.3 / 0.24, rel=1e-12)


@pytest.mark.parametrize(
    ("lever", "adapter", "angle"), [(0.05, 0.06, 180), (0.06, 0.06, -180), (0.1, 0.2, 120), (0.1, 0.2, 150),
                                    (0, 0.1, 0), (-0.3, 0.06, 0), (0.3, -0.06, 0), (0.05, 0.1, 120)],
)  # fmt: skip
def test_an_adapter_that_leaves_no_lever_has_no_setting(lever: float, adapter: float, angle: float):
    assert setting(25, lever, adapter, angle) == Unknown(because=("zero",))
    found = adapted(Quantity("25", "N.m"), lever, adapter, angle)
    assert (found.setting, found.verdict) == (None, "not possible")
    back = already_set(Quantity("25", "N.m"), lever, adapter, angle)
    assert (back.target, back.verdict, back.says) == (None, "not possible", found.says)


@pytest.mark.parametrize(
    ("lever", "adapter", "angle", "says"),
    [
        (0, 0.06, 0, NO_LEVER), (-0.3, 0.06, 0, NO_LEVER), (0.3, -0.06, 0, NO_ADAPTER), (0.3, 0.301, 0, TOO_LONG),
        (0.3, 3, 90, TOO_LONG), (0.3, 0.06, 181, NO_ANGLE), (0.3, 0.299, 180, NO_SETTING),
        (0.3, 0.151, 180, NO_SETTING),
    ],
)  # fmt: skip
def test_what_is_wrong_with_lever_or_adapter_is_blamed_and_nothing_else(
    lever: float, adapter: float, angle: float, says: str
):
    assert adapted(Quantity("25", "N.m"), lever, adapter, angle).says == says


@pytest.mark.parametrize(("adapter", "angle"), [(0.15, 180), (0.15, -180), (0.3, 120), (0.3, 0), (0, 0)])
def test_half_of_the_lever_is_enough_and_an_adapter_may_be_as_long_as_the_wrench(adapter: float, angle: float):
    found = adapted(Quantity("25", "N.m"), 0.3, adapter, angle)
    assert found.verdict == "can be set" and 12.5 * (1 - 1e-9) <= found.setting <= 50 * (1 + 1e-9)


def test_a_wrench_that_is_set_already_tells_what_the_bolt_gets():
    """A US Army manual, TM 9-254 page 91, read in public: set 60 lbf.in on 12 in with 2 in, the bolt gets 70."""
    found = already_set(Quantity("60", "lbf.in"), 12 * 0.0254, 2 * 0.0254, 0)
    assert found.target == pytest.approx(to_base(70, "lbf.in"))
    assert found.says == "Set to 60 lbf.in, the wrench gives the bolt 70 lbf.in, 17 % more than is set."
    assert already_set(Quantity("25", "N.m"), 0.3, 0.06, 90).says == "Set to 25 N.m, the wrench gives the bolt 25 N.m."
    folded = already_set(Quantity("25", "N.m"), 0.3, 0.06, 180).says
    assert folded == "Set to 25 N.m, the wrench gives the bolt 20 N.m, 20 % less than is set."


def test_what_is_not_measured_yet_is_said_to_be_needed():
    assert evaluate(SETTING["setting"], Env({"target": 25.0, "angle": 0.0})) == Unknown(("adapter", "lever"))


@often
@given(wrenches(), st.floats(0.3, 700), st.one_of(st.none(), st.floats(0.01, 20)))
def test_rounding_to_a_step_never_leaves_the_tolerance(wrench: WrenchScale, target: float, tolerance: float | None):
    for one in pick(target, tolerance, [wrench]):
        allowed = tolerance_of(wrench, target) if tolerance is None else tolerance
        off = abs(to_base(one.number, wrench.unit) - target)
        assert one.tolerance == allowed and one.inside == (off <= allowed * (1 + 1e-9))
        assert one.number / wrench.step == pytest.approx(round(one.number / wrench.step), abs=1e-6)
        assert wrench.low * (1 - 1e-9) <= one.number <= wrench.high * (1 + 1e-9)
        assert float(one.text) == pytest.approx(one.number)


@often
@given(wrenches(), st.data())
def test_no_mark_of_the_wrench_is_nearer(wrench: WrenchScale, data: Any):
    number = data.draw(st.floats(wrench.low, wrench.high))
    nearest = min(abs(mark - number) for mark in marks_near(wrench, number))
    (one,) = pick(to_base(number, wrench.unit), 1.0, [wrench])
    assert abs(one.number - number) == pytest.approx(nearest, abs=1e-6)


def test_where_no_mark_is_inside_it_is_said():
    coarse, fine = WrenchScale("coarse", 10, 100, 5), WrenchScale("fine", 5, 25, 0.5)
    assert [(one.wrench.name, one.text, one.inside) for one in pick(12.4, 0.3, [coarse, fine])] == [
        ("coarse", "10", False),
        ("fine", "12.5", True),
    ]


def test_a_wrench_out_of_whose_range_it_is_is_not_offered():
    wrench = WrenchScale("one", 20, 100, 0.5)
    assert [len(pick(target, None, [wrench])) for target in (19.99, 20, 60.2, 100, 100.01)] == [0, 1, 1, 1, 0]
    assert pick(5.5, None, [WrenchScale("without a mark", 5.2, 5.8, 1)]) == []


def test_a_setting_is_in_the_wrenchs_own_unit():
    picks = pick(25, None, [WrenchScale("feet", 10, 80, 0.5, "lbf.ft"), WrenchScale("inches", 40, 250, 1, "lbf.in")])
    assert [(one.text, one.wrench.unit) for one in picks] == [("18.5", "lbf.ft"), ("221", "lbf.in")]


def test_a_mark_is_within_the_range_even_where_the_nearest_is_not():
    """The range ends between marks: 24.9 is nearer to 25, but the wrench has no 25."""
    assert [one.text for one in pick(24.9, 1, [WrenchScale("odd", 6, 24.9, 1)])] == ["24"]


@pytest.mark.parametrize("tree", TREES)
def test_a_tree_is_json_that_the_phone_can_walk(tree: Any):
    def depth(node: Any) -> int:
        return 1 + max((depth(part) for part in node[1:]), default=0) if isinstance(node, list) else 0

    assert json.loads(json.dumps(tree)) == tree
    assert depth(tree) <= 40


@often
@given(wrenches(), st.floats(0.3, 700), st.floats(0.01, 20))
def test_the_trees_give_what_pick_gives(wrench: WrenchScale, target: float, tolerance: float):
    marks = {name: to_base(getattr(wrench, name), wrench.unit) for name in ("low", "high", "step")}
    env = Env({"setting": target, "tolerance": tolerance, **marks})
    picks = pick(target, tolerance, [wrench])
    assert evaluate(SETTING["offered"], env) is bool(picks)
    for one in picks:
        assert evaluate(SETTING["rounding"], env) == one.base
        assert evaluate(SETTING["inside"], env) is one.inside
