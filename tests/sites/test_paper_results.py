"""What a paper sheet can know is printed on it: every result that needs no reading, as `handturn try` says it."""

from __future__ import annotations

import datetime
import functools
from typing import Any

import pytest
from bs4 import BeautifulSoup

from generator import render
from generator.compile import digest_of
from generator.compile.calculators import group_of
from generator.quantities.results import given_beforehand, work_out_all
from generator.site import disk
from generator.terminal import trial
from tests.support import demo

LAYOUTS = ("inline-four", "inline-three", "vee-six", "flat-four")
TODAY = datetime.date(2026, 11, 25)
EVERYWHERE = "crank_a_tooth cam_a_tooth air_at_cap test_settle_usual test_loss_usual "
VACUUM = "air_by_altitude air_outside vacuum_greatest vacuum_share vacuum_wanted vacuum_settle_usual vacuum_loss_usual "
KNOWN = {
    "inline-four": EVERYWHERE + VACUUM + "turns_to_meet",
    "inline-three": EVERYWHERE + "offset_limit_usual turns_to_meet frequency_wanted",
    "vee-six": EVERYWHERE + VACUUM + "offset_limit_usual turns_to_meet_left turns_to_meet_right",
    "flat-four": EVERYWHERE + "turns_to_meet",
}


@functools.cache
def paper(layout: str) -> BeautifulSoup:
    return BeautifulSoup(page_of(demo.sheet(layout)), "html.parser")


def page_of(sheet: Any) -> str:
    templates = {
        path.removeprefix("templates/"): text.decode()
        for path, text in disk.read_overrides().items()
        if path.startswith("templates/")
    }
    return render.worksheet_page(sheet, digest_of(sheet), render.Site.of("demo", "Demo", templates))


def printed(layout: str, name: str) -> list[str]:
    nodes = paper(layout).select(f'[data-result="{name}"] .figure')
    return [" ".join(node.get_text().split()) for node in nodes]


@functools.cache
def tried(layout: str) -> dict[str, str | None]:
    """Return what the desk says of each result of the whole job with no reading at all."""
    sheet, library = demo.sheet(layout), demo.library()
    procedure, engine = library.procedures[sheet["procedure"]], library.engines[sheet["engine"]["id"]]
    worked = trial.answers(group_of(library, procedure, engine), {}, TODAY)
    return {one.name: one.text for one in worked}


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_result_that_needs_no_reading_is_printed_as_the_desk_says_it(layout: str) -> None:
    sheet = demo.sheet(layout)
    states, _ = work_out_all(sheet, given_beforehand(sheet), {})
    known = [result["name"] for result in sheet["results"] if states[result["name"]]["base"] is not None]
    assert sorted(known) == sorted(KNOWN[layout].split())
    for name in known:
        texts = printed(layout, name)
        assert texts and tried(layout)[name], name
        verdict = states[name]["verdict"]
        said = tried(layout)[name]
        result = next(one for one in sheet["results"] if one["name"] == name)
        want = f"{said}. {verdict}" if result["limits"] and verdict else said
        assert set(texts) == {want}, name


@pytest.mark.parametrize("layout", LAYOUTS)
def test_what_needs_two_readings_is_a_line_to_write_on(layout: str) -> None:
    sheet = demo.sheet(layout)
    states, _ = work_out_all(sheet, given_beforehand(sheet), {})
    shown = {name for step in sheet["steps"] for name in step["shows"]}
    open_ = [name for name in shown if states[name]["base"] is None]
    assert len(open_) > 10
    readings, lines = [reading["label"] for reading in sheet["readings"].values()], 0
    for name in open_:
        node = paper(layout).select_one(f'[data-result="{name}"]')
        assert node is not None and not node.select(".figure")
        assert node.select(".line") or node.select(".small") or node.select(".bands"), name
        asked = states[name]["needs"]
        if len([one for one in asked if not one.startswith("step:")]) > 1:
            # It may be read off one other result that is worked out first, never off a reading.
            heads = [" ".join(one.get_text().split()) for one in node.select("caption, .figures tr:first-child th")]
            assert not [head for head in heads if head.startswith(("Reading: ", *readings))], name
            assert heads or (node.select(".line") and not node.select(".by-reading")), name
            lines += not heads
    assert lines >= 4


def test_the_intervals_stand_there_for_each_answer_about_the_use_of_the_car() -> None:
    """120000 km and 84 month in the flat four's sheet, half of both in severe use."""
    lines = {
        name: [node.get_text() for node in paper("flat-four").select(f'[data-result="{name}"] .small')]
        for name in ("interval_distance", "interval_age")
    }
    assert lines["interval_distance"][:2] == ["Ordinary use: 120000 km", "Severe use: 60000 km"]
    assert lines["interval_age"][:2] == ["Ordinary use: 84 month", "Severe use: 42 month"]


def test_a_figure_is_printed_in_the_unit_that_the_shop_shows_first() -> None:
    sheet = demo.sheet("inline-four")
    other = {**sheet, "shop": {**sheet["shop"], "units": {**sheet["shop"]["units"], "vacuum": "inHg(vac)"}}}
    node = BeautifulSoup(page_of(other), "html.parser").select_one('[data-result="vacuum_wanted"] .figure')
    assert (
        node is not None and node.get_text().strip().startswith("25.1") and node.get_text().endswith("inHg(vac)")
    )  # 85 / 3.386


def test_a_text_that_names_what_the_shop_says_has_it() -> None:
    assert "______ (Altitude of the shop)" not in paper("inline-four").get_text()


@pytest.mark.parametrize(
    ("layout", "name", "instead", "asks"),
    [
        ("inline-three", "test_settle", "Left empty, it is 1 min (Usual time to settle)", "Document and page"),
        ("inline-three", "test_loss_allowed", "Left empty, it is 2 kPa (Usual loss", "Document and page"),
        (
            "inline-four",
            "barometer",
            "Left empty, it is 97.6 kPa (Air pressure on a standard day)",
            "What you read it on",
        ),
    ],
)
def test_a_value_that_a_result_fills_says_what_it_is_if_nobody_reads_it(
    layout: str, name: str, instead: str, asks: str
) -> None:
    nodes = paper(layout).select(f'[data-value="{name}"]')
    assert nodes or name == "test_loss_allowed"
    for node in nodes:
        said = " ".join(node.get_text().split())
        assert instead in said and asks in said
    assert demo.sheet(layout)["values"][name]["label"] not in to_be_found(layout)


def test_a_value_that_nothing_fills_is_to_be_found_first() -> None:
    missing = demo.sheet("inline-three")["needs"]["values"]
    labels = [demo.sheet("inline-three")["values"][name]["label"] for name in missing]
    assert set(to_be_found("inline-three")) < set(labels) and len(to_be_found("inline-three")) == 4


def to_be_found(layout: str) -> list[str]:
    heading = paper(layout).find("h3", string="Values to be found first")
    return [" ".join(line.get_text().split()) for line in heading.find_next_sibling("ul").find_all("li")]
