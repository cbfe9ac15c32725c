"""The phone's tests press with a finger, because a mouse does not show what a lifted finger does."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
WHERE = ("browser", "golden", "proofs")
BY_MOUSE = {"click", "dblclick", "tap", "check", "uncheck", "set_checked", "hover", "drag_to", "mouse", "touchscreen"}
"""Playwright's names for a press that is not made by a finger, or by a finger for no time at all."""
BY_SCRIPT = re.compile(r"\.click\(|new (?:Mouse|Pointer|Touch)Event\(")

EXCEPTIONS = {
    "proofs/scripts/xss_harness.py": "a script of the page opens hundreds of screens; nothing of presses",
    "proofs/import_harness.py": "one script of the page opens hundreds of jobs; nothing of presses",
    "browser/site/test_policies.py": "an element that a policy must keep from running, not a control",
    "browser/screens/test_whole_job.py": "WebKit, which can be driven by script alone",
    "proofs/touch_harness.py": "it tries every kind of pointer there is",
    "browser/screens/test_press_guard.py": "a pointer that goes down and is never heard of again",
    "golden/written.py": "the walker of a job, which is no browser",
}
"""Files with presses of another kind, and why. One that has none any more is to be taken from here."""


def presses(text: str) -> list[int]:
    """Return the lines on which something is pressed other than by touch."""
    found = []
    for node in ast.walk(ast.parse(text)):
        by_mouse = isinstance(node, ast.Attribute) and node.attr in BY_MOUSE
        by_script = isinstance(node, ast.Constant) and isinstance(node.value, str) and BY_SCRIPT.search(node.value)
        if by_mouse or by_script:
            found.append(node.lineno)
    return sorted(set(found))


def files() -> dict[str, str]:
    paths = (path for folder in WHERE for path in (TESTS / folder).rglob("*.py"))
    found = {path.relative_to(TESTS).as_posix(): path.read_text() for path in paths}
    assert len(found) > 40
    return found


def test_every_press_of_a_phone_s_test_is_by_touch() -> None:
    assert {name: lines for name, text in files().items() if (lines := presses(text)) and name not in EXCEPTIONS} == {}


def test_every_exception_is_still_needed() -> None:
    assert [name for name in EXCEPTIONS if not presses(files().get(name, ""))] == []


@pytest.mark.parametrize(
    "planted",
    [
        "page.locator('x').click()",
        "drive.answered('a', control.click)",
        "page.mouse.down()",
        "page.touchscreen.tap(1, 2)",
        "box.check()",
        "box.set_checked(True)",
        "control.hover()",
        "control.evaluate('one => one.click()')",
        "page.evaluate('() => dispatchEvent(new PointerEvent(1))')",
    ],
)
def test_the_rule_bites(planted: str) -> None:
    assert presses(planted) == [1]
