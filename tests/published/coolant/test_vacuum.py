"""The vacuum refill's formulas against the standard atmosphere, vapour pressures and Boyle's law."""

from __future__ import annotations

import math

import pytest

from generator.quantities.units import from_base, to_base
from generator.terminal.trial import Mistyped
from tests.published.worked import work

# fluids 1.3.1 and ambiance 1.3.1 alike: m above the sea, greatest reading of a vacuum gauge in inHg.
GREATEST = [(0, 29.92), (300, 28.87), (500, 28.19), (1000, 26.54), (1500, 24.97), (2000, 23.48), (3000, 20.71)]
# The same share of it as 25 inHg is at sea level, worked out with fluids 1.3.1: m, inHg.
SCALED = [(1000, 22.2), (1500, 20.9), (2000, 19.6)]
# CoolProp 8.0.0 and Raoult's law: degC, vacuum in inHg at which water, half mix boils at sea level.
HOT = [(20, 29.2, 29.4), (60, 24.0, 25.5), (80, 15.9, 19.3), (90, 9.2, 14.2)]


def inhg(answer) -> float:
    return from_base(to_base(answer.value, answer.unit), "inHg(vac)")


def refill(metres: float, /, **typed: str):
    """A cold engine with half mix inside and in the can, unless the test types something else."""
    usual = {
        "coolant_temperature": "20degC",
        "freeze_now": "-37.5degC",
        "mix_in_can": "51%",
        "coolant_kind": "ethylene",
    }
    return work("refill-vacuum", shop_altitude=f"{metres}m", **{**usual, **typed})


@pytest.mark.parametrize(("metres", "most"), GREATEST)
def test_no_gauge_shows_more_than_the_air_outside(metres, most):
    assert inhg(refill(metres)["vacuum_greatest"]) == pytest.approx(most, abs=0.011)


def test_a_sheet_for_low_ground_is_never_refused_without_what_to_pull_instead():
    """25 inHg; fluids 1.3.1: the air pushes with 29.92, 26.54 and 24.97 inHg. 92 % of 26.54 is 24.4."""
    low, higher, top = (refill(at, fill_vacuum="25inHg") for at in (0, 1000, 1500))
    said = [worked["vacuum_wanted"].verdict for worked in (low, higher, top)]
    assert said == ["Possible", "Deeper than fillers reach", "Not possible here"]
    assert [worked["vacuum_wanted"].bad for worked in (low, higher, top)] == [False, False, False]
    assert inhg(low["vacuum_pull"]) == pytest.approx(25)
    assert inhg(higher["vacuum_pull"]) == pytest.approx(0.85 * 26.54, abs=0.01)
    assert inhg(top["vacuum_pull"]) == pytest.approx(0.85 * 24.97, abs=0.01)


def test_a_cold_engine_high_up_is_told_what_to_pull_and_not_to_cool_down():
    """1600 m, 24.5 inHg, 5 degC: 24.6 inHg of air (fluids 1.3.1: 83.5 kPa), of which 92 % is 22.7."""
    worked = refill(1600, fill_vacuum="24.5inHg", coolant_temperature="5degC")
    assert (worked["vacuum_wanted"].verdict, worked["vacuum_wanted"].bad) == ("Deeper than fillers reach", False)
    assert "cool" not in worked["vacuum_wanted"].says
    assert inhg(worked["vacuum_pull"]) == pytest.approx(0.85 * 24.66, abs=0.02)


def test_the_usual_share_is_asked_just_above_92_percent():
    """0 m, 101.325 kPa: 92 % is 93.219 kPa, in any unit; 85 % is 86.126."""
    at, above = refill(0, fill_vacuum="93.219kPa"), refill(0, fill_vacuum="93.22kPa")
    assert (at["vacuum_wanted"].verdict, above["vacuum_wanted"].verdict) == ("Possible", "Deeper than fillers reach")
    assert at["vacuum_pull"].value == pytest.approx(93.219)
    assert above["vacuum_pull"].value == pytest.approx(86.126, abs=0.001)
    assert refill(0, fill_vacuum="0.93219bar")["vacuum_wanted"].verdict == "Possible"


