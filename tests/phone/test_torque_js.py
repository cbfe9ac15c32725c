"""Every number of a wrench, worked out by the phone in Node: the same figures as at the desk, also at each limit."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from random import Random
from typing import Any

import pytest

from generator.compile.tightening import wrenches_json
from generator.model import Shop
from generator.quantities.fasteners.torque_band import judged, newton_metres, slips
from generator.quantities.fasteners.wrench import (
    WrenchScale,
    is_overdue,
    pick,
    setting,
    settings,
    tolerance_at,
    tolerance_of,
)
from generator.quantities.formulas.evaluation import Unknown
from generator.quantities.trees import SETTING, TORQUE, figure, holds
from generator.quantities.units import KINDS, UNITS, table_json, to_base
from tests.golden import store
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
TREES = [SETTING[name] for name in ("setting", "offered", "rounding", "inside")]
MANY = 2000


def some_case(random: Random) -> dict[str, Any]:
    """Return a wrench, a setting near its range and an adapter. Round figures are common, as in a shop."""
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
  const { bestFirst, pullOf, settingsFor, toleranceAt } = await import('/phone/quantities/torque.js');
  return JSON.stringify(JSON.parse(text).map(({ sheet, target, about, now }) => {
    const { base, unit } = pullOf(target, sheet.units);
    const found = settingsFor({ target: base, tolerance: toleranceAt(base, about, sheet) }, sheet);
    return bestFirst(found, { unit, sheet, now }).map((one) => [one.wrench, one.number, one.text, one.inside]);
  }));
}"""
DAY = "2026-10-02"
NOON = 1790942400000  # of that day
NOTHING: Json = {"margin": None, "number": None}


def some_shop(random: Random) -> Shop:
    """Return two to nine wrenches in all units. The same range twice, and one due about now, are common."""
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


def some_value(random: Random, unit: str) -> Json:
    """Return what is said of a bolt: sometimes its tolerance, in its own unit or another, sometimes nothing."""
    number = {"number": random.choice([10, 36, 90, 0]), "unit": unit}
    margin = {"number": random.choice([0.1, 1, 5]), "unit": random.choice([unit, *KINDS["torque"]])}
    return {"margin": random.choice([None, margin]), "number": random.choice([None, number, number])}


def choices() -> Iterator[tuple[Json, list[Any]]]:
    """Yield what the phone is asked and what the desk chooses: from generated racks and the demo's worksheets."""
    random = Random(1797)
    for _ in range(1200):
        unit = random.choice(KINDS["torque"])
        target = f"{random.choice([2, 5, 8.5, 10, 20, 36, 50, 68, 90, 120])} {unit}"
        yield choice(rack(some_shop(random)), target, some_value(random, unit))
    for layout in ("inline-four", "vee-six", "flat-four", "inline-three"):
        sheet = demo.sheet(layout)
        for about, pull in pulls(sheet):
            yield choice(sheet, pull["target"], about)


def rack(shop: Shop) -> Json:
    return {"wrenches": wrenches_json(shop), "units": table_json(["torque"]), "torque": dict(SETTING)}


def pulls(sheet: Json) -> Iterator[tuple[Json, Json]]:
    """Yield the value and the part of each pull that is a torque."""
    for check in (step["check"] for step in sheet["steps"]):
        for part in check["parts"] if check["kind"] == "tighten" else []:
            if part["kind"] == "torque":
                yield sheet["values"][check["value"]], part


def choice(sheet: Json, target: str, about: Json) -> tuple[Json, list[Any]]:
    return asked_of(sheet, target, about), told(settings(target, about, sheet["wrenches"], DAY))


def asked_of(sheet: Json, target: str, about: Json, now: int = NOON) -> Json:
    asked = {key: sheet[key] for key in ("wrenches", "units", "torque")}
    return {"sheet": asked, "target": target, "about": {key: about[key] for key in NOTHING}, "now": now}


def told(picks: list[Any]) -> list[Any]:
    return [[one.wrench.name, one.number, one.text, one.inside] for one in picks]


def test_the_phone_takes_the_wrench_that_the_printed_sheet_names(phone: Phone):
    asked, expected = zip(*choices(), strict=True)
    answers = json.loads(phone.evaluate(CHOOSE, json.dumps(asked)))
    for ask, taken, desk in zip(asked, answers, expected, strict=True):
        assert taken == desk, ask
    assert sum(len(taken) > 1 for taken in expected) > 450
    first = [(ask["sheet"]["wrenches"], taken[0][0]) for ask, taken in zip(asked, expected, strict=True) if taken]
    assert any(is_overdue(rack[name]["due"], DAY) for rack, name in first), (
        "some torques only an overdue wrench can set"
    )


