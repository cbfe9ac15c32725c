"""What standards print of bolts: sizes, heads, least strengths, frictions, castings. mm, MPa; each with its source.

A value that was read nowhere in public is marked `from memory`. The tests in tests/published/bolts compare them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

# ISO 261, coarse pitches, mm.
COARSE: Mapping[float, float] = {
    1.6: 0.35, 2: 0.4, 2.5: 0.45, 3: 0.5, 3.5: 0.6, 4: 0.7, 5: 0.8, 6: 1, 7: 1, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2,
    16: 2, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3, 27: 3, 30: 3.5, 33: 3.5, 36: 4,
}  # fmt: skip
# Thread: washer face of the head (least diameter of ISO 4014 and 4017, grade A up to M24, then B), clearance hole
# (ISO 273, medium). From memory; faces and holes of M6 to M12 are also those behind the printed torques of VDI 2230.
HEXAGON: Mapping[float, tuple[float, float]] = {
    1.6: (2.27, 1.8), 2: (3.07, 2.4), 2.5: (4.07, 2.9), 3: (4.57, 3.4), 3.5: (5.07, 3.9), 4: (5.88, 4.5),
    5: (6.88, 5.5), 6: (8.88, 6.6), 7: (9.63, 7.6), 8: (11.63, 9), 10: (14.63, 11), 12: (16.63, 13.5),
    14: (19.64, 15.5), 16: (22.49, 17.5), 18: (25.34, 20), 20: (28.19, 22), 22: (31.71, 24), 24: (33.61, 26),
    27: (38, 30), 30: (42.75, 33), 33: (46.55, 36), 36: (51.11, 39),
}  # fmt: skip
# Least bearing diameter of a hexagon head with flange, EN 1665. From memory.
FLANGE: Mapping[float, float] = {5: 9.8, 6: 12.2, 8: 15.8, 10: 19.6, 12: 23.8, 14: 27.6, 16: 31.9, 20: 39.9}

INCH = 25.4


@dataclass(frozen=True)
class InchSize:
    """A size of ASME B1.1: outer diameter, turns an inch of the coarse (UNC) and of the fine thread (UNF). Of a hexagon
    head the width across flats (ASME B18.2.1) and the clearance hole (ASME B18.2.8, normal). Inches."""

    d: float
    coarse: int
    fine: int
    flats: float
    hole: float


# From memory; the holes are also in the data of a package, see tests/published/bolts/test_bd_warehouse.py.
INCH_SIZES: Mapping[str, InchSize] = {
    "1/4": InchSize(1 / 4, 20, 28, 7 / 16, 9 / 32),
    "5/16": InchSize(5 / 16, 18, 24, 1 / 2, 11 / 32),
    "3/8": InchSize(3 / 8, 16, 24, 9 / 16, 13 / 32),
    "7/16": InchSize(7 / 16, 14, 20, 5 / 8, 15 / 32),
    "1/2": InchSize(1 / 2, 13, 20, 3 / 4, 9 / 16),
    "9/16": InchSize(9 / 16, 12, 18, 13 / 16, 5 / 8),
    "5/8": InchSize(5 / 8, 11, 18, 15 / 16, 11 / 16),
    "3/4": InchSize(3 / 4, 10, 16, 9 / 8, 13 / 16),
    "7/8": InchSize(7 / 8, 9, 14, 21 / 16, 15 / 16),
    "1": InchSize(1, 8, 12, 3 / 2, 35 / 32),
    "1-1/8": InchSize(9 / 8, 7, 12, 27 / 16, 39 / 32),
    "1-1/4": InchSize(5 / 4, 7, 12, 15 / 8, 43 / 32),
    "1-3/8": InchSize(11 / 8, 6, 12, 33 / 16, 3 / 2),
    "1-1/2": InchSize(3 / 2, 6, 12, 9 / 4, 13 / 8),
}
INCH_FACE = 0.95
"""Washer face of an inch hexagon head, of its width across flats: ASME B18.2.1, from memory."""
# Greatest flange diameter of an inch hexagon head with flange, inches: ASME B18.2.1 of 2010, read on a public page that
# prints its table (aftfasteners.com). The table has no 9/16, and ends at 3/4.
INCH_FLANGE: Mapping[str, float] = {
    "1/4": 0.56, "5/16": 0.68, "3/8": 0.81, "7/16": 0.93, "1/2": 1.07, "5/8": 1.33, "3/4": 1.59,
}  # fmt: skip
INCH_FLANGE_FACE = 0.88
"""Least bearing diameter of such a head, of its greatest flange diameter. The page prints none, so this is the share
that EN 1665 leaves to a metric one of the middle sizes, M8 and M10, from memory: 0.83 at M5, 0.93 at M20."""


@dataclass(frozen=True)
class Strength:
    """What a class or grade holds at least: tensile strength, yield point (or 0.2 % limit) and proof stress, MPa; how
    much of its length a test piece grows before it breaks. None: the standard gives none."""

    tensile: float
    yields: float
    proof: float | None
    growth: float | None = None


# ISO 898-1, least values. The mark on the head names round figures, lower for some: 10.9 says 900 and means 940. The
# values of 4.8, 5.8 and 6.8 are those for reckoning; the standard does not test their yield. 4.6, 5.6, 6.8 and all
# growths from memory.
CLASSES: Mapping[str, Strength] = {
    "4.6": Strength(400, 240, 225, 0.22),
    "4.8": Strength(420, 340, 310, 0.14),
    "5.6": Strength(500, 300, 280, 0.20),
    "5.8": Strength(520, 420, 380, 0.10),
    "6.8": Strength(600, 480, 440, 0.08),
    "8.8": Strength(800, 640, 580, 0.12),
    "9.8": Strength(900, 720, 650, 0.10),
    "10.9": Strength(1040, 940, 830, 0.09),
    "12.9": Strength(1220, 1100, 970, 0.08),
}
THICK = 16
# Above M16: 8.8 is a little stronger, 9.8 is not made.
THICKER: Mapping[str, Strength | None] = {"8.8": Strength(830, 660, 600, 0.12), "9.8": None}
# ISO 3506-1 of 2009, austenitic steels A2 and A4: tensile strength as marked, 0.2 % limit. From memory. It gives no
# proof stress, and a growth of another kind. 70 and 80 are promised up to M24.
STAINLESS: Mapping[str, Strength] = {
    f"{steel}-{cls}": strength
    for steel in ("A2", "A4")
    for cls, strength in (
        ("50", Strength(500, 210, None)),
        ("70", Strength(700, 450, None)),
        ("80", Strength(800, 600, None)),
    )
}
STAINLESS_TO = 24
_KSI = 6.894757
# SAE J429, read on two public pages: up to this diameter in inches; tensile strength, yield and proof, ksi; growth.
_GRADES: Mapping[str, tuple[tuple[float, float, float, float, float], ...]] = {
    "2": ((0.75, 74, 57, 55, 0.18), (1.5, 60, 36, 33, 0.18)),
    "5": ((1, 120, 92, 85, 0.14), (1.5, 105, 81, 74, 0.14)),
    "8": ((1.5, 150, 130, 120, 0.12),),
}
GRADES: Mapping[str, tuple[tuple[float, Strength], ...]] = {
    f"grade {grade}": tuple(
        (up_to, Strength(tensile * _KSI, yields * _KSI, proof * _KSI, growth))
        for up_to, tensile, yields, proof, growth in rows
    )
    for grade, rows in _GRADES.items()
}

FrictionRange = tuple[float, float]
# Friction of thread and head, least and most, by the condition of the thread: the classes of VDI 2230 part 1, table A5,
# read on three public pages that print it. Not said: class B, a clean bolt of an engine. Coated: class B, a coat with
# its lubricant. Oiled: from the least of class B to 0.14, because K is 0.18 for lubricated bolts (Shigley, table 8-15),
# a friction of 0.134. Dry: class C, bare or phosphated as it comes, zinc with no lubricant. A sealer may do either.
STEEL_FRICTION: Mapping[str | None, FrictionRange] = {
    None: (0.08, 0.16),
    "coated": (0.08, 0.16),
    "oiled": (0.08, 0.14),
    "dry": (0.14, 0.24),
    "sealed": (0.08, 0.16),
}
CONDITIONS = tuple(condition for condition in STEEL_FRICTION if condition)
# Austenitic steel: class C with a paste or wax, class D with oil, both where nothing is said. With nothing on it, class
# E begins at 0.30 and has no end.
STAINLESS_FRICTION: Mapping[str | None, FrictionRange | None] = {
    None: (0.14, 0.35),
    "coated": (0.14, 0.24),
    "oiled": (0.20, 0.35),
    "dry": None,
    "sealed": (0.14, 0.35),
}

# Shear strength of what a thread is cut into, MPa, of the weakest that is printed. Aluminium: C443.0 as die cast, the
# least of NADCA table A-3-2 (380.0 has 190), and that of a handbook's worked example; 319.0 cast in sand has 152. Cast
# iron: grey iron of ASTM class 20, ISO 150 (makeitfrom.com). Typical values, read in public.
SHEAR: Mapping[str, float] = {"aluminium": 130, "aluminum": 130, "cast iron": 179, "grey iron": 179, "gray iron": 179}
AS_STRONG = ("steel",)
"""What is as strong as the bolt, so that its thread limits nothing."""
