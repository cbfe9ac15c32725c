"""Nodes become nouns. Each mistake is reported once, where it is, in the words of the trade."""

from __future__ import annotations

import datetime
import random
import re
from collections.abc import Mapping

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from generator import model
from generator.check import Library, check, check_all
from generator.faults import Fault
from generator.faults.engine import CountMissing, NoValue, UnusedEngineValue, ValueWithoutSource, WrongFieldForKind
from generator.faults.fact import UndeclaredFact
from generator.faults.names import UnknownFailureMode
from generator.faults.procedure import SameStepTwice, UnknownValue, UnusedValue
from generator.faults.shape import (
    GuessedText,
    NotAQuantity,
    NotAWholeNumber,
    NotOneOf,
    NotYesNo,
    NumberWithoutUnit,
    TextTooLong,
    TwoStagesInOne,
    UnknownKey,
    UnknownUnit,
    WrongShape,
    WrongUnit,
)
from generator.faults.source import TabIndent, UnclosedQuote
from generator.inputs.read import read
from generator.quantities import quantity
from generator.site.build import check_texts
from tests.support.harness import (
    SHOP,
    assert_faults,
    cpu_seconds,
    engine,
    faults_of,
    full_file,
    names_of,
    procedure,
    stories,
    the_procedure,
)

FIT = "- {id: fit, do: Fit., check: {tighten: bolts}}"
TICK = "- {id: look, do: Look at it., check: tick}"
SOURCE = "source: {document: Manual, where: page 118, read: 2026-10-02, by: KS}"


def step(more: str) -> dict[str, str]:
    return procedure(f"- id: look\n  do: Look at it.\n  check: tick\n{more}")


# --- What is right ---------------------------------------------------------------------------------------------------


def test_a_shop_that_says_everything_once_has_no_fault() -> None:
    library, found = check_all(SHOP)
    assert found == []
    assert sorted(library.procedures) == ["cover", "fit-pump", "wipe"]
    assert list(library.engines) == ["inline-four"] and list(library.jobs) == ["2041"]
    assert library.shop is not None and library.shop.noun.shop == "quay"
    assert library.failure_modes is not None
    assert library.broken == frozenset() and library.files == tuple(sorted(SHOP))


def nouns_in(thing: object) -> list[model.Noun]:
    if isinstance(thing, model.Noun):
        return [thing, *nouns_in(list(thing.__dict__.values()))]
    below = thing.values() if isinstance(thing, dict) else thing if isinstance(thing, list) else ()
    return [noun for item in below for noun in nouns_in(item)]


def test_the_small_shop_writes_every_field_of_the_language() -> None:
    drawn = "trade: Drawings of words\ndrawings: {face: {file: face.svg, alt: The face of the pump}}\n"
    library, found = check_all({**SHOP, "procedures/words.yml": drawn})
    assert found == []
    held = [p for kept in (library.procedures, library.engines, library.jobs, library.tables) for p in kept.values()]
    written: dict[str, set[str]] = {}
    for noun in nouns_in([one.noun for one in [*held, library.shop, library.failure_modes] if one]):
        written.setdefault(type(noun).__name__, set()).update(noun.model_fields_set)
    # The library stores the words of the trade by name, without their noun.
    trade = library.trade
    written["Trade"] = {"trade", "facts"} if library.facts else set()
    for section in ("works_on", "roles", "kinds", "lists", "gates", "divisions", "drawings"):
        words = [word.means for word in getattr(trade, section).values()]
        written["Trade"] |= {section} if words else set()
        for noun in nouns_in(words):
            written.setdefault(type(noun).__name__, set()).update(noun.model_fields_set)
    kinds = model.Noun.__subclasses__()
    silent = {kind.__name__: set(kind.model_fields) - written.get(kind.__name__, set()) for kind in kinds}
    assert {name: fields for name, fields in silent.items() if fields} == {}


