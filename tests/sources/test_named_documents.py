"""Documents that an engine sheet names once: a value that adds its place is the same as one with its whole source."""

from __future__ import annotations

import re
from pathlib import PurePosixPath

import pytest

from generator.canonical import canonical
from generator.check import check_all
from generator.check.documents import source_at
from generator.faults import Fault
from generator.model import Document, Page
from generator.site import disk
from generator.site.build import check_texts
from tests.support import demo
from tests.support.harness import engine, names_of

DOCUMENTS = re.compile(r"^documents:\n(?:  \w+: \{.*\}\n)+", re.MULTILINE)
NAMED = re.compile(r"^  (\w+): \{(.*)\}$", re.MULTILINE)
AT = re.compile(r'\bat: (?:\{(\w+): "([^"]*)"\}|"([^"]*)")')


def written_out(text: str) -> tuple[str, int]:
    """Return an engine sheet as it was written before documents were named, and how many values were rewritten."""
    named = dict(NAMED.findall(DOCUMENTS.findall(text)[0]))

    def source(found: re.Match[str]) -> str:
        name, where, alone = found.groups()
        book = named[name] if name else next(iter(named.values()))
        title, _, readers = book.partition(", read:")
        return f'source: {{{title}, where: "{where or alone}", read:{readers}}}'

    return AT.subn(source, DOCUMENTS.sub("", text))


def test_a_worksheet_is_the_same_byte_for_byte_whichever_way_its_values_are_written() -> None:
    texts = demo.texts()
    old: dict[str, str | bytes] = {}
    for file, text in texts.items():
        if PurePosixPath(file).parent.name == "engines":
            old[file], rewritten = written_out(text.decode())
            assert rewritten > 60 and not AT.search(old[file]) and "documents:" not in old[file]
    made = check_texts({**texts, **old}, frozenset(disk.read_pictures(demo.ROOT, "procedures")))
    assert names_of(list(made.faults)) == [] and len(old) == 4
    assert [canonical(sheet) for sheet in made.sheets] == [canonical(sheet) for sheet in demo.checked().sheets]


DOCUMENT = {"document": "Manual", "read": "2026-10-02", "by": "KS"}
CHECKED = {**DOCUMENT, "checked_by": "RT", "checked": "2026-10-03"}


@pytest.mark.parametrize(
    ("document", "page", "wanted"),
    [
        (DOCUMENT, "page 4", "2026-10-02 KS None None"),
        (CHECKED, "page 4", "2026-10-02 KS RT 2026-10-03"),
        (CHECKED, {}, "2026-10-02 KS RT 2026-10-03"),
        (CHECKED, {"by": "JM"}, "2026-10-02 JM None None"),
        (CHECKED, {"read": "2026-10-09"}, "2026-10-09 KS None None"),
        (CHECKED, {"by": "JM", "checked_by": "KS"}, "2026-10-02 JM KS None"),
        (CHECKED, {"checked_by": "JM"}, "2026-10-02 KS JM None"),
        (CHECKED, {"checked": "2026-10-09"}, "2026-10-02 KS RT 2026-10-09"),
        (DOCUMENT, {"checked_by": "JM", "checked": "2026-10-09"}, "2026-10-02 KS JM 2026-10-09"),
    ],
)
def test_what_a_place_says_of_the_reading_counts_instead(
    document: dict[str, str], page: str | dict[str, str], wanted: str
) -> None:
    """A reading by somebody else, or of another day, is not the one that was read a second time."""
    place = page if isinstance(page, str) else Page.model_validate({"where": "page 4", **page})
    source = source_at(Document.model_validate(document), place)
    assert (source.document, source.where) == ("Manual", "page 4")
    assert f"{source.read} {source.by} {source.checked_by} {source.checked}" == wanted


PEOPLE = {
    "shop/shop.yml": """\
shop: quay
title: Quay
people:
  - {initials: KS, name: Kim S., role: lead}
  - {initials: RT, name: Robin T., role: tech}
"""
}


