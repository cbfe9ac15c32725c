"""The worker in Chromium: whole or not at all, its own site only, and never without being asked."""

from urllib.parse import quote

import pytest

from tests.browser import server as faults
from tests.browser.conftest import INSECURE_HOST
from tests.browser.engines import Chromium, wait_for
from tests.browser.server import Server
from tests.browser.toy_site import ODD_NAME, VERSIONS, files_of, preview, site, version_of, with_worker

pytestmark = pytest.mark.browser

LISTED = len(site("v1")) - 2  # all except sw.js and 404.html

# Ask for an update, as a browser does by itself now and then.
ASK = """navigator.serviceWorker.getRegistration().then(registration => Promise.race([
  registration.update().then(() => 'asked', () => 'refused'),
  new Promise(resolve => setTimeout(resolve, 25000, 'no answer')),
]))"""
INSTALLING = "navigator.serviceWorker.getRegistration().then(found => Boolean(found?.installing))"
WAITING = "navigator.serviceWorker.getRegistration().then(found => Boolean(found?.waiting))"


def update(page):
    """Return what came of asking for an update: 'waiting', 'none waits' or 'refused'."""
    answer = page.evaluate(ASK)
    return settled(page) if answer == "asked" else answer


def settled(page):
    wait_for(lambda: not page.evaluate(INSTALLING), "the install to end")
    return "waiting" if page.evaluate(WAITING) else "none waits"


def begin_update(page):
    page.evaluate(f"void {ASK}")


class Killable:
    """A browser with a profile that outlives it."""

    def __init__(self, playwright, profile):
        self.playwright, self.profile, self.chromium = playwright, profile, None

    def launch(self):
        self.chromium = Chromium(self.profile)
        return self.playwright.chromium.connect_over_cdp(self.chromium.endpoint).contexts[0]

    def kill(self):
        self.chromium.kill()


@pytest.fixture
def killable(playwright, tmp_path):
    browser = Killable(playwright, tmp_path / "profile")
    yield browser
    browser.kill()


@pytest.fixture
def server():
    with Server({"/": site("v1")}) as running:
        yield running


@pytest.fixture
def page(context):
    return context.new_page()


def visit(page, server, path="/"):
    """Open the page and wait until the phone is ready offline."""
    page.goto(server.url(path))
    page.wait_for_selector("html[data-offline=ready]", state="attached")


def versions(page):
    page.wait_for_function("() => globalThis.version")
    return set(page.evaluate(VERSIONS))


def last_state(page):
    return page.evaluate("states.at(-1)")


def wait_for_state(page, state):
    page.wait_for_function("state => globalThis.states?.at(-1)?.state === state", arg=state)
    return last_state(page)


def caches_of(page):
    return set(page.evaluate("caches.keys()"))


# --- no network -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("prefix", ["/", "/shop-a/"])
def test_after_one_visit_every_page_answers_with_the_server_stopped(server, page, prefix):
    server.put(prefix, site("v1"))
    visit(page, server, prefix)
    server.stop()
    assert versions(page) == {"v1"}  # the first page itself, not only the next one
    for path in ("", "x/"):
        page.goto(server.url(prefix + path))
        assert versions(page) == {"v1"}
    assert page.evaluate("path => fetch(path).then(answer => answer.ok)", prefix + quote(ODD_NAME))


@pytest.mark.parametrize(
    ("asked", "shown"),
    [
        ("x", "x/"),
        ("x/", "x/"),
        ("x/index.html", "x/index.html"),
        ("x/?from=qr", "x/?from=qr"),
        ("x?from=qr#step", "x/?from=qr#step"),
        ("?from=qr&n=2", "?from=qr&n=2"),
        ("index.html", "index.html"),
    ],
)
def test_each_form_of_an_address_answers_with_no_network(shared_offline, asked, shown):
    page, server = shared_offline
    page.goto(server.url(f"/shop-a/{asked}"))
    assert page.url == server.url(f"/shop-a/{shown}")
    assert versions(page) == {"v1"}


@pytest.fixture(scope="module")
def shared_offline(chromium):
    """A page that was visited once, and whose server is gone."""
    with Server({"/shop-a/": site("v1")}) as server:
        context = chromium.new_context()
        page = context.new_page()
        visit(page, server, "/shop-a/")
        server.stop()
        yield page, server
        context.close()