# Flushed, 60 degC, 0 m: water boils at 101.325 - 19.96 (the table's row) = 81.37 kPa of vacuum; 95 % of it is 77.3.
WARM = {"coolant_temperature": "60degC", "coolant_kind": "flushed", "mix_in_can": "50%"}


def test_no_pull_and_no_hold_test_passes_on_vapour():
    """80 kPa at 60 degC, where water boils at 81.4: 95 % of it is 77.3, and the gauge is read to 1 kPa."""
    worked = refill(0, fill_vacuum="80kPa", vacuum_start="80kPa", vacuum_end="80kPa", **WARM)
    assert worked["vacuum_pull"].value == pytest.approx(77.3, abs=0.05)
    assert (worked["vacuum_wanted"].verdict, worked["vacuum_wanted"].bad) == ("Too near boiling", False)
    assert (worked["vacuum_reached"].verdict, worked["vacuum_reached"].bad) == ("Too near boiling", True)
    assert (worked["vacuum_lost"].verdict, worked["vacuum_lost"].bad) == ("Nothing proved", True)


@pytest.mark.parametrize("unit", ["kPa", "bar", "inHg", "mmHg"])
def test_the_gauge_may_stand_half_a_division_over_the_limit_and_no_more(unit):
    limit = refill(0, **WARM)["vacuum_limit"].value
    half = {"kPa": 1, "bar": 0.01, "inHg": 0.25, "mmHg": 5}[unit]
    at = from_base(to_base(limit, "kPa(vac)"), f"{unit}(vac)")
    for more, verdict in ((half * 0.999, "It stood"), (half * 1.001, "Nothing proved")):
        typed = f"{at + more:.9g}{unit}"
        worked = refill(0, vacuum_start=typed, vacuum_end=typed, **WARM)
        assert worked["vacuum_lost"].verdict == verdict
        assert worked["vacuum_reached"].bad is (verdict != "It stood")


def test_what_boils_is_never_proved_however_hot():
    """Just at boiling, where 95 % and half a division reach beyond it: 97 degC leaves 10 kPa."""
    for degc in (50, 70, 90, 95):
        hot = {**WARM, "coolant_temperature": f"{degc}degC"}
        boils = refill(0, **hot)["vacuum_boils"].value
        typed = f"{boils:.9g}kPa"
        worked = refill(0, vacuum_start=typed, vacuum_end=typed, **hot)
        assert (worked["vacuum_lost"].verdict, worked["vacuum_reached"].verdict) == (
            "Nothing proved",
            "Too near boiling",
        )


def test_hot_coolant_without_a_sheet_is_not_possible_but_too_hot():
    """90 degC: water leaves 31.1 kPa of 101.3, far from the 70 % that are worth a pull."""
    hot = refill(0, **{**WARM, "coolant_temperature": "90degC"})
    assert (hot["vacuum_wanted"].verdict, hot["vacuum_wanted"].bad) == ("Too hot", True)
    assert "Let it cool" in hot["vacuum_wanted"].says


def test_a_gauge_that_falls_by_more_than_the_sheet_or_two_kilopascals_does_not_stand():
    cold = {"vacuum_start": "85kPa"}
    assert refill(0, vacuum_end="83kPa", **cold)["vacuum_lost"].verdict == "It stood"
    assert refill(0, vacuum_end="82.9kPa", **cold)["vacuum_lost"].verdict == "It fell"
    assert refill(0, vacuum_end="82.9kPa", vacuum_loss_allowed="3kPa", **cold)["vacuum_lost"].verdict == "It stood"
    assert refill(0, vacuum_end="83kPa", vacuum_loss_allowed="1kPa", **cold)["vacuum_lost"].verdict == "It fell"


