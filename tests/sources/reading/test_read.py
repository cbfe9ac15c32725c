"""Text becomes nodes with places. Nothing is guessed, nothing crashes, and YAML's errors come in plain words."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from generator.faults import Fault
from generator.inputs.read import SIZE_LIMIT, ListNode, MapNode, Node, ScalarNode, guess, read
from tests.support.harness import cpu_seconds


def node_of(text: str | bytes) -> Node:
    node, found = read(text, "a.yml")
    assert not found
    assert node is not None
    return node


def the_fault(text: str | bytes) -> Fault:
    node, found = read(text, "a.yml")
    assert node is None
    assert len(found) == 1
    return found[0]


def told(text: str | bytes) -> tuple[str, int, int]:
    fault = the_fault(text)
    return type(fault).__name__, fault.place.line, fault.place.column


def plain(node: Node) -> object:
    """Return nodes as dicts, lists and texts."""
    if isinstance(node, ScalarNode):
        return node.text
    if isinstance(node, ListNode):
        return [plain(item) for item in node.items]
    return {key.text: plain(below) for key, below in node.entries}


def test_every_text_stays_as_written() -> None:
    text = "a: no\nb: 010\nc: 1:30\nd: ~\ne: 2026-01-01\nf: '  x '\ng: |\n  two\n  lines\nh: {i: [1e3, .inf]}\n"
    expected = {"a": "no", "b": "010", "c": "1:30", "d": "~", "e": "2026-01-01", "f": "  x ", "g": "two\nlines\n"}
    assert plain(node_of(text)) == {**expected, "h": {"i": ["1e3", ".inf"]}}


def test_a_node_knows_where_it_was_written_counted_from_one() -> None:
    node = node_of("# top\nstage: Fit\nsteps:\n  - id: on\n    do: é, then {x}\n")
    assert isinstance(node, MapNode)
    steps = node.get("steps")
    assert isinstance(steps, ListNode)
    first = steps.items[0]
    assert isinstance(first, MapNode)
    assert (first.place.line, first.place.column) == (4, 5)
    do, key = first.get("do"), first.key("do")
    assert do is not None and (do.place.line, do.place.column) == (5, 9)
    assert key is not None and (key.place.line, key.place.column) == (5, 5)
    assert first.get("why") is None and first.key("why") is None


def test_quotes_and_blocks_are_told_from_plain_text() -> None:
    node = node_of("a: no\nb: 'no'\nc: \"no\"\nd: |\n  no\n")
    assert isinstance(node, MapNode)
    assert [below.quoted for _, below in node.entries if isinstance(below, ScalarNode)] == [False, True, True, True]


def test_bytes_with_a_mark_in_front_and_windows_lines_are_read() -> None:
    node = node_of("\ufeffa: °\r\nb: 2\r\n".encode())
    assert plain(node) == {"a": "°", "b": "2"}
    assert isinstance(node, MapNode)
    assert node.entries[1][0].place.line == 2


def test_nothing_written_is_no_node_and_no_fault() -> None:
    assert read("# only this\n", "a.yml") == (None, [])


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a: b: c\n", ("ColonInText", 1, 5)),
        ("a: °C is: hot\n", ("ColonInText", 1, 9)),
        ("a: 1\n b: 2\n", ("BadIndent", 2, 2)),
        ("a: this is long\n  more: text\n", ("BadIndent", 2, 3)),
        ("a:\n   b: 1\n  c: 2\n", ("BadIndent", 3, 3)),
        ("a:\n  - b: 1\n   c: 2\n", ("BadIndent", 3, 4)),
        ("a:\n  - b\n  c: 1\n", ("BadIndent", 3, 3)),
        (" a: 1\nb: 2\n", ("BadIndent", 2, 1)),
        ("- a\nb: 1\n", ("BadIndent", 2, 1)),
        ("a: x\n- b\n", ("BadIndent", 2, 1)),
        ("a:\n\tb: 1\n", ("TabIndent", 2, 1)),
        ("a: 1\n\tb: 2\n", ("TabIndent", 2, 1)),
        ("a:\n  - b\n\t- c\n", ("TabIndent", 3, 1)),
        ('a: "x\nb: 2\n', ("UnclosedQuote", 1, 4)),
        ("a: 'x\n---\n'\n", ("UnclosedQuote", 1, 4)),
        ("a: [1, 2\nb: 3\n", ("UnclosedBracket", 1, 4)),
        ("a: {b: 1\nc: 3\n", ("UnclosedBracket", 1, 4)),
        ("a: [\n\n", ("UnclosedBracket", 1, 4)),
        ("a: [{b: c]\n", ("UnclosedBracket", 1, 5)),
        ("a: [b, c: d: e]\n", ("UnclosedBracket", 1, 4)),
        ("a: ]\n", ("StrayBracket", 1, 4)),
        ("a: , b\n", ("StrayBracket", 1, 4)),
        ("a: [b,, c]\n", ("StrayBracket", 1, 7)),
        ("a: {b: c}}\n", ("StrayBracket", 1, 10)),
        ("a: 'Don't do it'\n", ("TextAfterQuote", 1, 9)),
        ('a: "b" c\n', ("TextAfterQuote", 1, 8)),
        ("a: {b} then\n", ("TextAfterBracket", 1, 8)),
        ("a: - b\n", ("DashAfterKey", 1, 4)),
        ("a: 1\nhello\nb: 2\n", ("LineWithoutColon", 2, 1)),
        ("a: 1\nhello there\n", ("LineWithoutColon", 2, 1)),
        ("a: @b\n", ("StrangeStart", 1, 4)),
        ("a: `b`\n", ("StrangeStart", 1, 4)),
        ("a: %b\n", ("StrangeStart", 1, 4)),
        ("a: > b\n", ("StrangeStart", 1, 4)),
        ("a: | b\n", ("StrangeStart", 1, 4)),
        ("a: * b\n", ("StrangeStart", 1, 4)),
        ("a: & b\n", ("StrangeStart", 1, 4)),
        ("a: !e!b c\n", ("StrangeStart", 1, 4)),
        ('a: "\\q"\n', ("BadEscape", 1, 5)),
        ('a: "\\x1"\n', ("BadEscape", 1, 7)),
        ("a: &b c\n", ("AnchorUsed", 1, 4)),
        ("a: &b\n  c: d\n", ("AnchorUsed", 1, 4)),
        ("a: *b\n", ("AliasUsed", 1, 4)),
        ("a: !!int 3\n", ("TagUsed", 1, 4)),
        ("a: !x {}\n", ("TagUsed", 1, 4)),
        ("<<: a\n", ("MergeKeyUsed", 1, 1)),
        ("a: {<<: b}\n", ("MergeKeyUsed", 1, 5)),
        ("? [a]\n: b\n", ("KeyNotText", 1, 3)),
        ("a: {{b}} c\n", ("KeyNotText", 1, 5)),
        ("a: 1\n---\nb: 2\n", ("SeveralDocuments", 2, 1)),
        ("---\na: 1\n---\n", ("SeveralDocuments", 3, 1)),
        ("a: b\x00", ("ControlCharacter", 1, 5)),
        ("a: 1\nb: x\u202ey\n", ("ControlCharacter", 2, 5)),
        ("a: x\u2028y\n", ("ControlCharacter", 1, 5)),
        ("a: \ud800\n", ("ControlCharacter", 1, 4)),
        (b"a: 1\r\nb: \xff\n", ("NotUtf8", 2, 4)),
        (b"\xff\xfea\x00", ("NotUtf8", 1, 1)),
    ],
)
def test_what_yaml_cannot_take_is_named_where_it_stands(text: str | bytes, expected: tuple[str, int, int]) -> None:
    assert told(text) == expected


def test_a_merge_key_in_quotes_is_a_text() -> None:
    assert plain(node_of('"<<": a\n')) == {"<<": "a"}


def test_a_repeated_key_names_the_first_and_leaves_the_rest_to_be_checked() -> None:
    node, found = read("a: 1\nb: {c: 1, c: 2}\na: 3\na: 4\n", "a.yml")
    assert node is not None
    assert plain(node) == {"a": "1", "b": {"c": "1"}}
    assert [(str(fault.place), fault.first) for fault in found if hasattr(fault, "first")] == [
        ("a.yml:2:11", 2),
        ("a.yml:3:1", 1),
        ("a.yml:4:1", 1),
    ]


def test_twenty_deep_is_read_and_one_more_is_not() -> None:
    node_of("a: " + "[" * 19 + "]" * 19)
    assert told("a: " + "[" * 20 + "]" * 20) == ("NestedTooDeep", 1, 23)


@pytest.mark.parametrize("opening", ["[", "{", "- ", "? ", "{a: ", "[{a: "])
def test_thirty_thousand_openings_neither_crash_nor_take_long(opening: str) -> None:
    assert cpu_seconds(lambda: told(opening * 30_000)) < 1
    assert told(opening * 30_000)[0] == "NestedTooDeep"


LINE = "- {id: step, do: Fit it dry., check: tick}\n"


def test_a_file_four_times_as_large_takes_four_times_as_long_to_read() -> None:
    few, many = (cpu_seconds(lambda: node_of(LINE * lines)) for lines in (1000, 4000))  # noqa: B023 - run at once
    assert many < 8 * few  # quadratic work takes 16 times as long


def test_the_largest_file_is_read_and_a_byte_more_is_refused() -> None:
    text = LINE * (SIZE_LIMIT // len(LINE))
    text += "#" * (SIZE_LIMIT - len(text))
    node_of(text)
    assert told(text + "#") == ("FileTooLarge", 1, 1)
    assert told("é" * (SIZE_LIMIT // 2) + "#") == ("FileTooLarge", 1, 1)


GUESSED = """
    no yes on off True FALSE y N ~ null 010 0o17 0x1f 0b11 1_000 12 -3 1.5 .5 1e3 .inf -.INF .nan 1:30 2026-01-01 << =
