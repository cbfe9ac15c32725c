"""A small worksheet of readings and results, written by hand: a mix, a vacuum refill, a timed press, a watched test.

Everything in it is invented. The numbers mean nothing beyond their arithmetic.
"""

from __future__ import annotations

import json
from typing import Any

from generator.quantities.units import KINDS, table_json
from tests.support.sample_sheet import SOURCE, Sheet, canonical, digest, inspect, sample_sheet, step, tick, value

Json = dict[str, Any]


def reading(label: str, unit: str, from_: float | None = None, to: float | None = None) -> Json:
    kind = next(kind for kind, units in KINDS.items() if unit in units)
    return {"label": label, "kind": kind, "unit": unit, "units": list(KINDS[kind]), "from": from_, "to": to}


def quantity(label: str, kind: str, number: float | None, unit: str, **more: Any) -> Json:
    """Return a value that formulas use. Without a number it must be filled on the phone."""
    text = None if number is None else f"{number} {unit}"
    known = None if number is None else {"number": number, "unit": unit}
    return value(label, kind, text, **{"number": known, "units": list(KINDS[kind]), "margin": None, **more})


def result(name: str, label: str, kind: str, unit: str, tree: Any, words: list[Any], **more: Any) -> Json:
    inputs = sorted({piece[1] for piece in words if isinstance(piece, list) and piece[0] == "name"})
    tables = sorted({piece[1] for piece in words if isinstance(piece, list) and piece[0] == "table"})
    made = {"name": name, "label": label, "kind": kind, "unit": unit, "units": list(KINDS.get(kind, ()))}
    rest = {"step": None, "why": None, "limits": [], "hold": False, "fills": None, "inputs": inputs, "tables": tables}
    return {**made, **rest, "tree": tree, "words": words, **more}


def limit(when: Any, verdict: str, say: Any = None, do: Any = None, bad: bool = True) -> Json:
    return {"when": when, "verdict": verdict, "bad": bad, "say": say, "do": do}


def n(name: str) -> list[str]:
    return ["name", name]


READINGS = {
    "drained": reading("Coolant drained", "L", 0, 25),
    "freeze_now": reading("Freezing point of what was drained", "degC", -60, 0),
    "engine_now": reading("Engine temperature", "degC", -20, 130),
    "vacuum_start": reading("Gauge when the time starts", "kPa(vac)", 0, 101),
    "vacuum_end": reading("Gauge when the time ends", "kPa(vac)", 0, 101),
    "belt_made": reading("Date on the old belt", "date"),
}

VALUES = {
    "coolant_capacity": quantity("Cooling system, all of it", "volume", 8, "L"),
    "mix_wanted": quantity("Antifreeze wanted", "share", 50, "%"),
    "cold_limit": quantity("Cold enough to open", "temperature", 40, "degC"),
    "asked_vacuum": quantity("Vacuum the manual asks for", "vacuum", 25, "inHg(vac)"),
    "hold_time": quantity("How long the vacuum is watched", "time", 5, "min"),
    "press_time": quantity("Shortest time to press it home", "time", 5, "min"),
    "press_pace": quantity("Pause between small presses", "time", 30, "s"),
    "cap_rating": quantity("Rating of the cap", "gauge", None, "bar(g)"),
}

