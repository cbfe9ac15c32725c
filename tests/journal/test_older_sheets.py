"""A worksheet from before a field was written is read by both folds alike, whichever field it lacks."""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from random import Random
from typing import Any

from generator.canonical import by_name, canonical
from generator.journal.fold import fold, legal
from generator.journal.shapes.sound import is_sheet
from generator.worksheet import SheetNoun
from tests.support import demo
from tests.support.node import Phone
from tests.support.stories import STORIES, Bench
from tools import noun_types
from tools.tables import schemas

CASES = 4
"""Stories for each field, of those whose worksheets have it."""


def fields() -> list[tuple[str, str]]:
    """(noun, field) of each field that came later."""
    return [
        (noun.name, name)
        for noun in noun_types.nouns()
        for name, of in noun.fields.items()
        if of.startswith("NotRequired[") and noun.name != noun_types.CHECK
    ]


def told() -> list[tuple[list[dict[str, Any]], dict[str, dict[str, Any]]]]:
    """The journals of the stories, each with its worksheets."""
    every = []
    for story in STORIES:
        bench = Bench()
        story(bench)
        every += bench.told
    return every


FIELDS = {noun.name: noun.fields for noun in noun_types.nouns()}
INSIDE = {
    noun: {field: inner for field, of in fields.items() if (inner := next((one for one in FIELDS if one in of), None))}
    for noun, fields in FIELDS.items()
}


def places(sheet: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every noun that stands in a worksheet, by the types of its fields, with its name."""
    todo: list[tuple[str, dict[str, Any]]] = [("WorksheetJson", sheet)]
    for name, at in todo:
        yield name, at
        todo += [(inner, one) for field, inner in INSIDE[name].items() for one in _members(at.get(field))]


def _members(value: Any) -> list[dict[str, Any]]:
    if isinstance(value, list):
        return [one for one in value if isinstance(one, dict)]
    if not isinstance(value, dict):
        return []
    inner = list(value.values())
    return inner if all(isinstance(one, dict) for one in inner) else [value]


def without(noun: str, field: str, sheet: dict[str, Any]) -> dict[str, Any]:
    """The worksheet without this field wherever the noun stands."""
    older = copy.deepcopy(sheet)
    for name, at in list(places(older)):
        if name == noun:
            at.pop(field, None)
    return older


def cases() -> list[tuple[str, list[dict[str, Any]], dict[str, dict[str, Any]]]]:
    """(what is missing, entries, worksheets under their digests of before): only worksheets that can be read."""
    every, rng, out = told(), Random(5), []
    has = [
        {(name, field) for sheet in sheets.values() for name, at in places(sheet) for field in at}
        for _, sheets in every
    ]
    for noun, field in fields():
        having = [one for one, there in zip(every, has, strict=True) if (noun, field) in there]
        for entries, sheets in rng.sample(having, min(CASES, len(having))):
            older = {mark: without(noun, field, sheet) for mark, sheet in sheets.items()}
            if all(map(is_sheet, older.values())):
                out.append((f"{noun}.{field}", entries, older))
    return out


FOLD = """async (cases) => {
  const J = await import('/phone/journal/journal.js');
  const { legal } = await import('/phone/journal/legal.js');
  const { canonical } = await import('/phone/base/canonical.js');
  const of = ([, entries, sheets]) => {
    const state = J.fold(entries, sheets);
    const sheet = sheets[state.sheet];
    return canonical([state, state.order.map((path) => legal(state, sheet, path))]);
  };
  return cases.map((one) => { try { return of(one); } catch (wrong) { return String(wrong); } });
}"""


def here(entries: list[dict[str, Any]], sheets: dict[str, dict[str, Any]]) -> str:
    state = fold(entries, sheets)
    return canonical([state, [legal(state, sheets[state["sheet"]], path) for path in state["order"]]])


def test_both_folds_read_a_worksheet_without_any_one_later_field_alike() -> None:
    every = cases()
    missing = {what for what, *_ in every}
    assert len(missing) > 40
    phone = Phone()
    try:
        there = phone.evaluate(FOLD, every)
    finally:
        phone.close()
    wrong = []
    for (what, entries, sheets), said in zip(every, there, strict=True):
        try:
            mine = here(entries, sheets)
        except KeyError as fault:
            mine = f"KeyError {fault}"
        if mine != said:
            wrong.append((what, mine[:80], said[:80]))
    assert wrong == []


def test_the_schema_asks_for_no_field_that_the_build_leaves_out_where_it_says_nothing() -> None:
    defs = json.loads(schemas()["worksheet.json"])["$defs"]
    names = {noun_types.name_of(noun): noun.__name__ for noun in SheetNoun.__subclasses__()}
    met = set()
    for sheet in demo.checked().sheets:
        for noun, at in places(by_name(sheet)):
            wanted = defs.get(names.get(noun, ""), {}).get("required", [])
            assert set(wanted) <= set(at), (noun, sorted(set(wanted) - set(at)))
            met.add(noun)
    assert {"StepJson", "ValueJson", "SourceJson", "GateJson", "ItemJson"} <= met
