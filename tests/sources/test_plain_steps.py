"""How the library's steps are written: what a person with dirty hands can read at one glance.

The house rules for texts (docs/guide/writing-procedures.md). An instruction begins with a verb, an inspection may be a
question. It has at most 140 characters before values and at most three short sentences. What a sheet says in words
stands on a line of its own (`sheet_says`), because nobody knows how it reads inside a sentence.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from generator.check.check_offs import named_by
from generator.check.one_engine import fields_for
from generator.model import Inspect, Photo, Procedure, Result, Stage, Step
from generator.richtext import names_in
from tests.support import demo

PROCEDURES: dict[str, Procedure] = {name: source.noun for name, source in demo.library().procedures.items()}

_IMPERATIVES = """
Add Agree Ask Back Bleed Bolt Bring Brush Catch Check Chock Choose Clamp Clean Clear Close Cock Compare Connect
Count Cover Crack Decide Disconnect Do Drain Draw Drive Drop Dry Ease Empty Enter Feel Fill Find Fit Fold
Follow Free Get Give Go Hang Hold Hook Keep Lay Leave Let Lever Lift Line Listen Load Lock Look Loosen Lower
Lubricate Make Mark Measure Mix Move Note Open Paint Park Photograph Pin Place Pluck Plug Point Pour Press Probe
Prove Pull Pump Push Put Raise Read Reconnect Record Refit Refuse Release Remove Replace Rest Ring Rock Roll
Run Say Seat See Select Set Shake Shine Show Shut Slacken Slide Spin Spray Squeeze Stand Start Stir Stop Store
Support Swing Switch Tag Take Tap Teach Tell Test Throw Tie Tighten Tip Top Touch Trace Trap Tug Turn Twist Undo
Unhook Unlock Unplug Use Wait Walk Warm Wash Watch Wear Weigh Wind Wipe Work Write
"""
VERBS = frozenset(_IMPERATIVES.split())
_ASKING = "Are Can Did Do Does Has Have How Is What Where Which Who"
QUESTIONS = frozenset(_ASKING.split())
MOST_CHARACTERS, MOST_SENTENCES, MOST_WORDS = 140, 3, 18
MOST_IN_AN_ANSWER = 48
# They send the reader back to what he has read, or are said by nobody who holds a spanner.
SENT_BACK = re.compile(
    r"\b(the same|otherwise|likewise|ditto|as above|see above|the former|the latter)\b", re.IGNORECASE
)
NOT_SAID = re.compile(r"\b(owed|sigh|parted|well away|at hand|thereupon|hereby)\b", re.IGNORECASE)
# "Pump off, bolts counted": many verbs are things as well.
NOUN_FIRST = re.compile(r"\W*\w+ (?:on|off|in|out|up|down|away|home)\b\s*[,.;:]")
SENTENCE = re.compile(r"(?<=[.?!])\s+")


def steps() -> Iterator[tuple[str, Step]]:
    for name in sorted(PROCEDURES):
        for part in PROCEDURES[name].stages:
            if isinstance(part, Stage):
                yield from ((f"{name}/{step.id}", step) for step in part.steps)


def texts(procedure: Procedure) -> Iterator[str]:
    """Yield every text of a procedure that somebody reads at work."""
    yield from (procedure.title, procedure.why or "")
    yield from (need.label for need in [*procedure.values.values(), *procedure.readings.values()] if need)
    for result in procedure.results.values():
        if isinstance(result, Result):
            yield from (result.label or "", result.why or "")
            for limit in result.limits:
                yield from (limit.verdict, limit.say or "", limit.do or "")
    for part in procedure.stages:
        if isinstance(part, Stage):
            yield from (part.stage, part.why or "")
            yield from _cautions(part)
            for step in part.steps:
                yield from _of_step(step)


def _of_step(step: Step) -> Iterator[str]:
    yield from (step.do, step.why or "", *step.words.values())
    yield from _cautions(step)
    yield from (item.label or "" for item in step.opens)
    if step.if_failed:
        yield from (step.if_failed.when, step.if_failed.say or "")
    if isinstance(step.check, Inspect):
        yield from step.check.inspect.values()
    if isinstance(step.check, Photo):
        yield step.check.photo


def _cautions(at: Stage | Step) -> Iterator[str]:
    for caution in at.cautions:
        yield from (caution.hazard, caution.harm, caution.avoid)


def broken_rules(step: Step) -> list[str]:
    """Return which rules for an instruction this one breaks."""
    sentences = SENTENCE.split(step.do.strip())
    first = re.match(r"\W*(\w+(?:-\w+)?)", step.do)
    word = first[1] if first else ""
    asks = isinstance(step.check, Inspect) and word in QUESTIONS and sentences[0].endswith("?")
    found = []
    if NOUN_FIRST.match(step.do):
        found.append("a thing stands first, and no verb")
    if word not in VERBS and not asks:
        found.append(f'begins with "{word}"')
    if len(step.do) > MOST_CHARACTERS:
        found.append(f"{len(step.do)} characters")
    if len(sentences) > MOST_SENTENCES:
        found.append(f"{len(sentences)} sentences")
    found += [f"{len(one.split())} words in one sentence" for one in sentences if len(one.split()) > MOST_WORDS]
    return found


def in_words(procedure: Procedure, step: Step) -> list[str]:
    """Return the values in a step's sentences that a sheet says in words, or that its check-off shows as well."""
    shown = {name for _, name in named_by(step.check).values} | {*step.sheet_says}
    names = {*names_in(step.do), *names_in(step.why or "")} & set(procedure.values)
    return sorted(name for name in names if name in shown or "text" in fields_for([procedure.values[name].kind]))


def test_every_instruction_is_short_and_begins_with_a_verb() -> None:
    assert {path: found for path, step in steps() if (found := broken_rules(step))} == {}


def test_what_a_sheet_says_in_words_is_on_a_line_of_its_own() -> None:
    found = {path: in_words(PROCEDURES[path.partition("/")[0]], step) for path, step in steps()}
    assert {path: names for path, names in found.items() if names} == {}


def test_no_text_has_a_semicolon_or_sends_the_reader_back() -> None:
    bad = [
        (name, text)
        for name in sorted(PROCEDURES)
        for text in texts(PROCEDURES[name])
        if ";" in text or SENT_BACK.search(text) or NOT_SAID.search(text)
    ]
    assert bad == []


def test_answers_are_short_and_no_two_of_one_question_begin_alike() -> None:
    for path, step in steps():
        if isinstance(step.check, Inspect):
            labels = list(step.check.inspect.values())
            assert max(map(len, labels)) <= MOST_IN_AN_ANSWER, path
            assert len({label.lower() for label in labels}) == len(labels), path


@pytest.mark.parametrize(
    ("do", "rule"),
    [
        ("Battery off, earth first.", 'begins with "Battery"'),
        ("Is the belt whole", 'begins with "Is"'),
        ("Pump off, bolts counted.", "a thing stands first, and no verb"),
        ("Clamp on. Look again.", "a thing stands first, and no verb"),
        ("Turn " + "very " * 30 + "slowly.", "162 characters"),
        ("Turn it. Stop. Look. Go on.", "4 sentences"),
    ],
)
def test_the_rules_find_what_they_forbid(do: str, rule: str) -> None:
    step = Step.model_validate({"id": "x", "do": do, "check": {"inspect": {"a": "A", "b": "B"}}})
    assert rule in broken_rules(step)
    assert not broken_rules(step.model_copy(update={"do": "Is the belt whole?"}))
