"""Sheets, revisions of a sheet and journals, made from one source of choices.

The source is a `random.Random`: a seeded one for thousands of cases in a row, or that of Hypothesis, which makes a
failing case small. Journals come from several phones. Each sees only what reached it, ticks, corrects, takes back, goes
back, answers twice, gets clocks and shapes wrong. In the end all are united.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from random import Random
from typing import Any

from hypothesis import strategies as st

from generator.canonical import canonical, digest
from generator.compile.job_values import limits_json
from generator.journal.answers import parts_of, value_state
from generator.journal.entries import SLOTS, Entry, Gathered, Standing, add, gather, union
from generator.journal.seen import answer_ids, next_lamport, slot_ids, step_ids
from generator.tables import EARLIER_TRADE
from tests.support.figures import READINGS, figures, on_wrench, quantity, random_results, tools, typed

Sheet = dict[str, Any]
Case = dict[str, Any]

DAY = datetime(2026, 10, 2, 8, 0, tzinfo=UTC)
PEOPLE = [("KS", "tech"), ("LM", "apprentice"), ("RT", "lead")]
TYPED = {who: [who, who, who, who.lower(), ".".join(who), f"{who} "] for who, _ in PEOPLE}
"""Initials as somebody may type them, of the same person."""
SOURCE = {"document": "Workshop manual WM-22", "where": "page 118"}


# -- sheets ------------------------------------------------------------------------------------------------------------


def value(class_: str, text: str | None, kind: str = "torque") -> dict[str, Any]:
    source = {**SOURCE, "read": "2026-10-02", "by": "KS", "checked_by": None} if text else None
    return {"label": "A value", "kind": kind, "class": class_, "text": text, "source": source}


def step(path: str, stage: int, check: dict[str, Any], **more: Any) -> dict[str, Any]:
    plain = {"opens": [], "closes": [], "hold": False, "gate": None, "when": [], "after": [], "if_failed": None}
    plain |= {"leave": "own", "may_refuse": False, "values": [], "was": [], "completion": False, "cautions": []}
    return {
        **plain,
        "path": path,
        "stage": stage,
        "check": check,
        "do": [f"Do {path.split('/')[-1]}."],
        "why": None,
        **more,
    }


def sheet_of(stages: list[str], steps: list[dict[str, Any]], **more: Any) -> Sheet:
    """Return a sheet with the digests of its steps. `stages` are their orders."""
    sheet: Sheet = {
        "v": 1,
        "stages": [{"id": f"stage-{i}", "title": f"Stage {i}", "order": order} for i, order in enumerate(stages)],
        "steps": steps,
        "values": {},
        "items": {},
        "needs": {"parts": {}, "tools": {}, "consumables": {}, "one_time": {}, "values": []},
        "shop": {"id": "demo", "people": [{"initials": who, "name": who, "role": role} for who, role in PEOPLE]},
        **more,
    }
    for each in sheet["steps"]:
        duty = ("check", "cautions", "opens", "closes", "hold", "gate")
        values = [sheet["values"].get(name) for name in each["values"]]
        asks = {key: each[key] for key in duty}
        asks["check"] = {key: of for key, of in each["check"].items() if key != "qualified"}
        each["duty"] = digest(canonical([asks, values]))
        each["wording"] = digest(canonical([each["do"], each["why"]]))
    made: Sheet = json.loads(canonical(sheet))
    return made


def digest_of(sheet: Sheet) -> str:
    return digest(canonical(sheet))


def by_digest(*sheets: Sheet) -> dict[str, Sheet]:
    return {digest_of_cached(sheet): sheet for sheet in sheets}


TICK = {"kind": "tick", "hold_down": False}


def tighten(name: str, fastener: str, *parts: str) -> dict[str, Any]:
    of = [{"id": part, "label": part, "target": None} for part in parts]
    return {"kind": "tighten", "value": name, "fastener": fastener, "list": None, "item": None, "parts": of}


def inspect(**fails: bool) -> dict[str, Any]:
    return {"kind": "inspect", "outcomes": [{"name": n, "label": n, "fails": bad} for n, bad in fails.items()]}


def wait(name: str, seconds: int | None) -> dict[str, Any]:
    return {"kind": "wait", "value": name, "seconds": seconds, "every": None, "every_value": None, "say": "wait"}


VALUES = {
    "bolts": value("critical", "12 N.m"),
    "idler": value("critical", None),
    "cover": value("ordinary", None),
    "clamp": value("clip", None),
    "drain": value("ordinary", "10 min", "time"),
    "soak": value("critical", None, "time"),
    "turns": value("critical", None, "count"),
}
ITEMS = {
    "pin": {"kind": "pin", "label": "Pin", "list": None, "count": 1},
    "cover_bolts": {"kind": "bolt", "label": "Cover bolts", "list": "covers", "count": 6},
    "hose": {"kind": "hose", "label": "Hose", "list": None, "count": 2},
    "battery": {"kind": "battery", "label": "Earth clamp", "list": None, "count": 1},
}
NEEDS = {
    "parts": {"belt": {"label": "Belt", "number": None, "count": 1, "one_time": False}},
    "tools": {"spanner": {"label": "Spanner"}},
    "consumables": {},
    "one_time": {},
    "values": ["idler", "cover", "soak", "turns"],
}


def _checks(rng: Random, earlier: list[str]) -> list[tuple[dict[str, Any], list[str]]]:
    """Return one check-off of each kind, with the values it uses."""
    of = [rng.choice(earlier)] if earlier else []
    asks = {"qualified": rng.random() < 0.8} if rng.random() < 0.5 else {}
    sign = [({"kind": "sign", "of": of, "self_check_after": 600, **asks}, [])] if of else []
    looks_at = of if rng.random() < 0.3 else []
    permit = {"kind": "sign", "of": looks_at, "self_check_after": 600, "permit": "Dead", "alone": rng.random() < 0.3}
    permit |= asks if rng.random() < 0.5 else {}
    return [
        (TICK, []),
        (inspect(good=False, leaks=False, bad=True), []),
        ({"kind": "measure", "reading": rng.choice(list(READINGS)), "against": None}, []),
        ({"kind": "photo", "label": "Marks"}, []),
        (tighten("bolts", "critical", "1.1", "1.2"), ["bolts"]),
        (tighten("idler", "critical", "1.1"), ["idler"]),
        (tighten("cover", "ordinary", "1", "2"), ["cover"]),
        (tighten("clamp", "clip", "1"), ["clamp"]),
        (wait("drain", 600), ["drain"]),
        (wait("soak", None), ["soak"]),
        ({**wait("drain", 600), "watch": {"start": "vac_start", "end": "vac_end"}}, ["drain"]),
        ({"kind": "turn", "value": "turns", "count": rng.choice([None, 2, 3])}, ["turns"]),
        (permit, []),
        *sign,
    ]


GATES = {
    "strip-down": {"for": "strip-down", "kinds": [], "lists": [], "ready": True},
    "hand-turn": {"for": "hand-turn", "kinds": ["battery", "pin"], "lists": [], "ready": False},
    "starter": {"for": "starter", "kinds": ["pin", "hose"], "lists": ["covers", "bay"], "ready": False},
}


def random_sheet(rng: Random) -> Sheet:
    stages = [rng.choice(["any", "kept", "absolute"]) for _ in range(rng.randint(1, 3))]
    count = rng.randint(3, 9)
    steps: list[dict[str, Any]] = []
    for number in range(count):
        steps.append(_random_step(rng, f"step-{number}", min(number * len(stages) // count, len(stages) - 1), steps))
    steps.append(step("done", len(stages) - 1, TICK, completion=True, leave="never"))
    values = {name: value(v["class"], v["text"], v["kind"]) for name, v in VALUES.items()}
    more = _figures(rng, steps, values) if rng.random() < 0.6 else {}
    if rng.random() < 0.6:
        more["second_reader"] = rng.choice([1, 60, 600, 600])
    if rng.random() < 0.5:
        more["trade"] = {**EARLIER_TRADE, "roles": [{**role, **_qualified(rng)} for role in EARLIER_TRADE["roles"]]}
    return sheet_of(stages, steps, values=values, items=ITEMS, needs=NEEDS, **more)


def _qualified(rng: Random) -> dict[str, bool]:
    return {"qualified": rng.random() < 0.7} if rng.random() < 0.5 else {}


def _figures(rng: Random, steps: list[dict[str, Any]], values: dict[str, Any]) -> dict[str, Any]:
    """Return results, shown and holding here and there, with the values that their formulas use and fill."""
    values |= {
        "capacity": {**value("ordinary", "8 L", "volume"), **quantity("L", 8)},
        "bolt_gap": {**value("ordinary", "1 mm", "length"), **quantity("mm", 1, (10, "mm"))},
        "fill_vacuum": {**value("ordinary", None, "vacuum"), **quantity("kPa(vac)", None)},
        "fluid_in": {**value("critical", None, "volume"), **quantity("L", None)},
        "label_date": value("ordinary", None, "text"),
    }
    if rng.random() < 0.6:
        for given in values.values():
            given["limits"] = limits_json(given["kind"])
    results = random_results(rng, [each["path"] for each in steps if each["check"]["kind"] == "inspect"])
    taken = rng.sample(list(READINGS), rng.choice([2, 3]))
    for each in steps[:-1]:
        if each["check"]["kind"] in ("tick", "photo") and rng.random() < 0.7:
            each["check"] = {"kind": "measure", "reading": rng.choice(taken), "against": None}
        if results and rng.random() < 0.5:
            shown = rng.sample(results, min(len(results), rng.randint(1, 3)))
            each["shows"] = [result["name"] for result in shown]
            each["holds"] = [result["name"] for result in shown if result["hold"]]
            each["doubts"] = [result["name"] for result in shown if rng.random() < 0.6]
        if rng.random() < 0.15:
            each["values"] = [*each["values"], rng.choice(["fill_vacuum", "fluid_in"])]
    if rng.random() < 0.7:
        _wrenches(steps, values)
        return figures(READINGS, results, coldest=rng.choice([None, -22, -30]), **tools())
    return figures(READINGS, results, coldest=rng.choice([None, -22, -30]))


def _wrenches(steps: list[dict[str, Any]], values: dict[str, Any]) -> None:
    """Set some pulls on a wrench, and give one value all there is to say of its bolts."""
    facts = {"condition": "dry", "into": "aluminium", "grade": "8.8", "engaged": None, "head": "flange", "grip": None}
    band = {"low": 5, "high": 25, "by": "fastener"}
    values["bolts"] |= {**facts, "doubt": None, "reuse": "no", "band": band, "points": [[0, 0.5], [1, 0.5]]}
    for each in steps:
        if each["check"]["kind"] == "tighten":
            each["check"] = on_wrench(each["check"])


def _random_step(rng: Random, path: str, stage: int, before: list[dict[str, Any]]) -> dict[str, Any]:
    earlier = [s["path"] for s in before]
    check, values = rng.choice(_checks(rng, earlier)) if rng.random() < 0.7 else (TICK, [])
    if check["kind"] == "tighten" and rng.random() < 0.5:
        check = {**check, "asks_new": rng.random() < 0.8}
    more: dict[str, Any] = {"values": values, "leave": rng.choice(["own", "own", "lead", "never"])}
    more["may_refuse"] = rng.random() < 0.3
    if rng.random() < 0.3:
        name = rng.choice(list(ITEMS))
        more["opens"] = [{"what": name, "count": ITEMS[name]["count"]}]
    opened = [o["what"] for s in before for o in s["opens"]]
    if opened and rng.random() < 0.6:
        more["closes"] = [{"what": rng.choice(opened), "count": rng.choice([None, None, 1])}]
    if rng.random() < 0.2:
        more |= {"hold": True, "leave": "never"}
    if rng.random() < 0.25:
        more |= {"hold": True, "leave": "never", "gate": GATES[rng.choice(list(GATES))]}
    inspected = [s["path"] for s in before if s["check"]["kind"] == "inspect"]
    if inspected and rng.random() < 0.5:
        more["when"] = [{"step": rng.choice(inspected), "outcomes": rng.choice([["leaks"], ["bad", "leaks"]])}]
    if earlier and rng.random() < 0.2:
        more["after"] = [rng.choice(earlier)]
    if earlier and rng.random() < 0.4:
        more["if_failed"] = {"when": "it is bad", "outcomes": ["bad"], "back_to": rng.choice(earlier), "say": None}
        more["stop"] = rng.random() < 0.5
        more["if_failed"]["disturbs"] = rng.sample(earlier, rng.randint(1, min(3, len(earlier))))
    return step(path, stage, check, **more)


def revised(rng: Random, sheet: Sheet) -> Sheet:
    """Return another revision: duties and wordings changed, steps removed, moved, renamed and added."""
    steps: list[dict[str, Any]] = json.loads(canonical(sheet["steps"]))
    for _ in range(rng.randint(1, 4)):
        body, at = steps[:-1], rng.randrange(len(steps) - 1) if len(steps) > 1 else 0
        change = rng.choice(["duty", "wording", "removed", "moved", "renamed", "added", "signer"])
        if change == "duty":
            steps[at]["cautions"] = [{"level": "notice", "hazard": f"new {rng.randint(0, 9)}"}]
        elif change == "wording":
            steps[at]["do"] = [f"Now do it so: {rng.randint(0, 9)}."]
        elif change == "removed" and len(body) > 1:
            del steps[at]
        elif change == "moved" and len(body) > 1:
            steps[at]["stage"], moved = steps[-2]["stage"], steps.pop(at)
            steps.insert(len(steps) - 1, moved)
        elif change == "renamed":
            steps[at] = _renamed(steps[at], f"moved/{steps[at]['path']}")
        elif change == "signer" and steps[at]["check"]["kind"] == "sign":
            steps[at]["check"]["qualified"] = not steps[at]["check"].get("qualified")
        elif change == "added":
            new = step(f"new-{rng.randint(0, 99)}", steps[at]["stage"], TICK)
            if all(s["path"] != new["path"] for s in steps):
                steps.insert(at, new)
    figures = ("units", "readings", "results", "tables", "givens", "wrenches", "adapters", "torque")
    if rng.random() < 0.1:  # an older worksheet, from before these fields
        figures = ()
    second = ("second_reader",) if rng.random() < 0.8 else ()  # else an older worksheet, from before this field
    kept = {key: sheet[key] for key in ("values", "items", "needs", "shop", *second, *figures) if key in sheet}
    if rng.random() < 0.2:
        kept["needs"] = {**kept["needs"], "tools": {"ratchet": {"label": "Ratchet"}}}
    return sheet_of([stage["order"] for stage in sheet["stages"]], steps, revision=rng.randint(2, 9), **kept)


def _renamed(old: dict[str, Any], path: str) -> dict[str, Any]:
    return {**old, "path": path, "was": [*old["was"], old["path"]]}


def two_revisions() -> Case:
    """Return one journal over two revisions: a changed duty, a changed wording, a step that is gone, one that moved."""
    first = sheet_of(
        ["any"],
        [
            step("tighten-pump", 0, tighten("bolts", "critical", "1.1", "1.2"), values=["bolts"]),
            step("wipe-seat", 0, TICK),
            step("grease-lip", 0, TICK),
            step("fit-seal", 0, TICK),
            step("fill", 0, {"kind": "measure", "reading": "litres", "against": None}),
            step("done", 0, TICK, completion=True, leave="never"),
        ],
        values={"bolts": value("critical", "10 N.m")},
    )
    second = sheet_of(
        ["any"],
        [
            step("fill", 0, {"kind": "measure", "reading": "litres", "against": None}),
            step("seals/fit-seal", 0, TICK, was=["fit-seal"]),
            step("tighten-pump", 0, tighten("bolts", "critical", "1.1", "1.2"), values=["bolts"]),
            step("wipe-seat", 0, TICK, do=["Wipe the seat dry."]),
            step("done", 0, TICK, completion=True, leave="never"),
        ],
        values={"bolts": value("critical", "12 N.m")},
        revision=2,
    )
    phone = Phone(Random(7), "phone", first)
    phone.write("start", DAY, value={"number": "R-7", "vehicle": "blue van"})
    for path, part, given in (
        ("tighten-pump", "1.1", {"set": "10 N.m"}),
        ("tighten-pump", "1.2", {"set": "10 N.m"}),
        ("wipe-seat", "", {}),
        ("grease-lip", "", {}),
        ("fit-seal", "", {}),
    ):
        phone.write("check", DAY, step=path, part=part, value=given, seen=phone.sees(path, part))
    phone.sheet = second
    phone.write("adopt", DAY, value={"sheet": digest_of(second)}, seen=phone.sees("", "sheet"))
    return {"sheets": by_digest(first, second), "entries": phone.view.entries}


# -- journals ----------------------------------------------------------------------------------------------------------


class Phone:
    """One device: the entries it has, who uses it, and how wrong its clock is."""

    def __init__(self, rng: Random, name: str, sheet: Sheet, offset: float = 0) -> None:
        self.rng, self.name, self.sheet, self.offset = rng, name, sheet, timedelta(seconds=offset)
        self.view: Gathered = gather([])
        self.who = PEOPLE[0][0]
        self.reload()

    def reload(self) -> None:
        self.writer, self.prev = f"w{self.rng.getrandbits(40):010x}", ""

    def meet(self, entries: list[Entry]) -> None:
        self.view = gather(union(self.view.entries, entries))

    def write(self, kind: str, now: datetime, **fields: Any) -> Entry:
        entry: Entry = {
            "v": 1,
            "id": f"{self.rng.getrandbits(80):020x}",
            "job": "job-1",
            "device": self.name,
            "writer": self.writer,
            "prev": self.prev,
            "lamport": next_lamport(self.view),
            "at": (now + self.offset).isoformat(timespec="milliseconds").replace("+00:00", "Z"),
            "who": self.who,
            "sheet": digest_of_cached(self.sheet),
            "step": "",
            "part": "",
            "kind": kind,
            "value": {},
            "seen": [],
            **fields,
        }
        self.prev = digest(canonical(entry))
        self.view = add(self.view, entry)
        return entry

    def sees(self, step: str, part: str) -> list[str]:
        return slot_ids(self.view, step, part, self.sheet)


_DIGESTS: dict[int, tuple[Sheet, str]] = {}


def digest_of_cached(sheet: Sheet) -> str:
    held = _DIGESTS.get(id(sheet))
    if not held or held[0] is not sheet:
        held = _DIGESTS[id(sheet)] = (sheet, digest_of(sheet))
    return held[1]


def good_value(rng: Random, check: dict[str, Any], part: str = "") -> dict[str, Any]:
    kind = check["kind"]
    if kind == "wait" and check.get("watch"):
        return typed(rng, check["watch"].get(part, "gap"))
    if kind == "inspect":
        return {"outcome": rng.choice(["good", "good", "leaks", "bad"])}
    values: dict[str, dict[str, Any]] = {
        "tick": {},
        "wait": {},
        "turn": {},
        "tighten": {"set": rng.choice(["12 N.m", "12 N.m", "14 N.m", "12 N.m", "0 N.m"]), **_said_of_bolt(rng, check)},
        "measure": typed(rng, check.get("reading", "gap")),
        "photo": {"kept_at": rng.choice(["phone", "tablet"])},
        "sign": {"self": rng.random() < 0.4, **({"permit": check["permit"]} if "permit" in check else {})},
    }
    return values[kind]


def _said_of_bolt(rng: Random, check: dict[str, Any]) -> dict[str, Any]:
    """Mostly say that a one-time bolt is new, now and then what nobody asked. Add the wrench if it was the shop's."""
    often = 0.9 if check.get("asks_new") else 0.1
    new = {"new": rng.choice([*[True] * 9, False, "yes"])} if rng.random() < often else {}
    return {**new, **({"wrench": rng.choice(["small", "small", "", 7])} if rng.random() < 0.4 else {})}


