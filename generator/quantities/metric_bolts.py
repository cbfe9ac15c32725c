"""Metric bolts: thread, property class, and the preload and torque that go with a friction. mm, mm2, MPa, kN, N.m.

The torque is that of VDI 2230 part 1: thread and head have one friction, the head bears on a flat hexagon washer face.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

# ISO 261, coarse pitches, mm.
COARSE: Mapping[float, float] = {
    1.6: 0.35, 2: 0.4, 2.5: 0.45, 3: 0.5, 3.5: 0.6, 4: 0.7, 5: 0.8, 6: 1, 7: 1, 8: 1.25, 10: 1.5, 12: 1.75, 14: 2,
    16: 2, 18: 2.5, 20: 2.5, 22: 2.5, 24: 3, 27: 3, 30: 3.5, 33: 3.5, 36: 4,
}  # fmt: skip
# Thread: washer face of the head (least diameter of ISO 4014 and 4017, grade A up to M24, then B), clearance hole
# (ISO 273, medium). From memory; faces and holes of M6 to M12 are also those behind the printed torques of VDI 2230.
_HEADS: Mapping[float, tuple[float, float]] = {
    1.6: (2.27, 1.8), 2: (3.07, 2.4), 2.5: (4.07, 2.9), 3: (4.57, 3.4), 3.5: (5.07, 3.9), 4: (5.88, 4.5),
    5: (6.88, 5.5), 6: (8.88, 6.6), 7: (9.63, 7.6), 8: (11.63, 9), 10: (14.63, 11), 12: (16.63, 13.5),
    14: (19.64, 15.5), 16: (22.49, 17.5), 18: (25.34, 20), 20: (28.19, 22), 22: (31.71, 24), 24: (33.61, 26),
    27: (38, 30), 30: (42.75, 33), 33: (46.55, 36), 36: (51.11, 39),
}  # fmt: skip
_NEARLY = re.compile(r"[Mm] ?(?P<d>[0-9]{1,2}(?:[.,][0-9])?)(?P<rest>.*)|(?P<bare>[0-9]{1,2}) ?[x×X*] ?(?P<p>[0-9.,]+)")
_PITCH = re.compile(r"[ -]*[x×X*/-]? ?(?P<pitch>[0-9](?:[.,][0-9]{1,3})?)")
_THREAD = re.compile(r"M(?P<d>[0-9]{1,2}(?:\.[0-9])?)(?:\s?[x×X]\s?(?P<pitch>[0-9](?:\.[0-9]{1,3})?))?")
TO_YIELD = 0.9
"""Share of the yield point that tightening may use up, pull and twist together."""


@dataclass(frozen=True)
class Thread:
    """A metric thread: outer diameter and pitch, mm."""

    d: float
    pitch: float

    def __str__(self) -> str:
        return f"M{self.d:g}x{self.pitch:g}"


@dataclass(frozen=True)
class Strength:
    """What a property class holds at least: tensile strength, yield point (or 0.2 % limit) and proof stress, MPa."""

    tensile: float
    yields: float
    proof: float


# ISO 898-1, least values. The mark on the head names round figures, lower for some: 10.9 says 900 and means 940. The
# values of 4.8 and 5.8 are those for reckoning; the standard does not test them.
CLASSES: Mapping[str, Strength] = {
    "4.8": Strength(420, 340, 310),
    "5.8": Strength(520, 420, 380),
    "8.8": Strength(800, 640, 580),
    "9.8": Strength(900, 720, 650),
    "10.9": Strength(1040, 940, 830),
    "12.9": Strength(1220, 1100, 970),
}
# Classes of ISO 898-1 that are not among those above, and of nuts in ISO 898-2. From memory.
OTHER_CLASSES = ("4.6", "5.6", "6.8", "04", "05", "5", "6", "8", "9", "10", "12")
_THICK = 16
# Above M16: 8.8 is a little stronger, 9.8 is not made.
_THICKER: Mapping[str, Strength | None] = {"8.8": Strength(830, 660, 600), "9.8": None}


def thread_of(text: str) -> Thread | None:
    """The metric thread that a text names; without a pitch the coarse one. None for any other thread.

    A pitch coarser than the coarse one is a slip, and no thread.

    >>> thread_of("M8x1.25"), thread_of("M8"), thread_of("M10×1.25"), thread_of("G 1/4"), thread_of("M8x12.5")
    (Thread(d=8.0, pitch=1.25), Thread(d=8.0, pitch=1.25), Thread(d=10.0, pitch=1.25), None, None)
    """
    match = _THREAD.fullmatch(text.strip())
    coarse = COARSE.get(float(match["d"])) if match else None
    if match is None or coarse is None:
        return None
    pitch = float(match["pitch"] or coarse)
    return Thread(float(match["d"]), pitch) if coarse / 4 <= pitch <= coarse else None


def nearly_a_thread(text: str) -> bool:
    """True if a text looks like a metric thread and is none, so that it is a slip. Not of a size without figures here,
    and of one with more said of it (left-hand, a tolerance).

    >>> nearly_a_thread("M10-1.5"), nearly_a_thread("10x1.5"), nearly_a_thread("M8x12.5")
    (True, True, True)
    >>> nearly_a_thread("G 1/4"), nearly_a_thread("M9x1"), nearly_a_thread("M10x1.5 LH")
    (False, False, False)
    """
    near = None if thread_of(text) else _NEARLY.fullmatch(text.strip())
    begins = _THREAD.match(text.strip())
    if near is None or begins is None:
        return near is not None
    more = text.strip()[begins.end() :]
    is_whole = begins["pitch"] is not None and (
        not more or re.fullmatch(r"[ -]+[0-9]{0,2}[A-Za-z].*", more) is not None
    )
    return not is_whole or (float(begins["d"]) in COARSE and thread_of(begins[0]) is None)


def meant_thread(text: str) -> Thread | None:
    """Return the thread that was surely meant by one of those: with the size and the pitch that are written.

    >>> meant_thread("M10-1.5"), meant_thread("m8 x 1,25"), meant_thread("10x1.5"), meant_thread("M8x12.5")
    (Thread(d=10.0, pitch=1.5), Thread(d=8.0, pitch=1.25), Thread(d=10.0, pitch=1.5), None)
    """
    near = _NEARLY.fullmatch(text.strip())
    pitch = _PITCH.fullmatch(near["rest"]) if near and near["rest"] else None
    if near is None or (near["rest"] and pitch is None):
        return None
    said = near["p"] if near["bare"] else pitch["pitch"] if pitch else ""
    return thread_of(f"M{near['bare'] or near['d']}{'x' + said if said else ''}".replace(",", "."))


def meant_class(text: str) -> str | None:
    """Return the property class whose figures a text has: 109 and 10,9 are 10.9. None for any other.

    >>> meant_class("109"), meant_class("8,8"), meant_class("A2-70")
    ('10.9', '8.8', None)
    """
    digits = re.sub("[., ]", "", text)
    return next((cls for cls in CLASSES if cls.replace(".", "") == digits), None)


def strength_of(cls: str, thread: Thread) -> Strength | None:
    """Return the least strength of a property class in this size; None for brass, stainless and others without a
    class."""
    return _THICKER[cls] if thread.d > _THICK and cls in _THICKER else CLASSES.get(cls)


def pitch_diameter(thread: Thread) -> float:
    """d2, mm."""
    return thread.d - 0.649519 * thread.pitch


def minor_diameter(thread: Thread) -> float:
    """d3, at the root of the bolt's thread, mm."""
    return thread.d - 1.226869 * thread.pitch


