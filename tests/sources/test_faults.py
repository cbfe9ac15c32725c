"""Every fault has a bad source that gets it, word for word, in tests/faults/<module of the fault>/<fault>.yml.

A story has `files` {path: text} and `expect` (the lines). It may also have: names of `shared` files, `encoding` of the
files, `times` that their text is repeated, `pictures` that exist (a list, or the content of each and `picture_times`
that it is repeated), `guide` pages of the guide. For a real disk: `folders` (the procedures', the shop's), `links`,
`pipes`, `empty` folders. With `notes: yes` it expects what is reported beside the worksheets. With `before`
it has a last build, of these files in place of the others (null: not there), `unread` what of it could not be used.
Faults of composed jobs have their stories here too.
"""

from __future__ import annotations

import dataclasses
import string
from collections import Counter
from pathlib import Path
from typing import get_type_hints

import mypy.api
import pytest
import yaml

from generator.faults import Fault, excerpt, in_order, in_quotes, nearest
from generator.faults.base import ONE, SENTENCES, SEVERAL
from generator.faults.shape import MissingKey
from generator.faults.source import TabIndent
from generator.place import Place
from generator.site import disk
from generator.site.build import check_texts
from tests.support import demo
from tests.support.harness import STORIES_AT, Story, fault_kinds, in_kebab, stories

STORIES = stories()
CATALOGUE = fault_kinds()


@pytest.mark.parametrize("story", STORIES, ids=lambda story: story.name)
def test_a_bad_source_gets_these_words(story: Story) -> None:
    names, words = story.told()
    assert words == story.expect
    assert story.name in [in_kebab(name) for name in names]


def test_every_fault_has_its_bad_source() -> None:
    told = {story.name for story in STORIES}
    assert [kind.__name__ for kind in CATALOGUE if in_kebab(kind.__name__) not in told] == []


def test_a_story_stands_in_the_folder_of_its_subject() -> None:
    subjects = {in_kebab(kind.__name__): kind.__module__.rpartition(".")[2] for kind in CATALOGUE}
    assert {path.stem: path.parent.name for path in STORIES_AT.glob("*/*.yml")} == subjects


def test_shared_files_are_shared() -> None:
    """At least two stories use each of them, and no story that has a file of its own at the same path."""
    shared = yaml.safe_load((STORIES_AT / "shared.yml").read_text(encoding="utf-8"))
    told = [yaml.safe_load(path.read_text(encoding="utf-8")) for path in STORIES_AT.glob("*/*.yml")]
    uses = Counter(name for story in told for name in story.get("shared", ()))
    assert set(uses) == set(shared) and min(uses.values()) > 1
    for story in told:
        paths = [path for name in story.get("shared", ()) for path in shared[name]] + list(story["files"])
        assert len(paths) == len(set(paths))


def test_a_fault_is_frozen_and_explained() -> None:
    for kind in CATALOGUE:
        assert dataclasses.is_dataclass(kind) and kind.__dataclass_params__.frozen  # type: ignore[attr-defined]
        assert kind.__doc__ and not kind.__doc__.startswith(kind.__name__), (
            f"{kind.__name__} has no page for the manual"
        )


def wrong_templates(kind: type[Fault]) -> list[str]:
    """Return what a sentence of this class asks for that its fields can't give."""
    fields = {field.name for field in dataclasses.fields(kind)}
    types, wrong = get_type_hints(kind), []
    for sentence, template in kind.templates.items():
        for _, asked, form, conversion in string.Formatter().parse(template):
            if asked is None:
                continue
            name = asked.partition(".")[0].partition("[")[0]
            several = types.get(name) == tuple[str, ...] and asked == name
            if name not in fields:
                wrong.append(f"{sentence} names {asked!r}, which is no field")
            elif conversion or (several != (form in SEVERAL)) or (form in ONE and types[name] is not str):
                wrong.append(
                    f"{sentence} shows {asked} as {conversion or form or 'one text'}, which its type does not allow"
                )
    return wrong


