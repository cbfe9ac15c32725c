"""What changed since the last build: its worksheets beside those of the sources as they are now. Pure, no disk.

The worksheets of a built site are the only memory. What a phone shows under a revision must stay what it was: a change
needs a higher number, in the procedure for its words and steps, in the engine sheet for its values.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from generator.canonical import canonical
from generator.compile.compose import Composed, ProcedureUse
from generator.faults import Fault, in_order
from generator.faults import since as faults
from generator.model import LEVELS
from generator.place import Place
from generator.site.build import Findings

Sheet = Mapping[str, Any]
Things = dict[str, Any]

# What the engine sheet says of a value.
OF_VALUE = (
    "text", "missing", "count", "reuse", "passes", "order", "tolerance", "thread", "condition", "into", "grade",
    "engaged", "head", "grip", "source",
)  # fmt: skip
# What a procedure says of a step. `duty` and what follows from a value are left out.
OF_STEP = (
    "do", "why", "cautions", "closes", "hold", "gate", "when", "after", "if_failed", "stop", "leave", "may_refuse",
    "uses", "takes", "shows", "picture", "completion", "which", "says",
)  # fmt: skip
OF_CHECK = (
    "kind", "value", "hold_down", "reading", "against", "outcomes", "every_value", "watch", "say", "label", "of",
    "self_check_after", "alone",
)  # fmt: skip
NOT_ALONE = ("value ", "part ", "the class", "the count", "the words")
ALIKE = 0.5  # two cautions are one that was reworded if their words agree by this share


@dataclass(frozen=True)
class Earlier:
    """The worksheets of the last build by name, and the folder of its site. `unread`: what could not be used, by its
    place, and why."""

    folder: str = ""
    sheets: Mapping[str, Sheet] = field(default_factory=dict)
    unread: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True)
class Compared:
    """`faults` stop a build; `notes` are told beside what it made."""

    faults: tuple[Fault, ...] = ()
    notes: tuple[Fault, ...] = ()


def compare(earlier: Earlier, now: Findings) -> Compared:
    """Compare sources without faults with the last build."""
    notes: list[Fault] = [faults.NotCompared(Place(at), why) for at, why in earlier.unread]
    sheets: dict[str, Sheet] = {sheet["worksheet"]: sheet for sheet in now.sheets}
    pairs = [(old, sheets[name], now.jobs[name]) for name, old in sorted(earlier.sheets.items()) if name in sheets]
    notes += [
        faults.WorksheetGone(Place(f"{earlier.folder}/w/{name}/sheet.json"), name)
        for name in sorted(earlier.sheets)
        if name not in sheets
    ]
    found = [*_gone(pairs), *_revisions(pairs)]
    notes += in_order([*_cautions(pairs), *dict.fromkeys(_gates(pairs)), *dict.fromkeys(_stops(pairs))])
    return Compared(tuple(in_order(found)), tuple(notes))


Pair = tuple[Sheet, Sheet, Composed]

# --- Revisions --------------------------------------------------------------------------------------------------------


def _revisions(pairs: list[Pair]) -> Iterator[Fault]:
    """Yield a fault for each procedure and engine sheet that says something else under a number that was built."""
    by_place: dict[Place, tuple[str, int, int, dict[str, None]]] = {}
    for old, new, job in pairs:
        for source, thing, built, revision, changes in _changes(old, new, job):
            if changes and revision <= built:
                place = source.place("revision")
                by_place.setdefault(place, (thing, revision, built, {}))[3].update(dict.fromkeys(changes))
    for place, (thing, revision, built, names) in by_place.items():
        yield faults.SameRevision(place, thing, revision, built, tuple(names))


def _changes(old: Sheet, new: Sheet, job: Composed) -> Iterator[tuple[Any, str, int, int, list[str]]]:
    """Yield for the engine sheet and for the procedure: the source, its name, the revision that was built, the one it
    has, and what changed. Facts decide which steps a job has: where they changed, the engine sheet's number is enough.
    """
    engine, procedure = job.engine, job.procedure
    was, now = old["engine"]["revision"], new["engine"]["revision"]
    changes = _differences(_of_engine(old), _of_engine(new))
    if max(now - was, new["revision"] - old["revision"]) <= 0:
        changes += _differences(_of_either(old), _of_either(new))
    yield engine, f'sheet "{engine.noun.engine}"', was, now, changes
    if now > was and old["engine"]["facts"] != new["engine"]["facts"]:
        return
    changes = _differences(_of_procedure(old), _of_procedure(new))
    yield procedure, f'procedure "{procedure.noun.procedure}"', old["revision"], new["revision"], changes


def _of_engine(sheet: Sheet) -> Things:
    values = {f'value "{name}"': _some(value, OF_VALUE) for name, value in sheet["values"].items()}
    parts = {f'part "{name}"': [part["number"]] for name, part in sheet["needs"]["parts"].items()}
    engine = sheet["engine"]
    itself = {"the title": engine["title"], "that it is invented": str(engine.get("invented", False))}
    return {**values, **parts, **itself, "the facts": _exact(engine["facts"])}


def _of_either(sheet: Sheet) -> Things:
    """Return what an engine sheet and a procedure can both say, so that the number of either is enough."""
    counts = {f'the count of "{name}"': item["count"] for name, item in sheet["items"].items()}
    return {**counts, **{f'the class of "{name}"': value["class"] for name, value in sheet["values"].items()}}


def _of_procedure(sheet: Sheet) -> Things:
    out: Things = {"the title": sheet["title"], "the order of the steps": [step["path"] for step in sheet["steps"]]}
    for step in sheet["steps"]:
        check, opens = _some(step["check"], OF_CHECK), [item["what"] for item in step["opens"]]
        for key in ("permit", "qualified"):  # gone or new is a change too
            check[key] = step["check"].get(key)
        more = {"words": _exact(step["words"]), "check": check, "opens": opens}
        out[f'step "{step["path"]}"'] = {**_some(step, OF_STEP), **more}
    for stage in sheet["stages"]:
        out[f'stage "{stage["id"]}"'] = dict(stage)
    for name, value in sheet["values"].items():
        out[f'the label of value "{name}"'] = [value["label"], value["kind"], value.get("of_the_day", False)]
    for name, item in sheet["items"].items():
        out[f'item "{name}"'] = [item["label"], item["kind"], item["list"]]
    for name, reading in sheet.get("readings", {}).items():
        out[f'reading "{name}"'] = reading
    for result in sheet.get("results", ()):
        out[f'result "{result["name"]}"'] = result
    for name, table in sheet.get("tables", {}).items():
        out[f'table "{name}"'] = table
    for kind in ("tools", "consumables", "parts"):
        for name, need in sheet["needs"][kind].items():
            out[f'{kind} "{name}"'] = {key: said for key, said in need.items() if key != "number"}
    return {**out, **_of_trade(sheet)}


def _of_trade(sheet: Sheet) -> Things:
    """Return the words of the trade. Who is qualified is compared only with a worksheet that names somebody."""
    if "trade" not in sheet:
        return {}
    qualified = [role["name"] for role in sheet["trade"]["roles"] if role.get("qualified")]
    return {
        "the words of the trade": sheet["trade"],
        **({"the words of the trade for who is qualified": qualified} if qualified else {}),
    }


def _some(told: Sheet, names: tuple[str, ...]) -> Things:
    return {name: told[name] for name in names if name in told}


def _exact(names: Sheet) -> str:
    """Return a group of names as one text, so that a name that is gone is seen as well."""
    return canonical(dict(names))


def _differences(old: Things, new: Things) -> list[str]:
    """Return the names of what differs. A value or a part that only one of the two has is the procedure's doing, and
    is seen at the steps that use it; the words of the trade came with another version of this program."""
    return [
        _told(name, old.get(name), new.get(name))
        for name in dict.fromkeys([*old, *new])
        if (name in old and name in new and not _same(old[name], new[name]))
        or ((name in old) != (name in new) and not name.startswith(NOT_ALONE))
    ]


def _told(name: str, old: Any, new: Any) -> str:
    if name.startswith("value") and old["text"] != new["text"]:
        return f"{name} ({old['text'] or 'missing'}, now {new['text'] or 'missing'})"
    return name


def _same(one: Any, other: Any) -> bool:
    """True if both say the same. A field that only one of them has came with another version of this program."""
    if isinstance(one, dict) and isinstance(other, dict):
        return all(_same(one[name], other[name]) for name in one.keys() & other.keys())
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    return bool(one == other)


# --- Steps ------------------------------------------------------------------------------------------------------------


def _gone(pairs: list[Pair]) -> Iterator[Fault]:
    """Yield a fault for each step and each include that the last build had and the sources say nothing of."""
    for old, new, job in pairs:
        known = {step["path"] for step in old["steps"]}
        taken = {placed.scope.prefix + placed.step.was for placed in job.steps if placed.step.was}
        for path in sorted(known - {step["path"] for step in new["steps"]} - taken):
            scope, rest = _scope(path, job)
            procedure, (first, *inside) = scope.procedure, rest.split("/")
            name = procedure.noun.procedure
            if first in procedure.noun.retired or (not inside and first in _ids(scope, job)):
                continue
            if inside:
                yield faults.IncludeGone(procedure.place("procedure"), name, first)
            else:
                yield faults.StepGone(procedure.place("procedure"), name, first, _like(path, scope, old, new, job))


def _scope(path: str, job: Composed) -> tuple[ProcedureUse, str]:
    """Return the innermost part of the job that a path leads into, and the rest of the path inside it."""
    inner = max(
        (scope for scope, _ in job.scopes if path.startswith(scope.prefix)), key=lambda scope: len(scope.prefix)
    )
    return inner, path.removeprefix(inner.prefix)


def _ids(scope: ProcedureUse, job: Composed) -> set[str]:
    """Return the ids of a part's steps, also of those that this engine does without."""
    return {placed.step.id for placed in job.steps if placed.scope.prefix == scope.prefix}


