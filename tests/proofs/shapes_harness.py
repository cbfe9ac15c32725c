"""Break worksheets and entries in one place and ask both languages whether they let them in.

    python -m tests.proofs.shapes_harness [--count 2000] [--seed 2]

Each break is one that the build may never write. Both languages must say the same of each. They may let in only what
they forgive on purpose: an unknown field, and a later field that is missing. The control asks with a shape that
forgives everything, and must find breaks let in. Ends with 1 if a language lets one in, or the two differ.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from random import Random
from typing import Any

from pydantic import ValidationError

from generator.entry import VALUES, WrittenEntry
from generator.journal.record import is_entry
from generator.journal.shapes.sound import is_sheet
from generator.journal.values import is_shaped
from generator.worksheet import Worksheet
from tests.support import demo
from tests.support.broken_sheets import JUNK, copied
from tests.support.journals import many_cases
from tests.support.node import node

Json = dict[str, Any]
Place = tuple[Any, Any]  # what holds it, and its name or number there

HOSTILE = ("__proto__", "constructor", "toString", "hasOwnProperty", "prototype", "valueOf")
ODD = [*JUNK, "__proto__", "constructor", 10**16, -(10**16), "A" * 65, "../x", [["__proto__"]], {"__proto__": 1}]
FORGIVEN = {"missing", "unknown", "renamed"}  # a renamed field is one missing and one unknown

ASK = """
const { isSheet, isOfShape } = await import(`${site}/phone/journal/shape/shape.js`);
const { isShaped } = await import(`${site}/phone/journal/shape/values.js`);
const { isEntry } = await import(`${site}/phone/job/carry.js`);
return {
  sheets: given.sheets.map(isSheet),
  entries: given.entries.map(isEntry),
  values: given.entries.map(({ value }) => isOfShape(value, { type: 'object' }) && isShaped(value)),
  control: given.sheets.map((sheet) => isOfShape(sheet, {})),
};
"""


def small() -> Json:
    """Return a compiled worksheet of a few steps with every kind of check-off and every noun."""
    whole = copied(demo.sheet("vee-six"))
    wanted: list[Json] = []
    for is_one in _WANTED:
        found = next((step for step in whole["steps"] if is_one(step) and step not in wanted), None)
        wanted += [found] if found else []
    names = {name for step in wanted for name in [*step["values"], step["check"].get("value")]}
    items = {moved["what"] for step in wanted for moved in [*step["opens"], *step["closes"]]}
    held = {name for step in wanted for name in step["holds"]}
    results = [result for result in whole["results"] if result["name"] in held] or whole["results"][:2]
    return {
        **whole,
        "steps": wanted,
        "values": {name: of for name, of in whole["values"].items() if name in names},
        "items": {name: of for name, of in whole["items"].items() if name in items},
        "results": [*results, *whole["results"][-1:]] if whole["results"][-1] not in results else results,
        "units": dict(
            list(whole["units"].items())[:4] + [(n, u) for n, u in whole["units"].items() if u["kind"] == "torque"]
        ),
    }


def _of_kind(kind: str) -> Callable[[Json], bool]:
    return lambda step: bool(step["check"]["kind"] == kind)


_WANTED: list[Callable[[Json], bool]] = [
    *map(_of_kind, ("tick", "tighten", "measure", "inspect", "wait", "turn", "photo", "sign")),
    lambda step: step["check"].get("fastener") == "critical",
    lambda step: bool(step["check"].get("watch")),
    lambda step: bool(step["gate"]),
    lambda step: bool(step["if_failed"]),
    lambda step: bool(step["picture"]),
    lambda step: bool(step["cautions"] and step["opens"]),
    lambda step: bool(step["closes"] and step["why"]),
    lambda step: bool(step["when"]),
    lambda step: bool(step["holds"]),
]


def places(tree: Any) -> Iterator[Place]:
    for key, of in tree.items() if isinstance(tree, dict) else enumerate(tree):
        yield tree, key
        if isinstance(of, dict | list):
            yield from places(of)


def _other(rng: Random, place: Place) -> None:
    """A group for a group is the same as fields that are missing and others that are unknown: those are forgiven."""
    here, key = place
    here[key] = copied(rng.choice([odd for odd in ODD if not (isinstance(odd, dict) and isinstance(here[key], dict))]))


def _missing(rng: Random, place: Place) -> None:
    here, key = place
    if isinstance(here, dict):
        del here[key]


def _unknown(rng: Random, place: Place) -> None:
    here, _ = place
    if isinstance(here, dict):
        here[rng.choice(("colour", *HOSTILE))] = copied(rng.choice(ODD))


def _renamed(rng: Random, place: Place) -> None:
    here, key = place
    if isinstance(here, dict):
        here[rng.choice(HOSTILE)] = here.pop(key)


BREAKS: dict[str, Callable[[Random, Place], None]] = {
    "other": _other,
    "missing": _missing,
    "unknown": _unknown,
    "renamed": _renamed,
}


def _is_written(value: Json, noun: Any) -> bool:
    try:
        noun.model_validate(value)
    except ValidationError:
        return False
    return True


def broken_sheet(rng: Random, whole: Json) -> tuple[str, Json]:
    """Return (the kind of break, a worksheet that the build may never write)."""
    while True:
        sheet = copied(whole)
        kind = rng.choice(list(BREAKS))
        BREAKS[kind](rng, rng.choice(list(places(sheet))))
        if not _is_written(sheet, Worksheet):
            return kind, sheet


def broken_entry(rng: Random, entries: list[Json]) -> tuple[str, Json]:
    while True:
        entry = copied(rng.choice(entries))
        kind = rng.choice(list(BREAKS))
        BREAKS[kind](rng, rng.choice(list(places(entry))))
        noun = VALUES.get(entry["kind"]) if isinstance(entry.get("kind"), str) else None
        if not _is_written(entry, WrittenEntry) or noun is None or not _is_written(entry["value"], noun):
            return kind, entry


def run(count: int, seed: int) -> tuple[list[str], Counter[tuple[str, str, bool]]]:
    """Return what is wrong, in words, and how often each kind of break was let in."""
    rng, whole = Random(seed), small()
    entries = [entry for case in many_cases(40, seed) for entry in case["entries"]]
    sheets = [broken_sheet(rng, whole) for _ in range(count // 2)]
    told = [broken_entry(rng, entries) for _ in range(count - count // 2)]
    theirs = node(ASK, {"sheets": [sheet for _, sheet in sheets], "entries": [entry for _, entry in told]})
    faults: list[str] = []
    counts: Counter[tuple[str, str, bool]] = Counter()
    if not is_sheet(whole):
        faults.append("the whole worksheet is refused")
    for (kind, sheet), phone in zip(sheets, theirs["sheets"], strict=True):
        desk = is_sheet(sheet)
        counts["worksheet", kind, desk] += 1
        if desk != phone or (desk and kind not in FORGIVEN):
            faults.append(f"a worksheet, {kind}: Python {desk}, JavaScript {phone}")
    for (kind, entry), phone, shaped in zip(told, theirs["entries"], theirs["values"], strict=True):
        desk = is_entry(entry)
        value = entry.get("value")
        counts["entry", kind, desk] += 1
        if desk != phone or (isinstance(value, dict) and is_shaped(value) != shaped):
            faults.append(f"an entry, {kind}: Python {desk}, JavaScript {phone}, its value {shaped}")
    if not any(theirs["control"]):
        faults.append("the control lets nothing in")
    return faults, counts


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=2)
    args = parser.parse_args()
    faults, counts = run(args.count, args.seed)
    print(f"{'':12} {'break':10} {'refused':>8} {'forgiven':>9}")
    for what in ("worksheet", "entry"):
        for kind in BREAKS:
            print(f"{what:12} {kind:10} {counts[what, kind, False]:>8} {counts[what, kind, True]:>9}")
    for fault in faults[:20]:
        print(fault)
    return int(bool(faults))


if __name__ == "__main__":
    sys.exit(main())
