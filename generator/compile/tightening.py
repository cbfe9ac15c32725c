"""What a worksheet says of a bolt besides its torque: the sane band, wrench and setting, the map of bolts."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from typing import Literal, TypedDict

from generator.model import EngineValue, Shop, Wrench
from generator.quantities import wrench as wrenches
from generator.quantities.metric_bolts import Thread, thread_of
from generator.quantities.quantity import Quantity
from generator.quantities.torque_band import HIGH_FRICTION, LOW_FRICTION, band, caution
from generator.quantities.units import to_base
from generator.sheet_types import AdapterJson, BandJson, NoWrenchJson, StepJson, ValueJson, WrenchJson
from generator.worksheet import MOST_POINTS

DECIMALS = 4


class BoltFacts(TypedDict):
    """What a worksheet's value says of bolts."""

    condition: str | None
    into: str | None
    grade: str | None
    engaged: str | None
    band: BandJson | None
    doubt: str | None
    points: list[list[float]]


def bolt_facts(value: EngineValue | None) -> BoltFacts:
    """Return the part of a worksheet's value that is about bolts. It is empty for a value that is not a torque."""
    bolt = value.bolt if value else None
    return {
        "condition": value.condition if value else None,
        "into": bolt.into if bolt else None,
        "grade": bolt.class_ if bolt else None,
        "engaged": str(bolt.engaged) if bolt and bolt.engaged else None,
        "band": _band(value),
        "doubt": doubt_of(value),
        "points": points_of(value) if value else [],
    }


def _joint(value: EngineValue | None) -> tuple[Thread, str, tuple[float, float]] | None:
    """Return thread, class and friction of a bolt whose last pull is a torque. A snug torque before an angle says
    nothing."""
    if value is None or value.then or value.angle or value.bolt is None or value.bolt.class_ is None:
        return None
    thread = thread_of(value.bolt.thread)
    said = value.friction
    friction = (float(said.from_), float(said.to)) if said else (LOW_FRICTION, HIGH_FRICTION)
    return None if thread is None else (thread, value.bolt.class_, friction)


def is_not_judged(value: EngineValue) -> bool:
    """True of a torque whose bolt is given, with a thread or a numbered class that has no figures here. A class told in
    a word, as brass, has none anywhere."""
    bolt = value.bolt
    if value.torque is None or value.then or value.missing is not None or bolt is None or bolt.class_ is None:
        return False
    return thread_of(bolt.thread) is None or (bolt.class_[:1].isdigit() and _band(value) is None)


def _band(value: EngineValue | None) -> BandJson | None:
    joint = _joint(value)
    within = band(joint[0], joint[1], *joint[2]) if joint else None
    return {"low": within[0], "high": within[1]} if within else None


def doubt_of(value: EngineValue | None) -> str | None:
    """Return the caution for a final torque outside the sane band of its bolt. It never names another number."""
    joint = _joint(value)
    if joint is None or value is None or value.torque is None or value.bolt is None:
        return None
    into = None if value.bolt.engaged else value.bolt.into
    return caution(value.torque.figure, value.torque.unit, joint[0], joint[1], into, joint[2])


# --- wrenches -----------------------------------------------------------------------------------------------------


def wrenches_json(shop: Shop | None) -> dict[str, WrenchJson]:
    """Return {id: {label, low, high, step, unit, iso, accuracy, lever, due}}. Lever in mm, the rest in `unit`."""
    return {one.wrench: _wrench_json(one) for one in (shop.wrenches if shop else [])}


def _wrench_json(one: Wrench) -> WrenchJson:
    tool = _tool(one)
    return {
        "label": one.label,
        "low": tool.low,
        "high": tool.high,
        "step": tool.step,
        "unit": tool.unit,
        "iso": one.class_,
        "accuracy": wrenches.accuracy(one.class_, to_base(tool.high, tool.unit)),
        "lever": _mm(one.lever) if one.lever else None,
        "due": one.due.isoformat() if one.due else None,
    }


def _tool(one: Wrench) -> wrenches.WrenchScale:
    """Return the wrench's scale, all in the unit of its greatest torque."""
    unit = one.to.unit
    low, high, step = (mark.to(unit) for mark in (one.from_, one.to, one.step))
    return wrenches.WrenchScale(one.wrench, low, high, step, unit, one.class_)


def _mm(length: Quantity) -> float:
    return round(length.to("mm"), DECIMALS)


def adapters_json(shop: Shop | None) -> dict[str, AdapterJson]:
    """Return {id: {label, length, angle}} in mm and degrees. Angle None: it may stand at any angle."""
    return {
        one.adapter: {
            "label": one.label,
            "length": _mm(one.length),
            "angle": one.angle.figure if one.angle else None,
        }
        for one in (shop.adapters if shop else [])
    }


def no_wrench(
    steps: Iterable[StepJson], values: Mapping[str, ValueJson], rack: Mapping[str, WrenchJson]
) -> Iterator[NoWrenchJson]:
    """Yield torques that no wrench of the shop can set, so that they are known before the strip-down."""
    told: set[str] = set()
    for check in (step["check"] for step in steps):
        if check["kind"] != "tighten" or check["fastener"] == "clip" or check["value"] in told:
            continue
        about = values[check["value"]]
        for target in dict.fromkeys(part["target"] for part in check["parts"] if part["kind"] == "torque"):
            found = wrenches.settings(target, about, rack)
            if not any(one.inside for one in found):
                told.add(check["value"])
                why = "near" if found else "range"
                yield {"value": check["value"], "label": about["label"], "text": target, "why": why}
                break


def kind_of_pull(pull: Quantity | None) -> Literal["torque", "angle"] | None:
    """Return torque, angle, or None if there is no figure yet."""
    kind = pull.kind if pull else None
    return "torque" if kind == "torque" else "angle" if kind == "angle" else None


# --- the map ------------------------------------------------------------------------------------------------------


def points_of(value: EngineValue) -> list[list[float]]:
    """Return where each bolt is, 0 to 1 from the upper left: from the sheet's positions, else by pattern and count."""
    if len(value.positions or []) > MOST_POINTS:
        return []
    if value.positions:
        return _fitted([(float(x), -float(y)) for x, y in value.positions])
    count = value.count or 1
    if not 2 <= count <= MOST_POINTS:
        return []
    pattern = value.pattern or ("line" if count <= 3 else "circle")
    return _fitted(list(_PATTERNS[pattern](count)))


def _line(count: int) -> Iterator[tuple[float, float]]:
    yield from ((float(at), 0.0) for at in range(count))


def _circle(count: int) -> Iterator[tuple[float, float]]:
    """Yield points on a circle, clockwise from the top."""
    for at in range(count):
        turn = 2 * math.pi * at / count
        yield math.sin(turn), -math.cos(turn)


def _grid(count: int) -> Iterator[tuple[float, float]]:
    """Yield two rows, numbered from left to right, the upper one first."""
    columns = math.ceil(count / 2)
    yield from ((float(at % columns), float(at // columns)) for at in range(count))


_PATTERNS = {"line": _line, "circle": _circle, "grid": _grid}


def _fitted(points: list[tuple[float, float]]) -> list[list[float]]:
    """Scale the points into the middle of a square of 1, without stretching."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    size = max(max(xs) - min(xs), max(ys) - min(ys)) or 1.0
    middle = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2
    return [[round((value - mid) / size + 0.5, DECIMALS) for value, mid in zip(p, middle, strict=True)] for p in points]
