"""Press on a phone as hands really do: what is written must be what was meant, and nothing else.

    python -m tests.proofs.touch_harness --holds 500 --seed 1

A worksheet of press-and-hold steps, each followed by one that takes a tap where the thumb still is. A gesture is drawn,
and what it means is decided before it is sent. Held for 0.65 to 3 s: its own answer. Released early, slid off, taken by
the system or by a call: nothing. A second finger or a turned phone while it is held: its own answer or none. Then the
entries are read back from the phone's store. Gestures are sent as the browser's own input (touch, pen, mouse, keys).

The control is the same gestures on a page whose guard lets every press through: it must write what nobody meant. A
gesture that a busy machine made too slow to mean what was decided is void, and is made again.
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Callable, Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from typing import Any

from playwright.sync_api import Page, sync_playwright

from tests.browser.bays import JOB, JOURNAL, PHONE, files_of
from tests.browser.drive import Drive
from tests.browser.engines import chromium_version, launch_chromium
from tests.browser.server import Server
from tests.browser.touch import Finger, assisted, place, session_of
from tests.support.sample_sheet import inspect, sample_sheet, step, tick, tighten

HOLD = 0.6
"""Seconds that a press must last, as the page has it."""
QUIET = 0.45
"""Seconds after a gesture in which whatever it left behind shows; also what the page wants between two presses."""
MOST_VOID = 0.25
"""Share of gestures that a slow machine may spoil before the run says nothing any more."""
HOLDS_A_JOB = 12

WITHOUT_GUARD = b"""
const ENDS = ['pointerup', 'pointercancel', 'pointerleave', 'keyup', 'blur'];
export const guardPresses = () => {};
export const settle = () => {};
export const isByHand = ({ detail }) => detail > 0;
export const pressBegun = ({ target }) => ({
  end: (onEnd) => { for (const name of ENDS) target.addEventListener(name, onEnd, { once: true }); },
  take: () => true,
});
"""
"""The phone's guard as one that guards nothing: a press ends where its control hears of it, and every click counts."""


class Void(Exception):
    """The machine was too slow for the gesture to mean what was decided."""


@dataclass
class Hand:
    """What a gesture works with: the page, a resting finger, the middle of the control and its step."""

    page: Page
    dice: random.Random
    path: str
    at: tuple[float, float]
    finger: Finger = field(init=False)
    since: float = 0.0

    def __post_init__(self) -> None:
        self.finger = Finger(self.page, ahead=0)

    def down(self) -> None:
        self.since = time.monotonic()
        self.finger.down(*self.at)

    def wait(self, least: float, most: float) -> None:
        self.page.wait_for_timeout(self.dice.uniform(least, most) * 1000)

    def wait_until(self, seconds: float) -> None:
        """Wait until so long after the press began."""
        self.page.wait_for_timeout(max(0.0, self.since + seconds - time.monotonic()) * 1000)

    def must_be_early(self) -> None:
        if time.monotonic() - self.since > HOLD - 0.02:
            raise Void

    def length(self) -> float:
        """Return how long a hold lasts: mostly short, sometimes long."""
        return min(3.0, 0.65 + self.dice.expovariate(1 / 0.5))

    def gone_on(self) -> None:
        """Wait until the page shows another step."""
        gone = "path => document.querySelector('[data-job] [data-step][open]')?.dataset.step !== path"
        self.page.wait_for_function(gone, arg=self.path)


def held(hand: Hand) -> None:
    hand.down()
    hand.wait_until(hand.length())
    hand.finger.up()


def trembling(hand: Hand) -> None:
    """A finger that is never quite still, within its control."""
    hand.down()
    until = hand.length()
    while time.monotonic() - hand.since < until:
        x, y = hand.at
        hand.finger.move(x + hand.dice.uniform(-6, 6), y + hand.dice.uniform(-6, 6))
        hand.wait(0.03, 0.08)
    hand.finger.up()


def let_go_early(hand: Hand) -> None:
    hand.down()
    hand.wait(0.02, 0.4)
    hand.finger.up()
    hand.must_be_early()


def away(hand: Hand, dx: float, dy: float, steps: int = 6) -> None:
    """Move the finger by this much, in steps."""
    x, y = hand.at
    for now in range(1, steps + 1):
        hand.finger.move(x + dx * now / steps, y + dy * now / steps)


def slid_off(hand: Hand) -> None:
    """Slide off the control too early, often back onto it, and lift late."""
    hand.down()
    hand.wait(0.02, 0.2)
    away(hand, hand.dice.choice((-1, 1)) * 2, -170, 4)
    hand.must_be_early()
    if hand.dice.random() < 0.5:
        hand.finger.move(*hand.at)
    hand.wait_until(hand.length())
    hand.finger.up()


