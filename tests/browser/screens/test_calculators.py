"""The calculators page in a real browser: the library's own formulas, fed by hand, with or without an engine sheet."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from generator import render
from generator.canonical import canonical
from generator.check import check_all
from generator.compile.calculators import calculators
from generator.site import bundle, disk
from tests.browser.drive import fill
from tests.browser.screens import calculators_harness
from tests.browser.server import Server, headers, status
from tests.browser.touch import tap
from tests.support import demo

PHONE = {"width": 360, "height": 740}
PATIENCE = 8000
SHOP_B = "/shop-b/"
TODAY = datetime.date(2026, 11, 25)
UNITS = {"volume": "qt", "vacuum": "inHg(vac)"}
KEPT = """async () => {
  const { openKeep } = await import('/phone/keep/keep.js');
  const keep = await openKeep({ scope: 'demo /', now: () => Date.now() });
  const jobs = await keep.jobs();
  keep.close();
  return jobs.length;
}"""
FITS = """() => {
  const all = document.querySelectorAll('input, select, button, summary, main a');
  const controls = [...all].filter(one => one.offsetParent);
  const low = controls.filter(one => one.getBoundingClientRect().height < 48).map(one => one.outerHTML.slice(0, 80));
  return [document.documentElement.scrollWidth, low];
}"""

Data = dict[str, Any]


@pytest.fixture(scope="module")
def data() -> Data:
    """What the library's procedures give this page."""
    library, _ = check_all(demo.texts())
    return calculators(library)


def files_of(data: Data) -> dict[str, bytes]:
    """Return a site of this page and what it links to, without a worker, so the pages come from the server."""
    code = disk.read_overrides()
    templates = {path.removeprefix("templates/"): text.decode() for path, text in code.items() if "templates/" in path}
    site = render.Site.of("demo", "Quayside Garage", templates)
    files = {path: content for path, content in code.items() if path != "sw.js" and "templates/" not in path}
    files |= {
        "index.html": render.start_page(site, []).encode(),
        "jobs/index.html": render.jobs_page(site).encode(),
        "offline/index.html": render.offline_page(site).encode(),
        "manifest.webmanifest": render.manifest(site).encode(),
        "calculators/index.html": render.calculators_page(site).encode(),
        "calculators/data.json": canonical(data).encode(),
    }
    return files


def with_worker(files: dict[str, bytes]) -> dict[str, bytes]:
    template = disk.read_overrides()["sw.js"].decode()
    made = bundle.worker_files(template, bundle.holding(files), "demo")
    return {**files, **{path: text.encode() for path, text in made.items()}}


@pytest.fixture(scope="module")
def shop(data: Data) -> Iterator[Server]:
    """The shop at /, and at /shop-b/ another one that uses other units."""
    other = {**data, "shop": {**data["shop"], "units": UNITS}}
    with Server({"/": files_of(data), SHOP_B: files_of(other)}) as server:
        server.fault("*/phone/*", headers(Cache_Control="max-age=3600"))
        yield server


@pytest.fixture(scope="module")
def phone(chromium: Browser) -> Iterator[BrowserContext]:
    context = chromium.new_context(viewport=PHONE, has_touch=True)
    yield context
    context.close()


