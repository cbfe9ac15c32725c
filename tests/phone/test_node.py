"""Node, as the tests of the phone's pure modules use it: it reports what it finds, and no error goes unnoticed."""

from __future__ import annotations

import subprocess

import pytest

from tests.support.node import NODE, Phone


def test_node_is_the_pinned_one(phone: Phone) -> None:
    said = subprocess.run([NODE, "--version"], capture_output=True, text=True, check=True).stdout
    assert said.startswith("v24.") and phone.evaluate("() => process.version") == said.strip()


def test_an_answer_comes_as_from_a_page(phone: Phone) -> None:
    assert phone.evaluate("async (given) => [given, undefined, { a: undefined }]", "\ud800ß🙂") == [
        "\ud800ß🙂",
        None,
        {"a": None},
    ]
    assert phone.evaluate("async () => (await import('/phone/quantities/vin.js')).checkVin('').length >= 0") in (
        True,
        False,
    )


@pytest.mark.parametrize(
    ("ask", "said"),
    [
        ("() => { throw new Error('so it was'); }", "so it was"),
        ("async () => { await import('/phone/none.js'); }", "none.js"),
        ("() => ({ a: NaN })", "a is NaN"),
        ("() => 1 / 0", "Infinity"),
        ("() => document.title", "document is not defined"),
        ("not a function", "SyntaxError"),
    ],
)
def test_what_goes_wrong_is_said_and_the_next_question_is_answered(phone: Phone, ask: str, said: str) -> None:
    with pytest.raises(AssertionError, match=said):
        phone.evaluate(ask)
    assert phone.evaluate("() => 7") == 7


def test_a_process_that_ends_is_no_answer() -> None:
    phone = Phone()
    with pytest.raises(AssertionError, match="at the end"):
        phone.evaluate("() => { console.error('at the end'); process.exit(0); }")
    phone.close()


def test_a_question_without_an_end_is_ended() -> None:
    phone = Phone()
    with pytest.raises(AssertionError, match="ended with -9"):
        phone.evaluate("() => { for (;;); }", timeout=1)
    phone.close()
