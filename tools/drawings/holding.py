"""What holds: the counter-hold bar, the locking tool, the engine's support, the car on its stands."""

from __future__ import annotations

from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BAD, BELT, INK, METAL, PAPER, PART, SMALL
from tools.drawings.shapes import (
    arrow,
    bolt_head,
    circle,
    good_beside_bad,
    group,
    hand,
    lines,
    path,
    pipe,
    rect,
    shelf,
    sign,
    sprocket,
    text,
    turn_arrow,
)


def _bars(y: float, way: int) -> Parts:
    """Pulley with a counter-hold bar to the left and a wrench to the right; way 1 lifts the wrench, -1 pushes it."""
    return [
        circle(164, y, 40, fill=METAL),
        circle(164, y, 33, fill=PART),
        circle(164, y, 17, fill=PART),
        rect(36, y - 7, 114, 14, fill=PAPER, r=3),
        *(circle(164 + 23 * side, y, 4, fill=INK) for side in (-1, 1)),
        bolt_head(164, y, 11),
        rect(172, y - 5, 126, 10, fill=METAL, r=3),
        arrow(284, y - 10 * way, 284, y - 44 * way),
        turn_arrow(164, y, 50, 30 * way, -40 * way),
    ]


@drawing(
    "counter-hold-side",
    height=404,
    title="Counter-hold bar, loosening and tightening",
    alt="Counter-hold bar on the left of the pulley. Loosening presses it down, so the rest is below it. "
    "Tightening lifts it, so the rest is above it.",
    question="Which two parts of the car may the bar never rest on?",
    answer="A pipe and a driveshaft.",
    keys=("never",),
)
def counter_hold() -> Parts:
    return [
        text(10, 24, "Loosen", bold=True),
        *_bars(84, 1),
        rect(30, 92, 48, 40),
        arrow(96, 96, 96, 128, BAD),
        text(106, 150, "bar goes down: rest below", size=SMALL),
        text(34, 70, "counter-hold", size=SMALL),
        text(210, 108, "wrench", size=SMALL),
        text(34, 150, "rest", size=SMALL),
        shelf(162),
        text(10, 184, "Tighten", bold=True),
        *_bars(252, -1),
        rect(30, 204, 48, 40),
        arrow(96, 240, 96, 208, BAD),
        text(34, 278, "counter-hold", size=SMALL),
        text(92, 312, "bar goes up: rest above", size=SMALL),
        text(34, 200, "rest", size=SMALL),
        shelf(326),
        sign(10, 356, False),
        text(33, 356, "Never on", bold=True, colour=BAD),
        group(
            pipe("M128 366 H190", PAPER, 4),
            text(128, 352, "a pipe", size=SMALL),
            pipe("M214 366 H316", wide=9),
            rect(236, 359, 26, 14, fill=BELT, r=5),
            text(214, 352, "a driveshaft", size=SMALL),
            key="never",
        ),
        text(10, 394, "Your car: the sheet names the rest.", size=SMALL),
    ]


def _plates(x: float, y: float, drop: float) -> Parts:
    """Engine and sprocket cut through, a hole in each; the sprocket's hole lies lower by `drop`."""
    return [
        rect(x, y, 50, 36),
        rect(x, y + 50, 50, 36),
        rect(x + 54, y + drop, 26, 36, fill=METAL),
        rect(x + 54, y + 50 + drop, 26, 36, fill=METAL),
    ]


@drawing(
    "locking-tool-carries-no-load",
    height=352,
    title="A locking tool carries no load",
    alt="A counter-hold bar on a solid rest takes the pull, and the locking pin slides by hand. Without the bar the "
    "pin takes the pull and shears.",
    question="Where does the pin give way when it carries the pull?",
    answer="Between the engine and the sprocket.",
    keys=("sheared", "shears"),
)
def locking_tool() -> Parts:
    front = [circle(0, 0, 5, fill=INK)]
    return [
        *good_beside_bad(342, "Bar holds", "Pin holds"),
        sprocket(98, 96, 44, 26),
        rect(12, 90, 86, 12, fill=PAPER, r=3),
        rect(14, 102, 30, 26),
        bolt_head(98, 96, 11),
        group(*front, move=(118, 118)),
        turn_arrow(98, 96, 54, 40, -30),
        sprocket(246, 96, 44, 26),
        bolt_head(246, 96, 11),
        group(*front, move=(266, 118)),
        turn_arrow(246, 96, 54, 40, -30),
        shelf(164),
        *_plates(14, 196, 0),
        rect(26, 234, 86, 10, fill=PAPER, r=3),
        hand(116, 239, 270),
        text(14, 184, "engine", size=SMALL),
        text(74, 184, "sprocket", size=SMALL),
        text(130, 148, "pin", size=SMALL),
        text(278, 148, "pin", size=SMALL),
        text(14, 84, "bar", size=SMALL),
        lines(10, 308, "Pin slides in and", "out by hand.", size=SMALL),
        *_plates(190, 196, 0),
        group(
            rect(190, 190, 100, 100, fill=PAPER, stroke="none"),
            *_plates(190, 196, 9),
            path("M202 234 H241 L246 240 L243 244 H202 Z", fill=PAPER),
            path("M247 242 L244 247 L248 253 H284 V243 Z", fill=PAPER),
            arrow(282, 200, 282, 226, BAD),
            key="sheared",
        ),
        group(lines(176, 308, "Sprocket shifts,", "pin shears.", size=SMALL, colour=BAD), key="shears"),
    ]
