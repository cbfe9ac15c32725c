"""What a build replaces and what it never touches, in the places of `folder_places`, and builds that die half-way.

`python -m tests.proofs.folders_harness` also tries every place with MkDocs and the other commands, and some two hundred
kills.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import zlib
from pathlib import Path

import pytest

from generator.site import manifest, swap
from generator.site.bundle import MANIFEST
from generator.site.places import PlaceRefused, Sources
from tests.proofs.folders_harness import AS_ROOT, careless, tried, withdrawals
from tests.support.folder_places import EARLIER, PLACES, Place
from tests.support.forked import run
from tests.support.killed_builds import BUILD, Before, in_the_gap
from tests.support.shop_folder import BY_HAND, change, leftovers, project, shot, spoil, write

BY_NAME = {place.name: place for place in PLACES}
WITH_MKDOCS = ("the last site, with a person's files", "a page changed by hand", "a link to the sources", "a file")


def test_there_are_places_enough_and_without_root_most_are_tried_still() -> None:
    assert len(PLACES) == len(BY_NAME) >= 40
    assert sum(not place.needs for place in PLACES) >= 40


@pytest.mark.parametrize("place", [p for p in PLACES if AS_ROOT or not p.needs], ids=lambda place: place.name)
def test_what_no_build_made_survives_in(place: Place) -> None:
    row = tried(place)
    assert not row.wrong, f"{row.wrong}\n{row.said}"
    assert row.of >= 10


@pytest.mark.parametrize("name", WITH_MKDOCS)
def test_mkdocs_is_as_careful_with(name: str) -> None:
    row = tried(BY_NAME[name], "mkdocs")
    assert not row.wrong, f"{row.wrong}\n{row.said}"


def test_a_careless_build_loses_something_in_the_same_places() -> None:
    for place in [each for each in PLACES if each.careless][::6]:
        row = careless(place)
        assert row.survived < row.of, place.name


def test_only_the_worker_of_a_site_that_a_build_made_is_withdrawn() -> None:
    assert [row.wrong for row in withdrawals()] == ["", "", "", ""]


def test_the_harness_sees_a_build_that_loses_something(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(swap, "_to_carry", lambda *_: [])
    monkeypatch.setattr(swap, "_remove_made", lambda old, site: shutil.rmtree(old) or [])
    assert "lost: " in tried(BY_NAME["the last site, with a person's files"]).wrong


# --- Builds that die --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("program", ["handturn", "mkdocs"])
def test_a_kill_between_the_two_renames_leaves_the_last_good_site_to_the_next_command(
    program: str, tmp_path: Path
) -> None:
    before = Before(tmp_path, program)
    assert before.trial(in_the_gap(before.site)) == "none"


def test_killed_anywhere_the_site_is_the_old_one_or_the_new_one(tmp_path: Path) -> None:
    before = Before(tmp_path)
    found = [before.trial(lambda number, *_, at=at: number == at) for at in spread(before.steps, 4)]
    assert found[0] == "old" and found[-1] == "new"


def spread(steps: int, share: int) -> list[int]:
    return sorted({1 + (steps - 1) * each // (share - 1) for each in range(share)})


def killed_in_the_gap(folder: Path) -> Path:
    """A shop without its site, because a build died between the renames. The site had a person's files in it."""
    project(folder)
    assert run(BUILD, folder).code == 0
    write(folder / "site")
    change(folder)
    assert run(BUILD, folder, kill=in_the_gap(folder / "site")).code == -9
    assert not (folder / "site").exists()
    return folder / "site"


def test_a_site_that_was_put_there_since_is_not_mixed_with_the_last_good_one(tmp_path: Path) -> None:
    site = killed_in_the_gap(tmp_path)
    write(site, {"index.html": "<p>Cakes"})
    ended = run(BUILD, tmp_path)
    assert ended.code == 1 and "no build made this folder" in ended.said
    assert shot(site).keys() == {"index.html"}
    assert {*BY_HAND} <= {*shot(leftovers(tmp_path)[0] / "old")}
    shutil.rmtree(site)
    assert run(BUILD, tmp_path).code == 0 and not leftovers(tmp_path)
    assert {*BY_HAND} <= {*shot(site)}


def test_withdrawing_puts_back_what_a_killed_build_left(tmp_path: Path) -> None:
    site = killed_in_the_gap(tmp_path)
    assert run(("withdraw", "site"), tmp_path).code == 0
    assert '"removed": "withdrawn"' in (site / "sw.js").read_text()
    assert {*BY_HAND} <= {*shot(site)} and not leftovers(tmp_path)


@pytest.mark.parametrize("of", ["another site", "another user", "nobody known"])
def test_a_scratch_folder_that_is_not_ours_beyond_doubt_is_left_alone(of: str, tmp_path: Path) -> None:
    site = killed_in_the_gap(tmp_path)
    scratch = leftovers(tmp_path)[0]
    if of == "another site":
        (scratch / "build.json").write_text('{"v": 1, "site": "www"}')
    elif of == "nobody known":
        (scratch / "notes.txt").write_text("mine\n")
    elif AS_ROOT:
        os.chown(scratch, 65534, 65534)
    else:
        scratch.rename(tmp_path / "elsewhere")
    before = shot(scratch)
    assert run(BUILD, tmp_path).code == 0
    assert shot(scratch) == before
    assert "CNAME" not in shot(site)


