"""What a lead is told of realistic mistakes: some of the table of tests/mistakes; the harness makes all of them."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from generator import cli
from generator.site import disk
from tests.mistakes.table import SILENT, Mistake, Told, mistakes, sound, wrong
from tests.proofs import mistakes_harness
from tests.support import demo

ALL = mistakes()
SOME = ALL[:: max(1, len(ALL) // 14)]


@pytest.mark.parametrize("one", SOME, ids=lambda one: one.name)
def test_a_mistake_is_told_in_the_words_that_are_kept(one: Mistake) -> None:
    told = one.told()
    assert (told.words, told.others) == one.kept
    assert wrong(one, told) == ""


def test_the_table_is_large_and_every_entry_is_rated_with_a_word_where_it_is_not_clear() -> None:
    assert len(ALL) >= 100
    assert {one.rating for one in ALL} <= {"clear", "fair"}
    assert [one.name for one in ALL if one.rating == "fair" and not one.why] == []
    assert [one.name for one in ALL if not one.kept[0]] == []
    assert [one.name for one in ALL if not one.touched and not one.given.keys() & {"remove", "folders"}] == []


def test_a_slip_over_a_build_is_silent_without_one_and_the_command_tells_the_kept_words(tmp_path: Path) -> None:
    """The table compares in memory; the command reads the worksheets of the site that it built."""
    (one,) = mistakes_harness.chosen(["warning-deleted"])
    assert one.given["built"] and Mistake(one.subject, {**one.given, "built": False}).told() == SILENT
    disk.write_files(sound(one.sheets), tmp_path)
    shown = disk.read_pictures(demo.ROOT, "procedures")
    disk.write_files({f"procedures/pictures/{name}": content for name, content in shown.items()}, tmp_path)
    assert CliRunner().invoke(cli.main, ["build", str(tmp_path)]).exit_code == 0
    disk.write_files(one.texts(), tmp_path)
    said = CliRunner().invoke(cli.main, ["check", str(tmp_path)])
    assert said.exit_code == 0 and one.kept[0].partition(": ")[2] in said.output


def test_entries_over_a_build_are_those_that_a_first_check_does_not_tell() -> None:
    over = [one for one in ALL if one.given.get("built")]
    assert len(over) >= 6 and {one.subject for one in over} == {"since_the_build"}
    assert {one.subject for one in ALL if not one.given.get("built")}.isdisjoint({"since_the_build"})


def test_every_edit_fits_exactly_one_place_of_the_demo() -> None:
    for one in ALL:
        one.texts()  # raises ValueError, and names the edit


def test_a_checker_with_one_rule_switched_off_loses_a_mistake() -> None:
    among = mistakes_harness.chosen(["role-misspelt", "unit-misspelt"])
    assert mistakes_harness.lost("words_of_the_trade_are_declared", among) == ["role-misspelt"]


@pytest.mark.parametrize(
    ("told", "said"),
    [
        (SILENT, "SILENT"),
        (Told("other words", 0, "at the line"), "DIFFERS"),
        (Told("words", 1, "at the line"), "DIFFERS"),
        (Told("words", 0, "elsewhere"), "no word why"),
        (Told("words", 0, "at the line"), ""),
    ],
)
def test_what_is_silent_or_told_otherwise_is_wrong(told: Told, said: str) -> None:
    assert wrong(Mistake("none", {"name": "planted", "told": "words\n", "rating": "clear"}), told) == said


def test_what_is_not_clear_needs_a_word_why() -> None:
    fair = {"name": "planted", "told": "words", "rating": "fair"}
    assert wrong(Mistake("none", fair), Told("words", 0, "at the line")) == "no word why"
    assert wrong(Mistake("none", {**fair, "rating": "poor"}), Told("words", 0, "at the line")) == "rated poor"


def test_the_command_prints_a_row_a_mistake_and_counts_them(capsys) -> None:
    assert mistakes_harness.main(["role-misspelt", "initials-twice"]) == 0
    said = capsys.readouterr().out.splitlines()
    assert len([line for line in said if line.startswith("| ")]) == 4
    assert said[-1].startswith("2 mistakes: told 2 at the line, 0 near it, 0 elsewhere")


def test_the_command_ends_with_1_for_a_mistake_that_is_told_in_other_words(capsys, monkeypatch) -> None:
    one = mistakes_harness.chosen(["role-misspelt"])[0]
    other = Mistake(one.subject, {**one.given, "told": "what nobody says"})
    monkeypatch.setattr(mistakes_harness, "chosen", lambda names: [other])
    assert mistakes_harness.main(["role-misspelt"]) == 1
    assert "BROKEN: shop, role-misspelt: DIFFERS" in capsys.readouterr().out
