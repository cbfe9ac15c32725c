"""What the torque sheet prints for a wrench with an adapter on is what the phone and `handturn torque` work out."""

from __future__ import annotations

import copy
import functools
import json
from typing import Any

import pytest
from bs4 import BeautifulSoup
from click.testing import CliRunner

from generator import render
from generator.cli import main
from generator.compile import digest_of
from generator.quantities.quantity import written
from generator.quantities.units import from_base, shown, to_base
from generator.site import disk
from tests.sites.test_paper_results import LAYOUTS
from tests.support import demo
from tests.support.node import Phone

DAY = "2026-11-25"
# Turned out of the line, folded back, folded back too far, longer than some wrenches, and very short.
MORE = {
    "turned": {"label": "Turned", "length": 60.0, "angle": 45.0},
    "back": {"label": "Back", "length": 60.0, "angle": 180.0},
    "too-far-back": {"label": "Too far back", "length": 220.0, "angle": 180.0},
    "long": {"label": "Long", "length": 390.0, "angle": 0.0},
    "short": {"label": "Short", "length": 5.0, "angle": None},
}
ASK = """async (text) => {
  const { settingsFor, pullOf, toleranceAt } = await import('/phone/quantities/torque.js');
  const { sheet, asked } = JSON.parse(text);
  return JSON.stringify(asked.map(({ target, value, adapter }) => {
    const pull = pullOf(target, sheet.units);
    if (!pull) return null;
    const tolerance = toleranceAt(pull.base, sheet.values[value], sheet);
    const leverOf = (id) => sheet.wrenches[id].lever;
    return settingsFor({ target: pull.base, tolerance, adapter, leverOf }, sheet)
      .map((one) => [one.wrench, one.number === null ? null : one.text, one.inside]);
  }));
}"""


def with_more(layout: str) -> Any:
    """Return a worksheet of a shop with more adapters, and with one wrench whose lever nobody measured."""
    sheet = copy.deepcopy(demo.sheet(layout))
    sheet["adapters"] |= copy.deepcopy(MORE)
    sheet["wrenches"]["old-foot"]["lever"] = None
    return sheet


def with_tight_makers(layout: str) -> Any:
    """Return one more, whose makers allow 1 % to each side: many a mark is too far off, and often only the adapter's
    share of it decides."""
    sheet = with_more(layout)
    for value in sheet["values"].values():
        if value["kind"] == "torque" and value["number"]:
            value["margin"] = {"number": value["number"]["number"] / 100, "unit": value["number"]["unit"]}
    return sheet


def page_of(sheet: Any) -> BeautifulSoup:
    overrides = disk.read_overrides().items()
    templates = {
        path.removeprefix("templates/"): text.decode() for path, text in overrides if path.startswith("templates/")
    }
    return BeautifulSoup(
        render.torque_page(sheet, digest_of(sheet), render.Site.of("demo", "Demo", templates), DAY), "html.parser"
    )


def printed(sheet: Any) -> dict[tuple[str, str, str], dict[str, str]]:
    """Return (step's number, pass, adapter) -> wrench -> the setting that is printed."""
    out = {}
    for row in page_of(sheet).select("[data-adapted]"):
        cells = row.find_all("td")[2:]
        for name, cell in zip(sheet["adapters"], cells, strict=True):
            said = {one["data-wrench"]: one.b.get_text() for one in cell.select("[data-wrench]")}
            assert bool(said) != ("no wrench here" in cell.get_text())
            out[row.td.get_text(), row["data-pass"], name] = said
    return out


def pulls(sheet: Any) -> dict[tuple[str, str], dict[str, Any]]:
    """Return (step's number, pass) -> what is pulled, for each pull of each tightening that is a torque and known."""
    return {
        (str(number), part["id"].partition(".")[0]): {"target": part["target"], "value": step["check"]["value"]}
        for number, step in enumerate(sheet["steps"], 1)
        for part in step["check"].get("parts") or []
        if step["check"]["kind"] == "tighten" and part["kind"] == "torque"
    }


def asked_of(sheet: Any) -> dict[tuple[str, str, str], dict[str, Any]]:
    return {
        (*pull, name): {**about, "adapter": {"length": one["length"], "angle": one["angle"] or 0}}
        for pull, about in pulls(sheet).items()
        for name, one in sheet["adapters"].items()
    }


