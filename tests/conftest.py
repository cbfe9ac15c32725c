"""What all tests share: how much of a long proof a run takes, and the phone's modules without a phone."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from tests.support.node import Phone


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--walks", type=int, default=60, help="random walks over a worksheet; `make proof` takes 500")
    parser.addoption("--all-engines", action="store_true", help="walk whole jobs on all four engines, not on two")


@pytest.fixture(scope="module")
def phone() -> Iterator[Phone]:
    """Node with the phone's pure modules, for as long as one test module."""
    from tests.support.node import Phone

    phone = Phone()
    yield phone
    phone.close()
