"""Trade words of bolts, tools and the tensioner, each with a small drawing for the guide's page of words."""

from __future__ import annotations

from tools.drawings.bolts import card, card_bolts
from tools.drawings.drawing import Parts, drawing
from tools.drawings.paint import BELT, INK, METAL, PAPER, PART, SMALL
from tools.drawings.shapes import (
    arrow,
    bolt,
    bolt_head,
    called,
    circle,
    group,
    hand,
    leader,
    line,
    lines,
    path,
    pipe,
    rect,
    spring,
    text,
    witness,
)
from tools.drawings.tensioner import retaining_pin


def _body(x: float) -> Parts:
    return [rect(x - 32, 78, 64, 58, r=4), text(x, 114, "body", anchor="middle", size=SMALL)]


def _boot(x: float) -> Parts:
    return [path(f"M{x - 22} 78 L{x - 13} 50 H{x + 13} L{x + 22} 78 Z", fill=BELT)]


@drawing(
    "word-rod",
    height=144,
    title="Rod",
    alt="The rod comes out of the top of the tensioner's body and pushes on the belt.",
    question="What is the piston called that comes out of the tensioner?",
    answer="Rod.",
    keys=("name",),
)
def rod() -> Parts:
    return [
        rect(82, 16, 16, 62, fill=PAPER),
        *_body(90),
        arrow(60, 60, 60, 24),
        called(170, 40, "rod", (166, 36), (92, 40)),
        text(170, 58, "pushes on the belt", size=SMALL),
        text(170, 112, "tensioner", size=SMALL),
    ]


@drawing(
    "word-boot",
    height=144,
    title="Boot",
    alt="The boot is a rubber sleeve on the tensioner's body, round the rod where it comes out.",
    question="What is the rubber sleeve round the rod called?",
    answer="Boot.",
    keys=("name",),
)
def boot() -> Parts:
    return [
        rect(82, 16, 16, 62, fill=PAPER),
        *_body(90),
        *_boot(90),
        text(170, 30, "rod", size=SMALL),
        leader(166, 26, 92, 30),
        called(170, 66, "boot", (166, 62), (98, 66)),
        text(170, 84, "rubber", size=SMALL),
    ]


@drawing(
    "word-retaining-pin",
    height=144,
    title="Retaining pin",
    alt="The tensioner cut through. The retaining pin goes through body and rod and keeps the rod pressed in.",
    question="What keeps the rod of the tensioner pressed in?",
    answer="The retaining pin, through body and rod.",
    keys=("pin", "name"),
)
def pin() -> Parts:
    return [
        rect(58, 40, 64, 96, r=4),
        rect(80, 22, 20, 90, fill=PAPER),
        text(90, 131, "body", anchor="middle", size=SMALL),
        text(170, 34, "rod, pressed in", size=SMALL),
        leader(166, 30, 92, 34),
        group(circle(90, 66, 6, fill=PAPER), retaining_pin(90, 66), key="pin"),
        called(170, 90, "retaining pin", (166, 84), (126, 68)),
    ]


@drawing(
    "word-bush",
    height=144,
    title="Bush",
    alt="A bush is a short metal sleeve in a bolt hole of the cover. Taken out, it is as long as the cover is thick.",
    question="What is the short metal sleeve in the bolt hole of the cover called?",
    answer="Bush.",
    keys=("name",),
)
def bush() -> Parts:
    return [
        rect(14, 96, 60, 34),
        rect(106, 96, 60, 34),
        rect(75, 92, 30, 38, fill=METAL),
        rect(82, 92, 16, 38, fill=PAPER),
        bolt(90, 36, 44, 12, 20),
        text(24, 118, "cover", size=SMALL),
        text(176, 44, "bolt", size=SMALL),
        leader(172, 40, 98, 50),
        called(184, 88, "bush", (180, 86), (101, 104)),
        lines(184, 106, "a loose sleeve", "in the hole", size=SMALL),
    ]


@drawing(
    "word-card",
    height=144,
    title="Card",
    alt="A piece of card with the outline of the cover. Each bolt stands in a hole of its own, as on the cover.",
    question="How many bolts of the cover wait in this card?",
    answer="Five, each at the place it has on the cover.",
    keys=("bolts",),
)
def bolt_card() -> Parts:
    return [
        text(30, 22, "bolt card", bold=True),
        text(300, 22, "each bolt at its place", anchor="end", size=SMALL),
        *card(0),
        text(196, 84, "outline", anchor="middle", size=SMALL),
        group(*card_bolts(0), key="bolts"),
    ]


@drawing(
    "word-locking-tool",
    height=144,
    title="Locking tool",
    alt="A locking tool, cut through: a pin goes through sprocket and engine and keeps them in place. It carries no "
    "load.",
    question="What is the pin through sprocket and engine called, which carries no load?",
    answer="Locking tool.",
    keys=("name",),
)
def locking_tool() -> Parts:
    return [
        rect(14, 18, 70, 44),
        rect(14, 74, 70, 44),
        rect(88, 18, 30, 44, fill=METAL),
        rect(88, 74, 30, 44, fill=METAL),
        rect(34, 62, 130, 12, fill=PAPER, r=3),
        circle(170, 68, 9, fill=PAPER),
        text(49, 134, "engine", anchor="middle", size=SMALL),
        text(112, 134, "sprocket", anchor="middle", size=SMALL),
        called(196, 40, "locking tool", (192, 42), (152, 67)),
        lines(196, 92, "keeps its place,", "carries no load", size=SMALL),
    ]


