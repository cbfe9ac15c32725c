"""Kinds of quantities, their units, and the way between what a person types and what is reckoned with.

Reckoning is done in base units: SI (kg, m, s, K, Pa, m3, N.m), an angle in degrees, a share as a part of 1, an age in
months, a date in days since 1970-01-01. Factors are pint's, taken as exact fractions and rounded once. pint is loaded
when the first factor is asked for, so that whoever reckons nothing does not wait for it.
"""

from __future__ import annotations

import functools
import math
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from generator.quantities.dates import to_date
from generator.quantities.nearness import NEAR, is_near
from generator.sheet_types import UnitJson
from generator.table_names import OdometerUnit, TimeUnit

if TYPE_CHECKING:
    from pint import UnitRegistry
    from pint.util import UnitsContainer

_OF_TIME: tuple[TimeUnit, ...] = ("s", "min", "h", "day", "week")
_OF_DISTANCE: tuple[OdometerUnit, ...] = ("km", "mi")
# What each kind is measured in; the first unit is taken where none is said.
KINDS: Mapping[str, tuple[str, ...]] = {
    "torque": ("N.m", "lbf.ft", "lbf.in", "kgf.m", "kgf.cm"),
    "angle": ("deg",),
    "time": _OF_TIME,
    "age": ("month", "year"),
    "length": ("mm", "cm", "m", "in", "ft"),
    "distance": _OF_DISTANCE,
    "temperature": ("degC", "degF"),
    "warmth": ("K",),
    "pressure": ("kPa", "Pa", "bar", "mbar", "hPa", "psi", "inHg", "mmHg", "kgf/cm2"),
    "gauge": ("kPa(g)", "bar(g)", "psi(g)", "kgf/cm2(g)"),
    "vacuum": ("kPa(vac)", "inHg(vac)", "mmHg(vac)", "bar(vac)"),
    "volume": ("L", "mL", "qt", "gal"),
    "frequency": ("Hz", "rpm"),
    "share": ("%",),
    "mass": ("g", "kg"),
    "belt-mass": ("g/(m.mm)",),
    "line-mass": ("kg/m", "g/m"),
    "force": ("N",),
    "number": ("", "teeth", "turns", "pieces"),
    "voltage": ("V", "mV", "kV"),
    "current": ("A", "mA"),
    "resistance": ("ohm", "mohm", "kohm", "Mohm"),
    "power": ("W", "kW"),
    "flow": ("L/min", "L/h", "mL/min", "m3/h"),
    "concentration": ("g/L", "mg/L", "kg/L"),
    "date": ("date",),
}
# Spellings that people know a unit by; they are understood in messages only. Capitals count in those that have some: a
# small m is a thousandth and a large one a million.
SPELLINGS: Mapping[str, str] = {
    "nm": "N.m", "n-m": "N.m", "n*m": "N.m", "newton": "N",
    "ft-lb": "lbf.ft", "ft.lb": "lbf.ft", "ft-lbs": "lbf.ft", "ftlb": "lbf.ft", "lb-ft": "lbf.ft", "lb.ft": "lbf.ft",
    "lbft": "lbf.ft", "ft.lbf": "lbf.ft", "in-lb": "lbf.in", "in.lb": "lbf.in", "lb-in": "lbf.in", "in-lbs": "lbf.in",
    "kgm": "kgf.m", "kg.m": "kgf.m", "kg-m": "kgf.m", "m.kg": "kgf.m", "kgcm": "kgf.cm", "kg.cm": "kgf.cm",
    "kg-cm": "kgf.cm", "kg/cm2": "kgf/cm2",
    "°": "deg", "degrees": "deg", "degree": "deg",
    "°c": "degC", "c": "degC", "celsius": "degC", "°f": "degF", "f": "degF", "°k": "K", "kelvin": "K",
    "sec": "s", "secs": "s", "second": "s", "seconds": "s", "minute": "min", "minutes": "min", "mins": "min",
    "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "d": "day", "days": "day", "weeks": "week",
    "months": "month", "years": "year", "yr": "year",
    "liter": "L", "liters": "L", "litre": "L", "litres": "L", "l": "L", "inch": "in", "inches": "in", "feet": "ft",
    "percent": "%", "miles": "mi", "mile": "mi", "volt": "V", "volts": "V", "vdc": "V",
    "amp": "A", "amps": "A", "ampere": "A", "amperes": "A", "watt": "W", "watts": "W", "kilowatt": "kW",
    "ohm": "ohm", "ohms": "ohm", "kohms": "kohm", "kOhm": "kohm", "mOhm": "mohm",
    "milliohm": "mohm", "MOhm": "Mohm", "megohm": "Mohm",
    "\u03a9": "ohm", "m\u03a9": "mohm", "k\u03a9": "kohm", "M\u03a9": "Mohm",
    "lpm": "L/min", "lph": "L/h", "l/min": "L/min", "l/h": "L/h", "ml/min": "mL/min",
    "g/l": "g/L", "mg/l": "mg/L", "kg/l": "kg/L", "g/ml": "kg/L", "g/cm3": "kg/L",
    "kpag": "kPa(g)", "barg": "bar(g)", "psig": "psi(g)",
}  # fmt: skip
_KIND_OF = {unit: kind for kind, units in KINDS.items() for unit in units}
# Names and products as pint reads them. To it Nm is a number of yarn, and rpm are radians: here a turn is a cycle.
_PINT = {
    "N.m": "N*m", "lbf.ft": "lbf*ft", "lbf.in": "lbf*inch", "kgf.m": "kgf*m", "kgf.cm": "kgf*cm", "in": "inch",
    "ft": "foot", "mi": "mile",
    "L": "liter", "mL": "milliliter", "qt": "quart", "gal": "gallon", "rpm": "1/minute", "%": "percent", "V": "volt",
    "A": "ampere", "s": "second", "min": "minute", "h": "hour", "day": "day", "week": "week", "mmHg": "mmHg",
    "inHg": "inHg", "kgf/cm2": "kgf/cm**2", "g/(m.mm)": "g/m/mm",
    "L/min": "liter/minute", "L/h": "liter/hour", "mL/min": "milliliter/minute", "m3/h": "m**3/hour",
    "g/L": "g/liter", "mg/L": "mg/liter", "kg/L": "kg/liter",
}  # fmt: skip
_PLAIN_SCALES = {"deg": 1, "month": 1, "date": 1, "": 1, "teeth": 1, "turns": 1, "pieces": 1}
SORTS = ("temperature", "gauge", "vacuum", "age", "date")
# A formula's number has so many digits at least where no step is said; what lies below these is noise of conversion.
DIGITS = 4
NOISE = 12
_WIDE = Context(prec=700)  # the greatest double in steps of the smallest


