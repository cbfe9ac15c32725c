"""The fold in Python: two revisions, the rules as stories, and the laws of a set."""

from __future__ import annotations

import json
from functools import cache
from itertools import permutations
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.canonical import canonical
from generator.journal.entries import Entry, is_known, order
from generator.journal.figures import counts, own_results
from generator.journal.fold import add, fold, gather, judge, legal, union
from generator.quantities.dates import phone_ms
from generator.tables import CLOSED
from tests.support.journals import (
    DAY,
    Case,
    Phone,
    Sheet,
    cases,
    digest_of,
    good_value,
    many_cases,
    prepare,
    random_sheet,
    two_revisions,
)
from tests.support.node import node
from tests.support.stories import STORIES, Bench, Story

LAW = settings(max_examples=45, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))


@cache
def many() -> list[tuple[Case, dict[str, Any]]]:
    """Return generated journals, each with its state. Made once, by the first test that asks."""
    return [(case, fold(case["entries"], case["sheets"])) for case in many_cases(450, seed=3)]


def same(one: Any, other: Any) -> bool:
    return canonical(one) == canonical(other)


# -- one journal, two revisions of its sheet ---------------------------------------------------------------------------


def test_a_journal_folded_over_two_revisions_keeps_every_entry_and_asks_only_about_what_changed():
    case = two_revisions()
    state = fold(case["entries"], case["sheets"])
    assert {path: seen["state"] for path, seen in state["steps"].items()} == {
        "fill": "open",
        "seals/fit-seal": "done",
        "tighten-pump": "recheck",
        "wipe-seat": "done",
        "done": "blocked",
    }
    assert state["steps"]["tighten-pump"]["why"] == [{"code": "duty"}]
    assert [path for path, seen in state["steps"].items() if seen["reworded"]] == ["wipe-seat"]
    assert [path for path, seen in state["steps"].items() if seen["was"]] == ["seals/fit-seal"]
    gone = next(entry["id"] for entry in case["entries"] if entry["step"] == "grease-lip")
    assert state["gone"] == [gone] and state["next"] == "fill"


def test_before_the_new_revision_is_adopted_everything_stands():
    case = two_revisions()
    state = fold(case["entries"][:-1], case["sheets"])
    assert {path: seen["state"] for path, seen in state["steps"].items() if seen["state"] != "done"} == {
        "fill": "open",
        "done": "blocked",
    }


# -- the rules, told as stories ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("told", STORIES, ids=lambda told: told.__name__)
def test_story(told: Story):
    bench = Bench()
    told(bench)
    assert bench.told, "a story that expects nothing proves nothing"


# -- the laws ----------------------------------------------------------------------------------------------------------


