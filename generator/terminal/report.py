"""Faults -> lines: for people, for a terminal with the source beside them, for programs, for CI annotations."""

from __future__ import annotations

import dataclasses
import itertools
import json
import re
from array import array
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from generator.canonical import canonical, digest
from generator.compile.job_values import UNLISTED
from generator.faults import Fault, counted, listing
from generator.inputs.door import begins_as, files_of
from generator.sheet_types import WorksheetJson
from generator.tables import trade_of
from generator.terminal.plain import UNSEEN, marked, width
from generator.terminal.trial import TrialResult

Texts = Mapping[str, str | bytes]

NOT_BUILT = "The site was not built; the last good one is untouched."
SHOWN = 100  # most faults shown of one file
WINDOW = 100  # most characters shown of a source line
MARK = 12  # letters of a worksheet's digest that stand on its paper
QUOTED = 160  # most characters shown inside quotes
SENTENCE = 700  # most characters of a sentence
_LONG_QUOTE = re.compile(rf'"[^"]{{{QUOTED + 1},}}"')


@dataclass(frozen=True)
class Told:
    """What a check found: the faults, or if there are none, the worksheets and what else should be known (`notes`)."""

    texts: Texts
    faults: Sequence[Fault] = ()
    sheets: Sequence[WorksheetJson] = ()
    notes: Sequence[Fault] = ()


def dress(kind: str, told: Told, source_lines: bool = False) -> str:
    """Return all that a check found as text, json or github (`kind`). `source_lines` adds the line and a caret to
    text."""
    if kind == "json":
        return as_json(told)
    if kind == "github":
        return github(told)
    if told.faults:
        return text(told.faults, told.texts, source_lines)
    blocks = (cautions(told.sheets), worksheets(told.sheets), asked(told.sheets), noted(told.notes))
    return "\n\n".join([*filter(None, blocks), closing((), told.texts, told.sheets)])


def text(faults: Sequence[Fault], texts: Texts, source_lines: bool = False) -> str:
    """Return two lines for each fault, in the order given (see `faults.in_order`), then what was checked."""
    lines: list[str] = []
    written = _Written(texts)
    for fault, more in _shown(faults):
        lines.append(f"{_one_line(str(fault.place))}: {_sentence(fault.said)}")
        lines.append(f"    {_sentence(fault.write)}")
        if source_lines:
            lines.extend(_source(fault, written))
        if more:
            lines.append(f"{_one_line(fault.place.file)}: and {more} more in this file.")
    return "\n".join([*lines, closing(faults, texts)])


def refusal(where: str, said: str, write: str) -> str:
    """Return two lines, like a fault, for what is refused outside of the sources: where, what is wrong, what to do."""
    return f"{_one_line(where)}: {_sentence(said)}\n    {_sentence(write)}"


def closing(faults: Sequence[Fault], texts: Texts, sheets: Sequence[WorksheetJson] = ()) -> str:
    """Return what was checked and found: `2 procedures checked, 3 faults in 1. The site was not built; ...` It never
    says "no faults" if no worksheet was made, because then nothing was looked at."""
    procedures = sum(begins_as(source) == "procedure" for source in texts.values())
    others = len(texts) - procedures
    checked = counted(procedures, "procedure")
    if others:
        checked += f" and {counted(others, 'other file')}"
    if files_of(texts).missing:
        return f"Nothing was checked, {counted(len(faults), 'fault')}. {NOT_BUILT}"
    if faults:
        files = len({fault.place.file for fault in faults})
        return f"{checked} checked, {counted(len(faults), 'fault')} in {files}. {NOT_BUILT}"
    if not sheets:
        return f"{checked} read, and no worksheet came of it: nothing was checked to the end."
    return f"{checked} checked, no faults. {counted(len(sheets), 'worksheet')} for the phone."


def as_json(told: Told) -> str:
    """Return JSON for programs and editors: `{checked, faults: [{file, line, column, fault, said, write, facts}],
    left_out, cautions: [text], worksheets: [{worksheet, ...}], notes: [as faults]}`. If there are faults, no worksheet
    was made, and `worksheets` is null."""
    shown = [fault for fault, _ in _shown(told.faults)]
    report = {
        "checked": len(told.texts),
        "faults": [_for_programs(fault) for fault in shown],
        "left_out": len(told.faults) - len(shown),
        "cautions": cautions(told.sheets).splitlines(),
        "worksheets": None if told.faults else [_row_json(_row(sheet)) for sheet in told.sheets],
        "notes": [_for_programs(note) for note in told.notes],
    }
    out = json.dumps(report, ensure_ascii=False, indent=2, default=dataclasses.asdict)
    return UNSEEN.sub(lambda match: f"\\u{ord(match[0]):04x}", out)


