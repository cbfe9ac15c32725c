"""The values of a composed job: what procedures ask for, and what the engine sheet gives."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from generator.compile.compose import Composed, ProcedureUse
from generator.compile.tightening import bolt_facts
from generator.faults import Fault
from generator.faults import job as faults
from generator.model import EngineValue, ValueNeed
from generator.quantities.possible_ranges import LIMITS, in_base
from generator.quantities.quantity import Quantity, written
from generator.quantities.units import KINDS, UNITS, from_base, to_base
from generator.sheet_types import LimitsJson, QuantityJson, ValueJson
from generator.tables import GAUGES, SECONDS, row
from generator.worksheet import STRICTNESS, Fastener

UNLISTED = "the {sheet} does not list it"  # as the trade calls the sheet
"""Why a value is missing of which the sheet has no word; any other reason was written by a person."""
UNREAD = "nobody has read it today"
"""Why a value is missing that no sheet can know."""
# A manual prints a gauge's figures in plain units. The procedure's kind of value says which gauge it is.


@dataclass
class JobValues:
    """`needs`: name in the job -> what the procedures say of it; `given`: what the engine sheet says; `kinds`: name ->
    the kinds that all procedures of the shop ask for it as."""

    needs: dict[str, ValueNeed] = field(default_factory=dict)
    given: dict[str, EngineValue] = field(default_factory=dict)
    kinds: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    sheet: str = "sheet"  # what the trade calls the sheet
    bounds: set[tuple[str, str]] = field(default_factory=set)  # (a value, another that it may not be more than)
    faults: list[Fault] = field(default_factory=list)

    def count(self, name: str) -> int | None:
        value = self.given.get(name)
        return value.count if value else None

    def class_of(self, name: str) -> Fastener:
        """critical, ordinary or clip: the stricter of what the procedures and the engine sheet say."""
        need = self.needs[name]
        if need.kind not in ("torque", "angle"):
            return "critical" if need.critical else "ordinary"
        said = [need.fastener or "ordinary"]
        value = self.given.get(name)
        if value and value.fastener:
            said.append(value.fastener)
        if need.fastener == "clip" and value and value.fastener == "ordinary":
            return "ordinary"
        return max(said, key=STRICTNESS.__getitem__)


def meet(composed: Composed, kinds: Mapping[str, tuple[str, ...]]) -> JobValues:
    """Match every value that the job's procedures declare with the engine sheet."""
    values = JobValues(given=composed.engine.noun.values, kinds=kinds, sheet=composed.sheet_name)
    for scope, present in composed.scopes:
        if present:
            _declare(scope, values)
    return values


def _declare(scope: ProcedureUse, values: JobValues) -> None:
    for inner, declared in scope.procedure.noun.values.items():
        name = scope.name(inner)
        need = declared.model_copy(update={"label": scope.label(inner, declared.label)})
        if declared.at_most:
            values.bounds.add((name, scope.name(declared.at_most)))
        if declared.at_least:
            values.bounds.add((scope.name(declared.at_least), name))
        first = values.needs.get(name)
        if first is None:
            values.needs[name] = need
        elif first.kind != need.kind:
            place = scope.place("values", inner, "kind")
            values.faults.append(faults.ValueKindClash(place, name, need.kind, first.kind))
        else:
            both = stricter(first, need)
            if both.from_ and both.to and both.from_.base > both.to.base:
                place = scope.procedure.key_place("values", inner)
                values.faults.append(faults.RangesDoNotMeet(place, name, str(both.from_), str(both.to)))
            else:
                values.needs[name] = both


def stricter(first: ValueNeed, second: ValueNeed) -> ValueNeed:
    """Return the first with all that either of the two asks: class, second reading, range. Its label stays."""
    classes: list[Fastener] = [said for need in (first, second) if (said := need.fastener)]
    strictest = sorted(classes, key=STRICTNESS.__getitem__)[-1] if classes else None
    low: Quantity | None = max(_each(first.from_, second.from_), key=_base, default=None)
    high: Quantity | None = min(_each(first.to, second.to), key=_base, default=None)
    return first.model_copy(
        update={
            "fastener": strictest,
            "critical": first.critical or second.critical,
            "of_the_day": first.of_the_day or second.of_the_day,
            "from_": low,
            "to": high,
        }
    )


def _base(end: Quantity) -> float:
    return end.base


def _each(*ends: Quantity | None) -> list[Quantity]:
    return [end for end in ends if end is not None]


def sheet_value(name: str, values: JobValues, asks_margin: bool = False) -> ValueJson:
    """Return one value as the worksheet holds it. `text` is what is shown, None if the phone must ask for it."""
    need, value = values.needs[name], values.given.get(name)
    bolts = bolt_facts(value if need.kind in ("torque", "angle") else None)
    out: ValueJson = {
        "label": need.label,
        "kind": need.kind,
        "class": values.class_of(name),
        "text": None,
        "missing": UNLISTED.format(sheet=values.sheet) if value is None else value.missing,
        "source": None,
        "count": values.count(name),
        "reuse": (value.reuse if value else None) or ("ask" if need.kind == "torque" else None),
        "passes": [],
        "order": list(value.order) if value else [],
        "tolerance": str(value.tolerance) if value and value.tolerance else None,
        "thread": value.bolt.thread if value and value.bolt else None,
        "number": None,
        "margin": None,
        "asks_margin": asks_margin,
        "units": units_of(need.kind),
        "condition": bolts["condition"],
        "into": bolts["into"],
        "grade": bolts["grade"],
        "engaged": bolts["engaged"],
        "head": bolts["head"],
        "grip": bolts["grip"],
        "band": bolts["band"],
        "turn": bolts["turn"],
        "unjudged": bolts["unjudged"],
        "doubt": bolts["doubt"],
        "points": bolts["points"],
    }
    if need.of_the_day:
        out["of_the_day"], out["missing"] = True, UNREAD
    if value is not None and value.missing is None:
        out["number"] = number_of(value, need.kind)
        out["margin"] = margin_of(value, out["number"])
        out["text"] = value.shown
        out["passes"] = [str(pull) for pull in pulls(value)]
        out["source"] = value.source.on_sheet() if value.source else None
    return out


