"""The words of the trade that one worksheet needs, as its plain data."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypeVar

from generator.check import Library
from generator.check.trade_words import Word
from generator.compile.compose import Composed
from generator.compile.gates import rule_of
from generator.compile.items import Ledger
from generator.model import Role, StartBox
from generator.sheet_types import RoleJson, StartBoxJson, TradeJson

W = TypeVar("W")


def trade_json(composed: Composed, ledger: Ledger, library: Library) -> TradeJson:
    """Return the words of what is worked on, and those of another trade that this job uses. So a shop's file for other
    work changes no worksheet of this one."""
    trade, on = composed.trade, composed.trade.works_on.get(composed.word)
    rules = [rule for placed in composed.present if (rule := rule_of(placed, composed))]
    items, people = ledger.items.values(), library.shop.noun.people if library.shop else []
    kinds = _needed(composed, trade.kinds, {item.kind for item in items})
    lists = _needed(
        composed, trade.lists, {item.list for item in items if item.list} | {n for r in rules for n in r.lists}
    )
    gates = _needed(composed, trade.gates, {name for rule in rules for name in rule.names})
    roles = _needed(composed, trade.roles, {person.role for person in people})
    return {
        "noun": composed.word,
        "sheet": on.means.sheet if on else composed.word,
        "whole": on.means.whole if on else composed.word,
        "start": [_box(name, box) for name, box in (on.means.start if on else {}).items()],
        "kinds": [
            {"name": name, "label": kind.label, "stands": kind.stands, "said": kind.said, "closed_by": kind.closed_by}
            for name, kind in kinds
        ],
        "lists": [{"name": name, "title": one.title, "before": one.before} for name, one in lists],
        "gates": [{"name": name, "title": gate.title} for name, gate in gates],
        "roles": [_role(name, role) for name, role in roles],
    }


def _role(name: str, role: Role) -> RoleJson:
    said: RoleJson = {"name": name, "label": role.label, "leads": role.leads}
    return {**said, "qualified": True} if role.qualified else said


def _needed(composed: Composed, words: Mapping[str, Word[W]], used: Iterable[str]) -> list[tuple[str, W]]:
    used = set(used)
    return [
        (name, word.means)
        for name, word in words.items()
        if name in used or composed.trade.near(word.file, composed.home)
    ]


def _box(name: str, box: str | StartBox) -> StartBoxJson:
    said = box if isinstance(box, StartBox) else StartBox(label=box)
    return {"name": name, "label": said.label, "optional": said.optional}
