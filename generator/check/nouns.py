"""Nodes -> nouns: every key, list and text looked at where it stands, with words for what is wrong with it.

The model's own annotations are the grammar. Each is turned into a plan once; the plan walks the nodes. Which member of
a union is meant is decided here, by the keys that are written, so that a fault speaks of the right one; what a text may
be is decided by pydantic.
"""

from __future__ import annotations

import functools
import re
import types
import typing
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, PlainValidator, StringConstraints, TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from generator import model
from generator.check.partial import PARTIALS
from generator.faults import Fault, excerpt, in_quotes, nearest
from generator.faults import shape as faults
from generator.faults.shape import NumberWithoutUnit
from generator.faults.source import CannotBeRead
from generator.inputs.read import ListNode, MapNode, Node, ScalarNode, guess
from generator.model import CanBe, Measures, Noun, TakesPlain
from generator.place import Place
from generator.quantities.possible_ranges import FIELD_RANGES, is_possible, said_range, two_readings
from generator.quantities.quantity import Quantity, meant, stages, written
from generator.quantities.spellings import torque_of
from generator.quantities.units import EVERY, UNITS, spelled_unit, units_of
from generator.quantities.units import KINDS as KIND_UNITS

_OFFS = [noun for noun in typing.get_args(model.CheckOff) if isinstance(noun, type) and issubclass(noun, Noun)]
CHECK_OFFS: dict[str, type[Noun]] = {
    next(iter(noun.model_fields)): noun for noun in _OFFS
}  # by its kind, its first key


@dataclass(frozen=True)
class Spot:
    """The thing being checked, as a mechanic would name it: `step "press"`, and the key it comes after."""

    thing: str
    key: str
    beside: MapNode | None = field(default=None, compare=False)  # the group that the key stands in


@dataclass
class Found:
    """The faults found so far. `lines` gives those of the file, for a fault that says how one should read. `units` is
    how often each unit stands after each key, for those `unsure` faults of which only other places can say what is
    meant."""

    faults: list[Fault] = field(default_factory=list)
    lines: Callable[[], Sequence[str]] = tuple
    units: Counter[tuple[str, str]] = field(default_factory=Counter)
    unsure: list[NumberWithoutUnit] = field(default_factory=list)

    def add(self, fault: Fault) -> None:
        self.faults.append(fault)


@dataclass(frozen=True, slots=True)
class BuiltPart:
    """What a node became. `value` is whole or None. `partial` is what can be seen of it in either case, as
    `check/partial.py` has it."""

    value: Any
    partial: Any

    @staticmethod
    def same(value: Any) -> BuiltPart:
        return BuiltPart(value, value)

    @property
    def whole(self) -> bool:
        return self.value is not None


_LONGEST_LINE = 400  # a longer line is not repeated in a message
Plan = Callable[[Node, Spot, Found], BuiltPart]
BROKEN = BuiltPart(None, None)


def build(node: Node, noun: type[Noun], found: Found) -> BuiltPart:
    """Build one noun from its keys."""
    return _noun_plan(noun)(node, Spot("this file", ""), found)


# --- Plans, one for each annotation ---------------------------------------------------------------------------------


@functools.cache
def _noun_plan(noun: type[Noun]) -> Plan:
    def plan(node: Node, spot: Spot, found: Found) -> BuiltPart:
        if not isinstance(node, MapNode):
            return _value_alone(node, spot, found) if noun is model.EngineValue else _no_group(node, spot, found)
        return _build_noun(node, noun, _name_of(noun, node, spot), found)

    return plan


@dataclass(frozen=True)
class _Field:
    name: str
    required: bool
    at_least_one: bool
    unwritten: Any  # what a partial noun has where the key is not written
    plan: Plan


@functools.cache
def _fields(noun: type[Noun]) -> dict[str, _Field]:
    """Return the fields of a noun by the key that a source writes."""
    hints = typing.get_type_hints(noun, include_extras=True)
    return {
        info.alias or name: _Field(name, info.is_required(), _at_least_one(info), _unwritten(info), _plan(hints[name]))
        for name, info in noun.model_fields.items()
    }


