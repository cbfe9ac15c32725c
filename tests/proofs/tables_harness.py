"""Remove every row of every shared table, one at a time: both languages must notice each.

    python -m tests.proofs.tables_harness [--seed 2] [--types]

With `--types` it asks the type checkers of both languages instead, which takes a quarter of an hour. At least one must
name a place that counts on the row; what no type can know is listed in UNNAMED, and must not be named either.

A language notices if one of the cases reads differently than with the whole table, or if its modules do not load. The
control removes nothing and must go unnoticed. Ends with 1 if a row can go missing unnoticed.
"""

from __future__ import annotations

import argparse
import importlib
import shutil
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from generator.canonical import canonical
from generator.tables import SHARED
from tests.proofs.table_types import Desk, Row, named_by_tsc
from tests.support import records
from tests.support.journals import Case, many_cases
from tests.support.node import SITE, node
from tests.support.stories import STORIES, Bench
from tools.tables import scripts

PURE = [
    "base/digest.js",
    "base/canonical.js",
    "base/entry.js",
    "base/own.js",
    "job/carry.js",
    "journal",
    "quantities",
    "words/record.js",
]
FRESH = (
    "generator.tables",
    "generator.journal",
    "generator.journal.fold",
    "generator.journal.record",
    "generator.quantities.sources",
)
# The fields of a step that its digests are made of. Nothing speaks of one of them alone: to every type checker a digest
# of fewer fields is as good. Both folds read other journals without it.
UNNAMED = ("DUTY", "WORDING")
TOO_LARGE = 16 * 1024 * 1024 + 1  # characters; made where it is read
MOST_TEXT = 100_000

READ = """
const { pathToFileURL } = await import('node:url');
const { cases, sheets, texts, folders } = given;
const at = ({ named }) => Object.fromEntries(named.map((name) => [name, sheets[name]]));
const told = async (folder) => {
  const load = (name) => import(`${pathToFileURL(folder)}/${name}`);
  const [J, carry] = [await load('journal/journal.js'), await load('job/carry.js')];
  for (const [number, one] of cases.entries()) {
    if (J.canonical(J.fold(one.entries, at(one))) !== one.state) return number;
  }
  for (const [number, one] of texts.entries()) {
    const { refused, code, line } = await carry.readRecord(one.text ?? ' '.repeat(given.tooLarge), { job: one.job });
    if (J.canonical({ refused, code, line }) !== one.state) return `record ${number}`;
  }
  return null;
};
const found = [];
for (const folder of folders) found.push(await told(folder).catch((error) => String(error).slice(0, 60)));
return found;
"""


def rows_of(table: str, whole: object) -> Iterator[Row]:
    if isinstance(whole, Mapping):
        for name in whole:
            yield Row(table, str(name), {key: of for key, of in whole.items() if key != name})
    elif isinstance(whole, tuple | frozenset):
        for name in sorted(whole, key=str):
            yield Row(table, str(name), type(whole)(one for one in whole if one != name))
    else:
        yield Row(table, "", "")


def every_row() -> list[Row]:
    return [row for table, whole in SHARED.items() for row in rows_of(table, whole)]


