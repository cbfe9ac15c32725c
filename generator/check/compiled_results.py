"""What the check works out about a procedure's results: compiled formulas, each after those it needs."""

from __future__ import annotations

from dataclasses import dataclass, field

from generator.model import Result
from generator.quantities.formulas.compiler import CompiledFormula


@dataclass(frozen=True)
class CompiledResult:
    """One result: what was written, its compiled formula and limits, and the unit it is shown in."""

    name: str
    result: Result
    label: str
    formula: CompiledFormula
    unit: str
    limits: tuple[CompiledFormula | None, ...]

    @property
    def names(self) -> frozenset[str]:
        """Return every name that the formula and the limits use, without this result's own."""
        parts = [self.formula, *(limit for limit in self.limits if limit)]
        return frozenset().union(*(part.names for part in parts)) - {self.name}


@dataclass
class Results:
    """What one procedure works out, each result after those it needs, and what it borrows."""

    own: dict[str, CompiledResult] = field(default_factory=dict)
    borrowed: dict[str, str] = field(default_factory=dict)  # name -> procedure
    whole: bool = True
