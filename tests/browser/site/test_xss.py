"""Hostile texts everywhere, in two engines: a share of tests.proofs.scripts.xss_harness, and its control."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.browser.engines import WebKit
from tests.browser.server import Server
from tests.proofs.scripts.xss_eyes import ChromiumEye, Eye, WebKitEye
from tests.proofs.scripts.xss_harness import Result, control, run
from tests.proofs.scripts.xss_sources import fields, free_names, planted, settle
from tests.proofs.scripts.xss_strings import MARKUP, STRINGS

pytestmark = pytest.mark.browser

_SURE = ("<img src=x onerror", "<svg data-hostile onload", "<iframe data-hostile src=java", '"><img')
CONTROLS = [text for text in MARKUP if text.startswith(_SURE)]


@pytest.fixture(scope="module")
def server() -> Iterator[Server]:
    with Server(csp="") as running:
        yield running


@pytest.fixture
def eyes(chromium: Browser, display: str, server: Server, tmp_path: Path) -> Iterator[list[Eye]]:
    site = server.url("/")
    with WebKit(tmp_path / "profile", display) as window:
        yield [ChromiumEye(chromium.new_context(), site), WebKitEye(window, site)]


def test_no_hostile_text_runs_in_either_engine_and_the_control_does(
    eyes: list[Eye], server: Server, tmp_path: Path
) -> None:
    turns = list(zip(eyes, ("none", "as is"), strict=True))
    result = run(turns, server, rounds=1, seed=1, folder=tmp_path, addresses=1)
    result.control = {eye.name: control(eye, server, CONTROLS) for eye in eyes}
    assert result.executed == 0, result.table()
    assert result.control == {"Chromium": len(CONTROLS), "WebKit": len(CONTROLS)}
    assert result.planted > 120 and result.is_good
    for rows in result.rows.values():
        assert not [place for place, row in rows.items() if not row.shown], "the texts must have got there"


def test_what_runs_anywhere_fails_the_run() -> None:
    result = Result(control={"Chromium": 1, "WebKit": 1})
    assert result.is_good
    result.control["WebKit"] = 0
    assert not result.is_good


def test_every_string_meets_every_text_once_in_as_many_rounds_as_there_are_strings() -> None:
    met = {(at, STRINGS[(at + number) % len(STRINGS)]) for number in range(len(STRINGS)) for at in range(len(fields()))}
    assert len(met) == len(STRINGS) * len(fields())


def test_texts_are_found_by_what_the_language_says_of_its_fields() -> None:
    assert {"title", "do", "why", "label", "document", "hazard", "vehicle", "agreed", "alt", "got"} <= free_names()
    assert not {"id", "unit", "torque", "read", "initials", "formula", "job"} & free_names()
    assert {field.name for field in fields()} >= {"do", "words", "tools", "inspect", "photo", "vehicle"}


def test_what_the_checker_refuses_is_left_as_it_was() -> None:
    title = next(field for field in fields() if field.name == "title")
    taken, refused = settle({title: "<b>\u0000", **{one: "<b>" for one in fields() if one.name == "vehicle"}})
    assert list(refused) == [title] and set(taken.values()) == {"<b>"}
    assert "\\u0000" not in planted(taken)[title.file]
