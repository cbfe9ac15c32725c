"""Days since 1970-01-01, the calendar, a phone's time and the days of a time zone.

A day is a whole number; the calendar ends with year 9999.

The same as site_overrides/phone/quantities/dates.js.
"""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import UTC, date, datetime, timedelta, tzinfo
from functools import lru_cache
from zoneinfo import ZoneInfo, available_timezones

EPOCH = date(1970, 1, 1).toordinal()
START = datetime(1970, 1, 1, tzinfo=UTC)
# As `Date.prototype.toISOString` writes a time; newer versions of Python also read 24:00, which it never writes.
PHONE_TIME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T(?!24)[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{3}Z")
DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
DAY_MS = 86_400_000
# The clocks that are furthest behind and ahead of UTC: Etc/GMT+12 and Pacific/Kiritimati in the IANA database.
BEHIND_MS, AHEAD_MS = 12 * 3_600_000, 14 * 3_600_000
FIRST, LAST = date.min.toordinal() - EPOCH, date.max.toordinal() - EPOCH


def to_date(days: int) -> date | None:
    """The date of a day, None beyond the calendar.

    >>> to_date(-1)
    datetime.date(1969, 12, 31)
    """
    return date.fromordinal(days + EPOCH) if FIRST <= days <= LAST else None


def to_days(day: date) -> int:
    """
    >>> to_days(date(2000, 2, 29))
    11016
    """
    return day.toordinal() - EPOCH


def add_months(day: date, months: int) -> date | None:
    """The same day of the month so many months on, or that month's last; None beyond the calendar.

    >>> add_months(date(2027, 1, 31), 1)
    datetime.date(2027, 2, 28)
    """
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    if not date.min.year <= year <= date.max.year:
        return None
    return date(year, month + 1, min(day.day, monthrange(year, month + 1)[1]))


def phone_ms(at: object) -> int | None:
    """Milliseconds since 1970 of the time in an entry, as the phone writes it; None if it is no such time.

    >>> phone_ms("1970-01-01T00:00:01.500Z")
    1500
    >>> phone_ms("2027-02-29T12:00:00.000Z")
    """
    if not isinstance(at, str) or not PHONE_TIME.fullmatch(at):
        return None
    try:
        return (datetime.fromisoformat(at) - START) // timedelta(milliseconds=1)
    except ValueError:  # no such day, or no such time of day
        return None


@lru_cache(maxsize=1)
def time_zones() -> tuple[str, ...]:
    """Return the names of places whose clocks a shop can go by, as the IANA database has them, and UTC.

    Names without a place (EST, GMT+5, localtime) are left out: some have no summer time, some count backwards."""
    return tuple(sorted(name for name in available_timezones() if name == "UTC" or re.match("(?!Etc/)[A-Z].*/", name)))


def zone_of(name: object) -> tzinfo | None:
    """Return the time zone with this name, or None if there is no such place.

    >>> zone_of("Europe/Lisbon")
    zoneinfo.ZoneInfo(key='Europe/Lisbon')
    >>> zone_of("Europe")
    """
    return ZoneInfo(name) if isinstance(name, str) and name in time_zones() else None


def local_time(ms: int, zone: tzinfo | None) -> datetime:
    """Return the time that clocks show at an instant (milliseconds since 1970), in this machine's own zone if `zone` is
    None. Raises OverflowError beyond the calendar.

    >>> local_time(0, zone_of("Asia/Kathmandu")).isoformat()
    '1970-01-01T05:30:00+05:30'
    """
    return (START + timedelta(milliseconds=ms)).astimezone(zone)


def today_in(zone: tzinfo | None) -> date:
    """Return the day that it is now in a zone, or by this machine's own clock if it is None."""
    return datetime.now(UTC).astimezone(zone).date()


def said_day(text: object, ms: int) -> int | None:
    """Return the day that an entry says in words, or None if no clock on earth shows that day at the entry's instant.

    >>> said_day("1970-01-02", 12 * 3_600_000)
    1
    >>> said_day("1970-01-02", 9 * 3_600_000)
    """
    try:
        days = to_days(date.fromisoformat(text)) if isinstance(text, str) and DAY.fullmatch(text) else None
    except ValueError:
        return None
    if days is None or not (ms - BEHIND_MS) // DAY_MS <= days <= (ms + AHEAD_MS) // DAY_MS:
        return None
    return days
