"""The arithmetic of a procedure by itself: every input its results can need, for the calculators page and the desk."""

from __future__ import annotations

from collections.abc import Iterable

from generator.canonical import Json
from generator.check import Checked, Library
from generator.check.asked import steps_of
from generator.compile.compose import ProcedureUse, compose
from generator.compile.figure_data import (
    givens_json,
    library_divisions,
    reading_json,
    result_json,
    tables_json,
    units_json,
    with_limits_beside,
)
from generator.compile.job_results import JobReading, JobResult, job_result
from generator.compile.job_values import JobValues, margin_of, number_of, sheet_value, stricter, units_of
from generator.model import Engine, Inspect, Procedure, ValueNeed
from generator.quantities.units import from_base

__all__ = ["calculators", "group_of"]

NO_ENGINE = Engine(engine="no-engine", title="No engine", revision=1, facts={}, values={})


def calculators(library: Library) -> Json:
    """Return the calculators page's data: a group for each procedure with a `calculator` title, values of each
    engine."""
    names = [name for name in sorted(library.procedures) if library.procedures[name].noun.calculator]
    groups = [group_of(library, library.procedures[name]) for name in names]
    groups = [group for group in groups if group["results"]]
    return {
        "v": 1,
        "groups": groups,
        "noun": _noun(library),
        "engines": [_engine(library.engines[name], groups) for name in sorted(library.engines)],
        "shop": _shop(library),
    }


def group_of(library: Library, procedure: Checked[Procedure], engine: Checked[Engine] | None = None) -> Json:
    """Return one procedure with all that it includes and borrows: {id, title, procedure, readings, findings, values,
    results, tables, units, givens}, as in a worksheet. Without an engine, all values and findings are asked for."""
    of = engine or Checked(NO_ENGINE, procedure.node, procedure.file)
    composed = compose(library, procedure, of)
    scopes = [scope for scope, present in composed.scopes if present or engine is None]
    results: dict[str, JobResult] = {}
    for scope in scopes:
        for found in _results(scope, library):
            results.setdefault(found.name, found)
    wanted = {name for result in results.values() for name in (*result.inputs, result.set_on) if name}
    readings = {name: read for scope in scopes for name, read in _readings(scope, library).items() if name in wanted}
    values = _values(scopes, library, of, wanted)
    shown = with_limits_beside([result_json(result) for result in _sorted(results)])
    givens = givens_json(library.shop.noun if library.shop else None)
    divisions = library_divisions(library)
    boxes = {name: reading_json(read, divisions) for name, read in sorted(readings.items())}
    return {
        "id": procedure.noun.procedure,
        "title": procedure.noun.calculator or procedure.noun.title,
        "procedure": procedure.noun.title,
        "readings": boxes,
        "findings": _findings(scopes, library, wanted),
        "values": values,
        "results": shown,
        "tables": tables_json((table for result in shown for table in result["tables"]), library.tables),
        "givens": givens,
        "units": units_json(boxes.values(), shown, values.values(), givens.values()),
    }


def _lent(scope: ProcedureUse, library: Library) -> list[ProcedureUse]:
    """Return the procedures that one borrows results from, under the names it has for them."""
    borrowed = library.results[scope.procedure.noun.procedure].borrowed
    procedures = [library.procedures[name] for name in dict.fromkeys(borrowed.values())]
    return [ProcedureUse(scope.prefix, procedure, scope.uses) for procedure in procedures]


def _results(scope: ProcedureUse, library: Library) -> Iterable[JobResult]:
    done = library.results[scope.procedure.noun.procedure]
    for lender in _lent(scope, library):
        wanted = [n for n, of in done.borrowed.items() if of == lender.procedure.noun.procedure]
        own = library.results[lender.procedure.noun.procedure].own
        needed = _needed(wanted, own)
        yield from (job_result(worked, lender) for name, worked in own.items() if name in needed)
    yield from (job_result(worked, scope) for worked in done.own.values())


def _needed(names: list[str], own: Json) -> set[str]:
    queue, out = list(names), set()
    while queue:
        name = queue.pop()
        if name in own and name not in out:
            out.add(name)
            queue += own[name].names
    return out


