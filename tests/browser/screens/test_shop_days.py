"""A shop's days on a real phone: the browser is set to another time zone than the shop names, and to the last second of
the shop's day."""

from __future__ import annotations

import datetime

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.bays import PHONE, Bay
from tests.browser.server import Server
from tests.browser.torque_sheet import torque_sheet

# 02:30 UTC is midnight in Newfoundland in summer: 2026-07-01 begins. On the phone, in Kiritimati, it is 16:30 by then.
MIDNIGHT = datetime.datetime(2026, 7, 1, 2, 30, tzinfo=datetime.UTC)


@pytest.mark.parametrize(
    ("zone", "day", "clock"),
    [("America/St_Johns", "2026-06-30", "23:59"), (None, "2026-07-01", "16:29")],
)
def test_a_start_and_its_times_are_those_of_the_shop_else_of_the_phone(
    chromium: Browser, zone: str | None, day: str, clock: str
) -> None:
    context = chromium.new_context(viewport=PHONE, has_touch=True, is_mobile=True, timezone_id="Pacific/Kiritimati")
    with Server({"/": {}}) as server:
        bay = Bay(server, context)
        bay.page.clock.set_fixed_time(MIDNIGHT - datetime.timedelta(seconds=1))
        sheet = torque_sheet("hub-nut")
        if zone:
            sheet["shop"]["time_zone"] = zone
        drive = bay.begin(sheet)
        (start,) = [entry for entry in bay.entries() if entry["kind"] == "start"]
        assert start["at"] == "2026-07-01T02:29:59.000Z"
        assert start["value"]["local"] == {"day": day, "time_zone": zone or "Pacific/Kiritimati"}
        said = {"2026-06-30": "30 Jun 2026", "2026-07-01": "1 Jul 2026"}[day]
        expect(drive.page.locator("[data-job]")).to_contain_text(f"{said} {clock}")
        assert bay.errors == []
    context.close()