def test_every_template_shows_only_fields_of_its_class_and_as_their_type_allows() -> None:
    wrong = [f"{kind.__name__}: {line}" for kind in CATALOGUE for line in wrong_templates(kind)]
    assert wrong == []
    assert sum(len(kind.templates) for kind in CATALOGUE) > 300


@dataclasses.dataclass(frozen=True)
class Planted(Fault):
    """Each sentence asks for something that the fields can't give."""

    name: str
    names: tuple[str, ...]
    said = "{nmae:quoted} and {names:quoted}"
    write = "{name:or}, {names}, {names:all}, {name!r} and {place.file}"


def test_a_slip_in_a_template_is_seen() -> None:
    assert wrong_templates(Planted) == [
        "said names 'nmae', which is no field",
        "said shows names as quoted, which its type does not allow",
        "write shows name as or, which its type does not allow",
        "write shows names as one text, which its type does not allow",
        "write shows name as r, which its type does not allow",
    ]


@dataclasses.dataclass(frozen=True)
class Braced(Fault):
    """A fact may have braces of its own."""

    name: str
    known: tuple[str, ...]
    said = "{{{name}}} is {name:quoted} of {known:or}, {known:all}; {known[0]} on {place.line}."
    write = "Plain."


def test_what_a_field_holds_is_never_read_as_a_template() -> None:
    fault = Braced(Place("a.yml", 3), "{known} {0} {", ("{name}", "b"))
    assert fault.said == '{{known} {0} {} is "{known} {0} {" of {name} or b, {name}, b; {name} on 3.'
    assert fault.write == "Plain."


def test_the_type_checker_still_checks_what_a_fault_is_made_of(tmp_path: Path) -> None:
    wrong = tmp_path / "wrongly_made.py"
    wrong.write_text(WRONGLY_MADE, encoding="utf-8")
    told, _, code = mypy.api.run([str(wrong)])
    assert code == 1
    assert [line.partition("error: ")[2] for line in told.splitlines() if "error: " in line] == [
        'Missing positional argument "name" in call to "BackToLater"  [call-arg]',
        'Argument 3 to "BackToLater" has incompatible type "int"; expected "str"  [arg-type]',
        'Argument 4 to "UnknownEngine" has incompatible type "str"; expected "tuple[str, ...]"  [arg-type]',
        'Cannot instantiate abstract class "Silent" with abstract attribute "write"  [abstract]',
    ]


WRONGLY_MADE = """
from dataclasses import dataclass
from generator.faults import Fault
from generator.faults.job import BackToLater
from generator.faults.names import UnknownEngine
from generator.place import Place

@dataclass(frozen=True)
class Silent(Fault):
    said = "nothing is advised."

BackToLater(Place("a.yml"), "look", "fit")
BackToLater(Place("a.yml"), "look")
BackToLater(Place("a.yml"), "look", 3)
UnknownEngine(Place("a.yml"), "job", "fuor", "four")
Silent(Place("a.yml"))
"""


def test_a_sentence_is_either_plain_text_or_a_property_and_never_a_field() -> None:
    for kind in CATALOGUE:
        assert not {field.name for field in dataclasses.fields(kind)} & set(SENTENCES), kind.__name__
        assert all(isinstance(getattr(kind, name), property) for name in ("said", "write")), kind.__name__


def test_words_are_calm_and_free_of_jargon() -> None:
    jargon = ("mapping", "scalar", "sequence", "dict", "NoneType", "string", "null", "regex", "invalid", "!", "error")
    for story in STORIES:
        for line in story.expect.splitlines():
            said = line.split(" ", 1)[1] if ".yml:" in line else line
            plain = "".join(part for at, part in enumerate(said.split('"')) if at % 2 == 0)
            assert not [word for word in jargon if word in plain and word not in ALLOWED.get(story.name, ())], line


# Stories in which the author wrote one of these.
ALLOWED = {"guessed-text": ("null",), "tag-used": ("!",)}


def test_the_first_line_of_a_fault_ends_as_a_sentence_and_each_line_is_one_line() -> None:
    for story in STORIES:
        for line in story.expect.splitlines():
            if not line.startswith("    "):
                assert line.endswith("."), line