def test_a_worksheet_of_an_earlier_day_gives_the_settings_that_were_written_into_it(phone: Phone):
    """The first worksheets had the settings of each pull in them. The phone orders wrenches itself, as on that day."""
    seen = 0
    for name in store.sets():
        for sheet in sheets_of(name):
            of = [(about, part) for about, part in pulls(sheet) if "settings" in part]
            written = [sorted([one[key] for key in WRITTEN] for one in part["settings"]) for _, part in of]
            asked = [asked_of(sheet, part["target"], about) for about, part in of]
            assert list(map(sorted, json.loads(phone.evaluate(CHOOSE, json.dumps(asked))))) == written
            assert [sorted(told(settings(part["target"], about, sheet["wrenches"]))) for about, part in of] == written
            seen += sum(map(len, written))
    assert seen > 140, "settings were written into the worksheets of 2026-11"


WRITTEN = ("wrench", "number", "text", "inside")


def sheets_of(name: str) -> Iterator[Json]:
    files = store.unpacked(name, "site.tar.xz")
    yield from (json.loads(body) for path, body in files.items() if path.endswith("/sheet.json"))


# --- with an adapter --------------------------------------------------------------------------------------------------

THROUGH = """async (text) => {
  const { settingsFor } = await import('/phone/quantities/torque.js');
  return JSON.stringify(JSON.parse(text).map(({ sheet, pull: { lever, ...pull } }) => (
    settingsFor({ ...pull, leverOf: () => lever }, sheet).map((one) => [one.wrench, one.text, one.inside])
  )));
}"""


def some_reach(random: Random) -> Json:
    adapter = {"length": random.choice([0, 25, 60, 300]), "angle": random.choice([0, 45, 90, 135, 180])}
    lever = random.choice([None, 250, 300, 400])
    tolerance = random.choice([None, random.uniform(0.01, 5)])
    return {"target": random.uniform(2, 150), "tolerance": tolerance, "adapter": adapter, "lever": lever}


def through(shop_of: Json, pull: Json) -> list[Any]:
    """Return the same from the desk. The tolerance is the bolt's, so the setting may be off by the same share."""
    lever, angle = pull["lever"], pull["adapter"]["angle"]
    found = lever and setting(pull["target"], lever / 1000, pull["adapter"]["length"] / 1000, angle)
    made = []
    for name, one in shop_of["wrenches"].items():
        tool = WrenchScale(name, one["low"], one["high"], one["step"], one["unit"], one["iso"])
        if not isinstance(found, float):
            made.append([name, "", False])
            continue
        allowed = tolerance_of(tool, pull["target"]) if pull["tolerance"] is None else pull["tolerance"]
        off = figure(TORQUE["through"], tolerance=allowed, setting=found, target=pull["target"])
        made += [[name, each.text, each.inside] for each in pick(found, off, [tool])]
    return made


def test_the_phone_sets_a_wrench_with_an_adapter_as_the_desk_does(phone: Phone):
    random = Random(4711)
    asked = [{"sheet": rack(some_shop(random)), "pull": some_reach(random)} for _ in range(MANY)]
    answers = json.loads(phone.evaluate(THROUGH, json.dumps(asked)))
    expected = [through(one["sheet"], one["pull"]) for one in asked]
    assert answers == expected
    every = [one for each in expected for one in each]
    assert {one[2] for one in every if one[1]} == {True, False} and any(not one[1] for one in every)


# --- is it sane -------------------------------------------------------------------------------------------------------

JUDGE = """async (text) => {
  const { outside, roughly, slipsOf, toleranceAt } = await import('/phone/quantities/torque.js');
  const { units, names, cases } = JSON.parse(text);
  return JSON.stringify(cases.map(({ number, unit, base, low, high }) => {
    const side = outside(base, { low, high });
    const meant = side ? slipsOf({ number, unit }, { low, high }, { units, names }) : [];
    return [side ?? 'inside', roughly(base), meant.map((one) => [one.unit, one.number, roughly(one.base)])];
  }));
}"""


def limits_and_beside(limit: float) -> list[float]:
    """Return a limit, the numbers on both sides that count as on it, and the next ones that do not."""
    return [limit, math.nextafter(limit, 0), math.nextafter(limit, 1e9),
            *(limit * (1 + off) for off in (1e-10, -1e-10, 1e-8, -1e-8))]  # fmt: skip


