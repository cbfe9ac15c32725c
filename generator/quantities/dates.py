"""Days since 1970-01-01, the calendar and a phone's time. A day is a whole number; the calendar ends with year 9999.

The same as site_overrides/phone/quantities/dates.js.
"""

from __future__ import annotations

import re
from calendar import monthrange
from datetime import UTC, date, datetime, timedelta

EPOCH = date(1970, 1, 1).toordinal()
START = datetime(1970, 1, 1, tzinfo=UTC)
# As `Date.prototype.toISOString` writes a time; newer versions of Python also read 24:00, which it never writes.
PHONE_TIME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T(?!24)[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{3}Z")
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
