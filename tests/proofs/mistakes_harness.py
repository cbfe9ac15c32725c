"""Make each mistake of tests/mistakes in a copy of the demo, and print what `check` says of it.

    python -m tests.proofs.mistakes_harness                 all of them
    python -m tests.proofs.mistakes_harness facts values    those of these files, or with these names

The columns: the mistake, where it is told first, what was said, its rating. The last lines count them. The controls
are checkers with one rule switched off: each must leave at least one mistake untold, or told in other words. Ends with
1 if a mistake is silent or told in other words than those that are kept, or if a control tells them all. `--keep`
prints an entry's words as they go into its file; read them before you keep them.
"""

from __future__ import annotations

import argparse
import sys
import textwrap
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any

from generator.check import library
from generator.compile import rules
from tests.mistakes.table import SILENT, Mistake, Told, mistakes, wrong

SAID = 110  # characters of a cell


def cell(text: str) -> str:
    line = " ".join(text.split()).replace("|", "/")
    return line if len(line) <= SAID else f"{line[: SAID - 3]}..."


def row(one: Mistake) -> tuple[str, str, str]:
    """Return a row of the table, what is wrong with it, and where the mistake was told."""
    told = one.told()
    fault = wrong(one, told)
    place, _, words = told.words.partition(": ")
    if told.where == "elsewhere" and not words:
        place, words = "the report", told.words
    said = words.split("\n")[0] or "nothing"
    cells = (cell(one.given["did"]), cell(place), cell(said), fault or one.rating)
    return f"| {' | '.join(cells)} |", fault, told.where


Rule = Callable[..., Any]
RULES: tuple[tuple[Any, str, Rule], ...] = (
    *((library, "_RULES", rule) for rule in library._RULES),
    *((rules, "RULES", rule) for rule in rules.RULES),
)


@contextmanager
def without(name: str) -> Iterator[None]:
    """Check without this rule. Raises StopIteration if there is no rule with the name."""
    module, table, rule = next(one for one in RULES if one[2].__name__ == name)
    all_rules = getattr(module, table)
    # The list is replaced where it is looked up, so that the checker itself needs no switch.
    holders = [each for each in map(sys.modules.get, HOLDERS) if getattr(each, table, None) is all_rules]
    for each in holders:
        setattr(each, table, tuple(one for one in all_rules if one is not rule))
    try:
        yield
    finally:
        for each in holders:
            setattr(each, table, all_rules)


HOLDERS = ("generator.check.library", "generator.compile", "generator.compile.rules")


def lost(name: str, among: Sequence[Mistake]) -> list[str]:
    """Return the mistakes that a checker without this rule leaves untold, tells in other words, or stumbles over."""
    with without(name):
        return [one.name for one in among if wrong(one, _told_or_silent(one))]


def _told_or_silent(one: Mistake) -> Told:
    """Return what is told. The rules that follow rely on the one that is switched off, so they may find no name."""
    try:
        return one.told()
    except KeyError:
        return SILENT


CONTROLS = ("words_of_the_trade_are_declared", "readers_are_people_of_the_shop", "nothing_left_open")
"""Rules that are switched off, one at a time: for words, for people, for what stays open."""


def chosen(names: Sequence[str]) -> list[Mistake]:
    """Return the entries with these names or in these files; all for none. Raises ValueError for an unknown name."""
    known = {name for one in mistakes() for name in (one.name, one.subject)}
    if unknown := sorted(set(names) - known):
        raise ValueError(f"There is no mistake and no file of them called: {', '.join(unknown)}.")
    return [one for one in mistakes() if not names or {one.name, one.subject} & set(names)]


def main(given: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("name", nargs="*")
    parser.add_argument("--keep", action="store_true")
    options = parser.parse_args(given)
    try:
        among = chosen(options.name)
    except ValueError as error:
        parser.error(str(error))
    if options.keep:
        for one in among:
            told = one.told()
            others = f"  others: {told.others}\n" if told.others else ""
            print(f"- name: {one.name}\n  told: |\n{textwrap.indent(told.words, '    ')}\n{others}")
        return 0
    print("| mistake | said at | what was said | rating |\n| --- | --- | --- | --- |")
    bad: list[str] = []
    places: Counter[str] = Counter()
    ratings: Counter[str] = Counter()
    for one in among:
        line, fault, where = row(one)
        print(line, flush=True)
        places[where] += 1
        ratings[one.rating] += not fault
        if fault:
            bad.append(f"{one.subject}, {one.name}: {fault}")
    controls_hold = all([_control(name, among) for name in CONTROLS]) if not options.name else True
    for fault in bad:
        print(f"BROKEN: {fault}")
    here = ", ".join(f"{places[where]} {where}" for where in ("at the line", "near it", "elsewhere"))
    print(
        f"{len(among)} mistakes: told {here} (each with a word why); {places['nowhere']} silent; {len(bad)} differ. "
        f"{ratings['clear']} rated clear, {ratings['fair']} fair."
    )
    return int(bool(bad) or not controls_hold)


def _control(name: str, among: Sequence[Mistake]) -> bool:
    gone = lost(name, among)
    print(f"Control, without the rule {name}: {len(gone)} lost{': ' + ', '.join(gone[:5]) if gone else ''}")
    return bool(gone)


if __name__ == "__main__":
    sys.exit(main())
