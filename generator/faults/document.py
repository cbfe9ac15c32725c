"""Every way an engine sheet can be wrong about the documents it names once, and about where a value is read in them."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault, UndeclaredName
from generator.faults.wording import counted, excerpt, in_quotes, listing, nearest


def at(document: str, where: str) -> str:
    """Return a place in a named document as a sheet writes it."""
    return f"at: {{{document}: {in_quotes(where)}}}"


@dataclass(frozen=True)
class TwoSources(Fault):
    """A value is read in one place. With two, nobody knows which one its figure is from."""

    name: str

    said = 'value "{name}" has both source and at.'
    write = "Keep the one that is right: at for a place in one of the sheet's documents, source for any other."


@dataclass(frozen=True)
class NoDocuments(Fault):
    """A page alone can't be looked up. Told once in a sheet, at the first value."""

    name: str
    times: int

    @property
    def said(self) -> str:
        more = f" {counted(self.times, 'value')} of it have at." if self.times > 1 else ""
        return f'value "{self.name}" has at, but this sheet names no document.{more}'

    write = 'Above values, add:  documents: {{manual: {{document: "Workshop manual", read: 2026-10-02, by: KS}}}}'


@dataclass(frozen=True)
class WhichDocument(Fault):
    """Page 118 of one book is not page 118 of another. Told once where no value says in which."""

    name: str
    where: str
    known: tuple[str, ...]
    times: int = 1  # how many values of the sheet leave it open

    @property
    def said(self) -> str:
        more = f" So have {counted(self.times - 1, 'other value')}." if self.times > 1 else ""
        several = f"this sheet has several documents: {listing(self.known)}.{more}"
        return f'value "{self.name}" has {excerpt(self.where)} after "at", and {several}'

    @property
    def write(self) -> str:
        return f"Say in which, for example:  {at(self.known[0], self.where)}"


@dataclass(frozen=True)
class UnknownDocument(UndeclaredName):
    """A document is named at the top of the sheet, with whoever read it. Any other name leads to no book."""

    value: str
    name: str
    known: tuple[str, ...]

    said = 'value "{value}" was read in document {name:quoted}, which this sheet does not name under documents.'
    otherwise = "name it under documents"


@dataclass(frozen=True)
class SourceBesideAt(Fault):
    """`at` names the document and the place. A line of its own for the document, or for its reader, belongs there."""

    name: str
    key: str
    text: str
    where: str | None  # the place, if the value has one
    known: tuple[str, ...]

    said = 'value "{name}" has the key "{key}" of its own, and the sheet has documents at its top: {known:listed}.'

    @property
    def write(self) -> str:
        where = self.where or (self.text if self.key == "where" else "page ...")
        near = self.known[0] if len(self.known) == 1 else nearest(self.text, self.known)
        if self.key not in ("document", "where"):
            place = f"{{where: {in_quotes(where)}, {self.key}: {self.text}}}"
            return (
                f"Write  at: {{{near or self.known[0]}: {place}}}  or delete the line, if the document's own is right."
            )
        if near and self.where and len(self.known) == 1:
            return f'Delete the line if it is "{near}". A further document is named under documents first.'
        if near:
            return f"Write  {at(near, where)}  A further document is named under documents first."
        return f"Write the one it was read in, for example:  {at(self.known[0], where)}"


@dataclass(frozen=True)
class NotOneDocument(Fault):
    """A value is read in one place. What a second document says is another reading."""

    name: str
    written: tuple[str, ...]
    known: tuple[str, ...]

    @property
    def said(self) -> str:
        count = f"{len(self.written)} documents ({listing(self.written)})" if self.written else "no document"
        return f'value "{self.name}" has {count} after "at".'

    @property
    def write(self) -> str:
        return f"Write the one it was read in, for example:  {at(self.known[0], 'page 118')}"


@dataclass(frozen=True)
class UnusedDocument(Fault):
    """A document that nothing was read in is a slip: a value has another source than its author meant."""

    name: str

    @property
    def said(self) -> str:
        return f"document {excerpt(self.name)} is named here, and no value was read in it."

    @property
    def write(self) -> str:
        return f"Delete it, or write beside the value that was read in it:  {at(self.name, 'page 118')}"


@dataclass(frozen=True)
class DocumentSaysNothing(Fault):
    """A dot, a dash or an invisible character is not a document that anybody can find."""

    name: str

    said = 'document "{name}" has nothing to read after "document".'
    write = 'Write its title and edition, for example:  document: "Workshop manual, 2nd edition"'