BAD_VALUES: list[dict[str, Any]] = [
    {},
    {"outcome": "failed", "note": "slipped"},
    {"outcome": 7},
    {"number": "12", "unit": "mm"},
    {"number": 12, "unit": " "},
    {"set": ""},
    {"kept_at": None},
    {"self": "yes"},
    {"self": True, "permit": 7},
    {"nest": [[{"deep": [None, True, -0.5]}]]},
]


class Shop:
    """Some phones at one job, and everything that any of them wrote."""

    def __init__(self, rng: Random, sheet: Sheet, other: Sheet) -> None:
        self.rng, self.sheets, self.now = rng, [sheet, other], DAY
        offsets = [rng.choice([0, 0, 0, -7200, 86400 * 900, 0.25]) for _ in range(rng.randint(1, 3))]
        self.phones = [Phone(rng, f"phone-{i}", sheet, offset) for i, offset in enumerate(offsets)]
        self.loose: list[Entry] = []

    def entries(self) -> list[Entry]:
        return union([entry for phone in self.phones for entry in phone.view.entries], self.loose)

    def sync(self) -> None:
        """Let two phones meet, sometimes only one way."""
        one, two = self.rng.choice(self.phones), self.rng.choice(self.phones)
        if one is not two:
            one.meet(two.view.entries)
            if self.rng.random() < 0.7:
                two.meet(one.view.entries)

    def work(self, phone: Phone, each: dict[str, Any]) -> None:
        """Answer all parts of a step, mostly well."""
        rng = self.rng
        guess = {name: value_state(given, Standing([]))[0] for name, given in phone.sheet["values"].items()}
        for part in parts_of(each["check"], guess):
            self.now += timedelta(seconds=rng.choice([5, 30, 700]))
            good = good_value(rng, each["check"], part) if rng.random() < 0.93 else rng.choice(BAD_VALUES)
            seen = phone.sees(each["path"], part)
            if rng.random() < 0.05:
                seen = [*seen[:-1], "nobody"]
            phone.write("check", self.now, step=each["path"], part=part, value=good, seen=seen)
            if rng.random() < 0.08:
                break

    def one_turn(self) -> None:
        phone = self.rng.choice(self.phones)
        phone.who = self.rng.choice(TYPED[self.rng.choice(PEOPLE)[0]])
        self.now += timedelta(seconds=self.rng.choice([1, 60, 900]))
        if self.rng.random() < 0.05:
            phone.reload()
        self.rng.choice(MISCHIEF)(self, phone)


