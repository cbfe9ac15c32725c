"""The results of a procedure: every formula compiled with the meaning of its names, each result after those it
needs."""

from __future__ import annotations

import re
from collections.abc import Container, Iterator, Mapping
from dataclasses import replace

from generator.check.asked import steps_of
from generator.check.check_offs import named_by
from generator.check.checked import Checked, Loc
from generator.check.compiled_results import CompiledResult, Results
from generator.check.safe_sides import direction, safe_sides
from generator.faults import Fault
from generator.faults import result as faults
from generator.faults.formula import NoDivision
from generator.faults.names import UnknownProcedure
from generator.inputs.read import ScalarNode
from generator.model import Borrowed, Inspect, Limit, Procedure, Reading, Result, Step, Table
from generator.place import Place
from generator.quantities.formulas.compiler import (
    FUNCTIONS,
    TRUTHS,
    UNSAID,
    CompiledFormula,
    FormulaScope,
    TableKind,
    compile_formula,
)
from generator.quantities.formulas.kinds import described
from generator.quantities.units import KINDS, UNITS, Kind, kind_of, named, to_base
from generator.richtext import names_in

# Names that every formula knows besides its own procedure's: their unit, and what a person calls them.
GIVENS: Mapping[str, tuple[str, str]] = {
    "shop_altitude": ("m", "Altitude of the shop"),
    "shop_coldest": ("degC", "Coldest day at the shop"),
    "odometer": ("km", "Odometer"),
    "today": ("date", "Day the job was started"),
}
WORDS_OF_THE_LANGUAGE = frozenset({*FUNCTIONS, *TRUTHS, UNSAID, "and", "or", "not", "if", "else"})
# Kinds of values that are numbers. A count is a plain number. All other kinds are words.
NUMBERS = frozenset({"count", *KINDS}) - {"date"}


def label_of(name: str) -> str:
    """Return the label of a result that has none: `left_inside` -> Left inside."""
    return name.replace("_", " ").capitalize()


def value_kind(kind: str) -> Kind | None:
    """Return what a value of this kind is in a formula. None means words."""
    if kind not in NUMBERS:
        return None
    return kind_of("" if kind in ("count", "number") else KINDS[kind][0])


def table_kind(table: Table) -> TableKind:
    """Return a whole table as formulas know it."""
    ends = sorted(to_base(float(row[0]), table.x.unit) for row in (table.rows[0], table.rows[-1]))
    return TableKind(kind_of(table.x.unit), kind_of(table.y.unit), ends[0], ends[1], table.title, table.x.unit)


class Bench:
    """Works out the results of all procedures, each once, however they borrow from each other."""

    def __init__(
        self,
        procedures: Mapping[str, Checked[Procedure]],
        tables: Mapping[str, Checked[Table]],
        divided: Container[str],
    ) -> None:
        """`divided`: the units in which the library says the smallest division of a gauge."""
        self.procedures, self.divided = procedures, divided
        self.tables = {name: table_kind(table.noun) for name, table in tables.items()}
        self._rows = {name: table.noun.rows for name, table in tables.items()}
        self.done: dict[str, Results] = {}
        self.faults: list[Fault] = []
        self.landmarks = {
            step.landmark: tuple(step.check.inspect)
            for source in procedures.values()
            for _, step in steps_of(source.noun)
            if step.landmark and isinstance(step.check, Inspect)
        }

    def rising(self, table: str) -> int:
        """Return whether what a table gives rises with what it is read at, falls, or does both."""
        return direction([(float(x), float(y)) for x, y in self._rows.get(table, [])])

    def work(self, name: str) -> Results:
        if name not in self.done:
            self.done[name] = Results()  # a procedure that borrows from itself in a circle finds nothing
            look = _Look(self, self.procedures[name])
            self.done[name] = look.work()
            self.faults += look.faults
        return self.done[name]


