"""Results from source to worksheet: names of a job, order of need, what a step shows, `try` at the desk."""

from __future__ import annotations

import datetime
import json
import subprocess
import sys

import pytest
from click.testing import CliRunner

from generator.check import check_all
from generator.cli import main
from generator.compile.calculators import calculators, group_of
from generator.quantities.results import work_out
from generator.site.build import check_texts
from generator.terminal import trial as desk
from tests.support.harness import FACTS, SHOP, faults_of, names_of

TODAY = datetime.date(2026, 11, 25)
SOURCE = '{document: "Manual, 2nd edition", where: page 118, read: 2026-10-02, by: KS}'

DRAIN = """\
procedure: drain
title: Drain
revision: 1
calculator: Mix
values:
  capacity: {kind: volume, label: Coolant capacity}
  mix_wanted: {kind: share, label: Mix wanted}
readings:
  drained: {label: Coolant drained, unit: L, from: 0, to: 20}
results:
  concentrate:
    label: Concentrate to add
    formula: capacity * mix_wanted - left_inside * "0 %"
    unit: L
    to_nearest: 0.1 L
    limits:
      - {when: concentrate > drained, verdict: not possible, bad: yes, say: "Only {drained} came out.", do: Drain.}
    hold: yes
  left_inside: capacity - drained
stages:
  - stage: Drain
    steps:
      - {id: drained, do: "Read it.", check: {measure: drained}, landmark: drained}
      - {id: mix, do: "Mix it, {concentrate}.", check: tick, shows: [left_inside]}
"""
WHOLE = """\
procedure: whole
title: The whole job
revision: 1
stands_alone: yes
results: {left_inside: {of: drain}}
stages:
  - {include: drain, as: drain}
  - stage: End
    steps:
      - {id: last, do: "Hand it over, {left_inside}.", check: tick, completion: yes}
"""
ENGINE = f"""\
engine: four
title: Four
revision: 1
facts: {{layout: inline}}
values:
  capacity: {{volume: 8.0 L, tolerance: 5 %, source: {SOURCE}}}
  mix_wanted: {{share: 50 %, source: {SOURCE}}}
"""
SMALL = {**FACTS, "procedures/drain.yml": DRAIN, "procedures/whole.yml": WHOLE, "engines/four.yml": ENGINE}


def sheet_of(texts):
    checked = check_texts({path: text.encode() for path, text in texts.items()})
    assert [fault.said for fault in checked.faults] == []
    return checked.sheets[0]


def test_a_worksheet_lists_results_each_after_those_it_needs():
    names = [result["name"] for result in sheet_of(SMALL)["results"]]
    assert names == ["left_inside", "concentrate"]


def test_a_worksheet_says_a_value_as_a_number_with_its_margin():
    value = sheet_of(SMALL)["values"]["capacity"]
    assert value["number"] == {"number": 8, "unit": "L"}
    assert value["margin"] == {"number": 0.4, "unit": "L"}
    assert value["text"] == "8.0 L"


def test_a_step_shows_what_its_list_and_its_text_name_and_holds_for_those_that_hold():
    mix = next(step for step in sheet_of(SMALL)["steps"] if step["path"] == "drain/mix")
    assert (mix["shows"], mix["holds"]) == (["left_inside", "concentrate"], ["concentrate"])


def test_a_step_with_a_hold_uses_the_values_the_hold_needs():
    mix = next(step for step in sheet_of(SMALL)["steps"] if step["path"] == "drain/mix")
    assert set(mix["values"]) == {"capacity", "mix_wanted"}


def test_another_formula_changes_the_duty_of_the_steps_that_show_it_and_of_no_other():
    changed = {**SMALL, "procedures/drain.yml": DRAIN.replace('* "0 %"', '* "1 %"')}
    before, after = sheet_of(SMALL), sheet_of(changed)
    differ = [a["path"] for a, b in zip(before["steps"], after["steps"], strict=True) if a["duty"] != b["duty"]]
    assert differ == ["drain/mix"]


def test_a_sheet_carries_every_unit_of_the_kinds_it_measures_and_no_other():
    kinds = {unit["kind"] for unit in sheet_of(SMALL)["units"].values()}
    assert kinds == {"volume", "share", "length", "temperature", "warmth", "distance", "date"}


