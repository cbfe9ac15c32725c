"""One case: sound sources with some of them spoiled, checked as `handturn check` does; its cost and its result."""

from __future__ import annotations

import contextlib
import random
import re
import resource
import time
import traceback
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from generator.faults import Fault
from generator.site.build import check_texts
from generator.terminal import report
from tests.hostile.bases import Base, alone, demo, small
from tests.hostile.mutations import KINDS, Spoil

LONGEST = 5000  # letters of a line of the report: a sentence of 700 in six-letter escapes, and a few more
WHOLE = 0.004  # share of the cases that spoil the whole demo
REAL = 0.45  # share that spoils one real file among small ones
SEVERAL = 0.15  # share that spoils more than one file


@dataclass(frozen=True)
class Case:
    """Sources by path. `spoiled` are the paths that were changed."""

    number: int
    kind: str
    base: str
    sources: dict[str, bytes]
    spoiled: tuple[str, ...]
    pictures: frozenset[str]


@dataclass(frozen=True)
class Outcome:
    """The result of one case. `wrong`: a traceback, or words that a person cannot use; empty if all is well."""

    number: int
    kind: str
    files: int
    faults: int
    seconds: float
    megabytes: float
    wrong: str = ""
    poor: str = ""


def case(number: int, seed: int, kinds: Sequence[str] = tuple(KINDS)) -> Case:
    """Return a case. The same number and seed make the same case."""
    rng = random.Random(f"{seed} {number}")
    (kind,) = rng.choices(kinds, [KINDS[name][1] for name in kinds])
    base, first = _base(rng)
    paths = sorted(base.texts)
    spoiled = {first or rng.choice(paths)} | (set(rng.sample(paths, 2)) if rng.random() < SEVERAL else set())
    sources = {path: text.encode() for path, text in base.texts.items()}
    for path in sorted(spoiled):
        sources[path] = _spoiled(KINDS[kind][0], rng, base.texts[path])
    return Case(number, kind, base.name, sources, tuple(sorted(spoiled)), base.pictures)


def _base(rng: random.Random) -> tuple[Base, str | None]:
    """Return sources, and the one file among them that must be spoiled, if it matters which."""
    drawn = rng.random()
    if drawn < WHOLE:
        return demo(), None
    if drawn < WHOLE + REAL:
        path = rng.choice(sorted(demo().texts))
        return alone(path), path
    return rng.choice(small()), None


def _spoiled(spoil: Spoil, rng: random.Random, text: str) -> bytes:
    return spoil(rng, text)


def look(one: Case) -> Outcome:
    """Check the case and report it in every format. Measure processor time and the most memory this process held."""
    _forget_peak()
    started = time.process_time()
    wrong = poor = ""
    found: Sequence[Fault] = ()
    try:
        checked = check_texts(one.sources, one.pictures)
        found = checked.faults
        all_told = report.Told(one.sources, found, checked.sheets, checked.notes)
        told = [report.dress(way, all_told, True) for way in ("text", "json", "github")]
        seconds = time.process_time() - started
        poor = poor_words(found, one.sources, told)
    except Exception:
        seconds, wrong = time.process_time() - started, traceback.format_exc(limit=-6)
    return Outcome(one.number, one.kind, len(one.spoiled), len(found), seconds, _peak(), wrong, poor)


# --- Words ------------------------------------------------------------------------------------------------------------

# What must not be in a report, because it moves the cursor, colours the terminal, or turns the reading direction.
_UNSEEN = re.compile(
    "[\x00-\x09\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
)


def poor_words(found: Sequence[Fault], sources: dict[str, bytes], told: Sequence[str]) -> str:
    """Say in words what is wrong with the first fault that cannot be clicked or followed. Empty if there is none."""
    sizes = {path: _lines(raw) for path, raw in sources.items()}
    for fault in found[:200]:
        name, place = type(fault).__name__, fault.place
        if place.file not in sizes or not 1 <= place.line <= sizes[place.file] or place.column < 1:
            return f"{name}: no such place as {place}"
        if not (fault.said.strip() and fault.write.strip()):
            return f"{name}: nothing said"
    long = next((line for text in told for line in text.split("\n") if len(line) > LONGEST), "")
    if long:
        return f"a line of {len(long)} letters: {long[:160]}"
    unseen = next((match for text in told if (match := _UNSEEN.search(text))), None)
    return (
        f"the report has U+{ord(unseen[0]):04X}: {unseen.string[unseen.start() - 60 : unseen.end() + 9]!r}"
        if unseen
        else ""
    )


def _lines(raw: bytes) -> int:
    return raw.count(b"\n") + raw.count(b"\r") + 1


# --- Memory -----------------------------------------------------------------------------------------------------------


def _forget_peak() -> None:
    """Let the system measure the most memory anew. If it cannot, the most of the whole process is used."""
    with contextlib.suppress(OSError):
        Path("/proc/self/clear_refs").write_text("5")


def _peak() -> float:
    """Return the most memory since then, in MB."""
    try:
        found = re.search(r"VmHWM:\s+(\d+) kB", Path("/proc/self/status").read_text())
    except OSError:
        found = None
    return int(found[1]) / 1024 if found else resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