def some_torque(random: Random) -> Json:
    low = round(random.uniform(0.5, 90), 4)
    high = round(low * random.uniform(1.5, 5), 4)
    unit = random.choice(KINDS["torque"])
    base = random.choice([*limits_and_beside(low), *limits_and_beside(high), random.uniform(0.01, 2000), 1, 100])
    number = base / UNITS[unit].scale
    return {"number": number, "unit": unit, "base": to_base(number, unit), "low": low, "high": high}


def test_the_phone_calls_a_torque_sane_and_says_its_slips_as_the_desk_does(phone: Phone):
    random = Random(898)
    cases = [some_torque(random) for _ in range(4000)]
    sent = {"units": table_json(["torque"]), "names": KINDS["torque"], "cases": cases}
    answers = json.loads(phone.evaluate(JUDGE, json.dumps(sent)), parse_int=float)
    for case, (side, rough, meant) in zip(cases, answers, strict=True):
        within = (case["low"], case["high"])
        assert side == judged(case["base"], within), case
        assert f"{rough} N.m" == newton_metres(case["base"]), case
        found = slips(case["number"], case["unit"], within)
        assert [one[::2] for one in meant] == [[of.unit, newton_metres(of.base)[:-4]] for of in found], case
        assert [one[1] for one in meant] == pytest.approx([of.number for of in found], rel=1e-11), case
    assert {side for side, *_ in answers} == {"inside", "above", "below"}
    assert {len(meant) for *_, meant in answers} >= {0, 1, 2, 3}


@pytest.mark.parametrize(("off", "side"), [(0, "inside"), (9e-10, "inside"), (1.1e-9, "out")])
def test_both_call_the_very_edge_of_a_band_inside_and_what_lies_beyond_it_outside(phone: Phone, off: float, side: str):
    low, high = 7.3988, 29.8243
    ends = [(low * (1 - off), "below"), (high * (1 + off), "above")]
    cases = [{"number": base, "unit": "N.m", "base": base, "low": low, "high": high} for base, _ in ends]
    sent = {"units": table_json(["torque"]), "names": [], "cases": cases}
    answers = [one[0] for one in json.loads(phone.evaluate(JUDGE, json.dumps(sent)))]
    assert answers == [judged(base, (low, high)) for base, _ in ends]
    assert answers == [beyond if side == "out" else "inside" for _, beyond in ends]


WALK = """async (text) => {
  const { evaluate } = await import('/phone/quantities/formula.js');
  const { TORQUE } = await import('/phone/quantities/torque_trees.js');
  return JSON.stringify(JSON.parse(text).map((names) => evaluate(TORQUE.middle, { names }) === true));
}"""


@pytest.mark.parametrize("unit", KINDS["torque"])
@pytest.mark.parametrize(("part", "inwards"), [(0.2, 1), (0.9, -1)])
def test_both_call_a_fifth_and_nine_tenths_of_a_scale_its_middle(phone: Phone, unit: str, part: float, inwards: int):
    """For every whole greatest torque from 5 to 400: a hair inside is inside, a hair outside is not."""
    scales = [to_base(high, unit) for high in range(5, 401)]
    for off, expected in [(0, True), (inwards * 1e-8, True), (-inwards * 1e-8, False)]:
        asked = [{"setting": high * part * (1 + off), "high": high} for high in scales]
        assert json.loads(phone.evaluate(WALK, json.dumps(asked))) == [expected] * len(scales)
        assert [holds(TORQUE["middle"], **names) for names in asked] == [expected] * len(scales)


@pytest.mark.parametrize(
    ("number", "first"), [(10, "scale-50"), (9.9, "scale-45"), (45, "scale-50"), (45.5, "scale-60")]
)
def test_at_the_end_of_its_scale_a_wrench_gives_way_to_the_next(phone: Phone, number: float, first: str):
    """The first has the finest marks: it is chosen from a fifth of its greatest torque to nine tenths."""
    marks = {"scale-50": (5, 50, "0.1"), "scale-45": (5, 45, "0.5"), "scale-60": (5, 60, "0.5")}
    made = [{"wrench": name, "label": name, "from": f"{low} N.m", "to": f"{high} N.m", "step": f"{step} N.m",
             "class": "II A"} for name, (low, high, step) in marks.items()]  # fmt: skip
    person = {"initials": "KS", "name": "Kim", "role": "lead"}
    shop = Shop.model_validate({"shop": "quay", "title": "Quay", "people": [person], "wrenches": made})
    ask, desk = choice(
        rack(shop),
        f"{number} N.m",
        {"margin": {"number": 1, "unit": "N.m"}, "number": {"number": number, "unit": "N.m"}},
    )
    (taken,) = json.loads(phone.evaluate(CHOOSE, json.dumps([ask])))
    assert taken == desk and taken[0][0] == first


