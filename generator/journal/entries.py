"""Entries as a set: their order, their slots, and what stands in a slot after later entries answered earlier ones.

The same table as site_overrides/phone/journal/entries.js.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, TypedDict

from generator.canonical import canonical, code_units
from generator.journal.values import is_shaped
from generator.sheet_types import StepJson, WorksheetJson
from generator.table_names import EntryKind, ReturnKind
from generator.tables import RETURNS, SLOT_NAMES


class Entry(TypedDict):
    """As it was read: whoever wrote it may have made it of a kind that this version does not know (`is_known`)."""

    v: int
    id: str
    job: str
    device: str
    writer: str
    prev: str
    lamport: int
    at: str
    who: str
    sheet: str
    step: str
    part: str
    kind: EntryKind
    value: dict[str, Any]
    seen: list[str]


Key = tuple[str, ...]
IndexedBy = Literal["id", "slot", "step", "rest", "not-disturbed"] | ReturnKind  # what an entry is looked up by
# A job whose worksheet is not at hand.
NO_SHEET: WorksheetJson = {
    "v": 1,
    "shop": {"people": []},
    "stages": [],
    "steps": [],
    "values": {},
    "items": {},
    "needs": {},
}


def extra_step(path: str, took_off: bool) -> StepJson:
    """What a job asks about a thing that no worksheet has: what was taken off besides must be closed."""
    return {
        "path": path,
        "stage": 0,
        "check": {"kind": "tick"},
        "opens": [],
        "closes": [],
        "hold": False,
        "gate": None,
        "when": [],
        "after": [],
        "if_failed": None,
        "leave": "never" if took_off else "own",
        "may_refuse": False,
        "values": [],
        "was": [],
        "completion": False,
        "duty": "",
        "wording": "",
    }


def _named_field(entry: Mapping[str, object], name: str) -> object:
    return entry[name]


def _name_in(name: str) -> Callable[[Entry], str]:
    """Return the name of an entry's slot, with the entry's own part or id in place of <part> or <id>."""
    head, _, field = name.removesuffix(">").partition("<")
    return (lambda entry: f"{head}{_named_field(entry, field)}") if field else lambda entry: head


def _slot_of(in_job: str | None = None, on_step: str | None = None) -> Callable[[Entry], Key]:
    """Return the function that gives an entry's slot. A slot of the whole job has the step ""."""
    job, step = _name_in(in_job or ""), _name_in(on_step or "")
    if in_job is None:
        return lambda entry: (entry["step"], step(entry))
    if on_step is None:
        return lambda entry: ("", job(entry))
    return lambda entry: (entry["step"], step(entry)) if entry["step"] else ("", job(entry))


# The slot of each kind: entry -> (step, name). None if it has no slot of its own.
SLOTS: dict[str, Callable[[Entry], Key] | None] = {
    kind: _slot_of(names.get("job"), names.get("step")) if names else None for kind, names in SLOT_NAMES.items()
}


def is_known(entry: Entry) -> bool:
    """False for an entry of a later version, of a later kind, or of a shape that no phone writes. It does not count."""
    return entry["v"] == 1 and entry["kind"] in SLOTS and is_shaped(entry["value"])


def is_return(entry: Entry) -> bool:
    return entry["kind"] in RETURNS


def order(entry: Entry) -> tuple[int, str, str]:
    """Sort key of entries. Two entries with the same id tie here; then their canonical text decides."""
    return (entry["lamport"], code_units(entry["writer"]), code_units(entry["id"]))


def _full_order(entry: Entry) -> tuple[int, str, str, str]:
    return (*order(entry), code_units(canonical(entry)))


def after(y: Entry, x: Entry) -> bool:
    mine, yours = order(y), order(x)
    return mine > yours or (mine == yours and y is not x and _full_order(y) > _full_order(x))


def texts_of(values: Any) -> list[str]:
    """Return the texts among `values`, each once."""
    return list(dict.fromkeys(v for v in values if isinstance(v, str))) if isinstance(values, list) else []


