"""Which engines a procedure that is only a part of jobs is looked at with.

A part is judged with the engines of the jobs that include it. With any other engine it could ask for facts that no
worksheet needs, and have faults that nobody could ever meet. A part that no job has is still judged: with the engines
that say all it asks, else with engines that are given the words they lack.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Iterable, Iterator, Mapping

from generator.check import Checked, Library
from generator.compile.compose import Composed, KnownFacts, compose, facts_for, fits
from generator.faults import job as faults
from generator.model import Engine, Procedure

MOST_TRIALS = 64  # more combinations than these are not tried: then every word of every fact is tried once

InJobs = Mapping[str, set[str]]
"""Part -> the engines of the jobs that have it."""


def fitting(procedure: Checked[Procedure], library: Library) -> list[Checked[Engine]]:
    engines = [library.engines[name] for name in sorted(library.engines)]
    return [engine for engine in engines if fits(procedure.noun, facts_for(library, engine.noun))]


def in_jobs(jobs: Iterable[Composed]) -> dict[str, set[str]]:
    """Return the parts that these jobs have, each with its engines."""
    out: dict[str, set[str]] = {}
    for job in jobs:
        for scope, present in job.scopes:
            if present:
                out.setdefault(scope.procedure.noun.procedure, set()).add(job.engine.noun.engine)
    return out


def by_itself(part: Checked[Procedure], library: Library, used: InJobs) -> list[Composed]:
    """Return the part composed alone for each engine it is judged with."""
    name = part.noun.procedure
    alone = [compose(library, part, engine) for engine in fitting(part, library)]
    if name in used:
        return [composed for composed in alone if composed.engine.noun.engine in used[name]]
    said = [composed for composed in alone if not composed.unsaid]
    if said or not alone:
        return said
    tried = [trial for composed in alone for trial in _trials(composed, library)]
    return [trial for trial in tried if not _is_ruled_out(trial)] or tried


def _is_ruled_out(trial: Composed) -> bool:
    """True if a part inside is not made for the words that were tried."""
    return any(isinstance(fault, faults.DoesNotFit) for fault in trial.faults)


def _trials(composed: Composed, library: Library) -> Iterator[Composed]:
    """Yield the part for this engine with words for the facts that it asks and the engine does not say."""
    words = {fact: list(library.facts[fact].words) for fact in composed.unsaid if fact in library.facts}
    for more in _combinations({fact: said for fact, said in words.items() if said}):
        engine = composed.engine.noun
        given = engine.model_copy(update={"facts": {**engine.facts, **more}})
        yield compose(library, composed.procedure, dataclasses.replace(composed.engine, noun=given))


def _combinations(words: Mapping[str, list[str]]) -> Iterator[KnownFacts]:
    """Yield every combination of one word for each fact. Of too many, enough to have each word once."""
    if math.prod(map(len, words.values())) <= MOST_TRIALS:
        for combination in itertools.product(*words.values()):
            yield dict(zip(words, combination, strict=True))
        return
    for at in range(max(map(len, words.values()))):
        yield {fact: said[at % len(said)] for fact, said in words.items()}