def limits_json(kind: str) -> LimitsJson | None:
    """Return what a figure of this kind can be, in base units. None if it has no limits."""
    return in_base(LIMITS[kind]) if kind in LIMITS else None


def limits_of(name: str, values: JobValues) -> LimitsJson | None:
    """Return what a figure can be that is typed in for this value, in base units: within its kind's limits, and no more
    or less than what the engine sheet gives for a value that it is set against. None if its kind has no limits."""
    limits = limits_json(values.needs[name].kind)
    if limits is None:
        return None
    _narrow(limits, values.needs[name])
    ends: dict[str, str] = {}
    for less, more in sorted(values.bounds):
        other, key = (more, "high") if less == name else (less, "low")
        figure = figure_of(other, values) if name in (less, more) else None
        if figure is not None and key == "high" and figure < limits["high"]:
            limits["high"], ends[key] = figure, other
        elif figure is not None and key == "low" and figure > limits["low"]:
            limits["low"], limits["above"], ends[key] = figure, False, other
    return {**limits, "of": [values.needs[other].label for other in ends.values()]} if ends else limits


def _narrow(limits: LimitsJson, need: ValueNeed) -> None:
    """Narrow what a figure of this kind can be to what the procedures expect of this value."""
    if need.to is not None:
        limits["high"] = min(limits["high"], need.to.base)
    if need.from_ is not None and need.from_.base > limits["low"]:
        limits["low"], limits["above"] = need.from_.base, False


def figure_of(name: str, values: JobValues) -> float | None:
    """Return what the engine sheet gives for a value, in its base unit. None for words, and for what is missing."""
    need, value = values.needs.get(name), values.given.get(name)
    if need is None or value is None or value.missing is not None:
        return None
    number = number_of(value, need.kind)
    return to_base(number["number"], number["unit"]) if number else None


def units_of(kind: str) -> list[str]:
    """Return the units that a number of this kind may have. The first is offered first. None of them for words."""
    if kind in ("count", "number"):
        return [""]
    return list(KINDS.get(kind, ()))


def number_of(value: EngineValue, kind: str) -> QuantityJson | None:
    """Return a value as formulas use it: {number, unit} in a unit of its kind. None for words."""
    if not units_of(kind):
        return None
    if kind == "count":
        return None if value.count is None else {"number": value.count, "unit": ""}
    if value.quantity is None:
        return None
    said = value.quantity
    mark = row(GAUGES, kind)
    return _on_gauge(said, kind, mark) if mark else {"number": _plain(said.figure), "unit": said.unit}


def _on_gauge(said: Quantity, kind: str, mark: str) -> QuantityJson:
    """Return 85 kPa for a vacuum gauge as 85 kPa(vac). Turn a unit that no such gauge has into kPa."""
    if said.unit + mark in KINDS[kind]:
        return {"number": _plain(said.figure), "unit": said.unit + mark}
    first = KINDS[kind][0]
    return {"number": from_base(said.base, first), "unit": first}


def margin_of(value: EngineValue, number: QuantityJson | None) -> QuantityJson | None:
    """Return the tolerance, never as a share of the value: in K for a temperature, in plain units for a gauge."""
    if value.tolerance is None or number is None:
        return None
    size, unit = value.tolerance.figure, value.tolerance.unit
    plain = number["unit"].partition("(")[0] if UNITS[number["unit"]].kind in GAUGES else number["unit"]
    if unit == "%" and number["unit"] != "%":
        return {"number": abs(number["number"]) * size / 100, "unit": plain}
    if UNITS[unit].kind == "temperature":
        return {"number": size * UNITS[unit].scale, "unit": "K"}
    return {"number": _plain(size), "unit": unit}


def _plain(number: float) -> float | int:
    return int(number) if number == int(number) else number


def pulls(value: EngineValue | None) -> list[Quantity]:
    """Return the pulls of a tightening: passes or torque, then angle stages. Empty if the value is missing."""
    if value is None or value.missing is not None:
        return []
    first = list(value.passes) or [quantity for quantity in (value.torque, value.angle) if quantity]
    return [*first, *value.then]


def time_of(value: EngineValue | None) -> Quantity | None:
    """Return how long a wait lasts, even if its value is written as text. None if that is not a time, or missing."""
    if value is None or value.missing is not None:
        return None
    return value.quantity or (written(value.text) if value.text else None)


def is_of_kind(value: EngineValue, kinds: tuple[str, ...]) -> bool:
    """True if the engine sheet gives this value as one of these kinds: times, counts, torques and angles."""
    if "time" in kinds:
        return seconds(time_of(value)) is not None
    return value.count is not None if "count" in kinds else bool(pulls(value))


def seconds(time: Quantity | None) -> int | None:
    """Return a time as seconds: 10 min -> 600. None if it is unknown or not a time."""
    unit = row(SECONDS, time.unit) if time else None
    return round(time.figure * unit) if time and unit and time.figure >= 0 else None
