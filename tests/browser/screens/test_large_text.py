"""Text at 100 and 200 % of its size, on narrow phones: none over other text, cut off or wider than the screen.

Once with a larger font size of the browser (sizes in rem grow with it), once with a zoom of the text alone (nothing
else grows). A row of the list shows the first two lines of its step; the step itself shows all.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from itertools import product
from typing import Any, Literal

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright

from tests.browser import bays
from tests.browser.bays import PHONE, Bay
from tests.browser.drive import Drive
from tests.browser.engines import launch_chromium
from tests.browser.sample_sheet import readings_sheet
from tests.browser.screens.test_screens import cut
from tests.browser.server import Server
from tests.browser.touch import tap
from tests.support import demo
from tests.support.sample_sheet import sample_sheet

shop = bays.shop
WIDTHS = (320, 360)
SCHEMES: tuple[Literal["light", "dark"], ...] = ("light", "dark")

# What is wrong with the text as drawn: outside the screen, outside the control that holds it, over other text.
MEASURE = """() => {
  const HOLDERS = 'button, summary, .top .name, .foot .bar, [role=button], a.row, a.card, .value, .not-yet';
  const BARS = '.top > .bar, .foot > .bar, .step[open] > summary, .sheet button';
  const wrong = new Set();
  const wide = document.documentElement.scrollWidth;
  if (wide > innerWidth) wrong.add(`the page is ${wide} wide`);
  const isSeen = (parent) => {
    if (!parent.checkVisibility() || parent.closest('svg, option, select')) return false;
    if (parent.closest('.step:not([open]) > summary .line-text')) return false;
    for (let at = parent; at; at = at.parentElement) if (getComputedStyle(at).clipPath !== 'none') return false;
    return true;
  };
  const pieces = [];
  const all = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = all.nextNode(); node; node = all.nextNode()) {
    if (!node.data.trim() || !isSeen(node.parentElement)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const said = node.data.trim().slice(0, 40);
    for (const rect of range.getClientRects()) if (rect.width > 2) pieces.push({ said, node, rect });
  }
  for (const { said, node, rect } of pieces) {
    if (rect.right > innerWidth + 1 || rect.left < -1) wrong.add(`"${said}" is cut off by the screen`);
    const box = node.parentElement.closest(HOLDERS)?.getBoundingClientRect();
    const isWide = box && (rect.right > box.right + 2 || rect.left < box.left - 2);
    const isTall = box && (rect.bottom > box.bottom + 3 || rect.top < box.top - 3);
    if (isWide || isTall) wrong.add(`"${said}" leaves its control`);
  }
  const bars = pieces.filter(({ node }) => node.parentElement.closest(BARS));
  const areaOf = ({ node }) => node.parentElement.closest('.top, .foot, .step');
  for (const [at, one] of bars.entries()) {
    for (const other of bars.slice(at + 1)) {
      if (one.node === other.node || areaOf(one) !== areaOf(other)) continue;
      const over = Math.min(one.rect.right, other.rect.right) - Math.max(one.rect.left, other.rect.left);
      const under = Math.min(one.rect.bottom, other.rect.bottom) - Math.max(one.rect.top, other.rect.top);
      const least = Math.min(one.rect.height, other.rect.height);
      if (over > 2 && under > least / 3) wrong.add(`"${one.said}" over "${other.said}"`);
    }
  }
  return [...wrong];
}"""

# A zoom of the text alone: every font grows, every length stays.
ZOOM = """factor => {
  const all = [...document.body.querySelectorAll('*')].filter((one) => !one.closest('svg'));
  const sizes = all.map((one) => parseFloat(getComputedStyle(one).fontSize));
  all.forEach((one, at) => { one.style.fontSize = `${sizes[at] * factor}px`; });
}"""


@pytest.fixture(scope="module", params=[16, 32], ids=["100", "200"])
def context(playwright: Playwright, request: Any) -> Iterator[BrowserContext]:
    """A phone whose browser has a font size of so many px."""
    browser = launch_chromium(playwright, f"--blink-settings=defaultFontSize={request.param}")
    yield browser.new_context(viewport=PHONE, has_touch=True)
    browser.close()


def wrongs(page: Page) -> dict[tuple[int, str], list[str]]:
    """Return what is wrong on the screen now: {(width, scheme): sentences}."""
    found = {}
    for width, scheme in product(WIDTHS, SCHEMES):
        page.set_viewport_size({"width": width, "height": 740})
        page.emulate_media(color_scheme=scheme)
        page.wait_for_timeout(30)
        found[width, scheme] = page.evaluate(MEASURE)
    return {how: said for how, said in found.items() if said}


def screens(bay: Bay) -> Iterator[tuple[str, Drive]]:
    """Yield the pages and screens, one after another."""
    bay.serve(cut("lock", "lock-out", "two-turns", "tensioner", "idler", "drain", "seal", "strip-down"))
    drive = bay.drive
    for path in ("", "jobs/", "w/belt-service-four/"):
        drive.open(path)
        yield path or "start", drive
    bay.begin(cut("lock", "lock-out", "two-turns", "tensioner", "idler", "drain", "seal", "strip-down", "windows"))
    drive.look("windows")
    drive.close("windows")
    for path in ("strip-down", "lock", "two-turns", "tensioner", "idler", "drain", "seal"):
        drive.look(path)
        yield path, drive
    drive.reveal(bay.page.locator("[data-job] [data-action=took-off]"))
    yield "menu", drive
    drive = bay.begin(readings_sheet("drain", "cold", "freeze", "mix", "hold"), job="J-2")
    for path in ("drain", "mix", "hold"):
        drive.look(path)
        yield path, drive


def test_no_text_is_over_another_cut_off_or_wider_than_the_phone(context: BrowserContext, shop: Server) -> None:
    assert {name: said for name, drive in screens(Bay(shop, context)) if (said := wrongs(drive.page))} == {}


@pytest.fixture(scope="module")
def site() -> Iterator[Server]:
    """The demo's whole site, for the pages that no single worksheet has."""
    with Server({"/": demo.built().files}) as running:
        yield running


