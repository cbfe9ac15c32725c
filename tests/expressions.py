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
import re
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from generator.place import Place
from generator.quantities.formulas import Scope, TableKind, compile_formula
from generator.quantities.units import kind_of, to_base
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


# -- formulas as a person writes them ----------------------------------------------------------------------------------

KINDS_OF = {
    "capacity": "L", "drained": "L", "freeze_now": "degC", "strength": "%", "turns": "turns", "lean": "deg",
    "air": "kPa", "cap": "kPa(g)", "pulled": "kPa(vac)", "last_change": "date", "interval": "month",
}  # fmt: skip
GLYCOL = [[232.0, 0.75], [240.0, 0.5], [255.15, 0.375], [273.15, 0.0]]
SCOPE = Scope(
    names={name: kind_of(unit) for name, unit in KINDS_OF.items()},
    tables={
        "glycol": TableKind(kind_of("degC"), kind_of("%"), GLYCOL[0][0], GLYCOL[-1][0], "Glycol by freezing point")
    },
    tolerances=frozenset(["turns"]),
    steps={path: tuple(outcomes) for path, outcomes in STEPS.items()},
)
# For every kind what it may be written as; {kind} stands for any formula of that kind.
WRITTEN = {
    "number": [
        "2", "0.5", "7", "turns", "strength", '"50 %"', "tolerance(turns)",
        "({number} + {number})", "({number} - {number})", "{number} * {number}", "{number} / {number}",
        "({number} % {number})", "-{number}", "abs({number})", "min({number}, {number})", "max({number}, {number}, 3)",
        "round({number})", "floor({number})", "ceil({number})", 'round({number}, "0.5 turns")', "sqrt(abs({number}))",
        "abs({number}) ** 2", "abs({number}) ** (1/3)", "exp({number} / 50)", "log(abs({number}) + 1)",
        "gcd(round({number}), 12)", "lcm(floor({number}), 5)", "sin({angle})", "cos({angle})", "tan({angle})",
        "{volume} / {volume}", '{pressure} / "1 bar"', "interp(glycol, {temperature})", "interp(glycol, freeze_now)",
        '{gauge} / "10 kPa(g)"', '{warmth} / "1 K"', 'between({date}, {date}) / "1 day"',
        "({number} if {truth} else {number})", '{angle} / "90 deg"',
    ],
    "volume": [
        "capacity", "drained", '"2.5 L"', '"1 gal"', "({volume} + {volume})", "({volume} - {volume})",
        "{volume} * {number}", 'round({volume}, "0.1 L")', 'floor({volume}, "0.25 L")', 'ceil({volume}, "1 qt")',
        "max({volume}, {volume})", "({volume} if {truth} else {volume})", "abs({volume})",
    ],
    "temperature": [
        "freeze_now", '"-18 degC"', '"14 degF"', "({temperature} + {warmth})", "min({temperature}, {temperature})",
        'round({temperature}, "1 K")',
    ],
    "warmth": ['"5 K"', "({temperature} - {temperature})", "{warmth} * {number}"],
    "pressure": ["air", '"25 inHg"', "absolute({gauge}, air)", "absolute({vacuum}, {pressure})", "{pressure} * 2"],
    "gauge": ["cap", '"1.1 bar(g)"', "gauge({pressure}, air)", "({gauge} + {pressure})", "2 * {gauge}"],
    "vacuum": ["pulled", '"25 inHg(vac)"', "vacuum({pressure}, air)", "min({vacuum}, {vacuum})"],
    "date": [
        "last_change", 'add({date}, "12 month")', 'add({date}, "-30 day")', "add({date}, interval)",
        "max({date}, {date})", 'add({date}, "1 month" * ({number}))', 'add({date}, between({date}, {date}))',
    ],
    "angle": ["lean", '"30 deg"', "asin({number})", "acos({number} / 10)", "atan({number})", '{number} * "1 deg"'],
    "truth": [
        "yes", "no", 'found("drain", "oily")', 'found("look/at-belt", "worn")', "({number} < {number})",
        "({volume} >= {volume})", "({date} <= {date})", "({temperature} > {temperature})", "({gauge} != {gauge})",
        "({number} < {number} <= {number})", "({truth} and {truth})", "({truth} or {truth})", "(not {truth})",
        "({vacuum} > {vacuum})",
    ],
}  # fmt: skip
DEEP = 4
HOLE = re.compile(r"\{(\w+)\}")


@st.composite
def texts(draw: st.DrawFn, kind: str, depth: int) -> str:
    """A formula of a kind, so many levels deep at most, and one at least."""
    leaves = [way for way in WRITTEN[kind] if not HOLE.search(way)]
    made = [way for way in WRITTEN[kind] if HOLE.search(way)]
    ways = {0: leaves, DEEP: made}.get(depth, [*leaves, *made])
    return HOLE.sub(lambda hole: draw(texts(hole[1], depth - 1)), draw(st.sampled_from(ways)))


@st.composite
def written(draw: st.DrawFn) -> Case:
    """A formula as text, and readings for all it may name."""
    kind = draw(st.sampled_from([*WRITTEN, "number", "number", "number", "number", "truth"]))
    wide = {"degC": st.integers(-48, 20).map(float), "date": days, "month": st.integers(-30, 90).map(float)}
    read = {name: to_base(draw(wide.get(unit, sixteenths)), unit) for name, unit in KINDS_OF.items()}
    read["turns.tolerance"] = 0.25
    left_out = draw(st.sampled_from([None, None, *KINDS_OF]))
    return {
        "text": draw(texts(kind, DEEP)),
        "names": {name: number for name, number in read.items() if name != left_out},
        "found": draw(outcomes),
        "tables": {"glycol": GLYCOL},
    }


def compiled(case: Case) -> Case | None:
    """The case with its tree; None where the checker finds a fault, as in a table asked outside its range."""
    made, _ = compile_formula(case["text"], Place("made-up.yml", 1, 1), SCOPE)
    return {**case, "tree": made.tree} if made else None


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


ROUGH = {"exp", "log", "sin", "cos", "tan", "asin", "acos", "atan", "**"}
"""What two machines may round differently in the last bit."""


def operators_in(tree: Tree) -> Iterator[str]:
    if isinstance(tree, list) and tree and isinstance(tree[0], str):
        yield tree[0]
        for part in tree[1:]:
            yield from operators_in(part)


def is_exact(case: Case) -> bool:
    return ROUGH.isdisjoint(operators_in(case["tree"]))


def is_steady(case: Case, random: Random) -> bool:
    """Whether the result hardly moves when every leaf does: then a difference between two languages is theirs."""
    value = here(case)
    moved = [here({**case, "tree": shaken(case["tree"], random)}) for _ in range(2)]
    if isinstance(value, bool | Unknown):
        return all(other == value for other in moved)
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
