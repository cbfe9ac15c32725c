"""Faults become lines: for people, for a terminal, for programs, for CI."""

from __future__ import annotations

import doctest
import json
import tracemalloc

import pytest

from generator.faults import Fault
from generator.faults.shape import UnknownKey, UnknownKindOfFile
from generator.faults.source import TabIndent, UnclosedQuote
from generator.inputs import door
from generator.place import Place
from generator.site.build import check_texts
from generator.terminal import report
from tests.support import demo
from tests.support.harness import faults_of, procedure

STEP = "- {id: look, do: Look at it., check: tick"
BAD = procedure(f"{STEP}, hodl: yes}}\n- {{id: again, do: Look again., check: tik}}")
TEXTS = {**BAD, **procedure(STEP + "}", id="other"), "shop.yml": "# to come\nshop: quay\n"}


def found() -> list[Fault]:
    return [fault for fault in faults_of(TEXTS) if fault.place.file in BAD]


def test_a_fault_is_a_line_to_click_and_an_indented_line_to_write() -> None:
    lines = report.text(found(), TEXTS).splitlines()
    assert lines[0] == 'procedures/fit-pump.yml:7:50: step "look" has an unknown key "hodl".'
    assert lines[1].startswith('    Did you mean "hold"? It may have: id, do, ')
    assert lines[2] == 'procedures/fit-pump.yml:8:45: step "again" has "tik" after "check", which is not a check-off.'
    assert len(lines) == 5


@pytest.mark.parametrize(
    ("paths", "count", "line"),
    [
        (["procedures/fit-pump.yml", "procedures/other.yml"], 2, "2 procedures checked, 2 faults in 1. "),
        (["procedures/fit-pump.yml", "procedures/other.yml", "shop.yml"], 2, "2 procedures and 1 other file checked, "),
        (["procedures/fit-pump.yml"], 1, "1 procedure checked, 1 fault in 1. "),
        (["procedures/other.yml"], 0, "1 procedure checked, no faults. 1 worksheet for the phone."),
    ],
)
def test_the_last_line_counts(paths: list[str], count: int, line: str) -> None:
    last = report.closing(found()[:count], {path: TEXTS[path].encode() for path in paths}, [{}])
    assert last.startswith(line)
    assert last.endswith("The site was not built; the last good one is untouched.") == bool(count)


def test_without_a_worksheet_there_is_no_word_of_no_faults() -> None:
    for texts in ({}, TEXTS):
        last = report.closing([], texts)
        assert last.endswith(" read, and no worksheet came of it: nothing was checked to the end.")
        assert "no faults" not in last + report.dress("text", report.Told(texts)) + report.github(report.Told(texts))


def test_a_written_job_is_no_procedure_and_a_comment_hides_none() -> None:
    assert doctest.testmod(door) == (0, 1)
    job, procedure = "job: '1'\nprocedure: look\n", b"\xef\xbb\xbf# Ours\r\n---\r\n\r\n'procedure' : look\r\n"
    assert report.closing([], {"a.yml": job, "b.yml": procedure}, [{}]).startswith("1 procedure and 1 other file ")


def test_on_a_terminal_the_source_line_stands_below_with_a_caret() -> None:
    lines = report.dress("text", report.Told(TEXTS, found()), source_lines=True).splitlines()
    assert lines[2] == "    7 |       - {id: look, do: Look at it., check: tick, hodl: yes}"
    assert lines[3].index("^") == lines[2].index("hodl")


def caret_below(line: str, column: int) -> tuple[str, str]:
    fault = TabIndent(Place("a.yml", 2, column))
    written = report.text([fault], {"a.yml": f"first\r\n{line}\r\n".encode()}, source_lines=True).splitlines()
    return written[2], written[3]


def test_the_caret_stands_right_below_wide_letters_and_tabs() -> None:
    line, caret = caret_below("\tdo: x", 2)
    assert (line, caret) == ("    2 |  do: x", "      |  ^")
    line, caret = caret_below("水水: x", 5)
    assert caret == "      |       ^", "each of the two takes two columns"
    assert caret_below("e\u0301: x", 4)[1] == "      |   ^", "an accent takes none"


def test_a_long_line_is_cut_around_the_fault() -> None:
    line, caret = caret_below("a" * 500 + "b" + "c" * 500, 501)
    assert len(line) < 120
    assert line[caret.index("^")] == "b"


