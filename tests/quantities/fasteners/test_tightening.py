"""What a worksheet says of a bolt: the sane band and the doubt, wrench and setting, the map, and what follows."""

from __future__ import annotations

import copy
from pathlib import Path

import pytest
from bs4 import BeautifulSoup

from generator import render
from generator.compile.tightening import points_of
from generator.journal.second import critical_values
from generator.model import EngineValue
from generator.quantities.fasteners import wrench
from generator.quantities.quantity import written
from generator.quantities.units import to_base
from generator.site.build import check_texts
from generator.terminal import report
from tests.support import demo
from tests.support.harness import FACTS

TEMPLATES = Path(__file__).parents[3] / "site_overrides/templates"

SOURCE = '{document: "Manual, 2nd edition", where: page 118, read: 2026-10-02, by: KS}'
SHOP = """\
shop: quay
title: Quay workshop
people: [{initials: KS, name: Kim S., role: lead}]
wrenches:
  - {wrench: large, label: Large, from: 40 N.m, to: 200 N.m, step: 5 N.m, class: II A}
  - {wrench: foot, label: Foot-pounds, from: 10 lbf.ft, to: 80 lbf.ft, step: 1 lbf.ft, class: II A, lever: 400 mm}
  - {wrench: small, label: Small, from: 5 N.m, to: 25 N.m, step: 0.5 N.m, class: II A, due: 2027-03-01}
"""
FIT = """\
procedure: fit
title: Fit
revision: 1
stands_alone: yes
values: {bolts: {kind: torque, label: Bolts, fastener: critical}}
stages:
  - stage: Fit
    steps:
      - {id: fit, do: Tighten., check: {tighten: bolts}}
      - {id: last, do: Hand over., check: tick, completion: yes}
"""


def sheet(bolts: str, shop: str = SHOP):
    engine = f"engine: four\ntitle: Four\nrevision: 1\nfacts: {{layout: inline}}\nvalues:\n  bolts: {bolts}\n"
    texts = {**FACTS, "shop/shop.yml": shop, "procedures/fit.yml": FIT, "engines/four.yml": engine}
    checked = check_texts({path: text.encode() for path, text in texts.items()})
    assert [fault.said for fault in checked.faults] == []
    return checked.sheets[0]


def torque(more: str) -> str:
    return f"{{{more}, count: 1, source: {SOURCE}}}"


def settings(made, part: int = 0, day: str | None = None):
    target = made["steps"][0]["check"]["parts"][part]["target"]
    found = wrench.settings(target, made["values"]["bolts"], made["wrenches"], day)
    return [(one.wrench.name, one.text, one.inside) for one in found]


def test_each_pull_has_its_setting_on_every_wrench_that_reaches_it_in_its_own_unit_first():
    assert settings(sheet(torque("torque: 24 N.m, reuse: yes"))) == [("small", "24.0", True), ("foot", "18", True)]
    assert settings(sheet(torque("torque: 15 lbf.ft, reuse: yes"))) == [("foot", "15", True), ("small", "20.5", True)]
    assert settings(sheet(torque("torque: 100 N.m, reuse: yes"))) == [("large", "100", True), ("foot", "74", True)]


RACK = """\
  - {wrench: coarse, label: Coarse, from: 10 N.m, to: 100 N.m, step: 2 N.m, class: II A}
  - {wrench: fine, label: Fine, from: 10 N.m, to: 100 N.m, step: 0.5 N.m, class: II A, due: 2026-06-01}
  - {wrench: near-its-end, label: Near its end, from: 10 N.m, to: 50 N.m, step: 0.5 N.m, class: II A}
  - {wrench: foot, label: Foot-pounds, from: 10 lbf.ft, to: 80 lbf.ft, step: 0.1 lbf.ft, class: II A}
"""


def test_the_middle_of_the_scale_goes_before_the_finest_step_and_a_date_before_both():
    made = sheet(torque("torque: 46 N.m, reuse: yes"), SHOP.split("  - ")[0] + RACK)
    order = ["fine", "coarse", "near-its-end", "foot"]
    taken = {day: [name for name, *_ in settings(made, day=day)] for day in (None, *DAYS)}
    assert taken == {None: order, DAYS[0]: order, DAYS[1]: [*order[1:], "fine"]}


DAYS = ("2026-06-01", "2026-06-02")


