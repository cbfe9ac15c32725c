"""The check digit against the text of 49 CFR part 565 (a public copy) and worked examples on public pages."""

from __future__ import annotations

import pytest

from generator.quantities.vin import WEIGHTS, WORTH, check_digit, check_vin

# Number, the weighted sum, the digit it gives, whether it stands there.
WORKED = [
    ("1M8GDM9AXKP042788", 351, "X", True),  # a parts dealer's page that works it through
    ("1G4AH59H45G118341", 411, "4", True),  # the sample calculation of 49 CFR 565
    ("11111111111111111", 89, "1", True),  # a test number many use, from memory
    ("1M8GDM9A1KP042788", 351, "X", False),  # the first with its digit changed
]
# 49 CFR 565, table of letters and their values.
LETTERS = "A1 B2 C3 D4 E5 F6 G7 H8 J1 K2 L3 M4 N5 P7 R9 S2 T3 U4 V5 W6 X7 Y8 Z9"


@pytest.mark.parametrize(("vin", "total", "digit", "stands"), WORKED)
def test_worked_numbers_come_out(vin, total, digit, stands):
    assert sum(weight * WORTH[letter] for weight, letter in zip(WEIGHTS, vin, strict=True)) == total
    assert check_digit(vin) == digit
    assert (check_vin(vin) == []) is stands


def test_letters_are_worth_what_the_regulation_says_and_digits_themselves():
    letters = {pair[0]: int(pair[1]) for pair in LETTERS.split()}
    assert {**letters, **{str(digit): digit for digit in range(10)}} == WORTH
    assert set("IOQ") & set(WORTH) == set()
