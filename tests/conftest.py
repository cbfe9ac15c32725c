"""How much of a long proof a run of the tests takes."""

from __future__ import annotations

import pytest


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--walks", type=int, default=60, help="random walks over a worksheet; `make proof` takes 500")
