"""Write a composed job as a worksheet: plain data, canonical, with the digests of its steps."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, TypedDict, assert_never

from generator.canonical import Json, by_name, canonical, digest
from generator.check import Library
from generator.check.asked import steps_of
from generator.check.check_offs import named_by
from generator.check.result_formulas import readings_of
from generator.compile.compose import Placed, ProcedureUse, StageUse
from generator.compile.doubts import with_doubts
from generator.compile.figure_data import (
    givens_json,
    library_divisions,
    reading_json,
    result_json,
    tables_json,
    units_json,
    with_limits_beside,
)
from generator.compile.gates import GateRule, holds_back, rule_of
from generator.compile.items import closing_name
from generator.compile.job_values import JobValues, limits_of, pulls, seconds, sheet_value, time_of
from generator.compile.rules import ResolvedJob, leave_of
from generator.compile.tightening import adapters_json, kind_of_pull, no_wrench, wrenches_json
from generator.compile.trade_data import trade_json
from generator.model import (
    Caution,
    CloseItem,
    Engine,
    Inspect,
    Measure,
    OrderedPart,
    Part,
    Photo,
    Shop,
    Sign,
    Tick,
    Tighten,
    Turn,
    Wait,
    worst_first,
)
from generator.quantities.quantity import Quantity
from generator.quantities.trees import SETTING
from generator.richtext import names_in, plain, rich
from generator.sheet_types import (
    BudgetJson,
    CautionJson,
    CheckJson,
    ClosedJson,
    EngineJson,
    GateJson,
    GivenJson,
    IfFailedJson,
    ItemJson,
    NeedsJson,
    OutcomeJson,
    PartJson,
    PersonJson,
    PullJson,
    ReadingJson,
    ResultJson,
    ShopJson,
    StageJson,
    StepJson,
    TableJson,
    TorqueJson,
    UnitJson,
    ValueJson,
    WorksheetJson,
)
from generator.tables import DUTY, WORDING
from generator.worksheet import checked

BREAK = 600  # seconds; for a shop or a signature that states no break


class FiguresJson(TypedDict):
    """What a worksheet says of readings and results."""

    readings: dict[str, ReadingJson]
    results: list[ResultJson]
    tables: dict[str, TableJson]
    givens: dict[str, GivenJson]
    units: dict[str, UnitJson]


def digest_of(data: object) -> str:
    """Return the SHA-256 (hex) of the canonical JSON."""
    return digest(canonical(data))


def write_sheet(job: ResolvedJob, library: Library) -> WorksheetJson:
    """Return the worksheet of docs/format.md, version 1."""
    engine, procedure = job.composed.engine.noun, job.composed.procedure.noun
    stages, stage_of = _stages(job)
    used = _used_values(job)
    asked = {name for result in job.workings.results.values() for name in result.inputs if name.endswith(".tolerance")}
    values = {name: sheet_value(name, job.values, f"{name}.tolerance" in asked) for name in sorted(used)}
    figures, shop = _figures(job, library, values), library.shop.noun if library.shop else None
    steps = with_doubts([_step(p, stage_of[p.path], job, values) for p in job.steps], figures["results"])
    # Limits are added after the steps, so that a step's duty does not depend on them: a wider limit undoes no work.
    limited: dict[str, ValueJson] = {
        name: {**value, "limits": limits_of(name, job.values)} for name, value in values.items()
    }
    wrenches, needs = wrenches_json(shop), _needs(job, values)
    needs["no_wrench"] = list(no_wrench(steps, limited, wrenches))
    sheet: WorksheetJson = {
        "v": 1,
        "worksheet": f"{procedure.procedure}--{engine.engine}",
        "procedure": procedure.procedure,
        "title": procedure.title,
        "revision": procedure.revision,
        "engine": _engine(engine),
        "shop": _shop(library),
        "stages": stages,
        "steps": steps,
        "values": limited,
        # This does not touch a step's duty either: what was read before stays read.
        "second_reader": second_reader(shop),
        "readings": figures["readings"],
        "results": figures["results"],
        "tables": figures["tables"],
        "givens": figures["givens"],
        "units": figures["units"],
        "items": _items(job),
        "trade": trade_json(job.composed, job.ledger, library),
        "needs": needs,
        "budget": budget(steps),
        "wrenches": wrenches,
        "adapters": adapters_json(shop),
        "torque": _torque(),
    }
    return checked(sheet)


def _torque() -> TorqueJson:
    return {
        "setting": SETTING["setting"],
        "rounding": SETTING["rounding"],
        "offered": SETTING["offered"],
        "inside": SETTING["inside"],
    }


def second_reader(shop: Shop | None) -> int:
    """Return the seconds until a person alone in the shop may read a critical value again."""
    return seconds(shop.second_reader if shop else None) or BREAK


def budget(steps: list[StepJson]) -> BudgetJson:
    """Return what the job costs in taps, press-and-holds and photos when nothing goes wrong and every finding is good.

    Steps that only a bad finding brings are left out. The preparation takes five confirmations.
    """
    taps, holds, photos = 0, 0, 0
    bad = {(s["path"], o["name"]) for s in steps for o in s["check"].get("outcomes", [])[1:]}
    for step in steps:
        if any((ask["step"], outcome) in bad for ask in step["when"] for outcome in ask["outcomes"]):
            continue
        check = step["check"]
        spent = _cost(check)
        taps, holds, photos = taps + spent[0], holds + spent[1], photos + spent[2]
        taps += 5 if step["gate"] and step["gate"]["ready"] else 0
    return {"taps": taps, "holds": holds, "photos": photos}


def _cost(check: CheckJson) -> tuple[int, int, int]:
    """Return taps, press-and-holds and photos of one check-off."""
    match check["kind"]:
        case "tick":
            return (0, 1, 0) if check["hold_down"] else (1, 0, 0)
        case "tighten":
            return len(check["parts"]), 0, 0
        case "wait":
            return 2, 0, 0
        case "turn":
            return max(check["count"] or 2, 2), 0, 0
        case "photo":
            return 0, 0, 1
        case "measure" | "inspect" | "sign":
            return 1, 0, 0
        case _ as never:
            assert_never(never)


def _engine(engine: Engine) -> EngineJson:
    said: EngineJson = {
        "id": engine.engine,
        "title": engine.title,
        "revision": engine.revision,
        "facts": engine.facts,
    }
    return {**said, "invented": True} if engine.invented else said


def _shop(library: Library) -> ShopJson:
    if library.shop is None:
        return {"id": "shop", "title": "", "odometer": "km", "people": [], "units": {}}
    shop = library.shop.noun
    here = [person for person in shop.people if not person.left]
    people: list[PersonJson] = [{"initials": p.initials, "name": p.name, "role": p.role} for p in here]
    said: ShopJson = {
        "id": shop.shop,
        "title": shop.title,
        "odometer": shop.odometer,
        "people": people,
        "units": dict(sorted(shop.units.items())),
    }
    return {**said, "time_zone": shop.time_zone} if shop.time_zone else said


def _stages(job: ResolvedJob) -> tuple[list[StageJson], dict[str, int]]:
    """Return the stages that have a step in this job, each once, and the number of each step's stage."""
    uses = _stage_uses(job)
    number = {key: at for at, key in enumerate(uses)}
    stage_of = {placed.path: number[_stage_key(placed)] for placed in job.steps}
    return [_stage(use) for use in uses.values()], stage_of


