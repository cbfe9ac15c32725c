"""A share of the import proof: each kind of entry with some of the hostile names, in one page, and written by hand."""

from __future__ import annotations

import pytest
from playwright.sync_api import Browser

from tests.browser.server import Server
from tests.proofs.import_harness import run
from tests.proofs.import_names import FIELDS, HOSTILE
from tests.proofs.scripts.xss_eyes import ChromiumEye

pytestmark = pytest.mark.browser


def test_whatever_is_imported_into_a_job_opens_and_exports(chromium: Browser) -> None:
    """Every 211th case, and the control, which must get stuck."""
    with Server() as server:
        context = chromium.new_context(viewport={"width": 360, "height": 740})
        result = run([ChromiumEye(context, server.url("/"))], server, 1, 11, [2], every=211)
        context.close()
    assert result.is_good, result.table()
    assert result.cases == -(-len(FIELDS) * len(HOSTILE) // 211)


def test_each_kind_meets_at_least_two_hundred_hostile_names_and_shapes() -> None:
    assert len(HOSTILE) >= 200
    assert len({str(one) for one in HOSTILE}) >= 200
