"""A quantity: a number with its unit, read once from text and passed on as it is until it is drawn or written.

Only this module takes such a text apart. Who wrote it decides how freely: a source has one form, a formula quotes it
("25 inHg(vac)", "2026-11-25"), and a person may type a comma or leave out the space.
"""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from generator.faults import Fault, nearest
from generator.faults.formula import NumberTooLarge, QuantityUnclear, UnknownUnitInFormula
from generator.quantities import typed_numbers
from generator.quantities.dates import to_days
from generator.quantities.formulas.syntax import FormulaText
from generator.quantities.units import UNITS, from_base, spelled_unit, to_base

_WRITTEN = re.compile(r"(-?(?:0|[1-9][0-9]{0,8})(?:\.[0-9]{1,9})?) (\S{1,16})")
_READ = re.compile("[ \xa0]*([+-]?[0-9]+(?:[.,][0-9]+)?)[ \xa0]*([^ \xa0]*)[ \xa0]*")
_TYPED = re.compile(r"\s*([+-]?[0-9., ]*)([^\s0-9.,+-].*?)?\s*")
_ONE_WORD = re.compile(r"[^\s0-9]{1,16}")
_SPELLED = re.compile(r"((?:0|[1-9][0-9]{0,8})(?:[.,][0-9]{1,9})?) ?([^\s0-9.,].*)")
_TURNS = re.compile(r"([0-9]{1,2})(?: .*)?", re.DOTALL)
_THEN = " then "
_DIGITS = 15
_NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_NEARLY = r"\s*([+-]?[0-9]*[.,]?[0-9]+)\s*([^\s0-9.,].*?)\s*"
_EXAMPLE = 'Write a number, a space and a unit, for example  "25 kPa"'
KNOWN = tuple(unit for unit in UNITS if unit not in ("", "date"))


@dataclass(frozen=True)
class Quantity:
    """A number exactly as it was typed, and its unit, "" for a plain number.

    >>> str(Quantity("22.0", "N.m")), Quantity("22.0", "N.m").figure, Quantity("2", "min").base
    ('22.0 N.m', 22.0, 120.0)
    """

    number: str
    unit: str

    def __str__(self) -> str:
        return f"{self.number} {self.unit}" if self.unit else self.number

    @property
    def kind(self) -> str | None:
        """What it measures, one of the kinds of units; None if nobody knows its unit."""
        return UNITS[self.unit].kind if self.unit in UNITS else None

    @property
    def figure(self) -> float:
        """The number to calculate with."""
        return float(self.number.replace(",", "."))

    @property
    def is_short(self) -> bool:
        """True if its number has at most 15 digits on each side of the point, as many as phones calculate with."""
        return all(len(digits) <= _DIGITS for digits in re.split("[.,]", self.number.lstrip("+-")))

    @property
    def base(self) -> float:
        """In base units."""
        return to_base(self.figure, self.unit)

    def to(self, unit: str) -> float:
        """The number in another unit of the same kind; in its own unit exactly as it was typed."""
        return self.figure if unit == self.unit else from_base(self.base, unit)


# --- readers ----------------------------------------------------------------------------------------------------------


def written(text: str) -> Quantity | None:
    """Return the quantity that a source writes: a number, one space, a unit.

    >>> written("22.0 N.m"), written("22N.m")
    (Quantity(number='22.0', unit='N.m'), None)
    """
    return _quantity(_WRITTEN.fullmatch(text))


def read(text: str) -> Quantity | None:
    """Return the quantity that was read on a phone: with or without a space, a unit, a sign; point or comma."""
    return _quantity(_READ.fullmatch(text))


def stages(text: str) -> Iterator[str]:
    """Yield the pulls of a tightening one by one: `12 N.m then 90 deg`."""
    yield from text.split(_THEN)


def plainly(text: str) -> Quantity | None:
    """Return the quantity that was read on a phone if it stands there without a sign, with one space."""
    found = read(text)
    return found if found and text == str(found) and found.unit and found.number[0].isdigit() else None


