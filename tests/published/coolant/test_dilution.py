"""Mixing coolant against the arithmetic of dilution: C litres in all, R stayed inside at r, t is wanted.

Concentrate = C t - R r, and water is the rest of what came out. Volumes are taken as additive. Figures worked out by
hand.
"""

from __future__ import annotations

import pytest

from tests.published.lookup import read
from tests.published.worked import work

# Litres in all, stayed inside, its mix in %, wanted in %: concentrate, water.
MIXES = [
    (8.0, 3.0, 0, 50, 4.00, 1.00),
    (7.5, 2.0, 0, 50, 3.75, 1.75),
    (10.0, 4.0, 20, 50, 4.20, 1.80),
]


def mix(holds: float, inside: float, share: float, wanted: float = 50, /, glycol: str = "ethylene", **more: str):
    """Return what the coolant procedure works out. The mix inside is known from its freezing point, as in a shop."""
    freezes = read(f"freezing_point_of_{'propylene' if glycol == 'propylene' else 'glycol'}", share)
    return work(
        "coolant-choice",
        coolant_capacity=f"{holds}L",
        drained=f"{round(holds - inside, 3)}L",
        freeze_now=f"{freezes:.9f}degC",
        mix_wanted=f"{wanted}%",
        coolant_kind=glycol,
        **more,
    )


@pytest.mark.parametrize(("holds", "inside", "share", "wanted", "concentrate", "water"), MIXES)
def test_concentrate_and_water_make_up_what_stayed_inside(holds, inside, share, wanted, concentrate, water):
    worked = mix(holds, inside, share, wanted)
    assert worked["left_inside"].value == pytest.approx(inside)
    assert worked["mix_left"].value == pytest.approx(share, abs=1e-6)
    assert worked["concentrate"].value == pytest.approx(concentrate, abs=1e-6)
    assert worked["water"].value == pytest.approx(water, abs=1e-6)
    assert not worked["concentrate"].bad


def test_after_a_flush_what_stayed_inside_counts_as_water_whatever_was_drained():
    worked = mix(8, 3, 35, glycol="flushed")
    assert (worked["concentrate"].value, worked["water"].value) == (pytest.approx(4), pytest.approx(1))


def test_more_concentrate_than_there_is_room_for_is_refused_with_what_can_be_reached():
    """9 L, 5 L of water inside, half wanted: 4.5 L of concentrate into 4 L. 4/9 can be reached; two fills do it."""
    worked = mix(9, 5, 0)
    assert worked["concentrate"].value == pytest.approx(4.5)
    assert worked["concentrate"].bad
    assert worked["best_mix"].value == pytest.approx(400 / 9)
    assert worked["drains"].value == 2


def test_premix_on_top_of_water_is_far_too_thin():
    """8 L, 3 L of water inside, filled up with half mix: 31.25 %, not 50."""
    worked = mix(8, 3, 0, mix_in_can="50%")
    assert worked["mix_expected"].value == pytest.approx(31.25)
    assert worked["mix_expected"].bad


def test_what_is_swapped_for_concentrate_is_just_enough_or_just_not():
    """V (t - r) / (1 - r): of 8 L at 35 %, 1.846 L are swapped to reach half."""
    assert not mix(8, 8 - 1.847, 35)["concentrate"].bad
    assert mix(8, 8 - 1.845, 35)["concentrate"].bad
    assert mix(8, 8 - 1.846, 35)["best_mix"].value == pytest.approx(50, abs=0.01)


def test_each_drain_leaves_the_same_part_of_the_old_coolant():
    """((C - D) / C)^n: of 8 L, 5 L drained and filled with water, twice, 14.1 % of the old are left."""
    once = mix(8, 3, 50, mix_in_can="0%")["mix_expected"].value
    twice = mix(8, 3, once, mix_in_can="0%")["mix_expected"].value
    assert twice / 50 == pytest.approx(0.141, abs=0.0005)


@pytest.mark.parametrize(("glycol", "freezes"), [("ethylene", -37.0), ("propylene", -33.6)])
def test_the_mix_that_comes_out_protects_as_the_handbook_says(glycol, freezes):
    """ASHRAE Handbook Fundamentals 2001, in a straight line between its rows at 50 % by volume."""
    worked = mix(8, 3, 50, mix_in_can="50%", glycol=glycol)
    assert worked["mix_expected"].value == pytest.approx(50, abs=1e-6)
    assert worked["protects_to"].value == pytest.approx(freezes, abs=0.06)