def dragged(hand: Hand) -> None:
    """A scroll that began on the control."""
    hand.down()
    away(hand, 0, hand.dice.choice((-1, 1)) * hand.dice.uniform(90, 200))
    hand.must_be_early()
    hand.wait_until(hand.length())
    hand.finger.up()


def slid_after(hand: Hand) -> None:
    """Hold, then slide off to another place on the new screen, and lift there."""
    hand.down()
    hand.gone_on()
    away(hand, hand.dice.uniform(-90, 90), hand.dice.uniform(-220, 30))
    hand.wait(0.0, 1.0)
    hand.finger.up()


def second_while(hand: Hand) -> None:
    """Another finger comes down elsewhere while the first holds. They leave in either order."""
    hand.down()
    hand.wait(0.05, 0.4)
    hand.finger.down(hand.dice.uniform(30, 330), hand.dice.uniform(130, 400), 1)
    hand.wait_until(hand.length())
    for number in hand.dice.choice(((0, 1), (1, 0))):
        hand.finger.up(number)
        hand.wait(0.0, 0.2)


def second_after(hand: Hand) -> None:
    """Tap the new step's control with another finger while the first is still down."""
    hand.down()
    hand.gone_on()
    x, y = hand.at
    for _ in range(hand.dice.choice((1, 2))):
        hand.wait(0.0, 0.6)
        hand.finger.down(x - hand.dice.uniform(40, 100), y + hand.dice.uniform(-20, 20), 1)
        hand.wait(0.02, 0.1)
        hand.finger.up(1)
    hand.wait(0.0, 0.4)
    hand.finger.up()


def tapped_again(hand: Hand) -> None:
    """Lift at once, and tap the same place before anybody can have read the new screen."""
    begun = time.time()
    hand.down()
    hand.gone_on()
    for least, act in ((HOLD + 0.05, hand.finger.up), (HOLD + 0.2, hand.down), (HOLD + 0.25, hand.finger.up)):
        hand.finger.ahead = begun + least - time.time()
        act()


def turned_before(hand: Hand) -> None:
    hand.down()
    hand.wait(0.05, 0.35)
    hand.page.set_viewport_size({"width": 740, "height": 360})
    hand.wait_until(hand.length())
    hand.finger.up()


def turned_after(hand: Hand) -> None:
    hand.down()
    hand.gone_on()
    hand.page.set_viewport_size({"width": 740, "height": 360})
    hand.wait(0.0, 0.8)
    hand.finger.up()


def taken_by_the_system(hand: Hand) -> None:
    hand.down()
    hand.wait(0.05, 0.35)
    hand.finger.cancel()
    hand.must_be_early()
    hand.wait(0.3, 1.0)


def left(hand: Hand, event: str) -> None:
    """The page hears that it was left while the finger is down. The finger is lifted long after."""
    hand.down()
    hand.wait(0.05, 0.35)
    hand.page.evaluate(event)
    hand.must_be_early()
    hand.wait_until(hand.length())
    hand.finger.up()


def called(hand: Hand) -> None:
    left(hand, "() => { dispatchEvent(new Event('blur')); }")


def hidden(hand: Hand) -> None:
    left(hand, "() => { document.dispatchEvent(new Event('visibilitychange')); }")


def key_held(hand: Hand) -> None:
    """Press Space or Enter, with the repeats of a held key."""
    key = hand.dice.choice((" ", "Enter"))
    hand.page.evaluate("() => document.querySelector('[data-step][open] [data-check]').focus()")
    hand.since = time.monotonic()
    until = hand.length()
    while time.monotonic() - hand.since < until:
        hand.page.keyboard.down(key)
        hand.wait(0.03, 0.06)
    hand.page.keyboard.up(key)


def mouse_held(hand: Hand) -> None:
    hand.page.mouse.move(*hand.at)
    hand.since = time.monotonic()
    hand.page.mouse.down()
    hand.wait_until(hand.length())
    hand.page.mouse.up()


def pen_held(hand: Hand) -> None:
    x, y = hand.at
    hand.since = time.monotonic()
    for kind, more in (("mousePressed", 0), ("mouseReleased", 1)):
        if more:
            hand.wait_until(hand.length())
        given = {"type": kind, "x": x, "y": y, "button": "left", "clickCount": 1, "pointerType": "pen"}
        session_of(hand.page).send("Input.dispatchMouseEvent", given)