@dataclass(frozen=True)
class Unit:
    """A unit a person may choose: base = (number + offset) * scale."""

    name: str
    kind: str
    scale: float
    offset: float


@dataclass(frozen=True)
class Kind:
    """What a formula's value measures: its dimensions, and which sort of quantity of those dimensions it is.

    `dims` is pint's UnitsContainer of `[length]`, `[time]` and so on, with `[angle]` as a base of its own; exponents
    are whole numbers or fractions. `sort` is plain, temperature, gauge, vacuum, age, date or truth.
    """

    dims: UnitsContainer
    sort: str = "plain"


class _Units(Mapping[str, Unit]):
    """Every unit by its name; a factor is looked up in pint when its unit is asked for."""

    def __getitem__(self, name: str) -> Unit:
        return _unit(name)

    def __contains__(self, name: object) -> bool:
        return name in _KIND_OF

    def __iter__(self) -> Iterator[str]:
        return iter(_KIND_OF)

    def __len__(self) -> int:
        return len(_KIND_OF)


UNITS: Mapping[str, Unit] = _Units()


def spelled_unit(text: str) -> str | None:
    """Return the unit that a common spelling means, whatever its capitals; None where that would be a guess.

    >>> spelled_unit("Amps"), spelled_unit("k\u2126"), spelled_unit("M\u03a9"), spelled_unit("MV")
    ('A', 'kohm', 'Mohm', None)
    """
    plain = unicodedata.normalize("NFKC", text)
    return SPELLINGS.get(plain) or SPELLINGS.get(plain.lower()) or (plain if plain in _KIND_OF else None)


@functools.cache
def _registry() -> UnitRegistry[Any]:
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)


