"""Records on the phone: the same text and refusals as in Python; sharing, downloading; the questions of the clock."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from generator.canonical import canonical
from generator.record import Record, Refused, read_record, salvage, write_record
from tests import records
from tests.browser.server import Server
from tests.journals import many_cases, two_revisions

pytestmark = pytest.mark.browser

REFUSED = records.refused()

EXPORT = """async () => {
  const { exportText } = await import('/phone/carry.js');
  const cases = await (await fetch('/lab/carry.json')).json();
  return Promise.all(cases.map(({ entries, sheets }) => exportText([...entries].reverse(), sheets)));
}"""

READ = """async (how) => {
  const carry = await import('/phone/carry.js');
  const { canonical } = await import('/phone/journal.js');
  const texts = await (await fetch('/lab/carry.json')).json();
  const read = [];
  for (const text of texts) read.push(canonical(await carry[how](text)));
  return read;
}"""


@pytest.fixture(scope="module")
def lab(chromium: Browser, pages: Server) -> Iterator[Page]:
    page = chromium.new_page()
    page.goto(pages.url("/pages/keep.html"))
    yield page
    page.close()


def give(pages: Server, data: Any) -> None:
    pages.put("/lab/", {"carry.json": json.dumps(data).encode()})


def as_phone(read: Record | Refused) -> str:
    """What the phone's reader gives for the same, as canonical JSON."""
    if isinstance(read, Refused):
        return canonical({"refused": read.reason, "code": read.code, "line": read.line})
    sheets = {name: canonical(sheet) for name, sheet in read.sheets.items()}
    return canonical({"job": read.job, "entries": read.entries, "sheets": sheets})


def test_both_languages_write_the_same_record_byte_for_byte(lab: Page, pages: Server):
    cases = [case for case in many_cases(60, seed=9) if case["entries"]]
    give(pages, cases)
    assert lab.evaluate(EXPORT) == [write_record(case["entries"], case["sheets"]) for case in cases]


def test_a_phone_that_keeps_worksheets_as_text_writes_the_same_record(lab: Page, pages: Server):
    case = two_revisions()
    texts = {name: canonical(sheet) for name, sheet in case["sheets"].items()}
    give(pages, [{"entries": case["entries"], "sheets": texts}])
    assert lab.evaluate(EXPORT) == [records.good()]


def test_both_languages_read_the_same_from_a_good_record(lab: Page, pages: Server):
    texts = [*records.read_as_good().values()]
    texts += [write_record(case["entries"], case["sheets"]) for case in many_cases(60, seed=9) if case["entries"]]
    give(pages, texts)
    assert lab.evaluate(READ, "readRecord") == [as_phone(read_record(text)) for text in texts]


def test_both_languages_refuse_the_same_records_for_the_same_reason(lab: Page, pages: Server):
    texts = [text for text, _, _ in REFUSED.values()]
    give(pages, texts)
    theirs = lab.evaluate(READ, "readRecord")
    mine = [as_phone(read_record(text)) for text in texts]
    wrong = {what: (a, b) for what, a, b in zip(REFUSED, mine, theirs, strict=True) if a != b}
    assert wrong == {} and all('"refused"' in read for read in theirs)


def test_both_languages_salvage_the_same_from_a_damaged_record(lab: Page, pages: Server):
    whole = records.good()
    texts = [whole[:-700], whole.replace("12 N.m", "70 N.m"), "nothing to see", *(t for t, _, _ in REFUSED.values())]
    give(pages, texts)
    assert lab.evaluate(READ, "salvage") == [as_phone(salvage(text)) for text in texts]


def test_a_record_of_another_job_is_refused_where_one_job_is_asked_for(lab: Page):
    ask = "async ([text, job]) => (await (await import('/phone/carry.js')).readRecord(text, { job })).code ?? 'read'"
    assert [lab.evaluate(ask, [records.good(), job]) for job in ("job-1", "job-9")] == ["read", "other-job"]


# -- out of the phone --------------------------------------------------------------------------------------------------


def test_a_phone_that_cannot_share_files_downloads_the_record_as_txt(lab: Page):
    with lab.expect_download() as started:
        how = lab.evaluate(
            """async (text) => {
              const { shareOrDownload, recordName } = await import('/phone/carry.js');
              const name = recordName('R 7/2', 'KS', '2026-10-02T08:11:00.000Z');
              return shareOrDownload(text, name, { navigator: {}, document });
            }""",
            records.good(),
        )
    assert how == "downloaded"
    assert started.value.suggested_filename == "R-7-2-KS-2026-10-02T08-11.txt"
    assert started.value.path().read_text(encoding="utf-8") == records.good()


