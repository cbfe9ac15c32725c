"""A phone of an earlier version opens, takes the version of today by touch, and loses nothing of its open jobs.

Its storage was made with the golden site, by a browser that was closed as a person closes it.
"""

from __future__ import annotations

import functools
import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Playwright, expect

from generator.journal.fold import fold
from generator.journal.record import Record, read_record
from generator.site import build, disk
from tests.browser.drive import Drive
from tests.browser.server import Server
from tests.golden import rule, store
from tests.golden.make import by_layout
from tests.golden.phones import SITE, exported, phone, take_update
from tests.support import demo, good_day

pytestmark = pytest.mark.browser

PHONE = {"width": 360, "height": 740}
OLD = pytest.mark.parametrize("name", store.sets())
LAST_REVISION = 900


def named_as_before(texts: Mapping[str, bytes], name: str) -> dict[str, bytes]:
    """Return the demo with the engines named as in a golden set, as a lead would leave them: ids are for ever."""
    before = by_layout(json.loads(text) for text in store.of(name, "sheets").values())
    now = by_layout(demo.checked().sheets)
    for layout, sheet in now.items():
        new, old = sheet["engine"]["id"], before[layout]["engine"]["id"]
        texts = {path.replace(new, old): text.replace(new.encode(), old.encode()) for path, text in texts.items()}
    return dict(texts)


@functools.cache
def site_of_today(name: str) -> store.Files:
    """The demo as this version builds it, with a new revision of every worksheet, so that there is one to take over.
    Its engines have the names of this golden set."""
    texts = {
        path: re.sub(rb"(?m)^revision: [0-9]+$", b"revision: %d" % LAST_REVISION, text)
        if re.search(rb"(?m)^stands_alone: yes$", text)
        else text
        for path, text in named_as_before(demo.texts(), name).items()
    }
    overrides = disk.read_overrides()
    made = build.build(texts, disk.read_pictures(demo.ROOT, "procedures"), overrides)
    assert {sheet["revision"] for sheet in made.checked.sheets} == {LAST_REVISION}
    return {**made.files, **build.add_worker(made, made.files, overrides["sw.js"])}


@pytest.fixture
def server() -> Iterator[Server]:
    with Server() as running:
        yield running


def record_of(text: str) -> Record:
    record = read_record(text)
    assert isinstance(record, Record), record
    return record


def address(record: Record) -> str:
    return f"w/{record.sheets[record.entries[0]['sheet']]['worksheet']}/#{record.job}"


def open_job(drive: Drive, record: Record) -> None:
    drive.open(address(record))
    drive.page.locator(f'[data-job="{record.job}"]').wait_for()


def lost(before: str, now: str) -> list[str]:
    """Return lines of a record, entries and worksheets, that the other one does not have byte for byte."""
    there = set(now.splitlines())
    return [line for line in before.splitlines()[1:-1] if line not in there]


def strange(name: str, job: str, shown: dict[str, str]) -> list[rule.Difference]:
    """Return steps whose state on the screen differs from the golden state without an excuse."""
    golden = json.loads(store.of(name, "states")[job])["steps"]
    before = {"steps": {path: {"state": seen["state"]} for path, seen in golden.items()}}
    now = {"steps": {path: {"state": state} for path, state in shown.items()}}
    return rule.unexplained(rule.differences(before, now, f"{name}/{job}"))


def folded(text: str) -> dict[str, str]:
    record = record_of(text)
    return {path: seen["state"] for path, seen in fold(record.entries, record.sheets)["steps"].items()}


@OLD
def test_a_golden_phone_opens_offline_takes_todays_version_by_touch_and_loses_nothing(
    playwright: Playwright, server: Server, tmp_path: Path, name: str
) -> None:
    texts = {job: text for job, text in store.of(name, "records").items() if job.startswith("open-")}
    records = {job: record_of(text) for job, text in texts.items()}
    assert len(records) == 2
    store.put_profile(name, "phone-chromium.tar.xz", tmp_path)

    after: dict[str, str] = {}
    first, second = records
    server.stop()
    with phone(playwright, server, tmp_path) as (_, page):
        drive = Drive(page, SITE)
        for job in (second, first):
            open_job(drive, records[job])
            assert strange(name, job, drive.states()) == []
        server.start()
        take_update(drive, server, site_of_today(name))
        for job in (first, second):
            open_job(drive, records[job])
            assert strange(name, job, drive.states()) == []
            after[job] = exported(page)
            assert lost(texts[job], after[job]) == []
        drive.reopen()
        drive.press(page.locator("[data-action=adopt]"))
        expect(page.locator("[data-action=adopt]")).to_be_hidden()
        drive.idle()
        after[second] = exported(page)
        assert drive.states() == folded(after[second])
        assert lost(texts[second], after[second]) == []
        entry = record_of(after[second]).entries[-1]
        assert entry["kind"] == "adopt" and record_of(after[second]).sheets[entry["sheet"]]["revision"] == LAST_REVISION
    # Killed with all its processes, and the network is gone.
    server.stop()
    with phone(playwright, server, tmp_path) as (_, page):
        drive = Drive(page, SITE)
        for job, record in records.items():
            open_job(drive, record)
            assert drive.states() == folded(after[job])
            assert exported(page) == after[job]


