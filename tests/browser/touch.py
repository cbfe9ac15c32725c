"""A finger on the screen, by the browser's own touch events, so the page sees what it would see of a hand.

    tap(page.locator("[data-action=start]"))
    with Finger(page).on(control):          # down, and up at the end
        page.wait_for_timeout(900)

A control is scrolled into view, and it must be what lies under the finger.

A person needs some 0.4 s to see that the page has changed, and a press before that does not count. No test waits for
that. Instead the clock of this hand runs ahead of the page's clock by as much, so each press says that it came later.
`Finger(page, ahead=0)` is a hand without patience.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from weakref import WeakKeyDictionary, WeakSet

from playwright.sync_api import BrowserContext, CDPSession, ElementHandle, Locator, Page

AHEAD = 0.6
"""Seconds by which the hand's clock is ahead: more than the page wants between an answer and the next press."""
PATIENCE_MS = 8000

# Find the outermost closed <details> that hides an element. Return its summary, or null.
CLOSED_ROUND = """element => {
  let found = null;
  for (let at = element.parentElement.closest('details'); at; at = at.parentElement.closest('details')) {
    if (!at.open && !at.querySelector('summary')?.contains(element)) found = at.querySelector('summary');
  }
  return found;
}"""

# Find where to put the finger: the middle of the control, once it is drawn and nothing covers it. If the caller opens
# folds, return at once when the control is in one.
PLACE = """async (one, [patience, isForced, opensFolds]) => {
  const closedRound = CLOSED_ROUND;
  if (opensFolds && closedRound(one)) return { isFolded: true };
  const middle = () => {
    const { left, top, width, height } = one.getClientRects()[0] ?? one.getBoundingClientRect();
    return { x: left + width / 2, y: top + height / 2, tip: Math.min(8, height / 3), isDrawn: width > 0 && height > 0 };
  };
  // A finger has a tip: what lies a few pixels above and below it must be the control too.
  const isUnder = ({ x, y, tip, isDrawn }) => isDrawn && [y - tip, y, y + tip].every((at) => isHit(x, at));
  const isHit = (x, y) => {
    const hit = document.elementFromPoint(x, y);
    return hit !== null && (one === hit || one.contains(hit) || Boolean(hit.closest('label')?.contains(one)));
  };
  const isReady = () => isForced || !one.matches('[aria-disabled=true], :disabled');
  const until = performance.now() + patience;
  let place = middle();
  while (!isReady() || !isUnder(place)) {
    if (performance.now() > until) {
      const hit = document.elementFromPoint(place.x, place.y);
      const under = `under the finger is ${hit?.outerHTML.slice(0, 200)}`;
      return { why: !place.isDrawn ? 'it is not drawn' : isReady() ? under : 'it is disabled' };
    }
    if (isReady() && place.isDrawn) one.scrollIntoView({ block: 'center', behavior: 'instant' });
    if (!isUnder(place = middle())) await new Promise((go) => setTimeout(go, 15));
    place = middle();
  }
  return place;
}""".replace("CLOSED_ROUND", CLOSED_ROUND)

clocked: WeakSet[BrowserContext] = WeakSet()
"""Phones whose clock the test moves, that of their events too: there the clock goes on before each press."""
_sessions: WeakKeyDictionary[Page, CDPSession] = WeakKeyDictionary()


class Unreachable(AssertionError):
    """A control that no finger could press."""


class Finger:
    """One finger of a hand on a page. Fingers of one hand are told apart by their number."""

    def __init__(self, page: Page, ahead: float = AHEAD) -> None:
        self.page, self.ahead = page, ahead
        self.points: dict[int, dict[str, float]] = {}

    def down(self, x: float, y: float, number: int = 0) -> None:
        if self.page.context in clocked:
            self.page.context.clock.fast_forward(int(self.ahead * 1000))
        self.points[number] = {"x": x, "y": y, "id": number}
        self._send("touchStart")

    def move(self, x: float, y: float, number: int = 0) -> None:
        self.points[number] = {"x": x, "y": y, "id": number}
        self._send("touchMove")

    def up(self, number: int = 0) -> None:
        """Lift a finger. If the browser has cancelled its touch, nothing is sent."""
        if self.points.pop(number, None) is not None:
            self._send("touchEnd")

    def cancel(self) -> None:
        """Cancel all touches, as the system does for a gesture of its own."""
        self.points.clear()
        self._send("touchCancel")

    @contextmanager
    def on(self, control: Locator | ElementHandle, *, forced: bool = False) -> Iterator[None]:
        """Keep the finger on a control while the block runs."""
        x, y = place(control, forced=forced)
        self.down(x, y)
        try:
            yield
        finally:
            self.up()

    def _send(self, kind: str) -> None:
        points: list[Any] = list(self.points.values())
        at = {"timestamp": time.time() + self.ahead} if self.ahead else {}
        session_of(self.page).send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points, **at})


def session_of(page: Page) -> CDPSession:
    """Return the page's own CDP session, opened once."""
    if page not in _sessions:
        _sessions[page] = page.context.new_cdp_session(page)
    return _sessions[page]


def place(control: Locator | ElementHandle, *, forced: bool = False) -> tuple[float, float]:
    """Return the middle of a control in the window, in CSS pixels. Raises Unreachable if it can't be pressed."""
    at = place_or_fold(control, forced=forced, opens_folds=False)
    assert at
    return at


def place_or_fold(
    control: Locator | ElementHandle, *, forced: bool = False, opens_folds: bool = True
) -> tuple[float, float] | None:
    """Return the same, or None at once if the control is hidden in a fold that somebody will open."""
    found = control.evaluate(PLACE, [PATIENCE_MS, forced, opens_folds])
    if "isFolded" in found:
        return None
    if "why" in found:
        raise Unreachable(f"No finger can press {control}: {found['why']}.")
    return found["x"], found["y"]


def page_of(control: Locator | ElementHandle) -> Page:
    if isinstance(control, Locator):
        return control.page
    frame = control.owner_frame()
    assert frame
    return frame.page


def tap(control: Locator | ElementHandle, *, forced: bool = False) -> None:
    """Tap a control. With `forced`, even one that says it is disabled."""
    with Finger(page_of(control)).on(control, forced=forced):
        pass


def tap_at(page: Page, x: float, y: float) -> None:
    """Tap a point of the window that `place` has just given."""
    finger = Finger(page)
    try:
        finger.down(x, y)
    finally:
        finger.up()


def assisted(page: Page, key: str) -> None:
    """Send a click without a press, as a screen reader or a switch does, to the element with this accesskey."""
    given = {"modifiers": 1, "key": key, "text": key, "unmodifiedText": key, "isSystemKey": True}
    for kind in ("rawKeyDown", "char", "keyUp"):
        session_of(page).send("Input.dispatchKeyEvent", {"type": kind, **given})


def tick(box: Locator, wanted: bool = True) -> None:
    """Tap a tick box if it is not as wanted."""
    if box.is_checked() != wanted:
        tap(box)
