"""What to set on which wrench: with an adapter, rounded to the wrench's step, inside the tolerance. Torque in N.m.

The arithmetic is trees of the formula language, so that the phone walks the same ones. Names in them are in base units
(N.m, m, degrees).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from generator.canonical import Json
from generator.quantities.formulas.evaluation import NEAR, Env, Unknown, evaluate
from generator.quantities.quantity import Quantity
from generator.quantities.units import from_base, shown, to_base
from generator.worksheet import Tree

# ISO 6789, part of the reading. Type I shows, type II is set. These classes may be off by 4 % where the greatest torque
# is above 10 N.m; smaller ones, and the other classes (spring bars, screwdrivers), by 6 %. II A is from a wrench's
# manual that quotes the standard, the list of classes is from memory.
FINE = frozenset({"I B", "I C", "I E", "II A", "II B", "II C"})
FINE_SHARE, COARSE_SHARE, SMALL = 0.04, 0.06, 10.0


@dataclass(frozen=True)
class WrenchScale:
    """A torque wrench of the shop. `low`, `high` and `step` are numbers of `unit`; marks are whole steps from zero.

    `iso` is its type and class in ISO 6789, such as "II A" (a click wrench with a scale).
    """

    name: str
    low: float
    high: float
    step: float
    unit: str = "N.m"
    iso: str = "II A"


@dataclass(frozen=True)
class Pick:
    """A wrench that reaches a setting. `number` in the wrench's unit is the mark to set, `text` the same as it is read;
    `base` is N.m, `tolerance` what it may be off, N.m, `setting` what was asked for, N.m. Not `inside`: no mark of this
    wrench is within the tolerance."""

    wrench: WrenchScale
    number: float
    text: str
    base: float
    tolerance: float
    inside: bool
    setting: float


def _name(name: str) -> Tree:
    return ["name", name]


_SETTING, _STEP, _LOW, _HIGH = map(_name, ("setting", "step", "low", "high"))
_LEVER, _ADAPTER, _COSINE = _name("lever"), _name("adapter"), ["cos", _name("angle")]


def setting_tree() -> Tree:
    """What to set so that the bolt gets `target` through an adapter: M L / (L + E cos angle).

    Names: target, lever (hand to drive), adapter (drive to bolt), angle (0 straight on, 90 square, 180 folded back).

    Unknown (because "zero") where there is no such setting: no lever, a negative adapter, or nothing left of the lever
    when the adapter is folded back under the handle.
    """
    reach = ["+", _LEVER, ["*", _ADAPTER, _COSINE]]
    sound = ["and", [">", _LEVER, 0], [">=", _ADAPTER, 0], [">", reach, ["*", NEAR, _LEVER]]]
    return ["/", ["*", _name("target"), _LEVER], ["if", sound, reach, 0]]


def rounding_tree() -> Tree:
    """The mark nearest to `setting` that the wrench has: whole `step`s from zero, within `low` and `high`."""
    nearest = ["min", ["floor", _HIGH, _STEP], ["round", _SETTING, _STEP]]
    return ["max", ["ceil", _LOW, _STEP], nearest]


def offered_tree() -> Tree:
    """Whether the wrench reaches `setting` at all: within `low` and `high`, and with a mark there, `step` apart."""
    marked = ["<=", ["ceil", _LOW, _STEP], ["floor", _HIGH, _STEP]]
    above = ["<=", _LOW, ["*", _SETTING, 1 + NEAR]]
    below = ["<=", ["*", _SETTING, 1 - NEAR], _HIGH]
    return ["and", above, below, marked]


def inside_tree() -> Tree:
    """Whether the mark is no further from `setting` than `tolerance`."""
    return ["<=", ["abs", ["-", rounding_tree(), _SETTING]], ["*", _name("tolerance"), 1 + NEAR]]


def setting(target: float, lever: float, adapter: float, angle: float) -> float | Unknown:
    """What to set, N.m, for a target in N.m; lever and adapter in metres, angle in degrees. See `setting_tree`.

    >>> round(setting(50, 0.4, 0.05, 45), 2), setting(50, 0.4, 0.05, 90)
    (45.94, 50.0)
    """
    names = {"target": target, "lever": lever, "adapter": adapter, "angle": angle}
    return _number(evaluate(setting_tree(), Env(names)))


def _number(value: float | bool | Unknown) -> float | Unknown:
    return value if isinstance(value, Unknown) else float(value)


def accuracy(iso: str, greatest: float) -> float:
    """By how much of its reading a wrench may be off: its type and class in ISO 6789, its greatest torque in N.m.

    >>> accuracy("II A", 25), accuracy("II A", 10), accuracy("I A", 25)
    (0.04, 0.06, 0.06)
    """
    return FINE_SHARE if iso in FINE and greatest > SMALL * (1 + NEAR) else COARSE_SHARE


def tolerance_of(wrench: WrenchScale, number: float) -> float:
    """What the wrench itself may be off at this torque, N.m."""
    return accuracy(wrench.iso, to_base(wrench.high, wrench.unit)) * number


def pick(target: float, tolerance: float | None, wrenches: Iterable[WrenchScale]) -> list[Pick]:
    """Every wrench that reaches the target, in the order given, with the mark to set. Target and tolerance in N.m.

    The tolerance is the maker's, to each side; where he states none (None) the wrench's own accuracy decides. With an
    adapter on, the target is what `setting` gives, and the tolerance is made smaller (or greater) by the same share.
    """
    return list(_picks(target, tolerance, wrenches))


def _picks(target: float, tolerance: float | None, wrenches: Iterable[WrenchScale]) -> Iterator[Pick]:
    for wrench in wrenches:
        allowed = tolerance_of(wrench, target) if tolerance is None else tolerance
        env = Env({"setting": target, "tolerance": allowed, **_marks(wrench)})
        if evaluate(offered_tree(), env) is not True:
            continue
        base = _number(evaluate(rounding_tree(), env))
        assert not isinstance(base, Unknown), "a wrench that is offered has a mark"
        text = shown(base, wrench.unit, wrench.step)
        inside = evaluate(inside_tree(), env) is True
        yield Pick(wrench, from_base(base, wrench.unit), text, base, allowed, inside, target)


# A wrench is truest away from both ends of its scale: from a fifth of its greatest torque (where the tests of ISO 6789
# began before 2017) to nine tenths. common practice, no source
MIDDLE_FROM, MIDDLE_TO = 0.2, 0.9


def best_first(picks: Iterable[Pick], unit: str) -> list[Pick]:
    """Picks for a torque that is printed in `unit`, in the order in which a wrench is taken, whatever the day.

    First those with a mark inside the tolerance, then those marked in the torque's own unit, then those in the middle
    of whose scale it lies, then the finest step, then the smallest. `on_day` (`bestFirst` on the phone)
    puts the overdue ones behind.
    """
    return sorted(picks, key=lambda one: _rank(one, unit))


def _rank(one: Pick, unit: str) -> tuple[bool, bool, bool, float, float, str]:
    wrench, marks = one.wrench, _marks(one.wrench)
    share = one.setting / marks["high"]
    middle = MIDDLE_FROM * (1 - NEAR) <= share <= MIDDLE_TO * (1 + NEAR)
    return (not one.inside, wrench.unit != unit, not middle, marks["step"], marks["high"], wrench.name)


def on_day(settings: list[Json], wrenches: Mapping[str, Json], day: str) -> list[Json]:
    """The settings of one pull as they are taken on a day (`2026-10-02`): the overdue behind those that are as near.

    The worksheet keeps the order that holds on every day, so that no day makes another worksheet.
    """
    return sorted(settings, key=lambda one: (not one["inside"], is_overdue(wrenches[one["wrench"]], day)))


def is_overdue(wrench: Json, day: str) -> bool:
    """Was its calibration due before this day?"""
    return wrench["due"] is not None and wrench["due"] < day


def _marks(wrench: WrenchScale) -> dict[str, float]:
    return {name: to_base(getattr(wrench, name), wrench.unit) for name in ("low", "high", "step")}


@dataclass(frozen=True)
class Adapted:
    """A setting with an adapter on and what is said of it. N.m, metres, degrees; `unit` is the target's own. No setting
    (None): there is none with the adapter so."""

    target: float
    unit: str
    lever: float
    adapter: float
    angle: float
    setting: float | None
    verdict: str
    says: str


def adapted(target: Quantity, lever: float, adapter: float, angle: float) -> Adapted:
    """The setting for a target with an adapter on, in words too."""
    base, unit = target.base, target.unit
    found = setting(base, lever, adapter, angle)
    if isinstance(found, Unknown):
        return Adapted(base, unit, lever, adapter, angle, None, "not possible", NO_SETTING)
    says = f"Set {_read(found, unit)} and the bolt gets {_read(base, unit)}."
    return Adapted(base, unit, lever, adapter, angle, found, "can be set", says)


NO_SETTING = "With the adapter like this there is no setting: turn it further out, or use a longer wrench."


def _read(base: float, unit: str) -> str:
    return f"{shown(base, unit)} {unit}"
