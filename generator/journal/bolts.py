"""Bolts: which pulls of a one-time bolt count, and what was loosened against what was tightened, list by list.

The same table as site_overrides/phone/journal/bolts.js.
"""

from __future__ import annotations

from collections.abc import Iterable

from generator.canonical import Json
from generator.journal.answers import is_failure, said
from generator.journal.entries import Answer, Entry, Standing, StepJson, after
from generator.journal.limits import is_pull
from generator.journal.view import View
from generator.tables import LISTS


def bolt_of(check: Json, part: str) -> str:
    """The bolt that a part pulls: of <pass>.<bolt> where bolts are taken one by one, "" where all at once."""
    return part.partition(".")[2] if check["fastener"] == "critical" else ""


def is_new(view: View, step: StepJson, slots: dict[str, Standing], part: str, entry: Entry | None) -> bool:
    """Does anybody say that the bolt is new: this answer of the part, or one that stands for another part of the bolt?

    No entry: an answer not given yet, which nobody's go-back asks about.
    """
    check = step["check"]
    if check.get("asks_new") is not True or (entry and entry["value"].get("new") is True):
        return True
    sheet, bolt = view.sheet or {}, bolt_of(check, part)
    others = [slot for other, slot in slots.items() if other not in (part, "") and bolt_of(check, other) == bolt]
    told = [
        answer for slot in others if not slot.disputed for answer in slot.answers if _says_new(sheet, check, answer)
    ]
    paths = view.paths(step["path"])
    asked = view.backs_on(paths, entry) if entry else []
    return any(_is_since(view.backs_on(paths, answer.entry), asked) for answer in told)


def _says_new(sheet: Json, check: Json, answer: Answer) -> bool:
    value = answer.entry["value"]
    sound = answer.kind == "check" and not is_failure(check, value) and is_pull(sheet, check, value)
    return sound and value.get("new") is True


def _is_since(told: list[Entry], asked: list[Entry]) -> bool:
    """What was said before the bolt was loosened says nothing of a pull after it."""
    return all(any(back is other for other in asked) for back in told)


def asking_new(view: View, step: StepJson, slots: dict[str, Standing], of: list[str]) -> Json:
    """{asks_new: the parts whose next answer must say that the bolt is new}; {} where no bolt is used once."""
    if step["check"].get("asks_new") is not True:
        return {}
    return {"asks_new": [part for part in of if not is_new(view, step, slots, part, None)]}


# --- the three lists --------------------------------------------------------------------------------------------------


def is_on(view: View, name: str, list_: str) -> bool:
    """Nobody said where a thing taken off besides belongs, so it is on every list."""
    return bool(view.items[name]["list"] == list_ or (name in view.took_off and view.items[name]["list"] is None))


def corrected(view: View, item: str, count: int) -> int:
    """A corrected count stands for the whole item wherever the worksheet says the whole."""
    return view.counts[item] if item in view.counts and count == view.items[item]["count"] else count


def bolt_lists(view: View) -> Json:
    """{list: [{item, step, value, count, reuse, closed, parts, done, set, wrench, who, at, new}]}: all bolts of a list,
    in the order of work; {} where there are none. See docs/format.md."""
    rows = [*_rows_of_sheet(view), *(_row(view, path, path, None, view.items[path]["count"]) for path in view.took_off)]
    bolts = [row for row in rows if view.items[row["item"]]["kind"] == "bolt"]
    lists = {name: [row for row in bolts if is_on(view, row["item"], name)] for name in LISTS}
    return lists if any(lists.values()) else {}


def _rows_of_sheet(view: View) -> Iterable[Json]:
    """What closes a bolt and is not needed in this job is no row, unless the bolt is off all the same."""
    for step in view.sheet["steps"] if view.sheet else []:
        counts = {closed["what"]: closed["count"] for closed in reversed(step["closes"])}
        for item in dict.fromkeys(closed["what"] for closed in step["closes"]):
            if view.steps[step["path"]]["state"] != "hidden" or view.items[item]["open"] > 0:
                whole = view.items[item]["count"]
                yield _row(view, step["path"], item, step, whole if counts[item] is None else counts[item])


def _row(view: View, path: str, item: str, step: StepJson | None, count: int) -> Json:
    seen, check = view.steps[path], step["check"] if step else {}
    name = check["value"] if check.get("kind") == "tighten" else None
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


def _pulled(check: Json, pulls: list[tuple[str, Entry]]) -> Json:
    """The newest pull that stands; `new`: every bolt that was pulled was said to be new."""
    newest: Entry | None = None
    new: dict[str, bool] = {}
    for part, entry in pulls:
        newest = entry if newest is None or after(entry, newest) else newest
        bolt = bolt_of(check, part) if check.get("kind") == "tighten" else ""
        new[bolt] = new.get(bolt, False) or entry["value"].get("new") is True
    value = newest["value"] if newest else {}
    return {
        "set": value["set"] if said(value.get("set")) else None,
        "wrench": value["wrench"] if said(value.get("wrench")) else None,
        "who": newest["who"] if newest else None,
        "at": newest["at"] if newest else None,
        "new": bool(new) and all(new.values()),
    }
