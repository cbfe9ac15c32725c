"""Marks and turns: how a mark is read, what a tooth is, which side of the belt is tight."""

from __future__ import annotations

from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BAD, GOOD, METAL, PAPER, SMALL, THIN
from tools.drawings.shapes import (
    arrow,
    belt,
    belt_run,
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


def _from_above(y: float, eye_x: float, hits: float, colour: str) -> Parts:
    """Engine plate, sprocket and eye as seen from above: the eye sees the sprocket's mark in front of `hits`."""
    return [
        rect(16, y, 124, 10, fill=METAL),
        engine_mark(78, y + 10, 0, 180, size=10),
        rect(34, y + 38, 88, 12, fill=METAL),
        line(78, y + 36, 78, y + 52, width=4),
        eye(eye_x, y + 100, -18 if eye_x > 78 else 0),
        line(eye_x, y + 86, hits, y + 12, stroke=colour, dash="6 4"),
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
    height=344,
    title="Marks seen square on and slanted",
    alt="From straight in front the two marks meet. From the right the engine mark seems one tooth to the right, "
    "though nothing has moved. Read marks square on.",
    question="The sprocket has not moved. By how much, and to which side, does the engine mark seem to be off "
    "when the eye stands too far to the right?",
    answer="One tooth, to the right.",
    keys=("seen-slanted", "off"),
)
def square_on() -> Parts:
    return [
        verdict(10, 24, True, "Square on"),
        text(318, 24, "what you see", anchor="end", size=SMALL),
        *_from_above(40, 78, 78, GOOD),
        *_as_seen(258, 56, 0, "seen-straight"),
        text(146, 50, "engine", size=SMALL),
        text(130, 89, "sprocket", size=SMALL),
        shelf(168),
        verdict(10, 194, False, "Slanted"),
        text(318, 194, "what you see", anchor="end", size=SMALL),
        *_from_above(214, 110, 66, BAD),
        *_as_seen(258, 236, 15, "seen-slanted"),
        text(146, 224, "engine", size=SMALL),
        text(130, 263, "sprocket", size=SMALL),
        group(text(284, 240, "off?", size=SMALL, colour=BAD), key="off"),
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
    keys=("angles", "out", "cam-teeth", "crank-teeth"),
)
def one_tooth() -> Parts:
    return [
        *good_beside_bad(326, "Marks meet", "A tooth out"),
        *_wheel(82, 132, 64, 40, 0),
        *_wheel(82, 282, 32, 20, 0),
        group(*_wheel(246, 132, 64, 40, 9), *_wheel(246, 282, 32, 20, 18), key="out"),
        text(10, 52, "Cam"),
        group(text(10, 216, "40 teeth", size=SMALL), key="cam-teeth"),
        text(10, 252, "Crank"),
        group(text(10, 334, "20 teeth", size=SMALL), key="crank-teeth"),
        group(
            text(318, 56, "9°", bold=True, colour=BAD, anchor="end"),
            text(318, 252, "18°", bold=True, colour=BAD, anchor="end"),
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
    height=278,
    title="Two turns of the crank are one of the cam",
    alt="After one turn the crank mark is up again and the cam mark is down. After the second turn "
    "both are up: two turns of the crank are one of the cam.",
    question="After one full turn of the crank, where does the mark on the cam sprocket stand?",
    answer="At the bottom, half a turn from its engine mark.",
    keys=("after-one",),
)
def two_turns() -> Parts:
    return [
        text(55, 22, "Start", bold=True, anchor="middle"),
        text(164, 22, "1 turn", bold=True, anchor="middle"),
        text(273, 22, "2 turns", bold=True, anchor="middle"),
        *_drive(55, 0),
        group(*_drive(164, 180), key="after-one"),
        *_drive(273, 0),
        turn_arrow(164, 194, 34, 60, 140),
        turn_arrow(273, 194, 34, 60, 140),
        group(
            sign(115, 252, False),
            text(138, 252, "cam is", colour=BAD, bold=True, size=SMALL),
            text(138, 269, "not yet", colour=BAD, bold=True, size=SMALL),
            key="not-yet",
        ),
        sign(230, 252, True),
        text(253, 252, "both", colour=GOOD, bold=True, size=SMALL),
        text(253, 269, "meet", colour=GOOD, bold=True, size=SMALL),
        text(10, 252, "both meet", size=SMALL),
    ]


@drawing(
    "marks-after-two-turns",
    height=280,
    title="After the turns",
    alt="After the turns each sprocket mark meets its mark on the engine. The painted belt line has moved on, "
    "and that is right.",
    question="To which side of the two meeting marks has the belt line moved?",
    answer="To the right, clockwise. That is right.",
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
            line(*polar(x, y, r - 1, 62), *polar(x, y, r + 9, 62), stroke=PAPER, width=5),
            line(*polar(x, y, r + 12, 62), 262, 128, width=THIN),
            lines(318, 82, "Belt line", "moved on:", "that is right", anchor="end"),
            key="belt-line",
        ),
    ]


# --- Tight side, slack side -------------------------------------------------------------------------------------------


@drawing(
    "slack-on-the-tensioner-side",
    height=346,
    title="Tight side and slack side",
    alt="The crank turns clockwise and pulls the right run down. That run lies tight. All slack is on the left, "
    "where the tensioner takes it up.",
    question="The crank turns clockwise. Which run of the belt must lie tight, and where must the slack be?",
    answer="The right run lies tight. The slack is on the left, at the tensioner.",
    keys=("tight", "slack", "words", "wrong-run", "wrong-words"),
)
def slack_side() -> Parts:
    return [
        *good_beside_bad(342),
        group(belt_run("M42 92 C38 134 56 150 56 176 S50 220 56 244"), key="slack"),
        group(belt_run("M126 92 L102 244"), arrow(126, 142, 119, 186), key="tight"),
        belt_run("M42 92 A42 42 0 0 1 126 92"),
        belt_run("M56 244 A23 23 0 0 0 102 244"),
        sprocket(84, 92, 38, 26),
        sprocket(79, 244, 19, 14),
        pulley(26, 172, 19),
        turn_arrow(79, 244, 35, 110, 210),
        group(lines(12, 310, "Tight: right side", "Slack: left side", size=SMALL), key="words"),
        belt_run("M206 92 A42 42 0 0 1 290 92"),
        belt_run("M220 244 A23 23 0 0 0 266 244"),
        group(
            belt_run("M206 92 L220 244"), belt_run("M290 92 C290 134 266 150 274 182 S274 220 266 244"), key="wrong-run"
        ),
        sprocket(248, 92, 38, 26),
        sprocket(243, 244, 19, 14),
        pulley(190, 172, 19),
        turn_arrow(243, 244, 35, 110, 210),
        group(lines(176, 310, "Slack where the", "crank pulls", size=SMALL), key="wrong-words"),
    ]
