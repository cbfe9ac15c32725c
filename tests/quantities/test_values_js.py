"""Impossible figures, and sources that say nothing: the phone says what the desk says, and refuses them in words."""

from __future__ import annotations

from typing import Any

import pytest

from generator.compile.figure_data import table_json
from generator.compile.job_values import limits_json, units_of
from generator.journal.limits import is_credible, is_pull
from generator.journal.second import is_same_reading
from generator.journal.shapes.sound import is_sheet
from generator.quantities.people import is_one_of, person
from generator.quantities.possible_ranges import LIMITS
from generator.quantities.sources import says
from generator.quantities.units import UNITS
from generator.site import disk
from generator.site.build import check_texts
from tests.support import demo
from tests.support.node import node

TEXTS = [".", "-", "", " ", "M", "MM", "5", "\u200b", "\u3164\u3164", "\uffa0a", "\u2800", "\u0416\u0416", "\u00bd"]
TEXTS += ["a.b", "\U0001d7d8x", "\u0661", "\u4e00\u4e8c", "\u02b0\u02b0"]
NUMBERS = [0, -1, 1, 0.5, 1.5, 12, 72, 300, 720, 5000, 1e9, 1e308, -60, -61, 1e-7, 9999, 10000]
ALL_UNITS = table_json({unit.kind for unit in UNITS.values()})
SOURCE = {"document": "Workshop manual WM-22", "where": "page 118"}


def cases() -> list[tuple[dict[str, Any], dict[str, Any]]]:
    """Return every kind with a limit, in each of its units and in one of another kind, as a number and as a text."""
    made: list[tuple[dict[str, Any], dict[str, Any]]] = []
    for kind in LIMITS:
        given = {"kind": kind, "limits": limits_json(kind)}
        for unit in [*units_of(kind), "furlong", "N.m"]:
            made += [(given, {"number": number, "unit": unit, "source": SOURCE}) for number in NUMBERS]
            made += [(given, {"text": f"{number} {unit}", "source": SOURCE}) for number in NUMBERS]
        made += [(given, {"text": text, "source": SOURCE}) for text in ("2", "-2", "12 N.m then 0 deg", "by the book")]
        made += [(given, {"text": "2", "source": {**SOURCE, key: text}}) for key in SOURCE for text in TEXTS]
        made += [(given, {"not_published": True}), (given, {"text": "2", "source": None}), (given, {"text": "2"})]
        made += [({"kind": kind}, {"number": -1, "unit": "N.m"})]
    return made


def test_both_languages_say_the_same_of_every_figure_and_source():
    every = cases()
    mine = [is_credible(ALL_UNITS, *case) for case in every]
    pulls = [(given, {"set": value["text"]}) for given, value in every if "text" in value]
    sheets = [{"values": {"v": given}, "units": ALL_UNITS} for given, _ in pulls]
    check = {"fastener": "critical", "value": "v"}
    mine_set = [is_pull(sheet, check, value) for sheet, (_, value) in zip(sheets, pulls, strict=True)]
    theirs = node(
        """
        const L = await import(`${site}/phone/journal/limits.js`);
        return {
          reads: given.cases.map((one) => L.isCredible(given.units, ...one)),
          sets: given.pulls.map(([about, value]) => (
            L.isPull({ values: { v: about }, units: given.units }, { fastener: 'critical', value: 'v' }, value)
          )),
          says: given.texts.map((text) => [1, 2].map((least) => L.says(text, least))),
        };
        """,
        {"units": ALL_UNITS, "cases": every, "pulls": pulls, "texts": TEXTS},
    )
    assert theirs["says"] == [[says(text, least) for least in (1, 2)] for text in TEXTS]
    assert theirs["reads"] == mine and theirs["sets"] == mine_set
    assert 0.2 < sum(mine) / len(mine) < 0.9 and {True, False} == set(mine_set)


