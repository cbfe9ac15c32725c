"""The nouns of an entry, version 1, frozen: what every entry has, and what a phone writes in the value of each kind.

An incoming entry is read by `WrittenEntry` alone. Its value may be of a later kind, so the value only needs each known
field in the form that phones write (VALUE_FIELDS, `journal/values`).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import UnionType
from typing import Annotated, Any, Union, get_args, get_origin

from pydantic import Field

from generator.table_names import EntryKind
from generator.worksheet import Digest, SheetName, SheetNoun, SheetText, later

# An entry holds a figure as it was typed, so the unit may be missing.
Figure = int | float


class WrittenEntry(SheetNoun):
    v: Annotated[int, Field(ge=1, le=10**6)]
    id: Annotated[str, Field(pattern=r"^[0-9a-f]{20,64}$")]
    job: SheetText
    device: SheetText
    writer: SheetText
    prev: SheetText
    lamport: Annotated[int, Field(ge=1, le=10**12)]
    at: SheetText
    who: SheetText
    sheet: SheetText
    step: SheetText
    part: SheetText
    kind: SheetText
    value: dict[SheetText, Any]
    seen: list[SheetText]


class Said(SheetNoun):
    """What is in the value of an entry: a phone may leave out a field that is `later()`."""

    is_whole = False


class SourceSaid(Said):
    document: SheetText
    where: SheetText
    read: SheetText | None = later()
    by: SheetText | None = later()
    checked_by: SheetText | None = later()


class QuantitySaid(Said):
    number: Figure | SheetText
    unit: SheetText


class LocalSaid(Said):
    """What the clocks in the shop showed: the day as 2027-03-01, in the shop's time zone or else the phone's own."""

    day: SheetText
    time_zone: SheetText | None = later()  # IANA name


class SelfSaid(Said):
    self: bool


class AdapterSaid(Said):
    length: Figure
    angle: Figure
    lever: Figure


class DespiteSaid(Said):
    results: list[SheetName]
    reason: SheetText


class Started(Said):
    number: SheetText
    vehicle: SheetText
    odometer: QuantitySaid | None = later()
    role: SheetText | None = later()
    procedure: SheetText | None = later()
    vin: SheetText | None = later()
    more: dict[SheetText, SheetText] | None = later()  # the other boxes of the start form, by name
    local: LocalSaid | None = later()


class Corrected(Said):
    number: SheetText | None = later()
    vehicle: SheetText | None = later()
    odometer: QuantitySaid | None = later()
    vin: SheetText | None = later()
    more: dict[SheetText, SheetText] | None = later()
    reason: SheetText


class Adopted(Said):
    sheet: Digest


class Confirmed(Said):
    except_: list[SheetText] | None = later("except")
    same: Digest | None = later()


class ReadOff(Said):
    text: SheetText | None = later()
    number: Figure | None = later()
    unit: SheetText | None = later()
    margin: QuantitySaid | None = later()
    source: SourceSaid | None = later()
    not_published: bool | None = later()
    sure: bool | None = later()
    second: SelfSaid | None = later()


class CheckedOff(Said):
    """Of every kind of check-off, and a failed one."""

    set: SheetText | None = later()
    wrench: SheetText | None = later()
    adapter: AdapterSaid | None = later()
    new: bool | None = later()
    number: Figure | None = later()
    unit: SheetText | None = later()
    sure: bool | None = later()
    outcome: SheetText | None = later()
    note: SheetText | None = later()
    kept_at: SheetText | None = later()
    self: bool | None = later()
    permit: SheetText | None = later()
    despite: DespiteSaid | None = later()


class Settled(CheckedOff, ReadOff):
    """The chosen value, in the shape of what it settles."""


class Left(Said):
    reason: SheetText
    instead: SheetText | None = later()
    with_: SheetText | None = later("with")


class NotFitted(Said):
    reason: SheetText


class WorkRefused(Said):
    how: SheetText
    told_by: SheetText
    price: SheetText | Figure | None = later()


class WentBack(Said):
    to: SheetText
    disturbs: list[SheetText]
    rest: list[SheetText]
    reason: SheetText


class TookOff(Said):
    label: SheetText
    kind: SheetText
    count: int
    list_: SheetText | None = later("list")


class Added(Said):
    label: SheetText
    approved_by: SheetText
    how: SheetText
    price: SheetText | Figure | None = later()


class Counted(Said):
    count: int


class PutBack(Said):
    count: int
    reason: SheetText
    opened: list[SheetText] | None = later()


class Elapsed(Said):
    seconds: Figure
    why: SheetText


class TookBack(Said):
    reason: SheetText | None = later()
    with_: SheetText | None = later("with")


class Declined(Said):
    reason: SheetText


class PassedOn(Said):
    to: SheetText | None = later()


class Nothing(Said):
    """An empty value."""


VALUES: Mapping[EntryKind, type[Said]] = {
    "start": Started,
    "correct": Corrected,
    "adopt": Adopted,
    "confirm": Confirmed,
    "read": ReadOff,
    "check": CheckedOff,
    "finish": Nothing,
    "settle": Settled,
    "skip": Left,
    "not-fitted": NotFitted,
    "refuse": WorkRefused,
    "depart": Left,
    "back": WentBack,
    "not-disturbed": Nothing,
    "took-off": TookOff,
    "extra": Added,
    "count": Counted,
    "put-back": PutBack,
    "elapsed": Elapsed,
    "take-back": TookBack,
    "decline": Declined,
    "pass-on": PassedOn,
    "receive": Nothing,
}


def _fields(noun: type[Said]) -> dict[str, tuple[str, ...]]:
    """Return each field with the fields of the noun inside it, or () for a text, a number or a yes. Lists and
    groups are left out: whoever reads one checks it."""
    found: dict[str, tuple[str, ...]] = {}
    for name, field in noun.model_fields.items():
        kinds = (
            get_args(field.annotation) if get_origin(field.annotation) in (Union, UnionType) else (field.annotation,)
        )
        nouns = [kind for kind in kinds if isinstance(kind, type) and issubclass(kind, Said)]
        if nouns:
            found[field.alias or name] = tuple(inner for inner, of in _fields(nouns[0]).items() if not of)
        elif not any(get_origin(kind) in (list, dict) for kind in kinds):
            found[field.alias or name] = ()
    return found


VALUE_FIELDS: Mapping[str, tuple[str, ...]] = {
    name: of for noun in dict.fromkeys(VALUES.values()) for name, of in _fields(noun).items()
}
