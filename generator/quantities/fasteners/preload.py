"""Bolts: thread, class or grade, and the preload and torque that go with a friction. mm, mm2, MPa, kN, N.m.

The torque is that of VDI 2230 part 1: thread and head have one friction, the head bears on a flat washer face. A metric
thread is that of ISO 68-1, an inch thread that of ASME B1.1; both have flanks of 60 degrees, so both go by one formula.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from generator.quantities.fasteners.standards import (
    CLASSES,
    COARSE,
    FLANGE,
    GRADES,
    HEXAGON,
    INCH,
    INCH_FACE,
    INCH_FLANGE,
    INCH_FLANGE_FACE,
    INCH_SIZES,
    STAINLESS,
    STAINLESS_TO,
    THICK,
    THICKER,
    Strength,
)

METRIC = re.compile(r"[Mm](?P<d>[0-9]{1,2}(?:\.[0-9])?)(?:\s?[x×X]\s?(?P<pitch>[0-9](?:\.[0-9]{1,3})?))?")
_SIZES = "|".join(sorted(INCH_SIZES, key=len, reverse=True)).replace("-", "[- ]")
_INCH = re.compile(
    rf"(?P<size>{_SIZES})(?:\s?(?:in|\"))?(?:\s?-\s?(?P<turns>[0-9]{{1,2}}))?"
    r"(?:[- ](?P<series>UNC|UNF)(?:-[123][AB])?)?",
    re.IGNORECASE,
)
_GRADE = re.compile(r"(?:sae |grade |sae grade )?(?P<grade>[258])", re.IGNORECASE)
HEADS = ("hexagon", "flange")
TO_YIELD = 0.9
"""Share of the yield point that tightening may use up, pull and twist together."""


@dataclass(frozen=True)
class Thread:
    """A thread: outer diameter and pitch, mm. An inch thread has its name in `inch`, such as `1/4-20 UNC`."""

    d: float
    pitch: float
    inch: str | None = None

    def __str__(self) -> str:
        return self.inch or f"M{self.d:g}x{self.pitch:g}"


def thread_of(text: str) -> Thread | None:
    """The thread that a text names; a metric one without a pitch is the coarse one. None for any other thread.

    A pitch coarser than the coarse one is a slip, and no thread. An inch thread needs its turns or its series, and both
    must agree.

    >>> thread_of("M8x1.25"), thread_of("m8"), thread_of("M10×1.25"), thread_of("G 1/4"), thread_of("M8x12.5")
    (Thread(d=8.0, pitch=1.25, inch=None), Thread(d=8.0, pitch=1.25, inch=None), Thread(d=10.0, pitch=1.25, inch=None), None, None)
    >>> [str(thread_of(text)) for text in ("1/4-20", "5/16 UNF", "1-8 UNC-2A", "1/4-28 UNC", "1/4")]
    ['1/4-20 UNC', '5/16-24 UNF', '1-8 UNC', 'None', 'None']
    """  # noqa: E501 - one line of text
    match = METRIC.fullmatch(text.strip())
    if match is None:
        return _inch_thread(text.strip())
    coarse = COARSE.get(float(match["d"]))
    if coarse is None:
        return None
    pitch = float(match["pitch"] or coarse)
    return Thread(float(match["d"]), pitch) if coarse / 4 <= pitch <= coarse else None


def _inch_thread(text: str) -> Thread | None:
    match = _INCH.fullmatch(text)
    if match is None:
        return None
    name = match["size"].replace(" ", "-")
    size = INCH_SIZES[name]
    made = {"UNC": size.coarse, "UNF": size.fine}
    turns, series = match["turns"], (match["series"] or "").upper()
    fits = [one for one, of in made.items() if series in ("", one) and (turns is None or int(turns) == of)]
    if len(fits) != 1:
        return None
    (found,) = fits
    return Thread(size.d * INCH, INCH / made[found], f"{name}-{made[found]} {found}")


def class_of(text: str) -> str:
    """Return a class or grade as it is written here: `8.8`, `A2-70`, `grade 5`. An unknown one stays as it is.

    >>> class_of(" 8.8"), class_of("a4-80"), class_of("5"), class_of("SAE grade 8"), class_of("brass")
    ('8.8', 'A4-80', 'grade 5', 'grade 8', 'brass')
    """
    said = text.strip()
    grade = _GRADE.fullmatch(said)
    if grade:
        return f"grade {grade['grade']}"
    return said.upper() if said.upper() in STAINLESS else said


def named(cls: str) -> str:
    """Return a class or grade in words: `class 8.8`, `grade 5`, `A2-70`."""
    return cls if cls in GRADES or cls in STAINLESS else f"class {cls}"


def known_classes(thread: Thread | None) -> tuple[str, ...]:
    """Return every class or grade that a bolt with this thread may have; all of them for None."""
    metric, inch = (*CLASSES, *STAINLESS), tuple(GRADES)
    return (*metric, *inch) if thread is None else inch if thread.inch else metric


def strength_of(cls: str, thread: Thread) -> Strength | None:
    """Return the least strength of a class or grade in this size; None where there is none: for brass and others
    without a class, for a size that the standard leaves out, and for a metric class on an inch thread."""
    if thread.inch:
        rows = GRADES.get(cls, ())
        return next((strength for up_to, strength in rows if thread.d <= up_to * INCH * (1 + 1e-9)), None)
    if cls in STAINLESS:
        return STAINLESS[cls] if thread.d <= STAINLESS_TO or cls.endswith("-50") else None
    return THICKER[cls] if thread.d > THICK and cls in THICKER else CLASSES.get(cls)


def pitch_diameter(thread: Thread) -> float:
    """d2, mm."""
    return thread.d - 0.649519 * thread.pitch


def minor_diameter(thread: Thread) -> float:
    """d3, at the root of the bolt's thread, mm: ISO 724, and for an inch thread the UNR root of ASME B1.1."""
    return thread.d - (1.19078 if thread.inch else 1.226869) * thread.pitch