@pytest.mark.parametrize(("metres", "share"), SCALED)
def test_the_target_falls_with_the_air(metres, share):
    low, high = (inhg(refill(at)["vacuum_pull"]) for at in (0, metres))
    assert 25 * high / low == pytest.approx(share, abs=0.05)


@pytest.mark.parametrize(("temperature", "water", "mix"), HOT)
def test_hot_coolant_boils_at_less_vacuum(temperature, water, mix):
    hot = f"{temperature}degC"
    flushed = refill(0, coolant_temperature=hot, coolant_kind="flushed")
    assert inhg(flushed["vacuum_boils"]) == pytest.approx(water, abs=0.06)
    assert inhg(refill(0, coolant_temperature=hot)["vacuum_boils"]) == pytest.approx(mix, abs=0.06)


@pytest.mark.parametrize(("temperature", "water", "mix"), HOT)
def test_the_target_never_makes_the_coolant_boil(temperature, water, mix):
    worked = refill(0, coolant_temperature=f"{temperature}degC")
    assert inhg(worked["vacuum_pull"]) < mix


def test_twenty_four_inches_leave_a_fifth_of_the_air():
    """Boyle's law, no vapour: 8 L at sea level pulled to 24 inHg leave 19.8 %, 1.58 L once the pressure is back."""
    worked = refill(0, drained="8L", vacuum_end="24inHg")
    assert worked["air_left"].value == pytest.approx(1.58, abs=0.005)


# --- the barometer ----------------------------------------------------------------------------------------------------

# ICAO 7488/3, as fluids 1.3.1 gives it: m, kPa.
STANDARD = [(0, 101.325), (500, 95.461), (1000, 89.875), (1500, 84.556), (2000, 79.495)]


@pytest.mark.parametrize(("metres", "kpa"), STANDARD)
def test_a_barometer_in_place_of_the_altitude_gives_the_same_vacuum(metres, kpa):
    by_altitude = refill(metres, fill_vacuum="80kPa")
    read = {"barometer": f"{kpa}kPa", "fill_vacuum": "80kPa"}
    usual = {"coolant_temperature": "20degC", "freeze_now": "-37.5degC", "mix_in_can": "51%"}
    by_barometer = work("refill-vacuum", coolant_kind="ethylene", **usual, **read)
    for name in ("vacuum_greatest", "vacuum_share", "vacuum_boils", "vacuum_pull"):
        assert by_barometer[name].value == pytest.approx(by_altitude[name].value, abs=0.02), name
    assert by_barometer["vacuum_wanted"].verdict == by_altitude["vacuum_wanted"].verdict


def test_weather_moves_what_a_gauge_can_show_as_torricelli_saw():
    """29 inHg of air: no vacuum gauge shows more than 29 inHg. It is typed in each unit that a barometer has."""
    for typed in ("29inHg", "982.05mbar", "982.05hPa", "736.6mmHg", "98.205kPa", "0.98205bar"):
        worked = refill(0, barometer=typed)
        assert inhg(worked["vacuum_greatest"]) == pytest.approx(29, abs=0.002), typed
        assert worked["air_outside"].verdict == "Possible"


@pytest.mark.parametrize("metres", [310, 500, 1500])
def test_a_barometer_set_to_sea_level_is_told_wherever_it_would_matter(metres):
    """ICAO: 97.66, 95.46 and 84.56 kPa. A report says 101.3 as if the place lay at the sea."""
    report = refill(metres, barometer="101.3kPa")["air_outside"]
    assert (report.verdict, report.bad) == ("Cannot be the air pressure here", True)
    assert f"{math.floor(dict(AIR)[metres] * 10) / 10} kPa" in report.says


AIR = [(0, 101.325), (310, 97.66), (500, 95.461), (1500, 84.556)]


