"""The whole flagship job with an invented word for every kind, list, gate, role, fact and noun of the trade."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, expect

from generator.site import build, disk
from tests.browser.drive import Drive
from tests.browser.screens.test_whole_job import PHONE, PREFIX, good_outcomes
from tests.browser.server import Server
from tests.support import demo, good_day, nonsense


@pytest.fixture
def shop() -> Iterator[Server]:
    made = build.build(nonsense.texts()[0], disk.read_pictures(demo.ROOT, "procedures"), disk.read_overrides())
    with Server({PREFIX: dict(made.files)}) as server:
        yield server


def test_the_flagship_completes_in_words_that_nobody_knows(chromium: Browser, shop: Server) -> None:
    sheet = next(one for one in nonsense.checked().sheets if one["worksheet"].endswith("brackwold-i4-16"))
    context = chromium.new_context(viewport=PHONE, has_touch=True)
    page = context.new_page()
    drive = Drive(page, shop.url(PREFIX))
    drive.start(sheet["worksheet"], job="Q-1", vehicle="Blue hatchback", odometer="118350")
    outcomes = {**good_outcomes(sheet), **bringing_gates(sheet)}
    typed = good_day.as_typed(sheet)
    steps = {step["path"]: step for step in sheet["steps"]}
    gates = [path for path, step in steps.items() if step["gate"] and is_asked(step, steps, outcomes)]
    assert {_gate(sheet, path) for path in gates} == {step["gate"]["for"] for step in steps.values() if step["gate"]}
    stands = {of for (section, _), of in nonsense.texts()[1].of.items() if section == "stands"}
    seen = set()
    for path in gates:
        drive.run(outcomes, path, **typed)
        title = next(one["title"] for one in sheet["trade"]["gates"] if one["name"] == _gate(sheet, path))
        expect(drive.look(path).locator(".stop")).to_contain_text(title)
        counted = page.locator("[data-open-items] summary").first.inner_text()
        assert re.fullmatch(r"(Nothing|\d+)\s.*", counted)
        seen |= {word for word in re.findall(r"[a-z]+", counted) if word not in ("or", "and", "othing")}
        asked = next(step["gate"]["lists"] for step in sheet["steps"] if step["path"] == path)
        expect(drive.step(path).locator(".gate-list:visible")).to_have_count(len(asked))
    assert seen and seen <= stands | {"due"}
    drive.run(outcomes, **typed)
    assert drive.is_complete and drive.open_count() == 0
    context.close()


def bringing_gates(sheet: dict[str, Any]) -> dict[str, str]:
    """Return the answers that bring the gates which stand in no job without a finding."""
    conditions = [asked for step in sheet["steps"] if step["gate"] for asked in step["when"]]
    assert conditions
    return {asked["step"]: asked["outcomes"][0] for asked in conditions}


def is_asked(step: dict[str, Any], steps: dict[str, dict[str, Any]], outcomes: dict[str, str]) -> bool:
    """True if these answers bring the step. Two gates of which each stands only without the other are not both met."""
    return all(
        outcomes.get(asked["step"]) in asked["outcomes"] and is_asked(steps[asked["step"]], steps, outcomes)
        for asked in step["when"]
    )


def _gate(sheet: dict[str, Any], path: str) -> str:
    return next(step["gate"]["for"] for step in sheet["steps"] if step["path"] == path)
