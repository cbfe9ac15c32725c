"""A small shop in a folder of its own, and what stands in a folder."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from generator.site import disk, places
from tests.support.harness import SHOP

BY_HAND = {"CNAME": "shop.example\n", ".git/HEAD": "ref\n", "photos/bay 2.txt": "as found\n"}


def shot(folder: Path) -> dict[str, str]:
    """Everything below a folder: the hash of a file, where a link leads, "folder" for one that is empty."""
    found = {}
    for here, folders, files in os.walk(folder):
        for name in [*folders, *files]:
            path = Path(here, name)
            told = path.relative_to(folder).as_posix()
            if path.is_symlink():
                found[told] = f"-> {path.readlink()}"
            elif path.is_file():
                found[told] = hashlib.sha256(path.read_bytes()).hexdigest()
            elif not path.is_dir() or not any(path.iterdir()):
                found[told] = "folder" if path.is_dir() else "special"
    return found


# SHOP's procedures are only parts of a job.
WHOLE_JOB = """\
procedure: sweep
title: Sweep the bay
revision: 1
stands_alone: yes
stages:
  - stage: Sweep
    steps:
      - {id: swept, do: Sweep the floor., check: tick}
      - {id: end, do: Put the broom back., check: tick, completion: yes}
"""


def project(folder: Path) -> Path:
    # Its job is for a procedure that is only a part of one, which is a fault.
    texts = {path: text.encode() for path, text in SHOP.items() if "/jobs/" not in path}
    disk.write_files({**texts, "procedures/sweep.yml": WHOLE_JOB.encode()}, folder)
    (folder / "docs").mkdir()
    (folder / "docs/index.md").write_text("# The shop\n\nHow we work.\n")
    settings = "site_name: Quay\ntheme: {name: mkdocs}\nplugins: [handturn: {shop: shop}]\n"
    (folder / "mkdocs.yml").write_text(settings)
    return folder


def write(site: Path, files: dict[str, str] = BY_HAND) -> None:
    disk.write_files({path: text.encode() for path, text in files.items()}, site)


def spoil(folder: Path) -> None:
    """A source with a fault, so that the next command builds nothing."""
    shop = folder / "shop/shop.yml"
    shop.write_text(shop.read_text().replace("role: lead", "role: chief"))


def change(folder: Path) -> None:
    """Another site than the last one, page by page: a build of it is told from the old one."""
    shop = folder / "shop/shop.yml"
    shop.write_text(shop.read_text().replace("title: Quay workshop", "title: Quay workshop and yard"))


def leftovers(folder: Path) -> list[Path]:
    return [*folder.glob(f"{places.SCRATCH}*")]
