"""Hostile texts put into every text of the sources and of a record. What the checker refuses is left as it was."""

from __future__ import annotations

import functools
import json
import re
import typing
from collections.abc import Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml
from mkdocs.commands.build import build as mkdocs_build
from mkdocs.config import load_config
from pydantic import StringConstraints

from generator import model
from generator.canonical import canonical, digest
from generator.journal.record import write_record
from generator.journal.shapes.sound import is_sheet
from generator.richtext import names_in
from generator.site.build import check_texts
from tests.proofs.scripts import xss_shop
from tests.support import demo

META = re.compile(r'<meta http-equiv="Content-Security-Policy"[^>]*>')


@dataclass(frozen=True)
class Field:
    """One text of one source file, with where it begins and ends."""

    file: str
    start: int
    end: int
    line: int
    column: int
    name: str
    values: str
    """The values that the text names, which must go on being named."""


# --- the texts of the sources ---------------------------------------------------------------------------------------


def _is_free(hint: Any) -> bool:
    """True if a field's type takes any text, up to a length."""
    if any(isinstance(mark, model.TakesPlain | model.Measures) for mark in getattr(hint, "__metadata__", ())):
        return False
    if any(isinstance(m, StringConstraints) and not m.pattern for m in getattr(hint, "__metadata__", ())):
        return True
    return any(_is_free(part) for part in typing.get_args(hint))


@functools.cache
def free_names() -> frozenset[str]:
    """Return the fields of the source language that take any text."""
    found = {"file"}
    for noun in vars(model).values():
        if isinstance(noun, type) and issubclass(noun, model.Noun):
            hints = typing.get_type_hints(noun, include_extras=True)
            found |= {name.rstrip("_") for name, hint in hints.items() if name != "was" and _is_free(hint)}
    return frozenset(found)


@functools.cache
def fields() -> tuple[Field, ...]:
    """Return every text of the shop, by its place."""
    return tuple(
        field for path, text in xss_shop.texts().items() for field in _below(yaml.compose(text), path, ("", "", ""))
    )


def _below(node: yaml.Node, file: str, names: tuple[str, ...]) -> Iterator[Field]:
    if isinstance(node, yaml.SequenceNode):
        for item in node.value:
            yield from _below(item, file, names)
    elif isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if names[-1] == "words":
                yield _field(key, file, "words")
            yield from _below(value, file, (*names, str(key.value)))
    elif names[-1] in free_names() or names[-2] in free_names() - {"source", "parts"} or names[-2] == "parts":
        yield _field(node, file, names[-1] if names[-1] in free_names() else names[-2])


def _field(node: yaml.Node, file: str, name: str) -> Field:
    start, end = node.start_mark, node.end_mark
    values = "".join(f" {{{value}}}" for value in names_in(node.value))
    return Field(file, start.index, end.index, start.line + 1, start.column + 1, name, values)


def planted(texts: Mapping[Field, str]) -> dict[str, str]:
    """Return the sources with these texts in these fields."""
    sources = xss_shop.texts()
    for field in sorted(texts, key=lambda one: -one.start):
        source = sources[field.file]
        sources[field.file] = source[: field.start] + json.dumps(texts[field] + field.values) + source[field.end :]
    return sources


def settle(wanted: Mapping[Field, str]) -> tuple[dict[Field, str], dict[Field, str]]:
    """Return (taken, refused) by the checker. What shares a line with a bad text is tried again alone."""
    taken, refused, doubtful = dict(wanted), {}, {}
    while spots := _complaints(taken):
        bad = [field for field in taken if (field.file, field.line, field.column) in spots]
        where = {spot[:2] for spot in spots}
        doubted = [] if bad else [field for field in taken if (field.file, field.line) in where]
        doubted = doubted or ([] if bad else _words_before(taken, where))
        assert bad or doubted, spots
        refused |= {field: taken.pop(field) for field in bad}
        doubtful |= {field: taken.pop(field) for field in doubted}
    for field, text in doubtful.items():
        (refused if _complaints({**taken, field: text}) else taken)[field] = text
    return taken, refused


def _words_before(taken: Mapping[Field, str], where: set[tuple[str, int]]) -> list[Field]:
    """Return the step's words above each place: a word that is explained must stand in them."""
    words = [field for field in taken if field.name == "do"]
    above = [[field for field in words if field.file == file and field.line < line] for file, line in where]
    return [max(fields, key=lambda field: field.line) for fields in above if fields]


