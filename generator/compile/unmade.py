"""What gave no worksheet although nothing is wrong with it, and why.

The command reports it beside the worksheets: a check that looked at nothing finds no faults either.
"""

from __future__ import annotations

from collections.abc import Iterator

from generator.check import Checked, Library
from generator.compile.compose import choices, facts_for, misfits
from generator.compile.failures import concerns
from generator.compile.includes import includes_of
from generator.compile.job_parts import InJobs, fitting
from generator.faults import Fault
from generator.faults import job as faults
from generator.model import Engine, FailureMode, Procedure
from generator.place import Place


def unmade(library: Library, used: InJobs) -> list[Fault]:
    """Return procedures and engine sheets without a worksheet, and failure modes that no worksheet is checked for.
    `used`: the parts that some job has."""
    return [*_procedures(library, used), *_engines(library), *_failure_modes(library), *_leads(library)]


def nothing_made(library: Library, used: InJobs) -> list[Fault]:
    """Return the same if there is no worksheet at all. Then each procedure that could be a job is a fault."""
    found = list(_procedures(library, used))
    alone: list[Fault] = [fault for fault in found if isinstance(fault, faults.FitsNoEngine) and fault.alone]
    return alone or found


def why_not(
    procedure: Checked[Procedure], library: Library, engines: list[Checked[Engine]]
) -> tuple[faults.Misfit, ...]:
    """Return why the procedure fits none of these engines: the one fact that keeps it from all of them, else a fact
    for each."""
    wrong = {engine.noun.engine: misfits(procedure.noun, facts_for(library, engine.noun)) for engine in engines}
    for fact in procedure.noun.fits:
        if all(fact in names for names in wrong.values()):
            return (_misfit(procedure, library, fact, engines),)
    firsts = dict.fromkeys(names[0] for names in wrong.values() if names)
    return tuple(
        _misfit(procedure, library, fact, [each for each in engines if wrong[each.noun.engine][:1] == [fact]])
        for fact in firsts
    )


def _misfit(
    procedure: Checked[Procedure], library: Library, fact: str, engines: list[Checked[Engine]]
) -> faults.Misfit:
    said: dict[str | None, list[str]] = {}
    for engine in engines:
        said.setdefault(facts_for(library, engine.noun).get(fact), []).append(engine.noun.engine)
    here = tuple((word, tuple(names)) for word, names in said.items())
    return faults.Misfit(procedure.noun.procedure, fact, tuple(choices(procedure.noun.fits[fact])), here)


def _leads(library: Library) -> Iterator[Fault]:
    """Yield a note if nobody who works here has a role that leads."""
    roles = {name for name, role in library.trade.roles.items() if role.means.leads}
    if library.shop and roles and not any(one.role in roles and not one.left for one in library.shop.noun.people):
        yield faults.NobodyLeads(library.shop.key_place("people"), tuple(sorted(roles)))


def _procedures(library: Library, used: InJobs) -> Iterator[Fault]:
    included = {part.include for each in library.procedures.values() for _, part in includes_of(each)}
    engines = [library.engines[name] for name in sorted(library.engines)]
    for name in sorted(library.procedures):
        procedure = library.procedures[name]
        alone, place = procedure.noun.stands_alone, procedure.place("procedure")
        if not fitting(procedure, library):
            yield faults.FitsNoEngine(procedure.place("fits"), name, alone, why_not(procedure, library, engines))
        elif not alone and name not in included:
            yield faults.NotIncluded(place, name)
        elif not alone and name not in used and (jobs := _made_with(name, library)):
            yield faults.LeftOutOfEveryJob(place, name, jobs)


def _made_with(part: str, library: Library) -> tuple[str, ...]:
    """Return the jobs that include this part and fit an engine. That a job fits none is told of the job."""
    jobs = (library.procedures[name] for name in sorted(library.procedures))
    return tuple(
        job.noun.procedure
        for job in jobs
        if job.noun.stands_alone and part in _inside(job, library) and fitting(job, library)
    )


def _inside(job: Checked[Procedure], library: Library) -> set[str]:
    """Return every procedure that this one includes, also by way of others."""
    found: set[str] = set()
    queue = [job]
    while queue:
        names = {include.include for _, include in includes_of(queue.pop())} - found
        found |= names
        queue += [library.procedures[name] for name in names if name in library.procedures]
    return found


def _engines(library: Library) -> Iterator[Fault]:
    jobs = [library.procedures[name] for name in sorted(library.procedures)]
    jobs = [procedure for procedure in jobs if procedure.noun.stands_alone]
    for name in sorted(library.engines):
        engine = library.engines[name]
        if all(misfits(job.noun, facts_for(library, engine.noun)) for job in jobs):
            because = tuple(misfit for job in jobs for misfit in why_not(job, library, [engine]))
            yield faults.NoJobFits(engine.place("engine"), name, because)


def _failure_modes(library: Library) -> Iterator[Fault]:
    modes = library.failure_modes
    if modes is None:
        yield faults.NoFailureModes(Place(library.folders[0] if library.folders else ""))
        return
    rows = tuple(row.row for row in modes.noun.failure_modes if not _is_asked(row, library))
    if rows:
        yield faults.AskedOfNoWorksheet(modes.key_place("failure_modes"), rows)


def _is_asked(row: FailureMode, library: Library) -> bool:
    """True if there is a worksheet that must catch this."""
    jobs = [library.procedures[name].noun for name in row.where if name in library.procedures]
    return any(
        job.stands_alone and concerns(row, engine.noun) and not misfits(job, facts_for(library, engine.noun))
        for job in jobs
        for engine in library.engines.values()
    )
