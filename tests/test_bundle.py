"""What a phone holds is computed from what was built, and the worker's bytes change exactly when that does."""

import doctest
import json
from pathlib import Path

import pytest

from generator import bundle

TEMPLATE = (Path(__file__).parents[1] / "site_overrides" / "sw.js").read_text()
SITE = {"index.html": b"<h1>Bay 2</h1>", "phone/start.js": b"go()", "jobs/index.html": b"<ul></ul>"}


def site_of(text: str) -> dict:
    """The list at the top of a worker's text, read back."""
    head = text.removeprefix("const SITE = ").removesuffix(f";\n{TEMPLATE}")
    return json.loads(head)


def test_each_file_is_listed_with_the_sha256_of_its_bytes():
    listed = site_of(bundle.worker(TEMPLATE, SITE, scope_id="lower-lane"))
    assert listed["shop"] == "lower-lane"
    assert listed["shell"]["phone/start.js"] == bundle.digest(b"go()")
    assert sorted(listed["shell"]) == sorted(SITE)


def test_the_hand_written_worker_follows_the_list_unchanged():
    assert bundle.worker(TEMPLATE, SITE, scope_id="lower-lane").endswith(TEMPLATE)


def test_the_same_files_in_any_order_give_the_same_bytes():
    backwards = dict(reversed(SITE.items()))
    packs = {"belt": ["jobs/index.html"], "pump": ["jobs/index.html", "phone/start.js"]}
    backwards_packs = {"pump": ["phone/start.js", "jobs/index.html"], "belt": ["jobs/index.html"]}
    assert bundle.worker(TEMPLATE, SITE, scope_id="a", packs=packs) == bundle.worker(
        TEMPLATE, backwards, scope_id="a", packs=backwards_packs
    )


@pytest.mark.parametrize(
    "changed",
    [
        {**SITE, "phone/start.js": b"go(1)"},
        {**SITE, "new.css": b""},
        {path: body for path, body in SITE.items() if path != "index.html"},
    ],
    ids=["other bytes", "a file more", "a file less"],
)
def test_any_change_of_a_kept_file_is_another_version(changed):
    assert bundle.holding(changed).version != bundle.holding(SITE).version


def test_a_file_that_moves_into_a_pack_is_another_version():
    assert bundle.holding(SITE, {"belt": ["jobs/index.html"]}).version != bundle.holding(SITE).version


def test_a_file_that_no_page_asks_for_changes_nothing():
    noisy = {**SITE, "sitemap.xml": b"today", "sw.js": b"old", "phone/start.js.map": b"{}"}
    assert bundle.worker(TEMPLATE, noisy, scope_id="a") == bundle.worker(TEMPLATE, SITE, scope_id="a")


@pytest.mark.parametrize(
    "path",
    [
        "sw.js",
        "404.html",
        "sitemap.xml",
        "sitemap.xml.gz",
        "robots.txt",
        "assets/stylesheets/main.css.map",
        "search/search_index.json.gz",
        ".nojekyll",
        ".well-known/security.txt",
        "_headers",
        "CNAME",
        "assets/javascripts/lunr/min/lunr.de.min.js",
        "assets/javascripts/lunr/min/lunr.stemmer.support.min.js",
        "assets/javascripts/lunr/tinyseg.js",
    ],
)
def test_what_only_hosts_crawlers_and_other_languages_read_is_left_out(path):
    assert not bundle.worth_keeping(path)


@pytest.mark.parametrize(
    "path",
    [
        "index.html",
        "offline/index.html",
        "jobs/404.html",
        "phone/keep.js",
        "search/search_index.json",
        "assets/javascripts/bundle.a5f9d56c.min.js",
        "pictures/as found, bay 2.jpg",
        "tables/robots.txt",
    ],
)
def test_what_a_page_can_ask_for_is_kept(path):
    assert bundle.worth_keeping(path)


def test_another_search_language_brings_its_own_file_and_the_shared_ones():
    folder = "assets/javascripts/lunr"
    german = ("en", "de")
    assert bundle.worth_keeping(f"{folder}/min/lunr.de.min.js", german)
    assert bundle.worth_keeping(f"{folder}/min/lunr.stemmer.support.min.js", german)
    assert bundle.worth_keeping(f"{folder}/min/lunr.multi.min.js", german)
    assert not bundle.worth_keeping(f"{folder}/min/lunr.fr.min.js", german)


def test_a_worksheets_files_are_in_its_pack_and_not_in_the_shell():
    files = {**SITE, "w/belt/index.html": b"belt", "w/belt/sheet.json": b"{}", "w/pin.svg": b"<svg/>"}
    packs = {"belt": ["w/belt/index.html", "w/belt/sheet.json", "w/pin.svg"], "pump": ["w/pin.svg"]}
    listed = site_of(bundle.worker(TEMPLATE, files, scope_id="a", packs=packs))
    assert sorted(listed["shell"]) == sorted(SITE)
    assert listed["packs"] == {
        name: {path: bundle.digest(files[path]) for path in paths} for name, paths in packs.items()
    }


def test_a_pack_that_names_a_file_that_was_not_built_is_a_slip_of_ours():
    with pytest.raises(KeyError, match="w/gone"):
        bundle.holding(SITE, {"belt": ["w/gone.json"]})


@pytest.mark.parametrize("path", ["/index.html", "jobs\\index.html", "../index.html", "a//b", "./a"])
def test_a_path_that_is_not_relative_and_posix_is_a_slip_of_ours(path):
    with pytest.raises(ValueError, match="relative posix path"):
        bundle.holding({path: b""})


def test_the_removing_worker_lists_nothing_and_says_that_it_removes():
    listed = site_of(bundle.removing_worker(TEMPLATE))
    assert listed == {"shop": "", "version": "", "shell": {}, "packs": {}, "removed": True}


def test_the_examples_in_the_docstrings_are_true():
    assert doctest.testmod(bundle) == (0, 2)
