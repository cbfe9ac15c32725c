"""What earlier versions wrote is read as it was: the golden records fold to the golden states, in both languages."""

from __future__ import annotations

import copy
import functools
import hashlib
import json
from typing import Any

import pytest

from generator.canonical import canonical, digest
from generator.journal.entries import SLOTS
from generator.journal.fold import fold
from generator.journal.record import Record, read_record, write_record
from generator.journal.shapes.sound import is_sheet
from tests.golden import rule, store
from tests.golden.make import make

JOBS = [(name, job) for name in store.sets() for job in store.of(name, "records")]
OF_EACH = pytest.mark.parametrize(("name", "job"), JOBS)


@functools.cache
def read(name: str, job: str) -> Record:
    record = read_record(store.of(name, "records")[job])
    assert isinstance(record, Record), record
    return record


@functools.cache
def python_state(name: str, job: str) -> str:
    record = read(name, job)
    return canonical(fold(record.entries, record.sheets))


@functools.cache
def phones(name: str) -> dict[str, dict[str, Any]]:
    return store.by_phone(store.of(name, "records"))


def differing(name: str, job: str, now: str) -> list[rule.Difference]:
    golden = json.loads(store.of(name, "states")[job])
    return list(rule.differences(golden, json.loads(now), f"{name}/{job}"))


# --- the sets themselves ----------------------------------------------------------------------------------------------


def test_the_first_golden_set_is_there_and_no_file_of_any_set_was_touched() -> None:
    assert "2026-11" in store.sets()
    for name in store.sets():
        assert store.sums(name) == store.manifest(name)["files"], f"the golden set {name} was changed"


@pytest.mark.parametrize("name", store.sets())
def test_a_golden_set_holds_every_kind_of_entry_that_was_known_then_on_every_engine(name: str) -> None:
    about = store.manifest(name)
    records = [read(name, job) for job in about["jobs"]]
    assert sorted(store.of(name, "records")) == sorted(store.of(name, "states")) == about["jobs"]
    assert {entry["kind"] for record in records for entry in record.entries} >= set(about["kinds"])
    assert set(about["kinds"]) <= set(SLOTS), "a kind that phones in the field hold is not known any more"
    engines = {sheet["engine"]["id"] for record in records for sheet in record.sheets.values()}
    sheets = {mark: json.loads(text) for mark, text in store.of(name, "sheets").items()}
    assert engines == {sheet["engine"]["id"] for sheet in sheets.values()} and len(engines) >= 4


def test_the_first_set_holds_the_ways_of_a_job_that_are_hard_to_get_right() -> None:
    """Each is a fact of some golden state or record, so nobody has to trust the names of the jobs."""
    states = {job: json.loads(text) for job, text in store.of("2026-11", "states").items()}
    steps = [step for state in states.values() for step in state["steps"].values()]
    found = {step["state"] for step in steps}
    assert found >= {"done", "skipped", "not-fitted", "refused", "hidden", "open", "blocked"}
    assert any(step["failures"] for step in steps) and any(step["was"] is not None for step in steps)
    records = [read("2026-11", job) for job in states]
    entries = [entry for record in records for entry in record.entries]
    checks = [entry["value"] for entry in entries if entry["kind"] == "check"]
    assert any("adapter" in value for value in checks) and any(value.get("new") is True for value in checks)
    departed = {entry["part"].partition(":")[0] for entry in entries if entry["kind"] == "depart"}
    assert departed == {"order", "tool", "part", "value"}
    assert any(len({entry["writer"] for entry in record.entries}) > 1 for record in records)
    assert any(len(record.sheets) == 2 for record in records), "an adoption, with both revisions"
    assert any(value["not_published"] for state in states.values() for value in state["values"].values())
    for what in ("unknown", "clashes", "declined", "passed", "complete", "departures", "extras"):
        assert any(state[what] for state in states.values()), what
    assert sum(not state["complete"] for state in states.values()) >= 4


