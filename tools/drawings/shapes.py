"""Shapes that the drawings share, so that a belt, a mark and a bolt look alike in all of them.

Lengths are pixels of a drawing 328 wide, x to the right and y down. Angles are degrees clockwise from straight up.
Every function returns one element.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any
from xml.etree import ElementTree as ET

from tools.drawings.paint import BAD, BELT, GOOD, INK, LINE, METAL, MOVE, PAINT, PAPER, PART, TEXT, THIN

Point = tuple[float, float]
Edge = dict[str, str | float | None]


def number(value: float) -> str:
    """Return a number as it stands in the file: two digits after the point at most, no minus before zero."""
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")


def element(tag: str, *children: ET.Element, **attributes: str | float | None) -> ET.Element:
    """Return an element. An underscore in a name stands for a hyphen; None leaves the attribute out."""
    made = ET.Element(tag)
    for name, value in attributes.items():
        if value is not None:
            made.set(name.strip("_").replace("_", "-"), value if isinstance(value, str) else number(value))
    made.extend(children)
    return made


def group(*children: ET.Element, key: str | None = None, move: Point | None = None) -> ET.Element:
    """Return the children as one; `key` is their id, `move` shifts them."""
    moved = f"translate({number(move[0])} {number(move[1])})" if move else None
    return element("g", *children, id=key, transform=moved)


def tilted(angle: float, centre: Point, *children: ET.Element) -> ET.Element:
    """Return the children turned clockwise about a point. No text belongs inside."""
    turn = f"rotate({number(angle)} {number(centre[0])} {number(centre[1])})"
    return element("g", *children, transform=turn)


# --- Lines and areas --------------------------------------------------------------------------------------------------


def line(
    x1: float, y1: float, x2: float, y2: float, stroke: str = INK, width: float = LINE, dash: str | None = None
) -> ET.Element:
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=stroke, stroke_width=width, stroke_dasharray=dash)


def path(d: str, fill: str = "none", stroke: str = INK, width: float = LINE, dash: str | None = None) -> ET.Element:
    edge: Edge = {"stroke_width": width, "stroke_dasharray": dash} if stroke != "none" else {}
    return element("path", d=d, fill=fill, stroke=stroke, stroke_linejoin="round", **edge)


def rect(
    x: float, y: float, w: float, h: float, fill: str = PART, stroke: str = INK, width: float = LINE, r: float = 0
) -> ET.Element:
    edge: Edge = {"stroke_width": width} if stroke != "none" else {}
    return element("rect", x=x, y=y, width=w, height=h, rx=r or None, fill=fill, stroke=stroke, **edge)


def circle(
    x: float, y: float, r: float, fill: str = PART, stroke: str = INK, width: float = LINE, dash: str | None = None
) -> ET.Element:
    edge: Edge = {"stroke_width": width, "stroke_dasharray": dash} if stroke != "none" else {}
    return element("circle", cx=x, cy=y, r=r, fill=fill, stroke=stroke, **edge)


def polygon(points: Sequence[Point], fill: str = PART, stroke: str = INK, width: float = LINE) -> ET.Element:
    listed = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    edge: Edge = {"stroke_width": width} if stroke != "none" else {}
    return element("polygon", points=listed, fill=fill, stroke=stroke, stroke_linejoin="round", **edge)


def curve(points: Sequence[Point], **how: Any) -> ET.Element:
    """Return straight lines from point to point."""
    return path("M" + " L".join(f"{number(x)} {number(y)}" for x, y in points), **how)


def polar(x: float, y: float, r: float, angle: float) -> Point:
    """Return the point at a distance from (x, y), at an angle clockwise from straight up."""
    return x + r * math.sin(math.radians(angle)), y - r * math.cos(math.radians(angle))


def arc(x: float, y: float, r: float, start: float, end: float, **how: Any) -> ET.Element:
    """Return an arc; it runs clockwise where `end` is the larger angle."""
    (x1, y1), (x2, y2) = polar(x, y, r, start), polar(x, y, r, end)
    far, sweep = int(abs(end - start) > 180), int(end > start)
    return path(f"M{number(x1)} {number(y1)} A{number(r)} {number(r)} 0 {far} {sweep} {number(x2)} {number(y2)}", **how)


# --- Words, signs and arrows ------------------------------------------------------------------------------------------


def text(
    x: float, y: float, words: str, size: float = TEXT, bold: bool = False, anchor: str = "start", colour: str = INK
) -> ET.Element:
    """Return one line of text; y is its base line, `anchor` is start, middle or end."""
    made = element(
        "text",
        x=x,
        y=y,
        font_size=size,
        font_weight="bold" if bold else None,
        text_anchor=None if anchor == "start" else anchor,
        fill=colour,
    )
    made.text = words
    return made


def lines(x: float, y: float, *words: str, step: float = 17, **how: Any) -> ET.Element:
    """Return lines of text, the first at y."""
    return group(*(text(x, y + step * at, each, **how) for at, each in enumerate(words)))


def sign(x: float, y: float, good: bool) -> ET.Element:
    """Return a tick or a cross, 16 wide; (x, y) is its lower left corner."""
    if good:
        return path(f"M{x} {y - 7} l6 7 l10 -15", stroke=GOOD, width=4)
    return path(f"M{x + 1} {y - 14} l14 14 m0 -14 l-14 14", stroke=BAD, width=4)


def verdict(x: float, y: float, good: bool, words: str = "") -> ET.Element:
    """Return a tick with "Good" or a cross with "Bad", or with other words. "Right" would also be a side."""
    said = words or ("Good" if good else "Bad")
    return group(sign(x, y, good), text(x + 23, y, said, bold=True, colour=GOOD if good else BAD))


def good_beside_bad(bottom: float, good: str = "", bad: str = "") -> list[ET.Element]:
    """Return the heads of a good half and a bad one, and the line between them down to `bottom`."""
    return [verdict(10, 24, True, good), verdict(174, 24, False, bad), divider(164, 8, bottom)]


def head(x: float, y: float, angle: float, colour: str = MOVE, size: float = 10) -> ET.Element:
    """Return the head of an arrow, its tip at (x, y)."""
    tail = polar(x, y, -size, angle)
    sides = [polar(*tail, size * 0.55, angle + side) for side in (-90, 90)]
    return polygon([(x, y), *sides], fill=colour, stroke="none")


def arrow(x1: float, y1: float, x2: float, y2: float, colour: str = MOVE, width: float = 3) -> ET.Element:
    angle = math.degrees(math.atan2(x2 - x1, y1 - y2))
    return group(line(x1, y1, *polar(x2, y2, -8, angle), stroke=colour, width=width), head(x2, y2, angle, colour))


def turn_arrow(
    x: float, y: float, r: float, start: float, end: float, colour: str = MOVE, width: float = 3
) -> ET.Element:
    """Return an arrow along an arc; it runs clockwise where `end` is the larger angle."""
    way = 1 if end > start else -1
    stop = end - way * math.degrees(7 / r)
    return group(
        arc(x, y, r, start, stop, stroke=colour, width=width),
        head(*polar(x, y, r, end), end + way * (90 - math.degrees(5 / r)), colour),
    )


def measure(x1: float, y1: float, x2: float, y2: float, colour: str = MOVE) -> ET.Element:
    """Return a dimension: a line with a head at either end."""
    angle = math.degrees(math.atan2(x2 - x1, y1 - y2))
    return group(
        line(*polar(x1, y1, 5, angle), *polar(x2, y2, -5, angle), stroke=colour),
        head(x2, y2, angle, colour, 8),
        head(x1, y1, angle + 180, colour, 8),
    )


def leader(x1: float, y1: float, x2: float, y2: float) -> ET.Element:
    """Return the thin line from a word to what it names, with a ring at the end that shows on any colour."""
    return group(line(x1, y1, x2, y2, width=THIN), circle(x2, y2, 3, fill=PAPER, width=THIN))


def called(x: float, y: float, word: str, start: Point, end: Point, key: str | None = "name") -> ET.Element:
    """Return a trade word in bold with the line from it to what it names."""
    return group(text(x, y, word, bold=True), leader(*start, *end), key=key)


def divider(x: float, y1: float, y2: float) -> ET.Element:
    return line(x, y1, x, y2, stroke=BELT, width=THIN, dash="2 4")


def shelf(y: float, x1: float = 8, x2: float = 320) -> ET.Element:
    return line(x1, y, x2, y, stroke=BELT, width=THIN, dash="2 4")


def eye(x: float, y: float, angle: float = 0) -> ET.Element:
    """Return an eye that looks along an angle."""
    lid = path(f"M{x - 12} {y + 4} Q{x} {y - 14} {x + 12} {y + 4} Q{x} {y + 14} {x - 12} {y + 4} Z", fill=PAPER)
    return tilted(angle, (x, y), lid, circle(x, y + 1, 4, fill=INK, stroke="none"))


def hand(x: float, y: float, angle: float = 90) -> ET.Element:
    """Return a hand whose finger points along an angle, the tip at (x, y)."""
    shape = path(
        f"M{x - 3} {y + 16} V{y + 3} a3.5 3.5 0 0 1 7 0 V{y + 13} l9 3 q6 2 5 9 l-2 13 H{x - 6} l-8 -14 q0 -6 5 -6 Z",
        fill=PAPER,
    )
    return tilted(angle, (x, y), shape)


# --- Belt and sprockets -----------------------------------------------------------------------------------------------


def _teeth(x: float, y: float, r: float, teeth: int, turned: float) -> str:
    deep, pitch = 5.0, 360 / teeth
    points: list[Point] = []
    for tooth in range(teeth):
        middle = turned + pitch * tooth
        points += [polar(x, y, r - deep, middle - pitch * 0.34), polar(x, y, r, middle - pitch * 0.2)]
        points += [polar(x, y, r, middle + pitch * 0.2), polar(x, y, r - deep, middle + pitch * 0.34)]
    return "M" + " L".join(f"{number(a)} {number(b)}" for a, b in points) + " Z"


def sprocket(x: float, y: float, r: float, teeth: int, turned: float = 0) -> ET.Element:
    """Return a toothed wheel of outer radius r; a tooth stands at the angle `turned`."""
    return group(path(_teeth(x, y, r, teeth, turned), fill=METAL), circle(x, y, max(4, r * 0.16), fill=PAPER))


def sprocket_mark(x: float, y: float, r: float, angle: float, colour: str = INK, key: str | None = None) -> ET.Element:
    """Return the mark on a sprocket of radius r: a line on its face that ends in a dot at the tooth."""
    start, end = polar(x, y, r * 0.5, angle), polar(x, y, r - 8, angle)
    return group(line(*start, *end, stroke=colour, width=4), circle(*end, 4, fill=colour, stroke="none"), key=key)


def engine_mark(x: float, y: float, r: float, angle: float = 0, colour: str = INK, size: float = 13) -> ET.Element:
    """Return the mark on the engine: a triangle whose tip points at (x, y) from a distance r."""
    tip, back = polar(x, y, r, angle), polar(x, y, r + size, angle)
    sides = [polar(*back, size * 0.55, angle + side) for side in (-90, 90)]
    return polygon([tip, *sides], fill=colour, stroke="none")


def pulley(x: float, y: float, r: float) -> ET.Element:
    """Return a smooth wheel: an idler or a tensioner's roller."""
    return group(circle(x, y, r, fill=METAL), circle(x, y, r * 0.55, fill=PART), circle(x, y, 3.5, fill=INK))


