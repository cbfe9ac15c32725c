"""Trade words of the car, its coolant and its electrics, each with a small drawing for the guide's page of words."""

from __future__ import annotations

from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BAD, BELT, GOOD, LIQUID, METAL, MOVE, OIL, PAPER, PART, SMALL
from tools.drawings.shapes import (
    arrow,
    called,
    circle,
    engine_mark,
    group,
    leader,
    line,
    lines,
    measure,
    path,
    pipe,
    polygon,
    rect,
    sign,
    sprocket,
    sprocket_mark,
    text,
)


@drawing(
    "word-black-tape",
    height=136,
    title="Black tape",
    alt="An infrared thermometer points at a strip of dull black tape on bright metal.",
    question="At what on the bright metal must the infrared thermometer point?",
    answer="At a strip of black tape.",
    keys=("tape", "name"),
)
def black_tape() -> Parts:
    return [
        rect(8, 30, 92, 74, fill=METAL, r=6),
        group(rect(30, 56, 48, 24, fill=BELT), line(196, 68, 82, 68, stroke=MOVE, dash="6 4"), key="tape"),
        polygon([(200, 54), (262, 54), (274, 112), (246, 112), (238, 82), (200, 82)], fill=PART),
        text(14, 122, "bright metal", size=SMALL),
        text(200, 44, "thermometer", size=SMALL),
        called(92, 22, "black tape", (98, 26), (64, 62)),
    ]


@drawing(
    "word-brake-servo-line",
    height=146,
    title="Brake servo line",
    alt="The brake servo line is the thick hose from the engine to the round housing behind the brake pedal.",
    question="What is the thick hose called from the engine to the housing behind the brake pedal?",
    answer="Brake servo line.",
    keys=("name",),
)
def servo_line() -> Parts:
    return [
        rect(10, 56, 84, 74),
        text(52, 98, "engine", anchor="middle", size=SMALL),
        pipe("M94 74 C130 46 150 46 196 70", wide=9),
        rect(196, 42, 42, 78, fill=METAL, r=16),
        line(238, 82, 282, 82, width=4),
        path("M274 46 L288 110 H306", width=5),
        text(217, 138, "housing", anchor="middle", size=SMALL),
        text(322, 138, "pedal", anchor="end", size=SMALL),
        called(48, 24, "brake servo line", (140, 30), (144, 52)),
    ]


@drawing(
    "word-cone",
    height=146,
    title="Cone",
    alt="The filler's neck, cut through. A rubber cone sits in it and seals it, and a hose goes through the cone.",
    question="What seals the neck while the filler pulls a vacuum?",
    answer="A rubber cone.",
    keys=("cone", "name"),
)
def cone() -> Parts:
    return [
        rect(38, 66, 12, 72, fill=METAL),
        rect(114, 66, 12, 72, fill=METAL),
        rect(52, 118, 60, 20, fill=LIQUID),
        group(polygon([(36, 44), (128, 44), (98, 112), (66, 112)], fill=BELT), key="cone"),
        pipe("M82 126 V22 Q82 12 96 12 H160", PAPER, 8),
        called(184, 62, "cone", (180, 60), (110, 62)),
        text(172, 20, "to the filler", size=SMALL),
        text(184, 112, "neck", size=SMALL),
        leader(180, 108, 120, 104),
    ]


@drawing(
    "word-earth-strap",
    height=140,
    title="Earth strap",
    alt="The earth strap is a bare braid between the engine and the body of the car, bolted to bare metal.",
    question="What is the bare braid between engine and car body called?",
    answer="Earth strap.",
    keys=("name",),
)
def earth_strap() -> Parts:
    braid = "M84 84 C130 130 190 130 240 88"
    return [
        rect(10, 54, 84, 76),
        text(46, 118, "engine", anchor="middle", size=SMALL),
        path("M230 40 H318 V130 H258 V100 H230 Z", fill=PART),
        text(290, 84, "body", anchor="middle", size=SMALL),
        path(braid, width=14),
        path(braid, stroke=METAL, width=9),
        path(braid, width=2, dash="3 4"),
        circle(82, 82, 9, fill=METAL),
        circle(244, 84, 9, fill=METAL),
        called(118, 34, "earth strap", (164, 40), (164, 110)),
    ]


