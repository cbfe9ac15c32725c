"""What an angle stage adds to a bolt's pull: bolt and clamped parts as two springs in a row. mm, kN, kN/mm, degrees.

The springs are those of Shigley's Mechanical Engineering Design, 9th edition: the bolt by equation 8-17, the parts as
two cones of 30 degrees by equation 8-22 (pages read in public). Nobody says how much of the bolt is thread, whether it
sits in a nut or in a tapped hole, and what it clamps. So there are two ends: the soft one is all thread, in a tapped
hole, clamping aluminium; the stiff one is all shank, in a nut, clamping steel.
"""

from __future__ import annotations

import math

from generator.quantities.fasteners.preload import Thread, stress_area, yield_load
from generator.quantities.fasteners.standards import STAINLESS, Strength

# Moduli of elasticity, kN/mm2: Shigley, table A-5 (steel, stainless steel, aluminium), from memory.
STEEL, STAINLESS_STEEL, ALUMINIUM = 207.0, 190.0, 71.0
TAPPED = 0.5
"""Of a bolt in a tapped hole half a diameter more is stretched (Shigley, table 8-7)."""
LEAST_SHARE = 0.1
"""An angle stage adds at least a tenth of the pull at which the bolt yields. common practice, no source"""
MOST_GROWTH = 0.25
"""An angle stage stretches a bolt for good by at most a quarter of what breaks a test piece. common practice, no
source"""

Span = tuple[float, float]


def bolt_spring(thread: Thread, shank: float, threaded: float, modulus: float) -> float:
    """Return the stiffness of a bolt, so much of it shank and so much thread between head and nut, kN/mm."""
    whole, cut = math.pi / 4 * thread.d**2, stress_area(thread)
    return whole * cut * modulus / (whole * threaded + cut * shank)


def parts_spring(d: float, grip: float, modulus: float) -> float:
    """Return the stiffness of parts of one material clamped between two faces 1.5 diameters wide, kN/mm."""
    far = 0.5774 * grip
    return 0.5774 * math.pi * modulus * d / (2 * math.log(5 * (far + 0.5 * d) / (far + 2.5 * d)))


def joint_spring(thread: Thread, cls: str, grip: float) -> Span:
    """Return the least and the greatest stiffness of a bolt with what it clamps, kN/mm; grip in mm, more than 0."""
    modulus = STAINLESS_STEEL if cls in STAINLESS else STEEL
    deep = grip + TAPPED * thread.d
    soft = _in_a_row(bolt_spring(thread, 0, deep, modulus), parts_spring(thread.d, deep, ALUMINIUM))
    stiff = _in_a_row(bolt_spring(thread, grip, 0, modulus), parts_spring(thread.d, grip, STEEL))
    return soft, stiff


def _in_a_row(one: float, other: float) -> float:
    return 1 / (1 / one + 1 / other)


def added_pull(thread: Thread, cls: str, grip: float, degrees: float) -> Span:
    """Return what turning a seated bolt adds to its pull while nothing yields, least and most, kN."""
    soft, stiff = joint_spring(thread, cls, grip)
    way = degrees / 360 * thread.pitch
    return way * soft, way * stiff


def sane_turn(thread: Thread, cls: str, strength: Strength, grip: float) -> Span | None:
    """Return the least and the greatest sane angle of all stages together, whole degrees; None where the standard does
    not say how far the bolt's steel stretches."""
    if strength.growth is None:
        return None
    soft, stiff = joint_spring(thread, cls, grip)
    yields = yield_load(thread, strength)
    least = LEAST_SHARE * yields / stiff
    most = yields / soft + MOST_GROWTH * strength.growth * grip
    return float(math.ceil(least / thread.pitch * 360)), float(math.floor(most / thread.pitch * 360))
