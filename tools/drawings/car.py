"""The car and its engine: how they are held up."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BAD, BELT, INK, METAL, MOVE, OIL, PAPER, PART, SMALL, THIN
from tools.drawings.shapes import (
    circle,
    divider,
    engine_mark,
    good_beside_bad,
    group,
    leader,
    line,
    lines,
    measure,
    path,
    polar,
    polygon,
    rect,
    shelf,
    text,
)


def side_view(x: float, y: float) -> ET.Element:
    """A car from its side, 124 long, its sill at y."""
    body = "M0 0 V-22 Q4 -30 26 -32 L44 -50 H86 L104 -32 Q122 -30 124 -20 V0 Z"
    return group(
        path(body, fill=PART),
        path("M36 -32 L48 -45 H83 L95 -32 Z", fill=PAPER, width=THIN),
        *(circle(at, 3, 13, fill=METAL) for at in (26, 98)),
        move=(x, y),
    )


def _floor(x: float, y: float) -> ET.Element:
    return line(x, y, x + 148, y, width=3)


def _post(x: float) -> Parts:
    """A lift's pad under the sill, at the height of a hand's breadth."""
    return [rect(x - 4, 275, 8, 31, fill=METAL), rect(x - 10, 270, 20, 5, fill=METAL)]


def _stand(x: float, top: float, floor: float) -> ET.Element:
    return polygon([(x - 5, top), (x + 5, top), (x + 12, floor), (x - 12, floor)], fill=METAL)


@drawing(
    "chocks-pad-shake-stands",
    height=346,
    title="Chocks, pad, shake, stands",
    alt="1 Chocks on both sides of a wheel. 2 Pad under the lift point. 3 A hand's breadth up: shake the car. "
    "4 Up, on stands: shake again before anybody goes under.",
    question="How high is the car when it is shaken for the first time?",
    answer="A hand's breadth off the floor.",
    keys=("raised", "hand-high", "said-high"),
)
def chocks() -> Parts:
    return [
        text(10, 22, "1 Chocks", bold=True),
        text(174, 22, "2 Pad on point", bold=True),
        text(10, 190, "3 Shake", bold=True),
        text(174, 190, "4 Stands, shake", bold=True),
        divider(164, 8, 336),
        shelf(170),
        circle(82, 92, 40, fill=METAL),
        circle(82, 92, 18, fill=PAPER),
        polygon([(26, 132), (36, 104), (68, 132)], fill=OIL),
        polygon([(138, 132), (128, 104), (96, 132)], fill=OIL),
        _floor(8, 134),
        text(10, 156, "both sides", size=SMALL),
        path("M184 38 H310 V74 H254 V88 H240 V74 H184 Z", fill=PART),
        polygon([(214, 75), (239, 75), (239, 90), (255, 90), (255, 75), (280, 75), (280, 104), (214, 104)], fill=BELT),
        rect(234, 105, 26, 30, fill=METAL),
        text(284, 98, "pad", size=SMALL),
        text(190, 60, "sill", size=SMALL),
        text(176, 156, "seam sits in the pad", size=SMALL),
        group(side_view(20, 270), *_post(73), *_post(92), key="raised"),
        _floor(8, 306),
        measure(50, 208, 114, 208),
        group(measure(12, 286, 12, 305), line(8, 286, 46, 286, width=THIN), key="hand-high"),
        group(text(10, 330, "a hand's breadth", size=SMALL), key="said-high"),
        side_view(184, 262),
        _stand(231, 262, 306),
        _stand(261, 262, 306),
        _floor(172, 306),
        measure(214, 204, 278, 204),
        text(174, 330, "then go under", size=SMALL),
    ]


def _engine(x: float, y: float, dent: bool = False) -> ET.Element:
    """An engine from the front on its thin sump; its mount is off."""
    floor = "H-18 Q0 88 18 114 H28" if dent else "H28"
    return group(
        path(f"M-34 84 L-28 114 {floor} L34 84 Z", fill=PAPER, width=3),
        rect(-38, 0, 76, 84, r=4),
        move=(x, y),
    )


@drawing(
    "support-beam-and-bare-sump",
    height=330,
    title="What carries the engine",
    alt="Right: a beam across the car holds the engine by its lifting eye. Wrong: a jack against the bare sump dents "
    "the thin pan and lets the engine tip.",
    question="Where does the right support take hold of the engine?",
    answer="At its lifting eye, from above.",
    keys=("hung", "chain", "said-beam"),
)
def support() -> Parts:
    return [
        *good_beside_bad(320, "Beam", "Bare sump"),
        rect(12, 52, 140, 12, fill=METAL),
        rect(16, 64, 12, 20, fill=METAL),
        rect(136, 64, 12, 20, fill=METAL),
        rect(8, 84, 28, 100),
        rect(128, 84, 28, 100),
        group(_engine(82, 128), circle(82, 117, 11, fill="none", width=4), key="hung"),
        group(
            path("M82 40 V92 L88 98 V111 a6 6 0 0 1 -12 0 v-5", stroke=MOVE, width=4),
            rect(74, 38, 16, 10, fill=METAL),
            key="chain",
        ),
        group(lines(10, 290, "by the lifting", "eye", size=SMALL), key="said-beam"),
        text(82, 176, "engine", size=SMALL, anchor="middle"),
        text(82, 232, "sump", size=SMALL, anchor="middle"),
        text(14, 46, "beam", size=SMALL),
        text(246, 176, "engine", size=SMALL, anchor="middle"),
        text(282, 252, "jack", size=SMALL),
        _engine(246, 128, dent=True),
        polygon([(234, 232), (238, 226), (254, 226), (258, 232), (254, 262), (238, 262)], fill=METAL),
        rect(216, 262, 60, 10, fill=METAL),
        lines(174, 290, "pan dents,", "engine tips", size=SMALL, colour=BAD),
    ]


def _damper(x: float, ring: float) -> Parts:
    """A crank pulley whose outer ring sits on rubber, the ring turned by an angle against the hub."""
    return [
        circle(x, 138, 58, fill=METAL),
        circle(x, 138, 44, fill=BELT),
        circle(x, 138, 38, fill=PART),
        circle(x, 138, 12, fill=PAPER),
        rect(x - 4, 122, 8, 10, fill=INK),
        engine_mark(x, 138, 62),
        line(*polar(x, 138, 46, ring), *polar(x, 138, 57, ring), width=5),
        line(*polar(x, 138, 22, 0), *polar(x, 138, 36, 0), width=3),
    ]


@drawing(
    "damper-ring-slipped",
    height=276,
    title="A damper ring that has slipped",
    alt="Right: the mark on the damper's ring stands in line with the hub's key. Wrong: the ring has slipped on its "
    "rubber, and its mark says nothing.",
    question="To which side has the ring slipped on its rubber?",
    answer="Clockwise: its mark stands to the right of the key.",
    keys=("ring-off", "said-off"),
)
def damper() -> Parts:
    return [
        *good_beside_bad(268, "Good", "Ring slipped"),
        *_damper(82, 0),
        text(14, 218, "rubber", size=SMALL),
        leader(36, 206, 52, 166),
        text(112, 218, "ring", size=SMALL),
        leader(124, 206, 114, 180),
        text(91, 125, "key", size=SMALL),
        lines(10, 244, "Ring mark in line", "with the key.", size=SMALL),
        group(*_damper(246, 32), key="ring-off"),
        group(lines(174, 244, "Key is up, the ring", "mark is not.", size=SMALL), key="said-off"),
    ]
