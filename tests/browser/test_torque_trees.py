"""The setting on the wrench, walked by the phone in Chromium: the same figures as on the desk."""

from __future__ import annotations

import json
from random import Random
from typing import Any

import pytest
from playwright.sync_api import Browser

from generator.quantities.units import KINDS, table_json, to_base
from generator.quantities.walk import Unknown
from generator.quantities.wrench import (
    Wrench,
    inside_tree,
    offered_tree,
    pick,
    rounding_tree,
    setting,
    setting_tree,
)
from tests.browser.server import Server

pytestmark = pytest.mark.browser

ASK = """async (text) => {
  const { evaluate, shown } = await import('/phone/formula.js');
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
    return {"names": names | adapter, "unit": unit, "step": step, "wrench": Wrench("one", low, high, step, unit)}


def on_the_desk(case: dict[str, Any]) -> dict[str, Any]:
    names = case["names"]
    found = setting(*(names[name] for name in ("target", "lever", "adapter", "angle")))
    picks = pick(names["setting"], names["tolerance"], [case["wrench"]])
    told = {"mark": picks[0].base, "inside": picks[0].inside, "text": picks[0].text} if picks else {}
    unknown = {"needs": [], "because": ["zero"]}
    return {"set": unknown if isinstance(found, Unknown) else found, "offered": bool(picks), **told}


def test_the_phone_sets_a_wrench_as_the_desk_does(chromium: Browser, pages: Server):
    random = Random(6789)
    cases = [some_case(random) for _ in range(MANY)]
    page = chromium.new_page()
    page.goto(pages.url("/phone/formula.js"))
    asked = [{key: case[key] for key in ("names", "unit", "step")} for case in cases]
    sent = json.dumps({"trees": TREES, "units": table_json(["torque"]), "cases": asked})
    answers = json.loads(page.evaluate(ASK, sent), parse_int=float)
    page.close()
    expected = [on_the_desk(case) for case in cases]
    for case, answer, desk in zip(cases, answers, expected, strict=True):
        if isinstance(desk["set"], float):
            assert answer.pop("set") == pytest.approx(desk.pop("set"), rel=1e-12), case
        assert {key: answer[key] for key in desk} == desk, case
    assert {desk["offered"] for desk in expected} == {True, False}
    assert {desk["inside"] for desk in expected if desk["offered"]} == {True, False}
    assert any("set" in desk for desk in expected), "some adapters have no setting"
