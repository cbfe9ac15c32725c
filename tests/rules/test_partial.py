"""What a rule sees of a faulty source: each part may be absent, its type says so, and mypy reports a careless rule.

A noun of the model is always whole. `generator/check/partial.py` has the nouns that may lack parts.
"""

from __future__ import annotations

import ast
import functools
import operator
import types
import typing
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import Annotated, Any

import mypy.api
import pytest

from generator import model
from generator.check.partial import PARTIALS

ROOT = Path(__file__).parents[2]
CHECK = ROOT / "generator/check"


# --- The types are those of the model, each with None -----------------------------------------------------------------


def partial(hint: Any) -> Any:
    """Return the type of a field that may be absent, whole or with absent parts."""
    origin, members = typing.get_origin(hint), typing.get_args(hint)
    if origin is Annotated:
        return partial(members[0])
    if origin in (typing.Union, types.UnionType):
        return functools.reduce(operator.or_, map(partial, members))
    if origin is list:
        return list[partial(members[0])] | None  # type: ignore[misc]
    if origin is dict:
        return dict[str, partial(members[1])] | None  # type: ignore[misc]
    return PARTIALS.get(hint, hint) | None


@pytest.mark.parametrize("noun", PARTIALS, ids=lambda noun: noun.__name__)
def test_a_partial_noun_has_every_field_of_the_model_and_says_that_each_part_may_be_absent(
    noun: type[model.Noun],
) -> None:
    seen, whole = typing.get_type_hints(PARTIALS[noun]), typing.get_type_hints(noun, include_extras=True)
    assert seen == {name: partial(whole[name]) for name in noun.model_fields}
    assert [each.name for each in fields(PARTIALS[noun])] == list(noun.model_fields)


# --- Nothing goes round the types -------------------------------------------------------------------------------------


def evasions(text: str, rules: bool) -> Iterator[str]:
    """Yield code that builds a noun with absent parts, or reads one unseen by a type checker. `rules`: the code is in a
    module of rules, which needs no `Any` either."""
    for node in ast.walk(ast.parse(text)):
        match node:
            case ast.Attribute(attr="model_construct"):
                yield f"line {node.lineno}: model_construct"
            case ast.Call(func=ast.Name(id="getattr" | "hasattr"), args=[_, name, *default]):
                if default or isinstance(name, ast.Constant):
                    yield f"line {node.lineno}: getattr"
            case ast.Call(func=ast.Name(id="vars")):
                yield f"line {node.lineno}: vars"
            case ast.Attribute(attr="__dict__") if rules:
                yield f"line {node.lineno}: __dict__"
            case ast.Name(id="Any" | "cast" as name) | ast.Attribute(attr="Any" | "cast" as name) if rules:
                yield f"line {node.lineno}: {name}"
    if rules:
        yield from (f"line {n}: ignore" for n, line in enumerate(text.splitlines(), 1) if "# type: ignore" in line)


# It walks the model's own annotations, whose types are not known beforehand.
BUILDER = "nouns.py"
# The node of a file is like the nodes below it.
CASTS = {"checked.py": ["cast"]}


@pytest.mark.parametrize("path", sorted(CHECK.rglob("*.py")), ids=lambda path: path.name)
def test_no_rule_goes_round_the_types(path: Path) -> None:
    name = path.relative_to(CHECK).as_posix()
    found = [what.partition(": ")[2] for what in evasions(path.read_text(encoding="utf-8"), name != BUILDER)]
    assert found == CASTS.get(name, [])


@pytest.mark.parametrize("path", sorted((ROOT / "generator").rglob("*.py")), ids=lambda path: path.name)
def test_no_noun_is_built_unchecked(path: Path) -> None:
    assert "model_construct" not in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("code", "told"),
    [
        ("noun = model.Stage.model_construct(steps=[])", "model_construct"),
        ("why = getattr(stage, 'why', None)", "getattr"),
        ("why = getattr(stage, 'why')", "getattr"),
        ("why = getattr(stage, key, None)", "getattr"),
        ("there = hasattr(stage, 'why')", "getattr"),
        ("there = 'why' in stage.__dict__", "__dict__"),
        ("def rule(stage: Any) -> None: ...", "Any"),
        ("stage = cast(Stage, part)", "cast"),
        ("stage = typing.cast(Stage, part)", "cast"),
        ("def rule(stage: typing.Any) -> None: ...", "Any"),
        ("why = vars(stage)['why']", "vars"),
        ("why = stage.why.upper()  # type: ignore[union-attr]", "ignore"),
    ],
)
def test_each_way_round_the_types_is_found(code: str, told: str) -> None:
    assert list(evasions(code, rules=True)) == [f"line 1: {told}"]
    assert list(evasions("texts = [getattr(step, key) for key in SHOWS_VALUES]", rules=True)) == []


