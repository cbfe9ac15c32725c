"""The site as files: the same twice, whole or not at all, and all of it from this host."""

from __future__ import annotations

import hashlib
import json
import os
import re
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from bs4 import BeautifulSoup

from generator.canonical import canonical
from generator.site import bundle
from generator.site.bundle import MANIFEST
from tests.support import demo

ROOT = demo.ROOT
QUIET = {**os.environ, "NO_MKDOCS_2_WARNING": "1", "SOURCE_DATE_EPOCH": "1790000000"}


def project(folder: Path) -> Path:
    """Return a copy of what a shop has: its sources, guide and settings."""
    for name in ("procedures", "demo_jobs", "docs"):
        shutil.copytree(ROOT / name, folder / name)
    shutil.copy(ROOT / "mkdocs.yml", folder)
    return folder


def mkdocs(folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "mkdocs", "build", "--strict"]
    return subprocess.run(command, cwd=folder, env={**QUIET, **environment}, capture_output=True, text=True)


def handturn(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "generator.cli", *words]
    return subprocess.run(command, cwd=folder, env=QUIET, capture_output=True, text=True)


def tree(site: Path) -> dict[str, str]:
    files = sorted(path for path in site.rglob("*") if path.is_file())
    return {path.relative_to(site).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest() for path in files}


@pytest.fixture(scope="module")
def site(tmp_path_factory) -> Path:
    """The demo as MkDocs builds it."""
    folder = project(tmp_path_factory.mktemp("shop"))
    made = mkdocs(folder)
    assert made.returncode == 0, made.stderr
    return folder / "site"


def test_two_builds_are_byte_identical(site, tmp_path):
    again = project(tmp_path / "elsewhere")
    assert mkdocs(again, PYTHONHASHSEED="7").returncode == 0
    assert tree(again / "site") == tree(site)


def test_a_sheet_is_canonical_and_its_digest_stands_in_its_page(site):
    sheets = sorted(site.glob("w/*/sheet.json"))
    assert len(sheets) == len(demo.checked().sheets)
    for path in sheets:
        text = path.read_text()
        assert canonical(json.loads(text)) == text
        page = BeautifulSoup(path.with_name("index.html").read_text(), "html.parser")
        assert page.html["data-digest"] == hashlib.sha256(text.encode()).hexdigest()


def test_the_worker_lists_every_file_of_the_site_once_and_the_guide_is_one_pack(site):
    listed = json.loads((site / "sw.js").read_text().removeprefix("const SITE = ").split(";\n", 1)[0])
    index = (site / "packs.json").read_text()
    packs = json.loads(index)["packs"]
    assert canonical(json.loads(index)) == index
    assert listed["index"]["sha256"] == hashlib.sha256(index.encode()).hexdigest()
    named = [*listed["shell"], *(path for pack in packs.values() for path in pack["files"])]
    unlisted = {"sw.js", "packs.json", "404.html", "sitemap.xml", "sitemap.xml.gz", MANIFEST}
    served = {path for path in tree(site) if bundle.worth_keeping(path)} | unlisted
    assert sorted([*named, *unlisted]) == sorted(served)
    assert {name for name, pack in packs.items() if pack["kind"] == "worksheet"} == {
        sheet["worksheet"] for sheet in demo.checked().sheets
    }
    guide = packs["guide"]["files"]
    assert {"guide/index.html", "procedures/pump/index.html", "search/search_index.json"} <= set(guide)
    assert not [path for path in guide if path in demo.built().files]


def test_a_drawing_of_a_word_alone_comes_with_the_guide_and_with_no_job(site):
    packs = json.loads((site / "packs.json").read_text())["packs"]
    at_steps = {step["picture"]["file"] for one in demo.checked().sheets for step in one["steps"] if step["picture"]}
    drawn = {word.means.file for word in demo.library().trade.drawings.values()}
    alone = drawn - at_steps
    assert len(alone) > 20 and drawn & at_steps
    assert {f"guide/drawings/{name}" for name in drawn} | {"guide/words/index.html"} <= set(packs["guide"]["files"])
    with_a_job = {Path(path).name for name, pack in packs.items() if name != "guide" for path in pack["files"]}
    assert not alone & with_a_job and drawn & with_a_job


def test_a_pack_says_its_worksheets_revision_steps_and_digest(site):
    packs = json.loads((site / "packs.json").read_text())["packs"]
    for sheet in demo.checked().sheets:
        pack = packs[sheet["worksheet"]]
        digest = hashlib.sha256((site / f"w/{sheet['worksheet']}/sheet.json").read_bytes()).hexdigest()
        assert (pack["title"], pack["engine"]) == (sheet["title"], sheet["engine"]["title"])
        assert (pack["revision"], pack["steps"], pack["sheet"]) == (sheet["revision"], len(sheet["steps"]), digest)


def test_a_site_is_withdrawn_by_its_worker_alone(site, tmp_path):
    shutil.copytree(site, tmp_path / "site")
    assert handturn(tmp_path, "withdraw", "site").returncode == 0
    before, after = tree(site), tree(tmp_path / "site")
    assert {path for path in before if before[path] != after.get(path)} == {"sw.js", MANIFEST}
    assert '"removed": "withdrawn"' in (tmp_path / "site/sw.js").read_text()


def test_a_folder_without_a_worker_cannot_be_withdrawn(tmp_path):
    made = handturn(tmp_path, "withdraw", str(tmp_path))
    assert made.returncode == 2 and "no sw.js" in made.stderr
    assert not list(tmp_path.iterdir())


