"""The readings and results of a composed job: what each step shows, and whether it can be known by then."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any

from generator.check import Checked, Library
from generator.check.compiled_results import CompiledResult
from generator.check.result_formulas import readings_of, shows_of
from generator.compile.compose import Composed, Placed, ProcedureUse
from generator.compile.job_values import JobValues
from generator.compile.refs import References, find
from generator.faults import Fault
from generator.faults import result as faults
from generator.model import Engine, Limit, Reading
from generator.quantities.formulas.compiler import renamed, renamed_words
from generator.quantities.units import UNITS
from generator.richtext import names_in
from generator.worksheet import Tree


@dataclass(frozen=True)
class JobReading:
    """One reading under its name in the job."""

    reading: Reading
    label: str


@dataclass(frozen=True)
class JobResult:
    """One result under its name in the job. Its trees use the job's names and paths."""

    name: str
    worked: CompiledResult
    scope: ProcedureUse
    tree: Tree
    limits: tuple[Tree | None, ...]
    inputs: tuple[str, ...]
    words: list[Any]

    @property
    def label(self) -> str:
        return self.scope.label(self.worked.name, self.worked.label)

    @property
    def set_on(self) -> str | None:
        """The reading whose gauge it is set on, by its name in the job."""
        on = self.worked.result.set_on
        return self.scope.name(on) if on else None

    def says(self, limit: Limit) -> Iterator[str]:
        yield from (self.scope.name(name) for text in (limit.say, limit.do) for name in names_in(text or ""))


