"""What is said of a stretch is true of every point in it, and a formula with the known put in gives what it gave."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from generator.quantities.formulas.enclosure import enclosed
from generator.quantities.formulas.evaluation import Env, Unknown, evaluate
from generator.quantities.formulas.folding import folded

ALONE = ["neg", "abs", "sqrt", "round", "floor", "ceil", "exp", "log"]
TABLE = [[-20.0, 5.0], [-3.0, -7.0], [0.0, -7.0], [4.5, 2.0], [20.0, 30.0]]
TABLES = {"t": TABLE}
FIGURES = st.one_of(st.sampled_from([0.0, 1.0, -1.0, 0.5, 3.0]), st.floats(-30, 30, allow_nan=False))
LEAVES = st.one_of(FIGURES, st.just(["name", "x"]), st.just(["name", "x"]), st.just(["name", "a"]))


def _more(trees: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    def form(*names: str) -> st.SearchStrategy[Any]:
        return st.builds(lambda name, a, b: [name, a, b], st.sampled_from(names), trees, trees)

    truth = form("<", "<=", ">", ">=", "==", "!=")
    truths = st.one_of(
        truth,
        st.builds(lambda name, a, b: [name, a, b], st.sampled_from(["and", "or"]), truth, truth),
        st.builds(lambda a: ["not", a], truth),
    )
    return st.one_of(
        form("+", "-", "*", "/", "min", "max"),
        st.builds(
            lambda name, a: [name, a],
            st.sampled_from(ALONE),
            trees,
        ),
        st.builds(lambda a, n: ["**", a, n], trees, st.sampled_from([2, 3, -1, 0.5])),
        st.builds(lambda a: ["%", a, 3], trees),
        st.builds(lambda a: ["interp", "t", a], trees),
        st.builds(lambda c, a, b: ["if", c, a, b], truths, trees, trees),
        truths,
    )


TREES = st.recursive(LEAVES, _more, max_leaves=12)


@given(tree=TREES, ends=st.tuples(FIGURES, FIGURES), shares=st.lists(st.floats(0, 1), min_size=1, max_size=8))
@settings(max_examples=1500, deadline=None)
def test_what_is_sure_of_a_stretch_is_true_of_each_point(tree: Any, ends: Any, shares: Any) -> None:
    low, high = sorted(ends)
    said = enclosed(tree, {"x": (low, high), "a": (2.0, 2.0)}, TABLES)
    for share in [0.0, 1.0, *shares]:
        x = min(max(low + (high - low) * share, low), high)
        value = evaluate(tree, Env({"x": x, "a": 2.0}, {}, TABLES))
        if isinstance(said, bool):
            assert value is said
        elif said is not None:
            assert not isinstance(value, bool | Unknown) and said[0] <= value <= said[1]


def test_ends_are_widened_by_more_than_counts_as_equal() -> None:
    """10 of 9.2 +/- 0.8 is a figure at its limit: 10 - 9.2 is 0.8000000000000007 in doubles, and counts as 0.8."""
    tree = [">", ["-", ["name", "x"], 9.2], 0.8]
    assert evaluate(tree, Env({"x": 10.0}, {}, TABLES)) is False
    assert enclosed(tree, {"x": (10.0, 10.0)}, TABLES) is not True


def test_a_form_with_the_wrong_parts_is_not_sure() -> None:
    for tree in (["+", 1, 2, 3], ["min"], ["-", 1], ["round"], ["**", 2], ["if", True], ["not"], ["interp", "t"]):
        assert enclosed(tree, {}, TABLES) is None, tree


@given(tree=TREES, x=FIGURES)
@settings(max_examples=500, deadline=None)
def test_a_formula_with_the_known_put_in_gives_what_it_gave(tree: Any, x: float) -> None:
    part = folded(tree, Env({"a": 2.0}, {}, TABLES))
    whole, left = (evaluate(one, Env({"x": x, "a": 2.0}, {}, TABLES)) for one in (tree, part))
    assert left == whole


def test_a_stretch_is_decided_where_it_can_be() -> None:
    """The sweeps would be right, and slow, if nothing were ever sure."""
    off = ["abs", ["-", ["name", "x"], 6.4]]
    assert enclosed([">", off, 0.6], {"x": (8.0, 60.0)}) is True
    assert enclosed([">", off, 0.6], {"x": (6.0, 6.9)}) is False
    assert enclosed([">", off, 0.6], {"x": (6.0, 7.1)}) is None
    assert enclosed(["<", ["interp", "t", ["name", "x"]], 3], {"x": (-3.0, 4.0)}, TABLES) is True
    assert enclosed(["interp", "t", ["name", "x"]], {"x": (-30.0, 4.0)}, TABLES) is None


def test_nothing_is_sure_where_a_divisor_goes_through_zero_or_a_root_below_it() -> None:
    assert enclosed(["/", 1, ["name", "x"]], {"x": (-1.0, 1.0)}) is None
    assert enclosed(["/", 1, ["name", "x"]], {"x": (0.0, 1.0)}) is None
    assert enclosed(["**", ["name", "x"], 0.5], {"x": (-1.0, 1.0)}) is None
    assert enclosed(["/", 2, ["name", "x"]], {"x": (5e-324, 1.0)}) is None
    assert enclosed(["**", ["name", "x"], 400], {"x": (1.0, 1e9)}) is None