def told(documents: str, *values: str) -> list[str]:
    """Return the faults of a sheet with these documents and values, as lines of text."""
    sheet = _sheet(*values)
    [file] = [file for file, text in sheet.items() if text.startswith("engine:")]
    text = sheet[file].replace("values:", f"documents: {{{documents}}}\nvalues:", 1)
    return [_line(fault) for fault in check_all({**sheet, file: text, **PEOPLE})[1]]


def _sheet(*values: str) -> dict[str, str]:
    said = "\n".join(f"v{number}: {{torque: 10 N.m, {value}}}" for number, value in enumerate(values))
    return engine(said, "\n".join(f"v{number}: {{kind: torque, label: Bolts}}" for number in range(len(values))))


def _line(fault: Fault) -> str:
    return f"{fault.place.line}:{fault.place.column} {type(fault).__name__}: {fault.said}"


MANUAL = 'manual: {document: "Manual, 2nd edition", read: 2026-10-02, by: KS}'


def test_a_document_without_its_reader_is_told_at_the_document_and_nowhere_else() -> None:
    found = told("manual: {document: Manual}", "at: page 1", "at: page 2")
    assert [line.split(": ")[0].split()[1] for line in found] == ["MissingKey"]
    assert 'document "manual"' in found[0] and "read" in found[0] and "by" in found[0]


@pytest.mark.parametrize(
    ("old", "new", "kind", "key"),
    [
        ("by: KS", "by: ZZ", "UnknownReader", "by: "),
        ("by: KS", "by: KS, checked_by: KS", "CheckedByReader", "checked_by: "),
        ("2026-10-02", "2199-10-02", "DayToCome", "read: "),
        ("by: KS", "by: KS, checked_by: RT, checked: 2026-10-01", "CheckedBeforeRead", "checked: "),
        ("by: KS", "by: KS, checked: 2026-10-03", "CheckedByNobody", "checked"),
    ],
)
def test_a_fault_of_the_reader_is_told_once_where_it_is_written(old: str, new: str, kind: str, key: str) -> None:
    documents = MANUAL.replace(old, new)
    found = told(documents, "at: page 1", "at: page 2", "at: {manual: {where: page 3, checked_by: RT}}")
    assert [line.split(" ")[1] for line in found] == [f"{kind}:"] and 'document "manual"' in found[0]
    column = int(found[0].split(":")[1].split(" ")[0])
    assert f"documents: {{{documents}}}"[: column - 1].endswith(key if kind != "CheckedByNobody" else ", ")


def test_a_fault_of_a_values_own_reader_is_told_at_the_value() -> None:
    found = told(MANUAL, "at: {manual: {where: page 3, by: ZZ}}", "at: {manual: {where: page 3, checked_by: KS}}")
    assert [line.split(": ", 1)[1][:10] for line in found] == ['value "v0"', 'value "v1"']
    assert [line.split(" ")[1] for line in found] == ["UnknownReader:", "CheckedByReader:"]


def test_a_value_without_a_place_is_told_to_add_one_in_the_sheets_own_document() -> None:
    sheet = told(MANUAL, "at: page 1", "count: 6")
    assert [line.split(" ")[1] for line in sheet] == ["TorqueWithoutSource:"]


@pytest.mark.parametrize("place", ['at: "-"', 'at: {manual: "."}', 'at: {manual: {where: "-", checked_by: RT}}'])
def test_a_place_that_says_nothing_is_a_fault(place: str) -> None:
    assert [line.split(" ")[1] for line in told(MANUAL, place)] == ["SourceSaysNothing:"]


def test_a_broken_document_makes_nothing_else_wrong() -> None:
    found = told('manual: {document: "Manual", read: yesterday, by: KS}', "at: page 1", "at: {manual: page 2}")
    assert [line.split(" ")[1] for line in found] == ["NotADate:"]


def test_the_words_of_a_sheet_without_documents_name_the_first_value_and_how_many_there_are() -> None:
    sheet = _sheet("at: page 1", "at: {manual: page 1}")
    [fault] = check_all({**sheet, **PEOPLE})[1]
    assert "2 values" in fault.said and "documents:" in fault.write