def test_fields_have_their_types() -> None:
    library, _ = check_all(SHOP)
    pump = library.procedures["fit-pump"].noun
    stage = pump.stages[0]
    assert isinstance(stage, model.Stage)
    kinds = [type(item.check).__name__ for item in stage.steps]
    assert kinds == ["Inspect", "Tighten", "Measure", "Wait", "Tighten", "Turn", "Photo", "Tick", "Sign"]
    assert pump.revision == 3 and pump.needs.parts["joint"] == "Joint of the pump"
    assert isinstance(pump.needs.parts["pump"], model.Part) and pump.needs.parts["pump"].one_time is True
    assert isinstance(pump.stages[1], model.Include) and pump.stages[1].known_as == {"cover": "cover_left"}
    assert stage.steps[1].closes == ["old_pump", model.CloseItem(what="rag", count=1)]
    assert isinstance(stage.steps[5].gate, model.Gate) and stage.steps[6].gate == "hand-turn"
    bolts = library.engines["inline-four"].noun.values["pump_bolts"]
    assert bolts.order == [1, 4, 2, 5, 3, 6]
    assert bolts.source is not None and bolts.source.read == datetime.date(2026, 10, 2)


def test_words_that_a_field_lists_are_taken_without_quotes() -> None:
    library, _ = check_all(SHOP)
    facts = library.engines["inline-four"].noun.facts
    assert facts == {"pump": "on-chain", "cylinders": "4", "long_block": "no"}
    stage = library.procedures["fit-pump"].noun.stages[0]
    assert isinstance(stage, model.Stage) and isinstance(stage.steps[0].check, model.Inspect)
    assert list(stage.steps[0].check.inspect) == ["yes", "no"]


def test_bytes_and_text_are_the_same() -> None:
    assert faults_of({path: text.encode() for path, text in SHOP.items()}) == []


# --- Places ----------------------------------------------------------------------------------------------------------


def spot(place: object) -> str:
    return str(place).removeprefix("procedures/fit-pump.yml:")


def test_any_part_can_be_pointed_at() -> None:
    pump = the_procedure(SHOP)
    lines = SHOP["procedures/fit-pump.yml"].splitlines()

    def under(*loc: str | int) -> str:
        place = pump.place(*loc)
        return lines[place.line - 1][place.column - 1 :]

    assert under("title") == "Fit the pump"
    assert under("stages", 0, "steps", 1, "opens", 0, "count").startswith("from pump_bolts")
    assert under("stages", 1, "known_as", "cover").startswith("cover_left")
    assert under("stages", 1, "as_").startswith("left"), "a key may be named as in the model"
    assert pump.key_place("stages", 1, "as_") == pump.key_place("stages", 1, "as")
    place = pump.key_place("values", "cure_time")
    assert lines[place.line - 1][place.column - 1 :].startswith("cure_time:")


def test_what_is_not_written_has_the_place_of_what_it_would_belong_to() -> None:
    pump = the_procedure(SHOP)
    assert pump.place("stages", 0, "steps", 0, "hold") == pump.place("stages", 0, "steps", 0)
    assert pump.key_place("stages", 0, "steps", 0, "hold") == pump.place("stages", 0, "steps", 0)
    assert pump.place("stages", 99, "steps") == pump.place("stages")
    assert spot(pump.place()) == "1:1"


# --- One cause, one message ------------------------------------------------------------------------------------------


def test_a_misspelled_key_is_not_missing_as_well() -> None:
    assert_faults(procedure("- {id: look, doo: Look at it., check: tick}"), UnknownKey)


def test_a_faulty_step_is_still_known_by_its_id() -> None:
    steps = f"- {{id: look, do: Look., check: tick, hold: maybe}}\n{TICK}"
    assert_faults(procedure(steps), NotYesNo, SameStepTwice)


def test_a_faulty_value_is_still_declared() -> None:
    source = procedure(
        "- {id: fit, do: Fit., check: {tighten: bolts}}", "values: {bolts: {kind: torc, label: Bolts}}\n"
    )
    assert_faults(source, NotOneOf)


def test_values_that_cannot_be_read_at_all_leave_their_users_alone() -> None:
    assert_faults(procedure(FIT, "values: [bolts]\n"), WrongShape)


def test_a_faulty_step_may_use_a_value_so_nothing_counts_as_unused() -> None:
    source = procedure("- {id: fit, do: Fit., check: {tighten: 5}}", "values: {bolts: {kind: torque, label: Bolts}}\n")
    assert_faults(source, GuessedText)


