"""The phone's modules as text: which way imports go, what they never use, and that every word is said in one place."""

from __future__ import annotations

import re
from pathlib import Path

PHONE = Path(__file__).parent.parent / "site_overrides" / "phone"
IMPORT = re.compile(r"(?:from|import\()\s*'([^']+)'")
PURE = (
    {"clock.js", "formula.js", "journal.js", "results.js", "sound.js", "torque.js", "vin.js", "words.js"}
    | {f"journal/{name}.js" for name in ("entries", "figures")}
    | {"unkept.js", "promise.js", "words_promise.js", "words_news.js", "words_site.js"}
)
"""What an element of the screen may know beside the other elements."""


def modules() -> dict[str, str]:
    return {path.relative_to(PHONE).as_posix(): path.read_text() for path in sorted(PHONE.rglob("*.js"))}


def imports(name: str, text: str) -> set[str]:
    """Modules by their path below phone/."""
    here = (PHONE / name).parent
    found = ((here / target).resolve() for target in IMPORT.findall(text) if target.startswith("."))
    return {path.relative_to(PHONE).as_posix() for path in found if path.is_relative_to(PHONE)}


def test_nothing_imports_start() -> None:
    assert [name for name, text in modules().items() if "start.js" in imports(name, text)] == []


def test_every_import_leads_to_a_module() -> None:
    made = modules()
    missing = {(name, target) for name, text in made.items() for target in imports(name, text) if target not in made}
    assert missing == set()


def test_what_is_pure_imports_only_what_is_pure() -> None:
    """The journal and the clock are the same table as on the desk: no screen, no store, no browser."""
    folders = ("journal/", "formula/")
    pure = PURE - {"words.js", "words_news.js"} | {"digest.js"}
    pure |= {name for name in modules() if name.startswith(folders)}
    assert {name: imports(name, modules()[name]) - pure for name in pure if imports(name, modules()[name]) - pure} == {}


def test_only_the_composers_know_the_screen() -> None:
    """start.js, the page of a job and the calculators put screen, journal and keep together; nothing else does."""
    knows = {name for name, text in modules().items() if any(t.startswith("screen/") for t in imports(name, text))}
    composers = {"start.js", "job_page.js", "calculators.js"}
    assert {name for name in knows if not name.startswith("screen/")} - composers == set()


def test_the_screen_knows_the_words_and_what_is_pure_and_never_the_keep() -> None:
    for name, text in modules().items():
        if name.startswith("screen/"):
            beyond = {target for target in imports(name, text) if not target.startswith("screen/")}
            assert beyond <= PURE, name


def test_no_module_turns_text_into_markup_or_code() -> None:
    dangerous = re.compile(
        r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function|srcdoc|\.style\b"
    )
    served = {**modules(), "sw.js": (PHONE.parent / "sw.js").read_text()}
    assert {name: dangerous.findall(text) for name, text in served.items() if dangerous.search(text)} == {}


def test_the_screen_says_no_word_of_its_own() -> None:
    """A sentence in an element's file: a capital, then at least one more word, in quotes that are no class or name."""
    sentence = re.compile(r"'[A-Z][a-z’]+(?: [a-z’]+)+[.…]?'")
    own = {name: sentence.findall(text) for name, text in modules().items() if name.startswith("screen/")}
    assert {name: found for name, found in own.items() if found} == {}


def test_every_word_is_used_and_every_used_word_is_there() -> None:
    made = modules()
    words = made.pop("words.js")
    listed = set(re.findall(r"^  (\w+):", words[words.index("export const W") :], re.MULTILINE))
    used = {word for text in [*made.values(), words] for word in re.findall(r"\bW\.(\w+)", text)}
    assert used - listed == set() and listed - used == set()


def test_no_word_of_the_inside_reaches_the_screen() -> None:
    words = re.sub(r"/\*.*?\*/|^\s*//.*$", "", modules()["words.js"], flags=re.DOTALL | re.MULTILINE)
    said = re.findall(r"'((?:[^'\\\n]|\\.)*)'|`([^`]*)`", words)
    text = " ".join(one or other for one, other in said if " " in (one or other))
    for word in ("journal", "fold", "undo", "turnover", "disputed", "lamport", "digest"):
        assert not re.search(rf"\b{word}\b", text, re.IGNORECASE), word
