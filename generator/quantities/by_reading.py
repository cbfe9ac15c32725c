"""What results come to over all that one gauge shows: verdicts as bands of the reading, figures at round readings.

Where several readings reach a result through one other result alone, that other result stands for a gauge: whoever has
worked it out reads the rest off it.

A formula may turn back anywhere, so a sweep looks at every mark of the gauge. It leaves out only stretches over which
the formula is sure to say one thing, whatever lies between their ends.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import lru_cache
from typing import Any

from generator.canonical import Json
from generator.quantities.formulas.enclosure import Enclosed, Ends, enclosed
from generator.quantities.formulas.evaluation import NEEDLE, Env
from generator.quantities.formulas.folding import folded
from generator.quantities.nearness import NEAR, is_near
from generator.quantities.possible_ranges import READ, can_be_read
from generator.quantities.results import given_beforehand, work_out_all
from generator.quantities.told import half_division, own_step
from generator.quantities.units import exact_text, from_base, to_base
from generator.sheet_types import ReadingJson, WorksheetJson

MOST_MARKS = 1000
"""Steps from end to end, at most, of a reading for which nobody says a division: it is swept in the finest power of
ten that has no more. 0 to 60 mm goes in steps of 0.1, -20 to 130 degC in whole degrees. common practice, no source"""
MOST_SWEPT = 5000
"""A gauge with more marks is not swept: one page is not worth a slow build."""
MOST_ROWS = 8


@dataclass(frozen=True)
class Gauge:
    """What a person can read for `name`, or work out for it where it is a result, in `unit`: whole numbers of `step`,
    from `first` to `last` of them. `division` is half a division in base units where somebody says it. `counted`: there
    is nothing between two marks."""

    name: str
    unit: str
    step: Decimal
    first: int
    last: int
    division: float | None
    counted: bool = False

    def text(self, mark: int) -> str:
        return format(self.step * mark, "f")

    @property
    def marks(self) -> range:
        return range(self.first, self.last + 1)

    def around(self, number: str) -> tuple[int, int]:
        """Return the marks below and above a number; the same twice where it is one."""
        at = Decimal(number) / self.step
        return math.floor(at), math.ceil(at)

    def known(self, number: str) -> dict[str, float]:
        """Return what is known once the gauge shows a number, in base units."""
        needle = {} if self.division is None else {self.name + NEEDLE: self.division}
        return {self.name: to_base(float(number), self.unit), **needle}


@dataclass(frozen=True)
class VerdictBand:
    """Marks from `first` to `last` with one verdict. `limit` is its place among the result's limits, None for none.
    `verdict` is None where the formula gives nothing, for example outside its table."""

    first: int
    last: int
    verdict: str | None
    bad: bool
    limit: int | None

    @property
    def marks(self) -> range:
        return range(self.first, self.last + 1)


def gauge_of(name: str, sheet: WorksheetJson) -> Gauge | None:
    """Return the gauge of a reading in the unit that the shop shows first; None where nobody says from where to where
    it is read, and for a gauge with too many marks."""
    reading = sheet["readings"][name]
    unit, ends = shown_first(reading, sheet), _ends(reading)
    if ends is None:
        return None
    division = half_division(reading, unit, sheet["units"])
    return _between(ends, reading["kind"], _mark_apart(reading, unit), Gauge(name, unit, Decimal(1), 0, 0, division))


def worked_gauge_of(name: str, sheet: WorksheetJson, rest: Rest) -> Gauge | None:
    """Return a result as a gauge: from the least to the most that its formula can give over its readings' ranges, in
    the steps that it is rounded to. None where that is not sure, or would be too many marks."""
    result = next(one for one in sheet["results"] if one["name"] == name)
    ends = _enclosed_ends(name, sheet, rest)
    if ends is None or result["kind"] == "date":
        return None
    unit = shown_first(result, sheet)
    # Whoever works it out rounds it as the phone does. Steps as fine as a reading's would only make a longer page.
    apart = own_step(result, unit, sheet["units"])
    return _between(_possible(ends, result["kind"]), result["kind"], apart, Gauge(name, unit, Decimal(1), 0, 0, None))


def _mark_apart(reading: ReadingJson, unit: str) -> float | None:
    """Return the division of a reading's gauge; None where nobody says one, or it is no scale: marks are multiples of
    the division, so the reading's own ends lie on marks. What a cap says in round figures is not read off marks."""
    divisions = reading.get("divisions") or {}
    own = divisions.get(reading["unit"])
    is_scale = own is None or all(
        end is None or is_near(end, own * round(end / own)) for end in (reading["from"], reading["to"])
    )
    return divisions.get(unit) if is_scale else None


def _ends(reading: ReadingJson) -> Ends | None:
    """Return from where to where a reading is read, in base units; None where nobody says, and for a date."""
    if reading["from"] is None or reading["to"] is None or reading["kind"] == "date":
        return None
    return to_base(reading["from"], reading["unit"]), to_base(reading["to"], reading["unit"])


