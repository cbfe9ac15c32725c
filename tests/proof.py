"""Run the long proofs, two at a time, and write each one's table as it ends.

    python -m tests.proof                       every share, as `make proof` does
    python -m tests.proof touch damage          only these shares: `make proof SHARE="touch damage"`
    python -m tests.proof --list                their names, commands and limits

A share is one command. Its table goes to `bench/<share>.txt` the moment it ends, under a line that says how long it
took and whether it holds. So an interrupted run leaves what it has proved. A share that breaks does not stop the
others. One that passes its limit is ended and counts as broken, because a proof that hangs has proved nothing.
"""

from __future__ import annotations

import argparse
import os
import queue
import shlex
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date
from pathlib import Path

ROOT = Path(__file__).parents[1]
WHOLE = 120 * 60
"""What all shares together may take on two cores, in seconds."""


@dataclass(frozen=True)
class Share:
    name: str
    command: tuple[str, ...]
    """What follows `python -m`."""
    limit: int
    """Seconds after which the share is ended and counts as broken."""


def share(name: str, command: str, minutes: int) -> Share:
    return Share(name, tuple(shlex.split(command)), minutes * 60)


MUTATIONS = "tests/sources/test_mutations.py tests/journal/test_walks.py"
# The longest come first, so that none of them is left to run alone at the end.
SHARES = (
    share("damage", "tests.proofs.damage_harness --trials 208 --openings 1000 --kills 100 --seed 1", 45),
    share("kill", "tests.proofs.kill_harness --lives 300 --webkit 100 --seed 1", 50),
    share("update", "tests.proofs.update_harness --updates 200 --seed 1", 30),
    share("hostile", "tests.hostile.yaml_harness --files 20000 --workers 1 --seed 1", 45),
    share("power_cut", "tests.proofs.power_cut --seed 1", 20),
    share("storage", "tests.proofs.storage_harness --trials 3 --seed 1", 30),
    share("full", "tests.proofs.full_harness --runs 24 --before 4", 40),
    share("merge", "tests.proofs.merge_harness --splits 1500 --workers 1 --seed 1", 30),
    share("import", "tests.proofs.import_harness --seed 1", 30),
    share("folders", "tests.proofs.folders_harness --seed 1", 20),
    share("touch", "tests.proofs.touch_harness --holds 500 --seed 1", 40),
    share("scripts", "tests.proofs.scripts.xss_harness --rounds 12 --seed 1", 60),
    share(
        "mutations",
        "pytest -q -s -p no:cacheprovider --walks 500 tests/sources/test_mutations.py tests/journal/test_walks.py",
        20,
    ),
    share("adopt", "tests.journal.adopt_harness --walks 1000 --seed 1", 15),
    share("tables", "tests.proofs.tables_harness", 10),
    share("shapes", "tests.proofs.shapes_harness", 10),
    share("kinds", "tests.proofs.kinds_harness", 5),
    share("facts", "tests.proofs.facts_harness", 10),
    share("mistakes", "tests.proofs.mistakes_harness", 15),
    share("ways_back", "pytest -q -p no:cacheprovider --all-engines tests/sources/composed", 20),
    share("sabotage", "tests.mistakes.sabotage.sabotage_harness", 15),
    share("edges", "tests.proofs.edges_harness", 25),
    share("calculators", "tests.browser.screens.calculators_harness --inputs 2000 --seed 1", 10),
    share("engines", "tests.browser.screens.engines_harness", 10),
    share("safe_sides", "tests.quantities.safe_sides_harness", 5),
    share("network", "tests.proofs.net_log", 10),
)


@dataclass(frozen=True)
class Run:
    """How one share ended."""

    share: Share
    seconds: float
    code: int
    """Its exit code; -1 if it was stopped at its limit."""
    said: str

    @property
    def holds(self) -> bool:
        return self.code == 0 and self.said.strip() != ""

    @property
    def verdict(self) -> str:
        if self.code == -1:
            return f"BROKEN: ended after its limit of {took(self.share.limit)}"
        if not self.said.strip():
            return "BROKEN: it printed nothing"
        return "holds" if self.holds else f"BROKEN: exit code {self.code}"


def took(seconds: float) -> str:
    """Return a time as it is printed, in whole seconds.

    >>> took(59.6), took(1568)
    ('1 min 0 s', '26 min 8 s')
    """
    whole = round(seconds)
    return f"{whole // 60} min {whole % 60} s" if whole >= 60 else f"{whole} s"


