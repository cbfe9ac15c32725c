"""Includes that cannot be followed for any engine: unknown names, loops, the same alias twice."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from generator.check import Checked, Library
from generator.check.asked import asked_by, own_names, uses_of
from generator.check.inner_names import names_inside, rows_by_name
from generator.compile.compose import nouns_of
from generator.faults import Fault
from generator.faults import job as faults
from generator.model import Include, Procedure
from generator.place import Place


def check_includes(library: Library) -> Iterator[Fault]:
    known, nouns = tuple(sorted(library.procedures)), nouns_of(library)
    rows = rows_by_name(library.failure_modes.noun.failure_modes) if library.failure_modes else {}
    for name in known:
        procedure = library.procedures[name]
        aliases: dict[str, Place] = {}
        for index, include in includes_of(procedure):
            place = procedure.place("stages", index, "each" if include.each else "as")
            for use in uses_of(include, nouns):
                if use.alias in aliases:
                    yield faults.AliasTwice(place, use.alias, aliases[use.alias].line)
                aliases.setdefault(use.alias, place)
            yield from _each(include, procedure, index, nouns)
            if include.known_as and include.include in nouns:
                inside = names_inside(include.include, nouns, rows)
                for inner in include.known_as.keys() - inside if _all_known(include.include, library) else ():
                    place = procedure.key_place("stages", index, "known_as", inner)
                    yield faults.UnknownInnerName(place, inner, include.include, tuple(sorted(inside)))
            if include.include not in library.procedures and include.include not in library.broken:
                yield faults.UnknownInclude(procedure.place("stages", index, "include"), include.include, known)
        yield from _loops(library, (name,))


def _all_known(name: str, library: Library) -> bool:
    """True if the procedure and all that it includes could be read, so that every name of it is known."""
    queue, seen = [name], set[str]()
    while queue:
        one = queue.pop()
        if one not in library.procedures:
            return False
        if one not in seen:
            seen.add(one)
            queue += [part.include for _, part in includes_of(library.procedures[one])]
    return "failure_modes" not in library.broken


def _each(
    include: Include, procedure: Checked[Procedure], index: int, nouns: Mapping[str, Procedure]
) -> Iterator[Fault]:
    """Yield what is wrong with an include that is there once for each corner, cylinder or circuit."""
    loc = ("stages", index)
    if include.each is None:
        if include.shared:
            yield faults.EachWithout(procedure.key_place(*loc, "shared"), include.include)
        return
    if len(include.each) < 2:
        yield faults.EachOfFew(procedure.key_place(*loc, "each"), include.include, len(include.each))
    said: dict[str, str] = {}
    for name, label in include.each.items():
        first = said.setdefault(" ".join(label.lower().split()), name)
        if first != name:
            yield faults.EachLabelTwice(procedure.place(*loc, "each", name), label, first, name)
    if include.label:
        yield faults.EachHasLabels(procedure.key_place(*loc, "label"), include.include)
    names = own_names(include.include, nouns)
    values = asked_by(include.include, nouns).needs
    own = names.all() - set(include.shared)
    for name in include.known_as:
        if name in own and (name in names.figures or name not in values):
            yield faults.EachRenames(procedure.key_place(*loc, "known_as", name), name, next(iter(include.each), ""))
    for at, name in enumerate(include.shared):
        if name not in names.all() and include.include in nouns:
            known = tuple(sorted(names.all()))
            yield faults.UnknownShared(procedure.place(*loc, "shared", at), name, include.include, known)


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