def _enclosed_ends(name: str, sheet: WorksheetJson, rest: Rest) -> Ends | None:
    names: dict[str, Enclosed] = {one: _ends(reading) for one, reading in sheet["readings"].items()}
    tables = {table: about["rows"] for table, about in rest.tables.items()}
    for one in rest.under([name]):
        names[one] = enclosed(rest.results[one]["tree"], names, tables)
    ends = names[name]
    return ends if isinstance(ends, tuple) else None


def _possible(ends: Ends, kind: str) -> Ends:
    """Return the ends without what no figure of a kind can be: an enclosure may be wider than what comes up."""
    limit = READ.get(kind)
    if limit is None:
        return ends
    return max(ends[0], to_base(limit.low, limit.unit)), min(ends[1], to_base(limit.high, limit.unit))


def _between(ends: Ends, kind: str, apart: float | None, gauge: Gauge) -> Gauge | None:
    """Return a gauge with marks from end to end, in base units, so far apart in the gauge's unit as somebody says."""
    low, high = (from_base(end, gauge.unit) for end in ends)
    limit = can_be_read(kind, gauge.unit)
    counted = limit is not None and limit.whole
    if not low < high:
        return None
    step = Decimal(1) if counted else _finest(low, high) if apart is None else Decimal(exact_text(apart))
    # What is a mark but for the noise of conversion is that mark.
    first, last = math.ceil(low / float(step) - NEAR), math.floor(high / float(step) + NEAR)
    return None if last - first > MOST_SWEPT else replace(gauge, step=step, first=first, last=last, counted=counted)


def _finest(low: float, high: float) -> Decimal:
    return Decimal(1).scaleb(math.ceil(math.log10((high - low) / MOST_MARKS) - NEAR))


def shown_first(thing: Mapping[str, Any], sheet: WorksheetJson) -> str:
    """Return the unit that the shop shows first for a reading or a result; its own where the shop says none."""
    shop = sheet["shop"]["units"].get(thing["kind"])
    return shop if shop is not None and shop in thing["units"] else str(thing["unit"])


# --- what is left to work out -----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Rest:
    """What is left of a worksheet's arithmetic once all that is known is worked out. `states`: every result as it is
    known so far. `results`: those that are not, in order, with what is known put into their trees. `names`: what is
    known, in base units. `tables`: as in sheet.json."""

    states: Json
    results: Mapping[str, Json]
    names: Mapping[str, float]
    tables: Mapping[str, Any]

    def under(self, names: Iterable[str]) -> list[str]:
        """Return these results and those that they are worked out from, in order, as far as they are not known."""
        met = {name for name in names if name in self.results}
        waiting = [*met]
        while waiting:
            more = {*self.results[waiting.pop()]["inputs"]} & {*self.results} - met
            met |= more
            waiting += more
        return [name for name in self.results if name in met]

    def at(self, read: Mapping[str, float], names: Sequence[str]) -> Json:
        """Return every result once something is read. `names`: what `under` gives for those that it bears on."""
        group = {"results": [self.results[name] for name in names], "tables": self.tables}
        return {**self.states, **work_out_all(group, {**self.names, **read}, {})[0]}

    def after(self, found: Mapping[str, str]) -> Rest:
        """Return what is left once inspections are answered. `found`: path of a step -> its outcome."""
        group = {"results": [*self.results.values()], "tables": self.tables}
        states, names = work_out_all(group, self.names, found)
        bases = {name: state["base"] for name, state in states.items() if state["base"] is not None}
        env = Env({**names, **bases}, found, {name: table["rows"] for name, table in self.tables.items()})
        left = {name: _left(one, env) for name, one in self.results.items() if not states[name]["known"]}
        return Rest({**self.states, **states}, left, names, self.tables)

    def read_off(self, name: str) -> Rest:
        """Return what is left if a result is read like a gauge."""
        return self._as_read(name).after({})

    def needs_beside(self, read: str, name: str) -> list[str]:
        """Return what a result needs if another one is read like a gauge: that one, and whatever does not come in
        through it."""
        rest = self._as_read(read)
        return list(rest.at({}, rest.under([name]))[name]["needs"])

    def _as_read(self, name: str) -> Rest:
        as_read = {**self.results[name], "tree": ["name", name], "inputs": [name]}
        return replace(self, results={**self.results, name: as_read})

    def reads_a_table(self, name: str) -> bool:
        return any(_tables_in(self.results[name]["tree"]))


def rest_of(sheet: WorksheetJson) -> Rest:
    """Return what is left of a worksheet before anything is read or found."""
    # A value that the sheet does not give comes from the result that fills it.
    fills = {result["fills"]: result["name"] for result in sheet["results"] if result["fills"]}
    results = {
        result["name"]: {**result, "inputs": [fills.get(name, name) for name in result["inputs"]]}
        for result in sheet["results"]
    }
    return Rest({}, results, given_beforehand(sheet), sheet["tables"]).after({})


def _left(result: Json, env: Env) -> Json:
    limits = [{**limit, "when": folded(limit["when"], env)} for limit in result["limits"]]
    out = {key: result[key] for key in ("name", "fills", "inputs")}
    out |= {"tree": folded(result["tree"], env), "limits": limits}
    if result.get("against") is not None:
        out["against"] = [folded(tree, env) for tree in result["against"]]
    return out


