"""A job as plain text: what is written is read, and what is not whole is refused with the reason."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.canonical import canonical
from generator.journal.fold import fold, union
from generator.journal.record import Record, RecordRefused, read_record, salvage, sheets_named, write_record
from generator.journal.shapes.sound import is_sheet
from generator.tables import REFUSALS
from tests.support import records
from tests.support.journals import Case, cases, two_revisions
from tests.support.sample_sheet import sample_sheet

LAW = settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
REFUSED = records.refused()


def read(text: str) -> Record:
    record = read_record(text)
    assert isinstance(record, Record), record
    return record


@LAW
@given(cases())
def test_a_record_reads_back_as_what_was_written_byte_for_byte(case: Case):
    text = write_record(case["entries"], case["sheets"])
    if not case["entries"]:
        assert read_record(text) == RecordRefused("empty", 0)
        return
    record = read(text)
    assert record.entries == union(case["entries"])
    assert write_record(record.entries, record.sheets) == text
    assert canonical(fold(record.entries, record.sheets)) == canonical(fold(case["entries"], record.sheets))


@LAW
@given(cases(), st.randoms(use_true_random=False))
def test_import_is_a_union(case: Case, rng: Random):
    """Two records of one job, read and united, are the record of both."""
    halves = [[entry for entry in case["entries"] if rng.random() < 0.6] for _ in range(2)]
    if not all(halves):
        return
    one, two = (read(write_record(half, case["sheets"])) for half in halves)
    assert union(one.entries, two.entries) == union(*halves)
    assert union(one.entries, one.entries) == one.entries


def test_a_record_embeds_the_worksheets_its_entries_name_and_no_others():
    case = two_revisions()
    first = case["entries"][:-1]
    record = read(write_record(first, case["sheets"]))
    assert list(record.sheets) == sheets_named(first) and len(record.sheets) == 1
    assert record.job == "job-1"


def test_a_worksheet_that_does_not_fit_its_digest_is_left_out_of_a_record():
    case = two_revisions()
    name = case["entries"][0]["sheet"]
    spoiled = {name: {**case["sheets"][name], "revision": 99}}
    assert read(write_record(case["entries"], spoiled)).sheets == {}


@pytest.mark.parametrize("what", records.read_as_good())
def test_a_record_that_mail_has_touched_is_still_whole(what: str):
    assert write_record(*_both(read(records.read_as_good()[what]))) == records.good()


def _both(record: Record) -> tuple[Any, Any]:
    return record.entries, record.sheets


@pytest.mark.parametrize("what", REFUSED)
def test_a_record_is_refused_when_it_has(what: str):
    text, code, line = REFUSED[what]
    assert read_record(text) == RecordRefused(code, line)


def test_a_record_of_another_job_is_refused_where_one_job_is_asked_for():
    assert read_record(records.good(), job="job-9") == RecordRefused("other-job", 0)
    assert isinstance(read_record(records.good(), job="job-1"), Record)


def test_every_refusal_has_its_case_and_a_sentence_without_blame():
    met = {code for _, code, _ in REFUSED.values()} | {"other-job"}
    assert met == set(REFUSALS)
    reasons = [RecordRefused(code, 7).reason for code in REFUSALS]
    assert all(reason.endswith(".") and "{" not in reason for reason in reasons)
    assert RecordRefused("no-line", 7).reason == "Line 7 of this record is neither a worksheet nor an entry."


def test_what_is_left_of_a_damaged_record_is_read_only_when_asked_for():
    whole = records.good()
    cut = whole[: len(whole) - 700]
    assert isinstance(read_record(cut), RecordRefused)
    left = salvage(cut)
    assert isinstance(left, Record)
    assert left.entries == two_revisions()["entries"][: len(left.entries)] and len(left.entries) >= 5
    assert salvage("nothing to see") == RecordRefused("empty", 0)


def test_worksheets_as_they_are_compiled_pass_for_worksheets():
    assert is_sheet(sample_sheet())
    assert all(is_sheet(sheet) for sheet in two_revisions()["sheets"].values())


def test_one_bit_turned_anywhere_in_a_record_is_noticed():
    whole = records.good()
    for at in range(0, len(whole), 97):
        turned = whole[:at] + chr(ord(whole[at]) ^ 1) + whole[at + 1 :]
        assert isinstance(read_record(turned), RecordRefused), at
