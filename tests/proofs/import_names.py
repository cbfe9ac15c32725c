"""Hostile names and shapes, and entries of every kind that hold them: what an import may bring into a job."""

from __future__ import annotations

from collections.abc import Iterator
from random import Random
from typing import Any

from generator.canonical import canonical, digest
from generator.journal.entries import SLOTS, Entry

INHERITED = [
    "toString",
    "constructor",
    "__proto__",
    "hasOwnProperty",
    "valueOf",
    "isPrototypeOf",
    "propertyIsEnumerable",
    "toLocaleString",
    "__defineGetter__",
    "__defineSetter__",
    "__lookupGetter__",
    "__lookupSetter__",
    "prototype",
    "length",
    "name",
    "caller",
    "arguments",
    "apply",
    "call",
    "bind",
    "at",
    "map",
    "filter",
    "find",
    "forEach",
    "keys",
    "values",
    "entries",
    "includes",
    "indexOf",
    "push",
    "pop",
    "then",
    "catch",
    "finally",
    "get",
    "set",
    "has",
    "add",
    "delete",
    "clear",
    "size",
    "toJSON",
    "then",
    "constructor.prototype",
    "Object",
    "Symbol.iterator",
    "undefined",
    "null",
    "NaN",
    "Infinity",
    "true",
    "false",
]
WORDS = [
    "extra/",
    "extra/toString",
    "extra/__proto__",
    "step:",
    "step:toString",
    ".tolerance",
    "constructor.tolerance",
    "part:",
    "part:order",
    "tool:",
    "tool:constructor",
    "value:__proto__",
    "depart:",
    "order",
    "job",
    "sheet",
    "wording",
    "elapsed",
    "parts",
    "tools",
    "consumables",
    "one_time",
    "luck",
    "failed",
    "done",
    "skipped",
    "hidden",
    "disputed",
    "starter",
    "strip-down",
    "critical",
    "lead",
    "tech",
    "never",
    "yes",
    "Yes",
    "0",
    "-0",
    "-1",
    "1e999",
    "-Infinity",
    "1e-400",
    "0x10",
    "01",
    "1,5",
    "1.5.5",
    "٣",
    "½",
    "Ⅷ",
    "１２",
    "99999999999999999999",
    "00:00",
    "1970-01-01",
    "2026-13-45T99:99:99.999Z",
    "2026-11-28T10:00:00.000Z",
    "+275760-09-13T00:00:00.001Z",
    "not-a-time",
    "J-1",
    "KS",
    "RT",
    "ZZ",
    "../..",
    "//other.invalid",
    "/etc/passwd",
    "C:\\\\CON",
    "#",
    "?",
    "&",
    "%",
    "%00",
    "%zz",
    ";",
]
ODD = [
    "",
    " ",
    "\t",
    "\n",
    "\r\n",
    "\x00",
    "\x01",
    "\x1b[31m",
    "\x7f",
    "\x85",
    "\x9b",
    "\u00a0",
    "\u00ad",
    "\u034f",
    "\u061c",
    "\u115f",
    "\u180e",
    "\u200b",
    "\u200c",
    "\u200d",
    "\u200e",
    "\u200f",
    "\u2028",
    "\u2029",
    "\u202a",
    "\u202b",
    "\u202c",
    "\u202d",
    "\u202e",
    "K\u202eS",
    "\u2060",
    "\u2066",
    "\u2067",
    "\u2068",
    "\u2069",
    "\u206f",
    "\u3000",
    "\u3164",
    "\ufeff",
    "\ufff9",
    "\ufffd",
    "\uffff",
    "\ud800",
    "\udc00",
    "a\ud800b",
    "\udc00\ud800",
    "\U000e0041",
    "\U0001f527",
    "e\u0301" * 40,
    "\u0644" * 30,
    "Z\u0335\u0336\u0337" * 20,
    "<b>",
    "</script>",
    "{{x}}",
    "${x}",
    "'",
    '"',
    "\\",
    "`",
    "x" * 300,
    "x" * 60_000,
    "long words " * 900,
    "\n" * 500,
    "🔧" * 400,
]


def _nested(depth: int, kind: str) -> Any:
    made: Any = [] if kind == "list" else {}
    for _ in range(depth):
        made = [made] if kind == "list" else {"x": made}
    return made


SHAPES: list[Any] = [
    None,
    True,
    False,
    0,
    -0.0,
    -1,
    1,
    7,
    2.5,
    -0.5,
    1e21,
    1e300,
    -1e300,
    5e-324,
    2**53,
    2**53 + 2,
    9999,
    10_000,
    100_001,
    [],
    [[]],
    [None],
    [0],
    ["belt"],
    ["toString"],
    ["__proto__"],
    [{}],
    [[["x"]]],
    ["a"] * 900,
    [True, False],
    {},
    {"x": 1},
    {"__proto__": 1},
    {"__proto__": {"x": 1}},
    {"constructor": 1},
    {"toString": 1},
    {"toString": "x", "valueOf": "x"},
    {"length": 5},
    {"then": 1},
    {"number": 1},
    {"number": "x", "unit": {}},
    {"number": [], "unit": []},
    {"document": 1, "where": 2},
    {"document": {}, "where": []},
    {"document": "x"},
    {"": ""},
    {"": {"": {"": 0}}},
    {"text": {"text": {}}},
    {"length": -1, "angle": {}, "lever": []},
    {"value": {"value": 1}},
    {"x" * 3000: 1},
    _nested(40, "list"),
    _nested(40, "object"),
    _nested(70, "list"),
    _nested(70, "object"),
]
HOSTILE: list[Any] = [*dict.fromkeys([*INHERITED, *WORDS, *ODD]), *SHAPES]

