"""The rules of the trade, by name: each gate, and each thing that the compiler and the phone must insist on.

All of it is common practice, no source, unless a line says otherwise. What one bad source shows is in tests/faults/.
"""

from __future__ import annotations

import dataclasses
import datetime
from functools import cache
from typing import Any

import pytest

from generator.check import check_all
from generator.check.trade_words import DeclaredTrade
from generator.compile import compile_library, digest_of, work_out
from generator.compile.calculators import group_of
from generator.compile.compose import compose
from generator.compile.sheet import write_sheet
from generator.terminal import trial as desk
from tests.support import demo
from tests.support.walker import Walker, gone_to

TRADE = demo.library().trade


@cache
def sheet() -> dict[str, Any]:
    return demo.sheet("inline-four")


def gate(name: str) -> dict[str, Any]:
    return next(step for step in sheet()["steps"] if step["gate"] and step["gate"]["for"] == name)


def at_gate(name: str) -> Walker:
    """A good day up to a gate that the person may pass."""
    return gone_to(sheet(), gate(name)["path"])


def codes(walker: Walker, path: str) -> set[str]:
    return {why["code"] for why in walker.state["steps"][path]["why"]}


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        (name, kind)
        for name in ("hand-turn", "starter", "road")
        for kind in TRADE.kinds_before(name)
        if kind not in ("proof", "fluid")
    ],
)
def test_a_gate_does_not_pass_while_one_of_its_kinds_is_open(name, kind):
    walker, path = at_gate(name), gate(name)["path"]
    assert walker.legal(path)["check"]
    extra = walker.take_off(kind)
    assert "open" in codes(walker, path) and not walker.legal(path)["check"]
    walker.answer(path, "")
    assert walker.state["steps"][path]["state"] != "done"
    walker.answer(extra, "")
    assert walker.state["steps"][path]["state"] == "done" or walker.legal(path)["check"]


@pytest.mark.parametrize(
    ("name", "list_"), [(name, list_) for name in ("starter", "road") for list_ in TRADE.gates[name].means.lists]
)
def test_a_gate_does_not_pass_while_a_bolt_of_its_list_is_loose(name, list_):
    walker, path = at_gate(name), gate(name)["path"]
    on_list = {name for name, item in sheet()["items"].items() if item["list"] == list_}
    closers = [s["path"] for s in sheet()["steps"] if on_list & {closing["what"] for closing in s["closes"]}]
    closed = next(path for path in closers if walker.state["steps"][path]["state"] == "done")
    seen = [answer["id"] for answer in walker.state["steps"][closed]["answers"]]
    walker.tap("take-back", step=closed, value={"reason": "not sure"}, seen=seen)
    assert not walker.legal(path)["check"]


def test_the_strip_down_waits_for_parts_tools_consumables_one_time_fasteners_and_missing_values():
    walker, path = at_gate("strip-down"), gate("strip-down")["path"]
    assert codes(walker, path) == {"ready"}
    walker.prepare()
    assert codes(walker, path) == set()
    part = next(iter(sheet()["needs"]["parts"]))
    walker.tap("confirm", part="parts", value={"except": [part]}, seen=walker.phone.sees("", "confirm:parts"))
    assert codes(walker, path) == {"ready"}
    value = {"reason": "comes at noon", "instead": "not needed before the pump", "with": ""}
    walker.tap("depart", step=path, part=f"part:{part}", value=value)
    assert codes(walker, path) == set() and walker.state["departures"]


def test_nobody_goes_without_a_new_one_time_fastener():
    walker, path = at_gate("strip-down"), gate("strip-down")["path"]
    walker.prepare()
    bolt = next(iter(sheet()["needs"]["one_time"]))
    walker.tap("confirm", part="one_time", value={"except": [bolt]}, seen=walker.phone.sees("", "confirm:one_time"))
    walker.tap("depart", step=path, part=f"part:{bolt}", value={"reason": "none in stock", "instead": "the old one"})
    assert codes(walker, path) == {"ready"}


def test_every_gate_of_the_job_is_there_once_or_more_in_this_order():
    order = [step["gate"]["for"] for step in sheet()["steps"] if step["gate"]]
    firsts = sorted(set(order), key=order.index)
    assert firsts == ["strip-down", "hand-turn", "starter", "road"]


