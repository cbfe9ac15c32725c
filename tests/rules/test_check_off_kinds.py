"""A new kind of check-off: the type checkers name every place that decides by the kind, as the recipe lists them.

Here the places of the desk are those that end in assert_never; `python -m tests.proofs.kinds_harness` asks mypy itself.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path
from random import Random
from typing import Any, get_args

import pytest

from generator.check.check_offs import named_by
from generator.check.nouns import CHECK_OFFS
from generator.compile.doubts import _is_just_a_figure
from generator.compile.sheet import _cost
from generator.faults.shape import CHECK_OFF_EXAMPLES
from generator.journal.answers import rules_of
from generator.render import _boxes
from generator.worksheet import CheckKind, SheetCheckOff
from tests.proofs.kinds_harness import NEW_KIND, ROOT, add_kind, copy, guarded, listed, named_by_tsc, spoil
from tests.support.harness import SHOP
from tests.support.journals import _checks
from tools.tables import TYPES, types

OF_THE_PHONE = "site_overrides/"


def test_the_recipe_lists_the_places_of_the_desk_that_take_every_kind() -> None:
    assert guarded() == {place for place in listed() if not place[0].startswith(OF_THE_PHONE)}
    assert guarded()


def test_the_types_of_the_phone_name_the_places_that_the_recipe_lists(tmp_path: Path) -> None:
    folder = copy(tmp_path / "copy")
    add_kind(folder)
    places = sorted(place for place in listed() if place[0].startswith(OF_THE_PHONE))
    assert places
    assert named_by_tsc(folder) == set(places)


def test_a_place_of_the_desk_that_takes_any_kind_is_missed(tmp_path: Path) -> None:
    folder = tmp_path / "copy"
    shutil.copytree(ROOT / "generator", folder / "generator")
    for place in sorted(guarded(folder)):
        left = guarded(folder)
        spoil(folder, place)
        assert guarded(folder) == left - {place}


def test_every_kind_has_one_form_in_a_source_and_one_on_a_worksheet() -> None:
    kinds = set(get_args(CheckKind))
    assert set(CHECK_OFFS) == set(CHECK_OFF_EXAMPLES) == kinds
    forms = [get_args(form.model_fields["kind"].annotation) for form in SheetCheckOff.__subclasses__()]
    assert sorted(forms) == sorted((kind,) for kind in kinds)


def test_the_cases_of_the_tests_know_every_kind() -> None:
    """Random worksheets, and the shop that says everything once. A kind that they lack would not be tested at all."""
    kinds = set(get_args(CheckKind))
    assert {check["kind"] for check, _ in _checks(Random(2), ["earlier"])} == kinds
    assert {kind for text in SHOP.values() for kind in re.findall(r"check:\s+\{?(\w+)", text)} == kinds


def test_the_types_of_the_phone_are_what_the_desk_gives() -> None:
    assert TYPES.read_text(encoding="utf-8") == types(), "write it anew: .venv/bin/python -m tools.tables"


@pytest.mark.parametrize(
    "of_kind",
    [
        lambda kind: named_by(kind),
        lambda kind: _is_just_a_figure(kind),
        lambda kind: _cost({"kind": kind}),
        lambda kind: rules_of(kind),
        lambda kind: _boxes({"kind": kind}, {}),
    ],
)
def test_a_kind_that_nobody_knows_ends_the_build(of_kind: Callable[[Any], Any]) -> None:
    with pytest.raises(AssertionError, match="unreachable"):
        of_kind(NEW_KIND)
