"""The documents an engine sheet names once: what each value's place in them means, and what is wrong with the names.

A value that says `at` is turned into one with its whole `source`, so that nothing after this stage knows which of the
two was written.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import TypeVar

from generator.check.checked import Loc, SourceFile
from generator.check.partial import PartialEngine
from generator.faults import Fault
from generator.faults import document as faults
from generator.faults.shape import KeyOutOfPlace
from generator.inputs.read import MapNode, Node, ScalarNode
from generator.model import Document, Engine, EngineValue, Page, Source
from generator.quantities.sources import says
from generator.tables import LEAST_SAID

V = TypeVar("V", EngineValue, EngineValue | None)


def whole_with_sources(sheet: Engine) -> Engine:
    """Return a sheet in which every value that says `at` has its source."""
    return sheet.model_copy(update={"values": _sourced(sheet.documents, sheet.values)})


def seen_with_sources(sheet: PartialEngine) -> PartialEngine:
    """The same of a sheet that may have faults. A value whose document is unclear or broken keeps no source."""
    values = None if sheet.values is None else _sourced(sheet.documents or {}, sheet.values)
    return replace(sheet, values=values)


def _sourced(documents: Mapping[str, Document | None], values: dict[str, V]) -> dict[str, V]:
    return {name: _with_source(documents, value) if value else value for name, value in values.items()}


def _with_source(documents: Mapping[str, Document | None], value: EngineValue) -> EngineValue:
    meant = _meant(documents, value)
    document = documents.get(meant[0]) if meant else None
    if meant is None or document is None or value.source is not None:
        return value
    return value.model_copy(update={"source": source_at(document, meant[1])})


def _meant(documents: Mapping[str, Document | None], value: EngineValue) -> tuple[str, str | Page] | None:
    """Return the one document and the place that `at` names, or None."""
    if isinstance(value.at, str):
        return (next(iter(documents)), value.at) if len(documents) == 1 else None
    return next(iter(value.at.items())) if value.at and len(value.at) == 1 else None


def source_at(document: Document, place: str | Page) -> Source:
    """Return the source of a value. A place may have its own reader or day. Then it is a reading of its own, and the
    document's second reading is not of it."""
    said = place if isinstance(place, Page) else Page(where=place)
    is_own = said.read is not None or said.by is not None
    has_second = is_own or said.checked_by is not None
    return Source(
        document=document.document,
        where=said.where,
        read=said.read or document.read,
        by=said.by or document.by,
        checked_by=said.checked_by if has_second else document.checked_by,
        checked=said.checked if has_second else said.checked or document.checked,
    )


def document_of(value: EngineValue) -> str | None:
    """Return the document that `at` names, if it names one."""
    return next(iter(value.at), None) if isinstance(value.at, dict) else None


def place_of(name: str, value: EngineValue) -> Loc:
    """Return where the place of a value stands in its sheet, and what it says besides."""
    if value.at is None:
        return "values", name, "source"
    document = document_of(value)
    return ("values", name, "at") if document is None else ("values", name, "at", document)


def with_documents(found: Iterable[Fault], sheet: MapNode) -> Iterator[Fault]:
    """Yield faults of a sheet's keys, those of a value's document with the documents that the sheet names."""
    documents, values = sheet.get("documents"), sheet.get("values")
    known = tuple(key.text for key, _ in documents.entries) if isinstance(documents, MapNode) else ()
    for fault in found:
        better = None
        if known and isinstance(fault, KeyOutOfPlace) and fault.key in Document.model_fields.keys() | {"where"}:
            better = _beside_at(fault, values, known)
        yield better or fault


def _beside_at(fault: KeyOutOfPlace, values: Node | None, known: tuple[str, ...]) -> Fault | None:
    for name, value in values.entries if isinstance(values, MapNode) else ():
        key = value.key(fault.key) if isinstance(value, MapNode) else None
        if isinstance(value, MapNode) and key is not None and key.place == fault.place:
            said, where = value.get(fault.key), value.get("at")
            text = said.text if isinstance(said, ScalarNode) else ""
            place = where.text if isinstance(where, ScalarNode) and where.text else None
            return faults.SourceBesideAt(fault.place, name.text, fault.key, text, place, known)
    return None


def check_documents(sheet: SourceFile[PartialEngine]) -> Iterator[Fault]:
    """Faults of the documents of one engine sheet, and of the values that say `at`."""
    values, documents = sheet.seen.values, sheet.seen.documents
    if values is None or documents is None:
        return
    placed = {name: value for name, value in values.items() if value and value.at is not None}
    wrong = [fault for name, value in placed.items() for fault in _at(sheet, name, value, tuple(documents))]
    unclear = [fault for fault in wrong if isinstance(fault, faults.WhichDocument)]
    if len(unclear) == len(placed) > 1:  # a document was added: each place was clear before
        wrong = [fault for fault in wrong if fault not in unclear]
        yield replace(unclear[0], times=len(unclear))
    yield from wrong
    wrong += unclear
    if placed and not documents:
        first = next(iter(placed))
        yield faults.NoDocuments(sheet.key_place("values", first, "at"), first, len(placed))
    for name, document in documents.items():
        if document and not says(document.document, LEAST_SAID["document"]):
            yield faults.DocumentSaysNothing(sheet.place("documents", name, "document"), name)
    if not wrong and None not in values.values():
        used = {meant[0] for value in placed.values() if (meant := _meant(documents, value))}
        for name in documents.keys() - used:
            yield faults.UnusedDocument(sheet.key_place("documents", name), name)


def _at(sheet: SourceFile[PartialEngine], name: str, value: EngineValue, known: tuple[str, ...]) -> Iterator[Fault]:
    loc = ("values", name, "at")
    keys = [key for key in ("source", "at") if sheet.node_at("values", name, key) is not None]
    if len(keys) == 2:
        yield faults.TwoSources(max(sheet.key_place("values", name, key) for key in keys), name)
    if not known:
        return
    if isinstance(value.at, str):
        if len(known) > 1:
            yield faults.WhichDocument(sheet.place(*loc), name, value.at, known)
        return
    written = tuple(value.at or ())
    if len(written) != 1:
        yield faults.NotOneDocument(sheet.key_place(*loc), name, written, known)
    for document in written:
        if document not in known:
            yield faults.UnknownDocument(sheet.key_place(*loc, document), name, document, known)
