"""Formulas: what may be written and what it gives, what is said of a bad one and where, and random texts."""

from __future__ import annotations

import math
import re
import time
from collections.abc import Callable
from typing import Any, NamedTuple

import pint
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from generator.faults import Fault
from generator.faults import formula as formulafaults
from generator.faults.formula import UnitMismatch
from generator.place import Place
from generator.quantities.formulas.compiler import (
    CompiledFormula,
    FormulaScope,
    TableKind,
    compile_formula,
    renamed,
    renamed_words,
)
from generator.quantities.formulas.evaluation import Env, Unknown, evaluate
from generator.quantities.formulas.kinds import described
from generator.quantities.units import from_base, kind_of, to_base
from tests.support.harness import fault_kinds

UNITS = {
    "capacity": "L", "drained": "L", "delay": "min", "hot": "degC", "cold": "degF", "cap": "kPa(g)",
    "dial": "inHg(vac)",
    "air": "kPa", "last_change": "date", "today": "date", "interval": "month", "teeth": "", "odometer": "km",
    "span": "mm",
    "stick_out": "mm", "freeze": "degC", "freeze_open": "degC", "freeze_near": "degC", "turn": "deg", "frequency": "Hz",
    "width": "mm", "belt": "g/(m.mm)", "strength": "%", "rise": "K",
}  # fmt: skip
GLYCOL = TableKind(kind_of("degC"), kind_of("%"), to_base(-48.3, "degC"), to_base(0, "degC"), "Glycol", "degC")
SCOPE = FormulaScope(
    names={name: kind_of(unit) for name, unit in UNITS.items()},
    words_only={"coolant": "a fluid"},
    tables={"glycol": GLYCOL},
    ranges={
        "freeze": (to_base(-70, "degC"), to_base(20, "degC")),
        "freeze_open": (None, None),
        "freeze_near": (to_base(-40, "degC"), None),
    },
    tolerances=frozenset({"stick_out", "cap", "hot", "interval"}),
    gauges={"drained": (), "pull": (), "freeze_near": (), "freeze_open": ("degF",)},
    steps={"look-at-belt": ("dry", "wet"), "drain": ("clear", "oily")},
)
AT = Place("procedures/belt.yml", 12, 20)
OPS = {
    "name", "needle", "found", "interp", "if", "and", "or", "not", "+", "-", "*", "/", "%", "**", "neg", "<", "<=", ">",
    ">=", "==", "!=", "unknown",
    "min", "max", "abs", "round", "floor", "ceil", "sqrt", "exp", "log", "gcd", "lcm", "sin", "cos", "tan", "asin",
    "acos",
    "atan", "between", "add-days", "add-months",
}  # fmt: skip


def formula(text: str) -> CompiledFormula:
    """Return the compiled formula, which must have no fault."""
    compiled, faults = compile_formula(text, AT, SCOPE)
    assert compiled is not None and faults == [], [fault.said for fault in faults]
    return compiled


def told(text: str) -> list[tuple[int, str, str]]:
    """Return for each fault the character it is at, counted from 0, and its two lines."""
    compiled, faults = compile_formula(text, AT, SCOPE)
    assert compiled is None and faults
    return [(offset(fault), fault.said, fault.write) for fault in faults]


def offset(fault: Fault) -> int:
    assert (fault.place.file, fault.place.line) == (AT.file, AT.line)
    return fault.place.column - AT.column


def classes(text: str) -> list[str]:
    return [type(fault).__name__ for fault in compile_formula(text, AT, SCOPE)[1]]


def worth(text: str, **known: float) -> Any:
    """Return what a formula gives. Names are in their own units."""
    names = {name: to_base(number, UNITS[name]) for name, number in known.items()}
    return evaluate(formula(text).tree, Env(names))


def spoken(text: str) -> str:
    """Return the words, with names as they are and tables and steps in brackets."""
    out = ""
    for piece in formula(text).words:
        out += piece if isinstance(piece, str) else piece[1] if piece[0] == "name" else str(piece)
    return out


def ops_of(tree: Any) -> set[str]:
    if not isinstance(tree, list):
        return set()
    parts = {"name": [], "found": [], "interp": tree[2:]}.get(tree[0], tree[1:])
    return {tree[0]}.union(*map(ops_of, parts))


# -- what may be written -----------------------------------------------------------------------------------------------