def test_readings_of_one_name_in_two_procedures_are_one_reading():
    again = DRAIN.replace("procedure: drain", "procedure: again").replace("landmark: drained", "landmark: again")
    whole = WHOLE.replace("  - stage: End", "  - {include: again, as: again}\n  - stage: End")
    sheet = sheet_of({**SMALL, "procedures/again.yml": again, "procedures/whole.yml": whole})
    assert list(sheet["readings"]) == ["drained"]
    assert [step["check"].get("reading") for step in sheet["steps"] if step["check"]["kind"] == "measure"] == [
        "drained",
        "drained",
    ]


def test_an_include_that_renames_a_reading_renames_it_in_every_formula():
    whole = WHOLE.replace("as: drain}", "as: drain, known_as: {drained: drained_left, left_inside: inside_left}}")
    whole = whole.replace("results: {left_inside: {of: drain}}\n", "").replace(", {left_inside}", "")
    sheet = sheet_of({**SMALL, "procedures/whole.yml": whole})
    trees = {result["name"]: result["tree"] for result in sheet["results"]}
    assert trees["inside_left"] == ["-", ["name", "capacity"], ["name", "drained_left"]]
    assert list(sheet["readings"]) == ["drained_left"]


def test_a_gauge_of_the_engine_sheet_is_taken_as_the_procedure_says():
    steps = "check: {measure: pulled}, shows: [left]"
    texts = {
        **FACTS,
        "procedures/pull.yml": "procedure: pull\ntitle: Pull\nrevision: 1\nstands_alone: yes\nvalues:\n"
        "  pull: {kind: vacuum, label: Vacuum}\nreadings:\n  pulled: {label: Pulled, unit: inHg(vac)}\n"
        "results: {left: pull - pulled}\nstages:\n  - stage: Pull\n    steps:\n"
        f"      - {{id: pull, do: Pull., {steps}}}\n"
        "      - {id: last, do: Hand over., check: tick, completion: yes}\n",
        "engines/four.yml": ENGINE.split("values:")[0] + f"values:\n  pull: {{pressure: 12 psi, source: {SOURCE}}}\n",
    }
    number = sheet_of(texts)["values"]["pull"]["number"]
    assert number["unit"] == "kPa(vac)" and number["number"] == pytest.approx(82.7371, abs=1e-4)


def test_a_name_that_several_sources_lack_is_told_once():
    broken = {**SMALL, "procedures/drain.yml": DRAIN.replace("capacity - drained", "capacty - drained")}
    assert names_of(faults_of(broken)) == ["UnknownName"]


def test_a_fault_in_a_folded_formula_stands_on_its_own_line():
    folded = DRAIN.replace("  left_inside: capacity - drained", "  left_inside: >-\n    capacity\n    - drainned")
    (fault,) = faults_of({**SMALL, "procedures/drain.yml": folded})
    assert (fault.place.line, fault.place.column) == (21, 7)


# --- worked out -------------------------------------------------------------------------------------------------------


def group(engine=True):
    library, found = check_all(SMALL)
    assert found == []
    return group_of(library, library.procedures["drain"], library.engines["four"] if engine else None)


@pytest.mark.parametrize("ranges", [("1 L", "60 L", "2 L", "20 L"), ("2 L", "60 L", "1 L", "20 L")])
def test_a_calculator_asks_all_that_any_procedure_of_it_asks_of_a_value(ranges):
    inner, outer = ("from: {}, to: {}}}".format(*ranges[at : at + 2]) for at in (0, 2))
    drain = DRAIN.replace("label: Coolant capacity}", f"label: Coolant capacity, {inner}")
    whole = WHOLE.replace("results:", f"values: {{capacity: {{kind: volume, label: All of it, {outer}}}\nresults:")
    whole = whole.replace("Hand it over, {left_inside}", "Hand it over, {left_inside} of {capacity}")
    library, found = check_all({**SMALL, "procedures/drain.yml": drain, "procedures/whole.yml": whole})
    assert found == []
    value = group_of(library, library.procedures["whole"])["values"]["capacity"]
    assert (value["from"], value["to"], value["unit"]) == (pytest.approx(2), pytest.approx(20), "L")


def tried(typed, engine=True):
    return {one.name: one for one in desk.answers(group(engine), typed, TODAY)}


def test_at_the_desk_a_result_comes_with_its_working():
    one = tried({"drained": "5,5 L"})["left_inside"]
    assert (one.value, one.unit, one.needs) == (pytest.approx(2.5), "L", ())
    assert one.working == "Coolant capacity − Coolant drained"
    assert one.inputs == ("Coolant capacity (capacity): 8 L", "Coolant drained (drained): 5.5 L")