READ = ["24 N.m", "24.0 N.m", "24,0  N.m", " 24 N.m", "+24 N.m", "24 n.m", "24 N.m then 90 deg", "24 N.m then 90", "24"]
READ += [
    "24 N.m then  then 90 deg",
    "pin up",
    "pin\u00a0 up",
    "pin\u2003up",
    "9" * 400 + " N.m",
    "8" * 400 + " N.m",
    "0.1 N.m",
    "",
]
INITIALS = [
    "ab",
    "AB ",
    "A.B.",
    "",
    " ",
    "\u3164",
    "\u00e9b",
    "E\u0301B",
    "\uff2b\uff33",
    "KS",
    "K\u200bS",
    "\ud800K",
    "\u00df",
    "ss",
    "1",
    "\u0661",
]


def test_both_languages_say_the_same_of_two_readings_and_of_who_is_one_person():
    plain = [{"text": text, "source": SOURCE} for text in READ]
    plain += [{"number": 24, "unit": "N.m", "source": SOURCE}, {"number": 24, "unit": "N.m", "source": None}, {}]
    plain += [{**plain[0], "margin": {"number": 2, "unit": unit}} for unit in ("N.m", "K")]
    plain += [{**plain[0], "source": {"document": "WM"}}, {**plain[0], "source": {**SOURCE, "by": "KS"}}]
    pairs = [(one, other) for one in plain for other in plain]
    theirs = node(
        """
        const S = await import(`${site}/phone/journal/second.js`);
        const P = await import(`${site}/phone/journal/people.js`);
        const among = given.who.map((one) => given.who.map((who) => P.isOneOf([one, 'RT'], who)));
        return { same: given.pairs.map((pair) => S.isSameReading(...pair)), people: given.who.map(P.person), among };
        """,
        {"pairs": pairs, "who": INITIALS},
    )
    assert theirs["same"] == [is_same_reading(*pair) for pair in pairs]
    assert theirs["people"] == [person(who) for who in INITIALS]
    assert theirs["among"] == [[is_one_of([one, "RT"], who) for who in INITIALS] for one in INITIALS]
    assert len(set(theirs["people"])) == 8 and 0.1 < sum(theirs["same"]) / len(pairs) < 0.5


REFUSED = [
    ("torque", {"number": "0", "unit": "N.m"}, "more than 0 and up to 3000 N.m"),
    ("torque", {"number": "-5", "unit": "lbf.ft"}, "-5 lbf.ft cannot be right"),
    ("torque", {"number": "12", "unit": "N.m", "then": "0 deg"}, "The turn cannot be right"),
    ("torque", {"number": "12", "unit": "N.m", "then": "NaN deg"}, "The turn cannot be right"),
    ("torque", {"number": "12", "unit": "N.m", "then": "90 deg then 721 deg"}, "The turn cannot be right"),
    ("torque", {"number": "12", "unit": "N.m", "then": "90 N.m"}, "The turn cannot be right"),
    ("torque", {"number": "12", "unit": "N.m", "margin": "0"}, "It cannot be off by so much, or by nothing"),
    ("torque", {"number": "12", "unit": "N.m", "margin": "-2"}, "It cannot be off by so much, or by nothing"),
    ("torque", {"number": "12", "unit": "N.m", "margin": "12"}, "It cannot be off by so much, or by nothing"),
    ("vacuum", {"number": "40", "unit": "inHg(vac)"}, "40 inHg vacuum cannot be right"),
    ("count", {"number": "2.5", "unit": ""}, "a whole number"),
    ("torque", {"number": "12", "unit": "N.m", "document": "."}, "Name the book"),
    ("text", {"text": "pin up", "where": "\u200b"}, "page 118"),
]


def test_a_tolerance_may_be_wider_than_what_has_no_size():
    typed = [
        ["temperature", {"number": "2", "unit": "degC", "margin": "3"}],
        ["torque", {"number": "12", "unit": "N.m", "margin": "11.9", "then": "90 deg then 90 deg"}],
    ]
    said = node(
        """
        globalThis.document = { createElement: () => ({}) };
        const { readingOf, refusalOf } = await import(`${site}/phone/screen/step/value.js`);
        return given.typed.map(([kind, one]) => (
          refusalOf({ kind, limits: given.limits[kind] }, readingOf(one), one, { units: given.units })
        ));
        """,
        {
            "limits": {kind: limits_json(kind) for kind, _ in typed},
            "units": ALL_UNITS,
            "typed": [[kind, {**one, "document": "WM-22", "where": "5"}] for kind, one in typed],
        },
    )
    assert said == [None, None]