class _Look:
    def __init__(self, bench: Bench, source: Checked[Procedure]) -> None:
        self.bench, self.source, self.noun = bench, source, source.noun
        self.faults: list[Fault] = []
        self.out = Results()
        self.kinds: dict[str, Kind] = {}

    def work(self) -> Results:
        self._names_are_one_things()
        self._borrow()
        for name in self._in_order_of_need():
            self._one(name)
        self._shown_somewhere()
        self._safe_sides()
        self._adds_up()
        self.out.whole = not self.faults
        return self.out

    # --- names --------------------------------------------------------------------------------------------------

    def _names_are_one_things(self) -> None:
        first: dict[str, tuple[str, int]] = {}
        groups = (
            ("values", "value", self.noun.values),
            ("readings", "reading", self.noun.readings),
            ("results", "result", self.noun.results),
        )
        for group, what, names in groups:
            for name in names:
                place = self.source.key_place(group, name)
                if name in WORDS_OF_THE_LANGUAGE or name in GIVENS:
                    means = GIVENS[name][1] if name in GIVENS else "a word of the language"
                    self.faults.append(faults.NameTaken(place, name, what, means))
                elif name in first:
                    self.faults.append(faults.NameTwice(place, name, what, *first[name]))
                elif group != "values" and name in self.bench.tables:
                    self.faults.append(faults.NameTaken(place, name, what, "a table"))
                first.setdefault(name, (what, place.line))

    def _borrow(self) -> None:
        for name, result in self.noun.results.items():
            if not isinstance(result, Borrowed):
                continue
            place = self.source.place("results", name, "of")
            if result.of not in self.bench.procedures:
                known = tuple(sorted(self.bench.procedures))
                self.faults.append(UnknownProcedure(place, f'result "{name}"', result.of, known))
                continue
            theirs = self.bench.work(result.of)
            if name in theirs.own:
                self.out.borrowed[name] = result.of
                self.kinds[name] = theirs.own[name].formula.kind
            elif theirs.whole:
                self.faults.append(faults.UnknownResult(place, f'procedure "{result.of}"', name, tuple(theirs.own)))

    def _in_order_of_need(self) -> list[str]:
        """Return the names of the results, each after those that its formula names. One that needs itself is a fault
        and left out."""
        own = {name: _formula(r) for name, r in self.noun.results.items() if not isinstance(r, Borrowed)}
        needs = {name: [word for word in _words(text) if word in own] for name, text in own.items()}
        order: list[str] = []
        in_circle: set[str] = set()

        def visit(name: str, trail: tuple[str, ...]) -> None:
            if name in trail:
                circle = (*trail[trail.index(name) :], name)
                if not in_circle & set(circle):
                    self.faults.append(faults.ResultCircle(self._formula_place(name), name, circle))
                in_circle.update(circle)
            elif name not in order and name not in in_circle:
                for other in needs[name]:
                    visit(other, (*trail, name))
                order.append(name)

        for name in own:
            visit(name, ())
        return [name for name in order if name not in in_circle]

    # --- one result -----------------------------------------------------------------------------------------------

    def _one(self, name: str) -> None:
        written = self.noun.results[name]
        assert not isinstance(written, Borrowed)
        if any(word in self.noun.results and word not in self.kinds for word in _words(_formula(written))):
            return  # it needs a result that has a fault of its own
        result = Result(formula=written) if isinstance(written, str) else written
        loc: Loc = ("results", name) if isinstance(written, str) else ("results", name, "formula")
        formula = self._compile(result.formula, loc)
        if formula is None:
            return
        self.kinds[name] = formula.kind
        unit = self._unit(name, result, formula)
        self._set_on(name, result, formula)
        if result.safe and formula.kind.sort in ("truth", "date"):
            place = self.source.place("results", name, "safe")
            self.faults.append(faults.SafeOfNoFigure(place, name, result.safe, described(formula.kind)))
        limits = tuple(self._limit(name, at, result) for at in range(len(result.limits)))
        self._texts(name, result)
        self._fills(name, result, formula)
        if unit is not None and all(fine for _, fine in limits):
            compiled = tuple(limit for limit, _ in limits)
            self.out.own[name] = CompiledResult(name, result, result.label or label_of(name), formula, unit, compiled)

    def _compile(self, text: str, loc: Loc) -> CompiledFormula | None:
        node = self.source.node_at(*loc)
        place = node.place_of(0) if isinstance(node, ScalarNode) else self.source.place(*loc)
        compiled, wrong = compile_formula(text, place, self._scope())
        for fault in wrong:
            at = fault.place.column - place.column
            spot = node.place_of(at) if isinstance(node, ScalarNode) and fault.place.line == place.line else fault.place
            self.faults.append(replace(fault, place=spot))
        return compiled

    def _scope(self) -> FormulaScope:
        values = {name: need.kind for name, need in self.noun.values.items()}
        kinds = {name: kind for name, said in values.items() if (kind := value_kind(said))}
        readings = {name: kind_of(reading.unit) for name, reading in self.noun.readings.items()}
        return FormulaScope(
            names={**{n: kind_of(unit) for n, (unit, _) in GIVENS.items()}, **kinds, **readings, **self.kinds},
            words_only={name: "words" for name in values if name not in kinds},
            tables=self.bench.tables,
            ranges={name: _range(reading) for name, reading in self.noun.readings.items()},
            tolerances=frozenset(kinds),
            gauges={name: self._undivided(reading) for name, reading in self.noun.readings.items()},
            steps={**self.bench.landmarks, **self._inspections()},
        )

    def _undivided(self, reading: Reading) -> tuple[str, ...]:
        """Return the units that the phone offers for a reading and in which nobody says its gauge's smallest
        division."""
        if reading.division is not None:
            return ()
        return tuple(unit for unit in KINDS[UNITS[reading.unit].kind] if unit not in self.bench.divided)

    def _inspections(self) -> dict[str, tuple[str, ...]]:
        return {s.id: tuple(s.check.inspect) for _, s in steps_of(self.noun) if isinstance(s.check, Inspect)}

    def _unit(self, name: str, result: Result, formula: CompiledFormula) -> str | None:
        """Return the unit a result is shown in, or None with its fault. A yes or no has none."""
        measured = named(formula.kind)
        fitting = tuple(unit for unit in UNITS if kind_of(unit) == formula.kind)
        if formula.kind.sort != "truth" and measured is None:
            self.faults.append(faults.ResultWithoutUnit(self._formula_place(name), name, described(formula.kind)))
            return None
        if result.unit is not None and result.unit not in fitting:
            place = self.source.place("results", name, "unit")
            self.faults.append(faults.ResultUnitWrong(place, name, result.unit, described(formula.kind), fitting))
            return None
        unit = result.unit or (KINDS[measured][0] if measured and measured in KINDS else "")
        if result.to_nearest is not None and (result.to_nearest.unit != unit or result.to_nearest.figure <= 0):
            place = self.source.place("results", name, "to_nearest")
            self.faults.append(faults.NearestOfSomethingElse(place, name, str(result.to_nearest), unit))
        return unit

    def _limit(self, name: str, at: int, result: Result) -> tuple[CompiledFormula | None, bool]:
        limit = result.limits[at]
        if at and result.limits[at - 1].when is None:
            place = self.source.place("results", name, "limits", at)
            self.faults.append(faults.AfterTheRest(place, name, limit.verdict))
        if limit.when is None:
            return None, True
        if any(word in self.noun.results and word not in self.kinds for word in _words(limit.when)):
            return None, False
        compiled = self._compile(limit.when, ("results", name, "limits", at, "when"))
        if compiled is not None and compiled.kind.sort != "truth":
            place = self.source.place("results", name, "limits", at, "when")
            self.faults.append(faults.LimitNoQuestion(place, name, limit.when, described(compiled.kind)))
        return compiled, compiled is not None

    def _texts(self, name: str, result: Result) -> None:
        known = (*self.noun.values, *self.noun.readings, *self.noun.results, *GIVENS)
        for at, limit in enumerate(result.limits):
            for key, text in (("say", limit.say), ("do", limit.do)):
                for said in names_in(text or ""):
                    if said not in known:
                        place = self.source.place("results", name, "limits", at, key)
                        self.faults.append(faults.UnknownNameInText(place, f'result "{name}"', said, known))

    def _fills(self, name: str, result: Result, formula: CompiledFormula) -> None:
        if result.fills is None:
            return
        place, need = self.source.place("results", name, "fills"), self.noun.values.get(result.fills)
        kind = value_kind(need.kind) if need else None
        if need is None or kind != formula.kind:
            said = f"a value of kind {need.kind}" if need else "not declared here"
            self.faults.append(faults.FillsAnother(place, name, result.fills, said, described(formula.kind)))

    # --- how it is told -------------------------------------------------------------------------------------------

    def _set_on(self, name: str, result: Result, formula: CompiledFormula) -> None:
        if result.set_on is None:
            return
        place, reading = self.source.place("results", name, "set_on"), self.noun.readings.get(result.set_on)
        if reading is None:
            known = tuple(self.noun.readings)
            self.faults.append(faults.UnknownGauge(place, f'result "{name}"', result.set_on, known))
        elif kind_of(reading.unit) != formula.kind:
            gives = described(formula.kind)
            self.faults.append(faults.GaugeOfAnotherKind(place, name, gives, result.set_on, reading.unit))
        elif lacking := self._undivided(reading):
            self.faults.append(NoDivision(place, result.set_on, lacking))
        if result.to_nearest is not None:
            place = self.source.place("results", name, "to_nearest")
            self.faults.append(faults.NearestAndGauge(place, name, str(result.to_nearest), result.set_on))

    def _safe_sides(self) -> None:
        """Compare each safe side with what the limits call bad."""
        sides = safe_sides(self.out.own.values(), self.bench.rising)
        for name, worked in self.out.own.items():
            said, right = worked.result.safe, sides.get(name)
            if said is not None and right is not None and said != right:
                place = self.source.place("results", name, "safe")
                self.faults.append(faults.SafeSideTurned(place, name, said, right, worked.result.set_on))

    def _adds_up(self) -> None:
        kinds = {name: kind for name, need in self.noun.values.items() if (kind := value_kind(need.kind))}
        kinds |= {name: kind_of(reading.unit) for name, reading in self.noun.readings.items()}
        kinds |= {name: self.kinds[name] for name in self.out.own}
        first: dict[str, str] = {}
        for whole, parts in self.noun.adds_up.items():
            if not self._are_known(whole, parts, kinds):
                continue
            if len(set(parts) - {whole}) < len(parts) or len(parts) < 2 or not set(parts) & set(self.out.own):
                place = self.source.key_place("adds_up", whole)
                self.faults.append(faults.PartsDoNotMakeIt(place, whole, tuple(parts)))
                continue
            for at, part in enumerate(parts):
                place = self.source.place("adds_up", whole, at)
                if kinds[part] != kinds[whole]:
                    gives = described(kinds[whole]), part, described(kinds[part])
                    self.faults.append(faults.PartOfAnotherKind(place, whole, *gives))
                elif part in self.out.own and first.setdefault(part, whole) != whole:
                    self.faults.append(faults.PartOfTwo(place, part, whole, first[part]))

    def _are_known(self, whole: str, parts: list[str], kinds: Mapping[str, Kind]) -> bool:
        """True if the whole and its parts are figures here. One that has a fault of its own is not told twice."""
        parts_at = [(part, self.source.place("adds_up", whole, at)) for at, part in enumerate(parts)]
        places = [(whole, self.source.key_place("adds_up", whole)), *parts_at]
        unknown = [(name, place) for name, place in places if name not in kinds]
        for name, place in unknown:
            if name not in self.noun.results or isinstance(self.noun.results[name], Borrowed):
                self.faults.append(faults.UnknownInWhole(place, name, tuple(kinds)))
        return not unknown

    def _formula_place(self, name: str) -> Place:
        written = self.noun.results[name]
        node = self.source.node_at("results", name, *(() if isinstance(written, str) else ("formula",)))
        return node.place_of(0) if isinstance(node, ScalarNode) else self.source.place("results", name)

    # --- shown, used ----------------------------------------------------------------------------------------------

    def _shown_somewhere(self) -> None:
        shown = {name for _, step in steps_of(self.noun) for name in shows_of(step)}
        used = {name for worked in self.out.own.values() for name in worked.names}
        said = {n for w in self.out.own.values() for limit in w.result.limits for n in _limit_names(limit)}
        lent = {
            name
            for other in self.bench.procedures.values()
            for name, result in other.noun.results.items()
            if isinstance(result, Borrowed) and result.of == self.noun.procedure
        }
        # What a formula that cannot be read would use is not called unused as well.
        unread = {name: one for name, one in self.noun.results.items() if name not in self.out.own}
        used |= {word for one in unread.values() for word in re.findall(r"[a-z][a-z0-9_]*", _written(one))}
        for name, worked in self.out.own.items():
            place = self.source.key_place("results", name)
            if worked.result.hold and worked.result.limits and not any(limit.bad for limit in worked.result.limits):
                self.faults.append(faults.NeverBad(self.source.key_place("results", name, "hold"), name))
            if worked.result.hold and name not in shown | lent:
                self.faults.append(faults.HoldNotShown(place, name))
            elif not (worked.result.fills or self.noun.calculator or name in shown | used | said | lent):
                self.faults.append(faults.ResultNotUsed(place, name))


