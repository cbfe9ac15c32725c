"""All files of a shop together: which kind each is, which id it has, and the names between files."""

from __future__ import annotations

import datetime
import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, partial
from itertools import islice
from pathlib import PurePosixPath

from generator.check import extent
from generator.check import facts as check_facts
from generator.check import trade as check_trade
from generator.check.asked import AskedValues, Procedures, asked_by, asked_by_includes, steps_of
from generator.check.checked import Checked, Library, N, S, SourceFile, is_seen_as
from generator.check.documents import check_documents, seen_with_sources, whole_with_sources, with_documents
from generator.check.explained_words import check_drawings
from generator.check.facts import never_true
from generator.check.nouns import Found, build
from generator.check.one_engine import all_asked, check_engine
from generator.check.one_procedure import check_procedure
from generator.check.one_table import check_table
from generator.check.partial import (
    PartialEngine,
    PartialFailureModes,
    PartialProcedure,
    PartialShop,
    PartialTrade,
    Seen,
    held,
)
from generator.check.readers import check_readers, last_day_begun, people_of
from generator.check.result_formulas import Bench
from generator.check.usual_units import offer_usual_units
from generator.faults import Fault, in_order
from generator.faults.engine import BreakOutOfRange, UnknownTimeZone
from generator.faults.folder import NoneOfKind, NotReadForName
from generator.faults.formula import NoSuchInspection, UnknownTable
from generator.faults.names import (
    FileNameNotId,
    OneOnly,
    SameIdTwice,
    SameInitialsTwice,
    SameRowTwice,
    TimesElsewhere,
    UnknownEngine,
    UnknownFailureMode,
    UnknownProcedure,
)
from generator.faults.reader import NobodyWorksHere
from generator.faults.result import ShopMeasures
from generator.faults.shape import DoubtfulThousands, UnknownKindOfFile, WrongUnit
from generator.faults.source import EmptyFile, OddFileName
from generator.faults.torque import SameToolTwice, WrenchRange
from generator.faults.trade_word import NoTradeFile, OldFactsFile
from generator.inputs import door
from generator.inputs.read import MapNode, Node, ScalarNode, read
from generator.model import KINDS, Engine, FailureModes, Job, Procedure, Shop, Table
from generator.place import Place
from generator.quantities.dates import time_zones, today_in, zone_of
from generator.quantities.possible_ranges import FIELD_RANGES, is_possible, two_readings
from generator.quantities.units import MEASURED, units_of

BREAK = FIELD_RANGES["break"]
NAMED_BY_FILE = {"procedure": "procedure", "engine": "sheet", "table": "table"}


def shelve(texts: Mapping[str, str | bytes], day: datetime.date | None = None) -> tuple[Library, list[Fault]]:
    """See `check_all`."""
    endless = list(door.too_many(texts))
    if endless:
        return Library(), endless
    outside = door.files_of(texts)
    if outside.missing:
        return Library(), in_order([*outside.missing, *outside.refused])
    read_files = [_read(file, texts[file]) for file in sorted(texts)]
    words = check_trade.sheet_words(one.node for one in read_files)
    sources = [*(_source(one, words) for one in read_files), *map(_not_read, outside.refused)]
    by_kind: dict[str, list[SourceFile[Seen]]] = defaultdict(list)
    for source in sources:
        by_kind[source.kind].append(source)
    offer_usual_units(sources)
    wrong = [fault for source in sources for fault in source.faults]
    shelf = _Shelf(sources, by_kind, outside.folders, day)
    lacking = list(kinds_are_all_there(shelf))
    if lacking:
        return Library(), in_order([*wrong, *lacking])
    for rule in _RULES:
        wrong.extend(rule(shelf))
    library, found = _with_results(shelf.library(), bool(wrong))
    return library, in_order([*wrong, *found])


def _with_results(library: Library, broken: bool) -> tuple[Library, list[Fault]]:
    """Return the library with every formula compiled. While a source is broken, names that may be in it are not
    called unknown."""
    bench = Bench(library.procedures, library.tables, library.trade.divisions)
    results = {name: bench.work(name) for name in sorted(library.procedures)}
    found = [fault for fault in bench.faults if not (broken and _may_stand_elsewhere(fault))]
    return replace(library, results=results), found


def _may_stand_elsewhere(fault: Fault) -> bool:
    return isinstance(fault, UnknownProcedure | UnknownTable | NoSuchInspection)