def _like(path: str, scope: ProcedureUse, old: Sheet, new: Sheet, job: Composed) -> str:
    """Return the id of a step that is new in this part and has the words of the one that is gone; "" for none."""
    before = {step["path"]: canonical(step["do"]) for step in old["steps"]}
    words = {step["path"]: canonical(step["do"]) for step in new["steps"]}
    for placed in job.steps:
        if placed.scope.prefix == scope.prefix and placed.path not in before and words.get(placed.path) == before[path]:
            return placed.step.id
    return ""


# --- Cautions ---------------------------------------------------------------------------------------------------------


def _cautions(pairs: list[Pair]) -> Iterator[Fault]:
    """Yield a note for each caution that is gone, milder or worded otherwise; each once, in however many worksheets."""
    for old, new, job in pairs:
        before, now = _by_owner(old), _by_owner(new)
        steps = _by_old_path(new)
        for owner, cautions in before.items():
            home = steps[owner]["path"] if owner in steps else owner
            fresh = [caution for caution in now.get(home, ()) if caution not in cautions]
            for caution in cautions:
                if caution not in now.get(home, ()) and (said := _became(caution, fresh, before, now)):
                    place, where = _place(home, owner, old, job)
                    yield faults.CautionChanged(place, where, caution["level"], caution["hazard"], said)