def test_what_nobody_may_leave_out_has_no_way_out():
    """High-voltage stop, support before mount, the starter's and the road's gate, the proof."""
    never = {step["path"] for step in sheet()["steps"] if step["leave"] == "never"}
    wanted = {s["path"] for s in sheet()["steps"] if s["hold"] or s["gate"]}
    proofs = {n for n, i in sheet()["items"].items() if i["kind"] == "proof"}
    wanted |= {s["path"] for s in sheet()["steps"] if any(c["what"] in proofs for c in s["closes"])}
    assert wanted <= never
    supports = {n for n, i in sheet()["items"].items() if i["kind"] == "support"}
    opens_support = next(s for s in sheet()["steps"] if any(o["what"] in supports for o in s["opens"]))
    mount = next(s for s in sheet()["steps"] if any("mount" in o["what"] for o in s["opens"]))
    paths = [s["path"] for s in sheet()["steps"]]
    assert paths.index(opens_support["path"]) < paths.index(mount["path"]) and opens_support["path"] in never


def test_the_timing_is_proved_after_two_turns_and_before_any_cover_and_the_starter():
    paths = [step["path"] for step in sheet()["steps"]]
    proofs = {n for n, i in sheet()["items"].items() if i["kind"] == "proof"}
    belt_on = next(s["path"] for s in sheet()["steps"] if any(o["what"] in proofs for o in s["opens"]))
    proved = next(s["path"] for s in sheet()["steps"] if any(c["what"] in proofs for c in s["closes"]))
    turned = [s for s in sheet()["steps"] if s["check"]["kind"] == "turn"]
    assert all(s["check"]["count"] >= 2 for s in turned)
    assert any(paths.index(belt_on) < paths.index(s["path"]) < paths.index(proved) for s in turned)
    covers = {n for n, i in sheet()["items"].items() if "cover" in n}
    closers = [s["path"] for s in sheet()["steps"] if any(c["what"] in covers for c in s["closes"])]
    assert closers and all(paths.index(path) > paths.index(proved) for path in closers)
    assert paths.index(gate("starter")["path"]) > paths.index(proved)


def test_a_critical_tightening_closes_bolt_by_bolt_and_never_in_bulk():
    walker = Walker(sheet())
    step = next(
        s for s in sheet()["steps"] if s["check"].get("fastener") == "critical" and len(s["check"]["parts"]) > 1
    )
    walker.go_on(step["path"])
    for name in walker.legal(step["path"])["read"]:
        walker.fill(name)
    walker.answer(step["path"], "", {"set": "all of them"})
    assert walker.state["steps"][step["path"]]["state"] != "done"
    for part in step["check"]["parts"]:
        walker.answer(step["path"], part["id"])
    assert walker.state["steps"][step["path"]]["state"] == "done"


def test_an_angle_stage_is_an_entry_of_its_own():
    staged = [
        v for v in sheet()["values"].values() if any("deg" in pull for pull in v["passes"]) and len(v["passes"]) > 1
    ]
    assert staged
    name = next(name for name, value in sheet()["values"].items() if value in staged)
    step = next(s for s in sheet()["steps"] if s["check"].get("value") == name)
    targets = [part["target"] for part in step["check"]["parts"]]
    assert set(staged[0]["passes"]) <= set(targets)


def test_a_one_time_fastener_puts_a_line_on_the_list_of_parts():
    one_time = {name for name, value in sheet()["values"].items() if value["reuse"] == "no"}
    assert one_time and set(sheet()["needs"]["one_time"]) == one_time


def test_no_value_in_the_worksheet_is_without_a_source_and_none_is_in_a_procedure():
    for layout in ("inline-four", "vee-six", "flat-four"):
        for name, value in demo.sheet(layout)["values"].items():
            assert value["text"] is None or value["source"] or value["class"] == "clip", name


@pytest.mark.parametrize(
    ("said", "due"),
    [
        ({"history": "unknown", "use": "ordinary", "belt-wet": "dry"}, True),
        ({"history": "unknown", "use": "severe"}, True),
        ({"history": "known", "belt-wet": "leaking"}, True),
        ({"history": "known", "use": "severe", "belt-wet": "leaking"}, True),
        ({"history": "known", "use": "ordinary", "belt-wet": "dry"}, None),
        ({"history": "known", "use": "ordinary", "belt-wet": "dry", "last_change": "2026-01-05"}, None),
        ({"history": "known", "use": "ordinary", "last_change": "2017-05-04"}, True),
    ],
)
def test_the_due_decision_takes_not_known_for_due_and_never_for_fine(said, due):
    """If half of it is known and not due, it is not known yet. If either half is known to be due, it is due."""
    library = demo.library()
    engine = next(e for e in library.engines.values() if e.noun.facts["layout"] == "inline-four")
    group = group_of(library, library.procedures["agree-the-work"], engine)
    worked = {one.name: one for one in desk.answers(group, said, datetime.date(2026, 11, 25))}
    assert worked["belt_due"].value is due