def _tangent(one: tuple[float, float, float], two: tuple[float, float, float]) -> tuple[Point, Point]:
    """Return where a straight run leaves wheel `one` and meets wheel `two`, each (x, y, signed radius).

    The wheel stands to the right of the run where its radius is positive. The unit normal n, to the left of the run,
    solves d.n = r1 - r2 for d from one centre to the other.
    """
    (x1, y1, r1), (x2, y2, r2) = one, two
    far = math.hypot(x2 - x1, y2 - y1)
    ex, ey = (x2 - x1) / far, (y2 - y1) / far
    along = (r1 - r2) / far
    across = math.sqrt(1 - along * along)
    nx, ny = along * ex + across * ey, along * ey - across * ex
    return (x1 + r1 * nx, y1 + r1 * ny), (x2 + r2 * nx, y2 + r2 * ny)


def _wrap(wheels: Sequence[tuple[float, float, float]]) -> str:
    runs = [_tangent(wheel, wheels[(at + 1) % len(wheels)]) for at, wheel in enumerate(wheels)]
    parts = [f"M{number(runs[-1][1][0])} {number(runs[-1][1][1])}"]
    for at, (x, y, r) in enumerate(wheels):
        come, leave = runs[at - 1][1], runs[at][0]
        angles = [math.degrees(math.atan2(py - y, px - x)) for px, py in (come, leave)]
        swept = (angles[1] - angles[0]) % 360 if r > 0 else (angles[0] - angles[1]) % 360
        size = number(abs(r))
        parts.append(f"A{size} {size} 0 {int(swept > 180)} {int(r > 0)} {number(leave[0])} {number(leave[1])}")
        parts.append(f"L{number(runs[at][1][0])} {number(runs[at][1][1])}")
    return " ".join(parts)