def test_a_job_of_a_broken_procedure_names_it_rightly() -> None:
    job = {"jobs/1.yml": 'job: "1"\nprocedure: fit-pump\nengine: inline-four\nvehicle: Blue van\n'}
    sheet = engine("wait: {time: 10 min, " + SOURCE + "}")
    broken = {"procedures/fit-pump.yml": "procedure: fit-pump\n\ttitle: x\n"}
    assert_faults({**broken, **sheet, **job}, TabIndent)
    assert_faults({**step("  hold: maybe"), **engine("{}"), **job}, NotYesNo)


def test_an_unreadable_procedure_may_ask_for_any_value() -> None:
    sheet = engine("pump_bolts: {torque: 10 N.m, " + SOURCE + "}")
    assert_faults({**sheet, "procedures/x.yml": "procedure: x\ntitle: 'x\n"}, UnclosedQuote)


def test_the_second_of_two_with_one_id_does_not_replace_the_first() -> None:
    first, second = step(""), step("  hold: yes")
    texts = {**first, "procedures/z/fit-pump.yml": second["procedures/fit-pump.yml"]}
    library, found = check_all(texts)
    assert names_of(found) == ["SameIdTwice"]
    assert library.procedures["fit-pump"].file == "procedures/fit-pump.yml"


def test_a_broken_source_is_kept_out_of_the_library_and_known_as_broken() -> None:
    library, found = check_all({**SHOP, **step("  hold: maybe")})
    assert "fit-pump" not in library.procedures and "fit-pump" in library.broken
    assert "cover" in library.procedures
    assert names_of(found)[0] == "NotYesNo"


def test_every_mistake_of_every_file_is_told_in_one_run() -> None:
    texts = {**step("  hold: maybe\n  in_hand: [press]\n  leave: lad"), "shop.yml": "shop: Quay\n", "x.yml": "a: [\n"}
    found = faults_of(texts)
    assert [(fault.place.file, type(fault).__name__) for fault in found] == [
        ("procedures/fit-pump.yml", "NotYesNo"),
        ("procedures/fit-pump.yml", "NotOneOf"),
        ("shop.yml", "MissingKey"),
        ("shop.yml", "BadId"),
        ("x.yml", "UnclosedBracket"),
    ]


# --- Shapes ----------------------------------------------------------------------------------------------------------


def fault_of(texts: Mapping[str, str | bytes]) -> Fault:
    found = faults_of(texts)
    assert len(found) == 1, names_of(found)
    return found[0]


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("  gate: stater", 'step "look" says gate: "stater", which no trade file declares under gates.'),
        ("  gate: {for: starter, kind: [pin]}", 'the gate of step "look" has an unknown key "kind".'),
        ("  closes: [{wat: rag}]", 'a closed item of step "look" has an unknown key "wat".'),
        (
            "  closes: [Rag]",
            'step "look" has "Rag" after "closes", but a name has only a-z, 0-9 and _, a letter first.',
        ),
        ("  if_failed: {back_to: fit}", 'if_failed of step "look" has no "when".'),
        ("  when: {engine: {drive: [belt, 010]}}", "010"),
        (
            "  opens: [{what: cap, kind: lid}]",
            'step "look" says kind: "lid", which no trade file declares under kinds.',
        ),
        ("  cautions: [watch out]", 'step "look" has a text after "cautions", but a group of keys goes there.'),
        ("  picture: {file: a.svg}", 'the picture of step "look" has no "alt".'),
        ("  words: {plug: [x]}", 'step "look" has a list after "plug", but a text goes there.'),
        ("  hold:", 'step "look" has nothing after "hold".'),
        ("  was: ''", 'step "look" has nothing after "was".'),
        ("  why: '  '", 'step "look" has nothing after "why".'),
        ("  catches:\n    -", 'step "look" has nothing after "catches".'),
    ],
)
def test_a_thing_is_named_as_a_mechanic_names_it(more: str, said: str) -> None:
    assert said in fault_of(step(more)).said


