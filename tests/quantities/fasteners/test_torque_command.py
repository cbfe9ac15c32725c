"""`handturn torque`: a bolt, a torque for it, an angle after it, and a wrench with an adapter on."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from generator.cli import main


def run(*words: str, code: int = 0) -> str:
    result = CliRunner().invoke(main, ["torque", *words])
    assert result.exit_code == code, result.output
    return result.output


BOLT = ("--thread", "M8x1.25", "--class", "8.8")
ADAPTER = ("--target", "25 N.m", "--lever", "300 mm", "--adapter", "60 mm")


def test_the_command_prints_what_a_bolt_takes():
    assert run(*BOLT, "--into", "aluminium", "--value", "25 Nm").splitlines() == [
        "M8x1.25, class 8.8, friction 0.12",
        "stress area   36.61 mm2",
        "proof load    21.23 kN   (580 MPa)",
        "yield load    23.43 kN   (640 MPa)",
        "preload       18.63 kN   (pull and twist at 90 % of yield)",
        "torque        24.57 N.m",
        "sane band     7.4 to 29.8 N.m   (friction 0.08 to 0.16)",
        "25 N.m is inside the band.",
        "Into aluminium: the thread in the casting may be the weaker part. It is not judged: the engaged length of "
        "thread is not known.",
    ]


def test_the_command_says_what_is_wrong_with_a_value():
    told = run(*BOLT, "--value", "250 N.m").splitlines()
    assert told[-1].startswith("250 N.m is more than an M8x1.25 bolt of class 8.8 takes: 7.4 to 29.8 N.m.")
    assert not any("inside the band" in line for line in told)


def test_the_commands_json_has_the_unit_in_the_key():
    told = json.loads(run(*BOLT, "--friction", "0.14", "--value", "18 ft-lb", "--json"))
    assert told == {
        "thread": "M8x1.25", "class": "8.8", "head": "hexagon", "friction": 0.14,
        "pitch_diameter_mm": pytest.approx(7.188, abs=1e-3), "minor_diameter_mm": pytest.approx(6.466, abs=1e-3),
        "tensile_load_kN": pytest.approx(29.287, abs=1e-3), "nut_factor": pytest.approx(0.025 + 1.166 * 0.14, abs=1e-3),
        "strips_at_kN": None, "limited_by": "fastener", "stress_area_mm2": pytest.approx(36.6085, abs=1e-4),
        "proof_load_kN": pytest.approx(21.233, abs=1e-3), "yield_load_kN": pytest.approx(23.4295, abs=1e-4),
        "preload_kN": pytest.approx(18.1, rel=0.005), "torque_Nm": pytest.approx(27.3, rel=0.005),
        "band_low_Nm": 11.0, "band_high_Nm": 27.3,
        "value_Nm": pytest.approx(24.4047, abs=1e-4), "verdict": "inside", "says": "",
    }  # fmt: skip


def test_the_command_prints_the_setting_with_an_adapter_on():
    assert run(*ADAPTER, "--angle", "45") == (
        "lever 300 mm, adapter 60 mm at 45 degrees\nSet 21.9 N.m and the bolt gets 25 N.m.\n"
    )
    told = json.loads(run(*ADAPTER, "--angle", "45", "--json"))
    assert told == {
        "target_Nm": 25, "lever_mm": 300, "adapter_mm": 60, "angle_deg": 45, "verdict": "can be set",
        "setting_Nm": pytest.approx(21.9025, abs=1e-4), "says": "Set 21.9 N.m and the bolt gets 25 N.m.",
    }  # fmt: skip


def test_the_command_refuses_a_setting_that_there_is_not():
    folded = ("--target", "25 N.m", "--lever", "60 mm", "--adapter", "60 mm", "--angle", "180")
    told = json.loads(run(*folded, "--json", code=1))
    assert (told["setting_Nm"], told["verdict"]) == (None, "not possible")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "say either --thread, for a bolt, or --target"),
        ((*BOLT, *ADAPTER), "say either --thread, for a bolt, or --target"),
        (("--thread", "M8x1.25"), "say the class or grade on the bolt's head: --class 4.6, 4.8, 5.6, 5.8"),
        (("--thread", "G 1/4", "--class", "8.8"), "'G 1/4' is no thread that is known here; write --thread M8x1.25"),
        (("--thread", "1/4-20"), "on the bolt's head: --class grade 2, grade 5, grade 8."),
        (("--thread", "M8", "--class", "brass"), "there is no class or grade 'brass'; there are: 4.6, 4.8"),
        (("--thread", "M18", "--class", "9.8"), "there is no class 9.8 bolt of M18x2.5."),
        (("--thread", "1/4-20", "--class", "8.8"), "there is no class 8.8 bolt of 1/4-20 UNC."),
        (("--thread", "M8", "--class", "5"), "there is no grade 5 bolt of M8x1.25."),
        (("--thread", "M30", "--class", "A2-70"), "there is no A2-70 bolt of M30x3.5."),
        ((*BOLT, "--friction", "nan"), "'nan' can't be right."),
        ((*BOLT, "--friction", "inf"), "'inf' can't be right. No bolt rubs less or more: 0.02 to 0.6."),
        ((*BOLT, "--friction", "0.1", "--condition", "dry"), "--friction counts instead of --condition"),
        (
            (*BOLT, "--value", "0 N.m"),
            "--value '0 N.m' can't be right. A fastener is tightened by more than zero: more",
        ),
        ((*BOLT, "--value", "-10 N.m"), "--value '-10 N.m' can't be right. A fastener is tightened by more than zero"),
        ((*BOLT, "--value", "0 ft-lb"), "--value '0 ft-lb' can't be right."),
        ((*BOLT, "--value", "3001 N.m"), "more than 0 and up to 3000 N.m."),
        ((*BOLT, "--engaged", "12 mm"), "--engaged says nothing without --into"),
        (
            (*BOLT, "--into", "aluminium", "--engaged", "0 mm"),
            "--engaged '0 mm' can't be right. The thread that holds, and what is clamped, is longer than zero: more",
        ),
        ((*BOLT, "--into", "aluminium", "--engaged", "12"), "--engaged is a length with its unit"),
        ((*BOLT, "--grip", "60 mm"), "--grip says nothing without --then"),
        ((*BOLT, "--then", "90"), "--then is an angle with its unit, for example --then '90 deg', not '90'."),
        ((*BOLT, "--then", "0 deg"), "--then '0 deg' can't be right. A fastener is turned by more than zero"),
        ((*BOLT, "--then", "721 deg"), "more than 0 and up to 720 deg."),
        ((*BOLT, "--then", "nan deg"), "--then is an angle with its unit"),
        ((*ADAPTER, "--angle", "nan"), "'nan' can't be right."),
        ((*ADAPTER, "--angle", "inf"), "'inf' can't be right. 0 is straight on, 180 folded back: 0 to 180 deg."),
        ((*ADAPTER, "--angle", "181"), "'181' can't be right. 0 is straight on, 180 folded back: 0 to 180 deg."),
        ((*ADAPTER, "--set", "25 N.m"), "say either --thread, for a bolt, or --target"),
        (
            ("--target", "0 N.m", *ADAPTER[2:]),
            "--target '0 N.m' can't be right. A fastener is tightened by more than zero",
        ),
        (("--set", "-5 N.m", *ADAPTER[2:]), "--set '-5 N.m' can't be right."),
        (
            (*ADAPTER[:2], "--lever", "0 mm", "--adapter", "60 mm"),
            "--lever '0 mm' can't be right. A wrench is longer than zero",
        ),
        ((*ADAPTER[:4], "--adapter", "-60 mm"), "--adapter '-60 mm' can't be right. An adapter is longer than zero"),
        (("--set", "25 N.m", "--value", "25 N.m"), "--value goes with --thread and says nothing with --set"),
        ((*BOLT, "--value", "25"), "--value is a torque with its unit, for example --value '25 N.m', not '25'."),
        ((*BOLT, "--value", "25 Nmm"), "not '25 Nmm'."),
        (("--target", "25"), "--target is a torque with its unit"),
        ((*ADAPTER, "--value", "900 N.m"), "--value goes with --thread and says nothing with --target; leave it out."),
        ((*ADAPTER, "--friction", "0.12"), "--friction goes with --thread and says nothing with --target"),
        ((*BOLT, "--angle", "0"), "--angle goes with --target and says nothing with --thread; leave it out."),
        (("--target", "25 N.m"), "--lever is a length with its unit, for example --lever '300 mm'."),
        (
            (*ADAPTER[:4], "--adapter", "60"),
            "--adapter is a length with its unit, for example --adapter '60 mm', not '60'",
        ),
    ],
)
def test_words_that_are_off_are_told(words: tuple[str, ...], said: str):
    assert said in run(*words, code=2)


def test_a_stated_friction_counts_for_the_value():
    """25 N.m on an M8 of class 8.8 is inside a band of 0.08 to 0.16, and above what it takes at 0.12 alone."""
    assert "25 N.m is inside the band." in run(*BOLT, "--value", "25 N.m")
    told = run(*BOLT, "--value", "25 N.m", "--friction", "0.12")
    assert "25 N.m is more than an M8x1.25 bolt of class 8.8 takes: 9.9 to 24.5 N.m." in told
    assert "sane band     9.9 to 24.5 N.m   (friction 0.12)" in told


@pytest.mark.parametrize(
    ("condition", "band"),
    [("oiled", "7.4 to 27.3"), ("dry", "11.0 to 38.0"), ("coated", "7.4 to 29.8"), ("sealed", "7.4 to 29.8")],
)
def test_the_condition_of_the_thread_counts_with_its_stated_friction(condition: str, band: str):
    assert f"sane band     {band} N.m   (friction 0." in run(*BOLT, "--condition", condition)


def test_details_are_printed_on_demand():
    assert "diameters" not in run(*BOLT) and "nut factor" not in run(*BOLT)
    told = run(*BOLT, "--details").splitlines()
    assert "diameters     d2 7.188 mm, d3 6.466 mm" in told
    assert "breaks at     29.29 kN   (800 MPa, tensile load)" in told
    assert "nut factor    0.165   (torque = factor x pull x diameter)" in told
    assert "proof load    not given by the standard" in run("--thread", "m8", "--class", "a2-70", "--details")


def test_the_thread_in_a_casting_is_judged_where_its_length_is_known_and_else_said_not_to_be():
    six = ("--thread", "M6", "--class", "8.8", "--value", "12 N.m", "--into")
    assert "12 N.m is more than the thread in aluminium holds with an M6x1 bolt: 2.0 to 8.5 N.m." in run(
        *six, "aluminium", "--engaged", "6 mm"
    )
    assert "12 N.m is inside the band." in run(*six, "aluminium", "--engaged", "12 mm")
    assert "12 N.m is inside the band." in run(*six, "cast iron", "--engaged", "9 mm")
    for into in ("aluminium", "cast iron"):
        assert "It is not judged: the engaged length of thread is not known." in run(*six, into)
    assert "Into plastic: what holds the bolt there is not judged: no strength is known." in run(*six, "plastic")
    assert "judged" not in run(*six, "steel")
    assert "so short a thread holds nothing." in run(*six, "aluminium", "--engaged", "0.8 mm")
    assert "\x1b" not in run(*six, "\x1b[31mplastic")


def test_an_angle_is_judged_where_the_grip_is_known_and_else_said_not_to_be():
    snug = ("--thread", "M10x1.25", "--class", "10.9", "--value", "30 N.m", "--then")
    told = run(*snug, "90 deg", "--grip", "60 mm")
    assert "angle         90 deg adds 44.4 to 72.2 kN" in told and "90 deg is inside." in told
    assert "snug torque   30 N.m leaves 14.4 to 26.3 kN" in told and "so the bolt may yield" in told
    assert "inside the band" not in told, "a snug torque is not final"
    assert "The angle is not judged: the grip length is not known." in run(*snug, "90 deg")
    assert "7 deg is less than an M10x1.25 bolt of class 10.9 is turned" in run(*snug, "7 deg", "--grip", "60 mm")
    assert "506 deg is more than" in run(*snug, "506 deg", "--grip", "60 mm")
    as_json = json.loads(run(*snug, "90 deg", "--grip", "60 mm", "--json"))
    assert (as_json["angle_low_deg"], as_json["angle_high_deg"], as_json["angle_verdict"]) == (8, 505, "inside")
    assert as_json["verdict"] is None


def test_a_wrench_that_is_set_already_and_an_adapter_that_is_nonsense():
    on = ("--lever", "300 mm", "--adapter", "60 mm")
    assert run("--set", "25 N.m", *on) == (
        "lever 300 mm, adapter 60 mm at 0 degrees\n"
        "Set to 25 N.m, the wrench gives the bolt 30 N.m, 20 % more than is set.\n"
    )
    told = json.loads(run("--set", "25 N.m", *on, "--json"))
    assert (told["target_Nm"], told["setting_Nm"], told["verdict"]) == (30, 25, "known")
    folded = ("--lever", "300 mm", "--adapter", "299 mm", "--angle", "180")
    for asked in ("--target", "--set"):
        assert "less than half of the wrench's lever is left" in run(asked, "25 N.m", *folded, code=1)
        assert "longer than the wrench" in run(asked, "25 N.m", "--lever", "30 mm", "--adapter", "60 mm", code=1)
