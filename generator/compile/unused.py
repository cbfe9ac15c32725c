"""What a procedure lists or explains, and no step has: told beside the worksheets.

A list of parts may have a spare one, and a word may stand in the value of another sheet. So neither is a fault.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from generator.check import Library
from generator.check.asked import steps_of
from generator.check.explained_words import has_word, told_in_words, words_of
from generator.compile.compose import Placed
from generator.compile.gates import rule_of
from generator.compile.includes import includes_of
from generator.compile.job_parts import InJobs
from generator.compile.rules import ResolvedJob
from generator.faults import Fault
from generator.faults.job import ListOfNoGate
from generator.faults.procedure import NeverTaken, WordNotThere
from generator.faults.result import RowOutOfLine
from generator.place import Place


def never_taken(library: Library, used: InJobs) -> Iterator[Fault]:
    """Yield a note for each part that a procedure of some job lists and none of its steps takes. Tools and consumables
    need no step: they are laid out before the work."""
    for name in sorted(used):
        procedure = library.procedures[name]
        taken = {part for _, step in steps_of(procedure.noun) for part in step.takes}
        inside = {outer for _, include in includes_of(procedure) for outer in include.known_as.values()}
        for part in procedure.noun.needs.parts:
            if part not in taken | inside:
                yield NeverTaken(procedure.key_place("needs", "parts", part), name, part)


def lists_of_no_gate(jobs: Iterable[ResolvedJob]) -> Iterator[Fault]:
    """Yield a note for each bolt list that something is put on and that no gate of any such job goes by."""
    first: dict[str, Place] = {}
    by_gates: set[str] = set()
    for job in jobs:
        rules = [rule for placed in job.steps if (rule := rule_of(placed, job.composed))]
        by_gates.update(name for rule in rules for name in rule.lists)
        for placed in job.steps:
            for index, item in enumerate(placed.step.opens):
                if item.list is not None and rules:
                    first.setdefault(item.list, placed.place("opens", index, "list"))
    yield from (ListOfNoGate(place, name) for name, place in first.items() if name not in by_gates)


def rows_out_of_line(library: Library) -> Iterator[Fault]:
    """Yield a note for each table of which one row alone breaks the run of its figures."""
    for name in sorted(library.tables):
        table = library.tables[name]
        ys = [float(row[1]) for row in table.noun.rows]
        at = _astray(ys)
        if at is not None:
            x, y = table.noun.rows[at]
            yield RowOutOfLine(table.place("rows", at), name, x, y)


def _astray(ys: list[float]) -> int | None:
    """Return which figure is the only one that breaks a run which rises or falls without it; None if none is. A single
    one at an end is told too; fewer than four figures are no run."""
    if len(ys) < 4 or _runs(ys):
        return None
    return next((at for at in range(len(ys)) if _runs(ys[:at] + ys[at + 1 :])), None)


def _runs(ys: list[float]) -> bool:
    steps = [after - before for before, after in pairwise(ys)]
    return all(step >= 0 for step in steps) or all(step <= 0 for step in steps)


def words_nowhere(jobs: Iterable[ResolvedJob]) -> Iterator[Fault]:
    """Yield a note for each word that a step explains and that neither it nor a value of any sheet has."""
    found: dict[Place, bool] = {}
    notes: dict[Place, Fault] = {}
    for job in jobs:
        for placed in job.steps:
            for word in placed.step.words:
                place = placed.scope.procedure.key_place(*placed.loc, "words", word)
                notes.setdefault(place, WordNotThere(place, f'step "{placed.step.id}"', word))
                found[place] = found.get(place, False) or _is_there(word, placed, job)
    yield from (note for place, note in notes.items() if not found[place])


def _is_there(word: str, placed: Placed, job: ResolvedJob) -> bool:
    """True if a worksheet's step has the word, or a value that its sheet leaves to the phone may have it."""
    values = placed.scope.procedure.noun.values
    if has_word(word, words_of(placed.step, values)):
        return True
    names = told_in_words(placed.step, values)
    given = [job.values.given.get(placed.scope.name(name)) for name in names]
    return any(value is None or value.missing is not None or has_word(word, value.text or "") for value in given)
