"""What cannot be is a fault or a question, for every field of a source that holds a number, every kind of value and of
reading, every option of a command. What there is, is read from the code: a new one without an absurd value fails."""

from __future__ import annotations

import datetime
import json
import re
import types
import typing
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import click
import pytest
from click.testing import CliRunner

from generator import cli, model
from generator.check import check_all
from generator.check.one_engine import MEASURES
from generator.compile.figure_data import table_json
from generator.faults.torque import WrenchRange
from generator.model import Noun, ValueKind
from generator.quantities.possible_ranges import can_be_read, in_base
from generator.quantities.quantity import Quantity
from generator.quantities.units import KINDS, UNITS
from generator.terminal import trial as desk
from tests.quantities.test_typed_numbers import CASES
from tests.support.harness import SHOP
from tests.support.node import node

SITE = Path(__file__).parents[2] / "site_overrides" / "phone"
PUMP, SHEET, QUAY = "procedures/fit-pump.yml", "shop/engines/inline-four.yml", "shop/shop.yml"
WORDS = "procedures/trade.yml"
JOB = "shop/jobs/2041.yml"
NONSENSE = ["NaN", "1e3", "inf", "-", "\u0661\u0662"]
# Each field that holds a number: where one stands in the shop that says everything, between « and », and what of it
# cannot be. A field without an entry fails the test below.
ABSURD: dict[str, list[tuple[str, str, list[str]]]] = {
    "Procedure.revision": [(PUMP, "revision: «3»", ["0", "-1", "2.5", "1,000"])],
    "Engine.revision": [(SHEET, "revision: «2»", ["0", "-1"])],
    "Part.count": [(PUMP, "one_time: yes, count: «1»", ["0", "-1", "1.5"])],
    "OrderedPart.count": [(SHEET, 'pump: {number: "0450", count: «1»}', ["0", "-1", "1.5"])],
    "OpenItem.count": [(PUMP, "kind: bolt, count: «from pump_bolts»", ["0", "-1", "1.5"])],
    "CloseItem.count": [(PUMP, "{what: rag, count: «1»}", ["0", "-1", "1.5"])],
    "Sign.self_check_after": [(PUMP, "self_check_after: «15 min»", ["0 s", "-2 min", "2 week", "15,5 min"])],
    "Reading.from_": [(PUMP, "unit: mm, from: «0»", ["0.5", "-1e9", "-99999999"])],
    "Reading.to": [(PUMP, "to: «0.5»", ["-1", "99999999", "1.250"])],
    "Result.to_nearest": [(PUMP, "to_nearest: «100 km»", ["0 km", "-1 km", "5 L"])],
    "Bolt.engaged": [(SHEET, "engaged: «12 mm»", ["0 mm", "-3 mm", "2.1 m", "1.250 mm"])],
    "Bolt.grip": [(SHEET, "grip: «30 mm»", ["0 mm", "-40 mm", "3 m", "1.250 mm"])],
    "Friction.from_": [(SHEET, "friction: {from: «0.10»", ["0", "-0.1", "0.14", "0.2"])],
    "Friction.to": [(SHEET, "to: «0.14»}", ["0.7", "0.10", "14"])],
    "EngineValue.torque": [(SHEET, "    torque: «10 N.m»", ["0 N.m", "-10 N.m", "3001 N.m", "1.234 N.m", "1,234 N.m"])],
    "EngineValue.then": [(SHEET, "then: [«90 deg»]", ["0 deg", "-90 deg", "721 deg"])],
    "EngineValue.passes": [(SHEET, "passes: [«6 N.m»", ["0 N.m", "-6 N.m", "1.500 N.m"])],
    "EngineValue.angle": [(SHEET, "angle: «90 deg», count", ["0 deg", "-90 deg", "721 deg"])],
    "EngineValue.time": [(SHEET, "time: «30 min»", ["0 s", "-2 min", "53 week", "1.500 min"])],
    "EngineValue.length": [(SHEET, "length: «0.2 mm»", ["-0.5 mm", "21 m", "1.250 mm"])],
    "EngineValue.temperature": [(SHEET, "temperature: «20 degC»", ["-300 degC", "-274 degC", "401 degC", "-500 degF"])],
    "EngineValue.pressure": [
        (SHEET, "test: {pressure: «1.2 bar»", ["0 bar", "-1 bar", "3001 bar", "1.200 bar"]),
        (SHEET, "rating: {pressure: «1.1 bar»", ["0 bar", "-1 bar", "300001 kPa", "1100 kPa", "19 kPa"]),
        (SHEET, "pull: {pressure: «85 kPa»", ["0 kPa", "-85 kPa", "109 kPa", "850 kPa", "33 inHg"]),
    ],
    "EngineValue.volume": [(SHEET, "volume: «6.5 L»", ["0 L", "-6 L", "201 L", "6,5 L", "1.500 mL"])],
    "EngineValue.frequency": [(SHEET, "frequency: «120 Hz»", ["0 Hz", "-1 Hz", "1.200 Hz"])],
    "EngineValue.distance": [(SHEET, "distance: «90000 km»", ["0 km", "-5 km", "100.000 km", "100,000 km", "3e6 km"])],
    "EngineValue.age": [(SHEET, "age: «60 month»", ["0 month", "-1 year", "72.5 month", "51 year"])],
    "EngineValue.share": [(SHEET, "share: «50 %»", ["-1 %", "101 %", "500 %"])],
    "EngineValue.number": [(SHEET, "number: «173»", ["1.234", "17,3", "1 234"])],
    "EngineValue.belt_mass": [(SHEET, "belt_mass: «6.4 g/(m.mm)»", ["0 g/(m.mm)", "-1 g/(m.mm)", "101 g/(m.mm)"])],
    "EngineValue.line_mass": [(SHEET, "line_mass: «0.1 kg/m»", ["0 kg/m", "-1 g/m", "101 kg/m"])],
    "EngineValue.force": [(SHEET, "force: «250 N»", ["0 N", "-1 N", "1000001 N", "1.250 N"])],
    "EngineValue.mass": [(SHEET, "mass: «430 g»", ["0 g", "-1 kg", "100001 kg", "1.250 kg"])],
    "EngineValue.voltage": [(SHEET, "voltage: «12.6 V»", ["101 kV", "-101 kV", "12.600 V"])],
    "EngineValue.current": [(SHEET, "current: «35 mA»", ["10001 A", "-10001 A", "1.250 A"])],
    "EngineValue.resistance": [(SHEET, "resistance: «2.4 ohm»", ["-0.5 ohm", "1000001 Mohm", "2.400 ohm"])],
    "EngineValue.power": [(SHEET, "power: «1.2 kW»", ["-1 W", "10001 kW", "1.200 kW"])],
    "EngineValue.flow": [(SHEET, "flow: «6 L/min»", ["-2 L/min", "1001 m3/h", "1.500 L/min"])],
    "EngineValue.concentration": [(SHEET, "concentration: «5 g/L»", ["-1 g/L", "26 kg/L", "1.500 g/L"])],
    "EngineValue.count": [(SHEET, "proof_turns: {count: «2»", ["0", "-1", "2.5", "10000"])],
    "EngineValue.order": [(SHEET, "order: [«1»", ["0", "-1", "1.5", "7"])],
    "EngineValue.positions": [(SHEET, "positions: [[«0»", ["1e9", "NaN", "0,5"])],
    "EngineValue.tolerance": [
        (SHEET, "tolerance: «10 %»", ["0 %", "-1 %", "100 %"]),
        (SHEET, "tolerance: «0.1 bar»", ["0 bar", "-0.1 bar", "1.1 bar", "5 L"]),
    ],
    "Wrench.from_": [(QUAY, "from: «5 Nm»", ["-5 N.m", "25 N.m", "3001 N.m", "1.500 N.m"])],
    "Wrench.to": [(QUAY, "to: «25 N.m»", ["0 N.m", "-1 N.m", "5 N.m", "3001 N.m", "1.500 N.m"])],
    "Wrench.step": [(QUAY, "step: «0.5 N.m»", ["0 N.m", "-1 N.m", "21 N.m"])],
    "Wrench.lever": [(QUAY, "lever: «250 mm»", ["0 mm", "-250 mm", "6 m", "1.250 mm"])],
    "Adapter.length": [(QUAY, "length: «40 mm»", ["0 mm", "-40 mm", "3 m", "1.250 mm"])],
    "Reading.division": [(PUMP, "division: «2 kPa(vac)»", ["0 kPa(vac)", "-1 kPa(vac)", "2 mm"])],
    "ValueNeed.from_": [(PUMP, "from: «20 kPa(g)»", ["20 mm", "20 kPa", "250 kPa(g)", "NaN"])],
    "ValueNeed.to": [(PUMP, "to: «250 kPa(g)»", ["250 mm", "250 kPa", "20 kPa(g)", "-1 bar(g)"])],
    "Trade.divisions": [(WORDS, "divisions: {kPa(vac): «2»}", ["0", "-1", "NaN"])],
    "Adapter.angle": [(QUAY, "angle: «90 deg»", ["-1 deg", "181 deg"])],
    "Shop.altitude": [(QUAY, "altitude: «320 m»", ["60000 m", "-501 m", "1.250 m"])],
    "Shop.coldest": [(QUAY, "coldest: «-22 degC»", ["-300 degC", "-101 degC", "41 degC"])],
    "Shop.second_reader": [(QUAY, "second_reader: «15 min»", ["0 s", "-2 min", "25 h", "1.200 min"])],
    "Job.odometer": [(JOB, "odometer: «84210 km»", ["-5 km", "118.350 km", "118,350 km", "3000000 km"])],
    "Table.rows": [("procedures/tables/air.yml", "[0, «101.3»]", ["-1", "1e3", "NaN"])],
    "FailureMode.times": [("procedures/failure_modes.yml", "times: «1»", ["0", "-1", "1.5"])],
}  # fmt: skip
# Kinds of value that are words, and no number.
IN_WORDS = {"orientation", "direction", "sealer", "coolant", "order", "text"}


