"""Add a kind of check-off to a copy of the tree: the type checkers must name the places that the recipe lists.

    python -m tests.proofs.kinds_harness [--seed 2]

Then each place is spoilt in turn, so that it takes any kind: its name must then be missing. The control adds no kind,
and nothing may be named. With the kind added and no place changed, a build of a job with it must end without a
worksheet. Ends with 1 if one of these is not so. The seed changes nothing: every place is tried.
"""

from __future__ import annotations

import argparse
import ast
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from tests.support.node import NODE

ROOT = Path(__file__).parents[2]
TSC = ROOT / ".venv" / "js" / "node_modules" / "typescript" / "bin" / "tsc"
PROJECTS = ("tsconfig.json", "tsconfig.screen.json")
LEFT_OUT = shutil.ignore_patterns("__pycache__", "*.webp", "*.png")

Place = tuple[str, str]  # a file, and what is declared in it

NEW_KIND = "smell"  # nobody will add it
SHEET_FORM = f'class SheetSmell(SheetCheckOff):\n    kind: Literal["{NEW_KIND}"]\n\n\n'
SOURCE_FORM = f"class Smell(Noun):\n    {NEW_KIND}: Short\n\n\n"
KIND_ADDED = (
    ("generator/worksheet.py", "CheckKind = Literal[", f'CheckKind = Literal["{NEW_KIND}", '),
    ("generator/worksheet.py", "class SheetTick(", f"{SHEET_FORM}class SheetTick("),
    ("generator/worksheet.py", "Check = Annotated[", "Check = Annotated[SheetSmell |"),
    ("generator/model.py", "class Tick(Noun):", f"{SOURCE_FORM}class Tick(Noun):"),
    ("generator/model.py", "CheckOff = ", "CheckOff = Smell | "),
)


def listed() -> set[Place]:
    """Return the places that the recipe lists."""
    recipe = (ROOT / "docs" / "recipes.md").read_text(encoding="utf-8").split("## Add a check-off kind\n")[1]
    rows = re.findall(r"^ +- `([^`]+)`: (.+)$", recipe.split("\n## ")[0], re.MULTILINE)
    return {(path, name) for path, names in rows for name in re.findall("`([^`]+)`", names)}


def guarded(root: Path = ROOT) -> set[Place]:
    """Return the functions of the desk that take every kind or do not type-check: those that end in assert_never."""
    texts = {path: path.read_text(encoding="utf-8") for path in (root / "generator").rglob("*.py")}
    return {
        (path.relative_to(root).as_posix(), name)
        for path, text in texts.items()
        if "assert_never" in text
        for name in _functions_with_never(ast.parse(text))
    }


def _functions_with_never(tree: ast.Module) -> Iterator[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and "assert_never" in ast.dump(node):
            yield node.name


def copy(folder: Path) -> Path:
    """Copy what the type checkers read. The folder is made."""
    for name in ("generator", "site_overrides", "tools"):
        shutil.copytree(ROOT / name, folder / name, ignore=LEFT_OUT)
    shutil.copy(ROOT / "pyproject.toml", folder)
    return folder


def replace(path: Path, before: str, after: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count(before) == 1, (path.name, before, text.count(before))
    path.write_text(text.replace(before, after), encoding="utf-8")


def add_kind(folder: Path) -> None:
    for path, before, after in KIND_ADDED:
        replace(folder / path, before, after)
    _run(folder, sys.executable, "-m", "tools.tables")


def named_by_tsc(folder: Path) -> set[Place]:
    told = [_run(folder, NODE, TSC, "-p", f"tools/js/{project}", "--pretty", "false") for project in PROJECTS]
    found = re.findall(r"^(\S+?)\((\d+),\d+\): error (.*)$", "".join(told), re.MULTILINE)
    return {(path, _declared(folder / path, int(line), r"const (\w+)")) for path, line, _ in found}


def named_by_mypy(folder: Path) -> set[Place]:
    told = _run(folder, sys.executable, "-m", "mypy", "--cache-dir", folder / ".mypy_cache")
    assert "Success" in told or "Found" in told, told
    found = re.findall(r"^(\S+?):(\d+): error: (.*)$", told, re.MULTILINE)
    return {(path, _declared(folder / path, int(line), r"^def (\w+)")) for path, line, _ in found}


def _declared(path: Path, line: int, pattern: str) -> str:
    """Return the name that was declared last, before this line or on it."""
    above = "\n".join(path.read_text(encoding="utf-8").split("\n")[:line])
    return (re.findall(pattern, above, re.MULTILINE) or [f"line {line}"])[-1]


def _run(folder: Path, *command: str | Path) -> str:
    ran = subprocess.run(
        command, cwd=folder, env={**os.environ, "PYTHONPATH": str(folder)}, capture_output=True, text=True, check=False
    )
    return ran.stdout + ran.stderr


def spoil(folder: Path, place: Place) -> None:
    """Make the place take any kind from now on."""
    path, name = place
    text = (folder / path).read_text(encoding="utf-8")
    if path.endswith(".py"):
        start = text.index(f"def {name}(")
        head, rest = text[:start], text[start:]
        assert "assert_never(never)" in rest, place
        (folder / path).write_text(
            head + rest.replace("assert_never(never)", "raise AssertionError", 1), encoding="utf-8"
        )
        return
    at = text.index(f"const {name} = ")
    typed = text.rindex("Record<CheckKind, ", 0, at)
    (folder / path).write_text(text[:typed] + text[typed:].replace("CheckKind", "string", 1), encoding="utf-8")


def named(folder: Path) -> set[Place]:
    return named_by_mypy(folder) | named_by_tsc(folder)


def builds_nothing(folder: Path) -> str:
    """Return the last line of a build of a job with the kind. Raises AssertionError if it writes a worksheet, or if a
    build without the kind writes none."""
    for name in ("procedures", "demo_jobs"):
        shutil.copytree(ROOT / name, folder / name)
    assert _built(folder, "control")[1], "a build without the kind writes no worksheet"
    replace(folder / "procedures" / "make-safe.yml", "photo: Fault codes before", f"{NEW_KIND}: Fault codes before")
    told, written = _built(folder, "site")
    assert not written, f"{written} worksheets were written"
    assert "unreachable" in told, told
    return told


def _built(folder: Path, site: str) -> tuple[str, int]:
    """Return the last line of a build, and how many worksheets it wrote."""
    told = _run(folder, sys.executable, "-m", "generator.cli", "build", "--out", folder / site)
    return told.strip().split("\n")[-1], len(list((folder / site).rglob("sheet.json")))


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=2)
    parser.parse_args()
    places, broken = sorted(listed()), False
    with tempfile.TemporaryDirectory() as made:
        control = named(copy(Path(made) / "control"))
        whole = copy(Path(made) / "whole")
        add_kind(whole)
        found = named(whole)
        broken |= bool(control) or found != set(places)
        print(f"no kind added: {len(control)} places named")
        print(f"a kind added: {len(found)} places named, {len(places)} listed")
        for path, name in sorted(found ^ set(places)):
            print(f"  {'named, not listed' if (path, name) in found else 'listed, not named'}: {path} {name}")
        for place in places:
            path, name = place
            before = (whole / path).read_text(encoding="utf-8")
            spoil(whole, place)
            left = found - named(whole)
            (whole / path).write_text(before, encoding="utf-8")
            broken |= left != {place}
            print(f"{path + ' ' + name:60} spoilt: {'noticed' if left == {place} else f'unseen, {sorted(left)}'}")
        print(f"built with no place done: {builds_nothing(whole)}")
    return int(broken)


if __name__ == "__main__":
    sys.exit(main())