@OLD
def test_open_jobs_on_worksheets_that_are_gone_stay_readable_and_end_on_them(
    playwright: Playwright, server: Server, tmp_path: Path, name: str
) -> None:
    """The demo's engines have other names today, so nothing of today takes the place of the golden worksheets."""
    texts = {job: text for job, text in store.of(name, "records").items() if job.startswith("open-")}
    records = {job: record_of(text) for job, text in texts.items()}
    today = {path: body if isinstance(body, bytes) else body.encode() for path, body in demo.built().files.items()}
    assert not any(f"{address(record).partition('#')[0]}index.html" in today for record in records.values())
    store.put_profile(name, "phone-chromium.tar.xz", tmp_path)
    with phone(playwright, server, tmp_path) as (_, page):
        drive = Drive(page, SITE)
        open_job(drive, records["open-vee-six"])
        take_update(drive, server, today)
        for job, record in records.items():
            open_job(drive, record)
            assert strange(name, job, drive.states()) == []
            assert lost(texts[job], exported(page)) == []
            assert page.locator("[data-action=adopt]:visible").count() == 0
        server.stop()
        open_job(drive, records["open-inline-four"])
        (sheet,) = records["open-inline-four"].sheets.values()
        drive.sheet = sheet  # the site has none to fetch
        good = {
            step["path"]: next(one["name"] for one in step["check"]["outcomes"] if not one["fails"])
            for step in sheet["steps"]
            if step["check"]["kind"] == "inspect"
        }
        drive.look(drive.next())
        drive.run(good, **good_day.as_typed(sheet))
        assert drive.is_complete
        text = exported(page)
    ended = record_of(text)
    assert [*ended.sheets] == [*records["open-inline-four"].sheets]
    assert fold(ended.entries, ended.sheets)["complete"]
    assert lost(texts["open-inline-four"], text) == []


def test_an_entry_that_an_update_loses_or_changes_would_be_seen() -> None:
    text = store.of("2026-11", "records")["open-vee-six"]
    lines = text.splitlines()
    assert lost(text, text) == []
    assert lost(text, "\n".join([*lines[:5], *lines[6:]])) == [lines[5]]
    assert lost(text, text.replace('"who":"KS"', '"who":"JM"', 1)) != []
    shown = folded(text)
    assert strange("2026-11", "open-vee-six", shown) == []
    path = next(path for path, state in shown.items() if state == "done")
    assert [one.how for one in strange("2026-11", "open-vee-six", {**shown, path: "open"})] == ["changed"]
    del shown[path]
    assert [one.how for one in strange("2026-11", "open-vee-six", shown)] == ["missing"]


# --- records from a file ----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def today() -> Iterator[Server]:
    with Server({"/": dict(demo.built().files)}) as running:
        yield running


@pytest.fixture(scope="module")
def fresh(chromium: Browser) -> Iterator[BrowserContext]:
    context = chromium.new_context(viewport=PHONE, has_touch=True, service_workers="block")
    yield context
    context.close()


@OLD
def test_golden_records_come_in_by_the_pages_own_control_and_go_out_byte_for_byte(
    fresh: BrowserContext, today: Server, tmp_path: Path, name: str
) -> None:
    page = fresh.new_page()
    drive = Drive(page, today.url("/"))
    texts = {job: text for job, text in store.of(name, "records").items() if job.startswith("written-")}
    assert len(texts) >= 4
    for job, text in texts.items():
        record, file = record_of(text), tmp_path / f"{job}.txt"
        file.write_text(text, encoding="utf-8")
        drive.open("jobs/")
        page.locator("[data-field=file]").set_input_files(file)
        drive.press(page.locator("[data-action=import]"))
        page.locator(f'[data-job-link="{record.job}"]').wait_for()
        drive.open()
        drive.press(page.locator(f'[data-job-link="{record.job}"]').first)
        page.locator(f'[data-job="{record.job}"]').wait_for()
        assert strange(name, job, drive.states()) == []
        assert exported(page) == text, job
    page.close()