# --- mypy names a careless rule ---------------------------------------------------------------------------------------

RULES = """
from collections.abc import Iterator
from generator.check.asked import Procedures, stages_of
from generator.check.library import _Shelf
from generator.check.one_engine import ListedValue
from generator.check.one_procedure import ProcedureUnderCheck
from generator.check.partial import PartialEngine, PartialFailureModes, PartialShop, PartialTrade


def titles(look: ProcedureUnderCheck) -> Iterator[str]:
    for _, stage in stages_of(look.seen):
        yield stage.stage{stage}


def first_steps(look: ProcedureUnderCheck) -> Iterator[str]:
    for _, stage in stages_of(look.seen):
        for step in stage.steps{steps}:
            yield step{step}.id


def kinds(look: ProcedureUnderCheck) -> Iterator[str]:
    for need in (look.values{values}).values():
        yield need{need}.kind


def tools(look: ProcedureUnderCheck) -> list[str]:
    return list(look.seen.needs{needs}.tools{tools})


def people(shelf: _Shelf) -> Iterator[str]:
    for source in shelf.seen(PartialShop):
        for person in source.seen.people{people}:
            yield person{person}.initials


def engines(shelf: _Shelf) -> Iterator[int]:
    for source in shelf.seen(PartialEngine):
        yield source.seen.revision{revision}


def failures(shelf: _Shelf) -> Iterator[str]:
    for source in shelf.seen(PartialFailureModes):
        for row in source.seen.failure_modes{rows}:
            yield row{row}.failure


def facts(shelf: _Shelf) -> Iterator[str]:
    for source in shelf.seen(PartialTrade):
        for words in (source.seen.facts{facts}).values():
            yield from words{words}


def other_procedures(procedures: Procedures) -> Iterator[str]:
    for procedure in procedures.values():
        yield procedure{procedure}.title{title}
"""
CAREFUL = {
    "stage": ' or ""', "steps": " or ()", "step": "", "values": " or {}", "need": "", "needs": "", "tools": " or ()",
    "people": " or ()", "person": "", "revision": " or 0", "rows": " or ()", "row": "", "facts": " or {}",
    "words": " or ()", "procedure": "", "title": ' or ""',
}  # fmt: skip
# Where a member is absent, the careful rule has no word to write after it, so it asks first.
ASKS = {
    "yield step.id": "yield step.id if step else ''",
    "yield need.kind": "yield need.kind if need else ''",
    "look.seen.needs.tools or ()": "(look.seen.needs and look.seen.needs.tools) or ()",
    "yield person.initials": "yield person.initials if person else ''",
    "yield row.failure": "yield row.failure if row else ''",
    'yield procedure.title or ""': 'yield (procedure.title if procedure else "") or ""',
}


def told_by_mypy(code: str, folder: Path) -> list[str]:
    """Return the lines of this code that mypy objects to."""
    path = folder / "planted.py"
    path.write_text(code, encoding="utf-8")
    told, errors, code_of_end = mypy.api.run(["--strict", str(path)])
    assert not errors and code_of_end in (0, 1), errors
    lines, found = code.split("\n"), [line for line in told.splitlines() if ": error: " in line]
    return list(dict.fromkeys(lines[int(line.split(":")[1]) - 1].strip() for line in found))


def test_mypy_names_every_line_of_a_rule_that_forgets_an_absent_part(tmp_path: Path) -> None:
    careless = RULES.format(**dict.fromkeys(CAREFUL, ""))
    wanted = [
        line.strip() for line, asked in zip(careless.split("\n"), careful().split("\n"), strict=True) if line != asked
    ]
    assert len(wanted) == 14
    assert told_by_mypy(careless, tmp_path) == wanted


def test_mypy_has_nothing_against_a_rule_that_asks(tmp_path: Path) -> None:
    assert told_by_mypy(careful(), tmp_path) == []


def careful() -> str:
    code = RULES.format(**CAREFUL)
    for careless, asks in ASKS.items():
        assert code.count(careless) == 1, careless
        code = code.replace(careless, asks)
    return code
