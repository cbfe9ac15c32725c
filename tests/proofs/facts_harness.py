"""Misspell, drop or change every fact of every sheet of the demo, one at a time, and look at what `check` says.

`python -m tests.proofs.facts_harness` tries all of them, `--sheet brackwold-f4-23` those of one sheet. Each must be a
fault, or a different worksheet that the table of `check` shows. The control is the check without its marks: it lets
some changes pass in silence. Ends with 1 if one is silent, or if the control notices all.
"""

from __future__ import annotations

import argparse
import re
import sys
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from generator.check import Checked
from generator.model import Engine
from generator.site import disk
from generator.site.build import check_texts
from generator.terminal import report
from tests.support import demo

PICTURES = frozenset(disk.read_pictures(demo.ROOT, "procedures"))
MARK = re.compile(r"mark [0-9a-f]+")


@dataclass(frozen=True)
class Mutation:
    """One fact of one sheet with another word, or with none."""

    engine: str
    fact: str
    how: str
    word: str | None


def mutations(engine: str) -> Iterator[Mutation]:
    library = demo.library()
    for fact, word in library.engines[engine].noun.facts.items():
        yield Mutation(engine, fact, "misspelt", f"{word}x")
        yield Mutation(engine, fact, "dropped", None)
        for other in library.facts[fact].words:
            if other != word:
                yield Mutation(engine, fact, "another word", other)


@cache
def texts_for(engine: str) -> Mapping[str, bytes]:
    """Return the library and the shop with this sheet alone, and no job written beforehand."""
    own = _sheet(engine).file
    others = {path: text for path, text in demo.texts().items() if "/engines/" not in path and "/jobs/" not in path}
    return {**others, own: demo.texts()[own]}


def _sheet(engine: str) -> Checked[Engine]:
    return demo.library().engines[engine]


def mutated(one: Mutation) -> dict[str, bytes]:
    """Return the sources with the mutation. Raises ValueError if the sheet has no line for the fact."""
    texts, file = dict(texts_for(one.engine)), _sheet(one.engine).file
    new = f"  {one.fact}: {one.word}\n" if one.word is not None else ""
    text, times = re.subn(rf"^  {one.fact}: .*\n", new, texts[file].decode(), count=1, flags=re.MULTILINE)
    if times != 1:
        raise ValueError(f"{file} has no line for {one.fact}")
    texts[file] = text.encode()
    return texts


def told(texts: Mapping[str, bytes]) -> tuple[bool, str]:
    """Return whether there is a fault, and the whole text that `check` prints."""
    found = check_texts(texts, PICTURES)
    return bool(found.faults), report.dress("text", report.Told(texts, found.faults, found.sheets, found.notes))


@cache
def untouched(engine: str) -> str:
    is_faulty, said = told(texts_for(engine))
    assert not is_faulty, said
    return said


def outcome(one: Mutation) -> tuple[str, str]:
    """Return what the check said, and what one without marks would have said: `fault`, `table` or `silent`."""
    is_faulty, said = told(mutated(one))
    if is_faulty:
        return "fault", "fault"
    before = untouched(one.engine)
    return tuple("table" if a != b else "silent" for a, b in ((said, before), (bare(said), bare(before))))  # type: ignore[return-value]


def bare(said: str) -> str:
    return MARK.sub("", said)


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sheet", choices=sorted(demo.library().engines))
    chosen = parser.parse_args(arguments).sheet
    silent, unmarked = [], 0
    print("| sheet | mutations | a fault | another worksheet, in the table | silent |\n| --- | --- | --- | --- | --- |")
    for engine in [chosen] if chosen else sorted(demo.library().engines):
        found = {one: outcome(one) for one in mutations(engine)}
        counts = Counter(now for now, _ in found.values())
        silent += [one for one, (now, _) in found.items() if now == "silent"]
        unmarked += sum(control == "silent" for _, control in found.values())
        print(f"| {engine} | {len(found)} | {counts['fault']} | {counts['table']} | {counts['silent']} |", flush=True)
    print(f"\nControl, a table without marks: {unmarked} silent.")
    for one in silent:
        print(f"SILENT: {one}")
    return 1 if silent or not unmarked else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