def test_paper_names_the_wrench_that_is_in_date_and_an_overdue_one_as_overdue():
    shop = SHOP.replace("due: 2027-03-01", "due: 2026-06-01")
    made = sheet(torque("torque: 24 N.m, reuse: yes"), shop)
    before, after = (text_of(torque_sheet(made, day)) for day in DAYS)
    assert "24.0 N.m on Small" in before and "18 lbf.ft on Foot-pounds" in after
    alone = sheet(torque("torque: 8 N.m, reuse: yes"), shop)
    assert "8.0 N.m on Small, calibration overdue since 2026-06-01" in text_of(torque_sheet(alone, DAYS[1]))
    assert "calibration overdue since 2026-06-01" not in text_of(torque_sheet(alone, DAYS[0]))


def test_paper_says_which_wrench_has_no_calibration_date():
    text = text_of(torque_sheet(sheet(torque("torque: 100 N.m, reuse: yes")), DAYS[0]))
    assert "100 N.m on Large, no calibration date" in text
    assert "Large: 40.0 to 200.0 N.m, steps of 5.0, ISO 6789 II A, no calibration date" in text
    assert "Small: 5.0 to 25.0 N.m, steps of 0.5, ISO 6789 II A, calibration due 2027-03-01" in text
    assert "8.0 N.m on Small, no" not in text_of(torque_sheet(sheet(torque("torque: 8 N.m, reuse: yes")), DAYS[0]))


def test_a_wrench_whose_marks_miss_the_tolerance_comes_last_and_says_so():
    found = settings(sheet(torque("torque: 47 N.m, tolerance: 0.5 N.m, reuse: yes")))
    assert found == [("foot", "35", True), ("large", "45", False)]


def test_an_earlier_pull_has_the_same_share_of_the_tolerance():
    made = sheet(torque("torque: 94 N.m, passes: [47 N.m, 94 N.m], tolerance: 1 N.m, reuse: yes"))
    assert settings(made) == [("foot", "35", True), ("large", "45", False)]


def test_an_angle_has_no_setting():
    made = sheet(torque("torque: 20 N.m, then: [90 deg], reuse: yes"))
    assert [part["kind"] for part in made["steps"][0]["check"]["parts"]] == ["torque", "angle"]
    assert settings(made, 1) == []


@pytest.mark.parametrize(("text", "why"), [("2 N.m", "range"), ("33.3 N.m, tolerance: 0.1 N.m", "near")])
def test_a_torque_that_no_wrench_of_the_shop_can_set_is_told_at_the_start(text: str, why: str):
    (told,) = sheet(torque(f"torque: {text}, reuse: yes"))["needs"]["no_wrench"]
    assert (told["value"], told["label"], told["why"]) == ("bolts", "Bolts", why)


def test_a_shop_without_wrenches_is_told_of_every_torque_and_still_gets_its_worksheet():
    made = sheet(torque("torque: 24 N.m, reuse: yes"), SHOP.split("wrenches:")[0])
    assert made["wrenches"] == {} and len(made["needs"]["no_wrench"]) == 1


def test_a_new_wrench_is_no_new_duty():
    one = sheet(torque("torque: 24 N.m, reuse: yes"))
    other = sheet(torque("torque: 24 N.m, reuse: yes"), SHOP.split("  - {wrench: small")[0])
    assert settings(one) != settings(other)
    assert one["steps"][0]["duty"] == other["steps"][0]["duty"]


def test_a_wrench_is_told_in_its_own_unit_with_its_accuracy():
    foot = sheet(torque("torque: 24 N.m, reuse: yes"))["wrenches"]["foot"]
    assert (foot["unit"], foot["low"], foot["step"], foot["accuracy"], foot["lever"]) == ("lbf.ft", 10, 1, 0.04, 400)


# --- the band ---------------------------------------------------------------------------------------------------------

M6 = 'bolt: {thread: M6x1.0, class: "8.8", into: aluminium}'


def test_a_torque_outside_the_band_is_doubted_with_the_slip_and_never_changed():
    value = sheet(torque(f"torque: 72 N.m, reuse: yes, {M6}"))["values"]["bolts"]
    assert value["doubt"].startswith("72 N.m is more than an M6x1 bolt of class 8.8 takes: ")
    assert "72 lbf.in would be 8.1 N.m" in value["doubt"] and "may be the weaker part" in value["doubt"]
    assert value["text"] == "72 N.m" and value["band"]["low"] < 8.1 < value["band"]["high"]