def _keys_of(entry: Entry) -> list[Key]:
    """Return every key under which an entry is looked up later."""
    keys: list[Key] = [("id", entry["id"])]
    if not is_known(entry):
        return keys
    kind, slot_of = entry["kind"], SLOTS[entry["kind"]]
    if slot_of:
        slot = slot_of(entry)
        keys += [("slot", *slot), ("step", slot[0])]
    if kind == "back":
        reopened = texts_of([entry["step"], *texts_of(entry["value"].get("disturbs"))])
        keys += [("back", step) for step in reopened]
        keys += [("rest", step) for step in texts_of(entry["value"].get("rest"))]
    if kind in ("take-back", "not-disturbed"):
        keys += [(kind, id_) for id_ in texts_of(entry["seen"])]
    return keys


@dataclass(frozen=True)
class Gathered:
    """Entries in order, each once, with an index by slot, step, id and what they answer."""

    entries: list[Entry]
    index: dict[Key, list[Entry]]

    def found(self, by: IndexedBy, *name: str) -> list[Entry]:
        return self.index.get((by, *name), [])


def union(entries: Iterable[Entry], more: Iterable[Entry] = ()) -> list[Entry]:
    """Return every different entry of both, once, in order."""
    held: dict[str, list[Entry]] = {}
    for entry in [*entries, *more]:
        twins = held.setdefault(entry["id"], [])
        if not any(twin is entry or canonical(twin) == canonical(entry) for twin in twins):
            twins.append(entry)
    every = [entry for twins in held.values() for entry in twins]
    clash = any(len(twins) > 1 for twins in held.values())
    return sorted(every, key=_full_order if clash else order)


def gather(entries: Iterable[Entry]) -> Gathered:
    every = union(entries)
    index: dict[Key, list[Entry]] = {}
    for entry in every:
        for key in _keys_of(entry):
            index.setdefault(key, []).append(entry)
    return Gathered(every, index)


def add(gathered: Gathered, entry: Entry) -> Gathered:
    """Return `gathered` with one more entry. The old one is not changed."""
    if any(canonical(twin) == canonical(entry) for twin in gathered.found("id", entry["id"])):
        return gathered
    index = dict(gathered.index)
    for key in _keys_of(entry):
        index[key] = _placed(index.get(key, []), entry)
    return Gathered(_placed(gathered.entries, entry), index)


def _placed(entries: list[Entry], entry: Entry) -> list[Entry]:
    longer = list(entries)
    if not longer or after(entry, longer[-1]):
        longer.append(entry)
    else:
        insort(longer, entry, key=_full_order)
    return longer


def members(gathered: Gathered, own: Iterable[Entry]) -> list[Entry]:
    """Return the entries of some slots: their own, and every take-back of one of these."""
    every = {id(entry): entry for entry in own}
    waiting = list(every.values())
    for entry in waiting:
        for taker in gathered.found("take-back", entry["id"]):
            if id(taker) not in every and after(taker, entry):
                every[id(taker)] = taker
                waiting.append(taker)
    return sorted(waiting, key=_full_order) if len(waiting) > 1 else waiting


def of_job(gathered: Gathered, name: str) -> list[Entry]:
    return members(gathered, gathered.found("slot", "", name))


def of_step(gathered: Gathered, paths: list[str], name: str) -> list[Entry]:
    keys = [("slot", path, name) for path in paths] + [("back", path) for path in paths]
    return members(gathered, [entry for key in keys for entry in gathered.found(*key)])


def undone_of(gathered: Gathered) -> set[int]:
    """Return the `id()` of every entry that an effective take-back names.

    Goes from the newest entry back, so a take-back that was itself taken back is known before what it took back.
    """
    undone: set[int] = set()
    for entry in reversed(gathered.entries):
        takers = gathered.found("take-back", entry["id"])
        if any(id(taker) not in undone and after(taker, entry) for taker in takers):
            undone.add(id(entry))
    return undone