# --- verdicts ---------------------------------------------------------------------------------------------------------


def bands(name: str, gauge: Gauge, rest: Rest) -> tuple[VerdictBand, ...] | None:
    """Return the verdicts of a result over every mark of its gauge, equal ones beside each other as one. None where
    some reading leaves it undecided because it needs more than this gauge, or none decides it."""
    results = [_judged(rest.results[one]) for one in rest.under([name])]
    before = rest.states[name]
    # What needs nothing more and is still not known stays so, whatever is read.
    if not results or not before["needs"]:
        return None
    tables = {one: {"rows": rest.tables[one]["rows"]} for one in sorted(set(_tables_in(results)))}
    filled = {one: rest.names[one] for result in results if (one := result["fills"]) in rest.names}
    # One text for all that the sweep depends on: a thousand worksheets of a few procedures share most of their sweeps.
    return _swept(name, json.dumps([{"results": results, "tables": tables}, filled], sort_keys=True), gauge)


def _judged(result: Json) -> Json:
    """Return what a verdict hangs on."""
    limits = [{key: limit[key] for key in ("when", "verdict", "bad", "do")} for limit in result["limits"]]
    return {"name": result["name"], "tree": result["tree"], "fills": result["fills"], "limits": limits}


def _tables_in(tree: Any) -> Iterator[str]:
    if isinstance(tree, Mapping):
        yield from _tables_in([*tree.values()])
    elif isinstance(tree, list | tuple):
        if tree[:1] == ["interp"]:
            yield str(tree[1])
        for part in tree:
            yield from _tables_in(part)


@lru_cache(maxsize=4096)
def _swept(name: str, about: str, gauge: Gauge) -> tuple[VerdictBand, ...] | None:
    group, known = json.loads(about)
    limits = next(result["limits"] for result in group["results"] if result["name"] == name)
    out: list[VerdictBand] = []
    for first, last in _steady(name, group, gauge, gauge.first, gauge.last):
        state = work_out_all(group, {**known, **gauge.known(gauge.text(first))}, {})[0][name]
        if state["needs"]:
            return None
        said = VerdictBand(first, last, state["verdict"], state["bad"], state["limit"])
        if out and _says(out[-1], limits) == _says(said, limits):
            said = VerdictBand(out.pop().first, last, said.verdict, said.bad, said.limit)
        out.append(said)
    return tuple(out) if any(band.verdict for band in out) else None


def _steady(name: str, group: Json, gauge: Gauge, first: int, last: int) -> Iterator[tuple[int, int]]:
    """Yield all marks from `first` to `last`, in order, as stretches over which the verdict is sure to be one: a mark
    alone where it is not sure."""
    if first == last or _is_steady(name, group, gauge, first, last):
        yield first, last
        return
    middle = (first + last) // 2
    yield from _steady(name, group, gauge, first, middle)
    yield from _steady(name, group, gauge, middle + 1, last)


def _is_steady(name: str, group: Json, gauge: Gauge, first: int, last: int) -> bool:
    """True if the verdict of a result is sure to be the same at every mark of a stretch."""
    results = {result["name"]: result for result in group["results"]}
    if any(result["fills"] for result in results.values()):
        return False
    tables = {table: about["rows"] for table, about in group["tables"].items()}
    ends = [gauge.known(gauge.text(mark)) for mark in (first, last)]
    names: dict[str, Enclosed] = {one: (ends[0][one], ends[1][one]) for one in ends[0]}
    for one, result in results.items():
        names[one] = enclosed(result["tree"], names, tables)
    if names[name] is None:
        return False
    for limit in results[name]["limits"]:
        true = True if limit["when"] is None else enclosed(limit["when"], names, tables)
        if true is not False:
            return true is True
    return True


def _says(band: VerdictBand, limits: Sequence[Mapping[str, Any]]) -> tuple[Any, ...]:
    return band.verdict, band.bad, None if band.limit is None else limits[band.limit]["do"]


# --- figures ----------------------------------------------------------------------------------------------------------


def round_readings(gauge: Gauge, low: Decimal, high: Decimal) -> list[str]:
    """Return the round readings between two, both with it: as many as `MOST_ROWS` allows, in steps of 1, 2 or 5 and
    never finer than the gauge.

    >>> teeth = Gauge("n", "teeth", Decimal(1), 40, 300, None, True)
    >>> round_readings(teeth, Decimal(118), Decimal(143)), round_readings(teeth, Decimal(40), Decimal(300))
    (['120', '125', '130', '135', '140'], ['50', '100', '150', '200', '250', '300'])
    """
    for step in _round_steps(gauge.step):
        first, last = math.ceil(low / step), math.floor(high / step)
        if last - first < MOST_ROWS:
            return [format(step * number, "f") for number in range(first, last + 1)]
    return []


def _round_steps(finest: Decimal) -> Iterator[Decimal]:
    power = finest.adjusted()
    while power < finest.adjusted() + 20:
        yield from (step for digit in (1, 2, 5) if (step := Decimal(digit).scaleb(power)) >= finest)
        power += 1
