"""Every way that what is said of bolts and wrenches can be wrong, beyond a torque's own text."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults.base import Fault


@dataclass(frozen=True)
class PositionNotTwo(Fault):
    """Where a bolt stands is a pair: across, up."""

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
    write = "Write one position for each bolt, bolt 1 first, or leave them out and say pattern: line, circle or grid."


@dataclass(frozen=True)
class MapWithoutBolts(Fault):
    """Pattern, positions, friction and condition are said of bolts."""

    value: str
    key: str

    said = 'value "{value}" has "{key}" and is no torque or angle of bolts.'
    write = "Take {key} out."


@dataclass(frozen=True)
class FrictionTurned(Fault):
    """Friction lies between two figures, of which the first is the smaller; both are small."""

    value: str
    low: str
    high: str

    said = 'value "{value}" has a friction from {low} to {high}.'
    write = "Write two figures between 0.02 and 0.6, the smaller one first, for example {{from: 0.08, to: 0.16}}."


@dataclass(frozen=True)
class WrenchRange(Fault):
    """A wrench goes from its lowest mark to its highest in steps."""

    wrench: str
    low: str
    high: str
    step: str

    said = 'wrench "{wrench}" goes from {low} to {high} in steps of {step}.'
    write = "Write the lowest mark, the highest above it, and a step that fits between them."


@dataclass(frozen=True)
class SameToolTwice(Fault):
    """Two wrenches, or two adapters, of one name."""

    what: str
    name: str
    first_line: int

    said = '{what} "{name}" is there already, on line {first_line}.'
    write = "Give one of them another name, for example the number engraved on it."
