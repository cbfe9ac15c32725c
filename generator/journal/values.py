"""What the value of an entry may look like.

Anybody may have written it. If a field that phones write as a text or a number holds an object or a list, or the other
way round, this version counts the whole entry as unknown. Fields that are not named here may be anything. The same
table as site_overrides/phone/journal/shape/values.js.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from generator.tables import VALUE_FIELDS

Fits = Callable[[Any], bool]


def _is_plain(value: Any) -> bool:
    return isinstance(value, str | int | float | bool)


def _fields_fit(value: dict[str, Any], fields: Mapping[str, Fits]) -> bool:
    """True if every known field has its form. None counts as a missing field."""
    return all(of is None or name not in fields or fields[name](of) for name, of in value.items())


def _holding(names: Iterable[str]) -> Fits:
    fields = dict.fromkeys(names, _is_plain)
    return lambda value: isinstance(value, dict) and _fields_fit(value, fields)


_FIELDS: dict[str, Fits] = {name: _holding(of) if of else _is_plain for name, of in VALUE_FIELDS.items()}


def is_shaped(value: dict[str, Any]) -> bool:
    """True if each field has the form that phones write. Whether it counts is decided elsewhere."""
    return _fields_fit(value, _FIELDS)
