"""Mixing coolant against the arithmetic of dilution: C litres in all, R stayed inside at r, t is wanted.

Concentrate = C t - R r, and water is the rest of what came out. Volumes are taken as additive. Figures worked out by
hand.
"""

from __future__ import annotations

import pytest

from tests.published.lookup import read
from tests.published.worked import TODAY, work

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
        TODAY,
        True,
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
    """V (t - r) / (1 - r): of 8 L at 35 %, 1.846 L are swapped to reach half, 1.6 L to reach 48 %.

    Nobody can read half from 48 % on a refractometer: with concentrate alone that is as wanted.
    """
    enough, nearly, hardly, short = (mix(8, 8 - out, 35)["concentrate"] for out in (1.847, 1.845, 1.601, 1.599))
    assert [one.bad for one in (enough, nearly, hardly, short)] == [False, False, False, True]
    assert [one.verdict for one in (nearly, hardly)] == ["Concentrate alone"] * 2
    assert (nearly.value, hardly.value) == (pytest.approx(1.845), pytest.approx(1.601))
    assert mix(8, 4, 35)["swap_concentrate"].value == pytest.approx(1.846, abs=0.0005)
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


def test_nearly_the_mix_wanted_is_possible_and_as_wanted_alike():
    """8 L of which 4.1 L of water stayed inside: 3.9 / 8 = 48.75 % can be reached, half is wanted."""
    worked = mix(8, 4.1, 0, mix_in_can="100%", glycol="flushed")
    assert worked["best_mix"].value == pytest.approx(48.75)
    assert (worked["concentrate"].verdict, worked["concentrate"].bad) == ("Concentrate alone", False)
    assert (worked["concentrate"].value, worked["water"].value) == (pytest.approx(3.9), pytest.approx(0))
    assert (worked["mix_expected"].verdict, worked["mix_expected"].bad) == ("As wanted", False)


@pytest.mark.parametrize(("out", "verdict"), [("6L", "Possible"), ("6.04L", "All of it"), ("6.3L", "All of it")])
def test_a_book_rounds_its_capacity_by_a_twentieth(out, verdict):
    worked = work("coolant-choice", drained=out, coolant_capacity="6L", mix_wanted="50%", coolant_kind="flushed")
    assert (worked["left_inside"].verdict, worked["left_inside"].value) == (verdict, 0)
    assert not worked["concentrate"].bad
    assert worked["concentrate"].value + worked["water"].value == pytest.approx(float(out[:-1]))


@pytest.mark.parametrize("out", ["6.301L", "6301mL", "1.6646gal"])
def test_more_than_a_twentieth_over_the_book_is_read_again(out):
    worked = work("coolant-choice", drained=out, coolant_capacity="6L", mix_wanted="50%", coolant_kind="flushed")
    assert (worked["left_inside"].verdict, worked["left_inside"].bad) == ("More than it holds", True)
    assert (worked["concentrate"].verdict, worked["concentrate"].bad) == ("More out than it holds", True)


def test_of_another_kind_nothing_is_known_but_the_litres():
    typed = {"mix_in_can": "50%", "freeze_now": "-37degC", "coolant_capacity": "8L"}
    worked = work("coolant-choice", drained="5L", coolant_kind="other", mix_wanted="50%", **typed)
    unknown = {name for name, result in worked.items() if result.value is None}
    assert {"propylene", "mix_left", "concentrate", "mix_expected", "protects_to"} <= unknown
    assert {name: worked[name].value for name in ("in_all", "left_inside")} == {"in_all": 8, "left_inside": 3}
    hot = work("heat-test", drained="5L", cap_says="110kPa", shop_altitude="0m", coolant_kind="other", **typed)
    cold = work("refill-vacuum", drained="5L", coolant_temperature="20degC", coolant_kind="other", **typed)
    assert (hot["boils_at"].value, cold["coolant_vapour"].value, cold["vacuum_pull"].value) == (None, None, None)


def test_old_coolant_left_after_one_two_and_as_many_drains_as_it_takes():
    """((C - D) / C)^n, by hand: 3/8 is 37.5 %, twice 14.0625 %; 5/9 twice 30.9 %."""
    worked = mix(8, 3, 0)
    assert (worked["old_left"].value, worked["old_left_twice"].value) == (37.5, pytest.approx(14.0625))
    assert mix(9, 5, 0)["old_left_after"].value == pytest.approx(2500 / 81)
    dry = mix(8, 0, 0)
    assert (dry["drains"].value, dry["old_left_after"].value) == (1, 0)
    rich = mix(8, 3, 55)
    assert (rich["drains"].value, rich["swap_concentrate"].value, rich["old_left_after"].value) == (0, 0, 100)


@pytest.mark.parametrize(("inside", "verdict"), [(1.333, "Possible"), (1.334, "Beyond the refractometer")])
def test_a_can_richer_than_the_scale_is_mixed_by_the_litres(inside, verdict):
    """8 L, half wanted: with 4/3 L of water inside the can is 4 of 6.667 L, 60 %."""
    worked = mix(8, inside, 0, glycol="flushed")
    assert (worked["concentrate"].verdict, worked["concentrate"].bad) == (verdict, False)


@pytest.mark.parametrize(("hose", "bad"), [("38degC", False), ("100.4degF", False), ("38.1degC", True)])
def test_at_its_limit_the_cap_may_come_off(hose, bad):
    for procedure, reading, over in (
        ("cap-off", "hose_temperature", "hose_over"),
        ("cold-re-check", "hose_temperature_again", "hose_over_again"),
    ):
        assert work(procedure, **{reading: hose, "cap_open_limit": "38degC"})[over].bad is bad


@pytest.mark.parametrize(("mix_now", "concentrate", "water"), [("40%", 1.3333, 0), ("50%", 0, 0), ("60%", 0, 1.3333)])
def test_the_cold_check_says_how_much_is_drawn_off_in_one_step(mix_now, concentrate, water):
    """8 L, half wanted: 8 (0.5 - 0.4) / 0.6 of concentrate, 8 (0.6 - 0.5) / 0.6 of water, by hand."""
    worked = work("cold-re-check", TODAY, True, mix_in_car=mix_now, mix_wanted="50%", coolant_capacity="8L")
    assert worked["concentrate_now"].value == pytest.approx(concentrate, abs=1e-4)
    assert worked["water_now"].value == pytest.approx(water, abs=1e-4)
