"""Every row of the failure modes is tied to what would reveal it. Break the tie on either side: the checker says so.

The walks go over every worksheet of the demo. At the step that catches a row, the answer, reading, count or value that
would reveal the failure gets another name, or loses what follows from it. Then the row gets another name instead.
"""

from __future__ import annotations

import dataclasses
import functools
import json
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from generator.check import Library
from generator.compile import work_out
from generator.compile.compose import Placed, compose
from generator.compile.failures import check_failures, check_spares, concerns, strong_claims
from generator.compile.items import closing_name
from generator.compile.job_parts import fitting
from generator.compile.revealed import SEEN_AT, Claim, check_rows, step_of
from generator.compile.rules import ResolvedJob
from generator.faults import Fault
from generator.faults import failure as faults
from generator.faults.failure import WAYS
from generator.faults.job import CatchTooWeak
from generator.model import CheckOff, FailureMode, Inspect, Measure, Sign, Step, Tick, Tighten, Turn, Wait, Way
from tests.support import demo

OTHER = "another_name"
TIES = (
    faults.NoSuchAnswer, faults.AnswerChangesNothing, faults.ReadingNotThere, faults.ReadingNotJudged,
    faults.CountNotThere, faults.NothingToCount, faults.ValueNotThere, faults.SignatureNotThere,
    faults.GateDoesNotWait, faults.RevealedNowhere, faults.ReasonNotNeeded,
)  # fmt: skip


@functools.cache
def jobs() -> tuple[ResolvedJob, ...]:
    library = demo.library()
    whole = [procedure for procedure in library.procedures.values() if procedure.noun.stands_alone]
    pairs = [(procedure, engine) for procedure in whole for engine in fitting(procedure, library)]
    return tuple(work_out(compose(library, procedure, engine), library) for procedure, engine in pairs)


def rows() -> list[FailureMode]:
    modes = demo.library().failure_modes
    assert modes is not None
    return modes.noun.failure_modes


def with_row(row: FailureMode) -> Library:
    """Return the demo's library with this row alone in its list."""
    modes = demo.library().failure_modes
    assert modes is not None
    alone = modes.noun.model_copy(update={"failure_modes": [row]})
    return dataclasses.replace(demo.library(), failure_modes=dataclasses.replace(modes, noun=alone))


def told_of(row: FailureMode, seen: tuple[ResolvedJob, ...] | list[ResolvedJob]) -> list[Fault]:
    library = with_row(row)
    found = [fault for job in seen for fault in check_failures(job, library)]
    return found or list(check_spares(list(seen), library))


# --- The step says another name ---------------------------------------------------------------------------------------


def renamed_check(step: Step, way: Way) -> CheckOff | None:
    """Return the check-off of a step with other names in the place of those that the way names."""
    match step.check:
        case Inspect() as check if way.key == "answer":
            return Inspect(
                inspect={f"{name}-x" if name in way.names else name: text for name, text in check.inspect.items()}
            )
        case Measure() as check if way.key == "reading":
            return check.model_copy(update={"measure": OTHER})
        case Wait(watch=watch) as check if way.key == "reading" and watch:
            return check.model_copy(update={"watch": watch.model_copy(update={"start": OTHER, "end": OTHER})})
        case Tighten() | Wait() | Turn() as check if way.key == "value":
            return check.model_copy(
                update={
                    next(iter(type(check).model_fields)): OTHER,
                    **({"every": None} if isinstance(check, Wait) else {}),
                }
            )
        case Sign() as check if way.key == "signature":
            return check.model_copy(update={"of": ["hand-over"]})
    return None


def otherwise(placed: Placed, way: Way) -> Placed | None:
    """Return a step that lacks what the way names, with nothing else changed. None if that is not the step's own."""
    step = placed.step
    if way.key == "count":
        opens = [item for item in step.opens if item.what not in way.names]
        closes = [item for item in step.closes if closing_name(item) not in way.names]
        return dataclasses.replace(placed, step=step.model_copy(update={"opens": opens, "closes": closes}))
    check = renamed_check(step, way)
    if check is None:
        return None
    failed = step.if_failed
    if failed and way.key == "answer":
        outcomes = [f"{name}-x" if name in way.names else name for name in failed.outcomes]
        failed = failed.model_copy(update={"outcomes": outcomes})
    return dataclasses.replace(placed, step=step.model_copy(update={"check": check, "if_failed": failed}))


