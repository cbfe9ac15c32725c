"""Every word of the trade is replaced by an invented one, and nothing but these words changes in any worksheet."""

from __future__ import annotations

import json
from typing import Any

import pytest

from generator.compile.job_values import UNLISTED
from tests.support import demo, nonsense
from tests.support.walker import gone_to

NAMES = [sheet["worksheet"] for sheet in demo.checked().sheets]


def sheets() -> dict[str, dict[str, Any]]:
    made = nonsense.checked()
    assert made.faults == ()
    return {sheet["worksheet"]: json.loads(json.dumps(sheet)) for sheet in made.sheets}


def bare(sheet: Any) -> dict[str, Any]:
    """Return a worksheet without its words and the digests that depend on them."""
    said = json.loads(json.dumps(sheet))
    for step in said["steps"]:
        del step["duty"], step["wording"]
    return {name: of for name, of in said.items() if name != "trade"}


def renamed(sheet: dict[str, Any]) -> dict[str, Any]:
    """Return what a real worksheet says, in the invented words."""
    words = nonsense.texts()[1]
    for item in sheet["items"].values():
        item["kind"] = words.known("kinds", item["kind"])
        item["list"] = item["list"] and words.known("lists", item["list"])
    for step in sheet["steps"]:
        if step["check"].get("list"):
            step["check"]["list"] = words.known("lists", step["check"]["list"])
        if gate := step["gate"]:
            gate["for"] = words.known("gates", gate["for"])
            gate["kinds"] = sorted(words.known("kinds", kind) for kind in gate["kinds"])
            gate["lists"] = sorted(words.known("lists", name) for name in gate["lists"])
    for value in sheet["values"].values():
        if value["missing"] == UNLISTED.format(sheet="engine sheet"):
            value["missing"] = UNLISTED.format(sheet=nonsense.SHEET)
    facts = sheet["engine"]["facts"]
    sheet["engine"]["facts"] = {words.known("facts", f): words.known(f"word of {f}", w) for f, w in facts.items()}
    for person in sheet["shop"]["people"]:
        person["role"] = words.known("roles", person["role"])
    return sheet


@pytest.mark.parametrize("name", NAMES)
def test_a_worksheet_differs_by_the_words_alone(name: str) -> None:
    real = next(sheet for sheet in demo.checked().sheets if sheet["worksheet"] == name)
    assert renamed(bare(real)) == bare(sheets()[name])


@pytest.mark.parametrize("name", NAMES)
def test_a_worksheet_brings_the_invented_words_and_no_real_one(name: str) -> None:
    trade = sheets()[name]["trade"]
    assert (trade["sheet"], trade["whole"]) == ("blimsheet", "blimwhole")
    said = {one["name"] for section in ("kinds", "lists", "gates", "roles") for one in trade[section]} | {trade["noun"]}
    assert said and not said & set(nonsense.names_of(nonsense.texts()[1]))


@pytest.mark.parametrize("layout", ["inline-four", "vee-six"])
def test_a_job_stands_the_same_at_every_gate(layout: str) -> None:
    real = demo.sheet(layout)
    made, words = sheets()[real["worksheet"]], nonsense.texts()[1]
    gates = [step["path"] for step in real["steps"] if step["gate"] and not step["when"]]
    for path in gates:
        then, now = gone_to(real, path), gone_to(made, path)
        stand_alike(then.state, now.state, words)
    stand_alike(then.go_on().state, now.go_on().state, words)
    assert now.state["complete"] and sum(len(rows) for rows in now.state["bolts"].values()) > 10


def stand_alike(then: dict[str, Any], now: dict[str, Any], words: nonsense.Words) -> None:
    assert now["open"] == then["open"] and sorted(now["steps"]) == sorted(then["steps"])
    assert {p: seen["state"] for p, seen in now["steps"].items()} == {
        p: seen["state"] for p, seen in then["steps"].items()
    }
    for lists in ("lists", "bolts"):
        told = {words.known("lists", name): rows for name, rows in then[lists].items()}
        assert list(now[lists]) == list(told) and bool(told)
        assert [len(rows) for rows in now[lists].values()] == [len(rows) for rows in told.values()]
