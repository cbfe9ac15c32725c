"""A quantity is a noun: one module in each language takes its text apart, and its number stays as it was typed."""

from __future__ import annotations

import ast
import importlib
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from generator.model import EngineValue, Shop
from generator.quantities.quantity import Quantity, plainly, read, stages, turns, typed, written
from generator.tables import SECONDS
from tests.support.node import node

ROOT = Path(__file__).parents[2]
# The modules that take the texts of quantities apart.
READERS = {"generator/quantities/quantity.py", "site_overrides/phone/quantities/quantity.js"}
# What is split at a space there is not a quantity: words of a pointer to a repository, a name in XML, a number before
# the text of an entry.
OF_ANOTHER_KIND = {
    "generator/site/places.py": "line.split",
    "generator/inputs/pictures.py": "rpartition",
    "site_overrides/phone/keep/mirror_records.js": "text.indexOf(' ')",
}
SAMPLES = ("22 N.m", "22.5 N.m", "-3 degC", "10 min", "12 N.m then 90 deg")
# A pattern that also matches any text is not a pattern for a quantity.
WORDS = ("by the book", "N.m", "the mark 5")
PARTS = ("partition", "rpartition", "split", "rsplit")
TABLE = re.compile(r"\b604_?800\b|\b60 \* 60\b|\b7 \* 86_?400\b")


# --- Python -----------------------------------------------------------------------------------------------------------


def split_at_space(tree: ast.AST) -> Iterator[int]:
    """Yield the lines on which a text is split at a space, or into the pulls of a tightening."""
    for call in ast.walk(tree):
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute) and call.func.attr in PARTS:
            at = call.args[0] if call.args else None
            if isinstance(at, ast.Constant) and at.value in (" ", " then "):
                yield call.lineno


def patterns(tree: ast.AST, names: dict[str, Any]) -> Iterator[tuple[int, str]]:
    """Yield every pattern that `re` is given, with its parts filled in."""
    for call in ast.walk(tree):
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Attribute) and call.args:
            of = call.func.value
            if isinstance(of, ast.Name) and of.id == "re" and call.func.attr != "escape":
                try:
                    made = eval(compile(ast.Expression(call.args[0]), "pattern", "eval"), dict(names))
                except NameError:  # it is built from an argument of a function
                    continue
                made = getattr(made, "pattern", made)
                yield call.lineno, made.decode("latin-1") if isinstance(made, bytes) else made


def takes_a_quantity(pattern: str) -> bool:
    """True if it matches a number with its unit, and does not match just any text."""
    try:
        found = re.compile(pattern)
    except re.error:  # not a pattern, or of a form that Python lacks: then it must not mention digits
        return "0-9" in pattern or r"\d" in pattern
    return any(map(found.fullmatch, SAMPLES)) and not any(map(found.fullmatch, WORDS))


def python_complaints(text: str, names: dict[str, Any]) -> list[int]:
    tree = ast.parse(text)
    return [*split_at_space(tree), *(line for line, pattern in patterns(tree, names) if takes_a_quantity(pattern))]


PYTHON = sorted(path for folder in ("generator", "tools") for path in (ROOT / folder).rglob("*.py"))


def module_names(path: Path) -> dict[str, Any]:
    if path.parts[len(ROOT.parts)] == "tools":
        return {"re": re}
    name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
    return vars(importlib.import_module(name.removesuffix(".__init__")))


def allowed(path: Path, line: int) -> bool:
    of = OF_ANOTHER_KIND.get(path.relative_to(ROOT).as_posix())
    return of is not None and of in path.read_text().splitlines()[line - 1]


def test_only_one_python_module_takes_a_quantity_apart():
    assert len(PYTHON) > 80
    found = {
        f"{path.relative_to(ROOT)}:{line}"
        for path in PYTHON
        for line in python_complaints(path.read_text(), module_names(path))
        if not allowed(path, line)
    }
    apart = {each for each in found if each.rpartition(":")[0] not in READERS}
    assert not apart and found, apart or "the reader itself is not seen: the search is blind"


# --- JavaScript -------------------------------------------------------------------------------------------------------

SPLIT = re.compile(r"""\.(?:split|indexOf|lastIndexOf)\((['"`])(?: | then )\1|\.split\(/(?: |\\s)\+?/""")
# A slash begins a pattern if no value can come before it.
REGEX = re.compile(r"(?:^|[=(,:!&|?{};\[>]|=>|return)\s*/((?![*/])(?:\\.|\[(?:\\.|[^\]\\\n])*\]|[^/\\\n\[])+)/[a-z]*")
OWN_TABLE = "site_overrides/phone/journal/tables.js"


def javascript_complaints(text: str) -> list[int]:
    found = []
    for at, line in enumerate(text.splitlines(), 1):
        code = line.split("//")[0] if line.lstrip().startswith("//") else line
        taken = [pattern for pattern in REGEX.findall(code) if takes_a_quantity(pattern)]
        if SPLIT.search(code) or taken:
            found.append(at)
    return found


JAVASCRIPT = sorted(path for path in (ROOT / "site_overrides").rglob("*.js") if "vendor" not in path.parts)


def test_only_one_script_takes_a_quantity_apart():
    assert len(JAVASCRIPT) > 90
    found = {
        str(path.relative_to(ROOT)): [
            line for line in javascript_complaints(path.read_text()) if not allowed(path, line)
        ]
        for path in JAVASCRIPT
    }
    apart = {name: lines for name, lines in found.items() if lines and name not in READERS}
    assert not apart and found["site_overrides/phone/quantities/quantity.js"], apart or "the search is blind"