@pytest.mark.parametrize(
    ("check_off", "said"),
    [
        ("{inspect: [dry, wet]}", 'the check-off of step "fit" has a list after "inspect"'),
        ("{inspect: {Dry: Dry, wet: Wet}}", 'the check-off of step "fit" has "Dry" after "inspect"'),
        ("{sign: another}", 'the check-off of step "fit" has a signature, but does not say of what.'),
        ("{sign: another, permit: ''}", 'the check-off of step "fit" has nothing after "permit".'),
        ("{sign: another, of: []}", 'the check-off of step "fit" has an empty list "of".'),
        ("{sign: other, of: [x]}", '"other" after "sign"'),
        ("{sign: another, of: [x], self_check_after: 10}", 'has 10 after "self_check_after" without a unit'),
        ("{tick: tab}", 'the check-off of step "fit" has "tab" after "tick"'),
        ("{photo: [x]}", 'has a list after "photo", but a text goes there'),
        ("{wait: x, evry: y}", 'the check-off of step "fit" has an unknown key "evry".'),
        ("[tick]", 'step "fit" has a list after "check", but a group of keys goes there.'),
        ("{}", 'step "fit" has "" after "check", which is not a check-off.'),
        ("", 'step "fit" has nothing after "check".'),
    ],
)
def test_a_wrong_check_off_is_judged_as_the_one_that_was_meant(check_off: str, said: str) -> None:
    found = faults_of(procedure(f"- id: fit\n  do: Fit it.\n  check: {check_off}"))
    assert said in found[0].said
    assert len([fault for fault in found if not isinstance(fault, UnknownValue)]) == 1


def test_a_job_without_its_number_is_not_taken_for_a_procedure() -> None:
    fault = fault_of({"jobs/2041.yml": "procedure: fit-pump\nengine: inline-four\nvehicle: Blue van\n"})
    assert (fault.said, fault.write) == ('job has no "job".', 'Add, for example:  job: "2041"')


def test_an_include_with_a_slip_is_judged_as_an_include() -> None:
    texts = procedure("")["procedures/fit-pump.yml"].split("  - stage")[0] + "  - {inclde: cover, as: left}\n"
    fault = fault_of({"procedures/fit-pump.yml": texts})
    assert fault.said == 'include "left" has an unknown key "inclde".'


def test_missing_keys_are_told_at_the_start_of_what_lacks_them() -> None:
    found = faults_of(procedure("- {why: It weeps.}"))
    assert {(str(fault.place), type(fault).__name__) for fault in found} == {
        ("procedures/fit-pump.yml:7:9", "MissingKey")
    }
    assert [fault.said for fault in found] == ['step of stage "Fit" has no "id" and no "do" and no "check".']


def test_a_wrong_value_is_told_at_the_value_and_a_wrong_key_at_the_key() -> None:
    assert spot(fault_of(step("  hold: maybe")).place) == "10:15"
    assert spot(fault_of(step("  hodl: yes")).place) == "10:9"


@pytest.mark.parametrize("word", ["no", "on", "1:30", "010", "0x1f", "1e3", "~", "null", ".inf", "2026-01-01", "12"])
def test_what_yaml_would_guess_goes_in_quotes_where_a_text_is_wanted(word: str) -> None:
    assert isinstance(fault_of(step(f"  why: {word}")), GuessedText)
    assert faults_of(step(f'  why: "{word}"')) == []


@pytest.mark.parametrize("word", ["on", "true", "Yes", "010", "1:30", "1.0", "~"])
def test_facts_take_yes_no_and_plain_figures_only(word: str) -> None:
    assert isinstance(fault_of(step(f"  when: {{engine: {{drive: {word}}}}}")), GuessedText)


@pytest.mark.parametrize("figures", ["06", "6.0", "six", "+6", "1_000", "0x6", "-1", "1000000"])
def test_a_whole_number_is_written_in_plain_figures(figures: str) -> None:
    texts = {path: text.replace("revision: 1", f"revision: {figures}") for path, text in procedure(TICK).items()}
    assert isinstance(fault_of(texts), NotAWholeNumber)