def test_what_would_move_the_cursor_is_not_printed() -> None:
    line, _ = caret_below("a: \x1b[31mred\x07", 1)
    assert line.isprintable()
    shown = report.text([TabIndent(Place("a\n::error::b.yml"))], {})
    assert shown.splitlines()[0].startswith("a ::error::b.yml:1:1: ")


def test_a_place_past_the_end_of_the_file_has_no_source_line() -> None:
    fault = UnclosedQuote(Place("a.yml", 9, 1), '"')
    assert len(report.text([fault], {"a.yml": "a: 1"}, source_lines=True).splitlines()) == 3
    assert len(report.text([fault], {}, source_lines=True).splitlines()) == 3


def test_programs_get_the_facts() -> None:
    told = json.loads(report.dress("json", report.Told(TEXTS, found())))
    assert told["checked"] == 3 and told["left_out"] == 0
    first = told["faults"][0]
    assert (first["file"], first["line"], first["column"]) == ("procedures/fit-pump.yml", 7, 50)
    assert first["fault"] == "UnknownKey" and first["said"] == 'step "look" has an unknown key "hodl".'
    assert first["facts"]["key"] == "hodl" and "hold" in first["facts"]["allowed"] and "place" not in first["facts"]


def test_without_faults_json_is_still_json_and_an_annotation_says_what_was_checked() -> None:
    nothing = {"cautions": [], "worksheets": [], "notes": []}
    assert json.loads(report.dress("json", report.Told(TEXTS))) == {
        "checked": 3,
        "faults": [],
        "left_out": 0,
        **nothing,
    }
    assert report.dress("github", report.Told(TEXTS)).startswith(
        "::notice::2 procedures and 1 other file read, and no "
    )


def test_an_annotation_is_one_line_whatever_is_in_it() -> None:
    fault = UnknownKey(Place("a,b:c%.yml", 3, 4), "step\r\n::error::", "100%", ("id",))
    line = report.dress("github", report.Told({}, [fault]))
    assert line == (
        '::error file=a%2Cb%3Ac%25.yml,line=3,col=4::step ::error:: has an unknown key "100%25".%0AIt may have: id.'
    )


def test_of_a_hundred_faults_in_a_file_the_rest_is_counted() -> None:
    many = [TabIndent(Place("a.yml", line)) for line in range(1, 151)]
    many.append(TabIndent(Place("b.yml", 1)))
    lines = report.text(many, {}).splitlines()
    assert "a.yml: and 50 more in this file." in lines
    assert "b.yml:1:1: this line is indented with a tab." in lines
    assert lines[-1].startswith("0 procedures checked, 151 faults in 2.")
    assert json.loads(report.as_json(report.Told({}, many)))["left_out"] == 50
    assert len(report.github(report.Told({}, many)).splitlines()) == 101


def test_a_megabyte_of_empty_lines_is_reported_in_little_memory() -> None:
    """A million lines as a million texts, or with a stored place for each, took 290 MB."""
    texts = {"procedures/pump.yml": b"\n" * 999_000 + b"procedure: pump\nnonsense: 1\n"}
    told_of = check_texts(texts).faults
    tracemalloc.start()
    try:
        told = report.text(told_of, texts, source_lines=True)
        most = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert "999002 | nonsense: 1" in told and told.splitlines()[-1].startswith("1 procedure checked")
    assert most < 40_000_000


@pytest.mark.parametrize("kind", ["text", "json", "github"])
def test_an_endless_name_in_a_list_of_names_is_cut(kind: str) -> None:
    fault = UnknownKindOfFile(Place("a.yml"), "pumb", ("p" * 9000, "valve"), None)
    told = report.dress(kind, report.Told({"a.yml": b""}, [fault]))
    assert max(len(line) for line in told.splitlines()) < 1500 and "valve" in told


def test_a_caution_is_told_in_every_format() -> None:
    plain = demo.sheet("inline-four")
    value = {**plain["values"]["pump_bolts"], "doubt": "more than such a bolt takes."}
    sheet = {**plain, "values": {**plain["values"], "pump_bolts": value}}
    told = report.Told({}, (), (sheet,), ())  # type: ignore[arg-type]
    line = f'caution: sheet "{sheet["engine"]["id"]}", value "pump_bolts": more than such a bolt takes.'
    assert line in report.cautions(told.sheets).splitlines()
    assert line in json.loads(report.as_json(told))["cautions"]
    assert f"::warning::{line}" in [each.replace("%25", "%") for each in report.github(told).splitlines()]
