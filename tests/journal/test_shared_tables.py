"""The shared tables: the phone's file is what Python writes, and no table can lose a row unnoticed."""

from __future__ import annotations

from generator.tables import SHARED
from tests.proofs.tables_harness import Cases, one_row_each, unseen
from tools.tables import PHONE, scripts


def test_the_phones_tables_are_what_python_gives() -> None:
    for path, text in scripts().items():
        assert (PHONE / path).read_text(encoding="utf-8") == text, "write it anew: .venv/bin/python -m tools.tables"


def test_a_table_without_one_of_its_rows_is_noticed_in_both_languages() -> None:
    rows = one_row_each()
    assert {row.table for row in rows} == set(SHARED)
    assert unseen(Cases(seed=2, journals=0), rows) == {"Python": [], "JavaScript": []}
