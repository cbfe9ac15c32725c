"""How people write a torque -> the one way we write it, or nothing. A spelling with a second meaning is nothing.

No text of a person reaches a units library from here: to such a one `Nm` may be yarn and `ftlb` a weight.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import product

from generator.quantities import quantity
from generator.quantities.quantity import Quantity
from generator.quantities.units import KINDS

# Letters keep their case, because small and capital N, m, g and k are different units.
_NEWTON = ("N",)
_METRE = ("m",)
_CENTIMETRE = ("cm",)
_KILOGRAM = ("kgf", "kg")  # a kilogram multiplied by a length means its weight
_POUND = ("lbf", "lbs", "lb", "LBF", "LBS", "LB", "Lbf", "Lbs", "Lb")
_FOOT = ("ft", "FT", "Ft")
_INCH = ("in", "IN", "In")
# One sign, or nothing, between force and length; it may have a space on each side. A slash is a division, and no sign.
_BETWEEN = r"(?: ?[.·⋅∙•*×-] ?| |)"
_ABBREVIATED = r"(?: ?[.·⋅∙•*×-] ?|\. ?[-·*]? ?| |)"  # ft.-lb., in. lbs.
_WORDS: Mapping[str, str] = {
    r"newton[ -]met(?:re|er)s?": "N.m",
    r"(?:foot|feet)[ -]pounds?|pounds?[ -](?:foot|feet)": "lbf.ft",
    r"inch[ -]pounds?|pounds?[ -]inch(?:es)?": "lbf.in",
}


def _units() -> Iterator[tuple[str, re.Pattern[str]]]:
    yield "N.m", _pattern(_NEWTON, _METRE, _BETWEEN)
    yield "kgf.m", _pattern(_KILOGRAM, _METRE, _BETWEEN)
    yield "kgf.cm", _pattern(_KILOGRAM, _CENTIMETRE, _BETWEEN)
    yield "lbf.ft", _either_way(_POUND, _FOOT)
    yield "lbf.in", _either_way(_POUND, _INCH)
    for words, unit in _WORDS.items():
        yield unit, re.compile(words)


def _pattern(first: tuple[str, ...], second: tuple[str, ...], between: str, end: str = "") -> re.Pattern[str]:
    return re.compile("|".join(f"{one}{between}{other}{end}" for one, other in product(first, second)))


def _either_way(force: tuple[str, ...], length: tuple[str, ...]) -> re.Pattern[str]:
    forward = _pattern(force, length, _ABBREVIATED, r"\.?")
    back = _pattern(length, force, _ABBREVIATED, r"\.?")
    return re.compile(f"{forward.pattern}|{back.pattern}")


_UNITS = tuple(_units())


def torque_unit(text: str) -> str | None:
    """The unit of torque that a spelling means.

    >>> torque_unit("ft.lbs"), torque_unit("kgm"), torque_unit("Nmm"), torque_unit("lb/ft")
    ('lbf.ft', 'kgf.m', None, None)
    """
    return next((unit for unit, pattern in _UNITS if pattern.fullmatch(text)), None)


def torque_of(text: str) -> Quantity | None:
    """Return a torque as we write it; None for a bare number, a range, and anything unclear.

    >>> [str(torque_of(text)) for text in ("10Nm", "7 ft-lb", "2,5 kgm", "25 kgf.cm", "10")]
    ['10 N.m', '7 lbf.ft', '2.5 kgf.m', '25 kgf.cm', 'None']
    """
    found = quantity.spelled(text)
    unit = torque_unit(found.unit) if found else None
    return Quantity(found.number, unit) if found and unit and found.figure else None


def typed_as(text: str, kind: str) -> tuple[Quantity, ...]:
    """Return each quantity of this kind that a text typed at a desk can mean, in a unit of ours: `300mm`, `25 Nm`. A
    torque is spelled as in `torque_of`, what else there is as in the sources.

    >>> [str(one) for one in typed_as("25,5 ft-lb", "torque")], typed_as("25", "torque")
    (['25.5 lbf.ft'], ())
    """
    found = quantity.typed(" ".join(text.split()))
    unit = torque_unit(found[0].unit) if found and kind == "torque" else found[0].unit if found else None
    return tuple(replace(one, unit=unit) for one in found) if unit in KINDS[kind] else ()