@pytest.mark.parametrize(
    "more",
    [
        "torque: 10 N.m",
        "torque: 20 N.m, then: [90 deg]",
        "angle: 90 deg",
        "torque: 120 N.m, friction: {from: 0.5, to: 0.6}",
    ],
)
def test_a_sane_torque_and_a_snug_one_before_an_angle_are_not_doubted(more: str):
    bolt = M6.replace("M6x1.0", "M12x1.5") if "friction" in more else M6
    assert sheet(torque(f"{more}, reuse: yes, {bolt}"))["values"]["bolts"]["doubt"] is None


def test_how_deep_a_thread_holds_takes_the_word_about_the_casting_away():
    bolt = M6.replace("aluminium}", "aluminium, engaged: 15 mm}")
    assert "weaker part" not in sheet(torque(f"torque: 72 N.m, reuse: yes, {bolt}"))["values"]["bolts"]["doubt"]


def test_a_thread_that_is_not_metric_or_of_no_class_has_no_band():
    for bolt in ('{thread: "G 1/4"}', "{thread: M8x1.25, class: brass}", "{thread: M8x1.25}"):
        value = sheet(torque(f"torque: 500 N.m, reuse: yes, bolt: {bolt}"))["values"]["bolts"]
        assert (value["band"], value["doubt"]) == (None, None)


# --- by condition, head, thread in the casting, angle -----------------------------------------------------------------


def bolts_of(torque_text: str, bolt: str, more: str = ""):
    return sheet(torque(f"torque: {torque_text}, reuse: yes, bolt: {bolt}{more}"))["values"]["bolts"]


def test_the_condition_and_the_head_of_the_sheet_count_and_the_makers_friction_goes_before_them():
    plain = '{thread: M8x1.25, class: "8.8"}'
    bands = {more: bolts_of("20 N.m", plain, more)["band"] for more in ("", ", condition: oiled", ", condition: dry")}
    assert [(band["low"], band["high"]) for band in bands.values()] == [(7.4, 29.8), (7.4, 27.3), (11.0, 38.0)]
    stated = ", condition: dry, friction: {from: 0.10, to: 0.12}"
    assert bolts_of("20 N.m", plain, stated)["band"] == {"low": 8.7, "high": 24.5, "by": "fastener"}
    wide = bolts_of("20 N.m", '{thread: M8x1.25, class: "8.8", head: flange}')
    assert wide["head"] == "flange" and wide["band"]["high"] > 29.8


def test_a_thread_in_a_casting_limits_where_its_length_is_known_and_is_else_said_not_to_be_judged():
    held = bolts_of("12 N.m", '{thread: M6, class: "8.8", into: aluminium, engaged: 6 mm}')
    assert held["band"] == {"low": 2.0, "high": 8.5, "by": "thread"} and held["unjudged"] == []
    assert held["doubt"].startswith(
        "12 N.m is more than the thread in aluminium holds with an M6x1 bolt: 2.0 to 8.5 N.m."
    )
    for length, side in (("8.5 N.m", None), ("8.51 N.m", "more")):
        doubt = bolts_of(length, '{thread: M6, class: "8.8", into: aluminium, engaged: 6 mm}')["doubt"]
        assert (doubt is None) is (side is None)
    unknown = bolts_of("12 N.m", '{thread: M6, class: "8.8", into: cast iron}')
    assert unknown["doubt"] is None and unknown["unjudged"] == [
        "Into cast iron: the thread in the casting may be the weaker part. It is not judged: the engaged length of "
        "thread is not known."
    ]
    assert "no strength is known" in bolts_of("9 N.m", '{thread: M6, class: "8.8", into: plastic}')["unjudged"][0]
    assert bolts_of("9 N.m", '{thread: M6, class: "8.8", into: steel}')["unjudged"] == []


def test_stainless_and_inch_bolts_have_a_band_and_dry_stainless_ones_are_not_judged():
    assert bolts_of("9 N.m", "{thread: M8, class: A2-70}")["band"] == {"low": 7.7, "high": 31.9, "by": "fastener"}
    assert bolts_of("9 N.m", '{thread: 1/4-20 UNC, class: "5"}')["band"] == {"low": 3.5, "high": 13.5, "by": "fastener"}
    dry = bolts_of("900 N.m", "{thread: M8, class: A2-70}", ", condition: dry")
    assert dry["band"] is None and "dry stainless steel" in dry["unjudged"][0]


