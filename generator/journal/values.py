"""What the value of an entry may look like.

Anybody may have written it: an object or a list where every phone writes a text or a number, or the other way round,
makes the entry one that this version does not know. A field that it does not name may be anything. The same table as
site_overrides/phone/journal/shape/values.js.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from generator.tables import VALUE_FIELDS

Fits = Callable[[Any], bool]


def _is_plain(value: Any) -> bool:
    return isinstance(value, str | int | float | bool)


def _fields_fit(value: dict[str, Any], fields: Mapping[str, Fits]) -> bool:
    """None says as much as nothing at all."""
    return all(of is None or name not in fields or fields[name](of) for name, of in value.items())


def _holding(names: Iterable[str]) -> Fits:
    fields = dict.fromkeys(names, _is_plain)
    return lambda value: isinstance(value, dict) and _fields_fit(value, fields)


_FIELDS: dict[str, Fits] = {name: _holding(of) if of else _is_plain for name, of in VALUE_FIELDS.items()}


def is_shaped(value: dict[str, Any]) -> bool:
    """Is each of its fields as phones write it? Whether it counts is another question."""
    return _fields_fit(value, _FIELDS)