def test_the_due_decision_comes_first():
    paths = [step["path"] for step in sheet()["steps"]]
    decided = next(step["path"] for step in sheet()["steps"] if "belt_due" in step["shows"])
    assert {path.split("/")[0] for path in paths[: paths.index(decided)]} == {"intake", "agree"}


@pytest.mark.parametrize(("path", "found"), [("safe/engine-code", "other"), ("agree/whole-set", "part-only")])
def test_a_sheet_of_another_engine_and_half_a_set_stop_the_job(path, found):
    walker = gone_to(sheet(), path)
    walker.answer(path, "", {"outcome": found})
    assert walker.state["steps"][path]["state"] == "failed"
    assert [later for later in walker.state["order"] if walker.legal(later)["check"]] == []


def test_a_customers_refusal_says_how_and_by_whom_it_was_told():
    step = next(s for s in sheet()["steps"] if s["may_refuse"])
    walker = gone_to(sheet(), step["path"])
    walker.tap("refuse", step=step["path"], value={"how": "", "told_by": "KS", "price": "120"})
    assert walker.state["steps"][step["path"]]["state"] != "refused"
    seen = walker.phone.sees(step["path"], "")
    walker.tap("refuse", step=step["path"], value={"how": "by phone", "told_by": "KS", "price": "120"}, seen=seen)
    assert walker.state["steps"][step["path"]]["state"] == "refused"


def test_a_job_is_not_closed_before_the_cold_re_check_unless_that_is_left_out_on_the_record():
    paths = [step["path"] for step in sheet()["steps"]]
    cold = next(path for path in paths if "cold-again" in path.split("/")[-1])
    walker = gone_to(sheet(), cold)
    last = paths[-1]
    assert sheet()["steps"][-1]["completion"] and not walker.legal(last)["finish"]
    for path in [path for path in paths[paths.index(cold) : -1] if path.startswith(cold.split("/")[0])]:
        value = {"reason": "the customer cannot come", "instead": "told what to look for, when, how", "with": "RT"}
        walker.tap("skip", step=path, value=value, seen=walker.phone.sees(path, ""))
    walker.go_on()
    assert walker.state["complete"] and walker.state["steps"][cold]["state"] == "skipped"


def test_a_shop_without_failure_modes_still_compiles():
    texts = {path: text for path, text in demo.texts().items() if "failure_modes" not in path}
    library, found = check_all(texts)
    assert (
        compile_library(library, frozenset(p.name for p in (demo.ROOT / "procedures/pictures").glob("*"))).sheets
        or found
    )


# --- What is open when the engine is first started, and when the car first drives -------------------------------------

LAYOUTS = ("inline-three", "inline-four", "flat-four", "vee-six")
# What the order of work leaves open at the first start, each with its reason. Nothing else is open.
OPEN_AT_THE_FIRST_START = {
    "battery": "it goes on after the gate",
    "relearns": "they need the battery",
    "stands": "the belt side is looked at from below, running",
    "chocks": "they hold the car while it runs on its stands",
    "wheel": "it stands on its stands",
    "wheel_bolts": "they are pulled with the wheel on the ground",
    "undertray": "what weeps is seen only without it",
    "undertray_screws": "with the undertray",
}
SURE_TO_BE_SHUT = {"hose", "connector", "vacuum-line", "earth", "bleed-screw", "cap", "support"}


@cache
def with_facts(layout: str, **facts: str) -> dict[str, Any]:
    """Return the worksheet of this engine if it had these facts."""
    library = demo.library()
    engine = next(e for e in library.engines.values() if e.noun.facts["layout"] == layout)
    other = engine.noun.model_copy(update={"facts": {**engine.noun.facts, **facts}})
    procedure = library.procedures[demo.sheet(layout)["procedure"]]
    return write_sheet(work_out(compose(library, procedure, dataclasses.replace(engine, noun=other)), library), library)


