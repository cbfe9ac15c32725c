"""The guide and the reference pages can be read and searched with no network, and ask no other host."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.browser.server import Server
from tests.sites.test_build import mkdocs, project


def test_the_guide_is_read_and_searched_with_no_network(chromium, tmp_path):
    folder = project(tmp_path)
    assert mkdocs(folder).returncode == 0
    page = chromium.new_context(viewport={"width": 1200, "height": 800}).new_page()
    asked: set[str] = set()
    page.on("request", lambda request: asked.add(request.url))
    with Server({"/shop-a/": folder / "site"}, csp="") as server:
        page.goto(server.url("/shop-a/"))
        page.wait_for_selector("html[data-offline=ready]", state="attached", timeout=60_000)
        server.stop()
        page.goto(server.url("/shop-a/procedures/pump/"))
        expect(page.locator("h1").first).to_contain_text("pump", ignore_case=True)
        page.locator("input[name=query]").fill("witness mark")
        expect(page.locator(".md-search-result__item").first).to_be_visible()
        page.goto(server.url("/shop-a/guide/reading-a-step?from=qr"))
        expect(page.locator("h1").first).to_contain_text("Reading a step")
        mark = page.locator(".md-header .md-logo img")
        assert mark.evaluate("img => [new URL(img.src).pathname, img.complete && img.naturalWidth > 0]") == [
            "/shop-a/icons/handturn.svg",
            True,
        ]
        hosts = {url.split("/")[2] for url in asked if url.startswith("http")}
        assert hosts == {server.url("/").split("/")[2]}
