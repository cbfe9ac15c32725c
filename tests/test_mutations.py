"""Each step of the flagship is deleted, softened and moved; the checker must notice.

A checker that lets a weakened procedure pass is a checker that nobody needs. A mutant counts as noticed when it gets
any fault (an uncovered failure is one).
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator

import pytest

from generator.compile import faults_of, work_out
from generator.compile.compose import Composed, Placed, compose
from generator.compile.gates import holds_back
from generator.compile.items import Ledger
from generator.model import Tick
from tests import demo

FLAGSHIP = "timing-belt-service"


@dataclasses.dataclass(frozen=True)
class Mutant:
    what: str
    steps: list[Placed]


def changed(placed: Placed, **fields: object) -> Placed:
    return dataclasses.replace(placed, step=placed.step.model_copy(update=fields))


def deletions(steps: list[Placed]) -> Iterator[Mutant]:
    for at, placed in enumerate(steps):
        yield Mutant(f"{placed.path} deleted", steps[:at] + steps[at + 1 :])


def softened(steps: list[Placed]) -> Iterator[Mutant]:
    """A weaker check-off in place of the one there, a hold or a gate taken off."""
    for at, placed in enumerate(steps):
        step = placed.step
        weaker = []
        if isinstance(step.check, Tick) and step.check.tick == "press-and-hold":
            weaker.append(("tapped instead of held", changed(placed, check="tick")))
        elif not isinstance(step.check, str):
            weaker.append(("only ticked", changed(placed, check="tick", if_failed=None)))
        if step.hold and step.gate is None:
            weaker.append(("no hold", changed(placed, hold=False)))
        if step.gate is not None:
            weaker.append(("no gate", changed(placed, gate=None)))
        for what, mutant in weaker:
            yield Mutant(f"{placed.path} {what}", [*steps[:at], mutant, *steps[at + 1 :]])


def moved(steps: list[Placed], ledger: Ledger) -> Iterator[Mutant]:
    """Across the stop after it, across the stop before it, and an opener past what closes it."""
    for at, placed in enumerate(steps):
        others = steps[:at] + steps[at + 1 :]
        later = next((i for i in range(at, len(others)) if holds_back(others[i])), None)
        if later is not None:
            yield Mutant(
                f"{placed.path} after {others[later].path}", [*others[: later + 1], placed, *others[later + 1 :]]
            )
        earlier = next((i for i in range(at - 1, -1, -1) if holds_back(others[i])), None)
        if earlier is not None:
            yield Mutant(f"{placed.path} before {others[earlier].path}", [*others[:earlier], placed, *others[earlier:]])
    for opening in ledger.openings:
        if opening.closed_at is not None and 0 <= opening.event.at < opening.closed_at:
            mixed = list(steps)
            a, b = opening.event.at, opening.closed_at
            mixed[a], mixed[b] = mixed[b], mixed[a]
            yield Mutant(f"{steps[a].path} and {steps[b].path} changed places", mixed)


@pytest.fixture(scope="module")
def flagship() -> tuple[Composed, object]:
    library = demo.library()
    engine = next(e for e in library.engines.values() if e.noun.facts["layout"] == "inline-four")
    return compose(library, library.procedures[FLAGSHIP], engine), library


def left_out(composed: Composed) -> list[Placed]:
    """Steps that an engine fact leaves out: their landmarks are still names that others may use."""
    return [placed for placed in composed.steps if not placed.present]


def survivors(mutants: list[Mutant], composed: Composed, library: object) -> list[str]:
    quiet = []
    for mutant in mutants:
        job = work_out(dataclasses.replace(composed, steps=[*mutant.steps, *left_out(composed)]))
        if not faults_of(job, library):
            quiet.append(mutant.what)
    return quiet


def test_the_flagship_itself_has_no_fault(flagship):
    composed, library = flagship
    assert faults_of(work_out(composed), library) == []
    untouched = Mutant("nothing changed", work_out(composed).steps)
    assert survivors([untouched], composed, library) == ["nothing changed"]


@pytest.mark.parametrize("how", ["deleted", "softened", "moved"])
def test_a_weakened_flagship_is_noticed(flagship, how, capsys):
    composed, library = flagship
    job = work_out(composed)
    makers = {
        "deleted": lambda: deletions(job.steps),
        "softened": lambda: softened(job.steps),
        "moved": lambda: moved(job.steps, job.ledger),
    }
    mutants = list(makers[how]())
    quiet = survivors(mutants, composed, library)
    share = 100 * (1 - len(quiet) / len(mutants))
    with capsys.disabled():
        print(f"\n{how}: {len(mutants) - len(quiet)} of {len(mutants)} mutants noticed ({share:.1f} %)")
    assert len(mutants) > 60
    assert share >= 95, "not noticed: " + "; ".join(quiet)