def test_an_unknown_page_with_no_network_is_answered_by_the_offline_page_in_full_dress(shared_offline):
    page, server = shared_offline
    answer = page.goto(server.url("/shop-a/some/where/deep?a=b"))
    assert answer.status == 503
    assert page.url == server.url("/shop-a/some/where/deep?a=b")
    assert page.inner_text("h1") == "Not on this phone"
    assert page.get_attribute("#home", "href") == "/shop-a/"
    assert versions(page) == {"v1"}


def test_what_is_not_listed_goes_to_the_network(server, page):
    visit(page, server)
    assert page.goto(server.url("/nowhere/")).status == 404
    assert page.inner_text("h1") == "Not found"
    server.forget()
    page.evaluate("Promise.all([fetch('/nowhere.json'), fetch('/app.js', {method: 'POST'}), fetch('/app.js')])")
    assert {(request.method, request.path) for request in server.requests} == {
        ("GET", "/nowhere.json"),
        ("POST", "/app.js"),
    }


def test_a_browser_that_was_killed_opens_the_site_with_the_server_stopped(server, killable):
    page = killable.launch().new_page()
    visit(page, server)
    killable.kill()
    server.stop()
    page = killable.launch().new_page()
    page.goto(server.url("/x/?from=qr"))
    assert versions(page) == {"v1"}
    page.wait_for_selector("html[data-offline=ready]", state="attached")


def test_a_browser_killed_in_the_middle_of_an_update_still_has_the_whole_old_version(server, killable):
    page = killable.launch().new_page()
    visit(page, server)
    hanging = server.fault("/style.css", faults.delay(60))
    server.put("/", site("v2"))
    begin_update(page)
    wait_for(lambda: hanging.hits, "the update to begin")
    killable.kill()
    server.stop()
    page = killable.launch().new_page()
    page.goto(server.url("/"))
    assert versions(page) == {"v1"}
    server.heal()
    server.start()
    assert update(page) == "waiting"


# --- several sites on one origin ------------------------------------------------------------------------------------


def test_three_sites_of_one_origin_never_touch_each_others_copies(server, context):
    prefixes = ("/", "/shop-a/", "/shop-b/")
    pages = {}
    for prefix in prefixes:
        server.put(prefix, site("v1", shop=f"shop{prefix}"))
        pages[prefix] = context.new_page()
        visit(pages[prefix], server, prefix)
    before = caches_of(pages["/"])
    assert len(before) == 3

    for changed in ("/shop-a/", "/"):
        server.put(changed, site("v2", shop=f"shop{changed}"))
        assert update(pages[changed]) == "waiting"
        assert pages[changed].evaluate("takeUpdate()") is True
    server.put("/shop-b/", preview("v3"))
    update(pages["/shop-b/"])
    newest = [f"handturn:{prefix} shop{prefix} {version_of(site('v2'))}" for prefix in ("/", "/shop-a/")]
    wait_for(lambda: caches_of(pages["/"]) == set(newest), "each to tidy up after itself")

    server.stop()
    for prefix in ("/", "/shop-a/"):
        pages[prefix].goto(server.url(prefix))
        assert versions(pages[prefix]) == {"v2"}


def test_a_site_on_another_port_is_another_site(server, context):
    page = context.new_page()
    visit(page, server)
    with Server({"/": preview("v9")}) as elsewhere:
        other = context.new_page()
        other.goto(elsewhere.url("/"))
        assert wait_for_state(other, "none")["why"] == "preview"
    server.stop()
    page.reload()
    assert versions(page) == {"v1"}


# --- updates --------------------------------------------------------------------------------------------------------

EVERY_FILE = sorted(site("v1").keys() - {"sw.js", "404.html"})
A_PAGE_A_SCRIPT_AND_A_SHEET = ["x/index.html", "phone/site/offline.js", "w/belt/sheet.json"]
SPOILED = {
    "connection": [faults.cut(after=5), faults.no_answer()],
    "status": [
        faults.status(404),
        faults.status(500),
        faults.redirect("/404.html"),
        faults.redirect("http://localhost:9/"),
    ],
    "body": [faults.portal(), faults.aged(files_of("v1")["w/belt/sheet.json"])],
    "one bit": [faults.corrupt()],
}


