"""Due or not, at its exact limits and with figures that run backwards: on the desk and on the phone alike."""

from __future__ import annotations

import datetime
import functools
from typing import Any

import pytest

from generator.canonical import Json
from generator.compile.calculators import group_of
from generator.terminal import trial
from tests.support import demo
from tests.support.node import Phone

TODAY = datetime.date(2026, 11, 25)
FOUND = {"history": "known", "use": "ordinary", "belt-wet": "dry"}
ASK = """async ({ group, names, found }) => {
  const { workOut } = await import('/phone/quantities/results.js');
  return workOut(group.results, names, found, group.tables);
}"""


@functools.cache
def group(engine: str | None) -> Json:
    """The flat four: 120000 km, 84 month, half of both in severe use; the next service after 17500 km or 13 month."""
    library = demo.library()
    return group_of(library, library.procedures["agree-the-work"], library.engines[engine] if engine else None)


def judged(phone: Phone, engine: str | None = "brackwold-f4-23", **typed: str) -> dict[str, Any]:
    """Return each result's base and verdict. The phone gives the same."""
    desk = trial._Desk(group(engine), TODAY)
    for name, text in {**FOUND, **typed}.items():
        desk.take(name, text)
    states = desk.work_out()
    told = phone.evaluate(ASK, {"group": group(engine), "names": desk.names, "found": desk.found})
    assert told == states
    return {name: (state["base"], state["verdict"]) for name, state in states.items()}


def verdicts(phone: Phone, **typed: str) -> tuple[str | None, str | None]:
    results = judged(phone, **typed)
    return results["belt_due"][1], results["due_before_service"][1]


NEW = {"last_odometer": "100000km", "odometer": "100000km", "last_change": "2026-11-25"}


@pytest.mark.parametrize(
    ("figures", "verdict", "agrees"),
    [
        ({"last_odometer": "110000km", "odometer": "109999km"}, "Due, the figures run backwards", "distance_left"),
        ({"last_odometer": "110000km", "odometer": "110000km"}, "Not due yet", None),
        ({"last_change": "2026-11-26"}, "Due, the figures run backwards", "due_date"),
        ({"last_change": "2026-11-25"}, "Not due yet", None),
        ({"last_odometer": "999999km", "last_change": "2027-11-26"}, "Due, the figures run backwards", "distance_left"),
    ],
)
def test_figures_that_run_backwards_count_as_due_in_one_voice(
    phone: Phone, figures: dict[str, str], verdict: str, agrees: str | None
) -> None:
    results = judged(phone, **{**NEW, **figures})
    assert results["belt_due"] == (verdict != "Not due yet", verdict)
    assert results["due_before_service"][0] is results["belt_due"][0]
    nothing_left = {"distance_left": 0.0, "due_date": float((TODAY - datetime.date(1970, 1, 1)).days)}
    if agrees:
        assert results[agrees][0] == nothing_left[agrees]
        assert results["due_before_service"][1] == "Due now"


@pytest.mark.parametrize(
    ("odometer", "due", "before"),
    [
        ("202500km", "Not due yet", "Lasts past the next service"),  # 17500 km left: changed at the service
        ("202500.1km", "Not due yet", "Due before the next service"),
        ("202499.9km", "Not due yet", "Lasts past the next service"),
        ("219999km", "Not due yet", "Due before the next service"),  # 1 km left
        ("219999.1km", "Due by distance", "Due now"),  # never "good for another 0 km"
        ("219999.5km", "Due by distance", "Due now"),
        ("220000km", "Due by distance", "Due now"),
        ("220001km", "Due by distance", "Due now"),
    ],
)
def test_the_limits_by_distance(phone: Phone, odometer: str, due: str, before: str) -> None:
    assert verdicts(phone, **{**NEW, "odometer": odometer}) == (due, before)


@pytest.mark.parametrize(
    ("last_change", "due", "before"),
    [
        ("2020-12-25", "Not due yet", "Lasts past the next service"),  # due 2027-12-25, the day of the next service
        ("2020-12-24", "Not due yet", "Due before the next service"),
        ("2020-12-26", "Not due yet", "Lasts past the next service"),
        ("2019-11-26", "Not due yet", "Due before the next service"),  # due tomorrow
        ("2019-11-25", "Due by age", "Due now"),  # due today
        ("2019-11-24", "Due by age", "Due now"),
    ],
)
def test_the_limits_by_age(phone: Phone, last_change: str, due: str, before: str) -> None:
    assert verdicts(phone, **{**NEW, "last_change": last_change}) == (due, before)


def test_severe_use_halves_what_is_left(phone: Phone) -> None:
    severe = {**NEW, "use": "severe"}
    at = "Lasts past the next service", "Due before the next service"
    told = [verdicts(phone, **{**severe, "odometer": one})[1] for one in ("142500km", "142500.1km")]
    assert told == list(at)


def test_what_nobody_knows_is_due_and_a_service_that_nobody_knows_leaves_the_answer_of_today(phone: Phone) -> None:
    assert verdicts(phone, history="unknown") == ("Due, history not known", "Due now")
    leaks = {"belt-wet": "leaking"}
    assert verdicts(phone, **leaks) == ("Due, oil or coolant gets on it", "Due now")
    sheet = {"belt_distance": "120000km", "belt_age": "84month", "severe_share": "50%"}
    results = judged(phone, None, **sheet, **NEW)
    assert results["belt_due"] == (False, "Not due yet") and results["due_before_service"] == (None, None)
    half = judged(phone, None, **sheet, **NEW, service_distance="120001km")
    assert half["due_before_service"] == (True, "Due before the next service"), "one of the two is enough"


def test_no_text_of_a_belt_that_is_due_says_that_it_is_good_for_anything(phone: Phone) -> None:
    result = next(one for one in group("brackwold-f4-23")["results"] if one["name"] == "belt_due")
    says = {limit["verdict"]: str(limit["say"]) + str(limit["do"]) for limit in result["limits"]}
    assert [verdict for verdict, said in says.items() if "good for" in said] == ["Not due yet"]
