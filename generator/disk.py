"""The disk: source files in, a finished site out. Nothing else in the core opens a file."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Mapping
from pathlib import Path

PICTURE_TYPES = {".svg", ".png", ".jpg", ".jpeg", ".webp"}
OVERRIDES = Path(__file__).parent / "site_overrides"
if not OVERRIDES.is_dir():  # a checkout; the wheel carries the folder inside the package
    OVERRIDES = Path(__file__).parent.parent / "site_overrides"


def read_sources(root: Path, folders: tuple[str, ...]) -> dict[str, bytes]:
    """Every YAML file below the folders, by its path as the author would type it from `root`."""
    return {_typed(path, root): path.read_bytes() for path in _files(root, folders) if path.suffix in (".yml", ".yaml")}


def read_pictures(root: Path, folder: str) -> dict[str, bytes]:
    """Pictures below `<folder>/pictures`, by their path inside it."""
    pictures = root / folder / "pictures"
    return {
        path.relative_to(pictures).as_posix(): path.read_bytes()
        for path in _files(root, (f"{folder}/pictures",))
        if path.suffix in PICTURE_TYPES
    }


def read_overrides(folder: Path = OVERRIDES) -> dict[str, bytes]:
    """What is served as it stands, and the templates, by posix path inside site_overrides/."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() for path in sorted(folder.rglob("*")) if path.is_file()
    }


def write_files(files: Mapping[str, bytes], folder: Path) -> None:
    for path, content in files.items():
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)


def replace_site(files: Mapping[str, bytes], site: Path) -> None:
    """Write a whole site beside the old one, then change places: a build that dies half-way leaves the old one."""
    site.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(dir=site.parent, prefix=f".{site.name}-") as scratch:
        fresh, old = Path(scratch) / "new", Path(scratch) / "old"
        fresh.mkdir()
        write_files(files, fresh)
        if site.exists():
            site.rename(old)
        fresh.rename(site)


def read_site(site: Path) -> dict[str, bytes]:
    return {path.relative_to(site).as_posix(): path.read_bytes() for path in sorted(site.rglob("*")) if path.is_file()}


def _files(root: Path, folders: tuple[str, ...]) -> Iterator[Path]:
    for folder in folders:
        yield from sorted(path for path in (root / folder).rglob("*") if path.is_file() and not path.is_symlink())


def _typed(path: Path, root: Path) -> str:
    return path.relative_to(root).as_posix() if path.is_relative_to(root) else path.as_posix()
