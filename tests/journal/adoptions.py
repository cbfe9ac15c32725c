"""Jobs that go from revision to revision, and from phone to phone, one event at a time, for what must stay open.

A walk is made by a `random.Random`. Its sheets differ in every way in which a step can lose what it opened: gone,
moved, renamed with and without `was`, with the `was` of another step, with other things opened or closed, other
counts, other check-offs, new conditions, and things of another kind. Its phones tick, take back, go back, leave out,
adopt, meet only now and then, and are restored from old backups.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from random import Random
from typing import Any

from generator.canonical import canonical
from generator.journal.answers import parts_of
from generator.journal.entries import Entry, Gathered, gather
from generator.journal.fold import State, judge
from generator.journal.seen import answer_ids, step_ids
from tests.support.journals import (
    DAY,
    GATES,
    TICK,
    Phone,
    Sheet,
    digest_of_cached,
    inspect,
    sheet_of,
    step,
    tighten,
    value,
)

Sheets = dict[str, Sheet]
Change = Callable[[Random, list[dict[str, Any]], dict[str, Any]], None]

THINGS = {
    "pin": {"kind": "pin", "label": "Pin", "list": None, "count": 1},
    "bolts": {"kind": "bolt", "label": "Cover bolts", "list": "covers", "count": 6},
    "hose": {"kind": "hose", "label": "Hose", "list": None, "count": 2},
    "cap": {"kind": "cap", "label": "Cap", "list": "road", "count": 1},
}
VALUES = {"bolts": value("ordinary", "9 N.m"), "pump": value("critical", "20 N.m")}
CHECKS: list[tuple[dict[str, Any], list[str]]] = [
    (TICK, []),
    (TICK, []),
    (TICK, []),
    (tighten("bolts", "ordinary", "1", "2"), ["bolts"]),
    (tighten("pump", "critical", "1.1"), ["pump"]),
    (inspect(good=False, leaks=False, bad=True), []),
    ({"kind": "photo", "label": "Marks"}, []),
]

# -- sheets ------------------------------------------------------------------------------------------------------------


def first_sheet(rng: Random) -> Sheet:
    """Return a sheet that opens some things and closes each later, with a look that nothing depends on yet."""
    names = rng.sample(list(THINGS), rng.randint(1, 3))
    body = [_opener(rng, name) for name in names] + [step("look", 0, inspect(good=False, leaks=False))]
    rng.shuffle(body)
    closers = [_closer(rng, name) for name in names if rng.random() < 0.9]
    if rng.random() < 0.4:  # a second opener and closer of one of the things, perhaps between the others
        name = rng.choice(names)
        body.insert(rng.randrange(len(body) + 1), {**_opener(rng, name), "path": f"open-{name}-2"})
        closers.append({**_closer(rng, name), "path": f"close-{name}-2"})
    rng.shuffle(closers)
    gate = step("gate", 0, TICK, hold=True, leave="never", gate=GATES["starter"])
    done = step("done", 0, TICK, completion=True, leave="never")
    return _sheet([*body, *closers, gate, done], THINGS, 1)


def _opener(rng: Random, name: str) -> dict[str, Any]:
    check, values = rng.choice(CHECKS)
    count = rng.choice([THINGS[name]["count"], THINGS[name]["count"], 1])
    return step(f"open-{name}", 0, check, values=values, opens=[{"what": name, "count": count}])


def _closer(rng: Random, name: str) -> dict[str, Any]:
    check, values = rng.choice(CHECKS)
    count = rng.choice([None, None, THINGS[name]["count"], 1])
    return step(f"close-{name}", 0, check, values=values, closes=[{"what": name, "count": count}])


def _sheet(steps: list[dict[str, Any]], items: dict[str, Any], revision: int) -> Sheet:
    known = {moved["what"] for each in steps for moved in [*each["opens"], *each["closes"]]}
    items = {name: item for name, item in items.items() if name in known}
    return sheet_of(["any"], steps, values=VALUES, items=items, revision=revision)


def next_sheet(rng: Random, sheet: Sheet, revision: int) -> Sheet:
    """Return another revision of a sheet, with one to four changes."""
    steps: list[dict[str, Any]] = json.loads(canonical(sheet["steps"]))
    items: dict[str, Any] = json.loads(canonical({**THINGS, **sheet["items"]}))
    body, last = steps[:-2], steps[-2:]
    for _ in range(rng.randint(1, 4)):
        if body:
            rng.choice(CHANGES)(rng, body, items)
    return _sheet([*body, *last], items, revision)


def _some(rng: Random, body: list[dict[str, Any]], key: str = "") -> dict[str, Any]:
    having = [each for each in body if each[key]] if key else []
    return rng.choice(having or body)


def _remove(rng: Random, body: list[dict[str, Any]], items: dict[str, Any]) -> None:
    body.remove(_some(rng, body, rng.choice(["opens", "opens", "closes", ""])))


def _move(rng: Random, body: list[dict[str, Any]], items: dict[str, Any]) -> None:
    each = body.pop(rng.randrange(len(body)))
    body.insert(rng.randrange(len(body) + 1), each)


def _rename(rng: Random, body: list[dict[str, Any]], items: dict[str, Any]) -> None:
    """Give a step another path, which it says, keeps to itself, or says of the wrong step, or of two."""
    each = _some(rng, body, rng.choice(["opens", "closes"]))
    old, other = each["path"], rng.choice(body)["path"]
    path = f"{old.split('/')[-1]}-{rng.randint(3, 99)}"
    if any(one["path"] == path for one in body):
        return
    was = rng.choice([[old], [old], [], [other], [old, other]])
    each |= {"path": path, "was": [*each["was"], *was] if was else []}
    if other in was and rng.random() < 0.5:
        body[:] = [one for one in body if one["path"] != other]


def _opens(rng: Random, body: list[dict[str, Any]], items: dict[str, Any]) -> None:
    each = _some(rng, body, "opens")
    name = rng.choice(list(THINGS))
    each["opens"] = rng.choice(
        [
            [],
            [{"what": name, "count": items[name]["count"]}],
            [{**opened, "count": rng.randint(1, 8)} for opened in each["opens"]],
            [*(o for o in each["opens"] if o["what"] != name), {"what": name, "count": 1}],
        ]
    )


def _closes(rng: Random, body: list[dict[str, Any]], items: dict[str, Any]) -> None:
    each = _some(rng, body, rng.choice(["closes", "closes", ""]))
    name = rng.choice(list(THINGS))
    each["closes"] = rng.choice(
        [
            [],
            [{"what": name, "count": None}],
            [{**closed, "count": rng.choice([None, 1, 6])} for closed in each["closes"]],
            [*(c for c in each["closes"] if c["what"] != name), {"what": name, "count": rng.choice([None, 1])}],
        ]
    )


def _check_off(rng: Random, body: list[dict[str, Any]], items: dict[str, Any]) -> None:
    each = _some(rng, body, rng.choice(["opens", "closes"]))
    each["check"], each["values"] = rng.choice(CHECKS)


def _duty(rng: Random, body: list[dict[str, Any]], items: dict[str, Any]) -> None:
    _some(rng, body)["cautions"] = [{"level": "notice", "hazard": f"new {rng.randint(0, 9)}"}]


def _condition(rng: Random, body: list[dict[str, Any]], items: dict[str, Any]) -> None:
    looks = [each["path"] for each in body if each["check"]["kind"] == "inspect"]
    each = _some(rng, body, rng.choice(["opens", "closes"]))
    if looks and (looks := [path for path in looks if path != each["path"]]):
        each["when"] = [{"step": rng.choice(looks), "outcomes": ["leaks"]}]


def _thing(rng: Random, body: list[dict[str, Any]], items: dict[str, Any]) -> None:
    name = rng.choice(list(items))
    change = rng.choice([{"kind": "rag"}, {"list": None}, {"list": "bay"}, {"count": rng.randint(1, 8)}])
    items[name] = {**items[name], **change}


def _add(rng: Random, body: list[dict[str, Any]], items: dict[str, Any]) -> None:
    name = rng.choice(list(THINGS))
    new = (_opener if rng.random() < 0.5 else _closer)(rng, name)
    new["path"] = f"{new['path']}-{rng.randint(100, 999)}"
    body.insert(rng.randrange(len(body) + 1), new)


CHANGES: list[Change] = [
    _remove, _remove, _move, _move, _rename, _rename, _opens, _opens, _closes, _closes, _check_off, _duty, _condition,
    _thing, _add,
]  # fmt: skip


# -- walks -------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Look:
    """What a phone shows: its entries, the worksheets it has, and the state."""

    gathered: Gathered
    sheets: Sheets
    state: State

    @property
    def opened(self) -> dict[str, int]:
        return {name: item["open"] for name, item in self.state["items"].items() if item["open"]}


@dataclass(frozen=True)
class Event:
    """One thing that happened on a phone, with what it showed before and after."""

    what: str
    before: Look
    after: Look


class Bay:
    """One job on a few phones, of which none need know what another one did, or has."""

    def __init__(self, rng: Random) -> None:
        self.rng, self.now = rng, DAY
        first = first_sheet(rng)
        self.every: list[Sheet] = [first]
        self.phones = [Phone(rng, f"phone-{number}", first) for number in range(rng.randint(1, 3))]
        self.hands: list[Sheets] = [{digest_of_cached(first): first} for _ in self.phones]
        start = self.phones[0].write("start", DAY, value={"number": "R-7", "vehicle": "blue van"})
        for phone in self.phones[1:]:
            phone.meet([start])
        self.backups: list[list[tuple[Gathered, Sheets]]] = [[] for _ in self.phones]

    def look(self, at: int) -> Look:
        phone, hand = self.phones[at], dict(self.hands[at])
        state = judge(phone.view, hand)
        phone.sheet = hand.get(state["sheet"] or "", phone.sheet)
        return Look(phone.view, hand, state)

    def events(self, turns: int) -> Iterator[Event]:
        for _ in range(turns):
            at = self.rng.randrange(len(self.phones))
            before = self.look(at)
            self.now += timedelta(seconds=self.rng.choice([1, 60, 900]))
            self.phones[at].who = self.rng.choice(["KS", "LM", "RT"])
            if self.rng.random() < 0.1:
                self.backups[at].append((self.phones[at].view, dict(self.hands[at])))
            deed = self.rng.choice(DEEDS)
            deed(self, at, before)
            if self.phones[at].view is before.gathered and len(self.hands[at]) == len(before.sheets):
                continue
            after = self.look(at)
            if deed is not _restore:  # what a phone no longer has, it cannot show
                yield Event(deed.__name__.strip("_"), before, after)


def _answer(bay: Bay, at: int, each: dict[str, Any], good: bool) -> None:
    phone, kind = bay.phones[at], each["check"]["kind"]
    for part in parts_of(each["check"], {}):
        given: dict[str, Any] = {
            "tighten": {"set": "9 N.m"},
            "inspect": {"outcome": bay.rng.choice(["good", "good", "leaks", "bad"])},
            "photo": {"kept_at": "phone"},
        }.get(kind, {})
        if not good:
            given = bay.rng.choice([{"outcome": "failed", "note": "slipped"}, {}])
        seen = phone.sees(each["path"], part)
        phone.write("check", bay.now, step=each["path"], part=part, value=given, seen=seen)
        if bay.rng.random() < 0.08:
            return


def _on(bay: Bay, at: int, before: Look) -> None:
    """Go on in the order of the sheet, mostly."""
    steps = bay.phones[at].sheet["steps"][:-1]
    undone = [each for each in steps if before.state["steps"].get(each["path"], {}).get("state") != "done"]
    each = undone[0] if undone and bay.rng.random() < 0.6 else bay.rng.choice(steps)
    _answer(bay, at, each, bay.rng.random() < 0.9)


def _take_back(bay: Bay, at: int, before: Look) -> None:
    phone = bay.phones[at]
    answered = [entry for entry in phone.view.entries if entry["kind"] in ("check", "skip", "not-fitted")]
    if answered:
        entry = bay.rng.choice(answered)
        ids = answer_ids(phone.view, entry["step"], entry["part"], phone.sheet) if bay.rng.random() < 0.5 else []
        phone.write("take-back", bay.now, value={"reason": "slip"}, seen=ids or [entry["id"]])


def _take_back_anything(bay: Bay, at: int, before: Look) -> None:
    """A wrong adoption is taken back, or a take-back."""
    phone = bay.phones[at]
    entry = bay.rng.choice([e for e in phone.view.entries if e["kind"] in ("adopt", "take-back", "back", "start")])
    if entry["kind"] != "start":
        phone.write("take-back", bay.now, value={"reason": "slip"}, seen=[entry["id"]])


def _go_back(bay: Bay, at: int, before: Look) -> None:
    phone = bay.phones[at]
    paths = [each["path"] for each in phone.sheet["steps"][:-2]]
    if len(paths) < 2:
        return
    number = bay.rng.randrange(1, len(paths))
    disturbs = bay.rng.sample(paths, 1)
    seen = step_ids(phone.view, [paths[number], *disturbs], phone.sheet)
    rest = [path for path in paths[:number] if path not in disturbs]
    given = {"to": paths[0], "disturbs": disturbs, "rest": rest, "reason": "mark off"}
    phone.write("back", bay.now, step=paths[number], value=given, seen=seen)


def _not_disturbed(bay: Bay, at: int, before: Look) -> None:
    backs = [entry["id"] for entry in bay.phones[at].view.entries if entry["kind"] == "back"]
    if backs:
        bay.phones[at].write("not-disturbed", bay.now, seen=backs[-1:])


def _leave(bay: Bay, at: int, before: Look) -> None:
    phone = bay.phones[at]
    each = bay.rng.choice(phone.sheet["steps"][:-2] or phone.sheet["steps"])
    kind = bay.rng.choice(["skip", "not-fitted"])
    phone.write(kind, bay.now, step=each["path"], value={"reason": "no room"}, seen=phone.sees(each["path"], ""))


def _settle(bay: Bay, at: int, before: Look) -> None:
    phone = bay.phones[at]
    disputed = [path for path, seen in before.state["steps"].items() if seen["state"] == "disputed"]
    if not disputed:
        return
    path = bay.rng.choice(disputed)
    answers = before.state["steps"][path]["answers"]
    if answers:
        chosen = bay.rng.choice(answers)
        seen = phone.sees(path, chosen["part"])
        phone.write("settle", bay.now, step=path, part=chosen["part"], value=chosen["value"], seen=seen)


def _count(bay: Bay, at: int, before: Look) -> None:
    phone = bay.phones[at]
    name = bay.rng.choice(list(THINGS))
    phone.write(
        "count", bay.now, part=name, value={"count": bay.rng.randint(1, 9)}, seen=phone.sees("", f"count:{name}")
    )


def _put_back(bay: Bay, at: int, before: Look) -> None:
    """Say what became of a thing that the phone asks about, now and then as an older version says it."""
    phone = bay.phones[at]
    asked = {name: item["left"] for name, item in before.state["items"].items() if item.get("left")}
    if not asked:
        return
    name = bay.rng.choice(sorted(asked))
    told = [e["value"]["count"] for e in phone.view.entries if e["kind"] == "put-back" and e["part"] == name]
    count = max(1, asked[name] + max(told, default=0) - bay.rng.choice([0, 0, 1]))
    given = {"count": count, "reason": "looked"}
    if bay.rng.random() < 0.9:
        given["opened"] = before.state["items"][name]["left_by"]
    phone.write("put-back", bay.now, part=name, value=given, seen=phone.sees("", f"put-back:{name}"))


def _adopt(bay: Bay, at: int, before: Look) -> None:
    """Take a revision that this phone was offered: a new one, or one that it or another phone had before."""
    phone = bay.phones[at]
    if bay.rng.random() < 0.7 and len(bay.every) < 6:
        bay.every.append(next_sheet(bay.rng, bay.rng.choice([phone.sheet, bay.every[-1]]), len(bay.every) + 1))
        phone.sheet = bay.every[-1]
    else:
        phone.sheet = bay.rng.choice(bay.every)
    digest = digest_of_cached(phone.sheet)
    bay.hands[at][digest] = phone.sheet
    phone.write("adopt", bay.now, value={"sheet": digest}, seen=phone.sees("", "sheet"))


def _meet(bay: Bay, at: int, before: Look) -> None:
    """Take in what another phone has, with its worksheets; now and then these come later."""
    other = bay.rng.randrange(len(bay.phones))
    bay.phones[at].meet(bay.phones[other].view.entries)
    if bay.rng.random() < 0.85:
        bay.hands[at] |= bay.hands[other]


def _fetch(bay: Bay, at: int, before: Look) -> None:
    """Get the worksheets that came later."""
    named = {entry["sheet"] for entry in bay.phones[at].view.entries}
    bay.hands[at] |= {digest_of_cached(sheet): sheet for sheet in bay.every if digest_of_cached(sheet) in named}


def _restore(bay: Bay, at: int, before: Look) -> None:
    """Go on from a backup of before, as another writer."""
    if bay.backups[at]:
        bay.phones[at].view, bay.hands[at] = bay.rng.choice(bay.backups[at])
        bay.hands[at] = dict(bay.hands[at])
        bay.phones[at].reload()


DEEDS = [
    *[_on] * 12, *[_adopt] * 5, *[_meet] * 5, *[_fetch] * 2, _take_back, _take_back, _take_back_anything, _go_back,
    _not_disturbed, _leave, _leave, _settle, _settle, _count, *[_put_back] * 2, _restore,
]  # fmt: skip


# -- what may lower a count --------------------------------------------------------------------------------------------

WORDS = ("take-back", "back", "skip", "not-fitted", "refuse", "settle")
ANY = 10_000


def lowered(event: Event) -> list[tuple[str, int, int]]:
    """Return [(thing, open before, open after)] for things whose count fell though nobody closed them or said so."""
    then, now = event.before.opened, event.after.opened
    fell = [name for name, count in then.items() if now.get(name, 0) < count]
    return [(n, then[n], now.get(n, 0)) for n in fell if then[n] - now.get(n, 0) > may_fall(event, n)]


def may_fall(event: Event, name: str) -> int:
    """Return how far the count of a thing may fall by what came in with this event."""
    known = {id(entry) for entry in event.before.gathered.entries}
    new = [entry for entry in event.after.gathered.entries if id(entry) not in known]
    by_id = {entry["id"]: entry for entry in event.after.gathered.entries}
    fall = sum(_by_entry(event, by_id, entry, name) for entry in new)
    if event.before.state["sheet"] != event.after.state["sheet"]:  # where a step could close it, no word was asked for
        told = [e for e in event.before.gathered.entries if e["kind"] == "put-back" and e["part"] == name]
        fall += max((entry["value"]["count"] for entry in told), default=0)
    return (
        fall
        + by_arrival(event, name)
        + sum(_by_closing(event, entry, name) for entry in event.before.gathered.entries if _counts_again(event, entry))
    )


def by_arrival(event: Event, name: str) -> int:
    """Return how many of a thing nobody opened, as a worksheet says that came with this event.

    Of an answer on a worksheet that is not at hand nobody knows what it opened. Until that comes the answer counts as
    the worksheets at hand have its step, which is careful and a guess. When it comes, and its own step opened fewer,
    nobody has to close what only the guess had: no person opened it. Only answers that were in view before count here,
    only on a worksheet that was not, and only as many as the guess had more: anything else that falls in the same
    event is lost.
    """
    fall: dict[str, int] = {}
    for entry in event.before.gathered.entries:
        came = entry["sheet"] in event.after.sheets and entry["sheet"] not in event.before.sheets
        if came and entry["kind"] in ("check", "settle"):
            guessed = max((_opens(sheet, entry["step"], name) for sheet in event.before.sheets.values()), default=0)
            more = guessed - _opens(event.after.sheets[entry["sheet"]], entry["step"], name)
            fall[entry["step"]] = min(fall.get(entry["step"], more), more)
    return sum(max(0, more) for more in fall.values())


def _opens(sheet: Sheet, path: str, name: str) -> int:
    same = [each for each in sheet["steps"] if path in (each["path"], *each["was"])]
    return max((moved["count"] for each in same for moved in each["opens"] if moved["what"] == name), default=0)


def _step(look: Look, entry: Entry) -> dict[str, Any]:
    steps = look.sheets.get(entry["sheet"], {"steps": []})["steps"]
    return next((each for each in steps if each["path"] == entry["step"]), {"opens": [], "closes": [], "duty": None})


def _by_entry(event: Event, by_id: dict[str, Entry], entry: Entry, name: str) -> int:
    if entry["kind"] in ("put-back", "count"):
        return ANY if entry["part"] == name else 0
    if entry["kind"] == "not-disturbed":
        return ANY
    if entry["kind"] in WORDS and any(
        _is_word(event, entry, by_id[id_], name) for id_ in entry["seen"] if id_ in by_id
    ):
        return ANY
    return _by_closing(event, entry, name)


def _by_closing(event: Event, entry: Entry, name: str) -> int:
    """Return how many a check closes, as its own worksheet has it."""
    closes = _step(event.after, entry)["closes"] if entry["kind"] in ("check", "settle", "finish") else []
    whole = {look["items"].get(name, {}).get("count") for look in event.after.sheets.values()}
    return sum(ANY if c["count"] is None or c["count"] in whole else c["count"] for c in closes if c["what"] == name)


def _is_word(event: Event, word: Entry, named: Entry, name: str) -> bool:
    """True if a person strikes out, goes back on or leaves out what opened a thing, or takes back such a word."""
    if word["kind"] == "take-back" and (named["kind"] in (*WORDS, "not-disturbed") or named["part"] == name):
        return True
    step_then = _step(event.after, named)
    if named["kind"] not in ("check", "settle"):
        return False
    if word["kind"] in ("take-back", "back"):
        steps = [each for sheet in event.after.sheets.values() for each in sheet["steps"]]
        same = [each for each in steps if named["step"] in (each["path"], *each["was"])]
        return any(moved["what"] == name for each in same for moved in [*each["opens"], *each["closes"]])
    if named["sheet"] not in event.after.sheets:
        return True  # what it opened is known to nobody here
    same = _step(event.after, word)["duty"] == step_then["duty"]
    return same and any(opened["what"] == name for opened in step_then["opens"])


def _counts_again(event: Event, entry: Entry) -> bool:
    """True for a standing answer to a step that was not done before: under another revision it may count once more."""
    if entry["kind"] not in ("check", "settle") or event.before.state["sheet"] == event.after.state["sheet"]:
        return False
    return event.before.state["steps"].get(entry["step"], {}).get("state") != "done"


def walk(rng: Random, turns: int = 30) -> Iterator[Event]:
    return Bay(rng).events(turns)


def only_in_use(look: Look) -> Look:
    """The control: what a phone shows that knows no worksheet but the one in use."""
    mark = look.state["sheet"] or ""
    sheets = {mark: look.sheets[mark]} if mark in look.sheets else {}
    return Look(look.gathered, sheets, judge(gather(look.gathered.entries), sheets))
