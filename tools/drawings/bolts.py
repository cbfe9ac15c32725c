"""Bolts: what they clamp, where they belong, and how a paint line tells whether one moved."""

from __future__ import annotations

from xml.etree import ElementTree as ET

from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BAD, GOOD, LIQUID, METAL, PAPER, PART, SMALL, SOFT, THIN
from tools.drawings.shapes import (
    arrow,
    bolt,
    bolt_head,
    circle,
    divider,
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
    verdict,
    witness,
)


def _blind(x: float) -> Parts:
    """A block with a blind hole and a cover on it, cut through; the hole runs from y = 110 to 196."""
    return [
        rect(x - 46, 118, 92, 108),
        path(f"M{x - 8} 118 V190 L{x} 199 L{x + 8} 190 V118 Z", fill=PAPER),
        rect(x - 38, 100, 76, 18, fill=PAPER),
    ]


@drawing(
    "blind-hole",
    height=304,
    title="A blind hole, with liquid in it and with a long bolt",
    alt="A bolt in a blind hole needs room below it. Liquid below it cannot get out and cracks the block. "
    "A bolt that is too long bottoms and clamps nothing.",
    question="The bolt in the third picture is tight but too long. What does its head clamp, and how do you see it?",
    answer="Nothing: the tip stands on the bottom and a gap is left under the head.",
    keys=("too-long", "said-long"),
)
def blind_hole() -> Parts:
    cracks = [
        path(f"M{164 + 9 * side} 176 l{12 * side} 8 l{-2 * side} 8 l{14 * side} 10 l{4 * side} 12", stroke=BAD, width=3)
        for side in (-1, 1)
    ]
    return [
        verdict(6, 24, True),
        verdict(114, 24, False, "Liquid"),
        verdict(223, 24, False, "Too long"),
        divider(109, 8, 294),
        divider(219, 8, 294),
        *_blind(55),
        bolt(55, 100, 70, 13, 44),
        *_blind(164),
        path("M156 160 V190 L164 199 L172 190 V160 Z", fill=LIQUID, width=THIN),
        bolt(164, 100, 66, 13, 44),
        *cracks,
        *_blind(274),
        group(bolt(274, 74, 116, 13, 70), measure(304, 74, 304, 100, BAD), key="too-long"),
        text(55, 220, "blind hole", anchor="middle", size=SMALL),
        leader(55, 208, 55, 188),
        lines(8, 250, "Clamps.", "Room below.", size=SMALL),
        lines(116, 250, "Liquid is", "trapped:", "it cracks.", size=SMALL),
        group(lines(224, 250, "Bottoms:", "a gap, no", "clamping.", size=SMALL), key="said-long"),
    ]


def card(y: float) -> Parts:
    """Return a card with the outline of a cover, 100 high, its top 34 below y."""
    outline = f"M56 {y + 92} Q52 {y + 52} 96 {y + 46} L230 {y + 40} Q280 {y + 56} 276 {y + 96} "
    outline += f"Q250 {y + 120} 200 {y + 116} L120 {y + 122} Q64 {y + 120} 56 {y + 92} Z"
    return [rect(28, y + 34, 272, 100, fill=PAPER, r=2), path(outline, stroke=SOFT, dash="6 4")]


def card_bolts(y: float) -> Parts:
    """Return the five bolts in a card, each with the number of its place."""
    places = ((74, 74), (122, 54), (206, 54), (244, 82), (160, 106))
    return [
        group(bolt_head(at, y + down, 10), text(at + 14, y + down + 5, str(number), size=SMALL))
        for number, (at, down) in enumerate(places, 1)
    ]


def _cover(x: float) -> Parts:
    """A cover on its engine, cut through: a step thicker from place to place. A thread begins at y = 296."""
    steps = [(x, 262), (x + 48, 262), (x + 48, 244), (x + 96, 244), (x + 96, 226), (x + 144, 226)]
    holes = [(x + 24 + 48 * at, 262 - 18 * at) for at in range(3)]
    return [
        rect(x, 280, 144, 44),
        polygon([(x, 280), *steps, (x + 144, 280)], fill=METAL),
        *(rect(at - 5, top, 10, 296 - top, fill=PAPER, width=THIN) for at, top in holes),
        *(text(at, 318, str(place), anchor="middle", size=SMALL) for place, (at, _) in enumerate(holes, 1)),
    ]


def _standing(x: float, length: float) -> ET.Element:
    """A bolt pushed in by hand: its tip stands where the thread begins."""
    head = 296 - length
    return group(rect(x - 4, head, 8, length), rect(x - 11, head - 10, 22, 10, fill=METAL, r=2))