@dataclass(frozen=True)
class _Read:
    """One file as its nodes, before anybody knows what kind of source it is."""

    file: str
    text: str | bytes
    node: Node | None
    faults: list[Fault]


def _read(file: str, text: str | bytes) -> _Read:
    odd = door.odd_letter(file)
    node, wrong = read(text, file) if odd is None else (None, [OddFileName(Place(file), odd)])
    return _Read(file, text, node, list(wrong))


def _source(one: _Read, words: frozenset[str]) -> SourceFile[Seen]:
    """Build the noun of a file. `words` are those that a sheet may begin with."""
    source = SourceFile[Seen](one.file, None, faults=list(one.faults))
    if one.node is None and one.faults:
        return source
    kind = _kind_of(one.node, source, words)
    if kind and isinstance(one.node, MapNode):
        found = Found(lines=partial(_lines, one.text))
        source.word = check_trade.sheet_word(one.node)
        source.kind, source.node = kind, check_trade.in_model_words(one.node, kind, words)
        source.faults.extend(check_trade.said_twice(source.node))
        built = build(source.node, KINDS[kind], found)
        source.seen = built.partial
        source.noun = None if source.faults else built.value
        if isinstance(source.seen, PartialEngine):
            source.seen = seen_with_sources(source.seen)
        if isinstance(source.noun, Engine):
            source.noun = whole_with_sources(source.noun)
        source.faults.extend(with_documents(found.faults, source.node) if kind == "engine" else found.faults)
        source.units, source.unsure = found.units, list(found.unsure)
    return source


def _lines(text: str | bytes) -> list[str]:
    """Return the lines of a file that could be read, as its places count them."""
    whole = text.decode("utf-8-sig", "replace") if isinstance(text, bytes) else text.removeprefix("\ufeff")
    return re.split("\r\n|[\r\n\x85\u2028\u2029]", whole)


def _not_read(fault: Fault) -> SourceFile[Seen]:
    """Return a file that is in the folder but was not read. It may hold any name, its own first."""
    own = fault.name if isinstance(fault, NotReadForName) else PurePosixPath(fault.place.file).name
    return SourceFile(str(PurePosixPath(fault.place.file).parent / own), None, faults=[fault])


def _kind_of(node: Node | None, source: SourceFile[Seen], words: frozenset[str]) -> str | None:
    kinds = {key: kind for kind in KINDS for key in (sorted(words) if kind == check_trade.SHEET else [kind])}
    if node is None or (isinstance(node, ScalarNode) and not node.text):
        source.faults.append(EmptyFile(Place(source.file), tuple(kinds)))
        return None
    keys = [key.text for key, _ in node.entries] if isinstance(node, MapNode) else []
    if keys and keys[0] == "procedure" and "vehicle" in keys and "stages" not in keys:
        return "job"  # its number is missing, or further down
    if keys and keys[0] in kinds:
        return kinds[keys[0]]
    elsewhere = next((key for key in keys if key in kinds), None)
    if keys[:1] == ["facts"] and elsewhere is None:  # an engine or a shop has facts as well
        source.faults.append(OldFactsFile(node.place))
    else:
        source.faults.append(UnknownKindOfFile(node.place, keys[0] if keys else "", tuple(kinds), elsewhere))
    return None


