"""Functions of formulas whose arguments are all quantities: what each takes, and what it gives."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction
from typing import Any, NamedTuple

from generator.faults import Fault
from generator.faults.formula import TruthForNumber, UnitMismatch
from generator.quantities.formulas import formula_words
from generator.quantities.formulas.kinds import alike, alone, described, power_of, wanted
from generator.quantities.formulas.parts import FormulaPart, Says
from generator.quantities.units import Kind, kind_of


class Made(NamedTuple):
    """A new node: its tree, its kind, its words."""

    tree: Any
    kind: Kind
    says: Says


class Function(NamedTuple):
    """How a function is written, and how many arguments it takes."""

    usage: str
    least: int
    most: int | None


FUNCTIONS: Mapping[str, Function] = {
    "min": Function("min(a, b)", 2, None),
    "max": Function("max(a, b)", 2, None),
    "abs": Function("abs(x)", 1, 1),
    "round": Function('round(x, "0.1 L")', 1, 2),
    "floor": Function('floor(x, "0.1 L")', 1, 2),
    "ceil": Function('ceil(x, "0.1 L")', 1, 2),
    "sqrt": Function("sqrt(x)", 1, 1),
    "exp": Function("exp(x)", 1, 1),
    "log": Function("log(x)", 1, 1),
    "gcd": Function("gcd(a, b)", 2, None),
    "lcm": Function("lcm(a, b)", 2, None),
    **{name: Function(f"{name}(angle)", 1, 1) for name in ("sin", "cos", "tan")},
    **{name: Function(f"{name}(x)", 1, 1) for name in ("asin", "acos", "atan")},
    "interp": Function("interp(table_name, x)", 2, 2),
    "between": Function("between(first, second)", 2, 2),
    "add": Function('add(date, "12 month")', 2, 2),
    "absolute": Function("absolute(p, air)", 2, 2),
    "gauge": Function("gauge(p, air)", 2, 2),
    "vacuum": Function("vacuum(p, air)", 2, 2),
    "tolerance": Function("tolerance(value)", 1, 1),
    "needle": Function("needle(reading)", 1, 1),
    "found": Function('found("step-id", "outcome")', 2, 2),
}


def call(name: str, parts: list[FormulaPart]) -> Made | Fault:
    """Call one of `CALLED` with the right number of arguments."""
    return CALLED[name](name, parts)


def _one(takes: str, gives: str) -> Callable[[str, list[FormulaPart]], Made | Fault]:
    """Return a function that takes one kind of unit and gives another."""

    def made(name: str, parts: list[FormulaPart]) -> Made | Fault:
        kind = kind_of(takes)
        fault = wanted(parts[0], kind, f"{name} takes {described(kind)}")
        return fault or Made([name, parts[0].tree], kind_of(gives), formula_words.called(name, parts))

    return made


def _many_alike(name: str, parts: list[FormulaPart]) -> Made | Fault:
    faults = [alike(parts[0], part, name) for part in parts[1:]]
    fault = next((fault for fault in faults if fault), None)
    return fault or Made([name, *(part.tree for part in parts)], parts[0].kind, formula_words.called(name, parts))


def _many_numbers(name: str, parts: list[FormulaPart]) -> Made | Fault:
    faults = [wanted(part, kind_of(""), f"{name} takes plain numbers") for part in parts]
    fault = next((fault for fault in faults if fault), None)
    return fault or Made([name, *(part.tree for part in parts)], kind_of(""), formula_words.called(name, parts))


def _size(name: str, parts: list[FormulaPart]) -> Made | Fault:
    return alone(parts[0], name) or Made([name, parts[0].tree], parts[0].kind, formula_words.called(name, parts))


def _root(name: str, parts: list[FormulaPart]) -> Made | Fault:
    kind = power_of(parts[0], Fraction(1, 2), name)
    return kind if isinstance(kind, Fault) else Made([name, parts[0].tree], kind, formula_words.called(name, parts))


def _between(name: str, parts: list[FormulaPart]) -> Made | Fault:
    faults = [wanted(part, kind_of("date"), "between takes two dates") for part in parts]
    fault = next((fault for fault in faults if fault), None)
    return fault or Made([name, *(part.tree for part in parts)], kind_of("s"), formula_words.called(name, parts))


def _add(name: str, parts: list[FormulaPart]) -> Made | Fault:
    date, later = parts
    fault = wanted(date, kind_of("date"), "add takes a date first")
    if fault or later.kind not in (kind_of("s"), kind_of("month")):
        return fault or _either(later, "a time or an age", "add takes it second", '"12 month"  or  "30 day"')
    op = "add-days" if later.kind == kind_of("s") else "add-months"
    return Made([op, date.tree, later.tree], date.kind, formula_words.called(name, parts))


def _absolute(name: str, parts: list[FormulaPart]) -> Made | Fault:
    shown, air = parts
    if shown.kind.sort not in ("gauge", "vacuum"):
        return _either(shown, "a gauge pressure or a vacuum", "absolute takes it first", '"110 kPa(g)"')
    tree = ["+", shown.tree, air.tree] if shown.kind.sort == "gauge" else ["-", air.tree, shown.tree]
    return _air(air, name) or Made(tree, kind_of("kPa"), formula_words.called(name, parts))


def _shown(name: str, parts: list[FormulaPart]) -> Made | Fault:
    pressure, air = parts
    fault = wanted(pressure, kind_of("kPa"), f"{name} takes a pressure first") or _air(air, name)
    tree = ["-", pressure.tree, air.tree] if name == "gauge" else ["-", air.tree, pressure.tree]
    return fault or Made(tree, kind_of(f"kPa({'g' if name == 'gauge' else 'vac'})"), formula_words.called(name, parts))


def _air(part: FormulaPart, name: str) -> Fault | None:
    return wanted(part, kind_of("kPa"), f"{name} takes the outside pressure second")


def _either(part: FormulaPart, expected: str, because: str, example: str) -> Fault:
    if part.kind.sort == "truth":
        return TruthForNumber(part.place, part.text, because)
    return UnitMismatch(
        part.place, part.text, described(part.kind), expected, because, f"Write, for example  {example}"
    )


CALLED: Mapping[str, Callable[[str, list[FormulaPart]], Made | Fault]] = {
    "min": _many_alike,
    "max": _many_alike,
    "abs": _size,
    "sqrt": _root,
    "exp": _one("", ""),
    "log": _one("", ""),
    "gcd": _many_numbers,
    "lcm": _many_numbers,
    **{name: _one("deg", "") for name in ("sin", "cos", "tan")},
    **{name: _one("", "deg") for name in ("asin", "acos", "atan")},
    "between": _between,
    "add": _add,
    "absolute": _absolute,
    "gauge": _shown,
    "vacuum": _shown,
}
