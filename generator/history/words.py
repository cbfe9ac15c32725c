"""How figures, answers and states are worded. If the phone has a word for it (phone/words/words.js), this is the same
one; tests/journal/test_record_command.py compares the two."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta, tzinfo
from typing import Any

from generator.canonical import canonical
from generator.quantities.dates import local_time, phone_ms
from generator.sheet_types import TradeJson
from generator.table_names import EntryKind, GaugeKind, SectionName, StateName
from generator.tables import GAUGES
from generator.terminal.plain import one_line

STATES: Mapping[StateName, str] = {
    "disputed": "two answers",
    "failed": "failed",
    "recheck": "look again",
    "blocked": "not yet",
    "waiting": "waiting",
    "open": "to do",
    "refused": "refused by the customer",
    "skipped": "left out",
    "not-fitted": "not fitted",
    "done": "done",
    "hidden": "not needed",
}
SECTION_TITLES: Mapping[SectionName, str] = {
    "parts": "Parts",
    "tools": "Tools",
    "consumables": "Consumables",
    "one_time": "One-time fasteners, new",
    "values": "Missing values",
}
DUE = "due"
"""How a thing stands whose kind no worksheet knows."""


def stands(kind: str, trade: TradeJson) -> str:
    """Return how a thing of a kind stands while it is open."""
    return next((one["said"] or one["stands"] for one in trade["kinds"] if one["name"] == kind), DUE)


def role(name: Any, trade: TradeJson) -> str:
    """Return what a role is called, or its name in quotes if the worksheet has no such role."""
    return next((one["label"] for one in trade["roles"] if one["name"] == name), quoted(name))


def bolt_list(name: Any, trade: TradeJson) -> str:
    return next((one["title"] for one in trade["lists"] if one["name"] == name), quoted(name))


_MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sept", "Oct", "Nov", "Dec"]
_LONG_UNITS = ("day", "week", "month", "year")
_GAUGE_WORDS: Mapping[GaugeKind, str] = {"vacuum": " vacuum", "gauge": " gauge"}
_GAUGES = {GAUGES[kind]: word for kind, word in _GAUGE_WORDS.items()}
_GAUGE = re.compile(r"\((?:vac|g)\)$")
_SPAN = re.compile(r"\b([0-9]+(?:\.[0-9]+)?) (day|week|month|year)\b")


def text_of(value: Any) -> str:
    """Return anything that a stranger's file may hold as part of a line."""
    if isinstance(value, str):
        return one_line(value)
    return "" if value is None else one_line(canonical(value))


def quoted(value: Any) -> str:
    """Return what a person typed, in quotes. No quote inside it can end it early."""
    return '"' + text_of(value).replace('"', "'") + '"'


def initials(who: str) -> str:
    """Return initials or an id as they are, or in quotes if they look like anything else."""
    return who if re.fullmatch(r"[^\W_]([^\W_]|-){0,39}", who) else quoted(who) if who else "nobody"


def when(at: Any, zone: tzinfo) -> str:
    """Return a phone's time to the second as clocks in a time zone show it, or in quotes if it is not a time."""
    ms = phone_ms(at)
    try:
        shown = None if ms is None else local_time(ms, zone)
    except OverflowError:  # that day of the zone lies beyond the calendar
        shown = None
    if shown is None:
        return quoted(at)
    # In the hour that clocks show twice in autumn, the offset tells which one it is.
    is_twice = shown.utcoffset() != shown.replace(fold=1 - shown.fold).utcoffset()
    return f"{shown.replace(tzinfo=None).isoformat(' ', 'seconds')}{f' ({shown.tzname()})' if is_twice else ''}"


def day(days: Any) -> str:
    """Return a whole day, counted from 1970-01-01: 17290 is '4 May 2017'."""
    try:
        date = datetime(1970, 1, 1, tzinfo=UTC) + timedelta(days=days)
    except (OverflowError, TypeError, ValueError):
        return text_of(days)
    return f"{date.day} {_MONTHS[date.month - 1]} {date.year}"


def unit_said(unit: str, figure: str = "") -> str:
    """unit_said('inHg(vac)') is 'inHg vacuum'. `figure` is what stands before the unit."""
    if unit == "date":
        return ""
    if unit in _LONG_UNITS:
        return unit if figure == "1" else f"{unit}s"
    return _GAUGE.sub(lambda gauge: _GAUGES[gauge[0]], re.sub("^deg([CF])$", r"°\1", unit))


def figure(number: Any, unit: Any) -> str:
    """Return a number with its unit, as it was typed."""
    if unit == "date":
        return day(number)
    said = text_of(number)
    return f"{said} {one_line(unit_said(unit, said)) if isinstance(unit, str) else ''}".strip()


def units_said(text: str) -> str:
    """Return a text of the worksheet with its units as people write them: '85 degC' becomes '85 °C'."""
    said = re.sub(r"\bdeg([CF])\b", r"°\1", text)
    said = re.sub(r"(?<=[A-Za-z0-9])\((?:vac|g)\)", lambda gauge: _GAUGES[gauge[0]], said)
    return _SPAN.sub(lambda span: f"{span[1]} {unit_said(span[2], span[1])}", said)


_BY_KIND: Mapping[EntryKind, Callable[[Mapping[str, Any]], str]] = {
    "skip": lambda value: f"left out: {quoted(value.get('reason'))}",
    "not-fitted": lambda value: f"not fitted: {quoted(value.get('reason'))}",
    "refuse": lambda value: "refused by the customer",
    "finish": lambda value: "finished",
}


def answer(kind: EntryKind, value: Mapping[str, Any], outcome: Callable[[str], str] = str) -> str:
    """Return one answer as a person says it. `outcome` gives the label of an inspection's answer."""
    sure = " (asked, and sure)" if value.get("sure") else ""
    if value.get("outcome") == "failed":
        return f"failed: {quoted(value['note'])}" if value.get("note") else "failed"
    if "outcome" in value:
        return text_of(outcome(text_of(value["outcome"])))
    if "number" in value:
        return figure(value["number"], value.get("unit")) + sure
    if "text" in value:
        return units_said(text_of(value["text"])) + sure
    if value.get("set"):
        return text_of(value["set"])
    if "kept_at" in value:
        return f"taken, saved at {quoted(value['kept_at'])}"
    if "permit" in value:
        return f"permit given{' to oneself after a break' if value.get('self') else ''}: {quoted(value['permit'])}"
    if "self" in value:
        return "self-check after a break" if value["self"] else "second look"
    return _BY_KIND[kind](value) if kind in _BY_KIND else "done"