def test_the_seconds_of_a_unit_stand_once():
    """They are in the shared table, from which the phone's is made."""
    files = [*PYTHON, *JAVASCRIPT]
    found = {str(path.relative_to(ROOT)) for path in files if TABLE.search(path.read_text())}
    assert found == {"generator/tables.py", OWN_TABLE}
    assert SECONDS["week"] == 604_800


PLANTED_PYTHON = [
    'number, _, unit = text.partition(" ")',
    'unit = text.rpartition(" ")[2]',
    'number, unit = text.split(" ")',
    'number, unit = text.rsplit(" ", 1)',
    'first, then = text.split(" then ")',
    're.fullmatch(r"(\\d+(?:\\.\\d+)?) (s|min|h|day|week)", text)',
    'A = re.compile("[ \\xa0]*([+-]?[0-9]+(?:[.,][0-9]+)?)[ \\xa0]*([^ \\xa0]*)[ \\xa0]*")',
    're.match(rf"({N}) ({U})", text)',
]
PLANTED_SCRIPT = [
    "const [number, unit] = text.split(' ');",
    'const at = text.indexOf(" ");',
    "const pulls = text.split(' then ');",
    "const pair = text.split(/ /);",
    "const pair = text.split(/\\s+/);",
    "const PULL = /^(\\d+(?:[.,]\\d+)?) (\\S+)((?: then .+)?)$/;",
    "const read = /^([0-9]+(?:[.,][0-9]+)?) (s|min|h|day|week)$/.exec(text);",
    "const TYPED = /^[ \\u00a0]*([+-]?[0-9]{1,15}(?:[.,][0-9]{1,15})?)[ \\u00a0]*([^ \\u00a0]*)[ \\u00a0]*$/;",
    "if (/^[0-9.]+ N\\.m$/.test(text)) return;",
]


@pytest.mark.parametrize("line", PLANTED_PYTHON)
def test_a_planted_reader_in_python_is_seen(line: str):
    assert python_complaints(line, {"re": re, "N": r"\d+", "U": r"\S+"}) == [1]


@pytest.mark.parametrize("line", PLANTED_SCRIPT)
def test_a_planted_reader_in_a_script_is_seen(line: str):
    assert javascript_complaints(line) == [1]


@pytest.mark.parametrize("line", ['text.split(",")', 're.match("[a-z]+", text)', 're.match(r".*", text)'])
def test_what_parts_something_else_is_let_be(line: str):
    assert python_complaints(line, {"re": re}) == []


# --- the noun ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("text", ["22.0 N.m", "22 N.m", "0.50 mm", "-3.0 degC", "100.000 km"])
def test_the_digits_stay_as_they_were_typed(text: str):
    found = written(text)
    assert found and str(found) == text
    key = {"N.m": "torque", "mm": "length", "degC": "temperature", "km": "distance"}[found.unit]
    value = EngineValue.model_validate({key: text})
    assert value.shown == text and value.quantity == found and found.kind == key


def test_two_ways_of_writing_one_torque_are_two_texts_of_one_size():
    one, other = Quantity("22.0", "N.m"), Quantity("22", "N.m")
    assert one != other and one.base == other.base


def test_a_default_is_a_noun_too():
    assert Shop.model_fields["second_reader"].default == written("10 min")


def test_a_plain_number_has_no_unit():
    value = EngineValue.model_validate({"number": "12.50"})
    assert value.quantity == Quantity("12.50", "") and value.shown == "12.50"


@pytest.mark.parametrize("text", ["22N.m", "22  N.m", "+22 N.m", "022 N.m", "22,5 N.m", "N.m", "22 ", "22 N m", ""])
def test_a_source_has_one_form(text: str):
    assert written(text) is None


TEXTS = ["22,0 N.m", " 22N.m ", "+5 min", "5 min", "5  min", "5,5 h", "5", "5 date", "6 turns", "12 x\ny", "", " ", "-"]
TEXTS += [
    "12 N.m then 90 deg",
    "1234567890123456 mm",
    "1.1234567890123456 mm",
    "9" * 400,
    "5\u00a0min",
    "5\tmin",
    "٥ min",
]
LOOK = """
const quantity = await import(`${site}/phone/quantities/quantity.js`);
return given.map((text) => {
  const read = quantity.quantityOf(text);
  const plain = quantity.plainQuantity(text);
  return [
    read && [read.number, read.unit, Number.isFinite(read.figure) ? read.figure : null, quantity.isShort(read)],
    plain && [plain.number, plain.unit], quantity.turnsOf(text), quantity.stagesOf(text),
  ];
});
"""


def told(text: str) -> list[Any]:
    """Return what Python reads, in the form of the script above."""
    of, plain = read(text), plainly(text)
    figure = of and of.figure
    return [
        of and [of.number, of.unit, figure if figure != float("inf") else None, of.is_short],
        plain and [plain.number, plain.unit],
        turns(text),
        list(stages(text)),
    ]


def test_both_languages_read_the_same_of_every_text():
    assert node(LOOK, TEXTS) == [told(text) for text in TEXTS]
    assert sum(told(text)[0] is not None for text in TEXTS) > 12 and told("5 min")[1] and not told("5  min")[1]


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.tuples(st.from_regex(r"[+-]?[0-9]{1,4}([.,][0-9]{1,3})?", fullmatch=True), st.sampled_from(["N.m", "min"])))
def test_what_is_read_is_written_as_it_was(pair: tuple[str, str]):
    number, unit = pair
    text = f"{number} {unit}"
    assert read(text) == Quantity(number, unit) and str(read(text)) == text
    at_desk = typed(text)
    assert at_desk[0].figure == read(text).figure and {one.unit for one in at_desk} == {unit}
    assert len(at_desk) == 1 or {str(one.figure) for one in at_desk} == {
        str(float(number.replace(",", mark).replace(".", mark))) for mark in (".", "")
    }
