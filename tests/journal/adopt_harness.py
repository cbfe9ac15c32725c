"""Walk jobs over generated revisions: what was opened stays open until somebody closes it or says what became of it.

    python -m tests.journal.adopt_harness [--walks 2000] [--seed 1]

`tests/journal/adoptions.py` says what a walk is, and what may lower a count. After each event the phone's counts are
compared with those before. At the end of each walk the phone's own code, in Node, must say the same as Python. The
control knows no worksheet but the one in use, and must be seen to lose things. Ends with 1 if one of these is not so.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from random import Random

from generator.canonical import canonical, digest
from tests.journal.adoptions import Event, Look, lowered, only_in_use, walk
from tests.support.node import Phone

FOLD = """async ({ sheets, cases }) => {
  const J = await import('/phone/journal/journal.js');
  const { digest } = await import('/phone/base/digest.js');
  const at = ({ named }) => Object.fromEntries(named.map((name) => [name, sheets[name]]));
  return Promise.all(cases.map((one) => digest(J.canonical(J.fold(one.entries, at(one))))));
}"""


@dataclass
class Tally:
    walks: int = 0
    events: Counter[str] = field(default_factory=Counter)
    lost: Counter[str] = field(default_factory=Counter)
    control: Counter[str] = field(default_factory=Counter)
    asked: int = 0  # events after which the phone asks what became of a thing
    differs: list[int] = field(default_factory=list)
    first: list[str] = field(default_factory=list)


def run(seed: int, walks: int, phone: Phone | None, every: int = 25) -> Tally:
    """Walk so many jobs. Without `phone` only Python is asked."""
    tally, ends = Tally(), list[tuple[int, Look]]()
    for number in range(walks):
        events = list(walk(Random(seed * 1_000_003 + number)))
        tally.walks += 1
        for event in events:
            _note(tally, number, event)
        ends += [(number, event.after) for event in events[-2:]]
        if phone and (len(ends) >= every or number == walks - 1):
            tally.differs += differing(phone, ends)
            ends = []
    return tally


def _note(tally: Tally, number: int, event: Event) -> None:
    tally.events[event.what] += 1
    tally.asked += any(item.get("left") for item in event.after.state["items"].values())
    for name, before, after in lowered(event):
        tally.lost[event.what] += 1
        tally.first.append(f"walk {number}, {event.what}: {name} {before}, then {after}")
    if lowered(Event(event.what, event.before, only_in_use(event.after))):
        tally.control[event.what] += 1


def differing(phone: Phone, ends: list[tuple[int, Look]]) -> list[int]:
    """Return the numbers of the walks whose end the phone shows otherwise."""
    sheets = {mark: sheet for _, look in ends for mark, sheet in look.sheets.items()}
    cases = [{"entries": look.gathered.entries, "named": list(look.sheets)} for _, look in ends]
    said = phone.evaluate(FOLD, {"sheets": sheets, "cases": cases})
    ours = [digest(canonical(look.state)) for _, look in ends]
    return [number for (number, _), here, there in zip(ends, ours, said, strict=True) if here != there]


def table(tally: Tally, seed: int, seconds: float) -> Iterator[str]:
    yield f"{tally.walks} jobs over generated revisions; {tally.events.total()} events; {seconds:.0f} s; seed {seed}"
    yield ""
    yield f"{'':20}{'events':>10}{'lost':>10}{'control':>10}"
    for name in [*sorted(tally.events), "all"]:
        counters = (tally.events, tally.lost, tally.control)
        yield f"{name:20}" + "".join(f"{c.total() if name == 'all' else c[name]:>10}" for c in counters)
    yield ""
    yield f"After {tally.asked} events the phone asked what became of a thing."
    yield f"Ends of walks that the phone shows otherwise than Python: {len(tally.differs)}"
    yield "Lost: a count fell though nobody closed the thing or said what became of it. Control: only the sheet in use."


def main() -> int:
    parser = argparse.ArgumentParser(description="Walk jobs over revisions: what was opened stays open.")
    parser.add_argument("--walks", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    begun, phone = time.monotonic(), Phone()
    tally = run(options.seed, options.walks, phone)
    phone.close()
    print("\n".join(table(tally, options.seed, time.monotonic() - begun)))
    if tally.lost:
        print(f"FAILED: {tally.lost.total()} times something open was lost. The first:", *tally.first[:8], sep="\n  ")
    if tally.differs:
        print(f"FAILED: the two folds differ in walks {sorted(set(tally.differs))[:8]}.")
    if not tally.control:
        print("FAILED: a phone that knows only the sheet in use loses nothing; the harness does not bite.")
    return bool(tally.lost or tally.differs or not tally.control)


if __name__ == "__main__":
    sys.exit(main())
