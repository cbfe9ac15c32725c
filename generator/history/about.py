"""What the files hold: the worksheets and whose they are, who made the entries, and what is missing."""

from __future__ import annotations

import contextlib
import hashlib
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from generator.canonical import canonical, digest
from generator.faults import counted
from generator.history import words
from generator.history.book import Book
from generator.history.exports import Exported, ExportFile
from generator.history.words import initials, quoted, text_of
from generator.journal.record import sheets_named
from generator.quantities.dates import phone_ms
from generator.quantities.people import person
from generator.sheet_types import WorksheetJson
from generator.tables import trade_of
from generator.terminal.plain import folded, one_line


@dataclass(frozen=True)
class ShopSite:
    """What is known of the shop's own site: the folder, whether a site is there, the digests of its worksheets, and the
    ids of the shops that these name."""

    folder: str
    is_there: bool = True
    sheets: frozenset[str] = frozenset()
    shops: frozenset[str] = frozenset()


def site_of(folder: str, sheets: Iterable[bytes] | None) -> ShopSite:
    """Return the site in a folder, from the worksheets it serves. None: there is no site."""
    if sheets is None:
        return ShopSite(folder, is_there=False)
    digests, shops = set(), set()
    for content in sheets:
        digests.add(hashlib.sha256(content).hexdigest())
        with contextlib.suppress(ValueError, RecursionError, LookupError, TypeError):
            shops.add(text_of(json.loads(content)["shop"]["id"]))
    return ShopSite(folder, True, frozenset(digests), frozenset(shops))


@dataclass(frozen=True)
class About:
    """The files as they were read, the job's names, and the site to compare with."""

    exported: Exported
    book: Book
    site: ShopSite


def worksheets(told: About) -> Iterator[str]:
    """Yield each worksheet that entries were made on: its name, its digest, whose it is."""
    sheets = told.exported.record.sheets
    for mark in sheets_named(told.book.record.entries):
        sheet = sheets.get(mark)
        title = "a worksheet that is not in the file" if sheet is None else _title(sheet)
        yield from folded(f"{title}{' (in use)' if mark == told.book.state['sheet'] else ''}", "  ", "    ")
        yield from folded(f"SHA-256 {text_of(mark)}", "    ")
        yield from folded(_origin(told, mark), "    ", "    ")


def _origin(told: About, mark: str) -> str:
    sheet = told.exported.record.sheets.get(mark)
    if sheet is None:
        return "What it asked cannot be told: entries name it, and the file does not hold it."
    shop, site = sheet["shop"], told.site
    name = quoted(shop.get("title") or shop.get("id"))
    fits = "It is in the file, and its contents give this digest."
    if not site.is_there:
        none = f"there is no built site in {one_line(site.folder)} to compare it with; name one with --site"
        return f"{fits} It says it is of the shop {name}. Whether that is so is not known: {none}."
    if mark in site.sheets:
        return f"{fits} The site in {one_line(site.folder)} serves this very worksheet. Shop: {name}."
    if text_of(shop.get("id")) in site.shops:
        said = "does not serve it today: it is of an older revision, or somebody made it up."
        return f"{fits} It says it is of the shop {name}. The shop's site in {one_line(site.folder)} {said}"
    said = f"it says it is of the shop {name}, and the site in {one_line(site.folder)} is of another one"
    return f"{fits} It is a STRANGER'S: {said}."


def files(told: About) -> Iterator[str]:
    """Yield each file with what it brought."""
    for part in told.exported.parts:
        yield from folded(_part_said(part), "  ", "    ")
    if len(told.exported.parts) > 1:
        yield from folded(f"United: {entries(len(told.book.record.entries))}, each once.", "  ")


def who(told: About) -> Iterator[str]:
    """Yield the people and the phones, and whether the phones' clocks agree."""
    for who in dict.fromkeys(entry["who"] for entry in told.book.record.entries):
        own = [entry for entry in told.book.record.entries if entry["who"] == who]
        known = told.book.people.get(person(who))
        role = words.role(known["role"], told.book.trade) if known else ""
        name = f"{quoted(known.get('name'))}, {role}" if known else "nobody that the worksheet lists"
        yield from folded(f"{initials(who)}, {name}: {entries(len(own))}", "  ", "      ")
    for device, number in told.book.phones.items():
        own = [entry for entry in told.book.record.entries if entry["device"] == device]
        span = f"{told.book.when(own[0]['at'])} to {told.book.when(own[-1]['at'])}"
        yield from folded(f"phone {number}, {initials(device)}: {entries(len(own))}, {span}", "  ", "      ")
    yield from _clocks(told)


def _clocks(told: About) -> Iterator[str]:
    times = [(number, phone_ms(entry["at"])) for number, entry in enumerate(told.book.record.entries, 1)]
    known = [(number, ms) for number, ms in times if ms is not None]
    back = [after[0] for before, after in pairwise(known) if after[1] < before[1]]
    if back:
        said = f"The clocks do not agree: #{back[0]} was made after #{back[0] - 1} and shows an earlier time"
        more = f"; so do {len(back) - 1} more" if len(back) > 1 else ""
        yield from folded(f"{said}{more}.", "  ", "  ")


def uncounted(told: About) -> Iterator[str]:
    """Yield which entries count for nothing, and where entries are missing."""
    for key, said in _UNCOUNTED.items():
        numbers = [told.book.number(id_) for id_ in dict.fromkeys(told.book.state[key])]
        if numbers:
            yield from folded(f"{said}: {', '.join(numbers)}.", "  ", "    ")
    for part in told.exported.parts:
        if part.is_damaged:
            said = f"{one_line(part.name)} is damaged; {counted(part.lost, 'line')} of it could not be read"
            yield from folded(f"{said}, and what else is gone from it nobody can tell.", "  ", "    ")
    yield from _gaps(told)


def _gaps(told: About) -> Iterator[str]:
    """Yield where an entry is missing. Each entry names the one its phone made before it; if that one is not here, it
    was lost, left out or changed."""
    made = told.book.record.entries
    here = {digest(canonical(entry)) for entry in made} | {""}
    gaps = [told.book.number(entry["id"]) for entry in made if entry["prev"] not in here]
    said = "No gap: before each entry stands the one that its phone made before it."
    if gaps:
        said = f"What the phone recorded just before is not here, or was changed since: before {', '.join(gaps)}."
    unseen = "What a phone could not save, or made after its last entry here, no file shows."
    yield from folded(f"{said} {unseen}", "  ", "    ")


_UNCOUNTED: dict[str, str] = {
    "unknown": "Entries that this version cannot read; they count for nothing",
    "clashes": "Two different entries under one id; both are told",
    "inert": "Entries that do not count, because something is missing in them or who made them may not",
    "gone": "Entries on steps, values or things that the worksheet in use no longer has",
}


def _title(sheet: WorksheetJson) -> str:
    engine = sheet.get("engine")
    on = f" on {text_of(engine.get('title'))}" if isinstance(engine, dict) else ""
    rev = f", {trade_of(sheet)['sheet']} revision {text_of(engine.get('revision'))}" if isinstance(engine, dict) else ""
    return f"{quoted(sheet.get('title'))}{on}: revision {text_of(sheet.get('revision'))}{rev}"


def _part_said(part: ExportFile) -> str:
    state = "DAMAGED, read as far as it goes" if part.is_damaged else "whole"
    return f"{one_line(part.name)}: {entries(part.entries)}, {part.size} bytes, {state}; SHA-256 {part.sha256}"


def entries(number: int) -> str:
    """Return `1 entry`, `2 entries`."""
    return f"{number} {'entry' if number == 1 else 'entries'}"
