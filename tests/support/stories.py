"""Short jobs told entry by entry, each with what the screen must then say. Both folds must agree on every one.

A story is a function of a `Bench`, and its name is the rule. `bench.expect(...)` asserts on the Python fold and saves
the case, so that the browser's fold can be asked the same.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from random import Random
from typing import Any

from generator.canonical import canonical
from generator.compile.job_values import limits_json
from generator.journal.entries import Entry, gather, union
from generator.journal.fold import judge, legal
from generator.journal.seen import answer_ids, step_ids
from generator.tables import EARLIER_TRADE, VALUE_FIELDS
from tests.support.figures import figures, limit, name, quantity, reading, result
from tests.support.journals import (
    DAY,
    GATES,
    ITEMS,
    NEEDS,
    SOURCE,
    TICK,
    Phone,
    Sheet,
    by_digest,
    digest_of,
    inspect,
    sheet_of,
    step,
    tighten,
    value,
    wait,
)

MEASURE = {"kind": "measure", "reading": "gap", "against": None}
DONE = step("done", 0, TICK, completion=True, leave="never")


class Bench:
    """One job, some phones by name, and a clock that is set by hand."""

    def __init__(self) -> None:
        self.rng, self.now = Random(11), DAY
        self.phones: dict[str, Phone] = {}
        self.sheets: list[Sheet] = []
        self.started: Entry | None = None
        self.told: list[tuple[list[Entry], dict[str, Sheet]]] = []

    def sheet(self, *steps: dict[str, Any], stages: tuple[str, ...] = ("any",), **more: Any) -> Sheet:
        self.sheets.append(sheet_of(list(stages), list(steps), **{"items": ITEMS, **more}))
        for phone in self.phones.values():
            phone.sheet = self.sheets[-1]
        if not self.started:
            self.started = self.write("start", value={"number": "R-7", "vehicle": "blue van"})
        return self.sheets[-1]

    def phone(self, name: str) -> Phone:
        if name not in self.phones:
            self.phones[name] = Phone(self.rng, name, self.sheets[-1])
            self.phones[name].meet([self.started] if self.started else [])
        return self.phones[name]

    def later(self, seconds: float) -> None:
        self.now += timedelta(seconds=seconds)

    def write(self, kind: str, on: str = "a", by: str = "KS", **fields: Any) -> Entry:
        phone = self.phone(on)
        phone.who = by
        self.later(1)
        return phone.write(kind, self.now, **fields)

    def check(self, path: str, part: str = "", /, on: str = "a", by: str = "KS", **given: Any) -> Entry:
        seen = self.phone(on).sees(path, part)
        return self.write("check", on, by, step=path, part=part, value=given, seen=seen)

    def leave(self, kind: str, path: str, on: str = "a", by: str = "KS", **given: Any) -> Entry:
        return self.write(kind, on, by, step=path, value=given, seen=self.phone(on).sees(path, ""))

    def depart(self, path: str, part: str, reason: str = "no room") -> Entry:
        seen = self.phone("a").sees(path, f"depart:{part}")
        return self.write("depart", step=path, part=part, value={"reason": reason}, seen=seen)

    def of_job(self, kind: str, slot: str, part: str = "", on: str = "a", **given: Any) -> Entry:
        return self.write(kind, on, part=part, value=given, seen=self.phone(on).sees("", slot))

    def read(self, name: str, on: str = "a", **given: Any) -> Entry:
        return self.of_job("read", f"value:{name}", name, on, **given)

    def take_back(self, path: str, part: str = "", on: str = "a") -> Entry:
        phone = self.phone(on)
        return self.write("take-back", on, step=path, part=part, seen=answer_ids(phone.view, path, part, phone.sheet))

    def take_back_entry(self, entry: Entry, on: str = "a") -> Entry:
        return self.write("take-back", on, seen=[entry["id"]])

    def go_back(self, path: str, to: str, disturbs: list[str], rest: list[str] | None = None, on: str = "a") -> Entry:
        seen = step_ids(self.phone(on).view, [path, *disturbs], self.phone(on).sheet)
        given = {"to": to, "disturbs": disturbs, "rest": rest or [], "reason": "mark off"}
        return self.write("back", on, step=path, value=given, seen=seen)

    def meet(self) -> None:
        every = union([entry for phone in self.phones.values() for entry in phone.view.entries])
        for phone in self.phones.values():
            phone.meet(every)

    def state(self, on: str = "a") -> dict[str, Any]:
        entries, sheets = self.phone(on).view.entries, by_digest(*self.sheets)
        state = judge(gather(entries), sheets)
        assert canonical(state) == canonical(judge(gather(reversed(entries)), sheets))
        self.told.append((entries, sheets))
        return state

    def expect(self, on: str = "a", **states: str) -> dict[str, Any]:
        """Assert states by path, with _ for -, and return the whole state."""
        state = self.state(on)
        wanted = {path.replace("_", "-"): now for path, now in states.items()}
        assert {path: state["steps"][path]["state"] for path in wanted} == wanted
        return state

    def why(self, path: str) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = self.state()["steps"][path]["why"]
        return found

    def may(self, path: str) -> dict[str, Any]:
        return legal(self.state(), self.phone("a").sheet, path)


Story = Callable[[Bench], None]
STORIES: list[Story] = []


def story(told: Story) -> Story:
    STORIES.append(told)
    return told


# -- answers, corrections, two answers ---------------------------------------------------------------------------------


@story
def a_tick_closes_its_step(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.expect(wipe="open", done="blocked")
    bench.check("wipe")
    state = bench.expect(wipe="done", done="open")
    assert state["next"] == "done" and state["steps"]["wipe"]["done"] == [""]


@story
def a_correction_replaces_what_it_saw(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    bench.check("gap", number=0.4, unit="mm")
    bench.check("gap", number=0.5, unit="mm")
    state = bench.expect(gap="done")
    assert [answer["value"]["number"] for answer in state["steps"]["gap"]["answers"]] == [0.5]


@story
def different_answers_given_apart_are_two_answers(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    bench.check("gap", number=0.4, unit="mm")
    bench.check("gap", on="b", number=0.5, unit="mm")
    bench.meet()
    assert len(bench.expect(gap="disputed")["steps"]["gap"]["answers"]) == 2
    assert bench.may("gap")["settle"] and not bench.may("gap")["check"]


@story
def the_same_answer_given_apart_is_one_answer(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    bench.check("gap", number=0.4, unit="mm")
    bench.check("gap", on="b", number=0.4, unit="mm")
    bench.meet()
    bench.expect(gap="done")


@story
def a_tick_and_a_skip_given_apart_are_two_answers(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.check("wipe")
    bench.leave("skip", "wipe", on="b", reason="no time")
    bench.meet()
    bench.expect(wipe="disputed")


@story
def a_settlement_has_the_kind_of_what_it_chose(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.check("wipe")
    skip = bench.leave("skip", "wipe", on="b", reason="no time")
    bench.meet()
    seen = bench.phone("a").sees("wipe", "")
    bench.write("settle", step="wipe", value=skip["value"], seen=seen)
    bench.expect(wipe="skipped")


@story
def two_answers_stay_two_when_a_third_saw_only_one(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    bench.check("gap", number=1, unit="mm")
    bench.check("gap", on="b", number=2, unit="mm")
    bench.check("gap", on="b", number=3, unit="mm")
    bench.meet()
    state = bench.expect(gap="disputed")
    assert [answer["value"]["number"] for answer in state["steps"]["gap"]["answers"]] == [1, 3]


@story
def a_step_both_left_out_and_wholly_done_is_two_answers(bench: Bench) -> None:
    values = {"cover": value("ordinary", "9 N.m")}
    bench.sheet(step("cover", 0, tighten("cover", "ordinary", "1", "2"), values=["cover"]), DONE, values=values)
    bench.leave("skip", "cover", reason="no room")
    bench.check("cover", "1", on="b")
    bench.check("cover", "2", on="b")
    bench.meet()
    bench.expect(cover="disputed")
    bench.take_back("cover")
    bench.expect(cover="done")


# -- take-back ---------------------------------------------------------------------------------------------------------


@story
def a_take_back_reopens_the_step(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.check("wipe")
    bench.take_back("wipe")
    bench.expect(wipe="open")
    bench.check("wipe")
    bench.expect(wipe="done")


@story
def a_correction_taken_back_alone_leaves_the_answer_it_corrected(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    bench.check("gap", number=1, unit="mm")
    bench.take_back_entry(bench.check("gap", number=2, unit="mm"))
    state = bench.expect(gap="done")
    assert state["steps"]["gap"]["answers"][0]["value"]["number"] == 1


@story
def a_correction_taken_back_with_what_it_corrected_leaves_none(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    bench.check("gap", number=1, unit="mm")
    bench.check("gap", number=2, unit="mm")
    bench.take_back("gap")
    bench.expect(gap="open")


@story
def a_take_back_may_be_taken_back(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.check("wipe")
    taken = bench.take_back("wipe")
    again = bench.take_back_entry(taken)
    bench.expect(wipe="done")
    bench.take_back_entry(again)
    bench.expect(wipe="open")


@story
def a_correction_made_apart_from_a_take_back_is_two_answers(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    bench.check("gap", number=1, unit="mm")
    bench.phone("b")
    bench.meet()
    bench.take_back("gap")
    bench.check("gap", on="b", number=2, unit="mm")
    bench.meet()
    bench.expect(gap="disputed")
    bench.check("gap", number=2, unit="mm")
    bench.expect(gap="done")


@story
def the_start_of_a_job_and_what_somebody_took_off_can_be_taken_back(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    start = bench.of_job("start", "job", number="R-8")
    took = bench.write("took-off", value={"label": "Bracket", "kind": "bolt", "count": 2})
    state = bench.state()
    assert state["job"]["number"] == "R-8" and state["open"] == 2
    bench.take_back_entry(start)
    assert bench.state()["job"]["number"] == "R-7"
    assert bench.started
    bench.take_back_entry(bench.started)
    bench.take_back_entry(took)
    state = bench.state()
    assert state["job"] is None and state["open"] == 0 and state["extras"] == {}


# -- values ------------------------------------------------------------------------------------------------------------


def _idler(bench: Bench, **more: Any) -> None:
    values = {"idler": value(**{"class_": "critical", "text": None, **more})}
    check = tighten("idler", values["idler"]["class"], "1.1")
    bench.sheet(step("idler", 0, check, values=["idler"]), DONE, values=values)


@story
def a_critical_check_off_does_not_close_without_value_and_source(bench: Bench) -> None:
    _idler(bench)
    assert bench.why("idler") == [{"code": "value", "name": "idler"}]
    assert bench.may("idler")["read"] == ["idler"] and not bench.may("idler")["check"]
    tapped = bench.check("idler", "1.1", set="40 N.m")
    assert bench.expect(idler="open")["inert"] == [tapped["id"]]
    bench.read("idler", text="40 N.m")
    bench.read("idler", not_published=True)
    assert bench.expect(idler="open")["values"]["idler"]["missing"]
    bench.read("idler", text="40 N.m", source=SOURCE)
    assert bench.why("idler") == [{"code": "again", "name": "idler"}]
    bench.check("idler", "1.1", set="40 N.m")
    assert bench.expect(idler="done")["values"]["idler"]["source"] == SOURCE


def _limited(bench: Bench, class_: str = "critical", kind: str = "torque", limited: bool = True) -> None:
    limits = {"limits": limits_json(kind)} if limited else {}
    values = {"idler": {**value(class_, None, kind), **limits}}
    check = tighten("idler", class_, "1.1")
    bench.sheet(step("idler", 0, check, values=["idler"]), DONE, values=values, **figures(READINGS, []))


@story
def a_figure_that_cannot_be_is_no_value(bench: Bench) -> None:
    _limited(bench)
    for text in ("0 N.m", "-5 N.m", "4000 N.m", "12 N.m then 0 deg", "40 kPa\u00a0"):
        told = bench.read("idler", text=text, source=SOURCE)
        is_figure = "kPa" not in text  # a figure of another kind need only be above 0
        assert bench.state()["values"]["idler"]["missing"] == is_figure, text
        assert (told["id"] in bench.state()["inert"]) == is_figure, text
    for number, unit in ((0, "N.m"), (-5, "N.m"), (40, "kPa"), (40, "no such unit")):
        told = bench.read("idler", number=number, unit=unit, source=SOURCE)
        assert bench.state()["inert"][-1:] == [told["id"]]
    bench.check("idler", "1.1", set="40 N.m")
    assert bench.expect(idler="open")["values"]["idler"]["missing"]
    bench.read("idler", number=400, unit="lbf.in", source=SOURCE)
    bench.check("idler", "1.1", set="45 N.m")
    bench.expect(idler="done")


@story
def no_bolt_is_set_to_what_cannot_be(bench: Bench) -> None:
    _limited(bench)
    bench.read("idler", text="40 N.m then 90 deg", source=SOURCE)
    for given in ("0 N.m", "-40 N.m", "4000 N.m", "0 deg", "40 N.m then -90 deg"):
        tapped = bench.check("idler", "1.1", set=given)
        assert tapped["id"] in bench.expect(idler="open")["inert"], given
    bench.check("idler", "1.1", set="90 deg")
    bench.expect(idler="done")


@story
def a_source_that_says_nothing_is_none(bench: Bench) -> None:
    _limited(bench, "ordinary")
    for key, text in (("document", "."), ("document", "M"), ("where", "-"), ("where", "\u200b"), ("where", "\u3164")):
        told = bench.read("idler", text="40 N.m", source={**SOURCE, key: text})
        assert told["id"] in bench.state()["inert"] and bench.state()["values"]["idler"]["missing"], text
    bench.read("idler", text="40 N.m", source={"document": "\u0416 4", "where": "5"})
    assert bench.state()["values"]["idler"]["text"] == "40 N.m"
    bench.read("idler", not_published=True)
    assert bench.state()["values"]["idler"]["not_published"]


@story
def a_yes_to_a_figure_that_was_asked_about_stays_with_the_value(bench: Bench) -> None:
    _limited(bench)
    bench.read("idler", text="72 N.m", source=SOURCE, sure=True)
    assert bench.state()["values"]["idler"]["sure"] is True
    bench.read("idler", text="7.2 N.m", source=SOURCE, sure="yes")
    assert "sure" not in bench.state()["values"]["idler"]


@story
def a_worksheet_without_limits_takes_what_it_took(bench: Bench) -> None:
    _limited(bench, limited=False)
    bench.read("idler", text="0 N.m", source={"document": ".", "where": "."})
    bench.check("idler", "1.1", set="0 N.m")
    bench.expect(idler="done")


@story
def a_critical_check_off_says_what_the_wrench_was_set_to(bench: Bench) -> None:
    _idler(bench, text="40 N.m")
    bench.check("idler", "1.1")
    bench.expect(idler="open")
    bench.check("idler", "1.1", set="40 N.m")
    bench.expect(idler="done")


@story
def an_ordinary_value_may_be_not_published(bench: Bench) -> None:
    _idler(bench, class_="ordinary")
    bench.read("idler", not_published=True)
    bench.check("idler", "1.1")
    state = bench.expect(idler="done")
    assert state["values"]["idler"]["not_published"] and state["values"]["idler"]["text"] is None


@story
def an_ordinary_value_may_be_left_with_a_reason_and_a_critical_one_may_not(bench: Bench) -> None:
    _idler(bench, class_="ordinary")
    left = bench.depart("idler", "value:idler")
    bench.check("idler", "1.1")
    assert bench.expect(idler="done")["departures"] == [left["id"]]
    critical = Bench()
    _idler(critical)
    left = critical.depart("idler", "value:idler")
    critical.check("idler", "1.1", set="40 N.m")
    state = critical.expect(idler="open")
    assert state["departures"] == [] and left["id"] in state["inert"]
    bench.told += critical.told


@story
def a_clip_needs_no_value(bench: Bench) -> None:
    _idler(bench, class_="clip")
    bench.check("idler", "1.1")
    bench.expect(idler="done")


@story
def a_value_read_twice_apart_is_missing_until_it_is_settled(bench: Bench) -> None:
    _idler(bench)
    bench.read("idler", text="40 N.m", source=SOURCE)
    bench.read("idler", on="b", text="44 N.m", source=SOURCE)
    bench.meet()
    state = bench.expect(idler="open")
    assert state["values"]["idler"]["disputed"] and state["values"]["idler"]["missing"]
    chosen = {"text": "44 N.m", "source": SOURCE}
    bench.write("settle", part="idler", value=chosen, seen=bench.phone("a").sees("", "value:idler"))
    assert bench.state()["values"]["idler"]["text"] == "44 N.m"


@story
def a_value_corrected_after_the_check_off_asks_for_it_again(bench: Bench) -> None:
    _idler(bench)
    bench.read("idler", number=40, unit="N.m", source=SOURCE)
    bench.check("idler", "1.1", set="40 N.m")
    bench.expect(idler="done")
    bench.read("idler", number=44.5, unit="N.m", source=SOURCE)
    assert bench.expect(idler="recheck")["values"]["idler"]["text"] == "44.5 N.m"
    bench.check("idler", "1.1", set="44.5 N.m")
    bench.expect(idler="done")


@story
def a_value_of_the_sheet_is_not_overwritten_on_the_phone(bench: Bench) -> None:
    _idler(bench, text="40 N.m")
    read = bench.read("idler", text="60 N.m", source=SOURCE)
    state = bench.state()
    assert state["values"]["idler"]["text"] == "40 N.m" and state["inert"] == [read["id"]]


# -- kinds of check-off ------------------------------------------------------------------------------------------------


@story
def check_offs_want_their_own_proof(bench: Bench) -> None:
    photo = {"kind": "photo", "label": "Marks"}
    bench.sheet(step("gap", 0, MEASURE), step("marks", 0, photo), step("seal", 0, inspect(dry=False)), DONE)
    bench.check("gap", number=True, unit="mm")
    bench.expect(gap="open")
    bench.check("gap", number="12", unit="mm")
    bench.check("marks", kept_at=" ")
    bench.check("seal", outcome="fine")
    assert len(bench.expect(gap="open", marks="open", seal="open")["inert"]) == 3
    bench.check("gap", number=12, unit="mm")
    bench.check("marks", kept_at="shop phone")
    bench.check("seal", outcome="dry")
    bench.expect(gap="done", marks="done", seal="done")


@story
def turns_are_counted_and_never_fewer_than_two(bench: Bench) -> None:
    turn = {"kind": "turn", "value": "turns", "count": 1}
    bench.sheet(step("turn", 0, turn), DONE, values={"turns": value("critical", "1", "count")})
    assert bench.may("turn")["parts"] == ["1"]
    bench.check("turn", "1")
    assert bench.expect(turn="open")["steps"]["turn"]["of"] == ["1", "2"] and bench.may("turn")["parts"] == ["2"]
    bench.check("turn", "2")
    bench.expect(turn="done")


@story
def the_number_of_turns_may_be_read_on_the_phone(bench: Bench) -> None:
    turn = {"kind": "turn", "value": "turns", "count": None}
    bench.sheet(step("turn", 0, turn, values=["turns"]), DONE, values={"turns": value("critical", None, "count")})
    assert bench.may("turn")["read"] == ["turns"]
    bench.read("turns", number=6, unit="turns", source=SOURCE)
    for number in range(1, 7):
        bench.expect(turn="open")
        bench.check("turn", str(number))
    bench.expect(turn="done")


def _drain(bench: Bench) -> None:
    bench.sheet(
        step("drain", 0, wait("drain", 600)), step("hoses", 0, TICK, after=["drain"]), step("wipe", 0, TICK), DONE
    )


@story
def a_wait_ends_when_its_time_has_passed_and_blocks_only_what_depends_on_it(bench: Bench) -> None:
    _drain(bench)
    bench.check("drain", "start")
    bench.expect(drain="waiting", hoses="blocked", wipe="open")
    assert bench.may("drain")["parts"] == ["end"]
    bench.later(300)
    bench.check("drain", "end")
    bench.expect(drain="waiting")
    bench.later(300)
    bench.check("drain", "end")
    bench.expect(drain="done", hoses="open")


@story
def a_wait_is_over_on_the_very_second(bench: Bench) -> None:
    _drain(bench)
    bench.check("drain", "start")
    bench.later(599)  # one more passes with the tap
    bench.check("drain", "end")
    bench.expect(drain="done")


@story
def two_words_for_the_time_that_passed_are_none(bench: Bench) -> None:
    _drain(bench)
    bench.check("drain", "start")
    bench.phone("b")
    bench.meet()
    for on, seconds in (("a", 700), ("b", 900)):
        bench.write("elapsed", on, step="drain", value={"seconds": seconds, "why": "by the bay clock"})
    bench.meet()
    bench.check("drain", "end")
    bench.expect(drain="waiting")


@story
def a_wait_seen_from_another_phone_wants_a_persons_word(bench: Bench) -> None:
    _drain(bench)
    bench.check("drain", "start")
    bench.phone("b")
    bench.meet()
    bench.later(900)
    bench.check("drain", "end", on="b")
    bench.expect(on="b", drain="waiting")
    bench.write("elapsed", on="b", step="drain", value={"seconds": 900})
    bench.expect(on="b", drain="waiting")
    seen = bench.phone("b").sees("drain", "elapsed")
    bench.write("elapsed", on="b", step="drain", value={"seconds": 900, "why": "by the bay clock"}, seen=seen)
    bench.expect(on="b", drain="done")


@story
def a_word_for_an_earlier_wait_does_not_count_for_a_new_one(bench: Bench) -> None:
    _drain(bench)
    bench.check("drain", "start")
    bench.write("elapsed", step="drain", value={"seconds": 900, "why": "by the bay clock"})
    bench.take_back("drain", "start")
    bench.check("drain", "start")
    bench.check("drain", "end")
    bench.expect(drain="waiting")


@story
def a_wait_whose_time_is_missing_takes_it_from_the_value_read(bench: Bench) -> None:
    bench.sheet(
        step("soak", 0, wait("soak", None), values=["soak"]), DONE, values={"soak": value("critical", None, "time")}
    )
    bench.read("soak", text="a while", source=SOURCE)
    assert bench.may("soak")["read"] == ["soak"]
    bench.read("soak", number=0.5, unit="h", source=SOURCE)
    bench.check("soak", "start")
    bench.later(1700)
    bench.check("soak", "end")
    bench.expect(soak="waiting")
    bench.later(100)
    bench.check("soak", "end")
    bench.expect(soak="done")


def _sign(bench: Bench) -> None:
    sign = {"kind": "sign", "of": ["marks"], "self_check_after": 600}
    bench.sheet(step("marks", 0, inspect(meet=False)), step("look", 0, sign), DONE)


@story
def a_sign_wants_somebody_else(bench: Bench) -> None:
    _sign(bench)
    assert bench.why("look") == [{"code": "after", "step": "marks"}]
    bench.check("look", self=False, by="LM")
    bench.expect(look="blocked")
    bench.check("marks", outcome="meet", by="KS")
    bench.check("look", self=False, by="KS")
    bench.expect(look="open")
    bench.check("look", self=False, by="LM")
    bench.expect(look="done")


KS_TYPED = ("ks", "K.S.", "KS ", "k s", "\uff2b\uff33", "K\u200bS")
"""The initials of one person, as hurried thumbs and other keyboards type them."""


@story
def initials_typed_another_way_are_no_second_person(bench: Bench) -> None:
    _sign(bench)
    bench.check("marks", outcome="meet", by="KS")
    for typed in KS_TYPED:
        bench.check("look", self=False, by=typed)
        bench.expect(look="open")
    bench.check("look", self=False, by="rt")
    bench.expect(look="done")


@story
def who_answered_in_small_letters_is_no_second_person_in_capitals(bench: Bench) -> None:
    _sign(bench)
    bench.check("marks", outcome="meet", by="k.s.")
    bench.check("look", self=False, by="KS")
    bench.expect(look="open")
    bench.later(600)
    bench.check("look", self=True, by="KS")
    bench.expect(look="done")


@story
def a_sign_without_a_letter_or_digit_is_nobodys(bench: Bench) -> None:
    _sign(bench)
    bench.check("marks", outcome="meet", by="KS")
    for typed in (".", "--", "\u3164"):
        bench.check("look", self=False, by=typed)
        bench.expect(look="open")


@story
def a_second_look_by_oneself_after_a_break_is_a_self_check(bench: Bench) -> None:
    _sign(bench)
    bench.check("marks", outcome="meet")
    bench.later(500)
    bench.check("look", self=True)
    bench.expect(look="open")
    bench.later(100)
    bench.check("look", self=False)
    bench.expect(look="open")
    bench.check("look", self=True)
    assert bench.expect(look="done")["steps"]["look"]["answers"][0]["value"] == {"self": True}


@story
def whoever_answered_before_a_correction_is_no_second_person(bench: Bench) -> None:
    _sign(bench)
    bench.check("marks", outcome="meet", by="KS")
    bench.check("marks", outcome="meet", by="LM")
    bench.check("look", self=False, by="KS")
    bench.expect(look="open")
    bench.check("look", self=False, by="RT")
    bench.expect(look="done")


@story
def whoever_was_sent_back_is_a_second_person_for_what_was_answered_anew(bench: Bench) -> None:
    _sign(bench)
    bench.check("marks", outcome="meet", by="KS")
    bench.go_back("marks", "marks", [])
    bench.check("marks", outcome="meet", by="LM")
    bench.check("look", self=False, by="KS")
    bench.expect(look="done")


PERMIT = "Isolated, tested dead, tag hung"


def _permit(bench: Bench, of: tuple[str, ...] = (), **more: Any) -> None:
    sign = {"kind": "sign", "of": list(of), "self_check_after": 600, "permit": PERMIT, "alone": False, **more}
    looked_at = [step(path, 0, TICK) for path in of]
    work = [step("open", 1, TICK), step("gap", 1, MEASURE)]
    bench.sheet(*looked_at, step("permit", 0, sign, hold=True), *work, DONE, stages=("any", "any"))


@story
def a_permit_holds_all_work_until_another_person_gives_it(bench: Bench) -> None:
    _permit(bench)
    state = bench.expect(permit="open", open="blocked", gap="blocked")
    assert state["next"] == "permit"
    assert [one["who"] for one in state["steps"]["permit"]["not_by"]] == ["KS"]
    bench.check("permit", self=False, permit=PERMIT, by="KS")
    bench.later(9000)
    bench.check("permit", self=True, permit=PERMIT, by=" ks")
    bench.expect(permit="open", open="blocked")
    assert bench.why("permit") == [{"code": "permit", "name": " ks"}]
    bench.check("permit", self=False, permit=PERMIT, by="")
    bench.expect(permit="open", open="blocked")
    bench.check("permit", self=False, permit=PERMIT, by="LM")
    bench.expect(permit="done", open="open", gap="open")
    assert bench.why("permit") == []


@story
def whoever_gave_a_permit_does_none_of_the_work_it_allows(bench: Bench) -> None:
    _permit(bench)
    bench.check("permit", self=False, permit=PERMIT, by="LM")
    bench.check("open", by="KS")
    bench.check("gap", number=1, unit="mm", by="LM")
    state = bench.expect(permit="open", open="done", gap="done")
    assert state["steps"]["permit"]["why"] == [{"code": "permit", "name": "LM"}]
    assert [(one["who"], one["work"]) for one in state["steps"]["permit"]["not_by"]] == [
        ("KS", False), ("KS", True), ("LM", True)
    ]  # fmt: skip
    bench.take_back("gap")
    bench.expect(permit="done", gap="open")
    bench.check("gap", number=1, unit="mm", by="LM")
    bench.check("permit", self=False, permit=PERMIT, by="RT")
    bench.expect(permit="done", gap="done")


@story
def whoever_closes_the_job_or_signs_may_have_given_the_permit(bench: Bench) -> None:
    sign = {"kind": "sign", "of": ["open"], "self_check_after": 600}
    permit = {"kind": "sign", "of": [], "self_check_after": 600, "permit": PERMIT, "alone": False}
    bench.sheet(step("permit", 0, permit, hold=True), step("open", 0, TICK), step("look", 0, sign), DONE)
    bench.check("permit", self=False, permit=PERMIT, by="LM")
    bench.check("open", by="KS")
    bench.check("look", self=False, by="LM")
    bench.write("finish", by="LM", step="done")
    bench.expect(permit="done", look="done", done="done")


@story
def whoever_takes_the_job_over_cannot_have_given_its_permit(bench: Bench) -> None:
    _permit(bench)
    bench.check("permit", self=False, permit=PERMIT, by="LM")
    bench.write("pass-on", by="KS", value={"to": "LM"}, seen=bench.phone("a").sees("", "pass"))
    bench.expect(permit="done")
    bench.write("receive", by="LM", seen=bench.phone("a").sees("", "pass"))
    bench.expect(permit="open", open="blocked")
    bench.check("permit", self=False, permit=PERMIT, by="KS")
    bench.expect(permit="done", open="open")


@story
def a_permit_looks_at_steps_as_well(bench: Bench) -> None:
    _permit(bench, of=("isolate",))
    bench.check("isolate", by="RT")
    bench.check("permit", self=False, permit=PERMIT, by="RT")
    bench.expect(permit="open", open="blocked")
    bench.check("permit", self=False, permit=PERMIT, by="LM")
    bench.expect(permit="done", open="open")
    bench.check("isolate", by="RT")
    bench.expect(permit="recheck")


@story
def a_permit_to_oneself_needs_a_break_and_a_procedure_that_allows_it(bench: Bench) -> None:
    _permit(bench, alone=True)
    bench.later(500)
    bench.check("permit", self=True, permit=PERMIT)
    bench.expect(permit="open")
    bench.later(100)
    bench.check("permit", self=False, permit=PERMIT)
    bench.expect(permit="open")
    bench.check("permit", self=True, permit=PERMIT)
    bench.check("open")
    bench.expect(permit="done", open="done")


@story
def a_permit_in_a_job_that_nobody_started_is_given_by_nobody(bench: Bench) -> None:
    _permit(bench)
    assert bench.started
    bench.take_back_entry(bench.started)
    bench.check("permit", self=False, permit=PERMIT, by="LM")
    bench.expect(permit="open", open="blocked")


@story
def a_second_look_is_asked_again_when_what_it_saw_is_answered_anew(bench: Bench) -> None:
    _sign(bench)
    bench.check("marks", outcome="meet")
    bench.check("look", self=False, by="LM")
    bench.check("marks", outcome="meet")
    bench.expect(look="recheck")
    assert bench.why("look") == [{"code": "again", "step": "marks"}]


# -- second looks that ask for somebody qualified ----------------------------------------------------------------------


def _trade(*roles: str, qualified: tuple[str, ...] = ("tech",)) -> dict[str, Any]:
    """Return the words of a trade with these roles. The one called `lead` leads."""
    said = [{"name": name, "label": name, "leads": name == "lead"} for name in roles]
    return {**EARLIER_TRADE, "roles": [one | ({"qualified": True} if one["name"] in qualified else {}) for one in said]}


ROLES = ("tech", "apprentice", "lead")
QUALIFIED = {"kind": "sign", "of": ["marks"], "self_check_after": 600, "qualified": True}


def _people(**roles: str) -> dict[str, Any]:
    return {"id": "demo", "people": [{"initials": who, "name": who, "role": role} for who, role in roles.items()]}


def _look(bench: Bench, check: dict[str, Any] = QUALIFIED, /, **roles: str) -> Sheet:
    """Put a worksheet into use whose second look asks for somebody qualified, in a shop of these people."""
    marks, look = step("marks", 0, inspect(meet=False)), step("look", 0, check, leave="lead")
    seal = step("seal", 0, TICK, hold=True, leave="never", gate=GATES["hand-turn"])
    return _in_use(bench, marks, look, seal, DONE, trade=_trade(*ROLES), shop=_people(**roles))


def _in_use(bench: Bench, *steps: dict[str, Any], **more: Any) -> Sheet:
    sheet = bench.sheet(*steps, **more)
    bench.of_job("adopt", "sheet", sheet=digest_of(sheet))
    return sheet


FOUR = {"KS": "tech", "JM": "tech", "AW": "apprentice", "BN": "apprentice", "RT": "lead"}


@story
def an_apprentices_look_at_the_work_of_a_tech_does_not_count(bench: Bench) -> None:
    _look(bench, **FOUR)
    bench.check("marks", outcome="meet", by="KS")
    bench.check("look", self=False, by="AW")
    bench.expect(look="open")
    assert bench.why("look") == [{"code": "signer", "name": "AW"}]
    bench.check("look", self=False, by="JM")
    bench.expect(look="done")
    assert bench.why("look") == []


@story
def a_tech_and_a_lead_look_at_the_work_of_an_apprentice(bench: Bench) -> None:
    for who in ("KS", "rt"):
        _look(bench, **FOUR)
        bench.check("marks", outcome="meet", by="AW")
        bench.check("look", self=False, by=who)
        bench.expect(look="done")
        bench.take_back("look")


@story
def two_apprentices_do_not_pass_each_other(bench: Bench) -> None:
    _look(bench, **FOUR)
    bench.check("marks", outcome="meet", by="AW")
    bench.check("look", self=False, by="BN")
    bench.expect(look="open")
    bench.later(9000)
    bench.check("look", self=True, by="AW")
    bench.expect(look="open")
    assert bench.why("look") == [{"code": "signer", "name": "AW"}]


@story
def a_lead_does_not_look_at_his_own_work_where_a_tech_can(bench: Bench) -> None:
    _look(bench, **FOUR)
    bench.check("marks", outcome="meet", by="RT")
    bench.check("look", self=False, by="RT")
    bench.expect(look="open")
    bench.later(9000)
    bench.check("look", self=True, by="RT")
    bench.expect(look="open")
    assert bench.why("look") == [{"code": "signer", "name": "RT"}]
    bench.check("look", self=False, by="JM")
    bench.expect(look="done")


@story
def initials_that_the_shop_does_not_list_are_not_qualified(bench: Bench) -> None:
    _look(bench, **FOUR)
    bench.check("marks", outcome="meet", by="AW")
    for stranger in ("ZZ", "", "..", "toString"):
        bench.check("look", self=False, by=stranger)
        bench.expect(look="open")
    bench.check("look", self=False, by="k.s.")
    bench.expect(look="done")


@story
def a_shop_of_one_looks_again_after_the_break(bench: Bench) -> None:
    for role in ("tech", "lead"):
        _look(bench, KS=role)
        bench.check("marks", outcome="meet", by="KS")
        bench.check("look", self=True, by="KS")
        bench.expect(look="open")
        assert bench.why("look") == []
        bench.later(600)
        bench.check("look", self=False, by="KS")
        bench.expect(look="open")
        bench.check("look", self=True, by="KS")
        bench.expect(look="done")
        bench.take_back("look")
        bench.take_back("marks")


@story
def a_tech_among_apprentices_looks_at_his_own_work_after_the_break(bench: Bench) -> None:
    _look(bench, KS="tech", AW="apprentice", BN="apprentice")
    bench.check("marks", outcome="meet", by="KS")
    bench.later(600)
    bench.check("look", self=False, by="BN")
    bench.expect(look="open")
    bench.check("look", self=True, by="KS")
    bench.expect(look="done")


@story
def an_apprentice_has_no_self_check_of_a_look_that_asks_for_somebody_qualified(bench: Bench) -> None:
    _look(bench, KS="tech", AW="apprentice")
    bench.check("marks", outcome="meet", by="AW")
    bench.later(9000)
    bench.check("look", self=True, by="AW")
    bench.expect(look="open")
    bench.check("look", self=False, by="KS")
    bench.expect(look="done")


@story
def where_all_who_are_qualified_did_the_work_one_of_them_looks_again_after_the_break(bench: Bench) -> None:
    _look(bench, KS="tech", RT="lead", AW="apprentice")
    bench.check("marks", outcome="meet", by="KS")
    bench.check("marks", outcome="meet", by="RT")
    bench.check("look", self=True, by="KS")
    bench.expect(look="open")
    bench.later(600)
    bench.check("look", self=True, by="KS")
    bench.expect(look="done")


@story
def in_a_shop_where_nobody_is_qualified_nobody_gives_the_look(bench: Bench) -> None:
    for people in ({"AW": "apprentice", "BN": "apprentice"}, {}):
        _look(bench, **people)
        bench.check("marks", outcome="meet", by="AW")
        bench.later(9000)
        for who, alone in (("BN", False), ("KS", False), ("AW", True)):
            bench.check("look", self=alone, by=who)
            bench.expect(look="open")
        bench.take_back("look")
        bench.take_back("marks")


@story
def a_look_that_asks_for_somebody_qualified_is_left_out_only_with_the_lead(bench: Bench) -> None:
    _look(bench, **FOUR)
    bench.check("marks", outcome="meet", by="KS")
    may = bench.may("look")
    assert (may["skip"], may["not-fitted"], may["refuse"]) == ("lead", False, False)
    bench.leave("not-fitted", "look", by="AW", reason="nobody here")
    bench.expect(look="open", seal="blocked")
    bench.leave("skip", "look", by="AW", reason="nobody here", **{"with": "AW"})
    bench.expect(look="open", seal="blocked")
    bench.leave("skip", "look", by="AW", reason="nobody here", **{"with": "RT"})
    bench.expect(look="skipped", seal="open")


@story
def a_customer_does_not_refuse_a_look_that_asks_for_somebody_qualified(bench: Bench) -> None:
    marks = step("marks", 0, inspect(meet=False))
    for check, now in ((QUALIFIED, "open"), (QUALIFIED | {"qualified": False}, "refused")):
        look = step("look", 0, check, leave="lead", may_refuse=True)
        _in_use(bench, marks, look, DONE, trade=_trade(*ROLES), shop=_people(**FOUR))
        bench.check("marks", outcome="meet")
        assert bench.may("look")["refuse"] is (now == "refused")
        bench.leave("refuse", "look", by="AW", how="in person", told_by="the owner")
        bench.expect(look=now)


@story
def a_look_of_before_the_worksheet_asked_for_somebody_qualified_is_judged_by_the_worksheet_in_use(
    bench: Bench,
) -> None:
    plain = {key: of for key, of in QUALIFIED.items() if key != "qualified"}
    for who, now in (("AW", "open"), ("JM", "done")):
        _look(bench, plain, **FOUR)
        bench.check("marks", outcome="meet", by="KS")
        bench.check("look", self=False, by=who)
        bench.check("seal")
        bench.expect(marks="done", look="done", seal="done")
        _look(bench, **FOUR)
        bench.expect(marks="done", look=now, seal="done" if now == "done" else "recheck")
        bench.take_back("seal")
        bench.take_back("look")
    _look(bench, **FOUR)
    bench.check("look", self=False, by="JM")
    bench.expect(look="done")


@story
def an_older_worksheet_asks_for_nobody_qualified(bench: Bench) -> None:
    _sign(bench)
    bench.check("marks", outcome="meet", by="KS")
    bench.check("look", self=False, by="LM")
    bench.expect(look="done")


@story
def a_role_that_changed_is_judged_by_the_worksheet_in_use(bench: Bench) -> None:
    _look(bench, **FOUR)
    bench.check("marks", outcome="meet", by="KS")
    bench.check("look", self=False, by="JM")
    bench.expect(look="done")
    _look(bench, **FOUR | {"JM": "apprentice"})
    bench.expect(look="open")
    assert bench.why("look") == [{"code": "signer", "name": "JM"}]
    _look(bench, **FOUR)
    bench.expect(look="done")


@story
def who_left_the_shop_is_judged_by_the_worksheet_that_lists_him(bench: Bench) -> None:
    _look(bench, **FOUR)
    bench.check("marks", outcome="meet", by="KS")
    bench.check("look", self=False, by="JM")
    _look(bench, **{who: role for who, role in FOUR.items() if who != "JM"})
    bench.expect(look="done")
    bench.check("look", self=False, by="JM")
    bench.expect(look="open")


@story
def somebody_who_came_to_the_shop_later_must_look_at_a_self_check(bench: Bench) -> None:
    _look(bench, KS="tech")
    bench.check("marks", outcome="meet", by="KS")
    bench.later(600)
    bench.check("look", self=True, by="KS")
    bench.expect(look="done")
    _look(bench, KS="tech", JM="tech")
    bench.expect(look="open")


@story
def whoever_settles_two_looks_must_be_qualified(bench: Bench) -> None:
    _look(bench, KS="tech", AW="apprentice")
    bench.check("marks", outcome="meet", by="KS")
    bench.later(600)
    bench.check("look", self=True, by="KS")
    bench.phone("b").meet(bench.phone("a").view.entries[:2])
    bench.check("look", self=False, by="AW", on="b")
    bench.meet()
    bench.expect(look="disputed")
    bench.write("settle", by="AW", step="look", value={"self": False}, seen=bench.phone("a").sees("look", ""))
    bench.expect(look="open")


@story
def a_permit_by_somebody_qualified_is_not_given_by_an_apprentice(bench: Bench) -> None:
    permit = QUALIFIED | {"of": [], "permit": PERMIT, "alone": False}
    steps = step("permit", 0, permit, hold=True), step("open", 0, TICK), DONE
    _in_use(bench, *steps, trade=_trade(*ROLES), shop=_people(**FOUR))
    bench.check("permit", self=False, permit=PERMIT, by="AW")
    bench.expect(permit="open", open="blocked")
    assert bench.why("permit") == [{"code": "signer", "name": "AW"}]
    bench.check("permit", self=False, permit=PERMIT, by="JM")
    bench.expect(permit="done", open="open")
    bench.check("open", by="JM")
    assert bench.why("permit") == [{"code": "permit", "name": "JM"}]


@story
def a_permit_to_oneself_asks_that_nobody_else_is_qualified(bench: Bench) -> None:
    permit = QUALIFIED | {"of": [], "permit": PERMIT, "alone": True}
    for people, now in (({"KS": "tech", "AW": "apprentice"}, "done"), (FOUR, "open"), ({"KS": "apprentice"}, "open")):
        steps = step("permit", 0, permit, hold=True), step("open", 0, TICK), DONE
        _in_use(bench, *steps, trade=_trade(*ROLES), shop=_people(**people))
        bench.later(600)
        bench.check("permit", self=True, permit=PERMIT, by="KS")
        bench.expect(permit=now)


# -- leaving a step out ------------------------------------------------------------------------------------------------


@story
def who_may_leave_a_step_out_is_the_steps_own_rule(bench: Bench) -> None:
    bench.sheet(step("own", 0, TICK), step("lead", 0, TICK, leave="lead"), step("never", 0, TICK, leave="never"), DONE)
    assert [bench.may(path)["skip"] for path in ("own", "lead", "never")] == ["own", "lead", False]
    for path in ("own", "lead", "never"):
        bench.leave("skip", path, reason="no time")
    bench.expect(own="skipped", lead="open", never="open")
    for path in ("lead", "never"):
        bench.leave("skip", path, reason="no time", **{"with": "LM"})
        bench.expect(**{path: "open"})
        bench.leave("skip", path, reason="no time", **{"with": "RT"})
    bench.expect(lead="skipped", never="open")


@story
def a_skip_without_a_reason_counts_for_nothing(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.leave("skip", "wipe", reason=" ")
    bench.expect(wipe="open")


@story
def not_fitted_is_not_a_skip_and_not_a_way_round_a_stop(bench: Bench) -> None:
    bench.sheet(step("pump", 0, TICK, leave="lead"), step("stop", 0, TICK, hold=True, leave="never"), DONE)
    for path in ("pump", "stop"):
        bench.leave("not-fitted", path, reason="electric pump")
    bench.expect(pump="not-fitted", stop="open")


@story
def a_refusal_says_how_and_by_whom_the_customer_was_told(bench: Bench) -> None:
    bench.sheet(step("pump", 0, TICK, may_refuse=True), step("belt", 0, TICK), DONE)
    bench.leave("refuse", "pump", how="by phone")
    bench.leave("refuse", "belt", how="by phone", told_by="RT")
    bench.expect(pump="open", belt="open")
    bench.leave("refuse", "pump", how="by phone", told_by="RT", price="90")
    bench.expect(pump="refused")


# -- order, holds, gates -----------------------------------------------------------------------------------------------


@story
def a_kept_order_may_be_left_with_a_reason_and_an_absolute_one_may_not(bench: Bench) -> None:
    bench.sheet(step("first", 0, TICK), step("second", 0, TICK), DONE, stages=("kept",))
    assert bench.why("second") == [{"code": "order", "step": "first"}] and bench.may("second")["depart"]
    bench.depart("second", "order", reason="")
    bench.expect(second="blocked")
    bench.depart("second", "order")
    bench.expect(first="open", second="open")
    strict = Bench()
    strict.sheet(step("first", 0, TICK), step("second", 0, TICK), DONE, stages=("absolute",))
    strict.depart("second", "order")
    strict.expect(second="blocked")
    assert not strict.may("second")["depart"]
    bench.told += strict.told


@story
def a_free_stage_still_waits_for_the_stages_before_it(bench: Bench) -> None:
    steps = [step("a", 0, TICK), step("b", 0, TICK), step("c", 1, TICK), step("d", 1, TICK)]
    bench.sheet(*steps, {**DONE, "stage": 1}, stages=("any", "any"))
    bench.expect(a="open", b="open", c="blocked", d="blocked")
    bench.check("b")
    bench.check("a")
    bench.expect(c="open", d="open")


@story
def a_running_wait_does_not_bind_the_order(bench: Bench) -> None:
    drain = step("drain", 0, wait("drain", 600))
    steps = [step("a", 1, TICK), step("b", 1, TICK), {**DONE, "stage": 1}]
    bench.sheet(drain, *steps, stages=("absolute", "kept"))
    bench.expect(a="blocked")
    assert not bench.may("b")["depart"]
    bench.check("drain", "start")
    bench.expect(a="open", b="blocked")
    assert bench.may("b")["depart"]


@story
def no_departure_leads_past_the_order_of_a_hold(bench: Bench) -> None:
    stop = step("stop", 0, TICK, hold=True, leave="never")
    bench.sheet(step("a", 0, TICK), stop, DONE, stages=("kept",))
    assert not bench.may("stop")["depart"]
    left = bench.depart("stop", "order")
    state = bench.expect(stop="blocked")
    assert state["inert"] == [left["id"]] and state["departures"] == []


@story
def leaving_the_order_of_a_later_stage_goes_by_the_earlier_stages_rule(bench: Bench) -> None:
    bench.sheet(step("a", 0, TICK), step("b", 1, TICK), {**DONE, "stage": 1}, stages=("absolute", "any"))
    bench.depart("b", "order")
    bench.expect(b="blocked")


@story
def nothing_passes_a_hold(bench: Bench) -> None:
    bench.sheet(step("a", 0, TICK), step("stop", 0, TICK, hold=True, leave="never"), step("b", 0, TICK), DONE)
    bench.depart("b", "order")
    bench.expect(a="open", stop="blocked", b="blocked")
    assert bench.why("b") == [{"code": "hold", "step": "stop"}]  # the stop blocks it, not the order: the stage is free
    bench.check("a")
    bench.expect(stop="open", b="blocked")
    bench.check("stop")
    bench.expect(b="open")


def _starter(bench: Bench, **more: Any) -> None:
    bench.sheet(
        step("pin-in", 0, TICK, opens=[{"what": "pin", "count": 1}]),
        step("cover-off", 0, TICK, opens=[{"what": "cover_bolts", "count": 6}]),
        step("pin-out", 0, TICK, closes=[{"what": "pin", "count": None}]),
        step("cover-on", 0, TICK, closes=[{"what": "cover_bolts", "count": None}]),
        step("gate", 1, TICK, hold=True, leave="never", gate=GATES["starter"]),
        {**DONE, "stage": 1},
        stages=("any", "kept"),
        **more,
    )


@story
def a_gate_does_not_pass_with_something_of_its_kinds_or_lists_open(bench: Bench) -> None:
    _starter(bench)
    bench.check("pin-in")
    bench.check("cover-off")
    state = bench.expect(gate="blocked")
    assert state["open"] == 7 and state["lists"]["covers"]["open"] == ["cover_bolts"]
    assert {"code": "open", "items": ["pin"]} in bench.why("gate")
    assert not bench.may("gate")["depart"]
    assert {"code": "list", "list": "covers", "items": ["cover_bolts"]} in bench.why("gate")
    bench.leave("skip", "pin-out", reason="lost")
    bench.check("cover-on")
    assert bench.why("gate") == [{"code": "open", "items": ["pin"]}]
    bench.check("gate")
    bench.expect(gate="recheck", done="blocked")
    assert not bench.may("gate")["check"]


@story
def a_gate_asks_again_when_a_merge_brings_an_earlier_step(bench: Bench) -> None:
    _starter(bench)
    bench.phone("b")
    for path in ("pin-in", "cover-off", "pin-out", "cover-on"):
        bench.check(path)
    bench.meet()
    bench.check("gate")
    bench.expect(gate="done", done="open")
    bench.take_back("pin-out", on="b")
    bench.meet()
    bench.expect(gate="recheck", done="blocked", pin_out="open")
    bench.check("pin-out")
    assert bench.expect(gate="recheck") and bench.why("gate") == [{"code": "again", "step": "pin-out"}]
    bench.check("gate")
    bench.expect(gate="done")


@story
def a_gate_of_two_turns_wants_both_after_what_came_before(bench: Bench) -> None:
    turn = {"kind": "turn", "value": "turns", "count": 2}
    gate = step("turns", 0, turn, hold=True, leave="never", gate=GATES["hand-turn"])
    bench.sheet(step("belt", 0, TICK), gate, DONE, values={"turns": value("critical", "2", "count")})
    bench.check("belt")
    bench.check("turns", "1")
    bench.check("belt")
    bench.check("turns", "2")
    bench.expect(turns="recheck")
    bench.check("turns", "1")
    bench.expect(turns="done")


@story
def what_somebody_took_off_besides_keeps_the_gate_shut_until_it_is_back(bench: Bench) -> None:
    _starter(bench)
    for path in ("pin-in", "cover-off", "pin-out", "cover-on"):
        bench.check(path)
    took = bench.write("took-off", value={"label": "Hose bracket", "kind": "bolt", "count": 2})
    path = f"extra/{took['id']}"
    state = bench.expect(gate="blocked")
    assert state["open"] == 2 and state["next"] == path and state["order"][-2:] == [path, "done"]
    bench.of_job("count", f"count:{path}", path, count=3)
    assert bench.state()["open"] == 3
    assert bench.may(path)["skip"] is False
    bench.leave("skip", path, reason="lost")
    state = bench.state()
    assert state["open"] == 3 and state["steps"][path]["state"] == "open"
    bench.check(path)
    bench.expect(gate="open")


@story
def what_was_taken_off_after_a_gate_does_not_open_it_again(bench: Bench) -> None:
    _starter(bench)
    bench.phone("b")
    for path in ("pin-in", "cover-off", "pin-out", "cover-on"):
        bench.check(path)
    gate = bench.check("gate")
    took = bench.write("took-off", value={"label": "Clip", "kind": "hose", "count": 1}, seen=[gate["id"]])
    state = bench.expect(gate="done", done="blocked")
    assert state["next"] == f"extra/{took['id']}"
    bench.write("took-off", on="b", value={"label": "Pipe", "kind": "hose", "count": 1})
    bench.meet()
    bench.expect(gate="recheck")


@story
def the_strip_down_gate_wants_the_preparation_confirmed(bench: Bench) -> None:
    gate = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["strip-down"])
    bench.sheet(gate, DONE, needs=NEEDS)
    sections = [why["section"] for why in bench.why("gate")]
    assert sections == ["parts", "tools", "values"]  # an empty list needs no confirmation
    for part in sections:
        bench.of_job("confirm", f"confirm:{part}", part, **{"except": ["belt"] if part == "parts" else []})
    assert bench.state()["ready"]["parts"] == {"confirmed": True, "except": ["belt"]}
    assert bench.why("gate") == [{"code": "ready", "section": "parts", "items": ["belt"]}]


@story
def what_is_not_here_is_gone_without_for_a_reason_but_never_a_one_time_fastener(bench: Bench) -> None:
    gate = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["strip-down"])
    bench.sheet(gate, DONE, needs={**NEEDS, "one_time": {"crank_bolt": {"label": "Crank bolt", "count": 1}}})
    missing = {"parts": "belt", "one_time": "crank_bolt", "values": "torque"}
    for part in ("parts", "tools", "values", "one_time"):
        given = [missing[part]] if part in missing else []
        bench.of_job("confirm", f"confirm:{part}", part, **{"except": given})
    for part in ("part:belt", "part:crank_bolt", "one_time:crank_bolt"):
        bench.depart("gate", part, "comes at noon")
    assert bench.why("gate") == [{"code": "ready", "section": "one_time", "items": ["crank_bolt"]}]


def _stripped(bench: Bench, *left: str) -> None:
    """Confirm the preparation without what is left, then pass the gate and what follows it."""
    gate = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["strip-down"])
    needs = {**NEEDS, "one_time": {"crank_bolt": {"label": "Crank bolt", "count": 1}}}
    bench.sheet(gate, step("wipe", 0, TICK), DONE, needs=needs)
    for part in ("parts", "tools", "values", "one_time"):
        bench.of_job("confirm", f"confirm:{part}", part, **{"except": list(left) if part == "parts" else []})
    for part in left:
        bench.depart("gate", f"part:{part}", "comes at noon")
    bench.check("gate")
    bench.check("wipe")
    bench.leave("finish", "done")
    assert bench.expect(gate="done", wipe="done", done="done")["complete"]


@story
def a_preparation_that_somebody_contradicts_later_opens_its_gate_again(bench: Bench) -> None:
    _stripped(bench)
    bench.of_job("confirm", "confirm:one_time", "one_time", **{"except": ["crank_bolt"]})
    state = bench.expect(gate="recheck", wipe="done", done="recheck")
    assert not state["complete"] and not bench.may("gate")["check"]
    assert bench.why("gate") == [{"code": "ready", "section": "one_time", "items": ["crank_bolt"]}]
    bench.of_job("confirm", "confirm:one_time", "one_time", **{"except": []})
    assert bench.expect(gate="done", wipe="done", done="done")["complete"]


@story
def two_phones_that_confirm_a_list_apart_and_differ_open_the_gate_again(bench: Bench) -> None:
    gate = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["strip-down"])
    bench.sheet(gate, step("wipe", 0, TICK), DONE, needs=NEEDS)
    bench.phone("b")
    early = bench.of_job("confirm", "confirm:tools", "tools", on="b", **{"except": ["pin"]})
    for part in ("parts", "tools", "values"):
        bench.of_job("confirm", f"confirm:{part}", part, **{"except": []})
    bench.check("gate")
    bench.check("wipe")
    bench.expect(gate="done", wipe="done")
    bench.meet()
    assert early["lamport"] == 2  # before the gate in the order of entries, and still not in its view
    bench.expect(gate="recheck", wipe="done", done="blocked")
    assert bench.why("gate") == [{"code": "ready", "section": "tools", "items": ["pin"]}]


@story
def a_confirmation_taken_back_after_its_gate_opens_it_again(bench: Bench) -> None:
    _stripped(bench)
    (told,) = [one for one in bench.phone("a").view.entries if one["kind"] == "confirm" and one["part"] == "tools"]
    taken = bench.take_back_entry(told)
    bench.expect(gate="recheck")
    assert bench.why("gate") == [{"code": "ready", "section": "tools"}]
    bench.take_back_entry(taken)
    bench.expect(gate="done", done="done")


@story
def a_departure_without_a_part_taken_back_after_the_gate_opens_it_again(bench: Bench) -> None:
    _stripped(bench, "belt")
    (left,) = [one for one in bench.phone("a").view.entries if one["kind"] == "depart"]
    bench.take_back_entry(left)
    bench.expect(gate="recheck")
    assert bench.why("gate") == [{"code": "ready", "section": "parts", "items": ["belt"]}]


@story
def a_worksheet_that_asks_for_more_contradicts_no_preparation(bench: Bench) -> None:
    gate = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["strip-down"])
    bench.sheet(gate, DONE, needs=NEEDS)
    for part in ("parts", "tools", "values"):
        bench.of_job("confirm", f"confirm:{part}", part, **{"except": []})
    bench.check("gate")
    _adopt(bench, gate, DONE, needs={**NEEDS, "tools": {"ratchet": {"label": "Ratchet"}}})
    assert bench.expect(gate="done")["ready"]["tools"] == {"confirmed": False, "except": []}


@story
def a_missing_part_told_on_an_older_worksheet_opens_the_gate_again(bench: Bench) -> None:
    gate = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["strip-down"])
    older = bench.sheet(gate, DONE, needs=NEEDS)
    bench.phone("b")
    _adopt(bench, gate, DONE, needs={**NEEDS, "tools": {"ratchet": {"label": "Ratchet"}}})
    for part in ("parts", "tools", "values"):
        bench.of_job("confirm", f"confirm:{part}", part, **{"except": []})
    bench.check("gate")
    bench.phone("b").sheet = older
    bench.of_job("confirm", "confirm:tools", "tools", on="b", **{"except": ["pin"]})
    bench.expect(gate="done")
    bench.meet()
    bench.expect(gate="recheck")
    assert bench.why("gate") == [{"code": "ready", "section": "tools"}]


@story
def a_critical_value_disputed_after_its_step_opens_the_step_again(bench: Bench) -> None:
    values = {"idler": value("critical", None)}
    bench.sheet(step("idler", 0, tighten("idler", "critical", "1.1"), values=["idler"]), DONE, values=values)
    bench.phone("b")
    bench.meet()
    bench.read("idler", text="40 N.m", source=SOURCE)
    bench.check("idler", "1.1", set="40 N.m")
    bench.read("idler", on="b", text="45 N.m", source=SOURCE)
    bench.expect(idler="done")
    bench.meet()
    assert bench.expect(idler="open", done="blocked")["values"]["idler"]["disputed"]


@story
def of_two_counts_given_apart_the_greater_is_still_off(bench: Bench) -> None:
    _starter(bench)
    bench.check("cover-off")
    for on, count in (("a", 5), ("b", 8)):
        bench.of_job("count", "count:cover_bolts", "cover_bolts", on=on, count=count)
    bench.meet()
    assert bench.state()["items"]["cover_bolts"]["open"] == 8


@story
def a_corrected_count_does_not_touch_a_step_that_opens_a_part_of_it(bench: Bench) -> None:
    bench.sheet(step("two-off", 0, TICK, opens=[{"what": "cover_bolts", "count": 2}]), DONE)
    bench.check("two-off")
    bench.of_job("count", "count:cover_bolts", "cover_bolts", count=7)
    assert bench.state()["open"] == 2


@story
def two_confirmations_of_which_one_is_void_confirm_nothing(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE, needs=NEEDS)
    bench.phone("b")
    bench.of_job("confirm", "confirm:tools", "tools", **{"except": []})
    assert bench.state()["ready"]["tools"]["confirmed"]
    bench.of_job("confirm", "confirm:tools", "tools", on="b", **{"except": "none"})
    bench.meet()
    assert not bench.state()["ready"]["tools"]["confirmed"]


@story
def a_confirmation_taken_back_apart_from_its_correction_confirms_nothing(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE, needs=NEEDS)
    bench.phone("b")
    first = bench.of_job("confirm", "confirm:tools", "tools", **{"except": []})
    bench.meet()
    bench.take_back_entry(first, on="b")
    bench.of_job("confirm", "confirm:tools", "tools", **{"except": ["spanner"]})
    bench.meet()
    assert not bench.state()["ready"]["tools"]["confirmed"]


@story
def a_corrected_count_is_what_is_still_off(bench: Bench) -> None:
    _starter(bench)
    bench.check("cover-off")
    bench.of_job("count", "count:cover_bolts", "cover_bolts", count=7)
    assert bench.state()["items"]["cover_bolts"]["open"] == 7
    none = bench.of_job("count", "count:cover_bolts", "cover_bolts", count=0)
    state = bench.state()
    assert state["items"]["cover_bolts"]["open"] == 6 and none["id"] in state["inert"]
    bench.check("cover-on")
    assert bench.state()["open"] == 0


# -- findings, failures, going back ------------------------------------------------------------------------------------


@story
def a_finding_brings_the_steps_it_needs(bench: Bench) -> None:
    found = [{"step": "seal", "outcomes": ["wet"]}]
    bench.sheet(step("seal", 0, inspect(dry=False, wet=False)), step("new", 0, TICK, when=found), DONE)
    bench.expect(new="hidden")
    bench.check("seal", outcome="dry")
    bench.expect(new="hidden", done="open")
    bench.check("seal", outcome="wet")
    bench.expect(new="open", done="blocked")


@story
def a_step_with_entries_does_not_hide_until_they_are_taken_back(bench: Bench) -> None:
    found = [{"step": "seal", "outcomes": ["wet"]}]
    new = step("new", 0, inspect(good=False), when=found)
    bench.sheet(step("seal", 0, inspect(dry=False, wet=False)), new, DONE)
    bench.check("seal", outcome="wet")
    bench.check("new", outcome="what")
    bench.check("seal", outcome="dry")
    bench.expect(new="open")
    assert bench.why("new") == [{"code": "not-needed"}]
    bench.take_back("new")
    bench.expect(new="hidden")


@story
def what_a_step_no_longer_needed_opened_still_shows_what_closes_it(bench: Bench) -> None:
    found = [{"step": "seal", "outcomes": ["wet"]}]
    bench.sheet(
        step("seal", 0, inspect(dry=False, wet=False)),
        step("hose-off", 0, TICK, when=found, opens=[{"what": "hose", "count": 2}]),
        step("hose-on", 0, TICK, when=found, closes=[{"what": "hose", "count": None}]),
        DONE,
    )
    bench.check("seal", outcome="wet")
    bench.check("hose-off")
    bench.check("seal", outcome="dry")
    assert bench.expect(hose_off="done", hose_on="open", done="blocked")["open"] == 2
    bench.check("hose-on")
    bench.expect(done="open")


def _marks(bench: Bench) -> None:
    failed = {
        "when": "a mark is off",
        "outcomes": ["off"],
        "back_to": "belt",
        "disturbs": ["belt", "turns"],
        "say": None,
    }
    bench.sheet(
        step("tensioner", 0, TICK),
        step("belt", 0, TICK),
        step("idler", 0, TICK),
        step("turns", 0, TICK),
        step("marks", 0, inspect(meet=False, off=True), if_failed=failed, hold=True, leave="never"),
        DONE,
        stages=("kept",),
    )
    for path in ("tensioner", "belt", "idler", "turns"):
        bench.check(path)


@story
def a_failed_check_goes_back_and_reopens_what_it_disturbs(bench: Bench) -> None:
    _marks(bench)
    bench.check("marks", outcome="off")
    state = bench.expect(marks="failed")
    assert bench.may("marks")["back"] and not bench.may("marks")["check"] and state["next"] == "marks"
    back = bench.go_back("marks", "belt", ["belt", "turns"], rest=["idler"])
    state = bench.expect(tensioner="done", belt="open", idler="recheck", turns="blocked", marks="blocked")
    assert state["steps"]["marks"]["failures"] == 1 and state["next"] == "belt"
    assert bench.why("idler") == [{"code": "disturbed", "step": "marks"}, {"code": "order", "step": "belt"}]
    assert bench.may("idler")["not-disturbed"]
    bench.write("not-disturbed", by="LM", seen=[back["id"]])
    bench.check("belt")
    bench.expect(idler="done", turns="open")
    bench.check("turns")
    bench.check("marks", outcome="meet")
    assert bench.expect(marks="done", done="open")["steps"]["marks"]["failures"] == 1


@story
def what_is_answered_again_after_a_go_back_needs_nobodys_word(bench: Bench) -> None:
    _marks(bench)
    bench.check("marks", outcome="off")
    bench.go_back("marks", "belt", ["belt", "turns"], rest=["idler"])
    bench.check("belt")
    bench.check("idler")
    bench.expect(idler="done")


@story
def a_go_back_taken_back_restores_what_it_disturbed(bench: Bench) -> None:
    _marks(bench)
    bench.check("marks", outcome="off")
    back = bench.go_back("marks", "belt", ["belt", "turns"], rest=["idler"])
    bench.take_back_entry(back)
    bench.expect(belt="done", idler="done", turns="done", marks="failed")


@story
def an_answer_given_after_a_go_back_survives_its_being_taken_back(bench: Bench) -> None:
    _marks(bench)
    bench.check("marks", outcome="off")
    back = bench.go_back("marks", "belt", ["belt", "turns"])
    bench.check("belt")
    bench.take_back_entry(back)
    bench.expect(belt="done", turns="done", marks="failed")


@story
def taking_back_an_answer_given_after_a_go_back_leaves_the_go_back(bench: Bench) -> None:
    _marks(bench)
    bench.check("marks", outcome="off")
    bench.go_back("marks", "belt", ["belt", "turns"])
    bench.check("belt")
    bench.take_back("belt")
    bench.expect(belt="open", turns="blocked")


@story
def a_tick_made_apart_from_a_go_back_is_two_answers(bench: Bench) -> None:
    _marks(bench)
    bench.phone("b")
    bench.check("marks", outcome="off")
    bench.check("belt", on="b")
    bench.go_back("marks", "belt", ["belt", "turns"])
    bench.meet()
    bench.expect(belt="disputed")


@story
def a_failed_check_without_a_way_back_is_done_again(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    bench.check("gap", outcome="failed", note="no feeler that thin")
    bench.expect(gap="failed", done="blocked")
    assert bench.may("gap")["check"] and not bench.may("gap")["skip"]
    bench.check("gap", number=1, unit="mm")
    assert bench.expect(gap="done")["steps"]["gap"]["failures"] == 1


@story
def a_failure_taken_back_was_none(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    bench.check("gap", outcome="failed", note="slip of the thumb")
    bench.take_back("gap")
    assert bench.expect(gap="open")["steps"]["gap"]["failures"] == 0


@story
def a_step_of_many_parts_may_fail_as_a_whole(bench: Bench) -> None:
    values = {"cover": value("ordinary", "9 N.m")}
    bench.sheet(step("cover", 0, tighten("cover", "ordinary", "1", "2"), values=["cover"]), DONE, values=values)
    bench.check("cover", "1")
    failed = bench.check("cover", "", outcome="failed", note="thread stripped")
    assert failed["id"] not in bench.expect(cover="failed")["inert"]
    bench.take_back("cover", "")
    bench.expect(cover="open")


@story
def a_go_back_reopens_also_an_answer_it_knew_and_forgot_to_name(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    bench.check("gap", number=1, unit="mm")
    second = bench.check("gap", number=2, unit="mm")
    bench.take_back_entry(second)
    bench.expect(gap="done")
    bench.write("back", step="gap", value={"to": "gap", "disturbs": [], "rest": []}, seen=[second["id"]])
    bench.expect(gap="disputed")


# -- two revisions -----------------------------------------------------------------------------------------------------


def _adopt(bench: Bench, *steps: dict[str, Any], on: str = "a", **more: Any) -> None:
    sheet = bench.sheet(*steps, revision=2, **more)
    bench.of_job("adopt", "sheet", on=on, sheet=digest_of(sheet))


@story
def a_changed_wording_asks_for_one_tap(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.check("wipe")
    new = step("wipe", 0, TICK, do=["Wipe it dry."])
    _adopt(bench, new, DONE)
    assert bench.expect(wipe="done")["steps"]["wipe"]["reworded"] and bench.may("wipe")["confirm"]
    same = {"same": bench.sheets[-1]["steps"][0]["wording"]}
    bench.write("confirm", step="wipe", value=same, seen=bench.phone("a").sees("wipe", "wording"))
    assert not bench.expect(wipe="done")["steps"]["wipe"]["reworded"]


@story
def what_a_worksheet_asks_is_worked_out_and_not_taken_from_the_digests_it_states(bench: Bench) -> None:
    values = {"cover": value("ordinary", "100 N.m")}
    check = tighten("cover", "ordinary", "1")
    first = bench.sheet(step("cover", 0, check, values=["cover"]), step("wipe", 0, TICK), DONE, values=values)
    bench.check("cover", "1", set="100 N.m")
    bench.check("wipe")
    weaker = {"cover": value("ordinary", "10 N.m")}
    reworded = step("wipe", 0, TICK, do=["Wipe it wet."])
    forged = bench.sheet(step("cover", 0, check, values=["cover"]), reworded, DONE, values=weaker, revision=2)
    for mine, theirs in zip(forged["steps"], first["steps"], strict=True):
        mine |= {key: theirs[key] for key in ("duty", "wording")}
    bench.of_job("adopt", "sheet", sheet=digest_of(forged))
    state = bench.expect(cover="recheck", wipe="done")
    assert bench.why("cover") == [{"code": "duty"}] and state["steps"]["wipe"]["reworded"]


@story
def a_changed_duty_asks_for_the_step_and_the_gates_after_it_again(bench: Bench) -> None:
    gate = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["starter"])
    bench.sheet(step("wipe", 0, TICK), gate, DONE)
    bench.check("wipe")
    bench.check("gate")
    new = step("wipe", 0, TICK, cautions=[{"level": "caution", "hazard": "Sharp edge."}])
    _adopt(bench, new, gate, DONE)
    bench.expect(wipe="recheck", gate="recheck")
    assert bench.why("wipe") == [{"code": "duty"}]
    bench.check("wipe")
    bench.expect(wipe="done", gate="recheck")
    bench.check("gate")
    bench.expect(gate="done", done="open")


@story
def a_wording_said_to_be_the_same_by_one_and_another_by_one_is_still_asked_about(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.check("wipe")
    bench.phone("b")
    _adopt(bench, step("wipe", 0, TICK, do=["Wipe it dry."]), DONE)
    bench.meet()
    bench.write("confirm", step="wipe", value={"same": bench.sheets[-1]["steps"][0]["wording"]})
    bench.write("confirm", on="b", step="wipe", value={"same": bench.sheets[0]["steps"][0]["wording"]})
    bench.meet()
    assert bench.expect(wipe="done")["steps"]["wipe"]["reworded"]


@story
def an_answer_made_on_a_worksheet_that_is_not_at_hand_is_asked_again(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.write("check", step="wipe", sheet="f" * 64)
    bench.expect(wipe="recheck")
    assert bench.why("wipe") == [{"code": "duty"}]


@story
def an_answer_given_on_the_new_revision_counts_beside_the_same_one_on_the_old(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.phone("b")
    bench.check("wipe")
    _adopt(bench, step("wipe", 0, TICK, cautions=[{"level": "caution", "hazard": "Sharp edge."}]), DONE)
    bench.expect(wipe="recheck")
    bench.of_job("pass-on", "pass", on="b", to="LM")
    bench.of_job("receive", "pass", on="b")
    bench.check("wipe", on="b")
    bench.meet()
    bench.expect(wipe="done")


@story
def an_adoption_that_contradicts_itself_adopts_nothing(bench: Bench) -> None:
    old = bench.sheet(step("wipe", 0, TICK), DONE)
    bench.sheet(step("wipe", 0, TICK), step("dry", 0, TICK), DONE)
    odd = bench.of_job("adopt", "sheet", sheet=digest_of(old))
    state = bench.state()
    assert state["sheet"] == digest_of(old) and state["inert"] == [odd["id"]]


@story
def a_path_in_use_keeps_its_entries_whatever_another_step_was(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), step("dry", 0, TICK, was=["wipe"]), DONE)
    bench.check("wipe")
    bench.expect(wipe="done", dry="open")


@story
def a_moved_step_keeps_its_answers_and_can_be_corrected_and_taken_back(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    bench.check("gap", number=1, unit="mm")
    _adopt(bench, step("idler/gap", 0, MEASURE, was=["gap"]), DONE)
    state = bench.state()
    assert state["steps"]["idler/gap"]["state"] == "done" and state["steps"]["idler/gap"]["was"]
    bench.check("idler/gap", number=2, unit="mm")
    assert len(bench.state()["steps"]["idler/gap"]["answers"]) == 1
    bench.take_back("idler/gap")
    assert bench.state()["steps"]["idler/gap"]["state"] == "open"


@story
def entries_of_a_removed_step_stay_and_are_listed(bench: Bench) -> None:
    bench.sheet(step("grease", 0, TICK), step("wipe", 0, TICK), DONE)
    gone = bench.check("grease")
    _adopt(bench, step("wipe", 0, TICK), DONE)
    assert bench.state()["gone"] == [gone["id"]]


@story
def a_new_revision_that_is_not_at_hand_leaves_the_old_one_in_use(bench: Bench) -> None:
    sheet = bench.sheet(step("wipe", 0, TICK), DONE)
    bench.write("adopt", sheet="f" * 64, value={"sheet": "f" * 64})
    assert bench.expect(wipe="open")["sheet"] == digest_of(sheet)


@story
def a_confirmation_counts_only_for_what_was_asked_then(bench: Bench) -> None:
    gate = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["strip-down"])
    bench.sheet(gate, DONE, needs=NEEDS)
    for part in ("parts", "tools", "values"):
        bench.of_job("confirm", f"confirm:{part}", part, **{"except": []})
    bench.expect(gate="open")
    _adopt(bench, gate, DONE, needs={**NEEDS, "tools": {"ratchet": {"label": "Ratchet"}}})
    assert bench.why("gate") == [{"code": "ready", "section": "tools"}]


# -- what was opened and what the new revision no longer knows of ------------------------------------------------------

SCREW_OPEN = step("screw-open", 0, TICK, opens=[{"what": "screw", "count": 1}])
SCREW_SHUT = step("screw-shut", 0, TICK, closes=[{"what": "screw", "count": None}])
WIPE = step("wipe", 0, TICK)
ROAD_GATE = {"for": "road", "kinds": ["bleed-screw"], "lists": [], "ready": False}
ROAD = step("road", 0, TICK, hold=True, leave="never", gate=ROAD_GATE)
WITH_SCREW = {**ITEMS, "screw": {"kind": "bleed-screw", "label": "Bleed screw", "list": "road", "count": 1}}


def _withdrawn(bench: Bench, *before: dict[str, Any]) -> None:
    """Open the screw, then take over a revision that has no screw."""
    bench.sheet(*before, SCREW_OPEN, SCREW_SHUT, WIPE, ROAD, DONE, items=WITH_SCREW)
    bench.check("screw-open")
    _adopt(bench, *before, WIPE, ROAD, DONE, items=ITEMS)


def _back(bench: Bench, what: str, count: int, reason: str = "shut and dry", on: str = "a") -> Entry:
    return bench.of_job("put-back", f"put-back:{what}", what, on, count=count, reason=reason)


@story
def what_was_opened_stays_open_when_its_steps_are_withdrawn(bench: Bench) -> None:
    _withdrawn(bench)
    bench.check("wipe")
    state = bench.expect(road="blocked", done="blocked")
    assert state["open"] == 1 and state["lists"]["road"]["open"] == ["screw"]
    opened = next(e["id"] for e in bench.phone("a").view.entries if e["step"] == "screw-open")
    assert state["items"]["screw"] == {**WITH_SCREW["screw"], "open": 1, "left": 1, "left_by": [opened]}
    assert {"code": "open", "items": ["screw"]} in bench.why("road")
    told = _back(bench, "screw", 1)
    assert "left" not in bench.expect(road="open")["items"]["screw"] and bench.state()["open"] == 0
    bench.take_back_entry(told)
    assert bench.expect(road="blocked")["open"] == 1


@story
def that_a_thing_is_back_wants_a_count_and_a_reason(bench: Bench) -> None:
    _withdrawn(bench)
    odd = [_back(bench, "screw", 0), _back(bench, "screw", 1, " ")]
    state = bench.state()
    assert state["open"] == 1 and state["inert"] == [odd[-1]["id"]]
    gone = _back(bench, "no-such-thing", 1)
    assert bench.state()["gone"][-1] == gone["id"]


@story
def of_two_words_about_what_is_back_the_careful_one_counts(bench: Bench) -> None:
    cover = step("cover-off", 0, TICK, opens=[{"what": "cover_bolts", "count": 6}])
    bench.sheet(cover, WIPE, DONE)
    bench.check("cover-off")
    _adopt(bench, WIPE, DONE, items={})
    bench.phone("b")
    bench.meet()
    _back(bench, "cover_bolts", 6)
    _back(bench, "cover_bolts", 4, on="b")
    bench.meet()
    assert bench.state()["items"]["cover_bolts"]["open"] == 2
    bench.of_job("count", "count:cover_bolts", "cover_bolts", count=8)
    assert bench.state()["items"]["cover_bolts"]["open"] == 4


@story
def what_is_opened_after_somebody_said_that_it_is_back_is_open_again(bench: Bench) -> None:
    _withdrawn(bench)
    bench.phone("b").sheet = bench.sheets[0]
    _back(bench, "screw", 1)
    assert bench.state()["open"] == 0
    bench.later(60)
    bench.phone("b").meet(bench.phone("a").view.entries)
    bench.check("screw-open", on="b")
    bench.meet()
    assert bench.expect(road="blocked")["items"]["screw"]["left"] == 1


@story
def a_gate_is_asked_again_after_somebody_said_that_a_thing_is_back(bench: Bench) -> None:
    bench.sheet(SCREW_OPEN, SCREW_SHUT, WIPE, ROAD, DONE, items=WITH_SCREW)
    _adopt(bench, WIPE, ROAD, DONE, items=ITEMS)
    bench.check("wipe")
    bench.check("road")
    bench.expect(road="done")
    bench.phone("b").sheet = bench.sheets[0]
    bench.check("screw-open", on="b")
    bench.meet()
    bench.expect(road="recheck")
    _back(bench, "screw", 1)
    bench.expect(road="recheck")
    assert bench.why("road") == [{"code": "again", "step": "road"}]
    bench.check("road")
    bench.expect(road="done", done="open")


@story
def what_was_closed_before_its_steps_were_withdrawn_is_closed(bench: Bench) -> None:
    bench.sheet(SCREW_OPEN, SCREW_SHUT, WIPE, ROAD, DONE, items=WITH_SCREW)
    bench.check("screw-open")
    shut = bench.check("screw-shut")
    _adopt(bench, WIPE, ROAD, DONE, items=ITEMS)
    bench.check("wipe")
    assert bench.expect(road="open")["open"] == 0
    bench.take_back_entry(shut)
    assert bench.expect(road="blocked")["items"]["screw"]["left"] == 1
    bench.check("wipe", on="b")
    bench.meet()


@story
def a_failed_closing_that_was_withdrawn_closed_nothing(bench: Bench) -> None:
    bench.sheet(SCREW_OPEN, SCREW_SHUT, WIPE, ROAD, DONE, items=WITH_SCREW)
    bench.check("screw-open")
    bench.check("screw-shut", outcome="failed", note="thread stripped")
    _adopt(bench, WIPE, ROAD, DONE, items=ITEMS)
    assert bench.state()["open"] == 1


@story
def a_closing_step_that_is_still_there_closes_what_a_withdrawn_one_opened(bench: Bench) -> None:
    pin_in = step("pin-in", 0, TICK, opens=[{"what": "pin", "count": 1}])
    pin_out = step("pin-out", 0, TICK, closes=[{"what": "pin", "count": None}])
    gate = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["starter"])
    bench.sheet(WIPE, pin_in, pin_out, gate, DONE)
    bench.check("pin-in")
    _adopt(bench, WIPE, pin_out, gate, DONE)
    bench.check("wipe")
    item = bench.expect(gate="blocked")["items"]["pin"]
    assert item["open"] == 1 and "left" not in item  # a step closes it, so nobody is asked
    bench.check("pin-out")
    assert bench.expect(gate="open")["open"] == 0


@story
def a_step_that_no_longer_opens_a_thing_leaves_it_open(bench: Bench) -> None:
    bench.sheet(step("cap", 0, TICK, opens=[{"what": "screw", "count": 1}]), SCREW_SHUT, DONE, items=WITH_SCREW)
    bench.check("cap")
    _adopt(bench, step("cap", 0, TICK), DONE, items=ITEMS)
    bench.expect(cap="recheck")
    bench.check("cap")
    assert bench.expect(cap="done", done="blocked")["items"]["screw"]["left"] == 1


@story
def a_gate_before_what_a_withdrawn_step_opened_stays_passed(bench: Bench) -> None:
    first = step("first", 0, TICK, hold=True, leave="never", gate=ROAD_GATE)
    bench.sheet(first, SCREW_OPEN, SCREW_SHUT, WIPE, ROAD, DONE, items=WITH_SCREW)
    bench.check("first")
    bench.check("screw-open")
    _adopt(bench, first, WIPE, ROAD, DONE, items=ITEMS)
    bench.check("wipe")
    bench.expect(first="done", road="blocked")
    bench.go_back("wipe", "wipe", [])
    bench.expect(first="done")


@story
def a_withdrawn_opening_that_was_taken_back_leaves_nothing(bench: Bench) -> None:
    _withdrawn(bench)
    opened = next(e for e in bench.phone("a").view.entries if e["step"] == "screw-open")
    bench.take_back_entry(opened)
    assert bench.state()["open"] == 0 and "screw" not in bench.state()["items"]


COVER = step("cover-off", 0, TICK, opens=[{"what": "cover_bolts", "count": 6}])
COVER_ON = step("cover-on", 0, TICK, closes=[{"what": "cover_bolts", "count": None}])


def _open(bench: Bench, what: str) -> dict[str, Any]:
    """Return {open, left} of a thing."""
    item = bench.state()["items"][what]
    return {"open": item["open"], "left": item.get("left", 0)}


@story
def what_an_older_phone_ticked_later_is_open_though_its_step_is_gone(bench: Bench) -> None:
    bench.sheet(COVER, COVER_ON, WIPE, DONE)
    old = bench.phone("b")
    _adopt(bench, WIPE, DONE, items={})
    bench.check("wipe")
    old.sheet = bench.sheets[0]
    bench.check("cover-off", on="b")
    assert bench.state()["open"] == 0
    bench.meet()
    assert _open(bench, "cover_bolts") == {"open": 6, "left": 6}


@story
def a_step_that_opens_fewer_now_leaves_open_what_it_had_opened(bench: Bench) -> None:
    bench.sheet(COVER, COVER_ON, DONE)
    bench.check("cover-off")
    four = {**COVER, "opens": [{"what": "cover_bolts", "count": 4}]}
    _adopt(bench, four, {**COVER_ON, "closes": [{"what": "cover_bolts", "count": 4}]}, DONE)
    assert _open(bench, "cover_bolts") == {"open": 6, "left": 2}
    bench.check("cover-off")
    bench.check("cover-on")
    assert _open(bench, "cover_bolts") == {"open": 2, "left": 2}


@story
def what_a_step_opened_is_open_when_its_new_check_off_no_longer_counts_the_answer(bench: Bench) -> None:
    pulled = step("cover-off", 0, tighten("clamp", "clip", "1", "2"), opens=[{"what": "cover_bolts", "count": 6}])
    bench.sheet(pulled, COVER_ON, DONE, values={"clamp": value("clip", "by hand")})
    bench.check("cover-off", "1")
    _adopt(bench, COVER, COVER_ON, DONE)
    bench.expect(cover_off="open")
    assert _open(bench, "cover_bolts") == {"open": 6, "left": 0}


@story
def a_step_that_asks_something_else_and_is_left_out_leaves_open_what_it_had_opened(bench: Bench) -> None:
    bench.sheet(COVER, COVER_ON, DONE)
    bench.check("cover-off")
    _adopt(bench, {**COVER, "hold": True}, COVER_ON, DONE)
    bench.leave("skip", "cover-off", reason="done already")
    assert _open(bench, "cover_bolts")["open"] == 6


@story
def a_step_that_was_left_out_instead_of_ticked_opens_nothing_after_an_adoption_either(bench: Bench) -> None:
    bench.sheet(COVER, COVER_ON, WIPE, DONE)
    bench.check("cover-off")
    bench.leave("skip", "cover-off", reason="ticked by mistake")
    assert bench.state()["open"] == 0
    _adopt(bench, WIPE, DONE, items={})
    assert bench.state()["open"] == 0


@story
def a_step_that_is_first_ticked_after_it_opens_nothing_more_opens_nothing(bench: Bench) -> None:
    bench.sheet(COVER, COVER_ON, DONE)
    _adopt(bench, {**COVER, "opens": []}, COVER_ON, DONE)
    bench.check("cover-off")
    assert bench.state()["open"] == 0


@story
def two_steps_that_a_revision_takes_for_one_leave_open_what_each_had_opened(bench: Bench) -> None:
    upper = {**COVER, "path": "upper", "opens": [{"what": "cover_bolts", "count": 2}]}
    bench.sheet(upper, {**upper, "path": "lower"}, COVER_ON, DONE)
    bench.check("upper")
    bench.check("lower")
    both = {**upper, "path": "both", "was": ["upper", "lower"]}
    _adopt(bench, both, COVER_ON, DONE)
    assert _open(bench, "cover_bolts")["open"] == 4
    bench.check("both")
    assert _open(bench, "cover_bolts")["open"] == 4


@story
def a_step_that_moved_and_was_ticked_on_two_phones_opened_its_things_once(bench: Bench) -> None:
    bench.sheet(COVER, COVER_ON, DONE)
    old = bench.phone("b")
    _adopt(bench, {**COVER, "path": "covers/off", "was": ["cover-off"]}, COVER_ON, DONE)
    bench.check("covers/off")
    old.sheet = bench.sheets[0]
    bench.check("cover-off", on="b")
    bench.check("cover-off", on="b")
    bench.meet()
    assert _open(bench, "cover_bolts")["open"] == 6


@story
def a_step_that_moved_and_was_ticked_again_opened_its_things_once(bench: Bench) -> None:
    bench.sheet(COVER, COVER_ON, WIPE, DONE)
    bench.check("cover-off")
    _adopt(bench, {**COVER, "path": "covers/off", "was": ["cover-off"]}, COVER_ON, WIPE, DONE)
    bench.check("covers/off")
    _adopt(bench, WIPE, DONE, items={})
    assert _open(bench, "cover_bolts") == {"open": 6, "left": 6}


@story
def a_closing_ticked_before_a_revision_closes_nothing_that_the_revision_opens_before_it(bench: Bench) -> None:
    pin_in = step("pin-in", 0, TICK, opens=[{"what": "pin", "count": 1}])
    pin_out = step("pin-out", 0, TICK, closes=[{"what": "pin", "count": None}])
    bench.sheet(pin_in, pin_out, DONE)
    bench.check("pin-in")
    bench.check("pin-out")
    _adopt(bench, pin_in, {**pin_in, "path": "pin-in-again"}, pin_out, DONE)
    assert bench.expect(pin_out="done")["open"] == 0
    bench.check("pin-in-again")
    assert _open(bench, "pin") == {"open": 1, "left": 1}
    bench.check("pin-out")
    assert _open(bench, "pin") == {"open": 0, "left": 0}


@story
def a_revision_that_changes_the_order_closes_nothing_that_was_opened_after_the_closing(bench: Bench) -> None:
    pin_in = step("pin-in", 0, TICK, opens=[{"what": "pin", "count": 1}])
    again, pin_out = (
        {**pin_in, "path": "pin-in-again"},
        step("pin-out", 0, TICK, closes=[{"what": "pin", "count": None}]),
    )
    bench.sheet(pin_in, pin_out, again, DONE)
    for path in ("pin-in", "pin-out", "pin-in-again"):
        bench.check(path)
    assert bench.state()["open"] == 1
    _adopt(bench, pin_in, again, pin_out, DONE)
    assert _open(bench, "pin")["open"] == 1


@story
def a_withdrawn_closing_that_did_not_count_closes_nothing(bench: Bench) -> None:
    photo = {**COVER_ON, "check": {"kind": "photo", "label": "Cover"}}
    for given, left_out in (({}, False), ({"kept_at": "phone"}, True)):
        one = Bench()
        one.sheet(COVER, photo, WIPE, DONE)
        one.check("cover-off")
        one.check("cover-on", **given)
        if left_out:
            one.leave("skip", "cover-on", reason="no bolts here")
        assert one.state()["open"] == 6
        _adopt(one, WIPE, DONE, items={})
        assert _open(one, "cover_bolts") == {"open": 6, "left": 6}
        bench.told += one.told


@story
def a_closing_that_moved_and_was_then_withdrawn_closed_once(bench: Bench) -> None:
    one_on = {**COVER_ON, "closes": [{"what": "cover_bolts", "count": 1}]}
    bench.sheet(COVER, one_on, WIPE, DONE)
    bench.check("cover-off")
    bench.check("cover-on")
    _adopt(bench, COVER, {**one_on, "path": "covers/on", "was": ["cover-on"]}, WIPE, DONE)
    bench.check("covers/on")
    assert bench.state()["open"] == 5
    _adopt(bench, COVER, WIPE, DONE)
    assert _open(bench, "cover_bolts")["open"] == 5


@story
def a_person_can_say_what_became_of_what_no_step_closes_any_more(bench: Bench) -> None:
    bench.sheet(COVER, COVER_ON, DONE)
    bench.check("cover-off")
    _adopt(bench, COVER, DONE)
    assert _open(bench, "cover_bolts") == {"open": 6, "left": 6}
    _back(bench, "cover_bolts", 4)
    assert _open(bench, "cover_bolts") == {"open": 2, "left": 2}
    _adopt(bench, COVER, COVER_ON, WIPE, DONE)  # a step closes it again: that is the word that counts
    assert _open(bench, "cover_bolts") == {"open": 6, "left": 0}


@story
def one_word_that_a_thing_is_back_does_not_count_for_two_steps(bench: Bench) -> None:
    second = {**SCREW_OPEN, "path": "screw-open-too"}
    bench.sheet(SCREW_OPEN, second, SCREW_SHUT, WIPE, DONE, items=WITH_SCREW)
    bench.check("screw-open")
    bench.check("screw-open-too")
    _adopt(bench, WIPE, DONE, items=ITEMS)
    _back(bench, "screw", 1)
    assert _open(bench, "screw") == {"open": 1, "left": 1}


@story
def a_word_that_a_thing_is_back_speaks_of_nothing_that_its_author_had_not_in_view(bench: Bench) -> None:
    _withdrawn(bench)
    old = bench.phone("b")
    old.meet(bench.phone("a").view.entries)
    old.sheet = bench.sheets[0]
    bench.check("screw-open", on="b")
    for _ in range(3):
        bench.check("wipe")  # so that the word comes later in the order
    given = {"count": 1, "reason": "shut", "opened": bench.state()["items"]["screw"]["left_by"]}
    bench.write("put-back", part="screw", value=given, seen=bench.phone("a").sees("", "put-back:screw"))
    assert _open(bench, "screw")["open"] == 0
    bench.meet()
    assert _open(bench, "screw") == {"open": 1, "left": 1}
    assert len(bench.state()["items"]["screw"]["left_by"]) == 2


@story
def a_gate_asks_for_a_thing_as_it_was_opened_too(bench: Bench) -> None:
    rag = {**WITH_SCREW, "screw": {**WITH_SCREW["screw"], "kind": "rag", "list": None}}
    bench.sheet(SCREW_OPEN, SCREW_SHUT, ROAD, DONE, items=WITH_SCREW)
    bench.check("screw-open")
    _adopt(bench, SCREW_OPEN, SCREW_SHUT, ROAD, DONE, items=rag)
    assert {"code": "open", "items": ["screw"]} in bench.why("road")


@story
def a_corrected_count_stands_when_a_revision_counts_the_thing_otherwise(bench: Bench) -> None:
    bench.sheet(COVER, COVER_ON, DONE)
    bench.check("cover-off")
    bench.of_job("count", "count:cover_bolts", "cover_bolts", count=8)
    assert bench.state()["open"] == 8
    five = {**ITEMS, "cover_bolts": {**ITEMS["cover_bolts"], "count": 5}}
    _adopt(bench, COVER, COVER_ON, DONE, items=five)
    assert _open(bench, "cover_bolts")["open"] == 8


@story
def what_was_opened_stays_open_when_an_adoption_is_taken_back_or_two_differ(bench: Bench) -> None:
    bench.sheet(WIPE, DONE)
    bench.phone("b")
    _adopt(bench, COVER, COVER_ON, WIPE, DONE)
    bench.check("cover-off")
    bench.take_back_entry(next(e for e in bench.phone("a").view.entries if e["kind"] == "adopt"))
    assert bench.state()["sheet"] == digest_of(bench.sheets[0]) and bench.state()["open"] == 6
    _adopt(bench, WIPE, step("look", 0, TICK), DONE, on="b")
    bench.meet()
    assert bench.state()["open"] == 6


def _adopted(bench: Bench, sheet: Sheet, on: str = "a") -> Entry:
    """Take a worksheet that was there before, again."""
    bench.phone(on).sheet = sheet
    return bench.of_job("adopt", "sheet", on=on, sheet=digest_of(sheet))


@story
def a_step_answered_under_two_names_opened_its_things_once_under_either(bench: Bench) -> None:
    bench.sheet(COVER, WIPE, DONE)
    old = bench.phone("b")
    _adopt(bench, {**COVER, "path": "covers/off", "was": ["cover-off"]}, WIPE, DONE)
    bench.check("covers/off")
    old.sheet = bench.sheets[0]
    bench.check("cover-off", on="b")
    bench.meet()
    assert _open(bench, "cover_bolts")["open"] == 6
    _adopted(bench, bench.sheets[0])
    assert _open(bench, "cover_bolts")["open"] == 6
    _adopt(bench, WIPE, DONE, items={})
    assert _open(bench, "cover_bolts") == {"open": 6, "left": 6}


@story
def two_names_that_a_worksheet_had_apart_stay_two_lots_when_another_links_them(bench: Bench) -> None:
    upper = {**COVER, "path": "upper", "opens": [{"what": "cover_bolts", "count": 2}]}
    lower = {**upper, "path": "lower"}
    bench.sheet(upper, lower, WIPE, DONE)
    bench.check("upper")
    bench.check("lower")
    _adopt(bench, {**lower, "was": ["upper"]}, WIPE, DONE)
    bench.check("lower")  # names both answers: they are one step here
    assert _open(bench, "cover_bolts")["open"] == 4
    _adopt(bench, WIPE, DONE, items={})
    assert _open(bench, "cover_bolts")["open"] == 4


@story
def a_tick_on_one_sheet_shown_as_open_by_another_stays_open(bench: Bench) -> None:
    bench.sheet({**COVER, "opens": []}, WIPE, DONE)
    old = bench.phone("b")
    _adopt(bench, COVER, WIPE, DONE)
    for _ in range(3):
        bench.check("wipe", on="b")  # so that the tick comes later in the order than the adoption
    old.sheet = bench.sheets[0]
    bench.check("cover-off", on="b")
    bench.meet()
    assert _open(bench, "cover_bolts")["open"] == 6
    _adopted(bench, bench.sheets[0])
    assert _open(bench, "cover_bolts") == {"open": 6, "left": 6}


@story
def a_tick_on_a_sheet_that_is_not_at_hand_opens_what_the_one_in_use_says_until_a_person_says_otherwise(
    bench: Bench,
) -> None:
    bench.sheet(COVER, WIPE, DONE)
    unknown = sheet_of(["any"], [COVER, DONE], items=ITEMS, revision=9)
    bench.phone("b").sheet = unknown
    bench.check("cover-off", on="b")
    bench.meet()
    assert _open(bench, "cover_bolts")["open"] == 6
    _adopt(bench, WIPE, DONE, items={})
    assert _open(bench, "cover_bolts") == {"open": 6, "left": 6}


@story
def a_closing_means_the_same_whichever_revision_is_in_use(bench: Bench) -> None:
    bench.sheet(COVER, COVER_ON, WIPE, DONE)
    bench.check("cover-off")
    bench.check("cover-on")
    assert bench.state()["open"] == 0
    _adopt(bench, COVER_ON, COVER, WIPE, DONE)  # the closing stands before what it closed
    assert bench.state()["open"] == 0
    _adopt(bench, WIPE, DONE, items={})
    assert bench.state()["open"] == 0


@story
def a_closing_closes_nothing_that_only_a_later_revision_says_was_opened(bench: Bench) -> None:
    bench.sheet({**COVER, "opens": []}, COVER_ON, WIPE, DONE)
    bench.check("cover-off")
    bench.check("cover-on")
    _adopt(bench, COVER_ON, COVER, WIPE, DONE)
    assert _open(bench, "cover_bolts")["open"] == 6
    _adopted(bench, bench.sheets[0])
    assert _open(bench, "cover_bolts")["open"] == 6
    bench.check("cover-on")  # with the open bolts in view
    assert bench.state()["open"] == 0
    _adopted(bench, bench.sheets[1])  # says once more that the tick opened them
    assert _open(bench, "cover_bolts")["open"] == 6


@story
def what_an_older_phone_opened_after_a_closing_is_open_though_its_step_is_gone(bench: Bench) -> None:
    bench.sheet(COVER, COVER_ON, WIPE, DONE)
    old = bench.phone("b")
    _adopt(bench, COVER_ON, WIPE, DONE)
    bench.check("cover-on")
    old.sheet = bench.sheets[0]
    for _ in range(4):
        bench.check("wipe", on="b")
    bench.check("cover-off", on="b")
    bench.meet()
    assert _open(bench, "cover_bolts") == {"open": 6, "left": 6}
    bench.check("cover-on")
    assert bench.state()["open"] == 0


@story
def a_step_that_closes_what_it_opened_itself_closes_it_under_every_revision(bench: Bench) -> None:
    both = {**COVER, "closes": [{"what": "cover_bolts", "count": 1}]}
    bench.sheet(both, WIPE, DONE)
    bench.check("cover-off")
    assert bench.state()["open"] == 5
    _adopt(bench, both, {**WIPE, "path": "wipe-again"}, DONE)
    assert bench.state()["open"] == 5
    _adopted(bench, bench.sheets[0])
    assert bench.state()["open"] == 5


@story
def a_closing_covers_a_step_under_the_name_that_it_had_there(bench: Bench) -> None:
    bench.sheet(COVER, COVER_ON, WIPE, DONE)
    old = bench.phone("b")
    _adopt(bench, WIPE, {**COVER, "path": "covers/off", "was": ["cover-off"]}, DONE)
    bench.check("covers/off")
    assert _open(bench, "cover_bolts") == {"open": 6, "left": 6}
    old.sheet = bench.sheets[0]
    for _ in range(4):
        bench.check("wipe", on="b")  # so that the closing comes later in the order
    bench.check("cover-on", on="b")
    bench.meet()
    assert bench.state()["open"] == 0
    bench.check("cover-off", on="b")
    bench.meet()
    assert bench.state()["open"] == 0


@story
def a_withdrawn_step_opened_again_under_its_later_name_is_open(bench: Bench) -> None:
    bench.sheet(COVER, WIPE, COVER_ON, DONE)
    old = bench.phone("b")
    old.sheet = bench.sheets[0]
    _adopt(bench, WIPE, COVER_ON, DONE)
    bench.check("cover-on")
    _adopt(bench, {**COVER, "path": "covers/off", "was": ["cover-off"]}, WIPE, DONE)
    bench.check("covers/off")
    assert _open(bench, "cover_bolts")["open"] == 6
    bench.check("cover-off", on="b")  # an older tick of the same step, which the closing came after
    bench.meet()
    assert _open(bench, "cover_bolts")["open"] == 6


@story
def a_go_back_under_another_name_leaves_open_what_a_revision_shows_as_ticked(bench: Bench) -> None:
    bench.sheet(COVER, WIPE, DONE)
    bench.check("cover-off")
    _adopt(bench, {**COVER, "path": "covers/off", "was": ["cover-off"]}, WIPE, DONE)
    bench.go_back("wipe", "covers/off", ["covers/off"])
    assert _open(bench, "cover_bolts")["open"] == 6  # the first sheet still shows it ticked
    bench.check("covers/off")
    assert _open(bench, "cover_bolts")["open"] == 6
    _adopted(bench, bench.sheets[0])
    assert _open(bench, "cover_bolts")["open"] == 6
    bench.check("cover-off")
    assert _open(bench, "cover_bolts")["open"] == 6


# -- the start, corrected ----------------------------------------------------------------------------------------------


def _correct(bench: Bench, field: str, to: Any, reason: str = "misread", on: str = "a") -> Entry:
    return bench.of_job("correct", f"job:{field}", field, on, **{field: to}, reason=reason)


def _km(number: Any) -> dict[str, Any]:
    return {"number": number, "unit": "km"}


@story
def what_a_job_was_started_with_can_be_corrected_with_a_reason(bench: Bench) -> None:
    bench.sheet(WIPE, DONE)
    odd = [
        _correct(bench, "number", "R-8", ""),
        _correct(bench, "odometer", _km("far")),
        _correct(bench, "role", "lead"),
    ]
    state = bench.state()
    assert state["job"]["number"] == "R-7" and "corrected" not in state
    assert state["inert"] == [entry["id"] for entry in odd]
    told = _correct(bench, "number", "R-8")
    state = bench.state()
    assert state["job"]["number"] == "R-8" and state["job"]["vehicle"] == "blue van"
    only = {"reason": "misread", "id": told["id"], "who": "KS", "at": told["at"]}
    assert state["corrected"] == {"number": {"from": "R-7", "to": "R-8", **only}}
    bench.take_back_entry(told)
    assert bench.state()["job"]["number"] == "R-7"


@story
def of_two_corrections_made_apart_the_newer_counts(bench: Bench) -> None:
    bench.sheet(WIPE, DONE)
    bench.phone("b")
    _correct(bench, "vin", "TEST1")
    bench.later(5)
    bench.write("receive", on="b")
    _correct(bench, "vin", "TEST2", on="b")
    bench.meet()
    assert bench.state()["job"]["vin"] == "TEST2"


@story
def two_starts_of_one_job_are_two_answers_until_all_that_differs_is_corrected(bench: Bench) -> None:
    bench.sheet(WIPE, DONE)
    bench.write("start", on="b", value={"number": "R-7", "vehicle": "red van", "odometer": _km("900")})
    bench.meet()
    assert bench.state()["job"]["disputed"]
    _correct(bench, "vehicle", "red van")
    assert bench.state()["job"]["disputed"]
    _correct(bench, "odometer", _km("900"))
    state = bench.state()
    assert not state["job"]["disputed"] and state["job"]["odometer"] == _km("900")


@story
def a_correction_says_nothing_of_a_start_that_came_after_it(bench: Bench) -> None:
    bench.sheet(WIPE, DONE)
    _correct(bench, "number", "R-8")
    bench.of_job("start", "job", number="R-9", vehicle="blue van")
    state = bench.state()
    assert state["job"]["number"] == "R-9" and "corrected" not in state


@story
def what_is_worked_out_from_the_odometer_follows_its_correction(bench: Bench) -> None:
    due = result("due", ["+", name("odometer"), ["*", 1000, 1000]], "km", step=1, fills="due_at")
    values = {"due_at": {**value("critical", None, "distance"), **quantity("km", None)}}
    label = step("label", 0, TICK, values=["due_at"], shows=["due"])
    bench.sheet(label, DONE, values=values, **figures({}, [due]))
    bench.of_job("start", "job", number="R-7", vehicle="blue van", odometer=_km("84210"))
    assert bench.expect(label="open")["values"]["due_at"]["text"] == "85210 km"
    bench.check("label")
    bench.expect(label="done")
    _correct(bench, "odometer", _km("84,5"))
    assert bench.state()["results"]["due"]["base"] == 1084500
    _correct(bench, "odometer", _km("48210"))
    assert bench.expect(label="recheck")["values"]["due_at"]["text"] == "49210 km"
    bench.check("label")
    bench.expect(label="done")


# -- stops: a failed answer that is not passed by another --------------------------------------------------------------

FIRST_STOP = step(
    "first-stop",
    0,
    inspect(clear=False, live=True),
    hold=True,
    leave="never",
    stop=True,
    if_failed={"when": "it is live", "outcomes": ["live"], "back_to": None, "disturbs": [], "say": "Stop."},
)


def _mistake(bench: Bench, path: str, reason: str = "misread the label", lead: str = "RT", on: str = "a") -> Entry:
    phone = bench.phone(on)
    ids = answer_ids(phone.view, path, "", phone.sheet)
    return bench.write("take-back", on, step=path, value={"reason": reason, "with": lead}, seen=ids)


@story
def a_stop_is_not_passed_by_another_answer(bench: Bench) -> None:
    bench.sheet(FIRST_STOP, WIPE, DONE)
    bench.check("first-stop", outcome="live")
    bench.expect(first_stop="failed", wipe="blocked")
    may = bench.may("first-stop")
    assert not may["check"] and not may["back"] and not may["skip"] and may["take-back"] == "lead"
    bench.check("first-stop", outcome="clear")
    assert bench.expect(first_stop="failed", wipe="blocked")["steps"]["first-stop"]["done"] == []
    bench.go_back("first-stop", "first-stop", [])
    bench.expect(first_stop="failed")
    bench.take_back("first-stop")
    bench.check("first-stop", outcome="clear")
    bench.expect(first_stop="failed")


@story
def a_mistake_at_a_stop_is_taken_back_with_a_reason_and_a_lead(bench: Bench) -> None:
    bench.sheet(FIRST_STOP, WIPE, DONE)
    bench.check("first-stop", outcome="live")
    _mistake(bench, "first-stop", reason=" ")
    _mistake(bench, "first-stop", lead="KS")
    _mistake(bench, "first-stop", lead=".")
    bench.expect(first_stop="failed")
    told = _mistake(bench, "first-stop", lead="r.t.")
    bench.expect(first_stop="open", wipe="blocked")
    bench.check("first-stop", outcome="clear")
    bench.expect(first_stop="done", wipe="open")
    bench.take_back_entry(told)
    bench.expect(first_stop="failed")


@story
def an_answer_given_apart_does_not_lift_a_stop_and_cannot_be_chosen_over_it(bench: Bench) -> None:
    bench.sheet(FIRST_STOP, WIPE, DONE)
    bench.check("first-stop", outcome="live")
    bench.check("first-stop", on="b", outcome="clear")
    bench.meet()
    bench.expect(first_stop="failed")
    assert not bench.may("first-stop")["settle"]
    bench.write("settle", step="first-stop", value={"outcome": "clear"}, seen=bench.phone("a").sees("first-stop", ""))
    bench.expect(first_stop="failed")
    _mistake(bench, "first-stop")
    bench.expect(first_stop="open")


@story
def a_stop_with_a_way_back_is_left_by_going_there(bench: Bench) -> None:
    rule = {"when": "it stops hard", "outcomes": [], "back_to": "wipe", "disturbs": ["wipe"], "say": None}
    turns = step("turns", 0, TICK, hold=True, leave="never", stop=True, if_failed=rule)
    bench.sheet(WIPE, turns, DONE)
    bench.check("wipe")
    bench.check("turns", outcome="failed", note="hard stop")
    assert bench.expect(turns="failed") and bench.may("turns")["back"]
    bench.go_back("turns", "turns", [])
    bench.expect(turns="failed")
    bench.go_back("turns", "wipe", ["wipe"])
    bench.expect(wipe="open", turns="blocked")


@story
def a_worksheet_without_stops_reads_a_failed_answer_as_before(bench: Bench) -> None:
    before = {key: told for key, told in FIRST_STOP.items() if key != "stop"}
    bench.sheet(before, WIPE, DONE)
    bench.check("first-stop", outcome="live")
    bench.check("first-stop", outcome="clear")
    bench.expect(first_stop="done")
    _adopt(bench, FIRST_STOP, WIPE, DONE)
    bench.expect(first_stop="done")


# -- a good answer over a figure that is not good ----------------------------------------------------------------------

LOSS = result("loss", name("fell"), "kPa(g)", limit([">", name("fell"), 2000], "it fell", bad=True), step=1)
FELL = step("fell", 0, {"kind": "measure", "reading": "fell", "against": None})
HELD = step("held", 0, inspect(dry=False, wet=True), shows=["loss"], doubts=["loss"], hold=True, leave="never")


def _despite(reason: str = "the gauge was off its hook", *results: str) -> dict[str, Any]:
    return {"results": list(results or ("loss",)), "reason": reason}


def _pressure(bench: Bench, *steps: dict[str, Any], kpa: float = 50) -> None:
    bench.sheet(FELL, *steps, DONE, **figures({"fell": reading("kPa(g)")}, [LOSS]))
    bench.check("fell", number=kpa, unit="kPa(g)")


@story
def a_good_answer_over_a_bad_figure_says_why(bench: Bench) -> None:
    _pressure(bench, HELD, WIPE)
    assert bench.why("held") == [{"code": "doubt", "name": "loss"}] and bench.may("held")["check"]
    bare = bench.check("held", outcome="dry")
    empty = bench.check("held", outcome="dry", despite=_despite(" "))
    other = bench.check("held", outcome="dry", despite=_despite("seen", "gain"))
    state = bench.expect(held="open", wipe="blocked")
    assert state["inert"] == [other["id"]] and state["departures"] == [] and bare["id"] != empty["id"]
    told = bench.check("held", outcome="dry", despite=_despite())
    assert bench.expect(held="done", wipe="open")["departures"] == [told["id"]]
    bench.take_back("held")
    assert bench.expect(held="open")["departures"] == []


@story
def a_bad_answer_over_a_bad_figure_needs_no_reason(bench: Bench) -> None:
    _pressure(bench, HELD)
    bench.check("held", outcome="wet")
    bench.expect(held="failed")


@story
def a_figure_that_turns_bad_after_the_answer_asks_again(bench: Bench) -> None:
    _pressure(bench, HELD, kpa=1)
    bench.check("held", outcome="dry")
    assert bench.expect(held="done")["departures"] == []
    bench.check("fell", number=50, unit="kPa(g)")
    bench.expect(held="open")
    bench.check("held", outcome="dry", despite=_despite())
    bench.expect(held="done")
    bench.check("fell", number=60, unit="kPa(g)")
    bench.expect(held="open")
    bench.check("fell", number=1, unit="kPa(g)")
    bench.expect(held="done")


@story
def a_tick_a_sign_and_a_photo_over_a_bad_figure_say_why(bench: Bench) -> None:
    more = {"shows": ["loss"], "doubts": ["loss"]}
    sign = step("sign", 0, {"kind": "sign", "of": ["fell"], "self_check_after": 600}, **more)
    _pressure(bench, step("tick", 0, TICK, **more), sign, step("photo", 0, {"kind": "photo", "label": "Gauge"}, **more))
    bench.check("tick")
    bench.check("sign", by="RT", self=False)
    bench.check("photo", kept_at="phone")
    bench.expect(tick="open", sign="open", photo="open")
    bench.check("tick", despite=_despite())
    bench.check("sign", by="RT", self=False, despite=_despite())
    bench.check("photo", kept_at="phone", despite=_despite())
    bench.expect(tick="done", sign="done", photo="done")


@story
def a_reason_given_on_one_phone_stands_beside_an_answer_without_on_another(bench: Bench) -> None:
    _pressure(bench, HELD)
    bench.phone("b")
    bench.meet()
    bench.check("held", outcome="dry", despite=_despite())
    bench.check("held", on="b", outcome="dry")
    bench.meet()
    bench.expect(held="disputed")


@story
def a_worksheet_that_asks_for_no_reason_takes_the_answer_as_before(bench: Bench) -> None:
    _pressure(bench, {key: told for key, told in HELD.items() if key != "doubts"})
    bench.check("held", outcome="dry")
    bench.expect(held="done")


# -- what was taken off besides, and its list --------------------------------------------------------------------------


def _took_off(bench: Bench, **more: Any) -> str:
    made = bench.write("took-off", value={"label": "Bracket", "kind": "bolt", "count": 2, **more})
    return f"extra/{made['id']}"


@story
def what_was_taken_off_besides_waits_in_its_list_for_the_gate_that_asks_about_it(bench: Bench) -> None:
    starter = step("gate", 1, TICK, hold=True, leave="never", gate=GATES["starter"])
    long = {**wait("drain", 600)}
    values = {"drain": value("ordinary", "10 min", "time")}
    after = step("wipe", 0, TICK, after=["drain"])
    bench.sheet(step("drain", 0, long, values=["drain"]), after, starter, DONE, stages=("kept", "kept"), values=values)
    bench.check("drain", "start")
    path = _took_off(bench, list="covers")
    state = bench.expect(drain="waiting")
    assert state["next"] == "drain" and state["open"] == 2
    assert state["lists"] == {"covers": {"open": [path]}, "bay": {"open": []}, "road": {"open": []}}
    bench.later(700)
    bench.check("drain", "end")
    assert bench.state()["next"] == "wipe"
    bench.check("wipe")
    state = bench.expect(gate="blocked")
    assert state["next"] == path and bench.why("gate") == [{"code": "list", "list": "covers", "items": [path]}]
    bench.check(path)
    assert bench.expect(gate="open")["next"] == "gate"


@story
def what_was_taken_off_after_its_gate_opens_the_gate_again_and_is_next(bench: Bench) -> None:
    starter = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["starter"])
    bench.sheet(starter, WIPE, DONE)
    bench.check("gate")
    path = _took_off(bench, list="bay")
    assert bench.expect(gate="recheck")["next"] == path


@story
def what_was_taken_off_for_a_list_that_no_gate_asks_about_comes_last(bench: Bench) -> None:
    bench.sheet(WIPE, DONE)
    path = _took_off(bench, list="road")
    assert bench.state()["next"] == "wipe"
    bench.check("wipe")
    assert bench.expect(done="blocked")["next"] == path


@story
def what_was_taken_off_without_a_list_is_on_every_list_and_next_when_it_can_be_done(bench: Bench) -> None:
    bench.sheet(
        step("drain", 0, wait("drain", 600), values=["drain"]),
        DONE,
        values={"drain": value("ordinary", "10 min", "time")},
    )
    bench.check("drain", "start")
    path = _took_off(bench)
    state = bench.state()
    assert state["next"] == path and all(state["lists"][each]["open"] == [path] for each in ("covers", "bay", "road"))


# -- extra work, the end, the unexpected -------------------------------------------------------------------------------


@story
def extra_work_wants_the_customers_approval(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.check("wipe")
    unasked = bench.write("extra", value={"label": "Thread insert", "approved_by": "", "how": "by phone"})
    assert bench.expect(done="open")["inert"] == [unasked["id"]]
    asked = bench.write("extra", value={"label": "Thread insert", "approved_by": "owner", "how": "by phone"})
    path = f"extra/{asked['id']}"
    assert bench.expect(done="blocked")["extras"][path]["value"]["label"] == "Thread insert"
    assert bench.may(path)["check"] and bench.may(path)["skip"] == "own"
    bench.check(path)
    bench.expect(done="open")


@story
def a_job_ends_when_every_step_is_closed_and_nothing_is_open(bench: Bench) -> None:
    bench.sheet(
        step("off", 0, TICK, opens=[{"what": "hose", "count": 2}]),
        step("on", 0, TICK, closes=[{"what": "hose", "count": None}]),
        DONE,
    )
    bench.check("off")
    bench.write("finish", step="done")
    state = bench.expect(done="recheck")
    assert not state["complete"] and {"code": "open", "items": ["hose"]} in bench.why("done")
    bench.check("on")
    state = bench.expect(done="done")
    assert state["complete"] and state["next"] is None


@story
def only_the_completion_step_is_finished(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.write("finish", step="wipe")
    bench.expect(wipe="open")
    bench.check("wipe")
    assert bench.may("done")["finish"] and not bench.may("wipe")["finish"]


@story
def an_unknown_kind_is_kept_listed_and_counts_for_nothing(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    tick = bench.check("wipe")
    odd = bench.write("weather", step="wipe", value={"rain": True}, seen=[tick["id"]])
    newer = bench.write("check", v=2, step="wipe", value={"outcome": "failed"}, seen=[tick["id"]])
    assert bench.expect(wipe="done")["unknown"] == [odd["id"], newer["id"]]


@story
def two_contents_under_one_id_are_both_kept(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    one = bench.check("gap", number=1, unit="mm")
    bench.phone("a").meet([{**one, "value": {"number": 2, "unit": "mm"}}])
    state = bench.expect(gap="disputed")
    assert state["clashes"] == [one["id"]] and len(state["steps"]["gap"]["answers"]) == 2


@story
def an_answer_of_a_part_the_step_has_not_counts_for_nothing(bench: Bench) -> None:
    values = {"cover": value("ordinary", "9 N.m")}
    bench.sheet(step("cover", 0, tighten("cover", "ordinary", "1"), values=["cover"]), DONE, values=values)
    strays = [bench.check("cover", part)["id"] for part in ("2", "")]
    assert bench.expect(cover="open")["inert"] == strays


@story
def the_shop_declines_and_the_job_is_passed_on(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.of_job("decline", "decline", reason="old tensioner kept")
    bench.of_job("pass-on", "pass", to="LM")
    state = bench.state()
    assert state["declined"]["reason"] == "old tensioner kept"
    assert state["passed"] == {"to": "LM", "received": False, "who": "KS"}
    bench.write("receive", by="LM", seen=bench.phone("a").sees("", "pass"))
    assert bench.state()["passed"] == {"to": "LM", "received": True, "who": "LM"}


@story
def a_wrong_clock_changes_no_state_but_a_waits(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), step("seal", 0, inspect(dry=False)), DONE)
    bench.check("wipe")
    bench.now = DAY.replace(year=1999)
    bench.check("seal", outcome="dry")
    bench.expect(wipe="done", seal="done")


@story
def a_journal_without_any_sheet_at_hand_is_still_read(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK), DONE)
    bench.check("wipe")
    bench.sheets.clear()
    state = bench.state()
    assert state["sheet"] is None and state["order"] == [] and state["job"]["number"] == "R-7"
    assert len(state["gone"]) == 1 and not state["complete"]


# -- readings and results ----------------------------------------------------------------------------------------------

DRAINED = {"kind": "measure", "reading": "drained", "against": None}
READINGS = {
    "drained": reading("L"),
    "gap": reading("mm"),
    "changed": reading("date"),
    "vac_start": reading("kPa(vac)"),
    "vac_end": reading("kPa(vac)"),
}
CAPACITY = {"capacity": {**value("ordinary", "8 L", "volume"), **quantity("L", 8, (0.5, "L"))}}
LEFT = ["-", name("capacity"), name("drained")]
LEFT_GOOD = result("left", LEFT, "L", limit(["<", name("left"), 0], "more than it holds"), hold=True)


def _figures(bench: Bench, *steps: dict[str, Any], results: list[dict[str, Any]], **more: Any) -> Sheet:
    values = {**CAPACITY, **more.pop("values", {})}
    return bench.sheet(*steps, DONE, values=values, **figures(READINGS, results), **more)


def _held(path: str, check: dict[str, Any] = TICK, **more: Any) -> dict[str, Any]:
    return step(path, 0, check, shows=["left"], holds=["left"], **more)


@story
def a_hold_blocks_while_its_result_is_not_known_and_opens_when_it_is(bench: Bench) -> None:
    _figures(bench, step("drain", 0, DRAINED), _held("mix"), results=[LEFT_GOOD])
    state = bench.expect(mix="open")
    assert state["results"]["left"] == {
        "base": None,
        "needs": ["drained"],
        "because": [],
        "limit": None,
        "verdict": None,
        "bad": False,
        "known": False,
    }
    assert bench.why("mix") == [{"code": "result", "name": "left"}] and not bench.may("mix")["check"]
    early = bench.check("mix")
    assert bench.expect(mix="open")["inert"] == [early["id"]]
    bench.check("drain", number=5.5, unit="L")
    state = bench.expect(drain="done", mix="done")
    assert state["results"]["left"]["verdict"] == "good" and state["results"]["left"]["known"]


@story
def a_reading_that_gives_a_bad_result_is_kept_and_holds_its_own_step_until_corrected(bench: Bench) -> None:
    _figures(bench, _held("drain", DRAINED), results=[LEFT_GOOD])
    assert bench.why("drain") == [] and bench.may("drain")["check"]
    slip = bench.check("drain", number=55, unit="L")
    state = bench.expect(drain="open", done="blocked")
    assert state["inert"] == [slip["id"]] and state["readings"]["drained"]["number"] == 55
    assert state["results"]["left"]["bad"] and state["results"]["left"]["verdict"] == "more than it holds"
    assert bench.why("drain") == [{"code": "result", "name": "left"}] and bench.may("drain")["check"]
    bench.check("drain", number=5.5, unit="L")
    bench.expect(drain="done", done="open")


@story
def a_hold_that_turns_bad_later_opens_its_step_and_asks_the_gates_after_it(bench: Bench) -> None:
    gate = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["starter"])
    _figures(bench, step("drain", 0, DRAINED), _held("mix"), gate, results=[LEFT_GOOD])
    bench.check("drain", number=5.5, unit="L")
    bench.check("mix")
    bench.check("gate")
    bench.expect(gate="done")
    bench.check("drain", number=9, unit="L")
    bench.expect(mix="open", gate="recheck")
    assert {"code": "order", "step": "mix"} in bench.why("gate")
    bench.check("drain", number=5, unit="L")
    bench.expect(mix="done", gate="recheck")
    bench.check("gate")
    bench.expect(gate="done")


@story
def a_reading_taken_back_opens_the_steps_that_its_result_holds(bench: Bench) -> None:
    _figures(bench, step("drain", 0, DRAINED), _held("mix"), results=[LEFT_GOOD])
    bench.check("drain", number=5.5, unit="L")
    bench.check("mix")
    bench.take_back("drain")
    state = bench.expect(drain="open", mix="open")
    assert state["readings"]["drained"] is None and state["results"]["left"]["needs"] == ["drained"]


@story
def two_phones_that_read_two_figures_leave_the_result_unknown_until_settled(bench: Bench) -> None:
    _figures(bench, step("drain", 0, DRAINED), _held("mix"), results=[LEFT_GOOD])
    first = bench.check("drain", number=5.5, unit="L")
    bench.phone("b")
    bench.check("mix")
    bench.check("drain", on="b", number=9, unit="L")
    bench.meet()
    state = bench.expect(drain="disputed", mix="open")
    assert state["readings"]["drained"] is None and not state["results"]["left"]["known"]
    bench.write("settle", step="drain", value=first["value"], seen=bench.phone("a").sees("drain", ""))
    state = bench.expect(drain="done", mix="done")
    assert state["readings"]["drained"]["base"] == 0.0055


@story
def a_held_step_may_still_be_skipped_by_its_own_rule(bench: Bench) -> None:
    _figures(bench, step("drain", 0, DRAINED), _held("mix"), results=[LEFT_GOOD])
    assert bench.may("mix")["skip"] == "own"
    bench.leave("skip", "mix", reason="premix only")
    bench.expect(mix="skipped")


@story
def only_the_last_part_of_a_held_step_waits_for_the_result(bench: Bench) -> None:
    values = {"cover": value("ordinary", "9 N.m")}
    check = tighten("cover", "ordinary", "1", "2")
    cover = _held("cover", check, values=["cover"])
    _figures(bench, step("drain", 0, DRAINED), cover, results=[LEFT_GOOD], values=values)
    assert bench.may("cover")["parts"] == ["1"]
    bench.check("cover", "1")
    bench.check("cover", "2")
    state = bench.expect(cover="open")
    assert state["steps"]["cover"]["done"] == ["1"] and not bench.may("cover")["check"]
    bench.check("drain", number=5.5, unit="L")
    assert bench.expect(cover="done")["steps"]["cover"]["done"] == ["1", "2"]


@story
def a_job_is_not_finished_while_a_result_that_its_last_step_shows_is_bad(bench: Bench) -> None:
    last = step("done", 0, TICK, completion=True, leave="never", shows=["left"], holds=["left"])
    bench.sheet(step("drain", 0, DRAINED), last, values=CAPACITY, **figures(READINGS, [LEFT_GOOD]))
    bench.check("drain", number=9, unit="L")
    assert not bench.may("done")["finish"]
    bench.write("finish", step="done")
    assert not bench.expect(done="open")["complete"]
    bench.check("drain", number=5, unit="L")
    assert bench.expect(done="done")["complete"]


# Hold and watch: a reading at the start and at the end of a wait, and how far it may change.
WATCH = {**wait("drain", 600), "watch": {"start": "vac_start", "end": "vac_end"}}
FALL = result(
    "fall", ["-", name("vac_start"), name("vac_end")], "kPa", limit([">", name("fall"), 3000], "it leaks"), hold=True
)


def _watch(bench: Bench) -> None:
    values = {"drain": value("ordinary", "10 min", "time")}
    held = step("watch", 0, WATCH, values=["drain"], shows=["fall"], holds=["fall"])
    _figures(bench, held, results=[FALL], values=values)


@story
def a_watched_wait_ends_when_the_change_is_small(bench: Bench) -> None:
    _watch(bench)
    bench.check("watch", "start", number=80, unit="kPa(vac)")
    state = bench.expect(watch="waiting")
    assert state["readings"]["vac_start"]["base"] == 80000 and bench.why("watch") == []
    bench.later(600)
    bench.check("watch", "end", number=79, unit="kPa(vac)")
    assert bench.expect(watch="done")["results"]["fall"]["base"] == 1000


@story
def a_watched_wait_with_too_great_a_change_does_not_close(bench: Bench) -> None:
    _watch(bench)
    bench.check("watch", "start", number=80, unit="kPa(vac)")
    bench.later(600)
    bench.check("watch", "end", number=60, unit="kPa(vac)")
    state = bench.expect(watch="waiting", done="blocked")
    assert state["results"]["fall"]["verdict"] == "it leaks"
    assert bench.why("watch") == [{"code": "result", "name": "fall"}]
    assert bench.may("watch")["parts"] == ["end"]
    bench.check("watch", "start", number=81, unit="kPa(vac)")
    bench.later(600)
    bench.check("watch", "end", number=80, unit="kPa(vac)")
    bench.expect(watch="done", done="open")


@story
def a_watched_wait_is_neither_started_nor_ended_without_its_reading(bench: Bench) -> None:
    _watch(bench)
    bench.check("watch", "start")
    bench.expect(watch="open")
    bench.check("watch", "start", number=80, unit="kPa")
    bench.expect(watch="open")
    bench.check("watch", "start", number=80, unit="kPa(vac)")
    bench.later(600)
    bench.check("watch", "end")
    bench.expect(watch="waiting")


@story
def a_watch_that_ends_on_another_phone_wants_somebodys_word_for_the_time(bench: Bench) -> None:
    _watch(bench)
    bench.check("watch", "start", number=80, unit="kPa(vac)")
    bench.later(900)
    bench.phone("b")
    bench.meet()
    bench.check("watch", "end", on="b", number=79, unit="kPa(vac)")
    bench.meet()
    bench.expect(watch="waiting")
    word = {"seconds": 900, "why": "by the clock in the bay"}
    bench.write("elapsed", on="b", step="watch", value=word, seen=bench.phone("b").sees("watch", "elapsed"))
    bench.check("watch", "end", on="b", number=79, unit="kPa(vac)")
    bench.meet()
    bench.expect(watch="done")


@story
def a_watch_begun_again_counts_from_its_new_start(bench: Bench) -> None:
    _watch(bench)
    bench.check("watch", "start", number=80, unit="kPa(vac)")
    bench.later(600)
    bench.check("watch", "start", number=82, unit="kPa(vac)")
    bench.later(300)
    bench.check("watch", "end", number=82, unit="kPa(vac)")
    bench.expect(watch="waiting")
    bench.later(300)
    bench.check("watch", "end", number=82, unit="kPa(vac)")
    bench.expect(watch="done")


@story
def a_time_read_on_the_phone_may_have_a_comma_and_last_for_days(bench: Bench) -> None:
    values = {"soak": value("critical", None, "time")}
    bench.sheet(step("soak", 0, wait("soak", None), values=["soak"]), DONE, values=values)
    bench.read("soak", text="1,5 day", source=SOURCE)
    bench.check("soak", "start")
    bench.later(86400)
    bench.check("soak", "end")
    bench.expect(soak="waiting")
    bench.later(43200)
    bench.check("soak", "end")
    bench.expect(soak="done")


@story
def a_thing_that_must_cool_is_measured_until_it_is_cool(bench: Bench) -> None:
    cool = result("left", name("temp"), "degC", limit([">", name("temp"), 323.15], "still hot"), hold=True, step=1)
    readings = {"temp": reading("degC")}
    measured = _held("cool", {"kind": "measure", "reading": "temp", "against": None})
    bench.sheet(measured, DONE, **figures(readings, [cool]))
    bench.check("cool", number=80, unit="degC")
    bench.expect(cool="open")
    bench.check("cool", number=120, unit="degF")
    bench.expect(cool="done")


@story
def a_good_end_that_came_too_soon_ends_no_watch(bench: Bench) -> None:
    _watch(bench)
    bench.check("watch", "start", number=80, unit="kPa(vac)")
    bench.later(60)
    bench.check("watch", "end", number=80, unit="kPa(vac)")
    bench.expect(watch="waiting")


# -- one-time bolts, and the three lists -------------------------------------------------------------------------------


BOLTS = {"bolts": value("critical", "20 N.m then 90 deg")}


def _one_time(fastener: str, *parts: str) -> dict[str, Any]:
    """A job with bolts that are used once: covers, two bolts, or all at once."""
    return {**tighten("bolts", fastener, *parts), "asks_new": True}


def _bolts(bench: Bench, check: dict[str, Any]) -> None:
    opener = step("cover-off", 0, TICK, opens=[{"what": "cover_bolts", "count": 6}])
    closer = step("cover-on", 0, check, values=["bolts"], closes=[{"what": "cover_bolts", "count": None}])
    bench.sheet(opener, closer, DONE, stages=("kept",), values=BOLTS)


@story
def a_pull_of_a_one_time_bolt_counts_once_somebody_says_that_it_is_new(bench: Bench) -> None:
    bench.sheet(step("cam", 0, _one_time("critical", "1.1", "1.2", "2.1", "2.2"), values=["bolts"]), DONE, values=BOLTS)
    bench.check("cam", "1.1", set="20 N.m")
    assert bench.expect(cam="open")["steps"]["cam"]["done"] == []
    bench.check("cam", "2.1", set="90 deg", new=True)
    assert bench.expect(cam="open")["steps"]["cam"]["done"] == ["1.1", "2.1"]
    bench.check("cam", "1.2", set="20 N.m")
    bench.check("cam", "2.2", set="90 deg")
    assert bench.expect(cam="open")["steps"]["cam"]["asks_new"] == ["1.2", "2.1", "2.2"]  # only 2.1 calls bolt 1 new
    bench.check("cam", "1.2", set="20 N.m", new=True)
    bench.expect(cam="done")


@story
def that_a_bolt_is_new_is_said_on_another_phone_and_taken_back(bench: Bench) -> None:
    bench.sheet(step("cam", 0, _one_time("critical", "1.1", "2.1"), values=["bolts"]), DONE, values=BOLTS)
    bench.check("cam", "1.1", set="20 N.m")
    bench.check("cam", "2.1", on="b", set="90 deg", new=True)
    bench.meet()
    bench.expect(cam="done")
    bench.take_back("cam", "2.1")
    assert bench.expect(cam="open")["steps"]["cam"]["done"] == []


@story
def a_one_time_bolt_that_is_loosened_again_is_another_new_one(bench: Bench) -> None:
    proof = step("proof", 0, inspect(good=False, off=True), if_failed={"back_to": "cam"})
    bench.sheet(
        step("cam", 0, _one_time("ordinary", "1", "2"), values=["bolts"]), proof, DONE, stages=("kept",), values=BOLTS
    )
    bench.check("cam", "1", set="20 N.m", new=True)
    bench.check("cam", "2", set="90 deg")
    bench.check("proof", outcome="off")
    bench.go_back("proof", "cam", ["cam"])
    bench.check("cam", "1", set="20 N.m")
    bench.check("cam", "2", set="90 deg")
    assert bench.expect(cam="open")["steps"]["cam"]["asks_new"] == ["1", "2"]
    bench.check("cam", "1", set="20 N.m", new=True)
    bench.expect(cam="done")


@story
def what_was_said_before_a_go_back_vouches_for_no_pull_after_it(bench: Bench) -> None:
    proof = step("proof", 0, inspect(good=False, off=True), if_failed={"back_to": "cam"})
    cam = step("cam", 0, _one_time("critical", "1.1", "2.1"), values=["bolts"])
    bench.sheet(cam, proof, DONE, stages=("kept",), values=BOLTS)
    bench.check("cam", "1.1", set="20 N.m", new=True)
    bench.check("cam", "2.1", set="90 deg")
    bench.check("proof", outcome="off")
    back = bench.go_back("proof", "cam", [], rest=["cam"])
    assert bench.expect(cam="recheck")["steps"]["cam"]["asks_new"] == ["1.1", "2.1"]
    again = bench.check("cam", "2.1", set="90 deg")
    state = bench.state()
    assert again["id"] in state["inert"] and state["steps"]["cam"]["done"] == []
    bench.write("not-disturbed", by="LM", seen=[back["id"]])
    bench.expect(cam="done")  # the bolt was not touched, so it is the same new one
    bench.check("cam", "1.1", set="21 N.m")
    assert bench.expect(cam="open")["steps"]["cam"]["asks_new"] == ["1.1", "2.1"]  # a correction must say it again


@story
def a_bolt_list_tells_of_new_bolts_only_when_all_that_were_pulled_are(bench: Bench) -> None:
    _bolts(bench, tighten("bolts", "critical", "1.1", "1.2"))
    bench.check("cover-off")
    bench.check("cover-on", "1.1", set="9 N.m", wrench="small", new=True)
    assert bench.state()["bolts"]["covers"][0]["new"]
    bench.check("cover-on", "1.2", set="9 N.m", wrench=7)
    (row,) = bench.expect(cover_on="done")["bolts"]["covers"]
    assert not row["new"] and row["wrench"] is None and row["set"] == "9 N.m"
    bench.take_back("cover-on", "1.2")
    (row,) = bench.expect(cover_on="open")["bolts"]["covers"]
    assert (row["closed"], row["done"], row["wrench"]) == (False, 1, "small")


@story
def a_job_without_bolts_on_a_list_has_no_bolt_lists(bench: Bench) -> None:
    bench.sheet(step("wipe", 0, TICK, closes=[{"what": "pin", "count": None}]), DONE)
    assert bench.state()["bolts"] == {}


@story
def a_bolt_list_says_of_each_what_it_was_set_to_on_which_wrench_by_whom(bench: Bench) -> None:
    _bolts(bench, tighten("bolts", "ordinary", "1", "2"))
    bench.check("cover-off")
    (row,) = bench.state()["bolts"]["covers"]
    assert (row["item"], row["step"], row["count"], row["closed"], row["done"]) == (
        "cover_bolts",
        "cover-on",
        6,
        False,
        0,
    )
    bench.check("cover-on", "1", set="5 N.m", wrench="small")
    bench.check("cover-on", "2", by="RT", set="9 N.m", wrench="middle")
    (row,) = bench.state()["bolts"]["covers"]
    told = [row[key] for key in ("closed", "parts", "done", "set", "wrench", "who", "new")]
    assert told == [True, 2, 2, "9 N.m", "middle", "RT", False]


@story
def what_was_taken_off_besides_stands_in_the_bolt_lists(bench: Bench) -> None:
    _bolts(bench, tighten("bolts", "ordinary", "1"))
    bench.write("took-off", value={"label": "Bracket bolts", "kind": "bolt", "count": 2})
    lists = bench.state()["bolts"]
    assert [len(lists[name]) for name in ("covers", "bay", "road")] == [2, 1, 1]
    assert lists["bay"][0]["count"] == 2 and not lists["bay"][0]["closed"]


# A result may fill a value that the engine sheet lacks.
PULL = result("pull", ["*", name("drained"), 13.5e6], "kPa(vac)", limit([">", name("pull"), 90000], "too deep"), step=1)
FILLED = {"fill_vacuum": {**value("critical", None, "vacuum"), **quantity("kPa(vac)", None)}}


@story
def a_result_fills_a_value_that_nobody_gives_and_says_where_it_is_from(bench: Bench) -> None:
    pulled = result("in_bar", name("fill_vacuum"), "bar(vac)")
    steps = (step("drain", 0, DRAINED), step("pull", 0, TICK, values=["fill_vacuum"]))
    _figures(bench, *steps, results=[{**PULL, "fills": "fill_vacuum"}, pulled], values=FILLED)
    assert bench.why("pull") == [{"code": "value", "name": "fill_vacuum"}]
    bench.check("drain", number=5.5, unit="L")
    state = bench.expect(pull="open")
    assert state["values"]["fill_vacuum"] == {
        "text": "74 kPa(vac)",
        "number": 74,
        "unit": "kPa(vac)",
        "source": {"document": "Worked out from readings", "where": "Pull"},
        "missing": False,
        "not_published": False,
        "filled": True,
        "disputed": False,
    }
    assert state["results"]["in_bar"]["base"] == 74250 and bench.why("pull") == []
    bench.check("pull")
    bench.expect(pull="done")
    bench.check("drain", number=5, unit="L")
    bench.expect(pull="recheck")
    assert bench.why("pull") == [{"code": "again", "name": "fill_vacuum"}]


@story
def a_bad_result_fills_nothing_and_what_a_person_read_wins(bench: Bench) -> None:
    steps = (step("drain", 0, DRAINED), step("pull", 0, TICK, values=["fill_vacuum"]))
    _figures(bench, *steps, results=[{**PULL, "fills": "fill_vacuum"}], values=FILLED)
    bench.check("drain", number=7, unit="L")
    assert bench.state()["values"]["fill_vacuum"]["missing"]
    bench.check("drain", number=5.5, unit="L")
    read = bench.read("fill_vacuum", text="80 kPa", source=SOURCE)
    assert bench.state()["values"]["fill_vacuum"]["text"] == "80 kPa"
    bench.take_back_entry(read)
    assert bench.state()["values"]["fill_vacuum"]["text"] == "74 kPa(vac)"


@story
def a_tolerance_read_with_its_value_counts_until_it_is_taken_back(bench: Bench) -> None:
    off = result("near", ["<", name("drained"), ["+", name("most"), name("most.tolerance")]])
    values = {"most": {**value("critical", None, "volume"), **quantity("L", None)}}
    _figures(bench, step("drain", 0, DRAINED), results=[off], values=values)
    bench.check("drain", number=5.5, unit="L")
    assert bench.state()["results"]["near"]["needs"] == ["most", "most.tolerance"]
    bench.read("most", number=5, unit="L", source=SOURCE)
    assert bench.state()["results"]["near"]["needs"] == ["most.tolerance"]
    read = bench.read("most", number=5, unit="L", margin={"number": 600, "unit": "mL"}, source=SOURCE)
    assert bench.state()["results"]["near"]["base"] is True
    assert bench.state()["values"]["most"]["margin"] == {"number": 600, "unit": "mL"}
    bench.read("most", number=5, unit="L", margin={"number": "much", "unit": "mL"}, source=SOURCE)
    assert bench.state()["results"]["near"]["base"] is None
    bench.take_back_entry(read)
    assert "margin" not in bench.state()["values"]["most"]


@story
def a_time_that_was_worked_out_is_waited_for(bench: Bench) -> None:
    minutes = result("press_time", ["*", name("gap"), 600000], "min", step=1, fills="soak")
    soak = step("soak", 0, wait("soak", None), values=["soak"])
    values = {"soak": value("critical", None, "time")}
    _figures(bench, step("gap", 0, MEASURE), soak, results=[minutes], values=values)
    bench.check("gap", number=0.5, unit="mm")
    assert bench.state()["values"]["soak"]["text"] == "5 min"
    bench.check("soak", "start")
    bench.later(290)
    bench.check("soak", "end")
    bench.expect(soak="waiting")
    bench.later(10)
    bench.check("soak", "end")
    bench.expect(soak="done")


@story
def a_text_read_on_the_phone_counts_as_number_and_unit(bench: Bench) -> None:
    values = {
        "fluid": {**value("ordinary", None, "volume"), **quantity("L", None)},
        "cap": {**value("ordinary", None, "gauge"), **quantity("kPa(g)", None)},
        "pull": {**value("ordinary", None, "vacuum"), **quantity("kPa(vac)", None)},
    }
    results = [result("half", ["/", name("fluid"), 2], "L"), result("cap_now", name("cap"), "bar(g)")]
    _figures(bench, step("wipe", 0, TICK), results=[*results, result("pull_now", name("pull"), "")], values=values)
    bench.read("fluid", text="0,5 L", source=SOURCE)
    bench.read("cap", text="110 kPa", source=SOURCE)
    bench.read("pull", text="about 85 kPa", source=SOURCE)
    worked = bench.state()["results"]
    assert [worked[name]["base"] for name in ("half", "cap_now", "pull_now")] == [0.00025, 110000, None]
    assert worked["pull_now"]["needs"] == ["pull"]
    bench.read("pull", number=24, unit="inHg", source=SOURCE)
    assert bench.state()["results"]["pull_now"]["known"]
    bench.read("pull", number=24, unit="L", source=SOURCE)
    assert not bench.state()["results"]["pull_now"]["known"]


@story
def what_an_inspection_found_is_yes_no_or_not_known_yet(bench: Bench) -> None:
    wet = ["found", "seal", "wet"]
    results = [result("wet", wet, None, limit(wet, "replace it"))]
    _figures(bench, step("seal", 0, inspect(dry=False, wet=False)), results=results)
    assert bench.state()["results"]["wet"]["needs"] == ["step:seal"]
    bench.check("seal", outcome="dry")
    assert bench.state()["results"]["wet"]["base"] is False
    assert bench.state()["results"]["wet"]["verdict"] == "good"
    bench.check("seal", outcome="wet")
    assert bench.state()["results"]["wet"]["verdict"] == "replace it"
    bench.check("seal", outcome="failed", note="too dirty to see")
    assert bench.state()["results"]["wet"]["base"] is None


@story
def two_findings_are_not_known_and_a_failing_one_is(bench: Bench) -> None:
    results = [result("off", ["found", "marks", "off"])]
    _figures(bench, step("marks", 0, inspect(aligned=False, off=True)), results=results)
    bench.check("marks", outcome="off")
    assert bench.expect(marks="failed")["results"]["off"]["base"] is True
    bench.check("marks", on="b", outcome="aligned")
    bench.meet()
    assert bench.expect(marks="disputed")["results"]["off"]["base"] is None


@story
def a_limit_that_is_not_known_hides_the_ones_after_it(bench: Bench) -> None:
    limits = [limit([">", name("gap"), 1], "too wide"), limit([">", name("left"), 0.001], "much left", bad=False)]
    results = [result("left", LEFT, "L", *limits)]
    _figures(bench, step("drain", 0, DRAINED), step("gap", 0, MEASURE), results=results)
    bench.check("drain", number=5, unit="L")
    left = bench.state()["results"]["left"]
    assert left["base"] == 0.003 and left["verdict"] is None and not left["known"] and left["needs"] == ["gap"]
    bench.check("gap", number=1, unit="mm")
    left = bench.state()["results"]["left"]
    assert left["verdict"] == "much left" and left["limit"] == 1 and left["known"] and not left["bad"]


@story
def the_odometer_and_the_day_of_the_start_are_given(bench: Bench) -> None:
    results = [
        result("age", ["between", name("changed"), name("today")], "day"),
        result("due", [">", name("odometer"), 90e6]),
        result("high", name("shop_altitude"), "m"),
        result("cold", name("shop_coldest"), "degC"),
    ]
    changed = {"kind": "measure", "reading": "changed", "against": None}
    _figures(bench, step("changed", 0, changed), results=results)
    bench.check("changed", number=20727, unit="date")
    worked = bench.state()["results"]
    assert worked["age"]["base"] == 86400 and worked["high"]["base"] == 310
    assert worked["due"]["needs"] == ["odometer"] and worked["cold"]["needs"] == ["shop_coldest"]
    told = {"number": "R-7", "vehicle": "blue van", "odometer": {"number": "60000", "unit": "mi"}}
    bench.of_job("start", "job", **told)
    assert bench.state()["results"]["due"]["base"] is True
    bench.of_job("start", "job", **{**told, "odometer": {"number": "60.000", "unit": "km"}})
    assert bench.state()["results"]["due"]["base"] is None


@story
def the_day_of_a_start_is_that_of_the_clocks_in_the_shop(bench: Bench) -> None:
    """One second either side of midnight in the shop. An older phone says no day, and a day that no clock shows is
    none: then it is the day in UTC."""
    results = [result("age", ["between", name("changed"), name("today")], "day")]
    changed = {"kind": "measure", "reading": "changed", "against": None}
    _figures(bench, step("changed", 0, changed), results=results)
    bench.check("changed", number=20727, unit="date")  # 2026-10-01

    def age(at: str, **said: Any) -> Any:
        bench.now = datetime.fromisoformat(at) - timedelta(seconds=1)
        bench.of_job("start", "job", number="R-7", vehicle="blue van", **said)
        return bench.state()["results"]["age"]["base"] / 86400

    assert age("2026-10-03T09:59:59+00:00", local={"day": "2026-10-03", "time_zone": "Pacific/Kiritimati"}) == 2
    assert age("2026-10-03T10:00:00+00:00", local={"day": "2026-10-04", "time_zone": "Pacific/Kiritimati"}) == 3
    assert age("2026-10-04T10:59:59+00:00", local={"day": "2026-10-03", "time_zone": "Pacific/Pago_Pago"}) == 2
    assert age("2026-10-04T11:00:00+00:00", local={"day": "2026-10-04"}) == 3
    assert age("2026-10-05T23:59:59+00:00") == age("2026-10-05T23:59:59+00:00", local={}) == 4
    assert age("2026-10-06T00:00:00+00:00", local={"day": "2026-10-09"}) == 5
    assert age("2026-10-06T00:00:00+00:00", local={"day": "6 October"}) == 5


@story
def a_measure_in_a_unit_of_another_kind_closes_nothing(bench: Bench) -> None:
    _figures(bench, step("drain", 0, DRAINED), step("gap", 0, MEASURE), results=[LEFT_GOOD])
    wrong = bench.check("drain", number=5.5, unit="kPa")
    state = bench.expect(drain="open")
    assert state["inert"] == [wrong["id"]] and state["readings"]["drained"] is None
    bench.check("drain", number=1.5, unit="gal")
    state = bench.expect(drain="done")
    assert state["readings"]["drained"]["number"] == 1.5 and state["readings"]["drained"]["unit"] == "gal"
    bench.check("gap", number=0.04, unit="in")
    assert bench.expect(gap="done")["readings"]["gap"]["unit"] == "in"


@story
def a_date_is_a_whole_day(bench: Bench) -> None:
    changed = {"kind": "measure", "reading": "changed", "against": None}
    _figures(bench, step("changed", 0, changed), results=[])
    bench.check("changed", number=20000.5, unit="date")
    bench.expect(changed="open")
    bench.check("changed", number=20000, unit="date")
    assert bench.expect(changed="done")["readings"]["changed"]["base"] == 20000


@story
def a_reading_taken_in_two_steps_is_the_one_taken_last(bench: Bench) -> None:
    _figures(bench, step("drain", 0, DRAINED), step("again", 0, DRAINED), results=[LEFT_GOOD])
    bench.check("again", number=6, unit="L")
    first = bench.check("drain", number=5, unit="L")
    state = bench.state()["readings"]["drained"]
    assert (state["number"], state["step"], state["id"], state["who"]) == (5, "drain", first["id"], "KS")
    bench.take_back("drain")
    assert bench.state()["readings"]["drained"]["step"] == "again"


@story
def a_tolerance_counts_as_the_engine_sheet_gives_it(bench: Bench) -> None:
    near = ["<=", ["abs", LEFT], name("capacity.tolerance")]
    _figures(bench, step("drain", 0, DRAINED), results=[result("near", near)])
    bench.check("drain", number=7.6, unit="L")
    assert bench.state()["results"]["near"]["base"] is True
    bench.check("drain", number=7.4, unit="L")
    assert bench.state()["results"]["near"]["base"] is False


@story
def what_cannot_be_worked_out_says_why_and_holds(bench: Bench) -> None:
    share = result("left", ["/", name("capacity"), ["-", name("drained"), 0.005]], "", hold=True)
    _figures(bench, _held("drain", DRAINED), results=[share])
    bench.check("drain", number=5, unit="L")
    assert bench.expect(drain="open")["results"]["left"]["because"] == ["zero"]


@story
def a_reading_keeps_its_step_after_a_move(bench: Bench) -> None:
    _figures(bench, step("drain", 0, DRAINED), results=[LEFT_GOOD])
    bench.check("drain", number=5.5, unit="L")
    moved = step("left/drain", 0, DRAINED, was=["drain"])
    _adopt(bench, moved, DONE, values=CAPACITY, **figures(READINGS, [LEFT_GOOD]))
    state = bench.state()
    assert state["readings"]["drained"]["step"] == "left/drain" and state["results"]["left"]["known"]


@story
def a_worksheet_without_units_has_no_readings_and_takes_any(bench: Bench) -> None:
    bench.sheet(step("gap", 0, MEASURE), DONE)
    bench.check("gap", number=1, unit="furlong")
    state = bench.expect(gap="done")
    assert state["readings"] == {} and state["results"] == {}


# -- a second reader of a critical value -------------------------------------------------------------------------------

IDLER = {"number": 40, "unit": "N.m", "source": SOURCE}
BREAK = 600


def _seconded(bench: Bench, *more: dict[str, Any], pause: int | None = BREAK, class_: str = "critical") -> None:
    """A critical bolt whose value nobody has read yet, on a worksheet that asks for a second reader."""
    values = {"idler": {**value(class_, None), "limits": limits_json("torque")}}
    check = tighten("idler", "critical", "1.1")
    asks = {"second_reader": pause} if pause else {}
    bench.sheet(step("idler", 0, check, values=["idler"]), *more, DONE, values=values, **figures(READINGS, []), **asks)


def _reads(bench: Bench, by: str = "KS", on: str = "a", alone: Any = None, **given: Any) -> Entry:
    """Somebody reads the value. `alone`: True for one's own second look, False for another person's, else None."""
    second = {} if alone is None else {"second": {"self": alone}}
    seen = given.pop("seen") if "seen" in given else bench.phone(on).sees("", "value:idler")
    return bench.write("read", on, by, part="idler", value={**IDLER, **second, **given}, seen=seen)


def _is_known(bench: Bench, on: str = "a") -> bool:
    """True if the value is known and the bolt's step says so too."""
    state = bench.state(on)
    told, whys = state["values"]["idler"], state["steps"]["idler"]["why"]
    known = told["text"] is not None
    assert known is not told["missing"] and known is not ({"code": "value", "name": "idler"} in whys)
    assert known is (told["source"] is not None) and not (known and ("waits" in told or told["disputed"]))
    return known


