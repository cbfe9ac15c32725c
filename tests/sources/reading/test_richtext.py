"""Step text: only emphasis and code are taken from Markdown. Whatever else a source brings stays text."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import pairwise

import pytest

from generator.richtext import Rich, plain, rich

PIECES = ["*", "**", "_", "`", "\\", "<b>", "</b>", "<script>", "&amp;", "&lt;", "{pump}", "{a_b}", "[x](y)", "![x](y)"]
PIECES += [
    "<https://a.example>",
    "https://a.example",
    " ",
    "\n",
    "  \n",
    "a",
    "b1",
    "é",
    "\u00a0",
    "\0",
    '"',
    "#",
    "- ",
]


def dress(tree: Rich) -> Iterator[str]:
    for node in tree:
        if isinstance(node, dict) and "t" in node:
            yield node["t"]
            yield from dress(node["c"])


@pytest.mark.parametrize(
    ("text", "tree"),
    [
        ("Push.", ["Push."]),
        ("*a* **b** `c`", [{"t": "em", "c": ["a"]}, " ", {"t": "strong", "c": ["b"]}, " ", {"t": "code", "c": ["c"]}]),
        ("**Two *full* turns**", [{"t": "strong", "c": ["Two ", {"t": "em", "c": ["full"]}, " turns"]}]),
        ("*{bolts}*, `{turns}`", [{"t": "em", "c": [{"v": "bolts"}]}, ", ", {"t": "code", "c": [{"v": "turns"}]}]),
        ("a_b_c {a_b_c}", ["a_b_c ", {"v": "a_b_c"}]),
        ("<b>x</b> &lt;i&gt; &amp;", ["<b>x</b> <i> &"]),
        ("[x](y) ![x](y) <https://a.example>", ["[x](y) ![x](y) <https://a.example>"]),
        ("one\ntwo  \nthree", ["one\ntwo\nthree"]),
        (r"5 \* 3", ["5 * 3"]),
        ("", []),
    ],
)
def test_a_text_is_this_tree(text: str, tree: Rich) -> None:
    assert rich(text) == tree


def test_no_text_brings_a_dress_of_its_own_and_no_two_texts_stand_side_by_side() -> None:
    chance = random.Random(1)
    met = set()
    for _ in range(3000):
        tree = rich("".join(chance.choices(PIECES, k=chance.randint(1, 12))))
        met |= set(dress(tree))
        assert not any(isinstance(one, str) and isinstance(two, str) for one, two in pairwise(tree))
        assert isinstance(plain(tree), str)
    assert met == {"em", "strong", "code"}


def test_names_are_renamed_wherever_they_stand() -> None:
    assert rich("{a} *{a}* `{a}`", lambda name: f"{name}_left") == [
        {"v": "a_left"},
        " ",
        {"t": "em", "c": [{"v": "a_left"}]},
        " ",
        {"t": "code", "c": [{"v": "a_left"}]},
    ]
