"""A shop's folder as it was written for an earlier version still checks, or every line to change is told with its text.

`tests/earlier_shop/` is the demo's shop of before the words of the trade were declared. Never edit it.
"""

from __future__ import annotations

import hashlib
import re
from pathlib import Path
from typing import Any

import yaml

from generator.check import Checked
from generator.faults import Fault
from generator.faults.fact import UndeclaredFact
from generator.faults.job import NotCounted, UnsaidFact
from generator.model import Engine
from generator.site import disk
from generator.site.build import Findings, check_texts
from tests.support import demo

SHOP = Path(__file__).parents[1] / "earlier_shop"
# SHA-256 over its files by name, so that nobody mends them by hand.
WHOLE = "60b50e6f44ec9674f0f7b05205a4704b95913541d3d5667a9cca95e7b3f3d9a3"
PICTURES = frozenset(disk.read_pictures(demo.ROOT, "procedures"))


def earlier() -> dict[str, bytes]:
    return {f"shop/{path.relative_to(SHOP).as_posix()}": path.read_bytes() for path in sorted(SHOP.rglob("*.yml"))}


def checked(texts: dict[str, bytes]) -> Findings:
    library = {path: text for path, text in demo.texts().items() if path.startswith("procedures/")}
    return check_texts({**library, **texts}, PICTURES)


def declared(told: list[Fault]) -> dict[str, Any]:
    """Return the facts that the faults say to declare, word by word."""
    facts: dict[str, dict[str, str]] = {}
    for fault in told:
        said = re.search(r"facts: (\{.*\})$", fault.write)
        assert said, fault.write
        for fact, words in yaml.safe_load(said[1]).items():
            facts.setdefault(fact, {}).update(words)
    return facts


def test_the_earlier_shop_is_as_it_was() -> None:
    said = b"".join(name.encode() + text for name, text in sorted(earlier().items()))
    assert hashlib.sha256(said).hexdigest() == WHOLE


def with_trade(texts: dict[str, bytes]) -> dict[str, bytes]:
    """Return the shop with what the first run told it to declare."""
    told = list(checked(texts).faults)
    assert told and {type(fault) for fault in told} == {UndeclaredFact}
    own = {"trade": "Words of our shop", "facts": declared(told)}
    return {**texts, "shop/trade.yml": yaml.safe_dump(own, sort_keys=False).encode()}


def today_of(sheet: bytes) -> Checked[Engine]:
    """Return the demo's engine of today that has the layout of an earlier sheet: it has another name now."""
    layout = yaml.safe_load(sheet)["facts"]["layout"]
    return next(one for one in demo.library().engines.values() if one.noun.facts["layout"] == layout)


def with_said(texts: dict[str, bytes]) -> dict[str, bytes]:
    """Return the shop with the facts that the library asks since then, as the second run told to write them."""
    told = list(checked(texts).faults)
    assert told and {type(fault) for fault in told} == {UnsaidFact}
    said = dict(texts)
    for fault in told:
        assert fault.write.startswith("Add under facts:  ")
        engine = today_of(texts[fault.place.file])
        for line in fault.write.removeprefix("Add under facts:  ").split(";  "):
            name, words = line.split(": ")
            word = engine.noun.facts[name]
            assert word in words.split(" or ")
            file = fault.place.file
            said[file] = said[file].replace(b"facts:\n", f"facts:\n  {name}: {word}\n".encode(), 1)
    return said


def with_counted(texts: dict[str, bytes]) -> dict[str, bytes]:
    """Return the shop with what the library counts since then, as the third run told to write it."""
    told = list(checked(texts).faults)
    assert told and {type(fault) for fault in told} == {NotCounted}
    said = dict(texts)
    for fault in told:
        assert isinstance(fault, NotCounted) and "count: 6" in fault.write
        count = today_of(texts[fault.place.file]).noun.values[fault.name].count
        lines = said[fault.place.file].split(b"\n")
        at, line = fault.place.line - 1, f"  {fault.name}:".encode()
        written = lines[at].removeprefix(line)
        lines[at] = line + (
            written.replace(b"{", f"{{count: {count}, ".encode(), 1) or f"\n    count: {count}".encode()
        )
        said[fault.place.file] = b"\n".join(lines)
    return said


def test_each_fault_of_the_earlier_shop_says_what_to_write_and_that_is_all_it_takes() -> None:
    mended = checked(with_counted(with_said(with_trade(earlier()))))
    assert mended.faults == ()
    today = {sheet["engine"]["facts"]["layout"]: sheet for sheet in demo.checked().sheets}
    assert {old["engine"]["facts"]["layout"] for old in mended.sheets} == set(today)
    for old in mended.sheets:
        new = today[old["engine"]["facts"]["layout"]]
        assert old["procedure"] == new["procedure"]
        assert [step["path"] for step in old["steps"]] == [step["path"] for step in new["steps"]]