@pytest.mark.parametrize(
    ("quantity", "kind", "advice"),
    [
        ("10", NumberWithoutUnit, "10 N.m"),
        ("10.50", NumberWithoutUnit, "10.50 N.m"),
        ("1,200 N.m", NotAQuantity, "torque: 1200 N.m  or  torque: 1.2 N.m"),
        ("1.234,5 N.m", NotAQuantity, "torque: 1234.5 N.m"),
        ("10-12 N.m", NotAQuantity, "one number"),
        ("010 N.m", NotAQuantity, "torque: 10 N.m"),
        ("ten N.m", NotAQuantity, "one number"),
        ("20 N.m then 90 deg", TwoStagesInOne, "then: [90 deg]"),
        ("20 N.m, + 90 deg", TwoStagesInOne, "then: [90 deg]"),
        ("10 n.m", UnknownUnit, '"N.m"'),
        ("10 bananas", UnknownUnit, "Write one of: N.m"),
        ("10 Nmm", UnknownUnit, "Write one of: N.m"),
        ("10 mkg", UnknownUnit, "Write one of: N.m"),
        ("10 ft*lb/s", UnknownUnit, "Write one of: N.m"),
        ("10 bar", WrongUnit, "Write one of: N.m"),
    ],
)
def test_a_torque_is_a_number_a_space_and_a_unit_of_torque(quantity: str, kind: type[Fault], advice: str) -> None:
    source = engine(f"bolts: {{torque: '{quantity}', {SOURCE}}}", "bolts: {kind: torque, label: Bolts}")
    fault = fault_of(source)
    assert isinstance(fault, kind)
    assert advice in fault.write


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("10 N.m", "10 N.m"), ("10 Nm", "10 N.m"), ("10N.m", "10 N.m"), ("10,5 N·m", "10.5 N.m"),
        ("7 ft-lb", "7 lbf.ft"), ("7 ftlb", "7 lbf.ft"), ("7 lb-ft", "7 lbf.ft"), ("72 in-lb", "72 lbf.in"),
        ("2.5 kgm", "2.5 kgf.m"), ("25 kgf.cm", "25 kgf.cm"), ("25 kgcm", "25 kgf.cm"),
    ],
)  # fmt: skip
def test_a_torque_may_be_spelled_as_people_do_and_is_kept_one_way(written: str, meant: str) -> None:
    source = engine(f"bolts: {{torque: '{written}', {SOURCE}}}", "bolts: {kind: torque, label: Bolts}")
    library, found = check_all(source)
    assert found == []
    assert library.engines["inline-four"].noun.values["bolts"].torque == quantity.written(meant)


@pytest.mark.parametrize(("key", "limit"), [("do", model.STEP_TEXT_LIMIT), ("why", model.STEP_TEXT_LIMIT)])
def test_a_text_fits_a_phone(key: str, limit: int) -> None:
    def text(length: int) -> dict[str, str]:
        more = "" if key == "do" else f"\n  {key}: {'x' * length}"
        return procedure(f"- id: look\n  check: tick\n  do: {'x' * length if key == 'do' else 'Look.'}{more}")

    assert faults_of(text(limit)) == []
    fault = fault_of(text(limit + 1))
    assert isinstance(fault, TextTooLong)
    assert (fault.length, fault.limit) == (limit + 1, limit)


def test_one_file_can_be_checked_by_itself() -> None:
    node, _ = read("shop: quay\ntitle: Quay\npeople: [{initials: KS, name: Kim S., role: lead}]\n", "shop.yml")
    assert node is not None
    checked, found = check(node, model.Shop)
    assert found == [] and checked is not None
    assert checked.noun.people[0].name == "Kim S." and str(checked.place("people", 0, "name")) == "shop.yml:3:31"
    nothing, found = check(node, model.Job)
    assert nothing is None and "UnknownKey" in names_of(found)


def test_a_list_where_a_file_of_keys_is_wanted_is_no_crash() -> None:
    node, _ = read("- a\n", "shop.yml")
    assert node is not None
    assert names_of(check(node, model.Shop)[1]) == ["WrongShape"]


# --- Values and includes ---------------------------------------------------------------------------------------------

INNER = "values:\n  bolts: {kind: torque, label: Bolts}\n"


def outer(include: str, header: str = "") -> dict[str, str]:
    text = f"procedure: service\ntitle: Service\nrevision: 1\n{header}stages:\n  - {include}\n"
    return {**procedure(FIT, INNER), "procedures/service.yml": text}


def test_a_value_may_be_used_by_an_included_procedure() -> None:
    declared = "values:\n  {}: {{kind: torque, label: Bolts, fastener: critical}}\n"
    assert_faults(outer("{include: fit-pump, as: a}", declared.format("bolts")))
    assert_faults(outer("{include: fit-pump, as: a, known_as: {bolts: bolts_left}}", declared.format("bolts_left")))
    assert_faults(outer("{include: fit-pump, as: a}", declared.format("other")), UnusedValue)