@pytest.mark.parametrize("kind", SPOILED)
def test_an_update_spoiled_at_any_file_leaves_the_old_version_whole_and_the_next_heals(server, page, kind):
    visit(page, server)
    for path in EVERY_FILE if kind == "one bit" else A_PAGE_A_SCRIPT_AND_A_SHEET:
        for number, fault in enumerate(SPOILED[kind]):
            planted = server.fault(f"/{path.removesuffix('index.html')}", fault)
            server.put("/", site(f"v2 {path} {number}"))
            assert update(page) == "none waits", (path, number)
            assert planted.hits, (path, number)
            server.put("/", site("v1"))
            server.heal()
    assert_still_whole(page, server, "v1")
    heal(page, server, "v3")


def test_a_server_that_dies_within_an_update_leaves_the_old_version_whole(server, page):
    visit(page, server)
    for count in (0, 2, 5):
        server.fault("*", faults.no_answer(), but="/sw.js", from_nth=count + 1)
        server.put("/", site(f"v2.{count}"))
        assert update(page) == "none waits"
        assert_still_whole(page, server, "v1")
        server.put("/", site("v1"))
        server.heal()
    heal(page, server, "v3")


def test_a_spoiled_worker_file_leaves_the_old_version_whole(server, page):
    visit(page, server)
    for fault in (
        faults.status(404),
        faults.status(500),
        faults.portal(),
        faults.cut(after=500),
        faults.redirect("/app.js"),
        faults.aged(b"throw new Error('not today')"),
    ):
        server.fault("/sw.js", fault)  # the last fault set up wins
        server.put("/", site("v2"))
        assert update(page) == "refused"
    assert_still_whole(page, server, "v1")
    server.heal()
    heal(page, server, "v2")


def assert_still_whole(page, server, version):
    server.stop()
    page.reload()
    assert versions(page) == {version}
    server.start()


def heal(page, server, version):
    server.put("/", site(version))
    assert update(page) == "waiting"
    assert page.evaluate("takeUpdate()") is True
    server.stop()
    page.reload()
    assert versions(page) == {version}
    page.goto(server.url("/x/"))
    assert versions(page) == {version}
    wait_for(lambda: len(caches_of(page)) == 1, "the older copies to be gone")


def test_a_server_that_let_browsers_keep_old_files_for_a_day_does_not_hold_an_update_back(server, page):
    server.fault("*", faults.headers(Cache_Control="max-age=86400"))
    visit(page, server)
    heal(page, server, "v2")


def test_only_changed_files_are_fetched_again(server, page):
    visit(page, server)
    changed = {**files_of("v1"), "w/belt/sheet.json": b'{"version": "v2"}'}
    server.put("/", with_worker(changed))
    server.forget()
    assert update(page) == "waiting"
    assert set(server.asked()) == {"/sw.js", "/packs.json", "/w/belt/sheet.json"}


def test_a_spoiled_update_goes_on_from_what_arrived(server, page):
    visit(page, server)
    server.fault("*", faults.no_answer(), but="/sw.js", from_nth=6)
    server.put("/", site("v2"))
    assert update(page) == "none waits"
    server.heal()
    server.forget()
    assert update(page) == "waiting"
    assert 1 <= len(set(server.asked()) - {"/sw.js"}) <= LISTED - 2


def test_a_kept_file_that_was_damaged_is_fetched_and_not_copied_into_the_next_version(server, page):
    visit(page, server)
    page.evaluate("""async () => {
      const [name] = await caches.keys();
      await (await caches.open(name)).put('/style.css', new Response('damaged'));
    }""")
    server.put("/", with_worker({**files_of("v1"), "new.txt": b"new"}))
    server.forget()
    assert update(page) == "waiting"
    assert sorted(set(server.asked()) - {"/sw.js"}) == ["/new.txt", "/style.css"]


def test_no_new_version_takes_over_while_a_page_is_open(server, context):
    page = context.new_page()
    visit(page, server)
    page.fill("#note", "half a reading")
    server.put("/", site("v2"))
    second = context.new_page()
    second.goto(server.url("/x/"))  # a visit makes the browser look for an update by itself
    assert wait_for_state(page, "update-waiting")["whole"]
    assert page.get_attribute("html", "data-offline") == "ready"
    assert versions(page) == versions(second) == {"v1"}
    assert page.input_value("#note") == "half a reading"
    second.reload()
    assert versions(second) == {"v1"}

    page.goto("about:blank")
    second.goto("about:blank")
    wait_for(lambda: open_version(context, server) == {"v2"}, "the new version to open", step=0.1)


