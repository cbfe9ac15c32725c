"""Model -> worksheet. Pure: a library in, worksheets and faults out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from generator.check import Checked, Library
from generator.compile.compose import Composed, compose
from generator.compile.counts import uncounted
from generator.compile.failures import check_failures, check_spares
from generator.compile.gates import is_qualified_look
from generator.compile.includes import check_includes
from generator.compile.items import closing_name, keep_ledger
from generator.compile.job_parts import InJobs, by_itself, fitting, in_jobs
from generator.compile.job_results import work
from generator.compile.job_values import meet
from generator.compile.read_once import read_once
from generator.compile.refs import landmarks_of, resolve
from generator.compile.revealed import check_rows
from generator.compile.rules import RULES, ResolvedJob
from generator.compile.sheet import digest_of, write_sheet
from generator.compile.tightening import is_not_judged
from generator.compile.unmade import nothing_made, unmade, why_not
from generator.compile.unused import lists_of_no_gate, never_taken, rows_out_of_line, words_nowhere
from generator.faults import Fault, in_order
from generator.faults import job as faults
from generator.faults.torque import NotJudged
from generator.faults.trade_word import MissingDrawing
from generator.model import Procedure
from generator.place import Place
from generator.sheet_types import WorksheetJson

__all__ = ["CompiledLibrary", "compile_library", "digest_of", "faults_of", "work_out"]


@dataclass
class CompiledLibrary:
    """Every worksheet of a library in a fixed order, and every fault, sorted and each once. `notes` says what gave
    no worksheet although it has no fault. `jobs`: what each worksheet was written from, by its name."""

    sheets: list[WorksheetJson] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    notes: list[Fault] = field(default_factory=list)
    jobs: dict[str, Composed] = field(default_factory=dict)


def compile_library(library: Library, pictures: frozenset[str] = frozenset(), write: bool = True) -> CompiledLibrary:
    """Compose every procedure that stands alone with every engine it fits, and look at each other procedure by itself
    as well, with the engines of the jobs that include it. Write no worksheets if `write` is false, because the sources
    already have faults."""
    whole = [library.procedures[name] for name in sorted(library.procedures)]
    composed = [
        compose(library, procedure, engine)
        for procedure in whole
        if procedure.noun.stands_alone
        for engine in fitting(procedure, library)
    ]
    used = in_jobs(composed)
    jobs = [work_out(job, library) for job in composed]
    wrong_includes = list(check_includes(library))
    found = [*wrong_includes, *_without_file(library, pictures), *_parts(library, used, pictures, bool(wrong_includes))]
    for job in jobs:
        found += _sure(faults_of(job, library, pictures), library) if not wrong_includes else job.composed.faults
    found += [*_unsaid(composed, library), *_nobody_signs(jobs, library)]
    found += check_rows(library.failure_modes) if library.failure_modes else ()
    found += check_spares(jobs, library) if write and not found else ()
    out = CompiledLibrary()
    if write and not found:
        sheets = [(write_sheet(job, library), job.composed) for job in jobs if job.composed.whole]
        out.sheets = [sheet for sheet, _ in sheets]
        out.jobs = {sheet["worksheet"]: job for sheet, job in sheets}
        found += _without_worksheet(library, {sheet["worksheet"] for sheet in out.sheets})
        nowhere = (never_taken(library, used), words_nowhere(jobs), lists_of_no_gate(jobs), rows_out_of_line(library))
        of_bolts = _not_judged(jobs)
        notes = (unmade(library, used), _counted_as_one(jobs), *nowhere, of_bolts, read_once(out.sheets, library))
        out.notes = [note for kind in notes for note in in_order(kind)]
    if write and library.folders and not out.sheets and not found:
        found += nothing_made(library, used)
    out.faults = _one_a_cause(found)
    if out.faults:
        out.sheets, out.notes = [], []
    return out


def _parts(library: Library, used: InJobs, pictures: frozenset[str], astray: bool) -> Iterator[Fault]:
    """Yield the faults of every procedure that is only a part of jobs, looked at by itself. If an include is wrong
    (`astray`), a step that is nowhere may be in the procedure that was meant."""
    landmarks = landmarks_of(library)
    for name in sorted(library.procedures):
        part = library.procedures[name]
        if part.noun.stands_alone:
            continue
        jobs = [work_out(composed, library, landmarks) for composed in by_itself(part, library, used)]
        for job in jobs:
            yield from _sure(faults_of(job, library, pictures), library, astray)
        yield from _hand_over(part, jobs)


def _without_worksheet(library: Library, made: set[str]) -> Iterator[Fault]:
    """Yield jobs written beforehand that nobody could open."""
    for name in sorted(library.jobs):
        job = library.jobs[name]
        procedure, engine = library.procedures.get(job.noun.procedure), library.engines.get(job.noun.engine)
        if procedure and engine and f"{job.noun.procedure}--{job.noun.engine}" not in made:
            why = why_not(procedure, library, [engine]) if procedure.noun.stands_alone else ()
            yield faults.NoWorksheetForJob(job.place("procedure"), name, job.noun.procedure, job.noun.engine, why)


def _unsaid(jobs: list[Composed], library: Library) -> Iterator[Fault]:
    """Yield one fault for each engine: every fact that its jobs ask for and it does not state, with the words it may
    have."""
    unsaid: dict[str, list[str]] = {}
    for job in jobs:
        unsaid.setdefault(job.engine.noun.engine, []).extend(job.unsaid)
    for name, facts in unsaid.items():
        if facts:
            asked = tuple((fact, _words(fact, library)) for fact in dict.fromkeys(facts))
            yield faults.UnsaidFact(library.engines[name].place("facts"), name, asked)


def _nobody_signs(jobs: list[ResolvedJob], library: Library) -> Iterator[Fault]:
    """Yield a fault if a job asks for the signature of somebody qualified and nobody who works here is."""
    asking = [placed for job in jobs for placed in job.steps if is_qualified_look(placed)]
    if not asking or not library.shop:
        return
    roles = {name for name, role in library.trade.roles.items() if role.means.leads or role.means.qualified}
    here = {person.role for person in library.shop.noun.people if not person.left}
    if roles and not here & roles:  # no role at all is a fault of the trade file
        place = library.shop.key_place("people")
        yield faults.NobodySigns(place, asking[0].step.id, tuple(sorted(roles)), tuple(sorted(here)))


def _counted_as_one(jobs: list[ResolvedJob]) -> Iterator[Fault]:
    """Yield one note for each engine: the values that count something and are not on its sheet."""
    engines = {job.composed.engine.noun.engine: job.composed.engine for job in jobs}
    for name, engine in engines.items():
        of_engine = [job for job in jobs if job.composed.engine is engine]
        values = [
            value for job in of_engine for value in uncounted(job.refs, job.values, job.ledger, job.composed.trade)
        ]
        if values:
            yield faults.CountedAsOne(engine.place("values"), name, tuple(dict.fromkeys(values)))


def _not_judged(jobs: list[ResolvedJob]) -> Iterator[Fault]:
    """Yield one note for each engine of some job: the torques of its sheet whose bolt has no figures here."""
    for engine in {job.composed.engine.noun.engine: job.composed.engine for job in jobs}.values():
        names = [name for name, value in engine.noun.values.items() if is_not_judged(value)]
        if names:
            yield NotJudged(engine.key_place("values", names[0]), engine.noun.engine, tuple(names))


def _words(fact: str, library: Library) -> tuple[str, ...]:
    declared = library.facts.get(fact)
    return tuple(declared.words) if declared else ()


def _sure(found: list[Fault], library: Library, astray: bool = False) -> list[Fault]:
    """Drop faults of unknown steps while a source cannot be read or included, because the step may be in it."""
    return [fault for fault in found if not ((library.broken or astray) and isinstance(fault, faults.UnknownStep))]


def _one_a_cause(found: list[Fault]) -> list[Fault]:
    """Report a mistake once, even if it is met for two engines, or in a procedure and in a job that includes it."""
    first: dict[tuple[Place, type[Fault]], Fault] = {}
    for fault in found:
        first.setdefault((fault.place, type(fault)), fault)
    return in_order(first.values())


def work_out(composed: Composed, library: Library, elsewhere: frozenset[str] = frozenset()) -> ResolvedJob:
    """Work out references, values, ledger and results of a composed job. `elsewhere` are landmarks that only a whole
    job has."""
    refs, values = resolve(composed, elsewhere), meet(composed, library.kinds)
    ledger = keep_ledger(composed, refs, values, composed.procedure.noun.takes_over)
    return ResolvedJob(composed, refs, values, ledger, work(composed, refs, values, library))


def _refused(job: ResolvedJob) -> bool:
    return bool(_unmatched(job))


def _unmatched(job: ResolvedJob) -> list[Fault]:
    """Return the faults of names of the job that do not fit together."""
    parts = (job.composed, job.refs, job.values, job.ledger, job.workings)
    return [fault for part in parts for fault in part.faults]


def faults_of(job: ResolvedJob, library: Library, pictures: frozenset[str] = frozenset()) -> list[Fault]:
    """Return every fault of one job. A job whose parts do not resolve is not judged by the rules as well."""
    if job.composed.unsaid:
        return []  # don't report a fault that only follows from an unsaid fact; `compile_library` asks for the fact
    if not job.composed.whole:
        return list(job.composed.faults)
    found = _unmatched(job)
    found += _pictures(job.composed, pictures)
    if found:
        return found
    for rule in RULES:
        found += rule(job)
    if job.composed.procedure.noun.stands_alone and not found:
        found += check_failures(job, library)
    return found


def _pictures(composed: Composed, pictures: frozenset[str]) -> list[Fault]:
    return [
        faults.MissingPicture(placed.place("picture", "file"), placed.path, placed.step.picture.file)
        for placed in composed.present
        if placed.step.picture and placed.step.picture.file not in pictures
    ]


def _without_file(library: Library, pictures: frozenset[str]) -> Iterator[Fault]:
    """Yield drawings of trade words whose file is not there."""
    for word, drawn in library.trade.drawings.items():
        if drawn.means.file not in pictures:
            yield MissingDrawing(drawn.place, word, drawn.means.file)


def _hand_over(procedure: Checked[Procedure], jobs: list[ResolvedJob]) -> Iterator[Fault]:
    """Check what a header says of things handed on: true for some engine, and nothing left open unsaid."""
    if procedure.noun.stands_alone or not jobs or not all(job.composed.whole for job in jobs):
        return
    name = procedure.noun.procedure
    opened, closed = _ever(jobs[0].composed)
    for index, item in enumerate(procedure.noun.leaves_open):
        if item not in opened:
            yield faults.LeavesOpenNothing(procedure.place("leaves_open", index), name, item)
    for index, item in enumerate(procedure.noun.takes_over):
        if item not in closed and item not in procedure.noun.leaves_open:
            place = procedure.place("takes_over", index)
            yield faults.TakesOverNothing(place, name, item, tuple(sorted(closed)))
    for job in jobs:
        for opening in job.ledger.not_closed() if not any(map(_refused, jobs)) else ():
            event = opening.event
            if event.at >= 0 and event.what not in procedure.noun.leaves_open:
                yield faults.LeavesOpenUnsaid(event.place, name, event.what)


def _ever(composed: Composed) -> tuple[set[str], set[str]]:
    """Return the items that some step opens, and those that some step closes, whatever the engine."""
    opened, closed = set(composed.procedure.noun.takes_over), set()
    for placed in composed.steps:
        opened |= {placed.scope.thing(item.what) for item in placed.step.opens}
        closed |= {placed.scope.thing(closing_name(closing)) for closing in placed.step.closes}
    return opened, closed