def _any_step(shop: Shop, phone: Phone) -> dict[str, Any]:
    found: dict[str, Any] = shop.rng.choice(phone.sheet["steps"])
    return found


def _leave(shop: Shop, phone: Phone) -> None:
    each, rng = _any_step(shop, phone), shop.rng
    kind = rng.choice(["skip", "skip", "not-fitted", "refuse"])
    given = {
        "reason": rng.choice(["stripped thread", "no such part", ""]),
        "instead": "",
        "with": rng.choice(["RT", "r.t.", "", "LM"]),
    }
    if kind == "refuse":
        given = {"how": rng.choice(["by phone", ""]), "told_by": "KS", "price": "40"}
    phone.write(kind, shop.now, step=each["path"], value=given, seen=phone.sees(each["path"], ""))


def _take_back_step(shop: Shop, phone: Phone) -> None:
    each = _any_step(shop, phone)
    answered = [e for e in phone.view.entries if e["step"] == each["path"]] or [{"part": ""}]
    part = shop.rng.choice(answered)["part"]
    ids = answer_ids(phone.view, each["path"], part, phone.sheet)
    given = shop.rng.choice([{"reason": "slip"}, {"reason": "slip", "with": "RT"}, {"reason": "", "with": "RT"}])
    phone.write("take-back", shop.now, step=each["path"], part=part, value=given, seen=ids)


