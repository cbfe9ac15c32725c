"""A small worksheet of things to tighten, written by hand: wrenches, adapters, maps, one-time bolts, three bolt lists.

Everything in it is invented. The numbers mean nothing beyond their arithmetic.
"""

from __future__ import annotations

import json
import math
from typing import Any

from generator.quantities.fasteners.wrench import accuracy
from generator.quantities.quantity import written
from generator.quantities.trees import SETTING
from generator.quantities.units import KINDS, table_json, to_base
from tests.support.sample_sheet import Sheet, canonical, digest, sample_sheet, step, tick, value

Json = dict[str, Any]


def wrench(label: str, low: float, high: float, mark: float, lever: float | None, due: str, unit: str = "N.m") -> Json:
    made = {"label": label, "low": low, "high": high, "step": mark, "unit": unit, "iso": "II A", "due": due}
    return {**made, "accuracy": accuracy("II A", to_base(high, unit)), "lever": lever}


WRENCHES = {
    "small": wrench("Click wrench 5 to 25", 5, 25, 0.5, 250, "2031-03-01"),
    "middle": wrench("Click wrench 20 to 100", 20, 100, 1, 400, "2031-03-01"),
    "inch": wrench("Inch wrench 15 to 80", 15, 80, 1, None, "2031-03-01", "lbf.ft"),
    "old": wrench("Old wrench 40 to 200", 40, 200, 2, 550, "2026-05-01"),
}
ADAPTERS = {"crowfoot-13": {"label": "Crowfoot 13", "length": 50, "angle": None}}


def circle(count: int) -> list[list[float]]:
    turns = [2 * math.pi * at / count for at in range(count)]
    return [[round(0.5 + math.sin(turn) / 2, 4), round(0.5 - math.cos(turn) / 2, 4)] for turn in turns]


