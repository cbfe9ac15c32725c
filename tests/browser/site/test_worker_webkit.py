"""The worker in WebKit: after one visit the site answers with the server gone, even after the browser was killed."""

import pytest

from tests.browser import server as faults
from tests.browser.engines import wait_for
from tests.browser.server import Server
from tests.browser.toy_site import ODD_NAME, VERSIONS, site

pytestmark = pytest.mark.browser

ASK = "navigator.serviceWorker.getRegistration().then(found => found.update()).then(() => true, () => false)"
PLACES = """navigator.serviceWorker.getRegistration().then(
  found => [found?.installing, found?.waiting, found?.active].map(worker => worker?.state ?? null))"""


@pytest.fixture
def server():
    with Server({"/shop-a/": site("v1")}) as running:
        yield running


def visit(window, server, path="/shop-a/"):
    window.load(server.url(path))
    wait_for(lambda: window.evaluate("document.documentElement.dataset.offline") == "ready", "ready", step=0.05)


def versions(window):
    wait_for(lambda: window.evaluate("Boolean(globalThis.version)"), "the page's script", step=0.05)
    return set(window.evaluate(VERSIONS))


def test_one_visit_then_killed_and_with_the_server_gone_every_form_of_address_answers(webkit, server, tmp_path):
    window = webkit(tmp_path)
    visit(window, server)
    window.evaluate("choose(['belt', 'guide']).then(() => true)")
    wait_for(lambda: window.evaluate("states.at(-1).packs.pump.kept") == 0, "what was not chosen to be left")
    window.kill()
    server.stop()
    window = webkit(tmp_path)
    for asked, shown in (("", ""), ("x", "x/"), ("x/", "x/"), ("x/index.html",) * 2, ("x?from=qr", "x/?from=qr")):
        assert window.load(server.url(f"/shop-a/{asked}")) == server.url(f"/shop-a/{shown}")
        assert versions(window) == {"v1"}
    wait_for(lambda: window.evaluate("document.documentElement.dataset.offline") == "ready", "ready")
    assert window.evaluate(f"fetch('/shop-a/' + encodeURI({ODD_NAME!r})).then(answer => answer.status)") == 200
    for path in ("some/where/", "w/pump/"):
        window.load(server.url(f"/shop-a/{path}"))
        assert window.evaluate("document.querySelector('h1').textContent") == "Not on this phone"
        assert versions(window) == {"v1"}


def test_a_spoiled_update_leaves_the_old_version_whole_and_the_next_one_waits_until_it_is_taken(
    webkit, server, tmp_path
):
    window = webkit(tmp_path)
    visit(window, server)
    for fault in (faults.cut(), faults.status(404), faults.corrupt(), faults.portal()):
        planted = server.fault("/shop-a/w/belt/sheet.json", fault)
        server.put("/shop-a/", site("v2"))
        window.evaluate(ASK)
        wait_for(lambda planted=planted: planted.hits, "the fault to strike")
        wait_for(lambda: window.evaluate(PLACES) == [None, None, "activated"], "the update to be given up")
        server.put("/shop-a/", site("v1"))
        server.heal()
    window.load(server.url("/shop-a/"))
    assert versions(window) == {"v1"}

    server.put("/shop-a/", site("v3"))
    window.evaluate(ASK)
    wait_for(lambda: window.evaluate(PLACES)[1] == "installed", "the update to wait")
    assert versions(window) == {"v1"}
    assert window.evaluate("takeUpdate()") is True
    server.stop()
    window.load(server.url("/shop-a/x/"))
    assert versions(window) == {"v3"}
