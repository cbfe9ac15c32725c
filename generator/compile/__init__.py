"""Model -> worksheet. Pure: a library in, worksheets and faults out."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from generator import jobfaults as faults
from generator.check import Checked, Library
from generator.compile.compose import Composed, compose, facts_for, fits
from generator.compile.failures import check_failures, check_rows
from generator.compile.items import Ledger, keep_ledger
from generator.compile.refs import resolve
from generator.compile.rules import RULES, Worked
from generator.compile.sheet import digest_of, write_sheet
from generator.compile.values import meet
from generator.faults import Fault, in_order
from generator.model import Engine, Procedure

__all__ = ["Compiled", "compile_library", "digest_of", "faults_of", "work_out"]


@dataclass
class Compiled:
    """Every worksheet of a library in a steady order, and every fault, sorted, one of each."""

    sheets: list[dict[str, Any]] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)


def compile_library(library: Library, pictures: frozenset[str] = frozenset()) -> Compiled:
    """Compose every procedure that stands alone with every engine it fits; look at each other procedure by itself."""
    out = Compiled()
    found: list[Fault] = [*check_rows(library)]
    for name in sorted(library.procedures):
        procedure = library.procedures[name]
        engines = _fitting(procedure, library)
        jobs = [work_out(compose(library, procedure, engine)) for engine in engines]
        for job in jobs:
            found += faults_of(job, library, pictures)
        found += _hand_over(procedure, jobs)
        if procedure.noun.stands_alone and not any(job.composed.faults for job in jobs):
            out.sheets += [write_sheet(job, library) for job in jobs if job.composed.whole and not _refused(job)]
    out.faults = in_order(found)
    if out.faults:
        out.sheets = []
    return out


def _fitting(procedure: Checked[Procedure], library: Library) -> list[Checked[Engine]]:
    engines = [library.engines[name] for name in sorted(library.engines)]
    return [engine for engine in engines if fits(procedure.noun, facts_for(library, engine.noun))]


def work_out(composed: Composed) -> Worked:
    """References, values and the ledger of a composed job."""
    refs, values = resolve(composed), meet(composed)
    ledger = keep_ledger(composed, refs, values, composed.procedure.noun.takes_over)
    return Worked(composed, refs, values, ledger)


def _refused(job: Worked) -> bool:
    return bool(job.composed.faults or job.refs.faults or job.values.faults or job.ledger.faults)


def faults_of(job: Worked, library: Library, pictures: frozenset[str] = frozenset()) -> list[Fault]:
    """Every fault of one job; one whose parts do not resolve is not judged by the rules as well."""
    if not job.composed.whole:
        return list(job.composed.faults)
    found = [*job.composed.faults, *job.refs.faults, *job.values.faults, *job.ledger.faults]
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


def _hand_over(procedure: Checked[Procedure], jobs: list[Worked]) -> list[Fault]:
    """`leaves_open` and `takes_over` say what is true for at least one engine, and nothing is left open unsaid."""
    if procedure.noun.stands_alone or not jobs or any(_refused(job) or not job.composed.whole for job in jobs):
        return []
    said, found = set(procedure.noun.leaves_open), []
    left: dict[str, Ledger] = {}
    for job in jobs:
        left |= {opening.event.what: job.ledger for opening in job.ledger.not_closed()}
    for name, ledger in left.items():
        if name not in said:
            event = next(o.event for o in ledger.not_closed() if o.event.what == name)
            found.append(faults.LeavesOpenUnsaid(event.place, procedure.noun.procedure, name))
    for index, name in enumerate(procedure.noun.leaves_open):
        if name not in left:
            place = procedure.place("leaves_open", index)
            found.append(faults.LeavesOpenNothing(place, procedure.noun.procedure, name))
    for index, name in enumerate(procedure.noun.takes_over):
        if name not in {what for job in jobs for what in job.ledger.closers}:
            place = procedure.place("takes_over", index)
            if name not in said:
                found.append(faults.TakesOverNothing(place, procedure.noun.procedure, name))
    return found
