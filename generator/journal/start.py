"""What a job was started with, and what of that was corrected later.

The same table as site_overrides/phone/journal/start.js.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from generator.canonical import canonical
from generator.journal.answers import is_number, said
from generator.journal.entries import Entry, after
from generator.journal.figures import ODOMETER
from generator.journal.view import View
from generator.tables import CORRECTABLE_FIELDS, ODOMETER_UNITS


def _is_odometer(told: Any) -> bool:
    if not isinstance(told, dict) or told.get("unit") not in ODOMETER_UNITS:
        return False
    number = told.get("number")
    return is_number(number) or (isinstance(number, str) and ODOMETER.fullmatch(number) is not None)


# What can be corrected in a start, and what the new value must be.
_KINDS: dict[str, Callable[[Any], bool]] = {
    "said": said,
    "odometer": _is_odometer,
    "text": lambda text: isinstance(text, str),
    "texts": lambda texts: isinstance(texts, dict) and all(isinstance(text, str) for text in texts.values()),
}
CORRECTABLE: Mapping[str, Callable[[Any], bool]] = {field: _KINDS[kind] for field, kind in CORRECTABLE_FIELDS.items()}


def read_job(view: View) -> None:
    """Put the start that stands, with its corrections, into the view. Of two starts the newer one."""
    told = view.in_job("job")
    corrections = {field: _correction(view, field) for field in CORRECTABLE}
    if not told.answers:
        return
    starts = [answer.entry for answer in told.answers]
    start, value = starts[-1], dict(starts[-1]["value"])
    for field, entry in corrections.items():
        if entry is None or not all(after(entry, one) for one in starts):
            continue
        view.corrected[field] = {
            "from": value.get(field),
            "to": entry["value"][field],
            "reason": entry["value"]["reason"],
            **{key: entry[key] for key in ("id", "who", "at")},
        }
        value[field] = entry["value"][field]
        if field == "odometer":
            view.taken_by["odometer"] = entry
    differ = {field for field in CORRECTABLE if len({canonical(one["value"].get(field)) for one in starts}) > 1}
    settled = bool(view.corrected) and not told.returned and differ <= set(view.corrected)
    view.start = {**start, "value": value}
    view.start_disputed = told.disputed and not settled


def _correction(view: View, field: str) -> Entry | None:
    heads = [answer.entry for answer in view.in_job(f"job:{field}").answers]
    fits = CORRECTABLE[field]
    sound = [entry for entry in heads if fits(entry["value"].get(field)) and said(entry["value"].get("reason"))]
    view.set_aside(entry for entry in heads if entry not in sound)
    return sound[-1] if sound else None
