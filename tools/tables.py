"""Write the phone's half of the shared tables, their names as types, and the schemas: `python -m tools.tables`."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import get_args

from generator.entry import VALUES, WrittenEntry
from generator.quantities import possible_ranges, trees
from generator.quantities.numbers import plain
from generator.tables import EARLIER_TRADE, SHARED
from generator.worksheet import CheckKind, SheetTorque, Worksheet, reading, schema
from tools import noun_types

PHONE = Path(__file__).parent.parent / "site_overrides" / "phone"
SHEET_TYPES = Path(__file__).parent.parent / "generator" / "sheet_types.py"
TYPES = Path(__file__).parent / "js" / "tables.d.ts"
SHEET_SCRIPT_TYPES = Path(__file__).parent / "js" / "sheet.d.ts"
LITERALS = Path(__file__).parent.parent / "generator" / "table_names.py"
SCHEMA = Path(__file__).parent.parent / "schema"
WORDS = ("REFUSALS",)  # sentences go with the other sentences
WIDE = 110
WIDEST = 120  # a line of the desk, as ruff counts
TABLES_HEAD = """\
// The tables that the desk and the phone share. Never edit this file: change generator/tables.py, then write it anew
// with `python -m tools.tables`.

import { table } from '../base/own.js';
"""
WORDS_HEAD = """\
// Why a file that was brought in is not taken, by the code of the refusal. Never edit this file: change
// generator/tables.py, then write it anew with `python -m tools.tables`.

import { table } from '../base/own.js';
"""


TYPES_HEAD = """\
// The names that stand in the desk's tables, for the type checker of the scripts. Never edit this file: write it anew
// with `python -m tools.tables`.
"""
LITERALS_HEAD = '''\
"""The names that stand in the shared tables, for the type checker. Never edit this file: change generator/tables.py,
then write it anew with `python -m tools.tables`."""

from typing import Literal

'''
EARLIER_HEAD = """\
// The words of the trade for worksheets of before November 2026, which carry none. Never edit this file: change
// generator/journal/shapes/earlier_trade.json, then write it anew with `python -m tools.tables`.

import { table } from '../../base/own.js';
"""
SHAPES_HEAD = """\
// What a worksheet or an entry must look like to be read: JSON Schema, made from the desk's nouns. Never edit this
// file: change generator/worksheet.py or generator/entry.py, then write it anew with `python -m tools.tables`.
"""


TREES_HEAD = """\
// The arithmetic of a wrench, one tree for each number, and the order in which wrenches are taken; the worksheet brings
// the trees of a setting. Never edit this file: change generator/quantities/trees.py, then write it anew with
// `python -m tools.tables`.

import { table } from '../base/own.js';
"""


RANGES_HEAD = """\
// What a figure can be, in base units: a value and a reading by their kind, a reading in one unit, a box by its name.
// Never edit this file: change generator/quantities/possible_ranges.py, then write it anew with
// `python -m tools.tables`.

