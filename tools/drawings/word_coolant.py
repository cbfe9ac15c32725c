"""Trade words of the coolant and where it runs, each with a small drawing for the guide's page of words."""

from __future__ import annotations

from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BELT, INK, LIQUID, METAL, MOVE, PAPER, PART, SMALL
from tools.drawings.shapes import (
    arrow,
    called,
    circle,
    eye,
    group,
    leader,
    line,
    lines,
    path,
    polar,
    polygon,
    rect,
    text,
    tilted,
    turn_arrow,
)


@drawing(
    "word-kpa",
    height=146,
    title="kPa",
    alt="A gauge that shows pressure in kPa. Its needle stands at 100 kPa, which is 1 bar. And 10 psi are 69 kPa.",
    question="How many kPa is 1 bar?",
    answer="100 kPa.",
    keys=("bar",),
)
def kpa() -> Parts:
    x, y = 84, 74
    marks = {-120: "0", -60: "50", 0: "100", 60: "150", 120: "200"}
    figures = [polar(x, y, 42, angle) for angle in marks]
    return [
        circle(x, y, 64, fill=PAPER, width=3),
        *(line(*polar(x, y, 55, at), *polar(x, y, 62, at)) for at in range(-120, 121, 30)),
        *(
            text(at, down + 5, figure, anchor="middle", size=SMALL)
            for (at, down), figure in zip(figures, marks.values(), strict=True)
        ),
        line(x, y, x, y - 28, stroke=MOVE, width=4),
        circle(x, y, 6, fill=INK),
        text(x, 122, "kPa", anchor="middle", bold=True),
        lines(166, 40, "kPa", bold=True),
        text(166, 58, "a unit of pressure", size=SMALL),
        group(text(166, 92, "100 kPa = 1 bar"), key="bar"),
        text(166, 114, "69 kPa = 10 psi"),
    ]


@drawing(
    "word-per-cent",
    height=150,
    title="Per cent",
    alt="The view through a refractometer. The edge of the blue field stands at 35 on the per cent scale.",
    question="How many per cent does the edge of the blue field show?",
    answer="35 per cent.",
    keys=("field", "said"),
)
def per_cent() -> Parts:
    x, y = 78, 75
    return [
        circle(x, y, 66, fill=PAPER, width=3),
        group(path("M13 74 A65 65 0 0 1 143 74 Z", fill=LIQUID), key="field"),
        line(x, 24, x, 126),
        *(line(x, at, x + 12, at) for at in range(24, 125, 20)),
        *(text(x + 16, 29 + 20 * at, str(60 - 10 * at), size=SMALL) for at in range(6)),
        text(x - 30, 100, "%", bold=True),
        text(164, 30, "per cent", bold=True),
        text(164, 48, "of antifreeze", size=SMALL),
        group(lines(164, 84, "the edge", "stands at 35", size=SMALL), leader(160, 80, 128, 74), key="said"),
        lines(164, 122, "seen through the", "refractometer", size=SMALL),
    ]


@drawing(
    "word-refractometer",
    height=140,
    title="Refractometer",
    alt="A tool like a small telescope. A drop of coolant lies on the glass at its end. An eye looks through it.",
    question="What is the tool called that you look through at one drop?",
    answer="Refractometer.",
    keys=("name",),
)
def refractometer() -> Parts:
    return [
        polygon([(22, 96), (82, 66), (82, 96)], fill=LIQUID),
        tilted(24, (82, 62), rect(20, 58, 62, 6, fill=PAPER, r=2)),
        rect(82, 62, 112, 36, fill=METAL, r=4),
        rect(150, 58, 18, 44, fill=PART, r=3),
        polygon([(194, 66), (224, 58), (224, 102), (194, 94)], fill=BELT, stroke=BELT),
        eye(254, 79),
        path("M50 60 q-8 14 0 19 q8 -5 0 -19 Z", fill=LIQUID),
        called(120, 24, "refractometer", (152, 30), (128, 66)),
        text(4, 62, "drop", size=SMALL),
        leader(40, 62, 49, 71),
        text(22, 118, "glass", size=SMALL),
        text(258, 118, "look here", anchor="middle", size=SMALL),
    ]