@pytest.mark.parametrize(("metres", "kpa"), AIR)
def test_the_weather_may_move_a_barometer_by_so_much_and_no_more(metres, kpa):
    for share, verdict in (
        (0.939, "Cannot be the air pressure here"), (0.941, "Possible"), (1.014, "Possible"),
        (1.016, "High"), (1.029, "High"), (1.031, "Cannot be the air pressure here"),
    ):  # fmt: skip
        worked = refill(metres, barometer=f"{kpa * share:.2f}kPa")["air_outside"]
        assert (worked.verdict, worked.bad) == (verdict, verdict.startswith("Cannot")), share


def test_a_figure_in_the_wrong_unit_is_no_barometer():
    """972 hPa typed as kPa, and three decimals, which mean no thousands: nothing else is near the air's pressure."""
    with pytest.raises(
        Mistyped, match=r"at least 50 kPa and at most 108.5 kPa. Did you mean 97.2 kPa, 972 mbar or 972 hPa"
    ):
        refill(310, barometer="972kPa")
    assert refill(0, barometer="101.325kPa")["air_outside"].value == pytest.approx(101.325)


# --- what spilled, and what settles -----------------------------------------------------------------------------------


@pytest.mark.parametrize("procedure", ["refill-vacuum", "refill-gravity"])
def test_a_litre_that_spilled_is_a_litre_of_air(procedure):
    """4.2 L drained, 1.0 L spilled with pump and hoses, 4.2 L filled: a litre is missing."""
    said = {"drained": "4.2L", "filled": "4.2L", "coolant_capacity": "6.4L"}
    counted, uncounted = (work(procedure, **said, spilled=spilled) for spilled in ("1L", "0L"))
    assert uncounted["air_trapped"].verdict == "Full"
    assert (counted["air_trapped"].verdict, counted["air_trapped"].bad) == ("Air inside", True)
    assert counted["air_trapped"].value == pytest.approx(1.0)
    assert work(procedure, **{**said, "filled": "5.2L"}, spilled="1L")["air_trapped"].verdict == "Full"


def test_what_spilled_does_not_thin_the_new_mix():
    """8 L, 5 L drained, 1 L spilled, flushed: 2 L of water stay. Half of 8 L is 4 L of concentrate, 2 L of water."""
    said = {"drained": "5L", "coolant_capacity": "8L", "mix_wanted": "50%", "coolant_kind": "flushed"}
    worked = work("coolant-choice", **said, spilled="1L")
    litres = [worked[name].value for name in ("came_out", "left_inside", "concentrate", "water")]
    assert litres == pytest.approx([6, 2, 4, 2])
    assert work("coolant-choice", **said, spilled="0L")["concentrate"].value == pytest.approx(4)
    assert work("coolant-choice", **said, spilled="0L")["water"].value == pytest.approx(1)


def test_hoses_settle_for_the_minute_of_common_practice_unless_the_sheet_says_another():
    for procedure, result in (
        ("refill-vacuum", "vacuum_settle_usual"),
        ("pressure-test", "test_settle_usual"),
        ("pressure-test-full", "test_settle_usual"),
    ):
        worked = work(procedure)[result]
        assert to_base(worked.value, worked.unit) == 60


def test_more_in_than_came_out_asks_for_the_count_and_then_for_a_leak():
    """6.4 L: a twentieth is 0.32 L, as on the side of the air."""
    said = {"drained": "4.2L", "spilled": "0.6L", "coolant_capacity": "6.4L"}
    for filled, verdict in (("5.12L", "Full"), ("5.13L", "More in than came out")):
        assert work("refill-gravity", filled=filled, **said)["air_trapped"].verdict == verdict
    assert "leak" in work("refill-gravity", filled="5.6L", **said)["air_trapped"].says


def test_a_tray_that_holds_more_than_the_book_by_a_twentieth_is_read_again_at_the_drain():
    for drained, bad in (("6.72L", False), ("6.73L", True)):
        assert work("drain-coolant", drained=drained, coolant_capacity="6.4L")["left_at_first"].bad is bad


def test_no_loss_that_is_a_leak_can_be_allowed():
    with pytest.raises(Mistyped, match="at most 15 kPa"):
        work("pressure-test", test_loss_allowed="200kPa")
