"""A small shop with every kind of text that a source can carry, as a whole job that can be opened.

It is the shop of tests/support/harness.py, made to stand alone.
"""

from __future__ import annotations

from tests.support import harness

PICTURE = b'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><title>Face</title><path d="M1 1h7v7z"/></svg>'
PICTURES = {"face.svg": PICTURE}
WORKSHEET = "fit-pump--inline-four"

_INCLUDE = (
    "  - {include: cover, as: left, known_as: {cover: cover_left}, label: left bank, when: {engine: {bank: left}}}\n"
    "  - {include: wipe, each: {front: front bank, rear: rear bank}, shared: [cloth]}\n"
)
_FIRST = """\
  - stage: Before
    steps:
      - {id: ready, do: "Ready, with {joint_gap}.", check: tick, gate: strip-down}
      - {id: last, do: Look it up., check: {measure: last}}
"""
_LAST = """\
  - stage: Last
    steps:
      - id: signed
"""
# A row that nothing catches: it shows every way, and a whole job must catch each of its rows.
_UNCAUGHT = "".join(harness.SHOP["procedures/failure_modes.yml"].partition("  - row: pump-weeps")[1:])
_CHANGES = {
    "procedures/fit-pump.yml": (
        ("stands_alone: no", "stands_alone: yes"),
        ("takes_over: [old_pump]\nleaves_open: [cover]\n", ""),
        ("closes: [old_pump, {what: rag, count: 1}]", "closes: [{what: rag, count: 1}]"),
        (_INCLUDE, ""),
        ("stages:\n", "stages:\n" + _FIRST),
        ("      - id: signed\n", _INCLUDE.replace(", with: {cover: cover_left}", "") + _LAST),
        ("check: {photo: The pump in place}, gate: hand-turn}", "check: {photo: The pump in place}, gate: starter}"),
        ("check: {tighten: crank_angle}\n", "check: {tighten: crank_angle}\n        closes: [pump_bolts]\n"),
        ("check: {turn: proof_turns}\n", "check: {turn: proof_turns}\n        after: [cured]\n"),
    ),
    "procedures/failure_modes.yml": (
        (_UNCAUGHT, ""),
        ("    gate: starter\n    after: crank-tight\n    before: [crank-tight]\n", ""),
    ),
    "shop/engines/inline-four.yml": (
        ("pump: on-chain", "pump: on-belt, bank: left"),
        ("{angle: 90 deg, count: 1,", "{angle: 90 deg, count: 6, reuse: ask,"),
    ),
}


def texts() -> dict[str, str]:
    """Return the sources by path. They have no fault."""
    made = dict(harness.SHOP)
    for path, changes in _CHANGES.items():
        for old, new in changes:
            assert old in made[path], old
            made[path] = made[path].replace(old, new)
    return made
