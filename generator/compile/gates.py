"""Gates: which kinds each one holds, which gates a job must have, and where they cannot stand."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from generator.check.check_offs import named_by
from generator.compile.compose import Composed, Placed
from generator.compile.items import Ledger, Opening
from generator.compile.refs import References
from generator.faults import Fault
from generator.faults import job as faults
from generator.model import Gate, Sign, gates_of
from generator.place import Place


@dataclass(frozen=True)
class GateRule:
    """The gate of one step, or all of them as one: what must not be open when it passes."""

    names: tuple[str, ...]
    kinds: tuple[str, ...]
    lists: tuple[str, ...]
    ready: bool  # waits for the preparation

    def holds(self, opening: Opening, ledger: Ledger) -> bool:
        item = ledger.items.get(opening.event.what)
        return item is not None and (item.kind in self.kinds or item.list in self.lists)


def rule_of(placed: Placed, composed: Composed) -> GateRule | None:
    """Return what the gates of a step wait for: what the trade says of each, and what the step adds."""
    rules = [_rule_of(gate, composed) for _, gate in gates_of(placed.step.gate)]
    if not rules:
        return None
    rules.sort(key=lambda rule: not rule.ready)  # the gate of the preparation gives it its title
    return GateRule(
        tuple(dict.fromkeys(name for rule in rules for name in rule.names)),
        tuple(sorted({kind for rule in rules for kind in rule.kinds})),
        tuple(sorted({name for rule in rules for name in rule.lists})),
        any(rule.ready for rule in rules),
    )


def _rule_of(written: Gate, composed: Composed) -> GateRule:
    name, trade = written.for_, composed.trade
    means = trade.gates[name].means
    sure = () if written.kinds and not means.fixed else trade.kinds_before(name, composed.opened_kinds)
    kinds = tuple(sorted({*sure, *written.kinds}))
    return GateRule((name,), kinds, tuple(sorted({*means.lists, *written.lists})), means.preparation)


def holds_back(placed: Placed) -> bool:
    """True for a hold point: no later step can be done before it. Every gate is one, and every permit."""
    return placed.step.hold or placed.step.gate is not None or is_permit(placed)


def is_qualified_look(placed: Placed) -> bool:
    """True for a signature that only somebody qualified gives."""
    return isinstance(placed.step.check, Sign) and placed.step.check.qualified


def is_permit(placed: Placed) -> bool:
    return isinstance(placed.step.check, Sign) and placed.step.check.permit is not None


def check_gates(composed: Composed, refs: References, ledger: Ledger) -> Iterator[Fault]:
    yield from _never_passes(composed, refs, ledger)
    if composed.procedure.noun.stands_alone:
        yield from _kinds_nothing_opens(refs, ledger)
        yield from _wanted(composed, refs, ledger)


def _kinds_nothing_opens(refs: References, ledger: Ledger) -> Iterator[Fault]:
    opened = {item.kind for item in ledger.items.values()}
    lists = {item.list for item in ledger.items.values() if item.list}
    for placed in refs.steps:
        for at, gate in gates_of(placed.step.gate):
            for index, kind in enumerate(gate.kinds):
                if kind not in opened:
                    place = placed.place("gate", *at, "kinds", index)
                    yield faults.GateKindUnused(place, placed.path, kind, tuple(sorted(opened)))
            for index, name in enumerate(gate.lists):
                if name not in lists:
                    yield faults.GateListUnused(placed.place("gate", *at, "lists", index), placed.path, name)


def _never_passes(composed: Composed, refs: References, ledger: Ledger) -> Iterator[Fault]:
    """Yield gates that are reached with something of their kinds open that is closed only later: the job would be
    stuck."""
    for at, placed in enumerate(refs.steps):
        told: set[str] = set()
        for index, gate in gates_of(placed.step.gate):
            if gate.for_ in told:
                yield faults.GateTwice(placed.place("gate", *index), placed.path, gate.for_)
            told.add(gate.for_)
            rule, place = _rule_of(gate, composed), placed.place("gate", *index)
            if not (rule.kinds or rule.lists or rule.ready):
                yield faults.GateWaitsForNothing(place, placed.path, gate.for_)
            for opening in ledger.open_at(at):
                if rule.holds(opening, ledger):
                    closer = refs.steps[opening.closed_at].path if opening.closed_at is not None else None
                    part = closer is None and not composed.procedure.noun.stands_alone
                    yield faults.GateNeverPasses(place, placed.path, gate.for_, opening.event.what, closer, part)


def _wanted(composed: Composed, refs: References, ledger: Ledger) -> Iterator[Fault]:
    """Yield gates that the trade wants of this job and that are not there, or stand too late."""
    for name, word in composed.trade.gates.items():
        if not composed.trade.near(word.file, composed.home):
            continue
        gate, means = _gate_at(composed, refs, name), word.means
        for check in means.before_check:
            at = next((at for at, one in enumerate(refs.steps) if named_by(one.step.check).kind == check), None)
            yield from _before(composed, refs, name, gate, at, f"it has the check-off {check}")
        for kind in means.before_opening:
            at = min((o.event.at for o in ledger.openings if _kind(o, ledger) == kind), default=None)
            yield from _before(composed, refs, name, gate, at, f"it opens something of kind {kind}")
        after = [kind for kind in means.after_opening if any(_kind(o, ledger) == kind for o in ledger.openings)]
        if after and gate is None:
            why = f"it opens something of kind {after[0]}"
            at = min(o.event.at for o in ledger.openings if _kind(o, ledger) == after[0])
            yield faults.GateMissing(_place_of(composed, refs, at), name, why, None)


def _before(
    composed: Composed, refs: References, name: str, gate: int | None, at: int | None, why: str
) -> Iterator[Fault]:
    if at is not None and (gate is None or gate > at):
        yield faults.GateMissing(_place_of(composed, refs, at), name, why, refs.steps[at].path)


def _place_of(composed: Composed, refs: References, at: int) -> Place:
    """Return where the job's own file has a step: the step itself, or the include that brings it."""
    if at < 0:
        return composed.procedure.place("procedure")
    alias, _, inside = refs.steps[at].path.partition("/")
    for included in composed.includes:
        if inside and included.inner.prefix == f"{alias}/":
            return included.outer.place(*included.loc, "include")
    return refs.steps[at].place("id")


def _first(refs: References, wanted: Callable[[Placed], bool]) -> int | None:
    return next((at for at, placed in enumerate(refs.steps) if wanted(placed)), None)


def _gate_at(composed: Composed, refs: References, name: str) -> int | None:
    return _first(refs, lambda placed: (rule := rule_of(placed, composed)) is not None and name in rule.names)


def _kind(opening: Opening, ledger: Ledger) -> str | None:
    item = ledger.items.get(opening.event.what)
    return item.kind if item else None