@functools.cache
def _unit(name: str) -> Unit:
    kind = _KIND_OF[name]
    scale, offset = _scale(name, kind), Fraction(0)
    if kind == "temperature":
        offset = Fraction(_registry().Quantity(Fraction(0), name).to("kelvin").magnitude) / scale
    return Unit(name, kind, float(scale), float(offset))


def _scale(name: str, kind: str) -> Fraction:
    if name in _PLAIN_SCALES:
        return Fraction(_PLAIN_SCALES[name])
    if name == "year":
        return _of_pint("year") / _of_pint("month")
    if kind == "temperature":
        return _of_pint(f"delta_{name}")
    return _of_pint(_spelled(name))


def _of_pint(unit: str) -> Fraction:
    return Fraction(_registry().Quantity(Fraction(1), unit).to_base_units().magnitude)


def _spelled(name: str) -> str:
    """A unit as pint knows it: gauges and vacuum gauges are marked in kPa like any pressure."""
    bare = name.removesuffix("(g)").removesuffix("(vac)")
    return _PINT.get(bare, bare)


def to_base(number: float, unit: str) -> float:
    """A number of a unit in base units."""
    of = UNITS[unit]
    return (number + of.offset) * of.scale


def from_base(base: float, unit: str) -> float:
    """Base units as a number of a unit."""
    of = UNITS[unit]
    return base / of.scale - of.offset


@functools.cache
def kind_of(unit: str) -> Kind:
    """The kind that a unit measures, as formulas check it."""
    kind = _KIND_OF[unit]
    return Kind(_dims(unit), kind if kind in SORTS else "plain")


def _dims(unit: str) -> UnitsContainer:
    from pint.util import UnitsContainer

    if unit == "deg":
        return UnitsContainer({"[angle]": 1}, non_int_type=Fraction)
    if unit == "date":
        unit = "day"
    if _KIND_OF[unit] == "number":
        return UnitsContainer(non_int_type=Fraction)
    found = _registry().get_dimensionality(_spelled(unit))
    return UnitsContainer(dict(found), non_int_type=Fraction)


@functools.cache
def truth() -> Kind:
    """The kind of a yes or no."""
    return Kind(kind_of("").dims, "truth")


def named(kind: Kind) -> str | None:
    """The name people have for a kind, one of `KINDS` or "truth"; None for a product that has none."""
    if kind.sort != "plain":
        return kind.sort
    return _names().get(kind.dims)


@functools.cache
def _names() -> Mapping[UnitsContainer, str]:
    """Distances are lengths, shares are numbers; of names for one thing the plainer one is told."""
    found = {kind_of(units[0]).dims: kind for kind, units in KINDS.items() if kind not in SORTS}
    return found | {kind_of("").dims: "number", kind_of("mm").dims: "length"}


def table_json(kinds: Iterable[str]) -> dict[str, UnitJson]:
    """All units of these kinds, {unit: {kind, scale, offset}}, as a worksheet carries them."""
    units = [UNITS[name] for kind in sorted(set(kinds)) for name in KINDS.get(kind, ())]
    return {unit.name: {"kind": unit.kind, "scale": unit.scale, "offset": unit.offset} for unit in units}


def shown(base: float | bool, unit: str, step: float | None = None, safe: str | None = None) -> str:
    """What a person reads, without the unit: to the nearest step (a number of that unit), else four digits or whole.
    `safe`: down or up, the only way it is rounded; what counts as equal to a step is that step.

    >>> shown(0.0055, "L", 0.1), shown(257.43, "degC", 1), shown(257.43, "degC", 1, "up"), shown(True, "", None)
    ('5.5', '-16', '-15', 'yes')
    """
    if isinstance(base, bool):
        return "yes" if base else "no"
    of = UNITS[unit]
    return day_text(base) if of.kind == "date" else figure_text(base, of.scale, of.offset, step, safe)


def figure_text(base: float, scale: float, offset: float, step: float | None = None, safe: str | None = None) -> str:
    """The same for a unit that is given by its numbers: base = (number + offset) * scale."""
    return legible(base / scale - offset, step, safe, NEAR * abs(base / scale))


