"""Worksheets from strangers: sound ones with one thing changed, by hand or at random."""

from __future__ import annotations

import json
from collections.abc import Callable
from random import Random
from typing import Any

from generator.canonical import canonical
from tests.support.figures import figures, limit, name, on_wrench, quantity, reading, result, tools
from tests.support.journals import Case, Sheet, inspect, random_case, sheet_of, step, tighten, value, wait

Json = dict[str, Any]
JUNK: list[Any] = [
    None,
    True,
    -1,
    0,
    2.5,
    1e300,
    1e-300,
    "",
    "x",
    "left",
    [],
    [[]],
    {},
    {"x": 1},
    ["name", "left"],
    ["+"],
]


def sound() -> Sheet:
    """Return a worksheet with at least one of everything that readings and results can have."""
    deep: Any = name("drained")
    for _ in range(40):
        deep = ["neg", deep]
    left = ["-", name("capacity"), name("drained")]
    watch = {**wait("drain", 600), "watch": {"start": "drained", "end": "drained"}}
    steps = [
        step("drain", 0, {"kind": "measure", "reading": "drained", "against": None}, shows=["left"], holds=["left"]),
        step("seal", 0, inspect(dry=False, wet=False)),
        step("watch", 0, watch, values=["drain"]),
        step("bolts", 0, {**on_wrench(tighten("bolts", "critical", "1.1", "1.2")), "asks_new": True}),
    ]
    results = [
        result("left", left, "L", limit(["<", name("left"), 0]), hold=True, step=0.1),
        result("strength", ["interp", "curve", name("left")], "%", limit(None, "weak"), fills="filled"),
        result("wet", ["found", "seal", "wet"]),
        result("deep", deep, "L"),
    ]
    values = {
        "capacity": {**value("ordinary", "8 L", "volume"), **quantity("L", 8, (0.5, "L"))},
        "filled": value("ordinary", None, "share"),
        "drain": value("ordinary", "10 min", "time"),
        "bolts": {**value("critical", "12 N.m"), "band": {"low": 5, "high": 25}, "points": [[0, 0.5], [1, 0.5]]},
    }
    return sheet_of(["any"], steps, values=values, **tools(), **figures({"drained": reading("L")}, results))


def _wide(sheet: Json) -> None:
    sheet["results"][0]["tree"] = ["min", *[1] * 500]


def _many(sheet: Json) -> None:
    sheet["results"] += [result(f"r{number}", ["min", *[1] * 100], "") for number in range(250)]


def _tick_of(sheet: Json) -> Json:
    return next(step["check"] for step in sheet["steps"] if step["check"]["kind"] in ("tick", "measure"))


def _set(*way: Any) -> Callable[[Json], None]:
    """Return a function that follows all of `way` but the last and puts the last there."""

    def change(sheet: Any) -> None:
        for key in way[:-2]:
            sheet = sheet[key]
        sheet[way[-2]] = way[-1]

    return change


