"""The phone's fold against Python's, in Node: the same stories, thousands of the same journals, the same laws."""

from __future__ import annotations

import json
from typing import Any

import pytest

from generator.canonical import canonical, digest
from generator.journal.entries import gather
from generator.journal.fold import fold, legal
from generator.journal.seen import answer_ids, slot_ids, step_ids
from generator.journal.shapes.sound import is_sheet
from tests.support import demo
from tests.support.broken_sheets import broken, odd_cases, sound
from tests.support.journals import Case, long_case, many_cases, two_revisions
from tests.support.node import Phone
from tests.support.stories import STORIES, Bench
from tests.support.walker import Walker

JOURNALS = 2000

# Fold every case into the digest of its state, and say which of the laws a case breaks on the phone.
COMPARE = """async ({ sheets, cases }) => {
  const J = await import('/phone/journal/journal.js');
  const { digest } = await import('/phone/base/digest.js');
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
  globalThis.states = states;
  return { states: await Promise.all(states.map(digest)), broken };
}"""

# What an answer, a go-back and a take-back would write in `seen`, and what may be done, at every step of every case.
ASK = """async ({ sheets, cases }) => {
  const J = await import('/phone/journal/journal.js');
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


# Which of these worksheets a job could be folded over.
SHAPES = """async ({ sheets, cases }) => {
  const { isSheet } = await import('/phone/journal/shape/shape.js');
  return cases.flatMap(({ named }) => named.map((digest) => isSheet(sheets[digest])));
}"""


class Lab:
    """The phone's modules, asked about many cases at once."""

    def __init__(self, phone: Phone) -> None:
        self.phone = phone

    def ask(self, question: str, cases: list[Case]) -> Any:
        """Return the phone's answer about these cases. A sheet is sent once."""
        sheets = {digest: sheet for case in cases for digest, sheet in case["sheets"].items()}
        sent = [{"entries": case["entries"], "named": list(case["sheets"])} for case in cases]
        return self.phone.evaluate(question, {"sheets": sheets, "cases": sent})

    def state(self, number: int) -> str:
        """Return the canonical state of one of the cases compared last."""
        state: str = self.phone.evaluate("(number) => states[number]", number)
        return state

    def differences(self, cases: list[Case]) -> list[Any]:
        """Return the first cases whose states differ, with the parts that do, and the laws that were broken."""
        answer = self.ask(COMPARE, cases)
        found = answer["broken"][:3]
        for number, (case, theirs) in enumerate(zip(cases, answer["states"], strict=True)):
            here = canonical(fold(case["entries"], case["sheets"]))
            if digest(here) != theirs and len(found) < 3:
                mine, phones = json.loads(here), json.loads(self.state(number))
                keys = [key for key in mine if mine[key] != phones.get(key)]
                found.append((number, {key: (mine[key], phones.get(key)) for key in keys}))
        return found


@pytest.fixture(scope="module")
def lab(phone: Phone) -> Lab:
    return Lab(phone)


def test_a_journal_folded_over_two_revisions_gives_the_same_state_in_both_languages(lab: Lab):
    assert lab.differences([two_revisions()]) == []


def test_every_story_reads_the_same_on_the_phone(lab: Lab):
    cases: list[Case] = []
    for story in STORIES:
        bench = Bench()
        story(bench)
        cases += [{"entries": entries, "sheets": sheets} for entries, sheets in bench.told]
    assert len(cases) > 150 and lab.differences(cases) == []


def test_thousands_of_journals_give_the_same_state_in_both_languages_and_keep_the_laws(lab: Lab):
    assert lab.differences(many_cases(JOURNALS, seed=2)) == []


def test_both_languages_let_in_the_same_worksheets_and_fold_over_them_alike(lab: Lab):
    made = {"sound": sound(), **broken()}
    assert lab.ask(SHAPES, [{"entries": [], "sheets": made}]) == [True, *[False] * (len(made) - 1)]
    cases = odd_cases(300)
    let_in = [is_sheet(sheet) for case in cases for sheet in case["sheets"].values()]
    assert lab.ask(SHAPES, cases) == let_in and 50 < sum(let_in) < len(let_in) - 50
    for case in cases:
        case["sheets"] = {digest: sheet for digest, sheet in case["sheets"].items() if is_sheet(sheet)}
    assert lab.differences(cases) == []


def test_a_difference_would_be_seen(lab: Lab):
    """The comparison itself works: it notices one case with an entry fewer here than there."""
    case = two_revisions()
    fewer = {**case, "entries": case["entries"][:-1]}
    lab.ask(COMPARE, [fewer])
    assert lab.state(0) != canonical(fold(case["entries"], case["sheets"]))


def test_both_languages_agree_on_what_may_be_done_and_what_an_entry_has_seen(lab: Lab):
    cases = many_cases(150, seed=5)
    assert lab.ask(ASK, cases) == [canonical(asked(case)) for case in cases]


# A long job: every step answered, corrected and taken back until there are 400 entries.
TIME = """async ({ sheets, cases }) => {
  const J = await import('/phone/journal/journal.js');
  const { entries } = cases[0];
  const gathered = J.gather(entries.slice(0, -1));
  const grown = J.add(gathered, entries.at(-1));
  const shared = [...gathered.index].filter(([key, list]) => grown.index.get(key) === list).length;
  const times = Array.from({ length: 25 }, () => {
    const began = performance.now();
    J.judge(grown, sheets);
    return performance.now() - began;
  });
  const steps = J.judge(grown, sheets).order.length;
  return { judge: Math.min(...times), steps, touched: gathered.index.size - shared };
}"""


def test_four_hundred_entries_of_a_hundred_and_twenty_steps_are_judged_within_20_ms(lab: Lab):
    """The least of 25 runs: what the work costs, whatever else the machine is doing."""
    case = long_case(steps=120, entries=400)
    told = lab.ask(TIME, [case])
    assert len(case["entries"]) == 400 and told["steps"] == 120
    assert told["judge"] < 20


def test_six_hundred_entries_of_a_whole_job_with_its_results_are_judged_within_20_ms(lab: Lab):
    """The library's longest job, with every step of it answered again and again."""
    walker = Walker(demo.sheet("vee-six")).go_on()
    phone, steps = walker.phone, [step for step in walker.sheet["steps"] if not step["completion"]]
    for number in range(600 - len(walker.entries)):
        step = steps[number % len(steps)]
        part = walker.state["steps"][step["path"]]["of"][0]
        given = walker.good(step["path"], part)
        phone.write("check", walker.now, step=step["path"], part=part, value=given, seen=phone.sees(step["path"], part))
    told = lab.ask(TIME, [{"entries": walker.entries, "sheets": walker.sheets}])
    assert len(walker.entries) == 600 and len(walker.state["results"]) > 30
    assert told["judge"] < 20


def test_one_entry_more_touches_only_what_it_is_looked_up_by(lab: Lab):
    assert lab.ask(TIME, [long_case(steps=120, entries=400)])["touched"] <= 3


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
