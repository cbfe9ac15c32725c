"""Compare a state of today with a golden one.

Every key and every value of the golden state must be there unchanged, and no other. Lists have as many members, in the
same order. LATER names what may differ, with the reason. A name there that explains no difference is a fault.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from fnmatch import fnmatchcase
from typing import Any


@dataclass(frozen=True)
class Difference:
    where: str
    """`<set>/<job>` and the keys down to it, with a slash between: `2026-11/open-vee-six:steps/agree|history/state`."""
    how: str
    """changed, missing (the golden state has it alone) or added (the state of today has it alone)."""
    golden: Any = None
    now: Any = None

    def __str__(self) -> str:
        return f"{self.where} is {self.how}: {self.golden!r:.120} was, {self.now!r:.120} is"


@dataclass(frozen=True)
class Later:
    """A difference that a later version makes on purpose. In `where`, * stands for any text, with slashes too."""

    where: str
    how: str
    why: str

    def explains(self, found: Difference) -> bool:
        return self.how == found.how and fnmatchcase(found.where, self.where)


LATER: tuple[Later, ...] = ()
"""Empty as long as every golden state is what it was."""


def differences(golden: Any, now: Any, where: str) -> Iterator[Difference]:
    """Yield where two states differ, each at the deepest place. A slash in a key is written |: a path is one key."""
    if isinstance(golden, dict) and isinstance(now, dict):
        for key in sorted({*golden, *now}):
            below = f"{where}/{key.replace('/', '|')}"
            if key not in now:
                yield Difference(below, "missing", golden[key])
            elif key not in golden:
                yield Difference(below, "added", None, now[key])
            else:
                yield from differences(golden[key], now[key], below)
    elif isinstance(golden, list) and isinstance(now, list) and len(golden) == len(now):
        for at, (before, after) in enumerate(zip(golden, now, strict=True)):
            yield from differences(before, after, f"{where}/{at}")
    elif type(golden) is not type(now) or golden != now:
        yield Difference(where, "changed", golden, now)


def unexplained(found: Iterable[Difference], later: Iterable[Later] = LATER) -> list[Difference]:
    known = list(later)
    return [one for one in found if not any(each.explains(one) for each in known)]


def idle(found: Iterable[Difference], later: Iterable[Later] = LATER) -> list[Later]:
    """Return what is excused but does not differ, and what is excused without a reason."""
    every = list(found)
    return [each for each in later if not each.why.strip() or not any(each.explains(one) for one in every)]
