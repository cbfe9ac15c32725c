"""Nothing goes out: over a driven job the browser's own log names only the site's host, and the site is only read."""

from __future__ import annotations

import re
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from generator.journal.record import Record, read_record
from tests.browser.server import Request, Server
from tests.proofs.net_log import PREFIX, Driven, Event, drive_job, hosts_named, logged_page, named_in, not_plain
from tests.support import demo

pytestmark = pytest.mark.browser

# Seven ways in which a page gives a name to the network. No policy stops them here.
TELLS = b"""<!doctype html><meta charset="utf-8"><title>Tells</title><link rel="icon" href="data:,">
<link rel="dns-prefetch" href="//prefetched.example"><link rel="preconnect" href="http://connected.example">
<img src="http://pictured.example:81/a.png" alt="">
<script>
  navigator.sendBeacon('http://beacon.example/', 'x');
  new WebSocket('ws://socket.example/');
  const call = new RTCPeerConnection({ iceServers: [{ urls: 'stun:stun.example:3478' }] });
  call.createDataChannel('x');
  call.createOffer().then((offer) => call.setLocalDescription(offer));
  fetch('http://127.0.0.2:9/').catch(() => { document.title = 'Told'; });
</script>"""
TOLD = {"prefetched", "connected", "pictured", "beacon", "socket", "stun"}


def named_by_pages(folder: Path) -> set[str]:
    return {named.host for named in named_in(folder).values() if not named.own}


RANDOM = {"id", "job", "device", "writer"}
FIELDS = RANDOM | {"v", "prev", "lamport", "at", "who", "sheet", "step", "part", "kind", "value", "seen"}


def says_nothing_of(text: str, words: list[str]) -> bool:
    """True if a saved job holds only the fields of an entry, random names, and none of these words."""
    record = read_record(text)
    assert isinstance(record, Record) and record.entries
    for entry in record.entries:
        assert set(entry) == FIELDS
        assert all(re.fullmatch("[0-9a-f]{16,64}", entry[name]) for name in RANDOM)
    return not [word for word in words if word in text]


def test_over_a_job_the_log_names_the_site_alone_and_the_server_hears_only_which_file_is_wanted(playwright, tmp_path):
    files, sheet = dict(demo.built().files), demo.sheet("flat-four")
    with Server({PREFIX: files}, csp="") as server:
        with logged_page(playwright, tmp_path) as page:
            text = drive_job(page, server, sheet, stop_at=sheet["steps"][4]["path"])
            browser = page.evaluate("[navigator.userAgent, navigator.platform, navigator.language]")
        site = urlsplit(server.url()).netloc
        assert says_nothing_of(text, [site, *browser, *re.findall(r"[A-Z]\w+/[0-9.]+", browser[0])])
        assert named_by_pages(tmp_path) == {site}
        assert not_plain(server.requests, files) == []
        assert len(server.asked(f"{PREFIX}sw.js")) >= 2


def test_a_page_that_tells_another_host_is_seen_whichever_way_it_does(playwright, tmp_path):
    with Server({"/": {"index.html": TELLS}}, csp="") as server, logged_page(playwright, tmp_path) as page:
        page.goto(server.url("/"))
        page.wait_for_function("document.title === 'Told'")
        page.wait_for_timeout(300)
    names = named_by_pages(tmp_path)
    assert {host.split(".")[0] for host in names if ".example" in host} == TOLD
    assert "127.0.0.2:9" in names


def test_a_host_that_only_the_browser_asks_is_told_apart_from_one_that_a_page_asks():
    """A host without a request counts as a page's doing, unless the browser alone has requested it."""

    def request(url: str, initiator: str, kind: str = "other") -> Event:
        return Event("URL_REQUEST_START_JOB", 1, {"url": url, "initiator": initiator, "request_type": kind})

    typed, own = request("http://shop.lan/", "not an origin", "main frame"), "not an origin"
    events = [
        typed,
        request("http://maker.example:81/", own),
        Event("DNS_TRANSACTION", 2, {"hostname": "maker.example"}),
    ]
    events += [Event("DNS_TRANSACTION", 3, {"hostname": "ahead.example"}), request("http://both.example/", own)]
    events += [request("http://both.example/", "http://shop.lan"), request("blob:http://shop.lan/1", "http://shop.lan")]
    found = hosts_named(events)
    assert {host for host, named in found.items() if named.own} == {"maker.example:81", "maker.example"}
    assert {host for host, named in found.items() if not named.own} == {"shop.lan", "ahead.example", "both.example"}
    driven = Driven("shop.lan", found, 2, ["POST /"], 1)
    assert [line.split(":")[0].split(",")[0] for line in driven.failures()] == [
        "a page named ahead.example",
        "1 requests said more than which file is wanted",
    ]


def test_a_request_that_says_more_than_which_file_is_wanted_is_seen():
    files = {"index.html": b"", "w/belt/index.html": b"", "sw.js": b""}

    def told(method: str, path: str, query: str = "", **headers: str) -> Request:
        return Request(method, PREFIX + path, query, headers, 0.0)

    plain = [told("GET", path) for path in ("", "sw.js", "w/belt", "w/belt/")]
    more = [told("POST", ""), told("GET", "", "job=7"), told("GET", "", Cookie="a"), told("GET", "jobs/KS")]
    more += [told("GET", "sw.js", **{"Content-Length": "2"}), Request("GET", "/favicon.ico", "", {}, 0.0)]
    assert not_plain(plain, files) == []
    assert len(not_plain([*plain, *more], files)) == len(more)