SHARE = """async (outcome) => {
  const { shareOrDownload } = await import('/phone/carry.js');
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


# -- the clock ---------------------------------------------------------------------------------------------------------

START = 1_790_928_000_000  # 2026-10-02T08:00:00.000Z
AT = "2026-10-02T08:00:00.000Z"


def wait(lab: Page, now: float, *, device: str = "a", elapsed: float | None = None, **more: Any) -> Any:
    """What the clock says of a wait of 600 s that phone a started at 08:00, on a phone, so many seconds later."""
    check = {"kind": "wait", "value": "drain", "seconds": 600, **more.pop("check", {})}
    started = {"part": "start", "kind": "check", "device": "a", "at": more.pop("at", AT)}
    seen = {"answers": more.pop("answers", [started]), "elapsed": elapsed}
    return lab.evaluate(
        """async ([seen, check, values, look]) => (
          (await import('/phone/clock.js')).waitOf(seen, check, values, look)
        )""",
        [seen, check, more.pop("values", {}), {"device": device, "now": START + now * 1000, **more}],
    )


def test_a_wait_counts_down_to_a_deadline(lab: Page):
    assert wait(lab, 200) == {
        "seconds": 600,
        "startedAt": START,
        "until": START + 600_000,
        "left": 400,
        "over": False,
        "ask": None,
    }
    assert wait(lab, 600)["over"] and wait(lab, 9000)["left"] == 0
    assert wait(lab, 200, answers=[]) is None


@pytest.mark.parametrize(
    ("why", "look"),
    [
        ("another-phone", {"device": "b"}),
        ("clock", {"now": -3600}),
        ("clock", {"jumped": True}),
        ("another-phone", {"at": "half past four"}),
        ("unknown", {"check": {"seconds": None}}),
        ("unknown", {"check": {"seconds": None}, "values": {"drain": {"text": "a while"}}}),
    ],
)
def test_where_the_clock_says_nothing_a_person_is_asked(lab: Page, why: str, look: dict[str, Any]):
    told = wait(lab, **{"now": 200, **look})
    assert told["ask"] == why and told["left"] is None and not told["over"]
    if why != "unknown":
        assert wait(lab, **{"now": 200, "elapsed": 700, **look})["over"]
    assert not wait(lab, **{"now": 200, "elapsed": 500, **look})["over"]


def test_a_wait_takes_its_time_from_the_value_read_on_the_phone(lab: Page):
    told = wait(lab, 60, check={"seconds": None}, values={"drain": {"text": "1.5 min"}})
    assert (told["seconds"], told["left"]) == (90, 30)


def clock(lab: Page, call: str) -> Any:
    return lab.evaluate(f"async () => (await import('/phone/clock.js')).{call}")


def test_a_clock_that_was_set_is_seen_and_one_that_drifts_is_not(lab: Page):
    looks = [(1000, 1000), (1900, 1000), (-3_600_000, 1000), (3_600_000, 1000)]
    told = [
        clock(lab, f"clockSet({{ wall: 0, steady: 0 }}, {{ wall: {wall}, steady: {steady} }})")
        for wall, steady in looks
    ]
    assert told == [None, None, "back", "ahead"]


def test_a_phones_clock_that_ran_backwards_shows_in_its_entries(lab: Page):
    entries = [{"device": "a", "at": AT}, {"device": "b", "at": "1999-01-01T00:00:00.000Z"}]
    told = [
        clock(lab, f"ranBack({json.dumps(entries)}, {{ device: '{device}', now: {START + late} }})")
        for device, late in (("a", 5000), ("a", -60_000), ("b", -60_000))
    ]
    assert told == [False, True, False]


def test_a_self_check_says_how_long_it_still_must_wait(lab: Page):
    answers = json.dumps([{"at": AT}, {"at": "2026-10-02T08:05:00.000Z"}])
    assert clock(lab, f"selfCheckLeft({answers}, 600, {START + 600_000})") == 300
    assert clock(lab, f"selfCheckLeft({answers}, 600, {START + 900_000})") == 0


SLOW = """async ({ kind, count }) => {
  const J = await import('/phone/journal.js');
  const { entries, sheets } = (await (await fetch('/lab/carry.json')).json())[0];
  const [{ path }] = sheets[entries[0].sheet].steps;
  const id = (number) => number.toString(16).padStart(24, '0');
  const made = Array.from({ length: count }, (_, at) => ({
    ...entries[0], id: id(kind === 'one id' ? 0 : at), lamport: at + 1, seen: [], step: path, part: '',
    kind: kind === 'go-backs' && at % 2 ? 'back' : 'check', value: { disturbs: [], rest: [path], at },
  }));
  const began = performance.now();
  const state = J.fold(J.union(made), sheets);
  return [state.steps[path].failures, performance.now() - began];
}"""


@pytest.mark.parametrize(("kind", "count"), [("one id", 1000), ("go-backs", 2000)])
def test_a_journal_made_to_be_slow_is_folded_in_seconds(lab: Page, pages: Server, kind: str, count: int):
    give(pages, [two_revisions()])
    failures, took = lab.evaluate(SLOW, {"kind": kind, "count": count})
    assert failures == 0 and took < 8000