def open_version(context, server):
    page = context.new_page()
    page.goto(server.url("/"))
    found = versions(page)
    page.close()
    return found


def test_a_person_takes_the_update_and_another_open_page_is_told_and_keeps_its_note(server, context):
    page, other = context.new_page(), context.new_page()
    visit(page, server)
    visit(other, server, "/x/")
    other.fill("#note", "half a reading")
    assert page.evaluate("takeUpdate()") is False  # nothing waits
    server.put("/", site("v2"))
    assert update(page) == "waiting"
    wait_for_state(page, "update-waiting")
    assert page.evaluate("takeUpdate()") is True
    assert page.evaluate("navigator.serviceWorker.controller.state") in ("activating", "activated")
    page.reload()
    assert versions(page) == {"v2"}
    other.wait_for_function("() => states.at(-1).replaced && states.at(-1).state === 'ready'")
    assert other.input_value("#note") == "half a reading"
    assert other.get_attribute("html", "data-version") == "v1"


def test_a_version_that_takes_over_leaves_a_still_newer_one_its_files(server, page):
    visit(page, server)
    server.put("/", site("v2"))
    assert update(page) == "waiting"
    late = server.fault("/style.css", faults.delay(1))
    server.put("/", site("v3"))
    begin_update(page)
    wait_for(lambda: late.hits, "the third version to begin")
    assert page.evaluate("takeUpdate()") is True  # v2 is taken while v3 is being fetched
    assert settled(page) == "waiting"
    wait_for_state(page, "update-waiting")  # the button is there from now on
    assert page.evaluate("takeUpdate()") is True
    server.stop()
    page.reload()
    assert versions(page) == {"v3"}
    wait_for(lambda: len(caches_of(page)) == 1, "the older copies to be gone")


def test_another_script_in_place_of_the_worker_is_replaced_at_the_next_good_visit(server, page):
    visit(page, server)
    server.put("/", {**site("v1"), "sw.js": b"globalThis.version = 'another'"})
    assert update(page) == "waiting"
    page.evaluate("sessionStorage.setItem('patience', 1500)")
    page.goto("about:blank")  # the last page closes, and the browser lets in what waits
    server.put("/", site("v2"))
    page.goto(server.url("/"))
    page.wait_for_function("() => states.at(-1)?.state === 'ready'", timeout=60_000)
    server.stop()
    page.reload()
    assert versions(page) == {"v2"}


def test_an_update_that_the_browser_does_not_let_in_is_late_and_keeps_nobody_waiting(server, page):
    visit(page, server)
    answer = page.evaluate("""async () => {
      const worker = { state: 'installed', scriptURL: '/sw.js', postMessage: () => {} };
      const waiting = Object.assign(new EventTarget(), worker);
      const serviceWorker = Object.assign(new EventTarget(), { getRegistration: async () => ({ waiting }) });
      return takeUpdate({ navigator: { serviceWorker }, patience: 100 });
    }""")
    assert answer == "late"


# --- awkward hosts --------------------------------------------------------------------------------------------------


def test_vary_and_redirects_of_the_host_do_not_spoil_the_copy(server, page):
    server.fault("*", faults.headers(Vary="*"))
    server.put("/real/", {"style.css": site("v1")["style.css"]})
    server.fault("/style.css", faults.redirect("/real/style.css"))
    visit(page, server)
    server.stop()
    page.goto(server.url("/x/"))
    assert versions(page) == {"v1"}


def test_the_copy_keeps_the_hosts_policy_and_breaks_none(server, context):
    page = context.new_page()
    complaints = []
    page.on("console", lambda message: complaints.append(message.text) if message.type == "error" else None)
    visit(page, server)
    server.stop()
    answer = page.goto(server.url("/x/"))
    assert answer.from_service_worker
    assert answer.headers["content-security-policy"] == faults.CSP
    assert versions(page) == {"v1"}
    assert complaints == []


# --- the preview ----------------------------------------------------------------------------------------------------


