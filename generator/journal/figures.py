"""Numbers with their units, by the worksheet's own table of units. And which results depend on a step's own answer.

The same table as site_overrides/phone/journal/figures.js. base = (number + offset) * scale.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from typing import Any

from generator.canonical import Json
from generator.journal.answers import is_number, rules_of, said
from generator.quantities.dates import DAY_MS, FIRST, LAST, phone_ms, said_day
from generator.quantities.quantity import read
from generator.sheet_types import CheckJson, ResultJson, StepJson, UnitJson, ValueJson, WorksheetJson
from generator.tables import GAUGES, row

ODOMETER = re.compile(r"[0-9]{1,9}(?:[.,][0-9]{1,2})?")


def base_of(units: dict[str, UnitJson], number: Any, unit: Any, kind: str) -> float | None:
    """Return a number in base units. None if the unit is not of this kind, or the date not in the calendar."""
    of = units.get(unit) if isinstance(unit, str) else None
    if of is None or of["kind"] != kind or not is_number(number):
        return None
    try:
        base = (float(number) + of["offset"]) * of["scale"] + 0.0
    except OverflowError:
        return None
    return base if math.isfinite(base) and (kind != "date" or is_day(base)) else None


def is_day(base: float) -> bool:
    """True if it is a whole day of the calendar."""
    return FIRST <= base <= LAST and base % 1 == 0


def reading_base(sheet: WorksheetJson, name: str, value: Json) -> float | None:
    """Return what was read, in base units. None if it is not a number of the reading's kind."""
    reading = sheet.get("readings", {}).get(name)
    if "units" not in sheet or reading is None:
        return None
    return base_of(sheet["units"], value.get("number"), value.get("unit"), reading["kind"])


def counts(sheet: WorksheetJson, name: str, value: Json) -> bool:
    """True if a measured figure counts: its unit is of the reading's kind, or the worksheet knows no kind for it."""
    if "units" in sheet and name in sheet.get("readings", {}):
        return reading_base(sheet, name, value) is not None
    return is_number(value.get("number")) and said(value.get("unit"))


def value_base(units: dict[str, UnitJson], given: ValueJson, state: Json) -> float | None:
    """Return what formulas use for a value: the worksheet's number, or what was read on the phone as number or text."""
    if state["missing"]:
        return None
    if state["filled"]:
        return _read(units, state, given["kind"])
    number, kind = given.get("number"), "number" if given["kind"] == "count" else given["kind"]
    return None if number is None else base_of(units, number["number"], number["unit"], kind)


def _read(units: dict[str, UnitJson], state: Json, kind: str) -> float | None:
    number, unit = state["number"], state["unit"]
    if number is None:
        told = read(state["text"] or "")
        if not told or not told.is_short:
            return None
        number, unit = told.figure, told.unit
    return figure_base(units, number, unit, kind)


def figure_base(units: dict[str, UnitJson], number: Any, unit: str, kind: str) -> float | None:
    """Return a figure of a value in base units. None if it is not of the value's kind."""
    of = "number" if kind == "count" else kind
    base = base_of(units, number, unit, of)
    return base if base is not None else base_of(units, number, unit + (row(GAUGES, of) or ""), of)


def typed_in(
    sheet: WorksheetJson, readings: Mapping[str, Any], values: Mapping[str, Any]
) -> Callable[[str], tuple[float, str] | None]:
    """Return what looks a name up: the figure and unit in which a reading or a value was typed or stated, or None.
    `readings`, `values`: as they stand in the state of a job."""

    def typed(name: str) -> tuple[float, str] | None:
        reading, state, given = readings.get(name), values.get(name), sheet["values"].get(name)
        if reading:
            return reading["number"], reading["unit"]
        if not state or not given or state["missing"]:
            return None
        number, unit = (state["number"], state["unit"]) if state["filled"] else _stated(given)
        if number is None and state["filled"] and (told := read(state["text"] or "")) and told.is_short:
            number, unit = told.figure, told.unit
        gauge = (unit or "") + (row(GAUGES, given["kind"]) or "")
        unit = unit if unit in sheet["units"] and sheet["units"][unit]["kind"] == given["kind"] else gauge
        return (number, unit) if number is not None and unit in sheet["units"] else None

    return typed


def _stated(given: ValueJson) -> tuple[float | None, str | None]:
    number = given.get("number")
    return (number["number"], number["unit"]) if number else (None, None)


def margin_base(units: dict[str, UnitJson], given: ValueJson, state: Json) -> float | None:
    """Return the tolerance in base units: the worksheet's, or the one read with the value. Its kind may differ from the
    value's: K for a temperature."""
    margin = None if state["missing"] else state.get("margin") if state["filled"] else given.get("margin")
    of = units.get(margin["unit"]) if margin else None
    return base_of(units, margin["number"], margin["unit"], of["kind"]) if margin and of else None


def given_bases(sheet: WorksheetJson, start: Mapping[str, Any] | None) -> dict[str, float | None]:
    """Return what the shop and the job give, in base units. `start` is the entry that started the job."""
    bases: dict[str, float | None] = {}
    for name, given in sheet.get("givens", {}).items():
        bases[name] = base_of(sheet["units"], given.get("number"), given["unit"], given["kind"])
    if start:
        began = job_day(start["at"], start["value"])
        bases["odometer"] = _odometer(sheet["units"], start["value"].get("odometer"))
        bases["today"] = None if began is None else float(began)
    return bases


def job_day(at: str, value: Mapping[str, Any]) -> int | None:
    """Return the day on which a job was started, as the shop's clocks had it. Older phones did not write it: of their
    jobs it is the day in UTC."""
    began = phone_ms(at)
    if began is None:
        return None
    said_so = said_day((value.get("local") or {}).get("day"), began)
    return began // DAY_MS if said_so is None else said_so


def _odometer(units: dict[str, UnitJson], told: Any) -> float | None:
    if not isinstance(told, dict):
        return None
    number = told.get("number")
    if isinstance(number, str) and ODOMETER.fullmatch(number):
        number = float(number.replace(",", "."))
    return base_of(units, number, told.get("unit"), "distance")


def takes(check: CheckJson) -> list[tuple[str, str]]:
    """Return the readings that a check-off takes, each with the part that takes it."""
    return rules_of(check["kind"]).takes(check)


def own_results(sheet: WorksheetJson, step: StepJson) -> set[str]:
    """Return the results that depend on what this step takes or finds, directly or through other results."""
    taken = {f"step:{step['path']}", *(name for name, _ in takes(step["check"]))}
    own: set[str] = set()
    for result in sheet.get("results", []):
        if (taken | own) & set(result["inputs"]):
            own.add(result["name"])
    return own


def below(sheet: WorksheetJson, result: ResultJson) -> set[str]:
    """Return everything that a result is worked out from, through all results between."""
    inputs = {other["name"]: other["inputs"] for other in sheet["results"]}
    met = set(result["inputs"])
    waiting = list(met)
    for name in waiting:
        more = set(inputs.get(name, ())) - met
        met |= more
        waiting += more
    return met


def held_by(results: Mapping[str, Json], step: StepJson) -> list[str]:
    """Return the results that stop a step from being closed: not known yet, or bad."""
    worth = {name: results.get(name) for name in step.get("holds") or ()}
    return [name for name, result in worth.items() if result is None or result["bad"] or not result["known"]]
