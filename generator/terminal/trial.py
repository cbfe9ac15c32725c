"""A procedure's arithmetic at the desk: a person types figures and gets results with their working."""

from __future__ import annotations

import datetime
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from generator.canonical import Json, canonical
from generator.faults import did_you_mean, listing
from generator.quantities import quantity
from generator.quantities.formulas.evaluation import NEEDLE
from generator.quantities.meant_figures import meant_by
from generator.quantities.nearness import NEAR
from generator.quantities.possible_ranges import (
    FIELD_RANGES,
    LIMITS,
    PossibleRange,
    can_be_read,
    in_base,
    is_possible,
    is_within,
    said_range,
)
from generator.quantities.quantity import Quantity
from generator.quantities.results import given_beforehand, given_figures, with_unit, work_out_all
from generator.quantities.told import ground, half_division, told
from generator.quantities.typed_numbers import chosen
from generator.quantities.units import UNITS, from_base, shown, to_base
from generator.sheet_types import LimitsJson
from generator.tables import GAUGES, row


class Mistyped(ValueError):
    """A word of the command line that cannot be used. Its text says what to write instead."""


class Odd(ValueError):
    """Readings that are not what was expected. Its text says which, a line each; a person may be sure of them."""


@dataclass(frozen=True)
class TrialResult:
    """One result. `value` is in `unit`; `needs` are the names that are not known yet."""

    name: str
    label: str
    value: float | bool | str | None
    unit: str
    text: str | None
    verdict: str | None
    bad: bool
    says: str
    needs: tuple[str, ...]
    because: tuple[str, ...]
    working: str
    inputs: tuple[str, ...]
    sources: tuple[str, ...] = field(default=())


def answers(group: Json, typed: Mapping[str, str], today: datetime.date, sure: bool = False) -> list[TrialResult]:
    """Work out every result of a group (`compile.calculators.group_of`) from `name=value` texts. Raises Mistyped, and
    Odd unless somebody is `sure`: where the phone refuses, and where it asks."""
    desk = _Desk(group, today)
    for name, text in typed.items():
        desk.take(name, text)
    if desk.odd and not sure:
        raise Odd("\n".join(desk.odd))
    states = desk.work_out()
    return [desk.answer(result, states) for result in group["results"]]


