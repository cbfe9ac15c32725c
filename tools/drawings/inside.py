"""Inside the engine: pistons, valves and what a cam does when nothing holds it."""

from __future__ import annotations

from collections.abc import Sequence
from xml.etree import ElementTree as ET

from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BAD, GOOD, INK, METAL, MOVE, PAPER, PART, SMALL, THIN
from tools.drawings.shapes import (
    arrow,
    belt_run,
    circle,
    curve,
    divider,
    engine_mark,
    good_beside_bad,
    group,
    line,
    lines,
    path,
    pipe,
    polar,
    polygon,
    rect,
    shelf,
    spring,
    sprocket,
    sprocket_mark,
    text,
    tilted,
    turn_arrow,
    verdict,
)


def piston(x: float, crown: float, wide: float = 44) -> ET.Element:
    """Return a piston from the side, its crown at y = `crown`, with two rings and its rod."""
    left = x - wide / 2
    return group(
        pipe(f"M{x} {crown + 18} V{crown + 42}"),
        rect(left, crown, wide, 28, fill=METAL),
        line(left, crown + 7, left + wide, crown + 7, width=THIN),
        line(left, crown + 12, left + wide, crown + 12, width=THIN),
        circle(x, crown + 20, 3.5, fill=PAPER),
    )


def valve(x: float, face: float, wide: float = 18, stem: float = 40) -> ET.Element:
    """Return a valve, its face at y = `face`, its stem up."""
    return group(
        line(x, face - 4, x, face - stem, width=3),
        polygon([(x - wide / 2, face), (x + wide / 2, face), (x + 2, face - 7), (x - 2, face - 7)], fill=INK),
    )


def burst(x: float, y: float, r: float = 11) -> ET.Element:
    """Return the sign for a hit: short lines round a point."""
    return group(
        *(line(*polar(x, y, r * 0.5, at), *polar(x, y, r, at), stroke=BAD, width=3) for at in range(0, 360, 45))
    )


def cylinder(x: float, top: float, tall: float, wide: float = 48) -> ET.Element:
    """Return a cylinder from the side, open below: its head and two walls."""
    left, right = x - wide / 2, x + wide / 2
    return curve([(left, top + tall), (left, top), (right, top), (right, top + tall)], width=3)


def _pull(x: float, points: str, colour: str, key: str) -> Parts:
    """A small graph: turning to the right, pull on the bar upwards."""
    return [
        curve([(x, 232), (x, 308), (x + 132, 308)]),
        text(x + 6, 240, "pull", size=SMALL),
        text(x + 132, 325, "turning", size=SMALL, anchor="end"),
        group(path(points, stroke=colour, width=4), key=key),
    ]


@drawing(
    "hard-stop-or-compression",
    height=336,
    title="Compression or a hard stop",
    alt="Compression: the pull rises softly and fades again. A piston on a valve: no pull at first, then dead solid "
    "at once. Then stop.",
    question="How does the pull on the bar rise when a piston meets a valve?",
    answer="At once and straight up: dead solid.",
    keys=("pull-valve", "said-valve"),
)
def hard_stop() -> Parts:
    return [
        *good_beside_bad(330, "Compression", "Valve: stop"),
        cylinder(82, 74, 112, 74),
        valve(66, 78),
        valve(98, 78),
        piston(82, 118, 70),
        arrow(82, 206, 82, 178),
        *(circle(62 + 13 * at, 90 + 9 * (at % 2), 2.5, fill=MOVE, stroke="none") for at in range(4)),
        cylinder(246, 74, 112, 74),
        valve(230, 104, stem=66),
        valve(262, 78),
        piston(246, 104, 70),
        arrow(246, 192, 246, 164),
        burst(230, 104, 16),
        *_pull(16, "M16 304 C60 300 66 252 86 252 S112 300 146 304", GOOD, "pull-soft"),
        *_pull(180, "M180 304 H246 V236", BAD, "pull-valve"),
        text(58, 244, "soft, fades", size=SMALL, colour=GOOD),
        group(lines(256, 258, "solid", "at once", size=SMALL, colour=BAD), key="said-valve"),
    ]


