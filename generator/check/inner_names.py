"""Every name that an included procedure knows, so that a name which none of its parts has is not renamed in silence."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from generator.check.asked import Procedures, includes_of, steps_of, uses_of
from generator.check.partial import AnyProcedure
from generator.model import CloseItem, FailureMode, Sign, Step


def names_inside(id: str, procedures: Procedures, rows: Mapping[str, FailureMode]) -> set[str]:
    """Return the names that `known_as` can mean at an include of this procedure: of values, readings, results, tools,
    parts, items and landmarks, of all that it includes itself, and the landmarks that its steps or the failure modes
    they catch (`rows`, by name) refer to. Landmarks are written as names."""
    return _names(id, procedures, rows, ())


def _names(id: str, procedures: Procedures, rows: Mapping[str, FailureMode], trail: tuple[str, ...]) -> set[str]:
    procedure = procedures.get(id)
    if procedure is None or id in trail:
        return set()
    found = {*_declared(procedure)}
    for _, step in steps_of(procedure):
        found.update(_of_step(step))
        found.update(mark for row in step.catches if row in rows for mark in _marks_of(rows[row]))
    for _, include in includes_of(procedure):
        inner = _names(include.include, procedures, rows, (*trail, id))
        found.update(_as_name(step) for step in (include.when.found if include.when else ()))
        for use in uses_of(include, procedures):
            found.update(name(one) for one in inner for name in (use.figure, use.thing))
    return found


def _declared(procedure: AnyProcedure) -> Iterator[str]:
    needs = procedure.needs
    groups = (procedure.values, procedure.readings, procedure.results)
    for group in (*groups, *((needs.tools, needs.parts, needs.consumables) if needs else ())):
        yield from group or ()
    yield from (name for name in (*(procedure.takes_over or ()), *(procedure.leaves_open or ())) if name)


def _of_step(step: Step) -> Iterator[str]:
    yield from (item.what for item in step.opens)
    yield from (closing.what if isinstance(closing, CloseItem) else closing for closing in step.closes)
    failed = step.if_failed
    named = [step.landmark or "", *step.after, *(step.when.found if step.when else ())]
    named += [failed.back_to or "", *failed.disturbs] if failed else []
    named += step.check.of if isinstance(step.check, Sign) else []
    yield from map(_as_name, filter(None, named))


def _marks_of(row: FailureMode) -> Iterator[str]:
    for marks in (row.after, row.before):
        yield from map(_as_name, [marks] if isinstance(marks, str) else marks)


def _as_name(landmark: str) -> str:
    return landmark.replace("-", "_")


def rows_by_name(rows: Iterable[FailureMode]) -> dict[str, FailureMode]:
    return {row.row: row for row in rows}