def belt(wheels: Sequence[tuple[float, float, float]]) -> ET.Element:
    """Return a belt round wheels (x, y, radius), clockwise. A wheel that the belt's back runs on has a negative
    radius."""
    band = [(x, y, r + 4 * (1 if r > 0 else -1)) for x, y, r in wheels]
    inner = [(x, y, r - 4) for x, y, r in band]
    return group(
        path(_wrap(inner), stroke=BELT, width=3, dash="4 4"),
        path(_wrap(band), stroke=BELT, width=6),
    )


def belt_run(d: str) -> ET.Element:
    """Return a piece of belt along a path, without teeth. Its ends are round, so that pieces join without a gap."""
    piece = path(d, stroke=BELT, width=6)
    piece.set("stroke-linecap", "round")
    return piece


def belt_section(x: float, y: float, teeth: int, pitch: float = 22, missing: Sequence[int] = ()) -> ET.Element:
    """Return a piece of belt from the side, teeth down: its back from y, 12 thick, its teeth 11 deep."""
    parts = [f"M{x} {y} H{x + teeth * pitch} V{y + 12}"]
    for tooth in reversed(range(teeth)):
        left = x + tooth * pitch
        if tooth in missing:
            parts.append(f"L{left} {y + 12}")
        else:
            parts.append(f"L{left + pitch * 0.78} {y + 12} L{left + pitch * 0.68} {y + 23}")
            parts.append(f"L{left + pitch * 0.32} {y + 23} L{left + pitch * 0.22} {y + 12} L{left} {y + 12}")
    return path(" ".join(parts) + " Z", fill=BELT, stroke=BELT)


