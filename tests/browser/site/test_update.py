"""One case of each fault from the spoiled updates that `python -m tests.proofs.update_harness` runs by the hundred."""

import random

import pytest

from tests.proofs.update_harness import failures, run, table

pytestmark = pytest.mark.browser


def test_a_spoiled_update_leaves_one_version_whole_and_the_next_good_visit_brings_the_new_one(playwright):
    results = [*run(playwright, updates=9, controls=1, chance=random.Random(11))]
    assert [*failures(results)] == [], "\n".join(table(results, 0, 11))
