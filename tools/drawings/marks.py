"""Marks and turns: how a mark is read, what a tooth is, which side of the belt is tight."""

from __future__ import annotations

from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BAD, GOOD, INK, METAL, PAPER, SMALL, THIN
from tools.drawings.shapes import (
    arrow,
    belt,
    belt_run,
    divider,
    engine_mark,
    eye,
    good_beside_bad,
    group,
    leader,
    line,
    lines,
    polar,
    pulley,
    rect,
    shelf,
    sign,
    sprocket,
    sprocket_mark,
    text,
    turn_arrow,
    verdict,
)

# --- Seen square on, seen slanted -------------------------------------------------------------------------------------


def _from_above(y: float, eye_x: float, colour: str) -> Parts:
    """Engine plate, sprocket and eye as seen from above: the eye looks over the sprocket's mark at the engine."""
    sight = (78 - eye_x) / 42
    return [
        rect(16, y, 124, 10, fill=METAL),
        engine_mark(78, y + 10, 0, 180, size=10),
        rect(34, y + 38, 88, 12, fill=METAL),
        line(78, y + 36, 78, y + 52, width=4),
        eye(eye_x, y + 100, -30 if eye_x > 78 else 0),
        line(eye_x, y + 86, eye_x + 74 * sight, y + 12, stroke=colour, dash="6 4"),
    ]


def _as_seen(x: float, y: float, shift: float, key: str) -> Parts:
    """What the eye sees: the top of the sprocket, the engine's mark above it shifted by `shift` degrees."""
    return [
        sprocket(x, y + 56, 42, 24),
        sprocket_mark(x, y + 56, 42, 0),
        group(engine_mark(x, y + 56, 46, shift), key=key),
    ]


@drawing(
    "marks-square-on",
    height=368,
    title="Marks seen square on and slanted",
    alt="From straight in front the two marks meet. From the right the engine mark seems one tooth to the right, "
    "though nothing has moved. Read marks square on.",
    question="The sprocket has not moved. By how much, and to which side, does the engine mark seem to be off "
    "when the eye stands too far to the right?",
    answer="One tooth, to the right.",
    keys=("from-the-right", "seen-slanted", "off"),
)
def square_on() -> Parts:
    return [
        verdict(10, 24, True, "Square on"),
        text(10, 48, "from above", size=SMALL),
        text(318, 24, "what you see", anchor="end", size=SMALL),
        *_from_above(56, 78, GOOD),
        *_as_seen(258, 64, 0, "seen-straight"),
        text(146, 66, "engine", size=SMALL),
        text(130, 105, "sprocket", size=SMALL),
        shelf(176),
        verdict(10, 202, False, "Slanted"),
        text(10, 226, "from above", size=SMALL),
        text(318, 202, "what you see", anchor="end", size=SMALL),
        group(*_from_above(234, 110, BAD), key="from-the-right"),
        *_as_seen(258, 236, 15, "seen-slanted"),
        text(146, 244, "engine", size=SMALL),
        text(130, 283, "sprocket", size=SMALL),
        group(text(318, 356, "seems 1 tooth to the right", size=SMALL, colour=BAD, anchor="end"), key="off"),
    ]


# --- One tooth --------------------------------------------------------------------------------------------------------


def _wheel(x: float, y: float, r: float, teeth: int, turned: float) -> Parts:
    colour = BAD if turned else GOOD
    return [sprocket(x, y, r, teeth, turned), engine_mark(x, y, r + 3), sprocket_mark(x, y, r, turned, colour)]


@drawing(
    "one-tooth-out",
    height=344,
    title="One tooth out at the cam and at the crank",
    alt="One tooth out: a cam sprocket of 40 teeth is off by 9 degrees, a crank sprocket of 20 teeth by 18. "
    "At the cam the gap is easy to overlook.",
    question="Both are one tooth out. How many degrees is that at the crank sprocket and at the cam sprocket?",
    answer="18 degrees at the crank, 9 degrees at the cam.",
    keys=("angles", "out", "meet", "cam-teeth", "crank-teeth"),
)
def one_tooth() -> Parts:
    return [
        *good_beside_bad(334, "Marks meet", "A tooth out"),
        group(*_wheel(82, 134, 60, 40, 0), *_wheel(82, 284, 34, 20, 0), key="meet"),
        group(*_wheel(246, 134, 60, 40, 9), *_wheel(246, 284, 34, 20, 18), key="out"),
        text(10, 52, "Cam", bold=True),
        group(text(10, 210, "40 teeth", size=SMALL), key="cam-teeth"),
        text(174, 52, "Cam", bold=True),
        text(10, 240, "Crank", bold=True),
        group(text(10, 334, "20 teeth", size=SMALL), key="crank-teeth"),
        text(174, 240, "Crank", bold=True),
        group(
            line(*polar(246, 134, 64, 9), *polar(246, 134, 74, 9), stroke=BAD),
            line(*polar(246, 284, 38, 18), *polar(246, 284, 50, 18), stroke=BAD),
            text(262, 62, "9°", bold=True, colour=BAD),
            text(268, 240, "18°", bold=True, colour=BAD),
            key="angles",
        ),
    ]


# --- Two turns of the crank, one of the cam ---------------------------------------------------------------------------


def _drive(x: float, cam: float, crank: float = 0) -> Parts:
    """A cam and a crank sprocket with their belt, turned by these angles."""
    return [
        belt([(x, 92, 34), (x, 194, 17)]),
        sprocket(x, 92, 34, 24, cam),
        engine_mark(x, 92, 42),
        sprocket_mark(x, 92, 34, cam),
        sprocket(x, 194, 17, 12, crank),
        engine_mark(x, 194, 25),
        sprocket_mark(x, 194, 20, crank),
    ]


