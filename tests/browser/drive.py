"""Do what a person does on the screens: with a finger, and through the stable hooks alone.

    drive = Drive(page, site_url)
    job = drive.start("belt-service-four", job="J-1", vehicle="Blue van", odometer="84210", who="KS")
    drive.close("first-stop", outcome="none")
    drive.run(outcomes={"marks": "aligned"})

What is inside a closed <details> is opened the way a person opens it. No element is found by its class or its words.
"""

from __future__ import annotations

import json
import re
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from random import Random
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Error, Locator, Page, expect

from tests.browser.touch import CLOSED_ROUND, Finger, clocked, place, place_or_fold, session_of, tap, tap_at, tick

SOURCE = {"document": "Workshop manual WM-22, 2nd edition", "where": "section 4, page 118"}
READY = {"disputed", "failed", "recheck", "open"}
MOST_FOLDS = 8
"""Folds in one another that are opened before a control counts as out of reach."""
CLOSED = {"done", "skipped", "refused", "not-fitted", "hidden"}

AT = """() => {
  const shown = [...document.querySelectorAll('[data-step]')].find(step => step.open);
  return shown ? shown.dataset.step : null;
}"""

STATES = """() => Object.fromEntries([...document.querySelectorAll('[data-job] [data-step]')]
  .map(step => [step.dataset.step, step.dataset.state]))"""

# Everything a walk needs to know before it goes on, in one call.
NOW = """() => {
  const step = [...document.querySelectorAll('[data-step]')].find(one => one.open);
  const reasons = [...step?.querySelectorAll('[data-gate-reason]') ?? []].filter(one => one.getClientRects().length);
  return {
    complete: document.querySelectorAll('[data-job][data-complete]').length === 1,
    at: step?.dataset.step ?? null,
    state: step?.dataset.state ?? '',
    codes: reasons.map(one => one.dataset.gateReason),
  };
}"""

# What a step asks for: values that are missing, a preparation to confirm, a check-off.
ASKS = """path => {
  const step = document.querySelector(`[data-job] [data-step="${CSS.escape(path)}"]`);
  return {
    open: step.open,
    missing: [...step.querySelectorAll('[data-missing]')].map(one => one.dataset.value),
    prepares: step.querySelector('[data-action=confirm][data-part]') !== null,
    kind: step.querySelector('[data-check]')?.dataset.check ?? null,
  };
}"""

# The state of a step and its saved answers, as one text.
ANSWERS = """path => {
  const step = document.querySelector(`[data-job] [data-step="${CSS.escape(path)}"]`);
  return JSON.stringify([step.dataset.state, [...step.querySelectorAll('[data-kept]')].map(one => one.dataset.kept)]);
}"""
ANSWERED = f"([path, before]) => ({ANSWERS})(path) !== before"
IDLE = "() => !document.querySelector('[aria-busy=true]')"

# Look again at each change of the page, so that no test waits for a frame or for the end of an interval.
UNTIL = """([given, patience]) => new Promise((go, fail) => {
  const holds = () => (%s)(given);
  if (holds()) return go();
  const end = (then) => { clearTimeout(timer); seen.disconnect(); then(); };
  const seen = new MutationObserver(() => holds() && end(go));
  const timer = setTimeout(() => end(() => fail(new Error('waited in vain'))), patience);
  seen.observe(document, { subtree: true, childList: true, attributes: true });
})"""
PATIENCE_MS = 20_000

# What Playwright's own `fill` does, in one call: set a choice or a date, select a text and type over it.
FILL = """(box, text) => {
  const kind = box.matches('select') ? 'select' : box.type;
  if (kind === 'checkbox') return kind;
  if (!box.getClientRects().length || box.disabled || box.readOnly) return 'wait';
  box.focus();
  if (kind !== 'select' && kind !== 'date') {
    box.select();
    return text === '' ? 'wait' : 'type';
  }
  const option = kind === 'select' ? [...box.options].find(one => one.value === text) : true;
  if (!option) return 'wait';
  box.value = text;
  for (const name of ['input', 'change']) box.dispatchEvent(new Event(name, { bubbles: true, composed: true }));
  return 'done';
}"""