def one_row_each() -> list[Row]:
    """Return the middle row of each table."""
    every = [list(rows_of(table, whole)) for table, whole in SHARED.items()]
    return [rows[len(rows) // 2] for rows in every]


def _loaded() -> list[str]:
    return [name for name in sys.modules if name.startswith(FRESH)]


@contextmanager
def without(row: Row | None) -> Iterator[Callable[[str], Any]]:
    """Import fold and record anew over the table without the row, and restore them afterwards."""
    held = {name: sys.modules.pop(name) for name in _loaded()}
    try:
        tables = importlib.import_module("generator.tables")
        if row:
            setattr(tables, row.table, row.left)
        yield importlib.import_module
    finally:
        for name in _loaded():
            del sys.modules[name]
        sys.modules.update(held)
        for name, module in held.items():
            parent, _, child = name.rpartition(".")
            setattr(sys.modules[parent], child, module)


class Cases:
    """Journals and records with what both languages make of them while every table is whole."""

    def __init__(self, seed: int, journals: int) -> None:
        from generator.journal.fold import fold
        from generator.journal.record import RecordRefused, read_record

        cases = [*_stories(), *many_cases(journals, seed)]
        self.cases = [(case, canonical(fold(case["entries"], case["sheets"]))) for case in cases]
        asked: list[tuple[str | None, str | None]] = [(None, None), (records.good(), "job-9")]
        asked += [(text, None) for text, _, _ in records.refused().values() if len(text) < MOST_TEXT]
        self.texts: list[tuple[str | None, str | None, str]] = []
        for text, job in asked:
            read = read_record(_text(text), job)
            assert isinstance(read, RecordRefused)
            said = canonical({"refused": read.reason, "code": read.code, "line": read.line})
            if all(said != other for _, _, other in self.texts):
                self.texts.append((text, job, said))

    def in_python(self, row: Row | None) -> str | None:
        """Return what Python notices without the row."""
        try:
            with without(row) as load:
                fold, record = load("generator.journal.fold").fold, load("generator.journal.record")
                for number, (case, state) in enumerate(self.cases):
                    if canonical(fold(case["entries"], case["sheets"])) != state:
                        return str(number)
                for number, (text, job, state) in enumerate(self.texts):
                    read = record.read_record(_text(text), job)
                    if canonical({"refused": read.reason, "code": read.code, "line": read.line}) != state:
                        return f"record {number}"
        except Exception as error:
            return repr(error)[:60]
        return None

    def on_the_phone(self, rows: list[Row | None]) -> list[str | None]:
        """Return the same in JavaScript, for each row."""
        sheets = {name: sheet for case, _ in self.cases for name, sheet in case["sheets"].items()}
        cases = [
            {"entries": case["entries"], "named": list(case["sheets"]), "state": state} for case, state in self.cases
        ]
        texts = [{"text": text, "job": job, "state": state} for text, job, state in self.texts]
        given = {"cases": cases, "sheets": sheets, "texts": texts, "tooLarge": TOO_LARGE}
        with tempfile.TemporaryDirectory() as place:
            folders = [str(_phone_without(row, Path(place) / str(number))) for number, row in enumerate(rows)]
            told = node(READ, {**given, "folders": folders})
        return [None if one is None else str(one) for one in told]


def _text(text: str | None) -> str:
    return " " * TOO_LARGE if text is None else text


def _stories() -> Iterator[Case]:
    for story in STORIES:
        bench = Bench()
        story(bench)
        for entries, sheets in bench.told[-1:]:
            yield {"entries": entries, "sheets": sheets}


def _phone_without(row: Row | None, folder: Path) -> Path:
    folder.mkdir()
    for name in PURE:
        source = SITE / "phone" / name
        (folder / name).parent.mkdir(exist_ok=True)
        (shutil.copytree if source.is_dir() else shutil.copy)(source, folder / name)
    shared = {**SHARED, row.table: row.left} if row else SHARED
    for path, text in scripts(shared).items():
        (folder / path).write_text(text)
    (folder / "package.json").write_text('{"type": "module"}')
    return folder


def unseen(cases: Cases, rows: list[Row]) -> dict[str, list[str]]:
    """Return {language: rows that went missing unnoticed}. The control is checked as well."""
    phone = cases.on_the_phone([None, *rows])
    desk = [cases.in_python(row) for row in [None, *rows]]
    assert phone[0] is None and desk[0] is None, f"the whole tables read otherwise: {phone[0]}, {desk[0]}"
    named = [f"{row.table}[{row.name}]" for row in rows]
    return {
        language: [name for name, told in zip(named, found[1:], strict=True) if told is None]
        for language, found in (("Python", desk), ("JavaScript", phone))
    }


def untyped(folder: Path, rows: list[Row]) -> dict[str, list[Row]]:
    """{type checker: rows that it names nothing for}, each row deleted alone. The control is looked at as well."""
    desk = Desk(folder)
    told = {"mypy": [desk.named([row] if row else []) for row in [None, *rows]]}
    told["tsc"] = named_by_tsc([[], *([row] for row in rows)])
    for checker, (whole, *_) in told.items():
        assert whole == [], f"{checker} names something in the whole tables: {whole}"
    return {
        checker: [row for row, places in zip(rows, found[1:], strict=True) if not places]
        for checker, found in told.items()
    }


def _tell(found: Mapping[str, list[str]], rows: int) -> None:
    print(f"{'':12} {'rows taken away':>16} {'noticed':>8}")
    for language, names in found.items():
        print(f"{language:12} {rows:>16} {rows - len(names):>8}  {' '.join(names)}")


def _types(rows: list[Row]) -> int:
    with tempfile.TemporaryDirectory() as made:
        found = untyped(Path(made) / "desk", rows)
    neither = [row for row in found["mypy"] if row in found["tsc"]]
    _tell(
        {name: [f"{row.table}[{row.name}]" for row in of] for name, of in {**found, "neither": neither}.items()},
        len(rows),
    )
    return int(
        {row.table for row in neither} != set(UNNAMED) or len(neither) != sum(row.table in UNNAMED for row in rows)
    )


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seed", type=int, default=2)
    parser.add_argument("--types", action="store_true")
    args = parser.parse_args()
    rows = every_row()
    if args.types:
        return _types(rows)
    found = unseen(Cases(args.seed, 200), rows)
    _tell(found, len(rows))
    return int(any(found.values()))


if __name__ == "__main__":
    sys.exit(main())
