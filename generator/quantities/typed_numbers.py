"""A number as a person types it: in a box of the phone, after an option at the desk.

Comma and point are both decimal signs. Both in one number are read by the last. Three digits behind a single mark can
mean thousands or thousandths; then there are two meanings, and who knows what the field can be chooses or asks. The
same table as site_overrides/phone/quantities/typed_numbers.js.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import TypeVar

T = TypeVar("T")

# A phone types full-width digits, and the sign of a minus as print has it; thin and no-break spaces part thousands.
_FULL_WIDTH = {0xFF10 + digit: str(digit) for digit in range(10)}
_PLAIN = _FULL_WIDTH | dict.fromkeys(map(ord, "\uff0d\u2212"), "-")
_PLAIN |= {0xFF0B: "+", 0xFF0E: ".", 0xFF0C: ","} | dict.fromkeys(map(ord, "\t\u00a0\u2007\u2009\u202f\u3000"), " ")
_ONE_MARK = re.compile("([+-]?)([0-9]*)(?:[.,]([0-9]*))?")
_IN_THREES = re.compile("([+-]?)([1-9][0-9]{0,2}([ .,])[0-9]{3}(?:\\3[0-9]{3})*)(?:([.,])([0-9]*))?")
_DOUBTFUL = re.compile("-?[1-9][0-9]{0,2}\\.[0-9]{3}")
_DIGITS = 15  # on each side of the decimal sign, as many as are calculated with


def plain(text: str) -> str:
    """Return the text with one form of each digit, sign, mark and space."""
    return text.translate(_PLAIN)


def meanings(text: str) -> tuple[str, ...]:
    """Return each number that the text can mean, with a point and spelled so that it has no second meaning. None for
    what is no number; two where a mark may part thousands, the decimals first.

    >>> meanings("0,5"), meanings("1.234,5"), meanings("118,350"), meanings("1e3")
    (('0.5',), ('1234.5',), ('118.35', '118350'), ())
    """
    shown = plain(text).strip(" ")
    found = []
    one = _ONE_MARK.fullmatch(shown)
    if one and (one[2] or one[3]):
        found.append((one[1], one[2], one[3] or ""))
    threes = _IN_THREES.fullmatch(shown)
    if threes and threes[4] != threes[3]:
        found.append((threes[1], threes[2].replace(threes[3], ""), threes[5] or ""))
    return tuple(_clear(*parts) for parts in found if all(len(digits) <= _DIGITS for digits in parts))


def meant(text: str, *can: Callable[[float], bool]) -> tuple[str, ...]:
    """Return what the text means in a field, of which each test says a little less narrowly what it can be."""
    return chosen(meanings(text), *(lambda number, test=test: test(float(number)) for test in can))


def chosen(found: Sequence[T], *can: Callable[[T], bool]) -> tuple[T, ...]:
    """Return what is left of several meanings: the first of the tests that any of them passes chooses. If two pass it,
    both are left, to be asked about; if none passes any, the first, to be refused."""
    for test in can:
        passing = tuple(filter(test, found))
        if passing:
            return passing
    return tuple(found[:1])


def clear(number: str) -> str:
    """Return a number (with a point) spelled so that it can't be taken for another: three digits behind the point lose
    their last zeros or gain one.

    >>> clear("118.350"), clear("1.234"), clear("22.0"), clear("0.125")
    ('118.35', '1.2340', '22.0', '0.125')
    """
    if not _DOUBTFUL.fullmatch(number):
        return number
    shorter = number.rstrip("0").rstrip(".")
    return f"{number}0" if shorter == number else shorter


def _clear(sign: str, whole: str, part: str) -> str:
    number = (whole.lstrip("0") or "0") + (f".{part}" if part else "")
    return clear(f"-{number}" if sign == "-" and number.strip("0.") else number)
