"""The whole thing as a shop uses it: a job from start to end on a phone that loses its network and is killed.

Pages are driven through the stable hooks alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, Playwright, Route, expect

from generator.journal.fold import fold
from generator.journal.record import Record, read_record
from tests.browser.drive import Drive
from tests.browser.engines import Chromium, WebKit
from tests.browser.server import Server
from tests.browser.touch import tap
from tests.support import demo, good_day

PREFIX = "/shop-a/"
PHONE = {"width": 360, "height": 740}
PICTURES = "**/pictures/*"


@pytest.fixture
def shop() -> Iterator[Server]:
    with Server({PREFIX: dict(demo.built().files)}) as server:
        yield server


@contextmanager
def phone(playwright: Playwright, profile: Path) -> Iterator[tuple[Chromium, Page]]:
    """A Chromium with storage of its own on disk, and its one page."""
    with Chromium(profile) as chromium:
        browser = playwright.chromium.connect_over_cdp(chromium.endpoint)
        page = browser.contexts[0].pages[0]
        page.set_viewport_size(PHONE)
        yield chromium, page


def good_outcomes(sheet: dict[str, Any]) -> dict[str, str]:
    """Return the first answer of each inspection that is not a failure."""
    inspected = [step for step in sheet["steps"] if step["check"]["kind"] == "inspect"]
    return {s["path"]: next(o["name"] for o in s["check"]["outcomes"] if not o["fails"]) for s in inspected}


def mark_check(sheet: dict[str, Any]) -> dict[str, Any]:
    """Return the step that proves the timing: it closes an item of kind `proof`."""
    proofs = {name for name, item in sheet["items"].items() if item["kind"] == "proof"}
    return next(step for step in sheet["steps"] if any(closing["what"] in proofs for closing in step["closes"]))


def one_time_bolts(sheet: dict[str, Any], paths: list[str]) -> list[str]:
    """Return those of these steps that tighten a one-time fastener."""
    tightened = {s["path"]: s["check"]["value"] for s in sheet["steps"] if s["check"]["kind"] == "tighten"}
    found = [path for path in paths if path in tightened and sheet["values"][tightened[path]]["reuse"] == "no"]
    assert found
    return found


def test_a_whole_job_with_no_network_through_a_killed_browser_and_a_failed_proof(playwright, shop, tmp_path):
    four, six = demo.sheet("inline-four"), demo.sheet("vee-six")
    proof, outcomes, typed = mark_check(four), good_outcomes(four), good_day.as_typed(four)
    failing = next(o["name"] for o in proof["check"]["outcomes"] if o["fails"])

    with phone(playwright, tmp_path) as (_, page):
        drive = Drive(page, shop.url(PREFIX))
        drive.open("")
        drive.offline_ready()
        shop.stop()
        second = drive.start(six["worksheet"], job="Q-2", vehicle="Grey estate", odometer="120500")
        drive.run(good_outcomes(six), six["steps"][5]["path"], **good_day.as_typed(six))
        drive.sheet = None
        first = drive.start(four["worksheet"], job="Q-1", vehicle="Blue hatchback", odometer="118350")
        closed = drive.run(outcomes, proof["path"], **typed)
        kept = drive.kept(closed[-1])
        assert kept
        before = drive.states()
    # The browser was killed with all its processes and the server is stopped: open the job again.
    with phone(playwright, tmp_path) as (_, page):
        drive = Drive(page, shop.url(PREFIX))
        drive.open(f"w/{four['worksheet']}/#{first}")
        page.locator(f'[data-job="{first}"]').wait_for()
        assert drive.states() == before
        assert drive.kept(closed[-1]) == kept

        drive.fail(proof["path"], outcome=failing)
        back_to = proof["if_failed"]["back_to"]
        assert drive.state(back_to) not in ("done", "blocked")
        for path in one_time_bolts(four, proof["if_failed"]["disturbs"]):
            said = drive.look(path).locator("[data-value]").first.inner_text()
            assert "another new one" in said, "a one-time bolt that is loosened again is not used again"
        drive.look(back_to)
        drive.run(outcomes, **typed)
        assert drive.is_complete and drive.open_count() == 0
        assert set(drive.states().values()) <= {"done", "hidden", "not-fitted"}

        entries, sheets = exported(page)
        state = fold(entries, sheets)
        assert state["complete"] and state["steps"][proof["path"]]["failures"] == 1
        missing = [name for name, value in four["values"].items() if value["text"] is None]
        assert missing and all(
            state["values"][name]["source"] or state["values"][name]["not_published"] for name in missing
        )
        assert {path: seen["state"] for path, seen in state["steps"].items()} == drive.states()

        drive.open(f"w/{six['worksheet']}/#{second}")
        page.locator(f'[data-job="{second}"]').wait_for()
        assert not drive.is_complete and drive.state(six["steps"][0]["path"]) == "done"


def test_a_drawing_that_comes_late_moves_no_button_under_the_finger(chromium, shop):
    sheet = demo.sheet("inline-four")
    context = chromium.new_context(viewport=PHONE, has_touch=True, service_workers="block")
    page = context.new_page()
    drive = Drive(page, shop.url(PREFIX))
    drive.start(sheet["worksheet"], job="Q-6", vehicle="White van", odometer="118350")
    page.wait_for_load_state("networkidle")
    held, is_held = list[Route](), True

    def late(asked: Route) -> None:
        """Answer while pictures may come, else when its step was looked at."""
        held.append(asked) if is_held else asked.continue_()

    page.route(PICTURES, late)
    drawn = [step["path"] for step in sheet["steps"] if step["picture"] and not step["when"]][::4]
    assert len(drawn) > 3
    for path in drawn:
        is_held = True
        step = drive.look(path)
        before = button_below(step)
        is_held = False
        while held:
            held.pop().continue_()
        picture = step.locator("img.picture")
        expect(picture).to_have_js_property("complete", True)
        expect(picture).not_to_have_js_property("naturalWidth", 0)
        page.wait_for_timeout(100)
        assert button_below(step) == pytest.approx(before, abs=1), path
    context.close()


def button_below(step: Locator) -> float:
    """Return how far the first answer stands below the top of its step."""
    return step.locator("[data-check]").first.evaluate(
        "one => one.getBoundingClientRect().top - one.closest('[data-step]').getBoundingClientRect().top"
    )


def exported(page: Page) -> tuple[list[dict[str, Any]], dict[str, dict[str, Any]]]:
    """Return the job as the phone saves it: entries and the worksheets they name, read by Python."""
    control = page.locator("[data-action=export]").first
    Drive(page, "").reveal(control)
    with page.expect_download() as saved:
        tap(control)
    assert saved.value.suggested_filename.endswith(".txt")
    record = read_record(Path(saved.value.path()).read_text(encoding="utf-8"))
    assert isinstance(record, Record), record
    return list(record.entries), record.sheets


def test_nothing_is_asked_of_another_host_over_a_driven_job(playwright, shop, tmp_path):
    asked: set[str] = set()
    with phone(playwright, tmp_path) as (_, page):
        page.on("request", lambda request: asked.add(request.url))
        drive = Drive(page, shop.url(PREFIX))
        sheet = demo.sheet("flat-four")
        drive.start(sheet["worksheet"], job="Q-3", vehicle="Green estate", odometer="118350")
        drive.run(good_outcomes(sheet), sheet["steps"][8]["path"], **good_day.as_typed(sheet))
        drive.open("jobs/")
        drive.open("")
    hosts = {url.split("/")[2] for url in asked if url.startswith("http")}
    assert hosts == {shop.url("/").split("/")[2]}


def test_webkit_starts_ticks_dies_and_still_has_the_tick_with_no_network(shop, tmp_path, display):
    sheet = demo.sheet("inline-four")
    address = shop.url(f"{PREFIX}w/{sheet['worksheet']}/")
    with WebKit(tmp_path, display) as webkit:
        webkit.load(address)
        until(webkit, "document.documentElement.dataset.offline === 'ready'")
        webkit.evaluate(START_AND_TICK)
        until(webkit, "document.querySelectorAll('[data-job] [data-kept]').length > 0")
        job = webkit.evaluate("document.querySelector('[data-job]').dataset.job")
        kept = webkit.evaluate("[...document.querySelectorAll('[data-kept]')].map(one => one.dataset.kept)")
        webkit.kill()
    shop.stop()
    with WebKit(tmp_path, display) as webkit:
        webkit.load(f"{address}#{job}")
        until(webkit, "document.querySelector('[data-job]') !== null")
        until(webkit, "document.querySelectorAll('[data-job] [data-kept]').length > 0")
        again = webkit.evaluate("[...document.querySelectorAll('[data-kept]')].map(one => one.dataset.kept)")
        assert again == kept
        assert webkit.evaluate("document.documentElement.dataset.ready") is not None


START_AND_TICK = """(() => {
  const fill = (name, text) => {
    const box = document.querySelector(`[data-field="${name}"]`);
    box.value = text;
    box.dispatchEvent(new Event('input', {bubbles: true}));
    box.dispatchEvent(new Event('change', {bubbles: true}));
  };
  const typed = {job: 'Q-9', vehicle: 'Blue', odometer: '1200', who: 'KS'};
  for (const [name, text] of Object.entries(typed)) fill(name, text);
  document.querySelector('[data-action=start]').click();
  return new Promise(done => {
    const timer = setInterval(() => {
      const control = document.querySelector('[data-job] [data-check]:not([aria-disabled=true])');
      if (control) { clearInterval(timer); control.click(); done(true); }
    }, 50);
  });
})()"""


def until(webkit: WebKit, true: str) -> None:
    waited = webkit.evaluate(
        f"new Promise(done => {{ const end = Date.now() + 30000; const timer = setInterval(() => {{"
        f"if ({true} || Date.now() > end) {{ clearInterval(timer); done({true}); }} }}, 50); }})"
    )
    assert waited, f"waited in vain for {true}"


def test_a_job_moves_to_another_phone_as_a_plain_text_file(playwright, shop, tmp_path):
    sheet = demo.sheet("flat-four")
    with phone(playwright, tmp_path / "one") as (_, page):
        drive = Drive(page, shop.url(PREFIX))
        job = drive.start(sheet["worksheet"], job="Q-4", vehicle="Green estate", odometer="118350")
        drive.run(good_outcomes(sheet), sheet["steps"][4]["path"], **good_day.as_typed(sheet))
        control = page.locator("[data-action=export]").first
        drive.reveal(control)
        with page.expect_download() as saved:
            tap(control)
        text = Path(saved.value.path()).read_text(encoding="utf-8")
        states = drive.states()
    file = tmp_path / "job.txt"
    file.write_text(text, encoding="utf-8")
    with phone(playwright, tmp_path / "two") as (_, page):
        drive = Drive(page, shop.url(PREFIX))
        drive.open("jobs/")
        page.locator("[data-field=file]").first.set_input_files(file)
        tap(page.locator("[data-action=import]").first)
        page.locator(f'a[href*="{job}"]').first.wait_for()
        drive.open(f"w/{sheet['worksheet']}/#{job}")
        page.locator(f'[data-job="{job}"]').wait_for()
        assert drive.states() == states
    assert isinstance(read_record(text, job), Record)