_ONE = Field(min_length=1).metadata[0]


def _at_least_one(info: FieldInfo) -> bool:
    return _ONE in info.metadata


def _unwritten(info: FieldInfo) -> Any:
    default = None if info.is_required() else info.get_default(call_default_factory=True)
    return _partial(type(default), dict(default)) if isinstance(default, Noun) else default


def _partial(noun: type[Noun], fields: dict[str, Any]) -> Any:
    return PARTIALS[noun](**fields)


def _plan(hint: Any) -> Plan:
    origin, members = typing.get_origin(hint), typing.get_args(hint)
    if origin in (typing.Union, types.UnionType):
        return _union([member for member in members if member is not type(None)])
    if origin is list:
        return _list(_plan(members[0]))
    if origin is dict:
        return _group(_Leaf.of(members[0]), _plan(members[1]))
    if isinstance(hint, type) and issubclass(hint, Noun):
        return _noun_plan(hint)
    return _Leaf.of(hint).plan


def _union(members: list[Any]) -> Plan:
    if len(members) == 1:
        return _plan(members[0])
    if model.Tick in members:
        return _check_off
    nouns = [member for member in members if isinstance(member, type) and issubclass(member, Noun)]
    lists = [_plan(member) for member in members if typing.get_origin(member) is list]
    groups = [_plan(member) for member in members if typing.get_origin(member) is dict]
    texts = [_plan(m) for m in members if m not in nouns and typing.get_origin(m) not in (list, dict)]

    def plan(node: Node, spot: Spot, found: Found) -> BuiltPart:
        if isinstance(node, MapNode) and nouns:
            return _noun_plan(_most_alike(node, nouns))(node, spot, found)
        if isinstance(node, ListNode) and lists:
            return lists[0](node, spot, found)
        if isinstance(node, MapNode) and groups:
            return groups[0](node, spot, found)
        if texts:
            return texts[0](node, spot, found)
        return _noun_plan(nouns[0])(node, spot, found)

    return plan


def _most_alike(node: MapNode, nouns: list[type[Noun]]) -> type[Noun]:
    """Return the noun that shares most keys with what is written; of equals the first. Its first key counts most."""
    written = {key.text for key, _ in node.entries}

    def likeness(noun: type[Noun]) -> int:
        keys = list(_fields(noun))
        return len(written & set(keys)) + 10 * (keys[0] in written)

    return max(nouns, key=likeness)


def _list(member: Plan) -> Plan:
    def plan(node: Node, spot: Spot, found: Found) -> BuiltPart:
        if not isinstance(node, ListNode):
            return _wrong_shape(node, spot, faults.LIST, found)
        built = [member(item, spot, found) for item in node.items]
        whole = all(item.whole for item in built)
        return BuiltPart([item.value for item in built] if whole else None, [item.partial for item in built])

    return plan


def _group(name: _Leaf, member: Plan) -> Plan:
    """Plan a group of names that the author chooses, with something after each: values, tools, outcomes."""

    def plan(node: Node, spot: Spot, found: Found) -> BuiltPart:
        if not isinstance(node, MapNode):
            return _wrong_shape(node, spot, faults.KEYS, found)
        built: dict[str, BuiltPart] = {}
        for key, below in node.entries:
            key_whole = name.key(key, Spot(spot.thing, spot.key), found)
            value = member(below, _named(spot, key.text), found)
            built[key.text] = value if key_whole else BROKEN
        whole = all(value.whole for value in built.values())
        partial = {key: value.partial for key, value in built.items()}
        return BuiltPart({key: value.value for key, value in built.items()} if whole else None, partial)

    return plan


# What one entry of a group is called, by the key of the group.
_ENTRY = {
    "values": 'value "{}"',
    "documents": 'document "{}"',
    "readings": 'reading "{}"',
    "results": 'result "{}"',
    "parts": 'part "{}"',
}


