"""What gauges, clocks and books show on a day when nothing goes wrong, for every reading of every worksheet."""

from __future__ import annotations

import math
import re
from datetime import date, timedelta
from typing import Any

Figure = tuple[float, str]
BANKS = ("_left", "_right")
# Days since 1970-01-01: 4 May 2017.
LAST_CHANGE = 17290
# For the start of a job: high enough that the last change lies behind it.
ODOMETER = {"number": "118350", "unit": "km"}


def figures(sheet: dict[str, Any]) -> dict[str, Figure]:
    """Return {reading: (number, unit)}. Raises KeyError for a reading without a figure here."""
    same = _same_everywhere(sheet)
    return {name: _of_a_bank(sheet, name) or same[name] for name in sheet["readings"]}


def _value(sheet: dict[str, Any], name: str, otherwise: Figure) -> Figure:
    number = (sheet["values"].get(name) or {}).get("number")
    return (number["number"], number["unit"]) if number else otherwise


def _of_a_bank(sheet: dict[str, Any], name: str) -> Figure | None:
    """Belts and tensioners are as the sheet says, bank by bank if there are two."""
    side = next((side for side in BANKS if name.endswith(side)), "")
    plain = name.removesuffix(side)
    if plain in ("teeth_old", "teeth_new"):
        return (_value(sheet, "belt_teeth" + side, (173, ""))[0], "teeth")
    if plain == "teeth_counted":
        return (_value(sheet, "teeth_between" + side, (40, ""))[0], "teeth")
    if plain in ("seal_least", "seal_greatest"):
        return _value(sheet, "seal_depth", (1, "mm"))
    if plain in ("stick_out_measured", "stick_out_again"):
        return _value(sheet, "stick_out" + side, (8.5, "mm"))
    return None


def _tone(sheet: dict[str, Any]) -> Figure:
    """The tone of a string: the root of force over mass a length, over twice the length."""
    (force, _), (length, _) = _value(sheet, "span_force", (0, "N")), _value(sheet, "span_length", (0, "mm"))
    (mass, _), (width, _) = _value(sheet, "belt_mass", (0, "")), _value(sheet, "belt_width", (0, "mm"))
    if not length or not mass:
        return 114, "Hz"
    return round(math.sqrt(force / (mass * width / 1000)) / (2 * length / 1000)), "Hz"


def _same_everywhere(sheet: dict[str, Any]) -> dict[str, Figure]:
    capacity, unit = _value(sheet, "coolant_capacity", (6, "L"))
    cap = _value(sheet, "cap_rating", (110, "kPa(g)"))
    test = _value(sheet, "test_pressure", cap)
    vacuum = _value(sheet, "fill_vacuum", (83, "kPa(vac)"))
    return {
        "last_change": (LAST_CHANGE, "date"),
        "last_odometer": (30000, "km"),
        "offset_before": (1.5, "deg"),
        "offset_after": (1.8, "deg"),
        "hose_temperature": (24, "degC"),
        "hose_temperature_again": (19, "degC"),
        "engine_temperature": (22, "degC"),
        "block_again": (23, "degC"),
        "coolant_temperature": (21, "degC"),
        "hottest": (98, "degC"),
        "cap_says": cap,
        "pressure_start": test,
        "pressure_end": (test[0] * 0.995, test[1]),
        "vacuum_start": vacuum,
        "vacuum_end": (vacuum[0] - 0.5, vacuum[1]),
        "drained": (capacity * 0.75, unit),
        "spilled": (round(capacity * 0.1, 2), unit),
        "rags_in": (3, "pieces"),
        "rags_out": (3, "pieces"),
        "filled": (round(capacity * 0.84, 2), unit),
        "freeze_now": (-33, "degC"),
        "mix_in_can": (51, "%"),
        "mix_in_car": (50, "%"),
        "belt_frequency": _tone(sheet),
        "gap_read": _value(sheet, "sensor_gap", (0.9, "mm")),
        "crank_seal_least": _value(sheet, "crank_seal_depth", (1, "mm")),
        "crank_seal_greatest": _value(sheet, "crank_seal_depth", (1, "mm")),
    }


def as_typed(sheet: dict[str, Any]) -> dict[str, dict[str, str]]:
    """Return what to type at each step that reads something, by its path as `Drive.run` names it."""
    read = figures(sheet)
    return {
        re.sub("[^a-z0-9]", "_", step["path"]): typed
        for step in sheet["steps"]
        if (typed := _typed(step["check"], read))
    }


def _typed(check: dict[str, Any], read: dict[str, Figure]) -> dict[str, str]:
    if check["kind"] == "measure":
        number, unit = read[check["reading"]]
        return {"date": _day(number)} if unit == "date" else {"number": f"{number:.6g}", "unit": unit}
    if check["kind"] == "wait" and check["watch"]:
        (start, unit), (end, _) = read[check["watch"]["start"]], read[check["watch"]["end"]]
        return {"start": f"{start:.6g}", "end": f"{end:.6g}", "unit": unit}
    return {}


def _day(days: float) -> str:
    return (date(1970, 1, 1) + timedelta(days=days)).isoformat()