def test_an_engine_sheet_gives_values_under_the_names_that_includes_give_them() -> None:
    given = engine(f"bolts_left: {{torque: 10 N.m, reuse: yes, {SOURCE}}}")
    assert_faults({**outer("{include: fit-pump, as: a, known_as: {bolts: bolts_left}}"), **given})
    assert_faults({**outer("{include: fit-pump, as: a}"), **given}, UnusedEngineValue)


def test_the_kind_of_a_renamed_value_is_that_of_the_one_inside() -> None:
    given = engine(f"bolts_left: {{time: 10 min, {SOURCE}}}")
    texts = {**outer("{include: fit-pump, as: a, known_as: {bolts: bolts_left}}"), **given}
    assert_faults(texts, WrongFieldForKind)


def test_includes_that_go_round_in_a_circle_are_no_crash() -> None:
    texts = outer("{include: service, as: again}")
    given = engine(f"bolts: {{torque: 10 N.m, {SOURCE}}}")
    assert_faults({**texts, **given})


def test_a_clip_needs_no_value_but_a_count() -> None:
    asked = "clips: {kind: torque, label: Clips, fastener: clip}"
    assert_faults(engine("clips: {count: 4}", asked))
    assert_faults(engine("clips: {fastener: clip}", asked), CountMissing)


def test_a_missing_value_needs_no_source_and_no_count() -> None:
    assert_faults(engine("bolts: {missing: not in the manual}", "bolts: {kind: torque, label: Bolts}"))


def test_a_count_is_its_own_value_where_a_count_is_asked_for() -> None:
    assert_faults(engine(f"turns: {{count: 2, {SOURCE}}}", "turns: {kind: count, label: Turns}"))
    assert_faults(engine("turns: {count: 2}", "turns: {kind: count, label: Turns}"), ValueWithoutSource)
    assert_faults(engine(f"bolts: {{count: 2, {SOURCE}}}", "bolts: {kind: torque, label: Bolts}"), NoValue)


def test_without_any_list_of_failure_modes_one_message_says_so() -> None:
    steps = "- {id: a, do: A., check: tick, catches: [x, z]}\n- {id: b, do: B., check: tick, catches: [w]}"
    assert_faults(procedure(steps), UnknownFailureMode)


# --- Nothing makes it raise ------------------------------------------------------------------------------------------


def sound(texts: Mapping[str, str | bytes]) -> Library:
    """Check sources. No exception is raised, and every fault has a place in its file and two one-line sentences."""
    library, found = check_all(texts)
    for fault in found:
        text = texts[fault.place.file]
        lines = (text if isinstance(text, str) else text.decode("utf-8", "replace")).splitlines()
        assert 1 <= fault.place.line <= len(lines) + 1, fault
        assert fault.said and fault.write and "\n" not in fault.said + fault.write, fault
        ours = re.sub(r'"[^"]*"', "", fault.said + fault.write)  # the author wrote what is in quotes
        assert not re.search(r"\b(mapping|scalar|NoneType|dict|None)\b", ours), fault
    return library


PATHS = sorted(SHOP)
SCRAPS = [
    "",
    " ",
    "\t",
    ":",
    ": ",
    "- ",
    "[",
    "]",
    "{",
    "}",
    "'",
    '"',
    "#",
    "&a ",
    "*a",
    "!b ",
    "|",
    "\n",
    "no",
    "010",
    "é",
]


@settings(max_examples=250, deadline=None)
@given(st.sampled_from(PATHS), st.integers(0, 10**6), st.integers(0, 12), st.sampled_from(SCRAPS))
def test_a_source_with_a_piece_cut_out_and_another_put_in_never_raises(path: str, at: int, cut: int, put: str) -> None:
    text = SHOP[path]
    at %= len(text)
    sound({**SHOP, path: text[:at] + put + text[at + cut :]})


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(PATHS), st.randoms(use_true_random=False))
def test_a_source_with_its_lines_shuffled_dropped_and_indented_never_raises(path: str, chance: random.Random) -> None:
    lines = SHOP[path].splitlines()
    for _ in range(chance.randint(1, 4)):
        one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
        lines[one] = chance.choice([lines[other], "  " + lines[one], lines[one][2:], ""])
    sound({**SHOP, path: "\n".join(lines)})


