"""Every way a sheet or the shop file can be wrong, beyond its form."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault
from generator.faults.document import at
from generator.faults.wording import excerpt, listing, nearest

_SOURCE = "Add:  source: {document: Workshop manual, where: page 118, read: 2026-10-02, by: KS}"
_AT = 'Add the place in the document that this sheet names:  at: "section 4, page 118"'


def _source(documents: tuple[str, ...]) -> str:
    if len(documents) > 1:
        return f"Add the place in one of this sheet's documents:  {at(documents[0], 'section 4, page 118')}"
    return _AT if documents else _SOURCE


@dataclass(frozen=True)
class UnusedEngineValue(Fault):
    """A sheet gives a value that no procedure asks for. Most often the name is spelled
    differently there."""

    name: str
    known: tuple[str, ...]

    said = 'no procedure asks for value "{name}".'

    @property
    def write(self) -> str:
        near = nearest(self.name, self.known)
        return f'Did you mean "{near}"? If not, delete it.' if near else "Delete it, or declare it in a procedure."


@dataclass(frozen=True)
class ReadOnTheDay(Fault):
    """A figure that changes from day to day is read in the shop. Written in a sheet, it would be wrong on every other
    day, in silence."""

    name: str

    said = "value {name:quoted} is read in the shop on the day of the job. No sheet can know it."
    write = "Delete {name:quoted} here. On the day, the phone works it out or asks for it."


@dataclass(frozen=True)
class NoValue(Fault):
    """An empty value is not the same as a missing one: the phone asks for a missing value."""

    name: str
    wanted: tuple[str, ...]

    @property
    def said(self) -> str:
        return f'value "{self.name}" has neither {" nor ".join((*self.wanted, "missing"))}.'

    write = "Write {wanted[0]} with its source, or a reason:  missing: not in our manual"


@dataclass(frozen=True)
class TwoValues(Fault):
    """One name, one value. A second one would be shown or dropped by chance."""

    name: str
    first: str
    second: str
    line: int  # of the first
    text: str  # what the first one says

    said = 'value "{name}" has both {first} and {second}.'

    @property
    def write(self) -> str:
        if self.second == "missing":
            keep = f"Delete this line if {excerpt(self.text)} was read in the document"
            return f'{keep}. If it was not, delete line {self.line}, "{self.first}:", with what belongs to it.'
        return "Keep one of the two. Give the other a name of its own."


@dataclass(frozen=True)
class WrongFieldForKind(Fault):
    """A procedure asks for a value of one kind, and the sheet gives one of another."""

    name: str
    found: str
    kind: str
    wanted: tuple[str, ...]

    said = 'value "{name}" has {found}, but the procedures ask for its {kind}.'
    write = "Write {wanted:or} instead of {found}."


@dataclass(frozen=True)
class TorqueWithoutSource(Fault):
    """A torque is only as good as the page it was read from. Without a source it is a guess that nobody can check."""

    name: str
    documents: tuple[str, ...]

    said = 'torque "{name}" does not say where it was read.'

    @property
    def write(self) -> str:
        return _source(self.documents)


@dataclass(frozen=True)
class ValueWithoutSource(Fault):
    """Waiting times, counts, directions, fluids: like a torque, each says where it was read."""

    name: str
    documents: tuple[str, ...]

    said = 'value "{name}" does not say where it was read.'

    @property
    def write(self) -> str:
        return _source(self.documents)


@dataclass(frozen=True)
class CountMissing(Fault):
    """Passes, an order and clips are done one by one, and new bolts are ordered by the number, so the phone has to know
    how many there are."""

    name: str
    why: str

    said = 'value "{name}" has {why}, but no count.'
    write = "Say how many there are, for example:  count: 6"


@dataclass(frozen=True)
class FastenerMilder(Fault):
    """A sheet may make a fastener stricter than the procedures do, never milder: a critical bolt called a clip would be
    tightened without a torque, and nobody would ask for one."""

    name: str
    said_here: str
    asked: str

    said = 'value "{name}" says fastener: {said_here}, but the procedures tighten it as {asked}.'
    write = (
        "Write  fastener: {asked}  or leave it out. If there are no such bolts here, say so in place of the torque,"
        " for example:  missing: Spring clips, no bolts"
    )


@dataclass(frozen=True)
class OrderNotComplete(Fault):
    """The tightening order names every bolt from 1 to the count once."""

    name: str
    count: int
    missing: tuple[int, ...]
    wrong: tuple[int, ...]

    @property
    def said(self) -> str:
        parts = []
        if self.missing:
            parts.append(f"leaves out {listing(map(str, self.missing))}")
        if self.wrong:
            parts.append(f"has {listing(map(str, self.wrong))} too often or out of range")
        return f'the order of value "{self.name}" {" and ".join(parts)}.'

    write = "Write each number from 1 to {count} once."


@dataclass(frozen=True)
class PassesEndElsewhere(Fault):
    """The last pass is the torque itself. If they differ, one of the two is a slip, and nobody knows which."""

    name: str
    last: str
    torque: str

    said = 'the passes of value "{name}" end at {last}, but its torque is {torque}.'
    write = "Look it up again. The last pass is the torque, written the same way."


@dataclass(frozen=True)
class OnlyWithTorque(Fault):
    """Passes and angle stages belong to a torque; angle stages alone are written as `angle`."""

    name: str
    key: str

    said = 'value "{name}" has {key}, but no torque.'
    write = "Add the torque, or delete {key}."


@dataclass(frozen=True)
class ImpossibleFigure(Fault):
    """A figure that can't be right for any engine: a torque of zero, a vacuum deeper than the air is
    heavy. It is a slip, and the phone would ask somebody to work by it."""

    thing: str
    key: str
    text: str
    why: str
    can_be: str

    said = '{thing} has {text} after "{key}", which can\'t be right. {why}.'
    write = "Write what the source says, {can_be}, or:  missing: the figure in the manual can't be right"


@dataclass(frozen=True)
class OutsideItsRange(Fault):
    """A figure that is possible somewhere on an engine, and not here: a cap of 1100 kPa is a slip of ten, though a
    fuel rail has more."""

    name: str
    text: str
    end: str
    limit: str

    said = 'value "{name}" is {text}, but the procedures expect {end} {limit}.'
    write = "Look it up again. If it is right, change from and to of {name:quoted} in the procedures that use it."


@dataclass(frozen=True)
class BreakOutOfRange(Fault):
    """A person working alone reads a critical value twice, with a break between. Without a break it is one look, and a
    break of more than a day stops the job."""

    text: str

    said = 'the shop has {text} after "second_reader", which is too short or too long for a break.'
    write = (
        "Write how long a person working alone waits before the second reading, 1 min to 24 h:  second_reader: 10 min"
    )


@dataclass(frozen=True)
class UnknownTimeZone(Fault):
    """A shop's days are those of its own clocks. By another clock a date is reached a day early or late,
    and nobody sees it."""

    zone: str
    known: tuple[str, ...]

    said = "the shop is in time zone {zone:quoted}, which the IANA time zone database does not have."

    @property
    def write(self) -> str:
        """A place is found by its city alone too. Abbreviations are no places: EST has no summer time."""
        cities = {name.rpartition("/")[2]: name for name in self.known}
        near = nearest(self.zone, self.known) or cities.get(nearest(self.zone, tuple(cities)) or "")
        meant = f'Did you mean "{near}"? ' if near else ""
        return f"{meant}Write the area and the city whose clocks the shop goes by:  time_zone: Europe/Berlin"


@dataclass(frozen=True)
class ToleranceTooWide(Fault):
    """A tolerance of zero, or as wide as its value, says nothing."""

    name: str
    tolerance: str
    value: str

    said = 'value "{name}" is {value} with a tolerance of {tolerance}, which is not between zero and the value.'
    write = "Write the tolerance to one side as the source gives it, or leave it out."


@dataclass(frozen=True)
class SourceSaysNothing(Fault):
    """A dot, a dash or an invisible character is not a place where anybody can read a value again."""

    name: str
    key: str
    text: str

    said = 'the source of value "{name}" has nothing to read after "{key}".'
    write = "Write a document and a place that another person can find, for example:  where: page 118"
