"""The nouns of a worksheet as types of its plain data, for both type checkers. `python -m tools.tables` writes them.

A worksheet is read and written as plain data (dicts, lists, texts, numbers). These types name its fields, so that a
wrong name is reported before anything runs. A later field may be missing from an older worksheet.
"""

from __future__ import annotations

import ast
import keyword
import types
import typing
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from generator.worksheet import SheetCheckOff, SheetNoun, SheetStyled, Worksheet

CHECK = "CheckJson"
HIDES = {"list", "dict"}  # a field of this name would hide the type in the lines below
RICH = typing.get_type_hints(SheetStyled)["c"]


@dataclass(frozen=True)
class Noun:
    """A noun as a type: its fields, each with its type in Python."""

    name: str
    fields: dict[str, str]


def name_of(noun: type[BaseModel]) -> str:
    """`SheetStep` -> `StepJson`. Check-offs of all kinds have one type, and its `kind` says which fields are there."""
    if issubclass(noun, SheetCheckOff):
        return CHECK
    return noun.__name__.removeprefix("Sheet").removesuffix("Said") + "Json"


def nouns(top: type[SheetNoun] = Worksheet) -> list[Noun]:
    """Return the noun and all nouns inside it, each after those it is made of."""
    found: dict[type[SheetNoun], None] = {}
    _gather(top, found, set())
    plain = [noun for noun in found if not issubclass(noun, SheetCheckOff)]
    kinds = [noun for noun in found if issubclass(noun, SheetCheckOff)]
    # Each kind has some of these fields. `generator/worksheet.py` says which.
    check = {name: _may_be_missing(of) for noun in kinds for name, of in _fields(noun).items()} | {"kind": "CheckKind"}
    return [Noun(CHECK, check), *(Noun(name_of(noun), _fields(noun)) for noun in plain)]


def _gather(noun: type[SheetNoun], found: dict[type[SheetNoun], None], seen: set[type[SheetNoun]]) -> None:
    if noun in seen:
        return
    seen.add(noun)
    for hint in _hints(noun).values():
        for inner in _inside(hint):
            _gather(inner, found, seen)
    found[noun] = None


def _hints(noun: type[SheetNoun]) -> dict[str, Any]:
    """Return the annotation of each field under the field's name in the data."""
    hints = typing.get_type_hints(noun, include_extras=False)
    return {field.alias or name: hints[name] for name, field in noun.model_fields.items()}


def _fields(noun: type[SheetNoun]) -> dict[str, str]:
    missing = {field.alias or name for name, field in noun.model_fields.items() if _is_later(field)}
    return {
        name: f"NotRequired[{python(hint)}]" if name in missing else python(hint) for name, hint in _hints(noun).items()
    }


def _may_be_missing(of: str) -> str:
    return of if of.startswith("NotRequired[") else f"NotRequired[{of}]"


def _is_later(field: FieldInfo) -> bool:
    return isinstance(field.json_schema_extra, dict) and bool(field.json_schema_extra.get("later"))


def _inside(hint: Any) -> Iterator[type[SheetNoun]]:
    if isinstance(hint, type) and issubclass(hint, SheetNoun):
        yield hint
    for inner in get_args(hint):
        yield from _inside(inner)


def python(hint: Any) -> str:
    """Return an annotation in the form of Python's type checker. Raises TypeError for one that no worksheet has."""
    origin, inside = get_origin(hint), get_args(hint)
    if hint == RICH:
        return "RichJson"
    if origin is Annotated:
        return python(inside[0])
    if origin is Literal:
        return f"Literal[{', '.join(repr(word).replace(chr(39), chr(34)) for word in inside)}]"
    if origin in (list, dict):
        return f"{origin.__name__}[{', '.join(python(of) for of in inside)}]"
    if origin in (typing.Union, types.UnionType):
        return " | ".join(dict.fromkeys(python(of) for of in inside))
    if hint in (Any, None, types.NoneType):
        return "Any" if hint is Any else "None"
    if isinstance(hint, type) and issubclass(hint, SheetNoun):
        return name_of(hint)
    if hint in (str, int, float, bool):
        return str(hint.__name__)
    raise TypeError(f"no worksheet has {hint!r}")


