"""The possible range of a figure of each kind: of a value, of a reading, of a field of the shop's file.

A limit says what is impossible, not what is usual. A figure outside it is a slip, whatever the engine.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from generator.quantities.nearness import NEAR
from generator.quantities.quantity import Quantity, doubtful
from generator.quantities.units import to_base
from generator.sheet_types import LimitsJson


@dataclass(frozen=True)
class PossibleRange:
    """The range from `low` to `high` in `unit`. `above` excludes the low end. `whole` allows whole numbers of `unit`
    only."""

    low: float
    high: float
    unit: str
    why: str
    above: bool = False
    whole: bool = False


# Two ends are of physics: no vacuum is deeper than the air is heavy (101.325 kPa at sea level, ISO 2533; in the highest
# pressure of the weather not quite 108.5 kPa), and nothing about an engine is near -273.15 degC. The highest pressure
# on an engine is that of a diesel's common rail: 1850 bar, and 2200 bar in the making (pumpa-servis.com, read on
# 2026-11-29). The others are far beyond what a shop meets. common practice, no source
LIMITS: dict[str, PossibleRange] = {
    "torque": PossibleRange(0, 3000, "N.m", "A fastener is tightened by more than zero", above=True),
    "angle": PossibleRange(
        0, 720, "deg", "A fastener is turned by more than zero, and by two turns at most", above=True
    ),
    "time": PossibleRange(0, 52, "week", "A time is more than zero", above=True),
    "age": PossibleRange(0, 600, "month", "An age is in whole months, one at least", above=True, whole=True),
    "length": PossibleRange(0, 20, "m", "A length is not less than zero"),
    "distance": PossibleRange(0, 2_000_000, "km", "A distance is more than zero", above=True),
    "temperature": PossibleRange(-60, 400, "degC", "Nothing on an engine is this cold or this hot"),
    "pressure": PossibleRange(0, 300_000, "kPa", "A pressure is more than zero", above=True),
    "gauge": PossibleRange(0, 300_000, "kPa(g)", "Nothing on an engine is under more pressure", above=True),
    "vacuum": PossibleRange(
        0, 108.5, "kPa(vac)", "A vacuum is a positive number, and less than the air weighs", above=True
    ),
    "volume": PossibleRange(0, 200, "L", "A capacity is more than zero", above=True),
    "frequency": PossibleRange(0, 100_000, "Hz", "A frequency is more than zero", above=True),
    "share": PossibleRange(0, 100, "%", "A share lies between 0 and 100 %"),
    "count": PossibleRange(1, 9999, "", "A count is at least one", whole=True),
    "belt-mass": PossibleRange(0, 100, "g/(m.mm)", "A belt weighs more than zero", above=True),
    "line-mass": PossibleRange(0, 100, "kg/m", "A belt weighs more than zero", above=True),
    "force": PossibleRange(0, 1_000_000, "N", "A force is more than zero", above=True),
    "mass": PossibleRange(0, 100_000, "kg", "A mass is more than zero", above=True),
    "voltage": PossibleRange(-100, 100, "kV", "Nothing in a shop has a higher voltage, either way round"),
    "current": PossibleRange(-10_000, 10_000, "A", "Nothing in a shop carries a larger current, either way"),
    "resistance": PossibleRange(0, 1_000_000, "Mohm", "A resistance is not less than zero"),
    "power": PossibleRange(0, 10_000, "kW", "A power is not less than zero"),
    "flow": PossibleRange(0, 1000, "m3/h", "A flow is not less than zero"),
    "concentration": PossibleRange(0, 25, "kg/L", "Nothing that is poured weighs more"),
}
# What a gauge can show: also nothing, and of what goes both ways less than nothing. Nothing is colder than -273.15 degC
# (the zero of the kelvin, ISO 80000-5), no share is more than the whole, no vacuum deeper than the air is heavy; the
# other ends are far beyond what a shop meets. common practice, no source
READ: dict[str, PossibleRange] = {
    **{kind: replace(limit, above=False) for kind, limit in LIMITS.items() if kind != "count"},
    "angle": PossibleRange(-7200, 7200, "deg", "Nothing is turned this far"),
    "length": PossibleRange(-10_000, 10_000, "m", "Nothing in a shop is this long"),
    "temperature": PossibleRange(
        -273.15, 2000, "degC", "Nothing is colder than -273.15 degC, and nothing here hotter than 2000"
    ),
    "warmth": PossibleRange(-2000, 2000, "K", "No two temperatures are this far apart"),
    "pressure": PossibleRange(0, 1_000_000, "kPa", "A pressure is not less than zero"),
    "gauge": PossibleRange(-108.5, 1_000_000, "kPa(g)", "No gauge goes further below zero than the air weighs"),
    "vacuum": PossibleRange(0, 108.5, "kPa(vac)", "A vacuum is a positive number, and less than the air weighs"),
    "volume": PossibleRange(0, 10_000, "L", "A volume is not less than zero"),
}
# Of these there are only whole ones.
READ_IN: dict[str, PossibleRange] = {
    "teeth": PossibleRange(0, 9999, "teeth", "Teeth are counted in whole numbers", whole=True),
    "pieces": PossibleRange(0, 9999, "pieces", "Pieces are counted in whole numbers", whole=True),
}
# What the fields of the shop's file, of jobs and of procedures can be, and some boxes of the phone, by a name of their
# own. The lowest shore is 430 m below the sea, the highest town lies at 5100 m, the coldest air was -89 degC: from
# memory. The others: common practice, no source
FIELD_RANGES: dict[str, PossibleRange] = {
    "altitude": PossibleRange(-500, 6000, "m", "No shop lies this low or this high"),
    "coldest": PossibleRange(-100, 40, "degC", "No winter is this cold or this warm"),
    "odometer": PossibleRange(0, 2_000_000, "km", "An odometer is not less than zero"),
    "mark": PossibleRange(0, 3000, "N.m", "A torque wrench has no such mark"),
    "mark-step": PossibleRange(0, 3000, "N.m", "From one mark to the next is more than zero", above=True),
    "lever": PossibleRange(0, 5, "m", "A wrench is longer than zero, and has to be held", above=True),
    "adapter": PossibleRange(0, 2, "m", "An adapter is longer than zero", above=True),
    "adapter-angle": PossibleRange(0, 180, "deg", "0 is straight on, 180 folded back"),
    "bolt-length": PossibleRange(
        0, 2, "m", "The thread that holds, and what is clamped, is longer than zero", above=True
    ),
    "break": PossibleRange(1, 1440, "min", "Without a break it is one look"),
    "elapsed": PossibleRange(0, 52, "week", "A time is more than zero", above=True),
    "pieces": PossibleRange(1, 9999, "", "What is counted is there at least once", whole=True),
    "revision": PossibleRange(1, 999_999, "", "The first revision is 1", whole=True),
    "times": PossibleRange(1, 9999, "", "What is caught is caught at least once", whole=True),
    "friction": PossibleRange(0.02, 0.6, "", "No bolt rubs less or more"),
}


def can_be_read(kind: str, unit: str) -> PossibleRange | None:
    """Return what a reading of this kind, in this unit, can be; None for a plain number and a date."""
    return READ_IN.get(unit) or READ.get(kind)


def in_base(limit: PossibleRange) -> LimitsJson:
    """Return the limit as a worksheet has it: {low, high, above, whole} in base units."""
    low, high = to_base(limit.low, limit.unit), to_base(limit.high, limit.unit)
    return {"low": low, "high": high, "above": limit.above, "whole": limit.whole}


def is_within(base: float, limit: LimitsJson) -> bool:
    """True if a figure in base units is possible. `limit` comes from a worksheet."""
    low, high = limit["low"], limit["high"]
    # Each end forgives the noise of its own conversion: a billionth of the top is much beside a bottom of zero.
    below, beyond = NEAR * abs(low), NEAR * abs(high)
    if base > high + beyond or base < low - below or (limit["above"] and base <= low + below):
        return False
    return not limit["whole"] or abs(base - math.floor(base + 0.5)) <= NEAR * max(1.0, abs(base))


def is_possible(base: float, limit: PossibleRange) -> bool:
    """True if a figure in base units is possible."""
    return is_within(base, in_base(limit))


def two_readings(said: Quantity, limit: PossibleRange | None) -> tuple[Quantity, ...]:
    """Return both readings of `100.000 km`, the decimals first, where both are possible; none where one is sure."""
    return doubtful(said, lambda one: limit is None or is_possible(one.base, limit))


def said_range(limit: PossibleRange) -> str:
    """Return the range in words: `more than 0 and up to 3000 N.m`, `1 to 9999, a whole number`."""
    unit = f" {limit.unit}" if limit.unit else ""
    whole = ", a whole number" if limit.whole else ""
    start = f"more than {limit.low:g} and up to" if limit.above else f"{limit.low:g} to"
    return f"{start} {limit.high:.12g}{unit}{whole}"
