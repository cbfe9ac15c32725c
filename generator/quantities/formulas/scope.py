"""What a formula may name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from generator.quantities.units import Kind


@dataclass(frozen=True)
class TableKind:
    """What a published table is read with and what it gives, and the range of x in base units. `unit` is that of x, for
    messages; without one the default of the kind is taken."""

    x: Kind
    y: Kind
    low: float
    high: float
    title: str
    unit: str | None = None


@dataclass(frozen=True)
class FormulaScope:
    """The names that a formula may use.

    `names`: values, readings, results and givens with what they measure. `words_only`: name -> what it is instead of a
    number ("a fluid"). `ranges`: limits of readings in base units, None = open. `tolerances`: the values that may have
    one. `gauges`: reading -> the units in which nobody says the smallest division of its gauge. `steps`: step id or
    landmark -> the outcomes of its inspection.
    """

    names: Mapping[str, Kind] = field(default_factory=dict)
    words_only: Mapping[str, str] = field(default_factory=dict)
    tables: Mapping[str, TableKind] = field(default_factory=dict)
    ranges: Mapping[str, tuple[float | None, float | None]] = field(default_factory=dict)
    tolerances: frozenset[str] = frozenset()
    gauges: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    steps: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
