"""Worksheets and entries against their nouns: what is written is whole, what is broken is refused in both languages."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from generator.entry import VALUE_FIELDS, VALUES, WrittenEntry
from generator.journal.entries import is_known
from generator.journal.record import Record, read_record
from generator.journal.shapes.sound import is_sheet
from generator.tables import SLOT_NAMES
from generator.worksheet import checked
from tests.golden import store
from tests.proofs.shapes_harness import run, small
from tests.support.broken_sheets import copied
from tools.tables import SCHEMA, schemas


def test_what_is_broken_in_one_place_is_refused_by_both_languages_alike() -> None:
    assert run(count=200, seed=5)[0] == []


def test_the_build_writes_every_field_and_no_other() -> None:
    whole = small()
    assert checked(whole) is whole and is_sheet(whole)
    for change in (_without, _with_more):
        for spoiled in change(whole):
            with pytest.raises(ValidationError):
                checked(spoiled)


def _without(whole: dict[str, Any]) -> list[dict[str, Any]]:
    made = [{key: of for key, of in whole.items() if key != name} for name in whole]
    first, *rest = whole["steps"]
    made += [{**whole, "steps": [{key: of for key, of in first.items() if key != name}, *rest]} for name in first]
    return made


def _with_more(whole: dict[str, Any]) -> list[dict[str, Any]]:
    first, *rest = whole["steps"]
    return [{**whole, "colour": 1}, {**whole, "v": True}, {**whole, "steps": [{**first, "colour": 1}, *rest]}]


def test_a_field_that_came_later_and_one_that_nobody_knows_yet_are_forgiven_to_others() -> None:
    old = copied(small())
    for key in ("budget", "second_reader", "wrenches"):
        del old[key]
    for step in old["steps"]:
        step["check"].pop("parts", None) if step["check"]["kind"] != "tighten" else None
        step["colour"] = "blue"
    for step in old["steps"]:
        for part in step["check"].get("parts", ()):
            del part["kind"]
    assert is_sheet(old)


def test_every_kind_of_entry_has_a_noun_for_its_value() -> None:
    assert list(VALUES) == list(SLOT_NAMES)


def test_the_form_of_a_field_is_never_changed() -> None:
    """Phones in the field hold entries that were read by this. Add to it, but remove nothing."""
    plain = (
        "text unit number reason instead with how told_by price to label approved_by kind list note outcome set wrench "
        "kept_at permit why same sheet vehicle role procedure vin count seconds self new sure not_published"
    )
    held = {"source": "document where read by checked_by", "margin": "number unit", "odometer": "number unit"}
    held |= {"adapter": "length angle lever", "despite": "reason", "second": "self", "local": "day time_zone"}
    assert dict(VALUE_FIELDS) == dict.fromkeys(plain.split(), ()) | {
        name: tuple(of.split()) for name, of in held.items()
    }


@pytest.mark.parametrize("name", store.sets())
def test_what_phones_wrote_fits_the_nouns(name: str) -> None:
    met = set()
    for text in store.of(name, "records").values():
        record = read_record(text)
        assert isinstance(record, Record)
        for entry in record.entries:
            WrittenEntry.model_validate(entry)
            if is_known(entry):
                VALUES[entry["kind"]].model_validate(entry["value"])
                met.add(entry["kind"])
    assert met >= set(store.manifest(name)["kinds"])


def test_the_published_schemas_are_what_the_nouns_give() -> None:
    for name, text in schemas().items():
        assert (SCHEMA / name).read_text(encoding="utf-8") == text, "write it anew: .venv/bin/python -m tools.tables"
