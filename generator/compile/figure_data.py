"""Readings, results, tables and units as plain data, for worksheets and for the calculators page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from generator.check import Checked
from generator.check.result_formulas import GIVENS
from generator.compile.job_results import JobReading, JobResult
from generator.model import Limit, Shop, Table
from generator.quantities.units import KINDS, UNITS, table_json, to_base
from generator.richtext import rich
from generator.sheet_types import GivenJson, LimitJson, ReadingJson, ResultJson, TableJson, UnitJson

# The kind of unit for a tolerance, where it differs from the value's own kind.
MARGINS = {"temperature": "warmth", "gauge": "pressure", "vacuum": "pressure"}


def reading_json(read: JobReading) -> ReadingJson:
    """Return one reading. `from` and `to` are numbers in `unit`."""
    kind = UNITS[read.reading.unit].kind
    limits = [None if text is None else _number(text) for text in (read.reading.from_, read.reading.to)]
    units = list(KINDS[kind])
    return {
        "label": read.label,
        "kind": kind,
        "unit": read.reading.unit,
        "units": units,
        "from": limits[0],
        "to": limits[1],
    }


def result_json(result: JobResult) -> ResultJson:
    """Return one result with its trees. It is shown to the nearest `step`, in `unit`."""
    said, worked = result.worked.result, result.worked
    kind = "truth" if worked.formula.kind.sort == "truth" else UNITS[worked.unit].kind
    limits = zip(said.limits, result.limits, strict=True)
    return {
        "name": result.name,
        "label": result.label,
        "kind": kind,
        "unit": worked.unit,
        "units": list(KINDS.get(kind, ())),
        "step": _number(said.to_nearest.number) if said.to_nearest else None,
        "why": said.why,
        "tree": result.tree,
        "words": result.words,
        "inputs": list(result.inputs),
        "tables": sorted(worked.formula.tables | {t for limit in worked.limits if limit for t in limit.tables}),
        "limits": [_limit_json(limit, tree, result.scope.name) for limit, tree in limits],
        "hold": said.hold,
        "fills": result.scope.name(said.fills) if said.fills else None,
    }


def _limit_json(limit: Limit, tree: Any, rename: Callable[[str], str]) -> LimitJson:
    return {
        "when": tree,
        "verdict": limit.verdict,
        "bad": limit.bad,
        "say": rich(limit.say, rename) if limit.say else None,
        "do": rich(limit.do, rename) if limit.do else None,
    }


def tables_json(names: Iterable[str], tables: Mapping[str, Checked[Table]]) -> dict[str, TableJson]:
    """Return the tables with these names. Rows are in base units, x rising."""
    return {name: _table_json(tables[name].noun) for name in sorted(set(names))}


def _table_json(table: Table) -> TableJson:
    rows = [[to_base(float(x), table.x.unit), to_base(float(y), table.y.unit)] for x, y in table.rows]
    return {
        "title": table.title,
        "source": table.source,
        "edition": table.edition,
        "got": table.got,
        "x": {"label": table.x.label, "unit": table.x.unit},
        "y": {"label": table.y.label, "unit": table.y.unit},
        "rows": sorted(rows),
    }


def givens_json(shop: Shop | None) -> dict[str, GivenJson]:
    """Return what the shop and the job give every formula. A number that the shop does not state is None."""
    said = {"shop_altitude": shop.altitude if shop else None, "shop_coldest": shop.coldest if shop else None}
    out: dict[str, GivenJson] = {}
    for name, (unit, label) in GIVENS.items():
        given, kind = said.get(name), UNITS[unit].kind
        number = _number(given.number) if given else None
        out[name] = {"label": label, "kind": kind, "unit": given.unit if given else unit, "number": number}
    return out


def units_json(*things: Iterable[Mapping[str, Any]]) -> dict[str, UnitJson]:
    """Return every unit of every kind that these readings, results, values or givens have."""
    kinds = {UNITS[unit].kind for group in things for thing in group for unit in (thing.get("units") or [])}
    kinds |= {UNITS[thing["unit"]].kind for group in things for thing in group if thing.get("unit") in UNITS}
    kinds |= {MARGINS[kind] for kind in kinds if kind in MARGINS}
    return dict(sorted(table_json(kinds).items()))


def _number(text: str) -> float | int:
    number = float(text)
    return int(number) if number == int(number) else number
