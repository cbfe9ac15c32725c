"""A compiled formula and what is known so far -> a number, a truth or *unknown*: the same table as phone/formula.js.

All numbers are doubles in base units. Nothing here raises: a tree of a strange shape is unknown because "broken".
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, NamedTuple, TypeGuard

from generator.canonical import in_order
from generator.quantities.dates import FIRST, LAST, add_months, to_date, to_days


@dataclass(frozen=True)
class Unknown:
    """Not known yet: which names are needed, and what stands in the way; both sorted, each once."""

    needs: tuple[str, ...] = ()
    because: tuple[str, ...] = ()


Value = float | bool | Unknown
Row = Sequence[float]


@dataclass(frozen=True)
class Env:
    """What a formula may look at, in base units; a name that is missing is not known yet."""

    names: Mapping[str, Value] = field(default_factory=dict)
    found: Mapping[str, str] = field(default_factory=dict)
    """Step path -> the outcome given."""
    tables: Mapping[str, Sequence[Row]] = field(default_factory=dict)
    """Table id -> rows [x, y], x rising."""


BECAUSE = ("angle", "broken", "large", "log", "outside", "root", "whole", "zero")
"""Every reason why a number cannot be worked out."""
BROKEN, LARGE, OUTSIDE, WHOLE, ZERO = (
    Unknown(because=(code,)) for code in ("broken", "large", "outside", "whole", "zero")
)

DEEPEST = 100
"""Levels that are walked; a compiled formula has 40 at most."""
MOST_WHOLE = 2**53
"""Up to here a double tells every whole number from the next."""
NEAR = 1e-9
"""What is so near to a step, a half step or a table's end counts as on it: 0.3 L is three steps of 0.1 L."""
DAY = 86400
DEGREE = math.pi / 180


def evaluate(tree: Any, env: Env) -> Value:
    """What the formula gives.

    >>> evaluate(["-", ["name", "capacity"], ["name", "drained"]], Env({"capacity": 8.0}))
    Unknown(needs=('drained',), because=())
    """
    return _walk(tree, env, 0)


def _walk(node: Any, env: Env, depth: int) -> Value:
    if isinstance(node, bool):
        return node
    if isinstance(node, int | float):
        number = _double(node)
        return BROKEN if isinstance(number, Unknown) else number
    if depth >= DEEPEST or not isinstance(node, list | tuple) or not node or not isinstance(node[0], str):
        return BROKEN
    if node[0] in _FORMS:
        return _FORMS[node[0]](node[1:], env, depth + 1)
    op = _OPS.get(node[0])
    if not op or not op.least <= len(node) - 1 <= op.most:
        return BROKEN
    given = [_walk(part, env, depth + 1) for part in node[1:]]
    return _applied(op, given)


def _applied(op: Op, given: list[Value]) -> Value:
    checked = [value if isinstance(value, Unknown | op.takes) else BROKEN for value in given]
    unknown = [value for value in checked if isinstance(value, Unknown)]
    if unknown:
        return united(unknown)
    try:
        value: Value = op.do(*checked)
    except (OverflowError, ValueError):
        return LARGE
    return _known(value)


def _known(value: Value) -> Value:
    if isinstance(value, bool | Unknown):
        return value
    return _double(value) if _is_number(value) else BROKEN


def _is_number(value: Any) -> TypeGuard[int | float]:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _double(number: float) -> float | Unknown:
    """A double that is finite and never -0."""
    try:
        double = float(number)
    except OverflowError:
        return LARGE
    return double + 0.0 if math.isfinite(double) else LARGE


def united(unknown: Iterable[Unknown]) -> Unknown:
    """All that is needed, and every reason."""
    listed = list(unknown)
    needs = {name for one in listed for name in one.needs}
    return Unknown(tuple(in_order(needs)), tuple(sorted({code for one in listed for code in one.because})))


# -- forms that look at their parts themselves -------------------------------------------------------------------------

Parts = Sequence[Any]


def _name(parts: Parts, env: Env, depth: int) -> Value:
    if len(parts) != 1 or not isinstance(parts[0], str):
        return BROKEN
    value = env.names.get(parts[0])
    return Unknown(needs=(parts[0],)) if value is None else _known(value)


def _found(parts: Parts, env: Env, depth: int) -> Value:
    if len(parts) != 2 or not isinstance(parts[0], str) or not isinstance(parts[1], str):
        return BROKEN
    outcome = env.found.get(parts[0])
    return Unknown(needs=(f"step:{parts[0]}",)) if outcome is None else outcome == parts[1]


def _if(parts: Parts, env: Env, depth: int) -> Value:
    if len(parts) != 3:
        return BROKEN
    asked = _walk(parts[0], env, depth)
    if isinstance(asked, Unknown):
        return asked
    return _walk(parts[1 if asked else 2], env, depth) if isinstance(asked, bool) else BROKEN


def _any_of(decides: bool) -> Callable[[Parts, Env, int], Value]:
    """`and` is decided by one no, `or` by one yes, whatever else is not known."""

    def walk(parts: Parts, env: Env, depth: int) -> Value:
        values = [_walk(part, env, depth) for part in parts]
        if not values:
            return BROKEN
        if any(value is decides for value in values):
            return decides
        open_ones = [value for value in values if not isinstance(value, bool)]
        return united(one if isinstance(one, Unknown) else BROKEN for one in open_ones) if open_ones else not decides

    return walk


def _power(parts: Parts, env: Env, depth: int) -> Value:
    if len(parts) != 2 or not _is_number(parts[1]):
        return BROKEN
    exponent = _walk(parts[1], env, depth)
    return _applied(_RAISE, [_walk(parts[0], env, depth), exponent])


