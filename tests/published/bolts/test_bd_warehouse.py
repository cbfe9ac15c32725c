"""Coarse pitches, holes and heads against the data of bd-warehouse 0.4.0.

Read from the package's data (hex_head_parameters.csv, plain_washer_parameters.csv) on 2026-11-25; the package is not
among ours, because it brings a whole CAD kernel along. Its table of "normal" clearance holes is not ISO 273 from M12
to M16 (14, 16, 17 mm for 13.5, 15.5, 17.5), so holes are taken from its coarse washers, ISO 7091, which have that hole.
"""

from __future__ import annotations

import pytest

from generator.quantities.fasteners.preload import Thread, head
from generator.quantities.fasteners.standards import COARSE

# "Size" of hexagon heads and ISO 4014 "s", width across flats, mm.
HEADS = {
    "M1.6-0.35": 3.2, "M2-0.4": 4, "M2.5-0.45": 5, "M3-0.5": 5.5, "M3.5-0.6": 6, "M4-0.7": 7, "M5-0.8": 8, "M6-1": 10,
    "M8-1.25": 13, "M10-1.5": 16, "M12-1.75": 18, "M14-2": 21, "M16-2": 24, "M18-2.5": 27, "M20-2.5": 30,
    "M22-2.5": 34, "M24-3": 36, "M27-3": 41, "M30-3.5": 46, "M33-3.5": 50, "M36-4": 55,
}  # fmt: skip
# "iso7091:d1", mm.
HOLES = {
    1.6: 1.8, 2: 2.4, 2.5: 2.9, 3: 3.4, 4: 4.5, 5: 5.5, 6: 6.6, 8: 9, 10: 11, 12: 13.5, 16: 17.5, 20: 22, 24: 26,
    30: 33, 36: 39,
}  # fmt: skip


def test_coarse_pitches_are_the_packages():
    theirs = dict(tuple(map(float, size.removeprefix("M").split("-"))) for size in HEADS)
    assert {size: pitch for size, pitch in COARSE.items() if size != 7} == theirs


@pytest.mark.parametrize(("size", "hole"), HOLES.items())
def test_a_hole_is_that_of_its_coarse_washer(size, hole):
    assert head(Thread(size, COARSE[size]))[1] == hole


@pytest.mark.parametrize(("size", "flats"), HEADS.items())
def test_a_washer_face_is_just_smaller_than_the_flats(size, flats):
    """The package has no washer face. Ours lies inside the flats and leaves most of them."""
    d = float(size.removeprefix("M").split("-")[0])
    assert (0.7 if d < 3 else 0.83) * flats < head(Thread(d, COARSE[d]))[0] < flats
