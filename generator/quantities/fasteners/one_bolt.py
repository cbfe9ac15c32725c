"""All that can be said of one bolt and of a torque or an angle for it, for `handturn torque`."""

from __future__ import annotations

from dataclasses import dataclass

from generator.quantities.fasteners.preload import head as head_of
from generator.quantities.fasteners.preload import (
    lever_of,
    minor_diameter,
    nut_factor,
    pitch_diameter,
    preload,
    proof_load,
    stress_area,
    tensile_load,
    yield_load,
)
from generator.quantities.fasteners.stretch import Span
from generator.quantities.fasteners.torque_band import (
    Band,
    Joint,
    Limited,
    Side,
    band,
    caution,
    judged,
    limited_by,
    snug_pull,
    turn_band,
    turn_caution,
    turn_pull,
    turn_unjudged,
    unjudged,
)
from generator.quantities.quantity import Quantity

USUAL_FRICTION = 0.12


@dataclass(frozen=True)
class TurnLook:
    """Angle stages after a torque: what they add, what the torque left, kN; the sane angles, degrees; the verdict."""

    degrees: float
    adds: Span | None
    snug: Span | None
    within: Span | None
    verdict: str
    says: str


@dataclass(frozen=True)
class BoltCheck:
    """A bolt at one friction, and what is said of a torque for it (None: no torque was given). mm, mm2, kN, N.m.

    `torque` and `nut_factor` are None where its head has no figures, `band` where a torque is not judged, `proof_load`
    where the standard gives none. `strips_at`: the pull that strips the thread it goes into, where that is known.
    """

    joint: Joint
    friction: float
    pitch_diameter: float
    minor_diameter: float
    stress_area: float
    tensile_load: float
    proof_load: float | None
    yield_load: float
    preload: float
    torque: float | None
    nut_factor: float | None
    strips_at: float | None
    band: Band | None
    limited_by: Limited
    value: Quantity | None
    verdict: Side | None
    turn: TurnLook | None
    says: str


def look_at(joint: Joint, value: Quantity | None = None, degrees: float | None = None) -> BoltCheck | None:
    """All that can be said of a bolt, of a torque for it, and of angle stages after that; None if the class has no
    figures here. With angle stages the torque is not final, and no band is held against it."""
    thread, strength = joint.thread, joint.strength
    if strength is None:
        return None
    friction = _one_friction(joint)
    within = band(joint)
    pull = preload(thread, strength, friction)
    is_final = value is not None and degrees is None
    odd = caution(value.figure, value.unit, joint) if value is not None and is_final else None
    has_head = head_of(thread, joint.head) is not None
    return BoltCheck(
        joint=joint,
        friction=friction,
        pitch_diameter=pitch_diameter(thread),
        minor_diameter=minor_diameter(thread),
        stress_area=stress_area(thread),
        tensile_load=tensile_load(thread, strength),
        proof_load=proof_load(thread, strength),
        yield_load=yield_load(thread, strength),
        preload=pull,
        torque=pull * lever_of(thread, friction, kind=joint.head) if has_head else None,
        nut_factor=nut_factor(thread, friction, kind=joint.head) if has_head else None,
        strips_at=joint.strips_at,
        band=within,
        limited_by=limited_by(joint),
        value=value,
        verdict=judged(value.base, within) if value is not None and within and is_final else None,
        turn=None if degrees is None else _turn(joint, value, degrees),
        says=odd or " ".join(unjudged(joint)),
    )


def _one_friction(joint: Joint) -> float:
    """The middle of what the joint may rub with; the usual one where nothing is said of it, or no end is known."""
    if joint.rubs is None or (joint.friction is None and joint.condition is None):
        return USUAL_FRICTION
    return sum(joint.rubs) / 2


def _turn(joint: Joint, value: Quantity | None, degrees: float) -> TurnLook:
    within, odd = turn_band(joint), turn_caution(degrees, joint)
    verdict = judged(degrees, within) if within else "not judged"
    snug = snug_pull(joint, value.base) if value else None
    return TurnLook(degrees, turn_pull(joint, degrees), snug, within, verdict, odd or turn_unjudged(joint))
