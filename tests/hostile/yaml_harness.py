"""Many spoiled sources through `handturn check`: python -m tests.hostile.yaml_harness --files 20000

None may end in a traceback, take more than 2 s of a processor or more than 300 MB, or get words that nobody can follow.
Each worker is a process of its own, so that a hang or a death is one row of the table. `--only N` shows case N and what
it gets.
"""

from __future__ import annotations

import argparse
import contextlib
import multiprocessing
import queue
import resource
import signal
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from multiprocessing.process import BaseProcess
from typing import Any

from generator.site.build import check_texts
from generator.terminal import report
from tests.hostile.cases import Case, Outcome, case, look
from tests.hostile.mutations import KINDS

MOST_SECONDS = 2.0
MOST_MEGABYTES = 300
HUNG = 10.0  # seconds of a processor after which the system ends a worker, whatever it is at
ROOM = 2 * 1024**3  # bytes of addresses a worker may ask for
BATCH = 25
SPAWN = multiprocessing.get_context("spawn")


def outcomes(files: int, seed: int, workers: int, kinds: tuple[str, ...] = tuple(KINDS)) -> Iterator[Outcome]:
    """Outcomes until so many files were spoiled; as they come."""
    share = _Share(files, seed, kinds, SPAWN.Queue(), SPAWN.Value("q", 0), SPAWN.Value("q", 0))
    crew = [_Worker(share) for _ in range(workers)]
    try:
        while any(worker.is_at_work for worker in crew) or not share.out.empty():
            yield from _arrived(share)
            yield from (lost for worker in crew for lost in worker.look_after())
    finally:
        for worker in crew:
            worker.end()


@dataclass
class _Share:
    """What the workers have in common: the next number to take, the files spoiled so far, the way back."""

    files: int
    seed: int
    kinds: tuple[str, ...]
    out: Any
    taken: Any
    spoiled: Any


def _arrived(share: _Share) -> Iterator[Outcome]:
    with contextlib.suppress(queue.Empty):
        yield from share.out.get(timeout=0.2)


class _Worker:
    """A process, and the case that it is at. A new one takes the place of one that hung or died."""

    def __init__(self, share: _Share) -> None:
        self.share = share
        self.start()

    def start(self) -> None:
        self.at = SPAWN.Array("q", [-1], lock=False)  # number of the case
        self.process: BaseProcess = SPAWN.Process(target=_work, args=(self.share, self.at), daemon=True)
        self.process.start()

    @property
    def is_at_work(self) -> bool:
        return self.process.is_alive()

    def look_after(self) -> Iterator[Outcome]:
        """Count what was lost with a worker that died, and go on with a new one."""
        if self.process.is_alive() or self.process.exitcode == 0:
            return
        number, code = int(self.at[0]), self.process.exitcode
        kind = case(number, self.share.seed, self.share.kinds).kind if number >= 0 else "?"
        hung = code == -signal.SIGPROF
        yield Outcome(number, kind, 1, 0, HUNG if hung else 0, 0, "hung" if hung else f"the process ended with {code}")
        self.start()

    def end(self) -> None:
        if self.process.is_alive():
            self.process.kill()
        self.process.join()


def _work(share: _Share, at: Any) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (ROOM, ROOM))
    done: list[Outcome] = []
    for one in _cases(share):
        at[0] = one.number
        signal.setitimer(signal.ITIMER_PROF, HUNG)
        done.append(look(one))
        signal.setitimer(signal.ITIMER_PROF, 0)
        at[0] = -1
        if len(done) >= BATCH:
            share.out.put(done)
            done = []
    share.out.put(done)


def _cases(share: _Share) -> Iterator[Case]:
    while share.spoiled.value < share.files:
        with share.taken.get_lock():
            number = share.taken.value
            share.taken.value += 1
        one = case(number, share.seed, share.kinds)
        with share.spoiled.get_lock():
            share.spoiled.value += len(one.spoiled)
        yield one


# --- The table --------------------------------------------------------------------------------------------------------


@dataclass
class Row:
    files: int = 0
    with_faults: int = 0
    slowest: Outcome | None = None
    most: float = 0
    wrong: Counter[str] = field(default_factory=Counter)

    def add(self, one: Outcome) -> None:
        self.files += one.files
        self.with_faults += one.files if one.faults else 0
        if self.slowest is None or one.seconds > self.slowest.seconds:
            self.slowest = one
        self.most = max(self.most, one.megabytes)
        self.wrong.update(name for name, is_so in verdicts(one).items() if is_so)

    def line(self, name: str) -> str:
        seconds = self.slowest.seconds if self.slowest else 0
        bad = " ".join(f"{self.wrong[what]:>{len(what)}}" for what in VERDICTS)
        clean = self.files - self.with_faults
        return f"{name:22}{self.files:8}{self.with_faults:8}{clean:8}{seconds:11.2f}{self.most:9.0f}  {bad}"


VERDICTS = ("tracebacks", "slow", "large", "poor words")


def verdicts(one: Outcome) -> dict[str, bool]:
    """Return the promises that a case broke; the time allowed grows with the number of damaged files."""
    is_slow = one.seconds > MOST_SECONDS * max(one.files, 1)
    broken = (bool(one.wrong), is_slow, one.megabytes > MOST_MEGABYTES, bool(one.poor))
    return dict(zip(VERDICTS, broken, strict=True))


def is_broken(one: Outcome) -> bool:
    return any(verdicts(one).values())


def table(found: Iterable[Outcome]) -> str:
    rows: dict[str, Row] = defaultdict(Row)
    for one in found:
        rows[one.kind].add(one)
        rows["all"].add(one)
    head = f"{'kind':22}{'files':>8}{'faults':>8}{'clean':>8}{'slowest s':>11}{'most MB':>9}  " + " ".join(VERDICTS)
    names = [*(name for name in KINDS if name in rows), *(["?"] if "?" in rows else []), "all"]
    return "\n".join([head, *(rows[name].line(name) for name in names)])


def show(number: int, seed: int, kinds: tuple[str, ...]) -> None:
    """One case, what was spoiled, and what it gets."""
    one = case(number, seed, kinds)
    print(f"case {number}: {one.kind}, {one.base}: {', '.join(one.spoiled)}")
    for path in one.spoiled:
        print(f"--- {path}\n{one.sources[path][:6000].decode(errors='backslashreplace')}")
    outcome = look(one)
    print(outcome.wrong or report.text(check_texts(one.sources, one.pictures).faults, one.sources, True)[:6000])
    print(f"{outcome.seconds:.2f} s, {outcome.megabytes:.0f} MB {outcome.poor}")


def main() -> int:
    words = argparse.ArgumentParser(prog="python -m tests.hostile.yaml_harness", description=__doc__)
    words.add_argument("--files", type=int, default=20_000)
    words.add_argument("--workers", type=int, default=2)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--kind", action="append", choices=list(KINDS), help="only these kinds")
    words.add_argument("--only", type=int, metavar="N", help="show case N")
    told = words.parse_args()
    kinds = tuple(told.kind or KINDS)
    if told.only is not None:
        show(told.only, told.seed, kinds)
        return 0
    started = time.monotonic()
    found = list(outcomes(told.files, told.seed, told.workers, kinds))
    broken = [one for one in found if is_broken(one)]
    for one in broken[:40]:
        print(f"case {one.number}, {one.kind}: {one.seconds:.2f} s, {one.megabytes:.0f} MB {one.poor}")
        print(one.wrong.rstrip(), end="\n" * bool(one.wrong))
    print(table(found))
    print(f"seed {told.seed}, {time.monotonic() - started:.0f} s, {len(broken)} cases broke a promise")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
