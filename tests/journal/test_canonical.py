"""Canonical JSON beside RFC 8785's own Python library, and where the two languages must agree beyond it."""

from __future__ import annotations

import json
import math
import random
import struct
from typing import Any

import pytest
import rfc8785

from generator.canonical import canonical

LETTERS = 'abe019-+.:,[]{}"\\/\b\f\n\r\t\0\x1f\x7f\u2028é\u00a0\ud7ff\ue000\uffff\U00010000\U0001f527'


def number(chance: random.Random) -> float | int:
    bits: float = struct.unpack("d", struct.pack("Q", chance.getrandbits(64)))[0]
    plain = chance.choice(
        [chance.randint(-(2**53) + 1, 2**53 - 1), chance.uniform(-1000, 1000), chance.randint(0, 300)]
    )
    return bits if chance.random() < 0.5 and math.isfinite(bits) else plain


def value(chance: random.Random, deep: int = 4) -> Any:
    text = "".join(chance.choices(LETTERS, k=chance.randint(0, 6)))
    kind = chance.randrange(7 if deep else 4)
    if kind > 3:
        inside = [value(chance, deep - 1) for _ in range(chance.randint(0, 4))]
        keys = ["".join(chance.choices(LETTERS, k=chance.randint(0, 3))) for _ in inside]
        return inside if kind == 4 else dict(zip(keys, inside, strict=True))
    return [text, number(chance), chance.choice([True, False, None]), chance.randint(-9, 9)][kind]


def test_random_values_are_written_as_the_standard_has_it() -> None:
    """Source: RFC 8785, by the registry's library `rfc8785`."""
    chance = random.Random(8785)
    for _ in range(4000):
        made = value(chance)
        assert canonical(made).encode() == rfc8785.dumps(made)


@pytest.mark.parametrize(
    ("bits", "text"),
    [
        ("0000000000000000", "0"),
        ("8000000000000000", "0"),
        ("0000000000000001", "5e-324"),
        ("8000000000000001", "-5e-324"),
        ("7fefffffffffffff", "1.7976931348623157e+308"),
        ("4340000000000000", "9007199254740992"),
        ("c340000000000000", "-9007199254740992"),
        ("4430000000000000", "295147905179352830000"),
        ("44b52d02c7e14af5", "9.999999999999997e+22"),
        ("44b52d02c7e14af6", "1e+23"),
        ("3eb0c6f7a0b5ed8d", "0.000001"),
        ("41b3de4355555553", "333333333.3333332"),
        ("becbf647612f3696", "-0.0000033333333333333333"),
    ],
)
def test_a_number_is_written_as_the_standards_own_table_has_it(bits: str, text: str) -> None:
    """Source: RFC 8785, appendix B; the rows are from memory, and the registry's library gives the same."""
    assert rfc8785.dumps(struct.unpack(">d", bytes.fromhex(bits))[0]).decode() == text
    assert canonical(struct.unpack(">d", bytes.fromhex(bits))[0]) == text


@pytest.mark.parametrize("wrong", [float("nan"), float("inf"), -float("inf"), 10**400, [10**400], {"a": float("nan")}])
def test_what_json_cannot_say_is_refused(wrong: Any) -> None:
    with pytest.raises(ValueError, match="JSON"):
        canonical(wrong)


def test_half_a_sign_is_escaped_as_a_phone_escapes_it_and_read_back() -> None:
    """RFC 8785 has no lone surrogates. ECMAScript's `JSON.stringify` escapes them, and old entries may hold one."""
    assert canonical({"\ud800": "a\udfff"}) == '{"\\ud800":"a\\udfff"}'
    assert json.loads(canonical("\udbff")) == "\udbff"
    assert canonical("\ud83d\udd27") == '"\U0001f527"', "two halves that belong together are one sign"
