"""The values of a composed job: what procedures ask for, met by what the engine sheet gives."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

from generator import jobfaults as faults
from generator.compile.compose import Composed, Scope
from generator.faults import Fault
from generator.model import EngineValue, Fastener, ValueNeed

STRICTNESS = {"clip": 0, "ordinary": 1, "critical": 2}
QUANTITY_FIELDS = ("torque", "angle", "time", "length", "temperature", "pressure", "volume", "frequency")
SECONDS = {"s": 1, "min": 60, "h": 3600}


@dataclass
class Values:
    """`needs`: name in the job -> what the procedures say of it; `given`: what the engine sheet says."""

    needs: dict[str, ValueNeed] = field(default_factory=dict)
    given: dict[str, EngineValue] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def count(self, name: str) -> int | None:
        value = self.given.get(name)
        return value.count if value else None

    def class_of(self, name: str) -> str:
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


def meet(composed: Composed) -> Values:
    """Match every value that the job's procedures declare with the engine sheet."""
    values = Values(given=composed.engine.noun.values)
    for scope, present in composed.scopes:
        if present:
            _declare(scope, values)
    return values


def _declare(scope: Scope, values: Values) -> None:
    for inner, declared in scope.procedure.noun.values.items():
        name = scope.name(inner)
        need = declared.model_copy(update={"label": scope.label(inner, declared.label)})
        first = values.needs.get(name)
        if first is None:
            values.needs[name] = need
        elif first.kind != need.kind:
            place = scope.place("values", inner, "kind")
            values.faults.append(faults.ValueKindClash(place, name, need.kind, first.kind))
        else:
            values.needs[name] = _stricter(first, need)


def _stricter(first: ValueNeed, second: ValueNeed) -> ValueNeed:
    classes: list[Fastener] = [said for need in (first, second) if (said := need.fastener)]
    strictest = sorted(classes, key=STRICTNESS.__getitem__)[-1] if classes else None
    return first.model_copy(update={"fastener": strictest, "critical": first.critical or second.critical})


def sheet_value(name: str, values: Values) -> dict[str, Any]:
    """One value as the worksheet holds it; `text` is what is shown, None where the phone must ask for it."""
    need, value = values.needs[name], values.given.get(name)
    out: dict[str, Any] = {
        "label": need.label,
        "kind": need.kind,
        "class": values.class_of(name),
        "text": None,
        "missing": "the engine sheet does not list it" if value is None else value.missing,
        "source": None,
        "count": values.count(name),
        "reuse": (value.reuse if value else None) or ("ask" if need.kind == "torque" else None),
        "passes": [],
        "order": list(value.order) if value else [],
        "tolerance": value.tolerance if value else None,
        "thread": value.bolt.thread if value and value.bolt else None,
    }
    if value is not None and value.missing is None:
        out["text"] = shown(value)
        out["passes"] = passes(value)
        out["source"] = value.source.model_dump(mode="json") if value.source else None
    return out


def shown(value: EngineValue) -> str | None:
    """What a person reads: `20 N.m then 90 deg`."""
    for name in QUANTITY_FIELDS:
        quantity = getattr(value, name)
        if quantity is not None:
            return " then ".join([quantity, *value.then])
    if value.text is not None:
        return value.text
    return None if value.count is None else str(value.count)


def passes(value: EngineValue) -> list[str]:
    """The pulls of a tightening in order: the passes, or the torque, then the angle stages."""
    first = list(value.passes) or [quantity for quantity in (value.torque, value.angle) if quantity]
    return [*first, *value.then]


def seconds(text: str | None) -> int | None:
    """A time as seconds: `10 min` -> 600. None for a time that is not known or not one plain quantity."""
    match = re.fullmatch(r"(\d+(?:\.\d+)?) (s|min|h)", text or "")
    return round(float(match[1]) * SECONDS[match[2]]) if match else None