"""
TEXTS = ["6 bolts", "10 N.m", "none", "fit-pump", "1.2.3", "v1", "-", ".", "no way", "M6x1.0", "5-10"]


@pytest.mark.parametrize("text", GUESSED.split())
def test_what_another_program_would_guess_at_is_known(text: str) -> None:
    assert guess(text) is not None


@pytest.mark.parametrize("text", TEXTS)
def test_what_stays_a_text_everywhere_is_not_called_a_guess(text: str) -> None:
    assert guess(text) is None


PIECES = [
    "a",
    "b: ",
    ": ",
    "- ",
    "\n",
    "\n  ",
    "\t",
    "[",
    "]",
    "{",
    "}",
    ",",
    '"',
    "'",
    "|\n",
    ">",
    "&x",
    "*x",
    "!t",
    "%",
]
PIECES += [
    "@",
    "#",
    "?",
    "---\n",
    "...\n",
    "\\",
    "<<: ",
    "é",
    "\x00",
    "\ufeff",
    "\r",
    "0",
    "~",
    "`",
    "%YAML 1.1\n",
    "\u2029",
]


@settings(max_examples=400, deadline=None)
@given(st.lists(st.sampled_from(PIECES), max_size=30).map("".join))
@example("a #a")
def test_no_text_whatever_makes_it_raise(text: str) -> None:
    node, found = read(text, "a.yml")
    for fault in found:
        assert fault.place.line >= 1 and fault.place.column >= 1
        assert fault.place.line <= text.count("\n") + text.count("\r") + 2
        assert "\n" not in fault.said + fault.write
    # Of these two the rest of the text can be read all the same.
    assert node is None or {type(fault).__name__ for fault in found} <= {"RepeatedKey", "CutByComment"}


@settings(max_examples=200, deadline=None)
@given(st.binary(max_size=40))
def test_no_bytes_whatever_make_it_raise(data: bytes) -> None:
    node, found = read(data, "a.yml")
    assert node is None or all(type(fault).__name__ == "RepeatedKey" for fault in found)
