"""The door: nothing is read past its limit, no link is followed, nothing is written outside the site."""

from __future__ import annotations

import os
import resource
from pathlib import Path

import pytest
from click.testing import CliRunner

from generator import cli
from generator.inputs import door
from generator.inputs.door import ALL_LIMIT, UNREAD
from generator.inputs.pictures import PICTURE_LIMIT
from generator.site import disk
from generator.site.build import check_texts
from tests.support.harness import SHOP, names_of

FOLDERS = ("procedures", "shop")
ITS_OWN = ["NoWorksheetForJob shop/jobs/2041.yml"]
"""What is wrong with SHOP itself: its one procedure is only a part of a job."""


@pytest.fixture
def root(tmp_path: Path) -> Path:
    disk.write_files({path: text.encode() for path, text in SHOP.items()}, tmp_path)
    (tmp_path / "procedures/pictures").mkdir()
    (tmp_path / "procedures/pictures/face.svg").write_text('<svg xmlns="http://www.w3.org/2000/svg"/>')
    return tmp_path


def faults_in(root: Path) -> list[str]:
    found = check_texts(disk.read_sources(root, FOLDERS), disk.read_pictures(root, "procedures")).faults
    return [f"{type(fault).__name__} {fault.place.file}" for fault in found]


def test_sources_and_pictures_are_read_by_the_names_an_author_types(root: Path) -> None:
    assert set(disk.read_sources(root, FOLDERS)) == set(SHOP)
    assert set(disk.read_pictures(root, "procedures")) == {"face.svg"}
    assert faults_in(root) == ITS_OWN


def test_of_an_endless_file_no_more_is_read_than_shows_that_it_is_too_large(root: Path) -> None:
    for name in ("procedures/endless.yml", "procedures/pictures/endless.png"):
        with (root / name).open("wb") as file:
            file.truncate(3_000_000_000)  # a hole, so that the disk stores nothing of it
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert len(disk.read_sources(root, FOLDERS)["procedures/endless.yml"]) == UNREAD
    assert len(disk.read_pictures(root, "procedures")["endless.png"]) == PICTURE_LIMIT + 1
    assert faults_in(root) == [
        "FileTooLarge procedures/endless.yml", "PictureTooLarge procedures/pictures/endless.png"
    ]  # fmt: skip
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 60_000


def test_reading_ends_where_all_together_are_too_much(root: Path) -> None:
    for number in range(40):
        (root / f"shop/jobs/{number}.yml").write_bytes(b"# note\n" * 140_000)
    files = disk.read_sources(root, FOLDERS)
    assert ALL_LIMIT < sum(map(len, files.values())) <= ALL_LIMIT + UNREAD
    assert names_of(list(check_texts(files).faults)) == ["AllTooLarge"]


def test_reading_ends_after_so_many_files(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(door, "FILES_LIMIT", 30)
    for number in range(50):
        (root / f"shop/jobs/n-{number}.yml").touch()
    files = disk.read_sources(root, FOLDERS)
    assert len(files) == 31
    assert names_of(list(check_texts(files).faults)) == ["AllTooLarge"]


def test_no_link_is_followed_to_a_file_or_a_folder(root: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    outside = tmp_path_factory.mktemp("outside")
    (outside / "secret.yml").write_text("shop: other\n")
    (outside / "secret.svg").write_text("<svg/>")
    (root / "shop/secret.yml").symlink_to(outside / "secret.yml")
    (root / "shop/more").symlink_to(outside)
    (root / "procedures/pictures/secret.svg").symlink_to(outside / "secret.svg")
    assert set(disk.read_sources(root, FOLDERS)) == set(SHOP)
    assert faults_in(root) == [
        "LinkNotFollowed procedures/pictures/secret.svg",
        "LinkNotFollowed shop/more",
        "LinkNotFollowed shop/secret.yml",
    ], "what a job lacks may stand in what was not read"


@pytest.mark.parametrize("folder", ["shop", "procedures", "procedures/pictures"])
def test_a_folder_of_the_project_that_is_a_link_is_not_entered(root: Path, folder: str) -> None:
    (root / folder).rename(root / "kept")
    (root / folder).symlink_to(root / "kept")
    assert f"LinkNotFollowed {folder}" in faults_in(root)
    assert not [path for path in disk.read_sources(root, (folder,))]


def test_a_link_to_nothing_or_to_itself_and_a_pipe_hold_nobody_up(root: Path) -> None:
    (root / "shop/gone.yml").symlink_to("nowhere.yml")
    (root / "shop/self.yml").symlink_to("self.yml")
    (root / "shop/loop").symlink_to(".")
    os.mkfifo(root / "shop/pipe.yml")
    refused = disk.read_sources(root, FOLDERS).refused
    assert [f"{type(fault).__name__} {fault.place.file}" for fault in refused] == [
        "LinkNotFollowed shop/gone.yml",
        "LinkNotFollowed shop/loop",
        "CannotBeOpened shop/pipe.yml",
        "LinkNotFollowed shop/self.yml",
    ]


def test_the_lock_of_an_editor_is_no_source_and_a_link_to_something_is_none_under_its_name(root: Path) -> None:
    (root / "shop/.#shop.yml").symlink_to("lead@desk.4711:1700000000")
    assert not disk.read_sources(root, FOLDERS).refused
    (root / "shop/.#more.yml").symlink_to("shop.yml")
    assert [fault.place.file for fault in disk.read_sources(root, FOLDERS).refused] == ["shop/.#more.yml"]


def test_the_folder_that_a_person_names_may_be_reached_over_a_link(root: Path, tmp_path: Path) -> None:
    (tmp_path / "here").symlink_to(root)
    assert set(disk.read_sources(tmp_path / "here", FOLDERS)) == set(SHOP)


@pytest.mark.parametrize("name", [b"a\nb.yml", b"a\x1b[31m.yml", b"\xff.yml", b"..\\b.yml", "\u202elmy.yml".encode()])
def test_an_odd_name_is_told_without_being_obeyed(root: Path, name: bytes) -> None:
    Path(os.fsdecode(bytes(root) + b"/shop/jobs/" + name)).write_text("job: '1'\n")
    for way in ("text", "json", "github"):
        words = ["check", str(root), "--shop", "shop", "--format", way]
        done = CliRunner().invoke(cli.main, words)
        assert done.exit_code == 1, done.output
        assert "\x1b" not in done.output and "\u202e" not in done.output
        assert "OddFileName" in done.output or "the name of this file has" in done.output


@pytest.mark.parametrize(
    "path", ["../a", "a/../../b", "/a", "..", "", "a\\..\\b", "C:/a", "c:a", "//server/a", "a\nb", "a\0b", "\udcff"]
)
def test_nothing_is_written_outside_of_the_site(tmp_path: Path, path: str) -> None:
    with pytest.raises(ValueError, match="leads out of the site"):
        disk.write_files({path: b"x"}, tmp_path / "site")
    assert [*tmp_path.iterdir()] == []


@pytest.mark.parametrize("path", ["a/..b", "%2e%2e/a", "-rf", "a/b c.txt", "...", "é/ü.html"])
def test_a_name_that_only_looks_like_a_way_out_stays_inside(tmp_path: Path, path: str) -> None:
    disk.write_files({path: b"x"}, tmp_path / "site")
    assert [file for file in tmp_path.rglob("*") if file.is_file()] == [tmp_path / "site" / path]
