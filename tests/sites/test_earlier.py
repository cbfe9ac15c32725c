"""What changed since the last build is told, and so is that nothing could be compared, and why."""

from __future__ import annotations

import copy
import dataclasses
import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from generator import cli
from generator.model import LEVELS
from generator.site.bundle import MANIFEST
from generator.site.earlier import Compared, Earlier, compare
from generator.site.making import LOOK, Making
from tests.support import demo
from tests.support.shop_folder import project, shot

# What may change without a higher number: of the shop, the numbers themselves, and what follows from something else.
OF_THE_SHOP = {"shop", "second_reader", "givens", "units", "wrenches", "adapters", "torque", "needs.no_wrench"}
NUMBERS = {"v", "worksheet", "procedure", "revision", "engine.id", "engine.revision"}
WORKED_OUT = {
    "budget", "needs.values", "needs.one_time",
    *(f"steps.{key}" for key in ("stage", "duty", "wording", "doubts", "decides", "values", "holds", "landmark")),
    *(f"steps.{key}" for key in ("catches", "opens.count", "was", "gate.ready", "gate.kinds", "gate.lists")),
    *(f"steps.check.{key}" for key in ("parts", "item", "list", "fastener", "asks_new", "seconds", "every", "count")),
    *(f"values.{key}" for key in ("number", "margin", "asks_margin", "units", "band", "doubt", "points", "limits")),
    "values.turn", "values.unjudged",
}  # fmt: skip
BY_NAME = {"values", "items", "readings", "tables", "tools", "parts", "consumables"}


def handturn(root: Path, *words: str) -> Result:
    shop = ("--shop", "shop") if words[0] != "withdraw" else ()
    return CliRunner().invoke(cli.main, [*words, str(root), *shop], catch_exceptions=False)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    return project(tmp_path)


@pytest.fixture
def built(root: Path) -> Path:
    assert handturn(root, "build").exit_code == 0
    return root


def rewrite(path: Path, old: str, new: str) -> None:
    assert old in path.read_text()
    path.write_text(path.read_text().replace(old, new))


# --- What is seen -----------------------------------------------------------------------------------------------------