TREES: list[tuple[str, Any, str]] = [
    ("capacity - drained", ["-", ["name", "capacity"], ["name", "drained"]], "a volume"),
    ('"25 inHg(vac)"', 84659.716008525, "a vacuum"),
    ('"110 kPa(g)"', 110000, "a gauge pressure"),
    ('"-18 degC"', to_base(-18, "degC"), "a temperature"),
    ('"5 K"', 5, "a difference of temperatures"),
    ("'0.5 L'", 0.0005, "a volume"),
    ('"50 %"', 0.5, "a plain number"),
    ('"2027-05-14"', 20952, "a date"),
    ('"2 year"', 24, "an age"),
    ("1e3", 1000, "a plain number"),
    ("-5", -5, "a plain number"),
    ('-"5 mm"', -0.005, "a length"),
    ("-0", 0, "a plain number"),
    ("+teeth", ["name", "teeth"], "a plain number"),
    ("-teeth ** 2", ["neg", ["**", ["name", "teeth"], 2]], "a plain number"),
    ("yes", True, "a yes or no"),
    ("no", False, "a yes or no"),
    ("teeth ** (1/2 - 1)", ["**", ["name", "teeth"], -0.5], "a plain number"),
    ("drained ** 0", ["**", ["name", "drained"], 0], "a plain number"),
    ("drained ** (1/3) + span", ["+", ["**", ["name", "drained"], 1 / 3], ["name", "span"]], "a length"),
    ("sqrt(span * width)", ["sqrt", ["*", ["name", "span"], ["name", "width"]]], "a length"),
    ("span < odometer", ["<", ["name", "span"], ["name", "odometer"]], "a yes or no"),
    ("4 * belt * width * span**2 * frequency**2", None, "a force"),
    ("teeth * strength", ["*", ["name", "teeth"], ["name", "strength"]], "a plain number"),
    (
        "1 < teeth <= 9 != 5",
        ["and", ["<", 1, ["name", "teeth"]], ["<=", ["name", "teeth"], 9], ["!=", 9, 5]],
        "a yes or no",
    ),
    ("yes and no or yes and not no", ["or", ["and", True, False], ["and", True, ["not", False]]], "a yes or no"),
    ("1 if yes else 2 if no else 3", ["if", True, 1, ["if", False, 2, 3]], "a plain number"),
    ("min(1, teeth, 3)", ["min", 1, ["name", "teeth"], 3], "a plain number"),
    ('interp(glycol, "-20 degC")', ["interp", "glycol", to_base(-20, "degC")], "a plain number"),
    ("interp(glycol, freeze_open)", ["interp", "glycol", ["name", "freeze_open"]], "a plain number"),
    ('round(drained, "0.1 L")', ["round", ["name", "drained"], 0.0001], "a volume"),
    ("floor(teeth)", ["floor", ["name", "teeth"]], "a plain number"),
    ('ceil(teeth, "0.5")', ["ceil", ["name", "teeth"], 0.5], "a plain number"),
    ('ceil(cap, "5 kPa(g)")', ["ceil", ["name", "cap"], 5000], "a gauge pressure"),
    ('floor(interval, "1 year")', ["floor", ["name", "interval"], 12], "an age"),
    ("gcd(teeth, 22, 4)", ["gcd", ["name", "teeth"], 22, 4], "a plain number"),
    ("sin(turn) + cos(turn) + tan(turn)", None, "a plain number"),
    ("asin(0.5) + acos(0.5) + atan(1) + turn", None, "an angle"),
    ("exp(log(teeth))", ["exp", ["log", ["name", "teeth"]]], "a plain number"),
    ("between(last_change, today)", ["between", ["name", "last_change"], ["name", "today"]], "a time"),
    ('add(today, "30 day")', ["add-days", ["name", "today"], 30 * 86400], "a date"),
    ("add(today, interval)", ["add-months", ["name", "today"], ["name", "interval"]], "a date"),
    ("absolute(cap, air)", ["+", ["name", "cap"], ["name", "air"]], "a pressure"),
    ("absolute(dial, air)", ["-", ["name", "air"], ["name", "dial"]], "a pressure"),
    ('gauge("2 bar", air)', ["-", 200000, ["name", "air"]], "a gauge pressure"),
    ('vacuum("0.2 bar", air)', ["-", ["name", "air"], 20000], "a vacuum"),
    ("tolerance(stick_out)", ["name", "stick_out.tolerance"], "a length"),
    ("needle(drained)", ["needle", "drained"], "a volume"),
    ("needle(freeze_near)", ["needle", "freeze_near"], "a difference of temperatures"),
    ('found("look-at-belt", "wet")', ["found", "look-at-belt", "wet"], "a yes or no"),
    ("found('drain', 'oily')", ["found", "drain", "oily"], "a yes or no"),
    (
        "capacity if teeth > 1 else unknown",
        ["if", [">", ["name", "teeth"], 1], ["name", "capacity"], ["unknown"]],
        "a volume",
    ),
    ("unknown if teeth > 1 else 2 if teeth > 0 else unknown", None, "a plain number"),
    ("no if teeth > 1 else unknown", ["if", [">", ["name", "teeth"], 1], False, ["unknown"]], "a yes or no"),
    ("  (  teeth\n\t+ 1 ) ", ["+", ["name", "teeth"], 1], "a plain number"),
]


@pytest.mark.parametrize(("text", "tree", "kind"), TREES, ids=[text for text, _, _ in TREES])
def test_a_formula_becomes_a_tree_in_base_units_and_measures_something(text: str, tree: Any, kind: str):
    compiled = formula(text)
    assert tree is None or (compiled.tree == tree and repr(compiled.tree) == repr(tree))
    assert described(compiled.kind) == kind
    assert ops_of(compiled.tree) <= OPS


def test_every_operator_of_the_language_can_be_written():
    more = ["teeth % 5", "abs(rise)", "lcm(teeth, 2)", "teeth > 1 or teeth >= 2 or teeth == 3 or not teeth / 2 < 2"]
    texts = [*more, "max(1, 2)", *(text for text, _, _ in TREES)]
    assert set().union(*(ops_of(formula(text).tree) for text in texts)) == OPS


def test_what_a_formula_uses_is_listed():
    text = 'interp(glycol, freeze_near) if found("drain", "oily") else tolerance(hot) / "1 K" + teeth'
    compiled = formula(text)
    assert compiled.names == {"freeze_near", "hot.tolerance", "teeth"}
    assert (compiled.tables, compiled.found) == ({"glycol"}, {("drain", "oily")})


# -- sorts: temperatures, gauges, dates, ages --------------------------------------------------------------------------

KINDS = [
    ("hot - cold", "a difference of temperatures"),
    ("hot + rise", "a temperature"),
    ("rise + hot", "a temperature"),
    ("hot - rise * 2", "a temperature"),
    ("hot - tolerance(hot)", "a temperature"),
    ("min(hot, cold)", "a temperature"),
    ("hot if hot > cold else cold", "a temperature"),
    ("cap - cap", "a pressure"),
    ("cap + air", "a gauge pressure"),
    ('cap - "1 psi"', "a gauge pressure"),
    ('"1 psi" + dial', "a vacuum"),
    ("cap + tolerance(cap)", "a gauge pressure"),
    ("2 * cap / 3", "a gauge pressure"),
    ("dial * strength", "a vacuum"),
    ("dial / dial", "a plain number"),
    ("dial % dial", "a vacuum"),
    ("-cap", "a gauge pressure"),
    ("abs(dial)", "a vacuum"),
    ("interval * 2 - interval / 3", "an age"),
    ("interval + tolerance(interval)", "an age"),
    ("interval / interval", "a plain number"),
    ("min(last_change, today)", "a date"),
    ("air * delay", "something in kg/(m.s)"),
    ("1 / delay / span", "something in 1/(m.s)"),
    ("sqrt(span)", "something in m^(1/2)"),
    ("span * turn * rise", "something in deg.m.K"),
    ("teeth / delay", "a frequency"),
    ("drained / delay", "a flow"),
]