def _named(spot: Spot, name: str) -> Spot:
    pattern = _ENTRY.get(spot.key)
    return Spot(pattern.format(name), name) if pattern else Spot(spot.thing, name)


def _check_off(node: Node, spot: Spot, found: Found) -> BuiltPart:
    if isinstance(node, ScalarNode):
        if node.text == "tick":
            return BuiltPart.same("tick")
        if not node.text:
            found.add(faults.NothingWritten(node.place, spot.thing, spot.key))
        elif node.text in CHECK_OFFS:
            found.add(faults.CheckOffAlone(node.place, spot.thing, node.text))
        else:
            found.add(faults.UnknownCheckOff(node.place, spot.thing, node.text, tuple(CHECK_OFFS)))
        return BROKEN
    if not isinstance(node, MapNode):
        return _wrong_shape(node, spot, faults.KEYS, found)
    named = [key for key, _ in node.entries if key.text in CHECK_OFFS]
    if len(named) == 1:
        return _build_noun(node, CHECK_OFFS[named[0].text], f"the check-off of {spot.thing}", found)
    if named:
        found.add(faults.TwoCheckOffs(named[1].place, spot.thing, named[0].text, named[1].text))
    else:
        first = node.entries[0][0] if node.entries else ScalarNode("", True, node.place)
        found.add(faults.UnknownCheckOff(first.place, spot.thing, first.text, tuple(CHECK_OFFS)))
    return BROKEN


# --- A noun ---------------------------------------------------------------------------------------------------------


def _build_noun(node: MapNode, noun: type[Noun], thing: str, found: Found) -> BuiltPart:
    fields, node = _fields(noun), _with_new_keys(node, noun, thing, found)
    whole = _no_unknown_keys(node, noun, thing, found)
    built: dict[str, BuiltPart] = {}
    for key, below in node.entries:
        known = fields.get(key.text)
        if known is not None:
            built[known.name] = _field(known, key, below, Spot(thing, key.text, node), found)
    whole = _no_missing_keys(node, noun, fields, thing, found) and whole
    whole = whole and all(part.whole for part in built.values())
    value = _made(noun, built, node.place, thing, found) if whole else None
    if noun not in PARTIALS:
        return BuiltPart.same(value)
    unwritten = {known.name: known.unwritten for known in fields.values()}
    return BuiltPart(value, _partial(noun, {**unwritten, **{name: part.partial for name, part in built.items()}}))


def _with_new_keys(node: MapNode, noun: type[Noun], thing: str, found: Found) -> MapNode:
    """Report keys that have another name now and return the group with the new ones, so that nothing else is reported
    for them."""
    written = {key.text for key, _ in node.entries}
    renamed = {old: new for old, new in model.RENAMED.get(noun, {}).items() if old in written and new not in written}
    for key, _ in node.entries:
        if key.text in renamed:
            line = _with_key(found.lines(), key, renamed[key.text])
            found.add(faults.RenamedKey(key.place, thing, key.text, renamed[key.text], line))
    new_keys = [(replace(key, text=renamed.get(key.text, key.text)), below) for key, below in node.entries]
    return replace(node, entries=new_keys) if renamed else node


def _with_key(lines: Sequence[str], key: ScalarNode, new: str) -> str | None:
    """Return the line of a key as it reads with its new name; None if it is long or the key is written in quotes."""
    line = lines[key.place.line - 1] if key.place.line <= len(lines) else ""
    before, after = line[: key.place.column - 1], line[key.place.column - 1 :]
    is_there = after.startswith(key.text) and len(line) <= _LONGEST_LINE
    return f"{before}{new}{after.removeprefix(key.text)}".strip() if is_there else None


