"""The developers' pages are short and narrow and name only what exists; the map and the commands miss nothing."""

from __future__ import annotations

import fnmatch
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
MAIN = "DEVELOPERS.md"
PAGES = (MAIN, "docs/format.md", "docs/decisions.md", "docs/proofs.md", "docs/recipes.md")
MAPPED = ("generator", "site_overrides/phone")
ENDS = ("py", "js", "mjs", "css", "json", "md", "txt", "yml", "sh", "toml", "lock")
FOLDERS: list[str] = [
    "",
    "tests",
    "tests/browser",
    "docs",
    "generator",
    "procedures",
    "site_overrides",
    "site_overrides/phone",
]
FOLDERS += [f"generator/{part}" for part in ("check", "compile", "journal", "quantities")]
FOLDERS += [f"site_overrides/phone/{part}" for part in ("journal", "screen")]
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
    """Lines with their numbers, without code blocks (four spaces after an empty line) and tables."""
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
    """{folder: names and patterns of its part of the map}: a line's leading words, set off by two spaces."""
    found: dict[str, list[str]] = {}
    folder = ""
    for line in text(MAIN).splitlines():
        if re.fullmatch(r"    [\w/]+/", line):
            folder = line.strip().rstrip("/")
            found[folder] = []
        elif line.startswith("      ") and folder:
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


@pytest.mark.parametrize("folder", MAPPED)
def test_every_file_is_on_the_map(folder: str) -> None:
    words = patterns()[folder]
    files = sorted(p for p in (ROOT / folder).iterdir() if p.is_dir() or p.suffix in (".py", ".js", ".css"))
    names = [p.name + "/" * p.is_dir() for p in files if p.name != "__pycache__"]
    assert len(names) > 20
    assert [name for name in names if not any(fnmatch.fnmatch(name, word) for word in words)] == []
    assert [word for word in words if not any(fnmatch.fnmatch(name, word) for name in names)] == []


def test_every_command_is_named() -> None:
    targets = re.findall(r"^([a-z]+):", text("Makefile"), re.M)
    assert len(targets) > 5
    assert [target for target in targets if f"`make {target}`" not in text(MAIN)] == []