@story
def a_critical_value_read_once_waits_for_a_second_reader(bench: Bench) -> None:
    _seconded(bench)
    first = _reads(bench)
    assert not _is_known(bench) and bench.may("idler")["read"] == ["idler"] and not bench.may("idler")["check"]
    value_now = bench.state()["values"]["idler"]
    assert value_now["waits"] == [{"id": first["id"], "who": "KS", "at": first["at"]}]
    assert [value_now[key] for key in ("text", "number", "unit", "source", "filled")] == [None, None, None, None, False]
    tapped = bench.check("idler", "1.1", set="40 N.m")
    assert bench.expect(idler="open")["inert"] == [tapped["id"]]
    second = _reads(bench, "LM", alone=False)
    assert _is_known(bench) and bench.why("idler") == [{"code": "again", "name": "idler"}]
    told = bench.state()["values"]["idler"]["second"]
    assert told["first"] == {"id": first["id"], "who": "KS", "at": first["at"]}
    assert (told["id"], told["who"], told["self"]) == (second["id"], "LM", False)
    bench.check("idler", "1.1", set="40 N.m")
    bench.expect(idler="done")


@story
def one_person_under_two_spellings_is_no_second_reader(bench: Bench) -> None:
    for first, second in (
        ("ab", "AB "),
        ("A.B.", "ab"),
        ("\u00e9b", "E\u0301B"),
        ("KS", "\uff2b\uff33"),
        ("KS", "K\u200bS"),
    ):
        each = Bench()
        _seconded(each)
        _reads(each, first)
        _reads(each, second, alone=False)
        assert not _is_known(each), (first, second)
        _reads(each, "LM", alone=False)
        assert _is_known(each)
        bench.told += each.told


