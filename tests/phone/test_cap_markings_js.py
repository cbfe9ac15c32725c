"""Cap markings on the phone: the same verdicts as at the desk, over every pair of markings."""

from __future__ import annotations

import re
from typing import Any

import pytest

from generator.quantities.told import half_division
from tests.quantities.test_cap_markings import GRID, base, expected
from tests.support import demo
from tests.support.node import Phone

ASK = """async ({ results, cases }) => {
  const { workOut } = await import('/phone/quantities/results.js');
  return cases.map((names) => workOut(results, names, {}, {}).pump_to.verdict);
}"""


def width(sheet: dict[str, Any], reading: str, mark: str) -> dict[str, float | None]:
    """Return the needle width of a reading in the unit of this marking."""
    unit = re.sub("^[0-9.]+", "", mark)
    return {f"{reading}.needle": half_division(sheet["readings"][reading], unit, sheet["units"])}


@pytest.mark.parametrize("layout", ["inline-four", "flat-four"])
def test_the_phone_judges_every_pair_of_markings_as_the_desk_does(phone: Phone, layout: str):
    sheet = demo.sheet(layout)
    results = [result for result in sheet["results"] if result["name"] == "pump_to"]
    pumped = {"pressure_start": base("20kPa(g)"), **width(sheet, "pressure_start", "20kPa(g)")}
    cases = [
        {"cap_says": base(cap), "cap_rating": base(rating), "test_pressure": base(rating)}
        | pumped
        | width(sheet, "cap_says", cap)
        for (_, cap), (_, rating) in GRID
    ]
    verdicts = phone.evaluate(ASK, {"results": results, "cases": cases})
    assert verdicts == [expected(cap, sheet) for (cap, _), (sheet, _) in GRID]