def _take_back_anything(shop: Shop, phone: Phone) -> None:
    entries = phone.view.entries or [{"id": "nobody"}]
    count = shop.rng.choice([1, 1, 2])
    ids = [shop.rng.choice(entries)["id"] for _ in range(count)]
    phone.write("take-back", shop.now, value={"reason": "slip"}, seen=list(dict.fromkeys(ids)))


def _go_back(shop: Shop, phone: Phone) -> None:
    each, rng = _any_step(shop, phone), shop.rng
    paths = [s["path"] for s in phone.sheet["steps"]]
    rule = each["if_failed"] or {"back_to": paths[0], "disturbs": rng.sample(paths, min(2, len(paths)))}
    disturbs = rule["disturbs"]
    rest = [path for path in paths[: paths.index(each["path"])] if path not in disturbs]
    seen = step_ids(phone.view, [each["path"], *disturbs], phone.sheet)
    given: dict[str, Any] = {"to": rule["back_to"], "disturbs": disturbs, "rest": rest, "reason": "mark off"}
    if rng.random() < 0.1:
        given = rng.choice([{}, {"to": None, "disturbs": "all", "rest": [3]}])
    phone.write("back", shop.now, step=each["path"], value=given, seen=seen)


def _not_disturbed(shop: Shop, phone: Phone) -> None:
    backs = [entry["id"] for entry in phone.view.entries if entry["kind"] == "back"]
    phone.write("not-disturbed", shop.now, seen=backs[-1:])


