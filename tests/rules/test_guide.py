"""What the guide quotes from a screen (in “curly quotes”) is what the screen says. The rule catches a wrong quote."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from pathlib import Path

import pytest

from tests.support.phone_words import HOLE, texts

ROOT = Path(__file__).parents[2]
GUIDE = sorted((ROOT / "docs" / "guide").glob("*.md"))
WORDS = sorted((ROOT / "site_overrides" / "phone" / "words").glob("*.js"))


@cache
def said() -> tuple[str, ...]:
    """Return every text of the screen, whole and one sentence at a time."""
    whole = [text for path in WORDS for text in texts(path.read_text())]
    return tuple({part for text in whole for part in (text, *re.split(r"(?<=[.?!:]) ", text))})


def quotes(text: str) -> list[str]:
    return [" ".join(quote.split()) for quote in re.findall(r"“([^”]+)”", text)]


def is_said(quote: str, all_said: Iterable[str]) -> bool:
    """True if it is a text or a sentence of the screen, with or without its full stop, or one up to its colon."""
    return any(_pattern(text).fullmatch(quote.rstrip(".:")) for text in all_said)


@cache
def _pattern(text: str) -> re.Pattern[str]:
    # A text of holes alone would match any quote.
    if not re.search(r"[^\W\d_]{2}", text.replace(HOLE, "")):
        return re.compile(r"(?!)")
    return re.compile(".*".join(re.escape(part) for part in text.rstrip(" .:").split(HOLE)))


def marked(text: str) -> list[str]:
    """Return what is in bold or italics."""
    return [
        " ".join(word.split()) for word in re.findall(r"(?<![*\w])\*{1,2}(?=\S)([^*]+?)(?<=\S)\*{1,2}(?![*\w])", text)
    ]


@pytest.mark.parametrize("page", GUIDE, ids=lambda path: path.stem)
def test_a_quote_of_the_screen_is_what_the_screen_says(page: Path) -> None:
    assert [quote for quote in quotes(page.read_text()) if not is_said(quote, said())] == []


@pytest.mark.parametrize("page", GUIDE, ids=lambda path: path.stem)
def test_what_the_screen_says_stands_in_curly_quotes(page: Path) -> None:
    """In bold or italics it would be read as a quote without being compared."""
    labels = {text.rstrip(".:") for text in said() if " " in text and HOLE not in text}
    assert [word for word in marked(page.read_text()) if word.rstrip(".:") in labels] == []


def test_the_pages_about_the_phone_quote_it() -> None:
    """Otherwise the comparison would compare nothing."""
    counts = {page.stem: len(quotes(page.read_text())) for page in GUIDE}
    assert counts["doing-a-job"] > 15 and counts["this-phone"] > 12


def test_the_rule_bites() -> None:
    screen = [
        f"Go on: step {HOLE}",
        "Ready offline",
        f"{HOLE}: {HOLE}",
        "Not yet",
        "Take care. Look again.",
        "Look again.",
    ]
    for quote in ("Go on: step 7", "Ready offline", "Look again", "Take care. Look again."):
        assert is_said(quote, screen), quote
    for quote in ("Go", "Ready", "Offline: ready", "look again", "Not yet ready", "step 7"):
        assert not is_said(quote, screen), quote
    assert quotes("Tap “Not\nyet”, then “Go”.") == ["Not yet", "Go"]
    assert marked("Wait for **Ready offline** and *Not yet*, 2 * 3 * 4.") == ["Ready offline", "Not yet"]
