"""Two keys of a procedure have new names. A folder with the old ones is told every line to change, and its new text."""

from __future__ import annotations

import re

from generator.check.library import shelve
from generator.faults.shape import RenamedKey
from generator.model import RENAMED
from tests.support import demo

NEW = {"in_hand": "uses", "known_as": "with"}
KEY = re.compile(rf"\b({'|'.join(NEW)}):")


def old_shop() -> dict[str, str]:
    """Return the library and the demo shop as they were written before, with the old keys."""
    texts = {path: text.decode() for path, text in demo.texts().items()}
    return {path: KEY.sub(lambda key: f"{NEW[key[1]]}:", text) for path, text in texts.items()}


def test_these_are_all_that_have_a_new_name() -> None:
    assert {new: old for renamed in RENAMED.values() for old, new in renamed.items()} == NEW


def test_every_line_with_an_old_key_is_told_with_its_new_text_and_nothing_else_is() -> None:
    old, now = old_shop(), demo.texts()
    lines = {path: text.split("\n") for path, text in old.items()}
    _, found = shelve({path: text.encode() for path, text in old.items()})
    assert {type(fault) for fault in found} == {RenamedKey}
    assert len(found) == sum(len(KEY.findall(text.decode())) for text in now.values()) > 50
    assert {fault.key for fault in found if isinstance(fault, RenamedKey)} == set(NEW.values())
    for fault in found:
        line = lines[fault.place.file][fault.place.line - 1]
        spaces = line[: len(line) - len(line.lstrip())]
        lines[fault.place.file][fault.place.line - 1] = spaces + fault.write.removeprefix("Write  ")
    assert {path: "\n".join(each).encode() for path, each in lines.items()} == dict(now)


def test_a_line_that_is_too_long_to_repeat_is_told_without_it() -> None:
    path = "procedures/span-tension.yml"
    short, long = "uses: [tension_meter]", f"uses: [tension_meter]  # {'long ' * 100}"
    text = old_shop()[path].replace(short, long)
    _, found = shelve({**demo.texts(), path: text.encode()})
    assert [fault.write for fault in found] == ['Write "in_hand" instead of "uses".'] * text.count(long) != []