@dataclass
class Workings:
    """`results`: each comes after those it needs. `shows`: path -> results that the step shows."""

    readings: dict[str, JobReading] = field(default_factory=dict)
    results: dict[str, JobResult] = field(default_factory=dict)
    shows: dict[str, list[str]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def below(self, names: Iterable[str]) -> list[str]:
        """Return these results and all that they need, in the order of `results`."""
        wanted, queue = set(), [name for name in names if name in self.results]
        while queue:
            name = queue.pop()
            if name not in wanted:
                wanted.add(name)
                result = self.results[name]
                said = (n for limit in result.worked.result.limits for n in result.says(limit))
                queue += [other for other in (*result.inputs, *said) if other in self.results]
        return [name for name in self.results if name in wanted]

    def inputs_of(self, names: Iterable[str]) -> list[str]:
        """Return what these results are worked out from, results excepted: readings, values, givens, `step:<path>`."""
        found = {name for result in self.below(names) for name in self.results[result].inputs}
        return sorted(found - set(self.results))


def work(composed: Composed, refs: References, values: JobValues, library: Library) -> Workings:
    """Match the names of all procedures in the job."""
    out = Workings()
    scopes = [scope for scope, present in composed.scopes if present]
    for scope in scopes:
        _readings(scope, values, out)
    found: dict[str, JobResult] = {}
    steps = _Steps(refs, {placed.path: placed for placed in composed.steps})
    for scope in scopes:
        _results(scope, library, steps, found, out, values, composed)
    out.results = _in_order_of_need(found)
    for scope in scopes:
        _borrowed(scope, library, scopes, composed, out)
    for placed in refs.steps:
        names = [placed.scope.name(name) for name in shows_of(placed.step)]
        out.shows[placed.path] = [name for name in names if name in out.results]
    return out


def _readings(scope: ProcedureUse, values: JobValues, out: Workings) -> None:
    for inner, reading in scope.procedure.noun.readings.items():
        name = scope.name(inner)
        place = scope.procedure.key_place("readings", inner)
        first = out.readings.get(name)
        if name in values.needs and inner not in scope.procedure.noun.values:
            out.faults.append(faults.OneNameForTwo(place, name, "reading", "value"))
        elif first is not None and UNITS[first.reading.unit].kind != UNITS[reading.unit].kind:
            place = scope.place("readings", inner, "unit")
            out.faults.append(faults.ReadingClash(place, name, reading.unit, first.reading.unit))
        elif first is not None and _division(first.reading) != _division(reading):
            said = [str(one.division or "none") for one in (reading, first.reading)]
            out.faults.append(faults.DivisionClash(place, name, *said))
        else:
            out.readings.setdefault(name, JobReading(reading, scope.label(inner, reading.label)))


def _division(reading: Reading) -> tuple[str, str] | None:
    return None if reading.division is None else (reading.division.number, reading.division.unit)


@dataclass(frozen=True)
class _Steps:
    refs: References
    everywhere: dict[str, Placed]

    def path(self, scope: ProcedureUse, name: str) -> str | None:
        return find(self.refs, self.everywhere, scope, name)


def _results(
    scope: ProcedureUse,
    library: Library,
    steps: _Steps,
    found: dict[str, JobResult],
    out: Workings,
    values: JobValues,
    composed: Composed,
) -> None:
    done = library.results.get(scope.procedure.noun.procedure)
    for inner, worked in done.own.items() if done else ():
        result = job_result(worked, scope, lambda name: _or_itself(steps.path(scope, name), name))
        result = _without_absent(result, steps.refs.order)
        place = scope.procedure.key_place("results", inner)
        other = "value" if result.name in values.needs else "reading" if result.name in out.readings else None
        if other and inner not in scope.procedure.noun.values and inner not in scope.procedure.noun.readings:
            out.faults.append(faults.OneNameForTwo(place, result.name, "result", other))
        first = found.setdefault(result.name, result)
        if (first.tree, first.limits) != (result.tree, result.limits):
            out.faults.append(faults.ResultClash(place, result.name, composed.procedure.noun.procedure))


def _or_itself(path: str | None, name: str) -> str:
    return name if path is None else path


def job_result(worked: CompiledResult, scope: ProcedureUse, path: Any = str) -> JobResult:
    """Return a result with its names as the job has them. `path` gives the path of a step that it asks about."""

    formulas = [worked.formula, *(limit for limit in worked.limits if limit)]
    inputs = {_renamed(name, scope) for formula in formulas for name in formula.names}
    inputs |= {"step:" + path(step) for formula in formulas for step, _ in formula.found}
    return JobResult(
        scope.name(worked.name),
        worked,
        scope,
        renamed(worked.formula.tree, scope.name, path),
        tuple(renamed(limit.tree, scope.name, path) if limit else None for limit in worked.limits),
        tuple(sorted(inputs - {scope.name(worked.name)})),
        renamed_words(worked.formula.words, scope.name, path),
    )


def _renamed(name: str, scope: ProcedureUse) -> str:
    value, dot, tolerance = name.partition(".")
    return scope.name(value) + dot + tolerance


def _without_absent(result: JobResult, order: dict[str, int]) -> JobResult:
    """Settle a result for an engine whose job lacks some steps: a step that is not there has found nothing."""

    def settle(tree: Tree) -> Tree:
        if not isinstance(tree, list | tuple):
            return tree
        if tree[0] == "found":
            return list(tree) if tree[1] in order else False
        return [tree[0], *(settle(part) if isinstance(part, list | tuple) else part for part in tree[1:])]

    gone = {name for name in result.inputs if name.startswith("step:") and name.removeprefix("step:") not in order}
    limits = tuple(None if limit is None else settle(limit) for limit in result.limits)
    inputs = tuple(name for name in result.inputs if name not in gone)
    return JobResult(result.name, result.worked, result.scope, settle(result.tree), limits, inputs, result.words)


def _in_order_of_need(found: dict[str, JobResult]) -> dict[str, JobResult]:
    order: dict[str, JobResult] = {}

    def visit(name: str) -> None:
        if name in found and name not in order:
            for other in found[name].inputs:
                visit(other)
            order[name] = found[name]

    for name in found:
        visit(name)
    return order


def _borrowed(
    scope: ProcedureUse, library: Library, scopes: list[ProcedureUse], composed: Composed, out: Workings
) -> None:
    done = library.results.get(scope.procedure.noun.procedure)
    for inner, procedure in done.borrowed.items() if done else ():
        lent = {s.name(inner) for s in scopes if s.procedure.noun.procedure == procedure}
        if scope.name(inner) not in lent and composed.procedure.noun.stands_alone:
            place = scope.place("results", inner, "of")
            job = composed.procedure.noun.procedure
            out.faults.append(faults.BorrowedFromOutside(place, inner, procedure, job))


# --- Rules on the order of work ---------------------------------------------------------------------------------------


def known_when_shown(steps: list[Placed], workings: Workings, whole_job: bool) -> Iterator[Fault]:
    """Every reading and finding behind a result is known when a step shows the result."""
    taken: dict[str, Placed] = {}
    at = {placed.path: number for number, placed in enumerate(steps)}
    for placed in steps:
        for reading in readings_of(placed.step):
            taken.setdefault(placed.scope.name(reading), placed)
    for placed in steps:
        for shown in workings.shows[placed.path]:
            yield from _known_at(placed, shown, workings, taken, at, whole_job)


def holds_can_be_known(steps: list[Placed], workings: Workings, refs: References) -> Iterator[Fault]:
    """What a hold needs is always taken when the holding step is done: it has no condition that this step lacks."""
    for placed in steps:
        holds = [name for name in workings.shows[placed.path] if workings.results[name].worked.result.hold]
        for name in holds:
            for lacking in _conditional(placed, workings.results[name].inputs, steps, workings, refs):
                yield faults.HoldNeverKnown(_shown_place(placed, name), placed.path, name, lacking)


def _conditional(
    placed: Placed, inputs: Iterable[str], steps: list[Placed], workings: Workings, refs: References
) -> Iterator[str]:
    """Yield steps that give these inputs only under a condition that neither the step's own nor a formula's is."""
    here, all_inputs = refs.of[placed.path].when, {*inputs, *workings.inputs_of(inputs)}

    def is_sure(path: str) -> bool:
        return path in refs.of and all(f"step:{asked}" in all_inputs for asked, _ in refs.of[path].when - here)

    for name in sorted(all_inputs):
        if name in workings.readings:
            givers = [s.path for s in steps if name in map(s.scope.name, readings_of(s.step))]
        else:
            givers = [name.removeprefix("step:")] if name.startswith("step:") else []
        if givers and not any(map(is_sure, givers)):
            yield givers[0]


def tolerances_are_given(workings: Workings, values: JobValues, engine: Checked[Engine]) -> Iterator[Fault]:
    """If a result asks for a tolerance, the engine sheet states one. A missing value is asked for on the phone."""
    for name, result in workings.results.items():
        for asked in result.inputs:
            of, _, tolerance = asked.partition(".")
            value = values.given.get(of)
            if tolerance and value is not None and value.missing is None and value.tolerance is None:
                yield faults.ToleranceNotGiven(engine.key_place("values", of), of, name)


def _known_at(
    placed: Placed, shown: str, workings: Workings, taken: dict[str, Placed], at: dict[str, int], whole_job: bool
) -> Iterator[Fault]:
    place = _shown_place(placed, shown)
    for name in workings.inputs_of([shown]):
        if name.startswith("step:"):
            path = name.removeprefix("step:")
            if at.get(path, -1) > at[placed.path]:
                yield faults.FindingTooLate(place, placed.path, shown, path)
        elif name in workings.readings and name not in taken:
            if whole_job:
                yield faults.ReadingNeverTaken(place, placed.path, shown, name)
        elif name in workings.readings and at[taken[name].path] > at[placed.path]:
            yield faults.ReadingTooLate(place, placed.path, shown, name, taken[name].path)


def _shown_place(placed: Placed, shown: str) -> Any:
    for number, name in enumerate(placed.step.shows):
        if placed.scope.name(name) == shown:
            return placed.place("shows", number)
    in_do = shown in map(placed.scope.name, names_in(placed.step.do))
    return placed.place("do") if in_do else placed.place("why")
