"""What a shop declares beside the library's words: its own trade disturbs no other, and nothing of it slips by."""

from __future__ import annotations

from typing import Any

from generator.site.build import check_texts
from tests.support.harness import TRADE, names_of

POWER = """\
trade: Power
works_on:
  supply: {sheet: supply sheet, whole: rack, start: {what: Rack and place, serial: {label: Serial, optional: yes}}}
kinds:
  lockout: {label: Lockout tag, stands: hung}
  bypass: {label: Bypass, stands: on bypass}
gates:
  power-on: {title: Before the power comes back, all_kinds_but: [bypass], fixed: yes, after_opening: [lockout]}
"""
JOB = """\
procedure: job
title: Seals
revision: 1
stands_alone: yes
stages:
  - stage: Work
    steps:
      - {id: hang, do: Hang the tag., check: tick, opens: [{what: thing, kind: KIND}]}
      - {id: take, do: Take it off., check: tick, closes: [thing]}
      - {id: out, do: Look once more., check: tick, gate: GATE}
      - {id: last, do: End., check: tick, completion: yes}
"""
SHEETS = {
    "shop/engines/four.yml": "engine: four\ntitle: Four\nrevision: 1\nfacts: {}\nvalues: {}\n",
    "shop/engines/rack.yml": "supply: rack\ntitle: Rack\nrevision: 1\nfacts: {}\nvalues: {}\n",
}


def sheet_of(engine: str, kind: str, gate: str, power: str = POWER) -> dict[str, Any]:
    job = JOB.replace("KIND", kind).replace("GATE", gate)
    own = {path: text for path, text in SHEETS.items() if path.endswith(f"{engine}.yml")}
    texts = {**TRADE, **own, "procedures/job.yml": job, **({"shop/trade.yml": power} if power else {})}
    made = check_texts({path: text.encode() for path, text in texts.items()})
    assert made.faults == (), [fault.said for fault in made.faults]
    return dict(made.sheets[0])


def gate_of(sheet: dict[str, Any]) -> dict[str, Any]:
    return next(step["gate"] for step in sheet["steps"] if step["gate"])


def test_a_gate_for_all_kinds_waits_for_what_the_job_opens_of_another_trade_too() -> None:
    assert "lockout" in gate_of(sheet_of("four", "lockout", "road"))["kinds"]
    assert "lockout" not in gate_of(sheet_of("four", "cover", "road"))["kinds"]


def test_another_trade_in_the_shop_changes_no_byte_of_a_worksheet() -> None:
    assert sheet_of("four", "cover", "road") == sheet_of("four", "cover", "road", power="")


def test_a_worksheet_of_another_trade_brings_its_own_words_and_those_it_uses() -> None:
    trade = sheet_of("rack", "cover", "power-on")["trade"]
    assert (trade["noun"], trade["sheet"], trade["whole"]) == ("supply", "supply sheet", "rack")
    assert [box["name"] for box in trade["start"]] == ["what", "serial"]
    assert {kind["name"] for kind in trade["kinds"]} == {"lockout", "bypass", "cover"}
    assert [gate["name"] for gate in trade["gates"]] == ["power-on"] and trade["lists"] == []


def test_a_gate_of_one_trade_is_not_asked_of_another_ones_job() -> None:
    """The library wants a road gate where a wheel comes off. A rack goes on no road."""
    assert gate_of(sheet_of("rack", "wheel", "power-on"))["for"] == "power-on"


def test_a_job_that_opens_what_its_trade_guards_must_have_the_gate() -> None:
    job = JOB.replace("KIND", "lockout").replace(", gate: GATE", "")
    texts = {**TRADE, **SHEETS, "procedures/job.yml": job, "shop/trade.yml": POWER}
    found = check_texts({path: text.encode() for path, text in texts.items()}).faults
    assert [type(fault).__name__ for fault in found] == ["GateMissing"] and "power-on" in found[0].said


def test_a_check_off_that_comes_in_between_is_asked_of_every_kind() -> None:
    """Only kinds that an inspection closes were looked at: `after` at any other kind said nothing."""
    job = JOB.replace("KIND", "lockout").replace("GATE", "power-on")
    power = POWER.replace("stands: hung", "stands: hung, after: measure")
    texts = {**TRADE, **SHEETS, "procedures/job.yml": job, "shop/trade.yml": power}
    found = check_texts({path: text.encode() for path, text in texts.items()}).faults
    assert [type(fault).__name__ for fault in found] == ["ProofTooEarly"]
    assert 'step "take" closes "thing", but no "measure" stands' in found[0].said


def test_two_words_for_what_is_worked_on_in_one_place_are_a_fault() -> None:
    """The reader sees two keys, the model one: the second condition took the place of the first."""
    when = "when: {supply: {cells: wet}, engine: {cells: dry}}"
    job = JOB.replace("KIND", "lockout").replace("gate: GATE", f"gate: power-on, {when}")
    power = POWER + "facts:\n  cells: {wet: Wet., dry: Dry.}\n"
    rack = SHEETS["shop/engines/rack.yml"].replace("facts: {}", "facts: {cells: dry}")
    texts = {**TRADE, "shop/engines/rack.yml": rack, "procedures/job.yml": job, "shop/trade.yml": power}
    found = check_texts({path: text.encode() for path, text in texts.items()}).faults
    assert [type(fault).__name__ for fault in found] == ["TwoTradeWords"], [fault.said for fault in found]
    assert found[0].place.line == 10 and "the first is on line 10" in found[0].said


def drawn(*words: str, explained: str = "bush", broken: bool = False) -> list[str]:
    """Return the names of the faults of a job that explains a word, beside a file that draws these words."""
    drawings = "".join(f"  {word}: {{file: pin.svg, alt: What it is.}}\n" for word in words)
    own = {"shop/words.yml": f"trade: Words\ndrawings:\n{drawings}"} if words else {}
    job = JOB.replace("KIND", "cover").replace("GATE", "road")
    job = job.replace("do: Hang the tag.,", f"do: Hang the {explained}., words: {{{explained}: A thing.}},")
    job = job.replace("check: tick, closes", "check: tic, closes") if broken else job
    four = "shop/engines/four.yml"
    texts = {**TRADE, four: SHEETS[four], "procedures/job.yml": job, **own}
    made = check_texts({path: text.encode() for path, text in texts.items()}, frozenset({"pin.svg"}))
    return names_of(list(made.faults))


def test_a_word_is_drawn_once_in_whatever_capitals() -> None:
    assert drawn("bush") == drawn("Bush") == []
    assert drawn("bush", explained="BUSH") == []
    assert drawn("bush", "Bush") == ["TradeWordTwice"]


def test_a_library_that_draws_no_word_is_asked_for_no_drawing() -> None:
    assert drawn() == []
    assert drawn("bush", explained="seal") == ["WordNotDrawn", "DrawnWordNowhere"]


def test_while_a_procedure_is_broken_no_drawing_is_called_unknown_and_none_is_missed() -> None:
    assert len(drawn("seal", broken=True)) == 1
    assert not {"DrawnWordNowhere", "WordNotDrawn"} & set(drawn("seal", broken=True))