def test_a_flange_head_on_an_inch_thread_is_judged_in_the_sizes_that_the_standard_has():
    wide = bolts_of("9 N.m", '{thread: 1/4-20 UNC, class: "5", head: flange}')
    assert wide["band"] == {"low": 3.7, "high": 14.3, "by": "fastener"} and wide["unjudged"] == []
    over = bolts_of("15 N.m", '{thread: 1/4-20 UNC, class: "5", head: flange}')
    assert over["doubt"].startswith("15 N.m is more than a 1/4-20 UNC bolt of grade 5 takes: 3.7 to 14.3 N.m.")
    large = bolts_of("90 N.m", '{thread: 7/8-9 UNC, class: "5", head: flange}')
    assert large["band"] is None and "no figures for a flange head on 7/8-9 UNC" in large["unjudged"][0]


def test_an_angle_is_judged_by_the_grip_and_else_said_not_to_be():
    long = '{thread: M10x1.25, class: "10.9", grip: 60 mm}'
    assert bolts_of("30 N.m", long, ", then: [45 deg, 45 deg]")["doubt"] is None
    assert bolts_of("30 N.m", long, ", then: [450 deg, 56 deg]")["doubt"].startswith(
        "506 deg is more than an M10x1.25 bolt"
    )
    assert bolts_of("30 N.m", long, ", then: [7 deg]")["doubt"].startswith("7 deg is less than an M10x1.25 bolt")
    assert bolts_of("30 N.m", long, ", then: [505 deg]")["doubt"] is None
    free = bolts_of("30 N.m", '{thread: M10x1.25, class: "10.9"}', ", then: [90 deg]")
    assert (free["band"], free["turn"]) == (None, None)
    assert free["unjudged"] == ["The angle is not judged: the grip length is not known."]


def test_paper_says_grade_and_head():
    made = sheet(
        torque('torque: 9 N.m, reuse: yes, bolt: {thread: 1/4-20 UNC, class: "5", head: hexagon, into: steel}')
    )
    assert "1/4-20 UNC, grade 5, hexagon head, into steel" in text_of(torque_sheet(made))
    made = sheet(torque("torque: 9 N.m, reuse: yes, bolt: {thread: M8, class: a2-70}"))
    assert "M8, A2-70" in text_of(torque_sheet(made))


# --- the map ----------------------------------------------------------------------------------------------------------


def points(**more: object):
    return points_of(EngineValue.model_validate({"torque": "10 N.m", **more}))


def test_one_bolt_needs_no_map_and_few_stand_in_a_line():
    assert points(count=1) == []
    assert points(count=3) == [[0.0, 0.5], [0.5, 0.5], [1.0, 0.5]]


def test_more_stand_round_a_circle_from_the_top_clockwise():
    four = points(count=4)
    assert four == [[0.5, 0.0], [1.0, 0.5], [0.5, 1.0], [0.0, 0.5]]


def test_a_grid_has_two_rows():
    assert points(count=6, pattern="grid")[0] == [0.0, 0.25] and points(count=6, pattern="grid")[5] == [1.0, 0.75]


def test_positions_of_the_sheet_keep_their_shape_and_up_is_up():
    assert points(count=3, positions=[["0", "0"], ["40", "0"], ["0", "20"]]) == [[0.0, 0.75], [1.0, 0.75], [0.0, 0.25]]


def test_one_time_bolts_ask_for_new_ones():
    assert sheet(torque("torque: 24 N.m, reuse: no"))["steps"][0]["check"]["asks_new"] is True
    assert sheet(torque("torque: 24 N.m, reuse: yes"))["steps"][0]["check"]["asks_new"] is False


# --- said at the desk and on paper ------------------------------------------------------------------------------------


