"""A figure without its unit: which unit the same place has elsewhere, so that it is offered first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from generator.check.checked import SourceFile, is_seen_as
from generator.check.partial import PartialShop, Seen
from generator.faults import Fault
from generator.faults.shape import NumberWithoutUnit
from generator.quantities.units import UNITS


def offer_usual_units(sources: Iterable[SourceFile[Seen]]) -> None:
    """Put the unit first that stands after the same key in the same file, else in files of the same kind, else the one
    that the shop says for what is measured. What nobody uses is left as it is."""
    sources = list(sources)
    for source in sources:
        if source.unsure:
            kin = [source, *(one for one in sources if one.kind == source.kind)]
            better = {id(fault): _better(fault, kin, sources) for fault in source.unsure}
            source.faults[:] = [better.get(id(fault), fault) for fault in source.faults]


def _better(fault: Fault, kin: list[SourceFile[Seen]], sources: list[SourceFile[Seen]]) -> Fault:
    if not isinstance(fault, NumberWithoutUnit):
        return fault
    used = [_used_after(fault.key, [kin[0]]), _used_after(fault.key, kin[1:])]
    units = [unit for counter in used for unit, _ in counter.most_common()] + _of_shop(fault, sources)
    known = [unit for unit in dict.fromkeys(units) if unit in fault.units]
    return replace(fault, units=tuple(dict.fromkeys((*known, *fault.units))), likely=True) if known else fault


def _used_after(key: str, sources: list[SourceFile[Seen]]) -> Counter[str]:
    units: Counter[str] = Counter()
    for source in sources:
        units.update({unit: times for (after, unit), times in source.units.items() if after == key})
    return units


def _of_shop(fault: NumberWithoutUnit, sources: list[SourceFile[Seen]]) -> list[str]:
    kinds = {UNITS[unit].kind for unit in fault.units}
    said = [source.seen.units or {} for source in sources if is_seen_as(source, PartialShop)]
    return [unit for units in said for kind, unit in units.items() if {kind} == kinds and unit]