# --- what there is ----------------------------------------------------------------------------------------------------


def leaves(hint: Any) -> Iterator[Any]:
    """Yield what stands in a field, in its lists and groups."""
    origin, members = typing.get_origin(hint), get_args(hint)
    if origin in (typing.Union, types.UnionType):
        for member in members:
            yield from leaves(member)
    elif origin in (list, dict):
        yield from leaves(members[-1])
    else:
        yield hint


def is_number(leaf: Any) -> bool:
    """True if it is a quantity, a whole number, or the text of a number."""
    marks = getattr(leaf, "__metadata__", ())
    kind = get_args(leaf)[0] if marks else leaf
    readers = {getattr(mark, "func", None) for mark in marks}
    return kind in (int, float, Quantity) or bool(readers & {model._number, model._count})


def number_fields(nouns: typing.Mapping[str, Any]) -> set[str]:
    found = set()
    for name, noun in nouns.items():
        if isinstance(noun, type) and issubclass(noun, Noun) and noun is not Noun:
            hints = typing.get_type_hints(noun, include_extras=True)
            found |= {f"{name}.{key}" for key in noun.model_fields if any(map(is_number, leaves(hints[key])))}
    return found


def test_every_field_that_holds_a_number_has_an_absurd_one():
    assert set(ABSURD) == number_fields(vars(model)) and len(ABSURD) > 45