def _interp(parts: Parts, env: Env, depth: int) -> Value:
    rows = env.tables.get(parts[0]) if len(parts) == 2 and isinstance(parts[0], str) else None
    if rows is None or not _is_table(rows):
        return BROKEN
    x = _walk(parts[1], env, depth)
    if isinstance(x, Unknown):
        return x
    return BROKEN if isinstance(x, bool) else _known(_read(rows, x))


def _is_table(rows: Any) -> bool:
    def is_row(row: Any) -> bool:
        return isinstance(row, list | tuple) and len(row) == 2 and all(_is_finite(number) for number in row)

    if not isinstance(rows, list | tuple) or not rows or not all(map(is_row, rows)):
        return False
    return all(before[0] < after[0] for before, after in pairwise(rows))


def _is_finite(number: Any) -> bool:
    return _is_number(number) and not isinstance(_double(number), Unknown)


def _read(rows: Sequence[Row], x: float) -> float | Unknown:
    """Between the two rows around x; a straight line, never beyond the ends."""
    low, high = rows[0][0], rows[-1][0]
    slack = NEAR * (high - low)
    if x < low - slack or x > high + slack:
        return OUTSIDE
    x = min(max(x, low), high)
    after = next(number for number, row in enumerate(rows) if x <= row[0])
    right, y = rows[after]
    if x == right:
        return y
    left, before = rows[after - 1]
    return before + (y - before) * ((x - left) / (right - left))


_FORMS: dict[str, Callable[[Parts, Env, int], Value]] = {
    "name": _name,
    "found": _found,
    "if": _if,
    "and": _any_of(False),
    "or": _any_of(True),
    "**": _power,
    "interp": _interp,
}


# -- operators: their parts are known numbers (or truths) --------------------------------------------------------------


def _divide(a: float, b: float) -> Value:
    return a / b if b else ZERO


def _remainder(a: float, b: float) -> Value:
    return a % b if b else ZERO


def _raise(base: float, exponent: float) -> Value:
    if base < 0:
        return Unknown(because=("root",))
    return ZERO if base == 0 and exponent < 0 else math.pow(base, exponent)


def _log(a: float) -> Value:
    return math.log(a) if a > 0 else Unknown(because=("log",))


def _same(a: float | bool, b: float | bool) -> bool | Unknown:
    return a == b if isinstance(a, bool) == isinstance(b, bool) else BROKEN


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
    """How many steps; on a step or a half step exactly, if very near to it."""
    steps = a / step
    if abs(steps) > MOST_WHOLE:
        return steps
    halves = rounded(2 * steps) / 2
    return halves if abs(steps - halves) <= NEAR else steps


def _to(way: Callable[[float], float]) -> Callable[..., Value]:
    def do(a: float, step: float | None = None) -> Value:
        if step is None:
            return float(way(a))
        return way(steps_in(a, step)) * step if step > 0 else ZERO

    return do


def _of_whole(way: Callable[..., int]) -> Callable[..., Value]:
    def do(*numbers: float) -> Value:
        if any(number % 1 or abs(number) > MOST_WHOLE for number in numbers):
            return WHOLE
        result = way(*map(int, numbers))
        return float(result) if result <= MOST_WHOLE else WHOLE

    return do


def _quarter(part: float) -> float:
    """Sine of 0 to 90 degrees, exact where it can be."""
    if part in (0.0, 30.0, 90.0):
        return {0.0: 0.0, 30.0: 0.5, 90.0: 1.0}[part]
    return math.sin(part * DEGREE) if part <= 45 else math.cos((90 - part) * DEGREE)


def _turned(angle: float, quarters: int) -> float:
    """Sine of an angle of 0 or more, and so many quarter turns further."""
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
        if abs(a) > 1:
            return Unknown(because=("angle",))
        return exact[a] if a in exact else way(a) / DEGREE

    return do


def whole_near(a: float) -> int | None:
    """The whole number that this is but for rounding, None when it is not."""
    whole = rounded(a)
    return int(whole) if abs(a - whole) <= NEAR else None


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


class Op(NamedTuple):
    least: int
    most: int
    do: Callable[..., Value]
    takes: Any = float
    """What it takes; a truth is no number."""


_MANY = 500
_RAISE = Op(2, 2, _raise)
_OPS: dict[str, Op] = {
    "+": Op(2, 2, lambda a, b: a + b),
    "-": Op(2, 2, lambda a, b: a - b),
    "*": Op(2, 2, lambda a, b: a * b),
    "/": Op(2, 2, _divide),
    "%": Op(2, 2, _remainder),
    "neg": Op(1, 1, lambda a: -a),
    "<": Op(2, 2, lambda a, b: a < b),
    "<=": Op(2, 2, lambda a, b: a <= b),
    ">": Op(2, 2, lambda a, b: a > b),
    ">=": Op(2, 2, lambda a, b: a >= b),
    "==": Op(2, 2, _same, float | bool),
    "!=": Op(2, 2, _different, float | bool),
    "not": Op(1, 1, lambda a: not a, bool),
    "min": Op(1, _MANY, lambda *given: min(given)),
    "max": Op(1, _MANY, lambda *given: max(given)),
    "abs": Op(1, 1, abs),
    "round": Op(1, 2, _to(rounded)),
    "floor": Op(1, 2, _to(math.floor)),
    "ceil": Op(1, 2, _to(math.ceil)),
    "sqrt": Op(1, 1, lambda a: math.sqrt(a) if a >= 0 else Unknown(because=("root",))),
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