def _four(top: float, crowns: Sequence[float], lifts: Sequence[float]) -> Parts:
    parts: list[ET.Element] = []
    for at, (crown, lift) in enumerate(zip(crowns, lifts, strict=True)):
        x = 32 + 50 * at
        parts += [
            cylinder(x, top, 92, 46),
            piston(x, top + crown, 42),
            valve(x - 9, top + 2 + lift, 15, 26 + lift),
            valve(x + 9, top + 2, 15, 26),
            text(x, top - 28, str(at + 1), anchor="middle", size=SMALL),
        ]
    return parts


def _crank(x: float, y: float, angle: float) -> Parts:
    """A crank from the front: two throws opposite each other, at `angle`."""
    ends = [polar(x, y, 26, angle + half) for half in (0, 180)]
    return [
        circle(x, y, 36, fill=PART),
        pipe(f"M{ends[0][0]} {ends[0][1]} L{ends[1][0]} {ends[1][1]}", wide=8),
        *(circle(*end, 8, fill=METAL) for end in ends),
        circle(x, y, 5, fill=INK),
    ]


@drawing(
    "safe-crank",
    height=386,
    title="The crank's safe position",
    alt="At the timing position two pistons stand at the top, under open valves. In the safe position all four stand "
    "about half way, and no valve reaches one.",
    question="In the safe position, how many pistons stand at the top, and where do the others stand?",
    answer="None is at the top. All four stand about half way.",
    keys=("safe",),
)
def safe_crank() -> Parts:
    return [
        verdict(10, 24, False, "Valves can hit"),
        *_four(84, (12, 56, 56, 12), (10, 0, 0, 0)),
        burst(23, 96, 14),
        *_crank(272, 112, 0),
        text(272, 172, "crank", anchor="middle", size=SMALL),
        shelf(188),
        verdict(10, 212, True, "Safe position"),
        group(*_four(272, (37, 37, 37, 37), (10, 0, 10, 0)), *_crank(272, 300, 90), key="safe"),
        lines(272, 360, "angle: see", "the sheet", anchor="middle", size=SMALL),
    ]


def cam(x: float, y: float, angle: float) -> ET.Element:
    """Return a cam, its nose at an angle: a base circle of 22 and a nose of 8, 30 from the centre."""
    lobe = path(
        f"M{x - 21.2} {y - 6} A22 22 0 1 0 {x + 21.2} {y - 6} L{x + 7.6} {y - 32.5} A8 8 0 0 0 {x - 7.6} {y - 32.5} Z",
        fill=PART,
    )
    return group(tilted(angle, (x, y), lobe), circle(x, y, 6, fill=INK))


def _bucket(x: float, top: float, seat: float) -> Parts:
    return [
        rect(x - 22, top, 44, 34, fill=METAL),
        spring(x, top + 34, seat, 26),
        line(x, top + 34, x, seat, width=3),
        rect(x - 44, seat, 88, 12),
    ]


@drawing(
    "cam-thrown-by-its-spring",
    height=330,
    title="A valve spring throws the cam",
    alt="The belt holds a cam whose nose presses a valve spring. With the belt off the spring pushes up "
    "and throws the cam round, its nose away from the valve.",
    question="The belt comes off. Which way does the spring throw the nose of this cam?",
    answer="Away from the valve: to the right and up, counter-clockwise.",
    keys=("held", "thrown", "way"),
)
def cam_thrown() -> Parts:
    return [
        text(10, 24, "Belt holds it", bold=True),
        verdict(174, 24, False, "Belt off: snap"),
        divider(164, 8, 320),
        belt_run("M26 190 V112 A56 56 0 0 1 138 112 V190"),
        sprocket(82, 112, 52, 32),
        engine_mark(82, 112, 60),
        sprocket_mark(82, 112, 52, 0),
        *_bucket(82, 149, 260),
        group(cam(82, 112, 155), key="held"),
        arrow(56, 250, 56, 206),
        text(104, 226, "spring", size=SMALL),
        text(268, 226, "spring", size=SMALL),
        text(10, 292, "The spring pushes", size=SMALL),
        text(10, 309, "up on the nose.", size=SMALL),
        sprocket(246, 112, 52, 32, -80),
        engine_mark(246, 112, 60),
        *_bucket(246, 134, 260),
        group(sprocket_mark(246, 112, 52, -80), cam(246, 112, 75), key="thrown"),
        group(turn_arrow(246, 112, 66, 130, 60, BAD, 4), key="way"),
        text(174, 292, "The cam jumps.", size=SMALL),
        text(174, 309, "Fingers out.", size=SMALL),
    ]
