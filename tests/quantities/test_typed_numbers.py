"""A number as it is typed means the same at the desk and on the phone: one table of cases, and many more at random."""

from __future__ import annotations

import json
import random
import re
from itertools import product
from pathlib import Path

from generator.quantities.typed_numbers import clear, meanings, meant
from tests.support.node import node

CASES: list[tuple[str, list[str]]] = [
    tuple(case) for case in json.loads(Path(__file__).with_name("typed_numbers.json").read_text())["cases"]
]
LETTERS = "012345678901234567890123456789,,,...  -+e\u00a0\u2009\u202f\u2212\uff11\uff0c\u0661"
LOOK = """
const { clear, meanings, meant } = await import(`${site}/phone/quantities/typed_numbers.js`);
const { numberOf } = await import(`${site}/phone/screen/common/form.js`);
const small = (number) => Math.abs(number) <= 200;
const all = (number) => Math.abs(number) <= 2e6;
return given.map((text) => [
  meanings(text), meant(text, small, all), meanings(text).map(clear), numberOf(text),
]);
"""


def told(text: str) -> list[object]:
    """Return what Python reads, in the form of the script above."""
    found = meanings(text)
    chosen = meant(text, lambda number: abs(number) <= 200, lambda number: abs(number) <= 2e6)
    return [list(found), list(chosen), [clear(number) for number in found], _number(found)]


def _number(found: tuple[str, ...]) -> float | None:
    return float(found[0]) if len(found) == 1 else None


def some_texts() -> list[str]:
    """Return every short text of a few signs, and longer ones at random."""
    short = ["".join(signs) for length in range(1, 6) for signs in product("10.,- ", repeat=length)]
    of = random.Random("typed numbers")
    return short[::7] + ["".join(of.choices(LETTERS, k=of.randint(3, 14))) for _ in range(3000)]


def test_the_desk_reads_every_case_as_the_table_says():
    assert {text: list(meanings(text)) for text, _ in CASES} == dict(CASES)
    assert {len(numbers) for _, numbers in CASES} == {0, 1, 2} and len(CASES) > 100


def test_the_phone_reads_every_case_and_thousands_of_others_as_the_desk_does():
    texts = [*(text for text, _ in CASES), *some_texts()]
    theirs = node("globalThis.document = { createElement: () => ({}) };" + LOOK, texts)
    assert {text: numbers for text, (numbers, *_) in zip(texts, theirs, strict=True) if text in dict(CASES)} == dict(
        CASES
    )
    assert theirs == [told(text) for text in texts]
    counts = [len(numbers) for numbers, *_ in theirs]
    assert {0, 1, 2} == set(counts) and sum(map(bool, counts)) > 500, "the texts are mostly no numbers"


def test_what_is_spelled_clearly_has_one_meaning_and_the_same_size():
    for text in some_texts():
        for number in meanings(text):
            assert meanings(number) == (number,), text
    assert float(clear("118.350")) == 118.35 and float(clear("-1.234")) == -1.234


def test_the_first_range_that_any_meaning_passes_chooses():
    assert meant("1.234", lambda number: number < 25, lambda number: True) == ("1.2340",)
    assert meant("118,350", lambda number: number < 2e6) == ("118.35", "118350")
    assert meant("9.500", lambda number: number < 1, lambda number: number < 3000) == ("9.5",)
    assert meant("9.500", lambda number: number < 0) == ("9.5",) and meant("five", lambda number: True) == ()


def test_the_guide_says_how_a_number_is_read():
    """Each row of the guide's table: what is typed, and the numbers that it can mean, in the order of the row."""
    page = (Path(__file__).parents[2] / "docs/guide/formulas.md").read_text()
    table = page.partition("| typed | read as |\n")[2].partition("\n\n")[0].splitlines()[1:]
    rows = [line.strip("| ").split(" | ") for line in table]
    typed = [re.findall("`([^`]+)`", texts) for texts, _ in rows]
    assert len(rows) >= 9 and all(typed)
    for texts, (_, said) in zip(typed, rows, strict=True):
        found = [meanings(text) for text in texts]
        if said == "no number":
            assert set(found) == {()}, texts
        elif said.startswith("as they stand"):
            assert found == [(text,) for text in texts]
        else:
            is_asked = said.startswith("asked: ")
            told = said.removeprefix("asked: ").partition(":")[0]
            figures = [float(figure) for figure in re.findall(r"-?\d+(?:\.\d+)?", told)]
            mean = [[float(number) for number in numbers] for numbers in found]
            if is_asked:
                assert all(numbers == figures for numbers in mean), texts
            else:
                assert len(figures) == len(texts), texts
                assert all(one in numbers for one, numbers in zip(figures, mean, strict=True)), texts
