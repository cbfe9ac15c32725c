"""The words of the trade: each is declared once, and every source uses only declared words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial

from generator.check.asked import steps_of
from generator.check.checked import FileNodes, Loc, SourceFile
from generator.check.partial import (
    PartialFailureModes,
    PartialProcedure,
    PartialShop,
    PartialTrade,
    Seen,
    held,
)
from generator.check.trade_words import DeclaredTrade, Word
from generator.faults import Fault
from generator.faults import trade_word as faults
from generator.faults.result import DivisionCannotBe
from generator.inputs.read import ListNode, MapNode, Node
from generator.model import KINDS, Engine, FailureMode, Gate, Job, Role, StartBox, When
from generator.place import Place

SECTIONS = ("works_on", "roles", "kinds", "lists", "gates", "divisions", "drawings")
SHEET = "engine"  # how the model calls a sheet and its facts, whatever word a sheet begins with


def declared(sources: Iterable[SourceFile[PartialTrade]]) -> tuple[DeclaredTrade, list[Fault]]:
    """Return all words of these files, and their faults. Of a word that is declared twice the first counts."""
    files, found = list(sources), DeclaredTrade()
    wrong: list[Fault] = []
    places: dict[tuple[str, str], Place] = {}
    for source in files:
        for section in SECTIONS:
            said: Mapping[str, object] = getattr(source.seen, section) or {}
            for name, means in said.items():
                place = source.key_place(section, name)
                same = (section, name.casefold() if section == "drawings" else name)
                if same in places:
                    wrong.append(faults.TradeWordTwice(place, section, name, str(places[same])))
                    continue
                places[same] = place
                if means is not None:
                    whole = Role(label=means) if section == "roles" and isinstance(means, str) else means
                    getattr(found, section)[name] = Word(whole, source.place(section, name))
    each = (_without_what, _taken, _divided, _unqualified_leads)
    wrong += [fault for source in files for rule in each for fault in rule(source)]
    wrong += _nobody_leads(files, found)
    own = frozenset(source.file for source in files if source.seen.works_on)
    return replace(found, own=own), wrong


def _without_what(source: SourceFile[PartialTrade]) -> Iterator[Fault]:
    for word, on in (source.seen.works_on or {}).items():
        if on is not None and "what" not in on.start:
            yield faults.StartsWithoutWhat(source.key_place("works_on", word), word)
        elif on is not None and isinstance(what := on.start["what"], StartBox) and what.optional:
            yield faults.WhatMayBeEmpty(source.place("works_on", word, "start", "what", "optional"), word)


def _divided(source: SourceFile[PartialTrade]) -> Iterator[Fault]:
    for unit, division in (source.seen.divisions or {}).items():
        place, thing = source.place("divisions", unit), f'unit "{unit}"'
        if unit == "date":
            yield DivisionCannotBe(
                place, thing, str(division), "a date is not read on a gauge", "divisions: {kPa(g): 2}"
            )
        elif division is not None and float(division) <= 0:
            yield DivisionCannotBe(place, thing, division, "a division is above zero", f"divisions: {{{unit}: 2}}")


def _unqualified_leads(source: SourceFile[PartialTrade]) -> Iterator[Fault]:
    for name, role in (source.seen.roles or {}).items():
        if isinstance(role, Role) and role.leads and role.qualified is False:
            yield faults.LeadNotQualified(source.place("roles", name, "qualified"), name)


def _nobody_leads(files: list[SourceFile[PartialTrade]], found: DeclaredTrade) -> Iterator[Fault]:
    said = [source for source in files if source.seen.roles]
    if said and not any(role.means.leads for role in found.roles.values()) and not _has_broken_role(files):
        yield faults.NoRoleLeads(said[0].key_place("roles"), tuple(sorted(found.roles)))


def _has_broken_role(files: list[SourceFile[PartialTrade]]) -> bool:
    """True if a role that cannot be read might lead."""
    return any(source.seen.roles is None or None in source.seen.roles.values() for source in files)


# Keys that a source has where a noun stands, and boxes that every start form has.
KEYS = {*KINDS, *(key for noun in (Engine, Job, When, FailureMode) for key in noun.model_fields)} - {SHEET}
BOXES = frozenset({"job", "number", "vehicle", "unit", "who", "role", "procedure", "more", "agreed"})


def _taken(source: SourceFile[PartialTrade]) -> Iterator[Fault]:
    for word, on in (source.seen.works_on or {}).items():
        if word in KEYS:
            place = source.key_place("works_on", word)
            yield faults.TradeWordIsAKey(place, "works_on", word, tuple(sorted(KEYS)))
        for box in on.start if on is not None else ():
            if box in BOXES:
                place = source.key_place("works_on", word, "start", box)
                yield faults.TradeWordIsAKey(place, "start", box, tuple(sorted(BOXES)))


# --- every use of a word ----------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class TradeUse:
    """One word, where a source uses it: under which key, and the section that must declare it."""

    thing: str
    key: str
    word: str
    section: str
    place: Place


EXAMPLES = {
    "kinds": "kinds: {{{word}: {{label: What it is, stands: off}}}}",
    "lists": "lists: {{{word}: {{title: What is on it, before: before close-up}}}}",
    "gates": "gates: {{{word}: {{title: Before what}}}}",
    "roles": "roles: {{{word}: What they are}}",
}


def wrong_uses(uses: Iterable[TradeUse], names: Mapping[str, set[str]]) -> Iterator[Fault]:
    """Yield words that no file declares. `names`: all names under a section, also those whose meaning is broken."""
    for use in uses:
        if use.word not in names[use.section]:
            known = tuple(sorted(names[use.section]))
            yield faults.UnknownTradeWord(use.place, use.thing, use.key, use.word, use.section, known)


def names_in(sources: Iterable[SourceFile[PartialTrade]]) -> dict[str, set[str]]:
    """Return all names that these files have under each section, whole or broken."""
    files = list(sources)
    return {section: {name for file in files for name in getattr(file.seen, section) or {}} for section in SECTIONS}


def uses_of(source: SourceFile[Seen]) -> Iterator[TradeUse]:
    """Yield every word of the trade that a source uses, where it stands."""
    match source.seen:
        case PartialProcedure() as procedure:
            for loc, step in steps_of(procedure):
                thing = f'step "{step.id}"'
                for at, item in enumerate(step.opens):
                    yield TradeUse(thing, "kind", item.kind, "kinds", source.place(*loc, "opens", at, "kind"))
                    if item.list is not None:
                        yield TradeUse(thing, "list", item.list, "lists", source.place(*loc, "opens", at, "list"))
                yield from _of_gate(source, thing, step.gate, (*loc, "gate"))
        case PartialFailureModes() as modes:
            for at, row in held(modes.failure_modes):
                if row.gate is not None:
                    place = source.place("failure_modes", at, "gate")
                    yield TradeUse(f'failure mode "{row.row}"', "gate", row.gate, "gates", place)
        case PartialShop() as shop:
            for at, person in held(shop.people):
                place = source.place("people", at, "role")
                yield TradeUse(f'person "{person.initials}"', "role", person.role, "roles", place)
        case PartialTrade() as trade:
            yield from _of_trade(source, trade)


def _of_gate(source: FileNodes, thing: str, gate: str | Gate | list[str | Gate] | None, loc: Loc) -> Iterator[TradeUse]:
    if gate is None:
        return
    if isinstance(gate, list):
        for at, one in enumerate(gate):
            yield from _of_gate(source, thing, one, (*loc, at))
        return
    if isinstance(gate, str):
        yield TradeUse(thing, "gate", gate, "gates", source.place(*loc))
        return
    yield TradeUse(thing, "gate", gate.for_, "gates", source.place(*loc, "for"))
    yield from _each(source, thing, "kinds", gate.kinds, "kinds", (*loc, "kinds"))
    yield from _each(source, thing, "lists", gate.lists, "lists", (*loc, "lists"))


def _of_trade(source: FileNodes, trade: PartialTrade) -> Iterator[TradeUse]:
    for name, gate in (trade.gates or {}).items():
        if gate is None:
            continue
        for key in ("kinds", "all_kinds_but", "before_opening", "after_opening"):
            yield from _each(source, f'gate "{name}"', key, getattr(gate, key) or [], "kinds", ("gates", name, key))
        yield from _each(source, f'gate "{name}"', "lists", gate.lists, "lists", ("gates", name, "lists"))


def _each(source: FileNodes, thing: str, key: str, words: Iterable[str], section: str, loc: Loc) -> Iterator[TradeUse]:
    for at, word in enumerate(words):
        yield TradeUse(thing, key, word, section, source.place(*loc, at))


# --- the word that a sheet begins with --------------------------------------------------------------------------------


def sheet_words(nodes: Iterable[Node | None]) -> frozenset[str]:
    """Return what sheets may begin with, as the trade files among these say; without one, what they always could."""
    trades = [node for node in nodes if isinstance(node, MapNode) and sheet_word(node) == "trade"]
    works = [on for node in trades if isinstance(on := node.get("works_on"), MapNode)]
    return frozenset(key.text for on in works for key, _ in on.entries) - KEYS or frozenset({SHEET})


def sheet_word(node: MapNode) -> str:
    """Return the word that a sheet begins with, as it is written."""
    return node.entries[0][0].text if node.entries else SHEET


def in_model_words(node: MapNode, kind: str, words: frozenset[str]) -> MapNode:
    """Return a source with the model's own key in place of the word for what is worked on, wherever that is a key."""
    if words == {SHEET}:
        return node
    match kind:
        case "engine" | "job":
            return _renamed(node, words)
        case "procedure":
            return _each_below(node, "stages", partial(_stage, words=words))
        case "failure_modes":
            return _each_below(node, "failure_modes", partial(_renamed, words=words))
    return node


