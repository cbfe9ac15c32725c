"""What a phone saves of a site, and what becomes of it: packs left out, versions skipped, a site moved or given up."""

import json
from pathlib import Path

import pytest

from generator.site.bundle import digest, worth_keeping
from tests.browser import server as faults
from tests.browser.engines import wait_for
from tests.browser.server import Server
from tests.browser.toy_site import (
    ODD_NAME,
    PACKS,
    VERSIONS,
    files_of,
    preview,
    site,
    version_of,
    with_worker,
)

pytestmark = pytest.mark.browser

WITHOUT_PACKS = (Path(__file__).parents[1] / "pages" / "worker_without_packs.js").read_text()
ASK = """navigator.serviceWorker.getRegistration().then(
  found => found.update().then(() => true, () => false))"""
WAITING = "navigator.serviceWorker.getRegistration().then(found => Boolean(found?.waiting) && !found.installing)"
KEPT = """async () => {
  const [name] = (await caches.keys()).filter(name => /[0-9a-f]{20}$/.test(name));
  return (await (await caches.open(name)).keys()).map(({ url }) => decodeURIComponent(new URL(url).pathname)).sort();
}"""
STATUS = "address => fetch(address, { cache: 'no-store' }).then(answer => answer.status, () => 'no answer')"
BELT = ["/w/belt/", "/w/belt/sheet.json", f"/{ODD_NAME}"]
PUMP = ["/w/pump/", "/w/pump/sheet.json"]


@pytest.fixture
def server():
    with Server({"/": site("v1")}) as running:
        yield running


@pytest.fixture
def page(context):
    return context.new_page()


def ready(page):
    page.wait_for_function("() => globalThis.states?.at(-1)?.whole")
    return page.evaluate("states.at(-1)")


def visit(page, server, path="/"):
    page.goto(server.url(path))
    return ready(page)


def choose(page, names):
    """Choose as a person does on the jobs page: the choice is stored, then the worker is told."""
    page.evaluate("names => choose(names)", names)
    return page.evaluate("states.at(-1)")


def update(page):
    assert page.evaluate(ASK)
    wait_for(lambda: page.evaluate(WAITING), "the new version to wait")


def take(page):
    update(page)
    assert page.evaluate("takeUpdate()") is True
    page.reload()
    return ready(page)


# --- what a person chose ----------------------------------------------------------------------------------------------


def test_without_a_choice_everything_is_kept_and_counted(server, page):
    state = visit(page, server)
    assert {name: (pack["pinned"], pack["kept"]) for name, pack in state["packs"].items()} == {
        name: (True, len(pack.paths)) for name, pack in PACKS.items()
    }
    assert state["kept"] == state["listed"] == len(page.evaluate(KEPT))


def test_a_pack_that_is_left_is_gone_at_once_and_fetched_again_when_it_is_chosen(server, page):
    visit(page, server)
    state = choose(page, ["pump"])
    assert state["state"] == "ready" and state["kept"] == state["listed"]
    assert not set(BELT) & set(page.evaluate(KEPT)) and set(PUMP) <= set(page.evaluate(KEPT))
    server.forget()
    assert choose(page, ["belt", "pump"])["state"] == "ready"
    assert sorted(server.asked()) == sorted(BELT)
    assert choose(page, None)["packs"]["guide"]["kept"] == 1


def test_a_choice_made_without_a_network_leaves_at_once_and_says_what_has_not_arrived(server, page):
    visit(page, server)
    choose(page, ["pump"])
    server.stop()
    state = choose(page, ["belt"])
    assert (state["state"], state["why"]) == ("broken", "some-missing")
    assert "What is here works offline" in state["words"]
    assert not set(PUMP) & set(page.evaluate(KEPT))
    page.reload()
    assert set(page.evaluate(VERSIONS.replace("w/belt/sheet.json", "packs.json"))) >= {"v1"}
    server.start()
    page.evaluate("dispatchEvent(new Event('online'))")
    assert ready(page)["packs"]["belt"]["kept"] == len(BELT)


def test_a_choice_outlives_the_page_and_an_update_fetches_nothing_of_what_was_left(server, page):
    visit(page, server)
    choose(page, ["pump"])
    server.put("/", site("v2"))
    server.forget()
    state = take(page)
    assert state["version"] == version_of(site("v2"))
    assert not {*BELT, "/guide/"} & set(server.asked())
    assert set(PUMP) <= set(page.evaluate(KEPT))


def test_a_pack_that_is_not_kept_comes_from_the_network_is_not_stored_and_without_one_the_offline_page_answers(
    server, page
):
    visit(page, server)
    choose(page, ["pump"])
    assert page.evaluate(STATUS, "/w/belt/sheet.json") == 200
    assert not set(BELT) & set(page.evaluate(KEPT))
    server.stop()
    assert page.goto(server.url("/w/belt/")).status == 503
    assert page.inner_text("h1") == "Not on this phone"
    assert page.goto(server.url("/w/pump")).status == 200


