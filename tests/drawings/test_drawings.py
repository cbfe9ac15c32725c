"""The drawings are what their code makes, readable on a phone in either scheme, and each asks one thing."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import NamedTuple
from xml.etree import ElementTree as ET

import pytest

from generator.inputs.pictures import check_pictures
from generator.model import CAUTION_TEXT_LIMIT, TITLE_LIMIT, Stage
from tests.drawings.letters import width_of
from tests.support import demo
from tools.drawings import __main__ as command
from tools.drawings.drawing import Drawing, drawing
from tools.drawings.every import DRAWINGS
from tools.drawings.paint import AREAS, BELT, DARK, INK, LETTERS, METAL, PAINT, PAPER, PART, STROKES, WIDTH, style
from tools.drawings.shapes import group, tilted
from tools.drawings.shapes import text as letters

SVG = "{http://www.w3.org/2000/svg}"
SMALLEST_TEXT = 13.0
THINNEST = 1.5
EACH = pytest.mark.parametrize("one", DRAWINGS.values(), ids=DRAWINGS)


class Box(NamedTuple):
    """Where a line of text stands at most."""

    words: str
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom


@cache
def parsed(one: Drawing, with_keys: bool = True) -> ET.Element:
    return ET.fromstring(one.svg(with_keys))


def placed(node: ET.Element, dx: float = 0, dy: float = 0, turned: bool = False) -> Iterator[tuple]:
    """Yield every element with its shift and whether it is turned. Raises ValueError for any other transform."""
    transform = node.get("transform", "")
    moved = re.fullmatch(r"translate\(([-\d.]+) ([-\d.]+)\)", transform)
    if moved:
        dx, dy = dx + float(moved[1]), dy + float(moved[2])
    elif transform.startswith("rotate("):
        turned = True
    elif transform:
        raise ValueError(transform)
    yield node, dx, dy, turned
    for child in node:
        yield from placed(child, dx, dy, turned)


def boxes(root: ET.Element) -> list[Box]:
    found = []
    for node, dx, dy, turned in placed(root):
        if not node.tag.endswith("text"):
            continue
        assert not turned, f"{node.text!r} is turned: nobody reads it"
        size, words = float(node.get("font-size", "0")), node.text or ""
        wide = width_of(words, size, node.get("font-weight") == "bold")
        x, y = float(node.get("x", "0")) + dx, float(node.get("y", "0")) + dy
        left = x - wide * {"start": 0, "middle": 0.5, "end": 1}[node.get("text-anchor", "start")]
        # From the top of a capital to the lowest part of a letter, in parts of the size.
        found.append(Box(words, left, y - 0.76 * size, left + wide, y + 0.22 * size))
    return found


def crowded(root: ET.Element, height: float) -> list[str]:
    """Return what is wrong with the places of the text."""
    found = boxes(root)
    outside = [
        f"{box.words!r} runs out of the drawing"
        for box in found
        if box.left < 2 or box.top < 2 or box.right > WIDTH - 2 or box.bottom > height - 2
    ]
    pairs = itertools.combinations(found, 2)
    return outside + [f"{one.words!r} lies on {other.words!r}" for one, other in pairs if one.meets(other)]


def contrast(one: str, two: str) -> float:
    """Return the contrast of two colours as WCAG 2.2 defines it, from 1 to 21."""
    light, dark = sorted((_luminance(one), _luminance(two)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


# --- Files ------------------------------------------------------------------------------------------------------------


def test_the_library_has_its_drawings() -> None:
    assert len(DRAWINGS) >= 25
    assert {"marks-after-two-turns", "tensioner-in-the-press"} <= set(DRAWINGS)


@EACH
def test_the_file_is_byte_for_byte_what_the_code_makes(one: Drawing) -> None:
    assert (command.PICTURES / f"{one.name}.svg").read_bytes() == one.svg() == one.svg()


def test_no_picture_is_there_that_no_code_makes() -> None:
    files = {path.relative_to(command.PICTURES).as_posix() for path in command.PICTURES.rglob("*") if path.is_file()}
    made = {f"{name}.svg" for name in DRAWINGS}
    assert sorted(files - made) == [], "no drawing of tools/drawings makes these"
    assert sorted(made - files) == [], "write them with python -m tools.drawings"


def test_every_drawing_passes_the_check_of_pictures() -> None:
    assert check_pictures({f"{one.name}.svg": one.svg() for one in DRAWINGS.values()}) == []


# --- Readable at the width of a phone ---------------------------------------------------------------------------------


@EACH
def test_letters_and_lines_are_large_enough(one: Drawing) -> None:
    root = parsed(one)
    assert root.get("viewBox") == f"0 0 {WIDTH} {one.height}"
    sizes = {float(node.get("font-size", "0")) for node, *_ in placed(root) if node.tag.endswith("text")}
    widths = {float(node.get("stroke-width", "0")) for node, *_ in placed(root) if node.get("stroke", "none") != "none"}
    assert sizes and min(sizes) >= SMALLEST_TEXT
    assert widths and min(widths) >= THINNEST


@EACH
def test_no_text_runs_out_or_lies_on_another(one: Drawing) -> None:
    assert crowded(parsed(one), one.height) == []


def test_text_that_runs_out_or_lies_on_another_is_seen() -> None:
    assert crowded(group(letters(300, 50, "marks")), 100) == ["'marks' runs out of the drawing"]
    assert crowded(group(letters(20, 50, "marks"), group(letters(20, 30, "belt"), move=(5, 12))), 100) == [
        "'marks' lies on 'belt'"
    ]
    assert crowded(group(letters(20, 50, "marks"), letters(20, 67, "belt")), 100) == []
    with pytest.raises(AssertionError, match="turned"):
        boxes(tilted(90, (20, 20), letters(20, 20, "marks")))


# --- Colours ----------------------------------------------------------------------------------------------------------


def wrong_colours(root: ET.Element) -> list[str]:
    """Return every colour that is not where it may be."""
    found, inks = [], {"none", *STROKES}
    for parent in root.iter():
        before = None
        for node in parent:
            fill, stroke = node.get("fill", "none"), node.get("stroke", "none")
            if node.tag.endswith("text"):
                found += [f"text in {fill}"] * (fill not in {*LETTERS, PAPER})
            else:
                found += [f"fill {fill}"] * (fill not in {*inks, *AREAS})
                found += [f"{fill} without an edge"] * (fill in AREAS and fill != PAPER and stroke not in STROKES)
                found += [f"line in {stroke}"] * (stroke not in {*inks, PAPER} and not _has_edge(node, before))
            before = node
    return found


def _has_edge(node: ET.Element, before: ET.Element | None) -> bool:
    """Tell whether the same path lies below, wider and in ink."""
    if before is None or before.get("d") != node.get("d") or before.get("stroke") != INK:
        return False
    return float(before.get("stroke-width", "0")) >= float(node.get("stroke-width", "0")) + 2 * THINNEST


@EACH
def test_only_colours_of_the_list_are_used(one: Drawing) -> None:
    assert wrong_colours(parsed(one)) == []


def test_a_pale_line_and_an_area_without_an_edge_are_seen() -> None:
    pale = ET.fromstring(f'<g><path d="M0 0" stroke="{METAL}"/><rect fill="{PART}"/><text fill="{METAL}"/></g>')
    assert wrong_colours(pale) == [f"line in {METAL}", f"{PART} without an edge", f"text in {METAL}"]


@pytest.mark.parametrize("scheme", [{colour: colour for colour in DARK}, DARK], ids=["light", "dark"])
def test_contrast_is_enough_in_either_scheme(scheme: dict[str, str]) -> None:
    def at_least(least: float, fronts: tuple[str, ...], backs: tuple[str, ...]) -> list[str]:
        pairs = ((front, back, contrast(scheme[front], scheme[back])) for front in fronts for back in backs)
        return [f"{front} on {back}: {found:.2f}" for front, back, found in pairs if found < least]

    assert at_least(4.5, LETTERS, (PAPER, PART)) == []
    assert at_least(4.5, (INK,), AREAS) == []
    assert at_least(3.0, STROKES, (PAPER, PART)) == []
    assert at_least(3.0, (PAINT,), (METAL,)) == []
    assert at_least(4.5, (PAPER,), (BELT,)) == []


def test_the_contrast_is_that_of_the_standard() -> None:
    assert contrast("#000000", "#ffffff") == 21
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@EACH
def test_every_colour_has_its_partner_on_a_dark_page(one: Drawing) -> None:
    root = parsed(one)
    assert root.findtext(f"{SVG}style") == style()
    used = {(what, node.get(what)) for node in root.iter() for what in ("fill", "stroke")} - {("fill", None)}
    missing = [
        (what, colour)
        for what, colour in used
        if colour not in (None, "none") and f'[{what}="{colour}"]{{{what}:light-dark({colour},' not in style()
    ]
    assert missing == []


# --- What a drawing says ----------------------------------------------------------------------------------------------


@EACH
def test_a_drawing_declares_what_it_says(one: Drawing) -> None:
    assert 20 <= len(one.alt) <= CAUTION_TEXT_LIMIT and ";" not in one.alt
    assert 3 <= len(one.title) <= TITLE_LIMIT
    assert one.question.endswith("?") and one.answer.endswith(".") and one.keys
    assert parsed(one).findtext(f"{SVG}title") == one.title


@EACH
def test_the_key_is_in_the_drawing_once_and_goes(one: Drawing) -> None:
    ids = [node.get("id") for node in parsed(one).iter() if node.get("id")]
    assert len(ids) == len(set(ids)) and set(one.keys) <= set(ids)
    left, all_ = parsed(one, with_keys=False), parsed(one)
    assert not set(one.keys) & {node.get("id") for node in left.iter()}
    gone = len(list(all_.iter())) - len(list(left.iter()))
    assert gone > len(one.keys), "a key that holds nothing answers nothing"
    assert len(boxes(left)) > 0, "without its key nothing is left to ask about"


@pytest.mark.parametrize("what", ["title", "alt", "question", "answer"])
def test_no_two_drawings_say_the_same(what: str) -> None:
    said = [getattr(one, what) for one in DRAWINGS.values()]
    assert sorted({words for words in said if said.count(words) > 1}) == []


def test_a_name_is_given_once() -> None:
    name = next(iter(DRAWINGS))
    with pytest.raises(ValueError, match=name):
        drawing(name, height=1, title="", alt="", question="", answer="", keys=())(lambda: [])


# --- The command ------------------------------------------------------------------------------------------------------


def test_the_command_prints_every_question_with_its_answer(capsys: pytest.CaptureFixture[str]) -> None:
    command.main(["--questions"])
    printed = capsys.readouterr().out
    for one in DRAWINGS.values():
        for words in (f"{one.name}.svg", one.alt, one.question, one.answer):
            assert words in printed


def test_the_command_writes_each_drawing_without_its_key(tmp_path: Path) -> None:
    command.main(["--without-key", str(tmp_path / "to")])
    for one in DRAWINGS.values():
        written = (tmp_path / "to" / f"{one.name}.svg").read_bytes()
        assert written == one.svg(with_keys=False) != one.svg()


def test_every_drawing_stands_at_a_step_or_a_word_with_its_own_alternative() -> None:
    words = [word.means for word in demo.library().trade.drawings.values()]
    steps = [
        step.picture
        for source in demo.library().procedures.values()
        for part in source.noun.stages
        if isinstance(part, Stage)
        for step in part.steps
        if step.picture
    ]
    made = {f"{one.name}.svg": one.alt for one in DRAWINGS.values()}
    assert {picture.file: picture.alt for picture in [*steps, *words]} == made
    assert len({picture.alt for picture in [*steps, *words]}) == len(DRAWINGS)
    assert len({picture.file for picture in steps}) > 25 and len(words) > 30


def test_the_drawing_of_a_word_names_it_and_one_that_is_only_a_words_is_small() -> None:
    for word, drawn in demo.library().trade.drawings.items():
        one = DRAWINGS[drawn.means.file.removesuffix(".svg")]
        said = " ".join(box.words.casefold() for box in boxes(parsed(one)))
        assert word.casefold().removesuffix("s") in said, f"{one.name} does not name {word}"
        assert one.height <= 150 or not one.name.startswith("word-")
