"""What a new version changes, in words. It is not taken while something is half done on any open page."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.server import Server
from tests.browser.touch import tap
from tests.support.sample_sheet import caution, digest, sample_sheet

pytestmark = pytest.mark.browser

Sheet = dict[str, Any]
NEWS = """async ([before, after, sheets]) => {
  const { newsOf, updateBox } = await import('/phone/screen/list/news.js');
  const news = newsOf(before, after, sheets);
  const box = updateBox({ update: async () => null });
  document.body.append(box.node);
  box.update({ isOffered: true, news });
  for (const details of box.node.querySelectorAll('details')) details.open = true;
  const said = box.node.innerText;
  box.node.remove();
  return [news, said];
}"""


@pytest.fixture(scope="module")
def lab(chromium: Browser, pages: Server) -> Iterator[Page]:
    context = chromium.new_context()
    page = context.new_page()
    page.goto(pages.url("/pages/keep.html"))
    yield page
    context.close()


def pack(sheet: Sheet, **more: Any) -> dict[str, Any]:
    name = f"w/{sheet['worksheet']}/sheet.json"
    facts = {"kind": "worksheet", "title": sheet["title"], "engine": sheet["engine"]["title"]}
    files = {name: digest(sheet)}
    return {
        **facts,
        "revision": sheet["revision"],
        "steps": len(sheet["steps"]),
        "sheet": digest(sheet),
        "files": files,
    } | more


def news(lab: Page, before: list[Sheet], after: list[Sheet], **guides: str) -> tuple[list[dict[str, Any]], str]:
    """Return what is found, and what the screen says, between two sites with these worksheets."""
    sites = []
    for sheets, name in ((before, "old"), (after, "new")):
        packs = {sheet["worksheet"]: pack(sheet) for sheet in sheets}
        about = {"kind": "guide", "title": "Guide", "engine": "", "revision": None, "steps": 0, "sheet": None}
        packs["guide"] = {**about, "files": {"guide/index.html": guides.get(name, "same")}}
        sites.append({"v": 1, "packs": packs})
    found, said = lab.evaluate(NEWS, [*sites, {digest(sheet): sheet for sheet in before + after}])
    return found, " ".join(said.split())


SPARKS = caution("warning", "Sparks.", "They set light to vapour.", "Earth off first.")


def changed(**more: Any) -> Sheet:
    return {**copy.deepcopy(sample_sheet()), **more}


def test_a_version_that_changes_no_worksheet_says_so(lab: Page) -> None:
    found, said = news(lab, [changed()], [changed()])
    assert found == []
    assert "No worksheet changes, only how these pages look and work." in said


def test_steps_and_cautions_that_a_version_changes_are_told_one_by_one(lab: Page) -> None:
    after = changed(revision=sample_sheet()["revision"] + 1)
    first, second, third, *_ = after["steps"]
    first["wording"], first["do"] = "f" * 64, ["Open both windows."]
    second["duty"], second["cautions"] = "e" * 64, [*second["cautions"], SPARKS]
    after["steps"].remove(third)
    new = copy.deepcopy(first) | {"path": "look-round", "do": ["Walk round the car."], "cautions": [SPARKS]}
    after["steps"].insert(1, new)
    [one], said = news(lab, [changed()], [after])
    assert {change["change"] for change in one["changes"]} == {
        "wording", "duty", "added", "removed", "caution-added"
    }  # fmt: skip
    assert f"revision {after['revision']} instead of {after['revision'] - 1}" in said
    assert "Steps: 1 new, 1 asks something else, 1 reworded, 1 gone." in said
    assert "Cautions: 2 new." in said
    assert "Open both windows: reworded" in said
    assert "Walk round the car: caution new. WARNING: Sparks. Earth off first." in said


def test_a_caution_that_only_stands_elsewhere_in_its_list_is_no_change_and_one_reworded_is_two(lab: Page) -> None:
    before, after = changed(), changed()
    both = [SPARKS, caution("notice", "Cold.", "Nothing breaks.", "Wait.")]
    before["steps"][0]["cautions"], after["steps"][0]["cautions"] = both, both[::-1]
    after["steps"][0]["wording"] = "d" * 64
    [one], _ = news(lab, [before], [after])
    assert [change["change"] for change in one["changes"]] == ["wording"]
    after["steps"][0]["cautions"] = [both[1], {**SPARKS, "harm": "They burn."}]
    [one], said = news(lab, [before], [after])
    assert [change["change"] for change in one["changes"]] == ["wording", "caution-added", "caution-removed"]
    assert "Cautions: 1 new, 1 gone." in said


def test_a_caution_of_a_whole_stage_is_told_with_the_stage(lab: Page) -> None:
    after = changed()
    after["stages"][0]["cautions"] = [SPARKS]
    [_], said = news(lab, [changed()], [after])
    assert f"The whole of “{after['stages'][0]['title']}”: caution new. WARNING: Sparks." in said


def test_a_changed_value_is_told_with_both_figures(lab: Page) -> None:
    after = changed()
    value = next(one for one in after["values"].values() if one["text"])
    before = value["text"]
    value["text"] = "77 N.m"
    [one], said = news(lab, [changed()], [after])
    assert one["values"] == [{"label": value["label"], "from": before, "to": "77 N.m"}]
    assert f"{value['label']} {before}, now 77 N.m" in said


def test_worksheets_that_come_and_go_and_the_guide_are_told(lab: Page) -> None:
    other = changed(worksheet="belt--five", title="Belt, five")
    found, said = news(lab, [changed()], [other], new="other")
    assert {(one["name"], one["what"]) for one in found} == {
        ("belt--five", "added"), (changed()["worksheet"], "removed"), ("guide", "changed")
    }  # fmt: skip
    assert "New worksheet: Belt, five" in said
    assert "Worksheet no longer on this site" in said and "A job that runs on it goes on as before." in said
    assert "The guide changes." in said


def test_a_changed_worksheet_that_this_phone_does_not_keep_is_named_without_details(lab: Page) -> None:
    before, after = changed(), changed(revision=9)
    sites = [{"v": 1, "packs": {"belt": pack(sheet)}} for sheet in (before, after)]
    [one], said = lab.evaluate(NEWS, [*sites, {}])
    assert one["changes"] is None
    assert "A job that runs on it shows what changes." in " ".join(said.split())


# --- half done ------------------------------------------------------------------------------------------------------

BUSY = """async half => {
  const { openBusy } = await import('/phone/site/busy.js');
  globalThis.half = half;
  const isBusy = () => globalThis.half;
  globalThis.busy = openBusy({ name: 'here busy', Channel: BroadcastChannel, isBusy, patience: 2000 });
}"""
LOOK = """async () => {
  const { openHands } = await import('/phone/site/busy.js');
  globalThis.hands = openHands(document);
}"""


def test_another_open_page_says_what_is_half_done_on_it(lab: Page, pages: Server) -> None:
    other = lab.context.new_page()
    other.goto(pages.url("/pages/keep.html"))
    half = {"job": "J-7", "step": "3 Fit the belt", "why": "parts"}
    other.evaluate(BUSY, half)
    lab.evaluate(BUSY, None)
    assert lab.evaluate("busy.ask()") == half
    assert lab.evaluate("(globalThis.half = { why: 'press' }, busy.ask())") == {"why": "press"}
    lab.evaluate("globalThis.half = null")
    other.evaluate("globalThis.half = null")
    assert lab.evaluate("busy.ask()") is None
    other.close()
    lab.evaluate("busy.stop()")


def test_where_tabs_cannot_talk_a_page_knows_of_itself(lab: Page) -> None:
    found = lab.evaluate("""async () => {
      const { openBusy } = await import('/phone/site/busy.js');
      const one = half => openBusy({ name: '', Channel: null, isBusy: () => half }).ask();
      return [await one(null), await one({ why: 'press' })];
    }""")
    assert found == [None, {"why": "press"}]


def test_typed_text_is_in_hand_until_it_is_kept_or_taken_away(lab: Page) -> None:
    lab.evaluate("""() => {
      const step = document.createElement('details');
      step.dataset.step = 'fit-belt';
      step.open = true;
      const box = document.createElement('input');
      box.value = 'as before';
      step.append(box);
      document.body.append(step);
    }""")
    lab.evaluate(LOOK)
    box = lab.locator("details input")
    assert lab.evaluate("hands.look()") is None
    tap(box)
    assert lab.evaluate("hands.look()") is None
    box.fill("half a reading")
    assert lab.evaluate("hands.look()") == {"step": "fit-belt", "why": "typed"}
    box.fill("as before")
    assert lab.evaluate("hands.look()") is None
    box.fill("whole")
    box.evaluate("box => { box.value = 'as before'; }")  # as the screen does after it was saved
    assert lab.evaluate("hands.look()") is None
    box.fill("again")
    lab.evaluate("document.querySelector('details').remove()")
    assert lab.evaluate("hands.look()") is None
    lab.evaluate("hands.stop()")


@pytest.mark.parametrize(
    ("step", "found"),
    [
        ({"state": "open", "done": ["a"], "of": ["a", "b"]}, {"step": "one", "why": "parts"}),
        ({"state": "open", "done": [], "of": ["a", "b"]}, None),
        ({"state": "done", "done": ["a", "b"], "of": ["a", "b"]}, None),
        ({"state": "skipped", "done": ["a"], "of": ["a", "b"]}, None),
        ({"state": "recheck", "done": ["a"], "of": ["a", "b"]}, {"step": "one", "why": "parts"}),
        ({"state": "waiting", "done": ["start"], "of": ["start", "end"]}, {"step": "one", "why": "wait"}),
    ],
)
def test_a_step_with_some_parts_answered_is_half_done(lab: Page, step: dict[str, Any], found: Any) -> None:
    ask = "state => import('/phone/site/busy.js').then(({ halfDoneStep }) => halfDoneStep(state))"
    assert lab.evaluate(ask, {"order": ["one"], "steps": {"one": step}}) == found
