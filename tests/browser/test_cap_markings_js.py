"""Cap markings on the phone: the same verdicts as at the desk, over every pair of markings."""

from __future__ import annotations

import json

import pytest
from playwright.sync_api import Browser

from tests import demo
from tests.browser.server import Server
from tests.test_cap_markings import GRID, base, expected

pytestmark = pytest.mark.browser

ASK = """async (text) => {
  const { workOut } = await import('/phone/results.js');
  const { results, cases } = JSON.parse(text);
  return JSON.stringify(cases.map((names) => workOut(results, names, {}, {}).test_at.verdict));
}"""


@pytest.mark.parametrize("layout", ["inline-four", "flat-four"])
def test_the_phone_judges_every_pair_of_markings_as_the_desk_does(chromium: Browser, pages: Server, layout: str):
    results = [result for result in demo.sheet(layout)["results"] if result["name"] == "test_at"]
    pumped = base("20kPa(g)")
    cases = [
        {"cap_says": base(cap), "cap_rating": base(sheet), "test_pressure": base(sheet), "pressure_start": pumped}
        for (_, cap), (_, sheet) in GRID
    ]
    page = chromium.new_page()
    page.goto(pages.url("/phone/results.js"))
    verdicts = json.loads(page.evaluate(ASK, json.dumps({"results": results, "cases": cases})))
    page.close()
    assert verdicts == [expected(cap, sheet) for (cap, _), (sheet, _) in GRID]