def stress_area(thread: Thread) -> float:
    """The area that pull and strength are reckoned over, mm2: ISO 898-1, ASME B1.1.

    >>> round(stress_area(Thread(8, 1.25)), 2)
    36.61
    """
    return math.pi / 4 * (thread.d - (0.974279 if thread.inch else 0.938194) * thread.pitch) ** 2


def head(thread: Thread, kind: str = "hexagon") -> tuple[float, float] | None:
    """Return the bearing diameter and the hole diameter under a head, `hexagon` or `flange`, mm. None where no figure
    is known: a flange head in a size that EN 1665 or ASME B18.2.1 lacks."""
    if thread.inch:
        return _inch_head(thread.inch.rsplit("-", 1)[0], kind)
    if thread.d not in HEXAGON:
        return None
    face, hole = HEXAGON[thread.d]
    if kind == "flange":
        return (FLANGE[thread.d], hole) if thread.d in FLANGE else None
    return face, hole


def _inch_head(name: str, kind: str) -> tuple[float, float] | None:
    size = INCH_SIZES[name]
    if kind != "flange":
        return INCH_FACE * size.flats * INCH, size.hole * INCH
    return (INCH_FLANGE_FACE * INCH_FLANGE[name] * INCH, size.hole * INCH) if name in INCH_FLANGE else None


def tensile_load(thread: Thread, strength: Strength) -> float:
    """Return the least pull at which the bolt breaks, kN."""
    return stress_area(thread) * strength.tensile / 1000


def proof_load(thread: Thread, strength: Strength) -> float | None:
    """Return the pull that leaves no lasting stretch, kN; None where the standard gives none."""
    return None if strength.proof is None else stress_area(thread) * strength.proof / 1000


def yield_load(thread: Thread, strength: Strength) -> float:
    """Return the pull at which the bolt yields, without any twist, kN."""
    return stress_area(thread) * strength.yields / 1000


def preload(thread: Thread, strength: Strength, friction: float, share: float = TO_YIELD) -> float:
    """Return the pull that tightening leaves when pull and twist together reach this share of yield, kN."""
    middle = (pitch_diameter(thread) + minor_diameter(thread)) / 2
    rise = thread.pitch / (math.pi * pitch_diameter(thread))
    twist = 1.5 * pitch_diameter(thread) / middle * (rise + 1.155 * friction)
    return share * yield_load(thread, strength) / math.sqrt(1 + 3 * twist**2)


def lever_of(thread: Thread, friction: float, under_head: float | None = None, kind: str = "hexagon") -> float:
    """Torque for each newton of pull: the thread's rise, its friction and that under the head, mm (N.m a kN).

    `under_head`: the mean diameter that rubs there, mm; without it that of the kind of head. Raises ValueError for a
    head without figures.
    """
    bears = head(thread, kind)
    if under_head is None and bears is None:
        raise ValueError(f"no figures for a {kind} head on {thread}")
    rubs = under_head if under_head is not None else sum(bears or ()) / 2
    return 0.16 * thread.pitch + friction * (0.58 * pitch_diameter(thread) + rubs / 2)


def nut_factor(thread: Thread, friction: float, under_head: float | None = None, kind: str = "hexagon") -> float:
    """K of the shop's rule: torque = K times pull times diameter.

    >>> round(nut_factor(Thread(8, 1.25), 0.15), 2)
    0.2
    """
    return lever_of(thread, friction, under_head, kind) / thread.d


def tightening(thread: Thread, strength: Strength, friction: float, share: float = TO_YIELD) -> float:
    """The torque that leaves that preload under a hexagon head, N.m.

    >>> round(tightening(Thread(8, 1.25), CLASSES["8.8"], 0.12), 1)
    24.6
    """
    return preload(thread, strength, friction, share) * lever_of(thread, friction)