def fault_at(line: int, column: int = 1, file: str = "b.yml") -> Fault:
    return TabIndent(Place(file, line, column))


def test_faults_are_sorted_by_file_line_and_column() -> None:
    mixed = [fault_at(2, 1), fault_at(1, 9), fault_at(1, 10), fault_at(30, 1, "a.yml"), fault_at(4, 1, "a.yml")]
    places = [str(fault.place) for fault in in_order(mixed)]
    assert places == ["a.yml:4:1", "a.yml:30:1", "b.yml:1:9", "b.yml:1:10", "b.yml:2:1"]


def test_a_fault_found_twice_is_told_once_and_two_in_one_place_keep_their_order() -> None:
    place = Place("a.yml")
    first, second, third = (MissingKey(place, "a step", (key,), ("x",)) for key in ("id", "do", "check"))
    assert in_order([first, second, first, third, second]) == [first, second, third]


@pytest.mark.parametrize(
    ("slip", "meant"),
    [("pump_blots", "pump_bolts"), ("pump-bolts", "pump_bolts"), ("PUMP_BOLTS", "pump_bolts"), ("wheel", None)],
)
def test_the_nearest_name_is_found_over_hyphens_and_capitals(slip: str, meant: str | None) -> None:
    assert nearest(slip, ("belt", "pump_bolts", "idler_bolts")) == meant


def test_a_long_text_is_cut_to_one_short_line_in_a_message() -> None:
    shown = excerpt("a line\nand  another " + "x" * 100)
    assert shown.startswith('"a line and another x') and shown.endswith('..."') and len(shown) <= 42


def test_a_text_is_quoted_so_that_it_can_be_pasted() -> None:
    assert in_quotes("Set it: now") == '"Set it: now"'
    assert in_quotes('Don\'t "force" it') == "'Don''t \"force\" it'"


# Slips in the library itself, each with where its author must write.
SLIPS = [
    # (file, what is written, what it becomes, the fault, where: a file and the line that holds this, words)
    (
        "procedures/make-safe.yml",
        "        gate: strip-down\n",
        "",
        "GateMissing",
        ("procedures/timing-belt-service.yml", "include: lift"),
        "gate: strip-down",
    ),
    (
        "procedures/turn-by-hand.yml",
        "back_to: at-marks",
        "back_to: at-mmarks",
        "UnknownStep",
        ("procedures/turn-by-hand.yml", "back_to: at-mmarks"),
        'Did you mean "at-marks"?',
    ),
    (
        "procedures/count-teeth.yml",
        "back_to: teeth-new",
        "back_to: teeth-nwe",
        "UnknownStep",
        ("procedures/count-teeth.yml", "back_to: teeth-nwe"),
        'Did you mean "teeth-new"?',
    ),
    (
        "demo_jobs/engines/brackwold-i4-16.yml",
        """engine_code:
    text: "BI16A"
    at: "page 2"
""",
        "engine_code: BI16A\n",
        "ValueAlone",
        ("demo_jobs/engines/brackwold-i4-16.yml", "engine_code: BI16A"),
        '{text: "BI16A"',
    ),
]


@pytest.mark.parametrize(("file", "old", "new", "kind", "where", "words"), SLIPS, ids=[slip[3] for slip in SLIPS])
def test_a_slip_is_told_where_it_is_mended(
    file: str, old: str, new: str, kind: str, where: tuple[str, str], words: str
) -> None:
    text = demo.texts()[file].decode()
    assert text.count(old) >= 1
    texts = {**demo.texts(), file: text.replace(old, new, 1).encode()}
    made = check_texts(texts, frozenset(disk.read_pictures(demo.ROOT, "procedures")))
    told = [fault for fault in made.faults if type(fault).__name__ == kind]
    at = [fault for fault in told if fault.place.file == where[0]]
    assert at and all(where[1] in texts[where[0]].decode().splitlines()[fault.place.line - 1] for fault in at)
    assert all(words in fault.write for fault in told) and len(made.faults) == len(told)
