"""Gates: which kinds each one holds, which gates a job must have, and where they cannot stand."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import get_args

from generator.compile.compose import Composed, Placed
from generator.compile.items import Ledger, Opening
from generator.compile.refs import References
from generator.faults import Fault
from generator.faults import job as faults
from generator.model import Gate, ItemKind, Turn
from generator.table_names import ListName

# What must never be left in, on or off when the gate passes. Common practice, no source; the airline counts of
# omissions (fasteners, pins and locking devices, caps) name the same kinds. The starter's gate lets some kinds through:
# the battery is connected after it; the car may still be on stands, without wheel and undertray; bolts have their
# lists; a cover may stay off for a look at the first run. The road's gate lets nothing through that is off, loose or
# in. It does not wait for a relearn, because a control unit may have to be driven first.
KINDS_BEFORE: dict[str, tuple[str, ...]] = {
    "strip-down": (),
    "hand-turn": ("pin", "locking-tool"),
    "starter": (
        "pin", "locking-tool", "plug", "rag", "tool", "turning-bar", "part", "proof", "fluid",
        "connector", "hose", "vacuum-line", "earth", "bleed-screw", "cap", "support",
    ),
    "road": tuple(kind for kind in get_args(ItemKind) if kind != "relearn"),
}  # fmt: skip
# A job that opens one of these must have the gate. The other kinds are only held where the gate stands: a connector
# alone does not call for a gate, because not every job ends with a car that is cranked or driven.
ASKS_FOR: dict[str, tuple[str, ...]] = {
    "starter": ("pin", "locking-tool", "plug", "rag", "tool", "turning-bar", "part", "proof", "fluid"),
    "road": ("wheel", "cap", "undertray", "stand", "support", "vacuum-line", "bleed-screw"),
}
LISTS_BEFORE: dict[str, tuple[ListName, ...]] = {
    "strip-down": (),
    "hand-turn": (),
    "starter": ("covers", "bay"),
    "road": ("road",),
}
SURE = ("starter", "road")  # a source can add kinds to these, but not take any away


@dataclass(frozen=True)
class GateRule:
    """The gate of one step: what must not be open when it passes."""

    name: str
    kinds: tuple[str, ...]
    lists: tuple[str, ...]

    @property
    def ready(self) -> bool:
        return self.name == "strip-down"

    def holds(self, opening: Opening, ledger: Ledger) -> bool:
        item = ledger.items.get(opening.event.what)
        return item is not None and (item.kind in self.kinds or item.list in self.lists)


def rule_of(placed: Placed) -> GateRule | None:
    gate = placed.step.gate
    if gate is None:
        return None
    written = Gate.model_validate({"for": gate}) if isinstance(gate, str) else gate
    name = written.for_
    sure = () if written.kinds and name not in SURE else KINDS_BEFORE[name]
    kinds = tuple(sorted({*sure, *written.kinds}))
    return GateRule(name, kinds, tuple(sorted({*LISTS_BEFORE[name], *written.lists})))


def holds_back(placed: Placed) -> bool:
    """True for a hold point: no later step can be done before it. Every gate is one."""
    return placed.step.hold or placed.step.gate is not None


def check_gates(composed: Composed, refs: References, ledger: Ledger) -> Iterator[Fault]:
    yield from _never_passes(refs, ledger)
    if composed.procedure.noun.stands_alone:
        yield from _kinds_nothing_opens(refs, ledger)
        yield from _wanted(composed, refs, ledger)


def _kinds_nothing_opens(refs: References, ledger: Ledger) -> Iterator[Fault]:
    opened = {item.kind for item in ledger.items.values()}
    lists = {item.list for item in ledger.items.values() if item.list}
    for placed in refs.steps:
        gate = placed.step.gate
        if not isinstance(gate, Gate):
            continue
        for index, kind in enumerate(gate.kinds):
            if kind not in opened:
                yield faults.GateKindUnused(
                    placed.place("gate", "kinds", index), placed.path, kind, tuple(sorted(opened))
                )
        for index, name in enumerate(gate.lists):
            if name not in lists:
                yield faults.GateListUnused(placed.place("gate", "lists", index), placed.path, name)


def _never_passes(refs: References, ledger: Ledger) -> Iterator[Fault]:
    """Yield gates that are reached with something of their kinds open that is closed only later: the job would be
    stuck."""
    for at, placed in enumerate(refs.steps):
        rule = rule_of(placed)
        if rule is None:
            continue
        for opening in ledger.open_at(at):
            if rule.holds(opening, ledger):
                closer = refs.steps[opening.closed_at].path if opening.closed_at is not None else None
                yield faults.GateNeverPasses(placed.place("gate"), placed.path, rule.name, opening.event.what, closer)


def _wanted(composed: Composed, refs: References, ledger: Ledger) -> Iterator[Fault]:
    first_turn = _first(refs, lambda p: isinstance(p.step.check, Turn))
    first_bolt = min((o.event.at for o in ledger.openings if _kind(o, ledger) == "bolt"), default=None)
    yield from _before(composed, refs, "hand-turn", first_turn, "the engine is turned by hand")
    yield from _before(composed, refs, "strip-down", first_bolt, "a bolt is loosened")
    for name in SURE:
        kinds = [kind for kind in ASKS_FOR[name] if any(_kind(o, ledger) == kind for o in ledger.openings)]
        if kinds and _gate_at(refs, name) is None:
            why = f"something of kind {kinds[0]} is opened"
            yield faults.GateMissing(composed.procedure.place("procedure"), name, why, None)


def _before(composed: Composed, refs: References, name: str, at: int | None, why: str) -> Iterator[Fault]:
    gate = _gate_at(refs, name)
    if at is not None and (gate is None or gate > at):
        yield faults.GateMissing(composed.procedure.place("procedure"), name, why, refs.steps[at].path)


def _first(refs: References, wanted: Callable[[Placed], bool]) -> int | None:
    return next((at for at, placed in enumerate(refs.steps) if wanted(placed)), None)


def _gate_at(refs: References, name: str) -> int | None:
    return _first(refs, lambda placed: (rule := rule_of(placed)) is not None and rule.name == name)


def _kind(opening: Opening, ledger: Ledger) -> str | None:
    item = ledger.items.get(opening.event.what)
    return item.kind if item else None
