"""Put every figure that a gauge can show into every limit of the demo's worksheets, and compare with exact fractions.

`python -m tests.proofs.edges_harness` takes every reading over its whole range in each of its units, the others as on
a good day; `--every 20` takes one figure in twenty. Desk and phone must judge each limit as exact arithmetic does
under the same rule of nearness (`tests/proofs/exact.py`). The control compares the same doubles without that rule: it
misjudges some. Then every figure that is told to be set on a gauge is typed back in every unit of it: nothing calls it
bad, and a division beyond a ceiling is. Ends with 1 if one is misjudged, or if the control misjudges none.
"""

from __future__ import annotations

import argparse
import itertools
import operator
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from fractions import Fraction
from typing import Any
from unittest.mock import patch

from generator.quantities.formulas import operators
from generator.quantities.formulas.evaluation import NEEDLE, Env, evaluate
from generator.quantities.nearness import is_near
from generator.quantities.results import work_out
from generator.quantities.told import ground, told
from tests.proofs import exact
from tests.support import demo, good_day
from tests.support.node import node

DIVISIONS = {"mm": "0.1", "cm": "0.01", "in": "0.01", "L": "0.05", "qt": "0.05", "gal": "0.01", "bar(g)": "0.01"}
DIVISIONS |= {"psi(g)": "0.1", "kgf/cm2(g)": "0.01", "m": "0.001", "ft": "0.001", "mL": "10", "date": "30"}
DIVISIONS |= {"km": "250", "mi": "250", "inHg(vac)": "0.1", "bar(vac)": "0.01"}
PLAIN = {"<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge}


@contextmanager
def no_nearness() -> Iterator[None]:
    """Compare and subtract figures as they are, at the desk."""
    plain = {sign: operators.OPERATORS[sign]._replace(do=do) for sign, do in PLAIN.items()}
    plain |= {"-": operators.OPERATORS["-"]._replace(do=operator.sub)}
    with patch.dict(operators.OPERATORS, plain):
        yield


@dataclass(frozen=True)
class Case:
    """One figure of one reading, in one unit, as the text that a person types."""

    reading: str
    text: str
    unit: str


def cases(sheet: Mapping[str, Any], every: int) -> Iterator[Case]:
    for name, reading in sheet["readings"].items():
        low, high = reading["from"], reading["to"]
        if low is None or high is None:
            continue
        for unit in reading["units"]:
            step = Fraction(DIVISIONS.get(unit, "1"))
            first, last = (_in_unit(sheet, bound, reading["unit"], unit) for bound in (low, high))
            at = 0
            while (figure := _down(first, step) + at * step) <= last:
                if at % every == 0:
                    yield Case(name, f"{float(figure):.6g}", unit)
                at += 1


def _in_unit(sheet: Mapping[str, Any], bound: float, unit: str, to: str) -> Fraction:
    base = base_of(sheet, repr(bound), unit)
    return base / Fraction(repr(sheet["units"][to]["scale"])) - Fraction(repr(sheet["units"][to]["offset"]))


def _down(figure: Fraction, step: Fraction) -> Fraction:
    return (figure // step) * step


def base_of(sheet: Mapping[str, Any], text: str, unit: str) -> Fraction:
    about = sheet["units"][unit]
    return (Fraction(text) + Fraction(repr(about["offset"]))) * Fraction(repr(about["scale"]))


def usual_figures(sheet: Mapping[str, Any]) -> dict[str, tuple[str, str]]:
    """Return every figure of a good day: name -> number as text, unit."""
    said: dict[str, tuple[str, str]] = {}
    for name, (number, unit) in good_day.figures(dict(sheet)).items():
        said[name] = (repr(number), unit)
    for name, value in sheet["values"].items():
        if value["number"]:
            said[name] = (repr(value["number"]["number"]), value["number"]["unit"])
        if value["margin"]:
            said[f"{name}.tolerance"] = (repr(value["margin"]["number"]), value["margin"]["unit"])
    for name, given in sheet["givens"].items():
        if given["number"] is not None:
            said[name] = (repr(given["number"]), given["unit"])
    return {**said, "odometer": ("118350", "km"), "today": ("20757", "date")}


def outcomes(sheet: Mapping[str, Any]) -> dict[str, str]:
    inspected = [step for step in sheet["steps"] if step["check"]["kind"] == "inspect"]
    return {s["path"]: next(o["name"] for o in s["check"]["outcomes"] if not o["fails"]) for s in inspected}


Figures = Mapping[str, tuple[str, str]]
Met = dict[tuple[str, int], bool]


class Limits:
    """The results of a worksheet that depend on one reading, and all else that they need on a good day."""

    def __init__(self, sheet: Mapping[str, Any], reading: str) -> None:
        self.sheet, self.found = sheet, outcomes(sheet)
        self.tables = {name: table["rows"] for name, table in sheet["tables"].items()}
        moved, self.results = {reading}, []
        for result in sheet["results"]:
            if moved & names_in([result["tree"], *(limit["when"] for limit in result["limits"])]):
                moved.add(result["name"])
                self.results.append(result)
        usual = {name: said for name, said in usual_figures(sheet).items() if said[1] in sheet["units"]}
        self.doubles: dict[str, Any] = {name: float_base(sheet, *said) for name, said in usual.items()}
        self.exact: dict[str, Any] = {name: base_of(sheet, *said) for name, said in usual.items()}
        for name in sheet["readings"]:
            if name in usual and (width := needle(sheet, name, usual[name][1])) is not None:
                self.doubles[name + NEEDLE], self.exact[name + NEEDLE] = width
        still = [result for result in sheet["results"] if result["name"] not in moved]
        self._work(still, self.doubles, self._double)
        self._work(still, self.exact, self._fraction)

    def judged(self, case: Case) -> Met:
        """Return whether each limit is met, as the desk works it out."""
        return self._work(self.results, self.floats(case), self._double)

    def floats(self, case: Case) -> dict[str, Any]:
        """Return everything that is known, in base units, with what this case reads."""
        width = needle(self.sheet, case.reading, case.unit)
        own = {case.reading + NEEDLE: width[0]} if width else {}
        return {**self.doubles, case.reading: float_base(self.sheet, case.text, case.unit), **own}

    def exactly(self, case: Case) -> Met:
        """Return the same in exact fractions, for the limits that are rational."""
        width = needle(self.sheet, case.reading, case.unit)
        own = {case.reading + NEEDLE: width[1]} if width else {}
        names = {**self.exact, case.reading: base_of(self.sheet, case.text, case.unit), **own}
        return self._work(self.results, names, self._fraction)

    def without_nearness(self, case: Case) -> Met:
        """The control: the same doubles, compared as they are."""
        with no_nearness():
            return self.judged(case)

    def on_the_phone(self, several: list[Case]) -> list[Met]:
        bases = [self.floats(case) for case in several]
        asked = {"results": self.results, "tables": self.tables, "found": self.found, "figures": bases}
        return [{(name, at): said for name, at, said in met} for met in node(PHONE, asked)]

    def _double(self, tree: Any, names: dict[str, Any]) -> Any:
        value = evaluate(tree, Env(names, self.found, self.tables))
        return None if isinstance(value, operators.Unknown) else value

    def _fraction(self, tree: Any, names: dict[str, Any]) -> Any:
        try:
            return exact.evaluate(tree, exact.Ground(names, self.found, self.tables))
        except (exact.NotRational, exact.NotKnown):
            return None

    @staticmethod
    def _work(results: list[Any], names: dict[str, Any], of: Callable[[Any, dict[str, Any]], Any]) -> Met:
        """Work the results out, each after those it needs, into `names`. Return whether each limit is met."""
        met: Met = {}
        for result in results:
            names.pop(result["name"], None)
            if (value := of(result["tree"], names)) is not None:
                names[result["name"]] = value
            for at, limit in enumerate(result["limits"]):
                said = of(limit["when"], names) if limit["when"] is not None else None
                if isinstance(said, bool):
                    met[result["name"], at] = said
        return met


def needle(sheet: Mapping[str, Any], reading: str, unit: str) -> tuple[float, Fraction] | None:
    """Return half a division of a reading's gauge in base units, as a double and exactly."""
    division = sheet["readings"][reading].get("divisions", {}).get(unit) if reading in sheet["readings"] else None
    if division is None:
        return None
    scale = sheet["units"][unit]["scale"]
    return division / 2 * scale, Fraction(repr(division)) / 2 * Fraction(repr(scale))


def names_in(tree: Any) -> set[str]:
    if not isinstance(tree, list):
        return set()
    own = {tree[1]} if len(tree) == 2 and tree[0] in ("name", "needle") else set()
    return own.union(*map(names_in, tree))


def float_base(sheet: Mapping[str, Any], text: str, unit: str) -> float:
    about = sheet["units"][unit]
    return float((float(text) + about["offset"]) * about["scale"])


PHONE = """
const { evaluate, isUnknown } = await import(`${site}/phone/quantities/formula.js`);
const { results, tables, found, figures } = given;
return figures.map((names) => {
  const met = [];
  for (const { name, tree, limits } of results) {
    delete names[name];
    const value = evaluate(tree, { names, found, tables });
    if (!isUnknown(value)) names[name] = value;
    limits.forEach(({ when }, at) => {
      const said = when === null ? null : evaluate(when, { names, found, tables });
      if (typeof said === 'boolean') met.push([name, at, said]);
    });
  }
  return met;
});
"""


# --- what is told to be set, typed back -------------------------------------------------------------------------------

SHARES = range(300, 1101)
"""Of a usual figure, in thousandths."""


@dataclass
class Told:
    """How many figures were told and typed back, how many of these are condemned, how many went on a division beyond a
    ceiling, and how many of these pass."""

    figures: int = 0
    condemned: int = 0
    beyond: int = 0
    passed: int = 0


@dataclass(frozen=True)
class TypedBack:
    """One told figure as the reading of its gauge, or a division more: which limits that ask about it must be met."""

    result: str
    text: str
    unit: str
    beyond: bool
    names: Mapping[str, Any]
    whens: list[Any]


def typed_back(sheet: Mapping[str, Any], every: int) -> Iterator[TypedBack]:
    """Yield each figure that is set on a gauge, at many figures of what it is worked out from, in each unit."""
    for result in (one for one in sheet["results"] if "set_on" in one):
        on, limits = result["set_on"], Limits(sheet, result["set_on"])
        whens = [
            when for one in sheet["results"] for limit in one["limits"] if limit["bad"] and (when := limit["when"])
        ]
        asking = [when for when in whens if on in names_in(when)]
        own = [when for limit in result["limits"] if limit["bad"] and on in names_in(when := limit["when"])]
        ceilings = set().union(*map(names_in, own)) - {on}
        for name in sorted(worked_out_from(sheet, result["tree"]) & set(limits.doubles)):
            for share in SHARES[::every]:
                names = {**limits.doubles, name: limits.doubles[name] * share / 1000}
                states = work_out(sheet["results"], names, limits.found, sheet["tables"])
                names |= {one: state["base"] for one, state in states.items() if state["base"] is not None}
                worth = names.get(result["name"])
                is_ceiling = any(is_near(worth, names[one]) for one in ceilings if one in names and worth is not None)
                if worth is not None:
                    yield from _in_each_unit(sheet, result, names, states, asking, own if is_ceiling else [])


def worked_out_from(sheet: Mapping[str, Any], tree: Any) -> set[str]:
    """Return what is read or given that a formula hangs on, through however many other results."""
    trees = {result["name"]: result["tree"] for result in sheet["results"]}
    return set().union(*(worked_out_from(sheet, trees[one]) if one in trees else {one} for one in names_in(tree)))


def _in_each_unit(
    sheet: Mapping[str, Any], result: Any, names: Any, states: Any, asking: list[Any], own: list[Any]
) -> Iterator[TypedBack]:
    on = result["set_on"]
    for unit, division in sheet["readings"][on]["divisions"].items():
        text = told(result["name"], unit, ground(sheet, states, lambda one: None)) or ""
        for beyond, whens in ((False, asking), (True, own)):
            read = float_base(sheet, repr(float(text) + beyond * division), unit)
            known = {**names, on: read, on + NEEDLE: float_base(sheet, repr(division / 2), unit)}
            if whens:
                yield TypedBack(result["name"], text, unit, beyond, known, whens)


def told_back(sheet: Mapping[str, Any], every: int) -> tuple[Told, list[str]]:
    """Type each told figure back: no limit that asks about its gauge is bad. A division beyond a ceiling, one is."""
    rows, found = list(typed_back(sheet, every)), outcomes(sheet)
    tables = {name: table["rows"] for name, table in sheet["tables"].items()}
    count, wrong = Told(), []
    there = node(SET, {"rows": [[row.names, row.whens] for row in rows], "found": found, "tables": tables})
    for row, phone in zip(rows, there, strict=True):
        bad = any(evaluate(when, Env(row.names, found, tables)) is True for when in row.whens)
        count.figures, count.beyond = count.figures + (not row.beyond), count.beyond + row.beyond
        count.condemned, count.passed = (
            count.condemned + (bad and not row.beyond),
            count.passed + (row.beyond and not bad),
        )
        if not row.beyond == bad == phone:
            wrong.append(f"{row.result}: {row.text} {row.unit}, beyond {row.beyond}: bad {bad}, phone {phone}")
    return count, wrong


SET = """
const { evaluate } = await import(`${site}/phone/quantities/formula.js`);
const { rows, found, tables } = given;
return rows.map(([names, whens]) => whens.some((when) => evaluate(when, { names, found, tables }) === true));
"""


@dataclass
class Count:
    figures: int = 0
    limits: int = 0
    desk: int = 0
    phone: int = 0
    control: int = 0


def look(sheet: Mapping[str, Any], every: int) -> tuple[Count, list[str]]:
    """Return how many limits were compared and misjudged, and these in words."""
    count, wrong = Count(), []
    for reading, of in itertools.groupby(cases(sheet, every), key=lambda case: case.reading):
        limits, several = Limits(sheet, reading), list(of)
        if not limits.results:
            continue
        for case, phone in zip(several, limits.on_the_phone(several), strict=True):
            wrong += _compared(limits, case, phone, count)
    return count, wrong


def _compared(limits: Limits, case: Case, phone: Met, count: Count) -> Iterator[str]:
    right, desk, plain = limits.exactly(case), limits.judged(case), limits.without_nearness(case)
    count.figures += 1
    count.limits += len(right)
    for key, said in right.items():
        count.control += plain.get(key) != said
        count.desk += desk.get(key) != said
        count.phone += phone.get(key) != said
        if not said == desk.get(key) == phone.get(key):
            yield f"{case}: limit {key[1] + 1} of {key[0]} is {said}, desk {desk.get(key)}, phone {phone.get(key)}"


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--every", type=int, default=1)
    every, ends = parser.parse_args(arguments).every, 0
    print("| worksheet | figures | limits | desk misjudged | phone misjudged | control, without nearness |")
    print("| --- | --- | --- | --- | --- | --- |")
    control, first = 0, []
    for sheet in demo.checked().sheets:
        count, wrong = look(sheet, every)
        name = sheet["engine"]["id"]
        print(
            f"| {name} | {count.figures} | {count.limits} | {count.desk} | {count.phone} | {count.control} |",
            flush=True,
        )
        ends, control, first = ends or int(bool(wrong)), control + count.control, first + wrong[:5]
    print(
        "\n| worksheet | told, typed back | condemned | a division beyond | passed |\n| --- | --- | --- | --- | --- |"
    )
    for sheet in demo.checked().sheets:
        back, wrong = told_back(sheet, every)
        ends, first = ends or int(bool(wrong) or not back.beyond), first + wrong[:5]
        print(
            f"| {sheet['engine']['id']} | {back.figures} | {back.condemned} | {back.beyond} | {back.passed} |",
            flush=True,
        )
    print("\n".join(["", *first]))
    return 1 if ends or not control else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