RESULTS = [
    result(
        "mix_now",
        "Antifreeze in what was drained",
        "share",
        "%",
        ["interp", "glycol", n("freeze_now")],
        ["read from ", ["table", "glycol"], " at ", n("freeze_now")],
        step=1,
    ),
    result(
        "left_inside",
        "Coolant left inside",
        "volume",
        "L",
        ["-", n("coolant_capacity"), n("drained")],
        [n("coolant_capacity"), " − ", n("drained")],
        step=0.1,
        limits=[
            limit(
                ["<", n("left_inside"), 0],
                "not possible",
                ["More came out than the system holds: ", {"v": "drained"}, " of ", {"v": "coolant_capacity"}, "."],
                ["Measure again what was drained."],
            )
        ],
        hold=True,
    ),
    result(
        "concentrate",
        "Concentrate to fill first",
        "volume",
        "L",
        ["-", ["*", n("coolant_capacity"), n("mix_wanted")], ["*", n("left_inside"), n("mix_now")]],
        [n("coolant_capacity"), " × ", n("mix_wanted"), " − ", n("left_inside"), " × ", n("mix_now")],
        step=0.1,
        why="It goes in before any water, so that there is room for it.",
        limits=[
            limit(
                [">", n("concentrate"), n("drained")],
                "not possible",
                [{"v": "concentrate"}, " does not fit: only ", {"v": "drained"}, " came out."],
                ["Drain once more, or read again what was drained."],
            )
        ],
        hold=True,
    ),
    result(
        "engine_cold",
        "Engine temperature now",
        "temperature",
        "degC",
        n("engine_now"),
        [n("engine_now")],
        limits=[
            limit(
                [">", n("engine_now"), n("cold_limit")], "too hot", None, ["Wait, and feel the hose before you read."]
            )
        ],
        hold=True,
    ),
    result(
        "greatest_vacuum",
        "Most a gauge can show here",
        "vacuum",
        "kPa(vac)",
        ["interp", "air", n("shop_altitude")],
        ["read from ", ["table", "air"], " at ", n("shop_altitude")],
        step=0.1,
    ),
    result(
        "vacuum_target",
        "Vacuum to pull",
        "vacuum",
        "kPa(vac)",
        n("asked_vacuum"),
        [n("asked_vacuum")],
        step=0.1,
        limits=[
            limit(
                [">", n("asked_vacuum"), n("greatest_vacuum")],
                "not possible here",
                [
                    "At ",
                    {"v": "shop_altitude"},
                    " no gauge shows more than ",
                    {"v": "greatest_vacuum"},
                    "; the manual asks for ",
                    {"v": "asked_vacuum"},
                    ".",
                ],
                ["Fill the gravity way."],
            )
        ],
        hold=True,
        inputs=["asked_vacuum", "greatest_vacuum"],
    ),
    result(
        "vacuum_lost",
        "Vacuum lost",
        "pressure",
        "kPa",
        ["-", n("vacuum_start"), n("vacuum_end")],
        [n("vacuum_start"), " − ", n("vacuum_end")],
        step=0.1,
        limits=[limit([">", n("vacuum_lost"), 2000], "it leaks", None, ["Find where air gets in, then watch again."])],
        hold=True,
    ),
    result(
        "test_pressure",
        "Pressure to pump up to",
        "gauge",
        "bar(g)",
        n("cap_rating"),
        [n("cap_rating")],
        step=0.1,
        hold=True,
    ),
    result(
        "belt_age",
        "Age of the old belt",
        "time",
        "day",
        ["between", n("belt_made"), n("today")],
        ["the time from ", n("belt_made"), " to ", n("today")],
        step=1,
    ),
]

ROWS = [[213.15, 0.52], [236.15, 0.5], [255.15, 0.34], [263.15, 0.22], [273.15, 0.0]]
TABLES = {
    "glycol": {
        "title": "Antifreeze by freezing point",
        "source": "Tables for trials TT-1, 3rd edition",
        "x": {"label": "Freezing point", "unit": "degC"},
        "y": {"label": "Antifreeze by volume", "unit": "%"},
        "rows": ROWS,
    },
    "air": {
        "title": "Air pressure by altitude",
        "source": "Tables for trials TT-2",
        "x": {"label": "Altitude", "unit": "m"},
        "y": {"label": "Air pressure", "unit": "kPa"},
        "rows": [[0, 101325], [500, 95461], [1500, 84560], [3000, 70121]],
    },
}


def watched(time: str, seconds: int, **more: Any) -> Json:
    base = {"kind": "wait", "value": time, "seconds": seconds, "every": None, "every_value": None, "watch": None}
    return {**base, "say": None, **more}


def measured(path: str, do: list[Any], name: str, **more: Any) -> Json:
    return step_of(path, do, {"kind": "measure", "reading": name, "against": None}, **more)