def test_a_build_at_work_is_not_cleaned_away_by_another(tmp_path: Path) -> None:
    project(tmp_path)
    fresh = swap.Fresh(tmp_path / "site", Sources(tmp_path, ()))
    write(fresh.open("quay"), {"index.html": "first"})
    assert run(BUILD, tmp_path).code == 0
    assert len(leftovers(tmp_path)) == 1
    fresh.take_place()
    assert (tmp_path / "site/index.html").read_text() == "first" and not leftovers(tmp_path)


def test_what_comes_into_the_old_site_while_it_changes_places_comes_into_the_new_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    site, exchange = tmp_path / "site", swap._exchange
    made(site, {"index.html": "first"})

    def late(*places: Path) -> None:
        exchange(*places)
        write(places[1] / "old", {"late.txt": "just in time\n", "index.html": "edited in that very moment"})

    monkeypatch.setattr(swap, "_exchange", late)
    fresh = made(site, {"index.html": "second"})
    assert (site / "late.txt").read_text() == "just in time\n"
    assert (site / "index.html").read_text() == "second"
    assert "index.html" in fresh.notes[0]
    left = leftovers(tmp_path)[0]
    assert (left / "old/index.html").read_text() == "edited in that very moment"
    assert swap.put_back(site) == fresh.notes, "it is told until somebody has looked"


def made(site: Path, files: dict[str, str]) -> swap.Fresh:
    fresh = swap.Fresh(site, Sources(site.parent / "shop", ()))
    fresh.make({path: text.encode() for path, text in files.items()}, "quay")
    return fresh


def test_what_is_carried_over_is_the_same_file_or_a_copy_where_a_disk_has_no_second_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    site = tmp_path / "site"
    made(site, {"index.html": "first"})
    write(site)
    (site / "to").symlink_to("CNAME")
    (site / "CNAME").chmod(0o640)
    was = (site / "CNAME").stat()
    made(site, {"index.html": "second"})
    assert (site / "CNAME").stat().st_ino == was.st_ino

    def no_links(*_: object, **__: object) -> None:
        raise PermissionError(1, "no second names here")

    monkeypatch.setattr(os, "link", no_links)
    kept = shot(site)
    made(site, {"index.html": "second"})
    assert shot(site) == kept
    now = (site / "CNAME").stat()
    assert now.st_ino != was.st_ino and (now.st_mode, now.st_mtime) == (was.st_mode, was.st_mtime)


def test_a_new_page_with_the_very_bytes_of_a_persons_file_is_no_quarrel(tmp_path: Path) -> None:
    site = tmp_path / "site"
    made(site, {"index.html": "first"})
    write(site, {"robots.txt": "all welcome\n", "index.html": "second"})
    made(site, {"index.html": "second", "robots.txt": "all welcome\n"})
    assert (site / "index.html").read_text() == "second"


def test_a_withdrawn_page_vanishes_and_a_folder_that_a_person_shares_with_it_stays(tmp_path: Path) -> None:
    site = tmp_path / "site"
    made(site, {"index.html": "first", "w/a/index.html": "a", "w/b/index.html": "b"})
    write(site, {"w/a/note.txt": "mine\n"})
    made(site, {"index.html": "first"})
    assert {*shot(site)} == {"index.html", "w/a/note.txt", MANIFEST}


def test_strict_mkdocs_with_a_warning_leaves_the_last_good_site(tmp_path: Path) -> None:
    project(tmp_path)
    assert run(("build", "-q"), tmp_path, program="mkdocs").code == 0
    before = shot(tmp_path / "site")
    (tmp_path / "docs/index.md").write_text("[nowhere](nowhere.md)\n")
    ended = run(("build", "--strict"), tmp_path, program="mkdocs")
    assert ended.code == 1 and "strict" in ended.said
    assert shot(tmp_path / "site") == before and not leftovers(tmp_path)


def test_a_dirty_build_is_a_whole_one(tmp_path: Path) -> None:
    project(tmp_path)
    assert run(("build", "-q"), tmp_path, program="mkdocs").code == 0
    write(tmp_path / "site")
    (tmp_path / "docs/more.md").write_text("# More\n")
    assert run(("build", "-q"), tmp_path, program="mkdocs").code == 0
    (tmp_path / "docs/more.md").unlink()
    assert run(("build", "-q", "--dirty"), tmp_path, program="mkdocs").code == 0
    assert "more/index.html" not in shot(tmp_path / "site") and {*BY_HAND} <= {*shot(tmp_path / "site")}


def test_sources_with_faults_put_the_last_good_site_back_all_the_same(tmp_path: Path) -> None:
    site = killed_in_the_gap(tmp_path)
    spoil(tmp_path)
    assert run(BUILD, tmp_path).code == 1
    assert {*BY_HAND} <= {*shot(site)} and not leftovers(tmp_path)


