"""What a page may run, said in the page: the theme's own inline scripts by their hash, and nothing else."""

from __future__ import annotations

import base64
import hashlib
import re

import pytest
from bs4 import BeautifulSoup

from generator.site import policy

PAGE = """<!doctype html>
<html lang="en" class="no-js">
  <head>
    <meta charset="utf-8">
    <link rel="stylesheet" href="main.css">
    <script>var scope = new URL(".", location); a < b && "</b>";</script>
  </head>
  <body>
    <script id="__config" type="application/json">{"base": "."}</script>
    <script src="bundle.js"></script>
    <script type="module">start()</script>
  </body>
</html>
"""


def hash_of(script: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()}'"


def policy_of(html: str) -> dict[str, str]:
    """Return the directives of a page's policy."""
    found = BeautifulSoup(html, "html.parser").find_all("meta", {"http-equiv": "Content-Security-Policy"})
    assert len(found) == 1
    return dict(part.strip().partition(" ")[::2] for part in found[0]["content"].split(";"))


def test_each_inline_script_passes_by_its_hash_and_what_is_data_needs_none():
    scripts = ['var scope = new URL(".", location); a < b && "</b>";', "start()"]
    expected = " ".join(["'self'", *sorted(map(hash_of, scripts))])
    assert policy_of(policy.with_policy(PAGE))["script-src"] == expected


def test_a_script_that_came_with_a_pages_own_text_gets_no_hash():
    page = PAGE.replace("</body>", "<script>alert(1)</script></body>")
    foreign = policy.inline_scripts("<p>Look.</p><script>alert(1)</script>")
    assert foreign == ["alert(1)"]
    assert policy.with_policy(page, foreign).count("sha256-") == 2
    assert hash_of("alert(1)") not in policy.with_policy(page, foreign)


def test_the_policy_stands_before_all_that_loads_or_runs_and_behind_the_charset():
    page = policy.with_policy(PAGE)
    head = page[page.index("<head>") : page.index("<link")]
    assert re.sub(r'content="[^"]*"', "", head).split() == [
        "<head>", "<meta", 'charset="utf-8"><meta', 'http-equiv="Content-Security-Policy"', ">"
    ]  # fmt: skip


@pytest.mark.parametrize(
    "page",
    [
        "<title>Bare</title>",
        "<!doctype html><script>early()</script><html><head></head></html>",
        "<!-- <head> --><img src=x><head>",
        "<p>No head at all <head>",
        "<!DOCTYPE html>\n<p>Text",
        "",
    ],
)
def test_a_page_without_a_proper_head_has_its_policy_before_anything_else(page):
    made = policy.with_policy(page)
    doctype = re.match(r"\s*<!doctype[^>]*>|", page, re.IGNORECASE).end()
    assert made.startswith(page[:doctype] + "<meta http-equiv=")
    assert made.endswith(page[doctype:])


def test_a_head_in_a_comment_is_no_head():
    made = policy.with_policy("<!-- <head> --><html><head><title>x</title>")
    assert made.startswith("<!-- <head> --><html><head><meta http-equiv=")


def test_line_ends_are_hashed_as_a_browser_reads_them():
    page = "<head></head><script>one\r\ntwo\rthree</script>"
    assert hash_of("one\ntwo\nthree") in policy.with_policy(page)


def test_every_html_page_of_the_theme_is_dressed_and_no_other_file():
    made = policy.for_theme({"404.html": b"<head>", "a/index.html": b"\xff", "main.css": b"", "b.htm": b""})
    assert sorted(made) == ["404.html", "a/index.html", "b.htm"]
    assert made["a/index.html"].endswith(b"\xff")


def test_our_own_policy_begins_with_nothing_and_knows_one_trusted_types_policy():
    parts = dict(part.partition(" ")[::2] for part in policy.STRICT.split("; "))
    assert parts["default-src"] == parts["object-src"] == parts["base-uri"] == parts["form-action"] == "'none'"
    assert {name: parts[name] for name in ("script-src", "style-src", "connect-src", "worker-src")} == dict.fromkeys(
        ("script-src", "style-src", "connect-src", "worker-src"), "'self'"
    )
    assert parts["require-trusted-types-for"] == "'script'"
    assert parts["trusted-types"] == policy.WORKER_POLICY


@pytest.mark.parametrize("made", [policy.STRICT, policy.theme_policy(["sha256-abc="])])
def test_no_policy_says_what_a_meta_element_cannot_or_lets_anything_unsafe_pass(made):
    for word in ("frame-ancestors", "sandbox", "report-uri", "report-to", "unsafe", "*", "http", '"'):
        assert word not in made
