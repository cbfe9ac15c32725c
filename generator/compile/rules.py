"""Rules of the trade on a composed job. Each is a plain function that yields faults; the list is at the bottom."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import assert_never

from generator.check.check_offs import named_by
from generator.check.one_engine import fields_for, written_fields
from generator.check.one_procedure import KINDS_FOR
from generator.compile.compose import Composed, Placed, can_both_be
from generator.compile.counts import check_counts
from generator.compile.gates import check_gates, holds_back, is_qualified_look, rule_of
from generator.compile.items import Ledger, closing_name, ends_open
from generator.compile.job_results import Workings, holds_can_be_known, known_when_shown, tolerances_are_given
from generator.compile.job_values import JobValues, figure_of, is_of_kind
from generator.compile.refs import References
from generator.faults import Fault
from generator.faults import job as faults
from generator.model import EngineValue, Inspect, Leave, Measure, Photo, Sign, Tick, Tighten, Turn, Wait
from generator.place import Place
from generator.quantities.nearness import is_near


@dataclass(frozen=True)
class ResolvedJob:
    """A composed job with everything worked out about it, for the rules and for writing the sheet."""

    composed: Composed
    refs: References
    values: JobValues
    ledger: Ledger
    workings: Workings

    @property
    def steps(self) -> list[Placed]:
        return self.refs.steps


def results_are_known_when_shown(job: ResolvedJob) -> Iterator[Fault]:
    yield from known_when_shown(job.steps, job.workings, job.composed.procedure.noun.stands_alone)


def holds_are_known_in_the_end(job: ResolvedJob) -> Iterator[Fault]:
    yield from holds_can_be_known(job.steps, job.workings, job.refs)


def tolerances_are_there(job: ResolvedJob) -> Iterator[Fault]:
    yield from tolerances_are_given(job.workings, job.values, job.composed.engine)


def nothing_left_open(job: ResolvedJob) -> Iterator[Fault]:
    """A composed job ends with nothing loose, off, in or owed."""
    if job.composed.procedure.noun.stands_alone:
        yield from ends_open(job.ledger)


def gates_stand_right(job: ResolvedJob) -> Iterator[Fault]:
    yield from check_gates(job.composed, job.refs, job.ledger)


def bolts_are_tightened(job: ResolvedJob) -> Iterator[Fault]:
    """A loosened bolt is closed by a tightening, and one tightening closes one kind of bolt."""
    for placed in job.steps:
        bolts = []
        for index, closing in enumerate(placed.step.closes):
            what = placed.scope.thing(closing_name(closing))
            item = job.ledger.items.get(what)
            if item is not None and job.composed.trade.closed_by(item.kind, "tighten"):
                bolts.append((index, what))
        if bolts and not isinstance(placed.step.check, Tighten):
            index, what = bolts[0]
            yield faults.BoltNotTightened(placed.place("closes", index), placed.path, what)
        if len(bolts) > 1 and isinstance(placed.step.check, Tighten):
            index, what = bolts[1]
            yield faults.TwoBoltsOneValue(placed.place("closes", index), placed.path, bolts[0][1], what)


def lists_are_of_bolts(job: ResolvedJob) -> Iterator[Fault]:
    """What is tightened is on a list, if the gates of the job go by lists; nothing else is. Which gates a job has is
    known of a whole job alone."""
    trade = job.composed.trade
    rules = [rule for placed in job.steps if (rule := rule_of(placed, job.composed))]
    by_list = [rule for rule in rules if rule.lists] if job.composed.procedure.noun.stands_alone else []
    lists = tuple(sorted({name for rule in by_list for name in rule.lists}))
    closed = [opening for opening in job.ledger.openings if opening.closed_at is not None]
    closers = {opening.event.what: job.steps[opening.closed_at or 0] for opening in closed}
    for placed in job.steps:
        for index, item in enumerate(placed.step.opens):
            what, is_bolt = placed.scope.thing(item.what), trade.closed_by(item.kind, "tighten")
            closer = closers.get(what)
            if item.list is not None and not is_bolt and closer and _is_what_it_tightens(closer, job):
                place = Place(trade.kinds[item.kind].file)
                yield faults.KindIsTightened(place, item.kind, closer.path, what)
            elif item.list is not None and not is_bolt and closer:  # where it is closed says what it is
                bolts = tuple(kind for kind in trade.kinds if trade.closed_by(kind, "tighten"))
                place = placed.place("opens", index, "list")
                yield faults.ListOfOthers(place, placed.path, what, item.kind, item.list, bolts)
            elif item.list is None and is_bolt:
                passing = next((rule.names[0] for rule in by_list if item.kind not in rule.kinds), None)
                if passing:
                    yield faults.BoltOnNoList(placed.place("opens", index), placed.path, what, passing, lists)


def _is_what_it_tightens(closer: Placed, job: ResolvedJob) -> bool:
    """True if a step tightens what it closes, and not a bolt beside which it closes other things too."""
    closed = [job.ledger.items.get(closer.scope.thing(closing_name(closing))) for closing in closer.step.closes]
    bolts = [item for item in closed if item and job.composed.trade.closed_by(item.kind, "tighten")]
    return isinstance(closer.step.check, Tighten) and not bolts


def bolts_are_counted(job: ResolvedJob) -> Iterator[Fault]:
    yield from check_counts(job.composed, job.refs, job.values, job.ledger)


def loosened_says_reuse(job: ResolvedJob) -> Iterator[Fault]:
    """A fastener that is loosened says in the engine sheet whether it may be used again."""
    for placed in job.steps:
        if not isinstance(placed.step.check, Tighten) or not placed.step.closes:
            continue
        name = placed.scope.name(placed.step.check.tighten)
        value = job.values.given.get(name)
        if value is not None and value.missing is None and value.reuse is None:
            yield faults.ReuseUnsaid(job.composed.engine.place("values", name), name)


def proofs_prove(job: ResolvedJob) -> Iterator[Fault]:
    """What an inspection alone closes is closed by one that holds and says what a failure asks. Where the trade says
    `after:`, of any kind, such a check-off comes in between: turns by hand, or a wait under load."""
    for opening in job.ledger.openings:
        item = job.ledger.items.get(opening.event.what)
        word = job.composed.trade.kinds.get(item.kind) if item else None
        if word is None or opening.closed_at is None:
            continue
        closer = job.steps[opening.closed_at]
        is_proof = word.means.closed_by == "inspect"
        if is_proof and not (isinstance(closer.step.check, Inspect) and holds_back(closer) and closer.step.if_failed):
            yield faults.ProofTooWeak(closer.place("check"), closer.path, opening.event.what)
        between = job.steps[opening.event.at + 1 : opening.closed_at]
        wanted = word.means.after
        if wanted and not any(named_by(placed.step.check).kind == wanted for placed in between):
            yield faults.ProofTooEarly(closer.place("closes"), closer.path, opening.event.what, wanted)


def check_offs_get_what_they_count(job: ResolvedJob) -> Iterator[Fault]:
    """A wait counts a time, a turn a number, a tightening a torque or an angle. A value that fits no procedure has its
    fault already. This one fits another procedure, which asks for the same name as another kind."""
    for placed in job.steps:
        for key, inner in named_by(placed.step.check).values:
            name = placed.scope.name(inner)
            value, wanted = job.values.given.get(name), KINDS_FOR.get(key)
            said = _given_as(value) if value else []
            if not value or not wanted or said in ([], ["missing"]) or is_of_kind(value, wanted):
                continue
            kinds = job.values.kinds.get(name, ())
            if not kinds or said[0] in fields_for(kinds):
                place = job.composed.engine.key_place("values", name, said[0])
                yield faults.ValueOfAnotherKind(place, placed.path, key, name, value.shown or said[0], wanted)


def _given_as(value: EngineValue) -> list[str]:
    """The field that gives a value, if any does; a count alone is its own value. One that is called missing gives
    none, whatever else is written."""
    if value.missing is not None:
        return ["missing"]
    return written_fields(value)[:1] or (["count"] if value.count is not None else [])


def values_keep_their_bounds(job: ResolvedJob) -> Iterator[Fault]:
    """A value that a procedure sets against another is no more than that, in whatever units the two are given."""
    values, engine = job.values, job.composed.engine
    for name, other in sorted(values.bounds):
        figure, most = figure_of(name, values), figure_of(other, values)
        if figure is not None and most is not None and figure > most and not is_near(figure, most):
            place = engine.place("values", name, _given_as(values.given[name])[0])
            text, other_text = values.given[name].shown or "", values.given[other].shown or ""
            yield faults.OverItsBound(place, name, text, other, other_text)


def turns_are_two_or_more(job: ResolvedJob) -> Iterator[Fault]:
    for placed in job.steps:
        if isinstance(placed.step.check, Turn):
            name = placed.scope.name(placed.step.check.turn)
            count = job.values.count(name)
            if count is not None and count < 2:
                yield faults.TurnsUnderTwo(job.composed.engine.place("values", name, "count"), name, count)


def waits_are_waited_for(job: ResolvedJob) -> Iterator[Fault]:
    """A running wait blocks only steps that name it. If none names it, it would block nothing."""
    if not job.composed.procedure.noun.stands_alone:
        return
    named = {path for resolved in job.refs.of.values() for path in resolved.after}
    for placed in job.steps:
        if isinstance(placed.step.check, Wait) and placed.path not in named:
            yield faults.WaitForNothing(placed.place("check"), placed.path)


def second_look_is_of_work(job: ResolvedJob) -> Iterator[Fault]:
    """A signature names the steps whose work it looks at again. Another signature is not such work."""
    by_path = {placed.path: placed for placed in job.steps}
    for placed in job.steps:
        for path in job.refs.of[placed.path].sign_of:
            if isinstance(by_path[path].step.check, Sign):
                yield faults.SignsASignature(placed.place("check", "of"), placed.path, path)


def no_customer_refuses_a_qualified_look(job: ResolvedJob) -> Iterator[Fault]:
    for placed in job.steps:
        if is_qualified_look(placed) and placed.step.may_refuse:
            yield faults.RefusesALook(placed.place("may_refuse"), placed.path)


def old_ids_are_free(job: ResolvedJob) -> Iterator[Fault]:
    """The id after `was` is no step's any more, and one step takes its entries. Steps that this sheet leaves out count
    too, unless the two are made for different words of a fact: then no job has both."""
    by_path = {placed.path: placed for placed in job.composed.steps}
    taken: dict[str, Placed] = {}
    for placed in job.composed.steps:
        if placed.step.was is None:
            continue
        old, place = placed.scope.prefix + placed.step.was, placed.place("was")
        other, first = by_path.get(old), taken.setdefault(old, placed)
        if other and can_both_be(placed, other, job.composed):
            yield faults.WasStillThere(place, placed.path, old)
        elif first is not placed and can_both_be(placed, first, job.composed):
            yield faults.WasTwice(place, placed.path, old, first.path)


def stops_hold(job: ResolvedJob) -> Iterator[Fault]:
    """A step that can stop the job is a hold, so that nothing after it can be done."""
    for placed in job.steps:
        if placed.step.if_failed and placed.step.if_failed.stop and not holds_back(placed):
            yield faults.StopDoesNotHold(placed.place("if_failed", "stop"), placed.path)


def ends_by_a_completion_item(job: ResolvedJob) -> Iterator[Fault]:
    if not job.composed.procedure.noun.stands_alone:
        return
    last = [placed for placed in job.steps if placed.step.completion]
    if not last:
        yield faults.CompletionMissing(job.composed.procedure.place("procedure"), job.composed.procedure.noun.procedure)
    for placed in last:
        if placed is not job.steps[-1]:
            yield faults.CompletionNotLast(placed.place("completion"), placed.path, job.steps[-1].path)


def deciding_steps_cannot_be_left(job: ResolvedJob) -> Iterator[Fault]:
    """A finding that decides what follows, a hold and a gate are never left out, so `leave` must not allow it."""
    for placed in job.steps:
        leave = placed.step.leave
        if leave in ("own", "lead") and (holds_back(placed) or placed.path in job.refs.deciding):
            yield faults.LeaveTooEasy(placed.place("leave"), placed.path, leave)


JobRule = Callable[[ResolvedJob], Iterator[Fault]]
RULES: tuple[JobRule, ...] = (
    nothing_left_open,
    gates_stand_right,
    bolts_are_tightened,
    lists_are_of_bolts,
    bolts_are_counted,
    loosened_says_reuse,
    proofs_prove,
    check_offs_get_what_they_count,
    values_keep_their_bounds,
    turns_are_two_or_more,
    waits_are_waited_for,
    second_look_is_of_work,
    no_customer_refuses_a_qualified_look,
    old_ids_are_free,
    stops_hold,
    results_are_known_when_shown,
    holds_are_known_in_the_end,
    tolerances_are_there,
    ends_by_a_completion_item,
    deciding_steps_cannot_be_left,
)


def leave_of(placed: Placed, job: ResolvedJob) -> Leave:
    """Return who may leave this step out: anybody with a reason, the lead, or nobody. A step may only make it
    stricter."""
    strict: dict[Leave, int] = {"own": 0, "lead": 1, "never": 2}
    return max(_least_leave(placed, job), placed.step.leave or "own", key=strict.__getitem__)


def _least_leave(placed: Placed, job: ResolvedJob) -> Leave:
    if holds_back(placed) or placed.step.completion or placed.path in job.refs.deciding:
        return "never"
    check = placed.step.check
    match check:
        case Tighten():
            name = placed.scope.name(check.tighten)
            critical = name in job.values.needs and job.values.class_of(name) == "critical"
            return "lead" if critical else "own"
        case Wait() | Turn() | Sign():
            return "lead"
        case "tick" | Tick() | Measure() | Inspect() | Photo():
            return "own"
        case _ as never:
            assert_never(never)
