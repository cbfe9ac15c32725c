"""Readings, results, tables and units as plain data, for worksheets and for the calculators page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any

from generator.check import Checked, Library
from generator.check.result_formulas import GIVENS
from generator.compile.job_results import JobReading, JobResult
from generator.model import Limit, Reading, Shop, Table
from generator.quantities.units import KINDS, UNITS, table_json, to_base
from generator.richtext import rich
from generator.sheet_types import GivenJson, LimitJson, PartOfJson, ReadingJson, ResultJson, TableJson, UnitJson
from generator.worksheet import Tree

# The kind of unit for a tolerance, where it differs from the value's own kind.
MARGINS = {"temperature": "warmth", "gauge": "pressure", "vacuum": "pressure"}


def reading_json(read: JobReading, divisions: Mapping[str, str]) -> ReadingJson:
    """Return one reading. `from` and `to` are numbers in `unit`. `divisions`: the library's, by unit."""
    kind = UNITS[read.reading.unit].kind
    limits = [None if text is None else _number(text) for text in (read.reading.from_, read.reading.to)]
    units = list(KINDS[kind])
    told: ReadingJson = {
        "label": read.label,
        "kind": kind,
        "unit": read.reading.unit,
        "units": units,
        "from": limits[0],
        "to": limits[1],
    }
    smallest = divisions_in(read.reading, divisions)
    return {**told, "divisions": smallest} if smallest else told


def divisions_in(reading: Reading, divisions: Mapping[str, str]) -> dict[str, float]:
    """Return the smallest division of a reading's gauge in every unit of its kind where it is known: the one that the
    reading names, else the library's of the unit."""
    units = KINDS[UNITS[reading.unit].kind]
    if reading.division is None:
        return {unit: _number(divisions[unit]) for unit in units if unit in divisions}
    size = float(reading.division.number) * UNITS[reading.division.unit].scale
    same = reading.division.unit
    return {unit: _number(reading.division.number) if unit == same else size / UNITS[unit].scale for unit in units}


def library_divisions(library: Library) -> dict[str, str]:
    """Return the smallest division of a gauge by unit, as the trade files say."""
    return {unit: word.means for unit, word in library.trade.divisions.items()}


def result_json(result: JobResult) -> ResultJson:
    """Return one result with its trees. It is shown to the nearest `step`, in `unit`."""
    said, worked = result.worked.result, result.worked
    kind = "truth" if worked.formula.kind.sort == "truth" else UNITS[worked.unit].kind
    limits = zip(said.limits, result.limits, strict=True)
    told: ResultJson = {
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
    if said.safe:
        told["safe"] = said.safe
    if result.set_on:
        told["set_on"] = result.set_on
    if group := _part_of(result):
        told["part_of"] = group
    return told


def _part_of(result: JobResult) -> PartOfJson | None:
    name = result.scope.name
    for whole, parts in result.scope.procedure.noun.adds_up.items():
        if result.worked.name in parts:
            return {"whole": name(whole), "parts": [name(part) for part in parts]}
    return None


COMPARED = frozenset({"<", "<=", ">", ">=", "==", "!="})


def with_limits_beside(results: list[ResultJson]) -> list[ResultJson]:
    """Return these results, each with what it is compared with anywhere in them: a figure is never rounded across it.
    One that is set on a gauge is told as that gauge can be read."""
    pairs = [pair for result in results for tree in _judging(result) for pair in _compared(tree)]
    out: list[ResultJson] = []
    for result in results:
        beside = [] if "set_on" in result or result["kind"] in ("truth", "date") else _beside(result["name"], pairs)
        out.append({**result, "against": beside} if beside else result)
    return out


def _judging(result: ResultJson) -> list[Tree]:
    own = [result["tree"]] if result["kind"] == "truth" else []
    return own + [limit["when"] for limit in result["limits"] if limit["when"] is not None]


def _compared(tree: Tree) -> Iterator[tuple[Tree, Tree]]:
    if isinstance(tree, list | tuple):
        if tree[0] in COMPARED:
            yield tree[1], tree[2]
        for part in tree[1:]:
            yield from _compared(part)


def _beside(name: str, pairs: list[tuple[Tree, Tree]]) -> list[Tree]:
    found: list[Tree] = []
    for left, right in (*pairs, *((right, left) for left, right in pairs)):
        if left == ["name", name]:
            found += [right] if right not in found else []
        elif left == ["abs", ["name", name]]:
            found += [tree for tree in (right, ["neg", right]) if tree not in found]
    return found


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