def test_a_new_field_would_be_missed():
    class Rack(Noun):
        depth: list[model.Length]
        label: model.Short
        shelves: dict[model.Name, model.Whole | model.Short] | None

    assert number_fields({"Rack": Rack}) == {"Rack.depth", "Rack.shelves"}


def test_every_kind_of_value_is_among_them_or_is_told_in_words():
    kinds = dict(re.findall(r"^  (\w+): \{kind: ([\w-]+)", SHOP[PUMP], re.MULTILINE))
    tried = {kinds[name] for name in kinds if any(f"{name}: {{" in old or name == "pump_bolts" for old in _snippets())}
    # The snippets of values on a line of their own name the field.
    tried |= {MEASURES.get(field, field) for field in (name.partition(".")[2] for name in ABSURD)} & set(kinds.values())
    assert tried | IN_WORDS == set(get_args(ValueKind))


def _snippets() -> list[str]:
    return [old for places in ABSURD.values() for _, old, _ in places]


# --- sources ----------------------------------------------------------------------------------------------------------


def written(file: str, old: str, absurd: str) -> tuple[dict[str, str], int]:
    """Return the shop with another text at one place, and the line of that place."""
    plain, new = re.sub("[«»]", "", old), re.sub("«.*»", lambda _: json.dumps(absurd, ensure_ascii=False), old)
    assert SHOP[file].count(plain) == 1, plain
    line = SHOP[file][: SHOP[file].index(plain)].count("\n") + 1 + plain.strip("\n").count("\n")
    return {**SHOP, file: SHOP[file].replace(plain, new)}, line