def test_a_worksheet_that_a_new_version_no_longer_has_is_named_and_nothing_breaks(server, page):
    visit(page, server)
    choose(page, ["belt", "pump"])
    files = {path: body for path, body in files_of("v2").items() if not path.startswith("w/pump/")}
    server.put("/", with_worker(files, packs={"belt": PACKS["belt"], "guide": PACKS["guide"]}))
    state = take(page)
    assert (state["state"], state["gone"]) == ("ready", ["pump"])


def test_two_shops_on_one_origin_choose_apart(server, context):
    pages = {}
    for prefix in ("/", "/shop-a/"):
        server.put(prefix, site("v1", shop=f"shop{prefix}"))
        pages[prefix] = context.new_page()
        visit(pages[prefix], server, prefix)
    pages["/"].evaluate(
        "navigator.serviceWorker.getRegistration().then(found => found.active.postMessage({ pin: [] }))"
    )
    kept = """caches.keys().then(names => Promise.all(names.map(
      async name => [name, (await (await caches.open(name)).keys()).length])))"""
    small, whole = len(site("v1")) - 2 - sum(len(pack.paths) for pack in PACKS.values()), len(site("v1")) - 2
    version = version_of(site("v1"))
    expected = {f"handturn:/ shop/ {version}": small, f"handturn:/shop-a/ shop/shop-a/ {version}": whole}
    expected["handturn:/ shop/ pins"] = 1
    wait_for(lambda: dict(pages["/"].evaluate(kept)) == expected, "one shop to keep less, the other all")


# --- what the worker gives --------------------------------------------------------------------------------------------


def test_each_worker_reads_its_own_files_and_nothing_that_is_not_on_its_list(server, page):
    visit(page, server)
    server.put("/", site("v2"))
    update(page)
    texts = page.evaluate("Promise.all(['active', 'waiting'].map(which => site.read(which, 'w/belt/sheet.json')))")
    assert texts == ['{"version": "v1"}', '{"version": "v2"}']
    assert page.evaluate("site.read('active', 'packs.json').then(text => JSON.parse(text).v)") == 1
    assert page.evaluate("Promise.all(['404.html', '', null].map(path => site.read('active', path)))") == [None] * 3


def test_a_file_that_was_lost_is_put_back_when_it_is_asked_for_and_other_bytes_never_are(server, page):
    visit(page, server)
    lose = "caches.keys().then(([name]) => caches.open(name)).then(kept => kept.delete('/style.css'))"
    text = "fetch('/style.css').then(answer => answer.text())"
    assert page.evaluate(lose)
    server.fault("/style.css", faults.corrupt())
    assert page.evaluate(text) != files_of("v1")["style.css"].decode()
    assert "/style.css" not in page.evaluate(KEPT)
    server.heal()
    assert page.evaluate(text) == files_of("v1")["style.css"].decode()
    wait_for(lambda: "/style.css" in page.evaluate(KEPT), "the file to be back")


@pytest.mark.parametrize("spoil", ["kept.delete('/packs.json')", "kept.put('/packs.json', new Response('{}'))"])
def test_a_copy_that_lost_its_index_opens_what_it_has_and_is_mended_with_the_network(server, page, spoil):
    visit(page, server)
    page.evaluate(f"caches.keys().then(([name]) => caches.open(name)).then(kept => {spoil})")
    page.evaluate("navigator.serviceWorker.getRegistration().then(found => found.active.postMessage('repair'))")
    wait_for(lambda: page.evaluate("site.read('active', 'packs.json')") not in (None, "{}"), "the index to be back")
    server.stop()
    page.goto(server.url("/w/belt/"))
    assert ready(page)["state"] == "ready"


def test_a_drawing_opened_by_its_own_address_runs_nothing(page):
    script = b'<svg xmlns="http://www.w3.org/2000/svg"><script>document.documentElement.id = "ran"</script></svg>'
    site = with_worker({**files_of("v1"), ODD_NAME: script})
    with Server({"/": site, "/loose/": {"drawing.svg": script}}, csp="") as server:
        page.goto(server.url("/loose/drawing.svg"))
        assert page.evaluate("document.documentElement.id") == "ran"  # no worker is in front
        visit(page, server)
        for name in (ODD_NAME, "loose/drawing.svg"):
            answer = page.goto(server.url(f"/{name}"))
            assert answer.from_service_worker
            policy = answer.headers["content-security-policy"]
            assert policy.endswith("default-src 'none'; style-src 'unsafe-inline'; sandbox")
            assert page.evaluate("document.documentElement.id") == ""


# --- what becomes of a site -------------------------------------------------------------------------------------------


def test_a_phone_that_skipped_twenty_versions_goes_straight_to_the_newest(server, page):
    visit(page, server)
    for number in range(2, 22):
        server.put("/", site(f"v{number}"))
    server.put("/", site("v22"))
    server.forget()
    assert take(page)["version"] == version_of(site("v22"))
    assert max(server.asked().count(path) for path in ("/style.css", "/packs.json", "/w/belt/sheet.json")) == 1
    server.stop()
    page.goto(server.url("/x/"))
    assert set(page.evaluate(VERSIONS)) == {"v22"}