def _for_programs(fault: Fault) -> dict[str, Any]:
    return {
        "file": fault.place.file,
        "line": fault.place.line,
        "column": fault.place.column,
        "fault": type(fault).__name__,
        "said": _sentence(fault.said),
        "write": _sentence(fault.write),
        "facts": _facts(fault),
    }


def github(told: Told) -> str:
    """Return annotations for a CI run. Each fault is an error. If there are none: a warning for each caution, and
    notices for each worksheet, for what else should be known, and for what was checked."""
    if told.faults:
        return "\n".join(_annotation("error", fault) for fault, _ in _shown(told.faults))
    lines = [f"::warning::{_data(_sentence(line))}" for line in cautions(told.sheets).splitlines()]
    lines += [f"::notice::{_data(_sentence(_row_sentence(_row(sheet))))}" for sheet in told.sheets]
    lines += [_annotation("notice", note) for note in told.notes]
    return "\n".join([*lines, f"::notice::{_data(closing((), told.texts, told.sheets))}"])


def _annotation(kind: str, fault: Fault) -> str:
    place = f"file={_property(fault.place.file)},line={fault.place.line},col={fault.place.column}"
    return f"::{kind} {place}::{_data(f'{_sentence(fault.said)}{chr(10)}{_sentence(fault.write)}')}"


def cautions(sheets: Iterable[WorksheetJson]) -> str:
    """Return what is doubtful but not a fault: a torque outside its bolt's sane band, or one no wrench here can set."""
    told = {
        f'caution: sheet "{sheet["engine"]["id"]}", value "{name}": {value["doubt"]}'
        for sheet in sheets
        for name, value in sheet["values"].items()
        if value["doubt"]
    }
    told |= {
        f'caution: worksheet "{sheet["worksheet"]}": no wrench of the shop can set {one["text"]} for {one["label"]}.'
        for sheet in sheets
        for one in sheet["needs"]["no_wrench"]
    }
    return "\n".join(sorted(told))


@dataclass(frozen=True)
class _Row:
    """One worksheet in numbers. `critical` and `others` are the values that the phone will ask for, `unlisted` those of
    them that the sheet does not even list. `worked_out` are values that the sheet lacks and a result fills."""

    job: str
    engine: str
    mark: str
    steps: int
    taps: int
    holds: int
    photos: int
    values: int
    critical: tuple[str, ...]
    others: tuple[str, ...]
    unlisted: tuple[str, ...]
    worked_out: tuple[str, ...]

    @property
    def asks(self) -> str:
        """Return what the phone will ask for, the critical values first, and what it works out instead."""
        both = [
            f"{len(names)} {word}" for names, word in ((self.critical, "critical"), (self.others, "ordinary")) if names
        ]
        works = f", works out {len(self.worked_out)}" if self.worked_out else ""
        return f"the phone asks for {' and '.join(both) or 'none'}{works}"

    @property
    def known(self) -> int:
        return self.values - len(self.critical) - len(self.others) - len(self.worked_out)


def _row(sheet: WorksheetJson) -> _Row:
    values, budget = sheet["values"], sheet["budget"]
    filled = {result["fills"] for result in sheet["results"]}
    missing = [name for name in sheet["needs"]["values"] if name not in filled]
    critical = tuple(name for name in missing if values[name]["class"] == "critical")
    unlisted = UNLISTED.format(sheet=trade_of(sheet)["sheet"])
    return _Row(
        job=sheet["procedure"],
        engine=sheet["engine"]["id"],
        mark=digest(canonical(sheet))[:MARK],
        steps=len(sheet["steps"]),
        taps=budget["taps"],
        holds=budget["holds"],
        photos=budget["photos"],
        values=len(values),
        critical=critical,
        others=tuple(name for name in missing if name not in critical),
        unlisted=tuple(name for name in missing if values[name]["missing"] == unlisted),
        worked_out=tuple(name for name in sheet["needs"]["values"] if name in filled),
    )


