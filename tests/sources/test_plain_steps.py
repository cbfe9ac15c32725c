"""How the library's steps are written: what a person with dirty hands can read at one glance.

The house rules for texts (docs/guide/writing-procedures.md). An instruction begins with a verb, an inspection may be a
question. It has at most 140 characters before values and at most three short sentences. What a sheet says in words
stands on a line of its own (`sheet_says`), because nobody knows how it reads inside a sentence.

And how its questions are written, which somebody who learns the job asks himself before a stage: three of them, short,
each of them open, one for a reason, one for what to do in a case, and one for what can hurt you there.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator

import pytest

from generator.check.check_offs import named_by
from generator.check.one_engine import fields_for
from generator.model import Caution, Inspect, Photo, Procedure, Question, Result, Stage, Step
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

IN_A_STAGE, MOST_ASKED, MOST_ANSWERED = 3, 140, 160
# Of the last sentence of a question. One that begins with a verb could be answered by yes or no.
OPEN = re.compile(r"(What|Why|Where|When|Which|Who|How)\b")
FOR_A_FIGURE = re.compile(r"\b(how (many|much|hot|cold)|(what|which) (figure|torque|value))\b", re.IGNORECASE)
FOR_A_REASON = re.compile(r"\bwhy\b|\bwhat (happens|goes wrong)\b|\b(can|could|would)\b", re.IGNORECASE)
IN_A_CASE = re.compile(r"What do you do\b")
# A caution is named by a word of four letters or more. These stand in nearly every text and name none.
_EVERYDAY = """
away back been before belt beside both bolt come coolant crank does each engine every from goes hand have here
hold into itself just keep look never nobody once only other over part right sheet side step stay still such
take than that them then there they this turn until what when where which while whoever with without work
wrong your
"""
OF_ITS_WORDS = 3
EVERYDAY = frozenset(word.removesuffix("s") for word in _EVERYDAY.split())


def steps() -> Iterator[tuple[str, Step]]:
    for name in sorted(PROCEDURES):
        for part in PROCEDURES[name].stages:
            if isinstance(part, Stage):
                yield from ((f"{name}/{step.id}", step) for step in part.steps)


def stages() -> Iterator[tuple[str, Stage]]:
    for name in sorted(PROCEDURES):
        found = (part for part in PROCEDURES[name].stages if isinstance(part, Stage))
        yield from ((f"{name}/{stage.stage}", stage) for stage in found)


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
    if step.if_failed and (step.if_failed.say or "").startswith("Stop.") and not step.if_failed.back_to:
        found.append("says stop twice")  # paper says it by itself where there is no way back
    if word not in VERBS and not asks:
        found.append(f'begins with "{word}"')
    if len(step.do) > MOST_CHARACTERS:
        found.append(f"{len(step.do)} characters")
    if len(sentences) > MOST_SENTENCES:
        found.append(f"{len(sentences)} sentences")
    found += [f"{len(one.split())} words in one sentence" for one in sentences if len(one.split()) > MOST_WORDS]
    return found


def words_of(text: str) -> frozenset[str]:
    """Return the words of a text that can name a danger, each without the s at its end."""
    return frozenset(word.removesuffix("s") for word in re.findall(r"[a-z]{4,}", text.lower())) - EVERYDAY


def gravest(stage: Stage) -> list[Caution]:
    """Return the dangers of a stage and its steps. Without a danger the warnings, without either nothing."""
    told = [*stage.cautions, *(caution for step in stage.steps for caution in step.cautions)]
    found = ([caution for caution in told if caution.level == level] for level in ("danger", "warning"))
    return next((cautions for cautions in found if cautions), [])


def is_about(question: Question, caution: Caution) -> bool:
    """Return whether a question is about a caution: it names one of its words, its answer another, both together three.
    So it does not only mention the thing. Its answer says what the thing does, or how to keep away from it."""
    named = words_of(f"{caution.hazard} {caution.harm} {caution.avoid}")
    asked, answered = named & words_of(question.ask), named & words_of(question.answer)
    return bool(asked and answered - asked) and len(asked | answered) >= OF_ITS_WORDS


def broken_rules_of_asking(question: Question) -> list[str]:
    """Return which rules for one question and its answer these two break."""
    ask, answer, both = question.ask, question.answer, f"{question.ask} {question.answer}"
    asked = SENTENCE.split(ask)[-1]
    rules = {
        "begins small": not ask[0].isupper(),
        "has no question mark at its end": not ask.endswith("?"),
        "can be answered by yes or no": not OPEN.match(asked),
        "asks for a figure": bool(FOR_A_FIGURE.search(ask)),
        "asks too long": len(ask) > MOST_ASKED,
        "answers too long": len(answer) > MOST_ANSWERED,
        "answers in too many sentences": len(SENTENCE.split(answer)) > MOST_SENTENCES,
        "has a semicolon": ";" in both,
        "sends the reader back": bool(SENT_BACK.search(both)),
        "says what nobody says": bool(NOT_SAID.search(both)),
    }
    return [f"{rule}: {ask}" for rule, broken in rules.items() if broken]


def broken_rules_of_a_stage(stage: Stage) -> list[str]:
    """Return which rules for its questions a stage breaks."""
    questions, dangers = stage.questions, gravest(stage)
    asked = [SENTENCE.split(question.ask) for question in questions]
    rules = {
        f"{len(questions)} questions": len(questions) != IN_A_STAGE,
        "none asks for a reason": not any(FOR_A_REASON.search(one[-1]) for one in asked),
        "none asks what to do in a case": not any(len(one) > 1 and IN_A_CASE.match(one[-1]) for one in asked),
        "none is about what can hurt there": bool(dangers)
        and not any(is_about(question, danger) for question in questions for danger in dangers),
    }
    found = [rule for rule, broken in rules.items() if broken]
    return found + [rule for question in questions for rule in broken_rules_of_asking(question)]


def asked_twice(stages: Iterable[Stage]) -> list[str]:
    """Return each question that stands more than once, whatever its capitals and its commas."""
    asked = Counter(" ".join(re.findall(r"\w+", one.ask.lower())) for stage in stages for one in stage.questions)
    return sorted(ask for ask, times in asked.items() if times > 1)


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


def test_a_failed_step_does_not_say_stop_twice() -> None:
    failed = {"when": "b", "outcomes": ["b"], "say": "Stop. Call the shop lead."}
    step = {"id": "x", "do": "Look at it.", "check": {"inspect": {"a": "A", "b": "B"}}, "if_failed": failed}
    assert broken_rules(Step.model_validate(step)) == ["says stop twice"]
    assert broken_rules(Step.model_validate({**step, "if_failed": {**failed, "back_to": "w"}})) == []


def test_every_stage_has_three_good_questions() -> None:
    found = {path: broken for path, stage in stages() if (broken := broken_rules_of_a_stage(stage))}
    assert found == {}


def test_no_question_is_asked_twice() -> None:
    assert asked_twice(stage for _, stage in stages()) == []


_GOOD = (
    ("The bar slips. What do you do?", "Stop. Put it on again."),
    ("What can a spring do to your face?", "It jumps out. Wear goggles."),
    ("Where does the pin go?", "Right through both holes."),
)


def toy_stage(*asked: tuple[str, str], level: str = "warning") -> Stage:
    caution = {"level": level, "hazard": "A spring.", "harm": "It jumps into a face.", "avoid": "Goggles on."}
    step = {"id": "x", "do": "Fit it.", "check": "tick", "cautions": [caution]}
    questions = [{"ask": ask, "answer": answer} for ask, answer in asked]
    return Stage.model_validate({"stage": "Fit", "steps": [step], "questions": questions})


@pytest.mark.parametrize(
    ("at", "ask", "answer", "rule"),
    [
        (0, "The bar slips, so stop at once.", "Yes.", "none asks what to do in a case"),
        (0, "What do you do?", "Stop.", "none asks what to do in a case"),
        (1, "Where is the spring?", "Goggles on, it jumps.", "none asks for a reason"),
        (1, "What can the spring do?", "It is under tension.", "none is about what can hurt there"),
        (1, "What can the spring do?", "It jumps.", "none is about what can hurt there"),
        (1, "What can happen?", "The spring jumps into your face.", "none is about what can hurt there"),
        (2, "where does the pin go?", "In.", "begins small: where does the pin go?"),
        (2, "Say where the pin goes.", "In.", "has no question mark at its end: Say where the pin goes."),
        (2, "You are done. Is the pin in?", "Yes.", "can be answered by yes or no: You are done. Is the pin in?"),
        (2, "How many pins go in?", "Two.", "asks for a figure: How many pins go in?"),
        (2, "Where " + "very " * 30 + "far?", "In.", "asks too long: Where " + "very " * 30 + "far?"),
        (2, "Where to?", "In " + "very " * 31 + "far.", "answers too long: Where to?"),
        (2, "Where to?", "In. Out. In. Out.", "answers in too many sentences: Where to?"),
        (2, "Where to?", "In; then out.", "has a semicolon: Where to?"),
        (2, "Where to?", "Otherwise out.", "sends the reader back: Where to?"),
        (2, "Where to?", "It is owed.", "says what nobody says: Where to?"),
    ],
)
def test_the_rules_find_a_question_that_is_not_good(at: int, ask: str, answer: str, rule: str) -> None:
    asked = list(_GOOD)
    asked[at] = (ask, answer)
    stage = toy_stage(*_GOOD)
    assert broken_rules_of_a_stage(stage) == []
    toy = [Question.model_construct(ask=ask, answer=answer) for ask, answer in asked]
    assert rule in broken_rules_of_a_stage(stage.model_copy(update={"questions": toy}))


def test_the_rules_find_a_stage_with_a_question_too_few_and_one_asked_twice() -> None:
    assert broken_rules_of_a_stage(toy_stage(*_GOOD[:2])) == ["2 questions"]
    assert broken_rules_of_a_stage(toy_stage(*_GOOD, _GOOD[2])) == ["4 questions"]
    again = ("The bar slips: what do YOU do?", "Stop.")
    assert asked_twice([toy_stage(*_GOOD), toy_stage(again)]) == ["the bar slips what do you do"]


def test_a_question_is_about_the_gravest_caution_of_its_stage() -> None:
    harmless = toy_stage(("Where to?", "In."), level="notice")
    assert "none is about what can hurt there" not in broken_rules_of_a_stage(harmless)
    worse = Caution.model_validate({"level": "danger", "hazard": "Gas.", "harm": "It kills.", "avoid": "Open doors."})
    stage = toy_stage(*_GOOD).model_copy(update={"cautions": [worse]})
    assert broken_rules_of_a_stage(stage) == ["none is about what can hurt there"]