def _read(shop: Shop, phone: Phone) -> None:
    name, rng = shop.rng.choice([*phone.sheet["values"], "no_such_value"]), shop.rng
    given: dict[str, Any] = rng.choice(
        [
            {"text": rng.choice(["40 N.m", "2", "10 min", "by the book", "0,5 L", " 85 kPa", "3mL"]), "source": SOURCE},
            {"text": rng.choice(["0 N.m", "-5 N.m", "12 N.m then 0 deg", "4000 N.m", "0", "2.5"]), "source": SOURCE},
            {"text": "40 N.m", "source": {"document": rng.choice([".", "\u200b", "\u3164\u3164"]), "where": "page 5"}},
            {
                "number": rng.choice([2, 1e308]),
                "unit": rng.choice(["L", "kPa(vac)", "kPa", "inHg"]),
                "source": SOURCE,
                "sure": rng.choice([True, "yes"]),
            },
            {"number": rng.choice([2, 15, 0.5]), "unit": rng.choice(["min", "s", "turns"]), "source": SOURCE},
            {"not_published": True},
            {"text": "40 N.m"},
            {"text": " ", "source": {"document": "x"}},
        ]
    )
    phone.write("read", shop.now, part=name, value=given, seen=phone.sees("", f"value:{name}"))


def _read_again(shop: Shop, phone: Phone) -> None:
    """Somebody reads a value again, mostly the same: another person, or the same one after a while."""
    rng = shop.rng
    reads = [entry for entry in phone.view.entries if entry["kind"] in ("read", "settle") and not entry["step"]]
    if not reads:
        return
    first = rng.choice(reads[-4:])
    claim = rng.choice([*[{"self": rng.random() < 0.4}] * 8, {"self": "yes"}, {}, True, None, {"self": [0]}])
    given = {**first["value"], "second": claim}
    if rng.random() < 0.15:
        given |= rng.choice([{"text": "41 N.m"}, {"text": "40.0  N.m"}, {"margin": {"number": 2, "unit": "N.m"}}])
    phone.who = rng.choice([phone.who, "LM", "lm ", "K.S.", "RT", "", "\u3164", "\uff2b\uff33"])
    shop.now += timedelta(seconds=rng.choice([1, 59, 60, 600, 900]))
    slot = f"value:{first['part']}"
    seen = rng.choice([*[phone.sees("", slot)] * 6, [first["id"]], []])
    phone.write("read", shop.now, part=first["part"], value=given, seen=seen)


