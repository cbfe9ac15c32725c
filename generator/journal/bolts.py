"""Bolts: which pulls of a one-time bolt count, and what was loosened and tightened, list by list.

The same table as site_overrides/phone/journal/bolts.js.
"""

from __future__ import annotations

from collections.abc import Iterable

from generator.canonical import Json
from generator.journal.answers import is_failure, said
from generator.journal.entries import NO_SHEET, Answer, Entry, Standing, after
from generator.journal.limits import is_pull
from generator.journal.view import View
from generator.sheet_types import CheckJson, StepJson, WorksheetJson


def bolt_of(check: CheckJson, part: str) -> str:
    """Return the bolt that a part pulls: that of `<pass>.<bolt>` if each bolt is a part, "" if all are one."""
    return part.partition(".")[2] if check["fastener"] == "critical" else ""


def is_new(view: View, step: StepJson, slots: dict[str, Standing], part: str, entry: Entry | None) -> bool:
    """True if somebody says that the bolt is new: in this answer, or in a standing answer to another part of the bolt.

    Without `entry` the answer has not been given yet, so no go-back asks about it.
    """
    check = step["check"]
    if check.get("asks_new") is not True or (entry and entry["value"].get("new") is True):
        return True
    sheet, bolt = view.sheet or NO_SHEET, bolt_of(check, part)
    others = [slot for other, slot in slots.items() if other not in (part, "") and bolt_of(check, other) == bolt]
    told = [
        answer for slot in others if not slot.disputed for answer in slot.answers if _says_new(sheet, check, answer)
    ]
    paths = view.paths(step["path"])
    asked = view.backs_on(paths, entry) if entry else []
    return any(_is_since(view.backs_on(paths, answer.entry), asked) for answer in told)


def _says_new(sheet: WorksheetJson, check: CheckJson, answer: Answer) -> bool:
    value = answer.entry["value"]
    sound = answer.kind == "check" and not is_failure(check, value) and is_pull(sheet, check, value)
    return sound and value.get("new") is True


def _is_since(told: list[Entry], asked: list[Entry]) -> bool:
    """False if the bolt was loosened after it was called new. Then that says nothing about a later pull."""
    return all(any(back is other for other in asked) for back in told)


def asking_new(view: View, step: StepJson, slots: dict[str, Standing], of: list[str]) -> Json:
    """Return {asks_new: the parts whose next answer must say that the bolt is new}; {} if bolts may be used again."""
    if step["check"].get("asks_new") is not True:
        return {}
    return {"asks_new": [part for part in of if not is_new(view, step, slots, part, None)]}


# --- the bolt lists ---------------------------------------------------------------------------------------------------


def lists_of(view: View) -> list[str]:
    """Return the names of the bolt lists, in the order in which they are gone through."""
    return [one["name"] for one in view.trade["lists"]]


def is_on(view: View, name: str, list_: str) -> bool:
    """True if a thing is on this list. One that was taken off besides, without a list, is on every list."""
    return bool(view.items[name]["list"] == list_ or (name in view.took_off and view.items[name]["list"] is None))


def corrected(view: View, item: str, count: int) -> int:
    """Return the corrected count in place of `count` if `count` stands for the whole item."""
    return view.counts[item] if item in view.counts and count == view.items[item]["count"] else count


def bolt_lists(view: View) -> Json:
    """Return all bolts of each list in the order of work, {} if there are none (docs/format.md). A row is {item, step,
    value, count, reuse, closed, parts, done, set, wrench, who, at, new}."""
    rows = [*_rows_of_sheet(view), *(_row(view, path, path, None, view.items[path]["count"]) for path in view.took_off)]
    tightened = {kind["name"] for kind in view.trade["kinds"] if kind["closed_by"] == "tighten"}
    bolts = [row for row in rows if view.items[row["item"]]["kind"] in tightened]
    lists: Json = {name: [row for row in bolts if is_on(view, row["item"], name)] for name in lists_of(view)}
    return lists if any(lists.values()) else {}


def _rows_of_sheet(view: View) -> Iterable[Json]:
    """Yield a row for each step that closes an item, except a step that is not needed while its item is closed."""
    for step in view.sheet["steps"] if view.sheet else []:
        counts = {closed["what"]: closed["count"] for closed in reversed(step["closes"])}
        for item in dict.fromkeys(closed["what"] for closed in step["closes"]):
            if view.steps[step["path"]]["state"] != "hidden" or view.items[item]["open"] > 0:
                count = counts[item]
                yield _row(view, step["path"], item, step, view.items[item]["count"] if count is None else count)


def _row(view: View, path: str, item: str, step: StepJson | None, count: int) -> Json:
    seen, check = view.steps[path], step["check"] if step else None
    name = check["value"] if check and check["kind"] == "tighten" else None
    given = view.sheet["values"].get(name) if view.sheet and name else None
    reuse = given.get("reuse") if given else None
    return {
        "item": item,
        "step": path,
        "value": name,
        "count": corrected(view, item, count),
        "reuse": reuse if isinstance(reuse, str) else None,
        "closed": seen["state"] == "done",
        "parts": len(seen["of"]),
        "done": len(seen["done"]),
        **_pulled(check, view.pulls[path]),
    }


def _pulled(check: CheckJson | None, pulls: list[tuple[str, Entry]]) -> Json:
    """Return the newest pull that counts. `new`: somebody said of every pulled bolt that it is new."""
    newest: Entry | None = None
    new: dict[str, bool] = {}
    for part, entry in pulls:
        newest = entry if newest is None or after(entry, newest) else newest
        bolt = bolt_of(check, part) if check and check["kind"] == "tighten" else ""
        new[bolt] = new.get(bolt, False) or entry["value"].get("new") is True
    value = newest["value"] if newest else {}
    return {
        "set": value["set"] if said(value.get("set")) else None,
        "wrench": value["wrench"] if said(value.get("wrench")) else None,
        "who": newest["who"] if newest else None,
        "at": newest["at"] if newest else None,
        "new": bool(new) and all(new.values()),
    }