SLOTS = [(name, *place) for name, places in ABSURD.items() for place in places]


@pytest.mark.parametrize(
    ("name", "file", "old", "absurd"), SLOTS, ids=[f"{one[0]}-{at}" for at, one in enumerate(SLOTS)]
)
def test_it_is_a_fault_at_its_line(name: str, file: str, old: str, absurd: list[str]):
    for text in absurd:
        texts, line = written(file, old, text)
        _, found = check_all(texts)
        assert any(
            # What does not fit together in a wrench is told at its lowest mark.
            (fault.place.file, fault.place.line) == (file, line) or isinstance(fault, WrenchRange)
            for fault in found
        ), (name, text, found)


@pytest.mark.parametrize("nonsense", NONSENSE)
def test_no_field_takes_what_is_no_number(nonsense: str):
    """All fields at once: each is told at its own line."""
    texts, lines = dict(SHOP), []
    for _, file, old, _ in SLOTS:
        plain = re.sub("[«»]", "", old)
        unit = re.sub("[-0-9.]*", "", re.search("«(.*)»", old)[1], count=1)
        texts[file] = texts[file].replace(
            plain, re.sub("«.*»", json.dumps(f"{nonsense}{unit}", ensure_ascii=False), old)
        )
        lines.append((file, SHOP[file][: SHOP[file].index(plain)].count("\n") + 1, old))
    told = {(fault.place.file, fault.place.line) for fault in check_all(texts)[1]}
    assert [(file, old) for file, line, old in lines if (file, line) not in told] == []


# --- readings: on the phone and in `try` ------------------------------------------------------------------------------

# Of each kind of reading what cannot be, in its first unit. A plain number can be any.
UNREADABLE: dict[str, list[str]] = {
    "torque": ["-1", "3001"], "angle": ["-7201", "7201"], "time": ["-1"], "age": ["-1", "72.5"], "length": ["99999999"],
    "distance": ["-1", "2000001"], "temperature": ["-300", "2001"], "warmth": ["-2001", "2001"], "pressure": ["-1"],
    "gauge": ["-109", "1000001"], "vacuum": ["-1", "109"], "volume": ["-1", "10001"], "frequency": ["-1", "100001"],
    "share": ["-1", "101"], "mass": ["-1"], "belt-mass": ["-1", "101"], "line-mass": ["-1", "101"], "force": ["-1"],
    "number": ["NaN", "1.234"], "voltage": ["-100001", "100001"], "current": ["-10001"], "resistance": ["-1"],
    "power": ["-1"], "flow": ["-1"], "concentration": ["-1", "26000"], "date": ["2026-02-30"],
}  # fmt: skip
ALL_UNITS = table_json(KINDS)
TODAY = datetime.date(2026, 11, 25)
RANGES: list[tuple[float | None, float | None]] = [(None, None), (0, 25), (0, None), (None, 2_000_000)]
READS = """
globalThis.document = { createElement: () => ({}) };
const { isExpected, testsOf } = await import(`${site}/phone/screen/checks/reading.js`);
const { meant } = await import(`${site}/phone/quantities/typed_numbers.js`);
const sheet = { units: given.units };
return given.readings.map((reading) => given.texts.map((text) => {
  const found = meant(text, ...testsOf(reading, reading.unit, sheet));
  if (found.length !== 1) return [found.length ? 'which' : 'none', ...found];
  const number = Number(found[0]);
  return [isExpected({ number, unit: reading.unit }, reading, sheet) ? 'taken' : 'odd', number];
}));
"""