@pytest.mark.parametrize(("text", "kind"), KINDS)
def test_sorts_reckon_as_a_mechanic_expects(text: str, kind: str):
    assert described(formula(text).kind) == kind


FORBIDDEN = [
    *[(text, "TemperatureSum") for text in ("hot + cold", "hot * 2", "hot / cold", "-hot", "+hot", "abs(hot)",
        "hot % rise")],
    *[(text, "TemperatureSum") for text in ("rise - hot", "hot ** 2", "sqrt(hot)", "2 / hot", "strength * hot")],
    *[(text, "GaugeMix") for text in ("cap + cap", "dial - cap", "cap > air", "min(dial, air)", "cap * span",
        "air - cap")],
    *[(text, "GaugeMix") for text in ("cap ** 2", "2 / cap", "cap if yes else dial", "cap / dial", "sqrt(dial)")],
    *[(text, "DateSum") for text in ("today - last_change", "today + delay", "-today", "today * 2",
        'round(today, "1 day")')],
    *[(text, "DateSum") for text in ("today % 7", "today ** 2", "today + hot", "round(today)")],
    *[(text, "AgeMix") for text in ("interval + delay", "interval > delay", "delay / interval", "interval ** 2",
        "delay - interval")],
    *[(text, "UnitMismatch") for text in ("hot > rise", "hot + span", "today < hot", "cap + 1", "cap > span",
        "interval > 5")],
    *[(text, "UnitMismatch") for text in ("add(today, 5)", "add(delay, delay)", "between(today, delay)",
        "absolute(air, air)")],
    *[(text, "UnitMismatch") for text in ("gauge(cap, air)", "absolute(cap, cap)", "sin(0.5)", "log(span)",
        "exp(turn)")],
    *[(text, "UnitMismatch") for text in ("asin(turn)", "gcd(span, 2)", "interp(glycol, teeth)",
        'round(hot, "1 degC")')],
    *[(text, "UnitMismatch") for text in ("round(span)", 'ceil(cap, "1 kPa")', "5 if yes else span", "turn + teeth")],
    *[(text, "TruthForNumber") for text in ("yes + 1", "yes == no", "-yes", "min(yes, 1)", "yes ** 2", "sin(yes)",
        "abs(no)")],
    *[(text, "TruthForNumber") for text in ("1 * no", "1 if yes else no", "round(yes)", "add(today, yes)", "yes % 2")],
    *[(text, "NumberForTruth") for text in ("not teeth", "teeth and yes", "yes or span", "1 if teeth else 2", "not 0")],
]  # fmt: skip


@pytest.mark.parametrize(("text", "fault"), FORBIDDEN)
def test_what_has_no_meaning_is_a_fault_and_only_one(text: str, fault: str):
    assert classes(text) == [fault]


# Each figure is printed: the shunt's in DIN 43703 (60 mV at its rated current), the others in NIST SP 811, appendix B.8
# (gal/min to m3/s, ft.lbf/s to W, g/cm3 to kg/m3). The watts are the volt's definition, SI Brochure, table 4.
WORKED = [
    ('"60 mV" / "100 A"', "a resistance", "mohm", 0.6),
    ('"100 A" * "0.6 mohm"', "a voltage", "mV", 60),
    ('"12 V" * "5 A"', "a power", "W", 60),
    ('"12 V" ** 2 / "2.4 ohm"', "a power", "kW", 0.06),
    ('"1 gal" / "1 min"', "a flow", "m3/h", 6.309020e-5 * 3600),
    ('"6 L/min" * "10 min"', "a volume", "L", 60),
    ('"60 L" / "6 L/min"', "a time", "min", 10),
    ('"1 lbf.ft" / "1 s"', "a power", "W", 1.355818),
    ('"1 g" / "1 mL"', "a concentration", "kg/L", 1),
    ('"5 mg/L" * "200 L"', "a mass", "g", 1),
]


@pytest.mark.parametrize(("text", "kind", "unit", "gives"), WORKED)
def test_volts_amps_and_what_flows_come_out_as_printed(text: str, kind: str, unit: str, gives: float):
    assert described(formula(text).kind) == kind == described(kind_of(unit))
    assert from_base(worth(text), unit) == pytest.approx(gives, rel=5e-7)


def test_temperatures_of_two_scales_reckon_as_one():
    assert worth("hot - cold", hot=100, cold=212) == pytest.approx(0, abs=1e-9)
    assert worth('hot > "212 degF"', hot=100.5) is True


def test_a_temperature_is_rounded_on_the_scale_that_people_read():
    assert worth('round(hot, "5 K")', hot=-18.2) == pytest.approx(to_base(-20, "degC"), abs=1e-9)
    assert worth('floor(hot, "1 K")', hot=-17.5) == pytest.approx(to_base(-18, "degC"), abs=1e-9)


def test_a_gauge_counts_from_the_air_outside():
    assert worth("absolute(cap, air)", cap=110, air=97.773) == pytest.approx(207773)
    assert worth('vacuum("2.34 kPa", air) / "1 inHg(vac)"', air=101.325) == pytest.approx(29.2, abs=0.05)
    assert worth('min("25 inHg(vac)", vacuum("0 kPa", air)) < "25 inHg(vac)"', air=84.560) is True
    assert worth('gauge(absolute(cap, air), air) == "110 kPa(g)"', cap=110, air=100) is True


def test_dates_and_ages_meet_in_the_calendar():
    known = {"last_change": to_base(19000, "date"), "today": 20000.0}
    assert worth('between(last_change, today) == "1000 day"', **known) is True
    assert worth("add(last_change, interval) < today", **known, interval=24) is True


# -- words -------------------------------------------------------------------------------------------------------------

