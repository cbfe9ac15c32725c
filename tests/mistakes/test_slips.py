"""What is offered for a slip: the unit of its place, the number that was meant, the quote that was forgotten."""

from __future__ import annotations

import pytest

from generator.faults.shape import NotACount, NotADate, NotANumber, NotAWholeNumber, NumberWithoutUnit, whole_in
from generator.inputs.read import read
from generator.place import Place
from generator.quantities.fasteners.meant import meant_class, meant_thread, nearly_a_thread
from generator.quantities.fasteners.preload import thread_of
from tests.support.harness import SHOP, SOURCE, engine, faults_of, names_of, procedure

HERE = Place("a.yml")
SHEET = "shop/engines/inline-four.yml"


def offered(texts: dict[str, str]) -> tuple[str, ...]:
    (fault,) = [fault for fault in faults_of(texts) if isinstance(fault, NumberWithoutUnit)]
    return fault.units[:2] if fault.likely else ()


@pytest.mark.parametrize(
    ("old", "new", "units"),
    [
        ("tolerance: 10 %", "tolerance: 1", ("N.m", "%")),
        ("tolerance: 0.1 bar", "tolerance: 0.1", ("bar", "%")),
        ("cure_time: {time: 30 min", "cure_time: {time: 30", ()),  # no other time on any sheet
        ("pull: {pressure: 85 kPa", "pull: {pressure: 85", ("bar", "kPa")),  # as the other pressures here
        ("interval: {distance: 90000 km", "interval: {distance: 90000", ()),
    ],
)
def test_a_figure_without_a_unit_is_offered_that_of_its_value_else_what_others_have(
    old: str, new: str, units: tuple[str, ...]
) -> None:
    assert SHOP[SHEET].count(old) == 1
    assert offered({**SHOP, SHEET: SHOP[SHEET].replace(old, new)}) == units


@pytest.mark.parametrize(
    ("line", "new", "units"),
    [
        ("altitude: 320 m", "altitude: 320", ("m", "ft")),
        ("    to: 25 N.m", "    to: 25", ("N.m", "lbf.ft")),
        ("second_reader: 15 min", "second_reader: 15", ("min", "s")),
    ],
)
def test_of_the_shop_a_figure_is_offered_what_such_a_place_has(line: str, new: str, units: tuple[str, ...]) -> None:
    shop = SHOP["shop/shop.yml"]
    assert shop.count(line) == 1
    assert offered({**SHOP, "shop/shop.yml": shop.replace(line, new)}) == units


def test_the_shops_unit_is_offered_where_no_sheet_has_one() -> None:
    sheet = SHOP[SHEET].replace("fill: {volume: 6.5 L", "fill: {volume: 6.5")
    shop = SHOP["shop/shop.yml"].replace("volume: L", "volume: qt")
    assert offered({**SHOP, SHEET: sheet, "shop/shop.yml": shop}) == ("qt", "L")


@pytest.mark.parametrize(
    ("text", "number"),
    [("v3", "3"), ("rev. 3", "3"), ("06", "6"), ("3.0", "3"), ("6 bolts", "6")]
    + [(unclear, None) for unclear in ("twenty-one", "3.5", "1,200", "-3", "3-4", "l0", "1O", "")],
)
def test_a_whole_number_is_offered_where_only_one_can_be_meant(text: str, number: str | None) -> None:
    assert whole_in(text) == number


