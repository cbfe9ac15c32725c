"""A procedure's arithmetic at the desk: a person types figures and gets results with their working."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from generator.canonical import Json, canonical
from generator.faults import did_you_mean, listing
from generator.quantities import quantity
from generator.quantities.results import work_out
from generator.quantities.units import UNITS, from_base, shown, to_base
from generator.tables import GAUGES, row


class Mistyped(ValueError):
    """A word of the command line that cannot be used. Its text says what to write instead."""


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


def answers(group: Json, typed: Mapping[str, str], today: datetime.date) -> list[TrialResult]:
    """Work out every result of a group (`compile.calculators.group_of`) from `name=value` texts. Raises Mistyped."""
    desk = _Desk(group, today)
    for name, text in typed.items():
        desk.take(name, text)
    states = desk.work_out()
    return [desk.answer(result, states) for result in group["results"]]


class _Desk:
    def __init__(self, group: Json, today: datetime.date) -> None:
        self.group = group
        self.names: dict[str, float] = {"today": float((today - datetime.date(1970, 1, 1)).days)}
        self.found: dict[str, str] = {}
        self.typed: dict[str, str] = {}
        self.findings = {finding["step"]: finding for finding in group["findings"]}
        for name, value in group["values"].items():
            self._given(name, value["number"])
            self._given(f"{name}.tolerance", value["margin"])
        for name, given in group["givens"].items():
            if given["number"] is not None:
                self.names[name] = to_base(given["number"], given["unit"])

    def work_out(self) -> Json:
        """Return every result. If nobody gave a value, the result that fills it does, as on the phone."""
        states = work_out(self.group["results"], self.names, self.found, self.group["tables"])
        for result in self.group["results"]:
            state = states[result["name"]]
            if result["fills"] not in (None, *self.names) and state["known"] and not state["bad"]:
                self.names[result["fills"]] = state["base"]
                return self.work_out()
        return states

    def _given(self, name: str, number: Json | None) -> None:
        if number is not None:
            self.names[name] = to_base(number["number"], number["unit"])

    def take(self, name: str, text: str) -> None:
        if name in self.findings:
            self._finding(name, text)
            return
        unit = self._unit_asked(name)
        self.names[name], self.typed[name] = (_date if unit == "date" else _number)(name, text, unit)

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
            text=None if base is None else _with_unit(shown(base, unit, result["step"]), unit),
            verdict=state["verdict"],
            bad=state["bad"],
            says=" ".join(self._plain(limit[key], states) for key in ("say", "do") if limit and limit[key]),
            needs=tuple(state["needs"]),
            because=tuple(state["because"]),
            working=self.words(result),
            inputs=tuple(self._input(name, states) for name in result["inputs"]),
            sources=tuple(self._source(table) for table in result["tables"]),
        )

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
            base = states[name]["base"]
            return None if base is None else _with_unit(shown(base, result["unit"], result["step"]), result["unit"])
        if name in self.typed or name not in self.names:
            return self.typed.get(name)
        unit = self._unit(name)
        return _with_unit(shown(self.names[name], unit), unit)

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


def _with_unit(text: str, unit: str) -> str:
    return text if unit in ("", "date") else f"{text} {unit}"


def _date(name: str, text: str, unit: str) -> tuple[float, str]:
    try:
        return float((datetime.date.fromisoformat(text) - datetime.date(1970, 1, 1)).days), text
    except ValueError:
        raise Mistyped(f"{name} is a date as year-month-day, for example 2021-05-14, not {text!r}.") from None


def _number(name: str, text: str, unit: str) -> tuple[float, str]:
    """Return the figure in base units, and as it was typed, without needless zeros, as on the phone."""
    kind = UNITS[unit].kind
    fitting = [other for other, of in UNITS.items() if of.kind == kind]
    read = quantity.typed(text)
    if read is None:
        raise Mistyped(f"{name} is a number with its unit, for example {name}=5.5{unit}, not {text!r}.")
    typed = read.unit or (unit if unit in ("", "teeth", "turns") else "")
    # A dial shows only kPa. The reading knows which kind of dial it is.
    typed = typed if typed in fitting else typed + (row(GAUGES, kind) or "")
    if typed not in fitting:
        said = f"has no unit {read.unit}" if read.unit else "has a unit"
        raise Mistyped(f"{name} {said}; write one of: {listing(fitting)}.")
    of = quantity.Quantity(read.number.replace(",", "."), typed)
    return of.base, _with_unit(canonical(float(of.number)), typed)
