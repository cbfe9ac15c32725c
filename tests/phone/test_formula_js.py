"""Formulas on the phone against Python's, in Node: one table of cases, and thousands of random trees."""

from __future__ import annotations

import json
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings

from generator.quantities.formulas.evaluation import Unknown
from generator.quantities.units import KINDS, from_base, shown, table_json, to_base
from tests.support.expressions import (
    TABLE,
    Case,
    apart,
    compiled,
    continuous_case,
    drawn,
    exact_case,
    exact_cases,
    here,
    is_exact,
    is_steady,
    plain,
    scrap_case,
    smallest,
    written_case,
    written_cases,
)
from tests.support.node import Phone

EXACT, CONTINUOUS, WRITTEN, SCRAPS = 3000, 2500, 2000, 1500
"""How many random cases of each sort."""

UNITS = table_json(KINDS)

# A number that JSON would hide is sent as text.
ASK = """async (text) => {
  const F = await import('/phone/quantities/formula.js');
  const told = (value) => (
    typeof value === 'number' && (!Number.isFinite(value) || Object.is(value, -0)) ? `odd ${1 / value}` : value
  );
  const { cases, units } = JSON.parse(text);
  const run = {
    evaluate: ({ tree, names, found, tables }) => F.evaluate(tree, { names, found, tables }),
    shown: ({ base, unit, step }) => F.shown(base, units[unit], step),
    toBase: ({ number, unit }) => F.toBase(number, units[unit]),
    fromBase: ({ base, unit }) => F.fromBase(base, units[unit]),
    isUnknown: ({ value }) => F.isUnknown(value),
  };
  return JSON.stringify(cases.map(({ ask, ...given }) => told(run[ask](given))));
}"""


class Lab:
    """The phone's formulas, asked about many cases at once."""

    def __init__(self, phone: Phone) -> None:
        self.phone = phone

    def asked(self, ask: str, cases: list[Case]) -> list[Any]:
        sent = json.dumps({"cases": [{**case, "ask": ask} for case in cases], "units": UNITS})
        answers: list[Any] = json.loads(self.phone.evaluate(ASK, sent), parse_int=float)
        return answers


@pytest.fixture(scope="module")
def lab(phone: Phone) -> Lab:
    return Lab(phone)


def is_same(one: Any, other: Any) -> bool:
    """True if both are equal to the last bit. A truth is not a number."""
    return bool(one == other) and isinstance(one, bool) == isinstance(other, bool)


def test_every_case_of_the_table_gives_what_it_says(lab: Lab):
    cases = [{"tables": TABLE["tables"], **case} for case in TABLE["evaluate"]]
    wrong = []
    for case, value in zip(cases, lab.asked("evaluate", cases), strict=True):
        fits = apart(value, case["near"]) < 1e-14 if "near" in case else is_same(value, case["gives"])
        wrong += [] if fits else [(case["says"], value)]
    assert wrong == []


def test_every_figure_of_the_table_is_shown_as_it_says(lab: Lab):
    told = lab.asked("shown", TABLE["shown"])
    wrong = [(case, text) for case, text in zip(TABLE["shown"], told, strict=True) if text != case["gives"]]
    assert wrong == []


def test_every_number_of_the_table_goes_to_base_and_back_as_in_python(lab: Lab):
    cases = TABLE["base"]
    assert lab.asked("toBase", cases) == [case["base"] for case in cases]
    assert lab.asked("fromBase", cases) == [from_base(case["base"], case["unit"]) for case in cases]


def test_random_figures_of_every_unit_are_converted_and_shown_alike(lab: Lab):
    random = Random(11)
    steps = [None, None, 0.1, 0.25, 0.5, 1.0, 5.0, 10.0, 1e-3]
    cases = []
    for unit in UNITS:
        for _ in range(40):
            number = random.choice([1, -1]) * random.choice([random.random(), 40 * random.random()])
            number = round(number * 10 ** random.randint(-6, 8), random.choice([0, 1, 2, 3, 9]))
            number = round(number) if unit == "date" else number
            cases.append({"number": number, "base": to_base(number, unit), "unit": unit, "step": random.choice(steps)})
    assert lab.asked("toBase", cases) == [case["base"] for case in cases]
    assert lab.asked("fromBase", cases) == [from_base(case["base"], case["unit"]) for case in cases]
    told = zip(cases, lab.asked("shown", cases), strict=True)
    assert [(c, text) for c, text in told if text != shown(c["base"], c["unit"], c["step"])][:3] == []
    assert len(cases) > 1500


# -- random trees ------------------------------------------------------------------------------------------------------


def compared(lab: Lab, cases: list[Case]) -> list[tuple[Case, Any, Any]]:
    """Return each case with Python's value and the phone's."""
    return list(zip(cases, [plain(here(case)) for case in cases], lab.asked("evaluate", cases), strict=True))


def differing(told: list[tuple[Case, Any, Any]], most: float) -> list[tuple[Case, Any, Any]]:
    """Return the smallest cases that differ: numbers by more than `most` of themselves, everything else in anything."""

    def fits(mine: Any, theirs: Any) -> bool:
        if most and isinstance(mine, float) and isinstance(theirs, float):
            return apart(mine, theirs) <= most
        return is_same(mine, theirs)

    return smallest([found for found in told if not fits(found[1], found[2])])


