"""Readings, results and tables for invented sheets: small ones for stories, random ones for thousands of journals."""

from __future__ import annotations

from random import Random
from typing import Any

from generator.quantities.trees import SETTING
from generator.quantities.units import KINDS, UNITS, table_json

Json = dict[str, Any]
Tree = Any

KINDS_USED = (
    *("torque", "time", "length", "distance", "temperature", "warmth", "volume"),
    *("pressure", "gauge", "vacuum", "share", "number", "date"),
)
UNITS_USED = table_json(KINDS_USED)
TABLE = {
    "title": "A curve",
    "source": "invented for the tests",
    "edition": "1",
    "got": "made up",
    "x": {"label": "Freezing point", "unit": "degC"},
    "y": {"label": "Strength", "unit": "%"},
    "rows": [[223.15, 0.75], [248.15, 0.5], [260.65, 0.25], [273.15, 0.0]],
}
LIMIT = {"verdict": "too much", "bad": True, "say": None, "do": None}


def name(of: str) -> Tree:
    return ["name", of]


def reading(unit: str, label: str = "A reading") -> Json:
    kind = UNITS[unit].kind
    return {"label": label, "kind": kind, "unit": unit, "units": list(KINDS[kind]), "from": None, "to": None}


def result(of: str, tree: Tree, unit: str | None = None, *limits: Json, **more: Any) -> Json:
    """Return a result as the worksheet has it. Without a unit it is a truth."""
    inputs = {found for each in (tree, *(limit["when"] for limit in limits)) for found in names_in(each)} - {of}
    return {
        "name": of,
        "label": of.replace("_", " ").capitalize(),
        "kind": UNITS[unit].kind if unit is not None else "truth",
        "unit": unit or "",
        "units": list(KINDS[UNITS[unit].kind]) if unit is not None else [],
        "step": None,
        "why": None,
        "tree": tree,
        "words": [],
        "inputs": sorted(inputs),
        "tables": [],
        "limits": list(limits),
        "hold": False,
        "fills": None,
        **more,
    }


def limit(when: Tree, verdict: str = "too much", bad: bool = True) -> Json:
    return {**LIMIT, "when": when, "verdict": verdict, "bad": bad}


def names_in(tree: Tree) -> set[str]:
    if not isinstance(tree, list):
        return set()
    if tree[0] == "name":
        return {tree[1]}
    if tree[0] == "found":
        return {f"step:{tree[1]}"}
    return {found for part in tree[1:] for found in names_in(part)}


def figures(readings: Json, results: list[Json], coldest: float | None = None, **more: Any) -> Json:
    """Return the keys that a worksheet with results has besides its steps and values."""
    givens = {
        "shop_altitude": {"label": "Altitude of the shop", "kind": "length", "unit": "m", "number": 310},
        "shop_coldest": {"label": "Coldest day", "kind": "temperature", "unit": "degC", "number": coldest},
        "odometer": {"label": "Odometer", "kind": "distance", "unit": "km", "number": None},
        "today": {"label": "Today", "kind": "date", "unit": "date", "number": None},
    }
    return {
        "units": UNITS_USED,
        "readings": readings,
        "results": results,
        "tables": {"curve": TABLE},
        "givens": givens,
        **more,
    }


WRENCHES = {
    "small": {
        **{"label": "Click wrench 5 to 25", "low": 5, "high": 25, "step": 0.5, "unit": "N.m", "iso": "II A"},
        **{"accuracy": 0.04, "lever": 250, "due": "2027-03-01"},
    }
}


def tools() -> Json:
    """Return the wrenches and adapters of a shop, with the arithmetic of their settings."""
    adapters = {"crowfoot-13": {"label": "Crowfoot 13", "length": 40, "angle": None}}
    return {"wrenches": WRENCHES, "adapters": adapters, "torque": dict(SETTING)}


def on_wrench(check: Json) -> Json:
    """Return a tighten whose pulls are set on the shop's wrench."""
    return {**check, "parts": [{**part, "kind": "torque"} for part in check["parts"]]}


# -- random ones -------------------------------------------------------------------------------------------------------