def _written(result: str | Result | Borrowed) -> str:
    """Return the formulas of a result, as they stand in the file."""
    if isinstance(result, Result):
        return " ".join([result.formula, *(limit.when or "" for limit in result.limits)])
    return result if isinstance(result, str) else ""


def _limit_names(limit: Limit) -> Iterator[str]:
    yield from names_in(limit.say or "")
    yield from names_in(limit.do or "")


def shows_of(step: Step) -> list[str]:
    """Return the names that a step shows besides its values: those of `shows` and those in its text (values among
    them)."""
    return list(dict.fromkeys([*step.shows, *names_in(step.do), *names_in(step.why or "")]))


def readings_of(step: Step) -> list[str]:
    """Return the readings that a step takes."""
    return [name for _, name in named_by(step.check).readings]


def _formula(result: str | Result) -> str:
    return result if isinstance(result, str) else result.formula


def _words(text: str) -> list[str]:
    """Return the bare words of a formula. A text in quotes is a quantity or a step."""
    return re.findall(r"[A-Za-z_][A-Za-z0-9_]*", re.sub(r"\"[^\"]*\"|'[^']*'", " ", text))


def _range(reading: Reading) -> tuple[float | None, float | None]:
    def base(text: str | None) -> float | None:
        return None if text is None else to_base(float(text), reading.unit)

    return base(reading.from_), base(reading.to)
