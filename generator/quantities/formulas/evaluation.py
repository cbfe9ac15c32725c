"""A compiled formula and what is known so far -> a number, a truth or *unknown*: as phone/quantities/formula.js.

All numbers are doubles in base units. Nothing here raises: a tree of a strange shape is unknown because "broken".
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any, TypeGuard

from generator.canonical import in_order
from generator.quantities.formulas.operators import BROKEN, LARGE, OPERATORS, OUTSIDE, RAISE, Op, Unknown, Value
from generator.quantities.nearness import NEAR

__all__ = ["NEAR", "NEEDLE", "Env", "Unknown", "Value", "evaluate", "united"]

Row = Sequence[float]
NEEDLE = ".needle"
"""After a reading's name in `Env.names`: half the smallest division of its gauge, in the unit it was read in."""


@dataclass(frozen=True)
class Env:
    """What a formula may look at, in base units; a name that is missing is not known yet."""

    names: Mapping[str, Value] = field(default_factory=dict)
    found: Mapping[str, str] = field(default_factory=dict)
    """Step path -> the outcome given."""
    tables: Mapping[str, Sequence[Row]] = field(default_factory=dict)
    """Table id -> rows [x, y], x rising."""


DEEPEST = 100
"""Levels that are walked; a compiled formula has 40 at most."""


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
    op = OPERATORS.get(node[0])
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


def _needle(parts: Parts, env: Env, depth: int) -> Value:
    """Half the smallest division of the gauge that a reading was taken on: not known before the reading is."""
    if len(parts) != 1 or not isinstance(parts[0], str):
        return BROKEN
    width = env.names.get(parts[0] + NEEDLE)
    return Unknown(needs=(parts[0],)) if width is None else _known(width)


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
    return _applied(RAISE, [_walk(parts[0], env, depth), exponent])


def _interp(parts: Parts, env: Env, depth: int) -> Value:
    rows = _rows(env.tables.get(parts[0])) if len(parts) == 2 and isinstance(parts[0], str) else None
    if rows is None:
        return BROKEN
    x = _walk(parts[1], env, depth)
    if isinstance(x, Unknown):
        return x
    return BROKEN if isinstance(x, bool) else _known(_read(rows, x))


def _rows(rows: Any) -> list[tuple[float, float]] | None:
    """The rows as doubles; None if they are no table: a row short, text, an x that does not rise."""
    if not isinstance(rows, list | tuple) or not rows or not all(map(_is_row, rows)):
        return None
    doubles = [(float(x), float(y)) for x, y in rows]
    return doubles if all(before[0] < after[0] for before, after in pairwise(doubles)) else None


def _is_row(row: Any) -> bool:
    return isinstance(row, list | tuple) and len(row) == 2 and all(_is_finite(number) for number in row)


def _is_finite(number: Any) -> bool:
    return _is_number(number) and not isinstance(_double(number), Unknown)


def _read(rows: list[tuple[float, float]], x: float) -> float | Unknown:
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
    "needle": _needle,
    "found": _found,
    "if": _if,
    "and": _any_of(False),
    "or": _any_of(True),
    "**": _power,
    "interp": _interp,
}
