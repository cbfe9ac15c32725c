"""Critical values of a worksheet that one person read in the maker's document, and nobody else."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from generator.check import Checked, Library
from generator.check.checked import Loc
from generator.check.documents import document_of, place_of
from generator.faults import Fault
from generator.faults.reader import ReadOnce
from generator.model import Engine, EngineValue, Page
from generator.quantities.sources import is_read_once
from generator.sheet_types import WorksheetJson


def read_once(sheets: Iterable[WorksheetJson], library: Library) -> Iterator[Fault]:
    """Yield a note for each document, and one for all values that have a reader of their own."""
    found: dict[str, dict[str, None]] = {}
    for sheet in sheets:
        names = (name for name, value in sheet["values"].items() if is_read_once(value))
        found.setdefault(sheet["engine"]["id"], {}).update(dict.fromkeys(names))
    for name, values in found.items():
        yield from _notes(library.engines[name], list(values))


def _notes(engine: Checked[Engine], names: list[str]) -> Iterator[Fault]:
    groups: dict[Loc, list[str]] = {}
    for name in names:
        groups.setdefault(_named_in(engine.noun, engine.noun.values[name]), []).append(name)
    for loc, group in groups.items():
        place = engine.key_place(*loc) if loc else engine.key_place(*place_of(group[0], engine.noun.values[group[0]]))
        yield ReadOnce(place, engine.noun.engine, tuple(group))


def _named_in(engine: Engine, value: EngineValue) -> Loc:
    """Return where a document says who read the value; () if the value says so itself."""
    document = document_of(value) or next(iter(engine.documents), None)
    own = value.at[document] if isinstance(value.at, dict) and document else value.at
    says_itself = isinstance(own, Page) and (own.by is not None or own.read is not None)
    return () if value.at is None or document is None or says_itself else ("documents", document)
