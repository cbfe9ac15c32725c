"""Is a torque sane for its bolt: the band a final torque lies in, what is said outside it, slips that explain it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from generator.quantities.metric_bolts import (
    Strength,
    Thread,
    preload,
    proof_load,
    strength_of,
    stress_area,
    tightening,
    yield_load,
)
from generator.quantities.quantity import Quantity
from generator.quantities.trees import SLIPS, TORQUE, figure, holds
from generator.quantities.units import KINDS, shown, to_base

LOW_FRICTION, HIGH_FRICTION = 0.08, 0.16
"""Oiled or coated, and dry: between these lies a clean bolt of an engine."""
LEAST_SHARE = 0.4
"""What a book may ask for at least, of the torque that uses up the bolt at the low friction. Common practice, no
source: small bolts that only hold a cover to aluminium are given half to two thirds. With it the ends of a band are
never 5 times apart, so that no value inside is still inside after a slip of seven or more: ten, foot for inch (12),
kgf.m or lbf.in for N.m (10, 9), kgf.m for lbf.ft (7). N.m for lbf.ft, or lbf.in for kgf.cm, no band can tell."""
DECIMALS = 4
CASTINGS = ("aluminium", "aluminum", "magnesium")
SLIP_WORDS = {"tenth": "a tenth", "tenfold": "ten times"}
WEAKER = "the thread in the casting may be the weaker part."

Band = tuple[float, float]


@dataclass(frozen=True)
class Slip:
    """What may have been meant by a value outside the band: it lies inside. `base` is N.m."""

    number: float
    unit: str
    base: float
    instead: str


@dataclass(frozen=True)
class BoltCheck:
    """A bolt at one friction, and what is said of a torque for it (None: no torque was given). mm2, kN, N.m."""

    thread: Thread
    cls: str
    strength: Strength
    friction: float
    stress_area: float
    proof_load: float
    yield_load: float
    preload: float
    torque: float
    band: Band
    value: float | None
    verdict: str | None
    says: str


def band(thread: Thread, cls: str, low: float = LOW_FRICTION, high: float = HIGH_FRICTION) -> Band | None:
    """Least and greatest sane final torque, N.m; None for a class that is not of ISO 898-1.

    The greatest uses up 90 % of yield at the high friction, the least is `LEAST_SHARE` of the same at the low one. A
    torque before an angle stage is not final: the band says nothing of it. It has four decimals, as in the worksheet:
    both the desk and the phone hold a torque against the same two numbers.
    """
    strength = strength_of(cls, thread)
    if strength is None:
        return None
    least, most = LEAST_SHARE * tightening(thread, strength, low), tightening(thread, strength, high)
    return round(least, DECIMALS), round(most, DECIMALS)


def judged(value: float, within: Band) -> str:
    """`inside`, `above` or `below` the band; N.m."""
    names = {"value": value, "low": within[0], "high": within[1]}
    return next((side for side in ("above", "below") if holds(TORQUE[side], **names)), "inside")


def slips(number: float, unit: str, within: Band) -> list[Slip]:
    """The likely slips behind a value outside its band: the same figure in another unit, a tenth, ten times.

    >>> [slip.instead for slip in slips(72, "N.m", (3.1, 12.3))]
    ['72 lbf.in would be 8.1 N.m', '72 kgf.cm would be 7.1 N.m', 'a tenth would be 7.2 N.m']
    """
    if judged(to_base(number, unit), within) == "inside":
        return []
    return [slip for slip in _slips(number, unit) if judged(slip.base, within) == "inside"]


def _slips(number: float, unit: str) -> Iterator[Slip]:
    for other in KINDS["torque"]:
        if other != unit:
            base = to_base(number, other)
            yield Slip(number, other, base, f"{_figure(number, other)} would be {newton_metres(base)}")
    for slip, tree in SLIPS.items():
        meant = figure(tree, number=number)
        if meant is not None:
            base = to_base(meant, unit)
            also = "" if unit == "N.m" else f"{_figure(meant, unit)}, "
            yield Slip(meant, unit, base, f"{SLIP_WORDS[slip]} would be {also}{newton_metres(base)}")


def _figure(number: float, unit: str) -> str:
    return f"{shown(to_base(number, unit), unit)} {unit}"


def newton_metres(base: float) -> str:
    """A torque that is only told to be compared: three digits, or two below 1 N.m and ten.

    >>> newton_metres(8.1349), newton_metres(117.39), newton_metres(0.7)
    ('8.1 N.m', '117 N.m', '0.70 N.m')
    """
    return f"{shown(base, 'N.m', figure(TORQUE['rough'], value=base))} N.m"


def band_text(within: Band) -> str:
    """`7.4 to 29.8 N.m`."""
    return f"{newton_metres(within[0]).removesuffix(' N.m')} to {newton_metres(within[1])}"


def caution(
    number: float,
    unit: str,
    thread: Thread,
    cls: str,
    into: str | None = None,
    friction: tuple[float, float] = (LOW_FRICTION, HIGH_FRICTION),
) -> str | None:
    """What is said of a final torque outside the band of its bolt; None when it is inside, or there is no band.

    >>> caution(72, "N.m", Thread(6, 1), "8.8")
    '72 N.m is more than an M6x1 bolt of class 8.8 takes: 3.1 to 12.3 N.m. 72 lbf.in would be 8.1 N.m; 72 kgf.cm would be 7.1 N.m; a tenth would be 7.2 N.m. Look at the source again.'
    """  # noqa: E501 - one line of text
    within = band(thread, cls, *friction)
    verdict = judged(to_base(number, unit), within) if within else "inside"
    if within is None or verdict == "inside":
        return None
    than, does = ("more", "takes") if verdict == "above" else ("less", "is given")
    found = "; ".join(slip.instead for slip in slips(number, unit, within))
    parts = [
        f"{_figure(number, unit)} is {than} than an {thread} bolt of class {cls} {does}: {band_text(within)}.",
        f"{found[:1].upper()}{found[1:]}." if found else "",
        "Look at the source again.",
        into_casting(into),
    ]
    return " ".join(part for part in parts if part)


def into_casting(into: str | None) -> str:
    """What is said where a bolt goes into a soft casting and nobody has said how deep; empty for anything else."""
    soft = into is not None and into.strip().lower().startswith(CASTINGS)
    return f"Into {into}: {WEAKER}" if soft else ""


def look_at(
    thread: Thread,
    cls: str,
    friction: float,
    value: Quantity | None = None,
    into: str | None = None,
) -> BoltCheck | None:
    """All that can be said of a bolt, and of a torque for it; None if the class has no figures here."""
    strength, within = strength_of(cls, thread), band(thread, cls)
    if strength is None or within is None:
        return None
    base = value.base if value else None
    return BoltCheck(
        thread=thread,
        cls=cls,
        strength=strength,
        friction=friction,
        stress_area=stress_area(thread),
        proof_load=proof_load(thread, strength),
        yield_load=yield_load(thread, strength),
        preload=preload(thread, strength, friction),
        torque=tightening(thread, strength, friction),
        band=within,
        value=base,
        verdict=None if base is None else judged(base, within),
        says=(caution(value.figure, value.unit, thread, cls, into) if value else None) or into_casting(into),
    )
