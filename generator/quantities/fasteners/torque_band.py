"""Is a torque sane for its bolt: the band a final torque lies in, what is said outside it, slips that explain it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from generator.quantities.fasteners.casting_thread import is_as_strong, shear_strength, stripping
from generator.quantities.fasteners.preload import (
    TO_YIELD,
    Thread,
    head,
    lever_of,
    named,
    preload,
    strength_of,
)
from generator.quantities.fasteners.standards import (
    STAINLESS,
    STAINLESS_FRICTION,
    STEEL_FRICTION,
    FrictionRange,
    Strength,
)
from generator.quantities.fasteners.stretch import Span, added_pull, sane_turn
from generator.quantities.trees import SLIPS, TORQUE, figure, holds
from generator.quantities.units import DIGITS, KINDS, NOISE, legible, shown, to_base

LEAST_SHARE = 0.4
"""What a book may ask for at least, of the torque that uses up the bolt at the low friction. Common practice, no
source: small bolts that only hold a cover to aluminium are given half to two thirds. With it the ends of a band are
never 6 times apart, so that no value inside is still inside after a slip of seven or more: ten, foot for inch (12),
kgf.m or lbf.in for N.m (10, 9), kgf.m for lbf.ft (7). N.m for lbf.ft, or lbf.in for kgf.cm, no band can tell."""
SLIP_WORDS = {"tenth": "a tenth", "tenfold": "ten times"}
CASTINGS = ("aluminium", "aluminum", "magnesium")
WEAKER = "the thread in the casting may be the weaker part. "

Band = tuple[float, float]
Side = Literal["inside", "above", "below"]
Limited = Literal["fastener", "thread"]


@dataclass(frozen=True)
class Joint:
    """A bolt where it sits. `engaged` is the length of thread in one another, `grip` what is clamped between head and
    thread, mm; `friction` is the maker's, and counts instead of that of the condition. None: not known."""

    thread: Thread
    cls: str
    into: str | None = None
    engaged: float | None = None
    condition: str | None = None
    friction: FrictionRange | None = None
    head: str = "hexagon"
    grip: float | None = None

    @property
    def strength(self) -> Strength | None:
        """The least strength of its class in its size."""
        return strength_of(self.cls, self.thread)

    @property
    def rubs(self) -> FrictionRange | None:
        """Least and greatest friction; None where no greatest is known."""
        if self.friction is not None:
            return self.friction
        table = STAINLESS_FRICTION if self.cls in STAINLESS else STEEL_FRICTION
        return table.get(self.condition, table[None])

    @property
    def strips_at(self) -> float | None:
        """The pull that strips the thread it goes into, kN; None where that is not known."""
        return None if self.engaged is None else stripping(self.thread, self.engaged, self.into)


@dataclass(frozen=True)
class Slip:
    """What may have been meant by a value outside the band: it lies inside. `base` is N.m."""

    number: float
    unit: str
    base: float
    instead: str


def _greatest_pull(joint: Joint, strength: Strength, friction: float) -> tuple[float, Limited]:
    """The pull that tightening may leave, kN: that of the bolt, or of the thread it goes into if that one is weaker."""
    bolt, strips = preload(joint.thread, strength, friction), joint.strips_at
    if strips is not None and TO_YIELD * strips < bolt:
        return TO_YIELD * strips, "thread"
    return bolt, "fastener"


def exact_band(joint: Joint) -> Band | None:
    """Least and greatest sane final torque, N.m, before they are rounded; None where there is none: for a class without
    figures, a head without figures, a friction without end, a thread that holds nothing.

    The greatest uses up 90 % of the bolt's yield, or of what strips the thread it goes into, at the high friction; the
    least is `LEAST_SHARE` of the same at the low one. A torque before an angle stage is not final: the band says
    nothing of it.
    """
    strength, rubs = joint.strength, joint.rubs
    if strength is None or rubs is None or head(joint.thread, joint.head) is None or joint.strips_at == 0:
        return None
    low, high = (
        _greatest_pull(joint, strength, friction)[0] * lever_of(joint.thread, friction, kind=joint.head)
        for friction in rubs
    )
    return LEAST_SHARE * low, high


def band(joint: Joint) -> Band | None:
    """Least and greatest sane final torque as they are told, N.m; None where there is none.

    The ceiling is rounded down and the floor up, and every torque is held against these same two numbers, at the desk
    and on the phone: what is printed and what is judged agree.

    >>> band(Joint(Thread(6, 1), "8.8"))
    (3.1, 12.2)
    """
    exact = exact_band(joint)
    return None if exact is None else told_band(exact)


