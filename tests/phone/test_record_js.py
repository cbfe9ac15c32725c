"""Records on the phone: the same text and refusals as in Python, and no journal that is slow to fold."""

from __future__ import annotations

import pytest

from generator.canonical import canonical
from generator.journal.record import Record, RecordRefused, read_record, salvage, write_record
from tests.support import records
from tests.support.journals import many_cases, two_revisions
from tests.support.node import Phone

REFUSED = records.refused()

EXPORT = """async (cases) => {
  const { exportText } = await import('/phone/job/carry.js');
  return Promise.all(cases.map(({ entries, sheets }) => exportText([...entries].reverse(), sheets)));
}"""

READ = """async ([how, texts]) => {
  const carry = await import('/phone/job/carry.js');
  const { canonical } = await import('/phone/journal/journal.js');
  const read = [];
  for (const text of texts) read.push(canonical(await carry[how](text)));
  return read;
}"""


def as_phone(read: Record | RecordRefused) -> str:
    """Return what the phone's reader gives for the same record, as canonical JSON."""
    if isinstance(read, RecordRefused):
        return canonical({"refused": read.reason, "code": read.code, "line": read.line})
    sheets = {name: canonical(sheet) for name, sheet in read.sheets.items()}
    return canonical({"job": read.job, "entries": read.entries, "sheets": sheets})


def test_both_languages_write_the_same_record_byte_for_byte(phone: Phone):
    cases = [case for case in many_cases(60, seed=9) if case["entries"]]
    assert phone.evaluate(EXPORT, cases) == [write_record(case["entries"], case["sheets"]) for case in cases]


def test_a_phone_that_keeps_worksheets_as_text_writes_the_same_record(phone: Phone):
    case = two_revisions()
    texts = {name: canonical(sheet) for name, sheet in case["sheets"].items()}
    assert phone.evaluate(EXPORT, [{"entries": case["entries"], "sheets": texts}]) == [records.good()]


def test_both_languages_read_the_same_from_a_good_record(phone: Phone):
    texts = [*records.read_as_good().values()]
    texts += [write_record(case["entries"], case["sheets"]) for case in many_cases(60, seed=9) if case["entries"]]
    assert phone.evaluate(READ, ["readRecord", texts]) == [as_phone(read_record(text)) for text in texts]


def test_both_languages_refuse_the_same_records_for_the_same_reason(phone: Phone):
    texts = [text for text, _, _ in REFUSED.values()]
    theirs = phone.evaluate(READ, ["readRecord", texts])
    mine = [as_phone(read_record(text)) for text in texts]
    wrong = {what: (a, b) for what, a, b in zip(REFUSED, mine, theirs, strict=True) if a != b}
    assert wrong == {} and all('"refused"' in read for read in theirs)


def test_both_languages_salvage_the_same_from_a_damaged_record(phone: Phone):
    whole = records.good()
    texts = [whole[:-700], whole.replace("12 N.m", "70 N.m"), "nothing to see", *(t for t, _, _ in REFUSED.values())]
    assert phone.evaluate(READ, ["salvage", texts]) == [as_phone(salvage(text)) for text in texts]


def test_a_record_of_another_job_is_refused_where_one_job_is_asked_for(phone: Phone):
    ask = (
        "async ([text, job]) => (await (await import('/phone/job/carry.js')).readRecord(text, { job })).code ?? 'read'"
    )
    assert [phone.evaluate(ask, [records.good(), job]) for job in ("job-1", "job-9")] == ["read", "other-job"]


SLOW = """async ({ kind, count, entries, sheets }) => {
  const J = await import('/phone/journal/journal.js');
  const [{ path }] = sheets[entries[0].sheet].steps;
  const id = (number) => number.toString(16).padStart(24, '0');
  const made = Array.from({ length: count }, (_, at) => ({
    ...entries[0], id: id(kind === 'one id' ? 0 : at), lamport: at + 1, seen: [], step: path, part: '',
    kind: kind === 'go-backs' && at % 2 ? 'back' : 'check', value: { disturbs: [], rest: [path], at },
  }));
  const began = performance.now();
  const state = J.fold(J.union(made), sheets);
  return [state.steps[path].failures, performance.now() - began];
}"""


@pytest.mark.parametrize(("kind", "count"), [("one id", 1000), ("go-backs", 2000)])
def test_a_journal_made_to_be_slow_is_folded_in_seconds(phone: Phone, kind: str, count: int):
    failures, took = phone.evaluate(SLOW, {"kind": kind, "count": count, **two_revisions()})
    assert failures == 0 and took < 8000