def _stops(pairs: list[Pair]) -> Iterator[Fault]:
    """Yield a note for each step that was a stop, a gate or a press-and-hold, and is so no longer."""
    for old, new, job in pairs:
        now = _by_old_path(new)
        for step in old["steps"]:
            at = now.get(step["path"])
            for what, is_so in _STOPS.items():
                if what == "a stop" and step["gate"]:
                    continue  # a gate is a stop as well
                if at and is_so(step) and not is_so(at):
                    place, where = _place(at["path"], step["path"], old, job)
                    yield faults.StopGone(place, where, what)


_STOPS: Mapping[str, Callable[[Sheet], bool]] = {
    "a stop": lambda step: step["hold"],
    "a gate": lambda step: step["gate"] is not None,
    "held down": lambda step: bool(step["check"].get("hold_down")),
    "signed by somebody qualified": lambda step: bool(step["check"].get("qualified")),
}


def _gates(pairs: list[Pair]) -> Iterator[Fault]:
    """Yield a note for each gate that waits for less than it did. The words of the trade have no revision of their
    own."""
    for old, new, job in pairs:
        steps = _by_old_path(new)
        for step in old["steps"]:
            at, was = steps.get(step["path"]), step["gate"]
            if not was or not at or not (now := at["gate"]):
                continue
            gone = [name for key in ("kinds", "lists") for name in was[key] if name not in now[key]]
            gone += ["the preparation"] if was["ready"] and not now["ready"] else []
            if gone:
                yield faults.GateAsksLess(_gate_place(was, at, step, old, job), was["for"], tuple(gone))


