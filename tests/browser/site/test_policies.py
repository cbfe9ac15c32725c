"""The policies hold in a browser: no page breaks its own, and what a page's policy forbids does not happen."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from bs4 import BeautifulSoup
from playwright.sync_api import BrowserContext, Page, expect

from generator.inputs.pictures import check_pictures
from generator.site import policy
from tests.browser.drive import Drive
from tests.browser.engines import EngineFailure, WebKit, wait_for
from tests.browser.server import Server
from tests.browser.touch import Finger, tap
from tests.sites.test_build import mkdocs, project
from tests.support import demo

pytestmark = pytest.mark.browser

SHEET = demo.sheet("inline-four")["worksheet"]
OURS = ("", "jobs/", "calculators/", "offline/", f"w/{SHEET}/", f"w/{SHEET}/torque/")
THEMES = ("guide/", "guide/reading-a-step/", "procedures/pump/", "no/such/page/")
TOGGLES = """  palette:
    - {scheme: default, toggle: {icon: material/brightness-7, name: To dark}}
    - {scheme: slate, toggle: {icon: material/brightness-4, name: To light}}
"""
NOTE = """document.addEventListener('securitypolicyviolation',
  event => noteBreach(`${event.effectiveDirective} ${event.blockedURI} ${event.sample}`));"""

STILL = "() => new Promise(resolve => setTimeout(() => resolve(true), 60))"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo as MkDocs builds it, with a button that changes the colours."""
    folder = project(tmp_path_factory.mktemp("shop"))
    settings = (folder / "mkdocs.yml").read_text()
    before, _, after = settings.partition("  palette:\n")
    (folder / "mkdocs.yml").write_text(before + TOGGLES + after[after.index("\nextra:") :])
    (folder / "docs/guide/odd.md").write_text("# Odd\n\n<script>globalThis.oddly = true</script>\n\nText.\n")
    made = mkdocs(folder)
    assert made.returncode == 0, made.stderr
    return folder / "site"


@pytest.fixture(scope="module")
def server(site: Path) -> Iterator[Server]:
    """A host that sends no policy of its own."""
    with Server({"/shop/": site}, csp="") as running:
        yield running


@pytest.fixture
def other_host() -> Iterator[Server]:
    """A host that no page may reach. It would serve a script."""
    with Server({"/": {"x.js": b"globalThis.ran = 1"}}, csp="") as running:
        yield running


@pytest.fixture
def breaches() -> list[str]:
    """Return every breach of a policy that `page` reports, over all that it opens: directive, address, sample."""
    return []


@pytest.fixture
def page(context: BrowserContext, breaches: list[str]) -> Page:
    page = context.new_page()
    page.set_default_timeout(8000)
    page.expose_function("noteBreach", lambda said: breaches.append(said))
    page.add_init_script(NOTE)
    return page


def test_no_page_of_the_built_site_is_without_a_policy(site: Path) -> None:
    pages = [path for path in site.rglob("*") if path.suffix in (".html", ".htm")]
    assert {"404.html", "index.html"} <= {path.relative_to(site).as_posix() for path in pages} and len(pages) > 20
    for path in pages:
        found = BeautifulSoup(path.read_text(), "html.parser").head.find_all(
            "meta", {"http-equiv": "Content-Security-Policy"}
        )
        assert [tag["content"].startswith("default-src 'none'; ") for tag in found] == [True], path
        at_home = not path.relative_to(site).as_posix().startswith(("guide/", "procedures/", "404"))
        assert (found[0]["content"] == policy.STRICT) == at_home, path


def test_our_pages_break_no_policy_while_a_job_is_done(server: Server, page: Page, breaches: list[str]) -> None:
    for path in OURS:
        page.goto(server.url(f"/shop/{path}"))
        page.wait_for_selector("html[data-ready]", state="attached")
    page.wait_for_selector("html[data-offline=ready]", state="attached", timeout=60_000)
    drive = Drive(page, server.url("/shop/"))
    drive.start(SHEET, job="J-1", vehicle="Blue van", odometer="84210")
    drive.close(drive.at() or "")
    drive.reopen()
    with page.expect_download():
        drive.press(page.locator("[data-action=export]").first)
    assert breaches == []


