"""The vehicle's number: what is reported about it, and what can never be noticed. The phone has the same cases."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.quantities.vin import DIGIT_AT, LENGTH, WORTH, check_digit, check_vin

CASES = json.loads((Path(__file__).parents[1] / "support" / "vin.json").read_text(encoding="utf-8"))
CODES = {"length", "alphabet", "year", "digit"}
# With a valid character for the year: the tenth place never holds U, Z or 0.
numbers = st.tuples(
    st.text("12345", min_size=1, max_size=1),
    st.text(sorted(WORTH), min_size=8, max_size=8),
    st.sampled_from("ABCDEFGHJKLMNPRSTVWXY123456789"),
    st.text(sorted(WORTH), min_size=7, max_size=7),
).map("".join)


def sound(vin: str) -> str:
    """Return the same number with its right check digit."""
    return vin[:DIGIT_AT] + check_digit(vin) + vin[DIGIT_AT + 1 :]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["says"])
def test_a_number_is_told_about_as_the_shared_table_says(case):
    assert check_vin(case["text"]) == case["told"]


def test_every_code_has_its_case():
    assert {told["code"] for case in CASES for told in case["told"]} == CODES


@given(st.text(max_size=40))
def test_whatever_is_typed_gets_warnings_and_never_an_error(text):
    assert {told["code"] for told in check_vin(text)} <= CODES


@given(numbers, st.integers(1, LENGTH - 1), st.sampled_from(sorted(WORTH)))
def test_one_wrong_character_is_noticed_if_its_worth_is_another(vin, at, letter):
    right = sound(vin)
    wrong = right[:at] + letter + right[at + 1 :]
    alike = wrong == right or (at != DIGIT_AT and WORTH[letter] == WORTH[right[at]])
    assert check_vin(right) == []
    assert ("digit" in {told["code"] for told in check_vin(wrong)}) is not alike


@pytest.mark.parametrize("letters", ["1AJ", "2BKS", "3CLT", "7GPX"])
def test_characters_of_one_worth_taken_for_each_other_are_never_noticed(letters):
    right = sound("1M8GDM9A0KP04278" + letters[0])
    assert [check_vin(right[:-1] + letter) for letter in letters] == [[]] * len(letters)
