"""What was read and found, and what is worked out from it: once for each fold, before the walk through the steps.

The same table as site_overrides/phone/journal/working.js. It looks at which answers stand, never at the state of a
step.
"""

from __future__ import annotations

import math

from generator.canonical import Json
from generator.journal.entries import Answer, Entry, after
from generator.journal.figures import below, given_bases, is_day, margin_base, reading_base, takes, typed_in, value_base
from generator.journal.step import home
from generator.journal.view import View
from generator.quantities.formulas.evaluation import NEEDLE
from generator.quantities.results import work_out
from generator.quantities.told import ground, half_division, told
from generator.quantities.units import shown
from generator.sheet_types import ResultJson, UnitJson, WorksheetJson
from generator.tables import WORKED_OUT


def work(view: View) -> None:
    """Put readings and results into the view, and the values that results fill."""
    sheet = view.sheet
    if sheet is None or "units" not in sheet:
        return
    view.readings = _readings(view, sheet)
    if not sheet.get("results"):
        return
    names, found = _names(view, sheet), _found(view, sheet)
    _work_out(view, sheet, names, found)


def _readings(view: View, sheet: WorksheetJson) -> dict[str, Json | None]:
    """Return each reading as it stands. If several steps take it, the newest answer counts; disputed, it is unknown."""
    newest: dict[str, Json | None] = {}
    for step in sheet["steps"]:
        for name, part in takes(step["check"]):
            told = view.in_step(view.paths(step["path"]), f"part:{part}")
            sound = [answer.entry for answer in told.answers if _is_sound(sheet, name, answer)]
            if sound and (name not in newest or after(sound[-1], view.taken_by[name])):
                view.taken_by[name] = sound[-1]
                newest[name] = None if told.disputed else _taken(view, sheet, name, sound[0])
    return {name: newest.get(name) for name in sheet["readings"]}


def _is_sound(sheet: WorksheetJson, name: str, answer: Answer) -> bool:
    return answer.kind == "check" and reading_base(sheet, name, answer.entry["value"]) is not None


def _taken(view: View, sheet: WorksheetJson, name: str, entry: Entry) -> Json:
    value = entry["value"]
    base = reading_base(sheet, name, value)
    told = {"number": value["number"], "unit": value["unit"], "base": base, "step": home(view, entry["step"])}
    return told | {key: entry[key] for key in ("who", "at", "id")}


def _found(view: View, sheet: WorksheetJson) -> dict[str, str]:
    """Return {step: its outcome} for steps where one answer stands."""
    found: dict[str, str] = {}
    for step in sheet["steps"]:
        if step["check"]["kind"] != "inspect":
            continue
        told = view.in_step(view.paths(step["path"]), "part:")
        names = [outcome["name"] for outcome in step["check"]["outcomes"]]
        for answer in told.answers:
            outcome = answer.entry["value"].get("outcome")
            if answer.kind == "check" and outcome in names and not told.disputed:
                found[step["path"]] = str(outcome)
                view.taken_by[f"step:{step['path']}"] = answer.entry
    return found


def _names(view: View, sheet: WorksheetJson) -> dict[str, float]:
    """Return everything that is known, in base units."""
    bases = given_bases(sheet, view.start)
    for name, given in sheet["values"].items():
        bases[name] = value_base(sheet["units"], given, view.values[name])
        bases[f"{name}.tolerance"] = margin_base(sheet["units"], given, view.values[name])
    for name, reading in view.readings.items():
        bases[name] = reading["base"] if reading else None
        gauge = sheet["readings"][name]
        bases[name + NEEDLE] = half_division(gauge, reading["unit"], sheet["units"]) if reading else None
    return {name: base for name, base in bases.items() if base is not None}


def _work_out(view: View, sheet: WorksheetJson, names: dict[str, float], found: dict[str, str]) -> None:
    """Work out the results, again as long as they fill values that other results may use."""
    filled = True
    while filled:
        view.results = work_out(sheet["results"], names, found, sheet["tables"])
        filled = False
        for result in sheet["results"]:
            fills = result["fills"]
            if fills in view.values and _fill(view, sheet, result, fills):
                names[fills], filled = view.results[result["name"]]["base"], True


def _fill(view: View, sheet: WorksheetJson, result: ResultJson, fills: str) -> bool:
    """Fill a value that the engine sheet lacks and nobody has read, unless it waits for a second reader."""
    value, worth = view.values[fills], view.results[result["name"]]
    if not value["missing"] or value["disputed"] or "waits" in value or not worth["known"] or worth["bad"]:
        return False
    figure = _figure(worth["base"], sheet["units"].get(result["unit"]), result, view)
    if figure is None:
        return False
    source = {"document": WORKED_OUT, "where": result["label"]}
    value |= {**figure, "unit": result["unit"], "source": source, "missing": False, "filled": True}
    _ask_again(view, sheet, result, fills)
    return True


def _figure(base: float | bool, unit: UnitJson | None, result: ResultJson, view: View) -> Json | None:
    """Return text and number of a result in its unit, as it is told."""
    if isinstance(base, bool) or unit is None:
        return None
    if unit["kind"] == "date":
        return {"text": shown(base, "date"), "number": base} if is_day(base) else None
    if view.sheet is None or not math.isfinite(base / unit["scale"] - unit["offset"]):
        return None
    of = ground(view.sheet, view.results, typed_in(view.sheet, view.readings, view.values))
    text = told(result["name"], result["unit"], of) or ""
    return {"text": f"{text} {result['unit']}" if result["unit"] else text, "number": float(text)}


def _ask_again(view: View, sheet: WorksheetJson, result: ResultJson, fills: str) -> None:
    """Treat the filled value as read when its newest input was: steps answered before that must be done again."""
    known = {**view.read_by, **view.taken_by}
    entries = [known[name] for name in below(sheet, result) if name in known]
    for entry in entries:
        held = view.read_by.get(fills)
        if held is None or after(entry, held):
            view.read_by[fills] = entry