@dataclass
class _Shelf:
    sources: list[SourceFile[Seen]]
    by_kind: Mapping[str, list[SourceFile[Seen]]]
    folders: tuple[str, ...]
    day: datetime.date | None  # no value was read after this day; None: after today

    @cached_property
    def latest(self) -> datetime.date:
        """Return the last day on which a value can have been read: today in the shop, or while its time zone is not
        known, the last day that has begun anywhere."""
        shops = self.seen(PartialShop)
        zone = zone_of(shops[0].seen.time_zone) if len(shops) == 1 else None
        return self.day or (today_in(zone) if zone else last_day_begun(datetime.datetime.now(datetime.UTC)))

    def ids(self, kind: str) -> set[str]:
        return {source.id for source in self.by_kind[kind]}

    def seen(self, kind: type[S]) -> list[SourceFile[S]]:
        """Return the sources of a kind that the rules may look at, whole or faulty."""
        return [source for source in self.sources if is_seen_as(source, kind)]

    def whole(self, kind: type[N]) -> list[Checked[N]]:
        return [checked for source in self.sources if (checked := source.checked(kind))]

    @property
    def unread(self) -> list[SourceFile[Seen]]:
        """Return files whose kind is not known. They may hold any name."""
        return self.by_kind[""]

    @property
    def procedures(self) -> Procedures:
        """Return procedures by id, also faulty ones. Of two with the same id one counts, see `_last_counts`."""
        sources = _last_counts(self.by_kind["procedure"])
        return {source.id: source.seen if is_seen_as(source, PartialProcedure) else None for source in sources}

    @cached_property
    def asked(self) -> AskedValues:
        """Return what all procedures ask for; to be called after `jobs_have_an_end`."""
        procedures, certain = self.procedures, not self.unread
        return all_asked((asked_by(id, procedures, certain) for id in procedures), certain)

    def known(self, kind: str, name: str) -> bool:
        """True if this name is the id of something of this kind, or may be once a broken file can be read."""
        return name in self.ids(kind) or any(source.stem == name for source in self.unread)

    def library(self) -> Library:
        def by_id(kind: type[N]) -> dict[str, Checked[N]]:
            both = ((source.id, source.checked(kind)) for source in _last_counts(self.sources))
            return {id: checked for id, checked in both if checked}

        shops, failures = self.whole(Shop), self.whole(FailureModes)
        broken = {name for source in self.sources if not source.whole for name in (source.id, source.stem) if name}
        return Library(
            procedures=by_id(Procedure),
            engines=by_id(Engine),
            jobs=by_id(Job),
            shop=shops[0] if shops else None,
            failure_modes=failures[0] if failures else None,
            tables=by_id(Table),
            facts=check_facts.declared(source for source in self.seen(PartialTrade) if source.whole)[0],
            trade=check_trade.declared(source for source in self.seen(PartialTrade) if source.whole)[0],
            sheet_words={source.id: source.word for source in _last_counts(self.sources) if source.kind == "engine"},
            kinds={name: self.asked.kinds(name) for name in self.asked.needs},
            broken=frozenset(broken),
            files=tuple(source.file for source in self.sources),
            folders=self.folders,
        )


def _last_counts(sources: list[SourceFile[Seen]]) -> list[SourceFile[Seen]]:
    """Return sources so that of two with the same id the last counts: the one whose file has that name, because the
    other is a copy whose id was left, else the first of them. The other one has its fault."""
    return sorted(reversed(sources), key=lambda source: source.id == source.stem)


def _in_order(names: set[str]) -> tuple[str, ...]:
    return tuple(sorted(name for name in names if name))


# --- Rules between files --------------------------------------------------------------------------------------------


def jobs_have_an_end(shelf: _Shelf) -> Iterator[Fault]:
    """Runs first. A procedure that is too long to unfold is put aside, and no other rule follows its includes."""
    procedures = shelf.procedures
    wrong = extent.too_long(procedures)
    told = set(extent.first_to_tell(wrong, procedures))
    for source in shelf.by_kind["procedure"]:
        if source.id in wrong:
            if source.id in told and source.seen is procedures[source.id]:
                yield extent.fault_of(source.id, wrong[source.id], source)
            source.noun = source.seen = None


def ids_are_file_names(shelf: _Shelf) -> Iterator[Fault]:
    for kind, word in NAMED_BY_FILE.items():
        for source in shelf.by_kind[kind]:
            if source.id and source.id != source.stem:
                taken = next((one.file for one in shelf.by_kind[kind] if source.id == one.id == one.stem), None)
                yield FileNameNotId(source.id_place, word, source.id, source.stem, source.word or kind, taken)


def ids_are_not_shared(shelf: _Shelf) -> Iterator[Fault]:
    for kind in ("procedure", "engine", "job", "table"):
        first: dict[str, str] = {}
        for source in shelf.by_kind[kind]:
            misnamed = kind in NAMED_BY_FILE and source.id != source.stem
            if not source.id or misnamed:
                continue
            if source.id in first:
                word = NAMED_BY_FILE.get(kind, kind)
                yield SameIdTwice(source.id_place, word, source.id, first[source.id])
            first.setdefault(source.id, source.file)


def one_shop_and_one_list_of_failures(shelf: _Shelf) -> Iterator[Fault]:
    for kind, word in (("shop", "shop"), ("failure_modes", "failure modes")):
        for source in shelf.by_kind[kind][1:]:
            yield OneOnly(source.place(), word, shelf.by_kind[kind][0].file)