WRONG = [
    None,
    "x",
    "no",
    10,
    1.5,
    True,
    [],
    {},
    [[]],
    [{}],
    {"a": {}},
    {"a": None},
    ["x", None],
    "x" * 500,
    "{",
    "{a b}",
    "Ä-ö",
]


def spots(thing: object) -> list[tuple[object, object]]:
    """Return every (container, key) in a tree of dicts and lists."""
    pairs: list[tuple[object, object]] = []
    items = thing.items() if isinstance(thing, dict) else enumerate(thing) if isinstance(thing, list) else ()
    for key, below in items:
        pairs += [(thing, key), *spots(below)]
    return pairs


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(PATHS), st.integers(0, 10**6), st.sampled_from(WRONG), st.booleans())
def test_a_thing_of_the_wrong_kind_anywhere_never_raises(path: str, at: int, wrong: object, drop: bool) -> None:
    tree = yaml.safe_load(SHOP[path])
    places = spots(tree)
    container, key = places[at % len(places)]
    if drop:
        del container[key]  # type: ignore[attr-defined]
    else:
        container[key] = wrong  # type: ignore[index]
    sound({**SHOP, path: yaml.safe_dump(tree, sort_keys=False)})


@pytest.mark.parametrize("header", ["needs:\n  tools: {press: Press}\n", ""])
def test_a_file_four_times_as_full_takes_four_times_as_long_to_check_right_or_wrong(header: str) -> None:
    few, many = (full_file(steps, header) for steps in (1000, 4000))
    assert len(faults_of(many)) == (0 if header else 4000)
    # Quadratic work takes 16 times as long. `make bench` prints the seconds.
    assert cpu_seconds(lambda: faults_of(many)) < 8 * cpu_seconds(lambda: faults_of(few))


@pytest.mark.parametrize(
    ("written", "told"),
    [
        ("second_reader: 1 min", []),
        ("second_reader: 24 h", []),
        ("", []),
        ("second_reader: 59 s", ["BreakOutOfRange"]),
        ("second_reader: 1441 min", ["BreakOutOfRange"]),
        ("second_reader: 10 mm", ["WrongUnit"]),
        ("second_reader: -10 min", ["BreakOutOfRange"]),
        ("second_reader: 10", ["NumberWithoutUnit"]),
        ("second_raeder: 10 min", ["UnknownKey"]),
    ],
)
def test_the_break_of_a_person_alone_holds_at_its_limits(written: str, told: list[str]) -> None:
    shop = SHOP["shop/shop.yml"].replace("second_reader: 15 min", written)
    assert [type(fault).__name__ for fault in faults_of({**SHOP, "shop/shop.yml": shop})] == told


# --- A check-off gets what it counts ---------------------------------------------------------------------------------

THE_OTHER_KIND = {story.name: story for story in stories()}["value-of-another-kind"].texts
CURE = b"cure: {text: until it is dry, "


def another_kind(changes: Mapping[bytes, bytes], given: bytes) -> list[str]:
    """The faults where the job is changed so, and the engine sheet says this of the value."""
    job, four = THE_OTHER_KIND["procedures/job.yml"], THE_OTHER_KIND["shop/engines/four.yml"]
    for old, new in changes.items():
        assert old in job
        job = job.replace(old, new)
    assert CURE in four
    texts = {**THE_OTHER_KIND, "procedures/job.yml": job}
    found = check_texts({**texts, "shop/engines/four.yml": four.replace(CURE, b"cure: {%s, " % given)}).faults
    return [f"{type(fault).__name__} {fault.place.file}" for fault in found]


FIRST = b"steps:\n      - {id: may-turn, do: Look., check: tick, gate: hand-turn}"
TURNED = {b"kind: time": b"kind: count", b"wait: cure": b"turn: cure", b"steps:": FIRST}
TIGHTENED = {b"kind: time": b"kind: torque", b"wait: cure": b"tighten: cure"}
MOVED = {b"{wait: cure}": b"{wait: rest, every: cure}", b"values: {": b"values: {rest: {kind: time, label: Rest}, "}
TOLD = ["ValueOfAnotherKind shop/engines/four.yml"]


