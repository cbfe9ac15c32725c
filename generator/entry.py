"""The nouns of an entry, version 1, frozen: what every entry has, and what a phone writes in the value of each kind.

An entry that comes in is read by `Entry` alone. Its value may be of a kind that came later, so of the value no more is
asked than that each field has the form in which phones write it (VALUE_FIELDS, `journal/values`).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import Field

from generator.worksheet import Digest, Name, Noun, Text, later

# A figure goes into an entry as it was typed: the unit may have been left open.
Figure = int | float


class Entry(Noun):
    v: Annotated[int, Field(ge=1, le=10**6)]
    id: Annotated[str, Field(pattern=r"^[0-9a-f]{20,64}$")]
    job: Text
    device: Text
    writer: Text
    prev: Text
    lamport: Annotated[int, Field(ge=1, le=10**12)]
    at: Text
    who: Text
    sheet: Text
    step: Text
    part: Text
    kind: Text
    value: dict[Text, Any]
    seen: list[Text]


class Said(Noun):
    """What is in the value of an entry: a phone may leave out a field that is `later()`."""

    is_whole = False


class SourceSaid(Said):
    document: Text
    where: Text
    read: Text | None = later()
    by: Text | None = later()
    checked_by: Text | None = later()


class QuantitySaid(Said):
    number: Figure | Text
    unit: Text


class SelfSaid(Said):
    self: bool


class AdapterSaid(Said):
    length: Figure
    angle: Figure
    lever: Figure


class DespiteSaid(Said):
    results: list[Name]
    reason: Text


class Started(Said):
    number: Text
    vehicle: Text
    odometer: QuantitySaid | None = later()
    role: Text | None = later()
    procedure: Text | None = later()
    vin: Text | None = later()


class Corrected(Said):
    number: Text | None = later()
    vehicle: Text | None = later()
    odometer: QuantitySaid | None = later()
    vin: Text | None = later()
    reason: Text


class Adopted(Said):
    sheet: Digest


class Confirmed(Said):
    except_: list[Text] | None = later("except")
    same: Digest | None = later()


class Read(Said):
    text: Text | None = later()
    number: Figure | None = later()
    unit: Text | None = later()
    margin: QuantitySaid | None = later()
    source: SourceSaid | None = later()
    not_published: bool | None = later()
    sure: bool | None = later()
    second: SelfSaid | None = later()


class Checked(Said):
    """Of every kind of check-off, and a failed one."""

    set: Text | None = later()
    wrench: Text | None = later()
    adapter: AdapterSaid | None = later()
    new: bool | None = later()
    number: Figure | None = later()
    unit: Text | None = later()
    sure: bool | None = later()
    outcome: Text | None = later()
    note: Text | None = later()
    kept_at: Text | None = later()
    self: bool | None = later()
    despite: DespiteSaid | None = later()


class Settled(Checked, Read):
    """The chosen value, in the shape of what it settles."""


class Left(Said):
    reason: Text
    instead: Text | None = later()
    with_: Text | None = later("with")


class NotFitted(Said):
    reason: Text


class Refused(Said):
    how: Text
    told_by: Text
    price: Text | Figure | None = later()


class WentBack(Said):
    to: Text
    disturbs: list[Text]
    rest: list[Text]
    reason: Text


class TookOff(Said):
    label: Text
    kind: Text
    count: int
    list_: Literal["covers", "bay", "road"] | None = later("list")


class Added(Said):
    label: Text
    approved_by: Text
    how: Text
    price: Text | Figure | None = later()


class Counted(Said):
    count: int


class PutBack(Said):
    count: int
    reason: Text


class Elapsed(Said):
    seconds: Figure
    why: Text


class TookBack(Said):
    reason: Text | None = later()
    with_: Text | None = later("with")


class Declined(Said):
    reason: Text


class PassedOn(Said):
    to: Text | None = later()


class Nothing(Said):
    """An empty value."""


VALUES: Mapping[str, type[Said]] = {
    "start": Started,
    "correct": Corrected,
    "adopt": Adopted,
    "confirm": Confirmed,
    "read": Read,
    "check": Checked,
    "finish": Nothing,
    "settle": Settled,
    "skip": Left,
    "not-fitted": NotFitted,
    "refuse": Refused,
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
    """Field -> the fields of the noun that stands in it; () for a text, a number, a yes. A list is looked at by whoever
    reads it."""
    found: dict[str, tuple[str, ...]] = {}
    for name, field in noun.model_fields.items():
        kinds = (
            get_args(field.annotation) if get_origin(field.annotation) in (Union, UnionType) else (field.annotation,)
        )
        nouns = [kind for kind in kinds if isinstance(kind, type) and issubclass(kind, Said)]
        if nouns:
            found[field.alias or name] = tuple(inner for inner, of in _fields(nouns[0]).items() if not of)
        elif not any(get_origin(kind) is list for kind in kinds):
            found[field.alias or name] = ()
    return found


VALUE_FIELDS: Mapping[str, tuple[str, ...]] = {
    name: of for noun in dict.fromkeys(VALUES.values()) for name, of in _fields(noun).items()
}
