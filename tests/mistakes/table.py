"""Mistakes that a lead makes while editing the demo, and what `check` says of each: the files beside this one.

Each entry has a `name`, what the lead `did`, the edits, what is `told` and a `rating`. The edits are `change` (a list
of {file, old, new}), `rename` ({path: path}), `add` ({path: text}), `remove` (paths); `with` names the sheets that are
there, when it is not the one that is edited or `brackwold-i4-16`. `folders` are the options of the command. With
`built: yes` the site was built before the mistake, so that `check` compares with it: some slips only then can be known.

`told` is the first fault, as `check` prints it, with the source's own text in place of the line's number, so that it
stays right when the demo grows. `others` is how many more faults there are. Without a fault it is the first line that
the report has not got without the mistake: a note, a caution, or the row of the worksheet. `rating` is `clear` or
`fair`, by a person who read the words as a lead would; what is `fair`, or told away from the mistake, has a word in
`why`.
"""

from __future__ import annotations

import difflib
import json
import re
import tempfile
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, Literal

import yaml

from generator.canonical import canonical
from generator.place import Place
from generator.site import disk
from generator.site.build import Findings, check_texts
from generator.site.earlier import Earlier, compare
from generator.terminal import report
from tests.support import demo
from tests.support.harness import DAY

ENTRIES_AT = Path(__file__).parent
PICTURES = frozenset(disk.read_pictures(demo.ROOT, "procedures"))
EDITED_SHEET = re.compile(r"demo_jobs/engines/(?P<name>[\w-]+)\.yml")
ONE_SHEET = ("brackwold-i4-16",)
NEAR = 12  # lines: both are on the screen of the editor
SHOWN = 48  # characters of a source line
MARK = re.compile(r"mark [0-9a-f]{12} *")
ROW = re.compile(r"[\w-]+ \d+ steps ")
LINE = re.compile(r"(\.ya?ml(?:\.txt)?):\d+(?::\d+)?")

Texts = Mapping[str, bytes]
Where = Literal["at the line", "near it", "elsewhere", "nowhere"]


@dataclass(frozen=True)
class Told:
    """What the check said first, where that was seen from the mistake, and how many faults came with it."""

    words: str
    """Empty if the check is silent."""
    others: int
    where: Where


SILENT = Told("", 0, "nowhere")


@dataclass(frozen=True)
class Mistake:
    """One entry of the table."""

    subject: str
    given: Mapping[str, Any]

    @property
    def name(self) -> str:
        return str(self.given["name"])

    @property
    def kept(self) -> tuple[str, int]:
        """The words that must be said, and how many more faults may come with them."""
        return str(self.given.get("told", "")).strip("\n"), int(self.given.get("others", 0))

    @property
    def rating(self) -> str:
        return str(self.given.get("rating", ""))

    @property
    def why(self) -> str:
        return str(self.given.get("why", ""))

    @property
    def sheets(self) -> tuple[str, ...]:
        edited = [found["name"] for found in map(EDITED_SHEET.fullmatch, self.touched) if found]
        there = [name for name in edited if f"demo_jobs/engines/{name}.yml" in demo.texts()]
        return tuple(self.given.get("with", there or ONE_SHEET))

    @property
    def touched(self) -> tuple[str, ...]:
        """The files that the mistake is made in, by their new names."""
        given = self.given
        edited = [given.get("rename", {}).get(one["file"], one["file"]) for one in given.get("change", ())]
        return (*edited, *given.get("rename", {}).values(), *given.get("add", {}))

    def texts(self) -> Texts:
        """Return the sources with the mistake. Raises ValueError if an edit does not fit exactly one place."""
        texts, given = dict(sound(self.sheets)), self.given
        for one in given.get("change", ()):
            text = texts[one["file"]].decode()
            if text.count(one["old"]) != 1 and not one.get("all"):
                raise ValueError(f"{self.name}: {text.count(one['old'])} times in {one['file']}: {one['old']!r}")
            texts[one["file"]] = text.replace(one["old"], one["new"]).encode()
        for path in given.get("remove", ()):
            del texts[path]
        for old, new in given.get("rename", {}).items():
            texts[new] = texts.pop(old)
        texts |= {path: text.encode() for path, text in given.get("add", {}).items()}
        if given.keys() & {"rename", "add", "remove", "folders"}:
            return from_disk(texts, tuple(given.get("folders", demo.FOLDERS)))
        return texts

    def told(self) -> Told:
        texts = self.texts()
        found = self.found(texts)
        if found.faults:
            first, *others = found.faults
            words = f"{shown(first.place, texts)}: {bare(first.said)}\n    {bare(first.write)}"
            return Told(words, len(others), self.where(first.place, texts))
        words = new_line(texts, found, self.sheets)
        note = next((note for note in found.notes if bare(note.said) in words), None)
        return Told(words, 0, self.where(note.place, texts) if note else "elsewhere") if words else SILENT

    def found(self, texts: Texts) -> Findings:
        """Return what the command finds: in the sources, then, where there is a site, since it was built."""
        found = check_texts(texts, PICTURES, DAY)
        if not self.given.get("built") or found.faults:
            return found
        since = compare(Earlier("site", built_sheets(self.sheets)), found)
        return replace(found, faults=since.faults, notes=(*found.notes, *since.notes))

    def where(self, place: Place, texts: Texts) -> Where:
        """Return how far the place is from the edits. A file that was renamed or added is a mistake as a whole."""
        given = self.given
        if place.file in {*given.get("rename", {}).values(), *given.get("add", {}), *given.get("folders", ())}:
            return "at the line"
        away = [abs(place.line - line) for line in edited_lines(self.sheets, texts, place.file)]
        if not away or min(away) > NEAR:
            return "elsewhere"
        return "near it" if min(away) else "at the line"