def known(told: list[tuple[Case, Any, Any]]) -> int:
    return sum(not isinstance(value, dict) for _, value, _ in told)


def say(capsys: pytest.CaptureFixture[str], what: str, told: list[tuple[Case, Any, Any]]) -> None:
    """Print how many were compared and how far the two languages were apart, even without `pytest -s`."""
    numbers = [(a, b) for _, a, b in told if isinstance(a, float) and isinstance(b, float)]
    most = max((apart(a, b) for a, b in numbers), default=0.0)
    with capsys.disabled():
        print(f"\n{what}: {len(told)} compared, {known(told)} known, greatest relative difference {most:.1e}")


def test_exact_trees_give_the_same_to_the_last_bit(lab: Lab, capsys: pytest.CaptureFixture[str]):
    told = compared(lab, drawn(exact_case, EXACT, seed=1))
    say(capsys, "exact trees on dyadic readings", told)
    assert differing(told, 0) == []
    assert known(told) > 2000


def test_continuous_trees_agree_to_a_billionth(lab: Lab, capsys: pytest.CaptureFixture[str]):
    random = Random(7)
    cases = [case for case in drawn(continuous_case, CONTINUOUS, seed=2) if is_steady(case, random)]
    told = compared(lab, cases)
    say(capsys, "continuous trees", told)
    assert differing(told, 1e-9) == []
    assert len(told) > 2300 and known(told) > 1800


def test_formulas_as_a_person_writes_them_are_worked_out_alike(lab: Lab, capsys: pytest.CaptureFixture[str]):
    """Formulas compiled from text, with units, tables, dates and findings. Nothing that compiles is broken."""
    random = Random(13)
    cases = [case for case in map(compiled, drawn(written_case, WRITTEN, seed=3)) if case]
    assert len(cases) > 1900
    exact = compared(lab, [case for case in cases if is_exact(case)])
    rough = [case for case in cases if not is_exact(case) and is_steady(case, random)]
    told = compared(lab, rough)
    say(capsys, "formulas compiled from text", exact + told)
    assert differing(exact, 0) == [] and differing(told, 1e-9) == []
    assert [case for case, value, _ in exact + told if isinstance(value, dict) and "broken" in value["because"]] == []
    assert known(exact) > 1000 and known(told) > 200


@settings(max_examples=100, deadline=None, derandomize=True)
@given(exact_cases | written_cases.map(compiled).filter(lambda case: case is not None and is_exact(case)))
def test_one_exact_tree_after_another_gives_the_same(lab: Lab, case: Case):
    """As above, but one by one, so that a tree that differs is made small."""
    assert is_same(lab.asked("evaluate", [case])[0], plain(here(case)))


def test_json_from_nowhere_is_unknown_alike_and_never_throws(lab: Lab):
    told = compared(lab, drawn(scrap_case, SCRAPS, seed=4))
    exact = [found for found in told if is_exact(found[0])]
    assert differing(exact, 0) == [] and len(exact) > 1000
    assert differing(told, 1e-14) == [], "a tangent may end in another bit in another engine"
    assert sum("broken" in value["because"] for _, value, _ in told if isinstance(value, dict)) > 1000


def test_a_difference_would_be_seen(lab: Lab):
    """The comparison itself works: it notices the same tree with a slightly larger reading."""
    case = {"tree": ["*", 3.0, ["name", "drained"]], "names": {"drained": 5.5}}
    greater = {**case, "names": {"drained": 5.500000000000001}}
    assert not is_same(plain(here(case)), lab.asked("evaluate", [greater])[0])
    assert is_same(plain(here(case)), lab.asked("evaluate", [case])[0])


@pytest.mark.parametrize("deep", [100, 101, 5000])
def test_a_tree_without_end_is_broken_and_a_deep_one_is_walked(lab: Lab, deep: int):
    tree = '["neg",' * deep + "1" + "]" * deep
    value = lab.phone.evaluate(
        "async (text) => (await import('/phone/quantities/formula.js')).evaluate(JSON.parse(text), {})", tree
    )
    assert value == ((-1) ** deep if deep <= 100 else plain(Unknown(because=("broken",))))


def test_more_parts_than_a_formula_can_have_are_broken(lab: Lab):
    told = lab.asked("evaluate", [{"tree": ["max", *range(500)]}, {"tree": ["max", *range(501)]}])
    assert told == [499, plain(Unknown(because=("broken",)))]


def test_what_json_cannot_say_is_broken_too(lab: Lab):
    told = lab.phone.evaluate("""async () => {
      const { evaluate } = await import('/phone/quantities/formula.js');
      const trees = [undefined, NaN, Infinity, () => 1, 5n, ['+', 1, undefined], new Map(), ['max', 1, NaN]];
      return trees.map((tree) => evaluate(tree, undefined).because.join());
    }""")
    assert told == ["broken"] * 8


def test_only_needs_and_reasons_are_unknown(lab: Lab):
    values = [{"needs": [], "because": ["zero"]}, {"needs": ["a"]}, None, 0, False, "", [], {}]
    assert lab.asked("isUnknown", [{"value": value} for value in values]) == [True] + [False] * 7
