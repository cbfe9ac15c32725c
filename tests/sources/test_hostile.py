"""What comes in is hostile until it is read: spoiled sources end in faults that a person can follow, never in a
traceback, a long wait or much memory. A share of `python -m tests.hostile.yaml_harness --files 100000`, and old
finds."""

from __future__ import annotations

import json
import time

import pytest

from generator.faults.source import StrangeStart
from generator.place import Place
from generator.site.build import check_texts
from generator.terminal import report
from tests.hostile.bases import demo, small
from tests.hostile.cases import Outcome, case, poor_words
from tests.hostile.mutations import KINDS
from tests.hostile.yaml_harness import MOST_MEGABYTES, is_broken, outcomes, table, verdicts
from tests.support.harness import SHOP, names_of, procedure

FILES = 500
PICTURES = frozenset({"face.svg"})
LAUGH = "procedure: p-{n}\ntitle: P\nrevision: 1\nstages:\n"


def test_the_sound_sources_have_no_fault() -> None:
    for base in (*small(), demo()):
        assert report.text(check_texts(base.texts, base.pictures).faults, {}) == report.text((), {}), base.name


def test_spoiled_sources_end_in_faults_that_can_be_followed() -> None:
    """In a process of its own, because the one that runs the tests holds more memory than any source may take."""
    found = list(outcomes(FILES, seed=20, workers=1))
    assert sum(outcome.files for outcome in found) >= FILES
    for outcome in found:
        assert not is_broken(outcome), f"case {outcome.number}, {outcome}\n{outcome.wrong}"


def test_a_number_and_a_seed_always_make_the_same_case() -> None:
    assert case(7, 1) == case(7, 1)
    assert case(7, 1).sources != case(7, 2).sources


def test_every_kind_spoils_something() -> None:
    """A file that was not changed would prove nothing."""
    sound = [base.texts for base in (*small(), demo())]
    for kind in KINDS:
        made = [case(number, 3, (kind,)) for number in range(6)]
        changed = [
            one for one in made if all(one.sources[one.spoiled[0]] != b.get(one.spoiled[0], "").encode() for b in sound)
        ]
        assert len(changed) >= 3, kind


def test_workers_spoil_as_many_files_as_were_asked_for() -> None:
    found = list(outcomes(30, seed=5, workers=1, kinds=("dates", "tabs")))
    assert sum(one.files for one in found) >= 30
    assert table(found).splitlines()[-1].split()[:2] == ["all", str(sum(one.files for one in found))]


@pytest.mark.parametrize(
    ("outcome", "broken"),
    [
        (Outcome(1, "tabs", 1, 1, 1.9, MOST_MEGABYTES), []),
        (Outcome(1, "tabs", 1, 1, 2.1, 80), ["slow"]),
        (Outcome(1, "tabs", 1, 1, 0.1, 301), ["large"]),
        (Outcome(1, "tabs", 1, 0, 0.1, 80, wrong="Traceback"), ["tracebacks"]),
        (Outcome(1, "tabs", 1, 1, 0.1, 80, poor="no such place"), ["poor words"]),
    ],
)
def test_the_harness_tells_which_promise_was_broken(outcome: Outcome, broken: list[str]) -> None:
    assert [name for name, is_so in verdicts(outcome).items() if is_so] == broken


def test_the_harness_notices_words_that_cannot_be_followed() -> None:
    fault = StrangeStart(Place("a.yml", 3, 1), "@", "@")
    assert "no such place" in poor_words([fault], {"a.yml": b"a: @\n"}, [])
    assert "U+202E" in poor_words([], {}, ["\u202e"])
    assert "letters" in poor_words([], {}, ["a" * 9000])


# --- What it found --------------------------------------------------------------------------------------------------


def laugh(deep: int, wide: int) -> dict[str, str]:
    """Return procedures that include each other so many times, so deep."""
    texts = {}
    for n in range(deep):
        includes = "".join(f"  - {{include: p-{n + 1}, as: a-{number}}}\n" for number in range(wide))
        texts[f"procedures/p-{n}.yml"] = LAUGH.format(n=n) + includes
    return texts | procedure("- {id: look, do: Look at it., check: tick}", id=f"p-{deep}")


@pytest.mark.parametrize(("deep", "wide"), [(8, 10), (3, 10), (30, 2), (30, 1), (500, 1)])
def test_includes_that_unfold_without_end_are_one_fault_at_once(deep: int, wide: int) -> None:
    began = time.process_time()
    assert names_of(list(check_texts(laugh(deep, wide)).faults)) == ["IncludesTooMuch"]
    assert time.process_time() - began < 2


def test_procedures_that_all_include_each_other_are_one_fault_at_once() -> None:
    includes = "".join(f"  - {{include: p-{n}, as: a-{n}}}\n" for n in range(14))
    texts = {f"procedures/p-{n}.yml": LAUGH.format(n=n) + includes for n in range(14)}
    assert names_of(list(check_texts(texts).faults)) == ["IncludesTooMuch"]


@pytest.mark.parametrize("escape", ["\\e[31m", "\\0", "\\x9b2J", "\\u202e", "\\u2066", "\\x7f", "\\ufffe"])
def test_an_escape_brings_in_nothing_that_may_not_be_typed(escape: str) -> None:
    found = check_texts(procedure(f'- {{id: look, do: "Look {escape}", check: tick}}')).faults
    assert [(type(fault).__name__, fault.place.line, fault.place.column) for fault in found] == [
        ("ControlCharacter", 7, 24)
    ]


def test_what_is_not_seen_is_named_in_a_report_and_a_long_text_is_cut() -> None:
    texts = procedure(f"- {{id: look, do: Look., check: tick, \u200ehold: yes, {'a' * 900}: yes}}")
    found = check_texts(texts).faults
    lines = report.text(found, texts).splitlines()
    assert 'has an unknown key "<U+200E>hold".' in lines[0]
    assert max(len(line) for line in lines) < 400
    told = report.Told(texts, found)
    assert json.loads(report.as_json(told))["faults"][0]["facts"]["key"] == "\u200ehold"
    assert "\u200e" not in report.as_json(told) + report.github(told)


@pytest.mark.parametrize("unit", ["-0 N.m", "5 kPa", "kPa kPa"])
def test_where_a_unit_alone_belongs_a_number_before_it_is_a_fault(unit: str) -> None:
    air = SHOP["procedures/tables/air.yml"].replace("unit: kPa", f"unit: {unit}")
    assert names_of(list(check_texts({**SHOP, "procedures/tables/air.yml": air}, PICTURES).faults)) == ["UnknownUnit"]
    fit = SHOP["procedures/fit-pump.yml"].replace("unit: mm", f"unit: {unit}")
    assert "UnknownUnit" in names_of(list(check_texts({**SHOP, "procedures/fit-pump.yml": fit}, PICTURES).faults))


def test_no_worksheet_is_written_of_an_engine_sheet_that_has_a_fault() -> None:
    path, base = "shop/engines/inline-four.yml", small()[1]
    odd = base.texts[path].replace("[10, 0]", "[10]")
    assert names_of(list(check_texts({**base.texts, path: odd}, base.pictures).faults)) == ["PositionNotTwo"]
