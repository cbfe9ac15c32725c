"""How large a procedure is with everything it includes.

A few files that include each other ten times over would unfold into more steps than any machine can hold. So the
steps are counted before anything is unfolded, and never further than the limit.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from generator.check.asked import Procedures, includes_of, steps_of
from generator.check.checked import FileNodes
from generator.check.partial import AnyProcedure
from generator.faults import job as faults
from generator.model import Include

STEPS_LIMIT = 1000  # steps and includes of a composed job
DEEPEST = 20  # includes inside one another


@dataclass(frozen=True)
class Extent:
    """What a procedure has too much of, and the include (its number in the list of stages) that is one too many."""

    what: str  # "steps" or "deep"
    at: int | None


def too_long(procedures: Procedures) -> dict[str, Extent]:
    """Return the procedures that are too large, by id."""
    found = {id: _extent(id, seen, procedures) for id, seen in procedures.items() if seen is not None}
    return {id: extent for id, extent in found.items() if extent}


def first_to_tell(wrong: Mapping[str, Extent], procedures: Procedures) -> Iterator[str]:
    """Yield those of them that include none of the others, because the trouble started there. If all include each
    other, yield the first."""
    seen = {id: procedure for id, procedure in procedures.items() if procedure is not None and id in wrong}
    begun = [id for id in wrong if not any(part.include in wrong for _, part in includes_of(seen[id]))]
    yield from begun or sorted(wrong)[:1]


def fault_of(id: str, extent: Extent, source: FileNodes) -> faults.IncludesTooMuch:
    place = source.place("stages") if extent.at is None else source.place("stages", extent.at, "include")
    return faults.IncludesTooMuch(place, id, extent.what, STEPS_LIMIT if extent.what == "steps" else DEEPEST)


def _extent(id: str, procedure: AnyProcedure, procedures: Procedures) -> Extent | None:
    left = STEPS_LIMIT - sum(1 for _ in steps_of(procedure))
    for loc, include in includes_of(procedure):
        left -= 1
        counted = _count(include, procedures, (id,), left)
        if counted is None:
            return Extent("deep", int(loc[1]))
        left -= counted * times(include)
        if left < 0:
            return Extent("steps", int(loc[1]))
    alone = procedure.stands_alone is True  # a part of a job is counted where it is included
    return Extent("steps", None) if left < 0 and alone else None


def _count(include: Include, procedures: Procedures, trail: tuple[str, ...], left: int) -> int | None:
    """Count the steps and includes below an include, but not beyond `left`. None if they are nested too deep to
    count."""
    inner = procedures.get(include.include)
    if inner is None or include.include in trail:
        return 0
    if len(trail) > DEEPEST:
        return None
    count = sum(1 for _ in steps_of(inner))
    for _, part in includes_of(inner):
        if count >= left:
            return count + 1
        below = _count(part, procedures, (*trail, include.include), left - count - 1)
        if below is None:
            return None
        count += 1 + below * times(part)
    return count


def times(include: Include) -> int:
    return len(include.each or {}) or 1
