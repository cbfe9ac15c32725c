"""Shops that do other work than belts, each a project of its own in a folder beside this file."""

from __future__ import annotations

import functools
from pathlib import Path
from typing import Any

from generator.site import build, disk

ROOT = Path(__file__).parent
FOLDERS = ("procedures", "shop")
NAMES = ("brakes", "clutch", "supply")


@functools.cache
def texts(name: str) -> dict[str, bytes]:
    return disk.read_sources(ROOT / name, FOLDERS)


@functools.cache
def checked(name: str) -> build.Findings:
    return build.check_texts(texts(name), disk.read_pictures(ROOT / name, "procedures"))


def sheet(name: str) -> dict[str, Any]:
    """Return the one worksheet of a project."""
    (only,) = checked(name).sheets
    return dict(only)


@functools.cache
def built(name: str) -> dict[str, bytes]:
    """Return all files of the project's site, with its worker."""
    overrides = disk.read_overrides()
    made = build.build(texts(name), {}, overrides)
    assert not made.checked.faults
    return {**made.files, **build.add_worker(made, made.files, overrides["sw.js"])}
