"""Print how long things take, beside the obvious way to do them.

    python -m tests.bench [canonical ...]       `make bench`

Each line gives the median of many runs in milliseconds. Nothing here can fail: tests catch what grows too fast.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Callable, Iterator
from statistics import median

import yaml

from generator.canonical import canonical
from tests.support import demo
from tests.support.harness import faults_of, full_file


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


BENCHES = {"canonical": canonical_json, "check": check_full}


def main() -> None:
    parser = argparse.ArgumentParser(description="Print what takes how long.")
    parser.add_argument("bench", nargs="*", choices=[[], *BENCHES], default=[], help="which; all without a name")
    for name in parser.parse_args().bench or BENCHES:
        print("\n".join([f"== {name}", *BENCHES[name]()]))


if __name__ == "__main__":
    main()
