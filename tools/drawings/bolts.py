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
    lines,
    measure,
    path,
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
        group(bolt(274, 82, 114, 13, 70), measure(303, 82, 303, 100, BAD), key="too-long"),
        lines(8, 250, "Clamps.", "Room below.", size=SMALL),
        lines(116, 250, "Liquid is", "trapped:", "it cracks.", size=SMALL),
        group(lines(224, 250, "Bottoms:", "a gap, no", "clamping.", size=SMALL), key="said-long"),
    ]


def _cover(x: float) -> Parts:
    """A cover on its engine, cut through: thin at places 1 and 2, thick at place 3."""
    return [
        rect(x, 282, 144, 40),
        polygon([(x, 266), (x + 96, 266), (x + 96, 246), (x + 144, 246), (x + 144, 282), (x, 282)], fill=METAL),
        *(text(x + 24 + 48 * at, 308, str(at + 1), anchor="middle", size=SMALL) for at in range(3)),
    ]


def _standing(x: float, seat: float, gap: float) -> ET.Element:
    """A bolt pushed in by hand: its head stands `gap` above its seat."""
    return group(rect(x - 5, seat - gap, 10, gap, fill=PAPER), rect(x - 11, seat - gap - 10, 22, 10, fill=METAL, r=2))


@drawing(
    "bolt-card-and-head-heights",
    height=336,
    title="Bolts on a card, heads at one height",
    alt="Keep bolts in a card, each at its place. Pushed in by hand, every head stands equally high above its seat. "
    "A head that stands higher is in the wrong hole.",
    question="In the wrong picture two bolts are exchanged. Which bolt is too long for its place?",
    answer="The one at place 2: its head stands higher above its seat than the others.",
    keys=("two", "three"),
)
def bolt_card() -> Parts:
    holes = ((74, 74, "1"), (122, 54, "2"), (206, 54, "3"), (244, 82, "4"), (160, 106, "5"))
    return [
        text(10, 24, "Card with the cover's outline", bold=True),
        rect(28, 34, 272, 100, fill=PAPER, r=2),
        path(
            "M56 92 Q52 52 96 46 L230 40 Q280 56 276 96 Q250 120 200 116 L120 122 Q64 120 56 92 Z",
            stroke=SOFT,
            dash="6 4",
        ),
        *(group(bolt_head(x, y, 10), text(x + 14, y + 5, said, size=SMALL)) for x, y, said in holes),
        shelf(146),
        verdict(10, 172, True, "Gaps equal"),
        verdict(174, 172, False, "Two swapped"),
        divider(164, 152, 326),
        lines(10, 192, "pushed in by hand", size=SMALL),
        *_cover(10),
        _standing(34, 266, 20),
        _standing(82, 266, 20),
        _standing(130, 246, 20),
        *_cover(176),
        _standing(200, 266, 20),
        group(_standing(248, 266, 42), key="two"),
        group(_standing(296, 246, 2), key="three"),
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
    height=232,
    title="What a paint line says",
    alt="Paint line over bolt and housing. In one line: it has not moved. Broken: the bolt moved. After a stage of "
    "90 degrees the line stands at a second mark.",
    question="Which way did the bolt with the broken line turn?",
    answer="Counter-clockwise: it came loose.",
    keys=("came-loose",),
)
def witness_mark() -> Parts:
    return [
        verdict(6, 24, True, "One line"),
        verdict(115, 24, False, "Broken"),
        text(225, 24, "90° stage", bold=True),
        divider(109, 8, 222),
        divider(219, 8, 222),
        *_painted(55, 0),
        lines(8, 168, "It has not", "moved.", size=SMALL),
        *_painted(164, -28, "came-loose"),
        lines(116, 168, "It turned.", size=SMALL),
        *_painted(274, 90, "turned"),
        group(witness(274, 98, 30, 46, 90), key="second"),
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
    """A crowfoot that points to the left, its jaw round (x, y), its square 42 to the right."""
    jaw = "M46 -8 V8 L12 12 Q2 20 -12 14 L-8 8 H2 V-8 H-8 L-12 -14 Q2 -20 12 -12 Z"
    return group(path(jaw, fill=METAL), move=(x, y))


@drawing(
    "crowfoot-at-0-and-90-degrees",
    height=336,
    title="A crowfoot on the torque wrench",
    alt="Crowfoot in line with the wrench: the lever grows longer and the bolt gets more than is set. "
    "At 90 degrees to the wrench the bolt gets what is set.",
    question="The crowfoot stands in line. From where to where does the lever reach?",
    answer="From the bolt in the crowfoot to the hand.",
    keys=("lever", "said-lever"),
)
def crowfoot() -> Parts:
    return [
        verdict(10, 24, False, "In line: too much"),
        bolt_head(44, 74, 9),
        _foot(44, 74),
        *_wrench(86, 74),
        arrow(236, 88, 236, 118),
        group(measure(44, 128, 236, 128, BAD), key="lever"),
        group(text(60, 148, "longer lever: set lower", size=SMALL, colour=BAD), key="said-lever"),
        shelf(164),
        group(verdict(10, 190, True, "At 90°: as set"), key="said-square"),
        group(
            bolt_head(86, 282, 9),
            tilted(-90, (86, 282), _foot(86, 282)),
            *_wrench(86, 240),
            arrow(236, 254, 236, 284),
            key="square",
        ),
        measure(86, 306, 236, 306, GOOD),
        text(100, 327, "lever of the wrench", size=SMALL, colour=GOOD),
    ]
