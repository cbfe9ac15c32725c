"""The days of a shop: five time zones and more, both sides of midnight and of a clock change, in both languages.

The offsets stand here by hand, after the rules in the IANA time zone database (the files europe, northamerica, asia and
australasia of its source): the European Union changes at 01:00 UTC on the last Sunday of March and October;
Newfoundland at 02:00 of its own clocks on the second Sunday of March and the first of November; Lord Howe Island moves
by half an hour at 02:00 on the first Sunday of October and of April; the other three never change.
"""

from __future__ import annotations

import datetime
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest

from generator import render
from generator.check import check_all
from generator.quantities import dates
from generator.quantities.dates import local_time, phone_ms, said_day, time_zones, today_in, zone_of
from generator.quantities.fasteners.wrench import is_overdue
from generator.site import build, disk
from tests.support.harness import FACTS, SHOP, SWEEP, engine, names_of
from tests.support.node import Phone

Json = dict[str, Any]
MINUTE = 60_000


@dataclass(frozen=True)
class Edge:
    """An instant (UTC) at which a zone's clocks reach midnight or are changed. The offsets are minutes ahead of UTC, in
    the second before it and from then on."""

    zone: str
    at: str
    before: int
    after: int

    @property
    def ms(self) -> int:
        return phone_ms(f"{self.at}:00.000Z") or 0

    @property
    def shown(self) -> list[tuple[int, str]]:
        """Return what the clocks show one second before and at the instant, worked out from the offset alone."""
        sides = [(self.ms - 1000, self.before), (self.ms, self.after)]
        return [(ms, _written(ms + offset * MINUTE)) for ms, offset in sides]


def _written(ms: int) -> str:
    return (datetime.datetime(1970, 1, 1) + datetime.timedelta(milliseconds=ms)).isoformat(timespec="minutes")


EDGES = [
    # midnights, in summer and in winter, at the end of a year and of a February
    Edge("Pacific/Kiritimati", "2026-06-30T10:00", 840, 840),
    Edge("Pacific/Kiritimati", "2026-12-31T10:00", 840, 840),
    Edge("Pacific/Pago_Pago", "2026-07-01T11:00", -660, -660),
    Edge("Pacific/Pago_Pago", "2028-02-29T11:00", -660, -660),
    Edge("Asia/Kathmandu", "2026-06-30T18:15", 345, 345),
    Edge("Asia/Kathmandu", "2026-12-31T18:15", 345, 345),
    Edge("Europe/Lisbon", "2026-06-30T23:00", 60, 60),
    Edge("Europe/Lisbon", "2027-01-01T00:00", 0, 0),
    Edge("America/St_Johns", "2026-07-01T02:30", -150, -150),
    Edge("America/St_Johns", "2027-01-01T03:30", -210, -210),
    Edge("Australia/Lord_Howe", "2026-06-30T13:30", 630, 630),
    Edge("Australia/Lord_Howe", "2026-12-31T13:00", 660, 660),
    # the midnight that begins a day with a change, and the one that ends it
    Edge("Europe/Lisbon", "2026-03-29T00:00", 0, 0),
    Edge("Europe/Lisbon", "2026-03-29T23:00", 60, 60),
    Edge("Europe/Lisbon", "2026-10-24T23:00", 60, 60),
    Edge("Europe/Lisbon", "2026-10-26T00:00", 0, 0),
    Edge("America/St_Johns", "2026-11-01T02:30", -150, -150),
    Edge("America/St_Johns", "2026-11-02T03:30", -210, -210),
    # the changes themselves
    Edge("Europe/Lisbon", "2026-03-29T01:00", 0, 60),
    Edge("Europe/Lisbon", "2026-10-25T01:00", 60, 0),
    Edge("America/St_Johns", "2026-03-08T05:30", -210, -150),
    Edge("America/St_Johns", "2026-11-01T04:30", -150, -210),
    Edge("Australia/Lord_Howe", "2026-10-03T15:30", 630, 660),
    Edge("Australia/Lord_Howe", "2026-04-04T15:00", 660, 630),
]
ZONES = sorted({edge.zone for edge in EDGES})
OF_EACH = pytest.mark.parametrize("edge", EDGES, ids=lambda edge: f"{edge.zone} {edge.at}")
IN_EACH = pytest.mark.parametrize("zone", ZONES)

