"""The units a source may write, spelled one way each, and how else people know them."""

from __future__ import annotations

from collections.abc import Mapping

from generator.quantities.units import KINDS, UNITS

# Spellings that people know a unit by; they are understood in messages only.
SPELLINGS: Mapping[str, str] = {
    "nm": "N.m", "n-m": "N.m", "newton": "N.m",
    "ft-lb": "lbf.ft", "ft.lb": "lbf.ft", "ft-lbs": "lbf.ft", "ftlb": "lbf.ft", "lb-ft": "lbf.ft", "lb.ft": "lbf.ft",
    "lbft": "lbf.ft", "ft.lbf": "lbf.ft", "in-lb": "lbf.in", "in.lb": "lbf.in", "lb-in": "lbf.in", "in-lbs": "lbf.in",
    "kgm": "kgf.m", "kg.m": "kgf.m", "kg-m": "kgf.m", "m.kg": "kgf.m",
    "°": "deg", "degrees": "deg", "degree": "deg",
    "°c": "degC", "c": "degC", "celsius": "degC", "°f": "degF", "f": "degF",
    "sec": "s", "secs": "s", "second": "s", "seconds": "s", "minute": "min", "minutes": "min", "mins": "min",
    "hr": "h", "hrs": "h", "hour": "h", "hours": "h",
    "liter": "L", "liters": "L", "litre": "L", "litres": "L", "inch": "in", "inches": "in", "feet": "ft",
    "percent": "%", "ohms": "ohm", "volt": "V", "volts": "V", "miles": "mi", "mile": "mi",
}  # fmt: skip
ALL = tuple(unit for unit in UNITS if unit)
MEASURED = tuple(kind for kind in KINDS if kind not in ("number", "date"))


def units_of(what: str) -> tuple[str, ...]:
    """The units that fit what a field measures. A reading may have any; a tolerance is of its value, or in %."""
    if what == "reading":
        return ALL
    if what == "tolerance":
        return ("%", *(unit for unit in ALL if unit != "%"))
    return KINDS[what]