@drawing(
    "word-witness-mark",
    height=132,
    title="Witness mark",
    alt="A witness mark is a line of paint from the head of a tight bolt over its edge to the housing.",
    question="What is the line of paint over bolt and housing called?",
    answer="Witness mark.",
    keys=("name",),
)
def mark() -> Parts:
    return [
        rect(20, 12, 128, 108, r=4),
        bolt_head(84, 76, 30),
        witness(84, 76, 10, 31, 0),
        witness(84, 76, 38, 56, 0),
        called(170, 34, "witness mark", (166, 32), (86, 40)),
        text(170, 52, "paint", size=SMALL),
        text(170, 84, "bolt", size=SMALL),
        leader(166, 80, 104, 80),
        text(170, 112, "housing", size=SMALL),
        leader(166, 108, 136, 108),
    ]


@drawing(
    "word-nip-up",
    height=132,
    title="Nip up",
    alt="To nip a bolt up, push the wrench lightly with one finger close to the bolt, until the bolt does not turn by "
    "itself.",
    question="Where does the finger push the wrench to nip a bolt up?",
    answer="Close to the bolt.",
    keys=("finger", "said"),
)
def nip_up() -> Parts:
    return [
        rect(44, 46, 200, 16, fill=METAL, r=6),
        circle(50, 54, 24, fill=METAL),
        bolt_head(50, 54, 15),
        group(hand(94, 66, 0), arrow(122, 88, 122, 66), key="finger"),
        text(10, 20, "nip up", bold=True),
        text(256, 58, "wrench", size=SMALL),
        group(lines(150, 92, "one finger, close", "to the bolt", size=SMALL), key="said"),
        text(14, 98, "bolt", size=SMALL),
    ]


@drawing(
    "word-locking-bolt",
    height=144,
    title="Locking bolt",
    alt="One of the five bolts of a wheel has a head of an odd shape. It is the locking bolt. Only its key turns it.",
    question="Which bolt of the wheel turns only with its own key?",
    answer="The one at the bottom right, with an odd head.",
    keys=("plain", "odd", "name"),
)
def wheel_bolt() -> Parts:
    odd = "M0 -9 L4 -3 H9 L5 2 L8 8 L0 5 L-8 8 L-5 2 L-9 -3 H-4 Z"
    plain = ((74, 36), (110, 62), (38, 62), (51, 104))
    return [
        circle(74, 74, 64, fill=METAL),
        circle(74, 74, 52, fill=PART),
        circle(74, 74, 12, fill=PAPER),
        group(*(bolt_head(x, y, 9) for x, y in plain), key="plain"),
        group(circle(97, 104, 13, fill=PAPER), group(path(odd, fill=INK), move=(97, 104)), key="odd"),
        called(158, 36, "locking bolt", (162, 42), (110, 98)),
        rect(214, 76, 56, 34, fill=METAL, r=4),
        rect(270, 84, 16, 18, fill=METAL),
        circle(196, 93, 14, fill=PAPER),
        group(path(odd, fill=INK), move=(196, 93)),
        called(176, 134, "locking-bolt key", (216, 120), (222, 98), key=None),
        text(118, 136, "wheel", size=SMALL),
    ]


@drawing(
    "word-puller",
    height=150,
    title="Puller",
    alt="A puller from the side: two bolts hold it in the pulley's own threads, and its screw pushes on the crank.",
    question="Where does the puller take hold of the pulley?",
    answer="In the pulley's own threads.",
    keys=("held", "said"),
)
def puller() -> Parts:
    return [
        rect(46, 22, 28, 108),
        rect(44, 64, 32, 24, fill=PAPER, stroke="none"),
        line(46, 64, 74, 64),
        line(46, 88, 74, 88),
        rect(4, 66, 54, 20, fill=METAL),
        group(
            pipe("M58 42 H150"),
            pipe("M58 110 H150"),
            rect(150, 34, 10, 16, fill=METAL),
            rect(150, 102, 10, 16, fill=METAL),
            key="held",
        ),
        rect(124, 26, 16, 100, fill=METAL, r=3),
        pipe("M59 76 H170", wide=9),
        rect(170, 66, 14, 20, fill=METAL),
        text(196, 30, "puller", bold=True),
        leader(192, 28, 134, 34),
        text(196, 82, "screw on the crank", size=SMALL),
        group(lines(196, 114, "in the pulley's", "own threads", size=SMALL), leader(192, 110, 62, 110), key="said"),
        text(38, 144, "pulley", size=SMALL),
        text(4, 106, "crank", size=SMALL),
    ]


@drawing(
    "word-shipping-pin",
    height=150,
    title="Shipping pin",
    alt="A new tensioner, cut through. A spring pushes its rod up. The shipping pin holds the rod in.",
    question="What is the pin called that comes with a new tensioner and holds its rod in?",
    answer="Shipping pin.",
    keys=("name",),
)
def shipping_pin() -> Parts:
    return [
        rect(58, 46, 64, 96, r=4),
        rect(76, 46, 28, 90, fill=PAPER),
        rect(81, 26, 18, 66, fill=METAL),
        spring(90, 92, 136, 22, 4),
        retaining_pin(90, 66),
        arrow(40, 136, 40, 100),
        lines(6, 74, "spring", "pushes", size=SMALL),
        called(170, 58, "shipping pin", (166, 56), (124, 63)),
        text(170, 76, "holds the rod in", size=SMALL),
        text(170, 24, "rod", size=SMALL),
        leader(166, 22, 94, 34),
        text(170, 126, "new tensioner", size=SMALL),
        leader(166, 122, 112, 118),
    ]
