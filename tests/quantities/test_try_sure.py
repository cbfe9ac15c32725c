"""`handturn try` and `handturn torque` take a number as the phone does: what can mean two is asked back, what is odd is
asked about with what may have been meant, what cannot be is refused."""

from __future__ import annotations

import datetime
import json
import os
import pty
import random
import subprocess
import sys
from collections import Counter
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from generator.canonical import canonical
from generator.cli import NOT_SURE, main
from generator.compile.calculators import calculators, group_of
from generator.compile.figure_data import table_json
from generator.quantities.quantity import Quantity
from generator.quantities.units import KINDS, UNITS, from_base
from generator.terminal import trial as desk
from tests.quantities.test_cannot_be import RANGES, reading
from tests.support import demo
from tests.support.node import node

ROOT = Path(__file__).parents[2]
TODAY = datetime.date(2026, 11, 25)


def handturn(*words: str) -> Result:
    dirs = ("--dir", str(ROOT)) if words[0] == "try" else ()
    return CliRunner().invoke(main, [words[0], *dirs, *words[1:]])


def told(procedure: str, *words: str, sure: bool = False) -> str:
    """Return the first result, or what is said instead of one."""
    library = demo.checked().library
    try:
        group = group_of(library, library.procedures[procedure])
        return desk.answers(group, dict(word.split("=") for word in words), TODAY, sure)[0].name
    except (desk.Mistyped, desk.Odd) as error:
        return f"{type(error).__name__}: {error}"


ODD = [
    (("drain-coolant", "drained=-5L"), "Odd: drained: -5 L? A volume is not less than zero: 0 to 10000 L."),
    (("drain-coolant", "drained=26L"), "Odd: drained: 26 L? Expected: at least 0.2 L and at most 25 L."),
    (("coolant-choice", "freeze_now=-300degC"), "Odd: freeze_now: -300 degC? Nothing is colder than -273.15 degC"),
    (("belt-off", "teeth_old=144.5"), "Odd: teeth_old: 144.5 teeth? Teeth are counted in whole"),
    (("count-teeth", "teeth_new=39"), "teeth_new: 39 teeth? Expected: at least 40 teeth"),
]


@pytest.mark.parametrize(("words", "said"), ODD)
def test_what_is_odd_is_said_and_taken_only_by_who_is_sure(words: tuple[str, ...], said: str):
    assert said in told(*words) and not told(*words, sure=True).startswith(("Odd", "Mistyped"))


@pytest.mark.parametrize(
    "drained", ["0.2L", "25L", "25000mL", "5,5L", "1.500L", "1,500 L", "+5L", "\uff15\uff0c\uff15L"]
)
def test_what_is_expected_is_taken_without_a_word_up_to_both_ends(drained: str):
    assert told("drain-coolant", f"drained={drained}") == "left_at_first"


def test_nobody_at_a_terminal_is_told_of_the_option():
    words = ("try", "drain-coolant", "drained=-5L")
    made = handturn(*words)
    assert made.exit_code == NOT_SURE == 3 and made.stdout == ""
    assert made.stderr.startswith("drained: -5 L?") and made.stderr.endswith(
        "Look again. If it is right, say --sure.\n"
    )
    sure = handturn(*words, "--sure")
    assert sure.exit_code == 0 and sure.stdout and not sure.stderr


@pytest.mark.parametrize(("answer", "code"), [("y\n", 0), ("\n", NOT_SURE)])
def test_a_terminal_is_asked(answer: str, code: int):
    ours, theirs = pty.openpty()
    os.write(ours, answer.encode())
    words = ["try", "drain-coolant", "drained=-5L"]
    made = subprocess.run(
        [sys.executable, "-m", "generator.cli", *words],
        cwd=ROOT, stdin=theirs, capture_output=True, text=True, timeout=60, check=False,
    )  # fmt: skip
    os.close(ours)
    os.close(theirs)
    assert made.returncode == code and "Sure? [y/N]" in made.stderr and "--sure" not in made.stderr
    assert bool(made.stdout) is (code == 0)


REFUSED = [
    ("odometer=118,350km", "can mean 118.35 km or 118350 km; write odometer=118.35km or odometer=118350km."),
    ("odometer=118.350", "odometer has a unit; write one of: km, mi."),
    ("odometer=-5km", "odometer=-5km can't be right. An odometer is not less than zero: 0 to 2000000 km."),
    ("odometer=3e6km", "odometer has no unit e6km; write one of: km, mi."),
    ("belt_distance=0km", "can't be right. A distance is more than zero: more than 0 and up to 2000000 km."),
    ("belt_age=72.5month", "can't be right. An age is in whole months, one at least"),
    ("shop_altitude=60000m", "can't be right. No shop lies this low or this high"),
    ("last_change=2026-02-30", "last_change is a date as year-month-day"),
    ("odometer=NaNkm", "odometer is a number with its unit"),
]