def _field(known: _Field, key: ScalarNode, below: Node, spot: Spot, found: Found) -> BuiltPart:
    if isinstance(below, ScalarNode) and not below.text.strip():
        found.add(faults.NothingWritten(key.place, spot.thing, key.text))
        return BROKEN
    if known.at_least_one and isinstance(below, ListNode) and not below.items:
        found.add(faults.EmptyList(key.place, spot.thing, key.text))
        return BROKEN
    return known.plan(below, spot, found)


def _no_unknown_keys(node: MapNode, noun: type[Noun], thing: str, found: Found) -> bool:
    whole, before, fields = True, None, _fields(noun)
    for key, below in node.entries:
        if key.text not in fields:
            cut = _cut_by_comma(before, key, below, thing) or _out_of_place(noun, key, below, thing)
            found.add(cut or faults.UnknownKey(key.place, thing, key.text, tuple(fields)))
            whole = False
        before = (key, below)
    return whole


def _out_of_place(noun: type[Noun], key: ScalarNode, below: Node, thing: str) -> Fault | None:
    """A key of a part of the thing: `thread` beside `bolt`, or without it."""
    parts = _keys_of_parts(noun).get(key.text, ())
    if len(parts) != 1:
        return None
    text = below.text if isinstance(below, ScalarNode) and len(below.text) <= _SHORT else None
    quoted = in_quotes(text) if text and isinstance(below, ScalarNode) and below.quoted else text
    return faults.KeyOutOfPlace(key.place, thing, key.text, parts[0], quoted)


_SHORT = 40  # a longer text is not repeated in a message


@functools.cache
def _keys_of_parts(noun: type[Noun]) -> dict[str, tuple[str, ...]]:
    """Return the keys that only parts of a noun have, each with those parts that are one group of keys."""
    own, found = _fields(noun), dict[str, tuple[str, ...]]()
    hints = typing.get_type_hints(noun, include_extras=True)
    for name, info in noun.model_fields.items():
        members = typing.get_args(hints[name]) or (hints[name],)
        for part in (member for member in members if isinstance(member, type) and issubclass(member, Noun)):
            for key in _fields(part).keys() - own.keys():
                found[key] = (*found.get(key, ()), info.alias or name)
    return found


def _cut_by_comma(before: tuple[ScalarNode, Node] | None, key: ScalarNode, below: Node, thing: str) -> Fault | None:
    """`{photo: Old, and new}` reads as a key `and new` with nothing after it."""
    if before is None or not isinstance(below, ScalarNode) or below.text or below.quoted or " " not in key.text:
        return None
    name, text = before
    if not isinstance(text, ScalarNode) or text.quoted:
        return None
    return faults.CommaEndsText(key.place, thing, name.text, text.text, key.text)


def _no_missing_keys(node: MapNode, noun: type[Noun], fields: dict[str, _Field], thing: str, found: Found) -> bool:
    """Add faults for keys that are missing. A key that is only misspelled is not reported a second time."""
    written = {key.text for key, _ in node.entries}
    unknown = sorted(written - set(fields))[:_SLIPS]
    lacking = [key for key, known in fields.items() if known.required and key not in written]
    missing = [key for key in lacking if not any(nearest(slip, tuple(fields)) == key for slip in unknown)]
    if missing and noun is model.Caution:
        found.add(faults.CautionIncomplete(node.place, thing, tuple(missing)))
    elif missing:
        examples = tuple(_EXAMPLES.get(key, "...") for key in missing)
        found.add(faults.MissingKey(node.place, thing, tuple(missing), examples))
    return not lacking


_SLIPS = 20  # unknown keys that are compared with the missing ones


def _made(noun: type[Noun], built: dict[str, BuiltPart], place: Place, thing: str, found: Found) -> Noun | None:
    try:
        return noun.model_validate({name: part.value for name, part in built.items()}, by_name=True, by_alias=False)
    except ValidationError as error:
        found.add(_fault_of(error.errors()[0], ScalarNode("", True, place), Spot(thing, ""), ()))
        return None


