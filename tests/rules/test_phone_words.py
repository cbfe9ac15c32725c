"""Every sentence of the screen is in words/. The rule catches one that is not."""

from __future__ import annotations

from functools import cache

import pytest

from tests.rules.test_phone_names import served
from tests.support.phone_words import Said, sentences, shown

MEANT: dict[str, set[str]] = {
    "phone/site/busy.js": {
        "input:not([type]), input[type=text], input[type=number], input[type=date], textarea",
        ".pressing, [aria-busy=true]:not([data-action=update])",
    },
    "phone/job/carry.js": {"sheet {} {}\\n", "entry {}\\n"},
    "phone/job/time.js": {"{} end", "clock set {}"},
    # The name of a source, which both folds put into the state.
    "phone/journal/tables.js": {"Worked out from readings"},
    "phone/keep_log_worker.js": {"{} {}\\n"},
    "phone/site/known_sheets.js": {"sheets of this site"},
    "phone/keep/lasting.js": {"lasting from home"},
    "phone/site/offline.js": {"sw.js: {}"},
    "phone/screen/checks/adapter.js": {"measure start"},
    "phone/screen/checks/bolt_map.js": {"witness on-head", "witness beside"},
    "phone/screen/common/press_guard.js": {"a[href], button, summary, select, input, textarea, label, [role=button]"},
    # The text of a value, as its entry has it.
    "phone/screen/step/value.js": {"{} {} then {}", " then {}"},
    "phone/job/work.js": {"saved {}"},
    "sw.js": {"{}{} pins", "default-src 'none'; style-src 'unsafe-inline'; sandbox", "sw.js: other bytes", "no answer"},
}
"""Texts that a browser, a store or another module reads, and no person."""


# What older worksheets would have brought themselves, made from JSON.
EARLIER = "phone/journal/shape/earlier_trade.js"


@cache
def found() -> list[Said]:
    return [one for one in sentences(served()) if one.file != EARLIER]


def test_every_sentence_stands_with_the_others() -> None:
    spoken = [one for one in found() if shown(one.text) not in MEANT.get(one.file, ())]
    assert [f"{one.file}:{one.line}: {shown(one.text)}: move it to words/" for one in spoken] == []


def test_no_exception_is_left_over() -> None:
    """An exception for a text that is gone would excuse a later sentence."""
    there = {(one.file, shown(one.text)) for one in found()}
    assert {(file, text) for file, texts in MEANT.items() for text in texts} - there == set()


@pytest.mark.parametrize(
    "planted",
    [
        "make('p', {}, 'Look again');",
        "say(node, 'look again');",
        "say(node, `Look at ${place}`);",
        "say(node, `${n} of ${all}`);",
        "say(node, `${n ? 'Look again' : ''}`);",
        "make('button', { class: 'press', 'aria-label': 'Tick it off' });",
        "set(node, 'title', 'Tick it off');",
        "node.setAttribute('aria-label', isOn ? 'Mute it' : W.soundOn);",
        "const SAYS = table({ full: 'This phone is full.' });",
        "const SAYS = { class: { say: 'This phone is full.' } };",
        "const f = () => 'Nothing here';",
        "const say = (text = 'Nothing here') => text;",
        "node.textContent = 'Nothing ' + 'here yet';",
        "make('p', { class: 'warn', 'data-say': () => 'Nothing here' });",
        "list.split('Nothing here');",
        "throw refuse('This phone is full.');",
        "make('p', { class: said('Nothing here') });",
        "set(node, 'class', W.of('Nothing here'));",
        "const classOf = 'Nothing here';",
        "say(node, 'Öffne die Tür');",
    ],
)
def test_the_rule_bites(planted: str) -> None:
    assert sentences({"phone/screen/step/step.js": planted}), planted
    assert sentences({"phone/words/words.js": planted, "phone/words/stops.js": planted}) == []


@pytest.mark.parametrize(
    "plain",
    [
        "make('p', { class: 'small bad-words' });",
        "make('p', { class: fails ? 'outcome fails' : `outcome ${kind}` });",
        "set(node, 'class', `caution ${level}`);",
        "const classOf = (level) => `caution ${level}`;",
        "node.closest('details > summary');",
        "const NAMES = ('number unit ' + 'of text').split(' ');",
        "throw new TypeError(`Not this site's worker: ${address}`);",
        "const name = `handturn:${scope} sheets`;",
        "say(node, `${number} ${unit}`);",
        "say(node, ' · ');",
        "// Look again\nsay(node, 'again');",
    ],
)
def test_what_no_person_reads_passes(plain: str) -> None:
    assert sentences({"phone/screen/step/step.js": plain}) == []