def test_a_golden_set_is_never_made_again() -> None:
    with pytest.raises(SystemExit, match=r"is there already\. A golden set is never remade"):
        make("2026-11")
    assert store.sums("2026-11") == store.manifest("2026-11")["files"]


# --- the worksheets ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", store.sets())
def test_golden_worksheets_are_still_worksheets_and_the_ones_of_the_golden_site(name: str) -> None:
    sheets = store.of(name, "sheets")
    site = store.unpacked(name, "site.tar.xz")
    served = {hashlib.sha256(body).hexdigest() for path, body in site.items() if path.endswith("/sheet.json")}
    assert served == set(sheets) and len(served) >= 4
    for mark, text in sheets.items():
        sheet = json.loads(text)
        assert digest(text) == mark and canonical(sheet) == text and is_sheet(sheet)


# --- the jobs ---------------------------------------------------------------------------------------------------------


@OF_EACH
def test_a_golden_record_is_read_folded_and_written_as_it_was(name: str, job: str) -> None:
    record = read(name, job)
    assert rule.unexplained(differing(name, job, python_state(name, job))) == []
    assert write_record(record.entries, record.sheets) == store.of(name, "records")[job]


@OF_EACH
def test_the_phones_own_code_reads_folds_and_writes_a_golden_record_alike(name: str, job: str) -> None:
    phone = phones(name)[job]
    assert phone.get("refused") is None
    assert rule.unexplained(differing(name, job, phone["state"])) == []
    assert phone["state"] == python_state(name, job)
    assert phone["record"] == store.of(name, "records")[job]
    assert phone["sheets"] == sorted(read(name, job).sheets)


def test_nothing_is_excused_that_does_not_differ() -> None:
    found = [one for name, job in JOBS for one in differing(name, job, python_state(name, job))]
    assert rule.idle(found) == []


# --- what the comparison would notice ---------------------------------------------------------------------------------


def test_every_change_of_a_golden_state_is_noticed_and_told_with_its_place() -> None:
    name, job = "2026-11", "written-inline-four"
    golden = json.loads(store.of(name, "states")[job])
    changes = {
        "steps/agree|history/state": ("changed", lambda state: state["steps"]["agree/history"].update(state="open")),
        "steps/agree|history/why": ("missing", lambda state: state["steps"]["agree/history"].pop("why")),
        "steps/agree|history/mood": ("added", lambda state: state["steps"]["agree/history"].update(mood="good")),
        "order": ("changed", lambda state: state["order"].pop()),
        "order/0": ("changed", lambda state: state["order"].__setitem__(0, "x")),
        "open": ("changed", lambda state: state.update(open=float(state["open"]))),
        "complete": ("changed", lambda state: state.update(complete=1)),
    }
    for where, (how, change) in changes.items():
        now = copy.deepcopy(golden)
        change(now)
        found = list(rule.differences(golden, now, "x"))
        assert [(one.where, one.how) for one in found] == [(f"x/{where}", how)]
        excuse = rule.Later(f"x/{where}", how, "on purpose")
        assert rule.unexplained(found, [excuse]) == [] and rule.idle(found, [excuse]) == []
        other = rule.Later("x/next", "changed", "never differs")
        assert rule.unexplained(found, [other]) == found and rule.idle(found, [other, excuse]) == [other]
        assert rule.idle(found, [rule.Later(f"x/{where}", how, " ")]) != []


def test_an_entry_left_out_of_a_golden_record_changes_its_state() -> None:
    """Nearly every entry: one that another answer has replaced may be left out without a trace in the state."""
    name, job = "2026-11", "written-flat-four"
    record = read(name, job)
    told = 0
    for at in range(0, len(record.entries), 7):
        left = [*record.entries[:at], *record.entries[at + 1 :]]
        told += differing(name, job, canonical(fold(left, record.sheets))) != []
    assert told >= 0.8 * len(range(0, len(record.entries), 7))
