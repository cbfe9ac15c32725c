"""A fifth engine beside the four of the demo, written from the guide alone by somebody who had seen no test.

It joins facts that none of the four has: a keyless crank, floating sprockets, an injection pump and a balance belt on
one engine. Its layout is one word more in the shop's own words.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from generator.site import build, disk
from tests.support import demo

LAYOUT = "inline-five"
_FILES = {
    "demo_jobs/engines/hobmarrow-i5-17.yml": "hobmarrow-i5-17.yml",
    "demo_jobs/jobs/q-1044.yml": "q-1044.yml",
}
_WORDS = "demo_jobs/trade.yml"
_LAST_LAYOUT = b"    vee-six: Three and three in a vee.\n"


@cache
def texts() -> dict[str, bytes]:
    """Return the sources of the demo with the fifth engine and its job."""
    folder = Path(__file__).parent / "fifth_engine"
    own = {path: (folder / file).read_bytes() for path, file in _FILES.items()}
    words = demo.texts()[_WORDS]
    assert words.count(_LAST_LAYOUT) == 1
    layouts = words.replace(_LAST_LAYOUT, _LAST_LAYOUT + f"    {LAYOUT}: Five cylinders in a row.\n".encode())
    return {**demo.texts(), **own, _WORDS: layouts}


@cache
def built() -> build.Built:
    """Return the site with its worksheet, without the theme's pages and without a worker."""
    made = build.build(texts(), disk.read_pictures(demo.ROOT, "procedures"), disk.read_overrides())
    assert not made.checked.faults, [f"{fault.place}: {fault.said}" for fault in made.checked.faults]
    return made


def sheet() -> dict[str, Any]:
    return next(one for one in built().checked.sheets if one["engine"]["facts"]["layout"] == LAYOUT)