def gate_of(worksheet: dict[str, Any], name: str) -> tuple[int, dict[str, Any]]:
    return next((at, s["gate"]) for at, s in enumerate(worksheet["steps"]) if s["gate"] and s["gate"]["for"] == name)


def open_before(worksheet: dict[str, Any], at: int) -> set[str]:
    """Return items that the steps before this position open and do not close, when every step is done."""
    left: set[str] = set()
    for step in worksheet["steps"][:at]:
        left -= {closing["what"] for closing in step["closes"] if closing["count"] is None}
        left |= {opening["what"] for opening in step["opens"]}
    return left


def at_landmark(worksheet: dict[str, Any], landmark: str) -> int:
    return next(at for at, step in enumerate(worksheet["steps"]) if step["landmark"] == landmark)


def test_the_car_may_be_handed_over_before_the_cold_re_check_and_the_job_stays_open_until_then():
    paths = [step["path"] for step in sheet()["steps"]]
    walker = gone_to(sheet(), "cold-again/cold-again")
    told = [path for path in paths if path.startswith("hand-over/")]
    assert len(told) >= 5 and {walker.state["steps"][path]["state"] for path in told} == {"done"}
    assert not walker.state["complete"] and not walker.legal(paths[-1])["finish"]
    assert walker.state["open"] == 0, "nothing is loose, off or in while the customer drives"
    walker.go_on()
    assert walker.state["complete"]


def test_a_car_that_stays_overnight_is_looked_at_cold_first_with_a_word_of_why():
    walker = gone_to(sheet(), "hand-over/bonnet-label")
    assert walker.legal("cold-again/cold-again")["depart"]
    why = {"reason": "it stays here overnight", "instead": "handed over after it", "with": "KS"}
    for path in [path for path in walker.steps if path.startswith("cold-again/")]:
        walker.tap("depart", step=path, value=why)
        walker.close(path)
    assert walker.state["steps"]["cold-again/level-again"]["state"] == "done"
    assert walker.state["next"] == "hand-over/bonnet-label" and not walker.state["complete"]
    walker.go_on()
    assert walker.state["complete"]


@pytest.mark.parametrize("layout", LAYOUTS)
def test_crank_bolt_and_wheel_are_looked_at_by_another_person(layout):
    worksheet = demo.sheet(layout)
    steps = worksheet["steps"]
    wanted = {"crank-second-look": "crank-bolt", "wheel-second-look": "wheel-tight"}
    here = {step["landmark"]: at for at, step in enumerate(steps) if step["landmark"]}
    assert "crank-second-look" in here and ("wheel-second-look" in here) == ("wheel-tight" in here)
    for look, work in wanted.items():
        if look in here:
            check = steps[here[look]]["check"]
            assert (check["kind"], check["of"]) == ("sign", [steps[here[work]]["path"]])
            assert here[work] < here[look] < here["road-free"]


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("drive", ["keyed", "keyless"])
def test_the_counter_hold_has_a_place_of_its_own_for_tightening_and_is_looked_at_before_the_pull(layout, drive):
    worksheet = with_facts(layout, crank_drive=drive)
    ready = worksheet["steps"][at_landmark(worksheet, "pulley-on")]
    values = worksheet["values"]
    assert "counterhold_tightening" in ready["values"] and "crank_counterhold" not in ready["values"]
    assert values["counterhold_tightening"]["text"] != values["crank_counterhold"]["text"]
    for name in ("counterhold_tightening", "crank_counterhold"):
        assert not any(word in values[name]["text"] for word in ("against the driveshaft", "brake pipe"))
    assert any(outcome["fails"] for outcome in ready["check"]["outcomes"])
    assert at_landmark(worksheet, "pulley-on") < at_landmark(worksheet, "crank-bolt")


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_kind_that_a_job_opens_is_held_before_the_road_or_has_its_reason(layout):
    worksheet = demo.sheet(layout)
    (_, starter), (_, road) = gate_of(worksheet, "starter"), gate_of(worksheet, "road")
    loose = {
        name
        for name, item in worksheet["items"].items()
        if item["kind"] not in {*starter["kinds"], *road["kinds"]}
        and item["list"] not in {*starter["lists"], *road["lists"]}
    }
    assert loose == {"relearns"}, "a relearn may need a drive"
    assert road["kinds"] and set(starter["kinds"]) <= set(road["kinds"])


