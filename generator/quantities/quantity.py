"""A quantity in quotes: "25 inHg(vac)", "0.1 L", "2026-11-25"."""

from __future__ import annotations

import datetime
import math
import re
from dataclasses import dataclass

from generator.faults import Fault, nearest
from generator.faults.formula import NumberTooLarge, QuantityUnclear, UnknownUnitInFormula
from generator.quantities.dates import to_days
from generator.quantities.formula.syntax import Source
from generator.quantities.units import SPELLINGS, UNITS, to_base

_NUMBER = r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_NEARLY = r"\s*([+-]?[0-9]*[.,]?[0-9]+)\s*([^\s0-9.,].*?)\s*"
_EXAMPLE = 'Write a number, a space and a unit, for example  "25 kPa"'
KNOWN = tuple(unit for unit in UNITS if unit not in ("", "date"))


@dataclass(frozen=True)
class Quantity:
    """A unit, and its number in base units."""

    unit: str
    base: float


def quantity_in(source: Source, offset: int, text: str, bare: bool = False) -> Quantity | Fault:
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
    base = to_base(float(match[1]), unit)
    return Quantity(unit, base) if math.isfinite(base) else NumberTooLarge(source.at(offset), text)


def _date(source: Source, offset: int, text: str) -> Quantity | Fault:
    try:
        return Quantity("date", to_days(datetime.date.fromisoformat(text)))
    except ValueError:
        return QuantityUnclear(source.at(offset), text, "Write a real date as year-month-day.")


def _known_as(unit: str) -> str | None:
    return SPELLINGS.get(unit.lower()) or nearest(unit, KNOWN)


def _advice(text: str) -> str:
    """Return what was most likely meant, written the right way."""
    if re.fullmatch(_NUMBER, text):
        return f"Write {text} without the quotes, or add its unit."
    match = re.fullmatch(_NEARLY, text)
    unit = "".join(match[2].split()) if match else ""
    unit = unit if unit in KNOWN else SPELLINGS.get(unit.lower(), "")
    return f'Write  "{match[1].replace(",", ".")} {unit}"' if match and unit else _EXAMPLE