@drawing(
    "two-turns-of-the-crank",
    height=286,
    title="Two turns of the crank are one of the cam",
    alt="After one turn the crank mark is up again and the cam mark is down. After the second turn "
    "both are up: two turns of the crank are one of the cam.",
    question="After how many turns of the crank do the marks on the crank and on the cam both meet again?",
    answer="After two turns. After one turn the cam mark is down.",
    keys=("start", "after-one", "after-two"),
)
def two_turns() -> Parts:
    return [
        text(4, 52, "cam", size=SMALL),
        text(4, 234, "crank", size=SMALL),
        text(6, 256, "both meet", size=SMALL),
        divider(112, 8, 278),
        divider(218, 8, 278),
        group(text(55, 22, "Start", bold=True, anchor="middle"), *_drive(55, 0), key="start"),
        group(
            text(164, 22, "1 turn", bold=True, anchor="middle"),
            *_drive(164, 180),
            turn_arrow(164, 194, 33, 55, 305),
            text(164, 256, "cam mark", anchor="middle", size=SMALL),
            text(164, 273, "is down", anchor="middle", size=SMALL),
            key="after-one",
        ),
        group(
            text(273, 22, "2 turns", bold=True, anchor="middle"),
            *_drive(273, 0),
            turn_arrow(273, 194, 33, 55, 305),
            turn_arrow(273, 194, 42, 55, 305),
            sign(233, 260, True),
            lines(256, 256, "both", "meet", colour=GOOD, bold=True, size=SMALL),
            key="after-two",
        ),
    ]


@drawing(
    "marks-after-two-turns",
    height=280,
    title="After the turns",
    alt="After the turns each sprocket mark meets its mark on the engine. The painted belt line has moved on, "
    "and that is right.",
    question="To which side of the two meeting marks has the belt line moved?",
    answer="To the right, clockwise. It may.",
    keys=("belt-line",),
)
def after_the_turns() -> Parts:
    x, y, r = 150, 176, 66
    return [
        belt_run(f"M{x - r - 4} 276 V{y} A{r + 4} {r + 4} 0 0 1 {x + r + 4} {y} V276"),
        sprocket(x, y, r, 30, 0),
        engine_mark(x, y, r + 9, colour=GOOD, size=17),
        sprocket_mark(x, y, r, 0, GOOD),
        sign(10, 28, True),
        lines(34, 28, "Sprocket mark", "meets engine mark", bold=True, colour=GOOD),
        leader(100, 50, 141, 92),
        group(
            line(*polar(x, y, r + 3, 62), *polar(x, y, r + 12, 62), stroke=INK, width=8),
            line(*polar(x, y, r + 3.5, 62), *polar(x, y, r + 10.5, 62), stroke=PAPER, width=5),
            line(*polar(x, y, r + 13, 62), 262, 128, width=THIN),
            lines(318, 82, "Belt line", "has moved on.", "It may.", anchor="end"),
            key="belt-line",
        ),
    ]


# --- Tight side, slack side -------------------------------------------------------------------------------------------


def _loop(x: float, left: str, right: str) -> Parts:
    """Cam and crank sprocket with a belt whose two runs are given from the cam down, x the cam's middle."""
    return [
        belt_run(f"M{x - 42} 92 {left}"),
        belt_run(f"M{x + 42} 92 {right}"),
        belt_run(f"M{x - 42} 92 A42 42 0 0 1 {x + 42} 92"),
        belt_run(f"M{x - 23} 240 A23 23 0 0 0 {x + 23} 240"),
    ]


def _sprockets(x: float) -> Parts:
    return [sprocket(x, 92, 38, 26), sprocket(x, 240, 19, 14)]


@drawing(
    "slack-on-the-tensioner-side",
    height=346,
    title="Tight side and slack side",
    alt="The crank turns clockwise and pulls the right run down. That run lies tight. All slack is on the left, "
    "where the tensioner takes it up.",
    question="Which run of the belt must lie tight, and beside which part must the slack be?",
    answer="The right run lies tight. The slack is on the left, beside the tensioner.",
    keys=("belt", "words", "roller", "turning", "wrong-belt", "wrong-words", "wrong-roller", "wrong-turning"),
)
def slack_side() -> Parts:
    tight, slack = "L{0} 240", "C{0} 132 {1} 142 {1} 172 S{2} 214 {2} 240"
    return [
        *good_beside_bad(338),
        group(*_loop(98, slack.format(56, 74, 75), tight.format(121)), arrow(148, 142, 140, 190), key="belt"),
        *_sprockets(98),
        text(8, 56, "cam", size=SMALL),
        text(8, 274, "crank", size=SMALL),
        group(pulley(50, 172, 20), text(4, 214, "tensioner", size=SMALL), key="roller"),
        group(turn_arrow(98, 240, 35, 110, 210), key="turning"),
        group(lines(10, 312, "Tight: right run.", "Slack: at tensioner.", size=SMALL), key="words"),
        group(*_loop(252, tight.format(229), "C294 132 272 142 274 176 S279 214 275 240"), key="wrong-belt"),
        *_sprockets(252),
        group(pulley(196, 172, 20), key="wrong-roller"),
        group(turn_arrow(252, 240, 35, 110, 210), key="wrong-turning"),
        group(lines(174, 312, "Slack where the", "crank pulls.", size=SMALL), key="wrong-words"),
    ]