def _settle(shop: Shop, phone: Phone) -> None:
    answers = [e for e in phone.view.entries if e["kind"] in ("check", "skip", "read", "not-fitted")]
    if not answers:
        return
    chosen = shop.rng.choice(answers)
    step, part = ("", chosen["part"]) if chosen["kind"] == "read" else (chosen["step"], chosen["part"])
    slot = f"value:{part}" if chosen["kind"] == "read" else part
    phone.write("settle", shop.now, step=step, part=part, value=chosen["value"], seen=phone.sees(step, slot))


def _confirm(shop: Shop, phone: Phone) -> None:
    rng = shop.rng
    if rng.random() < 0.3:
        each = _any_step(shop, phone)
        same = {"same": rng.choice([each["wording"], "another"])}
        phone.write("confirm", shop.now, step=each["path"], value=same, seen=phone.sees(each["path"], "wording"))
        return
    for part in ["parts", "tools", "consumables", "one_time", "values", "luck"]:
        if rng.random() < 0.8:
            given = {"except": rng.choice([[], [], ["belt"], "none"])}
            phone.write("confirm", shop.now, part=part, value=given, seen=phone.sees("", f"confirm:{part}"))


def _count(shop: Shop, phone: Phone) -> None:
    items = [
        *phone.sheet["items"],
        *(f"extra/{e['id']}" for e in phone.view.entries if e["kind"] == "took-off"),
        "none",
    ]
    item = shop.rng.choice(items)
    given = {"count": shop.rng.choice([1, 5, 7, 0, "many", 2.5])}
    phone.write("count", shop.now, part=item, value=given, seen=phone.sees("", f"count:{item}"))


def _put_back(shop: Shop, phone: Phone) -> None:
    item = shop.rng.choice([*ITEMS, "none"])
    given = {"count": shop.rng.choice([1, 1, 2, 6, 0, "all"]), "reason": shop.rng.choice(["seen", "seen", ""])}
    phone.write("put-back", shop.now, part=item, value=given, seen=phone.sees("", f"put-back:{item}"))


def _correct(shop: Shop, phone: Phone) -> None:
    rng = shop.rng
    field = rng.choice(["number", "vehicle", "odometer", "odometer", "vin", "role", "__proto__"])
    to = rng.choice(["7", "", {"number": rng.choice(["84120", "84,5", "far", 9]), "unit": rng.choice(["km", "L"])}])
    given = {field: to, "reason": rng.choice(["misread", "misread", ""])}
    phone.write("correct", shop.now, part=field, value=given, seen=phone.sees("", f"job:{field}"))


def _despite(shop: Shop, phone: Phone) -> None:
    """A good answer over a figure that is not good, mostly with a reason."""
    rng = shop.rng
    asked = [each for each in phone.sheet["steps"] if each.get("doubts")]
    if not asked:
        return
    each = rng.choice(asked)
    guess = {name: value_state(given, Standing([]))[0] for name, given in phone.sheet["values"].items()}
    part = parts_of(each["check"], guess)[-1]
    names = rng.choice([each["doubts"], each["doubts"], each["doubts"][:1], "all", []])
    told = rng.choice([{"results": names, "reason": "looked twice"}, {"results": names, "reason": ""}, "sure"])
    given = {**good_value(rng, each["check"], part), "despite": told}
    phone.write("check", shop.now, step=each["path"], part=part, value=given, seen=phone.sees(each["path"], part))


