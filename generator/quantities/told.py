"""A result as it is told to a person: rounded to its safe side, never into its limit, parts beside their whole.

The same as phone/quantities/told.js. Formulas and limits always use the exact figure; this is only what is read.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from generator.quantities.nearness import is_near, side
from generator.quantities.units import day_text, exact_text, figure_text, finer, legible, step_below, step_of
from generator.sheet_types import PartOfJson, ReadingJson, ResultJson, UnitJson

Typed = Callable[[str], tuple[float, str] | None]

MOST_FINER = 12
"""Digits that are added at most, where a figure lies beside its limit."""
MOST_TO_EQUAL = 3
"""Digits that are added at most, where a figure is its limit: a third of a litre never comes out even."""


@dataclass(frozen=True)
class Ground:
    """What a figure is told from. `states`: what each result comes to, as `work_out` gives it. `typed`: the figure and
    the unit in which a name was typed or stated, or None."""

    results: Mapping[str, ResultJson]
    states: Mapping[str, Any]
    readings: Mapping[str, ReadingJson]
    units: Mapping[str, UnitJson]
    typed: Typed


def ground(figures: Mapping[str, Any], states: Mapping[str, Any], typed: Typed) -> Ground:
    """Return the ground of a worksheet, or of a group of the calculators: whatever has results, readings and units."""
    results = {result["name"]: result for result in figures.get("results", [])}
    return Ground(results, states, figures.get("readings", {}), figures.get("units", {}), typed)


def told(name: str, unit: str, of: Ground) -> str | None:
    """Return the figure of a result in a unit, without the unit; None while it is not known."""
    result, base = of.results[name], _base(name, of)
    if base is None or isinstance(base, bool):
        return None if base is None else "yes" if base else "no"
    if result["kind"] == "date":
        return day_text(base)
    if unit not in of.units:
        return legible(base, result["step"], result.get("safe"))
    if result.get("set_on") is not None:
        return _figure(result, unit, 0, of)
    rest = _remainder(result, unit, of)
    return rest if rest is not None else _beside_its_limits(result, unit, _more_for_the_whole(result, unit, of), of)


def half_division(reading: ReadingJson, unit: str, units: Mapping[str, UnitJson]) -> float | None:
    """Return a gauge's needle width in base units: half its smallest division, in the unit that it was read in."""
    division = (reading.get("divisions") or {}).get(unit)
    return None if division is None or unit not in units else division / 2 * units[unit]["scale"]


def own_step(result: ResultJson, unit: str, units: Mapping[str, UnitJson]) -> float | None:
    """Return the step that a result is rounded to, in a unit: its own, which in another unit is the power of ten below
    it. None where it says no step."""
    step, own = result["step"], units.get(result["unit"])
    if step is None or unit == result["unit"] or own is None:
        return step
    return step_below(step * own["scale"] / units[unit]["scale"])


def _base(name: str, of: Ground) -> Any:
    state = of.states.get(name)
    return state["base"] if state else None


def _step(result: ResultJson, unit: str, of: Ground) -> float | None:
    """Return the step in a unit: half a division of the gauge that the figure is set on; else the result's own."""
    reading = of.readings.get(result.get("set_on") or "")
    division = (reading.get("divisions") or {}).get(unit) if reading else None
    return division / 2 if division is not None else own_step(result, unit, of.units)


def _figure(result: ResultJson, unit: str, more: int, of: Ground) -> str:
    """Return the figure with so many digits more than its step has."""
    base, about = _base(result["name"], of), of.units[unit]
    step = _step(result, unit, of)
    if more:
        step = finer(step or step_of(base / about["scale"] - about["offset"]), more)
    return figure_text(base, about["scale"], about["offset"], step, result.get("safe"))


# --- beside a limit ---------------------------------------------------------------------------------------------------


