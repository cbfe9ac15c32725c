"""The tensioner: bled in a press, seated, set, and measured."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BAD, BELT, GOOD, INK, METAL, MOVE, PAPER, PART, SMALL, SOFT, THIN
from tools.drawings.shapes import (
    arrow,
    belt_run,
    circle,
    clock,
    divider,
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
    tilted,
    turn_arrow,
)


def hydraulic(x: float, top: float, out: float, wide: float = 40, tall: float = 50, pinned: bool = False) -> ET.Element:
    """Return a hydraulic tensioner that stands upright, its body from y = `top`, its rod `out` above it."""
    hole = top + 10
    parts = [
        rect(x - 6, top - out, 12, out + 4, fill=PAPER),
        rect(x - wide / 2, top, wide, tall, r=4),
        circle(x, hole, 3, fill=PAPER),
    ]
    if pinned:
        parts += [retaining_pin(x, hole)]
    return group(*parts)


def retaining_pin(x: float, y: float) -> ET.Element:
    """Return the retaining pin from its side, through (x, y), its ring to the right."""
    return group(
        line(x - 26, y, x + 26, y, stroke=MOVE, width=4), circle(x + 31, y, 5, fill=PAPER, stroke=MOVE, width=3)
    )


def _press(pad: float) -> Parts:
    """A press with its foot at y = 134; the pad of its screw stands at y = `pad`."""
    return [
        rect(12, 26, 84, 9, fill=METAL),
        rect(12, 134, 84, 9, fill=METAL),
        rect(12, 35, 7, 99, fill=METAL),
        rect(89, 35, 7, 99, fill=METAL),
        rect(49, 20, 10, pad - 25, fill=METAL),
        rect(41, pad - 5, 26, 6, fill=METAL),
    ]


FRAMES = ("1 Touch", "2 Pin out", "3 Let out", "4 Stand", "5 Press", "6 Pin in")


def _frame(at: int, pad: float, out: float, *more: ET.Element, pinned: bool = False) -> ET.Element:
    x, y = 109 * (at % 3), 170 * (at // 3) + 4
    title = text(10, 12, FRAMES[at], bold=True, size=SMALL)
    return group(title, *_press(pad), hydraulic(54, 84, out, pinned=pinned), *more, move=(x, y))


@drawing(
    "tensioner-bleed-in-six-frames",
    height=336,
    title="The bleed in six frames",
    alt="Six frames: press touches the rod, shipping pin out, let the rod out slowly, let it stand, press it in with "
    "pauses, pin in.",
    question="At which two frames do you wait?",
    answer="At 4, Stand, and at 5, Press: a clock stands beside the rod.",
    keys=("wait-stand", "wait-press"),
)
def bleed() -> Parts:
    down, up = arrow(78, 48, 78, 72), arrow(78, 72, 78, 48)
    drawn = [line(74, 94, 92, 94, stroke=MOVE, width=4), circle(96, 94, 4, fill=PAPER, stroke=MOVE, width=3)]
    return [
        _frame(0, 69, 14, pinned=True),
        _frame(1, 69, 14, *drawn, arrow(62, 112, 92, 112)),
        _frame(2, 47, 36, up),
        _frame(3, 40, 36, group(clock(76, 62, 11), key="wait-stand")),
        _frame(4, 58, 25, down, group(clock(33, 73, 9), key="wait-press")),
        _frame(5, 69, 14, pinned=True),
        divider(109, 8, 328),
        divider(218, 8, 328),
        shelf(164),
    ]


@drawing(
    "tensioner-in-the-press",
    height=276,
    title="How the rod is pressed",
    alt="Right, a press that pushes straight along the rod. Wrong, a bench vice: its jaw leans, "
    "pushes beside the rod's line and bends the rod.",
    question="On which side of the rod's line does the leaning jaw push, in the picture?",
    answer="Above the line, so the rod bends upwards.",
    keys=("bent", "jaw", "pushed"),
)
def in_the_press() -> Parts:
    return [
        *good_beside_bad(240),
        rect(24, 44, 116, 13, fill=METAL),
        rect(24, 196, 116, 13, fill=METAL),
        rect(24, 57, 10, 139, fill=METAL),
        rect(130, 57, 10, 139, fill=METAL),
        rect(75, 36, 14, 58, fill=METAL),
        rect(64, 94, 36, 8, fill=METAL),
        hydraulic(82, 136, 34, 50, 60),
        line(82, 30, 82, 220, stroke=MOVE, dash="6 4"),
        arrow(114, 70, 114, 104),
        text(82, 236, "along the rod", anchor="middle", size=SMALL),
        rect(172, 196, 126, 14, fill=METAL),
        rect(174, 100, 14, 96, fill=METAL),
        rect(188, 130, 48, 50, r=4),
        line(184, 156, 300, 156, stroke=MOVE, dash="6 4"),
        group(path("M236 150 Q252 148 268 126 L276 133 Q258 161 236 162 Z", fill=PAPER), key="bent"),
        group(polygon([(262, 96), (276, 94), (292, 196), (278, 196)], fill=METAL), key="jaw"),
        group(arrow(320, 128, 286, 128, BAD), text(176, 236, "jaw leans, rod bends", size=SMALL), key="pushed"),
        text(262, 88, "jaw", size=SMALL),
        text(174, 88, "vice", size=SMALL),
        text(164, 264, "Upright or not: the sheet says.", anchor="middle", size=SMALL),
    ]


def _slotted(x: float) -> Parts:
    """The engine cut through, with a slot in its face."""
    return [
        polygon(
            [
                (x, 214),
                (x, 150),
                (x + 96, 150),
                (x + 96, 168),
                (x + 114, 168),
                (x + 114, 150),
                (x + 144, 150),
                (x + 144, 214),
            ]
        )
    ]


def _seated(x: float, lug: float) -> Parts:
    """A tensioner on its plate, the lug below the plate at `lug`."""
    return [
        rect(x + 40, 76, 56, 62, fill=METAL),
        rect(x + 60, 62, 16, 14, fill=METAL, r=2),
        polygon(
            [
                (x + 12, 138),
                (x + 132, 138),
                (x + 132, 150),
                (lug + 13, 150),
                (lug + 13, 165),
                (lug, 165),
                (lug, 150),
                (x + 12, 150),
            ],
            fill=METAL,
        ),
    ]


@drawing(
    "tensioner-lug-in-its-slot",
    height=286,
    title="The tensioner's lug in its slot",
    alt="Right: the lug sits in its slot and the plate lies flat on the engine. Wrong: the lug sits beside the slot, "
    "and the plate stands off with a gap.",
    question="What is the small piece under the plate called that must sit in the slot of the engine?",
    answer="The lug.",
    keys=("named", "named-again"),
)
def lug() -> Parts:
    return [
        *good_beside_bad(276),
        *_slotted(10),
        *_seated(10, 108),
        text(12, 128, "plate", size=SMALL),
        group(text(70, 204, "lug", size=SMALL), leader(92, 194, 113, 159), key="named"),
        text(18, 204, "engine", size=SMALL),
        lines(10, 244, "In its slot:", "plate flat, no gap.", size=SMALL),
        *_slotted(176),
        tilted(-10.5, (188, 150), *_seated(176, 256)),
        text(294, 186, "slot", size=SMALL),
        group(text(238, 186, "lug", size=SMALL), leader(254, 174, 262, 144), key="named-again"),
        text(184, 204, "engine", size=SMALL),
        measure(312, 124, 312, 150, BAD),
        lines(174, 244, "Beside its slot:", "plate stands off.", size=SMALL, colour=BAD),
    ]


def _eccentric(x: float, y: float, angle: float, pointer: float, dash: str | None = None) -> Parts:
    """A roller whose bolt (x, y) is off its centre; the centre lies at `angle` from the bolt."""
    cx, cy = polar(x, y, 15, angle)
    tip = polar(x, y, 62, pointer)
    arm = [line(x, y, *tip, width=4), circle(*tip, 3, fill=INK)]
    return [
        circle(cx, cy, 38, fill=METAL),
        circle(cx, cy, 26, fill=PART),
        *arm,
        circle(x, y, 9, fill=PAPER),
        circle(x, y, 3, fill=INK),
    ]


def _notch(x: float, y: float) -> Parts:
    return [path(f"M{x - 24} {y - 18} H{x + 24} V{y} H{x + 6} L{x} {y - 9} L{x - 6} {y} H{x - 24} Z", fill=PART)]


@drawing(
    "eccentric-and-pointer",
    height=336,
    title="The eccentric and its pointer",
    alt="Turned the sheet's way, here counter-clockwise, the roller swings into the belt and the pointer "
    "meets the notch. The other way it backs off.",
    question="Which way must this eccentric be turned so that its roller swings into the belt?",
    answer="Counter-clockwise; then the pointer meets the notch.",
    keys=("right-way", "wrong-way"),
)
def eccentric() -> Parts:
    start = [circle(*polar(62, 166, 15, 180), 38, fill="none", stroke=SOFT, width=THIN, dash="4 4")]
    return [
        *good_beside_bad(326, "Into the belt", "Backs off"),
        *_notch(62, 96),
        *_notch(228, 96),
        group(
            belt_run("M120 56 Q116 166 120 270"),
            *_eccentric(62, 166, 110, 0),
            *start,
            turn_arrow(62, 166, 52, 345, 285),
            key="right-way",
        ),
        group(
            belt_run("M282 56 C296 110 268 150 284 200 S278 250 282 270"),
            *_eccentric(228, 166, 250, 140),
            group(*start, move=(166, 0)),
            turn_arrow(228, 166, 42, 10, 75, BAD),
            key="wrong-way",
        ),
        lines(10, 300, "Your engine's way:", "see the sheet.", size=SMALL),
        lines(174, 300, "Belt stays slack,", "pointer is off.", size=SMALL),
    ]


def _rod(x: float) -> Parts:
    """A tensioner with its boot, its rod against the arm."""
    return [
        rect(x - 7, 104, 14, 90, fill=PAPER),
        rect(x - 30, 190, 60, 74, r=4),
        path(f"M{x - 20} 190 L{x - 12} 164 H{x + 12} L{x + 20} 190 Z", fill=BELT),
        rect(x - 46, 84, 92, 20, fill=METAL, r=6),
    ]


@drawing(
    "stick-out-measured",
    height=352,
    title="Where the stick-out is measured",
    alt="Measure the stick-out from the flat face of the body to the tip of the rod. Measured from the top of the "
    "rubber boot it reads too short.",
    question="Between which two points is the stick-out measured?",
    answer="From the flat face of the body to the tip of the rod.",
    keys=("measured", "from-face", "from-boot", "said-boot"),
)
def stick_out() -> Parts:
    return [
        *good_beside_bad(326),
        *_rod(66),
        *_rod(230),
        text(54, 74, "arm", size=SMALL),
        text(30, 144, "rod", size=SMALL),
        text(194, 144, "rod", size=SMALL),
        text(8, 182, "boot", size=SMALL),
        text(172, 182, "boot", size=SMALL),
        text(218, 74, "arm", size=SMALL),
        text(52, 234, "body", size=SMALL),
        text(216, 234, "body", size=SMALL),
        group(
            line(76, 104, 140, 104, width=THIN),
            line(96, 190, 140, 190, width=THIN),
            measure(130, 104, 130, 190, GOOD),
            key="measured",
        ),
        group(
            text(100, 74, "stick-out", size=SMALL, colour=GOOD),
            lines(10, 296, "from the body's flat", "face to the rod's tip", size=SMALL),
            key="from-face",
        ),
        group(
            line(240, 104, 304, 104, width=THIN),
            line(242, 164, 304, 164, width=THIN),
            measure(294, 104, 294, 164, BAD),
            key="from-boot",
        ),
        group(lines(174, 296, "from the boot:", "reads too short", size=SMALL), key="said-boot"),
        text(164, 342, "Other points on your sheet? Take those.", anchor="middle", size=SMALL),
    ]
