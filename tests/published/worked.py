"""The library's own formulas, worked out as `handturn try` does: figures as a person types them in, results out."""

from __future__ import annotations

import datetime
from functools import cache
from pathlib import Path

from generator.check.library import shelve
from generator.compile.calculators import group_of
from generator.site import disk
from generator.terminal.trial import TrialResult, answers
from tests.published.lookup import read

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


def work(procedure: str, today: datetime.date = TODAY, sure: bool = False, /, **typed: str) -> dict[str, TrialResult]:
    """Return every result of the procedure by name. A step's finding is typed with _ for -: coolant_kind="flushed".
    Nothing spilled, unless the test says so.

    `sure`: figures beyond what a reading expects are taken. Raises Odd for them otherwise.
    """
    group = _group(procedure)
    steps = {finding["step"].replace("-", "_"): finding["step"] for finding in group["findings"]}
    said = {**({"spilled": "0L"} if "spilled" in group["readings"] else {}), **typed}
    worked = answers(group, {steps.get(name, name): text for name, text in said.items()}, today, sure)
    return {answer.name: answer for answer in worked}


def whole(mix: float, kind: str) -> dict[str, str]:
    """Return what to type so that all of 8 L is this mix, % by volume: nothing of another mix stayed inside."""
    return {
        "drained": "8L",
        "coolant_capacity": "8L",
        "freeze_now": "-51.1degC" if kind == "propylene" else "-48.3degC",
        "mix_in_can": f"{mix:.9g}%",
        "coolant_kind": kind,
    }


def vapour(mix: float, degc: float, kind: str = "ethylene") -> float:
    """Return the kPa under which the vacuum refill says that this mix boils.

    What stayed inside is as strong as its table goes: 57.8 % ethylene glycol, 60 % propylene."""
    worked = work("refill-vacuum", TODAY, True, coolant_temperature=f"{degc:.9g}degC", **whole(mix, kind))
    return worked["coolant_vapour"].value


def boils(mix: float, kpa: float, kind: str = "ethylene") -> float:
    """Return the degC at which the heat test says that this mix boils, at a pressure that counts from zero."""
    air = read("air_pressure_by_altitude", 0)
    cap = f"{kpa - air:.9g}kPa(g)"
    return work("heat-test", TODAY, True, cap_says=cap, shop_altitude="0m", **whole(mix, kind))["boils_at"].value