def _stage_uses(job: ResolvedJob) -> dict[tuple[str, Any], StageUse]:
    return {_stage_key(placed): placed.stage for placed in job.steps}


def _stage_key(placed: Placed) -> tuple[str, Any]:
    return placed.scope.prefix, placed.stage.loc


def _stage(use: StageUse) -> StageJson:
    slug = re.sub(r"[^a-z0-9]+", "-", use.stage.stage.lower()).strip("-")
    return {
        "id": use.scope.prefix + slug,
        "title": use.scope.title(use.stage.stage),
        "order": use.stage.order,
        "why": rich(use.stage.why, use.scope.name) if use.stage.why else None,
        "cautions": [_caution(caution) for caution in worst_first(use.stage.cautions)],
    }


def _caution(caution: Caution) -> CautionJson:
    return {"level": caution.level, "hazard": caution.hazard, "harm": caution.harm, "avoid": caution.avoid}


def _used_values(job: ResolvedJob) -> set[str]:
    used = {name for placed in job.steps for name in values_of(placed)}
    used |= {use.scope.name(name) for use in _stage_uses(job).values() for name in names_in(use.stage.why or "")}
    used |= {name.partition(".")[0] for name in job.workings.inputs_of(_worked_out(job))}
    used |= {fills for name in _worked_out(job) if (fills := result_json(job.workings.results[name])["fills"])}
    return used & set(job.values.needs)