@drawing(
    "word-memory-saver",
    height=140,
    title="Memory saver",
    alt="A memory saver is a small battery on the car's leads. It keeps the radio alive and the air bags too, "
    "so this job does not use it.",
    question="What else does a memory saver keep alive, so that this job does not use it?",
    answer="The air bags.",
    keys=("bags",),
)
def memory_saver() -> Parts:
    return [
        rect(16, 66, 76, 46, r=3),
        rect(26, 58, 14, 8, fill=METAL),
        rect(68, 58, 14, 8, fill=METAL),
        path("M33 58 V44 H140 V60 M75 58 V50 H130 V60", width=3),
        rect(116, 60, 42, 22, fill=METAL, r=3),
        path("M137 82 V100 H172", width=3),
        text(16, 26, "memory saver", bold=True),
        text(16, 130, "small battery", size=SMALL),
        text(180, 64, "stays alive:", size=SMALL),
        text(180, 88, "radio", size=SMALL),
        group(text(180, 106, "and air bags", size=SMALL, colour=BAD), key="bags"),
        sign(180, 134, False),
        text(203, 133, "not here", bold=True, colour=BAD),
    ]


@drawing(
    "word-mix",
    height=146,
    title="Mix",
    alt="A can filled with two parts of antifreeze and three of water: the mix is 40 per cent. The sheet says yours.",
    question="How much is the mix in the can of the example?",
    answer="40 per cent.",
    keys=("parts", "forty"),
)
def mix() -> Parts:
    return [
        group(
            rect(30, 24, 90, 66, fill=LIQUID),
            rect(30, 90, 90, 44, fill=OIL),
            measure(134, 91, 134, 133),
            key="parts",
        ),
        rect(30, 14, 90, 120, fill="none", width=3),
        text(150, 58, "water", size=SMALL),
        leader(146, 54, 104, 54),
        text(150, 108, "antifreeze", size=SMALL),
        group(text(150, 128, "mix: 40 %", bold=True), key="forty"),
        text(150, 26, "An example", size=SMALL),
    ]


@drawing(
    "word-relearn",
    height=146,
    title="Relearn",
    alt="A side window half way up. Without power its control unit forgot where the glass stops. It must relearn it.",
    question="What has the window's control unit forgotten?",
    answer="Where the glass stops at the top.",
    keys=("stop", "forgot", "up"),
)
def relearn() -> Parts:
    return [
        path("M10 92 V60 L50 14 H140 V136 H10 Z", fill=PART),
        path("M22 88 V64 L56 26 H128 V88 Z", fill=PAPER),
        path("M22 88 V76 H128 V88 Z", fill=LIQUID),
        group(arrow(90, 72, 90, 42), key="up"),
        group(line(52, 32, 134, 32, stroke=BAD, width=4, dash="7 5"), leader(158, 34, 132, 32), key="stop"),
        group(lines(164, 38, "forgot: where", "the glass stops", size=SMALL, colour=BAD), key="forgot"),
        text(164, 92, "relearn", bold=True),
        lines(164, 110, "teach it again after", "the battery was off", size=SMALL),
    ]


@drawing(
    "word-service-mode",
    height=146,
    title="Service mode",
    alt="The display says that the parking brake is in service mode. Its motor no longer moves the pad by itself.",
    question="In which mode does the motor of the parking brake stay still?",
    answer="Service mode.",
    keys=("name",),
)
def service_mode() -> Parts:
    return [
        rect(10, 12, 130, 52, fill=PAPER, r=6),
        text(75, 34, "parking brake:", anchor="middle", size=SMALL),
        group(text(75, 53, "service mode", anchor="middle", size=SMALL, bold=True), key="name"),
        rect(172, 20, 12, 110, fill=METAL),
        rect(190, 44, 12, 50, fill=BELT),
        rect(204, 54, 26, 30, fill=PAPER),
        rect(232, 44, 60, 50, r=4),
        text(262, 74, "motor", anchor="middle", size=SMALL),
        text(138, 128, "disc", size=SMALL),
        arrow(256, 112, 204, 112),
        sign(222, 120, False),
        lines(10, 96, "does not move", "by itself", size=SMALL),
    ]


