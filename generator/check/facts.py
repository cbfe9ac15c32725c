"""Facts: each is declared once with its words, and every source uses only declared words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from generator.check.asked import Procedures, includes_of, steps_of
from generator.check.checked import Checked, Declared, FileNodes, Loc, SourceFile
from generator.check.partial import (
    AnyProcedure,
    PartialEngine,
    PartialFailureModes,
    PartialProcedure,
    PartialShop,
    PartialTrade,
    Seen,
    held,
)
from generator.faults import Fault
from generator.faults import fact as factfaults
from generator.model import Procedure, When
from generator.place import Place

DeclaredFacts = Mapping[str, Declared]
Wanted = str | Sequence[str | None] | None
"""What is said of one fact: a word, or any of a list. What could not be read is None."""


@dataclass(frozen=True)
class FactUse:
    """One word of one fact, where a source states it or asks for it."""

    thing: str
    fact: str
    word: str
    key_place: Place
    place: Place


def declared(sources: Iterable[SourceFile[PartialTrade]]) -> tuple[dict[str, Declared], list[Fault]]:
    """Return all facts of these files. Of a fact that is declared twice the first counts, and one without words is a
    fault."""
    out: dict[str, Declared] = {}
    wrong: list[Fault] = []
    for source in sources:
        for name, words in (source.seen.facts or {}).items():
            place = source.key_place("facts", name)
            if name in out:
                wrong.append(factfaults.FactTwice(place, name, str(out[name].place)))
                continue
            out[name] = Declared({w: said for w, said in (words or {}).items() if said is not None}, place)
            if words is not None and not words:
                wrong.append(factfaults.FactWithoutWords(place, name))
    return out, wrong


def wrong_uses(uses: Iterable[FactUse], facts: DeclaredFacts) -> Iterator[Fault]:
    """Yield words and facts that are not declared. A fact without words has its own fault."""
    for use in uses:
        known = facts.get(use.fact)
        if known is None:
            yield factfaults.UndeclaredFact(use.key_place, use.thing, use.fact, use.word, tuple(facts))
        elif known.words and use.word not in known.words:
            yield factfaults.UnknownFactWord(use.place, use.thing, use.fact, use.word, tuple(known.words.items()))


def uses_of(source: SourceFile[Seen]) -> Iterator[FactUse]:
    """Yield every fact that a source states (an engine, a shop) or asks for (a procedure, a failure mode), word by
    word."""
    match source.seen:
        case PartialShop() as shop:
            yield from _uses(source, "the shop", shop.facts, ("facts",))
        case PartialEngine() as engine:
            yield from _uses(source, f'sheet "{source.id}"', engine.facts, ("facts",))
        case PartialProcedure() as procedure:
            yield from _uses(source, f'procedure "{source.id}"', procedure.fits, ("fits",))
            for thing, when, loc in _conditions(procedure):
                yield from _uses(source, thing, when.engine, (*loc, "engine"))
        case PartialFailureModes() as modes:
            for at, row in held(modes.failure_modes):
                yield from _uses(source, f'failure mode "{row.row}"', row.engine, ("failure_modes", at, "engine"))


def never_true(source: Checked[Procedure], procedures: Procedures) -> Iterator[Fault]:
    """Yield conditions that `fits:` of the procedure, or of the one it includes, rules out, and empty lists."""
    name, fits = source.noun.procedure, source.noun.fits
    for fact, wanted in fits.items():
        if wanted == []:
            place = source.place("fits", fact)
            yield factfaults.NeverTrue(place, f'procedure "{name}"', fact, (), name, ())
    for thing, when, loc in _conditions(source.noun):
        for fact, wanted in when.engine.items():
            if not set(choices(wanted)) & set(choices(fits.get(fact, wanted))):
                place = source.place(*loc, "engine", fact)
                fit = choices(fits.get(fact, []))
                yield factfaults.NeverTrue(place, thing, fact, choices(wanted), name, fit)
    for loc, include in includes_of(source.noun):
        inner = procedures.get(include.include)
        asked = include.when.engine if include.when else {}
        for fact, made_for in ((inner.fits if inner else None) or {}).items():
            fit = choices(made_for)
            if fact in asked and fit and not set(choices(asked[fact])) & set(fit):
                place = source.place(*loc, "when", "engine", fact)
                thing = f'include "{include.as_ or include.include}"'
                yield factfaults.NeverTrue(place, thing, fact, choices(asked[fact]), include.include, fit)


def choices(wanted: Wanted) -> tuple[str, ...]:
    """Return the words a condition accepts: one, or any of a list."""
    return (wanted,) if isinstance(wanted, str) else tuple(word for _, word in held(wanted))


def _conditions(procedure: AnyProcedure) -> Iterator[tuple[str, When, Loc]]:
    for loc, include in includes_of(procedure):
        if include.when:
            yield f'include "{include.as_ or include.include}"', include.when, (*loc, "when")
    for loc, step in steps_of(procedure):
        if step.when:
            yield f'step "{step.id}"', step.when, (*loc, "when")


def _uses(source: FileNodes, thing: str, said: Mapping[str, Wanted] | None, loc: Loc) -> Iterator[FactUse]:
    for fact, wanted in (said or {}).items():
        key = source.key_place(*loc, fact)
        if isinstance(wanted, str):
            yield FactUse(thing, fact, wanted, key, source.place(*loc, fact))
        else:
            for at, word in held(wanted):
                yield FactUse(thing, fact, word, key, source.place(*loc, fact, at))
