"""Random trees, readings, texts and JSON, and the table of cases that both languages run.

All are made from one source of choices, a `random.Random`. It is a seeded one for thousands of cases at once, or that
of Hypothesis (the strategies at the end), which makes a failing case small. There are two classes of trees, because a
comparison or a floor of two numbers that differ in their last bit may rightly differ:

- *exact* trees: leaves that are whole sixteenths, and only operators that every machine rounds alike (`+ - * / %`,
  square root, comparisons, whole steps, gcd and lcm, tables, dates). Here both languages agree to the last bit.
- *continuous* trees: exp, log, powers and angles too, but no operator that jumps. Here they agree to 1e-9 of the
  result, if the result does not depend on its inputs more strongly than that. `is_steady` tries the tree with every
  leaf moved by one part in 10^13. A tree that such a move upsets says nothing about either language.

A case is what `evaluate` gets, as JSON: {tree, names, found, tables}.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from random import Random
from typing import Any

from hypothesis import strategies as st

from generator.place import Place
from generator.quantities.formulas.compiler import FormulaScope, TableKind, compile_formula
from generator.quantities.formulas.evaluation import Env, Unknown, Value, evaluate
from generator.quantities.units import kind_of, to_base

Case = dict[str, Any]
Tree = Any
Maker = Callable[[Random], Any]

TABLE: dict[str, Any] = json.loads((Path(__file__).parent / "formulas.json").read_text())
NAMES = ["capacity", "drained", "freeze_now", "strength", "turns"]
STEPS = {"look/at-belt": ["good", "worn"], "drain": ["clear", "oily"]}
TABLES = {
    "rising": [[-40.0, 0.25], [-10.0, 2.0], [0.0, 2.5], [30.0, 9.0]],
    "falling": [[0.0, 100.0], [0.5, 64.0], [2.0, 8.0], [64.0, -1.0]],
}
DEEPEST = 4
SHAKE = 1e-13
STEADY = 1e-10
ROUGH = {"exp", "log", "sin", "cos", "tan", "asin", "acos", "atan", "**"}
"""What two machines may round differently in the last bit."""


# -- into Python and back ----------------------------------------------------------------------------------------------


def env_of(case: Case) -> Env:
    names = {name: value_of(value) for name, value in case.get("names", {}).items()}
    return Env(names, case.get("found", {}), case.get("tables", TABLES))


def value_of(value: Any) -> Any:
    return Unknown(tuple(value["needs"]), tuple(value["because"])) if isinstance(value, dict) else value


def plain(value: Value) -> Any:
    """Return a value as the phone writes it."""
    return {"needs": list(value.needs), "because": list(value.because)} if isinstance(value, Unknown) else value


def here(case: Case) -> Value:
    return evaluate(case["tree"], env_of(case))


# -- trees: for every kind the ways to make it -------------------------------------------------------------------------


class Of(str):
    """A placeholder inside a tree that stands for anything of this kind."""


N, T, D, W = Of("number"), Of("truth"), Of("date"), Of("whole")


def sixteenth(random: Random) -> float:
    return random.randint(-4096, 4096) / 16 if random.random() < 0.7 else float(random.randint(-9, 9))


def real(random: Random) -> float:
    """Return small and large numbers, most of them above 0."""
    size = random.choice([random.random(), 10 * random.random(), 10 ** random.uniform(-3, 3)])
    return -size if random.random() < 0.2 else size


def day(random: Random) -> float:
    return float(random.randint(-30_000, 60_000))


def a_name(random: Random) -> Tree:
    return ["name", random.choice(NAMES)]


def a_finding(random: Random) -> Tree:
    step = random.choice(list(STEPS))
    return ["found", step, random.choice([*STEPS[step], "other"])]


def a_step(random: Random) -> float:
    return random.choice([0.25, 0.5, 1.0, 5.0, 0.1, 0.0])


def exponent(random: Random) -> float:
    return random.choice([2.0, 3.0, 0.5, -1.0, 1 / 3, 1.5, 0.0])


def each(ops: str, *parts: Any) -> list[Tree]:
    return [[op, *parts] for op in ops.split()]


def many(ops: str, part: Any) -> list[Tree]:
    return [[op, *[part] * count] for op in ops.split() for count in (1, 2, 3)]


COMPARED = each("< <= > >= == !=", N, N)
EXACT: dict[str, list[Any]] = {
    "number": [
        *[sixteenth, sixteenth, a_name, a_name, a_name],
        *each("+ - * / %", N, N), *each("+ - *", N, N), *each("neg abs sqrt round floor ceil", N), ["sqrt", ["abs", N]],
        *each("round floor ceil", N, a_step), ["round", N, N], *many("min max", N), *many("gcd lcm", W),
        ["if", T, N, N], ["if", T, N, ["unknown"]], ["interp", "rising", N], ["interp", "falling", N],
        ["between", D, D],
        ["/", ["between", D, D], 86400.0],
    ],
    "whole": [lambda random: float(random.randint(-400, 400)), *each("round floor ceil", N)],
    "date": [day, day, ["add-days", D, ["*", 86400.0, W]], ["add-months", D, W], ["max", D, D]],
    "truth": [
        a_finding, lambda random: random.random() < 0.5, *COMPARED, *COMPARED, ["<", D, D], ["not", T],
        *many("and or", T), ["==", T, T], ["!=", T, T], ["if", T, T, T],
    ],
}  # fmt: skip
CONTINUOUS: dict[str, list[Any]] = {
    "number": [
        *[real, real, a_name, a_name],
        *each("+ - * /", N, N), *each("+ *", N, N), *each("neg abs sqrt exp log sin cos tan asin acos atan", N),
        *each("sqrt log", ["abs", N]), *each("sin cos tan atan", N), ["exp", ["sin", N]], ["asin", ["cos", N]],
        ["acos", ["/", N, 99.0]], ["exp", ["/", N, 20.0]], ["**", ["abs", N], exponent], ["**", N, exponent],
        *many("min max", N), ["interp", "rising", N], ["interp", "falling", N], ["if", a_finding, N, N],
    ],
}  # fmt: skip


def grown(random: Random, ways: dict[str, list[Any]], kind: str, depth: int) -> Tree:
    """Return a tree of a kind, at most `depth` placeholders deep."""
    ends = [way for way in ways[kind] if not has_hole(way)]
    way = random.choice(ways[kind] if depth > 0 else ends)
    return filled(random, ways, way, depth)


def has_hole(way: Any) -> bool:
    if isinstance(way, list):
        return any(map(has_hole, way))
    return isinstance(way, Of) or (isinstance(way, str) and bool(HOLE.search(way)))


def filled(random: Random, ways: dict[str, list[Any]], way: Any, depth: int) -> Tree:
    if isinstance(way, Of):
        return grown(random, ways, way, depth - 1)
    if isinstance(way, list):
        return [filled(random, ways, part, depth) for part in way]
    return way(random) if callable(way) else way


# -- readings ----------------------------------------------------------------------------------------------------------


def readings(random: Random, number: Maker) -> dict[str, Any]:
    """Return readings. Now and then one is missing, or unknown for a reason, or a truth instead of a number."""
    read = {name: number(random) for name in NAMES}
    odd = random.choice(NAMES)
    if random.random() < 0.2:
        del read[odd]
    elif random.random() < 0.1:
        read[odd] = random.choice([None, True, not_known(random)])
    return read


def not_known(random: Random) -> dict[str, list[str]]:
    needs = random.choice([[], ["vacuum_end"], ["strength", "turns"]])
    return {"needs": needs, "because": random.choice([["zero"], ["large", "root"]])}


def outcomes(random: Random) -> dict[str, str]:
    return {step: random.choice(listed) for step, listed in STEPS.items() if random.random() < 0.8}


def exact_case(random: Random) -> Case:
    kind = random.choice(["number", "number", "truth"])
    return around(random, grown(random, EXACT, kind, random.randint(2, DEEPEST)), sixteenth)


def continuous_case(random: Random) -> Case:
    return around(random, grown(random, CONTINUOUS, "number", random.randint(2, DEEPEST)), real)


def around(random: Random, tree: Tree, number: Maker) -> Case:
    return {"tree": tree, "names": readings(random, number), "found": outcomes(random), "tables": TABLES}


# -- formulas as a person writes them ----------------------------------------------------------------------------------

KINDS_OF = {
    "capacity": "L", "drained": "L", "freeze_now": "degC", "strength": "%", "turns": "turns", "lean": "deg",
    "air": "kPa", "cap": "kPa(g)", "pulled": "kPa(vac)", "last_change": "date", "interval": "month",
}  # fmt: skip
GLYCOL = [[232.0, 0.75], [240.0, 0.5], [255.15, 0.375], [273.15, 0.0]]
SCOPE = FormulaScope(
    names={name: kind_of(unit) for name, unit in KINDS_OF.items()},
    tables={
        "glycol": TableKind(kind_of("degC"), kind_of("%"), GLYCOL[0][0], GLYCOL[-1][0], "Glycol by freezing point")
    },
    tolerances=frozenset(["turns"]),
    steps={path: tuple(outcomes) for path, outcomes in STEPS.items()},
)
# The ways to write each kind. {kind} stands for any formula of that kind.
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
HOLE = re.compile(r"\{(\w+)\}")


def text_of(random: Random, kind: str, depth: int) -> str:
    """Return a formula of this kind, at most `depth` levels deep."""
    ways = [way for way in WRITTEN[kind] if depth > 0 or not has_hole(way)]
    return HOLE.sub(lambda hole: text_of(random, hole[1], depth - 1), random.choice(ways))


TYPED: dict[str, Maker] = {
    "degC": lambda random: float(random.randint(-48, 20)),
    "date": day,
    "month": lambda random: float(random.randint(-30, 90)),
}


def written_case(random: Random) -> Case:
    """Return a formula as text, and readings for most of the names in it."""
    read = {name: to_base(TYPED.get(unit, sixteenth)(random), unit) for name, unit in KINDS_OF.items()}
    read["turns.tolerance"] = 0.25
    if random.random() < 0.3:
        del read[random.choice(list(KINDS_OF))]
    kind = random.choice([*WRITTEN, *["number"] * 8, *["truth"] * 4])
    text = text_of(random, kind, random.randint(2, DEEPEST))
    return {"text": text, "names": read, "found": outcomes(random), "tables": {"glycol": GLYCOL}}


def compiled(case: Case) -> Case | None:
    """Return the case with its tree. None if the checker finds a fault, such as a table asked outside its range."""
    made, _ = compile_formula(case["text"], Place("made-up.yml", 1, 1), SCOPE)
    return {**case, "tree": made.tree} if made else None


# -- JSON from nowhere -------------------------------------------------------------------------------------------------

HEADS = [case["tree"][0] for case in TABLE["evaluate"] if isinstance(case["tree"], list) and case["tree"]]
OPERATORS = sorted({head for head in HEADS if isinstance(head, str)})
ODD = ["", "toString", "__proto__", "é", "\ud800", "\U0001d518", "\uff5e", "1", "\0"]
WORDS = [*OPERATORS, *OPERATORS, *NAMES, *TABLES, *STEPS, *ODD]
NUMBERS = [0, -0.0, 1, -1, 0.5, 7, 2**53, 2**53 + 1, 1e300, -1e300, 5e-324, 10**400, -(10**400)]


def word(random: Random) -> str:
    return random.choice(WORDS)


def scrap(random: Random, depth: int) -> Any:
    """Return any JSON value. Many begin like a formula."""
    if depth <= 0 or random.random() < 0.3:
        return random.choice([None, random.random() < 0.5, word(random), random.choice(NUMBERS)])
    parts = [scrap(random, depth - 1) for _ in range(random.randint(0, 3))]
    head = word(random)
    return random.choice([[head, *parts], [head, *parts], parts, {head: parts}])


def scrap_case(random: Random) -> Case:
    """Return random JSON, or a formula with one part replaced by it."""
    case = random.choice([exact_case, continuous_case])(random)
    whole = scrap(random, 3)
    if random.random() < 0.7:
        whole = replaced(case["tree"], random.choice(list(places(case["tree"]))), scrap(random, 1))
    tables = TABLES if random.random() < 0.7 else {name: scrap(random, 2) for name in (*TABLES, word(random))}
    return {**case, "tree": whole, "tables": tables}


def places(tree: Tree) -> Iterator[list[int]]:
    """Yield the way to every part of a tree."""
    yield []
    for number, part in enumerate(tree if isinstance(tree, list) else []):
        for way in places(part):
            yield [number, *way]


def replaced(tree: Tree, way: list[int], part: Any) -> Tree:
    if not way:
        return part
    return [replaced(old, way[1:], part) if number == way[0] else old for number, old in enumerate(tree)]


# -- many at once, and one by one --------------------------------------------------------------------------------------


def drawn(make: Callable[[Random], Case], count: int, seed: int) -> list[Case]:
    """Return `count` cases, the same in every run."""
    random = Random(seed)
    return [make(random) for _ in range(count)]


def cases(make: Callable[[Random], Case]) -> st.SearchStrategy[Case]:
    return st.randoms(use_true_random=False).map(make)


exact_trees = st.randoms(use_true_random=False).map(lambda random: grown(random, EXACT, "number", 3))
exact_cases, continuous_cases = cases(exact_case), cases(continuous_case)
written_cases, scrap_cases = cases(written_case), cases(scrap_case)


def smallest(differing: list[tuple[Case, Any, Any]]) -> list[tuple[Case, Any, Any]]:
    """Return the three cases that are easiest to read."""
    return sorted(differing, key=lambda found: len(json.dumps(found[0]["tree"])))[:3]


def operators_in(tree: Tree) -> Iterator[str]:
    if isinstance(tree, list) and tree and isinstance(tree[0], str):
        yield tree[0]
        for part in tree[1:]:
            yield from operators_in(part)


def is_exact(case: Case) -> bool:
    return ROUGH.isdisjoint(operators_in(case["tree"]))


def is_steady(case: Case, random: Random) -> bool:
    """True if the result hardly moves when every leaf does. Then a difference between the languages is a fault."""
    value = here(case)
    moved = [here({**case, "tree": shaken(case["tree"], random)}) for _ in range(2)]
    if isinstance(value, bool | Unknown):
        return all(other == value for other in moved)
    return all(isinstance(other, float) and abs(other - value) <= STEADY * abs(value) for other in moved)


def shaken(tree: Tree, random: Random) -> Tree:
    """Return the tree with every leaf a little larger or smaller."""
    if isinstance(tree, float) or (isinstance(tree, list) and tree[0] == "name"):
        return ["*", tree, 1 + random.choice([-SHAKE, SHAKE])]
    if not isinstance(tree, list) or tree[0] == "found":
        return tree
    kept = {"**": {2}, "interp": {1}}.get(tree[0], set())
    return [part if number in {0, *kept} else shaken(part, random) for number, part in enumerate(tree)]


def apart(one: float, other: float) -> float:
    """Return the difference as a share of the larger number. Differences next to nothing count as 0."""
    greater = max(abs(one), abs(other))
    return abs(one - other) / greater if greater > 1e-290 else 0.0
