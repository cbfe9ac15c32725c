"""Bolts and the sane torque: the band, the slips that explain a value outside it, and `handturn torque`."""

from __future__ import annotations

import itertools
import math
from collections import Counter
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.quantities.fasteners.preload import (
    Thread,
    head,
    known_classes,
    lever_of,
    preload,
    strength_of,
    thread_of,
    tightening,
    yield_load,
)
from generator.quantities.fasteners.standards import CLASSES, COARSE, CONDITIONS, Strength
from generator.quantities.fasteners.torque_band import Band, Joint, band, caution, exact_band, judged, limited_by, slips
from generator.quantities.units import KINDS, UNITS, from_base, to_base

ENGINES = Path(__file__).parents[3] / "demo_jobs" / "engines"
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
    found = band(Joint(thread, cls))
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
        ("m8", Thread(8, 1.25)), ("m10x1.25", Thread(10, 1.25)),
        ("8", None), ("M", None), ("", None), ("G 1/4", None), ("brass", None),
        ("M8x1.25x30", None),
        ("ST4.2", None), ("M8x", None), ("M800", None), ("M8x1,25", None),
    ],
)  # fmt: skip
def test_a_metric_thread_is_read_and_nothing_else(text: str, thread: Thread | None):
    assert thread_of(text) == thread


def test_a_class_that_has_no_figures_has_no_band():
    assert band(Joint(Thread(8, 1.25), "brass")) is None and band(Joint(Thread(8, 1.25), "grade 5")) is None
    assert strength_of("9.8", Thread(18, 2.5)) is None, "9.8 is not made so large"
    assert caution(500, "N.m", Joint(Thread(8, 1.25), "brass")) is None


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
    strengths = {cls: strength for cls in CLASSES if (strength := strength_of(cls, thread))}
    made = sorted(strengths, key=lambda cls: strengths[cls].yields)
    bands = [band_of(thread, cls) for cls in made]
    assert bands == sorted(bands) and sorted(one[1] for one in bands) == [one[1] for one in bands]
    wider = exact_band(Joint(thread, "8.8", friction=(low - 0.01, high + 0.01)))
    narrow = exact_band(Joint(thread, "8.8", friction=(low, high)))
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
    assert read is not None and caution(number, unit, Joint(read, cls)) is None
    assert all(caution(number * times, unit, Joint(read, cls)) for times in (10, 0.1, 12, 1 / 12))
    assert caution(from_base(to_base(number, unit), "lbf.in"), "N.m", Joint(read, cls)), "lbf.in taken for N.m"


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
        assert found == [] and caution(number, unit, Joint(bolt[0], bolt[1])) is None


def test_a_caution_says_what_may_have_been_meant():
    assert caution(72, "N.m", Joint(Thread(6, 1), "8.8", into="aluminium")) == (
        "72 N.m is more than an M6x1 bolt of class 8.8 takes: 3.1 to 12.2 N.m. "
        "72 lbf.in would be 8.1 N.m; 72 kgf.cm would be 7.1 N.m; a tenth would be 7.2 N.m. "
        "Look at the source again. Into aluminium: the thread in the casting may be the weaker part. "
        "It is not judged: the engaged length of thread is not known."
    )


def test_a_caution_on_too_little_says_so():
    assert caution(2, "lbf.ft", Joint(Thread(8, 1.25), "8.8", into="steel")) == (
        "2 lbf.ft (2.7 N.m) is less than an M8x1.25 bolt of class 8.8 is given: 7.4 to 29.8 N.m. "
        "2 kgf.m would be 19.6 N.m; ten times would be 20 lbf.ft, 27.1 N.m. Look at the source again."
    )


def test_a_caution_without_a_likely_slip_is_short():
    assert caution(40, "N.m", Joint(Thread(8, 1.25), "8.8")) == (
        "40 N.m is more than an M8x1.25 bolt of class 8.8 takes: 7.4 to 29.8 N.m. Look at the source again."
    )


@pytest.mark.parametrize("end", [0, 1])
def test_the_ends_of_the_band_are_inside_it(end: int):
    within = band_of(Thread(8, 1.25), "8.8")
    assert judged(within[end], within) == "inside"


# -- every kind of joint -----------------------------------------------------------------------------------------------

PLACES = ({}, {"head": "flange"}, {"into": "aluminium", "engaged": 8.0}, {"into": "cast iron", "engaged": 5.0})


def joints() -> list[Joint]:
    """Return a joint for each size, class, condition and place that has a band."""
    metric = [Thread(d, COARSE[d]) for d in (3, 6, 8, 12, 16, 18, 24, 36)]
    inch = [thread_of(f"{size} {series}") for size in ("1/4", "3/8", "1", "1-1/2") for series in ("UNC", "UNF")]
    made = itertools.product([*metric, *inch], known_classes(None), CONDITIONS, PLACES)
    every = (Joint(thread, cls, condition=how, **place) for thread, cls, how, place in made if thread)
    return [joint for joint in every if band(joint)]


def test_no_band_of_any_joint_lets_a_gross_slip_through_and_none_is_turned_round():
    kinds = Counter()
    for joint in joints():
        (low, high), exact = band(joint), exact_band(joint)
        assert exact[0] <= low < high <= exact[1] and exact[1] / exact[0] < min(GROSS), joint
        kinds[limited_by(joint), bool(joint.thread.inch)] += 1
    assert len(kinds) == 4 and min(kinds.values()) > 50, kinds


def test_a_thread_that_strips_first_lowers_the_ceiling_and_a_longer_one_gives_it_back():
    free = band(Joint(Thread(6, 1), "8.8"))
    bands = [band(Joint(Thread(6, 1), "8.8", into="aluminium", engaged=far)) for far in (2.0, 4.0, 6.0, 8.0, 12.0)]
    assert [one[1] for one in bands] == sorted(one[1] for one in bands)
    assert bands[-1] == free and bands[0][1] < free[1] / 4
    assert band(Joint(Thread(6, 1), "8.8", into="aluminium", engaged=0.8)) is None


@pytest.mark.parametrize("kind", ["hexagon", "flange"])
@pytest.mark.parametrize("friction", [0.08, 0.12, 0.16, 0.24, 0.35])
def test_the_torque_is_that_of_the_wedge_and_the_ring(kind: str, friction: float):
    """The same from the mechanics, in another form: a wedge of the thread's rise, its friction spread by flanks of 30
    degrees, and a ring under the head. VDI 2230 rounds 1 / 2 pi to 0.16 and 1 / (2 cos 30) to 0.58."""
    for name in ("M6", "M8", "M10x1.25", "M12", "M16", "1/4-20", "1/2-20"):
        thread = thread_of(name)
        middle = thread.d - 3 * math.sqrt(3) / 8 * thread.pitch
        face, hole = head(thread, kind)
        rise = thread.pitch / (math.pi * middle)
        flank = friction / math.cos(math.radians(30))
        wedge = middle / 2 * (rise + flank) / (1 - rise * flank)
        assert lever_of(thread, friction, kind=kind) == pytest.approx(wedge + friction * (face + hole) / 4, rel=0.012)
