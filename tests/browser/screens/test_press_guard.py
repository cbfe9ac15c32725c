"""A press answers once, and only the control it began on, with every kind of input: controls change under the finger.

Two controls lie one over the other, like the last step's and the next one's. What is pressed is noted.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.browser import bays
from tests.browser.bays import PHONE, Bay, files_of
from tests.browser.touch import Finger, assisted, session_of
from tests.proofs import touch_harness
from tests.proofs.touch_harness import WITHOUT_GUARD, Phone, one_gesture, worksheet

shop, phone, bay = bays.shop, bays.phone, bays.bay

LAY_OUT = """async () => {
  const { pressButton } = await import('/phone/screen/common/press.js');
  const { guardPresses, settle } = await import('/phone/screen/common/press_guard.js');
  const { make, show } = await import('/phone/screen/common/nodes.js');
  if (!globalThis.isGuarded) guardPresses(globalThis);
  globalThis.isGuarded = true;
  const pressed = [];
  const one = (name) => {
    const button = pressButton({ attrs: { id: name }, onPress: async () => { pressed.push(name); return null; } });
    button.update({ label: name });
    return button;
  };
  const [first, second] = ['first', 'second'].map(one);
  const message = make('p', { id: 'message', hidden: true }, 'A message above, as tall as a control.');
  const time = make('time', {}, '0:09');
  const clock = make('button', { id: 'clock', type: 'button', onclick: () => pressed.push('clock') }, 'Step 7 ', time);
  const box = make('input', { type: 'checkbox', id: 'box' });
  const line = make('details', { id: 'line' }, make('summary', { id: 'summary' }, 'Opens'), 'what it says');
  const link = make('a', { id: 'link', href: '#followed' }, 'A link');
  const label = make('label', { id: 'label' }, box, 'A box');
  const place = 'width: 300px; height: 90px; margin: 0; vertical-align: top';
  const all = [message, first.node, second.node, clock, label, line, link];
  document.body.replaceChildren(...all.map((node) => make('div', {}, node)));
  for (const node of all) node.style.cssText = place;
  location.hash = '';
  document.activeElement?.blur();
  const changes = {
    'the next comes': () => { show(first.node, false); second.node.focus(); },
    'it means something else': () => first.update({ label: 'third' }),
    'a message comes above': () => show(message, true),
    'nothing': () => {},
    'the page is left': () => dispatchEvent(new Event('blur')),
    'its time runs': () => { time.textContent = '0:08'; },
    'the page goes on': settle,
  };
  globalThis.told = { pressed, change: (name) => { changes[name](); } };
}"""
AT = (150.0, 45.0)
"""Where the first control lies, and then the one that takes its place."""

Press = Callable[[Page, Callable[[], None]], None]


@pytest.fixture(scope="module")
def page(chromium: Any, pages: Any) -> Any:
    context = chromium.new_context(viewport=PHONE, has_touch=True)
    page = context.new_page()
    page.goto(pages.url("/pages/keep.html"))
    yield page
    context.close()


@pytest.fixture(autouse=True)
def laid_out(page: Page) -> None:
    page.evaluate(LAY_OUT)


def change(page: Page, name: str) -> Callable[[], None]:
    return lambda: page.evaluate("name => told.change(name)", name)


def pressed(page: Page) -> list[str]:
    page.wait_for_timeout(30)
    return list(page.evaluate("() => [...told.pressed]"))


def by_touch(page: Page, meanwhile: Callable[[], None]) -> None:
    finger = Finger(page)
    finger.down(*AT)
    meanwhile()
    finger.up()


def by_device(kind: str) -> Press:
    def press(page: Page, meanwhile: Callable[[], None]) -> None:
        given = {"x": AT[0], "y": AT[1], "button": "left", "clickCount": 1, "pointerType": kind}
        page.wait_for_timeout(420)  # real events have no clock of their own
        session_of(page).send("Input.dispatchMouseEvent", {"type": "mousePressed", **given})
        meanwhile()
        session_of(page).send("Input.dispatchMouseEvent", {"type": "mouseReleased", **given})

    return press


def by_key(key: str) -> Press:
    def press(page: Page, meanwhile: Callable[[], None]) -> None:
        page.wait_for_timeout(420)
        page.locator("#first").focus()
        if key == "Enter":  # it answers when it goes down, and again with each repeat
            page.keyboard.down(key)
            meanwhile()
            for _ in range(3):
                page.keyboard.down(key)
        else:
            page.keyboard.down(key)
            meanwhile()
        page.keyboard.up(key)

    return press


WAYS: dict[str, Press] = {
    "touch": by_touch,
    "mouse": by_device("mouse"),
    "pen": by_device("pen"),
    "Space": by_key(" "),
    "Enter": by_key("Enter"),
}


@pytest.mark.parametrize("way", WAYS)
def test_what_takes_the_place_of_a_control_is_not_pressed_by_its_release(page: Page, way: str) -> None:
    WAYS[way](page, change(page, "the next comes"))
    assert pressed(page) == (["first"] if way == "Enter" else [])


@pytest.mark.parametrize("way", WAYS)
def test_a_press_of_any_kind_counts_once(page: Page, way: str) -> None:
    WAYS[way](page, change(page, "nothing"))
    assert pressed(page) == ["first"]


@pytest.mark.parametrize("what", ["it means something else", "a message comes above", "the page is left"])
def test_a_press_is_void_once_its_control_means_something_else_moved_away_or_was_left(page: Page, what: str) -> None:
    by_touch(page, change(page, what))
    assert pressed(page) == []
    by_touch(page, change(page, "nothing"))
    assert pressed(page) == ([] if what == "a message comes above" else ["first"]), "the next press counts again"


def middle(page: Page, name: str) -> tuple[float, float]:
    box = page.locator(f"#{name}").bounding_box()
    assert box
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def test_a_time_that_runs_on_the_face_of_a_control_changes_nothing(page: Page) -> None:
    finger = Finger(page)
    finger.down(*middle(page, "clock"))
    change(page, "its time runs")()
    finger.up()
    assert pressed(page) == ["clock"]


@pytest.mark.parametrize("name", ["second", "summary", "label", "link"])
def test_a_press_that_began_elsewhere_is_none_for_a_button_a_line_a_box_or_a_link(page: Page, name: str) -> None:
    """The control comes up under a finger that was on nothing."""
    said = """() => [...told.pressed, document.getElementById('line').open && 'summary',
      document.getElementById('box').checked && 'label', location.hash === '#followed' && 'link'].filter(Boolean)"""
    x, y = middle(page, name)
    finger = Finger(page)
    cover = """name => { const cover = document.createElement('p'); cover.id = 'cover';
      cover.style.cssText = 'position: fixed; inset: 0; margin: 0; z-index: 9'; document.body.append(cover); }"""
    page.evaluate(cover)
    finger.down(x, y)
    page.evaluate("() => document.getElementById('cover').remove()")
    finger.up()
    page.wait_for_timeout(30)
    assert page.evaluate(said) == []
    finger.down(x, y)
    finger.up()
    page.wait_for_timeout(30)
    assert page.evaluate(said) == [name]


def test_a_second_finger_presses_nothing_and_the_phone_hears_the_next_one_alone(page: Page) -> None:
    finger = Finger(page)
    finger.down(330, 700)
    for _ in range(2):
        finger.down(*AT, number=1)
        finger.up(1)
    assert pressed(page) == []
    finger.up()
    by_touch(page, change(page, "nothing"))
    assert pressed(page) == ["first"]


def test_a_finger_whose_lifting_was_never_heard_does_not_lock_the_page(page: Page) -> None:
    page.evaluate(
        """() => {
          dispatchEvent(new PointerEvent('pointerdown', { pointerId: 77, pointerType: 'touch', isPrimary: true }));
        }"""
    )
    by_touch(page, change(page, "nothing"))
    assert pressed(page) == ["first"]


def test_a_screen_reader_s_click_counts_by_itself_and_never_under_a_finger(page: Page) -> None:
    page.evaluate("() => { document.getElementById('first').accessKey = 'x'; }")
    finger = Finger(page)
    finger.down(330, 700)
    assisted(page, "x")
    assert pressed(page) == []
    finger.up()
    assisted(page, "x")
    assert pressed(page) == ["first"]


def test_what_is_pressed_as_the_page_goes_on_was_not_meant_for_it(page: Page) -> None:
    change(page, "the page goes on")()
    finger = Finger(page, ahead=0)
    finger.down(*AT)
    finger.up()
    assert pressed(page) == []


# --- the real screens: a small share of the long run ------------------------------------------------------------------


@pytest.mark.parametrize("is_guarded", [True, False], ids=["guarded", "control"])
def test_a_held_press_writes_what_was_meant_and_nothing_else(bay: Bay, is_guarded: bool) -> None:
    dice = random.Random(3)
    sheet = worksheet(dice)
    bay.server.put("/", files_of(sheet))
    if not is_guarded:
        script = {"body": WITHOUT_GUARD, "content_type": "text/javascript"}
        bay.page.route("**/press_guard.js", lambda route: route.fulfill(**script))  # type: ignore[arg-type]
    gestures = ("held, then tapped at once", "slid off") if is_guarded else ("the page hidden",)
    real = Phone(bay.page, bay.server, sheet)
    counts = [one_gesture(real, name, dice) for name in gestures]
    wrong = sum(count.others + count.missing for count in counts)
    assert wrong == 0 if is_guarded else wrong > 0 or all(count.void for count in counts)


def test_a_run_that_proves_nothing_is_a_failure() -> None:
    good = {"held still": touch_harness.Count(done=9, meant=9, written=9)}
    bad = {"held still": touch_harness.Count(done=9, meant=9, written=9, others=2)}
    assert touch_harness.faults(good, bad) == []
    assert touch_harness.faults(good, good) and touch_harness.faults(bad, bad)
    assert touch_harness.faults({"held still": touch_harness.Count(done=9, void=3)}, bad)
    assert touch_harness.faults({"held still": touch_harness.Count(done=9, meant=9, written=8, missing=1)}, bad)