@pytest.mark.parametrize(("word", "said"), REFUSED)
def test_what_cannot_be_is_refused_and_two_readings_are_asked_back(word: str, said: str):
    procedure = "refill-vacuum" if word.startswith("shop") else "agree-the-work"
    assert told(procedure, word, sure=True).startswith("Mistyped: ") and said in told(procedure, word, sure=True)


BOLT, ADAPTER = ("--thread", "M8", "--class", "8.8"), ("--target", "25 N.m", "--lever", "300 mm", "--adapter", "60 mm")
OFF = [
    ((*BOLT, "--friction", "nan"), "'nan' can't be right. No bolt rubs less or more: 0.02 to 0.6."),
    ((*BOLT, "--friction", "0"), "'0' can't be right"),
    ((*BOLT, "--value", "0 N.m"), "--value '0 N.m' can't be right. A fastener is tightened by more than zero"),
    ((*BOLT, "--value", "-5 N.m"), "--value '-5 N.m' can't be right"),
    ((*BOLT, "--value", "1.234 N.m"), "--value '1.234 N.m' can mean 1.2340 N.m or 1234 N.m; write one of the two."),
    ((*ADAPTER, "--angle", "nan"), "'nan' can't be right. 0 is straight on, 180 folded back: 0 to 180 deg."),
    ((*ADAPTER, "--angle", "-1"), "'-1' can't be right"),
    ((*ADAPTER[:2], "--lever", "0 mm", "--adapter", "60 mm"), "--lever '0 mm' can't be right. A wrench is longer"),
    ((*ADAPTER[:4], "--adapter", "-60 mm"), "--adapter '-60 mm' can't be right. An adapter is longer than zero"),
    (("--target", "9000 N.m", *ADAPTER[2:]), "--target '9000 N.m' can't be right"),
]


@pytest.mark.parametrize(("words", "said"), OFF)
def test_an_option_that_cannot_be_is_refused(words: tuple[str, ...], said: str):
    made = handturn("torque", *words)
    assert made.exit_code == 2 and said in made.stderr


NOTHING = [
    (("try", "drain-coolant", "drained=5L", "drained=6L"), "drained is said twice; leave one of them out."),
    (("try", "drain-coolant", "drained=5L", "--engine", ""), "there is no engine ''"),
    (("torque", *BOLT, "--into", "", "--engaged", "8 mm"), "--into says nothing; write what the bolt goes into"),
    (("torque", *BOLT, "--into", " "), "--into says nothing"),
]


@pytest.mark.parametrize(("words", "said"), NOTHING)
def test_what_says_nothing_or_says_it_twice_is_refused(words: tuple[str, ...], said: str):
    made = handturn(*words)
    assert made.exit_code == 2 and said in made.stderr and made.stdout == ""


def test_a_comma_is_a_decimal_sign_at_the_desk_too():
    assert handturn("torque", *BOLT, "--friction", "0,14").stdout == handturn("torque", *BOLT, "--friction=.14").stdout
    assert "8.5 N.m is inside" in handturn("torque", *BOLT, "--value", "8.500 Nm").stdout
    assert handturn("torque", *ADAPTER, "--angle", "45,5").stdout == handturn("torque", *ADAPTER, "--angle=45.5").stdout


def test_rich_coolant_needs_no_drain_and_never_less_than_none():
    said = ("drained=1L", "coolant_capacity=7.1L", "freeze_now=-40degC", "mix_wanted=40%", "coolant-kind=ethylene")
    library = demo.checked().library
    group = group_of(library, library.procedures["coolant-choice"])
    made = {one.name: one.value for one in desk.answers(group, dict(word.split("=") for word in said), TODAY)}
    assert made["drains"] == 0


# --- what may have been meant: the same as on the phone ---------------------------------------------------------------

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


QUESTIONS = [
    ("drain-coolant", "drained=26L", "at most 25 L. Did you mean 2.6 L or 26 qt?"),
    ("coolant-choice", "freeze_now=37degC", "at most 3 degC. Did you mean -37 degC or 37 degF?"),
    ("agree-the-work", "belt_age=720month", "a whole number. Did you mean 72 month?"),
    ("drain-coolant", "drained=-5L", "0 to 10000 L."),
]


@pytest.mark.parametrize(("procedure", "word", "said"), QUESTIONS)
def test_the_question_is_in_words(procedure: str, word: str, said: str) -> None:
    library = demo.library()
    group = group_of(library, library.procedures[procedure])
    with pytest.raises((desk.Odd, desk.Mistyped)) as told:
        desk.answers(group, dict([word.split("=")]), TODAY)
    assert str(told.value).endswith(said)