WORDS = [
    ("capacity * strength - drained", "capacity × strength − drained"),
    ("capacity - (drained - drained)", "capacity − (drained − drained)"),
    ("capacity - drained - drained", "capacity − drained − drained"),
    ("teeth / (2 * teeth)", "teeth ÷ (2 × teeth)"),
    ("teeth * (2 * 3)", "teeth × 2 × 3"),
    ("(teeth + 1) * -2", "(teeth + 1) × (−2)"),
    ("-(teeth + 1)", "−(teeth + 1)"),
    ("(teeth + 1) ** 2 * span ** 3", "(teeth + 1)² × span³"),
    ("teeth ** -0.5", "teeth to the power of −1/2"),
    ('min(dial, "25 inHg(vac)")', "the smaller of dial and 25 inHg(vac)"),
    ("max(1, 2, teeth)", "the greatest of 1, 2 and teeth"),
    ('max(capacity - drained, "0 L") * 2', "(the greater of capacity − drained and 0 L) × 2"),
    ("interp(glycol, freeze_open) / 2", "(read from ['table', 'glycol'] at freeze_open) ÷ 2"),
    ("capacity if drained > capacity else drained", "if drained is more than capacity, capacity, otherwise drained"),
    ("1 if teeth < 1 else 2 if teeth <= 2 else 3",
    "if teeth is less than 1, 1, otherwise if teeth is at most 2, 2, otherwise 3"),
    ("1 + (1 if yes else 2)", "1 + (if yes, 1, otherwise 2)"),
    ("not (teeth > 1 or teeth != 2) and yes", "not (teeth is more than 1 or teeth is not 2) and yes"),
    ("yes and (no or yes)", "yes and (no or yes)"),
    ("yes and no or yes", "yes and no or yes"),
    ("1 <= teeth < 9", "1 is at most teeth and teeth is less than 9"),
    ("teeth >= 1 or teeth == 0", "teeth is at least 1 or teeth is 0"),
    ("add(last_change, interval) < today", "(interval after last_change) is before today"),
    ("today >= last_change", "today is on or after last_change"),
    ('round(drained, "0.1 L")', "drained to the nearest 0.1 L"),
    ('ceil(capacity - drained, "0.5 L")', "(capacity − drained) up to whole steps of 0.5 L"),
    ("teeth % 2", "the remainder of teeth ÷ 2"),
    ('found("drain", "oily")', "['step', 'drain', 'oily']"),
    ("stick_out + tolerance(stick_out)", "stick_out + the tolerance of stick_out"),
    ("drained + needle(drained)", "drained + half a division of the gauge of drained"),
    ("vacuum(air, air)", "what a vacuum gauge shows at air against air"),
    ("between(last_change, today)", "the time from last_change to today"),
    ("sqrt(span * width)", "the square root of (span × width)"),
    ("abs(rise)", "the size of rise"),
    ("ceil(teeth / 2) + floor(teeth)", "((teeth ÷ 2) up to a whole number) + (teeth down to a whole number)"),
    ("1 if teeth > 1 else unknown", "if teeth is more than 1, 1, otherwise not known"),
    ('rise < "-5 K"', "rise is less than −5 K"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "said"), WORDS)
def test_a_formula_is_said_in_words(text: str, said: str):
    assert spoken(text) == said


def test_words_are_texts_and_named_pieces():
    words = formula('interp(glycol, freeze_open) if found("drain", "oily") else strength').words
    assert words == [
        "if ", ["step", "drain", "oily"], ", read from ", ["table", "glycol"], " at ", ["name", "freeze_open"],
        ", otherwise ", ["name", "strength"],
    ]  # fmt: skip


def test_names_and_steps_can_be_renamed_in_tree_and_words():
    compiled = formula('interp(glycol, freeze_open) if found("drain", "oily") else tolerance(stick_out) / stick_out')
    change: dict[str, Callable[[str], str]] = {"name": lambda n: f"{n}_left", "step": lambda s: f"left/{s}"}
    assert renamed(compiled.tree, **change) == [
        "if",
        ["found", "left/drain", "oily"],
        ["interp", "glycol", ["name", "freeze_open_left"]],
        ["/", ["name", "stick_out_left.tolerance"], ["name", "stick_out_left"]],
    ]
    pieces = [piece for piece in renamed_words(compiled.words, **change) if isinstance(piece, list)]
    assert pieces[:3] == [["step", "left/drain", "oily"], ["table", "glycol"], ["name", "freeze_open_left"]]


# -- tables ------------------------------------------------------------------------------------------------------------


def test_what_is_known_beforehand_to_go_outside_a_table_is_told():
    assert told("interp(glycol, freeze)") == [
        (
            15,
            '"freeze" goes outside table "glycol", which goes from -48.3 degC to 0 degC.',
            "Limit the reading with  from:  and  to:, or use a table that goes further.",
        )
    ]
    assert [at for at, _, _ in told('1 + interp(glycol, "-60 degC" + "2 K")')] == [19]


@pytest.mark.parametrize(
    "x", ["freeze_near", "freeze_open", "hot", '"-48.3 degC"', '"0 degC"', 'min(freeze, "0 degC")']
)
def test_what_may_stay_inside_a_table_is_left_to_the_phone(x: str):
    assert formula(f"interp(glycol, {x})").tables == {"glycol"}


def test_the_noise_of_a_conversion_is_not_outside_a_table():
    scope = FormulaScope(tables={"even": TableKind(kind_of(""), kind_of(""), -1.0, 1.0, "Even")})
    assert compile_formula("interp(even, 1.0000000001) + interp(even, -1.0000000001)", AT, scope)[1] == []
    assert len(compile_formula("interp(even, 1.00001) + interp(even, -1.00001)", AT, scope)[1]) == 2


def test_a_table_without_a_unit_shows_its_range_in_the_default_one():
    tables = {"air_table": TableKind(kind_of("m"), kind_of("kPa"), 0.0, 3000.0, "Air")}
    _, faults = compile_formula('interp(air_table, "4 km")', AT, FormulaScope(tables=tables))
    assert faults[0].said == '"4 km" goes outside table "air_table", which goes from 0 mm to 3000000 mm.'


