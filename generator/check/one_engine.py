"""What can be said of one engine sheet: each value says one thing, whole, with its source."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import islice

from generator.check.asked import AskedValues
from generator.check.checked import SourceFile
from generator.check.documents import place_of
from generator.check.partial import PartialEngine
from generator.faults import LISTED, Fault
from generator.faults import engine as faults
from generator.faults import torque as torquefaults
from generator.faults.shape import DoubtfulThousands, WrongUnit
from generator.model import QUANTITIES, EngineValue, ValueNeed
from generator.place import Place
from generator.quantities.fasteners.meant import NUT_CLASSES, meant_class, meant_thread, nearly_a_thread
from generator.quantities.fasteners.preload import class_of, known_classes, strength_of, thread_of
from generator.quantities.nearness import is_near
from generator.quantities.possible_ranges import (
    FIELD_RANGES,
    LIMITS,
    PossibleRange,
    is_possible,
    said_range,
    two_readings,
)
from generator.quantities.quantity import Quantity, doubtful
from generator.quantities.sources import says
from generator.quantities.units import from_base, units_of
from generator.tables import LEAST_SAID
from generator.worksheet import STRICTNESS

FIELDS = (*QUANTITIES, "text", "missing")
# What a field measures, where its name does not say it.
MEASURES = {"belt_mass": "belt-mass", "line_mass": "line-mass"}
# The fields that may hold a value of each kind; kinds that are not here are told in words.
FIELDS_OF: dict[str, tuple[str, ...]] = {
    "torque": ("torque", "angle"),
    "angle": ("angle",),
    "time": ("time",),
    "count": ("count",),
    "length": ("length",),
    "temperature": ("temperature",),
    "pressure": ("pressure",),
    "volume": ("volume",),
    "frequency": ("frequency",),
    "gauge": ("pressure",),
    "vacuum": ("pressure",),
    "distance": ("distance",),
    "age": ("age",),
    "share": ("share",),
    "number": ("number",),
    "belt-mass": ("belt_mass",),
    "line-mass": ("line_mass",),
    "force": ("force",),
    "mass": ("mass",),
    "voltage": ("voltage",),
    "current": ("current",),
    "resistance": ("resistance",),
    "power": ("power",),
    "flow": ("flow",),
    "concentration": ("concentration",),
    "order": ("text", "order"),
}


def written_fields(value: EngineValue) -> list[str]:
    """Return the value fields that are written."""
    return [key for key in FIELDS if getattr(value, key) is not None]


def fields_for(kinds: Iterable[str]) -> tuple[str, ...]:
    """Return the fields that these kinds of value allow; none when no kind is known."""
    return tuple(dict.fromkeys(key for kind in kinds for key in FIELDS_OF.get(kind, ("text",))))


@dataclass(frozen=True)
class ListedValue:
    """One value of an engine sheet while it is looked at, and what the procedures say of its name."""

    source: SourceFile[PartialEngine]
    name: str
    value: EngineValue
    kinds: tuple[str, ...]
    clip: bool
    needs: tuple[ValueNeed, ...] = ()

    def place(self, *loc: str | int) -> Place:
        return self.source.place("values", self.name, *loc)

    def key_place(self, *loc: str | int) -> Place:
        return self.source.key_place("values", self.name, *loc)

    @property
    def fields(self) -> list[str]:
        return written_fields(self.value)

    @property
    def wanted(self) -> tuple[str, ...]:
        return fields_for(self.kinds)


def check_engine(source: SourceFile[PartialEngine], asked: AskedValues) -> Iterator[Fault]:
    """Faults of one engine sheet. `asked` is what all procedures ask for."""
    for name, value in (source.seen.values or {}).items():
        if name not in asked.needs and asked.certain:
            yield faults.UnusedEngineValue(source.key_place("values", name), name, tuple(asked.needs))
        elif any(need is not None and need.of_the_day for need in asked.needs.get(name, [])):
            yield faults.ReadOnTheDay(source.key_place("values", name), name)
        elif value is not None:
            yield from _value(_look(source, name, value, asked))


def _look(source: SourceFile[PartialEngine], name: str, value: EngineValue, asked: AskedValues) -> ListedValue:
    needs = asked.needs.get(name, [])
    clip = value.fastener == "clip" or any(need is not None and need.fastener == "clip" for need in needs)
    return ListedValue(source, name, value, asked.kinds(name), clip, tuple(need for need in needs if need))


def _value(look: ListedValue) -> Iterator[Fault]:
    wrong = list(_says_one_thing(look))
    yield from wrong
    if not wrong and look.value.missing is None:
        yield from _source(look)
    yield from _milder(look)
    yield from _count(look)
    yield from _order(look)
    yield from _passes(look)
    yield from _tolerance(look)
    yield from _bolts(look)
    yield from _bolt_is_known(look)
    yield from _figures_that_can_be(look)
    yield from _width(look)
    yield from _says_where(look)


def _says_one_thing(look: ListedValue) -> Iterator[Fault]:
    written = look.fields
    if len(written) > 1:
        first, second = written[:2] if "missing" not in written else (written[0], "missing")
        line, text = look.key_place(first).line, look.value.shown or ""
        yield faults.TwoValues(look.key_place(second), look.name, first, second, line, text)
    elif written and written[0] != "missing":
        if look.kinds and written[0] not in look.wanted:
            kind = " or ".join(look.kinds)
            yield faults.WrongFieldForKind(look.key_place(written[0]), look.name, written[0], kind, look.wanted)
    elif not written and not _said_otherwise(look):
        yield faults.NoValue(look.key_place(), look.name, look.wanted or FIELDS[:-1])


def _said_otherwise(look: ListedValue) -> bool:
    """A count is its own value, an order too, and a clip needs none."""
    counted = look.value.count is not None and ("count" in look.wanted or not look.kinds)
    ordered = bool(look.value.order) and "order" in look.wanted
    return counted or ordered or look.clip


def _source(look: ListedValue) -> Iterator[Fault]:
    value = look.value
    if value.source is not None or value.at is not None or (look.clip and not look.fields):
        return
    documents = tuple(look.source.seen.documents or ())
    if value.torque is not None or value.angle is not None:
        yield faults.TorqueWithoutSource(look.key_place(), look.name, documents)
    else:
        yield faults.ValueWithoutSource(look.key_place(), look.name, documents)


def _milder(look: ListedValue) -> Iterator[Fault]:
    here = look.value.fastener
    asked = [need.fastener or "ordinary" for need in look.needs if need.kind in ("torque", "angle")]
    strictest = max(asked, key=STRICTNESS.__getitem__, default=None)
    if here and strictest and STRICTNESS[here] < STRICTNESS[strictest]:
        yield faults.FastenerMilder(look.place("fastener"), look.name, here, strictest)


def _count(look: ListedValue) -> Iterator[Fault]:
    value = look.value
    if value.count is not None or value.missing is not None:
        return
    said = {"passes": value.passes, "an order": value.order, "clips": look.clip, "reuse: no": value.reuse == "no"}
    why = next((why for why, is_said in said.items() if is_said), None)
    if why:
        key = {"passes": "passes", "an order": "order", "reuse: no": "reuse"}.get(why)
        yield faults.CountMissing(look.key_place(key) if key else look.key_place(), look.name, why)


def _order(look: ListedValue) -> Iterator[Fault]:
    count, order = look.value.count, Counter(look.value.order)
    if count is None or not order:
        return
    # A count may be large; nobody reads more than a row of the numbers left out.
    missing = tuple(islice((number for number in range(1, count + 1) if number not in order), LISTED + 1))
    wrong = tuple(number for number, times in sorted(order.items()) if times > 1 or not 1 <= number <= count)
    if missing or wrong:
        yield faults.OrderNotComplete(look.place("order"), look.name, count, missing, wrong)


def _passes(look: ListedValue) -> Iterator[Fault]:
    value = look.value
    for key in ("passes", "then"):
        if getattr(value, key) and value.torque is None and not (key == "then" and value.angle):
            yield faults.OnlyWithTorque(look.key_place(key), look.name, key)
    if value.passes and value.torque is not None and value.passes[-1] != value.torque:
        place = look.place("passes", len(value.passes) - 1)
        yield faults.PassesEndElsewhere(place, look.name, str(value.passes[-1]), str(value.torque))


def _tolerance(look: ListedValue) -> Iterator[Fault]:
    """A tolerance is in percent or in what the value itself is in."""
    if look.value.tolerance is None or len(look.fields) != 1 or look.fields[0] in ("text", "number", "missing"):
        return
    unit, what = look.value.tolerance.unit, MEASURES.get(look.fields[0], look.fields[0])
    units = ("%", *units_of(what), *(units_of("warmth") if what == "temperature" else ()))
    if unit not in units:
        thing = f'value "{look.name}"'
        yield WrongUnit(look.place("tolerance"), thing, "tolerance", unit, what, units)


OF_A_BOLT = FIELD_RANGES["bolt-length"]


def _figures_that_can_be(look: ListedValue) -> Iterator[Fault]:
    for loc, said in _quantities(look.value):
        key = str(loc[0])
        kind = _kind(look, key)
        limit = OF_A_BOLT if key == BOLT else LIMITS.get(kind)
        thing = f'value "{look.name}"'
        if both := two_readings(said, _expected(limit, look.needs) if loc == (key,) else limit):
            yield DoubtfulThousands(look.place(*loc), thing, key, str(said), tuple(map(str, both)))
        elif limit and not is_possible(said.base, limit):
            yield faults.ImpossibleFigure(look.place(*loc), thing, key, str(said), limit.why, said_range(limit))
        elif loc == (key,):
            ends = (end for need in look.needs for end in _ends_beyond(need, said))
            yield from (faults.OutsideItsRange(look.place(*loc), look.name, str(said), *end) for end in islice(ends, 1))
    # "none", of which there are 0, is an answer; bolts and teeth are there at least once.
    count, limit = look.value.count, LIMITS["count"]
    if count is not None and not is_possible(count, limit) and not (count == 0 and look.value.text):
        thing = f'value "{look.name}"'
        yield faults.ImpossibleFigure(look.place("count"), thing, "count", str(count), limit.why, said_range(limit))


def _expected(limit: PossibleRange | None, needs: Iterable[ValueNeed]) -> PossibleRange | None:
    """Return what a figure can be, narrowed to what the procedures expect of this value."""
    if limit is None:
        return None
    low = [from_base(need.from_.base, limit.unit) for need in needs if need.from_]
    high = [from_base(need.to.base, limit.unit) for need in needs if need.to]
    return replace(limit, low=max([limit.low, *low]), high=min([limit.high, *high])) if low or high else limit


def _ends_beyond(need: ValueNeed, said: Quantity) -> Iterator[tuple[str, str]]:
    """Yield each end of what a procedure expects that a figure lies beyond: `at most` or `at least`, and the end."""
    low, high = need.from_, need.to
    if high is not None and said.base > high.base and not is_near(said.base, high.base):
        yield "at most", str(high)
    if low is not None and said.base < low.base and not is_near(said.base, low.base):
        yield "at least", str(low)


def _quantities(value: EngineValue) -> Iterator[tuple[tuple[str | int, ...], Quantity]]:
    """Every figure, and where it stands."""
    for key in QUANTITIES:
        if getattr(value, key) is not None:
            yield (key,), getattr(value, key)
    for key in ("then", "passes"):
        for at, pull in enumerate(getattr(value, key)):
            yield (key, at), pull
    for key in ("engaged", "grip"):
        if value.bolt is not None and getattr(value.bolt, key) is not None:
            yield (BOLT, key), getattr(value.bolt, key)


def _kind(look: ListedValue, key: str) -> str:
    """What a figure measures, by its field and, of a pressure, by the gauge that the procedures ask for."""
    kind = {"then": "angle", "passes": "torque", "bolt": "length", **MEASURES}.get(key, key)
    if kind == "pressure":
        kind = next((gauge for gauge in ("vacuum", "gauge") if gauge in look.kinds), kind)
    return kind


# Of these nothing is a figure like another: a depth of 0 mm may be off by 0.2 mm, 0 degC by 3 K.
WITHOUT_SIZE = ("length", "temperature", "share", "text", "missing", "number")


def _width(look: ListedValue) -> Iterator[Fault]:
    value, fields = look.value, look.fields
    if value.tolerance is None or len(fields) != 1 or value.quantity is None:
        return
    off, said = value.tolerance, value.quantity
    both = doubtful(off, lambda one: one.figure > 0 and not _is_wide(one, said, fields[0]))
    if both:
        thing = f'value "{look.name}"'
        yield DoubtfulThousands(look.place("tolerance"), thing, "tolerance", str(off), tuple(map(str, both)))
    elif off.figure <= 0 or _is_wide(off, said, fields[0]):
        yield faults.ToleranceTooWide(look.place("tolerance"), look.name, str(off), str(said))


def _is_wide(off: Quantity, said: Quantity, field: str) -> bool:
    """True if a tolerance is as wide as its value."""
    if off.unit == "%":
        return off.figure >= 100
    return field not in WITHOUT_SIZE and off.kind == said.kind and off.base >= said.base > 0


def _says_where(look: ListedValue) -> Iterator[Fault]:
    """A source has words for the document and for the place. Those of a document that is named once are its own."""
    source = look.value.source
    if source is None:
        return
    loc = place_of(look.name, look.value)
    for key, least in LEAST_SAID.items():
        if not says(getattr(source, key), least) and (key == "where" or look.value.at is None):
            yield faults.SourceSaysNothing(look.source.place(*loc, key), look.name, key, getattr(source, key))


BOLT = "bolt"  # the key of a value that says which one it is
_NUMBERED = re.compile(r"[0-9]+(?:[.,][0-9]+)?|[aA][0-9]-[0-9]+|(?:sae )?grade [0-9.]+")


def _bolt_is_known(look: ListedValue) -> Iterator[Fault]:
    """A thread that looks like one of a standard is one, and so is a class, in this size. Words such as brass are the
    lead's own."""
    bolt = look.value.bolt
    if bolt is None:
        return
    if nearly_a_thread(bolt.thread):
        meant = meant_thread(bolt.thread)
        yield torquefaults.NotAThread(look.place(BOLT, "thread"), look.name, bolt.thread, str(meant) if meant else None)
    said, thread = (bolt.class_ or "").strip(), thread_of(bolt.thread)
    is_of_nut = said in NUT_CLASSES and not (thread and thread.inch)
    if not _NUMBERED.fullmatch(said) or is_of_nut:
        return
    cls = class_of(said)
    if cls not in known_classes(None) or (thread and strength_of(cls, thread) is None):
        place, known, meant_cls = look.place(BOLT, "class"), known_classes(thread), meant_class(said)
        meant_cls = meant_cls if meant_cls in known and meant_cls != cls else None
        yield torquefaults.NoSuchClass(place, look.name, said, bolt.thread, known, meant_cls)


