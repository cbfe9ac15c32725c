"""Bolts and the sane torque: the band, the slips that explain a value outside it, and `handturn torque`."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import yaml
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.cli import main
from generator.quantities.metric_bolts import (
    CLASSES,
    COARSE,
    Strength,
    Thread,
    preload,
    strength_of,
    thread_of,
    tightening,
    yield_load,
)
from generator.quantities.torque_band import Band, band, caution, judged, look_at, slips
from generator.quantities.units import KINDS, UNITS, from_base, to_base

ENGINES = Path(__file__).parents[2] / "demo_jobs" / "engines"
often = settings(max_examples=200, deadline=None, derandomize=True)
threads = st.sampled_from(list(COARSE.items())).flatmap(
    lambda size: st.sampled_from([1, 0.8, 0.5, 0.3]).map(lambda part: Thread(size[0], size[1] * part))
)
# Factors between what was meant and what was written: ten, foot for inch, other units for N.m, kgf.m for lbf.ft.
GROSS = [10, 12, *(UNITS["N.m"].scale / UNITS[unit].scale for unit in ("lbf.in", "kgf.cm")), UNITS["kgf.m"].scale,
         UNITS["kgf.m"].scale / UNITS["lbf.ft"].scale, 100]  # fmt: skip


@st.composite
def bolts(draw: Any) -> tuple[Thread, str, Strength]:
    thread, cls = draw(threads), draw(st.sampled_from(list(CLASSES)))
    strength = strength_of(cls, thread)
    return (thread, cls, strength) if strength else (thread, "8.8", strength_of("8.8", thread))


def band_of(thread: Thread, cls: str) -> Band:
    found = band(thread, cls)
    assert found is not None
    return found


def final_torques() -> list[tuple[str, str, str, str]]:
    """Return (engine and value, thread, class, torque) for every final torque of the demo on a bolt with a band."""
    found = []
    for path in sorted(ENGINES.glob("*.yml")):
        for name, value in yaml.safe_load(path.read_text())["values"].items():
            bolt = value.get("bolt") or {}
            if "torque" in value and "then" not in value and bolt.get("class") in CLASSES:
                found.append((f"{path.stem} {name}", bolt["thread"], bolt["class"], value["torque"]))
    return found


@pytest.mark.parametrize(
    ("text", "thread"),
    [
        ("M8x1.25", Thread(8, 1.25)), ("M8", Thread(8, 1.25)), ("M6x1.0", Thread(6, 1)),
        (" M10×1.25 ", Thread(10, 1.25)),
        ("M12 x 1.5", Thread(12, 1.5)), ("M3.5", Thread(3.5, 0.6)), ("M7", Thread(7, 1)), ("M14X1.5", Thread(14, 1.5)),
        ("M8x12.5", None), ("M8x1.5", None), ("M8x0.1", None), ("M8x0", None), ("M9", None), ("M11x1", None),
        ("m8", None),
        ("8", None), ("M", None), ("", None), ("G 1/4", None), ("1/4-20 UNC", None), ("brass", None),
        ("M8x1.25x30", None),
        ("ST4.2", None), ("M8x", None), ("M800", None), ("M8x1,25", None),
    ],
)  # fmt: skip
def test_a_metric_thread_is_read_and_nothing_else(text: str, thread: Thread | None):
    assert thread_of(text) == thread


def test_a_class_that_has_no_figures_has_no_band():
    assert band(Thread(8, 1.25), "brass") is None and band(Thread(8, 1.25), "A2-70") is None
    assert strength_of("9.8", Thread(18, 2.5)) is None, "9.8 is not made so large"
    assert caution(500, "N.m", Thread(8, 1.25), "brass") is None


@often
@given(bolts(), st.floats(0.02, 0.5), st.floats(0.001, 0.1))
def test_more_friction_takes_more_torque_for_less_pull(
    bolt: tuple[Thread, str, Strength], friction: float, more: float
):
    thread, _, strength = bolt
    assert tightening(thread, strength, friction + more) > tightening(thread, strength, friction)
    assert (
        preload(thread, strength, friction + more) < preload(thread, strength, friction) < yield_load(thread, strength)
    )


@often
@given(threads, st.floats(0.02, 0.3), st.floats(0.1, 1))
def test_a_share_of_yield_is_that_share_of_the_torque(thread: Thread, friction: float, share: float):
    whole = tightening(thread, CLASSES["8.8"], friction, 1)
    assert tightening(thread, CLASSES["8.8"], friction, share) == pytest.approx(share * whole)


@often
@given(threads, st.floats(0.05, 0.1), st.floats(0.1, 0.3))
def test_a_stronger_class_has_a_higher_band_and_a_wider_friction_a_wider_one(thread: Thread, low: float, high: float):
    made = [cls for cls in CLASSES if strength_of(cls, thread)]
    bands = [band_of(thread, cls) for cls in made]
    assert bands == sorted(bands) and sorted(one[1] for one in bands) == [one[1] for one in bands]
    wider = band(thread, "8.8", low - 0.01, high + 0.01)
    narrow = band(thread, "8.8", low, high)
    assert wider and narrow and wider[0] < narrow[0] < narrow[1] < wider[1]


@pytest.mark.parametrize("cls", CLASSES)
def test_a_thicker_bolt_has_a_higher_band(cls: str):
    bands = [band_of(Thread(d, COARSE[d]), cls) for d in COARSE if strength_of(cls, Thread(d, COARSE[d]))]
    assert all(one[0] < other[0] and one[1] < other[1] for one, other in pairwise(bands))


@often
@given(bolts(), st.floats(0, 1), st.sampled_from(GROSS))
def test_a_value_inside_is_outside_after_a_gross_slip(bolt: tuple[Thread, str, Strength], part: float, times: float):
    within = band_of(bolt[0], bolt[1])
    value = within[0] + part * (within[1] - within[0])
    assert judged(value, within) == "inside"
    assert judged(value * times, within) == "above" and judged(value / times, within) == "below"


def test_the_slips_that_are_caught_are_seven_times_and_more():
    assert min(GROSS) == pytest.approx(7.23, abs=0.005)


@pytest.mark.parametrize(("name", "thread", "cls", "torque"), final_torques())
def test_a_final_torque_of_the_demo_is_sane_and_its_slips_are_not(name: str, thread: str, cls: str, torque: str):
    number, unit = float(torque.split()[0]), torque.split()[1]
    read = thread_of(thread)
    assert read is not None and caution(number, unit, read, cls) is None
    assert all(caution(number * times, unit, read, cls) for times in (10, 0.1, 12, 1 / 12))
    assert caution(from_base(to_base(number, unit), "lbf.in"), "N.m", read, cls), "lbf.in taken for N.m"


def test_the_demo_has_bolts_to_look_at():
    assert len(final_torques()) > 30


@often
@given(bolts(), st.floats(0.01, 5000), st.sampled_from(KINDS["torque"]))
def test_a_slip_lies_inside_and_is_told_only_of_what_does_not(bolt: Any, number: float, unit: str):
    within = band_of(bolt[0], bolt[1])
    found = slips(number, unit, within)
    assert all(judged(slip.base, within) == "inside" for slip in found)
    assert all(slip.base == pytest.approx(to_base(slip.number, slip.unit)) for slip in found)
    if judged(to_base(number, unit), within) == "inside":
        assert found == [] and caution(number, unit, bolt[0], bolt[1]) is None


def test_a_caution_says_what_may_have_been_meant():
    assert caution(72, "N.m", Thread(6, 1), "8.8", "aluminium") == (
        "72 N.m is more than an M6x1 bolt of class 8.8 takes: 3.1 to 12.3 N.m. "
        "72 lbf.in would be 8.1 N.m; 72 kgf.cm would be 7.1 N.m; a tenth would be 7.2 N.m. "
        "Look at the source again. Into aluminium: the thread in the casting may be the weaker part."
    )


def test_a_caution_on_too_little_says_so():
    assert caution(2, "lbf.ft", Thread(8, 1.25), "8.8", "steel") == (
        "2 lbf.ft is less than an M8x1.25 bolt of class 8.8 is given: 7.4 to 29.8 N.m. "
        "2 kgf.m would be 19.6 N.m; ten times would be 20 lbf.ft, 27.1 N.m. Look at the source again."
    )


def test_a_caution_without_a_likely_slip_is_short():
    assert caution(40, "N.m", Thread(8, 1.25), "8.8") == (
        "40 N.m is more than an M8x1.25 bolt of class 8.8 takes: 7.4 to 29.8 N.m. Look at the source again."
    )


@pytest.mark.parametrize("end", [0, 1])
def test_the_ends_of_the_band_are_inside_it(end: int):
    within = band_of(Thread(8, 1.25), "8.8")
    assert judged(within[end], within) == "inside"


def test_a_bolt_without_a_value_has_no_verdict():
    check = look_at(Thread(8, 1.25), "8.8", 0.12)
    assert check is not None and (check.value, check.verdict, check.says) == (None, None, "")
    assert look_at(Thread(8, 1.25), "brass", 0.12) is None


# -- the command -------------------------------------------------------------------------------------------------------


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
        "torque        24.6 N.m",
        "sane band     7.4 to 29.8 N.m   (friction 0.08 to 0.16)",
        "25 N.m is inside the band.",
        "Into aluminium: the thread in the casting may be the weaker part.",
    ]


def test_the_command_says_what_is_wrong_with_a_value():
    told = run(*BOLT, "--value", "250 N.m").splitlines()
    assert told[-1].startswith("250 N.m is more than an M8x1.25 bolt of class 8.8 takes: 7.4 to 29.8 N.m.")
    assert not any("inside the band" in line for line in told)


def test_the_commands_json_has_the_unit_in_the_key():
    told = json.loads(run(*BOLT, "--friction", "0.14", "--value", "18 ft-lb", "--json"))
    assert told == {
        "thread": "M8x1.25", "class": "8.8", "friction": 0.14, "stress_area_mm2": pytest.approx(36.6085, abs=1e-4),
        "proof_load_kN": pytest.approx(21.233, abs=1e-3), "yield_load_kN": pytest.approx(23.4295, abs=1e-4),
        "preload_kN": pytest.approx(18.1, rel=0.005), "torque_Nm": pytest.approx(27.3, rel=0.005),
        "band_low_Nm": pytest.approx(7.3988, abs=1e-4), "band_high_Nm": pytest.approx(29.8243, abs=1e-4),
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
        (("--thread", "M8x1.25"), "say the property class on the bolt's head: --class 4.8, 5.8"),
        (("--thread", "G 1/4", "--class", "8.8"), "'G 1/4' is no metric thread; write --thread M8x1.25"),
        (("--thread", "M18", "--class", "9.8"), "there is no class 9.8 bolt of M18x2.5."),
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
