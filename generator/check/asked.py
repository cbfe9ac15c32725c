"""Names in a shop's procedures: which steps there are, and which values are asked for under which name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from generator.check.checked import Loc
from generator.model import Include, Stage, Step, ValueNeed


def held(noun: Any, key: str) -> Iterator[tuple[int, Any]]:
    """Yield the whole members of a list in a noun that may have holes, each with its position."""
    for at, member in enumerate(getattr(noun, key, None) or ()):
        if member is not None:
            yield at, member


def stages_of(procedure: Any) -> Iterator[tuple[Loc, Stage]]:
    for at, part in held(procedure, "stages"):
        if isinstance(part, Stage):
            yield ("stages", at), part


def steps_of(procedure: Any) -> Iterator[tuple[Loc, Step]]:
    for loc, stage in stages_of(procedure):
        for at, step in held(stage, "steps"):
            yield (*loc, "steps", at), step


def includes_of(procedure: Any) -> Iterator[tuple[Loc, Include]]:
    for at, part in held(procedure, "stages"):
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


def asked_by(id: str, procedures: Mapping[str, Any], certain: bool = True) -> AskedValues:
    """Return what one procedure asks for with everything it includes, under the names its includes give."""
    return _asked(id, procedures, certain, ())


def asked_by_includes(id: str, procedures: Mapping[str, Any], certain: bool = True) -> AskedValues:
    """Return what the procedures that this one includes ask for."""
    out = AskedValues(certain=certain)
    for _, include in includes_of(procedures.get(id)):
        _add_include(include, procedures, certain, (id,), out)
    return out


def _asked(id: str, procedures: Mapping[str, Any], certain: bool, trail: tuple[str, ...]) -> AskedValues:
    procedure = procedures.get(id)
    out = AskedValues(certain=certain)
    if procedure is None:
        out.certain = False
        return out
    values = getattr(procedure, "values", None)
    out.certain = out.certain and values is not None and None not in (getattr(procedure, "stages", None) or [None])
    for name, need in (values or {}).items():
        out.add(name, [need])
    for _, include in includes_of(procedure):
        if include.include not in trail:
            _add_include(include, procedures, certain, (*trail, id), out)
    return out


def _add_include(
    include: Include, procedures: Mapping[str, Any], certain: bool, trail: tuple[str, ...], out: AskedValues
) -> None:
    inner = _asked(include.include, procedures, certain, trail)
    out.certain = out.certain and inner.certain
    for name, needs in inner.needs.items():
        out.add(include.with_.get(name, name), needs)
