"""Preload and torque at 90 % of yield against the tables of VDI 2230 part 1, 2001 and later.

The guideline itself was not seen. Thread and head have the same friction. The tables are
rounded to whole N.m from about 30 N.m on.
"""

from __future__ import annotations

import pytest

from generator.quantities.fasteners.preload import head, preload, strength_of, thread_of, tightening

FRICTIONS = (0.08, 0.10, 0.12, 0.14)
# Thread, class: (kN, N.m) at each of these frictions. From memory, and the formula gives every preload within 0.5 %,
# every torque within 1.1 %. The preload of M12 8.8 at 0.14 also stands in a bolt maker's example, read in public.
CELLS = {
    ("M6", "8.8"): [(10.7, 7.7), (10.4, 9.0), (10.2, 10.1), (9.9, 11.3)],
    ("M8", "8.8"): [(19.5, 18.5), (19.1, 21.6), (18.6, 24.6), (18.1, 27.3)],
    ("M8", "10.9"): [(28.7, 27.2), (28.0, 31.8), (27.3, 36.1), (26.6, 40.1)],
    ("M8", "12.9"): [(33.6, 31.8), (32.8, 37.2), (32.0, 42.2), (31.1, 46.9)],
    ("M10", "8.8"): [(31.0, 36), (30.3, 43), (29.6, 48), (28.8, 54)],
    ("M10", "10.9"): [(45.6, 53), (44.5, 63), (43.4, 71), (42.2, 79)],
    ("M12", "8.8"): [(45.2, 63), (44.1, 73), (43.0, 84), (41.9, 93)],
}
# At 0.10, 0.12, 0.14: read on a public page that prints the tables of the 2001 edition.
FINE = {
    ("M8x1", "8.8"): [(20.7, 22.8), (20.2, 26.1), (19.7, 29.2)],
    ("M10x1.25", "8.8"): [(32.4, 44), (31.6, 51), (30.8, 57)],
    ("M10x1.25", "10.9"): [(47.5, 65), (46.4, 75), (45.2, 83)],
}
CASES = [
    (*bolt, friction, *cell)
    for table, frictions in ((CELLS, FRICTIONS), (FINE, FRICTIONS[1:]))
    for bolt, row in table.items()
    for friction, cell in zip(frictions, row, strict=True)
]
# Washer face and hole behind these tables, mm: from memory.
FACES = {"M6": (8.88, 6.6), "M8": (11.63, 9), "M10": (14.63, 11), "M12": (16.63, 13.5)}


def worked(thread: str, cls: str, friction: float) -> tuple[float, float]:
    bolt = thread_of(thread)
    strength = strength_of(cls, bolt)
    return preload(bolt, strength, friction), tightening(bolt, strength, friction)


@pytest.mark.parametrize(("thread", "cls", "friction", "kilonewtons", "newton_metres"), CASES)
def test_a_cell_of_the_table_comes_out(thread, cls, friction, kilonewtons, newton_metres):
    pull, torque = worked(thread, cls, friction)
    assert pull == pytest.approx(kilonewtons, rel=0.005)
    assert torque == pytest.approx(newton_metres, rel=0.012)


def test_every_cell_is_compared():
    assert len(CASES) == 7 * 4 + 3 * 3


@pytest.mark.parametrize("thread", FACES)
def test_the_head_bears_as_in_the_tables(thread):
    assert head(thread_of(thread)) == FACES[thread]


def test_the_least_preload_of_the_worked_example():
    """41.9 kN and a scatter of 1.8 leave 23.3 kN; read in public (a bolt maker's example of M12 8.8 at 0.14)."""
    assert worked("M12", "8.8", 0.14)[0] / 1.8 == pytest.approx(23.3, rel=0.005)


@pytest.mark.parametrize(("thread", "older"), [("M8", 25), ("M10", 49)])
def test_the_older_edition_asks_for_less(thread, older):
    """Tables of the 1986 kind at 0.14, class 8.8, read in a manual's appendix: about 9 % below the later ones."""
    assert worked(thread, "8.8", 0.14)[1] / older == pytest.approx(1.09, abs=0.015)
