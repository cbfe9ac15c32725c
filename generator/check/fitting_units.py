"""The units that fit what a field of a source measures."""

from __future__ import annotations

from generator.quantities.units import KINDS, UNITS

ALL = tuple(unit for unit in UNITS if unit)
MEASURED = tuple(kind for kind in KINDS if kind not in ("number", "date"))


def units_of(what: str) -> tuple[str, ...]:
    """Return the units that fit what a field measures. A reading may have any unit. A tolerance has its value's, or
    %."""
    if what == "reading":
        return ALL
    if what == "tolerance":
        return ("%", *(unit for unit in ALL if unit != "%"))
    return KINDS[what]