def values_of(placed: Placed) -> list[str]:
    """Return the values a step uses, as named in the job: those under its text, in it, and of its check-off."""
    step = placed.step
    in_texts = [*names_in(step.do), *names_in(step.why or "")]
    names = [*step.sheet_says, *in_texts, *(name for _, name in named_by(step.check).values)]
    return list(dict.fromkeys(placed.scope.name(name) for name in names))


def _figures(job: ResolvedJob, library: Library, values: dict[str, ValueJson]) -> FiguresJson:
    """Return what is measured and worked out in this job, with all that its arithmetic needs."""
    workings = job.workings
    results = with_limits_beside([result_json(workings.results[name]) for name in workings.below(_worked_out(job))])
    taken = {placed.scope.name(name) for placed in job.steps for name in readings_of(placed.step)}
    used = taken | set(workings.inputs_of(_worked_out(job))) | {on for one in results if (on := one.get("set_on"))}
    divisions = library_divisions(library)
    readings = {name: reading_json(read, divisions) for name, read in sorted(workings.readings.items()) if name in used}
    givens = givens_json(library.shop.noun if library.shop else None)
    return {
        "readings": readings,
        "results": results,
        "tables": tables_json((table for result in results for table in result["tables"]), library.tables),
        "givens": givens,
        "units": units_json(readings.values(), results, values.values(), givens.values()),
    }


def _worked_out(job: ResolvedJob) -> list[str]:
    """Return the results that a step shows or that fill a value."""
    shown = {name for names in job.workings.shows.values() for name in names}
    return [name for name, result in job.workings.results.items() if name in shown or result.worked.result.fills]


def _items(job: ResolvedJob) -> dict[str, ItemJson]:
    items: dict[str, ItemJson] = {}
    for name, item in sorted(job.ledger.items.items()):
        label, count = job.ledger.labels[name], job.ledger.counts[name]
        items[name] = {"kind": item.kind, "label": label, "list": item.list, "count": count}
    return items


def _needs(job: ResolvedJob, values: dict[str, ValueJson]) -> NeedsJson:
    needs: NeedsJson = {"parts": {}, "tools": {}, "consumables": {}, "one_time": {}}
    scopes = {placed.scope.prefix for placed in job.steps}
    for scope, _ in job.composed.scopes:
        if scope.prefix not in scopes:
            continue
        said = scope.procedure.noun.needs
        for inner in _parts_here(scope, job):
            name = scope.name(inner)
            before = needs["parts"].get(name) if scope.repeated else None
            needs["parts"][name] = _ordered(scope, inner, before["count"] if before else 0, job)
        needs["tools"] |= {scope.name(inner): {"label": label} for inner, label in said.tools.items()}
        needs["consumables"] |= {scope.name(inner): {"label": label} for inner, label in said.consumables.items()}
    for name, value in values.items():
        if value["kind"] == "torque" and value["reuse"] == "no":
            needs["one_time"][name] = {"label": value["label"], "count": (value["count"] or 1) * _times(name, job)}
    needs["values"] = [name for name, value in values.items() if value["text"] is None]
    return needs


def _ordered(scope: ProcedureUse, inner: str, before: int, job: ResolvedJob) -> PartJson:
    """Return one line of the parts list. The engine sheet's count is of the whole job; the procedure's is of each use.

    `before`: how many the other uses of this procedure take.
    """
    said, ordered = scope.procedure.noun.needs.parts[inner], job.composed.engine.noun.parts.get(scope.name(inner))
    part = said if isinstance(said, Part) else Part(label=said)
    line: PartJson = {
        "label": scope.label(inner, part.label),
        "number": None,
        "count": part.count + before,
        "one_time": part.one_time,
    }
    if isinstance(ordered, OrderedPart):
        return {**line, "number": ordered.number, "count": ordered.count}
    return {**line, "number": ordered}


def _parts_here(scope: ProcedureUse, job: ResolvedJob) -> list[str]:
    """Return the parts of a procedure that this engine needs. One that only steps of other engines take is not laid
    out: nobody looks for the rings of plugs that this block does not have."""
    procedure = scope.procedure.noun
    ever = {part for _, step in steps_of(procedure) for part in step.takes}
    taken = {placed.scope.name(part) for placed in job.steps for part in placed.step.takes}
    return [inner for inner in procedure.needs.parts if inner not in ever or scope.name(inner) in taken]