def test_the_calculators_the_torque_sheet_and_the_page_that_is_not_here(context: BrowserContext, site: Server) -> None:
    worksheet = demo.sheet("inline-four")["worksheet"]
    page = context.new_page()
    said = {}
    for path in ("calculators/", f"w/{worksheet}/torque/", "offline/"):
        page.goto(site.url(f"/{path}"))
        page.wait_for_load_state("load")
        for fold in page.locator("main details > summary").all()[:2]:
            tap(fold)
        said[path] = wrongs(page)
    page.close()
    assert {path: wrong for path, wrong in said.items() if wrong} == {}


def test_a_zoom_of_the_text_alone_prints_nothing_over_anything(chromium: Browser, shop: Server) -> None:
    context = chromium.new_context(viewport=PHONE, has_touch=True)
    bay = Bay(shop, context)
    drive = bay.begin(cut("lock", "lock-out", "two-turns", "tensioner"))
    for path in ("lock", "two-turns", "tensioner"):
        drive.look(path)
        bay.page.evaluate(ZOOM, 2)
        assert wrongs(bay.page) == {}, path
        drive.reopen()
    context.close()


HOSTILE = (
    "<b onclick=alert(1)>Under</b> the \u202eleft\u202c cover; {stick_out}, `see` **the book** & 5 < 6 \u2014 "
    "Ventilkappendichtungsschraubenkopfdurchmesserangabe, then as the maker says, then "
).ljust(193, "x") + ", \U0001f527 end"


def test_whatever_words_a_sheet_holds_they_stand_whole_on_lines_of_their_own(
    context: BrowserContext, shop: Server
) -> None:
    """Two hundred characters of a sheet change no word of an instruction, hide no button and make nothing wider."""
    sheet = copy.deepcopy(demo.sheet("inline-four"))
    worded = {name for name, value in sheet["values"].items() if value["text"] and not value["number"]}
    for name in worded:
        sheet["values"][name]["text"] = HOSTILE
    steps = [one for one in sheet["steps"] if worded & {*one["values"], *one.get("says", [])} and not one["when"]]
    assert len(HOSTILE) == 200 and len(steps) > 20
    steps = steps[::4]  # of each stage some
    shown_as = HOSTILE.replace("\u202e", "[U+202E]").replace("\u202c", "[U+202C]")
    bay = Bay(shop, context)
    drive = bay.begin(sheet, job="J-3")
    for step in steps:
        shown = drive.look(step["path"])
        said = shown.locator("[data-value]", has_text="Ventilkappendichtungs")
        assert said.count() == len(worded & {*step["values"]}), step["path"]
        for line in said.all():
            assert shown_as in line.inner_text() and line.locator("b").count() == 0
        assert "Ventilkappendichtungs" not in shown.locator(".do").inner_text()
        assert drive.page.evaluate(MEASURE) == [], step["path"]
    bay.page.close()


def test_the_measure_finds_what_is_wrong(chromium: Browser, shop: Server) -> None:
    """The header with its old fault: two bars of a fixed height."""
    context = chromium.new_context(viewport=PHONE, has_touch=True)
    bay = Bay(shop, context)
    bay.begin(sample_sheet())
    stiff = "height: 56px; min-height: 0; flex-wrap: nowrap"
    bay.page.locator(".top .bar").evaluate_all("(all, how) => all.forEach(one => { one.style.cssText = how; })", stiff)
    bay.page.evaluate(ZOOM, 2)
    assert wrongs(bay.page) != {}
    context.close()