@story
def nobody_is_no_reader(bench: Bench) -> None:
    for first, second in (("", "LM"), ("KS", ""), ("KS", " "), ("KS", "\u3164"), ("...", "LM"), ("", " ")):
        each = Bench()
        _seconded(each)
        _reads(each, first)
        _reads(each, second, alone=False)
        assert not _is_known(each), (first, second)
        bench.told += each.told
    _seconded(bench)
    _reads(bench)
    _reads(bench, " ", on="b")
    bench.meet()
    assert not _is_known(bench)


@story
def the_same_person_reads_again_after_the_break_as_a_self_check(bench: Bench) -> None:
    _seconded(bench)
    _reads(bench)
    bench.later(BREAK - 2)
    _reads(bench, alone=True)
    assert not _is_known(bench)  # a second too early; and now the break begins again
    bench.later(BREAK - 1)
    _reads(bench, alone=False)
    assert not _is_known(bench)  # it was not another person
    bench.later(BREAK - 1)
    _reads(bench, "LM", alone=True)
    assert not _is_known(bench)  # it was not the same person
    other = Bench()
    _seconded(other)
    _reads(other)
    other.later(BREAK - 1)
    _reads(other, alone=True)
    assert _is_known(other) and other.state()["values"]["idler"]["second"]["self"] is True
    bench.told += other.told