class _Desk:
    def __init__(self, group: Json, today: datetime.date) -> None:
        self.group = group
        self.names: dict[str, float] = {"today": float((today - datetime.date(1970, 1, 1)).days)}
        self.found: dict[str, str] = {}
        self.typed: dict[str, str] = {}
        self.figures = given_figures(group)  # name -> the number and unit in which it was typed or stated
        self.odd: list[str] = []
        self.findings = {finding["step"]: finding for finding in group["findings"]}
        self.names |= given_beforehand(group)

    def work_out(self) -> Json:
        """Return every result. If nobody gave a value, the result that fills it does, as on the phone."""
        states, self.names = work_out_all(self.group, self.names, self.found)
        return states

    def take(self, name: str, text: str) -> None:
        if name in self.findings:
            self._finding(name, text)
            return
        unit = self._unit_asked(name)
        if unit == "date":
            self.names[name], self.typed[name] = _date(name, text)
            return
        box = self._box(name, unit)
        figure = _figure_of(name, text, box)
        odd = box.oddness(figure)
        if odd and name not in self.group["readings"]:
            raise Mistyped(f"{name}={text} can't be right. {odd}{box.meant(figure)}")
        if odd:
            self.odd.append(f"{name}: {figure}? {odd}{box.meant(figure)}")
        self.names[name] = figure.base
        # Without needless zeros, as on the phone.
        self.typed[name] = with_unit(canonical(figure.figure), figure.unit)
        self.figures[name] = figure.figure, figure.unit
        reading = self.group["readings"].get(name)
        width = half_division(reading, figure.unit, self.group["units"]) if reading else None
        if width is not None:
            self.names[name + NEEDLE] = width

    def _box(self, name: str, unit: str) -> _Box:
        reading = self.group["readings"].get(name)
        if reading:
            limit = can_be_read(reading["kind"], unit)
            return _Box(unit, reading["units"], limit, _ends(reading, unit))
        value = self.group["values"].get(name)
        if value:
            return _Box(unit, value["units"], LIMITS.get(value["kind"]), _ends(value, unit))
        of_kind = [one for one, of in self.group["units"].items() if of["kind"] == UNITS[unit].kind]
        return _Box(unit, sorted(of_kind), FIELD_RANGES.get(_FIELD_OF[name]))

    def _unit_asked(self, name: str) -> str:
        """Return the unit that is first offered for a name. Raises Mistyped for a name that takes no number."""
        values = {name: value for name, value in self.group["values"].items() if value["units"]}
        if name in values:
            return str(values[name]["units"][0])
        for key in ("readings", "givens"):
            if name in self.group[key]:
                return str(self.group[key][name]["unit"])
        known = (*self.group["readings"], *self.findings, *values, *self.group["givens"])
        raise Mistyped(f"nothing here is called {name!r}. {did_you_mean(name, known)}It takes: {listing(known)}.")

    def _finding(self, name: str, text: str) -> None:
        outcomes = [outcome["name"] for outcome in self.findings[name]["outcomes"]]
        if text not in outcomes:
            raise Mistyped(f"{name} is one of {listing(outcomes)}, not {text!r}.")
        self.found[name] = text

    def answer(self, result: Json, states: Json) -> TrialResult:
        state = states[result["name"]]
        base, unit = state["base"], result["unit"]
        limit = result["limits"][state["limit"]] if state["limit"] is not None else None
        return TrialResult(
            name=result["name"],
            label=result["label"],
            value=_value(base, unit),
            unit=unit,
            text=self._told(result, states),
            verdict=state["verdict"],
            bad=state["bad"],
            says=" ".join(self._plain(limit[key], states) for key in ("say", "do") if limit and limit[key]),
            needs=tuple(state["needs"]),
            because=tuple(state["because"]),
            working=self.words(result),
            inputs=tuple(self._input(name, states) for name in result["inputs"]),
            sources=tuple(self._source(table) for table in result["tables"]),
        )

    def _told(self, result: Json, states: Json) -> str | None:
        said = told(result["name"], result["unit"], ground(self.group, states, self.figures.get))
        return None if said is None else with_unit(said, result["unit"])

    def words(self, result: Json) -> str:
        return "".join(piece if isinstance(piece, str) else self._label(piece) for piece in result["words"])

    def _label(self, piece: list[Any]) -> str:
        kind, name = piece[0], piece[1]
        if kind == "table":
            return str(self.group["tables"][name]["title"])
        return f'"{self._outcome(name, piece[2])}"' if kind == "step" else self.label(name)

    def _outcome(self, step: str, outcome: str) -> str:
        offered = self.findings[step]["outcomes"] if step in self.findings else []
        return next((str(one["label"]) for one in offered if one["name"] == outcome), outcome)

    def label(self, name: str) -> str:
        """Return what a person calls a name of the formulas."""
        base, _, part = name.removeprefix("step:").partition(".")
        if name.startswith("step:") and base in self.findings:
            return str(self.findings[base]["label"])
        for key in ("readings", "values", "givens"):
            if base in self.group[key]:
                label = str(self.group[key][base]["label"])
                return f"tolerance of {label}" if part else label
        return next((r["label"] for r in self.group["results"] if r["name"] == base), base)

    def _input(self, name: str, states: Json) -> str:
        return f"{self.label(name)} ({name}): {self._figure(name, states) or 'not known yet'}"

    def _figure(self, name: str, states: Json) -> str | None:
        if name.startswith("step:"):
            return self.found.get(name.removeprefix("step:"))
        if name in states:
            result = next(r for r in self.group["results"] if r["name"] == name)
            return self._told(result, states)
        if name in self.typed or name not in self.names:
            return self.typed.get(name)
        unit = self._unit(name)
        return with_unit(shown(self.names[name], unit), unit)

    def _unit(self, name: str) -> str:
        base, _, part = name.partition(".")
        value = self.group["values"].get(base)
        if value is not None:
            number = value["margin"] if part else value["number"]
            return str(number["unit"] if number else value["units"][0])
        return str((self.group["readings"].get(base) or self.group["givens"][base])["unit"])

    def _plain(self, tree: list[Any], states: Json) -> str:
        out = []
        for node in tree:
            if isinstance(node, str):
                out.append(node)
            elif "v" in node:
                out.append(self._figure(node["v"], states) or f"[{self.label(node['v'])}]")
            else:
                out.append(self._plain(node["c"], states))
        return "".join(out)

    def _source(self, name: str) -> str:
        table = self.group["tables"][name]
        return f"{table['title']}: {table['source']}"


