"""All Python code that reads or writes a worksheet names its fields to the type checker."""

from __future__ import annotations

import ast
import json
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from generator.worksheet import Worksheet
from tests.proofs.kinds_harness import NODE, TSC
from tools import noun_types, tables

ROOT = Path(__file__).parents[2]
# What these are called in all code. `state` and `value` of an entry are not part of a worksheet.
NAMES = {"sheet", "sheets", "worksheet", "worksheets", "step", "steps", "stage", "check", "gate", "opened"}
NAMES |= {"closed", "units", "wrenches"}
UNTYPED = {"Json", "Any"}
# There is no worksheet before `compile`: a step there is one of a source.
WHERE = ("compile", "render.py", "site", "journal", "history", "quantities", "terminal")
# What comes in here is not known to be a worksheet yet.
DOOR = "journal/shapes/"


def untyped(text: str) -> Iterator[str]:
    """Parameters that bear the name of a part of a worksheet and do not say which fields it has."""
    for part in ast.walk(ast.parse(text)):
        if not isinstance(part, ast.arg) or part.arg not in NAMES or part.annotation is None:
            continue
        told = re.findall(r"\w+", ast.unparse(part.annotation))  # also t.Any, and a type in quotes
        if UNTYPED & set(told):
            yield f"{part.lineno}: {part.arg}"


def test_the_types_are_those_of_the_nouns() -> None:
    assert tables.SHEET_TYPES.read_text(encoding="utf-8") == tables.sheet_types(), (
        "write it anew: .venv/bin/python -m tools.tables"
    )


def test_the_scripts_types_are_those_of_the_nouns() -> None:
    assert tables.SHEET_SCRIPT_TYPES.read_text(encoding="utf-8") == noun_types.in_script(), (
        "write it anew: .venv/bin/python -m tools.tables"
    )


def test_every_field_is_known_to_the_type_checker_of_the_scripts_and_no_other(tmp_path: Path) -> None:
    """Each field of each noun is read once under its own name and once misspelt."""
    nouns = noun_types.nouns(Worksheet)
    fields = [(noun_types.script_name(noun.name), field) for noun in nouns for field in noun.fields]
    read = [
        f"export const {name}{at} = (/** @type {{{noun}}} */ one) => one.{field}{wrong};"
        for name, wrong in (("right", ""), ("wrong", "_"))
        for at, (noun, field) in enumerate(fields)
    ]
    types = [ROOT / "tools" / "js" / name for name in ("nouns.d.ts", "sheet.d.ts", "tables.d.ts")]
    config = {"extends": str(ROOT / "tools/js/tsconfig.json"), "files": [*map(str, types), "reads.js"], "include": []}
    (tmp_path / "reads.js").write_text("\n".join(read) + "\n", encoding="utf-8")
    (tmp_path / "tsconfig.json").write_text(json.dumps(config), encoding="utf-8")
    said = subprocess.run(
        [NODE, TSC, "-p", str(tmp_path), "--pretty", "false"], capture_output=True, text=True, timeout=300
    ).stdout
    assert [int(line) for line in re.findall(r"reads\.js\((\d+),.*does not exist", said, re.MULTILINE)] == list(
        range(len(fields) + 1, 2 * len(fields) + 1)
    ), said[-2000:]
    assert said.count(" error ") == len(fields) > 150


def test_no_part_of_a_worksheet_is_handed_on_without_its_type() -> None:
    found, looked = {}, 0
    for path in sorted((ROOT / "generator").rglob("*.py")):
        name = path.relative_to(ROOT / "generator").as_posix()
        if (
            name.startswith(WHERE)
            and not name.startswith(DOOR)
            and (told := list(untyped(path.read_text(encoding="utf-8"))))
        ):
            found[name] = told
        looked += name.startswith(WHERE)
    assert found == {}
    assert looked > 60


@pytest.mark.parametrize(
    ("parameter", "seen"),
    [
        ("sheet: Json", True),
        ("step: dict[str, Any]", True),
        ("check: Mapping[str, Any] | None", True),
        ("sheets: Iterable[Json]", True),
        ("worksheet: Json", True),
        ("sheet: t.Any", True),
        ("sheet: 'Json'", True),
        ("sheet: WorksheetJson", False),
        ("value: Json", False),
    ],
)
def test_a_parameter_without_its_type_is_seen(parameter: str, seen: bool) -> None:
    assert bool(list(untyped(f"def told({parameter}) -> None: ..."))) is seen


def test_every_field_is_known_to_the_type_checker_and_no_other(tmp_path: Path) -> None:
    """Each field of each noun is read once under its own name and once misspelt."""
    nouns = noun_types.nouns(Worksheet)
    good = [f'def f{at}{n}(one: t.{noun.name}) -> object: return one["{field}"]' for at, noun, n, field in _all(nouns)]
    bad = [f'def g{at}{n}(one: t.{noun.name}) -> object: return one["{field}_"]' for at, noun, n, field in _all(nouns)]
    head = ["import generator.sheet_types as t"]
    file = tmp_path / "reads.py"
    file.write_text("\n".join([*head, *good, *bad]) + "\n", encoding="utf-8")
    said = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", str(file)], cwd=ROOT, capture_output=True, text=True, timeout=300
    )
    lines = [int(line.split(":")[1]) for line in said.stdout.splitlines() if "has no key" in line]
    assert lines == list(range(len(head) + len(good) + 1, len(head) + len(good) + len(bad) + 1)), said.stdout[-2000:]
    assert said.stdout.count(" error: ") == len(bad) > 150


def _all(nouns: list[noun_types.Noun]) -> Iterator[tuple[int, noun_types.Noun, str, str]]:
    for at, noun in enumerate(nouns):
        for number, field in enumerate(noun.fields):
            yield at, noun, f"_{number}", field