def _sorted(results: dict[str, JobResult]) -> list[JobResult]:
    order: dict[str, JobResult] = {}

    def visit(name: str) -> None:
        if name in results and name not in order:
            for other in results[name].inputs:
                visit(other)
            order[name] = results[name]

    for name in results:
        visit(name)
    return list(order.values())


def _readings(scope: ProcedureUse, library: Library) -> dict[str, JobReading]:
    return {
        part.name(inner): JobReading(reading, part.label(inner, reading.label))
        for part in (*_lent(scope, library), scope)
        for inner, reading in part.procedure.noun.readings.items()
    }


def _values(scopes: list[ProcedureUse], library: Library, engine: Checked[Engine], wanted: set[str]) -> Json:
    values = JobValues(given=engine.noun.values)
    for scope in scopes:
        for part in (*_lent(scope, library), scope):
            for inner, need in part.procedure.noun.values.items():
                name, told = part.name(inner), need.model_copy(update={"label": part.label(inner, need.label)})
                values.needs[name] = stricter(values.needs.get(name, told), told)
    used = {name.partition(".")[0] for name in wanted}
    keys = ("label", "kind", "units", "number", "margin", "source", "missing")
    sheets: dict[str, Json] = {name: {**sheet_value(name, values)} for name in sorted(values.needs) if name in used}
    return {
        name: {**{key: sheet[key] for key in keys}, **_expected(values.needs[name])} for name, sheet in sheets.items()
    }


def _expected(need: ValueNeed) -> Json:
    """Return what is expected of a value as a reading has it: {unit, from, to}; nothing where nobody says it."""
    if need.from_ is None and need.to is None:
        return {}
    unit = units_of(need.kind)[0]
    ends = (None if end is None else from_base(end.base, unit) for end in (need.from_, need.to))
    return {"unit": unit, **dict(zip(("from", "to"), ends, strict=True))}


def _findings(scopes: list[ProcedureUse], library: Library, wanted: set[str]) -> list[Json]:
    """Return the inspections that results ask about, by the name that the formula uses."""
    asked = {name.removeprefix("step:") for name in wanted if name.startswith("step:")}
    found: dict[str, Json] = {}
    sources = [library.procedures[name] for name in library.procedures]
    for source in (*(scope.procedure for scope in scopes), *sources):
        for _, step in steps_of(source.noun):
            if not isinstance(step.check, Inspect):
                continue
            for name in asked & {step.id, step.landmark or step.id} - set(found):
                outcomes = [{"name": outcome, "label": label} for outcome, label in step.check.inspect.items()]
                found[name] = {"step": name, "label": _question(step.do), "outcomes": outcomes}
    return [found[name] for name in sorted(found)]


def _question(text: str) -> str:
    """Return the first sentence of what a step says, without its emphasis."""
    plain = text.replace("*", "").replace("`", "")
    return plain.split(". ")[0].rstrip(".") if len(plain) > 60 else plain


def _noun(library: Library) -> str:
    """Return what the sheets describe, in one word for all."""
    words = {library.sheet_words.get(name, "") for name in library.engines} - {""}
    return words.pop() if len(words) == 1 else "sheet"


def _engine(engine: Checked[Engine], groups: list[Json]) -> Json:
    kinds = {name: value["kind"] for group in groups for name, value in group["values"].items()}
    needs = {name: engine.noun.values[name] for name in sorted(kinds) if name in engine.noun.values}
    values: Json = {}
    for name, value in needs.items():
        number = number_of(value, kinds[name]) if value.missing is None else None
        if number is not None:
            source = value.source.on_sheet() if value.source else None
            values[name] = {"number": number, "margin": margin_of(value, number), "source": source}
    return {"id": engine.noun.engine, "title": engine.noun.title, "values": values}


def _shop(library: Library) -> Json:
    shop = library.shop.noun if library.shop else None
    zone = {"time_zone": shop.time_zone} if shop and shop.time_zone else {}
    return {
        "id": shop.shop if shop else "shop",
        "title": shop.title if shop else "",
        "units": dict(sorted(shop.units.items())) if shop else {},
        **zone,
    }
