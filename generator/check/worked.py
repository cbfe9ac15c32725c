"""What is found out about a procedure's results: formulas compiled, in an order in which each comes after its needs."""

from __future__ import annotations

from dataclasses import dataclass, field

from generator.model import Result
from generator.quantities.formulas import Compiled


@dataclass(frozen=True)
class Worked:
    """One result: what was written, its formula and those of its limits compiled, the unit it is shown in."""

    name: str
    result: Result
    label: str
    formula: Compiled
    unit: str
    limits: tuple[Compiled | None, ...]

    @property
    def names(self) -> frozenset[str]:
        """Every name that the formula and the limits use, this result's own left out."""
        parts = [self.formula, *(limit for limit in self.limits if limit)]
        return frozenset().union(*(part.names for part in parts)) - {self.name}


@dataclass
class Results:
    """What one procedure works out, in an order in which each comes after those it needs, and what it borrows."""

    own: dict[str, Worked] = field(default_factory=dict)
    borrowed: dict[str, str] = field(default_factory=dict)  # name -> procedure
    whole: bool = True
