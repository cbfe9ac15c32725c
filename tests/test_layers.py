"""Imports go one way: data flows down this list, and a module imports only from the lines above its own."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
ORDER = [
    "place",
    "canonical",
    "worksheet",
    "entry",
    "tables",
    "faults",
    "model",
    "richtext",
    "policy",
    "quantities",
    "read",
    "door",
    "pictures",
    "check",
    "compile",
    "render",
    "bundle",
    "manifest",
    "build",
    "journal",
    "fold",
    "record",
    "plain",
    "exports",
    "history",
    "desk",
    "report",
    "disk",
    "places",
    "swap",
    "demo_server",
    "making",
    "plugin",
    "cli",
]
# Stages never import each other; they meet in build.py. compile may see check's nouns (a library, a checked source).
STAGES = {"read", "compile", "render", "bundle"}
ONLY_HERE = {
    "mkdocs": {"plugin"},
    "click": {"cli"},
    "jinja2": {"render"},
    "yaml": {"read"},
    "markdown_it": {"richtext"},
}
ONLY_HERE |= {"imagesize": {"pictures"}, "rfc8785": {"canonical"}}


def module_of(path: Path) -> str:
    return path.relative_to(ROOT / "generator").parts[0].removesuffix(".py")


def imports(path: Path) -> set[str]:
    """Every module that a file imports, `generator.` ones by their first name below it."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


def own(names: set[str]) -> set[str]:
    return {name.split(".")[1] for name in names if name.startswith("generator.") and name.split(".")[1] in ORDER}


FILES = sorted(
    path for path in (ROOT / "generator").rglob("*.py") if path.name != "__init__.py" or path.parent.name == "compile"
)


def complaints(module: str, names: set[str]) -> list[str]:
    """What is wrong with these imports for this module."""
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
    assert module_of(path) in ORDER, f"{path.name} has no place in the order; give it one"
    assert complaints(module_of(path), imports(path)) == []


def test_a_planted_sideways_import_is_seen():
    assert complaints("render", {"generator.compile.compose"}) == ["stage render imports stage compile"]
    assert complaints("check", {"generator.build.build"}) == ["check imports build, which stands below it"]
    assert complaints("compile", {"mkdocs.plugins"}) == ["compile imports mkdocs"]


def test_the_mkdocs_adapter_stays_thin():
    assert len((ROOT / "generator/plugin.py").read_text().splitlines()) <= 80
