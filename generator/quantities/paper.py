"""What paper can say of each result of a worksheet, before anybody has read a gauge. Plain data for the templates.

What needs no reading is worked out. What hangs on one reading is told as bands of that reading, or as a small table,
and what hangs on one inspection for each of its answers. Two unknown readings would need a table in two directions,
which nobody reads in an engine bay: such a result is a line to write on. Where both come in through one other result
alone, a person works out that one, and reads the rest off it as off a gauge.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any

from generator.canonical import Json
from generator.quantities.by_reading import (
    Gauge,
    Rest,
    VerdictBand,
    bands,
    gauge_of,
    rest_of,
    round_readings,
    shown_first,
    worked_gauge_of,
)
from generator.quantities.results import given_figures, with_unit
from generator.quantities.told import ground, told
from generator.quantities.units import legible
from generator.sheet_types import ResultJson, StepJson, WorksheetJson

Names = dict[str, Mapping[str, Any]]
Answers = Mapping[str, str]

MOST_CASES = 3
"""What differs by an inspection's answer is printed for so many groups of answers. Beyond that nobody finds theirs."""


class Paper:
    """One worksheet as paper knows it: nothing is read, nothing is found."""

    def __init__(self, sheet: WorksheetJson) -> None:
        self.sheet = sheet
        self.results = {result["name"]: result for result in sheet["results"]}
        self._anywhere = {name for step in sheet["steps"] for name in step["shows"]}
        self._rests: dict[tuple[Any, ...], Rest] = {}
        self._gauges: dict[tuple[Any, ...], Gauge | None] = {}
        self._known_read_by: dict[tuple[Any, ...], list[str]] = {}
        self._read: dict[tuple[Any, ...], Json] = {}
        self._swept: dict[tuple[Any, ...], tuple[VerdictBand, ...] | None] = {}
        self._hanging: dict[tuple[Any, ...], list[str]] = {}
        self._told: dict[str, list[dict[str, Any]]] = {}
        self.worked = self._rest({}).states

    # -- what a step prints

    def results_of(self, step: StepJson) -> list[dict[str, Any]]:
        """Return the results that a step prints, each as `_said` gives it: those that it shows, and before them those
        under them that no step shows and that paper can say, each at the first step that needs it."""
        names = self._by_step[step["path"]]
        mine = [result for result in self.sheet["results"] if result["name"] in names]
        # What only an instruction names stands after the verdict that it belongs to.
        mine.sort(key=lambda result: self._is_instructed_only(result["name"]))
        said = [self._said(result) for result in mine]
        told = {*names}
        for one in said:
            # Once in a step is enough, and none where the step prints that result with its formula.
            one["read_by"] = [how for how in one["read_by"] if how["name"] not in told]
            told |= {how["name"] for how in one["read_by"]}
        return said

    def _is_instructed_only(self, name: str) -> bool:
        return name in self._instructed and name not in self._anywhere

    @cached_property
    def _by_step(self) -> dict[str, set[str]]:
        met: set[str] = set(self._anywhere)
        out = {}
        for step in self.sheet["steps"]:
            under = self._under(step) - met
            met |= under
            out[step["path"]] = {*step["shows"], *(name for name in under if self._is_said_under(name))}
        return out

    def _under(self, step: StepJson) -> set[str]:
        """Return what lies under the results of a step, what fills its values, and what their instructions name."""
        shown = {*step["shows"], *(self._fills[name] for name in step["values"] if name in self._fills)}
        waiting = [*shown]
        while waiting:
            more = {*self._inputs[waiting.pop()]} & {*self.results} - shown
            shown |= more
            waiting += more
        return shown | {name for of in step["shows"] for name in self._named_by.get(of, {})}

    def _is_said_under(self, name: str) -> bool:
        """True for what is known beforehand or for some answer, for what has a verdict or stands in an instruction, and
        for what is read from a published table, which nobody has in the bay. Any other figure that hangs on a reading
        is a step on the way, and its formula is there."""
        result, cases = self.results[name], self._cases(self.results[name])
        if self.worked[name]["base"] is not None or any(case["text"] for case in cases):
            return True
        return bool(cases) and (bool(result["limits"] or result["tables"]) or name in self._instructed)

    @cached_property
    def _inputs(self) -> dict[str, list[str]]:
        """Result -> the names that it needs. A value that the sheet does not give comes from the result that fills
        it."""
        return {name: [self._fills.get(one, one) for one in of["inputs"]] for name, of in self.results.items()}

    @cached_property
    def _fills(self) -> dict[str, str]:
        return {result["fills"]: name for name, result in self.results.items() if result["fills"]}

    @cached_property
    def _named_by(self) -> dict[str, dict[str, set[int]]]:
        """Result -> the results that its instructions name, each with the numbers of the limits whose they are."""
        out: dict[str, dict[str, set[int]]] = {}
        for name, result in self.results.items():
            for number, limit in enumerate(result["limits"]):
                for other in set(_names_in(limit["do"] or [])) & set(self.results):
                    out.setdefault(name, {}).setdefault(other, set()).add(number)
        return out

    @cached_property
    def _instructed(self) -> set[str]:
        return {name for named in self._named_by.values() for name in named}

    @cached_property
    def _wanted(self) -> set[str]:
        """Return the results whose figure somebody needs beside its verdict: another result does, or a text."""
        inputs = {name for of, names in self._inputs.items() for name in names if name != of}
        in_steps = {name for step in self.sheet["steps"] for name in _names_in(step["do"])}
        return inputs | in_steps | self._instructed

    def instead_of(self, value: str) -> str:
        """Return what a value comes to if nobody reads it, with the label of the result that fills it; "" where none
        does, or where it needs a reading."""
        filling = self.results.get(self._fills.get(value, ""))
        text = self.text(filling, self.worked) if filling else None
        return f"{text} ({filling['label']})" if filling and text else ""

    # -- one result

    def _said(self, result: ResultJson) -> dict[str, Any]:
        """Return a result for paper: its label, its unit, the formula in words, and what it comes to."""
        state, cases = self.worked[result["name"]], self._cases(result)
        known = self.text(result, self.worked)
        return {
            "name": result["name"],
            "label": result["label"],
            "unit": shown_first(result, self.sheet),
            "words": self._words(result),
            "safe": f", rounded {result['safe']}" if result.get("safe") else "",
            "text": known,
            "verdict": state["verdict"] if result["limits"] else None,
            "cases": cases,
            "by_reading": any(case["reading"] for case in cases),
            "read_by": self._worked_first(cases),
            "note": next((case["reading"]["note"] for case in cases if case["reading"]), ""),
            "line": not (known or cases) or any(case["more"] or (case["reading"] or {}).get("rows") for case in cases),
        }

    def _words(self, result: ResultJson) -> str:
        return "".join(piece if isinstance(piece, str) else self._word(piece) for piece in result["words"])

    def _worked_first(self, cases: Sequence[Mapping[str, Any]]) -> list[dict[str, str]]:
        """Return the results that a person works out before reading these cases off, {name, label, words}."""
        names = {case["reading"]["name"] for case in cases if case["reading"]} & {*self.results}
        first = [self.results[name] for name in self.results if name in names]
        return [{"name": one["name"], "label": one["label"], "words": self._words(one)} for one in first]

    def text(self, result: ResultJson, states: Json, read: Mapping[str, tuple[float, str]] | None = None) -> str | None:
        """Return a figure in the unit that the shop shows first, rounded as the phone tells it; None if it is not
        known. `read`: what was read, each a number and its unit."""
        unit, figures = shown_first(result, self.sheet), {**self._figures, **(read or {})}
        said = told(result["name"], unit, ground(self.sheet, states, figures.get))
        return None if said is None else with_unit(said, unit)

    def _cases(self, result: ResultJson) -> list[dict[str, Any]]:
        """Return what a result comes to, once, or for each answer to the one inspection that it needs: {answers, text,
        reading, more}. Empty if it hangs on anything else, says only yes or no, or would fill the page."""
        if result["name"] not in self._told:
            self._told[result["name"]] = self._worked_cases(result)
        return self._told[result["name"]]

    def _worked_cases(self, result: ResultJson) -> list[dict[str, Any]]:
        name = result["name"]
        asked = [need.removeprefix("step:") for need in self.worked[name]["needs"] if need.startswith("step:")]
        if not asked:
            reading = self._by_reading(result, {})
            return [{"answers": "", "text": None, "reading": reading, "more": False}] if reading else []
        if len(asked) != 1 or len(self._read_by(name, {})) > 1 or result["kind"] == "truth":
            return []
        outcomes = self._outcomes(asked[0])
        cases = [self._case(result, {asked[0]: outcome["name"]}) for outcome in outcomes]
        grouped = _grouped([outcome["label"] for outcome in outcomes], cases)
        by_reading = sum(bool(case["reading"]) for case in grouped)
        said = any(case["text"] for case in grouped) or by_reading
        return grouped if said and by_reading <= MOST_CASES else []

    def _case(self, result: ResultJson, found: Answers) -> dict[str, Any]:
        states = self._rest(found).states
        known, needs = self.text(result, states), states[result["name"]]["needs"]
        if known is not None or not needs:
            return {"text": known, "reading": None, "more": bool(needs)}
        reading = self._by_reading(result, found)
        return {"text": None, "reading": reading, "more": not reading and not self._is_hopeless(result, found)}

    def _is_hopeless(self, result: ResultJson, found: Answers) -> bool:
        """True if no reading helps: the answer itself leaves the result unsaid."""
        gauge = self._gauge(result["name"], found)
        if gauge is None:
            return False
        states = [self._at(gauge, number, found)[result["name"]] for number in self._round(gauge, gauge.marks)]
        return all(state["base"] is None and not state["needs"] for state in states)

    # -- by one reading

    def _by_reading(self, result: ResultJson, found: Answers) -> dict[str, Any] | None:
        """Return what a result comes to over one reading, or over one result that is worked out first: {name, worked,
        label, unit, bands, do, rows, note}; None if it hangs on more."""
        gauge = self._gauge(result["name"], found)
        if gauge is None:
            return None
        judged = self._bands(result["name"], gauge, found) or ()
        is_wanted = not result["limits"] or result["name"] in self._wanted
        rows = self._rows(result, gauge, found) if is_wanted and result["kind"] != "truth" else []
        if not judged and not rows:
            return None
        return {
            "name": gauge.name,
            "worked": gauge.name in self.results,
            "label": self._blank_names[gauge.name]["label"],
            "unit": gauge.unit,
            "bands": [_band(band, gauge) for band in judged],
            "do": _instructions(result, judged),
            "rows": rows,
            "note": _note(gauge) if len(judged) > 1 else "",
        }

    def _rows(self, result: ResultJson, gauge: Gauge, found: Answers) -> list[dict[str, str]]:
        """Return the figure at round readings, [{reading, text}]; empty if it needs more than this reading."""
        rows, marks = [], self._marks(result["name"], gauge, found)
        for number in self._round(gauge, marks):
            states = self._at(gauge, number, found)
            if states[result["name"]]["base"] is None and states[result["name"]]["needs"]:
                return []
            text = self.text(result, states, {gauge.name: (float(number), gauge.unit)})
            if text is not None:
                rows.append({"reading": number, "text": text.removesuffix(shown_first(result, self.sheet)).rstrip()})
        return rows

    def _round(self, gauge: Gauge, marks: Sequence[int]) -> list[str]:
        if not marks:
            return []
        numbers = round_readings(gauge, gauge.step * marks[0], gauge.step * marks[-1])
        near = {*marks}
        return [number for number in numbers if near & {*gauge.around(number)}]

    def _marks(self, name: str, gauge: Gauge, found: Answers) -> Sequence[int]:
        """Return the marks of the gauge at which a figure is worth printing: where the reading is not bad. What stands
        only in an instruction is worth it where that instruction is given."""
        if self._is_instructed_only(name):
            for of, named in self._named_by.items():
                judged = self._bands(of, gauge, found) if name in named else None
                if judged:
                    return [mark for band in judged if band.limit in named[name] for mark in band.marks]
        bad = {mark for band in self._bad(gauge, found) for mark in band.marks}
        return [mark for mark in gauge.marks if mark not in bad]

    def _bad(self, gauge: Gauge, found: Answers) -> Iterator[VerdictBand]:
        """Yield every band in which this reading alone is bad, whichever result says so."""
        for name in self._hanging_on(gauge, found):
            yield from (band for band in self._bands(name, gauge, found) or () if band.bad)

    # -- what is known

    def _gauge(self, name: str, found: Answers) -> Gauge | None:
        """Return the one gauge that a result is read off; None if it hangs on more, or on no gauge."""
        read = self._read_by(name, found)
        return self._gauge_named(read[0], found) if len(read) == 1 else None

    def _gauge_named(self, name: str, found: Answers) -> Gauge | None:
        key = name, *found.items()
        if key not in self._gauges:
            if name in self.results:
                self._gauges[key] = worked_gauge_of(name, self.sheet, self._rest(found))
            else:
                self._gauges[key] = gauge_of(name, self.sheet) if name in self.sheet["readings"] else None
        return self._gauges[key]

    def _read_by(self, name: str, found: Answers) -> list[str]:
        """Return what a result hangs on beside inspections: its readings, or the one result through which they all come
        in.

        All such results lie on one chain, because everything comes through each of them. The first in the worksheet's
        order lies nearest to the readings: a person works out least before the rest can be read off.
        """
        key = name, *found.items()
        if key not in self._known_read_by:
            rest = self._rest(found)
            needs = _read_of(rest.states[name]["needs"])
            through = (one for one in rest.under([name] if len(needs) > 1 else []) if one != name)
            able = (one for one in through if self._can_stand_for(one, found))
            one_for_all = ([one] for one in able if _read_of(rest.needs_beside(one, name)) == [one])
            self._known_read_by[key] = next(one_for_all, needs)
        return self._known_read_by[key]

    def _can_stand_for(self, name: str, found: Answers) -> bool:
        """True if a person can work out a result in the bay from several readings, and it is a gauge then. What is read
        from a published table cannot, unless paper prints what it gives."""
        rest = self._rest(found)
        return (
            len(_read_of(rest.states[name]["needs"])) > 1
            and self._gauge_named(name, found) is not None
            and not any(rest.reads_a_table(one) and not self._cases(self.results[one]) for one in rest.under([name]))
        )

    def _rest(self, found: Answers, read: str | None = None) -> Rest:
        """Return what is left after these answers. `read`: the gauge that is about to be read."""
        worked_first = read if read in self.results else None
        key = worked_first, *found.items()
        if key not in self._rests:
            if worked_first is not None:
                self._rests[key] = self._rest(found).read_off(worked_first)
            else:
                self._rests[key] = self._rest({}).after(found) if found else rest_of(self.sheet)
        return self._rests[key]

    def _bands(self, name: str, gauge: Gauge, found: Answers) -> tuple[VerdictBand, ...] | None:
        key = name, gauge.name, *found.items()
        if key not in self._swept:
            rest, judges = self._rest(found, gauge.name), bool(self.results[name]["limits"])
            self._swept[key] = bands(name, gauge, rest) if judges else None
        return self._swept[key]

    def _at(self, gauge: Gauge, number: str, found: Answers) -> Json:
        """Return every result once the gauge shows a number."""
        key = gauge.name, number, *found.items()
        if key not in self._read:
            rest = self._rest(found, gauge.name)
            self._read[key] = rest.at(gauge.known(number), rest.under(self._hanging_on(gauge, found)))
        return self._read[key]

    def _hanging_on(self, gauge: Gauge, found: Answers) -> list[str]:
        """Return the results that a reading bears on, as far as they are not known."""
        key = gauge.name, *found.items()
        if key not in self._hanging:
            rest = self._rest(found, gauge.name)
            direct = {name for name, left in rest.results.items() if gauge.name in left["inputs"]}
            self._hanging[key] = [name for name in rest.results if direct & {*rest.under([name])}]
        return self._hanging[key]

    @cached_property
    def _figures(self) -> dict[str, tuple[float, str]]:
        return given_figures(self.sheet)

    def _outcomes(self, path: str) -> list[Mapping[str, Any]]:
        check: Mapping[str, Any] = next((step["check"] for step in self.sheet["steps"] if step["path"] == path), {})
        return [*check.get("outcomes", [])]

    # -- names

    @cached_property
    def names(self) -> Names:
        """Return everything that a text may name: what is known with its text, all else as a line to write on."""
        known: Names = {
            name: {"label": result["label"], "text": self.text(result, self.worked)}
            for name, result in self.results.items()
            if self.worked[name]["base"] is not None
        }
        said = {
            name: {"label": given["label"], "text": with_unit(legible(given["number"]), given["unit"])}
            for name, given in self.sheet["givens"].items()
            if given["number"] is not None
        }
        return self._blank_names | known | said

    @cached_property
    def _blank_names(self) -> Names:
        blank = {**self.sheet["readings"], **self.results, **self.sheet["givens"]}
        return {name: {"label": said["label"], "text": None} for name, said in blank.items()} | dict(
            self.sheet["values"]
        )

    def _word(self, piece: Sequence[str]) -> str:
        """Return what a name in a formula is called: a table, an answer to an inspection, anything else by its
        label."""
        kind, name = piece[0], piece[1]
        if kind == "table":
            return str(self.sheet["tables"][name]["title"])
        if kind == "step":
            offered = {outcome["name"]: outcome["label"] for outcome in self._outcomes(name)}
            return f"“{offered.get(piece[2], piece[2])}”"
        return str(self._blank_names[name]["label"]) if name in self._blank_names else name


