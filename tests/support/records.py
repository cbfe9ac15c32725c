"""Records that must be refused, each for its own reason. Both languages are asked."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from generator.canonical import canonical, digest
from generator.journal.record import MOST_BYTES, MOST_LINES, write_record
from tests.support.journals import two_revisions


def sealed(lines: Iterable[str]) -> str:
    """Return a record whose last line fits its content, whatever that is."""
    body = "".join(f"{line}\n" for line in lines)
    return f"handturn record 1\n{body}end {body.count(chr(10))} {digest(body)}\n"


def good() -> str:
    case = two_revisions()
    return write_record(case["entries"], case["sheets"])


def lines_of(record: str) -> list[str]:
    return record.split("\n")[1:-2]


def entry(**changed: Any) -> str:
    return "entry " + canonical({**two_revisions()["entries"][0], **changed})


def without(key: str) -> str:
    fields = {name: value for name, value in two_revisions()["entries"][0].items() if name != key}
    return "entry " + canonical(fields)


def sheet(change: Callable[[dict[str, Any]], Any]) -> str:
    """Return a worksheet changed on purpose, under a digest that fits."""
    made = next(iter(two_revisions()["sheets"].values()))
    change(made)
    text = canonical(made)
    return f"sheet {digest(text)} {text}"


def _with_text(text: str) -> str:
    return "entry " + text


def refused() -> dict[str, tuple[str, str, int]]:
    """Return {what is wrong: (record, code, line)}."""
    whole = good()
    lines = lines_of(whole)
    first = lines.index(next(line for line in lines if line.startswith("entry ")))
    plain = canonical(two_revisions()["entries"][0])
    deep = "[" * 70 + "]" * 70
    spoiled = {
        "nothing at all": ("", "no-record", 1),
        "another file": ("<!doctype html><title>Log in</title>", "no-record", 1),
        "a later version": (whole.replace("record 1", "record 2", 1), "version", 1),
        "its end is missing": (whole[: whole.rindex("end ")], "cut-short", 0),
        "cut in the middle of a line": (whole[: len(whole) // 2], "cut-short", 0),
        "a digit of its checksum is another": (whole[:-2] + ("0" if whole[-2] != "0" else "1") + "\n", "damaged", 0),
        "a value is another": (whole.replace("10 N.m", "70 N.m"), "damaged", 0),
        "a line is missing": (whole.replace(lines[first] + "\n", "", 1), "damaged", 0),
        "two lines have changed places": (
            whole.replace(f"{lines[0]}\n{lines[1]}", f"{lines[1]}\n{lines[0]}"),
            "damaged",
            0,
        ),
        "the count of lines is another": (whole.replace(f"end {len(lines)} ", f"end {len(lines) + 1} "), "damaged", 0),
        "a second record follows": (whole + whole, "after-end", len(lines) + 3),
        "a line is of no known sort": (sealed([*lines, "photo abc"]), "no-line", len(lines) + 2),
        "an empty line": (sealed([*lines[:2], "", *lines[2:]]), "no-line", 4),
        "a worksheet under another digest": (sealed([lines[0].replace("Wipe", "Leave")]), "sheet", 2),
        "no JSON": (sealed(["entry {"]), "not-canonical", 2),
        "keys out of order": (sealed([_with_text('{"v":1,"id":"x"}')]), "not-canonical", 2),
        "a key twice": (sealed([_with_text(plain.replace('"v":1', '"v":1,"v":1'))]), "not-canonical", 2),
        "spaces between": (sealed([_with_text(plain.replace('"v":1', '"v": 1'))]), "not-canonical", 2),
        "not a number": (sealed([_with_text(plain.replace('"lamport":1', '"lamport":NaN'))]), "not-canonical", 2),
        "a number beyond all numbers": (sealed([_with_text(plain.replace('"v":1', '"v":1e999'))]), "not-canonical", 2),
        "a whole number that no phone can hold": (
            sealed([_with_text(plain.replace('"v":1', f'"v":{2**53 + 1}'))]),
            "not-canonical",
            2,
        ),
        "five thousand digits": (sealed([_with_text(plain.replace('"v":1', f'"v":{"7" * 5000}'))]), "not-canonical", 2),
        "minus nothing": (sealed([_with_text(plain.replace('"v":1', '"v":-0'))]), "not-canonical", 2),
        "nested too deep": (sealed([_with_text(plain.replace('"seen":[]', f'"seen":{deep}'))]), "nested", 2),
        "nested past any parser": (sealed(["entry " + "[" * 200_000]), "nested", 2),
        "a list for an entry": (sealed(["entry []"]), "entry", 2),
        "an id that is a path": (sealed([entry(id="../extra/0123456789abcdef0123")]), "entry", 2),
        "a short id": (sealed([entry(id="abc123")]), "entry", 2),
        "a value that is no object": (sealed([entry(value=[1])]), "entry", 2),
        "a value that is nothing": (sealed([entry(value=None)]), "entry", 2),
        "seen that is no list": (sealed([entry(seen="all")]), "entry", 2),
        "seen that holds a number": (sealed([entry(seen=[7])]), "entry", 2),
        "a lamport before all others": (sealed([entry(lamport=-1)]), "entry", 2),
        "a lamport after all others": (sealed([entry(lamport=2**53 - 1)]), "entry", 2),
        "a lamport in between": (sealed([entry(lamport=1.5)]), "entry", 2),
        "a lamport that is true": (sealed([entry(lamport=True)]), "entry", 2),
        "no job": (sealed([entry(job="")]), "entry", 2),
        "two jobs": (sealed([*lines, entry(job="job-2", id="0" * 20)]), "jobs", 0),
        "no entries": (sealed([]), "empty", 0),
        "worksheets only": (sealed(lines[:2]), "empty", 0),
        "more lines than any job": (sealed(["entry {}"] * (MOST_LINES + 1)), "too-many", 0),
        "more than any job": (whole + " " * MOST_BYTES, "too-large", 0),
    }
    for key in ("who", "seen", "lamport", "writer", "value", "v"):
        spoiled[f"no {key}"] = (sealed([without(key)]), "entry", 2)
    for what, change in SPOILED_SHEETS.items():
        spoiled[f"a worksheet with {what}"] = (sealed([sheet(change)]), "sheet", 2)
    return spoiled


SPOILED_SHEETS: dict[str, Callable[[dict[str, Any]], Any]] = {
    "a later version": lambda made: made.update(v=2),
    "no steps": lambda made: made.pop("steps"),
    "a step that is nothing": lambda made: made["steps"].append(None),
    "a step in no stage": lambda made: made["steps"][0].update(stage=9),
    "an unknown check-off": lambda made: made["steps"][1]["check"].update(kind="wish"),
    "a path that is no text": lambda made: made["steps"][0].update(path=7),
    "a path of its own making": lambda made: made["steps"][0].update(path="__proto__"),
    "an item that nobody knows": lambda made: made["steps"][1].update(opens=[{"what": "ghost", "count": 1}]),
    "a thousand bolts too many": lambda made: made["steps"][1].update(opens=[{"what": "ghost", "count": 10**9}]),
    "parts that are none": lambda made: made["steps"][0]["check"].update(parts={}),
    "people that are none": lambda made: made["shop"].update(people=None),
    "a value that is nothing": lambda made: made["values"].update(bolts=None),
    "a value that every object has": lambda made: made["steps"][0].update(values=["constructor"]),
    "a check-off by such a value": lambda made: made["steps"][0]["check"].update(value="constructor"),
}


def read_as_good() -> dict[str, str]:
    """Return records that mail or an editor has touched, and that are still whole."""
    whole = good()
    return {
        "as written": whole,
        "without the last newline": whole.removesuffix("\n"),
        "with a byte order mark": "\ufeff" + whole,
        "with returns before newlines": whole.replace("\n", "\r\n"),
    }