@pytest.mark.parametrize(("kind", "typed", "words"), REFUSED)
def test_the_phone_refuses_it_and_says_what_to_write(kind: str, typed: dict[str, str], words: str):
    sound = {"document": "WM-22", "where": "5"}
    good = {"torque": {"number": "12", "unit": "N.m"}, "vacuum": {"number": "20", "unit": "inHg(vac)"}}
    fine = {**good.get(kind, {"number": "2", "unit": ""} if kind == "count" else {"text": "pin up"}), **sound}
    said = node(
        """
        globalThis.document = { createElement: () => ({}) };
        const { readingOf, refusalOf } = await import(`${site}/phone/screen/step/value.js`);
        return given.typed.map((one) => refusalOf(given.about, readingOf(one), one, { units: given.units }));
        """,
        {"about": {"kind": kind, "limits": limits_json(kind)}, "units": ALL_UNITS, "typed": [{**sound, **typed}, fine]},
    )
    assert words in said[0] and said[1] is None


def test_every_value_of_the_demo_says_what_can_be_and_no_duty_hangs_on_it():
    sheet = demo.sheet("inline-four")
    assert is_sheet(sheet)
    needs = [one for procedure in demo.library().procedures.values() for one in procedure.noun.values.items()]
    expected = {name for name, need in needs if need.from_ or need.to} - {"test_pressure", "cap_rating"}
    for name, given in sheet["values"].items():
        kind = limits_json(given["kind"])
        if name in expected:
            assert kind["low"] <= given["limits"]["low"] and given["limits"]["high"] <= kind["high"]
            assert given["limits"] != kind
        elif name not in ("test_pressure", "cap_rating"):  # set against one another
            assert given["limits"] == kind
    assert any(given["limits"] for given in sheet["values"].values())


def told_missing(name: str) -> dict[str, Any]:
    """Return what a worksheet of the demo says of a value that its sheet gives as missing."""
    path = "demo_jobs/engines/skellimer-t3-11.yml"
    line = next(line for line in demo.texts()[path].splitlines() if line.startswith(f"  {name}:".encode()))
    sheet = demo.texts()[path].replace(line, f"  {name}: {{missing: not in the manual}}".encode())
    texts = {one: text for one, text in demo.texts().items() if "/engines/" not in one and "/jobs/" not in one}
    checked = check_texts({**texts, path: sheet}, frozenset(disk.read_pictures(demo.ROOT, "procedures")))
    return checked.sheets[0]["values"][name]


@pytest.mark.parametrize(
    ("name", "good", "bad", "words"),
    [
        (
            "test_pressure",
            ["1.4 bar(g)", "20.3 psi(g)", "0.2 bar(g)"],
            ["1.41 bar(g)", "20.4 psi(g)"],
            "to 1.4 bar gauge. The limit comes from: Cap rating.",
        ),
        (
            "cap_rating",
            ["1.2 bar(g)", "120 kPa(g)", "2 bar(g)"],
            ["1.19 bar(g)", "17 psi(g)"],
            "The limit comes from: Test pressure.",
        ),
    ],
)
def test_a_value_typed_in_is_held_against_the_one_that_the_sheet_gives(name, good, bad, words):
    given = told_missing(name)
    typed = [dict(zip(("number", "unit"), figure.split(), strict=True)) for figure in (*good, *bad)]
    values = [{"number": float(one["number"]), "unit": one["unit"], "source": SOURCE} for one in typed]
    theirs = node(
        """
        globalThis.document = { createElement: () => ({}) };
        const { isCredible } = await import(`${site}/phone/journal/limits.js`);
        const { refusalOf } = await import(`${site}/phone/screen/step/value.js`);
        const said = (value, at) => refusalOf(given.about, value, given.typed[at], { units: given.units });
        return given.values.map((value, at) => [isCredible(given.units, given.about, value), said(value, at)]);
        """,
        {"about": given, "units": ALL_UNITS, "typed": typed, "values": values},
    )
    mine = [is_credible(ALL_UNITS, given, value) for value in values]
    assert mine == [True] * len(good) + [False] * len(bad) == [one for one, _ in theirs]
    assert [said for _, said in theirs[: len(good)]] == [None] * len(good)
    assert words in theirs[len(good)][1]


