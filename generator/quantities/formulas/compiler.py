"""Formulas: a text of arithmetic -> a checked tree that Python and the phone walk, and its words for a person.

A formula is an expression in Python's grammar, of which an allow-list is taken. Kinds are checked here, once; the tree
holds numbers in base units and nothing of units. `evaluation.py` evaluates it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from generator.faults import Fault
from generator.place import Place
from generator.quantities.formulas import syntax
from generator.quantities.formulas.checker import TRUTHS, UNSAID, Checker
from generator.quantities.formulas.functions import FUNCTIONS
from generator.quantities.formulas.parts import FormulaPart, merged
from generator.quantities.formulas.scope import FormulaScope, TableKind
from generator.quantities.units import Kind

__all__ = [
    "FUNCTIONS",
    "TRUTHS",
    "UNSAID",
    "CompiledFormula",
    "FormulaScope",
    "TableKind",
    "compile_formula",
    "renamed",
    "renamed_words",
]

_TOLERANCE = ".tolerance"


@dataclass(frozen=True)
class CompiledFormula:
    """A formula without faults. `tree`: JSON, see `evaluation.py`. `words`: texts and ["name", n], ["table", id],
    ["step", id, outcome]. `names` has "x.tolerance" where a tolerance is used; `found` has (step, outcome)."""

    tree: Any
    kind: Kind
    words: list[Any]
    names: frozenset[str]
    tables: frozenset[str]
    found: frozenset[tuple[str, str]]


def compile_formula(text: str, place: Place, names: FormulaScope) -> tuple[CompiledFormula | None, list[Fault]]:
    """Return the formula, or everything that is wrong with it. `place` is that of the text's first character. Never
    raises."""
    source = syntax.FormulaText(text, place)
    node, faults = syntax.parse(source)
    if node is None:
        return None, faults
    checker = Checker(source, names)
    part = checker.part(node)
    return (_compiled(part), []) if part and not checker.faults else (None, checker.faults)


def _compiled(part: FormulaPart) -> CompiledFormula:
    leaves = list(_leaves(part.tree))
    return CompiledFormula(
        part.tree,
        part.kind,
        merged(part.words),
        frozenset(leaf[1] for leaf in leaves if leaf[0] in ("name", "needle")),
        frozenset(leaf[1] for leaf in leaves if leaf[0] == "interp"),
        frozenset((leaf[1], leaf[2]) for leaf in leaves if leaf[0] == "found"),
    )


def _leaves(tree: Any) -> Iterator[list[Any]]:
    """Yield every node that names something."""
    if not isinstance(tree, list):
        return
    if tree[0] in ("name", "needle", "found", "interp"):
        yield tree
    for part in tree[1:]:
        yield from _leaves(part)


def renamed(tree: Any, name: Callable[[str], str], step: Callable[[str], str]) -> Any:
    """Return the tree with other names and other paths of steps. A value's tolerance is renamed with its value."""
    if not isinstance(tree, list):
        return tree
    if tree[0] == "name":
        return ["name", _other(tree[1], name)]
    if tree[0] == "needle":
        return ["needle", name(tree[1])]
    if tree[0] == "found":
        return ["found", step(tree[1]), tree[2]]
    return [tree[0], *(renamed(part, name, step) for part in tree[1:])]


def _other(old: str, name: Callable[[str], str]) -> str:
    value = old.removesuffix(_TOLERANCE)
    return name(value) + old[len(value) :]


def renamed_words(words: list[Any], name: Callable[[str], str], step: Callable[[str], str]) -> list[Any]:
    """Return the words with the same other names."""
    return [_other_piece(piece, name, step) for piece in words]


def _other_piece(piece: Any, name: Callable[[str], str], step: Callable[[str], str]) -> Any:
    if isinstance(piece, str) or piece[0] == "table":
        return piece
    return ["name", name(piece[1])] if piece[0] == "name" else ["step", step(piece[1]), piece[2]]