# Example lines for a missing key.
_EXAMPLES = {
    "job": '"2041"',
    "id": "fit-pump",
    "do": "Fit the pump dry.",
    "check": "tick",
    "title": "Fit the pump",
    "revision": "1",
    "stage": "Fit",
    "steps": "[{id: fit-pump, do: Fit the pump dry., check: tick}]",
    "stages": "[{include: fit-pump, as: pump}]",
    "as": "left",
    "kind": "torque",
    "label": "Pump bolts",
    "unit": "mm",
    "what": "pump_bolts",
    "of": "[marks-set]",
    "when": "It does not turn freely",
    "file": "pictures/pump.jpg",
    "alt": "The pump with its joint",
    "ask": "Why is it done cold?",
    "answer": "Hot coolant boils over when the cap comes off.",
    "facts": "{drive: belt}",
    "values": "{pump_bolts: {missing: not in the manual the shop has}}",
    "document": "Workshop manual, 2nd edition",
    "where": "section 4, page 118",
    "read": "2026-10-02",
    "by": "KS",
    "thread": "M6x1.0",
    "people": "[{initials: KS, name: K. Smith, role: lead}]",
    "initials": "KS",
    "name": "K. Smith",
    "role": "lead",
    "procedure": "timing-belt-service",
    "engine": "my-engine",
    "vehicle": "blue van",
    "wrench": "small",
    "adapter": "crowfoot-13",
    "from": "5 N.m",
    "to": "25 N.m",
    "step": "0.5 N.m",
    "class": "II A",
    "length": "40 mm",
    "formula": "coolant_capacity - drained",
    "verdict": "too warm",
    "start": "vacuum_start",
    "end": "vacuum_end",
    "source": "the handbook it is printed in",
    "edition": "2nd edition, 2001",
    "got": "read on a public page",
    "x": "{label: Altitude, unit: m}",
    "y": "{label: Air pressure, unit: kPa}",
    "rows": "[[0, 101.3], [500, 95.5]]",
    "row": "pump-bolt-loose",
    "failure": "A pump bolt is left finger-tight.",
    "caught_by": "[tighten]",
    "revealed_by": "{value: pump_bolts}",
}


def _name_of(noun: type[Noun], node: MapNode, spot: Spot) -> str:
    """Return what a person calls this thing: its own name if it has one, else the thing it belongs to."""
    label, key = _NAMES[noun]
    own = node.get(key) if key else None
    if isinstance(own, ScalarNode) and own.text:
        return f"{label} {excerpt(own.text)}"
    if noun in _BY_ENTRY:
        return spot.thing
    return f"{label} of {spot.thing}" if spot.key else label


_BY_ENTRY = (
    model.ValueNeed,
    model.Reading,
    model.Result,
    model.Borrowed,
    model.EngineValue,
    model.Document,
    model.Part,
)
_NAMES: dict[type[Noun], tuple[str, str]] = {
    model.Procedure: ("procedure", "procedure"),
    model.Engine: ("sheet", "engine"),
    model.Shop: ("shop", "shop"),
    model.Job: ("job", "job"),
    model.FailureModes: ("this file", ""),
    model.Trade: ("this file", ""),
    model.WorksOn: ("what is worked on", ""),
    model.StartBox: ("the box", ""),
    model.Role: ("the role", ""),
    model.KindOfItem: ("the kind", ""),
    model.BoltList: ("the bolt list", ""),
    model.KindOfGate: ("the gate", ""),
    model.FailureMode: ("failure mode", "row"),
    model.Way: ("revealed_by", ""),
    model.Stage: ("stage", "stage"),
    model.Include: ("include", "as"),
    model.Step: ("step", "id"),
    model.Person: ("person", "initials"),
    model.Caution: ("a caution", ""),
    model.Question: ("a question", ""),
    model.OpenItem: ("an opened item", ""),
    model.CloseItem: ("a closed item", ""),
    model.When: ("when", ""),
    model.IfFailed: ("if_failed", ""),
    model.Gate: ("the gate", ""),
    model.Picture: ("the picture", ""),
    model.Needs: ("needs", ""),
    model.Part: ("part", ""),
    model.OrderedPart: ("part", ""),
    model.Source: ("the source", ""),
    model.Document: ("document", ""),
    model.Page: ("the place", ""),
    model.Bolt: ("the bolt", ""),
    model.ValueNeed: ("value", ""),
    model.Reading: ("reading", ""),
    model.EngineValue: ("value", ""),
    model.Result: ("result", ""),
    model.Borrowed: ("result", ""),
    model.Limit: ("a limit", ""),
    model.Watch: ("watch", ""),
    model.Friction: ("friction", ""),
    model.Wrench: ("wrench", "wrench"),
    model.Adapter: ("adapter", "adapter"),
    model.Table: ("table", "table"),
    model.Column: ("a column", ""),
}