def test_the_themes_pages_break_no_policy_and_are_searched(server: Server, page: Page, breaches: list[str]) -> None:
    for path in THEMES:
        page.goto(server.url(f"/shop/{path}"))
        expect(page.locator("h1").first).to_be_visible()
    page.goto(server.url("/shop/procedures/pump/"))
    before = page.locator("body").get_attribute("data-md-color-scheme")
    tap(page.locator("label[for=__palette_1]:visible, label[for=__palette_0]:visible").first)
    expect(page.locator("body")).not_to_have_attribute("data-md-color-scheme", before or "")
    page.set_viewport_size({"width": 1300, "height": 800})
    page.locator("input[name=query]").press_sequentially("witness mark")
    expect(page.locator(".md-search-result__item").first).to_be_visible()
    page.keyboard.press("Enter")
    page.wait_for_url(lambda url: "/procedures/pump/" not in url)
    assert breaches == []


def test_a_script_in_the_text_of_a_page_does_not_run(server: Server, page: Page, breaches: list[str]) -> None:
    page.goto(server.url("/shop/guide/odd/"))
    expect(page.locator("h1").first).to_be_visible()
    assert page.evaluate("globalThis.oddly") is None
    assert [breach.split()[0] for breach in breaches] == ["script-src-elem"]


BITES: dict[str, tuple[str, str]] = {
    "an inline script": (
        "() => { const made = document.createElement('script'); made.append('ran = 1'); document.head.append(made); }",
        "script-src-elem",
    ),
    "a handler in an attribute": (
        "() => { const made = document.createElement('b'); made.setAttribute('onclick', 'ran = 1'); made.click(); }",
        "script-src-attr",
    ),
    "an address that is a script": (
        "() => { const made = document.createElement('a'); made.href = 'javascript:ran=1'; document.body.append(made);"
        " made.click(); }",
        "script-src-elem",
    ),
    "a text run as a script": ("() => { setTimeout(() => (0, eval)('ran = 1')); }", "script-src"),
    "a script of another host": (
        "() => { const made = document.createElement('script'); made.type = 'module'; made.src = OTHER;"
        " document.head.append(made); }",
        "script-src-elem",
    ),
    "a picture of another host": ("() => { new Image().src = OTHER; }", "img-src"),
    "a request to another host": ("() => { fetch(OTHER).catch(() => {}); }", "connect-src"),
    "a frame": (
        "() => { const made = document.createElement('iframe'); made.src = OTHER; document.body.append(made); }",
        "frame-src",
    ),
    "another base of all addresses": (
        "() => { const made = document.createElement('base'); made.href = OTHER; document.head.append(made); }",
        "base-uri",
    ),
    "a form": (
        "() => { const made = document.createElement('form'); made.action = OTHER; document.body.append(made);"
        " made.submit(); }",
        "form-action",
    ),
}


@pytest.mark.parametrize("path", ["", "guide/"], ids=["our page", "a page of the theme"])
def test_what_the_policy_forbids_does_not_happen(
    server: Server, page: Page, breaches: list[str], other_host: Server, path: str
) -> None:
    other = other_host.url("/x.js")
    page.goto(server.url(f"/shop/{path}"))
    trusted = path == ""
    for what, (attempt, directive) in BITES.items():
        breaches.clear()
        script = attempt.replace("OTHER", f"'{other}'")
        # With Trusted Types, texts are refused as scripts before anything else looks at them.
        page.evaluate(f"() => {{ try {{ ({script})() }} catch (error) {{ noteBreach(`threw ${{error.name}}`) }} }}")
        expected = {directive} | ({"require-trusted-types-for", "threw"} if trusted else set())
        wait_for(lambda: page.evaluate(STILL) and breaches, f"the page to report {what}", step=0)
        heads = {breach.split()[0] for breach in breaches}
        assert heads and heads <= expected, (what, breaches)
        assert page.evaluate("globalThis.ran") is None, what
    assert other_host.requests == []
    assert page.url == server.url(f"/shop/{path}")


def test_text_becomes_no_markup_where_trusted_types_are(server: Server, page: Page, breaches: list[str]) -> None:
    page.goto(server.url("/shop/jobs/"))
    outcome: Any = page.evaluate("""() => {
      const tried = (what) => { try { what(); return 'went through'; } catch (error) { return error.name; } };
      const hostile = '<img src=x onerror="ran = 1">';
      return [
        tried(() => { document.body.innerHTML = hostile; }),
        tried(() => { document.body.insertAdjacentHTML('beforeend', hostile); }),
        tried(() => document.write(hostile)),
        tried(() => new DOMParser().parseFromString(hostile, 'text/html')),
        tried(() => document.createRange().createContextualFragment(hostile)),
        tried(() => trustedTypes.createPolicy('another', {})),
        tried(() => navigator.serviceWorker.register('../sw.js')),
        globalThis.ran,
      ];
    }""")
    assert outcome[:6] == ["TypeError"] * 6 and outcome[7] is None
    assert page.evaluate(
        "navigator.serviceWorker.register('../sw.js').then(() => 'went through', error => error.name)"
    ) == ("TypeError")


