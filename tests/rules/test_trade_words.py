"""No word of the trade stands in the generator or on the phone: kinds, lists, gates, roles and facts are data.

The words come from `procedures/trade.yml`. A word that also means something else there is listed with what it means.
"""

from __future__ import annotations

import ast
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from tests.support import demo
from tests.support.phone_names import nodes_of, parsed, text_of

ROOT = Path(__file__).parents[2]
PHONE = ROOT / "site_overrides" / "phone"
MADE = {"journal/shape/earlier_trade.js"}  # for worksheets of before there were such words, made from JSON

# Words that mean something else in many places: a part of a check-off, a section of the preparation, who may allow a
# step to be left out, kinds of value, the entry that settles two answers, words of everyday.
EVERYWHERE = frozenset({"elsewhere", "free", "frequency", "lead", "none", "part", "settle", "tool", "tools", "vacuum"})
# How often any other word stands in which file with another meaning.
ELSEWHERE: dict[str, dict[str, int]] = {
    # a bolt's thread and class, a field of a value; a bolt in a drawing
    "bolt": {
        "generator/check/one_engine.py": 2,
        "generator/compile/sheet.py": 1,
        "site_overrides/phone/screen/checks/bolt_map.js": 2,
    },
    # how a bolt goes in
    "dry": {
        "generator/model.py": 1,
        "generator/quantities/fasteners/standards.py": 2,
        "site_overrides/phone/words/words.js": 1,
    },
    # the place of witness marks on the screen
    "marks": {"site_overrides/phone/screen/step/step.js": 1},
    # the press that keeps a worksheet on the phone
    "pin": {"site_overrides/phone/screen/list/pins.js": 1, "site_overrides/phone/site/offline.js": 1},
    # a kind of value
    "sealer": {"generator/model.py": 1},
    # a clock that does not jump
    "steady": {"site_overrides/phone/job/time.js": 1},
}


@cache
def words() -> frozenset[str]:
    """Every kind, list, gate, role, fact and word of a fact of the library."""
    library = demo.library()
    trade = library.trade
    named = {*trade.kinds, *trade.lists, *trade.gates, *trade.roles, *library.facts}
    return frozenset(named | {word for fact in library.facts.values() for word in fact.words})


def in_python(text: str) -> Iterator[tuple[int, str]]:
    """Yield the texts of a module that are one of the words, with their lines."""
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value in words():
            yield node.lineno, node.value
        elif isinstance(node, ast.keyword) and node.arg and {node.arg, node.arg.replace("_", "-")} & words():
            yield node.value.lineno, node.arg


def in_script(text: str) -> Iterator[tuple[int, str]]:
    """Yield the texts and the keys of objects of a script that are one of the words, with their lines."""
    for node in nodes_of(parsed(text)):
        key = node.type == "property_identifier" and node.parent is not None and node.parent.type == "pair"
        if (node.type == "string_fragment" or key) and text_of(node) in words():
            yield node.start_point[0] + 1, text_of(node)


def found() -> Iterator[tuple[str, int, str]]:
    for path in sorted((ROOT / "generator").rglob("*.py")):
        for line, word in in_python(path.read_text(encoding="utf-8")):
            yield path.relative_to(ROOT).as_posix(), line, word
    for path in sorted(PHONE.rglob("*.js")):
        if path.relative_to(PHONE).as_posix() not in MADE:
            for line, word in in_script(path.read_text(encoding="utf-8")):
                yield path.relative_to(ROOT).as_posix(), line, word


def test_no_word_of_the_trade_is_named_in_the_generator_or_on_the_phone() -> None:
    """A word that also means something else may stand as often as is listed, so that no use of it hides among these."""
    there = Counter((word, file) for file, _, word in found() if word not in EVERYWHERE)
    listed = {(word, file): times for word, files in ELSEWHERE.items() for file, times in files.items()}
    assert dict(there) == listed


@pytest.mark.parametrize(
    "planted",
    [
        'kinds = ("locking-tool",)',
        'if gate == "hand-turn": pass',
        "match kind:\n    case 'bolt':\n        pass",
        "f(pump_seal=1)",
    ],
)
def test_a_word_in_python_is_found(planted: str) -> None:
    assert list(in_python(planted))


@pytest.mark.parametrize(
    "planted", ["if (kind === 'bolt') f();", "const T = { 'hand-turn': 1 };", "const T = { covers: 1 };", "f(`road`);"]
)
def test_a_word_in_a_script_is_found(planted: str) -> None:
    assert list(in_script(planted))
