"""Every way a sheet can be wrong about who read a value, who read it again, and when."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault, UndeclaredName
from generator.faults.wording import counted


@dataclass(frozen=True)
class UnknownReader(UndeclaredName):
    """Whoever doubts a figure asks the person who read it. Initials that nobody of the shop has lead to nobody. Told
    once for each name in a sheet, because most often it is in every value."""

    thing: str
    key: str
    name: str
    known: tuple[str, ...]
    times: int

    @property
    def said(self) -> str:
        more = f" This sheet has it {counted(self.times, 'time')}." if self.times > 1 else ""
        who = f'"{self.name}" after "{self.key}"'
        return f"{self.thing} has {who}, but nobody in shop.yml has these initials.{more}"

    otherwise = "add the person to people in shop.yml, with  left: yes  if they work here no longer"


@dataclass(frozen=True)
class CheckedByReader(Fault):
    """Who reads a figure wrong once reads it wrong again. A second reader is somebody else, as long as the shop has
    somebody else."""

    thing: str
    who: str

    said = "{thing} was read by {who:quoted} and checked by the same person."
    write = "Have another person of the shop read it and write their initials, or leave checked_by out."


@dataclass(frozen=True)
class SelfCheckSameDay(Fault):
    """A person who works alone may check their own reading, but with a night between: on the same day they remember
    what they read, and don't look."""

    thing: str
    who: str
    read: str

    said = "{thing} was read by {who:quoted} on {read} and checked by the same person, without a later day."
    write = "Read it again on a later day and add that day:  checked: year-month-day"


@dataclass(frozen=True)
class DayToCome(Fault):
    """Nobody has read a page on a day that has not come. It is a slip, mostly in the year, and then the day says
    nothing about which edition was open."""

    thing: str
    key: str
    day: str
    latest: str

    said = '{thing} has {day} after "{key}", which has not come yet. Today is {latest} at the latest.'
    write = "Write the day on which it was read, as year-month-day, or set this computer's clock if that is wrong."


@dataclass(frozen=True)
class CheckedBeforeRead(Fault):
    """A second reading comes after the first. If the days say otherwise, one of them is a slip."""

    thing: str
    checked: str
    read: str

    said = "{thing} was checked on {checked}, before it was read on {read}."
    write = "Look up both days and correct the wrong one."


@dataclass(frozen=True)
class CheckedByNobody(Fault):
    """A day without a person is no check: nobody can be asked what they saw."""

    thing: str

    said = '{thing} has a day after "checked", but nobody checked it.'
    write = "Write who read it again, for example  checked_by: RT,  or leave out checked."


@dataclass(frozen=True)
class NobodyWorksHere(Fault):
    """Phones ask who is writing. If everybody has left, nobody can open a job."""

    said = "everybody in people has left."
    write = "Leave out  left: yes  for whoever works here, or add a person."


@dataclass(frozen=True)
class ReadOnce(Fault):
    """A slip of one reader is found by the second. The phone asks for two of them where it asks for a critical value,
    and the sheet may do with one, so it says where it did."""

    engine: str
    names: tuple[str, ...]

    heading = "Critical values that one person read, and nobody a second time (phone and paper say so beside each)"

    said = 'sheet "{engine}" has {names:listed}.'
    write = "Have another person read them and add  checked_by: RT  where they were read."
