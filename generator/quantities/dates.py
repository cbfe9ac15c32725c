"""Days since 1970-01-01 and the calendar. A day is a whole number; the calendar runs from year 1 to year 9999."""

from __future__ import annotations

from calendar import monthrange
from datetime import date

EPOCH = date(1970, 1, 1).toordinal()
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