@story
def a_clock_that_was_set_gives_no_break(bench: Bench) -> None:
    for set_back in (-3600, -1):
        each = Bench()
        _seconded(each)
        _reads(each)
        each.later(set_back)
        _reads(each, alone=True)
        assert not _is_known(each)
        bench.told += each.told
    _seconded(bench)
    first = _reads(bench)
    bench.later(BREAK)
    bench.write("read", part="idler", value={**IDLER, "second": {"self": True}}, seen=[first["id"]], at="after lunch")
    assert not _is_known(bench)


@story
def a_second_reading_names_the_first(bench: Bench) -> None:
    _seconded(bench)
    _reads(bench)
    bench.later(BREAK)
    _reads(bench, alone=True, seen=[])
    assert not _is_known(bench)  # one person, two readings: neither says that it looks at the other again
    _reads(bench, alone=True, seen=["nobody"])
    assert not _is_known(bench)


@story
def a_correction_without_a_word_of_a_second_look_is_one_reading(bench: Bench) -> None:
    _seconded(bench)
    _reads(bench)
    _reads(bench, "LM")
    assert not _is_known(bench)
    assert [one["who"] for one in bench.state()["values"]["idler"]["waits"]] == ["LM"]
    claims: list[dict[str, Any]] = [{"self": "no"}, {"self": 0}, {}, {"self": None}, {"self": 0}]
    for at, claim in enumerate(claims):
        _reads(bench, ("RT", "LM")[at % 2], second=claim)
        assert not _is_known(bench), claim
    for claim in (True, "RT", [True], {"self": [False]}, {"self": {}}):
        told = _reads(bench, "RT", second=claim)
        assert told["id"] in bench.state()["unknown"] and not _is_known(bench), claim
    _reads(bench, "KS", alone=False)
    assert _is_known(bench)


