"""How many there are of each thing: dropped from the demo's sheets or steps, every count is missed."""

from __future__ import annotations

import re

import yaml

from generator.site import disk
from generator.site.build import check_texts
from tests.support import demo

COUNT = re.compile(rb"count: \d+, |, count: \d+|^ +count: \d+\n", re.M)
PICTURES = frozenset(disk.read_pictures(demo.ROOT, "procedures"))
FROM = re.compile(rb", count: from (\w+)(?=, label)")


SHEETS = {f"demo_jobs/engines/{name}.yml" for name in ("brackwold-v6-30", "skellimer-t3-11")}
SOURCES = {path: text for path, text in demo.texts().items() if "/engines/" not in path or path in SHEETS}


def counted() -> dict[str, set[str]]:
    """Return the names that have a count beside their value, by the path of the engine sheet."""
    sheets = {path: yaml.safe_load(text) for path, text in SOURCES.items() if path in SHEETS}
    return {
        path: {name for name, value in sheet["values"].items() if "count" in value and len(value) > 2}
        for path, sheet in sheets.items()
    }


def without_counts(sheet: bytes) -> bytes:
    """Return a sheet whose values have no count. Its parts keep theirs: a part without one is a fault by itself."""
    parts, values, after = sheet.partition(b"\nvalues:")
    return parts + values + COUNT.sub(b"", after)


def test_every_count_that_is_dropped_from_the_demo_s_sheets_is_missed() -> None:
    names = counted()
    texts = {path: without_counts(text) if path in SHEETS else text for path, text in SOURCES.items()}
    found = [fault for fault in check_texts(texts, PICTURES).faults if hasattr(fault, "name")]
    told = {path: {fault.name for fault in found if fault.place.file == path} for path in names}
    unmissed = {name for path in names for name in names[path] - told[path]}
    assert sum(map(len, names.values())) > 35
    assert unmissed == {"relearns"}, "no step counts what must be taught again"


def test_bolts_that_are_opened_without_a_count_are_told_unless_there_is_one() -> None:
    """A step says `count: from` no longer, and is 1 by that. The sheet says how many are tightened."""
    sheet = "demo_jobs/engines/brackwold-i4-16.yml"
    texts = {path: text for path, text in demo.texts().items() if "/engines/" not in path or path == sheet}
    counts = {name: value.get("count") for name, value in yaml.safe_load(texts[sheet])["values"].items()}
    several = set()
    for path, text in [*texts.items()]:
        bolts = [line for line in text.splitlines(keepends=True) if FROM.search(line) and b"kind: bolt" in line]
        for line in bolts:
            texts[path] = texts[path].replace(line, FROM.sub(b"", line))
        several |= {name for line in bolts if counts.get(name := FROM.findall(line)[0].decode(), 1) != 1}
    told = {fault.value for fault in check_texts(texts, PICTURES).faults if hasattr(fault, "value")}
    assert len(several) > 7 and told == several
