"""Trade words of looking at a car and its engine, each with a small drawing for the guide's page of words."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from tools.drawings.car import side_view
from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BAD, BELT, INK, METAL, MOVE, OIL, PAPER, SMALL, THIN
from tools.drawings.shapes import (
    arrow,
    called,
    circle,
    group,
    leader,
    line,
    lines,
    path,
    pipe,
    polar,
    polygon,
    rect,
    sign,
    sprocket,
    text,
)


@drawing(
    "word-first-registration",
    height=138,
    title="First registration",
    alt="The car's papers. First registration is the day the car was first on the road, here 14 March 2017.",
    question="On which day was the car of these papers first on the road?",
    answer="On 14 March 2017.",
    keys=("date",),
)
def first_registration() -> Parts:
    return [
        rect(10, 10, 172, 118, fill=PAPER, r=4),
        text(22, 32, "car's papers", size=SMALL),
        line(22, 42, 170, 42, width=THIN),
        text(22, 66, "first registration", bold=True),
        group(text(22, 86, "14 March 2017", colour=MOVE), key="date"),
        *(line(22, y, 150, y, stroke=BELT, width=THIN) for y in (102, 116)),
        side_view(194, 84),
        line(190, 100, 322, 100, width=3),
        lines(194, 118, "first day on", size=SMALL),
        text(194, 133, "the road", size=SMALL),
    ]


def _cylinder(x: float) -> Parts:
    """A cylinder cut through from (x, 52) to its lower end at y = 136, valves shut, its plug hole in the middle."""
    return [
        path(f"M{x} 136 V52 H{x + 40} V34 H{x - 12} V136 Z", fill=METAL),
        path(f"M{x + 88} 136 V52 H{x + 48} V34 H{x + 100} V136 Z", fill=METAL),
        *(line(x + at, 20, x + at, 50, width=4) for at in (18, 70)),
        *(line(x + at - 12, 54, x + at + 12, 54, width=5) for at in (18, 70)),
        rect(x + 2, 104, 84, 32, fill=METAL, r=3),
        *(line(x + 2, y, x + 86, y, width=THIN) for y in (111, 117)),
    ]


@drawing(
    "word-leak-down-test",
    height=144,
    title="Leak-down test",
    alt="A leak-down test: air goes through the plug hole into a cylinder whose valves are shut. The gauge shows how "
    "much gets out.",
    question="What does the gauge on the cylinder show?",
    answer="How much air gets out.",
    keys=("out",),
)
def leak_down() -> Parts:
    return [
        *_cylinder(24),
        pipe("M68 66 V24 Q68 12 80 12 H152 Q166 12 166 26 V36", PAPER, 5),
        arrow(68, 64, 68, 94),
        circle(166, 68, 32, fill=PAPER),
        *(line(*polar(166, 68, 24, at), *polar(166, 68, 30, at)) for at in (-120, -72, -24, 24, 72, 120)),
        line(166, 68, *polar(166, 68, 24, -78), stroke=MOVE, width=3),
        circle(166, 68, 4, fill=INK),
        text(208, 26, "leak-down test", bold=True),
        text(208, 44, "air goes in", size=SMALL),
        group(lines(208, 72, "gauge: how", "much gets out", size=SMALL), key="out"),
        text(150, 130, "valves are shut", size=SMALL),
        line(146, 126, 132, 126, width=THIN),
        leader(132, 126, 98, 54),
    ]


@drawing(
    "word-borescope",
    height=144,
    title="Borescope",
    alt="A borescope: its small camera goes through the plug hole into the cylinder. Its screen shows what is inside.",
    question="What is the small camera called that goes through the plug hole?",
    answer="Borescope.",
    keys=("name",),
)
def borescope() -> Parts:
    return [
        *_cylinder(24),
        polygon([(68, 78), (40, 102), (96, 102)], fill=OIL, stroke=INK, width=THIN),
        pipe("M68 70 V24 Q68 12 80 12 H140 Q154 12 154 26 V44", BELT, 4),
        rect(63, 66, 10, 13, fill=BELT, r=3),
        rect(136, 44, 84, 58, r=6),
        rect(144, 52, 68, 42, fill=PAPER),
        circle(178, 73, 16, fill=METAL),
        path("M166 73 H190", width=THIN),
        rect(166, 102, 24, 28, fill=METAL, r=3),
        called(218, 26, "borescope", (214, 22), (152, 18)),
        text(230, 78, "its screen", size=SMALL),
        text(206, 138, "camera", size=SMALL),
        line(202, 134, 136, 134, width=THIN),
        leader(136, 134, 70, 74),
    ]


def _burst(x: float, y: float) -> Parts:
    """A flash: the mixture burns."""
    points = [polar(x, y, 16 if at % 2 else 8, 22.5 * at) for at in range(16)]
    return [polygon(points, fill=OIL)]


def _fires(x: float) -> ET.Element:
    return text(x, 132, "fires", anchor="middle", size=SMALL)


@drawing(
    "word-misfires",
    height=140,
    title="Misfire",
    alt="Four cylinders of an engine. Three of them fire. The third one does not: it misfires, and the engine shakes.",
    question="Which of the four cylinders misfires?",
    answer="The third.",
    keys=("fire", "none", "name"),
)
def misfires() -> Parts:
    middles = (40, 100, 160, 220)
    return [
        path("M12 16 H248 V114 H12 Z", fill=METAL),
        *(rect(x - 24, 24, 48, 90, fill=PAPER) for x in middles),
        *(rect(x - 22, 78, 44, 26, fill=METAL, r=3) for x in middles),
        *(text(x, 96, str(at), anchor="middle", bold=True) for at, x in enumerate(middles, 1)),
        group(*(part for x in (40, 100, 220) for part in (*_burst(x, 48), _fires(x))), key="fire"),
        group(sign(152, 58, False), key="none"),
        group(text(160, 132, "misfires", anchor="middle", bold=True), key="name"),
        lines(256, 58, "engine", "shakes", size=SMALL),
        path("M256 92 l8 -6 l8 8 l8 -8 l8 8 l8 -6", stroke=BAD, width=3),
    ]


@drawing(
    "word-offset",
    height=146,
    title="Offset",
    alt="Two lines on a cam that do not meet: where it stands and where the crank puts it. The angle between them is "
    "the offset.",
    question="What is the angle called between where the cam stands and where it should stand?",
    answer="Offset.",
    keys=("name",),
)
def offset() -> Parts:
    x, y, turned = 84, 92, 30
    right, top = polar(x, y, 40, turned)
    return [
        sprocket(x, y, 48, 30),
        path(f"M{x} {y} V{y - 40} A40 40 0 0 1 {right:.2f} {top:.2f} Z", fill=OIL),
        line(x, y, x, 26, width=3, dash="6 4"),
        line(x, y, *polar(x, y, 66, turned), stroke=MOVE, width=4),
        circle(x, y, 8, fill=PAPER),
        text(80, 22, "should be", anchor="end", size=SMALL),
        text(122, 30, "cam is here", size=SMALL, colour=MOVE),
        called(172, 62, "offset", (168, 58), polar(x, y, 32, 15)),
        lines(172, 80, "in degrees, as the", "code reader shows", size=SMALL),
        text(172, 138, "drawn much wider", size=SMALL),
    ]


@drawing(
    "word-dipstick",
    height=136,
    title="Dipstick",
    alt="A dipstick: a thin rod with a ring to pull. The oil on its end reaches to between the two level marks.",
    question="Up to where does the oil reach on this dipstick?",
    answer="To between the two marks.",
    keys=("oil", "reach"),
)
def dipstick() -> Parts:
    return [
        circle(30, 62, 18, fill="none", width=6),
        rect(48, 57, 16, 10, fill=BELT),
        rect(64, 58, 246, 8, fill=METAL, r=3),
        group(path("M250 57 H308 Q312 62 308 67 H250 Z", fill=OIL, width=3), key="oil"),
        line(228, 48, 228, 76, width=4),
        line(284, 48, 284, 76, width=4),
        text(228, 42, "max", anchor="middle", size=SMALL),
        text(284, 42, "min", anchor="middle", size=SMALL),
        called(72, 26, "dipstick", (108, 32), (120, 60)),
        text(10, 104, "pull here", size=SMALL),
        group(text(200, 116, "oil up to here", size=SMALL), leader(250, 103, 250, 62), key="reach"),
    ]


def _oil_chamber(x: float) -> Parts:
    """A tensioner cut through: its body, the oil inside it and its rod."""
    return [
        rect(x - 30, 46, 60, 92, fill=METAL, r=4),
        rect(x - 20, 46, 40, 82, fill=OIL),
        rect(x - 8, 18, 16, 44, fill=PAPER),
        rect(x - 19, 62, 38, 10, fill=PAPER),
    ]


@drawing(
    "word-bled",
    height=146,
    title="Bled",
    alt="A tensioner cut through, before and after. Air was in its oil. Now it is bled: only oil is left inside.",
    question="What is gone from the tensioner once it is bled?",
    answer="The air in its oil.",
    keys=("air", "said", "oil"),
)
def bled() -> Parts:
    bubbles = ((46, 84, 5), (58, 94, 4), (42, 104, 4), (56, 112, 5), (46, 120, 3.5))
    return [
        *_oil_chamber(52),
        *_oil_chamber(206),
        group(*(circle(*each, fill=PAPER) for each in bubbles), key="air"),
        group(text(90, 84, "air", size=SMALL), leader(86, 80, 50, 84), key="said"),
        group(lines(248, 84, "only oil", "is inside", size=SMALL), key="oil"),
        arrow(108, 104, 164, 104),
        text(248, 66, "bled", bold=True),
        text(76, 30, "before", size=SMALL),
        text(230, 30, "tensioner", size=SMALL),
    ]