class Sums:
    """The calculators page as a person uses it."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.errors: list[str] = []
        page.set_default_timeout(PATIENCE)
        page.on("pageerror", lambda error: self.errors.append(str(error)))

    def come(self, server: Server, at: str = "/") -> Sums:
        self.page.goto(server.url(f"{at}calculators/"))
        self.page.wait_for_selector("html[data-ready]", state="attached")
        return self

    def group(self, name: str) -> Group:
        group = Group(self.page.locator(f"[data-group={name}]"))
        if group.root.get_attribute("open") is None:
            tap(group.root.locator("summary").first)
        return group

    def empty(self) -> None:
        tap(self.page.get_by_role("button", name="Empty all boxes"))

    def engine(self, name: str) -> None:
        fill(self.page.locator("[data-field=engine]"), name)


class Group:
    """One procedure's boxes and results."""

    def __init__(self, root: Locator) -> None:
        self.root = root

    def field(self, name: str) -> Locator:
        return self.root.locator(f'[data-field="{name}"]')

    def number(self, name: str) -> Locator:
        return self.field(name).locator("[data-field=number]")

    def unit(self, name: str) -> Locator:
        return self.field(name).locator("[data-field=unit]")

    def type(self, **typed: str) -> Group:
        """`drained="5,5 L"`, with the unit if there is a choice. A finding by its outcome, a date as year-month-day."""
        for name, text in typed.items():
            number, _, unit = text.partition(" ")
            if self.root.locator(f'select[data-field="{name}"]').count():
                fill(self.field(name), text)
            elif self.field(name).locator("[data-field=date]").count():
                fill(self.field(name).locator("[data-field=date]"), text)
            else:
                fill(self.number(name), number)
                if unit:
                    fill(self.unit(name), unit)
        return self

    def found(self, step: str, outcome: str) -> Group:
        fill(self.field(step), outcome)
        return self

    def result(self, name: str) -> Locator:
        return self.root.locator(f"[data-result={name}]")

    def figure(self, name: str) -> Locator:
        """Return the first figure of a result. Those of its working come later."""
        return self.result(name).locator(".figure").first

    def shows(self, name: str, figure: str, verdict: str | None = None) -> None:
        """Check the big figure of a result with its unit, and its verdict if one is given."""
        parts = re.escape(figure).replace(r"\ ", r"\s*")
        expect(self.figure(name)).to_have_text(re.compile(f"^{parts}$"))
        if verdict is not None:
            expect(self.result(name)).to_have_attribute("data-verdict", verdict)

    def lacks(self, name: str, *labels: str) -> None:
        expect(self.result(name).locator(".needs")).to_be_visible()
        expect(self.figure(name)).not_to_have_text(re.compile("[0-9]"))
        expect(self.result(name).locator(".need")).to_have_count(len(labels))
        for label in labels:
            expect(self.result(name).locator(".needs")).to_contain_text(f"“{label}”")


@pytest.fixture(scope="module")
def opened(shop: Server, phone: BrowserContext) -> Sums:
    """The page as it stays open on the bench."""
    return Sums(phone.new_page()).come(shop)


@pytest.fixture
def sums(opened: Sums) -> Iterator[Sums]:
    """The open page with all boxes empty."""
    opened.empty()
    yield opened
    assert not opened.errors, opened.errors


@pytest.fixture
def fresh(phone: BrowserContext) -> Iterator[Sums]:
    """A page of its own, not loaded yet."""
    sums = Sums(phone.new_page())
    yield sums
    sums.page.close()
    assert not sums.errors, sums.errors


def mix(sums: Sums, capacity: str, drained: str, **more: str) -> Group:
    group = sums.group("coolant-choice").found("coolant-kind", "flushed")
    return group.type(spilled="0", coolant_capacity=capacity, drained=drained, mix_wanted="50", **more)


# --- the figures ------------------------------------------------------------------------------------------------------

# Capacity, drained, concentrate, water: C·t - R·c and the rest, volumes taken as additive, worked out by hand. 3.75 and
# 1.75 are told as parts of 5.5 L: less concentrate protects less, so it is rounded up, and the water is what remains.
# Where the can comes out richer than 60 %, no refractometer reads it.
FLUSHED = [
    ("8.0 L", "5 L", "4.0 L", "1.0 L", "Beyond the refractometer"),
    ("7.5 L", "5.5 L", "3.8 L", "1.7 L", "Beyond the refractometer"),
    ("6.5 L", "6.5 L", "3.3 L", "3.2 L", "Possible"),
]


def test_what_was_typed_gives_the_concentrate_and_the_water(sums: Sums) -> None:
    for capacity, drained, concentrate, water, verdict in FLUSHED:
        group = mix(sums, capacity, drained)
        group.shows("concentrate", concentrate, verdict)
        group.shows("water", water)


def test_what_the_old_coolant_holds_is_read_from_its_freezing_point(sums: Sums) -> None:
    """20 % stayed inside: 10 L, 6 out, 4.20 of concentrate and 1.80 of water. A hair over 4.20 is rounded up."""
    group = mix(sums, "10 L", "6 L", freeze_now="-8.844 degC").found("coolant-kind", "ethylene")
    group.shows("mix_left", "20 %")
    group.shows("concentrate", "4.3 L", "Beyond the refractometer")
    group.shows("water", "1.7 L")


def test_a_mix_that_cannot_be_reached_says_so_and_a_second_drain_puts_it_right(sums: Sums) -> None:
    group = mix(sums, "9.0 L", "4 L")
    group.shows("concentrate", "4.5 L", "Not possible")
    expect(group.result("concentrate")).to_have_attribute("data-bad", "")
    expect(group.result("concentrate")).to_contain_text("reaches 44 %")
    group.type(drained="6")
    group.shows("concentrate", "4.5 L", "Beyond the refractometer")
    expect(group.result("concentrate")).not_to_have_attribute("data-bad", "")