@dataclass
class Drive:
    page: Page
    site: str
    """The site's root, with a slash at its end."""
    values: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    """What to fill a missing value with: name -> fields. What is not named here is filled with something plain."""
    sheet: dict[str, Any] | None = None
    holds: Random = field(default_factory=lambda: Random(1))
    """How long each press-and-hold lasts; the same in each run."""

    # --- coming and going ---

    def open(self, path: str = "") -> None:
        self.page.goto(self.site + path, wait_until="commit")
        self.ready()

    def ready(self) -> None:
        self.page.wait_for_selector("html[data-ready]", state="attached")

    def start(self, worksheet: str, **fields: str) -> str:
        """Start a job on its worksheet's page. Returns the job's id."""
        self.open(f"w/{worksheet}/")
        form = self.page.locator("[data-action=start]")
        for name, text in {"who": "KS", **fields}.items():
            fill(self.page.locator(f"[data-field={name}]"), text)
        self.press(form)
        root = self.page.locator("[data-job]")
        root.wait_for()
        return root.get_attribute("data-job") or ""

    def reopen(self) -> None:
        """Load the page again, as after the browser was killed."""
        self.page.reload()
        self.ready()
        self.page.locator("[data-job]").wait_for()

    def offline_ready(self) -> None:
        self.page.wait_for_selector("html[data-offline=ready]", state="attached")

    @property
    def is_complete(self) -> bool:
        return self.page.locator("[data-job][data-complete]").count() == 1

    # --- looking ---

    def step(self, path: str) -> Locator:
        return self.page.locator(f'[data-job] [data-step="{path}"]')

    def state(self, path: str) -> str:
        return self.step(path).get_attribute("data-state") or ""

    def states(self) -> dict[str, str]:
        return dict(self.page.evaluate(STATES))

    def at(self) -> str | None:
        """Return the step that is large now."""
        found = self.page.evaluate(AT)
        return str(found) if found else None

    def next(self) -> str:
        """Return the first step that can be done now, else a running wait, else the first that is not closed."""
        states = self.states()
        ready = [path for path, state in states.items() if state in READY]
        rest = [path for path, state in states.items() if state not in CLOSED]
        return [*ready, *(path for path in rest if states[path] == "waiting"), *rest][0]

    def open_count(self) -> int:
        return int(self.page.locator("[data-open-items]").get_attribute("data-open-items") or "-1")

    def reasons(self, path: str) -> list[str]:
        shown = self.step(path).locator("[data-gate-reason]:visible")
        return [" ".join(text.split()) for text in shown.all_inner_texts()]

    def kept(self, path: str) -> list[str]:
        ids = self.step(path).locator("[data-kept]").evaluate_all("all => all.map(one => one.dataset.kept)")
        return [str(kept) for kept in ids]

    def look(self, path: str) -> Locator:
        """Make a step the large one."""
        step = self.step(path)
        if self.at() != path:
            self.press(step.locator("summary").first)
            expect(step).to_have_attribute("open", "")
        return step

    # --- doing ---

    def reveal(self, control: Locator) -> Locator:
        """Open what hides a control, as a person does."""
        for _ in range(MOST_FOLDS):
            summary = control.evaluate_handle(CLOSED_ROUND).as_element()
            if summary is None:
                return control
            tap(summary)
        raise AssertionError(f"{control} lies behind something that does not open")

    def press(self, control: Locator) -> None:
        at = place_or_fold(control)
        if at is None:
            at = place(self.reveal(control))
        tap_at(self.page, *at)

    def hold(self, path: str, control: Locator) -> None:
        """Press a control for at least 0.65 s, until its step has been answered, and release it."""
        self.reveal(control)
        until = time.monotonic() + self.holds.uniform(0.65, 0.9)

        def down() -> None:
            finger.down(*place(control))

        finger = Finger(self.page)
        try:
            self.answered(path, down)
            self.page.wait_for_timeout(max(0.0, until - time.monotonic()) * 1000)
        finally:
            finger.up()

    def answered(self, path: str, do: Callable[[], None]) -> None:
        """Do something, and wait until the step has one more answer or another state."""
        before = self.page.evaluate(ANSWERS, path)
        do()
        self.until(ANSWERED, [path, before])

    def until(self, holds: str, given: object = None) -> None:
        """Wait until a function of the page returns true. What it reads must be an element or an attribute."""
        if self.page.context not in clocked:  # in clocked pages timers stand still
            try:
                self.page.evaluate(UNTIL % holds, [given, PATIENCE_MS])
            except Error as error:
                if "navigat" not in str(error):
                    raise
            else:
                return
        self.page.wait_for_function(holds, arg=given)

    def act(self, action: str, path: str = "", **fields: str) -> None:
        """Fill the boxes of an action and press it, in a step or in the job. Wait until it is no longer busy."""
        scope = self.look(path) if path else self.page.locator("[data-job]")
        control = scope.locator(f"[data-action={action}]").first
        self.reveal(control)
        form = control.locator("xpath=..")
        for name, text in fields.items():
            fill(form.locator(f'[data-field="{name}"]'), text)
        tap(control)
        self.idle()

    def idle(self) -> None:
        """Wait until nothing is being saved."""
        self.until(IDLE)

    def close(self, path: str, **how: str) -> None:
        """Do a step's check-off of any kind. Missing values are filled first.

        how: outcome (inspect), number and unit or date (measure), kept_at (photo), who (sign), minutes and why (wait),
        start and end (the two readings of a watched wait; without them both show the same). It says yes when it is
        asked whether a figure is right.
        """
        step = self.step(path)
        asks = self.page.evaluate(ASKS, path)
        if not asks["open"]:
            self.look(path)
            asks = self.page.evaluate(ASKS, path)
        if asks["missing"]:
            self.fill_missing(path)
            asks = self.page.evaluate(ASKS, path)
        if asks["prepares"]:
            self.prepare(path)
        kind = asks["kind"] or step.locator("[data-check]").first.get_attribute("data-check")
        getattr(self, f"_{kind}")(path, step, how)

    def prepare(self, path: str) -> None:
        """Confirm the lists of the preparation without a change."""
        step = self.look(path)
        for part in ("parts", "tools", "consumables", "one_time", "values"):
            control = step.locator(f'[data-action=confirm][data-part="{part}"]')
            open_ = control.count() and not control.evaluate("one => one.parentElement.hidden || one.ariaDisabled")
            if open_:
                self.press(control)
                expect(control).to_have_attribute("aria-disabled", "true")

    def fill_missing(self, path: str) -> None:
        """Fill every missing value of a step, with its source."""
        step = self.step(path)
        for name in step.locator("[data-missing]").evaluate_all("all => all.map(one => one.dataset.value)"):
            box = step.locator(f'[data-value="{name}"]')
            given = {**SOURCE, **self.values.get(name, {})}
            for want, text in (("number", "10"), ("text", "as the manual shows")):
                if want not in given and box.locator(f'[data-field="{want}"]').first.is_visible():
                    given[want] = text
            for want, text in given.items():
                fill(box.locator(f'[data-field="{want}"]').first, text)
            self.press(box.locator("[data-action=read]").first)
            self.be_sure(box)
            self.read_again(box, given)
            expect(box).not_to_have_attribute("data-missing", "")

    def read_again(self, box: Locator, given: Mapping[str, str], who: str = "") -> None:
        """Read a value a second time if that is asked, as the first person who is offered."""
        expect(box.locator("[data-second]").or_(box.locator("[data-source]:visible")).first).to_be_visible()
        again = box.locator("[data-second]")
        if not again.count():
            return
        for want in ("number", "unit", "then", "margin"):
            if want in given and again.locator(f'[data-field="{want}"]').count():
                fill(again.locator(f'[data-field="{want}"]'), given[want])
        self.choose(again.locator("[data-field=who]"), who)
        self.press(again.locator("[data-action=read]"))
        self.be_sure(again)

    def choose(self, box: Locator, who: str = "") -> None:
        """Choose who looks a second time: the first who is offered, unless somebody is named."""
        options = box.locator("option").evaluate_all("all => all.map(one => one.value)")
        box.select_option(who or next(option for option in options if option not in ("", "?")))

    def be_sure(self, box: Locator) -> None:
        """Say yes if the screen asks whether a typed figure is right."""
        asked = box.locator("[data-asked] [data-action=confirm]")
        if asked.count():
            self.press(asked.first)

    def fail(self, path: str, note: str = "not as it should be", outcome: str = "failed", **back: str) -> None:
        """Answer a check as failed, then go back as its page proposes."""
        step = self.look(path)
        control = step.locator(f'[data-outcome="{outcome}"]').first
        if outcome == "failed":
            self.reveal(control)
            fill(control.locator("xpath=..").locator("[data-field=note]"), note)
        self.answered(path, lambda: self.press(control))
        expect(step).to_have_attribute("data-state", "failed")
        self.act("back", path, **back)

    def run(self, outcomes: Mapping[str, str] | None = None, stop_at: str = "", **how: Mapping[str, str]) -> list[str]:
        """Go on from step to step as the screen leads, until the job is complete or `stop_at` is reached.

        outcomes: what an inspect finds, by step; without one, the first answer that does not fail. how: arguments of
        `close` by step, a dash written as an underscore. Returns the steps that were closed, in order.
        """
        done: list[str] = []
        while not (now := self.page.evaluate(NOW))["complete"]:
            if now["at"] and now["state"] in CLOSED:
                self.look(self.next())  # a person has now seen what was worked out from the answer
                now = self.page.evaluate(NOW)
            path = now["at"]
            assert path, "no step is open"
            if path == stop_at:
                break
            assert done[-3:] != [path] * 3, f"{path} does not close: {self.state(path)}, {self.reasons(path)}"
            if "disturbed" in now["codes"]:
                self.act("not-disturbed", path)
            else:
                given = dict(how.get(re.sub("[^a-z0-9]", "_", path), {}))
                found = {"outcome": outcomes[path]} if outcomes and path in outcomes else {}
                self.close(path, **{**found, **given})
            done.append(path)
        return done

    def codes(self, path: str) -> set[str]:
        shown = self.step(path).locator("[data-gate-reason]:visible")
        return set(shown.evaluate_all("all => all.map(one => one.dataset.gateReason)"))

    # --- one check-off each ---

    def _tick(self, path: str, step: Locator, how: Mapping[str, str]) -> None:
        control = step.locator("[data-check=tick]")
        about = self._about(path)
        if about.get("check", {}).get("hold_down"):
            self.hold(path, control)
        else:
            self.answered(path, lambda: self.press(control))
        if about.get("completion"):
            self.page.locator("[data-job][data-complete]").wait_for(state="attached")

    def _about(self, path: str) -> dict[str, Any]:
        """Return a step as the worksheet has it, {} for one that was added on the phone."""
        if self.sheet is None:
            parts = urlsplit(self.page.url)
            text = self.page.evaluate(
                "address => fetch(address).then(answer => answer.text())", f"{parts.path}sheet.json"
            )
            self.sheet = json.loads(text)
        return next((step for step in self.sheet["steps"] if step["path"] == path), {})

    def _parts(self, path: str, step: Locator, kind: str, before: Callable[[], None] = lambda: None) -> None:
        """Save one part after another, each when the screen makes it the large one."""
        large = step.locator(f"[data-check={kind}][aria-current]")
        while large.get_attribute("data-kept") is None:
            part = large.get_attribute("data-part")
            before()
            self.press(large)
            kept = step.locator(f'[data-check={kind}][data-part="{part}"]')
            expect(kept).to_have_attribute("data-kept", re.compile("."))

    def _tighten(self, path: str, step: Locator, how: Mapping[str, str]) -> None:
        def before() -> None:
            """Before a bolt is pulled: answer whether it is new and whether its mark is there."""
            mark = step.locator("[data-action=confirm]:has(~ [data-action=take-back])")
            new = step.locator("[data-field=new]")
            if mark.count():
                self.press(mark)
            if new.is_visible():
                tick(new)

        self._parts(path, step, "tighten", before)

    def _turn(self, path: str, step: Locator, how: Mapping[str, str]) -> None:
        self._parts(path, step, "turn")

    def _measure(self, path: str, step: Locator, how: Mapping[str, str]) -> None:
        control = step.locator("[data-check=measure]")
        given = {"number": how.get("number", "5"), "date": how.get("date", "2026-05-14")}
        given |= {"unit": how["unit"]} if "unit" in how else {}
        self.answered(path, lambda: self.read(control, given))

    def read(self, control: Locator, given: Mapping[str, str]) -> None:
        """Fill the boxes beside a check-off, press it, and say yes if the screen asks whether that is right."""
        scope = control.locator("xpath=..")
        for name, text in given.items():
            box = scope.locator(f"[data-field={name}]")
            if box.count():
                fill(box, text)
        self.press(control)
        sure = scope.locator("[data-action=confirm]")
        if sure.count() and sure.is_visible():
            tap(sure)

    def _inspect(self, path: str, step: Locator, how: Mapping[str, str]) -> None:
        good = step.locator("[data-check=inspect][data-outcome]:not(.fails)").first.get_attribute("data-outcome")
        name = how.get("outcome", good or "")
        self.answered(path, lambda: self.press(step.locator(f'[data-check=inspect][data-outcome="{name}"]')))

    def _photo(self, path: str, step: Locator, how: Mapping[str, str]) -> None:
        control = step.locator("[data-check=photo]")
        fill(control.locator("xpath=..").locator("[data-field=kept_at]"), how.get("kept_at", "the shop's camera"))
        self.answered(path, lambda: self.press(control))

    def _wait(self, path: str, step: Locator, how: Mapping[str, str]) -> None:
        """Start the wait, then say by another clock that it is over."""
        begin, end = (step.locator(f"[data-check=wait][data-part={part}]") for part in ("start", "end"))
        unit = {"unit": how["unit"]} if "unit" in how else {}
        if begin.get_attribute("data-kept") is None:
            self.answered(path, lambda: self.read(begin, {"number": how.get("start", "50"), **unit}))
        self.look(path)
        self.act("elapsed", path, minutes=how.get("minutes", "1440"), why=how.get("why", "the clock on the wall"))
        expect(end).not_to_have_attribute("aria-disabled", "true")
        self.answered(path, lambda: self.read(end, {"number": how.get("end", how.get("start", "50")), **unit}))

    def _sign(self, path: str, step: Locator, how: Mapping[str, str]) -> None:
        control = step.locator("[data-check=sign]")
        self.choose(step.locator("[data-field=who]"), how.get("who", ""))
        self.answered(path, lambda: self.press(control))


def fill(box: Locator, text: str) -> None:
    """Fill a box of any kind: text, a choice, a tick."""
    how = box.evaluate(FILL, text)
    if how == "checkbox":
        tick(box, text == "yes")
    elif how == "type":
        session_of(box.page).send("Input.insertText", {"text": text})
    elif how == "wait" and box.evaluate("one => one.matches('select')"):
        box.select_option(text)
    elif how == "wait":
        box.fill(text)
