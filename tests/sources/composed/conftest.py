"""Walks over whole jobs take long: each run takes two engines for a test, `--all-engines` takes all four."""

from __future__ import annotations

from pathlib import Path
from zlib import crc32

import pytest

ALWAYS = "inline-four"
OTHERS = ("inline-three", "flat-four", "vee-six")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if config.getoption("--all-engines"):
        return
    left = [item for item in items if Path(__file__).parent in item.path.parents and not is_taken(item)]
    config.hook.pytest_deselected(items=left)
    items[:] = [item for item in items if item not in left]


def is_taken(item: pytest.Item) -> bool:
    """True for the inline four, and for the one other engine that belongs to the test's name."""
    layout = getattr(item, "callspec", None) and item.callspec.params.get("layout")  # type: ignore[attr-defined]
    other = OTHERS[crc32(item.nodeid.partition("[")[0].encode()) % len(OTHERS)]
    return layout not in (ALWAYS, *OTHERS) or layout in (ALWAYS, other)
