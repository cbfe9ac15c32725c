"""The thread in a casting: least shear areas against a public table, and a handbook's worked example.

The table is that of engineersedge.com (metric thread stress and shear areas, after Bickford's Introduction to the
Design and Behavior of Bolted Joints), read in public: strip areas of nuts, 6H/6g, an engagement of one diameter.
"""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from generator.quantities.fasteners.casting_thread import (
    BENT,
    ENDS,
    greatest_pitch_diameter,
    least_major,
    shear_area,
    shear_strength,
    stripping,
)
from generator.quantities.fasteners.preload import Thread, thread_of

AREAS = {
    "M5": 49.994, "M6": 73.145, "M8": 134.63, "M10": 214.77, "M12": 313.41, "M14": 434.47, "M16": 569.12, "M20": 907.76,
    "M24": 1320.2, "M30": 2086.5, "M36": 3026.2,
}  # fmt: skip
# Least outer diameter 2A and greatest pitch diameter 2B, inches: ASME B1.1, from memory.
UNIFIED = {
    "1/4-20": (0.2408, 0.2224), "5/16-18": (0.3026, 0.2817), "3/8-16": (0.3643, 0.3401), "1/2-13": (0.4876, 0.4565),
    "1/4-28": (0.2425, 0.2311), "3/8-24": (0.3667, 0.3528), "1/2-20": (0.4906, 0.4731),
}  # fmt: skip


@pytest.mark.parametrize(("thread", "area"), AREAS.items())
def test_the_least_shear_area_is_the_printed_one(thread: str, area: float):
    """Within 1 %: the standard's tolerances are worked out for ranges of diameters, and rounded."""
    bolt = thread_of(thread)
    assert shear_area(bolt, bolt.d) == pytest.approx(area, rel=0.01)


@pytest.mark.parametrize(("thread", "sizes"), UNIFIED.items())
def test_an_inch_thread_has_the_printed_limits(thread: str, sizes: tuple[float, float]):
    bolt = thread_of(thread)
    assert (least_major(bolt) / 25.4, greatest_pitch_diameter(bolt) / 25.4) == pytest.approx(sizes, abs=0.0002)


def test_a_worked_example_comes_out():
    """M10x1.5 in cast aluminium of 130 MPa, 69.6 kN: 21.6 mm. A handbook's page on taylorfrancis.com, read in public,
    with diameters of 9.968 and 9.206 mm and neither ends nor bending. The formula once more, by hand."""
    major, pitch, turn = 9.968, 9.206, 1.5
    per_millimetre = math.pi * major / turn * (turn / 2 + (major - pitch) / math.sqrt(3))
    assert 69_600 / 130 / per_millimetre == pytest.approx(21.6, abs=0.06)
    bolt = Thread(10, 1.5)
    ours = shear_area(bolt, 1)
    assert ours < per_millimetre, "6g has a smaller bolt than the example's"
    depth = least_major(bolt) - greatest_pitch_diameter(bolt)
    by_hand = math.pi * least_major(bolt) / turn * (turn / 2 + depth / 3**0.5)
    assert ours == pytest.approx(by_hand, rel=1e-12)


def test_the_factor_is_the_least_of_alexanders():
    """C3 = 0.728 + 1.769 R - 2.896 R^2 + 1.296 R^3 up to R = 1, then 0.897 (SAE 770420, 1977): from memory."""
    made = [Fraction(at, 100) for at in range(40, 101)]
    terms = [Fraction(term) for term in ("0.728", "1.769", "-2.896", "1.296")]
    factor = [sum(term * r**power for power, term in enumerate(terms)) for r in made]
    assert min(factor) == Fraction("0.897") == Fraction(str(BENT))


def test_the_ends_hold_nothing_and_the_rest_holds_by_its_length():
    bolt, ends = Thread(6, 1), ENDS
    assert stripping(bolt, ends, "aluminium") == 0 == stripping(bolt, 0.5, "aluminium")
    one, two = (stripping(bolt, ends + far, "aluminium") for far in (4, 8))
    assert two == pytest.approx(2 * one) and one > 0
    assert stripping(bolt, 8, "cast iron") == pytest.approx(stripping(bolt, 8, "aluminium") * 179 / 130)


def test_strengths_are_those_of_the_weakest_printed_casting():
    """NADCA table A-3-2: C443.0 has 130 MPa, 380.0 has 190; ASTM class 20 (makeitfrom.com) 179. Read in public."""
    assert shear_strength("aluminium") == shear_strength("Aluminum head") == 130
    assert shear_strength("cast iron") == shear_strength(" Gray  iron") == 179
    assert shear_strength("plastic") is None and shear_strength(None) is None
