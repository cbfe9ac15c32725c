"""Cap markings on the phone: the same verdicts as at the desk, over every pair of markings."""

from __future__ import annotations

import pytest

from tests.quantities.test_cap_markings import GRID, base, expected
from tests.support import demo
from tests.support.node import Phone

ASK = """async ({ results, cases }) => {
  const { workOut } = await import('/phone/quantities/results.js');
  return cases.map((names) => workOut(results, names, {}, {}).test_at.verdict);
}"""


@pytest.mark.parametrize("layout", ["inline-four", "flat-four"])
def test_the_phone_judges_every_pair_of_markings_as_the_desk_does(phone: Phone, layout: str):
    results = [result for result in demo.sheet(layout)["results"] if result["name"] == "test_at"]
    pumped = base("20kPa(g)")
    cases = [
        {"cap_says": base(cap), "cap_rating": base(sheet), "test_pressure": base(sheet), "pressure_start": pumped}
        for (_, cap), (_, sheet) in GRID
    ]
    verdicts = phone.evaluate(ASK, {"results": results, "cases": cases})
    assert verdicts == [expected(cap, sheet) for (cap, _), (sheet, _) in GRID]
