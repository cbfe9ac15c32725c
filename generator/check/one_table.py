"""Rules of one published table: each row is a pair, and x only goes up or only down."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from generator.check.checked import Checked
from generator.faults import Fault
from generator.faults import result as faults
from generator.faults.shape import CannotBe
from generator.model import Table
from generator.quantities.possible_ranges import can_be_read, is_possible, said_range
from generator.quantities.units import UNITS, to_base


def check_table(source: Checked[Table]) -> Iterator[Fault]:
    yield from _rows(source)
    yield from _figures_can_be(source)


def _figures_can_be(source: Checked[Table]) -> Iterator[Fault]:
    """A table is printed with a point for decimals, so that 101.325 stands for nothing else in it."""
    for at, row in enumerate(source.noun.rows):
        for which, (number, column) in enumerate(zip(row, (source.noun.x, source.noun.y), strict=False)):
            limit = can_be_read(UNITS[column.unit].kind, column.unit)
            if limit and not is_possible(to_base(float(number), column.unit), limit):
                place, thing = source.place("rows", at, which), f'table "{source.noun.table}"'
                yield CannotBe(place, thing, "rows", f"{number} {column.unit}", limit.why, said_range(limit))


def _rows(source: Checked[Table]) -> Iterator[Fault]:
    name, rows = source.noun.table, source.noun.rows
    odd = [at for at, row in enumerate(rows) if len(row) != 2]
    for at in odd:
        yield faults.RowNotTwo(source.place("rows", at), name, len(rows[at]))
    if odd:
        return
    xs = [float(row[0]) for row in rows]
    rising = xs[-1] > xs[0]
    for at, (before, x) in enumerate(pairwise(xs), 1):
        if x == before or (x > before) is not rising:
            yield faults.RowsOutOfOrder(source.place("rows", at), name, rows[at][0], rows[at - 1][0])
            return
