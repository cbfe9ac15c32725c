"""The setting on the wrench, walked by the phone in Node: the same figures as on the desk."""

from __future__ import annotations

import json
from collections.abc import Iterator
from random import Random
from typing import Any

import pytest

from generator.compile.tightening import settings, trees_json, wrenches_json
from generator.model import Shop
from generator.quantities.formulas.evaluation import Unknown
from generator.quantities.quantity import written
from generator.quantities.units import KINDS, table_json, to_base
from generator.quantities.wrench import (
    WrenchScale,
    inside_tree,
    is_overdue,
    offered_tree,
    on_day,
    pick,
    rounding_tree,
    setting,
    setting_tree,
)
from tests.support import demo
from tests.support.node import Phone

Json = dict[str, Any]

ASK = """async (text) => {
  const { evaluate, shown } = await import('/phone/quantities/formula.js');
  const { trees, units, cases } = JSON.parse(text);
  return JSON.stringify(cases.map(({ names, unit, step }) => {
    const [set, offered, mark, inside] = trees.map((tree) => evaluate(tree, { names, found: {}, tables: {} }));
    return { set, offered, mark, inside, text: shown(mark, units[unit], step) };
  }));
}"""
TREES = [setting_tree(), offered_tree(), rounding_tree(), inside_tree()]
MANY = 2000


def some_case(random: Random) -> dict[str, Any]:
    """A wrench, a setting near its range and an adapter; round figures come often, as in a shop."""
    unit, step = random.choice(KINDS["torque"]), random.choice([0.1, 0.2, 0.25, 0.5, 1, 2, 5])
    low = random.randint(1, 40) * step
    high = low + random.randint(1, 200) * step
    wanted = random.choice([round(random.uniform(low * 0.9, high * 1.1), 1), random.uniform(low, high)])
    figures = {"low": low, "high": high, "step": step, "setting": wanted, "tolerance": random.uniform(0.01, 1) * step}
    names = {name: to_base(number, unit) for name, number in figures.items()}
    adapter = {
        "target": names["setting"],
        "lever": random.randint(100, 900) / 1000,
        "adapter": random.choice([0.0, random.randint(10, 300) / 1000]),
        "angle": random.choice([0.0, 45.0, 90.0, 135.0, 180.0, random.uniform(-180, 180)]),
    }
    return {"names": names | adapter, "unit": unit, "step": step, "wrench": WrenchScale("one", low, high, step, unit)}


def on_the_desk(case: dict[str, Any]) -> dict[str, Any]:
    names = case["names"]
    found = setting(*(names[name] for name in ("target", "lever", "adapter", "angle")))
    picks = pick(names["setting"], names["tolerance"], [case["wrench"]])
    told = {"mark": picks[0].base, "inside": picks[0].inside, "text": picks[0].text} if picks else {}
    unknown = {"needs": [], "because": ["zero"]}
    return {"set": unknown if isinstance(found, Unknown) else found, "offered": bool(picks), **told}


def test_the_phone_sets_a_wrench_as_the_desk_does(phone: Phone):
    random = Random(6789)
    cases = [some_case(random) for _ in range(MANY)]
    asked = [{key: case[key] for key in ("names", "unit", "step")} for case in cases]
    sent = json.dumps({"trees": TREES, "units": table_json(["torque"]), "cases": asked})
    answers = json.loads(phone.evaluate(ASK, sent), parse_int=float)
    expected = [on_the_desk(case) for case in cases]
    for case, answer, desk in zip(cases, answers, expected, strict=True):
        if isinstance(desk["set"], float):
            assert answer.pop("set") == pytest.approx(desk.pop("set"), rel=1e-12), case
        assert {key: answer[key] for key in desk} == desk, case
    assert {desk["offered"] for desk in expected} == {True, False}
    assert {desk["inside"] for desk in expected if desk["offered"]} == {True, False}
    assert any("set" in desk for desk in expected), "some adapters have no setting"


# --- which wrench is taken --------------------------------------------------------------------------------------------