# --- A text ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Leaf:
    """A field that takes one text. `typed` fields decide for themselves what an unquoted word means."""

    adapter: TypeAdapter[Any]
    marks: tuple[Any, ...]
    typed: bool
    measures: str | None
    usual: tuple[str, ...]
    plain: str | None
    can_be: str | None

    @staticmethod
    @functools.cache
    def of(hint: Any) -> _Leaf:
        marks = tuple(hint.__metadata__) if typing.get_origin(hint) is Annotated else ()
        words = typing.get_args(hint) if typing.get_origin(hint) is Literal else ()
        typed = bool(words) or any(isinstance(mark, BeforeValidator | PlainValidator) for mark in marks)
        measures = next((mark for mark in marks if isinstance(mark, Measures)), Measures(""))
        plain = next((mark.words for mark in marks if isinstance(mark, TakesPlain)), None)
        can_be = next((mark.field for mark in marks if isinstance(mark, CanBe)), None)
        return _Leaf(TypeAdapter(hint), words or marks, typed, measures.what or None, measures.usual, plain, can_be)

    def plan(self, node: Node, spot: Spot, found: Found) -> BuiltPart:
        if not isinstance(node, ScalarNode):
            return _wrong_shape(node, spot, faults.TEXT, found)
        if not node.text.strip():
            found.add(faults.NothingWritten(node.place, spot.thing, spot.key))
            return BROKEN
        meaning = self._guessed(node)
        if meaning:
            found.add(faults.GuessedText(node.place, spot.thing, spot.key, node.text, meaning))
            return BROKEN
        return self._value(node, spot, found)

    def key(self, node: ScalarNode, spot: Spot, found: Found) -> bool:
        """True if a key is a name this group may have."""
        meaning = self._guessed(node)
        if meaning:
            found.add(faults.GuessedKey(node.place, spot.thing, node.text, meaning))
            return False
        return self._value(node, spot, found).whole

    def _guessed(self, node: ScalarNode) -> str | None:
        if node.quoted or self.typed or (self.plain and re.fullmatch(self.plain, node.text)):
            return None
        return guess(node.text)

    def _value(self, node: ScalarNode, spot: Spot, found: Found) -> BuiltPart:
        clear = torque_of(node.text) if self.measures in ("torque", "tolerance") else None
        try:
            value = self.adapter.validate_python(clear or node.text)
        except ValidationError as error:
            fault = _fault_of(error.errors()[0], node, spot, self._allowed())
            if isinstance(fault, NumberWithoutUnit):
                fault = self._with_units_of(fault, spot, found)
            found.add(fault)
            return BROKEN
        wrong = self._wrong_unit(value, node, spot) or self._wrong_figure(value, node, spot)
        if wrong is not None:
            found.add(wrong)
            return BROKEN
        if self.measures and isinstance(value, Quantity):
            found.units[spot.key, value.unit] += 1
        return BuiltPart.same(value)

    def _with_units_of(self, fault: NumberWithoutUnit, spot: Spot, found: Found) -> NumberWithoutUnit:
        """Return the fault with the units that may be meant, the likeliest first: of a tolerance that of its value, of
        a step of a result that of the result, else what such a figure is nearly always in."""
        beside = next((unit for unit in _units_beside(spot) if unit in fault.units), None)
        if beside:
            fits = ("%",) if self.measures == "tolerance" else ()
            return replace(fault, units=_each_once(beside, *fits, *KIND_UNITS[UNITS[beside].kind]), likely=True)
        units = _each_once(*self.usual, *fault.units)
        fault = replace(fault, units=units, likely=bool(self.usual) or len(units) == 1)
        if self.measures not in ("reading", "tolerance"):  # those may measure anything: no other place tells of them
            found.unsure.append(fault)
        return fault

    def _allowed(self) -> tuple[str, ...]:
        return units_of(self.measures) if self.measures else self.marks

    def _wrong_unit(self, value: Any, node: ScalarNode, spot: Spot) -> Fault | None:
        if self.measures is None:
            return None
        unit = value.unit if isinstance(value, Quantity) else value
        units = units_of(self.measures)
        if unit in units:
            return None
        if unit in EVERY:
            return faults.WrongUnit(node.place, spot.thing, spot.key, unit, self.measures, units)
        return faults.UnknownUnit(node.place, spot.thing, spot.key, unit, units, spelled_unit(unit))

    def _wrong_figure(self, value: Any, node: ScalarNode, spot: Spot) -> Fault | None:
        if self.can_be is None:
            return None
        limit = FIELD_RANGES[self.can_be]
        said = value if isinstance(value, Quantity) else Quantity(str(value), "")
        if both := two_readings(said, limit):
            return faults.DoubtfulThousands(node.place, spot.thing, spot.key, str(said), tuple(map(str, both)))
        if not is_possible(said.base, limit):
            return faults.CannotBe(node.place, spot.thing, spot.key, str(said), limit.why, said_range(limit))
        return None


