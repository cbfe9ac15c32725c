"""Fold a journal: judge entries and the worksheets they name into the state that the screen shows.

The same table as site_overrides/phone/journal/journal.js. Pure. Entries are ordered by (lamport, writer, id), never by
a clock; phone time counts only where a person waits. docs/format.md, "The fold", says in words what this code does.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

from generator.canonical import in_order
from generator.journal.answers import is_whole, said
from generator.journal.bolts import bolt_lists, is_on, lists_of
from generator.journal.entries import SLOTS, Entry, Gathered, add, extra_step, gather, is_known, texts_of, union
from generator.journal.legal import legal
from generator.journal.opened.ledger import BackSaid, Lots, allowances
from generator.journal.opened.left import older_of, put_back, without_others
from generator.journal.ready import unready
from generator.journal.start import CORRECTABLE, read_job
from generator.journal.step import home, judge_step, once
from generator.journal.view import View, Why, look, preparation, read_count, read_values
from generator.journal.walk import Walk, not_closed, open_whys, walk_older, walk_step
from generator.journal.working import work
from generator.sheet_types import WorksheetJson
from generator.tables import ACTIONABLE, BLOCKING, CLOSED, SECTIONS

__all__ = ["add", "fold", "gather", "judge", "legal", "union"]

State = dict[str, Any]


def fold(entries: Iterable[Entry], sheets: dict[str, WorksheetJson]) -> State:
    """Return `judge(gather(entries), sheets)`."""
    return judge(gather(entries), sheets)


def judge(gathered: Gathered, sheets: dict[str, WorksheetJson]) -> State:
    """Return the state of docs/format.md. `sheets`: {digest: parsed sheet.json}. No set of entries makes it raise."""
    view = _read(look(gathered, sheets))
    extras = _extras(view)
    walk = _walk_over_older(view)
    _ask_gates_again(view, walk)
    _ask_completion(view, walk)
    return _state(view, walk, extras)


def _read(view: View) -> View:
    read_job(view)
    read_values(view)
    work(view)
    return view


def _walk_over_older(view: View) -> Walk:
    """Walk the steps, with what older worksheets add. What people say is back is known only after a first walk."""
    judged = cache(lambda digest: _judged_by(view, digest))
    older = older_of(view, judged)
    if older is None:
        return _walked(view, Walk())
    marks = set(view.inert), set(view.departures)
    walk = _walked(view, Walk(older=older))
    words = _words(view, walk.ledger)
    allowed = allowances(walk.ledger.lots, words)
    if allowed:
        view.inert, view.departures = marks
        words = _words(view, walk.ledger)
        walk = _walked(view, Walk(older=older, words=words, ledger=Lots(allowed=allowed)))
    return walk


def _words(view: View, ledger: Lots) -> dict[str, BackSaid]:
    """Return what people say is back of the things that the phone asks about."""
    names = dict.fromkeys(lot.what for lot in ledger.lots if ledger.is_asked(lot))
    return {name: word for name in names if (word := put_back(view, name))}


def _judged_by(view: View, digest: str) -> View:
    """Return the job as one of its older worksheets judges it, alone."""
    then = _read(look(without_others(view, digest), view.sheets, digest))
    _walked(then, Walk())
    return then


def _walked(view: View, walk: Walk) -> Walk:
    walk_older(view, walk, "")
    for step in view.sheet["steps"] if view.sheet else []:
        walk_step(view, walk, step)
    return walk


def _extras(view: View) -> dict[str, dict[str, Any]]:
    extras: dict[str, dict[str, Any]] = {}
    for entry in view.gathered.entries:
        if entry["kind"] not in ("took-off", "extra") or not is_known(entry) or not view.alive(entry):
            continue
        path = f"extra/{entry['id']}"
        if not _is_extra(entry):
            view.set_aside([entry])
        elif path not in extras:
            extras[path] = {key: entry[key] for key in ("kind", "value", "who", "at")}
            _judge_extra(view, path, entry)
    return extras


def _is_extra(entry: Entry) -> bool:
    value = entry["value"]
    if entry["kind"] == "took-off":
        return said(value.get("label")) and said(value.get("kind")) and is_whole(value.get("count"), 1)
    return all(said(value.get(key)) for key in ("label", "approved_by", "how"))


def _judge_extra(view: View, path: str, entry: Entry) -> None:
    took_off = entry["kind"] == "took-off"
    judged = judge_step(view, extra_step(path, took_off), set())
    view.steps[path] = {**judged.seen, "state": judged.state or "open", "why": judged.whys}
    view.pulls[path] = judged.pulls()
    if took_off:
        value = entry["value"]
        read_count(view, path)
        count = view.counts.get(path, int(value["count"]))
        left = 0 if judged.state == "done" else count
        on = value.get("list") if value.get("list") in lists_of(view) else None
        view.items[path] = {"kind": value["kind"], "label": value["label"], "list": on, "count": count, "open": left}
        view.took_off[path] = entry


def _ask_gates_again(view: View, walk: Walk) -> None:
    """Make a gate that is not passed wait for everything open anywhere, and for the preparation if it asks for it."""
    for name, count in walk.ledger.open_of().items():
        view.items[name]["open"] = count
        lots = walk.ledger.of(name) if walk.older else []
        if left := sum(lot.rest for lot in lots):
            asked = [entry for lot in lots if walk.ledger.is_asked(lot) for entry in lot.answers]
            view.items[name] |= {"left": left, "left_by": list(dict.fromkeys(entry["id"] for entry in asked))}
    still_open = [name for name, item in view.items.items() if item["open"] > 0]
    for step in view.sheet["steps"] if view.sheet else []:
        seen = view.steps[step["path"]]
        gate = step.get("gate")
        if not gate or seen["state"] in CLOSED:
            continue
        whys = open_whys(view, gate, still_open)
        if whys:
            seen["why"] = [why for why in seen["why"] if why["code"] not in ("open", "list")] + whys
        if gate["ready"]:
            seen["why"] = [why for why in seen["why"] if why["code"] != "ready"]
            seen["why"] += unready(view, walk.departs[step["path"]])
        if seen["state"] == "open" and any(why["code"] in BLOCKING for why in seen["why"]):
            seen["state"] = "blocked"


def _ask_completion(view: View, walk: Walk) -> None:
    for step in view.sheet["steps"] if view.sheet else []:
        if step["completion"]:
            seen = view.steps[step["path"]]
            whys = [] if seen["state"] == "hidden" else _unfinished(view, step["path"])
            if whys and seen["state"] in ("open", "blocked"):
                seen["state"] = "blocked"
            elif whys and seen["state"] in CLOSED:
                seen["state"] = "recheck"
            seen["why"] = once(seen["why"] + whys)


def _unfinished(view: View, completion: str) -> list[Why]:
    order = _order(view)
    unclosed = [path for path in order if path != completion and not_closed(view, path)]
    still_open = in_order(name for name, item in view.items.items() if item["open"] > 0)
    whys: list[Why] = [{"code": "after", "step": unclosed[0]}] if unclosed else []
    return whys + ([{"code": "open", "items": still_open}] if still_open else [])


def _order(view: View) -> list[str]:
    """Return the steps in the order of work, with extras before the completion."""
    steps = view.sheet["steps"] if view.sheet else []
    extras = [path for path in view.steps if path.startswith("extra/")]
    paths = [step["path"] for step in steps]
    last = 1 if steps and steps[-1]["completion"] else 0
    return paths[: len(paths) - last] + extras + paths[len(paths) - last :]


def _quiet(view: View) -> set[str]:
    """Return what was taken off besides and is on a list. It waits only for a gate that asks about it."""
    steps = view.sheet["steps"] if view.sheet else []
    gates = [(gate, view.steps[step["path"]]) for step in steps if (gate := step.get("gate"))]
    near = [gate for gate, seen in gates if seen["state"] not in CLOSED and not _waits_for_steps(seen)]
    listed = [path for path in view.took_off if view.items[path]["list"] is not None]
    return {path for path in listed if not any(open_whys(view, gate, [path]) for gate in near)}


def _waits_for_steps(seen: dict[str, Any]) -> bool:
    return any(why["code"] in ("hold", "order", "after") for why in seen["why"])


def _next(view: View, order: list[str]) -> str | None:
    """Return where work goes on: a step that can be done now, else a running wait, else the first one not closed."""
    quiet = _quiet(view)
    loud = [path for path in order if path not in quiet]

    def first(*wanted: str, free: bool = False, quietly: Iterable[str] = ()) -> str | None:
        for path in quietly or loud:
            seen = view.steps[path]
            if seen["state"] in wanted and not (free and any(why["code"] in BLOCKING for why in seen["why"])):
                return path
        return None

    now = first(*ACTIONABLE, free=True) or first("waiting")
    waits = [path for path in order if path in quiet]
    return now or (first(*ACTIONABLE, quietly=waits) if waits else None) or first(*ACTIONABLE, "blocked")


def _state(view: View, walk: Walk, extras: dict[str, dict[str, Any]]) -> State:
    order, items = _order(view), view.items
    completion = [step["path"] for step in view.sheet["steps"] if step["completion"]] if view.sheet else []
    still_open = in_order(name for name, item in items.items() if item["open"] > 0)
    state: State = {
        "sheet": view.digest,
        "job": _job(view),
        "order": order,
        "next": _next(view, order),
        "steps": view.steps,
        "items": items,
        "open": sum(item["open"] for item in items.values()),
        "lists": {name: {"open": [item for item in still_open if is_on(view, item, name)]} for name in lists_of(view)},
        "bolts": bolt_lists(view),
        "values": view.values,
        "readings": view.readings,
        "results": view.results,
        "ready": preparation(view),
        "extras": extras,
        "declined": _declined(view),
        "passed": _passed(view),
        "complete": bool(completion) and all(view.steps[path]["state"] == "done" for path in completion),
    }
    if view.corrected:
        state["corrected"] = view.corrected
    _sort_out(view, state)
    return state


def _job(view: View) -> dict[str, Any] | None:
    if view.start is None:
        return None
    return {**view.start["value"], "started_at": view.start["at"], "disputed": view.start_disputed}


def _declined(view: View) -> dict[str, Any] | None:
    heads = [answer.entry for answer in view.in_job("decline").answers]
    sound = [entry for entry in heads if said(entry["value"].get("reason"))]
    view.set_aside(entry for entry in heads if entry not in sound)
    return {"reason": sound[0]["value"]["reason"], "who": sound[0]["who"], "at": sound[0]["at"]} if sound else None


def _passed(view: View) -> dict[str, Any] | None:
    told = view.in_job("pass").answers
    if not told:
        return None
    entry = told[-1].entry
    if entry["kind"] == "pass-on":
        to = entry["value"].get("to")
        return {"to": to if said(to) else None, "received": False, "who": entry["who"]}
    return {"to": entry["who"], "received": True, "who": entry["who"]}


def _sort_out(view: View, state: State) -> None:
    """List the entries that count for nothing, by reason and in order. None is ever dropped."""
    current = {path for paths in view.homes.values() for path in paths} | set(view.steps)
    gone: list[str] = []
    for entry in view.gathered.entries:
        if is_known(entry) and _is_gone(view, entry, current):
            gone.append(entry["id"])
        elif is_known(entry) and view.alive(entry) and _is_misplaced(view, entry):
            view.inert.add(id(entry))
    ids = [entry["id"] for entry in view.gathered.entries]
    state["departures"] = [e["id"] for e in view.gathered.entries if id(e) in view.departures]
    state["gone"] = gone
    state["unknown"] = [entry["id"] for entry in view.gathered.entries if not is_known(entry)]
    state["clashes"] = [id_ for id_, same in _counted(ids).items() if same > 1]
    state["inert"] = [e["id"] for e in view.gathered.entries if id(e) in view.inert and e["id"] not in gone]


def _counted(ids: list[str]) -> dict[str, int]:
    counts: dict[str, int] = {}
    for id_ in ids:
        counts[id_] = counts.get(id_, 0) + 1
    return counts


def _is_gone(view: View, entry: Entry, current: set[str]) -> bool:
    if entry["kind"] == "read" or (entry["kind"] == "settle" and not entry["step"]):
        return entry["part"] not in view.values
    if entry["kind"] in ("count", "put-back"):
        return entry["part"] not in view.items
    slot = SLOTS[entry["kind"]]
    on_step = entry["kind"] == "back" or (slot is not None and slot(entry)[0] != "")
    return on_step and entry["step"] not in current


def _is_misplaced(view: View, entry: Entry) -> bool:
    """True for an answer to a part that the step no longer has, or with a value that its kind cannot have."""
    value, kind = entry["value"], entry["kind"]
    if kind in ("check", "settle") and entry["step"]:
        return entry["part"] not in [*view.steps[home(view, entry["step"])]["of"], ""]
    if kind == "back":
        lists = (value.get("disturbs"), value.get("rest"))
        return not all(isinstance(paths, list) and len(texts_of(paths)) == len(paths) for paths in lists)
    if kind == "correct":
        return entry["part"] not in CORRECTABLE
    return kind == "confirm" and not entry["step"] and entry["part"] not in SECTIONS
