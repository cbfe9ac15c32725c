"""Print how large the house is, now and at an earlier commit, side by side.

    python -m tools.figures                    the working tree beside the commit before it was put in order
    python -m tools.figures --before COMMIT    beside another one
    python -m tools.figures --run              also draws an answer, and the time of the pure tests of the phone

It counts what is written by hand: no vendor's file, no test data. The length of a function is all its lines, with blank
ones and comments. `Any` is the share of Python's annotations that name it.
"""

from __future__ import annotations

import argparse
import ast
import io
import os
import re
import subprocess
import sys
import tarfile
import tempfile
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path

import tree_sitter_javascript
from tree_sitter import Language, Node, Parser

ROOT = Path(__file__).parent.parent
BEFORE = "f1db1f3"
"""The version whose architecture was reviewed."""
DRAWN_TWICE = "c4da1eb^"
"""The last version in which an answer drew the job more than once."""
CODE = ("generator", "site_overrides", "tests", "tools")
NOT_OURS = re.compile(r"/(vendor|golden|earlier_site|node_modules|__pycache__)(/|$)")
DATA = re.compile(r"^tests/(.*/)?(faults|published)/")
FUNCTIONS = {"function_declaration", "function_expression", "arrow_function", "method_definition"}
FUNCTIONS |= {"generator_function", "generator_function_declaration"}
JAVASCRIPT = Parser(Language(tree_sitter_javascript.language()))


def files(root: Path, *suffixes: str, under: Iterable[str] = CODE) -> list[Path]:
    """Return the hand-written files with these suffixes, sorted by path."""
    found = (path for top in under for path in sorted((root / top).rglob("*")) if path.is_file())
    return [
        one for one in found if one.suffix in suffixes and not NOT_OURS.search("/" + one.relative_to(root).as_posix())
    ]


def lines(path: Path) -> int:
    return len(path.read_text().splitlines())


def python_functions(path: Path) -> Iterator[tuple[int, str]]:
    """Yield the length and the name of each function."""
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield (node.end_lineno or node.lineno) - node.lineno + 1, node.name


def script_functions(path: Path) -> Iterator[tuple[int, str]]:
    def walk(node: Node, name: str) -> Iterator[tuple[int, str]]:
        named = node.child_by_field_name("name")
        known = named.text.decode() if named is not None and named.text else name
        if node.type in FUNCTIONS:
            yield node.end_point[0] - node.start_point[0] + 1, known
        for child in node.children:
            yield from walk(child, known)

    yield from walk(JAVASCRIPT.parse(path.read_bytes()).root_node, "")


def annotations(path: Path) -> Iterator[ast.expr]:
    for node in ast.walk(ast.parse(path.read_text())):
        written = getattr(node, "annotation", None) or getattr(node, "returns", None)
        if isinstance(written, ast.expr):
            yield written


def share_of_any(paths: Iterable[Path]) -> str:
    said = [
        any(isinstance(part, ast.Name) and part.id == "Any" for part in ast.walk(one))
        for path in paths
        for one in annotations(path)
    ]
    return f"{100 * sum(said) / len(said):.1f} % of {len(said)}"


def longest(functions: Iterable[tuple[int, str]]) -> str:
    length, name = max(functions)
    return f"{length} ({name})"


def over(functions: Iterable[tuple[int, str]], limit: int) -> str:
    return str(sum(length > limit for length, _ in functions))


def folders(root: Path) -> list[tuple[int, str]]:
    """Return each folder of code with the number of its entries, the largest first."""
    entries: dict[str, set[str]] = {}
    for path in files(root, ".py", ".js", ".css", ".html", ".yml", ".json"):
        parts = path.relative_to(root).parts
        for depth in range(1, len(parts)):
            entries.setdefault("/".join(parts[:depth]), set()).add(parts[depth])
    return sorted(
        ((len(names), folder) for folder, names in entries.items() if not DATA.match(folder + "/")), reverse=True
    )