@pytest.mark.parametrize("layout", LAYOUTS)
def test_what_is_open_at_the_first_start_is_named_with_its_reason(layout):
    worksheet = demo.sheet(layout)
    at, _ = gate_of(worksheet, "starter")
    assert open_before(worksheet, at) - set(OPEN_AT_THE_FIRST_START) == set()


@pytest.mark.parametrize("layout", LAYOUTS)
def test_nobody_leaves_a_hose_a_connector_an_earth_a_screw_a_cap_or_the_support_on_their_own_reason(layout):
    worksheet = demo.sheet(layout)
    watched = {name for name, item in worksheet["items"].items() if item["kind"] in SURE_TO_BE_SHUT}
    before_the_road = worksheet["steps"][: gate_of(worksheet, "road")[0]]
    closers = [s for s in before_the_road if any(c["what"] in watched for c in s["closes"])]
    assert len(closers) >= 3
    assert [s["path"] for s in closers if s["leave"] == "own"] == []


def test_one_reason_of_one_tech_does_not_start_an_engine_with_a_hose_off():
    for path in ("thermostat/hoses-on", "close/connectors-on", "close/support-out"):
        walker = gone_to(sheet(), path)
        value = {"reason": "no time", "instead": "nothing", "with": "KS"}
        walker.tap("skip", step=path, value=value, seen=walker.phone.sees(path, ""))
        assert walker.state["steps"][path]["state"] != "skipped", path
        walker.tap("skip", step=path, value={**value, "with": "RT"}, seen=walker.phone.sees(path, ""))
        with pytest.raises(AssertionError, match="starter-free stands still"):
            walker.go_on()


@pytest.mark.parametrize("layout", LAYOUTS)
def test_nobody_leaves_out_a_cap_that_decides_which_rating_counts(layout):
    cap = demo.sheet(layout)["steps"][at_landmark(demo.sheet(layout), "cap-on")]
    assert cap["decides"] and cap["leave"] == "never"


@pytest.mark.parametrize(
    ("layout", "word"),
    [(layout, word) for layout in ("inline-four", "vee-six") for word in ("comes-off", "stays", "none")],
)
def test_the_brakes_are_tried_before_the_road_and_a_servo_line_is_never_left_off(layout, word):
    worksheet = with_facts(layout, servo_line=word)
    tried = worksheet["steps"][at_landmark(worksheet, "brakes-tried")]
    assert tried["hold"] and tried["leave"] == "never" and tried["check"]["kind"] == "inspect"
    good = [outcome for outcome in tried["check"]["outcomes"] if not outcome["fails"]]
    assert len(good) == 1 and len(tried["check"]["outcomes"]) > 1
    where = [at_landmark(worksheet, name) for name in ("heat-proved", "down", "brakes-tried", "road-free")]
    assert where == sorted(where)
    closers = [s for s in worksheet["steps"] if any(c["what"] == "servo_line" for c in s["closes"])]
    openers = [s for s in worksheet["steps"] if any(o["what"] == "servo_line" for o in s["opens"])]
    assert (len(openers), len(closers)) == ((1, 1) if word == "comes-off" else (0, 0))
    assert all(s["leave"] == "never" and s["check"]["kind"] == "inspect" for s in closers)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_an_engine_that_does_not_start_is_tried_once_and_turned_by_hand(layout):
    """Battery off, cold, on its support, the belt looked at, then turned and proved, and all of it closed again."""
    worksheet = demo.sheet(layout)
    at = {step["landmark"]: at for at, step in enumerate(worksheet["steps"]) if step["landmark"]}
    order = ["first-run", "can-be-the-belt", "battery-off-again", "block-cool", "supported-again", "mount-off-again",
             "cover-off-again", "may-turn-tight", "turned-tight", "marks-tight", "tension-again", "cover-on-again",
             "mount-on-again", "support-out-again", "cause-found", "starter-free-again", "battery-on-again",
             "all-clear-again", "first-run-again"]  # fmt: skip
    mount = {name for name in order if name.startswith(("supported", "mount", "support"))}
    there = [name for name in order if name not in mount or "supported" in at]
    assert [at[name] for name in there] == sorted(at[name] for name in there)
    only = {worksheet["steps"][at["first-run"]]["path"]: "not-right"}
    for name in there[1:]:
        asked = {one["step"]: one["outcomes"] for one in worksheet["steps"][at[name]]["when"]}
        assert {path: [outcome] for path, outcome in only.items()}.items() <= asked.items()


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("drive", ["keyed", "keyless"])
def test_the_final_pull_waits_for_the_mount_or_is_warned_of_the_support(layout, drive):
    worksheet = with_facts(layout, crank_drive=drive, mount="comes-off")
    mount, out, pull = (at_landmark(worksheet, name) for name in ("mount-on", "support-out", "crank-bolt"))
    assert mount < out
    if drive == "keyed":
        assert out < pull
        return
    looked = worksheet["steps"][at_landmark(worksheet, "support-again")]
    assert looked["hold"] and looked["leave"] == "never"
    covers = at_landmark(worksheet, "upper-cover-on")
    assert at_landmark(worksheet, "support-again") < pull < at_landmark(worksheet, "proved-once-more") < covers < mount
    assert any("support" in caution["hazard"] for caution in worksheet["steps"][pull]["cautions"])


