"""What the type checkers name when a row of a shared table is deleted, in every file where it stands.

The names of the tables are written anew as `python -m tools.tables` does, so that what is left to be named is the code
that counts on the row. mypy looks at a copy of the desk, tsc at the phone with the files it would be written.
"""

from __future__ import annotations

import ast
import re
import shutil
import subprocess
import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generator.tables import SHARED
from tests.support.node import node
from tools.tables import PHONE, TYPES, literals, scripts, types

ROOT = Path(__file__).parents[2]
TYPESCRIPT = ROOT / ".venv" / "js" / "node_modules" / "typescript" / "lib" / "typescript.js"
PROJECTS = [str(ROOT / "tools" / "js" / name) for name in ("tsconfig.json", "tsconfig.screen.json")]

# Each project is looked at once for each set of texts that stand in the place of files. Any other file is parsed once.
LOOK = """
const { default: ts } = await import(given.typescript);
const looking = (path) => {
  const system = { ...ts.sys, onUnRecoverableConfigFileDiagnostic: () => {} };
  const read = ts.getParsedCommandLineOfConfigFile(path, {}, system);
  const parsed = new Map();
  let before;
  return (texts) => {
    const host = ts.createCompilerHost(read.options);
    const fromDisk = host.getSourceFile;
    host.getSourceFile = (name, ...rest) => {
      if (Object.hasOwn(texts, name)) return ts.createSourceFile(name, texts[name], ...rest);
      if (!parsed.has(name)) parsed.set(name, fromDisk(name, ...rest));
      return parsed.get(name);
    };
    before = ts.createProgram(read.fileNames, read.options, host, before);
    return ts.getPreEmitDiagnostics(before).map(({ file, start, messageText }) => [
      file?.fileName ?? path, file ? file.getLineAndCharacterOfPosition(start).line + 1 : 0,
      ts.flattenDiagnosticMessageText(messageText, ' '),
    ]);
  };
};
const projects = given.projects.map(looking);
return given.every.map((texts) => projects.flatMap((look) => look(texts)));
"""


@dataclass(frozen=True)
class Row:
    table: str
    name: str  # what is taken away; "" for a table that is one text
    left: object  # the table without it


def without(rows: Iterable[Row]) -> dict[str, object]:
    """The shared tables without these rows; a table that is one text is gone with it."""
    gone = {row.table: row for row in rows}
    left = {table: gone[table].left if table in gone else of for table, of in SHARED.items()}
    return {table: of for table, of in left.items() if table not in gone or gone[table].name}


def named_by_tsc(every: Iterable[Iterable[Row]]) -> list[list[str]]:
    """For each set of rows the places of the phone that do not fit the tables without them, each with its line."""
    texts = [_phone_of(without(rows)) for rows in every]
    told = node(LOOK, {"typescript": TYPESCRIPT.as_uri(), "projects": PROJECTS, "every": texts})
    return [[_told(Path(file), line, words) for file, line, words in one] for one in told]


def _phone_of(shared: Mapping[str, object]) -> dict[str, str]:
    return {str(PHONE / path): text for path, text in scripts(shared).items()} | {str(TYPES): types(shared)}


class Desk:
    """A copy of the desk for mypy, which looks again at what has changed alone. `folder` is made."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        shutil.copytree(ROOT / "generator", folder / "generator", ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(ROOT / "pyproject.toml", folder)
        if (ROOT / ".mypy_cache").is_dir():
            # Another mypy may be at work: what belongs to its open database comes and goes.
            live = shutil.ignore_patterns("*-shm", "*-wal", "*-journal", "*.lock")
            shutil.copytree(ROOT / ".mypy_cache", folder / ".mypy_cache", ignore=live)

    def named(self, rows: Iterable[Row]) -> list[str]:
        """The places that do not fit the tables without these rows, each with its line and what mypy says."""
        rows = list(rows)
        changed = {"generator/table_names.py": literals(without(rows))} if rows else {}
        for row in rows:
            path = "generator/entry.py" if row.table == "VALUE_FIELDS" else "generator/tables.py"
            text = changed.get(path) or (ROOT / path).read_text(encoding="utf-8")
            changed[path] = _deleted(text, row.table, row.name)
        for path, text in changed.items():
            (self.folder / path).write_text(text, encoding="utf-8")
        ran = subprocess.run(
            [sys.executable, "-m", "mypy"], capture_output=True, text=True, check=False, cwd=self.folder
        )
        assert ran.returncode in (0, 1), ran.stderr or ran.stdout
        told = re.findall(r"(?m)^(\S+?):(\d+): error: (.*)$", ran.stdout)
        found = [_told(self.folder / file, int(line), words) for file, line, words in told]
        for path in changed:
            shutil.copy2(ROOT / path, self.folder / path)
        return found


def _told(file: Path, line: int, words: str) -> str:
    """The place, what stands there, and what the type checker says of it."""
    lines = file.read_text(encoding="utf-8").splitlines()
    return f"{file.name}:{line} {lines[line - 1].strip() if 0 < line <= len(lines) else ''} -- {words}"


def unnamed(rows: Iterable[Row], told: Iterable[str]) -> list[Row]:
    """The rows whose name stands in none of these places."""
    told = list(told)
    return [row for row in rows if not any(_speaks_of(row, one) for one in told)]


def _speaks_of(row: Row, place: str) -> bool:
    return re.search(rf"(?<![\w-]){re.escape(row.name or row.table)}(?![\w-])", place) is not None


def _deleted(text: str, table: str, name: str) -> str:
    """A module without a row of the table, or without the field of a noun in entry.py."""
    tree = ast.parse(text)
    (_Field(name) if table == "VALUE_FIELDS" else _Row(table, name)).visit(tree)
    short = ast.unparse(tree)
    assert short != ast.unparse(ast.parse(text)), (table, name)
    return short


class _Row(ast.NodeTransformer):
    def __init__(self, table: str, name: str) -> None:
        self.table, self.name = table, name

    def visit_AnnAssign(self, node: ast.AnnAssign) -> Any:
        if not (isinstance(node.target, ast.Name) and node.target.id == self.table):
            return node
        return _Element(self.name).visit(node) if self.name else None

    def visit_Dict(self, node: ast.Dict) -> Any:
        """In the list of all tables a constant that is one text is a row of its own."""
        kept = [
            (key, of) for key, of in zip(node.keys, node.values, strict=True) if self.name or not _is(key, self.table)
        ]
        return ast.Dict([key for key, _ in kept], [of for _, of in kept])


class _Element(ast.NodeTransformer):
    def __init__(self, name: str) -> None:
        self.name = name

    def visit_Dict(self, node: ast.Dict) -> Any:
        kept = [(key, of) for key, of in zip(node.keys, node.values, strict=True) if not _is(key, self.name)]
        return ast.Dict([key for key, _ in kept], [of for _, of in kept])

    def visit_Tuple(self, node: ast.Tuple) -> Any:
        return ast.Tuple([one for one in node.elts if not _is(one, self.name)], node.ctx)

    def visit_Set(self, node: ast.Set) -> Any:
        return ast.Set([one for one in node.elts if not _is(one, self.name)])


class _Field(ast.NodeTransformer):
    def __init__(self, name: str) -> None:
        self.name = name

    def visit_AnnAssign(self, node: ast.AnnAssign) -> Any:
        is_it = isinstance(node.target, ast.Name) and node.target.id in (self.name, f"{self.name}_")
        return ast.Pass() if is_it else node


def _is(node: ast.expr | None, name: str) -> bool:
    return isinstance(node, ast.Constant) and node.value == name
