"""A formula with all that is known worked out beforehand: whoever evaluates it a thousand times does less each time."""

from __future__ import annotations

from generator.quantities.formulas.evaluation import Env, Unknown, evaluate
from generator.worksheet import Tree


def folded(tree: Tree, env: Env) -> Tree:
    """Return a tree that gives what this one gives, whatever else becomes known: each part that `env` decides already
    is its value.

    >>> folded(["-", ["name", "x"], ["*", ["name", "a"], 2]], Env({"a": 3.0}))
    ['-', ['name', 'x'], 6.0]
    >>> folded(["if", [">", ["name", "a"], 2], ["name", "x"], ["name", "y"]], Env({"a": 3.0}))
    ['name', 'x']
    """
    if not isinstance(tree, list | tuple):
        return tree
    parts = [folded(part, env) for part in tree]
    # One part that is not known leaves every form undecided but these: and, or, and an if that is decided.
    value = None if parts[:1] != ["and"] and parts[:1] != ["or"] and _is_open(parts) else evaluate(parts, env)
    if value is not None and not isinstance(value, Unknown):
        return value
    if parts[:1] == ["if"] and len(parts) == 4 and isinstance(parts[1], bool):
        return parts[2 if parts[1] else 3]
    return parts


def _is_open(parts: list[Tree]) -> bool:
    return any(isinstance(part, list | tuple) for part in parts)
