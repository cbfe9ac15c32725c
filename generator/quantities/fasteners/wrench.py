"""What to set on which wrench: with an adapter, rounded to the wrench's step, inside the tolerance. Torque in N.m.

The arithmetic is in `trees`; what is left here is choosing and wording.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from generator.quantities.formulas.evaluation import NEAR, Unknown, Value
from generator.quantities.quantity import Quantity, written
from generator.quantities.trees import ORDER, SETTING, SETTING_PARTS, TORQUE, figure, holds, worth
from generator.quantities.units import from_base, shown, to_base
from generator.sheet_types import QuantityJson, ValueJson, WrenchJson

# ISO 6789, part of the reading. Type I shows, type II is set. These classes may be off by 4 % where the greatest torque
# is above 10 N.m; smaller ones, and the other classes (spring bars, screwdrivers), by 6 %. II A is from a wrench's
# manual that quotes the standard, the list of classes is from memory.
FINE = frozenset({"I B", "I C", "I E", "II A", "II B", "II C"})
FINE_SHARE, COARSE_SHARE, SMALL = 0.04, 0.06, 10.0


@dataclass(frozen=True)
class WrenchScale:
    """A torque wrench of the shop. `low`, `high` and `step` are numbers of `unit`; marks are whole steps from zero.

    `iso` is its type and class in ISO 6789, such as "II A" (a click wrench with a scale). `due` is the last day of its
    calibration.
    """

    name: str
    low: float
    high: float
    step: float
    unit: str = "N.m"
    iso: str = "II A"
    due: str | None = None


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


def setting(target: float, lever: float, adapter: float, angle: float) -> float | Unknown:
    """What to set, N.m, for a target in N.m; lever and adapter in metres, angle in degrees.

    >>> round(setting(50, 0.4, 0.05, 45), 2), setting(50, 0.4, 0.05, 90)
    (45.94, 50.0)
    """
    found = worth(SETTING["setting"], target=target, lever=lever, adapter=adapter, angle=angle)
    return found if isinstance(found, Unknown) else float(found)


def accuracy(iso: str, greatest: float) -> float:
    """By how much of its reading a wrench may be off: its type and class in ISO 6789, its greatest torque in N.m.

    >>> accuracy("II A", 25), accuracy("II A", 10), accuracy("I A", 25)
    (0.04, 0.06, 0.06)
    """
    return FINE_SHARE if iso in FINE and greatest > SMALL * (1 + NEAR) else COARSE_SHARE


def tolerance_of(wrench: WrenchScale, number: float) -> float:
    """What the wrench itself may be off at this torque, N.m."""
    share = accuracy(wrench.iso, to_base(wrench.high, wrench.unit))
    return _sure(figure(TORQUE["accurate"], accuracy=share, target=number))


def _sure(number: float | None) -> float:
    assert number is not None, "all that it needs is given"
    return number


def tolerance_at(target: float, off: float | None, final: float | None) -> float | None:
    """What a pull may be off by the maker, N.m: the same share as his tolerance of the final torque; None if he states
    none."""
    return figure(TORQUE["share"], target=target, off=off, final=final)


def pick(target: float, tolerance: float | None, wrenches: Iterable[WrenchScale]) -> list[Pick]:
    """Every wrench that reaches the target, in the order given, with the mark to set. Target and tolerance in N.m.

    The tolerance is the maker's, to each side; where he states none (None) the wrench's own accuracy decides. With an
    adapter on, the target is what `setting` gives, and the tolerance is made smaller (or greater) by the same share.
    """
    return [one for wrench in wrenches if (one := _pick(target, tolerance, wrench)) is not None]


# The worksheets of a shop set the same few torques on the same few wrenches.
@lru_cache(maxsize=4096)
def _pick(target: float, tolerance: float | None, wrench: WrenchScale) -> Pick | None:
    allowed = tolerance_of(wrench, target) if tolerance is None else tolerance
    names: dict[str, Value] = {"setting": target, "tolerance": allowed, **_marks(wrench)}
    if not holds(SETTING["offered"], **names):
        return None
    base = _sure(figure(SETTING["rounding"], **names))
    inside = holds(SETTING["inside"], **names)
    text = shown(base, wrench.unit, wrench.step)
    return Pick(wrench, from_base(base, wrench.unit), text, base, allowed, inside, target)


def best_first(picks: Iterable[Pick], unit: str, day: str | None = None) -> list[Pick]:
    """Picks for a torque that is printed in `unit`, in the order in which a wrench is taken on a day (`2026-10-02`).

    First those with a mark inside the tolerance, then those in date (all of them where no day is said), then those
    marked in the torque's own unit, then those in the middle of whose scale it lies, then the finest step, then the
    smallest.
    """
    return sorted(picks, key=lambda one: _rank(one, unit, day))


def _rank(one: Pick, unit: str, day: str | None) -> tuple[Any, ...]:
    wrench, marks = one.wrench, _marks(one.wrench)
    about = {
        "outside": not one.inside,
        "overdue": day is not None and is_overdue(wrench.due, day),
        "other": wrench.unit != unit,
        "end": not holds(TORQUE["middle"], setting=one.setting, high=marks["high"]),
        "step": marks["step"],
        "high": marks["high"],
        "wrench": wrench.name,
    }
    return tuple(about[name] for name in ORDER)


def is_overdue(due: str | None, day: str) -> bool:
    """Was a calibration due before this day? One without a date is never overdue."""
    return due is not None and due < day


def settings(
    target: str | None, about: ValueJson | None, rack: Mapping[str, WrenchJson], day: str | None = None
) -> list[Pick]:
    """What to set for one pull, on each wrench of a worksheet that reaches it, best first; none for what is no torque.

    `about` is the worksheet's value of the bolt, `rack` its wrenches. The maker's tolerance is that of the final
    torque; a pull before it has the same share. `day` (`2026-10-02`) puts overdue wrenches behind those in date.
    """
    pull = _torque(target)
    if pull is None:
        return []
    tools = [_of_rack(name, one) for name, one in rack.items()]
    return best_first(pick(pull.base, _allowed(pull, about), tools), pull.unit, day)


def settings_through(
    target: str | None,
    about: ValueJson | None,
    rack: Mapping[str, WrenchJson],
    length: float,
    angle: float,
    day: str | None = None,
) -> list[Pick]:
    """Return the same with an adapter on, `length` in mm and turned by `angle` degrees: for each wrench whose lever is
    known and that leaves a setting with it."""
    pull = _torque(target)
    if pull is None:
        return []
    allowed, picks = _allowed(pull, about), []
    for name, one in rack.items():
        lever = one.get("lever")
        found = None if lever is None else setting(pull.base, to_base(lever, "mm"), to_base(length, "mm"), angle)
        if found is None or isinstance(found, Unknown):
            continue
        off = None if allowed is None else figure(TORQUE["through"], tolerance=allowed, setting=found, target=pull.base)
        picks += pick(found, off, [_of_rack(name, one)])
    return best_first(picks, pull.unit, day)


def _torque(target: str | None) -> Quantity | None:
    pull = written(target or "")
    return pull if pull is not None and pull.kind == "torque" else None


def _allowed(pull: Quantity, about: ValueJson | None) -> float | None:
    off, final = (to_base(one["number"], one["unit"]) if one else None for one in _final(about))
    return tolerance_at(pull.base, off, final)


def _final(about: ValueJson | None) -> tuple[QuantityJson | None, QuantityJson | None]:
    return (about["margin"], about["number"]) if about else (None, None)


def _of_rack(name: str, one: WrenchJson) -> WrenchScale:
    low, high, step = float(one["low"]), float(one["high"]), float(one["step"])
    return WrenchScale(name, low, high, step, one["unit"], one["iso"], one["due"])


def _marks(wrench: WrenchScale) -> dict[str, float]:
    return {name: to_base(getattr(wrench, name), wrench.unit) for name in ("low", "high", "step")}


def received(set_to: float, lever: float, adapter: float, angle: float) -> float | Unknown:
    """What the bolt gets, N.m, from a wrench that is set to so much; lever and adapter in metres, angle in degrees.

    >>> round(received(60, 12, 2, 0), 2)
    70.0
    """
    found = worth(TORQUE["received"], set=set_to, lever=lever, adapter=adapter, angle=angle)
    return found if isinstance(found, Unknown) else float(found)


@dataclass(frozen=True)
class Adapted:
    """A wrench with an adapter on and what is said of it. N.m, metres, degrees; `unit` is that of the torque that was
    given. `target` is what the bolt gets, `setting` what is set; the one that was asked for is None where there is none
    with the adapter so."""

    target: float | None
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
        return Adapted(base, unit, lever, adapter, angle, None, "not possible", why_none(lever, adapter, angle))
    says = f"Set {_read(found, unit)} and the bolt gets {_read(base, unit)}."
    return Adapted(base, unit, lever, adapter, angle, found, "can be set", says)


def already_set(set_to: Quantity, lever: float, adapter: float, angle: float) -> Adapted:
    """What the bolt gets from a wrench that is set already and has an adapter on, in words too."""
    base, unit = set_to.base, set_to.unit
    found = received(base, lever, adapter, angle)
    if isinstance(found, Unknown):
        return Adapted(None, unit, lever, adapter, angle, base, "not possible", why_none(lever, adapter, angle))
    off = found / base - 1
    more = "" if abs(off) < LEAST_OFF else f", {abs(off) * 100:.0f} % {'more' if off > 0 else 'less'} than is set"
    says = f"Set to {_read(base, unit)}, the wrench gives the bolt {_read(found, unit)}{more}."
    return Adapted(found, unit, lever, adapter, angle, base, "known", says)


LEAST_OFF = 0.005
NO_LEVER = "The wrench has no lever: measure it from the middle of the hand to the drive."
NO_ADAPTER = "An adapter has no length below zero: measure it from the drive to the bolt."
TOO_LONG = "The adapter is longer than the wrench: look at both lengths and their units again, or use a longer wrench."
NO_ANGLE = "The angle is from 0, straight on, to 180, folded back, on either side."
NO_SETTING = (
    "With the adapter like this less than half of the wrench's lever is left, and nobody can set that truly: "
    "turn it further out, or use a longer wrench."
)


def why_none(lever: float, adapter: float, angle: float) -> str:
    """Why there is no setting: the first thing that is wrong with the lever, the adapter, or how it is turned."""
    if lever <= 0:
        return NO_LEVER
    if adapter < 0:
        return NO_ADAPTER
    if not holds(SETTING_PARTS["short"], lever=lever, adapter=adapter):
        return TOO_LONG
    return NO_SETTING if holds(SETTING_PARTS["turned"], angle=angle) else NO_ANGLE


def _read(base: float, unit: str) -> str:
    return f"{shown(base, unit)} {unit}"