def turns(text: str) -> int | None:
    """Return the whole number that a text begins with: `2`, `2 turns`."""
    found = _TURNS.fullmatch(text)
    return int(found[1]) if found else None


def typed(text: str) -> tuple[Quantity, ...]:
    """Return each quantity that a text typed at a desk can mean: none, one, or two (`118,350 km`).

    >>> [str(one) for one in typed("118,350km")], typed("0,5 L"), typed("NaN km")
    (['118.35 km', '118350 km'], (Quantity(number='0.5', unit='L'),), ())
    """
    found = _TYPED.fullmatch(typed_numbers.plain(text))
    return tuple(Quantity(number, found[2] or "") for number in typed_numbers.meanings(found[1])) if found else ()


def spelled(text: str) -> Quantity | None:
    """Return number (with a point) and unit, however the unit is spelled. None for a bare number, and where a comma may
    separate thousands: some read 1,200 as 1.2 and others as 1200."""
    found = _quantity(_SPELLED.fullmatch(" ".join(text.split())))
    if found is None:
        return None
    whole, point, part = found.number.partition(",")
    return None if point and len(part) == 3 and whole != "0" else Quantity(found.number.replace(",", "."), found.unit)


def meant(text: str, units: tuple[str, ...]) -> tuple[Quantity, ...]:
    """Return what may be meant by `10N.m`, `10,5 N.m` or `1.234,5 N.m`, in one of these units: two of `1,200 N.m`, none
    of a range."""
    found = [one for one in typed(text) if written(f"{one.number} u") and _ONE_WORD.fullmatch(one.unit)]
    near = found and (found[0].unit if found[0].unit in units else nearest(found[0].unit, units))
    return tuple(replace(one, unit=near) for one in found) if near else ()


def doubtful(said: Quantity, can_be: Callable[[Quantity], bool]) -> tuple[Quantity, ...]:
    """Return both readings of `100.000 km`, the decimals first, where both can be; none where one reading is sure."""
    both = tuple(replace(said, number=number) for number in typed_numbers.meanings(said.number))
    return both if len(both) > 1 and all(map(can_be, both)) else ()


def _quantity(match: re.Match[str] | None) -> Quantity | None:
    return Quantity(match[1], match[2]) if match else None


# --- formulas ---------------------------------------------------------------------------------------------------------


def quantity_in(source: FormulaText, offset: int, text: str, bare: bool = False) -> Quantity | Fault:
    """Read the text between the quotes, the first of which is at `offset`. Only with `bare` may a number have no
    unit."""
    if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text):
        return _date(source, offset, text)
    match = re.fullmatch(rf"({_NUMBER})(?: (\S+))?", text)
    if not match or not (match[2] or bare):
        return QuantityUnclear(source.at(offset), text, _advice(text))
    unit = match[2] or ""
    if unit not in UNITS or unit == "date":
        return UnknownUnitInFormula(source.at(offset + 1 + match.start(2)), unit, _known_as(unit), KNOWN)
    found = Quantity(match[1], unit)
    return found if math.isfinite(found.base) else NumberTooLarge(source.at(offset), text)


def _date(source: FormulaText, offset: int, text: str) -> Quantity | Fault:
    try:
        days = to_days(datetime.date.fromisoformat(text))
    except ValueError:
        return QuantityUnclear(source.at(offset), text, "Write a real date as year-month-day.")
    return Quantity(str(days), "date")


def _known_as(unit: str) -> str | None:
    return spelled_unit(unit) or nearest(unit, KNOWN)


def _advice(text: str) -> str:
    """Return what was most likely meant, written the right way."""
    if re.fullmatch(_NUMBER, text):
        return f"Write {text} without the quotes, or add its unit."
    match = re.fullmatch(_NEARLY, text)
    unit = "".join(match[2].split()) if match else ""
    unit = unit if unit in KNOWN else spelled_unit(unit) or ""
    return f'Write  "{match[1].replace(",", ".")} {unit}"' if match and unit else _EXAMPLE
