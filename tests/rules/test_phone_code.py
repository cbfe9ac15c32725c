"""The phone's modules as text: which way imports go, what they never use, and that every word is in one place."""

from __future__ import annotations

import re
from pathlib import Path

PHONE = Path(__file__).parents[2] / "site_overrides" / "phone"
IMPORT = re.compile(r"(?:from|import\()\s*'([^']+)'")
PURE_FOLDERS = ("quantities/", "words/")
_JOURNAL = ("duty", "entries", "figures", "journal", "limits", "people", "second", "tables", "trade")
PURE = {f"journal/{name}.js" for name in _JOURNAL}
PURE |= {"base/canonical.js", "base/own.js", "job/clock.js", "job/sound.js", "job/unkept.js", "keep/promise.js"}
"""What an element of the screen may know beside the other elements."""


def modules() -> dict[str, str]:
    return {path.relative_to(PHONE).as_posix(): path.read_text() for path in sorted(PHONE.rglob("*.js"))}


def imports(name: str, text: str) -> set[str]:
    """Return the modules that a script imports, by their path below phone/."""
    here = (PHONE / name).parent
    found = ((here / target).resolve() for target in IMPORT.findall(text) if target.startswith("."))
    return {path.relative_to(PHONE).as_posix() for path in found if path.is_relative_to(PHONE)}


def test_nothing_imports_start() -> None:
    assert [name for name, text in modules().items() if "start.js" in imports(name, text)] == []


def test_every_import_leads_to_a_module() -> None:
    made = modules()
    missing = {(name, target) for name, text in made.items() for target in imports(name, text) if target not in made}
    assert missing == set()


HEADER = re.compile(r"\A(?://.*\n)+")


def says_pure(text: str) -> bool:
    """Whether the comment at the head of a module calls it pure."""
    head = HEADER.match(text)
    return head is not None and re.search(r"\bPure\b", head[0]) is not None


def impure(made: dict[str, str]) -> dict[str, set[str]]:
    """What pure modules import that is not pure, by module."""
    pure = PURE | {"base/canonical.js", "base/digest.js", "job/verbs.js"}
    pure |= {name for name, text in made.items() if name.startswith(("journal/", *PURE_FOLDERS)) or says_pure(text)}
    return {name: beyond for name in pure if (beyond := imports(name, made[name]) - pure)}


def test_what_is_pure_imports_only_what_is_pure() -> None:
    """What decides, and what calls itself pure at its head, knows no screen, no store, no browser."""
    made = modules()
    assert {"keep/records.js", "keep/unite.js", "screen/job/names.js"} <= {n for n, t in made.items() if says_pure(t)}
    assert impure(made) == {}
    draws = "import { make } from '../common/nodes.js';\n"
    for name in ("screen/job/names.js", "screen/common/step_text.js"):
        planted = {**made, name: f"{made[name]}{draws}"}
        assert impure(planted) == {name: {"screen/common/nodes.js"}}


def test_only_the_composers_know_the_screen() -> None:
    """start.js and pages/ put screen, journal and keep together. Nothing else does."""
    knows = {name for name, text in modules().items() if any(t.startswith("screen/") for t in imports(name, text))}
    assert {name for name in knows if not name.startswith(("screen/", "pages/"))} == {"start.js"}


def test_the_screen_knows_the_words_and_what_is_pure_and_never_the_keep() -> None:
    for name, text in modules().items():
        if name.startswith("screen/"):
            beyond = {target for target in imports(name, text) if not target.startswith(("screen/", *PURE_FOLDERS))}
            assert beyond <= PURE, name


