"""A check that looked at nothing never says "no faults", in any of its forms, and nothing is built from nothing."""

from __future__ import annotations

import json
import re
import shutil
import textwrap
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from generator import cli
from generator.faults import Fault, in_order
from generator.site import disk
from generator.site.build import Findings, check_texts
from generator.terminal import report
from tests.support import demo
from tests.support.forked import run
from tests.support.harness import TRADE
from tests.support.shop_folder import project, shot

NOBODY = 65534
SOURCES = ["--shop", "shop"]


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small project with a site that was built from it."""
    root = project(tmp_path_factory.mktemp("sound") / "quay")
    assert handturn("build", root, *SOURCES, "--out", "site").exit_code == 0
    return root


@pytest.fixture
def root(sound: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(sound, tmp_path / "quay"))


def handturn(command: str, root: Path, *words: str) -> Result:
    return CliRunner().invoke(cli.main, [command, str(root), *(words or SOURCES)])


def checked(root: Path) -> Findings:
    return check_texts(disk.read_sources(root, ("procedures", "shop")), disk.read_pictures(root, "procedures"))


def names(found: tuple[Fault, ...]) -> list[str]:
    return [f"{type(fault).__name__} {fault.place.file}" for fault in found]


# --- Voids: each with what is told of it, alone -----------------------------------------------------------------------


def emptied(root: Path, folder: str) -> None:
    for path in sorted((root / folder).rglob("*"), reverse=True):
        path.rmdir() if path.is_dir() else path.unlink()


def removed(root: Path, folder: str) -> None:
    emptied(root, folder)
    (root / folder).rmdir()


def renamed(root: Path, path: str, name: str) -> None:
    (root / path).rename((root / path).with_name(name))


def as_file(root: Path, folder: str) -> None:
    removed(root, folder)
    (root / folder).write_text("procedure: sweep\n")


def without(root: Path, *patterns: str) -> None:
    for pattern in patterns:
        for path in root.glob(pattern):
            path.unlink()


def only_parts(root: Path) -> None:
    whole = root / "procedures/sweep.yml"
    whole.write_text(whole.read_text().replace("stands_alone: yes\n", "").replace(", completion: yes", ""))


def for_another_engine(root: Path) -> None:
    whole = root / "procedures/sweep.yml"
    whole.write_text(whole.read_text().replace("stages:", "fits: {bank: left}\nstages:", 1))


def below_too_many_folders(root: Path) -> None:
    deep = root / "procedures" / "/".join("abcdefghijklmnopqrstuvw")
    deep.mkdir(parents=True)
    (root / "procedures/sweep.yml").rename(deep / "sweep.yml")


def link_by_another_name(root: Path) -> None:
    (root / "procedures/sweep.yml").rename(root / "away")
    (root / "procedures/sweep.yml.txt").symlink_to(root / "away")


VOIDS: dict[str, tuple[Callable[[Path], object], list[str]]] = {
    "no procedures": (lambda root: removed(root, "procedures"), ["NoFolder procedures"]),
    "no shop": (lambda root: removed(root, "shop"), ["NoFolder shop"]),
    "a file for the procedures": (lambda root: as_file(root, "procedures"), ["NoFolder procedures"]),
    "a file for the shop": (lambda root: as_file(root, "shop"), ["NoFolder shop"]),
    "empty procedures": (lambda root: emptied(root, "procedures"), ["NothingToRead procedures"]),
    "an empty shop": (lambda root: emptied(root, "shop"), ["NothingToRead shop"]),
    "only sheets": (
        lambda root: without(root, "procedures/[!f]*.yml", "procedures/fit*", "procedures/failure*"),
        ["NoneOfKind procedures"],
    ),
    "no sheet": (lambda root: without(root, "shop/engines/*.yml"), ["NoneOfKind shop"]),
    "no shop.yml": (lambda root: without(root, "shop/shop.yml"), ["NoneOfKind shop"]),
    "no whole job": (only_parts, ["FitsNoEngine procedures/fit-pump.yml", "NotIncluded procedures/sweep.yml"]),
    "no engine for the job": (for_another_engine, ["FitsNoEngine procedures/sweep.yml"]),
    "too deep": (below_too_many_folders, ["FoldersTooDeep procedures/" + "/".join("abcdefghijklmnopqrstu")]),
    "a link with another ending": (link_by_another_name, ["LinkNotFollowed procedures/sweep.yml.txt"]),
} | {
    f"{path} as {name}": (
        lambda root, path=path, name=name: renamed(root, path, name),  # type: ignore[misc]
        [f"NotReadForName {Path(path).with_name(name)}"],
    )
    for path, name in [
        ("procedures/sweep.yml", "sweep.yml.txt"),
        ("procedures/sweep.yml", "sweep.YML"),
        ("procedures/sweep.yml", "sweep.Yaml"),
        ("procedures/sweep.yml", "sweep.yml.bak"),
        ("procedures/sweep.yml", "sweep.yml~"),
        ("procedures/sweep.yml", ".sweep.yml.swp"),
        ("procedures/sweep.yml", "sweep.txt"),
        ("procedures/sweep.yml", "sweep"),
        ("procedures/sweep.yml", "sweep.yam"),
        ("procedures/sweep.yml", ".yml"),
        ("procedures/trade.yml", "trade.yml.txt"),
        ("procedures/failure_modes.yml", "failure_modes.yml.txt"),
        ("procedures/tables/air.yml", "air.yml.txt"),
        ("shop/engines/inline-four.yml", "inline-four.yml.txt"),
        ("shop/shop.yml", "shop.yml.txt"),
        ("shop/shop.yml", "shop.YAML"),
    ]
}  # fmt: skip


@pytest.fixture(params=VOIDS)
def void(request: pytest.FixtureRequest, root: Path) -> list[str]:
    change, told = VOIDS[request.param]
    change(root)
    return told


def test_the_shop_of_these_tests_is_sound(root: Path) -> None:
    done = handturn("check", root)
    assert done.exit_code == 0 and ", no faults. 1 worksheet for the phone." in done.output


def test_of_nothing_no_command_says_no_faults_and_the_last_site_stays(root: Path, void: list[str]) -> None:
    texts = disk.read_sources(root, ("procedures", "shop"))
    found = check_texts(texts, disk.read_pictures(root, "procedures"))
    assert sorted(names(found.faults)) == sorted(void) and not found.sheets and not found.notes
    before = shot(root / "site")
    text, annotated = (report.dress(way, report.Told(texts, found.faults)) for way in ("text", "github"))
    words = handturn("check", root, *SOURCES, "--format", "json")
    built = handturn("build", root, *SOURCES, "--out", "site")
    assert words.exit_code == built.exit_code == 1 and "no faults" not in text + annotated + built.output
    assert built.output == f"{text}\n"
    told = json.loads(words.output)
    assert sorted(f"{each['fault']} {each['file']}" for each in told["faults"]) == sorted(void)
    assert told["worksheets"] is None
    for each in told["faults"]:
        file, line, column, said = (each[key] for key in ("file", "line", "column", "said"))
        assert f"{file}:{line}:{column}: {said}\n    {each['write']}\n" in text
        assert f"::error file={file},line={line},col={column}::{said}" in annotated
    assert shot(root / "site") == before and len(before) > 20


AT_THE_SOURCES = [name for name, (_, told) in VOIDS.items() if not re.match("NotIncluded|FitsNoEngine", told[0])]


@pytest.mark.parametrize("name", AT_THE_SOURCES[::4])
def test_the_desk_works_nothing_out_of_nothing(root: Path, name: str) -> None:
    VOIDS[name][0](root)
    done = CliRunner().invoke(cli.main, ["try", "cover", "--dir", str(root), *SOURCES])
    assert done.exit_code == 1 and VOIDS[name][1][0].split()[1] in done.output, done.output


def test_mkdocs_builds_nothing_of_nothing(root: Path) -> None:
    emptied(root, "shop")
    before = shot(root / "site")
    ended = run(["build", "-q"], root, program="mkdocs")
    assert ended.code == 1 and 'has no file that ends in ".yml"' in ended.said
    assert shot(root / "site") == before and len(before) > 20


# --- Where the command was run, and how folders are named -------------------------------------------------------------


def test_in_an_empty_folder_the_code_is_that_of_a_slip_in_the_words(tmp_path: Path) -> None:
    for way in ("text", "json", "github"):
        done = handturn("check", tmp_path, "--format", way)
        assert done.exit_code == 2 and done.output.count("there is no folder") == 2
    assert "Nothing was checked, 2 faults. " in handturn("check", tmp_path).output
    for command, words in (
        ("build", ["--out", str(tmp_path / "site")]),
        ("check", ["--shop", "a", "--procedures", "b"]),
    ):
        assert handturn(command, tmp_path, *words).exit_code == 2
    assert CliRunner().invoke(cli.main, ["try", "cover", "--dir", str(tmp_path)]).exit_code == 2
    assert [*tmp_path.iterdir()] == []


def told_of(root: Path, *words: str) -> list[str]:
    done = handturn("check", root, *words)
    assert done.exit_code in (1, 2)
    return done.output.splitlines()


def test_a_shop_of_another_name_is_found_and_named(root: Path) -> None:
    assert told_of(root, "--format", "text")[:2] == [
        'demo_jobs:1:1: there is no folder "demo_jobs" to read the shop from.',
        "    Name the folder with  --shop shop  or in mkdocs.yml with  shop: shop",
    ]


def test_of_several_shops_each_is_named(root: Path) -> None:
    disk.write_files({"yard/shop.yml": b"shop: yard\n", "old/notes.yml": b"procedure: x\n"}, root)
    assert told_of(root, "--format", "text")[1].endswith("  shop: shop, or one of: yard")


def test_inside_the_folder_of_the_shop_the_way_out_is_told(root: Path) -> None:
    lines = told_of(root / "shop", "--format", "text")
    assert lines[1] == lines[3] == "    This folder looks like the shop's own. Go up one folder and add  --shop shop"


def test_a_folder_of_procedures_by_another_name_is_found_and_nothing_follows_from_it(root: Path) -> None:
    renamed(root, "procedures", "library")
    assert told_of(root) == [
        'procedures:1:1: there is no folder "procedures" to read the procedures from.',
        "    Name the folder with  --procedures library  or in mkdocs.yml with  procedures: library",
        "Nothing was checked, 1 fault. The site was not built; the last good one is untouched.",
    ]


def test_where_the_procedures_are_named_as_the_shop_a_shop_is_missed(root: Path) -> None:
    said = handturn("check", root, "--shop", "procedures").output
    assert "no file here says who the shop is" in said and "there is no sheet here" in said


# --- What may stand beside the sources --------------------------------------------------------------------------------


def test_what_editors_and_people_leave_beside_a_source_is_no_fault(root: Path) -> None:
    for name in ("sweep.yml~", ".sweep.yml.swp", "#sweep.yml#", "sweep.yml.bak", "sweep.yml.~1~", "README.md", "x.csv"):
        (root / "procedures" / name).write_text("# On\n\nA text. procedure: sweep\n")
    (root / "shop/record.txt").write_text("handturn record 1\n")
    assert names(checked(root).faults) == []


def test_a_copy_that_somebody_may_have_meant_is_told_beside_its_source(root: Path) -> None:
    (root / "procedures/sweep.yml.txt").write_text("procedure: sweep\n")
    (fault,) = checked(root).faults
    assert fault.write.startswith('"sweep.yml" is here too')


@pytest.mark.parametrize("folder", ["procedures", "shop", "shop/engines", "procedures/tables", "procedures/pictures"])
def test_a_folder_that_may_not_be_opened_is_told_alone(root: Path, folder: str) -> None:
    (root / folder).mkdir(exist_ok=True)
    for each in (root.parent, root.parent.parent):
        each.chmod(0o755)
    (root / folder).chmod(0)
    try:
        ended = run(["check", "--shop", "shop"], root, user=NOBODY)
    finally:
        (root / folder).chmod(0o755)
    assert f"{folder}:1:1: this folder cannot be opened: the system does not allow it." in ended.said
    assert ended.code == 1 and "no faults" not in ended.said and ended.said.count(":1:1:") == 1, ended.said


def test_a_file_that_may_not_be_opened_is_told(root: Path) -> None:
    for each in (root.parent, root.parent.parent):
        each.chmod(0o755)
    (root / "procedures/sweep.yml").chmod(0)
    ended = run(["check", "--shop", "shop"], root, user=NOBODY)
    assert ended.code == 1 and "procedures/sweep.yml:1:1: this file cannot be opened" in ended.said, ended.said


# --- The closing table ------------------------------------------------------------------------------------------------


def many_values(given: int, of: int = 60) -> dict[str, bytes]:
    """Return a whole job with so many values, every third of them ordinary, and a sheet that gives the first few."""
    names = [f"way_{at:02}" for at in range(of)]
    declared = "\n".join(
        f"  {name}: {{kind: direction, label: Way {name}{'' if at % 3 else ', critical: no'}}}"
        for at, name in enumerate(names)
    )
    steps = "\n".join(
        f'      - {{id: s-{at}, do: "Turn it {{{name}}}.", check: tick}}' for at, name in enumerate(names)
    )
    source = "{document: Manual, where: page 1, read: 2026-10-02, by: KS}"
    said = "\n".join(f"  {name}: {{text: left, source: {source}}}" for name in names[:given])
    texts = {
        "procedures/turn.yml": "procedure: turn\ntitle: Turn it\nrevision: 1\nstands_alone: yes\nvalues:\n"
        f"{declared}\nstages:\n  - stage: Turn\n    steps:\n{steps}\n"
        "      - {id: end, do: Put it back., check: tick, completion: yes}\n",
        **TRADE,
        "shop/shop.yml": "shop: quay\ntitle: Quay\npeople: [{initials: KS, name: Kim S., role: lead}]\n",
        "shop/engines/four.yml": f"engine: four\ntitle: Four\nrevision: 1\nfacts: {{}}\nvalues:\n{said}\n",
    }
    return {path: text.encode() for path, text in texts.items()}


def test_a_sheet_with_one_value_of_sixty_is_seen_as_that(tmp_path: Path) -> None:
    disk.write_files(many_values(1), tmp_path)
    lines = without_marks(handturn("check", tmp_path).output).splitlines()
    assert lines[:4] == [
        "turn on",
        "    four   61 steps   61 taps   0 press-and-holds   0 photos   1 of 60 values known   "
        "the phone asks for 40 critical and 19 ordinary",
        "",
        "The phone will ask for:",
    ]
    assert lines[4].startswith("    four   critical: way_01, way_02, way_04, ")
    assert "way_17, and others; ordinary: way_03, way_06, " in lines[4]
    assert lines[4].endswith(" way_36, and others (59 not in the sheet at all)")
    assert lines[-1] == "1 procedure and 3 other files checked, no faults. 1 worksheet for the phone."
    told = json.loads(handturn("check", tmp_path, *SOURCES, "--format", "json").output)
    (row,) = told["worksheets"]
    assert (row["worksheet"], row["values"], row["known"]) == ("turn--four", 60, 1)
    assert [len(row["asked"][key]) for key in ("critical", "others", "not_listed")] == [40, 19, 59]
    noted = handturn("check", tmp_path, *SOURCES, "--format", "github").output
    assert "1 of 60 values known, the phone asks for 40 critical and 19 ordinary.\n" in noted


def test_a_value_that_a_person_called_missing_is_told_apart_from_one_that_is_not_there(tmp_path: Path) -> None:
    files = many_values(1, of=2)
    files["shop/engines/four.yml"] += b"  way_01: {missing: not in the manual}\n"
    disk.write_files(files, tmp_path)
    lines = handturn("check", tmp_path).output.splitlines()
    assert lines[1].endswith("   1 of 2 values known   the phone asks for 1 critical")
    assert lines[4] == "    four   critical: way_01"


def test_where_all_is_known_nothing_is_asked_and_one_is_one(tmp_path: Path) -> None:
    disk.write_files(many_values(1, of=1), tmp_path)
    said = handturn("check", tmp_path).output
    assert said.splitlines()[1].endswith("   1 of 1 value known   the phone asks for none")
    assert "will ask for" not in said
    built = handturn("build", tmp_path, *SOURCES, "--out", str(tmp_path / "site"))
    assert built.output.endswith(f"\n1 worksheet built in {tmp_path / 'site'}.\n")
    assert not re.search(r"(?<![\d.])1 \w+s\b", said + built.output.replace(str(tmp_path), ""))


def test_every_worksheet_of_the_demo_has_its_line_in_all_three_forms() -> None:
    made = demo.checked()
    told = report.Told(demo.texts(), (), made.sheets, made.notes)
    text, noted = report.dress("text", told), report.dress("github", told)
    rows = json.loads(report.dress("json", told))["worksheets"]
    assert len(rows) == len(made.sheets) >= 4 and any(row["worked_out"] for row in rows)
    for sheet, row in zip(made.sheets, rows, strict=True):
        filled = {result["fills"] for result in sheet["results"]}
        missing = [name for name in sheet["needs"]["values"] if name not in filled]
        values, lacking = sheet["values"], sheet["needs"]["values"]
        critical = [name for name in missing if values[name]["class"] == "critical"]
        assert row["asked"]["critical"] == critical and row["values"] - row["known"] == len(lacking)
        assert row["worked_out"] == [name for name in lacking if name in filled]
        known = f"{len(values) - len(lacking)} of {len(values)} values known"
        size = rf"mark {row['mark']}\W+{len(sheet['steps'])} steps"
        numbers = rf"{size}\W+{sheet['budget']['taps']} taps\W.*{known}\W+the phone asks for"
        assert re.search(rf"^    {sheet['engine']['id']} +{numbers}", text, re.M)
        assert re.search(rf"^::notice::{sheet['procedure']} on {sheet['engine']['id']}: {numbers}", noted, re.M)
        for name in missing:
            assert re.search(rf"^    {sheet['engine']['id']} .*\b{name}\b", text.partition("will ask for:")[2], re.M)


def test_the_guide_shows_what_the_command_prints_on_the_demo() -> None:
    made = demo.checked()
    said = report.dress("text", report.Told(demo.texts(), (), made.sheets, made.notes))
    guide = (demo.ROOT / "docs/guide/writing-procedures.md").read_text()
    assert without_marks(textwrap.indent(said, "    ")) in without_marks(guide), said


def without_marks(said: str) -> str:
    """Return a table of `check` without the mark of each worksheet: any change of the library changes it."""
    return re.sub(r"mark [0-9a-f]{12}   ", "", said)


def test_cautions_reach_programs_too() -> None:
    sheet = {
        "worksheet": "a--b", "procedure": "a", "engine": {"id": "b"}, "steps": [],
        "budget": {"taps": 0, "holds": 0, "photos": 0},
        "values": {"bolt": {"doubt": "72 N.m is more than it takes.", "class": "critical", "missing": None}},
        "needs": {"no_wrench": [], "values": []}, "results": [],
    }  # fmt: skip
    told = report.Told({"a.yml": "procedure: a\n"}, (), [sheet])
    assert json.loads(report.dress("json", told))["cautions"] == [
        'caution: sheet "b", value "bolt": 72 N.m is more than it takes.'
    ]
    assert report.dress("github", told).startswith('::warning::caution: sheet "b"')
    assert report.dress("text", told).startswith('caution: sheet "b"')


# --- What gave no worksheet beside others that did --------------------------------------------------------------------


def test_what_gave_no_worksheet_is_told_in_all_three_forms_and_is_no_fault(root: Path) -> None:
    done = handturn("check", root)
    told = 'part "fit-pump" fits no sheet here, because it is for pump: on-belt, but inline-four says on-chain.'
    assert done.exit_code == 0 and f"\n    procedures/fit-pump.yml:6:7: {told}\n" in done.output
    (modes, fits) = json.loads(handturn("check", root, *SOURCES, "--format", "json").output)["notes"]
    assert (fits["fault"], fits["said"], fits["line"]) == ("FitsNoEngine", told, 6)
    assert fits["facts"]["because"][0]["fact"] == "pump" and modes["fault"] == "AskedOfNoWorksheet"
    noted = handturn("check", root, *SOURCES, "--format", "github").output
    assert f"::notice file=procedures/fit-pump.yml,line=6,col=7::{told}" in noted


def test_a_new_procedure_that_nobody_includes_is_told(root: Path) -> None:
    part = (root / "procedures/cover.yml").read_text().replace("cover", "lid").replace(", {lost}", "")
    (root / "procedures/lid.yml").write_text(part.replace("results: {lost: {of: fit-pump}}\n", ""))
    assert names(checked(root).notes)[1:] == ["FitsNoEngine procedures/fit-pump.yml", "NotIncluded procedures/lid.yml"]


def test_an_engine_that_no_job_fits_is_told_with_each_reason(root: Path) -> None:
    whole = (root / "procedures/sweep.yml").read_text()
    (root / "procedures/sweep.yml").write_text(whole.replace("stages:", "fits: {cylinders: 4}\nstages:", 1))
    sheet = (root / "shop/engines/inline-four.yml").read_text()
    six = sheet.replace("inline-four", "six").replace("cylinders: 4", "cylinders: 6")
    (root / "shop/engines/six.yml").write_text(six)
    (root / "shop/engines/none.yml").write_text(sheet.replace("inline-four", "none").replace(", cylinders: 4", ""))
    said = [note.said for note in checked(root).notes if type(note).__name__ == "NoJobFits"]
    assert said == [
        'sheet "none" gives no worksheet, because sweep is for cylinders: 4, but none says nothing about it.',
        'sheet "six" gives no worksheet, because sweep is for cylinders: 4, but six says 6.',
    ]


# --- Whatever is left out ---------------------------------------------------------------------------------------------


def some_of(files: dict[str, bytes]) -> Iterator[dict[str, bytes]]:
    paths = sorted(files)
    for chosen in range(2 ** len(paths)):
        yield {path: files[path] for at, path in enumerate(paths) if chosen >> at & 1}


def test_whichever_sources_are_left_out_there_is_a_worksheet_or_a_fault(tmp_path: Path) -> None:
    """Every part of a small project, even the empty one: "no faults" always comes with a worksheet."""
    sweep = (project(tmp_path / "quay") / "procedures/sweep.yml").read_bytes()
    files = {
        **many_values(1, of=1),
        "procedures/sweep.yml": sweep.replace(b"stands_alone: yes\n", b"").replace(b", completion: yes", b""),
        "procedures/facts.yml": b"trade: Facts\nfacts:\n  layout: {inline: All in a row., vee: In two rows.}\n",
        "shop/jobs/1.yml": b'job: "1"\nprocedure: turn\nengine: four\nvehicle: Blue van\n',
    }
    silent, sound = [], 0
    for at, some in enumerate(some_of(files)):
        disk.write_files(some, tmp_path / str(at))
        found = checked(tmp_path / str(at))
        sound += bool(found.sheets)
        assert in_order(found.faults) == list(found.faults)
        if bool(found.faults) == bool(found.sheets):
            silent.append(sorted(some))
    assert silent == [] and sound == 8, "whole with or without the part, the facts and the written job"


@pytest.mark.parametrize(
    "written", ["{fastener: clip, count: 2}", '{missing: "Not in the book.", fastener: clip, count: 2}']
)
@pytest.mark.parametrize("name", ["tensioner_bolts_left", "crank_bolt"])
def test_a_sheet_that_calls_a_critical_bolt_a_clip_is_told_under_whatever_name_the_job_gives_it(name, written):
    path = "demo_jobs/engines/brackwold-v6-30.yml"
    sheet = demo.texts()[path].decode()
    milder = re.sub(rf"^  {name}:\n(?:    .*\n)+", f"  {name}: {written}\n", sheet, flags=re.MULTILINE)
    assert milder != sheet
    found = [type(fault).__name__ for fault in check_texts({**demo.texts(), path: milder.encode()}).faults]
    assert found.count("FastenerMilder") == 1
