"""A figure at a limit gets one verdict, in whatever unit a person types it at the desk.

The figures are those of each gauge between which a limit of a worksheet turns, found in exact fractions
(`tests/proofs/edges_harness.py`). Each is typed into `handturn try` in every unit that it accepts there. How wide the
needle is depends on the gauge, not on the unit: here a gauge has the same divisions in every unit.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping
from decimal import Decimal, localcontext
from fractions import Fraction
from typing import Any

import pytest

from generator.compile.calculators import group_of
from generator.quantities.units import UNITS
from generator.terminal.trial import answers
from tests.proofs.edges_harness import Case, Limits, base_of, cases, outcomes, usual_figures
from tests.support import demo

TODAY = datetime.date(2026, 11, 25)
DIGITS = 14  # a person may type as many; more are lost in the reading of any number


def turning_points(sheet: Mapping[str, Any]) -> Iterator[Case]:
    """Yield both figures of a gauge between which a limit turns, in the reading's own unit."""
    every = list(cases(sheet, 1))
    for name, reading in sheet["readings"].items():
        limits = Limits(sheet, name)
        before, last = None, None
        for case in (one for one in every if one.reading == name and one.unit == reading["unit"]):
            now = limits.exactly(case) if limits.results else {}
            if last is not None and now != last:
                yield before
                yield case
            before, last = case, now


def in_unit(sheet: Mapping[str, Any], case: Case, unit: str) -> str:
    """Return the same figure in another unit, as a decimal of DIGITS digits."""
    about = UNITS[unit]
    number = base_of(sheet, case.text, case.unit) / Fraction(repr(about.scale)) - Fraction(repr(about.offset))
    with localcontext() as context:
        context.prec = DIGITS
        return f"{(Decimal(number.numerator) / Decimal(number.denominator)):f}{unit}"


def typed(sheet: Mapping[str, Any], group: Mapping[str, Any]) -> dict[str, str]:
    """Return the readings and findings of a good day, as the desk takes them."""
    figures = {name: said for name, said in usual_figures(sheet).items() if name in group["readings"]}
    days = {
        name: datetime.date(1970, 1, 1) + datetime.timedelta(int(n)) for name, (n, u) in figures.items() if u == "date"
    }
    found = {one["step"]: outcomes(sheet)[one["step"]] for one in group["findings"] if one["step"] in outcomes(sheet)}
    return {
        **{name: number + unit for name, (number, unit) in figures.items()},
        **{n: d.isoformat() for n, d in days.items()},
        **found,
    }


def on_one_gauge(reading: Mapping[str, Any]) -> dict[str, Any]:
    """Return a reading whose gauge has the divisions of its own unit in every unit."""
    own = (reading.get("divisions") or {}).get(reading["unit"])
    if own is None:
        return dict(reading)
    scale = UNITS[reading["unit"]].scale
    same = {unit: own * scale / about.scale for unit, about in UNITS.items() if about.kind == reading["kind"]}
    return {**reading, "divisions": same}


@pytest.mark.parametrize("layout", ["inline-four", "vee-six", "flat-four"])
def test_a_figure_at_a_limit_gets_one_verdict_in_every_unit(layout: str, capsys: pytest.CaptureFixture[str]) -> None:
    sheet, library = demo.sheet(layout), demo.library()
    group = group_of(library, library.procedures[sheet["procedure"]], library.engines[sheet["engine"]["id"]])
    group = {**group, "readings": {name: on_one_gauge(one) for name, one in group["readings"].items()}}
    usual = typed(sheet, group)
    points = [case for case in turning_points(sheet) if case.reading in group["readings"] and case.unit != "date"]
    asked, differ, verdicts = 0, [], set()
    for case in points:
        units = [unit for unit, about in UNITS.items() if about.kind == group["readings"][case.reading]["kind"]]
        said = {}
        for unit in units:
            worked = answers(group, {**usual, case.reading: in_unit(sheet, case, unit)}, TODAY)
            said[unit] = [(one.name, one.verdict, one.bad) for one in worked]
        asked += len(units)
        verdicts |= {str(one) for one in said[case.unit]}
        differ += [(case, unit) for unit in units if said[unit] != said[case.unit]]
    with capsys.disabled():
        print(f"\n{layout}: {len(points)} figures at a limit, typed in {asked} ways: {len(differ)} get another verdict")
    assert differ == []
    assert len(points) > 20 and asked > 2 * len(points) and len(verdicts) > 20