def _times(value: str, job: ResolvedJob) -> int:
    """Return how often bolts of this value are tightened: once for each use of a part that is there for each."""
    uses = {
        placed.scope.prefix
        for placed in job.steps
        if placed.scope.repeated and isinstance(placed.step.check, Tighten)
        if placed.scope.name(placed.step.check.tighten) == value
    }
    return max(1, len(uses))


def _step(placed: Placed, stage: int, job: ResolvedJob, values: dict[str, ValueJson]) -> StepJson:
    step, scope, resolved = placed.step, placed.scope, job.refs.of[placed.path]
    rule = rule_of(placed, job.composed)
    shows = job.workings.shows[placed.path]
    holds = [name for name in shows if job.workings.results[name].worked.result.hold]
    held_by = [name.partition(".")[0] for name in job.workings.inputs_of(holds)]
    out: StepJson = {
        "path": placed.path,
        "stage": stage,
        "do": rich(step.do, scope.name),
        "why": rich(step.why, scope.name) if step.why else None,
        "words": dict(step.words),
        "cautions": [_caution(caution) for caution in worst_first(step.cautions)],
        "check": _check(placed, job, values),
        "opens": [{"what": scope.thing(i.what), "count": job.ledger.counts[scope.thing(i.what)]} for i in step.opens],
        "closes": [_closing(closing, scope.thing) for closing in step.closes],
        "hold": holds_back(placed),
        "gate": _gate(rule),
        "when": [{"step": path, "outcomes": [outcome]} for path, outcome in sorted(resolved.when)],
        "after": list(resolved.after),
        "if_failed": _if_failed(placed, job),
        "stop": bool(step.if_failed and step.if_failed.stop),
        "leave": leave_of(placed, job),
        "may_refuse": step.may_refuse,
        "landmark": scope.landmark(step.landmark) if step.landmark else None,
        "catches": list(step.catches),
        "uses": [scope.name(name) for name in step.in_hand],
        "takes": [scope.name(name) for name in step.takes],
        "shows": shows,
        "holds": holds,
        "values": [name for name in dict.fromkeys([*values_of(placed), *held_by]) if name in values],
        "decides": placed.path in job.refs.deciding,
        "picture": {"file": step.picture.file, "alt": step.picture.alt} if step.picture else None,
        "was": [scope.prefix + step.was] if step.was else [],
        "completion": step.completion,
        "duty": "",
        "wording": "",
    }
    if scope.which:
        out["which"] = scope.which
    if step.sheet_says:
        out["says"] = [scope.name(name) for name in step.sheet_says]
    out["duty"] = digest_of(_duty(out, values, job))
    out["wording"] = digest_of(_wording(out))
    return out


def _gate(rule: GateRule | None) -> GateJson | None:
    """Return the gate of a step. Of several it is one that waits for all they wait for, and `also` names the others."""
    if rule is None:
        return None
    first, *others = rule.names
    gate: GateJson = {"for": first, "kinds": list(rule.kinds), "lists": list(rule.lists), "ready": rule.ready}
    return {**gate, "also": others} if others else gate


def _duty(step: StepJson, values: dict[str, ValueJson], job: ResolvedJob) -> Json:
    """Return what makes a person do a step again when it changes: not its text, but how its results are worked out.
    Not who may sign: the worksheet in use judges that, so a signature by the right person stays good."""
    fields = by_name(step)
    check = {key: of for key, of in by_name(step["check"]).items() if key != "qualified"}
    results = [_arithmetic(result_json(job.workings.results[name])) for name in job.workings.below(step["shows"])]
    return {
        **{key: fields[key] for key in DUTY},
        "check": check,
        "values": {name: values[name] for name in step["values"]},
        "results": results,
    }


def _arithmetic(result: ResultJson) -> Json:
    limits = [[limit["when"], limit["bad"]] for limit in result["limits"]]
    return {"name": result["name"], "tree": result["tree"], "limits": limits, "hold": result["hold"]}


def _wording(step: StepJson) -> list[str]:
    texts = by_name(step)
    return [" ".join(plain(texts[key] or []).split()) for key in WORDING]


def _closing(closing: str | CloseItem, rename: Callable[[str], str]) -> ClosedJson:
    if isinstance(closing, CloseItem):
        return {"what": rename(closing.what), "count": closing.count}
    return {"what": rename(closing), "count": None}


def _if_failed(placed: Placed, job: ResolvedJob) -> IfFailedJson | None:
    failed, resolved = placed.step.if_failed, job.refs.of[placed.path]
    if failed is None:
        return None
    return {
        "when": failed.when,
        "outcomes": list(failed.outcomes),
        "back_to": resolved.back_to,
        "disturbs": list(resolved.disturbs),
        "say": failed.say,
    }