def run(share: Share, under_way: set[subprocess.Popen[str]]) -> Run:
    """Run a share to its end or to its limit. Show its errors as they come, and return its table."""
    begun = time.monotonic()
    process = subprocess.Popen(
        [sys.executable, "-m", *share.command],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stdin=subprocess.DEVNULL,
        text=True,
        encoding="utf-8",
        start_new_session=True,
    )
    under_way.add(process)
    try:
        said, _ = process.communicate(timeout=share.limit)
        code = process.returncode
    except subprocess.TimeoutExpired:
        code = -1
        end(process)
        said, _ = process.communicate()
    under_way.discard(process)
    return Run(share, time.monotonic() - begun, code, said)


def end(process: subprocess.Popen[str]) -> None:
    """End the share with every browser it started, because they hold the pipe that its table comes through."""
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)


def table(run: Run) -> str:
    command = " ".join(run.share.command)
    return f"{date.today()}  python -m {command}\n{took(run.seconds)}; {run.verdict}\n\n{run.said.strip()}\n"


def write_table(run: Run, into: Path) -> Path:
    into.mkdir(parents=True, exist_ok=True)
    file = into / f"{run.share.name}.txt"
    file.write_text(table(run), encoding="utf-8")
    return file


def ended(shares: Sequence[Share], lanes: int) -> Iterator[Run]:
    """Yield every share's run in the order in which they end. If the caller stops, those that still run are ended."""
    waiting: queue.SimpleQueue[Share] = queue.SimpleQueue()
    runs: queue.SimpleQueue[Run] = queue.SimpleQueue()
    under_way: set[subprocess.Popen[str]] = set()
    for one in shares:
        waiting.put(one)

    def lane() -> None:
        while not waiting.empty():
            with suppress(queue.Empty):
                one = waiting.get_nowait()
                print(f"== {one.name}: python -m {' '.join(one.command)}", file=sys.stderr, flush=True)
                runs.put(run(one, under_way))

    for _ in range(lanes):
        threading.Thread(target=lane, daemon=True).start()
    try:
        for _ in shares:
            yield runs.get()
    finally:
        for process in tuple(under_way):
            end(process)


def summary(runs: Sequence[Run], seconds: float, whole: bool) -> Iterator[str]:
    yield ""
    for one in sorted(runs, key=lambda one: -one.seconds):
        yield f"{one.share.name:12}{took(one.seconds):>14}   {one.verdict}"
    yield (
        f"{'in all':12}{took(seconds):>14}   of at most {took(WHOLE)}" if whole else f"{'in all':12}{took(seconds):>14}"
    )
    broken = [one.share.name for one in runs if not one.holds]
    yield f"Broken: {', '.join(broken)}" if broken else "All proofs hold." if whole else "These proofs hold."


def chosen(names: Sequence[str], shares: Sequence[Share] = SHARES) -> list[Share]:
    """Return the shares with these names, all of them for none. Raises ValueError for an unknown name, and lists
    all."""
    known = {one.name: one for one in shares}
    for name in names:
        if name not in known:
            raise ValueError(f"There is no share `{name}`. Write one of: {', '.join(sorted(known))}.")
    return [known[name] for name in dict.fromkeys(names)] if names else list(shares)


def main(given: Sequence[str] | None = None, shares: Sequence[Share] = SHARES) -> int:
    parser = argparse.ArgumentParser(description="Run the long proofs and write their tables.")
    parser.add_argument("share", nargs="*", help="which ones; all without a name")
    parser.add_argument("--into", type=Path, default=ROOT / "bench", help="the folder for the tables")
    parser.add_argument("--lanes", type=int, default=2, help="how many run at one time")
    parser.add_argument("--list", action="store_true", help="say which there are")
    options = parser.parse_args(given)
    try:
        wanted = chosen(options.share, shares)
    except ValueError as error:
        parser.error(str(error))
    if options.list:
        print("\n".join(f"{one.name:12}{one.limit // 60:>4} min   {' '.join(one.command)}" for one in wanted))
        return 0
    begun = time.monotonic()
    runs: list[Run] = []
    for one in ended(wanted, max(1, options.lanes)):
        runs.append(one)
        file = write_table(one, options.into)
        print(f"\n== {one.share.name}: {took(one.seconds)}, {one.verdict}; {file}\n{one.said.strip()}", flush=True)
    seconds = time.monotonic() - begun
    print("\n".join(summary(runs, seconds, len(wanted) == len(shares))))
    late = len(wanted) == len(shares) and seconds > WHOLE
    return int(late or not all(one.holds for one in runs))


if __name__ == "__main__":
    sys.exit(main())
