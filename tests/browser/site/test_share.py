"""A record leaves the phone: shared if the phone can share files, else downloaded."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.server import Server
from tests.support import records

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def lab(chromium: Browser, pages: Server) -> Iterator[Page]:
    page = chromium.new_page()
    page.goto(pages.url("/pages/keep.html"))
    yield page
    page.close()


def test_a_phone_that_cannot_share_files_downloads_the_record_as_txt(lab: Page):
    with lab.expect_download() as started:
        how = lab.evaluate(
            """async (text) => {
              const { shareOrDownload, recordName } = await import('/phone/job/carry.js');
              const name = recordName('R 7/2', 'KS', '2026-10-02T08:11:00.000Z');
              return shareOrDownload(text, name, { navigator: {}, document });
            }""",
            records.good(),
        )
    assert how == "downloaded"
    assert started.value.suggested_filename == "R-7-2-KS-2026-10-02T08-11.txt"
    assert started.value.path().read_text(encoding="utf-8") == records.good()


SHARE = """async (outcome) => {
  const { shareOrDownload } = await import('/phone/job/carry.js');
  const shared = [];
  const navigator = {
    canShare: ({ files }) => files.every(({ type }) => type === 'text/plain'),
    share: async ({ files }) => {
      if (outcome !== 'fine') throw new DOMException('', outcome);
      shared.push(await files[0].text());
    },
  };
  return [await shareOrDownload('a record', 'a.txt', { navigator, document }), shared];
}"""


def test_a_phone_that_can_share_files_shares_the_record(lab: Page):
    assert lab.evaluate(SHARE, "fine") == ["shared", ["a record"]]


def test_a_share_that_was_called_off_is_not_downloaded_behind_ones_back(lab: Page):
    assert lab.evaluate(SHARE, "AbortError") == ["cancelled", []]


def test_a_share_that_the_phone_refuses_becomes_a_download(lab: Page):
    with lab.expect_download() as started:
        assert lab.evaluate(SHARE, "NotAllowedError") == ["downloaded", []]
    assert started.value.suggested_filename == "a.txt"