def _complaints(texts: Mapping[Field, str]) -> set[tuple[str, int, int]]:
    faults = check_texts(planted(texts), frozenset(xss_shop.PICTURES)).faults
    return {(fault.place.file, fault.place.line, fault.place.column) for fault in faults}


def built(sources: Mapping[str, str], folder: Path) -> dict[str, bytes]:
    """Return the site as MkDocs builds it from these sources, with guide and reference pages, without its worker."""
    files = {path: text.encode() for path, text in sources.items()}
    files |= {f"procedures/pictures/{name}": body for name, body in xss_shop.PICTURES.items()}
    files["docs/guide/index.md"] = b"# Guide\n\nText.\n"
    settings = (demo.ROOT / "mkdocs.yml").read_text().replace("shop: demo_jobs", "shop: shop")
    files["mkdocs.yml"] = settings.replace("strict: true", "strict: false").encode()
    for path, body in files.items():
        (folder / path).parent.mkdir(parents=True, exist_ok=True)
        (folder / path).write_bytes(body)
    config = load_config(str(folder / "mkdocs.yml"))
    config.plugins.on_startup(command="build", dirty=False)
    mkdocs_build(config)
    made = {path.relative_to(folder / "site").as_posix(): path for path in (folder / "site").rglob("*")}
    return {name: path.read_bytes() for name, path in made.items() if path.is_file() and name != "sw.js"}


def bare(site: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return the same site without any policy: what is shown as text must be harmless by itself."""
    return {
        path: META.sub("", body.decode()).encode() if path.endswith(".html") else body for path, body in site.items()
    }


# --- the texts of a record ------------------------------------------------------------------------------------------

# What holds an entry or a worksheet together. Another text here means another thing, not another wording.
_JOINTS = frozenset(
    ["v", "kind", "sheet", "step", "path", "what", "after", "when", "of", "name", "value", "reading", "id", "check"]
)
_OF_ENTRIES = ("who", "at", "step", "part", "kind", "device", "writer", "prev")
_MACHINE = frozenset(["id", "job", "device", "writer", "prev", "seen", "at", "part"])


def hostile(value: Any, strings: Iterator[str], spare: frozenset[str], key: str = "") -> Any:
    """Return a copy in which every text is the next hostile one, except under the keys to be spared."""
    if isinstance(value, str):
        return value if key in spare else next(strings)
    if isinstance(value, list):
        return [hostile(item, strings, spare, key) for item in value]
    if isinstance(value, dict):
        return {name: hostile(item, strings, spare, name) for name, item in value.items()}
    return value


def hostile_sheet(sheet: Mapping[str, Any], strings: Iterator[str]) -> dict[str, Any]:
    """Return a stranger's worksheet that can still be read: every text that may be anything is hostile."""
    made = deepcopy(dict(sheet))
    for holder, key, text in list(_texts(made)):
        holder[key] = next(strings)
        if not is_sheet(made):
            holder[key] = text
    return made


def _texts(value: Any, name: str = "") -> Iterator[tuple[Any, Any, str]]:
    items = value.items() if isinstance(value, dict) else enumerate(value)
    for key, item in list(items):
        label = key if isinstance(key, str) else name
        if isinstance(item, str):
            if label not in _JOINTS:
                yield value, key, item
        elif isinstance(item, dict | list):
            yield from _texts(item, label)


def records(entries: Sequence[Mapping[str, Any]], sheet: Mapping[str, Any], strings: Iterator[str]) -> list[str]:
    """Return records of two jobs: in one, every wording is hostile; in the other, what holds it together is, too."""
    strange = hostile_sheet(sheet, strings)
    mark = digest(canonical(strange))
    words = [{**hostile(entry, strings, _JOINTS | _MACHINE), "sheet": mark} for entry in entries]
    joints = [
        {**entry, key: next(strings), "sheet": mark, "id": f"{number:024x}"}
        for number, (entry, key) in enumerate(
            (entry, key)
            for entry in entries
            for key in ["who", "at", "step", "part", "kind", "device", "writer", "prev"]
        )
    ]
    whole = [{**entry, "sheet": mark, "id": f"f{entry['id'][1:]}"} for entry in entries]
    return [
        write_record([{**entry, "job": job} for entry in made], {mark: strange})
        for made, job in ((words, next(strings)), ([*whole, *joints], next(strings)))
    ]
