"""The second reader of a critical value that was read on the phone: who read it, who read it again, what still waits.

A worksheet says in `second_reader` how long a person alone must wait before reading it again. An older worksheet
without that field asks for no second reader. The same table as site_overrides/phone/journal/second.js.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from generator.canonical import Json, canonical
from generator.journal.answers import said
from generator.journal.entries import Entry, after, heads_of, is_return
from generator.quantities.dates import phone_ms
from generator.quantities.people import person
from generator.quantities.quantity import read, stages
from generator.sheet_types import WorksheetJson

SPACES = re.compile("[ \t\r\n\xa0]+")


def critical_values(sheet: WorksheetJson) -> set[str]:
    """Return the values that set a critical bolt, by their own class or by a check-off that uses them."""
    checks = [step["check"] for step in sheet["steps"]]
    pulled = {check["value"] for check in checks if check["kind"] == "tighten" and check["fastener"] == "critical"}
    return pulled | {name for name, value in sheet["values"].items() if value["class"] == "critical"}


def is_same_reading(one: Json, other: Json) -> bool:
    """True if two `read` values give the same figure from the same place."""
    return canonical(_reading(one)) == canonical(_reading(other))


def _reading(value: Json) -> list[Any]:
    """Return what two readings must have in common: figure and unit, tolerance, and the place it was read."""
    text, margin, source = (value.get(key) for key in ("text", "margin", "source"))
    typed = [[value.get("number"), value.get("unit")]]
    figure = [_stage(stage) for stage in stages(str(text))] if said(text) else typed
    off = [margin.get("number"), margin.get("unit")] if isinstance(margin, dict) else None
    return [figure, off, [source.get("document"), source.get("where")] if isinstance(source, dict) else None]


def _stage(text: str) -> list[Any]:
    found = read(text)
    return [found.figure, found.unit] if found and math.isfinite(found.figure) else [SPACES.sub(" ", text)]


@dataclass(frozen=True)
class Readings:
    """Everything that was said of one value."""

    every: list[Entry]
    undone: set[int]
    pause: float  # seconds until a person alone may read it again
    counts: Callable[[Entry], bool]  # true if what was read is possible
    asked: Callable[[Entry], bool]  # true if the entry's worksheet asked for a second reader


def second_look(told: Readings, heads: list[Entry]) -> tuple[Entry, Json]:
    """Return the reading that makes the value known, and what the state says besides. The readings agree and count.

    {} if no second reader was asked for; {second: {first: {id, who, at}, id, who, at, self}} if there was one; {waits:
    [{id, who, at}]} if not: these readings wait for it.
    """
    if any(not told.asked(head) for head in heads):
        return heads[0], {}
    for head in heads:
        first = _first_of(told, head)
        if first is not None:
            return head, {"second": {"first": _by(first), **_by(head), "self": head["value"]["second"]["self"]}}
    apart = _two_apart(heads)
    if apart:
        return apart[1], {"second": {"first": _by(apart[0]), **_by(apart[1]), "self": False}}
    return heads[0], {"waits": [_by(head) for head in heads]}


def _by(entry: Entry) -> Json:
    return {key: entry[key] for key in ("id", "who", "at")}


def _two_apart(heads: list[Entry]) -> tuple[Entry, Entry] | None:
    """Return two readings by different people who did not see each other's figure."""
    readers = [head for head in heads if head["kind"] == "read" and person(head["who"])]
    for later in readers:
        for first in readers:
            if after(later, first) and person(first["who"]) != person(later["who"]):
                return first, later
    return None


def _first_of(told: Readings, second: Entry) -> Entry | None:
    """Return the reading that `second` confirms: one it names, that stood then and still stands."""
    claim = second["value"].get("second")
    alone = claim.get("self") if isinstance(claim, dict) else None
    if second["kind"] != "read" or not isinstance(alone, bool) or not person(second["who"]):
        return None
    named = [entry for entry in told.every if entry["id"] in second["seen"] and after(second, entry)]
    firsts = [entry for entry in heads_of(named, told.undone) if _is_first(told, entry, second)]
    own = [entry for entry in firsts if person(entry["who"]) == person(second["who"])]
    if alone:
        return own[0] if own and all(_rested(told, entry, second) for entry in own) else None
    others = [entry for entry in firsts if person(entry["who"]) and entry not in own]
    return others[0] if others else None


def _is_first(told: Readings, entry: Entry, second: Entry) -> bool:
    is_alive = id(entry) not in told.undone
    same = is_same_reading(entry["value"], second["value"])
    return is_alive and not is_return(entry) and told.counts(entry) and same


def _rested(told: Readings, first: Entry, second: Entry) -> bool:
    """True if enough phone time passed between the two, as for a self-check."""
    began, ended = phone_ms(first["at"]), phone_ms(second["at"])
    return began is not None and ended is not None and ended - began >= told.pause * 1000
