"""What a step of another revision asks otherwise, in figures: each change in its own words, none as two."""

from __future__ import annotations

import copy
from collections.abc import Callable
from typing import Any

import pytest

from tests.support.figures import limit, name, result
from tests.support.journals import GATES, TICK, inspect, sheet_of, step, tighten, value, wait
from tests.support.node import Phone

ASK = """async ([before, after]) => {
  const { askedBetween } = await import('/phone/screen/job/asked.js');
  return askedBetween(before, after, before.steps[0], after.steps[0]);
}"""
ORDER = """async ([before, after]) => {
  const { steppedAside } = await import('/phone/screen/job/asked.js');
  return [...steppedAside(before, after, ({ path }) => path)];
}"""
VALUES = {
    "bolts": {**value("critical", "25 N.m"), "label": "Caliper bolts, rear left"},
    "soak": {**value("ordinary", "10 min", "time"), "label": "Soak"},
    "long": {**value("ordinary", None), "label": "Long bolts"},
}
ITEMS = {"bolts": {"kind": "bolt", "label": "Caliper bolts", "list": "road", "count": 2}}
GAP = result("gap", name("slack"), "mm", limit([">", name("slack"), 2], "too wide"))
UNITS = {"mm": {"kind": "length", "scale": 1, "offset": 0}}

Sheet = dict[str, Any]
Change = Callable[[Sheet, dict[str, Any]], None]


def base() -> Sheet:
    first = step("tighten", 0, tighten("bolts", "critical", "1.1", "1.2"), values=["bolts"], shows=["gap"])
    first["closes"] = [{"what": "bolts", "count": 2}]
    return sheet_of(["any"], [first], values=copy.deepcopy(VALUES), items=ITEMS, results=[GAP], units=UNITS)


def torque(sheet: Sheet, first: dict[str, Any]) -> None:
    sheet["values"]["bolts"]["text"] = "30 N.m"


def nobody_knows(sheet: Sheet, first: dict[str, Any]) -> None:
    sheet["values"]["bolts"] |= {"text": None, "source": None}


def source(sheet: Sheet, first: dict[str, Any]) -> None:
    sheet["values"]["bolts"]["source"]["where"] = "page 9"


def another_value(sheet: Sheet, first: dict[str, Any]) -> None:
    first["values"], first["check"]["value"] = ["long"], "long"


def one_more_value(sheet: Sheet, first: dict[str, Any]) -> None:
    first["values"] = ["bolts", "soak"]


def pulls(sheet: Sheet, first: dict[str, Any]) -> None:
    first["check"] = tighten("bolts", "critical", "1.1", "1.2", "1.3")


def kind(sheet: Sheet, first: dict[str, Any]) -> None:
    first["check"] = TICK


def things(sheet: Sheet, first: dict[str, Any]) -> None:
    first["closes"] = [{"what": "bolts", "count": None}]


def no_things(sheet: Sheet, first: dict[str, Any]) -> None:
    first["closes"] = []


def hold(sheet: Sheet, first: dict[str, Any]) -> None:
    first["hold"] = True


def gate(sheet: Sheet, first: dict[str, Any]) -> None:
    first["gate"] = {**GATES["starter"], "kinds": ["pin"]}


def wider(sheet: Sheet, first: dict[str, Any]) -> None:
    sheet["results"][0]["limits"][0]["when"][2] = 2.5


def other_way_round(sheet: Sheet, first: dict[str, Any]) -> None:
    sheet["results"][0]["limits"][0]["when"][0] = "<"


def caution(sheet: Sheet, first: dict[str, Any]) -> None:
    first["cautions"] = [{"level": "notice", "hazard": "Cold.", "harm": "It cracks.", "avoid": "Wait."}]


CASES: list[tuple[Change, list[str]]] = [
    (torque, ["Caliper bolts, rear left 25 N.m, now 30 N.m"]),
    (nobody_knows, ["Caliper bolts, rear left 25 N.m, now to be looked up"]),
    (source, ["Caliper bolts, rear left: same figure, other facts about it"]),
    (another_value, ["Long bolts 25 N.m, now to be looked up"]),
    (one_more_value, ["Soak 10 min, new here"]),
    (pulls, ["2 pulls, now 3"]),
    (kind, ["was tightened bolt by bolt, is now ticked"]),
    (things, ["closes 2 × Caliper bolts, now all"]),
    (no_things, ["no longer closes Caliper bolts"]),
    (hold, ["now the work stops here until it is done"]),
    (gate, ["now the work stops here until it is done"]),
    (wider, ["Limit of Gap 2 mm, now 2.5 mm"]),
    (other_way_round, ["Gap: other limits"]),
    (caution, ["look at its cautions again"]),
]


@pytest.mark.parametrize(("change", "said"), CASES, ids=[change.__name__ for change, _ in CASES])
def test_a_change_is_told_in_its_figures(phone: Phone, change: Change, said: list[str]) -> None:
    after = base()
    change(after, after["steps"][0])
    assert phone.evaluate(ASK, [base(), after]) == said
    assert phone.evaluate(ASK, [base(), base()]) == []


def test_a_gate_that_waits_for_other_things_says_so(phone: Phone) -> None:
    sheets = [base(), base()]
    for sheet, kinds in zip(sheets, (["pin"], ["pin", "hose"]), strict=True):
        sheet["steps"][0] |= {"hold": True, "gate": {**GATES["starter"], "kinds": kinds}}
    assert phone.evaluate(ASK, sheets) == ["its gate waits for other things"]


def test_times_counts_and_answers_that_no_value_holds_are_told(phone: Phone) -> None:
    checks = [
        (wait("soak", 600), wait("soak", 900), ["10 min, now 15 min"]),
        (wait("soak", 60), wait("soak", 90), ["1 min, now 90 s"]),
        (inspect(good=False), inspect(good=False, bad=True), ["answers were good, now good / bad"]),
    ]
    for then, now, said in checks:
        sheets = [sheet_of(["any"], [step("one", 0, check)], values={}) for check in (then, now)]
        assert phone.evaluate(ASK, sheets) == said


def test_the_fewest_steps_are_said_to_stand_elsewhere(phone: Phone) -> None:
    def of(names: str) -> Sheet:
        return sheet_of(["any"], [step(path, 0, TICK) for path in names])

    assert phone.evaluate(ORDER, [of("abcde"), of("abcde")]) == []
    assert phone.evaluate(ORDER, [of("abcde"), of("acdeb")]) == [["b", "e"]]
    assert phone.evaluate(ORDER, [of("abcde"), of("eabcd")]) == [["e", None]]
    assert phone.evaluate(ORDER, [of("abcde"), of("abxcd")]) == []  # one new, one gone: no order changed
