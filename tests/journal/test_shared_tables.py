"""The shared tables: the phone's file is what Python writes, and no table can lose a row unnoticed."""

from __future__ import annotations

from pathlib import Path

from generator.tables import SHARED
from tests.proofs.table_types import Desk, named_by_tsc, unnamed
from tests.proofs.tables_harness import UNNAMED, Cases, one_row_each, unseen
from tools.tables import LITERALS, PHONE, literals, scripts


def test_the_phones_tables_are_what_python_gives() -> None:
    for path, text in scripts().items():
        assert (PHONE / path).read_text(encoding="utf-8") == text, "write it anew: .venv/bin/python -m tools.tables"
    assert LITERALS.read_text(encoding="utf-8") == literals(), "write it anew: .venv/bin/python -m tools.tables"


def test_a_table_without_one_of_its_rows_is_noticed_in_both_languages() -> None:
    rows = one_row_each()
    assert {row.table for row in rows} == set(SHARED)
    assert unseen(Cases(seed=2, journals=0), rows) == {"Python": [], "JavaScript": []}


def test_the_type_checkers_name_what_counts_on_a_row_that_is_deleted(tmp_path: Path) -> None:
    """One row of each table, all at once: each by its own name, by one of the two at least."""
    rows = one_row_each()
    desk = Desk(tmp_path / "desk")
    by_mypy, by_tsc = unnamed(rows, desk.named(rows)), unnamed(rows, named_by_tsc([rows])[0])
    assert {row.table for row in by_mypy} - set(UNNAMED) == set()
    assert {row.table for row in by_tsc} - set(UNNAMED) == {
        "SECONDS",
        "ODOMETER_UNITS",
        "CORRECTABLE_FIELDS",
    }  # told apart by no script
