"""The checks of the phone's scripts work: the types report a field that does not exist, the rules report a slip."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from pathlib import Path

from tests.support.node import NODE

ROOT = Path(__file__).parents[2]
TOOLS = ROOT / ".venv" / "js" / "node_modules"
PURE = {
    "base/canonical.js",
    "base/entry.js",
    "base/own.js",
    "job/clock.js",
    "job/unkept.js",
    "job/verbs.js",
    "keep/promise.js",
}
PURE_FOLDERS = ("journal", "quantities")

# A module, what stands in it, what is planted in its place, what the checker says.
PLANTED = [
    (
        "base/entry.js",
        "a.lamport - b.lamport",
        "a.lamport - b.lamprot",
        "'lamprot' does not exist on type 'Entry'",
    ),
    (
        "journal/step.js",
        "step.check.kind === 'wait' ?",
        "step.check.sort === 'wait' ?",
        "'sort' does not exist on type 'Check'",
    ),
    ("journal/walk.js", "step.hold || step.gate", "step.hold || step.door", "'door' does not exist on type 'Step'"),
    ("journal/stops.js", "{ doubts }", "{ doubt }", "'doubt' does not exist on type 'Step'"),
    ("journal/opened/claims.js", "sheet.steps.at", "sheet.stages.steps.at", "'steps' does not exist on type"),
    ("journal/answers.js", "value.not_published === true) return", "value.unpublished === true) return", "type 'Said'"),
    ("journal/legal.js", "seen.answers.length", "seen.answer.length", "'answer' does not exist on type 'StepState'"),
    ("journal/journal.js", "view.inert.add(entry)", "view.idle.add(entry)", "'idle' does not exist on type 'View'"),
]


def pure() -> set[str]:
    phone = ROOT / "site_overrides" / "phone"
    inside = (path for name in PURE_FOLDERS for path in (phone / name).rglob("*.js"))
    return PURE | {path.relative_to(phone).as_posix() for path in inside}


def run(tool: str, *arguments: str | Path, at: Path = ROOT) -> str:
    """Return what a checker says. Raises AssertionError if it is not installed or could not run."""
    assert (TOOLS / tool).is_file(), "run `make ready`"
    ran = subprocess.run([NODE, TOOLS / tool, *arguments], capture_output=True, text=True, check=False, cwd=at)
    assert not ran.stderr, ran.stderr
    return ran.stdout


def test_a_wrong_field_is_named_in_any_pure_module_and_nothing_else_is(tmp_path: Path) -> None:
    """In a copy: one wrong field in each pure file, and some where the code itself asks for one."""
    shutil.copytree(ROOT / "tools" / "js", tmp_path / "tools" / "js")
    phone = shutil.copytree(ROOT / "site_overrides" / "phone", tmp_path / "site_overrides" / "phone")
    expected = set()
    for name, before, after, _ in PLANTED:
        text = (phone / name).read_text()
        assert before in text, (name, before)
        expected.add((name, text[: text.index(before)].count("\n") + 1))
        (phone / name).write_text(text.replace(before, after, 1))
    for name in pure():
        text = (phone / name).read_text()
        expected.add((name, text.count("\n") + 1))
        (phone / name).write_text(f"{text}/** @type {{Step}} */ (globalThis.none).nothing;\n")
    said = run("typescript/bin/tsc", "-p", tmp_path / "tools" / "js", "--pretty", "false")
    found = re.findall(r"^\S*?site_overrides/phone/(\S+?)\((\d+),\d+\): error TS\d+: (.*)$", said, re.MULTILINE)
    assert {(name, int(line)) for name, line, _ in found} == expected
    for name, _, _, words in PLANTED:
        assert any(one == name and words in told for one, _, told in found), (name, words, found)
    assert sum("'nothing' does not exist on type 'Step'" in told for _, _, told in found) == len(pure())


MOST = 60


def function_of(lines: int) -> str:
    return "export const kept = () => {\n" + "  kept();\n" * (lines - 2) + "};\n"


LONG = function_of(MOST + 1)
RULED = [
    ("const kept = 1;", "no-unused-vars"),
    ("export const kept = () => nowhere();", "no-undef"),
    ("export let kept = 1;", "prefer-const"),
    ("export const kept = (a) => a == 1;", "eqeqeq"),
    (LONG, "max-lines-per-function"),
    ("export const kept = { a: 1, a: 2 };", "no-dupe-keys"),
    ("export const kept = (n) => n.hasOwnProperty('a');", "no-prototype-builtins"),
    ("try { fetch(''); } catch {}", "no-empty"),
    ("fetch(''); // eslint-disable-line no-undef", None),  # a comment turns no rule off
    ("nowhere(); // eslint-disable-line", "no-undef"),
    ("/* eslint-disable */\n" + LONG, "max-lines-per-function"),
    ("/* eslint max-lines-per-function: 0 */\n" + LONG, "max-lines-per-function"),
    ("document.body.innerHTML = '';", "no-restricted-properties"),
    ("document.body.outerHTML += '';", "no-restricted-properties"),
    ("document.body.insertAdjacentHTML('beforeend', name);", "no-restricted-properties"),
    ("document.write(name);", "no-restricted-syntax"),
    ("(0, eval)('');", "no-eval"),
    ("new Function('')();", "no-new-func"),
    ("document.body.srcdoc = '';", "no-restricted-properties"),
    ("new DOMParser().parseFromString('', 'text/html');", "no-restricted-globals"),
    ("document.createRange().createContextualFragment('');", "no-restricted-properties"),
    ("document.body.setHTMLUnsafe('');", "no-restricted-properties"),
    ("document.body.setHTML('');", "no-restricted-properties"),
    ("Document.parseHTMLUnsafe('');", "no-restricted-properties"),
    ("document.links[0].href = 'javascript:void 0';", "no-script-url"),
    ("setTimeout('go()', 5);", "no-implied-eval"),
    ("import(location.hash);", "no-restricted-syntax"),
    ("import('https://other.invalid/x.js');", "no-restricted-syntax"),
    ("document.createElement('script');", "no-restricted-syntax"),
    ("document.body.setAttribute('onclick', 'go()');", "no-restricted-syntax"),
    ("document.body.style.color = 'red';", "no-restricted-properties"),
]
SOUND = """import { own } from './own.js';

