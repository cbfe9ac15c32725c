"""Every way the details of bolts and wrenches can be wrong, beyond the text of a torque."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault
from generator.faults.wording import listing


@dataclass(frozen=True)
class PositionNotTwo(Fault):
    """The position of a bolt is a pair: across, up."""

    value: str
    count: int

    @property
    def said(self) -> str:
        numbers = "number" if self.count == 1 else "numbers"
        return f'value "{self.value}" has a position of {self.count} {numbers}.'

    write = "Write each position as two numbers, across and up: [x, y]."


@dataclass(frozen=True)
class PositionsNotCount(Fault):
    """The map has one position for each bolt, bolt 1 first."""

    value: str
    positions: int
    count: int

    said = 'value "{value}" has {positions} positions for {count} bolts.'
    write = "Write one position for each bolt, bolt 1 first. Or delete them and write pattern: line, circle or grid."


@dataclass(frozen=True)
class MapWithoutBolts(Fault):
    """Pattern, positions, friction and condition belong to bolts."""

    value: str
    key: str

    said = 'value "{value}" has "{key}", but it is not a torque or angle of bolts.'
    write = "Delete {key}."


@dataclass(frozen=True)
class FrictionTurned(Fault):
    """Friction is a range of two small numbers, the smaller one first."""

    value: str
    low: str
    high: str

    said = 'value "{value}" has a friction from {low} to {high}, which is not a range of friction.'
    write = "Write two numbers between 0.02 and 0.6, the smaller one first, for example {{from: 0.08, to: 0.16}}."


@dataclass(frozen=True)
class WrenchRange(Fault):
    """A wrench goes from its lowest mark to its highest in steps."""

    wrench: str
    low: str
    high: str
    step: str

    said = 'wrench "{wrench}" cannot go from {low} to {high} in steps of {step}.'
    write = "Write the lowest mark, a highest mark above it, and a step that fits between them."


@dataclass(frozen=True)
class SameToolTwice(Fault):
    """Two wrenches, or two adapters, with the same name."""

    what: str
    name: str
    first_line: int

    said = '{what} "{name}" is already on line {first_line}.'
    write = "Rename one of them, for example after the number engraved on it."


@dataclass(frozen=True)
class NotAThread(Fault):
    """A thread that looks metric and is none. No torque would be judged by it, and nobody would be told."""

    name: str
    text: str
    meant: str | None

    said = 'the bolt of value "{name}" has {text:quoted} after "thread", which is no metric thread.'

    @property
    def write(self) -> str:
        write = f"Write  thread: {self.meant}" if self.meant else "Write M, the size, x and the pitch, as in M8x1.25."
        return f"{write}  Its size is the outer diameter in mm, its pitch no coarser than the coarse one."


@dataclass(frozen=True)
class NotAClass(Fault):
    """A property class that looks like one and is none. No torque would be judged by it, and nobody would be told."""

    name: str
    text: str
    meant: str | None
    known: tuple[str, ...]

    said = 'the bolt of value "{name}" has {text:quoted} after "class", which is no property class.'

    @property
    def write(self) -> str:
        if self.meant:
            return f'Write  class: "{self.meant}"  if that is what stands on the head.'
        return f"Write what stands on the head, one of {listing(self.known)}, or leave class out."


@dataclass(frozen=True)
class NotJudged(Fault):
    """Torques that are held against no bolt, because nobody here has figures for it. Told beside the worksheets, so
    that no caution does not pass for a sane torque."""

    engine: str
    names: tuple[str, ...]

    heading = "Not held against a bolt"

    said = 'sheet "{engine}" has torques for bolts without figures here: {names:listed}.'
    write = "Look each up again in the document. Figures are here for metric threads and the classes 4.8 to 12.9."
