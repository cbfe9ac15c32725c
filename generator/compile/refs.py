"""What a step's references mean in a composed job: ids, `alias/id` and landmarks become paths and positions."""

from __future__ import annotations

from dataclasses import dataclass, field

from generator.check import Library
from generator.check.asked import uses_of
from generator.compile.compose import Composed, FoundCondition, Placed, ProcedureUse, nouns_of
from generator.faults import Fault, nearest
from generator.faults import job as faults
from generator.model import Inspect, Sign, Stage
from generator.place import Place

Conditions = frozenset[tuple[str, str]]  # (path of a finding, its outcome); all of them must hold


@dataclass(frozen=True)
class Resolved:
    """The references of one step, as paths of steps that are in the job."""

    when: Conditions
    after: tuple[str, ...]
    back_to: str | None
    disturbs: tuple[str, ...]
    sign_of: tuple[str, ...]


@dataclass
class References:
    """Every reference to a step, resolved. `order` has the positions of the present steps, `outcomes` those of
    findings."""

    order: dict[str, int] = field(default_factory=dict)
    landmarks: dict[str, str] = field(default_factory=dict)
    outcomes: dict[str, tuple[str, ...]] = field(default_factory=dict)
    of: dict[str, Resolved] = field(default_factory=dict)
    deciding: set[str] = field(default_factory=set)
    steps: list[Placed] = field(default_factory=list)
    elsewhere: frozenset[str] = frozenset()
    faults: list[Fault] = field(default_factory=list)


def landmarks_of(library: Library) -> frozenset[str]:
    """Return every landmark of every procedure, as written and as an include renames it."""
    found: set[str] = set()
    for procedure in library.procedures.values():
        for part in procedure.noun.stages:
            if isinstance(part, Stage):
                found |= {step.landmark for step in part.steps if step.landmark}
            else:
                for use in uses_of(part, nouns_of(library)):
                    found |= {outer.replace("_", "-") for outer in (*use.things.values(), *use.common.values())}
    return frozenset(found)


def resolve(composed: Composed, elsewhere: frozenset[str] = frozenset()) -> References:
    """Resolve all references. Ignore one to a landmark in `elsewhere`, which only a whole job has.

    Leave out a step whose `found:` asks about a step that this engine does not have.
    """
    refs = References(elsewhere=elsewhere)
    everywhere = {placed.path: placed for placed in composed.steps}
    _landmarks(composed, refs)
    refs.steps = _drop_unaskable(composed, refs, everywhere)
    refs.order = {placed.path: index for index, placed in enumerate(refs.steps)}
    refs.outcomes = {p.path: tuple(p.step.check.inspect) for p in refs.steps if isinstance(p.step.check, Inspect)}
    for placed in refs.steps:
        refs.of[placed.path] = _Resolving(refs, everywhere, placed).all()
    return refs


def find(refs: References, everywhere: dict[str, Placed], scope: ProcedureUse, name: str) -> str | None:
    """Return the path that `name` means inside `scope`: an id of the same procedure, `alias/id`, or a landmark."""
    if scope.prefix + name in everywhere:
        return scope.prefix + name
    return refs.landmarks.get(scope.landmark(name))


def _landmarks(composed: Composed, refs: References) -> None:
    for placed in composed.steps:
        if placed.step.landmark is None:
            continue
        landmark = placed.scope.landmark(placed.step.landmark)
        first = refs.landmarks.get(landmark)
        if first is not None and placed.present and _present(composed, first):
            refs.faults.append(faults.LandmarkTwice(placed.place("landmark"), landmark, first))
        if first is None or not _present(composed, first):
            refs.landmarks[landmark] = placed.path


def _present(composed: Composed, path: str) -> bool:
    return any(placed.path == path and placed.present for placed in composed.steps)


def _drop_unaskable(composed: Composed, refs: References, everywhere: dict[str, Placed]) -> list[Placed]:
    kept: list[Placed] = []
    paths: set[str] = set()
    for placed in composed.steps:
        targets = [find(refs, everywhere, asked.scope, asked.step) for asked in placed.asked]
        missing = [t for t in targets if t is not None and t not in paths and not everywhere[t].present]
        if placed.present and not missing:
            kept.append(placed)
            paths.add(placed.path)
    return kept


