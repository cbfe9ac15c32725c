"""A small shop in a folder of its own, and a picture of what is in a folder."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

from generator.site import disk, places
from tests.support.harness import SHOP

BY_HAND = {"CNAME": "shop.example\n", ".git/HEAD": "ref\n", "photos/bay 2.txt": "as found\n"}


def shot(folder: Path) -> dict[str, str]:
    """Return everything below a folder: the hash of a file, the target of a link, "folder" for an empty one."""
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
    # Its job is for a procedure that is only a part of a job, which is a fault.
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
    """Add a fault to a source, so that the next command builds nothing."""
    shop = folder / "shop/shop.yml"
    shop.write_text(shop.read_text().replace("role: lead", "role: chief"))


def change(folder: Path) -> None:
    """Change the sources so that every page of the next site differs from the last one."""
    shop = folder / "shop/shop.yml"
    shop.write_text(shop.read_text().replace("title: Quay workshop", "title: Quay workshop and yard"))


def leftovers(folder: Path) -> list[Path]:
    return [*folder.glob(f"{places.SCRATCH}*")]