def _gate_place(was: Things, at: Sheet, step: Sheet, old: Sheet, job: Composed) -> Place:
    """Return where a gate became less: in the trade's file, or at its step if the step says itself what it waits for,
    or has another gate now."""
    placed = next(each for each in job.steps if each.path == at["path"])
    if isinstance(placed.step.gate, str) and placed.step.gate == was["for"]:
        return Place(job.trade.gates[was["for"]].file)
    return _place(at["path"], step["path"], old, job)[0]


def _by_old_path(sheet: Sheet) -> dict[str, Sheet]:
    """Return the steps by their path, and by each path that they had before. A living path counts before an old one."""
    steps = {was: step for step in sheet["steps"] for was in step["was"]}
    return steps | {step["path"]: step for step in sheet["steps"]}


def _by_owner(sheet: Sheet) -> dict[str, list[Things]]:
    """Return the cautions by the path of their step, or `stage:` and the id of their stage."""
    stages = {f"stage:{stage['id']}": stage["cautions"] for stage in sheet["stages"]}
    return {**stages, **{step["path"]: step["cautions"] for step in sheet["steps"]}}


def _became(caution: Things, fresh: list[Things], before: Mapping[str, Any], now: Mapping[str, Any]) -> str:
    """Return what became of a caution that is no longer as it was; "" if it is only printed with a higher level."""
    like = max(fresh, key=lambda one: _likeness(one, caution), default=None)
    if like is None or _likeness(like, caution) < ALIKE:
        elsewhere = [owner for owner, here in now.items() if caution in here and caution not in before.get(owner, ())]
        return f"now at {_named(elsewhere[0])}" if elsewhere else "gone"
    milder = LEVELS.index(like["level"]) > LEVELS.index(caution["level"])
    if _words(like) != _words(caution):
        return f'worded otherwise now{", as a " + like["level"] if milder else ""}: "{" ".join(_words(like))}"'
    return f"only a {like['level']} now" if milder else ""


def _words(caution: Things) -> list[str]:
    return [word for key in ("hazard", "harm", "avoid") for word in caution[key].split()]


def _likeness(one: Things, other: Things) -> float:
    """Return by what share the words of two cautions agree, in their order."""
    return difflib.SequenceMatcher(None, _words(one), _words(other), autojunk=False).ratio()


def _place(home: str, owner: str, old: Sheet, job: Composed) -> tuple[Place, str]:
    """Return where the step or the stage of a caution stands now, or its procedure if it is gone, and its name."""
    if owner.startswith("stage:"):
        title = next(stage["title"] for stage in old["stages"] if f"stage:{stage['id']}" == owner)
        scope, _ = _scope(owner.removeprefix("stage:"), job)
        return scope.procedure.place("procedure"), f'stage "{title}"'
    placed = next((each for each in job.steps if each.path == home), None)
    return placed.place("id") if placed else _scope(owner, job)[0].procedure.place("procedure"), _named(owner)


def _named(owner: str) -> str:
    return "its stage" if owner.startswith("stage:") else f'step "{owner}"'