# --- what a check says nothing of -------------------------------------------------------------------------------------

SILENT = """async (text) => {
  const phone = await import('/phone/quantities/torque.js');
  const { bestFirst, doubtOf, isOverdue, isUndated, pullOf, settingsFor, settingWith, toleranceAt } = phone;
  const { units, torque } = JSON.parse(text);
  const wrench = { label: 'A', low: 5, high: 25, step: 0.5, unit: 'N.m', accuracy: 0.04, lever: 250, due: null };
  const odd = { ...wrench, unit: 'clicks' };
  const sheetOf = (wrenches) => ({ units, torque, wrenches, values: {}, shop: { units: {} } });
  const found = (one, pull = {}) => (
    settingsFor({ target: 12, tolerance: null, ...pull }, sheetOf({ one: { ...wrench, ...one } }))
  );
  const plain = { units: Object.keys(units), number: null, band: null };
  const doubt = (typed, about) => doubtOf(typed, { name: 'it', about: { ...plain, ...about }, sheet: sheetOf({}) });
  const band = { low: 5, high: 15 };
  const crowfoot = { length: 40, angle: 0 };
  const newton = (number) => ({ number, unit: 'N.m' });
  const share = (margin, number) => toleranceAt(5, { margin, number }, { units });
  const inHand = [['a', 12], ['b', null]].map(([of, setting]) => ({ wrench: of, inside: true, setting }));
  return JSON.stringify({
    sound: found({}).length,
    unknownUnit: found({ unit: 'clicks' }), noUnit: found({ unit: '' }), protoUnit: found({ unit: '__proto__' }),
    upsideDown: found({ low: 25, high: 5 }),
    noLever: settingWith(12, { ...crowfoot, lever: null }, { torque }),
    noLeverWith: found({}, { adapter: crowfoot }),
    unknownUnitWith: found(odd, { adapter: crowfoot, leverOf: () => 250 }),
    noDate: isOverdue(wrench, 4e15), noWrench: isOverdue(undefined, 0),
    undated: [{ due: null }, { due: '2027-03-01' }, {}, undefined].map(isUndated),
    rank: bestFirst(inHand, { unit: 'N.m', sheet: sheetOf({ a: odd, b: wrench }), now: 0 }).map((one) => one.wrench),
    share: share(newton(1), newton(10)), ofNothing: share(newton(1), newton(0)),
    noFinal: share(newton(1), null), noMargin: share(null, newton(10)), otherMargin: share(odd, newton(10)),
    asked: doubt('72 N.m', { band })?.side, noBand: doubt('72 N.m', {}), otherUnit: doubt('72 clicks', { band }),
    noNumber: doubt('x N.m', { band }), noText: pullOf(null, units), angle: pullOf('90 deg', units),
    snug: doubt('72 N.m then 90 deg', { band }),
  });
}"""


def test_what_is_not_known_gives_no_setting_and_no_verdict_and_is_never_taken_for_a_good_one(phone: Phone):
    sent = {"units": table_json(["torque", "angle"]), "torque": dict(SETTING)}
    said = json.loads(phone.evaluate(SILENT, json.dumps(sent)))
    assert said.pop("sound") == 1 and said.pop("share") == 0.5 and said.pop("asked") == "above"
    for name in ("unknownUnit", "noUnit", "protoUnit", "upsideDown", "unknownUnitWith"):
        assert said.pop(name) == [], name
    assert said.pop("noLeverWith") == [{"wrench": "one", "number": None, "text": "", "inside": False, "setting": None}]
    assert said.pop("rank") == ["b", "a"], "a wrench in a unit that nobody knows comes last"
    assert said.pop("noDate") is said.pop("noWrench") is False
    assert said.pop("undated") == [True, False, False, False], "an older worksheet without the field says nothing"
    assert said == dict.fromkeys(said)


def test_on_the_desk_what_is_not_known_gives_none_either():
    assert tolerance_at(5, None, 10) is tolerance_at(5, 1, None) is tolerance_at(5, 1, 0) is None
    assert settings(None, NOTHING, {}) == settings("90 deg", NOTHING, {}) == settings("12 clicks", NOTHING, {}) == []
    assert holds(TORQUE["middle"], setting=None, high=50) is holds(TORQUE["above"], value=None, low=1, high=2) is False
    assert not is_overdue(None, "9999-12-31")