def legible(number: float, step: float | None = None, safe: str | None = None, slack: float = 0.0) -> str:
    """A number as a person reads it: to the nearest step, else four digits or whole. With a safe side it is rounded to
    that side, unless it is off a step by no more than `slack`.

    >>> legible(5.512345), legible(118350.4), legible(0.26, 0.5), legible(89.63, 1, "down"), legible(6.07, safe="up")
    ('5.512', '118350', '0.5', '89', '6.07')
    """
    noiseless = _rounded(Decimal(number), NOISE)
    if safe:
        text = _to_side(number, noiseless, step or step_of(number), safe, slack)
        return text if step else _plain(Decimal(text).normalize())
    return _to_step(noiseless, step) if step else _plain(_rounded(noiseless, _digits(noiseless)).normalize())


def step_of(number: float) -> float:
    """Return the step to which a number is shown where none is said.

    >>> step_of(5.512345), step_of(118350.4)
    (0.001, 1.0)
    """
    noiseless = _rounded(Decimal(number), NOISE)
    return float(f"1e{noiseless.adjusted() - _digits(noiseless) + 1}")


def finer(step: float, times: int) -> float:
    """Return the step that shows so many digits more.

    >>> finer(1, 1), finer(0.5, 1), finer(5, 2), finer(0.1, 0)
    (0.1, 0.1, 0.1, 0.1)
    """
    if not times:
        return step
    return float(f"1e{_power_below(step) - times + (0 if is_near(step, step_below(step)) else 1)}")


def step_below(step: float) -> float:
    """Return the power of ten that is no greater: a step of one unit is no round number in another.

    >>> step_below(14.5), step_below(0.01), step_below(0.68)
    (10.0, 0.01, 0.1)
    """
    return float(f"1e{_power_below(step)}")


def _power_below(step: float) -> int:
    return math.floor(math.log10(step) + NEAR)


def exact_text(number: float) -> str:
    """Every digit of a number but the noise of conversion.

    >>> exact_text(6.55), exact_text(118350.0)
    ('6.55', '118350')
    """
    return _plain(_rounded(Decimal(number), NOISE).normalize())


def _digits(number: Decimal) -> int:
    """Four, or more where that many stand before the point: nobody reads 118350 km as 118400."""
    return min(NOISE, max(DIGITS, number.adjusted() + 1))


def _rounded(number: Decimal, digits: int) -> Decimal:
    return Context(prec=digits, rounding=ROUND_HALF_UP).plus(number)


def _to_step(number: Decimal, step: float) -> str:
    """A half goes away from zero; as many decimals as the step has."""
    exact = _exact(step)
    return _steps(_times(number, exact), exact)


def _to_side(number: float, noiseless: Decimal, step: float, safe: str, slack: float) -> str:
    exact = _exact(step)
    times = _times(noiseless, exact)
    at = float(times) * step
    if abs(number - at) > slack and (at > number) == (safe == "down"):
        times += -1 if safe == "down" else 1
    return _steps(times, exact)


def _exact(step: float) -> Decimal:
    return Decimal(repr(float(step))).normalize()


def _times(number: Decimal, exact: Decimal) -> Decimal:
    return _WIDE.divide(number, exact).quantize(Decimal(1), rounding=ROUND_HALF_UP, context=_WIDE)


def _steps(times: Decimal, exact: Decimal) -> str:
    decimals = max(0, -int(exact.as_tuple().exponent))
    return _plain(_WIDE.multiply(times, exact).quantize(Decimal(1).scaleb(-decimals), context=_WIDE))


def _plain(number: Decimal) -> str:
    text = format(number, "f")
    return text.removeprefix("-") if number.is_zero() else text


def day_text(days: float) -> str:
    date = to_date(round(days))
    return date.isoformat() if date else format(Decimal(days), ".0f")


# --- which units a field of a source may have -------------------------------------------------------------------------

EVERY = tuple(unit for unit in UNITS if unit)
MEASURED = tuple(kind for kind in KINDS if kind not in ("number", "date"))


def units_of(what: str) -> tuple[str, ...]:
    """Return the units that fit what a field measures. A reading may have any unit. A tolerance has its value's, or
    %."""
    if what == "reading":
        return EVERY
    if what == "tolerance":
        return ("%", *(unit for unit in EVERY if unit != "%"))
    return KINDS[what]
