"""Text that is safe on a terminal, and lines that are no wider than a page.

A name from outside may hold anything. None of it may move the cursor, colour the screen, or begin a line of its own.
"""

from __future__ import annotations

import re
import unicodedata

COLUMNS = 80
LONGEST = 2_000  # most characters shown of one text from outside
# Letters that move the cursor, colour a terminal or turn the reading direction. Accents and joined emoji stay.
UNSEEN = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\xad\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff\ufeff\ufff9-\uffff]"
)
_JOINS = "\u200c\u200d\ufe0f"  # they join letters and emoji


def marked(text: str) -> str:
    """Return the text with a mark in place of every invisible letter.

    >>> marked("\\u202ebolt")
    '<U+202E>bolt'
    """
    return UNSEEN.sub(lambda match: f"<U+{ord(match[0]):04X}>", text)


def one_line(text: str) -> str:
    """Return a text from outside as part of one line: shortened, with every kind of space as a space, and a mark in
    place of every invisible letter.

    >>> one_line("two\\nlines \\x1b[31mred")
    'two lines <U+001B>[31mred'
    """
    left_off = len(text) - LONGEST
    cut = text[:LONGEST]
    line = "".join(_letter(letter) for letter in re.sub(r"\s*[\r\n\u2028\u2029]\s*", " ", cut))
    return line if left_off <= 0 else f"{line}... ({left_off} more characters in the file)"


def _letter(letter: str) -> str:
    if letter.isprintable() or letter in _JOINS:
        return letter
    return " " if letter == "\t" or unicodedata.category(letter) == "Zs" else f"<U+{ord(letter):04X}>"


def width(text: str) -> int:
    """Return columns on a terminal: wide letters take two, marks that sit on the letter before take none."""
    return sum(_columns(letter) for letter in text)


def _columns(letter: str) -> int:
    if letter.isascii():
        return 1
    if unicodedata.combining(letter) or unicodedata.category(letter) in ("Mn", "Me", "Cf"):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in ("W", "F") else 1


def folded(text: str, first: str = "", rest: str | None = None, columns: int = COLUMNS) -> list[str]:
    """Return the lines of a text, none wider than `columns`. The first begins with `first`, the others with `rest` (by
    default, as many spaces as `first` is wide). A word too long for a line is broken.

    >>> folded("Tighten the bolt", "1 ", columns=10)
    ['1 Tighten', '  the bolt']
    """
    rest = " " * width(first) if rest is None else rest
    lines, line, is_bare = [], first, True
    for word in text.split():
        for piece in _pieces(word, columns - max(width(first), width(rest))):
            gap = "" if is_bare else " "
            if is_bare or width(line) + 1 + width(piece) <= columns:
                line, is_bare = f"{line}{gap}{piece}", False
            else:
                lines.append(line)
                line = f"{rest}{piece}"
    return [*lines, line.rstrip()]


def _pieces(word: str, room: int) -> list[str]:
    """Return the word, cut where it is wider than the room."""
    if len(word) * 2 <= room:
        return [word]
    pieces, wide = [""], 0
    for letter in word:
        columns = _columns(letter)
        if wide + columns > room:
            pieces.append("")
            wide = 0
        pieces[-1] += letter
        wide += columns
    return pieces
