"""After every form the step in hand is in view, below the header, and a word says what was done. All by touch."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.browser import bays
from tests.browser.bays import ELSEWHERE, PHONE, Bay, other_phone
from tests.browser.drive import Drive
from tests.browser.screens.test_screens import cut

shop, phone, bay = bays.shop, bays.phone, bays.bay

HOOKS = (Path(__file__).parents[3] / "docs" / "format.md").read_text()
ACTIONS = set(re.search(r"\| anything else to tap \| `data-action` \| `([^`]+)`", HOOKS)[1].split())  # type: ignore[index]
ELSEWHERE_MEASURED = {
    "start": "the page of the job follows, at its first step",
    "start-second": "as start",
    "finish": "an answer of its own step, which shows it",
    "despite": "in test_stops",
    "update": "the page is loaded anew",
    "pin": "a switch of the pages that list jobs; it shows where it stands",
    "export": "says beside its button what became of the file",
    "import": "says beside its button what was added",
    "wipe": "the page of all jobs follows",
    "adopt": "in test_stops",
    "mistake": "in test_stops",
    "put-back": "in test_stops",
}
"""Actions that no form of a job's screen keeps, and what is seen after them."""


def in_view(drive: Drive, target: str, said: str) -> None:
    """Check that the element begins right below the header, and that the word is seen and is read out."""
    told = drive.page.locator("[role=status].told")
    expect(told).to_contain_text(said)
    expect(told).to_be_in_viewport(ratio=1)
    drive.page.wait_for_timeout(50)
    where = drive.page.evaluate(
        """target => {
          const top = document.querySelector('.top').getBoundingClientRect();
          const found = document.querySelector(target).getBoundingClientRect();
          return [top.bottom, found.top];
        }""",
        target,
    )
    header, top = where
    assert header - 1 <= top <= header + 24, (said, where)


def at(path: str) -> str:
    return f'[data-step="{path}"]'


Scene = tuple[tuple[str, ...], Callable[[Drive, Bay], tuple[str, str]]]


def of(*paths: str) -> Callable[[Callable[[Drive, Bay], tuple[str, str]]], Scene]:
    return lambda play: (paths, play)


@of("strip-down")
def confirm(drive: Drive, bay: Bay) -> tuple[str, str]:
    made = drive.look("strip-down")
    drive.press(made.locator("[data-action=confirm][data-part=parts]"))
    drive.idle()
    return f"{at('strip-down')} .prep[open]", "Parts: all here. Saved."


@of("idler", "thermostat")
def read(drive: Drive, bay: Bay) -> tuple[str, str]:
    drive.look("idler")
    drive.fill_missing("idler")
    return at("idler"), "Idler bolt filled in. Saved."


def acted(action: str, said: str, path: str = "", shows: str = "windows", **fields: str) -> Scene:
    def play(drive: Drive, bay: Bay) -> tuple[str, str]:
        drive.act(action, path, **fields)
        return at(shows), said

    return ("windows", "cover-off", "drain", "thermostat"), play


@of("windows", "battery-off")
def take_back(drive: Drive, bay: Bay) -> tuple[str, str]:
    drive.close("windows")
    drive.act("take-back", "windows")
    return at("windows"), "Taken back. Saved."


@of("drain")
def elapsed(drive: Drive, bay: Bay) -> tuple[str, str]:
    drive.look("drain")
    drive.answered("drain", lambda: drive.press(drive.step("drain").locator("[data-part=start]")))
    drive.look("drain")
    drive.act("elapsed", "drain", minutes="30", why="the clock on the wall")
    return at("drain"), "Time set. Saved."


@of("lock", "lock-out", "belt-on", "two-turns", "marks")
def back(drive: Drive, bay: Bay) -> tuple[str, str]:
    drive.run(stop_at="marks")
    drive.fail("marks", outcome="off")
    return at(drive.at() or ""), "Back at step"


@of("windows")
def pass_on_and_receive(drive: Drive, bay: Bay) -> tuple[str, str]:
    drive.act("pass-on", to="LM")
    in_view(drive, at("windows"), "Passed on to LM. Saved.")
    drive.press(drive.page.locator("[data-action=receive]"))
    drive.idle()
    return at("windows"), "KS has taken over. Saved."


@of("seal")
def settle(drive: Drive, bay: Bay) -> tuple[str, str]:
    drive.close("seal", outcome="dry")
    mine = next(entry for entry in bay.entries() if entry["kind"] == "check")
    bay.page.evaluate(ELSEWHERE, [other_phone(mine, value={"outcome": "wet"})])
    drive.reopen()
    drive.look("seal")
    drive.press(drive.step("seal").locator("[data-action=settle]").filter(has_text="Dry"))
    drive.idle()
    return at(drive.at() or ""), "One answer holds. Saved."


@of("windows", "battery-off")
def depart(drive: Drive, bay: Bay) -> tuple[str, str]:
    drive.act("depart", "battery-off", part="tool:spanner_10", reason="lost", instead="a 3/8 one")
    return at("battery-off"), "done another way. Saved."


SCENES: dict[str, Scene] = {
    "confirm": confirm,
    "read": read,
    "take-back": take_back,
    "elapsed": elapsed,
    "back not-disturbed": back,
    "pass-on receive": pass_on_and_receive,
    "settle": settle,
    "skip": acted("skip", "left out. Saved.", "windows", "drain", reason="stuck"),
    "not-fitted": acted("not-fitted", "not fitted. Saved.", "windows", "drain", reason="none here"),
    "refuse": acted("refuse", "refused by the customer. Saved.", "windows", "drain", how="by phone", told_by="KS"),
    "depart": depart,
    "took-off": acted("took-off", "Bracket is on the list. Saved.", label="Bracket"),
    "extra": acted(
        "extra", "Wiper blades added to the job. Saved.", label="Wiper blades", approved_by="CS", how="phone"
    ),
    "count": acted("count", "Lower cover bolts: 7. Saved.", item="cover_bolts", count="7"),
    "correct": acted("correct", "Start corrected. Saved.", field="odometer", to="82410", reason="digits"),
    "decline": acted("decline", "The shop declines this job. Saved.", reason="not ours"),
}


def test_every_action_is_measured_here_or_said_why_not() -> None:
    measured = {action for name in SCENES for action in name.split()}
    assert measured & set(ELSEWHERE_MEASURED) == set()
    assert measured | set(ELSEWHERE_MEASURED) == ACTIONS


@pytest.mark.parametrize("name", SCENES)
def test_after_a_form_the_step_in_hand_is_in_view_with_what_was_done(bay: Bay, name: str) -> None:
    paths, play = SCENES[name]
    sheet = cut(*paths)
    sheet["steps"][0]["may_refuse"] = name == "refuse"
    drive = bay.begin(sheet)
    if name == "count":
        drive.close("windows")
        drive.close("cover-off")
    target, said = play(drive, bay)
    if name == "count":
        target = at(drive.at() or "")
    in_view(drive, target, said)
    drive.page.emulate_media(reduced_motion="reduce")
    bay.page.set_viewport_size({**PHONE, "height": 700})  # type: ignore[typeddict-item]
    bay.page.set_viewport_size(PHONE)  # type: ignore[arg-type]
    in_view(drive, target, said)
    drive.page.emulate_media(reduced_motion=None)