# --- The list ---------------------------------------------------------------------------------------------------------


def test_the_list_names_every_file_but_itself_and_is_read_back(tmp_path: Path) -> None:
    made(tmp_path / "site", {"index.html": "first", "é/ü.html": "u"})
    listed = manifest.read((tmp_path / "site" / MANIFEST).read_bytes())
    assert listed and listed.shop == "quay"
    assert listed.files == {path: what for path, what in shot(tmp_path / "site").items() if path != MANIFEST}


def test_a_site_whose_list_is_damaged_is_refused_and_that_is_said(tmp_path: Path) -> None:
    made(tmp_path / "site", {"index.html": "first"})
    (tmp_path / "site" / MANIFEST).write_text("{")
    with pytest.raises(PlaceRefused, match="the list of what a build made here, is damaged"):
        swap.known(tmp_path / "site")


@pytest.mark.parametrize(
    "text",
    ["", "[]", "null", "{", '{"v": 2, "made_by": "handturn", "shop": "a", "files": {}}', '{"v": 1, "files": {}}']
    + [
        f'{{"v": 1, "made_by": "handturn", "shop": "a", "files": {files}}}'
        for files in ("[]", '{"a": 1}', '{"a": "b"}')
    ]
    + ['{"v": 1, "made_by": "handturn", "shop": [], "files": {}}', "[" * 100_000],
)
def test_another_text_is_no_list(text: str) -> None:
    assert manifest.read(text.encode()) is None


def earlier(**changed: bytes | None) -> manifest.Manifest | None:
    """Return the list of an earlier version's site in which some files differ."""
    files = {path.relative_to(EARLIER).as_posix(): path.read_bytes() for path in EARLIER.rglob("*") if path.is_file()}
    files |= {path.replace("__", "/"): content for path, content in changed.items() if content is not None}
    return manifest.of_earlier(files, files.get)


def test_a_site_of_an_earlier_version_is_known_whole_by_its_worker_and_its_index() -> None:
    listed = earlier()
    assert listed and listed.shop == "quay"
    assert {*listed.files} == {*shot(EARLIER)}


def test_what_an_earlier_version_listed_nowhere_is_its_own_only_where_that_can_be_seen() -> None:
    ours = earlier(
        **{"404.html": b"<p>Gone fishing", "sitemap.xml": b"<urlset>mine</urlset>", "CNAME": b"shop.example"}
    )
    assert ours
    for path in ("404.html", "sitemap.xml", "sitemap.xml.gz", "CNAME"):
        assert path not in ours.files
    assert not ours.is_made("404.html", b"<p>Gone fishing")


@pytest.mark.parametrize("spoiled", [b"", b"\x1f\x8b", b"no gzip", zlib.compress(b"<urlset/>\n")])
def test_a_packed_copy_that_cannot_be_read_proves_nothing(spoiled: bytes) -> None:
    listed = earlier(**{"sitemap.xml.gz": spoiled})
    assert listed and "sitemap.xml" not in listed.files


def test_a_worker_that_was_changed_in_one_letter_is_none_of_ours() -> None:
    worker = (EARLIER / "sw.js").read_bytes()
    at = worker.index(b"const SCOPE")
    assert earlier(**{"sw.js": worker[:at] + b"const SCOPF" + worker[at + 11 :]}) is None
    assert earlier(**{"sw.js": b"self.skipWaiting()"}) is None
    changed = earlier(**{"packs.json": b'{"packs": {"a": {"files": {"CNAME": "' + b"0" * 64 + b'"}}}}'})
    assert changed and "CNAME" not in changed.files, "an index that the worker does not vouch for lists nothing"


def test_refusals_name_odd_files_without_obeying_them(tmp_path: Path) -> None:
    site = tmp_path / "site"
    write(site, {"index.html": "mine"})
    (site / "a\x1b[31m\u202eb\n").write_text("odd")
    with pytest.raises(PlaceRefused) as refused:
        swap.Fresh(site, Sources(tmp_path / "shop", ()))
    assert "\x1b" not in str(refused.value) and "\u202e" not in str(refused.value)
    assert str(refused.value).count("\n") == 1


def test_a_taken_port_is_told_in_a_sentence(tmp_path: Path) -> None:
    project(tmp_path)
    ended = subprocess.run(
        [sys.executable, "-m", "generator.cli", "demo", "--port", "99999"], cwd=tmp_path, capture_output=True, text=True
    )
    assert ended.returncode == 2 and "Traceback" not in ended.stderr and "--port 8790" in ended.stderr


def test_the_list_is_no_page_and_no_phone_asks_for_it(tmp_path: Path) -> None:
    project(tmp_path)
    assert run(BUILD, tmp_path).code == 0
    site = tmp_path / "site"
    assert MANIFEST not in (site / "sw.js").read_text() + (site / "packs.json").read_text()
    assert "sw.js" in json.loads((site / MANIFEST).read_text())["files"]
