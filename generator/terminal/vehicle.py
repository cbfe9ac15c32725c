"""A vehicle identification number -> what is odd about it: lines for a person, JSON for a program."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.faults import counted
from generator.quantities.vin import DIGIT_AT, NORTH_AMERICA, check_digit, check_vin, model_year, tidied
from generator.terminal.plain import one_line

SURE = ("length", "alphabet")
"""What no maker's custom explains."""


@dataclass(frozen=True)
class VinRead:
    """A number as it is read. The digit, the digit that the others give, and the year are None where it has not 17
    characters that may all stand in one; the year is None, too, where its place is no law."""

    vin: str
    told: list[dict[str, Any]]
    binding: bool
    digit: str | None
    expected: str | None
    year: int | None

    @property
    def is_odd(self) -> bool:
        """True if something is odd that no custom of a maker explains."""
        return any(one.get("binding", one["code"] in SURE) for one in self.told)


def read_vin(text: str) -> VinRead:
    """Return what a number says and what is odd about it. A text of gaps alone has no number: its `vin` is empty."""
    vin, told = tidied(text), check_vin(text)
    if not vin or any(one["code"] in SURE for one in told):
        return VinRead(vin, told, False, None, None, None)
    return VinRead(vin, told, vin[0] in NORTH_AMERICA, vin[DIGIT_AT], check_digit(vin), model_year(vin))


def vin_lines(read: VinRead) -> str:
    """Return for a person what is known of a number and what is odd about it."""
    lines = [one_line(read.vin)]
    if read.digit is not None:
        lines.append(f"region        {'North America' if read.binding else 'not North America'}")
        lines.append(f"check digit   {_digit(read)}")
        lines.append(f"model year    {_year(read)}")
    odd = [f"- {_SAID[one['code']](one)}" for one in read.told]
    return "\n".join([*lines, *(["Look at the number again:"] if odd else ["Nothing is odd about it."]), *odd])


def _digit(read: VinRead) -> str:
    law = "" if read.binding else ", not every maker uses one"
    return f"{read.digit}{'' if read.digit == read.expected else f', by the other characters {read.expected}'}{law}"


def _year(read: VinRead) -> str:
    if not read.binding:
        return "not told: its place is law in North America alone"
    return "none" if read.year is None else f"{read.year} (of a car or light truck)"


def vin_json(read: VinRead) -> str:
    """Return the same for programs."""
    out = {
        "vin": read.vin,
        "odd": read.is_odd,
        "told": read.told,
        "binding": read.binding,
        "check_digit": read.digit,
        "check_digit_expected": read.expected,
        "model_year": read.year,
    }
    return json.dumps(out, indent=2)


def _length(told: Mapping[str, Any]) -> str:
    return f"It has {counted(told['length'], 'character')}. A number since 1981 has 17."


def _alphabet(told: Mapping[str, Any]) -> str:
    letters = one_line(" ".join(told["letters"]))
    return f"These never stand in one: {letters}. I, O and Q are left out because they look like 1 and 0."


def _year_odd(told: Mapping[str, Any]) -> str:
    custom = "" if told["binding"] else ", if this maker puts one there"
    return f'"{told["letter"]}" in the tenth place is not a model year{custom}.'


def _digit_odd(told: Mapping[str, Any]) -> str:
    found, expected = told["found"], told["expected"]
    if told["binding"]:
        return f"The check digit (ninth place) is {found} and should be {expected}: one character is wrong."
    return f"The check digit (ninth place) is {found}, by the others it would be {expected}. Not every maker uses one."


_SAID = {"length": _length, "alphabet": _alphabet, "year": _year_odd, "digit": _digit_odd}
