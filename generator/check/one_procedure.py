"""Rules of one procedure by itself: its steps' ids, and the values, tools and outcomes that they name."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping

from generator.check.asked import BRACES, AskedValues, includes_of, stages_of, steps_of
from generator.check.check_offs import named_by
from generator.check.checked import Loc, SourceFile
from generator.check.explained_words import has_word, told_in_words, words_of
from generator.check.nouns import texts_of
from generator.check.partial import PartialProcedure, PartialStage, held
from generator.check.result_formulas import GIVENS
from generator.faults import Fault, excerpt
from generator.faults import procedure as faults
from generator.faults import result as resultfaults
from generator.faults import shape as shapefaults
from generator.inputs.read import ListNode, MapNode, Node, ScalarNode
from generator.model import Borrowed, Inspect, Reading, Result, Stage, ValueNeed, Wait
from generator.place import Place
from generator.quantities.possible_ranges import LIMITS, can_be_read, is_possible, said_range, two_readings
from generator.quantities.quantity import Quantity
from generator.quantities.units import KINDS, UNITS

SHOWS_VALUES = ("do", "why")
# Values that check-offs use: the key, the attribute of the noun, the kinds that fit.
KINDS_FOR: dict[str, tuple[str, ...]] = {
    "tighten": ("torque", "angle"),
    "wait": ("time",),
    "every": ("time",),
    "turn": ("count",),
}


class ProcedureUnderCheck:
    """One procedure being checked, whole or faulty. A group that is written but could not be read is None: then no
    name can be called unknown. Of a faulty procedure nothing counts as unused."""

    def __init__(self, source: SourceFile[PartialProcedure], includes: AskedValues) -> None:
        self.source, self.seen, self.includes = source, source.seen, includes
        self.values = source.seen.values
        self.readings = source.seen.readings
        self.results = source.seen.results

    def place(self, *loc: str | int) -> Place:
        return self.source.place(*loc)


def names_of(*groups: Mapping[str, object] | None) -> tuple[str, ...] | None:
    """Return the names that groups declare, in the order written; None if one cannot be read and may have any name."""
    read = [group for group in groups if group is not None]
    return tuple(dict.fromkeys(name for group in read for name in group)) if len(read) == len(groups) else None


def check_procedure(source: SourceFile[PartialProcedure], includes: AskedValues) -> Iterator[Fault]:
    """Yield the faults of one procedure. `includes` is what the procedures it includes ask for."""
    look = ProcedureUnderCheck(source, includes)
    for rule in RULES:
        yield from rule(look)


# --- Rules, in reading order ------------------------------------------------------------------------------------------


def ids_are_one_steps(look: ProcedureUnderCheck) -> Iterator[Fault]:
    first: dict[str, int] = {}
    for node in _written_ids(look.source.node):
        if node.text in first:
            yield faults.SameStepTwice(node.place, node.text, first[node.text])
        first.setdefault(node.text, node.place.line)


def retired_ids_stay_retired(look: ProcedureUnderCheck) -> Iterator[Fault]:
    retired = {id: look.place("retired", at).line for at, id in held(look.seen.retired)}
    for node in _written_ids(look.source.node):
        if node.text in retired:
            yield faults.RetiredStep(node.place, "step", node.text, retired[node.text])
    for loc, include in includes_of(look.seen):
        if include.as_ in retired:
            place = look.place(*loc, "as")
            yield faults.RetiredStep(place, "include", include.as_, retired[include.as_])


def values_in_texts_are_declared(look: ProcedureUnderCheck) -> Iterator[Fault]:
    declared = names_of(look.values, look.readings, look.results)
    for thing, key, text, place in _valued_texts(look):
        if text.count("{") != len(BRACES.findall(text)) or text.count("}") != text.count("{"):
            yield faults.BraceLeftOpen(place, thing, key)
            continue
        for name in BRACES.findall(text):
            if declared is not None and name not in declared and name not in GIVENS:
                yield from _unknown_value(look, place, thing, name.strip())


def values_in_check_offs_are_declared(look: ProcedureUnderCheck) -> Iterator[Fault]:
    for thing, key, name, place in _named_values(look):
        yield from _unknown_value(look, place, thing, name)
        need = (look.values or {}).get(name)
        wanted = KINDS_FOR.get(key)
        if need is not None and wanted and need.kind not in wanted:
            yield faults.WrongValueKind(place, thing, key, name, need.kind, wanted)


def counts_are_of_declared_values(look: ProcedureUnderCheck) -> Iterator[Fault]:
    for loc, step in steps_of(look.seen):
        for at, item in enumerate(step.opens):
            if item.count.startswith("from "):
                place = look.place(*loc, "opens", at, "count")
                yield from _unknown_value(look, place, f'step "{step.id}"', item.count.removeprefix("from "))


def bounds_are_of_declared_values(look: ProcedureUnderCheck) -> Iterator[Fault]:
    for name, need in (look.values or {}).items():
        for key, other in (("at_most", need.at_most), ("at_least", need.at_least)) if need else ():
            if other is None:
                continue
            place, thing = look.place("values", name, key), f'value "{name}"'
            yield from _unknown_value(look, place, thing, other)
            against = (look.values or {}).get(other)
            if need and against and (other == name or need.kind != against.kind or need.kind not in LIMITS):
                yield faults.NotComparable(place, name, key, need.kind, other, against.kind)


def value_ranges_can_be(look: ProcedureUnderCheck) -> Iterator[Fault]:
    for name, need in (look.values or {}).items():
        for key, end in (("from", need.from_), ("to", need.to)) if need else ():
            if need and end is not None and (because := _why_no_end(need, key, end)):
                place, units = look.place("values", name, key), tuple(KINDS.get(need.kind, ()))
                yield faults.NoRangeOfItsKind(place, name, key, str(end), because, units)


def _why_no_end(need: ValueNeed, key: str, end: Quantity) -> str | None:
    units = KINDS.get(need.kind, ())
    if not units:
        return f"a value of kind {need.kind} has no range"
    if end.unit not in units:
        return f"a {need.kind} is not in {end.unit}"
    other = need.to if key == "from" else None
    return "that is not below the other end" if other and other.unit in units and end.base >= other.base else None


def readings_are_declared(look: ProcedureUnderCheck) -> Iterator[Fault]:
    if look.readings is None:
        return
    known = tuple(look.readings)
    for loc, step in steps_of(look.seen):
        for keys, name in named_by(step.check).readings:
            if name not in look.readings:
                place = look.place(*loc, "check", *keys)
                yield faults.UnknownReading(place, f'step "{step.id}"', name, known)


def divisions_can_be(look: ProcedureUnderCheck) -> Iterator[Fault]:
    for name, reading in (look.readings or {}).items():
        if reading is None or reading.division is None or reading.unit not in UNITS:
            continue
        because = _why_no_division(reading)
        if because is not None:
            place, example = look.place("readings", name, "division"), f"division: {_example_division(reading.unit)}"
            yield resultfaults.DivisionCannotBe(place, f'reading "{name}"', str(reading.division), because, example)


def _why_no_division(reading: Reading) -> str | None:
    """Return why a gauge cannot be divided so, or None."""
    division, unit = reading.division, reading.unit
    assert division is not None
    if unit == "date":
        return "a date is not read on a gauge"
    if UNITS[division.unit].kind != UNITS[unit].kind:
        return f"the reading is in {unit}"
    if division.figure <= 0:
        return "a division is above zero"
    if reading.from_ is not None and reading.to is not None:
        over = (float(reading.to) - float(reading.from_)) * UNITS[unit].scale
        if 0 < over < division.figure * UNITS[division.unit].scale:
            return f"the reading goes from {reading.from_} to {reading.to} {unit}"
    return None


def _example_division(unit: str) -> str:
    return f"0.1 {unit}" if unit not in ("date", "") else "1 kPa(g)"


def readings_have_a_range(look: ProcedureUnderCheck) -> Iterator[Fault]:
    for name, reading in (look.readings or {}).items():
        low, high = (reading.from_, reading.to) if reading else (None, None)
        if low is not None and high is not None and float(low) >= float(high):
            yield resultfaults.ReadingLimitsTurned(look.place("readings", name, "from"), name, low, high)


def readings_can_be(look: ProcedureUnderCheck) -> Iterator[Fault]:
    """What is expected of a reading can be read."""
    for name, reading in (look.readings or {}).items():
        if reading is None or reading.unit not in UNITS:
            continue
        limit = can_be_read(UNITS[reading.unit].kind, reading.unit)
        for key, number in (("from", reading.from_), ("to", reading.to)):
            if number is None:
                continue
            place, thing, said = look.place("readings", name, key), f'reading "{name}"', Quantity(number, reading.unit)
            if both := two_readings(said, limit):
                meant = tuple(one.number for one in both)
                yield shapefaults.DoubtfulThousands(place, thing, key, number, meant)
            elif limit and not is_possible(said.base, limit):
                yield shapefaults.CannotBe(place, thing, key, str(said), limit.why, said_range(limit))


def watches_are_of_one_gauge(look: ProcedureUnderCheck) -> Iterator[Fault]:
    readings = look.readings or {}
    for loc, step in steps_of(look.seen):
        if isinstance(step.check, Wait) and step.check.watch:
            watch = step.check.watch
            start, end = readings.get(watch.start), readings.get(watch.end)
            same = watch.start == watch.end
            if same or (start and end and UNITS[start.unit].kind != UNITS[end.unit].kind):
                place = look.place(*loc, "check", "watch", "end")
                yield resultfaults.WatchOfTwoKinds(place, f'step "{step.id}"', watch.start, watch.end)


def shown_results_are_declared(look: ProcedureUnderCheck) -> Iterator[Fault]:
    if look.results is None:
        return
    known = tuple(look.results)
    for loc, step in steps_of(look.seen):
        for at, name in enumerate(step.shows):
            if name not in look.results:
                yield resultfaults.UnknownResult(look.place(*loc, "shows", at), f'step "{step.id}"', name, known)


def tools_and_parts_are_listed(look: ProcedureUnderCheck) -> Iterator[Fault]:
    needs = look.seen.needs
    if needs is None:
        return
    tools, parts = names_of(needs.tools), names_of(needs.parts, needs.consumables)
    for loc, step in steps_of(look.seen):
        for at, name in enumerate(step.in_hand):
            if tools is not None and name not in tools:
                yield faults.UnknownTool(look.place(*loc, "in_hand", at), f'step "{step.id}"', name, tools)
        for at, name in enumerate(step.takes):
            if parts is not None and name not in parts:
                yield faults.UnknownPart(look.place(*loc, "takes", at), f'step "{step.id}"', name, parts)


def inspections_can_find_something(look: ProcedureUnderCheck) -> Iterator[Fault]:
    for loc, step in steps_of(look.seen):
        if isinstance(step.check, Inspect) and len(step.check.inspect) < 2:
            place = look.source.key_place(*loc, "check", "inspect")
            yield faults.OneOutcome(place, f'step "{step.id}"', len(step.check.inspect))


def failing_outcomes_are_offered(look: ProcedureUnderCheck) -> Iterator[Fault]:
    for loc, step in steps_of(look.seen):
        failing = step.if_failed.outcomes if step.if_failed else []
        thing, key = f'step "{step.id}"', look.source.key_place(*loc, "if_failed", "outcomes")
        if failing and not isinstance(step.check, Inspect):
            yield faults.OutcomesWithoutInspection(key, thing)
        elif failing and isinstance(step.check, Inspect):
            offered = tuple(step.check.inspect)
            for at, name in enumerate(failing):
                if name not in offered:
                    place = look.place(*loc, "if_failed", "outcomes", at)
                    yield faults.OutcomeNotOffered(place, thing, name, offered)
            if len(offered) > 1 and set(offered) <= set(failing):
                yield faults.EveryOutcomeFails(key, thing)


def failures_say_what_is_done(look: ProcedureUnderCheck) -> Iterator[Fault]:
    for loc, step in steps_of(look.seen):
        failed, place = step.if_failed, look.source.key_place(*loc, "if_failed")
        if failed and isinstance(step.check, Inspect) and not failed.outcomes:
            yield faults.NothingFails(place, f'step "{step.id}"', tuple(step.check.inspect))
        if failed and not (failed.say or failed.back_to or failed.stop):
            yield faults.FailureSaysNothing(place, f'step "{step.id}"')


def explained_words_are_there(look: ProcedureUnderCheck) -> Iterator[Fault]:
    """A value that is told in words may have the word. Then the sheets decide, see `compile/unused.py`."""
    if look.values is None:
        return
    for loc, step in steps_of(look.seen):
        for word in step.words if not told_in_words(step, look.values) else ():
            if not has_word(word, words_of(step, look.values)):
                yield faults.WordNotThere(look.source.key_place(*loc, "words", word), f'step "{step.id}"', word)


def lists_of_gates_name_one(look: ProcedureUnderCheck) -> Iterator[Fault]:
    """A step whose list of gates is empty would hold nothing back."""
    for loc, step in steps_of(look.seen):
        if step.gate == []:
            yield shapefaults.EmptyList(look.source.key_place(*loc, "gate"), f'step "{step.id}"', "gate")


def one_completion(look: ProcedureUnderCheck) -> Iterator[Fault]:
    ends = [(loc, step) for loc, step in steps_of(look.seen) if step.completion]
    for loc, step in ends[1:]:
        first = look.place(*ends[0][0]).line
        yield faults.SecondCompletion(
            look.source.key_place(*loc, "completion"), f'step "{step.id}"', ends[0][1].id, first
        )


def values_are_used(look: ProcedureUnderCheck) -> Iterator[Fault]:
    if not look.source.whole or not look.includes.certain:
        return
    used = {name.strip() for _, _, text, _ in _valued_texts(look) for name in BRACES.findall(text)}
    used |= {name for _, _, name, _ in _named_values(look)}
    used |= {item.count.removeprefix("from ") for _, step in steps_of(look.seen) for item in step.opens}
    used |= {word for text in _formulas(look.results or {}) for word in re.findall(r"[a-z][a-z0-9_]*", text)}
    used |= {other for need in (look.values or {}).values() if need for other in (need.at_most, need.at_least) if other}
    used |= set(look.includes.needs)
    used |= {outer for _, include in includes_of(look.seen) for outer in include.known_as.values()}
    for name in look.values or ():
        if name not in used:
            yield faults.UnusedValue(look.source.key_place("values", name), name)


def braces_only_where_values_show(look: ProcedureUnderCheck) -> Iterator[Fault]:
    header = [pair for pair in look.source.node.entries if pair[0].text not in ("stages", "results")]
    yield from _stray_braces("the procedure", header)
    for loc, stage in stages_of(look.seen):
        node = _at(look.source.node, loc)
        if isinstance(node, MapNode):
            thing = _stage(stage)
            yield from _stray_braces(thing, [pair for pair in node.entries if pair[0].text not in ("steps", "why")])
    for loc, step in steps_of(look.seen):
        node = _at(look.source.node, loc)
        if isinstance(node, MapNode):
            yield from _stray_braces(
                f'step "{step.id}"', [pair for pair in node.entries if pair[0].text not in SHOWS_VALUES]
            )


ProcedureRule = Callable[[ProcedureUnderCheck], Iterator[Fault]]
RULES: tuple[ProcedureRule, ...] = (
    ids_are_one_steps,
    retired_ids_stay_retired,
    values_in_texts_are_declared,
    values_in_check_offs_are_declared,
    counts_are_of_declared_values,
    bounds_are_of_declared_values,
    value_ranges_can_be,
    readings_are_declared,
    readings_have_a_range,
    divisions_can_be,
    readings_can_be,
    watches_are_of_one_gauge,
    shown_results_are_declared,
    tools_and_parts_are_listed,
    inspections_can_find_something,
    failing_outcomes_are_offered,
    failures_say_what_is_done,
    explained_words_are_there,
    one_completion,
    lists_of_gates_name_one,
    values_are_used,
    braces_only_where_values_show,
)


# --- What the rules look at -------------------------------------------------------------------------------------------


def _written_ids(node: MapNode) -> Iterator[ScalarNode]:
    """Yield the ids of all steps as written, also of steps that are not whole."""
    for stage in _members(node.get("stages")):
        for step in _members(stage.get("steps")):
            id = step.get("id")
            if isinstance(id, ScalarNode) and id.text:
                yield id


def _members(node: Node | None) -> Iterator[MapNode]:
    if isinstance(node, ListNode):
        yield from (item for item in node.items if isinstance(item, MapNode))


def _at(node: Node | None, loc: Loc) -> Node | None:
    for part in loc:
        if isinstance(node, ListNode) and isinstance(part, int):
            node = node.items[part]
        elif isinstance(node, MapNode):
            node = node.get(str(part))
    return node


def _valued_texts(look: ProcedureUnderCheck) -> Iterator[tuple[str, str, str, Place]]:
    """Yield texts that may name values: whose text it is, after which key, the text and its place."""
    for loc, stage in stages_of(look.seen):
        if stage.why:
            yield _stage(stage), "why", stage.why, look.place(*loc, "why")
    for loc, step in steps_of(look.seen):
        for key in SHOWS_VALUES:
            text = getattr(step, key)
            if text:
                yield f'step "{step.id}"', key, text, look.place(*loc, key)


def _named_values(look: ProcedureUnderCheck) -> Iterator[tuple[str, str, str, Place]]:
    """Yield values that a step names outside its texts: whose it is, after which key, the name and its place."""
    for loc, step in steps_of(look.seen):
        for at, name in enumerate(step.sheet_says):
            yield f'step "{step.id}"', "sheet_says", name, look.place(*loc, "sheet_says", at)
        for key, name in named_by(step.check).values:
            yield f'step "{step.id}"', key, name, look.place(*loc, "check", key)


def _formulas(results: Mapping[str, str | Result | Borrowed | None]) -> Iterator[str]:
    """Yield every text of the results that may name a value, and the values that results fill."""
    for result in results.values():
        if isinstance(result, str):
            yield result
        elif isinstance(result, Result):
            yield from (result.formula, result.fills or "")
            for limit in result.limits:
                yield from (limit.when or "", limit.say or "", limit.do or "")


def _unknown_value(look: ProcedureUnderCheck, place: Place, thing: str, name: str) -> Iterator[Fault]:
    if look.values is not None and name not in look.values:
        yield faults.UnknownValue(place, thing, name, tuple(look.values))


def _stage(stage: Stage | PartialStage) -> str:
    return f"stage {excerpt(stage.stage)}" if stage.stage else "a stage"


def _stray_braces(thing: str, entries: list[tuple[ScalarNode, Node]]) -> Iterator[Fault]:
    for key, below in entries:
        for text in texts_of(below):
            for name in BRACES.findall(text.text):
                yield faults.ValueOutOfPlace(text.place, thing, key.text, name)