def _each_once(*names: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))


def _units_beside(spot: Spot) -> Iterator[str]:
    """Yield the units of the figures that stand beside this one in its group, and the unit that the group names."""
    for key, below in spot.beside.entries if spot.beside else ():
        if isinstance(below, ScalarNode) and key.text != spot.key:
            figure = torque_of(below.text) or written(below.text)
            yield figure.unit if figure else below.text if key.text == "unit" else ""


def _wrong_shape(node: Node, spot: Spot, wanted: str, found: Found) -> BuiltPart:
    thing, key = spot.thing, spot.key or "this"
    if isinstance(node, ScalarNode) and not node.text:
        found.add(faults.NothingWritten(node.place, thing, key))
    elif wanted == faults.TEXT and (name := _lone_name(node)):
        found.add(faults.BraceStartsText(node.place, thing, key, name))
    else:
        found.add(faults.WrongShape(node.place, thing, key, _shape_of(node), wanted))
    return BROKEN


def _no_group(node: Node, spot: Spot, found: Found) -> BuiltPart:
    return _wrong_shape(node, spot, faults.KEYS, found)


def _value_alone(node: Node, spot: Spot, found: Found) -> BuiltPart:
    """`engine_code: RV24` and `cap_limit: 40 degC` leave out the field that says what it is."""
    if not isinstance(node, ScalarNode) or not node.text:
        return _no_group(node, spot, found)
    clear = meant(node.text, tuple(EVERY))
    said = clear[0] if len(clear) == 1 else None
    kind = (said.kind or "").replace("-", "_") if said else ""
    field, shown = (kind, str(said)) if said and kind in model.QUANTITIES else ("text", in_quotes(node.text))
    found.add(faults.ValueAlone(node.place, spot.thing, spot.key, node.text, field, shown))
    return BROKEN


def _lone_name(node: Node) -> str | None:
    """`{stance}` unquoted is a group with one key and nothing after it."""
    if isinstance(node, MapNode) and len(node.entries) == 1:
        key, below = node.entries[0]
        if isinstance(below, ScalarNode) and not below.text:
            return key.text
    return None


