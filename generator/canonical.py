"""Canonical JSON: one text for one value, the same here and on the phone, so that a digest means the same in both."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Iterable
from typing import Any

_quoted = json.encoder.encode_basestring
_SURROGATE = re.compile("[\ud800-\udfff]")
_WHOLE_LIMIT = 2**53
_quick = json.JSONEncoder(sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False).encode
# Where Python's own spelling may differ: a number with a point, an exponent or many digits; text beyond U+D7FF.
_ODD_NUMBER = re.compile(r"[:,\[]-?(?:[0-9]+[.eE][-+0-9.e]*|[0-9]{16,})[,}\]]")
_ODD_TEXT = re.compile("[\ud800-\U0010ffff]")


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
    odd = isinstance(value, int | float) or _ODD_NUMBER.search(text) or (not text.isascii() and _ODD_TEXT.search(text))
    return _written(value) if odd else text


def digest(text: str) -> str:
    """SHA-256 of a text, as 64 hex digits."""
    return hashlib.sha256(text.encode()).hexdigest()


def code_units(text: str) -> str:
    """A key that sorts text as the phone compares it: by UTF-16 code unit."""
    if text.isascii() or max(text) <= "\uffff":
        return text
    units = text.encode("utf-16-be", "surrogatepass")
    return "".join(chr(high << 8 | low) for high, low in zip(units[::2], units[1::2], strict=True))


def in_order(texts: Iterable[str]) -> list[str]:
    return sorted(texts, key=code_units)


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
    """As ECMAScript writes a number: shortest digits, an exponent from 1e21 up and below 1e-6."""
    if isinstance(number, int) and abs(number) <= _WHOLE_LIMIT:
        return str(number)
    try:
        double = float(number)
    except OverflowError:
        double = float("inf")
    if double != double or abs(double) == float("inf"):
        raise ValueError("JSON has no such number")
    if double.is_integer() and abs(double) <= _WHOLE_LIMIT:
        return str(int(double))
    sign, digits, point = _digits(double)
    if -6 <= point < 0 or 0 <= point < 21:
        return sign + _plain(digits, point)
    mantissa = digits[0] + ("." + digits[1:] if digits[1:] else "")
    return f"{sign}{mantissa}e{'+' if point >= 0 else '-'}{abs(point)}"


def _digits(double: float) -> tuple[str, str, int]:
    """Sign, shortest digits, and the power of ten of the first digit."""
    mantissa, _, exponent = f"{double!r}e0".partition("e")
    power = int(exponent.split("e")[0])
    sign, mantissa = ("-", mantissa[1:]) if mantissa[0] == "-" else ("", mantissa)
    whole, _, fraction = mantissa.partition(".")
    digits = (whole + fraction).lstrip("0")
    leading = len(whole + fraction) - len(digits)
    return sign, digits.rstrip("0"), power + len(whole) - 1 - leading


def _plain(digits: str, point: int) -> str:
    if point < 0:
        return "0." + "0" * (-point - 1) + digits
    return digits[: point + 1].ljust(point + 1, "0") + ("." + digits[point + 1 :] if digits[point + 1 :] else "")
