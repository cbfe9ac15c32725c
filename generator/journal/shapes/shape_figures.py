"""What the arithmetic of a worksheet from elsewhere may be: known operators, few and not deep, tables that rise.

The same table as site_overrides/phone/journal/shape/figures.js.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from generator.quantities.formulas.operators import OPERATORS

FORMS = ("if", "and", "or", "**")
# Forms that begin with names, and how many of these.
TEXTS = {"name": 1, "needle": 1, "found": 2, "interp": 1}
DEEPEST = 40
MOST_NODES = 500
MOST_IN_ALL = 20_000
MOST_ROWS = 2_000
MOST_RESULTS = 300


def are_bounded(sheet: dict[str, Any]) -> bool:
    """True if its results can be worked out in a moment. The rest of its shape must be sound already."""
    results = sheet["results"]
    trees = [tree for result in results for tree in (result["tree"], *result.get("against", ()))]
    trees += [limit["when"] for result in results for limit in result["limits"] if limit["when"] is not None]
    rows = [table["rows"] for table in sheet["tables"].values()]
    return len(results) <= MOST_RESULTS and are_small(trees) and all(map(_rises, rows))


def are_small(trees: list[Any]) -> bool:
    """True if these trees have known operators, are not deep, and have few nodes in all."""
    if len(trees) > MOST_IN_ALL:
        return False
    sizes = [_size(tree, 0) for tree in trees]
    return max(sizes, default=0) <= MOST_NODES and sum(sizes) <= MOST_IN_ALL


def _size(tree: Any, depth: int) -> int:
    """Count the nodes of a tree. The count is over MOST_NODES if it is not a tree."""
    if isinstance(tree, bool | int | float):
        return 1
    if depth > DEEPEST or not isinstance(tree, list) or not tree or not isinstance(tree[0], str):
        return MOST_NODES + 1
    op, texts = tree[0], TEXTS.get(tree[0], 0)
    if not (texts or op in FORMS or op in OPERATORS) or len(tree) > MOST_NODES:
        return MOST_NODES + 1
    if len(tree) <= texts or not all(isinstance(text, str) for text in tree[1 : texts + 1]):
        return MOST_NODES + 1
    return 1 + sum(_size(part, depth + 1) for part in tree[texts + 1 :])


def _rises(rows: list[list[float]]) -> bool:
    whole = 0 < len(rows) <= MOST_ROWS and all(len(row) == 2 for row in rows)
    return whole and all(before[0] < after[0] for before, after in pairwise(rows))
