"""Files that phones exported -> one job. Or which file cannot be read, why, and what to do about it.

Bytes in; no disk. `generator.journal.record` refuses a file in one word. Here the refusal gets its line and what to do
at the desk.
"""

from __future__ import annotations

import codecs
import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from generator.canonical import canonical, digest
from generator.journal.entries import Entry, union
from generator.journal.record import (
    MOST_BYTES,
    MOST_LINES,
    VERSION,
    Record,
    RecordRefused,
    line_by_line,
    read_record,
    salvage,
)
from generator.sheet_types import WorksheetJson
from generator.table_names import RefusalCode

UNREAD = MOST_BYTES + 1
"""So much of a file is read at most: enough to see that it is too large."""

_AGAIN = "Send the job from the phone again and name the new file."
_WHOLE = "Send the job from the phone again, or read what is left of it with --damaged."
_NAME_IT = "Name the file that the phone made under Send the job: its first line begins with handturn record."
_KNOWN_AS = {
    b"PK\x03\x04": "a packed folder (zip)",
    b"%PDF": "a PDF",
    b"\x89PNG": "a picture",
    b"\xff\xd8\xff": "a picture",
    b"<": "a web page",
    b"{": "a list for programs (JSON), for example a worksheet",
    b"procedure:": "a procedure",
    b"engine:": "a sheet",
    b"job:": "a job of the shop's folder",
    b"shop:": "a shop",
}
_HEADER = "handturn record"


@dataclass(frozen=True)
class Rejected:
    """A file that was not read: which one (with the line, if known), what is wrong with it, what to do."""

    place: str
    said: str
    write: str


@dataclass(frozen=True)
class ExportFile:
    """What one file brought. `lost`: lines that could not be read, 0 for a whole file."""

    name: str
    size: int  # bytes
    sha256: str
    entries: int
    lost: int = 0
    is_damaged: bool = False


@dataclass(frozen=True)
class Exported:
    record: Record
    parts: tuple[ExportFile, ...]


def read_exports(files: Sequence[tuple[str, bytes]], damaged: bool = False) -> Exported | Rejected:
    """Read one job from `files`, (name, content) each, and unite them as a phone does. With `damaged`, take what can be
    read of a file that is not whole."""
    records: list[Record] = []
    parts: list[ExportFile] = []
    for name, content in files:
        read = _read(name, content, damaged)
        if isinstance(read, Rejected):
            return read
        record, part = read
        if records and record.job != records[0].job:
            said = f"this is another job than that of {files[0][0]}: {_called(record)}, not {_called(records[0])}."
            return Rejected(name, said, "Name only files of one job; read the other job by itself.")
        records.append(record)
        parts.append(part)
    entries: list[Entry] = []
    sheets: dict[str, WorksheetJson] = {}
    for record in records:
        entries, sheets = union(entries, record.entries), sheets | record.sheets
    return Exported(Record(records[0].job, entries, sheets), tuple(parts))


def _part(name: str, content: bytes, record: Record, lost: int | None = None) -> ExportFile:
    sha256 = hashlib.sha256(content).hexdigest()
    return ExportFile(name, len(content), sha256, len(record.entries), lost or 0, lost is not None)


def _called(record: Record) -> str:
    """Return the number and the car that a job was started with."""
    starts = [entry["value"] for entry in record.entries if entry["kind"] == "start"]
    start = starts[-1] if starts else {}
    names = [f'"{start[key]}"' for key in ("number", "vehicle") if isinstance(start.get(key), str)]
    return ", ".join(names) or f'the job "{record.job}" without a start'


def _read(name: str, content: bytes, damaged: bool) -> tuple[Record, ExportFile] | Rejected:
    wrong = _at_first_sight(name, content)
    if wrong:
        return wrong
    try:
        text = content.decode()
    except UnicodeDecodeError as error:
        if not damaged:
            line = content.count(b"\n", 0, error.start) + 1
            return Rejected(f"{name}:{line}", "this line holds bytes that are no text: the file was damaged.", _WHOLE)
        text = _legible(content)
    record = read_record(text)
    if isinstance(record, Record):
        return record, _part(name, content, record)
    left = salvage(text) if damaged and record.code not in _NEVER else record
    if isinstance(left, RecordRefused):
        return _told(name, text, left)
    lost = sum(line.fault is not None for line in line_by_line(text))
    return left, _part(name, content, left, lost)


