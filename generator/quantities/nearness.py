"""The one rule of nearness: when two figures count as equal. The same as phone/quantities/nearness.js."""

from __future__ import annotations

NEAR = 1e-9
"""Two figures count as equal if they differ by no more than this share of the larger one.

No gauge shows a billionth, and a double's own error is a millionth of that. 10 mm is 0.8 mm from 9.2 mm, 0.3 L is
three steps of 0.1 L, and what is left of two equal figures is nothing."""


def is_near(a: float, b: float) -> bool:
    """True if two figures count as equal.

    >>> is_near(10 - 9.2, 0.8), is_near(0.6, 0.6000001), is_near(0.0, 1e-30)
    (True, False, False)
    """
    return abs(a - b) <= NEAR * max(abs(a), abs(b))


def side(a: float, b: float) -> int:
    """Return on which side of b a figure is: -1 below, 0 if they count as equal, 1 above.

    >>> side(5, 6), side(10 - 9.2, 0.8), side(6, 5)
    (-1, 0, 1)
    """
    return 0 if is_near(a, b) else -1 if a < b else 1