def edited_lines(sheets: tuple[str, ...], texts: Texts, file: str) -> Iterator[int]:
    """Yield the lines of the file that differ from the sound one; where lines are gone, those around the gap."""
    before, after = (of.get(file, b"").decode(errors="replace").split("\n") for of in (sound(sheets), texts))
    for what, _, _, first, last in difflib.SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if what != "equal":
            yield from range(first + 1, last + 1) if last > first else (first, first + 1)


def shown(place: Place, texts: Texts) -> str:
    """Return a place with the text that stands there: `procedures/pump.yml, at "fits: {pump: on-belt}"`."""
    lines = texts.get(place.file, b"").decode(errors="replace").split("\n")
    if place.line > len(lines) or place.file not in texts:
        return place.file
    text = lines[place.line - 1][place.column - 1 :].strip()
    return f'{place.file}, at "{text[:SHOWN]}"'


def bare(said: str) -> str:
    """Return the words without what changes with every edit of the demo: numbers of lines, marks."""
    return MARK.sub("", LINE.sub(r"\1", said)).strip()


def printed(texts: Texts, found: Findings) -> list[str]:
    said = report.dress("text", report.Told(texts, found.faults, found.sheets, found.notes))
    return [" ".join(bare(line).split()) for line in said.splitlines()]


@cache
def sound_report(sheets: tuple[str, ...]) -> frozenset[str]:
    """Return the lines of the report without a mistake."""
    found = check_texts(sound(sheets), PICTURES, DAY)
    assert not found.faults, found.faults
    return frozenset(printed(sound(sheets), found))


def new_line(texts: Texts, found: Findings, sheets: tuple[str, ...]) -> str:
    """Return the first line that says more than that a worksheet is another one; without such a line, its row. A
    heading says nothing by itself."""
    new = [line for line in printed(texts, found) if line not in sound_report(sheets)]
    return next((line for line in new if not ROW.match(line) and not line.endswith(":")), new[0] if new else "")


@cache
def built_sheets(sheets: tuple[str, ...]) -> Mapping[str, Any]:
    """Return the worksheets of the site that was built without a mistake, as they stand in its files."""
    made = check_texts(sound(sheets), PICTURES, DAY).sheets
    return {sheet["worksheet"]: json.loads(canonical(sheet)) for sheet in made}


@cache
def sound(sheets: tuple[str, ...]) -> Texts:
    """Return the library, the shop, these sheets and the jobs on them."""
    texts = demo.texts()
    sheet_files = {f"demo_jobs/engines/{name}.yml" for name in sheets}
    jobs = {
        path
        for path, text in texts.items()
        if "/jobs/" in path and any(f"engine: {name}\n".encode() in text for name in sheets)
    }
    return {
        path: text
        for path, text in texts.items()
        if ("/engines/" not in path and "/jobs/" not in path) or path in sheet_files | jobs
    }


def from_disk(texts: Texts, folders: tuple[str, ...]) -> Texts:
    """Write the texts to a folder and read them as the command does."""
    with tempfile.TemporaryDirectory() as folder:
        disk.write_files(texts, Path(folder))
        return disk.read_sources(Path(folder), folders)


@cache
def mistakes() -> tuple[Mistake, ...]:
    """Return all entries of the table, file by file. Raises ValueError if a name stands twice."""
    entries = tuple(
        Mistake(path.stem, given)
        for path in sorted(ENTRIES_AT.glob("*.yml"))
        for given in yaml.safe_load(path.read_text(encoding="utf-8"))
    )
    names = [one.name for one in entries]
    twice = {name for name in names if names.count(name) > 1}
    if twice:
        raise ValueError(f"named twice: {sorted(twice)}")
    return entries


def wrong(one: Mistake, told: Told) -> str:
    """Return what is wrong with an entry or with what is told of it; empty if nothing is."""
    if not told.words:
        return "SILENT"
    if (told.words, told.others) != one.kept:
        return "DIFFERS"
    if one.rating not in ("clear", "fair"):
        return f"rated {one.rating or 'nothing'}"
    if not one.why and (one.rating == "fair" or told.where == "elsewhere"):
        return "no word why"
    return ""