def test_what_is_not_known_says_what_it_needs_and_shows_no_number():
    one = tried({})["left_inside"]
    assert (one.value, one.text, one.needs, one.verdict) == (None, None, ("drained",), None)
    without = tried({"drained": "5L"}, engine=False)["left_inside"]
    assert without.needs == ("capacity",)


def test_a_limit_speaks_with_the_figures_in_it():
    one = tried({"drained": "2L"})["concentrate"]
    assert (one.verdict, one.bad, one.says) == ("not possible", True, "Only 2 L came out. Drain.")
    assert tried({"drained": "5L"})["concentrate"].verdict == "good"


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"drand": "5L"}, "nothing here is called 'drand'. Did you mean \"drained\"? It takes: drained, capacity"),
        ({"drained": "5kPa"}, "drained has no unit kPa; write one of: L, mL, qt, gal."),
        ({"drained": "5"}, "drained has a unit; write one of: L, mL, qt, gal."),
        ({"drained": "much"}, "drained is a number with its unit, for example drained=5.5L, not 'much'."),
    ],
)
def test_a_slip_at_the_desk_says_what_to_write(typed, words):
    with pytest.raises(desk.Mistyped) as slip:
        desk.answers(group(), typed, TODAY)
    assert str(slip.value).startswith(words)


def test_a_limit_that_is_not_known_leaves_the_verdict_open():
    result = {
        "name": "due",
        "tree": 1,
        "limits": [
            {"when": [">", ["name", "age"], 5], "verdict": "old", "bad": True},
            {"when": True, "verdict": "x", "bad": False},
        ],
    }
    state = work_out([result], {}, {}, {})["due"]
    assert (state["verdict"], state["limit"], state["needs"], state["known"]) == (None, None, ["age"], False)
    assert work_out([result], {"age": 6.0}, {}, {})["due"]["verdict"] == "old"


def test_the_calculators_have_a_group_for_each_procedure_with_a_title_and_the_values_of_every_engine():
    library, _ = check_all(SMALL)
    data = calculators(library)
    assert [one["title"] for one in data["groups"]] == ["Mix"]
    assert data["engines"][0]["values"]["capacity"]["number"] == {"number": 8, "unit": "L"}
    assert data["engines"][0]["values"]["capacity"]["source"]["where"] == "page 118"


def test_a_borrowed_result_brings_what_it_needs():
    library, _ = check_all(SMALL)
    only = group_of(library, library.procedures["whole"])
    assert [one["name"] for one in only["results"]] == ["left_inside", "concentrate"]
    assert set(only["readings"]) == {"drained"}


# --- the command ------------------------------------------------------------------------------------------------------


def written(folder):
    """Write a small shop and return its folder."""
    shop = "shop: quay\ntitle: Quay\npeople: [{initials: KS, name: Kim S., role: lead}]\n"
    for path, text in {**SMALL, "engines/shop.yml": shop}.items():
        file = folder / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text)
    return folder


def handturn_try(folder, *words):
    return CliRunner().invoke(main, ["try", "--dir", str(folder), "--shop", "engines", *words])


def test_the_command_gives_value_unit_verdict_and_needs(tmp_path):
    made = handturn_try(written(tmp_path), "drain", "--engine", "four", "drained=5.5L", "--json")
    results = json.loads(made.stdout)["results"]
    assert results["left_inside"]["value"] == pytest.approx(2.5)
    assert (results["concentrate"]["unit"], results["concentrate"]["verdict"]) == ("L", "good")
    assert results["concentrate"]["needs"] == []
    text = handturn_try(tmp_path, "drain", "drained=5.5L").stdout
    assert "needs capacity" in text and "= Coolant capacity − Coolant drained" in text


def test_the_command_exits_with_2_at_a_slip_and_with_1_at_faults(tmp_path):
    assert handturn_try(written(tmp_path), "drian").exit_code == 2
    assert handturn_try(tmp_path, "drain", "drained").exit_code == 2
    assert handturn_try(tmp_path, "drain").exit_code == 0
    (tmp_path / "procedures/other.yml").write_text("procedure: other\n")
    command = [sys.executable, "-m", "generator.cli", "try", "--dir", str(tmp_path), "--shop", "engines", "drain"]
    assert subprocess.run(command, capture_output=True, check=False).returncode == 1


def test_the_small_shop_that_says_everything_compiles():
    assert [fault.said for fault in faults_of(SHOP)] == []
