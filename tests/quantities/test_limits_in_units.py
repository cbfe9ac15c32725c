"""A figure at a limit gets one verdict, in whatever unit a person types it at the desk.

The figures are those of each gauge between which a limit of a worksheet turns, found in exact fractions
(`tests/proofs/edges_harness.py`). Each is typed into `handturn try` in every unit that it accepts there. How wide the
needle is depends on the gauge, not on the unit: here a gauge has the same divisions in every unit. The control types
the same with the rule of nearness switched off: some figures get another verdict then.
"""

from __future__ import annotations

import datetime
import itertools
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from decimal import Decimal, localcontext
from fractions import Fraction
from typing import Any

import pytest

from generator.compile.calculators import group_of
from generator.quantities.units import UNITS
from generator.terminal.trial import _Desk, answers
from tests.proofs.edges_harness import Case, Limits, base_of, cases, no_nearness, outcomes, usual_figures
from tests.support import demo

LAYOUTS = ("inline-four", "inline-three", "vee-six", "flat-four")
TODAY = datetime.date(2026, 11, 25)
DECIMALS = 15  # the most that a typed figure may have: half a millimetre in feet has more
DIGITS = 14  # a person may type as many; more are lost in the reading of any number


def turning_points(sheet: Mapping[str, Any], readings: Collection[str]) -> Iterator[Case]:
    """Yield both figures of a gauge between which a limit turns, for each of the readings in its own unit."""
    own = [case for case in cases(sheet, 1) if case.unit == sheet["readings"][case.reading]["unit"] != "date"]
    for name in readings:
        limits = Limits(sheet, name)
        of = [case for case in own if case.reading == name] if limits.results else []
        met = [limits.exactly(case) for case in of]
        for at, (before, now) in enumerate(itertools.pairwise(met)):
            if now != before:
                yield from of[at : at + 2]


def in_unit(sheet: Mapping[str, Any], case: Case, unit: str) -> str:
    """Return the same figure in another unit, as a decimal of DIGITS digits."""
    about = UNITS[unit]
    number = base_of(sheet, case.text, case.unit) / Fraction(repr(about.scale)) - Fraction(repr(about.offset))
    with localcontext() as context:
        context.prec = DIGITS
        figure = Decimal(number.numerator) / Decimal(number.denominator)
        return f"{round(figure, DECIMALS) if -figure.as_tuple().exponent > DECIMALS else figure:f}{unit}"


def typed(sheet: Mapping[str, Any], group: Mapping[str, Any]) -> dict[str, str]:
    """Return the readings and findings of a good day, as the desk takes them."""
    figures = {name: said for name, said in usual_figures(sheet).items() if name in group["readings"]}
    days = {
        name: datetime.date(1970, 1, 1) + datetime.timedelta(int(n)) for name, (n, u) in figures.items() if u == "date"
    }
    found = {one["step"]: outcomes(sheet)[one["step"]] for one in group["findings"] if one["step"] in outcomes(sheet)}
    return {
        **{name: f"{float(number):.{DIGITS}g}{unit}" for name, (number, unit) in figures.items()},
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


Verdicts = list[tuple[str, str | None, bool]]


def verdicts(group: Mapping[str, Any], figures: Mapping[str, str]) -> tuple[Verdicts, Verdicts]:
    """Return what `handturn try` says of each result (its name, its verdict, whether that is bad), and for the control
    what it would say without nearness."""
    desk = _Desk(dict(group), TODAY)
    for name, text in figures.items():
        desk.take(name, text)
    assert not desk.odd, desk.odd
    known = dict(desk.names)
    said = desk.work_out()
    desk.names = known
    with no_nearness():
        plain = desk.work_out()
    return _told(said), _told(plain)


def _told(states: Mapping[str, Any]) -> Verdicts:
    return [(name, state["verdict"], state["bad"]) for name, state in states.items()]


@dataclass
class Count:
    """What was typed, and which of it gets another verdict than in the reading's own unit."""

    points: int = 0
    typed: int = 0
    seen: set[str] = field(default_factory=set)
    differ: list[tuple[Case, str]] = field(default_factory=list)
    control: int = 0


def count_of(sheet: Mapping[str, Any], group: Mapping[str, Any]) -> Count:
    """Type every figure at a limit in every unit, with nearness and, for the control, without."""
    usual, count = typed(sheet, group), Count()
    for case in turning_points(sheet, group["readings"]):
        own = group["readings"][case.reading]
        units = [unit for unit, about in UNITS.items() if about.kind == own["kind"]]
        said = {unit: verdicts(group, {**usual, case.reading: in_unit(sheet, case, unit)}) for unit in units}
        right = said[own["unit"]][0]
        count.points, count.typed = count.points + 1, count.typed + len(units)
        count.seen |= set(map(str, right))
        count.differ += [(case, unit) for unit, (one, _) in said.items() if one != right]
        count.control += sum(plain != right for _, plain in said.values())
    return count


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_figure_at_a_limit_gets_one_verdict_in_every_unit(layout: str, capsys: pytest.CaptureFixture[str]) -> None:
    sheet, library = demo.sheet(layout), demo.library()
    group = group_of(library, library.procedures[sheet["procedure"]], library.engines[sheet["engine"]["id"]])
    count = count_of(sheet, {**group, "readings": {name: on_one_gauge(one) for name, one in group["readings"].items()}})
    with capsys.disabled():
        print(
            f"\n{layout}: {count.points} figures at a limit, typed in {count.typed} ways: {len(count.differ)} get "
            f"another verdict; without nearness {count.control}"
        )
    assert count.differ == []
    assert count.points > 20 and count.typed > 2 * count.points and len(count.seen) > 20
    assert count.control > 0


def test_no_worksheet_of_the_demo_is_left_out() -> None:
    assert sorted(LAYOUTS) == sorted(sheet["engine"]["facts"]["layout"] for sheet in demo.checked().sheets)


def test_what_is_typed_is_told_as_the_command_tells_it() -> None:
    """The desk behind `handturn try`, asked without its words, judges as the command does."""
    sheet, library = demo.sheet("inline-three"), demo.library()
    group = group_of(library, library.procedures[sheet["procedure"]], library.engines[sheet["engine"]["id"]])
    usual = typed(sheet, group)
    told = [(one.name, one.verdict, one.bad) for one in answers(group, usual, TODAY)]
    assert sorted(told) == sorted(verdicts(group, usual)[0]) and len(told) > 20