@story
def the_same_figure_in_another_spelling_is_the_same(bench: Bench) -> None:
    spelled = [
        ({"text": "24 N.m"}, {"text": "24.0 N.m"}, True),
        ({"text": "24 N.m"}, {"number": 24, "unit": "N.m"}, True),
        ({"text": "24 N.m then 90 deg"}, {"text": " 24,0 N.m then +90 deg"}, True),
        ({"text": "24 N.m then 90 deg"}, {"text": "24 N.m"}, False),
        ({"text": "24 N.m then 90 deg"}, {"text": "24 N.m then a quarter turn"}, False),
        ({"text": "24 N.m"}, {"text": "24 lbf.ft"}, False),
        ({"text": "24 N.m"}, {"text": "2.4 N.m"}, False),
        ({"text": "24 N.m"}, {"text": "24 N.m, dry"}, False),
        ({"text": "pin  up"}, {"text": "pin up"}, True),
        ({"text": "pin up"}, {"text": "pin down"}, False),
        ({"text": "24 N.m"}, {"text": "24 N.m", "margin": {"number": 2, "unit": "N.m"}}, False),
        ({"text": "24 N.m"}, {"text": "24 N.m", "source": {**SOURCE, "where": "page 119"}}, False),
        ({"text": "24 N.m", "sure": True}, {"text": "24 N.m"}, True),
    ]
    for one, other, same in spelled:
        each = Bench()
        _seconded(each)
        plain = {key: of for key, of in IDLER.items() if key == "source"}
        first = each.write("read", part="idler", value={**plain, **one})
        second = {**plain, **other, "second": {"self": False}}
        each.write("read", by="LM", part="idler", value=second, seen=[first["id"]])
        assert _is_known(each) is same, (one, other)
        bench.told += each.told