def _read_of(needs: Sequence[str]) -> list[str]:
    """Return what is needed beside inspections."""
    return [need for need in needs if not need.startswith("step:")]


def _names_in(tree: Sequence[Any]) -> Iterator[str]:
    """Yield the names in a text of a worksheet."""
    for node in tree:
        if isinstance(node, dict):
            yield from [node["v"]] if "v" in node else _names_in(node["c"])


def _grouped(labels: Sequence[str], cases: Sequence[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return the cases with their answers; those that come to the same over a reading stand together."""
    out: list[dict[str, Any]] = []
    for label, case in zip(labels, cases, strict=True):
        same = next((one for one in out if case["reading"] and one["reading"] == case["reading"]), None)
        if same:
            same["answers"] = f"{same['answers']}, or: {label}"
        else:
            out.append({"answers": label, **case})
    return out


NOT_KNOWN = "Cannot be worked out"


def _band(band: VerdictBand, gauge: Gauge) -> dict[str, Any]:
    return {"readings": _readings(band, gauge), "verdict": band.verdict or NOT_KNOWN, "bad": band.bad}


def _readings(band: VerdictBand, gauge: Gauge) -> str:
    """Return a band in words. A bad one goes on beyond what is expected of the gauge; that a reading is good is said
    only of readings that can be expected."""
    low, high = gauge.text(band.first), gauge.text(band.last)
    if band.bad and band.first == gauge.first and band.last < gauge.last:
        return f"{with_unit(high, gauge.unit)} and less"
    if band.bad and band.last == gauge.last and band.first > gauge.first:
        return f"{with_unit(low, gauge.unit)} and more"
    return with_unit(low if low == high else f"{low} to {high}", gauge.unit)


def _instructions(result: ResultJson, judged: Sequence[VerdictBand]) -> list[dict[str, Any]]:
    """Return what to do in each band, once for each verdict: whoever reads a bad figure off a gauge has no phone to
    ask. What a limit says beside that is left to the phone, because it names figures that paper does not have."""
    limits = [result["limits"][number] for number in dict.fromkeys(band.limit for band in judged) if number is not None]
    return [{"verdict": limit["verdict"], "do": limit["do"]} for limit in limits if limit["do"]]


def _note(gauge: Gauge) -> str:
    """Say in which steps the bands are. A gauge may be finer, and its reading lie between two bands."""
    if gauge.counted:
        return ""
    return f"In steps of {with_unit(format(gauge.step, 'f'), gauge.unit)}. Between two lines the worse one counts."