def initials_are_one_persons(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.seen(PartialShop):
        first: dict[str, int] = {}
        for at, person in held(source.seen.people):
            place = source.place("people", at, "initials")
            if person.initials in first:
                yield SameInitialsTwice(place, person.initials, first[person.initials])
            first.setdefault(person.initials, place.line)


def jobs_name_what_exists(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.seen(Job):
        job, thing = source.seen, f'job "{source.id}"'
        if not shelf.known("procedure", job.procedure):
            place = source.place("procedure")
            yield UnknownProcedure(place, thing, job.procedure, _in_order(shelf.ids("procedure")))
        if not shelf.known("engine", job.engine):
            place = source.place("engine")
            yield UnknownEngine(place, thing, job.engine, _in_order(shelf.ids("engine")))


def failure_modes_name_what_exists(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.seen(PartialFailureModes):
        first: dict[str, int] = {}
        for at, row in held(source.seen.failure_modes):
            place = source.place("failure_modes", at, "row")
            if row.row in first:
                yield SameRowTwice(place, row.row, first[row.row])
            first.setdefault(row.row, place.line)
            for where, name in enumerate(row.where):
                if not shelf.known("procedure", name):
                    place = source.place("failure_modes", at, "where", where)
                    thing = f'failure mode "{row.row}"'
                    yield UnknownProcedure(place, thing, name, _in_order(shelf.ids("procedure")))
            for name in row.times if isinstance(row.times, dict) else ():
                if name not in row.where:
                    place = source.key_place("failure_modes", at, "times", name)
                    yield TimesElsewhere(place, row.row, name, tuple(sorted(row.where)))


def steps_catch_known_failures(shelf: _Shelf) -> Iterator[Fault]:
    rows = {row.row for source in shelf.seen(PartialFailureModes) for _, row in held(source.seen.failure_modes)}
    if any(not source.whole for source in shelf.by_kind["failure_modes"]):
        return
    if any(source.stem == "failure_modes" for source in shelf.unread):
        return
    unknown = (
        UnknownFailureMode(source.place(*loc, "catches", at), f'step "{step.id}"', name, _in_order(rows))
        for source in shelf.seen(PartialProcedure)
        for loc, step in steps_of(source.seen)
        for at, name in enumerate(step.catches)
        if name not in rows
    )
    # If there is no list of failure modes at all, one message says so.
    yield from unknown if rows else islice(unknown, 1)


def each_procedure(shelf: _Shelf) -> Iterator[Fault]:
    procedures = shelf.procedures
    for source in shelf.seen(PartialProcedure):
        yield from check_procedure(source, asked_by_includes(source.id, procedures, not shelf.unread))


def each_engine(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.seen(PartialEngine):
        yield from check_engine(source, shelf.asked)
        yield from check_documents(source)


def readers_are_people_of_the_shop(shelf: _Shelf) -> Iterator[Fault]:
    people = people_of(shelf.seen(PartialShop))
    for source in shelf.seen(PartialEngine):
        yield from check_readers(source, people, shelf.latest)


def somebody_works_here(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.seen(PartialShop):
        people = source.seen.people
        if people and all(person is not None and person.left for person in people):
            yield NobodyWorksHere(source.key_place("people"))


def each_table(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.by_kind["table"]:
        table = source.checked(Table)
        if table and (wrong := list(check_table(table))):
            source.noun = None
            yield from wrong


def shops_measure_what_is_known(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.seen(PartialShop):
        for what, unit in (source.seen.units or {}).items():
            if what not in MEASURED:
                yield ShopMeasures(source.key_place("units", what), what, MEASURED)
            elif unit is not None and unit not in units_of(what):
                place = source.place("units", what)
                yield WrongUnit(place, "the shop", what, unit, what, units_of(what))


def alone_a_break_comes_between(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.seen(PartialShop):
        pause = source.seen.second_reader
        if pause is None:
            continue
        if both := two_readings(pause, BREAK):
            place, meant = source.place("second_reader"), tuple(map(str, both))
            yield DoubtfulThousands(place, "the shop", "second_reader", str(pause), meant)
        elif not is_possible(pause.base, BREAK):
            yield BreakOutOfRange(source.place("second_reader"), str(pause))


def shops_go_by_a_clock_that_is_known(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.seen(PartialShop):
        zone = source.seen.time_zone
        if zone is not None and zone_of(zone) is None:
            yield UnknownTimeZone(source.place("time_zone"), zone, time_zones())


def wrenches_reach_from_mark_to_mark(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.seen(PartialShop):
        for at, one in held(source.seen.wrenches):
            low, high, step = one.from_.base, one.to.base, one.step.base
            if not (0 <= low < high and 0 < step <= high - low):
                place = source.place("wrenches", at, "from")
                yield WrenchRange(place, one.wrench, str(one.from_), str(one.to), str(one.step))


def tools_have_names_of_their_own(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.seen(PartialShop):
        wrenches = [("wrenches", at, "wrench", one.wrench) for at, one in held(source.seen.wrenches)]
        adapters = [("adapters", at, "adapter", one.adapter) for at, one in held(source.seen.adapters)]
        for tools in (wrenches, adapters):
            first: dict[str, int] = {}
            for group, at, key, name in tools:
                place = source.place(group, at, key)
                if name in first:
                    yield SameToolTwice(place, key, name, first[name])
                first.setdefault(name, place.line)


def words_of_the_trade_are_declared(shelf: _Shelf) -> Iterator[Fault]:
    """A source with a wrong word is put aside, because nobody knows what its conditions should leave out or bring in,
    or what its gates should wait for. So is one whose words may be in a trade file that cannot be read."""
    trades = shelf.seen(PartialTrade)
    facts, wrong_facts = check_facts.declared(trades)
    _, wrong_words = check_trade.declared(trades)
    yield from (*wrong_words, *wrong_facts)
    names = check_trade.names_in(trades)
    is_unread = any(source.stem == "trade" for source in shelf.unread)
    old = any(isinstance(fault, OldFactsFile) for source in shelf.unread for fault in source.faults)
    facts_told = is_unread or old or wrong_facts or any(not source.whole for source in trades)
    kinds = ("trade", "engine", "shop", "procedure", "failure_modes")
    if not trades and not is_unread:
        yield from islice(
            (fault for kind in kinds for one in shelf.by_kind[kind] for fault in _without_trade_file(one)), 1
        )
    for kind in kinds:
        whole = check_trade.names_in(source for source in trades if source.whole)
        for source in shelf.by_kind[kind]:
            uses = list(check_trade.uses_of(source))
            found = [*check_trade.wrong_uses(uses, names)] if trades and not is_unread else []
            if trades and not facts_told:
                found += check_facts.wrong_uses(check_facts.uses_of(source), facts)
            if found or any(use.word not in whole[use.section] for use in uses):
                source.noun = None
            yield from found


def explained_words_are_drawn(shelf: _Shelf) -> Iterator[Fault]:
    certain = not shelf.unread and not any(one.faults for kind in ("procedure", "trade") for one in shelf.by_kind[kind])
    yield from check_drawings(shelf.seen(PartialTrade), shelf.seen(PartialProcedure), certain)


def _without_trade_file(source: SourceFile[Seen]) -> Iterator[Fault]:
    for fact in check_facts.uses_of(source):
        example = f"facts: {{{fact.fact}: {{{fact.word}: What it means}}}}"
        yield NoTradeFile(fact.key_place, fact.thing, fact.fact, fact.word, example)
    for use in check_trade.uses_of(source):
        example = check_trade.EXAMPLES[use.section].format(word=use.word)
        yield NoTradeFile(use.place, use.thing, use.key, use.word, example)


def conditions_can_be_true(shelf: _Shelf) -> Iterator[Fault]:
    procedures = shelf.procedures
    for checked in shelf.whole(Procedure):
        yield from never_true(checked, procedures)


def kinds_are_all_there(shelf: _Shelf) -> Iterator[Fault]:
    """Runs before the rules: without procedures every value of a sheet would be called unused. Sources that were
    handed in without their folders may be part of something larger, and a file that could not be read may be of any
    kind."""
    if shelf.folders and not shelf.unread:
        procedures, shop = shelf.folders[0], shelf.folders[-1]
        for kind, folder in (("procedure", procedures), ("engine", shop), ("shop", shop)):
            if not shelf.by_kind[kind]:
                yield NoneOfKind(Place(folder), kind)


LibraryRule = Callable[[_Shelf], Iterator[Fault]]
_RULES: tuple[LibraryRule, ...] = (
    jobs_have_an_end,
    ids_are_file_names,
    ids_are_not_shared,
    one_shop_and_one_list_of_failures,
    initials_are_one_persons,
    jobs_name_what_exists,
    failure_modes_name_what_exists,
    steps_catch_known_failures,
    each_procedure,
    each_engine,
    readers_are_people_of_the_shop,
    somebody_works_here,
    each_table,
    shops_measure_what_is_known,
    alone_a_break_comes_between,
    shops_go_by_a_clock_that_is_known,
    wrenches_reach_from_mark_to_mark,
    tools_have_names_of_their_own,
    words_of_the_trade_are_declared,
    explained_words_are_drawn,
    conditions_can_be_true,
)
