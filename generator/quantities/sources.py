"""When a source says something: a document and a place that another person can find."""

from __future__ import annotations

from generator.sheet_types import ValueJson
from generator.tables import LEAST_SAID

# Letters to the Unicode tables, empty on every screen: the fillers of Hangul.
UNSEEN = frozenset("\u115f\u1160\u3164\uffa0")


def seen_letters(text: str) -> str:
    """The letters and digits of a text that somebody can see."""
    return "".join(sign for sign in text if sign.isalnum() and sign not in UNSEEN)


def says(text: object, least: int) -> bool:
    """Has the text at least so many letters or digits that somebody can see?"""
    return isinstance(text, str) and len(seen_letters(text)) >= least


def says_where(source: object) -> bool:
    """Do document and place both say something?"""
    if not isinstance(source, dict):
        return False
    told = says(source.get("document"), LEAST_SAID["document"])
    return told and says(source.get("where"), LEAST_SAID["where"])


def is_read_once(value: ValueJson) -> bool:
    """True for a critical value that a worksheet gives with a source, and that nobody read there a second time."""
    source = value["source"]
    return value["class"] == "critical" and source is not None and not source.get("checked_by")