def test_half_mix_poured_on_flush_water_is_too_thin(sums: Sums) -> None:
    group = mix(sums, "8 L", "5 L", mix_in_can="50")
    group.shows("mix_expected", "31 %", "Too thin")


def test_a_vacuum_that_no_gauge_shows_up_there_is_refused(sums: Sums) -> None:
    group = sums.group("refill-vacuum").found("coolant-kind", "flushed")
    group.type(mix_in_can="50", coolant_temperature="20", fill_vacuum="25 inHg(vac)", shop_altitude="0 m")
    expect(group.result("vacuum_wanted")).to_have_attribute("data-verdict", "Possible")
    group.type(shop_altitude="1500 m")
    group.shows("vacuum_greatest", "84.5 kPa vacuum")
    expect(group.result("vacuum_wanted")).to_have_attribute("data-verdict", "Not possible here")


def test_teeth_and_span_tension(sums: Sums) -> None:
    """24 teeth: 15 and 7.5 degrees. 6.4 g/(m·mm), 25 mm, 180 mm, 120 Hz: 298.6 N, worked out by hand."""
    timing = sums.group("prove-timing").type(crank_teeth="24")
    timing.shows("crank_a_tooth", "15.0 deg")
    timing.shows("cam_a_tooth", "7.5 deg")
    span = sums.group("span-tension")
    span.type(belt_mass="6.4", belt_width="25 mm", span_length="180 mm", belt_frequency="120 Hz")
    span.shows("span_tension", "299 N")


def test_today_is_the_day_on_this_phone(shop: Server, fresh: Sums) -> None:
    fresh.page.clock.set_fixed_time(datetime.datetime.combine(TODAY, datetime.time(12)))
    due = fresh.come(shop).group("agree-the-work").found("history", "known").found("use", "ordinary")
    due.found("belt-wet", "dry")
    due.type(belt_age="60 month", belt_distance="90000 km", odometer="84210 km", last_odometer="30000 km")
    due.type(last_change="2021-11-26")
    expect(due.result("belt_due")).to_have_attribute("data-verdict", "Not due yet")
    due.type(last_change="2021-11-25")
    expect(due.result("belt_due")).to_have_attribute("data-verdict", "Due by age")
    expect(due.root).to_contain_text("Today: 25 Nov 2026")


# --- not known yet ----------------------------------------------------------------------------------------------------


def test_a_result_says_what_it_needs_until_it_is_there(sums: Sums) -> None:
    group = sums.group("coolant-choice")
    group.lacks(
        "left_inside", "Coolant capacity", "Coolant drained", "Coolant that ran out after the drain (0 if none)"
    )
    group.type(coolant_capacity="8 L", spilled="0")
    group.lacks("left_inside", "Coolant drained")
    group.type(drained="5")
    group.shows("left_inside", "3.0 L")
    group.type(drained="")
    group.lacks("left_inside", "Coolant drained")


def test_a_finding_that_is_taken_away_is_not_known_again(sums: Sums) -> None:
    group = mix(sums, "8 L", "5 L")
    group.shows("mix_left", "0 %")
    group.found("coolant-kind", "")
    expect(group.result("mix_left").locator(".needs")).to_contain_text("Needs")
    expect(group.figure("mix_left")).not_to_have_text(re.compile("[0-9]"))


def test_the_working_names_each_figure_and_where_it_is_from(sums: Sums) -> None:
    sums.engine("brackwold-i4-16")
    group = sums.group("coolant-choice").type(spilled="0", drained="5 L")
    working = group.result("left_inside").locator(".working").first
    tap(working.locator("summary").first)
    expect(working.locator("li", has_text="Coolant capacity").first).to_contain_text("6.2 L")
    expect(working.locator("li", has_text="Coolant capacity").first).to_contain_text("WM-16")
    out = group.result("came_out").locator(".working").first
    tap(out.locator("summary").first)
    expect(out.locator("li", has_text="Coolant drained")).to_contain_text("Typed here")


# --- boxes ------------------------------------------------------------------------------------------------------------


def test_a_decimal_comma_is_a_point(sums: Sums) -> None:
    group = sums.group("coolant-choice").type(spilled="0", coolant_capacity="8,0", drained="5,5")
    group.shows("left_inside", "2.5 L")
    expect(group.number("drained")).to_have_value("5,5")