# -- bad formulas, word for word ---------------------------------------------------------------------------------------

PARTS = "Write names, numbers, quantities in quotes, + - * / % **, comparisons, and, or, not, if .. else, functions."


class Bad(NamedTuple):
    text: str
    at: int
    said: str
    write: str


BAD = [
    Bad("", 0, "the formula cannot be read at its end: a name, a number or a quantity is missing.", PARTS),
    Bad("drained +", 9, "the formula cannot be read at its end: a name, a number or a quantity is missing.", PARTS),
    Bad("drained + * 2", 10, 'the formula cannot be read at "*": a name, a number or a quantity is missing.', PARTS),
    Bad("2 (teeth)", 2, 'the formula cannot be read at "(": there is no sign between "2" and it.',
        "Write a sign between them, for example *"),
    Bad("25 inHg(vac)", 3, 'the formula cannot be read at "inHg": there is no sign between "25" and it.',
        'Write it in quotes:  "25 inHg"'),
    Bad("drained > 5L", 11, 'the formula cannot be read at "L": there is no sign between "5" and it.',
        'Write it in quotes:  "5 L"'),
    Bad('f"{drained}"', 1, 'the formula cannot be read at "{drained}": there is no sign between "f" and it.',
        "Delete what comes right before the quote."),
    Bad("min((teeth, 2)", 10,
        'the formula cannot be read at ",": a comma only goes between the arguments of a function.',
        "Write 0.5 with a point."),
    Bad("(teeth + (1)", 0, 'the formula cannot be read at "(": this bracket is not closed.', "Write ) where it ends."),
    Bad("teeth + 1)", 9, 'the formula cannot be read at ")": no bracket is open.',
        "Delete it, or write ( where it starts."),
    Bad('drained > "2 L', 10, "the formula cannot be read at this quote: it is not closed.",
        "Write the same quote after the unit."),
    Bad("1 if teeth > 2", 2, 'the formula cannot be read at "if": its else is missing.', "Write  a if c else b"),
    Bad("1 if yes if no else yes else 2", 9, 'the formula cannot be read at "if": the if before it has no else yet.',
        "Put brackets around the inner  a if c else b"),
    Bad("teeth + and 1", 8, 'the formula cannot be read at "and": a name, a number or a quantity is missing.', PARTS),
    Bad("1if yes else 2", 1, 'the formula cannot be read at "if": a space is missing before it.', "Write a space."),
    Bad("0x1F + teeth", 1, 'the formula cannot be read at "x1F": there is no sign between "0" and it.',
        'Write a quantity in quotes, for example  "5 L", and a number in plain digits.'),
    Bad("teeth else 2", 6, 'the formula cannot be read at "else": there is no if before it.', "Write  a if c else b"),
    Bad("teeth == not yes", 9, 'the formula cannot be read at "not": a yes or no cannot go here.', PARTS),
    Bad("teeth + 010", 8, 'the formula cannot be read at "010": a number does not start with 0.', "Write 10"),
    Bad("capacity × 2", 9, '"×" is not part of a formula.', "Write *"),
    Bad("teeth ^ 2", 6, '"^" is not part of a formula.', "Write ** for a power."),
    Bad("teeth = 2", 6, '"=" is not part of a formula.', "Write == to compare."),
    Bad("teeth // 2", 6, '"//" is not part of a formula.', "Write floor(a / b)"),
    Bad("hot > 80 °C", 9, '"°" is not part of a formula.', 'Write a quantity in quotes, for example  "5 degC"'),
    Bad("hot > “80 degC”", 6, '"“" is not part of a formula.', 'Write plain quotes: "'),
    Bad("größe + 1", 2, '"ö" is not part of a formula.', "Write names with the letters a to z, digits and _"),
    Bad("teeth\0", 5, "the invisible character U+0000 is not part of a formula.", "Delete it."),
    Bad("lambda x: x", 0, '"lambda" is not part of a formula.', PARTS),
    Bad("[x for x in drained]", 0, '"[" is not part of a formula.', "Write round brackets."),
    Bad("(n := 5)", 3, '":" is not part of a formula.', "Write  a if c else b"),
    Bad("True", 0, '"True" is not part of a formula.', "Write yes"),
    Bad("drained.real", 7, '"." is not part of a formula.',
        'Write a unit with its number in quotes, for example  "25 N.m". A name has no points.'),
    Bad("flor(teeth)", 0, '"flor" is not a function that formulas know.', 'Did you mean "floor"?'),
    Bad("min(teeth)", 0, "min has one argument here.", "Write  min(a, b)"),
    Bad("sqrt(teeth, 2, 3)", 12, "sqrt has 3 arguments here.", "Write  sqrt(x)"),
    Bad("between()", 0, "between has nothing in its brackets here.", "Write  between(first, second)"),
    Bad("found(drain, \"oily\")", 6, 'found has "drain" without quotes here.', 'Write  found("step-id", "outcome")'),
    Bad('interp("glycol", hot)', 7, "interp has its table in quotes here.", "Write  interp(table_name, x)"),
    Bad('tolerance("hot")', 10, "tolerance has its value in quotes here.", "Write  tolerance(value)"),
    Bad("teeth * 1e999", 8, 'the number "1e999" is too large to calculate with.',
        "Write a smaller number, or use a larger unit."),
    Bad('drained > "5L"', 10, '"5L" is not a number with a unit.', 'Write  "5 L"'),
    Bad('drained > "5,5 l"', 10, '"5,5 l" is not a number with a unit.', 'Write  "5.5 L"'),
    Bad('teeth > "5"', 8, '"5" is not a number with a unit.', "Write 5 without the quotes, or add its unit."),
    Bad('drained > "much"', 10, '"much" is not a number with a unit.',
        'Write a number, a space and a unit, for example  "25 kPa"'),
    Bad('today > "2026-02-30"', 8, '"2026-02-30" is not a number with a unit.',
        "Write a real date as year-month-day."),
    Bad('hot > "80 °C"', 10, '"°C" is not a unit that formulas know.', 'Did you mean "degC"?'),
    Bad('cap > "15 psig"', 10, '"psig" is not a unit that formulas know.', 'Did you mean "psi(g)"?'),
    Bad('"5 Nm" * 2', 3, '"Nm" is not a unit that formulas know.', 'Did you mean "N.m"?'),
    Bad('"25 inhg" > air', 4, '"inhg" is not a unit that formulas know.', 'Did you mean "inHg"?'),
    Bad('"5 parsec" > span', 3, '"parsec" is not a unit that formulas know.',
        "Write one of: N.m, lbf.ft, lbf.in, kgf.m, kgf.cm, deg, s, min, h, day, week, month, and others."),
    Bad("capacity - drianed", 11, 'the formula uses "drianed", which is not a value, reading or result here.',
        'Did you mean "drained"? If not, declare it under values, readings or results.'),
    Bad("5 * L", 4, 'the formula uses "L", which is not a value, reading or result here.',
        'Put a unit in quotes with its number, for example  "5 L"'),
    Bad("coolant + 1", 0, '"coolant" is not a number: it is a fluid.',
        "Name a value with a number and a unit, a reading or a result."),
    Bad("glycol + 1", 0, '"glycol" is not a number: it is a table, read with interp(glycol, x).',
        "Name a value with a number and a unit, a reading or a result."),
    *[Bad(text, at, '"unknown" is not a number: it is one branch of  a if c else unknown.',
          "Name a value with a number and a unit, a reading or a result.")
      for text, at in (("unknown", 0), ("teeth + unknown", 8), ("max(1, unknown)", 7), ("not unknown", 4),
                       ("unknown if teeth > 1 else unknown", 26), ("1 if unknown else 2", 5))],
    Bad("max - 1", 0, '"max" is a function, but there are no brackets after it.', "Write  max(a, b)"),
    Bad("interp(glycl, hot)", 7, 'there is no table "glycl".',
        'Did you mean "glycol"? If not, write procedures/tables/glycl.yml.'),
    Bad('needle("drained")', 7, "needle has its reading in quotes here.", "Write  needle(reading)"),
    Bad("needle(stick_out)", 7, '"stick_out" is not a reading, so no gauge shows it.',
        "Write one of: drained, freeze_near, freeze_open, pull."),
    Bad("needle(draned)", 7, '"draned" is not a reading, so no gauge shows it.', "Did you mean needle(drained)?"),
    Bad("needle(freeze_open)", 7, 'nobody says the smallest division of the gauge of "freeze_open" in degF.',
        "Write  division: 1 degF  in the reading, or  divisions: {degF: 1}  in a trade file."),
    Bad("tolerance(span)", 10, '"span" has no tolerance in a sheet.',
        "Write one of: cap, hot, interval, stick_out."),
    Bad("tolerance(stik_out)", 10, '"stik_out" has no tolerance in a sheet.',
        "Did you mean tolerance(stick_out)?"),
    Bad('found("drian", "oily")', 7, 'there is no step "drian" with an inspection here.',
        'Did you mean "drain"? If not, give that step a check-off with outcomes.'),
    Bad('found("drain", "oil")', 16, 'step "drain" has no outcome "oil".',
        'Did you mean "oily"? If not, add it to the inspection.'),
    Bad("capacity - delay", 11,
        '"delay" is a time, but a volume is expected: "-" takes two of the same kind, and "capacity" is a volume.',
        'Write a volume here, for example  "5 L"'),
    Bad("capacity - dial", 11,
        '"dial" is a vacuum, but a volume is expected: "-" takes two of the same kind, and "capacity" is a volume.',
        'Write a volume here, for example  "5 L"'),
    Bad("drained > 2", 10,
        '"2" is a plain number, but a volume is expected: ">" takes two of the same kind, and "drained" is a volume.',
        'Add the unit to the number:  "2 L"'),
    Bad("max(0, drained)", 4,
        '"0" is a plain number, but a volume is expected: max takes two of the same kind, and "drained" is a volume.',
        'Add the unit to the number:  "0 L"'),
    Bad("drained * delay + drained", 18,
        '"drained" is a volume, but something in m3.s is expected: '
        '"+" takes two of the same kind, and "drained * delay" is something in m3.s.',
        "Write something in m3.s here. Check what is multiplied."),
    Bad("sin(0.5)", 4, '"0.5" is a plain number, but an angle is expected: sin takes an angle.',
        'Add the unit to the number:  "0.5 deg"'),
    Bad('add(today, 5)', 11, '"5" is a plain number, but a time or an age is expected: add takes it second.',
        'Write, for example  "12 month"  or  "30 day"'),
    Bad("hot + cold", 6, '"cold" is a temperature, and temperatures cannot be used with "+" here.',
        'Write a difference in K, for example  hot - cold  or  hot - "5 K". Multiply and divide only differences.'),
    Bad("cap > air", 0, '"cap" is a gauge pressure, "air" is a pressure, and ">" cannot mix them.',
        "Convert both: absolute(p, air), gauge(p, air) or vacuum(p, air), where air is the outside pressure."),
    Bad("cap + cap", 6, '"cap" is a gauge pressure, which cannot be used with "+" here.',
        "Convert both: absolute(p, air), gauge(p, air) or vacuum(p, air), where air is the outside pressure."),
    Bad("today - last_change", 8, '"last_change" is a date, and dates cannot be used with "-".',
        'Write  between(first, second)  for the time between, or  add(date, "12 month")  for another date.'),
    Bad("interval > delay", 0, '"interval" is an age, which cannot be used with ">" here: months have no fixed length.',
        "Write  add(date, age)  and compare dates, for example  add(last_change, age) < today"),
    Bad('(drained > "1 L") + 1', 1, '\'drained > "1 L"\' is a yes or no, but "+" takes numbers.',
        "Use it after if, and, or, not. To make it a number, write  1 if .. else 0"),
    Bad("not drained", 4, '"drained" is a volume, but "not" takes a yes or no.',
        'Write a comparison, for example  drained > "5 L"'),
    Bad("teeth ** teeth", 9, 'the exponent "teeth" is not a plain number.',
        "Write a number such as 2 or (1/3) after **, or use exp and log."),
    Bad("teeth ** 9**9**9", 9, 'the exponent "9**9**9" is not a plain number.',
        "Write a number such as 2 or (1/3) after **, or use exp and log."),
    Bad("teeth ** 1e9", 9, 'the number "1e9" is too large to calculate with.',
        "Write a smaller number, or use a larger unit."),
    Bad("round(drained, 0.1)", 15, 'round takes a step above zero as a quantity in quotes, and "0.1" is not one.',
        'Write, for example  round(x, "0.1 L")'),
    Bad('round(drained, "0 L")', 15, 'round takes a step above zero as a quantity in quotes, and "0 L" is not one.',
        'Write, for example  round(x, "0.1 L")'),
    Bad('interp(glycol, "5 degC")', 15, '"5 degC" goes outside table "glycol", which goes from -48.3 degC to 0 degC.',
        "Limit the reading with  from:  and  to:, or use a table that goes further."),
    Bad("teeth" + " + 1" * 40, 0, "this formula has more than 40 levels.",
        "Make a part of it a result of its own, and write that result's name here."),
    Bad("teeth" + " " * 600, 600, "this formula has more than 600 characters.",
        "Make a part of it a result of its own, and write that result's name here."),
]  # fmt: skip


