"""What each operator does with known numbers (or truths): a number, a truth, or unknown with its reason.

The same table as phone/quantities/operators.js; tests/support/formulas.json has a case for every rounding, sign and
limit.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NamedTuple

from generator.quantities.dates import FIRST, LAST, add_months, to_date, to_days
from generator.quantities.nearness import NEAR, is_near


@dataclass(frozen=True)
class Unknown:
    """Not known yet: which names are needed, and the reasons. Both are sorted, each once."""

    needs: tuple[str, ...] = ()
    because: tuple[str, ...] = ()


Value = float | bool | Unknown

BECAUSE = ("angle", "broken", "large", "log", "outside", "root", "unsaid", "whole", "zero")
"""Every reason why a number cannot be worked out."""
ANGLE, BROKEN, LARGE, LOG, OUTSIDE, ROOT, UNSAID, WHOLE, ZERO = (Unknown(because=(code,)) for code in BECAUSE)

MOST_WHOLE = 2**53
"""The largest whole number that a double tells from the next."""
DAY = 86400
DEGREE = math.pi / 180


class Op(NamedTuple):
    least: int
    most: int
    do: Callable[..., Value]
    takes: Any = float
    """What it takes; a truth is no number."""


def _sum(a: float, b: float) -> float:
    """Return a sum. What is left of two figures that count as equal is exactly nothing."""
    return 0.0 if is_near(a, -b) else a + b


def _divide(a: float, b: float) -> Value:
    return a / b if b else ZERO


def _remainder(a: float, b: float) -> Value:
    if not b:
        return ZERO
    rest, least = a % b, NEAR * max(abs(a), abs(b))
    if abs(a) > MOST_WHOLE * abs(b):
        return rest
    return 0.0 if min(abs(rest), abs(b - rest)) <= least else rest


def _raise(base: float, exponent: float) -> Value:
    if base < 0:
        return ROOT
    return ZERO if base == 0 and exponent < 0 else math.pow(base, exponent)


def _log(a: float) -> Value:
    return math.log(a) if a > 0 else LOG


def _same(a: float | bool, b: float | bool) -> bool | Unknown:
    if isinstance(a, bool) != isinstance(b, bool):
        return BROKEN
    return a == b if isinstance(a, bool) else is_near(a, b)


def _different(a: float | bool, b: float | bool) -> bool | Unknown:
    same = _same(a, b)
    return same if isinstance(same, Unknown) else not same


def rounded(a: float) -> float:
    """To the nearest whole number, a half away from zero.

    >>> rounded(2.5), rounded(-2.5), rounded(0.49999999999999994)
    (3.0, -3.0, 0.0)
    """
    whole = float(math.trunc(a))
    return whole + math.copysign(1.0, a) if abs(a - whole) >= 0.5 else whole


def steps_in(a: float, step: float) -> float:
    """Return how many steps. The count is exact if the number is very near to a step or a half step."""
    steps = a / step
    if abs(steps) > MOST_WHOLE:
        return steps
    halves = rounded(2 * steps) / 2
    return halves if abs(steps - halves) <= NEAR * max(1.0, abs(steps)) else steps


def _to(way: Callable[[float], float]) -> Callable[..., Value]:
    def do(a: float, step: float | None = None) -> Value:
        if step is None:
            return float(way(steps_in(a, 1.0)))
        return way(steps_in(a, step)) * step if step > 0 else ZERO

    return do


def _of_whole(way: Callable[..., int]) -> Callable[..., Value]:
    def do(*numbers: float) -> Value:
        wholes = [whole_near(number) for number in numbers if abs(number) <= MOST_WHOLE]
        if None in wholes or len(wholes) < len(numbers):
            return WHOLE
        result = way(*wholes)
        return float(result) if result <= MOST_WHOLE else WHOLE

    return do


_EXACT = {0.0: 0.0, 30.0: 0.5, 90.0: 1.0}


def _quarter(part: float) -> float:
    """Return the sine of 0 to 90 degrees, exact where it can be."""
    return _EXACT[part] if part in _EXACT else math.sin(part * DEGREE)


def _turned(angle: float, quarters: int) -> float:
    """Return the sine of an angle of 0 or more, that many quarter turns further."""
    around = math.fmod(angle, 360)
    part = math.fmod(around, 90)
    quarter = (int((around - part) / 90) + quarters) % 4
    sine = _quarter(90 - part if quarter % 2 else part)
    return -sine if quarter > 1 else sine


def _sin(a: float) -> float:
    return _turned(a, 0) if a >= 0 else -_turned(-a, 0)


def _cos(a: float) -> float:
    return _turned(abs(a), 1)


def _tan(a: float) -> Value:
    cos = _cos(a)
    return _sin(a) / cos if cos else ZERO


def _arc(way: Callable[[float], float], at_half: float, at_minus_half: float) -> Callable[[float], Value]:
    exact = {0.5: at_half, -0.5: at_minus_half}

    def do(a: float) -> Value:
        if abs(a) > 1 + NEAR:
            return ANGLE
        return exact[a] if a in exact else way(min(max(a, -1.0), 1.0)) / DEGREE

    return do


def whole_near(a: float) -> int | None:
    """Return the whole number that this is apart from rounding, or None if it is not one."""
    whole = rounded(a)
    return int(whole) if abs(a - whole) <= NEAR * max(1.0, abs(a)) else None


def _add_days(date: float, seconds: float) -> Value:
    days = whole_near(seconds / DAY)
    if days is None or date % 1:
        return WHOLE
    return float(date + days) if FIRST <= date <= LAST and FIRST <= date + days <= LAST else LARGE


def _add_months(date: float, months: float) -> Value:
    count = whole_near(months)
    if count is None or date % 1:
        return WHOLE
    day = to_date(int(date))
    later = add_months(day, count) if day else None
    return float(to_days(later)) if later else LARGE


_MANY = 500
RAISE = Op(2, 2, _raise)
OPERATORS: dict[str, Op] = {
    "+": Op(2, 2, _sum),
    "-": Op(2, 2, lambda a, b: _sum(a, -b)),
    "*": Op(2, 2, lambda a, b: a * b),
    "/": Op(2, 2, _divide),
    "%": Op(2, 2, _remainder),
    "neg": Op(1, 1, lambda a: -a),
    "unknown": Op(0, 0, lambda: UNSAID),
    "<": Op(2, 2, lambda a, b: a < b and not is_near(a, b)),
    "<=": Op(2, 2, lambda a, b: a <= b or is_near(a, b)),
    ">": Op(2, 2, lambda a, b: a > b and not is_near(a, b)),
    ">=": Op(2, 2, lambda a, b: a >= b or is_near(a, b)),
    "==": Op(2, 2, _same, float | bool),
    "!=": Op(2, 2, _different, float | bool),
    "not": Op(1, 1, lambda a: not a, bool),
    "min": Op(1, _MANY, lambda *given: min(given)),
    "max": Op(1, _MANY, lambda *given: max(given)),
    "abs": Op(1, 1, abs),
    "round": Op(1, 2, _to(rounded)),
    "floor": Op(1, 2, _to(math.floor)),
    "ceil": Op(1, 2, _to(math.ceil)),
    "sqrt": Op(1, 1, lambda a: math.sqrt(a) if a >= 0 else ROOT),
    "exp": Op(1, 1, math.exp),
    "log": Op(1, 1, _log),
    "gcd": Op(1, _MANY, _of_whole(math.gcd)),
    "lcm": Op(1, _MANY, _of_whole(math.lcm)),
    "sin": Op(1, 1, _sin),
    "cos": Op(1, 1, _cos),
    "tan": Op(1, 1, _tan),
    "asin": Op(1, 1, _arc(math.asin, 30.0, -30.0)),
    "acos": Op(1, 1, _arc(math.acos, 60.0, 120.0)),
    "atan": Op(1, 1, lambda a: math.atan(a) / DEGREE),
    "between": Op(2, 2, lambda a, b: (b - a) * DAY),
    "add-days": Op(2, 2, _add_days),
    "add-months": Op(2, 2, _add_months),
}