def test_another_unit_keeps_what_was_typed_and_means_something_else(sums: Sums) -> None:
    group = sums.group("coolant-choice").type(spilled="0", coolant_capacity="8 L", drained="5,50 L")
    fill(group.unit("drained"), "qt")
    expect(group.number("drained")).to_have_value("5,50")
    group.shows("left_inside", "2.8 L")
    fill(group.unit("drained"), "L")
    group.shows("left_inside", "2.5 L")


def test_a_figure_outside_its_limits_is_asked_about_and_taken(sums: Sums) -> None:
    group = sums.group("coolant-choice").type(spilled="0", coolant_capacity="80 L", drained="55 L")
    group.number("drained").blur()
    expect(group.field("drained")).to_contain_text("Did you mean 5.5 L")
    group.shows("left_inside", "25.0 L")


@pytest.mark.parametrize("typed", ["0 L", "-6 L", "201 L"])
def test_a_value_that_cannot_be_is_asked_about(sums: Sums, typed: str) -> None:
    group = sums.group("coolant-choice").type(spilled="0", coolant_capacity=typed)
    group.number("coolant_capacity").blur()
    expect(group.field("coolant_capacity")).to_contain_text(f"Sure? {typed}")


def test_a_number_with_two_meanings_is_asked_back_and_counts_when_one_was_chosen(sums: Sums) -> None:
    due = sums.group("agree-the-work").found("history", "known").found("use", "ordinary").found("belt-wet", "dry")
    due.type(belt_age="60 month", belt_distance="90000 km", last_odometer="30000 km", last_change="2026-11-01")
    due.type(odometer="121,350 km")
    due.number("odometer").blur()
    expect(due.result("belt_due").locator(".needs")).to_contain_text("Odometer")
    asked = due.field("odometer").locator("[data-which]")
    expect(asked).to_contain_text("Did you mean 121.35 km or 121350 km?")
    assert due.number("odometer").input_value() == "121,350"
    tap(asked.get_by_role("button", name="121350 km"))
    expect(asked).not_to_be_visible()
    expect(due.result("belt_due")).to_have_attribute("data-verdict", "Due by distance")


def test_a_number_with_two_meanings_goes_when_all_boxes_are_emptied(sums: Sums) -> None:
    due = sums.group("agree-the-work").type(odometer="121.350 km")
    due.number("odometer").blur()
    asked = due.field("odometer").locator("[data-which]")
    expect(asked).to_be_visible()
    sums.empty()
    expect(due.number("odometer")).to_have_value("")
    expect(asked).not_to_be_visible()


def test_a_figure_of_one_name_is_the_same_in_every_group(sums: Sums) -> None:
    sums.group("coolant-choice").type(spilled="0", drained="5.5 L")
    refill = sums.group("refill-gravity")
    expect(refill.number("drained")).to_have_value("5.5")
    refill.type(coolant_capacity="8 L", filled="4.5 L")
    refill.shows("air_trapped", "1.0 L", "Air inside")


def test_the_units_of_the_shop_come_first(shop: Server, fresh: Sums) -> None:
    group = fresh.come(shop, SHOP_B).group("coolant-choice").type(spilled="0", coolant_capacity="8", drained="5")
    expect(group.unit("drained")).to_have_value("qt")
    group.shows("left_inside", "3.0 qt")


def test_all_of_it_fits_a_small_phone_and_a_gloved_finger(data: Data, sums: Sums) -> None:
    sums.engine("brackwold-i4-16")
    for group in data["groups"]:
        sums.group(group["id"]).type(**{name: "1" for name, box in group["readings"].items() if box["kind"] != "date"})
    wide, low = sums.page.evaluate(FITS)
    assert wide <= PHONE["width"]
    assert low == []


# --- the engine sheet -------------------------------------------------------------------------------------------------


def test_an_engine_fills_its_values_in_with_where_each_was_read(sums: Sums) -> None:
    sums.engine("brackwold-i4-16")
    group = sums.group("coolant-choice").type(spilled="0", drained="5")
    expect(group.number("coolant_capacity")).to_have_value("6.2")
    expect(group.field("coolant_capacity").locator("[data-source]")).to_contain_text("WM-16, 3rd edition, section 5")
    group.shows("left_inside", "1.2 L")
    sums.engine("")
    expect(group.number("coolant_capacity")).to_have_value("")
    group.lacks("left_inside", "Coolant capacity")