@story
def a_second_reading_that_differs_is_another_answer_and_what_was_settled_is_read_again(bench: Bench) -> None:
    _seconded(bench)
    first = _reads(bench)
    other = _reads(bench, "LM", number=4, seen=[])
    state = bench.state()
    assert state["values"]["idler"]["disputed"] and not _is_known(bench)
    assert first["value"] != other["value"]
    seen = bench.phone("a").sees("", "value:idler")
    bench.write("settle", part="idler", value=first["value"], seen=seen)
    assert not _is_known(bench)  # the person who settled it looked only once
    _reads(bench, "KS", alone=False)
    assert not _is_known(bench)
    _reads(bench, "LM", alone=False)
    assert _is_known(bench)


@story
def who_settled_two_readings_is_not_the_second_reader_of_his_own_word(bench: Bench) -> None:
    _seconded(bench)
    _reads(bench)
    chosen = _reads(bench, "LM", number=45, alone=False, seen=[])
    seen = bench.phone("a").sees("", "value:idler")
    bench.write("settle", by="KS", part="idler", value=chosen["value"], seen=seen)
    assert not _is_known(bench)  # the settled value carries the claim of a second look, but nobody looked
    bench.write("settle", by="LM", part="idler", value=chosen["value"], seen=bench.phone("a").sees("", "value:idler"))
    assert not _is_known(bench)
    _reads(bench, "KS", number=45, alone=False)
    assert _is_known(bench) and bench.state()["values"]["idler"]["number"] == 45


