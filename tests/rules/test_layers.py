"""Imports go one way: data flows down this list, and a module imports only from the lines above its own."""

import ast
import re
import subprocess
from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path, PurePosixPath

import pytest

ROOT = Path(__file__).parents[2]
ORDER = [
    "table_names",
    "place",
    "canonical",
    "worksheet",
    "sheet_types",
    "entry",
    "tables",
    "faults",
    "quantities",
    "model",
    "richtext",
    "site.policy",
    "inputs.read",
    "inputs.door",
    "inputs.pictures",
    "check",
    "compile",
    "render",
    "site.guide_pages",
    "site.bundle",
    "site.manifest",
    "site.build",
    "site.earlier",
    "journal",
    "journal.fold",
    "journal.record",
    "terminal.plain",
    "history.exports",
    "history",
    "terminal.trial",
    "terminal.report",
    "terminal.vehicle",
    "terminal.bolt_report",
    "site.disk",
    "site.places",
    "site.swap",
    "site.demo_server",
    "site.making",
    "plugin",
    "cli",
]
# Stages never import each other; they meet in build.py. compile may see check's nouns (a library, a checked source).
STAGES = {"inputs.read", "compile", "render", "site.bundle"}
ONLY_HERE = {
    "mkdocs": {"plugin"},
    "click": {"cli"},
    "jinja2": {"render"},
    "yaml": {"inputs.read"},
    "markdown_it": {"richtext"},
}
ONLY_HERE |= {"imagesize": {"inputs.pictures"}, "rfc8785": {"canonical"}}


def layer(dotted: str) -> str | None:
    """Return the line of the list for a module below `generator`: its own, or that of its package."""
    parts = dotted.split(".")
    names = (".".join(parts[:depth]) for depth in range(len(parts), 0, -1))
    return next((name for name in names if name in ORDER), None)


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(ROOT / "generator").with_suffix("").parts).removesuffix(".__init__")


def imports(path: Path) -> set[str]:
    """Return every module that a file imports. A name that is imported from one is added after a dot."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def own(names: set[str]) -> set[str]:
    """Return the layers of those that are ours."""
    below = (name.removeprefix("generator.") for name in names if name.startswith("generator."))
    return {found for name in below if (found := layer(name))}


PACKAGES = {"site", "inputs", "terminal", "quantities.fasteners", "quantities.formulas", "journal.shapes"}
"""Packages whose own file holds nothing but what they are."""
FILES = sorted(path for path in (ROOT / "generator").rglob("*.py") if module_of(path) not in {*PACKAGES, "__init__"})


def complaints(module: str, names: set[str]) -> list[str]:
    """Return what is wrong with these imports for this module."""
    wrong = []
    for other in own(names) - {module}:
        if ORDER.index(other) > ORDER.index(module):
            wrong.append(f"{module} imports {other}, which stands below it")
        if module in STAGES and other in STAGES:
            wrong.append(f"stage {module} imports stage {other}")
    for library, allowed in ONLY_HERE.items():
        if module not in allowed and any(name.split(".")[0] == library for name in names):
            wrong.append(f"{module} imports {library}")
    return wrong


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_point_up_the_list(path):
    module = layer(module_of(path))
    assert module, f"{path.relative_to(ROOT)} has no place in the order; give it one"
    assert complaints(module, imports(path)) == []


def test_a_package_that_is_on_no_line_holds_nothing_itself():
    for name in PACKAGES:
        tree = ast.parse((ROOT / "generator" / name.replace(".", "/") / "__init__.py").read_text())
        assert [type(node) for node in tree.body] == [ast.Expr], name


CODE = ("generator", "site_overrides", "tests", "tools")
MOST = 22
"""A folder with more entries than a person takes in at a glance is to be divided."""
CASES = re.compile(r"tests/(faults/\w+|golden/.*|earlier_site.*|told.*|browser/pages)")
"""Folders of data, a file a case."""


def overfull(paths: Iterable[str]) -> dict[str, int]:
    """Return the folders of these files that have more than `MOST` entries."""
    entries: dict[str, set[str]] = defaultdict(set)
    for path in map(PurePosixPath, paths):
        for folder in path.parents[:-1]:
            entries[str(folder)].add(path.relative_to(folder).parts[0])
    return {one: len(names) for one, names in entries.items() if len(names) > MOST and not CASES.fullmatch(one)}


def test_no_folder_of_code_is_too_full_to_read():
    listed = subprocess.run(["git", "ls-files", *CODE], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    paths = listed.splitlines()
    assert {path.split("/")[0] for path in paths} == set(CODE)
    assert overfull(paths) == {}


def test_a_folder_with_one_entry_too_many_is_seen():
    assert overfull(f"generator/a/{number}.py" for number in range(22)) == {}
    assert overfull(f"generator/a/{number}.py" for number in range(23)) == {"generator/a": 23}
    assert overfull(f"generator/a/{number}/b.py" for number in range(23)) == {"generator/a": 23}
    assert overfull(f"tests/faults/job/{number}.yml" for number in range(23)) == {}


def test_a_planted_sideways_import_is_seen():
    assert complaints("render", {"generator.compile.compose"}) == ["stage render imports stage compile"]
    assert complaints("check", {"generator.site.build.build"}) == ["check imports site.build, which stands below it"]
    assert complaints("compile", {"mkdocs.plugins"}) == ["compile imports mkdocs"]


def test_the_mkdocs_adapter_stays_thin():
    assert len((ROOT / "generator/plugin.py").read_text().splitlines()) <= 80
