"""All files of a shop together: which kind each is, which id it has, and the names between files."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import PurePosixPath
from typing import Any

from generator.check import extent
from generator.check.asked import asked_by, asked_by_includes, held, steps_of
from generator.check.checked import Checked, Library
from generator.check.facts import declared, never_true, uses_of, wrong_uses
from generator.check.fitting_units import MEASURED, units_of
from generator.check.nouns import Found, build
from generator.check.one_engine import all_asked, check_engine
from generator.check.one_procedure import check_procedure
from generator.check.one_table import check_table
from generator.check.result_formulas import Bench
from generator.faults import Fault, in_order
from generator.faults.engine import BreakOutOfRange
from generator.faults.fact import NoFactsFile
from generator.faults.folder import NoneOfKind, NotReadForName
from generator.faults.formula import NoSuchInspection, UnknownTable
from generator.faults.names import (
    FileNameNotId,
    OneOnly,
    SameIdTwice,
    SameInitialsTwice,
    SameRowTwice,
    UnknownEngine,
    UnknownFailureMode,
    UnknownProcedure,
)
from generator.faults.result import ShopMeasures
from generator.faults.shape import UnknownKindOfFile, WrongUnit
from generator.faults.source import EmptyFile, OddFileName
from generator.faults.torque import SameToolTwice, WrenchRange
from generator.inputs import door
from generator.inputs.read import MapNode, Node, ScalarNode, read
from generator.model import KINDS
from generator.place import Place

LEAST_BREAK, MOST_BREAK = 60, 86_400  # seconds
NAMED_BY_FILE = {"procedure": "procedure", "engine": "engine sheet", "table": "table"}


@dataclass
class SourceFile:
    """One file on its way into the library. `noun` may have holes; `whole` says that it has none."""

    file: str
    kind: str = ""
    node: MapNode | None = None
    noun: Any = None
    whole: bool = False
    faults: list[Fault] = field(default_factory=list)

    @property
    def stem(self) -> str:
        return PurePosixPath(self.file).stem

    @property
    def id(self) -> str:
        node = self.node.get(self.kind) if self.node else None
        return node.text if isinstance(node, ScalarNode) else ""

    @property
    def id_place(self) -> Place:
        return self.checked.place(self.kind)

    @property
    def checked(self) -> Checked[Any]:
        assert self.node is not None
        return Checked(self.noun, self.node, self.file)


def shelve(texts: Mapping[str, str | bytes]) -> tuple[Library, list[Fault]]:
    """See `check_all`."""
    endless = list(door.too_many(texts))
    if endless:
        return Library(), endless
    outside = door.files_of(texts)
    if outside.missing:
        return Library(), in_order([*outside.missing, *outside.refused])
    sources = [*(_source(file, texts[file]) for file in sorted(texts)), *map(_not_read, outside.refused)]
    by_kind: dict[str, list[SourceFile]] = defaultdict(list)
    for source in sources:
        by_kind[source.kind].append(source)
    wrong = [fault for source in sources for fault in source.faults]
    shelf = _Shelf(sources, by_kind, outside.folders)
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
    bench = Bench(library.procedures, library.tables)
    results = {name: bench.work(name) for name in sorted(library.procedures)}
    found = [fault for fault in bench.faults if not (broken and _may_stand_elsewhere(fault))]
    return replace(library, results=results), found


def _may_stand_elsewhere(fault: Fault) -> bool:
    return isinstance(fault, UnknownProcedure | UnknownTable | NoSuchInspection)


def _source(file: str, text: str | bytes) -> SourceFile:
    odd = door.odd_letter(file)
    node, wrong = read(text, file) if odd is None else (None, [OddFileName(Place(file), odd)])
    source = SourceFile(file, faults=list(wrong))
    if node is None and wrong:
        return source
    kind = _kind_of(node, source)
    if kind:
        found = Found()
        source.kind, source.node = kind, node if isinstance(node, MapNode) else None
        source.noun, source.whole = build(source.node or MapNode([], Place(file)), KINDS[kind], found)
        source.whole = source.whole and not wrong
        source.faults.extend(found.faults)
    return source


def _not_read(fault: Fault) -> SourceFile:
    """Return a file that is in the folder but was not read. It may hold any name, its own first."""
    own = fault.name if isinstance(fault, NotReadForName) else PurePosixPath(fault.place.file).name
    return SourceFile(str(PurePosixPath(fault.place.file).parent / own), faults=[fault])


def _kind_of(node: Node | None, source: SourceFile) -> str | None:
    kinds = tuple(KINDS)
    if node is None or (isinstance(node, ScalarNode) and not node.text):
        source.faults.append(EmptyFile(Place(source.file), kinds))
        return None
    keys = [key.text for key, _ in node.entries] if isinstance(node, MapNode) else []
    if keys and keys[0] == "procedure" and "vehicle" in keys and "stages" not in keys:
        return "job"  # its number is missing, or further down
    elsewhere = next((key for key in keys[keys[:1] == ["facts"] :] if key in KINDS), None)
    if keys and keys[0] in KINDS and not (keys[0] == "facts" and elsewhere):  # an engine or a shop has facts as well
        return keys[0]
    source.faults.append(UnknownKindOfFile(node.place, keys[0] if keys else "", kinds, elsewhere))
    return None


@dataclass
class _Shelf:
    sources: list[SourceFile]
    by_kind: Mapping[str, list[SourceFile]]
    folders: tuple[str, ...] = ()

    def ids(self, kind: str) -> set[str]:
        return {source.id for source in self.by_kind[kind]}

    @property
    def unread(self) -> list[SourceFile]:
        """Return files whose kind is not known. They may hold any name."""
        return self.by_kind[""]

    @property
    def procedures(self) -> dict[str, Any]:
        """Return procedures by id, also those with holes. Of two with the same id the first counts."""
        return {source.id: source.noun for source in reversed(self.by_kind["procedure"])}

    def known(self, kind: str, name: str) -> bool:
        """True if this name is the id of something of this kind, or may be once a broken file can be read."""
        return name in self.ids(kind) or any(source.stem == name for source in self.unread)

    def library(self) -> Library:
        def whole(kind: str) -> dict[str, Checked[Any]]:
            # Of two with the same id the first stays; the second has its fault.
            return {source.id: source.checked for source in reversed(self.by_kind[kind]) if source.whole}

        shops, failures = list(whole("shop").values()), list(whole("failure_modes").values())
        broken = {name for source in self.sources if not source.whole for name in (source.id, source.stem) if name}
        return Library(
            procedures=whole("procedure"),
            engines=whole("engine"),
            jobs=whole("job"),
            shop=shops[-1] if shops else None,
            failure_modes=failures[-1] if failures else None,
            tables=whole("table"),
            facts=declared(source.checked for source in self.by_kind["facts"] if source.whole)[0],
            broken=frozenset(broken),
            files=tuple(source.file for source in self.sources),
            folders=self.folders,
        )


def _in_order(names: set[str]) -> tuple[str, ...]:
    return tuple(sorted(name for name in names if name))


# --- Rules between files --------------------------------------------------------------------------------------------


def jobs_have_an_end(shelf: _Shelf) -> Iterator[Fault]:
    """Runs first. A procedure that is too long to unfold is put aside, and no other rule follows its includes."""
    nouns = shelf.procedures
    wrong = extent.too_long({id: noun for id, noun in nouns.items() if noun is not None})
    told = set(extent.first_to_tell(wrong, nouns))
    for source in shelf.by_kind["procedure"]:
        if source.id in wrong:
            if source.id in told and source.noun is nouns[source.id]:
                yield extent.fault_of(source.id, wrong[source.id], source.checked)
            source.noun, source.whole = None, False


def ids_are_file_names(shelf: _Shelf) -> Iterator[Fault]:
    for kind, word in NAMED_BY_FILE.items():
        for source in shelf.by_kind[kind]:
            if source.id and source.id != source.stem:
                yield FileNameNotId(source.id_place, word, source.id, source.stem)


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
            yield OneOnly(source.checked.place(), word, shelf.by_kind[kind][0].file)


def initials_are_one_persons(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.by_kind["shop"]:
        first: dict[str, int] = {}
        for at, person in held(source.noun, "people"):
            place = source.checked.place("people", at, "initials")
            if person.initials in first:
                yield SameInitialsTwice(place, person.initials, first[person.initials])
            first.setdefault(person.initials, place.line)


def jobs_name_what_exists(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.by_kind["job"]:
        if source.noun is None:
            continue
        job, thing = source.noun, f'job "{source.id}"'
        if not shelf.known("procedure", job.procedure):
            place = source.checked.place("procedure")
            yield UnknownProcedure(place, thing, job.procedure, _in_order(shelf.ids("procedure")))
        if not shelf.known("engine", job.engine):
            place = source.checked.place("engine")
            yield UnknownEngine(place, thing, job.engine, _in_order(shelf.ids("engine")))


def failure_modes_name_what_exists(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.by_kind["failure_modes"]:
        first: dict[str, int] = {}
        for at, row in held(source.noun, "failure_modes"):
            place = source.checked.place("failure_modes", at, "row")
            if row.row in first:
                yield SameRowTwice(place, row.row, first[row.row])
            first.setdefault(row.row, place.line)
            for where, name in enumerate(row.where):
                if not shelf.known("procedure", name):
                    place = source.checked.place("failure_modes", at, "where", where)
                    thing = f'failure mode "{row.row}"'
                    yield UnknownProcedure(place, thing, name, _in_order(shelf.ids("procedure")))


def steps_catch_known_failures(shelf: _Shelf) -> Iterator[Fault]:
    rows = {row.row for source in shelf.by_kind["failure_modes"] for _, row in held(source.noun, "failure_modes")}
    if any(not source.whole for source in shelf.by_kind["failure_modes"]):
        return
    if any(source.stem == "failure_modes" for source in shelf.unread):
        return
    unknown = (
        UnknownFailureMode(source.checked.place(*loc, "catches", at), f'step "{step.id}"', name, _in_order(rows))
        for source in shelf.by_kind["procedure"]
        for loc, step in steps_of(source.noun)
        for at, name in enumerate(step.catches)
        if name not in rows
    )
    # If there is no list of failure modes at all, one message says so.
    yield from unknown if rows else islice(unknown, 1)


def each_procedure(shelf: _Shelf) -> Iterator[Fault]:
    nouns = shelf.procedures
    for source in shelf.by_kind["procedure"]:
        if source.noun is not None:
            includes = asked_by_includes(source.id, nouns, not shelf.unread)
            yield from check_procedure(source.checked, includes, source.whole)


def each_engine(shelf: _Shelf) -> Iterator[Fault]:
    nouns, certain = shelf.procedures, not shelf.unread
    asked = all_asked((asked_by(id, nouns, certain) for id in nouns), certain)
    for source in shelf.by_kind["engine"]:
        if source.noun is not None:
            yield from check_engine(source.checked, asked)


def each_table(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.by_kind["table"]:
        if source.whole:
            wrong = list(check_table(source.checked))
            source.whole = not wrong
            yield from wrong


def shops_measure_what_is_known(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.by_kind["shop"]:
        for what, unit in (getattr(source.noun, "units", None) or {}).items():
            if what not in MEASURED:
                yield ShopMeasures(source.checked.key_place("units", what), what, MEASURED)
            elif unit is not None and unit not in units_of(what):
                place = source.checked.place("units", what)
                yield WrongUnit(place, "the shop", what, unit, what, units_of(what))


def alone_a_break_comes_between(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.by_kind["shop"]:
        pause = getattr(source.noun, "second_reader", None)
        if pause is not None and not LEAST_BREAK <= pause.base <= MOST_BREAK:
            yield BreakOutOfRange(source.checked.place("second_reader"), str(pause))


def wrenches_reach_from_mark_to_mark(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.by_kind["shop"]:
        for at, one in held(source.noun, "wrenches"):
            low, high, step = one.from_.base, one.to.base, one.step.base
            if not (0 <= low < high and 0 < step <= high - low):
                place = source.checked.place("wrenches", at, "from")
                yield WrenchRange(place, one.wrench, str(one.from_), str(one.to), str(one.step))


def tools_have_names_of_their_own(shelf: _Shelf) -> Iterator[Fault]:
    for source in shelf.by_kind["shop"]:
        for group, key in (("wrenches", "wrench"), ("adapters", "adapter")):
            first: dict[str, int] = {}
            for at, one in held(source.noun, group):
                place, name = source.checked.place(group, at, key), getattr(one, key)
                if name in first:
                    yield SameToolTwice(place, key, name, first[name])
                first.setdefault(name, place.line)


def facts_have_their_words(shelf: _Shelf) -> Iterator[Fault]:
    """A source with a wrong word is put aside, because nobody knows what its conditions should leave out or bring
    in."""
    files = shelf.by_kind["facts"]
    facts, wrong = declared(source.checked for source in files)
    yield from wrong
    told = wrong or any(not source.whole for source in files) or any(source.stem == "facts" for source in shelf.unread)
    for kind in ("engine", "shop", "procedure", "failure_modes"):
        for source in shelf.by_kind[kind]:
            if source.noun is None or told:
                continue
            uses = list(uses_of(kind, source.checked))
            if uses and not files:
                first, told = uses[0], True
                yield NoFactsFile(first.key_place, first.thing, first.fact, first.word)
            elif found := list(wrong_uses(uses, facts)):
                source.whole = False
                yield from found


def conditions_can_be_true(shelf: _Shelf) -> Iterator[Fault]:
    nouns = shelf.procedures
    for source in shelf.by_kind["procedure"]:
        if source.whole:
            yield from never_true(source.checked, nouns)


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
    each_table,
    shops_measure_what_is_known,
    alone_a_break_comes_between,
    wrenches_reach_from_mark_to_mark,
    tools_have_names_of_their_own,
    facts_have_their_words,
    conditions_can_be_true,
)
