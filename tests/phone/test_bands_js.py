"""Bands of bolts: what the desk writes into a worksheet is judged on the phone as at the desk, at each edge."""

from __future__ import annotations

import itertools
import json
import re
from collections import Counter
from typing import Any

import pytest

from generator.compile.tightening import bolt_facts
from generator.model import EngineValue
from generator.quantities.fasteners.preload import known_classes, thread_of
from generator.quantities.fasteners.torque_band import (
    Joint,
    band,
    band_text,
    caution,
    judged,
    told_band,
    turn_band,
    turn_caution,
)
from generator.quantities.units import KINDS, from_base, table_json
from tests.support.node import Phone

Json = dict[str, Any]
METRIC = ("M4", "M8x1", "M18")
INCH = ("1/4-20", "1-8")
CONDITIONS = (None, "oiled", "dry")
PLACES: tuple[Json, ...] = (
    {}, {"head": "flange"}, {"into": "aluminium"}, {"into": "aluminium", "engaged": "6 mm"},
    {"into": "cast iron", "engaged": "12 mm"}, {"into": "plastic", "engaged": "12 mm"},
)  # fmt: skip
ASK = """async (text) => {
  const { bandOf, doubtOf, oddTurn, outside, pullOf } = await import('/phone/quantities/torque.js');
  const { W } = await import('/phone/words/words.js');
  const { cases, sheet } = JSON.parse(text);
  return JSON.stringify(cases.map(({ about, given }) => {
    const pull = pullOf(given, sheet.units);
    const band = bandOf(about);
    const doubt = doubtOf(given, { name: 'one', about, sheet });
    return {
      side: band && !pull.then ? outside(pull.base, band) : null, turn: oddTurn(pull, about)?.side ?? null,
      asked: doubt?.expected?.by ?? (doubt?.turn ? 'turn' : null), low: band?.low ?? null, high: band?.high ?? null,
      named: W.boltNamed(about),
    };
  }));
}"""


def joint_of(thread: str, cls: str, condition: str | None, place: Json) -> Joint:
    engaged = place.get("engaged")
    return Joint(
        thread_of(thread), cls, into=place.get("into"), engaged=float(engaged.split()[0]) if engaged else None,
        condition=condition, head=place.get("head", "hexagon"),
    )  # fmt: skip


def about(thread: str, cls: str, condition: str | None, place: Json, **more: Any) -> Json:
    """Return a worksheet's value of this bolt, as the build writes it."""
    said = {"bolt": {"thread": thread, "class": cls, **place}, **({"condition": condition} if condition else {})}
    facts = bolt_facts(EngineValue.model_validate({"torque": "10 N.m", **said, **more}))
    return {**facts, "thread": thread, "units": list(KINDS["torque"]), "number": None, "kind": "torque"}


def asked_of(cases: list[Json]) -> str:
    sheet = {"units": table_json(["torque", "angle"]), "values": {}, "shop": {"units": {}}}
    return json.dumps({"cases": cases, "sheet": sheet})


def grid() -> list[tuple[Joint, Json]]:
    made = []
    for threads, classes in ((METRIC, known_classes(thread_of("M8"))), (INCH, known_classes(thread_of("1/4-20")))):
        for thread, cls, condition, place in itertools.product(threads, classes, CONDITIONS, PLACES):
            made.append((joint_of(thread, cls, condition, place), about(thread, cls, condition, place)))
    return made


def test_every_bolt_has_one_band_at_the_desk_and_on_the_phone_and_its_edges_are_inside(phone: Phone):
    cases, expected = [], []
    for joint, facts in grid():
        within = band(joint)
        if within is None:
            assert facts["band"] is None and (facts["unjudged"] or joint.strength is None)
            continue
        step = 0.1 if within[1] >= 1 else 0.001
        for base in (*within, within[0] - step, within[1] + max(step, 0.001 * within[1])):
            if base > 0:
                number = float(f"{base:.9g}")
                cases.append({"about": facts, "given": f"{number} N.m"})
                expected.append((within, judged(number, within)))
    answers = json.loads(phone.evaluate(ASK, asked_of(cases)))
    for case, answer, (within, side) in zip(cases, answers, expected, strict=True):
        assert (answer["low"], answer["high"]) == within, case
        assert (answer["side"] or "inside") == side, case
        assert answer["asked"] == (None if side == "inside" else "band"), case
    assert {side for _, side in expected} == {"inside", "above", "below"} and len(cases) > 1500
    limits = Counter(case["about"]["band"]["by"] for case in cases)
    assert set(limits) == {"fastener", "thread"} and min(limits.values()) > 40


