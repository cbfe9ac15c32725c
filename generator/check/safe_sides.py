"""The side on which a result gets worse, as its own limits say it: a figure is never rounded away from that side.

Where a bad limit is met by a higher figure, a figure that is shown lower promises too much: its safe side is up. A
figure that a person sets on a gauge is the other way round: a limit that calls a higher reading bad makes it a ceiling,
and it is told lower.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import pairwise

from generator.check.compiled_results import CompiledResult
from generator.quantities.formulas.evaluation import Env, evaluate
from generator.worksheet import Tree

UP, DOWN, BOTH = 1, -1, 0
Ways = Mapping[str, int]
"""Name -> whether a figure rises (UP) or falls (DOWN) with it; BOTH where that cannot be said."""
Rising = Callable[[str], int]


def safe_sides(results: Iterable[CompiledResult], rising: Rising) -> dict[str, str]:
    """Return the side that is safe for each result whose limits say one: `up` or `down`.

    Its own limits say it first. Where it has no bad ones, those of the procedure's other results do, and the sides of
    the results that are worked out from it. `results`: each after those it needs. `rising`: table -> UP, DOWN or BOTH.
    """
    listed = [result for result in results if result.formula.kind.sort not in ("truth", "date")]
    sides: dict[str, int] = {}
    for result in reversed(listed):
        own = [*_by_own_limits(result, rising)]
        if own or result.result.set_on is not None:
            found = own
        else:
            found = [
                way for other in listed if other is not result for way in _by_another(result.name, other, sides, rising)
            ]
        if len(set(found)) == 1 and found[0] != BOTH:
            sides[result.name] = found[0]
    return {name: "up" if way == UP else "down" for name, way in sides.items()}


def _by_own_limits(result: CompiledResult, rising: Rising) -> Iterator[int]:
    """Yield which way the figure is safe by each bad limit that names it, or the reading that it is set on."""
    on = result.result.set_on
    for tree in _bad(result):
        limit = ways(tree, rising)
        if on is not None and on in limit:
            yield -limit[on]
        elif on is None and result.name in limit:
            yield limit[result.name]


def _by_another(name: str, other: CompiledResult, sides: Mapping[str, int], rising: Rising) -> Iterator[int]:
    yield from (limit[name] for tree in _bad(other) if name in (limit := ways(tree, rising)))
    formula = ways(other.formula.tree, rising)
    if name in formula and other.name in sides and other.result.set_on is None:
        yield formula[name] * sides[other.name]


def _bad(result: CompiledResult) -> list[Tree]:
    limits = zip(result.result.limits, result.limits, strict=True)
    return [compiled.tree for limit, compiled in limits if limit.bad and compiled is not None]


def ways(tree: Tree, rising: Rising) -> Ways:
    """Return how a tree changes with each name in it. A comparison rises from no to yes.

    >>> ways([">=", ["name", "hose"], ["name", "most"]], lambda table: 0)
    {'hose': 1, 'most': -1}
    """
    if not isinstance(tree, list | tuple):
        return {}
    op, parts = tree[0], list(tree[1:])
    if op == "name":
        return {parts[0]: UP}
    if op in ("needle", "found"):
        return {}
    if op == "interp":
        return _turned(ways(parts[1], rising), rising(parts[0]))
    if op in ("round", "floor", "ceil"):
        return ways(parts[0], rising)
    of = [ways(part, rising) for part in parts]
    if op in ("+", "min", "max", "and", "or", "sqrt", "exp", "log"):
        return _united(of)
    if op in ("neg", "not"):
        return _turned(of[0], DOWN)
    if op in ("-", ">", ">="):
        return _united([of[0], _turned(of[1], DOWN)])
    if op in ("<", "<="):
        return _united([_turned(of[0], DOWN), of[1]])
    if op in ("*", "/"):
        return _product(op, parts, of)
    if op == "if":
        return _united([_turned(of[0], BOTH), *of[1:]])
    return _turned(_united(of), BOTH)


def _product(op: str, parts: list[Tree], of: list[Ways]) -> Ways:
    """Return how a product with a plain number changes. Of two figures the sign is seldom known.

    >>> _product("/", [["name", "air"], ["max", ["name", "share"], 0.1]], [{"air": 1}, {"share": 1}])
    {'air': 1, 'share': 0}
    """
    for at in (0, 1):
        number = evaluate(parts[1 - at], Env()) if not of[1 - at] else None
        if isinstance(number, int | float) and not isinstance(number, bool) and (op == "*" or at == 0):
            return _turned(of[at], UP if number > 0 else DOWN if number < 0 else BOTH)
    for at in (0, 1):
        if (op == "*" or at == 0) and _above_zero(parts[1 - at]):
            return _united([of[at], _turned(of[1 - at], BOTH)])
    return _turned(_united(of), BOTH)


def _above_zero(tree: Tree) -> bool:
    """Return whether a figure is above zero whatever is typed: the greatest of several, of which one is a number.

    >>> _above_zero(["max", ["name", "share"], 0.1]), _above_zero(["max", ["name", "share"], 0])
    (True, False)
    """
    if not isinstance(tree, list | tuple) or tree[0] != "max":
        return False
    floors = [part for part in tree[1:] if isinstance(part, int | float) and not isinstance(part, bool)]
    return any(floor > 0 for floor in floors)


def _turned(of: Ways, way: int) -> Ways:
    return {name: own * way for name, own in of.items()}


def _united(several: Iterable[Ways]) -> Ways:
    out: dict[str, int] = {}
    for one in several:
        for name, way in one.items():
            out[name] = way if out.get(name, way) == way else BOTH
    return out


def direction(rows: Iterable[tuple[float, float]]) -> int:
    """Return whether y rises with x over a whole table, falls, or does both. Rows may go either way.

    >>> direction([(0, 101.3), (500, 95.5)]), direction([(0, 1), (1, 2), (2, 1)])
    (-1, 0)
    """
    steps = {(later > before) - (later < before) for (_, before), (_, later) in pairwise(sorted(rows))}
    return steps.pop() if len(steps) == 1 else BOTH