CHOOSE = """async (text) => {
  const { bestFirst, pullOf, settingsFor } = await import('/phone/quantities/torque.js');
  return JSON.stringify(JSON.parse(text).map(({ sheet, target, settings, tolerance, now }) => {
    const { base, unit } = pullOf(target, sheet.units);
    const written = settings.map((one) => ({ ...one, setting: base }));
    const typed = settingsFor({ target: base, tolerance }, sheet);
    const taken = (found) => bestFirst(found, { unit, sheet, now }).map((one) => [one.wrench, one.text, one.inside]);
    return [taken(written), taken(typed)];
  }));
}"""
DAY = "2026-10-02"
NOON = 1790942400000  # of that day


def some_shop(random: Random) -> Shop:
    """A rack of two to nine wrenches in all units; the same range twice, and one due about now, come often."""
    made = []
    for number in range(random.randint(2, 9)):
        unit, step = random.choice(KINDS["torque"]), random.choice(["0.1", "0.25", "0.5", "1", "2", "5"])
        low = random.choice([1, 2, 5, 10, 20, 40])
        high = low * random.choice([4, 5, 10])
        wrench = {"wrench": f"w-{number}", "label": "One", "from": f"{low} {unit}", "to": f"{high} {unit}"}
        due = random.choice([{}, {"due": "2026-10-01"}, {"due": DAY}, {"due": "2027-05-01"}])
        made.append({**wrench, "step": f"{step} {unit}", "class": random.choice(["II A", "II D"]), **due})
    person = {"initials": "KS", "name": "Kim", "role": "lead"}
    return Shop.model_validate({"shop": "quay", "title": "Quay", "people": [person], "wrenches": made})


def choices() -> Iterator[tuple[Json, list[Any]]]:
    """What the phone is asked, and what the printed sheet says: of generated racks and of the demo's worksheets."""
    random = Random(1797)
    for _ in range(400):
        shop = some_shop(random)
        target = f"{random.choice([2, 5, 8.5, 10, 20, 36, 50, 68, 90, 120])} {random.choice(KINDS['torque'])}"
        sheet = {"wrenches": wrenches_json(shop), "units": table_json(["torque"]), "torque": trees_json()}
        yield choice(sheet, target, settings(written(target), None, None, shop), None)
    for layout in ("inline-four", "vee-six", "flat-four", "inline-three"):
        sheet = demo.sheet(layout)
        for step in sheet["steps"]:
            check, about = step["check"], sheet["values"].get(step["check"].get("value"), {})
            for part in check["parts"] if check["kind"] == "tighten" else []:
                if part["kind"] == "torque":
                    yield choice(sheet, part["target"], part["settings"], tolerance_at(part["target"], about))


def choice(sheet: Json, target: str, printed: list[Json], tolerance: float | None) -> tuple[Json, list[Any]]:
    asked = {key: sheet[key] for key in ("wrenches", "units", "torque")}
    taken = [[one["wrench"], one["text"], one["inside"]] for one in on_day(printed, sheet["wrenches"], DAY)]
    return {"sheet": asked, "target": target, "settings": printed, "tolerance": tolerance, "now": NOON}, taken


def tolerance_at(target: str, about: Json) -> float | None:
    """The maker's tolerance, N.m, at one pull: the same share as at the last."""
    margin, final = ((about[key] and to_base(about[key]["number"], about[key]["unit"])) for key in ("margin", "number"))
    pull = written(target)
    return margin / final * pull.base if pull and margin and final else None


def test_the_phone_takes_the_wrench_that_the_printed_sheet_names(phone: Phone):
    asked, expected = zip(*choices(), strict=True)
    answers = json.loads(phone.evaluate(CHOOSE, json.dumps(asked)))
    for ask, (printed, typed), taken in zip(asked, answers, expected, strict=True):
        assert printed == typed == taken, ask
    assert sum(len(taken) > 1 for taken in expected) > 150
    first = [(ask["sheet"]["wrenches"], taken[0][0]) for ask, taken in zip(asked, expected, strict=True) if taken]
    assert any(is_overdue(rack[name], DAY) for rack, name in first), "some torques only an overdue wrench can set"
