"""Trade words of the belt and what it runs on, each with a small drawing for the guide's page of words."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from tools.drawings.car import side_view
from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BELT, GOOD, INK, METAL, PAINT, PAPER, PART, SMALL, SOFT, THIN
from tools.drawings.shapes import (
    arc,
    arrow,
    belt,
    belt_run,
    bolt_head,
    called,
    circle,
    engine_mark,
    group,
    leader,
    line,
    lines,
    measure,
    path,
    polar,
    polygon,
    pulley,
    rect,
    sprocket,
    sprocket_mark,
    text,
    tilted,
    turn_arrow,
    verdict,
)


@drawing(
    "word-belt-line",
    height=146,
    title="Belt line",
    alt="A belt line is one stroke of paint across the back of the belt and the face of the sprocket under it.",
    question="What is the stroke of paint across belt and sprocket called?",
    answer="Belt line.",
    keys=("name",),
)
def belt_line() -> Parts:
    return [
        belt_run("M36 140 V86 A54 54 0 0 1 144 86 V140"),
        sprocket(90, 86, 50, 30),
        line(*polar(90, 86, 30, 40), *polar(90, 86, 60, 40), stroke=PAINT, width=7),
        called(186, 34, "belt line", (182, 34), (132, 40)),
        text(186, 52, "one stroke of paint", size=SMALL),
        text(186, 96, "belt", size=SMALL),
        leader(182, 92, 146, 100),
        text(186, 124, "sprocket", size=SMALL),
        leader(182, 120, 116, 104),
    ]


@drawing(
    "word-original-belt",
    height=128,
    title="Original belt",
    alt="The original belt came into the car when it was built, and the same belt is in it today.",
    question="When was the original belt fitted?",
    answer="When the car was built.",
    keys=("works", "fitted", "unchanged", "today"),
)
def original_belt() -> Parts:
    works = [(10, 84), (10, 46), (34, 30), (34, 46), (58, 30), (58, 46), (82, 30), (82, 84)]
    return [
        group(polygon(works), text(10, 112, "car is built", size=SMALL), key="works"),
        group(belt([(46, 62, 9), (46, 78, 5)]), text(10, 22, "original belt", bold=True), key="fitted"),
        group(arrow(92, 66, 176, 66), text(98, 56, "no change", size=SMALL), key="unchanged"),
        side_view(188, 74),
        text(196, 112, "today:", size=SMALL),
        group(belt([(216, 56, 9), (216, 72, 5)]), text(242, 112, "same belt", size=SMALL), key="today"),
    ]


@drawing(
    "word-key",
    height=146,
    title="Key",
    alt="A shaft from its end with its sprocket round it. The key is a small steel block, half in the shaft and half "
    "in the sprocket.",
    question="What keeps the sprocket from turning on its shaft?",
    answer="The key, half in the shaft and half in the sprocket.",
    keys=("key", "name"),
)
def key() -> Parts:
    return [
        sprocket(84, 78, 58, 34),
        circle(84, 78, 34, fill=METAL),
        group(rect(75, 30, 18, 28, fill=BELT, stroke=BELT, r=2), key="key"),
        called(176, 34, "key", (172, 32), (90, 44)),
        text(176, 52, "half in each", size=SMALL),
        text(176, 92, "sprocket", size=SMALL),
        leader(172, 88, 132, 92),
        text(176, 122, "cam or crank", size=SMALL),
        leader(172, 118, 94, 90),
    ]


@drawing(
    "word-span",
    height=132,
    title="Span",
    alt="A span is the free length of belt from one pulley to the next, where it touches nothing.",
    question="What is the free length of belt from one pulley to the next called?",
    answer="Span.",
    keys=("span",),
)
def span() -> Parts:
    return [
        belt([(58, 82, 34), (270, 82, 34)]),
        pulley(58, 82, 34),
        pulley(270, 82, 34),
        group(measure(60, 32, 268, 32), text(164, 24, "span", bold=True, anchor="middle"), key="span"),
        text(164, 66, "belt is free here", anchor="middle", size=SMALL),
        text(164, 104, "pulleys", anchor="middle", size=SMALL),
        leader(136, 99, 84, 90),
        leader(192, 99, 244, 90),
    ]


@drawing(
    "word-idler",
    height=150,
    title="Idler",
    alt="Cam and crank sprocket with their belt. Between them the idler, a smooth pulley that only guides the belt.",
    question="What is the smooth pulley called that only guides the belt?",
    answer="Idler.",
    keys=("name",),
)
def idler() -> Parts:
    return [
        belt([(62, 72, 38), (270, 72, 24), (170, 116, -20)]),
        sprocket(62, 72, 38, 26),
        sprocket(270, 72, 24, 16),
        pulley(170, 116, 20),
        text(62, 130, "cam", anchor="middle", size=SMALL),
        text(270, 130, "crank", anchor="middle", size=SMALL),
        called(140, 66, "idler", (160, 72), (166, 104)),
    ]


@drawing(
    "word-stretch-belt",
    height=140,
    title="Stretch belt",
    alt="A stretch belt runs on its pulleys with no tensioner beside it. It holds because it is a little short.",
    question="Which part is not there beside a stretch belt?",
    answer="A tensioner.",
    keys=("missing",),
)
def stretch_belt() -> Parts:
    return [
        belt_run("M46 38 A36 36 0 0 0 46 110 L148 104 A30 30 0 0 0 148 44 Z"),
        pulley(46, 74, 32),
        pulley(148, 74, 26),
        text(190, 40, "stretch belt", bold=True),
        lines(190, 58, "a little short:", "it holds itself", size=SMALL),
        group(
            circle(100, 122, 12, fill="none", stroke=SOFT, dash="4 4"),
            verdict(186, 112, False, "no tensioner"),
            leader(182, 110, 112, 120),
            key="missing",
        ),
    ]


def _slot(x: float, y: float, ends: tuple[float, float], stroke: str, width: float) -> ET.Element:
    """A slot from angle to angle, its end walls round."""
    slot = arc(x, y, 30, *ends, stroke=stroke, width=width)
    slot.set("stroke-linecap", "round")
    return slot


def _slots(x: float, y: float) -> Parts:
    """Three slots round the middle of a sprocket, a bolt half way along each."""
    ends = [(at - 22, at + 22) for at in (0, 120, 240)]
    return [
        *(_slot(x, y, each, INK, 19) for each in ends),
        *(_slot(x, y, each, PAPER, 15) for each in ends),
        *(bolt_head(*polar(x, y, 30, at), 6) for at in (0, 120, 240)),
    ]


@drawing(
    "word-floating-sprockets",
    height=148,
    title="Floating sprocket",
    alt="A floating sprocket has slots. While its bolts are loose it turns a little both ways. The cam stays still.",
    question="What is a sprocket called that turns a little on its cam while its bolts are loose?",
    answer="Floating sprocket.",
    keys=("name",),
)
def floating() -> Parts:
    return [
        sprocket(84, 80, 50, 30),
        *_slots(84, 80),
        circle(84, 80, 12, fill=METAL),
        turn_arrow(84, 80, 60, 6, 50),
        turn_arrow(84, 80, 60, -6, -50),
        group(text(166, 40, "floating sprocket", bold=True), key="name"),
        lines(166, 58, "turns a little,", "both ways", size=SMALL),
        text(166, 100, "slot", size=SMALL),
        leader(162, 96, *polar(84, 80, 30, 91)),
        text(166, 122, "bolt, loose", size=SMALL),
        leader(162, 117, *polar(84, 80, 30, 120)),
        text(8, 140, "cam", size=SMALL),
        line(38, 136, 84, 136, width=THIN),
        leader(84, 136, 84, 86),
    ]


@drawing(
    "word-cam-phaser",
    height=144,
    title="Cam phaser",
    alt="A cam phaser: inside the sprocket a rotor on the cam swings a little to and fro while the engine runs.",
    question="What swings a little to and fro inside the sprocket of a cam phaser?",
    answer="The cam, with its rotor.",
    keys=("rotor", "said"),
)
def phaser() -> Parts:
    vane = polygon([(77, 80), (80, 46), (88, 46), (91, 80)], fill=METAL)
    return [
        sprocket(84, 76, 60, 36),
        circle(84, 76, 42, fill=PAPER),
        *(path(f"M84 76 L{a} {b} A42 42 0 0 1 {c} {d} Z", fill=PART) for a, b, c, d in _ribs(84, 76)),
        circle(84, 76, 20, fill=PAPER),
        group(
            *(tilted(at, (84, 76), vane) for at in (12, 132, 252)),
            circle(84, 76, 17, fill=METAL),
            turn_arrow(84, 76, 30, 20, 46),
            turn_arrow(84, 76, 30, 4, -26),
            key="rotor",
        ),
        text(170, 40, "cam phaser", bold=True),
        group(lines(170, 68, "rotor: swings the", "cam to and fro", size=SMALL), leader(166, 64, 97, 76), key="said"),
        text(170, 118, "sprocket", size=SMALL),
        leader(166, 114, 138, 100),
    ]


def _ribs(x: float, y: float) -> list[tuple[float, float, float, float]]:
    return [(*polar(x, y, 42, at - 22), *polar(x, y, 42, at + 22)) for at in (60, 180, 300)]


@drawing(
    "word-eccentric",
    height=140,
    title="Eccentric",
    alt="An eccentric pulley: its bolt sits beside its centre, so that the pulley moves sideways when it turns.",
    question="What sits beside the centre of an eccentric pulley?",
    answer="Its bolt.",
    keys=("bolt", "said"),
)
def eccentric_pulley() -> Parts:
    return [
        circle(84, 72, 56, fill=METAL),
        circle(84, 72, 40, fill=PART),
        line(78, 72, 90, 72, width=2),
        line(84, 66, 84, 78, width=2),
        group(bolt_head(64, 88, 12), key="bolt"),
        text(170, 34, "eccentric", bold=True),
        text(170, 66, "centre", size=SMALL),
        leader(166, 62, 88, 72),
        group(text(170, 96, "bolt beside it", size=SMALL), leader(166, 92, 76, 88), key="said"),
    ]


@drawing(
    "word-timing-position",
    height=150,
    title="Timing position",
    alt="Timing position: the mark on the crank and the mark on each cam meet their marks on the engine.",
    question="How do you see that crank and cam stand at the timing position?",
    answer="Each mark meets its mark on the engine.",
    keys=("cam-mark", "crank-mark", "said"),
)
def timing_position() -> Parts:
    return [
        sprocket(66, 88, 42, 28),
        group(engine_mark(66, 88, 45), sprocket_mark(66, 88, 42, 0, GOOD), key="cam-mark"),
        sprocket(292, 102, 26, 16),
        group(engine_mark(292, 102, 29), sprocket_mark(292, 102, 26, 0, GOOD), key="crank-mark"),
        text(10, 22, "timing position", bold=True),
        text(66, 144, "cam", anchor="middle", size=SMALL),
        text(292, 144, "crank", anchor="middle", size=SMALL),
        group(lines(188, 78, "every mark meets", "its engine mark", size=SMALL, anchor="middle"), key="said"),
    ]


@drawing(
    "word-trigger-plate",
    height=140,
    title="Trigger plate",
    alt="The trigger plate is a toothed plate on the crank. A sensor beside it counts its teeth as they pass.",
    question="What is the toothed plate called that passes in front of the sensor?",
    answer="Trigger plate.",
    keys=("name",),
)
def trigger_plate() -> Parts:
    return [
        sprocket(80, 76, 58, 34),
        rect(146, 66, 44, 20, fill=BELT, stroke=BELT, r=3),
        path("M190 76 H216 Q230 76 230 90 V104", width=3),
        text(168, 124, "sensor", size=SMALL, anchor="middle"),
        leader(168, 112, 168, 82),
        text(80, 112, "crank", size=SMALL, anchor="middle"),
        called(160, 34, "trigger plate", (156, 32), (116, 44)),
        turn_arrow(80, 76, 42, 210, 300),
    ]


@drawing(
    "word-sprocket-marks",
    height=146,
    title="Sprocket marks",
    alt="The marks made in the two sprockets meet the engine's marks: they prove the timing. The paint on the belt "
    "does not.",
    question="Which marks prove the timing, those in the sprockets or those on the belt?",
    answer="Those in the sprockets.",
    keys=("prove", "not"),
)
def sprocket_marks() -> Parts:
    return [
        belt([(60, 84, 40), (188, 96, 24)]),
        sprocket(60, 84, 40, 26),
        sprocket(188, 96, 24, 16),
        engine_mark(60, 84, 52),
        engine_mark(188, 96, 36),
        sprocket_mark(60, 84, 40, 0),
        sprocket_mark(188, 96, 26, 0),
        line(112, 32, 114, 62, stroke=PAINT, width=6),
        text(190, 22, "sprocket marks", bold=True),
        line(186, 18, 140, 18, width=THIN),
        leader(140, 18, 62, 67),
        leader(230, 28, 190, 87),
        group(verdict(240, 66, True, "count"), key="prove"),
        group(verdict(240, 136, False, "do not"), key="not"),
        text(240, 114, "paint lines", size=SMALL),
        line(236, 110, 150, 110, width=THIN),
        leader(150, 110, 113, 50),
    ]