def told_band(exact: Band) -> Band:
    """Return a band with its ceiling rounded down and its floor rounded up, to the step such torques are told in."""
    low, high = figure(TORQUE["floor"], value=exact[0]), figure(TORQUE["ceiling"], value=exact[1])
    assert low is not None and high is not None, "both are numbers"
    return float(legible(low, None)), float(legible(high, None))


def limited_by(joint: Joint) -> Limited:
    """What the ceiling of a band is that of: the bolt, or the thread it goes into."""
    strength, rubs = joint.strength, joint.rubs
    return "fastener" if strength is None or rubs is None else _greatest_pull(joint, strength, rubs[1])[1]


def judged(value: float, within: Band) -> Side:
    """`inside`, `above` or `below` the band; N.m."""
    names = {"value": value, "low": within[0], "high": within[1]}
    sides: tuple[Side, ...] = ("above", "below")
    return next((side for side in sides if holds(TORQUE[side], **names)), "inside")


def slips(number: float, unit: str, within: Band) -> list[Slip]:
    """The likely slips behind a value outside its band: the same figure in another unit, a tenth, ten times.

    >>> [slip.instead for slip in slips(72, "N.m", (3.1, 12.2))]
    ['72 lbf.in would be 8.1 N.m', '72 kgf.cm would be 7.1 N.m', 'a tenth would be 7.2 N.m']
    """
    if judged(to_base(number, unit), within) == "inside":
        return []
    return [slip for slip in _slips(number, unit) if judged(slip.base, within) == "inside"]


def _slips(number: float, unit: str) -> Iterator[Slip]:
    for other in KINDS["torque"]:
        if other != unit:
            base = to_base(number, other)
            yield Slip(number, other, base, f"{_figure(number, other)} would be {newton_metres(base)}")
    for slip, tree in SLIPS.items():
        meant = figure(tree, number=number)
        if meant is not None:
            base = to_base(meant, unit)
            also = "" if unit == "N.m" else f"{_figure(meant, unit)}, "
            yield Slip(meant, unit, base, f"{SLIP_WORDS[slip]} would be {also}{newton_metres(base)}")


def _figure(number: float, unit: str) -> str:
    return f"{shown(to_base(number, unit), unit)} {unit}"


def _past(number: float, unit: str, within: Band) -> str:
    """A torque as it is told beside a band that it lies outside of: as it was written, and in N.m too where it has
    another unit, with one digit more as long as it would read as an end of the band."""
    written = f"{number:.{NOISE}g} {unit}"
    if unit == "N.m":
        return written
    base, ends = to_base(number, unit), {newton_metres(end) for end in within}
    rough = newton_metres(base)
    finer = (f"{base:.{few}g} N.m" for few in range(DIGITS, NOISE + 1))
    told = next((text for text in finer if text not in {f"{end:g} N.m" for end in within}), f"{base!r} N.m")
    return f"{written} ({told if rough in ends else rough})"


def newton_metres(base: float) -> str:
    """A torque that is only told to be compared: three digits, or two below 1 N.m and ten.

    >>> newton_metres(8.1349), newton_metres(117.39), newton_metres(0.7)
    ('8.1 N.m', '117 N.m', '0.70 N.m')
    """
    return f"{shown(base, 'N.m', figure(TORQUE['rough'], value=base))} N.m"


def band_text(within: Band) -> str:
    """`7.4 to 29.8 N.m`."""
    return f"{newton_metres(within[0]).removesuffix(' N.m')} to {newton_metres(within[1])}"


def caution(number: float, unit: str, joint: Joint) -> str | None:
    """What is said of a final torque outside the band of its bolt; None when it is inside, or there is no band.

    >>> caution(72, "N.m", Joint(Thread(6, 1), "8.8"))
    '72 N.m is more than an M6x1 bolt of class 8.8 takes: 3.1 to 12.2 N.m. 72 lbf.in would be 8.1 N.m; 72 kgf.cm would be 7.1 N.m; a tenth would be 7.2 N.m. Look at the source again.'
    """  # noqa: E501 - one line of text
    within = band(joint)
    verdict = judged(to_base(number, unit), within) if within else "inside"
    if within is None or verdict == "inside":
        return None
    found = "; ".join(slip.instead for slip in slips(number, unit, within))
    parts = [
        f"{_past(number, unit, within)} is {_than(joint, verdict)}: {band_text(within)}.",
        f"{found[:1].upper()}{found[1:]}." if found else "",
        "Look at the source again.",
        *unjudged(joint),
    ]
    return " ".join(part for part in parts if part)