def _legible(content: bytes) -> str:
    """Return the lines that are text, with an empty line in place of each other one."""
    lines = []
    for line in content.split(b"\n"):
        try:
            lines.append(line.decode())
        except UnicodeDecodeError:
            lines.append("")
    return "\n".join(lines)


_NEVER = ("version", "too-large", "too-many")
"""Not even in parts: nobody knows what such a file means."""


def _at_first_sight(name: str, content: bytes) -> Rejected | None:
    if len(content) > MOST_BYTES:
        return Rejected(name, *_REASONS["too-large"])
    if not content.strip():
        return Rejected(name, "this file is empty.", _AGAIN)
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        said = "a program saved this file again in another encoding (UTF-16)."
        return Rejected(f"{name}:1", said, "Name the file as the phone sent it, or save it as UTF-8.")
    start = content.removeprefix(codecs.BOM_UTF8)
    if not start.startswith(_HEADER.encode()):
        known = next((f": it looks like {what}" for sign, what in _KNOWN_AS.items() if start.startswith(sign)), "")
        return Rejected(f"{name}:1", f"this is no job that a phone exported{known}.", _NAME_IT)
    return None


def _told(name: str, text: str, refused: RecordRefused) -> Rejected:
    """Return a refusal with its line and what to do about it."""
    line, code = refused.line, refused.code
    said, write = _REASONS[code]
    if code == "cut-short":
        line = text.count("\n") + (not text.endswith("\n"))
    if code == "damaged":
        line, said = _spoiled(text)
    if code == "jobs":
        line = _second_job(text)
    return Rejected(f"{name}:{line}" if line else name, said, write)


_REASONS: Mapping[RefusalCode, tuple[str, str]] = {
    "too-large": ("this file is larger than 16 MB, and no job is.", _NAME_IT),
    "too-many": (f"this file has more than {MOST_LINES:,} lines, and no job has.", _NAME_IT),
    "no-record": ("this is no job that a phone exported.", _NAME_IT),
    "version": (
        f"this job was exported in a later version of the format than {VERSION}.",
        "Read it with a newer handturn: the version that the phone's site was built with.",
    ),
    "cut-short": ("the file ends here, and its last line is missing: it was cut short.", _WHOLE),
    "damaged": ("", _WHOLE),
    "after-end": (
        "something follows after the end of the job.",
        "Name one file for each job, as the phone sent it: two exports go into two files.",
    ),
    "no-line": ("this line is neither a worksheet nor an entry.", _WHOLE),
    "nested": ("this line is nested deeper than any entry is.", _WHOLE),
    "not-canonical": ("this line is not written as phones write.", _WHOLE),
    "sheet": ("the worksheet in this line is not the one whose digest it claims, or is no worksheet.", _WHOLE),
    "entry": ("this entry lacks something that every entry has.", _WHOLE),
    "jobs": (
        "from this line on the file holds a second job.",
        "Send each job by itself. With --damaged the one is read that most of the file is of.",
    ),
    "empty": ("this file holds no entries.", _AGAIN),
}


def _spoiled(text: str) -> tuple[int, str]:
    """Return the line that was changed, as far as that can be told: the first that is unsound by itself, else one that
    the phone's next entry does not follow."""
    lines = line_by_line(text)
    unsound = next((line.number for line in lines if line.fault), 0)
    if unsound:
        return unsound, "this line was changed or damaged after the phone wrote it."
    numbers = [(line.number, line.entry) for line in lines if line.entry]
    broken = next(_unfollowed(numbers), 0)
    if broken:
        return broken, "this line was changed, or one after it is missing."
    return 0, "this file was changed after the phone wrote it; in which line cannot be told."


def _unfollowed(numbers: Sequence[tuple[int, Entry]]) -> Iterator[int]:
    last: dict[str, tuple[int, Entry]] = {}
    for number, entry in numbers:
        before = last.get(entry["writer"])
        if before and entry["prev"] != digest(canonical(before[1])):
            yield before[0]
        last[entry["writer"]] = (number, entry)


def _second_job(text: str) -> int:
    jobs = [(line.number, line.entry["job"]) for line in line_by_line(text) if line.entry]
    return next(number for number, job in jobs if job != jobs[0][1])