def reading(kind: str, unit: str, ends: tuple[float | None, float | None] = (None, None)) -> dict[str, Any]:
    return {"label": "It", "kind": kind, "unit": unit, "units": list(KINDS[kind]), "from": ends[0], "to": ends[1]}


def at_desk(about: dict[str, Any], text: str) -> list[Any]:
    """Return what `try` makes of a reading, in the form of the script above."""
    group = {
        "readings": {"it": about},
        "findings": [],
        "values": {},
        "givens": {},
        "results": [],
        "tables": {},
        "units": {},
    }
    try:
        taken = desk._Desk(group, TODAY)
        taken.take("it", f"{text}{about['unit']}")
    except desk.Mistyped as error:
        both = re.search(r"can mean (\S+)(?: \S+)? or (\S+?)(?: \S+)?;", str(error))
        return ["which", both[1], both[2]] if both else ["none"]
    return ["odd" if taken.odd else "taken", float(taken.typed["it"].partition(" ")[0])]


def test_every_kind_of_reading_has_an_absurd_one():
    assert set(UNREADABLE) == set(KINDS)


@pytest.mark.parametrize("kind", [kind for kind in UNREADABLE if kind != "date"])
def test_an_absurd_reading_is_refused_or_asked_about_at_the_desk(kind: str):
    for text in [*UNREADABLE[kind], *NONSENSE]:
        assert at_desk(reading(kind, KINDS[kind][0]), text)[0] in ("none", "odd", "which"), text


def test_teeth_come_in_whole_numbers():
    assert at_desk(reading("number", "teeth"), "144.5") == ["odd", 144.5]
    assert at_desk(reading("number", "teeth"), "144") == ["taken", 144]


def test_the_phone_takes_asks_and_refuses_what_the_desk_does():
    """Every text of the shared table: every kind in each of its units, and with what a procedure may state of it."""
    texts = [text for text, _ in CASES if "\n" not in text and "\r" not in text and not re.search("[^\\W0-9_]", text)]
    texts = [
        text for text in texts if not re.search("[%/_'\u200b\ufeff]", text)
    ]  # these are part of a unit at the desk
    abouts = [reading(kind, KINDS[kind][0], ends) for kind in UNREADABLE for ends in RANGES]
    abouts += [reading(kind, unit) for kind in UNREADABLE for unit in KINDS[kind][1:]]
    abouts = [one for one in abouts if one["kind"] != "date"]
    abouts += [reading("number", "teeth", (40, 300))]
    more = sorted({text for kind in UNREADABLE if kind != "date" for text in UNREADABLE[kind]} - {"NaN"})
    theirs = node(READS, {"units": ALL_UNITS, "readings": abouts, "texts": [*texts, *more]})
    mine = [[at_desk(about, text) for text in (*texts, *more)] for about in abouts]
    for about, one, other in zip(abouts, mine, theirs, strict=True):
        assert one == other, (about, [pair for pair in zip(texts, one, other, strict=False) if pair[1] != pair[2]])
    said = [answer[0] for row in mine for answer in row]
    assert {kind for kind in ("none", "which", "odd", "taken") if said.count(kind) > 500} == {
        "none",
        "which",
        "odd",
        "taken",
    }


def test_the_ranges_of_the_phone_are_those_of_the_desk():
    mine = {unit: in_base(limit) for unit, of in UNITS.items() if (limit := can_be_read(of.kind, unit))}
    theirs = node(
        """
        const { READINGS, READ_IN } = await import(`${site}/phone/quantities/ranges.js`);
        return Object.fromEntries(given.map(([unit, kind]) => [unit, READ_IN[unit] ?? READINGS[kind] ?? null]));
        """,
        [[unit, of.kind] for unit, of in UNITS.items()],
    )
    assert {unit: limit for unit, limit in theirs.items() if limit} == mine


# --- boxes of the phone -----------------------------------------------------------------------------------------------

# The field stands by itself here, and its tests beside it.
WITH_TESTS_BELOW = {"screen/checks/reading.js", "screen/checks/adapter.js"}