def said_twice(node: Node) -> Iterator[Fault]:
    """Yield where two words for what is worked on stand side by side. The reader sees two keys; in the model's words
    (`node`) they are one, and only one of the two counts."""
    entries = node.entries if isinstance(node, MapNode) else ()
    keys = [key for key, _ in entries if key.text == SHEET]
    for key in keys[1:]:
        yield faults.TwoTradeWords(key.place, keys[0].place.line)
    for below in (*(below for _, below in entries), *(node.items if isinstance(node, ListNode) else ())):
        yield from said_twice(below)


def _stage(node: MapNode, words: frozenset[str]) -> MapNode:
    return _each_below(_when(node, words), "steps", partial(_when, words=words))


def _renamed(node: MapNode, words: frozenset[str]) -> MapNode:
    entries = [(replace(key, text=SHEET) if key.text in words else key, below) for key, below in node.entries]
    return MapNode(entries, node.place)


def _when(node: MapNode, words: frozenset[str]) -> MapNode:
    return _changed(node, "when", lambda when: _renamed(when, words) if isinstance(when, MapNode) else when)


def _each_below(node: MapNode, name: str, change: Callable[[MapNode], MapNode]) -> MapNode:
    """Return a group in which every member of the list under a key is changed."""

    def changed(below: Node) -> Node:
        if not isinstance(below, ListNode):
            return below
        return replace(below, items=[change(item) if isinstance(item, MapNode) else item for item in below.items])

    return _changed(node, name, changed)


def _changed(node: MapNode, name: str, change: Callable[[Node], Node]) -> MapNode:
    return MapNode([(key, change(below) if key.text == name else below) for key, below in node.entries], node.place)
