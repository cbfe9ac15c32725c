"""Several gates on one step: it waits for what each waits for."""

from __future__ import annotations

from typing import Any

import pytest

from generator.site.build import Findings, check_texts
from tests.support.harness import FACTS, with_trade
from tests.support.walker import Walker

JOB = """\
procedure: job
title: A job
revision: 1
stands_alone: yes
stages:
  - stage: Work
    order: any
    steps:
      - {id: strip, do: Take the cap off., check: tick, opens: [{what: cap, kind: cap}, {what: pin, kind: pin}]}
      - {id: pin-out, do: Take the pin out., check: tick, closes: [pin]}
      - {id: cap-on, do: Put the cap on., check: tick, closes: [cap]}
      - {id: look, do: Look around., check: tick, gate: GATE}
      - {id: end, do: End., check: tick, completion: yes}
"""
SHEET = "engine: four\ntitle: Four\nrevision: 1\nfacts: {layout: inline}\nvalues: {}\n"


def judged(gate: str, job: str = JOB) -> Findings:
    texts = {**FACTS, "procedures/job.yml": job.replace("GATE", gate), "shop/engines/four.yml": SHEET}
    return check_texts({path: text.encode() for path, text in with_trade(texts).items()})


def sheet_of(gate: str, job: str = JOB) -> Any:
    found = judged(gate, job)
    assert not found.faults, [fault.said for fault in found.faults]
    return found.sheets[0]


def gate_of(gate: str) -> Any:
    return next(step for step in sheet_of(gate)["steps"] if step["path"] == "look")["gate"]


def test_a_step_with_two_gates_waits_for_what_both_wait_for() -> None:
    both, starter, road = gate_of("[starter, road]"), gate_of("[starter, road]"), gate_of("[road, starter]")
    assert both["for"] == "starter" and both["also"] == ["road"] and road["also"] == ["starter"]
    assert set(starter["kinds"]) >= {"pin", "cap", "wheel", "stand"} and starter["lists"] == ["bay", "covers", "road"]


def test_a_list_of_one_is_that_gate() -> None:
    job = JOB.replace(", {what: pin, kind: pin}", "").replace(", closes: [pin]", "")
    assert sheet_of("[road]", job) == sheet_of("road", job)
    told = [fault.said for fault in judged("[road]").faults]
    assert told == ["this job has no starter gate, although it opens something of kind pin."]


def test_the_gate_of_the_preparation_comes_first_wherever_it_is_written() -> None:
    gate = gate_of("[road, strip-down, starter]")
    assert gate["for"] == "strip-down" and gate["ready"] and gate["also"] == ["road", "starter"]


@pytest.mark.parametrize("left", ["pin-out", "cap-on"])
def test_it_is_blocked_by_what_either_gate_waits_for_and_both_titles_are_in_the_worksheet(left: str) -> None:
    sheet = sheet_of("[starter, road]")
    assert {"starter", "road"} <= {gate["name"] for gate in sheet["trade"]["gates"]}
    walker = Walker(sheet)
    for path in ("strip", "pin-out", "cap-on"):
        if path != left:
            walker.close(path)
    state = walker.state["steps"]["look"]
    opened = {"pin-out": "pin", "cap-on": "cap"}[left]
    assert state["state"] == "blocked" and {"code": "open", "items": [opened]} in state["why"]
    walker.go_on()
    assert walker.state["complete"]


@pytest.mark.parametrize("gate", ["[]", "[starter, rode]", "[starter, {for: road, kind: [pin]}]", "[[starter, road]]"])
def test_a_list_that_names_nothing_or_a_gate_nobody_knows_is_told(gate: str) -> None:
    fault = next(fault for fault in judged(gate).faults if type(fault).__name__ != "GateMissing")
    assert fault.place.file == "procedures/job.yml" and fault.place.line == 12