def grid(count: int) -> list[list[float]]:
    columns = (count + 1) // 2
    size = columns - 1
    return [[at % columns / size, 0.5 + (at // columns - 0.5) / size] for at in range(count)]


def bolts(label: str, pulls: list[str], rank: str = "critical", **more: Any) -> Json:
    text = " then ".join(pulls[-2:]) if len(pulls) > 1 and pulls[-1].endswith("deg") else (pulls or [None])[-1]
    last = written(text) if text else None
    number = {"number": last.figure, "unit": last.unit} if last else None
    unsaid = ("condition", "into", "grade", "engaged", "head", "grip", "band", "turn", "doubt")
    facts = {**dict.fromkeys(unsaid), "unjudged": [], "points": []}
    made = {"passes": pulls, "count": 1, "units": list(KINDS["torque"]), "number": number, **facts, **more}
    return value(label, "torque", text, rank, **made)


VALUES = {
    "idler_bolt": bolts(
        "Idler bolt",
        [],
        thread="M6x1.0",
        grade="8.8",
        into="aluminium",
        band={"low": 3.1, "high": 12.3},
    ),
    "pump_bolts": bolts(
        "Pump bolts",
        ["6 N.m", "10 N.m", "90 deg"],
        count=6,
        order=[1, 4, 2, 5, 3, 6],
        points=circle(6),
        thread="M6x1.0",
        grade="8.8",
        into="aluminium",
        engaged="12 mm",
        condition="dry",
    ),
    "head_bolts": bolts(
        "Cylinder head bolts",
        ["20 N.m", "45 N.m", "90 deg"],
        count=10,
        order=[3, 8, 4, 7, 2, 9, 5, 6, 1, 10],
        points=grid(10),
        thread="M10x1.5",
        grade="10.9",
        condition="oiled",
    ),
    "tensioner_bolts": bolts("Tensioner bolts", ["12 N.m", "90 deg"], count=2, points=[[0, 0.5], [1, 0.5]], reuse="no"),
    "mount_bolt": bolts("Mount bolt", ["50 N.m"], thread="M10x1.25"),
    "hub_nut": bolts("Hub nut", ["150 N.m"]),
    "crank_bolt": bolts("Crank bolt", ["320 N.m"]),
    "cover_bolts": bolts("Lower cover bolts", ["9 N.m"], "ordinary", count=6, order=[1, 4, 2, 5, 3, 6], points=grid(6)),
    "bracket_bolts": bolts("Bracket bolts", ["22 N.m"], "ordinary", count=2),
    "wheel_bolts": bolts("Wheel bolts", ["90 N.m"], count=4, points=circle(4), order=[1, 3, 2, 4]),
    "odd_bolt": bolts(
        "Odd bolt",
        ["72 N.m"],
        doubt="72 N.m is more than a bolt M6x1 of class 8.8 takes: 3.1 to 12.3 N.m. Look at the source again.",
    ),
}
ITEMS = {
    "cover_bolts": {"kind": "bolt", "label": "Lower cover bolts", "list": "covers", "count": 6},
    "pump_bolts": {"kind": "bolt", "label": "Pump bolts", "list": "covers", "count": 6},
    "bracket_bolts": {"kind": "bolt", "label": "Bracket bolts", "list": "bay", "count": 2},
    "mount_bolt": {"kind": "bolt", "label": "Mount bolt", "list": "bay", "count": 1},
    "wheel_bolts": {"kind": "bolt", "label": "Wheel bolts", "list": "road", "count": 4},
}


def part(id_: str, label: str, target: str | None) -> Json:
    kind = "angle" if target and target.endswith("deg") else "torque" if target else None
    return {
        "id": id_,
        "label": label,
        "target": target,
        "kind": kind,
    }


def tightened(name: str, path: str = "", do: str = "", **more: Any) -> Json:
    """Return a step that tightens one value. It closes the item of the same name."""
    about = VALUES[name]
    pulls = about["passes"] or [None]
    said = [f", pull {at} of {len(pulls)}" if len(pulls) > 1 else "" for at in range(1, len(pulls) + 1)]
    if about["class"] == "critical":
        order = about["order"] or list(range(1, about["count"] + 1))
        parts = [
            part(f"{at}.{bolt}", f"bolt {bolt}{said[at - 1]}", pull)
            for at, pull in enumerate(pulls, 1)
            for bolt in order
        ]
    else:
        parts = [part(str(at), f"all {about['count']}{said[at - 1]}", pull) for at, pull in enumerate(pulls, 1)]
    item = name if name in ITEMS else None
    check = {"kind": "tighten", "value": name, "fastener": about["class"], "parts": parts, "item": item}
    check |= {"list": ITEMS[name]["list"] if item else None, "asks_new": about["reuse"] == "no"}
    closes = [{"what": name, "count": None}] if item else []
    return made(
        path or name.replace("_", "-"),
        do or f"Tighten: {about['label'].lower()}.",
        check,
        [name],
        closes=closes,
        **more,
    )


def made(path: str, do: str, check: Json, values: list[str], **more: Any) -> Json:
    one = step(path, 0, [do], tick(), **more) | {"check": check, "values": values}
    return {**one, "duty": digest([check, [VALUES[name] for name in values]])}


def opened(name: str) -> Json:
    return made(
        f"{name.replace('_', '-')}-off",
        f"Take out: {ITEMS[name]['label'].lower()}.",
        tick(),
        [],
        opens=[{"what": name, "count": ITEMS[name]["count"]}],
    )


def gate(path: str, for_: str, *lists: str) -> Json:
    about = {"for": for_, "kinds": [], "lists": list(lists), "ready": False}
    return made(path, "Walk round once.", tick(), [], hold=True, leave="never", gate=about)


STEPS = [
    *(opened(name) for name in ITEMS),
    *(tightened(name, leave="lead") for name in VALUES),
    gate("start-gate", "starter", "covers", "bay"),
    gate("road-gate", "road", "road"),
    made("done", "The car is ready to be handed over.", tick(), [], completion=True, leave="never"),
]


def torque_sheet(*paths: str, **changes: Any) -> Sheet:
    """Return these steps only, and the completion. `changes` replace keys of the worksheet."""
    steps = [one for one in STEPS if one["path"] in {*paths, "done"}]
    used = {name for one in steps for name in one["values"]}
    touched = {what["what"] for one in steps for what in [*one["opens"], *one["closes"]]}
    base = sample_sheet()
    needs = {"parts": {}, "tools": {}, "consumables": {}, "one_time": {}, "values": [], "no_wrench": []}
    sheet = {
        **base,
        "worksheet": "bolts",
        "procedure": "bolts",
        "title": "Everything that is tightened",
        "stages": [{"id": "all", "title": "Tighten", "order": "any", "why": None, "cautions": []}],
        "steps": steps,
        "values": {name: VALUES[name] for name in used},
        "readings": {},
        "items": {name: ITEMS[name] for name in touched},
        "units": table_json(["torque", "angle"]),
        "needs": needs,
        "wrenches": WRENCHES,
        "adapters": ADAPTERS,
        "torque": dict(SETTING),
        **changes,
    }
    copy: Sheet = json.loads(canonical(sheet))
    return copy


__all__ = ["torque_sheet"]