def step_of(path: str, do: list[Any], check: Json, shows: tuple[str, ...] = (), **more: Any) -> Json:
    """Return a step in the one stage. The values that its results need are the step's as well."""
    held = [name for name in shows if any(one["hold"] for one in RESULTS if one["name"] == name)]
    plain = [node for node in do if not isinstance(node, dict) or node["v"] in VALUES]
    own = dict.fromkeys(node["v"] for node in plain if isinstance(node, dict))
    needed = dict.fromkeys(name for one in RESULTS if one["name"] in held for name in one["inputs"] if name in VALUES)
    timed = [check[key] for key in ("value", "every_value") if check.get(key)]
    made = step(path, 0, [], {"kind": "tick"}, **more)
    values = list(dict.fromkeys([*own, *needed, *timed]))
    made |= {"do": do, "check": check, "values": values, "shows": list(shows), "holds": held}
    return {**made, "duty": digest([check, held]), "wording": digest(do)}


WATCH = {"start": "vacuum_start", "end": "vacuum_end"}
STEPS = [
    measured("freeze", ["Put a drop of what was drained on the refractometer."], "freeze_now"),
    measured("drain", ["Measure what came out."], "drained", shows=("left_inside",)),
    step_of(
        "mix",
        ["Fill ", {"v": "concentrate"}, " of concentrate, then water to the line."],
        tick(),
        shows=("concentrate", "left_inside", "mix_now"),
    ),
    measured("cold", ["Hold the probe on the upper hose."], "engine_now", shows=("engine_cold",)),
    step_of("pull", ["Pull ", {"v": "vacuum_target"}, "."], tick(), shows=("vacuum_target",)),
    step_of(
        "hold",
        ["Shut the valve and watch the gauge."],
        watched("hold_time", 300, watch=WATCH),
        shows=("vacuum_lost",),
    ),
    step_of(
        "press",
        ["Press the tensioner home a little at a time."],
        watched("press_time", 300, every=30, every_value="press_pace", say="a small turn"),
    ),
    step_of("test", ["Pump up and look for drips."], tick(), shows=("test_pressure",)),
    measured("belt", ["Read the date on the back of the old belt."], "belt_made"),
    step_of("due", ["Tell the customer how old the belt was."], tick(), shows=("belt_age",)),
    step_of("seal", ["Look at the crank seal."], inspect(dry="Dry", wet="Wet")),
    step_of("done", ["The car is ready to be handed over."], tick(), completion=True, leave="never"),
]

GIVENS = {
    "shop_altitude": {"label": "Altitude of the shop", "kind": "length", "unit": "m", "number": 1500},
    "shop_coldest": {"label": "Coldest night at the shop", "kind": "temperature", "unit": "degC", "number": None},
    "odometer": {"label": "Odometer at the start", "kind": "distance", "unit": "km", "number": None},
    "today": {"label": "Day the job was started", "kind": "date", "unit": "date", "number": None},
}


def readings_sheet(*paths: str, shop_units: Json | None = None, **changes: Any) -> Sheet:
    """Return these steps only, or all, and the completion. `changes` replace keys of the worksheet."""
    steps = [one for one in STEPS if not paths or one["path"] in {*paths, "done"}]
    kinds = {one["kind"] for one in [*READINGS.values(), *VALUES.values(), *RESULTS, *GIVENS.values()]}
    base = sample_sheet()
    sheet = {
        **base,
        "worksheet": "mix-and-refill",
        "procedure": "mix-and-refill",
        "title": "Mix, refill and test",
        "shop": {**base["shop"], "units": shop_units or {}},
        "stages": [{"id": "all", "title": "Refill", "order": "any", "why": None, "cautions": []}],
        "steps": steps,
        "values": VALUES,
        "readings": READINGS,
        "results": RESULTS,
        "tables": TABLES,
        "givens": GIVENS,
        "units": table_json(sorted(kinds)),
        "items": {},
        "needs": {"parts": {}, "tools": {}, "consumables": {}, "one_time": {}, "values": ["cap_rating"]},
        **changes,
    }
    copy: Sheet = json.loads(canonical(sheet))
    return copy


__all__ = ["SOURCE", "readings_sheet"]