def _depart(shop: Shop, phone: Phone) -> None:
    each = _any_step(shop, phone)
    parts = ["order", "order", "tool:spanner", "part:belt", "value:cover", "value:idler", "luck", "value:__proto__"]
    part = shop.rng.choice(parts)
    given = {"reason": shop.rng.choice(["no room", ""]), "instead": "", "with": ""}
    seen = phone.sees(each["path"], f"depart:{part}")
    phone.write("depart", shop.now, step=each["path"], part=part, value=given, seen=seen)


def _elapsed(shop: Shop, phone: Phone) -> None:
    waits = [s for s in phone.sheet["steps"] if s["check"]["kind"] == "wait"] or phone.sheet["steps"]
    each = shop.rng.choice(waits)
    given = shop.rng.choice(
        [{"seconds": 900, "why": "bay clock"}, {"seconds": 9, "why": "bay clock"}, {"seconds": 900}]
    )
    phone.write("elapsed", shop.now, step=each["path"], value=given, seen=phone.sees(each["path"], "elapsed"))


def _extra(shop: Shop, phone: Phone) -> None:
    rng, now = shop.rng, shop.now
    entries = phone.view.entries
    passed = [entry["id"] for entry in entries if entry["kind"] == "check"] if rng.random() < 0.5 else []
    took_off: dict[str, Any] = {
        "label": "Bracket",
        "kind": rng.choice(["bolt", "pin", "hose"]),
        "count": rng.choice([1, 2]),
    }
    took_off |= rng.choice([{}, {}, {"list": "road"}, {"count": 0}])
    extra = {"label": "Thread insert", "approved_by": rng.choice(["owner", ""]), "how": "by phone", "price": "30"}
    kind, given = rng.choice([("took-off", took_off), ("extra", extra)])
    made = phone.write(kind, now, value=given, seen=passed if kind == "took-off" else [])
    if rng.random() < 0.5:
        phone.write("check", now, step=f"extra/{made['id']}", value={}, seen=[])


def _adopt(shop: Shop, phone: Phone) -> None:
    phone.sheet = shop.sheets[shop.rng.choice([0, 1, 1])]
    given = {"sheet": digest_of_cached(phone.sheet) if shop.rng.random() < 0.9 else "another"}
    phone.write("adopt", shop.now, value=given, seen=phone.sees("", "sheet"))


def _start(rng: Random) -> dict[str, Any]:
    told = rng.choice(["84210", "84.210", "61000,5", 61000.5, None])
    odometer = rng.choice([{"number": told, "unit": rng.choice(["km", "mi", "L"])}, "far"])
    return {"number": str(rng.randint(1, 3)), "vehicle": "a van", "odometer": odometer}


def _of_the_job(shop: Shop, phone: Phone) -> None:
    kinds: list[tuple[str, str, dict[str, Any]]] = [
        ("decline", "decline", {"reason": shop.rng.choice(["unsafe", ""])}),
        ("pass-on", "pass", {"to": shop.rng.choice(["LM", ""])}),
        ("receive", "pass", {}),
        ("start", "job", _start(shop.rng)),
    ]
    kind, slot, given = shop.rng.choice(kinds)
    phone.write(kind, shop.now, value=given, seen=phone.sees("", slot))


def _unknown(shop: Shop, phone: Phone) -> None:
    each = _any_step(shop, phone)
    seen = [entry["id"] for entry in phone.view.entries[-3:]]
    version = shop.rng.choice([{"kind": "weather"}, {"kind": "check", "v": 2}, {"kind": "constructor"}])
    phone.write(**{"now": shop.now, "step": each["path"], "value": {"rain": True}, "seen": seen, **version})


def _wrong_shape(shop: Shop, phone: Phone) -> None:
    """Write a known kind in the wrong place or at the wrong time: a step that is gone, an unknown part, no time."""
    rng = shop.rng
    fields = rng.choice(
        [
            {"step": "never-heard-of"},
            {"step": _any_step(shop, phone)["path"], "part": "99"},
            {"step": _any_step(shop, phone)["path"], "at": "yesterday"},
            {"step": _any_step(shop, phone)["path"], "who": ""},
            {"step": _any_step(shop, phone)["path"], "sheet": "another"},
            {"step": _any_step(shop, phone)["path"], "seen": ["nobody", "nobody"]},
        ]
    )
    phone.write("check", shop.now, value=rng.choice(BAD_VALUES), **fields)


def _anything(shop: Shop, phone: Phone) -> None:
    """Write a known kind with any value."""
    rng = shop.rng
    fields = ["text", "number", "unit", "source", "except", "count", "seconds", "why", "reason", "with", "disturbs"]
    fields += [
        "odometer",
        "rest",
        "label",
        "kind",
        "same",
        "sheet",
        "to",
        "self",
        "set",
        "new",
        "wrench",
        "kept_at",
        "list",
        "not_published",
        "despite",
        "second",
    ]
    given = {name: _whatever(rng) for name in rng.sample(fields, 12)}
    kind, step = rng.choice(list(SLOTS)), rng.choice(["", _any_step(shop, phone)["path"]])
    part = rng.choice(["", "", "1", "start", "cover", "pin", "order", "parts", "__proto__"])
    seen = [entry["id"] for entry in phone.view.entries[-2:]]
    phone.write(kind, shop.now, step=step, part=part, value=given, seen=seen)


