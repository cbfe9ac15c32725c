"""Write the drawings, or say what they ask: `python -m tools.drawings [--questions | --without-key FOLDER]`."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from tools.drawings.every import DRAWINGS

PICTURES = Path(__file__).parents[2] / "procedures" / "pictures"


def write(folder: Path, with_keys: bool = True) -> None:
    """Write every drawing into a folder, which is made where it is missing."""
    folder.mkdir(parents=True, exist_ok=True)
    for each in DRAWINGS.values():
        (folder / f"{each.name}.svg").write_bytes(each.svg(with_keys))


def questions() -> str:
    """Return every question with its answer and the parts that hold it."""
    return "\n\n".join(
        f"{each.name}.svg: {each.title}\n  alt: {each.alt}\n  question: {each.question}\n"
        f"  answer: {each.answer}\n  key: {', '.join(each.keys)}"
        for each in DRAWINGS.values()
    )


def main(arguments: Sequence[str] | None = None) -> None:
    parser = argparse.ArgumentParser(prog="python -m tools.drawings", description="Write procedures/pictures/*.svg.")
    parser.add_argument("--questions", action="store_true", help="print the question of each drawing, and its answer")
    parser.add_argument("--without-key", type=Path, metavar="FOLDER", help="write each drawing without its answer")
    asked = parser.parse_args(arguments)
    if asked.questions:
        print(questions())
    elif asked.without_key:
        write(asked.without_key, with_keys=False)
    else:
        write(PICTURES)
        print(f"{len(DRAWINGS)} drawings in {PICTURES}")


if __name__ == "__main__":
    main()
