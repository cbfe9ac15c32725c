"""A bolt, a torque or a wrench with an adapter -> lines for a person, JSON for a program, for `torque`."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from typing import Any

from generator.quantities.fasteners.casting_thread import BENT
from generator.quantities.fasteners.one_bolt import BoltCheck, TurnLook
from generator.quantities.fasteners.preload import TO_YIELD, named
from generator.quantities.fasteners.torque_band import band_text
from generator.quantities.fasteners.wrench import Adapted
from generator.quantities.units import from_base, shown
from generator.terminal.plain import one_line


def bolt(check: BoltCheck, details: bool = False) -> str:
    """Return for a person what a bolt takes and what is said of a torque for it; with `details` its diameters, least
    breaking load and nut factor, too."""
    return "\n".join(_bolt(check, details))


def _bolt(check: BoltCheck, details: bool) -> Iterator[str]:
    joint = check.joint
    strength = joint.strength
    assert strength is not None, "a bolt without figures has no check"
    head = "" if joint.head == "hexagon" else f", {joint.head} head"
    yield f"{joint.thread}, {named(joint.cls)}{head}, friction {check.friction:g}"
    if details:
        yield f"diameters     d2 {check.pitch_diameter:.3f} mm, d3 {check.minor_diameter:.3f} mm"
    yield f"stress area   {check.stress_area:.2f} mm2"
    if details:
        yield f"breaks at     {check.tensile_load:.2f} kN   ({strength.tensile:.0f} MPa, tensile load)"
    if check.proof_load is None:
        yield "proof load    not given by the standard"
    else:
        yield f"proof load    {check.proof_load:.2f} kN   ({strength.proof:.0f} MPa)"
    yield f"yield load    {check.yield_load:.2f} kN   ({strength.yields:.0f} MPa)"
    yield f"preload       {check.preload:.2f} kN   (pull and twist at {TO_YIELD * 100:g} % of yield)"
    if check.torque is not None:
        yield f"torque        {check.torque:.2f} N.m"
    if details and check.nut_factor is not None:
        yield f"nut factor    {check.nut_factor:.3f}   (torque = factor x pull x diameter)"
    if check.strips_at is not None:
        yield (
            f"strips at     {check.strips_at:.2f} kN   ({joint.engaged:g} mm of thread in {_said(joint.into)}: "
            f"least area of FED-STD-H28/2, {BENT:g} of it by Alexander)"
        )
    if check.band is not None and joint.rubs is not None:
        weaker = f", by the thread in {_said(joint.into)}" if check.limited_by == "thread" else ""
        yield f"sane band     {band_text(check.band)}   (friction {_range(joint.rubs)}{weaker})"
    if check.turn is not None:
        yield from _turn(check, check.turn)
    if check.verdict == "inside" and check.value is not None:
        yield f"{check.value} is inside the band."
    if check.says:
        yield one_line(check.says)


def _range(span: tuple[float, float]) -> str:
    return f"{span[0]:g}" if span[0] == span[1] else f"{span[0]:g} to {span[1]:g}"


def _said(text: str | None) -> str:
    return one_line(text or "")


def _turn(check: BoltCheck, turn: TurnLook) -> Iterator[str]:
    if turn.adds is not None:
        yield (
            f"angle         {turn.degrees:g} deg adds {_kilonewtons(turn.adds)}   (grip {check.joint.grip:g} mm; "
            "bolt and parts as springs, Shigley 8-17 and 8-22)"
        )
    if turn.snug is not None:
        yield f"snug torque   {check.value} leaves {_kilonewtons(turn.snug)}"
    if turn.adds is not None and turn.snug is not None:
        both = turn.adds[0] + turn.snug[0], turn.adds[1] + turn.snug[1]
        past = both[1] >= check.yield_load
        ends = (
            ", so the bolt may yield: it stays longer, and may be a one-time bolt"
            if past
            else ", less than its yield load"
        )
        yield f"together      {_kilonewtons(both)}{ends}"
    if turn.within is not None:
        yield f"sane angle    {turn.within[0]:g} to {turn.within[1]:g} deg, all stages together"
        if turn.verdict == "inside":
            yield f"{turn.degrees:g} deg is inside."
    if turn.says:
        yield turn.says


def _kilonewtons(span: tuple[float, float]) -> str:
    return f"{span[0]:.1f} to {span[1]:.1f} kN"


def bolt_json(check: BoltCheck) -> str:
    """Return the same for programs, with all details. Each number has its unit in its key."""
    low, high = check.band or (None, None)
    out = {
        "thread": str(check.joint.thread),
        "class": check.joint.cls,
        "head": check.joint.head,
        "friction": check.friction,
        "pitch_diameter_mm": check.pitch_diameter,
        "minor_diameter_mm": check.minor_diameter,
        "stress_area_mm2": check.stress_area,
        "tensile_load_kN": check.tensile_load,
        "proof_load_kN": check.proof_load,
        "yield_load_kN": check.yield_load,
        "preload_kN": check.preload,
        "torque_Nm": check.torque,
        "nut_factor": check.nut_factor,
        "strips_at_kN": check.strips_at,
        "band_low_Nm": low,
        "band_high_Nm": high,
        "limited_by": check.limited_by,
        "value_Nm": check.value.base if check.value else None,
        "verdict": check.verdict,
        "says": check.says,
    }
    return _figures({**out, **(_turn_json(check.turn) if check.turn else {})})


def _turn_json(turn: TurnLook) -> Mapping[str, Any]:
    pairs = {"angle_adds": turn.adds, "snug_leaves": turn.snug}
    ends = {
        f"{name}_{end}_kN": span[at] if span else None
        for name, span in pairs.items()
        for at, end in enumerate(("low", "high"))
    }
    low, high = turn.within or (None, None)
    sane = {"angle_low_deg": low, "angle_high_deg": high}
    return {"angle_deg": turn.degrees, **ends, **sane, "angle_verdict": turn.verdict, "angle_says": turn.says}


def adapted(found: Adapted) -> str:
    """Return for a person what to set with an adapter on the wrench, or what the bolt gets from one that is set."""
    lengths = [f"{shown(length, 'mm')} mm" for length in (found.lever, found.adapter)]
    return f"lever {lengths[0]}, adapter {lengths[1]} at {found.angle:g} degrees\n{found.says}"


def adapted_json(found: Adapted) -> str:
    """Return the same for programs. Each number has its unit in its key."""
    out = {
        "target_Nm": found.target,
        "lever_mm": from_base(found.lever, "mm"),
        "adapter_mm": from_base(found.adapter, "mm"),
        "angle_deg": found.angle,
        "setting_Nm": found.setting,
        "verdict": found.verdict,
        "says": found.says,
    }
    return _figures(out)


def _figures(out: Mapping[str, Any]) -> str:
    """Return JSON with figures rounded to nine decimals, to drop what the conversion of units leaves behind."""
    plain = {key: round(said, 9) if isinstance(said, float) else said for key, said in out.items()}
    return json.dumps(plain, ensure_ascii=False, indent=2)
