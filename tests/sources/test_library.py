"""The library of procedures and the invented shop: complete, in the order of the trade, and without a fault."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator
from typing import Any

import pytest

from generator.compile import faults_of, job_values, work_out
from generator.compile.compose import compose
from generator.model import FailureMode, Include, Procedure, Stage, Step, ValueNeed
from generator.site import build, disk
from tests.support import demo
from tests.support.demo import step_at
from tests.support.walker import Walker

COMPOSED = {
    "inline-four": "timing-belt-service",
    "vee-six": "timing-belt-service-two-belts",
    "flat-four": "timing-belt-service",
}
# Every word that a condition of the library asks of an engine.
FACTS = {
    "crank_drive": ("keyed", "keyless"),
    "cam_drive": ("keyed", "keyless"),
    "cam_safe_at": ("timing-position", "elsewhere"),
    "crank_sensor": ("fixed", "gap"),
    "cam_sprockets": ("fixed", "floating"),
    "phasers": ("none", "fitted"),
    "balance_belt": ("none", "fitted"),
    "injection_pump": ("none", "on-belt"),
    "tensioner": ("hydraulic", "eccentric"),
    "tensioner_bleed": ("needed", "none"),
    "let_off": ("pinned", "slack"),
    "tension_check": ("none", "frequency"),
    "belt_lines": ("none", "printed"),
    "belt_held": ("by-hand", "by-clips"),
    "settle": ("needed", "none"),
    "locks": ("used", "none"),
    "crank_tool": ("lock", "stop-pin", "none"),
    "bores": ("uncovered", "plugged"),
    "release_steps": ("tension-crank-cams", "tension-cams-crank", "tension-tools", "tension-alone"),
    "seals": ("oiled-lip", "dry-lip"),
    "proof_by": ("marks", "tools"),
    "pump": ("on-belt", "elsewhere"),
    "pump_seal": ("dry", "o-ring", "sealer"),
    "block_drain": ("needed", "none"),
    "pressure_test": ("belt-off", "after-refill"),
    "mount": ("comes-off", "stays"),
    "upper_cover": ("comes-first", "behind-mount"),
    "front_end": ("stays", "fan-off"),
    "servo_line": ("comes-off", "stays", "none"),
    "wheel_off": ("needed", "none"),
    "coolant_fill": ("vacuum", "gravity"),
    "bleed_by": ("cap", "screws", "scan-tool"),
    "fan": ("cycles", "steady"),
}
# The stops of the trade, in the order in which every job of the library reaches them.
STOPS = (
    "electric-clear", "right-car", "customer-yes", "parked", "battery-off", "right-sheet", "strip-down-free", "cold",
    "belt-whole", "may-turn", "as-found", "compared", "cams-on-lines", "marks-set",
    "may-turn-again", "timing-proved", "tension-read", "starter-free", "first-run", "heat-proved", "brakes-tried",
    "road-free",
)  # fmt: skip
PICTURES = frozenset(disk.read_pictures(demo.ROOT, "procedures"))
# What nobody may leave out, not even a lead.
NEVER_LEFT = (
    "electric-clear", "supported", "may-turn-again", "two-turns", "timing-proved", "locks-out", "bar-off",
    "support-again", "servo-line-on", "starter-free", "first-run", "brakes-tried", "road-free",
)  # fmt: skip


def procedures() -> dict[str, Procedure]:
    return {name: checked.noun for name, checked in demo.library().procedures.items()}


def steps_of(procedure: Procedure) -> Iterator[Step]:
    for part in procedure.stages:
        if isinstance(part, Stage):
            yield from part.steps


def of_the_day() -> set[str]:
    """Return the values that no sheet can know."""
    return {name for found in procedures().values() for name, need in found.values.items() if need.of_the_day}


def all_steps() -> list[tuple[str, Step]]:
    return [(f"{name}/{step.id}", step) for name, found in procedures().items() for step in steps_of(found)]


def rows() -> tuple[FailureMode, ...]:
    modes = demo.library().failure_modes
    assert modes is not None
    return tuple(modes.noun.failure_modes)


def stops(sheet: dict[str, Any]) -> dict[str, int]:
    return {step["landmark"]: at for at, step in enumerate(sheet["steps"]) if step["landmark"]}


@pytest.mark.parametrize(("layout", "procedure"), COMPOSED.items())
def test_each_engine_has_its_worksheet_and_no_fault(layout, procedure):
    assert demo.sheet(layout)["procedure"] == procedure


def test_the_flagship_keeps_to_its_tap_budget():
    """About 100. Beyond that: one tap for the chocks, one for what spilled, and two for each of two hold tests, so that
    hoses settle before the time counts. A tight system that is taken apart costs more than five taps.

    Before the first bolt, eleven: right car, how it came in, as it came, locking key, the customer's yes, a way back
    in, the sleep time (two), date code, leaks, tools counted. Each is asked once and can be proved at no other time.
    To the marks, five where one tick stood for four acts: undertray, lines, upper cover, lower cover with the mark
    below, bushes. Two photos more: the car as it came, and the customer's yes.
    And twelve after the proof, each for a failure that a tick beside it let through: bushes of the covers, faces and
    counter-hold before the pull, a second look at the crank bolt and one at the wheel, oil before the first start, all
    clear at the first start, rust at the hub, drips after the road, and three more things that a customer is told.
    Ten for coolant and pump, each an answer that can be "no" where one tick closed several things: the hiss at the cap,
    the cap on the tester, the look of the old coolant, the zero of the refractometer, the shut drum, old pump beside
    new, the clean face, equal bolt heads, the pump that stays, the empty groove.
    The belt itself takes 15 more. Five for a bleed that can be done (press touching, shipping pin, the standing time,
    how it pressed). Three for belt, tensioner and idlers, each in its step. One each for: old beside new, cams still in
    place, clean and dry, which tensioner, crank tool before cam tools, a bolt that clamps, never turned back, a belt
    that runs true. And two that were held down: does the car stand still, does the engine?
    Five at the front, each where two questions were one, or none was asked: use and leak, timing code, hard hose, wheel
    bolts on the floor, the belt before the crank bolt.
    Two of the hot engine: is it dry behind the belt when it is hot, is the hose soft before the cap at the re-check?
    One for the old crank bolt: it comes out after the proof, and nothing else shows a crank that went back with it.
    One before anything is let off: do crank and cams stand at their marks? Each way back on which a belt comes off
    again begins there, so that nobody lets the tension off cams that nothing holds.
    One bent valve costs more than a hundred jobs of 60 taps.
    """
    budget = demo.sheet("inline-four")["budget"]
    assert 80 <= budget["taps"] <= 98 + 6 + 11 + 5 + 12 + 10 + 15 + 2 + 5 + 2 + 1 + 1
    assert 7 <= budget["holds"] <= 12
    assert 6 <= budget["photos"] <= 8 + 2


# Sums alone, for the calculators page: nothing is done to a vehicle in them, so no way the job fails is caught there.
SUMS = {"coolant-sums", "torque-adapter"}


def test_sums_alone_open_close_and_stop_nothing():
    found = procedures()
    for name in SUMS:
        assert found[name].calculator and not found[name].stands_alone
        for stage in found[name].stages:
            assert not [step for step in stage.steps if step.opens or step.closes or step.gate or step.hold]


def test_every_procedure_is_part_of_a_job_that_stands_alone():
    found = procedures()
    reached: set[str] = set()
    todo = [name for name, procedure in found.items() if procedure.stands_alone]
    while todo:
        name = todo.pop()
        reached.add(name)
        todo += [part.include for part in found[name].stages if isinstance(part, Include)]
    assert reached == set(found) - SUMS


@pytest.mark.parametrize("layout", COMPOSED)
def test_the_stops_of_the_trade_come_in_their_order_and_hold(layout):
    sheet = demo.sheet(layout)
    where = stops(sheet)
    assert [where[stop] for stop in STOPS] == sorted(where[stop] for stop in STOPS)
    assert all(step_at(sheet, stop)["hold"] for stop in STOPS)


@pytest.mark.parametrize("layout", COMPOSED)
def test_every_gate_of_the_trade_is_there_with_what_it_asks(layout):
    gates = [step["gate"] for step in demo.sheet(layout)["steps"] if step["gate"] and not step["when"]]
    by_name = {gate["for"]: gate for gate in gates}
    assert [gate["for"] for gate in gates] == ["strip-down", "hand-turn", "hand-turn", "starter", "road"]
    assert by_name["strip-down"]["ready"]
    assert {"pin", "locking-tool"} <= set(by_name["hand-turn"]["kinds"])
    assert by_name["hand-turn"]["lists"] == ["covers"]
    wanted = {"pin", "locking-tool", "plug", "rag", "tool", "turning-bar", "part", "proof", "fluid"}
    wanted |= {"hose", "connector", "vacuum-line", "earth", "bleed-screw", "cap", "support"}
    assert wanted == set(by_name["starter"]["kinds"])
    assert by_name["starter"]["lists"] == ["bay", "covers"]
    assert {*wanted, "wheel", "undertray", "stand", "bolt", "cover", "battery"} == set(by_name["road"]["kinds"])
    assert by_name["road"]["lists"] == ["road"]


def test_the_support_holds_before_the_mount_comes_off():
    for layout in ("inline-four", "vee-six"):
        sheet = demo.sheet(layout)
        opened = {item["what"]: at for at, step in enumerate(sheet["steps"]) for item in step["opens"]}
        assert step_at(sheet, "supported")["hold"]
        assert stops(sheet)["supported"] < opened["mount_bolts"]


@pytest.mark.parametrize("layout", COMPOSED)
def test_a_go_back_names_nothing_before_the_step_it_goes_back_to(layout):
    """The phone offers the steps from there on, so anything named before it would be lost."""
    sheet = demo.sheet(layout)
    at = {step["path"]: index for index, step in enumerate(sheet["steps"])}
    backs = [step for step in sheet["steps"] if step["if_failed"] and step["if_failed"]["back_to"]]
    lost = {
        step["path"]: [path for path in step["if_failed"]["disturbs"] if at[path] < at[step["if_failed"]["back_to"]]]
        for step in backs
    }
    assert {path: paths for path, paths in lost.items() if paths} == {}


@pytest.mark.parametrize("layout", COMPOSED)
def test_a_failed_proof_asks_both_for_the_tension_and_for_the_proof_again(layout):
    """Hard stop, mark out, tension wrong, bad first run: every bank that may be out is named."""
    sheet = demo.sheet(layout)
    banks = ["-left", ""] if layout == "vee-six" else [""]
    belts = {step_at(sheet, f"{name}{bank}")["path"] for name in ("belt-on", "marks-set", "pin-out") for bank in banks}
    proofs = {step_at(sheet, f"{name}{bank}")["path"] for name in ("timing-proved", "tension-read") for bank in banks}
    assert belts <= set(step_at(sheet, "two-turns")["if_failed"]["disturbs"])
    # A first run that was not right: everything that may show the timing out leads to all of it.
    for stop in ("cover-off-again", "turned-tight", "marks-tight", "tension-again"):
        assert belts | proofs <= set(step_at(sheet, stop)["if_failed"]["disturbs"])
    for bank in banks:
        own = {step_at(sheet, f"{name}{bank}")["path"] for name in ("belt-on", "marks-set", "pin-out")}
        assert own <= set(step_at(sheet, f"timing-proved{bank}")["if_failed"]["disturbs"])
        assert own <= set(step_at(sheet, f"tension-read{bank}")["if_failed"]["disturbs"])


def test_a_leak_with_the_coolant_in_is_drained_before_the_pump_or_the_thermostat_is_opened():
    sheet = demo.sheet("flat-four")
    plug = step_at(sheet, "drain-plug-out")["path"]
    leads = {stop: step_at(sheet, stop)["if_failed"] for stop in ("full-pump-dry", "full-pressure-held")}
    assert {stop: plan["back_to"] for stop, plan in leads.items()} == dict.fromkeys(leads, plug)
    assert step_at(sheet, "pump-off")["path"] in leads["full-pump-dry"]["disturbs"]
    assert step_at(sheet, "thermostat-seated")["path"] in leads["full-pressure-held"]["disturbs"]
    again = {step_at(sheet, stop)["path"] for stop in ("belt-on", "two-turns", "timing-proved", "coolant-in")}
    assert again <= set(step_at(sheet, "full-pump-dry")["if_failed"]["disturbs"])


# A way back this long takes the engine apart again. Each is walked alone, in composed/test_ways_back_cooling.py.
LONG_WAY = 40


def test_a_job_in_which_every_check_that_can_go_back_fails_once_still_ends_with_nothing_open():
    walker = Walker(demo.sheet("flat-four"))
    for _ in range(900):
        path = walker.state["next"]
        if path is None:
            break
        if any(why["code"] == "ready" for why in walker.state["steps"][path]["why"]):
            walker.prepare()
        elif may_fail(walker, path):
            fail_and_go_back(walker, path)
        else:
            walker.close(path)
    assert walker.state["complete"] and walker.state["open"] == 0
    failed = [path for path, step in walker.state["steps"].items() if step["failures"]]
    assert len(failed) >= 20


def may_fail(walker: Walker, path: str) -> bool:
    plan = walker.steps[path]["if_failed"]
    fresh = not walker.state["steps"][path]["failures"]
    short = plan and plan["back_to"] and len(plan["disturbs"]) < LONG_WAY
    return bool(short and fresh and walker.legal(path)["check"] and not walker.legal(path)["read"])


def fail_and_go_back(walker: Walker, path: str) -> None:
    """As on the phone: what is named is undone, and of the rest somebody says that it was not disturbed."""
    plan, seen = walker.steps[path]["if_failed"], walker.state["steps"]
    outcome = plan["outcomes"][0] if plan["outcomes"] else "failed"
    walker.answer(path, seen[path]["of"][0], {"outcome": outcome, "note": plan["when"]})
    order = walker.state["order"]
    later = [step for step in order[order.index(plan["back_to"]) :] if walker.state["steps"][step]["answers"]]
    disturbs = [step for step in later if step in {*plan["disturbs"], plan["back_to"], path}]
    rest = [step for step in later if step not in disturbs]
    answered = [answer["id"] for step in disturbs for answer in walker.state["steps"][step]["answers"]]
    given = {"to": plan["back_to"], "disturbs": disturbs, "rest": rest, "reason": plan["when"]}
    walker.tap("back", step=path, value=given, seen=answered)
    if rest:
        walker.tap("not-disturbed", value={}, seen=[walker.entries[-1]["id"]])


def walked(layout: str, answers: dict[str, str]) -> list[str]:
    """Walk a job with these answers, the rest as on a good day. Return the paths in the order they were done in."""
    walker, done = Walker(demo.sheet(layout)), []
    while (path := walker.state["next"]) is not None:
        if any(why["code"] == "ready" for why in walker.state["steps"][path]["why"]):
            walker.prepare()
            continue
        if path in answers:
            walker.answer(path, "", {"outcome": answers[path]})
        else:
            walker.close(path)
        done.append(path)
    assert walker.state["complete"] and walker.state["open"] == 0
    return done


def test_after_a_hard_stop_the_crank_goes_to_safety_and_back_and_every_cylinder_is_tested():
    """Cams are set one by one while no piston stands high. All locking tools are out then, and counted in again."""
    done = walked("inline-four", {"cams/cams-on-lines": "moved", "cams/lead-looks": "hit"})
    only = [path.removeprefix("cams/") for path in done if path.startswith("cams/")]
    first = ["cams-on-lines", "lead-looks", "lead-signs", "crank-where", "cam-tools-away", "crank-tool-away"]
    to_safe = ["to-safe/may-turn-crank", "to-safe/bar-on-crank", "to-safe/crank-to-safe", "to-safe/bar-away"]
    tested = ["plugs-out", "crank-held", "leak-down", "plugs-in", "cams-set", "cam-tools-in"]
    back = ["back/may-turn-back", "back/bar-on-again", "back/crank-back", "back/bar-off-again", "crank-tool-in"]
    assert only == [*first, *to_safe, *tested, *back]
    assert done.index("cams/crank-tool-in") < done.index("belt-on/belt-on")


def test_a_cam_that_moved_a_little_asks_for_no_leak_down_and_one_in_place_for_nothing():
    sheet = demo.sheet("flat-four")
    after = [step for step in sheet["steps"] if step["path"].startswith("cams/") and step["landmark"] is None]
    assert [step["path"] for step in after if not step["when"]] == []
    done = walked("flat-four", {"cams/cams-on-lines": "moved", "cams/lead-looks": "soft"})
    assert [path for path in done if path.startswith("cams/")] == [
        "cams/cams-on-lines",
        "cams/lead-looks",
        "cams/lead-signs",
        "cams/crank-where",
        "cams/cams-set",
    ]


def test_a_cam_seal_is_renewed_with_the_crank_in_its_safe_position_and_the_crank_is_back_before_the_belt():
    done = walked("inline-three", {"judge-cams/cam-seals": "leaking"})
    wanted = (
        "crank-tool-away",
        "to-safe/bar-away",
        "sprockets-off",
        "cam-line-met",
        "back/crank-back",
        "crank-on-stop",
    )
    at = [done.index(f"cam-seals/{name}") for name in wanted]
    assert at == sorted(at) and at[-1] < done.index("belt-on/belt-on")


def test_dry_lip_seals_are_waited_for_before_the_starter():
    found = {"judge-left/cam-seals": "leaking", "judge/crank-seal": "leaking"}
    sheet = demo.sheet("vee-six")
    rests = [step for step in sheet["steps"] if step["path"].endswith("/rest-over")]
    starter = next(at for at, step in enumerate(sheet["steps"]) if step["landmark"] == "starter-free")
    assert [step["hold"] for step in rests] == [True] * 3 and sheet["steps"].index(rests[-1]) < starter
    done = [path for path in walked("vee-six", found) if path.endswith("/rest-over")]
    assert done == ["cam-rest-left/rest-over", "crank-rest/rest-over"]


@pytest.mark.parametrize("layout", COMPOSED)
def test_what_nobody_may_leave_out_says_so(layout):
    sheet = demo.sheet(layout)
    here = stops(sheet)
    assert [stop for stop in NEVER_LEFT if stop in here and step_at(sheet, stop)["leave"] != "never"] == []
    assert all(step["leave"] == "never" for step in sheet["steps"] if step["check"].get("item") == "wheel_bolts")


@pytest.mark.parametrize("layout", COMPOSED)
def test_the_cold_re_check_may_be_left_when_the_customer_cannot_come(layout):
    """Whether the engine is cold is left out only with the shop lead: the cap comes off after it."""
    last = [step for step in demo.sheet(layout)["steps"] if step["path"].startswith("cold-again/")]
    assert [step["leave"] for step in last] == ["lead", "lead", "own", "own"]


def test_every_row_of_failure_modes_has_its_step():
    caught = {row for _, step in all_steps() for row in step.catches}
    assert [row.row for row in rows() if row.row not in caught] == []


def test_every_step_says_which_failure_it_catches():
    assert [path for path, step in all_steps() if not step.catches and path.split("/")[0] not in SUMS] == []


def test_no_procedure_states_a_value():
    """A figure with a unit belongs in an engine sheet. 12 V and 48 V only say what kind of car it is."""
    figure = re.compile(r"\d\s?(N\.?m|lbf|kgf|°|deg|degC|mm|cm|bar|kPa|psi|inHg|L|l|ml|s|min|h|Hz|%)(?![A-Za-z])")
    said = {path: f"{step.do} {step.why or ''}" for path, step in all_steps()}
    assert {path: text for path, text in said.items() if figure.search(text)} == {}


def test_no_text_uses_a_word_that_means_two_things_in_the_bay():
    wrong = re.compile(
        r"\b(undo|turnover|paint mark|rod length|vent|gas check|open items?|torque audit)\b", re.IGNORECASE
    )
    said = {path: " ".join([step.do, step.why or "", *step.words]) for path, step in all_steps()}
    assert {path: text for path, text in said.items() if wrong.search(text)} == {}


def test_each_bank_of_the_vee_six_has_pin_belt_and_proof_of_its_own():
    items = demo.sheet("vee-six")["items"]
    for name in ("tensioner_pin", "belt", "timing_proof", "tensioner_bolts"):
        assert f"{name}_left" in items
        assert f"{name}_right" in items
        assert items[f"{name}_left"]["label"] != items[f"{name}_right"]["label"]


def test_a_leaking_seal_brings_its_stage_and_a_dry_one_does_not():
    for layout, side in (("inline-four", ""), ("vee-six", "-left"), ("vee-six", "-right")):
        stage = [step for step in demo.sheet(layout)["steps"] if step["path"].startswith(f"cam-seals{side}/")]
        assert stage
        assert all(step["when"][0]["outcomes"] == ["leaking"] for step in stage)


def test_a_refused_pump_takes_all_pump_work_with_it():
    for layout in COMPOSED:
        sheet = demo.sheet(layout)
        assert step_at(sheet, "pump-agreed")["may_refuse"]
        pump = [step for step in sheet["steps"] if step["path"].startswith("pump/")]
        assert pump
        assert all(step["when"] == [{"step": "agree/pump-agreed", "outcomes": ["agreed"]}] for step in pump)


def test_one_engine_lacks_a_critical_and_an_ordinary_value_and_says_why():
    values = demo.sheet("inline-four")["values"]
    missing = {value["class"]: value["missing"] for value in values.values() if value["text"] is None}
    assert set(missing) == {"critical", "ordinary"}
    assert all(missing.values())


@pytest.mark.parametrize("layout", ["vee-six", "flat-four"])
def test_the_other_engines_lack_nothing(layout):
    sheet = demo.sheet(layout)
    assert set(sheet["needs"]["values"]) == of_the_day() & set(sheet["values"])


@pytest.mark.parametrize("layout", COMPOSED)
def test_every_value_shown_says_where_it_was_read(layout):
    values = demo.sheet(layout)["values"]
    assert [name for name, value in values.items() if value["text"] is not None and value["source"] is None] == []


@pytest.mark.parametrize("layout", COMPOSED)
def test_an_engine_of_other_facts_compiles_as_well(layout):
    """Each fact in turn takes each of its words, so that any other engine sheet will find its procedures too."""
    library = demo.library()
    procedure = library.procedures[COMPOSED[layout]]
    engine = next(e for e in library.engines.values() if e.noun.facts["layout"] == layout)
    for name, words in FACTS.items():
        for word in words:
            facts = {**engine.noun.facts, name: word}
            other = dataclasses.replace(engine, noun=engine.noun.model_copy(update={"facts": facts}))
            found = faults_of(work_out(compose(library, procedure, other), library), library, PICTURES)
            assert [fault.said for fault in found] == [], f"{name}: {word}"


def test_every_fact_that_the_library_asks_is_in_the_guide_with_its_words():
    asked: dict[str, set[str]] = {}
    for procedure in procedures().values():
        conditions = [part.when.engine for part in procedure.stages if isinstance(part, Include) and part.when]
        conditions += [step.when.engine for step in steps_of(procedure) if step.when]
        for condition in [*conditions, procedure.fits]:
            for name, words in condition.items():
                asked.setdefault(name, set()).update([words] if isinstance(words, str) else words)
    for name, words in asked.items():
        line = re.search(rf"^\| `{name}` \| ([^|]+) \|", guide(), re.MULTILINE)
        assert line, name
        assert words <= set(line[1].strip().split(", ")), name
    assert set(FACTS) <= set(asked)


def guide() -> str:
    return (demo.ROOT / "docs/guide/writing-procedures.md").read_text()


def test_every_value_of_the_library_is_in_the_guide_with_its_kind():
    needed = {name: need for procedure in procedures().values() for name, need in procedure.values.items()}
    rows = dict(re.findall(r"^\| `(\w+)` \| ([\w-]+)", guide(), re.MULTILINE))
    for name, need in needed.items():
        kind = (need.fastener or "ordinary") if need.kind == "torque" else need.kind
        assert rows.get(re.sub("_(left|right)$", "", name)) == kind, name
    assert set(rows) - set(needed) == {*FACTS, "belts", "outer_belt", "belt_runs", "tick"}


@pytest.mark.parametrize("layout", COMPOSED)
def test_the_guide_says_which_values_an_engine_of_these_facts_needs(layout):
    sheet = demo.sheet(layout)
    told = guide().split("### Values")[1].split("### A whole engine sheet")[0]
    rows = re.findall(r"^\| `(\w+)` \|.*\|(?: `(\w+): ([\w-]+)`)? \|$", told, re.MULTILINE)
    named = {name for name, fact, word in rows if not fact or sheet["engine"]["facts"][fact] == word}
    assert named == {re.sub("_(left|right)$", "", name) for name in sheet["values"]}


def test_what_one_procedure_says_of_a_value_of_the_day_holds_for_the_whole_job():
    """Two procedures ask for it, and only the second says that no sheet can know it."""
    first = ValueNeed(kind="pressure", label="Air")
    both = job_values.stricter(first, first.model_copy(update={"of_the_day": True}))
    assert both.of_the_day and not job_values.stricter(first, first).of_the_day


def test_the_engine_sheet_of_the_guide_has_all_that_its_engine_needs_and_nothing_more():
    example = guide().split("### A whole engine sheet")[1].split("```yaml\n")[1].split("```")[0]
    texts = {**demo.texts(), "demo_jobs/engines/brackwold-i3-12.yml": example.encode()}
    result = build.check_texts(texts, PICTURES)
    assert [fault.said for fault in result.faults] == []
    sheet = next(sheet for sheet in result.sheets if sheet["engine"]["id"] == "brackwold-i3-12")
    assert set(sheet["needs"]["values"]) == {"upper_cover_bolts", *(of_the_day() & set(sheet["values"]))}
    assert set(result.library.engines["brackwold-i3-12"].noun.values) == set(sheet["values"]) - of_the_day()


@pytest.mark.parametrize("layout", COMPOSED)
def test_the_engine_sheets_of_the_shop_hold_nothing_that_no_worksheet_asks(layout):
    engine = next(e for e in demo.library().engines.values() if e.noun.facts["layout"] == layout)
    assert set(engine.noun.values) == set(demo.sheet(layout)["values"]) - of_the_day()