def untested(file: str, text: str) -> list[str]:
    """Return the boxes of a script that take a number and do not say what it can be."""
    if file in WITH_TESTS_BELOW:
        return [] if "typedNumber({" in text and "tests: () =>" in text else [file]
    boxes = [line.strip() for line in text.splitlines() if "type: 'number'" in line]
    return [line for line in boxes if not re.search(r"tests: |\.\.\.\w+Box\(", line)]


def test_every_box_of_the_phone_that_takes_a_number_says_what_it_can_be():
    files = {path.relative_to(SITE).as_posix(): path.read_text() for path in SITE.glob("screen/**/*.js")}
    assert [line for file, text in files.items() for line in untested(file, text)] == []
    assert sum("type: 'number'" in text for text in files.values()) >= 7
    assert untested("a.js", "{ name: 'far', type: 'number' }") and untested(
        "screen/checks/adapter.js", "type: 'number'"
    )


# --- options of the commands ------------------------------------------------------------------------------------------

# What is absurd after an option that takes a number, with the words that go before it.
BOLT, TOOL = ("torque", "--thread", "M8", "--class", "8.8"), ("torque", "--target", "25 N.m", "--lever", "300 mm")
OPTIONS: dict[str, tuple[tuple[str, ...], list[str]]] = {
    "torque --friction": (BOLT, ["0", "-1", "1", "1.234", "0.12 N.m"]),
    "torque --value": (BOLT, ["0 N.m", "-5 N.m", "9000 N.m", "1.234 N.m", "25"]),
    "torque --class": (BOLT[:3], ["0", "-8.8", "109", "8,8"]),
    "torque --engaged": ((*BOLT, "--into", "aluminium"), ["0 mm", "-3 mm", "3 m", "1.234 mm", "12", "12 N.m"]),
    "torque --then": (BOLT, ["0 deg", "-90 deg", "721 deg", "90", "90 mm"]),
    "torque --grip": ((*BOLT, "--then", "90 deg"), ["0 mm", "-40 mm", "3 m", "1.234 mm", "40"]),
    "torque --set": (("torque", "--lever", "300 mm", "--adapter", "60 mm"), ["0 N.m", "-5 N.m", "9000 N.m", "25"]),
    "torque --target": (("torque", "--lever", "300 mm", "--adapter", "60 mm"), ["0 N.m", "-5 N.m", "9000 N.m", "25"]),
    "torque --lever": (("torque", "--target", "25 N.m", "--adapter", "60 mm"), ["0 mm", "-1 mm", "9 m", "60"]),
    "torque --adapter": (TOOL, ["0 mm", "-60 mm", "3 m", "1.234 mm", "60"]),
    "torque --angle": ((*TOOL, "--adapter", "60 mm"), ["-1", "181", "1.234,5", "45 deg"]),
    "torque --thread": (("torque", "--class", "8.8"), ["M0", "M-8", "M8x0", "M8xNaN", "8"]),
    "demo --port": (("demo",), ["-1", "65536", "1.5", "8765,5"]),
}  # fmt: skip
# A name, a folder, a vehicle's number, in which a letter is no slip; `typed` is tried above.
IN_LETTERS = {"shop", "procedures", "procedure", "engine", "into", "typed", "number"}
NO_NUMBER = (click.Path, click.Choice, click.types.BoolParamType)


def options(of: click.Group) -> Iterator[str]:
    """Yield each option that may hold a number, as `command --option`."""
    for name, command in of.commands.items():
        for param in command.params:
            if not isinstance(param.type, NO_NUMBER) and param.name not in IN_LETTERS:
                yield f"{name} {param.opts[0]}"


def test_every_option_that_takes_a_number_has_an_absurd_one():
    assert set(OPTIONS) == set(options(cli.main))
    strings = {param.name for of in cli.main.commands.values() for param in of.params if param.type is click.STRING}
    assert strings - {"thread", "cls"} == IN_LETTERS, "a text that is no name and no folder is a number with a unit"


@pytest.mark.parametrize("option", OPTIONS)
def test_an_absurd_option_is_refused(option: str):
    words, absurd = OPTIONS[option]
    for text in [*absurd, *NONSENSE]:
        made = CliRunner().invoke(cli.main, [*words, f"{option.split()[1]}={text}"])
        assert made.exit_code == 2 and "Error: " in made.stderr and "Traceback" not in made.output, text