READINGS = {
    "gap": reading("mm"),
    "drained": reading("L"),
    "freeze": reading("degC"),
    "changed": reading("date"),
    "teeth": reading("teeth"),
    "vac_start": reading("kPa(vac)"),
    "vac_end": reading("kPa(vac)"),
}
# What a person types for each: mostly right, sometimes a slip or the unit of something else.
TYPED: dict[str, list[tuple[float, str]]] = {
    "gap": [(1, "mm"), (0.5, "mm"), (12.25, "mm"), (0.03, "in"), (1, "bar")],
    "drained": [(5.5, "L"), (5.5, "L"), (9, "L"), (1.25, "gal"), (5.5, "kPa")],
    "freeze": [(-18, "degC"), (-18, "degC"), (0, "degF"), (-70, "degC"), (5, "K")],
    "changed": [(18000, "date"), (20000, "date"), (20000.5, "date"), (9e15, "date")],
    "teeth": [(120, "teeth"), (121, ""), (120, "mm")],
    "vac_start": [(80, "kPa(vac)"), (24, "inHg(vac)"), (80, "kPa")],
    "vac_end": [(79, "kPa(vac)"), (23.5, "inHg(vac)"), (60, "kPa(vac)"), (1e308, "inHg(vac)")],
}


def typed(rng: Random, of: str) -> Json:
    fit = TYPED.get(of, [(1, "mm")])
    number, unit = fit[0] if rng.random() < 0.6 else rng.choice(fit)
    sure: Json = {"sure": True} if rng.random() < 0.1 else {}
    return {"number": number, "unit": unit, **sure}


def quantity(unit: str, number: float | None, margin: tuple[float, str] | None = None) -> Json:
    """Return what a value has besides its text if formulas use it."""
    return {
        "number": None if number is None else {"number": number, "unit": unit},
        "margin": {"number": margin[0], "unit": margin[1]} if margin else None,
        "units": list(KINDS[UNITS[unit].kind]),
    }


def random_results(rng: Random, inspected: list[str]) -> list[Json]:
    """Return some of these results, each after those it needs: holds, verdicts, fills, findings, a table, givens."""
    left, bad = ["-", name("capacity"), name("drained")], rng.random() < 0.7
    strength = ["interp", "curve", name("freeze")]
    pool = [
        result("left", left, "L", limit(["<", name("left"), 0], bad=bad), step=0.1),
        result(
            "strength", strength, "%", limit([">", name("strength"), 0.5], "strong", False), limit(None, "weak", bad)
        ),
        result("mix", ["*", name("left"), name("strength")], "L", step=0.05, fills=rng.choice([None, "fluid_in"])),
        result("fall", ["-", name("vac_start"), name("vac_end")], "kPa", limit([">", name("fall"), 5000], "leaks")),
        result("near", ["<=", ["abs", ["-", name("gap"), name("bolt_gap")]], name("bolt_gap.tolerance")]),
        result("soak_time", ["*", name("gap"), 600000], "min", step=1, fills="soak"),
        result("pull", ["*", ["min", 1, name("left")], 85000], "kPa(vac)", step=1, fills="fill_vacuum"),
        result("pulled", ["round", ["/", name("fill_vacuum"), 3386.389], 0.5], ""),
        result("age", ["between", name("changed"), name("today")], "day", limit([">", name("age"), 1e8], "old", bad)),
        result(
            "due", ["or", [">", name("odometer"), 9e7], [">", name("age"), 1e8]], None, limit(name("due"), "due", bad)
        ),
        result("high", ["-", name("shop_altitude"), name("gap")], "m", limit(["<", name("shop_coldest"), 250], "cold")),
        result("odd", ["/", name("teeth"), ["-", name("teeth"), 120]], ""),
        result(
            "next_change", ["add-days", name("changed"), 86400 * 365], "date", fills=rng.choice([None, "label_date"])
        ),
    ]
    if inspected:
        path = rng.choice(inspected)
        wet = ["found", path, "leaks"]
        pool.append(result("wet", wet, None, limit(["and", wet, [">", name("left"), 0.001]], "wet", bad)))
    held = {each["name"] for each in pool if rng.random() < 0.2}
    return [{**each, "hold": each["name"] in held} for each in pool if rng.random() < 0.8]
