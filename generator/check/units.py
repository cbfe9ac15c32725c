"""The units a source may write, spelled one way each."""

from __future__ import annotations

from collections.abc import Mapping

UNITS: Mapping[str, tuple[str, ...]] = {
    "torque": ("N.m", "lbf.ft", "lbf.in", "kgf.m"),
    "angle": ("deg",),
    "time": ("s", "min", "h"),
    "length": ("mm", "cm", "m", "in", "ft"),
    "temperature": ("degC", "degF", "K"),
    "pressure": ("kPa", "bar", "mbar", "psi", "inHg", "mmHg", "kgf/cm2"),
    "volume": ("L", "mL", "qt", "gal"),
    "frequency": ("Hz", "rpm"),
    "distance": ("km", "mi"),
    "other": ("%", "V", "A", "ohm", "N", "kg", "g", "teeth", "turns"),
}
ALL = tuple(unit for units in UNITS.values() for unit in units)


def units_of(what: str) -> tuple[str, ...]:
    """The units that fit what a field measures. A reading may have any; a tolerance is of its value, or in %."""
    if what == "reading":
        return ALL
    if what == "tolerance":
        return ("%", *(unit for unit in ALL if unit != "%"))
    return UNITS[what]