def _shape_of(node: Node) -> str:
    if isinstance(node, ScalarNode):
        return faults.TEXT
    return faults.LIST if isinstance(node, ListNode) else faults.KEYS


# --- Pydantic's errors in our words -----------------------------------------------------------------------------------


def _fault_of(error: Any, node: ScalarNode, spot: Spot, allowed: tuple[Any, ...]) -> Fault:
    make = _ERRORS.get(error["type"])
    return make(node, spot, error.get("ctx", {}), allowed) if make else CannotBeRead(node.place)


Maker = Callable[[ScalarNode, Spot, dict[str, Any], tuple[Any, ...]], Fault]


def _pattern(node: ScalarNode, spot: Spot, ctx: dict[str, Any], _: tuple[Any, ...]) -> Fault:
    if ctx["pattern"] == model.INITIALS:
        return faults.BadInitials(node.place, node.text)
    if ctx["pattern"] == model.JOB_NUMBER:
        return faults.BadJobNumber(node.place, node.text)
    bad = faults.BadId if ctx["pattern"] in (model.ID, model.OLD_ID, model.WORD) else faults.BadName
    return bad(node.place, spot.thing, spot.key, node.text)


def _too_long(node: ScalarNode, spot: Spot, ctx: dict[str, Any], marks: tuple[Any, ...]) -> Fault:
    a_name = any(isinstance(mark, StringConstraints) and mark.pattern for mark in marks)
    long = faults.NameTooLong if a_name else faults.TextTooLong
    return long(node.place, spot.thing, spot.key, len(node.text), ctx["max_length"])


def _quantity(node: ScalarNode, spot: Spot, _: dict[str, Any], units: tuple[Any, ...]) -> Fault:
    alone = re.fullmatch(r"-?[0-9]+(\.[0-9]+)?", node.text)
    pulls = [written(pull) for pull in stages(re.sub(r",? ?\+ ?", " then ", node.text))]
    if len(pulls) == 2 and all(pulls) and spot.key in ("torque", "angle"):
        return faults.TwoStagesInOne(node.place, spot.thing, spot.key, *map(str, pulls))
    if alone:
        return NumberWithoutUnit(node.place, spot.thing, spot.key, node.text, units, False)
    clear = tuple(map(str, meant(node.text, units)))
    return faults.NotAQuantity(node.place, spot.thing, spot.key, node.text, units, clear)


def _plainly(fault: Callable[[Place, str, str, str], Fault]) -> Maker:
    return lambda node, spot, _ctx, _allowed: fault(node.place, spot.thing, spot.key, node.text)


_ERRORS: dict[str, Maker] = {
    "string_pattern_mismatch": _pattern,
    "string_too_long": _too_long,
    "quantity": _quantity,
    "yes_no": _plainly(faults.NotYesNo),
    "whole": _plainly(faults.NotAWholeNumber),
    "number": _plainly(faults.NotANumber),
    "date": _plainly(faults.NotADate),
    "literal_error": lambda node, spot, _, allowed: faults.NotOneOf(
        node.place, spot.thing, spot.key, node.text, allowed
    ),
    "count": lambda node, spot, _, allowed: faults.NotACount(node.place, spot.thing, node.text),
    "condition": lambda node, spot, _, allowed: faults.ConditionSaysNothing(node.place, spot.thing),
    "include": lambda node, spot, _, allowed: faults.NamelessInclude(node.place, spot.thing),
    "one_way": lambda node, spot, _, allowed: faults.NotOneWay(node.place, spot.thing),
    "sign": lambda node, spot, _, allowed: faults.SignsNothing(node.place, spot.thing),
}


def texts_of(node: Node) -> Iterator[ScalarNode]:
    """Yield every text below a node, without keys."""
    if isinstance(node, ScalarNode):
        yield node
        return
    below = node.items if isinstance(node, ListNode) else [child for _, child in node.entries]
    for child in below:
        yield from texts_of(child)
