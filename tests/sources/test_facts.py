"""A fact of an engine is declared once with its words. Any other word is a fault that lists the words there are: a
misspelt one would leave steps and their cautions out of the worksheet, and nobody would notice."""

from __future__ import annotations

import re

import pytest

from generator.faults import Fault
from generator.site.build import check_texts
from tests.proofs import facts_harness
from tests.support import demo

SHEET = "demo_jobs/engines/brackwold-i4-16.yml"
LIBRARY = "procedures/trade.yml"
SHOP = "demo_jobs/trade.yml"
# Slips that once removed steps from a worksheet, or the worksheet from the list, without any report.
SLIPS = [
    ("mount", "come-off", "comes-off"), ("pump", "wet", "on-belt"), ("pump", "On-belt", ""), ("locks", "no", ""),
    ("settle", "Needed", ""), ("bleed_by", "screw", ""), ("pressure_test", "yes", ""), ("fan", "electric", ""),
    ("phasers", "2", "fitted"), ("cam_sprockets", "float", "floating"), ("injection_pump", "belt", ""),
    ("pump_seal", "oring", "o-ring"), ("belt_runs", "wet", "dry"),
]  # fmt: skip


def texts(*files: str) -> dict[str, str]:
    return {file: (demo.ROOT / file).read_text() for file in files}


def found(sources: dict[str, str]) -> list[Fault]:
    return list(check_texts({path: text.encode() for path, text in sources.items()}).faults)


def names(sources: dict[str, str]) -> set[str]:
    return {type(fault).__name__ for fault in found(sources)}


def with_word(fact: str, word: str) -> tuple[dict[str, str], int]:
    """Return the sheet with this word for the fact, replaced or added, and its line."""
    sources = texts(SHEET, LIBRARY, SHOP)
    said = re.compile(rf"^  {fact}: .*$", re.MULTILINE)
    sheet = sources[SHEET]
    sheet = (
        said.sub(f"  {fact}: {word}", sheet)
        if said.search(sheet)
        else sheet.replace("facts:\n", f"facts:\n  {fact}: {word}\n")
    )
    sources[SHEET] = sheet
    return sources, sheet[: said.search(sheet).start()].count("\n") + 1  # type: ignore[union-attr]


@pytest.mark.parametrize(("fact", "word", "meant"), SLIPS)
def test_a_word_that_is_not_declared_is_told_at_its_place_with_those_that_are(fact: str, word: str, meant: str) -> None:
    sources, line = with_word(fact, word)
    (told,) = [fault for fault in found(sources) if fault.place.file == SHEET and fault.place.line == line]
    assert told.place.column == len(fact) + 5
    if word == word.lower():
        assert f"The words of {fact}: " in told.write
        assert meant in told.write


def test_the_sheets_of_the_demo_say_declared_words_alone() -> None:
    assert demo.checked().faults == ()


@pytest.mark.parametrize("word", ['"none"', "[none, fitted]", "", "null", "YES", "{a: b}"])
def test_a_word_in_another_dress_is_told_as_well(word: str) -> None:
    sources, line = with_word("phasers", word)
    told = [fault for fault in found(sources) if fault.place.file == SHEET and fault.place.line == line]
    assert told if word != '"none"' else not told  # a quoted word is the same word


def test_without_any_trade_file_the_first_fact_is_a_fault() -> None:
    assert "NoTradeFile" in names(texts(SHEET))


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("trade: T\nfacts:\n", None),
        ("trade: T\nfacts: {}\n", "UndeclaredFact"),
        ("trade: T\nfacts:\n  mount: {}\n", "FactWithoutWords"),
        ("trade: T\nfacts:\n  mount:\n", None),
        ("trade: T\nfacts:\n  mount: [comes-off, stays]\n", None),
        ("trade: T\nfacts:\n  mount: {comes-off: }\n", None),
        ("trade: T\nfacts:\n  mount: {comes-off: It comes off.}\n  mount: {stays: It stays.}\n", None),
    ],
)
def test_a_facts_file_that_declares_nothing_is_a_fault_and_no_licence(text: str, fault: str | None) -> None:
    sources = {**texts(SHEET, SHOP), LIBRARY: text}
    told = names(sources)
    assert any(one.place.file == LIBRARY for one in found(sources)) if fault is None else fault in told


