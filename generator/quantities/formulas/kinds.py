"""What may be calculated with what, and the kind of the result: rules on kinds, as tables."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from generator.faults import Fault
from generator.faults import part as shown
from generator.faults.formula import AgeMix, DateSum, GaugeMix, TemperatureSum, TruthForNumber, UnitMismatch
from generator.quantities.formulas.parts import FormulaPart
from generator.quantities.units import KINDS, Kind, kind_of, named
from generator.table_names import GaugeKind

_GAUGES: tuple[GaugeKind, ...] = ("gauge", "vacuum")
# The sort of a sum or difference of the same dimensions. A pair that is not here has no sum.
_SUMS: Mapping[tuple[str, str, str], str] = {
    ("+", "plain", "plain"): "plain",
    ("-", "plain", "plain"): "plain",
    ("+", "temperature", "plain"): "temperature",
    ("+", "plain", "temperature"): "temperature",
    ("-", "temperature", "plain"): "temperature",
    ("-", "temperature", "temperature"): "plain",
    **{("+", sort, "plain"): sort for sort in _GAUGES},
    **{("+", "plain", sort): sort for sort in _GAUGES},
    **{("-", sort, "plain"): sort for sort in _GAUGES},
    **{("-", sort, sort): "plain" for sort in _GAUGES},
    ("+", "age", "age"): "age",
    ("-", "age", "age"): "age",
}
_TIMES_A_NUMBER = ("gauge", "vacuum", "age")
_ARTICLES = {
    "warmth": "a difference of temperatures", "gauge": "a gauge pressure", "number": "a plain number",
    "belt-mass": "a mass of belt", "line-mass": "a mass per length", "truth": "a yes or no",
}  # fmt: skip
_SI = {"[length]": "m", "[mass]": "kg", "[time]": "s", "[current]": "A", "[temperature]": "K", "[angle]": "deg"}


def described(kind: Kind) -> str:
    """Return what a kind is called in a message: "a volume", "a plain number", "something in kg.m/s"."""
    name = named(kind)
    if name:
        return _ARTICLES.get(name, f"{'an' if name[0] in 'aeiou' else 'a'} {name}")
    dims = [(dim, Fraction(str(exponent))) for dim, exponent in sorted(kind.dims.items())]
    over = [_factor(dim, exponent) for dim, exponent in dims if exponent > 0]
    under = [_factor(dim, -exponent) for dim, exponent in dims if exponent < 0]
    below = f"({'.'.join(under)})" if len(under) > 1 else "".join(under)
    return f"something in {'.'.join(over) or '1'}" + (f"/{below}" if below else "")


def _factor(dim: str, exponent: Fraction) -> str:
    name = _SI.get(dim, dim.strip("[]"))
    return name if exponent == 1 else f"{name}{exponent}" if exponent.denominator == 1 else f"{name}^({exponent})"


def example_of(kind: Kind, number: str = "5") -> str | None:
    """Return a quantity of a kind as a formula writes it, or None if there is none."""
    name = named(kind)
    if name == "number":
        return number
    if name == "date":
        return '"2026-11-25"'
    return f'"{number} {KINDS[name][0]}"' if name and name in KINDS else None


def wanted(part: FormulaPart, kind: Kind, because: str) -> Fault | None:
    """Return a fault if the part is not of this kind."""
    if part.kind == kind:
        return None
    if part.kind.sort == "truth":
        return TruthForNumber(part.place, part.text, because)
    return UnitMismatch(part.place, part.text, described(part.kind), described(kind), because, _advice(part, kind))


def _advice(part: FormulaPart, kind: Kind) -> str:
    given = example_of(kind, part.text)
    if _is_bare_number(part) and given:
        return f"Add the unit to the number:  {given}"
    example = example_of(kind)
    return f"Write {described(kind)} here" + (f", for example  {example}" if example else ". Check what is multiplied.")


def alike(left: FormulaPart, right: FormulaPart, sign: str) -> Fault | None:
    """Return a fault if two things cannot be compared or chosen from. Both must have the same kind."""
    truth = _truth(left, right, sign)
    if truth or left.kind == right.kind:
        return truth
    sorts = {left.kind.sort, right.kind.sort}
    if left.kind.dims == right.kind.dims and sorts & {*_GAUGES, "age"}:
        return _special(left, right, sign)
    return _differing(left, right, left.kind, sign)


def _differing(left: FormulaPart, right: FormulaPart, kind: Kind, sign: str) -> Fault | None:
    """Return a fault if the right is not of the kind the left needs. Of the two, a bare number is the one without
    its unit."""
    if _is_bare_number(left) and not _is_bare_number(right):
        left, right, kind = right, left, right.kind
    rule = "" if left.kind.sort == "temperature" else f"{sign} takes two of the same kind, and "
    return wanted(right, kind, f"{rule}{shown(left.text)} is {described(left.kind)}")


def _is_bare_number(part: FormulaPart) -> bool:
    return isinstance(part.tree, int | float) and not {*part.text} & {'"', "'"}


def _truth(left: FormulaPart, right: FormulaPart, sign: str) -> Fault | None:
    part = next((part for part in (left, right) if part.kind.sort == "truth"), None)
    return TruthForNumber(part.place, part.text, sign) if part else None


def sum_of(op: str, left: FormulaPart, right: FormulaPart) -> Kind | Fault:
    """Return the kind of a sum or a difference."""
    truth = _truth(left, right, f'"{op}"')
    if truth:
        return truth
    sort = _SUMS.get((op, left.kind.sort, right.kind.sort))
    if sort is None and _only_gauges_apart(left, right):
        return _differing(left, right, left.kind, f'"{op}"') or left.kind
    if sort is None:
        return _special(left, right, f'"{op}"')
    if left.kind.dims == right.kind.dims:
        return Kind(left.kind.dims, sort)
    expected = left.kind if left.kind.sort == "plain" == sort else Kind(left.kind.dims)
    return _differing(left, right, expected, f'"{op}"') or left.kind


def _only_gauges_apart(left: FormulaPart, right: FormulaPart) -> bool:
    """True if a gauge meets something that is not a pressure. Then the unit is wrong, not the gauge."""
    return {left.kind.sort, right.kind.sort} <= {"plain", *_GAUGES} and left.kind.dims != right.kind.dims


def product_of(op: str, left: FormulaPart, right: FormulaPart) -> Kind | Fault:
    """Return the kind of a product or a quotient."""
    truth = _truth(left, right, f'"{op}"')
    if truth:
        return truth
    a, b = left.kind, right.kind
    if a.sort == b.sort == "plain":
        return Kind(a.dims * b.dims if op == "*" else a.dims / b.dims)
    number = kind_of("")
    if a.sort in _TIMES_A_NUMBER and b == number:
        return a
    if op == "*" and b.sort in _TIMES_A_NUMBER and a == number:
        return b
    if op == "/" and a == b and a.sort in _TIMES_A_NUMBER:
        return number
    return _special(left, right, f'"{op}"')


def remainder_of(left: FormulaPart, right: FormulaPart) -> Kind | Fault:
    """Return the kind of a remainder, which is that of both sides."""
    return alone(left, '"%"') or alone(right, '"%"') or alike(left, right, '"%"') or left.kind


def alone(part: FormulaPart, sign: str) -> Fault | None:
    """Return a fault for a yes or no, a temperature or a date, which this sign cannot take."""
    if part.kind.sort == "truth":
        return TruthForNumber(part.place, part.text, sign)
    return _special(part, part, sign) if part.kind.sort in ("temperature", "date") else None


def power_of(base: FormulaPart, exponent: Fraction, sign: str) -> Kind | Fault:
    """Return the kind of a power: the exponent multiplies the dimensions."""
    if base.kind.sort == "truth":
        return TruthForNumber(base.place, base.text, sign)
    if base.kind.sort != "plain":
        return _special(base, base, sign)
    return Kind(base.kind.dims**exponent) if exponent else kind_of("")


def _special(left: FormulaPart, right: FormulaPart, sign: str) -> Fault:
    """Return the fault of a sort that has rules of its own. Of two such sorts the stricter counts."""
    for sort in ("date", "temperature", *_GAUGES, "age"):
        part = next((part for part in (right, left) if part.kind.sort == sort), None)
        if part is None:
            continue
        if sort == "date":
            return DateSum(part.place, part.text, sign)
        if sort == "temperature":
            return TemperatureSum(part.place, part.text, sign)
        if sort == "age":
            return AgeMix(part.place, part.text, described(part.kind), sign)
        other = left if part is right else right
        return GaugeMix(part.place, part.text, described(part.kind), other.text, described(other.kind), sign)
    raise AssertionError("plain quantities have no rules of their own")