@story
def a_first_reading_that_is_taken_back_takes_the_second_with_it(bench: Bench) -> None:
    _seconded(bench)
    first = _reads(bench)
    second = _reads(bench, "LM", alone=False)
    assert _is_known(bench)
    taken = bench.take_back_entry(first)
    assert not _is_known(bench)  # the take-back does not say what becomes of the second reading
    bench.take_back_entry(taken)
    assert _is_known(bench)
    word = bench.write("not-disturbed", seen=[second["id"]])
    gone = bench.write("take-back", seen=[first["id"], word["id"]])  # its author knew of the second reading and left it
    state = bench.state()["values"]["idler"]
    assert not state["disputed"] and [one["who"] for one in state["waits"]] == ["LM"]
    bench.take_back_entry(gone)
    bench.take_back_entry(second)
    assert not _is_known(bench)
    assert [one["who"] for one in bench.state()["values"]["idler"]["waits"]] == ["KS"]
    both = bench.write("take-back", seen=[first["id"], second["id"]])
    assert not _is_known(bench) and "waits" not in bench.state()["values"]["idler"]
    bench.take_back_entry(both)
    assert not _is_known(bench)
    _reads(bench, "LM", alone=False)
    assert _is_known(bench)


@story
def a_corrected_value_is_read_by_two_again(bench: Bench) -> None:
    _seconded(bench)
    _reads(bench)
    _reads(bench, "LM", alone=False)
    bench.check("idler", "1.1", set="40 N.m")
    bench.expect(idler="done")
    _reads(bench, number=45)
    assert not _is_known(bench)
    bench.expect(idler="open")
    _reads(bench, "LM", alone=False)  # nobody is a second reader of a reading that was corrected since
    assert not _is_known(bench)
    _reads(bench, number=45)
    _reads(bench, "LM", number=45, alone=False)
    assert _is_known(bench) and bench.why("idler") == [{"code": "again", "name": "idler"}]