@functools.cache
def asked_for() -> set[tuple[str, str]]:
    """Return the answers, each with the id of its step, that a later step or a result of a worksheet asks for."""
    sheets = demo.checked().sheets
    whens = [
        (when["step"], one)
        for sheet in sheets
        for step in sheet["steps"]
        for when in step["when"]
        for one in when["outcomes"]
    ]
    results = re.findall(r'\["found", "([^"]+)", "([^"]+)"\]', json.dumps([sheet["results"] for sheet in sheets]))
    return {(path.rpartition("/")[2], outcome) for path, outcome in [*whens, *results]}


def harmless(placed: Placed, way: Way) -> Placed | None:
    """Return a step at which the answers of a way are no failures any more. None if something else asks for them."""
    failed = placed.step.if_failed
    if way.key != "answer" or failed is None or any((placed.step.id, name) in asked_for() for name in way.names):
        return None
    outcomes = [name for name in failed.outcomes if name not in way.names]
    changed = failed.model_copy(update={"outcomes": outcomes})
    return dataclasses.replace(placed, step=placed.step.model_copy(update={"if_failed": changed}))


def has_another(row: FailureMode, way: Way, placed: Placed) -> bool:
    """True if a step keeps another way of its row when it loses this one: a reason for its tick, or an answer."""
    check, others = placed.step.check, [one for one in row.ways if one is not way]
    if check == "tick" or isinstance(check, Tick):
        return any(one.key == "because" for one in others)
    answers = set(check.inspect) if isinstance(check, Inspect) else set()
    return any(one.key == "answer" and set(one.names) <= answers for one in others)


Change = Callable[[Placed, Way], Placed | None]


def with_step(job: ResolvedJob, old: Placed, new: Placed) -> ResolvedJob:
    """Return a job with one step in the place of another. A signature of other steps looks at none of before."""
    steps = [new if one is old else one for one in job.steps]
    of = dict(job.refs.of)
    if isinstance(new.step.check, Sign):
        of[new.path] = dataclasses.replace(of[new.path], sign_of=())
    return dataclasses.replace(job, refs=dataclasses.replace(job.refs, steps=steps, of=of))


def claims_of(row: FailureMode, job: ResolvedJob) -> list[Claim]:
    here = job.composed.procedure.noun.procedure in row.where and concerns(row, job.composed.engine.noun)
    return strong_claims(row, job) if here else []


def changed_jobs(row: FailureMode, change: Change) -> Iterator[tuple[str, list[ResolvedJob], bool]]:
    """Yield all jobs with one step that catches the row changed wherever it is, for each such step and each way,
    and whether the step keeps another way of the row."""
    claims = [claim for job in jobs() for claim in claims_of(row, job)]
    for at, way in [(step_of(claim.placed), way) for claim in claims for way in row.ways]:
        mutants, touched, keeps = list(jobs()), False, False
        for index, job in enumerate(jobs()):
            for claim in claims_of(row, job):
                suits = step_of(claim.placed) == at and claim.kinds & set(SEEN_AT[way.key])
                other = change(claim.placed, way) if suits else None
                if other is not None and other.step != claim.placed.step:
                    mutants[index], touched = with_step(mutants[index], claim.placed, other), True
                    keeps = has_another(row, way, claim.placed)
        if touched:
            yield f"{row.row} by {way.key} {way.names} at {'/'.join(at)}", mutants, keeps


def walk(change: Change) -> tuple[int, set[str], list[str]]:
    """Return how many changes there were, the rows that they touched, and the changes that nobody noticed. Left out is
    what nobody need notice, because the step still reveals the failure in another way."""
    noticed: dict[str, bool] = {}
    touched = set[str]()
    for row in rows():
        for what, mutants, keeps in changed_jobs(row, change):
            if what not in noticed:
                is_told = any(isinstance(fault, TIES) for fault in told_of(row, mutants))
                if is_told or not keeps:
                    noticed[what] = is_told
                    touched.add(row.row)
    return len(noticed), touched, [what for what, is_told in noticed.items() if not is_told]


def names_something(row: FailureMode) -> bool:
    return any(way.names and way.key != "waits_for" for way in row.ways)


