"""Between which ends a formula's value stays while names move between theirs. What is said is sure; `None` is not.

It lets a sweep leave out what cannot change. Ends are widened by more than the nearness that comparisons and sums
forgive, and a form that is not listed here is not sure.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from generator.quantities.nearness import NEAR
from generator.worksheet import Tree

Ends = tuple[float, float]
Enclosed = Ends | bool | None
Tables = Mapping[str, Sequence[Sequence[float]]]

SLACK = 4 * NEAR
"""Share of the greater end by which ends are widened."""


def enclosed(tree: Tree, names: Mapping[str, Enclosed], tables: Tables | None = None) -> Enclosed:
    """Return the ends between which a tree's number stays, or its truth; None where that is not sure. `tables`: id ->
    rows [x, y], x rising.

    >>> [round(end, 6) for end in enclosed(["abs", ["-", ["name", "x"], 5]], {"x": (3.0, 6.0)})]
    [-0.0, 2.0]
    >>> enclosed([">", ["name", "x"], 5], {"x": (6.0, 9.0)}), enclosed([">", ["name", "x"], 5], {"x": (4.0, 6.0)})
    (True, None)
    """
    if isinstance(tree, bool):
        return tree
    if isinstance(tree, int | float):
        return float(tree), float(tree)
    if not isinstance(tree, list | tuple) or not tree:
        return None
    if tree[0] == "name":
        return names.get(tree[1])
    if tree[0] == "interp" and len(tree) == 3:
        return _read((tables or {}).get(tree[1], ()), enclosed(tree[2], names, tables))
    form = _FORMS.get(tree[0])
    try:
        found = form([enclosed(part, names, tables) for part in tree[1:]]) if form else None
    except (ArithmeticError, TypeError, ValueError):
        return None  # too large, or a form with a part too many, which no worksheet can have
    return None if isinstance(found, tuple) and not all(map(math.isfinite, found)) else found


def _read(rows: Sequence[Sequence[float]], x: Enclosed) -> Enclosed:
    """Return the ends of what a table gives: between two rows it is a straight line, so they lie at a row or at an end
    of x."""
    if not isinstance(x, tuple) or not rows or x[0] < rows[0][0] or x[1] > rows[-1][0]:
        return None
    first = max(number for number, row in enumerate(rows) if row[0] <= x[0])
    last = min(number for number, row in enumerate(rows) if row[0] >= x[1])
    between = [row[1] for row in rows[first : last + 1]]
    if last - first != 1:
        return _wide(between)
    (left, low), (right, high) = rows[first], rows[last]
    return _wide([low + (high - low) * ((end - left) / (right - left)) for end in x], between)


def _wide(numbers: Sequence[float], beside: Sequence[float] = ()) -> Ends:
    low, high = min(numbers), max(numbers)
    slack = SLACK * max(abs(number) for number in (low, high, *beside))
    return low - slack, high + slack


def _numbers(do: Callable[..., Enclosed]) -> Callable[[list[Enclosed]], Enclosed]:
    def form(parts: list[Enclosed]) -> Enclosed:
        return do(*parts) if all(isinstance(part, tuple) for part in parts) else None

    return form


def _sum(a: Ends, b: Ends) -> Ends:
    # What is left of two figures that count as equal is nothing: by so much a sum may be off.
    return _wide((a[0] + b[0], a[1] + b[1]), (*a, *b))


def _product(a: Ends, b: Ends) -> Ends:
    return _wide([x * y for x in a for y in b])


def _quotient(a: Ends, b: Ends) -> Enclosed:
    return _wide([x / y for x in a for y in b]) if b[0] > 0 or b[1] < 0 else None


def _abs(a: Ends) -> Ends:
    return (0.0 if a[0] <= 0 <= a[1] else min(map(abs, a))), max(map(abs, a))


def _power(a: Ends, exponent: Ends) -> Enclosed:
    return _wide([end ** exponent[0] for end in a]) if a[0] > 0 and exponent[0] == exponent[1] else None


def _below(a: Ends, b: Ends) -> bool | None:
    slack = SLACK * max(map(abs, (*a, *b)))
    return True if a[1] < b[0] - slack else False if a[0] > b[1] + slack else None


def _apart(a: Ends, b: Ends) -> bool | None:
    return None if _below(a, b) is None else True


def _not(value: Enclosed) -> bool | None:
    return not value if isinstance(value, bool) else None


def _any_of(decides: bool) -> Callable[[list[Enclosed]], Enclosed]:
    def form(parts: list[Enclosed]) -> Enclosed:
        if any(part is decides for part in parts):
            return decides
        return not decides if parts and all(part is (not decides) for part in parts) else None

    return form


def _if(parts: list[Enclosed]) -> Enclosed:
    if len(parts) != 3:
        return None
    asked, then, otherwise = parts
    # What is not sure may also be unknown, and then neither branch counts.
    return (then if asked else otherwise) if isinstance(asked, bool) else None


_FORMS: dict[Any, Callable[[list[Enclosed]], Enclosed]] = {
    "+": _numbers(_sum),
    "-": _numbers(lambda a, b: _sum(a, (-b[1], -b[0]))),
    "*": _numbers(_product),
    "/": _numbers(_quotient),
    "**": _numbers(_power),
    "neg": _numbers(lambda a: (-a[1], -a[0])),
    "abs": _numbers(_abs),
    "min": _numbers(lambda *parts: (min(low for low, _ in parts), min(high for _, high in parts))),
    "max": _numbers(lambda *parts: (max(low for low, _ in parts), max(high for _, high in parts))),
    "<": _numbers(_below),
    "<=": _numbers(_below),
    ">": _numbers(lambda a, b: _below(b, a)),
    ">=": _numbers(lambda a, b: _below(b, a)),
    "==": _numbers(lambda a, b: _not(_apart(a, b))),
    "!=": _numbers(_apart),
    "not": lambda parts: _not(parts[0]) if len(parts) == 1 else None,
    "and": _any_of(False),
    "or": _any_of(True),
    "if": _if,
}