def figures(root: Path) -> dict[str, str]:
    """Return the figures of one tree, by the name of the row."""
    desk, tests = files(root, ".py", under=["generator"]), files(root, ".py", under=["tests"])
    phone = files(root, ".js", under=["site_overrides"])
    rows: dict[str, str] = {}
    for name, paths, functions in (("desk", desk, python_functions), ("phone", phone, script_functions)):
        sizes, found = [lines(path) for path in paths], [one for path in paths for one in functions(path)]
        rows |= {
            f"{name}: files, lines": f"{len(paths)}, {sum(sizes)}",
            f"{name}: longest file": str(max(sizes)),
            f"{name}: longest function": longest(found),
            f"{name}: functions over 60 lines": over(found, 60),
        }
    rows["tests: files, lines"] = f"{len(tests)}, {sum(map(lines, tests))}"
    rows["desk: annotations that name Any"] = share_of_any(desk)
    manual = (root / "DEVELOPERS.md").read_text().splitlines()
    rows["DEVELOPERS.md: lines, longest"] = f"{len(manual)}, {max(map(len, manual))}"
    sizes_of = folders(root)
    rows["folders of code over 20 entries"] = str(sum(size > 20 for size, _ in sizes_of))
    rows |= {f"largest folder, {place}": f"{size} {folder}" for place, (size, folder) in enumerate(sizes_of[:5], 1)}
    return rows


def git(*args: str) -> bytes:
    """Return what git prints. If git fails, end with git's own words."""
    done = subprocess.run(["git", "-C", ROOT, *args], capture_output=True)
    if done.returncode:
        raise SystemExit(f"git {args[0]}: {done.stderr.decode(errors='replace').strip()}")
    return done.stdout


def unpacked(commit: str, into: Path) -> Path:
    """Return a folder with a commit's files."""
    with tarfile.open(fileobj=io.BytesIO(git("archive", commit))) as tar:
        tar.extractall(into, filter="data")
    return into


def table(columns: Mapping[str, Mapping[str, str]]) -> Iterator[str]:
    names = list(dict.fromkeys(name for rows in columns.values() for name in rows))
    wide = max(map(len, names))
    yield " " * wide + "".join(f"  {heading:<34}" for heading in columns)
    for name in names:
        yield f"{name:<{wide}}" + "".join(f"  {rows.get(name, '-'):<34}" for rows in columns.values())


def tested(root: Path, *args: str) -> tuple[float, str]:
    """Return how long these tests took in a tree, in seconds, and what they printed."""
    begun = time.perf_counter()
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *args]
    done = subprocess.run(
        command, cwd=root, capture_output=True, text=True, env={**os.environ, "PYTHONPATH": str(root)}
    )
    return time.perf_counter() - begun, done.stdout


DRAWS = "test_draws.py"


def draws(root: Path) -> str:
    """Return how often each kind of answer draws the job, from the test that counts it."""
    (test,) = root.glob(f"tests/**/{DRAWS}")
    _, said = tested(root, "-s", str(test))
    found = re.search(r"^draws an answer: (.+)$", said, re.MULTILINE)
    if found is None:
        raise SystemExit(f"{test} printed no count:\n{said[-2000:]}")
    counts = Counter(re.findall(r"(\d+)(?=[,}])", found.group(1)))
    return ", ".join(f"{times} x {count}" for count, times in sorted(counts.items()))


def pure(root: Path) -> str:
    """Return how many tests of the phone's pure modules there are, and how long they take."""
    took, said = tested(root, "tests/phone")
    passed = re.search(r"(\d+) passed", said)
    return f"{passed.group(1) if passed else 0} in {took:.1f} s"


def before_one_draw(into: Path) -> Path:
    """Unpack the last version that drew more than once, with the first form of the test that counts."""
    root, asked = unpacked(DRAWN_TWICE, into), f"{DRAWN_TWICE.removesuffix('^')}:tests/browser/{DRAWS}"
    told = (
        git("show", asked)
        .decode()
        .replace("    assert found ==", "    print(f'\\ndraws an answer: {found}')\n    assert found ==")
    )
    (root / "tests" / "browser" / DRAWS).write_text(told)
    return root


def main() -> None:
    parser = argparse.ArgumentParser(description="Print how large the house is, now and before.")
    parser.add_argument("--before", default=BEFORE, metavar="COMMIT", help=f"what to compare with; {BEFORE} without it")
    parser.add_argument("--run", action="store_true", help="also run what counts the draws, and the pure tests")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as held:
        then, now = figures(unpacked(asked.before, Path(held) / "before")), figures(ROOT)
        if asked.run:
            row = "phone: draws an answer, kinds of answer"
            then[row], now[row] = draws(before_one_draw(Path(held) / "draws")), draws(ROOT)
            now["phone: pure tests, without a browser"] = pure(ROOT)
    print("\n".join(table({asked.before: then, "now": now})))


if __name__ == "__main__":
    main()