@dataclass
class _Resolving:
    refs: References
    everywhere: dict[str, Placed]
    placed: Placed

    def all(self) -> Resolved:
        step, here = self.placed.step, self.placed
        failed = step.if_failed
        back_to = self._back_to() if failed and failed.back_to else None
        disturbs = self._disturbs(back_to)
        sign_of: tuple[str, ...] = ()
        if isinstance(step.check, Sign):
            found = [self._earlier(name, here.place("check", "of", i)) for i, name in enumerate(step.check.of)]
            sign_of = tuple(path for path in found if path)
        after = [self._earlier(name, here.place("after", i)) for i, name in enumerate(step.after)]
        when = frozenset(pair for pair in map(self._condition, here.asked) if pair)
        return Resolved(when, tuple(path for path in after if path), back_to, disturbs, sign_of)

    def _back_to(self) -> str | None:
        assert self.placed.step.if_failed and self.placed.step.if_failed.back_to
        name, place = self.placed.step.if_failed.back_to, self.placed.place("if_failed", "back_to")
        path = self._known(name, place)
        if path is None:
            return None
        if path not in self.refs.order:
            self.refs.faults.append(faults.BackToLeftOut(place, self.placed.path, name))
            return None
        if self.refs.order[path] > self.refs.order[self.placed.path]:
            self.refs.faults.append(faults.BackToLater(place, self.placed.path, name))
            return None
        return path

    def _disturbs(self, back_to: str | None) -> tuple[str, ...]:
        failed = self.placed.step.if_failed
        if failed is None:
            return ()
        paths = []
        for index, name in enumerate(failed.disturbs):
            path = self._earlier(name, self.placed.place("if_failed", "disturbs", index))
            if path:
                paths.append(path)
        own = {*paths, self.placed.path} | ({back_to} if back_to else set())
        return tuple(sorted(own, key=self.refs.order.__getitem__)) if back_to else ()

    def _condition(self, asked: FoundCondition) -> tuple[str, str] | None:
        path = find(self.refs, self.everywhere, asked.scope, asked.step)
        if path is None:
            self._unknown(asked.step, asked.place, asked.scope)
            return None
        outcomes = self.refs.outcomes.get(path)
        if outcomes is None:
            self.refs.faults.append(faults.NotAFinding(asked.place, self.placed.path, asked.step))
            return None
        if asked.outcome not in outcomes:
            self.refs.faults.append(faults.UnknownOutcome(asked.place, asked.step, asked.outcome, outcomes))
            return None
        if self.refs.order[path] >= self.refs.order[self.placed.path]:
            self.refs.faults.append(faults.FoundLater(asked.place, self.placed.path, asked.step))
            return None
        self.refs.deciding.add(path)
        return path, asked.outcome

    def _earlier(self, name: str, place: Place) -> str | None:
        """Return the path of an earlier step, or nothing if this engine has no such step."""
        path = self._known(name, place)
        if path is None or path not in self.refs.order:
            return None
        if self.refs.order[path] > self.refs.order[self.placed.path]:
            self.refs.faults.append(faults.NamesALaterStep(place, self.placed.path, name))
            return None
        return path

    def _known(self, name: str, place: Place) -> str | None:
        path = find(self.refs, self.everywhere, self.placed.scope, name)
        if path is None:
            self._unknown(name, place, self.placed.scope)
        return path

    def _unknown(self, name: str, place: Place, scope: ProcedureUse) -> None:
        if scope.landmark(name) in self.refs.elsewhere:
            return
        prefix = scope.prefix
        local = [path[len(prefix) :] for path in self.everywhere if path.startswith(prefix)]
        near = nearest(name, tuple(sorted(self.refs.elsewhere)))  # of a part: what only a whole job has
        known = tuple(sorted({*local, *self.refs.landmarks, *([near] if near else [])}))
        self.refs.faults.append(faults.UnknownStep(place, self.placed.path, name, known))