@drawing(
    "bolt-card-and-head-heights",
    height=336,
    title="Bolts on a card, heads at one height",
    alt="Keep bolts in a card, each at its place. Pushed in by hand, every head stands equally high above its seat. "
    "A head that stands higher is in the wrong hole.",
    question="Two bolts have changed places. At which place does the bolt stand that is too long for it?",
    answer="At place 1: its head stands higher above the cover than the others.",
    keys=("exchanged",),
)
def bolt_card() -> Parts:
    return [
        text(10, 24, "Card with the cover's outline", bold=True),
        *card(0),
        *card_bolts(0),
        shelf(146),
        verdict(10, 170, True, "Same gap"),
        verdict(174, 170, False, "Two swapped"),
        divider(164, 152, 326),
        text(10, 190, "pushed in by hand", size=SMALL),
        *_cover(10),
        *(_standing(34 + 48 * at, 54 + 18 * at) for at in range(3)),
        *(measure(51 + 48 * at, 243 - 18 * at, 51 + 48 * at, 261 - 18 * at, GOOD) for at in range(3)),
        *_cover(176),
        group(
            _standing(200, 72),
            _standing(248, 54),
            _standing(296, 90),
            measure(220, 225, 220, 261, BAD),
            text(178, 205, "too long", size=SMALL, colour=BAD),
            key="exchanged",
        ),
    ]


def _painted(x: float, head: float, key: str | None = None) -> Parts:
    """A bolt on its housing; the paint on its head stands at `head` degrees, that on the housing at 0."""
    return [
        rect(x - 46, 46, 92, 96, r=3),
        bolt_head(x, 98, 24, head),
        witness(x, 98, 30, 46, 0),
        witness(x, 98, 8, 25, head, key),
    ]


@drawing(
    "witness-mark",
    height=214,
    title="What a paint line says",
    alt="Paint line over bolt and housing. In one line: it has not moved. Broken: the bolt moved. After a stage of "
    "90 degrees the line stands at a second mark.",
    question="Which way did the bolt with the broken line turn?",
    answer="Counter-clockwise: it came loose.",
    keys=("came-loose", "loosened"),
)
def witness_mark() -> Parts:
    return [
        verdict(6, 24, True, "One line"),
        verdict(115, 24, False, "Two lines"),
        text(225, 24, "90° stage", bold=True),
        divider(109, 8, 204),
        divider(219, 8, 204),
        *_painted(55, 0),
        lines(8, 168, "It has not", "moved.", size=SMALL),
        *_painted(164, -60, "came-loose"),
        group(turn_arrow(164, 98, 36, -10, -62, BAD), key="loosened"),
        lines(116, 168, "It turned:", "it is loose.", size=SMALL),
        *_painted(274, 90, "turned"),
        group(witness(274, 98, 30, 43, 90), key="second"),
        group(turn_arrow(274, 98, 36, 14, 72), key="stage"),
        lines(225, 168, "Line is at", "the second", "mark.", size=SMALL),
    ]


def _wrench(x: float, y: float) -> Parts:
    return [
        rect(x, y - 6, 170, 12, fill=METAL, r=4),
        rect(x + 128, y - 8, 46, 16, fill=PART, r=5),
        circle(x, y, 13, fill=METAL),
        rect(x - 5, y - 5, 10, 10, fill=PAPER),
    ]


def _foot(x: float, y: float) -> ET.Element:
    """A crowfoot that points to the left, its jaw round the bolt at (x, y), its square 42 to the right."""
    jaw = "M46 -8 V8 L14 14 Q4 21 -12 16 L-10 9 H4 V-9 H-10 L-12 -16 Q4 -21 14 -14 Z"
    return group(path(jaw, fill=METAL), move=(x, y))


def _nut(x: float, y: float) -> ET.Element:
    return polygon([polar(x, y, 9, 30 + 60 * at) for at in range(6)])


@drawing(
    "crowfoot-at-0-and-90-degrees",
    height=366,
    title="A crowfoot on the torque wrench",
    alt="Crowfoot in line with the wrench: the lever grows longer and the bolt gets more than is set. "
    "At 90 degrees to the wrench the bolt gets what is set.",
    question="The wrench of the example is set to 50 N.m. How much does the bolt get when the crowfoot is in line?",
    answer="65 N.m, because the lever is longer than that of the wrench.",
    keys=("lever", "said-lever"),
)
def crowfoot() -> Parts:
    """The example's figure follows from the lengths as drawn: 50 N.m at 150, so 50 * 196 / 150 at 196. A torque is pull
    times lever, so the same pull gives more at a longer lever."""
    return [
        verdict(10, 24, False, "In line: too much"),
        text(10, 50, "bolt", size=SMALL),
        text(66, 50, "crowfoot", size=SMALL),
        text(156, 50, "torque wrench", size=SMALL),
        _foot(44, 78),
        _nut(40, 78),
        *_wrench(86, 78),
        arrow(236, 92, 236, 118),
        line(40, 98, 40, 134, width=THIN),
        line(236, 122, 236, 134, width=THIN),
        group(measure(40, 128, 236, 128, BAD), key="lever"),
        group(
            text(40, 152, "long lever. Set 50 N.m: bolt gets 65", size=SMALL, colour=BAD),
            key="said-lever",
        ),
        shelf(168),
        verdict(10, 194, True, "At 90°: as set"),
        tilted(-90, (86, 276), _foot(86, 276)),
        _nut(86, 280),
        *_wrench(86, 234),
        arrow(236, 248, 236, 282),
        line(86, 298, 86, 312, width=THIN),
        line(236, 286, 236, 312, width=THIN),
        measure(86, 306, 236, 306, GOOD),
        text(40, 330, "wrench's lever. Set 50 N.m: bolt gets 50", size=SMALL, colour=GOOD),
        text(40, 355, "An example. Lengths decide.", size=SMALL),
    ]