def stress_area(thread: Thread) -> float:
    """The area that pull and strength are reckoned over, mm2.

    >>> round(stress_area(Thread(8, 1.25)), 2)
    36.61
    """
    return math.pi / 4 * (thread.d - 0.938194 * thread.pitch) ** 2


def head(thread: Thread) -> tuple[float, float]:
    """Return the bearing diameter and the hole diameter under a hexagon head, mm. Raises KeyError for a size
    `COARSE` lacks."""
    return _HEADS[thread.d]


def proof_load(thread: Thread, strength: Strength) -> float:
    """Return the pull that leaves no lasting stretch, kN."""
    return stress_area(thread) * strength.proof / 1000


def yield_load(thread: Thread, strength: Strength) -> float:
    """Return the pull at which the bolt yields, without any twist, kN."""
    return stress_area(thread) * strength.yields / 1000


def preload(thread: Thread, strength: Strength, friction: float, share: float = TO_YIELD) -> float:
    """Return the pull that tightening leaves when pull and twist together reach this share of yield, kN."""
    middle = (pitch_diameter(thread) + minor_diameter(thread)) / 2
    rise = thread.pitch / (math.pi * pitch_diameter(thread))
    twist = 1.5 * pitch_diameter(thread) / middle * (rise + 1.155 * friction)
    return share * yield_load(thread, strength) / math.sqrt(1 + 3 * twist**2)


def lever_of(thread: Thread, friction: float, under_head: float | None = None) -> float:
    """Torque for each newton of pull: the thread's rise, its friction and that under the head, mm (N.m a kN).

    `under_head`: the mean diameter that rubs there, mm; without it that of a hexagon head.
    """
    rubs = under_head or sum(head(thread)) / 2
    return 0.16 * thread.pitch + friction * (0.58 * pitch_diameter(thread) + rubs / 2)


def nut_factor(thread: Thread, friction: float, under_head: float | None = None) -> float:
    """K of the shop's rule: torque = K times pull times diameter.

    >>> round(nut_factor(Thread(8, 1.25), 0.15), 2)
    0.2
    """
    return lever_of(thread, friction, under_head) / thread.d


def tightening(thread: Thread, strength: Strength, friction: float, share: float = TO_YIELD) -> float:
    """The torque that leaves that preload, N.m.

    >>> round(tightening(Thread(8, 1.25), CLASSES["8.8"], 0.12), 1)
    24.6
    """
    return preload(thread, strength, friction, share) * lever_of(thread, friction)