def _bolts(look: ListedValue) -> Iterator[Fault]:
    """What is said of bolts beside their torque: where they stand, how they rub."""
    value = look.value
    if look.kinds and not {"torque", "angle"} & set(look.kinds):
        said = (key for key in ("positions", "pattern", "friction", "condition") if getattr(value, key))
        yield from (torquefaults.MapWithoutBolts(look.key_place(key), look.name, key) for key in said)
        return
    odd = [at for at, position in enumerate(value.positions) if len(position) != 2]
    for at in odd:
        yield torquefaults.PositionNotTwo(look.place("positions", at), look.name, len(value.positions[at]))
    if value.positions and not odd and len(value.positions) != (value.count or 1):
        yield torquefaults.PositionsNotCount(
            look.key_place("positions"), look.name, len(value.positions), value.count or 1
        )
    rubs = value.friction
    can_be = FIELD_RANGES["friction"]
    if rubs and not can_be.low <= float(rubs.from_) < float(rubs.to) <= can_be.high:
        yield torquefaults.FrictionTurned(look.key_place("friction"), look.name, rubs.from_, rubs.to)


def all_asked(parts: Iterable[AskedValues], certain: bool) -> AskedValues:
    """What several procedures ask for, taken together. `certain`: no file is left that could ask for more."""
    out = AskedValues(certain=certain)
    for part in parts:
        out.certain = out.certain and part.certain
        for name, needs in part.needs.items():
            out.add(name, needs)
    return out
