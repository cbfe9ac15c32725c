"""Impossible figures are refused in an engine sheet, for every kind. Possible ones are not."""

from __future__ import annotations

import pytest

from generator.faults.engine import ImpossibleFigure
from generator.quantities.possible_ranges import LIMITS
from generator.site.build import check_texts
from tests.support import demo
from tests.support.harness import FACTS

SOURCE = 'source: {document: "Manual, 2nd edition", where: page 118, read: 2026-10-02, by: KS}'
PROCEDURE = """\
procedure: fit
title: Fit
revision: 1
values: {{it: {{kind: {kind}, label: It}}}}
stages:
  - stage: Fit
    steps:
      - {{id: fit, do: "On, {{it}}.", check: tick}}
"""


def found(kind: str, value: str, source: str = SOURCE) -> list[str]:
    value = f"{{{value}, {source}}}"
    engine = f"engine: four\ntitle: Four\nrevision: 1\nfacts: {{layout: inline}}\nvalues:\n  it: {value}\n"
    texts = {**FACTS, "procedures/fit.yml": PROCEDURE.format(kind=kind), "engines/four.yml": engine}
    checked = check_texts({path: text.encode() for path, text in texts.items()})
    return [type(fault).__name__ for fault in checked.faults]


REFUSED = [
    ("torque", "torque: 0 N.m"), ("torque", "torque: -10 N.m"),
    ("torque", "torque: 10 N.m, then: [0 deg], reuse: yes"),
    ("torque", "torque: 10 N.m, passes: [0 N.m, 10 N.m], count: 2"), ("torque", "torque: 5000 lbf.ft"),
    ("torque", "torque: 10 N.m, count: 0"), ("torque", "torque: 10 N.m, bolt: {thread: M6x1.0, engaged: -3 mm}"),
    ("torque", "torque: 10 N.m, bolt: {thread: M6x1.0, engaged: 0 mm}"),
    ("torque", "torque: 10 N.m, bolt: {thread: M6x1.0, grip: 0 mm}"),
    ("angle", "angle: 0 deg"), ("angle", "angle: -90 deg"), ("angle", "angle: 900 deg"), ("volume", "volume: 0 L"),
    ("volume", "volume: -6 L"), ("share", "share: 500 %"), ("share", "share: -1 %"), ("count", "count: 0"),
    ("temperature", "temperature: -300 degC"), ("temperature", "temperature: 2000 degF"),
    ("vacuum", "pressure: -85 kPa"), ("vacuum", "pressure: 850 kPa"), ("vacuum", "pressure: 33 inHg"),
    ("gauge", "pressure: 300001 kPa"), ("gauge", "pressure: 0 kPa"), ("pressure", "pressure: -1 bar"),
    ("pressure", "pressure: 3001 bar"),
    ("age", "age: 72.5 month"), ("age", "age: 0 year"), ("time", "time: 0 s"), ("time", "time: -2 min"),
    ("length", "length: -0.5 mm"), ("distance", "distance: 0 km"), ("frequency", "frequency: 0 Hz"),
    ("belt-mass", "belt_mass: 0 g/(m.mm)"), ("line-mass", "line_mass: -1 g/m"), ("force", "force: 0 N"),
    ("mass", "mass: 0 g"), ("voltage", "voltage: 120 kV"), ("voltage", "voltage: -120 kV"),
    ("current", "current: 20000 A"), ("resistance", "resistance: -0.5 ohm"), ("power", "power: -1 W"),
    ("flow", "flow: -2 L/min"), ("concentration", "concentration: -1 g/L"), ("concentration", "concentration: 26 kg/L"),
]  # fmt: skip
TAKEN = [
    ("torque", "torque: 0.5 N.m"), ("torque", "torque: 20 N.m, then: [90 deg], reuse: yes"),
    ("angle", "angle: 360 deg"), ("volume", "volume: 7.1 L"), ("share", "share: 0 %"), ("share", "share: 100 %"),
    ("count", "count: 1"), ("temperature", "temperature: -40 degC"), ("temperature", "temperature: 230 degF"),
    ("vacuum", "pressure: 85 kPa"), ("vacuum", "pressure: 25 inHg"), ("vacuum", "pressure: 1.0 bar"),
    ("gauge", "pressure: 1.1 bar"), ("gauge", "pressure: 1200 kPa"), ("gauge", "pressure: 2200 bar"),
    ("pressure", "pressure: 20 psi"), ("pressure", "pressure: 13 bar"), ("age", "age: 7.5 year"),
    ("age", "age: 84 month"), ("time", "time: 20 s"), ("length", "length: 0 mm, tolerance: 0.2 mm"),
    ("distance", "distance: 120000 km"), ("frequency", "frequency: 60 Hz"), ("belt-mass", "belt_mass: 6.4 g/(m.mm)"),
    ("line-mass", "line_mass: 120 g/m"), ("force", "force: 270 N"),
    ("mass", "mass: 430 g"), ("voltage", "voltage: 12.6 V"), ("voltage", "voltage: -50 mV, tolerance: 5 mV"),
    ("current", "current: -35 mA"), ("resistance", "resistance: 0 ohm"),
    ("resistance", "resistance: 4.7 kohm, tolerance: 100 ohm"), ("power", "power: 55 W"), ("flow", "flow: 0 L/min"),
    ("flow", "flow: 2.4 m3/h"), ("concentration", "concentration: 1.28 kg/L"),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "value"), REFUSED)
def test_a_figure_that_cannot_be_is_refused(kind: str, value: str):
    assert "ImpossibleFigure" in found(kind, value)


@pytest.mark.parametrize(("kind", "value"), TAKEN)
def test_a_figure_that_can_be_is_taken(kind: str, value: str):
    assert found(kind, value) == []


def test_none_of_which_there_are_0_is_an_answer():
    assert found("text", 'text: "none, no wheel comes off", count: 0') == []


def test_every_kind_with_a_limit_is_tried_both_ways():
    assert {kind for kind, _ in REFUSED} == {kind for kind, _ in TAKEN} == set(LIMITS)


@pytest.mark.parametrize("tolerance", ["12 N.m", "10 N.m", "0 N.m", "-1 N.m", "100 %", "0 %", "8 lbf.ft"])
def test_a_tolerance_as_wide_as_the_value_or_none_at_all_is_refused(tolerance: str):
    assert found("torque", f"torque: 10 N.m, tolerance: {tolerance}") == ["ToleranceTooWide"]


@pytest.mark.parametrize("value", ["100.000 km", "1.500 km", "85.250 mi"])
def test_thousands_marks_are_asked_back(value: str):
    assert found("distance", f"distance: {value}") == ["DoubtfulThousands"]
    assert found("distance", "distance: 100.5 km") == []


@pytest.mark.parametrize("text", [".", "-", "?", "...", " - ", "\\u200b", "\\u202e", "\\u2060.", "\\u00a0", "\\u2800"])
@pytest.mark.parametrize("key", ["document", "where"])
def test_a_source_that_says_nothing_is_none(key: str, text: str):
    told = {"document": "Manual WM-1", "where": "page 5", key: text}
    source = f'source: {{document: "{told["document"]}", where: "{told["where"]}", read: 2026-10-02, by: KS}}'
    assert found("torque", "torque: 10 N.m", source), text


def test_a_page_number_alone_is_a_place():
    assert found("torque", "torque: 10 N.m", SOURCE.replace("page 118", '"5"')) == []


def test_the_demo_is_within_all_limits():
    assert not [fault for fault in demo.checked().faults if isinstance(fault, ImpossibleFigure)]
