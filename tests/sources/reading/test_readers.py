"""Who read the values of a sheet, and when: readers, second readings, and days that have come."""

from __future__ import annotations

import datetime
import re

import pytest

from generator.check import check_all
from generator.check.readers import last_day_begun
from generator.faults.reader import ReadOnce
from generator.render import source_line, value_line
from generator.sheet_types import SourceJson
from generator.site import disk
from generator.site.build import check_texts
from tests.support import demo
from tests.support.harness import FACTS, SHOP, SWEEP, engine, names_of

ENGINE = "shop/engines/inline-four.yml"


def utc(text: str) -> datetime.datetime:
    return datetime.datetime.fromisoformat(text)


@pytest.mark.parametrize("hours", range(-12, 15))
@pytest.mark.parametrize("now", ["2026-10-02T00:00+00:00", "2026-10-02T09:59+00:00", "2026-10-02T23:59+00:00"])
def test_today_has_begun_in_every_time_zone(now: str, hours: int) -> None:
    here = utc(now).astimezone(datetime.timezone(datetime.timedelta(hours=hours)))
    assert here.date() <= last_day_begun(here)


def test_the_day_after_has_not() -> None:
    assert last_day_begun(utc("2026-10-02T09:59+00:00")).isoformat() == "2026-10-02"
    assert last_day_begun(utc("2026-10-02T10:00+00:00")).isoformat() == "2026-10-03"


def test_without_a_given_day_the_clock_is_asked() -> None:
    """A check that is told no day must not let every day pass."""
    tomorrow = last_day_begun(datetime.datetime.now(datetime.UTC)) + datetime.timedelta(days=2)
    ahead = {**SHOP, ENGINE: SHOP[ENGINE].replace("checked: 2026-10-03", f"checked: {tomorrow}", 1)}
    assert names_of(check_all(ahead)[1]) == ["DayToCome"]


def test_people_who_can_not_be_read_make_nobody_a_stranger() -> None:
    """The fault of the shop file is told alone: the part that can't be read may have them. Days still count."""
    shop = SHOP["shop/shop.yml"].replace("role: tech", "role: boss")
    ahead = SHOP[ENGINE].replace("checked: 2026-10-03", "checked: 2199-10-03", 1)
    assert names_of(check_all({**SHOP, "shop/shop.yml": shop})[1]) == ["UnknownTradeWord"]
    assert names_of(check_all({**SHOP, "shop/shop.yml": shop, ENGINE: ahead})[1]) == ["DayToCome", "UnknownTradeWord"]


def test_a_self_check_is_printed_as_one() -> None:
    said: SourceJson = {"document": "Manual", "where": "page 4", "read": "2026-10-02", "by": "KS", "checked_by": None}
    assert source_line(said) == "Manual, page 4, read 2026-10-02 by KS"
    assert source_line({**said, "checked_by": "RT"}).endswith("by KS, checked by RT")
    both: SourceJson = {**said, "checked_by": "KS", "checked": "2026-10-03"}
    assert source_line(both).endswith("by KS, checked by KS on 2026-10-03 (self-check)")


LEFT = """shop: quay
title: Quay
people:
  - {initials: KS, name: Kim S., role: lead, left: yes}
  - {initials: RT, name: Robin T., role: tech}
"""


def test_people_who_left_are_not_offered_and_what_they_read_stays_theirs() -> None:
    sheet = engine("bolts: {torque: 10 N.m, source: {document: Manual, where: page 4, read: 2026-10-02, by: KS}}")
    made = check_texts({**FACTS, **sheet, "procedures/sweep.yml": SWEEP, "shop/shop.yml": LEFT})
    assert names_of(list(made.faults)) == []
    assert [person["initials"] for person in made.sheets[0]["shop"]["people"]] == ["RT"]
    source = made.sheets[0]["values"]["bolts"]["source"]
    assert source == {"document": "Manual", "where": "page 4", "read": "2026-10-02", "by": "KS", "checked_by": None}


def test_every_critical_value_that_one_person_read_is_named_at_the_desk_and_on_paper() -> None:
    """No second reader in any demo sheet: each critical value of each worksheet is told, and no other."""
    once = {
        file: re.sub(r", checked_by: \w+", "", text.decode()) if "/engines/" in file else text
        for file, text in demo.texts().items()
    }
    made = check_texts(once, frozenset(disk.read_pictures(demo.ROOT, "procedures")))
    told = {name for note in made.notes if isinstance(note, ReadOnce) for name in note.names}
    values = [(name, value) for sheet in made.sheets for name, value in sheet["values"].items() if value["text"]]
    critical = {name for name, value in values if value["class"] == "critical"}
    assert told == critical and len(critical) > 50 and critical < {name for name, _ in values}
    lines = {value["class"]: value_line(value) for _, value in values}
    assert lines["critical"].endswith(", not read a second time") and "second time" not in lines["ordinary"]
    assert not any(isinstance(note, ReadOnce) for note in demo.checked().notes)
