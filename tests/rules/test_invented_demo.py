"""The demo is plainly invented, and what it said once of engines that a mechanic could place does not come back.

The names and figures that are gone are read from `tests/earlier_shop/`, which keeps them as a record. They stand
nowhere outside such records.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.support import demo

ROOT = demo.ROOT
EARLIER = ROOT / "tests/earlier_shop"
RECORDS = (EARLIER, *(ROOT / "tests" / name for name in ("earlier_site", "golden/2026-11", "told")))
FOLDERS = ("demo_jobs", "docs", "generator", "procedures", "site_overrides", "tests", "tools")
TEXTS = {".css", ".html", ".js", ".json", ".md", ".mjs", ".py", ".sh", ".svg", ".txt", ".yml"}
NOT_OURS = {"node_modules", "vendor", "package-lock.json", "__pycache__"}
LETTERED = re.compile(r"\b[A-Z]{2}-[0-9]{4,5}\b(?!-)")  # a part number that begins with letters for its kind
FIGURES = ("torque", "count", "length", "volume", "pressure", "belt_mass", "then")

# The values by which a mechanic could place an engine of the earlier shop.
CHANGED = {
    "flat-four": (
        "belt_teeth", "crank_teeth", "stick_out", "coolant_capacity", "cap_rating", "test_pressure", "fan_on",
        "tensioner_bolts", "idler_bolts", "pump_bolts", "cam_bolts", "crank_bolt", "thermostat_bolts", "fan_bolts",
        "upper_cover_bolts", "lower_cover_bolts", "timing_position", "timing_marks", "second_proof", "safe_crank",
        "belt_route", "tensioner_stance", "tensioner_release", "thermostat_orientation", "accessory_route",
    ),
    "inline-four": ("belt_teeth", "crank_teeth", "idler_bolts", "cam_bolts"),
    "inline-three": ("belt_teeth", "crank_teeth", "tensioner_bolts", "cam_bolts", "belt_mass", "safe_crank"),
    "vee-six": (
        "belt_teeth_left", "belt_teeth_right", "crank_teeth", "tensioner_bolts_left", "tensioner_bolts_right",
        "cam_bolts_left", "cam_bolts_right", "timing_position", "timing_marks", "safe_crank",
    ),
}  # fmt: skip
NOT_A_FIGURE = {"source", "at", "bolt", "fastener", "reuse", "condition", "order"}

Sheet = Mapping[str, Any]


def sheets(folder: Path) -> dict[str, Sheet]:
    """Return the engine sheets of a shop's folder by the layout of the engine."""
    read = [yaml.safe_load(path.read_text()) for path in sorted((folder / "engines").glob("*.yml"))]
    return {sheet["facts"]["layout"]: sheet for sheet in read}


@cache
def gone() -> frozenset[str]:
    """Return names that stand nowhere any more: makers, ids, engine codes, part numbers, the shop's title."""
    names: set[str] = set()
    for sheet in sheets(EARLIER).values():
        names |= {sheet["engine"], sheet["title"].split()[0], sheet["values"]["engine_code"]["text"]}
        names |= {number for part in sheet["parts"].values() for number in LETTERED.findall(part)}
    names.add(" ".join(yaml.safe_load((EARLIER / "shop.yml").read_text())["title"].split()[1:3]))
    return frozenset(name.lower() for name in names)


def found_in(text: str) -> list[str]:
    """Return what stands in a text and should not: a name that is gone, or a part number with letters for the part."""
    return [name for name in sorted(gone()) if name in text.lower()] + LETTERED.findall(text)


def files() -> Iterator[Path]:
    for path in [
        *ROOT.glob("*.md"),
        *ROOT.glob("*.yml"),
        *(each for one in FOLDERS for each in (ROOT / one).rglob("*")),
    ]:
        ours = not NOT_OURS.intersection(path.parts) and not any(path.is_relative_to(record) for record in RECORDS)
        if ours and path.suffix in TEXTS and path.is_file():
            yield path


def said(sheet: Sheet, name: str) -> dict[str, Any]:
    """Return the figures or the text of a value, without where it was read and what bolt it is for."""
    found = {key: one for key, one in sheet["values"][name].items() if key not in NOT_A_FIGURE}
    return {key: one for key, one in found.items() if key != "count" or len(found) == 1}


def teeth(sheet: Sheet) -> set[tuple[Any, Any]]:
    values = sheet["values"]
    belts = [values[name]["count"] for name in values if name.startswith("belt_teeth")]
    return {(belt, values["crank_teeth"]["count"]) for belt in belts}


def test_the_earlier_shop_tells_which_names_are_gone() -> None:
    kinds = (str.isalpha, lambda name: " " in name, lambda name: name.count("-") == 2, lambda name: name[2:3] == "-")
    assert len(gone()) > 40 and all(any(map(kind, gone())) for kind in kinds)


def test_what_is_gone_would_be_found() -> None:
    for name in gone():
        assert found_in(f"x {name.title()} x") and found_in(f"x/{name}.yml")
    assert found_in("belt: " + "-".join(("ZB", "4711"))) and not found_in("R-7-KS-2026-10-02 16/012")


def test_no_name_and_no_part_number_of_the_earlier_shop_stands_outside_the_records() -> None:
    looked = list(files())
    assert len(looked) > 500 and {Path(__file__), ROOT / "README.md"} <= {*looked}
    wrong = {path.relative_to(ROOT).as_posix(): found_in(path.read_text(errors="replace")) for path in looked}
    assert {path: names for path, names in wrong.items() if names} == {}


@pytest.mark.parametrize("layout", CHANGED)
def test_the_figures_that_could_be_placed_are_others(layout: str) -> None:
    now, before = sheets(ROOT / "demo_jobs")[layout], sheets(EARLIER)[layout]
    assert [name for name in CHANGED[layout] if said(now, name) == said(before, name)] == []


def test_no_engine_has_a_belt_and_a_crank_sprocket_of_the_earlier_ones() -> None:
    before = {pair for sheet in sheets(EARLIER).values() for pair in teeth(sheet)}
    now = [pair for sheet in sheets(ROOT / "demo_jobs").values() for pair in teeth(sheet)]
    assert len(before) == 5 and before.isdisjoint(now) and len({*now}) == len(now)


def test_a_part_number_has_no_letter() -> None:
    for sheet in sheets(ROOT / "demo_jobs").values():
        for part in sheet["parts"].values():
            said = part["number"] if isinstance(part, dict) else part
            numbers = [word.strip(",") for word in said.split() if re.search("[0-9]", word)]
            assert all(re.fullmatch("[0-9]{2}/[0-9]{3}", number) for number in numbers), part