def heads_of(every: list[Entry], undone: set[int]) -> list[Entry]:
    """Return the entries of a slot that no later one names. What `undone` entries (by `id()`) name does not count."""
    named = {id_: entry for entry in every if id(entry) not in undone for id_ in entry["seen"]}
    return [entry for entry in every if entry["id"] not in named or not after(named[entry["id"]], entry)]


def _names(y: Entry, x: Entry) -> bool:
    return x["id"] in y["seen"] and after(y, x)


def _knew(gathered: Gathered, taker: Entry, answer: Entry) -> bool:
    """True if the author of the take-back had seen this answer, also through another entry."""
    waiting = list(taker["seen"])
    met = set(waiting)
    for id_ in waiting:
        if id_ == answer["id"]:
            return True
        older = {old for entry in gathered.found("id", id_) for old in entry["seen"]} - met
        met |= older
        waiting += older
    return False


def kind_in(every: list[Entry], entry: Entry) -> EntryKind:
    """Return the kind of an entry. A settlement has the kind of the answer it chose."""
    if entry["kind"] != "settle":
        return entry["kind"]
    chosen = [
        other["kind"]
        for other in every
        if other["kind"] != "settle"
        and not is_return(other)
        and _names(entry, other)
        and canonical(other["value"]) == canonical(entry["value"])
    ]
    return chosen[-1] if chosen else ("check" if entry["step"] else "read")


def _unanswers(every: list[Entry], entry: Entry) -> bool:
    """True if a return empties the slot. To take back a go-back or a take-back restores the answer instead."""
    return entry["kind"] == "back" or any(not is_return(other) and _names(entry, other) for other in every)


@dataclass(frozen=True)
class Answer:
    entry: Entry
    kind: EntryKind


@dataclass(frozen=True)
class Standing:
    """What stands in a slot: its answers in order; `disputed` if they differ, `returned` if one says "no answer"."""

    answers: list[Answer]
    disputed: bool = False
    returned: bool = False


def _said(answer: Answer) -> str:
    """Return what an answer says. Who read a value first and who second makes no difference."""
    value = answer.entry["value"]
    return canonical({key: of for key, of in value.items() if key != "second"} if answer.kind == "read" else value)


def _standing(gathered: Gathered, undone: set[int], every: list[Entry]) -> Standing:
    heads = heads_of(every, undone)
    answers = [Answer(head, kind_in(every, head)) for head in heads if not is_return(head)]
    if not answers:
        return Standing([])
    returns = [head for head in heads if is_return(head) and _unanswers(every, head)]
    differ = len({(answer.kind, _said(answer)) for answer in answers}) > 1
    returned = any(
        head["kind"] == "back" or not _knew(gathered, head, answer.entry) for head in returns for answer in answers
    )
    return Standing(answers, differ or returned, returned)


def standing_in_job(gathered: Gathered, undone: set[int], name: str) -> Standing:
    return _standing(gathered, undone, of_job(gathered, name))


def standing_in_step(gathered: Gathered, undone: set[int], paths: list[str], name: str) -> Standing:
    """`paths`: where the step is now, and where it was before."""
    return _standing(gathered, undone, of_step(gathered, paths, name))


def answered_in(gathered: Gathered, undone: set[int], paths: list[str], part: str) -> list[Entry]:
    """Return the answers to a part that nobody took back or went back on since, also those corrected later."""
    every = [entry for entry in of_step(gathered, paths, f"part:{part}") if id(entry) not in undone]
    returns = [entry for entry in every if is_return(entry)]
    answers = [entry for entry in every if entry["kind"] in ("check", "settle")]
    return [entry for entry in answers if not any(_names(back, entry) for back in returns)]


def homes_of(sheet: WorksheetJson | None) -> dict[str, list[str]]:
    """Return each present path with all paths its entries may be on, itself first. A path in use never moves."""
    steps = sheet["steps"] if sheet else []
    taken = {step["path"] for step in steps}
    homes: dict[str, list[str]] = {}
    for step in steps:
        old = [path for path in step["was"] if path not in taken]
        taken.update(old)
        homes[step["path"]] = [step["path"], *dict.fromkeys(old)]
    return homes
