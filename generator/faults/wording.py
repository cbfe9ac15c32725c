"""How a fault quotes, counts and lists what its author wrote, and finds the name that was meant."""

from __future__ import annotations

import difflib
import functools
from collections.abc import Iterable

# How many names a message lists before it says "and others".
LISTED = 12
LONGEST = 60  # letters of a listed name
QUOTED = 40


def excerpt(text: str, limit: int = QUOTED) -> str:
    """A text as a message shows it: one line, in double quotes, cut where it is long."""
    line = " ".join(text.split())
    return f'"{line}"' if len(line) <= limit else f'"{line[: limit - 3].rstrip()}..."'


def part(text: str) -> str:
    """A part of a formula as a message shows it: in quotes that it has not itself."""
    line = " ".join(text.split())
    line = line if len(line) <= QUOTED else f"{line[: QUOTED - 3].rstrip()}..."
    if '"' not in line:
        return f'"{line}"'
    return line if line[0] == line[-1] == '"' and line.count('"') == 2 else f"'{line}'"


def in_quotes(text: str) -> str:
    """A text as a source may write it, on one line: in double quotes, or in single ones if it has double."""
    line = " ".join(text.split())
    return "'" + line.replace("'", "''") + "'" if '"' in line or "\\" in line else f'"{line}"'


def counted(number: int, thing: str) -> str:
    """A number with its thing, of which there may be one: `1 worksheet`, `2 worksheets`."""
    return f"{number} {thing}{'' if number == 1 else 's'}"


def listing(names: Iterable[str]) -> str:
    """Names in a row, as many and as much of each as a person reads: `a, b, c`."""
    known = [name if len(name) <= LONGEST else f"{name[: LONGEST - 3]}..." for name in names]
    return ", ".join(known[:LISTED]) + (", and others" if len(known) > LISTED else "")


@functools.lru_cache(maxsize=1024)
def nearest(name: str, known: tuple[str, ...]) -> str | None:
    """The known name that looks most like this one, or None. Only the first 1000 are looked at."""
    folded = {other.lower().replace("_", "-"): other for other in reversed(known[:1000])}
    found = difflib.get_close_matches(name[:80].lower().replace("_", "-"), folded, n=1, cutoff=0.6)
    return folded[found[0]] if found else None


def did_you_mean(name: str, known: tuple[str, ...]) -> str:
    """`Did you mean "x"? ` with its space, or nothing."""
    near = nearest(name, known)
    return f'Did you mean "{near}"? ' if near else ""


def one_of(name: str, known: tuple[str, ...], otherwise: str) -> str:
    """What to write for a name nobody knows: the nearest, else all when they are few, else the advice alone."""
    near = nearest(name, known)
    if near:
        return f'Did you mean "{near}"? If not, {otherwise}.'
    if known:
        return f"Write one of: {listing(known)} - or {otherwise}."
    return f"{otherwise[:1].upper()}{otherwise[1:]}."