@LAW
@given(cases(), st.randoms(use_true_random=False))
def test_entries_may_arrive_in_any_order_and_any_number_of_times(case: Case, rng: Random):
    entries = case["entries"]
    arrived = [*entries, *rng.sample(entries, len(entries) // 2)]
    rng.shuffle(arrived)
    assert same(fold(arrived, case["sheets"]), fold(entries, case["sheets"]))


@LAW
@given(cases(), st.integers(0, 100))
def test_one_entry_more_is_added_without_reading_the_others_again(case: Case, percent: int):
    """`judge(add(gather(J), e)) == judge(gather(J + [e]))`, for the newest entry and for one that comes late."""
    entries = case["entries"]
    late = entries[len(entries) * percent // 101] if entries else None
    for entry in [*entries[-1:], *([late] if late else [])]:
        others = [other for other in entries if other is not entry]
        before = gather(others)
        grown = add(before, entry)
        assert same(judge(grown, case["sheets"]), fold([*others, entry], case["sheets"]))
        assert same(judge(before, case["sheets"]), fold(others, case["sheets"]))


@LAW
@given(cases(), st.randoms(use_true_random=False))
def test_merging_is_the_same_whoever_merges_with_whom(case: Case, rng: Random):
    hands = [[entry for entry in case["entries"] if rng.random() < 0.6] for _ in range(3)]
    merged = [union(union(one, two), three) for one, two, three in permutations(hands)]
    merged.append(union(hands[0], union(hands[1], hands[2])))
    assert all(same(merged[0], other) for other in merged[1:])
    assert same(union(merged[0], merged[0]), merged[0])


@LAW
@given(cases(), st.randoms(use_true_random=False))
def test_a_merge_loses_nothing_and_invents_nothing(case: Case, rng: Random):
    one = [entry for entry in case["entries"] if rng.random() < 0.5]
    two = [entry for entry in case["entries"] if entry not in one]
    assert {canonical(e) for e in union(one, two)} == {canonical(e) for e in case["entries"]}
    assert len(union(one, two)) == len(case["entries"])


@LAW
@given(cases())
def test_reading_a_journal_changes_no_entry_and_no_sheet(case: Case):
    before = canonical(case)
    fold(case["entries"], case["sheets"])
    assert canonical(case) == before


@LAW
@given(cases())
def test_every_unknown_kind_is_listed_and_passed_on_and_changes_nothing_else(case: Case):
    entries = case["entries"]
    unknown = [entry for entry in entries if not is_known(entry)]
    state = fold(entries, case["sheets"])
    assert state["unknown"] == [entry["id"] for entry in unknown]
    without = fold([entry for entry in entries if is_known(entry)], case["sheets"])
    for listed in ("unknown", "clashes"):
        state.pop(listed), without.pop(listed)
    if without["sheet"]:
        assert same(state, without)


@LAW
@given(cases(), st.randoms(use_true_random=False))
def test_a_wrong_clock_changes_nothing_but_waits_and_self_checks(case: Case, rng: Random):
    clocked = {
        s["path"] for sheet in case["sheets"].values() for s in sheet["steps"] if s["check"]["kind"] in ("wait", "sign")
    }
    if any(entry["step"] in clocked and entry["kind"] == "check" for entry in case["entries"]):
        case = {**case, "entries": [entry for entry in case["entries"] if entry["step"] not in clocked]}
    times = ["1970-01-01T00:00:00.000Z", "2099-12-31T23:59:59.999Z", "half past four"]
    # Results count ages from the day of the start, and an entry with its id is not the start.
    at = {entry["id"]: rng.choice(times) for entry in case["entries"]}
    wrong = [e if e["kind"] == "start" else {**e, "at": at[e["id"]]} for e in case["entries"]]
    states = [fold(entries, case["sheets"]) for entries in (case["entries"], wrong)]
    assert same(*(_without_times(state) for state in states))


def _without_times(state: dict[str, Any]) -> Any:
    return json.loads(
        canonical(state), object_hook=lambda o: {k: v for k, v in o.items() if k not in ("at", "started_at")}
    )


@LAW
@given(cases(), st.integers(0, 1000))
def test_anything_can_be_taken_back_and_the_take_back_too(case: Case, at: int):
    entries = case["entries"]
    if not entries:
        return
    target = entries[at % len(entries)]
    phone = Phone(Random(at), "late", next(iter(case["sheets"].values())))
    phone.meet(entries)
    before = judge(phone.view, case["sheets"])
    # If the start was taken back, any entry may name the worksheet in use. So no other worksheet is added here.
    sheet = before["sheet"] or target["sheet"]
    taken = phone.write("take-back", DAY, seen=[target["id"]], sheet=sheet, value=_by_a_lead(phone.sheet))
    after_one = judge(phone.view, case["sheets"])
    assert not _counts_anywhere(after_one, target["id"])
    phone.write("take-back", DAY, seen=[taken["id"]], sheet=sheet)
    restored = judge(phone.view, case["sheets"])
    for state in (before, restored):
        state.pop("sheet"), state.pop("inert")
    assert same(before["steps"], restored["steps"]) and same(before["items"], restored["items"])


def _by_a_lead(sheet: dict[str, Any]) -> dict[str, Any]:
    """Return how an answer that stops the job is taken back. There is no other way."""
    return {
        "reason": "read wrong",
        "with": next(one["initials"] for one in sheet["shop"]["people"] if one["role"] == "lead"),
    }


def _counts_anywhere(state: dict[str, Any], id_: str) -> bool:
    shown = {answer["id"] for seen in state["steps"].values() for answer in seen["answers"]}
    return id_ in shown or f"extra/{id_}" in state["extras"] or id_ in state["departures"]


# -- what must hold of every state -------------------------------------------------------------------------------------


def test_no_gate_is_passed_with_something_of_its_kinds_open_before_it():
    passed = 0
    for case, state in many():
        sheet = case["sheets"].get(state["sheet"], {"steps": []})
        for number, step in enumerate(sheet["steps"]):
            if step["gate"] and state["steps"][step["path"]]["state"] == "done":
                passed += 1
                before = [state["steps"][s["path"]] for s in sheet["steps"][:number]]
                assert all(seen["state"] in (*CLOSED, "waiting") for seen in before)
                closed_later = {c["what"] for s in sheet["steps"][number:] for c in s["closes"]}
                for name, item in state["items"].items():
                    opened_later = {o["what"] for s in sheet["steps"][number:] for o in s["opens"]}
                    if item["open"] and item["kind"] in step["gate"]["kinds"] and not name.startswith("extra/"):
                        assert name in opened_later or name in closed_later
    assert passed > 30


def test_no_critical_check_off_is_done_without_value_and_source():
    seen_done = 0
    for case, state in many():
        for step in case["sheets"].get(state["sheet"], {"steps": []})["steps"]:
            seen = state["steps"][step["path"]]
            ticked = seen["state"] == "done" and any(a["kind"] == "check" for a in seen["answers"])
            critical = [n for n in step["values"] if case["sheets"][state["sheet"]]["values"][n]["class"] == "critical"]
            if ticked and critical:
                seen_done += 1
                assert all(state["values"][name]["text"] and state["values"][name]["source"] for name in critical)
    assert seen_done > 30


def test_every_state_and_reason_occurs_in_the_generated_journals():
    """The generated cases are only worth something if they reach everything."""
    states, codes = set(), set()
    for _, state in many():
        for seen in state["steps"].values():
            states.add(seen["state"])
            codes |= {why["code"] for why in seen["why"]}
    assert states == {"disputed", "failed", "recheck", "blocked", "waiting", "open", "refused", "skipped"} | {
        "not-fitted",
        "done",
        "hidden",
    }
    assert codes == {
        "hold",
        "order",
        "after",
        "open",
        "list",
        "ready",
        "value",
        "result",
        "doubt",
        "disturbed",
        "again",
        "duty",
        "not-needed",
        "permit",
        "signer",
    }


def test_a_legal_check_always_counts():
    """The fold counts what the screen allows: random legal taps always close the part they tick."""
    taps = 0
    for seed in range(75):
        rng = Random(seed)
        sheet = random_sheet(rng)
        phone = Phone(rng, "phone", sheet)
        phone.write("start", DAY, value={"number": "1"})
        prepare(phone)
        sheets = {digest_of(sheet): sheet}
        for _ in range(25):
            state = judge(phone.view, sheets)
            path = rng.choice([*state["order"], *[state["next"] or "done"] * 8])
            may = legal(state, sheet, path)
            step = next(s for s in sheet["steps"] if s["path"] == path)
            if not may["check"] or step["check"]["kind"] in ("wait", "sign"):
                continue
            part, new = may["parts"][0], {"new": True} if step["check"].get("asks_new") else {}
            if step.get("doubts"):
                new["despite"] = {"results": step["doubts"], "reason": "looked twice"}
            if step["check"]["kind"] == "tighten":
                new["set"] = "12 N.m"  # an impossible setting is legal to type, and does not count
            entry = phone.write(
                "check",
                DAY,
                step=path,
                part=part,
                value={**good_value(rng, step["check"]), **new},
                seen=phone.sees(path, part),
            )
            after = judge(phone.view, sheets)
            taps += 1
            if not is_held_by_its_own(sheet, step, entry, after):
                assert entry["id"] not in after["inert"]
                assert after["steps"][path]["state"] == "failed" or part in after["steps"][path]["done"]
    assert taps > 150


def is_held_by_its_own(sheet: Sheet, step: Sheet, entry: Entry, after: dict[str, Any]) -> bool:
    """True for a reading in a unit of another kind, or one that a result worked out from it does not let pass."""
    held = {why["name"] for why in after["steps"][step["path"]]["why"] if why["code"] == "result"}
    if held:
        return held <= own_results(sheet, step)
    return step["check"]["kind"] == "measure" and not counts(sheet, step["check"]["reading"], entry["value"])


def test_entries_stand_in_one_order_whatever_the_alphabet_of_a_writer():
    """By UTF-16 code unit, as the phone compares text: a letter beyond U+FFFF sorts before U+E000."""
    entries = [{"lamport": 1, "writer": writer, "id": "x"} for writer in ("\ue000", "\U0001f600", "z", "a")]
    assert [entry["writer"] for entry in sorted(entries, key=order)] == ["a", "z", "\U0001f600", "\ue000"]


PHONE_TIMES: dict[Any, int | None] = {
    "1970-01-01T00:00:00.000Z": 0,
    "2026-10-02T10:11:12.123Z": 1790935872123,
    "1969-12-31T23:59:59.999Z": -1,
    "2028-02-29T00:00:00.000Z": 1835395200000,
    "0001-01-01T00:00:00.000Z": -62135596800000,
    "9999-12-31T23:59:59.999Z": 253402300799999,
    "2026-10-02": None,
    "2026-10-02T10:11:12.123+02:00": None,
    "2026-10-02T10:11:12.123": None,
    "2026-10-02T10:11:12Z": None,
    "2026-10-02t10:11:12.123z": None,
    "2026-10-02 10:11:12.123Z": None,
    "2026-10-02T10:11:12.1234Z": None,
    " 2026-10-02T10:11:12.123Z": None,
    "2027-02-29T00:00:00.000Z": None,
    "2026-13-01T00:00:00.000Z": None,
    "2026-10-00T00:00:00.000Z": None,
    "2026-10-02T24:00:00.000Z": None,
    "2026-10-02T23:60:00.000Z": None,
    "2026-10-02T23:59:60.000Z": None,
    "0000-01-01T00:00:00.000Z": None,
    "+010000-01-01T00:00:00.000Z": None,
    "\u0662\u0660\u0662\u0666-10-02T10:11:12.123Z": None,
    "": None,
    None: None,
}


@pytest.mark.parametrize(("at", "ms"), PHONE_TIMES.items())
def test_phone_time_is_read_in_milliseconds_or_not_at_all(at: Any, ms: int | None):
    assert phone_ms(at) == ms


def test_the_phone_reads_the_same_times():
    """Node and every browser engine have the same `Date`: ECMA-262 says which texts it reads and writes."""
    read = node(
        "const {phoneMs} = await import(`${site}/phone/quantities/dates.js`); return given.map(phoneMs);",
        [*PHONE_TIMES],
    )
    assert read == [*PHONE_TIMES.values()]
