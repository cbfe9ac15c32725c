"""Build sites into places where something of value is: python -m tests.proofs.folders_harness

One row for each place: what the command said, and how much survived of what must survive. Then builds killed at steps
on the disk (`--kills`), two builds at once, and the control: a build that replaces whatever it finds must lose
something in each place it is tried in. Ends with 1 if anything that must survive did not, if a command did something
else than it should, or if it ended in a traceback. Places that only root can set up are named if they were not tried.
"""

from __future__ import annotations

import argparse
import contextlib
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from generator.site import disk
from tests.support.folder_places import PLACES, Place, Stage, staged
from tests.support.forked import Ended, run
from tests.support.killed_builds import Before, in_the_gap
from tests.support.shop_folder import change, shot, write

ELSEWHERE = {"no name at all"}  # MkDocs treats an empty name as none
_TO_DO = (
    r"\n    [A-Z]|'(docs|site)_dir' should not be within"  # in the second case MkDocs notices first, in its own words
)
AS_ROOT = os.geteuid() == 0


@dataclass(frozen=True)
class Row:
    command: str
    place: str
    said: str
    survived: int
    of: int
    wrong: str = ""

    def line(self) -> str:
        return f"{self.command:9}{self.place:52}{self.survived:>5} of {self.of:<5}{self.wrong or self.said:.100}"


def tried(place: Place, program: str = "handturn") -> Row:
    """Try one build in one place, and return what became of everything there."""
    with sandbox() as box, staged(box, program) as stage:
        out = place.set_up(stage)
        return judged(stage, program, place.name, place.wanted, lambda: stage.build(out))


def judged(stage: Stage, command: str, name: str, wanted: str, act: Callable[[], Ended]) -> Row:
    must, whole = stage.must_survive(), shot(stage.box)
    ended = act()
    after = shot(stage.box)
    left = sum(after.get(path) == what for path, what in must.items())
    said = re.sub(r"\s+", " ", ended.said.strip().replace(str(stage.box), ""))
    checks = {
        "lost: " + ", ".join(path for path, what in must.items() if after.get(path) != what)[:80]: left < len(must),
        f"ended with {ended.code}, not {wanted}: {said}": (ended.code == 0) != (wanted == "built"),
        "a traceback": "Traceback" in ended.said,
        "said nothing to do about it": wanted == "refused" and not re.search(_TO_DO, ended.said),
        "refused, and changed something all the same": wanted == "refused" and after != whole,
        "left a scratch folder": any(".handturn-" in path for path in after),
    }
    wrong = [what for what, is_so in checks.items() if is_so]
    return Row(command, name, said, left, len(must), "; ".join(wrong))


def careless(place: Place) -> Row:
    """The control: the site goes where it is told to, whatever is there."""
    with sandbox() as box, staged(box) as stage:
        out = place.set_up(stage)
        must, site = stage.must_survive(), stage.shop / out
        with contextlib.suppress(OSError):
            site = Path(os.path.realpath(site))
            with tempfile.TemporaryDirectory(dir=box.parent) as scratch:
                disk.write_files({"index.html": b"new"}, Path(scratch) / "new")
                site.rename(Path(scratch) / "old")
                (Path(scratch) / "new").rename(site)
        after = shot(box) if box.is_dir() else {}
        left = sum(after.get(path) == what for path, what in must.items())
        return Row("careless", place.name, "lost what it should" if left < len(must) else "", left, len(must))


# --- The other commands that write ------------------------------------------------------------------------------------


def _theirs(stage: Stage) -> None:
    write(stage.shop / "site", {"sw.js": "self.skipWaiting()\n", "index.html": "<p>Cakes"})


def _changed(stage: Stage) -> None:
    with (stage.site() / "sw.js").open("a") as worker:
        worker.write("// ours, and then some\n")


def _linked(stage: Stage) -> None:
    worker = stage.site() / "sw.js"
    worker.replace(stage.home / "sw.js")
    worker.symlink_to(stage.home / "sw.js")
    del stage.made["shop/site/sw.js"]


def _own(stage: Stage) -> None:
    write(stage.site())


WITHDRAWN = {
    "the last site": (_own, "built"),
    "another program's worker": (_theirs, "refused"),
    "a worker changed by hand": (_changed, "refused"),
    "a worker that is a link": (_linked, "refused"),
}
DEMO = ("the project itself", "the procedures", "a page changed by hand", "a home folder")


def withdrawals() -> Iterator[Row]:
    for name, (set_up, wanted) in WITHDRAWN.items():
        with sandbox() as box, staged(box) as stage:
            set_up(stage)
            yield judged(stage, "withdraw", name, wanted, lambda stage=stage: run(["withdraw", "site"], stage.shop))


