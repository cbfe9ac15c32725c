"""Print how long things take, beside the obvious way to do them.

    python -m tests.bench [canonical ...]       `make bench`

Each line gives the median of many runs in milliseconds. Nothing here can fail: tests catch what grows too fast.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Callable, Iterator
from random import Random
from statistics import median

import yaml

from generator.canonical import canonical
from generator.journal.answers import parts_of
from generator.journal.fold import fold
from tests.support import demo
from tests.support.harness import faults_of, full_file
from tests.support.journals import DAY, Case, by_digest, digest_of, good_value, long_case, revised
from tests.support.journals import Phone as Writer
from tests.support.node import Phone

FOLD_JS = """async ({ entries, sheets }) => {
  const { fold } = await import('/phone/journal/journal.js');
  const took = [];
  for (let at = 0; at < 15; at += 1) {
    const begun = performance.now();
    fold(entries, sheets);
    took.push(performance.now() - begun);
  }
  return took.sort((one, other) => one - other)[7];
}"""


def ms(run: Callable[[], object], times: int = 200) -> float:
    """Return the median of this many runs, in milliseconds."""
    took = []
    for _ in range(times):
        begun = time.perf_counter()
        run()
        took.append(time.perf_counter() - begun)
    return 1000 * median(took)


def canonical_json() -> Iterator[str]:
    """Canonical JSON of the longest worksheet of the demo, beside `json.dumps` with sorted keys."""
    sheet = max(demo.checked().sheets, key=lambda one: len(one["steps"]))
    text = canonical(sheet)
    yield f"a worksheet of {len(sheet['steps'])} steps, {len(text.encode()) / 1000:.0f} kB"
    yield f"  canonical            {ms(lambda: canonical(sheet)):8.2f} ms"
    plain = ms(lambda: json.dumps(sheet, sort_keys=True, separators=(",", ":"), ensure_ascii=False))
    yield f"  json.dumps, sorted   {plain:8.2f} ms"


def check_full() -> Iterator[str]:
    """A procedure with nearly as many steps as a file may hold, checked without a fault and with one in each step."""
    right, wrong = (full_file(9500, header) for header in ("needs:\n  tools: {press: Press}\n", ""))
    text = "".join(right.values())
    yield f"a procedure of 9500 steps, {len(text) / 1000:.0f} kB"
    yield f"  check, no fault      {ms(lambda: faults_of(right), times=5):8.0f} ms"
    yield f"  check, 9500 faults   {ms(lambda: faults_of(wrong), times=5):8.0f} ms"
    yield f"  YAML parsed alone    {ms(lambda: yaml.load(text, yaml.CSafeLoader), times=5):8.0f} ms"


def over_revisions(steps: int, entries: int, sheets: int) -> Case:
    """Return a job of so many entries on one phone, which adopts a revision each time its share of them is written."""
    rng = Random(4)
    every = [next(iter(long_case(steps, 2)["sheets"].values()))]
    while len(every) < sheets:
        every.append(revised(rng, every[-1]))
    phone = Writer(rng, "phone", every[0])
    phone.write("start", DAY, value={"number": "1"})
    for number, sheet in enumerate(every):
        phone.sheet = sheet
        if number:
            phone.write("adopt", DAY, value={"sheet": digest_of(sheet)}, seen=phone.sees("", "sheet"))
        while len(phone.view.entries) < entries * (number + 1) // sheets:
            each = rng.choice(sheet["steps"][:-1])
            part = rng.choice(parts_of(each["check"], {}))
            given = {**good_value(rng, each["check"]), "set": "12 N.m"}
            phone.write("check", DAY, step=each["path"], part=part, value=given, seen=phone.sees(each["path"], part))
    return {"sheets": by_digest(*every), "entries": phone.view.entries}


def fold_revised() -> Iterator[str]:
    """One long job, folded as it was on one worksheet and over three, in both languages."""
    phone = Phone()
    for sheets in (1, 3):
        case = over_revisions(120, 900, sheets)
        yield f"a job of 120 steps, {len(case['entries'])} entries, worksheets: {sheets}"
        yield f"  fold, Python         {ms(lambda one=case: fold(one['entries'], one['sheets']), times=15):8.1f} ms"  # type: ignore[misc]
        yield f"  fold, JavaScript     {phone.evaluate(FOLD_JS, case):8.1f} ms"
    phone.close()


BENCHES = {"canonical": canonical_json, "check": check_full, "fold": fold_revised}


def main() -> None:
    parser = argparse.ArgumentParser(description="Print what takes how long.")
    parser.add_argument("bench", nargs="*", choices=[[], *BENCHES], default=[], help="which; all without a name")
    for name in parser.parse_args().bench or BENCHES:
        print("\n".join([f"== {name}", *BENCHES[name]()]))


if __name__ == "__main__":
    main()
