"""Readings and results in a stranger's worksheet: what is unsound is refused, and a job folds over what is let in."""

from __future__ import annotations

import pytest

from generator.canonical import canonical
from generator.journal.fold import fold
from generator.journal.shapes.sound import is_sheet
from tests.support.broken_sheets import broken, odd_cases, sound


def test_a_sound_worksheet_with_readings_and_results_passes():
    assert is_sheet(sound())


@pytest.mark.parametrize("what", broken())
def test_a_worksheet_is_refused_for(what: str):
    assert not is_sheet(broken()[what])


def test_whatever_worksheet_is_let_in_a_journal_is_folded_over_it():
    folded = 0
    for case in odd_cases(500):
        sheets = {digest: sheet for digest, sheet in case["sheets"].items() if is_sheet(sheet)}
        folded += any("units" in sheet for sheet in sheets.values())
        canonical(fold(case["entries"], sheets))
    assert folded > 40