@pytest.mark.parametrize("bad", BAD, ids=[bad.text[:40].replace("\0", "NUL") for bad in BAD])
def test_a_bad_formula_gets_these_words_at_this_character(bad: Bad):
    assert told(bad.text) == [(bad.at, bad.said, bad.write)]


def test_every_fault_of_a_formula_is_among_them():
    kinds = [kind for kind in fault_kinds() if kind.__module__ == formulafaults.__name__]
    seen = {type(fault) for bad in BAD for fault in compile_formula(bad.text, AT, SCOPE)[1]}
    assert [kind.__name__ for kind in kinds if kind not in seen] == []


def test_a_formula_may_have_600_characters_and_40_levels():
    assert formula("teeth".ljust(600)).tree == ["name", "teeth"]
    assert formula("teeth" + " + 1" * 39).kind == kind_of("")


def test_all_that_is_wrong_is_told_at_once():
    assert [at for at, _, _ in told('drianed + glycl * interp(glycl, hot) if "5 Nm" and teeth else coolant')] == [
        43, 0, 10, 25, 62,
    ]  # fmt: skip
    assert classes("teeth and span") == ["NumberForTruth", "NumberForTruth"]


def test_what_follows_from_a_mistake_already_told_stays_quiet():
    assert classes("(drianed + 1) * hot + sin(drianed ** 2)") == ["UnknownName", "UnknownName"]


