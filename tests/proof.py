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
    share("tables", "tests.proofs.tables_harness", 10),
    share("shapes", "tests.proofs.shapes_harness", 10),
    share("kinds", "tests.proofs.kinds_harness", 5),
    share("facts", "tests.proofs.facts_harness", 10),
    share("mistakes", "tests.proofs.mistakes_harness", 15),