SCRIPT_HEAD = """\
// What plain data of a worksheet holds, for the type checker of the scripts: made from the nouns of
// generator/worksheet.py. Never edit this file: write it anew with `python -m tools.tables`.

type RichJson = Json; // a tree of text, read by its shape
"""
# Names that the scripts have for some of them.
IN_SCRIPT = {"WorksheetJson": "Sheet", "ClosedJson": "Moved", "QuantityJson": "Amount", "AskJson": "Asked"}
IN_SCRIPT |= {"ShownJson": "ShownName"}
# Where the scripts count on the names of today's tables, which the desk takes as any text.
NARROWER = {
    ("WorksheetJson", "needs"): "Partial<Record<SectionName, Names<Json>>>",
}
WORDS = {"str": "string", "int": "number", "float": "number", "bool": "boolean", "None": "null", "Any": "Json"}


def in_script() -> str:
    """The text of tools/js/sheet.d.ts."""
    return SCRIPT_HEAD + "".join(_in_script(noun) for noun in nouns())


def _in_script(noun: Noun) -> str:
    return f"interface {script_name(noun.name)} {{\n{''.join(_line(noun, *one) for one in noun.fields.items())}}}\n"


def _line(noun: Noun, name: str, of: str) -> str:
    mark = "?" if of.startswith("NotRequired[") else ""
    return f"  {name}{mark}: {NARROWER.get((noun.name, name)) or typescript(of)},\n"


def script_name(name: str) -> str:
    return IN_SCRIPT.get(name, name.removesuffix("Json"))


def typescript(of: str) -> str:
    """A type in Python's words, in the words of the scripts' type checker. Raises SyntaxError for none."""
    return _typescript(ast.parse(of, mode="eval").body)


def _typescript(of: ast.expr) -> str:
    match of:
        case ast.BinOp(left, ast.BitOr(), right):
            return f"{_typescript(left)} | {_typescript(right)}"
        case ast.Subscript(ast.Name("NotRequired"), inner):
            return _typescript(inner)
        case ast.Subscript(ast.Name("list"), inner):
            return f"({_typescript(inner)})[]" if isinstance(inner, ast.BinOp) else f"{_typescript(inner)}[]"
        case ast.Subscript(ast.Name("dict"), ast.Tuple([_, inner])):
            return f"Names<{_typescript(inner)}>"
        case ast.Subscript(ast.Name("Literal"), inner):
            words = inner.elts if isinstance(inner, ast.Tuple) else [inner]
            return " | ".join(f"'{word.value}'" for word in words if isinstance(word, ast.Constant))
        case ast.Constant(None):
            return "null"
        case ast.Name(name) if name.endswith("Json") and name != "RichJson":
            return script_name(name)
        case ast.Name(name):
            return WORDS.get(name, name)
    raise SyntaxError(ast.unparse(of))


HEAD = '''\
"""What plain data of a worksheet holds, for the type checker: made from the nouns of generator/worksheet.py.

Never edit this file: write it anew with `python -m tools.tables`.
"""

from __future__ import annotations

from typing import Any, Literal, NotRequired, TypedDict

from generator.worksheet import CheckKind

RichJson = list["str | StyledJson | ShownJson"]
'''


def in_python() -> str:
    """Return the text of generator/sheet_types.py."""
    return HEAD + "".join(_in_python(noun) for noun in nouns())


def _in_python(noun: Noun) -> str:
    if any(keyword.iskeyword(name) or name in HIDES for name in noun.fields):
        pairs = "".join(f'        "{name}": {_quoted(of)},\n' for name, of in noun.fields.items())
        return f'{noun.name} = TypedDict(\n    "{noun.name}",\n    {{\n{pairs}    }},\n)\n'
    lines = "".join(f"    {name}: {of}\n" for name, of in noun.fields.items())
    return f"\n\nclass {noun.name}(TypedDict):\n{lines}"


def _quoted(of: str) -> str:
    return "'" + of + "'" if '"' in of else '"' + of + '"'