@story
def two_people_who_read_the_same_apart_are_two_readers(bench: Bench) -> None:
    _seconded(bench)
    _reads(bench)
    bench.check("idler", "1.1", set="40 N.m")
    for _ in range(3):
        bench.write("not-disturbed", on="b")
    later = _reads(bench, "LM", on="b")
    assert not _is_known(bench) and not _is_known(bench, "b")
    bench.meet()
    assert _is_known(bench)
    assert bench.why("idler") == [{"code": "again", "name": "idler"}]  # the bolt was pulled before the value was known
    told = bench.state()["values"]["idler"]["second"]
    assert {told["who"], told["first"]["who"]} == {"KS", "LM"} and told["self"] is False
    third = _reads(bench, "LM", on="b", number=45)
    bench.meet()
    assert not _is_known(bench)
    bench.take_back_entry(third)
    assert _is_known(bench)
    bench.take_back_entry(later)
    assert not _is_known(bench)


@story
def one_person_who_reads_on_two_phones_is_one_reader(bench: Bench) -> None:
    _seconded(bench)
    _reads(bench)
    bench.later(BREAK)
    _reads(bench, "ks", on="b")
    bench.meet()
    assert not _is_known(bench) and len(bench.state()["values"]["idler"]["waits"]) == 2
    _reads(bench, alone=True)
    assert not _is_known(bench)  # the break counts from the later reading
    bench.later(BREAK)
    _reads(bench, alone=True)
    assert _is_known(bench)


@story
def two_seconds_on_two_phones_are_one_answer(bench: Bench) -> None:
    _seconded(bench)
    _reads(bench)
    bench.phone("b")
    bench.meet()
    _reads(bench, "LM", alone=False)
    bench.later(BREAK)
    _reads(bench, on="b", alone=True)
    assert _is_known(bench) and _is_known(bench, "b")
    bench.meet()
    assert _is_known(bench) and not bench.state()["values"]["idler"]["disputed"]
    _reads(bench, "RT", on="c")  # a helper, whose phone was away, reads it independently
    bench.meet()
    assert _is_known(bench)


@story
def a_second_reading_that_comes_before_the_first_is_none_of_it(bench: Bench) -> None:
    _seconded(bench)
    late = {"lamport": 9}
    first = bench.write("read", part="idler", value=IDLER, **late)
    bench.later(BREAK)
    bench.write("read", part="idler", value={**IDLER, "second": {"self": True}}, seen=[first["id"]], lamport=5)
    assert not _is_known(bench)
    bench.write(
        "read", by="LM", part="idler", value={**IDLER, "second": {"self": False}}, seen=[first["id"]], lamport=4
    )
    assert _is_known(bench)  # two people read it, and neither reading depends on the other


@story
def a_worksheet_that_asks_for_no_second_reader_takes_what_it_took(bench: Bench) -> None:
    _seconded(bench, pause=None)
    _reads(bench)
    bench.check("idler", "1.1", set="40 N.m")
    assert "second" not in bench.expect(idler="done")["values"]["idler"]
    _reads(bench, "LM", alone=False)
    assert _is_known(bench) and "second" not in bench.state()["values"]["idler"]


@story
def what_was_read_on_an_older_worksheet_is_read_and_the_next_reading_waits(bench: Bench) -> None:
    _seconded(bench, pause=None)
    old = bench.phone("a").sheet
    _reads(bench)
    bench.check("idler", "1.1", set="40 N.m")
    _seconded(bench)
    bench.of_job("adopt", "sheet", sheet=digest_of(bench.sheets[-1]))
    assert _is_known(bench)
    bench.expect(idler="done")  # no work must be done again
    _reads(bench, number=45)
    assert not _is_known(bench)
    _reads(bench, "LM", number=45, alone=False)
    assert _is_known(bench)
    bench.phone("a").sheet = old
    bench.of_job("adopt", "sheet", sheet=digest_of(old))
    assert _is_known(bench)


@story
def a_reading_of_a_worksheet_that_is_not_at_hand_waits(bench: Bench) -> None:
    _seconded(bench)
    bench.write("read", part="idler", value=IDLER, sheet="f" * 64)
    assert not _is_known(bench)
    _reads(bench, "LM", alone=False)
    assert _is_known(bench)


@story
def a_value_is_critical_by_the_bolt_that_it_tightens(bench: Bench) -> None:
    _seconded(bench, class_="ordinary")
    _reads(bench)
    assert not _is_known(bench)
    _reads(bench, "LM", alone=False)
    assert _is_known(bench)


@story
def an_ordinary_value_needs_no_second_reader(bench: Bench) -> None:
    values = {"cover": value("ordinary", None)}
    check = tighten("cover", "ordinary", "1")
    bench.sheet(step("cover", 0, check, values=["cover"]), DONE, values=values, second_reader=BREAK)
    bench.read("cover", **IDLER)
    bench.check("cover", "1")
    bench.expect(cover="done")


@story
def a_value_of_several_steps_is_read_by_two_once(bench: Bench) -> None:
    again = step("again", 0, tighten("idler", "critical", "1.1"), values=["idler"])
    shown = step("shown", 0, TICK, values=["idler"])
    _seconded(bench, again, shown)
    _reads(bench)
    bench.check("shown")
    state = bench.expect(idler="open", again="open", shown="open")
    assert all(
        state["steps"][path]["why"] == [{"code": "value", "name": "idler"}] for path in ("idler", "again", "shown")
    )
    _reads(bench, "LM", alone=False)
    for path in ("idler", "again"):
        bench.check(path, "1.1", set="40 N.m")
    bench.check("shown")
    bench.expect(idler="done", again="done", shown="done")


@story
def a_value_that_the_engine_sheet_gives_has_its_own_readers(bench: Bench) -> None:
    values = {"idler": value("critical", "40 N.m")}
    bench.sheet(
        step("idler", 0, tighten("idler", "critical", "1.1"), values=["idler"]),
        DONE,
        values=values,
        second_reader=BREAK,
    )
    bench.check("idler", "1.1", set="40 N.m")
    assert "second" not in bench.expect(idler="done")["values"]["idler"]


@story
def what_is_worked_out_does_not_stand_in_for_a_reading_that_waits(bench: Bench) -> None:
    filled = result("idler_now", ["*", name("drained"), 1000], "N.m", fills="idler")
    values = {"idler": {**value("critical", None), **quantity("N.m", None)}}
    drain = step("drain", 0, {"kind": "measure", "reading": "drained", "against": None})
    check = step("idler", 0, tighten("idler", "critical", "1.1"), values=["idler"])
    bench.sheet(drain, check, DONE, values=values, second_reader=BREAK, **figures(READINGS, [filled]))
    bench.check("drain", number=20, unit="L")
    assert bench.state()["values"]["idler"]["source"]["document"] == "Worked out from readings"
    _reads(bench)
    assert not _is_known(bench)
    _reads(bench, "LM", alone=False)
    assert bench.state()["values"]["idler"]["number"] == 40


@story
def a_figure_that_cannot_be_has_no_second_reader(bench: Bench) -> None:
    _seconded(bench)
    _reads(bench, not_published=True)
    _reads(bench, "LM", alone=False)
    assert not _is_known(bench)  # nobody can have read there what the book does not publish
    _reads(bench, number=0)
    told = _reads(bench, "LM", number=0, alone=False)
    assert not _is_known(bench) and told["id"] in bench.state()["inert"]
    _reads(bench, source={**SOURCE, "document": "."})
    _reads(bench, "LM", alone=False)
    assert not _is_known(bench)  # the same figure without a source is not a first reading


# -- every row of the shared tables ------------------------------------------------------------------------------------


@story
def an_odometer_in_miles_can_be_corrected(bench: Bench) -> None:
    bench.sheet(WIPE, DONE)
    _correct(bench, "odometer", {"number": "900", "unit": "mi"})
    assert bench.state()["job"]["odometer"] == {"number": "900", "unit": "mi"}


ASKED: dict[str, Any] = {
    "takes": ["gap"],
    "cautions": [{"level": "caution", "hazard": "Sharp edge."}],
    "opens": [{"what": "pin", "count": 1}],
    "closes": [{"what": "hose", "count": 1}],
    "hold": True,
    "gate": GATES["starter"],
    "picture": {"file": "pictures/belt.svg", "alt": "The belt"},
}


@story
def whatever_a_step_asks_more_than_its_digest_says_asks_for_it_again(bench: Bench) -> None:
    """A forged worksheet states the digests of the first; each step asks one thing more, or gives another reason."""
    bench.sheet(*[step(f"asks-{key}", 0, TICK) for key in ASKED], step("reason", 0, TICK), DONE)
    for one in bench.sheets[-1]["steps"][:-1]:
        bench.check(one["path"])
    more = [step(f"asks-{key}", 0, TICK, **{key: of}) for key, of in ASKED.items()]
    forged = bench.sheet(*more, step("reason", 0, TICK, why=["It is dirty."]), DONE, revision=2)
    for mine, theirs in zip(forged["steps"], bench.sheets[0]["steps"], strict=True):
        mine |= {key: theirs[key] for key in ("duty", "wording")}
    bench.of_job("adopt", "sheet", sheet=digest_of(forged))
    state = bench.state()
    assert all({"code": "duty"} in bench.why(f"asks-{key}") for key in ASKED)
    assert state["steps"]["reason"]["state"] == "done" and state["steps"]["reason"]["reworded"]


@story
def the_work_may_go_on_without_any_thing_of_three_lists(bench: Bench) -> None:
    gate = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["strip-down"])
    bench.sheet(gate, DONE, needs={**NEEDS, "consumables": {"grease": {"label": "Grease"}}})
    for part, gone in (("parts", "belt"), ("tools", "spanner"), ("consumables", "grease")):
        bench.of_job("confirm", f"confirm:{part}", part, **{"except": [gone]})
    bench.of_job("confirm", "confirm:values", "values", **{"except": []})
    for rule in ("part:belt", "tool:spanner", "part:grease"):
        bench.depart("gate", rule)
    bench.check("gate")
    assert len(bench.expect(gate="done")["departures"]) == 3


@story
def document_and_place_must_each_say_something(bench: Bench) -> None:
    limits = {"limits": limits_json("torque")}
    values = {name_: {**value("ordinary", None), **limits} for name_ in ("idler", "cover")}
    bench.sheet(WIPE, DONE, values=values, **figures(READINGS, []))
    bench.read("idler", text="40 N.m", source={**SOURCE, "document": "M"})
    bench.read("cover", text="40 N.m", source={**SOURCE, "where": "-"})
    state = bench.state()
    assert state["values"]["idler"]["missing"] and state["values"]["cover"]["missing"]


@story
def a_dial_says_its_unit_and_the_value_whether_it_is_above_or_below_the_air(bench: Bench) -> None:
    values = {kind: {**value("ordinary", None, kind), "limits": limits_json(kind)} for kind in ("gauge", "vacuum")}
    bench.sheet(WIPE, DONE, values=values, **figures(READINGS, []))
    for kind in values:
        bench.read(kind, number=80, unit="kPa", source=SOURCE)
    state = bench.state()
    assert not state["values"]["gauge"]["missing"] and not state["values"]["vacuum"]["missing"]


@story
def a_time_is_read_in_any_unit_of_time(bench: Bench) -> None:
    units = {"s": 1, "min": 60, "h": 3600, "day": 86_400, "week": 604_800}
    values = {unit: value("ordinary", None, "time") for unit in units}
    bench.sheet(*[step(f"soak-{unit}", 0, wait(unit, None), values=[unit]) for unit in units], DONE, values=values)
    for unit, seconds in units.items():
        bench.read(unit, number=2, unit=unit, source=SOURCE)
        bench.check(f"soak-{unit}", "start")
        bench.later(2 * seconds)
        bench.check(f"soak-{unit}", "end")
    assert {bench.state()["steps"][f"soak-{unit}"]["state"] for unit in units} == {"done"}


@story
def a_field_in_a_form_that_no_phone_writes_makes_its_entry_unknown(bench: Bench) -> None:
    bench.sheet(WIPE, DONE)
    odd = [bench.write("check", step="wipe", value={field: [1]}) for field in VALUE_FIELDS]
    inner = [(field, name_) for field, names in VALUE_FIELDS.items() for name_ in names]
    odd += [bench.write("check", step="wipe", value={field: {name_: [1]}}) for field, name_ in inner]
    assert bench.expect(wipe="open")["unknown"] == [entry["id"] for entry in odd]