CHANGES: dict[str, Callable[[Json], None]] = {
    "outcomes of a tick that are none": lambda sheet: _tick_of(sheet).update(outcomes=7),
    "outcomes of a tick that are nothing": lambda sheet: _tick_of(sheet).update(outcomes=None),
    "a tick that looks at no list": lambda sheet: _tick_of(sheet).update(of=7),
    "units left out": lambda sheet: sheet.pop("units"),
    "tables left out": lambda sheet: sheet.pop("tables"),
    "givens left out": lambda sheet: sheet.pop("givens"),
    "a scale of nothing": _set("units", "L", "scale", 0),
    "a scale that is a text": _set("units", "L", "scale", "1"),
    "an offset beyond all numbers": _set("units", "L", "offset", 1e301),
    "a reading without a kind": lambda sheet: sheet["readings"]["drained"].pop("kind"),
    "a limit of a reading that is a text": _set("readings", "drained", "from", "0"),
    "a reading that nobody declares": _set("steps", 0, "check", "reading", "poured"),
    "a watch of something that is no reading": _set("steps", 2, "check", "watch", {"start": "left", "end": "drained"}),
    "half a watch": _set("steps", 2, "check", "watch", {"start": "drained"}),
    "a hold of no result": _set("steps", 0, "holds", ["right"]),
    "holds that are a name": _set("steps", 0, "holds", "left"),
    "two results of one name": lambda sheet: sheet["results"].append(sheet["results"][0]),
    "a result called like no name": _set("results", 0, "name", "__proto__"),
    "a step of nothing": _set("results", 0, "step", 0),
    "inputs that are no names": _set("results", 0, "inputs", [["left"]]),
    "no break between two readings": _set("second_reader", 0),
    "a break of less than nothing": _set("second_reader", -600),
    "a break that is no number": _set("second_reader", "600"),
    "a break that is yes": _set("second_reader", True),
    "a break without an end": _set("second_reader", 10**9),
    "a limit without a verdict": lambda sheet: sheet["results"][0]["limits"][0].pop("verdict"),
    "a verdict that is no text": _set("results", 0, "limits", 0, "verdict", 7),
    "a tree that is a text": _set("results", 0, "tree", "capacity - drained"),
    "an operator that is not known": _set("results", 0, "tree", ["eval", 1]),
    "a name that is a tree": _set("results", 0, "tree", ["name", ["name", "left"]]),
    "a finding of one text": _set("results", 2, "tree", ["found", "seal"]),
    "an empty tree": _set("results", 0, "tree", []),
    "a tree too deep": lambda sheet: _set("results", 3, "tree", ["neg", sheet["results"][3]["tree"]])(sheet),
    "a tree too wide": _wide,
    "too much arithmetic in all": _many,
    "a limit's tree that is none": _set("results", 0, "limits", 0, "when", {"<": 0}),
    "a table that falls": _set("tables", "curve", "rows", [[2, 0], [1, 0]]),
    "a table with a row of three": _set("tables", "curve", "rows", [[1, 0], [2, 0, 0]]),
    "a table without rows": _set("tables", "curve", "rows", []),
    "a number that is a text": _set("values", "capacity", "number", {"number": "8", "unit": "L"}),
    "a tolerance without a unit": _set("values", "capacity", "margin", {"number": 8}),
    "a wrench without a step": lambda sheet: sheet["wrenches"]["small"].pop("step"),
    "a wrench with no marks": _set("wrenches", "small", "step", 0),
    "a wrench called like no id": lambda sheet: sheet["wrenches"].update({"__proto__": sheet["wrenches"]["small"]}),
    "a wrench in a unit of something else": _set("wrenches", "small", "unit", "L"),
    "a day that is none": _set("wrenches", "small", "due", "soon"),
    "an adapter as long as a text": _set("adapters", "crowfoot-13", "length", "40"),
    "a pull of no kind": _set("steps", 3, "check", "parts", 0, "kind", "push"),
    "bolts that ask something else": _set("steps", 3, "check", "asks_new", "yes"),
    "a tree of settings that is missing": lambda sheet: sheet["torque"].pop("inside"),
    "a tree of settings that is none": _set("torque", "setting", ["eval", 1]),
    "a band with one end": _set("values", "bolts", "band", {"low": 5}),
    "a bolt off the map": _set("values", "bolts", "points", [[0, 1.5]]),
    "a bolt with three places": _set("values", "bolts", "points", [[0, 0.5, 1]]),
    "more bolts than there are": _set("values", "bolts", "points", [[0, 0.5]] * 501),
    "no wrench for nothing": lambda sheet: sheet["needs"].update({"no_wrench": [{"value": "bolts"}]}),
    "a picture outside of its folder": _set("steps", 0, "picture", {"file": "../torque/index.html", "alt": ""}),
    "a picture of another host": _set("steps", 0, "picture", {"file": "//elsewhere.example/x.png", "alt": ""}),
    "a given without a unit": lambda sheet: sheet["givens"]["odometer"].pop("unit"),
}


def broken() -> dict[str, Sheet]:
    """Return {what is wrong: a worksheet with that fault}."""
    made = {}
    for what, change in CHANGES.items():
        made[what] = copied(sound())
        change(made[what])
    return made


def copied(sheet: Any) -> Any:
    return json.loads(canonical(sheet))


def odd_cases(count: int) -> list[Case]:
    """Return jobs over worksheets in which up to three things were changed into anything. No two share a digest."""
    made: dict[str, Case] = {}
    for number in range(count):
        case = _odd_case(Random(7_000_003 + number))
        if not any(digest in made for digest in case["sheets"]):
            made |= dict.fromkeys(case["sheets"], case)
    return list({id(case): case for case in made.values()}.values())


def _odd_case(rng: Random) -> Case:
    case = random_case(rng)
    named = {digest: copied(sheet) for digest, sheet in case["sheets"].items()}
    for sheet in named.values():
        for _ in range(rng.randint(1, 3)):
            _spoil(rng, sheet)
    return {"entries": case["entries"], "sheets": named}


def _spoil(rng: Random, sheet: Json) -> None:
    """Put something else somewhere among the things that readings and results bring."""
    keys = ("units", "readings", "results", "tables", "givens", "values", "steps", "wrenches", "torque")
    places = [key for key in keys if key in sheet]
    here: Any = sheet
    key: Any = rng.choice(places)
    while isinstance(here[key], dict | list) and here[key] and rng.random() < 0.85:
        here = here[key]
        key = rng.choice(list(here)) if isinstance(here, dict) else rng.randrange(len(here))
    here[key] = _otherwise(rng, here[key]) if rng.random() < 0.5 else copied(rng.choice(JUNK))


def _otherwise(rng: Random, told: Any) -> Any:
    """Return something else of the same kind."""
    if isinstance(told, bool):
        return not told
    if isinstance(told, int | float):
        return rng.choice([0, 1, 2, 7])
    if isinstance(told, list):
        return [*told, *told[:1]] if rng.random() < 0.5 else told[:-1]
    return "left" if isinstance(told, str) else told
