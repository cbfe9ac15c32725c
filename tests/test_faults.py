"""Every fault has a bad source that gets it, word for word, in tests/faults/<fault>.yml.

A story: `files` {path: text}, `expect` (the lines), and if need be `encoding` of the files, `times` their text is
repeated, `pictures` that are there (a list, or what is in each and `picture_times` that is repeated), `guide` pages of
the guide. Read from a real disk: `folders` (the procedures', the shop's), `links`, `pipes`, `empty` folders. With
`notes: yes` it expects what is told beside the worksheets. Faults of composed jobs have their stories here too.
"""

from __future__ import annotations

import dataclasses

import pytest

from generator import (
    factfaults,
    faults,
    folderfaults,
    formulafaults,
    jobfaults,
    picturefaults,
    resultfaults,
    torquefaults,
)
from generator.place import Place
from tests.harness import Story, in_kebab, stories

STORIES = stories()
MODULES = (faults, jobfaults, formulafaults, resultfaults, torquefaults, picturefaults, factfaults, folderfaults)
CATALOGUE = tuple(kind for kind in faults.Fault.__subclasses__() if kind.__module__ in (m.__name__ for m in MODULES))


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.name)
def test_a_bad_source_gets_these_words(story: Story) -> None:
    names, words = story.told()
    assert words == story.expect
    assert story.name in [in_kebab(name) for name in names]


def test_every_fault_has_its_bad_source() -> None:
    told = {story.name for story in STORIES}
    assert [kind.__name__ for kind in CATALOGUE if in_kebab(kind.__name__) not in told] == []


def test_a_fault_is_frozen_and_explained() -> None:
    for kind in CATALOGUE:
        assert dataclasses.is_dataclass(kind) and kind.__dataclass_params__.frozen  # type: ignore[attr-defined]
        assert kind.__doc__ and not kind.__doc__.startswith(kind.__name__), (
            f"{kind.__name__} has no page for the manual"
        )


def test_words_are_calm_and_free_of_jargon() -> None:
    jargon = ("mapping", "scalar", "sequence", "dict", "NoneType", "string", "null", "regex", "invalid", "!", "error")
    for story in STORIES:
        for line in story.expect.splitlines():
            said = line.split(" ", 1)[1] if ".yml:" in line else line
            plain = "".join(part for at, part in enumerate(said.split('"')) if at % 2 == 0)
            assert not [word for word in jargon if word in plain and word not in ALLOWED.get(story.name, ())], line


# Stories in which one of these is what the author wrote.
ALLOWED = {"guessed-text": ("null",), "tag-used": ("!",)}


def test_the_first_line_of_a_fault_ends_as_a_sentence_and_each_line_is_one_line() -> None:
    for story in STORIES:
        for line in story.expect.splitlines():
            if not line.startswith("    "):
                assert line.endswith("."), line


def fault_at(line: int, column: int = 1, file: str = "b.yml") -> faults.Fault:
    return faults.TabIndent(Place(file, line, column))


def test_faults_are_sorted_by_file_line_and_column() -> None:
    mixed = [fault_at(2, 1), fault_at(1, 9), fault_at(1, 10), fault_at(30, 1, "a.yml"), fault_at(4, 1, "a.yml")]
    places = [str(fault.place) for fault in faults.in_order(mixed)]
    assert places == ["a.yml:4:1", "a.yml:30:1", "b.yml:1:9", "b.yml:1:10", "b.yml:2:1"]


def test_a_fault_found_twice_is_told_once_and_two_in_one_place_keep_their_order() -> None:
    place = Place("a.yml")
    first, second, third = (faults.MissingKey(place, "a step", (key,), ("x",)) for key in ("id", "do", "check"))
    assert faults.in_order([first, second, first, third, second]) == [first, second, third]


@pytest.mark.parametrize(
    ("slip", "meant"),
    [("pump_blots", "pump_bolts"), ("pump-bolts", "pump_bolts"), ("PUMP_BOLTS", "pump_bolts"), ("wheel", None)],
)
def test_the_nearest_name_is_found_over_hyphens_and_capitals(slip: str, meant: str | None) -> None:
    assert faults.nearest(slip, ("belt", "pump_bolts", "idler_bolts")) == meant


def test_a_long_text_is_cut_to_one_short_line_in_a_message() -> None:
    shown = faults.excerpt("a line\nand  another " + "x" * 100)
    assert shown.startswith('"a line and another x') and shown.endswith('..."') and len(shown) <= 42


def test_a_text_is_quoted_so_that_it_can_be_pasted() -> None:
    assert faults.in_quotes("Set it: now") == '"Set it: now"'
    assert faults.in_quotes('Don\'t "force" it') == "'Don''t \"force\" it'"
