"""Who read the values of an engine sheet, who read them again, and on which days: people of the shop, days that have
come."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from generator.check.checked import Loc, SourceFile
from generator.check.documents import place_of
from generator.check.partial import PartialEngine, PartialShop
from generator.faults import Fault
from generator.faults import reader as faults
from generator.model import Document, Person, Source

READING = ("read", "by", "checked_by", "checked")
# The day begins first on the islands at UTC+14 (IANA time zone Pacific/Kiritimati).
FIRST_ZONE = datetime.timedelta(hours=14)


def last_day_begun(now: datetime.datetime) -> datetime.date:
    """Return the latest date that it is anywhere on earth at `now`, so that no time zone's today is in the future."""
    return (now.astimezone(datetime.UTC) + FIRST_ZONE).date()


def people_of(shops: list[SourceFile[PartialShop]]) -> tuple[Person, ...] | None:
    """Return the people of the one shop, or None while it can't be said who they are."""
    people = shops[0].seen.people if len(shops) == 1 else None
    if not people or None in people:
        return None
    return tuple(person for person in people if person)


@dataclass(frozen=True)
class ReadSource:
    """What an engine sheet says in one place of who read something: a value or a document."""

    thing: str
    said: Source | Document
    file: SourceFile[PartialEngine]
    loc: Loc


def check_readers(
    sheet: SourceFile[PartialEngine], people: tuple[Person, ...] | None, latest: datetime.date
) -> Iterator[Fault]:
    """Faults of the sources of one engine sheet. `latest` is the last day that has begun anywhere."""
    sources = [*_of_documents(sheet), *_of_values(sheet)]
    if people is not None:
        yield from _strangers(sources, people)
    alone = people is not None and sum(not person.left for person in people) == 1
    for source in sources:
        days = list(_days(source, latest))
        yield from days
        if not days:
            yield from _second_reading(source, alone, people is not None)


def _of_documents(sheet: SourceFile[PartialEngine]) -> Iterator[ReadSource]:
    for name, document in (sheet.seen.documents or {}).items():
        if document:
            yield ReadSource(f'document "{name}"', document, sheet, ("documents", name))


def _of_values(sheet: SourceFile[PartialEngine]) -> Iterator[ReadSource]:
    """Those that say themselves who read them. Of all others, their document says it once."""
    for name, value in (sheet.seen.values or {}).items():
        if value and value.source:
            loc = place_of(name, value)
            if any(sheet.node_at(*loc, key) for key in READING):
                yield ReadSource(f'value "{name}"', value.source, sheet, loc)


def _strangers(sources: list[ReadSource], people: tuple[Person, ...]) -> Iterator[Fault]:
    """Tell each unknown name once in a sheet, at the first value that has it: most often it is in all of them."""
    known = tuple(person.initials for person in people)
    uses = [(key, who, source) for source in sources for key, who in _named(source) if who not in known]
    times = Counter(who for _, who, _ in uses)
    for key, who, source in uses:
        if times[who]:
            place = source.file.place(*source.loc, key)
            yield faults.UnknownReader(place, source.thing, key, who, known, times.pop(who))


def _named(source: ReadSource) -> Iterator[tuple[str, str]]:
    for key, who in (("by", source.said.by), ("checked_by", source.said.checked_by)):
        if who is not None and source.file.node_at(*source.loc, key) is not None:
            yield key, who


def _days(source: ReadSource, latest: datetime.date) -> Iterator[Fault]:
    said = source.said
    for key, day in (("read", said.read), ("checked", said.checked)):
        if day is not None and day > latest and source.file.node_at(*source.loc, key) is not None:
            place = source.file.place(*source.loc, key)
            yield faults.DayToCome(place, source.thing, key, day.isoformat(), latest.isoformat())
    if said.checked is None:
        return
    if said.checked_by is None:
        yield faults.CheckedByNobody(source.file.key_place(*source.loc, "checked"), source.thing)
    elif said.checked < said.read:
        place = source.file.place(*source.loc, "checked")
        yield faults.CheckedBeforeRead(place, source.thing, said.checked.isoformat(), said.read.isoformat())


def _second_reading(source: ReadSource, alone: bool, certain: bool) -> Iterator[Fault]:
    """The second reading is another person's; of a person who works alone, it is of another day."""
    said = source.said
    if said.checked_by != said.by or not certain:
        return
    if not alone:
        yield faults.CheckedByReader(source.file.place(*source.loc, "checked_by"), source.thing, said.by)
    elif said.checked is None or said.checked == said.read:
        key = "checked_by" if said.checked is None else "checked"
        place = source.file.place(*source.loc, key)
        yield faults.SelfCheckSameDay(place, source.thing, said.by, said.read.isoformat())