def _value(base: float | bool | None, unit: str) -> float | bool | str | None:
    if base is None or isinstance(base, bool):
        return base
    return shown(base, unit) if unit == "date" else from_base(base, unit)


def _date(name: str, text: str) -> tuple[float, str]:
    try:
        return float((datetime.date.fromisoformat(text) - datetime.date(1970, 1, 1)).days), text
    except ValueError:
        raise Mistyped(f"{name} is a date as year-month-day, for example 2021-05-14, not {text!r}.") from None


# What the shop and the job give, as their fields are held against.
_FIELD_OF = {"shop_altitude": "altitude", "shop_coldest": "coldest", "odometer": "odometer"}


@dataclass(frozen=True)
class _Box:
    """What may be typed for one name: the unit that is first offered, all its units as the phone offers them, what it
    can be, and the ends, in base units, of what is expected of it, None where nobody says."""

    unit: str
    units: Sequence[str]
    limit: PossibleRange | None
    ends: tuple[float | None, float | None] = (None, None)

    def is_expected(self, figure: Quantity) -> bool:
        """True if it lies between the ends that are stated; one that is not stated is that of what can be."""
        low, high = self.ends
        limit = in_base(self.limit) if self.limit else None
        if limit and (limit["whole"] or None in self.ends) and not is_within(figure.base, _open(limit, self.ends)):
            return False
        near = NEAR * max(abs(end) for end in (low or 0.0, high or 0.0))
        return (low is None or figure.base >= low - near) and (high is None or figure.base <= high + near)

    def oddness(self, figure: Quantity) -> str:
        """Return what is odd about a figure, with what is expected; "" where nothing is."""
        if self.is_expected(figure):
            return ""
        low, high = (None if end is None else with_unit(shown(end, self.unit), self.unit) for end in self.ends)
        stated = [*([f"at least {low}"] if low else []), *([f"at most {high}"] if high else [])]
        if self.limit and (not stated or not is_possible(figure.base, self.limit)):
            return f"{self.limit.why}: {said_range(self.limit)}."
        return f"Expected: {' and '.join(stated)}."

    def others(self, figure: Quantity) -> list[Quantity]:
        """Return what else an odd figure may have been."""
        return meant_by(figure, UNITS[self.unit].kind, self.units, self.is_expected)

    def meant(self, figure: Quantity) -> str:
        """Return the same as a question; "" where nothing fits."""
        found = [str(one) for one in self.others(figure)]
        said = " or ".join([*([", ".join(found[:-1])] if found[1:] else []), *found[-1:]])
        return f" Did you mean {said}?" if said else ""


def _ends(box: Json, unit: str) -> tuple[float | None, float | None]:
    """Return what is expected of a reading or a value, in base units; None for an end that nobody says."""
    low, high = (None if box.get(key) is None else to_base(box[key], box.get("unit", unit)) for key in ("from", "to"))
    return low, high


def _open(limit: LimitsJson, ends: tuple[float | None, float | None]) -> LimitsJson:
    """Return the limit without the ends that the procedure states itself."""
    low, high = ends
    return {
        **limit,
        "low": limit["low"] if low is None else -math.inf,
        "high": limit["high"] if high is None else math.inf,
    }


def _figure_of(name: str, text: str, box: _Box) -> Quantity:
    """Return what was typed. Of two meanings the one that is expected, or that can be. Raises Mistyped."""
    unit, kind = box.unit, UNITS[box.unit].kind
    fitting = [other for other, of in UNITS.items() if of.kind == kind]
    found = quantity.typed(text)
    if not found:
        raise Mistyped(f"{name} is a number with its unit, for example {name}=5.5{unit}, not {text!r}.")
    said = found[0].unit or (unit if unit in ("", "teeth", "turns", "pieces") else "")
    # A dial shows only kPa. The reading knows which kind of dial it is.
    said = said if said in fitting else said + (row(GAUGES, kind) or "")
    if said not in fitting:
        wrong = f"has no unit {found[0].unit}" if found[0].unit else "has a unit"
        raise Mistyped(f"{name} {wrong}; write one of: {listing(fitting)}.")
    limit = box.limit
    figures = [Quantity(one.number, said) for one in found]
    left = chosen(figures, box.is_expected, lambda one: limit is None or is_possible(one.base, limit))
    if len(left) > 1:
        both = " or ".join(f"{name}={one.number}{found[0].unit}" for one in left)
        raise Mistyped(f"{name}={text} can mean {' or '.join(map(str, left))}; write {both}.")
    return left[0]