def leaves(told: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    if isinstance(told, dict) and told:
        for name in told:
            yield from leaves(told[name], (*path, name))
    elif isinstance(told, list) and told:
        for at in range(len(told)):
            yield from leaves(told[at], (*path, at))
    elif told is not None and told not in ([], {}):
        yield path


def kind_of(path: tuple[Any, ...]) -> str:
    """`steps.cautions.level`: where a leaf stands, without numbers and names."""
    names = [part for at, part in enumerate(path) if isinstance(part, str) and path[at - 1] not in BY_NAME]
    return ".".join(names)


def with_another(sheet: dict[str, Any], path: tuple[Any, ...]) -> dict[str, Any]:
    other = copy.deepcopy(sheet)
    inner: Any = other
    for part in path[:-1]:
        inner = inner[part]
    leaf = inner[path[-1]]
    if leaf in LEVELS:
        inner[path[-1]] = "notice" if leaf != "notice" else "danger"
    else:
        inner[path[-1]] = not leaf if isinstance(leaf, bool) else f"{leaf} x" if isinstance(leaf, str) else leaf + 1
    return other


def test_whatever_else_of_a_worksheet_changes_under_its_numbers_is_a_fault() -> None:
    checked = demo.checked()
    unseen = OF_THE_SHOP | NUMBERS | WORKED_OUT
    seen, silent = set(), set()
    for sheet in checked.sheets:
        for path in leaves(sheet):
            kind = kind_of(path)
            if kind in seen or any(kind == name or kind.startswith(f"{name}.") for name in unseen):
                continue
            seen.add(kind)
            if not compare(Earlier("site", {sheet["worksheet"]: with_another(sheet, path)}), checked).faults:
                silent.add(kind)
    assert silent == set() and len(seen) > 60, (len(seen), sorted(seen))


def test_a_higher_number_answers_and_the_demo_s_own_build_over_itself_is_quiet() -> None:
    checked = demo.checked()
    sheets = {sheet["worksheet"]: sheet for sheet in checked.sheets}
    assert compare(Earlier("site", sheets), checked) == Compared()
    lower = copy.deepcopy(sheets)
    for sheet in lower.values():
        sheet["revision"] -= 1
        sheet["engine"]["revision"] -= 1
        sheet["steps"][3]["do"] = ["Otherwise."]
        next(value for value in sheet["values"].values() if value["text"])["text"] = "otherwise"
    assert compare(Earlier("site", lower), checked) == Compared()


def test_a_worksheet_of_an_earlier_version_says_nothing_of_what_came_later() -> None:
    checked = demo.checked()
    sheets = {sheet["worksheet"]: copy.deepcopy(sheet) for sheet in checked.sheets}
    for sheet in sheets.values():
        del sheet["trade"], sheet["second_reader"]
        for value in sheet["values"].values():
            for key in ("limits", "head", "grip", "turn", "unjudged"):
                del value[key]
        for step in sheet["steps"]:
            step.pop("which", None)
    assert compare(Earlier("site", sheets), checked) == Compared()


def test_a_permit_that_was_a_second_look_under_the_same_number_is_a_fault() -> None:
    checked = demo.checked()
    sheet = copy.deepcopy(checked.sheets[0])
    signed = next(step["check"] for step in sheet["steps"] if step["check"]["kind"] == "sign")
    signed |= {"permit": "Dead", "alone": False}
    (fault,) = compare(Earlier("site", {sheet["worksheet"]: sheet}), checked).faults
    assert type(fault).__name__ == "SameRevision"


def test_who_may_sign_is_a_change_of_the_procedure_and_no_news_of_this_program() -> None:
    checked = demo.checked()
    built = {sheet["worksheet"]: sheet for sheet in checked.sheets}
    name, at = next(
        (sheet["worksheet"], number)
        for sheet in checked.sheets
        for number, step in enumerate(sheet["steps"])
        if step["check"].get("qualified")
    )
    looser = copy.deepcopy(built[name])
    del looser["steps"][at]["check"]["qualified"]
    (fault,) = compare(Earlier("site", {name: looser}), checked).faults
    assert type(fault).__name__ == "SameRevision" and looser["steps"][at]["path"] in fault.said
    before = copy.deepcopy(built[name])
    for role in before["trade"]["roles"]:
        role.pop("qualified", None)
    assert compare(Earlier("site", {name: before}), checked) == Compared()
    before["trade"]["roles"][1]["qualified"] = True
    (fault,) = compare(Earlier("site", {name: before}), checked).faults
    assert "who is qualified" in fault.said
    stricter, sign = copy.deepcopy(built[name]), next(s for s in before["steps"] if s["check"]["kind"] == "photo")
    stricter["revision"] -= 1
    step = next(one for one in stricter["steps"] if one["path"] == sign["path"])
    step["check"] = {"kind": "sign", "of": [], "self_check_after": 600, "qualified": True}
    (note,) = compare(Earlier("site", {name: stricter}), checked).notes
    assert "was signed by somebody qualified in the last build, and is not now" in note.said


# --- The commands -----------------------------------------------------------------------------------------------------

CAUTION = "cautions: [{level: danger, hazard: The lift may sink., harm: It crushes., avoid: Stand clear.}]"
STEP = "- {id: swept, do: Sweep the floor., check: tick}"


def test_the_second_build_says_nothing_and_the_first_that_it_had_nothing_to_compare_with(root: Path) -> None:
    first, second = handturn(root, "build"), handturn(root, "build")
    assert "Not compared with the last build:" in first.output and "there is no built site here yet." in first.output
    assert second.output.splitlines() == [f"1 worksheet built in {root / 'site'}."]
    assert "since" not in handturn(root, "check").output.lower().replace("changed since:", "since")


def test_words_that_changed_under_a_number_stop_the_build_and_the_site_stays(built: Path) -> None:
    before = shot(built / "site")
    rewrite(built / "procedures/sweep.yml", "Sweep the floor.", "Sweep the bay.")
    for command in ("check", "build"):
        done = handturn(built, command)
        assert done.exit_code == 1
        assert 'procedures/sweep.yml:3:11: procedure "sweep" was built as revision 1 already' in done.output
        assert 'step "swept"' in done.output and "Write  revision: 2" in done.output
    assert shot(built / "site") == before
    rewrite(built / "procedures/sweep.yml", "revision: 1", "revision: 2")
    rewrite(
        built / "procedures/sweep.yml", "Sweep the bay.", "Sweep all of it."
    )  # a second draft needs no third number
    assert handturn(built, "check").exit_code == 0 and handturn(built, "build").exit_code == 0


def test_a_caution_that_is_gone_is_told_and_stops_nothing(root: Path) -> None:
    path = root / "procedures/sweep.yml"
    rewrite(path, STEP, STEP.replace("}", f", {CAUTION}}}"))
    assert handturn(root, "build").exit_code == 0
    rewrite(path, f", {CAUTION}", "")
    rewrite(path, "revision: 1", "revision: 2")
    told = 'procedures/sweep.yml:8:14: step "swept": the danger "The lift may sink." is gone.'
    for words in (("check",), ("check", "--format", "github"), ("build",)):
        done = handturn(root, *words)
        assert done.exit_code == 0 and ("The lift may sink." in done.output), done.output
    assert told in done.output
    assert "The lift may sink." not in handturn(root, "check").output  # it was told when it was built


def test_another_site_may_be_named_and_programs_are_told(built: Path) -> None:
    shutil.move(built / "site", built / "public")
    assert "there is no built site here yet" in handturn(built, "check").output
    notes = json.loads(handturn(built, "check", "--site", "public", "--format", "json").output)["notes"]
    assert not [note for note in notes if note["fault"] == "NotCompared"]


# --- What makes it say nothing of changes, and what it says then ------------------------------------------------------


def of_another_shop(site: Path) -> None:
    rewrite(site / MANIFEST, '"shop": "quay"', '"shop": "pier"')


def list_damaged(site: Path) -> None:
    (site / MANIFEST).write_text("{")


def sheet_edited(site: Path) -> None:
    rewrite(site / "w/sweep--inline-four/sheet.json", "Sweep the floor.", "Sweep the bay.")


def sheet_gone(site: Path) -> None:
    (site / "w/sweep--inline-four/sheet.json").unlink()


def made_by_nobody(site: Path) -> None:
    for name in (MANIFEST, "sw.js"):
        (site / name).unlink()


@pytest.mark.parametrize(
    ("spoil", "why"),
    [
        (shutil.rmtree, "there is no built site here yet"),
        (of_another_shop, 'this is the site of the shop "pier", and the sources are of "quay"'),
        (list_damaged, f"{MANIFEST}, the list of what a build made here, is damaged"),
        (made_by_nobody, "no build made this folder, and it is not empty"),
        (sheet_edited, "this worksheet was changed or taken away since it was built"),
        (sheet_gone, "this worksheet was changed or taken away since it was built"),
    ],
)
def test_what_cannot_be_compared_is_told_with_why(built: Path, spoil, why: str) -> None:
    rewrite(built / "procedures/sweep.yml", "Sweep the floor.", "Sweep it all.")  # a fault if it could be compared
    spoil(built / "site")
    done = handturn(built, "check")
    assert done.exit_code == 0 and "Not compared with the last build:" in done.output
    assert f"    site{'/w/sweep--inline-four/sheet.json' if 'worksheet' in why else ''}:1:1: {why}" in done.output


def test_a_preview_and_the_demo_show_every_draft_and_a_build_around_the_theme_does_not(
    built: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rewrite(built / "procedures/sweep.yml", "Sweep the floor.", "Sweep the bay.")
    begin = (built, ("procedures", "shop"), built / "site", ())
    with pytest.raises(Exception, match="was built as revision 1 already"):
        Making(serving=False).begin(*begin)
    Making(serving=True).begin(*begin)
    monkeypatch.setenv(LOOK, "1")
    look = Making(serving=False)
    look.begin(*begin)
    assert look.fresh
    look.fresh.close()


# --- Every caution of the flagships -----------------------------------------------------------------------------------


def without_caution(sheet: dict[str, Any], group: str, at: int, number: int) -> dict[str, Any]:
    other = copy.deepcopy(sheet)
    del other[group][at]["cautions"][number]
    return other


@pytest.mark.parametrize("layout", ["inline-four", "vee-six", "flat-four"])
def test_every_caution_that_is_deleted_is_told(layout: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Under the same number it is a fault, under a higher one a note that names it."""
    now, old = demo.checked(), demo.sheet(layout)
    earlier = Earlier("site", {old["worksheet"]: old})
    places = [
        (group, at, number)
        for group in ("stages", "steps")
        for at, one in enumerate(old[group])
        for number in range(len(one["cautions"]))
    ]
    unnoticed = []
    for place in places:
        weaker = without_caution(old, *place)
        same = compare(earlier, dataclasses.replace(now, sheets=(weaker,)))
        higher = compare(earlier, dataclasses.replace(now, sheets=({**weaker, "revision": old["revision"] + 1},)))
        if not same.faults or [type(note).__name__ for note in higher.notes] != ["CautionChanged"]:
            unnoticed.append(place)
    with capsys.disabled():
        print(f"\n{layout}: {len(places) - len(unnoticed)} of {len(places)} cautions noticed when deleted")
    assert len(places) > 25 and unnoticed == []


def loosened(step: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield the step without its stop, without its gate, and with a tap for a press that is held."""
    if step["gate"]:
        yield {**step, "gate": None, "hold": False}
    elif step["hold"]:
        yield {**step, "hold": False}
    if step["check"].get("hold_down"):
        yield {**step, "check": {**step["check"], "hold_down": False}}


@pytest.mark.parametrize("layout", ["inline-four", "vee-six", "flat-four"])
def test_every_stop_that_is_loosened_is_told(layout: str, capsys: pytest.CaptureFixture[str]) -> None:
    now, old = demo.checked(), demo.sheet(layout)
    earlier, mutants, unnoticed = Earlier("site", {old["worksheet"]: old}), 0, []
    for at, step in enumerate(old["steps"]):
        for weaker in loosened(step):
            mutants += 1
            made = {**old, "steps": [*old["steps"][:at], weaker, *old["steps"][at + 1 :]]}
            same = compare(earlier, dataclasses.replace(now, sheets=(made,)))
            higher = compare(earlier, dataclasses.replace(now, sheets=({**made, "revision": old["revision"] + 1},)))
            if not same.faults or [type(note).__name__ for note in higher.notes] != ["StopGone"]:
                unnoticed.append(step["path"])
    with capsys.disabled():
        print(f"\n{layout}: {mutants - len(unnoticed)} of {mutants} stops noticed when loosened")
    assert mutants > 25 and unnoticed == []


def less(gate: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield the gate without each kind, each list and the preparation that it waits for."""
    for key in ("kinds", "lists"):
        for at in range(len(gate[key])):
            yield {**gate, key: [*gate[key][:at], *gate[key][at + 1 :]]}
    if gate["ready"]:
        yield {**gate, "ready": False}


@pytest.mark.parametrize("layout", ["inline-four", "vee-six", "flat-four"])
def test_every_gate_that_waits_for_less_is_told(layout: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Also where the step has another path now, or another gate."""
    now, old = demo.checked(), demo.sheet(layout)
    earlier, mutants, unnoticed = Earlier("site", {old["worksheet"]: old}), 0, []
    others = [step["gate"]["for"] for step in old["steps"] if step["gate"]]
    for at, step in enumerate(old["steps"]):
        for weaker in less(step["gate"]) if step["gate"] else ():
            other = next(name for name in others if name != step["gate"]["for"])
            before = {**old, "steps": [{**step, "path": "before"} if each is step else each for each in old["steps"]]}
            for made, past in (
                ({**step, "gate": weaker}, earlier),
                ({**step, "gate": {**weaker, "for": other}}, earlier),
                ({**step, "gate": weaker, "was": ["before"]}, Earlier("site", {old["worksheet"]: before})),
            ):
                mutants += 1
                sheet = {**old, "steps": [*old["steps"][:at], made, *old["steps"][at + 1 :]]}
                higher = compare(past, dataclasses.replace(now, sheets=({**sheet, "revision": old["revision"] + 1},)))
                if [type(note).__name__ for note in higher.notes] != ["GateAsksLess"]:
                    unnoticed.append((step["path"], made["gate"]["for"], made["was"]))
    with capsys.disabled():
        print(f"\n{layout}: {mutants - len(unnoticed)} of {mutants} gates noticed when they wait for less")
    assert mutants > 25 and unnoticed == []