SHOWN = """async ({ zone, instants }) => {
  const { dateText, localDay, localTime } = await import('/phone/quantities/dates.js');
  return instants.map((ms) => [localTime(ms, zone), dateText(localDay(ms, zone))]);
}"""


@pytest.fixture(scope="module")
def abroad() -> Iterator[dict[str, Phone]]:
    """A phone that is set to each of the time zones."""
    phones = {zone: Phone(zone) for zone in ZONES}
    yield phones
    for phone in phones.values():
        phone.close()


def machine_in(zone: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", zone)
    time.tzset()


@pytest.fixture(autouse=True)
def _own_zone_again() -> Iterator[None]:
    yield
    time.tzset()


def at_instant(ms: int, monkeypatch: pytest.MonkeyPatch) -> None:
    class Frozen(datetime.datetime):
        @classmethod
        def now(cls, tz: datetime.tzinfo | None = None) -> Any:
            return datetime.datetime.fromtimestamp(ms / 1000, tz)

    monkeypatch.setattr(dates, "datetime", Frozen)


def test_there_are_more_than_five_zones_the_first_and_the_last_of_each_day_among_them() -> None:
    offsets = {edge.after for edge in EDGES}
    assert len(ZONES) >= 5 and {840, -660, 345} <= offsets and any(edge.after - edge.before == 30 for edge in EDGES)
    assert sum(edge.before != edge.after for edge in EDGES) == 6


@OF_EACH
def test_the_desk_shows_what_the_clocks_of_the_shop_show(edge: Edge, monkeypatch: pytest.MonkeyPatch) -> None:
    for ms, shown in edge.shown:
        assert local_time(ms, zone_of(edge.zone)).replace(tzinfo=None).isoformat(timespec="minutes") == shown
        at_instant(ms, monkeypatch)
        assert today_in(zone_of(edge.zone)).isoformat() == shown[:10]
    monkeypatch.undo()
    machine_in(edge.zone, monkeypatch)
    for ms, shown in edge.shown:  # a shop that names no zone: the machine's own
        assert local_time(ms, None).replace(tzinfo=None).isoformat(timespec="minutes") == shown


@IN_EACH
def test_the_phone_shows_the_same_by_the_shops_zone_and_by_its_own(zone: str, abroad: dict[str, Phone]) -> None:
    edges = [edge for edge in EDGES if edge.zone == zone]
    shown = [(ms, text) for edge in edges for ms, text in edge.shown]
    want = [[text, text[:10]] for _, text in shown]
    instants = [ms for ms, _ in shown]
    assert abroad[zone].evaluate(SHOWN, {"zone": None, "instants": instants}) == want
    other = abroad[ZONES[ZONES.index(zone) - 1]]  # a phone that was never set to the shop's zone
    assert other.evaluate(SHOWN, {"zone": zone, "instants": instants}) == want
    unknown = abroad[zone].evaluate(SHOWN, {"zone": "Nowhere/Nothing", "instants": instants})
    assert unknown == want, "a zone that the browser does not know: the phone's own clock"


def test_a_formatter_is_made_once_for_each_zone_known_or_not(phone: Phone) -> None:
    """Made anew for every time on the page, it kept a list of 400 entries from being drawn for half a minute."""
    ask = """async (zones) => {
      const { inZone } = await import('/phone/quantities/dates.js');
      const before = Intl.DateTimeFormat;
      let made = 0;
      Intl.DateTimeFormat = function Counted(...given) {
        made += 1;
        return new before(...given);
      };
      const options = { year: 'numeric', second: '2-digit' }; // no other test asks for these
      for (let i = 0; i < 50; i += 1) for (const zone of zones) inZone(zone, options).format(0);
      Intl.DateTimeFormat = before;
      return made;
    }"""
    known, unknown, none = "Europe/Paris", "Nowhere/Nothing", None
    assert phone.evaluate(ask, [known, unknown, none]) == 4, "the unknown name is tried once"


def test_every_zone_that_a_shop_can_name_has_the_same_day_on_the_phone(phone: Phone) -> None:
    """All zones, at one second before and after midnight UTC, now and in ten years."""
    ask = """async (instants) => {
      const { dateText, localDay } = await import('/phone/quantities/dates.js');
      const known = new Set(Intl.supportedValuesOf('timeZone'));
      return [...known].map((zone) => [zone, instants.map((ms) => dateText(localDay(ms, zone)))]);
    }"""
    midnights = [f"{year}-{day}T00:00:00.000Z" for year in (2026, 2036) for day in ("01-15", "07-15")]
    instants = [(phone_ms(text) or 0) - back for text in midnights for back in (0, 1000)]
    told = dict(phone.evaluate(ask, instants))
    both = set(told) & set(time_zones())
    assert len(both) > 300
    differ = [z for z in both if [local_time(ms, zone_of(z)).date().isoformat() for ms in instants] != told[z]]
    assert differ == []


# --- what hangs on a day ----------------------------------------------------------------------------------------------

OVERDUE = """async ({ zone, due, instants }) => {
  const { isOverdue } = await import('/phone/quantities/torque.js');
  return instants.map((ms) => isOverdue({ due }, ms, zone));
}"""
STARTED = """async ({ zone, instants }) => {
  const { openJobStart } = await import('/phone/job/start.js');
  const said = [];
  for (const ms of instants) {
    const shop = zone ? { time_zone: zone } : {};
    const start = openJobStart({
      own: { digest: 'd', text: '{}', sheet: { shop } }, keep: { putSheet: () => {} }, shelf: { sheets: {} },
      writer: { who: { take: () => {} }, offer: (verb) => { said.push(verb.value); return { kept: true }; } },
      packs: { forget: () => {} }, random: (n) => new Uint8Array(n).fill(1), now: () => ms,
      sameNumber: () => null, go: () => {},
    });
    await start({ who: 'KS', value: { number: 'J' }, isSecond: false, listed: [] });
  }
  return said;
}"""
SAID = """async (cases) => {
  const { saidDay } = await import('/phone/quantities/dates.js');
  return cases.map(([text, ms]) => saidDay(text, ms));
}"""


@IN_EACH
def test_a_calibration_runs_out_with_the_shops_day(
    zone: str, abroad: dict[str, Phone], monkeypatch: pytest.MonkeyPatch
) -> None:
    """In date on its last day to the last second, overdue from midnight on: on the phone and on the printed sheet."""
    for edge in (one for one in EDGES if one.zone == zone and one.shown[0][1][:10] != one.shown[1][1][:10]):
        due, instants = edge.shown[0][1][:10], [ms for ms, _ in edge.shown]
        other = abroad[ZONES[ZONES.index(zone) - 1]]
        assert other.evaluate(OVERDUE, {"zone": zone, "due": due, "instants": instants}) == [False, True]
        assert abroad[zone].evaluate(OVERDUE, {"zone": None, "due": due, "instants": instants}) == [False, True]
        library = check_all(shop_in(zone))[0]
        for ms, shown in edge.shown:
            at_instant(ms, monkeypatch)
            assert build.today_of(library).isoformat() == shown[:10]
        monkeypatch.undo()


BARE = """shop: quay
title: Quay
people: [{initials: KS, name: Kim S., role: lead}]
time_zone: Pacific/Kiritimati
"""


def shop_in(zone: str) -> dict[str, str]:
    return {**SHOP, "shop/shop.yml": SHOP["shop/shop.yml"].replace("Europe/Lisbon", zone)}


def test_the_printed_sheet_is_of_the_shops_day(monkeypatch: pytest.MonkeyPatch) -> None:
    days: list[str] = []
    printed = render.torque_page
    monkeypatch.setattr(render, "torque_page", lambda *about: days.append(about[-1]) or printed(*about))
    sheet = engine("bolts: {torque: 10 N.m, source: {document: Manual, where: page 4, read: 2026-10-02, by: KS}}")
    sources = {**FACTS, **sheet, "shop/shop.yml": BARE, "procedures/sweep.yml": SWEEP}
    texts = {name: text.encode() for name, text in sources.items()}
    for back in (1000, 0):  # midnight there is 10:00 UTC
        at_instant((phone_ms("2026-12-31T10:00:00.000Z") or 0) - back, monkeypatch)
        assert build.build(texts, {}, disk.read_overrides()).files
    assert list(dict.fromkeys(days)) == ["2026-12-31", "2027-01-01"]
    assert [is_overdue("2026-12-31", day) for day in ("2026-12-31", "2027-01-01")] == [False, True]


@IN_EACH
def test_a_start_says_the_day_in_the_shop(zone: str, abroad: dict[str, Phone]) -> None:
    shown = [(ms, text) for edge in EDGES if edge.zone == zone for ms, text in edge.shown]
    want = [{"number": "J", "local": {"day": text[:10], "time_zone": zone}} for _, text in shown]
    instants = [ms for ms, _ in shown]
    other = abroad[ZONES[ZONES.index(zone) - 1]]
    assert other.evaluate(STARTED, {"zone": zone, "instants": instants}) == want
    assert [one["local"]["day"] for one in abroad[zone].evaluate(STARTED, {"zone": None, "instants": instants})] == [
        one["local"]["day"] for one in want
    ]


def test_a_day_that_no_clock_shows_at_that_instant_is_no_day(phone: Phone) -> None:
    noon = phone_ms("2026-10-02T12:00:00.000Z") or 0
    hours = 3_600_000
    cases = [
        ("2026-10-01", noon - 1),  # at UTC-12 it is 2026-10-01 until this instant
        ("2026-10-01", noon),
        ("2026-10-03", noon - 2 * hours),  # at UTC+14 midnight is reached
        ("2026-10-03", noon - 2 * hours - 1),
        ("2026-10-02", noon),
        *((odd, noon) for odd in ("2026-10-2", "2026-10-02 ", "2026-02-30", "", "today", None, 20728, "２026-10-02")),
    ]
    desk = [said_day(text, ms) for text, ms in cases]
    assert [None if day is None else day - 20728 for day in desk] == [-1, None, 1, None, 0, *[None] * 8]
    assert phone.evaluate(SAID, cases) == desk


# --- what a sheet of the shop may say ---------------------------------------------------------------------------------


@IN_EACH
def test_no_value_is_read_on_a_day_that_has_not_begun_in_the_shop(zone: str, monkeypatch: pytest.MonkeyPatch) -> None:
    sheet = "shop/engines/inline-four.yml"
    midnights = [one for one in EDGES if one.zone == zone and one.shown[0][1][:10] != one.shown[1][1][:10]]
    edge = max(midnights, key=lambda one: one.ms)  # later than the other readings of the sheet
    day = edge.shown[1][1][:10]
    text = SHOP[sheet].replace("checked: 2026-10-03", f"checked: {day}", 1)
    told = {}
    for ms, shown in edge.shown:
        at_instant(ms, monkeypatch)
        faults = check_all({**shop_in(zone), sheet: text})[1]
        told[shown[:10]] = [name for name in names_of(faults) if name == "DayToCome"]
    assert list(told.values()) == [["DayToCome"], []]


def test_names_of_zones_are_places() -> None:
    known = set(time_zones())
    assert {"Europe/Lisbon", "America/Argentina/Buenos_Aires", "Asia/Kathmandu", "UTC"} <= known
    for odd in ("EST", "GMT+5", "Etc/GMT+5", "localtime", "Europe", "europe/lisbon", "../Europe/Lisbon", "", None, 5):
        assert odd not in known and zone_of(odd) is None
    assert [zone for zone in time_zones() if zone_of(zone) is None] == []
