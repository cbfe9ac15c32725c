"""The colours of the drawings, each for a light and a dark page, and the sizes of strokes and letters.

A drawing brings its own paper, so it is readable on any page. A browser that does not know `light-dark()` shows the
light colours.
"""

from __future__ import annotations

WIDTH = 328
"""Width of every drawing, in the pixels of a phone that is 360 pixels wide."""
TEXT = 14
SMALL = 13.2
LINE = 2.0
THIN = 1.5

PAPER = "#ffffff"
INK = "#101417"
SOFT = "#565e65"
GOOD = "#0a5c33"
BAD = "#9c0f1e"
MOVE = "#0a4fb3"
PAINT = "#a84300"
BELT = "#3a3f45"
PART = "#e3e8e4"
METAL = "#bcc4c7"
LIQUID = "#bcdcf5"
OIL = "#ecc95f"

DARK = {
    PAPER: "#15181b",
    INK: "#f3f4f0",
    SOFT: "#a9b1b7",
    GOOD: "#7fd6a3",
    BAD: "#ff9a9f",
    MOVE: "#8fb8ff",
    PAINT: "#ffb066",
    BELT: "#98a1a9",
    PART: "#2b3136",
    METAL: "#4a5258",
    LIQUID: "#1d4766",
    OIL: "#6b5310",
}
"""Each colour of a light page with the one that takes its place on a dark page."""

LETTERS = (INK, SOFT, GOOD, BAD, MOVE)
"""Colours of text."""
STROKES = (INK, SOFT, GOOD, BAD, MOVE, PAINT, BELT)
"""Colours of lines and of what must be seen without an outline."""
AREAS = (PAPER, PART, METAL, LIQUID, OIL)
"""Colours that fill an outline. A line or a letter may lie on any of them."""


def style() -> str:
    """Return the style of a drawing: on a dark page each colour gives way to its partner."""
    rules = [":root{color-scheme:light dark}"]
    rules += [
        f'[{what}="{light}"]{{{what}:light-dark({light},{dark})}}'
        for light, dark in DARK.items()
        for what in ("fill", "stroke")
    ]
    return "".join(rules)