def _than(joint: Joint, verdict: Side) -> str:
    if verdict == "above" and limited_by(joint) == "thread":
        return f"more than the thread in {joint.into} holds with an {joint.thread} bolt".replace("an 1", "a 1")
    than, does = ("more", "takes") if verdict == "above" else ("less", "is given")
    return f"{than} than {bolt_named(joint)} {does}"


def bolt_named(joint: Joint) -> str:
    """`an M6x1 bolt of class 8.8`, `a 1/4-20 UNC bolt of grade 5`."""
    article = "a" if joint.thread.inch else "an"
    return f"{article} {joint.thread} bolt of {named(joint.cls)}"


def unjudged(joint: Joint) -> list[str]:
    """What nothing is known of, and so nothing is said of: each a sentence with the reason. Empty if there is none."""
    return [said for said in (_thread_unjudged(joint), _band_unjudged(joint)) if said]


def _thread_unjudged(joint: Joint) -> str:
    if is_as_strong(joint.into):
        return ""
    where = f"Into {joint.into}: "
    if shear_strength(joint.into) is None:
        weaker = WEAKER if (joint.into or "").strip().lower().startswith(CASTINGS) else ""
        return f"{where}{weaker}{'It' if weaker else 'what holds the bolt there'} is not judged: no strength is known."
    if joint.engaged is None:
        return f"{where}{WEAKER}It is not judged: the engaged length of thread is not known."
    return f"{where}so short a thread holds nothing." if joint.strips_at == 0 else ""


def _band_unjudged(joint: Joint) -> str:
    if joint.strength is None:
        return f"The torque is not judged: there are no figures for {bolt_named(joint)}."
    if joint.rubs is None:
        return "The torque is not judged: dry stainless steel rubs with 0.30 and more, and may seize."
    if head(joint.thread, joint.head) is None:
        return f"The torque is not judged: there are no figures for a {joint.head} head on {joint.thread}."
    return ""


# --- angle stages -----------------------------------------------------------------------------------------------------

ANGLE_UNJUDGED = "The angle is not judged: the grip length is not known."
ANGLE_WITHOUT_END = "The angle is not judged: no standard says how far such a bolt stretches."


def turn_band(joint: Joint) -> Span | None:
    """Least and greatest sane angle of all stages together, degrees; None where it is not judged."""
    strength = joint.strength
    if strength is None or joint.grip is None:
        return None
    return sane_turn(joint.thread, joint.cls, strength, joint.grip)


def turn_unjudged(joint: Joint) -> str:
    """Why an angle stage is not judged; empty where it is."""
    if joint.strength is None:
        return f"The angle is not judged: there are no figures for {bolt_named(joint)}."
    if joint.grip is None:
        return ANGLE_UNJUDGED
    return ANGLE_WITHOUT_END if turn_band(joint) is None else ""


def turn_caution(degrees: float, joint: Joint) -> str | None:
    """What is said of an angle that is too small or too large for its bolt; None when it is sane or not judged."""
    within = turn_band(joint)
    verdict = judged(degrees, within) if within else "inside"
    if within is None or verdict == "inside":
        return None
    than = "more" if verdict == "above" else "less"
    return (
        f"{degrees:.12g} deg is {than} than {bolt_named(joint)} is turned at a grip of {joint.grip:g} mm: "
        f"{within[0]:g} to {within[1]:g} deg. Look at the source again."
    )


def turn_pull(joint: Joint, degrees: float) -> Span | None:
    """Return what an angle adds to the pull while nothing yields, least and most, kN; None without a grip length."""
    return None if joint.grip is None else added_pull(joint.thread, joint.cls, joint.grip, degrees)


def snug_pull(joint: Joint, torque: float) -> Span | None:
    """Return the pull that a torque leaves, least and most, kN; None where friction or head have no figures."""
    if joint.rubs is None or head(joint.thread, joint.head) is None:
        return None
    least, most = (torque / lever_of(joint.thread, friction, kind=joint.head) for friction in joint.rubs[::-1])
    return least, most
