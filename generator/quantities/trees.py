"""The arithmetic of a wrench: one tree for each number. The desk and the phone walk the same trees.

Torques are N.m, lengths metres, angles degrees. The trees of `SETTING` travel with each worksheet, so that a job gives
the same settings for ever. The others are the tool's own: the phone has them in `quantities/torque_trees.js`, which
`python -m tools.tables` writes from here.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from generator.quantities.formulas.evaluation import Env, Unknown, Value, evaluate
from generator.worksheet import Tree


def _name(name: str) -> Tree:
    return ["name", name]


_TARGET, _LEVER, _ADAPTER = map(_name, ("target", "lever", "adapter"))
_SETTING, _STEP, _LOW, _HIGH = map(_name, ("setting", "step", "low", "high"))
_TOLERANCE, _VALUE, _NUMBER = map(_name, ("tolerance", "value", "number"))
_GIVEN, _LEAST, _MOST = map(_name, ("given", "least", "most"))
_REACH: Tree = ["+", _LEVER, ["*", _ADAPTER, ["cos", _name("angle")]]]
# An adapter is no longer than the wrench it sits on, and leaves at least half of its lever: what is set then is at most
# twice the torque. Beyond that a slip of a few millimetres or degrees changes everything. common practice, no source
LEAST_LEFT = 0.5
_SHORT: Tree = ["<=", _ADAPTER, _LEVER]
_TURNED: Tree = ["<=", ["abs", _name("angle")], 180]
_SOUND: Tree = [
    "and",
    [">", _LEVER, 0],
    [">=", _ADAPTER, 0],
    _SHORT,
    _TURNED,
    [">=", _REACH, ["*", LEAST_LEFT, _LEVER]],
]
_ROUNDING: Tree = ["max", ["ceil", _LOW, _STEP], ["min", ["floor", _HIGH, _STEP], ["round", _SETTING, _STEP]]]

SETTING: Final[Mapping[str, Tree]] = {
    # What to set so that the bolt gets `target` through an adapter: M L / (L + E cos angle). `lever` is hand to drive,
    # `adapter` drive to bolt, `angle` 0 straight on, 90 square, 180 folded back. It is unknown (because "zero") where
    # there is no such setting: no lever, a negative adapter or one longer than the lever, an angle beyond 180 degrees,
    # less than half of the lever left with the adapter folded back.
    "setting": ["/", ["*", _TARGET, _LEVER], ["if", _SOUND, _REACH, 0]],
    # The mark nearest to `setting` that the wrench has: whole `step`s from zero, within `low` and `high`.
    "rounding": _ROUNDING,
    # Whether the wrench reaches `setting` at all: within `low` and `high`, and with a mark there, `step` apart.
    "offered": [
        "and",
        ["<=", _LOW, _SETTING],
        ["<=", _SETTING, _HIGH],
        ["<=", ["ceil", _LOW, _STEP], ["floor", _HIGH, _STEP]],
    ],
    # Whether the mark is no further from `setting` than `tolerance`.
    "inside": ["<=", ["abs", ["-", _ROUNDING, _SETTING]], _TOLERANCE],
}

# Parts of what makes an adapter sound, to say which one is not.
SETTING_PARTS: Final[Mapping[str, Tree]] = {"short": _SHORT, "turned": _TURNED}

# A wrench is truest away from both ends of its scale: from a fifth of its greatest torque (where the tests of ISO 6789
# began before 2017) to nine tenths. common practice, no source
MIDDLE_FROM, MIDDLE_TO = 0.2, 0.9

# How fine a torque is shown that is only told to be compared: three digits, or two below 1 N.m and ten.
_ROUGH: Tree = ["if", [">=", _VALUE, 100], 1, ["if", [">=", _VALUE, 1], 0.1, ["if", [">=", _VALUE, 0.1], 0.01, 0.001]]]

TORQUE: Final[Mapping[str, Tree]] = {
    # What the bolt gets from a wrench that is set to `set`, with an adapter on; unknown as a setting is.
    "received": ["/", ["*", _name("set"), _REACH], ["if", _SOUND, _LEVER, 0]],
    # What one pull may be off: the maker's tolerance `off` of the final torque, as the same share of this pull.
    "share": ["*", ["/", _name("off"), _name("final")], _TARGET],
    # The same where the maker says nothing: the wrench's own accuracy.
    "accurate": ["*", _name("accuracy"), _TARGET],
    # What the setting may be off with an adapter on, where `tolerance` is the bolt's.
    "through": ["*", _TOLERANCE, ["/", _SETTING, _TARGET]],
    # Whether a setting lies in the middle of the scale.
    "middle": [
        "and",
        [">=", ["/", _SETTING, _HIGH], MIDDLE_FROM],
        ["<=", ["/", _SETTING, _HIGH], MIDDLE_TO],
    ],
    # Whether a torque lies outside the limits that it is held against.
    "above": [">", _VALUE, _HIGH],
    "below": ["<", _VALUE, _LOW],
    # A limit as it is told, so fine as `rough` says and on its own side: a ceiling is never rounded up, a floor never
    # down, so that nothing is inside the limits that are told and outside those that count.
    "rough": _ROUGH,
    "ceiling": ["floor", _VALUE, _ROUGH],
    "floor": ["ceil", _VALUE, _ROUGH],
}

# What was meant where the point slipped by one place.
SLIPS: Final[Mapping[str, Tree]] = {"tenth": ["*", _NUMBER, 0.1], "tenfold": ["*", _NUMBER, 10]}
# Kinds that go below zero, so that a minus may have been left out, and how many figures are offered at most for one
# that is asked about. common practice, no source
BELOW_ZERO: Final = ("temperature", "warmth", "angle")
MOST_MEANT: Final = 3

# The limits a typed torque is held against where its bolt has no band: by the figure that the sheet gives and nobody
# can look up, and by the least and the most of the sheet's other torques. common practice, no source
EXPECTED: Final[Mapping[str, Mapping[str, Tree]]] = {
    "given": {"low": ["/", _GIVEN, 3], "high": ["*", _GIVEN, 3]},
    "others": {"low": ["/", _LEAST, 2], "high": ["*", _MOST, 2]},
}

# The order of wrenches. Each language says what a name means for a wrench; the lower value, or false, goes first.
# `outside`: no mark inside the tolerance; `other`: marked in another unit than the torque is printed in; `end`: not in
# the middle of the scale; the rest are the wrench's own.
ORDER: Final = ("outside", "overdue", "other", "end", "step", "high", "wrench")

SHARED: Final[Mapping[str, object]] = {
    "TORQUE": TORQUE,
    "SLIPS": SLIPS,
    "BELOW_ZERO": BELOW_ZERO,
    "MOST_MEANT": MOST_MEANT,
    "EXPECTED": EXPECTED,
    "ORDER": ORDER,
}


def worth(tree: Tree, **names: Value | None) -> Value:
    """Return the value of a tree. A name that is None is unknown.

    >>> worth(SLIPS["tenfold"], number=7.0), worth(TORQUE["accurate"], accuracy=0.04, target=None)
    (70.0, Unknown(needs=('target',), because=()))
    """
    return evaluate(tree, Env({name: value for name, value in names.items() if value is not None}))


def figure(tree: Tree, **names: Value | None) -> float | None:
    """Return the number that a tree gives, None if it is unknown."""
    value = worth(tree, **names)
    return None if isinstance(value, bool | Unknown) else float(value)


def holds(tree: Tree, **names: Value | None) -> bool:
    """True if the tree is true. Unknown is not true."""
    return worth(tree, **names) is True