@drawing(
    "word-timing-code",
    height=140,
    title="Timing code",
    alt="A fault code on the tester: crank and cam no longer agree. Beside it the two marks, the cam's is off.",
    question="Which two does the code on the tester say no longer agree?",
    answer="Crank and cam.",
    keys=("said", "seen"),
)
def timing_code() -> Parts:
    return [
        rect(10, 14, 158, 112, r=10),
        rect(22, 28, 134, 66, fill=PAPER),
        text(89, 46, "timing code", anchor="middle", bold=True),
        group(lines(89, 65, "crank and cam", "do not agree", size=SMALL, anchor="middle"), key="said"),
        circle(50, 110, 7, fill=METAL),
        circle(89, 110, 7, fill=METAL),
        circle(128, 110, 7, fill=METAL),
        text(250, 132, "inside", anchor="middle", size=SMALL),
        group(
            sprocket(222, 74, 36, 24, 30),
            engine_mark(222, 74, 39),
            sprocket_mark(222, 74, 36, 30, BAD),
            sprocket(294, 86, 20, 14),
            engine_mark(294, 86, 23),
            sprocket_mark(294, 86, 22, 0, GOOD),
            key="seen",
        ),
    ]


@drawing(
    "word-weep-hole",
    height=146,
    title="Weep hole",
    alt="A coolant pump from the side. The weep hole is a small hole in its body below the shaft, here with a drop.",
    question="Where on the pump is the weep hole?",
    answer="In the body, below the shaft.",
    keys=("hole", "name"),
)
def weep_hole() -> Parts:
    return [
        rect(16, 24, 26, 84, fill=METAL, r=4),
        polygon([(58, 34), (124, 34), (124, 16), (144, 16), (144, 118), (124, 118), (124, 98), (58, 98)], fill=PART),
        rect(42, 58, 134, 16, fill=METAL),
        path("M176 40 L192 32 V100 L176 92 Z", fill=METAL),
        group(
            rect(88, 74, 8, 26, fill=PAPER),
            path("M92 106 q-8 12 0 16 q8 -4 0 -16 Z", fill=LIQUID),
            key="hole",
        ),
        called(200, 134, "weep hole", (196, 130), (94, 94)),
        text(10, 126, "pulley", size=SMALL),
        text(206, 70, "shaft", size=SMALL),
        leader(202, 66, 160, 66),
        text(206, 34, "pump body", size=SMALL),
        leader(202, 30, 136, 26),
    ]


def _flange() -> Parts:
    """A thermostat from above, its valve in the middle."""
    return [circle(80, 74, 58, fill=METAL), circle(80, 74, 40, fill=PART), circle(80, 74, 16, fill=PAPER)]


@drawing(
    "word-bleed-hole",
    height=144,
    title="Bleed hole",
    alt="A thermostat from above. The bleed hole is a small hole at the top of its rim, through which air gets past.",
    question="What is the small hole in the rim of the thermostat called?",
    answer="Bleed hole.",
    keys=("name",),
)
def bleed_hole() -> Parts:
    return [
        *_flange(),
        circle(80, 25, 5, fill=PAPER),
        called(168, 32, "bleed hole", (164, 28), (80, 25)),
        text(168, 50, "lets air past", size=SMALL),
        text(168, 100, "thermostat", size=SMALL),
        leader(164, 96, 118, 92),
    ]


@drawing(
    "word-jiggle-pin",
    height=140,
    title="Jiggle pin",
    alt="The rim of a thermostat, cut through at its small hole. A loose pin hangs in it and lets air past.",
    question="What hangs loose in the small hole of the thermostat's rim?",
    answer="A jiggle pin.",
    keys=("pin", "name"),
)
def jiggle_pin() -> Parts:
    return [
        rect(10, 62, 62, 16, fill=METAL),
        rect(104, 62, 62, 16, fill=METAL),
        group(
            rect(84, 38, 8, 66, fill=PAPER),
            rect(74, 30, 28, 10, fill=PAPER, r=4),
            rect(66, 102, 44, 12, fill=PAPER, r=5),
            arrow(124, 92, 124, 112),
            arrow(124, 56, 124, 36),
            key="pin",
        ),
        called(180, 32, "jiggle pin", (176, 30), (98, 35)),
        text(180, 76, "rim", size=SMALL),
        leader(176, 71, 150, 70),
        lines(180, 108, "loose: air goes past", size=SMALL),
    ]
