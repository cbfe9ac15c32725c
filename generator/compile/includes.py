"""Includes that cannot be followed for any engine: unknown names, loops, the same alias twice."""

from __future__ import annotations

from collections.abc import Iterator

from generator.check import Checked, Library
from generator.faults import Fault
from generator.faults import job as faults
from generator.model import Include, Procedure
from generator.place import Place


def check_includes(library: Library) -> Iterator[Fault]:
    known = tuple(sorted(library.procedures))
    for name in known:
        procedure = library.procedures[name]
        aliases: dict[str, Place] = {}
        for index, include in includes_of(procedure):
            place = procedure.place("stages", index, "as")
            if include.as_ in aliases:
                yield faults.AliasTwice(place, include.as_, aliases[include.as_].line)
            aliases.setdefault(include.as_, place)
            if include.include not in library.procedures and include.include not in library.broken:
                yield faults.UnknownInclude(procedure.place("stages", index, "include"), include.include, known)
        yield from _loops(library, (name,))


def includes_of(procedure: Checked[Procedure]) -> list[tuple[int, Include]]:
    return [(index, part) for index, part in enumerate(procedure.noun.stages) if isinstance(part, Include)]


def _loops(library: Library, trail: tuple[str, ...]) -> Iterator[Fault]:
    """Yield loops that come back to their start, each once, from its first name in the alphabet."""
    procedure = library.procedures[trail[-1]]
    for index, include in includes_of(procedure):
        name = include.include
        if name == trail[0] and name == min(trail):
            yield faults.IncludeLoop(procedure.place("stages", index, "include"), name, (*trail, name))
        elif name in library.procedures and name not in trail:
            yield from _loops(library, (*trail, name))
