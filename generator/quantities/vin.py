"""What looks odd in a vehicle identification number. It warns and never refuses: a number may be odd and true.

The same table as phone/quantities/vin.js.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

LENGTH = 17
WORTH = {
    **dict(zip("0123456789", range(10), strict=True)),
    **dict(zip("ABCDEFGH", range(1, 9), strict=True)),
    **dict(zip("JKLMN", range(1, 6), strict=True)),
    "P": 7,
    "R": 9,
    **dict(zip("STUVWXYZ", range(2, 10), strict=True)),
}
"""Every character that may stand in one: I, O and Q look too much like 1 and 0."""
WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
CHECK_DIGITS = "0123456789X"
DIGIT_AT, YEAR_AT, CYCLE_AT = 8, 9, 6
NO_YEAR = "UZ0"
YEARS = "ABCDEFGHJKLMNPRSTVWXY123456789"
"""What may stand for a model year, from 1980 on; it begins again after thirty years (49 CFR 565.15, table VII)."""
FIRST_YEAR = 1980
NORTH_AMERICA = "12345"
"""First characters where the check digit and the year's character are law; elsewhere many makers fill the place."""
LEFT_OUT = " \t\r\n\u00a0"
"""What people put between groups, and what a paste brings along."""


def check_vin(text: str) -> list[dict[str, Any]]:
    """What to tell about this number, nothing when there is nothing to say or nothing was written.

    {code: "length", length} | {code: "alphabet", letters: [those that never stand in one]} |
    {code: "year", letter, binding} | {code: "digit", found, expected, binding}.
    `binding`: true where the rule is law, false where it is a custom that the maker may not keep.

    >>> check_vin("1M8GDM9AXKP042788")
    []
    >>> check_vin("1M8GDM9A1KP042788")
    [{'code': 'digit', 'found': '1', 'expected': 'X', 'binding': True}]
    """
    vin = tidied(text)
    if not vin:
        return []
    told = list(_of_the_characters(vin))
    return told or list(_of_the_places(vin))


def tidied(text: str) -> str:
    """In capitals and without gaps; letters beyond A to Z stay as they are."""
    kept = (letter for letter in text if letter not in LEFT_OUT)
    return "".join(letter.upper() if letter.isascii() else letter for letter in kept)


def check_digit(vin: str) -> str:
    """What stands at the ninth place of these 17 characters where the check digit is used."""
    total = sum(weight * WORTH[letter] for weight, letter in zip(WEIGHTS, vin, strict=True))
    return CHECK_DIGITS[total % 11]


def model_year(vin: str) -> int | None:
    """Return the model year of 17 characters where the rule is law; None elsewhere, and where no year stands there.

    A digit in the seventh place is a year up to 2009, a letter one from 2010 on: so it is for cars and light trucks
    (49 CFR 565.15).

    >>> model_year("1M8GDM9AXKP042788"), model_year("1G4AH59H45G118341"), model_year("ZZZZZZ8K9BA012345")
    (1989, 2005, None)
    """
    if vin[0] not in NORTH_AMERICA or vin[YEAR_AT] not in YEARS:
        return None
    return FIRST_YEAR + YEARS.index(vin[YEAR_AT]) + (0 if vin[CYCLE_AT].isdigit() else len(YEARS))


def _of_the_characters(vin: str) -> Iterator[dict[str, Any]]:
    if len(vin) != LENGTH:
        yield {"code": "length", "length": len(vin)}
    strange = [letter for letter in dict.fromkeys(vin) if letter not in WORTH]
    if strange:
        yield {"code": "alphabet", "letters": strange}


def _of_the_places(vin: str) -> Iterator[dict[str, Any]]:
    """Of 17 characters that may all stand there. A maker who fills the ninth place with a letter has no check digit."""
    binding = vin[0] in NORTH_AMERICA
    if vin[YEAR_AT] in NO_YEAR:
        yield {"code": "year", "letter": vin[YEAR_AT], "binding": binding}
    found, expected = vin[DIGIT_AT], check_digit(vin)
    if found != expected and (binding or found in CHECK_DIGITS):
        yield {"code": "digit", "found": found, "expected": expected, "binding": binding}
