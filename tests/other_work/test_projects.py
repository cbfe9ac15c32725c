"""Three shops that share nothing with the library but the language: their own words, sheets and procedures."""

from __future__ import annotations

import json
import re

import pytest

from generator.site.build import check_texts
from tests.other_work import projects as other_work
from tests.support import demo

PLACES = {"supply": "Rack and place", "clutch": "Car, as the shop writes it", "brakes": "Car, as the shop writes it"}


def faults_after(name: str, file: str, was: str, now: str) -> list[str]:
    """Check a project in which one text was replaced. Returns the names of the faults."""
    texts = {path: text.decode() for path, text in other_work.texts(name).items()}
    assert texts[file].count(was) == 1
    changed = {**texts, file: texts[file].replace(was, now)}
    return [type(fault).__name__ for fault in check_texts(changed).faults]


@pytest.mark.parametrize("name", other_work.NAMES)
def test_it_checks_without_a_fault_and_leaves_nothing_unchecked(name: str) -> None:
    found = other_work.checked(name)
    assert [f"{fault.place} {fault.said}" for fault in (*found.faults, *found.notes)] == []
    sheet = other_work.sheet(name)
    assert next(box["label"] for box in sheet["trade"]["start"] if box["name"] == "what") == PLACES[name]
    unread = {name for name, value in sheet["values"].items() if not value["source"]}
    assert unread == ({"charge_limit"} if name == "supply" else set()), "all else says where it was read"


@pytest.mark.parametrize("name", other_work.NAMES)
def test_it_builds_pages_that_name_its_own_sheet(name: str) -> None:
    files = other_work.built(name)
    page = files[f"w/{other_work.sheet(name)['worksheet']}/index.html"].decode()
    assert {"supply": "supply sheet", "clutch": "clutch sheet", "brakes": "brake sheet"}[name] in page
    assert "engine sheet" not in page


def test_the_supply_takes_no_word_of_the_car_trade_into_its_worksheet() -> None:
    trade = json.dumps(other_work.sheet("supply")["trade"])
    assert not any(word in trade for word in ("odometer", "starter", "undertray", "apprentice", '"car"', "engine"))


TRADE = "procedures/trade.yml"


@pytest.mark.parametrize(
    ("name", "file", "was", "now", "fault"),
    [
        # The load's proof wants a wait under load before it, and the clutch's and the pedal's theirs.
        ("supply", TRADE, "closed_by: inspect, after: wait", "closed_by: inspect, after: turn", "ProofTooEarly"),
        ("clutch", TRADE, "closed_by: inspect, after: measure", "closed_by: inspect, after: wait", "ProofTooEarly"),
        ("brakes", TRADE, "closed_by: inspect, after: wait", "closed_by: inspect, after: turn", "ProofTooEarly"),
        # A gate of one's own is asked for.
        ("supply", "procedures/change-batteries.yml", "        gate: power-on\n", "", "GateMissing"),
        ("supply", "procedures/change-batteries.yml", "gate: load-back}", "}", "GateMissing"),
        ("clutch", "procedures/change-clutch.yml", "gate: gearbox-on, ", "", "GateMissing"),
        ("brakes", "procedures/change-brake-fluid.yml", "gate: wheels-turn, ", "", "GateMissing"),
        # What a gate waits for is closed before it.
        ("supply", "procedures/change-batteries.yml", "        closes: [tags]\n", "", "NeverClosed"),
        ("clutch", "procedures/change-clutch.yml", "closes: [aligner, lock], ", "", "NeverClosed"),
        ("brakes", "procedures/bleed-corner.yml", ", closes: [bleed_hose]", "", "NeverClosed"),
        # A kind that a tightening closes is a bolt, whatever it is called.
        ("supply", "procedures/change-string.yml", "check: {tighten: string_bolts}", "check: tick", "BoltNotTightened"),
        ("brakes", "procedures/bleed-corner.yml", "check: {tighten: bleed_screw}", "check: tick", "BoltNotTightened"),
        # A failure that nothing catches any more.
        ("supply", "procedures/change-batteries.yml", "        catches: [left-on-bypass]\n", "", "NotCaught"),
        ("brakes", "procedures/change-brake-fluid.yml", "        catches: [air-left-in]\n", "", "NotCaught"),
        ("clutch", "procedures/change-clutch.yml", ", catches: [aligner-left-in]", "", "NotCaught"),
    ],
)
def test_what_would_hurt_somebody_is_found(name: str, file: str, was: str, now: str, fault: str) -> None:
    assert fault in faults_after(name, file, was, now)


def test_a_word_of_the_library_is_no_word_here() -> None:
    assert "UnknownTradeWord" in faults_after(
        "supply", "procedures/change-batteries.yml", "gate: load-back}", "gate: road}"
    )


# --- The project that the guide prints --------------------------------------------------------------------------------

GUIDE = demo.ROOT / "docs/guide/other-work.md"


def printed() -> dict[str, str]:
    """Return the files that the guide's page prints, by the path in the first line of each."""
    blocks = re.findall(r"^```yaml\n# (\S+)\n(.*?)^```$", GUIDE.read_text(), flags=re.DOTALL | re.MULTILINE)
    return dict(blocks)


def test_the_project_that_the_guide_prints_checks_as_it_stands() -> None:
    listed = re.findall(r"^    ((?:procedures|shop)/\S+)$", GUIDE.read_text(), flags=re.MULTILINE)
    assert sorted(printed()) == sorted(listed)
    found = check_texts(printed())
    assert [f"{fault.place} {fault.said}" for fault in (*found.faults, *found.notes)] == []
    assert [sheet["worksheet"] for sheet in found.sheets] == ["change-filters--halm-d2"]


# A missing shop.yml is told by who reads the folders, with the place where it should be.
@pytest.mark.parametrize("path", sorted(set(printed()) - {"shop/shop.yml"}))
def test_it_needs_each_of_the_files_that_the_guide_prints(path: str) -> None:
    rest = {name: text for name, text in printed().items() if name != path}
    found = check_texts(rest)
    assert found.faults or found.notes
