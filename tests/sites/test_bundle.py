"""What a phone holds is computed from what was built, and the worker's bytes change exactly when that does."""

import doctest
import json
from pathlib import Path

import pytest

from generator.site import bundle

TEMPLATE = (Path(__file__).parents[2] / "site_overrides" / "sw.js").read_text()
SITE = {"index.html": b"<h1>Bay 2</h1>", "phone/start.js": b"go()", "jobs/index.html": b"<ul></ul>"}


def site_of(text: str) -> dict:
    """Return the list at the top of a worker's text."""
    return json.loads(text.removeprefix("const SITE = ").partition(";\n")[0])


def worker(files: dict[str, bytes], packs: dict[str, bundle.Pack] | None = None, shop: str = "a") -> str:
    return bundle.worker_files(TEMPLATE, bundle.holding(files, packs), shop)["sw.js"]


def packs_of(files: dict[str, bytes], packs: dict[str, bundle.Pack]) -> dict:
    """Return the packs of the index."""
    index = json.loads(bundle.worker_files(TEMPLATE, bundle.holding(files, packs), "a")["packs.json"])
    assert index["v"] == 1
    return index["packs"]


def pack(*paths: str) -> bundle.Pack:
    return bundle.Pack("A pack", paths)


def test_each_file_is_listed_with_the_sha256_of_its_bytes():
    listed = site_of(worker(SITE, shop="lower-lane"))
    assert listed["shop"] == "lower-lane"
    assert listed["shell"]["phone/start.js"] == bundle.digest(b"go()")
    assert sorted(listed["shell"]) == sorted(SITE)


def test_the_hand_written_worker_follows_the_list_unchanged():
    text = worker(SITE, shop="lower-lane")
    assert text.endswith(f"const WORK = () => {{\n{TEMPLATE}}};\nWORK();\n")
    assert site_of(text)["code"] == bundle.digest(f"() => {{\n{TEMPLATE}}}".encode())


def test_the_same_files_in_any_order_give_the_same_bytes():
    backwards = dict(reversed(SITE.items()))
    packs = {"belt": pack("jobs/index.html"), "pump": pack("jobs/index.html", "phone/start.js")}
    backwards_packs = {"pump": pack("phone/start.js", "jobs/index.html"), "belt": pack("jobs/index.html")}
    made, again = bundle.holding(SITE, packs), bundle.holding(backwards, backwards_packs)
    assert bundle.worker_files(TEMPLATE, made, "a") == bundle.worker_files(TEMPLATE, again, "a")


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
    assert bundle.holding(SITE, {"belt": pack("jobs/index.html")}).version != bundle.holding(SITE).version


def test_a_file_that_no_page_asks_for_changes_nothing():
    noisy = {**SITE, "sitemap.xml": b"today", "sw.js": b"old", "packs.json": b"{}", "phone/start.js.map": b"{}"}
    assert worker(noisy) == worker(SITE)


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
        "phone/keep/keep.js",
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


SHEETS = {**SITE, "w/belt/index.html": b"belt", "w/belt/sheet.json": b"{}", "w/pin.svg": b"<svg/>"}
PACKS = {
    "belt": bundle.Pack(
        "Belt", ("w/belt/index.html", "w/belt/sheet.json", "w/pin.svg"), "worksheet", "2.0", 3, 41, "ab"
    ),
    "pump": bundle.Pack("Pump", ("w/pin.svg",)),
}


def test_a_worksheets_files_are_in_the_index_and_not_in_front_of_the_worker():
    assert sorted(site_of(worker(SHEETS, PACKS))["shell"]) == sorted(SITE)
    listed = packs_of(SHEETS, PACKS)
    assert {name: sorted(pack["files"]) for name, pack in listed.items()} == {
        name: sorted(pack.paths) for name, pack in PACKS.items()
    }
    assert listed["pump"]["files"] == {"w/pin.svg": bundle.digest(b"<svg/>")}


def test_the_index_says_of_a_pack_what_a_phone_shows_before_it_is_there():
    facts = {key: value for key, value in packs_of(SHEETS, PACKS)["belt"].items() if key != "files"}
    assert facts == {"kind": "worksheet", "title": "Belt", "engine": "2.0", "revision": 3, "steps": 41, "sheet": "ab"}


def test_the_list_names_the_index_by_its_hash():
    made = bundle.worker_files(TEMPLATE, bundle.holding(SHEETS, PACKS), "a")
    sha = bundle.digest(made["packs.json"].encode())
    assert site_of(made["sw.js"])["index"] == {"path": "packs.json", "sha256": sha}


def test_a_change_of_one_worksheet_leaves_every_line_of_the_list_but_the_index_and_the_version():
    before, after = (site_of(worker(files, PACKS)) for files in (SHEETS, {**SHEETS, "w/belt/sheet.json": b"[]"}))
    assert before["shell"] == after["shell"]
    assert before["version"] != after["version"] and before["index"] != after["index"]


def test_a_pack_that_names_a_file_that_was_not_built_is_a_slip_of_ours():
    with pytest.raises(KeyError, match="w/gone"):
        bundle.holding(SITE, {"belt": pack("w/gone.json")})


@pytest.mark.parametrize("path", ["/index.html", "jobs\\index.html", "../index.html", "a//b", "./a"])
def test_a_path_that_is_not_relative_and_posix_is_a_slip_of_ours(path):
    with pytest.raises(ValueError, match="relative posix path"):
        bundle.holding({path: b""})


def test_the_removing_worker_lists_nothing_and_says_that_it_removes():
    for why in ("preview", "withdrawn"):
        listed = site_of(bundle.removing_worker(TEMPLATE, why))
        assert listed.pop("code")
        assert listed == {"shop": "", "version": "", "shell": {}, "index": None, "removed": why}


def test_the_examples_in_the_docstrings_are_true():
    assert doctest.testmod(bundle) == (0, 2)
