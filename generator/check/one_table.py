"""Rules of one published table: each row is a pair, and x only goes up or only down."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from generator.check.checked import Checked
from generator.faults import Fault
from generator.faults import result as faults
from generator.model import Table


def check_table(source: Checked[Table]) -> Iterator[Fault]:
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
