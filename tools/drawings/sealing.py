"""What seals: gaskets, rings, beads, shaft seals, the thermostat, hoses, and the air that stays in."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BAD, BELT, GOOD, INK, LIQUID, METAL, MOVE, PAPER, PART, SMALL, THIN
from tools.drawings.shapes import (
    arrow,
    circle,
    divider,
    element,
    good_beside_bad,
    group,
    leader,
    line,
    lines,
    measure,
    path,
    pipe,
    polygon,
    rect,
    shelf,
    sign,
    spring,
    text,
    tilted,
    verdict,
)


def _face(x: float, y: float) -> Parts:
    """A sealing face from the front: a port in the middle and a bolt hole at either side."""
    return [
        rect(x - 46, y - 34, 92, 68, r=10),
        circle(x, y, 16, fill=LIQUID),
        circle(x - 33, y, 5, fill=PAPER),
        circle(x + 33, y, 5, fill=PAPER),
    ]


def _gasket(x: float, y: float) -> Parts:
    half = "-46 0 Q-42 -14 -24 -16 Q0 -34 24 -16 Q42 -14 46 0"
    return [
        group(path(f"M{half} Q42 14 24 16 Q0 34 -24 16 Q-42 14 -46 0 Z", fill=PAPER), move=(x, y)),
        circle(x, y, 16, fill=LIQUID),
        circle(x - 33, y, 5, fill=PART),
        circle(x + 33, y, 5, fill=PART),
    ]


def _groove(x: float, y: float) -> ET.Element:
    """A face with a groove, cut through."""
    return group(path("M-46 34 V0 H-10 V16 H10 V0 H46 V34 Z", fill=PART), move=(x, y))


@drawing(
    "gasket-ring-and-bead",
    height=340,
    title="Paper gasket, O-ring, bead of sealer",
    alt="Paper gasket: dry, no sealer. O-ring: in its groove, not on its edge. Bead of sealer: closed, and between "
    "bolt holes and water.",
    question="On which side of the bolt holes does a bead of sealer run?",
    answer="On the inside, between the bolt holes and the water.",
    keys=("bead", "bead-open", "said-bead", "said-open"),
)
def gasket() -> Parts:
    bead = [element("ellipse", cx=274, cy=106, rx=22, ry=25, fill="none", stroke=MOVE, stroke_width=5)]
    return [
        text(55, 24, "Paper", bold=True, anchor="middle"),
        text(164, 24, "O-ring", bold=True, anchor="middle"),
        text(274, 24, "Sealer bead", bold=True, anchor="middle"),
        divider(109, 8, 330),
        divider(219, 8, 330),
        sign(8, 56, True),
        sign(117, 56, True),
        sign(227, 56, True),
        shelf(186),
        *_face(55, 106),
        *_gasket(55, 106),
        text(55, 166, "dry", anchor="middle", size=SMALL),
        _groove(164, 106),
        circle(164, 113, 9, fill=BELT),
        rect(118, 87, 92, 18, fill=METAL),
        text(164, 166, "in its groove", anchor="middle", size=SMALL),
        *_face(274, 106),
        group(*bead, key="bead"),
        group(text(274, 166, "inside, closed", anchor="middle", size=SMALL), key="said-bead"),
        sign(8, 214, False),
        sign(117, 214, False),
        sign(227, 214, False),
        *_face(55, 264),
        *_gasket(55, 264),
        *(
            path(f"M{x} {y} q6 -8 12 0 t12 0", stroke=MOVE, width=5)
            for x, y in ((32, 243), (58, 244), (32, 288), (58, 286))
        ),
        text(55, 326, "with sealer", anchor="middle", size=SMALL),
        _groove(164, 268),
        element("ellipse", cx=186, cy=262, rx=13, ry=5, fill=BELT, stroke=INK, stroke_width=2),
        tilted(-9, (118, 268), rect(118, 248, 92, 18, fill=METAL)),
        text(164, 326, "pinched", anchor="middle", size=SMALL),
        *_face(274, 264),
        group(
            path(
                "M262 238 Q233 242 233 264 Q233 288 262 291 H288 Q315 288 315 264 Q315 246 300 240",
                stroke=MOVE,
                width=5,
            ),
            key="bead-open",
        ),
        group(text(274, 326, "outside, open", anchor="middle", size=SMALL), key="said-open"),
    ]


def _throat(x: float) -> Parts:
    """The engine's outlet cut through: a recess for the thermostat's flange, water below."""
    left = [(x, 170), (x + 26, 170), (x + 26, 182), (x + 42, 182), (x + 42, 262), (x, 262)]
    right = [(2 * x + 144 - px, py) for px, py in left]
    return [rect(x + 42, 182, 60, 80, fill=LIQUID), polygon(left), polygon(right)]


def _thermostat(x: float) -> Parts:
    return [
        rect(x + 34, 172, 76, 8, fill=METAL),
        spring(x + 72, 182, 230, 30, 4),
        rect(x + 60, 152, 24, 20, fill=METAL, r=6),
        rect(x + 56, 230, 32, 8, fill=METAL),
        circle(x + 31, 176, 5, fill=BELT),
        circle(x + 113, 176, 5, fill=BELT),
    ]


def _outlet(x: float) -> ET.Element:
    """The housing that closes the thermostat in."""
    outside = "M0 170 V156 H22 Q26 108 56 104 V76 H88 V104 Q118 108 122 156 H144 V170"
    return group(path(f"{outside} H104 Q104 120 72 120 Q40 120 40 170 Z", fill=PAPER), move=(x, 0))


@drawing(
    "thermostat-in-its-recess",
    height=322,
    title="The thermostat in its recess",
    alt="Right: flange and ring lie in the recess and the housing sits flat. Wrong: the thermostat slipped out, "
    "its ring is pinched, the housing stands off.",
    question="The thermostat has slipped. On which side does the housing stand off?",
    answer="On the left.",
    keys=("slipped", "gap", "said-slipped"),
)
def thermostat() -> Parts:
    return [
        *good_beside_bad(312, "Seated", "Slipped"),
        *_throat(10),
        *_thermostat(10),
        text(14, 220, "ring", size=SMALL),
        leader(28, 208, 40, 179),
        _outlet(10),
        rect(70, 152, 24, 18, fill=METAL, r=6),
        lines(10, 286, "Housing sits flat.", size=SMALL),
        *_throat(174),
        group(
            tilted(9, (290, 180), *_thermostat(174)),
            tilted(7, (318, 170), _outlet(174)),
            tilted(9, (290, 180), rect(234, 152, 24, 18, fill=METAL, r=6)),
            key="slipped",
        ),
        group(
            arrow(184, 132, 184, 152, BAD),
            arrow(184, 192, 184, 172, BAD),
            text(176, 126, "gap", size=SMALL, colour=BAD),
            key="gap",
        ),
        group(lines(174, 286, "Ring pinched, a gap", "on one side.", size=SMALL, colour=BAD), key="said-slipped"),
    ]


def _seal(x: float, tops: tuple[str, str, str, str], colour: str, key: str) -> Parts:
    """A seal in its bore from the front, with the depth read at four places."""
    top, right, bottom, left = tops
    return [
        circle(x, 122, 48, fill=PART),
        circle(x, 122, 40, fill=BELT),
        circle(x, 122, 24, fill=METAL),
        group(
            text(x, 66, top, bold=True, anchor="middle", colour=colour),
            text(x + 56, 127, right, bold=True, colour=colour),
            text(x, 188, bottom, bold=True, anchor="middle", colour=colour),
            text(x - 56, 127, left, bold=True, anchor="end", colour=colour),
            key=key,
        ),
    ]


def _bore(x: float, lean: float) -> Parts:
    """The same cut through from the side, the shaft to the right."""
    return [
        rect(x - 40, 216, 80, 18),
        rect(x - 40, 290, 80, 18),
        rect(x - 60, 250, 124, 24, fill=METAL),
        tilted(lean, (x + 4, 262), rect(x - 6, 235, 20, 15, fill=BELT), rect(x - 6, 274, 20, 15, fill=BELT)),
    ]


@drawing(
    "seal-square-and-crooked",
    height=352,
    title="A shaft seal, square and crooked",
    alt="Read the depth of a seal at four places. Four equal readings: it sits square. Readings of 1, 2, 3 and 2 mm: "
    "it sits crooked and leaks.",
    question="Which four depths does the crooked seal give, from the top clockwise?",
    answer="1, 2, 3 and 2 mm.",
    keys=("crooked", "depths"),
)
def seal() -> Parts:
    return [
        *good_beside_bad(342, "Square", "Crooked"),
        text(10, 44, "depth in mm", size=SMALL),
        *_seal(86, ("2", "2", "2", "2"), GOOD, "square"),
        *_bore(86, 0),
        *_seal(246, ("1", "2", "3", "2"), BAD, "crooked"),
        *_bore(246, -16),
        shelf(204),
        measure(46, 242, 80, 242),
        measure(46, 282, 80, 282),
        group(measure(206, 242, 236, 242, BAD), measure(206, 282, 247, 282, BAD), key="depths"),
        lines(10, 334, "cut through", size=SMALL),
    ]


def _hose(x: float) -> Parts:
    """A hose on its neck, cut through, up to the stop; the old clamp has left a mark in the hose behind the bead."""
    over, under = f"H{x + 54} Q{x + 46} 108 {x + 38} 118", f"H{x + 38} Q{x + 46} 168 {x + 54} 158"
    neck = f"M{x + 144} 118 {over} H{x + 22} V158 {under} H{x + 144} Z"
    top = f"H{x + 34} Q{x + 46} 101 {x + 58} 114 H{x + 68} l2 3 h16 l2 -3 H{x + 116}"
    foot = f"H{x + 34} Q{x + 46} 175 {x + 58} 162 H{x + 68} l2 -3 h16 l2 3 H{x + 116}"
    return [
        path(neck, fill=METAL),
        rect(x + 117, 98, 10, 80, fill=METAL),
        path(f"M{x - 6} 114 {top}", stroke=BELT, width=7),
        path(f"M{x - 6} 162 {foot}", stroke=BELT, width=7),
    ]


def _clamp(x: float) -> Parts:
    """A spring clamp round the hose, cut through, its two ears above; x is its left edge."""
    return [
        rect(x, 104, 16, 8, fill=METAL),
        rect(x, 165, 16, 8, fill=METAL),
        path(f"M{x + 3} 104 V90 h-7 M{x + 13} 104 V90 h7", width=3),
    ]


@drawing(
    "clamp-on-its-track",
    height=240,
    title="The clamp on its old track",
    alt="Right: the clamp sits on its old track, between the neck's bead and the stop. Wrong: it sits past "
    "the bead, and the hose slips off.",
    question="What are the two things called between which the clamp sits?",
    answer="The bead of the neck and the stop.",
    keys=("clamp", "bead-and-stop", "said-clamp"),
)
def clamp() -> Parts:
    return [
        *good_beside_bad(232),
        *_hose(14),
        group(*_clamp(84), text(74, 82, "clamp", size=SMALL), key="clamp"),
        group(
            text(34, 66, "bead", size=SMALL),
            leader(50, 70, 60, 106),
            text(126, 66, "stop", size=SMALL),
            leader(140, 70, 136, 97),
            key="bead-and-stop",
        ),
        text(8, 104, "hose", size=SMALL),
        group(lines(10, 206, "Between bead and", "stop, in its old mark.", size=SMALL), key="said-clamp"),
        *_hose(178),
        *_clamp(184),
        text(212, 82, "old mark", size=SMALL),
        leader(250, 86, 256, 112),
        lines(174, 206, "Here the hose", "slips off.", size=SMALL),
    ]


def _circuit(air: bool) -> Parts:
    """Radiator with its filler, engine and heater, joined by hoses; the front of the car is on the left."""
    hoses = ("M58 82 H112", "M58 132 H112", "M188 96 H232 V66 H262", "M188 132 H240 V80 H262")
    full = [(36.5, 52), (57.5, 52), (51, 68), (43, 68)]
    level = [(37.5, 57), (56.5, 57), (51, 68), (43, 68)]
    return [
        *(pipe(d, LIQUID) for d in hoses),
        rect(36, 68, 22, 74, fill=LIQUID),
        polygon([(34, 48), (60, 48), (51, 68), (43, 68)], fill=PAPER),
        polygon(level if air else full, fill=LIQUID, width=THIN),
        rect(112, 78, 76, 70, fill=LIQUID),
        rect(262, 34, 36, 54, fill=LIQUID),
        circle(80, 162, 14, fill=METAL),
        circle(250, 162, 14, fill=METAL),
    ]


@drawing(
    "air-pocket-at-the-heater",
    height=400,
    title="Air stays at the highest point",
    alt="Level car: the heater lies higher than the filler and keeps an air pocket. Nose up: the filler is the highest "
    "point, and the air leaves there.",
    question="The car stands level. What is the part called in which the air stays?",
    answer="The heater: it lies higher than the coolant at the filler.",
    keys=("air", "named-heater", "named-again"),
)
def air_pocket() -> Parts:
    bubbles = [circle(x, y, 4, fill=PAPER, stroke=MOVE) for x, y in ((270, 46), (281, 53), (290, 44))]
    return [
        verdict(10, 22, False, "Car level: air stays"),
        *_circuit(True),
        group(rect(262, 34, 36, 24, fill=PAPER), *bubbles, key="air"),
        line(20, 57, 318, 57, stroke=MOVE, width=THIN, dash="6 4"),
        text(64, 52, "coolant's top", size=SMALL, colour=MOVE),
        text(128, 118, "engine", size=SMALL),
        text(64, 72, "filler", size=SMALL),
        text(68, 112, "nose", size=SMALL),
        group(text(318, 28, "air in the heater", size=SMALL, anchor="end"), key="named-heater"),
        line(8, 177, 320, 177, width=3),
        shelf(188),
        verdict(10, 212, True, "Nose up: air leaves"),
        tilted(8, (300, 386), group(*_circuit(False), line(14, 177, 314, 177, width=3), move=(0, 206))),
        line(46, 224, 318, 224, stroke=MOVE, width=THIN, dash="6 4"),
        *(circle(x, y, 4, fill=PAPER, stroke=MOVE) for x, y in ((62, 230), (70, 238))),
        text(92, 244, "filler is highest", size=SMALL),
        group(text(318, 308, "heater", size=SMALL, anchor="end"), key="named-again"),
    ]
