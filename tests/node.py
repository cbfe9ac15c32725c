"""Runs the phone's pure modules under node, which the browser package brings with it: no page, no store."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any

from playwright._impl._driver import compute_driver_executable

SITE = Path(__file__).parent.parent / "site_overrides"

_HEAD = """
import { readFileSync } from 'node:fs';
const site = %s;
const given = JSON.parse(readFileSync(0, 'utf8'));
const work = async () => {%s};
console.log(JSON.stringify(await work()));
"""


def node(work: str, given: Any = None, timeout: float = 600) -> Any:
    """What `work` returns, the body of an async function: it has `given`, and `site`, the address of site_overrides.

    Raises AssertionError with what node said if it fails.
    """
    executable = compute_driver_executable()[0]
    text = _HEAD % (json.dumps(SITE.as_uri()), work)
    # A text may hold half a character, which UTF-8 has not: JSON writes it as an escape.
    ran = subprocess.run(
        [executable, "--input-type=module", "-e", text],
        input=json.dumps(given).encode(),
        capture_output=True,
        timeout=timeout,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr.decode()[-4000:]
    return json.loads(ran.stdout)