def test_a_character_beyond_ascii_in_quotes_shifts_no_place():
    assert [at for at, _, _ in told('"5 °℃𝄞" + drianed')] == [3, 10]


# -- texts from nowhere ------------------------------------------------------------------------------------------------

REAL = [text for text, _, _ in TREES] + [text for text, _ in KINDS] + [bad.text for bad in BAD]
SCRAPS = st.sampled_from(
    [*UNITS, *"+-*/%()<>=,.:;!?[]{}'\"\\#@&|^~`", "**", "//", ":=", "->", " ", "\n", "\t", "\0", "é", "𝄞", "\u202e",
    "\ud800",
     "٣", "ﬁ", "if", " else ", " and ", " or ", " not ", "lambda ", " for x in ", " is ", " in ", "yield ", "await ",
     "None",
     "yes", "interp(glycol,", 'found("drain","oily")', 'f"', "rb'", '"""', "\\N{DASH}", '"5 L"', '"2026-11-25"',
     "9" * 90, "1e999",
     "0x1F", "1_0", "3j", "1e", ".5.", "min(", "round(", "tolerance(cap)", "__import__('os')", "-" * 30, "(" * 60]
)  # fmt: skip


@st.composite
def mutated(draw: st.DrawFn) -> str:
    """Return a real formula with a piece cut out, doubled or put in."""
    text = draw(st.sampled_from(REAL))
    for _ in range(draw(st.integers(1, 3))):
        start = draw(st.integers(0, len(text)))
        end = draw(st.integers(start, min(len(text), start + 6)))
        piece = draw(st.one_of(SCRAPS, st.just(""), st.just(text[start:end] * 2), st.characters()))
        text = text[:start] + piece + text[end:]
    return text


LONG = settings(max_examples=500, deadline=None, derandomize=True)
WORST = [
    "(" * 10_000, ")" * 10_000, "(" * 300 + "1" + ")" * 300, "-" * 600, "not " * 150 + "yes", "9**" * 199 + "9",
    "9**9**9",
    "(" * 39 + "1" + ")" * 39, "9" * 600, "1e" + "9" * 590, "teeth ** (1e-300" + " * 1e-300" * 50 + ")",
    "+".join(["1"] * 300),
    "1 if yes else " * 42 + "1", "min(" * 100, "min(1," * 39 + "1" + ")" * 39, "f\"{'a':{'b'}}\"", '"a" ' * 150,
    '"\\N{BULLET}\\x41"', "(x := 1)", "[a for b in c]", "{**x}", "*x", "lambda: 0", "print(1)", "x.__class__",
    "yield 1", "1,",
    "\ud800", '"\ud800"', "\0", "\ufeff1", "1 # no", "1\\\n+1", "\r1", "\f1", "teeth ** (1/(1-1))", "a" * 601,
    "\n" * 601,
    "1 < " * 140 + "1", "teeth ** " + "-" * 500 + "1", "sqrt(" * 39 + "teeth" + ")" * 39,
    "((1)**(1/999999999))**(1/999999998)",
]  # fmt: skip
# A chain contains its middle twice, so a chain inside another would double the tree at each level.
NESTED = "1"
while len(NESTED) < 570:
    NESTED = f"(1 if 1<{NESTED}<2 else 3)"