def _cells(row: _Row) -> tuple[str, ...]:
    """Return what is said of a worksheet beside its name, one text for each column. The mark also stands on its paper:
    another mark is another worksheet, even if it has as many steps and values."""
    return (
        f"mark {row.mark}",
        counted(row.steps, "step"),
        counted(row.taps, "tap"),
        counted(row.holds, "press-and-hold"),
        counted(row.photos, "photo"),
        f"{row.known} of {counted(row.values, 'value')} known",
        row.asks,
    )


def _row_sentence(row: _Row) -> str:
    return f"{row.job} on {row.engine}: {', '.join(_cells(row))}."


def _row_json(row: _Row) -> dict[str, Any]:
    return {
        "worksheet": f"{row.job}--{row.engine}",
        "mark": row.mark,
        "steps": row.steps,
        "taps": row.taps,
        "press_and_holds": row.holds,
        "photos": row.photos,
        "values": row.values,
        "known": row.known,
        "asked": {"critical": list(row.critical), "others": list(row.others), "not_listed": list(row.unlisted)},
        "worked_out": list(row.worked_out),
    }


def worksheets(sheets: Sequence[WorksheetJson]) -> str:
    """Return one line for each worksheet, by job: what it costs when nothing goes wrong, and what is known."""
    rows = [_row(sheet) for sheet in sheets]
    cells = {id(row): (row.engine, *_cells(row)) for row in rows}
    widths = [max(map(len, column)) for column in zip(*cells.values(), strict=True)]
    lines: list[str] = []
    for job, of_job in itertools.groupby(rows, key=lambda row: row.job):
        lines.append(f"{job} on")
        lines += [f"    {_in_columns(cells[id(row)], widths)}" for row in of_job]
    return "\n".join(lines)


def _in_columns(cells: Sequence[str], widths: Sequence[int]) -> str:
    """Put cells side by side: words are aligned left, cells that begin with a number right."""
    name, *numbers, last = cells
    middle = (cell.rjust(width) for cell, width in zip(numbers, widths[1:-1], strict=True))
    return "   ".join([name.ljust(widths[0]), *middle, last])


def asked(sheets: Sequence[WorksheetJson]) -> str:
    """Return what the phone will ask for because the sheet does not say it: a line for each engine, the critical
    values first."""
    wanted: dict[str, dict[str, dict[str, None]]] = {}
    for row in map(_row, sheets):
        for word, names in (("critical", row.critical), ("ordinary", row.others), ("unlisted", row.unlisted)):
            wanted.setdefault(row.engine, {}).setdefault(word, {}).update(dict.fromkeys(names))
    wanted = {engine: names for engine, names in wanted.items() if names["critical"] or names["ordinary"]}
    width = max(map(len, wanted), default=0)
    lines = [f"    {engine.ljust(width)}   {_names_asked(names)}" for engine, names in wanted.items()]
    return "\n".join(["The phone will ask for:", *lines]) if lines else ""


def _names_asked(names: Mapping[str, Collection[str]]) -> str:
    said = "; ".join(f"{word}: {listing(names[word])}" for word in ("critical", "ordinary") if names[word])
    return f"{said} ({len(names['unlisted'])} not in the sheet at all)" if names["unlisted"] else said


def noted(notes: Sequence[Fault]) -> str:
    """Return what is no fault and should be known: under each heading the places, and what is said of them."""
    blocks = []
    for heading, under in itertools.groupby(notes, key=lambda note: note.heading):
        lines = [f"    {_one_line(str(note.place))}: {_sentence(note.said)}" for note, _ in _shown(list(under))]
        blocks.append("\n".join([f"{heading}:", *lines]))
    return "\n\n".join(blocks)


def _shown(faults: Sequence[Fault]) -> Iterator[tuple[Fault, int]]:
    """Yield the first faults of each file. With the last of these comes how many were left out, else 0."""
    totals = Counter(fault.place.file for fault in faults)
    seen: Counter[str] = Counter()
    for fault in faults:
        file = fault.place.file
        seen[file] += 1
        if seen[file] <= SHOWN:
            yield fault, totals[file] - SHOWN if seen[file] == SHOWN else 0


def _facts(fault: Fault) -> dict[str, Any]:
    facts = {item.name: getattr(fault, item.name) for item in dataclasses.fields(fault) if item.name != "place"}
    return {name: _cut(fact) for name, fact in facts.items()}


def _cut(fact: Any) -> Any:
    """Return what a fault knows, shortened: a text, or each text of a list."""
    if isinstance(fact, str):
        return fact[:SENTENCE]
    return [_cut(one) for one in fact] if isinstance(fact, list | tuple) else fact


