"""Numbers of a formula's text: as JSON writes them, and exponents as exact fractions."""

from __future__ import annotations

import ast
import math
from collections.abc import Callable, Mapping
from fractions import Fraction


def finite(value: object) -> float | None:
    """Return a number of the text as a double, or None if it is too large for one."""
    try:
        number = float(value) if isinstance(value, int | float) else math.inf
    except OverflowError:
        return None
    return plain(number) if math.isfinite(number) else None


def plain(number: float) -> float:
    """Return a whole number without its .0, as the phone's JSON writes it; never -0."""
    return int(number) if number == int(number) and abs(number) < 2**53 else number


def exponent_of(node: ast.expr) -> Fraction | None:
    """Return the fraction that an exponent of plain numbers makes."""
    if isinstance(node, ast.Constant) and not isinstance(node.value, str):
        number = finite(node.value)
        return None if number is None else Fraction(repr(number))
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.UAdd):
        inner = exponent_of(node.operand)
        return -inner if inner is not None and isinstance(node.op, ast.USub) else inner
    if isinstance(node, ast.BinOp):
        left, right, way = exponent_of(node.left), exponent_of(node.right), _FRACTIONS.get(type(node.op))
        if left is not None and right is not None and way and not (isinstance(node.op, ast.Div) and right == 0):
            return way(left, right)
    return None


_FRACTIONS: Mapping[type[ast.AST], Callable[[Fraction, Fraction], Fraction]] = {
    ast.Add: lambda a, b: a + b,
    ast.Sub: lambda a, b: a - b,
    ast.Mult: lambda a, b: a * b,
    ast.Div: lambda a, b: a / b,
}