@pytest.mark.parametrize(
    ("fault", "said"),
    [
        (
            NotAWholeNumber(HERE, "it", "count", "twenty-one"),
            "Write the number in digits, with nothing else beside it.",
        ),
        (NotACount(HERE, "it", "21 pcs"), "Write:  count: 21"),
        (NotANumber(HERE, "it", "to", "0,5"), "Write a number without a unit, with a point for decimals:  to: 0.5"),
        (
            NotANumber(HERE, "it", "to", "half"),
            "Write one number in digits, with a point for decimals and without a unit.",
        ),
        (NotADate(HERE, "it", "read", "31.12.2026"), "Write it as year-month-day:  read: 2026-12-31"),
        (NotADate(HERE, "it", "read", "02.10.2026"), "Write it as year-month-day:  read: YYYY-MM-DD"),
        (NotADate(HERE, "it", "read", "2026-25-11"), "Write it as year-month-day:  read: 2026-11-25"),
        (NotADate(HERE, "it", "read", "2026-02-30"), "Write it as year-month-day:  read: YYYY-MM-DD"),
    ],
)
def test_no_example_has_a_number_that_nobody_wrote(fault: NotACount | NotADate, said: str) -> None:
    assert fault.write == said


@pytest.mark.parametrize(
    ("text", "places"),
    [
        ('a: "x\nb: \'y\'\nc: "z"\n', ["f:1:4"]),
        ('a: "x\nb: z"\nc: 1\n', ["f:1:4"]),
        ("s:\n  - do: 'text\n    why: it's so\n    x: 'a'\n", ["f:2:9"]),
        ('s:\n  - {a: b, c: "x}\n  - {a: b, c: "y"}\n', ["f:2:15"]),
        ('a: "long\n  text goes: on"\n', []),
        ("a: 'it''s\n  long'\n", []),
        ('a:\n  - "goes on\n    why: it does"\n', []),
        ('do: "Text goes\n  on and says "go" now."\n', ["f:2:16"]),
    ],
)
def test_a_quote_that_swallows_lines_is_told_where_it_was_opened(text: str, places: list[str]) -> None:
    assert [str(fault.place) for fault in read(text, "f")[1]] == places


@pytest.mark.parametrize(
    ("text", "is_slip", "meant"),
    [
        ("M10-1.5", True, "M10x1.5"),
        ("m8 x 1,25", True, "M8x1.25"),
        ("10x1.5", True, "M10x1.5"),
        ("M8x12.5", True, None),
        ("M10x1.5", False, "M10x1.5"),
        ("M10x1.5 LH", False, None),
        ("M9x1", False, None),
        ("G 1/4", False, None),
        ("7/16-20 UNF", False, None),
    ],
)
def test_a_thread_that_looks_metric_and_is_none_is_a_slip(text: str, is_slip: bool, meant: str | None) -> None:
    assert nearly_a_thread(text) is is_slip
    assert meant_thread(text) == (thread_of(meant) if meant else None)


@pytest.mark.parametrize(
    ("thread", "text", "names"),
    [
        ("M6x1.0", "109", ["NoSuchClass"]),
        ("M6x1.0", "10,9", ["NoSuchClass"]),
        ("M6x1.0", "A2-71", ["NoSuchClass"]),
        ("M6x1.0", "brass", []),
        ("M6x1.0", "8", []),  # that of a nut
        ("1/4-20 UNC", "8", []),  # a grade
        ("1/4-20 UNC", "9", ["NoSuchClass"]),
    ],
)
def test_a_class_of_figures_is_one_that_there_is(thread: str, text: str, names: list[str]) -> None:
    value = f'pump_bolts: {{torque: 10 N.m, bolt: {{thread: {thread}, class: "{text}"}}, source: {SOURCE}}}'
    people = {"shop/shop.yml": SHOP["shop/shop.yml"].partition("facts:")[0]}
    found = faults_of({**engine(value, "pump_bolts: {kind: torque, label: Bolts}"), **people})
    assert names_of(found) == names
    assert meant_class("10,9") == meant_class("109") == "10.9" and meant_class("A2-70") is None


def test_a_list_of_gates_in_one_text_is_offered_as_a_list() -> None:
    (fault,) = faults_of(procedure("- {id: look, do: Look., check: tick, gate: 'hand-turn and starter'}"))
    assert fault.write == "Write several in brackets:  gate: [hand-turn, starter]"
