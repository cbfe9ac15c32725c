"""The arithmetic of formulas once more, in exact fractions, for what is rational: written without looking at the
product's, by the rule of the guide alone.

Two figures count as equal if they differ by no more than a billionth of the larger one. A whole number, a step and a
half step that are as near count as reached. What is left of two figures that count as equal is nothing.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

NEAR = Fraction(1, 10**9)


class NotRational(Exception):
    """This formula, or what it needs, has no exact fraction."""


class NotKnown(Exception):
    """This formula needs what is not known, or has no result."""


def near(a: Fraction, b: Fraction) -> bool:
    return abs(a - b) <= NEAR * max(abs(a), abs(b))


def whole_or_itself(a: Fraction) -> Fraction:
    half = Fraction(math.floor(2 * a + Fraction(1, 2)), 2)
    return half if abs(a - half) <= NEAR * max(1, abs(a)) else a


def half_up(a: Fraction) -> int:
    """To the nearest whole number, a half away from nothing."""
    return math.floor(abs(a) + Fraction(1, 2)) * (1 if a >= 0 else -1)


_WAYS: dict[str, Callable[[Fraction], int]] = {"floor": math.floor, "ceil": math.ceil, "round": half_up}
Value = Fraction | bool


@dataclass(frozen=True)
class Ground:
    """What a formula may look at, in base units."""

    names: Mapping[str, Value]
    found: Mapping[str, str]
    tables: Mapping[str, Sequence[Any]]


def evaluate(tree: Any, ground: Ground) -> Value:
    """Return the value of a compiled formula. Raises NotRational or NotKnown."""
    if isinstance(tree, bool):
        return tree
    if isinstance(tree, int | float):
        return _written(tree)
    op, *parts = tree
    match op:
        case "name":
            return _known(ground.names, parts[0])
        case "needle":
            return _known(ground.names, parts[0] + ".needle")
        case "found":
            return _known(ground.found, parts[0]) == parts[1]
        case "interp":
            return _read(ground.tables[parts[0]], _number(evaluate(parts[1], ground)))
        case "unknown":
            raise NotKnown
        case "if":
            return evaluate(parts[1] if evaluate(parts[0], ground) else parts[2], ground)
    values = [evaluate(part, ground) for part in parts]
    truths = {"and": all, "or": any, "not": lambda of: not of[0]}
    return truths[op](values) if op in truths else _apply(op, values)


def _known(told: Mapping[str, Any], name: str) -> Any:
    if name not in told:
        raise NotKnown
    return told[name]


def _number(value: Value) -> Fraction:
    if isinstance(value, bool):
        raise NotKnown
    return value


def _apply(op: str, values: list[Value]) -> Value:
    if op in ("==", "!="):
        same = values[0] == values[1] if isinstance(values[0], bool) else near(*map(_number, values))
        return same if op == "==" else not same
    numbers = [_number(value) for value in values]
    if op in ("min", "max"):
        return min(numbers) if op == "min" else max(numbers)
    if op in _WAYS:
        step = numbers[1] if len(numbers) == 2 else Fraction(1)
        return _WAYS[op](whole_or_itself(numbers[0] / step)) * step
    if len(numbers) == 1 and op in ("neg", "abs"):
        return -numbers[0] if op == "neg" else abs(numbers[0])
    if op not in _TWO:
        raise NotRational
    return _TWO[op](*numbers)


def _divided(a: Fraction, b: Fraction) -> Fraction:
    if not b:
        raise NotKnown
    return a / b


_TWO: dict[str, Callable[[Fraction, Fraction], Value]] = {
    "+": lambda a, b: Fraction(0) if near(a, -b) else a + b,
    "-": lambda a, b: Fraction(0) if near(a, b) else a - b,
    "*": lambda a, b: a * b,
    "/": _divided,
    "%": lambda a, b: a - b * math.floor(whole_or_itself(_divided(a, b))),
    "<": lambda a, b: a < b and not near(a, b),
    "<=": lambda a, b: a <= b or near(a, b),
    ">": lambda a, b: a > b and not near(a, b),
    ">=": lambda a, b: a >= b or near(a, b),
}


@functools.cache
def _written(number: float) -> Fraction:
    """The number as it is written: 0.1 is a tenth. A formula is worked out many times, and its numbers stay."""
    return Fraction(repr(number))


def _read(rows: Sequence[Any], x: Fraction) -> Fraction:
    exact = [(_written(a), _written(b)) for a, b in rows]
    slack = NEAR * (exact[-1][0] - exact[0][0])
    if x < exact[0][0] - slack or x > exact[-1][0] + slack:
        raise NotKnown
    x = min(max(x, exact[0][0]), exact[-1][0])
    at = next(number for number, row in enumerate(exact) if x <= row[0])
    if x == exact[at][0]:
        return exact[at][1]
    (left, low), (right, high) = exact[at - 1], exact[at]
    return low + (high - low) * (x - left) / (right - left)