export const kept = (about) => {
  import('./later.js');
  setTimeout(() => own(about, 'a'), 5);
};
"""


def told(phone: Path, at: Path) -> dict[str, set[str | None]]:
    """Return the rules that each script below a folder breaks, by its path there, under a copy of the rules."""
    config = shutil.copytree(ROOT / "tools" / "js", at / "js") / "eslint.config.js"
    said = run("eslint/bin/eslint.js", "-c", config, "-f", "json", phone, at=at)
    return {
        Path(one["filePath"]).relative_to(phone).as_posix(): {told["ruleId"] for told in one["messages"]}
        for one in json.loads(said)
    }


def test_each_rule_names_what_it_is_for_and_lets_sound_code_be(tmp_path: Path) -> None:
    phone = tmp_path / "phone"
    phone.mkdir()
    for number, (text, _) in enumerate(RULED):
        (phone / f"{number}.js").write_text(text + "\n")
    (phone / "sound.js").write_text(SOUND)
    (phone / "longest.js").write_text(function_of(MOST))
    found = told(phone, tmp_path)
    missed = [(text, rule) for number, (text, rule) in enumerate(RULED) if rule not in found[f"{number}.js"]]
    assert missed == [] and found["sound.js"] == found["longest.js"] == set() and len(found) == len(RULED) + 2


def test_a_function_of_61_lines_is_refused_in_every_script_of_the_phone(tmp_path: Path) -> None:
    """One such function replaces each script in turn, so no script is excused under any name."""
    there = ROOT / "site_overrides"
    names = {path.relative_to(there).as_posix() for path in [*(there / "phone").rglob("*.js"), there / "sw.js"]}
    assert {"sw.js", "phone/keep_log_worker.js", "phone/keep/keep.js"} <= names
    for name in names:
        (tmp_path / "site" / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / "site" / name).write_text(LONG if name != "sw.js" else LONG.removeprefix("export "))
    found = told(tmp_path / "site", tmp_path)
    assert {name for name, rules in found.items() if "max-lines-per-function" in rules} == names


def test_every_script_of_the_phone_is_under_the_rules() -> None:
    scripts = [path.relative_to(ROOT / "site_overrides") for path in (ROOT / "site_overrides").rglob("*.js")]
    assert len(scripts) > 100
    assert [path for path in scripts if path.parts[0] not in {"phone", "vendor"} and path.name != "sw.js"] == []
