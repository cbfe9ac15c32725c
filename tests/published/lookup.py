"""The library's own tables, read as a phone reads them: in base units, through the interpolation of formulas."""

from __future__ import annotations

from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import yaml

from generator.quantities.formulas.evaluation import Env, Unknown, evaluate
from generator.quantities.units import from_base, to_base

TABLES = Path(__file__).parent.parent.parent / "procedures" / "tables"


@cache
def table(name: str) -> dict[str, Any]:
    """Return a table as its file has it."""
    return yaml.safe_load((TABLES / f"{name}.yml").read_text(encoding="utf-8"))


def printed(name: str) -> list[tuple[float, float]]:
    """Return its rows, in its own units and order."""
    return [(float(x), float(y)) for x, y in table(name)["rows"]]


@cache
def based(name: str) -> list[list[float]]:
    """Return its rows as a worksheet carries them."""
    x, y = table(name)["x"]["unit"], table(name)["y"]["unit"]
    return sorted([to_base(at, x), to_base(given, y)] for at, given in printed(name))


def look_up(name: str, x: float) -> float | Unknown:
    """Return what the table gives at x, both in the units of the table; unknown outside its rows."""
    at = to_base(x, table(name)["x"]["unit"])
    given = evaluate(["interp", name, at], Env(tables={name: based(name)}))
    return given if isinstance(given, Unknown) else from_base(given, table(name)["y"]["unit"])


def read(name: str, x: float) -> float:
    """Return what the table gives at x, which must be inside its rows."""
    given = look_up(name, x)
    assert not isinstance(given, Unknown), f"{name} has nothing at {x}: {given}"
    return given


def between_rows(name: str, parts: int = 4) -> list[float]:
    """Return every row's x and evenly spread places between rows, where a straight line is off."""
    xs = sorted(x for x, _ in printed(name))
    steps = [low + (high - low) * at / parts for low, high in pairwise(xs) for at in range(parts)]
    return [*steps, xs[-1]]