def test_a_value_typed_over_the_sheets_is_marked_and_can_be_taken_back(sums: Sums) -> None:
    sums.engine("brackwold-i4-16")
    group = sums.group("coolant-choice").type(spilled="0", drained="5", coolant_capacity="8")
    group.shows("left_inside", "3.0 L")
    box = group.field("coolant_capacity")
    expect(box).to_contain_text("Typed here. The sheet says 6.2 L")
    expect(box.locator("[data-source]")).to_have_count(0)
    tap(box.locator("button").last)
    expect(group.number("coolant_capacity")).to_have_value("6.2")
    group.shows("left_inside", "1.2 L")


def test_a_value_typed_for_one_engine_does_not_go_over_to_another(sums: Sums) -> None:
    sums.engine("brackwold-i4-16")
    group = sums.group("coolant-choice").type(spilled="0", drained="5", coolant_capacity="8")
    sums.engine("brackwold-f4-23")
    expect(group.number("coolant_capacity")).to_have_value("8.7")
    expect(group.number("drained")).to_have_value("5")


def test_what_no_sheet_gives_is_taken_from_the_result_that_fills_it(sums: Sums) -> None:
    group = sums.group("refill-vacuum").found("coolant-kind", "flushed")
    group.type(mix_in_can="50", coolant_temperature="20")
    expect(group.field("fill_vacuum")).to_contain_text("83 kPa vacuum, “Usual vacuum in this air”")
    expect(group.number("fill_vacuum")).to_have_value("")
    expect(group.result("vacuum_wanted")).to_have_attribute("data-verdict", "Possible")


def test_a_sheets_value_that_was_emptied_is_not_known_and_nothing_fills_it(sums: Sums) -> None:
    sums.engine("brackwold-i4-16")
    group = sums.group("refill-vacuum").found("coolant-kind", "flushed").type(mix_in_can="50", coolant_temperature="20")
    group.type(fill_vacuum="")
    group.lacks("vacuum_wanted", "Vacuum to pull")
    expect(group.field("fill_vacuum")).to_contain_text("The sheet says 85 kPa")


# --- nothing is kept, and no network is needed ------------------------------------------------------------------------


def test_nothing_is_kept_and_the_page_says_so(shop: Server, fresh: Sums) -> None:
    expect(fresh.come(shop).page.locator("main")).to_contain_text("Nothing here is saved")
    mix(fresh, "8 L", "5 L").shows("concentrate", "4.0 L")
    assert fresh.page.evaluate(KEPT) == 0
    fresh.page.reload()
    fresh.page.wait_for_selector("html[data-ready]", state="attached")
    group = fresh.group("coolant-choice")
    expect(group.number("drained")).to_have_value("")
    expect(group.field("coolant-kind")).to_have_value("")


def test_one_press_empties_all_boxes(sums: Sums) -> None:
    sums.engine("brackwold-i4-16")
    group = mix(sums, "8 L", "5 L")
    sums.empty()
    expect(group.number("drained")).to_have_value("")
    expect(group.number("coolant_capacity")).to_have_value("")
    expect(sums.page.locator("[data-field=engine]")).to_have_value("")


def test_formulas_that_do_not_arrive_are_said(shop: Server, fresh: Sums) -> None:
    shop.fault("/calculators/data.json", status(500), nth=1)
    fresh.come(shop)
    expect(fresh.page.get_by_role("alert")).to_contain_text("The formulas did not arrive")
    fresh.come(shop)
    expect(fresh.page.locator("[data-group]").first).to_be_visible()


def test_after_one_visit_it_works_with_no_network(data: Data, chromium: Browser) -> None:
    context = chromium.new_context(viewport=PHONE)
    with Server({"/": with_worker(files_of(data))}) as server:
        sums = Sums(context.new_page())
        sums.page.goto(server.url("/"))
        sums.page.wait_for_selector("html[data-offline=ready]", state="attached", timeout=60_000)
        server.stop()
        tap(sums.page.get_by_role("link", name="Calculators"))
        sums.page.wait_for_selector("html[data-ready]", state="attached")
        sums.engine("brackwold-i4-16")
        group = sums.group("coolant-choice").type(spilled="0", drained="5,2")
        group.shows("left_inside", "1.0 L")
    context.close()
    assert not sums.errors, sums.errors


# --- the desk says the same -------------------------------------------------------------------------------------------


def test_page_and_desk_say_the_same_of_sixty_inputs(chromium: Browser) -> None:
    count, differ = calculators_harness.run(chromium, 60, seed=3)
    assert differ == []
    assert count.known > 200 and count.judged > 40 and count.control > 20
