"""What the value of an entry may look like.

Anybody may have written it: an object or a list where every phone writes a text or a number, or the other way round,
makes the entry one that this version does not know. A field that it does not name may be anything. The same table as
site_overrides/phone/journal/values.js.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

Fits = Callable[[Any], bool]


def _is_plain(value: Any) -> bool:
    return isinstance(value, str | int | float | bool)


def _all(names: str, fits: Fits) -> dict[str, Fits]:
    return dict.fromkeys(names.split(), fits)


def _holding(names: str) -> Fits:
    fields = _all(names, _is_plain)
    return lambda value: isinstance(value, dict) and _fields_fit(value, fields)


_FIELDS: dict[str, Fits] = {
    **_all(
        "text unit number reason instead with how told_by price to label approved_by kind list note outcome set wrench "
        "kept_at why same sheet vehicle role procedure vin count seconds self new sure not_published",
        _is_plain,
    ),
    "source": _holding("document where read by checked_by"),
    "margin": _holding("number unit"),
    "odometer": _holding("number unit"),
    "adapter": _holding("length angle lever"),
    "despite": _holding("reason"),
    "second": _holding("self"),
}


def _fields_fit(value: dict[str, Any], fields: dict[str, Fits]) -> bool:
    """None says as much as nothing at all."""
    return all(of is None or name not in fields or fields[name](of) for name, of in value.items())


def is_shaped(value: dict[str, Any]) -> bool:
    """Is each of its fields as phones write it? Whether it counts is another question."""
    return _fields_fit(value, _FIELDS)