def test_a_fact_that_two_files_declare_is_told() -> None:
    again = {"demo_jobs/more.yml": "trade: More\nfacts:\n  mount: {come-off: Nobody meant this.}\n"}
    assert "FactTwice" in names({**texts(SHEET, LIBRARY, SHOP), **again})


def test_a_shop_may_declare_a_fact_of_its_own() -> None:
    sources, _ = with_word("lift_points", "front")
    assert "UndeclaredFact" in names(sources)
    sources[SHOP] += "  lift_points: {front: The front alone., both: Front and rear.}\n"
    assert not {"UndeclaredFact", "UnknownFactWord"} & names(sources)


def asking(condition: str, fits: str = "{mount: comes-off}") -> dict[str, str]:
    step = f"{{id: look, do: Look., check: tick, when: {{engine: {condition}}}}}"
    last = "{id: last, do: End., check: tick, completion: yes}"
    head = f"procedure: hoist\ntitle: Hoist\nrevision: 1\nfits: {fits}\n"
    text = f"{head}stages:\n  - stage: Up\n    steps:\n      - {step}\n      - {last}\n"
    return {**texts(LIBRARY, SHOP), "procedures/hoist.yml": text}


@pytest.mark.parametrize(
    ("condition", "fits", "fault"),
    [
        ("{mount: comes-off}", "{mount: comes-off}", None),
        ("{mount: come-off}", "{mount: comes-off}", "UnknownFactWord"),
        ("{mount: [comes-off, stay]}", "{mount: comes-off}", "UnknownFactWord"),
        ("{mounts: comes-off}", "{mount: comes-off}", "UndeclaredFact"),
        ("{mount: comes-off}", "{mount: come-off}", "UnknownFactWord"),
        ("{mount: comes-off}", "{mounts: comes-off}", "UndeclaredFact"),
        ("{mount: stays}", "{mount: comes-off}", "NeverTrue"),
        ("{mount: []}", "{mount: comes-off}", "NeverTrue"),
    ],
)
def test_what_a_procedure_asks_is_held_to_the_same_words(condition: str, fits: str, fault: str | None) -> None:
    told = names(asking(condition, fits)) & {"UnknownFactWord", "UndeclaredFact", "NeverTrue"}
    assert told == ({fault} if fault else set())


def test_all_that_a_sheet_does_not_say_is_asked_for_at_once() -> None:
    sources = {path: text.decode() for path, text in demo.texts().items()}
    for fact in ("mount", "pump_seal", "fan"):
        sources[SHEET] = re.sub(rf"^  {fact}: .*\n", "", sources[SHEET], flags=re.MULTILINE)
    (told,) = [fault for fault in found(sources) if type(fault).__name__ not in ("MissingPicture", "MissingDrawing")]
    assert type(told).__name__ == "UnsaidFact"
    for fact in ("mount", "pump_seal", "fan"):
        assert fact in told.said and f"{fact}: " in told.write


def test_the_guide_lists_the_facts_of_the_library_with_their_words() -> None:
    guide = (demo.ROOT / "docs/guide/writing-procedures.md").read_text()
    table = guide.split("| fact | words | means |")[1].split("\n\n")[0]
    rows = dict(re.findall(r"^\| `(\w+)` \| ([^|]+) \|", table, re.MULTILINE))
    declared = {name: fact for name, fact in demo.library().facts.items() if fact.place.file == LIBRARY}
    assert {name: rows[name].split(", ") for name in rows} == {
        name: list(fact.words) for name, fact in declared.items()
    }


# --- a small share of tests/proofs/facts_harness.py -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fact", "how", "said"),
    [
        ("pump_seal", "another word", "table"),
        ("layout", "dropped", "table"),
        ("servo_line", "another word", "table"),
        ("mount", "misspelt", "fault"),
        ("tensioner", "dropped", "fault"),
    ],
)
def test_no_change_of_a_fact_is_silent(fact: str, how: str, said: str) -> None:
    wanted = [one for one in facts_harness.mutations("brackwold-f4-23") if (one.fact, one.how) == (fact, how)]
    found = [facts_harness.outcome(one) for one in wanted[-2:]]
    assert found and {now for now, _ in found} == {said}
    if fact != "mount" and said == "table":
        assert "silent" in {control for _, control in found}, "a table without marks would not show it"