@pytest.mark.parametrize(
    ("changes", "given", "told"),
    [
        ({}, b"text: until it is dry", TOLD),
        (MOVED, b"text: until it is dry", TOLD),
        (TURNED, b"text: twice", TOLD),
        (TIGHTENED, b"text: tight, count: 1", TOLD),
        ({}, b"time: 30 min", []),
        ({}, b"text: 30 min", []),  # a time that is told in words
        (MOVED, b"time: 30 min", []),
        (TURNED, b"count: 2", []),
        (TIGHTENED, b"torque: 20 N.m, count: 1", []),
        (TIGHTENED, b"angle: 90 deg, count: 1", []),
        # What fits no procedure has a fault of its own, and only that one.
        ({}, b"torque: 20 N.m", ["WrongFieldForKind shop/engines/four.yml"]),
        (TURNED, b"time: 30 min", ["WrongFieldForKind shop/engines/four.yml"]),
    ],
)
def test_a_check_off_gets_what_it_counts(changes: Mapping[bytes, bytes], given: bytes, told: list[str]) -> None:
    assert another_kind(changes, given) == told


def test_a_count_is_what_neither_a_wait_nor_a_tightening_needs() -> None:
    """It is a value by itself, so no other field of the sheet's value is written."""
    counted = {path: text.replace(b"kind: text", b"kind: count") for path, text in THE_OTHER_KIND.items()}
    given = {path: text.replace(b"text: until it is dry", b"count: 2") for path, text in counted.items()}
    for changes in ({}, TIGHTENED):
        job = given["procedures/job.yml"]
        for old, new in changes.items():
            job = job.replace(old, new)
        found = check_texts({**given, "procedures/job.yml": job}).faults
        assert [f"{type(fault).__name__} {fault.place.file}" for fault in found] == TOLD


def test_a_value_that_is_missing_is_asked_for_and_no_fault() -> None:
    four = b"engine: four\ntitle: Four\nrevision: 1\nfacts: {layout: inline}\nvalues:\n  cure: {missing: not there}\n"
    assert check_texts({**THE_OTHER_KIND, "shop/engines/four.yml": four}).faults == ()


# --- What cannot be read is told once, and nothing that only follows from it -----------------------------------------

FOLLOWS = {
    "readings": ("readings: [gap]\n", "do: 'Look at {gap}.'"),
    "results": ("results: [gap]\n", "do: 'Look at {gap}.'"),
    "tools": ("needs: {tools: [press]}\n", "do: Press.\n  in_hand: [press]"),
    "parts": ("needs: {parts: [joint]}\n", "do: Fit.\n  takes: [joint]"),
    "consumables": ("needs: {consumables: [rag]}\n", "do: Wipe.\n  takes: [rag]"),
}


@pytest.mark.parametrize("group", FOLLOWS)
def test_a_name_is_not_called_unknown_while_its_group_cannot_be_read(group: str) -> None:
    header, step_text = FOLLOWS[group]
    assert_faults(procedure(f"- id: look\n  {step_text}\n  check: tick", header), WrongShape)


@pytest.mark.parametrize("group", FOLLOWS)
def test_a_name_is_called_unknown_where_its_group_can_be_read(group: str) -> None:
    assert len(faults_of(procedure(f"- id: look\n  {FOLLOWS[group][1]}\n  check: tick"))) == 1


@pytest.mark.parametrize(("kind", "thing"), [("engine", "sheet"), ("procedure", "procedure")])
def test_a_thing_whose_id_is_wrong_is_named_as_it_is_written(kind: str, thing: str) -> None:
    said = {"engine": "facts: {colour: red}\nvalues: {}", "procedure": "fits: {colour: red}\nstages: []"}[kind]
    facts = {"facts.yml": "trade: Facts\nfacts: {drive: {belt: A belt.}}"}
    found = faults_of({**facts, "Bad.yml": f"{kind}: Bad Id\ntitle: A thing\nrevision: 1\n{said}\n"})
    assert [fault.said for fault in found if isinstance(fault, UndeclaredFact)] == [
        f'{thing} "Bad Id" says colour, but no trade file declares that fact.'
    ]
