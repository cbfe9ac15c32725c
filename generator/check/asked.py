"""Names in a shop's procedures: which steps there are, and which values are asked for under which name."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from generator.check.checked import Loc
from generator.check.partial import AnyProcedure, PartialStage, held
from generator.model import Borrowed, CloseItem, Include, Result, Stage, Step, ValueNeed

BRACES = re.compile(r"\{([^{}]*)\}")
"""A name in a sentence: a value, a reading, a result."""

Procedures = Mapping[str, AnyProcedure | None]
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
    for use in uses_of(include, procedures):
        for name, needs in inner.needs.items():
            out.add(use.figure(name), needs)


# --- A part that is included once for each corner, cylinder or circuit ------------------------------------------------


@dataclass(frozen=True)
class Use:
    """One use of an included procedure. `figures` and `things`: what its names are called outside, with its label.
    Figures are values, readings, results, tools and parts; things are items and landmarks, which may have the name of a
    value. `common`: names that have another one outside in all uses of an `each`, without a label."""

    alias: str
    label: str
    figures: Mapping[str, str]
    things: Mapping[str, str]
    common: Mapping[str, str] = field(default_factory=dict)

    def figure(self, inner: str) -> str:
        return self.figures.get(inner, self.common.get(inner, inner))

    def thing(self, inner: str) -> str:
        return self.things.get(inner, self.common.get(inner, inner))


@dataclass(frozen=True)
class OwnNames:
    """The names that each use of a procedure has of its own, as they are called inside it. Every other value is one
    figure of the sheet, and tools, parts and consumables are those of the whole job."""

    figures: set[str]  # readings, results, and the values that a result fills
    things: set[str]  # items and landmarks

    def all(self) -> set[str]:
        return self.figures | self.things


def uses_of(include: Include, procedures: Procedures, trail: tuple[str, ...] = ()) -> list[Use]:
    """Return the uses that one include stands for: one, or one for each name under `each`, which calls its own things
    after it: the reading `fell` of `rear-left` is `fell_rear_left`."""
    if not include.each:
        return [Use(include.as_ or "", include.label or "", include.known_as, include.known_as)]
    own, shared = own_names(include.include, procedures, trail), set(include.shared)
    uses = []
    for name, label in include.each.items():
        suffix = name.replace("-", "_")
        figures = {inner: f"{inner}_{suffix}" for inner in own.figures - shared}
        things = {inner: f"{inner}_{suffix}" for inner in own.things - shared}
        alias = f"{include.as_}-{name}" if include.as_ else name
        uses.append(Use(alias, label, figures, things, include.known_as))
    return uses


def own_names(id: str, procedures: Procedures, trail: tuple[str, ...] = ()) -> OwnNames:
    procedure = procedures.get(id)
    if procedure is None or id in trail:
        return OwnNames(set(), set())
    results = {name: one for name, one in (procedure.results or {}).items() if not isinstance(one, Borrowed)}
    filled = {one.fills for one in results.values() if isinstance(one, Result) and one.fills}
    own = OwnNames({*(procedure.readings or {}), *results, *filled}, set(_things(procedure)))
    for _, include in includes_of(procedure):
        inner = own_names(include.include, procedures, (*trail, id))
        for use in uses_of(include, procedures, (*trail, id)):
            own.figures.update(map(use.figure, inner.figures))
            own.things.update(map(use.thing, inner.things))
    return own


def _things(procedure: AnyProcedure) -> Iterator[str]:
    for _, step in steps_of(procedure):
        yield from (item.what for item in step.opens)
        yield from (closing.what if isinstance(closing, CloseItem) else closing for closing in step.closes)
        if step.landmark:
            yield step.landmark.replace("-", "_")