def demos() -> Iterator[Row]:
    """`handturn demo` where it must refuse. Where it builds, it is `mkdocs build`."""
    for place in (each for each in PLACES if each.name in DEMO):
        with sandbox() as box, staged(box) as stage:
            words = ["demo", "--site", str(place.set_up(stage)), "--port", "0"]
            act = lambda stage=stage, words=words: run(words, stage.shop, home=stage.home)  # noqa: E731
            yield judged(stage, "demo", place.name, "refused", act)


def previews() -> Iterator[Row]:
    """`mkdocs serve` leaves the site alone in each of its ways."""
    for way in ([], ["--clean"], ["--dirty"]):
        with sandbox() as box, staged(box) as stage:
            write(stage.site())
            stage.made.clear()
            yield judged(
                stage, "serve", f"the last site {' '.join(way)}", "built", lambda s=stage, w=way: _served(s, w)
            )


def _served(stage: Stage, way: list[str]) -> Ended:
    command = [sys.executable, "-u", "-m", "mkdocs", "serve", "--dev-addr", "127.0.0.1:0", *way]
    with subprocess.Popen(
        command, cwd=stage.shop, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as served:
        said = ""
        for line in served.stdout or ():
            said += line
            if "Serving on" in line:
                served.terminate()
    return Ended(0 if "Serving on" in said else 1, said if "Traceback" in said else "the preview stood")


def two_at_once(rounds: int) -> Iterator[Row]:
    for _ in range(rounds):
        with sandbox() as box, staged(box) as stage:
            write(stage.site())
            change(stage.shop)
            yield judged(stage, "build", "the last site, two builds at once", "built", lambda s=stage: _both(s))


def _both(stage: Stage) -> Ended:
    command = [sys.executable, "-m", "generator.cli", "build", "--shop", "shop", str(stage.shop)]
    pair = [subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True) for _ in range(2)]
    said = [each.communicate()[0] for each in pair]
    return Ended(max(each.returncode for each in pair), "".join(said))


# --- Kills ------------------------------------------------------------------------------------------------------------


def kills(program: str, most: int, seed: int) -> Iterator[Row]:
    """Kill at every step, or at so many random steps and between the two renames."""
    with sandbox() as box:
        before = Before(box, program)
        steps = range(1, before.steps + 1)
        chosen = sorted(random.Random(seed).sample(steps, most)) if most < len(steps) else [*steps]
        found: Counter[str] = Counter()
        trials = [in_the_gap(before.site), *((lambda number, *_, at=at: number == at) for at in chosen)]
        wrong = ""
        for kill in trials:
            try:
                found[before.trial(kill)] += 1
            except AssertionError as error:
                wrong = str(error) or "another site than the old or the new one"
        said = (
            f"after the kill: old {found['old']}, none {found['none']}, new {found['new']}; all whole after one command"
        )
        wrong = wrong or ("" if found["none"] else "no kill fell between the two renames")
        yield Row("killed", f"{program} build, {before.steps} steps", said, sum(found.values()), len(trials), wrong)


# --- The table --------------------------------------------------------------------------------------------------------


@contextlib.contextmanager
def sandbox() -> Iterator[Path]:
    box = Path(tempfile.mkdtemp(prefix="handturn-places-"))
    try:
        yield box
    finally:
        shutil.rmtree(box, ignore_errors=True)


def rows(told: argparse.Namespace) -> Iterator[Row]:
    here = [place for place in PLACES if not place.needs or AS_ROOT]
    for place in here:
        yield tried(place)
    for place in here:
        if place.name not in ELSEWHERE:
            yield tried(place, "mkdocs")
    yield from withdrawals()
    yield from demos()
    yield from previews()
    yield from two_at_once(told.rounds)
    yield from kills("handturn", told.kills, told.seed)
    yield from kills("mkdocs", told.kills // 4, told.seed)


def main() -> int:
    words = argparse.ArgumentParser(prog="python -m tests.proofs.folders_harness", description=__doc__)
    words.add_argument("--kills", type=int, default=160, help="of handturn build; a quarter as many of mkdocs build")
    words.add_argument("--rounds", type=int, default=5, help="of two builds at once")
    words.add_argument("--seed", type=int, default=1)
    told = words.parse_args()
    started, wrong, of_value = time.monotonic(), 0, 0
    for row in rows(told):
        print(row.line(), flush=True)
        wrong, of_value = wrong + bool(row.wrong), of_value + row.of
    lossless = [row for row in map(careless, (place for place in PLACES if place.careless)) if row.survived == row.of]
    tries = sum(place.careless for place in PLACES)
    print(f"control: a careless build lost something in {tries - len(lossless)} of {tries} places")
    for row in lossless:
        print(row.line())
    if not AS_ROOT:
        print("not tried, they take root: " + "; ".join(place.name for place in PLACES if place.needs))
    print(f"{len(PLACES)} places, seed {told.seed}, {time.monotonic() - started:.0f} s, {wrong} rows broke a promise")
    return 1 if wrong or lossless else 0


if __name__ == "__main__":
    sys.exit(main())
