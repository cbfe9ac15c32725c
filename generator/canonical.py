"""Canonical JSON: one text for one value, the same here and on the phone, so that a digest means the same in both."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable, Mapping
from typing import Any

import rfc8785

_quoted = json.encoder.encode_basestring
_SURROGATE = re.compile("[\ud800-\udfff]")
_WHOLE_LIMIT = 2**53
_quick = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode
# Where Python's own spelling may differ: a whole number with a point, an exponent, many digits; text beyond U+D7FF. All
# other decimals are the shortest digits that give the same double, in both languages.
_ODD_NUMBER = re.compile(r"[:,\[]-?(?:[0-9]+\.0[,}\]]|[0-9.]+[eE]|[0-9]{16,})")
_TEXT_OR_NUMBER = re.compile(r'(?:"(?:[^"\\]++|\\.)*+"|[^"0-9-])++|(-?[0-9][0-9.eE+-]*+)')
_ODD_TEXT = re.compile("[\ud800-\U0010ffff]")

Json = dict[str, Any]


def by_name(data: Mapping[str, object]) -> Json:
    """A copy whose fields are read by names that are worked out. The type checker knows none of them any more."""
    return dict(data)


"""An object that came out of JSON, or goes into it."""


def canonical(value: Any) -> str:
    """Sorted keys, no spaces, text as it is, numbers as the phone writes them.

    >>> canonical({"b": 1.0, "a": [None, "x"]})
    '{"a":[null,"x"],"b":1}'

    Raises ValueError for what JSON cannot say: NaN, infinities, anything that is no JSON.
    """
    try:
        text = _quick(value)
    except TypeError:
        return _written(value)
    if isinstance(value, str | int | float) or (not text.isascii() and _ODD_TEXT.search(text)):
        return _written(value)
    return _TEXT_OR_NUMBER.sub(_respelled, text) if _ODD_NUMBER.search(text) else text


def digest(text: str) -> str:
    """Return the SHA-256 of a text as 64 hex digits."""
    return hashlib.sha256(text.encode()).hexdigest()


def code_units(text: str) -> str:
    """Return a sort key that orders text as the phone does: by UTF-16 code unit."""
    if text.isascii() or max(text) <= "\uffff":
        return text
    units = text.encode("utf-16-be", "surrogatepass")
    return "".join(chr(high << 8 | low) for high, low in zip(units[::2], units[1::2], strict=True))


def in_order(texts: Iterable[str]) -> list[str]:
    return sorted(texts, key=code_units)


def _respelled(match: re.Match[str]) -> str:
    number = match[1]
    if number is None:
        return match[0]
    if number.endswith(".0") and len(number) < 18:
        return number[:-2] if number != "-0.0" else "0"
    if "e" not in number and len(number) < 16:
        return number
    return _number(float(number) if "." in number or "e" in number else int(number))


def _written(value: Any) -> str:
    if isinstance(value, str):
        return _text(value)
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    if isinstance(value, int | float):
        return _number(value)
    if isinstance(value, list | tuple):
        return "[" + ",".join([_written(item) for item in value]) + "]"
    if isinstance(value, dict):
        return "{" + ",".join([f"{_text(key)}:{_written(value[key])}" for key in in_order(value)]) + "}"
    raise ValueError(f"JSON has no {type(value).__name__}")


def _text(text: str) -> str:
    quoted: str = _quoted(text)
    if not _SURROGATE.search(quoted):
        return quoted
    joined = quoted.encode("utf-16", "surrogatepass").decode("utf-16", "surrogatepass")
    return _SURROGATE.sub(lambda half: f"\\u{ord(half.group()):04x}", joined)


def _number(number: int | float) -> str:
    """Write a number as RFC 8785 says, which is how ECMAScript does it. A whole number that no double holds is
    rounded to the nearest one, as the phone reads it."""
    try:
        return rfc8785.dumps(number if abs(number) < _WHOLE_LIMIT else float(number)).decode()
    except (rfc8785.FloatDomainError, OverflowError):
        raise ValueError("JSON has no such number") from None