@drawing(
    "word-to-be-rinsed",
    height=150,
    title="To be rinsed",
    alt="An engine is rinsed. Its thermostat is out, so the water runs through the whole block and out below.",
    question="Which part is out, so that water runs through the whole block?",
    answer="The thermostat.",
    keys=("out",),
)
def to_be_rinsed() -> Parts:
    return [
        path("M40 36 H110 V22 H136 V36 H168 V130 H40 Z", fill=METAL),
        path("M116 22 H130 V48 H156 V122 H54 V110 H142 V96 H54 V84 H142 V70 H54 V48 H116 Z", fill=LIQUID),
        path("M54 110 H24 V146 H36 V122 H54 Z", fill=LIQUID),
        arrow(123, 8, 123, 44),
        arrow(130, 59, 76, 59),
        arrow(66, 116, 128, 116),
        arrow(30, 120, 30, 142),
        text(10, 24, "water in", size=SMALL),
        leader(68, 20, 116, 24),
        text(184, 24, "to be rinsed", bold=True),
        lines(184, 42, "water through", "the whole block", size=SMALL),
        group(
            circle(204, 96, 16, fill=METAL),
            circle(204, 96, 7, fill=PAPER),
            lines(228, 92, "thermostat", "is out", size=SMALL),
            key="out",
        ),
        text(46, 145, "water out", size=SMALL),
    ]


@drawing(
    "word-impeller",
    height=146,
    title="Impeller",
    alt="A coolant pump seen from the engine. Its wheel with blades is the impeller. It moves the coolant.",
    question="What is the wheel with blades called that moves the coolant?",
    answer="Impeller.",
    keys=("name",),
)
def impeller() -> Parts:
    x, y = 84, 74
    blade = path(f"M{x} {y - 9} Q{x + 16} {y - 20} {x + 12} {y - 36}", width=4)
    ears = [polar(x, y, 58, at) for at in (45, 135, 225, 315)]
    return [
        *(circle(*at, 13) for at in ears),
        circle(x, y, 56),
        *(circle(*at, 5, fill=PAPER) for at in ears),
        circle(x, y, 46, fill=LIQUID),
        circle(x, y, 40, fill=METAL),
        *(tilted(at, (x, y), blade) for at in range(0, 360, 60)),
        circle(x, y, 9, fill=PAPER),
        turn_arrow(x, y, 51, 300, 250),
        called(176, 40, "impeller", (172, 36), (108, 58)),
        text(176, 58, "moves the coolant", size=SMALL),
        text(176, 106, "pump, seen from", size=SMALL),
        text(176, 123, "the engine", size=SMALL),
        leader(172, 102, 134, 92),
    ]


@drawing(
    "word-bleed-screw",
    height=146,
    title="Bleed screw",
    alt="A coolant pipe with a bleed screw at its highest point. The screw is open. Air leaves there.",
    question="What leaves at the open bleed screw?",
    answer="Air.",
    keys=("air", "said"),
)
def bleed_screw() -> Parts:
    way = "M8 124 C50 124 46 84 100 84 C154 84 150 124 192 124"
    return [
        path(way, width=36),
        path(way, stroke=LIQUID, width=31),
        rect(88, 56, 24, 14, fill=METAL),
        path("M94 70 H106 V76 H94 Z", fill=PAPER),
        rect(95, 38, 10, 24, fill=METAL),
        rect(84, 26, 32, 13, fill=METAL, r=2),
        line(94, 32, 106, 32, width=3),
        group(
            *(circle(*each, fill=PAPER) for each in ((86, 84, 5), (100, 80, 6), (114, 85, 4.5))),
            arrow(80, 54, 60, 30),
            arrow(120, 54, 140, 30),
            key="air",
        ),
        group(text(20, 50, "air", size=SMALL), leader(42, 46, 60, 42), key="said"),
        called(176, 30, "bleed screw", (172, 26), (112, 32)),
        text(176, 48, "open", size=SMALL),
        text(200, 92, "highest point", size=SMALL),
        leader(196, 88, 132, 88),
        text(216, 128, "coolant", size=SMALL),
        leader(212, 124, 178, 122),
    ]


@drawing(
    "word-hose-stub",
    height=140,
    title="Hose stub",
    alt="A thermostat housing. The short pipe on it is the hose stub. The hose is pulled off it.",
    question="What is the short pipe called that the hose goes on?",
    answer="Hose stub.",
    keys=("name",),
)
def hose_stub() -> Parts:
    return [
        path("M8 42 H44 Q60 42 60 56 V118 H8 Z", fill=METAL),
        path("M60 66 H108 Q112 60 118 60 V104 Q112 104 108 98 H60 Z", fill=PART),
        rect(196, 57, 123, 50, fill=PAPER),
        rect(196, 56, 124, 10, fill=BELT, stroke=BELT, r=2),
        rect(196, 98, 124, 10, fill=BELT, stroke=BELT, r=2),
        rect(212, 50, 12, 64, fill=METAL),
        arrow(134, 82, 182, 82),
        called(88, 28, "hose stub", (98, 34), (88, 74)),
        text(10, 134, "thermostat housing", size=SMALL),
        text(258, 88, "hose", size=SMALL),
        text(218, 132, "clamp", anchor="middle", size=SMALL),
    ]