def _whatever(rng: Random) -> Any:
    odd = [None, True, False, 0, -1, 7, 2.5, 1e21, "", " ", "RT", "belt", [], ["belt", 3], {}, {"document": "x"}]
    return rng.choice(
        [*odd, SOURCE, {"__proto__": [1]}, ["step-0", "step-0"], "\u00a0", "\ufeff", "\x1f", "\U0001f527"]
    )


def _clash(shop: Shop, phone: Phone) -> None:
    if phone.view.entries:
        twin = {**shop.rng.choice(phone.view.entries), "who": "XX"}
        phone.meet([twin])


def _finish(shop: Shop, phone: Phone) -> None:
    path = shop.rng.choice([phone.sheet["steps"][-1], _any_step(shop, phone)])["path"]
    phone.write("finish", shop.now, step=path, seen=phone.sees(path, ""))


def _again(shop: Shop, phone: Phone) -> None:
    shop.work(phone, _any_step(shop, phone))


MISCHIEF: list[Callable[[Shop, Phone], None]] = [
    _again, _again, _leave, _leave, _take_back_step, _take_back_step, _take_back_anything, _take_back_anything,
    _go_back, _go_back, _not_disturbed, _read, _read, _read_again, _read_again, _settle, _confirm, _count, _put_back,
    _correct, _despite,
    _depart, _elapsed, _extra, _adopt, _adopt, _of_the_job, _unknown, _wrong_shape, _anything, _clash, _finish,
]  # fmt: skip


def random_case(rng: Random) -> Case:
    """Return {sheets: {digest: sheet}, entries}: a job over two revisions of a sheet."""
    sheet = random_sheet(rng)
    other = revised(rng, sheet)
    shop = Shop(rng, sheet, other)
    if rng.random() < 0.9:
        shop.phones[0].write("start", shop.now, value=_start(rng))
    steadiness = rng.choice([0.0, 0.6, 0.95])
    if steadiness:
        prepare(shop.phones[0])
        for second in shop.phones[1:]:
            second.meet(shop.phones[0].view.entries)
    for number in range(len(sheet["steps"])):
        if rng.random() < steadiness:
            phone = rng.choice(shop.phones)
            if number < len(phone.sheet["steps"]):
                shop.work(phone, phone.sheet["steps"][number])
        if rng.random() < 0.5:
            shop.sync()
        if rng.random() < (0.9 if steadiness < 0.9 else 0.3):
            shop.one_turn()
    for _ in range(rng.randint(0, 4)):
        shop.one_turn()
    return {"sheets": by_digest(sheet, other), "entries": shop.entries()}


def prepare(phone: Phone, now: datetime = DAY) -> None:
    """Confirm the lists and read the missing values."""
    for part in ("parts", "tools", "values"):
        phone.write("confirm", now, part=part, value={"except": []}, seen=phone.sees("", f"confirm:{part}"))
    for name, text in (("idler", "40 N.m"), ("cover", "9 N.m"), ("soak", "10 min"), ("turns", "2")):
        first = phone.write("read", now, part=name, value={"text": text, "source": SOURCE})
        given = {**first["value"], "second": {"self": False}}
        phone.write("read", now, part=name, value=given, seen=[first["id"]], who="RT")


def long_case(steps: int, entries: int) -> Case:
    """Return a job of so many steps. Each is answered, corrected and taken back, until there are so many entries."""
    rng = Random(4)
    bolts = tighten("bolts", "critical", "1.1", "1.2", "1.3", "1.4")
    checks = [TICK, TICK, bolts, inspect(good=False, bad=True), {"kind": "photo", "label": "Marks"}]
    made = []
    for number in range(steps - 1):
        more: dict[str, Any] = {"values": ["bolts"] if (check := rng.choice(checks)) is bolts else []}
        if number % 9 == 3:
            more["opens"] = [{"what": "pin", "count": 1}]
        if number % 9 == 7:
            more["closes"] = [{"what": "pin", "count": None}]
        if number % 24 == 23:
            more |= {"hold": True, "leave": "never", "gate": GATES["starter"]}
        made.append(step(f"step-{number}", number // 12, check, **more))
    made.append(step("done", (steps - 1) // 12, TICK, completion=True, leave="never"))
    sheet = sheet_of(["kept"] * (steps // 12 + 1), made, values={"bolts": value("critical", "12 N.m")}, items=ITEMS)
    phone = Phone(rng, "phone", sheet)
    phone.write("start", DAY, value={"number": "1"})
    while len(phone.view.entries) < entries:
        each = sheet["steps"][len(phone.view.entries) * 7 % (steps - 1)]
        part = rng.choice(parts_of(each["check"], {}))
        given = {**good_value(rng, each["check"]), "set": "12 N.m"}
        phone.write("check", DAY, step=each["path"], part=part, value=given, seen=phone.sees(each["path"], part))
        if rng.random() < 0.1 and len(phone.view.entries) < entries - 1:
            ids = answer_ids(phone.view, each["path"], part, sheet)
            phone.write("take-back", DAY, step=each["path"], part=part, seen=ids)
    return {"sheets": by_digest(sheet), "entries": phone.view.entries}


def cases() -> st.SearchStrategy[Case]:
    """Jobs over two revisions of a sheet. A failing one is made small."""
    return st.randoms(use_true_random=False).map(random_case)


def many_cases(count: int, seed: int = 1) -> list[Case]:
    return [random_case(Random(seed * 1_000_003 + number)) for number in range(count)]