def assisted_under_a_finger(hand: Hand) -> None:
    """Send a click of the platform's own, without a press, to the new step's control while the finger is there."""
    hand.down()
    hand.gone_on()
    hand.page.evaluate(
        "() => document.querySelectorAll('[data-step][open] [data-check]').forEach(one => { one.accessKey = 'x'; })"
    )
    assisted(hand.page, "x")
    hand.wait(0.0, 0.4)
    hand.finger.up()


OWN, NONE, OWN_OR_NONE = "its own", "none", "its own or none"

GESTURES: dict[str, tuple[int, str, Callable[[Hand], None]]] = {
    "held still": (6, OWN, held),
    "held, trembling": (4, OWN, trembling),
    "held, then slid away": (4, OWN, slid_after),
    "held, then tapped at once": (4, OWN, tapped_again),
    "held, a second finger on the new step": (4, OWN, second_after),
    "held, turned after": (2, OWN, turned_after),
    "held, a platform's click under it": (2, OWN, assisted_under_a_finger),
    "let go early": (4, NONE, let_go_early),
    "slid off": (4, NONE, slid_off),
    "dragged": (3, NONE, dragged),
    "taken by the system": (2, NONE, taken_by_the_system),
    "a call (blur)": (2, NONE, called),
    "the page hidden": (2, NONE, hidden),
    "a second finger while held": (3, OWN_OR_NONE, second_while),
    "turned while held": (3, OWN_OR_NONE, turned_before),
    "key held": (3, OWN, key_held),
    "mouse held": (2, OWN, mouse_held),
    "pen held": (2, OWN, pen_held),
}
"""Name -> how often among the others, what it means, how it is made."""


@dataclass
class Count:
    """Of one kind of gesture: how often, entries meant and written as meant, entries nobody meant, missing, void."""

    done: int = 0
    meant: int = 0
    written: int = 0
    others: int = 0
    missing: int = 0
    void: int = 0

    def __add__(self, other: Count) -> Count:
        return Count(*(mine + its for mine, its in zip(self.row(), other.row(), strict=True)))

    def row(self) -> tuple[int, ...]:
        return (self.done, self.meant, self.written, self.others, self.missing, self.void)


def worksheet(dice: random.Random) -> dict[str, Any]:
    """Return press-and-hold steps, each followed by one whose control is where the thumb still is."""
    after = [tick(), tighten("cover_bolts"), inspect(good="Evenly", bad_soft="It gave way"), tick(hold_down=True)]
    steps = []
    for number in range(HOLDS_A_JOB):
        steps.append(step(f"hold-{number}", 0, [f"Hold number {number}."], tick(hold_down=True)))
        steps.append(step(f"then-{number}", 0, [f"What follows number {number}."], dice.choice(after)))
    sheet = sample_sheet()
    done = [one for one in sheet["steps"] if one["completion"]]
    return {**sheet, "steps": [*steps, *done]}


class Phone:
    """One page in front of a site, with a job under way. It starts a new job when its worksheet is done."""

    def __init__(self, page: Page, server: Server, sheet: dict[str, Any]) -> None:
        self.page, self.sheet = page, sheet
        self.drive = Drive(page, server.url("/"), sheet=sheet)
        self.holds = {one["path"] for one in sheet["steps"] if one["check"].get("hold_down")}
        self.seen: set[str] = set()
        self.jobs = 0
        self.begin()

    def begin(self) -> None:
        self.jobs += 1
        self.page.goto("about:blank")
        self.job = self.drive.start(self.sheet["worksheet"], **{**JOB, "job": f"J-{self.jobs}"})
        self.seen = {entry["id"] for entry in self.entries()}

    def entries(self) -> list[dict[str, Any]]:
        return list(self.page.evaluate(JOURNAL, self.job))

    def new(self) -> list[tuple[str, str]]:
        """Return what was written since the last call, as (step, kind)."""
        found = [entry for entry in self.entries() if entry["id"] not in self.seen]
        self.seen |= {entry["id"] for entry in found}
        return [(entry["step"], entry["kind"]) for entry in found]

    def to_a_hold(self) -> str:
        """Work on, with clean taps, until a step that is held down is the large one. Returns its path."""
        while True:
            path = self.drive.at() or self.drive.next()
            if path == "done":
                self.begin()
            elif path in self.holds and self.drive.state(path) == "open":
                self.drive.look(path)
                return path
            else:
                self.drive.look(self.drive.next())
                path = self.drive.at() or ""
                if path not in self.holds and path != "done":
                    self.drive.close(path)
                self.new()

    def settle(self) -> None:
        self.page.wait_for_timeout(QUIET * 1000)
        self.drive.idle()


