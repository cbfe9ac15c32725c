"""Every way that what is said of bolts and wrenches can be wrong, beyond a torque's own text."""

from __future__ import annotations

from dataclasses import dataclass

from generator.faults import Fault


@dataclass(frozen=True)
class PositionNotTwo(Fault):
    """Where a bolt stands is a pair: across, up."""

    value: str
    count: int

    @property
    def said(self) -> str:
        numbers = "number" if self.count == 1 else "numbers"
        return f'value "{self.value}" has a position of {self.count} {numbers}.'

    @property
    def write(self) -> str:
        return "Write each position as two numbers, across and up: [x, y]."


@dataclass(frozen=True)
class PositionsNotCount(Fault):
    """The map has one position for each bolt, bolt 1 first."""

    value: str
    positions: int
    count: int

    @property
    def said(self) -> str:
        return f'value "{self.value}" has {self.positions} positions for {self.count} bolts.'

    @property
    def write(self) -> str:
        return (
            "Write one position for each bolt, bolt 1 first, or leave them out and say pattern: line, circle or grid."
        )


@dataclass(frozen=True)
class MapWithoutBolts(Fault):
    """Pattern, positions, friction and condition are said of bolts."""

    value: str
    key: str

    @property
    def said(self) -> str:
        return f'value "{self.value}" has "{self.key}" and is no torque or angle of bolts.'

    @property
    def write(self) -> str:
        return f"Take {self.key} out."


@dataclass(frozen=True)
class FrictionTurned(Fault):
    """Friction lies between two figures, of which the first is the smaller; both are small."""

    value: str
    low: str
    high: str

    @property
    def said(self) -> str:
        return f'value "{self.value}" has a friction from {self.low} to {self.high}.'

    @property
    def write(self) -> str:
        return "Write two figures between 0.02 and 0.6, the smaller one first, for example {from: 0.08, to: 0.16}."


@dataclass(frozen=True)
class WrenchRange(Fault):
    """A wrench goes from its lowest mark to its highest in steps."""

    wrench: str
    low: str
    high: str
    step: str

    @property
    def said(self) -> str:
        return f'wrench "{self.wrench}" goes from {self.low} to {self.high} in steps of {self.step}.'

    @property
    def write(self) -> str:
        return "Write the lowest mark, the highest above it, and a step that fits between them."


@dataclass(frozen=True)
class SameToolTwice(Fault):
    """Two wrenches, or two adapters, of one name."""

    what: str
    name: str
    first_line: int

    @property
    def said(self) -> str:
        return f'{self.what} "{self.name}" is there already, on line {self.first_line}.'

    @property
    def write(self) -> str:
        return "Give one of them another name, for example the number engraved on it."


ALL: tuple[type[Fault], ...] = tuple(kind for kind in Fault.__subclasses__() if kind.__module__ == __name__)
