"""Cautions are printed in order of severity, whatever the file's order: in the worksheet and in the guide's page."""

from __future__ import annotations

import re
from itertools import permutations
from typing import Any

from generator.model import LEVELS, Procedure
from generator.site.build import check_texts
from generator.site.guide_pages import reference_page
from tests.support.harness import FACTS

FIT = """\
procedure: fit
title: Fit
stands_alone: yes
revision: 1
stages:
  - stage: Fit
    cautions:
{stage}
    steps:
      - id: fit
        do: Put it on.
        cautions:
{step}
        check: tick
        completion: yes
"""
ENGINE = "engine: four\ntitle: Four\nrevision: 1\nfacts: {layout: inline}\nvalues: {}\n"
WRITTEN = [("caution", "A"), ("danger", "B"), ("notice", "C"), ("warning", "D"), ("danger", "E"), ("caution", "F")]
PRINTED = ["B", "E", "D", "A", "F", "C"]


def shop(cautions: list[tuple[str, str]]) -> dict[str, bytes]:
    def lines(spaces: int) -> str:
        each = "- {{level: {}, hazard: {}., harm: It hurts., avoid: Keep away.}}"
        return "\n".join(" " * spaces + each.format(*one) for one in cautions)

    fit = FIT.format(stage=lines(6), step=lines(10))
    texts = {**FACTS, "procedures/fit.yml": fit, "engines/four.yml": ENGINE}
    return {path: text.encode() for path, text in texts.items()}


def sheet(cautions: list[tuple[str, str]]) -> dict[str, Any]:
    checked = check_texts(shop(cautions))
    assert not checked.faults, [fault.said for fault in checked.faults]
    return checked.sheets[0]


def hazards(cautions: list[dict[str, str]]) -> list[str]:
    return [caution["hazard"].rstrip(".") for caution in cautions]


def test_a_worksheet_has_the_worst_first_and_within_a_level_the_order_of_the_file() -> None:
    made = sheet(WRITTEN)
    assert hazards(made["steps"][0]["cautions"]) == hazards(made["stages"][0]["cautions"]) == PRINTED


def test_the_guides_page_has_the_same_order() -> None:
    procedure = check_texts(shop(WRITTEN)).library.procedures["fit"].noun
    assert isinstance(procedure, Procedure)
    page = reference_page(procedure)
    assert re.findall(r"</strong> ([A-F])\. It hurts", page) == PRINTED * 2


def test_another_order_of_the_levels_is_no_reason_to_ask_for_the_step_again() -> None:
    """The duty of a step is worked out from what is printed. Within a level the file's order is what is printed."""
    one_each = [(level, level.upper()) for level in LEVELS]
    first = sheet(one_each)["steps"][0]
    assert {sheet(list(order))["steps"][0]["duty"] for order in permutations(one_each)} == {first["duty"]}
    for gone in one_each:
        assert sheet([one for one in one_each if one != gone])["steps"][0]["duty"] != first["duty"]
    assert sheet(WRITTEN)["steps"][0]["duty"] != sheet(WRITTEN[::-1])["steps"][0]["duty"]