def _check(placed: Placed, job: ResolvedJob, values: dict[str, ValueJson]) -> CheckJson:
    check, name = placed.step.check, placed.scope.name
    match check:
        case "tick" | Tick():
            return {"kind": "tick", "hold_down": isinstance(check, Tick) and check.tick == "press-and-hold"}
        case Tighten():
            return _tighten(placed, name(check.tighten), job, values)
        case Measure():
            against = name(check.against) if check.against else None
            return {"kind": "measure", "reading": name(check.measure), "against": against}
        case Inspect():
            fails = placed.step.if_failed.outcomes if placed.step.if_failed else []
            outcomes: list[OutcomeJson] = [
                {"name": o, "label": label, "fails": o in fails} for o, label in check.inspect.items()
            ]
            return {"kind": "inspect", "outcomes": outcomes}
        case Wait():
            return _wait(check, name, job.values)
        case Turn():
            value = name(check.turn)
            return {"kind": "turn", "value": value, "count": values[value]["count"] if value in values else None}
        case Photo():
            return {"kind": "photo", "label": check.photo}
        case Sign():
            return _sign(check, list(job.refs.of[placed.path].sign_of))
        case _ as never:
            assert_never(never)


def _sign(check: Sign, of: list[str]) -> CheckJson:
    said: CheckJson = {"kind": "sign", "of": of, "self_check_after": seconds(check.self_check_after) or BREAK}
    if check.qualified:
        said["qualified"] = True
    if check.permit is None:
        return said
    return {**said, "permit": check.permit, "alone": check.self_check_after is not None}


def _wait(check: Wait, name: Callable[[str], str], values: JobValues) -> CheckJson:
    wait, every = name(check.wait), name(check.every) if check.every else None
    return {
        "kind": "wait",
        "value": wait,
        "seconds": seconds(time_of(values.given.get(wait))),
        "every": seconds(time_of(values.given.get(every))) if every else None,
        "every_value": every,
        "watch": {"start": name(check.watch.start), "end": name(check.watch.end)} if check.watch else None,
        "say": check.say,
    }


def _tighten(placed: Placed, value_name: str, job: ResolvedJob, values: dict[str, ValueJson]) -> CheckJson:
    value = values.get(value_name)
    item = _bolt_closed_by(placed, job)
    count = (value and value["count"]) or (job.ledger.counts.get(item, 1) if item else 1)
    return {
        "kind": "tighten",
        "value": value_name,
        "fastener": value["class"] if value else "ordinary",
        "item": item,
        "list": job.ledger.items[item].list if item else None,
        "parts": _parts(value, count, pulls(job.values.given.get(value_name))),
        "asks_new": value is not None and value["reuse"] == "no",
    }


def _bolt_closed_by(placed: Placed, job: ResolvedJob) -> str | None:
    for closing in placed.step.closes:
        what = placed.scope.thing(closing_name(closing))
        item = job.ledger.items.get(what)
        if item is not None and job.composed.trade.closed_by(item.kind, "tighten"):
            return what
    return None


def _parts(value: ValueJson | None, count: int, pulls: list[Quantity]) -> list[PullJson]:
    """Return the parts of a tightening. Critical: each pass bolt by bolt. Ordinary: one tap a pass. Clip: one tap."""
    if value and value["class"] == "clip":
        return [_part("1", f"all {count} seated", None)]
    every: list[Quantity | None] = [*pulls] or [None]
    if value is None or value["class"] != "critical":
        return [
            _part(str(number), _pass_label(number, len(every), count), pull) for number, pull in enumerate(every, 1)
        ]
    bolts = value.get("order") or list(range(1, count + 1))
    return [
        _part(f"{number}.{bolt}", f"bolt {bolt}" + _of_passes(number, len(every)), pull)
        for number, pull in enumerate(every, 1)
        for bolt in bolts
    ]


def _part(id: str, label: str, pull: Quantity | None) -> PullJson:
    return {"id": id, "label": label, "target": str(pull) if pull else None, "kind": kind_of_pull(pull)}


def _pass_label(number: int, passes: int, count: int) -> str:
    what = "bolt" if count == 1 else f"all {count}"
    return what + _of_passes(number, passes)


def _of_passes(number: int, passes: int) -> str:
    return f", pass {number} of {passes}" if passes > 1 else ""
