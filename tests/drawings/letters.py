"""How wide text is at most: the advance widths of DejaVu Sans, in hundredths of the letter size.

It is wider than the fonts of phones, so what fits here fits there. Source: its own metrics, version 2.37.
"""

from __future__ import annotations

_PLAIN = (
    "32 40 46 84 64 95 78 27 39 39 50 84 32 36 32 34 64 64 64 64 64 64 64 64 64 64 34 34 84 84 84 53 100 "
    "68 69 70 77 63 58 77 75 29 29 66 56 86 75 79 60 79 69 63 61 73 68 99 69 61 69 39 34 39 84 50 50 61 "
    "63 55 63 62 35 63 63 28 28 58 28 97 63 61 63 63 41 52 39 63 59 82 59 59 52 64 34 64 84 "
)
_BOLD = (
    "35 46 52 84 70 100 87 31 46 46 52 84 38 42 38 37 70 70 70 70 70 70 70 70 70 70 40 40 84 84 84 58 100 "
    "77 76 73 83 68 68 82 84 37 37 77 64 100 84 85 73 85 77 72 68 81 77 110 77 72 73 46 37 46 84 50 50 67 "
    "72 59 72 68 44 72 71 34 34 67 34 104 71 69 72 72 49 60 48 71 65 92 65 65 58 71 37 71 84 "
)


def _table(widths: str) -> dict[str, int]:
    return {chr(32 + at): int(width) for at, width in enumerate(widths.split())} | {"°": 50}


WIDTHS = {False: _table(_PLAIN), True: _table(_BOLD)}


def width_of(words: str, size: float, bold: bool) -> float:
    """Return the width of a line of text, in the unit of `size`. Raises KeyError for a letter that is not in the
    table."""
    return sum(WIDTHS[bold][letter] for letter in words) * size / 100