def test_a_preview_heals_a_stale_site_and_reloads_nothing(server, page):
    visit(page, server)
    page.fill("#note", "half a reading")
    page.evaluate("caches.open('handturn:/shop-a/ other 1')")
    page.evaluate("caches.open('somebody else')")
    server.put("/", preview("v2"))
    update(page)
    assert wait_for_state(page, "none")["why"] == "preview"
    assert page.input_value("#note") == "half a reading"
    assert caches_of(page) == {"handturn:/shop-a/ other 1", "somebody else"}
    page.goto(server.url("/x/"))
    assert versions(page) == {"v2"}
    server.put("/", preview("v3"))
    page.reload()
    assert versions(page) == {"v3"}
    gone = "navigator.serviceWorker.getRegistration().then(found => !found)"
    wait_for(lambda: page.evaluate(gone), "the worker to be gone")


# --- what the page says ---------------------------------------------------------------------------------------------


def test_over_plain_http_the_page_says_that_and_why_it_is_not_kept(server, context):
    page = context.new_page()
    page.goto(server.url("/", host=INSECURE_HOST))
    state = wait_for_state(page, "none")
    assert state["why"] == "plain-http"
    assert "plain http" in state["words"]
    assert page.get_attribute("html", "data-offline") == "none"


def test_a_first_visit_counts_up_to_ready(server, page):
    visit(page, server)
    states = page.evaluate("states")
    assert states[0]["state"] == "loading"
    assert [state["kept"] for state in states if state.get("kept")] == sorted(
        state["kept"] for state in states if state.get("kept")
    )
    assert (states[-1]["state"], states[-1]["whole"]) == ("ready", True)
    assert (states[-1]["kept"], states[-1]["listed"]) == (LISTED, LISTED)


NO_CHANGE_TOLD = """
Object.defineProperty(ServiceWorker.prototype, 'state', { get: () => 'installing' });
ServiceWorker.prototype.addEventListener = () => {};
"""


def test_a_page_that_is_told_no_change_of_its_worker_is_ready_all_the_same_and_takes_an_update(server, page):
    page.add_init_script(NO_CHANGE_TOLD)  # as Chromium sometimes does if a page opens while a worker installs
    visit(page, server)
    server.put("/", site("v2"))
    assert update(page) == "waiting"
    page.reload()
    wait_for_state(page, "update-waiting")
    page.evaluate("takeUpdate()")
    page.reload()
    assert versions(page) == {"v2"}


def test_a_first_visit_that_misses_a_file_names_it_and_is_ready_once_the_network_is_back(server, page):
    server.fault("/w/belt/sheet.json", faults.status(500))
    page.goto(server.url("/"))
    page.wait_for_function("() => states.at(-1)?.failed && states.at(-1).state === 'broken'")
    broken = last_state(page)
    assert (broken["why"], broken["failed"]) == ("no-copy", "w/belt/sheet.json: 500")
    assert page.get_attribute("html", "data-offline") == "broken"
    server.heal()
    server.forget()
    page.evaluate("dispatchEvent(new Event('online'))")
    page.wait_for_selector("html[data-offline=ready]", state="attached")
    assert "/w/belt/sheet.json" in server.asked()


def test_a_copy_that_lost_a_file_is_not_called_ready_until_it_is_mended(server, page):
    visit(page, server)
    lose = "caches.keys().then(([name]) => caches.open(name)).then(kept => kept.delete('/style.css'))"
    assert page.evaluate(lose)
    server.fault("/style.css", faults.status(500))
    page.reload()
    broken = wait_for_state(page, "broken")
    assert (broken["why"], broken["kept"], broken["listed"]) == ("incomplete", LISTED - 1, LISTED)
    assert page.get_attribute("html", "data-offline") == "broken"
    server.heal()
    page.reload()
    page.wait_for_selector("html[data-offline=ready]", state="attached")
    assert versions(page) == {"v1"}


def test_a_stopped_page_half_says_nothing_more(server, page):
    visit(page, server)
    page.evaluate("site.stop()")
    said = len(page.evaluate("states"))
    server.put("/", site("v2"))
    assert update(page) == "waiting"
    page.evaluate("new Promise(resolve => setTimeout(resolve, 200))")
    assert len(page.evaluate("states")) == said
