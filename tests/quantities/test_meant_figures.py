"""What may have been meant by an odd figure: `handturn try` offers the same figures as the phone, in the same order."""

from __future__ import annotations

import json
import random
from collections import Counter
from decimal import Decimal
from typing import Any

import pytest

from generator.canonical import canonical
from generator.compile.calculators import calculators, group_of
from generator.compile.figure_data import table_json
from generator.quantities.quantity import Quantity
from generator.quantities.units import KINDS, UNITS, from_base
from generator.terminal import trial as desk
from tests.quantities.test_cannot_be import RANGES, TODAY, reading
from tests.support import demo
from tests.support.node import node

Json = dict[str, Any]
Box = tuple[Json, str]
MEANT = """
globalThis.document = { createElement: () => ({}) };
const { isExpected, meantBy } = await import(`${site}/phone/screen/checks/reading.js`);
const { readingFor } = await import(`${site}/phone/screen/calculator.js`);
return given.map(({ group, name, figures }) => {
  const reading = readingFor(group, name);
  return figures.map((one) => (
    isExpected(one, reading, group) ? null : meantBy(one, reading, group).map(({ number, unit }) => [number, unit])
  ));
});
"""
PER_BOX = 60


def boxes() -> list[Box]:
    """Return every box that takes a number in the calculators of the demo, and one of every kind, unit and range: the
    group and the name, as the phone gets them."""
    made: list[Box] = []
    for group in json.loads(canonical(calculators(demo.library())))["groups"]:
        values = [name for name, value in group["values"].items() if value["units"]]
        names = [*group["readings"], *values, *(name for name in desk._FIELD_OF if name in group["givens"])]
        made += [(group, name) for name in names]
    every = {"findings": [], "values": {}, "givens": {}, "results": [], "tables": {}, "units": table_json(KINDS)}
    for unit, of in UNITS.items():
        made += [({**every, "readings": {"it": reading(of.kind, unit, ends)}}, "it") for ends in RANGES]
    return [one for one in made if box_of(*one).unit != "date"]


def box_of(group: Json, name: str) -> desk._Box:
    trial = desk._Desk(group, TODAY)
    return trial._box(name, trial._unit_asked(name))


def generated(rng: random.Random, box: desk._Box) -> list[Quantity]:
    """Return figures near what is expected of a box and far from it, as decimals, in each of its units."""
    ends = [from_base(end, box.unit) for end in box.ends if end] or [1.0]
    slips = [1, 10, 0.1, 100, 0.01, -1, -10, 1000, 25.4, 3.785]
    numbers = [rng.choice(ends) * rng.choice(slips) * rng.choice([1, 1, rng.uniform(0.3, 3)]) for _ in range(PER_BOX)]
    texts = [f"{Decimal(f'{number:.4g}'):f}" for number in (*numbers, 0, 72.5, 144.5)]
    return [Quantity(text, rng.choice([*box.units])) for text in texts]


def test_the_desk_offers_what_the_phone_offers(capsys: pytest.CaptureFixture[str]) -> None:
    rng = random.Random(20261129)
    asked = [(group, name, generated(rng, box_of(group, name))) for group, name in boxes()]
    figures = [[{"number": one.figure, "unit": one.unit} for one in of] for _, _, of in asked]
    keys = ("readings", "values", "givens", "units")
    theirs = node(
        MEANT,
        [
            {"group": {key: group[key] for key in keys}, "name": name, "figures": of}
            for (group, name, _), of in zip(asked, figures, strict=True)
        ],
    )
    counts: Counter[str] = Counter()
    for (group, name, of), answers in zip(asked, theirs, strict=True):
        box = box_of(group, name)
        for figure, phone in zip(of, answers, strict=True):
            mine = None if box.is_expected(figure) else [[one.figure, one.unit] for one in box.others(figure)]
            assert mine == phone, (name, figure)
            counts["expected" if mine is None else str(len(mine))] += 1
    with capsys.disabled():
        print(f"\n{sum(counts.values())} figures in {len(asked)} boxes, offered: {dict(sorted(counts.items()))}")
    assert set(counts) == {"expected", "0", "1", "2", "3"} and min(counts.values()) > 100


def test_nothing_is_offered_that_would_be_asked_about_again() -> None:
    rng, offered = random.Random(1), 0
    for group, name in boxes():
        box = box_of(group, name)
        for figure in generated(rng, box):
            others = [] if box.is_expected(figure) else box.others(figure)
            assert all(map(box.is_expected, others)) and figure not in others
            offered += len(others)
    assert offered > 1000


SAID = [
    ("drain-coolant", "drained=26L", "at most 25 L. Did you mean 2.6 L or 26 qt?"),
    ("coolant-choice", "freeze_now=37degC", "at most 3 degC. Did you mean -37 degC or 37 degF?"),
    ("agree-the-work", "belt_age=720month", "a whole number. Did you mean 72 month?"),
    ("drain-coolant", "drained=-5L", "0 to 10000 L."),
]


@pytest.mark.parametrize(("procedure", "word", "said"), SAID)
def test_the_question_is_in_words(procedure: str, word: str, said: str) -> None:
    library = demo.library()
    group = group_of(library, library.procedures[procedure])
    with pytest.raises((desk.Odd, desk.Mistyped)) as told:
        desk.answers(group, dict([word.split("=")]), TODAY)
    assert str(told.value).endswith(said)