@pytest.mark.parametrize("make", [demo.sheet, with_more, with_tight_makers])
@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_torque_sheet_prints_what_the_phone_sets(phone: Phone, layout: str, make: Any) -> None:
    sheet = make(layout)
    asked = asked_of(sheet)
    answers = json.loads(phone.evaluate(ASK, json.dumps({"sheet": sheet, "asked": [*asked.values()]})))
    assert all(answer is not None for answer in answers)
    on_the_phone = {
        key: {
            wrench: f"{text} {sheet['wrenches'][wrench]['unit']}" for wrench, text, inside in answer if text and inside
        }
        for key, answer in zip(asked, answers, strict=True)
    }
    on_paper = printed(sheet)
    # A pull that no wrench reaches with any adapter has no row.
    assert {key: said for key, said in on_the_phone.items() if said} == {
        key: said for key, said in on_paper.items() if said
    }
    assert {key[:2] for key in on_paper} == {key[:2] for key, said in on_the_phone.items() if said}
    if make is with_tight_makers:
        assert sum(bool(text) and not inside for answer in answers for _, text, inside in answer) > 5
    if make is with_more:
        unset = [key for answer, key in zip(answers, asked, strict=True) for _, text, _ in answer if text is None]
        assert {key[2] for key in unset} >= {"too-far-back", "long", "turned"} and len(unset) > 20


@functools.cache
def at_the_desk(*options: str) -> dict[str, Any] | None:
    """Return what `handturn torque` says; None where it says that the adapter cannot be used so."""
    done = CliRunner().invoke(main, ["torque", *options, "--json"])
    assert done.exit_code in (0, 1), done.output
    said = json.loads(done.output)
    assert (said["setting_Nm"] is None) == (done.exit_code == 1)
    return said if done.exit_code == 0 else None


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_printed_setting_is_the_desks_to_the_nearest_mark(layout: str) -> None:
    sheet, looked, impossible = with_more(layout), 0, 0
    on_paper = printed(sheet)
    for key, about in asked_of(sheet).items():
        if key not in on_paper:
            continue
        for name, wrench in sheet["wrenches"].items():
            lever, turned = wrench["lever"], about["adapter"]
            text = on_paper[key].get(name)
            if lever is None:
                assert text is None
                continue
            options = {
                "target": about["target"],
                "lever": f"{lever} mm",
                "adapter": f"{turned['length']} mm",
                "angle": str(turned["angle"]),
            }
            said = at_the_desk(*(word for option, value in options.items() for word in (f"--{option}", value)))
            if said is None:
                assert text is None, "nothing is printed where the desk has no setting"
                impossible += 1
            elif text is not None:
                assert (
                    text
                    == f"{shown(to_base(said['setting_Nm'], 'N.m'), wrench['unit'], wrench['step'])} {wrench['unit']}"
                )
                looked += 1
            else:
                assert is_out_of_reach(said["setting_Nm"], about, wrench, sheet)
    assert looked > 50 and impossible > 10


def is_out_of_reach(setting: float, about: Any, wrench: Any, sheet: Any) -> bool:
    """True if the scale does not reach a setting (N.m), or no mark of it is near enough for the bolt."""
    number = from_base(setting, wrench["unit"])
    value, pull = sheet["values"][about["value"]], written(about["target"])
    if not wrench["low"] * (1 - 1e-9) <= number <= wrench["high"] * (1 + 1e-9) or pull is None:
        return True
    share = wrench["accuracy"]
    if value["margin"]:
        share = to_base(value["margin"]["number"], value["margin"]["unit"]) / to_base(
            value["number"]["number"], value["number"]["unit"]
        )
    off = abs(round(number / wrench["step"]) * wrench["step"] - number)
    return off > share * number


def test_an_angle_alone_has_no_setting_and_each_pass_has_its_own() -> None:
    rows = {(key[0], key[1]): said for key, said in printed(demo.sheet("vee-six")).items() if key[2] == "ring-15"}
    steps = {step["path"]: str(number) for number, step in enumerate(demo.sheet("vee-six")["steps"], 1)}
    crank, pump = steps["close/crank-bolt"], steps["pump/pump-on"]
    assert (crank, "1") in rows and (crank, "2") not in rows  # 150 N.m, then 60 deg and 60 deg
    assert rows[pump, "1"] == {"small": "5.0 N.m"} and rows[pump, "2"] == {"small": "10.0 N.m"}


def test_the_table_names_each_adapter_with_its_length_and_how_it_sits() -> None:
    heads = [node.get_text() for node in page_of(with_more("inline-four")).select(".adapters th")][2:]
    assert heads[:3] == [
        "Crowfoot 13 on its short arm, 40 mm, straight on",
        "Offset ring 15, 75 mm, square to the handle",
        "Turned, 60 mm, turned by 45 deg",
    ]


def test_a_shop_without_adapters_has_no_such_table() -> None:
    sheet = {**demo.sheet("inline-four"), "adapters": {}}
    assert not page_of(sheet).select(".adapters")


def test_an_overdue_wrench_says_so_beside_its_setting() -> None:
    said = {one["data-wrench"]: one.get_text() for one in page_of(demo.sheet("inline-four")).select("[data-wrench]")}
    assert said["middle"].endswith("overdue") and "overdue" not in said["small"]