def test_our_pages_carry_nothing_inline_and_a_strict_policy(site):
    for path in [
        site / "index.html",
        site / "jobs/index.html",
        site / "offline/index.html",
        *site.glob("w/*/index.html"),
    ]:
        page = BeautifulSoup(path.read_text(), "html.parser")
        policy = page.find("meta", {"http-equiv": "Content-Security-Policy"})["content"]
        assert "default-src 'none'" in policy and "unsafe" not in policy
        assert not [script for script in page.find_all("script") if not script.get("src")]
        assert not page.find_all("style") and not page.find_all(style=True)
        assert not [tag for tag in page.find_all() if any(name.startswith("on") for name in tag.attrs)]


def test_no_page_asks_another_host_for_anything(site):
    """Links that a person follows may lead elsewhere. What a page loads by itself may not."""
    loads = re.compile(r"""(?:src|href)=["']?(https?:)?//""")
    for path in sorted(site.rglob("*.html")):
        page = BeautifulSoup(path.read_text(), "html.parser")
        for tag in page.find_all(["script", "link", "img", "iframe", "source", "object", "embed"]):
            if tag.name == "link" and "canonical" in tag.get("rel", []):
                continue
            assert not loads.search(str(tag)), f"{path.relative_to(site)}: {tag}"
    for path in sorted(site.rglob("*.css")):
        assert not re.search(r"url\(\s*['\"]?(https?:)?//", path.read_text()), path.relative_to(site)


def test_a_worksheet_can_be_read_and_ticked_on_paper_without_a_script(site):
    for path in site.glob("w/*/index.html"):
        page = BeautifulSoup(path.read_text(), "html.parser")
        sheet = json.loads(path.with_name("sheet.json").read_text())
        steps = {step["data-step"]: step for step in page.find_all(attrs={"data-step": True})}
        assert list(steps) == [step["path"] for step in sheet["steps"]]
        for step in sheet["steps"]:
            cautions = [tag["data-caution"] for tag in steps[step["path"]].find_all(attrs={"data-caution": True})]
            assert cautions == [caution["level"] for caution in step["cautions"]]


@pytest.fixture
def broken(site, tmp_path) -> Path:
    """A project whose last build was good, and whose sources have two faults since."""
    folder = project(tmp_path / "shop")
    shutil.copytree(site, folder / "site")
    pump = folder / "procedures/pump.yml"
    pump.write_text(
        pump.read_text().replace("check: tick", "chekc: tick", 1).replace("procedure: pump", "procedure: pump", 1)
    )
    shop = folder / "demo_jobs/shop.yml"
    shop.write_text(shop.read_text().replace("role: lead", "role: chief"))
    return folder


def test_faults_stop_mkdocs_before_it_wipes_the_last_good_site(broken, site):
    made = mkdocs(broken)
    assert made.returncode == 1
    said = made.stdout + made.stderr
    assert "demo_jobs/shop.yml:" in said and "Traceback" not in said
    assert tree(broken / "site") == tree(site)


def test_faults_stop_our_own_build_as_well(broken, site):
    made = handturn(broken, "build")
    assert made.returncode == 1 and "the last good one is untouched" in made.stdout
    assert tree(broken / "site") == tree(site)


AWAY = '<meta http-equiv="refresh" content="0;url=https://example.org/">'


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (f"# Moved\n\n{AWAY}\n", 3),
        (f"# Moved\n\n<!--> {AWAY.upper()} -->\n", 3),
        (f"---\ndescription: '\">{AWAY}'\n---\n", 2),
    ],
    ids=["in its text", "in what is no comment", "in its front matter"],
)
def test_a_page_of_the_guide_that_leaves_by_itself_stops_the_build(site, tmp_path, text, line):
    folder = project(tmp_path / "shop")
    shutil.copytree(site, folder / "site")
    (folder / "docs/guide/limits.md").write_text(text)
    made = mkdocs(folder)
    said = made.stdout + made.stderr
    assert (
        made.returncode == 1
        and f"docs/guide/limits.md:{line}:" in said
        and "sends the reader to another address" in said
    )
    assert tree(folder / "site") == tree(site)


def test_check_exits_with_0_1_and_2(tmp_path, broken):
    assert handturn(ROOT, "check").returncode == 0
    assert handturn(broken, "check").returncode == 1
    assert handturn(ROOT, "check", "--format", "xml").returncode == 2
    assert handturn(tmp_path, "check", str(tmp_path)).returncode == 2


def test_check_speaks_text_json_and_github(broken):
    text = handturn(broken, "check").stdout
    assert re.search(r"^demo_jobs/shop\.yml:\d+:\d+: .+\.\n    .+\.$", text, re.M)
    told = json.loads(handturn(broken, "check", "--format", "json").stdout)
    assert "demo_jobs/shop.yml" in json.dumps(told)
    assert "::error file=demo_jobs/shop.yml,line=" in handturn(broken, "check", "--format", "github").stdout


def test_our_own_build_makes_every_worksheet_without_mkdocs(tmp_path):
    made = handturn(ROOT, "build", "--out", str(tmp_path / "out"))
    assert made.returncode == 0, made.stderr
    made = {path: hashlib.sha256(content).hexdigest() for path, content in demo.built().files.items()}
    listed = tree(tmp_path / "out")
    assert listed.pop(MANIFEST) and listed == made


def test_the_wheel_carries_what_is_served(tmp_path):
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    names = set(zipfile.ZipFile(next(tmp_path.glob("*.whl"))).namelist())
    served = {path.relative_to(ROOT).as_posix() for path in (ROOT / "site_overrides").rglob("*") if path.is_file()}
    assert {f"generator/{path}" for path in served} <= names