def test_check_says_what_is_doubtful_and_what_no_wrench_can_set():
    made = sheet(
        torque(f"torque: 72 N.m, reuse: yes, {M6}"), SHOP.split("  - {wrench: large")[0].replace("wrenches:", "")
    )
    first, second = report.cautions([made]).splitlines()
    assert first.startswith('caution: sheet "four", value "bolts": 72 N.m is more than')
    assert second == 'caution: worksheet "fit--four": no wrench of the shop can set 72 N.m for Bolts.'
    assert report.cautions([sheet(torque("torque: 24 N.m, reuse: yes"))]) == ""


def torque_sheet(made, day: str = "2026-10-02") -> BeautifulSoup:
    templates = {path.name: path.read_text() for path in TEMPLATES.glob("*.html")}
    page = render.torque_page(made, "d" * 64, render.Site.of("quay", "Quay workshop", templates), day)
    return BeautifulSoup(page, "html.parser")


def text_of(tag) -> str:
    return " ".join(tag.get_text(" ").split())


@pytest.mark.parametrize("layout", ["inline-four", "vee-six"])
def test_the_torque_sheet_has_every_fastener_with_value_source_wrench_and_setting(layout):
    made = demo.sheet(layout)
    rows = {row["data-value"]: text_of(row) for row in torque_sheet(made).select("[data-value]")}
    tightened = {step["check"]["value"] for step in made["steps"] if step["check"]["kind"] == "tighten"}
    assert set(rows) == tightened
    for name in tightened:
        value = made["values"][name]
        assert (value["text"] or value["missing"]) in rows[name]
        assert (value["source"] or {"document": ""})["document"] in rows[name]
    assert " on Click wrench" in rows["wheel_bolts"]


@pytest.mark.parametrize("layout", ["inline-three", "inline-four", "flat-four", "vee-six"])
@pytest.mark.parametrize("day", ["2026-09-30", "2026-10-01", "2026-11-30"])
def test_the_crank_bolt_and_the_wheel_bolts_are_printed_on_a_wrench_that_is_in_date_and_reaches_them(layout, day):
    """The shop's wrench from 20 to 100 is overdue from 1 October on: 80 and 100 N.m go to the one from 60 to 320."""
    made = demo.sheet(layout)
    racks = {wrench["label"]: wrench for wrench in made["wrenches"].values()}
    shown = torque_sheet(made, day)
    for name in {"crank_bolt", "wheel_bolts", "mount_bolts"} & set(made["values"]):
        value, row = made["values"][name], shown.select_one(f"[data-value={name}]")
        if value["text"] is None:
            continue
        first, *angles = [text_of(pull) for pull in row.select("td:nth-of-type(4) div")]
        label = next((label for label in racks if first.endswith(f" on {label}")), None)
        assert label is not None, f"{name}: {first}"
        rack, asked = racks[label], written(value["passes"][0] if value["passes"] else value["text"])
        assert rack["due"] >= day, f"{name}: {first}"
        low, high = (to_base(rack[end], rack["unit"]) for end in ("low", "high"))
        assert low <= asked.base < high, f"{name}: {first} is at the end of its scale"
        assert len(angles) == len(value["passes"][1:])
        assert all(angle.endswith(" deg, by bar and angle gauge, never by a click wrench") for angle in angles)


def test_a_missing_value_on_the_torque_sheet_is_a_line_to_write_on():
    row = torque_sheet(demo.sheet("inline-four")).select_one("[data-value=mount_bolts]")
    assert row.has_attr("data-missing") and len(row.select(".line:not([data-second])")) == 3


def test_the_torque_sheet_has_a_blank_for_a_second_reader_where_a_missing_value_holds_a_critical_bolt():
    made = copy.deepcopy(demo.sheet("inline-three"))
    unknown = {name for name, value in made["values"].items() if not value["text"]}
    tightened = {step["check"]["value"] for step in made["steps"] if step["check"]["kind"] == "tighten"}
    assert blanks_for_a_second_reader(made) == unknown & critical_values(made) & tightened != set()
    for step in made["steps"]:
        if step["check"]["kind"] == "tighten":
            made["values"][step["check"]["value"]] |= {"text": None, "class": "ordinary"}
    by_the_bolt = {step["check"]["value"] for step in made["steps"] if step["check"].get("fastener") == "critical"}
    assert blanks_for_a_second_reader(made) == by_the_bolt and by_the_bolt


def blanks_for_a_second_reader(made) -> set[str]:
    rows = torque_sheet(made).select("tbody tr")
    return {row["data-value"] for row in rows if row.select_one("[data-second]")}