TELL = """async (text) => {
  const { bandOf, pullOf, outside, roughly, roughlyBeside: told } = await import('/phone/quantities/torque.js');
  const { cases, sheet } = JSON.parse(text);
  return JSON.stringify(cases.map(({ about, given }) => {
    const pull = pullOf(given, sheet.units);
    const band = bandOf(about);
    const range = `${roughly(band.low)} to ${roughly(band.high)} N.m`;
    return outside(pull.base, band) && [told(pull.base, band), range];
  }));
}"""


def test_what_is_told_outside_a_band_is_the_same_and_never_reads_as_its_end(phone: Phone):
    """Also a hair beyond each end, in every unit: the figure is told finer than the end that it would read as."""
    cases, desk = [], []
    for thread, cls in (("M6", "8.8"), ("M8", "10.9"), ("M16", "8.8"), ("M4", "4.6"), ("1/4-20", "grade 5")):
        joint, facts = joint_of(thread, cls, None, {}), about(thread, cls, None, {})
        for end, unit, off in itertools.product(band(joint), KINDS["torque"], (1e-6, 1e-4, 3e-3, 0.1)):
            beyond = end * (1 - off) if end == band(joint)[0] else end * (1 + off)
            number = float(f"{from_base(beyond, unit):.12f}")
            told = caution(number, unit, joint)
            assert told is not None, (thread, end, unit, off)
            cases.append({"about": facts, "given": f"{number} {unit}"})
            desk.append((re.search(r"\(([0-9.]+) N\.m\)", told), told, band_text(band(joint)), number, unit))
    answers = json.loads(phone.evaluate(TELL, asked_of(cases)))
    for (found, told, limits, number, unit), (beside, range_) in zip(desk, answers, strict=True):
        assert range_ == limits and f": {limits}." in told
        if unit == "N.m":
            assert told.startswith(f"{number:.12g} N.m is ")
        else:
            assert found is not None and float(found[1]) == float(beside), told
        low, high = map(float, limits.removesuffix(" N.m").split(" to "))
        read = number if unit == "N.m" else float(beside)
        assert not low <= read <= high, told


def test_a_band_of_an_older_worksheet_is_rounded_to_its_own_side(phone: Phone):
    """Four decimals, as worksheets had them: 12.29 was inside and 12.3 told as its end."""
    old = {"thread": "M6", "grade": "8.8", "units": list(KINDS["torque"]), "band": {"low": 3.0513, "high": 12.2983}}
    cases = [{"about": old, "given": f"{number} N.m"} for number in ("3.09", "3.1", "12.2", "12.21", "12.29")]
    answers = json.loads(phone.evaluate(ASK, asked_of(cases)))
    assert [one["side"] for one in answers] == ["below", None, None, "above", "above"]
    assert {(one["low"], one["high"]) for one in answers} == {told_band((3.0513, 12.2983))} == {(3.1, 12.2)}


def test_an_angle_is_judged_alike_at_its_edges_and_a_snug_torque_before_it_is_not(phone: Phone):
    cases, expected = [], []
    for thread, cls, grip in (
        ("M10x1.25", "10.9", 60),
        ("M8", "8.8", 25),
        ("M12", "12.9", 120),
        ("3/8-24", "grade 8", 40),
    ):
        joint = Joint(thread_of(thread), cls, grip=float(grip))
        facts = about(thread, cls, None, {"grip": f"{grip} mm"})
        low, high = turn_band(joint)
        assert facts["turn"] == {"low": low, "high": high}
        for degrees in (low - 1, low, 90, high, high + 1):
            cases.append({"about": facts, "given": f"900 N.m then {degrees:g} deg"})
            expected.append((turn_caution(degrees, joint), judged(degrees, (low, high))))
    answers = json.loads(phone.evaluate(ASK, asked_of(cases)))
    assert [answer["turn"] or "inside" for answer in answers] == [side for _, side in expected]
    assert [answer["asked"] == "turn" for answer in answers] == [told is not None for told, _ in expected]
    assert all(answer["side"] is None for answer in answers), "a snug torque is not final"
    unknown = {"about": about("M8", "8.8", None, {}), "given": "900 N.m then 1 deg"}
    assert json.loads(phone.evaluate(ASK, asked_of([unknown])))[0]["turn"] is None


NAMES = {"8.8": "class 8.8", "5": "grade 5", "grade 8": "grade 8", "A2-70": "A2-70", "brass": "class brass"}


@pytest.mark.parametrize(("cls", "named"), NAMES.items())
def test_a_class_a_grade_and_a_stainless_steel_have_their_own_names(phone: Phone, cls: str, named: str):
    case = {"about": {"thread": "M8", "grade": cls}, "given": "1 N.m"}
    assert json.loads(phone.evaluate(ASK, asked_of([case])))[0]["named"] == f"a bolt M8 of {named}"