def test_a_phone_with_a_copy_from_before_there_were_packs_gets_the_new_one_whole(server, page):
    files = files_of("v1")
    listed = {path: digest(body) for path, body in files.items() if worth_keeping(path)}
    packs = {"belt": {"w/belt/sheet.json": listed.pop("w/belt/sheet.json")}}
    head = json.dumps({"shop": "lower-lane", "version": "0" * 20, "shell": listed, "packs": packs})
    server.put("/", {**files, "sw.js": f"const SITE = {head};\n{WITHOUT_PACKS}".encode()})
    visit(page, server)
    server.put("/", site("v2"))
    assert take(page)["packs"]["belt"]["kept"] == len(BELT)
    newest = f"handturn:/ lower-lane {version_of(site('v2'))}"
    wait_for(lambda: page.evaluate("caches.keys()") == [newest], "the older copy to be gone")
    server.stop()
    page.goto(server.url("/x/"))
    assert set(page.evaluate(VERSIONS)) == {"v2"}


STRANGE = [
    "handturn:/ lower-lane sheets",
    "handturn:/ lower-lane pins",
    f"handturn:/shop-a/ lower-lane {'0' * 20}",
    "handturn:/ lower-lane something of tomorrow",
    "somebody else",
]


def test_tidying_up_leaves_every_cache_that_is_no_version_of_this_site(server, page):
    visit(page, server)
    page.evaluate("names => Promise.all(names.map(name => caches.open(name)))", STRANGE)
    page.evaluate(f"caches.open('handturn:/ lower-lane {'1' * 20}')")
    server.put("/", site("v2"))
    take(page)
    newest = f"handturn:/ lower-lane {version_of(site('v2'))}"
    wait_for(lambda: set(page.evaluate("caches.keys()")) == {*STRANGE, newest}, "the older versions to be gone")


def test_a_site_that_is_given_up_says_what_is_safe_and_leaves_what_jobs_need(server, page):
    visit(page, server)
    page.evaluate("names => Promise.all(names.map(name => caches.open(name)))", STRANGE)
    server.put("/", preview("v1", "withdrawn"))
    page.evaluate(ASK)
    page.wait_for_function("() => states.at(-1)?.why === 'withdrawn'")
    state = page.evaluate("states.at(-1)")
    assert state["state"] == "none"
    assert "still on this phone" in state["words"] and "Send each job to a file" in state["words"]
    assert set(page.evaluate("caches.keys()")) == set(STRANGE)


@pytest.mark.parametrize(
    ("answer", "moved", "words"),
    [
        (faults.status(404), "gone", "no longer answers at this address"),
        (faults.status(410), "gone", "Ask for the new address, and move the jobs there by file"),
        (faults.redirect("http://localhost:9/sw.js", 301), "elsewhere", "answers with another one"),
    ],
)
def test_a_site_that_moved_says_so_goes_on_working_and_is_silent_again_once_it_answers(
    server, page, answer, moved, words
):
    visit(page, server)
    server.fault("*", answer)
    page.reload()
    page.wait_for_function("() => states.at(-1)?.moved")
    state = page.evaluate("states.at(-1)")
    assert (state["state"], state["moved"]) == ("ready", moved)
    assert words in state["movedWords"] and "goes on working" in state["movedWords"]
    assert set(page.evaluate(VERSIONS)) == {"v1"}
    server.heal()
    page.evaluate("dispatchEvent(new Event('online'))")
    page.wait_for_function("() => !states.at(-1).moved")


@pytest.mark.parametrize("fault", [faults.no_answer(), faults.status(500), faults.status(503), faults.portal()])
def test_a_server_in_trouble_is_not_taken_for_a_site_that_moved(server, page, fault):
    visit(page, server)
    planted = server.fault("/sw.js", fault)
    page.reload()
    ready(page)
    wait_for(lambda: planted.hits >= 2, "the page to have asked")
    page.evaluate("new Promise(resolve => setTimeout(resolve, 200))")
    assert "moved" not in page.evaluate("states.at(-1)")


def test_the_page_of_a_worksheet_that_is_gone_leads_to_the_page_of_all_jobs(server, page):
    files = {path: content for path, content in files_of("v1").items() if not path.startswith("w/pump/")}
    files["jobs/index.html"] = files["x/index.html"]
    server.put("/", with_worker(files, packs={name: pack for name, pack in PACKS.items() if name != "pump"}))
    visit(page, server)
    page.goto(server.url("/w/pump/?job=7#ab12"))
    assert page.url == server.url("/jobs/?job=7#ab12")
    assert page.evaluate(STATUS, server.url("/w/pump/sheet.json")) == 404
    page.goto(server.url("/w/belt/"))
    assert page.url == server.url("/w/belt/")
    server.stop()
    page.goto(server.url("/w/pump/#ab12"))
    assert page.url == server.url("/jobs/#ab12")
