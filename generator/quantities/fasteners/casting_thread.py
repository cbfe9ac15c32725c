"""What the thread in a casting holds before it strips. mm, mm2, MPa, kN.

The least shear area of the inner thread is that of FED-STD-H28/2, at the worst sizes that 6g and 6H (ISO 965-1) or 2A
and 2B (ASME B1.1) allow; the first and last turn do not hold, 0.8 pitches together (VDI 2230 part 1). The thread bends
while it is sheared: of that area 0.897 counts, the least of E. M. Alexander's factor for the nut's thread (SAE 770420,
1977). Formulas of tolerances and factor from memory; areas are compared in tests/published/bolts/test_stripping.py.
"""

from __future__ import annotations

import math

from generator.quantities.fasteners.preload import Thread, pitch_diameter
from generator.quantities.fasteners.standards import AS_STRONG, INCH, SHEAR

BENT = 0.897
ENDS = 0.8
_TAN_30 = 1 / math.sqrt(3)


def least_major(thread: Thread) -> float:
    """Return the least outer diameter of the bolt's thread, 6g or 2A, mm.

    >>> round(least_major(Thread(6, 1)), 3)
    5.794
    """
    if thread.inch:
        pitch = thread.pitch / INCH
        return thread.d - (0.3 * _pitch_tolerance_2a(thread) + 0.060 * math.pow(pitch, 2 / 3)) * INCH
    gap = 15 + 11 * thread.pitch
    tolerance = 180 * math.pow(thread.pitch, 2 / 3) - 3.15 / math.sqrt(thread.pitch)
    return thread.d - (gap + tolerance) / 1000


def greatest_pitch_diameter(thread: Thread) -> float:
    """Return the greatest pitch diameter of the inner thread, 6H or 2B, mm."""
    if thread.inch:
        return pitch_diameter(thread) + 1.3 * _pitch_tolerance_2a(thread) * INCH
    return pitch_diameter(thread) + 1.32 * 90 * math.pow(thread.pitch, 0.4) * math.pow(thread.d, 0.1) / 1000


def _pitch_tolerance_2a(thread: Thread) -> float:
    """Return the tolerance of the bolt's pitch diameter in inches, for an engagement of one diameter."""
    d, pitch = thread.d / INCH, thread.pitch / INCH
    return 0.0015 * math.cbrt(d) + 0.0015 * math.sqrt(d) + 0.015 * math.pow(pitch, 2 / 3)


def shear_area(thread: Thread, holds: float) -> float:
    """Return the least shear area of the inner thread over a length that holds, mm2."""
    major = least_major(thread)
    width = thread.pitch / 2 + _TAN_30 * (major - greatest_pitch_diameter(thread))
    return math.pi * major * holds / thread.pitch * width


def shear_strength(into: str | None) -> float | None:
    """Return the shear strength of what a bolt goes into, MPa; None where it is not known.

    >>> shear_strength("Aluminium housing"), shear_strength("cast iron"), shear_strength("plastic clip")
    (130, 179, None)
    """
    said = _plainly(into)
    return next((strength for name, strength in SHEAR.items() if said.startswith(name)), None)


def is_as_strong(into: str | None) -> bool:
    """True where nothing is said of the thread, or where it is as strong as the bolt's."""
    said = _plainly(into)
    return not said or said.startswith(AS_STRONG)


def _plainly(into: str | None) -> str:
    return " ".join((into or "").lower().split())


def stripping(thread: Thread, engaged: float, into: str | None) -> float | None:
    """Return the pull that strips the thread which a bolt goes into, kN; None where its strength is not known.

    `engaged` is the length of thread in one another, mm; less than 0.8 pitches hold nothing.
    """
    strength = shear_strength(into)
    holds = max(0.0, engaged - ENDS * thread.pitch)
    return None if strength is None else BENT * strength * shear_area(thread, holds) / 1000
