"""Failure modes: every known way the job can fail must be caught by a strong enough step in the right place."""

from __future__ import annotations

from collections.abc import Iterator

from generator.check import Checked, Library
from generator.check.check_offs import named_by
from generator.compile.compose import Placed, choices
from generator.compile.gates import holds_back, is_permit, rule_of
from generator.compile.revealed import Claim, check_claims, check_spare_ways
from generator.compile.rules import ResolvedJob
from generator.faults import Fault
from generator.faults import job as faults
from generator.model import LEVELS, Caution, Engine, FailureMode, FailureModes, Level, Sign, Tick


def check_failures(job: ResolvedJob, library: Library) -> Iterator[Fault]:
    """Yield the rows that this job must catch and does not."""
    modes = library.failure_modes
    if modes is None:
        return
    here = job.composed.procedure.noun.procedure
    for index, row in enumerate(modes.noun.failure_modes):
        if here in row.where and concerns(row, job.composed.engine.noun):
            yield from _caught(index, row, job, modes)


def concerns(row: FailureMode, engine: Engine) -> bool:
    """True if the row applies to this engine."""
    return all(engine.facts.get(name) in choices(wanted) for name, wanted in row.engine.items())


def _caught(index: int, row: FailureMode, job: ResolvedJob, modes: Checked[FailureModes]) -> Iterator[Fault]:
    place = modes.place("failure_modes", index, "row")
    unknown = list(_unknown_landmarks(index, row, job, modes))
    if unknown:
        yield from unknown
        return
    claims = strong_claims(row, job)
    yield from check_claims(index, row, claims, modes)
    lacking = _times(row, job.composed.procedure.noun.procedure) - len(claims)
    if lacking <= 0:
        return
    weak = [(placed, why) for placed in _claiming(row, job) if (why := weakness(placed, row, job))]
    for placed, why in weak:
        at = placed.place("catches", placed.step.catches.index(row.row))
        yield faults.CatchTooWeak(at, placed.path, row.row, row.failure, why)
    if lacking > len(weak):
        job_name, engine = job.composed.procedure.noun.procedure, job.composed.engine.noun.engine
        yield faults.NotCaught(place, row.row, row.failure, job_name, engine)


def strong_claims(row: FailureMode, job: ResolvedJob) -> list[Claim]:
    """Return the steps that catch a row, each strong enough and in the right place."""
    strong = [placed for placed in _claiming(row, job) if not weakness(placed, row, job)]
    return [Claim(placed, frozenset(kinds_of(placed)), job, row) for placed in strong]


def _claiming(row: FailureMode, job: ResolvedJob) -> list[Placed]:
    return [placed for placed in job.steps if row.row in placed.step.catches]


def check_spares(jobs: list[ResolvedJob], library: Library) -> Iterator[Fault]:
    """Yield what a row says would reveal it and what no step of any worksheet needs. A row is looked at if each of its
    jobs has a worksheet here: else it may be the other job that needs it."""
    modes, there = library.failure_modes, {job.composed.procedure.noun.procedure for job in jobs}
    if modes is None:
        return
    rows = [row for row in modes.noun.failure_modes if set(row.where) <= there]
    claims, catching = list[Claim](), list[tuple[Placed, str]]()
    for job in jobs:
        here = [row for row in rows if job.composed.procedure.noun.procedure in row.where]
        for row in here:
            claims += strong_claims(row, job) if concerns(row, job.composed.engine.noun) else []
        names = {row.row for row in here}
        catching += [(one, row) for one in job.composed.steps for row in one.step.catches if row in names]
    yield from check_spare_ways(claims, catching, modes)


def kinds_of(placed: Placed) -> set[str]:
    """Return what a step counts as after `caught_by`. A held tick is a tick too, and a permit can be a second look."""
    held = ["press-and-hold"] if _held_down(placed) else []
    return {_kind(placed), *held, *(["permit"] if is_permit(placed) else [])}


def _kind(placed: Placed) -> str:
    return "permit" if _is_only_a_permit(placed) else named_by(placed.step.check).kind


def weakness(placed: Placed, row: FailureMode, job: ResolvedJob) -> str | None:
    """Return why this step does not catch the row although it says so, or None if it does."""
    if not kinds_of(placed) & set(row.caught_by):
        return f"has the check-off {_kind(placed)}, which does not catch this"
    if row.hold and not holds_back(placed):
        return faults.NOT_HELD
    if row.stop and not (placed.step.if_failed and placed.step.if_failed.stop):
        return faults.NOT_STOPPED
    if row.caution and not any(_warns(one, row.caution) for one in cautions_at(placed)):
        return f"has no {row.caution} caution"
    rule = rule_of(placed, job.composed)
    if row.gate is not None and (rule is None or row.gate not in rule.names):
        return f"is not a {row.gate} gate"
    at = job.refs.order[placed.path]
    for name in listed(row.after):
        if at <= _position(name, placed, job, -1):
            return f'does not come after "{name}"'
    for name in listed(row.before):
        if at >= _position(name, placed, job, len(job.steps)):
            return f'does not come before "{name}"'
    return None


def cautions_at(placed: Placed) -> list[Caution]:
    """Return the cautions that are read before the step: its own, and those of its stage."""
    return [*placed.stage.stage.cautions, *placed.step.cautions]


def _warns(caution: Caution, least: Level) -> bool:
    return LEVELS.index(caution.level) <= LEVELS.index(least)


def listed(names: str | list[str]) -> list[str]:
    return [names] if isinstance(names, str) else names


def _position(landmark: str, placed: Placed, job: ResolvedJob, absent: int) -> int:
    """Return the position of a row's landmark: the one that the step's own include brings, else the job's."""
    own = job.refs.landmarks.get(placed.scope.landmark(landmark))
    path = own or job.refs.landmarks.get(landmark)
    return job.refs.order.get(path, absent) if path else absent


def _times(row: FailureMode, procedure: str) -> int:
    return row.times if isinstance(row.times, int) else row.times.get(procedure, 1)


def _unknown_landmarks(index: int, row: FailureMode, job: ResolvedJob, modes: Checked[FailureModes]) -> Iterator[Fault]:
    """Yield landmarks that no step of the job has, under any name an include gives them."""
    scopes = {placed.scope.prefix: placed.scope for placed in job.composed.steps}.values()
    for key in ("after", "before"):
        for name in listed(getattr(row, key)):
            if not any(scope.landmark(name) in job.refs.landmarks for scope in scopes):
                place = modes.place("failure_modes", index, key)
                yield faults.UnknownLandmark(place, row.row, name, tuple(sorted(job.refs.landmarks)))


def _is_only_a_permit(placed: Placed) -> bool:
    """True for a permit that looks at no earlier step: it is no second look at work."""
    return isinstance(placed.step.check, Sign) and not placed.step.check.of


def _held_down(placed: Placed) -> bool:
    return isinstance(placed.step.check, Tick) and placed.step.check.tick == "press-and-hold"
