"""The repository's own library and shop, as the tests use them."""

from __future__ import annotations

import functools
from pathlib import Path
from typing import Any

from generator.check import Library
from generator.site import build, disk

ROOT = Path(__file__).parents[2]
FOLDERS = ("procedures", "demo_jobs")


@functools.cache
def texts() -> dict[str, bytes]:
    return disk.read_sources(ROOT, FOLDERS)


@functools.cache
def checked() -> build.Findings:
    result = build.check_texts(texts(), frozenset(disk.read_pictures(ROOT, "procedures")))
    assert not result.faults, [f"{fault.place}: {fault.said}" for fault in result.faults]
    return result


def library() -> Library:
    return checked().library


def sheet(layout: str) -> dict[str, Any]:
    """Return the worksheet for the engine of this layout: inline-four, vee-six, flat-four."""
    return next(sheet for sheet in checked().sheets if sheet["engine"]["facts"]["layout"] == layout)


def step_at(sheet: dict[str, Any], landmark: str) -> dict[str, Any]:
    """Return the step of a worksheet that has this landmark. Raises StopIteration if there is none."""
    return next(step for step in sheet["steps"] if step["landmark"] == landmark)


def path_of(sheet: dict[str, Any], landmark: str) -> str:
    return str(step_at(sheet, landmark)["path"])


@functools.cache
def built() -> build.Built:
    """Return the whole site with its worker, without the theme's pages."""
    overrides = disk.read_overrides()
    made = build.build(texts(), disk.read_pictures(ROOT, "procedures"), overrides)
    assert not made.checked.faults
    worker = build.add_worker(made, made.files, overrides["sw.js"])
    return build.Built(made.checked, {**made.files, **worker}, made.packs, made.scope_id)