@LONG
@given(st.one_of(mutated(), st.text(max_size=80), st.lists(SCRAPS, max_size=12).map("".join)))
@example(NESTED)
def test_any_text_gives_a_formula_or_faults_with_two_lines_inside_the_text(text: str):
    compiled, faults = compile_formula(text, AT, SCOPE)
    assert (compiled is None) == bool(faults)
    for fault in faults:
        assert 0 <= offset(fault) <= len(text) and "not a whole formula" not in fault.said
        for line in (fault.said, fault.write):
            assert line.strip() and "\n" not in line and len(line) < 400
    if compiled is not None:
        assert ops_of(compiled.tree) <= OPS
        assert_walks(compiled)


def assert_walks(compiled: CompiledFormula) -> None:
    """Check that Python's walk finds nothing broken in the tree, and gives a truth where a truth was promised."""
    names = {name: 20000.0 for name in compiled.names}
    env = Env(names, {"look-at-belt": "dry"}, {"glycol": [[0.0, 0.0], [1e9, 1.0]]})
    for given_names in (env, Env(tables=env.tables)):
        value = evaluate(compiled.tree, given_names)
        if isinstance(value, Unknown):
            assert "broken" not in value.because
        else:
            assert isinstance(value, bool) == (compiled.kind.sort == "truth")


@pytest.mark.parametrize("text", [*WORST, NESTED], ids=range(len(WORST) + 1))
def test_the_worst_text_is_over_in_a_moment(text: str):
    compile_formula("teeth", AT, SCOPE)
    start = time.process_time()
    compiled, faults = compile_formula(text, AT, SCOPE)
    assert time.process_time() - start < 0.5
    assert (compiled is None) == bool(faults)


@pytest.mark.parametrize("trouble", [SyntaxError, ValueError, RecursionError, MemoryError])
def test_what_only_pythons_own_parser_refuses_is_a_fault_too(trouble: type[Exception], monkeypatch: pytest.MonkeyPatch):
    def refuse(*_: object, **__: object) -> None:
        raise trouble

    monkeypatch.setattr("generator.quantities.formulas.syntax.ast.parse", refuse)
    assert told("teeth + 1") == [(0, "the formula cannot be read at its start: it is not a whole formula.", PARTS)]


def test_a_tree_that_doubles_with_each_level_is_told_as_too_large():
    assert classes(NESTED) == ["FormulaTooLong"]


# -- against pint ------------------------------------------------------------------------------------------------------

REGISTRY = pint.UnitRegistry()
KNOWN: dict[str, tuple[float, str, str]] = {
    "capacity": (7.5, "L", "liter"), "drained": (5.25, "L", "liter"), "span": (320, "mm", "millimeter"),
    "odometer": (120, "km", "kilometer"), "delay": (3, "min", "minute"), "air": (97, "kPa", "kilopascal"),
    "teeth": (23, "", "dimensionless"), "strength": (33, "%", "percent"), "belt": (6.4, "g/(m.mm)",
    "gram/meter/millimeter"),
    "frequency": (90, "Hz", "1/second"),
}  # fmt: skip
QUOTED = {
    "N.m": "newton*meter",
    "inHg": "inHg",
    "gal": "gallon",
    "N": "newton",
    "in": "inch",
    "h": "hour",
    "g/m": "gram/meter",
    "mA": "milliampere",
    "kohm": "kiloohm",
    "L/min": "liter/minute",
    "g/L": "gram/liter",
}


class Both(NamedTuple):
    """A formula and the same worked out by pint, None if pint refuses."""

    text: str
    pint: Any


names = st.sampled_from(sorted(KNOWN)).map(lambda name: Both(name, REGISTRY.Quantity(KNOWN[name][0], KNOWN[name][2])))
numbers = st.integers(1, 99).map(lambda number: Both(str(number), REGISTRY.Quantity(number, "")))
quoted = st.tuples(st.integers(1, 99), st.sampled_from(sorted(QUOTED))).map(
    lambda made: Both(f'"{made[0]} {made[1]}"', REGISTRY.Quantity(made[0], QUOTED[made[1]]))
)


def joined(parts: tuple[Both, str, Both]) -> Both:
    left, sign, right = parts
    text = f"max({left.text}, {right.text})" if sign == "max" else f"({left.text} {sign} {right.text})"
    if left.pint is None or right.pint is None:
        return Both(text, None)
    a, b = left.pint.to_base_units(), right.pint.to_base_units()
    ways: dict[str, Callable[[Any, Any], Any]] = {
        "+": lambda: a + b,
        "max": lambda: max(a, b),
        "*": lambda: a * b,
        "/": lambda: a / b,
    }
    try:
        return Both(text, ways[sign]())
    except pint.DimensionalityError:
        return Both(text, None)


expressions = st.recursive(
    names | numbers | quoted,
    lambda inner: st.tuples(inner, st.sampled_from(["+", "*", "/", "max"]), inner).map(joined),
    max_leaves=8,
)


@LONG
@given(expressions)
def test_kinds_and_figures_are_those_that_pint_finds(both: Both):
    compiled, faults = compile_formula(both.text, AT, SCOPE)
    if both.pint is None:
        assert faults and all(isinstance(fault, UnitMismatch) for fault in faults)
        return
    assert compiled is not None, (both.text, [fault.said for fault in faults])
    assert dict(compiled.kind.dims) == dict(both.pint.dimensionality)
    value = evaluate(compiled.tree, Env({name: to_base(number, unit) for name, (number, unit, _) in KNOWN.items()}))
    assert isinstance(value, float | int) and math.isclose(value, both.pint.to_base_units().magnitude, rel_tol=1e-9)


def test_no_message_says_a_word_of_the_trade_of_programming():
    jargon = re.compile(r"\b(string|token|parse|syntax|invalid|error|expression|operand|type|literal)\b")
    assert [bad for bad in BAD if jargon.search(re.sub(r'"[^"]*"', "", f"{bad.said} {bad.write}"))] == []
