"""The belt itself: its parts, how far it bends, how it wears, and how ribs sit in their grooves."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BAD, BELT, GOOD, METAL, OIL, PAPER, SMALL, THIN
from tools.drawings.shapes import (
    belt_run,
    belt_section,
    divider,
    good_beside_bad,
    group,
    leader,
    line,
    lines,
    path,
    polygon,
    rect,
    shelf,
    sign,
    sprocket,
    text,
)


@drawing(
    "belt-and-its-parts",
    height=300,
    title="A belt and what is printed on it",
    alt="On its back: the running arrow, the date code and a painted line. From the side: rubber back, cords inside, "
    "and teeth. The cords carry the pull.",
    question="Where in the belt do the cords lie that carry its pull?",
    answer="Inside, between the back and the teeth.",
    keys=("cords",),
)
def parts() -> Parts:
    return [
        text(10, 24, "Its back", bold=True),
        rect(12, 62, 304, 44, fill=BELT),
        rect(232, 62, 9, 44, fill=PAPER, width=THIN),
        line(30, 84, 78, 84, stroke=PAPER, width=5),
        polygon([(94, 84), (76, 74), (76, 94)], fill=PAPER, stroke="none"),
        text(116, 89, "14/26", bold=True, colour=PAPER),
        leader(54, 52, 54, 61),
        text(10, 48, "running way", size=SMALL),
        leader(137, 52, 137, 61),
        text(110, 48, "date code", size=SMALL),
        leader(236, 52, 236, 61),
        text(208, 48, "painted line", size=SMALL),
        shelf(124),
        text(10, 148, "From the side", bold=True),
        _side(16, 196),
        leader(118, 186, 118, 200),
        text(100, 182, "back", size=SMALL),
        group(
            *(line(16, 210 + at, 256, 210 + at, stroke=PAPER, width=THIN, dash="7 3") for at in (-3, 3)),
            *(line(256, 210 + at, 280, 210 + 2 * at, width=THIN) for at in (-3, 3)),
            text(272, 240, "cords", size=SMALL),
            leader(278, 228, 236, 213),
            key="cords",
        ),
        leader(136, 268, 136, 249),
        text(116, 284, "teeth", size=SMALL),
    ]


def _side(x: float, y: float) -> ET.Element:
    """A large piece of belt from the side, five teeth."""
    d = f"M{x} {y} H{x + 240} V{y + 26}"
    for tooth in reversed(range(5)):
        left = x + 48 * tooth
        d += (
            f" L{left + 38} {y + 26} L{left + 33} {y + 52} L{left + 15} {y + 52} L{left + 10} {y + 26} L{left} {y + 26}"
        )
    return path(d + " Z", fill=BELT, stroke=BELT)


@drawing(
    "belt-bend",
    height=300,
    title="How far a belt may be bent",
    alt="Allowed: a loop no tighter than the smallest sprocket. Wrong: folded to a kink, which breaks the cords "
    "inside. Nothing can be seen afterwards.",
    question="How tight may the loop of a belt be at most?",
    answer="As tight as the smallest sprocket, the one on the crank.",
    keys=("smallest", "said-smallest"),
)
def bend() -> Parts:
    return [
        *good_beside_bad(290),
        belt_run("M44 200 V92 A38 38 0 0 1 120 92 V200"),
        group(sprocket(82, 92, 34, 20), key="smallest"),
        group(lines(10, 238, "Not tighter than", "the smallest", "sprocket.", size=SMALL), key="said-smallest"),
        belt_run("M238 200 C240 150 222 120 243 66 C246 60 250 60 253 66 C270 120 256 150 260 200"),
        *(
            line(243 + dx, 58 + dy, 248 + 2.2 * dx, 50 + 1.4 * dy, stroke=BAD, width=3)
            for dx, dy in ((-7, 0), (5, -8), (14, 2))
        ),
        lines(174, 238, "A kink breaks the", "cords inside. You", "do not see it.", size=SMALL),
    ]


def _worn(
    x: float,
    y: float,
    title: str,
    *damage: ET.Element,
    missing: Sequence[int] = (),
    good: bool = False,
    whole: bool = True,
) -> ET.Element:
    shown = [*([belt_section(0, 30, 6, missing=missing)] if whole else []), *damage]
    return group(
        sign(0, 16, good), text(23, 16, title, bold=True, colour=GOOD if good else BAD, size=SMALL), *shown, move=(x, y)
    )


@drawing(
    "belt-wear",
    height=254,
    title="Wear on a belt",
    alt="A good belt, and five bad ones: cracks at the root of the teeth, a tooth gone, cracks across the back, "
    "a frayed edge, wet with oil.",
    question='Which tooth of the belt "Tooth gone" is missing, counted from the left?',
    answer="The third tooth.",
    keys=("gone",),
)
def wear() -> Parts:
    roots = [line(22 * at + 5, 43, 22 * at + 9, 34, stroke=PAPER, width=2) for at in range(6)]
    back = [line(14 + 26 * at, 30, 17 + 26 * at, 39, stroke=PAPER, width=2) for at in range(5)]
    frayed = [
        rect(0, 30, 132, 24, fill=BELT, stroke="none"),
        path(
            "M0 54 l8 -6 9 5 7 -7 11 8 8 -9 10 8 9 -4 8 5 12 -9 9 8 11 -6 8 7 10 -8 12 8 V60 H0 Z",
            fill=PAPER,
            stroke="none",
        ),
        *(line(6 + 13 * at, 50, 3 + 13 * at, 60 - 3 * (at % 2), stroke=BELT, width=THIN) for at in range(10)),
    ]
    oil = [
        path("M20 56 q-6 10 0 13 q6 -3 0 -13 Z", fill=OIL),
        path("M86 56 q-6 10 0 13 q6 -3 0 -13 Z", fill=OIL),
        path("M8 38 q14 -12 30 -2 q10 8 -12 7 q-20 2 -18 -5 Z", fill=OIL),
        path("M72 36 q20 -8 34 1 q4 8 -18 6 q-18 0 -16 -7 Z", fill=OIL),
    ]
    return [
        _worn(12, 8, "Good", good=True),
        _worn(180, 8, "Cracked root"),
        group(*roots, move=(180, 8)),
        group(_worn(12, 92, "Tooth gone", missing=(2,)), key="gone"),
        _worn(180, 92, "Cracked back", *back),
        _worn(12, 176, "Edge frayed", *frayed, whole=False),
        _worn(180, 176, "Oily", *oil),
        divider(164, 8, 246),
        shelf(84),
        shelf(168),
    ]


def _grooves(x: float, y: float, key: str | None = None) -> ET.Element:
    """A pulley cut through, with five grooves in its top."""
    d = f"M{x} {y + 70} V{y} h8" + " l6 18 h4 l6 -18 h4" * 5 + f" h6 V{y + 70} Z"
    return group(path(d, fill=METAL), key=key)


def _ribs(x: float, y: float, key: str | None = None) -> ET.Element:
    """A ribbed belt cut through, five ribs down."""
    d = f"M{x} {y - 14} h96 V{y - 2}" + " l-6 17 h-4 l-6 -17 h-4" * 4 + " l-6 17 h-4 l-6 -17 Z"
    return group(path(d, fill=BELT, stroke=BELT), key=key)


@drawing(
    "rib-beside-its-groove",
    height=256,
    title="Every rib in its groove",
    alt="Correct: every rib of the accessory belt sits in a groove. Wrong: the belt sits one groove over. One rib "
    "hangs over the rim and one groove is empty.",
    question="The belt sits one groove over. On which side does a rib hang outside the pulley?",
    answer="On the left; the groove on the right is empty.",
    keys=("shifted", "said-shifted"),
)
def ribs() -> Parts:
    return [
        *good_beside_bad(246),
        _grooves(20, 100),
        _ribs(28, 101),
        lines(10, 206, "Rib in every", "groove.", size=SMALL),
        _grooves(196, 100),
        group(_ribs(184, 101), key="shifted"),
        group(lines(174, 206, "One rib outside,", "one groove empty.", size=SMALL), key="said-shifted"),
    ]