import { table } from '../base/own.js';
"""


def shapes() -> dict[str, object]:
    return {"SHEET": reading(Worksheet), "ENTRY": reading(WrittenEntry), "TORQUE": tuple(SheetTorque.model_fields)}


def scripts(shared: Mapping[str, object] = SHARED) -> dict[str, str]:
    """Return the text of each script, by its path below phone/. Raises TypeError for what no table holds."""
    tables = {name: value for name, value in shared.items() if name not in WORDS}
    words = {name: value for name, value in shared.items() if name in WORDS}
    return {
        "journal/tables.js": _script(TABLES_HEAD, tables),
        "journal/shape/earlier_trade.js": _script(EARLIER_HEAD, {"EARLIER_TRADE": EARLIER_TRADE}),
        "journal/shape/shapes.js": _script(SHAPES_HEAD, shapes(), "{}"),
        "quantities/ranges.js": _script(RANGES_HEAD, _ranges()),
        "quantities/torque_trees.js": _script(TREES_HEAD, trees.SHARED),
        "words/record.js": _script(WORDS_HEAD, words),
    }


def _ranges() -> dict[str, object]:
    named = {
        "VALUES": possible_ranges.LIMITS,
        "READINGS": possible_ranges.READ,
        "READ_IN": possible_ranges.READ_IN,
        "BOXES": possible_ranges.FIELD_RANGES,
    }
    return {name: {key: _range(of) for key, of in each.items()} for name, each in named.items()}


def _range(of: possible_ranges.PossibleRange) -> dict[str, object]:
    return {key: plain(end) if isinstance(end, float) else end for key, end in possible_ranges.in_base(of).items()}


# The types that are made of the names in a table, in both languages.
NAMED: Mapping[str, tuple[str, ...]] = {
    "EntryKind": ("SLOT_NAMES",),
    "ReturnKind": ("RETURNS",),
    "StartField": ("CORRECTABLE_FIELDS",),
    "SaidField": ("VALUE_FIELDS",),
    "OdometerUnit": ("ODOMETER_UNITS",),
    "ActionableState": ("ACTIONABLE",),
    "ClosedState": ("CLOSED",),
    "StateName": ("ACTIONABLE", "CLOSED"),
    "BlockingCode": ("BLOCKING",),
    "DutyField": ("DUTY",),
    "WordingField": ("WORDING",),
    "SectionName": ("SECTIONS",),
    "RuledSection": ("RULE_OF_SECTION",),
    "SourceField": ("LEAST_SAID",),
    "GaugeKind": ("GAUGES",),
    "TimeUnit": ("SECONDS",),
    "RecordLimit": ("MOST",),
    "RefusalCode": ("REFUSALS",),
}
PENDING = ("blocked", "waiting")  # states that no table has to name


def names(shared: Mapping[str, object] = SHARED) -> dict[str, tuple[str, ...]]:
    """The names in each type of NAMED. A set has no order: its names come in that of the alphabet."""
    found = {name: tuple(one for table in of for one in _names_in(shared[table])) for name, of in NAMED.items()}
    return {**found, "StateName": (*found["StateName"], *PENDING)}


def _names_in(table: object) -> Iterable[str]:
    if isinstance(table, frozenset):
        return sorted(table)
    assert isinstance(table, Mapping | tuple)
    return table


def types(shared: Mapping[str, object] = SHARED) -> str:
    """The names of the tables as types of the scripts."""
    unions = {"CheckKind": get_args(CheckKind), **names(shared)}
    return "\n".join([TYPES_HEAD, *(_union(name, of) for name, of in unions.items())]) + "\n"


def _union(name: str, of: Sequence[str]) -> str:
    line = f"type {name} = {' | '.join(map(_text, of))};"
    return line if len(line) < WIDE else f"type {name} =" + "".join(f"\n  | {_text(one)}" for one in of) + ";"


def literals(shared: Mapping[str, object] = SHARED) -> str:
    """The names of the tables as types of the desk."""
    return LITERALS_HEAD + "".join(_literal(name, of) for name, of in names(shared).items())


def _literal(name: str, of: Sequence[str]) -> str:
    names = [json.dumps(one) for one in of]
    line = f"{name} = Literal[{', '.join(names)}]"
    return (
        line if len(line) <= WIDEST else "\n    ".join([f"{name} = Literal[", *(f"{one}," for one in names)]) + "\n]"
    ) + "\n"


def _script(head: str, tables: Mapping[str, object], made: str = "table({})") -> str:
    """Return a script. `made`: how an object is made. It has no prototype if names from outside are looked up in it."""
    lines = [f"{_typed(name)}export const {name} = {_js(value, 0, made)};" for name, value in tables.items()]
    return "\n".join([head, *lines]) + "\n"


def _typed(table: str) -> str:
    """A list of names is typed as one; of all else the type checker works the type out."""
    named = next((name for name, of in NAMED.items() if of == (table,)), None)
    return f"/** @type {{{named}[]}} */\n" if named and isinstance(SHARED[table], tuple) else ""


def _js(value: object, depth: int, made: str) -> str:
    if isinstance(value, frozenset):
        return f"new Set({_js(tuple(sorted(value)), depth, made)})"
    if isinstance(value, tuple | list):
        return _within("[]", [_js(item, depth + 1, made) for item in value], depth)
    if isinstance(value, Mapping):
        pairs = [f"{_key(name)}: {_js(of, depth + 1, made)}" for name, of in value.items()]
        return made.replace("{}", _within("{}", pairs, depth))
    if value is None or isinstance(value, bool | int | float):
        return json.dumps(value)
    if isinstance(value, str):
        return _text(value)
    raise TypeError(f"no table holds {type(value).__name__}")


def _text(text: str) -> str:
    """Return a text in single quotes, as in all of the phone's scripts."""
    return "'" + json.dumps(text)[1:-1].replace('\\"', '"').replace("'", "\\'") + "'"


def _key(name: str) -> str:
    return name if name.isidentifier() else _text(name)


def _within(brackets: str, parts: list[str], depth: int) -> str:
    begin, end = brackets
    line = ", ".join(parts)
    if len(line) + 2 * depth < WIDE and "\n" not in line and not ("(" in line and len(parts) > 3):
        pad = " " if begin == "{" and parts else ""
        return f"{begin}{pad}{line}{pad}{end}"
    inner = "  " * (depth + 1)
    return f"{begin}\n" + "".join(f"{inner}{part},\n" for part in parts) + "  " * depth + end


def sheet_types() -> str:
    """Return the text of generator/sheet_types.py, formatted. Raises CalledProcessError if ruff fails."""
    said = subprocess.run(
        [sys.executable, "-m", "ruff", "format", "-"],
        input=noun_types.in_python(),
        cwd=SHEET_TYPES.parent.parent,
        capture_output=True,
        check=True,
        text=True,
        encoding="utf-8",
    )
    return said.stdout


def schemas() -> dict[str, str]:
    """Return the JSON Schema of what is written, by file name below schema/."""
    made = {"worksheet.json": schema(Worksheet), "entry.json": schema(WrittenEntry)}
    made |= {f"values/{kind}.json": schema(noun) for kind, noun in VALUES.items()}
    return {name: json.dumps(of, indent=1, sort_keys=True) + "\n" for name, of in made.items()}


if __name__ == "__main__":
    for path, text in scripts().items():
        (PHONE / path).write_text(text, encoding="utf-8")
    TYPES.write_text(types(), encoding="utf-8")
    SHEET_TYPES.write_text(sheet_types(), encoding="utf-8")
    SHEET_SCRIPT_TYPES.write_text(noun_types.in_script(), encoding="utf-8")
    (SCHEMA / "values").mkdir(parents=True, exist_ok=True)
    LITERALS.write_text(literals(), encoding="utf-8")
    for name, text in schemas().items():
        (SCHEMA / name).write_text(text, encoding="utf-8")
