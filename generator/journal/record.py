"""A job as plain text: its entries and the worksheets they name. Read whole, or refused with the reason.

    handturn record 1
    sheet <digest> <canonical JSON>
    entry <canonical JSON>
    end <number of lines between> <SHA-256 of those lines, each with its newline>

The same rules as site_overrides/phone/job/carry.js, refusal for refusal.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from generator import entry as nouns
from generator.canonical import canonical, digest, in_order
from generator.journal.entries import Entry, union
from generator.journal.shapes.sound import is_sheet
from generator.sheet_types import WorksheetJson
from generator.table_names import RefusalCode
from generator.tables import MOST, REFUSALS
from generator.worksheet import reads

VERSION = 1
MOST_BYTES, MOST_LINES, MOST_NESTED = MOST["bytes"], MOST["lines"], MOST["nested"]

_HEADER = re.compile(r"handturn record ([0-9]{1,6})")
_SHEET = re.compile(r"sheet ([0-9a-f]{64}) (.*)")
_ENTRY = re.compile(r"entry (.*)")
_END = re.compile(r"end (0|[1-9][0-9]{0,7}) ([0-9a-f]{64})")
_JOB = re.compile("[^\ud800-\udfff]{1,200}", re.DOTALL)  # whole characters, because it goes into an address
_QUOTED = re.compile(r'"(?:[^"\\]++|\\.)*+"')


@dataclass(frozen=True)
class Record:
    job: str
    entries: list[Entry]  # in order, each once
    sheets: dict[str, WorksheetJson]


@dataclass(frozen=True)
class RecordRefused:
    code: RefusalCode
    line: int  # counted from 1; 0: the record as a whole

    @property
    def reason(self) -> str:
        return REFUSALS[self.code].format(line=self.line)


def sheets_named(entries: Iterable[Entry]) -> list[str]:
    """Return the digests of the worksheets that entries were made on or adopted."""
    named = {text for e in entries for text in (e["sheet"], e["value"].get("sheet")) if isinstance(text, str)}
    return in_order(named)


def write_record(entries: Iterable[Entry], sheets: dict[str, WorksheetJson]) -> str:
    """Return a job as a record. It holds only worksheets that the entries name, and that are at hand and undamaged."""
    every = union(entries)
    texts = {name: canonical(sheets[name]) for name in sheets_named(every) if name in sheets}
    lines = [f"sheet {name} {text}\n" for name, text in texts.items() if digest(text) == name]
    lines += [f"entry {canonical(entry)}\n" for entry in every]
    return "".join([f"handturn record {VERSION}\n", *lines, f"end {len(lines)} {digest(''.join(lines))}\n"])


def read_record(text: str, job: str | None = None) -> Record | RecordRefused:
    """Read a whole record. With `job`, refuse the record of any other job."""
    lines = _lines_of(text)
    if isinstance(lines, RecordRefused):
        return lines
    sheets: dict[str, WorksheetJson] = {}
    entries: list[Entry] = []
    for number, line in enumerate(lines, 2):
        fault = _read_line(line, sheets, entries)
        if fault:
            return RecordRefused(fault, number)
    jobs = {entry["job"] for entry in entries}
    if len(jobs) != 1:
        return RecordRefused("jobs" if jobs else "empty", 0)
    if job is not None and jobs != {job}:
        return RecordRefused("other-job", 0)
    return Record(jobs.pop(), union(entries), sheets)


def salvage(text: str) -> Record | RecordRefused:
    """Return what can still be read of a damaged record. If it holds several jobs: the one with the most entries."""
    if _is_too_large(text):
        return RecordRefused("too-large", 0)
    sheets: dict[str, WorksheetJson] = {}
    entries: list[Entry] = []
    lines = _plain(text).split("\n")
    if len(lines) > MOST_LINES + 3:
        return RecordRefused("too-many", 0)
    for line in lines:
        _read_line(line, sheets, entries)
    jobs = [entry["job"] for entry in entries]
    if not jobs:
        return RecordRefused("empty", 0)
    job = max(in_order(set(jobs)), key=jobs.count)
    return Record(job, union(entry for entry in entries if entry["job"] == job), sheets)


@dataclass(frozen=True)
class Line:
    number: int  # counted from 1
    fault: RefusalCode | None
    entry: Entry | None


def line_by_line(text: str) -> list[Line]:
    """Read each line after the first by itself, to find the one at fault. `text` is at most as large as a record."""
    told: list[Line] = []
    for number, line in enumerate(_plain(text).removesuffix("\n").split("\n")[1:], 2):
        entries: list[Entry] = []
        fault = None if _END.fullmatch(line) else _read_line(line, {}, entries)
        told.append(Line(number, fault, entries[0] if entries else None))
    return told


def _plain(text: str) -> str:
    """Remove what mail programs and editors add: a byte order mark, returns before newlines."""
    return text.removeprefix("\ufeff").replace("\r\n", "\n")


def _is_too_large(text: str) -> bool:
    return len(text) > MOST_BYTES or len(text.encode("utf-8", "surrogatepass")) > MOST_BYTES


def _lines_of(text: str) -> list[str] | RecordRefused:
    """Return the lines between the first and the last, if the record is whole."""
    if _is_too_large(text):
        return RecordRefused("too-large", 0)
    lines = _plain(text).removesuffix("\n").split("\n")
    header = _HEADER.fullmatch(lines[0])
    if not header:
        return RecordRefused("no-record", 1)
    if int(header[1]) != VERSION:
        return RecordRefused("version", 1)
    if len(lines) > MOST_LINES + 2:
        return RecordRefused("too-many", 0)
    ends = [number for number, line in enumerate(lines) if _END.fullmatch(line)]
    if not ends:
        return RecordRefused("cut-short", 0)
    if ends[0] != len(lines) - 1:
        return RecordRefused("after-end", ends[0] + 2)
    between = lines[1:-1]
    end = _END.fullmatch(lines[-1])
    whole = "".join(f"{line}\n" for line in between)
    if not end or int(end[1]) != len(between) or _digest(whole) != end[2]:
        return RecordRefused("damaged", 0)
    return between


def _digest(text: str) -> str:
    """Return the digest of a text. Half a surrogate pair counts as U+FFFD, as on the phone."""
    return digest(re.sub("[\ud800-\udfff]", "\ufffd", text))


def _read_line(line: str, sheets: dict[str, WorksheetJson], entries: list[Entry]) -> RefusalCode | None:
    """Put what a line holds into `sheets` or `entries`, or return the code of the refusal."""
    sheet, entry = _SHEET.fullmatch(line), _ENTRY.fullmatch(line)
    text = sheet[2] if sheet else entry[1] if entry else None
    if text is None:
        return "no-line"
    value = _parsed(text)
    if isinstance(value, str):
        return value
    if sheet:
        if _digest(text) != sheet[1] or not is_sheet(value[0]):
            return "sheet"
        sheets[sheet[1]] = value[0]
        return None
    if not is_entry(value[0]):
        return "entry"
    entries.append(value[0])
    return None


def _parsed(text: str) -> list[Any] | RefusalCode:
    """Return the value of a canonical JSON text in a list of one, or the code of the refusal."""
    deep = depth = 0
    for bracket in re.findall(r"[\[\]{}]", _QUOTED.sub("", text)):
        depth += 1 if bracket in "[{" else -1
        deep = max(deep, depth)
    if deep > MOST_NESTED:
        return "nested"
    try:
        value = json.loads(text)
        return [value] if canonical(value) == text else "not-canonical"
    except ValueError:
        return "not-canonical"


def is_entry(entry: Any) -> bool:
    """True if it has everything that an entry has, of any kind and any later version."""
    return reads(nouns.WrittenEntry, entry) and _JOB.fullmatch(entry["job"]) is not None
