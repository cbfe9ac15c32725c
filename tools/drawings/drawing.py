"""What a drawing is: what it shows, what it is called, and a question that only it answers."""

from __future__ import annotations

import copy
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from tools.drawings.paint import PAPER, WIDTH, style
from tools.drawings.shapes import number, rect

Parts = Sequence[ET.Element]
NAMESPACE = "http://www.w3.org/2000/svg"


@dataclass(frozen=True)
class Drawing:
    """A drawing. `alt` is for a person who cannot see it; `keys` are the ids of the parts that hold the answer."""

    name: str
    title: str
    alt: str
    question: str
    answer: str
    keys: tuple[str, ...]
    height: int
    make: Callable[[], Parts]

    def svg(self, with_keys: bool = True) -> bytes:
        """Return the file. Without its keys the question cannot be answered, which is how a reader is tested."""
        root = ET.Element(
            "svg",
            {
                "xmlns": NAMESPACE,
                "viewBox": f"0 0 {WIDTH} {self.height}",
                "width": str(WIDTH),
                "height": str(self.height),
                "role": "img",
                "font-family": "Roboto, Arial, Helvetica, sans-serif",
            },
        )
        ET.SubElement(root, "title").text = self.title
        ET.SubElement(root, "style").text = style()
        root.append(rect(0, 0, WIDTH, self.height, fill=PAPER, stroke="none"))
        root.extend(copy.deepcopy(list(self.make())))
        if not with_keys:
            _drop(root, frozenset(self.keys))
        ET.indent(root, " ")
        return ET.tostring(root, encoding="unicode").encode() + b"\n"


def _drop(node: ET.Element, keys: frozenset[str]) -> None:
    for child in list(node):
        if child.get("id") in keys:
            node.remove(child)
        else:
            _drop(child, keys)


DRAWINGS: dict[str, Drawing] = {}
"""Every drawing by its name."""


def drawing(
    name: str, *, height: float, title: str, alt: str, question: str, answer: str, keys: Sequence[str]
) -> Callable[[Callable[[], Parts]], Callable[[], Parts]]:
    """Declare the function below as a drawing. Raises ValueError for a name that is taken."""

    def declare(make: Callable[[], Parts]) -> Callable[[], Parts]:
        if name in DRAWINGS:
            raise ValueError(f"two drawings are named {name}")
        DRAWINGS[name] = Drawing(name, title, alt, question, answer, tuple(keys), int(number(height)), make)
        return make

    return declare
