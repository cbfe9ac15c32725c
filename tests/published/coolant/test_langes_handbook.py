"""Propylene glycol against Lange's Handbook of Chemistry, 15th edition, table 5.13 (read on a public page)."""

from __future__ import annotations

import pytest

from tests.published.lookup import read

# % by volume, freezing point in degC.
PROPYLENE = [(30, -12.8), (40, -20.6), (50, -33.3)]


@pytest.mark.parametrize(("volume", "freezes"), PROPYLENE)
def test_two_handbooks_agree_on_propylene_glycol_within_a_degree(volume, freezes):
    assert read("freezing_point_of_propylene", volume) == pytest.approx(freezes, abs=1)


def test_the_ethylene_table_is_not_the_propylene_one_under_another_name():
    """An encyclopedia's page on ethylene glycol prints Lange's propylene rows: -33.2 degC at 50 %, not -37.0."""
    assert read("freezing_point_of_glycol", 50) < -33.2 - 3
    assert all(read("freezing_point_of_glycol", volume) < freezes for volume, freezes in PROPYLENE)