def torque(number: float | None, unit: str = "N.m", **more: Any) -> dict[str, Any]:
    plain = {"kind": "torque", "units": ["N.m", "lbf.ft", "lbf.in"], "band": None, "text": None, "thread": None}
    return {**plain, "number": None if number is None else {"number": number, "unit": unit}, **more}


BAND = {"band": {"low": 5, "high": 12}}
OTHERS = {"a": torque(9), "b": torque(25), "c": torque(120)}
DOUBTS = [
    # the bolt; the other torques; what is typed; asked by; the side; what may have been meant
    (BAND, {}, "720 N.m", "band", "above", []),
    (BAND, {}, "72 N.m", "band", "above", ["72 lbf.in", "7.2 N.m"]),
    (BAND, {}, "0.9 N.m", "band", "below", ["9 N.m"]),
    (BAND, {}, "9 N.m", None, None, []),
    (BAND, OTHERS, "9 lbf.ft", "band", "above", ["9 N.m"]),
    (BAND, OTHERS, "8 lbf.ft", None, "unit", ["8 N.m"]),
    (BAND, OTHERS, "72 lbf.in", None, None, []),  # in N.m it would not be a figure of this bolt
    ({}, OTHERS, "720 N.m", "others", "above", ["720 lbf.in", "72 N.m"]),
    ({}, OTHERS, "72 lbf.in", None, "unit", ["72 N.m"]),
    ({}, OTHERS, "72 N.m", None, None, []),
    ({}, OTHERS, "72 N.m then 90 deg", None, None, []),
    ({}, OTHERS, "720 N.m then 90 deg", "others", "above", ["720 lbf.in", "72 N.m"]),
    ({}, {"a": torque(9)}, "720 N.m", None, None, []),  # one other bolt is not enough to go by
    ({}, {"a": torque(9)}, "72 lbf.in", None, "unit", ["72 N.m"]),
    ({}, {}, "720 N.m", None, None, []),
    ({"number": {"number": 45, "unit": "N.m"}, "text": "45 N.m"}, {}, "4.5 N.m", "given", "below", ["45 N.m"]),
    ({"number": {"number": 45, "unit": "N.m"}, "text": "45 N.m"}, {}, "45 N.m", None, None, []),
]


def test_a_typed_torque_is_doubted_for_its_size_and_for_its_unit_and_never_where_nothing_is_known():
    units = {name: unit for name, unit in ALL_UNITS.items() if unit["kind"] == "torque"}
    asked = [{"about": {**torque(None), **about}, "others": others, "text": text} for about, others, text, *_ in DOUBTS]
    told = node(
        """
        const { doubtOf } = await import(`${site}/phone/quantities/torque.js`);
        return given.asked.map(({ about, others, text }) => doubtOf(text, {
          name: 'it', about, sheet: { units: given.units, values: { it: about, ...others }, shop: { units: {} } },
        }));
        """,
        {"units": units, "asked": asked},
    )
    for (_, _, text, by, side, meant), doubt in zip(DOUBTS, told, strict=True):
        if side is None or (side == "unit" and not meant):
            assert doubt is None, text
            continue
        assert doubt["side"] == (None if side == "unit" else side), text
        assert by is None or doubt["expected"]["by"] == by, text
        assert set(meant) <= {f"{one['number']:g} {one['unit']}" for one in doubt["slips"]}, text
