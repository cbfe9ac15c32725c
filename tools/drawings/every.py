"""Every drawing: importing the modules of the groups declares them."""

from __future__ import annotations

from tools.drawings import (
    belts,
    bolts,
    car,
    holding,
    inside,
    marks,
    sealing,
    tensioner,
    word_car,
    word_checks,
    word_coolant,
    word_drive,
    word_parts,
)
from tools.drawings.drawing import DRAWINGS

GROUPS = (
    *(marks, inside, holding, tensioner, belts, bolts, sealing, car),
    *(word_drive, word_parts, word_car, word_checks, word_coolant),
)

__all__ = ["DRAWINGS", "GROUPS"]