# --- Bolts and housings -----------------------------------------------------------------------------------------------


def bolt_head(x: float, y: float, r: float, turned: float = 0) -> ET.Element:
    """Return a hexagon head from above, r to its corners."""
    corners = [polar(x, y, r, turned + 60 * at + 30) for at in range(6)]
    return group(circle(x, y, r * 1.12, fill=PART), polygon(corners, fill=METAL), circle(x, y, r * 0.6, fill="none"))


def witness(x: float, y: float, r1: float, r2: float, angle: float, key: str | None = None) -> ET.Element:
    """Return a paint line from radius r1 to r2."""
    return group(line(*polar(x, y, r1, angle), *polar(x, y, r2, angle), stroke=PAINT, width=5), key=key)


def bolt(x: float, y: float, length: float, wide: float = 12, thread: float | None = None) -> ET.Element:
    """Return a bolt from the side, upright: (x, y) is the middle under its head, the shank goes down `length`."""
    half, tall = wide / 2, wide * 0.8
    start = y + length - (thread if thread is not None else length * 0.6)
    shank = rect(x - half, y, wide, length, fill=METAL)
    cuts = [line(x - half, at, x + half, at + 3, width=THIN) for at in _steps(start, y + length - 3, 5)]
    return group(shank, *cuts, rect(x - wide, y - tall, wide * 2, tall, fill=METAL, r=2))


def pipe(d: str, fill: str = METAL, wide: float = 7) -> ET.Element:
    """Return a rod or a hose along a path: `fill` between two edges of ink."""
    return group(path(d, width=wide + 2 * LINE), path(d, stroke=fill, width=wide))


def _steps(start: float, end: float, step: float) -> list[float]:
    return [start + step * at for at in range(int((end - start) / step) + 1)]


def housing(x: float, y: float, w: float, h: float, key: str | None = None) -> ET.Element:
    """Return a block of the engine or a cover, cut through."""
    return group(rect(x, y, w, h), key=key)


def spring(x: float, y1: float, y2: float, wide: float = 18, turns: int = 5) -> ET.Element:
    """Return a coil spring from (x, y1) down to (x, y2)."""
    step = (y2 - y1) / (2 * turns)
    points = [(x + (wide / 2) * (-1) ** at, y1 + step * (at + 0.5)) for at in range(2 * turns)]
    return curve([(x, y1), *points, (x, y2)])


def clock(x: float, y: float, r: float = 14) -> ET.Element:
    """Return a clock: wait."""
    return group(circle(x, y, r, fill=PAPER), line(x, y, x, y - r * 0.65), line(x, y, x + r * 0.5, y + r * 0.2))
