"""Each step of every worksheet is deleted, softened and moved. The checker must notice.

A checker that lets a weakened procedure pass is of no use. A mutant counts as noticed if it gets any fault (an
uncovered failure is one). What still passes on the vee engine is one bank's work moved across a stop of the other bank,
which is not a failure as long as both are done.
"""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Iterator

import pytest

from generator.compile import faults_of, work_out
from generator.compile.compose import Composed, Placed, compose
from generator.compile.gates import holds_back
from generator.compile.items import Ledger, closing_name
from generator.compile.refs import References
from generator.model import Tick
from generator.site import disk
from tests.support import demo

COMPOSED = {
    "inline-four": "timing-belt-service",
    "vee-six": "timing-belt-service-two-belts",
    "flat-four": "timing-belt-service",
}
PICTURES = frozenset(disk.read_pictures(demo.ROOT, "procedures"))
NOTICED = 97  # percent


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
    """Yield a weaker check-off in place of the one there, and a hold or a gate removed."""
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


def kept_shut(steps: list[Placed]) -> Iterator[Mutant]:
    """Yield a step without one of the things that it opens."""
    for at, placed in enumerate(steps):
        for item in placed.step.opens:
            rest = [one for one in placed.step.opens if one is not item]
            yield Mutant(
                f"{placed.path} opens no {item.what}", [*steps[:at], changed(placed, opens=rest), *steps[at + 1 :]]
            )


def left_open(steps: list[Placed]) -> Iterator[Mutant]:
    """Yield a step without one of the things that it closes."""
    for at, placed in enumerate(steps):
        for item in placed.step.closes:
            rest = [one for one in placed.step.closes if one is not item]
            what = f"{placed.path} closes no {closing_name(item)}"
            yield Mutant(what, [*steps[:at], changed(placed, closes=rest), *steps[at + 1 :]])


def stops_for(placed: Placed, other: Placed, refs: References) -> bool:
    """True if a step that is done has this stop. A stop that only a finding brings is none on a good day, so a step
    that does not hang on the finding is moved on to the next."""
    return holds_back(other) and refs.of[other.path].when <= refs.of[placed.path].when


def moved(steps: list[Placed], ledger: Ledger, refs: References) -> Iterator[Mutant]:
    """Yield moves across the stop after it, across the stop before it, and of an opener past what closes it."""
    for at, placed in enumerate(steps):
        others = steps[:at] + steps[at + 1 :]
        later = next((i for i in range(at, len(others)) if stops_for(placed, others[i], refs)), None)
        if later is not None:
            yield Mutant(
                f"{placed.path} after {others[later].path}", [*others[: later + 1], placed, *others[later + 1 :]]
            )
        earlier = next((i for i in range(at - 1, -1, -1) if stops_for(placed, others[i], refs)), None)
        if earlier is not None:
            yield Mutant(f"{placed.path} before {others[earlier].path}", [*others[:earlier], placed, *others[earlier:]])
    for opening in ledger.openings:
        if opening.closed_at is not None and 0 <= opening.event.at < opening.closed_at:
            mixed = list(steps)
            a, b = opening.event.at, opening.closed_at
            mixed[a], mixed[b] = mixed[b], mixed[a]
            yield Mutant(f"{steps[a].path} and {steps[b].path} changed places", mixed)


@functools.cache
def composed_for(layout: str) -> Composed:
    library = demo.library()
    engine = next(e for e in library.engines.values() if e.noun.facts["layout"] == layout)
    return compose(library, library.procedures[COMPOSED[layout]], engine)


def left_out(composed: Composed) -> list[Placed]:
    """Return steps that an engine fact leaves out. Others may still use their landmarks as names."""
    return [placed for placed in composed.steps if not placed.present]


def survivors(mutants: list[Mutant], composed: Composed) -> list[str]:
    quiet = []
    for mutant in mutants:
        job = work_out(dataclasses.replace(composed, steps=[*mutant.steps, *left_out(composed)]), demo.library())
        if not faults_of(job, demo.library(), PICTURES):
            quiet.append(mutant.what)
    return quiet


@pytest.mark.parametrize("layout", COMPOSED)
def test_a_worksheet_that_nobody_changed_has_no_fault(layout):
    composed = composed_for(layout)
    untouched = Mutant("nothing changed", work_out(composed, demo.library()).steps)
    assert survivors([untouched], composed) == ["nothing changed"]


@pytest.mark.parametrize("how", ["deleted", "softened", "moved", "kept shut", "left open"])
@pytest.mark.parametrize("layout", COMPOSED)
def test_a_weakened_worksheet_is_noticed(layout, how, capsys):
    composed = composed_for(layout)
    job = work_out(composed, demo.library())
    makers = {
        "deleted": lambda: deletions(job.steps),
        "softened": lambda: softened(job.steps),
        "moved": lambda: moved(job.steps, job.ledger, job.refs),
        "kept shut": lambda: kept_shut(job.steps),
        "left open": lambda: left_open(job.steps),
    }
    mutants = list(makers[how]())
    quiet = survivors(mutants, composed)
    share = 100 * (1 - len(quiet) / len(mutants))
    with capsys.disabled():
        print(f"\n{layout}, {how}: {len(mutants) - len(quiet)} of {len(mutants)} mutants noticed ({share:.1f} %)")
    assert len(mutants) > 30
    assert share >= NOTICED, "not noticed: " + "; ".join(quiet)