def test_another_name_at_the_step_is_noticed_by_every_row_it_reveals(capsys: pytest.CaptureFixture[str]) -> None:
    count, touched, quiet = walk(otherwise)
    named = [row.row for row in rows() if names_something(row)]
    with capsys.disabled():
        told = f"{count - len(quiet)} of {count} renamings at a step noticed"
        print(f"\n{told}, in {len(touched)} of the {len(named)} rows that name something of a step")
    assert quiet == []
    assert len(touched) > 0.8 * len(named)  # the others are of engines that the demo does not have


def test_an_answer_that_fails_no_more_is_noticed(capsys: pytest.CaptureFixture[str]) -> None:
    count, touched, quiet = walk(harmless)
    with capsys.disabled():
        print(f"\n{count - len(quiet)} of {count} answers that fail no more noticed, in {len(touched)} rows")
    assert quiet == []
    assert len(touched) > 30


def test_few_steps_have_two_ways_of_a_row() -> None:
    """Such a step keeps one when it loses the other, so that a walk may leave it out."""
    claims = [(row, claim) for row in rows() for job in jobs() for claim in claims_of(row, job)]
    twofold = {row.row for row, claim in claims for way in row.ways if has_another(row, way, claim.placed)}
    assert len(twofold) < 0.05 * len({row.row for row, _ in claims}), twofold


# --- The row says another name ----------------------------------------------------------------------------------------


def misnamed(row: FailureMode) -> Iterator[tuple[str, FailureMode]]:
    """Yield the row with each of its names in turn misspelled."""
    for at, way in enumerate(row.ways):
        for name in way.names:
            others = [f"{one}x" if one == name else one for one in way.names]
            fresh = Way.model_validate({way.key: others[0] if way.key in ("reading", "count", "value") else others})
            ways = [fresh if index == at else one for index, one in enumerate(row.ways)]
            yield f"{row.row} by {way.key} {name}", row.model_copy(update={"revealed_by": ways})


def test_another_name_in_the_row_is_noticed(capsys: pytest.CaptureFixture[str]) -> None:
    tried = [(what, mutant) for row in rows() for what, mutant in misnamed(row)]
    quiet = [what for what, mutant in tried if not told_of(mutant, jobs())]
    with capsys.disabled():
        print(f"\n{len(tried) - len(quiet)} of {len(tried)} names misspelled in a row noticed")
    assert quiet == []
    assert len(tried) > 100


def test_rows_that_nobody_changed_have_no_fault() -> None:
    assert [row.row for row in rows() if told_of(row, jobs())] == []
    modes = demo.library().failure_modes
    assert modes is not None and list(check_rows(modes)) == []


def test_a_shop_with_one_of_the_engines_has_no_fault() -> None:
    """What its own worksheets do not need, those of another engine or of another job may."""
    for engine in demo.library().engines.values():
        own = [job for job in jobs() if job.composed.engine is engine]
        assert own and [fault.said for fault in check_spares(own, demo.library())] == []


@pytest.mark.parametrize("way", [way for way in WAYS if way not in ("waits_for", "because")])
def test_a_way_that_the_check_off_does_not_have_is_refused(way: str) -> None:
    """Each row of the demo is told to be revealed by this, whatever catches it."""
    said: dict[str, Any] = {way: {"photo": True, "prevented_by": "caution"}.get(way, "nothing")}
    modes = demo.library().failure_modes
    assert modes is not None
    others = [row for row in rows() if not set(row.caught_by) & set(SEEN_AT[way])]
    wrong = [row.model_copy(update={"revealed_by": Way.model_validate(said)}) for row in others]
    told = [
        fault
        for row in wrong
        for fault in check_rows(dataclasses.replace(modes, noun=modes.noun.model_copy(update={"failure_modes": [row]})))
    ]
    # Most rows ask for no caution either, which is told besides.
    about_way = [type(fault) for fault in told if not isinstance(fault, faults.NothingPrevents)]
    assert about_way == [faults.RevealDisagrees] * len(others)
    assert others or way == "count"


def test_a_gate_that_is_gone_is_noticed() -> None:
    waiting = [row for row in rows() if any(way.waits_for for way in row.ways)]
    assert len(waiting) >= 4
    for row in waiting:
        claims = [claim for job in jobs() for claim in claims_of(row, job)]
        assert claims
        for claim in claims:
            step = claim.placed.step.model_copy(update={"gate": None, "completion": False})
            mutant = with_step(claim.job, claim.placed, dataclasses.replace(claim.placed, step=step))
            told = [type(fault) for fault in check_failures(mutant, with_row(row))]
            assert set(told) & {faults.GateDoesNotWait, CatchTooWeak}, claim.path