# --- The source line with a caret -----------------------------------------------------------------------------------


class _Lines:
    """The lines of one text. Only where each begins is stored, because a megabyte may be a million lines."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.begins = array("Q", [0])
        self.begins.extend(end.end() for end in re.finditer(r"\r\n|\r|\n", text))

    def line(self, number: int) -> str | None:
        """Return a line, counted from 1. None if the text has fewer."""
        if number > len(self.begins):
            return None
        begin, end = self.begins[number - 1], self.begins[number] if number < len(self.begins) else len(self.text)
        return self.text[begin:end].rstrip("\r\n")


class _Written(dict[str, _Lines]):
    """The lines of each file, split when a file is first asked for."""

    def __init__(self, texts: Texts) -> None:
        super().__init__()
        self.texts = texts

    def __missing__(self, file: str) -> _Lines:
        source = self.texts.get(file, "")
        text = source if isinstance(source, str) else source.decode("utf-8", "replace")
        self[file] = _Lines(text.removeprefix("\ufeff"))
        return self[file]


def _source(fault: Fault, written: _Written) -> list[str]:
    """Return the line as written and a caret below the column. A long line is cut around it."""
    line = written[fault.place.file].line(fault.place.line) if fault.place.file in written.texts else None
    if line is None:
        return []
    at = fault.place.column - 1
    start = max(0, at - WINDOW // 2) if len(line) > WINDOW else 0
    shown = _one_line(line[start : start + WINDOW])
    number = str(fault.place.line)
    return [f"    {number} | {shown}", f"    {' ' * len(number)} | {' ' * width(shown[: at - start])}^"]


def _one_line(shown: str) -> str:
    """Make a path or a source line safe to show: it must not move the cursor or colour the terminal."""
    return "".join(letter if letter.isprintable() else " " for letter in shown)


def _sentence(said: str) -> str:
    """Return a sentence safe to show, whatever a source wrote into it: one line, not endless, nothing invisible.

    >>> _sentence('unknown key "\\u202ebolt".')
    'unknown key "<U+202E>bolt".'
    """
    cut = _LONG_QUOTE.sub(lambda match: f'{match[0][: QUOTED - 3]}..."', said)
    cut = cut if len(cut) <= SENTENCE else f"{cut[: SENTENCE - 3]}..."
    return marked(re.sub(r"[\r\n]+", " ", cut))


def _data(message: str) -> str:
    return message.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")


def _property(value: str) -> str:
    return _data(_one_line(value)).replace(":", "%3A").replace(",", "%2C")


# --- Results at the desk ----------------------------------------------------------------------------------------------

WHY_NOT = {
    "zero": "it divides by zero",
    "large": "it is too large to reckon with",
    "outside": "the table does not go so far",
    "unsaid": "the procedure has no figure for this case",
    "root": "there is no root or power of a negative number",
    "log": "there is no logarithm of it",
    "angle": "no angle has such a sine or cosine",
    "whole": "it takes whole numbers",
    "broken": "the formula is damaged",
}


def answers(worked: Iterable[TrialResult]) -> str:
    """Return results for a person: the figure, what is said of it, the working, what is still unknown."""
    return "\n\n".join("\n".join(_answer(one)) for one in worked) or "Nothing is worked out here."


def _answer(one: TrialResult) -> Iterator[str]:
    yield f"{one.label} ({one.name}): {one.text or 'not known yet'}"
    if one.verdict:
        yield f"    {one.verdict}{'  [not to go on with]' if one.bad else ''}{': ' if one.says else ''}{one.says}"
    if one.needs:
        yield f"    needs {', '.join(one.needs)}"
    for code in one.because:
        yield f"    because {WHY_NOT[code]}"
    yield f"    = {one.working}"
    yield from (f"      {line}" for line in one.inputs)
    yield from (f"      from {line}" for line in one.sources)


def answers_json(worked: Iterable[TrialResult]) -> str:
    """Return results for programs: each has value, unit, verdict, needs."""
    out = {
        one.name: {
            "label": one.label,
            "value": one.value,
            "unit": one.unit,
            "shown": one.text,
            "verdict": one.verdict,
            "bad": one.bad,
            "says": one.says,
            "needs": list(one.needs),
            "because": list(one.because),
        }
        for one in worked
    }
    return json.dumps({"results": out}, ensure_ascii=False, indent=2)