def test_the_one_policy_lets_the_sites_own_workers_pass_and_nothing_else(
    server: Server, page: Page, breaches: list[str]
) -> None:
    page.goto(server.url("/shop/jobs/"))
    tried = """async () => {
      const { trustedAddress } = await import('../phone/base/trusted.js');
      const tried = (address, types) => {
        try { return String(trustedAddress(address, types)); } catch (error) { return error.name; }
      };
      const bad = ['sw.js', 'http://other.invalid/sw.js', 'javascript:1', 'data:text/javascript,1', '/shop/w/x/sw.js'];
      const own = new URL('../sw.js', location.href).href;
      const log = new URL('../phone/keep_log_worker.js', location.href).href;
      const good = [own, log].flatMap((one) => [tried(one) === one, tried(one, null) === one]);
      return [...good, ...bad.flatMap((one) => [tried(one), tried(one, null)])];
    }"""
    assert page.evaluate(tried) == [True] * 4 + ["TypeError"] * 10


SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="90" height="90"{}</svg>'
)
DRAWINGS = {
    name: SVG.format(inside).encode()
    for name, inside in {
        "script": "><script>document.documentElement.id = 'ran'</script>",
        "script-of-other-host": '><script xlink:href="OTHER"/>',
        "handler": " onload=\"document.documentElement.id = 'ran'\">",
        "begins": "><set attributeName='x' onbegin=\"document.documentElement.id = 'ran'\"/>",
        "page": "><foreignObject><body xmlns='http://www.w3.org/1999/xhtml' onload=\"id = 'ran'\"/></foreignObject>",
        "link": "><a xlink:href=\"javascript:document.documentElement.id = 'ran'\"><rect width='90' height='90'/></a>",
        "picture-of-other-host": '><image xlink:href="OTHER" width="9" height="9"/>',
    }.items()
}


def test_a_drawing_that_could_run_is_refused_and_runs_nothing_at_its_own_address(
    server: Server, page: Page, other_host: Server
) -> None:
    refused = {
        fault.place.file.rpartition("/")[2] for fault in check_pictures({f"{n}.svg": d for n, d in DRAWINGS.items()})
    }
    assert refused == {f"{name}.svg" for name in DRAWINGS}
    files = {f"{name}.svg": body.replace(b"OTHER", other_host.url("/x.js").encode()) for name, body in DRAWINGS.items()}
    server.put("/shop/loose/", files)
    server.put("/elsewhere/", files)
    page.goto(server.url("/elsewhere/script.svg"))
    assert page.evaluate("document.documentElement.id") == "ran", "without the worker it does run"
    page.goto(server.url("/shop/jobs/"))
    page.wait_for_selector("html[data-offline=ready]", state="attached", timeout=60_000)
    finger = Finger(page)
    for name in files:
        page.goto(server.url(f"/shop/loose/{name}"))
        finger.down(20, 20)
        finger.up()
        assert page.evaluate("document.documentElement.id") == "", name
    assert other_host.requests == []


def test_webkit_opens_every_kind_of_page_without_a_breach(server: Server, webkit: Any, tmp_path: Path) -> None:
    window: WebKit = webkit(tmp_path)
    window.watch()
    for path in (*OURS, *THEMES):
        window.load(server.url(f"/shop/{path}"))
        if path in OURS:
            wait_for(lambda: window.evaluate("'ready' in document.documentElement.dataset"), path, step=0.05)
    window.load(server.url("/shop/procedures/pump/"))
    window.evaluate("""async () => {
      const box = document.querySelector('input[name=query]');
      box.focus();
      box.value = 'witness mark';
      box.dispatchEvent(new KeyboardEvent('keyup', { bubbles: true }));
      box.dispatchEvent(new Event('input', { bubbles: true }));
    }""")
    found = "document.querySelectorAll('.md-search-result__item').length"
    wait_for(lambda: window.evaluate(found), "the search to find something", step=0.05)
    assert window.noted() == []
    window.load(server.url("/shop/jobs/"))
    with pytest.raises(EngineFailure, match="TypeError: This assignment requires a Trusted"):
        window.evaluate("() => { document.body.innerHTML = '<img src=x onerror=ran=1>'; }")
    wait_for(lambda: "breach" in {one["what"] for one in window.noted()}, "the breach to be told", step=0.05)
