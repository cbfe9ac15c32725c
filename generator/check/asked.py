"""Names in a shop's procedures: which steps there are, and which values are asked for under which name."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from generator.check.checked import Loc
from generator.check.partial import AnyProcedure, PartialProcedure, PartialStage, held
from generator.model import Include, Stage, Step, ValueNeed

Procedures = Mapping[str, PartialProcedure | None]
"""Procedures by id. None stands for one of which nothing can be seen."""


def _parts(procedure: AnyProcedure) -> Iterator[tuple[int, Stage | PartialStage | Include]]:
    parts: Iterable[Stage | PartialStage | Include | None] | None = procedure.stages
    return held(parts)


def stages_of(procedure: AnyProcedure) -> Iterator[tuple[Loc, Stage | PartialStage]]:
    for at, part in _parts(procedure):
        if not isinstance(part, Include):
            yield ("stages", at), part


def steps_of(procedure: AnyProcedure) -> Iterator[tuple[Loc, Step]]:
    for loc, stage in stages_of(procedure):
        for at, step in held(stage.steps):
            yield (*loc, "steps", at), step


def includes_of(procedure: AnyProcedure) -> Iterator[tuple[Loc, Include]]:
    for at, part in _parts(procedure):
        if isinstance(part, Include):
            yield ("stages", at), part


@dataclass
class AskedValues:
    """Values asked for: name -> its declaration, or None if that could not be read. `certain` is false when a
    procedure could not be read, so that there may be more names than these."""

    needs: dict[str, list[ValueNeed | None]] = field(default_factory=dict)
    certain: bool = True

    def add(self, name: str, needs: list[ValueNeed | None]) -> None:
        self.needs.setdefault(name, []).extend(needs)

    def kinds(self, name: str) -> tuple[str, ...]:
        """Return the kinds a value is asked for as; none where a declaration could not be read, or there is none."""
        needs = self.needs.get(name, [])
        return () if None in needs else tuple(dict.fromkeys(need.kind for need in needs if need))


def asked_by(id: str, procedures: Procedures, certain: bool = True) -> AskedValues:
    """Return what one procedure asks for with everything it includes, under the names its includes give."""
    return _asked(id, procedures, certain, ())


def asked_by_includes(id: str, procedures: Procedures, certain: bool = True) -> AskedValues:
    """Return what the procedures that this one includes ask for."""
    out = AskedValues(certain=certain)
    procedure = procedures.get(id)
    for _, include in includes_of(procedure) if procedure else ():
        _add_include(include, procedures, certain, (id,), out)
    return out


def _asked(id: str, procedures: Procedures, certain: bool, trail: tuple[str, ...]) -> AskedValues:
    procedure = procedures.get(id)
    out = AskedValues(certain=certain)
    if procedure is None:
        out.certain = False
        return out
    all_seen = procedure.values is not None and procedure.stages is not None and None not in procedure.stages
    out.certain = out.certain and all_seen
    for name, need in (procedure.values or {}).items():
        out.add(name, [need])
    for _, include in includes_of(procedure):
        if include.include not in trail:
            _add_include(include, procedures, certain, (*trail, id), out)
    return out


def _add_include(
    include: Include, procedures: Procedures, certain: bool, trail: tuple[str, ...], out: AskedValues
) -> None:
    inner = _asked(include.include, procedures, certain, trail)
    out.certain = out.certain and inner.certain
    for name, needs in inner.needs.items():
        out.add(include.known_as.get(name, name), needs)