FIELDS: dict[str, dict[str, Any]] = {
    "start": {"number": "J-1", "vehicle": "van", "odometer": {"number": "1", "unit": "km"}, "role": "tech", "vin": "X"},
    "adopt": {"sheet": "0" * 64},
    "confirm": {"except": [], "same": "0" * 64},
    "read": {
        "number": 9,
        "unit": "N.m",
        "text": "9 N.m",
        "source": {"document": "WM", "where": "p. 1"},
        "margin": None,
        "not_published": False,
        "sure": True,
        "second": {"self": False},
    },
    "check": {
        "set": "9 N.m",
        "wrench": "small",
        "new": True,
        "number": 5,
        "unit": "mm",
        "outcome": "aligned",
        "note": "x",
        "kept_at": "x",
        "self": True,
        "sure": True,
        "despite": {"results": ["left"], "reason": "x"},
        "adapter": {"length": 1, "angle": 0, "lever": 300},
    },
    "finish": {"note": "x"},
    "settle": {"number": 9, "unit": "N.m", "text": "9 N.m", "source": {"document": "WM", "where": "p. 1"}, "set": "x"},
    "skip": {"reason": "x", "instead": "y", "with": "RT"},
    "not-fitted": {"reason": "x"},
    "refuse": {"how": "x", "told_by": "y", "price": "z"},
    "depart": {"reason": "x", "instead": "y", "with": "RT"},
    "back": {"to": "windows", "disturbs": [], "rest": [], "reason": "x"},
    "not-disturbed": {"note": "x"},
    "took-off": {"label": "Clip", "kind": "bolt", "count": 1, "list": "bay"},
    "extra": {"label": "Clip", "approved_by": "owner", "how": "phone", "price": "9"},
    "count": {"count": 2},
    "elapsed": {"seconds": 60, "why": "x"},
    "take-back": {"reason": "x", "with": "RT"},
    "decline": {"reason": "x"},
    "pass-on": {"to": "RT"},
    "receive": {"note": "x"},
    "correct": {"odometer": {"number": "2", "unit": "km"}, "number": "J-2", "reason": "x"},
    "put-back": {"count": 1, "reason": "x"},
}
assert set(FIELDS) == set(SLOTS), "a kind of entry that no hostile one is made of"


def cases(base: list[Entry], sheet: dict[str, Any], rounds: int, seed: int) -> Iterator[tuple[str, list[Entry]]]:
    """Yield (what it is, entries to import): each kind with each hostile name or shape, once for each round."""
    for turn in range(rounds):
        for kind in FIELDS:
            for at, bad in enumerate(HOSTILE):
                rng = Random(f"{seed} {turn} {kind} {at}")
                yield f"{kind} {at}: {canonical(bad)[:40]}", [_entry(rng, base, sheet, kind, bad, at)]


def _entry(rng: Random, base: list[Entry], sheet: dict[str, Any], kind: str, bad: Any, at: int) -> Entry:
    entry: Entry = {
        **base[-1],
        "id": f"{rng.getrandbits(96):024x}",
        "device": "d" * 24,
        "writer": f"w{at}",
        "prev": "",
        "who": "LM",
        "kind": kind,
        "lamport": rng.choice([1, base[-1]["lamport"], base[-1]["lamport"] + 1, 10**12]),
        "seen": [],
        "step": rng.choice([*[step["path"] for step in sheet["steps"]], ""]),
        "part": rng.choice(["", "1", "1.1", "start"]),
        "value": dict(FIELDS[kind]),
    }
    if kind in ("read", "count", "settle", "confirm") and rng.random() < 0.8:
        named = {"count": list(sheet["items"]), "confirm": ["parts", "tools", "one_time"]}.get(
            kind, list(sheet["values"])
        )
        entry |= {"step": "", "part": rng.choice(named)}
    fields = list(FIELDS[kind])
    for name in rng.sample(fields, rng.randint(1, len(fields))):
        inner = entry["value"][name]
        if isinstance(inner, dict) and rng.random() < 0.5:
            entry["value"][name] = {**inner, rng.choice(list(inner)): bad}
        else:
            entry["value"][name] = bad
    if isinstance(bad, str):
        places = ["step", "part", "who", "at", "device", "writer", "sheet"]
        for name in rng.sample(places, rng.choice([0, 1, 1, 2, 3])):
            entry[name] = bad
        if rng.random() < 0.2:
            entry["seen"] = [bad]
        if rng.random() < 0.3:
            entry["value"] = {**entry["value"], bad: bad}
    elif rng.random() < 0.1:
        entry[rng.choice(["step", "part", "who", "lamport", "seen", "value", "v", "kind", "at"])] = bad
    return entry


def record_of(entries: list[Entry], sheet: dict[str, Any]) -> str:
    """Return the record as an attacker would write it, so that it is taken: whole, canonical, with the right digest."""
    text = canonical(sheet)
    lines = [f"sheet {digest(text)} {text}\n", *(f"entry {canonical(entry)}\n" for entry in entries)]
    return f"handturn record 1\n{''.join(lines)}end {len(lines)} {digest(''.join(lines))}\n"
