"""The library's own formulas, worked out as `handturn try` does: figures as a person types them in, results out."""

from __future__ import annotations

import datetime
from functools import cache
from pathlib import Path

from generator.check.library import shelve
from generator.compile.calculators import group_of
from generator.site import disk
from generator.terminal.trial import TrialResult, answers

ROOT = Path(__file__).parent.parent.parent
TODAY = datetime.date(2026, 11, 25)


@cache
def _group(procedure: str):
    """Return the procedure's group for no engine: every figure is typed by the test."""
    library = _library()
    return group_of(library, library.procedures[procedure])


@cache
def _library():
    library, faults = shelve(disk.read_sources(ROOT, ("procedures", "demo_jobs")))
    assert not faults, faults
    return library


def work(procedure: str, today: datetime.date = TODAY, /, **typed: str) -> dict[str, TrialResult]:
    """Return every result of the procedure by name. A step's finding is typed with _ for -: coolant_kind="flushed"."""
    group = _group(procedure)
    steps = {finding["step"].replace("-", "_"): finding["step"] for finding in group["findings"]}
    worked = answers(group, {steps.get(name, name): text for name, text in typed.items()}, today)
    return {answer.name: answer for answer in worked}
