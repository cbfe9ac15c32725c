"""What a step's check-off names in its source, kind by kind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import assert_never

from generator.model import CheckOff, Inspect, Measure, Photo, Sign, Tick, Tighten, Turn, Wait
from generator.worksheet import CheckKind

Keys = tuple[str, ...]


@dataclass(frozen=True)
class Named:
    """`values`: (key, name) of each value it uses; `readings`: (keys, name) of each reading it takes."""

    kind: CheckKind
    values: list[tuple[str, str]]
    readings: list[tuple[Keys, str]]


def named_by(check: CheckOff) -> Named:
    """Return the kind of a check-off, and what it names."""
    match check:
        case "tick" | Tick():
            return Named("tick", [], [])
        case Tighten():
            return Named("tighten", [("tighten", check.tighten)], [])
        case Measure():
            against = [("against", check.against)] if check.against else []
            return Named("measure", against, [(("measure",), check.measure)])
        case Inspect():
            return Named("inspect", [], [])
        case Wait():
            every = [("every", check.every)] if check.every else []
            return Named("wait", [("wait", check.wait), *every], _watched(check))
        case Turn():
            return Named("turn", [("turn", check.turn)], [])
        case Photo():
            return Named("photo", [], [])
        case Sign():
            return Named("sign", [], [])
        case _ as never:
            assert_never(never)


def _watched(wait: Wait) -> list[tuple[Keys, str]]:
    watch = wait.watch
    return [(("watch", "start"), watch.start), (("watch", "end"), watch.end)] if watch else []
