"""`handturn vin`: what it says of a number, what it never says, and how it ends."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner

from generator.cli import main
from generator.quantities.vin import YEARS, check_digit, model_year


def run(*words: str, code: int = 0, typed: str | bytes | None = None) -> str:
    result = CliRunner().invoke(main, ["vin", *words], input=typed)
    assert result.exit_code == code, result.output
    return result.output


def test_a_sound_number_is_told_with_its_check_digit_and_year():
    """The sample of 49 CFR 565, and a number that a parts dealer's page works through."""
    assert run("1G4AH59H45G118341").splitlines() == [
        "1G4AH59H45G118341",
        "region        North America",
        "check digit   4",
        "model year    2005 (of a car or light truck)",
        "Nothing is odd about it.",
    ]
    assert "check digit   X\nmodel year    1989" in run("1m8gd m9axk p042788")


def test_a_wrong_check_digit_is_an_error_where_it_is_law_and_a_remark_elsewhere():
    assert "by the other characters X" in run("1M8GDM9A1KP042788", code=1)
    assert "should be X: one character is wrong." in run("1M8GDM9A1KP042788", code=1)
    remark = run("VM8GDM9A1KP042788")
    assert "Not every maker uses one." in remark and "not told: its place is law in North America alone" in remark


@pytest.mark.parametrize(
    ("number", "said"),
    [
        ("1M8GDM9AXKP04278", "It has 16 characters. A number since 1981 has 17."),
        ("1M8GDM9AXKP0427888", "It has 18 characters."),
        ("1M8GDM9AXKPO42788", "These never stand in one: O."),
        ("1M8GDM9AXUP042788", '"U" in the tenth place is not a model year.'),
    ],
)
def test_what_is_odd_is_said(number: str, said: str):
    assert said in run(number, code=1)


def test_the_same_for_programs():
    assert json.loads(run("1M8GDM9A1KP042788", "--json", code=1)) == {
        "vin": "1M8GDM9A1KP042788",
        "odd": True,
        "told": [{"code": "digit", "found": "1", "expected": "X", "binding": True}],
        "binding": True,
        "check_digit": "1",
        "check_digit_expected": "X",
        "model_year": 1989,
    }
    told = json.loads(run("SHORT", "--json", code=1))
    assert (told["check_digit"], told["model_year"], told["binding"]) == (None, None, False)


def test_standard_input_is_read_and_nothing_in_it_reaches_the_terminal_as_it_is():
    assert "Nothing is odd" in run("-", typed="1G4AH59H45G118341\n")
    told = run("-", code=1, typed="\x1b[31m\u202e1G4AH59H4\n5G118341")
    assert "\x1b" not in told and "\u202e" not in told and "<U+001B>" in told and "<U+202E>" in told
    assert "characters" in run("-", code=1, typed=b"\xff\xfe\x00" * 40)
    assert len(run("-", code=1, typed="A" * 1_000_000)) < 5000


@pytest.mark.parametrize(("words", "typed"), [((), None), (("",), None), (("-",), ""), (("-",), " \n")])
def test_no_number_is_a_slip_in_the_words(words: tuple[str, ...], typed: str | None):
    assert "say the number" in run(*words, code=2, typed=typed)


@pytest.mark.parametrize(
    ("letter", "digit", "year"),
    # 49 CFR 565.15, table VII, from memory: A 1980, Y 2000, 1 2001, 9 2009, A 2010, L 2020 and so on.
    [
        ("A", True, 1980),
        ("Y", True, 2000),
        ("1", True, 2001),
        ("9", True, 2009),
        ("A", False, 2010),
        ("L", False, 2020),
    ],
)
def test_a_year_comes_round_after_thirty(letter: str, digit: bool, year: int):
    vin = f"1M8GDM{'9' if digit else 'A'}A0{letter}P042788"
    assert model_year(vin[:8] + check_digit(vin) + vin[9:]) == year


def test_thirty_letters_stand_for_years():
    """Without I, O, Q, as everywhere, and without U, Z and 0."""
    assert len(set(YEARS)) == len(YEARS) == 30 and not set(YEARS) & set("IOQUZ0")