def test_a_job_that_passed_a_gate_asking_less_must_look_again_when_the_new_worksheet_is_taken(monkeypatch):
    new = sheet()
    asked_less = {
        **{name: TRADE.kinds_before(name) for name in TRADE.gates},
        "starter": tuple(kind for kind in TRADE.kinds_before("starter") if kind not in SURE_TO_BE_SHUT),
        "road": ("wheel", "cap", "undertray", "stand", "support"),
    }
    monkeypatch.setattr(DeclaredTrade, "kinds_before", lambda _, name, opened: asked_less[name])
    old = with_facts.__wrapped__("inline-four")
    for name in ("starter", "road"):
        at, _ = gate_of(old, name)
        path = old["steps"][at]["path"]
        walker = gone_to(old, old["steps"][at + 1]["path"])
        assert walker.state["steps"][path]["state"] == "done"
        walker.sheets[digest_of(new)] = new
        walker.phone.sheet = new
        walker.tap("adopt", part="sheet", value={"sheet": digest_of(new)})
        seen = walker.state["steps"][path]
        assert seen["state"] == "recheck" and "duty" in {why["code"] for why in seen["why"]}, name


@pytest.mark.parametrize("layout", ["inline-four", "inline-three", "vee-six", "flat-four"])
def test_no_hold_test_begins_before_the_hoses_have_settled(layout):
    """Hoses stretch or flatten first. The inline three's book says no time: then it is a minute."""
    of_engine = demo.sheet(layout)
    paths = [step["path"] for step in of_engine["steps"]]
    settles = [path for path in paths if path.endswith(("/pressure-up", "/vacuum-up"))]
    assert len(settles) == (2 if of_engine["engine"]["facts"]["coolant_fill"] == "vacuum" else 1)
    for path in settles:
        walker, hold = gone_to(of_engine, path), paths[paths.index(path) + 1]
        wait = walker.steps[path]["check"]
        said = walker.state["values"][wait["value"]]
        assert (wait["seconds"] or 60) == (120 if layout == "vee-six" else 60)
        assert said["text"] == ("1 min" if wait["seconds"] is None else walker.sheet["values"][wait["value"]]["text"])
        assert not walker.legal(hold)["check"]
        walker.answer(path, "start")
        early = walker.copy()
        early.tap("check", step=path, part="end", value={}, seen=early.phone.sees(path, "end"))  # 40 s later
        assert early.state["steps"][path]["state"] != "done" and not early.legal(hold)["check"]
        walker.answer(path, "end")
        assert walker.state["steps"][path]["state"] == "done" and walker.legal(hold)["check"]


def test_what_somebody_reads_on_the_barometer_stands_for_the_altitude():
    walker = gone_to(sheet(), "refill/vacuum-limit")
    before = walker.state["results"]["vacuum_greatest"]["base"]
    assert walker.state["values"]["barometer"]["source"]["where"] == "Air pressure on a standard day"
    walker.tap(
        "read",
        part="barometer",
        value={"number": 28, "unit": "inHg", "source": {"document": "Barometer", "where": "office wall"}},
        seen=walker.phone.sees("", "value:barometer"),
    )
    results = walker.state["results"]
    assert results["vacuum_greatest"]["base"] == pytest.approx(28 * 3386.389, rel=1e-6) != before
    assert results["air_outside"]["verdict"] == "Possible"
    assert walker.state["values"]["barometer"]["source"]["where"] == "office wall"
