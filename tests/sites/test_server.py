"""The test server itself: it does wrong what it is told to, and nothing else."""

import http.client
import socket
import threading
import time
import urllib.error
import urllib.request

import pytest

from tests.browser import server as faults
from tests.browser.server import Server

PAGE = b"<!doctype html><title>Bay 2</title>"
SITE = {"index.html": PAGE, "x/index.html": b"<p>x</p>", "app.js": b"let turns = 2;", "404.html": b"<p>no</p>"}


@pytest.fixture
def server():
    with Server({"/": SITE}) as running:
        yield running


def get(server, path, **headers):
    """Return (status, body, headers). Redirects are followed."""
    try:
        with urllib.request.urlopen(urllib.request.Request(server.url(path), headers=headers), timeout=5) as answer:
            return answer.status, answer.read(), answer.headers
    except urllib.error.HTTPError as error:
        return error.code, error.read(), error.headers


def test_a_folders_page_answers_at_its_slash_and_without_a_slash_leads_there(server):
    assert get(server, "/")[1] == PAGE
    assert get(server, "/x/")[1] == b"<p>x</p>"
    connection = http.client.HTTPConnection("127.0.0.1", server.port)
    connection.request("GET", "/x?from=qr")
    assert connection.getresponse().headers["Location"] == "/x/?from=qr"
    connection.close()


def test_an_unknown_path_gets_the_sites_own_404_page(server):
    assert get(server, "/nowhere")[:2] == (404, b"<p>no</p>")


def test_scripts_and_pages_carry_their_type_and_the_strict_policy(server):
    headers = get(server, "/app.js")[2]
    assert headers["Content-Type"] == "text/javascript; charset=utf-8"
    assert headers["Content-Security-Policy"] == faults.CSP


def test_several_sites_share_one_origin_and_the_longest_prefix_answers(server):
    server.put("/shop-a/", {"index.html": b"a"})
    server.put("/shop-a/deep/", {"index.html": b"deep"})
    assert [get(server, path)[1] for path in ("/", "/shop-a/", "/shop-a/deep/")] == [PAGE, b"a", b"deep"]


def test_a_folder_on_disk_is_read_anew_each_time_and_never_left(server, tmp_path):
    (tmp_path / "site").mkdir()
    (tmp_path / "secret.txt").write_text("no")
    server.put("/disk/", tmp_path / "site")
    (tmp_path / "site" / "a b.txt").write_text("one")
    assert get(server, "/disk/a%20b.txt")[1] == b"one"
    (tmp_path / "site" / "a b.txt").write_text("two")
    assert get(server, "/disk/a%20b.txt")[1] == b"two"
    assert get(server, "/disk/%2e%2e/secret.txt")[0] == 404


def test_a_cut_answer_announces_its_whole_length_and_ends_early(server):
    server.fault("/app.js", faults.cut(after=4))
    with pytest.raises(http.client.IncompleteRead) as cut:
        get(server, "/app.js")
    assert cut.value.partial == b"let "


def test_no_answer_is_a_closed_connection(server):
    server.fault("/app.js", faults.no_answer())
    with pytest.raises(http.client.RemoteDisconnected):
        get(server, "/app.js")


def test_a_corrupt_answer_differs_in_one_bit_and_not_in_length(server):
    server.fault("/app.js", faults.corrupt())
    body = get(server, "/app.js")[1]
    assert len(body) == len(SITE["app.js"])
    assert sum((a ^ b).bit_count() for a, b in zip(body, SITE["app.js"], strict=True)) == 1


def test_an_aged_answer_is_an_old_body_said_to_be_fresh(server):
    server.fault("/app.js", faults.aged(b"old", max_age=60))
    _, body, headers = get(server, "/app.js")
    assert (body, headers["Cache-Control"]) == (b"old", "max-age=60")


def test_status_portal_redirect_and_headers_stand_in_for_the_answer(server):
    server.fault("/a", faults.status(503))
    server.fault("/b", faults.portal())
    server.fault("/c", faults.redirect("/app.js"))
    server.fault("/x/", faults.headers(Vary="Accept"))
    assert get(server, "/a")[0] == 503
    assert b"Welcome guest" in get(server, "/b")[1]
    assert get(server, "/c")[1] == SITE["app.js"]
    assert get(server, "/x/")[2]["Vary"] == "Accept"


def test_a_fault_can_strike_one_request_or_all_from_one_on(server):
    second = server.fault("/app.js", faults.status(500), nth=2)
    assert [get(server, "/app.js")[0] for _ in range(3)] == [200, 500, 200]
    assert second.hits == 1
    server.heal()
    server.fault("*", faults.status(500), but="/x/", from_nth=2)
    assert [get(server, path)[0] for path in ("/", "/x/", "/app.js", "/")] == [200, 200, 500, 500]


def test_a_delayed_answer_comes_late_and_a_stopped_server_gives_none(server):
    server.fault("/app.js", faults.delay(0.2))
    began = time.monotonic()
    assert get(server, "/app.js")[0] == 200
    assert time.monotonic() - began >= 0.2
    server.fault("/app.js", faults.delay(60))
    threading.Timer(0.1, server.stop).start()
    with pytest.raises((http.client.RemoteDisconnected, ConnectionResetError)):
        get(server, "/app.js")


def test_one_slow_answer_does_not_hold_up_another(server):
    server.fault("/app.js", faults.delay(30))
    with socket.create_connection(("127.0.0.1", server.port)) as slow:
        slow.sendall(b"GET /app.js HTTP/1.0\r\n\r\n")
        began = time.monotonic()
        assert get(server, "/")[1] == PAGE
        assert time.monotonic() - began < 10


def test_stopped_it_refuses_even_on_a_connection_opened_before_and_starts_again_on_its_port(server):
    port = server.port
    early = socket.create_connection(("127.0.0.1", port))
    get(server, "/")
    server.stop()
    early.settimeout(5)
    with pytest.raises(OSError), early:
        early.sendall(b"GET / HTTP/1.0\r\n\r\n")
        if early.recv(1) == b"":
            raise ConnectionResetError
    with pytest.raises(urllib.error.URLError):
        get(server, "/")
    server.start()
    assert server.port == port
    assert get(server, "/")[1] == PAGE


def test_every_request_is_recorded_with_its_query_and_headers(server):
    get(server, "/x/?from=qr", Accept="text/html")
    get(server, "/app.js")
    first, second = server.requests
    assert (first.method, first.path, first.query, first.headers["Accept"]) == ("GET", "/x/", "from=qr", "text/html")
    assert second.at >= first.at
    assert server.asked("/app") == ["/app.js"]
    server.forget()
    assert server.requests == []