def _beside_its_limits(result: ResultJson, unit: str, more: int, of: Ground) -> str:
    """Return the figure with as many digits as show it on the side of its limits where it is."""
    both = [(many, True) for many in range(more, more + MOST_TO_EQUAL + 1)]
    for many, also_equal in [*both, *((many, False) for many in range(more, more + MOST_FINER + 1))]:
        text = _figure(result, unit, many, of)
        if _is_where_it_is(result, text, unit, also_equal, of, many):
            return text
    return _figure(result, unit, more, of)


def _is_where_it_is(result: ResultJson, text: str, unit: str, also_equal: bool, of: Ground, many: int) -> bool:
    """True if the text lies on the same side of everything that the figure is compared with."""
    about, base = of.units[unit], _base(result["name"], of)
    read = (float(text) + about["offset"]) * about["scale"]
    for tree, worth in zip(result.get("against") or [], _against(result, of), strict=False):
        if worth is None:
            continue
        where = side(base, worth)
        if where == 0 and not also_equal:
            continue
        if side(read, worth) != where:
            return False
        other = of.results.get(tree[1]) if isinstance(tree, list) and tree[:1] == ["name"] else None
        if other is not None and side(float(text), float(_figure(other, unit, many, of))) != where:
            return False
    return True


def _against(result: ResultJson, of: Ground) -> Sequence[float | None]:
    return of.states[result["name"]].get("against") or []


# --- beside its whole -------------------------------------------------------------------------------------------------


def _remainder(result: ResultJson, unit: str, of: Ground) -> str | None:
    """Return what the other parts leave of their whole, as these are told; None where the result does not take the
    rest."""
    group = result.get("part_of")
    if group is None or _takes_the_rest(group["parts"], of) != result["name"] or not _adds_up(group, of):
        return None
    others = [_beside(name, result, unit, of) for name in group["parts"] if name != result["name"]]
    rest = Decimal(_beside(group["whole"], result, unit, of)) - sum(map(Decimal, others))
    own = Decimal(_figure(result, unit, 0, of))
    text = format((rest or abs(rest)) + own - own, "f")  # with as many places at least as the step has
    turned = rest and (rest < 0) != (_base(result["name"], of) < 0)
    return None if turned or not _is_where_it_is(result, text, unit, also_equal=False, of=of, many=0) else text


def _takes_the_rest(parts: Sequence[str], of: Ground) -> str | None:
    """Return the last part that has no safe side."""
    known = [of.results[name] for name in parts if name in of.results]
    loose = [result["name"] for result in known if not result.get("safe") and result.get("set_on") is None]
    return loose[-1] if loose else None


def _more_for_the_whole(result: ResultJson, unit: str, of: Ground) -> int:
    """Return one digit more where every part has a safe side, and as they are told they do not add up."""
    group = result.get("part_of")
    if group is None or _takes_the_rest(group["parts"], of) is not None or not _adds_up(group, of):
        return 0
    texts = [_beside(name, result, unit, of) for name in group["parts"]]
    return 0 if sum(map(Decimal, texts)) == Decimal(_beside(group["whole"], result, unit, of)) else 1


def _adds_up(group: PartOfJson, of: Ground) -> bool:
    """True if the parts are all known and make their whole."""
    whole, *parts = [_worth(name, of) for name in (group["whole"], *group["parts"])]
    known = [part for part in parts if part is not None]
    return whole is not None and len(known) == len(parts) and is_near(sum(known), whole)


def _worth(name: str, of: Ground) -> float | None:
    if name in of.results:
        base = _base(name, of)
        return None if isinstance(base, bool) else base
    number, unit = of.typed(name) or (0.0, "")
    about = of.units.get(unit)
    return None if about is None else (number + about["offset"]) * about["scale"]


def _beside(name: str, result: ResultJson, unit: str, of: Ground) -> str:
    """Return a part or the whole as it is told beside a result."""
    if name in of.results:
        return _beside_its_limits(of.results[name], unit, 0, of)
    number, own = of.typed(name) or (0.0, unit)
    if own == unit:
        return exact_text(number)
    about, theirs = of.units[unit], of.units[own]
    base = (number + theirs["offset"]) * theirs["scale"]
    return legible(base / about["scale"] - about["offset"], _step(result, unit, of))