def judged(meaning: str, path: str, written: list[tuple[str, str]]) -> Count:
    own = written.count((path, "check"))
    others = len(written) - min(own, 1 if meaning != NONE else 0)
    meant = {OWN: 1, NONE: 0, OWN_OR_NONE: min(own, 1)}[meaning]
    return Count(done=1, meant=meant, written=min(own, meant), others=others, missing=meant - min(own, meant))


def one_gesture(phone: Phone, name: str, dice: random.Random) -> Count:
    _, meaning, make = GESTURES[name]
    path = phone.to_a_hold()
    phone.settle()
    phone.new()
    hand = Hand(phone.page, dice, path, place(phone.drive.step(path).locator("[data-check]")))
    is_void = False
    try:
        make(hand)
    except Void:
        is_void = True
        hand.finger.up()
    finally:
        if "turned" in name:
            phone.page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    phone.settle()
    written = phone.new()
    return Count(void=1) if is_void else judged(meaning, path, written)


def run_share(holds: int, seed: str, guarded: bool) -> dict[str, Count]:
    """Make so many gestures on one page. A void one is made again, within limits."""
    dice = random.Random(seed)
    sheet = worksheet(dice)
    files = files_of(sheet)
    if not guarded:
        files["phone/screen/common/press_guard.js"] = WITHOUT_GUARD
    counts: dict[str, Count] = {name: Count() for name in GESTURES}
    weights = [weight for weight, _, _ in GESTURES.values()]
    with Server({"/": files}) as server, sync_playwright() as playwright:
        browser = launch_chromium(playwright)
        page = browser.new_context(viewport=PHONE, has_touch=True).new_page()  # type: ignore[arg-type]
        phone = Phone(page, server, sheet)
        for trial in range(holds):
            every = list(GESTURES)
            name = every[trial] if trial < len(every) <= holds else dice.choices(every, weights)[0]
            for _ in range(5):
                count = one_gesture(phone, name, dice)
                counts[name] += count
                if count.done:
                    break
        browser.close()
    return counts


def _share(given: tuple[int, str, bool]) -> dict[str, Count]:
    return run_share(*given)


def run(holds: int, seed: int, pages: int, guarded: bool) -> dict[str, Count]:
    """Share the gestures out over so many browsers."""
    shares = [(holds // pages + (at < holds % pages), f"{seed} {at}", guarded) for at in range(pages)]
    with ProcessPoolExecutor(pages) as pool:
        return total(pool.map(_share, [one for one in shares if one[0]]))


def total(parts: Iterable[dict[str, Count]]) -> dict[str, Count]:
    sums: dict[str, Count] = {name: Count() for name in GESTURES}
    for part in parts:
        for name, count in part.items():
            sums[name] += count
    return sums


def table(counts: dict[str, Count]) -> list[str]:
    heads = ("gestures", "meant", "written", "others", "missing", "void")
    lines = [f"{'gesture':40s}{'means':18s}" + "".join(f"{head:>10s}" for head in heads)]
    for name, count in counts.items():
        lines.append(f"{name:40s}{GESTURES[name][1]:18s}" + "".join(f"{number:10d}" for number in count.row()))
    sums = sum(counts.values(), Count())
    return [*lines, f"{'all':58s}" + "".join(f"{number:10d}" for number in sums.row())]


def faults(guarded: dict[str, Count], control: dict[str, Count]) -> list[str]:
    """Return what makes the run a failure."""
    sums, lost = sum(guarded.values(), Count()), sum(control.values(), Count())
    found = [
        f"{name}: {c.others} entries nobody meant, {c.missing} missing"
        for name, c in guarded.items()
        if c.others or c.missing
    ]
    found += [] if lost.others else ["the control wrote nothing that was not meant: this run proves nothing"]
    found += [f"never made: {name}" for name, count in guarded.items() if not count.done and sums.done >= len(GESTURES)]
    if sums.void > MOST_VOID * max(1, sums.done):
        found.append(f"{sums.void} of {sums.done} gestures were void: the machine is too slow for this proof")
    return found


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--holds", type=int, default=500)
    parser.add_argument("--control", type=int, default=60, help="gestures of the control")
    parser.add_argument("--pages", type=int, default=3)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    begun = time.monotonic()
    guarded, control = (
        run(number, args.seed, args.pages, is_guarded)
        for number, is_guarded in ((args.holds, True), (args.control, False))
    )
    print(f"touch: {args.holds} gestures, seed {args.seed}, {chromium_version()}, {time.monotonic() - begun:.0f} s\n")
    print("\n".join(table(guarded)))
    print("\nControl: the same page with a guard that lets every press through\n")
    print("\n".join(table(control)))
    found = faults(guarded, control)
    print("\n" + ("\n".join(found) or "Entries written equal what was meant; 0 others."))
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
