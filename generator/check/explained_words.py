"""The words that a step explains: whether any of its texts has them, and whether each has a drawing of its own."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from generator.check.asked import BRACES, steps_of
from generator.check.check_offs import named_by
from generator.check.checked import SourceFile
from generator.check.one_engine import fields_for
from generator.check.partial import PartialProcedure, PartialTrade
from generator.faults import Fault
from generator.faults import trade_word as faults
from generator.model import Inspect, Photo, Sign, Step, ValueNeed, Wait
from generator.place import Place

ValuesAsked = Mapping[str, ValueNeed | None]


def told_in_words(step: Step, values: ValuesAsked) -> list[str]:
    """Return the values that a step shows and a sheet tells in words, or may."""
    needs = {name: values[name] for name in _shown(step) if name in values}
    return [name for name, need in needs.items() if need is None or "text" in fields_for([need.kind])]


def _shown(step: Step) -> list[str]:
    texts = [name.strip() for text in (step.do, step.why or "") for name in BRACES.findall(text)]
    return [*step.sheet_says, *texts, *(name for _, name in named_by(step.check).values)]


def words_of(step: Step, values: ValuesAsked) -> str:
    """Return everything that a step says by itself, with the labels of its values, as one text."""
    said = [step.do, step.why or "", *(text for one in step.cautions for text in (one.hazard, one.harm, one.avoid))]
    said += [item.label or "" for item in step.opens]
    said += [need.label for name in _shown(step) if (need := values.get(name))]
    said += [step.if_failed.when, step.if_failed.say or ""] if step.if_failed else []
    match step.check:
        case Inspect():
            said += step.check.inspect.values()
        case Photo():
            said.append(step.check.photo)
        case Wait():
            said.append(step.check.say or "")
        case Sign():
            said.append(step.check.permit or "")
    return " ".join(said)


def has_word(term: str, text: str) -> bool:
    """True if a text has a term, in whatever capitals, as one or several, and with a word or two in between.

    >>> has_word("blind hole", "Dry every Blind holes."), has_word("nip up", "then nip it up"), has_word("pin", "spin")
    (True, True, False)
    """
    words = [re.escape(word.removesuffix("s")) for word in term.casefold().split()]
    between = r"\w*\W+(?:\w+\W+){0,2}"
    return bool(words) and re.search(rf"\b{between.join(words)}", text.casefold()) is not None


def check_drawings(
    trades: Iterable[SourceFile[PartialTrade]], procedures: Iterable[SourceFile[PartialProcedure]], certain: bool
) -> Iterator[Fault]:
    """Yield drawings of words that no step explains, and words that have none although the library draws words. A word
    is the same in whatever capitals. `certain` is false when a file is broken that may explain or draw any word."""
    explained: dict[str, tuple[Place, str, str]] = {}
    for source in procedures:
        for loc, step in steps_of(source.seen):
            for word in step.words:
                here = (source.key_place(*loc, "words", word), f'step "{step.id}"', word)
                explained.setdefault(word.casefold(), here)
    drawn: set[str] = set()
    for trade in trades:
        for word in trade.seen.drawings or {}:
            place, low = trade.key_place("drawings", word), word.casefold()
            if certain and low not in explained:
                yield faults.DrawnWordNowhere(place, word, tuple(sorted(explained)))
            drawn.add(low)
    if certain and drawn:
        for low, (place, thing, word) in explained.items():
            if low not in drawn:
                yield faults.WordNotDrawn(place, thing, word, tuple(sorted(drawn)))
