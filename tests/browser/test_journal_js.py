"""The phone's fold against Python's, in Chromium: the same stories, thousands of the same journals, the same laws."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from generator.canonical import canonical
from generator.fold import fold, legal
from generator.journal.entries import answer_ids, gather, slot_ids, step_ids
from tests.browser.server import Server
from tests.journals import Case, many_cases, two_revisions
from tests.stories import STORIES, Bench

pytestmark = pytest.mark.browser

JOURNALS = 2000

# Folds every case; says where the states differ from Python's, and which of the phone's own laws a case breaks.
COMPARE = """async () => {
  const J = await import('/phone/journal.js');
  const { sheets, cases } = await (await fetch('/cases.json')).json();
  const turned = (list) => [...list.slice(list.length / 2), ...list.slice(0, list.length / 2)].reverse();
  const laws = {
    'order-free': (entries, at) => J.canonical(J.fold(turned(entries), at)),
    'repeat-free': (entries, at) => J.canonical(J.fold([...entries, ...entries], at)),
    'added one by one': (entries, at) => (
      J.canonical(J.judge(turned(entries).reduce(J.add, J.gather([])), at))
    ),
    'apply to fold': (entries, at) => (
      J.canonical(J.judge(J.add(J.gather(entries.slice(0, -1)), entries.at(-1)), at))
    ),
    'merged in halves': (entries, at) => {
      const odd = entries.filter((entry, number) => number % 2);
      const even = entries.filter((entry, number) => number % 3);
      return J.canonical(J.fold(J.union(J.union(odd, even), entries), at));
    },
  };
  const broken = [];
  const states = cases.map(({ entries, named }, number) => {
    const at = Object.fromEntries(named.map((digest) => [digest, sheets[digest]]));
    const before = number % 20 ? null : J.canonical(entries);
    const state = J.canonical(J.fold(entries, at));
    const tried = number % 8 || !entries.length ? [] : Object.keys(laws);
    for (const law of tried) if (laws[law](entries, at) !== state) broken.push([number, law]);
    if (before !== null && J.canonical(entries) !== before) broken.push([number, 'changes no entry']);
    return state;
  });
  return { states, broken };
}"""

# What an answer, a go-back and a take-back would write in `seen`, and what may be done, at every step of every case.
ASK = """async () => {
  const J = await import('/phone/journal.js');
  const { sheets, cases } = await (await fetch('/cases.json')).json();
  return cases.map(({ entries, named }) => {
    const at = Object.fromEntries(named.map((digest) => [digest, sheets[digest]]));
    const gathered = J.gather(entries);
    const state = J.judge(gathered, at);
    if (!state.sheet) return '[]';
    const sheet = at[state.sheet];
    return J.canonical(state.order.map((path) => [
      J.legal(state, sheet, path),
      J.slotIds(gathered, path, state.steps[path].of[0], sheet),
      J.slotIds(gathered, path, 'wording', sheet),
      J.answerIds(gathered, path, '', sheet),
      J.stepIds(gathered, [path, 'step-0'], sheet),
      J.slotIds(gathered, '', 'value:idler'),
    ]));
  });
}"""


@pytest.fixture(scope="module")
def lab(chromium: Browser, pages: Server) -> Iterator[Page]:
    """A page of the phone's own origin, for its modules."""
    page = chromium.new_page()
    page.goto(pages.url("/phone/journal.js"))
    yield page
    page.close()


def hand_over(lab: Page, cases: list[Case]) -> None:
    """Puts cases where the page fetches them; a sheet is sent once."""
    sheets = {digest: sheet for case in cases for digest, sheet in case["sheets"].items()}
    sent = [{"entries": case["entries"], "named": list(case["sheets"])} for case in cases]
    body = json.dumps({"sheets": sheets, "cases": sent})
    lab.unroute("**/cases.json")
    lab.route("**/cases.json", lambda route: route.fulfill(body=body, content_type="application/json"))


def differences(mine: list[str], theirs: list[str]) -> list[Any]:
    """The first cases that differ, with the parts of the state that do."""
    found = []
    for number, (one, other) in enumerate(zip(mine, theirs, strict=True)):
        if one != other:
            here, there = json.loads(one), json.loads(other)
            keys = [key for key in here if here[key] != there.get(key)]
            found.append((number, keys, {key: here[key] for key in keys}, {key: there.get(key) for key in keys}))
    return found[:3]


def test_a_journal_folded_over_two_revisions_gives_the_same_state_in_both_languages(lab: Page):
    case = two_revisions()
    hand_over(lab, [case])
    assert lab.evaluate(COMPARE)["states"] == [canonical(fold(case["entries"], case["sheets"]))]


def test_every_story_reads_the_same_on_the_phone(lab: Page):
    told = []
    for story in STORIES:
        bench = Bench()
        story(bench)
        told += bench.told
    hand_over(lab, [{"entries": entries, "sheets": sheets} for entries, sheets, _ in told])
    answer = lab.evaluate(COMPARE)
    assert differences([canonical(state) for _, _, state in told], answer["states"]) == []
    assert answer["broken"] == []


def test_thousands_of_journals_give_the_same_state_in_both_languages_and_keep_the_laws(lab: Page):
    cases = many_cases(JOURNALS, seed=2)
    hand_over(lab, cases)
    answer = lab.evaluate(COMPARE)
    assert differences([canonical(fold(case["entries"], case["sheets"])) for case in cases], answer["states"]) == []
    assert answer["broken"] == []


def test_both_languages_agree_on_what_may_be_done_and_what_an_entry_has_seen(lab: Page):
    cases = many_cases(150, seed=5)
    hand_over(lab, cases)
    assert lab.evaluate(ASK) == [canonical(asked(case)) for case in cases]


def asked(case: Case) -> list[Any]:
    gathered = gather(case["entries"])
    state = fold(case["entries"], case["sheets"])
    if not state["sheet"]:
        return []
    sheet = case["sheets"][state["sheet"]]
    return [
        [
            legal(state, sheet, path),
            slot_ids(gathered, path, state["steps"][path]["of"][0], sheet),
            slot_ids(gathered, path, "wording", sheet),
            answer_ids(gathered, path, "", sheet),
            step_ids(gathered, [path, "step-0"], sheet),
            slot_ids(gathered, "", "value:idler"),
        ]
        for path in state["order"]
    ]
