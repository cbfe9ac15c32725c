"""The developers' pages are short and narrow and name only what exists. Their map and commands are complete."""

from __future__ import annotations

import fnmatch
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from generator.journal.entries import SLOTS

ROOT = Path(__file__).parents[2]
MAIN = "DEVELOPERS.md"
PAGES = (MAIN, "docs/format.md", "docs/decisions.md", "docs/proofs.md", "docs/recipes.md")
MAPPED = ("generator", "site_overrides/phone")
MAPPED_PARTS = tuple(f"site_overrides/phone/{part}" for part in ("job", "keep", "screen"))
ENDS = ("py", "js", "mjs", "css", "json", "md", "txt", "yml", "sh", "toml", "lock")
FOLDERS: list[str] = [
    "",
    "tests",
    "tests/browser",
    "tests/browser/screens",
    "tests/browser/site",
    "tests/browser/store",
    "tests/journal",
    "tests/proofs",
    "tests/rules",
    "tests/sites",
    "tests/sources",
    "tests/support",
    "docs",
    "generator",
    "procedures",
    "site_overrides",
    "site_overrides/phone",
]
FOLDERS += [
    f"generator/{part}" for part in ("check", "compile", "journal", "quantities", "quantities/formulas", "site")
]
FOLDERS += [f"site_overrides/phone/{part}" for part in ("job", "journal", "keep", "screen", "words")]
MADE = {
    "sheet.json",
    "data.json",
    "packs.json",
    "handturn-site.json",
    "corruption_info.json",
    "shop.yml",
    "manifest.json",
}
"""Files that a build, a browser or a shop makes: the pages name them, the repository has none at that place."""


def text(page: str) -> str:
    return (ROOT / page).read_text()


def prose(page: str) -> Iterator[tuple[int, str]]:
    """Yield lines with their numbers, without code blocks (four spaces after an empty line) and tables."""
    code = False
    before = ""
    for number, line in enumerate(text(page).splitlines(), 1):
        code = line.startswith("    ") and (code or not before.strip())
        before = line
        if not code and not line.startswith("|"):
            yield number, line


def named_paths(page: str) -> set[str]:
    quoted = re.findall(r"`([^`\n]+)`", text(page))
    path = re.compile(rf"[\w*.-]+(/[\w*.-]+)*(\.({'|'.join(ENDS)})|/)")
    return {name for name in quoted if path.fullmatch(name)}


def exists(name: str) -> bool:
    return any(any(ROOT.glob(f"{folder}/{name}".strip("/"))) for folder in FOLDERS)


def patterns() -> dict[str, list[str]]:
    """Return {folder: names and patterns of its part of the map}: a line's first words, before two spaces."""
    found: dict[str, list[str]] = {}
    folder = ""
    for line in text(MAIN).splitlines():
        if re.fullmatch(r"    [\w/]+/", line):
            folder = line.strip().rstrip("/")
            found[folder] = []
        elif re.match(r" {6}\S", line) and folder:
            for word in line.split():
                if not re.fullmatch(r"[\w*]+(\.(py|js|css)|/)", word):
                    break
                found[folder].append(word)
    return found


def test_the_main_page_is_read_in_ten_minutes() -> None:
    assert len(text(MAIN).splitlines()) <= 150


@pytest.mark.parametrize("page", PAGES)
def test_lines_are_narrow(page: str) -> None:
    lines = list(prose(page))
    assert len(lines) > 20, "the page has hardly any text"
    assert [f"{page}:{number}" for number, line in lines if len(line) > 100] == []


@pytest.mark.parametrize("page", PAGES)
def test_every_path_exists(page: str) -> None:
    names = named_paths(page)
    assert names, "the page names no file"
    assert [name for name in sorted(names - MADE) if not exists(name)] == []


@pytest.mark.parametrize("folder", (*MAPPED, *MAPPED_PARTS))
def test_every_file_is_on_the_map(folder: str) -> None:
    words = patterns()[folder]
    files = sorted(p for p in (ROOT / folder).iterdir() if p.is_dir() or p.suffix in (".py", ".js", ".css"))
    names = [p.name + "/" * p.is_dir() for p in files if p.name != "__pycache__"]
    assert len(names) > 4
    assert [name for name in names if not any(fnmatch.fnmatch(name, word) for word in words)] == []
    assert [word for word in words if not any(fnmatch.fnmatch(name, word) for name in names)] == []


def test_every_file_of_a_mixed_package_is_on_the_map() -> None:
    files = [path for name in ("site", "inputs", "terminal") for path in (ROOT / "generator" / name).glob("[!_]*.py")]
    assert len(files) > 12
    assert [path.name for path in files if path.name not in text(MAIN)] == []


def test_every_command_is_named() -> None:
    targets = re.findall(r"^([a-z]+):", text("Makefile"), re.M)
    assert len(targets) > 5
    assert [target for target in targets if f"`make {target}`" not in text(MAIN)] == []


def table(page: str, title: str) -> list[list[str]]:
    """Return the cells of the rows of a part's table, without its head."""
    part = text(page).split(f"\n## {title}", 1)[1].split("\n## ", 1)[0]
    rows = [re.split(r"(?<!\\)\|", line)[1:-1] for line in part.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in row] for row in rows[2:]]


def test_the_kinds_of_entry_are_those_of_the_fold() -> None:
    named = {kind.strip() for row in table("docs/format.md", "Entries") for kind in row[0].split(",")}
    assert named == set(SLOTS)


def test_the_actions_of_a_page_are_those_of_its_scripts() -> None:
    """What is tapped says what it does, by `data-action`, or by `action` of a form."""
    scripts = "\n".join(path.read_text() for path in sorted((ROOT / "site_overrides/phone").rglob("*.js")))
    used = set(re.findall(r"(?:'data-action'|\baction): '([a-z-]+)'", scripts))
    rows = [row for row in table("docs/format.md", "Hooks") if "`data-action`" in row[1]]
    assert len(rows) == 1 and len(used) > 20
    assert sorted(rows[0][2].split("`")[1].split()) == sorted(used)


def test_every_hook_is_set_by_a_page() -> None:
    """Nobody can wait for a hook of the table that no page sets."""
    served = (path for path in (ROOT / "site_overrides").rglob("*.*") if path.suffix in (".js", ".html"))
    pages = "\n".join(path.read_text() for path in served) + text("generator/render.py")
    hooks = {
        hook for row in table("docs/format.md", "Hooks") for hook in re.findall(r"\bdata-([a-z-]+)", " ".join(row))
    }
    assert len(hooks) > 25
    camel = {hook: re.sub(r"-(\w)", lambda part: part[1].upper(), hook) for hook in hooks}
    assert [
        hook for hook in sorted(hooks) if f"data-{hook}" not in pages and f"dataset.{camel[hook]}" not in pages
    ] == []
