"""Trees, readings and JSON from nowhere, as Hypothesis strategies, and the table of cases that both languages run.

Two classes, because a comparison or a floor of two numbers that differ in their last bit may rightly differ:

- *exact* trees: leaves that are whole sixteenths, and only operators that every machine rounds alike (`+ - * / %`,
  square root, comparisons, whole steps, gcd and lcm, tables, dates). Here both languages must agree to the last bit.
- *continuous* trees: exp, log, powers and angles too, and no operator that jumps. Here they agree to 1e-9 of the
  result, where the result depends on its inputs no worse than that: `is_steady` tries the tree with every leaf moved
  by a ten-billionth of a thousandth, and a tree that a move like that upsets says nothing about either language.

A case is what `evaluate` gets, as JSON: {tree, names, found, tables}.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from generator.quantities.walk import Env, Unknown, Value, evaluate

Case = dict[str, Any]
Tree = Any

TABLE: dict[str, Any] = json.loads((Path(__file__).parent / "formulas.json").read_text())
NAMES = ["capacity", "drained", "freeze_now", "strength", "turns"]
STEPS = {"look/at-belt": ["good", "worn"], "drain": ["clear", "oily"]}
TABLES = {
    "rising": [[-40.0, 0.25], [-10.0, 2.0], [0.0, 2.5], [30.0, 9.0]],
    "falling": [[0.0, 100.0], [0.5, 64.0], [2.0, 8.0], [64.0, -1.0]],
}
SHAKE = 1e-13
STEADY = 1e-10


# -- into Python and back ----------------------------------------------------------------------------------------------


def env_of(case: Case) -> Env:
    names = {name: value_of(value) for name, value in case.get("names", {}).items()}
    return Env(names, case.get("found", {}), case.get("tables", TABLES))


def value_of(value: Any) -> Any:
    return Unknown(tuple(value["needs"]), tuple(value["because"])) if isinstance(value, dict) else value


def plain(value: Value) -> Any:
    """A value as the phone writes it."""
    return {"needs": list(value.needs), "because": list(value.because)} if isinstance(value, Unknown) else value


def here(case: Case) -> Value:
    return evaluate(case["tree"], env_of(case))


# -- trees -------------------------------------------------------------------------------------------------------------

sixteenths = st.integers(-(2**12), 2**12).map(lambda whole: whole / 16) | st.integers(-9, 9).map(float)
reals = st.floats(0.01, 100) | st.floats(-100, 100) | st.sampled_from([0.5, 1.0, 2.0, 45.0, -30.0])
names = st.sampled_from(NAMES).map(lambda name: ["name", name])
days = st.integers(-30_000, 60_000).map(float)
found = st.sampled_from([["found", path, outcome] for path, outcomes in STEPS.items() for outcome in [*outcomes, "x"]])


def op(name: str, *parts: st.SearchStrategy[Tree]) -> st.SearchStrategy[Tree]:
    return st.tuples(st.just(name), *parts).map(list)


def ops(names: str, *parts: st.SearchStrategy[Tree]) -> st.SearchStrategy[Tree]:
    return st.sampled_from(names.split()).flatmap(lambda name: op(name, *parts))


def many(names: str, part: st.SearchStrategy[Tree]) -> st.SearchStrategy[Tree]:
    parts = st.lists(part, min_size=1, max_size=3)
    return st.tuples(st.sampled_from(names.split()), parts).map(lambda drawn: [drawn[0], *drawn[1]])


def truths(number: st.SearchStrategy[Tree]) -> st.SearchStrategy[Tree]:
    """Comparisons, and what is said of them."""
    asked = ops("< <= > >= == !=", number, number)
    one = asked | found | st.booleans()
    return asked | op("not", one) | many("and or", one) | ops("== !=", one, one) | op("if", asked, one, one)


def _exact_over(number: st.SearchStrategy[Tree]) -> st.SearchStrategy[Tree]:
    step = st.sampled_from([0.25, 0.5, 1.0, 5.0, 0.1, 0.0]) | number
    whole = ops("round floor ceil", number)
    date = days | op("add-days", days, op("*", st.just(86400.0), whole)) | op("add-months", days, whole)
    return st.one_of(
        ops("+ - * / %", number, number),
        ops("+ - * %", number, number),
        ops("neg abs sqrt round floor ceil", number),
        op("sqrt", op("abs", number)),
        ops("round floor ceil", number, step),
        many("min max", number),
        many("gcd lcm", whole | st.integers(-400, 400).map(float)),
        op("if", ops("< <= > >= == !=", number, number) | found, number, number),
        op("interp", st.sampled_from(sorted(TABLES)), number),
        op("between", date, date),
        op("/", op("between", days, date), st.just(86400.0)),
    )


def _continuous_over(number: st.SearchStrategy[Tree]) -> st.SearchStrategy[Tree]:
    exponent = st.sampled_from([2.0, 3.0, 0.5, -1.0, 1 / 3, 1.5, 0.0])
    return st.one_of(
        ops("+ - * /", number, number),
        ops("+ - *", number, number),
        ops("sin cos tan atan", number),
        ops("neg abs sqrt exp log sin cos tan asin acos atan", number),
        ops("sqrt log", op("abs", number)),
        ops("exp asin acos", ops("sin cos", number)),
        op("**", op("abs", number), exponent),
        op("**", number, exponent),
        many("min max", number),
        op("interp", st.sampled_from(sorted(TABLES)), number),
        op("if", found, number, number),
    )


exact_numbers = st.recursive(sixteenths | names, _exact_over, max_leaves=10)
exact_truths = truths(exact_numbers)
exact = st.sampled_from([exact_numbers, exact_numbers, exact_truths]).flatmap(lambda kind: kind)
continuous = st.recursive(reals | names, _continuous_over, max_leaves=10)


# -- readings ----------------------------------------------------------------------------------------------------------


def readings(number: st.SearchStrategy[float]) -> st.SearchStrategy[dict[str, Any]]:
    """Some names are missing, some not known for a reason, and one may be a truth where a number is wanted."""
    why = st.lists(st.sampled_from(["zero", "large"]), unique=True, max_size=2).map(sorted)
    needs = st.lists(st.sampled_from(["vacuum_end", "strength"]), unique=True, max_size=2).map(sorted)
    not_known = st.fixed_dictionaries({"needs": needs, "because": why})
    usual = st.dictionaries(st.sampled_from(NAMES), number, min_size=len(NAMES) - 1)
    odd = st.dictionaries(st.sampled_from(NAMES), not_known | st.booleans() | st.none(), max_size=1)
    return st.tuples(usual, st.sampled_from([0, 0, 1]), odd).map(
        lambda drawn: {**drawn[0], **(drawn[2] if drawn[1] else {})}
    )


outcomes = st.fixed_dictionaries({}, optional={path: st.sampled_from(listed) for path, listed in STEPS.items()})


def cases(tree: st.SearchStrategy[Tree], number: st.SearchStrategy[float]) -> st.SearchStrategy[Case]:
    return st.fixed_dictionaries(
        {"tree": tree, "names": readings(number), "found": outcomes, "tables": st.just(TABLES)}
    )


exact_cases = cases(exact, sixteenths)
continuous_cases = cases(continuous, reals)


# -- JSON from nowhere -------------------------------------------------------------------------------------------------

HEADS = [case["tree"][0] for case in TABLE["evaluate"] if isinstance(case["tree"], list) and case["tree"]]
OPERATORS = sorted({head for head in HEADS if isinstance(head, str)})
words = st.sampled_from(OPERATORS) | st.text(max_size=3) | st.sampled_from(NAMES)
numbers = st.floats(allow_nan=False, allow_infinity=False) | st.integers(-(10**400), 10**400) | sixteenths
scraps = st.recursive(
    st.none() | st.booleans() | numbers | words,
    lambda part: (
        st.lists(part, max_size=4)
        | st.tuples(words, part).map(list)
        | st.tuples(words, part, part).map(list)
        | st.dictionaries(words, part, max_size=2)
    ),
    max_leaves=14,
)


@st.composite
def spoilt(draw: st.DrawFn) -> Tree:
    """A formula with one part of it replaced by what is none."""
    tree = draw(exact_numbers | continuous)
    ways = list(places(tree))
    return replaced(tree, draw(st.sampled_from(ways)), draw(scraps))


def places(tree: Tree) -> Iterator[list[int]]:
    """The way to every part of a tree."""
    yield []
    for number, part in enumerate(tree if isinstance(tree, list) else []):
        for way in places(part):
            yield [number, *way]


def replaced(tree: Tree, way: list[int], part: Any) -> Tree:
    if not way:
        return part
    return [replaced(old, way[1:], part) if number == way[0] else old for number, old in enumerate(tree)]


scrap_tables = st.just(TABLES) | st.dictionaries(words, scraps, max_size=2)
scrap_cases = st.fixed_dictionaries(
    {
        "tree": st.one_of(scraps, spoilt(), spoilt()),
        "names": readings(sixteenths),
        "found": outcomes,
        "tables": scrap_tables,
    }
)


# -- many at once ------------------------------------------------------------------------------------------------------


def drawn(strategy: st.SearchStrategy[Case], count: int) -> list[Case]:
    """So many examples of a strategy, the same in every run: for one question to a page about all of them."""
    kept: list[Case] = []

    @settings(
        max_examples=count,
        deadline=None,
        derandomize=True,
        database=None,
        phases=[Phase.generate],
        suppress_health_check=list(HealthCheck),
    )
    @given(strategy)
    def keep(case: Case) -> None:
        kept.append(case)

    keep()
    return kept


def crossed(cases: list[Case], times: int) -> list[Case]:
    """Every tree with its own readings and with those of the cases after it."""
    size = len(cases)
    return [{**cases[(i + shift) % size], "tree": cases[i]["tree"]} for shift in range(times) for i in range(size)]


def smallest(differing: list[tuple[Case, Any, Any]]) -> list[tuple[Case, Any, Any]]:
    """The three that are read most easily."""
    return sorted(differing, key=lambda found: len(json.dumps(found[0]["tree"])))[:3]


def is_steady(case: Case, random: Random) -> bool:
    """Whether the result hardly moves when every leaf does: then a difference between two languages is theirs."""
    value = here(case)
    if isinstance(value, Unknown):
        return all(here({**case, "tree": shaken(case["tree"], random)}) == value for _ in range(2))
    moved = [here({**case, "tree": shaken(case["tree"], random)}) for _ in range(2)]
    return all(isinstance(other, float) and abs(other - value) <= STEADY * abs(value) for other in moved)


def shaken(tree: Tree, random: Random) -> Tree:
    """The tree with every leaf a little greater or smaller."""
    if isinstance(tree, float) or (isinstance(tree, list) and tree[0] == "name"):
        return ["*", tree, 1 + random.choice([-SHAKE, SHAKE])]
    if not isinstance(tree, list) or tree[0] == "found":
        return tree
    kept = {"**": {2}, "interp": {1}}.get(tree[0], set())
    return [part if number in {0, *kept} else shaken(part, random) for number, part in enumerate(tree)]


def apart(one: float, other: float) -> float:
    """How far apart, as a part of the greater; what is next to nothing is nothing."""
    greater = max(abs(one), abs(other))
    return abs(one - other) / greater if greater > 1e-290 else 0.0