# What turns Jinja's escaping off, or turns a text in a template into code. tools/js has the rules for scripts.
UNESCAPED = re.compile(
    r"\|\s*safe\b|Markup\b|autoescape|\{%-?\s*raw|\|\s*tojson|<style|<script(?![^>]*\bsrc=)|\son[a-z]+=|javascript:|srcdoc"
)
# An address that an element links to may only come from one of these: an address of the site's own, or a file's.
ADDRESS = re.compile(
    r"""(?:\.(?:href|src)\s*=(?!=)\s*|\b(?:href|src):\s*|set\(\w+,\s*'(?:href|src)',\s*)([^,;}\n]+)""",
)
KNOWN_ADDRESSES = {
    "href",  # of jobs_here.js, made by addresses.js from URLs of the site; of carry.js, a blob's
    "home",
    "`${folder",  # of sheet_text.js: a picture below the worksheet's folder of this site
    "jobAt(job",  # of jobs_here.js, likewise
    "guide",  # of promise.js: the page of the guide about this phone
    "addressOf(name",  # of pins.js: the folder of a worksheet of this site
}


def test_no_template_turns_escaping_off_or_holds_anything_inline() -> None:
    templates = {path.name: path.read_text() for path in (PHONE.parent / "templates").glob("*.html")}
    assert len(templates) > 5
    assert {name: found for name, text in templates.items() if (found := UNESCAPED.findall(text))} == {}
    for planted in (
        "{{ x|safe }}",
        "{{ x | safe }}",
        "{% autoescape false %}",
        "<script>go()</script>",
        "<b onclick=go>",
        "<a href='javascript:go()'>",
        "<iframe srcdoc=x>",
    ):
        assert UNESCAPED.search(planted), planted


def test_the_generator_escapes_in_every_environment_and_marks_nothing_as_safe() -> None:
    desk = PHONE.parent.parent / "generator"
    code = {path.relative_to(desk).as_posix(): path.read_text() for path in desk.rglob("*.py")}
    made = [text.count("Environment(") for text in code.values()]
    assert sum(made) == sum(text.count("autoescape=True") for text in code.values()) == 1
    assert [name for name, text in code.items() if re.search(r"\bMarkup\b|\|\s*safe\b|select_autoescape", text)] == []


def test_an_address_that_is_followed_is_one_of_the_sites_own() -> None:
    """It is made by `new URL(..., root)` from encoded parts, or has one of the few known names. It is never foreign."""
    for name, text in modules().items():
        for made in ADDRESS.findall(text):
            made = made.strip().rstrip(")")
            assert made in KNOWN_ADDRESSES or re.match(r"new URL\(`(\.\./)?w/\$\{encodeURIComponent\(", made), (
                name,
                made,
            )


def test_no_style_asks_for_anything_from_elsewhere() -> None:
    styles = {path.name: path.read_text() for path in PHONE.rglob("*.css")}
    assert len(styles) == 2
    elsewhere = re.compile(r"@import|url\((?!['\"]?(?:\.\./icons/|data:))|expression\(|-moz-binding")
    assert {name: found for name, text in styles.items() if (found := elsewhere.findall(text))} == {}
    assert elsewhere.search("url(//other.invalid/x.png)") and elsewhere.search("url('https://other.invalid/x')")


def test_every_word_is_used_and_every_used_word_is_there() -> None:
    made = modules()
    words = made.pop("words/words.js")
    listed = set(re.findall(r"^  (\w+):", words[words.index("export const W") :], re.MULTILINE))
    used = {word for text in [*made.values(), words] for word in re.findall(r"\bW\.(\w+)", text)}
    assert used - listed == set() and listed - used == set()


def test_no_word_of_the_inside_reaches_the_screen() -> None:
    words = re.sub(r"/\*.*?\*/|^\s*//.*$", "", modules()["words/words.js"], flags=re.DOTALL | re.MULTILINE)
    said = re.findall(r"'((?:[^'\\\n]|\\.)*)'|`([^`]*)`", words)
    text = " ".join(one or other for one, other in said if " " in (one or other))
    for word in ("journal", "fold", "undo", "turnover", "disputed", "lamport", "digest"):
        assert not re.search(rf"\b{word}\b", text, re.IGNORECASE), word
